"""What the grammar does not know, it refuses at once and says what would be right."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calclib import errors
from calclib.errors import CalcError, InputError, UnitError, described, did_you_mean, quoted
from calclib.units import parse


def test_message_has_its_four_parts():
    """Where, what is needed, what came, what to do."""
    with pytest.raises(UnitError) as refusal:
        parse("40 psf", "ft", where="alder.toml, joists.east.span")

    assert str(refusal.value) == (
        'alder.toml, joists.east.span: needs a length, got "40 psf". Write it as "13 ft 2 in".'
    )


def test_message_without_a_place_is_a_sentence():
    """A notebook user gave no file."""
    with pytest.raises(UnitError, match=r'^Needs a length, got "40 psf"\. Write it as'):
        parse("40 psf", "in")


@pytest.mark.parametrize(
    ("text", "unit", "needed"),
    [
        ("5 1/2", "in", "a length with its unit"),
        ("5", "in", "a length with its unit"),
        ("40", "psf", "a load on an area with its unit"),
        (40, "psf", "a load on an area with its unit, got the number 40"),
        (1.5, "ft", "a length with its unit, got the number 1.5"),
        ("12 ft 6", "ft", "a length with a unit after its inches"),
        ("12'-6", "ft", "a length with a unit after its inches"),
        ("16", "%", "a percentage with its unit"),
        ("0.5", "deg", "an angle with its unit"),
        ("40 psf", "plf", "a load along a line"),
        ("40 lb", "psf", "a load on an area"),
        ("40 plf", "psi", "a stress"),
        ("2 ft", "lbf*ft", "a moment"),
        ("30 deg", "", "a number without a unit"),
        ("16 %", "deg", "an angle"),
        ("2 in", "", "a number without a unit"),
        ("2 in^2", "in", "a length"),
        ("2 ft ft", "in", "a length"),
        ("12.5 ft 6 in", "in", "a length"),
        ("4 m 20 cm", "m", "a length"),
        ("40 kg", "lbf", "a force"),
        ("40 psf; 1", "psf", "a load on an area"),
        ("3 ft\u202e", "ft", r"a length, got \"3 ft\\u202e\""),
        ("100 kN*m", "lbf*in^2", "a quantity in lbf·in²"),
    ],
)
def test_missing_or_wrong_unit_is_refused(text, unit, needed):
    """A number counts only with a unit of the dimension that is asked for."""
    with pytest.raises(UnitError, match=f"needs {needed}.* Write it as"):
        parse(text, unit, where="x")


@pytest.mark.parametrize(
    ("text", "unit", "meant"),
    [
        ("40 psg", "psf", "psf"),
        ("40 PSF", "psf", "psf"),
        ("40 Mpa", "psi", "MPa"),
        ("40 KN", "lbf", "kN"),
        ("40 sqft", "ft^2", "ft^2"),
        ("40 sq ft", "in^2", "ft^2"),
        ("40 ft2", "ft^2", "ft^2"),
        ("40 in3", "in^3", "in^3"),
        ("40 ft-lb", "lbf*ft", "lbf*ft"),
        ("40 lbf-ft", "lbf*ft", "lbf*ft"),
        ("40 pounds", "lbf", "lbf"),
        ("40 #", "lbf", "lbf"),
        ("40 k", "lbf", "kip"),
        ("40 degrees", "deg", "deg"),
        ("40 percent", "%", "%"),
        ("40 fet", "in", "ft"),
    ],
)
def test_near_miss_of_a_unit_is_named(text, unit, meant):
    """A slip of the keyboard or another trade's abbreviation gets the right spelling."""
    with pytest.raises(UnitError) as refusal:
        parse(text, unit)

    assert f'Did you mean "{meant}"?' in str(refusal.value)


@pytest.mark.parametrize("text", ["40 sqft", "40 k", "40 furlongs", "12 ft 6 ft"])
def test_no_unit_of_another_dimension_is_proposed(text):
    """Where a length is asked for, square feet are not meant."""
    with pytest.raises(CalcError) as refusal:
        parse(text, "ft")

    assert "Did you mean" not in str(refusal.value)


@pytest.mark.parametrize(
    ("text", "needed"),
    [
        ("3 feet 14 in", "a length with inches below 12 after the feet"),
        ("3 ft 12 in", "a length with inches below 12 after the feet"),
        ("3 ft 11 16/16 in", "a length with a fraction below 1"),
        ("6 17/16 in", "a length with a fraction below 1"),
        ("3/2 in", "a length with a fraction below 1"),
        ("1/0 in", "a length with a fraction below 1"),
        ("0/0 in", "a length with a fraction below 1"),
        ("1e400 ft", "a length of ordinary size"),
        ("1e999 ft", "a length of ordinary size"),
        ("1e-400 ft", "a length of ordinary size"),
        ("99999999999999999999 ft", "a length of ordinary size"),
        ("9" * 65, "a length in at most 64 characters"),
        ("(" * 100_000, "a length in at most 64 characters"),
    ],
)
def test_number_out_of_bounds_is_refused(text, needed):
    """What cannot be on a tape or in a house is refused with the reason."""
    with pytest.raises(InputError, match=f"needs {needed}, got .* Write it as"):
        parse(text, "in", where="x")


