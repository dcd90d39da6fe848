"""Exercises on bearing, posts, a whole opening and other people's sheets: lessons 5, 6, 10, 11."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from calclib.lessons.exercise import Exercise, Pick, Slip, written
from calclib.mechanics.section import area, section_modulus
from calclib.timber.bearing import (
    adjusted_bearing_value,
    bearing_area_factor,
    bearing_stress,
    required_bearing_length,
)
from calclib.timber.bending import bending_stress
from calclib.timber.columns import (
    column_stability_factor,
    edgewise_slenderness,
    flatwise_buckling_value,
    flatwise_slenderness,
)
from calclib.units import ft, in_inches, inch, lbf, plf, psf, psi, show

ACROSS = (405.0, 425.0, 565.0, 625.0)
LONG = 100.0


def length_of_bearing(pick: Pick) -> Exercise:
    """Return the bearing length that a beam of several plies needs."""
    R, F = pick(range(2600, 5200, 100)) * lbf, pick(ACROSS) * psi
    plies = pick((2, 3))
    b = plies * 1.5
    answer = required_bearing_length(R, b, F)
    return Exercise(
        "Length of a bearing",
        f"A beam of {plies} plies, each 1 1/2 in thick, brings {show(R, 'lbf')} to its end on a "
        f"post. F_c⊥ with its factors is {show(F, 'psi')} for the beam, and the post takes more. "
        "How long must the bearing be?",
        "in",
        answer,
        f"b = {plies} × 1 1/2 in = {in_inches(b)}.\n"
        f"R / (b F_c⊥) = {show(R, 'lbf')} / ({in_inches(b)} × {show(F, 'psi')}).",
        "Width times length times F_c⊥ must reach the reaction.",
        {"R": R, "b": b, "F": F},
        (
            Slip(R / (1.5 * F), f"All {plies} plies bear, not one."),
            Slip(R / (plies * 2.0 * F), "A ply is not 2 in thick: it is dressed to 1 1/2 in."),
            Slip(R / (b * 1.15 * F), "The load duration factor does not apply to F_c⊥."),
        ),
    )


def away_from_the_end(pick: Pick) -> Exercise:
    """Return the stress that a bearing away from the end may have."""
    F, l_b = pick(ACROSS) * psi, pick((1.5, 2.0, 2.5, 3.0, 3.5, 4.5)) * inch
    answer = adjusted_bearing_value(F, bearing_area_factor(l_b, LONG))
    return Exercise(
        "Away from the end",
        f"A beam runs over a stud, several feet from its end, and bears on it for "
        f"{in_inches(l_b)} along its grain. F_c⊥ is {show(F, 'psi')} before the bearing area "
        "factor. What does the clause allow?",
        "psi",
        answer,
        f"C_b = (l_b + 3/8 in) / l_b = ({in_inches(l_b)} + 3/8 in) / {in_inches(l_b)} = "
        f"{show(answer / F, '')}.\nC_b F_c⊥ = {show(answer / F, '')} × {show(F, 'psi')}.",
        "C_b spreads the load by 3/8 in of grain beyond the bearing.",
        {"F": F, "l_b": l_b},
        (
            Slip(F, "Away from the end C_b is more than 1: the grain beside the bearing helps."),
            Slip(F * (l_b + 0.75) / l_b, "3/8 in are added once, not on both sides."),
            Slip(F * l_b / (l_b + 0.375), "C_b is turned upside down: it does not lessen F_c⊥."),
        ),
    )


def post_on_a_plate(pick: Pick) -> Exercise:
    """Return the stress under a post on a plate."""
    post, d = pick((("4x4", 3.5), ("6x6", 5.5)))
    P = pick(range(3000, 9000, 250)) * lbf
    answer = bearing_stress(P, d, d)
    return Exercise(
        "A post on a plate",
        f"A post {post}, {in_inches(d)} by {in_inches(d)}, brings {show(P, 'lbf')} to a plate that "
        "lies flat under it. How large is the stress across the plate's grain?",
        "psi",
        answer,
        f"{show(P, 'lbf')} / ({in_inches(d)} × {in_inches(d)}).",
        "Force over the area on which the post stands.",
        {"P": P, "d": d},
        (
            Slip(P / (d + 0.5) ** 2, "The post is dressed: half an inch less each way."),
            Slip(P / d, "That is a force on a length; divide by the other side of the post too."),
            Slip(
                P / (1.5 * d), "The plate's thickness does not matter: the post stands on its face."
            ),
        ),
    )


def weak_axis(pick: Pick) -> Exercise:
    """Return the slenderness of a stud that nothing holds sideways."""
    size, d = pick((("2x4", 3.5), ("2x6", 5.5)))
    height = pick(range(48, 74)) * inch
    answer = flatwise_slenderness(height, 1.5)
    return Exercise(
        "The weak axis",
        f"A stud {size}, 1 1/2 in by {in_inches(d)}, stands free, {written(height)} high, "
        "pinned at both ends, with no sheathing yet. What is its slenderness ratio?",
        "",
        answer,
        f"It buckles where it is thin: {show(height, 'in')} / 1 1/2 in.",
        "Take both sides of the section, and then the larger ratio.",
        {"height": height, "d": d},
        (
            Slip(
                height / d, "That is the strong axis. Without sheathing it buckles the other way."
            ),
            Slip(height / 2.0, "A stud is not 2 in thick: it is dressed to 1 1/2 in."),
        ),
    )


def critical_value(pick: Pick) -> Exercise:
    """Return the critical buckling value of a post."""
    post, d = pick((("4x4", 3.5), ("6x6", 5.5)))
    height = pick(range(84, 121, 6)) * inch
    E_min, E = pick(((0.47, 1.3), (0.51, 1.4), (0.58, 1.6), (0.62, 1.7)))
    ratio = edgewise_slenderness(height, d)
    answer = flatwise_buckling_value(E_min * 1e6 * psi, ratio)
    return Exercise(
        "Euler in the standard",
        f"A post {post}, {in_inches(d)} square, is {written(height)} high and pinned at both "
        f"ends. E_min with its factors is {E_min * 1e6:,.0f} psi, E is {E * 1e6:,.0f} psi. What is "
        "the critical buckling design value F_cE?",
        "psi",
        answer,
        f"l_e / d = {show(height, 'in')} / {in_inches(d)} = {show(ratio, '')}.\n"
        f"0.822 E_min / (l_e / d)² = 0.822 × {E_min * 1e6:,.0f} psi / {show(ratio, '')}².",
        "0.822 E_min over the square of the slenderness ratio.",
        {"height": height, "d": d, "E_min": E_min * 1e6},
        (
            Slip(0.822 * E * 1e6 / ratio**2, "Buckling takes E_min, not the average E."),
            Slip(0.822 * E_min * 1e6 / ratio, "The slenderness ratio stands squared."),
            Slip(
                9.8696 * E_min * 1e6 / ratio**2,
                "π² goes with the radius of gyration; with the side of a rectangle it is π²/12.",
            ),
        ),
    )


def what_a_post_carries(pick: Pick) -> Exercise:
    """Return the load that the standard's curve allows on a post."""
    d = 3.5 * inch
    height, F_c = pick(range(96, 133, 6)) * inch, pick(range(1000, 1700, 100)) * psi
    E_min = pick((0.47, 0.51, 0.58, 0.62)) * 1e6 * psi
    F_cE = flatwise_buckling_value(E_min, edgewise_slenderness(height, d))
    C_P, A = column_stability_factor(F_cE, F_c, 0.8), area(d, d)
    return Exercise(
        "What a post carries",
        f"A sawn post 4x4, {in_inches(d)} square, {written(height)} high, pinned at both "
        f"ends. F_c* is {show(F_c, 'psi')}, F_cE is {show(F_cE, 'psi')}, c is 0.8. How much may it "
        "carry along its grain?",
        "lbf",
        C_P * F_c * A,
        f"F_cE / F_c* = {show(F_cE / F_c, '')}; the curve gives C_P = {show(C_P, '')}.\n"
        f"C_P F_c* A = {show(C_P, '')} × {show(F_c, 'psi')} × {show(A, 'in^2')}.",
        "Put F_cE / F_c* and c into the curve, then multiply by F_c* and the area.",
        {"d": d, "F_c": F_c, "F_cE": F_cE},
        (
            Slip(F_c * A, "C_P is missing: so much only a post that cannot buckle carries."),
            Slip(F_cE * A, "That is Euler alone; wood crushes and buckles together, at less."),
        ),
    )


