"""Laws that every beam obeys, on drawn members of any kind."""

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calclib.mechanics import (
    Beam,
    Couple,
    Curves,
    Line,
    Load,
    Point,
    Segment,
    Support,
    influence,
    reactions_by_load,
    solve,
)

# Places are drawn on a grid of half feet.
STEP = 6.0
KINDS_OF_LOAD = st.lists(st.sampled_from(["point", "couple", "line"]), min_size=1, max_size=4)
SIZES = st.integers(-2_000, 5_000)
WIDTHS = st.lists(st.integers(4, 40), min_size=1, max_size=4)
KINDS_OF_SUPPORT = st.lists(st.sampled_from(["pinned", "pinned", "fixed"]), min_size=5, max_size=5)


@st.composite
def beams(draw: st.DrawFn) -> Beam:
    """Draw a member that stands: overhangs, fixed supports, hinges in inner spans, two sections."""
    widths = draw(WIDTHS)
    left, right = draw(st.integers(0, 8)), draw(st.integers(0, 8))
    marks = (left + np.cumsum([0, *widths])).tolist()
    length = (marks[-1] + right) * STEP
    kinds = draw(KINDS_OF_SUPPORT)[: len(marks)]
    supports = [Support(at * STEP, kind) for at, kind in zip(marks, kinds, strict=True)]
    hinges = []
    if len(widths) > 1 and draw(st.booleans()):
        # One hinge, in the second span: what is left of it has two supports.
        inside = draw(st.integers(marks[1] + 1, marks[2] - 1))
        if len(widths) > 2 or kinds[-1] == "fixed":
            hinges.append(inside * STEP)
    EI: float | list[Segment] = draw(st.floats(1e7, 1e9))
    if draw(st.booleans()):
        change = draw(st.integers(1, int(length / STEP) - 1)) * STEP + 2.0
        EI = [Segment(change, EI), Segment(length, draw(st.floats(1e7, 1e9)))]
    return Beam(length=length, supports=supports, hinges=hinges, EI=EI)


@st.composite
def loads_on(draw: st.DrawFn, beam: Beam) -> list[Load]:
    """Draw one to four loads of any kind."""
    last = int(beam.length / STEP)
    group: list[Load] = []
    for kind in draw(KINDS_OF_LOAD):
        start = draw(st.integers(0, last - 1))
        size, other = draw(SIZES), draw(SIZES)
        if kind == "point":
            group.append(Point(start * STEP, size))
        elif kind == "couple":
            # Beside the grid, so that it never stands on a hinge.
            group.append(Couple(start * STEP + 1.0, 10.0 * size))
        else:
            end = draw(st.integers(start + 1, last)) * STEP
            group.append(Line(start * STEP, end, size / 100, other / 100))
    return group


@st.composite
def loaded_beams(draw: st.DrawFn) -> tuple[Beam, list[Load]]:
    """Draw a member with loads."""
    beam = draw(beams())
    return beam, draw(loads_on(beam))


def curves_of(beam: Beam, loads: list[Load]) -> Curves:
    """Solve one load case."""
    return solve(beam, {"load": loads}).curves


def largest(values: np.ndarray) -> float:
    """Return the size that rounding is measured by."""
    return float(np.abs(values).max(initial=0.0))


def fine(beam: Beam) -> np.ndarray:
    """Return places along a member, none of them at a support, load or hinge."""
    return np.linspace(0.013, beam.length - 0.017, 41)


def size_of(curves: Curves, loads: list[Load]) -> float:
    """Return the gross size of the forces at work."""
    return float(sum(load.row()[-1] for load in loads)) + largest(curves.reactions)


@given(loaded_beams())
def test_reactions_balance_the_loads(case):
    beam, loads = case
    curves = curves_of(beam, loads)

    force, moment = 0.0, 0.0
    for load in loads:
        match load:
            case Point(at, P):
                force, moment = force + P, moment + P * at
            case Couple(_, M):
                moment += M
            case Line(start, end, first, last):
                parts = [(end - start) * first / 2, (end - start) * last / 2]
                arms = [start + (end - start) / 3, start + (end - start) * 2 / 3]
                force, moment = force + sum(parts), moment + np.dot(parts, arms)
    at = np.array([support.at for support in beam.supports])
    size = size_of(curves, loads)
    assert curves.total.item() == pytest.approx(force, abs=1e-12 * size)
    assert curves.reactions.sum() == pytest.approx(force, abs=1e-11 * size)
    turning = curves.reactions[0] @ at - curves.fixings.sum()
    scale = size * beam.length + largest(curves.fixings)
    assert turning == pytest.approx(moment, abs=1e-11 * scale)


