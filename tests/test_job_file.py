"""A job file is read, or refused with every error at once and a right way to write each."""

import json
import re
import subprocess
import sys
from pathlib import Path

import pytest

from calclib.job import graph, schema, sense
from calclib.job.contents import Entry, Section
from calclib.job.file import JobError, parse, read
from calclib.job.reading import BASES, NO_BASIS
from calclib.trace.value import BASES as TRACE_BASES
from calclib.units import ft, inch, pcf, psf
from calclib.units import parse as quantity

ROOT = Path(__file__).parents[1]
EXAMPLES = sorted((ROOT / "examples").glob("*.toml"))

JOB = """\
format = 1

[job]
title = "Kitchen opening"
number = "T-1"
site = "Nowhere"
date = 2026-10-12
revision = "A"
prepared_by = ""
checked_by = ""
units = "US"
method = "ASD"
load_standard = "ASCE 7-16"
building_code = "IRC 2018"

[surfaces.floor]
use = "sleeping rooms"
layers.boards = "2.3 psf"

[joists.east]
surface = "floor"
rests_on = ["beams.opening", "walls.east"]
span = "13 ft 2 in"
along = "whole"
size = "2x10"
spacing = "16 in"

[walls.upper]
weight = "8 psf"
height = "8 ft"
rests_on = "beams.opening"
from = "5 ft"
to = "12 ft"

[walls.east]
rests_on = "ground"

[points.strut]
rests_on = "walls.upper"
at = "6 ft"
dead = "250 lbf"

[beams.opening]
species = "hem-fir"
grade = "No.2"
plies = 3
size = "2x12"
setting = "dropped"
starts_at = "0 ft"
moisture = "dry"
temperature = "100 F or less"
incised = "no"
unbraced_top = "16 in"
live_limit = "L/360"
total_limit = "L/240"
dead_load_rule = "NDS 3.5.2"
spans.opening = "12 ft"
supports.west = { on = "posts.west", bearing = "3 in" }
supports.east = { on = "posts.east", bearing = "5 in" }

[posts.west]
size = "4x6"
species = "hem-fir"
grade = "No.1"
height = "7 ft"
rests_on = "ground"
[posts.east]
size = "4x6"
species = "hem-fir"
grade = "No.1"
height = "7 ft"
rests_on = "walls.east"
"""

COMPOSITE = (
    ('species = "hem-fir"\ngrade = "No.2"\nplies', 'material = "generic 2.0E LVL"\nplies'),
    ('size = "2x12"', 'size = "1-3/4 x 11-7/8"\ndensity = "42 pcf"'),
    ('incised = "no"\n', ""),
)
REPORTED = (
    ('species = "hem-fir"\ngrade = "No.2"\nplies',
     'material = "LVL of the yard"\nreport = "ER-0000"\nF_b = "2900 psi"\nF_v = "285 psi"\n'
     'F_c_perp = "750 psi"\nE = "2.0e6 psi"\nsize_exponent = "0.136"\nplies'),
    *COMPOSITE[1:],
)  # fmt: skip
TWO_SPANS = (
    ('spans.opening = "12 ft"', 'spans.a = "6 ft"\nspans.b = "6 ft"\nunbraced_bottom = "6 ft"'),
    ("supports.west", 'supports.middle = { on = "walls.east", bearing = "4 in" }\nsupports.west'),
)
CONTINUOUS = (
    ('span = "13 ft 2 in"', 'spans.a = "13 ft"\nspans.b = "9 ft"\nover_supports = "continuous"'),
    ('["beams.opening", "walls.east"]', '["walls.far", "beams.opening", "walls.east"]'),
    ("[walls.east]", '[walls.far]\nrests_on = "ground"\n[walls.east]'),
)
ROOF = '[surfaces.roof]\nsnow = "30 psf"\nlayers.shingles = "3 psf"\n'


def changed(*changes):
    """Return the job's text with each old piece, which it must hold once, replaced by the new."""
    text = JOB
    for old, new in changes:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    return text


def refusals(text):
    """Return the messages with which a text is refused."""
    with pytest.raises(JobError) as refusal:
        parse(text, "alder.toml")
    return refusal.value.messages


def entries(job):
    """Yield every number of a job."""

    def inside(section):
        yield from section.numbers.values()
        for table in section.inside.values():
            for item in table.values():
                yield from [item] if isinstance(item, Entry) else inside(item)

    for named in job.sections.values():
        for section in named.values():
            yield from inside(section)


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_an_example_is_read(path):
    """Name, text, title block and members are those of the file."""
    job = read(path)

    assert (job.file, job.text) == (path.name, path.read_text(encoding="utf-8"))
    assert job.title_block["method"] == "ASD"
    assert job.of("beams")
    assert job.of("cellars") == {}
    assert set(graph.order(job.sections)) == set(graph.members(job.sections))


