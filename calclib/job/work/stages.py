"""The work in stages: what a job's work section asks of shores, floors, beam and hands."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from calclib.job import graph
from calclib.job.audit import paths_to_ground
from calclib.job.bent import Bent, Design, design_of
from calclib.job.carry import Flow, House, fallen_of, through_wall
from calclib.job.contents import Section
from calclib.job.members import solved_members
from calclib.job.schema import GROUND, called
from calclib.job.state import (
    BEAM_UP,
    FINISHED,
    JOISTS_HUNG,
    POSTS_IN,
    SHORING_OUT,
    SHORING_UP,
    WALL_OUT,
    State,
)
from calclib.job.studs import has_studs, stud_of
from calclib.job.sums import line_over_cases
from calclib.job.work import fitting
from calclib.job.work.held import Plan, Side, held_flow, line_of, shore_path, sides_of
from calclib.job.work.lists import Lists, lists_of
from calclib.job.work.members import Place, plate_size, plates_of
from calclib.job.work.shore_wall import stripped_wall_checks
from calclib.job.work.shores import Shore, cut_or_through, shore_of, stood_on
from calclib.job.work.shoring import (
    Distance,
    WallAbove,
    construction_live,
    greatest_distances,
    line_load,
    needles_of,
    sides_needed,
    wall_above_checks,
)
from calclib.loads.takedown import load_over_length, sum_of_loads
from calclib.trace import Check, Value, check, leaf
from calclib.units import feet_inches, inch

# Shorter pieces of a wall without load are the gaps between two fields.
GAP = 3 * inch
SEVEN_DAYS, TWO_MONTHS = 7, 61
# Checks that turn over when a shore is moved away from the line.
# With less of the wall above on the tips they turn over later.
EASIER = re.compile(r"\.joists\.(equal|none)/")
OF_TIPS = ("/bending_hogging", "/uplift.far_bearing", "/uplift.other_far_bearing")


@dataclass(frozen=True, eq=False)
class Stage:
    """One stage of the work.

    Attributes
    ----------
    key : str
        As in the ids of its checks.
    says : tuple of str
        What is done and what carries the load, in sentences.
    """

    key: str
    says: tuple[str, ...]


@dataclass(frozen=True, eq=False)
class Worked:
    """The work of one opening, followed through its stages.

    Attributes
    ----------
    section, beam : Section
    sides : tuple of Side
    needed : int
        Shores that the joists need.
    reason : str
        Why that many.
    shores : tuple of Shore
    flow : Flow or None
        The house while the wall is out; None when something was not entered or falls.
    fallen : tuple of str
        Members that nothing holds while the wall is out.
    stages : tuple of Stage
        In the order that the job chooses.
    fit : Fit
        What the tape says: beam, bearings, cuts.
    checks : tuple of Check
    lists : Lists
    weights : tuple of Weight
        What is lifted.
    """

    section: Section
    beam: Section
    sides: tuple[Side, ...]
    needed: int
    reason: str
    shores: tuple[Shore, ...]
    flow: Flow | None
    fallen: tuple[str, ...]
    stages: tuple[Stage, ...]
    fit: fitting.Fit
    checks: tuple[Check, ...]
    lists: Lists
    weights: tuple[fitting.Weight, ...]

    @cached_property
    def distances(self) -> Mapping[str, tuple[Distance, ...]]:
        """For each shore how far from the line it may stand, by the checks of the joists' tips."""
        return {
            shore.section.name: greatest_distances(
                shore.distance,
                [
                    each
                    for held in shore.held
                    for each in held.checks
                    if each.id.endswith(OF_TIPS) and not EASIER.search(each.id)
                ],
            )
            for shore in self.shores
        }

    @property
    def name(self) -> str:
        """The work in words."""
        return f"work at {called(self.beam.path)}"


