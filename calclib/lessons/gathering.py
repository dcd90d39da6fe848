"""From the numbers that the graph holds now to a reading."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Any

import numpy as np

from calclib.job.bent import Bent
from calclib.job.member import Model
from calclib.lessons.reading import Band, CheckLine, Knock, Peak, Reading
from calclib.lessons.setting import Setting
from calclib.loads import CaseSet
from calclib.mechanics import Curves, Extremes, Solution
from calclib.mechanics.curves import taylor
from calclib.mechanics.loads import DEFLECTION, MOMENT, SHEAR
from calclib.trace import Check, Value
from calclib.trace.value import substitute

PLACES_A_PIECE = 13
SLACK = 1e-6
PAST_THE_END = (
    "What stands past the end of the beam comes down in the wall that stays and is not counted."
)

NumberOf = Callable[[Value], Any]


def watched(beam: Bent, beside: Sequence[Check] = ()) -> tuple[Any, ...]:
    """Return all of a beam that a reading is made from, values and what holds them.

    Parameters
    ----------
    beam : Bent
    beside : sequence of Check
        Further checks that are read with it.
    """
    compared = tuple(
        (check.demand, check.capacity, check.ratio, check.conditions)
        for check in (*beam.checks, *beside)
    )
    return beam.model, beam.solution, beam.reactions, compared


def gathered(
    beam: Bent,
    numbers: tuple[tuple[Setting, float], ...],
    number_of: NumberOf,
    si: bool,
    beside: Sequence[Check] = (),
) -> Reading:
    """Gather a reading of a beam.

    Parameters
    ----------
    beam : Bent
    numbers : tuple of (Setting, float)
        What was set, for the record.
    number_of : callable
        From a value of the graph to its number of now.
    si : bool
        Whether it is shown in SI units.
    beside : sequence of Check
        Further checks to read; those without a capacity count as open.

    Returns
    -------
    Reading
    """
    model = substitute(beam.model, number_of)
    places = [0.0 if at is None else at for at in model.supports]
    names = [name.replace("_", " ") for name in model.support_names]
    bands, knocks, notes = _loads(model, places[-1])
    lines = [_line(check, number_of) for check in beam.checks]
    more = [_line(check, number_of) for check in beside if check.ratio is not None]
    is_open = sum(check.ratio is None for check in beside)
    return Reading(
        beam=model.name,
        numbers=numbers,
        supports=tuple(zip(names, places, strict=True)),
        bands=bands,
        knocks=knocks,
        **_peaks(beam, lines, number_of(beam.solution)),
        reactions=tuple(
            _largest(number_of(reaction), beam.strength.names) for reaction in beam.reactions
        ),
        checks=tuple(lines),
        notes=notes,
        si=si,
        beside=tuple(more),
        open_beside=is_open + sum(line.state == "open" for line in (*lines, *more)),
    )


def _loads(
    model: Model, length: float
) -> tuple[tuple[Band, ...], tuple[Knock, ...], tuple[str, ...]]:
    """Return what of the loads lies on the beam, and a note where some lies past its end."""
    bands, knocks = [], []
    ends = []
    for row in model.rows:
        if row.way:
            continue
        start = 0.0 if row.start is None else row.start
        if row.is_point:
            knocks.append(Knock(row.source, start, row.size))
            ends.append(start)
        else:
            end = length if row.end is None else row.end
            bands.append(Band(row.source, max(start, 0.0), min(end, length), row.size))
            ends.append(end)
    past = any(end > length + SLACK for end in ends)
    return (
        tuple(band for band in bands if band.end > band.start),
        tuple(knock for knock in knocks if knock.at <= length + SLACK),
        (PAST_THE_END,) if past else (),
    )


def _line(check: Check, number_of: NumberOf) -> CheckLine:
    """Return a check with its numbers of now; its state is found as for any check."""
    now = replace(
        check,
        demand=number_of(check.demand),
        capacity=number_of(check.capacity),
        ratio=number_of(check.ratio),
        conditions=tuple(
            replace(condition, ratio=number_of(condition.ratio)) for condition in check.conditions
        ),
    )
    case = int(now.ratio.argmax()) if getattr(now.ratio, "ndim", 0) else None

    def at_case(number: Any) -> float:
        return float(number[case]) if getattr(number, "ndim", 0) else float(number)

    return CheckLine(
        id=check.id,
        title=check.title,
        case="" if case is None else check.cases[case],
        demand=at_case(now.demand),
        capacity=at_case(now.capacity),
        unit=check.demand.unit,
        used=now.worst,
        state=now.state,
    )


def _peaks(beam: Bent, lines: list[CheckLine], solution: Solution) -> dict[str, Peak]:
    """Return shear, moment and deflection, each in the case that governs its check."""
    sheared = _governing(lines, "shear")
    bent = _governing(lines, "bending", "bending_hogging")
    sagged = _governing(lines, "total_deflection")
    by_strength = _combined(solution, beam.strength, sheared.case, bent.case)
    by_total = _combined(solution, beam.total, sagged.case)
    shear = by_strength.shear_extremes.of_member
    moment = by_strength.moment_extremes.of_member
    deflection = by_total.deflection_extremes
    span = _span_of(sagged, beam)
    hogs = "hogging" in bent.id
    return {
        "shear": _peak("Shear", "lbf", by_strength, 0, SHEAR, sheared, _either(shear, 0)),
        "moment": _peak(
            "Moment",
            "lbf*ft",
            by_strength,
            1,
            MOMENT,
            bent,
            (moment.lowest[1], moment.lowest_at[1])
            if hogs
            else (moment.highest[1], moment.highest_at[1]),
        ),
        "deflection": _peak(
            "Deflection",
            "in",
            by_total,
            0,
            DEFLECTION,
            sagged,
            _either(deflection, (0, span)),
        ),
    }


def _governing(lines: list[CheckLine], *kinds: str) -> CheckLine:
    found = [line for line in lines if line.id.rpartition("/")[2].partition(".")[0] in kinds]
    return max(found, key=lambda line: line.used)


def _span_of(line: CheckLine, beam: Bent) -> int:
    name = line.id.rpartition("/")[2].partition(".")[2]
    return beam.model.span_names.index(name) if name else 0


def _combined(solution: Solution, cases: CaseSet, *names: str) -> Curves:
    rows = [cases.names.index(name) for name in names]
    return solution.combine([[float(f.number[row]) for f in cases.factors] for row in rows])


def _either(extremes: Extremes, index: Any) -> tuple[float, float]:
    """Return the larger of the two extremes, by size, and its place."""
    if -extremes.lowest[index] > extremes.highest[index]:
        return extremes.lowest[index], extremes.lowest_at[index]
    return extremes.highest[index], extremes.highest_at[index]


def _peak(
    name: str,
    unit: str,
    curves: Curves,
    row: int,
    order: int,
    line: CheckLine,
    peak: tuple[float, float],
) -> Peak:
    x, y = sampled(curves, row, order)
    return Peak(name, unit, x, y, float(peak[0]), float(peak[1]), line.case, line.used)


def sampled(curves: Curves, row: int, order: int) -> tuple[list[float], list[float]]:
    """Return places and values of one curve, each piece from its start to its end.

    Parameters
    ----------
    curves : Curves
    row : int
        The combination.
    order : int
        SHEAR, MOMENT or DEFLECTION of `calclib.mechanics.loads`.

    Returns
    -------
    x, y : list of float
        A break stands twice, with its left and its right limit.
    """
    starts = curves.breaks[:-1]
    s = np.linspace(0.0, 1.0, PLACES_A_PIECE)[:, None] * (curves.breaks[1:] - starts)
    y = taylor(curves.derivatives[:, row, :], order, s)
    if order == DEFLECTION:
        y = 0.0 - y / curves.EI
    y = np.broadcast_to(y, s.shape)
    return (starts + s).T.ravel().tolist(), y.T.ravel().tolist()


def _largest(reaction: Any, names: tuple[str, ...]) -> tuple[float, str]:
    case = int(reaction.argmax())
    return float(reaction[case]), names[case]
