"""What a job file must make sense of about places: directions, extents, what lies on what."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from calclib.errors import quoted
from calclib.job import graph, schema
from calclib.job.contents import Entry, Section
from calclib.job.errors import Errors
from calclib.job.schema import GROUND
from calclib.job.state import stands_of
from calclib.units import feet_inches

SLACK = 1e-6
ALONG = "along"

Extent = tuple[float, float]
Members = Mapping[str, Section]


def centers_of(beam: Section) -> tuple[float, ...]:
    """Return where the centers of a beam's supports lie along its line.

    Parameters
    ----------
    beam : Section

    Returns
    -------
    tuple of float [in]
    """
    bearings = [seat.numbers["bearing"].number for seat in beam.seats()]
    clear = [entry.number for entry in beam.inside["spans"].values() if isinstance(entry, Entry)]
    found = [beam.numbers["starts_at"].number - bearings[0] / 2]
    for length, left, right in zip(clear, bearings[:-1], bearings[1:], strict=True):
        found.append(found[-1] + length + (left + right) / 2)
    return tuple(found)


def ends_of(beam: Section) -> Extent:
    """Return where a beam begins and ends along its line.

    Parameters
    ----------
    beam : Section

    Returns
    -------
    start, end : float [in]
        Centers of its outer supports, or the ends of its overhangs.
    """
    centers = centers_of(beam)
    past = {key: beam.numbers.get(f"overhang_{key}") for key in ("start", "end")}
    before, beyond = (entry.number if entry else 0.0 for entry in past.values())
    return centers[0] - before, centers[-1] + beyond


def direction(path: str, members: Members) -> str:
    """Return in which direction of the plan a member's line runs; empty when it has none.

    Parameters
    ----------
    path : str
        For a field, its line is that of its supports.
    members : mapping of str to Section
    """
    section = members.get(path)
    if section is None or section.kind in ("posts", "points", "footings", "slabs"):
        return ""
    if section.kind not in graph.FIELDS:
        return str(section.words.get("direction", ALONG))
    return next((direction(carrier, members) for carrier in graph.supports(section)), "")


def places(members: Members, downward: tuple[str, ...], errors: Errors) -> None:
    """See that members that meet say where, and that each load lies on what carries it."""
    extents: dict[str, Extent] = {}
    posts: dict[str, tuple[str, float]] = {}
    for path in reversed(downward):
        own = _own_extent(members[path])
        if own is not None:
            extents[path] = own
        elif members[path].kind in (*graph.FIELDS, "walls"):
            known = [extents[c] for c in graph.supports(members[path]) if c in extents]
            if known and members[path].words.get("along") == "whole":
                extents[path] = known[0]
    for path in downward:
        section = members[path]
        kind = section.kind
        if kind in graph.FIELDS:
            _field(section, members, extents, errors)
        elif kind == "beams":
            _seats(section, members, extents, posts, errors)
        elif kind == "posts":
            _post(section, members, extents, posts, errors)
        elif kind in ("walls", "points"):
            _standing(section, members, extents, errors)


def _own_extent(section: Section) -> Extent | None:
    """Return where a member begins and ends; None when it does not say, or was refused."""
    found = None
    if section.kind == "beams":
        whole = section.inside["supports"] and section.inside["spans"]
        fits = len(section.inside["supports"]) == len(section.inside["spans"]) + 1
        found = ends_of(section) if whole and fits else None
    elif {"from", "to"} <= set(section.numbers):
        found = section.numbers["from"].number, section.numbers["to"].number
    return found if found and all(map(math.isfinite, found)) else None


def _field(
    section: Section, members: Members, extents: Mapping[str, Extent], errors: Errors
) -> None:
    carriers = [carrier for carrier in graph.supports(section) if carrier in members]
    runs = {direction(carrier, members) for carrier in carriers}
    if len(runs) > 1:
        errors.add(
            f"{section.path}.rests_on",
            "supports that run in one direction",
            " and ".join(f"{carrier} ({direction(carrier, members)})" for carrier in carriers),
            'Joists rest on lines that run side by side: direction = "along" for each.',
        )
        return
    for carrier in carriers:
        _on_line(section, carrier, extents, errors)
    if section.words.get("along") != "whole":
        return
    ends = [carrier for carrier in carriers if carrier in extents]
    # What was refused is reported there, and may have said it.
    refused = len(carriers) < len(graph.supports(section)) or any(
        carrier.startswith("beams.") and carrier not in extents for carrier in carriers
    )
    if not ends and not refused:
        errors.add(
            f"{section.path}.along",
            "a support that says how far it runs, for its extent to be the whole of it",
            f"{' and '.join(carriers) or 'none'} without from and to",
            'Write from = "5 ft" and to = "13 ft 6 in".',
        )
    for other in ends[1:]:
        pairs = zip(extents[ends[0]], extents[other], strict=True)
        if any(abs(a - b) > SLACK for a, b in pairs):
            errors.add(
                f"{section.path}.along",
                "supports that run equally far, for its extent to be the whole of them",
                f"{ends[0]} and {other}",
                'Write from = "5 ft" and to = "13 ft 6 in".',
            )
            return


def _on_line(section: Section, carrier: str, extents: Mapping[str, Extent], errors: Errors) -> None:
    """See that what a section says of its place lies on a carrier's line."""
    if carrier not in extents:
        return
    low, high = extents[carrier]
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


