"""A setting is typed as carpenters write it; what is wrong stays, with the reason beside it."""

import pytest

from calclib.errors import CalcError, InputError, RangeError, UnitError
from calclib.lessons.controls import Control
from calclib.lessons.setting import Setting, scale_around

SPAN = Setting("span", "clear span", "ft", start=162.0, low=72.0, high=252.0, step=1.0)
METRIC = Setting(
    "span", "clear span", "ft", start=4000 / 25.4, low=2000 / 25.4, high=6000 / 25.4,
    step=20 / 25.4, si=True,
)  # fmt: skip
LOAD = Setting("live", "live load", "psf", start=40 / 144, low=0.0, high=100 / 144, step=5 / 144)


@pytest.fixture
def moved():
    """The numbers that a control handed on, and the control of a span."""
    numbers: list[float] = []
    return numbers, Control(SPAN, numbers.append)


@pytest.mark.parametrize(
    ("text", "inches"),
    [
        ("13 ft 6 3/8 in", 13 * 12 + 6.375),
        ("13'-6 3/8\"", 13 * 12 + 6.375),
        ("162 3/8 in", 162.375),
        ("14 ft", 168.0),
        ("4.2 m", 4200 / 25.4),
        ("4,200 mm", 4200 / 25.4),
    ],
)
def test_a_carpenters_dimension_moves_the_slider(moved, text, inches):
    """One inch is 25.4 mm exactly; a fraction of an inch is taken, between the slider's steps."""
    numbers, control = moved

    control.entry.value = text

    assert numbers == pytest.approx([inches], rel=1e-14)
    assert control.number == numbers[0]
    assert control.slider.value == pytest.approx(inches / 12)
    assert control.entry.value == text
    assert control.refusal.value == ""


@pytest.mark.parametrize(
    ("text", "error", "reason"),
    [
        ("9 psf", UnitError, 'clear span: needs a length, got "9 psf". Write it as "13 ft 2 in".'),
        ("14", UnitError, 'clear span: needs a length with its unit, got "14". '
         'Write it as "13 ft 2 in".'),
        ("13 ft 14 in", InputError, "clear span: needs a length with inches below 12 after the "
         'feet, got "13 ft 14 in". Write it as "13 ft 2 in".'),
        ("", InputError, 'clear span: needs a length, got "". Write it as "13 ft 2 in".'),
        ("40 ft", RangeError, 'clear span: needs something from 6 ft 0 in to 21 ft 0 in, '
         'got "40 ft".'),
        ("-14 ft", RangeError, 'clear span: needs something from 6 ft 0 in to 21 ft 0 in, '
         'got "-14 ft".'),
    ],
)  # fmt: skip
def test_what_cannot_be_used_stays_in_the_entry_with_the_reason_beside_it(
    moved, text, error, reason
):
    """Nothing is handed on, the slider stays where it was."""
    numbers, control = moved
    with pytest.raises(error):
        SPAN.read(text)

    control.entry.value = text

    assert numbers == []
    assert control.number == 162.0
    assert control.slider.value == 13.5
    assert control.entry.value == text
    assert _plain(control.refusal.value) == reason


def test_the_reason_goes_when_the_entry_is_right_again(moved):
    """Also when it is right by being what it was."""
    numbers, control = moved
    control.entry.value = "14 foo"
    refused = control.refusal.value

    control.entry.value = "13 ft 6 in"

    assert 'role="alert"' in refused
    assert control.refusal.value == ""
    assert numbers == [162.0]


def test_a_typed_text_cannot_script_the_page(moved):
    """The reason quotes it as text."""
    _, control = moved

    control.entry.value = "<img src=x onerror=alert(1)>"

    assert "<img" not in control.refusal.value
    assert "&lt;img" in control.refusal.value


def test_the_slider_writes_the_entry_and_clears_the_reason(moved):
    """A step of the slider is a whole inch, without the noise of a conversion."""
    numbers, control = moved
    control.entry.value = "14 foo"

    control.slider.value = 13 + 7 / 12

    assert numbers == [163.0]
    assert control.entry.value == "13 ft 7 in"
    assert control.refusal.value == ""


def test_one_move_is_handed_on_once(moved):
    """Slider and entry follow each other without an echo."""
    numbers, control = moved

    control.entry.value = "14 ft 3/8 in"
    control.slider.value = 15.0

    assert numbers == [168.375, 180.0]


def test_what_the_calculation_refuses_is_said_beside_the_entry():
    """The number holds, for it can be read; the explorer shows nothing for it."""

    def refuse(number: float) -> None:
        raise CalcError("beams.opening: too slender.")

    control = Control(SPAN, refuse)

    control.slider.value = 20.0

    assert _plain(control.refusal.value) == "beams.opening: too slender."
    assert control.entry.value == "20 ft 0 in"


def test_each_part_is_labeled_with_name_and_unit():
    """A label is what a screen reader has of an entry."""
    controls = [Control(setting, lambda number: None) for setting in (SPAN, METRIC, LOAD)]

    assert [(c.slider.description, c.entry.description) for c in controls] == [
        ("Clear span (ft)", "Clear span, typed (ft and in)"),
        ("Clear span (m)", "Clear span, typed (m)"),
        ("Live load (psf)", "Live load, typed (psf)"),
    ]
    assert not any(c.slider.continuous_update or c.entry.continuous_update for c in controls)


def test_an_si_setting_is_written_in_meters_and_read_in_either():
    """4 m less 20 mm is the next step down."""
    numbers: list[float] = []
    control = Control(METRIC, numbers.append)

    control.slider.value = 3.98
    control.entry.value = "13 ft 6 in"

    assert numbers == pytest.approx([3980 / 25.4, 162.0])
    assert control.slider.value == pytest.approx(4.1148)


def test_a_load_is_typed_with_its_unit():
    """A setting need not be a length."""
    numbers: list[float] = []
    control = Control(LOAD, numbers.append)

    control.entry.value = "2 kPa"
    control.entry.value = "10 ft"

    # 1 psf is 47.88 Pa; NIST SP 811, appendix B.8.
    assert [144 * number for number in numbers] == pytest.approx([2000 / 47.88026], rel=1e-6)
    assert "needs a load on an area" in control.refusal.value


@pytest.mark.parametrize(
    ("start", "si", "scale"),
    [
        (162.0, False, (72.0, 252.0, 1.0)),
        (149.0, False, (72.0, 228.0, 1.0)),
        (13.0, False, (12.0, 24.0, 1.0)),
        (4000 / 25.4, True, (2000 / 25.4, 6000 / 25.4, 20 / 25.4)),
    ],
)
def test_a_slider_reaches_from_half_a_length_to_half_as_much_again(start, si, scale):
    """Its ends are whole feet or half meters."""
    assert scale_around(start, si) == pytest.approx(scale)


def _plain(html: str) -> str:
    from html import unescape

    return unescape(html.partition(">")[2].rpartition("<")[0])
