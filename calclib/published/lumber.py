"""Which row of the lumber tables a piece of sawn lumber takes, and where that changes."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from math import inf
from typing import NamedTuple

from calclib.errors import LookupMiss, quoted
from calclib.published.lookup import Row, choices, describe, matching, rows
from calclib.published.names import resolve, spellings, suggestion

# Dressed sizes of the nominal limits in the headings of the tables: dimension lumber is 2 in to
# under 5 in nominal, timbers are 5 in and more. A measured 1-7/16 in is still a 2 in piece.
TIMBER_THICKNESS = 4.5
LEAST_THICKNESS = 1.25
# Nominal and dressed timbers differ by the same 1/2 in both ways, so the rule for the shape,
# printed in nominal sizes, holds for dressed ones.
POST_EXCESS = 2.0
# A size that came through millimeters must not fall out of its class by the last bit.
SLACK = 1e-6


class Candidates(NamedTuple):
    """Rows for one thickness, by depth.

    Attributes
    ----------
    bounds : tuple of float
        Greatest depth of each row [in], ascending; `inf` for the last unless the tables end.
    rows : tuple of Row
        Row i holds for depths above ``bounds[i - 1]`` up to ``bounds[i]``.
    """

    bounds: tuple[float, ...]
    rows: tuple[Row, ...]


@dataclass(frozen=True)
class SawnLumber:
    """The candidate rows of a piece of sawn lumber and the one that holds.

    Attributes
    ----------
    bounds : tuple of float
        As in `Candidates`.
    rows : tuple of Row
        As in `Candidates`.
    index : int
        Place of the row that holds for the given depth.
    """

    bounds: tuple[float, ...]
    rows: tuple[Row, ...]
    index: int

    @property
    def row(self) -> Row:
        """The row that holds."""
        return self.rows[self.index]


def row_index(bounds: Sequence[float], d_in: float) -> int:
    """Return the place of the first bound that a depth does not exceed.

    Parameters
    ----------
    bounds : sequence of float
        Ascending [in].
    d_in : float
        Depth [in]; a millionth of an inch over a bound still counts as on it.

    Returns
    -------
    int

    Raises
    ------
    LookupMiss
        If the depth exceeds every bound.
    """
    index = bisect_left(bounds, d_in - SLACK)
    if index == len(bounds):
        raise LookupMiss(f"sawn lumber: no row for {d_in:g} in; the widest is {bounds[-1]:g} in.")
    return index


def size_rows(species: str, grade: str, b_in: float) -> Candidates:
    """Return the rows of reference values for a species, grade and thickness, by depth.

    Table 4D from 4-1/2 in thick (5 in nominal) on; below that table 4B for southern pine and 4A
    for the rest.

    Parameters
    ----------
    species, grade : str
        Common spellings and aliases are understood ("DF-L", "#2").
    b_in : float
        Least dimension of one piece (of one ply) [in].

    Returns
    -------
    Candidates
        For depths not less than `b_in`.
        Construction, Standard and Utility end at 3-1/2 in, so their last bound is finite.
        Stud from 8 in nominal on takes the row of No.3, as table 4A says.

    Raises
    ------
    LookupMiss
        If the tables hold no such species, grade or thickness.

    Notes
    -----
    A depth between two printed widths takes the wider one, whose values are not higher.
    The shape of a timber (posts and timbers up to 2 in deeper than thick, beams and stringers
    beyond) is printed in nominal sizes and applied here to the real ones.
    Differs from the source: nothing else.

    Examples
    --------
    >>> bounds, rows = size_rows("SP", "No.2", 1.5)
    >>> bounds, rows[3].number("Fb_psi")
    ((3.5, 5.5, 7.25, 9.25, inf), 800.0)
    """
    if b_in >= TIMBER_THICKNESS - SLACK:
        return _timber_rows(species, grade, b_in)
    _refuse_boards(b_in)
    table = _dimension_table(species)
    found = matching(table, species=species, grade=grade)
    bounds = [_bound(row, "width_max_in") for row in found]
    switch = _switch(grade) if table == "nds-2018-4a" else None
    if switch:
        last, other = switch
        wider = matching(table, species=species, grade=other)
        return Candidates((last, *(_bound(row, "width_max_in") for row in wider)), found + wider)
    return Candidates(tuple(bounds), found)


def sawn_lumber(species: str, grade: str, b_in: float, d_in: float) -> SawnLumber:
    """Return the rows of `size_rows` and which of them holds for a cross-section.

    Parameters
    ----------
    species, grade : str
        Common spellings and aliases are understood ("DF-L", "#2").
    b_in, d_in : float
        Breadth and depth of one piece (of one ply) [in]; the tables go by the smaller and the
        larger of the two, whichever way the piece lies.

    Returns
    -------
    SawnLumber

    Raises
    ------
    LookupMiss
        If the tables hold no such species, grade or size.

    Examples
    --------
    >>> sawn_lumber("hem-fir", "2", 5.5, 11.5).row.key
    ('hem-fir', 'No.2', 'beams and stringers')
    """
    thickness, width = sorted((b_in, d_in))
    bounds, found = size_rows(species, grade, thickness)
    where = f"{describe(found[0].table).title}, {' '.join(found[0].key[:2])}"
    if width > bounds[-1] + SLACK:
        raise LookupMiss(f"{where}: no values for {width:g} in; the widest is {bounds[-1]:g} in.")
    index = row_index(bounds, width)
    narrowest = found[index].values.get("width_min_in")
    if isinstance(narrowest, float) and width < narrowest - SLACK:
        raise LookupMiss(f"{where}: no values for {width:g} in; the narrowest is {narrowest:g} in.")
    return SawnLumber(bounds, found, index)


def size_factor_rows(species: str, grade: str, b_in: float) -> Candidates:
    """Return the rows of the size factor C_F for a species, grade and thickness, by depth.

    Parameters
    ----------
    species, grade : str
        Common spellings and aliases are understood.
    b_in : float
        Least dimension of one piece (of one ply) [in].

    Returns
    -------
    Candidates
        Rows of "nds-2018-4a-size" or "nds-2018-4b-size" with the columns `C_F_b`, `C_F_t` and
        `C_F_c`; from 4-1/2 in thick on the two of "nds-2018-4d-size", of which the second holds
        ``d_ref_in`` and ``root`` of the rule (d_ref / d)^(1 / root) in place of `C_F_b`.

    Raises
    ------
    LookupMiss
        If the tables hold no such species, grade or thickness.

    Notes
    -----
    A depth between two printed widths takes the wider one; a thickness between 3 in and 4 in
    nominal takes the factors of 3 in. Neither is ever the higher.

    Examples
    --------
    >>> bounds, rows = size_factor_rows("DF-L", "No.2", 1.5)
    >>> bounds[5], rows[5].number("C_F_b")
    (9.25, 1.1)
    """
    if b_in >= TIMBER_THICKNESS - SLACK:
        _timber_rows(species, grade, b_in)
        return _by_depth(rows("nds-2018-4d-size"))
    _refuse_boards(b_in)
    table = _dimension_table(species)
    printed = matching(table, species=species, grade=grade)[0].text("grade")
    if table == "nds-2018-4b":
        return _by_depth(_of_thickness(rows("nds-2018-4b-size"), b_in))
    own = _of_thickness(_size_factors(printed), b_in)
    switch = _switch(grade)
    if switch:
        last, other = switch
        own = tuple(row for row in own if not row.text("use_grade"))
        wider = _of_thickness(_size_factors(other), b_in)
        own += tuple(row for row in wider if _bound(row, "d_max_in") > last)
    return _by_depth(own)


def _refuse_boards(b_in: float) -> None:
    if b_in < LEAST_THICKNESS:
        raise LookupMiss(
            f"sawn lumber: no values for a thickness of {b_in:g} in."
            " The tables begin at 2 in nominal, dressed 1-1/2 in."
        )


@cache
def _dimension_table(species: str) -> str:
    known: list[str] = []
    for table in ("nds-2018-4a", "nds-2018-4b"):
        names = choices(table, "species")
        if any(resolve("species", species) in spellings("species", name) for name in names):
            return table
        known.extend(names)
    raise LookupMiss(
        f"sawn lumber: no species {quoted(species)}. {suggestion('species', species, known)}"
    )


def _timber_rows(species: str, grade: str, b_in: float) -> Candidates:
    found = {
        row.text("size_class"): row for row in matching("nds-2018-4d", species=species, grade=grade)
    }
    if len(found) == 1:
        return Candidates((inf,), tuple(found.values()))
    posts, beams = found["posts and timbers"], found["beams and stringers"]
    return Candidates((b_in + POST_EXCESS, inf), (posts, beams))


@cache
def _switch(grade: str) -> tuple[float, str] | None:
    """Return the depth beyond which a grade takes the values of another, and that grade."""
    own = [row for row in rows("nds-2018-4a-size") if _for_grade(row, grade)]
    others = [row.text("use_grade") for row in own if row.text("use_grade")]
    if not others:
        return None
    return max(row.number("d_max_in") for row in own if not row.text("use_grade")), others[0]


def _for_grade(row: Row, grade: str) -> bool:
    wanted = spellings("grade", grade) | {resolve("grade", grade)}
    return any(resolve("grade", name) in wanted for name in row.text("grades").split("; "))


@cache
def _size_factors(grade: str) -> tuple[Row, ...]:
    return tuple(row for row in rows("nds-2018-4a-size") if _for_grade(row, grade))


def _of_thickness(found: Sequence[Row], b_in: float) -> tuple[Row, ...]:
    """Keep, of the rows of each width, those of the greatest thickness not above the given."""
    reach = max(b_in, 1.5) + SLACK
    kept: dict[str, Row] = {}
    for row in found:
        name = row.text("width_class")
        if row.number("b_min_in") <= reach and (
            name not in kept or row.number("b_min_in") > kept[name].number("b_min_in")
        ):
            kept[name] = row
    return tuple(kept.values())


def _by_depth(found: Sequence[Row]) -> Candidates:
    ordered = sorted(found, key=lambda row: _bound(row, "d_max_in"))
    return Candidates(tuple(_bound(row, "d_max_in") for row in ordered), tuple(ordered))


def _bound(row: Row, column: str) -> float:
    cell = row.values[column]
    return cell if isinstance(cell, float) else inf
