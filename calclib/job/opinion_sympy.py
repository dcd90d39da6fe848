"""The governing member, in its governing case, against SymPy's beam module."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from typing import TYPE_CHECKING, Any

from calclib.job.numeric_beam import Push
from calclib.job.opinion import Tally
from calclib.job.opinion_members import READERS, WHOLE, cases_of, length_of, plain
from calclib.trace import Call, Check, Value

if TYPE_CHECKING:
    from calclib.job.solve import Solved

# SymPy's beam module slows down with each load.
MOST_LOADS = 10


def calls_of(targets: Iterable[Value]) -> Iterator[Call]:
    """Yield every call that the targets came from, each once, candidates not chosen among them."""
    seen: set[int] = set()
    stack = [target.origin for target in targets]
    while stack:
        call = stack.pop()
        if isinstance(call, Call) and id(call) not in seen:
            seen.add(id(call))
            yield call
            stack.extend(item.origin for item in call.inputs)


def by_sympy(solved: Solved) -> tuple[Tally | None, tuple[str, ...]]:
    """Compare the governing member, in its governing case, with SymPy's beam module."""
    found = _governing(solved.checks)
    if found is None:
        return None, ("No member was solved, so SymPy was not asked.",)
    check, reader = found
    (model,) = plain(solution_of(reader))[:1]
    case = check.case or 0
    factors = [float(getattr(f, "flat", [f])[case]) for f in plain(reader)[-1]]
    loads = _together(factors, cases_of(model))
    under = f" under {check.case_name}" if check.case_name else ""
    if len(loads) > MOST_LOADS:
        return None, (
            f"SymPy's beam module was not asked about {model.name}{under}, which governs: it "
            f"carries {len(loads)} loads of its own place, and the module is asked up to "
            f"{MOST_LOADS}.",
        )
    tally = Tally(f"{model.name.capitalize()}, which governs,{under}", "SymPy's beam module")
    ours = reader.inputs[0].number.combine([factors])
    _ask_sympy(model, loads, ours, tally)
    return tally, ()


def solution_of(reader: Call) -> Call:
    """Return the call that solved the member which a step reads."""
    origin = reader.inputs[0].origin
    assert isinstance(origin, Call)
    return origin


def _governing(checks: Iterable[Check]) -> tuple[Check, Call] | None:
    """Return the check of largest utilization whose demand was read from a member, and how."""
    ranked = sorted(
        (check for check in checks if math.isfinite(check.worst)), key=lambda c: -c.worst
    )
    for check in ranked:
        for call in calls_of([check.demand]):
            is_whole = call.function.name in READERS and (solution_of(call).function.name == WHOLE)
            if is_whole:
                return check, call
    return None


def _together(factors: Sequence[float], cases: Sequence[Sequence[Push]]) -> list[Push]:
    """Return the loads of one combination, those of one place and extent added."""
    found: dict[tuple[float, float | None], float] = {}
    for factor, loads in zip(factors, cases, strict=True):
        for load in loads:
            key = (load.start, load.end)
            found[key] = found.get(key, 0.0) + factor * load.size
    return [Push(start, end, size) for (start, end), size in found.items() if size]


def _ask_sympy(model: Any, loads: Sequence[Push], ours: Any, tally: Tally) -> None:
    """Compare one combination at places between the loads.

    SymPy's module is right with exact fractions, one stiffness and values at places; its own
    extremes and stepped members are not asked for.
    """
    import numpy as np
    from sympy import Rational
    from sympy.physics.continuum_mechanics.beam import Beam

    def exact(number: float) -> Any:
        return Rational(f"{number:.12g}")

    length = length_of(model)
    beam = Beam(exact(length), 1, 1)
    supports = [0.0 if at is None else at for at in model.supports]
    unknowns = [
        beam.apply_support(exact(at), "roller" if place else "pin")
        for place, at in enumerate(supports)
    ]
    for load in loads:
        if load.end is None:
            beam.apply_load(exact(load.size), exact(load.start), -1)
        else:
            beam.apply_load(exact(load.size), exact(load.start), 0, exact(load.end))
    beam.solve_for_reaction_loads(*unknowns)
    up = [-float(beam.reaction_loads[unknown]) for unknown in unknowns]
    tally.compare("reactions", ours.reactions[0], up)
    extremes = ours.moment_extremes.of_member, ours.deflection_extremes.of_member
    turning = [float(at[0]) for each in extremes for at in (each.highest_at, each.lowest_at)]
    jumps = [*supports, *(place for load in loads for place in load[:2] if place is not None)]
    between = [length * (k + 0.5) / 12 for k in range(12)]
    between = [x for x in between if min(abs(x - at) for at in jumps) > 1e-6 * length]
    for what, ours_at, expression, places in (
        ("shear", ours.shear, beam.shear_force(), between),
        ("moment", ours.moment, beam.bending_moment(), [*between, *turning]),
        ("deflection", ours.deflection, beam.deflection(), [*between, *turning]),
    ):
        theirs = [float(expression.subs(beam.variable, exact(x))) for x in places]
        scale = model.EI if what == "deflection" else 1.0
        tally.compare(what, ours_at(np.array(places))[0] * scale, theirs)
