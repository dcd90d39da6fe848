"""The designer's explorer of an opening: what is moved, what is chosen, what is kept as a file."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import partial
from html import escape
from pathlib import Path
from typing import Any

from calclib.errors import CalcError
from calclib.job.file import Job, read
from calclib.lessons.choosing import ChoiceControls
from calclib.lessons.controls import Control
from calclib.lessons.design import design_study, objection, proven_text
from calclib.lessons.drawing import Scales, scales
from calclib.lessons.files import FileControls
from calclib.lessons.opening import Study
from calclib.lessons.page import CLASSES, STYLE, drawn, results_by_verdict
from calclib.lessons.reading import Reading

COLUMN = {"flex": "1 1 330px", "min_width": "0"}
WIDE_COLUMN = {"flex": "2 1 460px", "min_width": "0"}


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
    _shown: Reading | None

    def __init__(self, job: Job, beam: str = "") -> None:
        import ipywidgets as widgets  # type: ignore[import-untyped]

        self._beam = beam
        self._figure, self._said = rich_html(), rich_html()
        self._lengths, self._loads = (widgets.VBox(layout={"width": "100%"}) for _ in range(2))
        self.choices = ChoiceControls(self._chosen)
        files = FileControls(self.text, self.open)
        self.open(job)
        left = widgets.VBox([self._lengths, self.choices.box, self._loads], layout=COLUMN)
        right = widgets.VBox([self._figure, self._said], layout=WIDE_COLUMN)
        both = widgets.HBox([left, right], layout={"flex_flow": "row wrap"})
        self.box = widgets.VBox([widgets.HTML(STYLE), both, files.box])

    def open(self, job: Job) -> None:
        """Start from a job; what was shown stays when it cannot be solved."""
        study = design_study(job, self._beam)
        self.study, self.numbers = study, {}
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
        self.choices.open(job, study.beam.section.name)
        self._show()

    def text(self) -> str:
        """Return the job file of what is set, once it was solved and found to say the same.

        Raises
        ------
        CalcError
            When no such file can be, or its checks are not those on the screen.
        """
        name = self.study.beam.section.name
        return proven_text(
            self.study, self.numbers, self._shown, lambda job: design_study(job, name).with_beside()
        )

    def _move(self, key: str, number: float) -> None:
        self.numbers[key] = number
        self._show()

    def _chosen(self, made: Callable[[], Job]) -> None:
        with self._cleared():
            self.study = design_study(made(), self.study.beam.section.name)
            self._show()

    def _show(self) -> None:
        with self._cleared():
            reading = self.study.at(**self.numbers)
            self._figure.value = drawn(reading, self._axes, self._before)
            whole = self.study.with_beside(**self.numbers)
            against = objection(self.study, self.numbers)
            self._said.value = results_by_verdict(whole, against)
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


def rich_html() -> Any:
    """Return a part of an explorer that shows HTML in the page's colors."""
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
