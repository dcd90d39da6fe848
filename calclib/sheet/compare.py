"""What changed between two jobs, or two sheets: inputs, results, verdicts."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from markupsafe import Markup

from calclib.job import report
from calclib.job.contents import Section
from calclib.job.file import Job, parse, read
from calclib.job.solve import Solved, solve
from calclib.sheet.page import wrap
from calclib.sheet.recheck import job_of_sheet
from calclib.sheet.tables import table
from calclib.trace import Check
from calclib.trace.check import ratio_text

NONE = "-"


@dataclass(frozen=True)
class Changed:
    """One thing that differs.

    Attributes
    ----------
    what : str
        Path of an entry, or id of a check.
    before, after : str
        As text; "-" where it is not there.
    """

    what: str
    before: str
    after: str


@dataclass(frozen=True)
class Comparison:
    """All that differs between two jobs.

    Attributes
    ----------
    names : tuple of str
        The two files.
    inputs, results : tuple of Changed
    verdicts : tuple of str
        Ids of the checks whose state differs.
    """

    names: tuple[str, str]
    inputs: tuple[Changed, ...]
    results: tuple[Changed, ...]
    verdicts: tuple[str, ...]

    @property
    def is_same(self) -> bool:
        """Whether nothing differs."""
        return not self.inputs and not self.results


def job_at(path: Path) -> Job:
    """Return the job of a job file, or of a sheet that carries one.

    Raises
    ------
    CalcError
        When it is neither, or cannot be understood.
    """
    if path.suffix.lower() in (".html", ".htm"):
        text, file = job_of_sheet(path)
        return parse(text, file)
    return read(path)


def compare(one: Path, other: Path) -> Comparison:
    """Compare two jobs.

    Parameters
    ----------
    one, other : Path
        Job files or sheets.

    Returns
    -------
    Comparison

    Raises
    ------
    CalcError
        When one of them cannot be read or solved.
    """
    jobs = job_at(one), job_at(other)
    entries = [dict(_entries(job)) for job in jobs]
    solved = [solve(job) for job in jobs]
    results = [_results(each) for each in solved]
    states = [{check.id: check.state for check in each.checks} for each in solved]
    both = states[0].keys() & states[1].keys()
    return Comparison(
        (one.name, other.name),
        _differing(*entries),
        _differing(*results),
        tuple(id for id in states[1] if id in both and states[0][id] != states[1][id]),
    )


def _differing(one: Mapping[str, str], other: Mapping[str, str]) -> tuple[Changed, ...]:
    return tuple(
        Changed(what, one.get(what, NONE), other.get(what, NONE))
        for what in dict.fromkeys([*one, *other])
        if one.get(what, NONE) != other.get(what, NONE)
    )


def _entries(job: Job) -> list[tuple[str, str]]:
    """Return every entry of a job by its path, as it was typed, with its basis."""
    found = [(f"job.{key}", value) for key, value in job.title_block.items()]

    def section(each: Section) -> None:
        for entry in each.numbers.values():
            found.append((entry.path, _typed(entry.text, entry.basis, entry.source)))
        for key, words in each.words.items():
            known = each.known.get(key)
            text = ", ".join(words) if isinstance(words, tuple) else str(words)
            typed = _typed(text, known.basis, known.source) if known else text
            found.append((f"{each.path}.{key}", typed))
        for inner in each.inside.values():
            for item in inner.values():
                if isinstance(item, Section):
                    section(item)
                else:
                    found.append((item.path, _typed(item.text, item.basis, item.source)))

    for named in job.sections.values():
        for each in named.values():
            section(each)
    return found


def _typed(text: str, basis: str, source: str) -> str:
    return f"{text} ({basis}{f': {source}' if source else ''})"


def _results(solved: Solved) -> dict[str, str]:
    return {check.id: _result(check) for check in solved.checks}


def _result(check: Check) -> str:
    ratio = "not calculated" if check.ratio is None else ratio_text(check.worst)
    case = f" ({check.case_name})" if check.case_name else ""
    return f"{ratio} {report.STATE_WORDS[check.state]}{case}"


def as_text(found: Comparison) -> str:
    """Return a comparison for the terminal."""
    lines = []
    for title, changes in (("inputs", found.inputs), ("results", found.results)):
        if changes:
            lines.append(f"{title}:")
            lines += [f"  {c.what}: {c.before}  ->  {c.after}" for c in changes]
    if found.verdicts:
        lines.append(f"verdicts that changed: {', '.join(found.verdicts)}")
    lines.append(
        f"{found.names[0]} and {found.names[1]}: nothing differs."
        if found.is_same
        else f"{found.names[0]} and {found.names[1]}: {len(found.inputs)} inputs and "
        f"{len(found.results)} results differ, {len(found.verdicts)} verdicts among them."
    )
    return "\n".join(lines)


def as_page(found: Comparison) -> str:
    """Return a comparison as one HTML page."""
    title = f"{found.names[0]} and {found.names[1]} compared"
    body = Markup("<h1>{}</h1><p>{}</p>").format(title, as_text(found).rsplit("\n", 1)[-1])
    for name, changes in (("Inputs", found.inputs), ("Results", found.results)):
        rows = [(change.what, change.before, change.after) for change in changes]
        if rows:
            body += Markup("<h2>{}</h2>").format(name) + table(
                f"{name} that differ", ("What", found.names[0], found.names[1]), rows
            )
    return wrap(title, "comparison", str(body))
