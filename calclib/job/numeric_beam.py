"""A beam solved another way: simple spans by statics, joined by the three-moment equations.

It shares no line with `calclib.mechanics`, which carries the shape of the whole member through
its loads; here the moments of simple spans are integrated numerically, and SciPy finds the
moments over the supports.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING, Any, NamedTuple

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Array = NDArray[np.float64]

# Of the length: places nearer than this are one place.
ONE_PLACE = 1e-9
# Into how many parts each span is cut, beside the places where loads begin and end.
PARTS = 8
# Gauss's rule with four points is exact up to the seventh power; moments have the second.
GAUSS = 4


class Push(NamedTuple):
    """A load, down positive: a line load [lbf/in] from start to end, or a point load [lbf].

    Attributes
    ----------
    start : float [in]
    end : float or None [in]
        None for a point load.
    size : float
    """

    start: float
    end: float | None
    size: float


@dataclass(frozen=True, eq=False)
class Numeric:
    """What a numerical solution found, at its own places along the member.

    Attributes
    ----------
    x : array [in]
        Shape [place]; each inner support stands twice, at the end of a span and at the next one's
        start.
    span : array of int
        Shape [place]: the span or overhang that the place is taken of.
    left, right : array [lbf]
        Shape [case, place]: shear on either side; at a span's start and end both are the inner.
    moment : array [lbf in]
        Shape [case, place], sagging positive.
    deflection : array [in]
        Shape [case, place], down positive.
    reactions : array [lbf]
        Shape [case, support], up positive.
    """

    x: Array
    span: Array
    left: Array
    right: Array
    moment: Array
    deflection: Array
    reactions: Array


@dataclass(frozen=True, eq=False)
class _Loads:
    """The loads of all cases, cut to one span or overhang."""

    cases: Array
    at: Array
    P: Array
    start: Array
    end: Array
    w: Array
    of_points: Array
    of_lines: Array

    def moment(self, x: Array, sign: float) -> Array:
        """Return what the loads left of each place (or right, by sign) take from the moment."""
        import numpy as np

        arm = np.maximum(sign * (x - self.at[:, None]), 0.0)
        near, far = (self.start, self.end) if sign > 0 else (self.end, self.start)
        one = np.maximum(sign * (x - near[:, None]), 0.0)
        two = np.maximum(sign * (x - far[:, None]), 0.0)
        return np.asarray(
            self.of_points @ (self.P[:, None] * arm)
            + self.of_lines @ (self.w[:, None] * (one**2 - two**2) / 2)
        )

    def force(self, x: Array, sign: float, slack: float) -> Array:
        """Return the sum of the loads left of each place (or right); points within slack count."""
        import numpy as np

        near, far = (self.start, self.end) if sign > 0 else (self.end, self.start)
        one = np.maximum(sign * (x - near[:, None]), 0.0)
        two = np.maximum(sign * (x - far[:, None]), 0.0)
        before = sign * (x - self.at[:, None]) > -slack
        return np.asarray(
            self.of_points @ (self.P[:, None] * before)
            + self.of_lines @ (self.w[:, None] * (one - two))
        )


def _cut(
    cases: Sequence[Sequence[Push]], low: float, high: float, sign: int, near: float
) -> _Loads:
    """Return the parts of all loads inside a span; points on its supports stay out."""
    import numpy as np

    # A load at the tip of an overhang stands on no support.
    least = low - near if sign > 0 else low + near
    most = high + near if sign < 0 else high - near
    points, lines = [], []
    for number, loads in enumerate(cases):
        for load in loads:
            if load.end is None:
                if least < load.start < most:
                    points.append((number, min(max(load.start, low), high), load.size))
            else:
                start, end = max(load.start, low), min(load.end, high)
                if end > start:
                    lines.append((number, start, end, load.size))
    p = np.array(points, dtype=float).reshape(-1, 3)
    q = np.array(lines, dtype=float).reshape(-1, 4)
    every = np.arange(len(cases))[:, None]
    return _Loads(
        every[:, 0].astype(float), p[:, 1], p[:, 2], q[:, 1], q[:, 2], q[:, 3],
        (every == p[:, 0]).astype(float), (every == q[:, 0]).astype(float),
    )  # fmt: skip


def solve_numerically(
    length: float,
    supports: Sequence[float],
    EI: float,
    cases: Sequence[Sequence[Push]],
    places: Sequence[float] = (),
) -> Numeric:
    """Solve a member of one stiffness on pinned supports under several load cases.

    Parameters
    ----------
    length : float [in]
    supports : sequence of float [in]
        At least two, rising.
    EI : float [lbf in^2]
    cases : sequence of sequence of Push
    places : sequence of float [in]
        Places that must be among those of the result.

    Returns
    -------
    Numeric

    Notes
    -----
    Source: three-moment equations (Clapeyron), areas of the moments by Gauss's rule, the banded
    equations by SciPy; deflections by moment areas.
    Valid for: small elastic bending, supports that do not yield, no hinges.

    Examples
    --------
    >>> found = solve_numerically(240.0, [0.0, 120.0, 240.0], 1e8, [[Push(0.0, 240.0, 10.0)]])
    >>> found.reactions.round(6).tolist()
    [[450.0, 1500.0, 450.0]]
    """
    import numpy as np

    near = ONE_PLACE * length
    marks = [float(at) for at in supports]
    outer = [0.0] if marks[0] > near else []
    bounds = [*outer, *marks, *([length] if length - marks[-1] > near else [])]
    spans = list(pairwise(bounds))
    first = len(outer)
    last = first + len(marks) - 2
    marked = [load.start for loads in cases for load in loads]
    marked += [load.end for loads in cases for load in loads if load.end is not None]
    wanted = np.array([*marked, *places], dtype=float)
    parts = []
    for number, (low, high) in enumerate(spans):
        x = _mesh(wanted, low, high, near)
        sign = 0 if first <= number <= last else 1 if number < first else -1
        parts.append(_Span(low, high, sign, x, _cut(cases, low, high, sign, near), near))
    held = _support_moments(parts[first : last + 1], parts[:first], parts[last + 1 :])
    bent = [
        part.with_ends(held[:, number], held[:, number + 1])
        for number, part in enumerate(parts[first : last + 1])
    ]
    # Slopes, times EI, at the outermost supports carry on into the overhangs.
    solved = [each.in_span() for each in bent]
    slopes = solved[0].slope_start, solved[-1].slope_end
    solved = [
        *(part.with_ends(None, None).beside(slopes[0]) for part in parts[:first]),
        *solved,
        *(part.with_ends(None, None).beside(slopes[1]) for part in parts[last + 1 :]),
    ]
    reactions = np.zeros((len(cases), len(marks)))
    for place, at in enumerate(marks):
        number = place + first
        if number < len(solved):
            reactions[:, place] += solved[number].right[:, 0]
        if number > 0:
            reactions[:, place] -= solved[number - 1].left[:, -1]
        for row, loads in enumerate(cases):
            reactions[row, place] += sum(
                load.size for load in loads if load.end is None and abs(load.start - at) <= near
            )
    return Numeric(
        np.concatenate([part.x for part in parts]),
        np.concatenate([np.full(len(part.x), i) for i, part in enumerate(parts)]),
        np.concatenate([each.left for each in solved], axis=1),
        np.concatenate([each.right for each in solved], axis=1),
        np.concatenate([each.moment for each in solved], axis=1),
        np.concatenate([each.deflection for each in solved], axis=1) / EI,
        reactions,
    )


def _mesh(wanted: Array, low: float, high: float, near: float) -> Array:
    import numpy as np

    inside = wanted[(wanted > low + near) & (wanted < high - near)]
    every = np.unique(np.concatenate((np.linspace(low, high, PARTS + 1), inside)))
    apart = np.concatenate(([True], np.diff(every) > near))
    apart[-1] = True
    return np.asarray(every[apart])


@dataclass(frozen=True, eq=False)
class _Bent:
    """One span or overhang with its moments known."""

    x: Array
    moment: Array
    left: Array
    right: Array
    area: Array
    first_moment: Array
    deflection: Any = None
    slope_start: Any = None
    slope_end: Any = None

    def _shape(self, lift: Array, slope: Array) -> _Bent:
        import numpy as np

        none = np.zeros((len(self.moment), 1))
        steps = np.diff(self.x)
        turned = np.concatenate((none, np.cumsum(self.area, axis=1)), axis=1)
        sunk = np.cumsum(turned[:, :-1] * steps + self.first_moment, axis=1)
        sunk = np.concatenate((none, sunk), axis=1)
        run = self.x - self.x[0]
        return _Bent(
            self.x, self.moment, self.left, self.right, self.area, self.first_moment,
            lift[:, None] + slope[:, None] * run - sunk, slope, slope - turned[:, -1],
        )  # fmt: skip

    def in_span(self) -> _Bent:
        """Return it with its deflection, held at both ends."""
        import numpy as np

        none = np.zeros(len(self.moment))
        free = self._shape(none, none)
        return self._shape(none, -free.deflection[:, -1] / (self.x[-1] - self.x[0]))

    def beside(self, slope: Array) -> _Bent:
        """Return an overhang with its deflection, from the slope at its support."""
        import numpy as np

        none = np.zeros(len(self.moment))
        if self.x[0] > 0:
            return self._shape(none, slope)
        free = self._shape(none, none)
        start = slope - free.slope_end
        run = self.x[-1] - self.x[0]
        return self._shape(-free.deflection[:, -1] - start * run, start)


@dataclass(frozen=True, eq=False)
class _Span:
    """One span (sign 0), or the overhang at the left (1) or the right (-1)."""

    low: float
    high: float
    sign: int
    x: Array
    loads: _Loads
    near: float

    def _free(self, x: Array) -> Array:
        """Return the moment of the simple span, or of the overhang."""
        import numpy as np

        if self.sign:
            return -self.loads.moment(x, float(self.sign))
        ends = self.loads.moment(np.array([self.high]), 1.0) / (self.high - self.low)
        return np.asarray(ends * (x - self.low) - self.loads.moment(x, 1.0))

    def at_support(self) -> Array:
        """Return the moment of an overhang over its support."""
        import numpy as np

        at = self.high if self.sign > 0 else self.low
        return self._free(np.array([at]))[:, 0]

    def _gauss(self) -> tuple[Array, Array]:
        import numpy as np

        places, weights = np.polynomial.legendre.leggauss(GAUSS)
        half = np.diff(self.x)[:, None] / 2
        return self.x[:-1, None] + half * (1 + places), half * weights

    def areas(self) -> tuple[Array, Array]:
        """Return 6/l times the first moment of the free moments about either end."""
        x, weights = self._gauss()
        free = self._free(x.reshape(-1)).reshape(-1, *x.shape)
        by_left = (free * (x - self.low) * weights).sum(axis=(1, 2))
        by_right = (free * (self.high - x) * weights).sum(axis=(1, 2))
        run = self.high - self.low
        return 6 * by_left / run, 6 * by_right / run

    def with_ends(self, at_low: Array | None, at_high: Array | None) -> _Bent:
        """Return it with the moments at its ends put on; an overhang has its own."""
        import numpy as np

        run = self.high - self.low

        def moment(x: Array) -> Array:
            free = self._free(x)
            if at_low is None or at_high is None:
                return free
            share = (x - self.low) / run
            return np.asarray(free + at_low[:, None] * (1 - share) + at_high[:, None] * share)

        if self.sign < 0:
            right = self.loads.force(self.x, -1.0, -self.near)
            left = self.loads.force(self.x, -1.0, self.near)
        else:
            start: Any = 0.0
            if not self.sign and at_low is not None and at_high is not None:
                start = self.loads.moment(np.array([self.high]), 1.0) / run
                start = start + ((at_high - at_low) / run)[:, None]
            right = start - self.loads.force(self.x, 1.0, self.near)
            left = start - self.loads.force(self.x, 1.0, -self.near)
        left[:, 0], right[:, -1] = right[:, 0], left[:, -1]
        x, weights = self._gauss()
        bent = moment(x.reshape(-1)).reshape(-1, *x.shape)
        reach = self.x[1:, None] - x
        return _Bent(
            self.x, moment(self.x), left, right,
            (bent * weights).sum(axis=2), (bent * reach * weights).sum(axis=2),
        )  # fmt: skip


def _support_moments(
    spans: Sequence[_Span], before: Sequence[_Span], beyond: Sequence[_Span]
) -> Array:
    """Return the moments over the supports, shape [case, support]."""
    import numpy as np
    from scipy.linalg import solve_banded

    cases = len(spans[0].loads.cases)
    held = np.zeros((cases, len(spans) + 1))
    if before:
        held[:, 0] = before[0].at_support()
    if beyond:
        held[:, -1] = beyond[0].at_support()
    if len(spans) == 1:
        return held
    runs = np.array([span.high - span.low for span in spans])
    areas = [span.areas() for span in spans]
    known = np.stack([-(a[0] + b[1]) for a, b in pairwise(areas)])
    known[0] -= runs[0] * held[:, 0]
    known[-1] -= runs[-1] * held[:, -1]
    band = np.zeros((3, len(spans) - 1))
    band[0, 1:] = band[2, :-1] = runs[1:-1]
    band[1] = 2 * (runs[:-1] + runs[1:])
    held[:, 1:-1] = solve_banded((1, 1), band, known).T
    return held
