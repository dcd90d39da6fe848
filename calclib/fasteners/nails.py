"""One nail in lateral load by all yield modes, in withdrawal, and driven at a slant."""

from __future__ import annotations

from typing import Any

from calclib import published
from calclib.trace import Value, formula, leaf, maximum, minimum, positive, product, sqrt, where
from calclib.units import inch, psi

FROM_MEMORY = "from memory, compare with the printed table"


@formula(
    "F_e",
    "psi",
    G="",
    source="NDS 2018 Eq. 12.3-2",
    valid={"G": (0.3, 0.75)},
)
def dowel_bearing_strength(G):  # type: ignore[no-untyped-def]
    """Dowel bearing strength of wood for nails.

    Parameters
    ----------
    G : float or array [dimensionless]
        Specific gravity of the wood.

    Returns
    -------
    float or array [psi]
        Above zero, whatever the direction of the grain.

    Notes
    -----
    Valid for: D < 1/4 in, 0.3 <= G <= 0.75.
    Differs from the source: not rounded to 50 psi, as the printed table is; typed from memory.
    """
    return 16600 * G**1.84 * psi


@formula(
    "F_yb",
    "psi",
    D="in",
    source="NDS 2018 Table I1",
    valid={"D": (0.099, 0.25)},
)
def nail_yield_strength(D):  # type: ignore[no-untyped-def]
    """Bending yield strength of common and box nails.

    Parameters
    ----------
    D : float or array [in]
        Diameter of the nail.

    Returns
    -------
    float or array [psi]
        100,000 psi for thin nails, less for thick ones.

    Notes
    -----
    Valid for: 0.099 <= D <= 0.25 in, low to medium carbon steel.
    Differs from the source: nothing; typed from memory.
    """
    thin = where(D <= 0.142 * inch, 100000 * psi, 90000 * psi)
    thick = where(D <= 0.236 * inch, 80000 * psi, 70000 * psi)
    return where(D <= 0.177 * inch, thin, thick)


@formula(
    "R_d",
    "",
    D="in",
    source="NDS 2018 Table 12.3.1B",
    valid={"D": (0.05, 0.25)},
)
def reduction_term(D):  # type: ignore[no-untyped-def]
    """Reduction term of nails.

    Parameters
    ----------
    D : float or array [in]
        Diameter of the nail.

    Returns
    -------
    float or array [dimensionless]
        2.2 for thin nails, rising to 3.

    Notes
    -----
    Valid for: D < 1/4 in.
    Differs from the source: nothing; typed from memory.
    """
    return where(D <= 0.17 * inch, 2.2, 10 * D / (1 * inch) + 0.5)


@formula(
    "l_m",
    "in",
    p="in",
    D="in",
    source="NDS 2018 12.3.5.3",
    valid={"p": positive, "D": positive},
)
def bearing_length_in_main(p, D):  # type: ignore[no-untyped-def]
    """Dowel bearing length in the main member.

    Parameters
    ----------
    p : float or array [in]
        Penetration into the main member.
    D : float or array [in]
        Diameter of the nail.

    Returns
    -------
    float or array [in]
        The penetration, less half the tip where it is below ten diameters.

    Notes
    -----
    Valid for: nails with a tip of 2 D.
    Differs from the source: nothing; typed from memory. The 2005 edition takes all of the tip off.
    """
    return where(p >= 10 * D, p, maximum(p - D, 0.01 * inch))


@formula(
    "Z_Im",
    "lbf",
    D="in",
    l_m="in",
    F_em="psi",
    R_d="",
    source="NDS 2018 Eq. 12.3-1",
    valid={"D": positive, "l_m": positive, "F_em": positive, "R_d": positive},
)
def mode_main_bearing(D, l_m, F_em, R_d):  # type: ignore[no-untyped-def]
    """Yield mode I_m: the main member crushes.

    Parameters
    ----------
    D : float or array [in]
        Diameter of the nail.
    l_m : float or array [in]
        Bearing length in the main member.
    F_em : float or array [psi]
        Dowel bearing strength of the main member.
    R_d : float or array [dimensionless]
        Reduction term.

    Returns
    -------
    float or array [lbf]
        Above zero.

    Notes
    -----
    Valid for: single shear, D < 1/4 in.
    Differs from the source: nothing; typed from memory.
    """
    return D * l_m * F_em / R_d


