"""How a value is shown: the equation that ran, with its numbers, or the sentence of a step."""

from __future__ import annotations

import ast
import math
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from html import escape
from typing import TYPE_CHECKING, Any, NamedTuple

from calclib import units
from calclib.trace import mathml
from calclib.trace.dimensions import resolved, system, unit_of
from calclib.trace.formula import Formula
from calclib.trace.step import Step
from calclib.trace.value import Call, Leaf, Value, walk

if TYPE_CHECKING:
    from calclib.trace.check import Check

SIGNIFICANT = 4

# A number as it is printed, and the label of its unit.
Quantity = tuple[str, str]


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
    return units.show(value.at(case), value.unit) if _is_number(value.number) else str(value.number)


def _is_number(x: Any) -> bool:
    return isinstance(x, float) or getattr(x, "ndim", 0) > 0


def _in_unit(number: float, unit: str) -> Quantity:
    return number_text(number / units.factor(unit)), units.label(unit)


def is_number(value: Value) -> bool:
    """Say whether a value holds a number or an array; the solution of a beam is neither."""
    return _is_number(value.number)


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
    sentence = origin.function.say(origin, origin.results, _case_of(origin.results, case))
    return Printed(value, escape(sentence), sentence, (), origin.function.source, False)


def _case_of(results: Iterable[Any], case: int | None = None) -> int | None:
    """Return the case to show: the one asked for, else that of the largest first result."""
    several = [result for result in results if getattr(result, "ndim", 0)]
    if not several:
        return None
    return int(several[0].argmax()) if case is None else case


class Style(NamedTuple):
    """How symbols, quantities and expressions are set."""

    symbol: Callable[[str], str]
    quantity: Callable[[str, str], str]
    expression: Callable[..., str]


STYLES = (
    Style(mathml.symbol_mathml, mathml.quantity_mathml, mathml.expression),
    Style(mathml.symbol_text, mathml.quantity_text, mathml.text),
)


@dataclass(frozen=True)
class _Substitution:
    """What stands for the names of a body: symbols on one side, quantities on the other."""

    quantities: dict[str, Quantity]
    many: str | None
    many_symbols: list[str]
    many_quantities: list[Quantity]

    def line(self, symbol: str, node: ast.expr | None, result: Quantity) -> tuple[str, str]:
        """Set symbol = expression = numbers = result, as markup and as text."""
        markup, words = (list(self.parts(style, symbol, node, result)) for style in STYLES)
        # An expression of one name, or a plain 1, would be said twice.
        keep = [p for p in range(len(words)) if p == 0 or words[p] != words[p - 1]]
        text = " = ".join(words[place] for place in keep)
        return mathml.chain([markup[place] for place in keep], text), text

    def parts(
        self, style: Style, symbol: str, node: ast.expr | None, result: Quantity
    ) -> Iterator[str]:
        yield style.symbol(symbol)
        if node is not None:
            several = {self.many: [style.symbol(name) for name in self.many_symbols]}
            yield style.expression(node, style.symbol, many=several if self.many else {})
            yield self.numbers(node, style)
        yield style.quantity(*result)

    def numbers(self, node: ast.expr, style: Style = STYLES[1]) -> str:
        """Set an expression with numbers in the place of its names."""
        named = {name: style.quantity(*item) for name, item in self.quantities.items()}
        several = {self.many: [style.quantity(*item) for item in self.many_quantities]}
        return style.expression(node, named, many=several if self.many else {})


def _shown_case(value: Value) -> int | None:
    """Return the case to show for a value by itself, that of its largest number."""
    if isinstance(value.origin, Leaf) or isinstance(value.origin.function, Step):
        return _case_of([value.number])
    return _case_of([value.number, *[item.number for item in value.origin.inputs]])


def _print_leaf(value: Value, origin: Leaf, case: int | None) -> Printed:
    nothing = _Substitution({}, None, [], [])
    markup, text = nothing.line(value.symbol, None, _in_unit(value.at(case), value.unit))
    return Printed(value, markup, text, (), origin.source, True)


