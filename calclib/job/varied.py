"""A job with some of its entries changed, and the neighbors of what cannot change by degrees."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import chain

from calclib import published
from calclib.errors import InputError, LookupMiss
from calclib.job.contents import Entry, Job, Section
from calclib.job.schema import called
from calclib.job.sense import contradictions
from calclib.job.sizes import stock
from calclib.units import feet_inches, inch

# How far a post may stand from where it was drawn.
POST_OFF = 6 * inch
FIELDS = ("joists", "rafters")
GRADED = ("joists", "rafters", "beams", "posts")
MEASURED = ("depth", "width", "ply_width")
# Joists that end over their inner supports, whatever the joint.
NOT_CONTINUOUS = ("simple", "lapped", "butted")


@dataclass(frozen=True)
class Change:
    """One step to a neighbor.

    Attributes
    ----------
    what : str
        What changes, in words.
    now, to : str
        As it is, and its neighbor.
    entries : mapping of str to str or float
        The new entries by their path.
    """

    what: str
    now: str
    to: str
    entries: Mapping[str, str | float]


def entries_of(job: Job) -> dict[str, Entry]:
    """Return every number of a job by its path."""
    found: dict[str, Entry] = {}
    stack = [section for named in job.sections.values() for section in named.values()]
    while stack:
        section = stack.pop()
        for entry in section.numbers.values():
            found[entry.path] = entry
        for item in chain.from_iterable(table.values() for table in section.inside.values()):
            if isinstance(item, Entry):
                found[item.path] = item
            else:
                stack.append(item)
    return found


def with_entries(job: Job, entries: Mapping[str, str | float]) -> Job:
    """Return a job with some entries changed; the text that it was read from stays.

    Parameters
    ----------
    job : Job
    entries : mapping of str to str or float
        By path: numbers in base units, words as they are written.

    Raises
    ------
    InputError
        When the changed entries contradict others.
    """

    def entry(old: Entry) -> Entry:
        number = entries.get(old.path)
        return old if number is None else replace(old, number=float(number))

    def section(old: Section) -> Section:
        words = {key: entries.get(f"{old.path}.{key}", word) for key, word in old.words.items()}
        return replace(
            old,
            numbers={key: entry(item) for key, item in old.numbers.items()},
            words=words,
            inside={
                name: {
                    key: entry(item) if isinstance(item, Entry) else section(item)
                    for key, item in table.items()
                }
                for name, table in old.inside.items()
            },
        )

    sections = {
        kind: {name: section(item) for name, item in named.items()}
        for kind, named in job.sections.items()
    }
    found = contradictions(job.file, sections)
    if found:
        raise InputError("\n".join(found))
    return replace(job, sections=sections)


def entries_with(job: Job, path: str, number: float) -> dict[str, str | float]:
    """Return the entries of a job that has another number at one place.

    A measured breadth or depth takes along the stock size that it comes nearest to, as a person
    who measured it would write.

    Parameters
    ----------
    job : Job
    path : str
        Of an entry.
    number : float [base units]
    """
    head, _, key = path.rpartition(".")
    kind, _, name = head.partition(".")
    section = job.of(kind).get(name)
    entries: dict[str, str | float] = {path: number}
    if section is None or key not in MEASURED or "species" not in section.words:
        return entries
    now = published.nominal_size(section.words["size"], "sawn")
    breadth = section.numbers.get("width", section.numbers.get("ply_width"))
    depth = section.numbers.get("depth")
    b = now.b_in if breadth is None else breadth.number
    d = now.d_in if depth is None else depth.number
    b, d = (b, number) if key == "depth" else (number, d)

    def away(size: str) -> float:
        other = published.nominal_size(size, "sawn")
        return abs(other.b_in - b) + abs(other.d_in - d)

    sizes = dict.fromkeys([section.words["size"], *(size for size, _ in stock(section))])
    entries[f"{head}.size"] = min(sizes, key=away)
    return entries


def neighbors(job: Job) -> Iterator[Change]:
    """Yield the neighbors of a job's grades, sizes, plies, joists and posts.

    Parameters
    ----------
    job : Job
    """
    for kind in GRADED:
        for section in job.of(kind).values():
            if section.words.get("stands") == "removed":
                continue
            yield from _grades(section)
            yield from _sizes(section)
            yield from _plies(section)
            yield from _joints(section)
            yield from _posts_off(section)


def _beside(items: list[str], now: str) -> list[str]:
    """Return the neighbors of an item in a row."""
    if now not in items:
        return []
    place = items.index(now)
    return [*items[max(place - 1, 0) : place], *items[place + 1 : place + 2]]


def _grades(section: Section) -> Iterator[Change]:
    words = section.words
    if not {"species", "grade", "size"} <= set(words):
        return
    try:
        b_in = published.nominal_size(words["size"], "sawn").b_in
        rows = published.size_rows(words["species"], words["grade"], b_in).rows
    except LookupMiss:
        return
    row = rows[-1]
    same = [
        other.text("grade")
        for other in published.rows(row.table)
        if (other.text("species"), other.text("size_class"))
        == (row.text("species"), row.text("size_class"))
    ]
    for grade in _beside(list(dict.fromkeys(same)), row.text("grade")):
        yield Change(
            f"Grade of {called(section.path)}", row.text("grade"), grade,
            {f"{section.path}.grade": grade},
        )  # fmt: skip


def _sizes(section: Section) -> Iterator[Change]:
    """Yield the next depths of stock; a measured depth varies by degrees."""
    words = section.words
    has_stock = {"species", "glulam", "material"} & set(words)
    if "size" not in words or not has_stock or {"depth", "laminations"} & set(section.numbers):
        return
    by_depth: dict[float, str] = {}
    try:
        now = published.nominal_size(words["size"])
        for size, _ in stock(section):
            other = published.nominal_size(size)
            if abs(other.b_in - now.b_in) < 1e-6:
                by_depth.setdefault(other.d_in, size)
    except LookupMiss:
        return
    depths = sorted(by_depth)
    if now.d_in not in depths:
        return
    for size in _beside([by_depth[d] for d in depths], by_depth[now.d_in]):
        yield Change(
            f"Size of {called(section.path)}", words["size"], size, {f"{section.path}.size": size}
        )


def _plies(section: Section) -> Iterator[Change]:
    entry = section.numbers.get("plies")
    if entry is None or section.kind != "beams" or "glulam" in section.words:
        return
    for number in (entry.number - 1, entry.number + 1):
        if entry.key.low is not None and number < entry.key.low:
            continue
        yield Change(
            f"Plies of {called(section.path)}", f"{entry.number:g}", f"{number:g}",
            {entry.path: number},
        )  # fmt: skip


def _joints(section: Section) -> Iterator[Change]:
    if section.kind not in FIELDS or len(section.inside.get("spans", ())) < 2:
        return
    now = section.words.get("over_supports", "simple")
    to = "continuous" if now in NOT_CONTINUOUS else "simple"
    yield Change(
        f"{called(section.path).capitalize()} over their inner supports", now, to,
        {f"{section.path}.over_supports": to},
    )  # fmt: skip


def _posts_off(section: Section) -> Iterator[Change]:
    """Yield each post under a beam six inches off along the beam, either way."""
    if section.kind != "beams":
        return
    spans = [item for item in section.inside.get("spans", {}).values() if isinstance(item, Entry)]
    starts = section.numbers.get("starts_at")
    for place, seat in enumerate(section.seats()):
        if not str(seat.words.get("on", "")).startswith("posts."):
            continue
        for off in (-POST_OFF, POST_OFF):
            entries: dict[str, str | float] = {}
            if place > 0:
                before = spans[place - 1]
                entries[before.path] = before.number + off
            elif starts is not None:
                entries[starts.path] = starts.number + off
            if place < len(spans):
                after = spans[place]
                entries[after.path] = after.number - off
            yield Change(
                f"{called(seat.words['on']).capitalize()} under {called(section.path)}",
                "where it stands",
                f"{feet_inches(abs(off))} {'farther along' if off > 0 else 'back'}",
                entries,
            )


__all__ = ["Change", "entries_of", "entries_with", "neighbors", "with_entries"]
