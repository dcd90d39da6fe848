"""Bars of utilization."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from calclib.sheet.figures_canvas import (
    BODY,
    CAPITAL,
    EDGE,
    HEAVY,
    INK,
    LEADING,
    NOTE,
    PAPER,
    SOFT,
    THIN,
    Canvas,
    Figure,
    block_height,
    text_width,
    wrap,
)


@dataclass(frozen=True)
class UtilizationRow:
    """A check in short: its title, demand over capacity if there is one, its state as a word."""

    label: str
    utilization: float | None
    state: str


def utilization_bars(*, figure_id: str, title: str, rows: Sequence[UtilizationRow]) -> Figure:
    """Draw the utilization of each check as a bar that ends at, before or past a limit of 1.

    Parameters
    ----------
    figure_id : str
        Unlike that of any other figure of the page.
    title : str
    rows : sequence of UtilizationRow
        From the top down; a bar past twice the limit is cut off with a break.

    Returns
    -------
    Figure

    Raises
    ------
    InputError
        For a figure id with odd characters.
    """
    canvas = Canvas()
    names = [wrap(row.label, BODY, 170.0, 2) for row in rows]
    left = EDGE + max((text_width(t, BODY) for lines in names for t in lines), default=0.0) + 8.0
    numbers = [_ratio_text(row.utilization) for row in rows]
    words = [f"{number}, {row.state}" for number, row in zip(numbers, rows, strict=True)]
    room = max((text_width(word, BODY, bold=True) for word in words), default=0.0) + 8.0
    largest = max([1.15, *(min(_bar_length(row), 2.0) for row in rows)])
    unit = (canvas.width - EDGE - left - room) / largest
    y = EDGE + 12.0
    limit = left + unit
    canvas.text(limit, y - 4.0, "1.0", NOTE, "center")
    start = y
    for row, lines, word in zip(rows, names, words, strict=True):
        y = _bar(canvas, row, lines, word, left, unit, y)
    canvas.line((left, start - 2.0), (left, y), weight=THIN)
    canvas.line((limit, start - 2.0), (limit, y), weight=HEAVY)
    parts = [
        f"{plain_row.label}: {number}, {plain_row.state}."
        for plain_row, number in zip(rows, numbers, strict=True)
    ]
    return canvas.figure(
        figure_id,
        y + EDGE,
        f"Utilization, {title}",
        f"Utilization, {title}. {' '.join(parts)}",
        "Demand over capacity; the heavy line is 1. Full bars pass, hatched bars fail, "
        "open bars are open.",
    )


def _bar_length(row: UtilizationRow) -> float:
    number = row.utilization
    return max(number, 0.0) if number is not None and math.isfinite(number) else 0.0


def _ratio_text(number: float | None) -> str:
    if number is None:
        return "no number"
    if not math.isfinite(number):
        return "no finite number"
    shown = f"{number:.3f}"
    # A ratio just over 1 must not read as one that passes.
    return "just over 1" if number > 1 and float(shown) <= 1 else shown


def _bar(
    canvas: Canvas,
    row: UtilizationRow,
    lines: Sequence[str],
    word: str,
    left: float,
    unit: float,
    y: float,
) -> float:
    high = max(block_height(len(lines), BODY), BODY) + 5.0
    middle = y + high / 2
    canvas.block(
        left - 6.0, middle - (CAPITAL + (len(lines) - 1) * LEADING) * BODY / 2, lines, BODY, "right"
    )
    ratio = _bar_length(row)
    end = left + unit * min(ratio, 2.0)
    outline = [(left, middle - 3.5), (end, middle - 3.5), (end, middle + 3.5), (left, middle + 3.5)]
    if row.state.lower().startswith("fail"):
        canvas.areas([outline], PAPER, HEAVY, hatch="/////", hatch_color=INK)
    elif row.state.lower().startswith("pass"):
        canvas.areas([outline], SOFT, THIN)
    else:
        canvas.areas([outline], PAPER, THIN, dash=(2.5, 1.5))
    if ratio > 2.0:
        canvas.areas(
            [
                [
                    (end - 8.0, middle - 5.0),
                    (end - 5.0, middle - 5.0),
                    (end - 8.0, middle + 5.0),
                    (end - 11.0, middle + 5.0),
                ]
            ],
            PAPER,
        )
    bold = not row.state.lower().startswith("pass")
    x = max(end, left) + 5.0
    # The words must not lie under the line at 1.
    if x - 3.0 < left + unit < x + text_width(word, BODY, bold):
        x = left + unit + 5.0
    canvas.text(x, middle + 0.36 * BODY, word, BODY, bold=bold)
    return y + high
