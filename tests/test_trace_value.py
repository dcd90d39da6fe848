"""Traced values: identity, no operators, stable ids, iterative walks, plain numbers out of them."""

import gc
import math
import operator
import os
import subprocess
import sys
import weakref
from dataclasses import dataclass, field
from typing import Any, NamedTuple

import numpy as np
import pytest

from calclib.errors import CalcError, RangeError, UnitError
from calclib.trace import (
    BASES,
    Leaf,
    formula,
    leaf,
    leaves,
    numbers,
    pick,
    positive,
    program,
    step,
    values_in,
    walk,
)
from calclib.trace.printing import derivation
from calclib.trace.value import identifier
from calclib.units import inch

DEEP = 20_000


def given(number, unit="in", id="x", **more):
    return leaf(number, unit, "x", id, **({"title": "a number", "basis": "chosen"} | more))


@formula("x", "in", source="mechanics", valid={"x": (None, None)}, x="in")
def one_more(x):
    """One inch more."""
    return x + 1 * inch


@formula("A", "in^2", source="mechanics", valid={"b": positive, "d": positive}, b="in", d="in")
def area(b, d):
    """Area of a rectangle."""
    return b * d


@step("the two ends", [("x_left", "in"), ("x_right", "in")])
def ends(place, half):
    return place - half, place + half


@dataclass(frozen=True)
class Strip:
    """A part of a line, verified when it is made of numbers."""

    name: str
    start: Any
    end: Any

    def __post_init__(self):
        if isinstance(self.start, float) and self.end < self.start:
            raise RangeError(f"{self.name}: ends before it starts")


class Pair(NamedTuple):
    low: Any
    high: Any


@step("the length of a strip", ("l", "in"))
def length_of(strip):
    return strip.end - strip.start


def chain(count, start):
    value = start
    for _ in range(count):
        value = one_more(value)
    return value


# ---- leaves


@pytest.mark.parametrize("basis", BASES)
def test_a_leaf_says_how_its_number_came_to_be_known(basis):
    value = given(3.5, basis=basis, source="tape")

    assert value.number == 3.5
    assert (value.origin.basis, value.origin.source) == (basis, "tape")


def test_a_leaf_without_a_known_basis_is_refused():
    with pytest.raises(CalcError, match='x: needs a basis, got "guessed"'):
        given(3.5, basis="guessed")


def test_a_leaf_in_an_unknown_unit_is_refused():
    with pytest.raises(UnitError, match="furlong"):
        given(3.5, "furlong")


@pytest.mark.parametrize("number", [math.nan, math.inf, -math.inf, np.array([1.0, math.nan])])
def test_a_leaf_is_finite(number):
    with pytest.raises(RangeError, match="x: needs a finite number"):
        given(number)


@pytest.mark.parametrize("number", ["3.5", None, True, [3.5], 2j])
def test_a_leaf_is_a_number(number):
    with pytest.raises(CalcError, match="x: needs a number, got a "):
        given(number)


def test_a_leaf_lies_in_its_own_range():
    assert given(3.5, low=3.5, high=3.5).number == 3.5
    with pytest.raises(RangeError, match=r"at least 1 in and at most 3 in, got 3\.5 in"):
        given(3.5, low=1.0, high=3.0)


@pytest.mark.parametrize("number", [3, np.float64(3), np.int64(3), np.array(3.0), np.float32(3)])
def test_every_kind_of_scalar_is_held_as_a_float(number):
    assert type(given(number).number) is float


def test_an_array_is_copied_and_cannot_be_written_to():
    mine = np.array([1, 2])
    value = given(mine)

    mine[0] = 9

    assert value.number.tolist() == [1.0, 2.0]
    with pytest.raises(ValueError, match="read-only"):
        value.number[0] = 9.0


def test_results_that_are_arrays_cannot_be_written_to():
    result = one_more(given(np.array([1.0, 2.0])))
    left, _ = ends(given(np.array([1.0, 2.0])), given(0.5, id="h"))

    for value in (result, left):
        with pytest.raises(ValueError, match="read-only"):
            value.number[0] = 9.0


# ---- no operators and no truth

