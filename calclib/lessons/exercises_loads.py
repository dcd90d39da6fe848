"""Exercises on where loads go: lessons 1, 2, 7 and 8."""

from __future__ import annotations

from calclib.lessons.exercise import Exercise, Pick, Slip, written
from calclib.loads.takedown import strip_reaction
from calclib.units import ft, inch, lbf, plf, psf, show

DOWN = "Loads and reactions are counted positive here; both posts push up."
HOGGING = "Where a member hogs, with tension at its top, the kit counts the moment negative."


def _simple_reactions(length: float, *loads: object) -> tuple[float, float]:
    from calclib.mechanics import Beam, Support, solve

    beam = Beam(length=length, supports=[Support(0.0), Support(length)], EI=1.0)
    left, right = solve(beam, {"all": list(loads)}).curves.reactions[0]  # type: ignore[arg-type]
    return float(left), float(right)


def two_posts(pick: Pick) -> Exercise:
    """Return a beam whose load and weight go to two posts."""
    from calclib.mechanics import Line

    span, load, weight = pick(range(10, 19)) * ft, pick(range(420, 900, 30)), pick(range(14, 30))
    w, own = load * plf, weight * plf
    answer, _ = _simple_reactions(span, Line(0.0, span, w + own, w + own))
    return Exercise(
        "Two posts share",
        f"A beam of {written(span)} span stands on two posts. {show(w, 'plf')} lie on all of "
        f"it, and the beam itself weighs {show(own, 'plf')}. How much stands on each post?",
        "lbf",
        answer,
        f"All of it: ({show(w, 'plf')} + {show(own, 'plf')}) × {written(span)} = "
        f"{show(2 * answer, 'lbf')}.\nEach post carries half, for the load is the same on both "
        "sides of the middle.",
        "Add what lies on the beam and the beam itself, and share it.",
        {"span": span, "w": w, "own": own},
        (
            Slip(w * span / 2, "You forgot the beam's own weight."),
            Slip((w + own) * span, "That is all of the load; the two posts share it."),
            Slip(w * span, "You forgot the beam's own weight, and two posts share the load."),
        ),
        DOWN,
    )


def nearer_post(pick: Pick) -> Exercise:
    """Return a single load nearer to one of two posts."""
    from calclib.mechanics import Point

    span, share = pick(range(10, 20, 2)) * ft, pick((0.2, 0.25, 0.3, 0.35))
    P, at = pick(range(1200, 4000, 100)) * lbf, float(round(share * span))
    answer, other = _simple_reactions(span, Point(at, P))
    return Exercise(
        "The nearer post",
        f"A strut brings {show(P, 'lbf')} down on a beam of {written(span)} span, "
        f"{written(at)} from the left post. How much of it goes to the left post?",
        "lbf",
        answer,
        f"Turn about the right post: R × {written(span)} = {show(P, 'lbf')} × "
        f"{written(span - at)}.\nR = {show(answer, 'lbf')}; the right post has the other "
        f"{show(other, 'lbf')}.",
        "Write that nothing turns about the other post.",
        {"span": span, "P": P, "at": at},
        (
            Slip(other, "That goes to the right post. The nearer post carries more."),
            Slip(P / 2, "The posts would share it so if it came down in the middle."),
            Slip(P, "All of it would go there only if it came down right on the post."),
        ),
        DOWN,
    )


def what_the_post_held(pick: Pick) -> Exercise:
    """Return a post under two girders that meet on it."""
    left, right = pick(range(7, 11)) * ft, pick(range(11, 15)) * ft
    w = pick(range(500, 1000, 50)) * plf
    answer = _meeting(w, left, right)
    return Exercise(
        "What the post held",
        f"Two girders meet on a basement post, one of {written(left)} span, one of "
        f"{written(right)}. Each carries {show(w, 'plf')}, its own weight included. "
        "Someone wants the post out. How much must be held before it goes?",
        "lbf",
        answer,
        f"Half of the left girder's load: {show(w * left / 2, 'lbf')}.\nHalf of the right "
        f"girder's: {show(w * right / 2, 'lbf')}.\nBoth stand on the post.",
        "Each girder hands half of its load to each of its ends.",
        {"left": left, "right": right, "w": w},
        (
            Slip(w * left / 2, "The right girder rests on the post too."),
            Slip(w * right / 2, "The left girder rests on the post too."),
            Slip(w * (left + right), "That is all of both girders; half is held at their ends."),
        ),
        DOWN,
    )