@given(loaded_beams())
def test_nothing_moves_at_the_supports(case):
    beam, loads = case
    curves = curves_of(beam, loads)

    at = [support.at for support in beam.supports]
    fixed = [support.at for support in beam.supports if support.kind == "fixed"]
    deflections = curves.deflection(np.linspace(0, beam.length, 101))
    scale = largest(deflections) + 1e-30
    assert largest(curves.deflection(at)) <= 1e-11 * scale
    for left in (True, False):
        slopes = curves.slope(fixed, left=left)
        assert largest(slopes) <= 1e-10 * largest(curves.slope(fine(beam))) + 1e-25
        hinged = curves.moment(beam.hinges, left=left)
        assert largest(hinged) <= 1e-11 * largest(curves.moment(fine(beam)))


@given(loaded_beams())
def test_deflection_and_slope_pass_smoothly_from_piece_to_piece(case):
    beam, loads = case
    curves = curves_of(beam, loads)

    inner = [x for x in curves.breaks[1:-1] if x not in beam.hinges]
    slopes = curves.slope(inner), curves.slope(inner, left=True)
    assert largest(slopes[0] - slopes[1]) <= 1e-11 * largest(curves.slope(fine(beam))) + 1e-25
    ends = curves.breaks[1:] - curves.breaks[:-1]
    powers = ends[:, None] ** np.arange(6)
    reached = (curves.deflection_coefficients[0] * powers).sum(axis=1)
    scale = largest(curves.deflection_coefficients[0] * powers) + 1e-30
    assert reached[:-1] == pytest.approx(
        curves.deflection_coefficients[0, 1:, 0], abs=1e-11 * scale
    )


@given(loaded_beams())
def test_each_curve_is_the_derivative_of_the_next(case):
    beam, loads = case
    curves = curves_of(beam, loads)

    V, M = curves.shear_coefficients[0], curves.moment_coefficients[0]
    slope, y = curves.slope_coefficients[0], curves.deflection_coefficients[0]
    for lower, higher in ((M, V), (y, slope)):
        derived = lower[:, 1:] * np.arange(1, lower.shape[1])
        assert higher == pytest.approx(derived, rel=1e-14, abs=1e-300)
    curvature = slope[:, 1:] * np.arange(1, slope.shape[1])
    assert M == pytest.approx(-curvature * curves.EI[:, None], rel=1e-14, abs=1e-300)


@given(loaded_beams(), st.data())
def test_two_loads_together_do_what_they_do_apart(case, data):
    beam, loads = case
    others = data.draw(loads_on(beam))
    a, b = data.draw(st.floats(-3, 3)), data.draw(st.floats(-3, 3))

    solved = solve(beam, {"one": loads, "other": others})

    both = solved.combine([[1.0, 1.0], [a, b]])
    together = curves_of(beam, [*loads, *others])
    x = fine(beam)
    apart = {"one": curves_of(beam, loads), "other": curves_of(beam, others)}
    for name in ("shear", "moment", "slope", "deflection"):
        first, second = (getattr(apart[case], name)(x)[0] for case in ("one", "other"))
        scale = 1e-11 * (largest(first) + largest(second)) * (1 + abs(a) + abs(b)) + 1e-25
        sums = getattr(both, name)(x)
        assert sums[0] == pytest.approx(getattr(together, name)(x)[0], rel=0, abs=scale)
        assert sums[1] == pytest.approx(a * first + b * second, rel=0, abs=scale)
    size = size_of(apart["one"], loads) + size_of(apart["other"], others)
    assert both.reactions[0] == pytest.approx(together.reactions[0], rel=0, abs=1e-11 * size)


