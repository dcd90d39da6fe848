"""Formulas by which loads are added up and handed down."""

from __future__ import annotations

from calclib.trace import formula, positive, sqrt, total

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


@formula("s", "in", l="in", source="geometry", valid={"l": positive})
def sum_of_lengths(*l):  # type: ignore[no-untyped-def]  # noqa: E741
    """Sum of lengths that follow each other.

    Parameters
    ----------
    *l : float or array [in]
        Each length.

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


@formula("s", "in", a="in", l="in", source="geometry", valid={"a": (None, None), "l": positive})
def place_in_run(a, l):  # type: ignore[no-untyped-def]  # noqa: E741
    """Place along a run of joists that begins past the field's first support.

    Parameters
    ----------
    a : float or array [in]
        Distance from the field's first support.
    l : float or array [in]
        Distance from there to where the run begins.

    Returns
    -------
    float or array [in]
        Negative before the run.

    Notes
    -----
    Valid for: l > 0.
    Differs from the source: nothing.
    """
    return a - l


@formula(
    "k", "", l="in", s="in", source="mechanics, statics", valid={"l": positive, "s": (None, None)}
)
def near_share(l, s):  # type: ignore[no-untyped-def]  # noqa: E741
    """Share of a load on a simple span that goes to the support where its place is counted from.

    Parameters
    ----------
    l : float or array [in]
        Span.
    s : float or array [in]
        Distance of the load from the support.

    Returns
    -------
    float or array [dimensionless]
        Between 0 and 1 when the load lies on the span.

    Notes
    -----
    Valid for: l > 0.
    Differs from the source: nothing.
    """
    return 1 - s / l


@formula(
    "k", "", l="in", s="in", source="mechanics, statics", valid={"l": positive, "s": (None, None)}
)
def far_share(l, s):  # type: ignore[no-untyped-def]  # noqa: E741
    """Share of a load on a simple span that goes to the support at the span's other end.

    Parameters
    ----------
    l : float or array [in]
        Span.
    s : float or array [in]
        Distance of the load from the support where the count begins.

    Returns
    -------
    float or array [dimensionless]
        Between 0 and 1 when the load lies on the span.

    Notes
    -----
    Valid for: l > 0.
    Differs from the source: nothing.
    """
    return s / l


@formula(
    "P", "*", P="*", k="", source="mechanics, statics", valid={"P": (None, None), "k": (None, None)}
)
def part_of_load(P, k):  # type: ignore[no-untyped-def]
    """Part of a load that goes to one support.

    Parameters
    ----------
    P : float or array [lbf or plf]
        A point load, or a line load across the span.
    k : float or array [dimensionless]
        Share of the support.

    Returns
    -------
    float or array [lbf or plf]
        Of the sign of the load when the share is above zero.

    Notes
    -----
    Valid for: any share.
    Differs from the source: nothing.
    """
    return P * k


@formula("q_D", "psf", q="psf", m_r="", source="geometry", valid={"q": LOAD, "m_r": (0.0, 3.0)})
def dead_load_on_plan(q, m_r):  # type: ignore[no-untyped-def]
    """Dead load of a sloped surface per area of plan.

    Parameters
    ----------
    q : float or array [psf]
        Weight per area of the slope.
    m_r : float or array [dimensionless]
        Rise over run.

    Returns
    -------
    float or array [psf]
        Not less than the weight on the slope.

    Notes
    -----
    Valid for: 0 <= m_r <= 3.
    Differs from the source: nothing.
    """
    return q * sqrt(1 + m_r**2)


@formula("P", "lbf", w="plf", s="ft", source="mechanics, statics",
         valid={"w": (None, None), "s": positive})  # fmt: skip
def load_over_length(w, s):  # type: ignore[no-untyped-def]
    """Load of a length of a line, as one stud or one foot of a footing takes it.

    Parameters
    ----------
    w : float or array [plf]
        Line load.
    s : float or array [ft]
        The length.

    Returns
    -------
    float or array [lbf]
        Down positive.

    Notes
    -----
    Valid for: s > 0; a load that is even along the length.
    Differs from the source: nothing.
    """
    return w * s
