"""Shear, moment, slope and deflection along a member, exact, for many combinations at once."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cached_property
from itertools import pairwise
from math import factorial
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from calclib.errors import BeamError, message
from calclib.mechanics.beam import Array, Beam
from calclib.mechanics.loads import DEFLECTION, MOMENT, RATE, SHEAR, SLOPE

# Numbers nearer to each other than this part of the largest are equal but for rounding.
ROUNDING = 1e-12
# From so many zeros on they are found faster together than one by one (measured).
FEW = 20


def taylor(derivatives: Any, order: int, s: Any) -> Any:
    """Return one derivative of a piecewise polynomial at a distance past the start of its piece.

    Parameters
    ----------
    derivatives : sequence of floats or arrays
        The function and its derivatives at the start of the piece, those that are not zero.
    order : int
        Which of them is asked for.
    s : float or array
        Distance from the start of the piece.

    Returns
    -------
    float or array
    """
    last = len(derivatives) - 1
    value = derivatives[last]
    for i in range(last - order, 0, -1):
        value = value * (s / i if i > 1 else s)
        # In its own place: for an array, memory is what takes the time.
        value += derivatives[order + i - 1]
    return value


def _root(derivatives: list[float], order: int, low: float, high: float) -> float:
    """Find the one zero between two places of unlike sign: Newton's method, kept in its bracket."""
    at_low, at_high = taylor(derivatives, order, low), taylor(derivatives, order, high)
    rising = at_high > 0
    small = 2e-16 * high
    s = low + (high - low) * at_low / (at_low - at_high)
    for _ in range(100):
        value, rate = taylor(derivatives, order, s), taylor(derivatives, order + 1, s)
        if (value > 0) == rising:
            high = s
        else:
            low = s
        step = value / rate if rate else high
        moved = s - step
        if abs(step) <= small:
            break
        s = moved if low < moved < high else (low + high) / 2
        if high - low <= small:
            break
    return s


def _roots(derivatives: Array, order: int, low: Array, high: Array) -> Array:
    """Find one zero in each of many brackets, as `_root` does in one.

    Parameters
    ----------
    derivatives : array
        Shape [n, bracket].
    order : int
    low, high : array
        Shape [bracket].

    Returns
    -------
    array
        Shape [bracket].
    """
    at_low, at_high = taylor(derivatives, order, low), taylor(derivatives, order, high)
    rising = at_high > 0
    small = 2e-16 * high
    s = low + (high - low) * at_low / (at_low - at_high)
    ahead = np.arange(len(s))
    for _ in range(100):
        here, a, b = derivatives[:, ahead], low[ahead], high[ahead]
        at = s[ahead]
        value, rate = taylor(here, order, at), taylor(here, order + 1, at)
        beyond = (value > 0) == rising[ahead]
        high[ahead] = b = np.where(beyond, at, b)
        low[ahead] = a = np.where(beyond, a, at)
        step = np.where(rate != 0, value / np.where(rate != 0, rate, 1.0), b)
        moved = at - step
        is_found = abs(step) <= small[ahead]
        inside = (a < moved) & (moved < b)
        s[ahead] = np.where(is_found, at, np.where(inside, moved, (a + b) / 2))
        ahead = ahead[~(is_found | (b - a <= small[ahead]))]
        if not len(ahead):
            break
    return s


def _extremes(values: Array, at: Array, slack: Array) -> Iterator[Array]:
    """Yield the highest value of each row, its place, the lowest and its place.

    Of values that differ by no more than the slack of the row the first is taken.
    """
    row = np.arange(len(at))
    for near in (
        values >= (values.max(axis=1) - slack)[:, None],
        values <= (values.min(axis=1) + slack)[:, None],
    ):
        first = near.argmax(axis=1)
        yield values[row, first]
        yield at[row, first]


@dataclass(frozen=True, eq=False)
class Extremes:
    """Highest and lowest values and their positions.

    Parameters
    ----------
    highest, highest_at, lowest, lowest_at : array
        Shape [combination, span] by the spans and overhangs of `Beam.spans`; shape [combination]
        in `of_member`. Of equal extremes the leftmost is given.
    """

    highest: Array
    highest_at: Array
    lowest: Array
    lowest_at: Array

    @cached_property
    def of_member(self) -> Extremes:
        """The extremes over the whole member, shape [combination]."""
        slack = ROUNDING * np.maximum(self.highest.max(axis=1), -self.lowest.min(axis=1))
        highest, highest_at, _, _ = _extremes(self.highest, self.highest_at, slack)
        _, _, lowest, lowest_at = _extremes(self.lowest, self.lowest_at, slack)
        return Extremes(highest, highest_at, lowest, lowest_at)


