"""The fit: readings of the tape, flush and dropped beams, bearings, swinging a beam in."""

import math

import pytest
from hypothesis import given as draw
from hypothesis import strategies as st
from timber_leaves import given

from calclib.errors import InputError, LookupMiss
from calclib.job.work.geometry import (
    FlushBeam,
    along,
    beam_length,
    cut_from_line,
    cut_offs,
    fitting_gap,
    flush_fit,
    headroom_check,
    length_between,
    length_cut_off,
    net_bearing,
    net_bearing_check,
    post_fit_checks,
    rise_above_subfloor,
    room_check,
    shortened_stud,
    stud_lengths,
    swing_check,
    swing_clearance,
)
from calclib.job.work.practice import practice
from calclib.job.work.readings import Reading, readings
from calclib.trace import leaves
from calclib.units import feet_inches, ft, parse


def inches(number, name):
    return given(number, "in", name)


def taped(*texts):
    """Return readings as a person writes them down."""
    return tuple(
        Reading(f"joist {place}", inches(parse(text, "in"), f"taped/{place}"))
        for place, text in enumerate(texts, start=1)
    )


# ---- readings


def test_a_misread_tape_is_pointed_out_by_its_place():
    """Inches taken for another foot: 7 ft 9 among five of 8 ft 1."""
    rows = taped("8 ft 1 1/4 in", "8 ft 1 3/16 in", "7 ft 9 in", "8 ft 1 1/8 in", "8 ft 1 5/16 in")
    found = readings("floor/height", "floor to joist", rows)

    assert [row.place for row in found.odd] == ["joist 3"]
    assert feet_inches(found.median.at()) == "8 ft 1 3/16 in"
    assert found.checks[-1].state == "fails"
    assert feet_inches(found.least.at()) == "7 ft 9 in"


def test_readings_that_agree_to_a_sixteenth_point_nothing_out():
    rows = taped("8 ft 1 1/4 in", "8 ft 1 1/4 in", "8 ft 1 3/16 in", "8 ft 1 1/4 in")
    found = readings("floor/height", "floor to joist", rows)

    assert found.odd == ()
    assert {each.state for each in found.checks} == {"passes"}


def test_the_limit_is_the_score_of_three_and_a_half_times_the_deviation():
    # Modified z-score 0.6745 (x - median) / MAD, limit 3.5  # from memory
    # Median 100, deviations 3 2 1 0 1 2 9, MAD 2: limit 3.5 x 2 / 0.6745 = 10.378 in.
    rows = [Reading(str(x), inches(float(x), f"x/{x}")) for x in (97, 98, 99, 100, 101, 102, 109)]
    found = readings("f", "height", rows)

    assert found.checks[-2].capacity.at() == pytest.approx(10.378, abs=5e-4)
    assert found.odd == ()


def test_two_readings_cannot_disagree():
    with pytest.raises(InputError, match="three readings or more"):
        readings("floor/height", "floor to joist", taped("8 ft 1 in", "8 ft 2 in"))


def test_the_thresholds_are_marked_as_habits_of_the_trade():
    # common practice, no source
    assert practice("reading of a tape", "t").origin.basis == "common practice"
    assert practice("floor out of level", "t").at() == 0.5
    with pytest.raises(LookupMiss):
        practice("reading of a level", "t")


# ---- a flush beam


def flush(d=11.875, drop=0.0, e=0.0, above=True):
    wall = {
        "b_wall": inches(3.5, "b_wall"),
        "l_stud": inches(92.625, "l_stud"),
        "t_old": inches(1.5, "t_old"),
        "t_new": inches(1.5, "t_new"),
    }
    return FlushBeam(
        inches(3.5, "b"), inches(d, "d"), inches(9.25, "d_joist"), inches(1.5, "b_joist"),
        inches(0.75, "t_floor"), inches(drop, "drop"), inches(e, "e"), inches(0.125, "g"),
        **(wall if above else {}),
    )  # fmt: skip


