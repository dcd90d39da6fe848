"""The upper part of a beam's diagrams: the loads that lie on it, its supports, its spans."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby, pairwise

from calclib.sheet.figures_canvas import (
    BODY,
    CAPITAL,
    HAIR,
    HEAD,
    INK,
    LEADING,
    MEDIUM,
    NOTE,
    PAPER,
    Canvas,
    Spot,
    block_height,
    glued,
    text_width,
)
from calclib.sheet.figures_marks import (
    OTHER_HATCH,
    SOURCE_HATCHES,
    SOURCE_NAMES,
    arrow_head,
    dimension_row,
    fixed_support,
    length_text,
    names_below,
    pinned_support,
    range_text,
    wrapped,
)
from calclib.sheet.figures_placing import GAP, lanes, point_lanes
from calclib.sheet.figures_shapes import LineLoad, PointLoad, SupportMark

LEAST_BAND = 11.0
LEAST_SLOPE = 20.0
BAND_GAP = 3.0
SHORTEST_ARROW = 15.0


@dataclass(frozen=True)
class Along:
    """How positions on the member become places on the paper.

    Attributes
    ----------
    left, right : float [points]
        The ends of the member.
    length : float [in]
    system : {"US", "SI"}
    """

    left: float
    right: float
    length: float
    system: str

    def x(self, at: float) -> float:
        """Return the place of a position."""
        return self.left + (self.right - self.left) * at / self.length

    def text(self, at: float) -> str:
        """Return a position or a length in words."""
        return length_text(at, self.system)


@dataclass(frozen=True)
class _Band:
    load: LineLoad
    left: float
    right: float
    lines: tuple[str, ...]
    words_left: float

    @property
    def high(self) -> float:
        least = LEAST_BAND if self.load.w_start == self.load.w_end else LEAST_SLOPE
        return max(least, block_height(len(self.lines), NOTE) + 4.0)

    @property
    def span(self) -> tuple[float, float]:
        words_right = self.words_left + _widest(self.lines)
        return min(self.left, self.words_left), max(self.right, words_right)


@dataclass(frozen=True)
class _Arrows:
    places: tuple[float, ...]
    lines: tuple[str, ...]
    up: bool

    @property
    def ends(self) -> tuple[float, float]:
        return self.places[0], self.places[-1]

    @property
    def wide(self) -> float:
        return _widest(self.lines)


def loading(
    canvas: Canvas,
    along: Along,
    top: float,
    supports: Sequence[SupportMark],
    line_loads: Sequence[LineLoad],
    point_loads: Sequence[PointLoad],
    hinges: Sequence[float] = (),
    case: str = "",
) -> float:
    """Draw the loads, the member on its supports, and the spans; return the y below them.

    Parameters
    ----------
    canvas : Canvas
    along : Along
    top : float [points]
    supports : sequence of SupportMark
        From left to right.
    line_loads : sequence of LineLoad
    point_loads : sequence of PointLoad
    hinges : sequence of float [in]
    case : str
        What the sizes stand for, such as "unfactored"; written beside the heading.

    Returns
    -------
    float [points]
    """
    y = _heading(canvas, along, top, line_loads, case)
    y = _bands(canvas, along, y, line_loads)
    y = _arrows(canvas, along, y, point_loads)
    _member(canvas, along, y, hinges)
    y = _supports(canvas, along, y + 1.5, supports)
    return _spans(canvas, along, y + 11.0, supports)


def _heading(
    canvas: Canvas, along: Along, top: float, loads: Sequence[LineLoad], case: str
) -> float:
    base = top + CAPITAL * HEAD
    heading = f"Loading, {case}" if case else "Loading"
    canvas.text(along.left, base, heading, HEAD, bold=True)
    x = along.right
    for source in reversed(list(dict.fromkeys(load.source for load in loads))):
        name = f"{source} {SOURCE_NAMES.get(source, '')}".strip()
        x -= text_width(name, NOTE)
        canvas.text(x, base, name, NOTE)
        x -= 21.0
        box = [(x, base - 6.5), (x + 18.0, base - 6.5), (x + 18.0, base + 1.0), (x, base + 1.0)]
        canvas.areas([box], PAPER, HAIR, hatch=_hatch(source))
        x -= 9.0
    return base + 9.0


def _hatch(source: str) -> str:
    return SOURCE_HATCHES.get(source, OTHER_HATCH)


def _extent(along: Along, start: float, end: float) -> str:
    near = 1e-6 * along.length
    if start <= near and end >= along.length - near:
        return ""
    return f"{glued(along.text(start))} to {glued(along.text(end))}"


def _widest(lines: Sequence[str]) -> float:
    return max((text_width(line, NOTE) for line in lines), default=0.0)


def _band(along: Along, load: LineLoad) -> _Band:
    left, right = along.x(load.start), along.x(load.end)
    size = glued(f"{load.source} {range_text(load.w_start, load.w_end, 'plf', along.system)}")
    text = ", ".join(t for t in (size, load.label, _extent(along, load.start, load.end)) if t)
    # A sloping load has room for words only at its high end.
    slopes = load.w_start != load.w_end
    room = (0.45 if slopes else 1.0) * (right - left) - 8.0
    beside = max(along.right - right, left - along.left) - GAP
    if len(wrapped(text, room, NOTE, 99)) <= (1 if slopes else 2) or beside < 60.0:
        lines = tuple(wrapped(text, room, NOTE, 3))
        words_left = (left + right - _widest(lines)) / 2
        if slopes and abs(load.w_start) > abs(load.w_end):
            words_left = left + 4.0
        elif slopes:
            words_left = right - 4.0 - _widest(lines)
        return _Band(load, left, right, lines, words_left)
    lines = tuple(wrapped(text, beside, NOTE, 3))
    wide = _widest(lines)
    to_right = along.right - right >= wide + GAP
    return _Band(load, left, right, lines, right + GAP if to_right else left - GAP - wide)


def _bands(canvas: Canvas, along: Along, top: float, loads: Sequence[LineLoad]) -> float:
    bands = [_band(along, load) for load in loads]
    rows = lanes([band.span for band in bands], BAND_GAP)
    y = top
    for row in range(max(rows, default=-1) + 1):
        here = [band for band, lane in zip(bands, rows, strict=True) if lane == row]
        foot = y + max(band.high for band in here)
        for band in here:
            _draw_band(canvas, band, foot)
        y = foot + BAND_GAP + 3.5
    return y


def _draw_band(canvas: Canvas, band: _Band, foot: float) -> None:
    load = band.load
    largest = max(abs(load.w_start), abs(load.w_end)) or 1.0
    at_left = foot - band.high * abs(load.w_start) / largest
    at_right = foot - band.high * abs(load.w_end) / largest
    outline: list[Spot] = [
        (band.left, foot),
        (band.left, at_left),
        (band.right, at_right),
        (band.right, foot),
    ]
    canvas.areas([outline], PAPER, MEDIUM, hatch=_hatch(load.source))
    count = max(1, round((band.right - band.left) / 55.0))
    heads = []
    for i in range(count + 1):
        share = i / count
        x = band.left + share * (band.right - band.left)
        size = load.w_start + share * (load.w_end - load.w_start)
        if abs(size) > 0.05 * largest:
            edge = at_left + share * (at_right - at_left)
            heads.append(arrow_head((x, foot + 4.2 if size > 0 else edge - 4.2), size > 0))
    canvas.areas(heads, INK)
    high = (CAPITAL + (len(band.lines) - 1) * LEADING) * NOTE
    slopes = load.w_start != load.w_end
    top = foot - high - 3.0 if slopes else foot - band.high / 2 - high / 2
    wide = _widest(band.lines)
    if band.words_left > band.right:
        canvas.block(band.words_left, top, band.lines, NOTE)
    elif band.words_left + wide < band.left:
        canvas.block(band.words_left + wide, top, band.lines, NOTE, "right")
    else:
        canvas.block(band.words_left + wide / 2, top, band.lines, NOTE, "center")


def _groups(along: Along, loads: Sequence[PointLoad]) -> list[_Arrows]:
    ordered = sorted(loads, key=lambda load: load.at)
    found = []
    for (label, _, up), members in groupby(
        ordered, key=lambda load: (load.label, load.source, load.P < 0)
    ):
        row = list(members)
        if not label and len(row) > 1:
            found += [_arrow_group(along, [load], up) for load in row]
        else:
            found.append(_arrow_group(along, row, up))
    return found


def _arrow_group(along: Along, row: Sequence[PointLoad], up: bool) -> _Arrows:
    sizes = [load.P for load in row]
    low, high = min(sizes, key=abs), max(sizes, key=abs)
    size = range_text(low, high, "lbf", along.system)
    where = glued(f"at {along.text(row[0].at)}")
    if len(row) > 1:
        size = f"{len(row)} × {size}"
        where = f"{glued(along.text(row[0].at))} to {glued(along.text(row[-1].at))}"
    size = glued(f"{row[0].source} {size}".strip())
    text = ", ".join(t for t in (size, row[0].label, where) if t)
    limit = 0.36 * (along.right - along.left)
    return _Arrows(
        tuple(along.x(load.at) for load in row), tuple(wrapped(text, limit, NOTE, 3)), up
    )


def _arrows(canvas: Canvas, along: Along, top: float, loads: Sequence[PointLoad]) -> float:
    """Draw the point loads, and return the y of the member's top."""
    groups = _groups(along, loads)
    if not groups:
        return top + 2.0
    placed = point_lanes(
        [group.ends for group in groups],
        [group.wide for group in groups],
        along.left - 30.0,
        canvas.width - GAP,
    )
    count = max(len(group.lines) for group in groups)
    step = count * LEADING * NOTE + 3.0
    member = top + SHORTEST_ARROW + (max(lane for lane, _ in placed) + 1) * step
    for group, (lane, to_right) in zip(groups, placed, strict=True):
        words_top = member - SHORTEST_ARROW - (lane + 1) * step + 3.0
        row = len(group.places) > 1
        tail = words_top + (block_height(len(group.lines), NOTE) + 2.0 if row else 0.0)
        canvas.lines([((x, tail), (x, member)) for x in group.places], weight=MEDIUM)
        tips = [(x, tail if group.up else member) for x in group.places]
        canvas.areas([arrow_head(tip, not group.up, 4.6) for tip in tips], INK)
        if row:
            canvas.line((group.places[0], tail), (group.places[-1], tail), weight=HAIR)
        # A row carries its words on its line, a single arrow beside its shaft.
        shift = 0.0 if row else GAP
        x = group.places[0] + shift if to_right else group.places[-1] - shift
        canvas.block(x, words_top, group.lines, NOTE, "left" if to_right else "right")
    return member


