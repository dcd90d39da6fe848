"""The equations that join the parts of a member at its supports, hinges and changes of section."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from calclib.errors import BeamError, message
from calclib.mechanics.beam import Array, Beam, Node
from calclib.mechanics.loads import DEFLECTION, MOMENT, SHEAR, SLOPE


def carry(state: Array, s: Array) -> Array:
    """Carry EI times the upward deflection and three derivatives over lengths without load.

    Parameters
    ----------
    state : array
        Shape [4, case, part].
    s : array
        Shape [part].

    Returns
    -------
    array
        Shape [4, case, part].
    """
    lift, slope, moment, shear = state
    bent = s * shear
    carried = np.empty(state.shape)
    carried[DEFLECTION] = lift + s * (slope + s * (moment + bent / 3) / 2)
    carried[SLOPE] = slope + s * (moment + bent / 2)
    carried[MOMENT] = moment + bent
    carried[SHEAR] = shear
    return carried


@dataclass(frozen=True, eq=False)
class Joints:
    """Linear equations for the state just right of the start of each interval between nodes.

    A state is EI times the upward deflection and its three derivatives.
    What is held at a node is given on both sides of it; its partner (shear for deflection, slope
    for moment) may jump there, and the others pass through.
    Lengths are measured in mean intervals and EI in that of the first, for conditioning.

    Parameters
    ----------
    EI : array
        Shape [interval].
    supported : list of int
        Which nodes are supports.
    matrix : array
        Shape [row, unknown], four of each for each interval.
    node, order : list of int
        What node and what derivative each row is about.
    right : list of bool
        Whether the row is about what lies right of the node.
    left : list of float
        Weight in the row of what lies left of the node.
    unit : array
        Shape [4]: the units of the four unknowns.
    """

    EI: Array
    supported: list[int]
    matrix: Array
    node: list[int]
    order: list[int]
    right: list[bool]
    left: list[float]
    unit: Array

    @classmethod
    def of(cls, beam: Beam) -> Joints:
        """Set up the equations of a member."""
        nodes = beam.nodes
        mean = beam.length / (len(nodes) - 1)
        lengths = [(b.at - a.at) / mean for a, b in pairwise(nodes)]
        ends = [segment.end for segment in beam.segments]
        EI = [beam.segments[bisect_left(ends, (a.at + b.at) / 2)].EI for a, b in pairwise(nodes)]
        flexibility = [EI[0] / each for each in EI]

        conditions = list(_conditions(nodes))
        matrix = np.zeros((len(conditions), len(conditions)))
        weights = []
        for row, (i, order, right, left) in enumerate(conditions):
            if right:
                matrix[row, 4 * i + order] = flexibility[i] if order < MOMENT else 1.0
            weight = 0.0
            if left:
                weight = flexibility[i - 1] if order < MOMENT else 1.0
                s = lengths[i - 1]
                powers = (1.0, s, s * s / 2, s * s * s / 6)
                for k in range(order, 4):
                    matrix[row, 4 * i - 4 + k] = -weight * powers[k - order]
            weights.append(weight)
        at, orders, rights, _ = map(list, zip(*conditions, strict=True))
        supported = [i for i, (_, held) in enumerate(nodes) if DEFLECTION in held]
        # Products, for powers raise where they overflow.
        unit = np.array([mean * mean * mean, mean * mean, mean, 1.0])
        return cls(np.array(EI), supported, matrix, at, orders, rights, weights, unit)

    def loaded(self, outside: Array, ends: Array) -> Array:
        """Return the states under loads.

        Parameters
        ----------
        outside : array
            Shape [4 or more, case, node]: what loads make jump at the nodes.
        ends : array
            Shape [4, case, interval]: the state at the end of each interval if it is zero at the
            start.

        Returns
        -------
        array
            Shape [4, case, interval].
        """
        order, node = np.array(self.order), np.array(self.node)
        # At the first node nothing lies to the left: the weight there is zero.
        known = outside[order, :, node] + np.array(self.left)[:, None] * ends[order, :, node - 1]
        return self._solved(known / self.unit[order, None]) * self.unit[:, None, None]

    def settled(self) -> Array:
        """Return the upward deflection and three derivatives as each support in turn sinks by 1.

        Returns
        -------
        array
            Shape [4, support, interval].

        Raises
        ------
        BeamError
            If spans and stiffnesses are too far apart in size for an answer.
        """
        known = np.zeros((len(self.node), len(self.supported)))
        for row, (i, order) in enumerate(zip(self.node, self.order, strict=True)):
            if order == DEFLECTION and i in self.supported:
                known[row, self.supported.index(i)] = -1.0 if self.right[row] else 1.0
        with np.errstate(all="ignore"):
            unit = (self.unit / self.unit[DEFLECTION])[:, None, None]
            shapes = self._solved(known) * unit * (self.EI[0] / self.EI)
        if not np.isfinite(shapes).all():
            raise self._unsolved()
        return shapes

    def _unsolved(self) -> BeamError:
        needs = "spans and stiffnesses of comparable size"
        return BeamError(message("beam", needs, "equations without a solution"))

    def _solved(self, known: Array) -> Array:
        try:
            states = np.linalg.solve(self.matrix, known)
        except np.linalg.LinAlgError:
            raise self._unsolved() from None
        return np.asarray(states.reshape(-1, 4, known.shape[1]).transpose(1, 2, 0), dtype=float)


def _conditions(nodes: Sequence[Node]) -> Iterator[tuple[int, int, bool, bool]]:
    """Yield node, derivative, and whether the condition is about its right and its left."""
    last = len(nodes) - 1
    for i, (_, held) in enumerate(nodes):
        for order in (DEFLECTION, SLOPE, MOMENT, SHEAR):
            if order in held:
                if i < last:
                    yield i, order, True, False
                if i > 0:
                    yield i, order, False, True
            elif SHEAR - order not in held and (0 < i < last or order >= MOMENT):
                yield i, order, i < last, i > 0
