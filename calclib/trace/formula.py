"""The formula: one plain function that is run, printed, derived from and proven in its units."""

from __future__ import annotations

import ast
import inspect
import linecache
import math
import textwrap
import tokenize
import types
from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import cached_property
from itertools import chain, repeat
from typing import Any, NoReturn

from calclib import units as unit_table
from calclib.errors import CalcError, RangeError, StaleSourceError, UnitError, message
from calclib.trace import dimensions, functions
from calclib.trace.functions import BODY_FUNCTIONS
from calclib.trace.value import Call, Value, identifier, settled


class _Positive:
    """The open range above zero."""

    def __repr__(self) -> str:
        return "positive"


positive = _Positive()
Range = tuple[float | None, float | None] | _Positive

REGISTRY: dict[str, Formula] = {}

_LEAST_POSITIVE = math.ulp(0.0)
_ANYTHING = (-math.inf, math.inf)


class Formula:
    """A published or mechanical equation as a plain function; made by `formula`.

    Attributes
    ----------
    name : str
        The function's full name, by which it is registered.
    body : callable
        The function itself; its globals are fixed when the formula is declared.
    arguments, many : tuple of str, str or None
        Names of the arguments, and of the one that takes any number of factors or terms.
    symbol, unit : str
        Symbol and display unit of the result.
    units : mapping of str to str
        The display unit of each argument; "*" for any one unit, the same for all such.
    system : (str, str)
        The units of force and length of which all of these are made.
    source : str
        Where the equation is published, or that it is plain mechanics.
    valid : mapping of str to range
        Closed (low, high) in base units, either may be None; or `positive`.
    """

    several = False
    relevant = None

    def __init__(
        self,
        body: Callable[..., Any],
        symbol: str,
        unit: str,
        units: Mapping[str, str],
        source: str,
        valid: Mapping[str, Range],
    ) -> None:
        assert isinstance(body, types.FunctionType)
        self.name = f"{body.__module__}.{body.__qualname__}"
        self.symbol = symbol
        self.unit = unit
        self.units = dict(units)
        self.source = source
        self.valid = dict(valid)
        self.arguments, self.many = _arguments(body, self.name)
        names = self.arguments + ((self.many,) if self.many else ())
        for what, given in (("unit", self.units), ("valid range", self.valid)):
            if set(given) != set(names):
                raise CalcError(
                    f"{self.name}: needs a {what} for each of {', '.join(names)}, "
                    f"got {', '.join(given) or 'none'}. Name every argument once."
                )
        self.system = dimensions.system(self.name, [unit, *units.values()])
        self.body = _fixed(body, self.name)
        self._limits = {name: _limits(self.valid[name], f"{self.name}, {name}") for name in names}
        self._are_plain = _guard(body, self._limits, self.many)
        self._fresh: list[str] | None = None
        self.__name__, self.__qualname__ = body.__name__, body.__qualname__
        self.__module__, self.__doc__ = body.__module__, body.__doc__
        self.__wrapped__ = body

    @property
    def title(self) -> str:
        """The first sentence of the docstring, without its full stop."""
        first = (self.__doc__ or self.__name__).strip().split("\n", 1)[0]
        return first.rstrip(".")

    def __repr__(self) -> str:
        return f"<formula {self.name}: {self.source}>"

    def __call__(self, *arguments: Any, **named: Any) -> Any:
        """Evaluate with plain numbers, or, when every argument is a Value, to a Value.

        Raises
        ------
        RangeError
            When an argument lies outside its valid range, or there is no result.
        UnitError
            When a value has another dimension than its argument.
        TypeError
            When traced and plain numbers are mixed, or an argument is no number.
        """
        if named:
            arguments = self._bind(arguments, named)
        if not self._are_plain(*arguments):
            for argument in arguments:
                if type(argument) is Value:
                    return self._traced(arguments)
            arguments = self._admitted(arguments)
        return self._evaluate(arguments)

    def run(self, *arguments: Any) -> Any:
        """Evaluate the body on plain numbers in base units, after checking the ranges.

        Parameters
        ----------
        *arguments : float or array [base units], or SymPy expressions

        Returns
        -------
        float or array [base units], or a SymPy expression

        Raises
        ------
        RangeError
            When an argument lies outside its valid range, or there is no result.
        TypeError
            When an argument is no number.
        """
        if not self._are_plain(*arguments):
            arguments = self._admitted(arguments)
        return self._evaluate(arguments)

    def _evaluate(self, arguments: tuple[Any, ...]) -> Any:
        try:
            result = self.body(*arguments)
        except (ZeroDivisionError, OverflowError, ValueError) as error:
            if all(type(argument) is float for argument in arguments):
                self._no_result(arguments, error)
            raise
        if type(result) is float:
            return result
        if isinstance(result, complex):
            self._no_result(arguments, "a root of a negative number")
        return settled(result) if isinstance(result, int) else result

    def _admitted(self, arguments: Sequence[Any]) -> tuple[Any, ...]:
        """Return the arguments as floats and arrays of floats, each inside its range."""
        found = []
        for name, number in zip(self._names(arguments), arguments, strict=True):
            low, high = self._limits[name]
            is_array = _is_floats(number)
            if not is_array and type(number) is not float:
                number = _plain(number, f"{self.__name__}, {name}")
                is_array = _is_floats(number)
            found.append(number)
            is_checked = number.size > 0 if is_array else isinstance(number, float)
            if (low, high) == _ANYTHING or not is_checked:
                continue
            least = most = number
            if is_array:
                import numpy as np

                # A NaN comes through either of them.
                least = np.minimum.reduce(number, None) if low > -math.inf else low
                most = np.maximum.reduce(number, None) if high < math.inf else high
            if not (low <= least and most <= high):
                self._outside(name, float(most if low <= least else least))
        return tuple(found)

    def _outside(self, name: str, came: float) -> NoReturn:
        show = unit_table.show
        unit = "" if self.units[name] == "*" else self.units[name]
        valid = self.valid[name]
        low, high = (0.0, None) if isinstance(valid, _Positive) else valid
        limits = []
        if low is not None:
            word = "above" if isinstance(valid, _Positive) else "at least"
            limits.append(f"{word} {show(low, unit)}")
        if high is not None:
            limits.append(f"at most {show(high, unit)}")
        got = show(came, unit)
        # A number just past its limit must not read like the limit itself.
        if any(limit.endswith(f" {got}") for limit in limits):
            got = f"{came / unit_table.factor(unit):.17g} {unit_table.label(unit)}".rstrip()
        needs = f"{name} needs to be {' and '.join(limits)}"
        raise RangeError(f"{self.title} ({self.source}): {needs}, got {got}.")

    def _no_result(self, arguments: Sequence[Any], why: object) -> NoReturn:
        given = ", ".join(
            f"{name} = {unit_table.show(number, '' if unit == '*' else unit)}"
            for name, number in zip(self._names(arguments), arguments, strict=True)
            for unit in [self.units[name]]
        )
        raise RangeError(
            f"{self.title} ({self.source}): has no result for {given}: {why}."
        ) from None

    def _names(self, arguments: Sequence[Any]) -> Iterator[str]:
        """Yield the name of each argument; the starred one stands for all the rest."""
        many = repeat(self.many, len(arguments) - len(self.arguments)) if self.many else ()
        return chain(self.arguments, many)

    def _bind(self, arguments: tuple[Any, ...], named: Mapping[str, Any]) -> tuple[Any, ...]:
        rest = self.arguments[len(arguments) :]
        if set(rest) != set(named):
            raise TypeError(
                f"{self.__name__} needs {', '.join(self.arguments)}; got "
                f"{len(arguments)} by place and {', '.join(named)} by name"
            )
        return arguments + tuple([named[name] for name in rest])

    def _traced(self, arguments: tuple[Any, ...]) -> Value:
        shown = self.shown_units(arguments)
        self.local_dimensions  # noqa: B018  a body that is not proven may enter no calculation
        number = settled(self.run(*[argument.number for argument in arguments]))
        unit = self.unit
        if unit == "*":
            stars = (self.units[name] == "*" for name in self._names(arguments))
            unit = next(of for of, star in zip(shown, stars, strict=True) if star)
        call = Call(self, arguments, arguments, (number,))
        id = f"{self.symbol}.{identifier(self.name, arguments)}"
        return Value(number, unit, self.symbol, id, call)

    def shown_units(self, arguments: Sequence[Any]) -> list[str]:
        """Return the unit in which each traced argument is shown.

        Raises
        ------
        TypeError
            When an argument is not traced.
        UnitError
            When it has another dimension than its argument.
        """
        shown = []
        any_unit: str | None = None
        for name, argument in zip(self._names(arguments), arguments, strict=True):
            if type(argument) is not Value:
                raise TypeError(
                    f"{self.__name__}: {name} needs a traced value like the others, "
                    f"got {argument!r}. Make it a leaf with its basis."
                )
            unit = self.units[name]
            if unit == "*":
                unit = any_unit = argument.unit if any_unit is None else any_unit
            if unit_table.dimension(unit) != unit_table.dimension(argument.unit):
                raise UnitError(
                    message(
                        f"{self.__name__}, {name}",
                        f"a value in {unit_table.label(unit) or 'plain numbers'}",
                        f"{argument.id} in {unit_table.label(argument.unit) or 'plain numbers'}",
                    )
                )
            shown.append(unit)
        return shown

    @property
    def source_text(self) -> str:
        """The text of the function as it stood in its file or notebook cell when verified."""
        self.require_fresh_source()
        return self._text

    @cached_property
    def parts(self) -> tuple[tuple[tuple[str, ast.expr], ...], ast.expr]:
        """The assignments and the returned expression of the body, as syntax trees.

        Raises
        ------
        CalcError
            When the body is anything but assignments and one return.
        StaleSourceError
            When the source was edited after the function was made.
        """
        from calclib.trace.mathml import body_of

        assignments, returned = body_of(self.source_text, self.name)
        return tuple(assignments), returned

    @cached_property
    def local_dimensions(self) -> dict[str, dimensions.Dimension]:
        """The dimension of each local, after proof of the body's; see `dimensions.prove`."""
        return dimensions.prove(self.name, *self.parts, self.units, self.unit)

    def require_fresh_source(self) -> None:
        """Stop when the source on disk is no longer the code that runs.

        Raises
        ------
        StaleSourceError
            When they differ, or there is no source text.
        """
        code = self.body.__code__
        linecache.checkcache(code.co_filename)
        lines = linecache.getlines(code.co_filename, self.__wrapped__.__globals__)
        if lines is self._fresh:
            return
        if not lines:
            raise StaleSourceError(
                f"{self.name}: needs its source text to print it, found none. "
                "Define the formula in a module or a notebook cell."
            )
        found = _compiled(lines, code.co_firstlineno)
        if found is None or _essence(found[1]) != _essence(code):
            raise StaleSourceError(
                f"{self.name}: the source was edited after it was loaded, so the printed "
                "formula would not be the one that ran. Restart the kernel and run again."
            )
        self._text = found[0]
        self._fresh = lines

    def locals_at(self, *arguments: Any) -> dict[str, Any]:
        """Run the assignments of the body on plain numbers and return the locals by name.

        Parameters
        ----------
        *arguments : float [base units]
        """
        known = dict(zip(self.arguments, arguments, strict=False))
        if self.many:
            known[self.many] = arguments[len(self.arguments) :]
        found: dict[str, Any] = {}
        for name, expression in self.parts[0]:
            code = compile(ast.Expression(expression), self.name, "eval")
            found[name] = eval(code, {**self.body.__globals__, **known, **found})
        return found

    def symbolic(self, **given: Any) -> Any:
        """Return the body as a SymPy expression in positive symbols named as its arguments.

        Parameters
        ----------
        **given
            SymPy expressions to put in place of some arguments; a sequence for the starred one.
        """
        import sympy

        strange = set(given) - {*self.arguments, self.many}
        if strange:
            raise TypeError(f"{self.__name__} has no argument {', '.join(sorted(strange))}")
        arguments = [given.get(n, sympy.Symbol(n, positive=True)) for n in self.arguments]
        return self.body(*arguments, *given.get(self.many or "", ()))

    def with_units(self, *arguments: Any) -> Any:
        """Evaluate the body with Pint quantities; its unit constants become quantities too.

        Parameters
        ----------
        *arguments : float [base units]

        Returns
        -------
        float [base units]
            The result, after Pint converted it to the declared unit.

        Raises
        ------
        UnitError
            When terms differ in dimension, or the result has another one than is declared.
        """
        any_unit = "psi"
        quantities = [
            unit_table.quantity(number, any_unit if unit == "*" else unit)
            for name, number in zip(self._names(arguments), arguments, strict=True)
            for unit in [self.units[name]]
        ]
        constants = {
            name: unit_table.quantity(number, "in" if name == "inch" else name)
            for name, number in self.body.__globals__.items()
            if isinstance(number, float)
        }
        body = types.FunctionType(self.body.__code__, {**self.body.__globals__, **constants})
        import pint

        try:
            result = body(*quantities)
        except pint.DimensionalityError as error:
            raise UnitError(f"{self.name}: {error}.") from None
        unit = any_unit if self.unit == "*" else self.unit
        if isinstance(result, (int, float)):
            # One branch of a decision may be a plain 1, or the 0 that any unit may have.
            result = unit_table.quantity(float(result), "" if result else unit)
        return unit_table.from_quantity(result, unit)


