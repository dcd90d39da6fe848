"""The house as a graph: what rests on what, and the order in which loads go down."""

from __future__ import annotations

from collections.abc import Mapping
from graphlib import CycleError, TopologicalSorter

from calclib.job.contents import Section

FIELDS = ("rafters", "trusses", "joists")
MEMBERS = (*FIELDS, "points", "walls", "beams", "posts", "footings", "slabs")

Sections = Mapping[str, Mapping[str, Section]]


def members(sections: Sections) -> dict[str, Section]:
    """Return every member that carries or hands on load, by path.

    Parameters
    ----------
    sections : mapping
        As a job holds them.

    Returns
    -------
    dict of str to Section
    """
    return {
        section.path: section for kind in MEMBERS for section in sections.get(kind, {}).values()
    }


def supports(section: Section) -> tuple[str, ...]:
    """Return the paths of what a member rests on, in order.

    Parameters
    ----------
    section : Section
        A member.

    Returns
    -------
    tuple of str
    """
    if "supports" in section.inside:
        seats = section.inside["supports"].values()
        return tuple(str(seat.words["on"]) for seat in seats if isinstance(seat, Section))
    given = section.words["rests_on"]
    return given if isinstance(given, tuple) else (str(given),)


def order(sections: Sections) -> tuple[str, ...]:
    """Return the members from the top down: each stands before what it rests on.

    Parameters
    ----------
    sections : mapping
        As a job holds them.

    Returns
    -------
    tuple of str

    Raises
    ------
    graphlib.CycleError
        When members rest on each other in a circle.
    """
    return tuple(_sorter(members(sections)).static_order())


def circle(sections: Sections) -> tuple[str, ...]:
    """Return the members of a circle of supports, each resting on the next.

    Parameters
    ----------
    sections : mapping
        As a job holds them, or as they were read.

    Returns
    -------
    tuple of str
        The first member stands at the end again; empty when there is no circle.
    """
    try:
        _sorter(members(sections)).prepare()
    except CycleError as error:
        return tuple(error.args[1])
    return ()


def _sorter(found: Mapping[str, Section]) -> TopologicalSorter[str]:
    sorter: TopologicalSorter[str] = TopologicalSorter()
    for path, section in found.items():
        sorter.add(path)
        for support in supports(section):
            # Not the ground.
            if support in found:
                sorter.add(support, path)
    return sorter