def _meeting(w: float, left: float, right: float) -> float:
    from calclib.mechanics import Line

    before, after = Line(0.0, left, w, w), Line(0.0, right, w, w)
    return _simple_reactions(left, before)[1] + _simple_reactions(right, after)[0]


def strip_of_floor(pick: Pick) -> Exercise:
    """Return the line load of joists that end on a beam from both sides."""
    dead, live = pick(range(8, 16)) * psf, pick((30, 40, 50)) * psf
    left, right = pick(range(9, 12)) * ft, pick(range(12, 16)) * ft
    answer = strip_reaction(dead + live, left) + strip_reaction(dead + live, right)
    whole = (dead + live) * (left + right)
    return Exercise(
        "A strip of floor",
        f"Joists of {written(left)} span from the one side and of {written(right)} from "
        f"the other end on a beam. The floor weighs {show(dead, 'psf')} and carries "
        f"{show(live, 'psf')} live. What line load is that on the beam?",
        "plf",
        answer,
        f"Each joist hands half of its load to the beam: the strip is ({written(left)} + "
        f"{written(right)}) / 2 = {written((left + right) / 2)} wide.\n"
        f"({show(dead, 'psf')} + {show(live, 'psf')}) × {written((left + right) / 2)}.",
        "The strip that comes to the beam ends in the middle of each span.",
        {"dead": dead, "live": live, "left": left, "right": right},
        (
            Slip(whole, "That is both floors whole; half of each goes to the other walls."),
            Slip(live * (left + right) / 2, "You forgot that the floor weighs something itself."),
            Slip(dead * (left + right) / 2, "You forgot the people: the live load is missing."),
            Slip((dead + live) * left / 2, "Joists come from the other side too."),
            Slip((dead + live) * right / 2, "Joists come from the other side too."),
        ),
        DOWN,
    )


def _continuous(w: float, span: float) -> tuple[float, float, float]:
    from calclib.mechanics import Beam, Line, Support, solve

    beam = Beam(length=2 * span, supports=[Support(i * span) for i in range(3)], EI=1.0)
    ends = solve(beam, {"all": [Line(0.0, 2 * span, w, w)]}).curves.reactions[0]
    return float(ends[0]), float(ends[1]), float(ends[2])


def strip_that_lies(pick: Pick) -> Exercise:
    """Return the line load of joists that run over a beam in one piece."""
    q, span = pick(range(46, 60)) * psf, pick(range(10, 15)) * ft
    # A strip one unit of length wide: its reaction is a load along the beam.
    _, answer, _ = _continuous(q, span)
    return Exercise(
        "Joists in one piece",
        f"Joists run over a beam in one piece, {written(span)} to each side, with "
        f"{show(q, 'psf')} on both spans. What line load is that on the beam?",
        "plf",
        answer,
        "A beam over two equal spans puts 5/4 w l on the support in the middle.\n"
        f"5/4 × {show(q, 'psf')} × {written(span)}.",
        "A joist that runs through leans on its middle support more than two joists would.",
        {"q": q, "span": span},
        (
            Slip(q * span, "That is the tributary width, as if the joists were cut on the beam."),
            Slip(q * span * 3 / 8, "That is what one of the outer walls gets."),
            Slip(q * span * 5 / 8, "That is the shear beside the beam; it comes from both sides."),
        ),
        DOWN,
    )


def outer_wall(pick: Pick) -> Exercise:
    """Return what is left for the outer wall where joists run through."""
    q, span = pick(range(46, 60)) * psf, pick(range(10, 15)) * ft
    answer, middle, _ = _continuous(q, span)
    return Exercise(
        "What is left for the outer wall",
        f"The same kind of joists, {written(span)} to each side of the beam in one piece, "
        f"{show(q, 'psf')} on both spans. What line load comes on the outer wall?",
        "plf",
        answer,
        f"Both spans together: {show(2 * q * span, 'plf')}. The beam takes "
        f"{show(middle, 'plf')} of it, and the two walls share the rest: 3/8 w l each.",
        "What the beam takes beyond its strip, the walls do not get.",
        {"q": q, "span": span},
        (
            Slip(q * span / 2, "That is the tributary width, as if the joists were cut."),
            Slip(middle, "That is what the beam gets."),
        ),
        DOWN,
    )


