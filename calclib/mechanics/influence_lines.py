"""Influence lines: what each load of a member brings to each reaction."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike

from calclib.mechanics.beam import Array, Beam, load_table
from calclib.mechanics.curves import Curves
from calclib.mechanics.joints import Joints
from calclib.mechanics.loads import Load


def influence(beam: Beam, at: ArrayLike) -> Array:
    """Return the reactions to a unit load, down, as it stands at one place after another.

    Parameters
    ----------
    beam : Beam
    at : array
        Positions on the member, shape [n].

    Returns
    -------
    array
        Shape [n, support], up positive.

    Raises
    ------
    BeamError
        If a position is off the member or not finite.

    Notes
    -----
    Source: the influence line of a reaction is the shape that the member takes when that support
    sinks by 1 (Müller-Breslau).

    Examples
    --------
    >>> from calclib.mechanics import Beam, Support, influence
    >>> beam = Beam(length=120.0, supports=[Support(0.0), Support(90.0)], EI=1.5e8)
    >>> influence(beam, [0.0, 30.0, 120.0]).round(6).tolist()
    [[1.0, 0.0], [0.666667, 0.333333], [-0.333333, 1.333333]]
    """
    return _settled(beam).deflection(at).T


def reactions_by_load(beam: Beam, loads: Iterable[Load]) -> Array:
    """Return the part of each reaction that each load brings, from influence lines.

    Parameters
    ----------
    beam : Beam
    loads : iterable of Load

    Returns
    -------
    array
        Shape [load, support], up positive; the sum over the loads is the reactions.

    Raises
    ------
    BeamError
        If a load is off the member, or a couple stands on a hinge.

    Notes
    -----
    A line load is integrated over the cubic influence line by Gauss's rule with three points in
    each interval between nodes, which is exact.
    """
    table = load_table(beam, loads, "loads")
    start, end, w_start, w_end, force, couple, *_ = table.T
    shapes = _settled(beam)
    shares = shapes.deflection(start) * force + shapes.slope(start) * couple
    rate = (w_end - w_start) / np.where(end > start, end - start, 1.0)
    places, weights = np.polynomial.legendre.leggauss(3)
    for low, high in pairwise(shapes.breaks.tolist()):
        on = np.flatnonzero((end > start) & (end > low) & (start < high))
        first = np.maximum(start[on], low)[:, None]
        half = (np.minimum(end[on], high)[:, None] - first) / 2
        x = first + half * (1 + places)
        w = w_start[on, None] + rate[on, None] * (x - start[on, None])
        shares[:, on] += (shapes.deflection(x) * (w * half * weights)).sum(axis=2)
    return shares.T


def _settled(beam: Beam) -> Curves:
    """Return the shapes that the member takes as each support in turn sinks by 1."""
    shapes = Joints.of(beam).settled()
    _, supports, intervals = shapes.shape
    marks = np.array([node.at for node in beam.nodes])
    none = np.zeros((supports, supports))
    # Only the shape is asked for, so each interval's EI is taken as 1.
    return Curves(beam, marks, np.ones(intervals), shapes, none, none, np.zeros(supports))
