"""A straight member on its supports: what is described, and what is refused.

Lengths and forces are plain numbers in any one coherent set of units; the kit uses in and lbf.
Positions run from the left end of the member.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from calclib.errors import BeamError, message
from calclib.mechanics.loads import (
    COUPLE,
    DEFLECTION,
    END,
    GROSS,
    MOMENT,
    SLOPE,
    START,
    Load,
    require_finite,
)

Array = NDArray[np.float64]

# Places nearer to each other than this part of the member's length are one place.
COINCIDENT = 1e-9

HELD = {
    "pinned": frozenset({DEFLECTION}),
    "fixed": frozenset({DEFLECTION, SLOPE}),
}


@dataclass(frozen=True, slots=True)
class Support:
    """A support that does not yield.

    Parameters
    ----------
    at : float
        Position from the member's left end.
    kind : {"pinned", "fixed"}
        A pinned support holds the member up and down; a fixed one also keeps it from turning.

    Raises
    ------
    BeamError
        If the position is not finite or the kind is neither of the two.
    """

    at: float
    kind: str = "pinned"

    def __post_init__(self) -> None:
        require_finite("support", at=self.at)
        if self.kind not in HELD:
            where = f"support at {self.at:.6g}"
            raise BeamError(message(where, '"pinned" or "fixed"', repr(self.kind)))


@dataclass(frozen=True, slots=True)
class Segment:
    """A part of the member with one stiffness, from the end of the part before it.

    Parameters
    ----------
    end : float
        Where the part ends, from the member's left end; the last part ends at its length.
    EI : float
        Modulus of elasticity times moment of inertia, above zero.

    Raises
    ------
    BeamError
        If a number is not finite, or EI is zero or less.
    """

    end: float
    EI: float

    def __post_init__(self) -> None:
        require_finite("segment", end=self.end, EI=self.EI)
        if self.EI <= 0:
            where = f"segment that ends at {self.end:.6g}"
            raise BeamError(message(where, "an EI above zero", f"{self.EI:.6g}"))


class Node(NamedTuple):
    """A place where unknowns stand, and the derivatives that are known to be zero there."""

    at: float
    held: frozenset[int]


@dataclass(frozen=True, kw_only=True)
class Beam:
    """A straight member on supports that do not yield, in small elastic bending.

    Parameters
    ----------
    length : float
        Length from end to end.
    supports : sequence of Support
        From left to right. Parts of the member beyond the outer ones are overhangs.
    EI : float or sequence of Segment
        Modulus of elasticity times moment of inertia: one for all, or by segments from left to
        right, the last of which ends at the length.
    hinges : sequence of float
        Positions from left to right where no bending moment passes. A hinge over a pinned support
        stands for two members that meet on it.

    Raises
    ------
    BeamError
        If a number is not finite, a length or EI is zero or less, a support or hinge is off the
        member, two of a kind coincide (within 1e-9 of the length) or are out of order, a hinge is
        at an end or a fixed support, segments do not cover the member, or a part can move.

    Notes
    -----
    Valid for: slopes small against 1; shear deflection is left out.

    Examples
    --------
    >>> beam = Beam(length=240.0, supports=[Support(0.0), Support(180.0)], EI=1.6e8)
    >>> beam.spans
    ((0.0, 180.0), (180.0, 240.0))
    >>> Beam(length=240.0, supports=[Support(60.0)], EI=1.6e8)
    Traceback (most recent call last):
    ...
    calclib.errors.BeamError: beam, from 0 to 240: needs to be held in place, got a part that can \