@pytest.mark.parametrize(
    "text",
    [
        "",
        " ",
        "ft",
        "'",
        '"',
        "-",
        "nan",
        "nan ft",
        "inf ft",
        "-inf ft",
        "infinity",
        "9**9**9 ft",
        "10**10**10",
        "9^9^9 ft",
        "((((((1))))) ft",
        "[" * 60,
        "__import__('os')",
        "0x10 ft",
        "1_000 ft",
        "1e5e5 ft",
        "1,2 in",
        "1,2345 in",
        "1,,200 in",
        "0,125 in",
        "1.200,5 in",
        "1.5.5 in",
        "1 .5 in",
        "5. in",
        "--5 in",
        "+-5 in",
        "5 - 1/2 in",
        "2 1/2 1/2 in",
        "2.5 1/2 in",
        "1//2 in",
        "1/-2 in",
        "½5 in",
        "5½½ in",
        "½½ in",
        "1/½ in",
        "5² in",
        "123456789012345678901 in",
        "1\n2 in",
        "12 ft\n6 in",
        "٣ in",
        "３ in",
        "3 in\x00",
        "3 × 4 in",
        "3+4 in",
        "3*4 in",
        "3 in + 4 in",
    ],
)
def test_text_that_is_not_a_length_is_refused(text):
    """Nothing is guessed, evaluated or half read."""
    with pytest.raises(CalcError, match=r"needs a length.*, got .* Write it as"):
        parse(text, "in", where="x")


@pytest.mark.parametrize(
    "given_value",
    [None, True, False, [], ["5 ft"], {}, {"a": 1}, b"5 ft", object(), 2 + 3j],
)
def test_what_is_not_text_is_refused(given_value):
    """A job file can hold lists and tables where a text belongs."""
    for unit in ("ft", ""):
        with pytest.raises(InputError, match=r"needs .*, got .* Write it as"):
            parse(given_value, unit, where="x")


@pytest.mark.parametrize(
    "number",
    [float("nan"), float("inf"), float("-inf"), 1e13, -1e13, 1e-13, 10**13, 10**400],
)
def test_number_that_is_not_sane_is_refused(number):
    """A plain number is finite and not above 1e12 either."""
    with pytest.raises(InputError, match="a number without a unit of ordinary size"):
        parse(number, "")


@given(st.text(max_size=70), st.sampled_from(["in", "psf", "", "%", "deg", "lbf*ft", "1/in"]))
def test_any_text_is_either_read_or_refused(text, unit):
    """No text gets any other answer than a finite number or a refusal."""
    try:
        number = parse(text, unit)
    except CalcError:
        return

    assert abs(number) <= 1e12


@given(st.text("0123456789 /-+'\"ftin.,e½⅜²^*(%", max_size=20))
def test_no_length_is_read_without_a_digit_and_a_unit(text):
    """Out of the very characters of a length, only those in order make one."""
    try:
        number = parse(text, "in")
    except CalcError:
        return

    assert any(mark in text for mark in ("'", '"', "ft", "in"))
    assert any(digit in text for digit in "0123456789½⅜")
    assert abs(number) <= 1e12


def test_quoted_text_cannot_disturb_the_terminal():
    """Control characters and reversed text are shown as escapes, long text is cut."""
    assert quoted("a\x1b[31m\u202e") == '"a\\x1b[31m\\u202e"'
    assert quoted("\ud800") == '"\\ud800"'
    assert quoted("x" * 1000) == '"' + "x" * 60 + '…"'


def test_what_came_is_described_in_words():
    """Numbers stand as they are, things that cannot be printed are named."""
    # Python itself refuses to print an integer of more than 4,300 digits.
    assert described(10**5000) == "a number of more than 60 digits"
    assert described(1 / 3) == "the number 0.3333333333"
    assert described([[1] * 10]) == "a list"


def test_nothing_is_near_a_word_if_nothing_is_known():
    """An empty table has no near misses."""
    assert did_you_mean("No. 4", []) == ""
    assert did_you_mean("", ["psf"]) == ""


@pytest.mark.parametrize(
    ("error", "builtin"),
    [
        (errors.UnitError, TypeError),
        (errors.RangeError, ValueError),
        (errors.InputError, ValueError),
        (errors.LookupMiss, LookupError),
        (errors.BeamError, ValueError),
        (errors.StaleSourceError, RuntimeError),
    ],
)
def test_exception_is_also_the_builtin_that_a_caller_expects(error, builtin):
    """Whoever does not know the kit's exceptions can still catch them."""
    assert issubclass(error, errors.CalcError)
    assert issubclass(error, builtin)