def _seats(
    beam: Section,
    members: Members,
    extents: Mapping[str, Extent],
    posts: dict[str, tuple[str, float]],
    errors: Errors,
) -> None:
    if _own_extent(beam) is None:
        return
    run = direction(beam.path, members)
    for seat, center in zip(beam.seats(), centers_of(beam), strict=True):
        carrier = seat.words["on"]
        posts.setdefault(carrier, (run, center))
        if carrier not in members or members[carrier].kind not in ("walls", "beams"):
            continue
        given = seat.numbers.get("at")
        if direction(carrier, members) != run:
            if given is None:
                errors.add(
                    f"{seat.path}.at",
                    f"the place along {schema.called(carrier)}, which it crosses",
                    "nothing",
                    'Write at = "7 ft 3 in".',
                )
            _on_line(seat, carrier, extents, errors)
        elif given is not None:
            errors.add(
                f"{seat.path}.at",
                f"no place of its own, for {schema.called(carrier)} runs along with it",
                quoted(given.text),
                "Take it out; its place follows from starts_at and the spans.",
            )
        else:
            _within(f"{seat.path}.on", center, carrier, extents, errors)


def _within(
    place: str, center: float, carrier: str, extents: Mapping[str, Extent], errors: Errors
) -> None:
    low, high = extents.get(carrier, (center, center))
    if not low - SLACK <= center <= high + SLACK:
        errors.add(
            place,
            f"a place on {schema.called(carrier)}, which runs from {feet_inches(low)} to "
            f"{feet_inches(high)} along the line",
            feet_inches(center),
            "Measure again where the two meet.",
        )


def _post(
    post: Section,
    members: Members,
    extents: Mapping[str, Extent],
    posts: dict[str, tuple[str, float]],
    errors: Errors,
) -> None:
    carrier = post.words["rests_on"]
    known = posts.get(post.path)
    if carrier.startswith("posts.") and known:
        posts.setdefault(carrier, known)
    if carrier not in members or members[carrier].kind not in ("walls", "beams", "joists"):
        return
    on_joists = members[carrier].kind == "joists"
    if "at" in post.numbers:
        _on_line(post, carrier, extents, errors)
    elif known is None and any(
        section.kind == "beams" and _own_extent(section) is None for section in members.values()
    ):
        # One of those may stand on it.
        return
    elif known is None or known[0] != direction(carrier, members):
        errors.add(
            f"{post.path}.at",
            f"the place along {schema.called(carrier)} where it stands",
            "nothing",
            'Write at = "7 ft 3 in".',
        )
    else:
        _within(f"{post.path}.rests_on", known[1], carrier, extents, errors)
    _across(post, carrier, on_joists, members, errors)


def _standing(
    section: Section, members: Members, extents: Mapping[str, Extent], errors: Errors
) -> None:
    """See to a wall or a point load."""
    carrier = section.words["rests_on"]
    if carrier not in members:
        return
    on_joists = members[carrier].kind == "joists"
    runs_otherwise = direction(section.path, members) not in ("", direction(carrier, members))
    if section.kind == "walls" and direction(carrier, members) and runs_otherwise:
        errors.add(
            f"{section.path}.rests_on",
            "a line that runs in the same direction",
            f"{carrier}, which runs {direction(carrier, members) or 'nowhere'}",
            "Enter a wall that crosses what is below as what it brings to each: [points.p1].",
        )
        return
    _on_line(section, carrier, extents, errors)
    if on_joists and section.words.get("along") == "whole":
        errors.add(
            f"{section.path}.along",
            "its extent along the line, for it stands on joists",
            '"whole"',
            'Write from = "5 ft" and to = "13 ft 6 in".',
        )
    _across(section, carrier, on_joists, members, errors)


def _across(
    section: Section, carrier: str, on_joists: bool, members: Members, errors: Errors
) -> None:
    given = section.numbers.get("across")
    if on_joists and given is None:
        errors.add(
            f"{section.path}.across",
            f"how far along {schema.called(carrier)} it stands, from their first support",
            "nothing",
            'Write across = "4 ft 2 in".',
        )
    elif on_joists and given is not None:
        low, high = _reach(members[carrier])
        if given.number < low - SLACK or given.number > high + SLACK:
            errors.add(
                f"{section.path}.across",
                f"a place on {schema.called(carrier)}, from {feet_inches(low)} to "
                f"{feet_inches(high)}",
                quoted(given.text),
                f'Write across = "{feet_inches(high / 2)}".',
            )
    elif given is not None:
        errors.add(
            f"{section.path}.across",
            "joists to stand on, for a place along joists",
            quoted(carrier),
            "Take it out.",
        )


