"""How far things go down: when the shores leave, joist and beam in series, and as wood dries."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from calclib.job.bent import Bent
from calclib.job.member import by_layouts, groups, largest_deflection
from calclib.job.schema import called
from calclib.job.solve import Solved
from calclib.job.state import has_history, stands_of
from calclib.job.wood import stock_size
from calclib.loads import case_set
from calclib.timber.shrinkage import (
    deflection_of_joist_on_beams,
    differential_shrinkage,
    practice,
    shrinkage,
)
from calclib.trace import Value, leaf, step
from calclib.units import show

IN_SERVICE = "heated house"
# What each product holds when it leaves the mill.
AS_MADE = {"glulam": "glulam as made", "composite": "composite as made", "sawn": "surfaced dry"}


@dataclass(frozen=True, eq=False)
class Drop:
    """How far a new beam goes down under dead load, and the joists on it with it.

    Attributes
    ----------
    what : str
    of_beam : Value [in]
        At once, when the shores leave.
    of_joists : Value or None [in]
        Of the joist by itself; None for a beam alone.
    together : Value [in]
        In the middle of the joists, beam and joist in series.
    """

    what: str
    of_beam: Value
    of_joists: Value | None
    together: Value


@step(
    "the dead-load case",
    lambda values, case: [(values.symbol, "in")],
    sentence=lambda arguments, results, case: (
        f"Under dead load alone: {show(float(results[0]), 'in')}."
    ),
)
def _of_case(values: Any, case: int) -> tuple[float]:
    """Return the deflection of one case."""
    return (float(values[case]),)


def dead_deflection(bent: Bent) -> Value:
    """Return the largest deflection of a member under dead load alone, without creep.

    Parameters
    ----------
    bent : Bent

    Returns
    -------
    Value [in]
    """
    model = bent.model
    whole = len(model.span_names)
    cases = by_layouts(
        model, case_set(bent.settings.design.edition, groups(model.rows, whole), model.span_names)
    )
    case = cases.names.index("D")
    found = [
        _of_case(largest_deflection(bent.solution, span, cases.factors)[0], case)[0]
        for span in range(whole)
    ]
    return max(found, key=lambda value: float(value.at()))


def _zero() -> Value:
    return leaf(
        0.0, "in", "Delta", "practice/deflection of a wall", basis="common practice",
        title="deflection of a wall", note="taken as firm",
    )  # fmt: skip


def drops(solved: Solved) -> Iterator[Drop]:
    """Yield how far each new beam and the joists on it go down under dead load alone.

    Parameters
    ----------
    solved : Solved

    Notes
    -----
    Valid for: simple joists of known wood, loads of the finished house.
    """
    told = has_history(solved.job.sections)
    for beam in solved.beams:
        if told and stands_of(beam.section) != "new":
            continue
        path = beam.section.path
        of_beam = dead_deflection(beam)
        yield Drop(called(path), of_beam, None, of_beam)
        for joist in solved.joists:
            carriers = joist.model.support_names
            if called(path) not in carriers or len(joist.spans) > 1:
                continue
            of_joist = dead_deflection(joist)
            left, right = (
                of_beam if name == called(path) else _zero() for name in (carriers[0], carriers[-1])
            )
            together = deflection_of_joist_on_beams(of_joist, left, right)
            yield Drop(joist.settings.name, of_beam, of_joist, together)


@dataclass(frozen=True, eq=False)
class Drying:
    """How much more joists shrink than the beam that they hang on.

    Attributes
    ----------
    joists, beam : str
    of_joists, of_beam, more : Value [in]
    """

    joists: str
    beam: str
    of_joists: Value
    of_beam: Value
    more: Value


def dryings(solved: Solved) -> Iterator[Drying]:
    """Yield what shrinks beside each new flush beam, for joists whose moisture is entered.

    Parameters
    ----------
    solved : Solved
    """
    told = has_history(solved.job.sections)
    S, m_fs = practice("shrinkage across the grain", "S"), practice("fiber saturation", "m_fs")
    m_2 = practice(IN_SERVICE, "m_2")
    for beam in solved.beams:
        section = beam.section
        if section.words["setting"] != "flush" or (told and stands_of(section) != "new"):
            continue
        kind = "glulam" if "glulam" in section.words else (
            "sawn" if "species" in section.words else "composite"
        )  # fmt: skip
        of_beam = shrinkage(beam.piece.d, S, practice(AS_MADE[kind], "m_1"), m_2, m_fs)
        for path, strips in solved.flow.strips.items():
            field = solved.flow.state.members[path]
            state = field.words.get("built_in")
            if state is None or not any(section.path in s.carriers for s in strips):
                continue
            _, d = stock_size(field, solved.inputs)
            of_joists = shrinkage(d, S, practice(state, "m_1"), m_2, m_fs)
            yield Drying(
                called(path),
                called(section.path),
                of_joists,
                of_beam,
                differential_shrinkage(of_joists, of_beam),
            )


def blockings(solved: Solved) -> Iterator[tuple[str, Value]]:
    """Yield where flat blocking lies below an end, and how much it shrinks.

    Parameters
    ----------
    solved : Solved

    Notes
    -----
    Valid for: new blocking whose moisture is told; squash blocks hardly shrink along their grain.
    """
    S, m_fs = practice("shrinkage across the grain", "S"), practice("fiber saturation", "m_fs")
    m_2 = practice(IN_SERVICE, "m_2")
    for path, member in solved.flow.state.members.items():
        ends = [(member, called(path))] if member.kind == "posts" else [
            (seat, f"{called(path)} at {seat.name.replace('_', ' ')}") for seat in member.seats()
        ]  # fmt: skip
        for section, name in ends:
            if section.words.get("blocking") == "flat":
                h = solved.inputs[f"{section.path}.blocking_height"]
                m_1 = practice(section.words["blocking_built_in"], "m_1")
                yield f"flat blocking below {name}", shrinkage(h, S, m_1, m_2, m_fs)