@formula(
    "Z_Is",
    "lbf",
    D="in",
    l_s="in",
    F_es="psi",
    R_d="",
    source="NDS 2018 Eq. 12.3-2",
    valid={"D": positive, "l_s": positive, "F_es": positive, "R_d": positive},
)
def mode_side_bearing(D, l_s, F_es, R_d):  # type: ignore[no-untyped-def]
    """Yield mode I_s: the side member crushes.

    Parameters
    ----------
    D : float or array [in]
        Diameter of the nail.
    l_s : float or array [in]
        Bearing length in the side member.
    F_es : float or array [psi]
        Dowel bearing strength of the side member.
    R_d : float or array [dimensionless]
        Reduction term.

    Returns
    -------
    float or array [lbf]
        Above zero.

    Notes
    -----
    Valid for: single shear, D < 1/4 in.
    Differs from the source: nothing; typed from memory.
    """
    return D * l_s * F_es / R_d


@formula(
    "Z_II",
    "lbf",
    D="in",
    l_m="in",
    l_s="in",
    F_em="psi",
    F_es="psi",
    R_d="",
    source="NDS 2018 Eq. 12.3-3",
    valid={
        "D": positive,
        "l_m": positive,
        "l_s": positive,
        "F_em": positive,
        "F_es": positive,
        "R_d": positive,
    },
)
def mode_rotation(D, l_m, l_s, F_em, F_es, R_d):  # type: ignore[no-untyped-def]
    """Yield mode II: the nail turns stiff in both members.

    Parameters
    ----------
    D : float or array [in]
        Diameter of the nail.
    l_m : float or array [in]
        Bearing length in the main member.
    l_s : float or array [in]
        Bearing length in the side member.
    F_em : float or array [psi]
        Dowel bearing strength of the main member.
    F_es : float or array [psi]
        Dowel bearing strength of the side member.
    R_d : float or array [dimensionless]
        Reduction term.

    Returns
    -------
    float or array [lbf]
        Above zero.

    Notes
    -----
    Valid for: single shear, D < 1/4 in.
    Differs from the source: nothing; typed from memory.
    """
    R_e = F_em / F_es
    R_t = l_m / l_s
    root = R_e + 2 * R_e**2 * (1 + R_t + R_t**2) + R_t**2 * R_e**3
    k_1 = (sqrt(root) - R_e * (1 + R_t)) / (1 + R_e)
    return k_1 * D * l_s * F_es / R_d


@formula(
    "Z_IIIm",
    "lbf",
    D="in",
    l_m="in",
    F_em="psi",
    F_es="psi",
    F_yb="psi",
    R_d="",
    source="NDS 2018 Eq. 12.3-4",
    valid={
        "D": positive,
        "l_m": positive,
        "F_em": positive,
        "F_es": positive,
        "F_yb": positive,
        "R_d": positive,
    },
)
def mode_hinge_in_main(D, l_m, F_em, F_es, F_yb, R_d):  # type: ignore[no-untyped-def]
    """Yield mode III_m: a hinge in the nail, the main member crushes.

    Parameters
    ----------
    D : float or array [in]
        Diameter of the nail.
    l_m : float or array [in]
        Bearing length in the main member.
    F_em : float or array [psi]
        Dowel bearing strength of the main member.
    F_es : float or array [psi]
        Dowel bearing strength of the side member.
    F_yb : float or array [psi]
        Bending yield strength of the nail.
    R_d : float or array [dimensionless]
        Reduction term.

    Returns
    -------
    float or array [lbf]
        Above zero.

    Notes
    -----
    Valid for: single shear, D < 1/4 in.
    Differs from the source: nothing; typed from memory.
    """
    R_e = F_em / F_es
    k_2 = -1 + sqrt(2 * (1 + R_e) + 2 * F_yb * (1 + 2 * R_e) * D**2 / (3 * F_em * l_m**2))
    return k_2 * D * l_m * F_em / ((1 + 2 * R_e) * R_d)


