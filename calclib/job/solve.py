"""Solve a job: loads from the top down in each state of the work, then the checks."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from calclib.errors import InputError, message
from calclib.job import audit
from calclib.job import state as states
from calclib.job.beam import solve_beam, twist_check
from calclib.job.bent import Bent, Design, design_of
from calclib.job.carry import Flow, House, carry, house_of
from calclib.job.connections import connection_checks
from calclib.job.contents import Section
from calclib.job.file import Job
from calclib.job.house import AreaLoads, on_plan, unbalanced_on
from calclib.job.interfaces import flush_beams, interface_checks
from calclib.job.joist import open_joists, open_trusses, solve_joists
from calclib.job.member import LoadRow
from calclib.job.plan import orientations
from calclib.job.plies import ply_check
from calclib.job.schema import called
from calclib.job.state import AS_FOUND, FINISHED, State
from calclib.job.under import below_checks
from calclib.trace import Check, Value, check
from calclib.trace.check import ratio_text

STAGE = FINISHED
# Of a utilization: two solutions of one member differ by rounding only.
SAME = 1e-9


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

    @property
    def landed(self) -> Mapping[str, tuple[LoadRow, ...]]:
        """What lands on each member of the finished house, in the order it arrived."""
        return self.flow.landed

    def __repr__(self) -> str:
        return f"<solved {self.job!r}, {len(self.checks)} checks>"

    def _repr_html_(self) -> str:
        from calclib.job.rich import solved_html

        return solved_html(self)


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
    after = list(_solved_members(flow))
    before: list[Bent] = []
    if found is not None:
        was = [item for item in _solved_members(found) if isinstance(item, Bent)]
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
    fallen = dict(flow.lost)
    for path, strips in flow.strips.items():
        lost = dict.fromkeys(carrier for strip in strips for carrier in strip.lost)
        if lost:
            fallen[path] = tuple(lost)
    for handing in flow.handings:
        if not state.stands(handing.taker):
            fallen[handing.giver] = (handing.taker,)
    if fallen:
        raise InputError(
            "\n".join(
                message(
                    f"{house.job.file}, {path}",
                    f"a path to the ground ({state.name})",
                    f"support on {' and '.join(lost)}, which does not stand then",
                    'Say what takes its place: replaces = "walls.kitchen" in the new beam.',
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


def _solved_members(flow: Flow) -> Iterator[Bent | Check]:
    """Yield the members of a state with their checks, from the top down."""
    house, state = flow.house, flow.state
    design = design_of(house.job)
    for path in flow.order:
        section = state.members[path]
        if section.kind == "beams":
            beam = solve_beam(
                house.axes[path], flow.landed[path], house.inputs, state.key, design,
                state.members, house.axes,
            )  # fmt: skip
            yield beam
            if state.key == FINISHED and _hangs_on_one_side(flow, path):
                yield twist_check(beam)
            nails = ply_check(beam, flow, design) if state.key == FINISHED else None
            if nails is not None:
                yield nails
        elif section.kind in ("joists", "rafters"):
            yield from _field(flow, section, design)
        elif state.key == FINISHED and section.kind == "trusses":
            yield open_trusses(section, state.key)
        elif state.key == FINISHED:
            yield from below_checks(flow, section)


def _field(flow: Flow, section: Section, design: Design) -> Iterator[Bent | Check]:
    house, state = flow.house, flow.state
    if {"species", "grade"} <= set(section.words):
        yield from solve_joists(
            section,
            flow.strips[section.path],
            on_plan(section, house.surfaces[section.words["surface"]], house.inputs),
            unbalanced_on(section, house.surfaces, state.members),
            flow.landed[section.path],
            house.inputs,
            state.key,
            design,
            flush_beams(state.members),
        )
    elif state.key == FINISHED and flow.state.key != AS_FOUND and _is_touched(flow, section):
        yield open_joists(section, state.key)


def _hangs_on_one_side(flow: Flow, path: str) -> bool:
    """Tell whether joists hang on one side only of a flush beam."""
    if flow.state.members[path].words["setting"] != "flush":
        return False
    ways = orientations(flow.house)
    sides = set()
    for field, strips in flow.strips.items():
        for strip in strips:
            if path in strip.carriers:
                place = strip.marks[:: ways[field]].index(path)
                sides |= {"below"} if place else set()
                sides |= {"above"} if place < len(strip.marks) - 1 else set()
    return len(sides) == 1


def _is_touched(flow: Flow, section: Section) -> bool:
    """Tell whether the work changes what a field rests on."""
    return any(strip.cut_at for strip in flow.strips[section.path])


__all__ = ["Solved", "called", "carried", "solve"]
