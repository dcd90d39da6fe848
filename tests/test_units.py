"""The unit table against Pint and the published conversions; what people write and read."""

import math
import pickle
import subprocess
import sys
from pathlib import Path

import numpy as np
import pint
import pytest
from hypothesis import assume, example, given
from hypothesis import strategies as st

import calclib
from calclib import units
from calclib.errors import RangeError, UnitError
from calclib.units import (
    UNITS,
    dimension,
    factor,
    feet_inches,
    from_quantity,
    in_inches,
    label,
    metric_length,
    parse,
    pint_name,
    quantity,
    registry,
    show,
    show_length,
    show_number,
    si_unit,
)

# What each name means in the trade, spelled out in the names of the general library.
MEANING = {
    "in": "inch",
    "ft": "foot",
    "mm": "millimeter",
    "cm": "centimeter",
    "m": "meter",
    "lbf": "force_pound",
    "kip": "1000 * force_pound",
    "N": "newton",
    "kN": "kilonewton",
    "plf": "force_pound / foot",
    "klf": "1000 * force_pound / foot",
    "pli": "force_pound / inch",
    "psi": "force_pound / inch ** 2",
    "ksi": "1000 * force_pound / inch ** 2",
    "psf": "force_pound / foot ** 2",
    "ksf": "1000 * force_pound / foot ** 2",
    "Pa": "pascal",
    "kPa": "kilopascal",
    "MPa": "megapascal",
    "GPa": "gigapascal",
    "pcf": "force_pound / foot ** 3",
    "deg": "degree",
    "%": "0.01",
}
COMPOUNDS = (
    "in^2", "ft^2", "mm^2", "m^2", "in^3", "in^4", "mm^4", "lbf*in", "lbf*ft", "kip*ft", "kN*m",
    "lbf*in^2", "lbf*in^3", "kN*m^2", "lbf/in", "lbf/ft", "N/mm", "kN/m", "lbf/in^2", "N/mm^2",
    "kN/m^3", "1/in", "1/ft", "1/m", "psf*ft", "psi*in^2", "plf*ft^2",
)  # fmt: skip


def test_every_unit_has_a_meaning_to_be_proven():
    """The list of meanings in this file leaves out no unit."""
    assert set(MEANING) == set(UNITS)


@pytest.mark.parametrize("name", UNITS)
def test_table_and_pint_agree_on_what_a_unit_is(name):
    """Pint's unit of our name is what the trade means, and as large as the table says."""
    pint_unit = registry().Quantity(1.0, pint_name(name))
    meant = pint.Quantity(MEANING[name])
    force, length = dimension(name)
    base = registry().Quantity(1.0, f"force_pound ** {force} * inch ** {length}")

    assert pint_unit.check(meant.dimensionality)
    assert (pint_unit / meant).m_as("") == pytest.approx(1.0, rel=1e-14)
    assert (pint_unit / base).m_as("") == pytest.approx(factor(name), rel=1e-14)


@pytest.mark.parametrize("unit", COMPOUNDS)
def test_table_and_pint_agree_on_a_compound_unit(unit):
    """A compound unit has the same size and dimension here and in Pint."""
    force, length = dimension(unit)

    in_base = quantity(1.0, unit).m_as(f"force_pound ** {force} * inch ** {length}")

    assert in_base == pytest.approx(1.0, rel=1e-13)


def test_no_name_of_ours_is_a_prefix_and_a_unit_to_pint():
    """A line load in pounds per inch is no picolink, a square-foot load no picofoot."""
    for name in UNITS:
        force, length = dimension(name)

        assert (
            registry().Unit(pint_name(name)).dimensionality
            == (
                registry().Unit("newton") ** force * registry().Unit("meter") ** length
            ).dimensionality
        )