def _reach(field: Section) -> Extent:
    """Return how far joists reach, from their first support."""
    if "span" in field.numbers:
        length = field.numbers["span"].number
    else:
        spans = field.inside.get("spans", {}).values()
        length = sum(entry.number for entry in spans if isinstance(entry, Entry))
    past = [field.numbers.get(f"overhang_{end}") for end in ("start", "end")]
    before, beyond = (entry.number if entry else 0.0 for entry in past)
    return -before, length + beyond


def the_work(members: Members, errors: Errors) -> None:
    """See that what is new, removed and replaced fits together."""
    for section in members.values():
        if "replaces" in section.words:
            _replaces(section, members, errors)
        if section.kind in (*graph.FIELDS, "points") or stands_of(section) == "new":
            continue
        new = [
            carrier
            for carrier in _carriers(section)
            if carrier in members
            and stands_of(members[carrier]) == "new"
            and "replaces" not in members[carrier].words
        ]
        if new and stands_of(section) == "as found" and _any_history(members):
            errors.add(
                f"{section.path}.stands",
                f"new, for it rests on {new[0]}, which is new",
                quoted("as found"),
                'Write stands = "new", or say in what is new what it replaces.',
            )
    for section in members.values():
        if section.kind in graph.FIELDS:
            _cut(section, members, errors)


def _any_history(members: Members) -> bool:
    return any("replaces" in section.words for section in members.values())


def _carriers(section: Section) -> Iterator[str]:
    yield from graph.supports(section)


def _replaces(beam: Section, members: Members, errors: Errors) -> None:
    wall = beam.words["replaces"]
    place = f"{beam.path}.replaces"
    walls = [path for path in members if path.startswith("walls.")]
    if not wall:
        return
    if wall not in walls:
        errors.add(
            place, "a wall of this file", quoted(wall), f"Write one of: {', '.join(walls[:8])}."
        )
        return
    if stands_of(beam) != "new":
        errors.add(
            f"{beam.path}.stands",
            "new, for a beam that takes the place of a wall",
            quoted(stands_of(beam)),
            'Write stands = "new".',
        )
    if direction(wall, members) != direction(beam.path, members):
        errors.add(
            place,
            "a wall that runs in its own direction",
            f"{wall}, which runs {direction(wall, members)}",
            'Write direction = "across" in both, or in neither.',
        )
    extent = _own_extent(members[wall])
    if extent is None or _own_extent(beam) is None:
        if extent is None:
            errors.add(
                f"{wall}.from",
                f"where it begins and ends, for {schema.called(beam.path)} takes a stretch of it",
                "nothing",
                'Write from = "0 ft" and to = "24 ft".',
            )
        return
    low, high = ends_of(beam)
    if low < extent[0] - SLACK or high > extent[1] + SLACK:
        errors.add(
            place,
            f"a stretch of {schema.called(wall)}, which runs from {feet_inches(extent[0])} to "
            f"{feet_inches(extent[1])}",
            f"one from {feet_inches(low)} to {feet_inches(high)}, center to center of bearings",
            "Measure again, or let the wall run further.",
        )


def _cut(field: Section, members: Members, errors: Errors) -> None:
    """Refuse to cut what may not be cut, and ties of rafters without another tie."""
    flush = [
        beam.path
        for beam in members.values()
        if beam.kind == "beams"
        and beam.words.get("setting") == "flush"
        and stands_of(beam) == "new"
        and {beam.path, beam.words.get("replaces")} & set(graph.supports(field))
    ]
    if flush and field.kind == "trusses":
        errors.add(
            f"{field.path}.rests_on",
            "supports below the trusses, which are never cut",
            f"{flush[0]}, a flush beam",
            'Write setting = "dropped" for the beam, or bring a design of the truss designer.',
        )
    if flush and "ties" in field.words and "tie" not in field.words:
        errors.add(
            f"{field.path}.tie",
            f"what ties {schema.called(field.words['ties'])} once {flush[0]} cuts these joists",
            "nothing",
            'Write tie = "strap across the beam at each joist", as the engineer designs it.',
        )
    rafters = field.words.get("ties")
    if rafters and rafters not in members:
        errors.add(
            f"{field.path}.ties",
            "rafters of this file",
            quoted(rafters),
            'Write ties = "rafters.north".',
        )
    for wall in field.words.get("does_not_bear_on", ()):
        if wall and (wall not in members or wall in graph.supports(field)):
            errors.add(
                f"{field.path}.does_not_bear_on",
                "walls of this file on which it does not rest",
                quoted(wall),
                'Write does_not_bear_on = ["walls.kitchen"].',
            )
    for carrier in field.words.get("held_down", ()):
        if carrier and carrier not in graph.supports(field):
            errors.add(
                f"{field.path}.held_down",
                "supports on which it rests",
                quoted(carrier),
                f'Write held_down = ["{next(iter(graph.supports(field)), GROUND)}"].',
            )
