"""The explorer without a browser: what its parts hold when a number moves."""

import re
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest

from calclib.errors import CalcError
from calclib.lessons import explorer, opening_explorer, opening_study

LARKSPUR = Path(__file__).parents[1] / "examples" / "larkspur_house.toml"


@pytest.fixture
def parts():
    """The explorer's slider and entry of the span, its figure and its results."""
    _, span, _, figure, results = opening_explorer(LARKSPUR).children
    slider, entry, _ = span.children
    return slider, entry, figure, results


def dashed(figure):
    """Return the lines that show where it began."""
    return re.findall(r'<polyline points="([^"]*)"[^>]*stroke-dasharray="2 3"', figure.value)


def test_it_begins_with_the_numbers_of_the_job(parts):
    """Slider, entry and results."""
    slider, entry, figure, results = parts

    assert slider.value == pytest.approx(13.5)
    assert entry.value == "13 ft 6 in"
    assert "clear span 13 ft 6 in, tributary width 12 ft 5 in" in results.value
    assert "<svg" in figure.value


def test_figure_and_results_follow_a_number(parts):
    """They are what the study finds for it, drawn over where it began."""
    _, entry, figure, results = parts
    began = dashed(figure)

    entry.value = "15 ft"

    reading = opening_study(LARKSPUR).at(span="15 ft")
    assert "clear span 15 ft 0 in" in results.value
    assert reading.amount(reading.moment.value, "lbf*ft") in figure.value
    # Three curves and the key of the figure.
    assert len(began) == 4
    assert dashed(figure) == began


def test_back_where_it_began_it_shows_what_it_showed(parts):
    """Nothing of the way is left."""
    slider, _, figure, results = parts
    before = figure.value, results.value

    slider.value = 20.0
    slider.value = 13.5

    assert (figure.value, results.value) == before


def test_numbers_move_together():
    """One control does not set back the other."""
    _, span, width, _, results = opening_explorer(LARKSPUR).children

    span.children[1].value = "15 ft"
    width.children[1].value = "14 ft"

    assert "clear span 15 ft 0 in, tributary width 14 ft 0 in" in results.value


def test_no_result_of_an_earlier_number_stays_beside_a_refused_one():
    """Figure and table go, the reason takes their place; a right number brings them back."""
    study = opening_study(LARKSPUR)

    def refuse(numbers):
        if numbers["beams.opening.spans.opening"] > 200:
            raise CalcError("beams.opening: too slender.")
        return study.variation(numbers)

    _, span, _, figure, results = explorer(replace(study, variation=refuse)).children
    slider, entry, refusal = span.children

    entry.value = "20 ft"
    shown = figure.value, results.value, refusal.value
    slider.value = 14.0

    assert shown[0] == ""
    assert "<table" not in shown[1]
    assert "beams.opening: too slender." in shown[1]
    assert "beams.opening: too slender." in shown[2]
    assert "<svg" in figure.value
    assert "clear span 14 ft 0 in" in results.value
    assert refusal.value == ""


def test_nothing_stays_when_the_calculation_stumbles():
    """What was not foreseen goes to the log, and takes the figure away all the same."""
    study = opening_study(LARKSPUR)

    def stumble(numbers):
        if numbers["beams.opening.spans.opening"] > 200:
            raise ZeroDivisionError("division by zero")
        return study.variation(numbers)

    _, span, _, figure, results = explorer(replace(study, variation=stumble)).children

    with pytest.raises(ZeroDivisionError):
        span.children[1].value = "20 ft"

    assert figure.value == ""
    assert "Nothing to show: division by zero" in results.value


def test_the_library_reads_and_prints_without_widgets():
    """Only a widget asks for ipywidgets."""
    code = (
        "import sys; from calclib.lessons import opening_study; "
        f"repr(opening_study({str(LARKSPUR)!r}).at()); "
        "assert not {'ipywidgets', 'matplotlib', 'IPython'} & set(sys.modules)"
    )

    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True)

    assert done.stderr == ""
