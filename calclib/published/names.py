"""How names are compared: aliases, and spellings that mean the same."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterable
from functools import cache
from pathlib import Path

from calclib.errors import quoted

_WORD = re.compile(r"\d+(?:[./]\d+)*|[a-z]+")
MOST_CHOICES = 12


@cache
def normal(name: str) -> str:
    """Return the form in which names are compared.

    Case, spaces, hyphens and points after a word do not count; ``#`` reads as "No." and ``&`` as
    "and"; numbers stay apart.

    Parameters
    ----------
    name : str
        A species, grade, use, size or any other name of a row.

    Returns
    -------
    str
        Letters and numbers only.

    Examples
    --------
    >>> normal("Douglas Fir-Larch"), normal("#2"), normal("No. 2"), normal("3-1/2 in")
    ('douglasfirlarch', 'no2', 'no2', '3|1/2in')
    """
    text = name.casefold().replace("#", " no ").replace("&", " and ")
    out = ""
    for word in _WORD.findall(text):
        # Without the bar "3-1/2" and "31/2" would be one name.
        out += "|" + word if out[-1:].isdigit() and not word[0].isalpha() else word
    return out


@cache
def _aliases() -> dict[tuple[str, str], tuple[str, str]]:
    """Column and compared form of each alias: the alias as written and the name it stands for."""
    with Path(__file__).with_name("aliases.csv").open(encoding="utf-8", newline="") as file:
        return {
            (line["column"], normal(line["alias"])): (line["alias"], line["name"])
            for line in csv.DictReader(file)
        }


@cache
def resolve(column: str, name: str) -> str:
    """Return the compared form of the name that an alias stands for, or of the name itself.

    Parameters
    ----------
    column : str
        The column that the name is looked up in.
    name : str
        What was asked for.

    Returns
    -------
    str
        See `normal`.

    Examples
    --------
    >>> resolve("species", "DF-L"), resolve("grade", "SS"), resolve("grade", "2")
    ('douglasfirlarch', 'selectstructural', 'no2')
    """
    form = normal(name)
    alias = _aliases().get((column, form))
    return normal(alias[1]) if alias else form


@cache
def spellings(column: str, cell: str) -> frozenset[str]:
    """Return every compared form under which a cell is found.

    A grade that is printed for two at once ("No.1/No.2", "No.3 and Stud") is found by either.

    Parameters
    ----------
    column : str
        The column of the cell.
    cell : str
        The name as it stands in the table.

    Returns
    -------
    frozenset of str
        See `normal`.
    """
    parts = re.split(r"/| and ", cell) if column == "grade" else []
    return frozenset(normal(part) for part in [cell, *parts])


def suggestion(column: str, name: str, known: Iterable[str]) -> str:
    """Return a sentence that names the nearest known name, or all of them if none is near.

    Parameters
    ----------
    column : str
        The column that was searched.
    name : str
        What was asked for.
    known : iterable of str
        The names in that column, as they stand in the table.

    Returns
    -------
    str
        ``Did you mean "No.3"?`` or ``There are: ...``.
    """
    from difflib import get_close_matches

    names = list(dict.fromkeys(known))
    said = {normal(each): quoted(each) for each in names}
    for (where, form), (alias, name_of_row) in _aliases().items():
        if where == column and name_of_row in names:
            said.setdefault(form, f"{quoted(alias)} ({name_of_row})")
    near = get_close_matches(resolve(column, name[:60]), list(said), n=1, cutoff=0.6)
    if near:
        return f"Did you mean {said[near[0]]}?"
    more = f" and {len(names) - MOST_CHOICES} more" if len(names) > MOST_CHOICES else ""
    return f"There are: {', '.join(quoted(each) for each in names[:MOST_CHOICES])}{more}."