def down_to_the_beam(pick: Pick) -> Exercise:
    """Return all that lies on the beam of an opening."""
    q, left, right = pick(range(46, 60)) * psf, pick(range(9, 12)) * ft, pick(range(12, 15)) * ft
    wall, height, own = pick((8, 10, 12)) * psf, 8 * ft, pick(range(14, 24)) * plf
    floor = q * (left + right) / 2
    return Exercise(
        "Down to the beam",
        f"Joists of {written(left)} and {written(right)} end on the beam of an opening "
        f"from both sides, with {show(q, 'psf')} on the floor. On the floor above the beam stands "
        f"a wall, {written(height)} high, {show(wall, 'psf')}. The beam weighs "
        f"{show(own, 'plf')}. What is the line load of the beam?",
        "plf",
        floor + wall * height + own,
        f"Floor: {show(floor, 'plf')}.\nWall: {show(wall, 'psf')} × {written(height)} = "
        f"{show(wall * height, 'plf')}.\nBeam: {show(own, 'plf')}.",
        "Floor from both sides, the wall by its height, and the beam itself.",
        {"q": q, "left": left, "right": right, "wall": wall, "height": height, "own": own},
        (
            Slip(floor + wall * height, "You forgot the beam's own weight."),
            Slip(floor + own, "You forgot the wall that stands on the floor."),
            Slip(floor, "You forgot the wall on the floor and the beam's own weight."),
            Slip(
                2 * floor + wall * height + own,
                "Half of each joist's load goes to the other walls.",
            ),
        ),
    )


