"""Nails: every printed value to the pound, the laws of the yield modes, toe-nails."""

from __future__ import annotations

import csv
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given as draw
from hypothesis import strategies as st

from calclib.errors import LookupMiss
from calclib.fasteners.nails import (
    STEEL,
    adjusted_nail_value,
    bearing_length_in_main,
    dowel_bearing_strength,
    lateral_value,
    nail_factor,
    nail_size,
    nail_yield_strength,
    nails_used_up,
    passed_on_by_first_ply,
    reduction_term,
    toe_nail_penetration,
    toe_nail_side_length,
    withdrawal_value,
)
from calclib.job.file import JobError, parse
from calclib.job.solve import solve
from calclib.units import ft, inch, lbf, plf, psi

DATA = Path(__file__).parent / "data" / "nds_nails.csv"
ROWS = list(csv.DictReader(DATA.read_text(encoding="utf-8").splitlines()))
LATERAL = [row for row in ROWS if row["table"] == "12N"]
WITHDRAWAL = [row for row in ROWS if row["table"] == "12.2C"]


def value(D, G, l_m, l_s, F_es=None, F_e=None):
    F_e = dowel_bearing_strength(G) if F_e is None else F_e
    return lateral_value(
        D, l_m, l_s, F_e, F_e if F_es is None else F_es, nail_yield_strength(D), reduction_term(D)
    )


@pytest.mark.parametrize("row", LATERAL, ids=lambda r: f"{r['nail']} {r['G']}")
def test_lateral_values_are_those_printed(row):
    """NDS Table 12N, from memory, for a penetration of ten diameters or more."""
    D, G, l_s = float(row["D_in"]), float(row["G"]), float(row["side_member_in"])
    # The printed table rounds the dowel bearing strength to 50 psi.
    rounded = 50 * round(dowel_bearing_strength(G) / 50)
    Z, modes = value(D, G, 10 * D, l_s, F_e=rounded)

    assert min(modes, key=lambda name: modes[name]) == row["mode"]
    assert round(Z) == int(row["printed"])
    # Not rounded, the equations give what they were recomputed to, to a tenth of a pound.
    assert value(D, G, 10 * D, l_s)[0] == pytest.approx(float(row["recomputed"]), abs=0.06)


@pytest.mark.parametrize("row", LATERAL, ids=lambda r: f"{r['nail']} {r['G']}")
def test_a_short_nail_loses_its_tip(row):
    D, G, l_s = float(row["D_in"]), float(row["G"]), float(row["side_member_in"])
    p = float(row["L_in"]) - l_s
    Z, _ = value(D, G, bearing_length_in_main(p, D), l_s)

    assert pytest.approx(float(row["recomputed_actual_length"]), abs=0.06) == Z


@pytest.mark.parametrize("row", WITHDRAWAL, ids=lambda r: f"{r['nail']} {r['G']}")
def test_withdrawal_values_are_those_printed(row):
    """NDS Table 12.2C: 1380 G^(5/2) D, rounded to the pound."""
    W = withdrawal_value(float(row["G"]), float(row["D_in"]))

    assert round(W) == int(row["printed"])


def test_values_grow_with_diameter_density_and_thickness():
    D = np.array([0.113, 0.131, 0.148, 0.162, 0.192])
    by_diameter = value(D, 0.5, 2.0, 1.5)[0]
    by_density = value(0.162, np.linspace(0.35, 0.6, 12), 2.0, 1.5)[0]
    by_side = value(0.162, 0.5, 2.0, np.linspace(0.2, 2.0, 40))[0]
    by_main = value(0.162, 0.5, np.linspace(0.3, 2.0, 40), 1.5)[0]

    for values in (by_diameter, by_density, by_side, by_main):
        assert (np.diff(values) >= -1e-9).all()
    # The mode changes, the value does not jump.
    assert np.abs(np.diff(by_side)).max() < 0.12 * by_side.max()
    assert by_side[0] < by_side[-1]


@draw(
    D=st.floats(0.1, 0.24),
    G=st.floats(0.35, 0.7),
    l_m=st.floats(0.3, 3.0),
    l_s=st.floats(0.3, 3.0),
    more=st.floats(1.0, 1.4),
)
def test_the_yield_load_grows_with_all_that_it_is_made_of(D, G, l_m, l_s, more):
    """At one yield strength of the nail: the printed bands of it step down with the diameter."""

    def Z(D, G, l_m, l_s):
        F_e = dowel_bearing_strength(G)
        return lateral_value(D, l_m, l_s, F_e, F_e, 90_000.0, reduction_term(D))[0]

    least = Z(D, G, l_m, l_s)
    for bigger in (
        Z(min(D * more, 0.249), G, l_m, l_s),
        Z(D, min(G * more, 0.75), l_m, l_s),
        Z(D, G, l_m * more, l_s),
        Z(D, G, l_m, l_s * more),
    ):
        assert bigger >= least * (1 - 1e-12)


