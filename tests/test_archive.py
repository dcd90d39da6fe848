"""Many sheets rechecked at once: the same answers in any way, and one bad sheet stops nothing."""

import io
import os
import signal
from pathlib import Path

import pytest

from calclib import cli
from calclib.errors import InputError
from calclib.job.file import read
from calclib.job.solve import solve
from calclib.sheet import archive
from calclib.sheet.page import render

EXAMPLES = Path(__file__).parents[1] / "examples"

# They start processes: one after the other.
pytestmark = pytest.mark.xdist_group("archive")


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """Sheets of every kind: whole, edited, none at all, one that cannot be solved any more."""
    place = tmp_path_factory.mktemp("archive")
    page = render(solve(read(EXAMPLES / "basement_beam.toml")), draft=True)
    sheets = {
        "a.html": page,
        "b.html": "<p>nothing</p>",
        "c.html": page.replace("passes</span>", "FAILS</span>", 1),
        "d.html": page.replace("plies = 3", "plies = 0"),
        "e.html": page,
    }
    for name, html in sheets.items():
        (place / name).write_text(html, encoding="utf-8", newline="\n")
    return place


def files(folder):
    return sorted(folder.glob("*.html"))


@pytest.fixture(scope="module")
def expected(folder):
    """What one process finds, one sheet after the other."""
    found = list(archive.in_order(files(folder), archive.here, 1))

    assert [each.file for each in found] == ["a.html", "b.html", "c.html", "d.html", "e.html"]
    states = [each.result.is_same if each.result else each.error for each in found]
    assert states[0] is True
    assert states[4] is True
    assert "b.html: needs a calc sheet with its job file" in states[1]
    assert states[2] is False
    return found


def test_processes_of_this_machine_find_the_same(folder, expected):
    pytest.importorskip("joblib")

    found = list(archive.in_order(files(folder), archive.locally(2), 2))

    assert found == expected


def test_a_dask_cluster_of_two_workers_finds_the_same(folder, expected, capsys):
    """Of this machine's own, and by the address of a scheduler; wrong versions are refused."""
    distributed = pytest.importorskip("distributed")

    with archive.cluster("", 2) as (run, workers):
        found = list(archive.in_order(files(folder), run, workers))
        # It slows NumPy in the workers.
        trimmed = distributed.default_client().run(os.environ.get, "MALLOC_TRIM_THRESHOLD_")
        address = distributed.default_client().scheduler.address
        code = cli.main(["recheck", str(folder), "--dask", address])
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(archive, "__version__", "9.9")
            with pytest.raises(InputError, match=r"needs calclib 9\.9, got 0\."):
                archive.cluster(address, 2).__enter__()

    assert workers == 2
    assert found == expected
    assert list(trimmed.values()) == [None, None]
    assert code == 2
    out, err = capsys.readouterr()
    assert "5 sheets: 2 the same, 1 differ, 2 cannot be rechecked." in out
    assert "b.html: needs a calc sheet" in err


def test_a_scheduler_that_does_not_answer_is_named(folder, capsys):
    pytest.importorskip("distributed")

    assert cli.main(["recheck", str(folder), "--dask", "nonsense://nowhere"]) == 2

    assert "--dask nonsense://nowhere: needs a scheduler, got" in capsys.readouterr().err


def test_without_the_packages_for_a_cluster_the_command_says_what_to_install(
    folder, capsys, monkeypatch
):
    monkeypatch.setitem(__import__("sys").modules, "dask", None)

    assert cli.main(["recheck", str(folder), "--dask"]) == 2

    assert 'pip install "calclib[cluster]"' in capsys.readouterr().err


def deadly(chunk):
    """Recheck a chunk, and die of one sheet as a process does that runs out of memory."""
    if any(name == "c.html" for name, _ in chunk):
        os.kill(os.getpid(), signal.SIGKILL)
    return archive.recheck_chunk(chunk)


def test_a_worker_that_dies_of_one_sheet_stops_no_other(folder, expected):
    pytest.importorskip("joblib")

    found = list(archive.in_order(files(folder), archive.locally(2, deadly), 2))

    assert [each for each in found if each.file != "c.html"] == [
        each for each in expected if each.file != "c.html"
    ]
    (dead,) = [each for each in found if each.file == "c.html"]
    assert dead.result is None
    assert "c.html: needs a sheet that can be recomputed, got the end of the process" in dead.error


def test_what_nobody_foresaw_in_one_sheet_stops_no_other(folder, expected, monkeypatch):
    whole = archive.recheck_bytes

    def stumbles(raw, name):
        if name == "a.html":
            raise RecursionError("too deep")
        return whole(raw, name)

    monkeypatch.setattr(archive, "recheck_bytes", stumbles)

    found = list(archive.in_order(files(folder), archive.here, 1))

    assert found[1:] == expected[1:]
    assert "a.html: needs a sheet that can be recomputed, got RecursionError (too deep)" in (
        found[0].error
    )


def test_sheets_are_read_when_their_turn_comes(tmp_path):
    """An archive of years does not have to fit into the memory."""
    taken = []

    def run(chunks):
        for chunk in chunks:
            taken.append([name for name, _ in chunk])
            for later in tmp_path.glob("*.html"):
                later.unlink()
            yield archive.recheck_chunk(chunk)

    for number in range(20):
        (tmp_path / f"{number:02}.html").write_text("none", encoding="utf-8")
    found = list(archive.in_order(files(tmp_path), run, 1))

    assert [len(chunk) for chunk in taken] == [5, 5, 5, 5]
    assert "needs a calc sheet" in found[0].error
    assert "cannot be read" in found[-1].error


class Terminal(io.StringIO):
    def isatty(self):
        return True


@pytest.mark.parametrize("stream", [Terminal(), io.StringIO()], ids=["terminal", "file"])
def test_a_bar_shows_how_far_it_is_on_a_terminal_only(expected, stream):
    progress = archive.Progress(len(expected), stream)
    for outcome in expected:
        progress.add(outcome)
    progress.clear()

    said = stream.getvalue()
    last = "[##############################] 5 of 5: 2 the same, 1 differ, 2 cannot be rechecked"
    assert (last in said) == stream.isatty()
    assert (said == "") == (not stream.isatty())
