"""The load path of whole houses: conservation, superposition, an independent solution."""

from __future__ import annotations

import os

import numpy as np
import pytest
from houses import house
from hypothesis import given, settings
from hypothesis import strategies as st

from calclib.job import audit
from calclib.job import state as states
from calclib.job.carry import Flow, balance, carry, house_of
from calclib.job.file import parse
from calclib.job.schema import GROUND
from calclib.job.solve import solve
from calclib.job.state import State, without
from calclib.sheet.page import render
from calclib.sheet.recheck import recheck

HOUSES = settings(max_examples=200 if os.environ.get("CALCLIB_LONG") else 12, deadline=None)
SEEDS = st.integers(0, 10**6)
SIZES = st.fixed_dictionaries(
    {"storeys": st.integers(1, 4), "lines": st.integers(2, 7), "bays": st.integers(1, 6)}
)
# An equal sum in another order of hundreds of terms.
CLOSE = 1e-9


def flow_of(text: str) -> Flow:
    job = parse(text)
    return carry(house_of(job), states.finished(job.sections))


def on_ground(flow: Flow, key: str = "giver") -> dict[str, float]:
    """Return what each member puts on the ground."""
    return {each.giver: each.total for each in flow.handings if each.taker == GROUND}


@HOUSES
@given(seed=SEEDS, size=SIZES)
def test_what_enters_a_house_reaches_the_ground_source_by_source(seed, size):
    flow = flow_of(house(seed, **size)[0])

    for entered, left in balance(flow).values():
        assert left == pytest.approx(entered, rel=CLOSE)


@HOUSES
@given(seed=SEEDS, size=SIZES)
def test_what_enters_at_a_member_reaches_the_ground_as_its_own(seed, size):
    """By origin: the rows on the ground still say where they came from."""
    flow = flow_of(house(seed, **size)[0])
    reached: dict[tuple[str, str], float] = {}
    for row in flow.landed[GROUND]:
        line = row.size.unit == "plf"
        length = row.end.at() - row.start.at() if line else 1.0
        key = row.origin, row.source
        reached[key] = reached.get(key, 0.0) + row.size.at() * length

    entered = {
        (path, source): amount
        for path, amounts in flow.own.items()
        for source, amount in amounts.items()
        if amount
    }
    assert reached == pytest.approx(entered, rel=1e-8)


@HOUSES
@given(seed=SEEDS)
def test_loads_superpose_and_scale(seed):
    plain = on_ground(flow_of(house(seed, live=40.0, snow=0.0)[0]))
    snowed = on_ground(flow_of(house(seed, live=40.0, snow=30.0)[0]))
    twice = on_ground(flow_of(house(seed, live=40.0, snow=60.0)[0]))

    for path in plain:
        assert twice[path] - plain[path] == pytest.approx(
            2 * (snowed[path] - plain[path]), rel=1e-7, abs=1e-6
        )


@HOUSES
@given(seed=SEEDS, other=SEEDS)
def test_the_order_of_the_file_does_not_matter(seed, other):
    one = flow_of(house(seed)[0])
    two = flow_of(house(seed, shuffled=other)[0])

    assert on_ground(one) == pytest.approx(on_ground(two), rel=CLOSE)


@HOUSES
@given(seed=SEEDS, pick=st.integers(0, 10**6))
def test_a_missing_support_is_always_found(seed, pick):
    """Whatever a member was the only support of falls, or spans on, and nothing else is lost."""
    flow = flow_of(house(seed, determinate=True)[0])
    bearing = sorted({each.taker for each in flow.handings} - {GROUND})
    gone = bearing[pick % len(bearing)]

    trial = audit.take_out(flow, [gone])

    hit = {each.giver for each in flow.handings if each.taker == gone}
    falling = {path for path, _, _ in trial.falls}
    after = carry(flow.house, without(flow.state, frozenset({gone})))
    for path in hit - falling:
        # What does not fall has its load on others now.
        assert audit.landing(after, path) or path.startswith("points.")
    entered = sum(a for amounts in after.own.values() for a in amounts.values())
    left = sum(on_ground(after).values())
    lost = sum(each.total for each in after.handings if not after.state.stands(each.taker)
               and each.taker != GROUND)  # fmt: skip
    assert left + lost == pytest.approx(entered, rel=CLOSE)
    assert hit <= falling | {path for path in hit if after.strips.get(path)}