turn about 60. Add a support, make one fixed, or leave out a hinge.
    """

    length: float
    supports: Sequence[Support]
    EI: float | Sequence[Segment]
    hinges: Sequence[float] = ()

    def __post_init__(self) -> None:
        for name in ("supports", "hinges"):
            object.__setattr__(self, name, tuple(getattr(self, name)))
        if isinstance(self.EI, Sequence):
            object.__setattr__(self, "EI", tuple(self.EI))
        require_finite("beam", length=self.length)
        if self.length <= 0:
            raise BeamError(message("beam", "a length above zero", f"{self.length:.6g}"))
        _require_row("support", [support.at for support in self.supports], self.length)
        _require_row("hinge", self.hinges, self.length)
        self._refuse_hinges_that_do_nothing()
        self._refuse_segments_that_do_not_fit()
        _refuse_mechanism(self.nodes)

    @cached_property
    def segments(self) -> tuple[Segment, ...]:
        """The parts of one stiffness, from left to right."""
        if isinstance(self.EI, Sequence):
            return tuple(self.EI)
        return (Segment(self.length, self.EI),)

    @property
    def tolerance(self) -> float:
        """Distance within which two places are one."""
        return COINCIDENT * self.length

    @cached_property
    def nodes(self) -> tuple[Node, ...]:
        """The ends, supports, hinges and changes of section, from left to right."""
        nothing: frozenset[int] = frozenset()
        marks = [(0.0, nothing), (self.length, nothing)]
        marks += [(support.at, HELD[support.kind]) for support in self.supports]
        marks += [(at, frozenset({MOMENT})) for at in self.hinges]
        marks += [(segment.end, nothing) for segment in self.segments]
        nodes: list[Node] = []
        for at, held in sorted(marks, key=lambda mark: mark[0]):
            if nodes and at - nodes[-1].at <= self.tolerance:
                nodes[-1] = Node(nodes[-1].at, nodes[-1].held | held)
            else:
                nodes.append(Node(float(at), held))
        nodes[0] = Node(0.0, nodes[0].held)
        nodes[-1] = Node(float(self.length), nodes[-1].held)
        return tuple(nodes)

    @cached_property
    def spans(self) -> tuple[tuple[float, float], ...]:
        """Start and end of each span between supports and of each overhang, from left to right."""
        marks = [node.at for node in self.nodes if DEFLECTION in node.held]
        marks = sorted({0.0, *marks, self.nodes[-1].at})
        return tuple(pairwise(marks))

    def _refuse_hinges_that_do_nothing(self) -> None:
        taken = {0.0: "an end of the beam", self.length: "an end of the beam"}
        taken |= {each.at: "a fixed support" for each in self.supports if each.kind == "fixed"}
        for at in self.hinges:
            for place, what in taken.items():
                if abs(at - place) <= self.tolerance:
                    needs = "a place inside the beam, free to turn"
                    raise BeamError(message(f"hinge at {at:.6g}", needs, f"one at {what}"))

    def _refuse_segments_that_do_not_fit(self) -> None:
        before = 0.0
        for i, segment in enumerate(self.segments, 1):
            if segment.end - before <= self.tolerance:
                needs = f"an end past {before:.6g}"
                raise BeamError(message(f"segment {i}", needs, f"{segment.end:.6g}"))
            before = segment.end
        if abs(before - self.length) > self.tolerance:
            needs = f"the last to end at the beam's length, {self.length:.6g}"
            raise BeamError(message("segments", needs, f"{before:.6g}"))


def _require_row(what: str, places: Sequence[float], length: float) -> None:
    tolerance = COINCIDENT * length
    before = -length
    for i, at in enumerate(places, 1):
        require_finite(what, at=at)
        if -tolerance <= at <= length + tolerance and at - before > tolerance:
            before = at
            continue
        where = f"{what} {i}, at {at:.6g}"
        if not -tolerance <= at <= length + tolerance:
            raise BeamError(message(where, f"a place from 0 to {length:.6g}", f"{at:.6g}"))
        if at - before < -tolerance:
            needs = f"{what}s in order from left to right"
            raise BeamError(message(where, needs, f"one after {before:.6g}"))
        needs = f"a place of its own, away from {what} {i - 1}"
        raise BeamError(message(where, needs, "the same place: a span of zero"))


def _refuse_mechanism(nodes: Sequence[Node]) -> None:
    """Refuse a member of which a part between hinges can move.

    A part stands if it is fixed or pinned at two places. A hinge counts as a pin if what lies
    beyond it holds it still; the parts form a chain, so one pass from each side finds that out.
    """
    cuts = [0, *(i for i, node in enumerate(nodes) if MOMENT in node.held), len(nodes) - 1]
    parts = [nodes[a : b + 1] for a, b in pairwise(cuts)]
    pins = [{node.at for node in part if DEFLECTION in node.held} for part in parts]
    fixed = [any(SLOPE in node.held for node in part) for part in parts]
    last = len(parts) - 1
    for order, step, side in ((range(last), 1, -1), (range(last, 0, -1), -1, 0)):
        for i in order:
            if fixed[i] or len(pins[i]) > 1:
                pins[i + step].add(parts[i][side].at)
    for part, held, still in zip(parts, pins, fixed, strict=True):
        if not still and len(held) < 2:
            got = f"a part that can turn about {min(held):.6g}" if held else "a part that can fall"
            where = f"beam, from {part[0].at:.6g} to {part[-1].at:.6g}"
            do = "Add a support, make one fixed, or leave out a hinge."
            raise BeamError(message(where, "to be held in place", got, do))


def load_table(beam: Beam, loads: Iterable[Load], where: str) -> Array:
    """Return loads as rows of numbers, or refuse those that cannot stand on the member.

    Parameters
    ----------
    beam : Beam
    loads : iterable of Load
    where : str
        Name of the group of loads, for the message.

    Returns
    -------
    array
        Shape [load, 9]: the columns `START` to `GROSS`.

    Raises
    ------
    BeamError
        If a load is off the member, too short for it, or a couple on a hinge, naming the first
        such load by its number in the group and its place.
    """
    table = np.array([load.row() for load in loads], dtype=float).reshape(-1, GROSS + 1)
    start, end = table[:, START], table[:, END]
    off = (start < -beam.tolerance) | (end > beam.length + beam.tolerance)
    if off.any():
        i = int(off.argmax())
        got = f"{start[i] if start[i] < 0 else end[i]:.6g}"
        needs = f"a place on the beam, from 0 to {beam.length:.6g}"
        raise BeamError(message(f"{where}, load {i + 1}", needs, got))
    short = (end > start) & (end - start <= beam.tolerance)
    if short.any():
        i = int(short.argmax())
        needs = f"a line load longer than {beam.tolerance:.6g}"
        raise BeamError(message(f"{where}, load {i + 1}", needs, f"one at {start[i]:.6g}"))
    for hinge in beam.hinges:
        on = (table[:, COUPLE] != 0) & (abs(start - hinge) <= beam.tolerance)
        if on.any():
            do = "Move it to the side that it acts on."
            got = f"one on the hinge at {hinge:.6g}"
            place = f"{where}, load {int(on.argmax()) + 1}"
            raise BeamError(message(place, "a couple beside the hinge", got, do))
    return table
