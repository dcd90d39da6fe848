"""What a job file must make sense of, beyond each entry alone: pairs, counts, contradictions."""

from __future__ import annotations

import contextlib
from collections.abc import Mapping
from types import MappingProxyType

from calclib import published
from calclib.errors import LookupMiss, did_you_mean, quoted
from calclib.job import graph, sense_seat
from calclib.job.contents import Section
from calclib.job.errors import Errors, TooManyErrors
from calclib.job.graph import Sections
from calclib.job.reading import hint
from calclib.job.schema import BEAM, FOOTING, GROUND, PERMIT_SET, POST, SUPPORT, SURFACE, WALL
from calclib.job.sense_path import carriers_known, circles, surfaces_carried
from calclib.job.sense_place import ends_of, places, the_work
from calclib.job.sense_wood import (
    composite_beam,
    glulam_beam,
    in_tables,
    pair,
    plate,
    sawn_beam,
    stock_size,
)
from calclib.job.sense_work import the_stages
from calclib.units import psf

__all__ = ["contradictions", "ends_of"]

LEAST_REPETITIVE = 3
# What of a wall tells its studs; the height is there for its weight too.
STUDS = (
    "height", "size", "width", "depth", "spacing", "species", "grade", "braced_flatwise",
    "held_flatwise",
)  # fmt: skip
OPTIONAL = ("width", "depth", "braced_flatwise", "held_flatwise")
# ASCE 7-16 4.7.3: heavier live loads stay whole.
MOST_REDUCED = 100 * psf


def contradictions(
    file: str, sections: Sections, title_block: Mapping[str, str] = MappingProxyType({})
) -> list[str]:
    """Return a message for everything that contradicts or lacks its partner.

    Parameters
    ----------
    file : str
        Name of the file, for the messages.
    sections : mapping
        The sections as read. What was refused before is nan or an empty text, and nothing is
        said of it here.
    title_block : mapping of str to str

    Returns
    -------
    list of str
    """
    errors = Errors(file)
    with contextlib.suppress(TooManyErrors):
        _house(sections, errors)
        _records(sections, title_block, errors)
    return errors.messages


def _house(sections: Sections, errors: Errors) -> None:
    members = graph.members(sections)
    checks = {
        "surfaces": _surface,
        "joists": _field,
        "rafters": _field,
        "trusses": _truss,
        "walls": _wall,
        "points": _point,
        "beams": _beam,
        "posts": _post,
        "footings": _footing,
    }
    for kind, check in checks.items():
        for section in sections.get(kind, {}).values():
            check(section, errors)
    if not sections.get("beams"):
        errors.add("beams", "the beam of the opening", "nothing", "Write [beams.opening].")
    _no_reduction(sections, errors)
    sense_seat.connections(sections, errors)
    surfaces_carried(sections, errors)
    carriers_known(members, errors)
    if not circles(sections, errors):
        places(members, graph.order(sections), errors)
        the_work(members, errors)
    the_stages(sections, errors)


def _records(sections: Sections, title_block: Mapping[str, str], errors: Errors) -> None:
    """Look at what the title block and the permit set say of themselves."""
    for name, section in sections.get("permit", {}).items():
        if name not in PERMIT_SET:
            near = did_you_mean(name, PERMIT_SET) or f"Write one of: {', '.join(PERMIT_SET)}."
            errors.add(section.path, "a part of the permit set", quoted(name), near)
    revisions = list(sections.get("revisions", {}).values())
    if revisions:
        last, now = revision_mark(revisions[-1]), title_block.get("revision", "")
        if now and last and last != now:
            errors.add(
                "revisions",
                f"the revision of the title block, {quoted(now)}, as the last one",
                quoted(last),
                f"Write [revisions.{now if now.isidentifier() else 'next'}] with its date and "
                'what = "what changed", or mend revision in [job].',
            )


def revision_mark(section: Section) -> str:
    """Return a revision as the title block writes it."""
    return str(section.words.get("mark", section.name))


def _surface(section: Section, errors: Errors) -> None:
    use, live = section.words.get("use"), section.numbers.get("live")
    if use and live:
        errors.add(
            f"{section.path}.live",
            "either use or live, not both",
            f"{quoted(use)} and {quoted(live.text)}",
            'Take one of them out: use = "sleeping rooms" takes the load of the code.',
        )
    _roof(section, errors)
    if use is None and not {"live", "snow", "ground_snow", "roof_live"} & set(section.numbers):
        errors.add(
            section.path,
            "a live load by use or as a number, or a snow or roof live load",
            "nothing",
            'Write use = "sleeping rooms" or live = "40 psf".',
        )
    if use:
        try:
            row = published.live_load(use)
        except LookupMiss as miss:
            do = hint(miss, use, 'Write use = "sleeping rooms".')
            errors.add(f"{section.path}.use", "a use of the tables", quoted(use), do)
        else:
            if not isinstance(row.values["uniform_psf"], float):
                errors.add(
                    f"{section.path}.use",
                    "a use with a load on its area",
                    quoted(use),
                    'Write live = "40 psf" in its place.',
                )