def test_a_beam_deeper_than_the_joists_rises_into_the_wall_above():
    """11-7/8 in on the soffit of 9-1/4 in joists under 3/4 in of subfloor: 1-7/8 in."""
    # Plain geometry, by hand.
    fit = flush_fit("beam/fit", flush(), inches(16.0, "s"))

    assert feet_inches(fit.rise.at()) == "1 7/8 in"
    assert feet_inches(fit.step.at()) == "2 5/8 in"
    assert feet_inches(fit.slot.at()) == "3 3/4 in"
    assert feet_inches(fit.near.at()) == feet_inches(fit.other.at()) == "1 7/8 in"
    assert feet_inches(fit.nailer.at()) == "1 ft 2 1/2 in"
    # Old plate out and new plate in, so the studs lose the rise.
    assert feet_inches(fit.stud.at()) == "7 ft 6 3/4 in"
    assert {each.state for each in fit.checks} == {"passes"}


def test_a_beam_beside_the_middle_of_the_wall_shows_and_cuts_one_side_more():
    fit = flush_fit("beam/fit", flush(e=0.5), inches(16.0, "s"))
    hidden = {each.id: each for each in fit.checks}["beam/fit/hidden"]

    assert hidden.state == "fails"
    # 3-1/2 in of beam, 1/2 in off to one side.
    assert hidden.demand.at() == 4.5
    assert fit.near.at() - fit.other.at() == 1.0


def test_without_a_wall_above_a_beam_may_not_rise_above_the_floor():
    high = flush_fit("f", flush(above=False), inches(16.0, "s"))
    level = flush_fit("f", flush(d=9.25, above=False), inches(16.0, "s"))

    assert [each.state for each in high.checks] == ["passes", "fails"]
    assert [each.state for each in level.checks] == ["passes", "passes"]


def test_joists_deeper_than_the_face_of_the_beam_are_pointed_out():
    fit = flush_fit("f", flush(d=9.25, drop=0.5), inches(16.0, "s"))

    assert {each.id: each.state for each in fit.checks}["f/hanger_face"] == "fails"


def test_a_level_beam_lies_otherwise_at_each_joist_of_a_sagging_floor():
    """The middle joist hangs half an inch: there the beam drops less and rises more."""
    soffits = taped("96 1/2 in", "96 in", "96 1/2 in")
    rows = along(flush(), soffits, inches(96.0, "h_beam"))

    assert [row.drop.at() for row in rows] == [0.5, 0.0, 0.5]
    assert [feet_inches(row.rise.at()) for row in rows] == ["1 3/8 in", "1 7/8 in", "1 3/8 in"]
    assert "test/taped/2" in {each.id for each in leaves(rows[1].rise)}


def test_each_joist_is_cut_by_its_own_measure():
    """One laps 4 in past the line, one ends on it, one stops 3 in short."""
    cuts = cut_offs(taped("4 in", "0 in", "-3 in"), inches(1.875, "c"))

    assert [feet_inches(row.x.at()) for row in cuts] == ["5 7/8 in", "1 7/8 in", "0 in"]


@draw(st.floats(5, 20), st.floats(-1, 2), st.floats(5, 12), st.floats(0, 1.5))
def test_dropping_a_beam_takes_as_much_off_its_rise(d, drop, d_joist, t):
    level = rise_above_subfloor(d, 0.0, d_joist, t)

    assert rise_above_subfloor(d, drop, d_joist, t) == pytest.approx(level - drop)


def test_studs_over_a_beam_below_the_floor_are_not_lengthened_by_its_depth():
    assert shortened_stud(92.625, 1.5, -1.0, 1.5) == 92.625


@draw(st.floats(1, 8), st.floats(-2, 2), st.floats(0, 0.5))
def test_both_cuts_together_leave_room_for_the_beam(b, e, g):
    assert cut_from_line(b, e, g) + cut_from_line(b, -e, g) == pytest.approx(b + 2 * g)
    assert length_cut_off(-100.0, b) == 0


# ---- a dropped beam


def test_headroom_under_a_dropped_beam():
    """7 ft 10 in to the joists, 9-1/4 in of beam, 1/2 in of board: 7 ft 0 1/4 in."""

    # IRC R305.1: 7 ft 0 in, and 6 ft 4 in under beams in some basements  # from memory
    def state(d, place="habitable room"):
        made = headroom_check(
            "beam/headroom", inches(94.0, "h"), inches(d, "d"), inches(0.5, "t"), place
        )
        return made.state

    assert (state(9.25), state(11.25)) == ("passes", "fails")
    assert state(11.25, "beam in a basement without habitable space") == "passes"
    assert state(100.0) == "fails"


# ---- posts and bearings


