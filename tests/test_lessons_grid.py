"""Every point of a grid is what the beam by itself gives there."""

import random
from pathlib import Path

import numpy as np
import pytest
from houses import house

from calclib.errors import CalcError, LookupMiss, RangeError
from calclib.job.file import parse
from calclib.lessons import opening_study
from calclib.lessons.grid import over_grid
from calclib.mechanics import Beam, Line, Point, Support, solve
from calclib.mechanics.curves import _root, _roots, taylor

EXAMPLES = Path(__file__).parents[1] / "examples"
LARKSPUR = (EXAMPLES / "larkspur_house.toml").read_text("utf-8")
BASEMENT = (EXAMPLES / "basement_beam.toml").read_text("utf-8")
FOXGLOVE = (EXAMPLES / "foxglove_cottage.toml").read_text("utf-8")


def edges(study, key, count):
    setting = study.freedoms[key].setting
    return np.linspace(setting.low, setting.high, count)


def changed(text, *pairs):
    """Return a job with some of its lines changed, each of which must be there."""
    for old, new in pairs:
        assert old in text
        text = text.replace(old, new, 1)
    return text


DROPPED, WEST = 'setting = "dropped"', "[beams.main.supports.west_pocket]"
NOTCH = 'notch_depth = "1 in"\nnotch_face = "tension"'
NAILS = 'ply_nail = "16d common"\nply_nail_spacing = "12 in"\nply_nail_rows = 2\n'
JOBS = {
    "one span": (LARKSPUR, "span"),
    "factored": (changed(LARKSPUR, ('method = "ASD"', 'method = "LRFD"')), "span"),
    "loads near supports left out": (
        changed(BASEMENT, (DROPPED, f'{DROPPED}\nshear_near_supports = "left out"')),
        "span_middle",
    ),
    "notched, its sag limited": (
        changed(
            BASEMENT,
            (WEST, f"{WEST}\n{NOTCH}"),
            ("live_limit = {", 'live_sag = "1/4 in"\nlive_limit = {'),
        ),
        "span_west",
    ),
    "an old house, joist by joist": (FOXGLOVE, "span"),
    "glulam": (
        changed(
            FOXGLOVE,
            ('material = "generic 2.0E-2900Fb LVL"\nplies = 3', 'glulam = "24F-1.8E"\nplies = 1'),
            ('size = "1-3/4 x 11-7/8"', 'size = "5-1/8 x 12"'),
            (NAILS, ""),
        ),
        "span",
    ),
}


@pytest.mark.parametrize("name", JOBS)
def test_each_point_is_a_single_solution(name):
    """A random sample, and the corners; every check with its state."""
    text, x = JOBS[name]
    study = opening_study(parse(text))
    xs, ys = edges(study, x, 9), edges(study, "width", 8)
    dice = random.Random(name)
    points = [(0, 0), (8, 7), (0, 7), (8, 0)]
    points += [(dice.randrange(9), dice.randrange(8)) for _ in range(8)]

    grid = over_grid(study, x, "width", xs, ys)

    kinds = {check.id.split("/")[2].partition(".")[0] for check in grid.checks}
    assert {"notch", "live_sag"} <= kinds if "notch" in name else "notch" not in kinds
    for i, j in points:
        reading = study.at(**{x: xs[i], "width": ys[j]})
        assert [c.id for c in grid.checks] == [line.id for line in reading.checks]
        for line, check in zip(reading.checks, grid.checks, strict=True):
            assert check.used[i, j] == pytest.approx(line.used, rel=1e-9, abs=1e-12)
            assert bool(check.fits[i, j]) == (line.state != "fails")
        assert grid.utilization[i, j] >= reading.governing.used * (1 - 1e-12)
        assert bool(grid.fits[i, j]) == all(line.state != "fails" for line in reading.checks)


@pytest.mark.parametrize("seed", range(3))
def test_a_beam_of_any_house_too(seed):
    """Joists that run on over several supports bring their load by a step, width by width."""
    text, _ = house(seed, storeys=2, lines=4, bays=2)
    job = parse(text)
    studies = (opening_study(job, name) for name in job.of("beams"))
    study = next(found for found in studies if "width" in found.freedoms)
    xs, ys = edges(study, "span", 4), edges(study, "width", 5)

    grid = over_grid(study, "span", "width", xs, ys)

    for i in range(4):
        for j in range(5):
            reading = study.at(span=xs[i], width=ys[j])
            used = [line.used for line in reading.checks]
            assert [c.used[i, j] for c in grid.checks] == pytest.approx(used, rel=1e-9, abs=1e-12)


