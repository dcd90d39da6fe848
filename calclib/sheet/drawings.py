"""From a solved beam to the plain data of its figures."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import Any, Literal

from calclib import published
from calclib.job import graph
from calclib.job.bent import Bent
from calclib.job.carry import Flow, Handing
from calclib.job.contents import Section
from calclib.job.lines import SAME_PLACE
from calclib.job.member import LoadRow, Model
from calclib.job.schema import called as words
from calclib.job.solve import Solved
from calclib.loads.combinations import SOURCE_NAMES
from calclib.mechanics import Curves, Solution
from calclib.sheet.display import Display
from calclib.sheet.figures import (
    BeamShape,
    Curve,
    Figure,
    JoistRow,
    LandingLoad,
    LandingPoint,
    Level,
    LineLoad,
    PointLoad,
    PostShape,
    SectionBeam,
    SectionJoist,
    SupportMark,
    WallShape,
    beam_diagrams,
    opening_elevation,
    section_through_beam,
)
from calclib.trace import Check, Value

__all__ = ["Figure", "curve", "diagrams", "elevation", "section_figure"]

POINTS_A_PIECE = 25


def _system(display: Display) -> str:
    return "SI" if display.si else "US"


def _governing(beam: Bent, *ends: str) -> Check:
    """Return the check with the largest utilization among those whose id ends so."""
    found = [
        check
        for check in beam.checks
        if any(check.id.rpartition("/")[2].split(".")[0] == end for end in ends)
    ]
    return max(found, key=lambda check: check.worst)


def _curves(solution: Value, factors: Sequence[Any], case: int) -> Curves:
    solved: Solution = solution.number
    return solved.combine([[float(factor.at(case)) for factor in factors]])


def _places(curves: Curves) -> list[float]:
    """Return places along the member, each break twice: where curves may jump."""
    breaks = [float(at) for at in curves.breaks]
    found = []
    for low, high in pairwise(breaks):
        found += [low + (high - low) * i / POINTS_A_PIECE for i in range(POINTS_A_PIECE + 1)]
    return found


def _sampled(curves: Curves, what: str) -> tuple[list[float], list[float]]:
    places = _places(curves)
    per_piece = POINTS_A_PIECE + 1
    read = getattr(curves, what)
    right = read(places)[0]
    if what == "deflection":
        return places, [float(y) for y in right]
    left = read(places, left=True)[0]
    last = [(i + 1) % per_piece == 0 for i in range(len(places))]
    values = [float(left[i] if last[i] else right[i]) for i in range(len(places))]
    first = [0.0] if what == "shear" else []
    ends = [places[0]] if what == "shear" else []
    return ends + places + [places[-1]] * len(first), first + values + first


def curve(curves: Curves, what: str, case: str = "") -> Curve:
    """Return a curve of a solved beam, ready to be drawn, with its extremes.

    Parameters
    ----------
    curves : Curves
        The first combination is taken.
    what : {"shear", "moment", "deflection"}
    case : str
        Name of the combination.

    Returns
    -------
    Curve
    """
    extremes = getattr(curves, f"{what}_extremes")
    return _with_extremes(*_sampled(curves, what), extremes, case)


def _with_extremes(x: list[float], y: list[float], extremes: Any, case: str) -> Curve:
    marks: list[tuple[float, float]] = []
    for values, places in (
        (extremes.highest[0], extremes.highest_at[0]),
        (extremes.lowest[0], extremes.lowest_at[0]),
    ):
        marks += [(float(at), float(value)) for at, value in zip(places, values, strict=True)]
    largest = max((abs(value) for _, value in marks), default=0.0)
    kept = [mark for mark in dict.fromkeys(marks) if abs(mark[1]) > 1e-3 * largest]
    # At a jump the samples hold both limits in their order, which another point would upset.
    near = SAME_PLACE * max(x, default=0.0)
    between = [mark for mark in kept if all(abs(mark[0] - at) > near for at in x)]
    merged = sorted([*zip(x, y, strict=True), *between], key=lambda spot: spot[0])
    return Curve([spot[0] for spot in merged], [spot[1] for spot in merged], kept, case)


def diagrams(beam: Bent, display: Display) -> Figure:
    """Draw loading, shear, moment and deflection of a beam, each in its governing case."""
    model = beam.model
    length = model.supports[-1].at()
    marks = [
        SupportMark(0.0 if at is None else at.at(), name.replace("_", " "))
        for at, name in zip(model.supports, model.support_names, strict=True)
    ]
    lines, points = _drawn_loads(model, length)
    shear, moment = _governing(beam, "shear"), _governing(beam, "bending", "bending_hogging")
    bent = _governing(beam, "total_deflection")
    by_shear = _curves(beam.solution, beam.strength.factors, shear.case or 0)
    by_moment = _curves(beam.solution, beam.strength.factors, moment.case or 0)
    by_bend = _curves(beam.solution, beam.total.factors, bent.case or 0)
    return beam_diagrams(
        figure_id=f"diagrams-{beam.section.name}",
        title=model.name,
        length=length,
        supports=marks,
        line_loads=lines,
        point_loads=points,
        shear=curve(by_shear, "shear", shear.case_name),
        moment=curve(by_moment, "moment", moment.case_name),
        deflection=curve(by_bend, "deflection", bent.case_name),
        system=_system(display),
        zero_name=f"the center of {model.support_names[0].replace('_', ' ')}",
    )


# With more loads than these on a member, those alike are drawn as one.
MOST_DRAWN = 12


def _drawn_loads(model: Model, length: float) -> tuple[list[LineLoad], list[PointLoad]]:
    """Return the loads to draw: one by one, or, when they are many, summed by place and source.

    Drawn is the balanced load; other ways of snow are further cases of the checks.
    """
    rows = [row for row in model.rows if not row.way]
    many = len(rows) > MOST_DRAWN
    lines: dict[tuple[object, ...], list[tuple[float, str]]] = {}
    points: dict[tuple[object, ...], list[tuple[float, str]]] = {}
    for number, row in enumerate(rows):
        apart = None if many else number
        if row.is_point:
            place = row.source, round(row.start.at(), 3), apart
            points.setdefault(place, []).append((row.size.at(), row.name))
        else:
            start = 0.0 if row.start is None else max(0.0, row.start.at())
            end = length if row.end is None else min(length, row.end.at())
            key = row.source, round(start, 6), round(end, 6), apart
            lines.setdefault(key, []).append((row.size.at(), row.name))
    return (
        [
            LineLoad(key[0], key[1], key[2], _sum(parts), _sum(parts), _name(parts))  # type: ignore[arg-type]
            for key, parts in lines.items()
        ],
        [
            PointLoad(key[1], _sum(parts), _name(parts), key[0])  # type: ignore[arg-type]
            for key, parts in points.items()
        ],
    )


def _sum(parts: Sequence[tuple[float, str]]) -> float:
    return sum(size for size, _ in parts)


def _name(parts: Sequence[tuple[float, str]]) -> str:
    first, *others = dict.fromkeys(name for _, name in parts)
    return first if not others else f"{first} and {len(others)} more"


def _ends(beam: Bent) -> tuple[list[tuple[float, float]], float]:
    """Return the faces of each bearing along the line, the beam's first face being 0 minus it."""
    clear = [span.number for span in beam.section.inside["spans"].values()]  # type: ignore[union-attr]
    at = beam.section.numbers["starts_at"].number - beam.bearings[0].at()
    faces = []
    for bearing, gap in zip(beam.bearings, [*clear, 0.0], strict=True):
        faces.append((at, at + bearing.at()))
        at += bearing.at() + gap
    return faces, faces[-1][1]


