"""The lists of a job for those who saw, buy and nail."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from calclib.job.carry import House
from calclib.job.contents import Section
from calclib.job.schema import called
from calclib.job.work.cutting import (
    ConnectorRow,
    CutRow,
    MaterialRow,
    connector,
    cut,
    flush_beam_cuts,
    materials,
    shore_cuts,
)
from calclib.job.work.fitting import Fit
from calclib.job.work.geometry import stud_lengths
from calclib.job.work.members import plate_size
from calclib.job.work.readings import Reading
from calclib.job.work.shores import Shore
from calclib.trace import Check, Value, leaves

# Connections of the schedule that are bought, by the part of a check's id: their kind in the file.
KINDS = {
    "cap": "post cap", "foot": "post base", "ends": "end brace", "plate_tie": "plate tie",
    "notch_tie": "notch tie", "rafter_tie": "rafter tie",
}  # fmt: skip


@dataclass(frozen=True, eq=False)
class Lists:
    """What is cut, bought and fastened.

    Attributes
    ----------
    cuts : tuple of CutRow
    materials : tuple of MaterialRow
    connectors : tuple of ConnectorRow
    """

    cuts: tuple[CutRow, ...]
    materials: tuple[MaterialRow, ...]
    connectors: tuple[ConnectorRow, ...]


def lists_of(
    house: House, work: Section, beam: Section, fit: Fit, shores: Sequence[Shore],
    checks: Sequence[Check],
) -> Lists:  # fmt: skip
    """Return the lists of a work.

    Parameters
    ----------
    house : House
    work, beam : Section
    fit : Fit
    shores : sequence of Shore
    checks : sequence of Check
        Of the whole job; hangers are taken from theirs.
    """
    cuts: list[CutRow] = []
    for shore in shores:
        cuts += _shore(house, work, shore)
    cuts += _beam(house, work, beam, fit, shores)
    for seat in beam.seats():
        on = str(seat.words["on"])
        if on.startswith("posts."):
            post = house.section(on)
            cuts.append(
                cut(
                    f"cuts/{work.name}/{on}", "post", str(post.words["size"]),
                    house.inputs[f"{on}.height"], (called(on),),
                    int(post.numbers["plies"].number) if "plies" in post.numbers else 1,
                )
            )  # fmt: skip
    return Lists(tuple(cuts), materials(cuts), tuple(_connectors(house, beam, shores, checks)))


def _shore(house: House, work: Section, shore: Shore) -> list[CutRow]:
    section, words = shore.section, shore.section.words
    if shore.shored is None:
        return []
    height = house.inputs[f"{section.path}.height"]
    plates = [plate_size(section)[0]] * int(
        section.numbers["top_plates"].number + section.numbers["sills"].number
    )

    def length(number: int) -> Value:
        taped = house.inputs.get(f"{work.path}.heights.{section.name}_{number}")
        if taped is None:
            return height
        return stud_lengths((Reading("", taped),), plates)[0][1]

    name = section.name.replace("_", " ")
    id = f"cuts/{work.name}/{section.name}"
    rows = list(
        shore_cuts(
            id, [
                (f"{name} shore, {stud.name}", length(number))
                for number, stud in enumerate(shore.shored.studs, start=1)
            ],
            shore.length, section=str(words["size"]), plate_section=str(words["plate_size"]),
            top=int(section.numbers["top_plates"].number),
            sill=int(section.numbers["sills"].number), where=f"{name} shore",
        )
    )  # fmt: skip
    braces = int(section.numbers["brace_rows"].number)
    if braces:
        rows.append(
            cut(f"{id}/brace", "row of braces", "2x4", shore.length, (f"{name} shore",), braces)
        )
    return rows


def _beam(
    house: House, work: Section, beam: Section, fit: Fit, shores: Sequence[Shore]
) -> list[CutRow]:
    plies = int(beam.numbers["plies"].number)
    section, id = str(beam.words["size"]), f"cuts/{work.name}/beam"
    if fit.flush is None:
        return [cut(f"{id}/ply", "ply of the beam", section, fit.length, ("beam",), plies)]
    count = max((len(shore.joists) for shore in shores), default=0)
    bays = tuple(f"bay {number}" for number in range(1, count))
    above = fit.flush.stud is not None
    studs = tuple(f"stud {number}" for number in range(1, count + 1)) if above else ()
    return list(
        flush_beam_cuts(
            id, fit.flush, fit.length, section=section, plies=plies, bays=bays,
            nailer_section="2x4", studs=studs, stud_section="2x4" if studs else "",
        )
    )  # fmt: skip


def _connectors(
    house: House, beam: Section, shores: Sequence[Shore], checks: Sequence[Check]
) -> list[ConnectorRow]:
    count = max((len(shore.joists) for shore in shores), default=1)
    rows = []
    for made in checks:
        state, member, what = made.id.split("/", 2)
        if state != "finished" or made.demand is None:
            continue
        if what == f"hanger.{beam.name}":
            field = ".".join(member.split(".")[:2])
            report = str(house.section(field).words.get("hanger_report", ""))
            rows.append(connector("hanger", made.title, count, made, report))
        elif what.split(".")[0] in KINDS:
            kind = KINDS[what.split(".")[0]]
            each = 1
            if kind == "end brace":
                each = len(list(house.section(member).seats()))
            elif kind == "rafter tie":
                each = count
            rows.append(connector(kind, made.title, each, made, _report(house, made)))
    return rows


def _report(house: House, made: Check) -> str:
    """Return the number of the report that the capacity of a check was listed in."""
    used = set() if made.capacity is None else {leaf.id for leaf in leaves(made.capacity)}
    for told in house.job.of("connections").values():
        if {f"{told.path}.capacity", f"{told.path}.uplift"} & used:
            return str(told.words.get("report", ""))
    return ""
