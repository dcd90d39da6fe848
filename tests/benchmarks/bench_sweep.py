"""A million candidate beams through every beam check, beside the same formulas by hand in NumPy.

Run alone on the machine: ``python tests/benchmarks/bench_sweep.py``.
Prints the rate of both, their ratio (at least 0.7 is asked for) and the peak memory beyond inputs
and results (less than 300 MB is asked for), and stops if they disagree. The same by a loop that
numba compiles stands beside them as the limit of what one core can do.
"""

from __future__ import annotations

import sys
import time
import tracemalloc
from dataclasses import replace

import numpy as np

from calclib.timber.beam import Demands, Effects, each_check, utilizations
from calclib.timber.bearing import end_seat, inner_seat, plate
from calclib.timber.deflection import dead_load_share
from calclib.timber.factors import Service, load_duration_factor
from calclib.timber.materials import sawn
from calclib.timber.piece import piece
from calclib.timber.stability import braced_at
from calclib.trace import Formula, leaf, numbers
from calclib.trace.sweep import BLOCK, sweep

CANDIDATES = 1_000_000
CASES = ("D", "D+L", "D+S", "D+Lr", "D+L+S", "D+L+Lr")
ROUNDS = 7


def given(number, unit, symbol):
    return leaf(number, unit, symbol, f"bench/{symbol}", title=symbol, basis="assumed")


def problem():
    """Return one traced beam of two spans: piece, effects, demands, C_D."""
    # Invented sizes of loads, on no real house.
    k = np.array([0.6, 1.0, 0.9, 0.8, 1.1, 1.05])
    effects = Effects(
        given(60e3 * k, "lbf*in", "M"),
        given(75e3 * k, "lbf*in", "M"),
        given(3e3 * k, "lbf", "V"),
        given(4e7 * k, "lbf*in^3", "D"),
        given(3e7 * k, "lbf*in^3", "D"),
        given(3e7 * k, "lbf*in^3", "D"),
        (given(2e3 * k, "lbf", "R"), given(7e3 * k, "lbf", "R"), given(2e3 * k, "lbf", "R")),
    )
    service = Service()
    l_b, l_end = given(3.5, "in", "l_b"), given(120.0, "in", "l_end")
    demands = Demands(
        given(144.0, "in", "l"),
        given(360.0, "", "n"),
        given(240.0, "", "n"),
        dead_load_share("NDS 3.5.2"),
        "NDS 3.5.2",
        braced_at(given(16.0, "in", "l_u")),
        braced_at(given(72.0, "in", "l_u")),
        (end_seat(l_b), inner_seat(l_b, l_end), end_seat(l_b)),
        (plate("hem-fir", service), None, plate("hem-fir", service)),
    )
    wood = sawn("DF-L", "No.2", given(3.5, "in", "b"), given(9.25, "in", "d"))
    return piece(wood, service), effects, demands, load_duration_factor(CASES)


def candidates(plain, count=CANDIDATES):
    """Return the piece with arrays of candidates [candidate, 1] in place of its wood and size."""
    random = np.random.default_rng(1)

    def column(low, high):
        return random.uniform(low, high, (count, 1))

    E = column(1.2e6, 2.0e6)
    material = replace(
        plain.material,
        F_b=column(500, 2900),
        F_v=column(135, 290),
        F_c_perp=column(335, 750),
        E=E,
        E_min=0.365 * E,
    )
    factors = dict(plain.factors)
    factors["Fb"] = {**factors["Fb"], "C_F": column(0.9, 1.5)}
    return replace(plain, b=column(1.5, 7), d=column(5.5, 24), material=material, factors=factors)


def by_checks(piece, effects, demands, C_D):
    """Every check of a beam, by the library."""
    return utilizations(each_check("bench", piece, effects, demands, C_D))