def _member(canvas: Canvas, along: Along, y: float, hinges: Sequence[float]) -> None:
    outline = [(along.left, y), (along.right, y), (along.right, y + 3.0), (along.left, y + 3.0)]
    canvas.areas([outline], INK, HAIR)
    for at in hinges:
        x = along.x(at)
        canvas.areas(
            [[(x - 3.0, y + 1.5), (x, y - 1.5), (x + 3.0, y + 1.5), (x, y + 4.5)]], PAPER, MEDIUM
        )


def _supports(canvas: Canvas, along: Along, y: float, supports: Sequence[SupportMark]) -> float:
    """Draw supports with their names below, and return the y below the names."""
    for support in supports:
        x = along.x(support.at)
        if support.kind == "fixed":
            near = 1e-6 * along.length
            side = -1 if support.at <= near else 1 if support.at >= along.length - near else 0
            fixed_support(canvas, x, y, side)
        else:
            pinned_support(canvas, x, y + 1.5)
    places = [along.x(support.at) for support in supports]
    room = min((b - a for a, b in pairwise(places)), default=along.right - along.left)
    names = [wrapped(support.name, max(room - 8.0, 70.0), BODY, 3) for support in supports]
    return names_below(canvas, places, names, y + 13.5)


def _spans(canvas: Canvas, along: Along, y: float, supports: Sequence[SupportMark]) -> float:
    near = 1e-6 * along.length
    stations = [0.0]
    for at in [*(support.at for support in supports), along.length]:
        if at > stations[-1] + near:
            stations.append(at)
    texts = [along.text(b - a) for a, b in pairwise(stations)]
    y = dimension_row(canvas, [along.x(at) for at in stations], texts, y, reach=5.0)
    if len(stations) > 2:
        y = dimension_row(
            canvas, [along.left, along.right], [along.text(along.length)], y + 9.0, reach=5.0
        )
    return y
