"""Lists for the site: cuts, materials, hangers and straps, each line with its origin."""

from __future__ import annotations

import csv
import dataclasses
import io
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from calclib import published
from calclib.errors import InputError, message
from calclib.job.work.geometry import FlushFit
from calclib.job.work.practice import practice
from calclib.trace import Check, Value, formula, leaf, leaves, positive
from calclib.units import dimension, feet_inches, ft, inch, show

# Lengths are cut to the sixteenth.
SIXTEENTHS = 16


@dataclass(frozen=True, eq=False)
class CutRow:
    """One cut.

    Attributes
    ----------
    id : str
    what : str
        The piece, in words.
    section : str
        "2x4", or the size of a product.
    count : int
    length : Value [in]
    places : tuple of str
        Where each of them goes.
    because : tuple of str
        Ids of the measurements that its length comes from.
    """

    id: str
    what: str
    section: str
    count: int
    length: Value
    places: tuple[str, ...]
    because: tuple[str, ...]


@dataclass(frozen=True, eq=False)
class MaterialRow:
    """What is bought.

    Attributes
    ----------
    id : str
    section : str
    stock_ft : float or None
        Stock length; None for what is ordered to length.
    count : int
    board_feet : Value or None
        None for what is not sold by board feet.
    because : tuple of str
        Ids of the cuts that it serves.
    """

    id: str
    section: str
    stock_ft: float | None
    count: int
    board_feet: Value | None
    because: tuple[str, ...]


@dataclass(frozen=True, eq=False)
class ConnectorRow:
    """Hangers or straps of one kind.

    Attributes
    ----------
    id : str
    kind : str
        "hanger", "strap" and the like.
    where : str
        What it joins.
    count : int
    demand : Value [lbf]
        On one, by case.
    capacity : Value or None [lbf]
        Listed, from the user.
    report : str
        Number of the evaluation report; a question stands here without one.
    state : str
        Of the check that it was taken from.
    because : tuple of str
        Id of that check.
    """

    id: str
    kind: str
    where: str
    count: int
    demand: Value
    capacity: Value | None
    report: str
    state: str
    because: tuple[str, ...]


def cut(
    id: str, what: str, section: str, length: Value, places: Sequence[str], each: int = 1
) -> CutRow:
    """Return a cut with the ids of the measurements that its length comes from.

    Parameters
    ----------
    id, what, section : str
    length : Value [in]
    places : sequence of str
    each : int
        Number of pieces at each place: plies, or two sides.

    Raises
    ------
    InputError
        For a length of nothing or less.
    """
    if not length.at() > 0:
        got = feet_inches(length.at())
        raise InputError(message(id, "a length above zero", got, "Look at its measurements."))
    origins = tuple(value.id for value in leaves(length))
    return CutRow(id, what, section, each * len(places), length, tuple(places), origins)


def cuts_by_position(
    id: str, what: str, section: str, pieces: Sequence[tuple[str, Value]]
) -> tuple[CutRow, ...]:
    """Return the cuts of pieces that are measured each at its own place.

    Parameters
    ----------
    id : str
        Before the number of each.
    what, section : str
    pieces : sequence of (place, length [in])

    Returns
    -------
    tuple of CutRow
        One for each place, in order: a floor is never so level that one length serves all.
    """
    return tuple(
        cut(f"{id}/{number}", what, section, length, (place,))
        for number, (place, length) in enumerate(pieces, start=1)
    )


def shore_cuts(
    id: str,
    studs: Sequence[tuple[str, Value]],
    length: Value,
    *,
    section: str,
    plate_section: str,
    top: int,
    sill: int,
    where: str = "shore",
) -> tuple[CutRow, ...]:
    """Return the cuts of a shore wall: its studs by position, its top plates, its sill.

    Parameters
    ----------
    id : str
    studs : sequence of (place, length [in])
        From `calclib.job.work.geometry.stud_lengths`.
    length : Value [in]
        Of the plates.
    section, plate_section : str
    top, sill : int
        Number of plates above and below.
    where : str
        Which shore.
    """
    return (
        *cuts_by_position(f"{id}/stud", "shoring stud", section, studs),
        cut(f"{id}/top", "top plate of the shore", plate_section, length, (where,), top),
        cut(f"{id}/sill", "sill of the shore", plate_section, length, (where,), sill),
    )


