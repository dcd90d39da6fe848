"""Reads a printed line back and recomputes it from the numbers that stand in it.

A line is *symbol = expression = numbers = result*, as plain text.
Expression and numbers are read into two trees of one shape, so that a number in place of a symbol
(which was rounded) is told apart from one that the author typed (which is exact).
The numbers are taken as they stand, without any factor between units: where a reader would have
to know of a 12 or a 144, the line does not recompute.
"""

import math
import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import product

from calclib import units
from calclib.trace import Value
from calclib.trace.mathml import symbol_text
from calclib.trace.printing import Printed, print_value

SUPERSCRIPTS = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹⁻", "0123456789-")
RAISED = "[⁻⁰¹²³⁴⁵⁶⁷⁸⁹]+"
SIZE = r"\d{1,3}(?:,\d{3})+(?:\.\d+)?|\d+(?:\.\d*)?|\.\d+"
# One is not printed before a power of ten; a 10 under a small exponent is a number that is raised.
TEN = "⁻[⁵⁶⁷⁸⁹]|⁻?[¹²³][⁰¹²³⁴⁵⁶⁷⁸⁹]|[⁸⁹]"
NUMBER = re.compile(rf"10(?P<ten>{TEN})|(?P<size>{SIZE})(?:×10(?P<power>{RAISED}))?")
UNIT = "|".join(sorted(map(re.escape, [*units.UNITS, "°"]), key=len, reverse=True))
LABEL = re.compile(rf"(?:1/)?(?:{UNIT})(?:{RAISED})?(?:[·/](?:{UNIT})(?:{RAISED})?)*(?![\w′*])")
FUNCTIONS = {"sqrt": math.sqrt, "min": min, "max": max}
OPERATORS: dict[str, Callable[[float, float], float]] = {
    "+": lambda a, b: a + b,
    "−": lambda a, b: a - b,
    "×": lambda a, b: a * b,
    "/": lambda a, b: a / b,
    "^": lambda a, b: a**b,
    "<": lambda a, b: a < b,
    "≤": lambda a, b: a <= b,
    ">": lambda a, b: a > b,
    "≥": lambda a, b: a >= b,
}


@dataclass(frozen=True)
class Number:
    """A number with its unit as printed, or a unit by itself."""

    size: float
    unit: str = ""


@dataclass(frozen=True)
class Name:
    text: str


@dataclass(frozen=True)
class Node:
    """An operation and what it is done to."""

    what: str
    parts: tuple["Tree", ...]


Tree = Number | Name | Node


class Reader:
    """Reads one expression from its start to its end."""

    def __init__(self, text: str, names: Sequence[str]) -> None:
        self.text = text
        self.at = 0
        self.names = sorted(set(names), key=len, reverse=True)

    def whole(self) -> Tree:
        tree = self.sum()
        assert self.at == len(self.text), f"{self.text!r} is not read beyond {self.at}"
        return tree

    def take(self, *signs: str) -> str:
        """Take one of some signs if it stands here, with the space around it.

        The space after a name or a closing bracket may stand for a product and is left.
        """
        for sign in signs:
            after = "" if sign in (")", "}", *self.names) else r"\s*"
            found = re.compile(rf"\s*{re.escape(sign)}{after}").match(self.text, self.at)
            if found:
                self.at = found.end()
                return sign
        return ""

    def need(self, sign: str) -> None:
        assert self.take(sign), f"{self.text!r} has no {sign} at {self.at}"

    def sum(self) -> Tree:
        tree = self.term()
        while sign := self.take("+", "−"):
            tree = Node(sign, (tree, self.term()))
        return tree

    def term(self) -> Tree:
        # A minus is read with the first factor, whether the factor or the term is negative.
        tree = Node("neg", (self.power(),)) if self.take("−") else self.power()
        while True:
            sign = self.take("×", "/", "·")
            # Two things side by side are multiplied.
            if not sign and not re.compile(r" (?!if |otherwise)[^+−<≤>≥ ]").match(
                self.text, self.at
            ):
                return tree
            self.take(" ")
            tree = Node("/" if sign == "/" else "×", (tree, self.power()))

    def power(self) -> Tree:
        tree = self.atom()
        raised = re.compile(RAISED).match(self.text, self.at)
        if raised:
            self.at = raised.end()
            return Node("^", (tree, Number(float(raised[0].translate(SUPERSCRIPTS)))))
        return Node("^", (tree, self.atom())) if self.take("^") else tree

    def atom(self) -> Tree:
        for name in FUNCTIONS:
            if self.take(f"{name}("):
                return Node(name, tuple(self.listed()))
        if self.take("("):
            tree = self.sum()
            self.need(")")
            return tree
        if self.take("{"):
            return self.cases()
        for name in self.names:
            if self.take(name):
                return Name(name)
        return self.number()

    def listed(self) -> Iterator[Tree]:
        yield self.sum()
        while self.take(","):
            yield self.sum()
        self.need(")")

    def number(self) -> Number:
        found = NUMBER.match(self.text, self.at)
        size = 1.0
        if found:
            self.at = found.end()
            power = (found["ten"] or found["power"] or "0").translate(SUPERSCRIPTS)
            size = float(f"{(found['size'] or '1').replace(',', '')}e{power}")
        label = re.compile(r"\s?").match(self.text, self.at)
        assert label
        unit = LABEL.match(self.text, label.end() if found else self.at)
        assert found or unit, f"{self.text!r} has neither name nor number at {self.at}"
        if unit is None:
            return Number(size)
        self.at = unit.end()
        return Number(size, declared(unit[0]))

    def cases(self) -> Tree:
        value = self.sum()
        if self.take("otherwise"):
            self.need("}")
            return value
        self.need("if")
        left = self.sum()
        sign = self.take("<", "≤", ">", "≥")
        condition = Node(sign, (left, self.sum()))
        self.need(";")
        return Node("where", (condition, value, self.cases()))


