"""The check: a demand beside a capacity under a clause; passes, fails or is open."""

from __future__ import annotations

import math
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Literal

from calclib.errors import CalcError, RangeError, message
from calclib.trace.formula import formula, positive
from calclib.trace.step import step
from calclib.trace.value import Value

State = Literal["passes", "fails", "open"]


@formula(
    "u",
    "",
    source="definition",
    demand="*",
    capacity="*",
    valid={"demand": (None, None), "capacity": positive},
)
def utilization(demand, capacity):  # type: ignore[no-untyped-def]
    """Utilization, the demand over the capacity.

    Parameters
    ----------
    demand : float or array [any unit]
    capacity : float or array [the same unit]

    Returns
    -------
    float or array [dimensionless]
        1 when all of the capacity is used.

    Raises
    ------
    RangeError
        When the capacity is zero or less: two negative numbers must not make a check that passes.

    Notes
    -----
    Valid for: demand and capacity of one unit; capacity > 0.
    Differs from the source: nothing.
    """
    return demand / capacity


def _case_sentence(arguments: tuple[Any, ...], results: tuple[Any, ...], case: int | None) -> str:
    return "The case with the largest utilization governs."


@step("the governing case", ("i_case", ""), sentence=_case_sentence)
def governing_case(ratios: Any) -> Any:
    """Return the index of the largest ratio on the last axis; a NaN counts as largest."""
    if getattr(ratios, "ndim", 0) == 0:
        return 0.0
    return ratios.argmax(axis=-1)


@dataclass(frozen=True, eq=False, repr=False)
class Condition:
    """A limit of a clause that must hold for its check to count.

    Attributes
    ----------
    text : str
        What must hold, in words.
    ratio : Value
        Met when at most 1.
    source : str
    """

    text: str
    ratio: Any
    source: str


@dataclass(frozen=True, eq=False, repr=False)
class Check:
    """A demand, a capacity and the clause that compares them; made by `check`.

    Attributes
    ----------
    id : str
        stage/member/check.
    title, clause : str
        What is checked, and by which clause of which standard.
    demand, capacity : Value
        The capacity is None when it was not given.
    ratio : Value or None
        The utilization, per load case.
    governing : Value or None
        Index of the governing case; of the largest demand when there is no capacity.
    cases : tuple of str
        Names of the load cases; empty when there is one.
    conditions : tuple of Condition
        Limits of the clause that must also hold.
    questions : tuple of str
        What keeps it open: a missing capacity, something to verify, a question to the engineer.
    notes : tuple of str
        What a reviewer must know: which rule asks for a factor, why another is 1.
    """

    id: str
    title: str
    clause: str
    demand: Any
    capacity: Any
    ratio: Any
    governing: Any
    cases: tuple[str, ...]
    conditions: tuple[Condition, ...]
    questions: tuple[str, ...]
    notes: tuple[str, ...]

    @property
    def case(self) -> int | None:
        """The index of the governing case; None when the check has no cases."""
        deciding = self.demand if self.ratio is None else self.ratio
        if not isinstance(self.governing, Value) or getattr(deciding.number, "ndim", 0) == 0:
            return None
        return int(self.governing.number)

    @property
    def case_name(self) -> str:
        """The name of the governing case; empty when the check has no cases."""
        return self.cases[self.case] if self.case is not None and self.cases else ""

    @property
    def worst(self) -> Any:
        """The utilization at the governing case, NaN when there is no capacity.

        A float; for a check of plain arrays, one number for each candidate.
        """
        return math.nan if self.ratio is None else largest(self.ratio)

    @property
    def fits(self) -> Any:
        """Whether utilization and conditions hold, whatever is still open.

        A bool; for a check of plain arrays, one for each candidate.
        """
        utilizations = () if self.ratio is None else (self.ratio,)
        return holds(utilizations, [condition.ratio for condition in self.conditions])

    @property
    def state(self) -> State:
        """passes, fails or open; a failure outranks an open question.

        Raises
        ------
        CalcError
            For a check of plain arrays, which has as many states as candidates.
        """
        fits = self.fits
        if getattr(fits, "ndim", 0):
            raise CalcError(f"{self.id}: holds {len(fits)} candidates. Ask for `fits`.")
        if not fits:
            return "fails"
        return "open" if self.questions or self.ratio is None else "passes"

    def __repr__(self) -> str:
        if getattr(self.worst, "ndim", 0):
            return f"{self.id}: {self.title}, {len(self.worst)} candidates [{self.clause}]"
        worst = "no capacity" if self.ratio is None else f"utilization {ratio_text(self.worst)}"
        case = f" ({self.case_name})" if self.case_name else ""
        return f"{self.id}: {self.title} {self.state}, {worst}{case} [{self.clause}]"

    def _repr_html_(self) -> str:
        from calclib.trace.printing import html_check

        return html_check(self)


