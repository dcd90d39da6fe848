"""Formulas by which loads are added up and handed down."""

from __future__ import annotations

from calclib.trace import formula, positive, total

LOAD = (0.0, None)


@formula("q_D", "psf", q="psf", source="IRC 2018 R301.4, actual weights", valid={"q": LOAD})
def dead_area_load(*q):  # type: ignore[no-untyped-def]
    """Dead load of a surface, the sum of its layers.

    Parameters
    ----------
    *q : float or array [psf]
        Weight of each layer over its own area.

    Returns
    -------
    float or array [psf]
        Zero or more.

    Notes
    -----
    Valid for: q >= 0.
    Differs from the source: nothing.
    """
    return total(q)


@formula("w", "plf", q="psf", l="ft", source="mechanics, statics", valid={"q": LOAD, "l": positive})
def strip_reaction(q, l):  # type: ignore[no-untyped-def]  # noqa: E741
    """Line load that a simply supported strip puts on each of its two supports.

    Parameters
    ----------
    q : float or array [psf]
        Uniform load on the strip.
    l : float or array [ft]
        Span of the strip.

    Returns
    -------
    float or array [plf]
        Zero or more, down.

    Notes
    -----
    Valid for: q >= 0, l > 0; a strip without overhangs, uniform over its length.
    Differs from the source: nothing.
    """
    return q * l / 2


@formula(
    "w_D",
    "plf",
    q_wall="psf",
    h="ft",
    source="mechanics, statics",
    valid={"q_wall": LOAD, "h": LOAD},
)
def wall_line_load(q_wall, h):  # type: ignore[no-untyped-def]
    """Line load of a wall's own weight.

    Parameters
    ----------
    q_wall : float or array [psf]
        Weight of the wall over its face.
    h : float or array [ft]
        Height of the wall.

    Returns
    -------
    float or array [plf]
        Zero or more, down.

    Notes
    -----
    Valid for: q_wall >= 0, h >= 0; openings in the wall are not taken off.
    Differs from the source: nothing.
    """
    return q_wall * h


@formula("R", "lbf", P="lbf", source="mechanics, statics", valid={"P": (None, None)})
def sum_of_loads(*P):  # type: ignore[no-untyped-def]
    """Sum of point loads of one source.

    Parameters
    ----------
    *P : float or array [lbf]
        Down positive.

    Returns
    -------
    float or array [lbf]
        Down positive.

    Notes
    -----
    Valid for: loads in one line.
    Differs from the source: nothing.
    """
    return total(P)


@formula(
    "x",
    "in",
    a="in",
    a_0="in",
    l_b="in",
    source="geometry",
    valid={"a": (None, None), "a_0": (None, None), "l_b": (0.0, None)},
)
def place_on_member(a, a_0, l_b):  # type: ignore[no-untyped-def]
    """Place on a member's axis, from the center of its first support.

    Parameters
    ----------
    a : float or array [in]
        Place along the house's line.
    a_0 : float or array [in]
        Inner face of the first support along the same line.
    l_b : float or array [in]
        Bearing length at the first support.

    Returns
    -------
    float or array [in]
        Negative before the center of the first support.

    Notes
    -----
    Valid for: l_b >= 0.
    Differs from the source: nothing.
    """
    return a - a_0 + l_b / 2


@formula("x_s", "in", l="in", source="geometry", valid={"l": positive})
def place_of_support(*l):  # type: ignore[no-untyped-def]  # noqa: E741
    """Center of a support from the center of the first, the sum of the spans before it.

    Parameters
    ----------
    *l : float or array [in]
        Spans, center to center of bearings.

    Returns
    -------
    float or array [in]
        Above zero.

    Notes
    -----
    Valid for: l > 0.
    Differs from the source: nothing.
    """
    return total(l)
