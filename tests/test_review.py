"""The review record: added to and never lost, tied to its inputs, never written by the kit."""

import re
from pathlib import Path

import pytest
from nbformat.v4 import new_code_cell, new_notebook, new_output

from calclib import cli
from calclib.errors import InputError
from calclib.job.file import parse as parse_job
from calclib.job.solve import solve
from calclib.sheet import review
from calclib.sheet.compose import compose
from calclib.sheet.notebook import section
from calclib.sheet.page import render
from calclib.sheet.recheck import recheck

ROOT = Path(__file__).parents[1]
JOB = (ROOT / "examples" / "larkspur_house.toml").read_text("utf-8")
WHO = {"by": "M. R.", "date": "2026-11-28"}
PLIES = ("beams.opening.plies", "agreed", 'counted "three" <plies> \\ on site')
BENDING = ("finished/beams.opening/bending", "question", "unbraced for 16 in?")
SPAN = ("joists.east.span", "to be verified", "")


def solved_with(*changes):
    text = JOB
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    return solve(parse_job(text, "larkspur_house.toml"))


@pytest.fixture(scope="module")
def solved():
    return solved_with()


@pytest.fixture
def path(tmp_path):
    return tmp_path / "larkspur_house.review.toml"


def holds(solved, record):
    """Return what the sheet says of each mark, by its item."""
    html = render(solved, record)
    part = html[html.index('<section id="review">') : html.index('<pre id="review-file">')]
    rows = re.findall(r"<code>([^<]+)</code></th>.*?<td>([^<]*)</td></tr>", part)
    return dict(rows)


def test_marks_come_back_as_they_were_made(solved, path):
    record = review.write(path, solved, [PLIES, BENDING, SPAN], **WHO)

    assert review.read(path) == record
    assert [(m.on, m.says, m.note) for m in record.marks] == [PLIES, BENDING, SPAN]
    assert {(m.by, m.date) for m in record.marks} == {("M. R.", "2026-11-28")}
    assert record.marks[2].value == "13 ft 2 in, measured"
    assert set(holds(solved, record).values()) == {"current"}


def test_what_stands_in_a_record_is_only_added_to(solved, path):
    """Comments, line ends and marks of others stay byte for byte."""
    by_hand = (
        b"# my own words\r\nformat = 1\r\n\r\n[[marks]]\r\non = 'joists.west.span'\r\n"
        b"says = 'question'\r\nby = 'X'\r\ndate = 2026-01-02"
    )
    path.write_bytes(by_hand)

    review.write(path, solved, [PLIES], **WHO)
    review.write(path, solved, [PLIES, SPAN], **WHO)

    assert path.read_bytes().startswith(by_hand)
    assert [mark.on for mark in review.read(path).marks] == [
        "joists.west.span", PLIES[0], SPAN[0],
    ]  # fmt: skip


def test_a_mark_is_out_of_date_when_what_it_was_made_for_has_changed(solved, path):
    """The plies and all that hangs on them, but not the span; a source counts as the number."""
    record = review.write(path, solved, [PLIES, BENDING, SPAN], **WHO)

    fewer = holds(solved_with(("plies = 3", "plies = 2")), record)
    other = holds(solved_with(("tape, first survey", "tape, second survey")), record)

    assert fewer[PLIES[0]] == "out of date: was 3, assumed, is now 2, assumed"
    assert fewer[BENDING[0]].startswith("out of date: was 0.546, ")
    # Two plies of three: a third of the section modulus is gone, and the weight of a ply.
    now = re.search(r"is now (0\.\d+)", fewer[BENDING[0]])
    assert float(now[1]) == pytest.approx(0.546 * 3 / 2, rel=0.02)
    assert fewer[SPAN[0]] == "current"
    assert other[PLIES[0]] == "current"
    assert (
        other[SPAN[0]] == "out of date: what it rests on has changed (still 13 ft 2 in, measured)"
    )


def test_a_mark_on_what_is_gone_is_kept_and_says_so(solved, path):
    """Renamed in the job: the reviewer's words stay on the sheet."""
    record = review.write(path, solved, [SPAN], **WHO)
    text = JOB.replace("[joists.east]", "[joists.far]").replace("joists.east", "joists.far")

    html = render(solve(parse_job(text)), record)

    assert "out of date: no longer in the job (was 13 ft 2 in, measured)" in html


def test_a_mark_by_hand_without_its_inputs_never_counts_as_current(solved):
    record = review.parse(
        'format = 1\n[[marks]]\non = "joists.east.span"\nsays = "agreed"\nby = "X"\n'
        "date = 2026-01-02\n"
    )

    said = holds(solved, record)["joists.east.span"]

    assert said == "out of date: the mark does not say for which inputs it was made"
    assert "Agreed to as it stands: 0 of" in render(solved, record)


