"""The lists of an explorer: wood, grade, size and plies of its beam."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial
from html import escape
from typing import Any

from calclib.errors import CalcError
from calclib.job.contents import Job, Section
from calclib.lessons import choices


class ChoiceControls:
    """The lists of what can be chosen, and a line that says what came with a choice.

    Parameters
    ----------
    changed : callable
        Called with what makes the changed job; a CalcError from it is said below the lists.

    Attributes
    ----------
    lists : dict of str to ipywidgets.Dropdown
    told, box
        The line, and the box that holds all.
    """

    def __init__(self, changed: Callable[[Callable[[], Job]], None]) -> None:
        import ipywidgets as widgets  # type: ignore[import-untyped]

        self._changed = changed
        self._is_following = False
        self.lists: dict[str, Any] = {
            key: widgets.Dropdown(
                style={"description_width": "initial"},
                layout={"width": "auto", "max_width": "100%"},
            )
            for key in (choices.WOOD, choices.GRADE, choices.SIZE, choices.PLIES)
        }
        for key, dropdown in self.lists.items():
            dropdown.observe(partial(self._choose, key), "value")
        self.told = widgets.HTML(layout={"min_height": "5.6em"})
        self.told.add_class("calc-rich")
        self.box = widgets.VBox([*self.lists.values(), self.told])

    def open(self, job: Job, beam: str) -> None:
        """Start from a job as it is."""
        self._start, self._beam = job, beam
        self._now = job.of("beams")[beam]
        self._chosen: dict[str, str] = {}
        self.told.value = ""
        self._follow()

    def _choose(self, key: str, change: dict[str, Any]) -> None:
        if self._is_following or change["new"] is None:
            return
        if key == choices.WOOD:
            # The sizes and grades of one kind of wood are none of another.
            self._chosen = {}
        self._chosen[key] = change["new"]
        try:
            self._changed(partial(self._made, key))
        except CalcError as error:
            self.told.value = f'<p class="calc-refusal" role="alert">{escape(str(error))}</p>'

    def _made(self, key: str) -> Job:
        job = choices.with_choices(self._start, self._beam, self._chosen)
        was, self._now = self._now, job.of("beams")[self._beam]
        self.told.value = _taken(key, was, self._now)
        self._follow()
        return job

    def _follow(self) -> None:
        """Let the lists show what can be chosen now."""
        self._is_following = True
        try:
            for choice in choices.choices(self._now, self._start.of("beams")[self._beam]):
                dropdown = self.lists[choice.key]
                dropdown.description = choice.name
                if dropdown.options != choice.options:
                    dropdown.options = choice.options
                dropdown.value = choice.now
                dropdown.disabled = len(choice.options) == 1
        finally:
            self._is_following = False


def _taken(key: str, was: Section, now: Section) -> str:
    """Return a sentence on what else changed with a choice."""
    parts = list(_differences(key, was, now))
    if not parts:
        return ""
    return f'<p role="status">Taken with it: {escape("; ".join(parts))}.</p>'


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
        yield f"no longer said: {', '.join(said)}"
