"""Recheck and compare: every edit is found, nothing hostile runs, nothing true is called false."""

from __future__ import annotations

import os
import random
import re
from pathlib import Path

import pytest

from calclib import cli
from calclib.errors import InputError
from calclib.job.file import parse, read
from calclib.job.solve import solve
from calclib.sheet.compare import as_page, compare
from calclib.sheet.page import render
from calclib.sheet.recheck import job_of_sheet, recheck

EXAMPLES = Path(__file__).parent.parent / "examples"
EDITS = 400 if os.environ.get("CALCLIB_LONG") else 12
HOSTILE = '<script>alert("1")</script> & {{ 7 * 7 }} $\\frac{$ "> <img src=x onerror=alert(1)>'


@pytest.fixture(scope="module")
def page():
    # A draft, for the many that are recomputed below.
    return render(solve(read(EXAMPLES / "larkspur_house.toml")), draft=True)


def sheet(folder: Path, html: str, name: str = "sheet.html") -> Path:
    path = folder / name
    path.write_text(html, encoding="utf-8", newline="\n")
    return path


@pytest.mark.parametrize("name", ["larkspur_house", "basement_beam", "foxglove_cottage"])
def test_a_sheet_that_nobody_touched_reads_as_recomputed(name, tmp_path):
    html = render(solve(read(EXAMPLES / f"{name}.toml")), draft=True)

    found = recheck(sheet(tmp_path, html))

    assert found.is_same, found.differences
    assert found.unchecked == ()


def test_any_number_that_was_edited_by_hand_is_found(page, tmp_path):
    """A digit of a visible number, changed: anywhere but in a drawing's geometry."""
    dice = random.Random(20261126)
    body = page.index("<main>")
    cut = page.index('<pre id="job-file">')
    places = [
        match.start(1)
        for match in re.finditer(r">[^<]*?(\d)[^<]*<", page)
        if body < match.start() < cut
    ]
    for place in dice.sample(places, EDITS):
        digit = str((int(page[place]) + dice.randint(1, 9)) % 10)
        edited = page[:place] + digit + page[place + 1 :]
        if edited == page:
            continue

        found = recheck(sheet(tmp_path, edited))

        assert not found.is_same, page[place - 40 : place + 40]


def test_a_verdict_and_an_input_that_were_edited_are_found(page, tmp_path):
    verdict = page.replace(">OPEN<", ">passes<", 1)
    found = recheck(sheet(tmp_path, verdict))
    assert ("passes", "OPEN") in [(d.found, d.expected) for d in found.differences]

    job = page.replace("plies = 3\n", "plies = 4\n", 1)
    found = recheck(sheet(tmp_path, job))
    assert any("SHA-256" in d.found for d in found.differences)
    assert any(d.section == "checks" for d in found.differences)


def test_a_sheet_of_another_version_is_recomputed(page, tmp_path):
    older = page.replace("Made by calclib 0.1.0", "Made by calclib 0.0.9")

    found = recheck(sheet(tmp_path, older))

    assert ("calclib 0.0.9", "calclib 0.1.0") in [(d.found, d.expected) for d in found.differences]


def test_a_designer_s_own_part_is_named_as_not_rechecked(page, tmp_path):
    own = page.replace("</main>", '<div class="added"><p>My own words: 12 psf.</p></div></main>')

    found = recheck(sheet(tmp_path, own))

    assert found.is_same
    assert any("My own words: 12 psf." in what for what in found.unchecked)
    missing = page[: page.index('<section id="loads">')] + page[page.index('<section id="diagr') :]
    found = recheck(sheet(tmp_path, missing))
    assert any("section loads" in what for what in found.unchecked)


@pytest.mark.parametrize(
    "html",
    [
        "",
        "<html><body>No sheet.</body></html>",
        "<pre id='job-file'>format = 1</pre>",
        '<section id="inputs"><p>Made by calclib 0.1.0 from x.toml, SHA-256 <code>'
        + "0" * 64
        + '</code>.</p><pre id="job-file">format = 1\n[job]\n</pre></section>',
        "<" * 2000 + ">" * 2000,
        "<section " + "a='b' " * 5000 + ">",
        "\x00\x01\x02",
    ],
)
def test_what_is_no_sheet_gets_a_clear_answer(html, tmp_path):
    with pytest.raises(InputError) as refusal:
        recheck(sheet(tmp_path, html))

    assert "sheet.html" in str(refusal.value)
    assert "Traceback" not in str(refusal.value)


def test_bytes_that_are_no_text_are_refused(tmp_path):
    path = tmp_path / "sheet.html"
    path.write_bytes(b"\xff\xfe\x00bad")

    with pytest.raises(InputError, match="needs a sheet in UTF-8"):
        recheck(path)


def test_hostile_words_of_a_job_come_back_as_words(tmp_path):
    text = (EXAMPLES / "larkspur_house.toml").read_text("utf-8")
    quoted = HOSTILE.replace("\\", "\\\\").replace('"', '\\"')
    text = text.replace('site = "Larkspur house, Nordhollow"', f'site = "{quoted}"')
    html = render(solve(parse(text, "hostile.toml")), draft=True)

    path = sheet(tmp_path, html)

    assert recheck(path).is_same
    assert job_of_sheet(path) == (text, "hostile.toml")


def test_the_command_takes_a_folder_and_one_bad_sheet_stops_nothing(page, tmp_path, capsys):
    sheet(tmp_path, page, "a.html")
    sheet(tmp_path, "<p>nothing</p>", "b.html")
    sheet(tmp_path, page.replace("0.546", "0.446"), "c.html")

    assert cli.main(["recheck", str(tmp_path)]) == 2

    out, err = capsys.readouterr()
    assert "a.html: reads as recomputed" in out
    assert "b.html" in err
    assert 'c.html, summary: says "0.446", recomputed "0.546"' in out
    assert cli.main(["recheck", str(tmp_path / "a.html")]) == 0
    assert cli.main(["recheck", str(tmp_path / "c.html")]) == 1


def test_compare_lists_what_changed_and_what_it_did(page, tmp_path, capsys):
    text = (EXAMPLES / "larkspur_house.toml").read_text("utf-8")
    other = tmp_path / "two.toml"
    other.write_text(text.replace("plies = 3", "plies = 2"), encoding="utf-8")
    one = sheet(tmp_path, page)

    found = compare(one, other)

    assert [(c.what, c.before, c.after) for c in found.inputs] == [
        ("beams.opening.plies", "3 (assumed)", "2 (assumed)")
    ]
    assert "finished/beams.opening/total_deflection" in found.verdicts
    page_ = as_page(found)
    assert "Results that differ" in page_
    assert cli.main(["compare", str(one), str(other), "-o", str(tmp_path / "out.html")]) == 1
    assert (tmp_path / "out.html").is_file()
    assert cli.main(["compare", str(EXAMPLES / "larkspur_house.toml"), str(one)]) == 0
    assert "nothing differs" in capsys.readouterr().out
    assert cli.main(["compare", str(one), str(tmp_path / "none.toml")]) == 2


def test_compare_tells_what_is_new_and_what_is_gone(tmp_path):
    text = (EXAMPLES / "larkspur_house.toml").read_text("utf-8")
    i, j = text.index("[points.chimney_strut]"), text.index("[beams.opening]")
    other = tmp_path / "two.toml"
    other.write_text(text[:i] + text[j:], encoding="utf-8")

    found = compare(EXAMPLES / "larkspur_house.toml", other)

    gone = {c.what for c in found.inputs if c.after == "-"}
    assert {"points.chimney_strut.dead", "points.chimney_strut.at"} <= gone