def section_that_it_takes(pick: Pick) -> Exercise:
    """Return the section modulus that a beam needs."""
    span, w = pick(range(9, 15)) * ft, pick(range(450, 800, 50)) * plf
    F, own = pick(range(900, 1500, 50)) * psi, pick(range(14, 24)) * plf
    M = (w + own) * span**2 / 8
    return Exercise(
        "The section that it takes",
        f"A beam of {written(span)} span carries {show(w, 'plf')}, and will weigh "
        f"{show(own, 'plf')}. F_b with all its factors is {show(F, 'psi')}. What section modulus "
        "does it need?",
        "in^3",
        M / F,
        f"M = w l² / 8 = {show(M, 'lbf*ft')}, with the beam's weight in w.\n"
        f"M / F_b = {show(M, 'lbf*in')} / {show(F, 'psi')}.",
        "The moment in pound-inches over F_b in pounds on a square inch.",
        {"span": span, "w": w, "own": own, "F": F},
        (
            Slip(w * span**2 / 8 / F, "You forgot the beam's own weight."),
            Slip(M / F / 1.15, "The factors are in F_b already; do not count one again."),
        ),
    )


def seat_of_the_beam(pick: Pick) -> Exercise:
    """Return the bearing length at the end of a beam."""
    span, w = pick(range(9, 15)) * ft, pick(range(450, 800, 50)) * plf
    F, own = pick(ACROSS) * psi, pick(range(14, 24)) * plf
    R = (w + own) * span / 2
    return Exercise(
        "The seat of the beam",
        f"The same kind of beam, three plies of 1 1/2 in: {written(span)} between the centers "
        f"of its posts, {show(w, 'plf')} and its own {show(own, 'plf')}. F_c⊥ is {show(F, 'psi')}. "
        "How long must each bearing be?",
        "in",
        required_bearing_length(R, 4.5, F),
        f"R = w l / 2 = {show(R, 'lbf')}.\nR / (4 1/2 in × {show(F, 'psi')}).",
        "Half of the load, over the width of all plies and F_c⊥.",
        {"span": span, "w": w, "own": own, "F": F},
        (
            Slip(w * span / 2 / (4.5 * F), "You forgot the beam's own weight."),
            Slip((w + own) * span / (4.5 * F), "Two posts share the load."),
            Slip(R / (1.5 * F), "All three plies bear, not one."),
        ),
    )


