"""What the explorers show, as it stands on a page without sliders: picture, words, table."""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Sequence
from dataclasses import dataclass
from html import escape, unescape
from pathlib import Path

from calclib.job import rich
from calclib.job.file import Job
from calclib.job.solve import Solved, solved_of
from calclib.job.tree import table
from calclib.lessons.charting import LINES_KEY, Axes, chart, utilization_lines
from calclib.lessons.drawing import as_image
from calclib.lessons.opening import WIDTH, opening_study
from calclib.lessons.page import CAUTION, CLASSES, STYLE
from calclib.lessons.reading import percent, verdict
from calclib.lessons.sizing import (
    FEW_WIDTHS,
    WIDTHS,
    caption_of,
    carried_by,
    in_words,
    span_rows,
    utilization_chart,
)
from calclib.lessons.staging import HEADS, flows_of, rows_of, said, snapshot
from calclib.lessons.staging_drawing import figure, laid_out


@dataclass(frozen=True)
class Shown:
    """A picture with its words and its table.

    Attributes
    ----------
    svg : str
        With its text alternative.
    words : tuple of str
        Sentences.
    caption : str
        Of the table.
    rows : tuple of tuple of str
        Heads first.
    first_number : int
        From which column on it holds numbers.
    """

    svg: str
    words: tuple[str, ...]
    caption: str
    rows: tuple[tuple[str, ...], ...]
    first_number: int = 1

    def __repr__(self) -> str:
        return "\n".join([*self.words, "", self.caption, table(list(self.rows)), "", CAUTION])

    def _repr_html_(self) -> str:
        data = b64encode(as_image(self.svg).encode()).decode("ascii")
        heads, *rows = self.rows
        numbers = set(range(self.first_number, len(heads)))
        told = rich.table_html(self.caption, heads, rows, numbers=numbers)
        words = " ".join(map(escape, self.words))
        alternative = escape(unescape(self.svg.partition('aria-label="')[2].partition('"')[0]))
        return (
            f'{STYLE}<div class="{" ".join(CLASSES)}"><figure><img alt="{alternative}" '
            f'src="data:image/svg+xml;base64,{data}"><figcaption>{words}</figcaption></figure>'
            f"{told}<p>{CAUTION}</p></div>"
        )


def chart_of(job: str | Path | Job | Solved, beam: str = "") -> Shown:
    """Return the utilization of a beam over its first span and its tributary width.

    Parameters
    ----------
    job : str, Path, Job or Solved
    beam : str
        Name of the beam; the first of the job if left out.

    Returns
    -------
    Shown
        With the longest spans by tributary width.

    Raises
    ------
    CalcError
        As `opening_study`; and when no joists rest on the beam.
    """
    study = opening_study(job, beam)
    x = study.settings[0].key
    grid = utilization_chart(study, x)
    section = study.beam.section
    size, plies = section.words["size"], int(section.numbers["plies"].number)
    reading = study.at()
    start = study.freedoms[x].setting.start, study.freedoms[WIDTH].setting.start
    heading = f"{in_words(size, plies)}: {percent(reading.governing.used)} used by the job"
    words = (f"{LINES_KEY}; hatched, a check fails.", *verdict(reading))
    axes = Axes(grid.x, grid.y)
    svg = chart(axes, utilization_lines(grid), heading, LINES_KEY, start, start, " ".join(words))
    rows = span_rows([carried_by(grid, size, plies, (WIDTHS - 1) // (FEW_WIDTHS - 1))], study.si)
    return Shown(svg, words, caption_of(grid.x), tuple(rows))


def state_of(job: str | Path | Job | Solved, step: int = -1, without: Sequence[str] = ()) -> Shown:
    """Return a house in one of its states, with members taken out by way of trial.

    Parameters
    ----------
    job : str, Path, Job or Solved
    step : int
        Which of the states; the last if left out.
    without : sequence of str
        Paths of members.

    Returns
    -------
    Shown
        With the loads of all members.

    Raises
    ------
    CalcError
        When the job cannot be read or solved.
    """
    flows = flows_of(solved_of(job))
    found = snapshot(flows, range(len(flows))[step], frozenset(without))
    return Shown(
        figure(found, laid_out(flows)),
        tuple(said(found)),
        f"Loads of the house, {found.state}, without factors",
        (HEADS, *rows_of(found)),
        first_number=2,
    )