def test_the_basement_beam_has_three_spans_on_pockets_and_columns():
    """The second example is what it says, and its joists come from both sides."""
    job = read(ROOT / "examples" / "basement_beam.toml")

    beam = job.of("beams")["main"]

    assert len(beam.inside["spans"]) == 3
    assert graph.supports(beam) == ("ground", "posts.column_1", "posts.column_2", "ground")
    assert all("beams.main" in graph.supports(field) for field in job.of("joists").values())
    assert beam.words["species"] == "Douglas fir-larch"
    assert beam.numbers["plies"].number > 1


def test_a_job_says_what_it_is():
    """Its repr names it and counts what is in it."""
    job = parse(JOB)

    assert repr(job) == (
        "<job T-1 Kitchen opening: 1 surfaces, 1 joists, 2 walls, 1 points, 1 beams, 2 posts>"
    )


def test_numbers_are_in_base_units_and_words_as_written():
    """Inches and pounds inside, whatever was typed."""
    job = parse(changed(('span = "13 ft 2 in"', 'span = "4000 mm"')))
    joists, beam = job.of("joists")["east"], job.of("beams")["opening"]

    # 1 in = 25.4 mm by the international agreement of 1959.
    assert joists.numbers["span"].number == pytest.approx(4000 / 25.4, rel=1e-15)
    assert joists.numbers["span"].text == "4000 mm"
    assert joists.words["rests_on"] == ("beams.opening", "walls.east")
    assert beam.numbers["plies"].number == 3
    assert beam.numbers["live_limit"].number == 360
    assert job.title_block["date"] == "2026-10-12"
    assert (beam.path, beam.name) == ("beams.opening", "opening")


def test_text_over_several_lines_becomes_one():
    """A note may be written over lines; it is shown on one."""
    job = parse(changed(('title = "Kitchen opening"', 'title = """Kitchen\n   opening"""')))

    assert job.title_block["title"] == "Kitchen opening"


def test_a_number_without_a_basis_is_assumed_and_says_so():
    """Nothing is defaulted in silence."""
    span = parse(JOB).of("joists")["east"].numbers["span"]

    assert (span.basis, span.source, span.note) == ("assumed", "", NO_BASIS)


def test_a_note_stands_before_the_word_on_the_missing_basis():
    """Both are kept."""
    text = changed(('span = "13 ft 2 in"', 'span = { value = "13 ft 2 in", note = "by eye" }'))

    assert parse(text).of("joists")["east"].numbers["span"].note == f"by eye {NO_BASIS}"


def test_a_number_carries_its_own_basis():
    """Basis, source and note stand beside the value, inline or as a table."""
    given = 'value = "13 ft 2 in", basis = "measured", source = "tape", note = "twice"'
    inline = changed(('span = "13 ft 2 in"', f"span = {{ {given} }}"))
    table = changed(('span = "13 ft 2 in"', given.replace("value", "span.value")
                     .replace(", basis", "\nspan.basis").replace(", source", "\nspan.source")
                     .replace(", note", "\nspan.note")))  # fmt: skip

    spans = [parse(text).of("joists")["east"].numbers["span"] for text in (inline, table)]

    assert spans[0] == spans[1]
    assert (spans[0].basis, spans[0].source, spans[0].note) == ("measured", "tape", "twice")


def test_a_basis_holds_for_everything_below_it_that_states_none():
    """What is said once for a beam reaches its spans and supports, until one says otherwise."""
    text = changed(
        ("[beams.opening]", '[beams.opening]\nbasis = "chosen"\nsource = "sketch 2"'),
        ('spans.opening = "12 ft"', 'spans.opening = { value = "12 ft", basis = "measured" }'),
        ('bearing = "3 in"', 'bearing = { value = "3 in", source = "sketch 3" }'),
    )

    beam = parse(text).of("beams")["opening"]
    span = beam.inside["spans"]["opening"]
    west, east = (seat.numbers["bearing"] for seat in beam.inside["supports"].values())

    assert (beam.numbers["plies"].basis, beam.numbers["plies"].source) == ("chosen", "sketch 2")
    assert (east.basis, east.source) == ("chosen", "sketch 2")
    assert (west.basis, west.source) == ("chosen", "sketch 3")
    # A source belongs to its basis: who says measured does not mean the sketch.
    assert (span.basis, span.source) == ("measured", "")


def test_the_bases_are_those_of_the_traced_core():
    """A basis that a file may state, a leaf may carry."""
    assert BASES == TRACE_BASES


def test_a_layer_is_looked_up_by_its_name():
    """The number, its table and whether it was compared with the print come along."""
    text = changed(
        ('layers.boards = "2.3 psf"',
         'layers.ceiling = { item = "plaster on wood lath", note = "seen" }\n'
         'layers.panel = { item = "plywood 3/4 in" }')
    )  # fmt: skip

    ceiling, panel = parse(text).of("surfaces")["floor"].inside["layers"].values()

    # ASCE 7 Table C3-1 prints 8 psf for plaster on wood lath.
    assert ceiling.number / psf == pytest.approx(8.0, rel=1e-12)
    assert (ceiling.text, ceiling.basis) == ("plaster on wood lath", "published")
    assert "ASCE 7" in ceiling.source
    assert ceiling.note.startswith("seen; read in: ")
    assert ceiling.verified
    # from memory: 3/4 in plywood at 3 psf per inch of thickness.
    assert panel.number / psf == pytest.approx(2.25, rel=1e-12)
    assert not panel.verified
    assert "from memory" in panel.note


