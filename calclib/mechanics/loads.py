"""The loads that can stand on a member.

Forces are down positive; positions run from the left end of the member.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite

from calclib.errors import BeamError, message

# A member is described by EI times its upward deflection and the derivatives of that, in this
# order: the second is the bending moment, the third the shear, the fourth the upward load.
DEFLECTION, SLOPE, MOMENT, SHEAR, INTENSITY, RATE = range(6)

# The numbers by which any load is described: where and how much, and, only to prove the statics of
# a solution, its resultant downward, its moment clockwise about the left end, its gross amount.
START, END, W_START, W_END, FORCE, COUPLE, DOWN, CLOCKWISE, GROSS = range(9)


def require_finite(where: str, **numbers: float) -> None:
    """Refuse what is not a finite number, by its name."""
    for name, number in numbers.items():
        try:
            if isfinite(number):
                continue
        except (TypeError, OverflowError):
            pass
        raise BeamError(message(where, f"a finite number for {name}", repr(number)))


@dataclass(frozen=True, slots=True)
class Point:
    """A point load.

    Parameters
    ----------
    at : float
        Position from the member's left end.
    P : float
        Force, down positive.

    Raises
    ------
    BeamError
        If a number is not finite.
    """

    at: float
    P: float

    def __post_init__(self) -> None:
        require_finite("point load", at=self.at, P=self.P)

    def row(self) -> tuple[float, ...]:
        """Return the numbers from `START` to `GROSS`."""
        at, P = self.at, self.P
        return at, at, 0.0, 0.0, P, 0.0, P, P * at, abs(P)


@dataclass(frozen=True, slots=True)
class Line:
    """A load spread over a length: uniform, triangular or trapezoidal.

    Parameters
    ----------
    start, end : float
        Where it begins and ends, from the member's left end.
    w_start, w_end : float
        Force per length at the beginning and at the end, down positive; straight between.

    Raises
    ------
    BeamError
        If a number is not finite, or the end does not lie past the start.
    """

    start: float
    end: float
    w_start: float
    w_end: float

    def __post_init__(self) -> None:
        require_finite(
            "line load", start=self.start, end=self.end, w_start=self.w_start, w_end=self.w_end
        )
        if self.end <= self.start:
            where = f"line load from {self.start:.6g}"
            raise BeamError(message(where, "an end past its start", f"{self.end:.6g}"))

    def row(self) -> tuple[float, ...]:
        """Return the numbers from `START` to `GROSS`."""
        start, end, w_start, w_end = self.start, self.end, self.w_start, self.w_end
        length = end - start
        down = (w_start + w_end) / 2 * length
        clockwise = down * start + (w_start + 2 * w_end) / 6 * length * length
        gross = (abs(w_start) + abs(w_end)) / 2 * length
        return start, end, w_start, w_end, 0.0, 0.0, down, clockwise, gross


@dataclass(frozen=True, slots=True)
class Couple:
    """A moment put on at one place.

    Parameters
    ----------
    at : float
        Position from the member's left end.
    M : float
        Moment, clockwise positive as the member is drawn from left to right: the bending moment
        jumps up by M from the left side of the place to its right.

    Raises
    ------
    BeamError
        If a number is not finite.
    """

    at: float
    M: float

    def __post_init__(self) -> None:
        require_finite("couple", at=self.at, M=self.M)

    def row(self) -> tuple[float, ...]:
        """Return the numbers from `START` to `GROSS`."""
        return self.at, self.at, 0.0, 0.0, 0.0, self.M, 0.0, self.M, 0.0


Load = Point | Line | Couple