def flush_beam_cuts(
    id: str,
    fit: FlushFit,
    length: Value,
    *,
    section: str,
    plies: int,
    bays: Sequence[str],
    nailer_section: str,
    studs: Sequence[str] = (),
    stud_section: str = "",
) -> tuple[CutRow, ...]:
    """Return the cuts of a flush beam: plies, nailers at the slot, studs of the wall above.

    Parameters
    ----------
    id : str
    fit : FlushFit
    length : Value [in]
        To which the beam is cut.
    section : str
        Of a ply.
    plies : int
    bays : sequence of str
        Between joists along the slot, each with a nailer on both sides.
    nailer_section : str
    studs : sequence of str
        Of the wall above that are shortened.
    stud_section : str

    Raises
    ------
    InputError
        For studs to be shortened when the fit knows no wall above.
    """
    rows = [cut(f"{id}/ply", "ply of the beam", section, length, ("beam",), plies)]
    if bays:
        rows.append(
            cut(f"{id}/nailer", "nailer at the slot's edge", nailer_section, fit.nailer, bays, 2)
        )
    if studs:
        if fit.stud is None:
            needs = "the studs of the wall above among the measurements"
            raise InputError(message(id, needs, "none"))
        rows.append(
            cut(f"{id}/stud_above", "stud of the wall above", stud_section, fit.stud, studs)
        )
    return tuple(rows)


def pack(lengths: Iterable[float], stock: float, kerf: float) -> list[list[float]]:
    """Lay cuts into boards of one stock length, the longest first.

    Parameters
    ----------
    lengths : iterable of float [in]
    stock : float [in]
    kerf : float [in]
        Lost at each cut.

    Returns
    -------
    list of list of float
        The cuts of each board.

    Raises
    ------
    InputError
        For a cut that is longer than the stock.

    Examples
    --------
    >>> pack([40.0, 50.0, 40.0, 92.0], 96.0, 0.125)
    [[92.0], [50.0, 40.0], [40.0]]
    """
    boards: list[list[float]] = []
    for length in sorted(lengths, reverse=True):
        if length > stock:
            needs = f"cuts of at most {feet_inches(stock)}"
            raise InputError(message("stock length", needs, feet_inches(length)))
        for board in boards:
            if sum(board) + len(board) * kerf + length <= stock:
                board.append(length)
                break
        else:
            boards.append([length])
    return boards


@formula(
    "V", "", n="", b_nom="in", d_nom="in", l="in",
    source="trade definition: a board foot is 144 in^3 of nominal size",
    valid={"n": (0.0, None), "b_nom": positive, "d_nom": positive, "l": positive},
)  # fmt: skip
def board_feet(n, b_nom, d_nom, l):  # type: ignore[no-untyped-def]  # noqa: E741
    """Board feet of lumber.

    Parameters
    ----------
    n : float or array [dimensionless]
        Number of boards.
    b_nom : float or array [in]
        Nominal thickness.
    d_nom : float or array [in]
        Nominal width.
    l : float or array [in]
        Length of a board.

    Returns
    -------
    float or array [dimensionless]
        Zero or more.

    Notes
    -----
    Valid for: n >= 0, sizes > 0.
    Differs from the source: nothing.
    """
    return n * b_nom * d_nom * l / (144 * inch**3)


def _nominal(section: str) -> tuple[float, float] | None:
    found = re.fullmatch(r"(\d+)x(\d+)", section)
    return (float(found[1]), float(found[2])) if found else None