def test_titles_read_well_in_a_register():
    """What it is, then what it belongs to as people call it."""
    titles = {entry.path: entry.title for entry in entries(parse(JOB))}

    assert titles["joists.east.span"] == "span, east joists"
    assert titles["surfaces.floor.layers.boards"] == "dead load of boards, floor"
    assert titles["beams.opening.spans.opening"] == "clear span opening, opening beam"
    assert titles["beams.opening.supports.west.bearing"] == "bearing length at west, opening beam"
    assert titles["walls.upper.weight"] == "weight of its face, upper wall"
    assert titles["points.strut.dead"] == "dead load, strut load"


def test_members_come_from_the_top_down():
    """Each stands before what it rests on."""
    job = parse(JOB)

    order = graph.order(job.sections)

    for path, section in graph.members(job.sections).items():
        for support in set(graph.supports(section)) - {"ground"}:
            assert order.index(path) < order.index(support)
    assert graph.circle(job.sections) == ()


def test_a_beam_reaches_from_center_to_center_of_its_end_bearings():
    """From the inner face of the first support half a bearing out, at the far end alike."""
    beam = parse(changed(('starts_at = "0 ft"', 'starts_at = "1 ft"'))).of("beams")["opening"]

    start, end = sense.ends_of(beam)

    # 12 ft clear from 1 ft on, bearings of 3 in and 5 in.
    assert start == pytest.approx(12 - 1.5, rel=1e-12)
    assert end == pytest.approx(12 + 144 + 2.5, rel=1e-12)


def test_a_beam_over_an_inner_support_counts_the_whole_of_it():
    """Clear spans leave the inner bearing out, so it is added."""
    text = changed(*TWO_SPANS)

    start, end = sense.ends_of(parse(text).of("beams")["opening"])

    # In the order of the file: middle 4 in, west 3 in, east 5 in.
    assert (start, end) == pytest.approx((-2.0, 72 + 72 + 3 + 2.5), rel=1e-12)


@pytest.mark.parametrize(
    "changes",
    [
        (),
        COMPOSITE,
        REPORTED,
        TWO_SPANS,
        CONTINUOUS,
        (("[joists.east]", f'{ROOF}[rafters.north]\nsurface = "roof"\nsize = "2x8"\n'
          'rests_on = ["walls.upper", "walls.east"]\nspan = "6 ft"\nspacing = "24 in"\n'
          'from = "5 ft"\nto = "12 ft"\n[joists.east]'),),
        (('use = "sleeping rooms"', 'live = "40 psf"'),),
        (('size = "2x12"', 'size = "2x12"\nply_width = "2 in"\ndepth = "12 in"'),),
        (('to = "12 ft"', 'to = "12 ft 2 1/2 in"'),),
        (('from = "5 ft"\nto = "12 ft"', 'along = "whole"'),),
        (('rests_on = "walls.upper"', 'rests_on = "posts.west"'),),
        (('bearing = "3 in"', 'bearing = "3 in", plate = "hem-fir", plate_grade = "No.2"'),),
    ],
    ids=["plain", "composite", "evaluation report", "two spans", "continuous joists",
         "rafters", "live load as a number", "full-size lumber", "load up to the bearing",
         "wall over the whole beam", "load on a post", "plate"],
)  # fmt: skip
def test_what_makes_sense_is_read(changes):
    """Each way to write a job that the guide offers."""
    assert parse(changed(*changes)).of("beams")


def test_all_errors_of_a_file_are_reported_together():
    """Syntax of a number, unknown and missing key, size, reference, place: one run, one list."""
    text = changed(
        ('span = "13 ft 2 in"', 'span = "13"'),
        ('spacing = "16 in"', 'spacin = "16 in"'),
        ('size = "2x10"', 'size = "2x9"'),
        ('["beams.opening", "walls.east"]', '["beams.openin", "walls.east"]'),
        ('at = "6 ft"', 'at = "60 ft"'),
        ('title = "Kitchen opening"\n', ""),
    )

    places = [message.split(": needs ")[0] for message in refusals(text)]

    assert places == [
        "alder.toml, job.title",
        "alder.toml, joists.east.spacin",
        "alder.toml, joists.east.span",
        "alder.toml, joists.east.spacing",
        "alder.toml, joists.east.size",
        "alder.toml, joists.east.rests_on",
        "alder.toml, points.strut.at",
    ]


