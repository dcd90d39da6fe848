"""Shear where a member is notched at a support or held by a connection near its end."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from calclib import published
from calclib.errors import InputError, LookupMiss, message, quoted
from calclib.timber.factors import factors_for
from calclib.timber.glulam import GLULAM_TABLE
from calclib.timber.leaves import table_leaf
from calclib.timber.lrfd import TIME_FACTOR
from calclib.timber.materials import SAWN
from calclib.timber.piece import Piece
from calclib.timber.shear import adjusted_shear_value
from calclib.trace import (
    Check,
    Condition,
    Value,
    check,
    formula,
    maximum,
    minimum,
    positive,
    utilization,
    where,
)
from calclib.units import inch

# From this thickness on (4 in nominal) no notch on the tension face but at the ends.
THICK = 3.5
FACES = ("tension", "compression")
PRODUCTS = {SAWN: "sawn lumber", GLULAM_TABLE: "glulam"}


@formula(
    "V_r_prime",
    "lbf",
    source="NDS 2018 3.4.3.2 Eq. 3.4-3",
    F_v_prime="psi",
    b="in",
    d="in",
    a="in",
    valid={"F_v_prime": positive, "b": positive, "d": positive, "a": (0.0, None)},
)
def tension_notch_shear(F_v_prime, b, d, a):  # type: ignore[no-untyped-def]
    """Adjusted design shear of a rectangle notched on its tension face at a support.

    Parameters
    ----------
    F_v_prime : float or array [psi]
        Adjusted shear value.
    b : float or array [in]
        Breadth.
    d : float or array [in]
        Depth of the member without the notch.
    a : float or array [in]
        Depth of the notch.

    Returns
    -------
    float or array [lbf]
        Falling with the depth of the notch, 0 where nothing is left.

    Notes
    -----
    Valid for: F_v_prime > 0, b > 0, d > 0, a >= 0; a within its limits, conditions of the check.
    Differs from the source: written with the depth of the notch; the standard names what is left.
    From memory: compare with the printed clause.
    """
    d_n = maximum(d - a, 0 * inch)
    return 2 / 3 * F_v_prime * b * d_n * (d_n / d) ** 2


@formula(
    "V_r_prime",
    "lbf",
    source="NDS 2018 3.4.3.2 Eq. 3.4-5",
    F_v_prime="psi",
    b="in",
    d="in",
    a="in",
    e="in",
    valid={
        "F_v_prime": positive,
        "b": positive,
        "d": positive,
        "a": (0.0, None),
        "e": (0.0, None),
    },
)
def compression_notch_shear(F_v_prime, b, d, a, e):  # type: ignore[no-untyped-def]
    """Adjusted design shear of a rectangle notched on its compression face at a support.

    Parameters
    ----------
    F_v_prime : float or array [psi]
        Adjusted shear value.
    b : float or array [in]
        Breadth.
    d : float or array [in]
        Depth of the member without the notch.
    a : float or array [in]
        Depth of the notch.
    e : float or array [in]
        Distance that the notch reaches beyond the inner face of the support.

    Returns
    -------
    float or array [lbf]
        Falling with depth and reach of the notch, 0 where nothing is left.

    Notes
    -----
    Valid for: F_v_prime > 0, b > 0, d > 0, a >= 0, e >= 0; a within its limits, conditions of the
    check.
    Differs from the source: written with the depth of the notch. Where e is more than the depth
    left, that depth is the effective one, as the clause says in words.
    From memory: compare with the printed clause.
    """
    d_n = maximum(d - a, 0 * inch)
    d_e = where(e < d_n, d - a * e / where(d_n > 0 * inch, d_n, d), d_n)
    return 2 / 3 * F_v_prime * b * d_e


@formula(
    "V_r_prime",
    "lbf",
    source="NDS 2018 3.4.3.3 Eq. 3.4-6, Eq. 3.4-7",
    F_v_prime="psi",
    b="in",
    d="in",
    d_e="in",
    x="in",
    valid={
        "F_v_prime": positive,
        "b": positive,
        "d": positive,
        "d_e": (0.0, None),
        "x": (0.0, None),
    },
)
def connection_shear(F_v_prime, b, d, d_e, x):  # type: ignore[no-untyped-def]
    """Adjusted design shear of a rectangle that is held or loaded by fasteners.

    Parameters
    ----------
    F_v_prime : float or array [psi]
        Adjusted shear value; of glulam with C_vr.
    b : float or array [in]
        Breadth.
    d : float or array [in]
        Depth.
    d_e : float or array [in]
        Depth less the distance from the unloaded edge to the nearest edge of the fasteners.
    x : float or array [in]
        Distance from the connection to the end of the member.

    Returns
    -------
    float or array [lbf]
        Less where the connection is closer than five depths to the end.

    Notes
    -----
    Valid for: F_v_prime > 0, b > 0, d > 0, d_e >= 0, x >= 0.
    Differs from the source: two equations in one; d_e over d counts as d.
    From memory: compare with the printed clause.
    """
    left = minimum(d_e, d)
    share = where(x < 5 * d, (left / d) ** 2, 1)
    return 2 / 3 * F_v_prime * b * left * share


@formula(
    "a_max",
    "in",
    source="NDS 2018 4.4.3",
    d="in",
    k="",
    valid={"d": positive, "k": positive},
)
def greatest_notch(d, k):  # type: ignore[no-untyped-def]
    """Greatest depth or length of a notch, as a share of the member's depth.

    Parameters
    ----------
    d : float or array [in]
        Depth of the member.
    k : float or array [dimensionless]
        Divisor: 4 for d/4.

    Returns
    -------
    float or array [in]
        Above zero.

    Notes
    -----
    Valid for: d > 0, k > 0.
    Differs from the source: nothing.
    """
    return d / k


@formula(
    "a_max",
    "in",
    source="NDS 2018 5.4.5",
    d="in",
    k="",
    a_cap="in",
    valid={"d": positive, "k": positive, "a_cap": positive},
)
def greatest_glulam_notch(d, k, a_cap):  # type: ignore[no-untyped-def]
    """Greatest depth of a notch on the tension side of glulam at its ends.

    Parameters
    ----------
    d : float or array [in]
        Depth of the member.
    k : float or array [dimensionless]
        Divisor: 10 for d/10.
    a_cap : float or array [in]
        Depth that it must not exceed in any case.

    Returns
    -------
    float or array [in]
        Above zero.

    Notes
    -----
    Valid for: d > 0, k > 0, a_cap > 0.
    Differs from the source: nothing.
    """
    return minimum(d / k, a_cap)


@dataclass(frozen=True, eq=False, repr=False)
class Notch:
    """A notch and the limits of its place.

    Attributes
    ----------
    face, place : str
        "tension" or "compression"; "end" or "outer third".
    a : Value [in]
        Its depth.
    length : Value or None [in]
        Along the member; None at an end.
    e : Value or None [in]
        Of a notch on the compression face at an end: its reach beyond the support's inner face.
    depth_divisor, depth_cap, length_divisor : Value or None
        Of the limits.
    clause : str
    """

    face: str
    place: str
    a: Any
    length: Any
    e: Any
    depth_divisor: Any
    depth_cap: Any
    length_divisor: Any
    clause: str


def notch(
    applies: str,
    b: Value,
    face: str,
    place: str,
    a: Value,
    *,
    length: Value | None = None,
    e: Value | None = None,
) -> Notch:
    """Return a notch where the standard allows one.

    Parameters
    ----------
    applies : str
        Name of the member's table of factors, `Material.applies`.
    b : Value [in]
        Breadth of one piece.
    face : str
        "tension" or "compression".
    place : str
        "end", over a bearing, or "outer third" of a span; nowhere else is a notch allowed.
    a : Value [in]
        Depth of the notch.
    length : Value, optional [in]
        Along the member, for the outer third.
    e : Value, optional [in]
        For the compression face at an end: from the inner face of the support to the notch's end.

    Raises
    ------
    InputError
        When the standard allows no notch there, or a measure is missing.
    """
    product = PRODUCTS.get(applies)
    if product is None:
        raise InputError(
            message(
                "notch",
                "sawn lumber or glulam",
                "structural composite lumber",
                "NDS 2018 8.4.1 leaves notches of composite lumber to its maker.",
            )
        )
    if product == "sawn lumber" and place != "end" and face == "tension" and b.at() >= THICK:
        raise InputError(
            message(
                "notch",
                "no notch on the tension face but at the ends of members 3-1/2 in and thicker",
                quoted(place),
                "NDS 2018 4.4.3.",
            )
        )
    if face not in FACES:
        raise InputError(message("notch", '"tension" or "compression" face', quoted(face)))
    try:
        row = published.find("nds-2018-notches", product=product, face=face, place=place)
    except LookupMiss as miss:
        raise InputError(f"notch: {product} may not be notched there. {miss}") from None
    measures = {"outer third": ("length", length), "end": ("reach e", e)}
    words, measure = measures[place]
    if measure is None and (place != "end" or face == "compression"):
        raise InputError(message("notch", f"its {words}", "none"))

    def number(column: str, symbol: str, words: str, unit: str = "") -> Value | None:
        if not isinstance(row.values[column], float):
            return None
        return table_leaf(row, column, symbol, f"{words}, {', '.join(row.key)}", unit, of=column)

    return Notch(
        face,
        place,
        a,
        length,
        e,
        number("depth_divisor", "k", "divisor of the greatest depth of a notch"),
        number("depth_max_in", "a_cap", "greatest depth of a notch", "in"),
        number("length_divisor", "k", "divisor of the greatest length of a notch"),
        row.text("clause"),
    )


def notch_conditions(made: Notch, d: Any) -> tuple[Condition, ...]:
    """Return the limits that a notch must keep in a member of depth d [in]."""
    limit = (
        greatest_notch(d, made.depth_divisor)
        if made.depth_cap is None
        else greatest_glulam_notch(d, made.depth_divisor, made.depth_cap)
    )
    where_to = f"on the {made.face} face, {made.place},"
    conditions = [
        Condition(
            f"The notch {where_to} is not deeper than allowed.",
            utilization(made.a, limit),
            made.clause,
        )
    ]
    if made.length_divisor is not None:
        longest = greatest_notch(d, made.length_divisor)
        conditions.append(
            Condition(
                f"The notch {where_to} is not longer than allowed.",
                utilization(made.length, longest),
                made.clause,
            )
        )
    return tuple(conditions)


def notched_shear_check(
    id: str,
    piece: Piece,
    V: Any,
    time: Any,
    made: Notch,
    cases: tuple[str, ...] = (),
    *,
    method: str = "ASD",
    title: str = "shear at a notch",
) -> Check:
    """Check shear at a support where the member is notched.

    Parameters
    ----------
    id : str
    piece : Piece
        Of glulam put together as weakened, for C_vr.
    V : Value [lbf]
        Size of the shear at the support, by case; nothing left out near the support.
    time : Value
        C_D under ASD, lambda under LRFD, by case.
    made : Notch
        At an end.
    cases : tuple of str
    method, title : str

    Returns
    -------
    Check
        With the limits of the notch as conditions.

    Raises
    ------
    InputError
        For a notch that is not over a bearing.
    """
    if made.place != "end":
        raise InputError(message(id, "a notch at an end, over a bearing", quoted(made.place)))
    F_v_prime = _shear_value(piece, time, method)
    if made.face == "tension":
        V_r = tension_notch_shear(F_v_prime, piece.b, piece.d, made.a)
    else:
        V_r = compression_notch_shear(F_v_prime, piece.b, piece.d, made.a, made.e)
    return check(
        id,
        title,
        "NDS 2018 3.4.3.2",
        V,
        V_r,
        cases=cases,
        conditions=notch_conditions(made, piece.d),
        questions=piece.material.questions,
        notes=(
            *piece.material.notes,
            "At a notch no load near the support is left out (NDS 2018 3.4.3.1).",
        ),
    )


def connection_shear_check(
    id: str,
    piece: Piece,
    V: Any,
    time: Any,
    d_e: Any,
    x: Any,
    cases: tuple[str, ...] = (),
    *,
    method: str = "ASD",
    title: str = "shear at a connection",
) -> Check:
    """Check shear where fasteners hold or load a member.

    Parameters
    ----------
    id : str
    piece : Piece
        Of glulam put together as weakened, for C_vr.
    V : Value [lbf]
        Size of the shear, by case.
    time : Value
        C_D under ASD, lambda under LRFD, by case.
    d_e, x : Value [in]
        As for `connection_shear`.
    cases : tuple of str
    method, title : str

    Returns
    -------
    Check
    """
    V_r = connection_shear(_shear_value(piece, time, method), piece.b, piece.d, d_e, x)
    return check(
        id,
        title,
        "NDS 2018 3.4.3.3",
        V,
        V_r,
        cases=cases,
        questions=piece.material.questions,
        notes=piece.material.notes,
    )


def _shear_value(piece: Piece, time: Any, method: str) -> Any:
    material = piece.material
    given = {**piece.factors["Fv"], TIME_FACTOR[method]: time}
    applied = factors_for(material.applies, "Fv", given, method=method)
    return adjusted_shear_value(material.F_v, *applied)
