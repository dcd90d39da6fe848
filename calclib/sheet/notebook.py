"""The sections of a calc sheet, and figures with their words, as cells of a notebook show them."""

from __future__ import annotations

import html
import io
import re
from dataclasses import dataclass
from functools import cache, lru_cache
from html.parser import HTMLParser
from importlib.resources import files
from typing import TYPE_CHECKING, Any

from calclib.errors import InputError, LookupMiss, did_you_mean, message, quoted
from calclib.job.solve import Solved
from calclib.sheet import sections
from calclib.sheet.fonts import font_css
from calclib.sheet.review import Record

if TYPE_CHECKING:
    import matplotlib.figure

# What the exporter reads in place of the HTML, so that no HTML from a cell is ever trusted.
SECTION = "application/vnd.calclib.section+json"

# JupyterLab's own colors where there are some, so that its dark theme is dark here too.
_COLORS = """\
--ink:var(--jp-content-font-color1,#1a1a1a);--paper:var(--jp-layout-color0,#fff);\
--soft:color-mix(in srgb,var(--ink) 82%,var(--paper));\
--line:var(--jp-border-color0,#8a8a8a);--faint:var(--jp-border-color1,#d4d4d4);\
--tint:var(--jp-layout-color2,#f3f1ec);\
color:var(--ink);max-width:7.1in;\
font:10.5pt/1.42 "Helvetica Neue",Arial,"Liberation Sans",sans-serif"""
_OVER_JUPYTER = """\
h1,h2,h3{font-weight:700}
h2:first-child{margin-top:.3em}
table{table-layout:auto;margin:.5em 0 1em;border:0;color:var(--ink)}
table.calc{table-layout:fixed}
tbody tr:nth-child(odd),tbody tr:nth-child(even),tbody tr:hover{background:none}
th,td{text-align:left;max-width:none;white-space:normal}
td.n,th.n,.calc td.v{text-align:right}
.bar i{background:var(--ink)}
pre{color:var(--ink);background:none}
a{color:var(--jp-content-link-color,#0645ad)}
figure svg,figure img{background:#fff;color:#1a1a1a;max-width:100%}"""


@lru_cache(maxsize=2)
def _standard(solved: Solved, record: Record | None = None) -> dict[str, str]:
    return dict(sections.standard(solved, record))


@cache
def style() -> str:
    """Return the sheet's style as rules that reach nothing outside a section's own box."""
    rules = (files("calclib.sheet") / "templates" / "sheet.css").read_text("utf-8")
    screen = rules.partition("@media print")[0].replace("FONT", "", 1)
    of_parts = "\n".join(
        line for line in screen.splitlines() if not line.startswith((":root", "body", "main"))
    )
    # Named twice, so that it outweighs the rules that JupyterLab has for any output.
    scoped = f".calc-sheet.calc-sheet{{{_COLORS};\n{of_parts}\n{_OVER_JUPYTER}}}"
    return f"<style>{font_css()}{scoped}</style>"


@dataclass(frozen=True, eq=False, repr=False)
class SheetSection:
    """One section of the standard sheet; a notebook shows it, the exporter prints it.

    Attributes
    ----------
    solved : Solved
    name : str
    record : Record or None
        What reviewers said; shown by the section "review".
    """

    solved: Solved
    name: str
    record: Record | None = None

    def __repr__(self) -> str:
        return text_of(self._section())

    def _repr_html_(self) -> str:
        return f'{style()}<div class="calc-sheet">{self._section()}</div>'

    def _section(self) -> str:
        return _standard(self.solved, self.record)[self.name]

    def _repr_mimebundle_(self, **_: object) -> dict[str, Any]:
        job = self.solved.job
        said = {"section": self.name, "file": job.file, "job": job.text}
        if self.record is not None:
            said |= {"review_file": self.record.file, "review": self.record.text}
        return {"text/plain": repr(self), "text/html": self._repr_html_(), SECTION: said}


