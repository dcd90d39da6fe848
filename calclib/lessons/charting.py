"""A chart over span and tributary width as SVG: labeled lines, hatched where nothing carries.

Readable without color: a line has its number in it, the limit is bold, what fails is hatched.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from html import escape
from typing import Any

import numpy as np

from calclib.lessons.drawing import (
    ACCENT,
    BOLD,
    END,
    MARGIN,
    MIDDLE,
    SIZE,
    SMALL,
    SOFT,
    polyline,
    text_at,
    ticks,
)
from calclib.lessons.grid import Grid
from calclib.lessons.setting import Setting
from calclib.lessons.sizing import Carried

WIDTH, HEIGHT = 560.0, 470.0
LEFT, RIGHT, TOP, BOTTOM = 62.0, 548.0, 64.0, 388.0
LEVELS = (0.25, 0.5, 0.75, 1.0, 1.5, 2.0, 3.0)
LIMIT = 1.0
LINES_KEY = "Lines of equal utilization; bold, 1: all is used"
HATCH = "calc-hatch"
# The ground of the page, so that a label breaks the line that it names.
GROUND = "var(--jp-layout-color0, var(--vscode-editor-background, #ffffff))"
LABEL_APART, LETTER = 26.0, 6.4
SHARES = (0.4, 0.6, 0.3, 0.7, 0.2, 0.8, 0.1, 0.9)
DASHES = ("", ' stroke-dasharray="8 3"', ' stroke-dasharray="3 3"')

Spots = list[tuple[float, float]]


@dataclass(frozen=True)
class Axes:
    """Where numbers come to stand on the paper."""

    x: Setting
    y: Setting

    def at(self, x: float, y: float) -> tuple[float, float]:
        """Return the place of a pair of numbers [base units]."""
        across = (x - self.x.low) / (self.x.high - self.x.low)
        up = (y - self.y.low) / (self.y.high - self.y.low)
        return LEFT + (RIGHT - LEFT) * across, BOTTOM - (BOTTOM - TOP) * up


def utilization_lines(grid: Grid) -> str:
    """Return the lines of equal utilization, and the hatched part that does not carry.

    Parameters
    ----------
    grid : Grid

    Returns
    -------
    str
        Parts of an SVG.
    """
    axes = Axes(grid.x, grid.y)
    found = grid.utilization
    parts = [_hatched(axes, grid, found)]
    labels: Spots = []
    words = []
    for number, level in enumerate(LEVELS):
        is_limit = level == LIMIT
        more = ' stroke-width="2.8"' if is_limit else f' stroke-width="1"{DASHES[number % 2]}'
        lines = _contours(axes, grid, found, level)
        parts += [polyline(line, more) for line in lines]
        words += _label(lines, f"{level:g}", labels, bold=is_limit)
    return "".join([*parts, *words])


def carried_lines(found: Sequence[Carried], axes: Axes, now: str) -> str:
    """Return a line for each section: how far it spans, by tributary width.

    Parameters
    ----------
    found : sequence of Carried
    axes : Axes
    now : str
        The size whose line is bold.

    Returns
    -------
    str
        Parts of an SVG.
    """
    parts, words = [], []
    labels: Spots = []
    for number, each in enumerate(found):
        pairs = zip(each.longest, each.widths, strict=True)
        line = [axes.at(float(x), float(y)) for x, y in pairs if not np.isnan(x)]
        if len(line) < 2:
            continue
        is_now = each.size == now
        dash = DASHES[number % len(DASHES)]
        parts.append(
            polyline(line, ' stroke-width="2.8"' if is_now else f' stroke-width="1.2"{dash}')
        )
        depth = each.size.replace("×", "x").rpartition("x")[2].strip()
        words += _label([line], depth, labels, bold=is_now)
    return "".join([*parts, *words])


def chart(
    axes: Axes,
    lines: str,
    heading: str,
    key: str,
    mark: tuple[float, float],
    start: tuple[float, float],
    said: str,
) -> str:
    """Return a chart with the place that is looked at.

    Parameters
    ----------
    axes : Axes
    lines : str
        What `utilization_lines` or `carried_lines` gave.
    heading, key : str
        The line above it and the line below.
    mark, start : (float, float) [base units]
        The pair of numbers that is looked at, and that of the job.
    said : str
        The text alternative.

    Returns
    -------
    str
        An ``<svg>`` element.
    """
    x, y = axes.at(*mark)
    x_0, y_0 = axes.at(*start)
    diamond = [(x_0, y_0 - 5), (x_0 + 5, y_0), (x_0, y_0 + 5), (x_0 - 5, y_0), (x_0, y_0 - 5)]
    cross = ' stroke-width="1" stroke-dasharray="2 3"'
    parts = [
        _frame(axes),
        f'<g clip-path="url(#{HATCH}-frame)">{lines}</g>',
        polyline(diamond, f' fill="{GROUND}"'),
        polyline([(LEFT, y), (x, y), (x, BOTTOM)], cross),
        f'<circle cx="{x:.1f}" cy="{y:.1f}" r="5" fill="{ACCENT}" stroke-width="1.5"/>',
        text_at(MARGIN, 16.0, heading, SIZE, BOLD),
        text_at(MARGIN, 34.0, key, SMALL),
        text_at(MARGIN, 52.0, f"Up: {_axis_name(axes.y)}", SMALL, SOFT),
        text_at(RIGHT, BOTTOM + 34, f"Across: {_axis_name(axes.x)}", SMALL, END + SOFT),
        *_legend(),
    ]
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" role="img" class="calc-diagrams" '
        f'aria-label="{escape(said)}" width="{WIDTH:g}" height="{HEIGHT:g}" '
        f'viewBox="0 0 {WIDTH:g} {HEIGHT:g}" font-size="{SIZE:g}" fill="none" '
        f'stroke="currentColor" stroke-linejoin="round">{_definitions()}{"".join(parts)}</svg>'
    )


def _axis_name(setting: Setting) -> str:
    return f"{setting.name} ({'m' if setting.si else 'ft'})"


def _definitions() -> str:
    return (
        f'<defs><pattern id="{HATCH}" width="7" height="7" patternUnits="userSpaceOnUse" '
        'patternTransform="rotate(45)"><path d="M0 0V7" stroke="currentColor" '
        f'stroke-width="1" stroke-opacity="0.45"/></pattern><clipPath id="{HATCH}-frame">'
        f'<rect x="{LEFT:g}" y="{TOP:g}" width="{RIGHT - LEFT:g}" height="{BOTTOM - TOP:g}"/>'
        "</clipPath></defs>"
    )


def _frame(axes: Axes) -> str:
    corners = [(LEFT, TOP), (RIGHT, TOP), (RIGHT, BOTTOM), (LEFT, BOTTOM), (LEFT, TOP)]
    parts = [polyline(corners, ' stroke-width="0.8"')]
    for setting, is_across in ((axes.x, True), (axes.y, False)):
        unit = "m" if setting.si else "ft"
        for at, text in ticks(setting.low, setting.high, unit, most=8):
            if is_across:
                x, _ = axes.at(at, axes.y.low)
                parts.append(polyline([(x, BOTTOM), (x, BOTTOM + 4)]))
                parts.append(text_at(x, BOTTOM + 17, text, SMALL, MIDDLE + SOFT))
            else:
                _, y = axes.at(axes.x.low, at)
                parts.append(polyline([(LEFT - 4, y), (LEFT, y)]))
                parts.append(text_at(LEFT - 8, y + 4, text, SMALL, END + SOFT))
    return "".join(parts)


def _legend() -> Iterable[str]:
    y = HEIGHT - 18
    yield f'<circle cx="{LEFT + 4:g}" cy="{y - 4:g}" r="5" fill="{ACCENT}" stroke-width="1.5"/>'
    yield text_at(LEFT + 16, y, "what is set", SMALL)
    x = LEFT + 110
    spots = [(x, y - 9), (x + 5, y - 4), (x, y + 1), (x - 5, y - 4), (x, y - 9)]
    yield polyline(spots, f' fill="{GROUND}"')
    yield text_at(x + 12, y, "as the job has it", SMALL)
    x = LEFT + 240
    yield f'<rect x="{x:g}" y="{y - 11:g}" width="24" height="12" fill="url(#{HATCH})"/>'
    yield text_at(x + 30, y, "a check fails", SMALL)


def _contours(axes: Axes, grid: Grid, found: Any, level: float) -> list[Spots]:
    """Return the lines on which a number of the grid is one level."""
    from matplotlib.figure import Figure

    if not found.min() < level < found.max():
        return []
    # Only the segments are taken, no picture is drawn.
    plotted = Figure().subplots().contour(grid.xs, grid.ys, found.T, levels=[level])
    return [[axes.at(x, y) for x, y in line] for line in plotted.allsegs[0] if len(line) > 1]


def _hatched(axes: Axes, grid: Grid, found: Any) -> str:
    """Return the part in which a check fails."""
    from matplotlib.figure import Figure

    if found.max() <= LIMIT:
        return ""
    plotted = Figure().subplots().contourf(
        grid.xs, grid.ys, found.T, levels=[LIMIT, 2 * float(found.max())]
    )  # fmt: skip
    fill = f' fill="url(#{HATCH})" fill-rule="evenodd" stroke="none"'
    return "".join(polyline([axes.at(x, y) for x, y in area], fill) for area in plotted.allsegs[0])


def _label(lines: Sequence[Spots], text: str, taken: Spots, bold: bool) -> list[str]:
    """Write a line's name into it, where no other name is near."""
    if not lines:
        return []
    line = max(lines, key=len)
    for share in SHARES:
        x, y = line[round(share * (len(line) - 1))]
        wide = LETTER * len(text) / 2
        inside = LEFT + wide + 2 < x < RIGHT - wide - 2 and TOP + 10 < y < BOTTOM - 6
        if inside and all(abs(x - a) > LABEL_APART + wide or abs(y - b) > 13 for a, b in taken):
            taken.append((x, y))
            halo = f' style="stroke:{GROUND};stroke-width:5;paint-order:stroke"'
            return [text_at(x, y + 4, text, SMALL, MIDDLE + (BOLD if bold else "") + halo)]
    return []
