"""A second opinion: that it agrees with sound results, and stops the sheet at any wrong one."""

from __future__ import annotations

import os
import random
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from houses import house

from calclib import cli
from calclib.job import field, member
from calclib.job import second_opinion as second_opinion_module
from calclib.job.file import parse, read
from calclib.job.numeric_beam import Push, solve_numerically
from calclib.job.opinion import Contradiction, bound_text
from calclib.job.second_opinion import second_opinion
from calclib.job.solve import solve
from calclib.mechanics import Beam, Line, Point, Support
from calclib.mechanics import solve as solve_exactly
from calclib.sheet.page import render
from calclib.sheet.recheck import recheck
from calclib.timber import bending, deflection
from calclib.trace import Formula, Step

EXAMPLES = Path(__file__).parent.parent / "examples"
LARKSPUR = EXAMPLES / "larkspur_house.toml"
MEMBERS = 400 if os.environ.get("CALCLIB_LONG") else 40
HOUSES = 20 if os.environ.get("CALCLIB_LONG") else 2


def test_a_numerical_solution_gives_the_values_of_the_handbook():
    # Handbook beam tables: three equal spans 0.4, 1.1, 1.1, 0.4 w l; -0.1 w l^2 over the supports.
    three = solve_numerically(300.0, [0.0, 100.0, 200.0, 300.0], 1e8, [[Push(0.0, 300.0, 2.0)]])
    # Point load at midspan: P l / 4, P l^3 / 48 EI; tip of an overhang: -P a, P a^2 (l + a) / 3 EI.
    simple = solve_numerically(100.0, [0.0, 100.0], 1e8, [[Push(50.0, None, 800.0)]])
    tip = solve_numerically(130.0, [0.0, 100.0], 1e8, [[Push(130.0, None, 800.0)]])

    assert three.reactions[0].tolist() == pytest.approx([80.0, 220.0, 220.0, 80.0])
    assert three.moment.min() == pytest.approx(-0.1 * 2.0 * 100.0**2)
    assert simple.moment.max() == pytest.approx(800.0 * 100.0 / 4)
    assert simple.deflection.max() == pytest.approx(800.0 * 100.0**3 / 48 / 1e8)
    assert tip.moment.min() == pytest.approx(-800.0 * 30.0)
    assert tip.deflection[0, -1] == pytest.approx(800.0 * 30.0**2 * 130.0 / 3 / 1e8)


@pytest.mark.parametrize("seed", range(MEMBERS))
def test_a_numerical_solution_agrees_with_the_exact_one_on_random_members(seed: int):
    dice = random.Random(seed)
    marks = [dice.choice([0.0, dice.uniform(5, 60)])]
    for _ in range(dice.choice([1, 1, 2, 3, 5])):
        marks.append(marks[-1] + dice.uniform(20, 200))
    length = marks[-1] + dice.choice([0.0, dice.uniform(5, 60)])
    loads: list[Point | Line] = []
    pushes = []
    for _ in range(dice.randint(1, 8)):
        if dice.random() < 0.5:
            at = dice.choice([dice.uniform(0, length), *marks, 0.0, length])
            size = dice.uniform(-500, 2000)
            loads.append(Point(at, size))
            pushes.append(Push(at, None, size))
        else:
            start, end = sorted([dice.uniform(0, length), dice.uniform(0, length)])
            size = dice.uniform(-10, 40)
            loads.append(Line(start, end, size, size))
            pushes.append(Push(start, end, size))

    theirs = solve_numerically(length, marks, 1e8, [pushes])
    beam = Beam(length=length, supports=[Support(at) for at in marks], EI=1e8)
    ours = solve_exactly(beam, {"load": loads}).curves

    for one, other in (
        (ours.moment(theirs.x), theirs.moment),
        (ours.deflection(theirs.x), theirs.deflection),
        (ours.reactions, theirs.reactions),
    ):
        assert abs(one - other).max() <= 1e-9 * max(abs(one).max(), 1e-9)


@pytest.mark.parametrize("name", ["larkspur_house", "basement_beam", "foxglove_cottage"])
def test_the_results_of_the_examples_are_found_again(name: str):
    opinion = solve(read(EXAMPLES / f"{name}.toml")).opinion

    assert opinion.largest < 1e-9
    ways = [finding.how for finding in opinion.findings]
    assert any("SciPy" in way for way in ways)
    assert any("Pint" in way for way in ways)
    assert all(finding.compared for finding in opinion.findings)
    asked = any("SymPy" in way for way in ways)
    assert asked != any("SymPy" in why for why in opinion.not_asked)


def test_a_member_with_many_loads_says_why_sympy_was_not_asked():
    opinion = solve(read(EXAMPLES / "foxglove_cottage.toml")).opinion

    assert any("carries 16 loads" in why and "up to 10" in why for why in opinion.not_asked)


@pytest.mark.parametrize("seed", range(HOUSES))
def test_the_results_of_a_random_house_are_found_again(seed: int):
    text, _ = house(seed, storeys=1, lines=3, bays=2)

    assert solve(parse(text)).opinion.largest < 1e-9


def wrong(step: Step, monkeypatch: pytest.MonkeyPatch, change: Callable[[Any], Any]) -> None:
    """Let a step of the kit give something else than it found."""
    sound = step.body
    monkeypatch.setattr(step, "body", lambda *given: change(sound(*given)))