BINARY = [
    operator.add, operator.sub, operator.mul, operator.truediv, operator.floordiv, operator.mod,
    operator.pow, operator.matmul, divmod, operator.lt, operator.le, operator.gt, operator.ge,
]  # fmt: skip
OTHERS = [2.0, 2, np.float64(2.0), np.array([1.0, 2.0])]


@pytest.mark.parametrize("operation", BINARY)
@pytest.mark.parametrize("other", [*OTHERS, "value"], ids=repr)
def test_operators_raise_with_advice_on_either_side(operation, other):
    value = given(3.5)
    other = given(2.0, id="y") if isinstance(other, str) else other

    for pair in ((value, other), (other, value)):
        with pytest.raises(TypeError, match="x: a traced value has no operators and no truth"):
            operation(*pair)


@pytest.mark.parametrize(
    "operation",
    [bool, float, int, complex, round, abs, operator.neg, operator.pos, operator.index, math.sqrt,
     math.floor, math.ceil, math.trunc, np.sqrt, np.asarray, np.isnan,
     lambda value: sum([value]), lambda value: max([value, value]),
     lambda value: 1 if value else 2],
)  # fmt: skip
def test_conversions_truth_and_numpy_raise_with_advice(operation):
    with pytest.raises(TypeError, match="Write a formula or a step"):
        operation(given(3.5))


@pytest.mark.parametrize("other", OTHERS, ids=repr)
def test_comparing_with_a_number_raises_where_it_would_always_be_false(other):
    value = given(2.0)

    for compare in (operator.eq, operator.ne):
        with pytest.raises(TypeError, match="no operators"):
            compare(value, other)


def test_values_compare_by_identity():
    one, other = given(2.0), given(2.0)

    assert one == one
    assert one != other
    assert one is not None
    assert not one == None  # noqa: E711  dataclasses and containers compare so
    assert {one: 1, other: 2}[one] == 1
    assert [one, other].index(other) == 1
    assert Strip("s", one, other) == Strip("s", one, other) != Strip("s", one, one)


def test_a_value_cannot_be_changed():
    with pytest.raises(AttributeError):
        given(2.0).number = 3.0


def test_sympy_and_pint_do_not_swallow_a_value():
    import sympy

    from calclib.units import quantity

    for other in (sympy.Symbol("y"), quantity(2.0, "in")):
        with pytest.raises(TypeError, match="no operators"):
            other * given(2.0)


# ---- load cases


def test_a_scalar_is_the_same_at_every_case():
    assert given(2.0).at() == given(2.0).at(5) == 2.0


def test_an_array_needs_a_case():
    value = given(np.array([1.0, 4.0, 2.0]))

    assert value.at(1) == 4.0
    with pytest.raises(CalcError, match="x: needs a load case, for it holds 3 numbers"):
        value.at()


def test_what_is_no_number_says_so():
    solved = step("the solution", ("s", ""))(lambda x: object())(given(1.0))

    with pytest.raises(CalcError, match="holds no number but a object"):
        solved.at()


# ---- ids


def test_ids_depend_on_what_a_value_came_from_and_not_on_its_number():
    first = area(given(1.5, id="b"), given(9.25, id="d"))
    again = area(given(3.5, id="b"), given(11.25, id="d"))
    turned = area(given(1.5, id="d"), given(9.25, id="b"))

    assert first.id == again.id
    assert first.id.startswith("A.")
    assert first.id != turned.id


def test_ids_differ_by_function_part_and_structure():
    x, h = given(1.0, id="x"), given(2.0, id="h")
    ids = [
        one_more(x).id, one_more(h).id, area(x, h).id, area(h, x).id,
        *(value.id for value in ends(x, h)), length_of(Strip("s", x, h)).id,
        length_of(Strip("t", x, h)).id, one_more(one_more(x)).id,
    ]  # fmt: skip

    assert len(set(ids)) == len(ids)


TRICKY = [
    ((given(1.0, id="a,b"),), (given(1.0, id="a"), given(1.0, id="b"))),
    (("a", "b"), ("a,b",)),
    ((("a",), "b"), ("a", ("b",))),
    (("1",), (1,)),
    ((given(1.0, id="a"),), ("a",)),
    ((None,), ("None",)),
    (({"a": "b"},), ({"a": "c"},)),
    ((Strip("s", 1, 2),), (("s", 1, 2),)),
    (((),), ((), ())),
]


