"""The span and the weight of a wood member."""

from __future__ import annotations

from calclib.trace import formula, positive
from calclib.units import pcf


@formula(
    "l",
    "in",
    source="NDS 2018 3.2.1",
    valid={"l_clear": positive, "l_b_left": (0.0, None), "l_b_right": (0.0, None)},
    l_clear="in",
    l_b_left="in",
    l_b_right="in",
)
def design_span(l_clear, l_b_left, l_b_right):  # type: ignore[no-untyped-def]
    """Design span of a bending member, from the clear span and the bearings at its ends.

    Parameters
    ----------
    l_clear : float or array [in]
        Distance from face to face of the supports.
    l_b_left : float or array [in]
        Bearing length provided at the left end.
    l_b_right : float or array [in]
        Bearing length provided at the right end.

    Returns
    -------
    float or array [in]
        Not less than the clear span.

    Notes
    -----
    Valid for: l_clear > 0, bearings >= 0; simple, continuous and cantilevered members.
    Differs from the source: half the bearing length that is provided stands in place of half the
    length that is required, so the span is the longer, wherever the bearing suffices.
    """
    return l_clear + (l_b_left + l_b_right) / 2


@formula(
    "gamma",
    "pcf",
    source="NDS Supplement 2018 3.1.3",
    valid={"G": (0.2, 1.2), "m_c": (0.0, 30.0)},
    G="",
    m_c="",
)
def wood_density(G, m_c):  # type: ignore[no-untyped-def]
    """Density of wood, as a weight, at a moisture content.

    Parameters
    ----------
    G : float or array [dimensionless]
        Specific gravity on oven-dry weight and volume.
    m_c : float or array [dimensionless]
        Moisture content in percent: 19 for 19 %.

    Returns
    -------
    float or array [pcf]
        Above zero.

    Notes
    -----
    Valid for: 0.2 <= G <= 1.2, 0 <= m_c <= 30; wood does not swell above that.
    Differs from the source: nothing; the equation is from memory, compare with the print.
    """
    return 62.4 * pcf * (G / (1 + G * 0.009 * m_c)) * (1 + m_c / 100)
