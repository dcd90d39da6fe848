"""Where many checks turn over when one leaf is varied: one outward scan for all of them.

`break_point` finds one check's; here a scan in few growing steps serves all checks of a leaf, and
each crossing is refined with the part of the graph, and the load cases, that decide it.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import Any

from calclib.errors import CalcError
from calclib.trace.check import Check, holds, largest, worst_of
from calclib.trace.replay import BreakPoint, program
from calclib.trace.value import Call, Leaf, Value, substitute

# Multiples of the number at which a scan stops to look.
OUTWARD_UP = (1.1, 1.25, 1.6, 2.4, 4.0)
OUTWARD_DOWN = (0.9, 0.75, 0.5, 0.25)
REFINED = 1e-7
# Where the calculation refuses a number, the end of the range is approached by halving.
HALVINGS = 5
# Load cases whose ratio comes this near to the largest take part in the refinement.
NEAR_GOVERNING = 0.75
# Fewer cases left out save less time than it takes to look at all of them in the end.
WORTH = 12

Ratios = tuple[Any, ...]


class Turning:
    """The checks that one leaf can change, ready to be run for any number of it.

    Parameters
    ----------
    leaf : Value
        A scalar leaf.
    checks : sequence of Check
        Those that depend on it.
    """

    def __init__(self, leaf: Value, checks: Sequence[Check]) -> None:
        self.leaf = leaf
        self.checks = tuple(checks)
        self.targets = tuple(worst_of(check) for check in checks)
        flat = [target for targets in self.targets for target in targets]
        self.calls = program(leaf, flat).calls
        self.now = tuple(tuple(target.number for target in targets) for targets in self.targets)
        self._parts: dict[int, tuple[Call, ...]] = {}

    def __call__(self, number: float) -> tuple[Ratios, ...]:
        """Return what decides each check when the leaf has a number [base units].

        Raises
        ------
        CalcError, ArithmeticError
            When the calculation refuses the number.
        """
        value_of = _run(self.calls, self.leaf.id, number)
        return tuple(tuple(map(value_of, targets)) for targets in self.targets)

    def fits(self, place: int, ratios: Ratios) -> bool:
        """Say whether a check holds, whatever is open about it."""
        given = self.checks[place].ratio is not None
        return bool(holds(ratios[:1], ratios[1:]) if given else holds((), ratios))

    def scan(self, direction: int, numbers: Sequence[float]) -> list[BreakPoint]:
        """Return for each check the nearest number in one direction at which it turns over.

        Parameters
        ----------
        direction : 1 or -1
        numbers : sequence of float [base units]
            Where to look, outward. A check that turns over and back between two neighbors of
            them is not seen.

        Returns
        -------
        list of BreakPoint
            In the order of the checks, refined to 1e-7 of the number; at a jump, the jump.
        """
        found: list[BreakPoint | None] = [None] * len(self.checks)
        start = self.leaf.at()
        here, ratios_here = start, self.now
        fits = [self.fits(i, ratios) for i, ratios in enumerate(self.now)]
        stopped = ""
        for number in numbers:
            ahead, ratios_ahead, stopped = self._ahead(here, number)
            if ahead == here:
                break
            for i, ratios in enumerate(ratios_ahead):
                if found[i] is None and self.fits(i, ratios) != fits[i]:
                    value = self._turn(i, fits[i], (here, ratios_here[i]), (ahead, ratios))
                    found[i] = self._point(i, value, "", ahead)
            here, ratios_here = ahead, ratios_ahead
            if stopped or None not in found:
                break
        return [
            self._point(i, None, stopped, here) if each is None else each
            for i, each in enumerate(found)
        ]

    def _point(self, place: int, value: float | None, stopped: str, reached: float) -> BreakPoint:
        return BreakPoint(self.leaf.id, self.checks[place].id, value, stopped, reached)

    def _ahead(self, here: float, number: float) -> tuple[float, tuple[Ratios, ...], str]:
        """Return the next number of a scan, or the last before one that is refused, and why."""
        try:
            return number, self(number), ""
        except (CalcError, ArithmeticError) as error:
            stopped = str(error)
        accepted: tuple[float, tuple[Ratios, ...]] = (here, ())
        refused = number
        for _ in range(HALVINGS):
            middle = (accepted[0] + refused) / 2
            try:
                accepted = middle, self(middle)
            except (CalcError, ArithmeticError) as error:
                refused, stopped = middle, str(error)
        return *accepted, stopped

    def _turn(
        self, place: int, fits: bool, near: tuple[float, Ratios], far: tuple[float, Ratios]
    ) -> float:
        """Return the last number at which a check still fits, or the first at which it does."""
        part = self._part(place)

        def at(number: float, cut: tuple[int, Any] | None = None) -> tuple[bool, float]:
            try:
                value_of = _run(part, self.leaf.id, number, cut)
                ratios = tuple(map(value_of, self.targets[place]))
            except (CalcError, ArithmeticError):
                return not fits, math.nan
            return self.fits(place, ratios), _margin(ratios)

        ends = [(number, self.fits(place, r), _margin(r)) for number, r in (near, far)]
        cut = _deciding_cases(near[1], far[1])
        if cut is not None:
            try:
                found = _refined(lambda number: at(number, cut), *ends)
            except (ValueError, IndexError):
                # Arrays of other lengths than the check's take part in it.
                cut = None
            else:
                # The other cases count too.
                if at(found[0])[0] is fits and at(found[1])[0] is not fits:
                    return found[0] if fits else found[1]
        found = _refined(at, *ends)
        return found[0] if fits else found[1]

    def _part(self, place: int) -> tuple[Call, ...]:
        """Return the calls that one check needs, of those that depend on the leaf."""
        if place not in self._parts:
            needed = {id(target.origin) for target in self.targets[place]}
            part = []
            for call in reversed(self.calls):
                if id(call) in needed:
                    part.append(call)
                    needed.update(id(item.origin) for item in call.inputs)
            self._parts[place] = tuple(reversed(part))
        return self._parts[place]


def outward(leaf: Value, direction: int) -> list[float]:
    """Return where a scan looks: growing multiples of a number, up to its limit.

    Parameters
    ----------
    leaf : Value
    direction : 1 or -1

    Returns
    -------
    list of float [base units]
        Empty for a number that is zero.
    """
    origin, start = leaf.origin, leaf.at()
    assert isinstance(origin, Leaf)
    multiples = OUTWARD_UP if (direction > 0) == (start > 0) else OUTWARD_DOWN
    return within(leaf, direction, [start * multiple for multiple in multiples] if start else [])


def within(leaf: Value, direction: int, numbers: Sequence[float]) -> list[float]:
    """Return numbers up to the limit of a leaf, which ends them if they reach it."""
    origin = leaf.origin
    assert isinstance(origin, Leaf)
    limit = origin.high if direction > 0 else origin.low
    if limit is None:
        return list(numbers)
    inside = [number for number in numbers if direction * (limit - number) > 0]
    if len(inside) < len(numbers) and direction * (limit - leaf.at()) > 0:
        inside.append(limit)
    return inside


def _run(
    calls: Sequence[Call], name: str, number: float, cut: tuple[int, Any] | None = None
) -> Callable[[Value], Any]:
    """Run calls for one number of a leaf, on some of the load cases only if they are named."""
    found: dict[int, tuple[Any, ...]] = {}

    def value_of(value: Value) -> Any:
        result: Any
        if isinstance(value.origin, Leaf):
            result = number if value.id == name else value.number
        else:
            results = found.get(id(value.origin))
            if results is not None:
                return results[value.part]
            result = value.number
        if cut is not None and hasattr(result, "ndim") and result.ndim:
            if len(result) != cut[0]:
                raise ValueError(f"{value.id}: another number of load cases")
            return result[cut[1]]
        return result

    # One member's loads are an argument of every step that reads its solution.
    again: dict[int, Any] = {}
    for call in calls:
        given = []
        for argument in call.arguments:
            if id(argument) not in again:
                again[id(argument)] = substitute(argument, value_of)
            given.append(again[id(argument)])
        result = call.function.run(*given)
        results = tuple(result) if call.function.several else (result,)
        found[id(call)] = call.as_many(results)
    return value_of


def _margin(ratios: Ratios) -> float:
    """Return how far the largest ratio is above 1; NaN where one of them is."""
    sizes = [largest(ratio) for ratio in ratios]
    return math.nan if any(map(math.isnan, sizes)) else max(sizes) - 1.0


def _deciding_cases(near: Ratios, far: Ratios) -> tuple[int, Any] | None:
    """Return the number of load cases and those that may decide between two places."""
    import numpy as np

    arrays = [r for r in (*near, *far) if getattr(r, "ndim", 0)]
    lengths = {len(r) for r in arrays}
    if len(lengths) != 1 or not all(np.isfinite(r).all() for r in arrays):
        return None
    count = lengths.pop()
    deciding: Any = np.zeros(count, dtype=bool)
    for r in arrays:
        deciding |= r >= r.max() - (1 - NEAR_GOVERNING) * abs(r.max())
    (index,) = deciding.nonzero()
    return (count, index) if count - len(index) >= WORTH else None


def _refined(
    at: Callable[[float], tuple[bool, float]],
    near: tuple[float, bool, float],
    far: tuple[float, bool, float],
) -> tuple[float, float]:
    """Return two numbers, one to 1e-7, of which the nearer gives one verdict, the farther another.

    Source: T. R. Chandrupatla, Advances in Engineering Software 28 (1997) 145: inverse quadratic
    interpolation where it is sure to gain, else halving.
    """
    inner, outer = near, far
    newest, other, third = far, near, None
    share = _secant(newest[2], other[2])
    while True:
        gap = abs(outer[0] - inner[0])
        close = REFINED * max(abs(inner[0]), abs(outer[0]))
        if gap <= close:
            return inner[0], outer[0]
        least = min(0.5, 0.45 * close / gap)
        share = min(max(share, least), 1 - least)
        number = newest[0] + share * (other[0] - newest[0])
        made = (number, *at(number))
        if made[1] == newest[1]:
            third = newest
        else:
            third, other = other, newest
        newest = made
        inner, outer = (newest, other) if newest[1] == near[1] else (other, newest)
        share = _interpolated(newest, other, third)


def _secant(one: float, other: float) -> float:
    """Return how far the zero lies from one toward the other of two values of unlike sign."""
    return one / (one - other) if one * other < 0 else 0.5


def _interpolated(
    newest: tuple[float, bool, float],
    other: tuple[float, bool, float],
    third: tuple[float, bool, float],
) -> float:
    x1, f1, x2, f2, x3, f3 = newest[0], newest[2], other[0], other[2], third[0], third[2]
    if not (f1 * f2 < 0 and math.isfinite(f3)) or f3 == f2 or f3 == f1 or x3 == x2:
        return 0.5
    xi, phi = (x1 - x2) / (x3 - x2), (f1 - f2) / (f3 - f2)
    if not (phi * phi < xi and (1 - phi) ** 2 < 1 - xi):
        return 0.5
    return f1 / (f2 - f1) * f3 / (f2 - f3) + (x3 - x1) / (x2 - x1) * f1 / (f3 - f1) * f2 / (f3 - f2)
