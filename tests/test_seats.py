"""Ends of beams and posts: true contact, fitting gap, blocking, metal plates, pockets."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from calclib.job import settling
from calclib.job.file import JobError, parse
from calclib.job.solve import solve
from calclib.sheet.page import render
from calclib.timber.bearing import contact_width, net_bearing, side_across_beam
from calclib.units import inch, psi

EXAMPLES = Path(__file__).parent.parent / "examples"
LARKSPUR = (EXAMPLES / "larkspur_house.toml").read_text("utf-8")
# Its pockets as if nobody had said what they are of.
BASEMENT = re.sub(
    r'(seat = "concrete"|concrete = .*)\n', "", (EXAMPLES / "basement_beam.toml").read_text("utf-8")
)
WEST = 'on = "posts.west"\nbearing = { value = "3 1/2 in", basis = "chosen" }\n'
POST = '[posts.west]\nsize = "4x6"\n'
POCKET = 'on = "ground"\nbearing = { value = "4 in", basis = "measured", source = "pocket'


def checks(text: str) -> dict:
    return {check.id.partition("/")[2]: check for check in solve(parse(text)).checks}


def seat(more: str, text: str = LARKSPUR) -> dict:
    """Return the checks with the west support of the opening's beam told further."""
    assert WEST in text
    return checks(text.replace(WEST, WEST + more, 1))


def blocking(kind: str, count: int = 3, more: str = "", height: str = "9 1/4 in") -> str:
    return (
        f'blocking = "{kind}"\nblocking_size = "2x4"\nblocking_count = {count}\n'
        f'blocking_height = "{height}"\nblocking_species = "spruce-pine-fir"\n'
        f'blocking_grade = "No.1/No.2"\n{more}'
    )


def R_west(found: dict) -> float:
    """Return the reaction that the example's bearing is checked for [lbf]."""
    bearing = found["beams.opening/bearing.west"]
    return bearing.demand.at(bearing.case) * 5.25 * 3.5


def test_the_side_of_a_post_across_the_beam_follows_from_the_bearing():
    # A 4x6 turned either way; a bearing that fits neither side takes the narrow one.
    assert side_across_beam(3.5, 3.5, 5.5) == 5.5
    assert side_across_beam(5.5, 3.5, 5.5) == 3.5
    assert side_across_beam(4.5, 3.5, 5.5) == 3.5
    assert contact_width(5.25, 3.5) == 3.5
    assert contact_width(5.25, 5.5) == 5.25


def test_a_beam_wider_than_its_post_bears_on_the_post_alone():
    plain, narrow = seat(""), seat('width = "3 1/2 in"\n')
    was, now = (found["beams.opening/bearing.west"] for found in (plain, narrow))

    assert now.worst == pytest.approx(was.worst * 5.25 / 3.5)


def test_a_post_turned_with_its_wide_side_along_the_beam_gives_less_contact():
    turned = checks(LARKSPUR.replace(WEST, WEST.replace("3 1/2", "5 1/2"), 1))
    bearing, end = turned["beams.opening/bearing.west"], turned["posts.west/end"]
    R = bearing.demand.at(bearing.case) * 3.5 * 5.5

    # The post's end is pressed where the beam touches it: on all of it, here.
    assert end.demand.at(end.case) == pytest.approx(R / (3.5 * 5.5))


def test_the_end_of_a_post_is_pressed_only_where_the_beam_touches_it():
    found = seat("")
    end, column = found["posts.west/end"], found["posts.west/axial"]

    # 5-1/4 in of beam on a side of 5-1/2 in.
    assert end.demand.at(end.case) == pytest.approx(column.demand.at(column.case) * 5.5 / 5.25)


def test_the_fitting_gap_is_taken_off_the_bearing():
    plain, gapped = seat(""), seat('gap = "1/2 in"\n')
    was, now = (found["beams.opening/bearing.west"] for found in (plain, gapped))

    assert net_bearing(3.5 * inch, 0.5 * inch) == 3.0
    assert now.worst == pytest.approx(was.worst * 3.5 / 3.0)
    assert any("whole bearing length" in note for note in was.notes)
    # Reaction and span stay as they are.
    assert gapped["beams.opening/bending"].worst == plain["beams.opening/bending"].worst


