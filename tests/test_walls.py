"""Walls of known studs and plates, and footings under walls: from the job to the soil."""

from __future__ import annotations

from pathlib import Path

import pytest

from calclib.ground.footing import (
    least_width_under_wall,
    projection_under_masonry,
    weight_of_stem,
)
from calclib.job.file import JobError, parse
from calclib.job.solve import solve
from calclib.units import ft, inch, pcf, plf, psf

FOXGLOVE = (Path(__file__).parent.parent / "examples" / "foxglove_cottage.toml").read_text("utf-8")
PLATES = 'plate = "spruce-pine-fir"\nplate_grade = "No.1/No.2"\n'
STUDS = """size = "2x4"
spacing = "16 in"
species = "Douglas fir-larch"
grade = "Stud"
held_flatwise = "yes"
"""
FOOTED = """[walls.south]
weight = "10 psf"
height = "8 ft"
from = "-6 ft"
to = "18 ft"
rests_on = "footings.strip"
"""
STRIP = """[footings.strip]
length = "24 ft"
width = "16 in"
thickness = "8 in"
rests_on = "ground"
"""
SOIL = 'soil = "sandy gravel and gravel"\nconcrete = "2500 psi"\n'
STEM = 'stem = "concrete"\nstem_width = "8 in"\nstem_height = "7 ft"\n'


def kitchen(more: str) -> dict:
    """Return the checks with the kitchen wall told further."""
    text = FOXGLOVE.replace('bracing = "unknown"\n', f'bracing = "unknown"\n{more}', 1)
    return {c.id: c for c in solve(parse(text)).checks}


def south(wall: str, footing: str) -> dict:
    """Return the checks with the south wall on a footing of its own."""
    text = FOXGLOVE.replace('[walls.south]\nrests_on = "ground"\n', FOOTED + wall, 1)
    return {c.id: c for c in solve(parse(f"{text}\n{STRIP}{footing}")).checks}


def demand(check, case):
    return check.demand.at(check.cases.index(case))


def test_a_wall_whose_studs_are_not_known_stays_open():
    found = kitchen("")

    assert found["finished/walls.kitchen/bearing"].state == "open"
    assert "finished/walls.kitchen/studs" not in found


def test_studs_stand_as_columns_on_plates_on_the_girder():
    found = kitchen(PLATES + STUDS)
    studs = found["finished/walls.kitchen/studs"]
    plates = found["finished/walls.kitchen/bearing"]
    base = found["finished/walls.kitchen/base.girder"]

    # By hand, beside the opening: continuous attic joists put 5/8 of their load there and more by
    # their unequal spans; so only the parts that are plain are counted here: the wall, 19 psf x
    # 8 ft 4 in, its props, 3 psf x 6 ft, and the roof's dead load on the slope (12.30 psf) and
    # snow (25 psf) over half of 25 ft.
    own = 19 * (8 + 4 / 12) + 3 * 6
    roof_D = 11 * (1 + 0.25) ** 0.5 * 12.5
    snow = 25 * 12.5
    by_hand = (own + roof_D + snow) * (16 / 12) / (1.5 * 3.5)
    attic = demand(studs, "D + S") - by_hand
    # 10.2 psf of the attic, 12.5 ft by simple spans, up to 5/4 of it by continuity.
    assert 1.0 < attic / (10.2 * 12.5 * 16 / 12 / 5.25) < 1.3
    assert studs.state == plates.state == base.state == "passes"
    assert demand(plates, "D + S") == pytest.approx(demand(studs, "D + S"))
    # Spruce-pine-fir No.1/No.2, 425 psi across the grain (NDS Supplement 2018 Table 4A, from
    # memory), is weaker than the girder's 625 psi.
    assert plates.capacity.at() == base.capacity.at() == pytest.approx(425)
    assert "finished/walls.kitchen/bearing" in found


def test_studs_that_nothing_holds_flatwise_are_too_slender():
    loose = kitchen(PLATES + STUDS.replace('held_flatwise = "yes"\n', ""))
    blocked = kitchen(PLATES + STUDS.replace('held_flatwise = "yes"', 'braced_flatwise = "4 ft"'))

    # 100 in / 1.5 in = 67, above 50 (NDS 2018 3.7.1.4).
    assert loose["finished/walls.kitchen/studs"].state == "fails"
    assert blocked["finished/walls.kitchen/studs"].state == "passes"


def test_studs_without_known_plates_keep_the_bearing_open():
    found = kitchen(STUDS)

    assert found["finished/walls.kitchen/studs"].state == "passes"
    assert found["finished/walls.kitchen/bearing"].state == "open"
    assert found["finished/walls.kitchen/base.girder"].state == "open"


def test_joists_on_a_known_plate_are_checked_against_the_weaker_wood():
    text = FOXGLOVE.replace("first_joist", 'bearing = "1 1/2 in"\nfirst_joist', 1)
    text = text.replace('bracing = "unknown"\n', f'bracing = "unknown"\n{PLATES}', 1)
    found = {c.id: c for c in solve(parse(text)).checks}

    on_plate = found["finished/joists.attic.parlor-kitchen/bearing.kitchen_wall"]
    on_masonry = found["finished/joists.attic.parlor-kitchen/bearing.north_wall"]
    assert on_plate.state == "passes"
    assert on_plate.capacity.at() == pytest.approx(425)
    assert on_masonry.state == "open"
    # IRC R502.6: 1-1/2 in on wood.
    assert [c.ratio.at() for c in on_plate.conditions] == pytest.approx([1.0])


@pytest.mark.parametrize(("studs", "joists", "asked"), [(24, 24, True), (24, 16, False),
                                                         (16, 24, False)])  # fmt: skip
