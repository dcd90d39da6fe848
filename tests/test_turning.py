"""Scans of many checks at once: crossings, jumps, refusals, and the one-check scan beside it."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from calclib.job.break_points import register
from calclib.job.file import read
from calclib.job.solve import solve
from calclib.trace import break_point, check, formula, leaf, step, where
from calclib.trace.turning import Turning, outward

EXAMPLES = Path(__file__).parent.parent / "examples"


@formula("y", "", x="", a="", source="test", valid={"x": (None, 30.0), "a": (None, None)})
def line(x, a):
    """A line through zero."""
    return a * x


@formula("y", "", x="", source="test", valid={"x": (None, None)})
def jump(x):
    """A jump from 0.5 to 2 above 5."""
    return where(x > 5, 2 + 0 * x, 0.5 + 0 * x)


@formula("y", "", x="", source="test", valid={"x": (None, None)})
def bump(x):
    """Above 1 only between 12 and 14."""
    return where((x - 13) * (x - 13) < 1, 1.5 + 0 * x, 0.5 + 0 * x)


@step("shares of cases", ("y", ""))
def spread(x, shares):
    """Several cases at once."""
    return np.array([0.1, 0.5, 1.0]) * x * shares


def number(x: float, symbol: str = "x"):
    return leaf(x, "", symbol, symbol, title=symbol, basis="assumed")


ONE = number(1.0, "one")


def of(value, *others):
    return [check(f"test/{i}", "a check", "test", each, ONE) for i, each in enumerate(others)]


def test_a_crossing_is_found_to_a_millionth_in_both_directions():
    x = number(10.0)
    checks = of(x, line(x, number(0.05, "a")), line(x, number(-0.05, "b")))

    (up, _), (down, _) = (Turning(x, checks).scan(way, outward(x, way)) for way in (1, -1))

    assert up.value == pytest.approx(20.0, rel=1e-6)
    assert up.value * 0.05 <= 1.0
    assert down.value is None
    assert down.reached == 2.5


def test_a_check_that_fails_now_gives_the_first_number_at_which_it_fits():
    x = number(10.0)
    (failing,) = of(x, line(x, number(0.2, "a")))

    (down,) = Turning(x, [failing]).scan(-1, outward(x, -1))

    assert down.value == pytest.approx(5.0, rel=1e-6)
    assert down.value * 0.2 <= 1.0


def test_a_jump_is_found_where_it_is():
    x = number(4.0)

    (up,) = Turning(x, of(x, jump(x))).scan(1, outward(x, 1))

    assert up.value == pytest.approx(5.0, rel=1e-6)
    assert up.value <= 5.0


def test_a_number_that_the_calculation_refuses_ends_the_range():
    x = number(10.0)
    checks = of(x, line(x, number(0.001, "a")))

    (up,) = Turning(x, checks).scan(1, outward(x, 1))

    assert up.value is None
    assert "at most 30" in up.stopped
    assert 24.0 <= up.reached <= 30.0


def test_a_crossing_before_the_refusal_is_still_found():
    x = number(10.0)
    checks = of(x, line(x, number(0.04, "a")))

    (up,) = Turning(x, checks).scan(1, outward(x, 1))

    assert up.value == pytest.approx(25.0, rel=1e-6)


def test_a_check_that_turns_over_and_back_is_seen_only_at_a_place_of_the_scan():
    x = number(10.0)

    (seen,) = Turning(x, of(x, bump(x))).scan(1, outward(x, 1))
    (missed,) = Turning(x, of(x, bump(x))).scan(1, [11.0, 16.0])

    assert seen.value == pytest.approx(12.0, rel=1e-6)
    assert missed.value is None


def test_a_step_that_cannot_run_on_some_of_its_cases_is_run_on_all():
    x = number(4.0)
    shares = leaf(np.array([1.0, 1.0, 0.3]), "", "k", "k", title="k", basis="chosen")

    (up,) = Turning(x, of(x, line(spread(x, shares), number(0.2, "a")))).scan(1, outward(x, 1))

    # The second case has 0.5, the third 0.3 of the number: the second reaches 5 at 10. The step
    # has its three cases written into it, so on one case alone it gives other numbers.
    assert up.value == pytest.approx(10.0, rel=1e-6)


@pytest.mark.parametrize("name", ["larkspur_house", "basement_beam"])
def test_the_scan_of_all_checks_finds_what_the_scan_of_one_finds(name: str):
    solved = solve(read(EXAMPLES / f"{name}.toml"))
    compared = 0
    for value, checks in register(solved)[::5]:
        if not isinstance(value.number, float) or not outward(value, 1):
            continue
        turning = Turning(value, checks)
        for way in (1, -1):
            for found, each in zip(turning.scan(way, outward(value, way)), checks, strict=True):
                if found.value is None:
                    continue
                alone = break_point(value, each, way, step=0.1)
                assert alone.value == pytest.approx(found.value, rel=1e-6), (value.id, each.id)
                compared += 1
    assert compared > 5