def test_a_gap_as_long_as_the_bearing_fails():
    assert seat('gap = "3 1/2 in"\n')["beams.opening/bearing.west"].state == "fails"


def test_a_gap_that_leaves_less_than_the_code_asks_for_fails():
    bearing = seat('gap = "2 1/8 in"\n')["beams.opening/bearing.west"]

    # IRC R502.6: 1-1/2 in on wood; 1-3/8 in are left, whose stress would do.
    assert bearing.worst < 1
    assert bearing.state == "fails"


def test_a_plate_that_ends_at_the_opening_has_no_area_factor():
    bearing = seat('plate = "spruce-pine-fir"\nplate_grade = "No.1/No.2"\n')[
        "beams.opening/bearing.west"
    ]

    # 425 psi, times a C_b of 1 (NDS 2018 3.10.4; the value from memory of Table 4A).
    assert bearing.capacity.at() == pytest.approx(425 * psi)
    assert any(note.startswith("C_b of the support") for note in bearing.notes)


def test_squash_blocks_carry_on_their_end_grain():
    found = seat(blocking("vertical", 4) + 'plate = "spruce-pine-fir"\nplate_grade = "No.1/No.2"\n')
    end, column, below = (
        found[f"beams.opening/{key}"] for key in ("blocks.west.end", "blocks.west.column",
                                                  "seat.west")
    )  # fmt: skip
    R = R_west(seat(""))

    # Four 2x4 of 1-1/2 by 3-1/2 in; each stands by itself; the plate is pressed by all of them.
    assert end.demand.at(end.case) == pytest.approx(R / (4 * 5.25))
    assert column.demand.at(column.case) == pytest.approx(R / (4 * 5.25))
    assert below.demand.at(below.case) == pytest.approx(R / (4 * 5.25))
    # F_c of 1150 psi and C_F 1.15 (NDS Supplement 2018 Table 4A, from memory), floor live load.
    assert end.capacity.at(end.case) == pytest.approx(1150 * 1.15)
    assert {end.state, column.state, below.state} == {"passes"}
    # The beam's own wood governs its bearing.
    assert found["beams.opening/bearing.west"].capacity.at() == pytest.approx(750 * psi)


def test_squash_blocks_smaller_than_the_bearing_that_is_counted_fail():
    end = seat(blocking("vertical", 3))["beams.opening/blocks.west.end"]

    assert end.worst < 1
    assert end.state == "fails"


def test_what_squash_blocks_stand_on_is_open_until_it_is_told():
    assert seat(blocking("vertical", 4))["beams.opening/seat.west"].state == "open"


def test_flat_blocking_is_crushed_across_its_grain_and_shrinks():
    text = LARKSPUR.replace(
        WEST, WEST + blocking("flat", more='blocking_built_in = "green"\n', height="6 in"), 1
    )
    solved = solve(parse(text))
    found = {check.id.partition("/")[2]: check for check in solved.checks}
    flat, bearing = found["beams.opening/blocks.west.flat"], found["beams.opening/bearing.west"]

    assert flat.capacity.at() == bearing.capacity.at() == pytest.approx(425 * psi)
    # 0.25 % for each percent of moisture from 28 to 9 (common practice, no source).
    ((where, shrinks),) = settling.blockings(solved)
    assert where == "flat blocking below opening beam at west"
    assert shrinks.at() == pytest.approx(6 * 0.0025 * (28 - 9))
    assert "Shrinkage of flat blocking" in render(solved)


def test_a_post_on_squash_blocks_presses_less_narrowly():
    text = LARKSPUR.replace(POST, POST + blocking("vertical", 4), 1)
    found = checks(text)

    assert found["posts.west/blocks.end"].state == "passes"
    assert found["posts.west/base"].state == "open"
    flat = LARKSPUR.replace(
        POST, POST + blocking("flat", more='blocking_built_in = "kiln dried"\n'), 1
    )
    crushed = checks(flat)["posts.west/blocks.flat"]
    column = checks(flat)["posts.west/axial"]
    assert crushed.demand.at(crushed.case) == pytest.approx(column.demand.at(column.case))


