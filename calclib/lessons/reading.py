"""What a study finds for one set of numbers, as plain data and as sentences."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from calclib import units
from calclib.lessons.setting import Setting
from calclib.trace.check import State, ratio_text


@dataclass(frozen=True)
class Peak:
    """A curve along the beam with its largest value, in the case that governs its check.

    Attributes
    ----------
    name : str
        "Moment", with a capital.
    unit : str
    x, y : sequence of float [in, base units]
        A place is given twice where the curve jumps.
    value, at : float
        The largest value, with its sign, and its place [in].
    case : str
        The combination of loads.
    used : float
        The utilization of the check at this value.
    """

    name: str
    unit: str
    x: Sequence[float]
    y: Sequence[float]
    value: float
    at: float
    case: str
    used: float

    @property
    def limit(self) -> float:
        """The value at which the check would be used up, with the same sign [base units]."""
        return self.value / self.used if self.used > 0 else math.inf


@dataclass(frozen=True)
class Band:
    """A load over a length [in, lbf/in]."""

    source: str
    start: float
    end: float
    size: float


@dataclass(frozen=True)
class Knock:
    """A load at one place [in, lbf]."""

    source: str
    at: float
    size: float


@dataclass(frozen=True)
class CheckLine:
    """A check as a line of a table.

    Attributes
    ----------
    id, title, case : str
        The case that governs; empty when there is one only.
    demand, capacity : float [base units]
    unit : str
    used : float
        The utilization.
    state : {"passes", "fails", "open"}
    """

    id: str
    title: str
    case: str
    demand: float
    capacity: float
    unit: str
    used: float
    state: State


@dataclass(frozen=True, eq=False)
class Reading:
    """A beam under one set of numbers.

    Attributes
    ----------
    beam : str
        Its name, in words.
    numbers : tuple of (Setting, float)
        What was set [base units].
    supports : tuple of (str, float)
        Names and places [in].
    bands : tuple of Band
    knocks : tuple of Knock
        What lies on it, unfactored.
    shear, moment, deflection : Peak
    reactions : tuple of (float, str)
        For each support its largest reaction [lbf] and the case.
    checks : tuple of CheckLine
    notes : tuple of str
    si : bool
    beside : tuple of CheckLine
        Further checks of it, and those of what carries it, when they were asked for.
    open_beside : int
        How many of those stay open, with or without numbers.
    """

    beam: str
    numbers: tuple[tuple[Setting, float], ...]
    supports: tuple[tuple[str, float], ...]
    bands: tuple[Band, ...]
    knocks: tuple[Knock, ...]
    shear: Peak
    moment: Peak
    deflection: Peak
    reactions: tuple[tuple[float, str], ...]
    checks: tuple[CheckLine, ...]
    notes: tuple[str, ...]
    si: bool
    beside: tuple[CheckLine, ...] = ()
    open_beside: int = 0

    @property
    def peaks(self) -> tuple[Peak, Peak, Peak]:
        """Shear, moment and deflection."""
        return self.shear, self.moment, self.deflection

    @property
    def governing(self) -> CheckLine:
        """The check with the largest utilization."""
        return max(self.checks, key=lambda line: line.used)

    def amount(self, number: float, unit: str) -> str:
        """Return a number with its unit, in the units of the job."""
        return units.show(number, units.si_unit(unit) if self.si else unit).replace("-", "−")

    def length(self, inches: float) -> str:
        """Return a length in the units of the job."""
        return units.show_length(inches, self.si)

    def __repr__(self) -> str:
        rows = [HEADS, *check_rows(self)]
        wide = [max(len(row[i]) for row in rows) for i in range(len(HEADS))]
        table = [
            "  ".join(cell.ljust(w) for cell, w in zip(row, wide, strict=True)).rstrip()
            for row in rows
        ]
        return "\n".join([*sentences(self), "", *table])

    def _repr_html_(self) -> str:
        from calclib.lessons.page import as_html

        return as_html(self)


HEADS = ("check", "state", "utilization", "demand", "capacity", "case")


def percent(share: float) -> str:
    """Write a utilization in percent; one above 100 % never reads like 100 %.

    Examples
    --------
    >>> percent(0.5461), percent(1.00002), percent(1.0)
    ('54.6%', '100.002%', '100.0%')
    """
    decimals = len(ratio_text(share).partition(".")[2]) - 2
    return f"{100 * share:.{decimals}f}%"


def settings_sentence(reading: Reading) -> str:
    """Return what was set, in one sentence."""
    parts = [f"{setting.name} {setting.written(number)}" for setting, number in reading.numbers]
    return f"The {reading.beam}: {', '.join(parts)}."


def size_text(reading: Reading, peak: Peak) -> str:
    """Return the largest value of a curve without its sign, in words where the sign matters."""
    size = reading.amount(abs(peak.value), peak.unit)
    if peak.value >= 0 or peak is reading.shear:
        return size
    return f"{size} {'hogging' if peak is reading.moment else 'up'}"


def peak_sentence(reading: Reading, peak: Peak) -> str:
    """Return the largest value of a curve, its place, its case and what it uses of its limit."""
    return (
        f"{peak.name} peaks at {size_text(reading, peak)}, {reading.length(peak.at)} from "
        f"the center of the {reading.supports[0][0]} bearing, under {peak.case}: "
        f"{percent(peak.used)} of its limit."
    )


def sentences(reading: Reading) -> list[str]:
    """Return the results as sentences: what was set, the peaks, the supports, what governs."""
    carried = ", ".join(
        f"{name} {reading.amount(force, 'lbf')} ({case})"
        for (name, _), (force, case) in zip(reading.supports, reading.reactions, strict=True)
    )
    return [
        settings_sentence(reading),
        *(peak_sentence(reading, peak) for peak in reading.peaks),
        f"Largest reactions: {carried}.",
        *verdict(reading),
        *reading.notes,
    ]


def verdict(reading: Reading) -> list[str]:
    """Return which check governs, which comes highest beside it, and how many stay open."""
    line = reading.governing
    said = [f"{line.title} governs and uses {percent(line.used)} of its limit."]
    if line.used > 1:
        said = [f"{line.title} needs {percent(line.used)} of what it may: the beam is too small."]
    if reading.beside:
        line = max(reading.beside, key=lambda line: line.used)
        title = f"{line.title[:1].lower()}{line.title[1:]}"
        said.append(
            f"Beside that, {title} comes highest and uses {percent(line.used)} of its limit."
            if line.used <= 1
            else f"Beside that, {title} needs {percent(line.used)} of what it may: too much."
        )
    if reading.open_beside:
        checks = (
            "1 check stays" if reading.open_beside == 1 else f"{reading.open_beside} checks stay"
        )
        said.append(f"{checks} open, for numbers or answers that only site and engineer can give.")
    return said


def check_rows(reading: Reading) -> list[tuple[str, ...]]:
    """Return the checks as rows of text, in the order of `HEADS`."""
    return [
        (
            line.title,
            line.state,
            ratio_text(line.used),
            reading.amount(line.demand, line.unit),
            reading.amount(line.capacity, line.unit),
            line.case or "-",
        )
        for line in (*reading.checks, *reading.beside)
    ]
