"""The break-points of whole jobs against brute force: every trial a whole job solved again."""

from __future__ import annotations

import os
import random
from pathlib import Path

import pytest
from houses import house
from scipy.optimize import brentq

from calclib import cli
from calclib.errors import CalcError
from calclib.job import break_points as module
from calclib.job.break_points import OFFSETS, Range, break_points, is_place, register
from calclib.job.contents import Job
from calclib.job.file import parse
from calclib.job.solve import Solved, solve
from calclib.job.varied import entries_of, entries_with, neighbors, with_entries
from calclib.sheet.break_points import DRAFT, cautious
from calclib.sheet.page import render
from calclib.sheet.recheck import recheck
from calclib.trace import worst_of
from calclib.trace.check import largest
from calclib.trace.turning import OUTWARD_DOWN, OUTWARD_UP, within

EXAMPLES = Path(__file__).parent.parent / "examples"
LARKSPUR = (EXAMPLES / "larkspur_house.toml").read_text("utf-8")
SEEDS = range(12) if os.environ.get("CALCLIB_LONG") else (3,)


def margins(job: Job, path: str, number: float) -> dict[str, float] | None:
    """Return every check's largest ratio less 1 of a whole new solution; None when refused."""
    try:
        solved = solve(with_entries(job, entries_with(job, path, number)))
    except CalcError:
        return None
    return {
        check.id: max(map(largest, worst_of(check))) - 1.0
        for check in solved.checks
        if worst_of(check)
    }


def brute_force(job: Job, each: Range, id: str, way: int) -> float | None:
    """Return the nearest crossing by whole solutions: at the places of the scan, then Brent's."""
    start, path = each.leaf.at(), each.leaf.id
    if is_place(each.leaf):
        places = [start + way * off for off in OFFSETS]
    else:
        places = [start * m for m in (OUTWARD_UP if way > 0 else OUTWARD_DOWN)]
    end = each.high if way > 0 else each.low
    here = start
    first = margins(job, path, start)
    assert first is not None
    for place in within(each.leaf, way, places):
        place = place if way * (end - place) > 0 else end
        found = margins(job, path, place)
        if found is None or id not in found:
            return None
        if (found[id] > 0) != (first[id] > 0):

            def at(number: float) -> float:
                known = margins(job, path, number)
                assert known is not None
                return known[id] if known[id] else -1e-300

            return float(brentq(at, here, place, xtol=1e-9, rtol=1e-9))
        if place == end:
            return None
        here = place
    return None


@pytest.mark.parametrize("seed", SEEDS)
def test_the_break_points_of_a_random_job_are_those_of_brute_force(seed: int):
    job = parse(house(seed, storeys=1, lines=3, bays=1)[0])
    solved = solve(job)
    entries = entries_of(job)
    dice = random.Random(seed)

    found = break_points(solved)

    ranges = [each for each in found.ranges if each.leaf.id in entries]
    crossings = 0
    for each in ranges:
        for way, turns in ((1, each.up), (-1, each.down)):
            if any("not said" in note for note in each.notes):
                continue
            by_check = {turn.check.id: turn.value for turn in turns}
            # Every crossing that was found, and some of the checks that are said to have none.
            none = [check.id for check in each.reached if check.id not in by_check]
            for id in [*by_check, *dice.sample(none, min(dice.choice((0, 0, 1)), len(none)))]:
                expected = brute_force(job, each, id, way)
                if id in by_check:
                    assert expected == pytest.approx(by_check[id], rel=1e-6), (each.leaf.id, id)
                    crossings += 1
                else:
                    assert expected is None, (each.leaf.id, id)
    assert crossings > 5


FAILING = LARKSPUR.replace("plies = 3", "plies = 2")


@pytest.fixture(scope="module")
def solved() -> Solved:
    return solve(parse(LARKSPUR, "larkspur_house.toml"))


@pytest.fixture(scope="module")
def failing() -> Solved:
    return solve(parse(FAILING, "larkspur_house.toml"))


def test_a_check_that_fails_shows_the_number_at_which_it_would_pass(failing: Solved):
    each = failing.break_points.of("beams.opening.spans.opening")

    assert each is not None
    turn = next(t for t in each.down if t.check.id == "finished/beams.opening/total_deflection")
    assert turn.passes_there
    for off, fits in ((-1e-4, True), (1e-4, False)):
        again = margins(failing.job, each.leaf.id, turn.value + off)
        assert again is not None
        assert (again[turn.check.id] <= 0) is fits


def test_ranges_come_nearest_first_and_hold_every_number_that_varies(solved: Solved):
    found = solved.break_points.ranges

    near = [each.nearest for each in found]
    assert near == sorted(near)
    known = {each.leaf.id for each in found}
    assert "surfaces.bedroom_floor.layers.ceiling" in known
    assert "irc-2018-r301-5/sleeping rooms" in known
    assert "beams.opening.plies" not in known
    assert "nds-2018-2-3-2/snow/C_D" not in known
    assert len({value.id for value, _ in register(solved)} - known) > 30