@pytest.mark.parametrize(
    ("marks", "who", "message"),
    [
        (
            [PLIES],
            {"by": " ", "date": "2026-11-28"},
            "needs the initials of the reviewer, got none",
        ),
        ([PLIES], {"by": "X", "date": "today"}, 'needs the date of the mark, got "today"'),
        ([("joists.east.spam", "agreed", "")], WHO, 'Did you mean "joists.east.span"?'),
        ([(PLIES[0], "ok", "")], WHO, 'needs what is said of it, got "ok". Write one of: agreed'),
        ([("only", "two")], WHO, "needs an id, what is said and a note"),
        ([(*PLIES[:2], "a" * 2000)], WHO, "needs at most 1000 characters"),
    ],
)
def test_a_mark_that_is_not_understood_writes_nothing(solved, path, marks, who, message):
    review.write(path, solved, [SPAN], **WHO)
    before = path.read_bytes()

    with pytest.raises(InputError) as refusal:
        review.write(path, solved, marks, **who)

    assert message in str(refusal.value)
    assert path.read_bytes() == before


def test_the_kit_makes_no_mark_by_itself(solved, path):
    assert review.write(path, solved, [], by="", date="") is None
    assert not path.exists()
    assert "No review record came with this job." in render(solved)
    with pytest.raises(TypeError, match="by"):
        review.write(path, solved, [PLIES])


def test_all_errors_of_a_record_come_at_once():
    text = (
        'format = 2\nsigned = "yes"\n[[marks]]\non = "x"\nsays = "agree"\nby = ""\ndate = "2026"\n'
        "[[marks]]\nonn = 1\n"
    )

    with pytest.raises(InputError) as refusal:
        review.parse(text, "r.toml")

    said = str(refusal.value)
    for line in (
        "r.toml, format: needs the number 1, got",
        'r.toml, signed: needs format or marks, got "signed"',
        'r.toml, marks 1, says: needs one of agreed, question, to be verified, got "agree"',
        "r.toml, marks 1, by: needs the initials of who made the mark, got",
        "r.toml, marks 1, date: needs a date without quotes",
        'r.toml, marks 2, onn: needs a key that it knows, got "onn"',
        "r.toml, marks 2, on: needs a text, got nothing",
    ):
        assert line in said
    with pytest.raises(InputError, match=r"r\.toml"):
        review.parse("[[marks", "r.toml")


def test_a_kill_while_a_mark_is_written_leaves_the_record(solved, path, monkeypatch):
    review.write(path, solved, [SPAN], **WHO)
    before = path.read_bytes()

    def killed(*_):
        raise KeyboardInterrupt

    monkeypatch.setattr("calclib.sheet.page.os.fsync", killed)
    with pytest.raises(KeyboardInterrupt):
        review.write(path, solved, [PLIES], **WHO)

    assert path.read_bytes() == before


def test_the_command_takes_the_record_beside_the_job_and_recheck_reads_it_again(
    tmp_path, solved, capsys
):
    job = tmp_path / "larkspur_house.toml"
    job.write_text(JOB, "utf-8")
    review.write(tmp_path / "larkspur_house.review.toml", solved, [PLIES, SPAN], **WHO)
    out = tmp_path / "sheet.html"

    assert cli.main(["sheet", str(job), "-o", str(out)]) == 3

    said = capsys.readouterr().out
    assert "carries the review record larkspur_house.review.toml, 2 marks" in said
    html = out.read_text("utf-8")
    assert "counted &#34;three&#34; &lt;plies&gt; \\ on site" in html
    assert recheck(out).is_same
    for old, new in (("<td>agreed</td>", "<td>question</td>"), (">current<", ">agreed<")):
        out.write_text(html.replace(old, new, 1), "utf-8")
        assert not recheck(out).is_same
    assert cli.main(["sheet", str(job), "-o", str(out), "--review", str(tmp_path / "no.toml")]) == 2
    assert "needs a review record, got no such file" in capsys.readouterr().err


def test_a_notebook_carries_the_record_as_the_command_does(solved, path):
    record = review.write(path, solved, [PLIES], **WHO)
    names = [name for name, _ in review_sections(solved)]
    cells = []
    for name in names:
        shown = section(solved, name, record if name == "review" else None)
        data = shown._repr_mimebundle_()
        data["text/html"] = "not trusted"
        output = new_output("display_data", data=data)
        cells.append(new_code_cell("x", outputs=[output], metadata={"tags": ["remove-input"]}))

    page = compose(new_notebook(cells=cells), ROOT, "own.ipynb").html

    assert page == render(solved, record)


def review_sections(solved):
    from calclib.sheet import sections

    return sections.standard(solved)


def test_what_is_left_to_mark_shrinks_as_it_is_marked(solved, path):
    """Checks that do not pass stand first; a question does not settle an item."""
    everything = review.remaining(solved, None).rows
    record = review.write(path, solved, [PLIES, BENDING], **WHO)

    left = review.remaining(solved, record).rows

    assert len(left) == len(everything) - 1
    assert PLIES[0] not in {row[2] for row in left}
    assert next(row for row in left if row[2] == BENDING[0])[4].startswith("question, M. R.")
    waiting = [check.id for check in solved.checks if check.state != "passes"]
    assert [row[2] for row in left[: len(waiting)]] == waiting
