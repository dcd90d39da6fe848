"""Beams against published formulas and worked examples.

The standard cases are numbered as in AWC Design Aid No. 6 (2005/2007), Beam Formulas with Shear and
Moment Diagrams, figures 1 to 32; its closed forms are standard mechanics. The cases of three equal
spans are those of the AISC Steel Construction Manual's continuous-beam diagrams.
Formulas are compared to rounding; constants that the source prints rounded, to the printed digits.
"""

from math import sqrt

import numpy as np
import pytest

from calclib.mechanics import Beam, Couple, Curves, Line, Point, Support, solve

# Invented numbers: 17 ft 3 in and parts of it, plf over 12, lbf, lbf*in^2.
L, a, b, c = 207.0, 45.0, 92.0, 70.0
w, P, P2, EI = 31.0, 1250.0, 830.0, 1.3e8


def bent(length: float, supports: dict[float, str], *loads: Point | Line | Couple) -> Curves:
    """Solve a member of stiffness `EI`; supports are places and kinds."""
    row = [Support(at, kind) for at, kind in supports.items()]
    return solve(Beam(length=length, supports=row, EI=EI), {"load": loads}).curves


def simple(*loads: Point | Line | Couple) -> Curves:
    """Solve a simple span `L`."""
    return bent(L, {0.0: "pinned", L: "pinned"}, *loads)


def spans(lengths: list[float], *loads: Point | Line | Couple) -> Curves:
    """Solve a continuous member, pinned."""
    places = np.cumsum([0.0, *lengths]).tolist()
    return bent(places[-1], dict.fromkeys(places, "pinned"), *loads)


def uniform(start: float, end: float, size: float = w) -> Line:
    """Return a uniform load."""
    return Line(start, end, size, size)


def exactly(value: float | list[float]) -> object:
    """Compare a closed form but for rounding."""
    return pytest.approx(value, rel=1e-11)


def printed(text: str) -> object:
    """Compare with a number that a source prints rounded: half a unit of its last digit."""
    digits = len(text.partition(".")[2])
    return pytest.approx(float(text), abs=0.5001 * 10.0**-digits)


def reactions(curves: Curves) -> list[float]:
    """Return the reactions from left to right."""
    return curves.reactions[0].tolist()


def largest_moment(curves: Curves) -> tuple[float, float]:
    """Return the largest sagging moment and where it is."""
    extremes = curves.moment_extremes.of_member
    return extremes.highest.item(), extremes.highest_at.item()


def largest_deflection(curves: Curves) -> tuple[float, float]:
    """Return the largest downward deflection and where it is."""
    extremes = curves.deflection_extremes.of_member
    return extremes.highest.item(), extremes.highest_at.item()


def largest_rise(curves: Curves) -> tuple[float, float]:
    """Return the largest upward deflection and where it is."""
    extremes = curves.deflection_extremes.of_member
    return -extremes.lowest.item(), extremes.lowest_at.item()


def test_uniform_load_on_a_simple_beam():
    # AWC Design Aid No. 6, Fig. 1.
    curves = simple(uniform(0, L))

    assert reactions(curves) == exactly([w * L / 2] * 2)
    for x in (0.0, 50.0, 150.0):
        assert curves.shear(x).item() == exactly(w * (L / 2 - x))
    for x in (50.0, 150.0):
        assert curves.moment(x).item() == exactly(w * x * (L - x) / 2)
        deflection = w * x * (L**3 - 2 * L * x**2 + x**3) / (24 * EI)
        assert curves.deflection(x).item() == exactly(deflection)
    assert largest_moment(curves) == exactly((w * L**2 / 8, L / 2))
    assert largest_deflection(curves) == exactly((5 * w * L**4 / (384 * EI), L / 2))


def test_uniform_load_on_a_middle_part_of_a_simple_beam():
    # AWC Design Aid No. 6, Fig. 2.
    curves = simple(uniform(a, a + b))

    R1, R2 = w * b * (2 * c + b) / (2 * L), w * b * (2 * a + b) / (2 * L)
    assert reactions(curves) == exactly([R1, R2])
    assert largest_moment(curves) == exactly((R1 * (a + R1 / (2 * w)), a + R1 / w))


def test_uniform_load_on_the_left_part_of_a_simple_beam():
    # AWC Design Aid No. 6, Fig. 3.
    curves = simple(uniform(0, a))

    R1, R2 = w * a * (2 * L - a) / (2 * L), w * a**2 / (2 * L)
    assert reactions(curves) == exactly([R1, R2])
    assert largest_moment(curves) == exactly((R1**2 / (2 * w), R1 / w))
    x = 0.6 * a
    inner = a**2 * (2 * L - a) ** 2 - 2 * a * x**2 * (2 * L - a) + L * x**3
    assert curves.deflection(x).item() == exactly(w * x * inner / (24 * EI * L))
    x = 0.7 * L
    outer = w * a**2 * (L - x) * (4 * x * L - 2 * x**2 - a**2) / (24 * EI * L)
    assert curves.deflection(x).item() == exactly(outer)