def solve_work(
    house: House, base: State, found: Flow, finished: Flow, work: Section, bents: Sequence[Bent],
    final: Sequence[Check],
) -> Worked:  # fmt: skip
    """Follow the work of one opening through its stages.

    Parameters
    ----------
    house : House
    base : State
        The house as found, or as finished when nothing else was entered.
    found, finished : Flow
        The loads in `base`, and those of the finished house.
    work : Section
    bents : sequence of Bent
        Of the finished house.
    final : sequence of Check
        Of the finished house, for the lists.

    Returns
    -------
    Worked
    """
    beam = house.section(str(work.words["beam"]))
    sides = sides_of(house, base, work, beam)
    fit = fitting.fit_of(house, work, beam, sides, bents)
    design = _design(house, work)
    live = construction_live(str(work.words["duty"]))
    above, points = _above(house, base, found, beam, sides)
    needed, reason = _needed(beam, sides)
    checks: list[Check] = [
        *_sides_checks(work, beam, sides, needed, reason),
        *_carried_above(work, above, points),
        *_unloaded(house, work, beam, found, base),
        *fit.checks,
    ]
    shores: list[Shore] = []
    for section in _shores(work):
        mine = [side for side in sides if side.shore is section]
        if mine:
            shores.append(_shore(house, work, beam, section, mine, sides, fit, live, above, design))
    flow, fallen = _staged(house, base, work, beam, sides, fit, live, above, checks)
    for shore in shores:
        checks += shore.checks
        checks += stood_on(shore, house, work, live, design)
    if flow is not None:
        checks += _members_below(flow, work, shores)
    for wall in work.words.get("stripped", ()):
        checks += _stripped(finished, work, wall, design)
    bent = next((b for b in bents if b.section is beam), None)
    if bent is not None:
        checks += fitting.beam_in_the_air(house, work, beam, bent, finished, sides)
    made = tuple(checks)
    return Worked(
        work, beam, sides, needed, reason, tuple(shores), flow, fallen,
        _stages(work, beam, sides, shores, base, house), fit, made,
        lists_of(house, work, beam, fit, shores, (*final, *made)),
        fitting.weights_of(house, work, beam),
    )  # fmt: skip


def _design(house: House, work: Section) -> Design:
    """Return the job's design, live load counting for as long as the shores stand."""
    design = design_of(house.job)
    days = work.numbers.get("days")
    if days is None:
        return design
    if days.number <= SEVEN_DAYS:
        return replace(design, live_lasts_as="Lr")
    return replace(design, live_lasts_as="S") if days.number <= TWO_MONTHS else design


def _shores(work: Section) -> Iterator[Section]:
    for shore in work.inside.get("shores", {}).values():
        if isinstance(shore, Section):
            yield shore


def _needed(beam: Section, sides: Sequence[Side]) -> tuple[int, str]:
    """Return how many sides need a shore, and why."""
    cut = dict.fromkeys(side.toward for side in sides if not side.runs_on)
    setting = str(beam.words["setting"])
    if not sides:
        return 0, "No joists rest on the wall's line."
    if setting == "flush":
        reason = sides_needed(setting, "through").reason
    elif cut:
        reason = sides_needed(setting, "butted").reason
    else:
        reason = sides_needed(setting, "through").reason
    if len(cut) == 1:
        reason = f"Joists end at the line on one side only, toward {called(next(iter(cut)))}."
    return len(cut) or 1, reason


def _sides_checks(
    work: Section, beam: Section, sides: Sequence[Side], needed: int, reason: str
) -> Iterator[Check]:
    """Yield the check that every side whose joists end at the line has its shore."""
    if not needed:
        return
    given = {side.toward for side in sides if side.shore is not None}
    missing = [
        called(toward)
        for toward in dict.fromkeys(side.toward for side in sides if not side.runs_on)
        if toward not in given
    ]

    def count(number: int, symbol: str, title: str) -> Value:
        return leaf(
            float(number), "", symbol, f"{work.path}/{symbol}", title=title, basis="chosen",
            source="counted from the job file",
        )  # fmt: skip

    title = "Shores for the joists that lose the wall"
    if not given:
        yield check(
            f"{WALL_OUT}/{work.path}/shores", title, "common practice",
            count(needed, "n_need", "sides that need a shore"), None,
            questions=(
                f"No shore was entered for {called(beam.path)}: joists, and all that stands on "
                f"them, would fall. {reason}",
            ),
        )  # fmt: skip
        return
    words = f" Nothing holds the joists toward {' and '.join(missing)}." if missing else ""
    yield check(
        f"{WALL_OUT}/{work.path}/shores", title, "common practice",
        count(needed, "n_need", "sides that need a shore"),
        count(len(given), "n_given", "sides that have a shore"), notes=(f"{reason}{words}",),
    )  # fmt: skip


