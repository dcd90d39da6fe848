"""Two rows of an explorer: write its state as a job file, and start from a job file."""

from __future__ import annotations

from collections.abc import Callable
from html import escape
from pathlib import Path
from typing import Any

from calclib.errors import CalcError
from calclib.job.edit import save
from calclib.job.file import Job, read


class FileControls:
    """Entries for file names, their buttons, and a line that says what came of it.

    Parameters
    ----------
    text : callable
        Returns the job file of the explorer's state; a CalcError from it is said.
    open_job : callable
        Starts the explorer from a job; a CalcError from it is said.

    Attributes
    ----------
    write_name, write, open_name, open, said, box
        The widgets, and the box that holds them.
    """

    def __init__(self, text: Callable[[], str], open_job: Callable[[Job], None]) -> None:
        import ipywidgets as widgets  # type: ignore[import-untyped]

        self._text, self._open_job = text, open_job
        label = {"description_width": "initial"}
        room = {"width": "auto", "flex": "1 1 20em", "max_width": "100%"}
        button = {"width": "auto"}
        self.write_name = widgets.Text(
            description="New job file (name.toml)", placeholder="house_b.toml", style=label,
            layout=room,
        )  # fmt: skip
        self.write = widgets.Button(description="Write the job file", layout=button)
        self.open_name = widgets.Text(
            description="Job file to start from (name.toml)", placeholder="house.toml",
            style=label, layout=room,
        )  # fmt: skip
        self.open = widgets.Button(description="Start from it", layout=button)
        self.said = widgets.HTML(layout={"min_height": "2.8em", "flex": "1 0 100%"})
        self.said.add_class("calc-rich")
        rows = [(self.write_name, self.write), (self.open_name, self.open)]
        boxes = [widgets.HBox(row, layout={"flex": "1 1 330px"}) for row in rows]
        self.box = widgets.HBox([*boxes, self.said], layout={"flex_flow": "row wrap"})
        self.write.on_click(self._written)
        self.open.on_click(self._opened)

    def _written(self, _: Any) -> None:
        try:
            path = save(self._text(), self.write_name.value.strip())
        except CalcError as error:
            self._refuse(error)
        else:
            self._say(f"Written: {path}. Its checks are those shown here: calclib check {path}")

    def _opened(self, _: Any) -> None:
        name = self.open_name.value.strip()
        try:
            self._open_job(read(Path(name)))
        except CalcError as error:
            self._refuse(error)
        else:
            self._say(f"Started from {name}.")

    def _say(self, text: str) -> None:
        self.said.value = f'<p role="status">{escape(text)}</p>'

    def _refuse(self, error: CalcError) -> None:
        self.said.value = f'<p class="calc-refusal" role="alert">{escape(str(error))}</p>'
