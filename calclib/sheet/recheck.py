"""Recompute a submitted sheet from the job that it carries, and compare all of its text."""

from __future__ import annotations

import difflib
import hashlib
import re
from dataclasses import dataclass, field
from html.parser import HTMLParser
from pathlib import Path

from calclib import __version__
from calclib.errors import CalcError, InputError, message
from calclib.job.file import parse
from calclib.job.solve import solve
from calclib.sheet import review
from calclib.sheet.page import render

# A sheet of a large house has a few megabytes; nothing larger is read.
LARGEST = 50_000_000
_MADE = re.compile(r"Made by calclib (\S+) from (.+?), SHA-256 ([0-9a-f]{64})")
_RECORD = re.compile(r"Record (.+?), SHA-256 [0-9a-f]{64}")
# The files that a sheet holds in full.
CARRIED = ("job-file", "review-file")
_SPACE = re.compile(r"\s+")
_SILENT = {"style", "script", "head"}
_VOID = {"br", "col", "meta", "link", "img", "hr", "input", "path", "use", "rect", "line"}
OWN = "added"


@dataclass(frozen=True)
class Difference:
    """One place where the sheet says something else than the recomputation.

    Attributes
    ----------
    section : str
    found, expected : str
        What stands in the sheet, and what was recomputed; either may be empty.
    """

    section: str
    found: str
    expected: str


@dataclass(frozen=True)
class Recheck:
    """What the recomputation of a sheet found.

    Attributes
    ----------
    file : str
    version : str
        That made the sheet.
    differences : tuple of Difference
    unchecked : tuple of str
        Parts of the designer's own, and standard sections that the sheet leaves out.
    """

    file: str
    version: str
    differences: tuple[Difference, ...]
    unchecked: tuple[str, ...]

    @property
    def is_same(self) -> bool:
        """Whether all that was compared reads the same."""
        return not self.differences


@dataclass
class _Reader(HTMLParser):
    """Takes the text of a page, section by section; nothing in it runs."""

    texts: dict[str, list[str]] = field(default_factory=dict)
    own: int = 0

    def __post_init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.sections: list[str] = [""]
        self.open: list[tuple[str, str]] = []
        self.carried: list[str] | None = None
        self.files: dict[str, str] = {}

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = {key: value or "" for key, value in attrs}
        for key in ("alttext", "alt", "aria-label"):
            if given.get(key):
                self._take(given[key])
        if tag in _VOID:
            return
        what = ""
        if tag == "section":
            what = "section"
            self.sections.append(given.get("id", ""))
        elif tag == "div" and OWN in given.get("class", "").split():
            what, self.own = "own", self.own + 1
            self.sections.append(f"{OWN} {self.own}")
        elif tag == "pre" and given.get("id") in CARRIED:
            what, self.carried = given["id"], []
        elif tag in _SILENT:
            what = "silent"
        self.open.append((tag, what))

    def handle_endtag(self, tag: str) -> None:
        places = [place for place, (name, _) in enumerate(self.open) if name == tag]
        if not places:
            return
        for _, what in reversed(self.open[places[-1] :]):
            if what in ("section", "own"):
                self.sections.pop()
            elif what in CARRIED and self.carried is not None:
                self.files[what], self.carried = "".join(self.carried), None
        del self.open[places[-1] :]

    def handle_data(self, data: str) -> None:
        if self.carried is not None:
            self.carried.append(data)
        elif not any(what == "silent" for _, what in self.open):
            self._take(data)

    def _take(self, text: str) -> None:
        words = _SPACE.sub(" ", text).strip()
        if words:
            self.texts.setdefault(self.sections[-1], []).append(words)


def _read(html: str) -> _Reader:
    reader = _Reader()
    reader.feed(html)
    reader.close()
    return reader


