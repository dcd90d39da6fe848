"""Posts, packs, glulam, notches and both design methods, from the job file to the checks."""

from __future__ import annotations

from pathlib import Path

import pytest

from calclib.job import methods, settling
from calclib.job.file import JobError, parse
from calclib.job.solve import solve
from calclib.units import ft, inch, lbf, psi

EXAMPLES = Path(__file__).parent.parent / "examples"
LARKSPUR = (EXAMPLES / "larkspur_house.toml").read_text("utf-8")
FOXGLOVE = (EXAMPLES / "foxglove_cottage.toml").read_text("utf-8")
WEST = '[posts.west]\nsize = "4x6"\nspecies = "Douglas fir-larch"\ngrade = "No.1"\n'
NAILS = """nail_diameter = "0.162 in"
nail_length = "LONG in"
nail_end = "2 1/2 in"
nail_spacing = "8 in"
nail_edge = "1 in"
nail_rows = 2
nail_rows_apart = "2 1/2 in"
nail_faces = "opposite"
nail_staggered = "yes"
"""


def checks(text: str, **changes: str):
    return {check.id: check for check in solve(parse(text)).checks}


def post(more: str, size: str = "4x6"):
    assert WEST in LARKSPUR
    return LARKSPUR.replace(WEST, WEST.replace("4x6", size) + more, 1)


def test_a_post_is_checked_as_a_column_at_its_end_and_below():
    found = checks(LARKSPUR)

    column = found["finished/posts.west/axial"]
    assert column.state == "passes"
    # 4x6: 19.25 in^2; by hand from the reaction of the beam.
    assert column.demand.at(column.case) == pytest.approx(4570 / 19.25 * psi, rel=2e-3)
    assert found["finished/posts.west/end"].state == "passes"
    assert found["finished/posts.west/base"].state == "open"


def test_a_post_on_a_girder_presses_across_its_grain():
    base = checks(FOXGLOVE)["finished/posts.west/base"]

    # The load over 3-1/2 x 5-1/2 in against 625 psi of Douglas fir-larch (NDS Supplement 4A).
    assert base.state == "passes"
    assert base.capacity.at(base.case) == pytest.approx(625 * psi)
    P = checks(FOXGLOVE)["finished/posts.west/axial"].demand.at(0) * 19.25
    assert base.demand.at(0) * 19.25 == pytest.approx(P)


def test_a_pack_without_nailing_stands_ply_by_ply():
    found = checks(post("plies = 3\n", "2x6"))["finished/posts.west/axial"]

    assert any("each ply stands by itself" in note for note in found.notes)
    # A ply of 1-1/2 in over 7 ft 1 in: slenderness 56.7, above the limit of 50 (NDS 3.7.1.4).
    assert found.state == "fails"
    held = checks(post('plies = 3\nheld_flatwise = "yes"\n', "2x6"))["finished/posts.west/axial"]
    assert held.state == "passes"


def test_the_usual_nail_is_too_short_for_a_pack_of_three():
    # NDS 2018 15.3.3.1: through all plies but three quarters of the last: 2 x 1.5 + 0.75 x 1.5 =
    # 4-1/8 in for three plies; a 16d common nail is 3-1/2 in long.
    short = checks(post("plies = 3\n" + NAILS.replace("LONG", "3 1/2"), "2x6"))
    long = checks(post("plies = 3\n" + NAILS.replace("LONG", "4 1/2"), "2x6"))

    a, b = (found["finished/posts.west/axial"] for found in (short, long))
    assert a.worst > b.worst
    assert any("4" in note and "nail" in note for note in a.notes)


def test_a_pack_never_beats_the_solid_post():
    pack = checks(post("plies = 3\n" + NAILS.replace("LONG", "4 1/2"), "2x6"))
    solid = checks(post('width = "4 1/2 in"\n', "4x6"))

    assert (
        pack["finished/posts.west/axial"].capacity.at(1)
        <= solid["finished/posts.west/axial"].capacity.at(1) * 1.2
    )