def test_two_uniform_loads_at_the_ends_of_a_simple_beam():
    # AWC Design Aid No. 6, Fig. 4.
    w1, w2 = 40.0, 9.0
    curves = simple(uniform(0, a, w1), uniform(L - c, L, w2))

    R1 = (w1 * a * (2 * L - a) + w2 * c**2) / (2 * L)
    R2 = (w2 * c * (2 * L - c) + w1 * a**2) / (2 * L)
    assert reactions(curves) == exactly([R1, R2])
    assert R1 < w1 * a
    assert largest_moment(curves) == exactly((R1**2 / (2 * w1), R1 / w1))


def test_two_uniform_loads_with_the_heavier_one_on_the_right():
    # AWC Design Aid No. 6, Fig. 4.
    w1, w2 = 5.0, 44.0
    curves = simple(uniform(0, a, w1), uniform(L - c, L, w2))

    R2 = (w2 * c * (2 * L - c) + w1 * a**2) / (2 * L)
    assert R2 < w2 * c
    assert largest_moment(curves) == exactly((R2**2 / (2 * w2), L - R2 / w2))


def test_load_that_rises_to_the_right_end_of_a_simple_beam():
    # AWC Design Aid No. 6, Fig. 5.
    curves = simple(Line(0, L, 0.0, w))

    W = w * L / 2
    assert reactions(curves) == exactly([W / 3, 2 * W / 3])
    assert largest_moment(curves) == exactly((2 * W * L / (9 * sqrt(3)), L / sqrt(3)))
    assert largest_moment(curves)[0] / (W * L) == printed("0.1283")
    assert largest_moment(curves)[1] / L == printed("0.5774")
    assert largest_deflection(curves)[0] * EI / (W * L**3) == printed("0.01304")
    assert largest_deflection(curves)[1] / L == printed("0.5193")
    x = 0.3 * L
    deflection = W * x * (3 * x**4 - 10 * L**2 * x**2 + 7 * L**4) / (180 * EI * L**2)
    assert curves.deflection(x).item() == exactly(deflection)


def test_load_that_rises_to_the_middle_of_a_simple_beam():
    # AWC Design Aid No. 6, Fig. 6.
    curves = simple(Line(0, L / 2, 0.0, w), Line(L / 2, L, w, 0.0))

    W = w * L / 2
    assert reactions(curves) == exactly([W / 2, W / 2])
    assert largest_moment(curves) == exactly((W * L / 6, L / 2))
    assert largest_deflection(curves) == exactly((W * L**3 / (60 * EI), L / 2))


def test_point_load_in_the_middle_of_a_simple_beam():
    # AWC Design Aid No. 6, Fig. 7.
    curves = simple(Point(L / 2, P))

    assert reactions(curves) == exactly([P / 2, P / 2])
    assert largest_moment(curves) == exactly((P * L / 4, L / 2))
    assert largest_deflection(curves) == exactly((P * L**3 / (48 * EI), L / 2))


def test_point_load_anywhere_on_a_simple_beam():
    # AWC Design Aid No. 6, Fig. 8, which takes a > b.
    far, near = 130.0, L - 130.0
    curves = simple(Point(far, P))

    assert reactions(curves) == exactly([P * near / L, P * far / L])
    assert largest_moment(curves) == exactly((P * far * near / L, far))
    under = P * far**2 * near**2 / (3 * EI * L)
    assert curves.deflection(far).item() == exactly(under)
    root = sqrt(3 * far * (far + 2 * near))
    most = P * far * near * (far + 2 * near) * root / (27 * EI * L)
    assert largest_deflection(curves) == exactly((most, root / 3))


def test_two_equal_point_loads_placed_alike_on_a_simple_beam():
    # AWC Design Aid No. 6, Fig. 9.
    curves = simple(Point(a, P), Point(L - a, P))

    assert reactions(curves) == exactly([P, P])
    assert largest_moment(curves)[0] == exactly(P * a)
    most = P * a * (3 * L**2 - 4 * a**2) / (24 * EI)
    assert largest_deflection(curves) == exactly((most, L / 2))


def test_two_equal_point_loads_placed_at_will_on_a_simple_beam():
    # AWC Design Aid No. 6, Fig. 10.
    curves = simple(Point(a, P), Point(L - c, P))

    R1, R2 = P * (L - a + c) / L, P * (L - c + a) / L
    assert reactions(curves) == exactly([R1, R2])
    assert curves.shear(L / 2).item() == exactly(P * (c - a) / L)
    assert curves.moment(a).item() == exactly(R1 * a)
    assert curves.moment(L - c).item() == exactly(R2 * c)
    assert largest_moment(curves) == exactly((R2 * c, L - c))


