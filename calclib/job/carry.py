"""Carry the loads of a house down to the ground, in one state of the work."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from calclib.errors import InputError, message
from calclib.job import graph
from calclib.job.beam import Axis, axis_of, axis_without, handed_down, shares_under
from calclib.job.contents import Section
from calclib.job.field import Strip, actual_at, handed_by_strip, strips_of
from calclib.job.file import Job
from calclib.job.house import (
    AreaLoads,
    inputs_of,
    on_plan,
    point_rows,
    surface_loads,
    unbalanced_on,
)
from calclib.job.lines import (
    SAME_PLACE,
    Inputs,
    Stretch,
    centers_of,
    earlier,
    later,
    stretch_of,
)
from calclib.job.member import LoadRow, Share
from calclib.job.schema import GROUND, called
from calclib.job.state import State
from calclib.loads.takedown import wall_line_load
from calclib.trace import Value

SOURCES = ("D", "L", "Lr", "S")
ALONG = "along"


@dataclass(frozen=True, eq=False)
class House:
    """What is the same in every state of the work.

    Attributes
    ----------
    job : Job
    inputs : mapping of str to Value
        Every number of the file by its path.
    surfaces : mapping of str to AreaLoads
    stretches : mapping of str to (Value, Value) or None
        Where each member lies along its line.
    axes : mapping of str to Axis
        The beams without their loads.
    seats : mapping of str to tuple of Value
        Where each beam's supports lie along its line.
    posts : mapping of str to (str, Value)
        For each post the direction and the place along it, as the beams on it tell.
    """

    job: Job
    inputs: Inputs
    surfaces: Mapping[str, AreaLoads]
    stretches: Mapping[str, Stretch | None]
    axes: Mapping[str, Axis]
    seats: Mapping[str, tuple[Value, ...]]
    posts: Mapping[str, tuple[str, Value]]

    def section(self, path: str) -> Section:
        """Return a member."""
        kind, _, name = path.partition(".")
        return self.job.sections[kind][name]


def direction_of(section: Section) -> str:
    """Return in which direction of the plan a wall or beam runs."""
    return str(section.words.get("direction", ALONG))


def house_of(job: Job) -> House:
    """Return what a job's house is made of.

    Parameters
    ----------
    job : Job

    Returns
    -------
    House

    Raises
    ------
    CalcError
        When a material or a service is outside the tables.
    """
    inputs = inputs_of(job)
    members = graph.members(job.sections)
    beams = {path: section for path, section in members.items() if section.kind == "beams"}
    seats = {path: centers_of(section, inputs) for path, section in beams.items()}
    posts: dict[str, tuple[str, Value]] = {}
    for path, beam in beams.items():
        for place, carrier in zip(seats[path], graph.supports(beam), strict=True):
            posts.setdefault(carrier, (direction_of(beam), place))
    for path in graph.order(job.sections):
        carrier = graph.supports(members[path])[0]
        if members[path].kind == "posts" and path in posts and carrier.startswith("posts."):
            posts.setdefault(carrier, posts[path])
    return House(
        job,
        inputs,
        {
            name: surface_loads(section, inputs, job.title_block["load_standard"])
            for name, section in job.of("surfaces").items()
        },
        {path: stretch_of(section, inputs) for path, section in members.items()},
        {path: axis_of(section, inputs) for path, section in beams.items()},
        seats,
        posts,
    )


@dataclass(frozen=True, eq=False)
class Handing:
    """What one member hands to another, summed.

    Attributes
    ----------
    giver, taker : str
        Paths; the taker may be the ground.
    amounts : mapping of str to float [lbf]
        By source.
    """

    giver: str
    taker: str
    amounts: Mapping[str, float]

    @property
    def total(self) -> float:
        """All sources together [lbf]."""
        return sum(self.amounts.values())


@dataclass(frozen=True, eq=False)
class Flow:
    """The loads of a house on their way to the ground.

    Attributes
    ----------
    house : House
    state : State
    order : tuple of str
        Its members from the top down.
    landed : mapping of str to tuple of LoadRow
        What lands on each member and on the ground.
    strips : mapping of str to tuple of Strip
        Of each field.
    shares : mapping of str to tuple of Share
        What each load of a beam puts on each of its supports.
    handings : tuple of Handing
    own : mapping of str to mapping of str to float [lbf]
        What enters the house at each member, by source.
    lost : mapping of str to tuple of str
        Members that fall, each with the supports that it lost.
    """

    house: House
    state: State
    order: tuple[str, ...]
    landed: Mapping[str, tuple[LoadRow, ...]]
    strips: Mapping[str, tuple[Strip, ...]]
    shares: Mapping[str, tuple[Share, ...]]
    handings: tuple[Handing, ...]
    own: Mapping[str, Mapping[str, float]]
    lost: Mapping[str, tuple[str, ...]]


def lost_supports(house: House, state: State) -> dict[str, tuple[str, ...]]:
    """Return every member that falls, with the supports that it lost.

    Parameters
    ----------
    house : House
    state : State

    Returns
    -------
    dict of str to tuple of str
        From the ground up; a member that was taken out is not among them.
    """
    down: dict[str, tuple[str, ...]] = {}
    for path in reversed(state.order()):
        if path in state.taken:
            continue
        now = replace(state, taken=state.taken | set(down))
        missing = tuple(carrier for carrier in state.carriers(path) if not now.stands(carrier))
        if missing and not _still_stands(house, now, path):
            down[path] = missing
    return down


def _still_stands(house: House, state: State, path: str) -> bool:
    """Tell whether a member that lost a support stands on the others."""
    section = state.members[path]
    if section.kind in graph.FIELDS:
        return any(
            strip.stands for strip in strips_of(section, state, house.stretches, house.inputs)
        )
    if section.kind == "beams":
        return sum(map(state.stands, seats_on(house, state, path))) > 1
    carriers = state.carriers(path)
    return len(carriers) > 1 and any(map(state.stands, carriers))


def seats_on(house: House, state: State, path: str) -> tuple[str, ...]:
    """Return what each support of a beam stands on in a state.

    Parameters
    ----------
    house : House
    state : State
    path : str
        The beam.

    Returns
    -------
    tuple of str
        Paths, which need not stand, or the ground.
    """
    section = state.members[path]
    return tuple(
        actual_at(state, seat.words["on"], path, place.at(), house.stretches)
        for seat, place in zip(section.seats(), house.seats[path], strict=True)
    )


def carry(house: House, state: State) -> Flow:
    """Carry all loads down to the ground.

    Parameters
    ----------
    house : House
    state : State

    Returns
    -------
    Flow
        Members that fall carry nothing and hand nothing on.

    Notes
    -----
    Every reaction is a sum of rows, each with its source and its origin; none is dropped.
    """
    lost = lost_supports(house, state)
    state = replace(state, taken=state.taken | set(lost))
    order = tuple(path for path in state.order() if path not in state.taken)
    walk = _Walk(house, state, {path: [] for path in (*state.members, GROUND)}, {}, {}, {}, {})
    for path in order:
        walk.down(path)
    return Flow(
        house,
        state,
        order,
        {path: tuple(rows) for path, rows in walk.landed.items()},
        walk.strips,
        walk.shares,
        tuple(Handing(giver, taker, amounts) for (giver, taker), amounts in walk.handed.items()),
        walk.own,
        lost,
    )


@dataclass(frozen=True, eq=False)
class _Walk:
    """One way down the house: what has landed so far."""

    house: House
    state: State
    landed: dict[str, list[LoadRow]]
    strips: dict[str, tuple[Strip, ...]]
    shares: dict[str, tuple[Share, ...]]
    handed: dict[tuple[str, str], dict[str, float]]
    own: dict[str, dict[str, float]]

    def down(self, path: str) -> None:
        """Hand on what a member carries."""
        section = self.state.members[path]
        here = tuple(self.landed[path])
        if section.kind in graph.FIELDS:
            self.field(section, here)
        elif section.kind == "points":
            rows = point_rows(section, self.house.inputs)
            self.enter(path, rows)
            self.pass_on(section, rows)
        elif section.kind == "walls":
            own = own_weight_of_wall(self.house, self.state, section)
            self.enter(path, own)
            self.pass_on(section, [*spread_on_wall(self.house, section, here), *own])
        elif section.kind == "beams":
            self.beam(section, here)
        else:
            self.pass_on(section, self.at_its_place(section, here))

    def enter(self, path: str, rows: Sequence[LoadRow]) -> None:
        """Take down what enters the house at a member."""
        amounts = self.own.setdefault(path, {})
        for row in rows:
            if row.way:
                continue
            amounts[row.source] = amounts.get(row.source, 0.0) + self.amount(row, path)

    def amount(self, row: LoadRow, path: str) -> float:
        """Return what a row weighs in all [lbf]."""
        size: float = row.size.at()
        if not _is_line(row):
            return size
        known = row.start is not None
        start, end = (row.start, row.end) if known else stretch_needed(self.house, path)
        return size * float(end.at() - start.at())

    def field(self, section: Section, here: tuple[LoadRow, ...]) -> None:
        house = self.house
        loads = on_plan(section, house.surfaces[section.words["surface"]], house.inputs)
        strips = strips_of(section, self.state, house.stretches, house.inputs)
        self.strips[section.path] = strips
        entered = self.own.setdefault(section.path, {})
        for strip in strips:
            if not strip.stands:
                continue
            area = strip.length * sum(bay.at() for bay in strip.bays)
            for source, q in loads.items():
                entered[source] = entered.get(source, 0.0) + q.at() * area
            ways = unbalanced_on(section, house.surfaces, self.state.members)
            for carrier, row in handed_by_strip(strip, loads, ways, here, house.inputs):
                self.land(section.path, carrier, row)

    def beam(self, section: Section, here: tuple[LoadRow, ...]) -> None:
        path, house = section.path, self.house
        axis = house.axes[path]
        on = seats_on(house, self.state, path)
        gone = [place for place, carrier in enumerate(on) if not self.state.stands(carrier)]
        if gone:
            axis = axis_without(axis, gone)
        shares = shares_under(axis, here, house.inputs)
        self.shares[path] = shares
        length = axis.length if axis.length is not None else axis.supports[-1]
        assert length is not None
        self.own[path] = {"D": axis.weight.at() * length.at()}
        seats = list(section.seats())
        for number, place in enumerate(axis.standing):
            at = self.seat_place(section, seats[place], house.seats[path][place], on[place])
            for row in handed_down(shares, number):
                self.land(path, on[place], replace(row, start=at))

    def seat_place(self, beam: Section, seat: Section, own: Value, carrier: str) -> Value:
        """Return where a beam's support lies along what carries it."""
        given = self.house.inputs.get(f"{seat.path}.at")
        return own if given is None else given

    def at_its_place(self, section: Section, here: Sequence[LoadRow]) -> list[LoadRow]:
        """Return what landed on a post, at the place where the post stands."""
        inputs, path = self.house.inputs, section.path
        at = inputs.get(f"{path}.at")
        if at is None and path in self.house.posts:
            at = self.house.posts[path][1]
        across = inputs.get(f"{path}.across")
        # A line load under a wall keeps its place.
        return [row if _is_line(row) else replace(row, start=at, across=across) for row in here]

    def pass_on(self, section: Section, rows: Sequence[LoadRow]) -> None:
        """Hand rows to the one carrier that a wall, post, point load or footing names."""
        carrier = graph.supports(section)[0]
        across = self.house.inputs.get(f"{section.path}.across")
        others = self.state.actual(carrier, section.path)
        for row in rows:
            row = row if across is None else replace(row, across=across)
            if others == (carrier,):
                self.land(section.path, carrier, row)
            else:
                for actual, part in self.split(section.path, carrier, row):
                    self.land(section.path, actual, part)

    def split(self, path: str, carrier: str, row: LoadRow) -> Iterator[tuple[str, LoadRow]]:
        """Yield the parts of a row on what took the place of its carrier."""
        stretches = self.house.stretches
        if row.is_point:
            yield actual_at(self.state, carrier, path, row.start.at(), stretches), row
            return
        edges = [row.start, row.end]
        for other in self.state.actual(carrier, path):
            edges += stretches.get(other) or () if other != carrier else ()
        inner = [e for e in edges[2:] if row.start.at() < e.at() < row.end.at()]
        places = [row.start, *sorted(inner, key=lambda e: e.at()), row.end]
        for low, high in itertools.pairwise(places):
            if high.at() - low.at() > SAME_PLACE:
                middle = (low.at() + high.at()) / 2
                yield (
                    actual_at(self.state, carrier, path, middle, stretches),
                    replace(row, start=later(low, row.start), end=earlier(high, row.end)),
                )

    def land(self, giver: str, taker: str, row: LoadRow) -> None:
        """Let a row land on a member."""
        if not row.way:
            amounts = self.handed.setdefault((giver, taker), {})
            amounts[row.source] = amounts.get(row.source, 0.0) + self.amount(row, giver)
        stretch = self.house.stretches.get(taker)
        on_joists = taker.partition(".")[0] in graph.FIELDS
        if (
            stretch is not None
            and not on_joists
            and row.start is stretch[0]
            and row.end is stretch[1]
        ):
            row = replace(row, start=None, end=None)
        self.landed.setdefault(taker, []).append(row)


