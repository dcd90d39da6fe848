"""The dimensions of a formula's body, read from its syntax tree.

Before a formula may enter a calculation, its body is proven to give what it declares: terms of
one dimension, a result of the declared one, and no constant that hides a unit.
"""

from __future__ import annotations

import ast
import math
from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction
from itertools import product as pairs

from calclib import units
from calclib.errors import UnitError, message, quoted

# Powers of force, of length, and of the unit that "*" stands for.
Dimension = tuple[Fraction, Fraction, Fraction]
PLAIN: Dimension = (Fraction(0), Fraction(0), Fraction(0))
ANY: Dimension = (Fraction(0), Fraction(0), Fraction(1))

FORCES = ("lbf", "kip", "N", "kN")
LENGTHS = ("in", "ft", "mm", "m")
System = tuple[str, str]


def declared(unit: str) -> Dimension:
    """Return the dimension of a declared unit, "*" included."""
    if unit == "*":
        return ANY
    force, length = units.dimension(unit)
    return Fraction(force), Fraction(length), Fraction(0)


def system(where: str, given: Iterable[str]) -> System:
    """Return the units of force and length of which all the given ones are made.

    Parameters
    ----------
    where : str
        What the message names.
    given : iterable of str
        Declared units; "*" is passed over.

    Raises
    ------
    UnitError
        When a unit is not known, or a reader would have to put in a 12 or a 144.

    Examples
    --------
    >>> system("x", ["psf", "ft", "plf"]), system("x", ["psi", "in^3", ""])
    (('lbf', 'ft'), ('lbf', 'in'))
    """
    listed = list(given)
    named = [unit for unit in listed if unit != "*"]
    if len(named) < len(listed) and any(declared(unit) != PLAIN for unit in named):
        raise UnitError(message(where, 'plain numbers beside "*"', ", ".join(filter(None, named))))
    for force, length in pairs(FORCES, LENGTHS):
        if all(_fits(unit, force, length) for unit in named):
            return force, length
    shown = ", ".join(units.label(unit) for unit in dict.fromkeys(named) if unit)
    raise UnitError(
        message(
            where, "units of one force and one length, such as lbf*in, in^3 and psi", shown,
            "Declare one of them otherwise, so that no 12 or 144 is hidden.",
        )
    )  # fmt: skip


def _fits(unit: str, force: str, length: str) -> bool:
    powers = units.dimension(unit)
    one = units.factor(force) ** powers[0] * units.factor(length) ** powers[1]
    return math.isclose(units.factor(unit), one, rel_tol=1e-12)


def resolved(dimension: Dimension, any_unit: str) -> Dimension:
    """Return a dimension with that of some unit in place of "*"."""
    force, length, star = dimension
    of_force, of_length = units.dimension(any_unit)
    return force + star * of_force, length + star * of_length, Fraction(0)


def unit_of(dimension: Dimension, known: Sequence[str], base: System) -> str:
    """Return the unit in which a quantity of some dimension is shown.

    Parameters
    ----------
    dimension : Dimension
        Without "*".
    known : sequence of str
        Units that are taken first, if one fits.
    base : System
        Force and length of which the unit is made otherwise.

    Raises
    ------
    UnitError
        When no declared unit can say it.

    Examples
    --------
    >>> unit_of((Fraction(1), Fraction(-2), Fraction(0)), (), ("N", "mm"))
    'MPa'
    """
    if dimension == PLAIN:
        return ""
    for unit in [*known, *units.UNITS]:
        if declared(unit) == dimension and _fits(unit, *base):
            return unit
    powers = dict(zip(base, dimension, strict=False))
    top = "*".join(_powered(name, power) for name, power in powers.items() if power > 0)
    bottom = "*".join(_powered(name, -power) for name, power in powers.items() if power < 0)
    unit = f"{top or 1}/{bottom}" if bottom else top
    units.terms(unit)
    return unit


def _powered(name: str, power: Fraction) -> str:
    return name if power == 1 else f"{name}^{power}"