@formula(
    "Z_IIIs",
    "lbf",
    D="in",
    l_s="in",
    F_em="psi",
    F_es="psi",
    F_yb="psi",
    R_d="",
    source="NDS 2018 Eq. 12.3-5",
    valid={
        "D": positive,
        "l_s": positive,
        "F_em": positive,
        "F_es": positive,
        "F_yb": positive,
        "R_d": positive,
    },
)
def mode_hinge_in_side(D, l_s, F_em, F_es, F_yb, R_d):  # type: ignore[no-untyped-def]
    """Yield mode III_s: a hinge in the nail, the side member crushes.

    Parameters
    ----------
    D : float or array [in]
        Diameter of the nail.
    l_s : float or array [in]
        Bearing length in the side member.
    F_em : float or array [psi]
        Dowel bearing strength of the main member.
    F_es : float or array [psi]
        Dowel bearing strength of the side member.
    F_yb : float or array [psi]
        Bending yield strength of the nail.
    R_d : float or array [dimensionless]
        Reduction term.

    Returns
    -------
    float or array [lbf]
        Above zero.

    Notes
    -----
    Valid for: single shear, D < 1/4 in.
    Differs from the source: nothing; typed from memory.
    """
    R_e = F_em / F_es
    bent = 2 * F_yb * (2 + R_e) * D**2 / (3 * F_em * l_s**2)
    k_3 = -1 + sqrt(2 * (1 + R_e) / R_e + bent)
    return k_3 * D * l_s * F_em / ((2 + R_e) * R_d)


@formula(
    "Z_IV",
    "lbf",
    D="in",
    F_em="psi",
    F_es="psi",
    F_yb="psi",
    R_d="",
    source="NDS 2018 Eq. 12.3-6",
    valid={"D": positive, "F_em": positive, "F_es": positive, "F_yb": positive, "R_d": positive},
)
def mode_two_hinges(D, F_em, F_es, F_yb, R_d):  # type: ignore[no-untyped-def]
    """Yield mode IV: two hinges in the nail.

    Parameters
    ----------
    D : float or array [in]
        Diameter of the nail.
    F_em : float or array [psi]
        Dowel bearing strength of the main member.
    F_es : float or array [psi]
        Dowel bearing strength of the side member.
    F_yb : float or array [psi]
        Bending yield strength of the nail.
    R_d : float or array [dimensionless]
        Reduction term.

    Returns
    -------
    float or array [lbf]
        Above zero.

    Notes
    -----
    Valid for: single shear, D < 1/4 in.
    Differs from the source: nothing; typed from memory.
    """
    R_e = F_em / F_es
    return D**2 / R_d * sqrt(2 * F_em * F_yb / (3 * (1 + R_e)))


@formula(
    "Z",
    "lbf",
    Z_Im="lbf",
    Z_Is="lbf",
    Z_II="lbf",
    Z_IIIm="lbf",
    Z_IIIs="lbf",
    Z_IV="lbf",
    source="NDS 2018 12.3.1",
    valid={
        "Z_Im": positive,
        "Z_Is": positive,
        "Z_II": positive,
        "Z_IIIm": positive,
        "Z_IIIs": positive,
        "Z_IV": positive,
    },
)
def least_of_modes(Z_Im, Z_Is, Z_II, Z_IIIm, Z_IIIs, Z_IV):  # type: ignore[no-untyped-def]
    """Reference lateral value of a nail: the least of its yield modes.

    Parameters
    ----------
    Z_Im : float or array [lbf]
        Mode I_m.
    Z_Is : float or array [lbf]
        Mode I_s.
    Z_II : float or array [lbf]
        Mode II.
    Z_IIIm : float or array [lbf]
        Mode III_m.
    Z_IIIs : float or array [lbf]
        Mode III_s.
    Z_IV : float or array [lbf]
        Mode IV.

    Returns
    -------
    float or array [lbf]
        Above zero.

    Notes
    -----
    Valid for: single shear.
    Differs from the source: nothing.
    """
    return minimum(Z_Im, Z_Is, Z_II, Z_IIIm, Z_IIIs, Z_IV)


