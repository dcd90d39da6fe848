"""The main results of a solved job, found another way and compared.

Statics by sums, each member by a numerical solution with SciPy, every call of a formula with
quantities by Pint, the governing member by SymPy. What differs by more than rounding stops the
sheet.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any

from calclib.errors import UnitError
from calclib.job.carry import balance
from calclib.job.opinion import Contradiction, Opinion, Tally
from calclib.job.opinion_members import members, unread
from calclib.job.opinion_sympy import by_sympy, calls_of
from calclib.trace import Call, Formula, Value, worst_of

if TYPE_CHECKING:
    from calclib.job.solve import Solved

# Of a long list of contradictions the first are told.
MOST_LINES = 12


def second_opinion(solved: Solved) -> Opinion:
    """Find the main results of a solved job another way, and compare.

    Parameters
    ----------
    solved : Solved

    Returns
    -------
    Opinion

    Raises
    ------
    Contradiction
        When a difference is above 1e-6 of the largest magnitude of that quantity in the member,
        or a formula does not have its unit; it lists all of them.
    """
    calls = tuple(calls_of(_targets(solved)))
    tallies = [_weight(solved), *members(calls), _formulas(calls)]
    asked, why_not = by_sympy(solved)
    if asked is not None:
        tallies.append(asked)
    problems = [problem for tally in tallies for problem in tally.too_large]
    if problems:
        more = len(problems) - MOST_LINES
        others = [f"and {more} more."] if more > 0 else []
        head = (
            f"{solved.job.file}: a second way of finding its results contradicts them, so no "
            "sheet is written. Report this; do not use the numbers."
        )
        raise Contradiction("\n".join([head, *problems[:MOST_LINES], *others]))
    rest = unread(calls)
    listed = f"Found one way only, each said in words where it stands: {'; '.join(rest)}."
    return Opinion(
        tuple(tally.found() for tally in tallies if tally.compared),
        (*why_not, *([listed] if rest else [])),
    )


def _targets(solved: Solved) -> Iterator[Value]:
    for check in solved.checks:
        yield from (v for v in (check.demand, check.capacity, *worst_of(check)) if v is not None)
    for bent in (*solved.beams, *solved.joists, *solved.before):
        yield bent.solution
        yield from bent.reactions
        yield from (value for share in bent.shares for value in share.on)
    for flow in (solved.flow, solved.found):
        if flow is not None:
            for shares in flow.shares.values():
                yield from (value for share in shares for value in share.on)


def _weight(solved: Solved) -> Tally:
    """Compare what enters the house with what reaches the ground, by source."""
    tally = Tally("Weight in and weight at the ground, by source", "their sums")
    for flow in (solved.flow, solved.found):
        if flow is not None:
            both = balance(flow)
            scale = max((entered for entered, _ in both.values()), default=0.0)
            for source, (entered, left) in both.items():
                tally.compare(f"{source} {flow.state.name}", left, entered, scale)
    return tally


def _formulas(calls: Sequence[Call]) -> Tally:
    """Evaluate every call of a formula again with quantities."""
    tally = Tally("Every call of a formula", "Pint, with a unit on each number")
    for call in calls:
        formula = call.function
        if not isinstance(formula, Formula):
            continue
        arguments = [value.number for value in call.inputs]
        try:
            found = _with_units(formula, arguments)
        except UnitError as error:
            tally.say(f"{formula.title}: {error}")
            continue
        tally.compare(formula.title, call.results[0], found)
    return tally


def _with_units(formula: Formula, arguments: Sequence[Any]) -> Any:
    """Return a formula's result by quantities; case by case where it decides between numbers."""
    several = [a for a in arguments if getattr(a, "ndim", 0)]
    if not several or _DECIDING.isdisjoint(formula.body.__code__.co_names):
        return formula.with_units(*arguments)
    known: dict[tuple[float, ...], Any] = {}
    rows = []
    for i in range(len(several[0])):
        row = tuple(float(a[i]) if getattr(a, "ndim", 0) else a for a in arguments)
        if row not in known:
            known[row] = formula.with_units(*row)
        rows.append(known[row])
    return rows


# Pint compares no arrays of quantities inside these.
_DECIDING = frozenset({"minimum", "maximum", "where"})