WRONG = {
    "number without a unit": (
        'span = "13 ft 2 in"', 'span = "13"',
        'joists.east.span: needs a length with its unit, got "13". Write it as "13 ft 2 in".'),
    "bare number": (
        'span = "13 ft 2 in"', "span = 13",
        "joists.east.span: needs a length with its unit, got the number 13. Write it as"),
    "wrong unit": (
        'weight = "8 psf"', 'weight = "8 plf"',
        'walls.upper.weight: needs a load on an area, got "8 plf"'),
    "nan": (
        'span = "13 ft 2 in"', "span = nan",
        "joists.east.span: needs a length with its unit, got the number nan"),
    "unknown key": (
        'spacing = "16 in"', 'spacing = "16 in"\nheigth = "8 ft"',
        'joists.east.heigth: needs a key that it knows, got "heigth". Write one of: surface, '),
    "near miss of a key": (
        'height = "8 ft"', 'hieght = "8 ft"',
        'walls.upper.hieght: needs a key that it knows, got "hieght". '
        'Did you mean "height"? Write height = "8 ft".'),
    "missing key": (
        'spacing = "16 in"\n', "",
        'joists.east.spacing: needs the spacing, got nothing. Write spacing = "16 in".'),
    "missing word": (
        'revision = "A"\n', "",
        'job.revision: needs the revision as text, got nothing. Write revision = "A".'),
    "empty word": ('site = "Nowhere"', 'site = ""', 'job.site: needs the site as text, got "".'),
    "unknown section": (
        "[posts.west]", "[post.west]",
        'post: needs a section that it knows, got "post". '
        'Did you mean "posts"? Write [posts.east].'),
    "section without a name": (
        "[walls.east]", "[walls]\neast = 3\n[walls.west]",
        "walls.east: needs a table of entries, got the number 3. Write [walls.east], and below it "
        'weight = "8 psf".'),
    "list of sections": (
        "[points.strut]", "[[points]]",
        "points: needs a table of entries, got a list. Write [points.east], and below it"),
    "name with a space": (
        "[points.strut]", '[points."a strut"]',
        'points."a strut": needs a name of letters, digits and _, a letter first, at most 40 long, '
        'got "a strut". Write [points.east].'),
    "wrong format": ("format = 1", "format = 2", "format: needs the number 1, got the number 2."),
    "format that only looks right": ("format = 1", "format = true", "format: needs the number 1"),
    "no date": (
        "date = 2026-10-12", 'date = "2026-10-12"',
        'job.date: needs a date without quotes, got "2026-10-12". Write date = 2026-10-12.'),
    "date with a time": (
        "date = 2026-10-12", "date = 2026-10-12T10:00:00", "job.date: needs a date without quotes"),
    "basis in the title block": (
        'site = "Nowhere"', 'site = "Nowhere"\nbasis = "chosen"',
        'job.basis: needs a key that it knows, got "basis"'),
    "unknown choice": (
        'units = "US"', 'units = "us"',
        'job.units: needs one of US, SI, got "us". Did you mean "US"?'),
    "unknown basis": (
        'span = "13 ft 2 in"', 'span = { value = "13 ft 2 in", basis = "mesured" }',
        'joists.east.span.basis: needs one of measured, from drawings, published, required by code,'
        ' common practice, chosen, assumed, got "mesured". Did you mean "measured"?'),
    "unknown key beside a value": (
        'span = "13 ft 2 in"', 'span = { valu = "13 ft 2 in" }',
        'joists.east.span.valu: needs a key that it knows, got "valu". Did you mean "value"?'),
    "basis without a value": (
        'span = "13 ft 2 in"', 'span = { basis = "measured" }',
        "joists.east.span: needs the span as value, got nothing. "
        'Write { value = "13 ft 2 in", basis = "measured" }.'),
    "too long a span": (
        'span = "13 ft 2 in"', 'span = "60 ft"',
        'joists.east.span: needs at least 1 in and at most 50 ft 0 in (span), got "60 ft".'),
    "no whole number": (
        "plies = 3", 'plies = "3"',
        'beams.opening.plies: needs a whole number (number of plies), got "3". Write it as 3.'),
    "too many plies": (
        "plies = 3", "plies = 9",
        "beams.opening.plies: needs at least 1 and at most 8 (number of plies), got the number 9."),
    "a limit that is no share": (
        '"L/360"', '"1/360"',
        'beams.opening.live_limit: needs a share of the span (live-load deflection limit), '
        'got "1/360". Write it as "L/360".'),
    "a limit out of sense": (
        '"L/240"', '"L/24"', "beams.opening.total_limit: needs at least L/60 and at most L/5000"),
    "supports as one text": (
        '["beams.opening", "walls.east"]', '"beams.opening"',
        'joists.east.rests_on: needs a list of names, got "beams.opening". '
        'Write rests_on = ["beams.opening", "walls.east"].'),
    "a number among names": (
        '["beams.opening", "walls.east"]', '["beams.opening", 3]',
        "joists.east.rests_on: needs each name as text, got the number 3."),
    "layers as a number": (
        "layers.boards =", "layers =",
        'surfaces.floor.layers: needs a table of entries, got "2.3 psf". Write '
        '[surfaces.floor.layers], and below it east = "4 psf".'),
    "no layers": (
        'layers.boards = "2.3 psf"\n', "", "surfaces.floor.layers: needs a table of entries, got"),
    "unknown item": (
        '"2.3 psf"', '{ item = "plaster on wood lathe" }',
        "surfaces.floor.layers.boards.item: needs an item of the tables of weights, "
        'got "plaster on wood lathe". Did you mean "plaster on wood lath"?'),
    "item with a weight beside it": (
        '"2.3 psf"', '{ item = "plaster on wood lath", value = "9 psf" }',
        "surfaces.floor.layers.boards.value: needs an item without it, for the table says it"),
    "item by its thickness": (
        '"2.3 psf"', '{ item = "slate, per inch" }',
        "surfaces.floor.layers.boards.item: needs an item with a weight of its own"),
    "item where no layer is": (
        'span = "13 ft 2 in"', 'span = { item = "plaster on wood lath" }',
        'joists.east.span.item: needs a key that it knows, got "item"'),
    "use and live load": (
        'use = "sleeping rooms"', 'use = "sleeping rooms"\nlive = "40 psf"',
        "surfaces.floor.live: needs either use or live, not both"),
    "no live load": (
        'use = "sleeping rooms"\n', "", "surfaces.floor: needs a live load by use or as a number"),
    "unknown use": (
        '"sleeping rooms"', '"sleping rooms"',
        'surfaces.floor.use: needs a use of the tables, got "sleping rooms". '
        'Did you mean "sleeping rooms"?'),
    "use without a load on its area": (
        '"sleeping rooms"', '"guards and handrails"',
        "surfaces.floor.use: needs a use with a load on its area"),
    "unknown surface": (
        'surface = "floor"', 'surface = "flor"',
        'joists.east.surface: needs a surface of this file, got "flor". Did you mean "floor"?'),
    "surface that nothing carries": (
        "[joists.east]", f"{ROOF}[joists.east]",
        "surfaces.roof: needs joists or rafters that carry it, got none. "
        'Write surface = "roof" there'),
    "span and spans": (
        'span = "13 ft 2 in"', 'span = "13 ft 2 in"\nspans.a = "13 ft 2 in"',
        "joists.east.span: needs either span or spans, not both"),
    "no span": ('span = "13 ft 2 in"\n', "", "joists.east.span: needs its span, got nothing."),
    "one support too few": (
        '["beams.opening", "walls.east"]', '["beams.opening"]',
        "joists.east.rests_on: needs 2 supports for 1 span, got 1. List them from one end"),
    "continuous over one span": (
        'along = "whole"', 'along = "whole"\nover_supports = "continuous"',
        "joists.east.over_supports: needs more than one span for continuous joists, got one."),
    "twice on one beam": (
        '["beams.opening", "walls.east"]', '["beams.opening", "beams.opening"]',
        'joists.east.rests_on: needs another support than the one before, got "beams.opening".'),
    "no extent": (
        'along = "whole"\n', "", "joists.east: needs its extent along the line, got nothing."),
    "half an extent": (
        'from = "5 ft"\n', "", "walls.upper: needs its extent along the line, got to. Write along"),
    "two extents": (
        'along = "whole"', 'along = "whole"\nfrom = "1 ft"',
        "joists.east.along: needs either along, or from and to, got along and from."),
    "end before its start": (
        'to = "12 ft"', 'to = "4 ft"',
        'walls.upper.to: needs an end beyond its start, which is "5 ft", got "4 ft".'),
    "wall without a weight": (
        'weight = "8 psf"\n', "",
        "walls.upper.weight: needs its weight, for it stands on a member, got nothing."),
    "load that is none": (
        'dead = "250 lbf"\n', "", "points.strut: needs at least one load, got none."),
    "species without a grade": (
        'grade = "No.2"\nplies', "plies",
        "beams.opening.grade: needs the grade that goes with its species, got nothing."),
    "joists with half a grade": (
        'size = "2x10"', 'size = "2x10"\ngrade = "No.2"',
        "joists.east.species: needs the species that goes with its grade, got nothing. "
        'Write species = "hem-fir".'),
    "unknown species": (
        'species = "hem-fir"\ngrade = "No.2"', 'species = "hem fur"\ngrade = "No.2"',
        'beams.opening.species: needs a species of the tables, got "hem fur". '
        'Did you mean "hem-fir"?'),
    "unknown grade": (
        'grade = "No.2"', 'grade = "No.4"',
        'beams.opening.grade: needs a grade of the tables, got "No.4". Did you mean "No.3"?'),
    "both materials": (
        "plies = 3", 'plies = 3\nmaterial = "generic 2.0E LVL"',
        "beams.opening.material: needs one of material, glulam, or species and grade, got several"),
    "sawn size for composite lumber": (
        'species = "hem-fir"\ngrade = "No.2"\nplies',
        'density = "42 pcf"\nmaterial = "generic 2.0E LVL"\nplies',
        'beams.opening.size: needs a stock size of composite lumber, got "2x12".'),
    "composite size for sawn lumber": (
        'size = "2x12"', 'size = "1-3/4 x 11-7/8"',
        'beams.opening.size: needs a stock size of sawn lumber, got "1-3/4 x 11-7/8".'),
    "no size": (
        'size = "2x12"', 'size = "big"',
        'beams.opening.size: needs a stock size of sawn lumber, got "big". '
        'Write it as "2x10" or as "1-3/4 x 11-7/8".'),
    "measure far from its size": (
        'size = "2x12"', 'size = "2x12"\ndepth = "9 1/4 in"',
        "beams.opening.depth: needs a measure near the 11 1/4 in of 2x12, got \"9 1/4 in\"."),
    "nothing on incising": (
        'incised = "no"\n', "",
        "beams.opening.incised: needs whether the lumber is incised for treatment, got nothing."),
    "two repetitive plies": (
        "plies = 3", 'plies = 2\nrepetitive = "yes"',
        "beams.opening.repetitive: needs at least 3 plies for repetitive members, got 2."),
    "dry rule in wet service": (
        'moisture = "dry"\ntemperature = "100 F or less"\nincised = "no"\nunbraced_top = "16 in"\n'
        'live_limit = "L/360"\ntotal_limit = "L/240"\ndead_load_rule = "NDS 3.5.2"',
        'moisture = "wet"\ntemperature = "100 F or less"\nincised = "no"\nunbraced_top = "16 in"\n'
        'live_limit = "L/360"\ntotal_limit = "L/240"\ndead_load_rule = "IBC 1604.3 footnote"',
        "beams.opening.dead_load_rule: needs another rule in wet service"),
    "one support for a beam": (
        'supports.east = { on = "posts.east", bearing = "5 in" }\n', "",
        "beams.opening.supports: needs 2 supports for 1 span, got 1."),
    "no supports for a beam": (
        'supports.west = { on = "posts.west", bearing = "3 in" }\n'
        'supports.east = { on = "posts.east", bearing = "5 in" }\n', "",
        "beams.opening.supports: needs a table of entries, got nothing. "
        'Write [beams.opening.supports.west], and below it on = "posts.west".'),
    "both ends on one post": (
        '"posts.east", bearing', '"posts.west", bearing',
        "beams.opening.supports.east.on: needs another support than the one before"),
    "plate without a grade": (
        'bearing = "3 in"', 'bearing = "3 in", plate = "hem-fir"',
        "beams.opening.supports.west.plate_grade: needs the plate grade that goes with its plate"),
    "unknown plate": (
        'bearing = "3 in"', 'bearing = "3 in", plate = "balsa", plate_grade = "No.2"',
        'beams.opening.supports.west.plate: needs a plate of the tables, got "balsa".'),
    "unknown support": (
        'rests_on = "walls.upper"', 'rests_on = "walls.uper"',
        "points.strut.rests_on: needs one of the walls or beams or posts or joists of this file, "
        'or ground, got "walls.uper". Did you mean "walls.upper"?'),
    "joists on a post": (
        '["beams.opening", "walls.east"]', '["beams.opening", "posts.east"]',
        "joists.east.rests_on: needs one of the walls or beams of this file, or ground, "
        'got "posts.east".'),
    "post on a beam": (
        'height = "7 ft"\nrests_on = "ground"', 'height = "7 ft"\nrests_on = "beams.opening"',
        "beams.opening.supports: needs a path to the ground, got a circle: "
        "beams.opening > posts.west > beams.opening."),
    "circle": (
        '[walls.east]\nrests_on = "ground"', '[walls.east]\nrests_on = "beams.opening"\n'
        'along = "whole"\nweight = "1 psf"\nheight = "1 ft"',
        "needs a path to the ground, got a circle: "),
    "load beside the wall that carries it": (
        'at = "6 ft"', 'at = "4 ft"',
        "points.strut.at: needs a place on upper wall, which runs from 5 ft 0 in to 12 ft 0 in "
        'along the line, got "4 ft". Write at = "12 ft 0 in".'),
    "wall beyond its beam": (
        'to = "12 ft"', 'to = "13 ft"',
        "walls.upper.to: needs a place on opening beam, which runs from -1 1/2 in to 12 ft 2 1/2 in"
        " along the line, got \"13 ft\"."),
    "joists beyond the wall on the beam": (
        'rests_on = ["beams.opening", "walls.east"]\nspan = "13 ft 2 in"\nalong = "whole"',
        'rests_on = ["walls.upper", "walls.east"]\nspan = "13 ft 2 in"\nfrom = "3 ft"\nto = "9 ft"',
        "joists.east.from: needs a place on upper wall, which runs from 5 ft 0 in to 12 ft 0 in"),
    "whole of two unlike supports": (
        '["beams.opening", "walls.east"]', '["beams.opening", "walls.upper"]',
        "joists.east.along: needs supports that run equally far, for its extent to be the whole of "
        "them, got beams.opening and walls.upper."),
}  # fmt: skip


