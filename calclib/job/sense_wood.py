"""What a job file must make sense of about wood: species, grades, classes, sizes."""

from __future__ import annotations

import math

from calclib import published
from calclib.errors import LookupMiss, quoted
from calclib.job.contents import Section
from calclib.job.errors import Errors
from calclib.job.reading import hint
from calclib.published.lumber import LEAST_THICKNESS, TIMBER_THICKNESS
from calclib.units import feet_inches

# Half the step between stock depths: old lumber comes in any size, and each is near one of them.
STOCK_TOLERANCE = 1.0
SLACK = 1e-6

REPORTED = {
    "F_b": "2900 psi", "F_v": "285 psi", "F_c_perp": "750 psi", "E": "2.0e6 psi",
    "size_exponent": "0.136",
}  # fmt: skip


def sawn_beam(section: Section, errors: Errors) -> None:
    """See that a beam by species and grade is in the tables, and says whether it is incised."""
    pair(section, "species", "grade", errors)
    for key in ("report", *REPORTED):
        if key in section.words or key in section.numbers:
            errors.add(
                f"{section.path}.{key}",
                "a composite material for values of a report",
                "species and grade",
                'Take it out, or write material = "generic 2.0E-2900Fb LVL" in their place.',
            )
    b, d = stock_size(section, "sawn", errors)
    in_tables(section, b, d, errors)
    incised = section.words.get("incised")
    if incised is None:
        errors.add(
            f"{section.path}.incised",
            "whether the lumber is incised for treatment",
            "nothing",
            'Write incised = "no".',
        )
    elif incised == "yes" and b >= TIMBER_THICKNESS - SLACK:
        errors.add(
            f"{section.path}.incised",
            "dimension lumber, for which alone there are factors for incising",
            f"{quoted(incised)} for {section.words['size']}",
            'Write incised = "no", or take lumber of less than 5 in nominal.',
        )


def composite_beam(section: Section, errors: Errors) -> None:
    """See that a beam by class is in the table, dry, and says its density."""
    path, words = section.path, section.words
    name = words["material"]
    stock_size(section, "composite", errors)
    if "density" not in section.numbers:
        errors.add(
            f"{path}.density",
            "its density, for its own weight",
            "nothing",
            'Write density = "42 pcf".',
        )
    for key, example in (("moisture", "dry"), ("incised", "no")):
        if words.get(key) not in (None, "", example):
            errors.add(
                f"{path}.{key}",
                f'{key} = "{example}" for composite lumber, whose values hold only so',
                quoted(words[key]),
                f'Write {key} = "{example}", or take sawn lumber by species and grade.',
            )
    if "report" in words or set(REPORTED) & set(section.numbers):
        _report(section, errors)
        return
    if not name:
        return
    try:
        row = published.composite(name)
    except LookupMiss as miss:
        bare = name.removeprefix("generic").strip()
        do = hint(miss, bare, 'Write material = "generic 2.0E-2900Fb LVL".')
        errors.add(f"{path}.material", "a class of composite lumber", quoted(name), do)
    else:
        if row.text("use") == "column":
            errors.add(
                f"{path}.material",
                "a class for beams",
                quoted(name),
                'Write material = "generic 2.0E-2900Fb PSL".',
            )


def glulam_beam(section: Section, errors: Errors) -> None:
    """See that a beam of glulam is in the tables, of one piece, and not incised."""
    path, words = section.path, section.words
    stock_size(section, "glulam", errors)
    if section.numbers["plies"].number != 1:
        errors.add(
            f"{path}.plies", "one ply for glulam", section.numbers["plies"].text, "Write plies = 1."
        )
    for key in ("report", *REPORTED):
        if key in words or key in section.numbers:
            errors.add(
                f"{path}.{key}",
                "a composite material for values of a report",
                "glulam",
                "Take it out.",
            )
    if words.get("incised") not in (None, "", "no"):
        errors.add(
            f"{path}.incised",
            "no incising, for which glulam has no factors",
            quoted(words["incised"]),
            'Write incised = "no".',
        )
    name = words["glulam"]
    if not name:
        return
    try:
        row = published.glulam(name)
    except LookupMiss as miss:
        do = hint(miss, name, 'Write glulam = "24F-1.8E".')
        errors.add(f"{path}.glulam", "a class or combination of glulam", quoted(name), do)
        return
    if row.table.endswith("5b") and "laminations" not in section.numbers:
        errors.add(
            f"{path}.laminations",
            "the number of laminations, for a combination of table 5B",
            "nothing",
            "Write laminations = 8.",
        )