def _print_formula(value: Value, call: Call, formula: Formula, case: int | None) -> Printed:
    substitution, own = _substituted(call, formula, case)
    assignments, returned = formula.parts
    markup, text = substitution.line(value.symbol, returned, _in_unit(value.at(case), value.unit))
    where = tuple(substitution.line(name, node, own[name]) for name, node in assignments)
    return Printed(value, markup, text, where, formula.source, True)


def _substituted(
    call: Call, formula: Formula, case: int | None
) -> tuple[_Substitution, dict[str, Quantity]]:
    """Return what stands for the names of a body at a case, and its local quantities by name."""
    formula.require_fresh_source()
    numbers = [argument.at(case) for argument in call.inputs]
    shown = formula.shown_units(call.inputs)
    quantities = list(map(_in_unit, numbers, shown))
    count = len(formula.arguments)
    names = [*formula.arguments, *[formula.many or ""] * (len(shown) - count)]
    known = dict(zip(formula.arguments, quantities, strict=False))
    local_unit = local_units(formula, dict(zip(names, shown, strict=True)))
    local_quantity = {
        name: _in_unit(float(number), local_unit[name])
        for name, number in formula.locals_at(*numbers).items()
    }
    substitution = _Substitution(
        known | local_quantity,
        formula.many,
        [item.symbol for item in call.inputs[count:]],
        quantities[count:],
    )
    return substitution, local_quantity


def with_numbers(value: Value, case: int | None = None) -> str:
    """Return the line of an equation that stands in full elsewhere: its numbers, as plain text.

    Parameters
    ----------
    value : Value
    case : int, optional
        As for `print_value`.

    Returns
    -------
    str
        "f_b = 195,403 lbf·in / 123.4 in³", local quantities behind it, without the result.
        The sentence of a step; the number of a leaf.

    Raises
    ------
    StaleSourceError
        When the source of its formula is not the code that ran.
    """
    origin = value.origin
    if isinstance(origin, Leaf) or not isinstance(origin.function, Formula):
        return print_value(value, case).text
    substitution, own = _substituted(origin, origin.function, case)
    text = mathml.symbol_text(value.symbol) + " = " + substitution.numbers(origin.function.parts[1])
    where = "; ".join(
        f"{mathml.symbol_text(name)} = {mathml.quantity_text(*quantity)}"
        for name, quantity in own.items()
    )
    return f"{text}, where {where}" if where else text


def local_units(formula: Formula, shown: Mapping[str, str]) -> dict[str, str]:
    """Return the unit in which each local quantity of a body is shown.

    Parameters
    ----------
    formula : Formula
    shown : mapping of str to str
        For each argument the unit in which it is shown, see `Formula.shown_units`.

    Returns
    -------
    dict of str to str
        The unit of an argument of the same dimension, else one made of the same force and length,
        so that the numbers of a substitution stay coherent.
    """
    if not formula.local_dimensions:
        return {}
    base = system(formula.name, shown.values())
    any_unit = next((shown[name] for name, unit in formula.units.items() if unit == "*"), "")
    return {
        name: unit_of(resolved(dimension, any_unit), list(shown.values()), base)
        for name, dimension in formula.local_dimensions.items()
    }


def plain(value: Value, case: int | None = None) -> str:
    """Return a value on one line of text, as the terminal shows it; at its largest case if none."""
    if not _is_number(value.number):
        return f"{value.symbol}: {type(value.number).__name__}"
    notes = _notes(value, case)
    case = _shown_case(value) if case is None else case
    printed = print_value(value, case)
    text = printed.text
    if not printed.is_equation:
        text = f"{mathml.symbol_text(value.symbol)} = {show_value(value, case)}. {text}"
    where = "; ".join(words for _, words in printed.where)
    text += f", where {where}" if where else ""
    return f"{text} [{'; '.join(notes)}]" if notes else text