@pytest.mark.parametrize(("old", "new", "said"), WRONG.values(), ids=WRONG)
def test_a_slip_is_answered_with_what_is_needed(old, new, said):
    """The place, what is needed, what came, and a right way to write it."""
    messages = refusals(changed((old, new)))

    assert any(said in message for message in messages), messages
    for message in messages:
        assert re.fullmatch(r"alder\.toml, [^:]+: needs .+, got .+\. [A-Z].+[.?]", message), message


@pytest.mark.parametrize(
    ("name", "most"),
    [
        ("number without a unit", 1),
        ("too long a span", 1),
        ("unknown choice", 1),
        ("list of sections", 1),
        ("no layers", 1),
        ("supports as one text", 1),
        ("no supports for a beam", 1),
        ("missing key", 1),
        # The key that was not understood, and the one that is missing for it.
        ("near miss of a key", 2),
    ],
)
def test_one_slip_is_reported_once(name, most):
    """What was refused is not missed again by those who look at it later."""
    old, new, _ = WRONG[name]

    assert len(refusals(changed((old, new)))) == most


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("generic 2.0E LVL", "generic 3.0E LVL", "a class of composite lumber"),
        ("generic 2.0E LVL", "generic 1.8E-2400Fb PSL (column)", "a class for beams"),
        ('density = "42 pcf"\n', "", "its density, for its own weight"),
        ('moisture = "dry"', 'moisture = "wet"', 'moisture = "dry" for composite lumber'),
    ],
)
def test_composite_lumber_has_rules_of_its_own(old, new, said):
    """A class of the table, dry, with its density, in a composite size."""
    text = changed(*COMPOSITE)
    assert text.count(old) == 1

    (message,) = refusals(text.replace(old, new))

    assert f"needs {said}" in message


