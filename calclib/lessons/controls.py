"""The control of a setting: a slider, a typed entry beside it, and a place for what is wrong."""

from __future__ import annotations

from collections.abc import Callable
from html import escape
from typing import Any

from calclib import units
from calclib.errors import CalcError
from calclib.lessons.setting import Setting


class Control:
    """A setting that a person moves by slider or by typing.

    Whatever is refused stays in the entry, with the reason beside it; the number stays what it
    was.

    Parameters
    ----------
    setting : Setting
    changed : callable
        Called with the new number [base units]; a CalcError from it is shown beside the entry.

    Attributes
    ----------
    number : float
        The number that holds [base units].
    slider, entry, refusal, box
        The widgets, and the box that holds them.
    """

    def __init__(self, setting: Setting, changed: Callable[[float], None]) -> None:
        import ipywidgets as widgets  # type: ignore[import-untyped]

        self.setting = setting
        self.number = setting.start
        self._changed = changed
        self._is_following = False
        scale = units.factor(setting.shown_unit)
        name = f"{setting.name[:1].upper()}{setting.name[1:]}"
        label = {"description_width": "initial"}
        room = {"width": "auto", "max_width": "100%", "flex": "1 1 24em"}
        self.slider = widgets.FloatSlider(
            value=setting.start / scale,
            min=setting.low / scale,
            max=setting.high / scale,
            step=setting.step / scale,
            description=f"{name} ({units.label(setting.shown_unit)})",
            continuous_update=False,
            readout=False,
            style=label,
            layout=room,
        )
        self.entry = widgets.Text(
            value=setting.written(setting.start),
            description=f"{name}, typed ({setting.unit_words})",
            continuous_update=False,
            style=label,
            layout=room | {"flex_flow": "row wrap"},
        )
        # It keeps its line while it is empty, so that nothing below it jumps.
        self.refusal = widgets.HTML(layout={"min_height": "2.8em", "flex": "1 0 100%"})
        self.refusal.add_class("calc-rich")
        self.box = widgets.HBox(
            [self.slider, self.entry, self.refusal],
            layout={"flex_flow": "row wrap", "max_width": "720px"},
        )
        self.slider.observe(self._slid, "value")
        self.entry.observe(self._typed, "value")

    def _slid(self, change: dict[str, Any]) -> None:
        if not self._is_following:
            number = self.setting.on_scale(change["new"])
            self._follow(self.entry, self.setting.written(number))
            self._take(number)

    def _typed(self, change: dict[str, Any]) -> None:
        if self._is_following:
            return
        try:
            number = self.setting.read(change["new"])
        except CalcError as error:
            self._refuse(error)
            return
        self._follow(self.slider, number / units.factor(self.setting.shown_unit))
        self._take(number)

    def _take(self, number: float) -> None:
        self.number = number
        try:
            self._changed(number)
        except CalcError as error:
            self._refuse(error)
        else:
            self.refusal.value = ""

    def _refuse(self, error: CalcError) -> None:
        self.refusal.value = f'<p class="calc-refusal" role="alert">{escape(str(error))}</p>'

    def _follow(self, widget: Any, value: Any) -> None:
        """Set the other widget without taking it for a person's move."""
        self._is_following = True
        try:
            widget.value = value
        finally:
            self._is_following = False
