"""Lateral stability of beams: effective length, slenderness, and the factor C_L."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from calclib import published
from calclib.timber.leaves import code_leaf, table_leaf
from calclib.trace import Value, formula, positive, product, sqrt, where

ANY_OTHER = "any other load on a single span or cantilever"
_TABLE = "nds-2018-3-3-3"


@formula(
    "l_e",
    "in",
    source="NDS 2018 Table 3.3.3",
    l_u="in",
    k="",
    valid={"l_u": positive, "k": positive},
)
def effective_length(l_u, k):  # type: ignore[no-untyped-def]
    """Effective length of a bending member, for loads whose row has one expression.

    Parameters
    ----------
    l_u : float or array [in]
        Unbraced length of the compression edge.
    k : float or array [dimensionless]
        Coefficient of the row.

    Returns
    -------
    float or array [in]
        Above zero.

    Notes
    -----
    Valid for: l_u > 0, k > 0.
    Differs from the source: nothing.
    """
    return k * l_u


@formula(
    "l_e",
    "in",
    source="NDS 2018 Table 3.3.3",
    l_u="in",
    d="in",
    r_1="",
    k_1="",
    k_2="",
    c_2="",
    valid={
        "l_u": positive,
        "d": positive,
        "r_1": positive,
        "k_1": positive,
        "k_2": positive,
        "c_2": positive,
    },
)
def effective_length_by_depth(l_u, d, r_1, k_1, k_2, c_2):  # type: ignore[no-untyped-def]
    """Effective length of a bending member, for loads whose row has two expressions.

    Parameters
    ----------
    l_u : float or array [in]
        Unbraced length of the compression edge.
    d : float or array [in]
        Depth.
    r_1 : float or array [dimensionless]
        Ratio l_u / d from which the second expression holds.
    k_1 : float or array [dimensionless]
        Coefficient of l_u below it.
    k_2 : float or array [dimensionless]
        Coefficient of l_u from it on.
    c_2 : float or array [dimensionless]
        Coefficient of d from it on.

    Returns
    -------
    float or array [in]
        Above zero; the printed coefficients leave a step of 0.1 % at the ratio.

    Notes
    -----
    Valid for: l_u > 0, d > 0, coefficients > 0.
    Differs from the source: nothing.
    """
    return where(l_u < r_1 * d, k_1 * l_u, k_2 * l_u + c_2 * d)


@formula(
    "l_e",
    "in",
    source="NDS 2018 Table 3.3.3 footnote",
    l_u="in",
    d="in",
    r_1="",
    r_2="",
    k_1="",
    k_2="",
    c_2="",
    k_3="",
    valid={
        "l_u": positive,
        "d": positive,
        "r_1": positive,
        "r_2": positive,
        "k_1": positive,
        "k_2": positive,
        "c_2": positive,
        "k_3": positive,
    },
)
def effective_length_of_any_load(l_u, d, r_1, r_2, k_1, k_2, c_2, k_3):  # type: ignore[no-untyped-def]
    """Effective length of a bending member, for loads that the table does not name.

    Parameters
    ----------
    l_u : float or array [in]
        Unbraced length of the compression edge.
    d : float or array [in]
        Depth.
    r_1 : float or array [dimensionless]
        Ratio l_u / d from which the second expression holds.
    r_2 : float or array [dimensionless]
        Ratio l_u / d above which the third expression holds.
    k_1 : float or array [dimensionless]
        Coefficient of l_u in the first.
    k_2 : float or array [dimensionless]
        Coefficient of l_u in the second.
    c_2 : float or array [dimensionless]
        Coefficient of d in the second.
    k_3 : float or array [dimensionless]
        Coefficient of l_u in the third.

    Returns
    -------
    float or array [in]
        Above zero; the printed coefficients leave a step of 0.1 % at the first ratio.

    Notes
    -----
    Valid for: l_u > 0, d > 0, coefficients > 0; a single span or a cantilever.
    Differs from the source: also taken for the unbraced lengths of continuous members.
    """
    return where(l_u < r_1 * d, k_1 * l_u, where(l_u <= r_2 * d, k_2 * l_u + c_2 * d, k_3 * l_u))


@formula(
    "R_B",
    "",
    source="NDS 2018 3.3.3.6 Eq. 3.3-5",
    l_e="in",
    d="in",
    b="in",
    valid={"l_e": positive, "d": positive, "b": positive},
)
def slenderness_ratio(l_e, d, b):  # type: ignore[no-untyped-def]
    """Slenderness ratio of a bending member.

    Parameters
    ----------
    l_e : float or array [in]
        Effective length.
    d : float or array [in]
        Depth.
    b : float or array [in]
        Breadth.

    Returns
    -------
    float or array [dimensionless]
        Above zero; a check that uses it has the condition that it is at most 50 (3.3.3.7).

    Notes
    -----
    Valid for: l_e > 0, d > 0, b > 0.
    Differs from the source: nothing.
    """
    return sqrt(l_e * d / b**2)


@formula(
    "E_min_prime",
    "psi",
    source="NDS 2018 Tables 4.3.1, 8.3.1",
    E_min="psi",
    C="",
    valid={"E_min": positive, "C": (0.0, None)},
)
def adjusted_stability_modulus(E_min, *C):  # type: ignore[no-untyped-def]
    """Adjusted modulus of elasticity for beam and column stability.

    Parameters
    ----------
    E_min : float or array [psi]
        Reference modulus for stability.
    *C : float or array [dimensionless]
        The factors that apply.

    Returns
    -------
    float or array [psi]
        Zero or more.

    Notes
    -----
    Valid for: E_min > 0, factors >= 0.
    Differs from the source: nothing.
    """
    return E_min * product(C)


@formula(
    "F_bE",
    "psi",
    source="NDS 2018 3.3.3.8",
    E_min_prime="psi",
    R_B="",
    valid={"E_min_prime": positive, "R_B": positive},
)
def critical_buckling_value(E_min_prime, R_B):  # type: ignore[no-untyped-def]
    """Critical buckling design value for bending.

    Parameters
    ----------
    E_min_prime : float or array [psi]
        Adjusted modulus for stability.
    R_B : float or array [dimensionless]
        Slenderness ratio.

    Returns
    -------
    float or array [psi]
        Above zero.

    Notes
    -----
    Valid for: E_min_prime > 0, R_B > 0.
    Differs from the source: nothing.
    """
    return 1.20 * E_min_prime / R_B**2


@formula(
    "C_L",
    "",
    source="NDS 2018 3.3.3.8 Eq. 3.3-6",
    F_bE="psi",
    F_b_star="psi",
    valid={"F_bE": (0.0, None), "F_b_star": positive},
)
def beam_stability_factor(F_bE, F_b_star):  # type: ignore[no-untyped-def]
    """Beam stability factor.

    Parameters
    ----------
    F_bE : float or array [psi]
        Critical buckling design value for bending.
    F_b_star : float or array [psi]
        Reference bending value with every factor but those of flat use, volume and stability.

    Returns
    -------
    float or array [dimensionless]
        Between 0 and 1; 1 for a member that cannot buckle sideways.

    Notes
    -----
    Valid for: F_bE >= 0, F_b_star > 0; rectangular members with R_B <= 50, a condition of the
    check.
    Differs from the source: 3.3.3.1, which sets it to 1 where d <= b, is not made use of; the
    equation gives slightly less there.
    """
    alpha = F_bE / F_b_star
    beta = (1 + alpha) / 1.9
    return beta - sqrt(beta**2 - alpha / 0.95)


@dataclass(frozen=True, eq=False, repr=False)
class Bracing:
    """How one edge of a member is held against moving sideways.

    Attributes
    ----------
    text : str
        What holds it, in words.
    l_u : Value or None [in]
        Unbraced length; None when the edge is held throughout.
    coefficients : tuple of Value
        Of the row of NDS Table 3.3.3, as its formula takes them.
    R_B_max : Value or None
        Greatest slenderness ratio allowed.
    C_L : Value or None
        1 when the edge is held throughout.
    """

    text: str
    l_u: Any = None
    coefficients: tuple[Any, ...] = ()
    R_B_max: Any = None
    C_L: Any = None


HELD = "compression edge held throughout, ends held from turning"


def held_throughout(why: str = HELD) -> Bracing:
    """Return the bracing of an edge that cannot move sideways: C_L = 1.

    Parameters
    ----------
    why : str
        What holds it.
    """
    return Bracing(
        why,
        C_L=code_leaf(
            1.0,
            "C_L",
            f"NDS-2018/C_L = 1/{why}",
            f"beam stability factor, {why}",
            "NDS 2018 3.3.3.3",
        ),
    )


def braced_at(l_u: Value, case: str = ANY_OTHER) -> Bracing:
    """Return the bracing of an edge held at intervals.

    Parameters
    ----------
    l_u : Value [in]
        Distance between the points where the edge is held; 0 for an edge held throughout.
    case : str
        Loading case of NDS Table 3.3.3, as `calclib.published` names it.

    Returns
    -------
    Bracing

    Raises
    ------
    LookupMiss
        For a loading case that the table does not hold; the message names what is near.
    """
    if l_u.at() == 0:
        return held_throughout()
    rows = published.matching(_TABLE, case=case)

    def number(row: published.Row, column: str, symbol: str) -> Value:
        return table_leaf(row, column, symbol, f"{symbol}, {row.key[0]}, {row.key[1]}")

    k = [number(r, "coefficient_l_u", f"k_{i}") for i, r in enumerate(rows, start=1)]
    coefficients: tuple[Value, ...] = (k[0],)
    if len(rows) > 1:
        ratios = [number(r, "l_u_over_d_max", f"r_{i}") for i, r in enumerate(rows[:-1], start=1)]
        coefficients = (*ratios, *k[:2], number(rows[1], "coefficient_d", "c_2"), *k[2:])
    limit = code_leaf(
        50.0, "R_B_max", "NDS-2018/R_B", "greatest slenderness ratio of a beam", "NDS 2018 3.3.3.7"
    )
    return Bracing(f"held at intervals; {rows[0].key[0]}", l_u, coefficients, limit)


def effective_length_of(bracing: Bracing, d: Any) -> Any:
    """Return l_e [in] of an edge that is held at intervals, by the formula of its row."""
    if len(bracing.coefficients) == 1:
        return effective_length(bracing.l_u, *bracing.coefficients)
    if len(bracing.coefficients) == 4:
        return effective_length_by_depth(bracing.l_u, d, *bracing.coefficients)
    return effective_length_of_any_load(bracing.l_u, d, *bracing.coefficients)