@pytest.mark.parametrize("line", ['report = "ER-0000"\n', 'F_v = "285 psi"\n', 'E = "2.0e6 psi"\n'])
def test_values_of_a_report_are_complete(line):
    """Its number and each of its values, or none of them."""
    text = changed(*REPORTED)
    assert text.count(line) == 1

    (message,) = refusals(text.replace(line, ""))

    assert f"beams.opening.{line.split()[0]}: needs " in message
    assert "of the evaluation report, got nothing. Write " + line.strip() in message


def test_values_of_a_report_do_not_go_with_sawn_lumber():
    """Sawn lumber has the values of its tables."""
    (message,) = refusals(changed(("plies = 3", 'plies = 3\nF_b = "2900 psi"')))

    assert "beams.opening.F_b: needs a composite material for values of a report" in message


def test_lumber_on_the_flat_is_refused():
    """A measure with breadth and depth changed over is a slip of the pen."""
    text = changed(('size = "2x12"', 'size = "4x4"\ndepth = "3 in"'))

    (message,) = refusals(text)

    assert "needs a depth not less than the width" in message


def test_timber_has_no_factor_for_incising():
    """NDS 2018 4.3.8 gives it for dimension lumber only."""
    text = changed(
        ('size = "2x12"', 'size = "6x12"'), ("plies = 3", "plies = 1"),
        ('incised = "no"', 'incised = "yes"'),
    )  # fmt: skip

    (message,) = refusals(text)

    assert "beams.opening.incised: needs dimension lumber" in message


