"""Every formula of the library: its units, its three arithmetics, its limits, its docstring.

The numbers are drawn from the ranges that a formula states; an open range is filled by sizes that
are usual for its dimension.
"""

import importlib
import math
import pkgutil
import re
import types

import numpy as np
import pytest

import calclib
from calclib import units
from calclib.errors import RangeError
from calclib.trace import REGISTRY, positive
from calclib.trace.functions import BODY_FUNCTIONS

for module in pkgutil.walk_packages(calclib.__path__, "calclib."):
    # That module is the command itself.
    if module.name != "calclib.__main__":
        importlib.import_module(module.name)

FORMULAS = [made for name, made in sorted(REGISTRY.items()) if name.startswith("calclib.")]
EVERY = pytest.mark.parametrize("formula", FORMULAS, ids=lambda f: f.name.removeprefix("calclib."))

DRAWS, NEEDED = 60, 20
MANY = 3
# Decades of what occurs in a house, in lbf and in, by the exponents of force and length.
DECADES = {
    (0, 0): (-0.5, 0.5), (0, 1): (0.0, 2.5), (0, 2): (0.0, 3.0), (0, 3): (1.0, 3.0),
    (0, 4): (1.0, 4.0), (0, -1): (-3.0, 0.0), (1, 0): (1.0, 4.5), (1, -1): (0.0, 3.0),
    (1, -2): (1.5, 6.0), (1, -3): (-3.0, -1.0), (1, 1): (2.0, 6.0), (1, 2): (6.0, 9.0),
    (1, 3): (7.0, 10.0),
}  # fmt: skip


def unit_of(declared):
    """Return a unit to try: any one will do where any one is allowed."""
    return "psi" if declared == "*" else declared


def names_of(formula):
    return [*formula.arguments, *[formula.many] * (MANY if formula.many else 0)]


def limits(valid):
    """Return low, high and whether low itself is left out."""
    return (0.0, None, True) if valid is positive else (*valid, False)


def one(random, valid, unit):
    """Draw one number in base units."""
    low, high, _ = limits(valid)
    if low is not None and high is not None:
        return random.uniform(low, high)
    least, most = DECADES[units.dimension(unit_of(unit))]
    size = 10 ** random.uniform(least, most)
    if low is None and high is None:
        return size if random.random() < 0.7 else -size
    return low + size if low is not None else high - size


def samples(formula):
    """Return up to 60 sets of arguments that the body can work with, and their results."""
    random = np.random.default_rng(20260731)
    found = []
    for _ in range(DRAWS):
        arguments = [
            float(one(random, formula.valid[name], formula.units[name]))
            for name in names_of(formula)
        ]
        try:
            result = formula(*arguments)
        except (ValueError, ZeroDivisionError, OverflowError):
            # A root of a negative number and the like: arguments that do not belong together.
            continue
        if math.isfinite(result):
            found.append((arguments, result))
    return found


def same(a, b, scale=0.0):
    return math.isclose(a, b, rel_tol=1e-10, abs_tol=1e-12 * scale)


def scale_of(formula, arguments):
    """Return a size below which a difference of terms is nothing."""
    return max((abs(x) for x in arguments), default=0.0) if formula.unit == "in" else 0.0


def test_the_walk_finds_the_library():
    """The timber provisions, the sections and the loads are all in it."""
    modules = {formula.name.rpartition(".")[0] for formula in FORMULAS}

    assert len(FORMULAS) > 40
    for module in ("timber.stability", "mechanics.section", "loads.takedown", "trace.check"):
        assert f"calclib.{module}" in modules


@EVERY
def test_the_ranges_can_be_met(formula):
    """A third of the draws or more is accepted, or the other tests prove little."""
    assert len(samples(formula)) >= NEEDED


@EVERY
def test_quantities_give_the_declared_unit(formula):
    """The body, called with Pint quantities, gives the plain result in the declared unit."""
    for arguments, result in samples(formula):
        assert same(formula.with_units(*arguments), result, scale_of(formula, arguments))


@EVERY
def test_an_array_gives_what_its_numbers_give(formula):
    """Arrays run through the same body."""
    found = samples(formula)
    columns = [np.array(column) for column in zip(*[a for a, _ in found], strict=True)]
    results = np.broadcast_to(formula(*columns), len(found))

    for (arguments, expected), result in zip(found, results, strict=True):
        assert same(float(result), expected, scale_of(formula, arguments))


