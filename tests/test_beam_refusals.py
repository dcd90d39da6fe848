"""What a beam refuses, and that the message says which thing and where."""

import math
import re

import pytest

from calclib.errors import BeamError, CalcError
from calclib.mechanics import (
    Beam,
    Couple,
    Line,
    Point,
    Segment,
    Support,
    influence,
    reactions_by_load,
    solve,
)


def beam_of(*supports: float | Support, length: float = 240.0, **more: object) -> Beam:
    """Build a member of 240 in with one stiffness."""
    row = [each if isinstance(each, Support) else Support(each) for each in supports]
    return Beam(**{"length": length, "supports": row, "EI": 1e8, **more})


@pytest.mark.parametrize(
    ("supports", "hinges", "words"),
    [
        ([], [], "beam, from 0 to 240: needs to be held in place, got a part that can fall"),
        ([60.0], [], "beam, from 0 to 240: needs to be held in place, got a part that can turn "),
        ([60.0], [], "turn about 60. Add a support, make one fixed, or leave out a hinge."),
        ([0.0, 240.0], [90.0], "beam, from 0 to 90: needs to be held in place"),
        ([0.0, 120.0, 240.0], [60.0, 180.0], "beam, from 0 to 60: needs to be held in place"),
        ([0.0, 100.0, 240.0], [120.0, 130.0, 200.0], "beam, from 120 to 130"),
        ([Support(0.0, "fixed")], [80.0], "beam, from 80 to 240: needs to be held in place"),
        ([0.0, 120.0], [120.0], "beam, from 120 to 240: needs to be held in place, got a part "),
    ],
)
def test_a_member_that_can_move_is_refused_with_the_part_that_moves(supports, hinges, words):
    with pytest.raises(BeamError, match=re.escape(words)):
        beam_of(*supports, hinges=hinges)


@pytest.mark.parametrize(
    ("supports", "hinges"),
    [
        ([0.0, 100.0, 240.0], [120.0]),
        ([0.0, 100.0, 150.0, 240.0], [110.0, 140.0]),
        ([Support(0.0, "fixed"), Support(240.0, "fixed")], [60.0, 180.0]),
        ([0.0, 120.0, 240.0], [120.0]),
    ],
)
def test_a_member_with_hinges_that_stands_is_taken(supports, hinges):
    beam = beam_of(*supports, hinges=hinges)

    assert solve(beam, {"D": [Line(0, 240, 5, 5)]}).residual.max() < 1e-14


@pytest.mark.parametrize(
    ("build", "words"),
    [
        (lambda: beam_of(0.0, length=0.0), "beam: needs a length above zero, got 0"),
        (lambda: beam_of(0.0, length=-5.0), "beam: needs a length above zero, got -5"),
        (lambda: beam_of(0.0, length=math.inf), "beam: needs a finite number for length, got inf"),
        (lambda: beam_of(0.0, length="240"), "needs a finite number for length, got '240'"),
        (
            lambda: beam_of(0.0, 120.0, 120.0),
            "support 3, at 120: needs a place of its own, away from support 2, got the same place",
        ),
        (lambda: beam_of(0.0, 120.0, 120.0 + 2e-7), "the same place: a span of zero"),
        (
            lambda: beam_of(0.0, 200.0, 120.0),
            "support 3, at 120: needs supports in order from left to right, got one after 200",
        ),
        (
            lambda: beam_of(0.0, 241.0),
            "support 2, at 241: needs a place from 0 to 240, got 241",
        ),
        (lambda: beam_of(-1.0, 240.0), "support 1, at -1: needs a place from 0 to 240, got -1"),
        (lambda: Support(math.nan), "support: needs a finite number for at, got nan"),
        (lambda: Support(3.0, "roller"), 'support at 3: needs "pinned" or "fixed", got \'roller\''),
        (lambda: beam_of(0.0, 240.0, EI=0.0), "an EI above zero, got 0"),
        (lambda: beam_of(0.0, 240.0, EI=math.nan), "needs a finite number for EI, got nan"),
        (lambda: Segment(30.0, -1.0), "segment that ends at 30: needs an EI above zero, got -1"),
        (
            lambda: beam_of(0.0, 240.0, EI=[Segment(120.0, 1e8), Segment(120.0, 2e8)]),
            "segment 2: needs an end past 120, got 120",
        ),
        (
            lambda: beam_of(0.0, 240.0, EI=[Segment(120.0, 1e8), Segment(200.0, 2e8)]),
            "segments: needs the last to end at the beam's length, 240, got 200",
        ),
        (lambda: beam_of(0.0, 240.0, EI=[]), "segments: needs the last to end at"),
        (
            lambda: beam_of(0.0, 120.0, 240.0, hinges=[240.0]),
            "hinge at 240: needs a place inside the beam, free to turn, got one at an end of",
        ),
        (
            lambda: beam_of(0.0, Support(120.0, "fixed"), 240.0, hinges=[120.0]),
            "hinge at 120: needs a place inside the beam, free to turn, got one at a fixed",
        ),
        (
            lambda: beam_of(0.0, 120.0, 240.0, hinges=[90.0, 90.0]),
            "hinge 2, at 90: needs a place of its own, away from hinge 1",
        ),
        (lambda: beam_of(0.0, 240.0, hinges=[math.inf]), "hinge: needs a finite number for at"),
        (lambda: Point(math.nan, 1.0), "point load: needs a finite number for at, got nan"),
        (lambda: Point(3.0, math.inf), "point load: needs a finite number for P, got inf"),
        (lambda: Couple(3.0, math.nan), "couple: needs a finite number for M, got nan"),
        (lambda: Line(0, 5, math.nan, 1), "line load: needs a finite number for w_start, got nan"),
        (lambda: Line(5, 5, 1, 1), "line load from 5: needs an end past its start, got 5"),
        (lambda: Line(5, 3, 1, 1), "line load from 5: needs an end past its start, got 3"),
        (lambda: Point(10**400, 1.0), "point load: needs a finite number for at"),
    ],
)
def test_a_wrong_description_is_refused_by_name_and_place(build, words):
    with pytest.raises(BeamError, match=re.escape(words)):
        build()