# What stands over the line


def _above(
    house: House, base: State, found: Flow, beam: Section, sides: Sequence[Side]
) -> tuple[WallAbove | None, tuple[tuple[str, Value], ...]]:
    """Return the line loads that stand on the wall itself, and the point loads, by name."""
    line = line_of(beam, base)
    start, end = _stretch(house, beam.path)
    fields = {side.field.path for side in sides}
    lines: dict[str, list[Value]] = {}
    points: dict[str, list[Value]] = {}
    for row in found.landed[line]:
        if row.origin in fields or row.way:
            continue
        if row.is_point:
            if start.at() <= row.start.at() <= end.at():
                points.setdefault(row.name, []).append(row.size)
        elif row.start is None or (
            row.start.at() < end.at() - inch and row.end.at() > start.at() + inch
        ):
            if row.size.unit == "plf":
                lines.setdefault(row.source, []).append(row.size)
            else:
                points.setdefault(row.name, []).append(row.size)
    above = WallAbove({s: line_load(*sizes) for s, sizes in lines.items()}) if lines else None
    return above, tuple((name, sum_of_loads(*sizes)) for name, sizes in points.items())


def _stretch(house: House, path: str) -> tuple[Value, Value]:
    found = house.stretches[path]
    assert found is not None
    return found


def _carried_above(
    work: Section, above: WallAbove | None, points: Sequence[tuple[str, Value]]
) -> Iterator[Check]:
    id = f"{WALL_OUT}/{work.path}/wall_above"
    if above is not None:
        yield from wall_above_checks(id, above, str(work.words.get("wall_above", "")))
    for number, (name, P) in enumerate(points, start=1):
        yield check(
            f"{WALL_OUT}/{work.path}/point_above_{number}",
            f"{name[:1].upper()}{name[1:]} while the wall is out",
            "mechanics, statics: every load has a way to the ground",
            P,
            None,
            questions=(
                f"{name[:1].upper()}{name[1:]} stands on the wall at one place: it needs a post "
                "or a needle of its own while the wall is out, which was not entered.",
            ),
        )


def _unloaded(
    house: House, work: Section, beam: Section, found: Flow, base: State
) -> Iterator[Check]:
    """Yield an open check for each part of the wall on which no load was entered."""
    line = line_of(beam, base)
    start, end = _stretch(house, beam.path)
    covered = sorted(
        (start.at(), end.at()) if row.start is None else (row.start.at(), row.end.at())
        for row in found.landed[line]
        if not row.is_point and row.source == "D"
    )
    place, gaps = start.at(), []
    for low, high in [*covered, (end.at(), end.at())]:
        if low - place > GAP:
            gaps.append((place, low))
        place = max(place, high)
    for number, (low, high) in enumerate(gaps, start=1):
        where = f"from {feet_inches(low)} to {feet_inches(high)}"
        yield check(
            f"{WALL_OUT}/{work.path}/no_load_{number}",
            f"Wall {where}: no load entered here",
            "common practice: survey before demolition",
            None,
            None,
            questions=(
                f"{called(line).capitalize()}, {where}: no load was entered here. Open the "
                "ceiling and verify what rests on it before anything is cut.",
            ),
        )


# The shores


