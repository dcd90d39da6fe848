"""Exercises on shear, moment and deflection: lessons 3, 4 and 9."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

from calclib.lessons.exercise import Exercise, Pick, Slip, written
from calclib.mechanics.section import moment_of_inertia
from calclib.timber.deflection import total_deflection
from calclib.units import ft, inch, lbf, plf, psi, show

if TYPE_CHECKING:
    from calclib.mechanics import Curves, Load

SAGGING = "Where a member sags, with tension at its bottom, the kit counts the moment positive."
HOGGING = "Where a member hogs, with tension at its top, the kit counts the moment negative."
DOWN = "Deflection is counted positive downward."
PLACE = "Places are counted from the left end, positive to the right."

# Depths of dressed lumber, 2x6 to 2x12, and what they are called.
DEPTHS = {"2x8": (7.25, 8.0), "2x10": (9.25, 10.0), "2x12": (11.25, 12.0)}


def curves_of(
    length: float, loads: Sequence[Load], supports: Sequence[float] = (), EI: float = 1.0
) -> Curves:
    """Return the curves of a beam, simple unless its supports are given."""
    from calclib.mechanics import Beam, Support, solve

    places = [Support(at) for at in supports or (0.0, length)]
    return solve(Beam(length=length, supports=places, EI=EI), {"all": loads}).curves


def peak(curves: Curves) -> tuple[float, float]:
    """Return the largest sagging moment and its place."""
    most = curves.moment_extremes.of_member
    return float(most.highest[0]), float(most.highest_at[0])


def with_its_weight(pick: Pick) -> Exercise:
    """Return the moment of a beam from its load and its own weight."""
    from calclib.mechanics import Line

    span, w = pick(range(9, 17)) * ft, pick(range(300, 800, 20)) * plf
    own = pick(range(12, 30)) * plf
    answer, _ = peak(curves_of(span, [Line(0.0, span, w + own, w + own)]))
    return Exercise(
        "Load and weight",
        f"A simple beam of {written(span)} span carries {show(w, 'plf')} and weighs "
        f"{show(own, 'plf')}. How large is its largest bending moment?",
        "lbf*ft",
        answer,
        f"w = {show(w, 'plf')} + {show(own, 'plf')} = {show(w + own, 'plf')}.\n"
        f"w l² / 8 = {show(w + own, 'plf')} × ({written(span)})² / 8.",
        "It is w l² / 8 with all that lies on the beam, the beam too.",
        {"span": span, "w": w, "own": own},
        (
            Slip(w * span**2 / 8, "You forgot the beam's own weight."),
            Slip(
                (w + own) * span**2 / 12, "w l² / 12 is for the ends of a beam that is held fast."
            ),
            Slip((w + own) * span / 2, "That is the shear at an end."),
        ),
        SAGGING,
    )


def load_on_one_side(pick: Pick) -> Exercise:
    """Return the place of the largest moment under a load on a part of the beam."""
    from calclib.mechanics import Line

    span, share = pick(range(12, 21, 2)) * ft, pick((0.3, 0.4, 0.6, 0.7))
    w, a = pick(range(300, 800, 50)) * plf, round(share * span / ft) * ft
    curves = curves_of(span, [Line(0.0, a, w, w)])
    _, answer = peak(curves)
    R = float(curves.reactions[0][0])
    return Exercise(
        "Where the shear is zero",
        f"A simple beam of {written(span)} span carries {show(w, 'plf')} on the "
        f"{written(a)} beside its left end and nothing on the rest. How far from the left end "
        "is the moment largest?",
        "ft",
        answer,
        f"Left reaction: w a (l − a/2) / l = {show(R, 'lbf')}.\n"
        f"The shear starts with it and loses {show(w, 'plf')}: it is zero after "
        f"{show(R, 'lbf')} / {show(w, 'plf')}.",
        "Find the left reaction first, then how much load uses it up.",
        {"span": span, "w": w, "a": a},
        (
            Slip(a / 2, "There the load has its middle, but the shear is not zero yet."),
            Slip(span / 2, "In the middle it is only when the load is the same on both sides."),
            Slip(a, "Where the load ends, the shear has long passed through zero."),
        ),
        PLACE,
    )


def one_on_the_other(pick: Pick) -> Exercise:
    """Return the moment of a uniform load and a single one, added."""
    from calclib.mechanics import Line, Point

    span, w = pick(range(9, 17)) * ft, pick(range(200, 600, 20)) * plf
    P = pick(range(300, 800, 50)) * lbf
    answer, _ = peak(curves_of(span, [Line(0.0, span, w, w), Point(span / 2, P)]))
    return Exercise(
        "One on the other",
        f"A simple beam of {written(span)} span carries {show(w, 'plf')}, its weight included, "
        f"and a strut with {show(P, 'lbf')} in its middle. How large is the largest moment?",
        "lbf*ft",
        answer,
        f"w l² / 8 = {show(w * span**2 / 8, 'lbf*ft')}.\n"
        f"P l / 4 = {show(P * span / 4, 'lbf*ft')}.\nBoth peak in the middle, so they add.",
        "Each load has its own moment; where both peak at one place, they add.",
        {"span": span, "w": w, "P": P},
        (
            Slip(w * span**2 / 8, "You forgot the strut."),
            Slip(P * span / 4, "You forgot what lies along the beam."),
            Slip(w * span**2 / 8 + P * span / 8, "A load in the middle bends with P l / 4."),
        ),
        SAGGING,
    )


def past_the_post(pick: Pick) -> Exercise:
    """Return the moment over a post past which the beam goes on."""
    from calclib.mechanics import Line

    span, a = pick(range(10, 17)) * ft, pick(range(24, 40, 3)) * inch
    w = pick(range(200, 600, 20)) * plf
    curves = curves_of(span + a, [Line(0.0, span + a, w, w)], (0.0, span))
    answer = float(curves.moment(span)[0])
    return Exercise(
        "Past the post",
        f"A beam of {written(span)} span goes on {written(a)} past its right post. "
        f"{show(w, 'plf')} lie on all of it, its weight included. What is the moment over that "
        "post, with its sign?",
        "lbf*ft",
        answer,
        f"Only what hangs out bends it there: w a at a distance of a / 2.\n"
        f"−w a² / 2 = −{show(w, 'plf')} × ({written(a)})² / 2.",
        "Cut over the post and look at what hangs out.",
        {"span": span, "a": a, "w": w},
        (
            Slip(-w * a**2, "The load of the end acts at half of its length."),
            Slip(-w * a**2 / 8, "w l² / 8 is for a span with two supports; the end has one."),
            Slip(w * span**2 / 8, "That would be the middle of the span without the end."),
            Slip(-w * span**2 / 8, "That is a middle support of two equal spans."),
        ),
        HOGGING,
    )


def sag_of_a_joist(pick: Pick) -> Exercise:
    """Return the deflection of a joist."""
    from calclib.mechanics import Line

    size, span = pick(tuple(DEPTHS)), pick(range(10, 15)) * ft
    d, nominal = DEPTHS[size]
    E, w = pick((1.2, 1.4, 1.6, 1.8)) * 1e6 * psi, pick(range(45, 75, 5)) * plf
    EI = E * moment_of_inertia(1.5, d)
    loads = [Line(0.0, span, w, w)]
    answer = float(curves_of(span, loads, EI=EI).deflection(span / 2)[0])
    return Exercise(
        "Sag of a joist",
        f"A joist {size}, 1 1/2 in by {d:g} in, spans {written(span)} and carries "
        f"{show(w, 'plf')}. E is {show(E, 'psi')}. How far does it sag in the middle?",
        "in",
        answer,
        f"I = b d³ / 12 = {show(EI / E, 'in^4')}.\n5 w l⁴ / 384 E I with all of it in pounds and "
        f"inches: w = {w:.4g} lbf/in, l = {span:g} in.",
        "5 w l⁴ / 384 E I, all of it in pounds and inches, I of the dressed size.",
        {"span": span, "w": w, "E": E, "d": d},
        (
            Slip(answer / 5, "1/384 is for a beam whose ends are held fast; a joist's ends turn."),
            Slip(answer * 8 / 5, "All of the load in the middle would do that: W l³ / 48 E I."),
            Slip(
                answer * 1.5 * d**3 / (2 * nominal**3),
                f"A {size} is not that large: take the dressed size, 1 1/2 in by {d:g} in.",
            ),
        ),
        DOWN,
    )


def fourth_power(pick: Pick) -> Exercise:
    """Return how many times a longer joist sags."""
    from calclib.mechanics import Line

    first, more = pick(range(9, 13)) * ft, pick(range(2, 5)) * ft
    second = first + more
    sags = [
        float(curves_of(span, [Line(0.0, span, 1.0, 1.0)]).deflection(span / 2)[0])
        for span in (first, second)
    ]
    ratio = second / first
    return Exercise(
        "Span to the fourth",
        f"Joists of {written(first)} span are replaced by longer ones of the same size, "
        f"{written(second)}, under the same load on each foot. How many times as far do they "
        "sag?",
        "",
        sags[1] / sags[0],
        f"The spans are as {show(ratio, '')} to 1.\n{show(ratio, '')}⁴.",
        "In 5 w l⁴ / 384 E I the span stands to the fourth power; all else stays.",
        {"first": first, "second": second},
        (
            Slip(ratio, "That is how much longer they are; the sag grows much faster."),
            Slip(ratio**2, "The square is for the moment."),
            Slip(ratio**3, "The cube is for a single load; this one grows with the span too."),
        ),
    )


def years_later(pick: Pick) -> Exercise:
    """Return a deflection after years of dead load."""
    dead, live = pick(range(12, 25)) / 100 * inch, pick(range(26, 45)) / 100 * inch
    answer = total_deflection(1.5, dead, live)
    return Exercise(
        "Years later",
        f"A dry beam sags {show(dead, 'in')} at once under dead load, and {show(live, 'in')} more "
        "under live load. How far does it sag in the end, when dead load has lain on it for years?",
        "in",
        answer,
        f"Dead load counts 1.5 times in seasoned wood: 1.5 × {show(dead, 'in')} + "
        f"{show(live, 'in')}.",
        "Only the part that lies there for years creeps.",
        {"dead": dead, "live": live},
        (
            Slip(dead + live, "That is on the first day: wood creeps under what lies for years."),
            Slip(1.5 * (dead + live), "Live load comes and goes; only the dead load creeps."),
            Slip(2.0 * dead + live, "2.0 is for wood that is wet or not seasoned."),
            Slip(1.5 * dead, "The live load comes on top of it."),
        ),
        DOWN,
    )


def cut_over_the_beam(pick: Pick) -> Exercise:
    """Return the moment of a joist after it was cut over its middle support."""
    from calclib.mechanics import Line

    span, w = pick(range(10, 15)) * ft, pick(range(45, 75, 5)) * plf
    answer, _ = peak(curves_of(span, [Line(0.0, span, w, w)]))
    before, _ = peak(curves_of(2 * span, [Line(0.0, 2 * span, w, w)], (0.0, span, 2 * span)))
    return Exercise(
        "Cut over the beam",
        f"A joist runs in one piece over a bearing wall, {written(span)} to each side, with "
        f"{show(w, 'plf')} on it. It is cut over the wall and hung to both faces of a beam. What "
        "is its largest sagging moment afterward?",
        "lbf*ft",
        answer,
        f"Before: 9/128 w l² = {show(before, 'lbf*ft')}.\nAfterward each piece is a simple span: "
        f"w l² / 8 = {show(answer, 'lbf*ft')}.",
        "Once cut, each piece is a simple span of its own.",
        {"span": span, "w": w},
        (
            Slip(before, "That was before the cut. The middle support no longer holds the end."),
            Slip(w * (2 * span) ** 2 / 8, "The beam still holds it in the middle."),
            Slip(w * span**2 / 12, "w l² / 12 is for the ends of a beam that is held fast."),
        ),
        SAGGING,
    )


def far_wall(pick: Pick) -> Exercise:
    """Return what a far wall gets more when joists of unequal spans are cut."""
    from calclib.mechanics import Line

    near, far = pick(range(9, 12)) * ft, pick(range(12, 16)) * ft
    q = pick(range(46, 60)) * plf
    whole = curves_of(near + far, [Line(0.0, near + far, q, q)], (0.0, near, near + far))
    before = float(whole.reactions[0][2])
    answer = q * far / 2 - before
    return Exercise(
        "The far wall",
        f"Joists run in one piece over a bearing wall: {written(near)} to the near outer wall, "
        f"{written(far)} to the far one. Each carries {show(q, 'plf')}. They are cut over the "
        "wall. How much more does each joist then put on the far wall?",
        "lbf",
        answer,
        "Moment over the wall before: w (l₁³ + l₂³) / 8 (l₁ + l₂) = "
        f"{show(-float(whole.moment(near)[0]), 'lbf*ft')}.\n"
        f"It lightened the far wall by that over {written(far)}: w l / 2 less it was "
        f"{show(before, 'lbf')}; afterward {show(q * far / 2, 'lbf')}.",
        "The difference is the moment over the wall, divided by the far span.",
        {"near": near, "far": far, "q": q},
        (
            Slip(q * far / 2, "That is all that it gets afterward; how much more is asked."),
            Slip(before, "That is what it got before; how much more is asked."),
            Slip(q * far / 8, "That is for two equal spans, and these are not."),
        ),
        "The far wall gets more, which counts positive.",
    )


def deeper_than_before(pick: Pick) -> Exercise:
    """Return the deflection of a joist after it was cut."""
    from calclib.mechanics import Line

    sag = pick(range(12, 25)) / 100 * inch
    span, w = 144.0, 1.0
    once = curves_of(span, [Line(0.0, span, w, w)])
    twice = curves_of(2 * span, [Line(0.0, 2 * span, w, w)], (0.0, span, 2 * span))
    grows = _most(once) / _most(twice)
    return Exercise(
        "Deeper than before",
        "A joist ran in one piece over a bearing wall, with two equal spans and the same load on "
        f"both, and sagged {show(sag, 'in')}. It is cut over the wall. How far does it sag now, "
        "under the same load?",
        "in",
        sag * grows,
        "Before: w l⁴ / 185 E I. Afterward: 5 w l⁴ / 384 E I.\n"
        f"That is {show(grows, '')} times as far.",
        "Compare w l⁴ / 185 E I with 5 w l⁴ / 384 E I.",
        {"sag": sag},
        (
            Slip(sag, "The cut took away what kept the end from turning: it sags more."),
            Slip(sag * 16 / 9, "16/9 is for the moment; the deflection grows more."),
            Slip(sag * 4 / 3, "4/3 is for the load of the outer wall; the deflection grows more."),
        ),
        DOWN,
    )


def _most(curves: Curves) -> float:
    sag = float(curves.deflection_extremes.of_member.highest[0])
    return sag if math.isfinite(sag) else math.nan
