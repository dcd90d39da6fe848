"""What the sheet says of break-points: how far each number may go before a check turns over."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from markupsafe import Markup

from calclib import units
from calclib.job.break_points import Neighbor, Range, Turn
from calclib.job.solve import Solved
from calclib.sheet.display import Display
from calclib.sheet.tables import table
from calclib.trace import Leaf, Value
from calclib.trace.check import ratio_text

if TYPE_CHECKING:
    from calclib.sheet.sections import Printing

DRAFT = (
    "Draft: how far each number may go before a check turns over was not worked out. "
    "Write the sheet without --draft before it is submitted."
)
LEAST_ON_FIRST_PAGE, MOST_ON_FIRST_PAGE = 2, 5
# What may be wrong by more than half of itself does not matter most.
NEAR = 0.5
DIGITS = 3
# A crossing is found to 1e-7 of itself: what is nearer to a round number is that number.
ROUND = 1e-6
_NOTHING = Markup("")


def cautious(number: float, unit: str, up: bool, si: bool = False) -> float:
    """Return a number rounded one way only, as coarsely as the sheet shows it.

    Parameters
    ----------
    number : float [base units]
    unit : str
        Its display unit.
    up : bool
        Whether to round up.
    si : bool

    Returns
    -------
    float [base units]
        A multiple of 1/16 in or 1 mm for a length in inches, of 1/4 in or 5 mm for one in feet,
        else three digits of the unit shown.

    Examples
    --------
    >>> cautious(10.03, "in", up=False), cautious(10.03, "in", up=True)
    (10.0, 10.0625)
    >>> round(cautious(0.121 * 1.0001, "psf", up=True) * 144, 6)
    17.5
    """
    shown = units.si_unit(unit) if si else unit
    if unit in ("ft", "in"):
        fine = unit == "in"
        quantum = (1 if fine else 5) * units.factor("mm") if si else 1 / (16 if fine else 4)
    else:
        size = abs(number) / units.factor(shown)
        power = math.floor(math.log10(size)) if size else 0
        quantum = 10.0 ** (power - DIGITS + 1) * units.factor(shown)
    count = number / quantum
    near = round(count)
    if abs(count - near) > ROUND * max(abs(count), 1.0):
        near = math.ceil(count) if up else math.floor(count)
    return near * quantum


def turn_text(each: Range, turn: Turn, display: Display) -> str:
    """Return where a check turns over, in words; rounded to the side that is sure."""
    is_up = turn.value > each.leaf.at()
    unit = each.leaf.unit
    number = cautious(turn.value, unit, is_up == turn.passes_there, display.si)
    shown = display.number(number, unit)
    title = _lower(turn.check.title)
    if turn.passes_there:
        return f"from {shown} {'up' if is_up else 'down'} {title} passes"
    return f"{'up' if is_up else 'down'} to {shown} before {title} fails"


def _lower(title: str) -> str:
    """Return a title inside a sentence, whose verb follows."""
    title = title[:1].lower() + title[1:] if title[1:2].islower() else title
    return f"{title}," if "," in title else title


def _first_of_each(turns: Sequence[Turn]) -> Iterator[Turn]:
    """Yield the nearest crossing to a failure, and the nearest to a pass."""
    for passes in (False, True):
        yield from [turn for turn in turns if turn.passes_there is passes][:1]


def how_far(solved: Solved, value: Value, printing: Printing) -> Markup | None:
    """Return how far a number of the register may go; None for one that does not vary."""
    each = None if printing.draft else solved.break_points.of(value.id)
    if each is None:
        return None
    display = printing.display
    turns = [t for side in (each.down, each.up) for t in _first_of_each(side)]
    said = [turn_text(each, turn, display) for turn in turns]
    if not said and each.low < each.high:
        low, high = (display.number(number, value.unit) for number in (each.low, each.high))
        said.append(f"nothing turns over from {low} to {high}")
    said += each.notes
    return Markup("; ").join(said)


def nearness(solved: Solved, value: Value, draft: bool) -> float:
    """Return how near a number is to a crossing, by which the register is ordered."""
    each = None if draft else solved.break_points.of(value.id)
    return math.inf if each is None else each.nearest


def what_matters(solved: Solved, printing: Printing) -> Markup:
    """Return the few numbers that can be verified and are nearest to turning a check over."""
    head = Markup("<h2>What the result hangs on</h2>")
    if printing.draft:
        return head + Markup("<p>{}</p>").format(DRAFT)
    display = printing.display
    lines = []
    for place, each in enumerate(solved.break_points.to_verify(MOST_ON_FIRST_PAGE)):
        if place >= LEAST_ON_FIRST_PAGE and each.nearest > NEAR:
            break
        origin = each.leaf.origin
        assert isinstance(origin, Leaf)
        turn = min((*each.down[:1], *each.up[:1]), key=each.distance)
        may = "" if turn.passes_there else "may go "
        title = origin.title[:1].upper() + origin.title[1:]
        said = f"{title}, {origin.basis} {display.value(each.leaf)}: "
        lines.append(Markup("<li>{}</li>").format(f"{said}{may}{turn_text(each, turn, display)}."))
    flips = [n for n in solved.break_points.neighbors if n.turned]
    # A guess that would make a check fail counts more than a change that would make one pass.
    flips.sort(key=lambda n: (all(does == "passes" for _, does in n.turned), -len(n.turned)))
    lines += [
        Markup("<li>{}: {}.</li>").format(f"{n.change.what}, {n.change.now}", _neighbor_text(n))
        for n in flips[:MOST_ON_FIRST_PAGE]
    ]
    if not lines:
        none = "No number that can be verified on site turns a check over as far as was looked."
        return head + Markup("<p>{}</p>").format(none)
    return head + Markup(
        "<p>Nearest to turning a check over, each by itself with all others as they are; the "
        'rest stands in the <a href="#assumptions">register</a>.</p><ul>{}</ul>'
    ).format(_NOTHING.join(lines))


def _neighbor_text(neighbor: Neighbor) -> str:
    head = f"with {neighbor.change.to},"
    if neighbor.refused:
        return f"{head} {neighbor.refused}"
    if not neighbor.turned:
        worst = "nothing changes"
        if neighbor.worst is not None:
            title, ratio = neighbor.worst
            worst = f"nothing turns over, at most {ratio_text(ratio)} ({_lower(title).rstrip(',')})"
        return f"{head} {worst}"
    turned = " and ".join(f"{_lower(check.title)} {does}" for check, does in neighbor.turned[:2])
    more = len(neighbor.turned) - 2
    return f"{head} {turned}{f' and {more} more' if more > 0 else ''}"


def neighbors_table(solved: Solved, printing: Printing) -> Markup:
    """Return what cannot vary by degrees, and every crossing of what can."""
    if printing.draft:
        return Markup("<p>{}</p>").format(DRAFT)
    found: dict[tuple[str, str], list[str]] = {}
    for neighbor in solved.break_points.neighbors:
        key = (neighbor.change.what, neighbor.change.now)
        found.setdefault(key, []).append(_neighbor_text(neighbor))
    rows = [(what, now, "; ".join(said)) for (what, now), said in found.items()]
    made = _NOTHING
    if rows:
        made = table(
            "What cannot vary by degrees: the whole job solved again with each neighbor",
            ("What", "Now", "Neighbors"),
            rows,
            kind="neighbors",
        )
    return made + _every_crossing(solved, printing.display)


def _every_crossing(solved: Solved, display: Display) -> Markup:
    lines = [
        Markup("<li><code>{}</code>: {}.</li>").format(
            each.leaf.id,
            "; ".join(turn_text(each, t, display) for t in (*each.down, *each.up)),
        )
        for each in solved.break_points.ranges
        if each.down or each.up
    ]
    if not lines:
        return _NOTHING
    return Markup(
        "<details><summary>Every crossing, check by check</summary><ul>{}</ul></details>"
    ).format(_NOTHING.join(lines))


HOW = (
    "How far a number may go before a check turns over is said of each by itself, with all others "
    "as they are. It was looked for in growing steps, from a quarter to four times the number and "
    "for places up to 4 ft either way; a check that turns over and back within a step is not "
    "seen. Factors and limits of the code, counts and stock sizes do not vary so."
)
