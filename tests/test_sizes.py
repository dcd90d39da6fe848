"""Stock sizes for a beam of the job: the same numbers as one by one, in the order asked for."""

from __future__ import annotations

from pathlib import Path

import pytest

from calclib.errors import InputError
from calclib.job import sizes
from calclib.job.file import parse
from calclib.job.solve import solve

EXAMPLES = Path(__file__).parent.parent / "examples"
LARKSPUR = (EXAMPLES / "larkspur_house.toml").read_text("utf-8")
BASEMENT = (EXAMPLES / "basement_beam.toml").read_text("utf-8")
FOXGLOVE = (EXAMPLES / "foxglove_cottage.toml").read_text("utf-8")


# What lies below, and what joins it, is not the beam's own.
NOT_ITS_OWN = ("uplift", "ply_nails", "twist", "seat", "blocks", "cap", "ends", "plate_tie")


def worst_of_beam(text: str, beam: str) -> float:
    """Return the largest utilization of a beam's own checks, solved by itself."""

    found = [
        float(ratio.max() if getattr(ratio, "ndim", 0) else ratio)
        for check in solve(parse(text)).checks
        if check.id.startswith(f"finished/{beam}/")
        and check.ratio is not None
        and not any(word in check.id for word in NOT_ITS_OWN)
        for ratio in (r.number for r in (check.ratio, *(c.ratio for c in check.conditions)))
    ]
    return max(found)


@pytest.mark.parametrize(("size", "plies"), [("2x8", 3), ("2x10", 3), ("2x12", 2), ("2x12", 4)])
def test_a_candidate_fares_as_the_job_with_that_size(size, plies):
    found = {(c.size, c.plies): c for c in sizes.choose(solve(parse(BASEMENT)).flow, "beams.main")}
    text = BASEMENT.replace('plies = 3\nsetting = "dropped"\nsize = "2x10"',
                            f'plies = {plies}\nsetting = "dropped"\nsize = "{size}"')  # fmt: skip

    assert found[size, plies].utilization == pytest.approx(
        worst_of_beam(text, "beams.main"), rel=1e-9
    )


def test_composite_lumber_by_a_report_comes_in_its_stock_depths():
    found = {
        (c.size, c.plies): c for c in sizes.choose(solve(parse(LARKSPUR)).flow, "beams.opening")
    }
    text = LARKSPUR.replace('size = "1-3/4 x 11-7/8"', 'size = "1-3/4 x 14"')
    text = text.replace("plies = 3", "plies = 2")

    assert found["1-3/4 x 14", 2].utilization == pytest.approx(
        worst_of_beam(text, "beams.opening"), rel=1e-9
    )


def test_factored_design_and_joists_one_by_one_count_too():
    text = FOXGLOVE.replace('method = "ASD"', 'method = "LRFD"')
    found = {(c.size, c.plies): c for c in sizes.choose(solve(parse(text)).flow, "beams.opening")}

    assert found["1-3/4 x 11-7/8", 3].utilization == pytest.approx(
        worst_of_beam(text, "beams.opening"), rel=1e-9
    )


@pytest.mark.parametrize("order", sizes.ORDERS)
def test_candidates_come_in_the_order_asked_for(order):
    found = sizes.choose(solve(parse(BASEMENT)).flow, "beams.main", order)

    key = [getattr(c, order) for c in found]
    assert key == sorted(key)
    assert any(c.is_adequate for c in found)
    assert not all(c.is_adequate for c in found)


def test_deeper_and_more_plies_never_carry_less():
    found = {
        (c.size, c.plies): c.utilization
        for c in sizes.choose(solve(parse(BASEMENT)).flow, "beams.main")
    }

    for size in ("2x8", "2x10", "2x12"):
        assert found[size, 3] <= found[size, 2]


def test_a_beam_that_is_not_there_and_an_order_that_is_none_are_refused():
    flow = solve(parse(BASEMENT)).flow

    with pytest.raises(InputError, match=r"needs a beam of the house, got \"beams.man\""):
        sizes.choose(flow, "beams.man")
    with pytest.raises(InputError, match=r"Write one of: depth, weight, plies"):
        sizes.choose(flow, "beams.main", "price")


def test_the_table_says_what_it_does_not_know():
    text = sizes.as_table(sizes.choose(solve(parse(BASEMENT)).flow, "beams.main"), False)

    assert "stock sizes carry it" in text
    assert "an engineer reviews the choice" in text
