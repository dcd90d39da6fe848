"""The house while the wall is out: joists held by shores, and all else as it was found."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from calclib.job import graph
from calclib.job.carry import Flow, House, carry
from calclib.job.contents import Entry, Section
from calclib.job.field import OVERHANGS, field_stretch
from calclib.job.house import AreaLoads
from calclib.job.lines import SAME_PLACE, Stretch, earlier, later
from calclib.job.schema import GROUND
from calclib.job.state import NAMES, WALL_OUT, State
from calclib.job.work.shoring import overhang_past_shore, place_before_line, place_of_tip
from calclib.loads.takedown import sum_of_lengths
from calclib.trace import Value


@dataclass(frozen=True, eq=False)
class Side:
    """The joists on one side of the wall's line.

    Attributes
    ----------
    field : Section
        Of joists or rafters, as found.
    toward : str
        The next bearing on that side.
    comes_first : bool
        Whether that bearing stands before the wall in the field's own list.
    bays : tuple of Value [in]
        From the far end of the joists to the line.
    names : tuple of str
    carriers : tuple of str
        What carries them where a bay begins, the far end first; empty at a free end.
    runs_on : bool
        Whether the joists run on over the line, and are not cut there.
    shore : Section or None
        The shore that holds them.
    """

    field: Section
    toward: str
    comes_first: bool
    bays: tuple[Value, ...]
    names: tuple[str, ...]
    carriers: tuple[str, ...]
    runs_on: bool
    shore: Section | None

    @property
    def near_bay(self) -> Value:
        """From the next bearing to the line [in]."""
        return self.bays[-1]


def line_of(beam: Section, state: State) -> str:
    """Return the wall that a beam replaces, or the beam itself when no wall was entered."""
    wall = str(beam.words.get("replaces", ""))
    return wall if wall in state.members else beam.path


def sides_of(house: House, base: State, work: Section, beam: Section) -> tuple[Side, ...]:
    """Return the joists and rafters that rest on the wall's line, side by side.

    Parameters
    ----------
    house : House
    base : State
        The house as found, or finished when nothing else was entered.
    work, beam : Section
    """
    line = line_of(beam, base)
    start, end = _stretch(house, beam.path)
    shores = {
        str(shore.words["toward"]): shore
        for shore in work.inside.get("shores", {}).values()
        if isinstance(shore, Section)
    }
    found = []
    for field in base.members.values():
        if field.kind not in graph.FIELDS or line not in graph.supports(field):
            continue
        low, high = field_stretch(field, house.stretches)
        if high.at() - start.at() <= SAME_PLACE or end.at() - low.at() <= SAME_PLACE:
            continue
        found += list(_both(house, field, line, beam, shores))
    return tuple(found)


def _both(
    house: House, field: Section, line: str, beam: Section, shores: dict[str, Section]
) -> Iterator[Side]:
    bays, names = _bays(field, house)
    marks = list(graph.supports(field))
    place = marks.index(line)
    before = "overhang_start" in field.numbers
    marks = [*([""] if before else []), *marks, *([""] if "overhang_end" in field.numbers else [])]
    place += before
    runs_on = (
        field.words.get("over_supports") == "continuous" and beam.words["setting"] == "dropped"
    )
    for first, inner, inner_names, carriers in (
        (True, bays[:place], names[:place], marks[:place]),
        (False, bays[place:][::-1], names[place:][::-1], marks[place + 1 :][::-1]),
    ):
        if not any(carriers):
            continue
        toward = carriers[-1]
        both = 0 < place < len(marks) - 1 and any(marks[:place]) and any(marks[place + 1 :])
        yield Side(
            field, toward, first, tuple(inner), tuple(inner_names), tuple(carriers),
            runs_on and both, shores.get(toward),
        )  # fmt: skip


def _bays(field: Section, house: House) -> tuple[list[Value], list[str]]:
    """Return spans and overhangs in the order of the field's supports."""
    path, inputs = field.path, house.inputs
    if "span" in field.numbers:
        bays, names = [inputs[f"{path}.span"]], ["span"]
    else:
        names = list(field.inside["spans"])
        bays = [inputs[f"{path}.spans.{name}"] for name in names]
    if "overhang_start" in field.numbers:
        bays, names = [inputs[f"{path}.overhang_start"], *bays], [OVERHANGS[0], *names]
    if "overhang_end" in field.numbers:
        bays, names = [*bays, inputs[f"{path}.overhang_end"]], [*names, OVERHANGS[1]]
    return bays, names


def _stretch(house: House, path: str) -> Stretch:
    found = house.stretches[path]
    assert found is not None
    return found


# The staged house


@dataclass(frozen=True, eq=False)
class Plan:
    """What the staged house is made from.

    Attributes
    ----------
    house : House
    base : State
    work, beam : Section
    sides : tuple of Side
    cut : tuple of Value [in]
        For each side how far before the line its joists end; the line itself when not cut.
    live : Value [psf]
        People and material on the floors that the shores hold or stand on.
    wall_on : str
        Which shore takes all of what stands over the line: its name.
    """

    house: House
    base: State
    work: Section
    beam: Section
    sides: tuple[Side, ...]
    cut: tuple[Value, ...]
    live: Value
    wall_on: str