def largest(ratio: Any) -> Any:
    """Return the largest number of a ratio over its load cases; NaN if one of them is."""
    number = ratio.number if isinstance(ratio, Value) else ratio
    if not getattr(number, "ndim", 0):
        return float(number)
    number = number.max(axis=-1)
    return number if number.ndim else float(number)


def holds(utilizations: Sequence[Any], conditions: Sequence[Any]) -> Any:
    """Say whether utilizations lie between 0 and 1 and the ratios of conditions do not exceed 1.

    Parameters
    ----------
    utilizations, conditions : sequence of Value, float or array
        The load cases on the last axis.

    Returns
    -------
    bool or array of bool
        False where one of them is NaN or infinite.
    """
    met: Any = True
    for lowest, ratios in ((0.0, utilizations), (-sys.float_info.max, conditions)):
        for ratio in map(largest, ratios):
            met = met & (lowest <= ratio) & (ratio <= 1.0)
    return met


def ratio_text(ratio: float) -> str:
    """Write a utilization so that one above 1 does not read like 1.

    Examples
    --------
    >>> ratio_text(0.8437), ratio_text(1.00002), ratio_text(1.0)
    ('0.844', '1.00002', '1.000')
    """
    for digits in range(3, 16):
        text = f"{ratio:.{digits}f}"
        if not ratio > 1 or float(text) > 1:
            return text
    return repr(ratio)


def check(
    id: str,
    title: str,
    clause: str,
    demand: Any,
    capacity: Any,
    *,
    cases: tuple[str, ...] = (),
    conditions: tuple[Condition, ...] = (),
    questions: tuple[str, ...] = (),
    notes: tuple[str, ...] = (),
) -> Check:
    """Compare a demand with a capacity; see `Check`.

    With plain numbers in place of values the same call gives a check that holds arrays, of
    candidates by load cases.

    Raises
    ------
    CalcError
        When the load cases have fewer or more names than there are numbers.
    RangeError
        When the capacity is zero or less.
    """
    ratio = governing = None
    if capacity is not None:
        try:
            ratio = utilization(demand, capacity)
        except RangeError as error:
            raise RangeError(f"{id}: {error}") from None
    else:
        questions = questions or ("The capacity was not given.",)
    deciding = demand if ratio is None else ratio
    if isinstance(deciding, Value):
        governing = governing_case(deciding)
        count = deciding.number.shape[-1] if getattr(deciding.number, "ndim", 0) else 1
        if cases and count not in (1, len(cases)):
            raise CalcError(message(id, f"a name for each of {count} load cases", str(len(cases))))
    return Check(
        id, title, clause, demand, capacity, ratio, governing,
        tuple(cases), tuple(conditions), tuple(questions), tuple(notes),
    )  # fmt: skip


def worst_of(check: Check) -> tuple[Any, ...]:
    """Return what decides a check: its utilization and the ratios of its conditions."""
    ratios = (check.ratio,) if check.ratio is not None else ()
    return ratios + tuple(condition.ratio for condition in check.conditions)