# NIST SP 811 (2008), Appendix B.8, as printed there to seven digits (exact ones in full);
# from memory.
@pytest.mark.parametrize(
    ("unit", "si", "printed"),
    [
        ("in", "mm", 25.4),
        ("ft", "m", 0.3048),
        ("in^2", "mm^2", 645.16),
        ("ft^2", "m^2", 0.09290304),
        ("in^3", "mm^3", 1.638706e4),
        ("in^4", "mm^4", 4.162314e5),
        ("lbf", "N", 4.448222),
        ("kip", "N", 4.448222e3),
        ("plf", "N/m", 14.59390),
        ("pli", "N/m", 175.1268),
        ("psi", "Pa", 6.894757e3),
        ("ksi", "Pa", 6.894757e6),
        ("psf", "Pa", 47.88026),
        ("lbf*ft", "N*m", 1.355818),
        ("lbf*in", "N*m", 0.1129848),
    ],
)
def test_conversion_to_si_is_the_published_one(unit, si, printed):
    """One unit in SI agrees with the guide of the national standards institute."""
    # Half of the seventh printed digit is 5e-7 of the number at most.
    assert factor(unit) / factor(si) == pytest.approx(printed, rel=5e-7)


def test_inch_and_pound_are_exact():
    """An inch is 25.4 mm and a pound of force 4.4482216152605 N, to the last bit."""
    # NIST SP 811 (2008), B.6 and footnotes, from memory; scipy.constants has the same.
    from scipy import constants

    assert parse("25.4 mm", "in") == 1.0 == constants.inch / 0.0254
    assert parse("4.4482216152605 N", "lbf") == 1.0
    assert factor("lbf") / factor("N") == pytest.approx(constants.pound_force, rel=1e-15)
    assert factor("psi") / factor("Pa") == pytest.approx(constants.psi, rel=1e-15)


@pytest.mark.parametrize("name", sorted(set(UNITS) - {"in", "%"}))
def test_constant_of_a_unit_is_its_factor(name):
    """`psf` in code and "psf" in text are the same number, a plain float."""
    constant = getattr(units, name)

    assert type(constant) is float
    assert constant == factor(name)


def test_every_float_of_the_module_is_a_unit():
    """A formula may use any float of the module as a unit, so none of them is something else."""
    floats = {name for name in dir(units) if isinstance(getattr(units, name), float)}

    assert floats == set(UNITS) - {"in", "%"} | {"inch"}
    assert units.inch == 1.0


@pytest.mark.parametrize(
    ("unit", "printed"),
    [
        ("psi", "psi"),
        ("lbf*ft", "lbf·ft"),
        ("in^3", "in³"),
        ("lbf*in^2", "lbf·in²"),
        ("lbf/in^2", "lbf/in²"),
        ("1/in", "1/in"),
        ("1/in^2", "1/in²"),
        ("", ""),
        ("deg", "°"),
        ("%", "%"),
    ],
)
def test_label_is_set_like_a_textbook(unit, printed):
    """Products take a raised dot, powers are raised."""
    assert label(unit) == printed


@pytest.mark.parametrize(
    ("unit", "advice"),
    [
        ("psg", 'Did you mean "psi"'),
        ("lb", 'Did you mean "lbf"'),
        ("Psi", 'Did you mean "psi"'),
        ("furlong", "needs names of known units"),
        ("lbf in", "joined by"),
        ("lbf**2", "joined by"),
        ("lbf/in/in", "joined by"),
        ("in^-2", "joined by"),
        ("in^10", "joined by"),
        ("/in", "joined by"),
        ("*", "joined by"),
        ("1", "joined by"),
        ("2*in", "joined by"),
    ],
)
def test_declared_unit_that_is_not_known_is_refused(unit, advice):
    """A slip in a declaration is named, with what a right one looks like."""
    with pytest.raises(UnitError, match=advice):
        factor(unit)


def test_import_of_units_costs_neither_pint_nor_numpy():
    """Reading a job file does not pay for the big libraries."""
    code = "import sys, calclib.units; sys.exit(bool({'pint', 'numpy'} & set(sys.modules)))"

    done = subprocess.run([sys.executable, "-c", code], check=False)

    assert done.returncode == 0


def test_registry_is_the_one_of_the_application():
    """A quantity made by a user's own Pint and one of ours can be added."""
    total = pint.Quantity(1.0, "ft") + quantity(6.0, "in")

    assert total.m_as("in") == pytest.approx(18.0)


def test_library_makes_no_second_registry():
    """Quantities of two registries cannot be added, and compare as equal without a word."""
    sources = list(Path(calclib.__file__).parent.rglob("*.py"))

    assert sources
    assert [path for path in sources if "UnitRegistry(" in path.read_text("utf-8")] == []


