"""The house in one state of the work: which members stand, and what each then rests on."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from graphlib import CycleError, TopologicalSorter

from calclib.errors import InputError, message
from calclib.job import graph
from calclib.job.contents import Section
from calclib.job.graph import Sections
from calclib.job.schema import GROUND

AS_FOUND, FINISHED = "as_found", "finished"
SHORING_UP, WALL_OUT, POSTS_IN, BEAM_UP = "shoring_up", "wall_out", "posts_in", "beam_up"
JOISTS_HUNG, SHORING_OUT = "joists_hung", "shoring_out"
NAMES = {
    AS_FOUND: "as found",
    SHORING_UP: "shoring up",
    WALL_OUT: "wall out",
    POSTS_IN: "posts in",
    BEAM_UP: "beam up",
    JOISTS_HUNG: "joists hung",
    SHORING_OUT: "shoring out",
    FINISHED: "finished",
}
# What a section stands for when it does not say.
STANDS = "as found"


@dataclass(frozen=True)
class State:
    """The house in one state.

    Attributes
    ----------
    key : str
        The part of a check's id that stands for the state.
    name : str
        The same in words.
    members : mapping of str to Section
        What stands, by path.
    in_place_of : mapping of str to tuple of str
        For a wall the beams that took a stretch of it; for a beam that does not stand yet the
        wall that it will replace.
    under : mapping of str to frozenset of str
        For each beam that takes the place of a wall what it stands on, down to the ground.
    taken : frozenset of str
        Members taken out by way of trial.
    """

    key: str
    name: str
    members: Mapping[str, Section]
    in_place_of: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    under: Mapping[str, frozenset[str]] = field(default_factory=dict)
    taken: frozenset[str] = frozenset()

    def carriers(self, path: str) -> tuple[str, ...]:
        """Return every member on which a member may rest in this state, or the ground.

        Parameters
        ----------
        path : str

        Returns
        -------
        tuple of str
            Also what does not stand, when nothing took its place.
        """
        found: dict[str, None] = {}
        for carrier in graph.supports(self.members[path]):
            for actual in self.actual(carrier, path):
                found[actual] = None
        return tuple(found)

    def actual(self, carrier: str, path: str) -> tuple[str, ...]:
        """Return the members that stand where a member names a carrier."""
        # What a beam stands on does not rest on the beam.
        others = tuple(
            other
            for other in self.in_place_of.get(carrier, ())
            if path not in self.under.get(other, ())
        )
        if carrier in self.members and carrier not in others:
            return (carrier, *others)
        return others or (carrier,)

    def stands(self, path: str) -> bool:
        """Tell whether a carrier is there."""
        return path == GROUND or (path in self.members and path not in self.taken)

    def order(self) -> tuple[str, ...]:
        """Return its members from the top down."""
        sorter: TopologicalSorter[str] = TopologicalSorter()
        for path in self.members:
            sorter.add(path)
            for carrier in self.carriers(path):
                if carrier in self.members:
                    sorter.add(carrier, path)
        try:
            return tuple(sorter.static_order())
        except CycleError as error:
            circle = " > ".join(error.args[1][:12])
            raise InputError(
                message(f"the house {self.name}", "a path to the ground", f"a circle: {circle}",
                        'Let one of them rest on the ground: rests_on = "ground".')
            ) from None  # fmt: skip


def stands_of(section: Section) -> str:
    """Return what a section says of its part in the work."""
    return str(section.words.get("stands", STANDS))


def has_history(sections: Sections) -> bool:
    """Tell whether the file says what stood before the work."""
    return any(
        stands_of(section) != STANDS or "replaces" in section.words
        for section in graph.members(sections).values()
    )


def _replacing(sections: Sections) -> dict[str, str]:
    return {
        beam.path: str(beam.words["replaces"])
        for beam in sections.get("beams", {}).values()
        if "replaces" in beam.words
    }


def as_found(sections: Sections) -> State:
    """Return the house before the work.

    Parameters
    ----------
    sections : mapping
        As a job holds them.

    Returns
    -------
    State
    """
    members = {
        path: section
        for path, section in graph.members(sections).items()
        if stands_of(section) != "new"
    }
    return State(
        AS_FOUND,
        NAMES[AS_FOUND],
        members,
        {beam: (wall,) for beam, wall in _replacing(sections).items() if beam not in members},
    )


def finished(sections: Sections) -> State:
    """Return the house after the work.

    Parameters
    ----------
    sections : mapping
        As a job holds them.

    Returns
    -------
    State
    """
    members = {
        path: section
        for path, section in graph.members(sections).items()
        if stands_of(section) != "removed"
    }
    beams: dict[str, tuple[str, ...]] = {}
    for beam, wall in _replacing(sections).items():
        beams[wall] = (*beams.get(wall, ()), beam)
    under = {beam: _below(beam, members) for each in beams.values() for beam in each}
    return State(FINISHED, NAMES[FINISHED], members, beams, under)


def _below(beam: str, members: Mapping[str, Section]) -> frozenset[str]:
    found: set[str] = set()
    ahead = [beam]
    while ahead:
        for carrier in graph.supports(members[ahead.pop()]):
            if carrier in members and carrier not in found:
                found.add(carrier)
                ahead.append(carrier)
    return frozenset(found)


def without(state: State, paths: frozenset[str]) -> State:
    """Return a state with members taken out by way of trial.

    Parameters
    ----------
    state : State
    paths : frozenset of str
        Members of it.

    Returns
    -------
    State
    """
    return replace(state, name=f"{state.name}, without {len(paths)}", taken=state.taken | paths)