def element(long):
    """Return the stiffness of a bending element with EI = 1e6, freedoms v, turn, v, turn."""
    k = 1e6 / long**3
    return k * np.array(
        [
            [12, 6 * long, -12, 6 * long],
            [6 * long, 4 * long**2, -6 * long, 2 * long**2],
            [-12, -6 * long, 12, -6 * long],
            [6 * long, 2 * long**2, -6 * long, 4 * long**2],
        ]
    )


class Frame:
    """A house as one stiffness matrix: a drop at every meeting place, a turn for every member.

    Walls and posts hand down what stands on them at its place; a uniform line load acts by its
    resultant, which is all that a determinate house can feel of it.
    """

    def __init__(self, flow, plan):
        self.house, self.members, self.plan = flow.house, flow.state.members, plan
        self.on_beam, self.numbers, self.pieces, self.force = {}, {}, [], {}

    def spot(self, path, x):
        """Return the freedom of a place on a member: that of what carries it there, at last."""
        section = self.members[path]
        if section.kind in ("walls", "posts"):
            below = section.words["rests_on"]
            return ("ground", path) if below == GROUND else self.spot(below, x)
        for seat, center in self.seats(section):
            if abs(x - center) < 1e-4:
                return self.seat_spot(seat, center)
        self.on_beam.setdefault(path, {})[round(x, 4)] = x
        return path, round(x, 4)

    def seats(self, section):
        centers = [place.at() for place in self.house.seats[section.path]]
        return list(zip(section.seats(), centers, strict=True))

    def seat_spot(self, seat, center):
        given = seat.numbers.get("at")
        return self.spot(seat.words["on"], given.number if given else center)

    def load(self, key, amount):
        self.force[key] = self.force.get(key, 0.0) + amount

    def strip(self, path, marks, spots):
        for (a, one), (b, other) in zip(
            zip(marks[:-1], spots[:-1], strict=True), zip(marks[1:], spots[1:], strict=True),
            strict=True,
        ):  # fmt: skip
            self.pieces.append((one, (path, "turn", a), other, (path, "turn", b), b - a))

    def field(self, name, storey, bay, lines, overhang):
        path = f"joists.{name}"
        start, end = self.plan.bays[bay], self.plan.bays[bay + 1]
        marks = [self.plan.lines[line] for line in lines]
        carriers = [self.plan.carriers[storey, line, bay] for line in lines]
        spots = [self.spot(carrier, (start + end) / 2) for carrier in carriers]
        if overhang:
            marks, spots = [*marks, marks[-1] + overhang], [*spots, (path, "tip")]
        loads = self.house.surfaces[self.members[path].words["surface"]].by_source
        w = sum(q.at() for q in loads.values()) * (end - start)
        self.strip(path, marks, spots)
        for one, turn, other, far_turn, long in self.pieces[-(len(marks) - 1) :]:
            for key in (one, other):
                self.load(key, w * long / 2)
            self.load(turn, w * long**2 / 12)
            self.load(far_turn, -w * long**2 / 12)

    def partition(self, section, storey, bay, lines):
        """A wall across joists: a strip of its own through the middle of the wall."""
        numbers = section.numbers
        start, end = numbers["from"].number, numbers["to"].number
        marks = [self.plan.lines[line] for line in lines]
        spots = [self.spot(self.plan.carriers[storey, line, bay], (start + end) / 2)
                 for line in lines]  # fmt: skip
        at, own = marks[0] + numbers["across"].number, (section.path, "own")
        both = sorted([*zip(marks, spots, strict=True), (at, own)])
        self.strip(section.path, [mark for mark, _ in both], [spot for _, spot in both])
        self.load(own, numbers["weight"].number * numbers["height"].number * (end - start))

    def gather(self):
        for each in self.plan.fields:
            self.field(*each)
        fields = {f"joists.{each[0]}": each for each in self.plan.fields}
        for path, section in self.members.items():
            numbers = section.numbers
            if section.kind == "points":
                total = sum(e.number for key, e in numbers.items() if key != "at")
                self.load(self.spot(section.words["rests_on"], numbers["at"].number), total)
            elif section.kind == "walls" and section.words["rests_on"] in fields:
                _, storey, bay, lines, _ = fields[section.words["rests_on"]]
                self.partition(section, storey, bay, lines)
            elif section.kind == "walls":
                start, end = numbers["from"].number, numbers["to"].number
                weight = numbers["weight"].number * numbers["height"].number * (end - start)
                self.load(self.spot(path, (start + end) / 2), weight)
            elif section.kind == "beams":
                (_, first), *_, (_, last) = self.seats(section)
                weight = self.house.axes[path].weight.at() * (last - first)
                self.load(self.spot(path, (first + last) / 2), weight)
        for section in self.members.values():
            if section.kind == "beams":
                for seat, center in self.seats(section):
                    self.seat_spot(seat, center)
        for path, inner in self.on_beam.items():
            ends = [(center, self.seat_spot(seat, center))
                    for seat, center in self.seats(self.members[path])]  # fmt: skip
            places = sorted([*ends, *((x, (path, key)) for key, x in inner.items())])
            self.strip(path, [x for x, _ in places], [spot for _, spot in places])

    def reactions(self):
        """Return what each wall or post puts on the ground."""
        self.gather()
        keys = {key: None for piece in self.pieces for key in piece[:4]} | dict.fromkeys(self.force)
        place = {key: i for i, key in enumerate(keys)}
        K, F = np.zeros((len(place), len(place))), np.zeros(len(place))
        for *ends, long in self.pieces:
            ids = [place[key] for key in ends]
            K[np.ix_(ids, ids)] += element(long)
        for key, amount in self.force.items():
            F[place[key]] += amount
        free = [i for key, i in place.items() if key[0] != "ground"]
        u = np.zeros(len(place))
        u[free] = np.linalg.solve(K[np.ix_(free, free)], F[free])
        left = F - K @ u
        return {key[1]: float(left[i]) for key, i in place.items() if key[0] == "ground"}


