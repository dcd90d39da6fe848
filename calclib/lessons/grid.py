"""All checks of a beam over a grid of two of its numbers at once.

The formulas of one beam run on arrays, cases x first number x second number.
What a member does by unit of each load is solved once for each of its lengths; the sizes of the
loads then only combine it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from calclib.errors import CalcError, LookupMiss, did_you_mean, message, quoted
from calclib.job import member
from calclib.job.member import Model
from calclib.lessons.opening import Study
from calclib.lessons.setting import Setting
from calclib.loads.combinations import Group
from calclib.mechanics import Curves, Solution
from calclib.mechanics.curves import taylor
from calclib.mechanics.loads import DEFLECTION
from calclib.trace import Check, Step, Value, worst_of
from calclib.trace.value import Call, Leaf, substitute

# Of a utilization, one half sure: as a check of one beam it must be at most 1, not nearly.
AT_MOST = 1.0


@dataclass(frozen=True, eq=False)
class CheckOver:
    """One check over the grid.

    Attributes
    ----------
    id, title : str
    used : array [x, y]
        Its utilization; conditions of its clause do not count.
    worst : array [x, y]
        The larger of utilization and conditions.
    fits : array of bool [x, y]
        Whether it holds with its conditions; questions may still be open.
    """

    id: str
    title: str
    used: Any
    worst: Any
    fits: Any


@dataclass(frozen=True, eq=False)
class Grid:
    """All checks of a beam over two of its numbers.

    Attributes
    ----------
    x, y : Setting
    xs, ys : array [base units]
    checks : tuple of CheckOver
    """

    x: Setting
    y: Setting
    xs: Any
    ys: Any
    checks: tuple[CheckOver, ...]

    @property
    def utilization(self) -> Any:
        """The largest of all checks and of their conditions, [x, y]."""
        return np.max([check.worst for check in self.checks], axis=0)

    @property
    def governs(self) -> Any:
        """Which check that is of, [x, y]."""
        return np.argmax([check.worst for check in self.checks], axis=0)

    @property
    def fits(self) -> Any:
        """Whether no check fails, [x, y]."""
        return np.all([check.fits for check in self.checks], axis=0)


def over_grid(
    study: Study,
    x: str,
    y: str,
    xs: Sequence[float],
    ys: Sequence[float],
    **fixed: str | float,
) -> Grid:
    """Return every check of a beam at every pair of two numbers.

    Parameters
    ----------
    study : Study
    x, y : str
        Keys of two of its settings; the first may change lengths of the beam.
    xs, ys : sequence of float [base units]
    **fixed : str or float
        Other numbers by key, as for `Study.at`.

    Returns
    -------
    Grid

    Raises
    ------
    LookupMiss
        For a number that is not free.
    CalcError
        For a number outside its range, one that the calculation refuses, or when the second
        number changes where loads lie.
    """
    for key in (x, y, *fixed):
        if key not in study.freedoms:
            needs, near = f"one of {', '.join(study.freedoms)}", did_you_mean(key, study.freedoms)
            raise LookupMiss(message("grid", needs, quoted(key), near))
    numbers: dict[str, Any] = {}
    for key, freedom in study.freedoms.items():
        setting = freedom.setting
        if key in (x, y):
            given = np.array([setting.within(float(n)) for n in (xs if key == x else ys)])
            shape = (1, -1, 1) if key == x else (1, 1, -1)
            numbers |= {
                id: np.asarray(moved).reshape(shape) for id, moved in _moved(freedom, given).items()
            }
        else:
            at = fixed.get(key, setting.start)
            number = setting.read(at) if isinstance(at, str) else setting.within(at)
            numbers |= freedom.numbers(number)
    run = _Run(numbers, len(xs), len(ys))
    for call in study.variation.calls:
        run.found[id(call)] = run.rerun(call)
    checks = tuple(_over(check, run) for check in study.beam.checks if check.ratio is not None)
    settings = study.freedoms[x].setting, study.freedoms[y].setting
    return Grid(*settings, np.asarray(xs, dtype=float), np.asarray(ys, dtype=float), checks)


def _moved(freedom: Any, given: Any) -> dict[str, list[float]]:
    """Return for each leaf its numbers, one for each given one."""
    rows = [freedom.numbers(float(number)) for number in given]
    return {id: [row[id] for row in rows] for id in rows[0]}


def _over(check: Check, run: _Run) -> CheckOver:
    ratios = [run.largest(ratio) for ratio in worst_of(check)]
    shape = run.nx, run.ny
    used, *conditions = (np.broadcast_to(ratio, shape) for ratio in ratios)
    fits = (used >= 0) & (used <= AT_MOST)
    for ratio in conditions:
        fits = fits & (ratio <= AT_MOST)
    return CheckOver(check.id, check.title, used, np.max([used, *conditions], axis=0), fits)


class _Run:
    """One run of the calls over the grid: numbers are arrays [case, x, y] or plain."""

    def __init__(self, numbers: Mapping[str, Any], nx: int, ny: int) -> None:
        self.numbers, self.nx, self.ny = numbers, nx, ny
        self.found: dict[int, tuple[Any, ...]] = {}

    def __call__(self, value: Value) -> Any:
        """Return the number of a value, as an array of three axes where it is an array."""
        if isinstance(value.origin, Leaf):
            number = self.numbers.get(value.id, value.number)
        elif id(value.origin) in self.found:
            number = self.found[id(value.origin)][value.part]
        else:
            number = value.number
        # By cases alone, as it was calculated once for all.
        return number[:, None, None] if getattr(number, "ndim", 0) == 1 else number

    def largest(self, ratio: Value) -> Any:
        """Return the largest of a ratio over its cases, [x, y]."""
        number = self(ratio)
        return number.max(axis=0) if getattr(number, "ndim", 0) else number

    def rerun(self, call: Call) -> tuple[Any, ...]:
        """Return the results of a call over the grid."""
        special = _SPECIAL.get(call.function.name)
        if special is not None:
            return special(self, call.arguments)
        if isinstance(call.function, Step):
            return self.one_by_one(call)
        return call.rerun(self)

    def one_by_one(self, call: Call) -> tuple[Any, ...]:
        """Run a step that knows no arrays at each point that makes a difference to it."""
        inputs = [self(value) for value in call.inputs]
        shapes = [number.shape[1:] for number in inputs if getattr(number, "ndim", 0) == 3]
        if any(isinstance(number, _Solved) for number in inputs):
            raise CalcError(f"grid: {call.function.title} is not known over a grid.")
        nx, ny = (max((shape[axis] for shape in shapes), default=1) for axis in (0, 1))
        points = [[call.rerun(self.at_point(i, j)) for j in range(ny)] for i in range(nx)]
        return tuple(
            np.array([[np.atleast_1d(found[part]) for found in row] for row in points]).transpose(
                2, 0, 1
            )
            for part in range(len(points[0][0]))
        )

    def at_point(self, i: int, j: int) -> Callable[[Value], Any]:
        """Return what gives the numbers of one point."""
        return lambda value: at_point(self(value), i, j)


def at_point(number: Any, i: int, j: int) -> Any:
    """Return a number of the grid at one point, as a step expects it."""
    if getattr(number, "ndim", 0) != 3:
        return number
    column = number[:, min(i, number.shape[1] - 1), min(j, number.shape[2] - 1)]
    return float(column[0]) if len(column) == 1 else column


class _Solved:
    """A member solved by unit of each of its loads, for each length of it.

    Parameters
    ----------
    units : sequence of (Solution, parts)
        As `solution_by_row` gives them, one for each x.
    sizes : array [row, x, y]
    """

    def __init__(self, units: Sequence[tuple[Solution, Any]], sizes: Any) -> None:
        self.units, self.sizes = units, sizes
        self._forces: dict[bytes, list[Any]] = {}
        self._sags: dict[bytes, list[Any]] = {}

    def tables(self, factors: Any) -> Iterator[tuple[Solution, Any]]:
        """Yield for each x its solution and a row of factors for each [case, y]."""
        for i, (solved, parts) in enumerate(self.units):
            group, row = np.array(parts).T
            by_size = factors[:, None, group] * self.sizes[row, i].T[None]
            yield solved, by_size.reshape(-1, len(parts))

    def forces(self, factors: Sequence[Any]) -> list[Any]:
        """Return what combinations do, by their factors [case] for each group.

        Highest and lowest moment, highest and lowest shear, each [case, x, y], and the reactions
        [support, case, x, y].
        """

        def read(curves: Curves) -> list[Any]:
            moment, shear = curves.moment_extremes.of_member, curves.shear_extremes.of_member
            found = [moment.highest, moment.lowest, shear.highest, shear.lowest]
            return [*found, curves.reactions]

        return self._read(self._forces, factors, read)

    def sags(self, factors: Sequence[Any]) -> list[Any]:
        """Return the highest deflection, its place, the lowest, its place: [span, case, x, y]."""

        def read(curves: Curves) -> list[Any]:
            sag = curves.deflection_extremes
            return [sag.highest, sag.highest_at, sag.lowest, sag.lowest_at]

        return self._read(self._sags, factors, read)

    def _read(
        self, known: dict[bytes, list[Any]], factors: Sequence[Any], read: Callable[[Curves], Any]
    ) -> list[Any]:
        table = _table(factors)
        key = table.tobytes()
        if key not in known:
            # Of live load alone many cases are the same.
            distinct, case = np.unique(table, axis=0, return_inverse=True)
            columns = [
                [self._by_case(each, len(distinct)) for each in read(solved.combine(rows))]
                for solved, rows in self.tables(distinct)
            ]
            found = (np.stack(each, axis=-2) for each in zip(*columns, strict=True))
            known[key] = [each[..., case, :, :] for each in found]
        return known[key]

    def _by_case(self, found: Any, cases: int) -> Any:
        """Reshape [case x y, ...] to [..., case, y]."""
        return np.moveaxis(found.reshape(cases, -1, *found.shape[1:]), (0, 1), (-2, -1))

    def deflection_at(self, factors: Any, place: Any) -> Any:
        """Return the deflection under factors [case, group] at places [case, x, y]."""
        found = np.empty(place.shape)
        distinct, case = np.unique(factors, axis=0, return_inverse=True)
        ny = place.shape[2]
        row = (case[:, None] * ny + np.arange(ny)).ravel()
        for i, (solved, rows) in enumerate(self.tables(distinct)):
            curves = solved.combine(rows)
            at = place[:, i].ravel()
            piece = np.searchsorted(curves.breaks, at + curves.beam.tolerance, side="right") - 1
            piece = np.clip(piece, 0, len(curves.EI) - 1)
            s = np.clip(at - curves.breaks[piece], 0.0, np.diff(curves.breaks)[piece])
            here = curves.derivatives[:, row, piece]
            deflection = 0.0 - taylor(here, DEFLECTION, s) / curves.EI[piece]
            found[:, i] = deflection.reshape(len(factors), -1)
        return found


def _table(factors: Sequence[Any]) -> Any:
    """Return factors as a table [case, group]."""
    columns = [np.asarray(factor) for factor in factors]
    if any(column.shape[1:] not in ((), (1, 1)) for column in columns):
        raise CalcError("grid: the factors of the load cases may not depend on what moves.")
    return np.stack([column.reshape(-1) for column in columns], axis=-1)


def _solved(run: _Run, arguments: tuple[Any, ...]) -> tuple[Any, ...]:
    model: Model = arguments[0]
    away = arguments[1:]
    shape = 1, run.nx, run.ny
    sizes = np.array([np.broadcast_to(run(row.size), shape)[0] for row in model.rows])
    unit = replace(model, rows=tuple(replace(row, size=1.0) for row in model.rows))

    def at_length(i: int) -> Callable[[Value], Any]:
        def number(value: Value) -> Any:
            found = run(value)
            if getattr(found, "ndim", 0) == 3 and found.shape[2] > 1:
                needs = "a number that moves no load along the beam"
                raise CalcError(message("grid", needs, "one that does", "Exchange the two."))
            return at_point(found, i, 0)

        return number

    units = []
    for i in range(run.nx):
        number = at_length(i)
        units.append(member.solution_by_row(*(substitute(each, number) for each in (unit, *away))))
    return (_Solved(units, sizes),)


def _sagging(run: _Run, arguments: tuple[Any, ...]) -> tuple[Any, ...]:
    high, *_ = _forces(run, *arguments)
    return high, None


def _hogging(run: _Run, arguments: tuple[Any, ...]) -> tuple[Any, ...]:
    _, low, *_ = _forces(run, *arguments)
    return (-low).clip(0), None


def _shear(run: _Run, arguments: tuple[Any, ...]) -> tuple[Any, ...]:
    _, _, high, low, _ = _forces(run, *arguments)
    return np.where(-low > high, -low, high), None


def _reaction(run: _Run, arguments: tuple[Any, ...]) -> tuple[Any, ...]:
    solved, support, _, factors = arguments
    *_, reactions = _forces(run, solved, factors)
    return (reactions[support],)


def _deflection(run: _Run, arguments: tuple[Any, ...]) -> tuple[Any, ...]:
    solved, span, factors = arguments
    high, _, low, _ = (each[span] for each in _sags(run, solved, factors))
    return np.where(-low > high, -low, high), None


def _deflection_parts(run: _Run, arguments: tuple[Any, ...]) -> tuple[Any, ...]:
    solved, span, groups, factors = arguments
    high, high_at, low, low_at = (each[span] for each in _sags(run, solved, factors))
    up = -low > high
    place = np.where(up, low_at, high_at)
    table = _table(substitute(factors, run))
    is_dead = np.array([_is_dead(group) for group in groups])
    of: _Solved = run(solved)
    dead = of.deflection_at(np.where(is_dead & (table != 0), 1.0, 0.0), place)
    short = of.deflection_at(np.where(is_dead, 0.0, table), place)
    sign = np.where(up, -1.0, 1.0)
    return sign * dead, sign * short, None


def _is_dead(group: Group) -> bool:
    return group.source == "D"


def _forces(run: _Run, solved: Value, factors: Any) -> list[Any]:
    return run(solved).forces(substitute(factors, run))  # type: ignore[no-any-return]


def _sags(run: _Run, solved: Value, factors: Any) -> list[Any]:
    return run(solved).sags(substitute(factors, run))  # type: ignore[no-any-return]


# The steps that a member's solution goes through; all others are formulas, or run point by point.
_SPECIAL: dict[str, Callable[[_Run, tuple[Any, ...]], tuple[Any, ...]]] = {
    member.solution.name: _solved,
    member.solution_away_from_supports.name: _solved,
    member.sagging_moment.name: _sagging,
    member.hogging_moment.name: _hogging,
    member.largest_shear.name: _shear,
    member.largest_deflection.name: _deflection,
    member.deflection_parts.name: _deflection_parts,
    member.support_reaction.name: _reaction,
}
