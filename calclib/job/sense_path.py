"""What a job file must make sense of about the way down: carriers, circles, places."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import islice

from calclib.errors import did_you_mean, quoted
from calclib.job import graph, schema
from calclib.job.contents import Entry, Section
from calclib.job.errors import Errors
from calclib.job.graph import Sections
from calclib.job.schema import GROUND
from calclib.units import feet_inches

# What each kind of member may rest on, beside the ground. A post or a beam may not land on a
# beam: its place along it cannot be told from the file.
CARRIERS = {
    "joists": ("walls", "beams"),
    "rafters": ("walls", "beams"),
    "points": ("walls", "beams", "posts"),
    "walls": ("walls", "beams"),
    "beams": ("posts", "walls"),
    "posts": ("posts", "walls"),
}
SLACK = 1e-6
# A longer search for what was meant, or for more circles, takes too long.
MOST_NAMES = 100
MOST_CIRCLES = 5

Extent = tuple[float, float]


def ends_of(beam: Section) -> Extent:
    """Return where a beam's first and last support centers lie along the line.

    Parameters
    ----------
    beam : Section

    Returns
    -------
    start, end : float [in]
    """
    seats = [seat for seat in beam.inside["supports"].values() if isinstance(seat, Section)]
    bearings = [seat.numbers["bearing"].number for seat in seats]
    clear = [entry.number for entry in beam.inside["spans"].values() if isinstance(entry, Entry)]
    start = beam.numbers["starts_at"].number - bearings[0] / 2
    length = sum(clear) + sum(bearings) - bearings[0] / 2 - bearings[-1] / 2
    return start, start + length


def surfaces_carried(sections: Sections, errors: Errors) -> None:
    """See that each field carries a surface of this file, and each surface is carried."""
    surfaces = sections.get("surfaces", {})
    fields = [field for kind in ("joists", "rafters") for field in sections.get(kind, {}).values()]
    carried = {field.words["surface"] for field in fields}
    for field in fields:
        name = field.words["surface"]
        if name and name not in surfaces:
            near = did_you_mean(name, islice(surfaces, MOST_NAMES))
            errors.add(
                f"{field.path}.surface",
                "a surface of this file",
                quoted(name),
                near or "Write [surfaces.bedroom_floor], and give its name here.",
            )
    # With a name that was not understood, it is open which surface was meant.
    if carried <= set(surfaces):
        for name, surface in surfaces.items():
            if name not in carried:
                errors.add(
                    surface.path,
                    "joists or rafters that carry it",
                    "none",
                    f"Write surface = {quoted(name)} there, or take the surface out.",
                )


def _links(section: Section) -> Iterator[tuple[str, str]]:
    """Yield the place in the file and the path of each thing that a member rests on."""
    if "supports" in section.inside:
        for seat in section.inside["supports"].values():
            if isinstance(seat, Section):
                yield f"{seat.path}.on", seat.words["on"]
    else:
        for carrier in graph.supports(section):
            yield f"{section.path}.rests_on", carrier


def carriers_known(members: Mapping[str, Section], errors: Errors) -> None:
    """See that each member rests on something of this file that can carry it."""
    by_kind = {
        kind: [path for path in members if path.partition(".")[0] in carriers] + [GROUND]
        for kind, carriers in CARRIERS.items()
    }
    allowed = {kind: set(paths) for kind, paths in by_kind.items()}
    for section in members.values():
        kind = section.path.partition(".")[0]
        seen: set[str] = set()
        for place, carrier in _links(section):
            if carrier and carrier not in allowed[kind]:
                known = by_kind[kind][:MOST_NAMES]
                do = f"Write one of: {', '.join(known[-8:])}."
                if carrier not in members:
                    do = did_you_mean(carrier, known) or do
                elif carrier.startswith("beams."):
                    do = _as_point(carrier)
                errors.add(
                    place,
                    f"one of the {' or '.join(CARRIERS[kind])} of this file, or {GROUND}",
                    quoted(carrier),
                    do,
                )
            elif carrier in seen and carrier.partition(".")[0] in ("beams", "posts"):
                errors.add(
                    place,
                    "another support than the one before",
                    quoted(carrier),
                    'Name each once: rests_on = ["beams.opening", "walls.east"].',
                )
            seen.add(carrier)


def _as_point(beam: str) -> str:
    return f'Enter what it carries as [points.p1] with rests_on = "{beam}" and at = "5 ft".'


def circles(sections: Sections, errors: Errors) -> bool:
    """Report the circles of supports, and tell whether there is one."""
    left = sections
    for _ in range(MOST_CIRCLES):
        circle = graph.circle(left)
        if not circle:
            break
        key = "supports" if circle[0].startswith("beams.") else "rests_on"
        errors.add(
            f"{circle[0]}.{key}",
            "a path to the ground",
            f"a circle: {' > '.join(circle[:12])}",
            f'Let one of them rest on the ground: rests_on = "{GROUND}".',
        )
        left = {
            kind: {name: each for name, each in named.items() if each.path not in circle}
            for kind, named in left.items()
        }
    return left is not sections


def landings(members: Mapping[str, Section], downward: tuple[str, ...], errors: Errors) -> None:
    """See that no beam or post lands on another beam by way of a wall or a post."""
    below: dict[str, str] = {}
    for path in reversed(downward):
        section = members[path]
        if path.startswith("beams."):
            below[path] = path
        elif path.startswith(("walls.", "posts.")):
            below[path] = below.get(section.words["rests_on"], "")
        if not path.startswith(("beams.", "posts.")):
            continue
        for place, carrier in _links(section):
            beam = below.get(carrier, "")
            if beam and carrier != beam:
                errors.add(
                    place,
                    "a post or wall that goes down to the ground",
                    f"{quoted(carrier)}, which stands on {beam}",
                    _as_point(beam),
                )


def places(members: Mapping[str, Section], downward: tuple[str, ...], errors: Errors) -> None:
    """See that each load lies on what carries it."""
    extents: dict[str, Extent] = {}
    for path in reversed(downward):
        section = members[path]
        carriers = [carrier for carrier in graph.supports(section) if carrier in extents]
        for carrier in carriers:
            _on_carrier(section, carrier, extents[carrier], errors)
        own = _own_extent(section)
        if own is None and section.words.get("along") == "whole" and carriers:
            own = extents[carriers[0]]
            _same_extent(section, carriers, extents, errors)
        if own is not None:
            extents[path] = own


def _own_extent(section: Section) -> Extent | None:
    if "supports" in section.inside:
        whole = section.inside["supports"] and section.inside["spans"]
        return ends_of(section) if whole else None
    if {"from", "to"} <= set(section.numbers):
        return section.numbers["from"].number, section.numbers["to"].number
    return None


def _on_carrier(section: Section, carrier: str, extent: Extent, errors: Errors) -> None:
    low, high = extent
    for name in ("from", "to", "at"):
        place = section.numbers.get(name)
        if place and (place.number < low - SLACK or place.number > high + SLACK):
            errors.add(
                f"{section.path}.{name}",
                f"a place on {schema.called(carrier)}, which runs from {feet_inches(low)} to "
                f"{feet_inches(high)} along the line",
                quoted(place.text),
                f'Write {name} = "{feet_inches(max(0.0, low) if name == "from" else high)}".',
            )


def _same_extent(
    section: Section, carriers: list[str], extents: Mapping[str, Extent], errors: Errors
) -> None:
    first = extents[carriers[0]]
    for carrier in carriers[1:]:
        if any(abs(a - b) > SLACK for a, b in zip(first, extents[carrier], strict=True)):
            errors.add(
                f"{section.path}.along",
                "supports that run equally far, for its extent to be the whole of them",
                f"{carriers[0]} and {carrier}",
                'Write from = "5 ft" and to = "13 ft 6 in".',
            )
            return
