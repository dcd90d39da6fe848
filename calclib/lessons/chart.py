"""The size chart's explorer: a section over spans and tributary widths, or all of its depths."""

from __future__ import annotations

from collections.abc import Callable
from html import escape
from pathlib import Path
from typing import Any

from calclib.errors import InputError, message
from calclib.job import rich
from calclib.job.file import Job, read
from calclib.lessons.charting import LINES_KEY, Axes, carried_lines, chart, utilization_lines
from calclib.lessons.design import objection
from calclib.lessons.designing import BeamExplorer
from calclib.lessons.opening import WIDTH, opening_study
from calclib.lessons.page import CAUTION, objected
from calclib.lessons.reading import Reading, percent, verdict
from calclib.lessons.sizing import (
    FEW_WIDTHS,
    WIDTHS,
    Carried,
    caption_of,
    carried_by,
    in_words,
    span_rows,
    utilization_chart,
    what_carries,
)

ONE, ALL = "utilization of this section", "what each depth carries"


def size_chart(job: str | Path | Job, beam: str = "") -> Any:
    """Return the explorer of a beam's section over spans and tributary widths.

    Parameters
    ----------
    job : str, Path or Job
        A job file, or what was read of it.
    beam : str
        Name of the beam; the first of the job if left out.

    Returns
    -------
    ipywidgets.VBox
        A chart of the utilization of one section, or of what each stock depth of its wood
        carries; a mark moved by sliders and typed entries; lists for wood, grade, size and
        plies; the longest spans as a table; and the names of files to write the state to and to
        start from.

    Raises
    ------
    CalcError
        When the job cannot be read or solved, has no such beam, or no joists rest on the beam.
    """
    return Charter(read(job) if isinstance(job, (str, Path)) else job, beam).box


class Charter(BeamExplorer):
    """The size chart of a beam; see `BeamExplorer`.

    Attributes
    ----------
    shows, across : ipywidgets.Dropdown
        What the chart shows, and which span lies across it.
    """

    def __init__(self, job: Job, beam: str = "") -> None:
        import ipywidgets as widgets  # type: ignore[import-untyped]

        super().__init__(beam, drawings=2)
        self._figure, self._table = self._drawings
        self._lengths = widgets.VBox(layout={"width": "100%"})
        label = {"description_width": "initial"}
        room = {"width": "auto", "max_width": "100%"}
        self.shows = widgets.Dropdown(
            options=(ONE, ALL), description="The chart shows", style=label, layout=room
        )
        self.across = widgets.Dropdown(
            description="Span across the chart (name)", style=label, layout=room
        )
        self._is_opening = False
        self.open(job)
        for dropdown in (self.shows, self.across):
            dropdown.observe(self._turned, "value")
        self._lay_out(
            [self.shows, self.across, self._lengths, self.choices.box],
            [self._figure, self._said, self._table],
        )

    def open(self, job: Job) -> None:
        """Start from a job; what was shown stays when it cannot be charted."""
        study = opening_study(job, self._beam)
        name = study.beam.section.name
        if WIDTH not in study.freedoms:
            needs = "joists that rest on it, for a tributary width"
            raise InputError(message(f"size chart, beams.{name}", needs, "none"))
        self._is_opening = True
        try:
            self._job, self.study, self.numbers = job, study, study.start
            self._set_controls()
            self._lengths.children = [control.box for control in self.controls.values()]
            spans = [(s.name, s.key) for s in study.settings if s.key != WIDTH]
            self.across.options = spans
            self.across.value = spans[0][1]
            self.across.disabled = len(spans) == 1
            self.choices.open(job, name)
        finally:
            self._is_opening = False
        with self._cleared():
            self._draw()
            self._mark()

    def _read(self, job: Job, beam: str) -> Reading:
        return opening_study(job, beam).at()

    def _move(self, key: str, number: float) -> None:
        self.numbers[key] = number
        with self._cleared():
            if key not in (self.across.value, WIDTH):
                self._draw()
            self._mark()

    def _turned(self, _: Any) -> None:
        if not self._is_opening:
            with self._cleared():
                self._draw()
                self._mark()

    def _chosen(self, made: Callable[[], Job]) -> None:
        with self._cleared():
            self._job = made()
            self.study = opening_study(self._job, self.study.beam.section.name)
            self._draw()
            self._mark()

    def _draw(self) -> None:
        """Compute the lines of the chart and the table of longest spans."""
        study, x = self.study, self.across.value
        settings = study.freedoms[x].setting, study.freedoms[WIDTH].setting
        self._axes = Axes(*settings)
        section = study.beam.section
        size, plies = section.words["size"], int(section.numbers["plies"].number)
        self._name = in_words(size, plies)
        found: list[Carried]
        if self.shows.value == ALL:
            found = list(what_carries(study, self._job, x, self.numbers))
            self._lines = carried_lines(found, self._axes, size)
            self._key = "Each line: the longest span of a depth (in); bold, the one that is set"
        else:
            grid = utilization_chart(study, x, self.numbers)
            self._lines = utilization_lines(grid)
            found = [carried_by(grid, size, plies, (WIDTHS - 1) // (FEW_WIDTHS - 1))]
            self._key = LINES_KEY
        heads, *rows = span_rows(found, study.si)
        table = rich.table_html(
            caption_of(settings[0]), heads, rows, numbers=set(range(1, len(heads)))
        )
        refused = "".join(
            f"<p>{escape(f'{each.size} is refused: {each.refused}')}</p>"
            for each in found
            if each.refused
        )
        self._table.value = f"{table}{refused}<p>{CAUTION}</p>"

    def _mark(self) -> None:
        """Show where the numbers that are set lie on the chart, and what is used there."""
        reading = self.study.at(**self.numbers)
        x = self.across.value
        here = self.numbers[x], self.numbers[WIDTH]
        start = self.study.freedoms[x].setting.start, self.study.freedoms[WIDTH].setting.start
        set_ = ", ".join(f"{s.name} {s.written(self.numbers[s.key])}" for s in self.study.settings)
        words = " ".join(verdict(reading))
        used = percent(reading.governing.used)
        heading = f"{self._name}: {used} used at what is set"
        said = f"{self._key}. {self._name} at {set_}: {words}"
        drawing = chart(self._axes, self._lines, heading, self._key, here, start, said)
        self._figure.value = f'<div class="calc-drawn">{drawing}</div>'
        notes = "".join(f" {note}" for note in reading.notes)
        self._said.value = (
            f'<p role="status" class="calc-verdict calc-roomy"><strong>{escape(words)}</strong> '
            f"{objected(objection(self.study, self.numbers))}{escape(f'At {set_}.{notes}')}</p>"
        )
        self._shown = reading