@pytest.mark.parametrize(("one", "other"), TRICKY, ids=range(len(TRICKY)))
def test_ids_of_arguments_that_look_alike_differ(one, other):
    assert identifier("f", one) != identifier("f", other)


def test_a_hundred_thousand_ids_do_not_collide():
    """A house of a thousand members has about so many values."""
    ids = {identifier("f", (f"member.{number}",)) for number in range(100_000)}

    assert len(ids) == 100_000


@pytest.mark.parametrize("argument", [{1, 2}, object(), len, float], ids=range(4))
def test_arguments_that_another_process_would_not_know_again_are_refused(argument):
    with pytest.raises(TypeError, match="need to be values, text, whole numbers"):
        ends(given(1.0), argument)


PROCESS = '''
from calclib.trace import formula, leaf, positive, step
@formula("A", "in^2", source="mechanics", valid={"b": positive, "d": positive}, b="in", d="in")
def area(b, d):
    """Area."""
    return b * d
@step("the ends", [("x", "in"), ("y", "in")])
def ends(x, words, table):
    return x, x
def given(id):
    return leaf(1.0, "in", "x", id, title="x", basis="chosen")
print(area(given("b"), given("d")).id, *[v.id for v in ends(given("b"), "w", {"k": (1, None)})])
'''


def test_ids_are_the_same_in_another_process(tmp_path):
    script = tmp_path / "ids.py"
    script.write_text(PROCESS, "utf-8")
    runs = [
        subprocess.run(
            [sys.executable, script], capture_output=True, text=True, check=True,
            env={**os.environ, "PYTHONHASHSEED": seed},
        ).stdout
        for seed in ("1", "2")
    ]  # fmt: skip

    assert runs[0] == runs[1]
    assert len(set(runs[0].split())) == 3


# ---- walks


def test_a_walk_yields_each_value_once_and_inputs_before_results():
    b, d = given(1.5, id="b"), given(9.25, id="d")
    deeper = one_more(d)
    first, second = area(b, deeper), area(deeper, b)

    found = list(walk(first, second, first))

    assert len(found) == len(set(found)) == 5
    for value in found:
        if not isinstance(value.origin, Leaf):
            assert all(found.index(item) < found.index(value) for item in value.origin.inputs)


def test_leaves_are_found_in_the_order_first_met_and_once_for_each_id():
    b, d = given(1.5, id="b"), given(9.25, id="d")
    same_b = given(1.5, id="b")

    assert leaves(area(one_more(d), b), one_more(same_b)) == (d, b)


@pytest.mark.parametrize(
    "other",
    [given(3.5, id="b"), given(1.5, unit="ft", id="b"), given(np.array([1.5, 1.5]), id="b")],
    ids=["number", "unit", "array"],
)
def test_two_different_leaves_of_one_id_are_refused(other):
    with pytest.raises(CalcError, match="b: two different values bear this id"):
        list(walk(area(given(1.5, id="b"), one_more(other))))


def test_two_functions_of_one_name_are_told_apart():
    """A notebook cell was changed and run again, and both results are in use."""

    def declared():
        @formula("y", "in", source="mechanics", valid={"x": positive}, x="in")
        def y(x):
            """Twice."""
            return 2 * x

        return y

    x = given(1.5)

    with pytest.raises(CalcError, match="two different values bear this id"):
        list(walk(area(declared()(x), declared()(x))))


def test_a_chain_20000_calls_deep_is_walked_printed_and_laid_out():
    start = given(0.0)
    end = chain(DEEP, start)

    assert end.number == DEEP
    assert sum(1 for _ in walk(end)) == DEEP + 1
    assert leaves(end) == (start,)
    assert sum(1 for _ in derivation(end)) == DEEP
    assert program(start, [end])(0.5) == (DEEP + 0.5,)
    assert repr(end).startswith("x = x + 1 in = 19,999 in + 1 in = 20,000 in")


