"""One bent member of the house: what lies on it, its solution, its largest effects."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Any

from calclib.loads.combinations import SOURCE_NAMES, CaseSet, Group
from calclib.mechanics import Beam, Curves, Line, Point, Solution, Support, reactions_by_load, solve
from calclib.trace import Value, step
from calclib.units import feet_inches, show

# Of a spacing: a joist that lies off by rounding only.
NEARLY = 1e-9


@dataclass(frozen=True)
class LoadRow:
    """A load as it is handed from one member to the next.

    Attributes
    ----------
    source : str
        D, L, Lr or S.
    origin : str
        Path of the member or surface that it comes from.
    name : str
        What it is, in words.
    size : Value
        Line load [lbf/in], or point load [lbf] when `end` is None.
    start, end : Value or None [in]
        Along the line of the member; both None for the whole member, `end` None for a point.
    own : bool
        The member's own weight.
    across : Value or None [in]
        On a field of joists, the distance from their first support.
    way : str
        How snow lies when it is not balanced; such rows are further cases, outside the balance.
    spacing, first : Value or None [in]
        Of the row of joists that a line load comes from, and where its first joist lies.
    """

    source: str
    origin: str
    name: str
    size: Any
    start: Any = None
    end: Any = None
    own: bool = False
    across: Any = None
    spacing: Any = None
    first: Any = None
    way: str = ""

    @property
    def is_point(self) -> bool:
        """Whether it acts at one place."""
        return self.start is not None and self.end is None


@dataclass(frozen=True)
class Model:
    """A member on its supports, with its loads.

    Attributes
    ----------
    name : str
    span_names, support_names : tuple of str
        Overhangs count among the spans.
    supports : tuple of Value [in]
        Centers of the supports; None for one at the zero of the member's axis.
    EI : Value [lbf in^2]
    rows : tuple of LoadRow
        Positions along the member's axis.
    length : Value or None [in]
        Of the member, when it goes on past its last support.
    """

    name: str
    span_names: tuple[str, ...]
    support_names: tuple[str, ...]
    supports: tuple[Any, ...]
    EI: Any
    rows: tuple[LoadRow, ...]
    length: Any = None

    @property
    def zero(self) -> str:
        """Where its positions count from, in words."""
        return "the center of the first support" if self.supports[0] is None else "its left end"

    @property
    def shows_joists(self) -> bool:
        """Whether a load on it is known joist by joist."""
        return any(row.first is not None for row in self.rows)


def groups(rows: Sequence[LoadRow], spans: int) -> tuple[Group, ...]:
    """Return the groups in which the rows are switched, in a fixed order."""
    found: list[Group] = []
    for source in ("D", "L", "Lr", "S"):
        here = [row for row in rows if row.source == source]
        if not here:
            continue
        if source == "D":
            found += [Group("D")] if any(not r.own for r in here) else []
            found += [Group("D", "self")] if any(r.own for r in here) else []
        elif source == "L":
            found += [Group("L", "", span if spans > 1 else -1) for span in range(spans)]
        else:
            ways = sorted({row.way for row in here})
            found += [Group(source, way) for way in ways]  # type: ignore[arg-type]
    return tuple(found)


def _beam(model: Model) -> Beam:
    supports = [Support(0.0 if at is None else at) for at in model.supports]
    length = supports[-1].at if model.length is None else model.length
    return Beam(length=length, supports=supports, EI=model.EI)


def _ends(beam: Beam) -> list[float]:
    """Return where its spans, overhangs among them, begin and end."""
    return [0.0, *(end for _, end in beam.spans)]


def _loads(row: LoadRow, low: float, high: float, length: float) -> list[Line | Point]:
    """Return the part of a row between two places, as loads of the solver."""
    if row.is_point:
        start = _onto(row.start, length)
        inside = low <= start < high or (start == high == length)
        return [Point(start, row.size)] if inside else []
    start = 0.0 if row.start is None else _onto(row.start, length)
    end = length if row.end is None else _onto(row.end, length)
    start, end = max(start, low), min(end, high)
    return [Line(start, end, row.size, row.size)] if end > start else []


def _joists(row: LoadRow, low: float, high: float, length: float) -> list[Line | Point]:
    """Return the part of a row between two places, joist by joist where it is known so."""
    if row.first is None or row.is_point:
        return _loads(row, low, high, length)
    start = 0.0 if row.start is None else _onto(row.start, length)
    end = length if row.end is None else _onto(row.end, length)
    count = math.ceil((start - row.first) / row.spacing - NEARLY)
    joists = [row.first + count * row.spacing]
    while joists[-1] + row.spacing <= end + NEARLY * row.spacing:
        joists.append(joists[-1] + row.spacing)
    if joists[0] > end:
        return _loads(row, low, high, length)
    # Each joist brings what lies nearer to it than to its neighbors.
    edges = [start, *((a + b) / 2 for a, b in pairwise(joists)), end]
    return [
        load
        for at, left, right in zip(joists, edges[:-1], edges[1:], strict=True)
        for load in _loads(replace(row, start=at, end=None, size=row.size * (right - left)),
                           low, high, length)
    ]  # fmt: skip


def _onto(place: float, length: float) -> float:
    """Return a place moved onto the member when it lies off by rounding only."""
    if -1e-6 <= place < 0:
        return 0.0
    return length if length < place <= length + 1e-6 else place


def _solve_sentence(arguments: Any, results: Any, case: int | None) -> str:
    solution: Solution = results[0]
    residual = float(abs(solution.residual).max())
    return (
        "Exact solution of the member on unyielding supports, each source by itself "
        f"(sum of forces and moments closes to {residual:.0e} of the load)."
    )


@step(
    "the solution of the member",
    ("solution", ""),
    sentence=_solve_sentence,
    source="EI v'''' = q, integrated exactly",
)
def solution(model: Model) -> Solution:
    """Solve a member once for each of its groups of loads.

    Where joists are known one by one, each group is solved twice: as line loads, then as rows of
    point loads.
    """
    beam = _beam(model)
    return solve(beam, _cases(model, beam, _ends(beam)))


def _parts(
    model: Model, beam: Beam, ends: Sequence[float]
) -> Iterator[tuple[str, int, list[Line | Point]]]:
    """Yield the loads of a member row by row in each group: name of the group, row, loads.

    Twice where joists are known one by one; a group without loads has one part without a row.
    """
    for layout in (_loads, _joists) if model.shows_joists else (_loads,):
        for group in groups(model.rows, len(model.span_names)):
            low, high = (0.0, beam.length) if group.span < 0 else ends[group.span : group.span + 2]
            name = f"{group.source}{group.name}{group.span}{layout.__name__}"
            yield name, -1, []
            for place, row in enumerate(model.rows):
                if (
                    row.source == group.source
                    and (group.source != "D" or row.own == (group.name == "self"))
                    and (group.source == "D" or row.way == group.name)
                ):
                    yield name, place, layout(row, low, high, beam.length)


def _cases(model: Model, beam: Beam, ends: Sequence[float]) -> dict[str, list[Line | Point]]:
    """Return the loads of a member by group; twice where joists are known one by one."""
    cases: dict[str, list[Line | Point]] = {}
    for name, _, loads in _parts(model, beam, ends):
        cases.setdefault(name, []).extend(loads)
    return cases


def solution_by_row(
    model: Model, d: float | None = None, bearings: Sequence[float] = ()
) -> tuple[Solution, tuple[tuple[int, int], ...]]:
    """Solve a member once for each of its rows in each group, plain numbers throughout.

    Parameters
    ----------
    model : Model
        Of plain numbers, with rows of size 1 for what each does by unit of load.
    d : float, optional [in]
        Depth, when loads within it of the supports are left out as in
        `solution_away_from_supports`.
    bearings : sequence of float [in]

    Returns
    -------
    Solution
        A case for each row in each group.
    parts : tuple of (int, int)
        For each case the number of its group, as `solution` counts them, and of its row.
    """
    beam = _beam(model)
    centers, halves = [s.at for s in beam.supports], [bearing / 2 for bearing in bearings]
    numbers: dict[str, int] = {}
    parts, cases = [], {}
    for name, row, loads in _parts(model, beam, _ends(beam)):
        group = numbers.setdefault(name, len(numbers))
        if d is not None:
            loads = [part for load in loads for part in _away(load, centers, halves, d)]
        if loads:
            cases[f"{name}/{row}"] = loads
            parts.append((group, row))
    return solve(beam, cases), tuple(parts)


def _away(
    load: Line | Point, centers: Sequence[float], halves: Sequence[float], d: float
) -> list[Line | Point]:
    """Return what is left of a load when that within a depth of the supports is left out."""
    if isinstance(load, Point):
        share = min(
            min(max(abs(load.at - at) - half, 0.0) / d, 1.0)
            for at, half in zip(centers, halves, strict=True)
        )
        return [Point(load.at, load.P * share)] if share else []
    parts = [(load.start, load.end)]
    for at, half in zip(centers, halves, strict=True):
        low, high = at - half - d, at + half + d
        parts = [
            part
            for start, end in parts
            for part in ((start, min(end, low)), (max(start, high), end))
            if part[1] - part[0] > 1e-9
        ]
    return [Line(start, end, load.w_start, load.w_start) for start, end in parts]


@step(
    "the solution of the member without the loads near its supports",
    ("solution", ""),
    sentence=lambda arguments, results, case: (
        "Exact solution for shear: uniform loads within a depth of a support's face left out, "
        "point loads there by their distance over the depth."
    ),
    source="NDS 2018 3.4.3.1",
)
def solution_away_from_supports(model: Model, d: Any, bearings: Sequence[Any]) -> Solution:
    """Solve a member without what lies within its depth of the faces of its supports."""
    beam = _beam(model)
    ends = _ends(beam)
    centers = [support.at for support in beam.supports]
    halves = [bearing / 2 for bearing in bearings]
    return solve(
        beam,
        {
            name: [part for load in loads for part in _away(load, centers, halves, d)]
            for name, loads in _cases(model, beam, ends).items()
        },
    )


@step("the factors by which line loads and rows of joists are combined", lambda *factors: [
    (f"k_{place}", "") for place in range(2 * len(factors))
])  # fmt: skip
def _twice(*factors: Any) -> Any:
    import numpy as np

    none = [np.zeros_like(factor) for factor in factors]
    return tuple(
        np.concatenate(pair)
        for pair in [*zip(factors, none, strict=True), *zip(none, factors, strict=True)]
    )


def by_layouts(model: Model, cases: CaseSet) -> CaseSet:
    """Return the cases of a member: once with line loads, and again with joists one by one.

    Parameters
    ----------
    model : Model
    cases : CaseSet

    Returns
    -------
    CaseSet
        The same when no joist of the member is known by its place.
    """
    if not model.shows_joists:
        return cases
    return CaseSet(
        (*cases.names, *(f"{name}, joist by joist" for name in cases.names)),
        (*cases.groups, *cases.groups),
        _twice(*cases.factors),
        (*cases.loads_present, *cases.loads_present),
        (*cases.combinations, *cases.combinations),
    )


def _combine(solved: Solution, factors: Sequence[Any]) -> Curves:
    import numpy as np

    return solved.combine(np.stack(factors, axis=-1))


def _zero(solved: Any) -> str:
    """Return where the places of a solution count from."""
    solution = solved.number if isinstance(solved, Value) else solved
    first = solution.curves.beam.supports[0].at
    return "its left end" if first else "the center of the first support"


def _place_sentence(what: str, number: int, at: int, unit: str) -> Any:
    def sentence(arguments: Any, results: Any, case: int | None) -> str:
        value, place = results[number], results[at]
        if case is not None:
            value, place = value[case], place[case]
        return (
            f"{what} {show(float(value), unit)}, {feet_inches(float(place))} "
            f"from {_zero(arguments[0])}."
        )

    return sentence


@step(
    "the largest sagging moment",
    [("M_max", "lbf*ft"), ("x_M", "ft")],
    sentence=_place_sentence("Largest sagging moment", 0, 1, "lbf*ft"),
)
def sagging_moment(solved: Any, factors: Sequence[Any]) -> Any:
    """Return the largest sagging moment of each case and where it occurs."""
    extremes = _combine(solved, factors).moment_extremes.of_member
    return extremes.highest, extremes.highest_at


@step(
    "the largest hogging moment",
    [("M_min", "lbf*ft"), ("x_M", "ft")],
    sentence=_place_sentence("Largest hogging moment (its size)", 0, 1, "lbf*ft"),
)
def hogging_moment(solved: Any, factors: Sequence[Any]) -> Any:
    """Return the size of the largest hogging moment of each case and where it occurs."""
    extremes = _combine(solved, factors).moment_extremes.of_member
    return (-extremes.lowest).clip(0), extremes.lowest_at


@step(
    "the largest shear",
    [("V_max", "lbf"), ("x_V", "ft")],
    sentence=_place_sentence("Largest shear (its size)", 0, 1, "lbf"),
)
def largest_shear(solved: Any, factors: Sequence[Any]) -> Any:
    """Return the size of the largest shear of each case and where it occurs."""
    import numpy as np

    extremes = _combine(solved, factors).shear_extremes.of_member
    down = -extremes.lowest > extremes.highest
    size = np.where(down, -extremes.lowest, extremes.highest)
    return size, np.where(down, extremes.lowest_at, extremes.highest_at)


@step(
    "the largest deflection of a span",
    [("Delta", "in"), ("x_Delta", "ft")],
    sentence=_place_sentence("Largest deflection (its size)", 0, 1, "in"),
)
def largest_deflection(solved: Any, span: int, factors: Sequence[Any]) -> Any:
    """Return the size of the largest deflection of a span, by case, and where it occurs."""
    import numpy as np

    extremes = _combine(solved, factors).deflection_extremes
    high, low = extremes.highest[:, span], -extremes.lowest[:, span]
    up = low > high
    place = np.where(up, extremes.lowest_at[:, span], extremes.highest_at[:, span])
    return np.where(up, low, high), place


def _parts_sentence(arguments: Any, results: Any, case: int | None) -> str:
    dead, short, place = (float(r if case is None else r[case]) for r in results)
    return (
        f"Deflection at {feet_inches(place)} from {_zero(arguments[0])}, where the "
        f"total is largest: dead load {show(dead, 'in')}, the other loads {show(short, 'in')}."
    )


@step(
    "the parts of the largest total deflection",
    [("Delta_D", "in"), ("Delta_st", "in"), ("x_Delta", "ft")],
    sentence=_parts_sentence,
)
def deflection_parts(
    solved: Any, span: int, groups: tuple[Group, ...], factors: Sequence[Any]
) -> Any:
    """Return dead-load and short-term deflection where their total is largest, by case.

    The factors hold the share with which dead load counts; the parts are given without it,
    with the sign that makes the total positive.
    """
    import numpy as np

    total = _combine(solved, factors).deflection_extremes
    high, low = total.highest[:, span], -total.lowest[:, span]
    up = low > high
    place = np.where(up, total.lowest_at[:, span], total.highest_at[:, span])
    is_dead = np.array([group.source == "D" for group in groups])
    table = np.stack(factors, axis=-1)
    dead = solved.combine(np.where(is_dead, np.where(table != 0, 1.0, 0.0), 0.0))
    short = solved.combine(np.where(is_dead, 0.0, table))
    sign = np.where(up, -1.0, 1.0)
    every = np.arange(len(place))
    return (
        sign * dead.deflection(place)[every, every],
        sign * short.deflection(place)[every, every],
        place,
    )


def _reaction_sentence(arguments: Any, results: Any, case: int | None) -> str:
    model: Model = arguments[2]
    name = model.support_names[arguments[1]].replace("_", " ")
    number = results[0] if case is None else results[0][case]
    return f"Reaction at {name}: {show(float(number), 'lbf')}."


@step("the reaction at a support", [("R", "lbf")], sentence=_reaction_sentence)
def reaction(solved: Any, support: int, model: Any, factors: Sequence[Any]) -> Any:
    """Return the reaction of one support in each case."""
    return (_combine(solved, factors).reactions[:, support],)


@dataclass(frozen=True)
class Share:
    """What one load puts on each support: a row of a model, for live load span by span.

    Attributes
    ----------
    row : LoadRow
    span : str
        The span that the live load lies on; empty when it is not told apart.
    on : tuple of Value [lbf]
        One for each support, down positive.
    """

    row: LoadRow
    span: str
    on: tuple[Any, ...]

    @property
    def name(self) -> str:
        """What the load is, with its span and the way in which it lies."""
        span = f", on span {self.span}" if self.span else ""
        return f"{self.row.name}{span}{f', {self.row.way}' if self.row.way else ''}"


def _pieces(model: Model) -> list[tuple[LoadRow, int]]:
    """Return the loads one by one, live load span by span; -1 stands for all spans."""
    spans = len(model.span_names)
    return [
        (row, span)
        for row in model.rows
        for span in (range(spans) if row.source == "L" and spans > 1 else [-1])
    ]


def _row_outputs(model: Model) -> list[tuple[str, str]]:
    return [("R", "lbf") for _ in _pieces(model) for _ in model.supports]


@step("the reactions by origin", _row_outputs)
def reactions_by_row(model: Model) -> Any:
    """Return what each load puts on each support, load by load, from influence lines."""
    beam = _beam(model)
    ends = _ends(beam)
    loads: list[Line | Point] = []
    counts = []
    for row, span in _pieces(model):
        low, high = (0.0, beam.length) if span < 0 else ends[span : span + 2]
        parts = _loads(row, low, high, beam.length)
        counts.append(len(parts))
        loads += parts
    table = reactions_by_load(beam, loads)
    found: list[float] = []
    place = 0
    for count in counts:
        found += [float(number) for number in table[place : place + count].sum(axis=0)]
        place += count
    return tuple(found)


def shares_of(model: Model) -> tuple[Share, ...]:
    """Return what each load puts on each support."""
    flat, count = reactions_by_row(model), len(model.supports)
    return tuple(
        Share(row, "" if span < 0 else model.span_names[span], flat[i * count : (i + 1) * count])
        for i, (row, span) in enumerate(_pieces(model))
    )


def _post_sentence(arguments: Any, results: Any, case: int | None) -> str:
    name, sources, sizes, factors = arguments
    parts = []
    for source, loads, factor in zip(sources, sizes, factors, strict=True):
        share = float(factor.at(case))
        if share:
            amount = show(_adverse(source, [load.at() for load in loads]), "lbf")
            parts.append(
                f"{share:g} x {amount} {SOURCE_NAMES[source]}"
                if share != 1
                else f"{amount} {SOURCE_NAMES[source]}"
            )
    return f"Load on {name}: {' + '.join(parts)} = {show(float(results[0][case]), 'lbf')}."


@step("the load on a post", [("P", "lbf")], sentence=_post_sentence)
def load_on_post(
    name: str, sources: Sequence[str], sizes: Sequence[Sequence[Any]], factors: Sequence[Any]
) -> Any:
    """Return the sum of what lands on a post in each load case.

    Parameters
    ----------
    name : str
    sources : sequence of str
        D, L, Lr, S, one for each group.
    sizes : sequence of sequence of float [lbf]
        The loads of each group.
    factors : sequence of array
        For each group its factor over the cases.
    """
    return (
        sum(
            _adverse(source, group) * factor
            for source, group, factor in zip(sources, sizes, factors, strict=True)
        ),
    )


def _wall_sentence(arguments: Any, results: Any, case: int | None) -> str:
    name, sources, stretches, factors = arguments
    sums = [
        [
            float(factor.at(case)) * _adverse(source, [load.at() for load in loads])
            for source, loads, factor in zip(sources, sizes, factors, strict=True)
        ]
        for sizes in stretches
    ]
    most = max(sums, key=sum)
    parts = [
        f"{show(amount, 'plf')} {SOURCE_NAMES[source]}"
        for source, amount in zip(sources, most, strict=True)
        if amount
    ]
    where = f", the fullest of {len(sums)} stretches" if len(sums) > 1 else ""
    total = show(float(results[0][case]), "plf")
    return f"Line load through {name}{where}: {' + '.join(parts)} = {total} (factors counted)."


@step("the largest line load through a wall", [("w", "plf")], sentence=_wall_sentence)
def largest_line_load(
    name: str,
    sources: Sequence[str],
    stretches: Sequence[Sequence[Sequence[Any]]],
    factors: Sequence[Any],
) -> Any:
    """Return the largest sum of line loads of any stretch in each load case.

    Parameters
    ----------
    name : str
    sources : sequence of str
        D, L, Lr, S, one for each group.
    stretches : sequence of sequence of sequence of float [lbf/in]
        For each stretch in which the same loads lie, the loads of each group.
    factors : sequence of array
        For each group its factor over the cases.
    """
    import numpy as np

    found = [
        sum(
            _adverse(source, group) * factor
            for source, group, factor in zip(sources, sizes, factors, strict=True)
        )
        for sizes in stretches
    ]
    return (np.max(found, axis=0),)


def _adverse(source: str, loads: Sequence[float]) -> float:
    """Return a sum of loads; live load that would lift the post is left out."""
    return sum(max(load, 0.0) if source == "L" else load for load in loads)
