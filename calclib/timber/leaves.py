"""Traced leaves from the published tables, made once, so that two members share them."""

from __future__ import annotations

from functools import cache

from calclib.published import Row, rows
from calclib.trace import Value, leaf
from calclib.units import factor

FROM_MEMORY = "from memory, compare with the printed table"


def place(row: Row) -> str:
    """Return the path by which a row is named in ids: table, then what names the row.

    The size class stands in it only where the table has several for one grade.
    """
    names = row.key
    if "size_class" in row.values:
        twins = [other for other in rows(row.table) if other.key[:2] == names[:2]]
        names = names if len(twins) > 1 else names[:2]
    return "/".join((row.table, *names))


@cache
def table_leaf(
    row: Row, column: str, symbol: str, title: str, unit: str = "", of: str = ""
) -> Value:
    """Return one number of a table as a leaf; the same row and column give the same leaf.

    Parameters
    ----------
    row : Row
    column : str
        Name of the column, whose unit is `unit`.
    symbol, title : str
        Symbol of the value, and what it is.
    unit : str
        Unit of the number.
    of : str
        The property that a factor is for, where one row holds factors of one symbol for several.

    Returns
    -------
    Value
        Basis "published"; not verified when the number was typed from memory.

    Raises
    ------
    LookupMiss
        When the row has no number there.
    """
    verified = row.status_of(column) == "verified"
    return leaf(
        row.number(column) * factor(unit),
        unit,
        symbol,
        f"{place(row)}/{symbol}" + (f"/{of}" if of else ""),
        title=title,
        basis="published",
        source=row.printed,
        verified=verified,
        note=f"read in: {row.source}" if verified else FROM_MEMORY,
    )


@cache
def code_leaf(
    number: float, symbol: str, id: str, title: str, source: str, note: str = ""
) -> Value:
    """Return a plain number that a clause asks for, such as a factor of 1, as a leaf."""
    return leaf(
        number, "", symbol, id, title=title, basis="required by code", source=source, note=note
    )