def test_two_unequal_point_loads_on_a_simple_beam():
    # AWC Design Aid No. 6, Fig. 11.
    left_heavy = simple(Point(a, 2 * P), Point(L - c, P2))
    right_heavy = simple(Point(a, P), Point(L - c, 2 * P2))

    R1, R2 = (2 * P * (L - a) + P2 * c) / L, (2 * P * a + P2 * (L - c)) / L
    assert reactions(left_heavy) == exactly([R1, R2])
    assert R1 < 2 * P
    assert largest_moment(left_heavy) == exactly((R1 * a, a))
    R1, R2 = (P * (L - a) + 2 * P2 * c) / L, (P * a + 2 * P2 * (L - c)) / L
    assert reactions(right_heavy) == exactly([R1, R2])
    assert R2 < 2 * P2
    assert largest_moment(right_heavy) == exactly((R2 * c, L - c))


def test_uniform_load_on_a_cantilever():
    # AWC Design Aid No. 6, Fig. 12: the free end is on the left.
    curves = bent(L, {L: "fixed"}, uniform(0, L))

    assert reactions(curves) == exactly([w * L])
    assert curves.shear(L).item() == exactly(-w * L)
    assert curves.moment(L).item() == exactly(-w * L**2 / 2)
    assert largest_deflection(curves) == (exactly(w * L**4 / (8 * EI)), 0.0)


def test_point_load_at_the_tip_of_a_cantilever():
    # AWC Design Aid No. 6, Fig. 13.
    curves = bent(L, {L: "fixed"}, Point(0, P))

    assert reactions(curves) == exactly([P])
    assert curves.moment(L).item() == exactly(-P * L)
    assert largest_deflection(curves) == (exactly(P * L**3 / (3 * EI)), 0.0)


def test_point_load_anywhere_on_a_cantilever():
    # AWC Design Aid No. 6, Fig. 14.
    curves = bent(L, {L: "fixed"}, Point(L - b, P))

    assert reactions(curves) == exactly([P])
    assert curves.moment(L).item() == exactly(-P * b)
    assert curves.deflection(0.0).item() == exactly(P * b**2 * (3 * L - b) / (6 * EI))
    assert curves.deflection(L - b).item() == exactly(P * b**3 / (3 * EI))


def test_uniform_load_on_a_propped_beam():
    # AWC Design Aid No. 6, Fig. 15.
    curves = bent(L, {0.0: "pinned", L: "fixed"}, uniform(0, L))

    assert reactions(curves) == exactly([3 * w * L / 8, 5 * w * L / 8])
    assert curves.moment(L).item() == exactly(-w * L**2 / 8)
    assert largest_moment(curves) == exactly((9 * w * L**2 / 128, 3 * L / 8))
    assert w * L**4 / (largest_deflection(curves)[0] * EI) == printed("185")
    assert largest_deflection(curves)[1] / L == printed("0.4215")
    x = 0.7 * L
    deflection = w * x * (L**3 - 3 * L * x**2 + 2 * x**3) / (48 * EI)
    assert curves.deflection(x).item() == exactly(deflection)


def test_point_load_in_the_middle_of_a_propped_beam():
    # AWC Design Aid No. 6, Fig. 16.
    curves = bent(L, {0.0: "pinned", L: "fixed"}, Point(L / 2, P))

    assert reactions(curves) == exactly([5 * P / 16, 11 * P / 16])
    assert curves.moment(L).item() == exactly(-3 * P * L / 16)
    assert largest_moment(curves) == exactly((5 * P * L / 32, L / 2))
    assert largest_deflection(curves)[0] == exactly(P * L**3 / (48 * sqrt(5) * EI))
    assert largest_deflection(curves)[0] * EI / (P * L**3) == printed("0.009317")
    assert largest_deflection(curves)[1] / L == printed("0.4472")
    assert curves.deflection(L / 2).item() == exactly(7 * P * L**3 / (768 * EI))


def test_point_load_near_the_pin_of_a_propped_beam():
    # AWC Design Aid No. 6, Fig. 17, a < 0.414 L.
    far = L - a
    curves = bent(L, {0.0: "pinned", L: "fixed"}, Point(a, P))

    R1 = P * far**2 * (a + 2 * L) / (2 * L**3)
    R2 = P * a * (3 * L**2 - a**2) / (2 * L**3)
    assert reactions(curves) == exactly([R1, R2])
    assert largest_moment(curves) == exactly((R1 * a, a))
    assert curves.moment(L).item() == exactly(-P * a * far * (a + L) / (2 * L**2))
    under = P * a**2 * far**3 * (3 * L + a) / (12 * EI * L**3)
    assert curves.deflection(a).item() == exactly(under)
    most = P * a * (L**2 - a**2) ** 3 / (3 * EI * (3 * L**2 - a**2) ** 2)
    assert largest_deflection(curves)[0] == exactly(most)


