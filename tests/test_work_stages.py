"""The work of a job, stage by stage: what holds, what fails, and what stands open."""

import csv
import io
from pathlib import Path

import pytest

from calclib.cli import main
from calclib.job.carry import balance
from calclib.job.errors import JobError
from calclib.job.file import parse
from calclib.job.solve import solve
from calclib.sheet.crew import csv_lists, render_crew
from calclib.sheet.page import render

FOXGLOVE = (Path(__file__).parent.parent / "examples" / "foxglove_cottage.toml").read_text("utf-8")

# Invented: two rooms of 12 ft, a beam of 10 ft under or in a floor of 2x10, another floor below.
HOUSE = """
format = 1
[job]
title = "Trial house"
number = "TH-1"
site = "nowhere"
date = 2026-01-01
revision = "A"
prepared_by = ""
checked_by = ""
units = "US"
method = "ASD"
load_standard = "ASCE 7-16"
building_code = "IRC 2018"
[surfaces.upper]
live = "30 psf"
[surfaces.upper.layers]
all = "12 psf"
[surfaces.lower]
live = "40 psf"
[surfaces.lower.layers]
all = "12 psf"
[joists.upper]
surface = "upper"
rests_on = ["walls.south", "walls.middle", "walls.north"]
over_supports = "OVER"
from = "-4 ft"
to = "16 ft"
size = "2x10"
spacing = "16 in"
species = "Douglas fir-larch"
grade = "No.2"
[joists.upper.spans]
south = "12 ft"
north = "12 ft"
[joists.lower]
surface = "lower"
rests_on = ["walls.south", "walls.cellar", "walls.north"]
over_supports = "lapped"
from = "-4 ft"
to = "16 ft"
size = "2x10"
spacing = "16 in"
first_joist = "-3 ft"
species = "Douglas fir-larch"
grade = "No.2"
[joists.lower.spans]
south = "12 ft"
north = "12 ft"
[walls.south]
rests_on = "ground"
[walls.north]
rests_on = "ground"
[walls.cellar]
rests_on = "ground"
[walls.middle]
weight = "8 psf"
height = "8 ft"
rests_on = "walls.cellar"
from = "-4 ft"
to = "16 ft"
[beams.opening]
stands = "new"
replaces = "walls.middle"
material = "generic 2.0E-2900Fb LVL"
plies = 2
setting = "SETTING"
size = "1-3/4 x 11-7/8"
density = "42 pcf"
starts_at = "0 ft"
moisture = "dry"
temperature = "100 F or less"
unbraced_top = "16 in"
live_limit = "L/360"
total_limit = "L/240"
dead_load_rule = "NDS 3.5.2"
[beams.opening.spans]
opening = "10 ft"
[beams.opening.supports.west]
on = "posts.west"
bearing = "3 1/2 in"
[beams.opening.supports.east]
on = "posts.east"
bearing = "3 1/2 in"
[posts.west]
stands = "new"
size = "4x4"
species = "Douglas fir-larch"
grade = "No.1"
height = "7 ft"
rests_on = "walls.cellar"
[posts.east]
stands = "new"
size = "4x4"
species = "Douglas fir-larch"
grade = "No.1"
height = "7 ft"
rests_on = "walls.cellar"
"""

WORK = """
[work.opening]
beam = "beams.opening"
order = "posts first"
duty = "light duty"
"""

SHORE = """
[work.opening.shores.{name}]
toward = "walls.{name}"
distance = "{distance}"
size = "2x4"
species = "spruce-pine-fir"
grade = "Stud"
height = "7 ft 8 in"
plate_size = "2x4"
plate = "spruce-pine-fir"
plate_grade = "No.1/No.2"
top_plates = 2
sills = 1
brace_rows = {rows}
diagonal_run = "7 ft"
diagonal_nail = "16d common"
diagonal_nails = 6
{on}
"""
GROUND = 'stands_on = "ground"'
ACROSS = 'stands_on = "joists.lower"\nbelow = "across the joists"\nacross = "{at}"'


def shore(name="south", distance="2 ft", rows=1, on=GROUND):
    return SHORE.format(name=name, distance=distance, rows=rows, on=on)


def house(setting="flush", over="continuous", *parts):
    text = HOUSE.replace("SETTING", setting).replace("OVER", over)
    return solve(parse(text + WORK + "".join(parts)))


def of(solved, start):
    return {c.id: c for c in solved.checks if c.id.startswith(start)}


# ---- one side or two


