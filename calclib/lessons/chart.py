"""The size chart's explorer: a section over spans and tributary widths, or all of its depths."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import partial
from html import escape
from pathlib import Path
from typing import Any

from calclib.errors import InputError, message
from calclib.job import rich
from calclib.job.file import Job, read
from calclib.lessons.charting import Axes, carried_lines, chart, utilization_lines
from calclib.lessons.choosing import ChoiceControls
from calclib.lessons.controls import Control
from calclib.lessons.design import objection, proven_text
from calclib.lessons.designing import COLUMN, WIDE_COLUMN, rich_html
from calclib.lessons.files import FileControls
from calclib.lessons.opening import WIDTH, Study, opening_study
from calclib.lessons.page import CAUTION, STYLE, objected
from calclib.lessons.reading import Reading, percent, verdict
from calclib.lessons.sizing import (
    FEW_WIDTHS,
    WIDTHS,
    Carried,
    carried_by,
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


class Charter:
    """The parts of the explorer and what they are set to.

    Attributes
    ----------
    box : ipywidgets.VBox
    study : Study
        Of the job with what was chosen.
    numbers : dict of str to float [base units]
        What is set, by key.
    controls : dict of str to Control
    choices : ChoiceControls
    shows, across : ipywidgets.Dropdown
        What the chart shows, and which span lies across it.
    """

    study: Study
    numbers: dict[str, float]
    _shown: Reading | None

    def __init__(self, job: Job, beam: str = "") -> None:
        import ipywidgets as widgets  # type: ignore[import-untyped]

        self._beam = beam
        self._figure, self._said, self._table = (rich_html() for _ in range(3))
        self._lengths = widgets.VBox(layout={"width": "100%"})
        label = {"description_width": "initial"}
        room = {"width": "auto", "max_width": "100%"}
        self.shows = widgets.Dropdown(
            options=(ONE, ALL), description="The chart shows", style=label, layout=room
        )
        self.across = widgets.Dropdown(
            description="Span across the chart (name)", style=label, layout=room
        )
        self.choices = ChoiceControls(self._chosen)
        files = FileControls(self.text, self.open)
        self._is_opening = False
        self.open(job)
        for dropdown in (self.shows, self.across):
            dropdown.observe(self._turned, "value")
        left = widgets.VBox(
            [self.shows, self.across, self._lengths, self.choices.box], layout=COLUMN
        )
        right = widgets.VBox([self._figure, self._said, self._table], layout=WIDE_COLUMN)
        both = widgets.HBox([left, right], layout={"flex_flow": "row wrap"})
        self.box = widgets.VBox([widgets.HTML(STYLE), both, files.box])

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
            self.controls = {
                setting.key: Control(setting, partial(self._move, setting.key))
                for setting in study.settings
            }
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

    def text(self) -> str:
        """Return the job file of what is set, once it was solved and found to say the same.

        Raises
        ------
        CalcError
            When no such file can be, or its checks are not those on the screen.
        """
        name = self.study.beam.section.name
        return proven_text(
            self.study, self.numbers, self._shown, lambda job: opening_study(job, name).at()
        )

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
        self._name = f"{plies} x {size}" if plies > 1 else size
        found: list[Carried]
        if self.shows.value == ALL:
            found = list(what_carries(study, self._job, x, self.numbers))
            self._lines = carried_lines(found, self._axes, size)
            self._key = "Each line: the longest span of a depth (in); bold, the one that is set"
        else:
            grid = utilization_chart(study, x, self.numbers)
            self._lines = utilization_lines(grid)
            found = [carried_by(grid, size, plies, (WIDTHS - 1) // (FEW_WIDTHS - 1))]
            self._key = "Lines of equal utilization; bold, 1: all is used"
        heads, *rows = span_rows(found, study.si)
        caption = f"Longest {settings[0].name} at which no check fails, by tributary width"
        table = rich.table_html(caption, heads, rows, numbers=set(range(1, len(heads))))
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

    @contextmanager
    def _cleared(self) -> Iterator[None]:
        """Take chart and results off the screen when what is inside fails, and say why."""
        self._shown = None
        try:
            yield
        except Exception as error:
            self._figure.value = self._table.value = ""
            self._said.value = f'<p role="status">Nothing to show: {escape(str(error))}</p>'
            raise
