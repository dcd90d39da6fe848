"""Lists for the site: cuts, materials, connectors, their CSV text; hold points by stage."""

import csv
import io
from dataclasses import replace

import pytest
from hypothesis import given as draw
from hypothesis import strategies as st
from timber_leaves import given

from calclib.errors import InputError
from calclib.job.work.cutting import (
    board_feet,
    connector,
    csv_text,
    cut,
    cuts_by_position,
    flush_beam_cuts,
    materials,
    pack,
    shore_cuts,
)
from calclib.job.work.geometry import FlushBeam, flush_fit, stud_lengths
from calclib.job.work.holds import STAGES, hold_points
from calclib.job.work.readings import Reading
from calclib.trace import check
from calclib.units import feet_inches, ft


def inches(number, name):
    return given(number, "in", name)


def studs(*heights):
    readings = [
        Reading(f"joist {n}", inches(h, f"shore/height/{n}")) for n, h in enumerate(heights, 1)
    ]
    pieces = stud_lengths(readings, [inches(1.5, "plate/t")])
    return cuts_by_position("cuts/shore", "shoring stud", "2x4", pieces)


def read(text):
    return list(csv.DictReader(io.StringIO(text)))


def test_each_stud_is_tied_to_its_own_measurement():
    rows = studs(94.0, 93.75)

    assert [row.places for row in rows] == [("joist 1",), ("joist 2",)]
    assert rows[0].because == ("test/shore/height/1", "practice/stud cut long", "test/plate/t")
    assert "test/shore/height/2" in rows[1].because


def test_the_cut_list_reads_as_a_carpenter_measures():
    table = read(csv_text(studs(94.0, 93.75)))

    assert [line["length"] for line in table] == ["7 ft 8 9/16 in", "7 ft 8 5/16 in"]
    assert table[0]["because"].startswith("test/shore/height/1; ")
    assert csv_text(()) == ""


def test_a_plate_thicker_than_the_room_is_refused():
    with pytest.raises(InputError, match="a length above zero"):
        cut("cuts/x", "stud", "2x4", inches(-1.0, "l"), ("joist 1",))


def test_text_that_a_spreadsheet_would_run_is_made_plain():
    row = cut("cuts/x", "=1+1", "2x4", inches(12.0, "l"), ("@here", "there"))
    line = read(csv_text([row]))[0]

    assert line["what"] == "'=1+1"
    assert line["places"] == "'@here; there"


def test_board_feet_of_the_trade():
    """One 2x4 of 12 ft holds 8 board feet; ten 2x10 of 16 ft hold 266.7."""
    # Definition: nominal inches times inches times feet, over 12.
    assert board_feet(1.0, 2.0, 4.0, 12 * ft) == pytest.approx(8.0)
    assert round(board_feet(10.0, 2.0, 10.0, 16 * ft), 1) == 266.7


def test_materials_come_in_stock_lengths_with_the_least_waste():
    """Six plates of 3 ft 11 in: two fit into 8 ft with the saw's kerf, so three boards of 8 ft."""
    rows = [cut("cuts/block", "block", "2x4", inches(47.0, "l"), ("bay",), each=6)]
    (bought,) = materials(rows)

    assert (bought.stock_ft, bought.count) == (8.0, 3)
    assert bought.board_feet.at() == pytest.approx(16.0)
    assert bought.because == ("cuts/block",)


def test_the_kerf_counts():
    """Two pieces of 4 ft do not come out of 8 ft."""
    rows = [cut("cuts/block", "block", "2x4", inches(48.0, "l"), ("bay",), each=2)]
    (bought,) = materials(rows)

    assert (bought.stock_ft, bought.count) == (10.0, 1)


def test_a_shore_is_cut_stud_by_stud_with_its_plates():
    lengths = stud_lengths([Reading("joist 1", inches(94.0, "h/1"))], [inches(1.5, "plate/t")])
    rows = shore_cuts(
        "cuts/shore", lengths, inches(130.0, "L"), section="2x4", plate_section="2x4",
        top=2, sill=1,
    )  # fmt: skip

    assert [(row.what, row.count) for row in rows] == [
        ("shoring stud", 1), ("top plate of the shore", 2), ("sill of the shore", 1),
    ]  # fmt: skip


def test_a_flush_beam_brings_plies_nailers_and_shorter_studs_above():
    """By hand: 16 - 1.5 in of nailer; 92-5/8 in less a rise of 1-7/8 in."""
    names = ("b", "d", "d_joist", "b_joist", "t_floor", "drop", "e", "g")
    sizes = (3.5, 11.875, 9.25, 1.5, 0.75, 0.0, 0.0, 0.125)
    beam = FlushBeam(
        *(inches(x, name) for x, name in zip(sizes, names, strict=True)),
        b_wall=inches(3.5, "b_wall"), l_stud=inches(92.625, "l_stud"),
        t_old=inches(1.5, "t_old"), t_new=inches(1.5, "t_new"),
    )  # fmt: skip
    fit = flush_fit("beam/fit", beam, inches(16.0, "s"))
    plan = {
        "section": "1-3/4x11-7/8", "plies": 2, "bays": ["bay 1", "bay 2"],
        "nailer_section": "2x4", "studs": ["stud 1", "stud 2", "stud 3"], "stud_section": "2x4",
    }  # fmt: skip
    rows = flush_beam_cuts("cuts/beam", fit, inches(180.0, "L"), **plan)

    assert [(row.count, feet_inches(row.length.at())) for row in rows] == [
        (2, "15 ft 0 in"), (4, "1 ft 2 1/2 in"), (3, "7 ft 6 3/4 in"),
    ]  # fmt: skip
    bare = flush_fit("f", replace(beam, b_wall=None, l_stud=None), inches(16.0, "s"))
    with pytest.raises(InputError, match="studs of the wall above"):
        flush_beam_cuts("cuts/beam", bare, inches(180.0, "L"), **plan)


