"""The numbered notebooks keep their rhythm, and what they print and say in words holds.

CALCLIB_WRITE_LESSONS=1 writes what they print now, to be read before it is committed.
"""

import json
import os
import re
from contextlib import redirect_stdout
from io import StringIO
from itertools import groupby, pairwise
from pathlib import Path

import pytest

from calclib.lessons import opening_study, workbook
from calclib.lessons.course import EXERCISES
from calclib.sheet.own_words import markdown
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


def test_there_are_lessons_by_their_numbers():
    """One of each, and exercises to each."""
    assert [int(path.name[:2]) for path in LESSONS] == list(range(1, 12))
    assert list(EXERCISES) == list(range(1, 12))


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
    """A question, a prediction, a derivation, a printed value, one change, a trap, exercises."""
    found = cells(path)
    text = "\n".join(text for kind, text, _ in found if kind == "markdown")
    levels = [len(marks) for marks in re.findall(r"^(#+) ", text, flags=re.MULTILINE)]
    tags = [tag for _, _, tags in found for tag in tags]
    parts = ("About ", "## Predict", "Before you run it", "## Derive", "## Check it against")
    ends = ("## The trap", "## What we learned", "## Exercises", "## Sources")

    assert text.splitlines()[0].startswith("# ")
    assert text.splitlines()[0].endswith("?")
    assert re.search(r"^About (1[5-9]|2[0-9]|30) minutes\.$", text, flags=re.MULTILINE)
    assert levels.count(1) == 1
    assert all(after <= before + 1 for before, after in pairwise(levels))
    assert tags.count("parameters") == 1
    places = [text.index(part) for part in (*parts, *ends)]
    assert places == sorted(places)
    assert "## Draw" in text or "and draw" in text
    # Before the first run and before the change.
    assert "## Change one thing" in text
    assert text.count("Before you run it") >= 2
    assert "obvious answer" in text
    assert "licensed engineer" in text


@BY_NAME
def test_a_lesson_gives_its_own_exercises(path):
    """With the seed and the file of the learner, and one place for each answer."""
    number = int(path.name[:2])
    code = "\n".join(text for kind, text, _ in cells(path) if kind == "code")

    assert f"work = workbook({number}, seed, progress)" in code
    (places,) = re.findall(r"work\.answer\(([^)]*)\)", code)
    assert places == ", ".join(['""'] * len(EXERCISES[number]))


@BY_NAME
def test_every_formula_of_the_text_can_be_set_and_every_figure_is_told(path):
    """Nothing is left out on a page without a kernel."""
    said = []
    for kind, text, _ in cells(path):
        if kind == "markdown":
            markdown(text, NOTEBOOKS, said.append)

    assert said == []


def test_sliders_live_in_cells_that_a_page_can_leave_out():
    """What follows does not need them."""
    found = [cell for path in LESSONS for cell in cells(path)]
    made = [tags for kind, text, tags in found if kind == "code" and "explorer(" in text]

    assert made
    assert all(tags == ["widget"] for tags in made)
    assert all(" = " not in text for kind, text, tags in found if "widget" in tags)


# What each lesson prints, to the last digit: regression, no source. Numbers from outside are in the
# lessons themselves, which stop when a printed value or a derivation disagrees.
PRINTED = Path(__file__).parent / "data" / "lessons"


def printed_by(path):
    """Run the cells of a lesson, but for sliders, and return what they print."""
    space, out = {}, StringIO()
    with redirect_stdout(out):
        for kind, text, tags in cells(path):
            if kind == "code" and "widget" not in tags:
                exec(compile(text, path.name, "exec"), space)
    return out.getvalue()


@BY_NAME
def test_a_lesson_prints_what_it_printed(path, monkeypatch):
    """The results that its words speak of."""
    monkeypatch.chdir(NOTEBOOKS)
    file = PRINTED / f"{path.stem}.txt"

    printed = printed_by(path)

    if os.environ.get("CALCLIB_WRITE_LESSONS"):
        file.write_text(printed, encoding="utf-8")
    assert printed == file.read_text(encoding="utf-8")
    assert len(printed.splitlines()) >= 8


def test_the_exercises_of_a_lesson_are_answered_from_its_last_cells(monkeypatch):
    """As a learner would: numbers of another seed, one answer right and one a factor of 12 off."""
    monkeypatch.chdir(NOTEBOOKS)
    (path,) = NOTEBOOKS.glob("04_*.ipynb")
    ask, answer = [text for kind, text, _ in cells(path) if kind == "code"][-2:]
    right = [exercise.answer for exercise in workbook(4, "autumn").exercises]
    space = {"seed": "autumn", "progress": ""}

    exec(ask, space)
    filled = answer.replace('""', f'"{right[0]:.4f} in"', 1).replace(
        '""', f'"{right[1] * 12:.3f}"', 1
    )
    verdicts = eval(filled, space).verdicts

    assert [verdict.state for verdict in verdicts] == ["right", "wrong", "not answered"]
    assert "12 times what it should be" in verdicts[1].says


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