def _arguments(body: types.FunctionType, where: str) -> tuple[tuple[str, ...], str | None]:
    code = body.__code__
    many = bool(code.co_flags & inspect.CO_VARARGS)
    strange = [
        what
        for what, found in (
            ("keyword-only arguments", code.co_kwonlyargcount),
            ("**arguments", code.co_flags & inspect.CO_VARKEYWORDS),
            ("default values", body.__defaults__),
            ("no argument", not code.co_argcount and not many),
            ("a lambda", code.co_name == "<lambda>"),
            ("a name from the function around it", code.co_freevars),
        )
        if found
    ]
    if strange:
        raise CalcError(
            message(where, "plain arguments, at most the last one with a star",
                    " and ".join(strange), "Declare it by def, at the top of a module or a cell.")
        )  # fmt: skip
    names = code.co_varnames
    return names[: code.co_argcount], names[code.co_argcount] if many else None


def _guard(
    body: types.FunctionType, limits: Mapping[str, tuple[float, float]], many: str | None
) -> Callable[..., bool]:
    """Return a function that says whether all arguments are floats, each inside its range.

    Written out, it takes a tenth of the time of a loop over the limits, which would cost more
    than most bodies.
    """

    def inside(name: str, number: str) -> str:
        low, high = limits[name]
        above = "" if low == -math.inf else f"{low!r} <= "
        below = "" if high == math.inf else f" <= {high!r}"
        limited = f" and {above}{number}{below}" if above or below else ""
        return f"type({number}) is float{limited}"

    tests = [inside(name, name) for name in limits if name != many]
    if many:
        tests.append(f"all([{inside(many, '_')} for _ in {many}])")
    named = [f"*{name}" if name == many else name for name in limits]
    guard: Callable[..., bool] = eval(f"lambda {', '.join(named)}: {' and '.join(tests)}")
    # A missing argument is reported by the name of the formula.
    guard.__qualname__ = body.__name__
    return guard