def test_point_load_far_from_the_pin_of_a_propped_beam():
    # AWC Design Aid No. 6, Fig. 17, a > 0.414 L.
    far, near = 140.0, L - 140.0
    curves = bent(L, {0.0: "pinned", L: "fixed"}, Point(far, P))

    most = P * far * near**2 / (6 * EI) * sqrt(far / (2 * L + far))
    assert largest_deflection(curves)[0] == exactly(most)


def test_uniform_load_on_a_span_and_its_overhang():
    # AWC Design Aid No. 6, Fig. 18.
    curves = bent(L + a, {0.0: "pinned", L: "pinned"}, uniform(0, L + a))

    assert reactions(curves) == exactly([w * (L**2 - a**2) / (2 * L), w * (L + a) ** 2 / (2 * L)])
    assert curves.shear(L).item() == exactly(w * a)
    assert curves.shear(L, left=True).item() == exactly(-w * (L**2 + a**2) / (2 * L))
    most = w * (L + a) ** 2 * (L - a) ** 2 / (8 * L**2)
    assert largest_moment(curves) == exactly((most, L / 2 * (1 - a**2 / L**2)))
    assert curves.moment(L).item() == exactly(-w * a**2 / 2)
    x = 0.4 * L
    inside = L**4 - 2 * L**2 * x**2 + L * x**3 - 2 * a**2 * L**2 + 2 * a**2 * x**2
    assert curves.deflection(x).item() == exactly(w * x * inside / (24 * EI * L))
    x = 0.8 * a
    outside = 4 * a**2 * L - L**3 + 6 * a**2 * x - 4 * a * x**2 + x**3
    assert curves.deflection(L + x).item() == exactly(w * x * outside / (24 * EI))


def test_uniform_load_on_an_overhang_only():
    # AWC Design Aid No. 6, Fig. 19.
    curves = bent(L + a, {0.0: "pinned", L: "pinned"}, uniform(L, L + a))

    assert reactions(curves) == exactly([-w * a**2 / (2 * L), w * a * (2 * L + a) / (2 * L)])
    assert curves.moment(L).item() == exactly(-w * a**2 / 2)
    rise = w * a**2 * L**2 / (18 * sqrt(3) * EI)
    assert largest_rise(curves) == exactly((rise, L / sqrt(3)))
    assert largest_rise(curves)[0] * EI / (w * a**2 * L**2) == printed("0.03208")
    tip = w * a**3 * (4 * L + 3 * a) / (24 * EI)
    assert largest_deflection(curves) == exactly((tip, L + a))


def test_point_load_at_the_tip_of_an_overhang():
    # AWC Design Aid No. 6, Fig. 20.
    curves = bent(L + a, {0.0: "pinned", L: "pinned"}, Point(L + a, P))

    assert reactions(curves) == exactly([-P * a / L, P * (L + a) / L])
    assert curves.moment(L).item() == exactly(-P * a)
    rise = P * a * L**2 / (9 * sqrt(3) * EI)
    assert largest_rise(curves) == exactly((rise, L / sqrt(3)))
    assert largest_rise(curves)[0] * EI / (P * a * L**2) == printed("0.06415")
    assert largest_deflection(curves) == exactly((P * a**2 * (L + a) / (3 * EI), L + a))


def test_point_load_between_the_supports_of_a_beam_with_an_overhang():
    # AWC Design Aid No. 6, Fig. 21.
    far, near = 130.0, L - 130.0
    curves = bent(L + a, {0.0: "pinned", L: "pinned"}, Point(far, P))

    assert reactions(curves) == exactly([P * near / L, P * far / L])
    assert largest_moment(curves) == exactly((P * far * near / L, far))
    root = sqrt(3 * far * (far + 2 * near))
    most = P * far * near * (far + 2 * near) * root / (27 * EI * L)
    assert largest_deflection(curves) == exactly((most, root / 3))
    tip = P * far * near * a * (L + far) / (6 * EI * L)
    assert largest_rise(curves) == exactly((tip, L + a))


def test_uniform_load_on_a_span_with_two_overhangs():
    # AWC Design Aid No. 6, Fig. 22: L is the whole length there, b the span.
    left, span, right = 30.0, 140.0, 37.0
    curves = bent(L, {left: "pinned", left + span: "pinned"}, uniform(0, L))

    R1, R2 = w * L * (L - 2 * right) / (2 * span), w * L * (L - 2 * left) / (2 * span)
    assert reactions(curves) == exactly([R1, R2])
    assert curves.moment(left).item() == exactly(-w * left**2 / 2)
    assert curves.moment(left + span).item() == exactly(-w * right**2 / 2)
    assert largest_moment(curves) == exactly((R1 * (R1 / (2 * w) - left), R1 / w))