def test_an_eccentric_load_is_a_check_of_its_own():
    near, far = (
        checks(post(f'eccentricity = "{e} in"\n'))["finished/posts.west/eccentric"].worst
        for e in ("7/8", "1 3/4")
    )

    assert far > near
    # The column check stays, for its squared share of the interaction hides little of it.
    found = checks(post('eccentricity = "7/8 in"\n'))
    assert found["finished/posts.west/axial"].worst == pytest.approx(
        checks(LARKSPUR)["finished/posts.west/axial"].worst
    )


def test_wet_and_tall_posts_carry_less():
    dry = checks(LARKSPUR)["finished/posts.west/axial"].worst
    wet = checks(post('moisture = "wet"\n'))["finished/posts.west/axial"].worst
    braced = checks(post('braced_flatwise = "3 ft 6 in"\n'))["finished/posts.west/axial"].worst

    assert braced < dry < wet


@pytest.mark.parametrize(
    ("more", "message"),
    [
        ('nail_length = "4 in"\n', "posts.west.plies: needs two plies or more"),
        (
            'plies = 3\nnail_length = "4 in"\n',
            "posts.west.nail_spacing: needs the spacing of nails",
        ),
        (
            'plies = 3\neccentricity = "1 in"\n',
            "posts.west.eccentricity: needs a post of one piece",
        ),
        ('held_flatwise = "yes"\nbraced_flatwise = "3 ft"\n', "needs either held_flatwise or"),
        ('plate = "hem-fir"\n', "posts.west.plate_grade: needs the plate grade that goes"),
    ],
)
def test_a_slip_about_a_post_is_answered(more, message):
    with pytest.raises(JobError) as refusal:
        parse(post(more))
    assert any(message in line for line in refusal.value.messages), refusal.value.messages


GLULAM = FOXGLOVE[: FOXGLOVE.index("[beams.girder]")] + FOXGLOVE[
    FOXGLOVE.index("[beams.girder]") :
].replace(
    'species = { value = "Douglas fir-larch", basis = "assumed", source = "color and weight" }\n'
    'grade = { value = "No.2", basis = "assumed", note = "no stamp; to be graded" }\n'
    'plies = { value = 3, basis = "measured" }\n',
    'glulam = "24F-V4"\nplies = 1\n',
    1,
).replace('size = "2x10"\nply_width', 'size = "5-1/8 x 12"\nply_width', 1).replace(
    'ply_width = { value = "1 7/8 in", basis = "measured", source = "full-size stock" }\n', "", 1
).replace('depth = { value = "9 3/4 in", basis = "measured", source = "full-size stock" }\n', "", 1)


def test_a_glulam_girder_has_less_where_it_hogs():
    found = checks(GLULAM)

    sag, hog = (found[f"finished/beams.girder/{k}"] for k in ("bending", "bending_hogging"))
    # 24F-V4: F_b 2400 psi with the tension zone in tension, 1850 psi the other way (Missouri S&T
    # CE 5260, after NDS Supplement Table 5A); C_D 1.0 of D + L; C_L and C_V at most 1.
    case = sag.cases.index("D + L, live on west and east")
    assert sag.capacity.at(case) <= 2400 * psi
    assert hog.capacity.at(case) <= 1850 * psi
    assert sag.capacity.at(case) > hog.capacity.at(case)


def test_glulam_is_of_one_piece():
    with pytest.raises(JobError, match=r"beams\.girder\.plies: needs one ply for glulam"):
        parse(GLULAM.replace('glulam = "24F-V4"\nplies = 1', 'glulam = "24F-V4"\nplies = 2'))
    with pytest.raises(JobError, match="needs a class or combination of glulam"):
        parse(GLULAM.replace('"24F-V4"', '"24F-V44"'))


SAWN = (EXAMPLES / "basement_beam.toml").read_text("utf-8")
SEAT = (
    'on = "ground"\nbearing = { value = "4 in", basis = "measured", '
    'source = "pocket cleaned out" }\n'
)


