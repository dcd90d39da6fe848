"""Bearing across the grain: printed numbers, the required length, and which wood governs."""

import csv
import math
from pathlib import Path

import numpy as np
import pytest
from hypothesis import assume
from hypothesis import given as draw
from hypothesis import strategies as st
from timber_leaves import given, size

from calclib import published
from calclib.errors import LookupMiss
from calclib.timber.bearing import (
    bearing_area_factor,
    bearing_stress,
    end_seat,
    inner_seat,
    plate,
    required_bearing_length,
    surface,
)
from calclib.timber.checks import bearing_check
from calclib.timber.factors import Service
from calclib.timber.materials import composite, sawn
from calclib.timber.piece import piece

DRY = Service()


def member(species="DF-L", grade="No.1", b=5.5, d=11.5, service=DRY):
    return piece(sawn(species, grade, *size(b, d)), service)


def reaction(*sizes):
    return given(np.array(sizes, dtype=float), "lbf", "R")


def end(l_b):
    return end_seat(given(l_b, "in", "l_b"))


def inner(l_b, l_end):
    return inner_seat(given(l_b, "in", "l_b"), given(l_end, "in", "l_end"))


# ---- worked examples


def test_bearing_of_the_homework_beam_on_a_stud_wall():
    """3150 lb on 5-1/2 by 3-1/2 in: 19.25 in^2, 163.6 psi."""
    # ARC 322 (Cal Poly Pomona) homework key, 2008, HW 21 no. 1; id brg-arc-hw21.
    # The key prints the area; the stress line is cut off in the excerpt.
    assert bearing_stress(3150.0, 5.5, 3.5) == pytest.approx(3150 / 19.25, rel=1e-12)


def test_plate_length_of_the_mechanics_text():
    """20 kip on 6 in at 400 psi: 8.33 in."""
    # F. Beer and E. R. Johnston, Mechanics of Materials, bearing plate problem; id brg-bj-plate.
    assert round(required_bearing_length(20000.0, 6.0, 400.0), 2) == 8.33


def test_rafter_on_a_plate():
    """800 lb on 1-1/2 by 3-1/2 in: 152 psi."""
    # J. Ambrose, Simplified Engineering, wood bearing example; id brg-sim-rafter  # from memory
    assert round(bearing_stress(800.0, 1.5, 3.5)) == 152


@pytest.mark.parametrize("row", published.rows("nds-2018-3-10-4"), ids=lambda row: row.key[0])
def test_bearing_area_factor_is_the_printed_one(row):
    """Within a unit of the second decimal: the table rounds up, and prints 1.10 for 1.094."""
    # NDS 2018 Table 3.10.4; id brg-cb-table  # from memory
    C_b = bearing_area_factor(row.number("l_b_in"), 12.0)

    assert -1e-12 <= row.number("C_b") - C_b < 0.01


# ---- where C_b applies


@pytest.mark.parametrize(
    ("l_b", "l_end", "expected"),
    [
        (1.5, 3.0, 1.25),
        (1.5, 2.99, 1.0),
        (1.5, 0.0, 1.0),
        (6.0, 12.0, 1.0),
        (5.99, 12.0, (5.99 + 0.375) / 5.99),
    ],
)
def test_bearing_area_factor_only_where_the_clause_allows_it(l_b, l_end, expected):
    """Under 6 in long and 3 in or more from the end."""
    # NDS 2018 3.10.4  # from memory
    assert bearing_area_factor(l_b, l_end) == pytest.approx(expected, rel=1e-12)


def test_at_the_end_of_a_member_the_factor_is_one_and_the_check_says_why():
    """Whatever the length."""
    found = bearing_check("x", member(), reaction(5000), end(1.5), None, support_text="steel seat")

    assert found.check.capacity.number == 625
    assert "C_b is 1.0: the bearing is at the member's end (NDS 2018 3.10.4)." in found.check.notes


def test_at_an_inner_support_the_check_says_the_factor():
    """With the two lengths that it comes from."""
    found = bearing_check(
        "x", member(), reaction(5000), inner(1.5, 20.0), None, support_text="steel seat"
    )

    assert found.check.capacity.number == pytest.approx(625 * 1.25)
    assert any(note.startswith("C_b is 1.25: ") for note in found.check.notes)


# ---- the required length


@draw(
    st.floats(200.0, 40000.0),
    st.floats(1.5, 7.0),
    st.booleans(),
    st.sampled_from(["spruce-pine-fir", "hem-fir", "southern pine", None]),
)
def test_the_required_length_makes_the_utilization_exactly_one(R, b, at_end, species):
    """With and without C_b, on a weaker plate and on steel."""
    beam = member(grade="Select Structural", b=min(b, 4.4))
    support = plate(species, DRY) if species else None
    text = "" if species else "steel seat"
    first = end(3.0) if at_end else inner(3.0, 60.0)
    needed = bearing_check("x", beam, reaction(R), first, support, support_text=text)
    length = needed.required_length.at(0)
    assume(length > 0.1)
    again = end(length) if at_end else inner(length, 60.0)

    found = bearing_check("x", beam, reaction(R), again, support, support_text=text)

    assert found.check.ratio.at(0) == pytest.approx(1.0, rel=1e-12)
    assert found.required_without.at(0) >= length


