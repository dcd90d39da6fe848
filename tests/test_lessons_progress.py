"""A learner's file of answers: nothing that stands in it is ever lost."""

import json
import subprocess
import sys

import pytest

from calclib.errors import InputError
from calclib.lessons import progress
from calclib.lessons.course import workbook

HEAD = '{"calclib": "answers to exercises", "format": 1}'


def test_nothing_is_written_without_a_file_or_without_an_answer(tmp_path, monkeypatch):
    """The path is the learner's choice."""
    monkeypatch.chdir(tmp_path)
    workbook(4).answer("1 in")
    workbook(4, progress="mine.jsonl").answer("", "")

    assert list(tmp_path.iterdir()) == []


def test_each_answer_is_a_line_and_the_same_one_again_is_none(tmp_path):
    """A cell that is run again changes nothing."""
    file = tmp_path / "mine.jsonl"
    work = workbook(4, "autumn", str(file))
    right = work.exercises[1].shown
    work.answer("1 lbf", "99")
    work.answer("1 lbf", right)
    work.answer("1 lbf", right)

    head, *lines = file.read_text(encoding="utf-8").splitlines()
    assert head == HEAD
    assert [json.loads(line) for line in lines] == [
        {"lesson": 4, "exercise": 1, "seed": "autumn", "answer": "1 lbf", "state": "not read"},
        {"lesson": 4, "exercise": 2, "seed": "autumn", "answer": "99", "state": "wrong"},
        {"lesson": 4, "exercise": 2, "seed": "autumn", "answer": right, "state": "right"},
    ]
    kept = progress.read(file)
    assert [kept.words(4, number) for number in (1, 2, 3)] == ["1 try", "right", ""]


def test_what_was_right_once_stays_right(tmp_path):
    """A later try with other numbers takes nothing away."""
    file = tmp_path / "mine.jsonl"
    for seed in (1, 2):
        work = workbook(8, seed, str(file))
        work.answer(work.exercises[0].shown if seed == 1 else "1 lbf*ft")

    assert progress.read(file).words(8, 1) == "right"


def test_a_line_that_was_cut_off_costs_no_other(tmp_path):
    """As after a power cut; the next answer begins on a line of its own."""
    file = tmp_path / "mine.jsonl"
    workbook(4, 1, str(file)).answer("1 in", "1")
    whole = file.read_bytes()
    file.write_bytes(whole[:-20])
    workbook(4, 1, str(file)).answer("1 in", "2")

    found = progress.read(file)
    assert [each.answer for each in found.kept] == ["1 in", "2"]
    assert found.damaged == 1
    assert file.read_bytes().startswith(whole[:-20] + b"\n")


@pytest.mark.parametrize(
    "line", ["[]", "7", '{"lesson": 4}', '{"lesson": "4", "exercise": 1, "seed": "1", '
             '"answer": "", "state": ""}', "[" * 100_000, "\xff", '{"a": 1}']
)  # fmt: skip
def test_a_damaged_line_is_counted_and_left(tmp_path, line):
    """Whatever stands in it."""
    file = tmp_path / "mine.jsonl"
    workbook(4, 1, str(file)).answer("1 in")
    with file.open("a", encoding="utf-8") as end:
        end.write(line + "\n")
    workbook(4, 1, str(file)).answer("2 in")

    found = progress.read(file)
    assert [each.answer for each in found.kept] == ["1 in", "2 in"]
    assert found.damaged == 1
    assert line in file.read_text(encoding="utf-8")


def test_a_file_that_is_something_else_is_not_touched(tmp_path):
    """A slip of the path must not end in a thesis."""
    file = tmp_path / "thesis.tex"
    file.write_text("\\documentclass{book}\n", encoding="utf-8")

    with pytest.raises(InputError, match=r"needs a file of answers, or a name that is free, got"):
        workbook(4, 1, str(file)).answer("1 in")
    assert file.read_text(encoding="utf-8") == "\\documentclass{book}\n"


def test_a_file_that_cannot_be_written_is_said(tmp_path):
    """With the reason of the system."""
    with pytest.raises(InputError, match="needs a file of answers, got Is a directory"):
        workbook(4, 1, str(tmp_path)).answer("1 in")
    with pytest.raises(InputError, match="needs a file that can be written, got No such file"):
        workbook(4, 1, str(tmp_path / "no" / "mine.jsonl")).answer("1 in")


def test_two_notebooks_write_to_one_file(tmp_path):
    """At the same time, and every answer of both is there."""
    file = tmp_path / "mine.jsonl"
    workbook(4, 1, str(file)).answer("1 in")
    program = (
        "import sys\n"
        "from calclib.lessons.course import workbook\n"
        "for n in range(40):\n"
        "    workbook(int(sys.argv[2]), 1, sys.argv[1]).answer(f'{n + 2} psf')\n"
    )
    both = [
        subprocess.Popen([sys.executable, "-c", program, str(file), lesson])
        for lesson in ("5", "6")
    ]
    codes = [each.wait(timeout=120) for each in both]

    found = progress.read(file)
    assert codes == [0, 0]
    assert found.damaged == 0
    assert [len(found.of(lesson, 1)) for lesson in (4, 5, 6)] == [1, 40, 40]