def test_a_deep_chain_is_freed_when_nobody_holds_it():
    """Nothing keeps a graph alive, not even after it was printed; a kernel runs for days."""
    born = []

    @dataclass(frozen=True, eq=False)
    class Witness:
        number: float

        def __post_init__(self):
            born.append(weakref.ref(self))

    @step("a witness", [("w", ""), ("x", "in")], sentence=lambda *_: "Seen.")
    def witness(x):
        return Witness(x), x

    held, x = witness(given(1.0))
    end = chain(DEEP, x)
    repr(end), held._repr_html_(), x._repr_html_()

    del held, x, end
    gc.collect()

    assert [ref() for ref in born] == [None]


# ---- plain numbers, and steps


@dataclass(frozen=True)
class Member:
    name: str
    strips: tuple
    extra: dict = field(default_factory=dict)
    count: int = field(default=0, init=False)

    def __post_init__(self):
        object.__setattr__(self, "count", len(self.strips))


def test_numbers_gives_the_same_structure_with_plain_numbers():
    member = Member(
        "joist", (Strip("s", given(1.0), given(2.0)), Pair(given(3.0), None)), {"a": [given(4.0)]}
    )

    plain = numbers(member)

    assert plain == Member("joist", (Strip("s", 1.0, 2.0), Pair(3.0, None)), {"a": (4.0,)})
    assert plain.strips[1].low == 3.0
    assert plain.count == 2
    assert [value.number for value in values_in(member)] == [1.0, 2.0, 3.0, 4.0]


def test_a_step_takes_dataclasses_and_gives_several_values():
    strip = Strip("s", given(2.0, id="a"), given(5.0, id="b"))
    length = length_of(strip)

    left, right = ends(strip.start, length)

    assert length.number == 3.0
    assert (left.number, right.number) == (-1.0, 5.0)
    assert (left.symbol, right.symbol, left.part, right.part) == ("x_left", "x_right", 0, 1)
    assert left.origin is right.origin
    assert left.origin.results == (-1.0, 5.0)


def test_a_step_on_plain_numbers_is_its_function():
    assert ends(2.0, 0.5) == (1.5, 2.5)
    assert length_of(Strip("s", 1.0, 4.0)) == 3.0


@pytest.mark.parametrize(
    "arguments",
    [(given(1.0), 2.0), (2.0, given(1.0)), (given(1.0), np.array([2.0])),
     (given(1.0), np.float64(2.0)), (Pair(1.0, given(2.0)), given(1.0)),
     ({"a": [given(1.0), (2.0,)]}, given(1.0))],
)  # fmt: skip
def test_a_step_refuses_traced_and_plain_numbers_together(arguments):
    with pytest.raises(TypeError, match="traced and plain numbers are mixed"):
        ends(*arguments)


def test_the_dataclass_of_a_step_verifies_its_numbers():
    """What a dataclass refuses when made, it refuses when made again from traced numbers."""
    with pytest.raises(RangeError, match="ends before it starts"):
        length_of(Strip("s", given(5.0, id="a"), given(2.0, id="b")))


def test_a_list_given_to_a_step_cannot_change_it_later():
    @step("the sum", ("x", "in"))
    def summed(items):
        return sum(items)

    items = [given(1.0, id="a"), given(2.0, id="b")]
    result = summed(items)

    items.append(given(5.0, id="c"))

    assert result.origin.rerun(lambda value: value.number) == (3.0,)


def test_a_step_that_breaks_its_declaration_is_refused():
    wrong = step("three", [("a", ""), ("b", "")])(lambda x: (x, x, x))

    with pytest.raises(TypeError, match="declares 2 results, gave 3"):
        wrong(given(1.0))


def test_outputs_may_follow_the_arguments():
    @step("the larger", ("x_max", "*"))
    def larger(a, b):
        return max(a, b)

    @step("all doubled", lambda items: [(value.symbol, value.unit) for value in items])
    def doubled(items):
        return tuple(2 * item for item in items)

    assert larger(given(1.0, "ft", "a"), given(2.0, "ft", "b")).unit == "ft"
    assert [v.unit for v in doubled((given(1.0, "psi", "a"), given(2.0, "ft", "b")))] == [
        "psi", "ft"
    ]  # fmt: skip


def test_relevant_inputs_lead_a_reader_and_the_rest_is_passed_over():
    wide, deep = given(1.0, id="wide"), given(2.0, id="deep")

    assert leaves(pick(given(1.0, "", "i"), wide, deep))[1:] == (deep,)