@given(loaded_beams())
def test_a_mirrored_beam_has_the_mirrored_curves(case):
    beam, loads = case
    curves = curves_of(beam, loads)

    def flip(load: Load) -> Load:
        match load:
            case Point(at, P):
                return Point(beam.length - at, P)
            case Couple(at, M):
                return Couple(beam.length - at, -M)
            case Line(start, end, first, last):
                return Line(beam.length - end, beam.length - start, last, first)

    starts = [0.0, *(segment.end for segment in beam.segments[:-1])]
    segments = [
        Segment(beam.length - start, segment.EI)
        for start, segment in zip(starts, beam.segments, strict=True)
    ]
    mirrored = Beam(
        length=beam.length,
        supports=[Support(beam.length - s.at, s.kind) for s in reversed(beam.supports)],
        hinges=[beam.length - at for at in reversed(beam.hinges)],
        EI=segments[::-1],
    )

    other = curves_of(mirrored, [flip(load) for load in loads])

    x = fine(beam)
    size = size_of(curves, loads)
    assert other.reactions[0, ::-1] == pytest.approx(curves.reactions[0], rel=0, abs=1e-10 * size)
    for name, sign in (("shear", -1), ("moment", 1), ("slope", -1), ("deflection", 1)):
        ours = getattr(curves, name)(x)[0]
        theirs = getattr(other, name)(beam.length - x)[0] * sign
        assert theirs == pytest.approx(ours, rel=0, abs=1e-10 * largest(ours) + 1e-25)


@given(loaded_beams(), st.floats(0.01, 100), st.floats(0.01, 100), st.floats(0.01, 100))
def test_a_scaled_beam_has_the_scaled_curves(case, longer, stiffer, heavier):
    beam, loads = case
    curves = curves_of(beam, loads)

    def scale(load: Load) -> Load:
        match load:
            case Point(at, P):
                return Point(at * longer, P * heavier)
            case Couple(at, M):
                return Couple(at * longer, M * heavier * longer)
            case Line(start, end, first, last):
                w = heavier / longer
                return Line(start * longer, end * longer, first * w, last * w)

    scaled = Beam(
        length=beam.length * longer,
        supports=[replace(support, at=support.at * longer) for support in beam.supports],
        hinges=[at * longer for at in beam.hinges],
        EI=[Segment(part.end * longer, part.EI * stiffer) for part in beam.segments],
    )

    other = curves_of(scaled, [scale(load) for load in loads])

    x = fine(beam)
    bent = heavier * longer**2 / stiffer
    for name, factor in (
        ("shear", heavier),
        ("moment", heavier * longer),
        ("slope", bent),
        ("deflection", bent * longer),
    ):
        expected = getattr(curves, name)(x)[0] * factor
        found = getattr(other, name)(x * longer)[0]
        assert found == pytest.approx(expected, rel=0, abs=1e-10 * largest(expected) + 1e-25)


@given(loaded_beams())
def test_no_place_has_more_than_the_extremes(case):
    beam, loads = case
    curves = curves_of(beam, loads)

    for name in ("shear", "moment", "deflection"):
        curve, extremes = getattr(curves, name), getattr(curves, f"{name}_extremes")
        for i, (start, end) in enumerate(beam.spans):
            values = curve(np.linspace(start + 1e-6, end - 1e-6, 97))[0]
            high, low = extremes.highest[0, i], extremes.lowest[0, i]
            slack = 1e-12 * max(largest(extremes.highest), largest(extremes.lowest)) + 1e-25
            assert values.max() <= high + slack
            assert values.min() >= low - slack
            assert start <= extremes.highest_at[0, i] <= end
            assert start <= extremes.lowest_at[0, i] <= end
        assert extremes.of_member.highest[0] == pytest.approx(extremes.highest.max(), abs=slack)
        assert extremes.of_member.lowest[0] == pytest.approx(extremes.lowest.min(), abs=slack)


@given(loaded_beams())
def test_extremes_are_taken_on_where_they_are_said_to_be(case):
    beam, loads = case
    curves = curves_of(beam, loads)

    for name in ("shear", "moment", "deflection"):
        extremes = getattr(curves, f"{name}_extremes")
        scale = max(largest(extremes.highest), largest(extremes.lowest)) + 1e-25
        for value, at in (
            (extremes.highest[0], extremes.highest_at[0]),
            (extremes.lowest[0], extremes.lowest_at[0]),
        ):
            here = [getattr(curves, name)(at)[0]]
            if name != "deflection":
                here.append(getattr(curves, name)(at, left=True)[0])
            off = np.min([abs(value - each) for each in here], axis=0)
            assert largest(off) <= 1e-11 * scale


@given(loaded_beams())
def test_the_moment_is_zero_where_it_is_said_to_be_and_keeps_its_sign_between(case):
    beam, loads = case
    curves = curves_of(beam, loads)

    zeros = curves.zero_moments[0]
    extremes = curves.moment_extremes.of_member
    scale = max(extremes.highest.item(), -extremes.lowest.item())
    right, left = curves.moment(zeros)[0], curves.moment(zeros, left=True)[0]
    smaller = np.minimum(abs(right), abs(left))
    crossing = right * left <= 0
    assert ((smaller <= 1e-11 * scale) | crossing).all()
    edges = np.array([0.0, *zeros, beam.length])
    for start, end in pairwise(edges):
        if end - start > 1e-6 * beam.length:
            values = curves.moment(np.linspace(start, end, 23)[1:-1])[0]
            assert values.min() >= -1e-11 * scale or values.max() <= 1e-11 * scale


