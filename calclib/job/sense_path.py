"""What a job file must make sense of about the way down: carriers, circles, places."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import islice

from calclib.errors import did_you_mean, quoted
from calclib.job import graph
from calclib.job.contents import Section
from calclib.job.errors import Errors
from calclib.job.graph import Sections
from calclib.job.schema import GROUND

# What each kind of member may rest on, beside the ground.
CARRIERS = {
    "joists": ("walls", "beams"),
    "rafters": ("walls", "beams"),
    "trusses": ("walls", "beams"),
    "points": ("walls", "beams", "posts", "joists"),
    "walls": ("walls", "beams", "joists", "footings", "slabs"),
    "beams": ("posts", "walls", "beams", "footings"),
    "posts": ("posts", "walls", "beams", "joists", "footings", "slabs"),
    "footings": (),
    "slabs": (),
}
# A longer search for what was meant, or for more circles, takes too long.
MOST_NAMES = 100
MOST_CIRCLES = 5


def surfaces_carried(sections: Sections, errors: Errors) -> None:
    """See that each field carries a surface of this file, and each surface is carried."""
    surfaces = sections.get("surfaces", {})
    fields = [field for kind in graph.FIELDS for field in sections.get(kind, {}).values()]
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
                kinds = " or ".join(CARRIERS[kind])
                errors.add(
                    place,
                    f"one of the {kinds} of this file, or {GROUND}" if kinds else f"the {GROUND}",
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