@formula(
    "W",
    "pli",
    G="",
    D="in",
    source="NDS 2018 Eq. 12.2-3",
    valid={"G": (0.3, 0.75), "D": positive},
)
def withdrawal_value(G, D):  # type: ignore[no-untyped-def]
    """Withdrawal value of a smooth nail from side grain, for each inch of penetration.

    Parameters
    ----------
    G : float or array [dimensionless]
        Specific gravity of the wood.
    D : float or array [in]
        Diameter of the nail.

    Returns
    -------
    float or array [pli]
        Above zero.

    Notes
    -----
    Valid for: side grain; from end grain no nail is counted on.
    Differs from the source: nothing.
    """
    return 1380 * psi * G**2.5 * D


@formula(
    "l_toe",
    "in",
    L="in",
    source="NDS 2018 12.1.6.3",
    valid={"L": positive},
)
def toe_nail_side_length(L):  # type: ignore[no-untyped-def]
    """Length of a toe-nail that counts as the side member.

    Parameters
    ----------
    L : float or array [in]
        Length of the nail.

    Returns
    -------
    float or array [in]
        A third of its length.

    Notes
    -----
    Valid for: nails at 30 degrees, started a third of their length from the end.
    Differs from the source: nothing; typed from memory.
    """
    return L / 3


@formula(
    "p_toe",
    "in",
    L="in",
    source="NDS 2018 12.1.6.3, geometry",
    valid={"L": positive},
)
def toe_nail_penetration(L):  # type: ignore[no-untyped-def]
    """Penetration of a toe-nail into the main member.

    Parameters
    ----------
    L : float or array [in]
        Length of the nail.

    Returns
    -------
    float or array [in]
        Somewhat more than half of its length.

    Notes
    -----
    Valid for: nails at 30 degrees, started a third of their length from the end.
    Differs from the source: nothing; typed from memory.
    """
    return L * sqrt(3) / 2 - L / 3


@formula(
    "Z_prime",
    "lbf",
    Z="lbf",
    C="",
    source="NDS 2018 Table 11.3.1",
    valid={"Z": positive, "C": (0.0, None)},
)
def adjusted_nail_value(Z, *C):  # type: ignore[no-untyped-def]
    """Adjusted lateral value of a nail.

    Parameters
    ----------
    Z : float or array [lbf]
        Reference value.
    *C : float or array [dimensionless]
        Every factor that applies: C_D or K_F, phi and lambda, C_M, C_t, C_eg, C_tn.

    Returns
    -------
    float or array [lbf]
        Zero or more.

    Notes
    -----
    Valid for: one nail; a group of nails thinner than 1/4 in has C_g = 1.
    Differs from the source: nothing.
    """
    return Z * product(C)


@formula(
    "n",
    "",
    w="plf",
    Z_prime="lbf",
    s="ft",
    source="mechanics, statics",
    valid={"w": (0.0, None), "Z_prime": positive, "s": positive},
)
def nails_used_up(w, Z_prime, s):  # type: ignore[no-untyped-def]
    """Nails needed at one station of a row that passes on a line load.

    Parameters
    ----------
    w : float or array [plf]
        Line load that one ply passes on to the next.
    Z_prime : float or array [lbf]
        Adjusted value of one nail.
    s : float or array [ft]
        Distance between stations.

    Returns
    -------
    float or array [dimensionless]
        Not a whole number as a rule: the number of rows must not be less.

    Notes
    -----
    Valid for: an even line load.
    Differs from the source: nothing.
    """
    return w * s / Z_prime


@formula(
    "w_ply",
    "plf",
    w="plf",
    n="",
    source="common practice",
    valid={"w": (0.0, None), "n": (2.0, None)},
)
def passed_on_by_first_ply(w, n):  # type: ignore[no-untyped-def]
    """Line load that the ply with joists hung on it passes on to the others.

    Parameters
    ----------
    w : float or array [plf]
        Line load hung on its outer face.
    n : float or array [dimensionless]
        Number of plies.

    Returns
    -------
    float or array [plf]
        All of it but the ply's own share.

    Notes
    -----
    Valid for: plies that share the load evenly, joists hung on one side.
    Differs from the source: nothing; a habit of the trade that makers' guides print alike.
    """
    return w * (n - 1) / n


