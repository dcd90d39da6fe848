"""The designer's explorer of an opening: what is moved, what is chosen, what is kept as a file."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Callable, Iterator, Sequence
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


class BeamExplorer(ABC):
    """What the explorers of one beam share: what they are set to, their file, their failures.

    Parameters
    ----------
    beam : str
        Name of the beam; the first of the job if empty.
    drawings : int
        How many parts, figure first, show what is calculated; one more says it in words.

    Attributes
    ----------
    box : ipywidgets.VBox
    study : Study
        Of the job with what was chosen.
    numbers : dict of str to float [base units]
        What is set, by the key of its setting.
    controls : dict of str to Control
        Sliders and entries, by key.
    choices : ChoiceControls
    """

    study: Study
    numbers: dict[str, float]
    controls: dict[str, Control]
    box: Any

    def __init__(self, beam: str, drawings: int) -> None:
        self._beam = beam
        self._drawings, self._said = [rich_html() for _ in range(drawings)], rich_html()
        self._shown: Reading | None = None
        self.choices = ChoiceControls(self._chosen)

    @abstractmethod
    def open(self, job: Job) -> None:
        """Start from a job; what was shown stays when it cannot be solved."""

    @abstractmethod
    def _read(self, job: Job, beam: str) -> Reading:
        """Solve a job anew and read of it what is shown."""

    @abstractmethod
    def _move(self, key: str, number: float) -> None:
        """Show another number."""

    @abstractmethod
    def _chosen(self, made: Callable[[], Job]) -> None:
        """Show the job that a choice makes."""

    def text(self) -> str:
        """Return the job file of what is set, once it was solved and found to say the same.

        Raises
        ------
        CalcError
            When no such file can be, or its checks are not those on the screen.
        """
        name = self.study.beam.section.name
        return proven_text(self.study, self.numbers, self._shown, lambda job: self._read(job, name))

    def _set_controls(self) -> None:
        self.controls = {
            setting.key: Control(setting, partial(self._move, setting.key))
            for setting in self.study.settings
        }

    def _lay_out(self, left: Sequence[Any], right: Sequence[Any]) -> None:
        import ipywidgets as widgets  # type: ignore[import-untyped]

        columns = widgets.VBox(left, layout=COLUMN), widgets.VBox(right, layout=WIDE_COLUMN)
        both = widgets.HBox(columns, layout={"flex_flow": "row wrap"})
        files = FileControls(self.text, self.open)
        self.box = widgets.VBox([widgets.HTML(STYLE), both, files.box])

    @contextmanager
    def _cleared(self) -> Iterator[None]:
        """Take figure and results off the screen when what is inside fails, and say why."""
        self._shown = None
        try:
            yield
        except Exception as error:
            for part in self._drawings:
                part.value = ""
            self._said.value = f'<p role="status">Nothing to show: {escape(str(error))}</p>'
            raise


class Designer(BeamExplorer):
    """The designer's explorer of a beam; see `BeamExplorer`."""

    def __init__(self, job: Job, beam: str = "") -> None:
        import ipywidgets as widgets

        super().__init__(beam, drawings=1)
        (self._figure,) = self._drawings
        self._lengths, self._loads = (widgets.VBox(layout={"width": "100%"}) for _ in range(2))
        self.open(job)
        self._lay_out([self._lengths, self.choices.box, self._loads], [self._figure, self._said])

    def open(self, job: Job) -> None:
        study = design_study(job, self._beam)
        self.study, self.numbers = study, {}
        self._before = study.at()
        self._axes = _roomy(study, self._before)
        self._set_controls()
        for box, is_length in ((self._lengths, True), (self._loads, False)):
            box.children = [
                control.box
                for control in self.controls.values()
                if (control.setting.unit == "ft") == is_length
            ]
        self.choices.open(job, study.beam.section.name)
        self._show()

    def _read(self, job: Job, beam: str) -> Reading:
        return design_study(job, beam).with_beside()

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
