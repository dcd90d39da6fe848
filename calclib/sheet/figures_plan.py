"""A plan of one level: joist fields with their directions, what carries them, tributary areas."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from calclib.sheet.figures_canvas import (
    BODY,
    FAINT,
    HAIR,
    HEAD,
    HEAVY,
    INK,
    LEADING,
    MEDIUM,
    NOTE,
    PAGE_WIDTH,
    PAPER,
    SOFT,
    THIN,
    Canvas,
    Figure,
    Spot,
    text_width,
    wrap,
)
from calclib.sheet.figures_marks import (
    dimension_row,
    length_text,
    require_system,
    scale_bar,
)

WALL, THIN_WALL = 4.5, 2.0
MOST_HIGH = 205.0
SIDE = 74.0
# A field narrower than this has its arrow aside, to leave room for its name.
NARROW = 120.0


@dataclass(frozen=True)
class PlanLine:
    """A wall or beam in plan.

    Attributes
    ----------
    name : str
    kind : str
        "wall" or "beam".
    stands : str
        "as found", "new" or "removed"; empty when that is not known.
    along : bool
        Whether it runs along the page.
    at : float [in]
        Place of its axis across its own direction.
    start, end : float [in]
        Along its own direction.
    """

    name: str
    kind: str
    stands: str
    along: bool
    at: float
    start: float
    end: float


@dataclass(frozen=True)
class PlanField:
    """A part of a field of joists in plan.

    Attributes
    ----------
    name : str
        With size and spacing.
    along : bool
        Whether the lines that it rests on run along the page: the joists then run up the page.
    start, end : float [in]
        Along those lines.
    marks : tuple of float [in]
        Where its spans and overhangs begin and end, across those lines, rising.
    supported : tuple of bool
        For each mark, whether something carries it there.
    tributary : tuple of (float, float)
        Stretches of the joists' length whose load goes to the beam of the opening.
    """

    name: str
    along: bool
    start: float
    end: float
    marks: tuple[float, ...]
    supported: tuple[bool, ...]
    tributary: tuple[tuple[float, float], ...] = ()


@dataclass(frozen=True)
class PlanPost:
    """A post in plan."""

    name: str
    x: float
    y: float
    stands: str


@dataclass(frozen=True)
class _Paper:
    """From inches in plan to points on the paper; y rises up the page."""

    left: float
    base: float
    low: Spot
    scale: float

    def spot(self, x: float, y: float) -> Spot:
        return (
            self.left + (x - self.low[0]) * self.scale,
            self.base - (y - self.low[1]) * self.scale,
        )

    def box(self, x0: float, x1: float, y0: float, y1: float) -> list[Spot]:
        return [self.spot(x0, y0), self.spot(x1, y0), self.spot(x1, y1), self.spot(x0, y1)]


def level_plan(
    figure_id: str,
    title: str,
    lines: Sequence[PlanLine],
    fields: Sequence[PlanField],
    posts: Sequence[PlanPost] = (),
    system: str = "US",
) -> Figure:
    """Draw one level in plan, to scale.

    Parameters
    ----------
    figure_id, title : str
    lines : sequence of PlanLine
    fields : sequence of PlanField
        At least one.
    posts : sequence of PlanPost
    system : str
        "US" or "SI".

    Returns
    -------
    Figure
    """
    require_system(system)
    xs, ys = _extents(lines, fields)
    wide, high = xs[1] - xs[0], ys[1] - ys[0]
    scale = min((PAGE_WIDTH - 2 * SIDE) / wide, MOST_HIGH / high)
    canvas = Canvas()
    canvas.text(0.0, HEAD, title, HEAD, bold=True)
    top = HEAD * LEADING + 16.0
    left = SIDE + (PAGE_WIDTH - 2 * SIDE - wide * scale) / 2
    paper = _Paper(left, top + high * scale, (xs[0], ys[0]), scale)
    for each in fields:
        _field(canvas, paper, each)
    for line in lines:
        _line(canvas, paper, line)
    for post in posts:
        _post(canvas, paper, post)
    _names(canvas, paper, lines)
    for each in fields:
        _label(canvas, paper, each)
    bottom = _dimensions(canvas, paper, fields, xs, ys, system)
    scale_bar(canvas, PAGE_WIDTH - 4.0, bottom + 12.0, scale, system)
    bottom = _key(canvas, bottom + 10.0, lines, fields)
    return canvas.figure(
        figure_id,
        bottom,
        title,
        _alt(title, lines, fields, system),
        f"{title}, to scale. Arrows show which way joists run; spans are between the lines that "
        "carry them. Drawn from the spans and extents entered, not surveyed.",
    )


def _extents(
    lines: Sequence[PlanLine], fields: Sequence[PlanField]
) -> tuple[tuple[float, float], tuple[float, float]]:
    xs: list[float] = []
    ys: list[float] = []
    for line in lines:
        (xs if line.along else ys).extend((line.start, line.end))
        (ys if line.along else xs).append(line.at)
    for each in fields:
        (xs if each.along else ys).extend((each.start, each.end))
        (ys if each.along else xs).extend(each.marks)
    return (min(xs), max(xs)), (min(ys), max(ys))


def _box(paper: _Paper, each: PlanField, low: float, high: float) -> list[Spot]:
    if each.along:
        return paper.box(each.start, each.end, low, high)
    return paper.box(low, high, each.start, each.end)


def _field(canvas: Canvas, paper: _Paper, each: PlanField) -> None:
    canvas.areas(
        [_box(paper, each, each.marks[0], each.marks[-1])], PAPER, HAIR, FAINT, dash=(1.5, 1.5)
    )
    canvas.areas(
        [_box(paper, each, low, high) for low, high in each.tributary],
        "none",
        HAIR,
        SOFT,
        hatch="////",
        dash=(3.0, 2.0),
    )
    middle = _arrow_at(paper, each)
    for low, high in pairwise(each.marks):
        ends = [(middle, low), (middle, high)] if each.along else [(low, middle), (high, middle)]
        _arrow(canvas, *(paper.spot(*end) for end in ends))


def _arrow_at(paper: _Paper, each: PlanField) -> float:
    """Return where along its lines the arrow of a field stands: aside in a narrow one."""
    wide = (each.end - each.start) * paper.scale
    share = 0.5 if wide > NARROW else 0.15
    return each.start + share * (each.end - each.start)


def _arrow(canvas: Canvas, tail: Spot, tip: Spot) -> None:
    """Draw the direction of joists: a line with half an arrow head at each end."""
    canvas.line(tail, tip, weight=THIN)
    dx, dy = tip[0] - tail[0], tip[1] - tail[1]
    long = max((dx * dx + dy * dy) ** 0.5, 1e-6)
    ux, uy = dx / long, dy / long
    size = 6.0
    for (x, y), sign in ((tip, 1.0), (tail, -1.0)):
        back = (x - sign * ux * size - sign * uy * size / 2,
                y - sign * uy * size + sign * ux * size / 2)  # fmt: skip
        canvas.line((x, y), back, weight=MEDIUM)


def _line(canvas: Canvas, paper: _Paper, line: PlanLine) -> None:
    half = (WALL if line.kind == "wall" else THIN_WALL) / 2 / paper.scale
    sides = (line.at - half, line.at + half)
    outline = (
        paper.box(line.start, line.end, *sides)
        if line.along
        else paper.box(*sides, line.start, line.end)
    )
    if line.stands == "removed":
        canvas.areas([outline], PAPER, MEDIUM, SOFT, dash=(2.5, 2.0))
    elif line.kind == "wall":
        canvas.areas([outline], "#c9c9c9", MEDIUM)
    elif line.stands == "new":
        canvas.areas([outline], INK, HEAVY)
    else:
        ends = [(line.start, line.at), (line.end, line.at)]
        spots = [paper.spot(*(end if line.along else end[::-1])) for end in ends]
        canvas.areas([outline], PAPER, HAIR)
        canvas.line(*spots, weight=HEAVY, dash=(9.0, 2.5))


def _post(canvas: Canvas, paper: _Paper, post: PlanPost) -> None:
    x, y = paper.spot(post.x, post.y)
    size = 3.0
    outline = [(x - size, y - size), (x + size, y - size), (x + size, y + size),
               (x - size, y + size)]  # fmt: skip
    canvas.areas([outline], INK if post.stands == "new" else PAPER, MEDIUM)


def _said(line: PlanLine) -> str:
    known = line.stands in ("", "as found")
    return line.name if known else f"{line.name} ({line.stands})"


def _names(canvas: Canvas, paper: _Paper, lines: Sequence[PlanLine]) -> None:
    """Write each line's name beside its left end, or over its top; near ones below each other."""
    taken: list[float] = []
    said: set[tuple[str, float]] = set()
    for line in sorted((li for li in lines if li.along), key=lambda li: (-li.at, li.start)):
        if (line.name, line.at) in said:
            continue
        said.add((line.name, line.at))
        x, y = paper.spot(line.start, line.at)
        if x > paper.left + 12.0:
            # It begins inside the plan: its name stands over it, no wider than it is long.
            room = max((line.end - line.start) * paper.scale - 12.0, 30.0)
            over = wrap(_said(line), NOTE, room, most=2)
            _backed(canvas, x + 6.0, y - 4.0 - len(over) * NOTE * LEADING, over)
            continue
        room = x - 8.0
        words = wrap(_said(line), NOTE, min(max(room, 40.0), SIDE), most=3)
        top = y - len(words) * NOTE * LEADING / 2
        while any(abs(top - other) < len(words) * NOTE * LEADING + 1 for other in taken):
            top += 2.0
        taken.append(top)
        canvas.block(min(x - 5.0, paper.left - 5.0), top, words, NOTE, "right")
    for line in (li for li in lines if not li.along):
        x, y = paper.spot(line.at, line.end)
        canvas.text(x, y - 4.0, _said(line), NOTE, "center")


