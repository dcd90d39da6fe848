"""The line of the wall, seen from the side: opening, beam, posts, and all that lands on them."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from calclib.sheet.figures_canvas import (
    ACCENT,
    BODY,
    CAPITAL,
    EDGE,
    FAINT,
    HAIR,
    HEAD,
    HEAVY,
    LEADING,
    MEDIUM,
    NOTE,
    PAPER,
    SOFT,
    THIN,
    TINT,
    Canvas,
    Figure,
    block_height,
    glued,
    text_width,
    wrap,
)
from calclib.sheet.figures_landing import LANE, draw_above, extents_above, points_height
from calclib.sheet.figures_marks import (
    break_line,
    dimension_column,
    dimension_row,
    floor_line,
    names_below,
    require_system,
    scale_bar,
    wrapped,
)
from calclib.sheet.figures_scene import Scene
from calclib.sheet.figures_shapes import (
    BeamShape,
    JoistRow,
    LandingLoad,
    LandingPoint,
    Level,
    PostShape,
    WallShape,
)

# In points: the most that the drawing itself takes up.
TALLEST = 250.0
LARGEST_SCALE = 3.2
HATCHES = {"stays": "//", "above": "\\\\\\", "masonry": "xx"}


def opening_elevation(
    *,
    figure_id: str,
    title: str,
    beam: BeamShape,
    posts: Sequence[PostShape],
    joists: Sequence[JoistRow] = (),
    walls: Sequence[WallShape] = (),
    levels: Sequence[Level] = (),
    loads: Sequence[LandingLoad] = (),
    points: Sequence[LandingPoint] = (),
    system: str = "US",
    zero_name: str = "the left end",
) -> Figure:
    """Draw the wall line to scale, with the beam and everything that lands on it.

    Parameters
    ----------
    figure_id : str
        Unlike that of any other figure of the page.
    title : str
        Such as "the opening between kitchen and dining room".
    beam : BeamShape
    posts : sequence of PostShape
        From left to right; two for an opening, more for a beam on columns.
    joists : sequence of JoistRow
    walls : sequence of WallShape
    levels : sequence of Level
        The lowest is drawn as floor.
    loads : sequence of LandingLoad
    points : sequence of LandingPoint
    system : {"US", "SI"}
    zero_name : str
        Where positions are measured from.

    Returns
    -------
    Figure

    Raises
    ------
    InputError
        For another system of units, or a figure id with odd characters.
    """
    require_system(system)
    points = sorted(points, key=lambda point: point.at)
    canvas = Canvas()
    scene = Scene(beam, posts, joists, walls, levels, system, 1.0, 0.0, 0.0)
    scene = _scaled(canvas, scene, *_above(canvas, scene, loads, points))
    draw_above(canvas, scene, loads, points)
    _draw_levels(canvas, scene)
    _draw_walls(canvas, scene)
    _draw_members(canvas, scene)
    foot = _draw_words(canvas, scene)
    foot = _draw_dimensions(canvas, scene, foot + 14.0)
    foot = _draw_title(canvas, scene, foot + 12.0, f"Elevation of {title}")
    near = any(row.side == "near" for row in joists)
    far = any(row.side == "far" for row in joists)
    sides = " Joists before the wall are drawn solid, behind it dashed." if near and far else ""
    return canvas.figure(
        figure_id,
        foot + EDGE,
        f"Elevation of {title}",
        _alternative(scene, title, loads, points, zero_name),
        f"To scale. Positions from {zero_name}. The heavy bars on the posts "
        f"are the bearings of the beam.{sides} The places of single joists are to be measured.",
    )


def _level_words(scene: Scene, level: Level) -> list[str]:
    lines = wrapped(level.name, 66.0, NOTE, 2)
    above = level.height - scene.low
    return [*lines, scene.text(above)] if above > 0 else lines


def _side_texts(scene: Scene) -> tuple[list[float], list[str]]:
    """Return heights from the top down, with the texts between them."""
    beam = scene.beam
    heights = [beam.top, beam.bottom]
    texts = [f"{scene.text(beam.depth)}\nbeam"]
    if beam.bottom > scene.low:
        heights.append(scene.low)
        texts.append(f"{scene.text(beam.bottom - scene.low)}\nclear below")
    return heights, texts


def _above(
    canvas: Canvas, scene: Scene, loads: Sequence[LandingLoad], points: Sequence[LandingPoint]
) -> tuple[float, float]:
    """Return the scale and the height needed for what is written over the drawing."""
    margin_left, margin_right = _margins(scene)
    wide = canvas.width - margin_left - margin_right
    scale = min(wide / (scene.end - scene.start), TALLEST / (scene.high - scene.low), LARGEST_SCALE)
    trial = _scaled(canvas, scene, scale, 0.0)
    count = max((extent.lane for extent in extents_above(canvas, trial, loads)), default=-1) + 1
    return scale, EDGE + count * LANE + 6.0 + points_height(canvas, trial, points)


def _margins(scene: Scene) -> tuple[float, float]:
    names = [line for level in scene.levels for line in _level_words(scene, level)]
    left = max((text_width(line, NOTE) for line in names), default=0.0) + 12.0
    sides = [line for text in _side_texts(scene)[1] for line in text.split("\n")]
    return left, max(text_width(line, NOTE) for line in sides) + 26.0


def _scaled(canvas: Canvas, scene: Scene, scale: float, top: float) -> Scene:
    margin_left, margin_right = _margins(scene)
    spare = canvas.width - margin_left - margin_right - scale * (scene.end - scene.start)
    return Scene(
        scene.beam,
        scene.posts,
        scene.joists,
        scene.walls,
        scene.levels,
        scene.system,
        scale,
        margin_left + max(spare, 0.0) / 2,
        top + scale * (scene.high - scene.low),
    )


def _draw_levels(canvas: Canvas, scene: Scene) -> None:
    left, right = scene.x(scene.start) - 4.0, scene.x(scene.end) + 4.0
    floor = -1e9
    for level in sorted(scene.levels, key=lambda level: -level.height):
        y = scene.y(level.height)
        lines = _level_words(scene, level)
        high = block_height(len(lines), NOTE)
        if level.height > scene.low:
            canvas.line((left, y), (right, y), weight=THIN, color=SOFT)
        else:
            floor_line(canvas, left, right, y)
        top = max(y - high / 2, floor)
        if abs(top + high / 2 - y) > 2.0:
            canvas.line((left, y), (left - 4.0, top + high / 2), weight=HAIR)
        canvas.block(left - 5.0, top, lines, NOTE, "right")
        floor = top + high + 3.5


def _draw_walls(canvas: Canvas, scene: Scene) -> None:
    for wall in scene.walls:
        outline = scene.box(wall.start, wall.end, wall.bottom, wall.shown_top)
        cut = wall.shown_top < wall.top
        canvas.areas([outline], PAPER, 0.0 if cut else MEDIUM, hatch=HATCHES[wall.kind])
        left, right = scene.x(wall.start), scene.x(wall.end)
        low, high = scene.y(wall.bottom), scene.y(wall.shown_top)
        if cut:
            canvas.line((left, high), (left, low), (right, low), (right, high), weight=MEDIUM)
            canvas.line(*break_line(left - 4.0, right + 4.0, high), weight=THIN)
        _wall_words(canvas, wall, left, right, low, high)


def _wall_words(
    canvas: Canvas, wall: WallShape, left: float, right: float, low: float, high: float
) -> None:
    middle, wide, tall = (left + right) / 2, right - left, low - high
    longest = max((text_width(word, NOTE) for word in wall.label.split()), default=0.0)
    if longest + 4.0 <= wide:
        most = max(1, int((tall - 4.0) / (LEADING * NOTE)))
        lines = wrap(wall.label, NOTE, wide - 4.0, most)
        top = (low + high) / 2 - block_height(len(lines), NOTE) / 2
        canvas.block(middle, top, lines, NOTE, "center")
    elif wide >= NOTE + 2.0:
        line = wrap(wall.label, NOTE, tall - 6.0, 1)[0]
        x = middle + NOTE * CAPITAL / 2
        canvas.text(x, (low + high) / 2, line, NOTE, "center", upright=True)


def _draw_members(canvas: Canvas, scene: Scene) -> None:
    beam = scene.beam
    _draw_joists(canvas, scene, "far")
    canvas.areas([scene.box(beam.start, beam.end, beam.bottom, beam.top)], TINT, HEAVY)
    grain = [beam.bottom + share * beam.depth for share in (0.3, 0.55, 0.8)]
    canvas.lines(
        [
            ((scene.x(beam.start) + 3.0, scene.y(h)), (scene.x(beam.end) - 3.0, scene.y(h)))
            for h in grain
        ],
        weight=HAIR,
        color=FAINT,
    )
    if any(row.bottom < beam.top for row in scene.joists):
        # Hung joists lie behind the face of the beam as well as on it.
        _draw_joists(canvas, scene, "far")
    _draw_joists(canvas, scene, "near")
    for post in scene.posts:
        outline = scene.box(post.start, post.end, post.bottom, beam.bottom)
        if post.kind == "masonry":
            canvas.areas([outline], PAPER, MEDIUM, hatch=HATCHES["masonry"])
        else:
            canvas.areas([outline], TINT, HEAVY)
    for left, right in _bearings(scene):
        y = scene.y(beam.bottom)
        canvas.line((scene.x(left), y), (scene.x(right), y), weight=2.6, color=ACCENT)


def _draw_joists(canvas: Canvas, scene: Scene, side: str) -> None:
    for row in scene.joists:
        if row.side != side:
            continue
        beside = side == "far" and any(
            other.side == "near" and other.start < row.end and row.start < other.end
            for other in scene.joists
        )
        shift = row.thickness if beside else 0.0
        boxes = [
            scene.box(
                at + shift - row.thickness / 2,
                at + shift + row.thickness / 2,
                row.bottom,
                row.top,
            )
            for at in row.places
        ]
        if side == "far":
            canvas.areas(boxes, "none", THIN, dash=(2.0, 1.2))
            continue
        canvas.areas(boxes, PAPER, MEDIUM)
        if row.thickness * scene.points_per_inch >= 2.0:
            canvas.lines([(box[0], box[2]) for box in boxes], weight=HAIR)
            canvas.lines([(box[1], box[3]) for box in boxes], weight=HAIR)


def _bearings(scene: Scene) -> list[tuple[float, float]]:
    middle = (scene.beam.start + scene.beam.end) / 2
    found = []
    for post in scene.posts:
        left, right = max(post.start, scene.beam.start), min(post.end, scene.beam.end)
        if post.bearing is not None and post.bearing < right - left:
            left, right = (
                (right - post.bearing, right) if right <= middle else (left, left + post.bearing)
            )
        found.append((left, right))
    return found


def _draw_words(canvas: Canvas, scene: Scene) -> float:
    """Write what the beam and the posts are, and return the y below it."""
    beam = scene.beam
    gaps = [(a.end, b.start) for a, b in pairwise(scene.posts)] or [(beam.start, beam.end)]
    start, end = max(gaps, key=lambda gap: gap[1] - gap[0])
    lines = wrapped(beam.label, scene.points_per_inch * (end - start) - 10.0, BODY, 4)
    canvas.block(scene.x((start + end) / 2), scene.y(beam.bottom) + 5.0, lines, BODY, "center")
    places = [scene.x((post.start + post.end) / 2) for post in scene.posts]
    room = min((b - a for a, b in pairwise(places)), default=canvas.width)
    names = [
        [
            line
            for part in (post.name, post.label, _bearing_text(scene, post))
            for line in wrapped(part, max(room - 8.0, 90.0), NOTE, 2)
        ]
        for post in scene.posts
    ]
    return names_below(canvas, places, names, scene.base + 8.0, NOTE)


def _bearing_text(scene: Scene, post: PostShape) -> str:
    return f"bearing {glued(scene.text(post.bearing))}" if post.bearing is not None else ""


def _draw_dimensions(canvas: Canvas, scene: Scene, y: float) -> float:
    right = scene.x(scene.end)
    heights, texts = _side_texts(scene)
    dimension_column(canvas, right + 16.0, [scene.y(h) for h in heights], texts, 9.0)
    faces = sorted(
        {scene.start, scene.end, *(p.start for p in scene.posts), *(p.end for p in scene.posts)}
    )
    clear = {(a.end, b.start) for a, b in pairwise(scene.posts)}
    words = [scene.text(b - a) + (" clear" if (a, b) in clear else "") for a, b in pairwise(faces)]
    y = dimension_row(canvas, [scene.x(at) for at in faces], words, y, reach=5.0, low=EDGE)
    beam = scene.beam
    return dimension_row(
        canvas,
        [scene.x(beam.start), scene.x(beam.end)],
        [f"beam {scene.text(beam.end - beam.start)}"],
        y + 10.0,
        reach=5.0,
        low=EDGE,
    )


def _draw_title(canvas: Canvas, scene: Scene, y: float, title: str) -> float:
    left = scale_bar(canvas, canvas.width - EDGE, y + 9.0, scene.points_per_inch, scene.system)
    lines = wrap(title, HEAD, left - EDGE - 12.0, 2, bold=True)
    return max(canvas.block(EDGE, y, lines, HEAD, bold=True).bottom, y + 13.0)


def _alternative(
    scene: Scene,
    title: str,
    loads: Sequence[LandingLoad],
    points: Sequence[LandingPoint],
    zero_name: str,
) -> str:
    beam = scene.beam
    posts = ", ".join(
        f"{post.name}{f' ({post.label})' if post.label else ''}"
        + (f", bearing {scene.text(post.bearing)}" if post.bearing is not None else "")
        for post in scene.posts
    )
    clear = ", ".join(scene.text(b.start - a.end) for a, b in pairwise(scene.posts))
    parts = [
        f"Elevation of {title}: {beam.label}, {scene.text(beam.end - beam.start)} long and "
        f"{scene.text(beam.depth)} deep, on {posts}"
        + (f"; clear between them {clear}." if clear else "."),
    ]
    if beam.bottom > scene.low:
        parts.append(f"Its bottom is {scene.text(beam.bottom - scene.low)} above the floor.")
    landing = [
        f"{label} from {scene.extent(start, end)}"
        for start, end, label in [
            *((row.start, row.end, row.label) for row in scene.joists),
            *((w.start, w.end, w.label) for w in scene.walls if w.kind == "above"),
            *((load.start, load.end, load.label) for load in loads),
        ]
    ]
    landing += [f"{point.label} at {scene.text(point.at)}" for point in points]
    if landing:
        parts.append(f"On it land: {'; '.join(landing)}; measured from {zero_name}.")
    return " ".join(parts)