def _opened(path: Path) -> tuple[_Reader, str, str, str]:
    """Return the text of a sheet, the version that made it, the job's file and its digest."""
    name = path.name
    try:
        raw = path.read_bytes()
    except OSError as error:
        raise InputError(f"{path}: cannot be read: {error.strerror}.") from None
    if len(raw) > LARGEST:
        raise InputError(message(name, f"at most {LARGEST:,} bytes", f"{len(raw):,}"))
    try:
        html = raw.decode("utf-8")
    except UnicodeDecodeError:
        raise InputError(message(name, "a sheet in UTF-8", "other bytes")) from None
    found = _read(html)
    made = _MADE.search(" ".join(found.texts.get("inputs", [])))
    if "job-file" not in found.files or made is None:
        do = "Only what calclib wrote carries its job; write it again with calclib sheet."
        raise InputError(message(name, "a calc sheet with its job file", "none", do))
    version, file, digest = made.groups()
    return found, version, file, digest


def job_of_sheet(path: Path) -> tuple[str, str]:
    """Return the job file that a sheet carries, and its name.

    Parameters
    ----------
    path : Path

    Raises
    ------
    InputError
        When the file is no sheet.
    """
    found, _, file, _ = _opened(path)
    return found.files["job-file"], file


def recheck(path: Path) -> Recheck:
    """Recompute a sheet and compare it.

    Parameters
    ----------
    path : Path
        A sheet that `calclib sheet` or the notebook exporter wrote.

    Returns
    -------
    Recheck

    Raises
    ------
    InputError
        When the file is no sheet, or the job in it cannot be read or solved.
    """
    name = path.name
    found, version, file, digest = _opened(path)
    text = found.files["job-file"]
    try:
        expected = _read(render(solve(parse(text, file)), _record(found)))
    except CalcError as error:
        raise InputError(f"{name}: the job in it cannot be recomputed.\n{error}") from None
    differences = []
    if hashlib.sha256(text.encode()).hexdigest() != digest:
        differences.append(
            Difference("inputs", f"SHA-256 {digest}", "the digest of the job file as it stands")
        )
    if version != __version__:
        differences.append(Difference("inputs", f"calclib {version}", f"calclib {__version__}"))
    unchecked = []
    for section, words in expected.texts.items():
        if section and section not in found.texts:
            unchecked.append(f"section {section}, which the sheet leaves out")
        else:
            differences += _compared(section, found.texts.get(section, []), words)
    own = [section for section in found.texts if section not in expected.texts]
    unchecked += [f"the designer's own part: {_begin(found.texts[section])}" for section in own]
    return Recheck(name, version, tuple(differences), tuple(unchecked))


def _record(found: _Reader) -> review.Record | None:
    """Return the review record that a sheet carries."""
    if "review-file" not in found.files:
        return None
    named = _RECORD.search(" ".join(found.texts.get("review", [])))
    return review.parse(found.files["review-file"], named[1] if named else "review")


def _begin(words: list[str]) -> str:
    text = " ".join(words)
    return text if len(text) <= 60 else text[:57] + "..."


def _compared(section: str, found: list[str], expected: list[str]) -> list[Difference]:
    if found == expected:
        return []
    matcher = difflib.SequenceMatcher(None, found, expected, autojunk=False)
    return [
        Difference(section, " ".join(found[a:b]), " ".join(expected[c:d]))
        for kind, a, b, c, d in matcher.get_opcodes()
        if kind != "equal"
    ]


def as_text(result: Recheck) -> str:
    """Return a recheck for the terminal."""
    lines = []
    for each in result.differences:
        where = each.section or "page"
        lines.append(
            f"{result.file}, {where}: says {_quoted(each.found)}, recomputed "
            f"{_quoted(each.expected)}"
        )
    lines += [f"{result.file}: not rechecked: {what}" for what in result.unchecked]
    count = len(result.differences)
    lines.append(
        f"{result.file}: reads as recomputed by calclib {__version__}."
        if not count
        else f"{result.file}: {count} difference{'s' * (count > 1)} from what its own job gives."
    )
    return "\n".join(lines)


def _quoted(text: str) -> str:
    return f'"{_begin([text])}"' if text else "nothing"
