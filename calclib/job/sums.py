"""What lands at one place of the house, summed over the load cases of a method."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

from calclib.job.bent import Design
from calclib.job.lines import SAME_PLACE
from calclib.job.member import LoadRow, groups, largest_line_load, load_on_post
from calclib.loads import CaseSet, case_set
from calclib.loads.combinations import Group
from calclib.trace import Value


def sum_over_cases(
    landed: Sequence[LoadRow], name: str, design: Design
) -> tuple[Value, CaseSet] | None:
    """Return the sum of point loads in each load case, and the cases; None without any load.

    Parameters
    ----------
    landed : sequence of LoadRow
        Point loads.
    name : str
        Of what they land on, in words.
    design : Design
    """
    if not landed:
        return None
    combined = case_set(design.edition, groups(landed, 1), ("",), method=design.method)
    (load,) = load_on_post(
        name, _sources(combined), _sizes(landed, combined.groups), combined.factors
    )
    return load, combined


def line_over_cases(
    landed: Sequence[LoadRow], name: str, design: Design
) -> tuple[Value, CaseSet] | None:
    """Return the largest line load of any stretch in each load case; None without line loads.

    Parameters
    ----------
    landed : sequence of LoadRow
        What goes down through a wall; point loads are left out.
    name : str
        Of the wall, in words.
    design : Design
    """
    lines = [row for row in landed if is_line(row)]
    if not lines:
        return None
    combined = case_set(design.edition, groups(lines, 1), ("",), method=design.method)
    stretches = tuple(_sizes(rows, combined.groups) for rows in _stretches(lines))
    (load,) = largest_line_load(name, _sources(combined), stretches, combined.factors)
    return load, combined


def is_line(row: LoadRow) -> bool:
    """Tell whether a row is a line load."""
    return bool(row.size.unit == "plf")


def _sources(cases: CaseSet) -> tuple[str, ...]:
    return tuple(group.source for group in cases.groups)


def _sizes(rows: Sequence[LoadRow], groups_: Sequence[Group]) -> tuple[tuple[Value, ...], ...]:
    return tuple(
        tuple(
            row.size
            for row in rows
            if row.source == group.source and (group.source == "D" or row.way == group.name)
        )
        for group in groups_
    )


def _stretches(lines: Sequence[LoadRow]) -> list[list[LoadRow]]:
    """Return the loads of each stretch in which the same ones lie, but for those with fewer."""
    edges = sorted(
        {place.at() for row in lines for place in (row.start, row.end) if place is not None}
    )
    found: dict[frozenset[int], list[LoadRow]] = {}
    for low, high in itertools.pairwise(edges):
        if high - low <= SAME_PLACE:
            continue
        middle = (low + high) / 2
        on = frozenset(i for i, row in enumerate(lines) if _covers(row, middle))
        if on:
            found[on] = [lines[i] for i in sorted(on)]
    if not found:
        return [list(lines)]
    return [rows for on, rows in found.items() if not any(on < other for other in found)]


def _covers(row: LoadRow, place: float) -> bool:
    if row.start is None or row.end is None:
        return True
    return bool(row.start.at() <= place <= row.end.at())