def test_uniform_load_on_a_beam_fixed_at_both_ends():
    # AWC Design Aid No. 6, Fig. 23.
    curves = bent(L, {0.0: "fixed", L: "fixed"}, uniform(0, L))

    assert reactions(curves) == exactly([w * L / 2] * 2)
    assert curves.moment([0.0, L])[0].tolist() == exactly([-w * L**2 / 12] * 2)
    assert largest_moment(curves) == exactly((w * L**2 / 24, L / 2))
    assert largest_deflection(curves) == exactly((w * L**4 / (384 * EI), L / 2))


def test_point_load_in_the_middle_of_a_beam_fixed_at_both_ends():
    # AWC Design Aid No. 6, Fig. 24.
    curves = bent(L, {0.0: "fixed", L: "fixed"}, Point(L / 2, P))

    assert reactions(curves) == exactly([P / 2] * 2)
    assert curves.moment([0.0, L])[0].tolist() == exactly([-P * L / 8] * 2)
    assert largest_moment(curves) == exactly((P * L / 8, L / 2))
    assert largest_deflection(curves) == exactly((P * L**3 / (192 * EI), L / 2))


def test_point_load_anywhere_on_a_beam_fixed_at_both_ends():
    # AWC Design Aid No. 6, Fig. 25, which takes a > b for the largest deflection.
    far, near = 130.0, L - 130.0
    curves = bent(L, {0.0: "fixed", L: "fixed"}, Point(far, P))

    R1 = P * near**2 * (3 * far + near) / L**3
    R2 = P * far**2 * (far + 3 * near) / L**3
    assert reactions(curves) == exactly([R1, R2])
    ends = [-P * far * near**2 / L**2, -P * far**2 * near / L**2]
    assert curves.moment([0.0, L])[0].tolist() == exactly(ends)
    assert largest_moment(curves) == exactly((2 * P * far**2 * near**2 / L**3, far))
    assert curves.deflection(far).item() == exactly(P * far**3 * near**3 / (3 * EI * L**3))
    most = 2 * P * far**3 * near**2 / (3 * EI * (3 * far + near) ** 2)
    assert largest_deflection(curves) == exactly((most, 2 * far * L / (3 * far + near)))


def test_two_equal_spans_with_uniform_load_on_one():
    # AWC Design Aid No. 6, Fig. 26.
    curves = spans([L, L], uniform(0, L))

    assert reactions(curves) == exactly([7 * w * L / 16, 5 * w * L / 8, -w * L / 16])
    assert curves.shear(L, left=True).item() == exactly(-9 * w * L / 16)
    assert largest_moment(curves) == exactly((49 * w * L**2 / 512, 7 * L / 16))
    assert curves.moment(L).item() == exactly(-w * L**2 / 16)
    assert largest_deflection(curves)[0] * EI / (w * L**4) == printed("0.0092")
    assert largest_deflection(curves)[1] / L == printed("0.472")


def test_two_equal_spans_with_a_point_load_in_the_middle_of_one():
    # AWC Design Aid No. 6, Fig. 27.
    curves = spans([L, L], Point(L / 2, P))

    assert reactions(curves) == exactly([13 * P / 32, 11 * P / 16, -3 * P / 32])
    assert curves.shear(L, left=True).item() == exactly(-19 * P / 32)
    assert largest_moment(curves) == exactly((13 * P * L / 64, L / 2))
    assert curves.moment(L).item() == exactly(-3 * P * L / 32)
    assert largest_deflection(curves)[0] * EI / (P * L**3) == printed("0.015")
    assert largest_deflection(curves)[1] / L == printed("0.480")


def test_two_equal_spans_with_a_point_load_anywhere_in_one():
    # AWC Design Aid No. 6, Fig. 28.
    far = L - a
    curves = spans([L, L], Point(a, P))

    share = 4 * L**2 - a * (L + a)
    R1 = P * far * share / (4 * L**3)
    R2 = P * a * (2 * L**2 + far * (L + a)) / (2 * L**3)
    R3 = -P * a * far * (L + a) / (4 * L**3)
    assert reactions(curves) == exactly([R1, R2, R3])
    V2 = P * a * (4 * L**2 + far * (L + a)) / (4 * L**3)
    assert curves.shear(L, left=True).item() == exactly(-V2)
    assert largest_moment(curves) == exactly((P * a * far * share / (4 * L**3), a))
    assert curves.moment(L).item() == exactly(-P * a * far * (L + a) / (4 * L**2))