def behind_the_shore(pick: Pick) -> Exercise:
    """Return the load of a shoring wall before joist ends that nothing else holds."""
    q, span = pick(range(46, 60)) * psf, pick(range(11, 15)) * ft
    a = pick((24, 27, 30, 33, 36)) * inch
    answer = _on_shore(q, span, a)
    return Exercise(
        "More than half",
        f"Joists of {written(span)} run from the outer wall to a bearing wall that is to come "
        f"out. A shoring wall holds them {written(a)} before it, so that their ends hang out "
        f"past the shore. The floor has {show(q, 'psf')} on it. What line load does the shoring "
        "wall carry?",
        "plf",
        answer,
        f"Turn about the outer wall: the load {show(q * span, 'plf')} acts at half of "
        f"{written(span)}, the shore at {written(span - a)}.\n"
        f"q l² / 2 (l − a) = {show(q, 'psf')} × ({written(span)})² / "
        f"(2 × {written(span - a)}).",
        "Write that nothing turns about the outer wall, and mind where the shore stands.",
        {"q": q, "span": span, "a": a},
        (
            Slip(q * span / 2, "That is what the bearing wall carried; the shore stands nearer."),
            Slip(q * (span - a) / 2, "You forgot the ends that hang out past the shore."),
            Slip(q * ((span - a) / 2 + a), "The ends that hang out pry: they do more than weigh."),
            Slip(q * span, "Some of it stays on the outer wall."),
        ),
        DOWN,
    )


def _on_shore(q: float, span: float, a: float) -> float:
    from calclib.mechanics import Beam, Line, Support, solve

    beam = Beam(length=span, supports=[Support(0.0), Support(span - a)], EI=1.0)
    return float(solve(beam, {"all": [Line(0.0, span, q, q)]}).curves.reactions[0][1])


def over_the_shore(pick: Pick) -> Exercise:
    """Return the moment of a joist over the shore."""
    from calclib.mechanics import Beam, Line, Support, solve

    q, span = pick(range(46, 60)) * psf, pick(range(11, 15)) * ft
    a, spacing = pick((24, 27, 30, 33, 36)) * inch, pick((16, 24)) * inch
    w = q * spacing
    beam = Beam(length=span, supports=[Support(0.0), Support(span - a)], EI=1.0)
    answer = float(solve(beam, {"all": [Line(0.0, span, w, w)]}).curves.moment(span - a)[0])
    return Exercise(
        "Over the shore",
        f"The ends of joists hang out {written(a)} past a shoring wall, and nothing holds "
        f"them. Joists stand {written(spacing)} apart, {show(q, 'psf')} lie on the floor. "
        "What is the bending moment of one joist over the shore, with its sign?",
        "lbf*ft",
        answer,
        f"One joist carries w = {show(q, 'psf')} × {written(spacing)} = {show(w, 'plf')}.\n"
        f"M = −w a² / 2, a = {written(a)}.",
        "The load of the end acts at half of its length from the shore.",
        {"q": q, "a": a, "spacing": spacing},
        (
            Slip(-w * a**2, "The load of the end acts at half of its length, not at the tip."),
            Slip(-w * a**2 / 8, "w l² / 8 is for a span with two supports; the end has one."),
            Slip(
                -q * ft * a**2 / 2, "That is for a strip of one foot; joists stand farther apart."
            ),
        ),
        HOGGING,
    )


