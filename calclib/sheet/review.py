"""The review record: what a reviewer said of which number, and for which inputs it was said.

A file in TOML beside the job, to which marks are only ever added. The kit reads it, shows it and
says which marks were made for inputs that have changed since; it makes no mark by itself.
"""

from __future__ import annotations

import datetime
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from hashlib import blake2b
from pathlib import Path
from typing import TYPE_CHECKING, Any

from markupsafe import Markup

from calclib.errors import InputError, did_you_mean, message, quoted
from calclib.job import report
from calclib.job.contents import Known
from calclib.job.errors import Errors, JobError
from calclib.job.toml import clean, read_text, tables
from calclib.sheet.display import Display
from calclib.sheet.tables import table
from calclib.trace import Check, Leaf, Value
from calclib.trace.check import ratio_text

if TYPE_CHECKING:
    from calclib.job.solve import Solved
    from calclib.sheet.sections import Assumption, Printing

FORMAT = 1
SAYS = ("agreed", "question", "to be verified")
ENDING = ".review.toml"
LONGEST = {"on": 300, "by": 40, "note": 1000, "value": 300, "seen": 64}

_KEYS = {
    "on": 'on = "joists.east.span"',
    "says": 'says = "agreed"',
    "by": 'by = "M. R."',
    "date": "date = 2026-10-12",
    "note": 'note = "taped again"',
    "seen": 'seen = "0123456789abcdef"',
    "value": 'value = "13 ft 2 in"',
}
_NEEDED = ("on", "says", "by", "date")
_CONTROL = re.compile(r"[\x00-\x1f\x7f-\x9f\u2028\u2029\ud800-\udfff]")


@dataclass(frozen=True)
class Mark:
    """What a reviewer said of one item.

    Attributes
    ----------
    on : str
        Id of an assumption or of a check.
    says : str
        One of `SAYS`.
    by : str
        Initials of the reviewer, as the reviewer wrote them.
    date : str
        Of the mark, as year-month-day.
    note : str
        May be empty.
    seen : str
        Hash of what stood there; empty when the mark was written by hand without it.
    value : str
        What stood there, in words.
    """

    on: str
    says: str
    by: str
    date: str
    note: str = ""
    seen: str = ""
    value: str = ""


@dataclass(frozen=True)
class Record:
    """A review record that was read.

    Attributes
    ----------
    file, text : str
        Its name, and the file itself, so that a sheet can carry it.
    marks : tuple of Mark
        In the order in which they were made.
    """

    file: str
    text: str
    marks: tuple[Mark, ...]


@dataclass(frozen=True)
class Item:
    """Something that can be marked: an assumption or a check.

    Attributes
    ----------
    id, title : str
    value : str
        What stands there now, in words.
    seen : str
        Hash of it and of what it depends on.
    reference : tuple
        Kind ("A", "C") and number on the sheet.
    """

    id: str
    title: str
    value: str
    seen: str
    reference: tuple[str, int]


def beside(job: str | Path) -> Record | None:
    """Return the review record that lies beside a job file; None when there is none.

    Parameters
    ----------
    job : str or Path
        "larkspur_house.toml" has its record in "larkspur_house.review.toml".

    Raises
    ------
    InputError
        As `read`.
    """
    path = Path(job).with_suffix(ENDING)
    return read(path) if path.exists() else None


def read(path: str | Path) -> Record:
    """Read a review record.

    Raises
    ------
    InputError
        With all that is wrong with it, each message naming file, place, what came, what is needed
        and a right way to write it.
    """
    if not Path(path).is_file():
        do = "Leave it out, or write one with notebooks/review.ipynb."
        raise InputError(message(str(path), "a review record", "no such file", do))
    file, text = read_text(path)
    return parse(text, file)


def parse(text: str, file: str = "review") -> Record:
    """Read a review record from text; see `read`."""
    text = clean(text, file)
    data = tables(text, file)
    errors = Errors(file)
    number = data.get("format")
    if type(number) is not int or number != FORMAT:
        came = "nothing" if number is None else quoted(str(number))
        errors.add("format", f"the number {FORMAT}", came, f"Write format = {FORMAT}.")
    for name in data:
        if name not in ("format", "marks"):
            errors.add(name, "format or marks", quoted(name), "Write [[marks]] above each mark.")
    given = data.get("marks", [])
    if not isinstance(given, list):
        errors.add("marks", "a list of marks", "one table", "Write [[marks]] above each mark.")
        given = []
    marks = [_mark(f"marks {place}", each, errors) for place, each in enumerate(given, start=1)]
    if errors.messages:
        raise JobError(errors.messages)
    return Record(file, text, tuple(marks))


def _mark(place: str, given: Any, errors: Errors) -> Mark:
    if not isinstance(given, dict):
        errors.add(place, "a table", quoted(str(given)), "Write [[marks]] above each mark.")
        return Mark("", "", "", "")
    for name in given:
        if name not in _KEYS:
            near = did_you_mean(name, _KEYS) or f"Write one of: {', '.join(_KEYS)}."
            errors.add(f"{place}, {name}", "a key that it knows", quoted(name), near)
    words = {name: _word(f"{place}, {name}", name, given.get(name), errors) for name in _KEYS}
    says = words["says"]
    if says and says not in SAYS:
        near = did_you_mean(says, SAYS) or f"Write {_KEYS['says']}."
        errors.add(f"{place}, says", f"one of {', '.join(SAYS)}", quoted(says), near)
    return Mark(**words)