@formula(
    "p",
    "in",
    L="in",
    t_s="in",
    source="geometry",
    valid={"L": positive, "t_s": positive},
)
def nail_penetration(L, t_s):  # type: ignore[no-untyped-def]
    """Penetration of a nail driven through a side member into one as thick.

    Parameters
    ----------
    L : float or array [in]
        Length of the nail.
    t_s : float or array [in]
        Thickness of each member.

    Returns
    -------
    float or array [in]
        At most the thickness of the member that it enters.

    Notes
    -----
    Valid for: two plies of one thickness; what goes on into a third is not counted.
    Differs from the source: nothing.
    """
    return minimum(maximum(L - t_s, 0.01 * inch), t_s)


@formula("p_min", "in", D="in", source="NDS 2018 12.1.6.4", valid={"D": positive})
def six_diameters(D):  # type: ignore[no-untyped-def]
    """Least penetration of a nail.

    Parameters
    ----------
    D : float or array [in]
        Diameter of the nail.

    Returns
    -------
    float or array [in]
        Six diameters.

    Notes
    -----
    Valid for: nails and spikes, the tip included.
    Differs from the source: nothing.
    """
    return 6 * D


# Factors of chapter 12 that do not depend on the load: typed from memory.
FACTORS = {
    "toe-nail, lateral": (0.83, "C_tn", "NDS 2018 12.5.4.1"),
    "toe-nail, withdrawal": (0.67, "C_tn", "NDS 2018 12.5.4.2"),
    "end grain, lateral": (0.67, "C_eg", "NDS 2018 12.5.2.2"),
}
STEEL = {
    # 1.375 F_u for sheet steel, 1.5 F_u for plates of 1/4 in and more.
    "sheet steel, 33 ksi": 61_850.0,
    "plate steel, 36 ksi": 87_000.0,
}


def nail_factor(what: str) -> Value:
    """Return a factor of chapter 12 as a leaf.

    Parameters
    ----------
    what : str
        "toe-nail, lateral", "toe-nail, withdrawal" or "end grain, lateral".
    """
    number, symbol, clause = FACTORS[what]
    return leaf(
        number,
        "",
        symbol,
        f"{clause}/{symbol}",
        title=f"nails: {what}",
        basis="required by code",
        source=clause,
        verified=False,
        note=FROM_MEMORY,
    )


def nail_size(nail: str) -> tuple[Value, Value]:
    """Return diameter and length of a nail by its trade name, as leaves.

    Parameters
    ----------
    nail : str
        Such as "16d common".

    Raises
    ------
    LookupMiss
        When the table has no such nail.
    """
    row = published.find("nails", nail=nail)
    verified = row.status == "verified"
    return tuple(  # type: ignore[return-value]
        leaf(
            row.number(column) * inch,
            "in",
            symbol,
            f"nails/{nail}/{symbol}",
            title=f"{what} of a {nail} nail",
            basis="published",
            source=row.printed,
            verified=verified,
            note="" if verified else FROM_MEMORY,
        )
        for column, symbol, what in (("D_in", "D", "diameter"), ("L_in", "L", "length"))
    )


def lateral_value(
    D: Any, l_m: Any, l_s: Any, F_em: Any, F_es: Any, F_yb: Any, R_d: Any
) -> tuple[Any, dict[str, Any]]:
    """Return the reference lateral value of a nail in single shear, and that of each mode.

    Parameters
    ----------
    D, l_m, l_s : Value or array [in]
        Diameter, bearing lengths in main and side member.
    F_em, F_es, F_yb : Value or array [psi]
        Dowel bearing strengths, and bending yield strength of the nail.
    R_d : Value or array

    Returns
    -------
    Z : Value or array [lbf]
    modes : dict of str to Value or array [lbf]
        "I_m", "I_s", "II", "III_m", "III_s", "IV".
    """
    modes = {
        "I_m": mode_main_bearing(D, l_m, F_em, R_d),
        "I_s": mode_side_bearing(D, l_s, F_es, R_d),
        "II": mode_rotation(D, l_m, l_s, F_em, F_es, R_d),
        "III_m": mode_hinge_in_main(D, l_m, F_em, F_es, F_yb, R_d),
        "III_s": mode_hinge_in_side(D, l_s, F_em, F_es, F_yb, R_d),
        "IV": mode_two_hinges(D, F_em, F_es, F_yb, R_d),
    }
    return least_of_modes(*modes.values()), modes
