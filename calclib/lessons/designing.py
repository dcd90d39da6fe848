"""The designer's explorer of an opening: what is moved, what is chosen, what is kept as a file."""

from __future__ import annotations

import math
from collections.abc import Iterator
from contextlib import contextmanager
from functools import partial
from html import escape
from pathlib import Path
from typing import TYPE_CHECKING, Any

from calclib.errors import CalcError
from calclib.job.file import Job, parse, read
from calclib.lessons import choices
from calclib.lessons.controls import Control
from calclib.lessons.design import design_study, job_text
from calclib.lessons.drawing import Scales, scales
from calclib.lessons.files import FileControls
from calclib.lessons.opening import Study
from calclib.lessons.page import CLASSES, STYLE, drawn, results_by_verdict
from calclib.lessons.reading import Reading

if TYPE_CHECKING:
    from calclib.job.contents import Section

COLUMN = {"flex": "1 1 330px", "min_width": "0"}
WIDE_COLUMN = {"flex": "2 1 460px", "min_width": "0"}
# Of a utilization: two ways to one number differ by rounding only.
SAME = 1e-9


def design_explorer(job: str | Path | Job, beam: str = "") -> Any:
    """Return the explorer of a beam for its designer.

    Parameters
    ----------
    job : str, Path or Job
        A job file, or what was read of it.
    beam : str
        Name of the beam; the first of the job if left out.

    Returns
    -------
    ipywidgets.VBox
        Sliders with typed entries for spans, tributary widths and loads; lists for wood, grade,
        size and plies; figure, checks and what governs; and the names of files to write the
        state to and to start from.

    Raises
    ------
    CalcError
        When the job cannot be read or solved, or has no such beam.

    Notes
    -----
    What is moved runs through the part of the calculation that it can change; what is chosen
    solves the job anew.
    """
    return Designer(read(job) if isinstance(job, (str, Path)) else job, beam).box


class Designer:
    """The parts of the explorer and what they are set to.

    Attributes
    ----------
    box : ipywidgets.VBox
    study : Study
        Of the job with what was chosen.
    numbers : dict of str to float [base units]
        What was moved, by the key of its setting.
    """

    study: Study
    numbers: dict[str, float]
    _chosen: dict[str, str]
    _shown: Reading | None

    def __init__(self, job: Job, beam: str = "") -> None:
        import ipywidgets as widgets  # type: ignore[import-untyped]

        self._beam = beam
        self._figure, self._said, self._told = (_html() for _ in range(3))
        self._lengths, self._loads = (widgets.VBox(layout={"width": "100%"}) for _ in range(2))
        self._lists: dict[str, Any] = {
            key: widgets.Dropdown(
                style={"description_width": "initial"},
                layout={"width": "auto", "max_width": "100%"},
            )
            for key in (choices.WOOD, choices.GRADE, choices.SIZE, choices.PLIES)
        }
        self._is_following = False
        for key, dropdown in self._lists.items():
            dropdown.observe(partial(self._choose, key), "value")
        files = FileControls(self.text, self.open)
        self.open(job)
        left = widgets.VBox(
            [self._lengths, *self._lists.values(), self._told, self._loads], layout=COLUMN
        )
        right = widgets.VBox([self._figure, self._said], layout=WIDE_COLUMN)
        both = widgets.HBox([left, right], layout={"flex_flow": "row wrap"})
        self.box = widgets.VBox([widgets.HTML(STYLE), both, files.box])

    def open(self, job: Job) -> None:
        """Start from a job; what was shown stays when it cannot be solved."""
        study = design_study(job, self._beam)
        self._start, self.study = job, study
        self.numbers, self._chosen = {}, {}
        self._before = study.at()
        self._axes = _roomy(study, self._before)
        self.controls = {
            setting.key: Control(setting, partial(self._move, setting.key))
            for setting in study.settings
        }
        for box, is_length in ((self._lengths, True), (self._loads, False)):
            box.children = [
                control.box
                for control in self.controls.values()
                if (control.setting.unit == "ft") == is_length
            ]
        self._told.value = ""
        self._follow()
        self._show()

    def text(self) -> str:
        """Return the job file of what is set, once it was solved and found to say the same.

        Raises
        ------
        CalcError
            When no such file can be, or its checks are not those on the screen.
        """
        if self._shown is None:
            raise CalcError("job file: there is nothing to write while nothing is shown.")
        text = job_text(self.study, self.numbers)
        again = design_study(parse(text, self._start.file), self.section.name).with_beside()
        if not _agree(again, self._shown):
            raise CalcError("job file: solved anew it would not give the numbers that are shown.")
        return text

    @property
    def section(self) -> Section:
        """The beam as it is chosen."""
        return self.study.beam.section

    def _move(self, key: str, number: float) -> None:
        self.numbers[key] = number
        self._show()

    def _choose(self, key: str, change: dict[str, Any]) -> None:
        if self._is_following or change["new"] is None:
            return
        if key == choices.WOOD:
            # The sizes and grades of one kind of wood are none of another.
            self._chosen = {}
        self._chosen[key] = change["new"]
        was = self.section
        try:
            with self._cleared():
                job = choices.with_choices(self._start, was.name, self._chosen)
                self.study = design_study(job, was.name)
                self._told.value = _taken(key, was, self.section)
                self._follow()
                self._show()
        except CalcError as error:
            self._told.value = f'<p class="calc-refusal" role="alert">{escape(str(error))}</p>'

    def _follow(self) -> None:
        """Let the lists show what can be chosen now."""
        self._is_following = True
        start = self._start.of("beams")[self.section.name]
        try:
            for choice in choices.choices(self.section, start):
                dropdown = self._lists[choice.key]
                dropdown.description = choice.name
                if dropdown.options != choice.options:
                    dropdown.options = choice.options
                dropdown.value = choice.now
                dropdown.disabled = len(choice.options) == 1
        finally:
            self._is_following = False

    def _show(self) -> None:
        with self._cleared():
            reading = self.study.at(**self.numbers)
            self._figure.value = drawn(reading, self._axes, self._before)
            whole = self.study.with_beside(**self.numbers)
            self._said.value = results_by_verdict(whole)
            self._shown = whole

    @contextmanager
    def _cleared(self) -> Iterator[None]:
        """Take figure and results off the screen when what is inside fails, and say why."""
        self._shown = None
        try:
            yield
        except Exception as error:
            self._figure.value = ""
            self._said.value = f'<p role="status">Nothing to show: {escape(str(error))}</p>'
            raise


