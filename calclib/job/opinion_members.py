"""Each member, and what was read from it, against a numerical solution of its own loads."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace
from itertools import pairwise
from typing import Any

from calclib.job.member import groups
from calclib.job.numeric_beam import Numeric, Push, solve_numerically
from calclib.job.opinion import Tally
from calclib.trace import Call, Step, numbers


def _sums(name: str, model: Any, cases: Sequence[Sequence[Push]], R: Any, tally: Tally) -> None:
    """Compare the sum of forces, and of moments about the left end, with nothing."""
    import numpy as np

    supports = np.array([0.0 if at is None else at for at in model.supports])
    for loads, up in zip(cases, R, strict=True):
        force, turn, gross = 0.0, 0.0, 0.0
        for load in loads:
            size = load.size if load.end is None else load.size * (load.end - load.start)
            at = load.start if load.end is None else (load.start + load.end) / 2
            force, turn, gross = force + size, turn + size * at, gross + abs(size)
        tally.compare(f"{name}, sum of forces", up.sum(), force, gross)
        tally.compare(f"{name}, sum of moments", up @ supports, turn, gross * length_of(model))


def length_of(model: Any) -> float:
    at = model.supports[-1] if model.length is None else model.length
    return float(at)


def _bounds(model: Any) -> list[float]:
    """Return where the spans of a member, overhangs among them, begin and end."""
    length = length_of(model)
    inner = [0.0 if at is None else float(at) for at in model.supports]
    every = [0.0, *inner, length]
    return [at for i, at in enumerate(every) if not i or at - every[i - 1] > 1e-9 * length]


def _laid(row: Any, low: float, high: float, length: float) -> list[Push]:
    """Return the part of a load between two places of its member."""

    def onto(place: float) -> float:
        return min(max(place, 0.0), length) if -1e-6 <= place <= length + 1e-6 else place

    if row.start is not None and row.end is None:
        at = onto(row.start)
        at_tip = at == high == length
        return [Push(at, None, row.size)] if low <= at < high or at_tip else []
    start = low if row.start is None else max(onto(row.start), low)
    end = high if row.end is None else min(onto(row.end), high)
    return [Push(start, end, row.size)] if end > start else []


def _laid_by_joists(row: Any, low: float, high: float, length: float) -> list[Push]:
    """Return the same joist by joist, each with half the way to its neighbors."""
    if row.first is None or (row.start is not None and row.end is None):
        return _laid(row, low, high, length)
    start = 0.0 if row.start is None else min(max(row.start, 0.0), length)
    end = length if row.end is None else min(max(row.end, 0.0), length)
    least = math.ceil((start - row.first) / row.spacing - 1e-9)
    most = math.floor((end - row.first) / row.spacing + 1e-9)
    if most < least:
        return _laid(row, low, high, length)
    found = []
    for number in range(least, most + 1):
        at = row.first + number * row.spacing
        left = start if number == least else at - row.spacing / 2
        right = end if number == most else at + row.spacing / 2
        joist = replace(row, start=at, end=None, size=row.size * (right - left))
        found += _laid(joist, low, high, length)
    return found


def cases_of(model: Any) -> list[list[Push]]:
    """Return the loads of a member by their groups; also joist by joist, where those are known."""
    length, bounds = length_of(model), _bounds(model)
    by_joists = any(row.first is not None for row in model.rows)
    cases = []
    for layout in (_laid, _laid_by_joists) if by_joists else (_laid,):
        for group in groups(model.rows, len(model.span_names)):
            low, high = (0.0, length) if group.span < 0 else bounds[group.span : group.span + 2]
            of_group = [
                row
                for row in model.rows
                if row.source == group.source
                and (
                    row.own == (group.name == "self")
                    if group.source == "D"
                    else row.way == group.name
                )
            ]
            cases.append([push for row in of_group for push in layout(row, low, high, length)])
    return cases


def _away_from_supports(
    loads: Sequence[Push], supports: Sequence[float], halves: Sequence[float], d: float
) -> list[Push]:
    """Return what shear by NDS 3.4.3.1 leaves of loads: nothing within a depth of the faces."""
    found = []
    for load in loads:
        if load.end is None:
            share = 1.0
            for at, half in zip(supports, halves, strict=True):
                share = min(share, max(abs(load.start - at) - half, 0.0) / d)
            found.append(load._replace(size=load.size * share))
            continue
        edges = [load.start]
        for at, half in zip(supports, halves, strict=True):
            edges += [at - half - d, at + half + d]
        edges = sorted(e for e in [*edges, load.end] if load.start <= e <= load.end)
        for start, end in pairwise(edges):
            middle = (start + end) / 2
            near = any(
                abs(middle - at) < half + d for at, half in zip(supports, halves, strict=True)
            )
            if end > start and not near:
                found.append(Push(start, end, load.size))
    return found


def members(calls: Sequence[Call]) -> list[Tally]:
    """Compare the solution of each member, and what was read from it, with a numerical one."""
    how = "three-moment equations by SciPy"
    statics = Tally("Forces and moments on each member", "their sums")
    curves = Tally("Shear, moment, deflection and reactions of each member", how)
    read = Tally("Largest effects and reactions that the checks use", how)
    shared = Tally("Loads handed on, load by load", how)
    readers: dict[int, list[Call]] = {}
    for call in calls:
        if call.inputs and call.inputs[0].symbol == "solution":
            readers.setdefault(id(call.inputs[0].origin), []).append(call)
    for call in calls:
        name = call.function.name
        if name in SOLUTIONS:
            _solution(call, readers.get(id(call), ()), statics, curves, read)
        elif name in _SHARES:
            _SHARES[name](call, shared)
    return [statics, curves, read, shared]


def plain(call: Call) -> tuple[Any, ...]:
    return tuple(numbers(argument) for argument in call.arguments)


def _solution(
    call: Call, readers: Sequence[Call], statics: Tally, curves: Tally, read: Tally
) -> None:
    import numpy as np

    model, *rest = plain(call)
    cases = cases_of(model)
    supports = [0.0 if at is None else at for at in model.supports]
    if rest:
        d, bearings = rest
        cases = [_away_from_supports(c, supports, [b / 2 for b in bearings], d) for c in cases]
    places = [
        place
        for reader in readers
        if reader.function.name in _PLACES
        for place in reader.results[_PLACES[reader.function.name]].tolist()
    ]
    theirs = solve_numerically(length_of(model), supports, model.EI, cases, places)
    ours = call.results[0].curves
    name = model.name
    _sums(name, model, cases, ours.reactions, statics)
    starts = np.diff(theirs.span, prepend=-1) > 0
    ends = np.diff(theirs.span, append=theirs.span[-1] + 1) > 0
    shear = np.abs(theirs.right).max(initial=0.0)
    curves.compare(f"{name}, shear", ours.shear(theirs.x)[:, ~ends], theirs.right[:, ~ends], shear)
    left = ours.shear(theirs.x, left=True)[:, ~starts]
    curves.compare(f"{name}, shear", left, theirs.left[:, ~starts], shear)
    curves.compare(f"{name}, moment", ours.moment(theirs.x), theirs.moment)
    curves.compare(f"{name}, deflection", ours.deflection(theirs.x), theirs.deflection)
    curves.compare(f"{name}, reactions", ours.reactions, theirs.reactions)
    for reader in readers:
        if reader.function.name in READERS:
            READERS[reader.function.name](reader, theirs, name, read)


def _combined(factors: Sequence[Any], of_cases: Any) -> Any:
    """Return sums over the cases, each with its factor: shape [combination, place]."""
    return sum(
        factor[:, None] * row[None, :] for factor, row in zip(factors, of_cases, strict=True)
    )


def _at(theirs: Numeric, places: Any, rows: Any) -> Any:
    """Return of each row the number of largest size at its own place."""
    import numpy as np

    near = np.abs(theirs.x[None, :] - places[:, None]) <= 1e-9 * theirs.x[-1]
    return np.where(near, np.abs(rows), 0.0).max(axis=1)


def _extreme(sign: float, where: str) -> Callable[[Call, Numeric, str, Tally], None]:
    """Compare the largest moment of one sign: no place has more, and its own place has it."""

    def compare(call: Call, theirs: Numeric, name: str, tally: Tally) -> None:
        import numpy as np

        _, factors = plain(call)
        value, place = call.results
        rows = _combined(factors, theirs.moment)
        most = np.abs(rows).max(initial=0.0)
        tally.compare(f"{name}, {where}", value, np.maximum(sign * rows, 0.0).max(axis=1), most)
        there = _at(theirs, place, np.maximum(sign * rows, 0.0))
        tally.compare(f"{name}, {where} at its place", value, there, most)

    return compare


def _shear_read(call: Call, theirs: Numeric, name: str, tally: Tally) -> None:
    import numpy as np

    _, factors = plain(call)
    value, place = call.results
    left, right = (np.abs(_combined(factors, rows)) for rows in (theirs.left, theirs.right))
    rows = np.maximum(left, right)
    tally.compare(f"{name}, largest shear", value, rows.max(axis=1))
    tally.compare(f"{name}, largest shear at its place", value, _at(theirs, place, rows))


def _deflection_read(call: Call, theirs: Numeric, name: str, tally: Tally) -> None:
    import numpy as np

    _, span, factors = plain(call)
    value, place = call.results
    every = np.abs(_combined(factors, theirs.deflection))
    rows = np.where(theirs.span == span, every, 0.0)
    most = every.max(initial=0.0)
    what = f"{name}, largest deflection"
    # Between the places of the solution the curve may rise a little more.
    tally.compare(what, value, np.maximum(rows.max(axis=1), value), most)
    tally.compare(f"{what} at its place", value, _at(theirs, place, rows), most)


def _parts_read(call: Call, theirs: Numeric, name: str, tally: Tally) -> None:
    import numpy as np

    _, span, groups, factors = plain(call)
    dead, short, place = call.results
    every = _combined(factors, theirs.deflection)
    most = np.abs(every).max(initial=0.0)
    in_span = theirs.span == span
    is_dead = [group.source == "D" for group in groups]
    whole = [np.where(factor != 0, 1.0, 0.0) for factor in factors]
    parts = []
    for wanted, given in ((True, whole), (False, factors)):
        on = [g if d is wanted else np.zeros_like(g) for g, d in zip(given, is_dead, strict=True)]
        parts.append(_combined(on, theirs.deflection))
    near = (np.abs(theirs.x[None, :] - place[:, None]) <= 1e-9 * theirs.x[-1]) & in_span
    column = near.argmax(axis=1)
    row = np.arange(len(place))
    sign = np.where(every[row, column] < 0, -1.0, 1.0)
    where = f"{name}, parts of the largest deflection"
    tally.compare(where, dead, sign * parts[0][row, column], most)
    tally.compare(where, short, sign * parts[1][row, column], most)
    total = np.abs(every[row, column])
    largest = np.abs(np.where(in_span, every, 0.0)).max(axis=1)
    tally.compare(
        f"{name}, place of the largest deflection", total, np.maximum(largest, total), most
    )


def _reaction_read(call: Call, theirs: Numeric, name: str, tally: Tally) -> None:
    _, support, _, factors = plain(call)
    expected = _combined(factors, theirs.reactions)
    most = float(abs(expected).max(initial=0.0))
    tally.compare(f"{name}, reaction {support + 1}", call.results[0], expected[:, support], most)


def _rows_shared(call: Call, tally: Tally) -> None:
    """Compare what each load of a member puts on each of its supports."""
    (model,) = plain(call)
    length, bounds = length_of(model), _bounds(model)
    cases = []
    for row in model.rows:
        if row.source == "L" and len(model.span_names) > 1:
            spans = list(pairwise(bounds))
        else:
            spans = [(0.0, length)]
        cases += [_laid(row, low, high, length) for low, high in spans]
    _supports_compared(call, model, cases, tally)


def _sources_shared(call: Call, tally: Tally) -> None:
    """Compare what all loads of a source put on each support."""
    (model,) = plain(call)
    length = length_of(model)
    sources = [s for s in ("D", "L", "Lr", "S") if any(row.source == s for row in model.rows)]
    cases = [
        [push for row in model.rows if row.source == s for push in _laid(row, 0.0, length, length)]
        for s in sources
    ]
    supports = [0.0 if at is None else at for at in model.supports]
    theirs = solve_numerically(length, supports, model.EI, cases).reactions.T
    tally.compare(f"{model.name}, by source", call.results, theirs.reshape(-1))


def _supports_compared(
    call: Call, model: Any, cases: Sequence[Sequence[Push]], tally: Tally
) -> None:
    supports = [0.0 if at is None else at for at in model.supports]
    theirs = solve_numerically(length_of(model), supports, model.EI, cases).reactions
    tally.compare(f"{model.name}, load by load", call.results, theirs.reshape(-1))


def _strip(bays: Sequence[float], pattern: Sequence[int], loads: list[Push]) -> Any:
    ends = [0.0]
    for bay in bays:
        ends.append(ends[-1] + bay)
    return solve_numerically(ends[-1], [ends[i] for i in pattern], 1.0, [loads]).reactions[0]


def _strip_of_joists(call: Call, tally: Tally) -> None:
    bays, pattern, loads = plain(call)
    pushes, at = [], 0.0
    for bay, load in zip(bays, loads, strict=True):
        if load is not None:
            pushes.append(Push(at, at + bay, load))
        at += bay
    tally.compare("a strip of joists", call.results, _strip(bays, pattern, pushes))


def _load_on_strip(call: Call, tally: Tally) -> None:
    bays, pattern, place, size = plain(call)
    at = min(max(place, 0.0), sum(bays))
    shares = _strip(bays, pattern, [Push(at, None, 1.0)]) * size
    tally.compare("a load on a strip of joists", call.results, shares)


_OF = "calclib.job."
WHOLE = _OF + "member.solution"
SOLUTIONS = {WHOLE, _OF + "member.solution_away_from_supports"}
READERS: dict[str, Callable[[Call, Numeric, str, Tally], None]] = {
    _OF + "member.sagging_moment": _extreme(1.0, "largest sagging moment"),
    _OF + "member.hogging_moment": _extreme(-1.0, "largest hogging moment"),
    _OF + "member.largest_shear": _shear_read,
    _OF + "member.largest_deflection": _deflection_read,
    _OF + "member.deflection_parts": _parts_read,
    _OF + "member.support_reaction": _reaction_read,
}
# Which of the results of a step is a place on the member.
_PLACES = {
    _OF + "member.sagging_moment": 1,
    _OF + "member.hogging_moment": 1,
    _OF + "member.largest_shear": 1,
    _OF + "member.largest_deflection": 1,
    _OF + "member.deflection_parts": 2,
}
_SHARES: dict[str, Callable[[Call, Tally], None]] = {
    _OF + "member.reactions_by_row": _rows_shared,
    _OF + "work.members._by_source": _sources_shared,
    _OF + "field.strip_reactions": _strip_of_joists,
    _OF + "field.strip_shares": _load_on_strip,
}


def unread(calls: Sequence[Call]) -> tuple[str, ...]:
    """Return the titles of the steps whose results are not found another way here."""
    known = {*SOLUTIONS, *READERS, *_SHARES}
    return tuple(
        sorted({c.function.title for c in calls if _is_step(c) and c.function.name not in known})
    )


def _is_step(call: Call) -> bool:
    return isinstance(call.function, Step)