def by_hand(piece, effects, demands, C_D, block=BLOCK):
    """Every check of a beam, as one would write it in NumPy: cases first, block by block."""
    wood, factors = piece.material, piece.factors
    results = np.empty((8, len(piece.b)))
    C_D, *cases = [
        np.reshape(x, (-1, 1))
        for x in (
            C_D,
            effects.M_sagging,
            effects.M_hogging,
            effects.V,
            effects.D_live,
            effects.D_dead,
            effects.D_short,
            *effects.reactions,
        )
    ]
    M_sag, M_hog, V, D_live, D_dead, D_short, R_1, R_2, R_3 = cases
    C_M, C_t, C_i = (factors["Fb"][name] for name in ("C_M", "C_t", "C_i"))
    C_fu, C_r, C_T = factors["Fb"]["C_fu"], factors["Fb"]["C_r"], factors["E_min"]["C_T"]
    across = factors["Fc_perp"]["C_M"] * factors["Fc_perp"]["C_t"] * factors["Fc_perp"]["C_i"]
    plates = [
        s and s.F_c_perp * s.factors["C_M"] * s.factors["C_t"] * s.factors["C_i"]
        * s.factors["C_b"] for s in demands.supports
    ]  # fmt: skip

    for start in range(0, len(piece.b), block):
        part = slice(start, start + block)
        b, d = piece.b[part, 0], piece.d[part, 0]
        F_b, F_v, F_c_perp = wood.F_b[part, 0], wood.F_v[part, 0], wood.F_c_perp[part, 0]
        E, E_min, C_F = wood.E[part, 0], wood.E_min[part, 0], factors["Fb"]["C_F"][part, 0]
        out = results[:, part]

        S, inertia = b * d**2 / 6, b * d**3 / 12
        EI = E * C_M * C_t * C_i * inertia
        E_min_prime = E_min * C_M * C_t * C_i * C_T

        F_b_star = F_b * C_D * C_M * C_t * C_F * C_i * C_r
        for place, (M, brace) in enumerate(((M_sag, demands.top), (M_hog, demands.bottom))):
            r_1, r_2, k_1, k_2, c_2, k_3 = brace.coefficients
            l_u = brace.l_u
            l_e = np.where(
                l_u < r_1 * d, k_1 * l_u, np.where(l_u <= r_2 * d, k_2 * l_u + c_2 * d, k_3 * l_u)
            )
            R_B = np.sqrt(l_e * d / b**2)
            F_bE = 1.20 * E_min_prime / R_B**2
            alpha = F_bE / F_b_star
            beta = (1 + alpha) / 1.9
            C_L = beta - np.sqrt(beta**2 - alpha / 0.95)
            F_b_prime = F_b * C_D * C_M * C_t * C_L * C_F * C_fu * C_i * C_r
            bending = (M / S / F_b_prime).max(axis=0)
            out[place] = np.maximum(bending, R_B / brace.R_B_max)

        f_v = 3 * V / (2 * b * d)
        F_v_prime = F_v * C_D * C_M * C_t * C_i
        out[2] = (f_v / F_v_prime).max(axis=0)
        live = D_live / EI
        out[3] = (live / (demands.span / demands.n_live)).max(axis=0)
        total = demands.K * (D_dead / EI) + D_short / EI
        out[4] = (total / (demands.span / demands.n_total)).max(axis=0)

        for place, (R, seat, plate_value) in enumerate(
            zip((R_1, R_2, R_3), demands.seats, plates, strict=True)
        ):
            l_b, l_end = seat.l_b, seat.l_end
            C_b = seat.C_b if l_end is None else (l_b + 0.375) / l_b
            F_prime = F_c_perp * across * C_b
            capacity = F_prime if plate_value is None else np.minimum(F_prime, plate_value)
            out[5 + place] = (R / (b * l_b) / capacity).max(axis=0)
            required = R / (b * (F_c_perp * across))
            if l_end is not None:
                required = np.where(required < 6.375, required - 0.375, required)
            if plate_value is not None:
                required = np.maximum(required, R / (b * plate_value))
    return results


