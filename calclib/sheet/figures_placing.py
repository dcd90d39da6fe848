"""Where words stand, so that nothing covers anything."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from calclib.sheet.figures_canvas import (
    NOTE,
    Box,
    Spot,
    block_height,
    text_width,
)

# Room between words that stand beside each other.
GAP = 5.0
CLEAR = 4.5
TIERS = 7
# What it costs a choice that others come before it.
RANK = 0.3


def lanes(spans: Sequence[tuple[float, float]], gap: float = GAP) -> list[int]:
    """Return for each span the first lane, from 0, in which it meets no earlier one."""
    taken: list[list[tuple[float, float]]] = []
    found = []
    for left, right in spans:
        lane = 0
        while lane < len(taken) and any(
            left < other_right + gap and other_left < right + gap
            for other_left, other_right in taken[lane]
        ):
            lane += 1
        if lane == len(taken):
            taken.append([])
        taken[lane].append((left, right))
        found.append(lane)
    return found


def within(center: float, wide: float, low: float, high: float) -> float:
    """Return the center nearest to a given one at which something wide stays inside."""
    return min(max(center, low + wide / 2), max(high - wide / 2, low + wide / 2))


@dataclass(frozen=True)
class Placed:
    """A label that has found its place.

    Attributes
    ----------
    dot : (float, float) [points]
        The extreme.
    box : Box
        Where its words stand.
    led : bool
        Whether a leader ties the words to the dot.
    """

    dot: Spot
    box: Box
    led: bool


def place_labels(
    dots: Sequence[Spot],
    words: Sequence[Sequence[str]],
    zero: float,
    curve: Sequence[Spot],
    left: float,
    right: float,
) -> list[Placed]:
    """Find a place for the words of each extreme, the first with the first choice.

    Parameters
    ----------
    dots : sequence of (float, float) [points]
    words : sequence of sequences of str
        The lines of each label, in the size of a note; the first is bold.
    zero : float [points]
        Height of the zero line, so that labels stand outside the curve where they can.
    curve : sequence of (float, float) [points]
        What no label should hide.
    left, right : float [points]
        Labels stay between these.

    Returns
    -------
    list of Placed
        In the order of the dots. The box always stands over its dot: it holds the dot's x.
    """
    hidden = _samples(curve)
    marks = [Box(x - 2.2, y - 2.2, x + 2.2, y + 2.2) for x, y in dots]
    taken: list[Box] = []
    found = []
    for i, (dot, lines) in enumerate(zip(dots, words, strict=True)):
        others = marks[:i] + marks[i + 1 :]
        best = _cheapest(_choices(dot, lines, zero, left, right), taken, others, hidden, zero)
        taken.append(best.box)
        if best.led:
            taken.append(
                Box(
                    dot[0] - 1.0,
                    min(dot[1], best.box.bottom),
                    dot[0] + 1.0,
                    max(dot[1], best.box.top),
                )
            )
        found.append(best)
    return found


def _samples(curve: Sequence[Spot]) -> np.ndarray:
    """Return spots on the curve, 2 points apart."""
    if len(curve) < 2:
        return np.empty((0, 2))
    spots = np.array(curve)
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(spots, axis=0).T))])
    places = np.arange(0.0, along[-1], 2.0)
    return np.stack([np.interp(places, along, spots[:, i]) for i in (0, 1)], axis=1)


def _choices(
    dot: Spot, lines: Sequence[str], zero: float, left: float, right: float
) -> list[Placed]:
    x, y = dot
    wide = max(text_width(lines[0], NOTE, bold=True), *(text_width(t, NOTE) for t in lines))
    high = block_height(len(lines), NOTE)
    outward = -1 if y <= zero else 1
    middle = within(x, wide, left, right)
    centers = [middle]
    for center in (x + wide / 2 - 3.0, x - wide / 2 + 3.0):
        if left <= center - wide / 2 and center + wide / 2 <= right:
            centers.append(center)
    found = []
    for tier in range(TIERS):
        for way in (outward, -outward):
            shift = CLEAR + tier * (high + 2.0) / 2
            top = y + shift if way > 0 else y - shift - high
            found += [
                Placed(dot, Box(c - wide / 2, top, c + wide / 2, top + high), tier > 0)
                for c in centers
            ]
    return found


def _cheapest(
    choices: Sequence[Placed],
    taken: Sequence[Box],
    marks: Sequence[Box],
    hidden: np.ndarray,
    zero: float,
) -> Placed:
    best, least = choices[0], np.inf
    for rank, choice in enumerate(choices):
        cost = _cost(choice, taken, marks, hidden, zero) + RANK * rank
        if cost < least:
            best, least = choice, cost
        if least <= RANK * (rank + 1):
            break
    return best


def _cost(
    choice: Placed, taken: Sequence[Box], marks: Sequence[Box], hidden: np.ndarray, zero: float
) -> float:
    box = choice.box
    cost = 50.0 * sum(box.overlap(other) for other in taken)
    cost += 20.0 * sum(box.overlap(mark) for mark in marks)
    inside = (
        (hidden[:, 0] > box.left - 1.0)
        & (hidden[:, 0] < box.right + 1.0)
        & (hidden[:, 1] > box.top - 1.5)
        & (hidden[:, 1] < box.bottom + 1.5)
    )
    cost += 6.0 * float(inside.sum())
    if box.top - 1.0 < zero < box.bottom + 1.0:
        cost += 12.0
    return cost


def point_lanes(
    spots: Sequence[tuple[float, float]], labels: Sequence[float], low: float, high: float
) -> list[tuple[int, bool]]:
    """Place the labels of arrows that stand side by side, so that no arrow runs through one.

    Parameters
    ----------
    spots : sequence of (float, float)
        First and last arrow of each group, by the first, in points.
    labels : sequence of float
        Width of the label of each.
    low, high : float
        Labels stay between these.

    Returns
    -------
    list of (int, bool)
        For each group the lane of its label, 0 the lowest, and whether the label runs to the
        right of its first arrow (else to the left of its last).
    """
    sides: list[bool] = [True] * len(spots)
    covers: list[tuple[float, float]] = [(0.0, 0.0)] * len(spots)
    for i in range(len(spots) - 1, -1, -1):
        first, last = spots[i]
        right_end = first + GAP + labels[i]
        meets_left = any(
            not sides[j] and right_end > spots[j][0] - 2.0 for j in range(i + 1, len(spots))
        )
        fits_left = last - GAP - labels[i] >= low
        sides[i] = not ((right_end > high or meets_left) and fits_left)
        covers[i] = (
            (first, max(right_end, last))
            if sides[i]
            else (min(last - GAP - labels[i], first), last)
        )
    return [(lane, side) for lane, side in zip(_stacked(spots, covers), sides, strict=True)]


def _stacked(
    spots: Sequence[tuple[float, float]], covers: Sequence[tuple[float, float]]
) -> list[int]:
    """Return lanes such that a label lies above each arrow and each label that it covers."""
    count = len(spots)

    def meets(a: tuple[float, float], b: tuple[float, float]) -> bool:
        return a[0] < b[1] + GAP and b[0] < a[1] + GAP

    over = [
        {
            j
            for j in range(count)
            if j != i and spots[j][0] <= covers[i][1] + 2.0 and covers[i][0] - 2.0 <= spots[j][1]
        }
        for i in range(count)
    ]
    result: dict[int, int] = {}
    while len(result) < count:
        waiting = [i for i in range(count) if i not in result]
        # Labels that cover each other's arrows cannot all be helped; then the first goes first.
        i = min(waiting, key=lambda k: (len(over[k] - result.keys()), k))
        lane = max((result[j] + 1 for j in over[i] if j in result), default=0)
        while any(result[j] == lane and meets(covers[i], covers[j]) for j in result):
            lane += 1
        result[i] = lane
    return [result[i] for i in range(count)]
