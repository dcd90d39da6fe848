"""The size chart: its lines, its longest spans and its mark say what single solutions say."""

import re
from itertools import pairwise
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pytest

from calclib.errors import InputError
from calclib.job.file import parse, read
from calclib.job.solve import solve
from calclib.lessons import choices, opening_study
from calclib.lessons.chart import ALL, Charter
from calclib.lessons.charting import BOTTOM, HEIGHT, LEFT, RIGHT, TOP, WIDTH, Axes
from calclib.lessons.reading import percent
from calclib.lessons.sizing import (
    carried_by,
    in_size,
    span_rows,
    span_text,
    utilization_chart,
    what_carries,
)

EXAMPLES = Path(__file__).parents[1] / "examples"
LARKSPUR, BASEMENT, FOXGLOVE = (
    EXAMPLES / f"{name}.toml" for name in ("larkspur_house", "basement_beam", "foxglove_cottage")
)
SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture(scope="module")
def job():
    return read(LARKSPUR)


@pytest.fixture(scope="module")
def study(job):
    return opening_study(job)


@pytest.fixture(scope="module")
def carried(study, job):
    return list(what_carries(study, job, "span"))


def test_the_longest_span_is_the_last_that_carries(study):
    """At it no check fails, 3 in further one does; each by a single solution."""
    found = carried_by(utilization_chart(study, "span", widths=5), "1-3/4 x 11-7/8", 3)

    for width, span in zip(found.widths, found.longest, strict=True):
        assert all(line.used <= 1 for line in study.at(span=span, width=width).checks)
        assert any(line.used > 1 for line in study.at(span=span + 3.0, width=width).checks)


def test_a_deeper_section_spans_further_under_the_same_load(carried):
    depths = [each.size.rpartition("x")[2].strip() for each in carried]

    assert depths[:3] == ["5-1/2", "7-1/4", "9-1/4"]
    for one, other in pairwise(carried):
        assert (other.longest >= one.longest).all()
    assert all((np.diff(each.longest) <= 0).all() for each in carried)


@pytest.mark.parametrize("path", [LARKSPUR, FOXGLOVE], ids=lambda path: path.stem)
def test_the_beam_in_another_size_is_that_of_the_job_with_it(path):
    """Only the beam is solved anew, for what lands on it does not depend on its size."""
    job = read(path)
    found = in_size(opening_study(job), job, "1-3/4 x 14").at()

    beam = solve(choices.with_choices(job, "opening", {"size": "1-3/4 x 14"})).beams[0]

    assert [line.used for line in found.checks] == pytest.approx([c.worst for c in beam.checks])
    assert [line.id for line in found.checks] == [c.id for c in beam.checks]


def test_a_short_span_beside_a_long_one_may_lift_off():
    """The basement beam's west span holds from some length on only; the table says from where."""
    study = opening_study(BASEMENT)
    found = carried_by(utilization_chart(study, "span_west", widths=5), "2x10", 3)
    place = 2

    text = span_text(found, place, si=False)

    shortest, width = found.shortest[place], found.widths[place]
    assert " to " in text
    failing = study.at(span_west=shortest - 3.0, width=width).checks
    assert [line.id.split("/")[2] for line in failing if line.used > 1] == ["uplift.west_pocket"]


def test_what_does_not_end_and_what_does_not_carry_is_said(carried):
    rows = span_rows(carried, si=False)

    assert rows[0][:3] == ("section", "6 ft 0 in", "9 ft 3 in")
    assert rows[1][0] == "3 x 1-3/4 x 5-1/2"
    assert rows[-1][1] == "≥ 21 ft 0 in"
    assert {len(row) for row in rows} == {6}


def drawn(charter):
    return ElementTree.fromstring(re.search(r"<svg.*</svg>", charter._figure.value, re.DOTALL)[0])


@pytest.fixture(scope="module")
def charter():
    return Charter(read(LARKSPUR))


def test_the_bold_line_is_where_a_check_is_used_up(charter, study):
    """Each of its places by a single solution, within what lies between two points of the grid."""
    axes = Axes(*(study.freedoms[key].setting for key in ("span", "width")))
    bold = [e for e in drawn(charter).iter(f"{SVG}polyline") if e.get("stroke-width") == "2.8"]
    spots = [tuple(map(float, spot.split(","))) for spot in bold[0].get("points").split()]
    assert len(spots) > 20

    for x, y in spots[::7]:
        span = axes.x.low + (x - LEFT) / (RIGHT - LEFT) * (axes.x.high - axes.x.low)
        width = axes.y.low + (BOTTOM - y) / (BOTTOM - TOP) * (axes.y.high - axes.y.low)
        reading = study.at(span=span, width=min(max(width, axes.y.low), axes.y.high))
        assert reading.governing.used == pytest.approx(1.0, abs=0.005)


