"""The commands, as a person or a machine calls them."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from pathlib import Path

import pytest

from calclib.cli import BAD_INPUT, FAILED, OPEN, PASSED, main

EXAMPLES = Path(__file__).parent.parent / "examples"
LARKSPUR = EXAMPLES / "larkspur_house.toml"


def passing(text: str) -> str:
    """Return the example on beams in place of posts and walls, so that no check of it is open."""
    head, _, _ = text.partition("[posts.west]")
    floor, _, roof = head.partition("[surfaces.roof]")
    joists = floor + roof[roof.index("[joists.east]") : roof.index("[rafters.north]")]
    plate = 'on = "ground"\nplate = "Douglas fir-larch"\nplate_grade = "No.1"'
    beam = re.sub(r'on = "posts\.(east|west)"', plate, roof[roof.index("[beams.opening]") :])
    wood = (
        r'"beams.\1"]\nspecies = "Douglas fir-larch"\ngrade = "No.2"\nbearing = "1 1/2 in"\n'
        r'live_limit = "L/360"\ntotal_limit = "L/240"'
    )
    beams = [beam.replace("beams.opening", f"beams.{name}") for name in ("opening", "east", "west")]
    braces = "".join(
        f'[connections.{name}]\nkind = "end brace"\njoins = ["beams.{name}"]\n'
        'capacity = "1000 lbf"\n'
        for name in ("opening", "east", "west")
    )
    return "\n".join([re.sub(r'"walls\.(east|west)"\]', wood, joists), *beams, braces])


@pytest.fixture
def job(tmp_path: Path):
    def write(text: str, name: str = "job.toml") -> str:
        path = tmp_path / name
        path.write_text(text, "utf-8")
        return str(path)

    return write


def test_a_job_with_open_checks_ends_with_3(capsys: pytest.CaptureFixture[str]):
    code = main(["check", str(LARKSPUR)])

    out = capsys.readouterr().out
    assert code == OPEN
    assert "OPEN" in out
    assert "open: West post" in out


def test_a_job_whose_checks_all_pass_ends_with_0(job, capsys: pytest.CaptureFixture[str]):
    code = main(["check", job(passing(LARKSPUR.read_text("utf-8")))])

    out = capsys.readouterr().out
    assert code == PASSED
    assert " 0 fail, 0 open" in out


def test_a_job_with_a_failing_check_ends_with_1(job, capsys: pytest.CaptureFixture[str]):
    text = LARKSPUR.read_text("utf-8").replace(
        'opening = { value = "13 ft 6 in"', 'opening = { value = "21 ft 6 in"'
    )

    code = main(["check", job(text)])

    assert code == FAILED
    assert "FAILS" in capsys.readouterr().out


def test_a_bad_job_ends_with_2_and_lists_every_error_without_a_traceback(
    job, capsys: pytest.CaptureFixture[str]
):
    text = (
        LARKSPUR.read_text("utf-8")
        .replace('"13 ft 2 in"', '"13.2"')
        .replace('grade = "No.1"', 'grad = "No.1"', 1)
    )

    code = main(["check", job(text)])

    err = capsys.readouterr().err
    assert code == BAD_INPUT
    assert "joists.east.span" in err
    assert "posts.west.grad" in err
    assert "Traceback" not in err


def test_json_says_null_for_an_open_check_and_never_true(capsys: pytest.CaptureFixture[str]):
    main(["check", "--json", str(LARKSPUR)])

    checks = json.loads(capsys.readouterr().out)["checks"]
    open_ones = [check for check in checks if check["open_questions"]]
    assert open_ones
    assert all(check["passes"] is None and check["state"] == "open" for check in open_ones)
    assert {check["id"] for check in checks} >= {"finished/beams.opening/bending"}


def test_json_numbers_are_those_of_the_table(capsys: pytest.CaptureFixture[str]):
    main(["check", "--json", str(LARKSPUR)])
    checks = json.loads(capsys.readouterr().out)["checks"]
    main(["check", str(LARKSPUR)])
    table = capsys.readouterr().out

    for check in checks:
        if check["utilization"] is not None:
            assert check["utilization"] == pytest.approx(
                check["demand"] / check["capacity"], rel=1e-8
            )
            assert f"{check['utilization']:.3f}" in table


def test_the_keys_of_the_json_are_those_of_its_guide(capsys: pytest.CaptureFixture[str]):
    guide = (EXAMPLES.parent / "docs" / "check-json.md").read_text("utf-8")

    main(["check", "--json", str(LARKSPUR)])

    record = json.loads(capsys.readouterr().out)
    keys = {*record, *record["checks"][0]}
    assert all(f"| `{key}` |" in guide for key in keys)


def test_a_sheet_is_written_where_it_is_asked_for(tmp_path: Path):
    output = tmp_path / "out.html"

    code = main(["sheet", str(LARKSPUR), "-o", str(output)])

    assert code == OPEN
    assert output.read_text("utf-8").startswith("<!DOCTYPE html>")
    assert [path.name for path in tmp_path.iterdir()] == ["out.html"]


def test_a_failed_run_leaves_the_last_sheet_untouched(job, tmp_path: Path):
    output = tmp_path / "out.html"
    output.write_text("the last good sheet", "utf-8")
    bad = job(LARKSPUR.read_text("utf-8").replace("format = 1", "format = 9"))

    code = main(["sheet", bad, "-o", str(output)])

    assert code == BAD_INPUT
    assert output.read_text("utf-8") == "the last good sheet"


def test_a_folder_that_cannot_be_written_gives_one_plain_line(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
):
    code = main(["sheet", str(LARKSPUR), "-o", str(tmp_path / "none" / "out.html")])

    assert code == BAD_INPUT
    assert "cannot be written" in capsys.readouterr().err


def test_help_names_both_commands_and_the_exit_codes():
    made = subprocess.run(
        [sys.executable, "-m", "calclib", "check", "--help"],
        capture_output=True,
        text=True,
        check=True,
    )

    assert "exit code: 0 every check passes" in made.stdout


def test_help_imports_no_heavy_library():
    code = (
        "import sys; sys.argv = ['calclib', '--help']\n"
        "from calclib.cli import main\n"
        "try:\n    main()\nexcept SystemExit:\n    pass\n"
        "print([m for m in ('numpy', 'pint', 'sympy', 'scipy', 'matplotlib', 'jinja2')"
        " if m in sys.modules], file=sys.stderr)"
    )

    made = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)

    assert made.stderr.strip() == "[]"
