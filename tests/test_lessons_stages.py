"""The stage explorer: each member keeps its place; what falls and what carries more is said."""

import re
from pathlib import Path
from xml.etree import ElementTree

import pytest
from houses import house

from calclib.errors import InputError
from calclib.job import state as states
from calclib.job.audit import take_out
from calclib.job.carry import carry, house_of
from calclib.job.file import parse, read
from calclib.job.solve import solve
from calclib.lessons.stages import Stager
from calclib.lessons.staging import NO_STRENGTH, change_text, flows_of, rows_of, said, snapshot
from calclib.lessons.staging_drawing import figure, laid_out

EXAMPLES = Path(__file__).parents[1] / "examples"
SVG = "{http://www.w3.org/2000/svg}"


FOXGLOVE = (EXAMPLES / "foxglove_cottage.toml").read_text("utf-8")
# As found and finished only.
TWO_STATES = "".join(
    each for each in re.split(r"^(?=\[)", FOXGLOVE, flags=re.M) if not each.startswith("[work.")
)


@pytest.fixture(scope="module")
def flows():
    return flows_of(solve(parse(TWO_STATES, "foxglove_cottage.toml")))


@pytest.fixture(scope="module")
def plain():
    return flows_of(solve(read(EXAMPLES / "larkspur_house.toml")))


def by_name(found):
    return {part.name: part for part in found.parts}


def test_states_come_in_their_order(flows, plain):
    assert [flow.state.name for flow in flows] == ["as found", "finished"]
    assert [flow.state.name for flow in plain] == ["finished"]


def test_with_its_work_a_house_is_shown_with_the_wall_out_too():
    flows = flows_of(solve(parse(FOXGLOVE)))
    shown = by_name(snapshot(flows, 1))

    assert [flow.state.name for flow in flows] == ["as found", "wall out", "finished"]
    assert shown["opening beam"].standing == "not there"
    assert shown["parlor shore wall"].load > 0
    assert "The house, wall out" in figure(snapshot(flows, 1), laid_out(flows))


def test_loads_are_counted_from_the_first_state(plain):
    """Larkspur's post by hand: half of all that is on the beam, in one state nothing changes."""
    found = by_name(snapshot(plain, 0))

    posts = found["west post"].load + found["east post"].load
    assert posts == pytest.approx(found["opening beam"].load)
    assert all(change_text(part) == "" for part in found.values())


def test_what_the_work_takes_off_and_puts_on_a_member_is_said(flows):
    found = snapshot(flows, 1)
    wall = by_name(found)["kitchen wall"]
    before = by_name(snapshot(flows, 0))["kitchen wall"]

    assert wall.change == pytest.approx(wall.load / before.load - 1)
    assert change_text(wall) == "−49%"
    assert by_name(snapshot(flows, 0))["opening beam"].standing == "not there"
    assert "More than in the first state is on south wall +3%" in " ".join(said(found))


def test_what_falls_is_what_the_trial_removal_says(flows):
    """The kitchen wall carries the ridge's props, and they the rafters."""
    found = snapshot(flows, 0, frozenset({"walls.kitchen"}))
    standing = {part.path: part.standing for part in found.parts}

    trial = take_out(flows[0], ["walls.kitchen"])

    assert {path for path, how in standing.items() if how == "falls"} == {
        path for path, _, _ in trial.falls
    }
    assert standing["walls.kitchen"] == "taken out"
    assert standing["joists.attic"] == "stands"
    words = " ".join(said(found))
    assert "What falls: south rafters (lost ridge props wall)" in words
    assert words.endswith(NO_STRENGTH)


def test_a_part_that_falls_is_told_apart(flows):
    """Without its west post the beam falls, and of the joists what hung on it."""
    found = by_name(snapshot(flows, 1, frozenset({"posts.west"})))

    assert found["opening beam"].standing == "falls"
    assert found["attic joists"].standing == "part falls"
    assert found["main floor joists"].standing == "stands"


def test_what_stands_is_never_said_to_be_strong_enough(flows):
    """A girder that lost a column spans twice as far: nothing falls here, and it says no more."""
    words = " ".join(said(snapshot(flows, 1, frozenset({"posts.column_1"}))))

    assert "Nothing falls for want of a support" in words
    assert NO_STRENGTH in words


def test_weight_reaches_the_ground_in_every_state(flows):
    """What is handed to the ground, counted link by link."""
    for step, taken in ((0, ()), (1, ()), (1, ("posts.west",))):
        found = snapshot(flows, step, frozenset(taken))
        assert sum(load for _, taker, load in found.links if taker == "ground") == pytest.approx(
            found.down
        )


def test_a_member_of_another_state_makes_no_difference(flows):
    assert said(snapshot(flows, 0, frozenset({"beams.opening"}))) == said(snapshot(flows, 0))


def test_any_row_of_states_is_stepped_through(flows):
    """A state in between, such as a wall that is out with nothing in its place yet."""
    house_ = flows[0].house
    between = carry(house_, states.without(flows[0].state, frozenset({"walls.ridge_props"})))
    row = (flows[0], between, flows[1])

    found = by_name(snapshot(row, 1))

    assert found["south rafters"].standing == "falls"
    assert found["ridge props wall"].standing == "falls"
    assert len(figure(snapshot(row, 1), laid_out(row))) > 1000


def boxes(svg):
    return [
        tuple(rect.get(key) for key in ("x", "y", "width", "height"))
        for rect in ElementTree.fromstring(svg).iter(f"{SVG}rect")
    ]


