"""The check: a demand beside a capacity under a clause; passes, fails or is open."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any, Literal

from calclib.trace.formula import formula
from calclib.trace.step import step
from calclib.trace.value import Value

State = Literal["passes", "fails", "open"]


@formula("u", "", source="definition", demand="*", capacity="*",
         valid={"demand": (None, None), "capacity": (None, None)})
def utilization(demand, capacity):  # type: ignore[no-untyped-def]
    """Utilization, the demand over the capacity.

    Parameters
    ----------
    demand : float or array [any unit]
    capacity : float or array [the same unit]

    Returns
    -------
    float or array [dimensionless]
        1 when all of the capacity is used; a capacity of zero gives no number.

    Notes
    -----
    Valid for: demand and capacity of one unit.
    Differs from the source: nothing.
    """
    return demand / capacity


def _case_sentence(arguments: tuple[Any, ...], results: tuple[Any, ...], case: int | None) -> str:
    return "The case with the largest utilization governs."


@step("the governing case", ("i_case", ""), sentence=_case_sentence)
def governing_case(ratios: Any) -> Any:
    """Return the index of the largest ratio on the last axis; a NaN counts as largest."""
    import numpy as np

    if getattr(ratios, "ndim", 0) == 0:
        return 0.0
    index = np.argmax(ratios, axis=-1)
    return float(index) if index.ndim == 0 else index


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
        Index of the governing case.
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
        deciding = self.ratio if self.ratio is not None else self.demand
        if self.governing is None or getattr(deciding.number, "ndim", 0) == 0:
            return None
        return int(self.governing.number)

    @property
    def case_name(self) -> str:
        """The name of the governing case; empty when the check has no cases."""
        return self.cases[self.case] if self.case is not None and self.cases else ""

    @property
    def worst(self) -> float:
        """The utilization at the governing case; NaN when there is no capacity."""
        return math.nan if self.ratio is None else float(self.ratio.at(self.case))

    @property
    def state(self) -> State:
        """passes, fails or open; a failure outranks an open question."""
        if self.ratio is not None and not (math.isfinite(self.worst) and 0 <= self.worst <= 1):
            return "fails"
        if any(not _met(condition) for condition in self.conditions):
            return "fails"
        return "open" if self.questions or self.ratio is None else "passes"

    def __repr__(self) -> str:
        worst = "no capacity" if self.ratio is None else f"utilization {self.worst:.3f}"
        case = f" ({self.case_name})" if self.case_name else ""
        return f"{self.id}: {self.title} {self.state}, {worst}{case} [{self.clause}]"

    def _repr_html_(self) -> str:
        from calclib.trace.printing import html_check

        return html_check(self)


def _met(condition: Condition) -> bool:
    import numpy as np

    ratio = np.max(condition.ratio.number)
    return bool(math.isfinite(ratio) and ratio <= 1)


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

    With plain numbers in place of values the same call gives a check that holds arrays.
    """
    ratio = governing = None
    if capacity is not None:
        ratio = utilization(demand, capacity)
        governing = governing_case(ratio)
    else:
        questions = questions or ("The capacity was not given.",)
        if demand is not None:
            governing = governing_case(demand)
    return Check(
        id, title, clause, demand, capacity, ratio, governing, cases, conditions, questions, notes
    )


def worst_of(check: Check) -> tuple[Any, ...]:
    """Return what decides a check: its utilization and the ratios of its conditions."""
    ratios = (check.ratio,) if check.ratio is not None else ()
    return ratios + tuple(condition.ratio for condition in check.conditions)
