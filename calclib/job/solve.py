"""Solve a job: loads from the top down, each beam by its exact solution, its checks."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from calclib import published
from calclib.job import graph, house
from calclib.job.beam import SolvedBeam, solve_beam
from calclib.job.file import Job
from calclib.job.house import AreaLoads
from calclib.job.member import LoadRow, groups, load_on_post
from calclib.job.schema import GROUND, called
from calclib.loads import case_set
from calclib.trace import Check, Value, check

STAGE = "finished"


@dataclass(frozen=True, eq=False)
class Solved:
    """A solved job.

    Attributes
    ----------
    job : Job
    inputs : mapping of str to Value
        Every number of the file by its path.
    surfaces : mapping of str to AreaLoads
    landed : mapping of str to tuple of LoadRow
        What lands on each member and on the ground, in the order it arrived.
    beams : tuple of SolvedBeam
        From the top of the house down.
    checks : tuple of Check
    """

    job: Job
    inputs: Mapping[str, Value]
    surfaces: Mapping[str, AreaLoads]
    landed: Mapping[str, tuple[LoadRow, ...]]
    beams: tuple[SolvedBeam, ...]
    checks: tuple[Check, ...]

    def __repr__(self) -> str:
        return f"<solved {self.job!r}, {len(self.checks)} checks>"

    def _repr_html_(self) -> str:
        from calclib.job.rich import solved_html

        return solved_html(self)


def solve(job: Job) -> Solved:
    """Take the loads of a job down to the ground and check its beams.

    Parameters
    ----------
    job : Job

    Returns
    -------
    Solved

    Raises
    ------
    CalcError
        When a material or a service is outside the tables.

    Notes
    -----
    Loads of a member that rests on the ground leave the calculation there.
    """
    inputs = house.inputs_of(job)
    surfaces = {
        name: house.surface_loads(section, inputs) for name, section in job.of("surfaces").items()
    }
    members = graph.members(job.sections)
    landed: dict[str, list[LoadRow]] = {path: [] for path in (*members, GROUND)}
    beams: list[SolvedBeam] = []
    checks: list[Check] = []
    for path in graph.order(job.sections):
        section = members[path]
        kind = path.partition(".")[0]
        here = tuple(landed[path])
        if kind in ("joists", "rafters"):
            rows = house.field_rows(section, surfaces[section.words["surface"]], inputs)
            for carrier, row in rows:
                landed[carrier].append(row)
        elif kind == "points":
            landed[graph.supports(section)[0]] += house.point_rows(section, inputs)
        elif kind == "walls":
            carrier = graph.supports(section)[0]
            landed[carrier] += here if carrier == GROUND else house.wall_rows(section, here, inputs)
        elif kind == "beams":
            beam = solve_beam(job, section, here, inputs)
            beams.append(beam)
            checks += beam.checks
            for place, carrier in enumerate(graph.supports(section)):
                landed[carrier] += _handed_down(beam, place)
        else:
            landed[graph.supports(section)[0]] += here
            checks.append(_post_check(path, section.words, here, job.title_block["load_standard"]))
    return Solved(
        job,
        inputs,
        surfaces,
        {path: tuple(rows) for path, rows in landed.items()},
        tuple(beams),
        tuple(checks),
    )


def _handed_down(beam: SolvedBeam, support: int) -> list[LoadRow]:
    return [
        LoadRow(share.row.source, share.row.origin, share.name, share.on[support])
        for share in beam.shares
    ]


def _post_check(
    path: str, words: Mapping[str, Any], landed: tuple[LoadRow, ...], edition: str
) -> Check:
    size = published.nominal_size(words["size"])
    demand = None
    cases: tuple[str, ...] = ()
    if landed:
        combined = case_set(edition, groups(landed, 1), ("",))
        cases = combined.names
        sources = tuple(group.source for group in combined.groups)
        sizes = tuple(
            tuple(row.size for row in landed if row.source == source) for source in sources
        )
        (demand,) = load_on_post(called(path), sources, sizes, combined.factors)
    return check(
        f"{STAGE}/{path}/axial",
        f"Load on {called(path)}",
        "NDS 2018 3.6, 3.7",
        demand,
        None,
        cases=cases,
        questions=(
            f"{called(path).capitalize()} ({words['size']}, {size.b_in:g} in by "
            f"{size.d_in:g} in): its capacity as a column, what it stands on and the ground below "
            "are not calculated here; the engineer is to check them for this load.",
        ),
    )