UNKNOWN_HEIGHT = 30.0


def elevation(solved: Solved, beam: Bent, display: Display) -> Figure:
    """Draw the wall line to scale with the beam, what carries it and what lands on it."""
    faces, end = _ends(beam)
    flow = solved.flow
    sections = flow.state.members
    path = beam.section.path
    heights = [
        sections[on].numbers["height"].number
        for on in graph.supports(beam.section)
        if on.startswith("posts.")
    ]
    bottom = max(heights, default=UNKNOWN_HEIGHT)
    depth = beam.piece.d.at()
    supports = list(beam.section.seats())
    posts = []
    for support, (left, right) in zip(supports, faces, strict=True):
        on = support.words["on"]
        is_post = on.startswith("posts.")
        post_label = sections[on].words["size"] if is_post else words(on)
        posts.append(
            PostShape(
                left,
                right,
                0.0,
                support.name.replace("_", " "),
                f"{post_label}",
                right - left,
                "post" if is_post else "masonry",
            )
        )
    flush = beam.section.words["setting"] == "flush"
    joists: list[JoistRow] = []
    walls: list[WallShape] = []
    loads: list[LandingLoad] = []
    points: list[LandingPoint] = []
    seat = bottom if flush else bottom + depth
    rows = flow.landed[path]
    for handing in flow.handings:
        if handing.taker != path:
            continue
        section = sections[handing.giver]
        start, stop = _extent_on(section, flow, path, faces[0][0], end)
        kind, label = section.kind, _handed(handing, display)
        if kind == "joists":
            size = published.nominal_size(section.words["size"])
            high = section.numbers["depth"].number if "depth" in section.numbers else size.d_in
            low = bottom + depth - high if flush else seat
            spacing = section.numbers["spacing"].number
            named = f"{words(section.path)} {section.words['size']}"
            named = f"{named} at {display.number(spacing, 'in')}"
            for side in _sides(section, flow, path, joists):
                joists.append(JoistRow(side, start, stop, spacing, low, high, size.b_in, named))
        elif kind == "walls":
            top_of_floor = max([r.bottom + r.depth for r in joists], default=bottom + depth)
            tall = section.numbers.get("height")
            high = top_of_floor + (tall.number if tall else UNKNOWN_HEIGHT)
            walls.append(WallShape(start, stop, top_of_floor, high, words(section.path), "above"))
            loads.append(LandingLoad(start, stop, label))
        elif kind in ("points", "posts", "beams"):
            for at in sorted({row.start.at() for row in rows if _came_from(row, section, flow)}):
                points.append(LandingPoint(at, label))
        else:
            loads.append(LandingLoad(start, stop, label))
    levels = [Level(0.0, "floor" if heights else "height below not entered")]
    plies = int(beam.section.numbers["plies"].number)
    shape = BeamShape(
        faces[0][0],
        end,
        bottom,
        depth,
        f"{plies} ply {beam.section.words['size']}, {beam.piece.material.name}",
    )
    return opening_elevation(
        figure_id=f"elevation-{beam.section.name}",
        title=words(beam.section.path),
        beam=shape,
        posts=posts,
        joists=joists,
        walls=walls,
        levels=levels,
        loads=loads,
        points=points,
        system=_system(display),
        zero_name=f"the inner face of the bearing {supports[0].name.replace('_', ' ')}",
    )