def test_a_uniform_load_uses_the_printed_share():
    """One point of the grid by hand: M = w l^2 / 8 over S and the value of the wood."""
    study = opening_study(parse(LARKSPUR))
    xs, ys = [162.0, 174.0], [120.0, 149.0]
    grid = over_grid(study, "span", "width", xs, ys)
    reading = study.at(span=174.0, width=149.0)
    bending = next(c for c in grid.checks if c.id.endswith("/bending"))

    # Section modulus b d^2 / 6 of three plies 1-3/4 x 11-7/8 in.
    stress = reading.moment.value / (5.25 * 11.875**2 / 6)

    line = next(line for line in reading.checks if line.id == bending.id)
    assert bending.used[1, 1] == pytest.approx(stress / line.capacity, rel=1e-9)


def test_other_numbers_stay_where_they_are_fixed():
    """Spans that are not on the grid are those of the job, or what is given."""
    study = opening_study(parse(BASEMENT))
    xs, ys = edges(study, "span_west", 3), edges(study, "width", 3)

    grid = over_grid(study, "span_west", "width", xs, ys, span_east="8 ft")

    reading = study.at(span_west=xs[1], width=ys[2], span_east="8 ft")
    assert [c.used[1, 2] for c in grid.checks] == pytest.approx([c.used for c in reading.checks])


def test_more_width_never_asks_less_of_a_beam_on_two_supports():
    study = opening_study(parse(LARKSPUR))

    grid = over_grid(study, "span", "width", edges(study, "span", 20), edges(study, "width", 20))

    assert (np.diff(grid.utilization, axis=1) >= -1e-12).all()
    assert grid.fits.any()
    assert not grid.fits.all()


@pytest.mark.parametrize(
    ("x", "y", "xs", "fixed", "error", "reason"),
    [
        ("spam", "width", [150.0], {}, LookupMiss, 'got "spam". Did you mean "span"'),
        ("span", "width", [15.0], {}, RangeError, "clear span: needs something from 6 ft 0 in"),
        ("span", "width", [150.0], {"depth": "1 ft"}, LookupMiss, "one of span, width"),
        ("width", "span", [120.0], {}, CalcError, "needs a number that moves no load"),
    ],
)
def test_a_grid_that_makes_no_sense_is_refused(x, y, xs, fixed, error, reason):
    study = opening_study(parse(LARKSPUR))

    with pytest.raises(error, match=reason):
        over_grid(study, x, y, xs, [120.0, 130.0], **fixed)


def test_zeros_found_together_are_those_found_one_by_one():
    """To the last bit, on polynomials of random size."""
    dice = np.random.default_rng(3)
    size = np.array([1.0, 1.0, 0.1, 0.01, 0.001])[:, None]
    derivatives = dice.normal(size=(5, 400)) * size
    low, high = np.zeros(400), dice.uniform(1.0, 100.0, 400)
    unlike = taylor(derivatives, 1, low) * taylor(derivatives, 1, high) < 0
    derivatives, low, high = derivatives[:, unlike], low[unlike], high[unlike]

    together = _roots(derivatives, 1, low.copy(), high.copy())

    alone = [
        _root(column.tolist(), 1, float(a), float(b))
        for column, a, b in zip(derivatives.T, low, high, strict=True)
    ]
    assert len(alone) > 100
    assert together.tolist() == alone


def test_extremes_of_many_combinations_are_those_of_each():
    """So many that their zeros are found together."""
    beam = Beam(length=200.0, supports=[Support(0.0), Support(90.0), Support(200.0)], EI=1e8)
    solved = solve(beam, {"a": [Line(0, 90, 5, 9)], "b": [Line(90, 200, 7, 7), Point(40.0, 300.0)]})
    factors = np.random.default_rng(5).uniform(0.1, 2.0, (60, 2))

    many = solved.combine(factors)

    for row in (0, 17, 59):
        one = solved.combine(factors[row : row + 1])
        for name in ("moment_extremes", "shear_extremes", "deflection_extremes"):
            for part in ("highest", "highest_at", "lowest", "lowest_at"):
                assert getattr(getattr(many, name), part)[row].tolist() == pytest.approx(
                    getattr(getattr(one, name), part)[0].tolist(), rel=1e-12, abs=1e-12
                )
