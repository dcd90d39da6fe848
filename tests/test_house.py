"""What lands on a beam and what it hands on, by hand arithmetic and published coefficients."""

from __future__ import annotations

from pathlib import Path

import pytest

from calclib.errors import InputError
from calclib.job.file import parse
from calclib.job.member import LoadRow
from calclib.job.solve import Solved, solve
from calclib.loads.combinations import Group, case_set, patterns
from calclib.units import ft, inch, lbf, plf

EXAMPLES = Path(__file__).parent.parent / "examples"
LARKSPUR = (EXAMPLES / "larkspur_house.toml").read_text("utf-8")
BASEMENT = (EXAMPLES / "basement_beam.toml").read_text("utf-8")
FOXGLOVE = (EXAMPLES / "foxglove_cottage.toml").read_text("utf-8")

CONTINUOUS = """
[joists.through]
surface = "bedroom_floor"
rests_on = ["walls.west", "beams.opening", "walls.east"]
over_supports = "OVER"
along = "whole"
size = "2x10"
spacing = "16 in"
[joists.through.spans]
west = "12 ft"
east = "12 ft"
"""


def larkspur_with(joists: str) -> Solved:
    """Solve the example with other joists in place of its own."""
    head, rest = LARKSPUR.split("[joists.east]")
    return solve(parse(head + joists + rest[rest.index("[rafters.north]") :]))


def rows_on_beam(solved: Solved, origin: str, source: str) -> list[LoadRow]:
    (beam,) = solved.beams
    return [row for row in beam.model.rows if row.origin == origin and row.source == source]


def test_simple_joists_put_half_their_load_on_the_beam():
    solved = solve(parse(LARKSPUR))

    (dead,) = rows_on_beam(solved, "joists.east", "D")
    (live,) = rows_on_beam(solved, "joists.east", "L")
    # (4 + 2.3 + 2.6 + 8) psf x 13 ft 2 in / 2, and 30 psf x 13 ft 2 in / 2.
    assert dead.size.at() == pytest.approx(16.9 * (13 + 2 / 12) / 2 * plf)
    assert live.size.at() == pytest.approx(30 * (13 + 2 / 12) / 2 * plf)


def test_joists_that_run_through_put_a_quarter_more_on_the_beam():
    through = larkspur_with(CONTINUOUS.replace("OVER", "continuous"))
    cut = larkspur_with(CONTINUOUS.replace("OVER", "simple"))

    # Two equal spans under uniform load: the middle reaction is 5/4 wl (Hicks, Civil
    # Engineering Formulas, Table 2.1), against wl for two simple spans.
    (dead,) = rows_on_beam(through, "joists.through", "D")
    simple = rows_on_beam(cut, "joists.through", "D")
    assert dead.size.at() == pytest.approx(5 / 4 * 16.9 * 12 * plf)
    assert sum(row.size.at() for row in simple) == pytest.approx(16.9 * 12 * plf)


def test_live_load_of_joists_that_run_through_keeps_its_spans_apart():
    through = larkspur_with(CONTINUOUS.replace("OVER", "continuous"))

    live = rows_on_beam(through, "joists.through", "L")
    # One of two equal spans loaded: the middle reaction is 5/8 wl (AWC Design Aid 6, case 26).
    assert [row.size.at() for row in live] == pytest.approx([5 / 8 * 30 * 12 * plf] * 2)
    # The far support of the loaded span's neighbor is lifted by wl/16 (the same case).
    lifted = [row for row in through.landed["ground"] if row.source == "L"]
    assert min(row.size.at() for row in lifted) == pytest.approx(-30 * 12 / 16 * plf)


def test_a_wall_hands_its_own_weight_and_what_it_carries_to_the_beam():
    solved = solve(parse(LARKSPUR))

    (weight,) = rows_on_beam(solved, "walls.bedroom", "D")
    (snow,) = rows_on_beam(solved, "rafters.north", "S")
    # 8 psf x 8 ft; 30 psf x 6 ft 7 in / 2; from 5 ft, and half of a 3-1/2 in bearing.
    assert weight.size.at() == pytest.approx(64 * plf)
    assert snow.size.at() == pytest.approx(30 * (6 + 7 / 12) / 2 * plf)
    assert weight.start.at() == pytest.approx(5 * ft + 1.75 * inch)


def test_the_span_runs_from_center_to_center_of_the_bearings():
    (beam,) = solve(parse(LARKSPUR)).beams

    assert [span.at() for span in beam.spans] == pytest.approx([13.5 * ft + 3.5 * inch])


