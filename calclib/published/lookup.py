"""The rows of the published tables, each with its source and how far it is verified."""

from __future__ import annotations

import csv
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from math import isfinite, nan
from pathlib import Path
from types import MappingProxyType

from calclib.errors import InputError, LookupMiss, quoted
from calclib.published.names import normal, resolve, spellings, suggestion

Cell = float | str | None

STATUSES = ("verified", "memory", "common practice")
_ALWAYS_TEXT = frozenset({"condition", "note", "verified_fields", "source", "status"})
_FOLDER = Path(__file__).parent


@dataclass(frozen=True)
class Table:
    """One line of the list of tables (``tables.csv``).

    Attributes
    ----------
    name : str
        Name of the CSV file without its ending; editions are files of their own.
    title : str
        What the table holds, as messages say it.
    printed : str
        The publication and the table in it, to be cited.
    edition : str
        Year of the edition; empty if the table is not from one publication.
    keys : tuple of str
        The columns that together name a row.
    text_columns : frozenset of str
        The columns that hold words; every other one holds numbers only.
    scope : str
        What is in it, what is left out, how to read it.
    """

    name: str
    title: str
    printed: str
    edition: str
    keys: tuple[str, ...]
    text_columns: frozenset[str]
    scope: str


@dataclass(frozen=True, eq=False)
class Row:
    """One printed row, unchangeable.

    Rows compare by identity: one lookup gives the same object each time.

    Attributes
    ----------
    table : str
        Name of the table.
    key : tuple of str
        The cells that name the row, as they stand.
    values : mapping of str to float, str or None
        Every other cell and the key by column; None where nothing is printed.
        The unit of a number is in the name of its column (``Fb_psi``).
    source : str
        Where the numbers were read.
    status : str
        "verified", "memory" or "common practice", for the row as a whole; see `status_of`.
    """

    table: str
    key: tuple[str, ...]
    values: Mapping[str, Cell] = field(repr=False)
    source: str = field(repr=False)
    status: str

    @property
    def printed(self) -> str:
        """The publication and the table in it, to be cited."""
        return describe(self.table).printed

    def number(self, column: str) -> float:
        """Return the number in a column.

        Parameters
        ----------
        column : str
            Name of the column, with its unit.

        Returns
        -------
        float
            In the unit of the column's name.

        Raises
        ------
        LookupMiss
            If the table has no such column, or nothing is printed there.
        """
        cell = self._cell(column)
        if not isinstance(cell, float):
            raise LookupMiss(
                f"{describe(self.table).title}, {', '.join(self.key)}: no number in {column}."
            )
        return cell

    def text(self, column: str) -> str:
        """Return the words in a column, or its number as text; "" if nothing is printed.

        Parameters
        ----------
        column : str
            Name of the column.

        Returns
        -------
        str

        Raises
        ------
        LookupMiss
            If the table has no such column.
        """
        cell = self._cell(column)
        return f"{cell:.12g}" if isinstance(cell, float) else cell or ""

    def status_of(self, column: str) -> str:
        """Return how far one cell is verified.

        A row from memory may hold single values that were read in a publication.

        Parameters
        ----------
        column : str
            Name of the column.

        Returns
        -------
        str
            "verified", "memory" or "common practice".

        Raises
        ------
        LookupMiss
            If the table has no such column.
        """
        self._cell(column)
        fields = self.values.get("verified_fields")
        if fields is None:
            return self.status
        return "verified" if column in str(fields).split() else "memory"

    def _cell(self, column: str) -> Cell:
        try:
            return self.values[column]
        except KeyError:
            raise _no_column(self.table, column, self.values) from None


def _no_column(table: str, column: str, known: Mapping[str, Cell]) -> LookupMiss:
    return LookupMiss(f"{table}: no column {quoted(column)}. {suggestion('', column, list(known))}")


@cache
def _index() -> Mapping[str, Table]:
    with (_FOLDER / "tables.csv").open(encoding="utf-8", newline="") as file:
        return MappingProxyType(
            {
                line["table"]: Table(
                    name=line["table"],
                    title=line["title"],
                    printed=line["printed"],
                    edition=line["edition"],
                    keys=tuple(line["keys"].split()),
                    text_columns=_ALWAYS_TEXT.union(line["text_columns"].split()),
                    scope=line["scope"],
                )
                for line in csv.DictReader(file)
            }
        )


def tables() -> tuple[Table, ...]:
    """Return the list of all tables.

    Returns
    -------
    tuple of Table
    """
    return tuple(_index().values())


def describe(table: str) -> Table:
    """Return what the list of tables says of one.

    Parameters
    ----------
    table : str
        Name of the table, such as "nds-2018-4a".

    Returns
    -------
    Table

    Raises
    ------
    LookupMiss
        If there is no such table.
    """
    try:
        return _index()[table]
    except KeyError:
        raise LookupMiss(
            f"published tables: no table {quoted(table)}. {suggestion('', table, _index())}"
        ) from None


def _number(cell: str, where: str) -> float | None:
    if not cell:
        return None
    try:
        number = float(cell)
    except ValueError:
        number = nan
    if not isfinite(number):
        raise InputError(f"{where}: needs a number, got {quoted(cell)}.")
    return number


