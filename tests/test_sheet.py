"""The calc sheet: what it holds, that it is whole, and that its text is harmless."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ElementTree
from itertools import pairwise
from pathlib import Path

import pytest
from printed import assert_recomputes

from calclib.errors import InputError
from calclib.job.file import parse, read
from calclib.job.solve import Solved, solve
from calclib.sheet import sections
from calclib.sheet.page import render, write
from calclib.trace import Call, Formula, Leaf, Value, walk, worst_of

EXAMPLES = sorted((Path(__file__).parent.parent / "examples").glob("*.toml"))
LARKSPUR = next(path for path in EXAMPLES if path.stem == "larkspur_house")


@pytest.fixture(scope="module")
def solved() -> Solved:
    return solve(read(LARKSPUR))


@pytest.fixture(scope="module")
def page(solved: Solved) -> str:
    return render(solved)


def text_of(html: str) -> str:
    """Return the words of a page, without markup."""
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", html))


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_two_runs_give_the_same_bytes(path: Path):
    first = render(solve(read(path)))

    second = render(solve(read(path)))

    assert first.encode() == second.encode()
    assert len(first.encode()) < 1_000_000


def test_the_sheet_is_one_file_that_asks_for_nothing(page: str):
    assert "default-src 'none'" in page
    assert not re.search(r"<(script|link|iframe|object|embed|form|base)\b", page)
    assert not re.search(r"""(?:src|href)\s*=\s*["'](?!#|data:)""", page)
    assert not re.search(r"url\((?![\"']?(?:data:|#))", page)


def test_every_check_stands_in_the_summary_and_below_it(solved: Solved, page: str):
    for check in solved.checks:
        anchor = "check-" + re.sub(r"[^A-Za-z0-9]", "-", check.id)
        assert page.count(f'href="#{anchor}"') >= 1
        assert page.count(f'id="{anchor}"') == 1


def test_every_link_of_the_page_leads_somewhere_and_ids_are_unique(page: str):
    ids = re.findall(r'\bid="([^"]+)"', page)
    links = set(re.findall(r'href="#([^"]+)"', page))

    assert len(ids) == len(set(ids))
    assert links <= set(ids)


def test_headings_follow_in_order(page: str):
    levels = [int(level) for level in re.findall(r"<h([1-6])\b", page)]

    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(after - before <= 1 for before, after in pairwise(levels))


def test_what_is_open_is_never_shown_or_counted_as_a_pass(solved: Solved):
    html = dict(sections.standard(solved))

    open_checks = [check for check in solved.checks if check.state == "open"]
    summary = text_of(html["summary"])
    assert open_checks
    assert f"{len(open_checks)} are open" in summary
    for check in open_checks:
        row = next(r for r in html["summary"].split("<tr>") if f">{check.title}<" in r)
        assert "OPEN" in row
        assert "passes" not in row


def test_a_title_block_without_names_says_so(page: str):
    assert re.search(r"Checked by</th><td>not given", page)


def test_the_cautions_defer_to_local_code_and_licensed_practice(page: str):
    text = text_of(page)

    assert "Local code, the building official and licensed practice decide" in text
    assert not re.search(r"\b(safe|approved)\b", text, re.IGNORECASE)


def test_the_job_file_stands_on_its_sheet_so_that_it_can_be_run_again(page: str):
    import html

    shown = re.search(r'<pre id="job-file">(.*?)</pre>', page, re.DOTALL)

    assert shown is not None
    again = html.unescape(shown[1])
    assert render(solve(parse(again, LARKSPUR.name))) == page


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_every_printed_equation_recomputes_from_its_printed_numbers(path: Path):
    solved = solve(read(path))
    lines = 0

    for check in solved.checks:
        for value in _equations(check):
            several = getattr(value.number, "ndim", 0)
            assert_recomputes(value, check.case if several else None)
            lines += 1

    assert lines > 50


def _equations(check) -> list[Value]:  # type: ignore[no-untyped-def]
    targets = [v for v in (check.demand, check.capacity, *worst_of(check)) if v is not None]
    return [
        value
        for value in walk(*targets)
        if isinstance(value.origin, Call) and isinstance(value.origin.function, Formula)
    ]