@pytest.mark.parametrize("text", [LARKSPUR, BASEMENT], ids=["larkspur", "basement"])
def test_what_lands_on_a_beam_reaches_its_supports_source_by_source(text: str):
    (beam,) = solve(parse(text)).beams
    length = beam.model.supports[-1].at()

    for source in {row.source for row in beam.model.rows}:
        given = 0.0
        for row in beam.model.rows:
            if row.source == source:
                start = 0.0 if row.start is None else row.start.at()
                end = length if row.end is None else row.end.at()
                given += row.size.at() * (1.0 if row.is_point else end - start)
        handed = sum(
            on.at() for share in beam.shares if share.row.source == source for on in share.on
        )
        assert handed == pytest.approx(given, rel=1e-9)


def test_shares_by_origin_add_up_to_the_reaction_of_the_solution():
    (beam,) = solve(parse(LARKSPUR)).beams
    case = beam.strength.names.index("D + L")

    for place, reaction in enumerate(beam.reactions):
        by_origin = sum(
            share.on[place].at() for share in beam.shares if share.row.source in ("D", "L")
        )
        assert by_origin == pytest.approx(reaction.at(case), rel=1e-9)


def test_a_post_is_given_no_less_than_the_worst_reaction_of_its_beam():
    solved = solve(parse(BASEMENT))
    (beam,) = solved.beams

    for post, place in (("posts.column_1", 1), ("posts.column_2", 2)):
        check = next(c for c in solved.checks if c.id == f"finished/{post}/axial")
        assert check.state == "passes"
        # 6x6: 30.25 in^2.
        worst = beam.reactions[place].number.max() / 30.25
        assert check.demand.number.max() >= worst * (1 - 1e-12)


def test_the_patterns_of_three_spans_are_those_that_govern():
    found = set(patterns(3))

    # Largest in the end spans, the middle span, at the first and at the second inner support
    # (AISC continuous-beam diagrams, three equal spans; from memory).
    assert {(0, 2), (1,), (0, 1), (1, 2), (0, 1, 2)} <= found


def test_a_combination_without_any_load_of_the_member_takes_no_part():
    floor_only = case_set("ASCE 7-16", [Group("D"), Group("L")], ["a"])
    with_snow = case_set("ASCE 7-16", [Group("D"), Group("L"), Group("S")], ["a"])

    assert floor_only.names == ("D", "D + L")
    assert with_snow.names == ("D", "D + L", "D + S", "D + 0.75L + 0.75S")


def test_snow_of_the_later_maps_goes_with_its_factor():
    later = case_set("ASCE 7-22", [Group("D"), Group("S")], ["a"])

    # ASCE 7-22 2.4.1: 0.7 S, for its maps give a strength-level load (from memory).
    assert [factor.at(1) for factor in later.factors] == [1.0, 0.7]


def test_each_combination_has_the_duration_of_its_shortest_load():
    (beam,) = solve(parse(LARKSPUR)).beams
    bending = next(check for check in beam.checks if check.id.endswith("/bending"))

    factors = next(value for value in _chain(bending.capacity) if value.symbol == "C_D").number
    # NDS 2018 Table 2.3.2: dead 0.9, occupancy live 1.0, snow 1.15, roof live 1.25.
    assert dict(zip(bending.cases, factors, strict=True)) == {
        "D": 0.9, "D + L": 1.0, "D + Lr": 1.25, "D + S": 1.15,
        "D + 0.75L + 0.75Lr": 1.25, "D + 0.75L + 0.75S": 1.15,
    }  # fmt: skip


def _chain(value):  # type: ignore[no-untyped-def]
    from calclib.trace import walk

    return [item for item in walk(value) if getattr(item.number, "ndim", 0)]


def test_a_support_that_live_load_lifts_more_than_dead_load_holds_fails():
    # A short span beside a long one, with next to no dead load on it.
    text = BASEMENT.replace('west = { value = "7 ft 2 in"', 'west = { value = "3 ft 0 in"')
    text = text.replace('middle = { value = "7 ft 8 in"', 'middle = { value = "13 ft 8 in"')

    solved = solve(parse(text))

    uplift = next(c for c in solved.checks if c.id == "finished/beams.main/uplift.west_pocket")
    assert uplift.state == "fails"
    assert uplift.demand.at(uplift.case) > 1 * lbf


def test_a_beam_that_lost_a_support_is_not_checked_as_if_it_had_it():
    """The girder of Foxglove cottage without one of its columns spans twice as far as entered."""
    text = FOXGLOVE.replace("[posts.column_1]\n", '[posts.column_1]\nstands = "removed"\n')
    assert text != FOXGLOVE

    with pytest.raises(InputError) as refused:
        solve(parse(text))

    said = str(refused.value)
    assert "beams.girder: needs a path to the ground (finished)" in said
    assert "got support on posts.column_1, which does not stand then" in said
    assert "a new beam without that support" in said
