"""A study moves numbers of a solved job and finds what the job would, solved anew."""

import math
from pathlib import Path

import pytest

from calclib.errors import InputError, LookupMiss, RangeError
from calclib.job.file import parse, read
from calclib.job.solve import solve
from calclib.lessons import opening_study
from calclib.lessons.gathering import PAST_THE_END
from calclib.lessons.reading import percent
from calclib.units import ft, lbf

EXAMPLES = Path(__file__).parents[1] / "examples"
LARKSPUR = EXAMPLES / "larkspur_house.toml"
BASEMENT = EXAMPLES / "basement_beam.toml"

# A beam with nothing on it but joists from one side and itself.
PLAIN = """\
format = 1
[job]
title = "Plain"
number = "T-1"
site = "Nowhere"
date = 2026-10-12
revision = "A"
prepared_by = ""
checked_by = ""
units = "US"
method = "ASD"
load_standard = "ASCE 7-16"
building_code = "IRC 2018"
[surfaces.floor]
live = "40 psf"
layers.all = "10 psf"
[joists.east]
surface = "floor"
rests_on = ["beams.opening", "walls.east"]
span = "12 ft"
along = "whole"
size = "2x10"
spacing = "16 in"
[walls.east]
rests_on = "ground"
[beams.opening]
material = "generic 2.0E-2900Fb LVL"
plies = 3
size = "1-3/4 x 11-7/8"
density = "42 pcf"
starts_at = "0 ft"
setting = "dropped"
moisture = "dry"
temperature = "100 F or less"
unbraced_top = "16 in"
live_limit = "L/360"
total_limit = "L/240"
dead_load_rule = "plain sum"
spans.opening = "12 ft"
supports.west = { on = "posts.west", bearing = "3 1/2 in" }
supports.east = { on = "posts.east", bearing = "3 1/2 in" }
[posts.west]
size = "4x6"
species = "Douglas fir-larch"
grade = "No.1"
height = "7 ft"
rests_on = "ground"
[posts.east]
size = "4x6"
species = "Douglas fir-larch"
grade = "No.1"
height = "7 ft"
rests_on = "ground"
"""


@pytest.fixture(scope="module")
def plain():
    return opening_study(parse(PLAIN))


@pytest.fixture(scope="module")
def larkspur():
    return opening_study(LARKSPUR)


@pytest.mark.parametrize(
    ("changed", "replaced"),
    [
        ({}, {}),
        ({"span": "15 ft 2 1/2 in"}, {"13 ft 6 in": "15 ft 2 1/2 in"}),
        # Half of 13 ft 2 in and of 11 ft 8 in, and six fifths of both.
        ({"width": 1.2 * 149.0}, {"13 ft 2 in": "189.6 in", "11 ft 8 in": "168 in"}),
        (
            {"span": "20 ft", "width": 1.2 * 149.0},
            {"13 ft 6 in": "20 ft", "13 ft 2 in": "189.6 in", "11 ft 8 in": "168 in"},
        ),
    ],
)
def test_a_study_finds_what_the_changed_job_does(larkspur, changed, replaced):
    """Every check, against the job file with the numbers in it, read and solved anew."""
    text = LARKSPUR.read_text(encoding="utf-8")
    for old, new in replaced.items():
        for key in ("span", "opening"):
            text = text.replace(f'\n{key} = {{ value = "{old}"', f'\n{key} = {{ value = "{new}"')
        assert f'value = "{new}"' in text
    beam = solve(parse(text)).beams[0]

    reading = larkspur.at(**changed)

    assert len(reading.checks) == len(beam.checks)
    for line, check in zip(reading.checks, beam.checks, strict=True):
        assert (line.id, line.case, line.state) == (check.id, check.case_name, check.state)
        assert line.used == pytest.approx(check.worst, rel=1e-12)
        assert line.demand == pytest.approx(check.demand.at(check.case), rel=1e-12)
        assert line.capacity == pytest.approx(check.capacity.at(check.case), rel=1e-12)
    assert [force for force, _ in reading.reactions] == pytest.approx(
        [reaction.number.max() for reaction in beam.reactions], rel=1e-12
    )


def test_a_uniform_load_gives_the_printed_values(plain):
    """Shear, moment and deflection of the simple beam, with the numbers counted by hand."""
    # AWC Design Aid No. 6, figure 1: V = wl/2, M = wl^2/8, Delta = 5wl^4/384EI.
    l = 12 * 12 + 3.5  # noqa: E741
    w = 6.0 * (40 + 10) / 12 + 42 / 1728 * 5.25 * 11.875
    EI = 2.0e6 * 5.25 * 11.875**3 / 12

    reading = plain.at()

    assert abs(reading.shear.value) == pytest.approx(w * l / 2)
    assert reading.moment.value == pytest.approx(w * l**2 / 8)
    assert reading.moment.at == pytest.approx(l / 2)
    assert reading.deflection.value == pytest.approx(5 * w * l**4 / (384 * EI), rel=1e-6)
    assert [force for force, _ in reading.reactions] == pytest.approx([w * l / 2] * 2)
    assert {peak.case for peak in reading.peaks} == {"D + L"}


def test_moment_grows_with_the_square_and_deflection_with_the_fourth_power(plain):
    """Of the span from center to center, which is the clear one and 3 1/2 in."""
    short, long = plain.at(span=140.5), plain.at(span=140.5 + 144.0 / 10)
    ratio = (144.0 + 14.4) / 144.0

    assert ratio == pytest.approx(1.1)
    assert long.moment.value / short.moment.value == pytest.approx(1.1**2)
    assert long.deflection.value / short.deflection.value == pytest.approx(1.1**4)