BY_MAP = (
    "pitch", "eave_to_ridge", "terrain", "exposure", "thermal", "risk_category", "slippery",
)  # fmt: skip


def _roof(section: Section, errors: Errors) -> None:
    """See that snow by the map, and reduced roof live load, have all that they need."""
    path, given = section.path, {**section.numbers, **section.words}
    if "snow" in given and "ground_snow" in given:
        errors.add(
            f"{path}.snow",
            "either snow on the roof or ground_snow of the map",
            "both",
            "Take one of them out.",
        )
    wanted = [key for key in BY_MAP if "ground_snow" in given and key not in given]
    for key in wanted:
        (line,) = (each.line for each in SURFACE if each.name == key)
        errors.add(f"{path}.{key}", "it, for snow by the map", "nothing", f"Write {line}.")
    if "roof_area" not in given:
        return
    for key in ("roof_live", "pitch"):
        if key not in given and key not in wanted:
            (line,) = (each.line for each in SURFACE if each.name == key)
            errors.add(
                f"{path}.{key}", "it, for a reduced roof live load", "nothing", f"Write {line}."
            )


def _extent(section: Section, errors: Errors) -> None:
    ends = [name for name in ("from", "to") if name in section.numbers]
    example = 'Write along = "whole", or from = "5 ft" and to = "13 ft 6 in".'
    if "along" in section.words and ends:
        got = " and ".join(["along", *ends])
        errors.add(f"{section.path}.along", "either along, or from and to", got, example)
    elif "along" not in section.words and len(ends) != 2:
        got = ends[0] if ends else "nothing"
        errors.add(section.path, "its extent along the line", got, example)
    elif ends and section.numbers["from"].number >= section.numbers["to"].number:
        errors.add(
            f"{section.path}.to",
            f"an end beyond its start, which is {quoted(section.numbers['from'].text)}",
            quoted(section.numbers["to"].text),
            example,
        )


def _field(section: Section, errors: Errors) -> None:
    _spans(section, errors)
    pair(section, "species", "grade", errors)
    in_tables(section, *stock_size(section, "sawn", errors), errors)
    _hangers(section, errors)


def _hangers(section: Section, errors: Errors) -> None:
    """See that the capacity of a hanger comes with the number of its report."""
    given = "hanger_capacity" in section.numbers
    if given != ("hanger_report" in section.words):
        missing = "hanger_report" if given else "hanger_capacity"
        example = '"ER-0000"' if given else '"1200 lbf"'
        errors.add(
            f"{section.path}.{missing}",
            "the listed capacity of a hanger and the number of its report together",
            "one of them",
            f"Write {missing} = {example}.",
        )


def _truss(section: Section, errors: Errors) -> None:
    _spans(section, errors)


def _spans(section: Section, errors: Errors) -> None:
    path, words = section.path, section.words
    given = section.inside.get("spans")
    spans = len(given) if given is not None else int("span" in section.numbers)
    if given is not None and "span" in section.numbers:
        errors.add(
            f"{path}.span",
            "either span or spans, not both",
            "both",
            'Take one of them out: span = "13 ft 2 in" is for a single span.',
        )
    elif given is None and not spans:
        errors.add(f"{path}.span", "its span", "nothing", 'Write span = "13 ft 2 in".')
    carriers = graph.supports(section)
    if spans and "" not in carriers and len(carriers) != spans + 1:
        errors.add(
            f"{path}.rests_on",
            f"{spans + 1} supports for {spans} span{'s' * (spans > 1)}",
            str(len(carriers)),
            'List them from one end to the other: rests_on = ["beams.opening", "walls.east"].',
        )
    if spans > 1 and section.kind != "trusses" and "over_supports" not in words:
        errors.add(
            f"{path}.over_supports",
            "how the joists pass their inner supports",
            "nothing",
            'Write over_supports = "simple" or over_supports = "continuous".',
        )
    if spans == 1 and words.get("over_supports") == "continuous":
        errors.add(
            f"{path}.over_supports",
            "more than one span for continuous joists",
            "one",
            'Write each span: [joists.east.spans], and below it east = "13 ft 2 in".',
        )
    _extent(section, errors)