@pytest.mark.parametrize(
    ("load", "words"),
    [
        (Point(250.0, 1.0), "load 2: needs a place on the beam, from 0 to 240, got 250"),
        (Point(-2.0, 1.0), "load 2: needs a place on the beam, from 0 to 240, got -2"),
        (Line(200.0, 240.5, 1, 1), "load 2: needs a place on the beam, from 0 to 240, got 240.5"),
        (Couple(999.0, 1.0), "load 2: needs a place on the beam, from 0 to 240, got 999"),
        (
            Couple(90.0, 5.0),
            "load 2: needs a couple beside the hinge, got one on the hinge at 90. Move it to the ",
        ),
        (Line(50.0, 50.0 + 1e-7, 1, 1), "load 2: needs a line load longer than 2.4e-07, got one"),
    ],
)
def test_a_load_that_cannot_stand_on_the_member_is_refused_with_its_number(load, words):
    beam = beam_of(0.0, 60.0, 240.0, hinges=[90.0])
    loads = [Point(1.0, 1.0), load]

    with pytest.raises(BeamError, match=re.escape(f'load case "snow", {words}')):
        solve(beam, {"dead": [], "snow": loads})
    with pytest.raises(BeamError, match=re.escape(f"loads, {words}")):
        reactions_by_load(beam, loads)


def test_loads_beyond_all_bounds_are_refused():
    beam = beam_of(0.0, 240.0)

    with pytest.raises(BeamError, match=r'load case "D": needs reactions that balance .* bound'):
        solve(beam, {"D": [Line(0, 240, 1e308, 1e308)]})


@pytest.mark.parametrize("length", [1e300, 1e-300])
def test_lengths_beyond_all_bounds_are_refused(length):
    beam = beam_of(0.0, length, length=length)

    with pytest.raises(BeamError, match=r'load case "D": needs reactions that balance .* bound'):
        solve(beam, {"D": [Point(length / 2, 1.0)]})


def test_stiffnesses_beyond_all_bounds_are_refused():
    beam = beam_of(0.0, 120.0, 240.0, EI=[Segment(120.0, 1e-300), Segment(240.0, 1e300)])

    with pytest.raises(BeamError, match="beam: needs spans and stiffnesses of comparable size"):
        solve(beam, {"D": [Point(100.0, 1.0)]})
    with pytest.raises(BeamError, match="beam: needs spans and stiffnesses of comparable size"):
        influence(beam, [100.0])


def test_a_solution_needs_a_load_case():
    with pytest.raises(BeamError, match="beam: needs at least one load case, got none"):
        solve(beam_of(0.0, 240.0), {})


@pytest.mark.parametrize(
    ("factors", "words"),
    [
        ([[1.0]], r"needs a row of 2 factors for each combination, got the shape \(1, 1\)"),
        ([1.0, 1.0], r"needs a row of 2 factors for each combination, got the shape \(2,\)"),
        ([], "needs a row of 2 factors for each combination"),
        ([[1.0, math.nan]], "combinations: needs finite factors, got one that is not"),
    ],
)
def test_factors_that_do_not_fit_the_cases_are_refused(factors, words):
    solved = solve(beam_of(0.0, 240.0), {"D": [Point(5, 1)], "L": []})

    with pytest.raises(BeamError, match=words):
        solved.combine(factors)


@pytest.mark.parametrize("x", [-0.1, 240.1, math.nan, math.inf])
def test_a_position_off_the_member_is_refused(x):
    beam = beam_of(0.0, 240.0)
    curves = solve(beam, {"D": [Point(5, 1)]}).curves

    for ask in (curves.shear, curves.moment, curves.slope, curves.deflection):
        with pytest.raises(BeamError, match=f"needs positions from 0 to 240, got {x:.6g}"):
            ask([10.0, x])
    with pytest.raises(BeamError, match="needs positions from 0 to 240"):
        influence(beam, [x])


def test_a_refusal_is_a_value_error_of_the_kit():
    with pytest.raises(ValueError, match="support") as caught:
        Support(math.nan)

    assert isinstance(caught.value, CalcError)