def _label(canvas: Canvas, paper: _Paper, each: PlanField) -> None:
    spans = list(pairwise(each.marks))
    low, high = max(spans, key=lambda pair: pair[1] - pair[0])
    along, across = _arrow_at(paper, each), (low + high) / 2
    x, y = paper.spot(*((along, across) if each.along else (across, along)))
    right = each.end - along if each.along else (high - low) / 2
    lines = wrap(each.name, NOTE, max(right * paper.scale - 9.0, 30.0), most=5)
    if each.along:
        # Above the middle, for the name of the line below stands over that line.
        _backed(canvas, x + 5.0, y - len(lines) * NOTE * LEADING / 2 - NOTE, lines)
    else:
        _backed(canvas, x - max(text_width(li, NOTE) for li in lines) / 2, y + 4.0, lines)


def _backed(canvas: Canvas, x: float, top: float, lines: Sequence[str]) -> None:
    """Write lines on a ground of paper, so that a hatch below does not run through them."""
    wide = max(text_width(line, NOTE) for line in lines)
    low = top + len(lines) * NOTE * LEADING
    box = [(x - 1.5, top - 1.0), (x + wide + 1.5, top - 1.0), (x + wide + 1.5, low),
           (x - 1.5, low)]  # fmt: skip
    canvas.areas([box], PAPER)
    canvas.block(x, top, lines, NOTE)


