"""What a load path is audited by: balance, what rises, what a trial removal does, estimates."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from calclib.job import graph
from calclib.job.bent import Bent
from calclib.job.carry import SOURCES, Flow, carry
from calclib.job.schema import GROUND, called
from calclib.job.state import stands_of, without

# IEBC 503.3: what rises by more must be checked or strengthened.
RISE = 0.05
SMALL = 1e-6


@dataclass(frozen=True)
class Change:
    """What a member carries before and after.

    Attributes
    ----------
    path, name : str
    before, after : float [lbf]
        What lands on it, all sources.
    by_source : tuple of (str, float, float)
        Source, before, after [lbf].
    moment_before, moment_after : float or None [lbf in]
        Largest moment of a bent member in any combination.
    """

    path: str
    name: str
    before: float
    after: float
    by_source: tuple[tuple[str, float, float], ...]
    moment_before: float | None = None
    moment_after: float | None = None

    @property
    def rise(self) -> float:
        """The largest relative rise among its sources, its total and its moment."""
        pairs = [(self.before, self.after), *((b, a) for _, b, a in self.by_source)]
        if self.moment_before is not None and self.moment_after is not None:
            pairs.append((self.moment_before, self.moment_after))
        return max(_relative(before, after) for before, after in pairs)

    @property
    def needs_check(self) -> bool:
        """Whether the rise asks for a check by the existing-building code."""
        return self.rise > RISE


def _relative(before: float, after: float) -> float:
    if abs(after - before) <= SMALL * max(abs(before), abs(after), 1.0):
        return 0.0
    return (after - before) / before if before > 0 else float("inf")


def landing(flow: Flow, path: str) -> dict[str, float]:
    """Return what lands on a member, and what it weighs itself, by source [lbf]."""
    found: dict[str, float] = {}
    for handing in flow.handings:
        if handing.taker == path:
            for source, amount in handing.amounts.items():
                found[source] = found.get(source, 0.0) + amount
    for source, amount in flow.own.get(path, {}).items():
        found[source] = found.get(source, 0.0) + amount
    return found


def changes(
    found: Flow, finished: Flow, before: Sequence[Bent] = (), after: Sequence[Bent] = ()
) -> tuple[Change, ...]:
    """Return for each member that stands before and after what it carried and will carry.

    Parameters
    ----------
    found, finished : Flow
    before, after : sequence of Bent
        Bent members of the two, for their moments.

    Returns
    -------
    tuple of Change
        From the top of the house down.
    """
    moments = [_moments(bents) for bents in (before, after)]
    rows = []
    for path in finished.order:
        if path not in found.order or finished.state.members[path].kind == "points":
            continue
        was, now = landing(found, path), landing(finished, path)
        sources = tuple(
            (source, was.get(source, 0.0), now.get(source, 0.0))
            for source in SOURCES
            if was.get(source) or now.get(source)
        )
        rows.append(
            Change(
                path,
                called(path),
                sum(was.values()),
                sum(now.values()),
                sources,
                *(table.get(path) for table in moments),
            )
        )
    return tuple(rows)


def _moments(bents: Sequence[Bent]) -> dict[str, float]:
    found: dict[str, float] = {}
    for bent in bents:
        curves = bent.solution.number.combine(
            [list(row) for row in zip(*(f.number for f in bent.strength.factors), strict=True)]
        )
        extremes = curves.moment_extremes.of_member
        largest = float(max(extremes.highest.max(), -extremes.lowest.min()))
        found[bent.section.path] = max(largest, found.get(bent.section.path, 0.0))
    return found


@dataclass(frozen=True)
class Trial:
    """What happens when members are taken out.

    Attributes
    ----------
    taken : tuple of str
    falls : tuple of (str, tuple of str, float)
        Each member that falls, what it lost, and the load that it carried [lbf].
    changes : tuple of Change
        What is left, with its loads before and after.
    after : Flow
        The loads of what is left.
    """

    taken: tuple[str, ...]
    falls: tuple[tuple[str, tuple[str, ...], float], ...]
    changes: tuple[Change, ...]
    after: Flow


def take_out(flow: Flow, paths: Sequence[str]) -> Trial:
    """Take members out by way of trial.

    Parameters
    ----------
    flow : Flow
        A state in which they stand.
    paths : sequence of str

    Returns
    -------
    Trial
        Members that keep enough supports span further, and hand on what they then carry.
    """
    after = carry(flow.house, without(flow.state, frozenset(paths)))
    falls = [(path, lost, sum(landing(flow, path).values())) for path, lost in after.lost.items()]
    falls += _parts_that_fall(after)
    return Trial(
        tuple(paths),
        tuple(falls),
        tuple(
            change
            for change in changes(flow, after)
            if abs(change.after - change.before) > SMALL * max(change.before, 1.0)
        ),
        after,
    )


def _parts_that_fall(flow: Flow) -> Iterator[tuple[str, tuple[str, ...], float]]:
    """Yield the members of which a part falls: path, what it lost, what that part carried."""
    for path, strips in flow.strips.items():
        fallen = [strip for strip in strips if not strip.stands]
        if not fallen:
            continue
        loads = flow.house.surfaces[flow.state.members[path].words["surface"]].by_source
        area = sum(strip.length * sum(bay.at() for bay in strip.bays) for strip in fallen)
        named = [carrier for carrier in flow.state.carriers(path) if not flow.state.stands(carrier)]
        yield path, tuple(named), area * sum(q.at() for q in loads.values())
    for handing in flow.handings:
        if not flow.state.stands(handing.taker):
            yield handing.giver, (handing.taker,), handing.total


@dataclass(frozen=True)
class Estimate:
    """The exact load of a field on one of its supports, beside half the spans times the load.

    Attributes
    ----------
    field, carrier : str
        Paths.
    estimate, exact : float [lbf]
        All sources, every span loaded.
    why : str
        What makes the difference, in a line.
    """

    field: str
    carrier: str
    estimate: float
    exact: float
    why: str


def estimates(flow: Flow) -> Iterator[Estimate]:
    """Yield for each field and support the tributary-width estimate beside the exact load.

    Parameters
    ----------
    flow : Flow
    """
    exact: dict[tuple[str, str], float] = {}
    for path, strips in flow.strips.items():
        rough: dict[str, float] = {}
        why: dict[str, str] = {}
        loads = flow.house.surfaces[flow.state.members[path].words["surface"]].by_source
        for strip in strips:
            whole = sum(q.at() for q in loads.values()) * strip.length
            for place, mark in enumerate(strip.marks):
                if not mark:
                    continue
                beside = [
                    bay.at() / (1 if not strip.marks[other] else 2)
                    for bay, other in (
                        *([(strip.bays[place - 1], place - 1)] if place else []),
                        *([(strip.bays[place], place + 1)] if place < len(strip.bays) else []),
                    )
                ]
                rough[mark] = rough.get(mark, 0.0) + whole * sum(beside)
                if not strip.is_simple:
                    why[mark] = _why(strip.marks, place)
        for handing in flow.handings:
            if handing.giver == path:
                key = (path, handing.taker)
                exact[key] = exact.get(key, 0.0) + handing.total
        for carrier, estimate in rough.items():
            on_it = exact.get((path, carrier), 0.0)
            same = abs(on_it - estimate) <= 1e-9 * max(estimate, 1.0)
            reason = "simple spans: half of each span goes to each support"
            if not same:
                reason = why.get(carrier, "the slope, or what stands on the joists, comes on top")
            yield Estimate(path, carrier, estimate, on_it, reason)


def _why(marks: Sequence[str], place: int) -> str:
    inner = 0 < place < len(marks) - 1 and any(marks[:place]) and any(marks[place + 1 :])
    if inner:
        return "the joists run on over it: their stiffness draws load to it"
    if not marks[0] or not marks[-1]:
        return "the overhang tips: it adds here or takes off at the other end"
    return "the joists run on over the next support, which draws load away from here"


def paths_to_ground(flow: Flow, path: str) -> Iterator[tuple[int, str, float]]:
    """Yield a member and all that carries it, down to the ground: depth, path, load [lbf].

    Parameters
    ----------
    flow : Flow
    path : str
    """
    ahead = [(0, path, sum(landing(flow, path).values()))]
    while ahead:
        depth, here, load = ahead.pop()
        yield depth, here, load
        ahead += [
            (depth + 1, handing.taker, handing.total)
            for handing in reversed(flow.handings)
            if handing.giver == here
        ]


def bracing_walls(flow: Flow) -> tuple[str, ...]:
    """Return the walls that the work touches and that may brace the house."""
    members = graph.members(flow.house.job.sections)
    replaced = {
        section.words["replaces"] for section in members.values() if "replaces" in section.words
    }
    return tuple(
        path
        for path, section in members.items()
        if section.kind == "walls"
        and (stands_of(section) == "removed" or path in replaced)
        and section.words.get("bracing", "unknown") != "no"
    )


__all__ = [
    "GROUND",
    "RISE",
    "Change",
    "Estimate",
    "Trial",
    "bracing_walls",
    "changes",
    "estimates",
    "landing",
    "paths_to_ground",
    "take_out",
]
