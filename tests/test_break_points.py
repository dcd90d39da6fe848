"""Break-points of the example against brute force: the whole job read and solved again."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from scipy.optimize import brentq

from calclib.job.file import parse
from calclib.job.solve import Solved, solve
from calclib.timber import materials
from calclib.trace import Value, break_point, leaves, program, walk, worst_of

LARKSPUR = (Path(__file__).parent.parent / "examples" / "larkspur_house.toml").read_text("utf-8")
# The same opening with a beam of old joist stock, measured: its rows of the tables go by depth.
SAWN = (
    LARKSPUR[: LARKSPUR.index("[beams.opening]")]
    + """[beams.opening]
species = "Douglas fir-larch"
grade = "Select Structural"
plies = 4
setting = "dropped"
size = "2x12"
depth = { value = "11 1/4 in", basis = "measured" }
starts_at = "0 ft"
moisture = "dry"
temperature = "100 F or less"
incised = "no"
unbraced_top = "16 in"
live_limit = "L/360"
total_limit = "L/240"
dead_load_rule = "NDS 3.5.2"
[beams.opening.spans]
opening = "13 ft 6 in"
"""
    + LARKSPUR[LARKSPUR.index("[beams.opening.supports.west]") :]
)


def leaf_of(solved: Solved, id: str) -> Value:
    """Return the leaf with an id, as the graph of the checks holds it."""
    for check in solved.checks:
        for value in leaves(*worst_of(check)):
            if value.id == id:
                return value
    raise AssertionError(f"no check depends on {id}")


def ratio_of(solved: Solved, id: str) -> float:
    """Return the largest ratio that decides a check."""
    check = next(check for check in solved.checks if check.id == id)
    return max(float(np.max(value.number)) for value in worst_of(check))


def with_entry(text: str, entry: str, unit: str) -> Callable[[float], Solved]:
    """Return a whole rerun of the job with another number for one entry."""
    assert text.count(entry) == 1, entry
    key, _, _ = entry.partition("=")

    def rerun(number: float) -> Solved:
        changed = text.replace(entry, f'{key}= "{number:.12f} {unit}"')
        if entry == DEPTH:
            # A measured depth stands beside the stock size that it comes nearest to.
            stock = {5.5: "2x6", 7.25: "2x8", 9.25: "2x10", 11.25: "2x12", 13.25: "2x14"}
            nearest = min(stock, key=lambda depth: abs(depth - number))
            changed = changed.replace('size = "2x12"\ndepth', f'size = "{stock[nearest]}"\ndepth')
        return solve(parse(changed))

    return rerun


def brute_force(rerun: Callable[[float], Solved], check: str, start: float, found: float) -> float:
    """Return where the check turns over, by whole reruns around what is expected."""

    def margin(number: float) -> float:
        return ratio_of(rerun(number), check) - 1.0

    low, high = sorted((found - 0.02 * start, found + 0.02 * start))
    return float(brentq(margin, low, high, xtol=1e-9 * abs(start), rtol=1e-10))


CEILING = (
    'ceiling = { value = "8 psf", basis = "measured", '
    'source = "plaster on wood lath, seen at the light" }'
)
SPAN = 'span = { value = "13 ft 2 in", basis = "measured", source = "tape, first survey" }'
SNOW = (
    'snow = { value = "30 psf", basis = "required by code", '
    'source = "building office, roof snow load" }'
)
DEPTH = 'depth = { value = "11 1/4 in", basis = "measured" }'


@pytest.mark.parametrize(
    ("text", "entry", "unit", "in_base", "id", "check", "direction"),
    [
        (LARKSPUR, CEILING, "psf", 1 / 144, "surfaces.bedroom_floor.layers.ceiling",
         "total_deflection", 1),
        (LARKSPUR, SPAN, "ft", 12.0, "joists.east.span", "total_deflection", 1),
        (LARKSPUR, SPAN, "ft", 12.0, "joists.east.span", "bending", 1),
        # On the way the governing combination changes from D + L to one with snow.
        (LARKSPUR, SNOW, "psf", 1 / 144, "surfaces.roof.snow", "total_deflection", 1),
        # On the way the size factor takes another row of its table.
        (SAWN, DEPTH, "in", 1.0, "beams.opening.depth", "bending", 1),
        (SAWN, DEPTH, "in", 1.0, "beams.opening.depth", "total_deflection", -1),
    ],
)  # fmt: skip
def test_the_break_point_of_an_entry_is_that_of_whole_reruns(
    text: str, entry: str, unit: str, in_base: float, id: str, check: str, direction: int
):
    solved = solve(parse(text))
    leaf, id_of_check = leaf_of(solved, id), f"finished/beams.opening/{check}"
    target = next(c for c in solved.checks if c.id == id_of_check)

    found = break_point(leaf, target, direction)

    assert found.value is not None, found
    rerun = with_entry(text, entry, unit)
    expected = brute_force(rerun, id_of_check, leaf.at() / in_base, found.value / in_base)
    assert found.value / in_base == pytest.approx(expected, rel=1e-6)


def test_the_break_point_of_a_reference_value_is_that_of_whole_reruns(
    monkeypatch: pytest.MonkeyPatch,
):
    solved = solve(parse(SAWN))
    id, check = (
        "nds-2018-4a/Douglas fir-larch/Select Structural/F_b",
        "finished/beams.opening/bending",
    )
    leaf = leaf_of(solved, id)
    target = next(c for c in solved.checks if c.id == check)
    original = materials.table_leaf

    found = break_point(leaf, target, 1 if target.worst > 1 else -1)

    def rerun(number: float) -> Solved:
        def changed(*arguments: object) -> Value:
            made = original(*arguments)
            return replace(made, number=number) if made.id == id else made

        monkeypatch.setattr(materials, "table_leaf", changed)
        return solve(parse(SAWN))

    assert found.value is not None
    assert found.value == pytest.approx(brute_force(rerun, check, leaf.at(), found.value), rel=1e-6)


def test_only_the_affected_part_of_the_graph_runs_again():
    solved = solve(parse(LARKSPUR))
    target = next(c for c in solved.checks if c.id == "finished/beams.opening/bending")

    height = program(leaf_of(solved, "walls.bedroom.height"), worst_of(target))

    calls = {id(value.origin) for value in walk(*worst_of(target))}
    names = {call.function.name.rpartition(".")[2] for call in height.calls}
    assert len(height.calls) < len(calls) / 2
    assert "wall_line_load" in names
    assert "strip_reaction" not in names
    assert "adjusted_bending_value" not in names