def _handed(handing: Handing, display: Display) -> str:
    """Say what a member hands on, by source."""
    parts = [
        f"{SOURCE_NAMES[source]} {display.number(amount, 'lbf')}"  # type: ignore[index]
        for source, amount in handing.amounts.items()
    ]
    return f"{words(handing.giver)}: {', '.join(parts)}"


def _came_from(row: LoadRow, giver: Section, flow: Flow) -> bool:
    """Tell whether a row that landed at one place came by way of a member."""
    if not row.is_point:
        return False
    if giver.kind == "points":
        return row.origin == giver.path
    places = flow.house.seats.get(giver.path, ())
    if giver.path in flow.house.posts:
        places = (flow.house.posts[giver.path][1],)
    given = [flow.house.inputs.get(f"{giver.path}.at")]
    given += [flow.house.inputs.get(f"{seat.path}.at") for seat in giver.seats()]
    return any(
        abs(row.start.at() - place.at()) < SAME_PLACE
        for place in (*places, *(at for at in given if at is not None))
    )


def _extent_on(
    section: Section, flow: Flow, carrier: str, start: float, end: float
) -> tuple[float, float]:
    """Return from where to where a member lies on a carrier."""
    if section.path in flow.strips:
        on = [strip for strip in flow.strips[section.path] if carrier in strip.carriers]
        return min(strip.start.at() for strip in on), max(strip.end.at() for strip in on)
    stretch = flow.house.stretches[section.path]
    if stretch is None or section.kind != "walls":
        return start, end
    own = flow.house.stretches[carrier]
    low, high = (place.at() for place in stretch)
    if own is not None:
        low, high = max(low, own[0].at()), min(high, own[1].at())
    return low, high


def _sides(
    section: Section, flow: Flow, carrier: str, joists: Sequence[JoistRow]
) -> tuple[Literal["near", "far"], ...]:
    """Return on which sides of the beam a field's joists lie."""
    strips = [strip for strip in flow.strips[section.path] if carrier in strip.carriers]
    ends = {
        strip.marks.index(carrier) in (0, len(strip.marks) - 1) and strip.marks[-1] == carrier
        for strip in strips
    }
    if len(ends) == 2 or any(0 < strip.marks.index(carrier) < len(strip.marks) - 1
                             for strip in strips):  # fmt: skip
        return ("near", "far")
    return ("far",) if any(row.side == "near" for row in joists) else ("near",)


def section_figure(beam: Bent, solved: Solved, display: Display) -> Figure:
    """Draw the beam cut across, with the joists that meet it from both sides."""
    flush = beam.section.words["setting"] == "flush"
    depth = beam.piece.d.at()
    found: list[SectionJoist] = []
    for path, strips in solved.flow.strips.items():
        section = solved.flow.state.members[path]
        if section.kind != "joists" or not any(
            beam.section.path in strip.carriers for strip in strips
        ):
            continue
        size = published.nominal_size(section.words["size"])
        high = section.numbers["depth"].number if "depth" in section.numbers else size.d_in
        low = depth - high if flush else depth
        for _ in _sides(section, solved.flow, beam.section.path, ()):
            side = "right" if found else "left"
            if len(found) < 2:
                label = f"{words(path)} {section.words['size']}"
                found.append(SectionJoist(side, low, high, label))
    plies = int(beam.section.numbers["plies"].number)
    return section_through_beam(
        figure_id=f"section-{beam.section.name}",
        title=words(beam.section.path),
        beam=SectionBeam(plies, beam.piece.material.b.at(), depth, beam.piece.material.name),
        joists=found,
        system=_system(display),
    )