def _wall(section: Section, errors: Errors) -> None:
    on_ground = section.words["rests_on"] == GROUND
    if not on_ground:
        for name, example in (("weight", "8 psf"), ("height", "8 ft")):
            if name not in section.numbers:
                errors.add(
                    f"{section.path}.{name}",
                    f"its {name}, for it stands on a member",
                    "nothing",
                    f'Write {name} = "{example}".',
                )
    if not on_ground or {"from", "to"} & set(section.numbers):
        _extent(section, errors)
    plate(section, errors)
    sense_seat.plates(section, errors)
    _studs(section, errors)


def _studs(section: Section, errors: Errors) -> None:
    """See that the studs of a wall are told in full, and are in the tables."""
    given = {**section.numbers, **section.words}
    of_studs = [key for key in WALL if key.name in STUDS]
    if not any(key.name in given for key in of_studs if key.name != "height"):
        return
    for key in of_studs:
        if key.name not in given and key.name not in OPTIONAL:
            errors.add(
                f"{section.path}.{key.name}",
                f"the {key.title}, for its studs are told",
                "nothing",
                f"Write {key.line}.",
            )
    if "size" in given:
        in_tables(section, *stock_size(section, "sawn", errors), errors)
    if section.words.get("held_flatwise") == "yes" and "braced_flatwise" in given:
        errors.add(
            f"{section.path}.braced_flatwise",
            "either held_flatwise or braced_flatwise",
            "both",
            "Take one of them out.",
        )


def _point(section: Section, errors: Errors) -> None:
    if not {"dead", "live", "snow", "roof_live"} & set(section.numbers):
        errors.add(section.path, "at least one load", "none", 'Write dead = "250 lbf".')


def _footing(section: Section, errors: Errors) -> None:
    path, numbers, words = section.path, section.numbers, section.words
    if "soil" in words and "bearing_value" in numbers:
        errors.add(
            f"{path}.soil",
            "either soil or bearing_value, not both",
            f"{quoted(words['soil'])} and {quoted(numbers['bearing_value'].text)}",
            "Take one of them out.",
        )
    if words.get("soil"):
        try:
            published.find("irc-2018-r401-4-1", material=words["soil"])
        except LookupMiss as miss:
            do = hint(miss, words["soil"], 'Write soil = "sandy gravel and gravel".')
            errors.add(f"{path}.soil", "a soil of the code's table", quoted(words["soil"]), do)
    stem = {"stem", "stem_width", "stem_height"}
    if stem & {*words, *numbers}:
        for key in FOOTING:
            if key.name in stem and key.name not in {*words, *numbers}:
                errors.add(
                    f"{path}.{key.name}",
                    f"the {key.title}, for a foundation wall is told",
                    "nothing",
                    f"Write {key.line}.",
                )
    if "bearing_value" in numbers and "bearing_is" not in words:
        errors.add(
            f"{path}.bearing_is",
            "whether the bearing value is gross or net",
            "nothing",
            'Write bearing_is = "gross".',
        )


NAILING = tuple(key for key in POST if key.name.startswith("nail_"))


def _post(section: Section, errors: Errors) -> None:
    in_tables(section, *stock_size(section, "sawn", errors), errors)
    plate(section, errors)
    sense_seat.blocking(section, errors)
    numbers, path = section.numbers, section.path
    given = {**numbers, **section.words}
    plies = numbers.get("plies")
    several = plies is not None and plies.number > 1
    nails = [key for key in NAILING if key.name in given]
    if nails and not several:
        errors.add(
            f"{path}.plies",
            "two plies or more, for there is nailing",
            plies.text if plies else "nothing",
            "Write plies = 3, or take the nailing out.",
        )
    rows = numbers.get("nail_rows")
    one_row = rows is None or rows.number <= 1
    for key in NAILING if nails else ():
        if key.name in given or (key.name == "nail_rows_apart" and one_row):
            continue
        errors.add(f"{path}.{key.name}", f"the {key.title}", "nothing", f"Write {key.line}.")
    if several and "eccentricity" in numbers:
        errors.add(
            f"{path}.eccentricity",
            "a post of one piece, for the clause on eccentric loads is about those",
            f"{plies.text} plies" if plies else "several plies",
            "Take it out, or take a solid post.",
        )
    if section.words.get("held_flatwise") == "yes" and "braced_flatwise" in numbers:
        errors.add(
            f"{path}.braced_flatwise",
            "either held_flatwise or braced_flatwise",
            "both",
            "Take one of them out.",
        )