def materials(rows: Sequence[CutRow]) -> tuple[MaterialRow, ...]:
    """Return what is bought for a cut list, section by section.

    Parameters
    ----------
    rows : sequence of CutRow

    Returns
    -------
    tuple of MaterialRow
        For each section one stock length, that with the least waste; products, and what no stock
        length serves, are ordered to length.

    Notes
    -----
    Valid for: straight boards without trimming of ends; add what the yard's lumber needs.
    Differs from the source: boards of several lengths are not mixed.
    """
    stocks = [row.number("length_ft") * ft for row in published.rows("lumber-lengths")]
    kerf = practice("saw kerf", "t_kerf").at()
    made = []
    for section in dict.fromkeys(row.section for row in rows):
        here = [row for row in rows if row.section == section]
        lengths = [row.length.at() for row in here for _ in range(row.count)]
        because = tuple(row.id for row in here)
        sawn = _nominal(section) is not None
        fitting = [stock for stock in stocks if sawn and stock >= max(lengths)]
        if not fitting:
            made.append(
                MaterialRow(f"materials/{section}", section, None, len(lengths), None, because)
            )
            continue
        counts = {stock: len(pack(lengths, stock, kerf)) for stock in fitting}
        best = min(fitting, key=lambda stock: (stock * counts[stock], stock))
        made.append(
            MaterialRow(
                f"materials/{section}", section, best / ft, counts[best],
                _board_feet(section, counts[best], best), because,
            )
        )  # fmt: skip
    return tuple(made)


def _board_feet(section: str, count: int, length: float) -> Value | None:
    nominal = _nominal(section)
    if nominal is None:
        return None

    def given(number: float, unit: str, symbol: str, title: str) -> Value:
        return leaf(
            number, unit, symbol, f"materials/{section}/{symbol}", title=f"{title}, {section}",
            basis="common practice", source="nominal size and stock length of the trade",
        )  # fmt: skip

    return board_feet(  # type: ignore[no-any-return]
        given(float(count), "", "n", "boards"),
        given(nominal[0], "in", "b_nom", "nominal thickness"),
        given(nominal[1], "in", "d_nom", "nominal width"),
        given(length, "in", "l", "stock length"),
    )


def connector(kind: str, where: str, count: int, made: Check, report: str = "") -> ConnectorRow:
    """Return hangers or straps as their check has them.

    Parameters
    ----------
    kind, where : str
    count : int
    made : Check
        Demand on one against its listed capacity.
    report : str
        Number of the evaluation report; from the user.
    """
    return ConnectorRow(
        f"connectors/{made.id}",
        kind,
        where,
        count,
        made.demand,
        made.capacity,
        report or "report number to be given",
        made.state,
        (made.id,),
    )


def csv_text(rows: Sequence[Any]) -> str:
    """Return rows of one kind as the text of a CSV file.

    Parameters
    ----------
    rows : sequence of a frozen dataclass

    Returns
    -------
    str
        With a head; lengths in feet, inches and sixteenths, other numbers with their unit, the
        largest of several cases. Empty for no rows.

    Notes
    -----
    Text that a spreadsheet would take for a formula gets an apostrophe before it.
    """
    if not rows:
        return ""
    lines = [_cells(row) for row in rows]
    head = list(dict.fromkeys(name for line in lines for name in line))
    out = io.StringIO()
    writer = csv.DictWriter(out, head, restval="", lineterminator="\n")
    writer.writeheader()
    writer.writerows(lines)
    return out.getvalue()


def _cells(row: Any) -> dict[str, str]:
    cells: dict[str, str] = {}
    for field in dataclasses.fields(row):
        name, content = field.name.replace("_", " "), getattr(row, field.name)
        if isinstance(content, dict):
            cells |= {f"{name} {key}": _cell(item) for key, item in content.items()}
        else:
            cells[name] = _cell(content)
    return cells


def _cell(content: Any) -> str:
    if content is None:
        return ""
    if isinstance(content, Value):
        number = content.number if isinstance(content.number, float) else content.number.max()
        if dimension(content.unit) == dimension("in"):
            return feet_inches(float(number), SIXTEENTHS)
        return show(float(number), content.unit)
    if isinstance(content, (tuple, list)):
        return _text("; ".join(str(item) for item in content))
    if isinstance(content, float):
        return f"{content:g}"
    return _text(str(content))


def _text(text: str) -> str:
    return f"'{text}" if text[:1] in ("=", "+", "-", "@", "\t", "\r") else text