def _agree(one: Reading, other: Reading) -> bool:
    """Tell whether two readings hold the same checks with the same numbers."""
    pairs = list(zip((*one.checks, *one.beside), (*other.checks, *other.beside), strict=False))
    counts = [len(reading.checks) + len(reading.beside) for reading in (one, other)]
    return counts == [len(pairs)] * 2 and all(
        a.id == b.id and a.state == b.state and math.isclose(a.used, b.used, rel_tol=SAME)
        for a, b in pairs
    )


def _html() -> Any:
    import ipywidgets as widgets

    part = widgets.HTML()
    for name in CLASSES:
        part.add_class(name)
    return part


def _roomy(study: Study, start: Reading) -> Scales:
    """Return axes with room for the longest spans."""
    spans = {s.key: s.high for s in study.settings if s.key.startswith("span")}
    try:
        return scales([start, study.at(**spans)])
    except (CalcError, ArithmeticError):
        return scales([start])


def _taken(key: str, was: Section, now: Section) -> str:
    """Return a sentence on what else changed with a choice."""
    parts = list(_differences(key, was, now))
    if not parts:
        return ""
    return f'<p role="status">Taken with it: {escape(", ".join(parts))}.</p>'


def _differences(key: str, was: Section, now: Section) -> Iterator[str]:
    asked = {choices.WOOD: ("species", "material", "glulam")}.get(key, (key,))
    for name, value in now.words.items():
        if name not in asked and value != was.words.get(name):
            yield f"{name.replace('_', ' ')} {value}"
    for name, entry in now.numbers.items():
        before = was.numbers.get(name)
        if name not in asked and (before is None or before.number != entry.number):
            yield f"{entry.key.title} {entry.text} ({entry.basis})"
    gone = [n for n in (*was.words, *was.numbers) if n not in now.words and n not in now.numbers]
    said = [name.replace("_", " ") for name in gone if name not in asked]
    if said:
        yield f"no longer said: {' and '.join(said)}"