@dataclass
class _Making:
    inputs: dict[str, Value]
    stretches: dict[str, Stretch | None]
    surfaces: dict[str, AreaLoads]
    members: dict[str, Section]
    in_place_of: dict[str, tuple[str, ...]]


def shore_path(shore: Section) -> str:
    """Return the path of a shore as a member of the staged house; no wall of a file has a space."""
    return f"walls.{shore.name} shore"


def held_flow(plan: Plan) -> Flow:
    """Carry the loads of the house while the wall is out.

    Parameters
    ----------
    plan : Plan
        Every side whose joists end at the line needs its shore; without one they are among those
        that fall.

    Returns
    -------
    Flow
        Its house holds what the staged house is made of. A shore that runs along a joist below
        hands its load to the ground, for its way down is on its own checks.
    """
    house, base = plan.house, plan.base
    line = line_of(plan.beam, base)
    members = {
        path: section
        for path, section in base.members.items()
        if path != plan.beam.path and not _only_for(plan.beam, section, base)
    }
    making = _Making(
        dict(house.inputs), dict(house.stretches), dict(house.surfaces), members,
        dict(base.in_place_of),
    )  # fmt: skip
    above = f"walls.above_{plan.work.name}"
    making.in_place_of[line] = (above,)
    making.stretches[above] = _stretch(house, plan.beam.path)
    for shore in _shores(plan):
        _put_shore(plan, shore, making)
    done: set[str] = set()
    tips: dict[str, tuple[str, Value | None]] = {}
    for number, side in enumerate(plan.sides):
        if side.runs_on:
            if side.field.path not in done:
                tips |= _put_through(plan, side, making)
        else:
            tips |= _put_cut(plan, side, plan.cut[number], making)
        if side.field.path not in done:
            _keep_outside(plan, side.field, making)
            done.add(side.field.path)
    _put_above(plan, above, tips, making)
    state = State(WALL_OUT, NAMES[WALL_OUT], making.members, making.in_place_of, {})
    staged = replace(
        house, inputs=making.inputs, stretches=making.stretches, surfaces=making.surfaces
    )
    return carry(staged, state)


def _shores(plan: Plan) -> Iterator[Section]:
    for shore in plan.work.inside.get("shores", {}).values():
        if isinstance(shore, Section):
            yield shore


def _only_for(beam: Section, section: Section, base: State) -> bool:
    """Tell whether a post or footing stands for the new beam alone."""
    if section.kind not in ("posts", "footings"):
        return False
    above = [m for m in base.members.values() if section.path in graph.supports(m)]
    return bool(above) and all(m is beam or _only_for(beam, m, base) for m in above)


def _put_shore(plan: Plan, shore: Section, making: _Making) -> None:
    path = shore_path(shore)
    on = str(shore.words["stands_on"])
    if on.startswith("joists.") and shore.words["below"] == "across the joists":
        making.inputs[f"{path}.across"] = plan.house.inputs[f"{shore.path}.across"]
        _work_load(on, plan.live, making)
    elif on.startswith("joists."):
        on = GROUND
    making.members[path] = Section(path, {}, {"rests_on": on})
    making.stretches[path] = _stretch(plan.house, plan.beam.path)


def _work_load(path: str, live: Value, making: _Making) -> str:
    """Give a field the live load of the work in place of its own; return its surface's name."""
    field = making.members[path]
    surface = str(field.words["surface"])
    mine = f"{surface}, during the work"
    loads = making.surfaces.get(mine)
    if loads is None:
        own = making.surfaces[surface]
        loads = replace(own, by_source={**own.by_source, "L": live})
        making.surfaces[mine] = loads
    if not surface.endswith(", during the work"):
        making.members[path] = replace(field, words={**field.words, "surface": mine})
        return mine
    return surface


def _copy_inputs(old: str, new: str, field: Section, making: _Making) -> None:
    for name in field.numbers:
        making.inputs[f"{new}.{name}"] = making.inputs[f"{old}.{name}"]


def _part(
    plan: Plan, path: str, field: Section, rests_on: Sequence[str],
    bays: Sequence[tuple[str, Value]], making: _Making, *, in_work: bool,
) -> None:  # fmt: skip
    """Put a part of a field in place, with bays and supports of its own."""
    _copy_inputs(field.path, path, field, making)
    spans: dict[str, Entry] = {}
    kept = {
        name: entry
        for name, entry in field.numbers.items()
        if name not in ("span", "from", "to", "overhang_start", "overhang_end")
    }
    some = next(iter(field.numbers.values()))
    for name, size in bays:
        if name in OVERHANGS:
            key = "overhang_start" if name == OVERHANGS[0] else "overhang_end"
            kept[key] = some
            making.inputs[f"{path}.{key}"] = size
        else:
            spans[name] = replace(some, path=f"{path}.spans.{name}")
            making.inputs[f"{path}.spans.{name}"] = size
    words = {**field.words, "rests_on": tuple(rests_on)}
    if len(spans) > 1 or len(bays) > len(spans):
        words.setdefault("over_supports", "simple")
    making.members[path] = Section(path, kept, words, {"spans": spans})
    if in_work:
        _work_load(path, plan.live, making)


