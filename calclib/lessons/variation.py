"""Run again what several leaves can change, and read any value of the graph afterwards."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from calclib.trace import Value
from calclib.trace.value import Call, Leaf


@dataclass(frozen=True, eq=False)
class Variation:
    """The calls between some leaves and some targets, in the order to run them.

    Attributes
    ----------
    calls : tuple of Call
        The affected calls, inputs before results.
    """

    calls: tuple[Call, ...]

    def __call__(self, numbers: Mapping[str, float]) -> Callable[[Value], Any]:
        """Run the calls, and return what gives the number of any value afterwards.

        Parameters
        ----------
        numbers : mapping of str to float [base units]
            For each leaf by its id, its new number.

        Raises
        ------
        CalcError
            When the calculation refuses a number.
        """
        found: dict[int, tuple[Any, ...]] = {}

        def number_of(value: Value) -> Any:
            if isinstance(value.origin, Leaf):
                return numbers.get(value.id, value.number)
            results = found.get(id(value.origin))
            return value.number if results is None else results[value.part]

        for call in self.calls:
            found[id(call)] = call.rerun(number_of)
        return number_of


def variation(leaves: Sequence[Value], targets: Sequence[Value]) -> Variation:
    """Lay out the calls by which leaves reach targets.

    Parameters
    ----------
    leaves : sequence of Value
    targets : sequence of Value
        Values that may depend on them.

    Returns
    -------
    Variation
    """
    ids = {leaf.id for leaf in leaves}
    depends: dict[int, bool] = {}
    calls: list[Call] = []

    def affected(value: Value) -> bool:
        return value.id in ids if isinstance(value.origin, Leaf) else depends[id(value.origin)]

    stack = [(target.origin, False) for target in reversed(targets)]
    while stack:
        call, are_inputs_known = stack.pop()
        if isinstance(call, Leaf) or id(call) in depends:
            continue
        if not are_inputs_known:
            stack.append((call, True))
            stack.extend((item.origin, False) for item in reversed(call.inputs))
            continue
        depends[id(call)] = any(map(affected, call.inputs))
        if depends[id(call)]:
            calls.append(call)
    return Variation(tuple(calls))
