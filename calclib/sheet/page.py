"""The calc sheet as one self-contained HTML page, a pure function of the solved job."""

from __future__ import annotations

import os
import tempfile
from functools import cache
from importlib.resources import files
from pathlib import Path

from calclib import __version__
from calclib.job.solve import Solved
from calclib.sheet import sections
from calclib.sheet.fonts import font_css
from calclib.sheet.review import Record

# Characters of the inputs' hash at the foot of each printed page.
SHOWN = 10
# A longer title would not leave the line at the head of a printed page to itself.
LONGEST_HEAD = 80


def render(solved: Solved, record: Record | None = None) -> str:
    """Return the standard calc sheet of a solved job.

    Parameters
    ----------
    solved : Solved
    record : Record, optional
        The review record that the sheet is to carry.

    Returns
    -------
    str
        One HTML file: no network, no script; the same bytes for the same job and version.
    """
    body = "\n".join(html for _, html in sections.standard(solved, record))
    return wrap(solved.job.title_block["title"], footer(solved), body)


def footer(solved: Solved) -> str:
    """Return the words at the foot of each printed page."""
    block = solved.job.title_block
    inputs = sections.digest_of(solved.job.text)[:SHOWN]
    return f"{block['number']}  rev. {block['revision']}  {block['date']}  inputs {inputs}"


def wrap(title: str, foot: str, body: str) -> str:
    """Return a whole page around the sections' HTML.

    Parameters
    ----------
    title, foot : str
        Plain text.
    body : str
        HTML, with all text from the job escaped.
    """
    from jinja2 import Environment, PackageLoader
    from markupsafe import Markup

    environment = Environment(
        loader=PackageLoader("calclib.sheet"), autoescape=True, keep_trailing_newline=True
    )
    return environment.get_template("page.html").render(
        title=title, body=Markup(body), style=Markup(style(foot, title)), version=__version__
    )


@cache
def _style_sheet() -> str:
    rules = (files("calclib.sheet") / "templates" / "sheet.css").read_text("utf-8")
    return rules.replace("FONT", font_css(), 1)


def style(foot: str, head: str) -> str:
    """Return the style sheet with head and foot of the printed pages in it."""
    if len(head) > LONGEST_HEAD:
        head = head[: LONGEST_HEAD - 3] + "..."
    before, after = _style_sheet().split("FOOTER", 1)
    return before.replace("HEADER", _css_string(head), 1) + _css_string(foot) + after


def _css_string(text: str) -> str:
    """Return text as the inside of a CSS string, which it cannot end early."""
    return "".join(c if c.isalnum() or c in " .-:," else f"\\{ord(c):x} " for c in text)


def write(page: str, path: Path) -> None:
    """Write a page so that a failure at any moment leaves the last one whole.

    Raises
    ------
    OSError
        When the folder cannot be written.
    """
    handle, name = tempfile.mkstemp(prefix=f".{path.name}.", dir=path.parent)
    try:
        with os.fdopen(handle, "w", encoding="utf-8", newline="\n") as file:
            file.write(page)
            file.flush()
            os.fsync(file.fileno())
        mask = os.umask(0)
        os.umask(mask)
        Path(name).chmod(0o666 & ~mask)
        Path(name).replace(path)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise
