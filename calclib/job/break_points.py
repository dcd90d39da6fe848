"""How far each number of a job may be from the truth before a check turns over.

Numbers that vary by degrees are scanned outward through the graph of the solved job; where a
number decides which member carries what, the whole job is solved again at what was found. What
has neighbors instead (a grade, a size) is solved again with each of them.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from calclib import units
from calclib.errors import CalcError
from calclib.job.contents import Entry, Job
from calclib.job.varied import Change, entries_of, entries_with, neighbors, with_entries
from calclib.trace import BreakPoint, Check, Leaf, Value, leaves, worst_of
from calclib.trace.check import largest
from calclib.trace.turning import Turning, outward, within
from calclib.units import inch

if TYPE_CHECKING:
    from calclib.job.solve import Solved

# Distances at which a scan looks for a place along a line, which has no size of its own.
OFFSETS = (3 * inch, 6 * inch, 12 * inch, 24 * inch, 48 * inch)
# Of a ratio: the graph and a whole new solution of the job differ by rounding only.
SAME = 1e-6
# Of the inputs that a site visit or a talk could settle.
TO_VERIFY = ("assumed", "common practice", "measured", "from drawings")


@dataclass(frozen=True, eq=False)
class Turn:
    """Where a check turns over as one number is varied.

    Attributes
    ----------
    check : Check
    value : float [base units]
        The last number at which it still fits, or the first at which it does.
    passes_there : bool
        Whether it fails now and fits from there on.
    """

    check: Check
    value: float
    passes_there: bool


@dataclass(frozen=True, eq=False)
class Range:
    """How far one number may go.

    Attributes
    ----------
    leaf : Value
    reached : tuple of Check
        The checks that it can change.
    down, up : tuple of Turn
        Of smaller and of larger numbers, nearest first.
    low, high : float [base units]
        How far was looked.
    notes : tuple of str
        Why the range ended early, or what could not be said.
    """

    leaf: Value
    reached: tuple[Check, ...]
    down: tuple[Turn, ...]
    up: tuple[Turn, ...]
    low: float
    high: float
    notes: tuple[str, ...]

    @property
    def nearest(self) -> float:
        """The distance to the nearest crossing as a share of the number; infinite if none."""
        return min(map(self.distance, (*self.down[:1], *self.up[:1])), default=math.inf)

    def distance(self, turn: Turn) -> float:
        """Return how far a crossing is, as a share of the number; of 10 ft for a place."""
        start = self.leaf.at()
        scale = 120.0 * inch if is_place(self.leaf) or not start else abs(start)
        return abs(turn.value - start) / scale


@dataclass(frozen=True, eq=False)
class Neighbor:
    """What becomes of the checks at a neighbor of something that cannot vary by degrees.

    Attributes
    ----------
    change : Change
    turned : tuple of (Check, str)
        The checks that turn over, as they are now, and "fails" or "passes", what they do then.
    worst : (str, float) or None
        Title and utilization then of the check that comes worst, of those that change.
    refused : str
        Why the job cannot be solved with it.
    """

    change: Change
    turned: tuple[tuple[Check, str], ...] = ()
    worst: tuple[str, float] | None = None
    refused: str = ""


@dataclass(frozen=True, eq=False)
class BreakPoints:
    """The break-points of a job.

    Attributes
    ----------
    ranges : tuple of Range
        Of the numbers that vary by degrees, the nearest crossing first.
    neighbors : tuple of Neighbor
    """

    ranges: tuple[Range, ...]
    neighbors: tuple[Neighbor, ...]

    def of(self, id: str) -> Range | None:
        """Return the range of a leaf; None for one that does not vary by degrees."""
        return next((each for each in self.ranges if each.leaf.id == id), None)

    def to_verify(self, most: int) -> tuple[Range, ...]:
        """Return the numbers nearest to a crossing of those that can be verified on site."""
        found = [
            each
            for each in self.ranges
            if math.isfinite(each.nearest) and _leaf(each.leaf).basis in TO_VERIFY
        ]
        return tuple(found[:most])


def _leaf(value: Value) -> Leaf:
    assert isinstance(value.origin, Leaf)
    return value.origin


def is_place(value: Value) -> bool:
    """Tell whether a leaf is a place along a line, which may lie on either side of its zero."""
    low = _leaf(value).low
    return value.unit in ("ft", "in") and low is not None and low < 0


def register(solved: Solved) -> list[tuple[Value, tuple[Check, ...]]]:
    """Return every leaf with the checks that it can change, in the order first met.

    Parameters
    ----------
    solved : Solved
    """
    reached: dict[str, tuple[Value, list[Check]]] = {}
    for check in solved.checks:
        for value in leaves(*worst_of(check)):
            reached.setdefault(value.id, (value, []))[1].append(check)
    return [(value, tuple(checks)) for value, checks in reached.values()]


def varies(value: Value, entries: Mapping[str, Entry]) -> bool:
    """Tell whether a leaf varies by degrees.

    Numbers of the job file do, but counts; of the tables, loads and strengths do. Factors,
    exponents, limits and stock sizes are what their clause says.
    """
    entry = entries.get(value.id)
    if entry is not None:
        return entry.key.kind != "count"
    return isinstance(value.number, float) and units.dimension(value.unit)[0] != 0


def break_points(solved: Solved) -> BreakPoints:
    """Find how far each number of a job may go, and what its neighbors do.

    Parameters
    ----------
    solved : Solved

    Returns
    -------
    BreakPoints

    Notes
    -----
    Numbers are looked at in growing steps, at 1.1, 1.25, 1.6, 2.4 and 4 times themselves and at
    0.9, 0.75, 0.5 and a quarter; places at 3, 6, 12, 24 and 48 in either way; up to the limits
    of sense of their entry. A check that turns over and back within a step is not seen.
    """
    entries = entries_of(solved.job)
    found = [
        _range(value, checks, solved, may_move_loads(entries.get(value.id)))
        for value, checks in register(solved)
        if varies(value, entries)
    ]
    found.sort(key=lambda each: (each.nearest, each.leaf.id))
    return BreakPoints(tuple(found), tuple(_neighbors(solved)))


def may_move_loads(entry: Entry | None) -> bool:
    """Tell whether an entry can change which member carries what: a length, a place, a slope."""
    if entry is None:
        return False
    force, length = units.dimension(entry.key.unit)
    return entry.key.kind == "pitch" or (force == 0 and length > 0)


def _range(leaf: Value, checks: tuple[Check, ...], solved: Solved, moves: bool) -> Range:
    turning = Turning(leaf, checks)
    by_id = {check.id: check for check in checks}
    sides, ends, notes = [], [], []
    for direction in (-1, 1):
        if is_place(leaf):
            at = [leaf.at() + direction * off for off in OFFSETS]
            points = turning.scan(direction, within(leaf, direction, at))
        else:
            points = turning.scan(direction, outward(leaf, direction))
        turns = [
            Turn(by_id[p.check], p.value, not turning.fits(i, turning.now[i]))
            for i, p in enumerate(points)
            if p.value is not None
        ]
        turns.sort(key=lambda turn: abs(turn.value - leaf.at()))
        ends.append(max((p.reached for p in points), key=lambda x: direction * x))
        side = "above" if direction > 0 else "below"
        notes += sorted({f"not looked {side}: {_why(p.stopped)}" for p in points if p.stopped})
        if moves:
            turns, ends[-1], note = _confirmed(turns, ends[-1], direction, turning, solved)
            notes += [note] if note else []
        sides.append(tuple(turns))
    return Range(leaf, checks, sides[0], sides[1], ends[0], ends[1], tuple(dict.fromkeys(notes)))


def _why(error: object) -> str:
    """Return in a few words why the job could not be solved with a number."""
    line = str(error).partition("\n")[0]
    place = re.match(r"[^,:]+, ([\w.]+): ", line)
    if place:
        return f"it contradicts {place[1]}"
    return line.partition(", got ")[0].partition(". ")[0].rstrip(".")


def _confirmed(
    turns: Sequence[Turn], end: float, direction: int, turning: Turning, solved: Solved
) -> tuple[list[Turn], float, str]:
    """Return crossings and range as far as a whole new solution of the job agrees with the graph.

    A length or a place can change which member carries what, which the graph of one solution
    does not know.
    """
    leaf = turning.leaf
    start, why = leaf.at(), ""
    if turns:
        trials = [(list(turns), turns[-1].value), (list(turns[:1]), turns[0].value)]
    else:
        trials = [([], start + share * (end - start)) for share in (1.0, 0.125)]
    for kept, number in trials:
        if number == start:
            break
        try:
            again = _solved_with(solved.job, entries_with(solved.job, leaf.id, number))
        except CalcError as error:
            why = _why(error)
            continue
        ratios = {check.id: _ratio(check) for check in again.checks}
        expected = [max(map(largest, each)) for each in turning(number)]
        if all(
            abs(ratios.get(check.id, math.inf) - ratio) <= SAME * max(1.0, abs(ratio))
            for check, ratio in zip(turning.checks, expected, strict=True)
        ):
            return kept, end if len(kept) == len(turns) and turns else number, ""
        why = "other members carry its loads there"
    return [], start, f"not said {'above' if direction > 0 else 'below'}: {why}" if why else ""


def _ratio(check: Check) -> float:
    ratios = worst_of(check)
    return max(map(largest, ratios)) if ratios else math.nan


def _solved_with(job: Job, entries: Mapping[str, str | float]) -> Solved:
    from calclib.job.solve import solve

    return solve(with_entries(job, entries))


def _neighbors(solved: Solved) -> Iterator[Neighbor]:
    now = {check.id: check for check in solved.checks}
    for change in neighbors(solved.job):
        try:
            again = _solved_with(solved.job, change.entries)
        except CalcError as error:
            yield Neighbor(change, refused=_why(error))
            continue
        turned, moved = [], []
        for check in again.checks:
            before = now.get(check.id)
            if before is None or before.ratio is None or check.ratio is None:
                continue
            if check.fits != before.fits:
                turned.append((before, "passes" if check.fits else "fails"))
            if abs(_ratio(check) - _ratio(before)) > SAME:
                moved.append(check)
        worst = max(moved, key=_ratio, default=None)
        told = None if worst is None else (worst.title, _ratio(worst))
        yield Neighbor(change, tuple(turned), told)


__all__ = ["BreakPoint", "BreakPoints", "Neighbor", "Range", "Turn", "break_points", "register"]