def test_a_metal_plate_is_the_contact():
    R = R_west(seat(""))
    bearing = seat('metal_plate_length = "6 in"\nmetal_plate_width = "5 in"\n')[
        "beams.opening/bearing.west"
    ]

    assert bearing.demand.at(bearing.case) == pytest.approx(R / (6 * 5))
    assert bearing.state == "open"
    assert any("thickness" in question for question in bearing.questions)


def pocket(more: str, length: str = "4 in") -> dict:
    return checks(BASEMENT.replace(POCKET, more + POCKET.replace("4 in", length), 1))


def test_a_pocket_of_concrete_is_checked_under_factored_loads():
    found = pocket('seat = "concrete"\nconcrete = "2500 psi"\n')
    bearing, concrete = (found[f"beams.main/{key}.west_pocket"] for key in ("bearing", "seat"))

    assert bearing.state == concrete.state == "passes"
    # ACI 318-14 14.5.6, phi 0.60 (from memory): 0.60 x 0.85 x 2500 psi on 4-1/2 by 4 in.
    assert concrete.capacity.at() == pytest.approx(0.6 * 0.85 * 2500 * 4.5 * 4)
    # 1.2 D + 1.6 L is between 1.2 and 1.6 times D + L.
    service = bearing.demand.at(bearing.case) * 4.5 * 4
    assert 1.2 * service < concrete.demand.at(concrete.case) < 1.6 * service


def test_a_pocket_of_masonry_stays_open_and_is_three_inches_long_at_least():
    long, short = pocket('seat = "masonry"\n'), pocket('seat = "masonry"\n', "2 3/4 in")

    assert long["beams.main/seat.west_pocket"].state == "open"
    assert long["beams.main/bearing.west_pocket"].state == "passes"
    # IRC R502.6: 3 in on masonry or concrete.
    assert short["beams.main/bearing.west_pocket"].state == "fails"


def test_a_beam_on_a_beam_is_checked_against_the_weaker_wood():
    text = LARKSPUR.replace('on = "posts.west"\n', 'on = "beams.sill"\nat = "2 ft"\n', 1)
    start = text.index("[beams.opening]")
    end = text.index("[posts.west]")
    sill = text[start:end].replace("beams.opening", "beams.sill").replace(
        'on = "beams.sill"\nat = "2 ft"\n', 'on = "ground"\n'
    ).replace('on = "posts.east"', 'on = "ground"')  # fmt: skip
    sill = sill.replace("[beams.sill]\n", '[beams.sill]\ndirection = "across"\n', 1)
    sill = sill.replace("750 psi", "500 psi")
    west = text[text.index("[posts.west]") : text.index("[posts.east]")]
    bearing = checks(text.replace(west, "") + sill)["beams.opening/bearing.west"]

    assert bearing.capacity.at() == pytest.approx(500 * psi)


@pytest.mark.parametrize(
    ("more", "message"),
    [
        ('blocking = "vertical"\n', "supports.west.blocking_count: needs the number of blocks"),
        (
            blocking("vertical", more='blocking_built_in = "green"\n'),
            "supports.west.blocking_built_in: needs flat blocking",
        ),
        (blocking("flat"), "supports.west.blocking_built_in: needs the moisture of flat blocking"),
        (
            blocking("vertical").replace("2x4", "2x3 1/2"),
            "supports.west.blocking_size: needs a stock size of sawn lumber",
        ),
        (
            blocking("vertical").replace("No.1/No.2", "No.7"),
            "supports.west.blocking_grade: needs a grade of the tables",
        ),
        (
            'metal_plate_length = "6 in"\n',
            "supports.west.metal_plate_width: needs the width of a metal bearing plate",
        ),
        ('seat = "concrete"\n', "supports.west.seat: needs a support on the ground or a footing"),
        ('concrete = "2500 psi"\n', 'supports.west.seat: needs seat = "concrete"'),
    ],
)
def test_a_slip_about_an_end_is_answered(more, message):
    with pytest.raises(JobError) as refusal:
        seat(more)
    assert any(message in line for line in refusal.value.messages), refusal.value.messages
