"""What the other design method gives for the same job, check by check, and why it differs."""

from __future__ import annotations

from dataclasses import dataclass, replace

from calclib.job.contents import Job
from calclib.job.solve import Solved, solve
from calclib.trace.check import ratio_text

OTHER = {"ASD": "LRFD", "LRFD": "ASD"}
WHY = (
    "ASD compares the loads as they are with reference values times a load duration factor. "
    "LRFD compares loads multiplied by their own factors with the same reference values times "
    "K_F, phi and a time effect factor. K_F is set so that both agree for snow that is three times "
    "the dead load. Floor live load has C_D 1.0 where snow has 1.15, but both have the time effect "
    "factor 0.8, so LRFD is the milder for floors, by about an eighth at the same ratio. "
    "Deflections are the same in both."
)


@dataclass(frozen=True)
class Pair:
    """One check by both methods.

    Attributes
    ----------
    id, title : str
    own, other : str
        Utilization as text.
    own_state, other_state : str
    """

    id: str
    title: str
    own: str
    other: str
    own_state: str
    other_state: str


def by_other_method(job: Job) -> Solved:
    """Solve the same job by the other method.

    Parameters
    ----------
    job : Job

    Returns
    -------
    Solved
    """
    block = {**job.title_block, "method": OTHER[job.title_block["method"]]}
    return solve(replace(job, title_block=block))


def side_by_side(solved: Solved) -> tuple[Pair, ...]:
    """Return every check that has a utilization, by the job's method and by the other.

    Parameters
    ----------
    solved : Solved

    Returns
    -------
    tuple of Pair
        Deflection, which is the same in both, is left out.
    """
    other = {check.id: check for check in by_other_method(solved.job).checks}
    return tuple(
        Pair(
            check.id,
            check.title,
            ratio_text(check.worst),
            ratio_text(other[check.id].worst),
            check.state,
            other[check.id].state,
        )
        for check in solved.checks
        if check.ratio is not None and "deflection" not in check.id and "sag" not in check.id
    )
