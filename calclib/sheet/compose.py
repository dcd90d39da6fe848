"""A notebook that has run, set as a calc sheet.

Nothing that a notebook holds is trusted. The standard sections are set anew from the job that
their cells name; whatever else a cell says or gives out is cut down to what cannot script a page.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from html import escape
from pathlib import Path
from typing import Any

from nbformat import NotebookNode

from calclib import __version__
from calclib.errors import CalcError, InputError, did_you_mean, message, quoted
from calclib.job.file import parse
from calclib.job.solve import Solved, solve
from calclib.sheet import page, review, sections
from calclib.sheet.clean import plain
from calclib.sheet.notebook import SECTION
from calclib.sheet.outputs import WIDGET, WIDGET_STATE, Printer
from calclib.sheet.own_words import markdown

TAGS = {
    "parameters": "the cell with the inputs; papermill puts its own after it",
    "widget": "controls: the sheet prints what they are set to and their results",
    "screen-only": "for the person at the notebook; the sheet leaves it out",
    "remove-input": "the sheet prints what the cell gives out, without its code",
}
# Written by papermill, never by a person.
INJECTED = "injected-parameters"

NOT_GIVEN = "job number, revision, site, date, prepared by, checked by"


@dataclass(frozen=True)
class Sheet:
    """A notebook as a calc sheet.

    Attributes
    ----------
    html : str
        The page, one file without script and without a network.
    notes : tuple of str
        What a reader of the page would miss, each with the number of its cell; they also stand
        at the end of the page.
    solved : Solved or None
        The job whose sections the notebook shows, if it shows any.
    """

    html: str
    notes: tuple[str, ...]
    solved: Solved | None


def know_tags(notebook: NotebookNode, name: str) -> None:
    """Refuse a tag that the kit does not know, for it would do nothing without a word."""
    for number, cell in enumerate(notebook.cells, start=1):
        for tag in cell.metadata.get("tags", ()):
            if tag not in TAGS and tag != INJECTED:
                known = did_you_mean(tag, TAGS) or f"There are {', '.join(TAGS)}."
                raise InputError(
                    message(f"{name}, cell {number}", "a tag of the kit", quoted(tag), known)
                )


def compose(notebook: NotebookNode, folder: Path, name: str, head: str = "") -> Sheet:
    """Return a notebook that has run as a calc sheet.

    Parameters
    ----------
    notebook : NotebookNode
        With its outputs.
    folder : Path
        Where its pictures lie.
    name : str
        What the page and the messages call it.
    head : str
        For a page that is no calc sheet: HTML that stands under its title, in place of title
        block, cautions and the words on what is standard.

    Raises
    ------
    InputError
        As `export`.
    """
    know_tags(notebook, name)
    return _Setting(notebook, folder, name, head).sheet()


@dataclass
class _Setting:
    """The page while it is set, from the first cell to the last."""

    notebook: NotebookNode
    folder: Path
    name: str
    under_title: str = ""
    parts: list[str] = field(default_factory=list)
    added: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    shown: list[str] = field(default_factory=list)
    solved: Solved | None = None
    standard: dict[str, str] = field(default_factory=dict)
    heading: str = ""
    heading_cell: int = 0
    level: int = 1
    cell: int = 0

    def sheet(self) -> Sheet:
        """Return the page."""
        if not self._shows_sections():
            self.heading_cell, self.heading = _first_heading(self.notebook)
        for number, cell in enumerate(self.notebook.cells, start=1):
            self.cell = number
            self._cell(cell)
        self._flush()
        body = _without_dead_links("\n".join([*self._head(), *self.parts, *self._foot()]))
        return Sheet(page.wrap(*self._names(), body), tuple(self.notes), self.solved)

    def _say(self, what: str) -> None:
        self.notes.append(f"cell {self.cell}: {what}")

    def _shows_sections(self) -> bool:
        return any(
            SECTION in output.get("data", {})
            for cell in self.notebook.cells
            for output in cell.get("outputs", ())
        )

    def _cell(self, cell: NotebookNode) -> None:
        tags = self._tags(cell)
        if "screen-only" in tags:
            return
        if cell.cell_type == "markdown":
            # The heading of the page is taken out of the text.
            is_head = self.cell == self.heading_cell
            text = _HEADING.sub("", cell.source, count=1) if is_head else cell.source
            self._add(markdown(text, self.folder, self._say, cell.get("attachments")))
        elif cell.cell_type == "code":
            self._code(cell, tags)
        elif cell.source.strip():
            self._say("a raw cell is left out")

    def _tags(self, cell: NotebookNode) -> set[str]:
        tags = set(cell.metadata.get("tags", ()))
        if INJECTED not in tags:
            return tags
        # What papermill puts in is shown or not as the cell that it stands in for.
        originals = [set(c.metadata.get("tags", ())) for c in self.notebook.cells]
        return tags.union(*(found for found in originals if "parameters" in found))

    def _code(self, cell: NotebookNode, tags: set[str]) -> None:
        if cell.source.strip() and not tags & {"widget", "remove-input"}:
            self._add(f'<pre class="code"><code>{plain(cell.source)}</code></pre>')
        state = self.notebook.metadata.get("widgets", {}).get(WIDGET_STATE, {}).get("state", {})
        printer = Printer(self.folder, self._say, state)
        for output in cell.outputs:
            data = output.get("data", {})
            if SECTION in data:
                self._section(data[SECTION])
            elif "widget" not in tags or WIDGET in data:
                self._add(printer.output(output))

    def _section(self, data: Any) -> None:
        try:
            name, file, text = str(data["section"]), str(data["file"]), str(data["job"])
        except (KeyError, TypeError):
            raise self._refusal("a section with its job", "an output without one") from None
        if self.solved is None:
            self.solved = solve(parse(text, file))
            self.standard = dict(sections.standard(self.solved, self._record()))
        if text != self.solved.job.text or file != self.solved.job.file:
            raise self._refusal("sections of one job", "a second job", "Give it its own notebook.")
        if name not in self.standard:
            raise self._refusal("a section of the standard sheet", quoted(name))
        if name in self.shown:
            raise self._refusal(
                "each section once", f"{quoted(name)} again", "Links on the page lead to the first."
            )
        self._flush()
        self.shown.append(name)
        # The page begins with its title, whatever an author puts before it.
        if name != "title":
            self.parts.append(self.standard[name])
            self.level = 2

    def _record(self) -> review.Record | None:
        """Return the review record of the notebook, which one of its sections carries."""
        for cell in self.notebook.cells:
            for output in cell.get("outputs", ()):
                said = output.get("data", {}).get(SECTION)
                if isinstance(said, dict) and "review" in said:
                    return review.parse(str(said["review"]), str(said.get("review_file", "review")))
        return None

    def _refusal(self, needs: str, got: str, do: str = "") -> CalcError:
        return InputError(message(f"{self.name}, cell {self.cell}", needs, got, do))

    def _add(self, html: str) -> None:
        if html.strip():
            self.added.append(self._in_order(html))

    def _in_order(self, html: str) -> str:
        """Return HTML with headings below those of the page, no level left out on the way down."""

        def level(match: re.Match[str]) -> str:
            if not match[1]:
                self.level = min(max(int(match[2]), 2), self.level + 1)
            return f"<{match[1]}h{self.level}>"

        return re.sub(r"<(/?)h([1-6])>", level, html)

    def _flush(self) -> None:
        if self.added:
            kind = "lesson" if self.under_title else "added"
            self.parts.append('<div class="{}">{}</div>'.format(kind, "\n".join(self.added)))
            self.added = []

    def _names(self) -> tuple[str, str]:
        if self.solved is None:
            return self.heading or self.name, self.name
        return self.solved.job.title_block["title"], page.footer(self.solved)

    def _head(self) -> Iterator[str]:
        """Yield the title, and cautions where the notebook shows none: no sheet goes without."""
        if self.under_title:
            yield f"<h1>{escape(self.heading or self.name)}</h1>{self.under_title}"
            return
        if self.solved is None:
            yield (
                f"<h1>{escape(self.heading or self.name)}</h1>"
                f"<p>Not given in the title block: {NOT_GIVEN}.</p>"
            )
            lines = "".join(f"<p>{escape(text)}</p>" for text in sections.CAUTIONS)
            yield (
                '<section id="cautions"><h2>Scope and cautions</h2>'
                f'<div class="caution">{lines}</div></section>'
            )
            return
        yield self.standard["title"]
        if "cautions" not in self.shown:
            yield self.standard["cautions"]
        self.shown += ["title", "cautions"]

    def _foot(self) -> Iterator[str]:
        """Yield where the additions come from and what is not as a reader expects it."""
        if self.under_title:
            yield from (f"<p>In {escape(note)}.</p>" for note in self.notes)
            return
        left_out = [name for name in self.standard if name not in self.shown]
        has_additions = any(part.startswith('<div class="added">') for part in self.parts)
        if not (left_out or has_additions or self.notes):
            return
        lines = [
            "What stands beside a bar was written or computed in the notebook "
            f"{escape(self.name)}, run by calclib {__version__}; the rest is the standard sheet. "
            f"SHA-256 of its cells as they were written: <code>{digest(self.notebook)}</code>."
        ]
        if left_out:
            lines.append(f"Sections of the standard sheet left out: {', '.join(left_out)}.")
        lines += [f"In {escape(note)}." for note in self.notes]
        paragraphs = "".join(f"<p>{line}</p>" for line in lines)
        yield f'<section id="notebook"><h2>Notebook</h2>{paragraphs}</section>'


def _without_dead_links(body: str) -> str:
    """Return a page whose links lead somewhere; the words of the others stay.

    Every quote in text is escaped, so that what looks like a tag here is one.
    """
    ids = set(re.findall(r'\bid="([^"]+)"', body))

    def kept(match: re.Match[str]) -> str:
        return match[0] if match[1] in ids else f"<span>{match[2]}</span>"

    return re.sub(r'<a href="#([^"]+)">(.*?)</a>', kept, body, flags=re.DOTALL)


_HEADING = re.compile(r"\A\s*# +(\S.*?)[ #]*$", re.MULTILINE)


def _first_heading(notebook: NotebookNode) -> tuple[int, str]:
    """Return the heading with which the text of the sheet begins, and its cell; 0 if none."""
    for number, cell in enumerate(notebook.cells, start=1):
        if cell.cell_type == "markdown" and "screen-only" not in cell.metadata.get("tags", ()):
            found = _HEADING.match(cell.source)
            return (number, found[1]) if found else (0, "")
    return 0, ""


def digest(notebook: NotebookNode) -> str:
    """Return a hash of a notebook's cells as they were written, whatever they gave out."""
    written = [(c.cell_type, c.source) for c in notebook.cells]
    return hashlib.sha256(repr(written).encode()).hexdigest()
