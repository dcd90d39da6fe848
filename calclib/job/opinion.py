"""What a second opinion is made of: numbers compared, the largest difference, what is too large."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Any

from calclib.errors import CalcError

# Of the largest magnitude of a quantity in its member: what differs by more stops the sheet.
LIMIT = 1e-6
# A difference below this is rounding, which no two machines share; it is said as a bound.
ROUNDING = 1e-9


class Contradiction(CalcError):
    """A result that another way of finding it does not confirm."""


@dataclass(frozen=True)
class Finding:
    """What one other way of finding results came to.

    Attributes
    ----------
    what, how : str
        What was found another way, and by which way.
    compared : int
        How many numbers were compared.
    largest : float
        The largest difference, as a share of the largest magnitude of its quantity in its member.
    where : str
        What it was found at; empty when there is no difference.
    """

    what: str
    how: str
    compared: int
    largest: float
    where: str


@dataclass(frozen=True)
class Opinion:
    """How the main results of a job were verified another way.

    Attributes
    ----------
    findings : tuple of Finding
    not_asked : tuple of str
        What could not be verified another way, and why.
    """

    findings: tuple[Finding, ...]
    not_asked: tuple[str, ...]

    @property
    def largest(self) -> float:
        """The largest difference of all."""
        return max((finding.largest for finding in self.findings), default=0.0)


def bound_text(difference: float) -> str:
    """Return a difference as the power of ten that it lies below; rounding is not told apart.

    Examples
    --------
    >>> bound_text(3e-15), bound_text(0.0), bound_text(2.4e-8)
    ('below 1e-9', 'below 1e-9', 'below 1e-7')
    """
    if difference < ROUNDING:
        return f"below {ROUNDING:.0e}".replace("e-0", "e-")
    return f"below {10.0 ** (math.floor(math.log10(difference)) + 1):.0e}".replace("e-0", "e-")


@dataclass
class Tally:
    """Compares numbers, and keeps the largest difference and those that are too large."""

    what: str
    how: str
    compared: int = 0
    largest: float = 0.0
    where: str = ""
    too_large: list[str] = field(default_factory=list)

    def compare(self, where: str, ours: Any, theirs: Any, scale: float = 0.0) -> None:
        """Compare numbers or arrays, as a share of the scale or of the largest of them."""
        import numpy as np

        one, other = np.broadcast_arrays(np.asarray(ours, float), np.asarray(theirs, float))
        if not one.size:
            return
        self.compared += one.size
        largest = max(float(scale), float(np.abs(one).max()), float(np.abs(other).max()))
        apart = np.abs(one - other)
        share = float(apart.max()) / largest if largest else 0.0
        if not share <= self.largest:
            self.largest, self.where = share, where
        if not share <= LIMIT:
            worst = np.unravel_index(
                np.nanargmax(np.where(np.isnan(apart), np.inf, apart)), one.shape
            )
            self.say(
                f"{where}: the sheet has {one[worst]:.10g}, {self.how} gives "
                f"{other[worst]:.10g} (base units lbf and in), which differs by {share:.1e} of "
                f"the largest; at most {LIMIT:.0e} is rounding."
            )

    def say(self, problem: str) -> None:
        """Keep something that stops the sheet."""
        self.too_large.append(f"{self.what}, {problem}")

    def found(self) -> Finding:
        """Return what came of it."""
        return Finding(self.what, self.how, self.compared, self.largest, self.where)
