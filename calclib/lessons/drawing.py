"""Loads, shear, moment and deflection of a reading, written as SVG at once.

An explorer draws the same axes again and again, so nothing is laid out anew: each heading has
its place, and a scale changes only when a curve would leave it. Lines take the color of the page's
text, light or dark.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from html import escape
from itertools import pairwise

from calclib import units
from calclib.lessons.reading import Peak, Reading, peak_sentence, percent, size_text
from calclib.loads.combinations import SOURCE_NAMES, SOURCES

WIDTH, LEFT, RIGHT = 560.0, 62.0, 548.0
LOADS_TOP, LOADS_BASE = 44.0, 100.0
PANELS = ((152.0, 78.0), (262.0, 78.0), (372.0, 66.0))
AXIS, LEGEND = 456.0, 492.0
HEIGHT = 500.0

SIZE, SMALL = 13.0, 11.0
# So many bold letters of a wide font stand in a line; longer ones are set smaller.
MARGIN, ROOM = 4.0, 68
NOTHING = 1e-9
# Seen on white and on near black alike; a limit is dashed and a load's source has its own shade,
# so that nothing is said by color alone.
ACCENT, LIMIT = "#2f7fbf", "#c8553d"
SHADES = {"D": 0.75, "L": 0.4, "Lr": 0.2, "S": 0.2}

# For a figure that is an image of its own: nothing of the page around reaches into it.
PAPER, INK, FONTS = "#ffffff", "#1a1a1a", "Arial, Helvetica, 'Liberation Sans', sans-serif"

To = Callable[[float], float]


@dataclass(frozen=True)
class Scales:
    """How far the axes reach [base units].

    Attributes
    ----------
    length : float [in]
    load : float [lbf/in]
    panels : tuple of (float, float)
        Lowest and highest value of shear, moment and deflection, zero between them.
    """

    length: float
    load: float
    panels: tuple[tuple[float, float], ...]


def scales(readings: Iterable[Reading]) -> Scales:
    """Return axes that hold the curves of the first reading and the loads and limits of all."""
    held = list(readings)
    panels = []
    for peaks in zip(*(reading.peaks for reading in held), strict=True):
        values = [0.0, *peaks[0].y, *(p.limit for p in peaks if math.isfinite(p.limit))]
        # A deflection of nothing is some 1e-17 in, of either sign.
        slack = NOTHING * max(map(abs, values))
        low, high = (v if abs(v) > slack else 0.0 for v in (min(values), max(values)))
        panels.append((low, high))
    return Scales(
        max(reading.supports[-1][1] for reading in held),
        max((size for reading in held for _, _, size in _steps(reading, SOURCES)), default=0.0),
        tuple(panels),
    )


def figure(
    reading: Reading,
    axes: Scales | None = None,
    before: Reading | None = None,
    *,
    on_paper: bool = False,
) -> str:
    """Draw a reading.

    Parameters
    ----------
    reading : Reading
    axes : Scales, optional
        Axes to keep, a scale of which doubles when a curve would leave it; its own if left out.
    before : Reading, optional
        Drawn behind it in short dashes, to compare.
    on_paper : bool
        Whether it is an image of its own, dark on white, and not part of a page.

    Returns
    -------
    str
        An ``<svg>`` element with its text alternative.
    """
    own = scales([reading])
    axes = own if axes is None else _holding(axes, own)
    along = _along(axes.length)
    parts = [_loads(reading, axes, along)]
    earlier = before.peaks if before else (None, None, None)
    rows = zip(PANELS, axes.panels, reading.peaks, earlier, strict=True)
    for (top, high), (low, most), peak, old in rows:
        frame = _Frame(top, high, low, most, down=peak is reading.deflection)
        parts.append(_panel(reading, peak, old, frame, along))
    parts += [_axis(reading, axes.length, along), _legend(before is not None)]
    paper = ""
    if on_paper:
        paper = f' color="{INK}" font-family="{FONTS}"'
        parts.insert(0, f'<rect width="100%" height="100%" fill="{PAPER}" stroke="none"/>')
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" role="img" class="calc-diagrams"{paper} '
        f'aria-label="{escape(alternative(reading))}" width="{WIDTH:g}" height="{HEIGHT:g}" '
        f'viewBox="0 0 {WIDTH:g} {HEIGHT:g}" font-size="{SIZE:g}" fill="none" '
        f'stroke="currentColor" stroke-linejoin="round">{"".join(parts)}</svg>'
    )


def alternative(reading: Reading) -> str:
    """Return what the drawing shows, with the results as numbers."""
    stands = ", ".join(f"{name} at {reading.length(at)}" for name, at in reading.supports)
    peaks = " ".join(peak_sentence(reading, peak) for peak in reading.peaks)
    return f"Loads, shear, moment and deflection of the {reading.beam}, on {stands}. {peaks}"


def _holding(axes: Scales, own: Scales) -> Scales:
    """Return axes on which a reading has room; a scale doubles until it has."""
    panels = []
    for (low, high), (least, most) in zip(axes.panels, own.panels, strict=True):
        need = max((a / b for a, b in ((least, low), (most, high)) if b), default=1.0)
        times = 2.0 ** max(0, math.ceil(math.log2(need))) if need > 1 else 1.0
        panels.append((min(low * times, least), max(high * times, most)))
    return Scales(max(axes.length, own.length), max(axes.load, own.load), tuple(panels))


def _along(length: float) -> To:
    return lambda at: LEFT + (RIGHT - LEFT) * at / length


@dataclass(frozen=True)
class _Frame:
    """Where the values of one curve come to stand."""

    top: float
    high: float
    lowest: float
    highest: float
    down: bool

    def y(self, value: float) -> float:
        reach = (self.highest - self.lowest) or 1.0
        share = (value - self.lowest) if self.down else (self.highest - value)
        return self.top + self.high * share / reach


def text_at(x: float, y: float, text: str, size: float = SIZE, more: str = "") -> str:
    """Return a line of text; `more` holds further attributes."""
    return (
        f'<text x="{x:.1f}" y="{y:.1f}" font-size="{size:g}" fill="currentColor" stroke="none"'
        f"{more}>{escape(text)}</text>"
    )


BOLD, END, MIDDLE = ' font-weight="bold"', ' text-anchor="end"', ' text-anchor="middle"'
SOFT = ' fill-opacity="0.75"'
LIMIT_STROKE = f' stroke="{LIMIT}" stroke-width="1.6" stroke-dasharray="7 4"'
BEFORE_STROKE = ' stroke-width="1" stroke-dasharray="2 3"'


def _heading(y: float, text: str) -> str:
    return text_at(MARGIN, y, text, SIZE * min(1.0, ROOM / len(text)), BOLD)


def polyline(spots: Iterable[tuple[float, float]], more: str = "") -> str:
    """Return a line through places on the paper; `more` holds further attributes."""
    points = " ".join(f"{x:.1f},{y:.1f}" for x, y in spots)
    return f'<polyline points="{points}"{more}/>'


def _steps(reading: Reading, sources: Sequence[str]) -> list[tuple[float, float, float]]:
    """Return the sum of the line loads of some sources: (start, end, size) from left to right."""
    bands = [band for band in reading.bands if band.source in sources]
    breaks = sorted({place for band in bands for place in (band.start, band.end)})
    found = []
    for start, end in pairwise(breaks):
        middle = (start + end) / 2
        size = sum(band.size for band in bands if band.start < middle < band.end)
        found.append((start, end, size))
    return found


def _loads(reading: Reading, axes: Scales, along: To) -> str:
    tall = (LOADS_BASE - LOADS_TOP) / (axes.load or 1.0)
    here = [s for s in SOURCES if any(band.source == s for band in reading.bands)]
    # From the largest pile to the smallest: each covers the one before.
    parts = []
    for count in range(len(here), 0, -1):
        outline: list[tuple[float, float]] = []
        for start, end, size in _steps(reading, here[:count]):
            y = LOADS_BASE - size * tall
            outline += [(along(start), y), (along(end), y)]
        outline = [(outline[0][0], LOADS_BASE), *outline, (outline[-1][0], LOADS_BASE)]
        shade = f' fill="{ACCENT}" fill-opacity="{SHADES[here[count - 1]]:g}" stroke-width="0.8"'
        parts.append(polyline(outline, shade))
    unit = units.label(units.si_unit("plf") if reading.si else "plf")
    names = ", ".join(SOURCE_NAMES[source] for source in here)
    heading = f"Loads ({unit}), from below: {names}"
    parts.append(_heading(14.0, heading))
    most = max((size for _, _, size in _steps(reading, here)), default=0.0)
    top = LOADS_BASE - most * tall
    number = units.show_number(most, units.si_unit("plf") if reading.si else "plf", int(reading.si))
    parts.append(text_at(LEFT - 6, top + 4, number, SMALL, END + SOFT))
    parts += _knocks(reading, along)
    ends = along(reading.supports[0][1]), along(reading.supports[-1][1])
    parts.append(polyline([(ends[0], LOADS_BASE), (ends[1], LOADS_BASE)], ' stroke-width="3"'))
    last = len(reading.supports) - 1
    for i, (name, at) in enumerate(reading.supports):
        x = along(at)
        triangle = [(x, LOADS_BASE), (x - 5, LOADS_BASE + 9), (x + 5, LOADS_BASE + 9)]
        parts.append(polyline([*triangle, triangle[0]], ' fill="currentColor"'))
        anchor = "" if i == 0 else END if i == last else MIDDLE
        parts.append(text_at(x, LOADS_BASE + 22, name, SMALL, anchor))
    return "".join(parts)


def _knocks(reading: Reading, along: To) -> list[str]:
    """Draw the loads at one place, those of one place as one arrow."""
    by_place: dict[float, list[str]] = {}
    for knock in reading.knocks:
        words = f"{SOURCE_NAMES[knock.source]} {reading.amount(knock.size, 'lbf')}"
        by_place.setdefault(knock.at, []).append(words)
    parts = []
    for at, sizes in by_place.items():
        x = along(at)
        parts.append(polyline([(x, 34), (x, LOADS_BASE - 3)], ' stroke-width="1.6"'))
        head = [(x - 3, LOADS_BASE - 9), (x, LOADS_BASE - 2), (x + 3, LOADS_BASE - 9)]
        parts.append(polyline(head, ' stroke-width="1.6"'))
        parts.append(text_at(x + 5, 34, " + ".join(sizes), SMALL))
    return parts


def _panel(reading: Reading, peak: Peak, old: Peak | None, frame: _Frame, along: To) -> str:
    zero = frame.y(0.0)
    first, last = along(peak.x[0]), along(peak.x[-1])
    spots = [(along(x), frame.y(y)) for x, y in zip(peak.x, peak.y, strict=True)]
    outline = [(first, zero), *spots, (last, zero)]
    parts = [
        polyline(outline, f' fill="{ACCENT}" fill-opacity="0.18" stroke="none"'),
        polyline([(LEFT, zero), (RIGHT, zero)], ' stroke-width="0.8"'),
        _scale(reading, peak, frame),
    ]
    if math.isfinite(peak.limit):
        y = frame.y(peak.limit)
        parts.append(polyline([(first, y), (last, y)], LIMIT_STROKE))
    if old is not None:
        spots = [(along(x), frame.y(y)) for x, y in zip(old.x, old.y, strict=True)]
        parts.append(polyline(spots, BEFORE_STROKE))
    parts.append(polyline(outline, f' stroke="{ACCENT}" stroke-width="2.2"'))
    x, y = along(peak.at), frame.y(peak.value)
    parts.append(_dot(x, y))
    heading = (
        f"{peak.name}: {size_text(reading, peak)} at {reading.length(peak.at)}, "
        f"{percent(peak.used)} of limit"
    )
    # The words beside the figure name the case too.
    case = f", under {peak.case}"
    heading += case if len(heading + case) <= ROOM else ""
    parts.append(_heading(frame.top - 9, heading))
    return "".join(parts)


def _scale(reading: Reading, peak: Peak, frame: _Frame) -> str:
    """Write the ends of the scale that are not zero, and zero."""
    shown = units.si_unit(peak.unit) if reading.si else peak.unit
    parts = []
    for value, text in ticks(frame.lowest, frame.highest, shown):
        y = frame.y(value)
        parts.append(polyline([(LEFT - 4, y), (LEFT, y)]))
        parts.append(text_at(LEFT - 6, y + 4, text, SMALL, END + SOFT))
    return "".join(parts)


def ticks(low: float, high: float, unit: str, most: int = 4) -> list[tuple[float, str]]:
    """Return round values between two, with their texts.

    Parameters
    ----------
    low, high : float [base units]
    unit : str
    most : int
        About how many steps there may be.

    Examples
    --------
    >>> [text for _, text in ticks(0.0, 40_000.0 * 12, "lbf*ft")]
    ['0', '10,000', '20,000', '30,000', '40,000']
    """
    one = units.factor(unit)
    reach = (high - low) / one
    if not reach > 0 or not math.isfinite(reach):
        return [(0.0, "0")]
    rough = reach / most
    power = 10.0 ** math.floor(math.log10(rough))
    step = next(k * power for k in (1, 2, 5, 10) if k * power >= rough * (1 - 1e-9))
    first, last = math.ceil(low / one / step - 1e-9), math.floor(high / one / step + 1e-9)
    digits = max(0, -math.floor(math.log10(step)))
    return [
        (i * step * one, f"{i * step:,.{digits}f}".replace("-", "−") if i else "0")
        for i in range(first, last + 1)
    ]


def _axis(reading: Reading, length: float, along: To) -> str:
    unit = "m" if reading.si else "ft"
    parts = [polyline([(LEFT, AXIS), (RIGHT, AXIS)], ' stroke-width="0.8"')]
    for at, text in ticks(0.0, length, unit, most=8):
        x = along(at)
        parts.append(polyline([(x, AXIS), (x, AXIS + 4)]))
        parts.append(text_at(x, AXIS + 16, text, SMALL, MIDDLE + SOFT))
    parts.append(text_at(LEFT - 6, AXIS + 16, unit, SMALL, END + SOFT))
    return "".join(parts)


def _legend(is_compared: bool) -> str:
    """Say what dot and dashes stand for."""
    y = LEGEND - 4
    parts = [
        _dot(LEFT + 4, y),
        text_at(LEFT + 14, LEGEND, "largest value", SMALL),
        polyline([(LEFT + 112, y), (LEFT + 138, y)], LIMIT_STROKE),
        text_at(LEFT + 144, LEGEND, "where the check is used up", SMALL),
    ]
    if is_compared:
        parts.append(polyline([(LEFT + 330, y), (LEFT + 356, y)], BEFORE_STROKE))
        parts.append(text_at(LEFT + 362, LEGEND, "where you began", SMALL))
    return "".join(parts)


def _dot(x: float, y: float) -> str:
    return f'<circle cx="{x:.1f}" cy="{y:.1f}" r="4" fill="currentColor"/>'
