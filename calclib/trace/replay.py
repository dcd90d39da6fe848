"""Evaluate again only what a leaf can change, and find where a check turns over.

The calls between a leaf and its checks are laid out once as a flat program; every trial
value runs through that program, nothing else is recomputed and no job is patched.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from calclib.errors import CalcError
from calclib.trace.check import Check, holds, largest, worst_of
from calclib.trace.value import Call, Leaf, Value

REFINED = 1e-10


@dataclass(frozen=True, eq=False)
class Program:
    """The calls that lie between one leaf and some targets, in the order to run them.

    Attributes
    ----------
    leaf : Value
        The leaf that is varied, with every other that bears its id.
    calls : tuple of Call
        The affected calls, inputs before results.
    targets : tuple of Value
        The values wanted.
    """

    leaf: Value
    calls: tuple[Call, ...]
    targets: tuple[Value, ...]

    def __call__(self, number: float) -> tuple[Any, ...]:
        """Return the targets' numbers when the leaf has the given number [base units].

        Raises
        ------
        CalcError
            When the calculation refuses the number.
        """
        found: dict[int, tuple[Any, ...]] = {}
        name = self.leaf.id

        def number_of(value: Value) -> Any:
            if isinstance(value.origin, Leaf):
                return number if value.id == name else value.number
            results = found.get(id(value.origin))
            return value.number if results is None else results[value.part]

        for call in self.calls:
            found[id(call)] = call.rerun(number_of)
        return tuple([number_of(target) for target in self.targets])


def program(leaf: Value, targets: Sequence[Value]) -> Program:
    """Lay out the calls by which a leaf reaches the targets.

    Parameters
    ----------
    leaf : Value
        A leaf.
    targets : sequence of Value
        Values that may depend on it; those that do not keep their number.

    Raises
    ------
    CalcError
        When the value to vary is no leaf.
    """
    if not isinstance(leaf.origin, Leaf):
        raise CalcError(f"{leaf.id}: needs a leaf to vary, got a calculated value.")
    depends: dict[int, bool] = {}
    calls: list[Call] = []

    def affected(value: Value) -> bool:
        if isinstance(value.origin, Leaf):
            return value.id == leaf.id
        return depends[id(value.origin)]

    stack = [(target.origin, False) for target in reversed(targets)]
    while stack:
        call, expanded = stack.pop()
        if isinstance(call, Leaf) or id(call) in depends:
            continue
        if not expanded:
            stack.append((call, True))
            stack.extend([(item.origin, False) for item in reversed(call.inputs)])
            continue
        depends[id(call)] = any(affected(item) for item in call.inputs)
        if depends[id(call)]:
            calls.append(call)
    return Program(leaf, tuple(calls), tuple(targets))


@dataclass(frozen=True)
class BreakPoint:
    """Where a check turns over when one leaf is varied.

    Attributes
    ----------
    leaf, check : str
        Their ids.
    value : float or None [base units]
        The last number at which the check still fits, or, when it does not fit now, the first
        at which it does; None when it does not turn over.
    stopped : str
        Why the scan ended early, when the calculation refused a number.
    reached : float [base units]
        How far the scan went.
    """

    leaf: str
    check: str
    value: float | None
    stopped: str
    reached: float


def margin(leaf: Value, check: Check) -> Callable[[float], float]:
    """Return the check's largest ratio less 1 as a function of the leaf's number.

    It is NaN where one of the ratios is.
    """
    run = program(leaf, worst_of(check))

    def at(number: float) -> float:
        ratios = [largest(ratio) for ratio in run(number)]
        return max(ratios, key=lambda ratio: (math.isnan(ratio), ratio)) - 1.0

    return at


def break_point(
    leaf: Value, check: Check, direction: int, *, step: float = 0.02, reach: float = 4.0
) -> BreakPoint:
    """Find the nearest number of a leaf, in one direction, at which a check turns over.

    Parameters
    ----------
    leaf : Value
        A scalar leaf; one that is zero needs a range.
    check : Check
        A traced check; what is open about it plays no part.
    direction : 1 or -1
        Whether to look at larger or smaller numbers.
    step : float
        Step of the outward scan, as a share of the leaf's number, or of the number reached if
        that is larger; of the range for a leaf that is zero.
        A check that turns over and back within one step is not seen.
    reach : float
        How far to scan where the leaf has no limit of its own: to this multiple of its number,
        and to this part of it.

    Returns
    -------
    BreakPoint
        Refined to 1e-10 of the number by halving; at a jump, the jump.

    Raises
    ------
    CalcError
        When the value is no leaf, holds several numbers or has neighbors instead of a range.
    ValueError
        When the direction is neither 1 nor -1, or the scan would not move outward.
    """
    if direction not in (1, -1) or not (step > 0 and reach > 1):
        raise ValueError("direction needs to be 1 or -1, step above 0, reach above 1")
    run = program(leaf, worst_of(check))
    start = leaf.at()
    end = _end(leaf, start, direction, reach)
    is_capacity_given = check.ratio is not None

    def verdict(number: float) -> bool | str:
        try:
            ratios = run(number)
        except (CalcError, ArithmeticError) as error:
            return str(error)
        return bool(holds(ratios[:1], ratios[1:]) if is_capacity_given else holds((), ratios))

    def found(value: float | None, stopped: str, reached: float) -> BreakPoint:
        return BreakPoint(leaf.id, check.id, value, stopped, reached)

    if end is None:
        return found(None, f"{leaf.id} is 0 and has no range to be varied in.", start)
    now = verdict(start)
    here = start
    while here != end:
        stride = step * (max(abs(start), abs(here)) if start else abs(end))
        ahead = here + direction * stride
        ahead = min(ahead, end) if direction > 0 else max(ahead, end)
        then = verdict(ahead)
        if then != now:
            here, ahead, then = _refined(verdict, here, ahead, then, now)
            if isinstance(then, str):
                return found(None, then, here)
            return found(here if now is True else ahead, "", ahead)
        here = ahead
    return found(None, "", end)


def _end(leaf: Value, start: float, direction: int, reach: float) -> float | None:
    origin = leaf.origin
    assert isinstance(origin, Leaf)
    if origin.choices:
        raise CalcError(f"{leaf.id}: needs a range to vary in, got neighbors. Take them in turn.")
    limit = origin.high if direction > 0 else origin.low
    if limit is not None and math.isfinite(limit):
        return limit
    ends = (start * reach, start / reach)
    return None if start == 0 else max(ends) if direction > 0 else min(ends)


def _refined(
    verdict: Callable[[float], bool | str],
    here: float,
    ahead: float,
    then: bool | str,
    now: bool | str,
) -> tuple[float, float, bool | str]:
    """Halve until the verdict is known to change between two numbers that are one to 1e-10."""
    close = REFINED * max(abs(here), abs(ahead))
    while abs(ahead - here) > close:
        middle = here + (ahead - here) / 2
        found = verdict(middle)
        if found == now:
            here = middle
        else:
            ahead = middle
            # Of several refusals the first is kept: its number is a round step.
            then = then if isinstance(found, str) and isinstance(then, str) else found
    return here, ahead, then