def _plain(number: Any, where: str) -> Any:
    """Return a number as a float, an array of floats or a SymPy expression."""
    module = type(number).__module__.partition(".")[0]
    if module == "sympy":
        return number
    number = settled(number)
    if isinstance(number, float) or _is_floats(number):
        return number
    more = "Call with_units() with the plain numbers." if module == "pint" else ""
    raise TypeError(message(where, "a number", f"a {type(number).__name__}", more))


def _is_floats(x: Any) -> bool:
    # Not its subclasses: a matrix multiplies in another way, a masked array hides numbers.
    return type(x).__name__ == "ndarray" and x.ndim > 0 and x.dtype.char == "d"


def _fixed(body: types.FunctionType, where: str) -> types.FunctionType:
    """Return the body with only the globals that it may use, as they are now.

    A cell that later says `m = 3` can so not change what a meter is in a formula.
    """
    known: dict[str, Any] = {}
    for name in body.__code__.co_names:
        allowed = getattr(functions if name in BODY_FUNCTIONS else unit_table, name, None)
        if name not in BODY_FUNCTIONS and not isinstance(allowed, float):
            raise CalcError(
                f"{where}: a body may use its arguments, numbers, unit constants and "
                f"{', '.join(sorted(BODY_FUNCTIONS))}; it uses {name}."
            )
        found = body.__globals__.get(name)
        if found is not allowed and not (isinstance(allowed, float) and found == allowed):
            home = "calclib.trace" if name in BODY_FUNCTIONS else "calclib.units"
            raise CalcError(
                message(f"{where}, {name}", f"{name} of {home}", repr(found),
                        f"Write: from {home} import {name}.")
            )  # fmt: skip
        known[name] = allowed
    return types.FunctionType(body.__code__, known, body.__name__)


