"""Loading, shear, moment and deflection of a member, one above the other."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from calclib import units
from calclib.sheet.figures_canvas import (
    ACCENT,
    CAPITAL,
    DOTTED,
    HAIR,
    HEAD,
    HEAVY,
    LEADING,
    NOTE,
    SOFT,
    THIN,
    TINT,
    Canvas,
    Figure,
    Spot,
    text_width,
)
from calclib.sheet.figures_loading import (
    Along,
    loading,
)
from calclib.sheet.figures_marks import amount_text, require_system
from calclib.sheet.figures_placing import Placed, place_labels
from calclib.sheet.figures_shapes import LineLoad, PointLoad, SupportMark

# An extreme below this part of the largest value cannot be told from zero in the drawing.
TOO_SMALL = 2e-3
SAME = 1e-9
# A curve that stays below this many lbf, lbf in or in is flat.
NOTHING = 1e-9

DIAGRAM_CAPTION = (
    "Shear is positive where the part on the left pushes up; moment is drawn upward where the "
    "member sags (tension at its bottom), downward where it hogs (tension at its top); "
    "deflection is drawn the way the member moves, much enlarged. "
    "The height of a load band does not show its size."
)


@dataclass(frozen=True)
class Curve:
    """A curve along the member, with its extremes.

    Attributes
    ----------
    x : sequence of float [in]
        Rising; a place is given twice where the curve jumps.
    y : sequence of float
        Shear [lbf], moment [lbf in] or deflection [in], at the places of `x`.
    extremes : sequence of (float, float)
        Position and value of each extreme to be marked; those below 1/500 of the largest value
        are left out.
    case : str
        The combination of loads that the curve belongs to.
    """

    x: Sequence[float]
    y: Sequence[float]
    extremes: Sequence[tuple[float, float]] = ()
    case: str = ""

    @property
    def marked(self) -> list[tuple[float, float]]:
        """The extremes without zeros and repetitions, largest first."""
        largest = max((abs(value) for value in self.y), default=0.0)
        reach = max(self.x, default=0.0)
        found: list[tuple[float, float]] = []
        for at, value in self.extremes:
            known = any(
                abs(at - a) <= SAME * reach and abs(value - v) <= SAME * largest for a, v in found
            )
            if abs(value) > max(TOO_SMALL * largest, NOTHING) and not known:
                found.append((float(at), float(value)))
        return sorted(found, key=lambda spot: (-abs(spot[1]), spot[0]))


@dataclass(frozen=True)
class _Panel:
    name: str
    unit: str
    curve: Curve
    high: float
    down: bool = False
    bends: bool = False

    def value_text(self, value: float, system: str) -> str:
        if self.down:
            text = amount_text(abs(value), self.unit, system)
            return f"{text} up" if value < 0 else text
        return amount_text(value, self.unit, system)


def beam_diagrams(
    *,
    figure_id: str,
    title: str,
    length: float,
    supports: Sequence[SupportMark],
    line_loads: Sequence[LineLoad],
    point_loads: Sequence[PointLoad],
    shear: Curve,
    moment: Curve,
    deflection: Curve,
    system: str = "US",
    zero_name: str = "the left end",
    loading_note: str = "",
    hinges: Sequence[float] = (),
) -> Figure:
    """Draw loading, shear, moment and deflection of a member above each other.

    Parameters
    ----------
    figure_id : str
        Unlike that of any other figure of the page.
    title : str
        Name of the member.
    length : float [in]
    supports : sequence of SupportMark
        From left to right.
    line_loads : sequence of LineLoad
    point_loads : sequence of PointLoad
    shear, moment, deflection : Curve
        Each of the case that governs it; positive where the left part pushes up, where the
        member sags, where it goes down. They are drawn as given, with nothing computed between.
    system : {"US", "SI"}
        Units of the text.
    zero_name : str
        Where positions are measured from, such as "the left post".
    loading_note : str
        What the sizes of the loads stand for, such as "unfactored".
    hinges : sequence of float [in]

    Returns
    -------
    Figure

    Raises
    ------
    InputError
        For another system of units, or a figure id with odd characters.

    Notes
    -----
    Valid for: members without vertical parts, any number of spans.
    """
    require_system(system)
    canvas = Canvas()
    panels = (
        _Panel("Shear V", "lbf", shear, 58.0),
        _Panel("Moment M", "lbf*ft", moment, 64.0, bends=True),
        _Panel("Deflection", "in", deflection, 40.0, down=True),
    )
    scales = [_steps(panel, system) for panel in panels]
    margin = max((text_width(text, NOTE) for scale in scales for _, text in scale), default=0.0)
    along = Along(max(margin + 18.0, 30.0), canvas.width - 14.0, length, system)
    y = loading(canvas, along, 4.0, supports, line_loads, point_loads, hinges, loading_note)
    marks = [support.at for support in supports]
    for panel, scale in zip(panels, scales, strict=True):
        y = _panel(canvas, along, y + 15.0, panel, scale, marks)
    alt = _alternative(title, panels, along, supports, line_loads, point_loads, zero_name)
    return canvas.figure(
        figure_id,
        y + 5.0,
        f"Loading, shear, moment and deflection of {title}",
        alt,
        f"{title[:1].upper()}{title[1:]}: loading, shear, moment and deflection. "
        f"Positions from {zero_name}. {DIAGRAM_CAPTION}",
    )


def _steps(panel: _Panel, system: str) -> list[tuple[float, str]]:
    """Return the values of the scale with their texts, in round steps."""
    shown = units.si_unit(panel.unit) if system == "SI" else panel.unit
    one = units.factor(shown)
    values = [0.0, *panel.curve.y]
    low, high = min(values) / one, max(values) / one
    if not NOTHING < high - low < math.inf:
        return [(0.0, "0")]
    rough = (high - low) / (panel.high / 10.0)
    power = math.floor(math.log10(rough))
    round_step, digits = next(
        (k, d)
        for k, d in ((1, 0), (2, 0), (2.5, 1), (5, 0), (10, -1))
        if 10.0**power * k >= rough * (1 - 1e-12)
    )
    step = 10.0**power * round_step
    digits = max(0, digits - power)
    first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
    return [
        (i * step * one, f"{i * step:,.{digits}f}".replace("-", "−") if i else "0")
        for i in range(first, last + 1)
    ]


def _panel(
    canvas: Canvas,
    along: Along,
    top: float,
    panel: _Panel,
    scale: Sequence[tuple[float, str]],
    guides: Sequence[float],
) -> float:
    """Draw one curve below a heading, and return the y below it."""
    base = top + CAPITAL * HEAD
    unit = amount_text(0.0, panel.unit, along.system).removeprefix("0").strip()
    case = f", under {panel.curve.case}" if panel.curve.case else ""
    canvas.text(along.left, base, f"{panel.name} ({unit}){case}", HEAD, bold=True)

    spots, heights = _to_paper(panel, along)
    marked = panel.curve.marked
    dots = [(along.x(at), heights(value)) for at, value in marked]
    words = [
        (panel.value_text(value, along.system), f"at {along.text(at)}") for at, value in marked
    ]
    # Right of the member's end there is room for half a label.
    placed = place_labels(dots, words, heights(0.0), spots, along.left, canvas.width - 4.0)
    reach_up = min([0.0, *(label.box.top for label in placed)])
    reach_down = max([panel.high, *(label.box.bottom for label in placed)])
    shift = base + 7.0 - reach_up

    def drop(spot: Spot) -> Spot:
        return spot[0], spot[1] + shift

    foot = reach_down + shift
    zero = heights(0.0) + shift
    _backdrop(
        canvas, along, [(heights(v) + shift, t) for v, t in scale], (base + 5.0, foot + 1.0), guides
    )
    if spots:
        first, last = spots[0][0], spots[-1][0]
        outline = [(first, zero), *(drop(spot) for spot in spots), (last, zero)]
        canvas.areas([outline], TINT)
        canvas.line((along.left, zero), (along.right, zero), weight=THIN)
        canvas.line(*outline, weight=HEAVY, color=ACCENT)
    else:
        canvas.line((along.left, zero), (along.right, zero), weight=THIN)
    for label, lines in zip(placed, words, strict=True):
        _label(canvas, label, lines, shift, zero)
    return foot


def _to_paper(panel: _Panel, along: Along) -> tuple[list[Spot], Callable[[float], float]]:
    values = [0.0, *map(float, panel.curve.y)]
    low, high = min(values), max(values)
    reach = high - low if high - low > NOTHING else 1.0

    def height(value: float) -> float:
        share = (value - low) / reach if panel.down else (high - value) / reach
        return panel.high * share

    spots = [
        (along.x(float(x)), height(float(y)))
        for x, y in zip(panel.curve.x, panel.curve.y, strict=True)
    ]
    return spots, height


def _backdrop(
    canvas: Canvas,
    along: Along,
    scale: Sequence[tuple[float, str]],
    reach: tuple[float, float],
    guides: Sequence[float],
) -> None:
    canvas.lines(
        [((along.x(at), reach[0]), (along.x(at), reach[1])) for at in guides],
        weight=THIN,
        color=SOFT,
        dash=DOTTED,
    )
    x = along.left - 6.0
    ys = [y for y, _ in scale]
    canvas.line((x, min(ys)), (x, max(ys)), weight=HAIR)
    canvas.lines([((x - 2.5, y), (x, y)) for y in ys], weight=HAIR)
    for y, text in scale:
        canvas.text(x - 4.5, y + 0.36 * NOTE, text, NOTE, "right", color=SOFT)


def _label(canvas: Canvas, label: Placed, lines: Sequence[str], shift: float, zero: float) -> None:
    x, y = label.dot[0], label.dot[1] + shift
    box = label.box
    top = box.top + shift
    canvas.line((x, y), (x, zero), weight=HAIR, color=ACCENT)
    if label.led:
        near = top if top > y else box.bottom + shift
        canvas.line((x, y), (x, near), weight=HAIR, color=SOFT)
    canvas.areas([_dot(x, y)], ACCENT)
    middle = (box.left + box.right) / 2
    base = top + CAPITAL * NOTE
    canvas.text(middle, base, lines[0], NOTE, "center", bold=True)
    for i, line in enumerate(lines[1:], start=1):
        canvas.text(middle, base + i * LEADING * NOTE, line, NOTE, "center")


def _dot(x: float, y: float, radius: float = 1.9) -> list[Spot]:
    turns = [math.tau * i / 12 for i in range(12)]
    return [(x + radius * math.cos(turn), y + radius * math.sin(turn)) for turn in turns]


def _alternative(
    title: str,
    panels: Sequence[_Panel],
    along: Along,
    supports: Sequence[SupportMark],
    line_loads: Sequence[LineLoad],
    point_loads: Sequence[PointLoad],
    zero_name: str,
) -> str:
    names = ", ".join(f"{s.name} at {along.text(s.at)}" for s in supports)
    counts = " and ".join(
        f"{count} {word}{'s' if count != 1 else ''}"
        for count, word in ((len(line_loads), "line load"), (len(point_loads), "point load"))
        if count
    )
    parts = [
        f"{title[:1].upper()}{title[1:]}, {along.text(along.length)} long, on {names}, "
        f"carries {counts or 'no load'}."
    ]
    for panel in panels:
        parts.append(_peak_sentence(panel, along, zero_name))
    return " ".join(parts)


def _peak_sentence(panel: _Panel, along: Along, zero_name: str) -> str:
    name = panel.name.split()[0]
    marked = panel.curve.marked
    under = f" under {panel.curve.case}" if panel.curve.case else ""
    if not marked:
        return f"{name} has no extreme to mark{under}."

    def words(spot: tuple[float, float]) -> str:
        size = panel.value_text(spot[1], along.system)
        if panel.bends and spot[1] < 0:
            size += " (hogging)"
        return f"{size}, {along.text(spot[0])} from {zero_name}"

    text = f"{name} peaks at {words(marked[0])}{under}"
    other = next((spot for spot in marked if spot[1] * marked[0][1] < 0), None)
    if other:
        text += f"; on the other side it reaches {words(other)}"
    return text + "."