def test_a_flush_beam_with_a_shore_on_one_side_only_fails_and_names_what_falls():
    solved = house("flush", "continuous", shore("south"))
    (worked,) = solved.works
    made = of(solved, "wall_out/work.opening/shores")["wall_out/work.opening/shores"]

    assert made.state == "fails"
    assert "toward north wall" in " ".join(made.notes)
    assert worked.fallen == ("upper, north joists",)
    assert worked.flow is None
    assert "nothing holds these" in render(solved, draft=True)


def test_without_any_shore_the_work_stands_open():
    solved = house("flush", "continuous")
    made = of(solved, "wall_out/work.opening/shores")["wall_out/work.opening/shores"]

    assert made.state == "open"
    assert "would fall" in made.questions[0]


def test_joists_that_run_on_over_a_dropped_beam_may_do_with_one_shore():
    """Spans 10 and 14 ft under 12 + 25 psf at 16 in, three moments."""
    solved = house("dropped", "continuous", shore("south"))
    (worked,) = solved.works
    found = of(solved, "wall_out/work.opening.south.joists")

    assert worked.needed == 1
    assert of(solved, "wall_out/work.opening/shores")["wall_out/work.opening/shores"].fits
    # Two unequal spans, uniform load: M = w (l1^3 + l2^3) / (8 (l1 + l2)), three moments.
    w = (12 + 25) * 16 / 12 / 12
    M = w * (120.0**3 + 168.0**3) / (8 * 288.0)
    hogging = found["wall_out/work.opening.south.joists/bending_hogging"]
    assert hogging.demand.number.max() == pytest.approx(M / (1.5 * 9.25**2 / 6), rel=1e-6)


def test_lapped_joists_need_a_shore_on_each_side_of_a_dropped_beam_too():
    solved = house("dropped", "lapped", shore("south"))

    assert solved.works[0].needed == 2
    made = of(solved, "wall_out/work.opening/shores")["wall_out/work.opening/shores"]
    assert made.state == "fails"


# ---- loads


@pytest.mark.parametrize("setting", ["flush", "dropped"])
@pytest.mark.parametrize("over", ["continuous", "lapped"])
def test_with_the_wall_out_weight_in_is_weight_at_the_ground(setting, over):
    solved = house(setting, over, shore("south"), shore("north"))

    for entered, left in balance(solved.works[0].flow).values():
        assert left == pytest.approx(entered, rel=1e-12)


def test_with_the_wall_out_nothing_of_the_house_is_lost():
    """Dead load is that of the house as found, less the stretch of the wall that is out."""
    solved = house("dropped", "continuous", shore("south"), shore("north"))
    before = balance(solved.found)["D"][1]
    now = balance(solved.works[0].flow)["D"][1]

    # 8 psf x 8 ft over 10 ft 3-1/2 in; joists that run on keep their length.
    assert before - now == pytest.approx(64 * (10 + 3.5 / 12))
    assert balance(solved.works[0].flow)["L"][1] > 0


@pytest.mark.parametrize("name", ["south", "north"])
def test_a_shore_carries_per_foot_what_its_joists_bring(name):
    """The joist by joist solution and that of the whole house are two ways to one number."""
    solved = house("flush", "continuous", shore("south"), shore("north", "3 ft"))
    (worked,) = solved.works
    landed = worked.flow.landed[f"walls.{name} shore"]
    a_foot = sum(row.size.at() for row in landed if row.source == "D") * 12
    (mine,) = [s for s in worked.shores if s.section.name == name]
    on_one = mine.shored.studs[0].loads["D"].at()

    assert on_one == pytest.approx(a_foot * 16 / 12)


def test_construction_live_load_takes_the_place_of_the_rooms_own():
    solved = house("dropped", "continuous", shore("south"), shore("north"))
    flow = solved.works[0].flow
    (surface,) = {
        section.words["surface"] for path, section in flow.state.members.items() if "held" in path
    }

    # ASCE 37 light duty, 25 psf, from memory.
    assert flow.house.surfaces[surface].by_source["L"].at() * 144 == pytest.approx(25.0)


@pytest.mark.parametrize(("days", "C_D"), [("", 1.0), ("days = 60", 1.15), ("days = 7", 1.25)])
def test_the_longest_load_that_is_there_sets_its_duration(days, C_D):
    # NDS 2018 Table 2.3.2: ten years 1.0, two months 1.15, seven days 1.25.
    text = HOUSE.replace("SETTING", "flush").replace("OVER", "continuous") + WORK + days
    solved = solve(parse(text + shore("south") + shore("north")))
    made = of(solved, "wall_out/work.opening.south.joists")
    bending = made["wall_out/work.opening.south.joists/bending"]
    case = next(i for i, name in enumerate(bending.cases) if name.startswith("D + L"))
    # F_b 900 psi x C_F 1.1 x C_D, NDS Supplement Table 4A; the floor holds the top edge.
    assert bending.capacity.at(case) == pytest.approx(900 * 1.1 * C_D)