@EVERY
def test_sympy_gives_what_its_numbers_give(formula):
    """The body of symbols, evaluated, is the body of numbers."""
    import sympy

    several = [sympy.Symbol(f"x_{i}", positive=True) for i in range(MANY)]
    given = {formula.many: several} if formula.many else {}
    expression = formula.symbolic(**given)
    symbols = [sympy.Symbol(name, positive=True) for name in formula.arguments]
    evaluate = sympy.lambdify([*symbols, *(several if formula.many else [])], expression, "math")

    tried = 0
    for arguments, expected in samples(formula):
        if min(arguments, default=1.0) > 0:
            assert same(float(evaluate(*arguments)), expected, scale_of(formula, arguments))
            tried += 1
    assert tried > 0


def wrong_numbers(formula, name):
    """Return numbers that the range of an argument leaves out."""
    low, high, above = limits(formula.valid[name])
    # Without a limit no number is wrong, and a NaN shows in the check, which then fails.
    wrong = [] if low is None and high is None else [math.nan]
    if low is not None:
        wrong += [low] if above else []
        wrong += [low - 1e-6 * max(1.0, abs(low)), low - 1e9]
    if high is not None:
        wrong += [high + 1e-6 * max(1.0, abs(high)), high + 1e9]
    return wrong


@EVERY
def test_a_number_outside_its_range_is_refused(formula):
    """Below, above, and no number at all; alone and as one of an array."""
    right, _ = samples(formula)[0]
    for place, name in enumerate(names_of(formula)):
        for number in wrong_numbers(formula, name):
            with pytest.raises(RangeError, match=re.escape(f"{name} needs to be")):
                formula(*right[:place], number, *right[place + 1 :])
            array = np.array([right[place], number, right[place]])
            with pytest.raises(RangeError, match=re.escape(f"{name} needs to be")):
                formula(*right[:place], array, *right[place + 1 :])


def coherent_scales(formula):
    """Return the factors to force and length of the one system that all declared units are of."""
    declared = {unit_of(unit) for unit in (*formula.units.values(), formula.unit)}
    exponents = np.array([units.dimension(unit) for unit in declared], dtype=float)
    logs = np.array([math.log(units.factor(unit)) for unit in declared])
    solved, *_ = np.linalg.lstsq(exponents, logs, rcond=None)
    assert np.allclose(exponents @ solved, logs, atol=1e-12), sorted(declared)
    return np.exp(solved)


@EVERY
def test_declared_units_need_no_hidden_factor(formula):
    """With numbers in the declared units the body gives the result in its declared unit."""
    force, length = coherent_scales(formula)

    def size(unit):
        f, ell = units.dimension(unit)
        return force**f * length**ell

    constants = {
        name: getattr(units, name) / size("in" if name == "inch" else name)
        for name in formula.body.__code__.co_names
        if name not in BODY_FUNCTIONS
    }
    body = types.FunctionType(
        formula.body.__code__, {**formula.body.__globals__, **constants}, argdefs=()
    )
    for arguments, expected in samples(formula):
        in_units = [
            number / units.factor(unit_of(formula.units[name]))
            for name, number in zip(names_of(formula), arguments, strict=True)
        ]
        result = body(*in_units) * units.factor(unit_of(formula.unit))
        assert same(result, expected, scale_of(formula, arguments))


def in_brackets(line):
    found = re.search(r"\[([^\]]+)\]", line)
    return found[1] if found else ""


def as_documented(unit):
    """Return a declared unit as the docstrings spell it."""
    return {"": "dimensionless"}.get(unit, unit)


@EVERY
def test_the_docstring_is_complete(formula):
    """What it is, each argument with its unit, the result, the limits, the source."""
    text = formula.__doc__ or ""
    assert re.match(r"[A-Z][^\n]*\.\n", text), "a first line that ends with a full stop"
    parts = re.split(r"\n\s*(Parameters|Returns|Notes)\n\s*-+\n", text)
    sections = dict(zip(parts[1::2], parts[2::2], strict=True))

    for name in [*formula.arguments, *([formula.many] if formula.many else [])]:
        spelled = f"*{name}" if name == formula.many else name
        line = re.search(rf"^\s*{re.escape(spelled)} : (.*)$", sections["Parameters"], re.M)
        assert line, f"{spelled} is not documented"
        unit = in_brackets(line[1])
        if formula.units[name] == "*":
            assert unit, f"{spelled} has no unit"
        else:
            assert unit == as_documented(formula.units[name]), f"{spelled}: [{unit}]"
    result = in_brackets(sections["Returns"])
    assert result, "the unit of the result"
    assert formula.unit == "*" or result == as_documented(formula.unit)
    assert re.search(r"\n\s+\S", sections["Returns"]), "the range of the result"
    assert re.search(r"Valid for: \S", sections["Notes"])
    assert re.search(r"Differs from the source: \S", sections["Notes"])
    assert formula.source