def test_a_notch_over_a_bearing_takes_its_share_of_shear():
    assert SEAT in SAWN
    text = SAWN.replace(SEAT, SEAT + 'notch_depth = "1 1/2 in"\nnotch_face = "tension"\n', 1)
    found = checks(text)["finished/beams.main/notch.west_pocket"]

    # NDS 2018 Eq. 3.4-3: V_r' = 2/3 F_v' b d_n (d_n/d)^2, with 180 psi, 4-1/2 in, 9-1/4 and 7-3/4.
    by_hand = 2 / 3 * 180 * 4.5 * 7.75 * (7.75 / 9.25) ** 2
    case = found.cases.index("D + L")
    assert found.capacity.at(case) == pytest.approx(by_hand * lbf, rel=1e-6)

    deeper = SAWN.replace(SEAT, SEAT + 'notch_depth = "3 in"\nnotch_face = "tension"\n', 1)
    # 4.4.3.2: at most a quarter of the depth, 2.31 in.
    assert checks(deeper)["finished/beams.main/notch.west_pocket"].state == "fails"


def test_composite_lumber_is_not_notched():
    text = LARKSPUR.replace(
        'on = "posts.west"\n', 'on = "posts.west"\nnotch_depth = "1 in"\nnotch_face = "tension"\n'
    )
    with pytest.raises(JobError, match="notched only by its maker's design"):
        parse(text)


def test_loads_near_the_supports_of_a_dropped_beam_may_be_left_out():
    full = checks(LARKSPUR)["finished/beams.opening/shear"]
    text = LARKSPUR.replace("plies = 3", 'shear_near_supports = "left out"\nplies = 3', 1)
    less = checks(text)["finished/beams.opening/shear"]

    assert less.worst < full.worst
    # A uniform load on a simple span: V at a depth from the face, w (l_n / 2 - d).
    uniform = (
        LARKSPUR[: LARKSPUR.index("[rafters.north]")] + LARKSPUR[LARKSPUR.index("[walls.east]") :]
    )
    uniform = uniform[: uniform.index("[points.")] + uniform[uniform.index("[beams.") :]
    i, j = uniform.index("[surfaces.roof]"), uniform.index("[joists.east]")
    uniform = uniform[:i] + uniform[j:]
    whole = checks(uniform)["finished/beams.opening/shear"]
    away = checks(uniform.replace("plies = 3", 'shear_near_supports = "left out"\nplies = 3', 1))
    part = away["finished/beams.opening/shear"]
    span, clear, d = 13.5 * ft + 3.5 * inch, 13.5 * ft, 11.875 * inch
    assert part.worst / whole.worst == pytest.approx((clear / 2 - d) / (span / 2), rel=1e-9)

    flush = text.replace('setting = "dropped"', 'setting = "flush"')
    hung = checks(flush)["finished/beams.opening/shear"]
    assert any("count in full" in note for note in hung.notes)


def test_joists_on_one_side_twist_a_flush_beam():
    i, j = LARKSPUR.index("[joists.west]"), LARKSPUR.index("[rafters.north]")
    text = (LARKSPUR[:i] + LARKSPUR[j:]).replace('setting = "dropped"', 'setting = "flush"')
    text = text.replace('[walls.west]\nrests_on = "ground"\n', "")
    twist = checks(text)["finished/beams.opening/twist"]

    assert twist.state == "open"
    # The reaction at half the breadth of 5-1/4 in.
    bearing = checks(text)["finished/beams.opening/bearing.east"]
    R = bearing.demand.number.max() * 5.25 * 3.5
    assert twist.demand.number.max() == pytest.approx(R * 5.25 / 2)
    both = LARKSPUR.replace('setting = "dropped"', 'setting = "flush"')
    assert "finished/beams.opening/twist" not in checks(both)


