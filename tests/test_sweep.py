"""Sweeps: blocks of candidates give what each candidate gives by itself."""

from dataclasses import dataclass, replace

import numpy as np
import pytest
from timber_leaves import given, size

from calclib.errors import InputError
from calclib.timber.beam import Demands, Effects, each_check, utilizations
from calclib.timber.bearing import end_seat, inner_seat, plate
from calclib.timber.deflection import dead_load_share
from calclib.timber.factors import Service, load_duration_factor
from calclib.timber.materials import sawn
from calclib.timber.piece import piece
from calclib.timber.stability import braced_at, held_throughout
from calclib.trace import numbers, worst_of
from calclib.trace.sweep import sweep

CASES = ("D", "D+L", "D+L+S")


def over_cases(value, unit, symbol):
    return given(value * np.array([0.5, 1.0, 1.1]), unit, symbol)


def problem(wood):
    """Return a traced beam over two spans, its effects, demands and C_D."""
    service = Service()
    effects = Effects(
        over_cases(30e3, "lbf*in", "M_sag"), over_cases(45e3, "lbf*in", "M_hog"),
        over_cases(2e3, "lbf", "V"), over_cases(2e7, "lbf*in^3", "D_L"),
        over_cases(1e7, "lbf*in^3", "D_D"), over_cases(2e7, "lbf*in^3", "D_st"),
        (over_cases(1.5e3, "lbf", "R_1"), over_cases(4e3, "lbf", "R_2")),
    )  # fmt: skip
    l_b = given(3.5, "in", "l_b")
    demands = Demands(
        given(120.0, "in", "l"), given(360.0, "", "n_live"), given(240.0, "", "n_total"),
        dead_load_share("NDS 3.5.2"), "NDS 3.5.2",
        held_throughout(), braced_at(given(60.0, "in", "l_u")),
        (end_seat(l_b), inner_seat(l_b, given(99.0, "in", "l_end"))),
        (plate("hem-fir", service), None),
    )  # fmt: skip
    return piece(wood, service), effects, demands, load_duration_factor(CASES)


def decided(arguments):
    """Return what decides each check of a beam, the largest of its ratios and conditions."""
    return [
        max(float(np.max(ratio.number)) for ratio in worst_of(check))
        for check in each_check("x", *arguments)
    ]


def by_checks(*arguments):
    return utilizations(each_check("x", *arguments))


def test_a_sweep_gives_what_each_member_gives_by_itself():
    """Ten candidates in blocks of three, beside ten traced beams."""
    sizes = [(b, d) for b in (1.5, 2.5) for d in (5.5, 7.25, 9.25, 11.25, 13.25)]
    beams = [problem(sawn("DF-L", "No.2", *size(b, d))) for b, d in sizes]
    first = tuple(numbers(part) for part in beams[0])
    plain = [numbers(beam[0]) for beam in beams]

    def column(get):
        return np.array([[get(each)] for each in plain])

    many = replace(
        first[0], b=column(lambda p: p.b), d=column(lambda p: p.d),
        factors={**first[0].factors, "Fb": {
            **first[0].factors["Fb"], "C_F": column(lambda p: p.factors["Fb"]["C_F"]),
        }},
    )  # fmt: skip
    found = sweep(by_checks, (many, *first[1:]), block=3)

    assert found.T == pytest.approx(np.array([decided(beam) for beam in beams]), rel=1e-12)


def test_a_check_function_is_the_same_with_and_without_a_graph():
    """Plain numbers in place of values give the same ratios."""
    beam = problem(sawn("hem-fir", "No.1", *size(3.5, 9.25)))
    plain = tuple(numbers(part) for part in beam)
    ratios = [float(np.max(check.ratio)) for check in each_check("x", *plain)]

    assert ratios == [check.worst for check in each_check("x", *beam)]


@dataclass(frozen=True)
class Pair:
    first: object
    second: object


def test_a_sweep_cuts_what_lies_in_containers():
    """Tuples, dicts and dataclasses; an array of cases is the same for all blocks."""
    x = np.arange(5.0)[:, np.newaxis]
    cases = np.array([1.0, 10.0])

    def largest(pair, named, words):
        assert words == "as they are"
        return [(pair.first * pair.second[0]).max(axis=0), np.max(named["x"], axis=0)]

    found = sweep(largest, (Pair(x, (cases,)), {"x": x}, "as they are"), block=2)

    assert found.tolist() == [[0, 10, 20, 30, 40], [0, 1, 2, 3, 4]]


def test_an_array_by_candidate_and_case_keeps_its_cases_together():
    """Each candidate is reduced over its own cases."""
    x = np.array([[1.0, 9.0], [8.0, 2.0], [3.0, 4.0]])

    assert sweep(lambda y: [y.max(axis=0)], (x,), block=2).tolist() == [[9, 8, 4]]


@pytest.mark.parametrize(
    ("arguments", "came"),
    [((np.ones(3),), "none"), ((np.ones((2, 1)), np.ones((3, 1))), "2 and 3")],
)
def test_a_sweep_without_one_number_of_candidates_is_refused(arguments, came):
    """The message says how many came."""
    with pytest.raises(InputError, match=f"one length, got {came}"):
        sweep(lambda *a: [a[0]], arguments)