@pytest.mark.parametrize("G", [0.42, 0.5, 0.55])
def test_where_the_mode_changes_the_value_does_not_jump(G):
    def mode(l_s):
        Z, modes = value(0.162, G, 1.0, l_s)
        return Z, min(modes, key=lambda name: modes[name])

    sides = [0.1 + 0.01 * i for i in range(250)]
    changes = [(a, b) for a, b in pairwise(sides) if mode(a)[1] != mode(b)[1]]
    assert len(changes) > 1
    for low, high in changes:
        before = mode(low)[1]
        for _ in range(60):
            middle = (low + high) / 2
            low, high = (middle, high) if mode(middle)[1] == before else (low, middle)
        assert mode(low)[1] != mode(high)[1]
        assert mode(low)[0] == pytest.approx(mode(high)[0], rel=1e-9)


def test_arrays_give_what_floats_give():
    sides = np.array([0.5, 1.0, 1.5])

    assert value(0.148, 0.43, 1.5, sides)[0] == pytest.approx(
        [value(0.148, 0.43, 1.5, float(s))[0] for s in sides]
    )


def test_a_steel_side_plate_makes_the_nail_bend_at_its_face():
    """The plate does not crush: the nail yields in the wood or at the plate."""
    Z, modes = value(0.148, 0.5, 1.5, 0.06, STEEL["sheet steel, 33 ksi"])

    assert Z == min(modes.values())
    assert Z > value(0.148, 0.5, 1.5, 0.06)[0]


def test_a_toe_nail_holds_a_third_less_than_its_length():
    # NDS 2018 12.1.6 (from memory): at 30 degrees, a third of the length from the end; by hand for
    # a 16d nail of 3-1/2 in: l_s = 1.167 in, p = 3.5 x 0.866 - 1.167 = 1.864 in.
    assert toe_nail_side_length(3.5 * inch) == pytest.approx(1.1667, abs=1e-4)
    assert toe_nail_penetration(3.5 * inch) == pytest.approx(1.8644, abs=1e-4)
    assert nail_factor("toe-nail, lateral").at() == 0.83


def test_factors_multiply():
    assert adjusted_nail_value(141 * lbf, 1.15, 0.83) == pytest.approx(141 * 1.15 * 0.83)


def test_plies_are_nailed_for_what_the_first_passes_on():
    """600 plf hung on one side of three plies: 400 plf go on; two rows of 141 lb at 8 in do."""
    w = passed_on_by_first_ply(600 * plf, 3.0)

    assert w == pytest.approx(400 * plf)
    assert nails_used_up(w, 141 * lbf, 8 * inch) == pytest.approx(400 * (8 / 12) / 141)
    assert nails_used_up(w, 141 * lbf, 1 * ft) == pytest.approx(400 / 141)


def test_nails_are_known_by_their_trade_names():
    D, L = nail_size("16d common")

    assert (D.at(), L.at()) == pytest.approx((0.162, 3.5))
    with pytest.raises(LookupMiss):
        nail_size("17d common")
    assert dowel_bearing_strength(0.5) == pytest.approx(4637 * psi, rel=1e-3)


PLIES = 'plies = 3\nply_nail = "16d common"\nply_nail_spacing = "12 in"\nply_nail_rows = 2\n'
NAILED = (DATA.parents[2] / "examples" / "foxglove_cottage.toml").read_text("utf-8")
FOXGLOVE = NAILED.replace(PLIES, "plies = 3\n", 1)


def plies(text):
    found = {check.id: check for check in solve(parse(text)).checks}
    return found.get("finished/beams.opening/ply_nails")


def test_plies_of_a_flush_beam_are_nailed_for_what_hangs_on_the_fuller_face():
    found = plies(FOXGLOVE.replace("plies = 3\n", PLIES, 1))

    # The kitchen side: (10.2 + 20) psf x 13 ft 3 in / 2, two thirds of it passed on; 141 lb for a
    # 16d common nail in two plies of 1-3/4 in at G 0.50 (NDS Table 12N gives 141 for 1-1/2 in).
    by_hand = (10.2 + 20) * 13.25 / 2 * 2 / 3 / 141
    case = found.cases.index("D + L")
    assert found.state == "passes"
    assert found.demand.at(case) == pytest.approx(by_hand, rel=3e-3)


def test_plies_without_nailing_are_open_and_a_dropped_beam_asks_for_none():
    assert plies(FOXGLOVE).state == "open"
    assert plies(FOXGLOVE.replace('setting = "flush"', 'setting = "dropped"')) is None


def test_a_short_nail_does_not_join_thick_plies():
    short = plies(FOXGLOVE.replace("plies = 3\n", PLIES.replace("16d", "6d"), 1))

    # 2 in through 1-3/4 in: a quarter of an inch, 2.2 diameters.
    assert short.state == "fails"
    assert any("six diameters" in c.text for c in short.conditions if c.ratio.at() > 1)


def test_a_slip_about_ply_nails_is_answered():
    with pytest.raises(JobError) as refusal:
        parse(FOXGLOVE.replace("plies = 3\n", 'plies = 3\nply_nail = "16d comon"\n', 1))

    found = "\n".join(refusal.value.messages)
    assert "beams.opening.ply_nail: needs a nail of the tables" in found
    assert "beams.opening.ply_nail_rows: needs it, for the nails between plies" in found
