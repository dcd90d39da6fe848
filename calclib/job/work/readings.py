"""What the tape says: readings along the opening, and those that disagree with the others."""

from __future__ import annotations

import statistics
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from calclib.errors import InputError, message
from calclib.job.work.practice import practice
from calclib.trace import (
    Check,
    Value,
    check,
    formula,
    maximum,
    positive,
    step,
)
from calclib.units import feet_inches

LENGTH = (0.0, None)
ANY = (None, None)


@dataclass(frozen=True)
class Reading:
    """One quantity measured at one place.

    Attributes
    ----------
    place : str
        Where along the opening, in words.
    x : Value [in]
        As taped.
    """

    place: str
    x: Any


@dataclass(frozen=True, eq=False, repr=False)
class Readings:
    """One quantity measured at several places, and what stands out among them.

    Attributes
    ----------
    rows : tuple of Reading
    median : Value [in]
    least, most : Value [in]
    checks : tuple of Check
        One for each row, that it agrees with the others, and one for the spread of all.
    odd : tuple of Reading
        The rows that do not agree: measure them again.
    """

    rows: tuple[Reading, ...]
    median: Value
    least: Value
    most: Value
    checks: tuple[Check, ...]
    odd: tuple[Reading, ...]


def _median_sentence(arguments: Any, results: Any, case: int | None) -> str:
    middle, spread, least, most = (float(result) for result in results)
    return (
        f"{len(arguments[0])} readings: median {feet_inches(middle)}, median deviation from it "
        f"{feet_inches(spread)}, from {feet_inches(least)} to {feet_inches(most)}."
    )


@step(
    "the median of the readings",
    [("x_med", "in"), ("x_MAD", "in"), ("x_min", "in"), ("x_max", "in")],
    sentence=_median_sentence,
    source="robust statistics: median and median absolute deviation",
)
def median_of(rows: Sequence[Reading]) -> Any:
    """Return median, median absolute deviation, least and greatest of the readings."""
    taped = [row.x for row in rows]
    middle = statistics.median(taped)
    return middle, statistics.median(abs(x - middle) for x in taped), min(taped), max(taped)


@formula(
    "t_x", "in", x_MAD="in", k="", t_tape="in", source="modified z-score 0.6745 (x - median) / MAD",
    valid={"x_MAD": LENGTH, "k": positive, "t_tape": positive},
)  # fmt: skip
def tolerance_of_readings(x_MAD, k, t_tape):  # type: ignore[no-untyped-def]
    """Distance from the median from which a reading is pointed out.

    Parameters
    ----------
    x_MAD : float or array [in]
        Median absolute deviation.
    k : float or array [dimensionless]
        Limit of the score.
    t_tape : float or array [in]
        Distance that is never pointed out.

    Returns
    -------
    float or array [in]
        Above zero.

    Notes
    -----
    Valid for: x_MAD >= 0, k > 0, t_tape > 0; three readings or more.
    Differs from the source: the floor t_tape, for readings that agree to a sixteenth.
    """
    return maximum(k * x_MAD / 0.6745, t_tape)


@formula("e_x", "in", x="in", x_med="in", source="statistics", valid={"x": ANY, "x_med": ANY})
def distance_from_median(x, x_med):  # type: ignore[no-untyped-def]
    """Distance of a reading from the median.

    Parameters
    ----------
    x : float or array [in]
        The reading.
    x_med : float or array [in]
        The median of all.

    Returns
    -------
    float or array [in]
        Zero or more.

    Notes
    -----
    Valid for: any readings.
    Differs from the source: nothing.
    """
    return maximum(x - x_med, x_med - x)


def readings(id: str, what: str, rows: Sequence[Reading]) -> Readings:
    """Compare the readings of one quantity with each other.

    Parameters
    ----------
    id : str
        Before the names of its checks.
    what : str
        The quantity in words: "floor to joist bottom".
    rows : sequence of Reading

    Returns
    -------
    Readings
        A check that fails is a reading that disagrees: a sagging floor, or a misread tape.

    Raises
    ------
    InputError
        For fewer than three readings, among which nothing can stand out.
    """
    if len(rows) < 3:
        needs = "three readings or more"
        raise InputError(message(f"{id}: {what}", needs, str(len(rows)), "Tape one more place."))
    x_med, x_MAD, x_min, x_max = median_of(tuple(rows))
    limit = tolerance_of_readings(
        x_MAD, practice("odd measurement", "k"), practice("reading of a tape", "t_tape")
    )
    made = [
        check(
            f"{id}/{number}",
            f"{what} at {row.place} agrees with the other readings",
            "statistics: median absolute deviation",
            distance_from_median(row.x, x_med),
            limit,
            notes=("A reading that does not agree is taped again, and the floor looked at.",),
        )
        for number, row in enumerate(rows, start=1)
    ]
    spread = check(
        f"{id}/spread",
        f"{what}: spread along the opening",
        "common practice",
        distance_from_median(x_max, x_min),
        practice("floor out of level", "t_spread"),
        notes=("A greater spread is a floor that sags or slopes: find out why.",),
    )
    odd = tuple(row for row, each in zip(rows, made, strict=True) if each.state == "fails")
    return Readings(tuple(rows), x_med, x_min, x_max, (*made, spread), odd)
