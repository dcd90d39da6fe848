"""The house: what lands on each member, and what each hands to those that carry it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache

from calclib import published
from calclib.job import graph
from calclib.job.file import Entry, Job, Section
from calclib.job.member import LoadRow, continuous_line_reaction
from calclib.job.schema import called as words
from calclib.loads.takedown import dead_area_load, strip_reaction, wall_line_load
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
            "" if key.kind in ("count", "ratio") else key.unit,
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


def extent(section: Section, inputs: Inputs) -> tuple[Value | None, Value | None]:
    """Return where a member begins and ends along the line; None for the whole of its carrier."""
    if "from" not in section.numbers:
        return None, None
    return inputs[f"{section.path}.from"], inputs[f"{section.path}.to"]


def field_rows(section: Section, loads: AreaLoads, inputs: Inputs) -> list[tuple[str, LoadRow]]:
    """Return what a joist or rafter field puts on each of its supports: (support, row)."""
    start, end = extent(section, inputs)
    carriers = graph.supports(section)
    if "span" in section.numbers:
        spans = [inputs[f"{section.path}.span"]]
    else:
        spans = [inputs[item.path] for item in section.inside["spans"].values()]  # type: ignore[union-attr]
    continuous = section.words.get("over_supports") == "continuous"
    found: list[tuple[str, LoadRow]] = []

    def add(support: int, source: str, size: Value, span: str = "") -> None:
        name = words(section.path) + (f", span {span}" if span else "")
        found.append((carriers[support], LoadRow(source, section.path, name, size, start, end)))

    names = list(section.inside.get("spans", {})) or [""]
    for source, q in loads.by_source.items():
        if continuous and len(spans) > 1:
            loaded = [range(len(spans))] if source != "L" else [[i] for i in range(len(spans))]
            for on in loaded:
                for support in range(len(carriers)):
                    size = _continuous(spans, q, on, support)
                    add(support, source, size, names[on[0]] if source == "L" else "")
        else:
            for place, span in enumerate(spans):
                size = strip_reaction(q, span)
                add(place, source, size, names[place])
                add(place + 1, source, size, names[place])
    return found


def _continuous(spans: list[Value], q: Value, on: object, support: int) -> Value:
    loads = tuple(q if place in on else None for place in range(len(spans)))  # type: ignore[operator]
    (size,) = continuous_line_reaction(tuple(spans), loads, support)
    return size  # type: ignore[no-any-return]


def wall_rows(section: Section, landed: tuple[LoadRow, ...], inputs: Inputs) -> list[LoadRow]:
    """Return what a wall that stands on a member hands to it: its loads and its own weight."""
    start, end = extent(section, inputs)
    handed = [replace(row, start=start, end=end) if row.start is None else row for row in landed]
    own = wall_line_load(inputs[f"{section.path}.weight"], inputs[f"{section.path}.height"])
    return [*handed, LoadRow("D", section.path, words(section.path), own, start, end)]


def point_rows(section: Section, inputs: Inputs) -> list[LoadRow]:
    """Return the loads of a point load, by source."""
    at = inputs[f"{section.path}.at"]
    sources = (("D", "dead"), ("L", "live"), ("Lr", "roof_live"), ("S", "snow"))
    return [
        LoadRow(source, section.path, words(section.path), inputs[f"{section.path}.{key}"], at)
        for source, key in sources
        if key in section.numbers
    ]