def _shore(
    house: House, work: Section, beam: Section, section: Section, mine: Sequence[Side],
    sides: Sequence[Side], fit: fitting.Fit, live: Value, above: WallAbove | None, design: Design,
) -> Shore:  # fmt: skip
    inputs = house.inputs
    carried = str(work.words.get("wall_above", ""))
    held, one_joist, questions = [], None, []
    for side in mine:
        if not {"species", "grade"} <= set(side.field.words):
            questions.append(
                f"{called(side.field.path).capitalize()}: species and grade were not entered, so "
                "the joists on their shore are not checked while the wall is out."
            )
        if side.field.kind != "joists":
            questions.append(
                f"{called(side.field.path).capitalize()} rest on the wall's line: what holds a "
                "roof while the wall is out is for the engineer to design."
            )
            continue
        made = cut_or_through(house, work, section, side, sides, fit, live, design,
                              above if carried in ("joist tips", "joists") else None)  # fmt: skip
        held += list(made.held)
        if one_joist is None or made.most > one_joist.most:
            one_joist = made
    needles = None
    first = next(_shores(work))
    if carried == "needles" and above is not None:
        others = [inputs[f"{each.path}.distance"] for each in _shores(work) if each is not section]
        needles = needles_of(
            Place(WALL_OUT, f"{work.path}.needles", "needles", design), work, inputs, above,
            inputs[f"{section.path}.distance"], others[0] if others else None,
            plate_size(section)[1], plates_of(section),
        )  # fmt: skip
        if needles is None:
            questions.append("Needles need a shore on each side of the wall: only one was entered.")
    return shore_of(
        house, work, beam, section, tuple(held), one_joist, needles, tuple(questions), design,
        mine[0].field, section is first,
    )  # fmt: skip


def _staged(
    house: House, base: State, work: Section, beam: Section, sides: Sequence[Side],
    fit: fitting.Fit, live: Value, above: WallAbove | None, checks: list[Check],
) -> tuple[Flow | None, tuple[str, ...]]:  # fmt: skip
    """Carry the house with the wall out; say what falls, and what is not followed."""
    standing_on = [
        member.path
        for member in base.members.values()
        for side in sides
        if side.field.path in graph.supports(member)
    ]
    for path in dict.fromkeys(standing_on):
        checks.append(
            check(
                f"{WALL_OUT}/{work.path}/{path.replace('.', '_')}",
                f"{called(path).capitalize()} while the wall is out",
                "mechanics, statics: every load has a way to the ground",
                None,
                None,
                questions=(
                    f"{called(path).capitalize()} stands on joists that are held by a shore: its "
                    "share on shore and far bearing is not followed here and is to be checked.",
                ),
            )
        )
    held = [side for side in sides if side.shore is not None]
    if standing_on or not held or (above is not None and "wall_above" not in work.words):
        return None, ()
    first = held[0].shore
    assert first is not None
    flow = held_flow(Plan(house, base, work, beam, tuple(sides), fit.cut, live, first.name))
    fallen = fallen_of(flow)
    names = tuple(dict.fromkeys(called(path).replace(" held", ",") for path in fallen))
    return (flow if not fallen else None), names


def _stripped(flow: Flow, work: Section, path: str, design: Design) -> Iterator[Check]:
    """Yield the checks of a kept wall whose board comes off, under the finished loads."""
    wall, inputs = flow.house.section(path), flow.house.inputs
    name, id = called(path), f"{WALL_OUT}/{path}"
    found = line_over_cases(through_wall(flow, wall), name, design) if has_studs(wall) else None
    if found is None:
        yield check(
            f"{id}/board_off", f"Studs of {name} without their board", "NDS 2018 3.7", None, None,
            questions=(
                f"{name.capitalize()}: its board comes off, which holds its studs flatwise, and "
                "its studs or its load were not entered.",
            ),
        )  # fmt: skip
        return
    w, cases = found
    yield from stripped_wall_checks(
        id, stud_of(wall, inputs, design), load_over_length(w, inputs[f"{path}.spacing"]),
        design.time_factor(cases), inputs[f"{path}.height"], cases.names,
        n=inputs.get(f"{work.path}.stripped_blocking"), name=name,
    )  # fmt: skip