# ---- what stands above, and what lies below


def test_a_wall_above_that_nothing_was_said_to_carry_stays_open():
    text = FOXGLOVE.replace('wall_above = "joist tips"', "")
    solved = solve(parse(text))
    made = of(solved, "wall_out/work.opening/wall_above")["wall_out/work.opening/wall_above"]

    assert made.state == "open"
    assert solved.works[0].flow is None


def test_needles_carry_the_wall_above_from_shore_to_shore():
    text = FOXGLOVE.replace(
        'wall_above = "joist tips"',
        'wall_above = "needles"\nneedle_size = "4x8"\nneedle_species = "Douglas fir-larch"\n'
        'needle_grade = "No.2"\nneedle_spacing = "4 ft"',
    )
    solved = solve(parse(text))
    found = of(solved, "wall_out/work.opening.needles")
    tips, needles = (
        solve(parse(each)).works[0].shores[0].shored.total.number.max() for each in (FOXGLOVE, text)
    )

    assert {c.id.rpartition("/")[2] for c in found.values()} >= {"bending", "shear"}
    assert 0.3 * tips < needles < 1.2 * tips
    for entered, left in balance(solved.works[0].flow).values():
        assert left == pytest.approx(entered, rel=1e-12)


def test_a_part_of_the_wall_on_which_nothing_was_entered_is_no_part_free_to_cut():
    text = HOUSE.replace("SETTING", "dropped").replace("OVER", "continuous")
    text = text.replace('to = "16 ft"\nsize', 'to = "6 ft"\nsize', 1)
    solved = solve(parse(text + WORK + shore("south") + shore("north")))
    (made,) = [c for c in solved.checks if "no_load" in c.id]

    assert made.state == "open"
    assert made.title == "Wall from 6 ft 0 in to 10 ft 1 3/4 in: no load entered here"
    assert "Open the ceiling and verify" in made.questions[0]


def test_a_sill_on_a_floor_that_cannot_carry_it_fails():
    """One shore in the middle of a 2x6 floor."""
    below = ACROSS.format(at="6 ft")
    text = HOUSE.replace("SETTING", "flush").replace("OVER", "continuous")
    weak = text.replace(
        'size = "2x10"\nspacing = "16 in"\nfirst', 'size = "2x6"\nspacing = "16 in"\nfirst'
    )
    parts = WORK + shore("south", "6 ft", on=below) + shore("north", "6 ft", on=below)
    states = [
        of(solve(parse(each + parts)), "wall_out/work.opening.south.below/bending")
        for each in (text, weak)
    ]
    strong, thin = (found["wall_out/work.opening.south.below/bending"] for found in states)

    assert thin.state == "fails"
    assert thin.worst > strong.worst


def test_one_joist_below_takes_the_whole_shore_that_lies_along_it():
    along = ACROSS.format(at="1 ft").replace("across the joists", "along a joist")
    across = ACROSS.format(at="10 ft")
    solved = house("flush", "continuous", shore("south", on=along), shore("north", on=across))
    found = of(solved, "wall_out/work.opening.south.below")
    other = of(solved, "wall_out/work.opening.north.below")

    assert found["wall_out/work.opening.south.below/bending"].state == "fails"
    assert found["wall_out/work.opening.south.below/way_down"].state == "open"
    assert (
        found["wall_out/work.opening.south.below/bending"].worst
        > 2 * other["wall_out/work.opening.north.below/bending"].worst
    )


def test_a_shore_carried_down_stands_on_posts_and_the_soil():
    down = """
[work.opening.carried_down.south]
size = "4x4"
species = "Douglas fir-larch"
grade = "No.2"
count = 3
height = "6 ft 6 in"
pad_width = "16 in"
pad_length = "16 in"
soil = "sandy gravel and gravel"
"""
    below = ACROSS.format(at="10 ft")
    solved = house("flush", "continuous", shore("south", on=below), shore("north"), down)
    found = of(solved, "wall_out/work.opening.south.carried_down")
    total = solved.works[0].shores[0].shored.total.number.max()

    ground = found["wall_out/work.opening.south.carried_down/ground"]
    # Statics: a third of the shore on 16 in square.
    assert ground.demand.number.max() == pytest.approx(total / 3 / 256)
    # IRC 2018 Table R401.4.1, sandy gravel and gravel: 3,000 psf.
    assert ground.capacity.at() * 144 == pytest.approx(3000.0)