def _is_line(row: LoadRow) -> bool:
    """Tell whether a row is a line load."""
    return bool(row.size.unit == "plf")


def stretch_needed(house: House, path: str) -> Stretch:
    """Return where a member lies along its line; an error when it does not say."""
    found = house.stretches[path]
    if found is None:
        raise InputError(
            message(f"{house.job.file}, {path}", "an extent along the line",
                    "nothing", 'Write from = "0 ft" and to = "24 ft".')
        )  # fmt: skip
    return found


def own_weight_of_wall(house: House, state: State, section: Section) -> list[LoadRow]:
    """Return the weight of what stands of a wall, when it was entered."""
    path, inputs = section.path, house.inputs
    stretch = house.stretches[path]
    if not {"weight", "height"} <= set(section.numbers) or stretch is None:
        return []
    size = wall_line_load(inputs[f"{path}.weight"], inputs[f"{path}.height"])
    return [
        LoadRow("D", path, called(path), size, start, end)
        for start, end in _left_of(house, state, path, stretch)
    ]


def _left_of(house: House, state: State, path: str, stretch: Stretch) -> Iterator[Stretch]:
    """Yield what is left of a wall beside the stretches whose place others took."""
    taken = [
        found
        for other in state.in_place_of.get(path, ())
        if (found := house.stretches.get(other)) is not None
    ]
    at, end = stretch
    for low, high in sorted(taken, key=lambda each: each[0].at()):
        if low.at() - at.at() > SAME_PLACE:
            yield at, low
        at = later(at, high)
    if end.at() - at.at() > SAME_PLACE:
        yield at, end


