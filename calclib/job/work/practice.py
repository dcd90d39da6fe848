"""Habits of the trade as leaves: each says that it has no source."""

from __future__ import annotations

from functools import cache

from calclib import published
from calclib.trace import Value, leaf
from calclib.units import factor


@cache
def practice(item: str, symbol: str) -> Value:
    """Return a habit of the trade, or a limit that no standard of ours holds, as a leaf.

    Parameters
    ----------
    item : str
        Row of the table "work-practice".
    symbol : str

    Raises
    ------
    LookupMiss
        When there is no such row; the message names what is near.

    Examples
    --------
    >>> practice("saw kerf", "t_kerf").at()
    0.125
    """
    row = published.find("work-practice", item=item)
    unit = row.text("unit")
    return leaf(
        row.number("value") * factor(unit),
        unit,
        symbol,
        f"practice/{item}",
        title=item,
        basis="common practice",
        source=row.source,
        verified=False,
        note=row.text("note"),
    )
