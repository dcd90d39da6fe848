"""What the work in stages must make sense of: its beam, its shores, and what they stand on."""

from __future__ import annotations

from calclib import published
from calclib.errors import LookupMiss, did_you_mean, quoted
from calclib.job import graph
from calclib.job.contents import Section
from calclib.job.errors import Errors
from calclib.job.graph import Sections
from calclib.job.reading import hint
from calclib.job.schema import GROUND, WORK, called
from calclib.job.sense_wood import in_tables, plate, stock_size

NEEDLE = ("needle_size", "needle_species", "needle_grade", "needle_spacing")


def the_stages(sections: Sections, errors: Errors) -> None:
    """See that each work names a beam, and that its shores hold joists which rest there.

    Parameters
    ----------
    sections : mapping
        As read.
    errors : Errors
    """
    beams: dict[str, str] = {}
    for work in sections.get("work", {}).values():
        beam = _beam_of(work, sections, errors)
        if beam is not None and beam.path in beams:
            errors.add(
                f"{work.path}.beam", "one work for each beam",
                f"{quoted(beam.path)}, which {beams[beam.path]} has", "Take one of them out.",
            )  # fmt: skip
        if beam is not None:
            beams[beam.path] = work.path
        _needles(work, errors)
        _together(work, ("lift_capacity", "lift_report"), errors)
        _together(work, ("studs_above", "plate_above", "plate_on_beam"), errors)
        for shore in _inside(work, "shores"):
            _shore(shore, beam, sections, errors)
        shores = work.inside.get("shores", {})
        for name in work.inside.get("heights", {}):
            of, _, number = name.rpartition("_")
            if of not in shores or not number.isdigit():
                errors.add(
                    f"{work.path}.heights.{name}",
                    f"a shore of this work ({', '.join(shores) or 'none'}) and a stud's number",
                    quoted(name), 'Write south_1 = "8 ft 1 in" for the first stud of shore south.',
                )  # fmt: skip
        for post in _inside(work, "carried_down"):
            _carried_down(post, tuple(shores), errors)


def _inside(work: Section, table: str) -> list[Section]:
    return [item for item in work.inside.get(table, {}).values() if isinstance(item, Section)]


def _beam_of(work: Section, sections: Sections, errors: Errors) -> Section | None:
    name = work.words["beam"]
    if not name:
        return None
    for beam in sections.get("beams", {}).values():
        if beam.path == name:
            return beam
    known = [beam.path for beam in sections.get("beams", {}).values()]
    do = did_you_mean(name, known) or f"Write one of: {', '.join(known[:8])}."
    errors.add(f"{work.path}.beam", "a beam of this file", quoted(name), do)
    return None


def _example(name: str) -> str:
    return next(key.line for key in WORK if key.name == name)


def _together(work: Section, keys: tuple[str, ...], errors: Errors) -> None:
    given = [key for key in keys if key in work.numbers or key in work.words]
    for key in keys if given else ():
        if key not in given:
            errors.add(
                f"{work.path}.{key}", f"it, for {given[0]} is given", "nothing",
                f"Write {_example(key)}.",
            )  # fmt: skip


def _needles(work: Section, errors: Errors) -> None:
    asked = work.words.get("wall_above") == "needles"
    for key in NEEDLE:
        given = key in work.numbers or key in work.words
        if asked and not given:
            errors.add(
                f"{work.path}.{key}", "it, for needles carry the wall above", "nothing",
                f"Write {_example(key)}.",
            )  # fmt: skip
        elif given and not asked:
            errors.add(
                f"{work.path}.{key}", 'wall_above = "needles" beside it',
                quoted(work.words.get("wall_above", "nothing")), "Write it, or take this out.",
            )  # fmt: skip
    if asked and {"needle_size", "needle_species", "needle_grade"} <= set(work.words):
        _wood(work, ("needle_size", "needle_species", "needle_grade"), errors)


def _wood(section: Section, keys: tuple[str, str, str], errors: Errors) -> None:
    size, species, grade = (section.words[key] for key in keys)
    if not (size and species and grade):
        return
    try:
        found = published.nominal_size(size, "sawn")
        published.sawn_lumber(species, grade, found.b_in, found.d_in)
    except LookupMiss as miss:
        key = next((key for key in keys if quoted(section.words[key]) in str(miss)), keys[0])
        do = hint(miss, section.words[key], f"The tables say: {miss}")
        place = f"{section.path}.{key}"
        errors.add(place, "a word of the tables", quoted(section.words[key]), do)


