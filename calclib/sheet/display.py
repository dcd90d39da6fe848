"""How numbers are written on a sheet, in US customary or SI units by the job's setting."""

from __future__ import annotations

from dataclasses import dataclass

from calclib import units
from calclib.trace import Value
from calclib.trace.mathml import quantity_text
from calclib.trace.printing import number_text


@dataclass(frozen=True)
class Display:
    """The units of a sheet.

    Attributes
    ----------
    si : bool
        Inputs, results, tables and diagrams in SI; a derivation stays in its standard's units.
    """

    si: bool

    def number(self, number: float, unit: str) -> str:
        """Return a number in base units with the unit of the sheet that stands for `unit`."""
        if unit in ("ft", "in") and not self.si:
            return units.feet_inches(number) if unit == "ft" else units.show(number, "in")
        return units.show(number, units.si_unit(unit) if self.si else unit)

    def length(self, inches: float) -> str:
        """Return a length as people on the site read it."""
        return units.show_length(inches, self.si)

    def value(self, value: Value, case: int | None = None) -> str:
        """Return a value at a case, with its unit."""
        if getattr(value.number, "ndim", 0) and case is None:
            return self.number(float(max(value.number, key=abs)), value.unit)
        return self.number(value.at(case), value.unit)

    def result(self, value: Value, case: int | None = None) -> str:
        """Return a result as its equation prints it, in SI beside it on an SI sheet."""
        text = _set(value.at(case), value.unit)
        other = units.si_unit(value.unit)
        if not self.si or other == value.unit:
            return text
        return f"{text} ({_set(value.at(case), other)})"


def _set(number: float, unit: str) -> str:
    return str(quantity_text(number_text(number / units.factor(unit)), units.label(unit)))