def _dimensions(
    canvas: Canvas,
    paper: _Paper,
    fields: Sequence[PlanField],
    xs: tuple[float, float],
    ys: tuple[float, float],
    system: str,
) -> float:
    """Draw spans up the right side and extents below, and return the y below them."""
    across = sorted({m for f in fields if f.along for m in f.marks}
                    | {e for f in fields if not f.along for e in (f.start, f.end)})  # fmt: skip
    x = paper.spot(xs[1], 0.0)[0] + 14.0
    if len(across) > 1:
        spots = [paper.spot(0.0, y)[1] for y in across]
        canvas.line((x, spots[0]), (x, spots[-1]), weight=HAIR)
        canvas.lines([((x - 3.0, y), (x + 3.0, y)) for y in spots], weight=HAIR)
        canvas.lines([((x - 2.0, y + 2.0), (x + 2.0, y - 2.0)) for y in spots], weight=MEDIUM)
        below = 1e9
        for (a, b), (low, high) in zip(pairwise(spots), pairwise(across), strict=True):
            # From the bottom up; what is short moves up until it stands clear.
            place = min((a + b) / 2 + 2.5, below - NOTE * LEADING)
            below = place
            canvas.text(x + 5.0, place, length_text(high - low, system), NOTE)
    along = sorted({e for f in fields if f.along for e in (f.start, f.end)}
                   | {m for f in fields if not f.along for m in f.marks})  # fmt: skip
    y = paper.spot(0.0, ys[0])[1] + 18.0
    if len(along) < 2:
        return y
    stations = [paper.spot(a, 0.0)[0] for a in along]
    texts = [length_text(b - a, system) for a, b in pairwise(along)]
    return dimension_row(canvas, stations, texts, y)


def _key(
    canvas: Canvas, top: float, lines: Sequence[PlanLine], fields: Sequence[PlanField]
) -> float:
    shown: list[tuple[str, PlanLine | None]] = []
    for kind, stands, words in (
        ("wall", "", "wall"),
        ("beam", "", "beam"),
        ("wall", "as found", "wall as found"),
        ("wall", "removed", "wall taken out"),
        ("wall", "new", "new wall"),
        ("beam", "as found", "beam as found"),
        ("beam", "new", "new beam"),
        ("beam", "removed", "beam taken out"),
    ):
        if any((line.kind, line.stands) == (kind, stands) for line in lines):
            shown.append((words, PlanLine("", kind, stands, True, 0.0, 0.0, 18.0)))
    if any(each.tributary for each in fields):
        shown.append(("tributary to the opening", None))
    x, y = 0.0, top
    for words, line in shown:
        wide = 24.0 + text_width(words, NOTE) + 14.0
        if x + wide > PAGE_WIDTH - 130.0:
            x, y = 0.0, y + NOTE * LEADING + 4.0
        if line is None:
            box = [(x, y), (x + 18, y), (x + 18, y + 7), (x, y + 7)]
            canvas.areas([box], "none", HAIR, SOFT, hatch="////", dash=(3.0, 2.0))
        else:
            _line(canvas, _Paper(x, y + 3.5, (0.0, 0.0), 1.0), line)
        canvas.text(x + 23.0, y + 6.0, words, NOTE)
        x += wide
    return y + BODY + 10.0


def _alt(title: str, lines: Sequence[PlanLine], fields: Sequence[PlanField], system: str) -> str:
    parts = [f"{title}."]
    for each in fields:
        spans = " and ".join(length_text(b - a, system) for a, b in pairwise(each.marks))
        long = length_text(each.end - each.start, system)
        share = " Part of it is tributary to the opening." if each.tributary else ""
        parts.append(f"{each.name}: spans {spans}, over {long} of the line.{share}")
    for line in lines:
        what = f"{line.kind} {line.stands}".strip()
        parts.append(f"{line.name}, {what}, {length_text(line.end - line.start, system)}.")
    return " ".join(parts)