def test_joists_over_two_spans_say_how_they_pass_the_wall():
    """Cut or continuous makes a quarter more on it: no guess is made."""
    text = changed(*CONTINUOUS).replace('over_supports = "continuous"\n', "")

    (message,) = refusals(text)

    assert "joists.east.over_supports: needs how the joists pass their inner supports" in message


def test_a_beam_over_two_spans_says_how_its_bottom_is_held():
    """It hogs over the inner support, where its bottom edge is in compression."""
    text = changed(*TWO_SPANS).replace('unbraced_bottom = "6 ft"\n', "")

    (message,) = refusals(text)

    assert "beams.opening.unbraced_bottom: needs the unbraced length of its bottom edge" in message


def test_a_job_without_a_beam_is_refused():
    """There is nothing to check."""
    head = JOB[: JOB.index("[surfaces.floor]")]

    assert refusals(head) == (
        "alder.toml, beams: needs the beam of the opening, got nothing. Write [beams.opening].",
    )


def test_every_circle_of_supports_is_named():
    """Two circles, two messages, each with its members in order."""
    wall = 'along = "whole"\nweight = "1 psf"\nheight = "1 ft"\n'
    text = JOB + "".join(
        f'[walls.{here}]\nrests_on = "walls.{there}"\n{wall}'
        for here, there in (("a", "b"), ("b", "a"), ("c", "d"), ("d", "c"))
    )

    circles = [message.partition("got a circle: ")[2] for message in refusals(text)]

    assert sorted(circle.partition(".")[2][:1] for circle in circles) == ["a", "c"]
    assert all(re.match(r"(walls\.\w) > walls\.\w > \1\. ", circle) for circle in circles)


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("span = 13 ft 2 in", 'got "span = 13 ft 2 in". Put quotes around the value: '
         'span = "13 ft 2 in".'),
        ("size = 2x10", 'Put quotes around the value: size = "2x10".'),
        ("along = whole # of it", 'Put quotes around the value: along = "whole".'),
        ('span = "13\' 2""', "A quote ends the text, so write inches as in: span = "),
        ("span", 'got "span". Write span = "13 ft 2 in", or [joists.east] at the head'),
        ("[joists.east", 'got "[joists.east". Write span = '),
        ('span = "1 ft"\nspan = "2 ft"', "line 3: needs each key and each table once, got a s"),
        ("[job]\n[job]", 'line 3: needs each key and each table once, got a second "[job]".'),
        ("a = {x = 1, x = 2}", "line 2: needs each key and each table once, got a second"),
        ('a.b = "1"\na = "2"', "line 3: needs each key and each table once, got a s"),
        ('span = """13 ft', "at its end: needs every bracket and quote closed, got an open one."),
    ],
)  # fmt: skip
def test_what_is_no_toml_is_shown_with_its_line_and_a_cure(line, said):
    """The usual slips get their own advice."""
    (message,) = refusals(f"format = 1\n{line}\n")

    assert message.startswith("alder.toml, ")
    assert said in message
    assert re.search(r"line [23]: |at its end: ", message)