def test_registry_that_the_user_sets_later_knows_our_units():
    """Setting another application registry does not lose psf."""
    ours = pint.get_application_registry().get()
    registry()
    try:
        pint.set_application_registry(pint.UnitRegistry())

        assert registry().Quantity(144.0, "psf").m_as("psi") == pytest.approx(1.0)
    finally:
        pint.set_application_registry(ours)


def test_quantity_survives_pickling():
    """A quantity sent to another process comes back as it was."""
    snow = quantity(40 * units.psf, "psf")

    assert pickle.loads(pickle.dumps(snow)) == snow


def test_quantity_shows_itself_with_the_force_first():
    """A notebook shows lbf·ft, not ft·lbf, and short names."""
    assert str(quantity(24.0, "lbf*ft")) == "2.0 lbf·ft"
    assert f"{quantity(40.0, 'psi'):.1f~P}" == "40.0 psi"


def test_quantity_of_an_array_keeps_its_shape():
    """An array in base units becomes an array in the unit."""
    spans = quantity(np.array([12.0, 24.0]), "ft")

    assert spans.m_as("ft").tolist() == [1.0, 2.0]


@given(st.floats(-1e6, 1e6), st.sampled_from([*UNITS, *COMPOUNDS]))
def test_number_comes_back_from_its_quantity(number, unit):
    """From base units to Pint and back nothing is lost."""
    assert from_quantity(quantity(number, unit), unit) == pytest.approx(number, rel=1e-12)


def test_mass_is_not_taken_for_a_force():
    """Pint's lb is a mass: 40 lb/ft2 of it is no load."""
    mass = registry().Quantity(40.0, "lb/ft**2")

    with pytest.raises(UnitError, match="Pint's lb is a mass"):
        from_quantity(mass, "psf")


def test_plain_number_is_not_taken_for_a_quantity():
    """A number without a unit is refused where a quantity is needed."""
    with pytest.raises(UnitError, match=r"snow: needs a quantity .* in psf, got the number 40"):
        from_quantity(40.0, "psf", where="snow")


@pytest.mark.parametrize(
    ("text", "inches"),
    [
        ("12 ft 6 3/8 in", 150.375),
        ("12'-6 3/8\"", 150.375),
        ("12'-6-3/8\"", 150.375),
        ("12' 6\"", 150),
        ("12'6\"", 150),
        ("12' - 6\"", 150),
        ("12ft6in", 150),
        ("12 feet 6 inches", 150),
        ("12 ft. 6 in.", 150),
        ("12 ft 6.25 in", 150.25),
        ("12 ft 0 3/8 in", 144.375),
        ("12' 3/8\"", 144.375),
        ("12 ft", 144),
        ("12'", 144),
        ("1 foot", 12),
        ("12 1/2 ft", 150),
        ("150 3/8 in", 150.375),
        ("1,150 3/8 in", 1150.375),
        ("1-1/2 in", 1.5),
        ("3.5 in", 3.5),
        (".5 in", 0.5),
        ("1/2 in", 0.5),
        ('6"', 6),
        ("1 inch", 1),
        ("6½ in", 6.5),
        ("6 ½″", 6.5),
        ("½ in", 0.5),
        ("12′-6⅜″", 150.375),
        ("12’ 6”", 150),
        ("12 ft 6 3⁄8 in", 150.375),
        ("12\u00a0ft 6\u00a0in", 150),
        ("12'\u20106\"", 150),
        ("-1 ft 6 in", -18),
        ("\u22121/2 in", -0.5),
        ("+5 ft", 60),
        (" 5 ft ", 60),
        ("0 in", 0),
        # 1 in = 25.4 mm, NIST SP 811; 88.9 = 3.5 x 25.4 and so on.
        ("88.9 mm", 3.5),
        ("4,013.2 mm", 158),
        ("4.0132 m", 158),
        ("254 cm", 100),
    ],
)
def test_length_is_read_as_carpenters_write_it(text, inches):
    """Feet, inches, fractions, marks and millimeters, from keyboard and typesetter."""
    assert parse(text, "ft") == inches


