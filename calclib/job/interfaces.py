"""Every place where one member hands its load to another, and the check that stands for it."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import replace

from calclib.job import graph
from calclib.job.bent import Bent, Design
from calclib.job.carry import Flow
from calclib.job.contents import Section
from calclib.job.schema import GROUND, called
from calclib.job.studs import has_studs, plate_of
from calclib.job.walls import wall_checks
from calclib.timber.bearing import (
    MASONRY,
    WOOD,
    Surface,
    end_seat,
    least_bearing,
    strength_surface,
    surface,
)
from calclib.timber.checks import bearing_check
from calclib.trace import Check, Value, check
from calclib.units import inch

# IRC 2018 R602.3.3: joists farther apart, on studs as far apart, stand near the studs.
FAR_STUDS, FAR_JOISTS = 24 * inch, 16 * inch
CLAUSE = "NDS 2018 3.10.2; IRC R502.6, R602.3"


def interface_checks(flow: Flow, bents: Sequence[Bent]) -> Iterator[Check]:
    """Yield a check for each hand-over of the finished house that has none yet.

    Parameters
    ----------
    flow : Flow
    bents : sequence of Bent
        Beams and joists that were solved.

    Yields
    ------
    Check
        The bearing of joists whose length is entered; one open check for all other ends of a
        member.
    """
    for path in flow.order:
        section = flow.state.members[path]
        takers = [each.taker for each in flow.handings if each.giver == path]
        if section.kind in graph.FIELDS:
            yield from _of_field(flow, section, takers, bents)
        elif section.kind == "walls" and takers and has_studs(section):
            yield from wall_checks(flow, section, takers)
        elif section.kind in ("walls", "points") and takers:
            yield _of_line(section, takers)


def _of_field(
    flow: Flow, section: Section, takers: Sequence[str], bents: Sequence[Bent]
) -> Iterator[Check]:
    """Yield the bearing of joists and rafters where they are not hung."""
    l_b = flow.house.inputs.get(f"{section.path}.bearing")
    joists = [bent for bent in bents if bent.section is section]
    hung = {carrier for strip in flow.strips[section.path] for carrier in strip.cut_at}
    if l_b is not None and joists:
        for bent in joists:
            yield from _of_joist(flow, bent, l_b, {called(path): path for path in takers}, hung)
        return
    left = [taker for taker in takers if taker not in hung]
    if left:
        what = called(section.path)
        yield check(
            f"{flow.state.key}/{section.path}/bearing",
            f"Bearing of {what} on {_and(left)}",
            CLAUSE,
            None,
            None,
            questions=(
                f"{what.capitalize()} bear on {_and(left)}: the bearing length was not entered. "
                "The code asks for at least 1-1/2 in on wood and 3 in on masonry.",
            ),
        )


def _of_joist(
    flow: Flow, bent: Bent, l_b: Value, by_name: Mapping[str, str], hung: Collection[str]
) -> Iterator[Check]:
    for place, name in enumerate(bent.model.support_names):
        taker = by_name.get(name, GROUND)
        if taker in hung:
            continue
        on = _below(flow, taker, bent.settings.design)
        made = bearing_check(
            bent.settings.id_of(f"bearing.{name.strip().replace(' ', '_')}"),
            bent.piece,
            bent.reactions[place],
            end_seat(l_b),
            on,
            bent.strength.names,
            title=bent.settings.title("Bearing", f" on {_and([taker])}"),
        ).check
        material = MASONRY if taker == GROUND else WOOD
        yield replace(
            made,
            conditions=(*made.conditions, least_bearing(l_b, material)),
            questions=(*made.questions, *_beside_studs(flow, bent.section, taker)),
        )


def _beside_studs(flow: Flow, field: Section, taker: str) -> tuple[str, ...]:
    """Return the question of joists that may bear too far beside the studs of a wall."""
    wall = flow.state.members.get(taker)
    if wall is None or "spacing" not in wall.numbers:
        return ()
    if wall.numbers["spacing"].number < FAR_STUDS or field.numbers["spacing"].number <= FAR_JOISTS:
        return ()
    return (
        f"Joists at more than 16 in on studs at 24 in: that {called(field.path)} bear within 5 in "
        f"of a stud of {called(taker)}, or a stronger plate, is to be seen (IRC R602.3.3).",
    )


def _below(flow: Flow, taker: str, design: Design) -> Surface | None:
    """Return the wood that joists bear on; None when it is not known."""
    if taker in flow.house.axes:
        on = surface(flow.house.axes[taker].piece)
        return strength_surface(on) if design.method == "LRFD" else on
    wall = flow.state.members.get(taker)
    return plate_of(wall, design) if wall is not None and wall.kind == "walls" else None


def _of_line(section: Section, takers: Sequence[str]) -> Check:
    """Return the open check of a wall or point load on what is below it."""
    what = called(section.path)
    named = "its plates and studs" if section.kind == "walls" else "what spreads it"
    return check(
        f"finished/{section.path}/bearing",
        f"Bearing of {what} on {_and(takers)}",
        CLAUSE,
        None,
        None,
        questions=(
            f"{what.capitalize()} stands on {_and(takers)}: {named} were not entered and are to be "
            "checked for its load.",
        ),
    )


def _and(paths: Sequence[str]) -> str:
    names = [f"the {path}" if path == GROUND else called(path) for path in dict.fromkeys(paths)]
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
