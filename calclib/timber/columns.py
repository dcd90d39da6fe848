"""Compression along the grain: effective length, slenderness, and the column factor C_P."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from calclib import published
from calclib.errors import InputError, message
from calclib.timber.factors import Service, wet_service_factor
from calclib.timber.leaves import code_leaf, table_leaf
from calclib.timber.materials import COMPOSITE, DIMENSION_LUMBER, SAWN, Material
from calclib.timber.stability import Bracing, braced_at, held_throughout
from calclib.trace import Value, formula, minimum, positive, product, sqrt, where

PINNED = "both ends pinned, no sway"
# Rows of the table of c, by the table that says which factors apply.
COLUMN_PRODUCTS = {
    SAWN: "sawn lumber",
    COMPOSITE: "structural composite lumber",
    "nds-2018-5-3-1": "glulam",
}


@formula(
    "f_c",
    "psi",
    source="NDS 2018 3.6.3",
    P="lbf",
    A="in^2",
    valid={"P": (None, None), "A": positive},
)
def compression_stress(P, A):  # type: ignore[no-untyped-def]
    """Compression stress along the grain.

    Parameters
    ----------
    P : float or array [lbf]
        Axial load, pressing positive.
    A : float or array [in^2]
        Area of the section.

    Returns
    -------
    float or array [psi]
        With the sign of P: negative in a case that lifts, which is for another check.

    Notes
    -----
    Valid for: A > 0; the load in the middle of the section.
    Differs from the source: nothing; holes where buckling decides are not covered.
    """
    return P / A


@formula(
    "l_e",
    "in",
    source="NDS 2018 3.7.1.2, Appendix G",
    K_e="",
    l="in",
    valid={"K_e": (0.5, 2.4), "l": positive},
)
def effective_column_length(K_e, l):  # type: ignore[no-untyped-def]  # noqa: E741
    """Effective length of a column about one axis.

    Parameters
    ----------
    K_e : float or array [dimensionless]
        Buckling length coefficient of the ends.
    l : float or array [in]
        Distance between the points that are held against moving sideways.

    Returns
    -------
    float or array [in]
        Above zero.

    Notes
    -----
    Valid for: 0.5 <= K_e <= 2.4, l > 0.
    Differs from the source: nothing.
    """
    return K_e * l


@formula(
    "s_1",
    "",
    source="NDS 2018 3.7.1.3",
    l_e1="in",
    d_1="in",
    valid={"l_e1": positive, "d_1": positive},
)
def edgewise_slenderness(l_e1, d_1):  # type: ignore[no-untyped-def]
    """Slenderness ratio for buckling edgewise, in the direction of the wide faces.

    Parameters
    ----------
    l_e1 : float or array [in]
        Effective length between points held in the direction of the wide faces.
    d_1 : float or array [in]
        Width of the wide face.

    Returns
    -------
    float or array [dimensionless]
        Above zero; at most 50, or 75 during construction, by a condition of the check.

    Notes
    -----
    Valid for: l_e1 > 0, d_1 > 0; a rectangle.
    Differs from the source: nothing; the standard writes l_e1/d_1 without a symbol.
    """
    return l_e1 / d_1


@formula(
    "s_2",
    "",
    source="NDS 2018 3.7.1.3",
    l_e2="in",
    d_2="in",
    valid={"l_e2": positive, "d_2": positive},
)
def flatwise_slenderness(l_e2, d_2):  # type: ignore[no-untyped-def]
    """Slenderness ratio for buckling flatwise, in the direction of the narrow faces.

    Parameters
    ----------
    l_e2 : float or array [in]
        Effective length between points held in the direction of the narrow faces.
    d_2 : float or array [in]
        Width of the narrow face, of all plies together.

    Returns
    -------
    float or array [dimensionless]
        Above zero; at most 50, or 75 during construction, by a condition of the check.

    Notes
    -----
    Valid for: l_e2 > 0, d_2 > 0; a rectangle.
    Differs from the source: nothing; the standard writes l_e2/d_2 without a symbol.
    """
    return l_e2 / d_2


@formula(
    "F_cE1",
    "psi",
    source="NDS 2018 3.7.1.5, 3.9.2",
    E_min_prime="psi",
    s_1="",
    valid={"E_min_prime": positive, "s_1": positive},
)
def edgewise_buckling_value(E_min_prime, s_1):  # type: ignore[no-untyped-def]
    """Critical buckling design value of a column, edgewise.

    Parameters
    ----------
    E_min_prime : float or array [psi]
        Adjusted modulus for stability; of glulam about the x axis.
    s_1 : float or array [dimensionless]
        Slenderness ratio edgewise.

    Returns
    -------
    float or array [psi]
        Above zero.

    Notes
    -----
    Valid for: E_min_prime > 0, s_1 > 0.
    Differs from the source: nothing.
    """
    return 0.822 * E_min_prime / s_1**2


@formula(
    "F_cE2",
    "psi",
    source="NDS 2018 3.7.1.5, 3.9.2",
    E_min_prime="psi",
    s_2="",
    valid={"E_min_prime": positive, "s_2": positive},
)
def flatwise_buckling_value(E_min_prime, s_2):  # type: ignore[no-untyped-def]
    """Critical buckling design value of a column, flatwise.

    Parameters
    ----------
    E_min_prime : float or array [psi]
        Adjusted modulus for stability; of glulam about the y axis.
    s_2 : float or array [dimensionless]
        Slenderness ratio flatwise.

    Returns
    -------
    float or array [psi]
        Above zero.

    Notes
    -----
    Valid for: E_min_prime > 0, s_2 > 0.
    Differs from the source: nothing.
    """
    return 0.822 * E_min_prime / s_2**2


@formula(
    "F_cE",
    "psi",
    source="NDS 2018 3.7.1.3, 3.7.1.5",
    F_cE1="psi",
    F_cE2="psi",
    valid={"F_cE1": positive, "F_cE2": positive},
)
def governing_buckling_value(F_cE1, F_cE2):  # type: ignore[no-untyped-def]
    """Critical buckling design value of the axis that governs.

    Parameters
    ----------
    F_cE1 : float or array [psi]
        Edgewise.
    F_cE2 : float or array [psi]
        Flatwise.

    Returns
    -------
    float or array [psi]
        Above zero.

    Notes
    -----
    Valid for: both above zero.
    Differs from the source: the clause takes the greater slenderness ratio, which is the same
    for one E_min; the lesser value also holds for glulam, whose E_min differs by axis.
    """
    return minimum(F_cE1, F_cE2)


@formula(
    "F_c_star",
    "psi",
    source="NDS 2018 3.7.1.5",
    F_c="psi",
    C="",
    valid={"F_c": positive, "C": (0.0, None)},
)
def compression_value_for_stability(F_c, *C):  # type: ignore[no-untyped-def]
    """Reference compression value along the grain with every factor but C_P.

    Parameters
    ----------
    F_c : float or array [psi]
        Reference compression value along the grain.
    *C : float or array [dimensionless]
        The factors that apply, without C_P.

    Returns
    -------
    float or array [psi]
        Zero or more.

    Notes
    -----
    Valid for: F_c > 0, factors >= 0.
    Differs from the source: nothing.
    """
    return F_c * product(C)


@formula(
    "C_P",
    "",
    source="NDS 2018 3.7.1.5 Eq. 3.7-1",
    F_cE="psi",
    F_c_star="psi",
    c="",
    valid={"F_cE": (0.0, None), "F_c_star": positive, "c": (0.8, 0.9)},
)
def column_stability_factor(F_cE, F_c_star, c):  # type: ignore[no-untyped-def]
    """Column stability factor.

    Parameters
    ----------
    F_cE : float or array [psi]
        Critical buckling design value of the axis that governs.
    F_c_star : float or array [psi]
        Reference compression value with every factor but C_P.
    c : float or array [dimensionless]
        0.8 for sawn lumber, 0.85 for round timber, 0.9 for glulam and composite lumber.

    Returns
    -------
    float or array [dimensionless]
        Between 0 and 1; 1 for a column that cannot buckle.

    Notes
    -----
    Valid for: F_cE >= 0, F_c_star > 0, 0.8 <= c <= 0.9; slenderness ratios at most 50, a
    condition of the check.
    Differs from the source: nothing.
    """
    alpha = F_cE / F_c_star
    beta = (1 + alpha) / (2 * c)
    return beta - sqrt(beta**2 - alpha / c)


@formula(
    "F_c_prime",
    "psi",
    source="NDS 2018 3.6.3, Tables 4.3.1, 5.3.1, 8.3.1",
    F_c="psi",
    C="",
    valid={"F_c": positive, "C": (0.0, None)},
)
def adjusted_compression_value(F_c, *C):  # type: ignore[no-untyped-def]
    """Adjusted compression design value along the grain.

    Parameters
    ----------
    F_c : float or array [psi]
        Reference compression value along the grain.
    *C : float or array [dimensionless]
        The factors that apply, C_P among them.

    Returns
    -------
    float or array [psi]
        Zero or more.

    Notes
    -----
    Valid for: F_c > 0, factors >= 0.
    Differs from the source: nothing.
    """
    return F_c * product(C)


@formula(
    "C_M",
    "",
    source="NDS Supplement 2018 Tables 4A and 4B, wet service factor",
    F_c="psi",
    C_F_c="",
    F_low="psi",
    C_M_wet="",
    valid={"F_c": positive, "C_F_c": positive, "F_low": positive, "C_M_wet": (0.0, 1.0)},
)
def wet_service_factor_for_compression(F_c, C_F_c, F_low, C_M_wet):  # type: ignore[no-untyped-def]
    """Wet service factor on F_c of dimension lumber.

    Parameters
    ----------
    F_c : float or array [psi]
        Reference compression value along the grain.
    C_F_c : float or array [dimensionless]
        Size factor for F_c.
    F_low : float or array [psi]
        Product of the two up to which moisture does not count.
    C_M_wet : float or array [dimensionless]
        The factor above it.

    Returns
    -------
    float or array [dimensionless]
        C_M_wet or 1.

    Notes
    -----
    Valid for: F_c > 0, C_F_c > 0, 0 <= C_M_wet <= 1; moisture content in service over 19 %.
    Differs from the source: nothing.
    """
    return where(F_c * C_F_c <= F_low, 1, C_M_wet)


def compression_wet_service_factor(material: Material, C_F: Any, service: Service) -> Value:
    """Return C_M for F_c, which stays 1 where F_c C_F of dimension lumber is small.

    Parameters
    ----------
    material : Material
    C_F : Value
        Size factor for F_c.
    service : Service
    """
    if material.kind != DIMENSION_LUMBER or service.moisture == "dry":
        return wet_service_factor(material.kind, "Fc", service)
    row = published.find("nds-2018-wet-service", product=material.kind)
    title = f"wet service factor for Fc, {material.kind}"
    wet = table_leaf(row, "C_M_c", "C_M_wet", title, of="Fc")
    low = table_leaf(row, "Fc_C_F_max_psi", "F_low", "limit of F_c C_F for C_M = 1", "psi", "Fc")
    made: Value = wet_service_factor_for_compression(material.F_c, C_F, low, wet)
    return made


def column_coefficient(material: Material) -> Value:
    """Return the coefficient c of the column stability factor for a material."""
    row = published.find("nds-2018-3-7-1", product=COLUMN_PRODUCTS[material.applies])
    return table_leaf(row, "c", "c", f"coefficient c of columns, {row.key[0]}")


def braced_column_factor() -> Value:
    """Return C_P = 1: the column cannot move sideways in any direction."""
    return code_leaf(
        1.0,
        "C_P",
        "NDS-2018/C_P = 1",
        "column stability factor, held in all directions throughout its length",
        "NDS 2018 3.7.1.1",
    )


@dataclass(frozen=True, eq=False, repr=False)
class ColumnBracing:
    """Where a column is held against moving sideways, and how its ends are held.

    Attributes
    ----------
    text : str
        What holds it, in words.
    l_1, K_e1 : Value or None [in], [dimensionless]
        Edgewise, in the direction of the wide faces; None when held throughout.
    l_2, K_e2 : Value or None [in], [dimensionless]
        Flatwise, in the direction of the narrow faces; None when held throughout.
    s_max : Value
        Greatest slenderness ratio allowed.
    edge : Bracing
        Of the edge that bending edgewise compresses.
    C_P_held : Value
        1, for a column that is held throughout in both directions.
    u_max : Value
        1, the greatest ratio of combined stresses.
    """

    text: str
    l_1: Any
    K_e1: Any
    l_2: Any
    K_e2: Any
    s_max: Any
    edge: Bracing
    C_P_held: Any
    u_max: Any


def column_bracing(
    l_1: Value | None,
    l_2: Value | None,
    *,
    ends_1: str = PINNED,
    ends_2: str = PINNED,
    edge: Bracing | None = None,
    during_construction: bool = False,
) -> ColumnBracing:
    """Return the bracing of a column.

    Parameters
    ----------
    l_1 : Value or None [in]
        Distance between points held edgewise; None when held throughout.
    l_2 : Value or None [in]
        Distance between points held flatwise; None when held throughout, as a stud is by its
        sheathing.
    ends_1, ends_2 : str
        Condition of the ends in each direction, as NDS Appendix G is named in
        `calclib.published`.
    edge : Bracing, optional
        Of the edge that bending edgewise compresses; held where the column is held flatwise when
        it is not given.
    during_construction : bool
        Whether the slenderness limit of 75 holds, for a column that stands only while it is
        built; 50 otherwise.

    Returns
    -------
    ColumnBracing

    Raises
    ------
    LookupMiss
        When the table has no such condition of the ends.
    InputError
        When the edge is said to be held throughout and the column flatwise is not.
    """
    if edge is None:
        edge = held_throughout("held flatwise throughout") if l_2 is None else braced_at(l_2)
    elif edge.C_L is not None and l_2 is not None:
        raise InputError(
            message(
                "bracing of a column",
                "the length between points that hold the edge",
                "an edge held throughout",
                "A column whose edge is held throughout is held flatwise too.",
            )
        )
    words = [
        f"{way} {'throughout' if held is None else f'at intervals, {ends}'}"
        for way, held, ends in (("edgewise", l_1, ends_1), ("flatwise", l_2, ends_2))
    ]
    K_e1, K_e2 = (
        None if held is None else buckling_length_coefficient(ends)
        for held, ends in ((l_1, ends_1), (l_2, ends_2))
    )
    u_max = code_leaf(
        1.0,
        "u_max",
        "NDS-2018/u = 1",
        "greatest ratio of combined stresses",
        "NDS 2018 3.9.2, 15.4.1",
    )
    return ColumnBracing(
        f"held {'; '.join(words)}",
        l_1,
        K_e1,
        l_2,
        K_e2,
        slenderness_limit(during_construction),
        edge,
        braced_column_factor(),
        u_max,
    )


def buckling_length_coefficient(ends: str = PINNED) -> Value:
    """Return K_e for a condition of the ends.

    Raises
    ------
    LookupMiss
        When the table has no such condition; the message names what is near.
    """
    row = published.find("nds-2018-g1", condition=ends)
    return table_leaf(row, "K_e", "K_e", f"buckling length coefficient, {row.key[0]}")


def slenderness_limit(during_construction: bool = False) -> Value:
    """Return the greatest slenderness ratio of a column, 50, or 75 during construction."""
    if during_construction:
        return code_leaf(
            75.0,
            "s_max",
            "NDS-2018/s/construction",
            "greatest slenderness ratio of a column during construction",
            "NDS 2018 3.7.1.4",
        )
    return code_leaf(
        50.0, "s_max", "NDS-2018/s", "greatest slenderness ratio of a column", "NDS 2018 3.7.1.4"
    )