def test_every_member_keeps_its_place_in_every_state(flows):
    layout = laid_out(flows)

    pictures = [
        figure(snapshot(flows, 0), layout),
        figure(snapshot(flows, 1), layout),
        figure(snapshot(flows, 1, frozenset({"posts.west", "beams.girder"})), layout),
    ]

    assert boxes(pictures[0]) == boxes(pictures[1]) == boxes(pictures[2])
    assert len({re.search(r'viewBox="[^"]*"', svg)[0] for svg in pictures}) == 1


@pytest.mark.parametrize("seed", range(3))
def test_no_two_boxes_of_any_house_overlap_and_each_is_above_what_carries_it(seed):
    text, _ = house(seed, storeys=3, lines=4, bays=3)
    job = parse(text)
    flow = carry(house_of(job), states.finished(job.sections))

    layout = laid_out([flow])

    placed = list(layout.boxes.values())
    for number, (left, top, wide) in enumerate(placed):
        assert left >= 0
        assert left + wide <= layout.wide + 1e-6
        assert all(
            top != other_top or left + wide <= other or other + other_wide <= left
            for other, other_top, other_wide in placed[number + 1 :]
        )
    for handing in flow.handings:
        if handing.taker in layout.boxes:
            assert layout.boxes[handing.giver][1] < layout.boxes[handing.taker][1]


def test_a_figure_is_told_in_words_and_names_are_text(plain):
    layout = laid_out(plain)
    svg = figure(snapshot(plain, 0, frozenset({"posts.west"})), layout)
    root = ElementTree.fromstring(svg)
    texts = [text.text for text in root.iter(f"{SVG}text")]

    assert "What falls" in root.get("aria-label")
    assert texts.count("FALLS") == 6
    assert "taken out" in texts


def test_the_table_has_a_row_for_each_member(flows):
    rows = list(rows_of(snapshot(flows, 1)))

    assert rows[0] == (
        "south rafters", "stands", "16,158 lbf", "-", "3,468 lbf", "-", "5,640 lbf", "7,050 lbf",
    )  # fmt: skip
    assert len(rows) == 16


@pytest.fixture
def stager(flows, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    return Stager(flows)


def test_states_are_stepped_through_and_members_taken_out_and_put_back(stager):
    first = stager._figure.value, stager._said.value, stager._table.value

    stager.next.click()
    second = stager._figure.value
    stager.ticks["posts.west"].value = False
    third = stager._said.value
    stager.all_back.click()
    stager.back.click()

    assert stager.step.value == 0
    assert "The house, finished" in second
    assert "What falls: opening beam (lost west post)" in third
    assert (stager._figure.value, stager._said.value, stager._table.value) == first


def test_what_cannot_be_done_cannot_be_pressed(stager):
    """No state before the first, nothing to put back, no member that is not there yet."""
    assert stager.back.disabled
    assert not stager.next.disabled
    assert stager.all_back.disabled
    assert stager.ticks["beams.opening"].disabled

    stager.next.click()

    assert stager.next.disabled
    assert not stager.ticks["beams.opening"].disabled


def test_each_member_has_a_tick_with_its_name(stager):
    assert stager.ticks["posts.west"].description == "west post"
    assert all(tick.description for tick in stager.ticks.values())


def test_a_house_without_a_member_is_written_and_solved_to_the_same_loads(tmp_path, monkeypatch):
    """A closet wall on the floor, which nothing rests on."""
    monkeypatch.chdir(tmp_path)
    text = (
        TWO_STATES
        + """
[walls.closet]
weight = "9 psf"
height = "8 ft"
rests_on = "joists.main_floor"
across = "4 ft"
from = "0 ft"
to = "6 ft"
"""
    )
    stager = Stager(flows_of(solve(parse(text))))
    stager.step.value = 1
    whole = by_name(stager._shown)["girder beam"].load
    stager.ticks["walls.closet"].value = False
    shown = by_name(stager._shown)["girder beam"].load

    written = solve(parse(stager.text()))

    assert shown < whole
    after = by_name(snapshot(flows_of(written), 1))["girder beam"].load
    assert after == pytest.approx(shown, rel=1e-12)


def test_a_beam_that_lost_a_support_can_be_shown_and_not_written(stager):
    """How it spans then is not in the file, so its checks would not be those of that beam."""
    stager.step.value = 1
    stager.ticks["posts.column_1"].value = False

    with pytest.raises(InputError, match=r"beams\.girder: needs a path to the ground"):
        stager.text()


def test_a_bare_state_is_written_as_its_own_file(stager, tmp_path):
    box = stager.box.children[-1]
    (name, write), (start, open_) = (row.children for row in box.children[:2])
    name.value = start.value = "cottage.toml"

    write.click()
    stager.next.click()
    open_.click()

    assert (tmp_path / "cottage.toml").read_text("utf-8") == stager.flows[0].house.job.text
    assert "Started from cottage.toml" in box.children[2].value
    assert stager.step.value == 0


def test_what_no_file_can_say_is_refused(stager):
    stager.ticks["walls.south"].value = False
    with pytest.raises(InputError, match="needs the last state"):
        stager.text()
    stager.all_back.click()
    stager.next.click()
    stager.ticks["posts.west"].value = False

    with pytest.raises(InputError, match="needs a member as found, got a new one"):
        stager.text()