def _beam(section: Section, errors: Errors) -> None:
    path, words, numbers = section.path, section.words, section.numbers
    sawn = "species" in words or "grade" in words
    said = [sawn, "material" in words, "glulam" in words]
    if sum(said) != 1:
        errors.add(
            f"{path}.material",
            "one of material, glulam, or species and grade",
            "nothing" if not any(said) else "several of them",
            'Write material = "generic 2.0E-2900Fb LVL", or glulam = "24F-1.8E", or '
            'species = "hem-fir" and grade = "No.2".',
        )
        stock_size(section, None, errors)
    elif sawn:
        sawn_beam(section, errors)
    elif "glulam" in words:
        glulam_beam(section, errors)
    else:
        composite_beam(section, errors)
    if words["dead_load_rule"].startswith("IBC") and words["moisture"] == "wet":
        errors.add(
            f"{path}.dead_load_rule",
            "another rule in wet service, for the footnote is about dry wood",
            quoted(words["dead_load_rule"]),
            'Write dead_load_rule = "NDS 3.5.2".',
        )
    _reduction(section, errors)
    _ply_nails(section, errors)
    sense_seat.cut_plates(section, errors)
    plies = numbers["plies"]
    if words.get("repetitive") == "yes" and plies.number < LEAST_REPETITIVE:
        errors.add(
            f"{path}.repetitive",
            f"at least {LEAST_REPETITIVE} plies for repetitive members",
            plies.text,
            'Write repetitive = "no".',
        )
    spans, seats = section.inside["spans"], section.inside["supports"]
    if spans and seats and len(seats) != len(spans) + 1:
        errors.add(
            f"{path}.supports",
            f"{len(spans) + 1} supports for {len(spans)} span{'s' * (len(spans) > 1)}",
            str(len(seats)),
            f"List them from one end to the other: [{path}.supports.west].",
        )
    hogs = len(spans) > 1 or {"overhang_start", "overhang_end"} & set(numbers)
    if hogs and "unbraced_bottom" not in numbers:
        errors.add(
            f"{path}.unbraced_bottom",
            "the unbraced length of its bottom edge, for it hogs over its supports",
            "nothing",
            'Write unbraced_bottom = "8 ft".',
        )
    for seat in section.seats():
        plate(seat, errors)
        sense_seat.seat(seat, errors)
        _notch(section, seat, errors)


def _reduction(section: Section, errors: Errors) -> None:
    """See that a reduction of live load says of which area."""
    asked = "live_reduction" in section.words
    for key in ("live_area", "live_floors"):
        if asked != (key in section.numbers):
            (line,) = (
                each.line for each in BEAM if each.name == (key if asked else "live_reduction")
            )
            errors.add(
                f"{section.path}.{key if asked else 'live_reduction'}",
                "the kind of member, the area and the floors of a reduction together",
                "only a part of them",
                f"Write {line}.",
            )


def _no_reduction(sections: Sections, errors: Errors) -> None:
    """See that no live load is reduced that must stay whole."""
    asking = [b.path for b in sections.get("beams", {}).values() if "live_reduction" in b.words]
    for surface in sections.get("surfaces", {}).values() if asking else ():
        live, use = surface.numbers.get("live"), surface.words.get("use", "")
        if (live and live.number > MOST_REDUCED) or "garage" in use:
            errors.add(
                f"{asking[0]}.live_reduction",
                "no reduction where a live load is above 100 psf or a garage's",
                quoted(use or (live.text if live else "")),
                "Take live_reduction out.",
            )


def _notch(beam: Section, seat: Section, errors: Errors) -> None:
    """See that a notch over a support says where, and is of wood that may be notched."""
    given = {"notch_depth", "notch_length", "notch_face"} & {*seat.numbers, *seat.words}
    if not given:
        return
    if "material" in beam.words:
        errors.add(
            f"{seat.path}.notch_depth",
            "sawn lumber or glulam, for composite lumber is notched only by its maker's design",
            quoted(beam.words["material"]),
            "Take the notch out of the job, and do not cut it.",
        )
        return
    wanted = ["notch_depth", "notch_face"]
    if seat.words.get("notch_face") == "compression":
        wanted.append("notch_length")
    for key in wanted:
        if key not in given:
            (line,) = (each.line for each in SUPPORT if each.name == key)
            errors.add(f"{seat.path}.{key}", "it, for the notch", "nothing", f"Write {line}.")


def _ply_nails(section: Section, errors: Errors) -> None:
    """See that the nails between plies come with their spacing and rows, and are known."""
    name = section.words.get("ply_nail")
    given = {"ply_nail_spacing", "ply_nail_rows"} & set(section.numbers)
    if name is None and not given:
        return
    for key in ("ply_nail", "ply_nail_spacing", "ply_nail_rows"):
        if key not in {*section.numbers, *section.words}:
            (line,) = (each.line for each in BEAM if each.name == key)
            errors.add(
                f"{section.path}.{key}", "it, for the nails between plies", "nothing",
                f"Write {line}.",
            )  # fmt: skip
    if name:
        try:
            published.find("nails", nail=name)
        except LookupMiss as miss:
            do = hint(miss, name, 'Write ply_nail = "16d common".')
            errors.add(f"{section.path}.ply_nail", "a nail of the tables", quoted(name), do)