def braced_stud(pick: Pick) -> Exercise:
    """Return the slenderness of a shoring stud with a brace at half its height."""
    from calclib.timber.columns import edgewise_slenderness, flatwise_slenderness

    height = pick(range(84, 109, 2)) * inch
    answer = max(flatwise_slenderness(height / 2, 1.5), edgewise_slenderness(height, 3.5))
    return Exercise(
        "A stud with one brace",
        f"A stud 2x4 of a shoring wall, {written(height)} long, is 1 1/2 in by 3 1/2 in. A "
        "row of braces at half its height keeps it from moving in the plane of the wall, its weak "
        "direction. What is its slenderness ratio?",
        "",
        answer,
        f"Weak direction: {written(height / 2)} / 1 1/2 in = {show(answer, '')}.\n"
        f"Strong direction: {written(height)} / 3 1/2 in = {show(height / 3.5, '')}.\n"
        "The larger ratio governs.",
        "Find the ratio in both directions; the larger one governs.",
        {"height": height},
        (
            Slip(height / 1.5, "The brace is forgotten: half of the height is free, not all."),
            Slip(height / 3.5, "That is the other direction; the larger ratio governs."),
            Slip(height / 2 / 3.5, "The braces hold it in the weak direction, 1 1/2 in thick."),
            Slip(height / 2 / 2, "A 2x4 is not 2 in thick: it is dressed to 1 1/2 in."),
        ),
    )


def moved_to_a_post(pick: Pick) -> Exercise:
    """Return the moment of a girder after a wall's load was gathered in one post."""
    from calclib.mechanics import Line, Point

    span, w = pick(range(8, 15)) * ft, pick(range(200, 400, 20)) * plf
    own = pick(range(20, 34)) * plf
    answer = _largest(span, Line(0.0, span, own, own), Point(span / 2, w * span))
    return Exercise(
        "Gathered in one post",
        f"A bearing wall puts {show(w, 'plf')} on all of a girder of {written(span)} span "
        f"below it; the girder weighs {show(own, 'plf')}. The wall is opened, and a post now "
        "brings the same total down in the middle of the girder. What is its largest moment "
        "after the work?",
        "lbf*ft",
        answer,
        f"The post brings P = {show(w, 'plf')} × {written(span)} = {show(w * span, 'lbf')}.\n"
        f"P l / 4 = {show(w * span**2 / 4, 'lbf*ft')}, and the girder's own "
        f"w l² / 8 = {show(own * span**2 / 8, 'lbf*ft')}.",
        "Add the moment of the post, P l / 4, and of the girder's own weight, w l² / 8.",
        {"span": span, "w": w, "own": own},
        (
            Slip(
                (w + own) * span**2 / 8,
                "That is the moment before the work. The total is the same, but it lies elsewhere.",
            ),
            Slip(w * span**2 / 4, "You forgot the girder's own weight."),
            Slip((w + own) * span**2 / 4, "The girder's own weight does not move to the middle."),
        ),
        "Between two posts a girder sags, which counts positive.",
    )


def post_near_the_end(pick: Pick) -> Exercise:
    """Return the shear of a girder under a post near one of its ends."""
    from calclib.mechanics import Line, Point

    span, P = pick(range(10, 17)) * ft, pick(range(2500, 6000, 250)) * lbf
    at, own = pick((18, 21, 24, 27)) * inch, pick(range(12, 24)) * plf
    answer, far = _simple_reactions(span, Line(0.0, span, own, own), Point(at, P))
    return Exercise(
        "Near the end",
        f"To spare the girder's moment, the post with {show(P, 'lbf')} is set {written(at)} "
        f"from the left end of its {written(span)} span. The girder weighs "
        f"{show(own, 'plf')}. What is the largest shear now?",
        "lbf",
        answer,
        f"The left end takes P (l − a) / l = {show(P * (span - at) / span, 'lbf')} of the post "
        f"and half of the girder, {show(own * span / 2, 'lbf')}; the shear beside it is the same.",
        "The shear is largest beside the support that takes more, and equals its reaction.",
        {"span": span, "P": P, "at": at, "own": own},
        (
            Slip(P / 2 + own * span / 2, "The post is not in the middle: the near end takes more."),
            Slip(P * (span - at) / span, "You forgot the girder's own weight."),
            Slip(far, "That is the far end; the larger shear is at the near one."),
            Slip(P, "Part of it still goes to the far end."),
        ),
        "Beside the left end the part on the left pushes up, which counts positive.",
    )


def _largest(span: float, *loads: object) -> float:
    from calclib.mechanics import Beam, Support, solve

    beam = Beam(length=span, supports=[Support(0.0), Support(span)], EI=1.0)
    curves = solve(beam, {"all": list(loads)}).curves  # type: ignore[arg-type]
    return float(curves.moment_extremes.of_member.highest[0])
