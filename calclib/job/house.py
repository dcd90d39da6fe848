"""What a job enters: its numbers as leaves, the loads of its surfaces, its point loads."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from calclib import published
from calclib.job.file import Entry, Job, Section
from calclib.job.member import LoadRow
from calclib.job.schema import called as words
from calclib.loads.takedown import dead_area_load, dead_load_on_plan
from calclib.trace import Value, leaf
from calclib.units import psf

Inputs = Mapping[str, Value]


def inputs_of(job: Job) -> dict[str, Value]:
    """Return every number of a job as a traced leaf, by its path in the file."""
    found: dict[str, Value] = {}

    def add(entry: Entry) -> None:
        key = entry.key
        found[entry.path] = leaf(
            entry.number,
            "" if key.kind in ("count", "ratio", "pitch") else key.unit,
            key.symbol,
            entry.path,
            title=entry.title,
            basis=entry.basis,  # type: ignore[arg-type]
            source=entry.source,
            verified=entry.verified,
            entered=entry.text,
            low=key.low,
            high=key.high,
            note=entry.note,
        )

    def every(section: Section) -> None:
        for entry in section.numbers.values():
            add(entry)
        for table in section.inside.values():
            for item in table.values():
                if isinstance(item, Entry):
                    add(item)
                else:
                    every(item)

    for named in job.sections.values():
        for section in named.values():
            every(section)
    return found


@cache
def live_load_of(use: str) -> Value:
    """Return the code's uniform live load for a use, as a leaf."""
    row = published.live_load(use)
    return leaf(
        row.number("uniform_psf") * psf,
        "psf",
        "q_L",
        f"{row.table}/{row.key[0]}",
        title=f"floor live load, {row.key[0]}",
        basis="required by code",
        source=row.printed,
        verified=row.status == "verified",
        note="" if row.status == "verified" else "from memory, compare with the printed table",
    )


@dataclass(frozen=True)
class AreaLoads:
    """The area loads of a surface by source, each a value; a source that it has not is absent."""

    by_source: Mapping[str, Value]


def surface_loads(section: Section, inputs: Inputs) -> AreaLoads:
    """Return the area loads of a surface."""
    layers = [
        inputs[item.path] for item in section.inside["layers"].values() if isinstance(item, Entry)
    ]
    found = {"D": dead_area_load(*layers)}
    if "use" in section.words:
        found["L"] = live_load_of(section.words["use"])
    for source, key in (("L", "live"), ("Lr", "roof_live"), ("S", "snow")):
        if key in section.numbers:
            found[source] = inputs[section.numbers[key].path]
    return AreaLoads(found)


def on_plan(section: Section, loads: AreaLoads, inputs: Inputs) -> Mapping[str, Value]:
    """Return the loads that a field carries, per area of plan, by source."""
    if "pitch" not in section.numbers or "D" not in loads.by_source:
        return loads.by_source
    sloped = dead_load_on_plan(loads.by_source["D"], inputs[f"{section.path}.pitch"])
    return {**loads.by_source, "D": sloped}


def point_rows(section: Section, inputs: Inputs) -> list[LoadRow]:
    """Return the loads of a point load, by source."""
    at = inputs[f"{section.path}.at"]
    across = inputs.get(f"{section.path}.across")
    sources = (("D", "dead"), ("L", "live"), ("Lr", "roof_live"), ("S", "snow"))
    return [
        LoadRow(
            source,
            section.path,
            words(section.path),
            inputs[f"{section.path}.{key}"],
            at,
            across=across,
        )
        for source, key in sources
        if key in section.numbers
    ]
