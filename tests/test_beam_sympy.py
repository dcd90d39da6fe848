"""Beams against SymPy's beam module, an independent library, on random members.

Its faults are kept away from: it gets whole numbers and rationals only, one stiffness, a fresh beam
for each member, and is asked for values at places, never for its own extremes.
CALCLIB_LONG=1 compares 200 members in place of 24.
"""

import os
import random
from fractions import Fraction

import numpy as np
import pytest
from sympy import Rational
from sympy.physics.continuum_mechanics.beam import Beam as SymPyBeam

from calclib.mechanics import Beam, Couple, Line, Load, Point, Support, solve

KINDS = ("simple", "overhanging", "continuous")
MEMBERS = 200 if os.environ.get("CALCLIB_LONG") else 24
EI = 130_000_000


def random_supports(draw: random.Random, kind: str) -> tuple[int, list[int]]:
    """Return a length and the places of supports."""
    if kind == "simple":
        length = draw.randint(60, 300)
        return length, [0, length]
    if kind == "overhanging":
        left, span, right = draw.randint(0, 60), draw.randint(60, 200), draw.randint(10, 60)
        return left + span + right, [left, left + span]
    lengths = [draw.randint(60, 200) for _ in range(draw.randint(2, 4))]
    places = np.cumsum([0, *lengths]).tolist()
    return places[-1], places


def random_load(draw: random.Random, length: int) -> Load:
    """Return a load whose numbers are whole, so that both sides get the same ones."""
    at = draw.randint(0, length)
    start, end = sorted(draw.sample(range(length + 1), 2))
    w = [draw.randint(-10, 40) for _ in range(2)]
    return draw.choice(
        [
            Point(at, draw.randint(-500, 2000)),
            Line(start, end, w[0], w[0]),
            Line(start, end, w[0], w[1]),
            Couple(at, draw.randint(-20_000, 20_000)),
        ]
    )


def sympy_beam(length: int, places: list[int], loads: list[Load]) -> tuple[SymPyBeam, list[float]]:
    """Build and solve SymPy's beam of stiffness 1, and return it with its reactions.

    It takes couples counter-clockwise and gives a reaction as a load downward.
    """
    beam = SymPyBeam(length, 1, 1)
    kinds = ["pin", *["roller"] * (len(places) - 1)]
    unknowns = [beam.apply_support(at, kind) for at, kind in zip(places, kinds, strict=True)]
    for load in loads:
        match load:
            case Point(at, force):
                beam.apply_load(force, at, -1)
            case Couple(at, moment):
                beam.apply_load(-moment, at, -2)
            case Line(start, end, w_start, w_end):
                beam.apply_load(w_start, start, 0, end)
                if w_end != w_start:
                    beam.apply_load(Rational(w_end - w_start, end - start), start, 1, end)
    beam.solve_for_reaction_loads(*unknowns)
    return beam, [-float(beam.reaction_loads[unknown]) for unknown in unknowns]


def values(beam: SymPyBeam, expression: object, places: list[Fraction]) -> list[float]:
    """Evaluate an expression of SymPy's exactly at each place."""
    return [
        float(expression.subs(beam.variable, Rational(x.numerator, x.denominator))) for x in places
    ]


def nearly(expected: list[float], scale: float) -> object:
    """Compare to 1e-9 of the curve's largest value."""
    return pytest.approx(expected, rel=0, abs=1e-9 * scale)


@pytest.mark.parametrize("number", range(MEMBERS))
def test_a_random_member_agrees_with_the_independent_library(number):
    draw = random.Random(number)
    length, places = random_supports(draw, KINDS[number % len(KINDS)])
    loads = [random_load(draw, length) for _ in range(draw.randint(1, 3))]
    # No whole numbers, so that none of these places is at a jump.
    between = [Fraction(2 * k + 1, 2) * Fraction(length, 13) + Fraction(1, 997) for k in range(13)]
    theirs, reactions = sympy_beam(length, places, loads)
    beam = Beam(length=length, supports=[Support(at) for at in places], EI=EI)

    ours = solve(beam, {"load": loads}).curves

    x = [float(place) for place in between]
    assert ours.reactions[0].tolist() == nearly(reactions, np.abs(reactions).max())
    couples = any(isinstance(load, Couple) for load in loads)
    for our_curve, our_extremes, their_curve, factor, smooth in (
        (ours.shear, ours.shear_extremes, theirs.shear_force(), 1, False),
        (ours.moment, ours.moment_extremes, theirs.bending_moment(), 1, not couples),
        (ours.deflection, ours.deflection_extremes, theirs.deflection(), EI, True),
    ):
        found = our_curve(x)[0] * factor
        most = our_extremes.of_member
        low, high = most.lowest.item() * factor, most.highest.item() * factor
        scale = max(high, -low)
        assert found.tolist() == nearly(values(theirs, their_curve, between), scale)
        assert found.max() <= high + 1e-9 * scale
        assert found.min() >= low - 1e-9 * scale
        if smooth:
            at = [Fraction(most.lowest_at.item()), Fraction(most.highest_at.item())]
            assert [low, high] == nearly(values(theirs, their_curve, at), scale)
    slopes = values(theirs, theirs.slope(), between)
    assert (ours.slope(x)[0] * EI).tolist() == nearly(slopes, np.abs(slopes).max())
