"""Where the members of a house lie in plan, as far as spans and crossings tell."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from calclib.job import graph
from calclib.job.carry import ALONG, Flow, House, direction_of
from calclib.job.contents import Section
from calclib.job.field import field_stretch


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


def orientations(house: House) -> dict[str, int]:
    """Return for each field whether its supports are listed up the plan (1) or down (-1).

    Parameters
    ----------
    house : House

    Returns
    -------
    dict of str to int
        Two fields of one surface that begin on the same stretch of a line lie on its two sides,
        whichever way their supports are listed.
    """
    found: dict[str, int] = {}
    fields = [s for s in graph.members(house.job.sections).values() if s.kind in graph.FIELDS]
    for place, field in enumerate(fields):
        found[field.path] = 1
        own = graph.supports(field)
        for other in fields[:place]:
            theirs = graph.supports(other)
            if other.words["surface"] != field.words["surface"] or not _overlap(
                house, field, other
            ):
                continue
            ends = {own[0], own[-1]} & {theirs[0], theirs[-1]}
            if ends:
                at = ends.pop()
                same_end = (own[0] == at) == (theirs[0] == at)
                found[field.path] = found[other.path] * (-1 if same_end else 1)
                break
    return found


def _overlap(house: House, one: Section, other: Section) -> bool:
    low, high = (place.at() for place in field_stretch(one, house.stretches))
    start, end = (place.at() for place in field_stretch(other, house.stretches))
    return low < end and start < high


def axes_in_plan(house: House, surface: str) -> dict[str, Axis]:
    """Return the lines of walls and beams whose places follow from spans and crossings.

    Parameters
    ----------
    house : House
    surface : str
        The level that is drawn: its own spans count first, for a wall may lean or step back
        between two levels.

    Returns
    -------
    dict of str to Axis
        Where no crossing tells, the first support lies at 0; what no span ties to any is missing.
    """
    members = graph.members(house.job.sections)
    links = list(_links(house, members, surface))
    known: dict[str, float] = {}
    seeds = [*_crossings(house, members), *((link[0], 0.0) for link in links)]
    count = sum(len(graph.supports(s)) - 1 for s in members.values()
                if s.kind in graph.FIELDS and s.words["surface"] == surface)  # fmt: skip
    for path, at in seeds:
        if path in known or path not in members:
            continue
        known[path] = at
        _spread(known, links[:count], members)
        _spread(known, links, members)
    return {
        path: Axis(path, direction_of(members[path]) == ALONG, at) for path, at in known.items()
    }


def _spread(
    known: dict[str, float],
    links: list[tuple[str, str, float]],
    members: dict[str, Section],
) -> None:
    """Place what is tied to what has its place."""
    near: dict[str, list[tuple[str, float]]] = {}
    for one, other, apart in links:
        near.setdefault(one, []).append((other, apart))
        near.setdefault(other, []).append((one, -apart))
    ahead = list(known)
    while ahead:
        here = ahead.pop()
        for other, apart in near.get(here, ()):
            if other not in known and other in members:
                known[other] = known[here] + apart
                ahead.append(other)


def _links(
    house: House, members: dict[str, Section], surface: str
) -> Iterator[tuple[str, str, float]]:
    """Yield two lines and how far apart they lie, from the spans of fields; what replaces, at 0."""
    ways = orientations(house)
    own = [s for s in members.values() if s.words.get("surface") == surface]
    for section in [*own, *(s for s in members.values() if s.words.get("surface") != surface)]:
        if section.kind in graph.FIELDS:
            if "span" in section.numbers:
                spans = [house.inputs[f"{section.path}.span"].at()]
            else:
                spans = [house.inputs[i.path].at() for i in section.inside["spans"].values()]  # type: ignore[union-attr]
            carriers = graph.supports(section)
            way = ways[section.path]
            for left, right, span in zip(carriers[:-1], carriers[1:], spans, strict=True):
                yield left, right, way * span
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