def test_joists_far_apart_on_studs_far_apart_stand_near_the_studs(studs, joists, asked):
    text = FOXGLOVE.replace("first_joist", 'bearing = "1 1/2 in"\nfirst_joist', 1)
    text = text.replace('spacing = { value = "16 in", basis = "measured" }\nbearing',
                        f'spacing = "{joists} in"\nbearing', 1)  # fmt: skip
    more = PLATES + STUDS.replace("16 in", f"{studs} in")
    text = text.replace('bracing = "unknown"\n', f'bracing = "unknown"\n{more}', 1)
    found = {c.id: c for c in solve(parse(text)).checks}

    # IRC R602.3.3.
    questions = found["finished/joists.attic.parlor-kitchen/bearing.kitchen_wall"].questions
    assert any("within 5 in" in question for question in questions) is asked


def test_a_bearing_shorter_than_the_code_asks_for_fails():
    text = FOXGLOVE.replace("first_joist", 'bearing = "1 1/4 in"\nfirst_joist', 1)
    text = text.replace('bracing = "unknown"\n', f'bracing = "unknown"\n{PLATES}', 1)
    found = {c.id: c for c in solve(parse(text)).checks}

    assert found["finished/joists.attic.parlor-kitchen/bearing.kitchen_wall"].state == "fails"


def test_a_wall_on_a_strip_is_taken_down_to_the_soil():
    found = south(PLATES + STUDS, SOIL)
    soil = found["finished/footings.strip/soil"]

    # By hand: half of 11 ft 9 in of roof snow 25 psf, roof 12.30 psf, attic and floor of unequal
    # continuous and simple spans; the footing itself 150 pcf x 8 in.
    snow = 25 * 11.75 / 2
    case_D, case_S = demand(soil, "D"), demand(soil, "D + S")
    assert case_S - case_D == pytest.approx(snow * plf / (16 * inch))
    assert soil.state == "passes"
    assert {"bending.width", "shear.width", "bearing"} <= {
        id.rpartition("/")[2] for id in found if "footings.strip" in id
    }
    assert "finished/footings.strip/bending.length" not in found
    # The footing's own check of bearing stands for what the wall stands on.
    assert "finished/walls.south/base.strip" not in found


def test_a_foundation_wall_weighs_on_its_footing():
    bare, stem = south(PLATES + STUDS, SOIL), south(PLATES + STUDS, SOIL + STEM)
    more = demand(stem["finished/footings.strip/soil"], "D") - demand(
        bare["finished/footings.strip/soil"], "D"
    )

    # 150 pcf x 8 in x 7 ft on 16 in.
    assert weight_of_stem(150 * pcf, 8 * inch, 7 * ft) == pytest.approx(700 * plf)
    assert more == pytest.approx(700 * 12 / 16 * psf)
    assert stem["finished/walls.south/base.strip"].state == "passes"
    masonry = south(PLATES + STUDS, SOIL + STEM.replace("concrete", "masonry"))
    assert masonry["finished/walls.south/base.strip"].state == "open"
    bending = "finished/footings.strip/bending.width"
    assert masonry[bending].worst > stem[bending].worst


def test_a_footing_bends_further_in_under_masonry():
    # ACI 318-14 13.2.7.1 (from memory): halfway between the middle and the face of the wall.
    assert projection_under_masonry(24 * inch, 8 * inch) == pytest.approx(12 - 2)


def test_a_footing_hardly_wider_than_its_wall_fails_by_the_code_s_projection():
    assert least_width_under_wall(8 * inch, 2 * inch) == pytest.approx(12)
    text = SOIL + STEM.replace('"8 in"', '"14 in"')
    bending = south(PLATES + STUDS, text)["finished/footings.strip/bending.width"]

    assert bending.state == "fails"
    assert [c.text for c in bending.conditions if c.ratio.at() > 1] == [
        "The footing reaches at least 2 in past the wall."
    ]


def test_a_strip_under_a_wall_of_unknown_thickness_is_open():
    found = south("", SOIL)

    assert found["finished/footings.strip/soil"].state == "open"
    assert "thickness of the wall" in found["finished/footings.strip/soil"].questions[0]


def test_a_post_on_a_wall_asks_for_studs_under_it():
    text = FOXGLOVE.replace('bracing = "unknown"\n', f'bracing = "unknown"\n{PLATES}{STUDS}', 1)
    text += '\n[points.tank]\nrests_on = "walls.kitchen"\nat = "-3 ft"\nlive = "900 lbf"\n'
    found = {c.id: c for c in solve(parse(text)).checks}

    under = found["finished/walls.kitchen/point.1"]
    assert under.state == "open"
    assert demand(under, "L" if "L" in under.cases else under.cases[-1]) == pytest.approx(900)


@pytest.mark.parametrize(
    ("more", "message"),
    [
        ('size = "2x4"\n', "walls.kitchen.spacing: needs the spacing of its studs"),
        (STUDS.replace('"Stud"', '"Stood"'), "walls.kitchen.grade: needs a grade of the tables"),
        (PLATES.replace("spruce", "sprice"), "walls.kitchen.plate: needs a plate of the tables"),
        (
            STUDS + 'braced_flatwise = "4 ft"\n',
            "walls.kitchen.braced_flatwise: needs either held_flatwise or braced_flatwise",
        ),
    ],
)
def test_a_slip_about_a_wall_is_answered(more, message):
    with pytest.raises(JobError) as refusal:
        kitchen(more)
    assert any(message in line for line in refusal.value.messages), refusal.value.messages


def test_a_foundation_wall_is_told_in_full():
    with pytest.raises(JobError, match=r"footings\.strip\.stem_height: needs the height"):
        south(PLATES + STUDS, SOIL + STEM.replace('stem_height = "7 ft"\n', ""))
