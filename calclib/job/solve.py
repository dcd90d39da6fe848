"""Solve a job: loads from the top down in each state of the work, then the checks."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

from calclib.errors import InputError, message
from calclib.job import audit
from calclib.job import state as states
from calclib.job.bent import Bent
from calclib.job.carry import Flow, House, carry, fallen_of, house_of
from calclib.job.connections import connection_checks
from calclib.job.file import Job, read
from calclib.job.house import AreaLoads
from calclib.job.interfaces import interface_checks
from calclib.job.member import LoadRow
from calclib.job.members import solved_members
from calclib.job.schema import called
from calclib.job.state import FINISHED, State
from calclib.trace import Check, Value, check
from calclib.trace.check import ratio_text

if TYPE_CHECKING:
    from calclib.job.break_points import BreakPoints
    from calclib.job.opinion import Opinion
    from calclib.job.work.stages import Worked

STAGE = FINISHED
# Of a utilization: two solutions of one member differ by rounding only.
SAME = 1e-9
PUT_IN_ITS_PLACE = 'Say what takes its place: replaces = "walls.kitchen" in the new beam.'
BEAM_ANEW = 'Write stands = "removed" for the beam too, and a new beam without that support.'


@dataclass(frozen=True, eq=False)
class Solved:
    """A solved job.

    Attributes
    ----------
    job : Job
    inputs : mapping of str to Value
        Every number of the file by its path.
    surfaces : mapping of str to AreaLoads
    flow : Flow
        The loads of the finished house on their way to the ground.
    found : Flow or None
        Those of the house as found, when the file tells what stood there.
    beams : tuple of Bent
        Of the finished house, from the top down.
    joists : tuple of Bent
        Of the finished house.
    before : tuple of Bent
        Beams and joists that stand as found, under the loads that they carried then.
    checks : tuple of Check
    works : tuple of Worked
        The work of each opening, followed through its stages.
    """

    job: Job
    inputs: Mapping[str, Value]
    surfaces: Mapping[str, AreaLoads]
    flow: Flow
    found: Flow | None
    beams: tuple[Bent, ...]
    joists: tuple[Bent, ...]
    before: tuple[Bent, ...]
    checks: tuple[Check, ...]
    works: tuple[Worked, ...] = ()

    @property
    def landed(self) -> Mapping[str, tuple[LoadRow, ...]]:
        """What lands on each member of the finished house, in the order it arrived."""
        return self.flow.landed

    @cached_property
    def opinion(self) -> Opinion:
        """Its main results found another way; see `calclib.job.second_opinion`."""
        from calclib.job.second_opinion import second_opinion

        return second_opinion(self)

    @cached_property
    def break_points(self) -> BreakPoints:
        """How far each of its numbers may go; see `calclib.job.break_points`."""
        from calclib.job.break_points import break_points

        return break_points(self)

    def __repr__(self) -> str:
        return f"<solved {self.job!r}, {len(self.checks)} checks>"

    def _repr_html_(self) -> str:
        from calclib.job.rich import solved_html

        return solved_html(self)


def solved_of(job: str | Path | Job | Solved) -> Solved:
    """Return what a job file, or what was made of it, solves to.

    Parameters
    ----------
    job : str, Path, Job or Solved
        A solved job comes back as it is.

    Raises
    ------
    CalcError
        When the job cannot be read or solved.
    """
    if isinstance(job, Solved):
        return job
    return solve(job if isinstance(job, Job) else read(job))


def solve(job: Job) -> Solved:
    """Take the loads of a job down to the ground and check its members.

    Parameters
    ----------
    job : Job

    Returns
    -------
    Solved

    Raises
    ------
    CalcError
        When a material or a service is outside the tables, or a member loses its way to the
        ground in one of the states.
    """
    house = house_of(job)
    flow = carried(house, states.finished(job.sections))
    has_history = states.has_history(job.sections)
    found = carried(house, states.as_found(job.sections)) if has_history else None
    after = list(solved_members(flow))
    before: list[Bent] = []
    if found is not None:
        was = [item for item in solved_members(found) if isinstance(item, Bent)]
        after, before = _told_apart(after, was)
    checks = [check for bent in before for check in bent.checks]
    failed = {c.id.partition("/")[2]: c for c in checks if c.state == "fails"}
    after = [_failing_before(item, failed) if isinstance(item, Bent) else item for item in after]
    bents = [item for item in after if isinstance(item, Bent)]
    for item in after:
        checks += item.checks if isinstance(item, Bent) else [item]
    checks += interface_checks(flow, bents)
    checks += connection_checks(flow, bents)
    if found is not None:
        checks += _rises(audit.changes(found, flow, before, bents), flow)
    checks += _bracing(audit.bracing_walls(flow))
    start = flow if found is None else found
    works: tuple[Worked, ...] = ()
    if job.of("work"):
        from calclib.job.work.stages import solve_work

        works = tuple(
            solve_work(house, start.state, start, flow, work, bents, checks)
            for work in job.of("work").values()
        )
    checks += [check for worked in works for check in worked.checks]
    return Solved(
        job,
        house.inputs,
        house.surfaces,
        flow,
        found,
        tuple(bent for bent in bents if bent.section.kind == "beams"),
        tuple(bent for bent in bents if bent.section.kind != "beams"),
        tuple(before),
        tuple(checks),
        works,
    )


AS_FOUND_FAILS = "It fails as found already, with {}: that is not a fault of the new work."
UNCHANGED = "The work does not change it: as found it carries the same."


def _told_apart(
    after: list[Bent | Check], before: list[Bent]
) -> tuple[list[Bent | Check], list[Bent]]:
    """Return both lists, without what carried the same before; it says so in the finished house."""
    same = {
        (place, number)
        for place, item in enumerate(after)
        for number, bent in enumerate(before)
        if isinstance(item, Bent) and _is_same(item, bent)
    }
    places, numbers = {place for place, _ in same}, {number for _, number in same}
    return (
        [
            _noted(item) if place in places and isinstance(item, Bent) else item
            for place, item in enumerate(after)
        ],
        [bent for number, bent in enumerate(before) if number not in numbers],
    )


def _is_same(one: Bent, other: Bent) -> bool:
    if one.section is not other.section or len(one.checks) != len(other.checks):
        return False
    return all(
        a.title.startswith(b.title.partition(" of ")[0])
        and (a.ratio is None) == (b.ratio is None)
        and (a.ratio is None or abs(a.worst - b.worst) <= SAME * max(a.worst, 1.0))
        for a, b in zip(one.checks, other.checks, strict=True)
    )


def _failing_before(bent: Bent, failed: Mapping[str, Check]) -> Bent:
    """Return a member whose checks say where they failed as found already."""
    return replace(
        bent,
        checks=tuple(
            replace(item, notes=(*item.notes, AS_FOUND_FAILS.format(ratio_text(was.worst))))
            if (was := failed.get(item.id.partition("/")[2])) is not None
            else item
            for item in bent.checks
        ),
    )


def _noted(bent: Bent) -> Bent:
    checks = tuple(replace(check, notes=(*check.notes, UNCHANGED)) for check in bent.checks)
    return replace(bent, checks=checks)


def carried(house: House, state: State) -> Flow:
    """Carry the loads of a state, in which no member may fall.

    Parameters
    ----------
    house : House
    state : State

    Returns
    -------
    Flow

    Raises
    ------
    InputError
        When members have no path to the ground; it names each and what it lost.
    """
    flow = carry(house, state)
    fallen = fallen_of(flow)
    if fallen:
        raise InputError(
            "\n".join(
                message(
                    f"{house.job.file}, {path}",
                    f"a path to the ground ({state.name})",
                    f"support on {' and '.join(lost)}, which does not stand then",
                    BEAM_ANEW if path in flow.shares else PUT_IN_ITS_PLACE,
                )
                for path, lost in fallen.items()
            )
        )
    return flow


def _rises(changes: Sequence[audit.Change], flow: Flow) -> Iterator[Check]:
    """Yield an open check for each existing member that carries more and has no check here."""
    for change in changes:
        section = flow.state.members[change.path]
        checked = section.kind in ("beams", "posts", "footings") or "species" in section.words
        if not change.needs_check or checked:
            continue
        what = change.name.capitalize()
        yield check(
            f"{FINISHED}/{change.path}/rise",
            f"Rise of load on {change.name}",
            "IEBC 503.3, from memory",
            None,
            None,
            questions=(
                f"{what} will carry more than as found (see the table of loads before and after): "
                "it and all below it are to be checked or strengthened.",
            ),
        )


def _bracing(walls: Sequence[str]) -> Iterator[Check]:
    """Yield an open check for each wall that the work touches and that may brace the house."""
    for path in walls:
        what = called(path).capitalize()
        yield check(
            f"{FINISHED}/{path}/bracing",
            f"Bracing by {called(path)}",
            "IRC R602.10",
            None,
            None,
            questions=(
                f"{what} may be part of the bracing of the house against wind and earthquake: the "
                "engineer is to say what takes its place.",
            ),
        )


__all__ = ["Solved", "called", "carried", "solve"]