@dataclass(frozen=True, eq=False)
class Curves:
    """Shear, moment, slope and deflection of a member under one or more combinations of load.

    Parameters
    ----------
    beam : Beam
    breaks : array
        Shape [piece + 1]: ends of the pieces on which all curves are polynomials.
    EI : array
        Shape [piece].
    derivatives : array
        Shape [n, combination, piece]: EI times the upward deflection, and its derivatives, just
        right of the start of each piece; four where only points are loaded, five where all line
        loads are uniform, else six.
    reactions : array
        Shape [combination, support], up positive.
    fixings : array
        Shape [combination, support]: moment that a fixed support puts on the member, clockwise
        positive; zero at pinned ones.
    total : array
        Shape [combination]: sum of all loads, down positive.

    Notes
    -----
    Shear is positive where the part on the left pushes up, moment where the member sags,
    deflection downward, slope where the deflection grows to the right.
    Shear and moment jump at supports and loads; the curves have a left and a right limit there.
    """

    beam: Beam
    breaks: Array = field(repr=False)
    EI: Array = field(repr=False)
    derivatives: Array = field(repr=False)
    reactions: Array
    fixings: Array
    total: Array

    def shear(self, x: ArrayLike, *, left: bool = False) -> Array:
        """Return the shear at given positions.

        Parameters
        ----------
        x : float or array
            Positions on the member, a number or shape [n].
        left : bool
            Give the limit from the left where the curve jumps, in place of that from the right.
            Past an end of the member there is nothing: both limits there are the one inside.

        Returns
        -------
        array
            Shape [combination], or [combination, n].

        Raises
        ------
        BeamError
            If a position is off the member or not finite.
        """
        return self._at(SHEAR, x, left)[0]

    def moment(self, x: ArrayLike, *, left: bool = False) -> Array:
        """Return the bending moment, sagging positive; arguments as for `shear`."""
        return self._at(MOMENT, x, left)[0]

    def slope(self, x: ArrayLike, *, left: bool = False) -> Array:
        """Return the slope, which jumps at hinges only; arguments as for `shear`."""
        value, EI = self._at(SLOPE, x, left)
        return 0.0 - value / EI

    def deflection(self, x: ArrayLike) -> Array:
        """Return the deflection, down positive; `x` and result as for `shear`."""
        value, EI = self._at(DEFLECTION, x, False)
        return 0.0 - value / EI

    def _at(self, order: int, x: ArrayLike, left: bool) -> tuple[Array, Array]:
        places = np.asarray(x, dtype=float)
        near = self.beam.tolerance
        on = (places >= -near) & (places <= self.beam.length + near)
        if not on.all():
            needs = f"positions from 0 to {self.beam.length:.6g}"
            raise BeamError(message("beam", needs, f"{places[~on].flat[0]:.6g}"))
        if left:
            piece = np.searchsorted(self.breaks, places - near, side="left") - 1
        else:
            piece = np.searchsorted(self.breaks, places + near, side="right") - 1
        piece = np.clip(piece, 0, len(self.EI) - 1)
        s = np.clip(places - self.breaks[piece], 0.0, (self.breaks[1:] - self.breaks[:-1])[piece])
        return taylor(self.derivatives[:, :, piece], order, s), self.EI[piece]

    @cached_property
    def shear_coefficients(self) -> Array:
        """Shape [combination, piece, 3]: powers of the distance from the start of the piece."""
        return self._coefficients(SHEAR)

    @cached_property
    def moment_coefficients(self) -> Array:
        """Shape [combination, piece, 4], as `shear_coefficients`."""
        return self._coefficients(MOMENT)

    @cached_property
    def slope_coefficients(self) -> Array:
        """Shape [combination, piece, 5], as `shear_coefficients`."""
        return -self._coefficients(SLOPE) / self.EI[:, None]

    @cached_property
    def deflection_coefficients(self) -> Array:
        """Shape [combination, piece, 6], as `shear_coefficients`."""
        return -self._coefficients(DEFLECTION) / self.EI[:, None]

    def _coefficients(self, order: int) -> Array:
        known, combinations, pieces = self.derivatives[order:].shape
        coefficients = np.zeros((combinations, pieces, RATE + 1 - order))
        for i in range(known):
            coefficients[:, :, i] = self.derivatives[order + i] / factorial(i)
        return coefficients

    @cached_property
    def _force_turns(self) -> dict[int, tuple[Array, Array]]:
        """For each derivative down to the moment: its values at ends and turns, and those places.

        Shapes [place, combination, piece], places counted from the start of the piece.
        Between neighboring turning points a curve has at most one zero, and its zeros are the
        turning points of the next lower derivative, so each row of places is found from the one
        above it. Where a bracket holds no zero its start is repeated.
        """
        places = np.zeros((2, *self.derivatives.shape[1:]))
        places[1] = self.breaks[1:] - self.breaks[:-1]
        highest = len(self.derivatives) - 1
        turns = {highest: (np.broadcast_to(self.derivatives[highest], places.shape), places)}
        for order in range(highest - 1, MOMENT - 1, -1):
            if order < highest - 1:
                places = self._zeros(order + 1, *turns[order + 1])
            turns[order] = taylor(self.derivatives, order, places), places
        return turns

    @cached_property
    def _turns(self) -> dict[int, tuple[Array, Array]]:
        """The same for all derivatives, down to the deflection."""
        turns = dict(self._force_turns)
        for order in (SLOPE, DEFLECTION):
            places = self._zeros(order + 1, *turns[order + 1])
            turns[order] = taylor(self.derivatives, order, places), places
        return turns

    def _zeros(self, order: int, values: Array, places: Array) -> Array:
        """Return the turning points of the next lower derivative: zeros of this one, and ends."""
        # A second row of starts gives way to the zeros of the first bracket, and so on.
        zeros = np.concatenate((places[:1], places))
        signs = np.sign(values)
        k, c, p = (signs[:-1] * signs[1:] < 0).nonzero()
        if len(k) < FEW:
            for i, j, q in zip(k, c, p, strict=True):
                bracket = places[i : i + 2, j, q].tolist()
                zeros[i + 1, j, q] = _root(self.derivatives[:, j, q].tolist(), order, *bracket)
        else:
            ends = places[k, c, p], places[k + 1, c, p]
            zeros[k + 1, c, p] = _roots(self.derivatives[:, c, p], order, *ends)
        return zeros

    def _by_position(self, places: Array) -> Array:
        """Reshape [..., place, piece] to [..., position]."""
        return places.swapaxes(-1, -2).reshape(*places.shape[:-2], -1)

    @cached_property
    def _force_extremes(self) -> dict[int, Extremes]:
        """Extremes of shear and moment in one pass over the pieces."""
        return self._extremes_of((SHEAR, MOMENT), self._force_turns)

    @cached_property
    def _sags(self) -> Extremes:
        return self._extremes_of((DEFLECTION,), self._turns)[DEFLECTION]

    def _extremes_of(
        self, orders: tuple[int, ...], turns: dict[int, tuple[Array, Array]]
    ) -> dict[int, Extremes]:
        most, combinations, pieces = turns[orders[-1]][0].shape
        values: Array = np.empty((len(orders), combinations, most, pieces))
        at: Array = np.empty(values.shape)
        for i, order in enumerate(orders):
            found, places = turns[order]
            # A curve with fewer turning points repeats the end of the piece.
            for rows, given in ((values[i], found), (at[i], places)):
                rows[:, : len(given)] = given.swapaxes(0, 1)
                rows[:, len(given) :] = given[-1][:, None]
        if orders[-1] == DEFLECTION:
            values[-1] = 0.0 - values[-1] / self.EI
        at += self.breaks[:-1]
        rows = len(orders) * combinations
        values, at = (self._by_position(each).reshape(rows, -1) for each in (values, at))
        slack = ROUNDING * abs(values).max(axis=1)
        spans = self.beam.spans
        ends = [bisect_left(self.breaks, end) * most for _, end in spans]
        extremes = np.empty((4, rows, len(spans)))
        for i, (a, b) in enumerate(pairwise([0, *ends])):
            for k, column in enumerate(_extremes(values[:, a:b], at[:, a:b], slack)):
                extremes[k, :, i] = column
        split = extremes.reshape(4, len(orders), combinations, len(spans))
        return {order: Extremes(*split[:, i]) for i, order in enumerate(orders)}

    @property
    def shear_extremes(self) -> Extremes:
        """Extremes of shear in each span, both sides of each jump counted."""
        return self._force_extremes[SHEAR]

    @property
    def moment_extremes(self) -> Extremes:
        """Extremes of the bending moment in each span."""
        return self._force_extremes[MOMENT]

    @property
    def deflection_extremes(self) -> Extremes:
        """Extremes of the deflection in each span; the tip counts in an overhang."""
        return self._sags

    @cached_property
    def zero_moments(self) -> list[Array]:
        """Positions of zero moment, from left to right, one array for each combination.

        Ends and hinges without moment count, and couples where it jumps through zero. Of a length
        without moment only the ends of its pieces are given.
        """
        places = np.concatenate((self._turns[MOMENT][1], self._turns[SLOPE][1]))
        places.sort(axis=0)
        values = self._by_position(taylor(self.derivatives, MOMENT, places).swapaxes(0, 1))
        at = self._by_position((places + self.breaks[:-1]).swapaxes(0, 1))
        found = abs(values) <= ROUNDING * abs(values).max(axis=1, keepdims=True)
        same_place = at[:, 1:] - at[:, :-1] <= self.beam.tolerance
        found[:, 1:] |= same_place & (np.sign(values[:, :-1]) * np.sign(values[:, 1:]) < 0)
        return [_distinct(x[here], self.beam.tolerance) for x, here in zip(at, found, strict=True)]


def _distinct(places: Array, tolerance: float) -> Array:
    return places[np.diff(places, prepend=-np.inf) > tolerance]
