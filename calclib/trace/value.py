"""Traced values: a number that knows its unit, its symbol and what it came from.

A value is a leaf (an input, a published number, a guess) or one result of a call (a formula
or a step). It has no operators and no truth, so every decision stays in the graph.
"""

from __future__ import annotations

import dataclasses
import enum
import functools
import math
from collections.abc import Callable, Hashable, Iterator
from dataclasses import dataclass
from hashlib import blake2b
from typing import Any, Literal, NoReturn, Protocol

from calclib import units
from calclib.errors import CalcError, RangeError

Basis = Literal[
    "measured",
    "from drawings",
    "published",
    "required by code",
    "common practice",
    "chosen",
    "assumed",
]
BASES: tuple[Basis, ...] = (
    "measured",
    "from drawings",
    "published",
    "required by code",
    "common practice",
    "chosen",
    "assumed",
)


@dataclass(frozen=True, slots=True)
class Leaf:
    """Where a number that was not calculated comes from.

    Attributes
    ----------
    title : str
        What the number is, in words.
    basis : Basis
        How it came to be known.
    source : str
        Publication, drawing, person or tape that it was read from; may be empty.
    verified : bool
        False for a published number typed from memory, not compared with the print.
    entered : str
        The text that was typed, when the number was read from a job file.
    low, high : float or None [base units]
        The range in which the number may be varied.
    choices : tuple of str
        The names of its neighbors, for a number that cannot vary continuously.
    note : str
        What a reviewer should know about it.
    """

    title: str
    basis: Basis
    source: str = ""
    verified: bool = True
    entered: str = ""
    low: float | None = None
    high: float | None = None
    choices: tuple[str, ...] = ()
    note: str = ""


class Function(Protocol):
    """What a call needs of a formula or a step.

    Attributes
    ----------
    name : str
        Its full name.
    title, source : str
        What it finds, in words, and by which publication.
    several : bool
        Whether it returns a tuple, of which each item is a value of its own.
    relevant : callable or None
        From a call to the inputs that a reader should be led to; None for all of them.
    """

    name: str
    source: str
    several: bool

    @property
    def title(self) -> str:
        """What it finds, in words."""

    @property
    def relevant(self) -> Callable[[Call], tuple[Value, ...]] | None:
        """From a call to the inputs that a reader should be led to."""

    def run(self, *arguments: Any) -> Any:
        """Evaluate on plain numbers."""


@dataclass(frozen=True, eq=False, repr=False, slots=True)
class Call:
    """One traced evaluation of a formula or a step.

    Attributes
    ----------
    function : Function
        The formula or step.
    arguments : tuple
        The arguments as given: values, or nested tuples, dicts and dataclasses of them.
    inputs : tuple of Value
        The values among the arguments, in order.
    results : tuple
        The numbers that came out, one for each value made.
    """

    function: Function
    arguments: tuple[Any, ...]
    inputs: tuple[Value, ...]
    results: tuple[Any, ...]

    def rerun(self, number_of: Callable[[Value], Any]) -> tuple[Any, ...]:
        """Return the results for the numbers that `number_of` gives for the inputs."""
        result = self.function.run(*[substitute(item, number_of) for item in self.arguments])
        return self.as_many(tuple(result) if self.function.several else (result,))

    def as_many(self, results: tuple[Any, ...]) -> tuple[Any, ...]:
        """Return results that are as many as at first.

        Raises
        ------
        RangeError
            When they are not: a row that has another number of members is another job.
        """
        if len(results) != len(self.results):
            raise RangeError(
                f"{self.function.title}: their number changes from {len(self.results)} to "
                f"{len(results)}."
            )
        return results


def _refuse(self: Value, *_: object, **__: object) -> NoReturn:
    raise TypeError(
        f"{self.symbol or self.id}: a traced value has no operators and no truth. "
        "Write a formula or a step, so that the decision stays in the graph."
    )