def test_two_equal_spans_with_uniform_load_on_both():
    # AWC Design Aid No. 6, Fig. 29.
    curves = spans([L, L], uniform(0, 2 * L))

    assert reactions(curves) == exactly([3 * w * L / 8, 5 * w * L / 4, 3 * w * L / 8])
    assert curves.shear(L).item() == exactly(5 * w * L / 8)
    assert curves.moment(L).item() == exactly(-w * L**2 / 8)
    assert largest_moment(curves) == exactly((9 * w * L**2 / 128, 3 * L / 8))
    assert w * L**4 / (largest_deflection(curves)[0] * EI) == printed("185")
    assert largest_deflection(curves)[1] / L == printed("0.4215")


def test_two_equal_spans_with_point_loads_in_the_middle_of_both():
    # AWC Design Aid No. 6, Fig. 30.
    curves = spans([L, L], Point(L / 2, P), Point(1.5 * L, P))

    assert reactions(curves) == exactly([5 * P / 16, 11 * P / 8, 5 * P / 16])
    assert curves.shear(L).item() == exactly(11 * P / 16)
    assert curves.moment(L).item() == exactly(-3 * P * L / 16)
    assert largest_moment(curves) == exactly((5 * P * L / 32, L / 2))
    assert largest_deflection(curves)[0] * EI / (P * L**3) == printed("0.009317")


def test_two_unequal_spans_with_uniform_load_on_both():
    # AWC Design Aid No. 6, Fig. 31.
    l1, l2 = 150.0, 110.0
    curves = spans([l1, l2], uniform(0, l1 + l2))

    M1 = -w * (l1**3 + l2**3) / (8 * (l1 + l2))
    R1, R3 = M1 / l1 + w * l1 / 2, M1 / l2 + w * l2 / 2
    assert reactions(curves) == exactly([R1, w * (l1 + l2) - R1 - R3, R3])
    assert curves.moment(l1).item() == exactly(M1)
    assert largest_moment(curves) == exactly((R1**2 / (2 * w), R1 / w))


def test_two_unequal_spans_with_point_loads_in_the_middle_of_both():
    # AWC Design Aid No. 6, Fig. 32.
    l1, l2 = 150.0, 110.0
    curves = spans([l1, l2], Point(l1 / 2, P), Point(l1 + l2 / 2, P2))

    M1 = -3 / 16 * (P * l1**2 + P2 * l2**2) / (l1 + l2)
    R1, R3 = M1 / l1 + P / 2, M1 / l2 + P2 / 2
    assert reactions(curves) == exactly([R1, P + P2 - R1 - R3, R3])
    assert curves.moment(l1).item() == exactly(M1)
    assert curves.moment([l1 / 2, l1 + l2 / 2])[0].tolist() == exactly([R1 * l1 / 2, R3 * l2 / 2])


def test_three_equal_spans_all_loaded():
    # AISC Steel Construction Manual, continuous beams, three equal spans, all loaded.
    curves = spans([L, L, L], uniform(0, 3 * L))

    assert reactions(curves) == exactly([0.4 * w * L, 1.1 * w * L, 1.1 * w * L, 0.4 * w * L])
    assert curves.shear(L, left=True).item() == exactly(-0.6 * w * L)
    assert curves.moment(L).item() == exactly(-0.100 * w * L**2)
    assert largest_moment(curves) == exactly((0.080 * w * L**2, 0.4 * L))
    assert curves.moment_extremes.highest[0, 1] == exactly(0.025 * w * L**2)
    assert largest_deflection(curves)[0] * EI / (w * L**4) == printed("0.0069")


def test_three_equal_spans_with_the_end_ones_loaded():
    # AISC Steel Construction Manual, continuous beams, three equal spans, end spans loaded.
    curves = spans([L, L, L], uniform(0, L), uniform(2 * L, 3 * L))

    shares = [0.45 * w * L, 0.55 * w * L, 0.55 * w * L, 0.45 * w * L]
    assert reactions(curves) == exactly(shares)
    assert curves.moment(L).item() == exactly(-0.050 * w * L**2)
    assert largest_moment(curves)[0] / (w * L**2) == printed("0.1013")
    assert largest_deflection(curves)[0] * EI / (w * L**4) == printed("0.0099")


def test_three_equal_spans_with_two_neighbors_loaded():
    # AISC Steel Construction Manual, continuous beams, three equal spans, one end span unloaded.
    # The moment in the middle span is printed there as 0.0534, cut off; the right rounding of
    # 0.05347 is 0.0535.
    curves = spans([L, L, L], uniform(0, 2 * L))

    R1, R2, R3, R4 = (R / (w * L) for R in reactions(curves))
    assert [R1, R4] == exactly([23 / 60, -1 / 30])
    assert (R1, R2, R3, R4) == (
        printed("0.383"),
        printed("1.200"),
        printed("0.450"),
        printed("-0.033"),
    )
    assert curves.moment([L, 2 * L])[0].tolist() == exactly([-7 / 60 * w * L**2, -w * L**2 / 30])
    assert curves.moment([L, 2 * L])[0, 0] / (w * L**2) == printed("-0.1167")
    assert curves.moment([L, 2 * L])[0, 1] / (w * L**2) == printed("-0.0333")
    first, second, _ = curves.moment_extremes.highest[0] / (w * L**2)
    assert first == printed("0.0735")
    assert second == printed("0.0535")