class Reader:
    """Finds the dimension of each expression of one body.

    Parameters
    ----------
    where : str
        What messages name.
    known : dict of str to Dimension
        For each argument its dimension; for a starred one that of each factor or term.
    """

    def __init__(self, where: str, known: Mapping[str, Dimension]) -> None:
        self.where = where
        self.known = dict(known)

    def of(self, node: ast.expr) -> Dimension | None:
        """Return the dimension of an expression; None for a zero, which may be anything."""
        match node:
            case ast.Constant(value=value):
                return None if value == 0 else PLAIN
            case ast.Name(id=name):
                unit = "in" if name == "inch" else name
                return self.known[name] if name in self.known else declared(unit)
            case ast.UnaryOp(operand=operand):
                return self.of(operand)
            case ast.BinOp(left=base, op=ast.Pow(), right=exponent):
                return self.power(node, base, exponent)
            case ast.BinOp(left=left, op=ast.Mult() | ast.Div() as op, right=right):
                one, other = self.of(left), self.of(right)
                if one is None or other is None:
                    return one if isinstance(op, ast.Div) else None
                sign = 1 if isinstance(op, ast.Mult) else -1
                force, length, star = (a + sign * b for a, b in zip(one, other, strict=True))
                return force, length, star
            case ast.BinOp(left=left, right=right):
                return self.same(node, left, right)
            case ast.Call(func=ast.Name(id="sqrt"), args=[inner]):
                return self.scaled(self.of(inner), Fraction(1, 2))
            case ast.Call(func=ast.Name(id="where"), args=[condition, then, otherwise]):
                assert isinstance(condition, ast.Compare)
                self.same(condition, condition.left, *condition.comparators)
                return self.same(node, then, otherwise)
            case ast.Call(func=ast.Name(id="product"), args=[factors]):
                if self.of(factors) != PLAIN:
                    self.refuse(node, "factors without a unit")
                return PLAIN
            case ast.Call(args=arguments):
                return self.same(node, *arguments)
        raise AssertionError(ast.dump(node))

    def same(self, node: ast.expr, *parts: ast.expr) -> Dimension | None:
        """Return the dimension that all parts share."""
        found = [d for d in map(self.of, parts) if d is not None]
        if any(d != found[0] for d in found):
            said = " and ".join(words(d) for d in dict.fromkeys(found))
            self.refuse(node, "terms of one dimension", said)
        return found[0] if found else None

    def power(self, node: ast.expr, base: ast.expr, exponent: ast.expr) -> Dimension | None:
        if self.of(exponent) not in (PLAIN, None):
            self.refuse(node, "an exponent without a unit")
        dimension = self.of(base)
        if dimension in (PLAIN, None):
            return dimension
        try:
            power = _constant(exponent)
        except ValueError:
            self.refuse(node, "a number for the exponent of a quantity with a unit")
        return self.scaled(dimension, power)

    @staticmethod
    def scaled(dimension: Dimension | None, power: Fraction) -> Dimension | None:
        if dimension is None:
            return None
        force, length, star = (part * power for part in dimension)
        return force, length, star

    def refuse(self, node: ast.expr, needs: str, came: str = "") -> None:
        got = quoted(ast.unparse(node)) + (f" with {came}" if came else "")
        do = "Write a constant with its unit, such as 2 * inch."
        raise UnitError(message(self.where, needs, got, do))


def _constant(node: ast.expr) -> Fraction:
    match node:
        case ast.Constant(value=int() | float() as value):
            return Fraction(repr(value))
        case ast.UnaryOp(operand=operand):
            return -_constant(operand)
        case ast.BinOp(left=left, op=ast.Div(), right=right):
            return _constant(left) / _constant(right)
    raise ValueError(ast.unparse(node))


def words(dimension: Dimension) -> str:
    """Return a dimension as a message says it, in lbf and in."""
    if dimension == PLAIN:
        return "a plain number"
    names = ("lbf", "in", "the unit *")
    powers = zip(names, dimension, strict=True)
    return "·".join(name if p == 1 else f"{name}^{p}" for name, p in powers if p)


def prove(
    where: str,
    assignments: Iterable[tuple[str, ast.expr]],
    returned: ast.expr,
    arguments: Mapping[str, str],
    unit: str,
) -> dict[str, Dimension]:
    """Return the dimension of each local of a body, after proving that of its result.

    Parameters
    ----------
    where : str
        What messages name.
    assignments, returned
        From `calclib.trace.mathml.body_of`.
    arguments : mapping of str to str
        For each argument its declared unit.
    unit : str
        Declared unit of the result.

    Raises
    ------
    UnitError
        When terms differ in dimension, or the result has another one than is declared.
    """
    reader = Reader(where, {name: declared(of) for name, of in arguments.items()})
    found: dict[str, Dimension] = {}
    for name, expression in assignments:
        dimension = reader.of(expression)
        found[name] = reader.known[name] = PLAIN if dimension is None else dimension
    result = reader.of(returned)
    if result is not None and result != declared(unit):
        wanted = "the unit *" if unit == "*" else units.label(unit) or "a plain number"
        raise UnitError(
            message(where, f"a result in {wanted}, as declared", words(result),
                    "Mend the unit, or write constants with theirs.")
        )  # fmt: skip
    return found
