"""The strip of small elevations, one for each stage of the work, across the wall's line."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from calclib.sheet.figures_canvas import (
    BODY,
    HAIR,
    HEAVY,
    INK,
    MEDIUM,
    NOTE,
    PAGE_WIDTH,
    PAPER,
    SOFT,
    THIN,
    TINT,
    Canvas,
    Figure,
    Spot,
    text_width,
    wrap,
)
from calclib.sheet.figures_marks import arrow_head, floor_line

COLUMNS = 3
ROOM, HIGH = 8.0, 134.0
# Of a panel narrower than this the words stand upright, and its head is lower.
NARROW, LOW = 130.0, 14.0
TEMPORARY, OUT = "////", (2.4, 2.0)


@dataclass(frozen=True)
class Panel:
    """One stage, as a section across the line of the wall.

    Attributes
    ----------
    title : str
    wall, beam, posts : str
        "" for what is not there, "stands" for what carries, "idle" for what is there and carries
        nothing yet, "out" for what was taken out.
    shores : tuple of str
        For the left and the right side, the same words.
    joists : str
        "whole", "cut" or "hung".
    """

    title: str
    wall: str
    beam: str
    posts: str
    shores: tuple[str, str]
    joists: str


@dataclass(frozen=True)
class Strip:
    """What stands on both sides of the line.

    Attributes
    ----------
    left, right : str
        The far bearings, in words.
    names : tuple of str
        Of the shores.
    flush : bool
    above : bool
        Whether a wall stands over the line.
    sides : tuple of bool
        Whether joists lie on the left and on the right.
    """

    left: str
    right: str
    names: tuple[str, str]
    flush: bool
    above: bool
    sides: tuple[bool, bool]


def stage_strip(
    strip: Strip,
    panels: Sequence[Panel],
    figure_id: str,
    title: str,
    *,
    columns: int = COLUMNS,
    width: float = PAGE_WIDTH,
) -> Figure:
    """Draw the stages of a work side by side.

    Parameters
    ----------
    strip : Strip
    panels : sequence of Panel
    figure_id : str
    title : str
    columns : int
        Stages in one row.
    width : float
        Of the drawing, in points.

    Returns
    -------
    Figure
        Supported, temporary and removed members differ by hatch, line and word.
    """
    canvas = Canvas(width)
    wide = (canvas.width - 1.0 - ROOM * (columns - 1)) / columns
    high = HIGH - (LOW if wide < NARROW else 0.0)
    for number, panel in enumerate(panels):
        left = 0.5 + (number % columns) * (wide + ROOM)
        top = 0.5 + (number // columns) * (high + ROOM)
        _panel(canvas, strip, panel, number + 1, left, top, wide)
    rows = (len(panels) + columns - 1) // columns
    y = rows * (high + ROOM) + 2.0
    if wide >= NARROW:
        _legend(canvas, y)
    else:
        y -= 18.0
    said = " ".join(
        f"{number}, {panel.title}: {_words(strip, panel)}."
        for number, panel in enumerate(panels, start=1)
    )
    return canvas.figure(
        figure_id, y + 12.0, title, f"Stages of the work. {said}",
        f"{title}: sections across the wall's line, not to scale. An arrow stands under what "
        "carries the floor in that stage.",
    )  # fmt: skip


def _words(strip: Strip, panel: Panel) -> str:
    parts = []
    for what, state in (("the wall", panel.wall), ("the beam", panel.beam), ("posts", panel.posts)):
        if state:
            word = {"stands": "carries", "idle": "in place, not loaded", "out": "taken out"}[state]
            parts.append(f"{what} {word}")
    for name, state in zip(strip.names, panel.shores, strict=True):
        if state and name:
            word = {"stands": "carries", "idle": "in place", "out": "taken out"}[state]
            parts.append(f"the {name} shore {word}")
    return ", ".join([*parts, f"joists {panel.joists}"])


def _box(left: float, top: float, right: float, bottom: float) -> list[Spot]:
    return [(left, top), (right, top), (right, bottom), (left, bottom)]


def _panel(
    canvas: Canvas, strip: Strip, panel: Panel, number: int, left: float, top: float, wide: float
) -> None:
    narrow = wide < NARROW
    high = HIGH - (LOW if narrow else 0.0)
    canvas.areas([_box(left, top, left + wide, top + high)], PAPER, HAIR, SOFT)
    canvas.text(left + 5.0, top + 11.0, f"{number}  {panel.title}", BODY, bold=True)
    top -= LOW if narrow else 0.0
    floor, joist_top, joist_bottom = top + 106.0, top + 44.0, top + 53.0
    middle = left + wide / 2
    ends = left + 14.0, left + wide - 14.0
    floor_line(canvas, left + 4.0, left + wide - 4.0, floor)
    if strip.above:
        plate = 12.0 if panel.joists == "cut" else 6.0
        _thing(canvas, _box(middle - 4.0, top + 28.0, middle + 4.0, joist_top - 3.0), "stands")
        _thing(canvas, _box(middle - plate, joist_top - 3.0, middle + plate, joist_top), "stands")
        canvas.text(middle + 7.0, top + 36.0, "wall above", NOTE)
    half = 8.0 if panel.joists != "whole" else 0.0
    for place, (x, inner) in enumerate(((ends[0], middle - half), (ends[1], middle + half))):
        if not strip.sides[place]:
            continue
        low, high = sorted((x, inner))
        canvas.areas([_box(low - 4.0 * (place == 0), joist_top, high + 4.0 * place, joist_bottom)],
                     TINT, THIN)  # fmt: skip
        _thing(canvas, _box(x - 4.0, joist_bottom, x + 4.0, floor), "stands")
        label = wrap((strip.left, strip.right)[place], NOTE, wide / 3, 1)[0]
        canvas.text(x - 6.0 if not place else x + 6.0, floor + 25.0, label, NOTE,
                    "left" if not place else "right")  # fmt: skip
        _shore(canvas, strip, panel, place, middle, joist_bottom, floor, wide)
    _line(canvas, strip, panel, middle, joist_top, joist_bottom, floor)


def _shore(
    canvas: Canvas, strip: Strip, panel: Panel, place: int, middle: float, top: float,
    floor: float, wide: float,
) -> None:  # fmt: skip
    state = panel.shores[place]
    if not state:
        return
    x = middle + (-1 if place == 0 else 1) * wide * 0.17
    _thing(canvas, _box(x - 3.0, top + 4.0, x + 3.0, floor - 3.0), state, temporary=True)
    for y in (top, floor - 3.0):
        canvas.areas([_box(x - 6.0, y, x + 6.0, y + 3.5)], PAPER, THIN,
                     dash=OUT if state == "out" else None)  # fmt: skip
    word = "out" if state == "out" else "shore"
    if wide < NARROW:
        canvas.text(x + (-5.0 if place == 0 else 10.0), (top + floor) / 2 + 8.0, word, NOTE,
                    upright=True)  # fmt: skip
    else:
        canvas.text(x + (-8.0 if place == 0 else 8.0), (top + floor) / 2, word, NOTE,
                    "right" if place == 0 else "left")  # fmt: skip
    if state == "stands":
        _carries(canvas, x, floor)


def _line(
    canvas: Canvas, strip: Strip, panel: Panel, x: float, top: float, bottom: float, floor: float
) -> None:
    """Draw what stands on the line itself: wall, beam, post."""
    if panel.wall:
        _thing(canvas, _box(x - 4.0, bottom, x + 4.0, floor), panel.wall)
        if panel.wall == "out":
            canvas.block(x + 6.0, floor - 20.0, ["wall", "out"], NOTE)
        else:
            canvas.text(x + 6.5, (bottom + floor) / 2 - 10.0, "wall", NOTE)
            _carries(canvas, x, floor)
    if panel.beam:
        low = top - 6.0 if strip.flush else bottom
        _thing(canvas, _box(x - 6.0, low, x + 6.0, low + 15.0), panel.beam)
        canvas.text(x + 8.5 if not strip.flush else x, low + (10.0 if not strip.flush else 24.0),
                    "beam", NOTE, "left" if not strip.flush else "center")  # fmt: skip
    if panel.posts:
        start = (top + 9.0) if strip.flush else bottom + 15.0
        start = max(start, bottom + 10.0) if strip.flush else start
        _thing(canvas, _box(x - 5.0, start, x + 5.0, floor), panel.posts)
        canvas.text(x + 7.0, floor - 12.0, "post", NOTE)
        if panel.posts == "stands":
            _carries(canvas, x, floor)


def _thing(canvas: Canvas, outline: list[Spot], state: str, *, temporary: bool = False) -> None:
    if state == "out":
        canvas.areas([outline], "none", THIN, SOFT, dash=OUT)
    elif temporary:
        canvas.areas([outline], PAPER, MEDIUM, hatch=TEMPORARY, hatch_color=SOFT)
    else:
        canvas.areas([outline], PAPER, HEAVY if state == "stands" else THIN)


def _carries(canvas: Canvas, x: float, floor: float) -> None:
    canvas.line((x, floor + 4.0), (x, floor + 15.0), weight=MEDIUM)
    canvas.areas([arrow_head((x, floor + 18.0))], INK)


def _legend(canvas: Canvas, y: float) -> None:
    x = 4.0
    for state, temporary, words in (
        ("stands", False, "supported member, carries"),
        ("idle", False, "in place, not loaded yet"),
        ("stands", True, "temporary"),
        ("out", False, "removed"),
    ):
        _thing(canvas, _box(x, y, x + 18.0, y + 10.0), state, temporary=temporary)
        canvas.text(x + 23.0, y + 8.0, words, NOTE)
        x += 23.0 + text_width(words, NOTE) + 16.0