def _word(place: str, name: str, value: Any, errors: Errors) -> str:
    do = f"Write {_KEYS[name]}."
    if name == "date":
        if type(value) is datetime.date:
            return value.isoformat()
        errors.add(place, "a date without quotes", _came(value), do)
        return ""
    text = " ".join(value.split()) if isinstance(value, str) else ""
    if not text and (name in _NEEDED or (value is not None and not isinstance(value, str))):
        needs = "the initials of who made the mark" if name == "by" else "a text"
        errors.add(place, needs, _came(value), do)
    elif _CONTROL.search(text) or len(text) > LONGEST.get(name, 40):
        most = LONGEST.get(name, 40)
        errors.add(place, f"at most {most} characters that can be printed", quoted(text), do)
        return ""
    return text


def _came(value: Any) -> str:
    return "nothing" if value is None else quoted(str(value))


def items(solved: Solved, register: Sequence[Assumption]) -> dict[str, Item]:
    """Return everything that can be marked, by its id.

    Parameters
    ----------
    solved : Solved
    register : sequence of Assumption
        In the order of the sheet.
    """
    display = Display(solved.job.title_block["units"] == "SI")
    found: dict[str, Item] = {}
    behind: dict[str, list[str]] = {check.id: [] for check in solved.checks}
    for number, entry in enumerate(register, start=1):
        title, value, stated = _stated(entry.what, display)
        seen = _hash(entry.id, stated)
        for check in entry.reached:
            behind[check.id].append(seen)
        found[entry.id] = Item(entry.id, title, value, seen, ("A", number))
    for number, check in enumerate(solved.checks, start=1):
        value = _verdict(check)
        seen = _hash(check.id, check.clause, value, *check.questions, *sorted(behind[check.id]))
        found[check.id] = Item(check.id, check.title, value, seen, ("C", number))
    return found


def _stated(what: Value | Known, display: Display) -> tuple[str, str, str]:
    """Return title, value in words, and all that is said of an assumption."""
    if isinstance(what, Known):
        return what.title, what.text, f"{what.text}|{what.basis}|{what.source}"
    origin = what.origin
    assert isinstance(origin, Leaf)
    several = what.number if getattr(what.number, "ndim", 0) else [what.number]
    numbers = ",".join([f"{number:.9e}" for number in several])
    said = f"{numbers}|{what.unit}|{origin.basis}|{origin.source}|{origin.verified}"
    return origin.title, f"{display.value(what)}, {origin.basis}", said


def _verdict(check: Check) -> str:
    ratio = "not calculated" if check.ratio is None else ratio_text(check.worst)
    return f"{ratio}, {report.STATE_WORDS[check.state]}"


def _hash(*parts: str) -> str:
    return blake2b("\0".join(parts).encode(), digest_size=8).hexdigest()


def state(mark: Mark, item: Item | None) -> str:
    """Return whether a mark still holds for what stands there now."""
    if item is None:
        return f"out of date: no longer in the job (was {mark.value or 'not recorded'})"
    if not mark.seen:
        return "out of date: the mark does not say for which inputs it was made"
    if mark.seen == item.seen:
        return "current"
    if mark.value == item.value:
        return f"out of date: what it rests on has changed (still {item.value})"
    return f"out of date: was {mark.value or 'not recorded'}, is now {item.value}"


def section(solved: Solved, printing: Printing) -> Markup:
    """Return the review record as a section of the sheet."""
    head = Markup(
        "<h2>Review record</h2><p>What reviewers said, in their own words and under their own "
        "initials. The kit makes no mark and signs for no one; a mark is no seal.</p>"
    )
    record = printing.record
    if record is None:
        return head + Markup("<p>No review record came with this job.</p>")
    known = items(solved, printing.register)
    rows = []
    current = {"A": set[str](), "C": set[str]()}
    for mark in record.marks:
        item = known.get(mark.on)
        name = Markup("<code>{}</code>").format(mark.on)
        if item is not None:
            link = printing.index.link(item.reference)
            name = Markup("{} {} {}").format(link, item.title, name)
        now = state(mark, item)
        if item is not None and now == "current" and mark.says == "agreed":
            current[item.reference[0]].add(mark.on)
        rows.append((name, mark.says, mark.by, mark.date, mark.note or "-", now))
    count = Markup(
        "<p>Agreed to as it stands: {} of {} checks, {} of {} assumptions. Record {}, "
        "SHA-256 <code>{}</code>.</p>"
    ).format(
        len(current["C"]),
        len(solved.checks),
        len(current["A"]),
        len(printing.register),
        record.file,
        printing.digest(record.text),
    )
    marks = table("Marks", ("Item", "Says", "By", "Date", "Note", "Holds"), rows, kind="marks")
    return Markup(
        '{}{}{}<details><summary>The record as a file</summary><pre id="review-file">{}</pre>'
        "</details>"
    ).format(head, count, marks if rows else "", record.text)