@dataclass(frozen=True, eq=False, repr=False, slots=True)
class Value:
    """A number with its unit, symbol, id and origin; compared by identity.

    Attributes
    ----------
    number : float or array [base units: lbf and in]
        An array has the load cases on its last axis and cannot be written to.
    unit : str
        The unit in which it is shown.
    symbol : str
        Its symbol, spelled as an argument name ("F_b_prime").
    id : str
        A leaf's path in the job, or symbol and digest of what it was calculated from.
    origin : Leaf or Call
        What it came from.
    part : int
        Which of the results of the call it is.
    """

    number: Any
    unit: str
    symbol: str
    id: str
    origin: Leaf | Call
    part: int = 0

    __add__ = __radd__ = __sub__ = __rsub__ = __mul__ = __rmul__ = _refuse
    __truediv__ = __rtruediv__ = __floordiv__ = __rfloordiv__ = __mod__ = __rmod__ = _refuse
    __divmod__ = __rdivmod__ = __pow__ = __rpow__ = __matmul__ = __rmatmul__ = _refuse
    __neg__ = __pos__ = __abs__ = __round__ = __trunc__ = __floor__ = __ceil__ = _refuse
    __lt__ = __le__ = __gt__ = __ge__ = _refuse
    __bool__ = __float__ = __int__ = __index__ = __complex__ = _refuse
    # NumPy would otherwise take a value for an object to put into an array.
    __array__ = __array_ufunc__ = _refuse

    def __eq__(self, other: object) -> bool:
        # `value == 0` would be False without a word, whatever the number.
        if isinstance(other, (int, float)) or type(other).__module__ == "numpy":
            _refuse(self)
        return self is other

    __hash__ = object.__hash__

    def at(self, case: int | None = None) -> float:
        """Return the number at a load case [base units]; a scalar is the same at all.

        Parameters
        ----------
        case : int, optional
            Index of the load case; needed when there are several.

        Raises
        ------
        CalcError
            When several numbers are held and no case is given, or it holds no number at all.

        Examples
        --------
        >>> leaf(2.0, "psi", "F_b", "x", title="x", basis="chosen").at(3)
        2.0
        """
        if isinstance(self.number, float):
            return self.number
        if not getattr(self.number, "ndim", 0):
            raise CalcError(f"{self.id}: holds no number but a {type(self.number).__name__}.")
        if case is None:
            raise CalcError(
                f"{self.id}: needs a load case, for it holds {len(self.number)} numbers. "
                "Give its index."
            )
        return float(self.number[case])

    def __repr__(self) -> str:
        from calclib.trace.printing import plain

        return plain(self)

    def _repr_html_(self) -> str:
        from calclib.trace.printing import html_chain

        return html_chain(self)


def settled(number: Any) -> Any:
    """Return a number as a value holds it: a float, or an array that cannot be written to.

    What is no number (the solution of a beam) is returned as it is.
    """
    if type(number) is float:
        return number
    if isinstance(number, (int, float)) and not isinstance(number, bool):
        return float(number)
    if type(number).__module__ != "numpy" or number.dtype.kind not in "fiu":
        return number
    if number.ndim == 0:
        return float(number)
    number = number.view() if number.dtype.char == "d" else number.astype(float)
    number.flags.writeable = False
    return number