@pytest.mark.parametrize(
    ("text", "unit", "meant"),
    [
        ("40 psf", "psf", 40 / 144),
        ("40psf", "psi", 40 / 144),
        ("1,200 lbf", "kip", 1200),
        ("1200 lb", "lbf", 1200),
        ("1200 lbs", "lbf", 1200),
        ("2 kip", "lbf", 2000),
        ("2 kips", "lbf", 2000),
        ("1.6e6 psi", "psi", 1_600_000),
        ("1.6E+6 psi", "psi", 1_600_000),
        ("1,600 ksi", "psi", 1_600_000),
        ("120 plf", "plf", 10),
        ("120 lb/ft", "plf", 10),
        ("120 lbs/ft", "plf", 10),
        ("10 lb / in", "plf", 10),
        ("40 lb/ft^2", "psf", 40 / 144),
        ("40 lb/ft²", "psf", 40 / 144),
        ("35 pcf", "pcf", 35 / 1728),
        ("2600 lbf*ft", "lbf*in", 31200),
        ("2,600 lbf·ft", "lbf*in", 31200),
        ("16.5 in^2", "in^2", 16.5),
        ("21.4 in³", "in^3", 21.4),
        ("0.5 1/in", "1/in", 0.5),
        ("0.85", "", 0.85),
        ("1,000", "", 1000),
        ("16 %", "", 0.16),
        ("16%", "%", 0.16),
        ("180 deg", "deg", math.pi),
        ("30°", "deg", math.pi / 6),
        (0.85, "", 0.85),
        (3, "", 3.0),
    ],
)
def test_quantity_is_read_in_any_unit_of_its_dimension(text, unit, meant):
    """The number comes back in lbf and in."""
    number = parse(text, unit)

    assert type(number) is float
    assert number == pytest.approx(meant, rel=1e-15)


@pytest.mark.parametrize(
    ("text", "unit", "us"),
    [
        # NIST SP 811 (2008), Appendix B.8, from memory: 1 psf = 47.88026 Pa,
        # 1 lbf/ft = 14.59390 N/m, 1 psi = 6894.757 Pa, 1 lbf = 4.448222 N.
        ("1.9 kPa", "psf", 1900 / 47.88026 / 144),
        ("12 kN/m", "plf", 12000 / 14.59390 / 12),
        ("10 MPa", "psi", 1e7 / 6894.757),
        ("11 GPa", "psi", 1.1e10 / 6894.757),
        ("5.3 kN", "lbf", 5300 / 4.448222),
        ("8 N/mm^2", "psi", 8e6 / 6894.757),
    ],
)
def test_si_quantity_is_read_as_its_us_one(text, unit, us):
    """An input in SI is worth what the published conversion says."""
    # Half of the seventh printed digit is 5e-7 of the number at most.
    assert parse(text, unit) == pytest.approx(us, rel=5e-7)


@pytest.mark.parametrize("unit", [*UNITS, *COMPOUNDS, ""])
def test_example_in_a_refusal_can_be_written(unit):
    """Whoever copies the example from the message is not refused again."""
    with pytest.raises(UnitError) as refusal:
        parse("1 furlong", unit)
    advice = str(refusal.value).rpartition('Write it as "')[2].removesuffix('".')

    assert parse(advice, unit) > 0


@pytest.mark.parametrize(
    ("inches", "fraction", "written"),
    [
        (150.375, 16, "12 ft 6 3/8 in"),
        (11 + 31 / 32, 16, "1 ft 0 in"),
        (11 + 31 / 32, 32, "11 31/32 in"),
        (23.999, 64, "2 ft 0 in"),
        (144, 16, "12 ft 0 in"),
        (144.375, 16, "12 ft 0 3/8 in"),
        (0.375, 16, "3/8 in"),
        (0.5, 64, "1/2 in"),
        (3.5, 16, "3 1/2 in"),
        (6.4, 2, "6 1/2 in"),
        (6.2, 1, "6 in"),
        (0, 16, "0 in"),
        (-0.0, 16, "0 in"),
        (-0.01, 16, "0 in"),
        (-18, 16, "-1 ft 6 in"),
        (-0.5, 16, "-1/2 in"),
        # A half goes away from zero, also when the last bits of the float say otherwise.
        (1 / 32, 16, "1/16 in"),
        (3 / 32, 16, "1/8 in"),
        (-1 / 32, 16, "-1/16 in"),
        (math.nextafter(3 / 32, 0), 16, "1/8 in"),
        (12_345.5, 16, "1,028 ft 9 1/2 in"),
        (np.float64(18.25), 16, "1 ft 6 1/4 in"),
    ],
)
def test_length_is_written_as_carpenters_read_it(inches, fraction, written):
    """Feet carry over, fractions are reduced, zero has no sign."""
    assert feet_inches(inches, fraction) == written