def a_sheet_with_a_slip(pick: Pick) -> Exercise:
    """Return five lines of a sheet, one of them wrong, and ask for the right last one."""
    q, left, right = pick(range(46, 58)) * psf, pick(range(9, 12)) * ft, pick(range(12, 15)) * ft
    span, own, F = (
        pick(range(9, 13)) * ft,
        pick(range(16, 24)) * plf,
        pick((1600, 2000, 2400)) * psi,
    )
    plies, d = 3, 11.25
    wrong = pick(("strip", "weight", "moment", "section"))

    def lines(slip: str) -> tuple[list[str], float]:
        width = (left + right) / (1 if slip == "strip" else 2)
        w = q * width + (0.0 if slip == "weight" else own)
        M = w * span**2 / (12 if slip == "moment" else 8)
        b, deep = (plies * 2.0, 12.0) if slip == "section" else (plies * 1.5, d)
        S = section_modulus(b, deep)
        f = bending_stress(M, S)
        return [
            f"strip {written(width)}",
            f"w = {show(w, 'plf')}",
            f"M = {show(M, 'lbf*ft')}",
            f"S = {show(S, 'in^3')}",
            f"f_b = {show(f, 'psi')}, which is {show(f / F, '')} of F_b",
        ], f / F

    what = {
        "strip": "The strip reaches to the middle of each span, not to the far walls.",
        "weight": "The line load lacks the beam's own weight.",
        "moment": "A simple span bends with w l² / 8; 12 belongs to ends that are held fast.",
        "section": "The section modulus is that of nominal sizes, not of dressed ones.",
    }
    return _with_a_slip(
        "A sheet with a slip",
        f"A sheet says of a simple beam of {written(span)} span, {plies} plies 2x12 (1 1/2 in "
        f"by 11 1/4 in), {show(own, 'plf')} heavy, under joists of {written(left)} and "
        f"{written(right)} with {show(q, 'psf')}, F_b with its factors {show(F, 'psi')}:",
        lines,
        what,
        wrong,
        {"q": q, "left": left, "right": right, "span": span, "own": own, "F": F},
    )


def _with_a_slip(
    title: str,
    sheet: str,
    lines: Callable[[str], tuple[list[str], float]],
    what: Mapping[str, str],
    wrong: str,
    numbers: Mapping[str, float],
) -> Exercise:
    """Return an exercise that prints lines with one slip and asks for the right last number.

    Parameters
    ----------
    title, sheet : str
        What the sheet is of, up to its lines.
    lines : callable
        Takes a slip, "" for none; returns the lines and the last number.
    what : mapping of str to str
        What is wrong, by slip.
    wrong : str
        The slip that is printed.
    numbers : mapping of str to float [base units]
    """
    printed, as_printed = lines(wrong)
    right_lines, answer = lines("")
    return Exercise(
        title,
        sheet
        + "".join(f"\n{line}" for line in printed)
        + "\nOne line is wrong, and those below follow from it. What should the last number be?",
        "",
        answer,
        "\n".join([what[wrong], *right_lines]),
        "Go down line by line, each from the numbers above it.",
        numbers,
        (
            Slip(as_printed, "That is what the sheet says. One of its lines is wrong."),
            *(
                Slip(lines(slip)[1], f"One line of yours is wrong now. {what[slip]}")
                for slip in what
                if slip != wrong
            ),
        ),
    )


def a_post_with_a_slip(pick: Pick) -> Exercise:
    """Return four lines on a post, one of them wrong, and ask for the right last one."""
    P, height = pick(range(4000, 7000, 250)) * lbf, pick(range(84, 109, 6)) * inch
    F_c, E_min, E = pick(range(1000, 1600, 100)) * psi, 0.58e6 * psi, 1.6e6 * psi
    b, d = 3.5 * inch, 5.5 * inch
    wrong = pick(("axis", "modulus", "factor"))

    def lines(slip: str) -> tuple[list[str], float]:
        ratio = height / (d if slip == "axis" else b)
        F_cE = flatwise_buckling_value(E if slip == "modulus" else E_min, ratio)
        C_P = 1.0 if slip == "factor" else column_stability_factor(F_cE, F_c, 0.8)
        capacity = C_P * F_c * area(b, d)
        return [
            f"l_e / d = {show(ratio, '')}",
            f"F_cE = {show(F_cE, 'psi')}",
            f"C_P = {show(C_P, '')}",
            f"it carries {show(capacity, 'lbf')}, so it is used to {show(P / capacity, '')}",
        ], P / capacity

    what = {
        "axis": "The larger slenderness is that of the thin side, 3 1/2 in.",
        "modulus": "Buckling takes E_min, not the average E.",
        "factor": "A post of this height buckles: C_P is not 1.",
    }
    return _with_a_slip(
        "A post with a slip",
        f"A sheet says of a sawn post 4x6 (3 1/2 in by 5 1/2 in), {written(height)} high, "
        f"pinned and free to move both ways, with {show(P, 'lbf')} on it, F_c* "
        f"{show(F_c, 'psi')}, E_min {show(E_min, 'psi')}, E {show(E, 'psi')}, c = 0.8:",
        lines,
        what,
        wrong,
        {"P": P, "height": height, "F_c": F_c},
    )