def _put_cut(
    plan: Plan, side: Side, c: Value, making: _Making
) -> dict[str, tuple[str, Value | None]]:
    """Put joists that end before the line on their shore, or leave them without it."""
    path = f"{side.field.path}_held_{side.toward.partition('.')[2]}"
    at = line_of(plan.beam, plan.base)
    bays = list(zip(side.names, side.bays, strict=True))
    rests = [carrier for carrier in side.carriers if carrier]
    tip: Value | None = None
    if side.shore is None:
        rests.append(f"{at}, taken out")
    else:
        a = plan.house.inputs[f"{side.shore.path}.distance"]
        bays[-1] = (side.names[-1], place_before_line(side.near_bay, a))
        bays.append((OVERHANGS[1], overhang_past_shore(a, c)))
        rests.append(shore_path(side.shore))
        inner = [bay for bay, name in zip(side.bays, side.names, strict=True)
                 if name not in OVERHANGS]  # fmt: skip
        tip = place_of_tip(sum_of_lengths(*inner), c)
    # An overhang at the far end keeps its name, which the order of supports gives.
    bays = [
        (OVERHANGS[0] if name in OVERHANGS and place == 0 else name, size)
        for place, (name, size) in enumerate(bays)
    ]
    _part(plan, path, side.field, rests, bays, making, in_work=True)
    making.stretches[path] = _inside(plan, side.field)
    return {} if side.shore is None else {side.shore.name: (path, tip)}


def _put_through(plan: Plan, side: Side, making: _Making) -> dict[str, tuple[str, Value | None]]:
    """Put joists that run on over the line on the shores of both sides."""
    near, far = (
        next(s for s in plan.sides if s.field is side.field and s.comes_first is first)
        for first in (True, False)
    )
    path = f"{side.field.path}_held"
    bays = list(zip(near.names, near.bays, strict=True))
    rests = [carrier for carrier in near.carriers if carrier]
    others = list(zip(far.names, far.bays, strict=True))[::-1]
    ahead = [size for name, size in bays if name not in OVERHANGS]
    if near.shore is not None:
        a = plan.house.inputs[f"{near.shore.path}.distance"]
        between = [(f"{near.names[-1]} past the shore", a)]
        bays[-1] = (near.names[-1], place_before_line(near.near_bay, a))
        rests.append(shore_path(near.shore))
    else:
        between = [bays.pop()]
    if far.shore is not None:
        a = plan.house.inputs[f"{far.shore.path}.distance"]
        between = [(between[0][0], sum_of_lengths(between[0][1], a))]
        others[0] = (far.names[-1], place_before_line(far.near_bay, a))
        rests.append(shore_path(far.shore))
    else:
        between = [(between[0][0], sum_of_lengths(between[0][1], others.pop(0)[1]))]
    rests += [carrier for carrier in far.carriers if carrier][::-1]
    _part(plan, path, side.field, rests, [*bays, *between, *others], making, in_work=True)
    making.stretches[path] = _inside(plan, side.field)
    at = sum_of_lengths(*ahead)
    return {s.shore.name: (path, at) for s in (near, far) if s.shore is not None}


def _inside(plan: Plan, field: Section) -> Stretch:
    start, end = _stretch(plan.house, plan.beam.path)
    low, high = field_stretch(field, plan.house.stretches)
    return later(low, start), earlier(high, end)


def _keep_outside(plan: Plan, field: Section, making: _Making) -> None:
    """Leave a field as found where it lies beyond the stretch of the beam."""
    start, end = _stretch(plan.house, plan.beam.path)
    low, high = field_stretch(field, plan.house.stretches)
    del making.members[field.path]
    for path, stretch in (
        (field.path, (low, start)),
        (f"{field.path}_beyond", (end, high)),
    ):
        if stretch[1].at() - stretch[0].at() > SAME_PLACE:
            numbers = {k: v for k, v in field.numbers.items() if k not in ("from", "to")}
            making.members[path] = replace(field, path=path, numbers=numbers)
            making.stretches[path] = stretch
            if path != field.path:
                _copy_inputs(field.path, path, field, making)


def _put_above(
    plan: Plan, path: str, tips: dict[str, tuple[str, Value | None]], making: _Making
) -> None:
    """Put what stands over the line on the joists of one shore, or by needles on that shore."""
    if plan.wall_on not in tips:
        return
    field, at = tips[plan.wall_on]
    if plan.work.words.get("wall_above") == "needles":
        (shore,) = (s for s in _shores(plan) if s.name == plan.wall_on)
        making.members[path] = Section(path, {}, {"rests_on": shore_path(shore)})
        return
    assert at is not None
    making.members[path] = Section(path, {}, {"rests_on": field})
    making.inputs[f"{path}.across"] = at