def write(
    path: str | Path,
    solved: Solved,
    marks: Iterable[tuple[str, str, str]],
    *,
    by: str,
    date: str,
) -> Record | None:
    """Add a reviewer's marks to a record; what stands in it stays as it is.

    Parameters
    ----------
    path : str or Path
        The record; made when it is not there.
    solved : Solved
        What the reviewer looked at; each mark takes down for which inputs it was made.
    marks : iterable of (str, str, str)
        Id of an assumption or a check, one of `SAYS`, and a note that may be empty. A mark that
        stands in the record word for word is not written again.
    by : str
        The reviewer's initials; there is no default.
    date : str
        Today, as "2026-10-12", given by the reviewer.

    Returns
    -------
    Record or None
        As it stands now; None when there was none and no mark to add.

    Raises
    ------
    InputError
        When the record cannot be read, or a mark is not understood: then nothing is written.
    OSError
        When the folder cannot be written.
    """
    from calclib.sheet.page import write as write_whole
    from calclib.sheet.sections import ordered_register

    path = Path(path)
    old = read(path) if path.exists() else None
    known = items(solved, ordered_register(solved))
    added = [_made(place, each, known, by, date) for place, each in enumerate(marks, start=1)]
    had = set(old.marks) if old else set()
    new = [mark for mark in dict.fromkeys(added) if mark not in had]
    if not new:
        return old
    start = path.read_bytes().decode("utf-8") if old else f"format = {FORMAT}\n"
    text = start + ("" if start.endswith("\n") else "\n") + "".join(map(_as_toml, new))
    record = parse(text, path.name)
    write_whole(text, path)
    return record


def _made(
    place: int, given: tuple[str, str, str], known: dict[str, Item], by: str, date: str
) -> Mark:
    where = f"mark {place}"
    try:
        on, says, note = map(str, given)
    except (TypeError, ValueError):
        do = 'Write ("joists.east.span", "agreed", "taped again").'
        raise InputError(message(where, "an id, what is said and a note", str(given), do)) from None
    if on not in known:
        do = did_you_mean(on, known) or "The sheet prints the id beside each item."
        raise InputError(message(where, "an assumption or a check of the job", quoted(on), do))
    if says not in SAYS:
        do = did_you_mean(says, SAYS) or f"Write one of: {', '.join(SAYS)}."
        raise InputError(message(where, "what is said of it", quoted(says), do))
    if not by.strip():
        do = 'Give your own, as in by="M. R.".'
        raise InputError(message(where, "the initials of the reviewer", "none", do))
    try:
        day = datetime.date.fromisoformat(date).isoformat()
    except ValueError:
        do = 'Give it as in date="2026-10-12".'
        raise InputError(message(where, "the date of the mark", quoted(date), do)) from None
    item = known[on]
    note = " ".join(note.split())
    return Mark(on, says, " ".join(by.split()), day, note, item.seen, item.value)


def _as_toml(mark: Mark) -> str:
    lines = [
        f"{name} = {getattr(mark, name) if name == 'date' else _toml_text(getattr(mark, name))}"
        for name in _KEYS
        if getattr(mark, name)
    ]
    return "\n[[marks]]\n" + "\n".join(lines) + "\n"


def _toml_text(text: str) -> str:
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'


@dataclass(frozen=True, eq=False, repr=False)
class Remaining:
    """What nobody has agreed to as it stands, to be the last line of a cell.

    Attributes
    ----------
    rows : tuple of tuple of str
        Number, title, id, value, and the last mark.
    """

    rows: tuple[tuple[str, str, str, str, str], ...]

    def __repr__(self) -> str:
        return "\n".join("  ".join(row) for row in self.rows) or "Nothing is left to be marked."

    def _repr_html_(self) -> str:
        head = ("No.", "What", "Id", "Stands as", "Last mark")
        return str(table("Not agreed to as it stands", head, self.rows))


def remaining(solved: Solved, record: Record | None) -> Remaining:
    """Return what nobody has agreed to as it stands: checks that do not pass, then assumptions.

    Parameters
    ----------
    solved : Solved
    record : Record or None

    Returns
    -------
    Remaining
        Checks that fail or are open, guesses and what is from memory first, as on the sheet; then
        the checks that pass.
    """
    from calclib.sheet.sections import ordered_register

    known = items(solved, ordered_register(solved))
    last = {mark.on: mark for mark in record.marks} if record else {}
    passing = {check.id for check in solved.checks if check.state == "passes"}

    def rank(item: Item) -> int:
        return 2 if item.id in passing else 0 if item.reference[0] == "C" else 1

    rows = []
    for item in sorted(known.values(), key=rank):
        mark = last.get(item.id)
        now = state(mark, item) if mark else ""
        if mark is None or mark.says != "agreed" or now != "current":
            said = f"{mark.says}, {mark.by} {mark.date}; {now}" if mark else "-"
            kind, number = item.reference
            rows.append((f"{kind}{number}", item.title, item.id, item.value, said))
    return Remaining(tuple(rows))