@given(loaded_beams())
def test_the_shares_of_the_loads_add_up_to_the_reactions(case):
    beam, loads = case

    shares = reactions_by_load(beam, loads)

    curves = curves_of(beam, loads)
    size = size_of(curves, loads) + sum(largest(share) for share in shares)
    assert shares.sum(axis=0) == pytest.approx(curves.reactions[0], rel=0, abs=1e-10 * size)
    each = solve(beam, {str(i): [load] for i, load in enumerate(loads)}).curves.reactions
    assert shares == pytest.approx(each, rel=0, abs=1e-10 * size)


@given(beams(), st.integers(0, 1000))
def test_an_influence_line_is_the_reaction_to_a_unit_load(beam, thousandths):
    at = thousandths / 1000 * beam.length

    ordinates = influence(beam, [at])

    reactions = curves_of(beam, [Point(at, 1.0)]).reactions
    assert ordinates == pytest.approx(reactions, rel=0, abs=1e-10 * largest(reactions))


def test_a_symmetric_beam_bends_alike_on_both_sides():
    beam = Beam(length=300.0, supports=[Support(60.0), Support(240.0)], EI=1e8)
    curves = curves_of(beam, [Line(0, 300, 20, 20), Point(150, 900)])

    x = np.linspace(0, 149, 50)
    assert curves.reactions[0, 0] == pytest.approx(curves.reactions[0, 1], rel=1e-13)
    assert curves.moment(x) == pytest.approx(curves.moment(300 - x), rel=1e-10, abs=1e-6)
    assert curves.deflection(x) == pytest.approx(curves.deflection(300 - x), rel=1e-10, abs=1e-12)


def test_of_two_equal_extremes_the_left_one_is_given_whatever_the_rounding():
    for span in np.linspace(91.3, 207.7, 40).tolist():
        supports = [Support(0.0), Support(span), Support(2 * span)]
        beam = Beam(length=2 * span, supports=supports, EI=1e8)
        curves = curves_of(beam, [Line(0, 2 * span, 10, 10)])

        moment, deflection = curves.moment_extremes, curves.deflection_extremes
        assert moment.of_member.highest_at.item() == pytest.approx(0.375 * span)
        assert deflection.of_member.highest_at.item() < span


def test_without_load_nothing_bends():
    beam = Beam(length=240.0, supports=[Support(0), Support(240)], EI=1e8)

    solved = solve(beam, {"snow": []})

    curves = solved.curves
    assert solved.residual.tolist() == [[0.0, 0.0]]
    assert curves.reactions.tolist() == [[0.0, 0.0]]
    assert curves.moment_extremes.of_member.highest.tolist() == [0.0]
    assert curves.zero_moments[0].tolist() == [0.0, 240.0]


def test_a_joint_over_a_support_makes_two_simple_beams():
    beam = Beam(
        length=240.0, supports=[Support(0), Support(120), Support(240)], hinges=[120.0], EI=1e8
    )
    curves = curves_of(beam, [Line(0, 240, 10, 10)])

    assert curves.reactions[0].tolist() == pytest.approx([600.0, 1200.0, 600.0], rel=1e-13)
    assert curves.moment_extremes.highest[0].tolist() == pytest.approx([18_000.0] * 2, rel=1e-13)
    assert curves.moment(120.0).item() == 0.0


def test_a_load_a_hair_off_a_support_goes_straight_into_it():
    beam = Beam(length=240.0, supports=[Support(0), Support(144.0)], EI=1e8)
    curves = curves_of(beam, [Point(144.0 - 3e-14, 1000.0), Point(-1e-9, 500.0)])

    assert curves.reactions[0].tolist() == [500.0, 1000.0]
    assert curves.shear_extremes.of_member.lowest.tolist() == [0.0]


def test_the_same_beam_gives_the_same_bits():
    beam = Beam(length=240.0, supports=[Support(0), Support(100), Support(240)], EI=1e8)
    loads = [Line(0, 240, 10, 30), Point(77, 900)]

    first, second = curves_of(beam, loads), curves_of(beam, loads)

    assert first.derivatives.tobytes() == second.derivatives.tobytes()