@settings(max_examples=100 if os.environ.get("CALCLIB_LONG") else 10, deadline=None)
@given(seed=SEEDS, size=SIZES)
def test_one_stiffness_matrix_of_the_whole_house_gives_the_same_reactions(seed, size):
    """An independent solution, of houses whose members are determinate one by one."""
    text, plan = house(seed, determinate=True, **size)
    flow = flow_of(text)

    found = Frame(flow, plan).reactions()

    expected = {path: amount for path, amount in on_ground(flow).items() if abs(amount) > 1e-6}
    assert {path: a for path, a in found.items() if abs(a) > 1e-3} == pytest.approx(
        expected, rel=1e-6, abs=1e-3
    )


def test_every_state_names_what_lost_its_support():
    flow = flow_of(house(7, determinate=True)[0])
    gone = next(path for path in flow.order if path.startswith("posts."))

    trial = audit.take_out(flow, [gone])

    beam = gone.replace("posts.", "beams.").rsplit("_", 1)[0]
    assert (beam, (gone,)) in [(path, lost) for path, lost, _ in trial.falls]
    assert isinstance(flow.state, State)


@settings(max_examples=40 if os.environ.get("CALCLIB_LONG") else 4, deadline=None)
@given(seed=SEEDS, method=st.sampled_from(("ASD", "LRFD")), units=st.sampled_from(("US", "SI")))
def test_any_house_has_a_sheet_that_reads_as_recomputed(seed, method, units, tmp_path_factory):
    text = house(seed, storeys=2, lines=3, bays=2)[0]
    text = text.replace('method = "ASD"', f'method = "{method}"')
    text = text.replace('units = "US"', f'units = "{units}"')
    text = text.replace('size = "2x10"', 'size = "2x10"\nspecies = "hem-fir"\ngrade = "No.2"')
    path = tmp_path_factory.mktemp("sheets") / "house.html"
    path.write_text(
        render(solve(parse(text, "house.toml")), draft=True), encoding="utf-8", newline="\n"
    )

    assert recheck(path).is_same


@HOUSES
@given(seed=SEEDS)
def test_any_member_can_be_taken_out_by_way_of_trial(seed):
    """Continuous joists span on, beams lean on what is left; nothing is lost without a word."""
    flow = flow_of(house(seed, lines=3, bays=2)[0])

    for path in flow.order[:: max(len(flow.order) // 6, 1)]:
        trial = audit.take_out(flow, [path])
        assert path not in {change.path for change in trial.changes}
