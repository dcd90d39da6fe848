"""Accuracy of large and stepped members, against exact rational arithmetic and hand derivations."""

import random
from fractions import Fraction
from itertools import pairwise

import numpy as np
import pytest

from calclib.mechanics import (
    Beam,
    Couple,
    Line,
    Load,
    Point,
    Segment,
    Support,
    reactions_by_load,
    solve,
)


def as_points(load: Load, cuts: list[int]) -> list[tuple[Fraction | int, Fraction | int]]:
    """Return point loads (place, force) that do the same as a load.

    For a line load those of Boole's rule between the cuts: it is exact up to the fifth power, and
    what a load does at a fixed place is a cubic in its own place, times a straight line.
    """
    if isinstance(load, Point):
        return [(load.at, load.P)]
    points = []
    rate = Fraction(load.w_end - load.w_start, load.end - load.start)
    for low, high in pairwise(cuts):
        first, last = max(low, load.start), min(high, load.end)
        for k, weight in enumerate((7, 32, 12, 32, 7)) if first < last else ():
            x = first + Fraction(last - first) * k / 4
            w = load.w_start + rate * (x - load.start)
            points.append((x, w * (last - first) * weight / 90))
    return points


def exact_middles(lengths: list[int], EI: list[int], loads: list[Load]) -> list[Fraction]:
    """Return mid-span deflections by the three-moment equation, in rational numbers.

    Its terms are those of the simple beam with a point load (AWC Design Aid No. 6, Fig. 8).
    """
    ends = [sum(lengths[:i]) for i in range(len(lengths) + 1)]
    cuts = sorted({*ends, *((a + b) // 2 for a, b in pairwise(ends))})
    count = len(lengths)
    left, right, middle = ([0] * count for _ in range(3))
    for x, force in (point for load in loads for point in as_points(load, cuts)):
        i = min(int(np.searchsorted(ends, float(x), side="right")) - 1, count - 1)
        length, a = lengths[i], x - ends[i]
        b = length - a
        left[i] += force * b * (length**2 - b**2)
        right[i] += force * a * (length**2 - a**2)
        near, half = min(a, b), length // 2
        middle[i] += force * near * half * (length**2 - near**2 - half**2)
    for i in range(count):
        for terms in (left, right, middle):
            terms[i] = Fraction(terms[i]) / (6 * lengths[i] * EI[i])

    bend = [Fraction(each, stiffness) for each, stiffness in zip(lengths, EI, strict=True)]
    diagonal = [2 * (p + q) for p, q in pairwise(bend)]
    known = [-6 * (p + q) for p, q in zip(right, left[1:], strict=False)]
    for i in range(1, count - 1):
        share = bend[i] / diagonal[i - 1]
        diagonal[i] -= share * bend[i]
        known[i] -= share * known[i - 1]
    moments = [Fraction(0)] * (count + 1)
    for i in reversed(range(1, count)):
        moments[i] = (known[i - 1] - bend[i] * moments[i + 1]) / diagonal[i - 1]
    return [
        middle[i] + (moments[i] + moments[i + 1]) * lengths[i] ** 2 / (16 * EI[i])
        for i in range(count)
    ]


def random_member(spans: int, count: int) -> tuple[list[int], list[int], list[Load]]:
    """Return even lengths, stiffnesses and loads in whole numbers."""
    draw = random.Random(spans)
    lengths = [2 * draw.randint(30, 120) for _ in range(spans)]
    EI = [draw.randint(100, 1000) * 10**6 for _ in range(spans)]
    loads: list[Load] = []
    for i in range(count):
        start, end = sorted(draw.sample(range(sum(lengths) + 1), 2))
        end = min(end, start + 400)
        if i % 20:
            loads.append(Point(start, draw.randint(1, 900)))
        else:
            loads.append(Line(start, end, draw.randint(0, 20), draw.randint(0, 20)))
    return lengths, EI, loads


@pytest.mark.parametrize("spans", [1, 50])
def test_ten_thousand_loads_bend_the_spans_as_rational_arithmetic_says(spans):
    lengths, EI, loads = random_member(spans, 10_000)
    ends = np.cumsum([0, *lengths]).tolist()
    beam = Beam(
        length=ends[-1],
        supports=[Support(at) for at in ends],
        EI=[Segment(end, stiffness) for end, stiffness in zip(ends[1:], EI, strict=True)],
    )

    solved = solve(beam, {"load": loads})

    exact = [float(each) for each in exact_middles(lengths, EI, loads)]
    middles = [(a + b) / 2 for a, b in pairwise(ends)]
    assert solved.curves.deflection(middles)[0].tolist() == pytest.approx(exact, rel=1e-9)
    assert solved.residual.max() < 1e-12
    shares = reactions_by_load(beam, loads)
    assert shares.shape == (10_000, spans + 1)
    assert shares.sum(axis=0) == pytest.approx(solved.curves.reactions[0], rel=1e-9)


def test_a_very_short_span_beside_long_ones_is_solved_exactly():
    lengths, EI = [400, 2, 300, 4, 250], [10**8, 10**9, 10**8, 10**6, 10**8]
    loads = [Line(0, 956, 3, 9), Point(401, 500), Point(600, 70), Point(703, 90)]
    ends = np.cumsum([0, *lengths]).tolist()
    segments = [Segment(end, each) for end, each in zip(ends[1:], EI, strict=True)]
    beam = Beam(length=956, supports=[Support(at) for at in ends], EI=segments)

    curves = solve(beam, {"load": loads}).curves

    exact = [float(each) for each in exact_middles(lengths, EI, loads)]
    middles = [(a + b) / 2 for a, b in pairwise(ends)]
    assert curves.deflection(middles)[0].tolist() == pytest.approx(exact, rel=1e-9)


def test_a_load_at_every_inch_is_a_uniform_load_but_for_the_halves_at_the_ends():
    beam = Beam(length=240.0, supports=[Support(0), Support(100), Support(240)], EI=1e8)
    row = [Point(0, 5.0), *(Point(x, 10.0) for x in range(1, 240)), Point(240, 5.0)]

    points = solve(beam, {"load": row}).curves
    line = solve(beam, {"load": [Line(0, 240, 10, 10)]}).curves

    at_support = points.moment(100.0).item(), line.moment(100.0).item()
    assert at_support[0] == pytest.approx(at_support[1], rel=2e-4)


def test_a_stepped_cantilever_sags_by_the_integral_of_its_moments():
    # Derived by hand: the integral of M^2/(P EI), M = P x from the tip.
    length, thin, P, EI_root, EI_tip = 120.0, 48.0, 300.0, 3e8, 4e7
    beam = Beam(
        length=length,
        supports=[Support(0.0, "fixed")],
        EI=[Segment(length - thin, EI_root), Segment(length, EI_tip)],
    )

    curves = solve(beam, {"load": [Point(length, P)]}).curves

    tip = P / 3 * ((length**3 - thin**3) / EI_root + thin**3 / EI_tip)
    assert curves.deflection(length).item() == pytest.approx(tip, rel=1e-13)
    assert curves.deflection_extremes.of_member.highest_at.item() == length


def test_a_simple_beam_of_two_halves_sags_by_the_mean_of_their_flexibilities():
    # Derived by hand: each half gives P L^3 / (96 EI) at the middle.
    length, P, EI = 200.0, 900.0, (1.1e8, 6.3e8)
    segments = [Segment(length / 2, EI[0]), Segment(length, EI[1])]
    beam = Beam(length=length, supports=[Support(0.0), Support(length)], EI=segments)

    curves = solve(beam, {"load": [Point(length / 2, P)]}).curves

    middle = P * length**3 / 96 * (1 / EI[0] + 1 / EI[1])
    assert curves.deflection(length / 2).item() == pytest.approx(middle, rel=1e-13)
    assert curves.moment(length / 2).item() == pytest.approx(P * length / 4, rel=1e-13)


def test_a_hinge_hangs_a_simple_span_on_a_cantilever():
    # By statics: the hung part brings w b / 2 to the hinge, at the tip of a cantilever of length a;
    # deflections as AWC Design Aid No. 6, Figs. 12 and 13.
    a, b, w, EI = 80.0, 130.0, 12.0, 1e8
    beam = Beam(length=a + b, supports=[Support(0.0, "fixed"), Support(a + b)], hinges=[a], EI=EI)

    curves = solve(beam, {"load": [Line(0, a + b, w, w)]}).curves

    hung = w * b / 2
    assert curves.reactions[0].tolist() == pytest.approx([w * a + hung, hung], rel=1e-13)
    assert curves.fixings[0].tolist() == pytest.approx([-(w * a**2 / 2 + hung * a), 0], rel=1e-13)
    sag = w * a**4 / (8 * EI) + hung * a**3 / (3 * EI)
    assert curves.deflection(a).item() == pytest.approx(sag, rel=1e-12)
    turn = w * b**3 / (24 * EI) - sag / b
    assert curves.slope(a).item() == pytest.approx(turn, rel=1e-12)
    tip = w * a**3 / (6 * EI) + hung * a**2 / (2 * EI)
    assert curves.slope(a, left=True).item() == pytest.approx(tip, rel=1e-12)
    assert curves.zero_moments[0].tolist() == pytest.approx([a, a + b])


def test_a_couple_at_a_support_turns_the_member_there():
    # Handbook slope of a simple beam under an end couple: M L / 3EI there, M L / 6EI beyond.
    # from memory
    length, M, EI = 150.0, 9000.0, 1e8
    beam = Beam(length=length, supports=[Support(0.0), Support(length)], EI=EI)

    curves = solve(beam, {"load": [Couple(0.0, M)]}).curves

    assert curves.reactions[0].tolist() == pytest.approx([-M / length, M / length], rel=1e-13)
    assert curves.moment(0.0).item() == pytest.approx(M, rel=1e-13)
    assert curves.slope(0.0).item() == pytest.approx(M * length / (3 * EI), rel=1e-12)
    assert curves.slope(length).item() == pytest.approx(-M * length / (6 * EI), rel=1e-12)


def test_a_small_change_of_a_load_moves_the_extremes_a_little():
    beam = Beam(length=300.0, supports=[Support(0), Support(130), Support(300)], EI=1e8)

    def most(force):
        curves = solve(beam, {"load": [Point(70, force), Line(100, 300, 8, 3)]}).curves
        return curves.deflection_extremes.of_member.highest.item()

    low, middle, high = (most(900.0 + step) for step in (-1e-3, 0.0, 1e-3))
    assert (high - middle) == pytest.approx(middle - low, rel=1e-5)
    assert high > middle > low
