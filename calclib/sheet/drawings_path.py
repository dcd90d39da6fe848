"""From the load path of a house to the plain data of its plans and bands."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from calclib.job import graph
from calclib.job.carry import Flow
from calclib.job.field import Strip
from calclib.job.plan import Axis, axes_in_plan, levels, orientations
from calclib.job.schema import called as words
from calclib.job.state import has_history, stands_of
from calclib.sheet.display import Display
from calclib.sheet.figures_canvas import Figure
from calclib.sheet.figures_path import PathLink, PathNode, load_path
from calclib.sheet.figures_plan import PlanField, PlanLine, PlanPost, level_plan


def _system(display: Display) -> str:
    return "SI" if display.si else "US"


def load_path_figure(flow: Flow, display: Display) -> Figure:
    """Draw the load path of a state as bands."""
    members = flow.state.members
    nodes = [PathNode(path, words(path), flow.own.get(path, {})) for path in flow.order]
    links = [PathLink(each.giver, each.taker, each.amounts) for each in flow.handings]
    nodes = [node for node in nodes if members[node.id].kind != "points" or node.own]
    return load_path(
        f"path-{flow.state.key}", f"Load path, {flow.state.name}", nodes, links, _system(display)
    )


def plan_figures(flow: Flow, display: Display) -> list[Figure]:
    """Draw each level in plan."""
    found = []
    for name in levels(flow):
        figure = _plan(flow, name, axes_in_plan(flow.house, name), display)
        if figure is not None:
            found.append(figure)
    return found


def _plan(flow: Flow, surface: str, axes: Mapping[str, Axis], display: Display) -> Figure | None:
    # Without a word on what stood before, nothing is called new or as found.
    told = has_history(flow.house.job.sections)
    new = {path for path, each in flow.state.members.items()
           if each.kind == "beams" and (stands_of(each) == "new" or not told)}  # fmt: skip
    ways = orientations(flow.house)
    fields: list[PlanField] = []
    used: dict[str, None] = {}
    for path, strips in flow.strips.items():
        section = flow.state.members[path]
        if section.words["surface"] != surface:
            continue
        for strip in strips:
            marks = _marks(strip, axes, ways[path])
            if marks is None:
                return None
            names = strip.marks[:: ways[path]]
            along = axes[strip.carriers[0]].along
            tributary = []
            for place, mark in enumerate(names):
                if mark in new:
                    tributary.append(_half(marks, names, place))
            spacing = display.number(section.numbers["spacing"].number, "in")
            size = section.words.get("size", "")
            fields.append(
                PlanField(
                    f"{words(path)} {size} at {spacing}".replace("  ", " "),
                    along,
                    strip.start.at(),
                    strip.end.at(),
                    marks,
                    tuple(map(bool, names)),
                    tuple(tributary),
                )
            )
            used |= dict.fromkeys(strip.carriers)
    if not fields:
        return None
    lines = []
    for path in used:
        section = flow.state.members[path]
        kind = "beam" if section.kind == "beams" else "wall"
        axis = axes[path]
        for stretch in _line_parts(path, flow, fields, axes):
            lines.append(
                PlanLine(
                    words(path),
                    kind,
                    stands_of(section) if told else "",
                    axis.along,
                    axis.at,
                    *stretch,
                )
            )
    posts = [
        PlanPost(
            words(on),
            *_plan_spot(axes[path], place.at()),
            stands_of(flow.state.members[on]) if told else "",
        )
        for path in used
        if path.startswith("beams.")
        for on, place in zip(
            graph.supports(flow.state.members[path]), flow.house.seats[path], strict=True
        )
        if on.startswith("posts.")
    ]
    name = words(f"surfaces.{surface}")
    title = f"Plan of {name}, {flow.state.name}"
    key = f"plan-{flow.state.key}-{surface}"
    return level_plan(key, title, lines, fields, posts, _system(display))


def _plan_spot(axis: Axis, place: float) -> tuple[float, float]:
    return (place, axis.at) if axis.along else (axis.at, place)


def _marks(strip: Strip, axes: Mapping[str, Axis], way: int) -> tuple[float, ...] | None:
    """Return where the spans of a strip begin and end in plan, rising."""
    first = next(place for place, mark in enumerate(strip.marks) if mark)
    if any(mark and mark not in axes for mark in strip.marks):
        return None
    found = [axes[strip.marks[first]].at - way * sum(bay.at() for bay in strip.bays[:first])]
    for bay in strip.bays:
        found.append(found[-1] + way * bay.at())
    return tuple(found[::way])


def _half(marks: Sequence[float], names: Sequence[str], place: int) -> tuple[float, float]:
    """Return the stretch of joists that is tributary to a support."""
    low = high = marks[place]
    if place:
        share = 2 if names[place - 1] else 1
        low -= (marks[place] - marks[place - 1]) / share
    if place < len(marks) - 1:
        share = 2 if names[place + 1] else 1
        high += (marks[place + 1] - marks[place]) / share
    return low, high


def _line_parts(
    path: str, flow: Flow, fields: Sequence[PlanField], axes: Mapping[str, Axis]
) -> list[tuple[float, float]]:
    """Return what stands of a line, without the stretches that a beam took."""
    stretch = flow.house.stretches[path]
    if stretch is None:
        near = [each for each in fields if axes[path].at in each.marks] or list(fields)
        return [(min(each.start for each in near), max(each.end for each in near))]
    low, high = stretch[0].at(), stretch[1].at()
    found = []
    for beam in flow.state.in_place_of.get(path, ()):
        taken = flow.house.stretches[beam]
        if taken is not None and path in flow.state.members:
            if taken[0].at() > low:
                found.append((low, taken[0].at()))
            low = max(low, taken[1].at())
    return [*found, (low, high)] if high > low else found