def test_a_post_narrower_than_the_beam_and_one_wider_than_the_plate_fail():
    def states(b_post, b_beam=5.25, b_plate=5.5):
        made = post_fit_checks(
            "post/fit", inches(b_post, "b_post"), inches(b_beam, "b_beam"),
            inches(b_plate, "b_plate"),
        )  # fmt: skip
        return [each.state for each in made]

    assert states(5.5) == ["passes", "passes"]
    assert states(3.5) == ["fails", "passes"]
    assert states(7.0) == ["passes", "fails"]


def test_the_gap_comes_off_the_bearing_of_one_end():
    """A beam cut 1/2 in short on 3-1/2 in posts: 3 in is left."""
    # common practice, no source: 1/2 to 5/8 in
    L = beam_length(inches(180.0, "l_clear"), practice("fitting gap", "g"))
    gap = fitting_gap(inches(180.0, "l_clear"), L)

    def state(required):
        return net_bearing_check("b", inches(required, "req"), inches(3.5, "l_b"), gap).state

    assert feet_inches(L.at()) == "14 ft 11 1/2 in"
    assert (state(3.0), state(3.25)) == ("passes", "fails")


@draw(st.floats(1, 8), st.floats(-2, 12))
def test_net_bearing_is_never_more_than_the_support(l_b, gap):
    assert 0 < net_bearing(l_b, gap) <= l_b


def test_a_beam_that_could_fall_off_its_post_fails():
    made = net_bearing_check("b", inches(1.5, "req"), inches(1.5, "l_b"), inches(2.0, "g"))

    assert made.state == "fails"


# ---- swinging it in


@draw(st.floats(48, 400), st.floats(4, 24))
def test_the_swing_takes_the_diagonal_of_the_side(L, d):
    exact = math.hypot(L, d) - L

    assert swing_clearance(L, d) == pytest.approx(exact, rel=1e-6)
    # common practice: about d^2 / 2 L, never less than the exact
    assert exact <= d**2 / (2 * L) * (1 + 1e-9)


def test_a_deep_short_beam_needs_more_than_the_usual_gap():
    """11-7/8 in deep and 10 ft long: 0.59 in; 20 ft long: 0.29 in."""

    # Diagonal by hand: sqrt(120^2 + 11.875^2) = 120.586.
    def state(feet):
        L = given(feet * ft, "ft", "L")
        return swing_check("s", L, inches(11.875, "d"), inches(0.5, "g")).state

    assert swing_clearance(120.0, 11.875) == pytest.approx(0.586, abs=5e-4)
    assert (state(10.0), state(20.0)) == ("fails", "passes")


def test_a_beam_that_is_too_long_fails_rather_than_stops_the_calculation():
    gap = fitting_gap(inches(120.0, "l"), inches(121.0, "L"))

    assert swing_check("s", inches(121.0, "L"), inches(9.25, "d"), gap).state == "fails"


def test_shores_too_near_to_each_other_leave_no_room_to_turn_the_beam():
    def state(a):
        b, d, plate = inches(3.5, "b"), inches(16.0, "d"), inches(3.5, "b_plate")
        return room_check("r", b, d, inches(a, "a_1"), inches(a, "a_2"), plate).state

    # Diagonal sqrt(3.5^2 + 16^2) = 16.38; 2 a - 3.5.
    assert (state(9.5), state(10.0)) == ("fails", "passes")


# ---- lengths of studs


def test_shoring_studs_follow_the_floor_and_are_cut_a_sixteenth_long():
    """8 ft 1 in less three plates of 1-1/2 in, and 1/16 in more."""
    # common practice, no source: 1/16 to 1/8 in long
    plates = [inches(1.5, f"t/{place}") for place in range(3)]
    rows = stud_lengths(taped("8 ft 1 in", "8 ft 0 3/4 in"), plates)

    assert [feet_inches(length.at()) for _, length in rows] == ["7 ft 8 9/16 in", "7 ft 8 5/16 in"]
    assert length_between(97.0, 0.0, 1.5, 1.5) == 94.0


def test_the_checks_of_the_readings_print():
    found = readings("floor/height", "floor to joist", taped("8 ft 1 in", "8 ft 2 in", "8 ft 1 in"))

    for each in found.checks:
        assert each.title in each._repr_html_()
    assert "3 readings: median 8 ft 1 in" in repr(found.median)