def test_three_equal_spans_with_the_middle_one_loaded():
    # AISC Steel Construction Manual, continuous beams, three equal spans, middle span loaded.
    curves = spans([L, L, L], uniform(L, 2 * L))

    shares = [-0.05 * w * L, 0.55 * w * L, 0.55 * w * L, -0.05 * w * L]
    assert reactions(curves) == exactly(shares)
    assert curves.moment(L).item() == exactly(-0.050 * w * L**2)
    assert largest_moment(curves) == exactly((0.075 * w * L**2, 1.5 * L))


@pytest.mark.parametrize(
    ("count", "shares"),
    [
        (2, [3 / 8, 5 / 8]),
        (3, [4 / 10, 6 / 10, 5 / 10]),
        (4, [11 / 28, 17 / 28, 15 / 28, 13 / 28]),
        (5, [15 / 38, 23 / 38, 20 / 38, 18 / 38, 19 / 38]),
        (6, [41 / 104, 63 / 104, 55 / 104, 49 / 104, 51 / 104, 53 / 104]),
    ],
)
def test_shears_of_equal_spans_match_the_table(count, shares):
    # T. G. Hicks, Civil Engineering Formulas, Table 2.1: right of the first support, then left and
    # right of the next ones as far as the middle.
    curves = spans([L] * count, uniform(0, count * L))

    inner = L * np.arange(1, count)
    pairs = np.stack((-curves.shear(inner, left=True)[0], curves.shear(inner)[0]), axis=1)
    found = [curves.shear(0.0).item(), *pairs.ravel()]
    assert np.divide(found, w * L)[: len(shares)].tolist() == exactly(shares)


def test_two_equal_spans_match_the_moments_of_the_table():
    # T. G. Hicks, Civil Engineering Formulas, Table 2.1.
    curves = spans([1.0, 1.0], uniform(0, 2, 1.0))

    assert largest_moment(curves) == (printed("0.0703"), printed("0.375"))
    assert -curves.moment(1.0).item() == printed("0.125")


def test_two_spans_of_3_m_with_a_uniform_and_a_point_load():
    # NPTEL Structural Analysis I, Module 5 Lecture 4, Example 5.22 (kN, m). Its figure was not at
    # hand: the loads are deduced from the printed reactions, which add up to them.
    curves = spans([3.0, 3.0], uniform(0, 3, 40.0), Point(4.5, 120.0))

    assert curves.moment(3.0).item() == printed("-56.25")
    assert reactions(curves) == [printed("41.25"), printed("157.5"), printed("41.25")]


def test_three_equal_spans_match_the_textbook_problem():
    # J. M. Gere and B. J. Goodno, Mechanics of Materials, Problem 10.4-14.
    curves = spans([1.0, 1.0, 1.0], uniform(0, 3, 1.0))

    assert reactions(curves) == exactly([0.4, 1.1, 1.1, 0.4])


def test_two_overhangs_of_2_m_leave_the_printed_moment_in_the_middle():
    # Philippine civil engineering board review, beam with two overhangs, part 1 (kN, m).
    curves = bent(10.0, {2.0: "pinned", 8.0: "pinned"}, uniform(0, 10, 15.0))

    assert curves.moment(5.0).item() == printed("37.5")


def test_overhangs_of_a_quarter_leave_no_moment_in_the_middle():
    # Philippine civil engineering board review, beam with two overhangs, part 2: 2.5 m of 10 m.
    curves = bent(10.0, {2.5: "pinned", 7.5: "pinned"}, uniform(0, 10, 15.0))

    assert curves.moment(5.0).item() == pytest.approx(0.0, abs=1e-12)
    assert curves.zero_moments[0].tolist() == pytest.approx([0.0, 5.0, 10.0], abs=1e-5)


def test_a_span_of_5_86_m_in_10_m_has_the_least_of_largest_moments():
    # Philippine civil engineering board review, beam with two overhangs, part 3. The least largest
    # moment is where span and supports have the same, at a span of 10 (2 - sqrt(2)) = 5.858.
    def largest(span):
        ends = (10.0 - span) / 2
        curves = bent(10.0, {ends: "pinned", 10.0 - ends: "pinned"}, uniform(0, 10, 15.0))
        extremes = curves.moment_extremes.of_member
        return max(extremes.highest.item(), -extremes.lowest.item())

    assert largest(5.86) < largest(5.85)
    assert largest(5.86) < largest(5.87)