def compiled(piece, effects, demands, C_D):
    """Every check of a beam, candidate by candidate, by a loop that numba compiles."""
    import numba

    @numba.njit
    def loop(b, d, F_b, F_v, F_c_perp, E, E_min, C_F, C_D, cases, braces, bearings, limits, out):
        span, n_live, n_total, K = limits
        for i in range(len(b)):
            S, EI = b[i] * d[i] ** 2 / 6, E[i] * b[i] * d[i] ** 3 / 12
            for place in range(2):
                l_u, r_1, r_2, k_1, k_2, c_2, k_3, most = braces[place]
                if l_u < r_1 * d[i]:
                    l_e = k_1 * l_u
                elif l_u <= r_2 * d[i]:
                    l_e = k_2 * l_u + c_2 * d[i]
                else:
                    l_e = k_3 * l_u
                R_B = (l_e * d[i] / b[i] ** 2) ** 0.5
                F_bE = 1.20 * E_min[i] / R_B**2
                worst = R_B / most
                for case in range(len(C_D)):
                    star = F_b[i] * C_D[case] * C_F[i]
                    alpha = F_bE / star
                    beta = (1 + alpha) / 1.9
                    C_L = beta - (beta**2 - alpha / 0.95) ** 0.5
                    worst = max(worst, cases[place, case] / S / (star * C_L))
                out[place, i] = worst
            for row in range(2, 5 + len(bearings)):
                out[row, i] = 0.0
            for case in range(len(C_D)):
                V, D_live, D_dead, D_short = cases[2:6, case]
                out[2, i] = max(out[2, i], 1.5 * V / (b[i] * d[i]) / (F_v[i] * C_D[case]))
                out[3, i] = max(out[3, i], D_live / EI / (span / n_live))
                total = K * (D_dead / EI) + D_short / EI
                out[4, i] = max(out[4, i], total / (span / n_total))
                for place in range(len(bearings)):
                    l_b, C_b, plate_value = bearings[place]
                    capacity = min(F_c_perp[i] * C_b, plate_value)
                    stress = cases[6 + place, case] / (b[i] * l_b)
                    out[5 + place, i] = max(out[5 + place, i], stress / capacity)

    wood, ones = piece.material, piece.factors
    assert ones["Fb"]["C_M"] == ones["Fb"]["C_t"] == ones["Fb"]["C_r"] == 1.0
    cases = np.array(
        [effects.M_sagging, effects.M_hogging, effects.V, effects.D_live, effects.D_dead,
         effects.D_short, *effects.reactions]
    )  # fmt: skip
    braces = np.array([(t.l_u, *t.coefficients, t.R_B_max) for t in (demands.top, demands.bottom)])
    bearings = np.array(
        [
            (
                seat.l_b,
                1.0 if seat.l_end is None else (seat.l_b + 0.375) / seat.l_b,
                np.inf if on is None else on.F_c_perp,
            )
            for seat, on in zip(demands.seats, demands.supports, strict=True)
        ]
    )
    limits = (demands.span, demands.n_live, demands.n_total, demands.K)
    columns = [piece.b, piece.d, wood.F_b, wood.F_v, wood.F_c_perp, wood.E, wood.E_min,
               ones["Fb"]["C_F"]]  # fmt: skip
    flat = [np.ascontiguousarray(column[:, 0]) for column in columns]

    def run():
        out = np.empty((8, len(piece.b)))
        loop(*flat, np.asarray(C_D), cases, braces, bearings, limits, out)
        return out

    run()
    return run


def formulas_called(arguments):
    """Count the formula calls of one run of the check function."""
    called = 0
    call = Formula.__call__

    def counted(self, *numbers, **named):
        nonlocal called
        called += 1
        return call(self, *numbers, **named)

    Formula.__call__ = counted
    try:
        tuple(each_check("bench", *arguments))
    finally:
        Formula.__call__ = call
    return called


def timed(function):
    start = time.process_time()
    function()
    return time.process_time() - start


def main():
    plain = tuple(numbers(x) for x in problem())
    arguments = (candidates(plain[0]), *plain[1:])
    calls = formulas_called(plain)

    def ours():
        return sweep(by_checks, arguments)

    def theirs():
        return by_hand(*arguments)

    assert np.allclose(ours(), theirs(), rtol=1e-10), "the two disagree"
    limit = compiled(*arguments)
    assert np.allclose(limit(), theirs(), rtol=1e-10), "the loop disagrees"
    rounds = [(timed(theirs), timed(ours)) for _ in range(ROUNDS)]
    # Other work on the machine only ever adds time, so the best round of each is compared.
    hand, library = (min(column) for column in zip(*rounds, strict=True))
    ratio = hand / library

    tracemalloc.start()
    results = ours()
    peak = (tracemalloc.get_traced_memory()[1] - results.nbytes) / 1e6
    tracemalloc.stop()

    print(f"{calls} formula calls, {len(CASES)} cases, {CANDIDATES:,} candidates")
    rates = [CANDIDATES / seconds / 1e6 for seconds in (hand, library)]
    print("by hand {:.2f}, library {:.2f} million candidates a second".format(*rates))
    fastest = min(timed(limit) for _ in range(ROUNDS))
    print(
        f"limit {CANDIDATES / fastest / 1e6:.2f} million a second by a compiled loop, of which the "
        f"library reaches {fastest / library:.2f}"
    )
    print(
        f"ratio {ratio:.2f} (0.7 asked for), each round: "
        + ", ".join(f"{a / b:.2f}" for a, b in rounds)
    )
    print(f"peak memory beyond inputs and results {peak:.0f} MB (under 300 asked for)")
    return 0 if calls >= 40 and ratio >= 0.7 and peak < 300 else 1


if __name__ == "__main__":
    sys.exit(main())
