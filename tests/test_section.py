"""Section properties against printed tables, and what they do when a size changes."""

import csv
from pathlib import Path

import pytest
from hypothesis import given as draw
from hypothesis import strategies as st

from calclib.errors import RangeError
from calclib.mechanics.section import (
    area,
    deflection_at_stiffness,
    flexural_stiffness,
    moment_of_inertia,
    section_modulus,
    total_width,
    weight_per_length,
)
from calclib.timber.dimensions import design_span, wood_density
from calclib.units import ft, inch, lbf, pcf, plf

DATA = Path(__file__).parent / "data" / "section_properties.csv"
# Each row of the file names its source.
ROWS = list(csv.DictReader(DATA.read_text(encoding="utf-8").splitlines()))
SIDES = st.floats(0.5, 30.0)


def half_step(printed):
    """Return half a unit of the last digit of a printed number of up to four digits."""
    digits = printed.lstrip("0.").replace(".", "")
    decimals = len(printed.partition(".")[2])
    # The table prints four significant digits: zeros at the end of a whole number may be filling.
    filling = len(digits) - 4 if decimals == 0 and len(digits) > 4 else 0
    return 0.5 * 10.0 ** (filling - decimals)


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row['product']}-{row['size']}")
def test_section_properties_are_the_printed_ones(row):
    """Area, section modulus and moment of inertia round to what the tables print."""
    b, d = float(row["b_in"]), float(row["d_in"])
    found = {
        "A_in2": area(b, d),
        "S_xx_in3": section_modulus(b, d),
        "I_xx_in4": moment_of_inertia(b, d),
        "S_yy_in3": section_modulus(d, b),
        "I_yy_in4": moment_of_inertia(d, b),
    }

    for column, number in found.items():
        if row[column]:
            slack = 1e-9 * number
            assert abs(number - float(row[column])) <= half_step(row[column]) + slack, column


@draw(SIDES, SIDES)
def test_section_modulus_is_the_moment_of_inertia_over_half_the_depth(b, d):
    """S = I / (d / 2), whatever the size."""
    assert section_modulus(b, d) == pytest.approx(moment_of_inertia(b, d) / (d / 2), rel=1e-12)


@draw(SIDES, SIDES)
def test_twice_the_depth_is_four_times_the_modulus_and_eight_times_the_inertia(b, d):
    """The law of squares and cubes."""
    assert section_modulus(b, 2 * d) == pytest.approx(4 * section_modulus(b, d), rel=1e-12)
    assert moment_of_inertia(b, 2 * d) == pytest.approx(8 * moment_of_inertia(b, d), rel=1e-12)


def test_plies_side_by_side_are_as_stiff_as_one_piece_of_their_breadth():
    """Three plies of 1-3/4 in are 5-1/4 in wide."""
    # Stock widths of laminated veneer lumber are multiples of 1-3/4 in.
    assert total_width(3, 1.75) == 5.25


def test_stiffness_is_the_product_of_modulus_and_inertia():
    """A 6x18 of E 1,600,000 psi has the stiffness of the homework key's beam."""
    # ARC 322 (Cal Poly Pomona) homework key, 2008, HW 20 no. 1: E 1.6e6 psi, I 2456 in^4.
    EI = flexural_stiffness(1.6e6, moment_of_inertia(5.5, 17.5))

    assert EI == pytest.approx(1.6e6 * 2456, rel=2e-4)


def test_deflection_falls_with_stiffness():
    """Twice the stiffness, half the deflection."""
    assert deflection_at_stiffness(1e9, 2e9) == deflection_at_stiffness(1e9, 1e9) / 2


def test_span_reaches_to_the_middle_of_each_bearing():
    """A clear span of 13 ft 6 in between bearings of 3-1/2 in and 5-1/2 in."""
    # NDS 2018 3.2.1 in words: clear span plus half the bearing length at each end.
    assert design_span(13.5 * ft, 3.5 * inch, 5.5 * inch) == 13.5 * ft + 4.5 * inch


def test_bone_dry_wood_weighs_its_specific_gravity_of_water():
    """At no moisture the density is G times 62.4 pcf."""
    # Fresh water weighs 62.4 lb per cubic foot.
    assert wood_density(0.5, 0.0) / pcf == pytest.approx(31.2, rel=1e-12)


def test_density_of_douglas_fir_at_nineteen_percent_moisture():
    """G 0.50 at 19 % moisture weighs 34.2 pcf by the equation worked by hand."""
    # regression, no source: 62.4 x 0.5 / 1.0855 x 1.19 by hand.
    assert wood_density(0.5, 19.0) / pcf == pytest.approx(34.2036, abs=1e-4)


@draw(st.floats(0.3, 0.8), st.floats(0.0, 29.0))
def test_density_grows_with_moisture(G, m_c):
    """Water weighs more than the swelling that it brings."""
    assert wood_density(G, m_c + 1.0) > wood_density(G, m_c)


def test_weight_of_a_piece_is_density_times_area():
    """A section of one square foot of water weighs 62.4 pounds per foot."""
    assert weight_per_length(62.4 * pcf, area(12.0, 12.0)) / plf == pytest.approx(62.4, rel=1e-12)
    assert weight_per_length(62.4 * pcf, 144.0) * 12 * inch == pytest.approx(62.4 * lbf)


@pytest.mark.parametrize("b", [0.0, -1.5, float("nan")])
def test_a_section_without_breadth_is_refused(b):
    """The message says what was needed and what came."""
    with pytest.raises(RangeError, match=r"Section modulus.*b needs to be above 0"):
        section_modulus(b, 9.25)


def test_moisture_beyond_the_fiber_saturation_is_refused():
    """The equation does not hold above 30 %."""
    with pytest.raises(RangeError, match="m_c needs to be at least 0 and at most 30"):
        wood_density(0.5, 45.0)
