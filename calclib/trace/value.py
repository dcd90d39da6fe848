"""Traced values: a number that knows its unit, its symbol and what it came from.

A value is a leaf (an input, a published number, a guess) or one result of a call (a formula
or a step). It has no operators and no truth, so every decision stays in the graph.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from hashlib import blake2b
from typing import TYPE_CHECKING, Any, Literal, NoReturn, Protocol

from calclib.errors import CalcError

if TYPE_CHECKING:
    import numpy as np

    Number = float | np.ndarray

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
    """What a call needs of a formula or a step."""

    name: str

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
    """

    function: Function
    arguments: tuple[Any, ...]
    inputs: tuple[Value, ...]

    def rerun(self, number_of: Callable[[Value], Any]) -> Any:
        """Evaluate again with the numbers that `number_of` gives for the inputs."""
        return self.function.run(*substitute(self.arguments, number_of))


def _refuse(self: Value, *_: object) -> NoReturn:
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
        An array has the load cases on its last axis.
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
    __truediv__ = __rtruediv__ = __pow__ = __rpow__ = __neg__ = __abs__ = _refuse
    __lt__ = __le__ = __gt__ = __ge__ = __bool__ = __float__ = __int__ = _refuse

    def at(self, case: int | None = None) -> float:
        """Return the number at a load case [base units]; a scalar is the same at all.

        >>> leaf(2.0, "psi", "F_b", "x", title="x", basis="chosen").at(3)
        2.0
        """
        if getattr(self.number, "ndim", 0) == 0:
            return float(self.number)
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
    """
    if basis not in BASES:
        raise CalcError(f'{id}: needs a basis, got "{basis}". Write one of: {", ".join(BASES)}.')
    origin = Leaf(title, basis, source, verified, entered, low, high, choices, note)
    return Value(number, unit, symbol, id, origin)


def children(x: Any) -> tuple[Any, ...]:
    """Return what a container of values holds; nothing for anything else."""
    if isinstance(x, (tuple, list)):
        return tuple(x)
    if isinstance(x, dict):
        return tuple(x.values())
    if dataclasses.is_dataclass(x) and not isinstance(x, (Value, type)):
        return tuple([getattr(x, f.name) for f in dataclasses.fields(x)])
    return ()


def values_in(x: Any) -> Iterator[Value]:
    """Yield the values inside nested tuples, dicts and dataclasses, in order."""
    stack = [x]
    while stack:
        item = stack.pop()
        if isinstance(item, Value):
            yield item
        else:
            stack.extend(reversed(children(item)))


def substitute(x: Any, number_of: Callable[[Value], Any]) -> Any:
    """Return the same structure with every value replaced by what `number_of` gives."""
    if isinstance(x, Value):
        return number_of(x)
    if isinstance(x, (tuple, list)):
        return tuple([substitute(item, number_of) for item in x])
    if isinstance(x, dict):
        return {key: substitute(item, number_of) for key, item in x.items()}
    if dataclasses.is_dataclass(x) and not isinstance(x, type):
        changed = {
            f.name: substitute(getattr(x, f.name), number_of) for f in dataclasses.fields(x)
        }
        return type(x)(**changed)
    return x


def numbers(x: Any) -> Any:
    """Return the same structure with plain numbers [base units] in place of values."""
    return substitute(x, _number)


def _number(value: Value) -> Any:
    return value.number


def identifier(symbol: str, function: str, arguments: Any, part: int = 0) -> str:
    """Return a stable id: the symbol and a digest of the function and its arguments' ids."""
    content = f"{function}|{part}|{_signature(arguments)}"
    return f"{symbol}.{blake2b(content.encode(), digest_size=5).hexdigest()}"


def _signature(x: Any) -> str:
    if isinstance(x, Value):
        return x.id
    if isinstance(x, dict):
        return "{" + ",".join(f"{key}:{_signature(item)}" for key, item in x.items()) + "}"
    inside = children(x)
    if inside == ():
        return repr(x)
    return f"{type(x).__name__}(" + ",".join(_signature(item) for item in inside) + ")"


def has_plain_number(x: Any) -> bool:
    """Say whether a structure holds a float or an array that is not traced."""
    stack = [x]
    while stack:
        item = stack.pop()
        if isinstance(item, Value):
            continue
        if isinstance(item, float) or type(item).__module__ == "numpy":
            return True
        stack.extend(children(item))
    return False


def walk(*targets: Value) -> Iterator[Value]:
    """Yield every value that the targets came from, each once, inputs before results.

    A chosen row or case (`pick`) leads only to the index and the candidate that was chosen;
    `replay` follows all candidates.
    """
    seen: set[int] = set()
    for target in targets:
        stack: list[tuple[Value, bool]] = [(target, False)]
        while stack:
            value, expanded = stack.pop()
            if expanded:
                yield value
                continue
            if id(value) in seen:
                continue
            seen.add(id(value))
            stack.append((value, True))
            if isinstance(value.origin, Call):
                relevant = getattr(value.origin.function, "relevant", None)
                inputs = relevant(value.origin) if relevant else value.origin.inputs
                stack.extend((item, False) for item in reversed(inputs))


def leaves(*targets: Value) -> tuple[Value, ...]:
    """Return the leaves that the targets came from, each once, in the order first met."""
    return tuple(v for v in walk(*targets) if isinstance(v.origin, Leaf))
