"""The formula: one plain function that is run, printed, derived from and proven in its units."""

from __future__ import annotations

import ast
import inspect
import linecache
import textwrap
import types
from collections.abc import Callable, Mapping
from functools import cached_property
from typing import Any

from calclib.errors import CalcError, RangeError, StaleSourceError
from calclib.trace.functions import BODY_FUNCTIONS
from calclib.trace.value import Call, Value, identifier, values_in


class _Positive:
    """The open range above zero."""

    def __repr__(self) -> str:
        return "positive"


positive = _Positive()
Range = tuple[float | None, float | None] | _Positive

REGISTRY: dict[str, Formula] = {}


class Formula:
    """A published or mechanical equation as a plain function; made by `formula`.

    Attributes
    ----------
    name : str
        The function's full name, by which it is registered.
    symbol, unit : str
        Symbol and display unit of the result.
    units : mapping of str to str
        The display unit of each argument; "*" for any one unit, the same for all such.
    source : str
        Where the equation is published, or that it is plain mechanics.
    valid : mapping of str to range
        Closed (low, high) in base units, either may be None; or `positive`.
    """

    def __init__(
        self,
        body: Callable[..., Any],
        symbol: str,
        unit: str,
        units: Mapping[str, str],
        source: str,
        valid: Mapping[str, Range],
    ) -> None:
        self.body = body
        self.symbol = symbol
        self.unit = unit
        self.units = dict(units)
        self.source = source
        self.valid = dict(valid)
        self.name = f"{body.__module__}.{body.__qualname__}"
        self.__doc__ = body.__doc__
        self.__name__ = body.__name__
        self.__module__ = body.__module__
        self.__wrapped__ = body
        code = body.__code__
        self.arguments = code.co_varnames[: code.co_argcount]
        self.many = (
            code.co_varnames[code.co_argcount] if code.co_flags & inspect.CO_VARARGS else None
        )
        names = self.arguments + ((self.many,) if self.many else ())
        for what, given in (("unit", self.units), ("valid range", self.valid)):
            if set(given) != set(names):
                raise CalcError(
                    f"{self.name}: needs a {what} for each of {', '.join(names)}, "
                    f"got {', '.join(given) or 'none'}. Name every argument once."
                )
        strange = [n for n in code.co_names if n not in BODY_FUNCTIONS and not self._is_unit(n)]
        if strange:
            raise CalcError(
                f"{self.name}: a body may use its arguments, numbers, unit constants and "
                f"{', '.join(sorted(BODY_FUNCTIONS))}; it uses {', '.join(strange)}."
            )
        self._bounds = tuple((name, *_bounds(self.valid[name])) for name in self.arguments)
        self._many_bounds = _bounds(self.valid[self.many]) if self.many else None

    @staticmethod
    def _is_unit(name: str) -> bool:
        from calclib import units

        return isinstance(getattr(units, name, None), float)

    @property
    def title(self) -> str:
        """The first sentence of the docstring, without its full stop."""
        first = (self.__doc__ or self.__name__).strip().split("\n", 1)[0]
        return first.rstrip(".")

    def __repr__(self) -> str:
        return f"<formula {self.name}: {self.source}>"

    def __call__(self, *arguments: Any, **named: Any) -> Any:
        """Evaluate with plain numbers, or, when every argument is a Value, to a Value."""
        if named:
            arguments = self._bind(arguments, named)
        if any(type(argument) is Value for argument in arguments):
            return self._traced(arguments)
        return self.run(*arguments)

    def run(self, *arguments: Any) -> Any:
        """Evaluate the body on plain numbers in base units, after checking the ranges.

        Raises
        ------
        RangeError
            When an argument lies outside its valid range.
        """
        for (name, low, high, above), number in zip(self._bounds, arguments, strict=False):
            self._check(name, number, low, high, above)
        if self._many_bounds:
            for number in arguments[len(self._bounds) :]:
                self._check(self.many or "", number, *self._many_bounds)
        return self.body(*arguments)

    def _check(
        self, name: str, number: Any, low: float | None, high: float | None, above: bool
    ) -> None:
        if type(number) is float or type(number) is int:
            least = most = number
        elif type(number).__module__ == "numpy":
            if number.size == 0:
                return
            least = number.min() if low is not None else number.flat[0]
            most = number.max() if high is not None else least
        else:
            return
        fits = least == least and most == most
        if low is not None:
            fits = fits and (least > low if above else least >= low)
        if high is not None:
            fits = fits and most <= high
        if not fits:
            from calclib.units import show

            unit = self.units[name]
            unit = "" if unit == "*" else unit
            limits = [
                f"{'above' if above else 'at least'} {show(low, unit)}" if low is not None else "",
                f"at most {show(high, unit)}" if high is not None else "",
            ]
            came = least if low is not None and not least >= low else most
            came = least if above and low is not None and not least > low else came
            raise RangeError(
                f"{self.title} ({self.source}): {name} needs to be "
                f"{' and '.join(limit for limit in limits if limit) or 'a number'}, "
                f"got {show(float(came), unit)}."
            )

    def _bind(self, arguments: tuple[Any, ...], named: Mapping[str, Any]) -> tuple[Any, ...]:
        rest = self.arguments[len(arguments) :]
        if set(rest) != set(named):
            raise TypeError(
                f"{self.__name__} needs {', '.join(self.arguments)}; got "
                f"{len(arguments)} by place and {', '.join(named)} by name"
            )
        return arguments + tuple([named[name] for name in rest])

    def _traced(self, arguments: tuple[Any, ...]) -> Value:
        for place, argument in enumerate(arguments):
            if type(argument) is not Value:
                name = self.arguments[place] if place < len(self.arguments) else self.many
                raise TypeError(
                    f"{self.__name__}: {name} needs a traced value like the others, "
                    f"got {argument!r}. Make it a leaf with its basis."
                )
        self.parts  # noqa: B018  a body that cannot be printed may not enter a calculation
        number = self.run(*[argument.number for argument in arguments])
        unit = self.unit
        if unit == "*":
            unit = next(
                a.unit for n, a in zip(self.arguments, arguments, strict=False)
                if self.units[n] == "*"
            )
        call = Call(self, arguments, arguments)
        return Value(
            number, unit, self.symbol, identifier(self.symbol, self.name, arguments), call
        )

    @cached_property
    def source_text(self) -> str:
        """The text of the function as it stands in its file or notebook cell."""
        linecache.checkcache(self.body.__code__.co_filename)
        try:
            return textwrap.dedent(inspect.getsource(self.body))
        except (OSError, TypeError) as error:
            raise StaleSourceError(
                f"{self.name}: needs its source text to print it, found none. "
                "Define the formula in a module or a notebook cell."
            ) from error

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

        self.require_fresh_source()
        assignments, returned = body_of(self.source_text)
        return tuple(assignments), returned

    def require_fresh_source(self) -> None:
        """Stop when the source on disk is no longer the code that runs.

        Raises
        ------
        StaleSourceError
            When they differ.
        """
        self.__dict__.pop("source_text", None)
        tree = ast.parse(self.source_text)
        function = next(n for n in tree.body if isinstance(n, ast.FunctionDef))
        function.decorator_list = []
        flags = self.body.__code__.co_flags & _FUTURE_ANNOTATIONS
        module = compile(
            ast.Module([function], []), "<check>", "exec", flags=flags, dont_inherit=True
        )
        code = next(c for c in module.co_consts if isinstance(c, types.CodeType))
        if _essence(code) != _essence(self.body.__code__):
            self.__dict__.pop("parts", None)
            raise StaleSourceError(
                f"{self.name}: the source was edited after it was loaded, so the printed "
                "formula would not be the one that ran. Restart the kernel and run again."
            )

    def locals_at(
        self, *arguments: Any, scale: tuple[float, float] = (1.0, 1.0)
    ) -> dict[str, Any]:
        """Run the assignments of the body on plain numbers and return the locals by name.

        Parameters
        ----------
        *arguments : float
        scale : (float, float)
            By how much the unit constants grow for units of force and length other than the base.
        """
        known = dict(zip(self.arguments, arguments, strict=False))
        if self.many:
            known[self.many] = arguments[len(self.arguments) :]
        if scale != (1.0, 1.0):
            known |= self._constants(scale)
        found: dict[str, Any] = {}
        for name, expression in self.parts[0]:
            code = compile(ast.Expression(expression), self.name, "eval")
            found[name] = eval(code, {**self.body.__globals__, **known, **found})  # noqa: S307
        return found

    def _constants(self, scale: tuple[float, float]) -> dict[str, float]:
        from calclib import units

        found = {}
        for name in self.body.__code__.co_names:
            if name not in BODY_FUNCTIONS:
                force, length = units.dimension("in" if name == "inch" else name)
                growth = scale[0] ** force * scale[1] ** length
                found[name] = getattr(units, name) * growth
        return found

    def symbolic(self, **given: Any) -> Any:
        """Return the body as a SymPy expression in positive symbols named as its arguments.

        Parameters
        ----------
        **given
            SymPy expressions to put in place of some arguments.
        """
        import sympy

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
        """
        from calclib import units

        names = list(self.arguments) + [self.many] * (len(arguments) - len(self.arguments))
        any_unit = "psi"
        quantities = [
            units.quantity(number, any_unit if self.units[name] == "*" else self.units[name])
            for name, number in zip(names, arguments, strict=True)
        ]
        constants = {
            name: units.quantity(getattr(units, name), name if name != "inch" else "in")
            for name in self.body.__code__.co_names
            if name not in BODY_FUNCTIONS
        }
        body = types.FunctionType(
            self.body.__code__, {**self.body.__globals__, **constants}, closure=None
        )
        unit = any_unit if self.unit == "*" else self.unit
        return units.from_quantity(body(*quantities), unit)


_FUTURE_ANNOTATIONS = 0x1000000  # compile flag of `from __future__ import annotations`


def _essence(code: types.CodeType) -> tuple[Any, ...]:
    constants = tuple(c for c in code.co_consts if not isinstance(c, (str, types.CodeType)))
    return code.co_code, constants, code.co_names, code.co_varnames


def _bounds(valid: Range) -> tuple[float | None, float | None, bool]:
    if isinstance(valid, _Positive):
        return 0.0, None, True
    low, high = valid
    return low, high, False


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
        When an argument lacks a unit or a range, or the body uses a strange name.
    """

    def make(body: Callable[..., Any]) -> Formula:
        made = Formula(body, symbol, unit, units, source, valid)
        REGISTRY[made.name] = made
        return made

    return make


def uses(value: Value) -> tuple[Value, ...]:
    """Return the values that a value was calculated from directly."""
    return tuple(values_in(value.origin.arguments)) if isinstance(value.origin, Call) else ()