@cache
def rows(table: str) -> tuple[Row, ...]:
    """Return the rows of a table in printed order.

    Parameters
    ----------
    table : str
        Name of the table, such as "nds-2018-4a".

    Returns
    -------
    tuple of Row

    Raises
    ------
    LookupMiss
        If there is no such table.
    InputError
        If the file holds words where numbers belong, or a row without source or status.
    """
    entry = describe(table)
    words = entry.text_columns
    out: list[Row] = []
    with (_FOLDER / f"{table}.csv").open(encoding="utf-8", newline="") as file:
        for line in csv.DictReader(file, strict=True):
            where = f"{table}.csv, row {len(out) + 1}"
            if None in line or None in line.values():
                raise InputError(f"{where}: needs as many cells as the head has columns.")
            source, status = line.pop("source"), line.pop("status")
            if not source or status not in STATUSES:
                raise InputError(
                    f"{where}: needs a source and a status, one of {', '.join(STATUSES)}."
                )
            values = {
                column: (cell or None) if column in words else _number(cell, f"{where}, {column}")
                for column, cell in line.items()
            }
            key = tuple(line[column] for column in entry.keys)
            out.append(Row(table, key, MappingProxyType(values), source, status))
    return tuple(out)


def _matches(row: Row, column: str, wanted: str | float) -> bool:
    cell = row.values[column]
    if isinstance(cell, float):
        try:
            return cell == float(wanted)
        except ValueError:
            return False
    if cell is None:
        return False
    # An alias of one table may be the name of a row in another.
    return not spellings(column, cell).isdisjoint(
        {normal(str(wanted)), resolve(column, str(wanted))}
    )


def find(table: str, **keys: str | float) -> Row:
    """Return the one row that carries the given names.

    Parameters
    ----------
    table : str
        Name of the table, such as "nds-2018-4a".
    **keys : str or float
        Column and what stands in it; case, hyphens and common aliases do not matter.
        As many as it takes to leave one row.

    Returns
    -------
    Row

    Raises
    ------
    LookupMiss
        If no row or more than one is left; the message names what is near.

    Examples
    --------
    >>> row = find("nds-2018-4a", species="DF-L", grade="#2")
    >>> row.key, row.number("Fb_psi"), row.status
    (('Douglas fir-larch', 'No.2', '2-4 in thick, 2 in and wider'), 900.0, 'memory')
    """
    entry = describe(table)
    left = matching(table, **keys)
    if len(left) == 1:
        return left[0]
    missing = [key for key in entry.keys if key not in keys]
    options = "; ".join(
        f"{_words(entry, key)}: {', '.join(dict.fromkeys(quoted(row.text(key)) for row in left))}"
        for key in missing
    )
    raise LookupMiss(
        f"{entry.title}: {len(left)} rows for {_given(keys)}. Say which {options}."
        if options
        else f"{entry.title}: {len(left)} rows for {_given(keys)}."
    )


def matching(table: str, **keys: str | float) -> tuple[Row, ...]:
    """Return every row that carries the given names, in printed order.

    Parameters
    ----------
    table : str
        Name of the table.
    **keys : str or float
        Column and what stands in it; as for `find`.

    Returns
    -------
    tuple of Row
        At least one.

    Raises
    ------
    LookupMiss
        If no row is left; the message names what is near.
    """
    entry = describe(table)
    left = rows(table)
    done: dict[str, str | float] = {}
    # The names of a row are tried in the table's own order, so that the message is about the
    # first one that does not fit.
    order = sorted(keys, key=lambda key: entry.keys.index(key) if key in entry.keys else 99)
    for column in order:
        if column not in left[0].values:
            raise _no_column(table, column, left[0].values)
        kept = tuple(row for row in left if _matches(row, column, keys[column]))
        if not kept:
            known = [row.text(column) for row in left]
            given = f" for {_given({key: left[0].text(key) for key in done})}" if done else ""
            raise LookupMiss(
                f"{entry.title}: no {_words(entry, column)} {quoted(str(keys[column]))}{given}."
                f" {suggestion(column, str(keys[column]), known)}"
            )
        left, done = kept, {**done, column: keys[column]}
    return left


def _words(entry: Table, column: str) -> str:
    # A column of numbers is a symbol with its unit, not words.
    return column.replace("_", " ") if column in entry.text_columns else column


def _given(keys: Mapping[str, str | float]) -> str:
    return ", ".join(str(value) for value in keys.values())


def choices(table: str, column: str, **keys: str | float) -> tuple[str, ...]:
    """Return what a column offers, each once, in printed order.

    Parameters
    ----------
    table : str
        Name of the table.
    column : str
        Name of the column.
    **keys : str or float
        Only rows that carry these; as for `find`.

    Returns
    -------
    tuple of str

    Raises
    ------
    LookupMiss
        If there is no such table, column or row.

    Examples
    --------
    >>> choices("nds-2018-4d", "species")
    ('Douglas fir-larch', 'hem-fir', 'southern pine')
    """
    return tuple(dict.fromkeys(row.text(column) for row in matching(table, **keys)))


def search(title: str, names: tuple[str, ...], column: str, wanted: str) -> Row:
    """Return the row of that name from the first of several tables that has it.

    Parameters
    ----------
    title : str
        What is looked for, as the message says it.
    names : tuple of str
        Names of the tables, in the order in which they are asked.
    column : str
        The column of the name; every one of the tables has it.
    wanted : str
        The name.

    Returns
    -------
    Row

    Raises
    ------
    LookupMiss
        If none has it; the message names what is near.
    """
    known: list[str] = []
    for name in names:
        for row in rows(name):
            if _matches(row, column, wanted):
                return row
            known.append(row.text(column))
    raise LookupMiss(f"{title}: no {quoted(wanted)}. {suggestion(column, wanted, known)}")