def test_both_methods_agree_where_the_standard_sets_them_to():
    """Snow three times the dead load: C_D 1.15 against K_F phi lambda (NDS 2018 Appendix N)."""
    i, j = LARKSPUR.index("[walls.bedroom]"), LARKSPUR.index("[walls.east]")
    k, m = LARKSPUR.index("[points."), LARKSPUR.index("[beams.")
    text = LARKSPUR[:i] + LARKSPUR[j:k] + LARKSPUR[m:]
    a, b = text.index("[surfaces.bedroom_floor]"), text.index("[surfaces.roof]")
    text = text[:a] + text[b:]
    a, b = text.index("[joists.east]"), text.index("[rafters.north]")
    text = text[:a] + text[b:]
    text = text.replace('["walls.bedroom", "walls.east"]', '["beams.opening", "walls.east"]')
    text = text.replace(
        'from = "5 ft"\nto = "13 ft 6 in"\nsize = "2x8"', 'along = "whole"\nsize = "2x8"'
    )
    text = text.replace('[walls.west]\nrests_on = "ground"\n', "")
    text = text.replace('roof_live = { value = "20 psf", basis = "required by code", '
                        'source = "IRC Table R301.6" }\n', "")  # fmt: skip
    # No weight of its own to speak of, and 8 psf dead: 24 psf of snow.
    text = text.replace('snow = { value = "30 psf"', 'snow = { value = "24 psf"')
    text = text.replace('density = { value = "42 pcf"', 'density = { value = "2 pcf"')

    pair = next(p for p in methods.side_by_side(solve(parse(text))) if p.id.endswith("/bending"))

    assert float(pair.own) == pytest.approx(float(pair.other), rel=0.02)


def test_deflection_and_uplift_are_the_same_by_either_method():
    asd, lrfd = solve(parse(SAWN)), methods.by_other_method(parse(SAWN))
    other = {check.id: check for check in lrfd.checks}

    for check in asd.checks:
        if "deflection" in check.id:
            assert other[check.id].worst == pytest.approx(check.worst, rel=1e-12)


def test_the_sheet_shows_the_other_method_when_it_is_asked():
    from calclib.sheet.page import render

    asked = LARKSPUR.replace(
        'building_code = "IRC 2018"', 'building_code = "IRC 2018"\nother_method = "yes"'
    )

    assert "By the other method" in render(solve(parse(asked)), draft=True)
    assert "By the other method" not in render(solve(parse(LARKSPUR)), draft=True)


def test_a_beam_goes_down_when_the_shores_leave_and_its_joists_with_it():
    solved = solve(parse(FOXGLOVE))
    beam, *joists = settling.drops(solved)

    opening = next(b for b in solved.beams if b.section.name == "opening")
    # Simple spans under uniform dead load: 5 w l^4 / 384 EI (AISC Manual, beam diagrams; memory).
    w = sum(row.size.at() for row in opening.model.rows if row.source == "D")
    l = opening.spans[0].at()  # noqa: E741
    by_hand = 5 * w * l**4 / (384 * opening.model.EI.at())
    assert beam.of_beam.at() == pytest.approx(by_hand, rel=1e-9)
    assert len(joists) == 2
    for each in joists:
        # One end on the beam, the other on a wall: half of the beam's drop in the middle.
        assert each.together.at() == pytest.approx(each.of_joists.at() + by_hand / 2)


def test_green_joists_go_down_beside_a_dry_beam():
    text = FOXGLOVE.replace("first_joist", 'built_in = "green"\nfirst_joist', 1)
    (drying,) = settling.dryings(solve(parse(text)))

    # 7-5/8 in from 28 to 9 percent and 11-7/8 in from 8 to 9, at 0.0025 for each percent
    # (common practice, no source).
    assert drying.of_joists.at() == pytest.approx(7.625 * 0.0025 * 19)
    assert drying.of_beam.at() == pytest.approx(-11.875 * 0.0025)
    assert drying.more.at() == pytest.approx(7.625 * 0.0025 * 19 + 11.875 * 0.0025)