def test_a_stud_without_braces_is_too_slender():
    """92 in of 1-1/2 in is 61 flatwise: under 75; with a slenderness of 75 at 112.5 in."""
    # NDS 2018 3.7.1.4: 75 during construction.
    tall = shore("south", rows=0).replace("7 ft 8 in", "9 ft 5 in")
    solved = house("flush", "continuous", tall, shore("north"))
    stud = of(solved, "wall_out/work.opening.south/stud")["wall_out/work.opening.south/stud"]

    assert stud.state == "fails"
    assert any(condition.ratio.at() > 1 for condition in stud.conditions)


def test_any_stud_taken_out_raises_the_load_on_the_others():
    solved = house("flush", "continuous", shore("south"), shore("north"))
    spaced = shore("south").replace("top_plates", 'stud_spacing = "32 in"\ntop_plates')
    fewer = house("flush", "continuous", spaced, shore("north"))
    whole, left = (each.works[0].shores[0].shored for each in (solved, fewer))

    assert len(left.studs) < len(whole.studs)
    assert max(s.P.at() for s in left.studs) > max(s.P.at() for s in whole.studs)
    total = sum(load.at() for stud in left.studs for load in stud.loads.values())
    assert total == pytest.approx(
        sum(load.at() for stud in whole.studs for load in stud.loads.values())
    )


def test_a_shore_farther_from_the_wall_never_lowers_the_moment_over_it():
    moments = []
    for distance in ("1 ft", "2 ft", "3 ft 6 in", "5 ft"):
        solved = solve(parse(FOXGLOVE.replace('{ value = "1 ft 3 in"', f'{{ value = "{distance}"')))
        found = of(solved, "wall_out/work.opening.parlor.joists.all")
        moments.append(
            found["wall_out/work.opening.parlor.joists.all/bending_hogging"].demand.number.max()
        )

    assert moments == sorted(moments)
    assert moments[-1] > moments[0]


def test_the_distance_that_is_named_is_the_one_at_which_the_check_turns():
    (worked,) = solve(parse(FOXGLOVE)).works
    first = worked.distances["parlor"][0]
    inches = first.greatest

    def state(more):
        text = FOXGLOVE.replace(
            'distance = { value = "1 ft 3 in"', f'distance = {{ value = "{inches + more:.6f} in"', 1
        )
        return of(solve(parse(text)), first.check)[first.check].state

    assert (state(-0.001), state(0.001)) == ("passes", "fails")


# ---- beam, hands and lists


def test_a_beam_up_on_posts_that_nobody_checked_is_not_shown_as_loaded():
    (worked,) = house("flush", "continuous", shore("south"), shore("north")).works
    said = {stage.key: " ".join(stage.says) for stage in worked.stages}

    assert "The shores carry everything else" in said["beam_up"]
    assert [stage.key for stage in worked.stages][2:4] == ["posts_in", "beam_up"]


def test_a_beam_may_be_set_on_stands_before_its_posts():
    text = HOUSE.replace("SETTING", "flush").replace("OVER", "continuous")
    first = WORK.replace("posts first", "beam first")
    (worked,) = solve(parse(text + first + shore("south") + shore("north"))).works

    assert [stage.key for stage in worked.stages][2:4] == ["beam_up", "posts_in"]
    assert "on stands" in worked.stages[2].says[0]


def test_a_hanger_without_a_capacity_stands_open_on_the_schedule():
    solved = house("flush", "continuous", shore("south"), shore("north"))
    rows = solved.works[0].lists.connectors
    hangers = [row for row in rows if row.kind == "hanger"]

    assert {row.state for row in rows} == {"open"}
    assert all(row.capacity is None for row in rows)
    assert {row.count for row in hangers} == {8}
    assert {row.kind for row in rows} >= {"hanger", "post cap", "post base"}