def leaf(
    number: Any,
    unit: str,
    symbol: str,
    id: str,
    *,
    title: str,
    basis: Basis,
    source: str = "",
    verified: bool = True,
    entered: str = "",
    low: float | None = None,
    high: float | None = None,
    choices: tuple[str, ...] = (),
    note: str = "",
) -> Value:
    """Make a traced leaf from a number in base units; see `Leaf` and `Value`.

    Raises
    ------
    CalcError
        When the basis is not one of `BASES`.
    RangeError
        When the number is not finite, or lies outside its own range.
    UnitError
        When the unit is not known.
    """
    if basis not in BASES:
        raise CalcError(f'{id}: needs a basis, got "{basis}". Write one of: {", ".join(BASES)}.')
    units.terms(unit)
    number = settled(number.copy() if getattr(number, "ndim", 0) else number)
    if not _is_number(number):
        raise CalcError(f"{id}: needs a number, got a {type(number).__name__}.")
    least, most = (number, number) if isinstance(number, float) else (number.min(), number.max())
    if not (math.isfinite(least) and math.isfinite(most)):
        raise RangeError(f"{id}: needs a finite number, got {units.show(least + most, unit)}.")
    if (low is not None and least < low) or (high is not None and most > high):
        limits = [
            f"{word} {units.show(limit, unit)}"
            for word, limit in (("at least", low), ("at most", high))
            if limit is not None
        ]
        outside = least if low is not None and least < low else most
        raise RangeError(
            f"{id}: needs to lie in its own range, {' and '.join(limits)}, "
            f"got {units.show(outside, unit)}."
        )
    origin = Leaf(title, basis, source, verified, entered, low, high, choices, note)
    return Value(number, unit, symbol, id, origin)


def _is_number(x: Any) -> bool:
    return isinstance(x, float) or (getattr(x, "ndim", 0) > 0 and x.dtype.kind == "f")


def children(x: Any) -> tuple[Any, ...]:
    """Return what a container of values holds; nothing for anything else."""
    kind = type(x)
    if kind in _CHILDLESS:
        return ()
    if isinstance(x, (tuple, list)):
        return tuple(x)
    if isinstance(x, dict):
        return tuple(x.values())
    if kind is Value:
        return ()
    return tuple([getattr(x, name) for name in _all_fields(kind)])  # type: ignore[arg-type]


_CHILDLESS = frozenset({str, int, float, bool, type(None)})


@functools.cache
def _all_fields(kind: Hashable) -> tuple[str, ...]:
    """Return the fields of a dataclass; none for any other class."""
    if not (isinstance(kind, type) and dataclasses.is_dataclass(kind)):
        return ()
    return tuple(f.name for f in dataclasses.fields(kind))


def values_in(x: Any) -> Iterator[Value]:
    """Yield the values inside nested tuples, dicts and dataclasses, in order."""
    stack = [x]
    while stack:
        item = stack.pop()
        if type(item) is Value:
            yield item
        else:
            stack.extend(reversed(children(item)))


def substitute(x: Any, number_of: Callable[[Value], Any]) -> Any:
    """Return the same structure with every value replaced by what `number_of` gives.

    Lists become tuples. Dataclasses are made again, so that they verify the numbers themselves.
    """
    kind = type(x)
    if kind is Value:
        return number_of(x)
    # Most of what a member's loads hold is words and nothing: a replay meets them all again.
    if kind is str or x is None or kind is bool:
        return x
    if isinstance(x, (tuple, list)):
        items = [substitute(item, number_of) for item in x]
        return kind(*items) if hasattr(x, "_fields") else tuple(items)
    if isinstance(x, dict):
        return {key: substitute(item, number_of) for key, item in x.items()}
    names = _fields_given(kind)  # type: ignore[arg-type]
    if names is not None:
        return kind(**{name: substitute(getattr(x, name), number_of) for name in names})
    return x


@functools.cache
def _fields_given(kind: Hashable) -> tuple[str, ...] | None:
    """Return the fields by which a dataclass is made again; None for any other class."""
    if not (isinstance(kind, type) and dataclasses.is_dataclass(kind)):
        return None
    return tuple(f.name for f in dataclasses.fields(kind) if f.init)


def held(x: Any) -> Any:
    """Return the same structure with tuples for lists, so that nobody can add to it later."""
    if isinstance(x, (tuple, list)) and not hasattr(x, "_fields"):
        return tuple([held(item) for item in x])
    if isinstance(x, dict):
        return {key: held(item) for key, item in x.items()}
    return x