def _compiled(lines: Sequence[str], first: int) -> tuple[str, types.CodeType] | None:
    """Return text and code of the function that begins at a line, or None if there is none."""
    try:
        text = textwrap.dedent("".join(inspect.getblock(lines[first - 1 :])))
        function = next(n for n in ast.parse(text).body if isinstance(n, ast.FunctionDef))
        function.decorator_list = []
        module = compile(ast.Module([function], []), "<source>", "exec", dont_inherit=True)
    except (SyntaxError, ValueError, tokenize.TokenError, StopIteration):
        return None
    return text, next(c for c in module.co_consts if isinstance(c, types.CodeType))


def _essence(code: types.CodeType) -> tuple[Any, ...]:
    constants = tuple(repr(c) for c in code.co_consts if isinstance(c, (int, float)))
    return code.co_name, code.co_code, constants, code.co_names, code.co_varnames


def _limits(valid: Range, where: str) -> tuple[float, float]:
    """Return a range as two closed limits; the least positive float stands for above zero."""
    if isinstance(valid, _Positive):
        return _LEAST_POSITIVE, math.inf
    low, high = valid
    limits = -math.inf if low is None else float(low), math.inf if high is None else float(high)
    if not limits[0] <= limits[1]:
        raise CalcError(message(where, "a range from low to high", str(valid)))
    return limits


def formula(
    symbol: str,
    unit: str,
    *,
    source: str,
    valid: Mapping[str, Range],
    **units: str,
) -> Callable[[Callable[..., Any]], Formula]:
    """Declare a plain function as a formula; its body receives base units (lbf, in).

    Parameters
    ----------
    symbol, unit : str
        Symbol and display unit of the result ("" for a ratio).
    source : str
        Published source, or "mechanics".
    valid : mapping
        For each argument a closed range (low, high) in base units, or `positive`.
    **units : str
        For each argument its display unit; the units of one formula are coherent.

    Raises
    ------
    CalcError
        When an argument lacks a unit or a range, the body uses a strange name, or the units
        hide a factor.
    """

    def make(body: Callable[..., Any]) -> Formula:
        made = Formula(body, symbol, unit, units, source, valid)
        REGISTRY[made.name] = made
        return made

    return make
