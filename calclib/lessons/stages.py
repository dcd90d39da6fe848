"""The stage explorer: step through the states of a house, take members out, see what falls."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from html import escape
from pathlib import Path
from typing import Any

from calclib.errors import CalcError, InputError, message
from calclib.job import rich
from calclib.job.carry import Flow
from calclib.job.edit import edited
from calclib.job.file import Job, parse
from calclib.job.schema import called
from calclib.job.solve import Solved, solve, solved_of
from calclib.job.state import stands_of
from calclib.lessons.designing import rich_html
from calclib.lessons.files import FileControls
from calclib.lessons.page import CAUTION, STYLE
from calclib.lessons.staging import (
    HEADS,
    Snapshot,
    flows_of,
    members_of,
    rows_of,
    said,
    snapshot,
)
from calclib.lessons.staging_drawing import figure, laid_out

SAME = 1e-9
STAGE_STYLE = """<style>
.calc-stages .calc-verdict { min-height: 8.4em; }
</style>"""


def stage_explorer(job: str | Path | Job | Solved, flows: Sequence[Flow] = ()) -> Any:
    """Return the explorer of a house in its states, one after the other.

    Parameters
    ----------
    job : str, Path, Job or Solved
        A job file, or what was made of it.
    flows : sequence of Flow, optional
        The states to step through, of one house; those of the job if left out.

    Returns
    -------
    ipywidgets.VBox
        A list of the states with buttons for the next and the one before, a box to tick for each
        member, a figure in which every member keeps its place, what falls and what carries more
        in words, a table of loads, and the names of files to write the state to and to start
        from.

    Raises
    ------
    CalcError
        When the job cannot be read or solved.
    """
    return Stager(flows or flows_of(solved_of(job))).box


class Stager:
    """The parts of the explorer and what they are set to.

    Attributes
    ----------
    box : ipywidgets.VBox
    step : ipywidgets.Dropdown
        Which state is shown.
    ticks : dict of str to ipywidgets.Checkbox
        By the path of a member: whether it stays.
    """

    _shown: Snapshot | None

    def __init__(self, flows: Sequence[Flow]) -> None:
        import ipywidgets as widgets  # type: ignore[import-untyped]

        self._figure, self._said, self._table = (rich_html() for _ in range(3))
        for part in (self._figure, self._said):
            part.add_class("calc-stages")
        self.step = widgets.Dropdown(
            description="State of the house (name)", style={"description_width": "initial"},
            layout={"width": "auto", "max_width": "100%"},
        )  # fmt: skip
        self.back, self.next = (
            widgets.Button(description=words, layout={"width": "auto"})
            for words in ("State before", "Next state")
        )
        self.all_back = widgets.Button(description="Put all members back", layout={"width": "auto"})
        self._heading = widgets.HTML(
            '<p style="margin:0">Members that stay; one without its tick is taken out by way of '
            "trial:</p>"
        )
        self._ticks = widgets.HBox(layout={"flex_flow": "row wrap", "max_height": "300px"})
        self._is_following = False
        files = FileControls(self.text, self.open)
        self.start(flows)
        self.step.observe(self._turned, "value")
        self.back.on_click(partial(self._walk, -1))
        self.next.on_click(partial(self._walk, 1))
        self.all_back.on_click(self._put_back)
        steps = widgets.HBox(
            [self.step, self.back, self.next, self.all_back], layout={"flex_flow": "row wrap"}
        )
        self.box = widgets.VBox(
            [
                widgets.HTML(f"{STYLE}{STAGE_STYLE}"), steps, self._figure, self._said,
                self._heading, self._ticks, self._table, files.box,
            ]
        )  # fmt: skip

    def open(self, job: Job) -> None:
        """Start from a job; what was shown stays when it cannot be solved."""
        self.start(flows_of(solve(job)))

    def start(self, flows: Sequence[Flow]) -> None:
        """Step through other states."""
        import ipywidgets as widgets

        layout = laid_out(flows)
        self.flows, self._layout = tuple(flows), layout
        self._is_following = True
        try:
            self.step.options = [
                (f"{place}. {flow.state.name}", place - 1)
                for place, flow in enumerate(self.flows, start=1)
            ]
            self.step.value = 0
            self.ticks = {
                path: widgets.Checkbox(
                    value=True, description=called(path), indent=False,
                    layout={"width": "14em", "flex": "0 0 auto"},
                )
                for path in members_of(self.flows)
            }  # fmt: skip
            self._ticks.children = list(self.ticks.values())
            for tick in self.ticks.values():
                tick.observe(self._turned, "value")
        finally:
            self._is_following = False
        self._show()

    @property
    def taken(self) -> frozenset[str]:
        """The members without a tick."""
        return frozenset(path for path, tick in self.ticks.items() if not tick.value)

    def text(self) -> str:
        """Return the job file in which what was taken out is removed, solved to say the same.

        Raises
        ------
        CalcError
            When no such file can be: members that fall, new members, a state before the last.
        """
        flow, shown = self.flows[self.step.value], self._shown
        job = flow.house.job
        taken = [path for path in self.taken if path in flow.state.members]
        if shown is None or not taken:
            return job.text
        for path in taken:
            where = f"{job.file}, {path}"
            if flow is not self.flows[-1]:
                needs = "the last state, for what is removed is not there then"
                do = "Go to the last state."
                raise InputError(message(where, needs, flow.state.name, do))
            if stands_of(flow.state.members[path]) == "new":
                do = "Take its section out of the file by hand."
                raise InputError(message(where, "a member as found", "a new one", do))
        changes = {f"{path}.stands": "removed" for path in taken}
        text = edited(job.text, changes, job.file)
        last = snapshot([self.flows[0], solve(parse(text, job.file)).flow], 1)
        ours = {part.path: part.load for part in shown.parts if part.standing == "stands"}
        theirs = {part.path: part.load for part in last.parts if part.standing == "stands"}
        if set(ours) != set(theirs) or any(
            abs(theirs[path] - load) > SAME * max(load, 1.0) for path, load in ours.items()
        ):
            raise CalcError("job file: solved anew it would not give the loads that are shown.")
        return text

    def _walk(self, by: int, _: Any) -> None:
        self.step.value = min(max(self.step.value + by, 0), len(self.flows) - 1)

    def _put_back(self, _: Any) -> None:
        self._is_following = True
        try:
            for tick in self.ticks.values():
                tick.value = True
        finally:
            self._is_following = False
        self._show()

    def _turned(self, change: dict[str, Any]) -> None:
        if not self._is_following and change["new"] is not None:
            self._show()

    def _show(self) -> None:
        self._shown = None
        step = self.step.value
        self.back.disabled, self.next.disabled = step == 0, step == len(self.flows) - 1
        self.all_back.disabled = not self.taken
        for path, tick in self.ticks.items():
            tick.disabled = path not in self.flows[step].state.members
        try:
            found = snapshot(self.flows, step, self.taken)
        except Exception as error:
            self._figure.value = self._table.value = ""
            self._said.value = f'<p role="status">Nothing to show: {escape(str(error))}</p>'
            raise
        self._figure.value = f'<div class="calc-drawn">{figure(found, self._layout)}</div>'
        words = " ".join(map(escape, said(found)))
        self._said.value = f'<p role="status" class="calc-verdict">{words}</p>'
        table = rich.table_html(
            f"Loads of the house, {found.state}, without factors", HEADS, rows_of(found),
            numbers=set(range(2, len(HEADS))), by_state=False,
        )  # fmt: skip
        self._table.value = f"{table}<p>{CAUTION}</p>"
        self._shown = found
