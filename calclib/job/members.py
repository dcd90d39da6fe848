"""The members of a house in one state of the work, each solved with its checks."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from calclib.job.beam import solve_beam, twist_check
from calclib.job.bent import Bent, Design, design_of
from calclib.job.carry import Flow
from calclib.job.contents import Section
from calclib.job.house import on_plan, unbalanced_on
from calclib.job.joist import open_joists, open_trusses, solve_joists
from calclib.job.plan import orientations
from calclib.job.plies import ply_check
from calclib.job.state import AS_FOUND, FINISHED
from calclib.job.under import below_checks
from calclib.trace import Check


def solved_members(flow: Flow, paths: Sequence[str] | None = None) -> Iterator[Bent | Check]:
    """Yield the members of a state with their checks, from the top down.

    Parameters
    ----------
    flow : Flow
    paths : sequence of str, optional
        Which of them; all when not given.
    """
    house, state = flow.house, flow.state
    design = design_of(house.job)
    for path in flow.order if paths is None else paths:
        section = state.members[path]
        if section.kind == "beams":
            beam = solve_beam(
                house.axes[path], flow.landed[path], house.inputs, state.key, design,
                state.members, house.axes,
            )  # fmt: skip
            yield beam
            if state.key == FINISHED and _hangs_on_one_side(flow, path):
                yield twist_check(beam)
            nails = ply_check(beam, flow, design) if state.key == FINISHED else None
            if nails is not None:
                yield nails
        elif section.kind in ("joists", "rafters"):
            yield from _field(flow, section, design)
        elif state.key == FINISHED and section.kind == "trusses":
            yield open_trusses(section, state.key)
        elif state.key != AS_FOUND:
            yield from below_checks(flow, section)


def _field(flow: Flow, section: Section, design: Design) -> Iterator[Bent | Check]:
    house, state = flow.house, flow.state
    if {"species", "grade"} <= set(section.words):
        yield from solve_joists(
            section,
            flow.strips[section.path],
            on_plan(section, house.surfaces[section.words["surface"]], house.inputs),
            unbalanced_on(section, house.surfaces, state.members),
            flow.landed[section.path],
            house.inputs,
            state.key,
            design,
        )
    elif state.key == FINISHED and _is_touched(flow, section):
        yield open_joists(section, state.key)


def _hangs_on_one_side(flow: Flow, path: str) -> bool:
    """Tell whether joists hang on one side only of a flush beam."""
    if flow.state.members[path].words["setting"] != "flush":
        return False
    ways = orientations(flow.house)
    sides = set()
    for field, strips in flow.strips.items():
        for strip in strips:
            if path in strip.carriers:
                place = strip.marks[:: ways[field]].index(path)
                sides |= {"below"} if place else set()
                sides |= {"above"} if place < len(strip.marks) - 1 else set()
    return len(sides) == 1


def _is_touched(flow: Flow, section: Section) -> bool:
    """Tell whether the work changes what a field rests on."""
    return any(strip.cut_at for strip in flow.strips[section.path])
