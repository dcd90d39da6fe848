"""The numbered notebooks keep their rhythm, and what they say in words holds."""

import json
import re
from itertools import groupby, pairwise
from pathlib import Path

import pytest

from calclib.lessons import opening_study
from calclib.units import parse

NOTEBOOKS = Path(__file__).parents[1] / "notebooks"
LESSONS = sorted(NOTEBOOKS.glob("[0-9][0-9]_*.ipynb"))
BY_NAME = pytest.mark.parametrize("path", LESSONS, ids=lambda path: path.stem)


def cells(path):
    """Return kind, text and tags of each cell."""
    return [
        (cell["cell_type"], "".join(cell["source"]), cell["metadata"].get("tags", []))
        for cell in json.loads(path.read_text(encoding="utf-8"))["cells"]
    ]


def test_there_are_lessons():
    """Or the tests below would have nothing to say."""
    assert LESSONS


@BY_NAME
def test_code_comes_in_small_bites(path):
    """At most two cells in a row, of one to five lines each."""
    found = cells(path)
    runs = [len(list(run)) for kind, run in groupby(found, lambda cell: cell[0]) if kind == "code"]
    lines = [text.strip().count("\n") + 1 for kind, text, _ in found if kind == "code"]

    assert max(runs) <= 2
    assert 1 <= min(lines)
    assert max(lines) <= 5


@BY_NAME
def test_a_lesson_has_its_parts(path):
    """One title, headings in order, a prediction before the code, one cell of inputs, sources."""
    found = cells(path)
    text = "\n".join(text for kind, text, _ in found if kind == "markdown")
    levels = [len(marks) for marks in re.findall(r"^(#+) ", text, flags=re.MULTILINE)]
    tags = [tag for _, _, tags in found for tag in tags]

    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(after <= before + 1 for before, after in pairwise(levels))
    assert tags.count("parameters") == 1
    assert (
        text.index("Before you run it")
        < text.index("## What we learned")
        < text.index("## Sources")
    )
    assert "licensed engineer" in text


@BY_NAME
def test_sliders_live_in_cells_that_a_page_can_leave_out(path):
    """What follows does not need them."""
    found = cells(path)
    made = [tags for kind, text, tags in found if kind == "code" and "explorer(" in text]

    assert made
    assert all(tags == ["widget"] for tags in made)
    assert all(" = " not in text for kind, text, tags in found if "widget" in tags)


def test_the_words_about_the_moment_hold():
    """Numbers and findings that the first lesson says in words, found again."""
    (path,) = NOTEBOOKS.glob("03_*.ipynb")
    given = {}
    for kind, text, tags in cells(path):
        if kind == "code" and "parameters" in tags:
            exec(text, given)
    study = opening_study(NOTEBOOKS / given["job_file"])
    text = path.read_text(encoding="utf-8")
    span, width = study.settings
    now = study.at()
    wider, deeper = study.at(span=given["wider_opening"]), study.at(width=given["wider_floor"])

    # Each is one fifth more than in the job file.
    assert f"the job has {span.written(span.start)}" in text
    assert f"the job has {width.written(width.start)}" in text
    assert parse(given["wider_opening"], "ft") / span.start == pytest.approx(1.2, rel=1e-3)
    assert parse(given["wider_floor"], "ft") / width.start == pytest.approx(1.2, rel=1e-3)
    # Only a little east of the middle.
    assert 0 < now.moment.at - now.supports[-1][1] / 2 < 3.0
    assert now.moment.case == "D + L"
    # It makes less of both, and one fifth more floor makes less than 1.2 of everything.
    assert 1.2 < wider.moment.value / now.moment.value < 1.2**2
    assert wider.moment.used / now.moment.used < wider.deflection.used / now.deflection.used
    assert 1.2**3 < wider.deflection.value / now.deflection.value < 1.2**4
    for before, after in zip(now.peaks, deeper.peaks, strict=True):
        assert 1.0 < after.value / before.value < 1.2
    # It is the deflection that ends first.
    spans = map(float, range(162, 252))
    first = next(r for r in (study.at(span=inches) for inches in spans) if r.governing.used > 1)
    assert "total_deflection" in first.governing.id
    # Make the opening narrower than the wall above.
    assert study.at(span="13 ft").notes