def test_a_cap_is_listed_with_the_report_that_the_file_names():
    cap = (
        '[connections.west]\nkind = "post cap"\njoins = ["beams.opening", "posts.west"]\n'
        'capacity = "9000 lbf"\nreport = "ER-0000"\n'
    )
    solved = house("flush", "continuous", shore("south"), shore("north"), cap)
    rows = [row for row in solved.works[0].lists.connectors if row.kind == "post cap"]
    told, other = sorted(rows, key=lambda row: row.capacity is None)

    assert (told.report, told.capacity.at()) == ("ER-0000", pytest.approx(9000.0))
    assert other.report == "report number to be given"
    braces = [row for row in solved.works[0].lists.connectors if row.kind == "end brace"]
    assert {row.count for row in braces} == {2}


def test_what_was_not_taped_is_asked_for():
    solved = house("dropped", "continuous", shore("south"), shore("north"))
    asked = " ".join(q for c in solved.checks for q in c.questions)

    assert "the height of the room" in asked
    assert "its clear length" in asked


def test_every_cut_is_tied_to_what_it_came_from():
    solved = solve(parse(FOXGLOVE))
    lists = {name: list(csv.DictReader(io.StringIO(t))) for name, t in csv_lists(solved).items()}

    assert set(lists) == {"opening_cuts.csv", "opening_materials.csv", "opening_connectors.csv"}
    studs = [row for row in lists["opening_cuts.csv"] if row["what"] == "shoring stud"]
    assert len(studs) == 18
    assert {row["because"] for row in studs} == {
        "work.opening.shores.parlor.height", "work.opening.shores.kitchen.height",
    }  # fmt: skip
    assert all(row["because"] for rows in lists.values() for row in rows)
    # Nine joists are cut, and a tie goes over each of them: counted on the drawing.
    counts = {row["kind"]: row["count"] for row in lists["opening_connectors.csv"]}
    assert (counts["hanger"], counts["rafter tie"]) == ("9", "9")


def test_a_stud_is_cut_by_the_reading_at_its_own_joist():
    heights = '[work.opening.heights]\nsouth_2 = "8 ft 1 in"\n'
    solved = house("flush", "continuous", shore("south"), shore("north"), heights)
    studs = [row for row in solved.works[0].lists.cuts if "/south/stud/" in row.id]

    # Less two plates above and one below, and a sixteenth long: common practice, no source.
    assert studs[1].length.at() == pytest.approx(97.0 - 4.5 + 1 / 16)
    assert "work.opening.heights.south_2" in studs[1].because
    assert studs[0].length.at() == pytest.approx(92.0)


def test_a_level_beam_lies_otherwise_at_each_joist_of_a_sagging_floor():
    rows = solve(parse(FOXGLOVE)).works[0].fit.rows

    # Half an inch below the joists where they lie as most do; 3/8 in less where they sag so much.
    drops = {row.place: row.drop.at() for row in rows}
    assert drops["quarter"] == pytest.approx(0.5)
    assert drops["middle"] == pytest.approx(0.125)
    # 11-7/8 in deep over joists of 7-5/8 in and 3/4 in of floor.
    assert rows[1].rise.at() == pytest.approx(11.875 - 0.5 - 7.625 - 0.75)


def test_a_reading_for_a_stud_of_no_shore_is_refused():
    text = HOUSE.replace("SETTING", "flush").replace("OVER", "continuous") + WORK + shore("south")

    with pytest.raises(JobError, match="a shore of this work"):
        parse(text + '[work.opening.heights]\neast_2 = "8 ft 1 in"\n')


# ---- on paper


def test_the_sheet_shows_the_stages_and_their_worst_moment():
    page = render(solve(parse(FOXGLOVE)), draft=True)

    for words in ("Stages of the work", "Utilization through the stages", "The worst moment",
                  "Studs of the parlor shore", "Hold points", "Cut list", "temporary",
                  "Slot in the subfloor", "Joists and blocking cut back"):  # fmt: skip
        assert words in page


def test_a_job_without_its_work_says_what_is_not_covered():
    page = render(
        solve(parse(HOUSE.replace("SETTING", "flush").replace("OVER", "continuous"))), draft=True
    )

    assert "The work was not entered" in page


def test_the_crew_sheet_says_not_to_start_while_checks_fail(tmp_path, capsys):
    job = tmp_path / "fox.toml"
    job.write_text(FOXGLOVE, "utf-8")
    code = main(["crew", str(job), "-o", str(tmp_path / "c.html"), "--csv", str(tmp_path)])
    page = (tmp_path / "c.html").read_text("utf-8")

    assert code == 1
    assert "Do not start" in page
    assert "Hang the joists on the beam" in page
    assert (tmp_path / "opening_cuts.csv").is_file()
    assert "opening_cuts.csv" in capsys.readouterr().out


