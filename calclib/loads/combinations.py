"""Load combinations and live-load patterns, as arrays over the cases."""

from __future__ import annotations

import itertools
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
        "self" for a member's own weight; of snow, the way in which it lies when not balanced.
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
    combinations : tuple of str
        For each case its combination as the standard prints it.
    """

    names: tuple[str, ...]
    groups: tuple[Group, ...]
    factors: tuple[Any, ...]
    loads_present: tuple[str, ...]
    combinations: tuple[str, ...] = ()


CLAUSES = {"ASD": "2.4.1", "LRFD": "2.3.1"}


def table_of(edition: str, method: str) -> str:
    """Return the name of the table of combinations of an edition for a method."""
    return f"{edition.lower().replace(' ', '-')}-{CLAUSES[method].replace('.', '-')}"


@cache
def combination_factor(
    edition: str, combination: str, source: Source, method: str = "ASD"
) -> Value:
    """Return the published factor of a source in a combination, as a leaf."""
    row = published.find(table_of(edition, method), combination=combination)
    clause = CLAUSES[method]
    return leaf(
        row.number(source),
        "",
        f"k_{source}",
        f"{edition} {clause}/{combination}/{source}",
        title=f"factor on {SOURCE_NAMES[source]} load in {combination}",
        basis="required by code",
        source=f"{edition} {clause}",
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
    method: str = "ASD",
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
    method : str
        "ASD" or "LRFD", for strength; deflections go by the loads of ASD, which are not factored.

    Returns
    -------
    CaseSet
        Combinations without any source of the member's beyond those of another are left out.

    Notes
    -----
    Live load on each span is switched by itself; snow and roof live load act on all spans.
    Snow lies in one way at a time: balanced, or unbalanced in one of the ways that are named.
    """
    carried = {group.source for group in groups}
    table = table_of(edition, method)
    ways = list(dict.fromkeys(group.name for group in groups if group.source == "S")) or [""]
    spans = sorted({group.span for group in groups if group.source == "L"})
    many = len(spans) > 1
    names: list[str] = []
    present: list[str] = []
    plan: list[tuple[int, ...]] = []
    printed: list[str] = []
    leaves: list[Any] = []

    def place(value: Any) -> int:
        for index, known in enumerate(leaves):
            if known is value:
                return index + 1
        leaves.append(value)
        return len(leaves)

    for row in published.rows(table):
        combination = row.text("combination")
        here = [s for s in SOURCES if row.number(s)]
        if method == "ASD" and not all(s in carried or s == "D" for s in here):
            continue
        # A factored combination counts without what is not there; its name says so.
        combination_name = _name_of(combination, carried)
        here = [s for s in here if s in carried or s == "D"]
        if variable_only and here == ["D"]:
            continue
        loaded_sets = patterns(len(span_names)) if "L" in here and many else ((),)
        lying = ways if "S" in here else [""]
        for loaded, way in itertools.product(loaded_sets, lying):
            line = []
            for group in groups:
                on = group.source in here and (
                    group.source != "L" or not many or group.span in loaded
                )
                on = on and (group.source != "S" or group.name == way)
                if not on or (variable_only and group.source == "D"):
                    line.append(0)
                elif group.source == "D" and dead is not None:
                    line.append(place(dead))
                else:
                    line.append(
                        place(combination_factor(edition, combination, group.source, method))
                    )
            name = combination_name.removeprefix("D + ") if variable_only else combination_name
            if many and "L" in here and len(loaded) < len(span_names):
                name += f", live on {_and([span_names[i] for i in loaded])}"
            name += f", {way}" if way else ""
            if name in names:
                continue
            names.append(name)
            printed.append(combination)
            present.append("+".join(here))
            plan.append(tuple(line))
    factors = _spread(tuple(plan), *leaves)
    return CaseSet(tuple(names), tuple(groups), factors, tuple(present), tuple(printed))


def _name_of(combination: str, carried: set[Source]) -> str:
    """Return a combination without the sources that a member does not carry."""
    terms = [
        term for term in combination.split(" + ") if term.lstrip("0123456789.") in {"D", *carried}
    ]
    return " + ".join(terms)


def _and(words: Sequence[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"
