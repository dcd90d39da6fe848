"""The explorer: controls above a figure and its results, which change in place."""

from __future__ import annotations

from functools import partial
from html import escape
from pathlib import Path
from typing import TYPE_CHECKING, Any

from calclib.errors import CalcError
from calclib.lessons.controls import Control
from calclib.lessons.drawing import scales
from calclib.lessons.opening import Study, opening_study
from calclib.lessons.page import CLASSES, STYLE, drawn, results
from calclib.lessons.reading import Reading

if TYPE_CHECKING:
    from calclib.job.file import Job
    from calclib.job.solve import Solved


def opening_explorer(job: str | Path | Job | Solved, beam: str = "") -> Any:
    """Return the explorer of a job's opening; see `opening_study` for what may be moved.

    Parameters
    ----------
    job : str, Path, Job or Solved
    beam : str
        Name of the beam; the first of the job if left out.

    Returns
    -------
    ipywidgets.VBox

    Raises
    ------
    CalcError
        When the job cannot be read or solved, or has no such beam.
    """
    return explorer(opening_study(job, beam))


def explorer(study: Study) -> Any:
    """Return sliders and typed entries for a study, its figure and its results.

    Parameters
    ----------
    study : Study

    Returns
    -------
    ipywidgets.VBox
        Numbers that the calculation refuses, or stumbles over, take figure and results off the
        screen, with the reason in their place: nothing of an earlier number stays beside a newer
        one.
    """
    import ipywidgets as widgets  # type: ignore[import-untyped]

    start = study.at()
    numbers = study.start
    axes = scales([start, *_widest(study)])
    figure, said = widgets.HTML(), widgets.HTML()
    for part in (figure, said):
        for name in CLASSES:
            part.add_class(name)

    def show() -> None:
        reading = study.at(**numbers)
        figure.value = drawn(reading, axes, start)
        said.value = results(reading)

    def move(key: str, number: float) -> None:
        numbers[key] = number
        try:
            show()
        except Exception as error:
            figure.value = ""
            said.value = f'<p role="status">Nothing to show: {escape(str(error))}</p>'
            raise

    controls = [Control(setting, partial(move, setting.key)) for setting in study.settings]
    show()
    return widgets.VBox([widgets.HTML(STYLE), *(control.box for control in controls), figure, said])


def _widest(study: Study) -> list[Reading]:
    """Return the reading with every number at its upper end, if the calculation takes it."""
    try:
        return [study.at(**{setting.key: setting.high for setting in study.settings})]
    except (CalcError, ArithmeticError):
        return []
