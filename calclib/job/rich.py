"""How a job, a beam and a solved job show themselves in a notebook, on light and dark pages."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from html import escape
from typing import TYPE_CHECKING

from calclib import units
from calclib.job.report import STATE_WORDS, open_questions, shown, verdict
from calclib.trace.check import ratio_text

if TYPE_CHECKING:
    from calclib.job.bent import Bent
    from calclib.job.contents import Job
    from calclib.job.solve import Solved
    from calclib.trace import Check

# Every rule begins with a class of ours, named twice to outweigh what a notebook has for any
# table; colors are those of the page around.
STYLE = """<style>
.calc-rich.calc-rich { color: var(--jp-content-font-color1, inherit); }
.calc-rich.calc-rich .calc-scroll { overflow-x: auto; }
.calc-rich.calc-rich p, .calc-rich.calc-rich figcaption, .calc-rich.calc-rich li {
  line-height: 1.4; }
.calc-rich.calc-rich table { border-collapse: collapse; margin: 0.5em 0; font-size: inherit; }
.calc-rich.calc-rich caption { text-align: left; font-weight: bold; color: inherit; }
.calc-rich.calc-rich tr { background: none; }
.calc-rich.calc-rich th, .calc-rich.calc-rich td { padding: 2px 8px; text-align: left;
  border-bottom: 1px solid var(--jp-border-color1, currentColor); white-space: nowrap;
  max-width: none; line-height: 1.4; background: none; color: inherit; }
.calc-rich.calc-rich .calc-number { text-align: right; font-variant-numeric: tabular-nums; }
.calc-rich.calc-rich tr.calc-fails td { font-weight: bold; }
</style>"""

CHECK_HEADS = ("check", "state", "utilization", "demand", "capacity", "case")


def job_html(job: Job) -> str:
    """Return a job as HTML: its title block and what it holds."""
    block = job.title_block
    rows = [
        (kind, str(len(named)), ", ".join(named)) for kind, named in job.sections.items() if named
    ]
    table = table_html("Parts of the house", ("kind", "count", "names"), rows, numbers={1})
    terms = ", ".join(
        str(block[key]) for key in ("method", "load_standard", "building_code", "units")
    )
    return _boxed(f"{_title(job)}<p>{escape(terms)}</p>{table}")


def _title(job: Job) -> str:
    block = job.title_block
    title = f"{block['number']} rev. {block['revision']}: {block['title']}"
    return f"<p><strong>{escape(title)}</strong></p>"


def beam_html(beam: Bent, si: bool = False) -> str:
    """Return a solved beam as HTML: what it is, its largest reactions, its checks."""
    spans = ", ".join(units.show_length(span.at(), si) for span in beam.spans)
    size = f"{units.show(beam.piece.b.at(), 'in')} by {units.show(beam.piece.d.at(), 'in')}"
    words = (
        f"{beam.model.name[:1].upper()}{beam.model.name[1:]}: {size}, "
        f"{beam.piece.material.name}, spans {spans} from center to center of bearings."
    )
    rows = []
    for name, reaction in zip(beam.model.support_names, beam.reactions, strict=True):
        case = int(reaction.number.argmax())
        rows.append((name.replace("_", " "), beam.strength.names[case], shown(reaction, case, si)))
    reactions = table_html("Largest reactions", ("bearing", "case", "down"), rows, numbers={2})
    checks = checks_html("Checks", beam.checks, si)
    return _boxed(f"<p>{escape(words)}</p>{reactions}{checks}")


def solved_html(solved: Solved) -> str:
    """Return a solved job as HTML: its checks, what is open, the count of states."""
    table = checks_html("Checks", solved.checks, solved.job.title_block["units"] == "SI")
    questions = "".join(f"<li>{escape(question)}</li>" for question in open_questions(solved))
    still_open = f"<p>Open:</p><ul>{questions}</ul>" if questions else ""
    return _boxed(f"{_title(solved.job)}{table}{still_open}<p>{escape(verdict(solved))}</p>")


def checks_html(caption: str, checks: Iterable[Check], si: bool) -> str:
    """Return a table of checks."""
    rows = [
        (
            check.title,
            STATE_WORDS[check.state],
            "-" if check.ratio is None else ratio_text(check.worst),
            shown(check.demand, check.case, si),
            shown(check.capacity, check.case, si),
            check.case_name or "-",
        )
        for check in checks
    ]
    return table_html(caption, CHECK_HEADS, rows, numbers={2, 3, 4}, by_state=True)


def table_html(
    caption: str,
    heads: Sequence[str],
    rows: Iterable[Sequence[str]],
    numbers: set[int],
    by_state: bool = False,
) -> str:
    """Return a table with a caption; the first cell of a row is its heading.

    Parameters
    ----------
    caption : str
    heads : sequence of str
    rows : iterable of sequence of str
        Plain text; it is escaped here.
    numbers : set of int
        The columns that hold numbers.
    by_state : bool
        Whether the second cell is the state of a check, by which the row is set.
    """
    marks = dict.fromkeys(numbers, ' class="calc-number"')
    head = "".join(
        f'<th scope="col"{marks.get(i, "")}>{escape(word)}</th>' for i, word in enumerate(heads)
    )
    body = []
    for first, *rest in rows:
        state = f' class="calc-{escape(rest[0].lower())}"' if by_state else ""
        cells = "".join(
            f"<td{marks.get(i, '')}>{escape(cell)}</td>" for i, cell in enumerate(rest, start=1)
        )
        body.append(f'<tr{state}><th scope="row">{escape(first)}</th>{cells}</tr>')
    return (
        f'<div class="calc-scroll"><table><caption>{escape(caption)}</caption>'
        f"<thead><tr>{head}</tr></thead><tbody>{''.join(body)}</tbody></table></div>"
    )


def _boxed(content: str) -> str:
    return f'{STYLE}<div class="calc-rich">{content}</div>'