def section(solved: Solved, name: str, record: Record | None = None) -> SheetSection:
    """Return a section of the standard sheet, to be the last line of a cell.

    Parameters
    ----------
    solved : Solved
    name : str
        "title", "cautions", "open", "summary", "drawings", "path", "loads", "diagrams", "checks",
        "stages", "lists", "reactions", "connections", "assumptions", "verify", "permit",
        "sources", "review", "derivations" or "inputs".
    record : Record, optional
        What reviewers said, for the section "review".

    Returns
    -------
    SheetSection

    Raises
    ------
    LookupMiss
        For a name that is none of these.

    Notes
    -----
    An equation is printed once in a sheet, in the section that needs it first; a section that is
    left out takes its equations along.
    """
    known = _standard(solved)
    if name not in known:
        near = did_you_mean(name, known) or f"There are {', '.join(known)}."
        raise LookupMiss(message("section", "a section of the sheet", quoted(name), near))
    return SheetSection(solved, name, record)


@dataclass(frozen=True, eq=False, repr=False)
class NotebookFigure:
    """A figure with its caption and its text alternative.

    Attributes
    ----------
    svg, alt, caption : str
    """

    svg: str
    alt: str
    caption: str

    def __repr__(self) -> str:
        return f"<figure: {self.alt}>"

    def _repr_html_(self) -> str:
        from base64 import b64encode

        # As an image it keeps its ids and its style to itself, and cannot script the page.
        data = b64encode(self.svg.encode()).decode("ascii")
        return (
            f'<figure><img alt="{html.escape(self.alt)}" src="data:image/svg+xml;base64,{data}">'
            f"<figcaption>{html.escape(self.caption)}</figcaption></figure>"
        )


def figure(drawing: matplotlib.figure.Figure, alt: str, caption: str) -> NotebookFigure:
    """Return a Matplotlib figure with the words that belong to it, to be the last line of a cell.

    Parameters
    ----------
    drawing : matplotlib.figure.Figure
        It is closed, so that the notebook does not show it twice.
    alt : str
        What it shows, with its result, for those who do not see it.
    caption : str
        What stands below it.

    Returns
    -------
    NotebookFigure

    Raises
    ------
    CalcError
        Without a text alternative.
    """
    import matplotlib
    from matplotlib import pyplot

    if not alt.strip():
        raise InputError(
            message(
                "figure",
                "a text alternative",
                "none",
                'Say what it shows, as in alt="Moment peaks '
                'at 9,840 lbf·ft, 6 ft 3 in from the left post".',
            )
        )
    file = io.StringIO()
    with matplotlib.rc_context({"svg.hashsalt": "calclib"}):
        drawing.savefig(file, format="svg", metadata={"Date": None})
    pyplot.close(drawing)
    return NotebookFigure(file.getvalue(), alt, caption)


class _Text(HTMLParser):
    """Reads a section as plain text: formulas by their alternative, figures by theirs."""

    def __init__(self) -> None:
        super().__init__()
        self.parts: list[str] = []
        self.inside = ""
        self.reads = True

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if self.inside:
            # A drawing says what it shows in its own title and description.
            self.reads = self.inside == "svg" and tag in ("title", "desc")
        elif tag in ("math", "svg"):
            self.inside, self.reads = tag, False
            self.parts.append(dict(attrs).get("alttext") or "\n")
        elif tag in ("tr", "p", "h1", "h2", "h3", "li", "table", "figure", "pre", "div", "br"):
            self.parts.append("\n")
        elif tag in ("td", "th"):
            self.parts.append("  ")

    def handle_endtag(self, tag: str) -> None:
        if self.inside and self.reads:
            self.parts.append("\n")
            self.reads = False
        if tag == self.inside:
            self.inside, self.reads = "", True

    def handle_data(self, data: str) -> None:
        if self.reads:
            self.parts.append(data)


def text_of(section_html: str) -> str:
    """Return a section's HTML as plain text, for a terminal."""
    reader = _Text()
    reader.feed(section_html)
    lines = (line.strip() for line in "".join(reader.parts).splitlines())
    return re.sub(r"\n{2,}", "\n\n", "\n".join(lines)).strip()
