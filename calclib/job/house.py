"""What a job enters: its numbers as leaves, the loads of its surfaces, its point loads."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from calclib import published
from calclib.job.file import Entry, Job, Section
from calclib.job.graph import FIELDS
from calclib.job.member import LoadRow
from calclib.job.schema import called as words
from calclib.loads.reduction import (
    roof_live_load,
    roof_reduction_by_area,
    roof_reduction_by_slope,
)
from calclib.loads.snow import roof_snow
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
    """The area loads of a surface, each a value.

    Attributes
    ----------
    by_source : mapping of str to Value [psf]
        A source that it has not is absent.
    leeward, windward : Value or None [psf]
        Snow on the two slopes when it is not balanced.
    """

    by_source: Mapping[str, Value]
    leeward: Value | None = None
    windward: Value | None = None


def surface_loads(section: Section, inputs: Inputs, edition: str) -> AreaLoads:
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
    path, words_ = section.path, section.words
    if "roof_area" in section.numbers:
        found["Lr"] = roof_live_load(
            found["Lr"],
            roof_reduction_by_area(inputs[f"{path}.roof_area"]),
            roof_reduction_by_slope(inputs[f"{path}.pitch"]),
        )
    if "ground_snow" not in section.numbers:
        return AreaLoads(found)
    snow = roof_snow(
        edition,
        *(inputs[f"{path}.{key}"] for key in ("ground_snow", "pitch", "eave_to_ridge")),
        terrain=words_["terrain"],
        exposure=words_["exposure"],
        thermal=words_["thermal"],
        risk_category=words_["risk_category"],
        slippery=words_["slippery"] == "yes",
        where_=path,
    )
    found["S"] = snow.balanced
    return AreaLoads(found, snow.leeward, snow.windward)


def unbalanced_on(
    section: Section, surfaces: Mapping[str, AreaLoads], members: Mapping[str, Section]
) -> list[tuple[str, Value]]:
    """Return the snow on a field in each way in which it lies when it is not balanced.

    Parameters
    ----------
    section : Section
        The field.
    surfaces : mapping of str to AreaLoads
    members : mapping of str to Section
        What stands: each field of the roof is the leeward slope in one of the ways.

    Returns
    -------
    list of (str, Value)
        The way in words, and the load on the plan [psf]; a bare slope is left out.
    """
    surface = section.words["surface"]
    loads = surfaces[surface]
    if loads.leeward is None:
        return []
    found = []
    for other in members.values():
        if other.kind in FIELDS and other.words["surface"] == surface:
            q = loads.leeward if other.path == section.path else loads.windward
            if q is not None:
                found.append((f"snow drifted onto {words(other.path)}", q))
    return found


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