def test_size_is_written_in_inches_only():
    """A depth of 14 in is not called 1 ft 2 in."""
    assert in_inches(14.0) == "14 in"
    assert in_inches(150.375) == "150 3/8 in"
    assert in_inches(-11.95) == "-11 15/16 in"
    assert in_inches(0.02) == "0 in"


@pytest.mark.parametrize("fraction", [0, 3, 10, 128, -16])
def test_fraction_that_no_tape_has_is_refused(fraction):
    """Thirds and tenths of an inch are not on a carpenter's tape."""
    with pytest.raises(RangeError, match=r"needs one of 1, 2, 4, 8, 16, 32, 64"):
        feet_inches(1.0, fraction)


@pytest.mark.parametrize("inches", [math.nan, math.inf, -math.inf])
def test_length_that_is_not_finite_is_not_written(inches):
    """A dimension on a drawing is a number."""
    with pytest.raises(RangeError, match="needs a finite length"):
        feet_inches(inches)


def nearest_sixty_fourths(inches, fraction):
    """Count 64ths of an inch by whole-number arithmetic on the exact value of the float."""
    top, bottom = abs(inches).as_integer_ratio()
    count = (2 * top * fraction + bottom) // (2 * bottom) * (64 // fraction)
    return math.copysign(count, inches)


@given(
    st.integers(-(10**7), 10**7).map(lambda count: count / 128),
    st.sampled_from([1, 2, 4, 8, 16, 32, 64]),
)
@example(11 + 31 / 32, 16)
def test_length_written_and_read_again_is_the_nearest_fraction(inches, fraction):
    """What a carpenter reads and types back is the length to the nearest fraction."""
    nearest = nearest_sixty_fourths(inches, fraction) / 64

    assert parse(feet_inches(inches, fraction), "in") == nearest
    assert parse(in_inches(inches, fraction), "in") == nearest


@given(st.floats(-1e6, 1e6), st.sampled_from([1, 2, 4, 8, 16, 32, 64]))
def test_length_written_is_off_by_half_a_fraction_at_most(inches, fraction):
    """Rounding never moves a length by more than half of the fraction."""
    written = parse(feet_inches(inches, fraction), "in")

    assert abs(written - inches) <= 0.5 / fraction * (1 + 1e-6)


@pytest.mark.parametrize(
    ("number", "unit", "digits", "shown"),
    [
        (1234.4, "psi", None, "1,234 psi"),
        (83.37, "psi", None, "83.4 psi"),
        (1.6e6, "psi", None, "1,600,000 psi"),
        (0.0123456, "psi", None, "0.0123 psi"),
        (40 / 144, "psf", None, "40 psf"),
        (12.5 / 144, "psf", None, "12.5 psf"),
        (520.04 / 12, "plf", None, "520 plf"),
        (1199.6, "lbf", None, "1,200 lbf"),
        (1.5, "in", None, "1.5 in"),
        (150.375, "ft", None, "12.53 ft"),
        (0.8661, "", None, "0.866"),
        (1.0, "", None, "1"),
        (0.00005, "", None, "0.00005"),
        (24000.0, "lbf*ft", None, "2,000 lbf·ft"),
        (21.390625, "in^3", None, "21.39 in³"),
        (1.2345e-5, "1/in", None, "0.0000123 1/in"),
        (0.16, "%", None, "16%"),
        (math.pi / 6, "deg", None, "30°"),
        (150.0, "ft", 2, "12.50 ft"),
        (1234.5, "psi", 0, "1,235 psi"),
        (0.125, "in", 2, "0.13 in"),
        (-0.125, "in", 2, "-0.13 in"),
        (2.675, "in", 2, "2.68 in"),
        # Noise in the last bits is neither shown nor does it decide a half.
        (0.1 + 0.2, "", 12, "0.300000000000"),
        (math.nextafter(0.125, 0), "in", 2, "0.13 in"),
        (1e-13, "lbf", None, "0 lbf"),
        (0.0, "psi", None, "0 psi"),
        (-0.0, "psi", None, "0 psi"),
        (-0.001, "psi", 1, "0.0 psi"),
        (-1e-13, "lbf", None, "0 lbf"),
        (math.inf, "", None, "∞"),
        (-math.inf, "psi", 1, "-∞ psi"),
        (math.nan, "psi", None, "undefined psi"),
        (np.float64(1234.4), "psi", None, "1,234 psi"),
        (np.float32(0.5), "", None, "0.5"),
        (np.int64(3), "", 1, "3.0"),
        (3, "in", None, "3 in"),
    ],
)
def test_number_is_shown_with_sensible_digits(number, unit, digits, shown):
    """Thousands apart, three significant digits at least, no minus zero, no float noise."""
    assert show(number, unit, digits) == shown