def test_what_no_stock_length_serves_is_ordered_to_length():
    rows = [
        cut("cuts/plate", "plate", "2x6", inches(21 * ft, "l"), ("wall",)),
        cut("cuts/beam", "ply", "1-3/4x11-7/8", inches(15 * ft, "L"), ("beam",), each=2),
    ]
    plate, ply = materials(rows)

    assert (plate.stock_ft, plate.count) == (None, 1)
    assert (ply.stock_ft, ply.count, ply.board_feet) == (None, 2, None)


@draw(st.lists(st.floats(5, 96), min_size=1, max_size=25))
def test_packing_loses_no_cut_and_overfills_no_board(lengths):
    boards = pack(lengths, 96.0, 0.125)

    assert sorted(x for board in boards for x in board) == sorted(lengths)
    assert all(sum(board) + 0.125 * (len(board) - 1) <= 96.0 for board in boards)
    assert len(boards) >= sum(lengths) / 96.0


def test_a_cut_longer_than_the_board_is_refused():
    with pytest.raises(InputError, match="cuts of at most 8 ft 0 in"):
        pack([97.0], 96.0, 0.125)


def test_a_hanger_without_a_listed_capacity_stays_open_on_the_schedule():
    demand = given(750.0, "lbf", "R")
    bare = connector("hanger", "east joists to beam", 12, check("b/h", "h", "report", demand, None))
    listed = connector(
        "hanger", "east joists to beam", 12,
        check("b/h", "h", "report", demand, given(900.0, "lbf", "Z")), "report 1234",
    )  # fmt: skip
    lines = read(csv_text([bare, listed]))

    assert [line["state"] for line in lines] == ["open", "passes"]
    assert lines[0]["capacity"] == ""
    assert lines[0]["report"] == "report number to be given"
    assert lines[1]["because"] == "b/h"
    assert lines[1]["demand"] == "750 lbf"


# ---- hold points


def test_every_stage_has_hold_points_with_their_origin():
    for stage in STAGES:
        found = hold_points(stage)

        assert any(point.kind == "hold point" for point in found), stage
        assert all(point.clause and point.source and point.text.endswith(".") for point in found)


@pytest.mark.parametrize(
    ("stage", "clause", "word"),
    [
        # 29 CFR 1926, 40 CFR 745 and IRC, as their texts have the numbers.
        ("before work", "29 CFR 1926.850(a)", "competent person"),
        ("before work", "29 CFR 1926.850(c)", "cap"),
        ("before work", "IRC R105.2.2", "permit"),
        ("before work", "40 CFR 745 subpart E", "lead"),
        ("before work", "29 CFR 1926.1101(k)", "asbestos"),
        ("wall out", "29 CFR 1926.25(a)", "nails"),
        ("lift", "29 CFR 1926.501(b)(4)", "floor hole"),
        ("joists hung", "IRC R502.6.2", "hanger"),
        ("shoring out", "IRC R109.1.4", "inspector"),
    ],
)
def test_clauses_stand_with_the_stage_they_belong_to(stage, clause, word):
    texts = [point.text for point in hold_points(stage) if point.clause == clause]

    assert any(word in text for text in texts)


@pytest.mark.parametrize(
    ("stage", "word"),
    [
        # common practice, no source
        ("shoring up", "jack can push more than the load"),
        ("lift", "no one stand under the load"),
        ("lift", "Clear the floor"),
        ("shoring out", "positive support"),
    ],
)
def test_habits_of_the_trade_are_marked_so(stage, word):
    (found,) = [point for point in hold_points(stage) if word in point.text]

    assert (found.clause, found.status) == ("common practice", "common practice")


@pytest.mark.parametrize(
    ("year", "lead", "asbestos"),
    # Built before 1978; built no later than 1980.
    [(1977, 1, 2), (1978, 0, 2), (1980, 0, 2), (1981, 0, 0), (None, 1, 2)],
)
def test_lead_and_asbestos_go_by_the_age_of_the_house(year, lead, asbestos):
    texts = [point.text.lower() for point in hold_points("before work", year)]

    assert sum("lead paint" in text for text in texts) == lead
    assert sum("asbestos" in text or "joint compound" in text for text in texts) == asbestos


def test_an_unknown_stage_is_refused_with_those_that_are():
    with pytest.raises(InputError, match="one of before work, shoring up"):
        hold_points("demolition")
