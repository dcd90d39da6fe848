"""Load combinations and live-load patterns, as arrays over the cases."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any, Literal

from calclib import published
from calclib.trace import Value, leaf, step

Source = Literal["D", "L", "Lr", "S"]
SOURCES: tuple[Source, ...] = ("D", "L", "Lr", "S")
SOURCE_NAMES = {"D": "dead", "L": "floor live", "Lr": "roof live", "S": "snow"}


@dataclass(frozen=True)
class Group:
    """Loads that are switched on together: one source, or one span's live load.

    Attributes
    ----------
    source : Source
    name : str
        "self" for a member's own weight; otherwise empty.
    span : int
        Span of the member that a live load lies on; -1 when it is not told apart.
    """

    source: Source
    name: str = ""
    span: int = -1


@dataclass(frozen=True)
class CaseSet:
    """The load cases of one member: combinations, each with its live-load patterns.

    Attributes
    ----------
    names : tuple of str
        One for each case.
    groups : tuple of Group
        In the order of `factors`.
    factors : tuple of Value
        For each group its factor over the cases [array].
    loads_present : tuple of str
        For each case the letters of its sources, joined: "D+L+S".
    """

    names: tuple[str, ...]
    groups: tuple[Group, ...]
    factors: tuple[Any, ...]
    loads_present: tuple[str, ...]


@cache
def combination_factor(edition: str, combination: str, source: Source) -> Value:
    """Return the published factor of a source in an ASD combination, as a leaf."""
    table = {"ASCE 7-16": "asce-7-16-2-4-1", "ASCE 7-22": "asce-7-22-2-4-1"}[edition]
    row = published.find(table, combination=combination)
    return leaf(
        row.number(source),
        "",
        f"k_{source}",
        f"{edition} 2.4.1/{combination}/{source}",
        title=f"factor on {SOURCE_NAMES[source]} load in {combination}",
        basis="required by code",
        source=f"{edition} 2.4.1",
        verified=row.status == "verified",
        note="" if row.status == "verified" else "from memory, compare with the printed standard",
    )


def patterns(spans: int) -> tuple[tuple[int, ...], ...]:
    """Return the sets of loaded spans that govern a continuous member.

    All spans, every other span from either end, and for each inner support the two spans
    beside it with every other span beyond.

    >>> patterns(3)
    ((0, 1, 2), (0, 2), (1,), (0, 1), (1, 2))
    """
    everything = tuple(range(spans))
    if spans <= 1:
        return (everything,)
    found = [everything, everything[::2], everything[1::2]]
    for support in range(1, spans):
        left = range(support - 1, -1, -2)
        right = range(support, spans, 2)
        found.append(tuple(sorted([*left, *right])))
    return tuple(dict.fromkeys(found))


def _factor_outputs(plan: Any, *factors: Any) -> list[tuple[str, str]]:
    return [(f"k_{group}", "") for group in range(len(plan[0]))]


@step("the factors of the load cases", _factor_outputs)
def _spread(plan: tuple[tuple[int, ...], ...], *factors: Any) -> Any:
    import numpy as np

    table = np.array([0.0, *factors])
    return tuple(table[np.array([row[group] for row in plan])] for group in range(len(plan[0])))


def case_set(
    edition: str,
    groups: Sequence[Group],
    span_names: Sequence[str],
    *,
    dead: Any = None,
    variable_only: bool = False,
) -> CaseSet:
    """Lay out combinations and patterns for a member that carries the given groups.

    Parameters
    ----------
    edition : str
        "ASCE 7-16" or "ASCE 7-22".
    groups : sequence of Group
        What the member carries; a source that it does not carry takes no part.
    span_names : sequence of str
        Names of its spans, for the names of the patterns.
    dead : Value, optional
        Factor on dead load in place of 1, for long-term deflection.
    variable_only : bool
        Leave dead load out, for the deflection of live load alone.

    Returns
    -------
    CaseSet
        Combinations without any source of the member's beyond those of another are left out.

    Notes
    -----
    Live load on each span is switched by itself; snow and roof live load act on all spans
    (unbalanced snow is not covered).
    """
    carried = {group.source for group in groups}
    table = {"ASCE 7-16": "asce-7-16-2-4-1", "ASCE 7-22": "asce-7-22-2-4-1"}[edition]
    spans = sorted({group.span for group in groups if group.source == "L"})
    many = len(spans) > 1
    names: list[str] = []
    present: list[str] = []
    plan: list[tuple[int, ...]] = []
    leaves: list[Any] = []

    def place(value: Any) -> int:
        for index, known in enumerate(leaves):
            if known is value:
                return index + 1
        leaves.append(value)
        return len(leaves)

    seen: set[tuple[int, ...]] = set()
    for row in published.rows(table):
        combination = row.text("combination")
        here = [s for s in SOURCES if row.number(s)]
        if not all(s in carried or s == "D" for s in here):
            continue
        if variable_only and here == ["D"]:
            continue
        loaded_sets = patterns(len(span_names)) if "L" in here and many else ((),)
        for loaded in loaded_sets:
            line = []
            for group in groups:
                on = group.source in here and (
                    group.source != "L" or not many or group.span in loaded
                )
                if not on or (variable_only and group.source == "D"):
                    line.append(0)
                elif group.source == "D" and dead is not None:
                    line.append(place(dead))
                else:
                    line.append(place(combination_factor(edition, combination, group.source)))
            if tuple(line) in seen:
                continue
            seen.add(tuple(line))
            name = combination.removeprefix("D + ") if variable_only else combination
            if many and "L" in here and len(loaded) < len(span_names):
                name += f", live on {_and([span_names[i] for i in loaded])}"
            names.append(name)
            present.append("+".join(here))
            plan.append(tuple(line))
    factors = _spread(tuple(plan), *leaves)
    return CaseSet(tuple(names), tuple(groups), factors, tuple(present))


def _and(words: Sequence[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"
