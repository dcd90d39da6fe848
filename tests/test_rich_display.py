"""What a notebook shows of the kit's own things: HTML for a page, text for a terminal."""

import re
from pathlib import Path
from xml.etree import ElementTree

import pytest
from IPython.core.formatters import DisplayFormatter

from calclib.job import rich
from calclib.job.file import parse, read
from calclib.job.solve import solve

LARKSPUR = Path(__file__).parents[1] / "examples" / "larkspur_house.toml"
SOLVED = solve(read(LARKSPUR))
BEAM = SOLVED.beams[0]
CHECK = BEAM.checks[0]

SHOWN = {
    "leaf": SOLVED.inputs["beams.opening.spans.opening"],
    "value": CHECK.demand,
    "check": CHECK,
    "beam": BEAM,
    "job": SOLVED.job,
    "solved job": SOLVED,
}


@pytest.mark.parametrize("name", SHOWN)
def test_everything_shows_itself_on_a_page_and_in_a_terminal(name):
    """As a notebook asks it to."""
    bundle, _ = DisplayFormatter().format(SHOWN[name])

    assert len(bundle["text/plain"]) > 20
    assert " object at 0x" not in bundle["text/plain"]
    assert bundle["text/html"].lstrip().startswith("<")


@pytest.mark.parametrize(
    "html",
    [rich.job_html(SOLVED.job), rich.beam_html(BEAM), rich.solved_html(SOLVED)],
    ids=["job", "beam", "solved job"],
)
def test_tables_have_captions_and_scopes(html):
    """What a reader who does not see them needs; and the markup closes what it opens."""
    page = ElementTree.fromstring(f"<div>{html}</div>")

    assert page.findall(".//table")
    for table in page.iter("table"):
        assert table.find("caption").text
        assert {head.get("scope") for head in table.iter("th")} == {"col", "row"}


def test_a_solved_job_lists_every_check_with_its_state():
    """And says that an engineer reviews it."""
    html = rich.solved_html(SOLVED)

    for check in SOLVED.checks:
        assert check.title in html
    for state in ("passes", "fails", "open"):
        found = sum(check.state == state for check in SOLVED.checks)
        assert html.count(f'<tr class="calc-{state}">') == found
    assert "An engineer reviews the sheet" in html


def test_a_beam_shows_its_reactions():
    """The largest of each bearing, with its unit."""
    html = rich.beam_html(BEAM)

    assert len(re.findall(r"[\d,]+ lbf</td>", html)) == len(BEAM.reactions)
    assert BEAM.piece.material.name in html


def test_text_of_a_job_is_escaped():
    """A title or a name is data."""
    text = LARKSPUR.read_text(encoding="utf-8")
    title = "Larkspur house: opening between kitchen and dining room"
    assert title in text
    job = parse(text.replace(title, "<img src=x onerror=alert(1)>"))

    html = rich.job_html(job) + rich.solved_html(solve(job))

    assert "<img" not in html
    assert html.count("&lt;img src=x onerror=alert(1)&gt;") == 2


def test_the_style_reaches_nothing_but_its_own():
    """Every rule begins with a class of the kit's, and no color is fixed."""
    rules = re.findall(r"([^{}]+)\{([^{}]*)\}", rich.STYLE.replace("<style>", ""))

    for selectors, declarations in rules:
        assert all(part.strip().startswith(".calc-") for part in selectors.split(","))
        assert not re.search(r"#[0-9a-fA-F]{3}|rgb", declarations)
