"""`calclib lessons`: the list, a learner's progress on it, and the pages without a kernel."""

import json
import re

import pytest

from calclib.cli import main
from calclib.lessons.course import workbook

WIDGET = "from ipywidgets import FloatSlider\nFloatSlider(description='span, ft', value=7.5)"


def write(path, *cells):
    """Write a notebook of Markdown and code cells, the latter given in a list with their tags."""
    made = []
    for cell in cells:
        source, tags = (cell, []) if isinstance(cell, str) else (cell[0], list(cell[1:]))
        kind = "markdown" if isinstance(cell, str) else "code"
        made.append({"cell_type": kind, "metadata": {"tags": tags}, "source": source})
        if kind == "code":
            made[-1] |= {"outputs": [], "execution_count": None}
    content = {"cells": made, "metadata": {}, "nbformat": 4, "nbformat_minor": 4}
    path.write_text(json.dumps(content), encoding="utf-8")


@pytest.fixture
def folder(tmp_path):
    """A folder with two lessons and a notebook that is none."""
    made = tmp_path / "course"
    made.mkdir()
    write(
        made / "04_sag.ipynb",
        "# Why does it <sag>?\n\nAbout 15 minutes.\n\n$\\Delta = w l^4$",
        ("print(6 * 7)",),
        (WIDGET, "widget"),
        ("from calclib.lessons import workbook\nworkbook(4)",),
    )
    write(made / "08_moved.ipynb", "# Moved\n\nAbout 20 minutes.", ("1 + 1",))
    write(made / "calc_sheet.ipynb", "# No lesson")
    return made


def test_the_list_names_lessons_and_exercises(folder, capsys):
    """By their numbers, with the time that each takes."""
    code = main(["lessons", "--from", str(folder)])

    assert code == 0
    assert capsys.readouterr().out == (
        " 4  Why does it <sag>? (15 minutes)\n"
        "      4.1  Sag of a joist\n"
        "      4.2  Span to the fourth\n"
        "      4.3  Years later\n"
        " 8  Moved (20 minutes)\n"
        "      8.1  Gathered in one post\n"
        "      8.2  Near the end\n"
        "\n"
        "2 lessons, 5 exercises.\n"
    )


def test_the_list_shows_what_a_learner_has_answered(folder, tmp_path, capsys):
    """From the file that the notebooks of the learner write."""
    file = tmp_path / "mine.jsonl"
    work = workbook(4, "autumn", str(file))
    work.answer(work.exercises[0].shown, "3")
    work.answer("", "4")
    with file.open("a", encoding="utf-8") as end:
        end.write("scratch\n")

    main(["lessons", "--from", str(folder), "--progress", str(file)])

    out = capsys.readouterr().out
    states = dict(re.findall(r"^ +(\d\.\d)  .*?  +(\S.*)$", out, flags=re.MULTILINE))
    assert states == {
        "4.1": "right",
        "4.2": "2 tries",
        "4.3": "not answered",
        "8.1": "not answered",
        "8.2": "not answered",
    }
    assert out.endswith(
        "1 of 5 exercises answered right.\n"
        "Lines of the file that cannot be read: 1. They were left in it.\n"
    )


def test_the_pages_are_read_without_a_kernel(folder, tmp_path, capsys):
    """Each lesson ran; formulas are MathML, controls are what they are set to, and none is dead."""
    target = tmp_path / "new" / "pages"

    code = main(["lessons", "--from", str(folder), "-o", str(target)])

    assert code == 0
    assert {path.name for path in target.iterdir()} == {
        "04_sag.html",
        "08_moved.html",
        "index.html",
    }
    page = (target / "04_sag.html").read_text(encoding="utf-8")
    assert page.count("<h1>") == 1
    assert "<h1>Why does it &lt;sag&gt;?</h1>" in page
    assert "42" in page
    assert "<math" in page
    assert not re.search(r"<(script|input|button|iframe)|https?://(?!www\.w3\.org)", page)
    assert re.search(r'<th scope="row">span, ft</th><td>7\.5</td>', page)
    assert page.count("<details><summary>The answer</summary>") == 3
    assert '<a href="08_moved.html">8. Moved</a>' in page
    assert "This page can be read and printed, and moves nothing" in page
    assert "licensed engineer" in page
    assert "title block" not in page
    assert capsys.readouterr().out.count("\n") == 3


def test_every_link_of_the_pages_leads_to_a_page(folder, tmp_path):
    """Between the lessons and from the list; the list shows progress too."""
    file = tmp_path / "mine.jsonl"
    work = workbook(8, 1, str(file))
    work.answer(work.exercises[0].shown)

    main(["lessons", "--from", str(folder), "-o", str(tmp_path), "--progress", str(file)])

    pages = {path.name: path.read_text(encoding="utf-8") for path in tmp_path.glob("*.html")}
    links = {link for page in pages.values() for link in re.findall(r'href="([^"#]+)"', page)}
    assert links == set(pages)
    assert (
        "<li>Gathered in one post: right</li><li>Near the end: not answered</li>"
        in (pages["index.html"])
    )


def test_a_lesson_that_stops_is_named(folder, tmp_path, capsys):
    """With the cell and the error, and no page of it."""
    write(folder / "08_moved.ipynb", "# Moved", ("1 / 0",))

    code = main(["lessons", "--from", str(folder), "-o", str(tmp_path)])

    assert code == 2
    assert "08_moved.ipynb, cell 2: needs code that runs to its end, got ZeroDivisionError" in (
        capsys.readouterr().err
    )
    assert not (tmp_path / "08_moved.html").exists()


def test_a_folder_without_lessons_is_named(tmp_path, capsys):
    """And one with a broken lesson too."""
    assert main(["lessons", "--from", str(tmp_path)]) == 2
    assert "lessons: needs a folder with lessons, such as notebooks/01_*.ipynb, got none in" in (
        capsys.readouterr().err
    )
    (tmp_path / "01_broken.ipynb").write_text("{}", encoding="utf-8")
    assert main(["lessons", "--from", str(tmp_path)]) == 2
    assert "01_broken.ipynb: needs a notebook, got a file that is none" in capsys.readouterr().err


def test_the_lessons_of_the_kit_are_found_from_anywhere(tmp_path, monkeypatch, capsys):
    """Beside the library, when there is no folder of notebooks here."""
    monkeypatch.chdir(tmp_path)

    assert main(["lessons"]) == 0
    assert " lessons, " in capsys.readouterr().out
