"""The step: a traced function without an equation, printed as a sentence."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import pairwise
from typing import Any

from calclib import units
from calclib.errors import RangeError, UnitError, message
from calclib.trace.value import (
    Call,
    Value,
    has_plain_number,
    held,
    identifier,
    number_of,
    settled,
    substitute,
    values_in,
)

Output = tuple[str, str]
Sentence = Callable[[tuple[Any, ...], tuple[Any, ...], int | None], str]


class Step:
    """A traced function whose result is said in words; made by `step`.

    Attributes
    ----------
    name : str
        The function's full name.
    title : str
        What it finds, in words.
    outputs
        As declared, see `step`.
    several : bool
        Whether the function returns a tuple, of which each item becomes a value.
    source : str
        Clause or method; may be empty.
    """

    def __init__(
        self,
        body: Callable[..., Any],
        title: str,
        outputs: Output | Sequence[Output] | Callable[..., Sequence[Output]],
        source: str,
        sentence: Sentence | None,
        relevant: Callable[[Call], tuple[Value, ...]] | None,
    ) -> None:
        self.body = body
        self.title = title
        self.outputs = outputs
        self.several = callable(outputs) or not isinstance(outputs[0], str)
        self.source = source
        self.sentence = sentence
        self.relevant = relevant
        self.name = f"{body.__module__}.{body.__qualname__}"
        self.__name__ = body.__name__
        self.__doc__ = body.__doc__
        self.__module__ = body.__module__
        self.__wrapped__ = body

    def __repr__(self) -> str:
        return f"<step {self.name}: {self.title}>"

    def run(self, *arguments: Any) -> Any:
        """Evaluate on plain numbers."""
        return self.body(*arguments)

    def __call__(self, *arguments: Any) -> Any:
        """Evaluate with plain numbers, or, when any argument is traced, to values.

        Raises
        ------
        TypeError
            When traced values and plain floats are mixed, or an argument is no plain data.
        """
        inputs = tuple(values_in(arguments))
        if not inputs:
            return self.body(*arguments)
        if has_plain_number(arguments):
            raise TypeError(
                f"{self.__name__}: traced and plain numbers are mixed. "
                "Make each plain one a leaf with its basis."
            )
        arguments = held(arguments)
        # Before the function runs: it may stumble over what cannot be an argument.
        name = identifier(self.name, arguments)
        result = self.body(*[substitute(argument, number_of) for argument in arguments])
        results = tuple(map(settled, result)) if self.several else (settled(result),)
        declared = self._declared(arguments, inputs)
        if len(declared) != len(results):
            raise TypeError(
                f"{self.__name__}: declares {len(declared)} results, gave {len(results)}"
            )
        call = Call(self, arguments, inputs, results)
        values = []
        for part, ((symbol, unit), number) in enumerate(zip(declared, results, strict=True)):
            id = f"{symbol}.{name}.{part}" if part else f"{symbol}.{name}"
            values.append(Value(number, unit, symbol, id, call, part))
        return tuple(values) if self.several else values[0]

    def _declared(self, arguments: tuple[Any, ...], inputs: tuple[Value, ...]) -> Sequence[Output]:
        outputs: Any = self.outputs(*arguments) if callable(self.outputs) else self.outputs
        pairs: Sequence[Output] = outputs if self.several else (outputs,)
        return [(symbol, inputs[-1].unit if unit == "*" else unit) for symbol, unit in pairs]

    def say(self, call: Call, results: tuple[Any, ...], case: int | None) -> str:
        """Return the sentence that stands for this step on the sheet."""
        if self.sentence is None:
            return f"{self.title}."
        return self.sentence(call.arguments, results, case)


def step(
    title: str,
    outputs: Output | Sequence[Output] | Callable[..., Sequence[Output]],
    *,
    source: str = "",
    sentence: Sentence | None = None,
    relevant: Callable[[Call], tuple[Value, ...]] | None = None,
) -> Callable[[Callable[..., Any]], Step]:
    """Declare a plain function as a step.

    Its arguments are values, text and whole numbers, and tuples, dicts and frozen dataclasses of
    them; the function gets the same structure with plain numbers, lists having become tuples.

    Parameters
    ----------
    title : str
        What it finds, in words.
    outputs : (symbol, unit), a sequence of such, or a function of the arguments giving one
        One pair for a function that returns one number; unit "*" takes that of the last input.
    source : str
        Clause or method.
    sentence : callable, optional
        (arguments, results, case) to the sentence that the sheet prints.
    relevant : callable, optional
        The inputs that a reader should be led to, when not all of them count.
    """

    def make(body: Callable[..., Any]) -> Step:
        return Step(body, title, outputs, source, sentence, relevant)

    return make


def _chosen(call: Call) -> tuple[Value, ...]:
    index, *rows = call.inputs
    if getattr(index.number, "ndim", 0):
        return call.inputs
    return (index, rows[int(index.number)])


def _pick_sentence(arguments: tuple[Any, ...], results: tuple[Any, ...], case: int | None) -> str:
    chosen = arguments[1 + int(arguments[0].at(case))]
    title = getattr(chosen.origin, "title", "")
    return f"The row that fits: {title}." if title else "The row that fits."


@step(
    "the row that fits",
    lambda index, *rows: [(rows[0].symbol, rows[0].unit)],
    sentence=_pick_sentence,
    relevant=_chosen,
)
def _pick(index: Any, *rows: Any) -> tuple[Any]:
    several = getattr(index, "ndim", 0) > 0
    least, most = (index.min(), index.max()) if several else (index, index)
    if not (0 <= least and most < len(rows)):
        raise RangeError(
            message("the row that fits", f"an index from 0 to {len(rows) - 1}",
                    f"{least if not 0 <= least else most:g}")
        )  # fmt: skip
    if not several:
        return (rows[int(index)],)
    import numpy as np

    table = np.stack(np.broadcast_arrays(*rows, index)[:-1])
    return (np.take_along_axis(table, index.astype(int)[None], axis=0)[0],)


def pick(index: Any, *rows: Any) -> Any:
    """Choose one of several rows by an index found in a step.

    Parameters
    ----------
    index : Value, or int, or array of int
        Which of the rows, counted from 0.
    *rows : Value or float
        The candidates, of one kind and unit.

    Raises
    ------
    RangeError
        When there is no such row.
    UnitError
        When the rows differ in dimension.
    """
    if len(rows) == 1:
        return rows[0]
    if isinstance(rows[0], Value) and isinstance(index, int):
        # Nothing was measured, so nothing is to be replayed.
        return rows[index]
    mixed = {units.dimension(row.unit) for row in rows if isinstance(row, Value)}
    if len(mixed) > 1:
        listed = ", ".join(f'{row.id} in "{units.label(row.unit)}"' for row in rows)
        raise UnitError(message("the row that fits", "rows of one unit", listed))
    (result,) = _pick(index, *rows)
    return result


def _band_sentence(arguments: tuple[Any, ...], results: tuple[Any, ...], case: int | None) -> str:
    index = results[0] if case is None else results[0][case]
    return f"Row {int(index) + 1} of {len(arguments)} by size."


@step(
    "the row of a table by size",
    ("i_row", ""),
    sentence=_band_sentence,
    relevant=lambda call: call.inputs[:1],
)
def band(size: Any, *bounds: Any) -> Any:
    """Return the index of the first bound that is not less than the size.

    Parameters
    ----------
    size : Value, float or array
    *bounds : Value, float or array, rising
        Upper bounds of all rows but the last, which has none.

    Raises
    ------
    RangeError
        When the bounds do not rise, or the size is no number.
    """
    if _anywhere(size != size):
        raise RangeError(message("the row of a table by size", "a size", "undefined"))
    if any(_anywhere(low > high) for low, high in pairwise(bounds)):
        listed = ", ".join(str(bound) for bound in bounds)
        raise RangeError(message("the row of a table by size", "bounds that rise", listed))
    return sum((size > bound) * 1.0 for bound in bounds)


def _anywhere(x: Any) -> bool:
    return bool(x.any()) if hasattr(x, "any") else bool(x)