def declared(label: str) -> str:
    """Return a printed unit as it is declared: "lbf·in²" is "lbf*in^2"."""
    powers = re.sub(RAISED, lambda found: "^" + found[0].translate(SUPERSCRIPTS), label)
    return powers.replace("·", "*").replace("°", "deg")


def half_digit(size: float) -> float:
    """Return half of the last digit of a number that is printed to four significant digits.

    Zeros at the end are not printed, and whole digits are never rounded away below 10⁸.
    """
    if size == 0:
        return 0.0
    last = math.floor(math.log10(abs(size))) - 3
    return 0.5 * 10.0 ** (last if abs(size) >= 1e8 else min(last, 0))


def rounded(symbolic: Tree, numeric: Tree) -> list[bool]:
    """Say for each number of the second tree whether it stands for a name of the first."""
    if isinstance(symbolic, Name):
        inner = numeric.parts[0] if isinstance(numeric, Node) and numeric.what == "neg" else numeric
        assert isinstance(inner, Number), f"{symbolic} stands for {numeric}"
        return [True]
    if isinstance(symbolic, Number):
        assert symbolic == numeric
        return [False]
    assert isinstance(numeric, Node)
    assert symbolic.what == numeric.what, f"{symbolic.what} became {numeric.what}"
    return [
        is_rounded
        for one, other in zip(symbolic.parts, numeric.parts, strict=True)
        for is_rounded in rounded(one, other)
    ]


def numbers_in(tree: Tree) -> list[Number]:
    if isinstance(tree, Node):
        return [number for part in tree.parts for number in numbers_in(part)]
    assert isinstance(tree, Number), f"no number stands for {tree}"
    return [tree]


def evaluate(tree: Tree, sizes: Iterator[float]) -> float:
    """Return the value of a tree with the sizes in place of its numbers, in their order."""
    if not isinstance(tree, Node):
        return next(sizes)
    parts = [evaluate(part, sizes) for part in tree.parts]
    match tree.what:
        case "neg":
            return -parts[0]
        case "where":
            return parts[1] if parts[0] else parts[2]
        case "sqrt" | "min" | "max":
            return float(FUNCTIONS[tree.what](*parts))
    return OPERATORS[tree.what](*parts)


def system_of(shown: Sequence[str]) -> tuple[float, float]:
    """Return the size of the force and of the length of which all shown units are made."""
    for force, length in product(("lbf", "kip", "N", "kN"), ("in", "ft", "mm", "m")):
        sizes = units.factor(force), units.factor(length)
        if all(math.isclose(units.factor(u), size_in(u, sizes), rel_tol=1e-12) for u in shown):
            return sizes
    raise AssertionError(f"{sorted(set(shown))} hide a factor between them")


def size_in(unit: str, system: tuple[float, float]) -> float:
    force, length = units.dimension(unit)
    return system[0] ** force * system[1] ** length


@dataclass(frozen=True)
class Line:
    """A printed result beside the one that follows from the printed numbers."""

    printed: float
    recomputed: float
    tolerance: float


def recompute(line: str, names: Sequence[str]) -> Line:
    """Recompute one printed line.

    Parameters
    ----------
    line : str
        symbol = expression = numbers = result; the numbers are left out if they are the result.
    names : sequence of str
        The symbols in the expression, as they are printed.

    Returns
    -------
    Line
        The tolerance is half of the last digit of the result, and what half of the last digit of
        each rounded number can change, one by one (a hundredth more for their products).
    """
    _, symbolic_text, *numeric_text, result_text = line.split(" = ")
    result = Reader(result_text, ()).whole()
    numeric = Reader(numeric_text[0], ()).whole() if numeric_text else result
    is_rounded = rounded(Reader(symbolic_text, names).whole(), numeric)
    given = numbers_in(numeric)
    (end,) = numbers_in(result)
    printed = evaluate(result, iter([end.size]))
    shown = [n.unit for n, r in zip(given, is_rounded, strict=True) if r and n.size]
    system = system_of([*shown, end.unit] if printed else shown)
    # Only a constant that the author typed may bring a factor, in full view.
    sizes = [n.size * units.factor(n.unit) / size_in(n.unit, system) for n in given]
    recomputed = evaluate(numeric, iter(sizes))
    tolerance = half_digit(printed)
    for place, size in enumerate(sizes):
        if is_rounded[place]:
            moved = [0.0]
            for step in (half_digit(size), -half_digit(size)):
                others = [*sizes[:place], size + step, *sizes[place + 1 :]]
                moved.append(abs(evaluate(numeric, iter(others)) - recomputed))
            tolerance += 1.01 * max(moved)
    return Line(printed, recomputed, tolerance + 1e-9 * abs(printed))


def assert_recomputes(value: Value, case: int | None = None) -> Printed:
    """Print a value and recompute its line and its where-lines; return what was printed."""
    printed = print_value(value, case)
    call = value.origin
    formula = call.function
    own = [*formula.arguments, *(name for name, _ in formula.parts[0])]
    own += [item.symbol for item in call.inputs[len(formula.arguments) :]]
    names = [str(symbol_text(name)) for name in own]
    for text in (printed.text, *(words for _, words in printed.where)):
        line = recompute(text, names)
        assert abs(line.recomputed - line.printed) <= line.tolerance, (text, line)
    return printed