def _shore(shore: Section, beam: Section | None, sections: Sections, errors: Errors) -> None:
    in_tables(shore, *stock_size(shore, "sawn", errors), errors)
    plate(shore, errors)
    _stock(shore, "plate_size", errors)
    members = graph.members(sections)
    if beam is not None:
        _toward(shore, beam, members, errors)
    _below(shore, members, errors)
    nails = [key for key in ("diagonal_nail", "diagonal_nails")
             if key in shore.words or key in shore.numbers]  # fmt: skip
    if len(nails) == 1 or (nails and "diagonal_run" not in shore.numbers):
        errors.add(
            f"{shore.path}.diagonal_run",
            "diagonal_run, diagonal_nail and diagonal_nails together", nails[0],
            'Write diagonal_run = "7 ft", diagonal_nail = "16d common", diagonal_nails = 4.',
        )  # fmt: skip
    if "diagonal_nail" in shore.words:
        try:
            published.find("nails", nail=shore.words["diagonal_nail"])
        except LookupMiss as miss:
            do = hint(miss, shore.words["diagonal_nail"], 'Write "16d common".')
            given = quoted(shore.words["diagonal_nail"])
            errors.add(f"{shore.path}.diagonal_nail", "a nail of the tables", given, do)


def _stock(shore: Section, key: str, errors: Errors) -> None:
    name = shore.words[key]
    if not name:
        return
    try:
        published.nominal_size(name, "sawn")
    except LookupMiss as miss:
        do = hint(miss, name, 'Write plate_size = "2x4".')
        errors.add(f"{shore.path}.{key}", "a stock size of lumber", quoted(name), do)


def _toward(shore: Section, beam: Section, members: dict[str, Section], errors: Errors) -> None:
    toward = shore.words["toward"]
    lines = {beam.path, beam.words.get("replaces", beam.path)}
    beside: dict[str, None] = {}
    for field in members.values():
        if field.kind not in graph.FIELDS:
            continue
        rests = graph.supports(field)
        for place, carrier in enumerate(rests):
            if carrier in lines:
                for other in (*rests[max(place - 1, 0) : place], *rests[place + 1 : place + 2]):
                    beside[other] = None
    if toward and toward not in beside:
        known = ", ".join(beside) or "none: no joists rest on it"
        errors.add(
            f"{shore.path}.toward",
            f"the next bearing of joists that rest on {called(beam.path)}", quoted(toward),
            f"Write one of: {known}.",
        )  # fmt: skip


def _below(shore: Section, members: dict[str, Section], errors: Errors) -> None:
    on = shore.words["stands_on"]
    kinds = ("joists", "slabs", "footings")
    if on and on != GROUND and (on not in members or on.partition(".")[0] not in kinds):
        known = [path for path in members if path.partition(".")[0] in kinds]
        do = did_you_mean(on, known) or f"Write one of: {', '.join([*known[:8], GROUND])}."
        errors.add(
            f"{shore.path}.stands_on", "joists or a slab of this file, or ground", quoted(on), do
        )
        return
    on_joists = on.startswith("joists.")
    if on_joists and "below" not in shore.words:
        errors.add(
            f"{shore.path}.below", f"how it lies on {called(on)}", "nothing",
            'Write below = "across the joists" or below = "along a joist".',
        )  # fmt: skip
    if on_joists != ("across" in shore.numbers):
        errors.add(
            f"{shore.path}.across",
            f"how far along {called(on)} it stands" if on_joists else "joists to stand on",
            "nothing" if on_joists else quoted(shore.numbers["across"].text),
            'Write across = "9 ft 9 in".' if on_joists else "Take it out.",
        )


def _carried_down(post: Section, shores: tuple[str, ...], errors: Errors) -> None:
    in_tables(post, *stock_size(post, "sawn", errors), errors)
    if post.name not in shores:
        errors.add(
            post.path, f"the name of a shore of this work ({', '.join(shores) or 'none'})",
            quoted(post.name), "Name it as the shore that it carries down.",
        )  # fmt: skip
    soil = post.words.get("soil")
    if soil:
        try:
            published.find("irc-2018-r401-4-1", material=soil)
        except LookupMiss as miss:
            do = hint(miss, soil, 'Write soil = "sandy gravel and gravel".')
            errors.add(f"{post.path}.soil", "a soil of the code's table", quoted(soil), do)


__all__ = ["the_stages"]