def test_every_assumption_that_reaches_a_check_stands_in_the_register(
    solved: Solved,
):
    register = dict(sections.standard(solved))["assumptions"]

    for id in (
        "joists.east.span",
        "surfaces.roof.layers.deck_and_rafters",
        "beams.opening.F_b",
        "nds-2018-2-3-2/occupancy live/C_D",
    ):
        assert f"<code>{id}</code>" in register
    assert "No basis stated in the job file" in register


def test_a_number_from_memory_says_so_on_the_sheet():
    text = text_of(render(solve(read(EXAMPLES[0]))))

    assert "from memory, compare with the printed table" in text


HOSTILE = "</title><script>alert(1)</script><img src=x onerror=alert(2)>&\"'$\\frac{$"


def test_text_from_the_job_cannot_break_or_script_the_page():
    given = HOSTILE.replace("\\", "\\\\").replace('"', '\\"')
    text = LARKSPUR.read_text("utf-8")
    for old in (
        "Larkspur house: opening between kitchen and dining room",
        "LH-01",
        "Larkspur house, Nordhollow",
        "tape, first survey",
        "IRC 2018",
        "nail lines in the ceiling",
        "LVL 2.0E",
    ):
        assert old in text
        text = text.replace(f'"{old}"', f'"{given}"')
    text = text.replace('revision = "A"', f'revision = "{given}"')

    page = render(solve(parse(text)))

    assert "<script" not in page
    assert not re.search(r"<[^>]*\bonerror\s*=", page)
    assert page.count("<title>") - page.count("<svg") <= 1
    assert page.count("</body>") == 1


def test_every_math_element_has_its_line_of_text(page: str):
    elements = re.findall(r"<math\b[^>]*>", page)

    assert elements
    assert all(re.search(r'alttext="[^"]+"', element) for element in elements)


def test_the_mathml_is_well_formed(page: str):
    for element in re.findall(r"<math\b.*?</math>", page, re.DOTALL):
        ElementTree.fromstring(element)


def test_every_figure_has_a_caption_and_says_its_result_in_words(page: str):
    figures = re.findall(r"<figure>.*?</figure>", page, re.DOTALL)

    # Two plans, the elevation, the section, the load path, the diagrams.
    assert len(figures) == 6
    assert all("<figcaption>" in figure for figure in figures)
    assert "Moment peaks at 16,284 lbf·ft" in page


def test_a_sheet_in_si_shows_si_and_derives_in_the_units_of_its_standard():
    text = LARKSPUR.read_text("utf-8").replace('units = "US" ', 'units = "SI" ')

    page = text_of(render(solve(parse(text))))

    # 13 ft 6 in clear and two halves of 3-1/2 in: 165.5 in is 4.2037 m.
    assert "4.204 m" in page
    # 1 psi is 6.894757 kPa (NIST SP 811): 1,583.6 psi is 10.92 MPa.
    assert re.search(r"1,584 psi \(10\.92 MPa\)", page)
    assert "16,284 lbf·ft" not in dict(sections.standard(solve(parse(text))))["summary"]


