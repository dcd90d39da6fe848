"""Built-up columns: what their nails or bolts must meet, and the column factor that follows."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from calclib import published
from calclib.errors import InputError, message
from calclib.timber.leaves import table_leaf
from calclib.trace import (
    Condition,
    Value,
    formula,
    maximum,
    minimum,
    positive,
    sqrt,
    step,
    utilization,
    where,
)
from calclib.units import feet_inches

NAILED, BOLTED = "nailed", "bolted"
CLAUSES = {NAILED: "NDS 2018 15.3.3", BOLTED: "NDS 2018 15.3.4"}
_TABLE = "nds-2018-15-3"
# Columns of the table that limit something, in words.
_WORDS = {
    "plies_max": "greatest number of plies",
    "t_min_in": "least thickness of a ply",
    "penetration_share": "share of the last ply that nails reach",
    "end_min_D": "least distance to the end in diameters",
    "end_max_D": "greatest distance to the end in diameters",
    "spacing_min_D": "least spacing along a row in diameters",
    "spacing_max_t": "greatest spacing along a row in thicknesses",
    "edge_min_D": "least distance to the edge in diameters",
    "edge_max_D": "greatest distance to the edge in diameters",
    "rows_apart_min_D": "least distance between rows in diameters",
    "rows_apart_max_D": "greatest distance between rows in diameters",
    "one_row_max_t": "thicknesses up to which one row does",
}


@formula(
    "L_min",
    "in",
    source="NDS 2018 15.3.3",
    n="",
    t="in",
    k="",
    valid={"n": (2.0, None), "t": positive, "k": (0.0, 1.0)},
)
def least_nail_length(n, t, k):  # type: ignore[no-untyped-def]
    """Length of nail that goes through all plies but the last, and far enough into that.

    Parameters
    ----------
    n : float or array [dimensionless]
        Number of plies.
    t : float or array [in]
        Thickness of a ply.
    k : float or array [dimensionless]
        Share of the last ply that the nail must reach.

    Returns
    -------
    float or array [in]
        Above zero: 4-1/8 in for three plies of 1-1/2 in.

    Notes
    -----
    Valid for: n >= 2, t > 0, 0 <= k <= 1; plies of one thickness.
    Differs from the source: nothing.
    """
    return (n - 1 + k) * t


@formula(
    "x_D",
    "in",
    source="NDS 2018 15.3.3, 15.3.4",
    k="",
    D="in",
    valid={"k": positive, "D": positive},
)
def limit_in_diameters(k, D):  # type: ignore[no-untyped-def]
    """Least or greatest distance of fasteners, as a multiple of their diameter.

    Parameters
    ----------
    k : float or array [dimensionless]
        The multiple.
    D : float or array [in]
        Diameter of the nail or bolt.

    Returns
    -------
    float or array [in]
        Above zero.

    Notes
    -----
    Valid for: k > 0, D > 0.
    Differs from the source: nothing.
    """
    return k * D


@formula(
    "x_t",
    "in",
    source="NDS 2018 15.3.3, 15.3.4",
    k="",
    t="in",
    valid={"k": positive, "t": positive},
)
def limit_in_thicknesses(k, t):  # type: ignore[no-untyped-def]
    """Greatest spacing of fasteners, as a multiple of the thickness of the thinnest ply.

    Parameters
    ----------
    k : float or array [dimensionless]
        The multiple.
    t : float or array [in]
        Thickness of the thinnest ply.

    Returns
    -------
    float or array [in]
        Above zero.

    Notes
    -----
    Valid for: k > 0, t > 0.
    Differs from the source: nothing.
    """
    return k * t


@formula(
    "n_req",
    "",
    source="NDS 2018 15.3.3, 15.3.4",
    d="in",
    t="in",
    k="",
    valid={"d": positive, "t": positive, "k": positive},
)
def required_rows(d, t, k):  # type: ignore[no-untyped-def]
    """Number of lengthwise rows of fasteners that is required.

    Parameters
    ----------
    d : float or array [in]
        Width of the plies.
    t : float or array [in]
        Thickness of the thinnest ply.
    k : float or array [dimensionless]
        Number of thicknesses up to which one row does.

    Returns
    -------
    float or array [dimensionless]
        1 or 2.

    Notes
    -----
    Valid for: d > 0, t > 0, k > 0.
    Differs from the source: nothing.
    """
    return where(d > k * t, 2, 1)


@formula(
    "C_Pf",
    "",
    source="NDS 2018 15.3.2 Eq. 15.3-1",
    F_cE2="psi",
    F_c_star="psi",
    c="",
    K_f="",
    valid={"F_cE2": (0.0, None), "F_c_star": positive, "c": (0.8, 0.9), "K_f": (0.6, 1.0)},
)
def built_up_stability_factor(F_cE2, F_c_star, c, K_f):  # type: ignore[no-untyped-def]
    """Column stability factor of a built-up column flatwise, where the plies slip.

    Parameters
    ----------
    F_cE2 : float or array [psi]
        Critical buckling design value flatwise, of all plies together.
    F_c_star : float or array [psi]
        Reference compression value with every factor but C_P.
    c : float or array [dimensionless]
        Coefficient of the material.
    K_f : float or array [dimensionless]
        0.6 for a nailed, 0.75 for a bolted column.

    Returns
    -------
    float or array [dimensionless]
        Between 0 and K_f.

    Notes
    -----
    Valid for: F_cE2 >= 0, F_c_star > 0, 0.8 <= c <= 0.9, 0.6 <= K_f <= 1.
    Differs from the source: nothing.
    From memory: compare with the printed clause.
    """
    alpha = F_cE2 / F_c_star
    beta = (1 + alpha) / (2 * c)
    return K_f * (beta - sqrt(beta**2 - alpha / c))


@formula(
    "C_Pb",
    "",
    source="NDS 2018 15.3.2",
    C_P1="",
    C_Pf="",
    valid={"C_P1": (0.0, None), "C_Pf": (0.0, None)},
)
def lesser_built_up_factor(C_P1, C_Pf):  # type: ignore[no-untyped-def]
    """Column stability factor of a built-up column, the lesser of its two axes.

    Parameters
    ----------
    C_P1 : float or array [dimensionless]
        Edgewise, where the plies do not slip: K_f is 1.
    C_Pf : float or array [dimensionless]
        Flatwise, with K_f.

    Returns
    -------
    float or array [dimensionless]
        Zero or more.

    Notes
    -----
    Valid for: both zero or more.
    Differs from the source: the clause chooses the axis by its slenderness; the lesser of both
    factors is never more.
    """
    return minimum(C_P1, C_Pf)


@formula(
    "C_P",
    "",
    source="NDS 2018 15.3.1, 15.3.2",
    C_Pb="",
    C_P_ply="",
    q="",
    s_ply="",
    s_max="",
    valid={
        "C_Pb": (0.0, None),
        "C_P_ply": (0.0, None),
        "q": (0.0, None),
        "s_ply": positive,
        "s_max": positive,
    },
)
def built_up_column_factor(C_Pb, C_P_ply, q, s_ply, s_max):  # type: ignore[no-untyped-def]
    """Column stability factor that a pack of plies may take.

    Parameters
    ----------
    C_Pb : float or array [dimensionless]
        As a built-up column.
    C_P_ply : float or array [dimensionless]
        Of its plies as columns of their own.
    q : float or array [dimensionless]
        The worst of the ratios that its fastening must meet.
    s_ply : float or array [dimensionless]
        Slenderness ratio of one ply flatwise.
    s_max : float or array [dimensionless]
        Greatest slenderness ratio allowed.

    Returns
    -------
    float or array [dimensionless]
        That of a built-up column where the fastening meets the clause, but not less than that of
        the plies where these are not too slender; else that of the plies.

    Notes
    -----
    Valid for: factors and q zero or more, slenderness above zero.
    Differs from the source: two clauses in words, in one expression.
    """
    built_up = where(s_ply <= s_max, maximum(C_Pb, C_P_ply), C_Pb)
    return where(q <= 1, built_up, C_P_ply)


@formula(
    "s_2b",
    "",
    source="NDS 2018 15.3.1, 15.3.2",
    s_2="",
    s_ply="",
    q="",
    valid={"s_2": positive, "s_ply": positive, "q": (0.0, None)},
)
def built_up_slenderness(s_2, s_ply, q):  # type: ignore[no-untyped-def]
    """Slenderness ratio flatwise that a pack of plies must keep within the limit.

    Parameters
    ----------
    s_2 : float or array [dimensionless]
        Of all plies together.
    s_ply : float or array [dimensionless]
        Of one ply.
    q : float or array [dimensionless]
        The worst of the ratios that its fastening must meet.

    Returns
    -------
    float or array [dimensionless]
        Of all plies where the fastening meets the clause, else of one.

    Notes
    -----
    Valid for: slenderness above zero, q >= 0.
    Differs from the source: two clauses in words, in one expression.
    """
    return where(q <= 1, s_2, s_ply)


@dataclass(frozen=True, eq=False, repr=False)
class Fastening:
    """How the plies of a built-up column are nailed or bolted together.

    Attributes
    ----------
    kind : str
        "nailed" or "bolted".
    D : Value [in]
        Diameter of nail or bolt.
    length : Value or None [in]
        Length of the nails; None for bolts.
    end, spacing, edge : Value [in]
        Distance to the end, along a row, and to the edge of the plies.
    rows : Value
        Number of lengthwise rows.
    rows_apart : Value or None [in]
        Distance between rows; None for one row.
    K_f : Value
        Built-up column coefficient flatwise.
    k : mapping of str to Value
        Coefficients of the limits, by column of the table.
    faults : tuple of str
        What was said of the fastening that does not meet the clause.
    """

    kind: str
    D: Any
    length: Any
    end: Any
    spacing: Any
    edge: Any
    rows: Any
    rows_apart: Any
    K_f: Any
    k: dict[str, Any]
    faults: tuple[str, ...] = ()


def nailing(
    D: Value,
    length: Value,
    *,
    end: Value,
    spacing: Value,
    edge: Value,
    rows: Value,
    rows_apart: Value | None = None,
    opposite_faces: bool,
    staggered: bool,
) -> Fastening:
    """Return the nailing of a built-up column.

    Parameters
    ----------
    D, length : Value [in]
        Of the nails.
    end, spacing, edge : Value [in]
        Distance to the end, between nails along a row, and to the edge of the plies.
    rows : Value
        Number of lengthwise rows.
    rows_apart : Value, optional [in]
        Distance between rows, for more than one.
    opposite_faces : bool
        Whether adjacent nails are driven from opposite faces.
    staggered : bool
        Whether nails are staggered, which one row or three and more must be.

    Raises
    ------
    InputError
        When several rows have no distance between them.
    """
    _require_rows_apart(rows, rows_apart)
    faults = [] if opposite_faces else ["adjacent nails are not driven from opposite faces"]
    if not staggered and rows.at() != 2:
        faults.append("nails are not staggered")
    return Fastening(
        NAILED,
        D,
        length,
        end,
        spacing,
        edge,
        rows,
        rows_apart,
        *_coefficients(NAILED),
        tuple(faults),
    )


def bolting(
    D: Value,
    *,
    end: Value,
    spacing: Value,
    edge: Value,
    rows: Value,
    rows_apart: Value | None = None,
    washers: bool,
) -> Fastening:
    """Return the bolting of a built-up column of softwood.

    Parameters
    ----------
    D : Value [in]
        Of the bolts.
    end, spacing, edge : Value [in]
        Distance to the end, between bolts along a row, and to the edge of the plies.
    rows : Value
        Number of lengthwise rows.
    rows_apart : Value, optional [in]
        Distance between rows, for more than one.
    washers : bool
        Whether a metal plate or washer is between the wood and each head and nut.

    Raises
    ------
    InputError
        When several rows have no distance between them.
    """
    _require_rows_apart(rows, rows_apart)
    faults = () if washers else ("bolts have no plate or washer under head and nut",)
    return Fastening(
        BOLTED, D, None, end, spacing, edge, rows, rows_apart, *_coefficients(BOLTED), faults
    )


def _require_rows_apart(rows: Value, rows_apart: Value | None) -> None:
    if rows.at() > 1 and rows_apart is None:
        needs = f"the distance between {rows.at():g} rows"
        raise InputError(message("built-up column", needs, "none"))


def _coefficients(kind: str) -> tuple[Value, dict[str, Value]]:
    """Return K_f and the coefficients of the limits of a nailed or bolted column."""
    row = published.find(_TABLE, fastening=kind)
    K_f = table_leaf(row, "K_f", "K_f", f"built-up column coefficient, {kind}, flatwise")
    k = {
        column: table_leaf(
            row,
            column,
            "t_min" if column == "t_min_in" else "k",
            f"{words}, {kind}",
            "in" if column == "t_min_in" else "",
            of=column,
        )
        for column, words in _WORDS.items()
        if isinstance(row.values[column], float)
    }
    return K_f, k


PENETRATION = "Nails go through all plies and at least 3/4 of the last."


def fastening_limits(fastening: Fastening, n: Any, t: Any, d: Any) -> tuple[Condition, ...]:
    """Return what a built-up column must meet, each with the ratio that is at most 1 when it does.

    Parameters
    ----------
    fastening : Fastening
    n : Value
        Number of plies.
    t, d : Value [in]
        Thickness and width of a ply.

    Notes
    -----
    Valid for: plies of one size, full length, with faces in contact.
    Differs from the source: nothing.
    """
    row, clause = published.find(_TABLE, fastening=fastening.kind), CLAUSES[fastening.kind]
    nouns = "nails" if fastening.kind == NAILED else "bolts"
    D, k = fastening.D, fastening.k
    made = [
        Condition(
            f"There are at most {row.number('plies_max'):g} plies.",
            utilization(n, k["plies_max"]),
            "NDS 2018 15.3.1",
        ),
        Condition(
            f"Each ply is at least {feet_inches(row.number('t_min_in'))} thick.",
            utilization(k["t_min_in"], t),
            "NDS 2018 15.3.1",
        ),
    ]
    if fastening.kind == NAILED:
        needed = least_nail_length(n, t, k["penetration_share"])
        made.append(Condition(PENETRATION, utilization(needed, fastening.length), clause))
    distances = [
        ("end", fastening.end, "distance to the end"),
        ("spacing", fastening.spacing, "spacing along a row"),
        ("edge", fastening.edge, "distance to the edge"),
    ]
    if fastening.rows_apart is not None:
        distances.append(("rows_apart", fastening.rows_apart, "distance between rows"))
    for name, x, words in distances:
        low, high = f"{name}_min_D", f"{name}_max_D"
        text = f"The {words} of {nouns} is at least {row.number(low):g} diameters."
        made.append(Condition(text, utilization(limit_in_diameters(k[low], D), x), clause))
        if name == "spacing":
            high = "spacing_max_t"
            text = f"The {words} of {nouns} is at most {row.number(high):g} thicknesses of a ply."
            made.append(Condition(text, utilization(x, limit_in_thicknesses(k[high], t)), clause))
        else:
            text = f"The {words} of {nouns} is at most {row.number(high):g} diameters."
            made.append(Condition(text, utilization(x, limit_in_diameters(k[high], D)), clause))
    text = f"Plies wider than {row.number('one_row_max_t'):g} thicknesses have two rows or more."
    needed = required_rows(d, t, k["one_row_max_t"])
    made.append(Condition(text, utilization(needed, fastening.rows), clause))
    return tuple(made)


def _worst_sentence(arguments: Any, results: Any, case: int | None) -> str:
    texts, ratios = arguments[0], [float(value.number) for value in arguments[1:]]
    missed = [text for text, ratio in zip(texts, ratios, strict=True) if not ratio <= 1]
    if not missed:
        return "The fastening meets every limit of a built-up column."
    return f"The fastening does not meet: {' '.join(missed)}"


@step(
    "the worst ratio of the fastening",
    ("q", ""),
    sentence=_worst_sentence,
    source="NDS 2018 15.3.1, 15.3.3, 15.3.4",
)
def worst_fastening_ratio(texts: Sequence[str], *ratios: Any) -> Any:
    """Return the largest ratio of what a fastening must meet.

    Parameters
    ----------
    texts : sequence of str
        What must be met, one for each ratio.
    *ratios : float or array [dimensionless]
        Met when at most 1.
    """
    return maximum(*ratios)


def fastening_note(fastening: Fastening, limits: Sequence[Condition]) -> str:
    """Return the sentence that says whether a pack counts as a built-up column, and why."""
    clause = CLAUSES[fastening.kind]
    missed = list(fastening.faults)
    for limit in limits:
        if isinstance(limit.ratio, Value) and not limit.ratio.at() <= 1:
            missed.append(limit.text.rstrip(".").lower())
    plain = not all(isinstance(limit.ratio, Value) for limit in limits)
    if plain and not missed:
        return f"A pack counts as a built-up column where its fastening meets {clause}."
    if not missed:
        return f"The fastening meets {clause}: the pack counts as a built-up column."
    text = f"The plies count as separate columns (15.3.1), for the fastening does not meet {clause}"
    short = _nail_words(fastening, limits)
    return f"{text}. Not met: {'; '.join(missed)}.{short}"


def _nail_words(fastening: Fastening, limits: Sequence[Condition]) -> str:
    if fastening.kind != NAILED or not isinstance(fastening.length, Value):
        return ""
    for limit in limits:
        if limit.text == PENETRATION and not limit.ratio.at() <= 1:
            needed = fastening.length.at() * limit.ratio.at()
            return (
                f" Nails of {feet_inches(needed)} or more are needed, "
                f"these are {feet_inches(fastening.length.at())} long."
            )
    return ""