def test_the_longest_case_governs_the_required_length():
    """One length for each case."""
    found = bearing_check(
        "x", member(), reaction(1000, 3000), end(3.5), plate("hem-fir", DRY), ("D", "D + L")
    )

    expected = [1000 / 5.5 / 405, 3000 / 5.5 / 405]
    assert found.required_length.number.tolist() == pytest.approx(expected)
    assert found.check.case_name == "D + L"


# ---- which wood governs


def test_the_weaker_plate_governs_and_the_check_says_so():
    """Spruce-pine-fir under Douglas fir-larch: 425 psi, not 625."""
    # NDS Supplement 2018 Table 4A  # from memory
    found = bearing_check("x", member(), reaction(5000), end(3.5), plate("SPF", DRY, "No.1/No.2"))

    assert found.check.capacity.number == 425
    assert any(
        note.startswith("The support (spruce-pine-fir No.1/No.2) governs: 425 psi")
        for note in found.check.notes
    )


def test_the_weaker_member_governs_and_the_check_says_so():
    """Spruce-pine-fir on a southern pine plate."""
    beam = member("SPF", "No.1/No.2", b=3.5, d=9.25)
    found = bearing_check("x", beam, reaction(5000), end(3.5), plate("southern pine", DRY))

    assert found.check.capacity.number == 425
    assert any(note.startswith("The member (spruce-pine-fir") for note in found.check.notes)


def test_a_plate_of_unknown_grade_takes_the_least_of_its_species():
    """Which is the same in every row of table 4A."""
    # NDS Supplement 2018 Table 4A: hem-fir 405 psi in all grades  # from memory
    assert plate("hem-fir", DRY).F_c_perp.number == 405


def test_a_strange_plate_names_the_near_species():
    """The message helps."""
    with pytest.raises(LookupMiss, match='no species "hemfur"'):
        plate("hemfur", DRY)


def test_an_unknown_support_leaves_the_check_open():
    """Its own capacity was not looked at."""
    found = bearing_check("x", member(), reaction(100), end(3.5), None)

    assert found.check.state == "open"


def test_a_beam_can_bear_on_a_beam():
    """The one below is checked across its grain too, its open questions included."""
    below = surface(piece(composite("2.0E LVL", *size(3.5, 11.875)), DRY))
    found = bearing_check("x", member(), reaction(100), end(3.5), below)

    assert found.check.capacity.number == 625
    assert "evaluation report" in found.check.questions[0]


def test_moisture_weakens_bearing():
    """Wet service takes a third of it."""
    # C_M 0.67: Merritt, Building Design & Construction Handbook, Table 10.6.
    wet = Service("wet")
    found = bearing_check("x", member(service=wet), reaction(100), end(3.5), plate("DF-L", wet))

    assert found.check.capacity.number == pytest.approx(0.67 * 625, rel=1e-12)


def test_an_uplift_in_one_case_does_not_hide_the_pressure_in_another():
    """The case that presses governs."""
    found = bearing_check(
        "x", member(), reaction(-4000, 2000), end(3.5), plate("DF-L", DRY), ("lifts", "presses")
    )

    assert found.check.case_name == "presses"
    assert found.check.state == "passes"


HEADERS = list(
    csv.DictReader(
        (Path(__file__).parent / "data" / "irc_header_spans.csv").read_text("utf-8").splitlines()
    )
)


@pytest.mark.parametrize(
    "row", HEADERS, ids=lambda r: " ".join((r["supports"], r["building_width_ft"], r["plies"],
                                            r["size"]))
)  # fmt: skip
def test_headers_need_the_jack_studs_of_the_code_s_table(row):
    """IRC Table R602.7(2): each jack stud is 1-1/2 in of bearing below the header."""
    # The loads of an interior bearing wall by which the table was made: 50 psf of one floor, two
    # of them and a wall of 120 plf for two. The 120 plf, and 405 psi across the grain, the least
    # of its four species (hem-fir, NDS Supplement Table 4A), are inferred from the table.
    half = float(row["building_width_ft"]) / 2
    w = 50 * half if row["supports"] == "one floor" else 100 * half + 120
    R = w * float(row["span_in"]) / 12 / 2
    b = 1.5 * int(row["plies"])
    least = min(
        plate(species, DRY).F_c_perp.at()
        for species in ("Douglas fir-larch", "hem-fir", "spruce-pine-fir", "southern pine")
    )

    assert least == 405
    assert math.ceil(required_bearing_length(R, b, least) / 1.5) == int(row["jack_studs"])
    # One stud less would be crushed.
    fewer = int(row["jack_studs"]) - 1
    assert fewer == 0 or bearing_stress(R, b, 1.5 * fewer) > least