def test_width_changes_the_load_of_the_joists_alone(plain):
    """The beam's own weight stays."""
    narrow, wide = plain.at(), plain.at(width="7 ft 6 in")
    own = 42 / 1728 * 5.25 * 11.875

    totals = [sum(band.size for band in reading.bands) - own for reading in (narrow, wide)]

    assert plain.settings[1].start == pytest.approx(6 * ft)
    assert totals[1] / totals[0] == pytest.approx(7.5 / 6)


@pytest.mark.parametrize("path", [LARKSPUR, BASEMENT])
def test_each_curve_reaches_its_peak_and_ends_at_nothing(path):
    """The drawn line neither passes its largest value nor stays short of it."""
    reading = opening_study(path).at()
    last = reading.supports[-1][1]

    for peak in reading.peaks:
        assert peak.x[0] == 0.0
        assert peak.x[-1] == pytest.approx(last)
        assert list(peak.x) == sorted(peak.x)
        largest = max(map(abs, peak.y))
        assert largest <= abs(peak.value) * (1 + 1e-9)
        assert largest >= 0.98 * abs(peak.value)
    for peak in (reading.moment, reading.deflection):
        assert abs(peak.y[0]) <= 1e-9 * abs(peak.value)
        assert abs(peak.y[-1]) <= 1e-9 * abs(peak.value)


def test_a_limit_is_the_value_at_which_the_check_is_used_up(larkspur):
    """For deflection that is the capacity of the check itself."""
    reading = larkspur.at()
    check = next(line for line in reading.checks if "total_deflection" in line.id)

    assert reading.deflection.limit == pytest.approx(check.capacity)
    assert reading.moment.limit * reading.moment.used == pytest.approx(reading.moment.value)


def test_what_stands_past_the_end_is_said(larkspur):
    """The wall above ends at 13 ft 6 in; a beam that ends before it carries part of it only."""
    shorter, as_is = larkspur.at(span="10 ft"), larkspur.at()

    assert shorter.notes == (PAST_THE_END,)
    assert PAST_THE_END in repr(shorter)
    assert as_is.notes == ()
    assert max(band.end for band in shorter.bands) == pytest.approx(shorter.supports[-1][1])
    assert [knock.at for knock in larkspur.at(span="6 ft").knocks] == [43.75, 43.75]


def test_the_spans_of_a_long_beam_move_one_by_one():
    """Each is a setting of its own, named as in the job."""
    study = opening_study(BASEMENT)
    before = study.at()

    after = study.at(span_middle="8 ft 6 in")

    assert [setting.key for setting in study.settings] == [
        "span_west", "span_middle", "span_east", "width",
    ]  # fmt: skip
    moved = [b - a for (_, a), (_, b) in zip(before.supports, after.supports, strict=True)]
    assert moved == pytest.approx([0.0, 0.0, 10.0, 10.0])


@pytest.mark.parametrize(
    ("changed", "error", "reason"),
    [
        ({"spam": "14 ft"}, LookupMiss, 'one of span, width, got "spam". Did you mean "span"'),
        ({"span": "14 psf"}, TypeError, 'clear span: needs a length, got "14 psf"'),
        ({"span": "14 ft 12 in"}, InputError, "inches below 12"),
        ({"span": "140 ft"}, RangeError, "from 6 ft 0 in to 21 ft 0 in"),
        ({"width": 1.0}, RangeError, "tributary width: needs something from"),
    ],
)
def test_a_change_that_makes_no_sense_is_refused(larkspur, changed, error, reason):
    """With the name of the number, and what it may be."""
    with pytest.raises(error, match=reason):
        larkspur.at(**changed)


def test_a_beam_is_chosen_by_its_name():
    """A wrong name is answered with the right ones."""
    job = read(LARKSPUR)

    assert opening_study(job, "opening").beam.section.name == "opening"
    with pytest.raises(LookupMiss, match='beam: needs one of opening, got "openin"'):
        opening_study(job, "openin")


def test_a_failing_check_says_so(larkspur):
    """In words, in the table, and in percent above 100."""
    reading = larkspur.at(span="20 ft")
    text = repr(reading)

    assert reading.governing.state == "fails"
    assert reading.governing.used > 1
    assert "the beam is too small" in text
    assert text.count("  fails") == sum(line.state == "fails" for line in reading.checks)


def test_plain_text_and_html_say_the_same(larkspur):
    """Sentence by sentence; HTML has a figure with a text alternative besides."""
    reading = larkspur.at(span="14 ft")
    html, text = reading._repr_html_(), repr(reading)

    for sentence in text.partition("\n\n")[0].splitlines():
        assert sentence in html
    for line in reading.checks:
        assert line.title in html
    assert "Moment peaks at" in html.partition('<img alt="')[2].partition('"')[0]
    assert "<figcaption>The opening beam" in html
    assert "licensed engineer" in html


def test_an_si_job_is_shown_in_si():
    """And typed in either system."""
    study = opening_study(parse(PLAIN.replace('units = "US"', 'units = "SI"')))

    reading = study.at(span="4 m")

    assert "clear span 4 m" in repr(reading)
    assert "kN·m" in repr(reading)
    # 1 lbf is 4.4482216152605 N; NIST SP 811, appendix B.8.
    force = reading.reactions[0][0] / lbf * 4.4482216152605e-3
    assert f"{force:.3g} kN" in repr(reading)
    assert math.isclose(reading.supports[-1][1], 4000 / 25.4 + 3.5)


@pytest.mark.parametrize(
    ("share", "text"), [(0.5, "50.0%"), (1.0, "100.0%"), (1.0000004, "100.00004%"), (2.0, "200.0%")]
)
def test_a_share_above_one_never_reads_like_one(share, text):
    """A check that fails by little does not look as if it passed."""
    assert percent(share) == text
