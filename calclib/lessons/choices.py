"""What is chosen and not moved: the wood of a beam, its grade, its size, the number of plies."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from calclib import published
from calclib.errors import LookupMiss, did_you_mean, message, quoted
from calclib.job.contents import Job, Section
from calclib.job.edit import edited
from calclib.job.file import parse
from calclib.job.sense_wood import REPORTED
from calclib.job.sizes import stock
from calclib.job.wood import product_of
from calclib.lessons.design import MADE_HERE, before
from calclib.published.lumber import sawn_lumber

WOOD, GRADE, SIZE, PLIES = "wood", "grade", "size", "plies"
NO_GRADE = "as its class says"
# The grade that a beam of another species starts with, where its tables hold it.
USUAL_GRADES = ("No.2", "No.1/No.2", "No.1")
# What a beam of one kind of wood says and a beam of another kind must not.
OF_ONE_WOOD = (
    "material", "report", *REPORTED, "glulam", "laminations", "species", "grade", "incised",
    "repetitive", "density", "specific_gravity",
)  # fmt: skip
# common practice, no source
COMPOSITE_DENSITY = "42 pcf"
MEASURED = ("ply_width", "depth")


@dataclass(frozen=True)
class Choice:
    """Something that is one of several.

    Attributes
    ----------
    key, name : str
        "size", and what it is in words with its unit.
    now : str
        What the job has.
    options : tuple of str
        All that can be chosen, `now` among them.
    """

    key: str
    name: str
    now: str
    options: tuple[str, ...]


def choices(section: Section, start: Section | None = None) -> tuple[Choice, ...]:
    """Return what can be chosen of a beam: wood, grade, size and plies.

    Parameters
    ----------
    section : Section
        A beam.
    start : Section, optional
        The beam as it was, whose wood can be chosen again.

    Returns
    -------
    tuple of Choice
    """
    stocked = list(stock(section))
    size = section.words["size"]
    grade = section.words.get("grade", NO_GRADE)
    plies = str(int(section.numbers["plies"].number))
    woods = dict.fromkeys((wood_of(start or section), *_woods()))
    counts = dict.fromkeys(str(count) for name, count in stocked if _same(name, size))
    return (
        _choice(WOOD, "Wood (species or class)", wood_of(section), woods),
        _choice(GRADE, "Grade", grade, _grades(section)),
        _choice(SIZE, "Size of a ply (nominal, in)", size, _sizes(section, stocked)),
        _choice(PLIES, "Plies (number)", plies, counts),
    )


def _choice(key: str, name: str, now: str, options: Any) -> Choice:
    found = tuple(options)
    return Choice(key, name, now, found if now in found else (now, *found))


def wood_of(section: Section) -> str:
    """Return the wood of a beam in words: species, class, or class by a report."""
    words = section.words
    if "report" in words:
        return f"{words['material']} by report {words['report']}"
    return str(words.get("glulam") or words.get("material") or words["species"])


def _woods() -> Iterator[str]:
    for table in ("nds-2018-4a", "nds-2018-4b"):
        yield from published.choices(table, "species")
    for row in published.rows("scl-generic"):
        if row.text("use") != "column":
            yield row.text("name")
    yield from published.choices("nds-2018-5a", "designation")


def _grades(section: Section) -> Iterator[str]:
    if product_of(section) != "sawn":
        yield NO_GRADE
        return
    b = published.nominal_size(section.words["size"], "sawn").b_in
    for grade in dict.fromkeys(_all_grades()):
        if _is_listed(section.words["species"], grade, section.words["size"], b):
            yield grade


def _all_grades() -> Iterator[str]:
    for table in ("nds-2018-4a", "nds-2018-4b", "nds-2018-4d"):
        yield from published.choices(table, "grade")


def _is_listed(species: str, grade: str, size: str, b_in: float) -> bool:
    try:
        sawn_lumber(species, grade, b_in, published.nominal_size(size, "sawn").d_in)
    except LookupMiss:
        return False
    return True


def _sizes(section: Section, stocked: Sequence[tuple[str, int]]) -> Iterator[str]:
    product = product_of(section)
    for name in dict.fromkeys(name for name, _ in stocked):
        b, d = published.nominal_size(name, product)[:2]
        words = section.words
        is_sawn = product == "sawn"
        if d >= b and not (is_sawn and not _is_listed(words["species"], words["grade"], name, b)):
            yield name


def _same(one: str, other: str) -> bool:
    return published.nominal_size(one)[:2] == published.nominal_size(other)[:2]


def with_choices(job: Job, beam: str, chosen: Mapping[str, str]) -> Job:
    """Return a job with another wood, grade, size or number of plies of a beam.

    Parameters
    ----------
    job : Job
    beam : str
        Name of the beam.
    chosen : mapping of str to str
        Options by the key of their `Choice`; what is chosen as the job has it changes nothing.

    Returns
    -------
    Job
        Its text holds the change, and what stood there before where a note can say it.

    Raises
    ------
    LookupMiss
        When there is no such choice.
    CalcError
        When a job so changed makes no sense.

    Notes
    -----
    Another kind of wood brings what its kind must say: no incising for sawn lumber, the density
    of 42 pcf (common practice) for composite lumber, one ply for glulam, and the stock size of
    its kind that comes nearest.
    """
    made = {WOOD: _other_wood, GRADE: _other_grade, SIZE: _other_size, PLIES: _other_plies}
    for key in chosen:
        if key not in made:
            needs, near = f"one of {', '.join(made)}", did_you_mean(key, made)
            raise LookupMiss(message("what to choose", needs, quoted(key), near))
    for key, change in made.items():
        section = job.of("beams")[beam]
        now = next(choice.now for choice in choices(section) if choice.key == key)
        if chosen.get(key, now) != now:
            changes = {f"{section.path}.{name}": it for name, it in change(section, chosen[key])}
            job = parse(edited(job.text, changes, job.file), job.file)
    return job


Changes = Iterator[tuple[str, Any]]


def _told(section: Section, key: str, option: str) -> dict[str, str]:
    """Return words that say how they are known."""
    told = {"value": option, "basis": "chosen", "source": MADE_HERE}
    if key in section.known:
        return told | {"note": before(section.known[key].text, section.known[key])}
    return told | {"note": f"before: {section.words[key]}"} if key in section.words else told


def _other_grade(section: Section, option: str) -> Changes:
    if option != NO_GRADE:
        yield "grade", _told(section, "grade", option)


def _other_size(section: Section, option: str) -> Changes:
    yield "size", option
    for key in MEASURED:
        if key in section.numbers:
            yield key, None


def _other_plies(section: Section, option: str) -> Changes:
    entry = section.numbers["plies"]
    told = {"value": int(option), "basis": "chosen", "source": MADE_HERE}
    yield "plies", told | {"note": before(entry.text, entry)}
    if int(option) < 3 and section.words.get("repetitive") == "yes":
        yield "repetitive", "no"


def _other_wood(section: Section, option: str) -> Changes:
    said = {"species": option}
    if option in published.choices("nds-2018-5a", "designation"):
        said = {"glulam": option}
    elif any(row.text("name") == option for row in published.rows("scl-generic")):
        said = {"material": option}
    kept = {k: v for k, v in section.words.items() if k not in OF_ONE_WOOD}
    other = replace(section, words=kept | said)
    is_same_kind = product_of(other) == product_of(section)
    kept_keys: tuple[str, ...] = ("incised", "repetitive") if is_same_kind else ()
    if is_same_kind and product_of(other) == "composite":
        kept_keys += ("density", "specific_gravity")
    for key in OF_ONE_WOOD:
        has = key in section.words or key in section.numbers
        if has and key not in said and key not in kept_keys:
            yield key, None
    for key, value in said.items():
        yield key, _told(section, key, value) if key == "species" else value
    if product_of(other) == "sawn":
        yield "grade", _told(section, "grade", _usual_grade(section, option))
        if not is_same_kind:
            yield "incised", "no"
    elif product_of(other) == "composite" and not is_same_kind:
        yield (
            "density",
            {"value": COMPOSITE_DENSITY, "basis": "common practice", "source": MADE_HERE},
        )
    if not is_same_kind:
        size = _nearest(section, other)
        yield from _other_size(section, size)
        counts = [count for name, count in stock(other) if name == size]
        plies = int(section.numbers["plies"].number)
        if plies not in counts:
            yield from _other_plies(section, str(min(counts, key=lambda n: abs(n - plies))))


def _usual_grade(section: Section, species: str) -> str:
    now = section.words.get("grade", "")
    listed = [
        grade
        for grade in dict.fromkeys((now, *USUAL_GRADES, *_all_grades()))
        if grade and _is_listed(species, grade, "2x6", 1.5)
    ]
    return listed[0]


def _nearest(section: Section, other: Section) -> str:
    """Return the stock size of another kind of wood that comes nearest to a beam's."""
    b, d = published.nominal_size(section.words["size"], product_of(section))[:2]
    if product_of(other) == "glulam":
        b *= section.numbers["plies"].number
    names = dict.fromkeys(name for name, _ in stock(other))

    def away(name: str) -> float:
        size = published.nominal_size(name, product_of(other))
        return abs(size.d_in - d) + abs(size.b_in - b)

    return min(names, key=away)