def test_neighbors_are_solved_as_if_they_had_been_written(solved: Solved, failing: Solved):
    by = {(n.change.what, n.change.to): n for n in solved.break_points.neighbors}

    plies = by["Plies of opening beam", "2"]

    worst = next(c for c in failing.checks if c.id == "finished/beams.opening/total_deflection")
    assert [(c.id, does) for c, does in plies.turned] == [(worst.id, "fails")]
    assert plies.worst == (worst.title, pytest.approx(worst.worst, rel=1e-12))
    assert by["Grade of west post", "No.2"].turned == ()
    assert by["Size of opening beam", "1-3/4 x 14"].worst is not None
    east = by["East post under opening beam", "6 in back"]
    assert "walls.bedroom.to" in east.refused


def test_a_house_has_the_neighbors_of_its_joists_and_inner_posts():
    job = parse((EXAMPLES / "foxglove_cottage.toml").read_text("utf-8"))

    found = {(c.what, c.to): c.entries for c in neighbors(job)}

    assert found["Attic joists over their inner supports", "simple"]
    assert found["Grade of girder beam", "No.1"] == {"beams.girder.grade": "No.1"}
    moved = found["Column 1 post under girder beam", "6 in farther along"]
    assert moved == {"beams.girder.spans.west": 97.0, "beams.girder.spans.middle": 85.0}


def test_a_crossing_that_a_whole_new_solution_does_not_confirm_is_not_told(
    solved: Solved, monkeypatch: pytest.MonkeyPatch
):
    id = "joists.east.span"
    sound = break_points(solved).of(id)
    assert sound is not None
    assert sound.up
    plain = module._solved_with
    monkeypatch.setattr(
        module,
        "_solved_with",
        lambda job, given: plain(job, {k: v * 1.02 if k == id else v for k, v in given.items()}),
    )

    each = break_points(solved).of(id)

    assert each is not None
    assert each.up == ()
    assert "not said above: other members carry its loads there" in each.notes


def test_a_measured_depth_takes_along_the_stock_size_that_it_comes_nearest_to():
    job = parse((EXAMPLES / "foxglove_cottage.toml").read_text("utf-8"))

    deeper = entries_with(job, "beams.girder.depth", 11.5)

    assert deeper == {"beams.girder.depth": 11.5, "beams.girder.size": "2x12"}
    assert with_entries(job, deeper).of("beams")["girder"].words["size"] == "2x12"


@pytest.mark.parametrize(
    ("unit", "si"), [("ft", False), ("in", True), ("psf", False), ("lbf", True)]
)
def test_a_number_is_rounded_to_the_sure_side(unit: str, si: bool):
    dice = random.Random(unit)
    for _ in range(200):
        number = dice.uniform(0.01, 300)
        low, high = (cautious(number, unit, up, si) for up in (False, True))
        assert low <= number * (1 + 2e-6)
        assert high >= number * (1 - 2e-6)
        assert high - low <= max(0.3, 0.02 * number)


def test_the_sheet_says_what_a_guess_may_be(failing: Solved, tmp_path: Path):
    path = tmp_path / "sheet.html"
    page = render(failing)
    path.write_text(page, "utf-8", newline="\n")

    first = page[page.index('<section id="matters">') : page.index('<section id="summary">')]
    assert "What the result hangs on" in first
    assert "Plies of opening beam, 2: with 3, total deflection of opening beam passes" in first
    table = page[page.index('<section id="assumptions">') : page.index('<section id="sources">')]
    assert "down to 16 ft" not in table
    assert "total deflection of opening beam passes" in table
    assert "before bending of opening beam fails" in table
    assert table.index("<code>beams.opening.E</code>") < table.index("C_D</code>")
    assert recheck(path).is_same
    assert DRAFT not in page


def test_a_number_that_the_sheet_says_still_passes_does(failing: Solved):
    """The printed limit of the bending value, entered in the job, gives a check that passes."""
    page = render(failing)
    said = page[page.index("<code>beams.opening.F_b</code>") :]
    said = said[: said.index("</tr>")]
    limit = said[said.index("down to ") + 8 : said.index(" psi before bending")].replace(",", "")

    for number, fits in ((float(limit), True), (float(limit) * 0.99, False)):
        found = margins(failing.job, "beams.opening.F_b", number)
        assert found is not None
        assert (found["finished/beams.opening/bending"] <= 0) is fits


def test_a_draft_leaves_break_points_out_and_says_so(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
):
    path = tmp_path / "draft.html"
    job = str(EXAMPLES / "larkspur_house.toml")
    monkeypatch.setattr(module, "break_points", None)

    assert cli.main(["sheet", "--draft", job, "-o", str(path)]) == cli.OPEN

    assert "Break-points" not in capsys.readouterr().out
    page = path.read_text("utf-8")
    assert page.count("Draft: how far each number") == 2
    assert recheck(path).is_same