def _members_below(flow: Flow, work: Section, shores: Sequence[Shore]) -> Iterator[Check]:
    """Yield the checks of beams, posts and footings that the shores' load reaches."""
    paths: dict[str, None] = {}
    for shore in shores:
        for _, path, _ in paths_to_ground(flow, shore_path(shore.section)):
            if path != GROUND and flow.state.members[path].kind in ("beams", "posts", "footings"):
                paths[path] = None
    for item in solved_members(flow, tuple(path for path in flow.order if path in paths)):
        if isinstance(item, Bent):
            yield from (c for c in item.checks if "deflection" not in c.id and "sag" not in c.id)
        else:
            yield item


# In words


def _stages(
    work: Section, beam: Section, sides: Sequence[Side], shores: Sequence[Shore], base: State,
    house: House,
) -> tuple[Stage, ...]:  # fmt: skip
    line = line_of(beam, base)
    named = [called(shore.section.path.rpartition(".")[2]) for shore in shores]
    stand = " and ".join(
        f"the {shore.section.name.replace('_', ' ')} shore, "
        f"{feet_inches(house.inputs[f'{shore.section.path}.distance'].at())} from the line, on "
        + (
            "the ground"
            if shore.section.words["stands_on"] == GROUND
            else called(str(shore.section.words["stands_on"]))
        )
        for shore in shores
    )
    on_line = [
        called(member.path)
        for member in base.members.values()
        if line in graph.supports(member) and member.path != beam.path
    ]
    start, end = _stretch(house, beam.path)
    del named
    flush = beam.words["setting"] == "flush"
    wall = called(line) if line != beam.path else "the wall"
    up = Stage(
        BEAM_UP,
        (
            f"Lift {called(beam.path)} and set it"
            + (" on its posts." if work.words["order"] == "posts first" else " on stands."),
            "It carries itself only. The shores carry everything else.",
        ),
    )
    posts = Stage(
        POSTS_IN,
        (
            "Set the posts, with solid blocking down to what carries them.",
            "The shores carry everything.",
        ),
    )
    middle = (posts, up) if work.words["order"] == "posts first" else (up, posts)
    return (
        Stage(
            SHORING_UP,
            (
                f"Set {stand}." if stand else "No shore was entered.",
                "Snug, not jacked: either the wall or the shores may carry all, and each is "
                "checked for all of it.",
            ),
        ),
        Stage(
            WALL_OUT,
            (
                f"Take out {wall} from {feet_inches(start.at())} to {feet_inches(end.at())}.",
                f"What loses it: {', '.join(on_line) or 'nothing that was entered'}.",
                "The shores carry everything.",
            ),
        ),
        *middle,
        Stage(
            JOISTS_HUNG,
            (
                "Hang the joists on the beam, side by side in turn."
                if flush
                else "Shim the beam tight under the joists.",
                "Beam and shores share the load in a way that cannot be known: each is checked "
                "for all of it.",
            ),
        ),
        Stage(
            SHORING_OUT,
            (
                "Take the shores out."
                + (" The slot in the subfloor is still open." if flush else ""),
                "The beam carries everything.",
            ),
        ),
    )


def by_stage(
    worked: Worked, checks: Sequence[Check], member_of: Callable[[Check], str]
) -> dict[str, dict[str, tuple[Check, ...]]]:
    """Return the checks of each member that the work touches, by the states in which they hold.

    Parameters
    ----------
    worked : Worked
    checks : sequence of Check
        All of the job.
    member_of : callable
        The member by which checks are put together.

    Returns
    -------
    dict of str to dict of str to tuple of Check
        Member, then key of the state. What is checked with the wall out holds from the day the
        shores are set until they leave; what is finished, from the day that they left.
    """
    keys = [stage.key for stage in worked.stages]
    until_out = keys[: keys.index(SHORING_OUT)]
    holds = {WALL_OUT: until_out, FINISHED: [SHORING_OUT, FINISHED]}
    found: dict[str, dict[str, tuple[Check, ...]]] = {}
    touched = {worked.beam.path, *(str(seat.words["on"]) for seat in worked.beam.seats())}
    for each in checks:
        state = each.id.split("/", 1)[0]
        if state in keys:
            touched.add(member_of(each))
        row = found.setdefault(member_of(each), {})
        for key in holds.get(state, [state]):
            row[key] = (*row.get(key, ()), each)
    return {member: row for member, row in found.items() if member in touched}
