"""Fields of joists, rafters and trusses: into which strips they fall, what each hands down."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Any

from calclib.job import graph
from calclib.job.contents import Section
from calclib.job.lines import SAME_PLACE, Inputs, Stretch, earlier, later, place_further_on
from calclib.job.member import LoadRow
from calclib.job.schema import called
from calclib.job.state import State, stands_of
from calclib.loads.takedown import (
    far_share,
    near_share,
    part_of_load,
    place_in_run,
    strip_reaction,
    sum_of_lengths,
)
from calclib.mechanics import Beam, Line, Point, Support, solve
from calclib.trace import Value, step
from calclib.units import feet_inches, show

OVERHANGS = ("start overhang", "end overhang")


@dataclass(frozen=True, eq=False)
class Strip:
    """A part of a field in which all joists are alike, from one end of a joist to the other.

    Attributes
    ----------
    section : Section
        The field.
    start, end : Value [in]
        Along the line of its supports.
    bays : tuple of Value [in]
        Spans and overhangs, from one end to the other.
    bay_names : tuple of str
    marks : tuple of str
        What carries it where a bay begins or ends; empty at a free end.
    before : Value or None [in]
        Distance from the field's first support to the strip's left end; None for zero.
    ahead : Value or None [in]
        Overhang past the field's first support, when the strip begins with it.
    cut_at : tuple of str
        The beams at which its joists were cut.
    last : bool
        Whether it ends where the field does.
    lost : tuple of str
        Carriers that it names and that do not stand.
    """

    section: Section
    start: Value
    end: Value
    bays: tuple[Value, ...]
    bay_names: tuple[str, ...]
    marks: tuple[str, ...]
    before: Value | None = None
    ahead: Value | None = None
    cut_at: tuple[str, ...] = ()
    last: bool = True
    lost: tuple[str, ...] = ()

    @property
    def pattern(self) -> tuple[int, ...]:
        """The marks that are supports, counted from 0."""
        return tuple(place for place, mark in enumerate(self.marks) if mark)

    @property
    def carriers(self) -> tuple[str, ...]:
        """What carries it, from one end to the other."""
        return tuple(mark for mark in self.marks if mark)

    @property
    def is_simple(self) -> bool:
        """Whether it is one span between two supports."""
        return len(self.bays) == 1 and len(self.carriers) == 2

    @property
    def stands(self) -> bool:
        """Whether its supports hold it."""
        return len(self.carriers) > 1

    @property
    def length(self) -> float:
        """Its extent along the line [in]."""
        return self.end.at() - self.start.at()


def _bays(section: Section, inputs: Inputs) -> tuple[list[Value], list[str]]:
    """Return the spans and overhangs of a field as written, with their names."""
    if "span" in section.numbers:
        bays, names = [inputs[f"{section.path}.span"]], ["span"]
    else:
        spans = section.inside["spans"]
        bays = [inputs[item.path] for item in spans.values()]  # type: ignore[union-attr]
        names = list(spans)
    if "overhang_start" in section.numbers:
        bays.insert(0, inputs[f"{section.path}.overhang_start"])
        names.insert(0, OVERHANGS[0])
    if "overhang_end" in section.numbers:
        bays.append(inputs[f"{section.path}.overhang_end"])
        names.append(OVERHANGS[1])
    return bays, names


def field_stretch(section: Section, stretches: Mapping[str, Stretch | None]) -> Stretch:
    """Return where a field begins and ends along its supports."""
    own = stretches[section.path]
    if own is not None:
        return own
    found = [stretches.get(carrier) for carrier in graph.supports(section)]
    return next(stretch for stretch in found if stretch is not None)


def _pieces(
    section: Section, state: State, stretches: Mapping[str, Stretch | None]
) -> Iterator[tuple[Value, Value, tuple[str, ...]]]:
    """Yield the parts of a field that rest on the same members: start, end, carriers."""
    start, end = field_stretch(section, stretches)
    carriers = graph.supports(section)
    edges = [start, end]
    for carrier in carriers:
        others = state.actual(carrier, section.path)
        if others == (carrier,):
            continue
        for other in others:
            stretch = stretches.get(other)
            if other != carrier and stretch is not None:
                edges += stretch
    inner = sorted(
        (edge for edge in edges[2:] if start.at() < edge.at() < end.at()), key=lambda e: e.at()
    )
    places = [start]
    for edge in [*inner, end]:
        if edge.at() - places[-1].at() > SAME_PLACE or edge is end:
            places.append(edge)
    for low, high in pairwise(places):
        middle = (low.at() + high.at()) / 2
        yield (
            low,
            high,
            tuple(
                actual_at(state, carrier, section.path, middle, stretches) for carrier in carriers
            ),
        )


def actual_at(
    state: State,
    carrier: str,
    path: str,
    place: float,
    stretches: Mapping[str, Stretch | None],
) -> str:
    """Return what carries a member at a place where it names a carrier.

    Parameters
    ----------
    state : State
    carrier : str
        As the member names it.
    path : str
        The member.
    place : float [in]
        Along the carrier's line.
    stretches : mapping of str to (Value, Value) or None
        Where each member lies.

    Returns
    -------
    str
        Path of a member, which need not stand, or the ground.
    """
    for other in state.actual(carrier, path):
        stretch = stretches.get(other)
        if other == carrier:
            continue
        if carrier not in state.members:
            if (
                stretch is None
                or stretch[0].at() - SAME_PLACE <= place <= stretch[1].at() + SAME_PLACE
            ):
                return other
        elif stretch is not None and stretch[0].at() < place < stretch[1].at():
            return other
    return carrier


def strips_of(
    section: Section, state: State, stretches: Mapping[str, Stretch | None], inputs: Inputs
) -> tuple[Strip, ...]:
    """Return the strips of a field in a state.

    Parameters
    ----------
    section : Section
        Of joists, rafters or trusses.
    state : State
    stretches : mapping of str to (Value, Value) or None
        Where each member lies along its line.
    inputs : mapping of str to Value

    Returns
    -------
    tuple of Strip
        Along the line, and in each part from the first support to the last. A strip that lost
        its supports is among them.
    """
    bays, names = _bays(section, inputs)
    continuous = section.words.get("over_supports") == "continuous"
    found: list[Strip] = []
    whole = field_stretch(section, stretches)
    for low, high, carriers in _pieces(section, state, stretches):
        marks = list(carriers)
        if names[0] == OVERHANGS[0]:
            marks.insert(0, "")
        if names[-1] == OVERHANGS[1]:
            marks.append("")
        cuts = [
            place
            for place in range(1, len(marks) - 1)
            if _is_support_inside(marks, place)
            and (not continuous or is_cut_over(state, marks[place]))
        ]
        ahead = bays[0] if names[0] == OVERHANGS[0] else None
        for first, last in pairwise([0, *cuts, len(bays)]):
            inner = [bay for place, bay in enumerate(bays[:first]) if names[place] != OVERHANGS[0]]
            strip = Strip(
                section,
                low,
                high,
                tuple(bays[first:last]),
                tuple(names[first:last]),
                tuple(marks[first : last + 1]),
                sum_of_lengths(*inner) if inner else None,
                ahead if first == 0 else None,
                tuple(marks[cut] for cut in (first, last) if continuous and cut in cuts),
                high is whole[1],
            )
            found.append(_without_lost(strip, state))
    return tuple(found)


def _is_support_inside(marks: Sequence[str], place: int) -> bool:
    """Tell whether spans, not overhangs, lie on both sides of a mark."""
    left, right = marks[:place], marks[place + 1 :]
    return any(left) and any(right)


def is_cut_over(state: State, carrier: str) -> bool:
    """Tell whether joists that ran on over a carrier are cut at it in a state."""
    section = state.members.get(carrier)
    return (
        section is not None
        and section.kind == "beams"
        and section.words.get("setting") == "flush"
        and stands_of(section) == "new"
    )


def _without_lost(strip: Strip, state: State) -> Strip:
    """Return a strip after the supports that do not stand: longer spans, or overhangs."""
    marks = [mark if mark and state.stands(mark) else "" for mark in strip.marks]
    if marks == list(strip.marks):
        return strip
    lost = tuple(mark for mark in strip.marks if mark and not state.stands(mark))
    bays, names = list(strip.bays), list(strip.bay_names)
    for place in range(len(marks) - 2, 0, -1):
        if not marks[place]:
            bays[place - 1 : place + 1] = [sum_of_lengths(bays[place - 1], bays[place])]
            names[place - 1 : place + 1] = [f"{names[place - 1]} + {names[place]}"]
            del marks[place]
    return replace(strip, bays=tuple(bays), bay_names=tuple(names), marks=tuple(marks), lost=lost)


def _strip_sentence(arguments: Any, results: Any, case: int | None) -> str:
    parts = ", ".join(show(float(result), "plf") for result in results)
    return f"Line loads at the supports of a strip, from its exact solution: {parts}."


def _row_of(arguments: Any, unit: str) -> list[tuple[str, str]]:
    return [("w" if unit == "plf" else "R", unit) for _ in arguments]


@step(
    "the line loads at the supports of a strip of joists",
    lambda bays, pattern, loads: _row_of(pattern, "plf"),
    sentence=_strip_sentence,
)
def strip_reactions(
    bays: Sequence[Any], pattern: Sequence[int], loads: Sequence[Any]
) -> tuple[float, ...]:
    """Return the reactions of a strip of joists, per width of strip.

    Parameters
    ----------
    bays : sequence of float [in]
        Spans and overhangs from one end to the other.
    pattern : sequence of int
        Which of their ends are supports.
    loads : sequence of float or None [lbf/in^2]
        Uniform load on each bay; None for a bay without.
    """
    beam, ends = _strip(bays, pattern)
    lines = [
        Line(low, high, load, load)
        for low, high, load in zip(ends[:-1], ends[1:], loads, strict=True)
        if load is not None
    ]
    return tuple(float(each) for each in solve(beam, {"q": lines}).curves.reactions[0])


def _across_sentence(arguments: Any, results: Any, case: int | None) -> str:
    place = arguments[2]
    return (
        f"What a load {feet_inches(float(place.at()))} from the end of the strip puts on its "
        "supports, from the exact solution."
    )


@step(
    "the shares of the supports of a strip in a load on it",
    lambda bays, pattern, place, size: _row_of(pattern, size.unit),
    sentence=_across_sentence,
)
def strip_shares(
    bays: Sequence[Any], pattern: Sequence[int], place: Any, size: Any
) -> tuple[float, ...]:
    """Return what a load at one place along the joists puts on each support.

    Parameters
    ----------
    bays : sequence of float [in]
    pattern : sequence of int
        Which of their ends are supports.
    place : float [in]
        From the strip's left end.
    size : float [lbf or lbf/in]
        A point load, or a line load that crosses the joists.
    """
    beam, ends = _strip(bays, pattern)
    at = min(max(place, 0.0), ends[-1])
    reactions = solve(beam, {"P": [Point(at, 1.0)]}).curves.reactions[0]
    return tuple(float(each) * size for each in reactions)


def _strip(bays: Sequence[float], pattern: Sequence[int]) -> tuple[Beam, list[float]]:
    ends = [0.0]
    for bay in bays:
        ends.append(ends[-1] + bay)
    return Beam(length=ends[-1], supports=[Support(ends[i]) for i in pattern], EI=1.0), ends


def place_in_strip(strip: Strip, across: Value) -> Value:
    """Return a distance from the field's first support as one from the strip's left end."""
    if strip.before is not None:
        return place_in_run(across, strip.before)  # type: ignore[no-any-return]
    if strip.ahead is not None:
        return place_further_on(across, strip.ahead)  # type: ignore[no-any-return]
    return across


def covers(strip: Strip, across: Value) -> bool:
    """Tell whether a place along the joists lies on a strip."""
    place = across.at() - (strip.before.at() if strip.before is not None else 0.0)
    place += strip.ahead.at() if strip.ahead is not None else 0.0
    length = sum(bay.at() for bay in strip.bays)
    # What stands over a cut rests on the strip before it.
    first = -SAME_PLACE if strip.before is None else SAME_PLACE
    return first <= place <= length + SAME_PLACE


def handed_by_strip(
    strip: Strip,
    area_loads: Mapping[str, Value],
    unbalanced: Sequence[tuple[str, Value]],
    landed: Sequence[LoadRow],
    inputs: Inputs,
) -> Iterator[tuple[str, LoadRow]]:
    """Yield what a strip puts on each of its supports: carrier, row.

    Parameters
    ----------
    strip : Strip
        One that stands.
    area_loads : mapping of str to Value [lbf/in^2]
        By source, on the plan.
    unbalanced : sequence of (str, Value) [lbf/in^2]
        Ways in which snow lies on it when it is not balanced.
    landed : sequence of LoadRow
        What stands on the field.
    inputs : mapping of str to Value
    """
    path, name = strip.section.path, called(strip.section.path)
    spacing, first = _joists(strip.section, inputs)

    def row(source: str, size: Value, span: str, way: str = "") -> LoadRow:
        words = name + (f", {_span_words(span)}" if span else "")
        return LoadRow(
            source, path, words, size, strip.start, strip.end, spacing=spacing, first=first, way=way
        )

    named = "spans" in strip.section.inside
    ways = [("S", q, way) for way, q in unbalanced]
    for source, q, way in [*((source, q, "") for source, q in area_loads.items()), *ways]:
        if strip.is_simple:
            size = strip_reaction(q, strip.bays[0])
            for carrier in strip.carriers:
                yield carrier, row(source, size, strip.bay_names[0] if named else "", way)
            continue
        every = range(len(strip.bays))
        for on in [[bay] for bay in every] if source == "L" else [list(every)]:
            loads = tuple(q if bay in on else None for bay in every)
            sizes = strip_reactions(strip.bays, strip.pattern, loads)
            for carrier, size in zip(strip.carriers, sizes, strict=True):
                span = strip.bay_names[on[0]] if source == "L" else ""
                yield carrier, row(source, size, span, way)
    for load in landed:
        if covers(strip, load.across):
            yield from _passed_on(strip, load)


def _span_words(name: str) -> str:
    return name if name in OVERHANGS else f"span {name}"


def _joists(section: Section, inputs: Inputs) -> tuple[Value | None, Value | None]:
    first = inputs.get(f"{section.path}.first_joist")
    return (inputs[f"{section.path}.spacing"], first) if first is not None else (None, None)


def clipped(load: LoadRow, strip: Strip) -> LoadRow | None:
    """Return the part of a load on a strip's stretch of the line, if there is any."""
    if load.is_point:
        at = load.start.at()
        inside = strip.start.at() - SAME_PLACE <= at < strip.end.at() - SAME_PLACE
        return load if inside or (strip.last and at >= strip.end.at() - SAME_PLACE) else None
    low, high = later(load.start, strip.start), earlier(load.end, strip.end)
    if high.at() - low.at() <= SAME_PLACE:
        return None
    return replace(load, start=low, end=high)


def _passed_on(strip: Strip, load: LoadRow) -> Iterator[tuple[str, LoadRow]]:
    part = clipped(load, strip)
    if part is None:
        return
    part = replace(part, across=None)
    place = place_in_strip(strip, load.across)
    if strip.is_simple:
        lever = near_share(strip.bays[0], place), far_share(strip.bays[0], place)
        shares = tuple(part_of_load(load.size, share) for share in lever)
    else:
        shares = strip_shares(strip.bays, strip.pattern, place, load.size)
    for carrier, size in zip(strip.carriers, shares, strict=True):
        yield carrier, replace(part, size=size)