def spread_on_wall(house: House, section: Section, here: Sequence[LoadRow]) -> Iterator[LoadRow]:
    """Yield what landed on a wall, each load at its place."""
    for row in here:
        if row.start is None and _is_line(row):
            start, end = stretch_needed(house, section.path)
            yield replace(row, start=start, end=end)
        else:
            yield row


def through_wall(flow: Flow, section: Section) -> list[LoadRow]:
    """Return what goes down through a wall, its own weight with it.

    Parameters
    ----------
    flow : Flow
    section : Section
        A wall. One that does not say how far it runs keeps its loads without a place.

    Returns
    -------
    list of LoadRow
    """
    house, here = flow.house, flow.landed[section.path]
    known = house.stretches[section.path] is not None
    return [
        *(spread_on_wall(house, section, here) if known else here),
        *own_weight_of_wall(house, flow.state, section),
    ]


def fallen_of(flow: Flow) -> dict[str, tuple[str, ...]]:
    """Return every member that falls, or of which a part falls, with the supports that it lost.

    Parameters
    ----------
    flow : Flow

    Returns
    -------
    dict of str to tuple of str
    """
    fallen = dict(flow.lost)
    for path, strips in flow.strips.items():
        lost = dict.fromkeys(carrier for strip in strips for carrier in strip.lost)
        if lost:
            fallen[path] = tuple(lost)
    for handing in flow.handings:
        if not flow.state.stands(handing.taker):
            fallen[handing.giver] = (handing.taker,)
    # A beam that stands on the rest would be checked as it stood before.
    for path in flow.shares:
        on = seats_on(flow.house, flow.state, path)
        gone = tuple(carrier for carrier in on if not flow.state.stands(carrier))
        if gone:
            fallen.setdefault(path, gone)
    return fallen


def balance(flow: Flow) -> dict[str, tuple[float, float]]:
    """Return for each source what enters the house and what reaches the ground [lbf].

    Parameters
    ----------
    flow : Flow

    Returns
    -------
    dict of str to (float, float)
    """
    found = {}
    for source in SOURCES:
        entered = sum(amounts.get(source, 0.0) for amounts in flow.own.values())
        left = sum(
            handing.amounts.get(source, 0.0) for handing in flow.handings if handing.taker == GROUND
        )
        if entered or left:
            found[source] = entered, left
    return found