def test_a_job_without_work_has_no_crew_sheet(tmp_path, capsys):
    job = tmp_path / "house.toml"
    job.write_text(HOUSE.replace("SETTING", "flush").replace("OVER", "continuous"), "utf-8")

    assert main(["crew", str(job), "-o", str(tmp_path / "c.html")]) == 2
    assert "[work.opening]" in capsys.readouterr().err
    assert not (tmp_path / "c.html").exists()


def test_old_houses_bring_their_own_cautions():
    old, new = (
        render_crew(solve(parse(FOXGLOVE.replace("year_built = 1920", f"year_built = {year}"))))
        for year in (1920, 1999)
    )

    # 40 CFR 745 subpart E: housing built before 1978.
    assert "lead paint" in old
    assert "lead paint" not in new


# ---- what a file says wrong


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ('beam = "beams.opening"', 'beam = "beams.openin"', 'Did you mean "beams.opening"'),
        ('toward = "walls.south"', 'toward = "walls.east"', "the next bearing of joists"),
        ('species = "spruce-pine-fir"\ngrade = "Stud"', 'species = "spruce"\ngrade = "Stud"',
         "a species of the tables"),
        ('plate_size = "2x4"', 'plate_size = "2x5"', "a stock size of lumber"),
        ('diagonal_nail = "16d common"', 'diagonal_nail = "16d odd"', "a nail of the tables"),
        ("diagonal_nails = 6\n", "", "diagonal_run, diagonal_nail and diagonal_nails together"),
        ('stands_on = "ground"', 'stands_on = "joists.lower"', "how it lies on lower joists"),
        ('stands_on = "ground"', 'stands_on = "beams.opening"', "joists or a slab of this file"),
        ('stands_on = "ground"', 'stands_on = "ground"\nacross = "2 ft"', "joists to stand on"),
        ('duty = "light duty"', 'duty = "light duty"\nwall_above = "needles"', "needle_spacing"),
        ('duty = "light duty"', 'duty = "light duty"\nlift_capacity = "500 lbf"', "lift_report"),
        ('duty = "light duty"', "", "people and material"),
    ],
)  # fmt: skip
def test_a_work_that_makes_no_sense_is_refused(old, new, message):
    text = HOUSE.replace("SETTING", "flush").replace("OVER", "continuous") + WORK + shore("south")
    assert old in text

    with pytest.raises(JobError) as caught:
        parse(text.replace(old, new, 1))

    assert message in str(caught.value)


# ---- kept walls


STUDS = (
    '[walls.south]\nsize = "2x4"\nspacing = "16 in"\nspecies = "spruce-pine-fir"\n'
    'grade = "Stud"\nheight = "8 ft 6 in"\n'
)


def test_a_kept_wall_that_loses_its_board_loses_what_held_its_studs():
    """Board on, a 2x4 of 8 ft 6 in is 29 edgewise; board off it is 68 flatwise."""
    text = HOUSE.replace("SETTING", "flush").replace("OVER", "continuous")
    text = text.replace("[walls.south]\n", STUDS)
    work = WORK + 'stripped = ["walls.south"]\n'
    solved = solve(parse(text + work + shore("south") + shore("north")))
    on, off = of(solved, "wall_out/walls.south/board").values()

    assert (on.id[-8:], off.id[-9:]) == ("board_on", "board_off")
    # NDS 2018 3.7.1.4: l_e / d at most 75 during construction; 102 / 1.5 = 68.
    slender = [c.ratio.at() for c in off.conditions]
    assert max(slender) == pytest.approx(68 / 75)
    assert off.worst > 2 * on.worst


def test_blocking_put_in_before_gives_it_back():
    text = HOUSE.replace("SETTING", "flush").replace("OVER", "continuous")
    text = text.replace("[walls.south]\n", STUDS)
    worst = []
    for rows in (0, 1):
        work = WORK + f'stripped = ["walls.south"]\nstripped_blocking = {rows}\n'
        solved = solve(parse(text + work + shore("south") + shore("north")))
        worst.append(of(solved, "wall_out/walls.south/board_off").popitem()[1].worst)

    assert worst[1] < worst[0]


def test_a_kept_wall_whose_studs_nobody_looked_at_stays_open():
    text = HOUSE.replace("SETTING", "flush").replace("OVER", "continuous")
    work = WORK + 'stripped = ["walls.north"]\n'
    solved = solve(parse(text + work + shore("south") + shore("north")))
    (made,) = of(solved, "wall_out/walls.north/board").values()

    assert made.state == "open"