def run(*arguments):
    """Run the command line in a process of its own."""
    return subprocess.run(
        [sys.executable, *arguments], cwd=ROOT, capture_output=True, text=True, check=False
    )


@pytest.mark.parametrize(
    "text", [changed(WRONG["no size"][:2]), "span = 13 ft\n"], ids=["errors", "no TOML"]
)
def test_a_bad_job_loads_no_heavy_library(tmp_path, text):
    """Who made a slip does not wait for a computer algebra system."""
    path = tmp_path / "bad.toml"
    path.write_text(text, encoding="utf-8")
    heavy = ["IPython", "jinja2", "matplotlib", "numpy", "pint", "scipy", "sympy"]
    code = (
        "import json, sys\n"
        "from calclib.cli import main\n"
        f"code = main(['check', {str(path)!r}])\n"
        f"print(json.dumps([code, sorted(set({heavy}) & set(sys.modules))]))"
    )

    done = run("-c", code)

    assert json.loads(done.stdout) == [2, []]
    assert "bad.toml, " in done.stderr
    assert "Traceback" not in done.stderr


def every_key():
    """Return heading in the guide, name there, and key of everything that a job file may hold."""
    found = [("[job]", key.name, key) for key in schema.JOB]
    for kind, keys in schema.SECTIONS.items():
        found += [(f"[{kind}.NAME]", key.name, key) for key in keys]
        for table, content in schema.INSIDE.get(kind, {}).items():
            if isinstance(content, tuple):
                found += [(f"[{kind}.NAME.{table}.NAME]", key.name, key) for key in content]
            else:
                found.append((f"[{kind}.NAME.{table}]", "NAME", content))
    return found


KEYS = every_key()
EACH_KEY = pytest.mark.parametrize(
    ("heading", "name", "key"), KEYS, ids=[f"{heading} {name}" for heading, name, _ in KEYS]
)


@EACH_KEY
def test_the_example_of_a_key_is_right(heading, name, key):
    """What a message proposes can be read at that place."""
    if key.kind == "quantity":
        number = quantity(key.example, key.unit)
        assert key.low <= number <= key.high
    elif key.kind == "choice":
        assert key.example in key.choices
    else:
        assert key.kind in ("count", "ratio", "pitch", "text", "names", "date")
    assert key.line.startswith(f"{key.name} = ")


def guide():
    """Return the rows of the guide's tables: heading, key, cells."""
    rows, heading = [], ""
    for line in (ROOT / "docs" / "job-file.md").read_text(encoding="utf-8").splitlines():
        if line.startswith("#"):
            heading = line
        elif line.startswith("| `"):
            key, *cells = [cell.strip() for cell in line.strip("|").split("|")]
            rows.append((heading, key.strip("`"), cells))
    return rows


@EACH_KEY
def test_the_guide_explains_every_key(heading, name, key):
    """Once, with its unit or choices, its example, whether it is needed, how to find it on site."""
    rows = [cells for head, row, cells in guide() if f"`{heading}`" in head and row == name]

    ((what, needed, form, example, site),) = rows

    assert example == f"`{key.line.replace(key.name, name, 1)}`"
    assert (needed == "always") == key.required
    if key.kind == "quantity":
        assert form == (key.unit or "a number")
    for choice in key.choices:
        assert f'"{choice}"' in form
    assert len(what) > 10
    assert len(site) > 10


def test_the_guide_explains_no_key_that_does_not_exist():
    """A key that was taken out or renamed does not stay in the guide."""
    known = {name for _, name, _ in KEYS} | {"format", "value", "item", *schema.COMMON}

    assert {key for _, key, _ in guide()} <= known


def test_the_limits_of_sense_hold_houses():
    """A plank of balsa and one of ironwood lie within them, a span of a mile does not."""
    keys = {(heading, name): key for heading, name, key in KEYS}
    density, span = keys["[beams.NAME]", "density"], keys["[joists.NAME]", "span"]

    # common practice, no source: light and heavy woods, a long joist.
    assert density.low < 8 * pcf
    assert density.high > 75 * pcf
    assert span.low < 2 * ft
    assert 30 * ft < span.high < 5280 * ft
    assert keys["[beams.NAME]", "ply_width"].low < 1.5 * inch


def test_sections_and_entries_cannot_be_changed():
    """A job that was read stays as it was read."""
    beam = parse(JOB).of("beams")["opening"]

    assert isinstance(beam, Section)
    with pytest.raises(AttributeError):
        beam.path = "beams.other"
    with pytest.raises(AttributeError):
        beam.numbers["plies"].number = 4.0
