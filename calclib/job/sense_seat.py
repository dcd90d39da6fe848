"""What a job file must make sense of about ends: blocking, plates, pockets, connections."""

from __future__ import annotations

from collections.abc import Mapping

from calclib import published
from calclib.errors import LookupMiss, quoted
from calclib.job import graph
from calclib.job.contents import Section
from calclib.job.errors import Errors
from calclib.job.graph import Sections
from calclib.job.reading import hint
from calclib.job.schema import BLOCKING, CONNECTION, GROUND, SUPPORT, WALL, Key

FLAT = "flat"
BUILT_IN = "blocking_built_in"
METAL = ("metal_plate_length", "metal_plate_width")


def _given(section: Section) -> set[str]:
    return {*section.numbers, *section.words}


def _want(section: Section, key: Key, why: str, errors: Errors) -> None:
    errors.add(f"{section.path}.{key.name}", f"the {key.title}, {why}", "nothing",
               f"Write {key.line}.")  # fmt: skip


def blocking(section: Section, errors: Errors) -> None:
    """See that blocking is told in full, and is in the tables."""
    given = _given(section)
    if not any(key.name in given for key in BLOCKING):
        return
    flat = section.words.get("blocking") == FLAT
    for key in BLOCKING:
        if key.name not in given and (key.name != BUILT_IN or flat):
            _want(section, key, "for there is blocking", errors)
    if BUILT_IN in given and section.words.get("blocking") not in (FLAT, "", None):
        errors.add(
            f"{section.path}.{BUILT_IN}",
            "flat blocking, for squash blocks hardly shrink along their grain",
            quoted(section.words["blocking"]),
            "Take it out.",
        )
    words = [section.words.get(f"blocking_{key}") for key in ("size", "species", "grade")]
    if not all(words):
        return
    of, species, grade = map(str, words)
    try:
        size = published.nominal_size(of, "sawn")
    except LookupMiss as miss:
        do = hint(miss, of, 'Write blocking_size = "2x4".')
        errors.add(f"{section.path}.blocking_size", "a stock size of sawn lumber", quoted(of), do)
        return
    try:
        published.sawn_lumber(species, grade, size.b_in, size.d_in)
    except LookupMiss as miss:
        what = "species" if quoted(species) in str(miss) else "grade"
        word = species if what == "species" else grade
        do = hint(miss, word, f"The tables say: {miss}")
        errors.add(f"{section.path}.blocking_{what}", f"a {what} of the tables", quoted(word), do)


def seat(section: Section, errors: Errors) -> None:
    """See that what is below a support of a beam is told in full and once."""
    blocking(section, errors)
    given = _given(section)
    for key in SUPPORT:
        if key.name in METAL and key.name not in given and given & set(METAL):
            _want(section, key, "for there is a metal plate", errors)
    on, pocket = section.words["on"], section.words.get("seat")
    if pocket and on and on != GROUND and not on.startswith("footings."):
        errors.add(
            f"{section.path}.seat",
            "a support on the ground or a footing, for it has a pocket of concrete or masonry",
            quoted(on),
            "Take it out.",
        )
    if "concrete" in given and pocket != "concrete":
        errors.add(
            f"{section.path}.seat",
            'seat = "concrete", for the strength of concrete is given',
            quoted(pocket) if pocket else "nothing",
            'Write seat = "concrete".',
        )


# What each kind joins: the first of it, and the start of what it is tied to.
JOINED: dict[str, tuple[str, ...]] = {
    "post cap": ("beams.", "posts."),
    "post base": ("posts.", ""),
    "end brace": ("beams.",),
    "plate tie": ("beams.",),
    "notch tie": ("walls.",),
}
AN_EXAMPLE = {
    "post cap": '["beams.opening", "posts.west"]',
    "post base": '["posts.west"]',
    "end brace": '["beams.opening"]',
    "plate tie": '["beams.opening"]',
    "notch tie": '["walls.kitchen"]',
}
OF_A_TIE = ("thickness", "width", "nails")


def connections(sections: Sections, errors: Errors) -> None:
    """See that each connection joins members that meet, once, and says by which report."""
    members = graph.members(sections)
    seen: dict[tuple[str, frozenset[str]], str] = {}
    for section in sections.get("connections", {}).values():
        kind, joins = section.words["kind"], tuple(section.words["joins"])
        if not kind or not joins or "" in joins:
            continue
        if not _fits(kind, joins, members):
            errors.add(
                f"{section.path}.joins",
                f"members of this file that meet there, for the {kind}",
                ", ".join(map(quoted, joins)),
                f"Write joins = {AN_EXAMPLE[kind]}.",
            )
            continue
        first = seen.setdefault((kind, frozenset(joins)), section.path)
        if first != section.path:
            errors.add(
                section.path, f"one {kind} at each place", f"a second beside {first}",
                "Take one of them out.",
            )  # fmt: skip
        _listed(section, kind, errors)


def _fits(kind: str, joins: tuple[str, ...], members: Mapping[str, Section]) -> bool:
    """Tell whether members are there, of the kinds that a connection joins, and meet."""
    first, *others = sorted(joins, key=lambda path: not path.startswith(JOINED[kind][0]))
    if first not in members or not first.startswith(JOINED[kind][0]):
        return False
    if not others:
        return kind != "post cap"
    (other, *more) = others
    meets = other in graph.supports(members[first])
    return not more and meets and JOINED[kind][1:] != () and other.startswith(JOINED[kind][1])


def _listed(section: Section, kind: str, errors: Errors) -> None:
    given = _given(section)
    for key in CONNECTION:
        if key.name == "report" and kind != "end brace" and given & {"capacity", "uplift"}:
            if "report" not in given:
                _want(section, key, "for a listed capacity is given", errors)
        elif key.name in OF_A_TIE and (key.name in given) != (kind == "notch tie"):
            if kind == "notch tie":
                _want(section, key, "for the code asks for it", errors)
            else:
                errors.add(
                    f"{section.path}.{key.name}", "it for a notch tie alone", f"a {kind}",
                    "Take it out; the report of a connection says its size.",
                )  # fmt: skip


def plates(section: Section, errors: Errors) -> None:
    """See that a notch of a wall's plate comes with the plate's width."""
    given = _given(section)
    for key in WALL:
        pair = {"plate_notch", "plate_width"}
        if key.name in pair and key.name not in given and given & pair:
            _want(section, key, "for a plate that is notched", errors)


def cut_plates(beam: Section, errors: Errors) -> None:
    """See that plates that run through ask for no tie."""
    if beam.words.get("plates") == "run through" and "plate_tie_force" in beam.numbers:
        errors.add(
            f"{beam.path}.plate_tie_force",
            "plates that are cut, for a force that ties them",
            quoted("run through"),
            "Take it out.",
        )
