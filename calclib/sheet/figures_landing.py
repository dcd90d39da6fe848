"""What lands on the line of the wall, written above its elevation."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from calclib.sheet.figures_canvas import (
    EDGE,
    FAINT,
    HAIR,
    HEAVY,
    INK,
    LEADING,
    MEDIUM,
    NOTE,
    Canvas,
    glued,
    text_width,
    wrap,
)
from calclib.sheet.figures_marks import (
    arrow_head,
    tick,
    wrapped,
)
from calclib.sheet.figures_placing import GAP, lanes, point_lanes, within
from calclib.sheet.figures_scene import Scene
from calclib.sheet.figures_shapes import (
    LandingLoad,
    LandingPoint,
)

LANE = 13.5


@dataclass(frozen=True)
class Extent:
    """A stretch of the wall line on which something lands, with its words; `lane` from below."""

    start: float
    end: float
    height: float
    is_load: bool
    text: str
    middle: float
    lane: int


def extents_above(canvas: Canvas, scene: Scene, loads: Sequence[LandingLoad]) -> list[Extent]:
    """Return what lands over a length, each with its words and its lane, from below."""
    rows, walls = scene.joists, [wall for wall in scene.walls if wall.kind == "above"]
    found = [
        *((row.start, row.end, row.top, False, row.label) for row in rows),
        *((wall.start, wall.end, wall.shown_top, False, wall.label) for wall in walls),
        *(
            (load.start, load.end, scene.surface((load.start + load.end) / 2), True, load.label)
            for load in loads
        ),
    ]
    texts, middles, spans = [], [], []
    for start, end, _, _, label in found:
        whole = f"{label}, {scene.extent(start, end)}"
        text = wrap(whole, NOTE, canvas.width - 2 * EDGE, 1)[0]
        wide, left, right = text_width(text, NOTE), scene.x(start), scene.x(end)
        middle = within((left + right) / 2, wide, EDGE, canvas.width - EDGE)
        texts.append(text)
        middles.append(middle)
        spans.append((min(left, middle - wide / 2), max(right, middle + wide / 2)))
    return [
        Extent(start, end, height, is_load, text, middle, lane)
        for (start, end, height, is_load, _), text, middle, lane in zip(
            found, texts, middles, lanes(spans), strict=True
        )
    ]


def _point_words(scene: Scene, points: Sequence[LandingPoint]) -> list[list[str]]:
    return [
        wrapped(f"{point.label}, {glued('at ' + scene.text(point.at))}", 150.0, NOTE, 2)
        for point in points
    ]


def _point_places(
    canvas: Canvas, scene: Scene, points: Sequence[LandingPoint]
) -> tuple[list[list[str]], list[tuple[int, bool]], float]:
    words = _point_words(scene, points)
    wides = [max(text_width(line, NOTE) for line in lines) for lines in words]
    spots = [(scene.x(point.at), scene.x(point.at)) for point in points]
    step = max((len(lines) for lines in words), default=0) * LEADING * NOTE + 3.0
    return words, point_lanes(spots, wides, EDGE, canvas.width - EDGE), step


def points_height(canvas: Canvas, scene: Scene, points: Sequence[LandingPoint]) -> float:
    """Return the height that the words of the point loads need above the drawing, in points."""
    if not points:
        return 0.0
    _, placed, step = _point_places(canvas, scene, points)
    return (max(lane for lane, _ in placed) + 1) * step + 10.0


def draw_above(
    canvas: Canvas, scene: Scene, loads: Sequence[LandingLoad], points: Sequence[LandingPoint]
) -> None:
    """Draw lines over the extents of what lands, and an arrow for each point load.

    Parameters
    ----------
    canvas : Canvas
    scene : Scene
        In its final scale and place.
    loads : sequence of LandingLoad
    points : sequence of LandingPoint
        From left to right.
    """
    found = extents_above(canvas, scene, loads)
    roof = scene.y(scene.high)
    first = roof - 6.0 - points_height(canvas, scene, points)
    canvas.lines(
        [
            ((scene.x(at), first - extent.lane * LANE - 2.5), (scene.x(at), scene.y(extent.height)))
            for extent in found
            for at in (extent.start, extent.end)
        ],
        weight=HAIR,
        color=FAINT,
    )
    for extent in found:
        left, right, y = scene.x(extent.start), scene.x(extent.end), first - extent.lane * LANE
        canvas.line((left, y), (right, y), weight=MEDIUM if extent.is_load else HAIR)
        if extent.is_load:
            count = max(1, round((right - left) / 30.0))
            step = (right - left) / count
            canvas.areas([arrow_head((left + i * step, y + 4.5)) for i in range(count + 1)], INK)
        else:
            canvas.lines([tick(left, y), tick(right, y)], weight=MEDIUM)
        canvas.text(extent.middle, y - 2.6, extent.text, NOTE, "center")
    _draw_points(canvas, scene, points, roof)


def _draw_points(canvas: Canvas, scene: Scene, points: Sequence[LandingPoint], roof: float) -> None:
    if not points:
        return
    words, placed, step = _point_places(canvas, scene, points)
    for point, lines, (lane, to_right) in zip(points, words, placed, strict=True):
        x, tip = scene.x(point.at), scene.y(scene.surface(point.at))
        top = roof - 10.0 - (lane + 1) * step + 3.0
        canvas.line((x, top), (x, tip), weight=HEAVY)
        canvas.areas([arrow_head((x, tip), size=5.5)], INK)
        shift = GAP if to_right else -GAP
        canvas.block(x + shift, top, lines, NOTE, "left" if to_right else "right")
