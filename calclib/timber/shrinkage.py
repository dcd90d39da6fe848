"""Shrinkage across the grain, and how far a floor goes down where wood moves and bends."""

from __future__ import annotations

from calclib import published
from calclib.timber.leaves import place
from calclib.trace import Value, formula, leaf, minimum, positive, total

_TABLE = "shrinkage"
MOISTURE_STATES = (
    "green",
    "surfaced dry",
    "kiln dried",
    "glulam as made",
    "composite as made",
    "heated house",
)


@formula(
    "Delta_sh",
    "in",
    source="common practice",
    h="in",
    S="",
    m_1="",
    m_2="",
    m_fs="",
    valid={
        "h": positive,
        "S": (0.0, 0.01),
        "m_1": (0.0, 200.0),
        "m_2": (0.0, 200.0),
        "m_fs": (20.0, 35.0),
    },
)
def shrinkage(h, S, m_1, m_2, m_fs):  # type: ignore[no-untyped-def]
    """Shrinkage of a piece across its grain.

    Parameters
    ----------
    h : float or array [in]
        Size across the grain: depth of a joist, thickness of a plate.
    S : float or array [dimensionless]
        Shrinkage, as a share of the size, for each percent of moisture.
    m_1 : float or array [dimensionless]
        Moisture content when it is built in, in percent.
    m_2 : float or array [dimensionless]
        Moisture content in service, in percent.
    m_fs : float or array [dimensionless]
        Moisture content above which wood does not move, in percent.

    Returns
    -------
    float or array [in]
        Negative where the piece swells.

    Notes
    -----
    Valid for: h > 0, 0 <= S <= 0.01, moisture from 0 to 200 %, 20 <= m_fs <= 35.
    Differs from the source: one coefficient for every direction across the grain; a piece may
    move by half as much or twice as much.
    """
    return h * S * (minimum(m_1, m_fs) - minimum(m_2, m_fs))


@formula(
    "Delta_stack",
    "in",
    source="mechanics",
    Delta="in",
    valid={"Delta": (None, None)},
)
def stacked_shrinkage(*Delta):  # type: ignore[no-untyped-def]
    """Shrinkage of pieces that stand on each other: plates, blocking, joists.

    Parameters
    ----------
    *Delta : float or array [in]
        Shrinkage of each.

    Returns
    -------
    float or array [in]
        Their sum.

    Notes
    -----
    Valid for: any number of pieces; wood along the grain hardly moves and is left out.
    Differs from the source: nothing.
    """
    return total(Delta)


@formula(
    "Delta_diff",
    "in",
    source="mechanics",
    Delta_1="in",
    Delta_2="in",
    valid={"Delta_1": (None, None), "Delta_2": (None, None)},
)
def differential_shrinkage(Delta_1, Delta_2):  # type: ignore[no-untyped-def]
    """How much more one side goes down than the other beside it.

    Parameters
    ----------
    Delta_1 : float or array [in]
        Shrinkage of the one, such as green joists.
    Delta_2 : float or array [in]
        Shrinkage of the other, such as a dry beam flush with them.

    Returns
    -------
    float or array [in]
        Positive where the first goes down more.

    Notes
    -----
    Valid for: any two.
    Differs from the source: nothing.
    """
    return Delta_1 - Delta_2


@formula(
    "Delta_floor",
    "in",
    source="mechanics",
    Delta_j="in",
    Delta_left="in",
    Delta_right="in",
    valid={"Delta_j": (None, None), "Delta_left": (None, None), "Delta_right": (None, None)},
)
def deflection_of_joist_on_beams(Delta_j, Delta_left, Delta_right):  # type: ignore[no-untyped-def]
    """Deflection in the middle of a joist whose supports give way.

    Parameters
    ----------
    Delta_j : float or array [in]
        Of the joist on firm supports.
    Delta_left : float or array [in]
        Of the beam under its left end; 0 for a wall.
    Delta_right : float or array [in]
        Of the beam under its right end; 0 for a wall.

    Returns
    -------
    float or array [in]
        Down positive.

    Notes
    -----
    Valid for: a simple joist, all at the same loads.
    Differs from the source: nothing.
    """
    return Delta_j + (Delta_left + Delta_right) / 2


@formula(
    "k_series",
    "lbf/in",
    source="mechanics",
    k_1="lbf/in",
    k_2="lbf/in",
    valid={"k_1": positive, "k_2": positive},
)
def series_stiffness(k_1, k_2):  # type: ignore[no-untyped-def]
    """Stiffness of two members of which one rests on the other.

    Parameters
    ----------
    k_1 : float or array [lbf/in]
        Load on the one for each inch of its own deflection.
    k_2 : float or array [lbf/in]
        Load on it for each inch by which the other lets it down.

    Returns
    -------
    float or array [lbf/in]
        Less than either.

    Notes
    -----
    Valid for: k_1 > 0, k_2 > 0.
    Differs from the source: nothing.
    """
    return k_1 * k_2 / (k_1 + k_2)


def practice(item: str, symbol: str) -> Value:
    """Return a number of the trade about shrinkage as a leaf, to be set against the job.

    Parameters
    ----------
    item : str
        "shrinkage across the grain", "fiber saturation", or one of `MOISTURE_STATES`.
    symbol : str
        "S", "m_fs", "m_1" or "m_2".

    Raises
    ------
    LookupMiss
        When the table has no such item; the message names what is near.
    """
    row = published.find(_TABLE, item=item)
    return leaf(
        row.number("value"),
        "",
        symbol,
        f"{place(row)}/{symbol}",
        title=f"{row.key[0]}: {row.text('note')}",
        basis="common practice",
        verified=False,
        note=row.source,
    )
