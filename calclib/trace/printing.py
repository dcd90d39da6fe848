"""How a value is shown: the equation that ran, with its numbers, or the sentence of a step."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cache
from html import escape
from typing import TYPE_CHECKING, Any

from calclib import units
from calclib.trace import mathml
from calclib.trace.formula import Formula
from calclib.trace.step import Step
from calclib.trace.value import Call, Leaf, Value, walk

if TYPE_CHECKING:
    from calclib.trace.check import Check

SIGNIFICANT = 4


def _ten_digits(number: float) -> float:
    # The last bits of a float differ between machines; ten digits do not.
    return float(f"{number:.9e}")


def decimals(number: float) -> int:
    """Return how many decimals a number is printed with; whole digits are never rounded away.

    >>> decimals(1.23456), decimals(12345.6), decimals(0.00123456)
    (3, 0, 6)
    """
    if number == 0 or not math.isfinite(number):
        return 0
    magnitude = math.floor(math.log10(abs(number)))
    return max(0, SIGNIFICANT - 1 - magnitude)


def number_text(number: float) -> str:
    """Write a number for an equation: four significant digits, no zeros at the end.

    >>> number_text(187432.4), number_text(0.97441), number_text(1.15), number_text(1.9e9)
    ('187,432', '0.9744', '1.15', '1.9e9')
    """
    number = _ten_digits(number)
    if number == 0 or not math.isfinite(number):
        return f"{number:g}".replace("-0", "0")
    if abs(number) >= 1e8 or abs(number) < 1e-4:
        mantissa, _, exponent = f"{number:.{SIGNIFICANT - 1}e}".partition("e")
        mantissa = mantissa.rstrip("0").rstrip(".")
        return f"{mantissa}e{int(exponent)}"
    text = f"{number:,.{decimals(number)}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


@dataclass(frozen=True)
class Printed:
    """One value, ready to be set.

    Attributes
    ----------
    value : Value
    markup : str
        MathML of an equation, or escaped text of a sentence.
    text : str
        The same on one line of plain text.
    where : tuple of Printed parts (markup, text)
        The local quantities of the body, each with its value.
    source : str
        Clause or publication; empty for plain mechanics said in the sentence.
    is_equation : bool
    """

    value: Value
    markup: str
    text: str
    where: tuple[tuple[str, str], ...]
    source: str
    is_equation: bool


def show_value(value: Value, case: int | None = None) -> str:
    """Return number and unit of a value as text, at a load case."""
    if isinstance(value.number, str) or not _is_number(value.number):
        return str(value.number)
    return units.show(value.at(case), value.unit)


def _is_number(x: Any) -> bool:
    return isinstance(x, (int, float)) or type(x).__module__ == "numpy"


def _in_unit(number: float, unit: str) -> tuple[str, str]:
    return number_text(number / units.factor(unit)), units.label(unit)


def print_value(value: Value, case: int | None = None) -> Printed:
    """Print one value: its equation with symbols and numbers, its sentence, or its leaf.

    Parameters
    ----------
    value : Value
    case : int, optional
        The load case whose numbers are shown; needed when the value has several.

    Raises
    ------
    StaleSourceError
        When the source of its formula is not the code that ran.
    """
    origin = value.origin
    if isinstance(origin, Leaf):
        return _print_leaf(value, origin, case)
    if isinstance(origin.function, Formula):
        return _print_formula(value, origin, origin.function, case)
    assert isinstance(origin.function, Step)
    results = _results(origin, value)
    sentence = origin.function.say(origin, results, _case_of(results, case))
    return Printed(value, escape(sentence), sentence, (), origin.function.source, False)


@cache
def _rerun(call: Call) -> tuple[Any, ...]:
    result = call.rerun(lambda value: value.number)
    return result if isinstance(result, tuple) else (result,)


def _results(call: Call, value: Value) -> tuple[Any, ...]:
    outputs = call.function.outputs  # type: ignore[attr-defined]
    single = isinstance(outputs, tuple) and len(outputs) == 2 and isinstance(outputs[0], str)
    return (value.number,) if single else _rerun(call)


def _case_of(results: tuple[Any, ...], case: int | None) -> int | None:
    several = any(getattr(result, "ndim", 0) for result in results)
    if several and case is None:
        import numpy as np

        first = next(result for result in results if getattr(result, "ndim", 0))
        return int(np.argmax(first))
    return case if several else None


def _print_leaf(value: Value, origin: Leaf, case: int | None) -> Printed:
    number, label = _in_unit(value.at(case), value.unit)
    parts = [mathml.symbol_mathml(value.symbol), mathml.quantity_mathml(number, label)]
    text = f"{mathml.symbol_text(value.symbol)} = {mathml.quantity_text(number, label)}"
    return Printed(value, mathml.chain(parts, text), text, (), origin.source, True)


def _print_formula(value: Value, call: Call, formula: Formula, case: int | None) -> Printed:
    formula.require_fresh_source()
    assignments, returned = formula.parts
    arguments = call.inputs
    plain = [argument.at(case) for argument in arguments]
    named = dict(zip(formula.arguments, arguments, strict=False))
    rest = arguments[len(formula.arguments) :]
    shown_units = {
        name: named[name].unit if unit == "*" else unit
        for name, unit in formula.units.items()
        if name in named
    }
    where_units = local_units(formula, plain)
    local_numbers = formula.locals_at(*plain)

    def names(quantity: Callable[[str, str], Any]) -> dict[str, Any]:
        found = {
            name: quantity(*_in_unit(named[name].at(case), unit))
            for name, unit in shown_units.items()
        }
        for name, unit in where_units.items():
            found[name] = quantity(*_in_unit(float(local_numbers[name]), unit))
        return found

    symbols = {} if not formula.many else {
        formula.many: [mathml.symbol_mathml(item.symbol) for item in rest]
    }
    symbol_words = {} if not formula.many else {
        formula.many: [mathml.symbol_text(item.symbol) for item in rest]
    }
    several = {} if not formula.many else {
        formula.many: [
            mathml.quantity_mathml(*_in_unit(item.at(case), _many_unit(formula, item)))
            for item in rest
        ]
    }
    several_words = {} if not formula.many else {
        formula.many: [
            mathml.quantity_text(*_in_unit(item.at(case), _many_unit(formula, item)))
            for item in rest
        ]
    }
    numbers_markup, numbers_text = names(mathml.quantity_mathml), names(mathml.quantity_text)

    def line(symbol: str, node: Any, result: float, unit: str) -> tuple[str, str]:
        number, label = _in_unit(result, unit)
        markup = [
            mathml.symbol_mathml(symbol),
            mathml.expression(node, mathml.symbol_mathml, many=symbols),
            mathml.expression(node, numbers_markup, many=several),
            mathml.quantity_mathml(number, label),
        ]
        words = [
            mathml.symbol_text(symbol),
            mathml.text(node, mathml.symbol_text, many=symbol_words),
            mathml.text(node, numbers_text, many=several_words),
            mathml.quantity_text(number, label),
        ]
        if words[2] == words[3]:
            del markup[2], words[2]
        text = " = ".join(words)
        return mathml.chain(markup, text), text

    unit = value.unit if formula.unit == "*" else formula.unit
    markup, text = line(value.symbol, returned, value.at(case), unit)
    where = tuple(
        line(name, node, float(local_numbers[name]), where_units[name])
        for name, node in assignments
    )
    return Printed(value, markup, text, where, formula.source, True)


def _many_unit(formula: Formula, item: Value) -> str:
    unit = formula.units[formula.many or ""]
    return item.unit if unit == "*" else unit


def local_units(formula: Formula, plain: list[float]) -> dict[str, str]:
    """Return the unit in which each local quantity of a body is shown.

    The dimension is found by running the body in units of length and force that differ from
    in and lbf, and looking by which powers each local has grown.
    """
    assignments, _ = formula.parts
    if not assignments:
        return {}
    here = formula.locals_at(*plain)
    other = formula.locals_at(*scaled(formula, plain), scale=_SCALE)
    declared = {units.dimension(u): u for u in reversed(list(formula.units.values())) if u != "*"}
    found = {}
    for name, _node in assignments:
        growth = float(other[name]) / float(here[name]) if float(here[name]) else 1.0
        dimension = min(
            _DIMENSIONS, key=lambda d: abs(_SCALE[0] ** d[0] * _SCALE[1] ** d[1] / growth - 1)
        )
        found[name] = declared.get(dimension, _DIMENSIONS[dimension])
    return found


_SCALE = (1.37, 1.83)
_DIMENSIONS = {
    (0, 0): "", (1, 0): "lbf", (0, 1): "in", (0, 2): "in^2", (0, 3): "in^3", (0, 4): "in^4",
    (1, -2): "psi", (1, -1): "lbf/in", (1, 1): "lbf*in", (1, 2): "lbf*in^2", (0, -1): "1/in",
    (0, -2): "1/in^2",
}


def scaled(formula: Formula, plain: list[float]) -> list[float]:
    """Return the arguments as they read in units of force and length that are smaller."""
    names = list(formula.arguments) + [formula.many] * (len(plain) - len(formula.arguments))
    result = []
    for name, number in zip(names, plain, strict=True):
        unit = formula.units[name or ""]
        force, length = units.dimension("psi" if unit == "*" else unit)
        result.append(number * _SCALE[0] ** force * _SCALE[1] ** length)
    return result


def plain(value: Value, case: int | None = None) -> str:
    """Return a value on one line of text, as the terminal shows it."""
    if not _is_number(value.number):
        return f"{value.symbol}: {type(value.number).__name__}"
    if case is None:
        case = _case_of((value.number,), None)
    printed = print_value(value, case)
    text = printed.text
    if not printed.is_equation:
        text = f"{mathml.symbol_text(value.symbol)} = {show_value(value, case)}. {text}"
    where = "; ".join(words for _, words in printed.where)
    origin = value.origin
    basis = f" [{origin.title}; {origin.basis}]" if isinstance(origin, Leaf) else ""
    return f"{text}{', where ' + where if where else ''}{basis}"


def derivation(*targets: Value, known: set[str] | None = None) -> Iterator[Value]:
    """Yield the calculated values behind the targets, inputs first, each once.

    Parameters
    ----------
    *targets : Value
    known : set of str, optional
        Ids printed before; they are left out, and what is yielded is added.
    """
    seen = set() if known is None else known
    for value in walk(*targets):
        if isinstance(value.origin, Call) and value.id not in seen:
            seen.add(value.id)
            yield value


def html_chain(value: Value) -> str:
    """Return a value as a notebook shows it: its equation, its where-lines, its source."""
    if not _is_number(value.number):
        return f"<p>{escape(value.symbol)}: {escape(type(value.number).__name__)}</p>"
    case = _case_of((value.number,), None)
    printed = print_value(value, case)
    lines = [printed.markup if printed.is_equation else f"<p>{printed.markup}</p>"]
    lines += [f"<div>where {markup}</div>" for markup, _ in printed.where]
    origin = value.origin
    words = f"{origin.title}; {origin.basis}" if isinstance(origin, Leaf) else ""
    tail = "; ".join(part for part in (words, printed.source) if part)
    if case is not None:
        tail += f"; the largest of {len(value.number)} cases is shown"
    return f'<div class="calc-value">{"".join(lines)}<p><small>{escape(tail)}</small></p></div>'


def html_check(check: Check) -> str:
    """Return a check as a notebook shows it: verdict, then every equation behind it."""
    rows = [f"<p><strong>{escape(repr(check))}</strong></p>"]
    targets = [v for v in (check.demand, check.capacity, check.ratio) if v is not None]
    for value in derivation(*targets):
        if _is_number(value.number):
            several = getattr(value.number, "ndim", 0)
            printed = print_value(value, check.case if several else None)
            rows.append(f"<div>{printed.markup}</div>" if printed.is_equation else
                        f"<p>{printed.markup}</p>")
    rows += [f"<p>Open: {escape(question)}</p>" for question in check.questions]
    return f'<div class="calc-check">{"".join(rows)}</div>'