def test_lines_are_labeled_and_what_fails_is_hatched(charter):
    """So that it is read in black and white: numbers in the lines, no color but the mark's."""
    root = drawn(charter)
    labels = [e.text for e in root.iter(f"{SVG}text") if "paint-order" in e.get("style", "")]

    assert {"0.5", "0.75", "1"} <= set(labels)
    assert any("url(#calc-hatch)" in e.get("fill", "") for e in root.iter(f"{SVG}polyline"))
    colors = {e.get("stroke") for e in root.iter() if e.get("stroke")}
    assert colors <= {"currentColor", "none"}


def test_all_of_the_chart_lies_on_the_paper(charter):
    spots = [
        tuple(map(float, spot.split(",")))
        for e in drawn(charter).iter(f"{SVG}polyline")
        for spot in e.get("points").split()
    ]
    spots += [(float(t.get("x")), float(t.get("y"))) for t in drawn(charter).iter(f"{SVG}text")]

    assert all(-0.1 <= x <= WIDTH and -0.1 <= y <= HEIGHT for x, y in spots)


@pytest.fixture
def fresh(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    return Charter(read(LARKSPUR))


def test_the_mark_follows_a_number_and_the_lines_stay(fresh, study):
    lines, before = fresh._lines, fresh._figure.value

    fresh.controls["span"].entry.value = "15 ft 2 1/2 in"

    reading = study.at(span="15 ft 2 1/2 in")
    assert fresh._lines is lines
    assert fresh._figure.value != before
    assert percent(reading.governing.used) in fresh._said.value
    assert "clear span 15 ft 2 1/2 in" in fresh._said.value
    assert "clear span 15 ft 2 1/2 in" in drawn(fresh).get("aria-label")


def test_another_size_draws_other_lines_and_says_other_spans(fresh):
    lines, table = fresh._lines, fresh._table.value

    fresh.choices.lists["size"].value = "1-3/4 x 14"

    assert fresh._lines != lines
    assert fresh._table.value != table
    assert "3 x 1-3/4 x 14" in fresh._table.value


def test_all_depths_are_lines_and_rows(fresh, carried, monkeypatch):
    """As `what_carries` found them for this job already."""
    monkeypatch.setattr("calclib.lessons.chart.what_carries", lambda *_: iter(carried))

    fresh.shows.value = ALL

    labels = [
        e.text for e in drawn(fresh).iter(f"{SVG}text") if "paint-order" in e.get("style", "")
    ]
    assert "11-7/8" in labels
    assert fresh._table.value.count("<tr>") == len(carried) + 1
    fills = [e.get("fill") or "" for e in drawn(fresh).iter(f"{SVG}polyline")]
    assert not any("calc-hatch" in fill for fill in fills)


def test_another_span_of_a_long_beam_lies_across():
    charter = Charter(read(BASEMENT))
    lines = charter._lines

    charter.across.value = "span_middle"

    assert charter._lines != lines
    assert "Longest clear span middle" in charter._table.value


def test_its_state_is_written_and_started_from(fresh, tmp_path):
    box = fresh.box.children[-1]
    (name, write), (start, open_) = (row.children for row in box.children[:2])
    fresh.controls["width"].entry.value = "14 ft 2 in"
    fresh.choices.lists["plies"].value = "4"
    shown = fresh._shown
    name.value = start.value = "larkspur_c.toml"

    write.click()
    fresh.controls["width"].entry.value = "8 ft"
    open_.click()

    written = solve(parse((tmp_path / "larkspur_c.toml").read_text("utf-8"))).beams[0]
    used = [line.used for line in shown.checks]
    assert [check.worst for check in written.checks] == pytest.approx(used, rel=1e-9)
    assert [line.used for line in fresh._shown.checks] == pytest.approx(used, rel=1e-9)
    assert fresh.choices.lists["plies"].value == "4"


def test_a_beam_without_joists_has_no_tributary_width():
    text = LARKSPUR.read_text("utf-8").replace(
        'rests_on = ["beams.opening", ', 'rests_on = ["walls.bedroom_2", '
    ).replace('["beams.opening", "walls.west"]', '["walls.bedroom_2", "walls.west"]')  # fmt: skip
    text += '\n[walls.bedroom_2]\nrests_on = "ground"\nfrom = "0 ft"\nto = "13 ft 6 in"\n'

    with pytest.raises(InputError, match="needs joists that rest on it"):
        Charter(parse(text))
