"""Where the members of a house lie in plan, as far as spans and crossings tell."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from calclib.job import graph
from calclib.job.carry import ALONG, Flow, House, direction_of
from calclib.job.contents import Section


@dataclass(frozen=True)
class Axis:
    """The line of a wall or beam in plan.

    Attributes
    ----------
    path : str
    along : bool
        Whether it runs along the house's line.
    at : float [in]
        Where it lies across its own direction.
    """

    path: str
    along: bool
    at: float


def axes_in_plan(house: House) -> dict[str, Axis]:
    """Return the lines of walls and beams whose places follow from spans and crossings.

    Parameters
    ----------
    house : House

    Returns
    -------
    dict of str to Axis
        Where no crossing tells, the first support lies at 0; what no span ties to any is missing.
    """
    members = graph.members(house.job.sections)
    links = list(_links(house, members))
    near: dict[str, list[tuple[str, float]]] = {}
    for one, other, apart in links:
        near.setdefault(one, []).append((other, apart))
        near.setdefault(other, []).append((one, -apart))
    known: dict[str, float] = {}
    for path, at in [*_crossings(house, members), *((link[0], 0.0) for link in links)]:
        if path in known or path not in members:
            continue
        known[path] = at
        ahead = [path]
        while ahead:
            here = ahead.pop()
            for other, apart in near.get(here, ()):
                if other not in known and other in members:
                    known[other] = known[here] + apart
                    ahead.append(other)
    return {
        path: Axis(path, direction_of(members[path]) == ALONG, at) for path, at in known.items()
    }


def _links(house: House, members: dict[str, Section]) -> Iterator[tuple[str, str, float]]:
    """Yield two lines and how far apart they lie, from the spans of fields; what replaces, at 0."""
    for section in members.values():
        if section.kind in graph.FIELDS:
            if "span" in section.numbers:
                spans = [house.inputs[f"{section.path}.span"].at()]
            else:
                spans = [house.inputs[i.path].at() for i in section.inside["spans"].values()]  # type: ignore[union-attr]
            carriers = graph.supports(section)
            yield from zip(carriers[:-1], carriers[1:], spans, strict=True)
        elif section.kind == "walls" and graph.supports(section)[0] in members:
            below = graph.supports(section)[0]
            if below.startswith(("walls.", "beams.")):
                yield section.path, below, 0.0
        elif "replaces" in section.words:
            yield section.path, section.words["replaces"], 0.0


def _crossings(house: House, members: dict[str, Section]) -> Iterator[tuple[str, float]]:
    """Yield lines whose place follows from where they cross another, or from posts on them."""
    for path, section in members.items():
        if section.kind != "beams":
            continue
        for seat, center in zip(section.seats(), house.seats[path], strict=True):
            at = house.inputs.get(f"{seat.path}.at")
            if at is not None:
                yield path, at.at()
                yield seat.words["on"], center.at()


def levels(flow: Flow) -> tuple[str, ...]:
    """Return the surfaces of a house, each a level to draw, in the order of the file."""
    used = {flow.state.members[path].words["surface"] for path in flow.strips}
    return tuple(name for name in flow.house.surfaces if name in used)
