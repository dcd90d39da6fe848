"""The marks of a drafting office: dimension lines, arrows, supports, hatches, placing of words."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from calclib import units
from calclib.errors import InputError, message, quoted
from calclib.sheet.figures_canvas import (
    BODY,
    CAPITAL,
    FAINT,
    HAIR,
    INK,
    MEDIUM,
    NOTE,
    PAPER,
    SOFT,
    THIN,
    Canvas,
    Spot,
    block_height,
    text_width,
    wrap,
)
from calclib.sheet.figures_placing import GAP, lanes, within

SYSTEMS = ("US", "SI")

SOURCE_NAMES = {
    "D": "dead",
    "L": "live",
    "Lr": "roof live",
    "S": "snow",
    "W": "wind",
    "E": "earthquake",
}
SOURCE_HATCHES = {
    "D": "////",
    "L": "|||",
    "Lr": "\\\\\\",
    "S": "xxx",
    "W": "---",
    "E": "+++",
}
OTHER_HATCH = "xx"

LEADING_OF_ROWS = 1.35


def require_system(system: str) -> None:
    """Refuse a system of units other than "US" and "SI".

    Raises
    ------
    InputError
    """
    if system not in SYSTEMS:
        raise InputError(message("figure", '"US" or "SI"', quoted(system)))


def length_text(inches: float, system: str) -> str:
    """Return a length in feet and inches, or in meters and millimeters."""
    return units.show_length(inches, system == "SI").replace("-", "−")


def amount_text(number: float, unit: str, system: str) -> str:
    """Return a number with its unit, or the SI unit that stands for it; with a true minus."""
    shown = units.si_unit(unit) if system == "SI" else unit
    return units.show(number, shown).replace("-", "−")


def range_text(first: float, last: float, unit: str, system: str) -> str:
    """Return two numbers with their unit, or one where they read the same."""
    shown = units.si_unit(unit) if system == "SI" else unit
    numbers = [units.show_number(number, shown).replace("-", "−") for number in (first, last)]
    whole = amount_text(last, unit, system)
    return whole if numbers[0] == numbers[1] else f"{numbers[0]} to {whole}"


def tick(x: float, y: float, size: float = 2.2) -> tuple[Spot, Spot]:
    """Return the slanted stroke that ends a dimension."""
    return (x - size, y + size), (x + size, y - size)


def arrow_head(tip: Spot, down: bool = True, size: float = 3.6) -> tuple[Spot, ...]:
    """Return a slender arrow head that points down or up."""
    x, y = tip
    back = y - size if down else y + size
    return (x, y), (x - 0.3 * size, back), (x + 0.3 * size, back)


def dimension_row(
    canvas: Canvas,
    stations: Sequence[float],
    texts: Sequence[str],
    y: float,
    *,
    reach: float = 3.0,
    low: float = 4.0,
    high: float | None = None,
) -> float:
    """Draw a row of dimensions along one line, and return the y below all of it.

    Parameters
    ----------
    canvas : Canvas
    stations : sequence of float
        Their ends, rising, in points.
    texts : sequence of str
        One for each space between two stations; an empty one is not written.
    y : float
        Of the line, in points.
    reach : float
        How far the ticks' witness lines stand up from it.
    low, high : float
        Words stay between these; the right one is the edge of the canvas if left out.

    Returns
    -------
    float

    Notes
    -----
    A text stands above its line; where the space is too short for it, below, on a leader.
    """
    right = canvas.width - low if high is None else high
    canvas.line((stations[0], y), (stations[-1], y), weight=HAIR)
    canvas.lines([((x, y - reach), (x, y + 2.0)) for x in stations], weight=HAIR)
    canvas.lines([tick(x, y) for x in stations], weight=MEDIUM)
    below: list[tuple[float, float, str]] = []
    for (start, end), text in zip(pairwise(stations), texts, strict=True):
        middle, wide = (start + end) / 2, text_width(text, NOTE)
        if wide + 5.0 <= end - start:
            canvas.text(middle, y - 2.4, text, NOTE, "center")
        elif text:
            below.append((middle, within(middle, wide, low, right), text))
    spans = [(x - text_width(t, NOTE) / 2, x + text_width(t, NOTE) / 2) for _, x, t in below]
    rows = lanes(spans)
    # Lower rows first, so that no leader runs over a word.
    for row, (middle, x, text) in sorted(zip(rows, below, strict=True), reverse=True):
        base = y + 6.0 + NOTE * (CAPITAL + row * LEADING_OF_ROWS)
        canvas.line((middle, y), (x, base - NOTE * CAPITAL - 1.0), weight=HAIR)
        canvas.text(x, base, text, NOTE, "center")
    return y + (8.0 + NOTE * (CAPITAL + max(rows) * LEADING_OF_ROWS) if rows else 3.0)


def dimension_column(
    canvas: Canvas,
    x: float,
    stations: Sequence[float],
    texts: Sequence[str],
    reach: float,
    *,
    mirrored: bool = False,
) -> None:
    """Draw dimensions up a line at x, words beside it, spread where they would meet.

    Parameters
    ----------
    canvas : Canvas
    x : float
        Of the line, in points.
    stations : sequence of float
        Their ends, from the top down, in points.
    texts : sequence of str
        One for each space between two stations; words after a line break go on a second line.
    reach : float
        How far the witness lines stand toward the drawing.
    mirrored : bool
        For a line at the left of the drawing: words stand left of it.
    """
    out = -1.0 if mirrored else 1.0
    canvas.line((x, stations[0]), (x, stations[-1]), weight=HAIR)
    canvas.lines([((x - out * reach, y), (x + out * 2.0, y)) for y in stations], weight=HAIR)
    canvas.lines([tick(x, y) for y in stations], weight=MEDIUM)
    floor = -1e9
    for (top, bottom), text in zip(pairwise(stations), texts, strict=True):
        lines = text.split("\n")
        middle, high = (top + bottom) / 2, block_height(len(lines), NOTE)
        start = max(middle - high / 2, floor)
        if start - (middle - high / 2) > 2.0:
            canvas.line((x, middle), (x + out * 4.0, start + high / 2), weight=HAIR)
        canvas.block(x + out * 5.0, start, lines, NOTE, "right" if mirrored else "left")
        floor = start + high + 1.5


def names_below(
    canvas: Canvas,
    places: Sequence[float],
    names: Sequence[Sequence[str]],
    top: float,
    size: float = BODY,
) -> float:
    """Write lines centered below places, in more rows where they would meet.

    Parameters
    ----------
    canvas : Canvas
    places : sequence of float [points]
    names : sequence of sequences of str
        The lines that belong to each place.
    top, size : float [points]

    Returns
    -------
    float [points]
        The y below all of it.
    """
    wides = [max((text_width(line, size) for line in lines), default=0.0) for lines in names]
    middles = [
        within(x, wide, GAP, canvas.width - GAP) for x, wide in zip(places, wides, strict=True)
    ]
    rows = lanes([(m - w / 2, m + w / 2) for m, w in zip(middles, wides, strict=True)])
    tops = [top]
    for row in range(max(rows, default=-1) + 1):
        here = [len(lines) for lines, lane in zip(names, rows, strict=True) if lane == row]
        tops.append(tops[-1] + block_height(max(here), size) + 3.0)
    canvas.lines(
        [
            ((x, top - 2.0), (x, tops[row] - 1.0))
            for x, row in zip(places, rows, strict=True)
            if row
        ],
        weight=HAIR,
        color=FAINT,
    )
    for middle, lines, row in zip(middles, names, rows, strict=True):
        canvas.block(middle, tops[row], lines, size, "center")
    return tops[-1]


def break_line(left: float, right: float, y: float) -> list[Spot]:
    """Return a level line with a zigzag in its middle, where a drawing leaves off."""
    middle = (left + right) / 2
    return [
        (left, y),
        (middle - 4.0, y),
        (middle - 2.0, y - 4.0),
        (middle + 2.0, y + 4.0),
        (middle + 4.0, y),
        (right, y),
    ]


def pinned_support(canvas: Canvas, x: float, y: float, size: float = 7.0) -> None:
    """Draw a triangle with its tip at a place, on hatched ground."""
    foot = y + size
    canvas.areas([[(x, y), (x - 0.6 * size, foot), (x + 0.6 * size, foot)]], PAPER, MEDIUM)
    _ground(canvas, x - 0.85 * size, x + 0.85 * size, foot)


def fixed_support(canvas: Canvas, x: float, y: float, side: int, size: float = 7.0) -> None:
    """Draw a hatched block that grips the member: at its left (-1) or right (1) end, or below."""
    if side:
        far = x + side * 4.0
        outline = [(x, y - size), (x, y + size), (far, y + size), (far, y - size)]
    else:
        outline = [(x - size, y), (x + size, y), (x + size, y + size), (x - size, y + size)]
    canvas.areas([outline], PAPER, MEDIUM, hatch="/////", hatch_color=SOFT)


def _ground(canvas: Canvas, left: float, right: float, y: float) -> None:
    canvas.line((left, y), (right, y), weight=MEDIUM)
    count = max(3, round((right - left) / 2.6))
    step = (right - left) / count
    canvas.lines(
        [((left + (i + 1) * step, y), (left + i * step, y + 2.4)) for i in range(count)],
        weight=HAIR,
        color=SOFT,
    )


def floor_line(canvas: Canvas, left: float, right: float, y: float) -> None:
    """Draw a floor or the ground: a heavy line on short strokes."""
    canvas.line((left, y), (right, y), weight=1.3)
    step = 5.0
    count = int((right - left) / step)
    canvas.lines(
        [((left + (i + 1) * step, y + 0.5), (left + i * step, y + 4.0)) for i in range(count)],
        weight=HAIR,
        color=FAINT,
    )


def scale_bar(canvas: Canvas, right: float, y: float, points_per_inch: float, system: str) -> float:
    """Draw a bar of three steps with its numbers over it, and return its left end.

    Parameters
    ----------
    canvas : Canvas
    right, y : float [points]
        Right end of the unit's name, and top of the bar.
    points_per_inch : float
    system : {"US", "SI"}

    Returns
    -------
    float [points]
    """
    unit, unit_size = ("m", units.m) if system == "SI" else ("ft", units.ft)
    steps = (0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0)
    step = next((s for s in steps if s * unit_size * points_per_inch >= 20.0), steps[-1])
    wide = step * unit_size * points_per_inch
    last = f"{3 * step:g} {unit}"
    start = right - text_width(last, NOTE) - 3 * wide
    for i in range(3):
        left = start + i * wide
        outline = [(left, y), (left + wide, y), (left + wide, y + 3.0), (left, y + 3.0)]
        canvas.areas([outline], INK if i % 2 == 0 else PAPER, THIN)
        canvas.text(left, y - 2.5, f"{i * step:g}", NOTE, "center")
    # The last number stands at the end of the bar, its unit past it.
    number = text_width(f"{3 * step:g}", NOTE)
    canvas.text(start + 3 * wide - number / 2, y - 2.5, last, NOTE)
    return start - 4.0


def wrapped(text: str, limit: float, size: float = BODY, most: int = 3) -> list[str]:
    """Break text to lines no wider than a limit and never narrower than a short word."""
    return wrap(text, size, max(limit, 30.0), most)