def test_a_kill_while_writing_leaves_the_last_sheet(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
):
    target = tmp_path / "sheet.html"
    target.write_text("last good sheet", "utf-8")

    def killed(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("calclib.sheet.page.os.fsync", killed)
    with pytest.raises(KeyboardInterrupt):
        write("<!DOCTYPE html>half", target)

    assert target.read_text("utf-8") == "last good sheet"
    assert list(tmp_path.iterdir()) == [target]


def test_a_formula_stands_in_full_once_and_by_its_numbers_after_that(page: str):
    """Every line has its number, and a repeated one names the first of its kind."""
    numbers = [int(n) for n in re.findall(r'<tr id="n(\d+)"', page)]
    again = re.findall(
        r'<tr id="n(\d+)" class="again"><td class="r">\d+ as <a href="#n(\d+)">', page
    )

    assert numbers == list(range(1, len(numbers) + 1))
    assert len(again) > 20
    firsts = {first for _, first in again}
    for number, first in again:
        assert int(first) < int(number)
    for first in firsts:
        assert f'<tr id="n{first}">' in page


def test_every_result_names_what_it_came_from_and_every_assumption_the_checks_it_reaches(
    solved: Solved, page: str
):
    """Against a walk of the graph: the register's links are the checks that a leaf reaches."""
    rows = re.findall(r'<span id="a(\d+)">A\d+</span> .*?<code>(.*?)</code>.*?</tr>', page)
    links = r"<td>([^<]*(?:<a [^>]*>C\d+</a>[^<]*)*)</td></tr>"
    cells = dict(re.findall(r'<span id="(a\d+)">.*?' + links, page))
    reached: dict[str, set[int]] = {}
    for number, check in enumerate(solved.checks, start=1):
        targets = [v for v in (check.demand, check.capacity) if v is not None]
        targets += [condition.ratio for condition in check.conditions]
        for value in walk(*targets):
            if isinstance(value.origin, Leaf):
                reached.setdefault(value.id, set()).add(number)

    assert len(rows) == len(reached)
    for place, id in rows:
        words = re.sub(r"<[^>]+>", "", cells[f"a{place}"])
        named: set[int] = set()
        for run in words.split(", "):
            ends = [int(end.strip().lstrip("C")) for end in run.split("–")]
            named |= set(range(ends[0], ends[-1] + 1))
        assert named == reached[html_text(id)]


def html_text(escaped: str) -> str:
    import html

    return html.unescape(escaped)


RECORDS = """
[revisions.first]
date = 2026-10-01
what = "first <issue> & survey"
mark = "0"
[revisions.A]
date = 2026-11-02
what = "joists measured again"
[permit.shoring_plan]
where = "drawing S-2 <of> R. Alder"
"""


def test_revisions_and_the_permit_set_say_what_the_job_says_of_them():
    job = LARKSPUR.read_text("utf-8") + RECORDS

    html = dict(sections.standard(solve(parse(job))))

    assert "<td>2026-10-01</td><td>first &lt;issue&gt; &amp; survey</td>" in html["title"]
    assert html["title"].index("2026-10-01") < html["title"].index("2026-11-02")
    permit = text_of(html["permit"])
    assert "Shoring plan drawing S-2 &lt;of&gt; R. Alder" in permit
    # Not entered and not on this sheet.
    assert "Inspections by others" in permit
    assert "Who is responsible by others" in permit


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("[revisions.A]", "[revisions.B]", r'the revision of the title block, "A", as the last'),
        ("[permit.shoring_plan]", "[permit.shoring]", 'got "shoring". Did you mean "shoring_plan"'),
        ("mark = ", "source = ", "revisions.first.source: needs a key that it knows"),
        ("date = 2026-11-02\n", "", "revisions.A.date: needs a date without quotes, got nothing"),
    ],
)
def test_a_slip_in_revisions_or_permit_set_is_named(old: str, new: str, message: str):
    job = LARKSPUR.read_text("utf-8") + RECORDS.replace(old, new)

    with pytest.raises(InputError) as refusal:
        parse(job)

    assert message in str(refusal.value)


def test_what_was_assumed_or_recalled_or_is_open_has_a_box_to_tick(solved: Solved):
    """One for each assumed number or word, each number from memory, and each question."""
    html = dict(sections.standard(solved))["verify"]
    questions = {question for check in solved.checks for question in check.questions}
    register = sections.ordered_register(solved)
    assumed = [
        item
        for item in register
        if isinstance(item.what, Value)
        and isinstance(item.what.origin, Leaf)
        and (item.what.origin.basis == "assumed" or not item.what.origin.verified)
    ]
    words = [i for i in register if not isinstance(i.what, Value) and i.what.basis == "assumed"]

    assert html.count('class="box"') == len(questions) + len(assumed) + len(words)


def test_each_printed_page_names_the_job_the_revision_and_its_inputs(page: str):
    digest = re.search(r"SHA-256 <code>([0-9a-f]{64})", page)

    assert digest is not None
    assert f'content:"LH-01  rev. A  2026-10-12  inputs {digest[1][:10]}"' in page