def test_a_loaded_overhang_lifts_the_far_support():
    # TheStructuralEngineer.info, education notes: overhanging beam (kN, m). It prints -26.66 at
    # 2 m, having multiplied the rounded 13.33; the exact moment is -26.667.
    curves = bent(10.0, {0.0: "pinned", 6.0: "pinned"}, uniform(2, 6, 5.0), Point(10, 30.0))

    assert reactions(curves) == [printed("-13.33"), printed("63.33")]
    assert curves.shear(6.0, left=True).item() == printed("-33.33")
    assert curves.shear(6.0).item() == printed("30")
    assert curves.moment(2.0).item() == printed("-26.667")
    assert curves.moment(6.0).item() == printed("-120")


def test_two_overhangs_with_three_point_loads_and_a_uniform_one():
    # CivilGuruVU, reactions of an overhanging beam (kN, m); positions from its moment equation,
    # here counted from the left end, 1 m left of support A.
    loads = Point(0, 20.0), Point(2, 40.0), Point(6, 20.0), uniform(3, 6, 5.0)
    curves = bent(6.0, {1.0: "pinned", 5.0: "pinned"}, *loads)

    assert reactions(curves) == [printed("51.875"), printed("43.125")]


def test_a_load_off_center_on_42_ft():
    # ARC 322 (Cal Poly Pomona) homework key, 2008, HW 9 no. 3 (lbf, ft).
    curves = spans([42.0], Point(12, 18_000.0))

    assert largest_moment(curves) == (printed("154286"), 12.0)


def test_a_uniform_load_on_28_ft():
    # ARC 322 (Cal Poly Pomona) homework key, 2008, HW 8 (lbf, ft).
    curves = spans([28.0], uniform(0, 28, 1_850.0))

    assert largest_moment(curves)[0] == printed("181300")


def test_a_load_in_the_middle_of_24_ft():
    # ARC 322 (Cal Poly Pomona) homework key, 2008, HW 8 (lbf, ft).
    curves = spans([24.0], Point(12, 12_500.0))

    assert largest_moment(curves)[0] == printed("75000")


def test_two_cantilevers_have_the_printed_moments_at_their_roots():
    # ARC 322 (Cal Poly Pomona) homework key, 2008, HW 9 nos. 1 and 2 (lbf, ft). The first prints
    # a load from 0 to 6 ft of 8; its moment 33,750 is that about the root at 0.
    part = bent(8.0, {0.0: "fixed"}, uniform(0, 6, 1_875.0))
    tip = bent(5.0, {0.0: "fixed"}, Point(5, 4_200.0))

    assert part.moment(0.0).item() == printed("-33750")
    assert part.fixings.item() == printed("-33750")
    assert tip.moment(0.0).item() == printed("-21000")


def test_a_load_near_one_support_of_20_ft():
    # R. G. Hatfield, The American House Carpenter, art. 88 (lbf, ft).
    curves = spans([20.0], Point(17, 100.0))

    assert reactions(curves) == [printed("15"), printed("85")]


def test_reactions_of_three_simple_beams():
    # ARC 322 (Cal Poly Pomona) homework key, 2008, HW 1B (lbf, ft).
    assert reactions(spans([24.0], Point(12, 12_500.0)))[0] == printed("6250")
    assert reactions(spans([28.0], uniform(0, 28, 1_200.0)))[0] == printed("16800")
    assert reactions(spans([21.0], Point(15, 7_750.0)))[0] == printed("2214")


def test_uniform_load_on_10_ft_in_the_middle_of_20_ft():
    # From memory, after AWC Design Aid No. 6, Fig. 2 (lbf, ft).
    curves = spans([20.0], uniform(4, 14, 100.0))

    assert reactions(curves) == [printed("550.0"), printed("450.0")]
    assert largest_moment(curves) == (printed("3712.5"), printed("9.50"))


def test_uniform_load_on_5_ft_at_the_end_of_12_ft():
    # From memory, after AWC Design Aid No. 6, Fig. 3 (lbf, ft).
    curves = spans([12.0], uniform(0, 5, 150.0))

    assert reactions(curves) == [printed("593.75"), printed("156.25")]
    assert largest_moment(curves)[0] == printed("1175.13")
    assert curves.deflection(8.0).item() * EI == printed("12031.2")


def test_uniform_load_on_one_of_two_spans_of_10_ft():
    # From memory, after AWC Design Aid No. 6, Fig. 26 (lbf, ft).
    curves = spans([10.0, 10.0], uniform(0, 10, 100.0))

    assert reactions(curves) == [printed("437.5"), printed("625"), printed("-62.5")]
    assert largest_moment(curves)[0] == printed("957.031")
    assert curves.moment(10.0).item() == printed("-625")
    assert largest_deflection(curves)[0] * EI / (100.0 * 10.0**4) == printed("0.0092")