def test_number_is_shown_without_its_unit_for_a_table_column():
    """The head of the column says the unit."""
    assert show_number(24000.0, "lbf*ft") == "2,000"


@given(
    st.floats(-1e11, 1e11).filter(lambda x: x == 0 or abs(x) > 1e-6),
    st.sampled_from([*UNITS, *COMPOUNDS, ""]),
)
def test_what_is_shown_can_be_read_again(amount, unit):
    """A printed number with its unit is worth what it was, to its three digits."""
    number = amount * min(factor(unit), 1.0)
    # What is less than a billionth of its unit is shown as nothing.
    assume(number == 0 or abs(number) / factor(unit) > 1e-9)

    assert parse(show(number, unit), unit) == pytest.approx(number, rel=5.1e-3)


@given(st.floats(allow_nan=False, allow_infinity=False), st.integers(0, 6))
def test_zero_is_never_shown_with_a_sign(number, digits):
    """Neither +0 nor -0.00 appears, whatever is rounded."""
    for text in (show_number(number, "lbf"), show_number(number, "lbf", digits)):
        assert not text.startswith("+")
        assert text.startswith("-") == (number < 0 and bool(text.strip("-0.,")))


@pytest.mark.parametrize(
    ("unit", "si"),
    [
        ("ft", "m"),
        ("in", "mm"),
        ("psf", "kPa"),
        ("plf", "kN/m"),
        ("pli", "kN/m"),
        ("psi", "MPa"),
        ("ksi", "MPa"),
        ("lbf", "kN"),
        ("kip", "kN"),
        ("pcf", "kN/m^3"),
        ("lbf*ft", "kN*m"),
        ("lbf*in", "kN*m"),
        ("in^2", "mm^2"),
        ("in^3", "mm^3"),
        ("in^4", "mm^4"),
        ("ft^2", "m^2"),
        ("lbf*in^2", "kN*m^2"),
        ("lbf/in^2", "MPa"),
        ("lbf/ft^2", "kPa"),
        ("1/in", "1/m"),
        ("psf*ft", "kN/m"),
        ("", ""),
        ("deg", "deg"),
        ("%", "%"),
        ("kPa", "kPa"),
        ("N/mm^2", "N/mm^2"),
    ],
)
def test_si_unit_in_place_of_a_us_unit(unit, si):
    """The unit that an engineer who works in SI expects."""
    assert si_unit(unit) == si


@pytest.mark.parametrize("unit", [*UNITS, *COMPOUNDS, ""])
def test_si_unit_has_the_dimension_of_the_unit_it_stands_for(unit):
    """Showing a number in SI never changes what it measures."""
    assert dimension(si_unit(unit)) == dimension(unit)
    assert si_unit(si_unit(unit)) == si_unit(unit)


@pytest.mark.parametrize(
    ("inches", "written"),
    [
        # 1 in = 25.4 mm, NIST SP 811.
        (1.5, "38 mm"),
        (3.5, "89 mm"),
        (158.0, "4.013 m"),
        (1000 / 25.4, "1 m"),
        (999.4 / 25.4, "999 mm"),
        (999.5 / 25.4, "1 m"),
        (4200 / 25.4, "4.2 m"),
        (-1.5, "-38 mm"),
        (0.0, "0 mm"),
    ],
)
def test_metric_length_is_compact(inches, written):
    """Millimeters below a meter, meters from there on, no idle zeros."""
    assert metric_length(inches) == written


def test_length_follows_the_setting_of_the_job():
    """One call serves both systems."""
    assert show_length(150.375) == "12 ft 6 3/8 in"
    assert show_length(150.34, fraction=4) == "12 ft 6 1/4 in"
    assert show_length(150.375, si=True) == "3.82 m"