def by(share: float, part: int | None = None) -> Callable[[Any], Any]:
    """Return what makes one of several results, or all of them, larger by a share."""
    return lambda found: tuple(
        number * (1 + share) if part in (None, i) else number for i, number in enumerate(found)
    )


FOXGLOVE = EXAMPLES / "foxglove_cottage.toml"


@pytest.mark.parametrize(
    ("file", "step", "change", "names"),
    [
        (LARKSPUR, member.sagging_moment, by(2e-6, 0), "opening beam, largest sagging moment"),
        (LARKSPUR, member.sagging_moment, by(0.05, 1), "sagging moment at its place"),
        (FOXGLOVE, member.hogging_moment, by(-0.001, 0), "largest hogging moment"),
        (LARKSPUR, member.largest_shear, by(-2e-6, 0), "opening beam, largest shear"),
        (LARKSPUR, member.largest_deflection, by(2e-6, 0), "largest deflection at its place"),
        (LARKSPUR, member.largest_deflection, by(-2e-6, 0), "largest deflection"),
        (LARKSPUR, member.deflection_parts, by(1e-5, 0), "parts of the largest deflection"),
        (FOXGLOVE, member.deflection_parts, by(0.3, 2), "place of the largest deflection"),
        (LARKSPUR, member.support_reaction, by(2e-6), "opening beam, reaction 1"),
        (LARKSPUR, member.reactions_by_row, by(2e-6), "opening beam, load by load"),
        (FOXGLOVE, field.strip_reactions, by(2e-6), "a strip of joists"),
    ],
    ids=lambda given: getattr(given, "__name__", ""),
)
def test_a_wrong_result_stops_the_sheet(
    file: Path,
    step: Step,
    change: Callable[[Any], Any],
    names: str,
    monkeypatch: pytest.MonkeyPatch,
):
    wrong(step, monkeypatch, change)

    with pytest.raises(Contradiction, match="no sheet is written") as stopped:
        render(solve(read(file)))

    assert names in str(stopped.value)


def test_a_member_solved_under_less_than_its_load_is_found_in_three_ways(
    monkeypatch: pytest.MonkeyPatch,
):
    def lighter(model: Any) -> Any:
        rows = tuple(replace(row, size=row.size * 0.999) for row in model.rows)
        return sound(replace(model, rows=rows))

    sound = member.solution.body
    monkeypatch.setattr(member.solution, "body", lighter)
    monkeypatch.setattr(second_opinion_module, "MOST_LINES", 1000)

    with pytest.raises(Contradiction) as stopped:
        second_opinion(solve(read(LARKSPUR)))

    said = str(stopped.value)
    assert "opening beam, sum of forces" in said
    assert "three-moment equations by SciPy" in said
    assert "Opening beam, which governs" in said
    assert "SymPy's beam module" in said


def test_a_formula_with_a_wrong_unit_stops_the_sheet(monkeypatch: pytest.MonkeyPatch):
    solved = solve(read(LARKSPUR))
    monkeypatch.setitem(bending.bending_stress.units, "S", "in^2")

    with pytest.raises(Contradiction, match="Bending stress"):
        second_opinion(solved)


def test_a_result_that_its_formula_does_not_give_stops_the_sheet(monkeypatch: pytest.MonkeyPatch):
    formula = deflection.total_deflection
    assert isinstance(formula, Formula)
    sound = formula.run
    monkeypatch.setattr(formula, "run", lambda *given: sound(*given) * 1.001)

    with pytest.raises(Contradiction, match="Every call of a formula"):
        second_opinion(solve(read(LARKSPUR)))


def test_weight_that_is_lost_on_its_way_stops_the_sheet():
    solved = solve(read(LARKSPUR))
    first, *others = solved.flow.handings
    lost = [h for h in (first, *others) if h.taker != "ground"]
    kept = tuple(h for h in solved.flow.handings if h.taker == "ground")
    flow = replace(solved.flow, handings=(*lost, *kept[1:]))

    with pytest.raises(Contradiction, match="Weight in and weight at the ground"):
        second_opinion(replace(solved, flow=flow))


def test_the_command_writes_nothing_when_a_result_is_contradicted(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
):
    output = tmp_path / "out.html"
    output.write_text("the last good sheet", "utf-8")
    wrong(member.support_reaction, monkeypatch, by(0.01))

    code = cli.main(["sheet", str(LARKSPUR), "-o", str(output)])

    assert code == cli.BAD_INPUT
    assert "do not use the numbers" in capsys.readouterr().err
    assert output.read_text("utf-8") == "the last good sheet"


def test_the_command_tells_the_time_and_the_page_does_not(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
):
    output = tmp_path / "out.html"

    cli.main(["sheet", str(LARKSPUR), "-o", str(output)])

    assert "Results found another way in" in capsys.readouterr().out
    page = output.read_text("utf-8")
    assert "The largest difference found here is below 1e-9 of it." in page
    assert recheck(output).is_same


def test_a_difference_just_inside_the_limit_is_told_by_its_power_of_ten(
    monkeypatch: pytest.MonkeyPatch,
):
    wrong(member.support_reaction, monkeypatch, by(5e-7))

    assert bound_text(solve(read(LARKSPUR)).opinion.largest) == "below 1e-6"