def _report(section: Section, errors: Errors) -> None:
    """See that values by an evaluation report are complete, and that the report is named."""
    for key, example in REPORTED.items():
        if key not in section.numbers:
            errors.add(
                f"{section.path}.{key}",
                "each value of the evaluation report",
                "nothing",
                f'Write {key} = "{example}".',
            )
    if "report" not in section.words:
        errors.add(
            f"{section.path}.report",
            "the number of the evaluation report",
            "nothing",
            'Write report = "ER-0000".',
        )


def plate(seat: Section, errors: Errors) -> None:
    """See that the plate below a bearing is in the tables."""
    pair(seat, "plate", "plate_grade", errors)
    species, grade = seat.words.get("plate"), seat.words.get("plate_grade")
    if species and grade:
        try:
            published.size_rows(species, grade, LEAST_THICKNESS)
        except LookupMiss as miss:
            _missed(seat, ("plate", "plate_grade"), miss, errors)


def pair(section: Section, first: str, second: str, errors: Errors) -> None:
    """Report one of two keys that say something only together."""
    for here, other in ((first, second), (second, first)):
        if here in section.words and other not in section.words:
            example = {"species": "hem-fir", "plate": "hem-fir"}.get(other, "No.2")
            errors.add(
                f"{section.path}.{other}",
                f"the {other.replace('_', ' ')} that goes with its {here.replace('_', ' ')}",
                "nothing",
                f'Write {other} = "{example}".',
            )


def stock_size(section: Section, product: str | None, errors: Errors) -> tuple[float, float]:
    """See that a size is stock and its measure near it; return breadth and depth [in] or nan."""
    name = section.words["size"]
    if not name:
        return math.nan, math.nan
    try:
        size = published.nominal_size(name, product)
    except LookupMiss as miss:
        needs = f"a stock size of {product} lumber" if product else "a stock size"
        example = "1-3/4 x 11-7/8" if product == "composite" else "2x10"
        do = hint(miss, name, f'Write size = "{example}".')
        errors.add(f"{section.path}.size", needs, quoted(name), do)
        return math.nan, math.nan
    sides = []
    width = "width" if "width" in section.numbers else "ply_width"
    for key, stock in ((width, size.b_in), ("depth", size.d_in)):
        measured = section.numbers.get(key)
        sides.append(measured.number if measured else stock)
        if measured and abs(measured.number - stock) > STOCK_TOLERANCE + SLACK:
            errors.add(
                f"{section.path}.{key}",
                f"a measure near the {feet_inches(stock)} of {name}",
                quoted(measured.text),
                f'Measure again, or write the size that comes nearest, such as size = "{name}".',
            )
    b, d = sides
    if d < b - SLACK:
        errors.add(
            f"{section.path}.size",
            "a depth not less than the width, for bending on the flat is not covered",
            f"{feet_inches(b)} by {feet_inches(d)}",
            'Write the smaller one first: size = "2x10".',
        )
        return math.nan, math.nan
    return b, d


def in_tables(section: Section, b: float, d: float, errors: Errors) -> None:
    """See that the tables hold values for a species and grade in a size [in]."""
    species, grade = section.words.get("species"), section.words.get("grade")
    if species and grade and not math.isnan(b + d):
        try:
            published.sawn_lumber(species, grade, b, d)
        except LookupMiss as miss:
            _missed(section, ("species", "grade"), miss, errors)


def _missed(section: Section, keys: tuple[str, str], miss: LookupMiss, errors: Errors) -> None:
    """Report what the tables of lumber do not hold under the key that it is about."""
    for key in keys:
        word = section.words[key]
        if quoted(word) in str(miss):
            needs = f"a {key.replace('_', ' ')} of the tables"
            do = hint(miss, word, f"The tables say: {miss}")
            errors.add(f"{section.path}.{key}", needs, quoted(word), do)
            return
    size = section.words.get("size", "")
    do = f"The tables say: {miss}"
    errors.add(f"{section.path}.size", "a size of the tables", quoted(size), do)
