"""The exact solution of a member on any number of supports.

Unknowns stand at supports, hinges and changes of section only. What the loads do between those
is integrated by running sums, so the cost is linear in the loads and they add no unknowns.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray

from calclib.errors import BeamError, message
from calclib.mechanics.beam import Array, Beam, load_table
from calclib.mechanics.curves import Curves, taylor
from calclib.mechanics.joints import Joints, carry
from calclib.mechanics.loads import (
    DEFLECTION,
    DOWN,
    END,
    INTENSITY,
    MOMENT,
    RATE,
    SHEAR,
    SLOPE,
    START,
    Load,
)

Whole = NDArray[np.intp]

# Sums of so many combinations are kept; a search through stock sizes asks for many more.
MOST_KEPT = 256

# Largest imbalance of a solution, relative to its loads.
BALANCE = 1e-9


@dataclass(frozen=True, eq=False)
class Solution:
    """A member solved under each of its load cases.

    Parameters
    ----------
    names : tuple of str
        Names of the load cases, in the order of the rows of `curves`.
    curves : Curves
        One row for each load case.
    residual : array
        Shape [case, 2]: what is left of the sum of forces and of the sum of moments, relative to
        the gross loads and reactions. At most 1e-9, or the solution would have been refused.
    """

    names: tuple[str, ...]
    curves: Curves
    residual: Array

    def combine(self, factors: ArrayLike) -> Curves:
        """Return linear sums of the load cases.

        Parameters
        ----------
        factors : array
            Shape [combination, case].

        Returns
        -------
        Curves
            One row for each combination.

        Raises
        ------
        BeamError
            If the shape does not fit the cases, or a factor is not finite.
        """
        table = np.asarray(factors, dtype=float)
        if table.ndim != 2 or table.shape[1] != len(self.names) or not len(table):
            needs = f"a row of {len(self.names)} factors for each combination"
            raise BeamError(message("combinations", needs, f"the shape {table.shape}"))
        if not np.isfinite(table).all():
            raise BeamError(message("combinations", "finite factors", "one that is not"))
        key = (table.shape, table.tobytes())
        if key in self._combined:
            return self._combined[key]
        each = self.curves
        made = Curves(
            each.beam,
            each.breaks,
            each.EI,
            table @ each.derivatives,
            table @ each.reactions,
            table @ each.fixings,
            table @ each.total,
        )
        if len(table) <= MOST_KEPT:
            self._combined[key] = made
        return made

    @cached_property
    def _combined(self) -> dict[tuple[tuple[int, ...], bytes], Curves]:
        """Sums made before: moment, shear and deflection are read of the same ones."""
        return {}


def solve(beam: Beam, cases: Mapping[str, Iterable[Load]]) -> Solution:
    """Solve a member under several load cases at once.

    Parameters
    ----------
    beam : Beam
    cases : mapping of str to iterable of Load
        The loads of each case (dead, snow, live on one span, ...) by its name.

    Returns
    -------
    Solution

    Raises
    ------
    BeamError
        If there is no case, a load is off the member, a couple stands on a hinge, or the solution
        does not balance its loads to 1e-9.

    Notes
    -----
    Valid for: small elastic bending of a straight member on supports that do not yield.
    Source: EI v'''' = q, integrated exactly.

    Examples
    --------
    >>> from calclib.mechanics import Beam, Line, Point, Support, solve
    >>> beam = Beam(length=120.0, supports=[Support(0.0), Support(120.0)], EI=1.5e8)
    >>> solved = solve(beam, {"D": [Line(0, 120, 10, 10)], "L": [Point(60, 400)]})
    >>> both = solved.combine([[1.0, 1.0]])
    >>> both.reactions.tolist()
    [[800.0, 800.0]]
    >>> both.moment_extremes.of_member.highest.tolist()
    [30000.0]
    """
    tables = [load_table(beam, loads, f'load case "{name}"') for name, loads in cases.items()]
    if not tables:
        raise BeamError(message("beam", "at least one load case", "none"))
    names = tuple(cases)
    table = np.concatenate(tables)
    case = np.repeat(np.arange(len(names)), [len(each) for each in tables])

    # Numbers that overflow are refused below, with a message in place of a warning.
    with np.errstate(all="ignore"):
        breaks, jumps, at = _jumps(beam, case, table, len(names))
        interval = np.repeat(np.arange(len(at) - 1), at[1:] - at[:-1])
        derivatives, ends = _integrate(jumps, breaks, at, interval)
        joints, outside, marks = Joints.of(beam), jumps[:, :, at], breaks[at]
        starts = joints.loaded(outside, ends)
        derivatives[:4] += carry(starts[:, :, interval], breaks[:-1] - marks[interval])
        reach = starts[SHEAR] * (marks[1:] - marks[:-1])

        # What jumps at a node and is not a load is a reaction.
        change = -outside[MOMENT : SHEAR + 1]
        change[:, :, :-1] += starts[MOMENT:]
        change[:, :, 1:] -= ends[MOMENT:] + starts[MOMENT:]
        change[0, :, 1:] -= reach
        # Adding zero turns -0.0 into 0.0.
        fixings, reactions = change[:, :, joints.supported] + 0.0
        fixings[:, [support.kind != "fixed" for support in beam.supports]] = 0.0

        sums = np.array([each[:, DOWN:].sum(axis=0) for each in tables])
        residual = _imbalance(beam, sums, reactions, fixings)
    for name, parts, row in zip(names, residual.tolist(), derivatives.swapaxes(0, 1), strict=True):
        _refuse_imbalance(name, max(parts), bool(np.isfinite(row).all()))
    EI = joints.EI[interval]
    curves = Curves(beam, breaks, EI, derivatives, reactions, fixings, sums[:, 0])
    return Solution(names, curves, residual)


def _places(beam: Beam, x: Array) -> tuple[Array, Whole]:
    """Return the breaks, nodes among them, and which of them each position stands on."""
    marks = np.array([node.at for node in beam.nodes])
    nearest = marks[((marks[1:] + marks[:-1]) / 2).searchsorted(x)]
    x = np.where(abs(x - nearest) <= beam.tolerance, nearest, x)
    every = np.concatenate((marks, x))
    every.sort()
    apart = np.ones(len(every), dtype=bool)
    apart[1:] = every[1:] - every[:-1] > beam.tolerance
    breaks = every[apart]
    index = breaks.searchsorted(np.concatenate((marks, x)), side="right") - 1
    return breaks, index


def _jumps(beam: Beam, case: Whole, table: Array, cases: int) -> tuple[Array, Array, Whole]:
    """Return the breaks, what jumps there (shape [n, case, break]), and which breaks are nodes."""
    nodes, loads = len(beam.nodes), len(table)
    breaks, index = _places(beam, np.concatenate((table[:, START], table[:, END])))
    at, start, end = index[:nodes], index[nodes : nodes + loads], index[nodes + loads :]
    _, _, w_start, w_end, force, couple, *_ = table.T
    rate = (w_end - w_start) / np.where(end > start, breaks[end] - breaks[start], 1.0)
    jumping = [(MOMENT, start, couple), (SHEAR, start, -force)]
    if w_start.any() or w_end.any():
        jumping += [(INTENSITY, start, -w_start), (INTENSITY, end, w_end)]
    if rate.any():
        jumping += [(RATE, start, -rate), (RATE, end, rate)]
    # Of the derivatives only those that loads bring about are kept.
    jumps = np.zeros((jumping[-1][0] + 1, cases, len(breaks)))
    where = case * len(breaks)
    for order, place, amount in jumping:
        jumps[order].reshape(-1)[:] += np.bincount(where + place, amount, cases * len(breaks))
    return breaks, jumps, at


def _integrate(jumps: Array, breaks: Array, at: Whole, interval: Whole) -> tuple[Array, Array]:
    """Integrate the loads along each interval between nodes, from zero just right of its start.

    Returns the derivatives at the start of each piece, shape [n, case, piece], and those just
    left of the end of each interval, shape [4, case, interval].
    """
    derivatives = jumps[:, :, :-1].cumsum(axis=2)
    lengths = breaks[1:] - breaks[:-1]
    if len(derivatives) > RATE:
        derivatives[INTENSITY, :, 1:] += (derivatives[RATE] * lengths)[:, :-1].cumsum(axis=1)
    derivatives[:4] = 0.0

    inside = jumps[: SHEAR + 1, :, 1:].copy()
    inside[:, :, at[1:] - 1] = 0.0
    ends = np.empty((4, jumps.shape[1], len(at) - 1))
    running = np.zeros(jumps.shape[1:])
    for order in (SHEAR, MOMENT, SLOPE, DEFLECTION):
        gain = taylor(derivatives, order, lengths) + inside[order]
        gain.cumsum(axis=1, out=running[:, 1:])
        at_node = running[:, at]
        derivatives[order] = running[:, :-1] - at_node[:, interval]
        ends[order] = at_node[:, 1:] - at_node[:, :-1]
    return derivatives, ends


def _imbalance(beam: Beam, sums: Array, reactions: Array, fixings: Array) -> Array:
    """Return what is left of the sums of forces and moments, [case, 2], relative to their size."""
    at = [node.at for node in beam.nodes if DEFLECTION in node.held]
    down, clockwise, gross = sums.T
    size = gross + abs(reactions).sum(axis=1)
    scale = np.array([size, size * beam.length + abs(fixings).sum(axis=1)])
    forces = down - reactions.sum(axis=1)
    moments = clockwise - reactions @ at + fixings.sum(axis=1)
    return np.asarray(abs(np.array([forces, moments])) / np.where(scale > 0, scale, 1.0)).T


def _refuse_imbalance(name: str, residual: float, finite: bool) -> None:
    if not (finite and residual <= BALANCE):
        needs = f"reactions that balance the loads to {BALANCE:g}"
        got = f"{residual:.3g}" if finite else "numbers without bound"
        do = "Spans, stiffnesses or loads are too far apart in size."
        raise BeamError(message(f'load case "{name}"', needs, got, do))
