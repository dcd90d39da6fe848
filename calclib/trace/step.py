"""The step: a traced function without an equation, printed as a sentence."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from calclib.trace.value import (
    Call,
    Value,
    has_plain_number,
    identifier,
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
        self.source = source
        self.sentence = sentence
        if relevant:
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
            When traced values and plain floats are mixed.
        """
        inputs = tuple(values_in(arguments))
        if not inputs:
            return self.body(*arguments)
        if has_plain_number(arguments):
            raise TypeError(
                f"{self.__name__}: traced and plain numbers are mixed. "
                "Make each plain one a leaf with its basis."
            )
        call = Call(self, arguments, inputs)
        plain = substitute(arguments, lambda value: value.number)
        result = self.body(*plain)
        outputs = self.outputs
        if isinstance(outputs, tuple) and len(outputs) == 2 and isinstance(outputs[0], str):
            symbol, unit = outputs
            if unit == "*":
                unit = inputs[-1].unit
            return Value(result, unit, symbol, identifier(symbol, self.name, arguments), call)
        declared: Sequence[Output]
        declared = outputs(*arguments) if callable(outputs) else outputs  # type: ignore[assignment]
        if len(declared) != len(result):
            raise TypeError(f"{self.__name__}: declares {len(declared)} results, gave {len(result)}")
        return tuple(
            Value(number, unit, symbol, identifier(symbol, self.name, arguments, part), call, part)
            for part, ((symbol, unit), number) in enumerate(zip(declared, result, strict=True))
        )

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
    index = call.inputs[0]
    if getattr(index.number, "ndim", 0):
        return call.inputs
    return (index, call.inputs[1 + int(index.number)])


def _pick_sentence(arguments: tuple[Any, ...], results: tuple[Any, ...], case: int | None) -> str:
    chosen = arguments[1 + int(arguments[0].at(case))]
    title = getattr(chosen.origin, "title", "")
    return f"The row that fits: {title}." if title else "The row that fits."


@step("the row that fits", lambda index, *rows: [(rows[0].symbol, rows[0].unit)],
      sentence=_pick_sentence, relevant=_chosen)
def _pick(index: Any, *rows: Any) -> tuple[Any]:
    if getattr(index, "ndim", 0):
        import numpy as np

        return (np.choose(index.astype(int), rows),)
    return (rows[int(index)],)


def pick(index: Any, *rows: Any) -> Any:
    """Choose one of several rows by an index found in a step.

    Parameters
    ----------
    index : Value, or int, or array of int
        Which of the rows, counted from 0.
    *rows : Value or float
        The candidates, of one kind and unit.
    """
    if len(rows) == 1:
        return rows[0]
    (result,) = _pick(index, *rows)
    return result


def _band_sentence(arguments: tuple[Any, ...], results: tuple[Any, ...], case: int | None) -> str:
    return f"Row {int(results[0]) + 1} of {len(arguments)} by size."


@step("the row of a table by size", ("i_row", ""), sentence=_band_sentence,
      relevant=lambda call: call.inputs[:1])
def band(size: Any, *bounds: Any) -> Any:
    """Return the index of the first bound that is not less than the size.

    Parameters
    ----------
    size : Value, float or array
    *bounds : Value or float, rising
        Upper bounds of all rows but the last, which has none.
    """
    if getattr(size, "ndim", 0):
        import numpy as np

        return np.searchsorted(np.asarray(bounds), size, side="left")
    return float(sum(size > bound for bound in bounds))
