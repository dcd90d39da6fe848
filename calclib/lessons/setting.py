"""A number that a learner sets: its name, its unit, its range, how it is typed and written."""

from __future__ import annotations

from dataclasses import dataclass

from calclib import units
from calclib.errors import RangeError, message, quoted

# Of a step: a slider brought back stands off by a conversion's last bits.
NOISE = 1e-6


@dataclass(frozen=True)
class Setting:
    """A number that may be moved.

    Attributes
    ----------
    key : str
        Its short name in code ("span").
    name : str
        What it is, in words, with a small first letter.
    unit : str
        A declared unit; it says the dimension.
    start : float [base units]
        Where the job has it.
    low, high, step : float [base units]
        Its range, and the step of a slider, counted from `low`.
    si : bool
        Whether it is written in SI units.
    """

    key: str
    name: str
    unit: str
    start: float
    low: float
    high: float
    step: float
    si: bool = False

    @property
    def shown_unit(self) -> str:
        """The unit of its scale."""
        return units.si_unit(self.unit) if self.si else self.unit

    @property
    def unit_words(self) -> str:
        """The units in which it is typed, as a label says them."""
        is_length = units.dimension(self.unit) == (0, 1)
        return "ft and in" if is_length and not self.si else units.label(self.shown_unit)

    def written(self, number: float) -> str:
        """Return a number as people read it.

        Parameters
        ----------
        number : float [base units]
        """
        if units.dimension(self.unit) == (0, 1):
            return units.show_length(number, self.si)
        return units.show(number, self.shown_unit)

    def read(self, text: str) -> float:
        """Read what was typed.

        Parameters
        ----------
        text : str
            A number with its unit, in any unit of the dimension: ``13 ft 6 3/8 in``, ``4.1 m``.

        Returns
        -------
        float [base units]

        Raises
        ------
        UnitError, InputError
            As `calclib.units.parse`.
        RangeError
            Outside the range.
        """
        return self.within(units.parse(text, self.unit, where=self.name), text)

    def within(self, number: float, text: str = "") -> float:
        """Return a number of the range [base units].

        Raises
        ------
        RangeError
            Outside the range; the message quotes what was typed.
        """
        if not self.low <= number <= self.high:
            needs = f"something from {self.written(self.low)} to {self.written(self.high)}"
            got = quoted(text) if text else self.written(number)
            raise RangeError(message(self.name, needs, got))
        return number

    def on_scale(self, number: float) -> float:
        """Return the number of the slider's scale that is nearest to a number of its widget.

        Parameters
        ----------
        number : float [shown unit]

        Returns
        -------
        float [base units]
            Without the noise that a conversion leaves in the last bits; `start` where it began.
        """
        found = number * units.factor(self.shown_unit)
        if abs(found - self.start) <= NOISE * self.step:
            return self.start
        steps = round((found - self.low) / self.step)
        return min(self.low + steps * self.step, self.high)


def scale_around(start: float, si: bool) -> tuple[float, float, float]:
    """Return low, high and step of a slider for a length: half of it to half as much again.

    Parameters
    ----------
    start : float [in]
    si : bool

    Returns
    -------
    low, high, step : float [in]
        The ends in whole feet or half meters, the step an inch or two centimeters.

    Examples
    --------
    >>> scale_around(162.0, si=False)
    (72.0, 252.0, 1.0)
    """
    whole, step = (0.5 * units.m, 2 * units.cm) if si else (units.ft, units.inch)
    low = max(1, int(0.5 * start / whole)) * whole
    high = -int(-1.5 * start / whole // 1) * whole
    return low, high, step