def numbers(x: Any) -> Any:
    """Return the same structure with plain numbers [base units] in place of values.

    Examples
    --------
    >>> width = leaf(1.5, "in", "b", "b", title="width", basis="chosen")
    >>> numbers(("one ply", width, {"plies": [width, width]}))
    ('one ply', 1.5, {'plies': (1.5, 1.5)})
    """
    return substitute(x, number_of)


def number_of(value: Value) -> Any:
    """Return the number of a value."""
    return value.number


def identifier(function: str, arguments: Any) -> str:
    """Return a stable name for a call: a digest of the function and its arguments' ids.

    Raises
    ------
    TypeError
        When an argument is no plain data, so that another process would not know it again.
    """
    content = f"{function}|{_signature(arguments)}"
    return blake2b(content.encode(), digest_size=8).hexdigest()


def _signature(x: Any) -> str:
    if type(x) is Value:
        return f"@{x.id!r}"
    if x is None or isinstance(x, (str, int, enum.Enum)):
        return repr(x)
    if isinstance(x, (tuple, list)):
        return f"({','.join([_signature(item) for item in x])})"
    if isinstance(x, dict):
        return f"{{{','.join([f'{_signature(k)}:{_signature(item)}' for k, item in x.items()])}}}"
    if dataclasses.is_dataclass(x) and not isinstance(x, type):
        kind = f"{type(x).__module__}.{type(x).__qualname__}"
        return f"{kind}({','.join([_signature(item) for item in children(x)])})"
    raise TypeError(
        f"the arguments of a step need to be values, text, whole numbers and frozen dataclasses, "
        f"tuples or dicts of them, got {type(x).__name__}"
    )


def has_plain_number(x: Any) -> bool:
    """Say whether a structure holds a float or an array that is not traced."""
    stack = [x]
    while stack:
        item = stack.pop()
        if type(item) is Value:
            continue
        if isinstance(item, float) or type(item).__module__ == "numpy":
            return True
        stack.extend(children(item))
    return False


def walk(*targets: Value) -> Iterator[Value]:
    """Yield every value that the targets came from, each once, inputs before results.

    A chosen row or case (`pick`) leads only to the index and the candidate that was chosen;
    `replay` follows all candidates.

    Raises
    ------
    CalcError
        When two of them bear one id and differ, so that a sheet would show one for the other.
    """
    seen: set[int] = set()
    by_id: dict[str, Value] = {}
    stack = [(target, False) for target in reversed(targets)]
    while stack:
        value, expanded = stack.pop()
        if expanded:
            yield value
            continue
        if id(value) in seen:
            continue
        seen.add(id(value))
        twin = by_id.setdefault(value.id, value)
        if twin is not value and not _alike(twin, value):
            raise CalcError(
                f"{value.id}: two different values bear this id. "
                "Give each leaf and each formula a name of its own."
            )
        stack.append((value, True))
        if isinstance(value.origin, Call):
            relevant = value.origin.function.relevant
            inputs = relevant(value.origin) if relevant else value.origin.inputs
            stack.extend([(item, False) for item in reversed(inputs)])


def _alike(one: Value, other: Value) -> bool:
    if isinstance(one.origin, Call) and isinstance(other.origin, Call):
        same = one.origin.function is other.origin.function
    else:
        # One row of a table may serve two purposes, each with its own words.
        same = type(one.origin) is type(other.origin) and one.unit == other.unit
    number, another = one.number, other.number
    if _is_number(number) and _is_number(another):
        import numpy as np

        same = same and np.array_equal(number, another, equal_nan=True)
    return same


def leaves(*targets: Value) -> tuple[Value, ...]:
    """Return the leaves that the targets came from, one for each id, in the order first met."""
    found: dict[str, Value] = {}
    for value in walk(*targets):
        if isinstance(value.origin, Leaf):
            found.setdefault(value.id, value)
    return tuple(found.values())
