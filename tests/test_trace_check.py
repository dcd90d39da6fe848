"""Checks: when one passes, fails or is open, and which load case governs it."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra import numpy as npst

from calclib.errors import CalcError, RangeError, UnitError
from calclib.trace import (
    Condition,
    check,
    formula,
    governing_case,
    leaf,
    numbers,
    positive,
    step,
    utilization,
    worst_of,
)
from calclib.trace.check import holds, ratio_text

CASES = ("D", "D + L", "D + S")


def value(number, unit="psi", id="x"):
    return leaf(number, unit, "x", id, title=id, basis="chosen")


def number(n):
    """Return a value that may be what no leaf may be: NaN or infinite."""
    return step("a number", ("x", ""))(lambda _: n)(value(0.0, "", f"n/{n!r}"))


def made(demand, capacity=1.0, **more):
    traced = {name: x if x is None else number(x) for name, x in (("d", demand), ("c", capacity))}
    return check("finished/beam/bending", "Bending", "NDS 3.3", traced["d"], traced["c"], **more)


def condition(ratio):
    return Condition("R_B is at most 50", number(ratio), "NDS 3.3.3.7")


# ---- passes, fails, open


@pytest.mark.parametrize("demand", [0.0, -0.0, 0.5, 1.0, math.nextafter(1.0, 0.0)])
def test_a_check_passes_up_to_one(demand):
    assert made(demand).state == "passes"


@pytest.mark.parametrize(
    "demand", [math.nextafter(1.0, 2.0), 1.5, math.inf, -math.inf, math.nan, -5e-324, -0.1]
)
def test_a_check_fails_above_one_below_zero_and_without_a_number(demand):
    """There is no tolerance."""
    assert made(demand).state == "fails"


def test_a_check_without_capacity_is_open():
    checked = made(0.5, None)

    assert checked.state == "open"
    assert checked.questions == ("The capacity was not given.",)
    assert math.isnan(checked.worst)
    assert checked.ratio is None


def test_a_check_without_capacity_keeps_the_questions_it_was_given():
    assert made(0.5, None, questions=["What post?"]).questions == ("What post?",)


@pytest.mark.parametrize("demand", [0.0, 0.5, 1.0])
def test_a_check_with_an_open_question_never_passes(demand):
    assert made(demand, questions=("Verify the grade.",)).state == "open"


def test_a_failure_outranks_an_open_question():
    assert made(1.5, questions=("Verify the grade.",)).state == "fails"
    assert made(0.5, questions=("?",), conditions=(condition(1.1),)).state == "fails"
    assert made(0.5, None, conditions=(condition(1.1),)).state == "fails"
    assert made(0.5, None, conditions=(condition(0.9),)).state == "open"


@pytest.mark.parametrize("ratio", [-1.0, 0.0, 0.9, 1.0, np.array([0.2, 1.0])])
def test_a_condition_is_met_up_to_one(ratio):
    assert made(0.5, conditions=(condition(ratio),)).state == "passes"


@pytest.mark.parametrize(
    "ratio", [math.nextafter(1.0, 2.0), math.inf, -math.inf, math.nan, np.array([0.2, 1.1])]
)
def test_a_condition_that_is_not_met_fails_the_check(ratio):
    assert made(0.5, conditions=(condition(0.1), condition(ratio))).state == "fails"


@settings(max_examples=300)
@given(
    st.floats() | st.none(),
    st.lists(st.floats(), max_size=2),
    st.lists(st.just("?"), max_size=1),
)
def test_a_check_passes_if_and_only_if_all_of_the_rule_holds(demand, ratios, questions):
    checked = made(
        0.0 if demand is None else demand,
        None if demand is None else 1.0,
        conditions=tuple(map(condition, ratios)),
        questions=tuple(questions),
    )
    is_met = all(math.isfinite(ratio) and ratio <= 1 for ratio in ratios)
    is_within = demand is None or (math.isfinite(demand) and 0 <= demand <= 1)

    if not (is_met and is_within):
        assert checked.state == "fails"
    else:
        assert checked.state == ("open" if questions or demand is None else "passes")


# ---- the capacity


@pytest.mark.parametrize("capacity", [0.0, -0.0, -2.0, math.nan])
def test_a_capacity_of_zero_or_less_is_refused_and_the_check_named(capacity):
    """Two negative numbers must not make a ratio that passes."""
    with pytest.raises(RangeError, match=r"finished/beam/bending: .* capacity needs to be above 0"):
        made(-1.0, capacity)


def test_demand_and_capacity_are_of_one_dimension():
    with pytest.raises(UnitError, match="utilization, capacity: needs a value in psi"):
        check("a/b/c", "t", "c", value(1.0, "psi"), value(1.0, "lbf"))


def test_demand_and_capacity_may_be_shown_in_two_units():
    checked = check("a/b/c", "t", "c", value(36.0, "in", "a"), value(48.0, "ft", "b"))

    assert checked.worst == 0.75
    assert "= 36 in / 48 in = 0.75" in repr(checked.ratio)


# ---- load cases


def test_the_largest_utilization_governs_and_names_its_case():
    checked = made(np.array([0.3, 0.8, 0.5]), cases=CASES)

    assert (checked.case, checked.case_name, checked.worst) == (1, "D + L", 0.8)
    assert checked.governing.number == 1.0
    assert checked.state == "passes"


def test_a_nan_governs_whatever_stands_beside_it():
    checked = made(np.array([2.0, math.nan, 0.5]), cases=CASES)

    assert checked.case == 1
    assert math.isnan(checked.worst)
    assert checked.state == "fails"


def test_an_infinite_utilization_governs_and_fails():
    checked = made(np.array([0.1, 0.2, math.inf]), cases=CASES)

    assert (checked.case, checked.state) == (2, "fails")


def test_a_single_number_has_no_cases():
    checked = made(0.5, cases=CASES)

    assert (checked.case, checked.case_name) == (None, "")
    assert checked.governing.number == 0.0


def test_cases_need_as_many_names_as_numbers():
    with pytest.raises(CalcError, match="needs a name for each of 2 load cases, got 3"):
        made(np.array([0.1, 0.2]), cases=CASES)


def test_cases_may_come_from_the_capacity_alone():
    checked = made(0.9, np.array([0.9, 1.0, 1.15]), cases=CASES)

    assert (checked.case_name, checked.worst) == ("D", 1.0)


@given(npst.arrays(float, npst.array_shapes(min_dims=1, max_dims=2, max_side=4)))
def test_the_governing_case_is_the_first_of_the_largest_and_a_nan_is_largest(ratios):
    index = governing_case(ratios)

    flat, chosen = ratios.reshape(-1, ratios.shape[-1]), np.atleast_1d(index).ravel()
    for row, place in zip(flat.tolist(), chosen, strict=True):
        ranks = [(math.isnan(ratio), 0.0 if math.isnan(ratio) else ratio) for ratio in row]
        assert int(place) == ranks.index(max(ranks))


# ---- plain numbers and candidates


@formula(
    "f_b",
    "psi",
    source="mechanics",
    M="lbf*in",
    b="in",
    d="in",
    valid={"M": (None, None), "b": positive, "d": positive},
)
def bending_stress(M, b, d):
    """Bending stress of a rectangle."""
    return 6 * M / (b * d**2)


@formula(
    "F_b_prime",
    "psi",
    source="NDS 2018 4.3",
    F_b="psi",
    C_D="",
    valid={"F_b": positive, "C_D": positive},
)
def adjusted_value(F_b, C_D):
    """Adjusted bending value."""
    return F_b * C_D


@formula(
    "r",
    "",
    source="NDS 2018 4.4.1",
    b="in",
    d="in",
    n="",
    valid={"b": positive, "d": positive, "n": positive},
)
def depth_ratio(b, d, n):
    """Depth over breadth, over its limit."""
    return d / b / n


def bending(M, b, d, F_b, C_D, n):
    """Compare, as a check function does, without a number or a branch of its own."""
    return check(
        "a/b/bending", "Bending", "NDS 3.3", bending_stress(M, b, d), adjusted_value(F_b, C_D),
        cases=CASES, conditions=(Condition("d / b", depth_ratio(b, d, n), "4.4.1"),),
    )  # fmt: skip


C_D = np.array([0.9, 1.0, 1.15])
M = np.array([2.0e4, 4.0e4, 3.0e4])


def traced(b, d):
    return (
        value(M, "lbf*in", "M"),
        value(b, "in", "b"),
        value(d, "in", "d"),
        value(900.0, "psi", "F_b"),
        value(C_D, "", "C_D"),
        value(6.0, "", "n"),
    )


def test_a_check_function_on_plain_numbers_gives_the_same_without_a_graph():
    values = traced(3.5, 11.25)

    graph, plain = bending(*values), bending(*numbers(values))

    assert plain.ratio.tolist() == graph.ratio.number.tolist()
    assert plain.worst == graph.worst
    assert plain.state == graph.state == "passes"
    assert plain.fits is True
    assert worst_of(numbers(graph))[0].tolist() == plain.ratio.tolist()


def test_a_check_function_runs_on_candidates_by_cases():
    b = np.array([[1.5], [3.5], [3.5], [1.0]])
    d = np.array([[7.25], [11.25], [9.25], [14.0]])

    found = bending(M, b, d, 900.0, C_D, 6.0)

    singles = [bending(*traced(*size)) for size in zip(b[:, 0], d[:, 0], strict=True)]
    assert found.worst.tolist() == [one.worst for one in singles]
    assert found.fits.tolist() == [one.state == "passes" for one in singles]
    assert found.fits.tolist() == [False, True, True, False]
    assert found.governing is None


def test_candidates_have_no_single_state():
    found = bending(M, np.array([[1.5], [3.5]]), 11.25, 900.0, C_D, 6.0)

    with pytest.raises(CalcError, match=r"holds 2 candidates\. Ask for `fits`"):
        found.state  # noqa: B018
    assert repr(found) == "a/b/bending: Bending, 2 candidates [NDS 3.3]"
    assert "2 candidates" in found._repr_html_()


def test_a_nan_among_candidates_fits_not():
    assert holds([np.array([[0.1, math.nan], [0.1, 0.2]])], [0.5]).tolist() == [False, True]
    assert holds([np.array([[0.1], [0.2]])], [np.array([[math.nan], [1.0]])]).tolist() == [
        False, True
    ]  # fmt: skip


# ---- what it looks like


def test_a_check_reads_on_one_line():
    checked = made(np.array([0.3, 0.8437, 0.5]), cases=CASES)

    assert repr(checked) == (
        "finished/beam/bending: Bending passes, utilization 0.844 (D + L) [NDS 3.3]"
    )
    assert "open, no capacity [NDS 3.3]" in repr(made(0.5, None))


@pytest.mark.parametrize(
    ("ratio", "text"),
    [(1.0, "1.000"), (math.nextafter(1.0, 2.0), "1.0000000000000002"), (1.0004, "1.0004"),
     (1.00004, "1.00004"), (0.9999, "1.000"), (1.2, "1.200"), (math.nan, "nan"),
     (math.inf, "inf")],
)  # fmt: skip
def test_a_ratio_above_one_never_reads_like_one(ratio, text):
    assert ratio_text(ratio) == text


def test_the_utilization_is_the_demand_over_the_capacity():
    assert utilization(3.0, 4.0) == 0.75
