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
from calclib.trace.check import Check, worst_of
from calclib.trace.value import Call, Leaf, Value


@dataclass(frozen=True, eq=False)
class Program:
    """The calls that lie between one leaf and some targets, in the order to run them.

    Attributes
    ----------
    leaf : Value
        The leaf that is varied.
    calls : tuple of Call
        The affected calls, inputs before results.
    targets : tuple of Value
        The values wanted.
    """

    leaf: Value
    calls: tuple[Call, ...]
    targets: tuple[Value, ...]

    def __call__(self, number: float) -> tuple[Any, ...]:
        """Return the targets' numbers when the leaf has the given number [base units]."""
        found: dict[int, Any] = {}

        def number_of(value: Value) -> Any:
            if value is self.leaf:
                return number
            if isinstance(value.origin, Leaf):
                return value.number
            result = found.get(id(value.origin))
            if result is None:
                return value.number
            return result[value.part] if isinstance(result, tuple) else result

        for call in self.calls:
            found[id(call)] = call.rerun(number_of)
        return tuple(number_of(target) for target in self.targets)


def program(leaf: Value, targets: Sequence[Value]) -> Program:
    """Lay out the calls by which a leaf reaches the targets.

    Parameters
    ----------
    leaf : Value
        A leaf.
    targets : sequence of Value
        Values that may depend on it; those that do not keep their number.
    """
    depends: dict[int, bool] = {}
    calls: list[Call] = []
    for target in targets:
        stack: list[tuple[Value, bool]] = [(target, False)]
        while stack:
            value, expanded = stack.pop()
            if isinstance(value.origin, Leaf):
                continue
            call = value.origin
            if expanded:
                if id(call) not in depends:
                    depends[id(call)] = any(
                        item is leaf
                        or (isinstance(item.origin, Call) and depends[id(item.origin)])
                        for item in call.inputs
                    )
                    if depends[id(call)]:
                        calls.append(call)
                continue
            if id(call) in depends:
                continue
            stack.append((value, True))
            stack.extend((item, False) for item in call.inputs)
    return Program(leaf, tuple(calls), tuple(targets))


@dataclass(frozen=True)
class BreakPoint:
    """Where a check turns over when one leaf is varied.

    Attributes
    ----------
    leaf, check : str
        Their ids.
    value : float or None [base units]
        The leaf's number at which the check reaches 1; None when it does not in the range.
    stopped : str
        Why the scan ended early, when the calculation refused a number.
    """

    leaf: str
    check: str
    value: float | None
    stopped: str


def margin(leaf: Value, check: Check) -> Callable[[float], float]:
    """Return the check's largest ratio less 1 as a function of the leaf's number."""
    run = program(leaf, worst_of(check))

    def at(number: float) -> float:
        import numpy as np

        worst = max(float(np.max(ratio)) for ratio in run(number))
        return worst - 1.0

    return at


def break_point(
    leaf: Value, check: Check, direction: int, *, step: float = 0.02, reach: float = 4.0
) -> BreakPoint:
    """Find the nearest number of a leaf, in one direction, at which a check turns over.

    Parameters
    ----------
    leaf : Value
        A scalar leaf other than zero.
    check : Check
    direction : 1 or -1
        Whether to look at larger or smaller numbers.
    step : float
        Step of the outward scan, as a share of the leaf's number.
    reach : float
        How far to scan, as a multiple of the leaf's number, within its range.

    Returns
    -------
    BreakPoint
        Refined to 1e-10 of the number by SciPy's root finder; at a jump, the jump.
    """
    from scipy.optimize import brentq

    origin = leaf.origin
    if not isinstance(origin, Leaf):
        raise CalcError(f"{leaf.id}: needs a leaf to vary, got a calculated value.")
    start = leaf.at()
    high = origin.high if origin.high is not None else start * reach
    low = origin.low if origin.low is not None else start / reach
    end = high if direction > 0 else low
    at = margin(leaf, check)
    here, there = start, at(start)
    while here != end:
        ahead = here + direction * step * abs(start)
        ahead = min(ahead, end) if direction > 0 else max(ahead, end)
        try:
            value = at(ahead)
        except CalcError as error:
            return BreakPoint(leaf.id, check.id, None, str(error))
        if math.isnan(value) or (value > 0) != (there > 0):
            root = brentq(at, here, ahead, xtol=abs(start) * 1e-12, rtol=1e-12)
            return BreakPoint(leaf.id, check.id, float(root), "")
        here, there = ahead, value
    return BreakPoint(leaf.id, check.id, None, "")