def shown_at(value: Value, case: int | None = None) -> str:
    """Return a number on one line of HTML: what it is, its equation or sentence, its source."""
    notes = _notes(value, case)[1:] if isinstance(value.origin, Leaf) else _notes(value, case)
    case = _shown_case(value) if case is None else case
    printed = print_value(value, case)
    title = value.origin.title if isinstance(value.origin, Leaf) else value.origin.function.title
    line = printed.markup
    if not printed.is_equation:
        quantity = mathml.quantity_mathml(*_in_unit(value.at(case), value.unit))
        shown = f"{mathml.symbol_text(value.symbol)} = {show_value(value, case)}"
        symbol = mathml.symbol_mathml(value.symbol)
        line = f"{mathml.chain([symbol, quantity], shown)} {printed.markup}"
    where = "".join(f" where {markup}" for markup, _ in printed.where)
    tail = "; ".join([*notes, *filter(None, [printed.source])])
    small = f" <small>{escape(tail)}</small>" if tail else ""
    line = (line + where).replace(' display="block"', "")
    return f"{escape(title[:1].upper() + title[1:])}: {line}{small}"


def _notes(value: Value, case: int | None = None) -> list[str]:
    origin = value.origin
    notes = []
    if isinstance(origin, Leaf):
        notes = [origin.title, origin.basis + ("" if origin.verified else ", from memory")]
    if getattr(value.number, "ndim", 0):
        count = len(value.number)
        which = "the largest" if case is None else f"number {case + 1}"
        notes.append(f"{which} of {count} cases")
    return notes


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


def has_a_line(value: Value) -> bool:
    """Say whether a value is printed where it is derived; a step without a sentence is not."""
    return isinstance(value.origin, Call) and (
        not isinstance(value.origin.function, Step) or value.origin.function.sentence is not None
    )


def html_chain(value: Value) -> str:
    """Return a value as a notebook shows it: its equation, its where-lines, its source."""
    if not _is_number(value.number):
        return f"<p>{escape(plain(value))}</p>"
    case = _shown_case(value)
    printed = print_value(value, case)
    line = printed.markup
    if not printed.is_equation:
        quantity = mathml.quantity_mathml(*_in_unit(value.at(case), value.unit))
        symbol = mathml.symbol_mathml(value.symbol)
        shown = f"{mathml.symbol_text(value.symbol)} = {show_value(value, case)}"
        line = f"{mathml.chain([symbol, quantity], shown)}<p>{printed.markup}</p>"
    where = "".join(f"<div>where {markup}</div>" for markup, _ in printed.where)
    tail = "; ".join([*_notes(value), *filter(None, [printed.source])])
    return f'<div class="calc-value">{line}{where}<p><small>{escape(tail)}</small></p></div>'


def html_check(check: Check) -> str:
    """Return a check as a notebook shows it: verdict, then every equation behind it."""
    rows = [f"<p><strong>{escape(repr(check))}</strong></p>"]
    if getattr(check.worst, "ndim", 0) or not isinstance(check.demand, Value):
        return rows[0]
    targets = [check.demand, check.capacity, check.ratio]
    told: set[int] = set()
    for value in derivation(*[target for target in targets if target is not None]):
        # A step is told once, whatever the number of its results.
        if has_a_line(value) and _is_number(value.number) and id(value.origin) not in told:
            told.add(id(value.origin))
            rows.append(_html_row(value, _case_within(value, check)))
    for condition in check.conditions:
        ratio = condition.ratio
        words = f"{condition.text} [{condition.source}]"
        rows.append(f"<p>{escape(words)}</p>")
        rows.append(_html_row(ratio, _case_within(ratio, check)))
    rows += [f"<p>Open: {escape(question)}</p>" for question in check.questions]
    rows += [f"<p>{escape(note)}</p>" for note in check.notes]
    return f'<div class="calc-check">{"".join(rows)}</div>'


def _case_within(value: Value, check: Check) -> int | None:
    """Return the governing case of a check, or a value's own if it has other cases."""
    count = len(check.ratio.number) if check.case is not None else 0
    own = _shown_case(value)
    return check.case if own is not None and len(_numbers(value)) == count else own


def _numbers(value: Value) -> Any:
    inputs = value.origin.inputs if isinstance(value.origin, Call) else ()
    several = [item.number for item in (value, *inputs) if getattr(item.number, "ndim", 0)]
    return several[0]


def _html_row(value: Value, case: int | None) -> str:
    printed = print_value(value, case)
    row = f"<div>{printed.markup}</div>" if printed.is_equation else f"<p>{printed.markup}</p>"
    return row + "".join(f"<div>where {markup}</div>" for markup, _ in printed.where)
