"""The notebook of the explorers reads without sliders, and shows what they begin with."""

import json
import re
from pathlib import Path
from xml.etree import ElementTree

import pytest

from calclib.lessons import chart_of, opening_study, state_of
from calclib.lessons.staging import NO_STRENGTH

ROOT = Path(__file__).parents[1]
NOTEBOOK = ROOT / "notebooks" / "explorers.ipynb"
LARKSPUR, FOXGLOVE = (
    ROOT / "examples" / f"{name}.toml" for name in ("larkspur_house", "foxglove_cottage")
)
EXPLORERS = ("design_explorer(", "size_chart(", "stage_explorer(")


def cells():
    """Return kind, text and tags of each cell."""
    return [
        (cell["cell_type"], "".join(cell["source"]), cell["metadata"].get("tags", []))
        for cell in json.loads(NOTEBOOK.read_text(encoding="utf-8"))["cells"]
    ]


def test_each_explorer_has_a_cell_that_a_page_can_leave_out():
    """And before it one that shows the same without it."""
    code = [(text, tags) for kind, text, tags in cells() if kind == "code"]
    places = [place for place, (text, _) in enumerate(code) if text.startswith(EXPLORERS)]

    assert len(places) == len(EXPLORERS)
    assert all(code[place][1] == ["widget"] for place in places)
    assert [code[place - 1][0].splitlines()[-1].partition("(")[0] for place in places] == [
        "design_study", "chart_of", "state_of",
    ]  # fmt: skip
    assert [tags for _, tags in code].count(["parameters"]) == 1


def test_it_defers_to_local_code_and_licensed_practice_and_holds_no_outputs():
    text = "\n".join(text for kind, text, _ in cells() if kind == "markdown")
    raw = json.loads(NOTEBOOK.read_text(encoding="utf-8"))["cells"]

    assert "local code and a licensed engineer" in text
    assert re.findall(r"^# ", text, flags=re.MULTILINE) == ["# "]
    assert all(not cell.get("outputs") for cell in raw)


@pytest.mark.parametrize(
    "shown",
    [lambda: chart_of(LARKSPUR), lambda: state_of(FOXGLOVE, 0, ["walls.kitchen"])],
    ids=["chart", "state"],
)
def test_what_is_shown_is_an_image_with_words_and_a_table(shown):
    """The same in plain text; the image brings paper and ink."""
    found = shown()
    html, text = found._repr_html_(), repr(found)

    for sentence in found.words:
        assert sentence in text
        assert sentence.replace("'", "&#x27;") in html
    assert 'alt="' in html
    assert found.rows[1][0] in html
    assert found.rows[1][1] in text
    assert "licensed engineer" in text
    ElementTree.fromstring(found.svg)


def test_the_chart_begins_with_the_numbers_of_the_job():
    reading = opening_study(LARKSPUR).at()

    assert f"uses {100 * reading.governing.used:.1f}%" in repr(chart_of(LARKSPUR))


def test_a_state_says_that_strength_is_not_looked_at():
    assert NO_STRENGTH in repr(state_of(FOXGLOVE))
    assert "The house, finished" in repr(state_of(FOXGLOVE))
