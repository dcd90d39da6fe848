"""A solved opening with all free that a designer sets: spans, tributary widths and loads.

The checks of what carries the beam are read with its own, and a state of it can be written as a
job file.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import Any

from calclib import units
from calclib.errors import CalcError
from calclib.job.bent import Bent
from calclib.job.carry import Flow
from calclib.job.edit import edited
from calclib.job.file import Entry, Job, parse
from calclib.job.schema import GROUND, called
from calclib.job.solve import STAGE, Solved, solved_of
from calclib.lessons.gathering import watched
from calclib.lessons.opening import Freedom, Study, joists_beside, named_beam, spans_free
from calclib.lessons.reading import Reading
from calclib.lessons.setting import Setting, scale_around
from calclib.lessons.variation import variation
from calclib.loads.combinations import SOURCE_NAMES
from calclib.trace import Check, Leaf, Value, leaves, values_in

MADE_HERE = "set in an explorer"
MOST_NOTE = 280
# A load on an area, from nothing to twice what the job has: so many steps of the slider.
LOAD_STEP, LOAD_STEP_SI = 1 * units.psf, 0.05 * units.kPa
LOAD_KEYS = (("L", "live"), ("Lr", "roof_live"), ("S", "snow"), ("S", "ground_snow"))
NEAREST = 1e-15
NOTHING_SHOWN = "job file: there is nothing to write while nothing is shown."
# Of a utilization: two ways to one number differ by rounding only.
SAME = 1e-9


def design_study(job: str | Path | Job | Solved, beam: str = "") -> Study:
    """Solve a job and free all of a beam's numbers that a designer moves.

    Parameters
    ----------
    job : str, Path, Job or Solved
        A job file, or what was made of it.
    beam : str
        Name of the beam; the first of the job if left out.

    Returns
    -------
    Study
        With the spans of the beam, the tributary width of each span of joists beside it, and
        the area loads that reach it; read with the checks of what carries it.

    Raises
    ------
    CalcError
        When the job cannot be read or solved, or has no such beam.

    Notes
    -----
    A tributary width is half the span of the joists on that side: their length moves with it.
    The dead loads of a surface grow in one proportion.
    """
    solved = solved_of(job)
    found = named_beam(solved, beam)
    beside = tuple(_beside(solved, found))
    targets = list(values_in(watched(found, beside)))
    reach = {leaf.id for leaf in leaves(*targets)}
    freedoms = [*spans_free(solved, found), *_sides(solved, found), *_loads(solved)]
    free = {
        freedom.setting.key: freedom
        for freedom in freedoms
        if any(leaf.id in reach for leaf in freedom.leaves)
    }
    moved = [leaf for freedom in free.values() for leaf in freedom.leaves]
    own = list(values_in(watched(found)))
    return Study(solved, found, free, variation(moved, own), beside, variation(moved, targets))


def _beside(solved: Solved, beam: Bent) -> Iterator[Check]:
    """Yield the checks of a beam that come with its place, and those of all that carries it."""
    own = {check.id for check in beam.checks}
    members = (beam.section.path, *_below(solved.flow, beam.section.path))
    for check in solved.checks:
        stage, _, rest = check.id.partition("/")
        if stage == STAGE and rest.partition("/")[0] in members and check.id not in own:
            yield check


def _below(flow: Flow, path: str) -> tuple[str, ...]:
    """Return what carries a member, down to the ground."""
    found: dict[str, None] = {}
    ahead = [path]
    while ahead:
        here = ahead.pop()
        for handing in flow.handings:
            if handing.giver == here and handing.taker not in (GROUND, *found):
                found[handing.taker] = None
                ahead.append(handing.taker)
    return tuple(found)


def _sides(solved: Solved, beam: Bent) -> Iterator[Freedom]:
    """Yield the tributary width on each span of joists or rafters beside a beam."""
    for span, (section, part) in joists_beside(solved, beam, ("joists", "rafters")).items():
        words = " ".join(filter(None, (called(section.path), part.replace("_", " "))))
        key = "_".join(filter(None, ("width", section.name, part)))
        yield _length(solved, key, f"tributary width from {words}", span)


def _length(solved: Solved, key: str, name: str, span: Value) -> Freedom:
    si = solved.job.title_block["units"] == "SI"
    width = span.at() / 2
    low, high, step = scale_around(width, si)
    return Freedom(Setting(key, name, "ft", width, low, high, step, si), (span,))


def _loads(solved: Solved) -> Iterator[Freedom]:
    """Yield the area loads of the job; a code's live load once, for all of its floors."""
    by_use: dict[str, tuple[Value, list[str]]] = {}
    for name, section in solved.job.of("surfaces").items():
        words = name.replace("_", " ")
        for source, key in LOAD_KEYS:
            if key in section.numbers:
                what = f"{'ground snow' if key == 'ground_snow' else SOURCE_NAMES[source]} load"
                yield from _load(
                    solved,
                    f"{key}_{name}",
                    f"{what} on {words}",
                    solved.inputs[f"{section.path}.{key}"],
                )
        if "use" in section.words:
            live = solved.surfaces[name].by_source["L"]
            by_use.setdefault(live.id, (live, []))[1].append(name)
        layers = [
            solved.inputs[e.path] for e in section.inside["layers"].values() if isinstance(e, Entry)
        ]
        yield from _load(solved, f"dead_{name}", f"dead load of {words}", *layers)
    for live, names in by_use.values():
        words = " and ".join(name.replace("_", " ") for name in names)
        yield from _load(solved, f"live_{names[0]}", f"floor live load on {words}", live)


def _load(solved: Solved, key: str, name: str, *loads: Value) -> Iterator[Freedom]:
    si = solved.job.title_block["units"] == "SI"
    start = sum(load.at() for load in loads)
    if not start > 0:
        return
    step = LOAD_STEP_SI if si else LOAD_STEP
    high = 5 * step * math.ceil(2 * start / (5 * step))
    yield Freedom(Setting(key, name, "psf", start, 0.0, high, step, si), loads)


def job_text(study: Study, numbers: Mapping[str, float]) -> str:
    """Return the job file of a study with some of its numbers changed.

    Parameters
    ----------
    study : Study
    numbers : mapping of str to float [base units]
        By the key of a setting; what stands as the job has it is not written anew.

    Returns
    -------
    str
        The text of the job, with comments and all that was not changed as they were.
        A changed number says where it comes from and what stood there before.

    Raises
    ------
    CalcError
        For a number that the file cannot hold.
    """
    changes: dict[str, Any] = {}
    for key, number in numbers.items():
        freedom = study.freedoms[key]
        if number == freedom.setting.start:
            continue
        moved = freedom.numbers(number)
        for leaf in freedom.leaves:
            changes |= _written(study, leaf, moved[leaf.id])
    return edited(study.solved.job.text, changes, study.solved.job.file)


def objection(study: Study, numbers: Mapping[str, float]) -> str:
    """Return why no job file can say what is set, in one sentence; empty when one can.

    Parameters
    ----------
    study : Study
    numbers : mapping of str to float [base units]
        As for `job_text`.
    """
    try:
        parse(job_text(study, numbers), study.solved.job.file)
    except CalcError as error:
        first, *others = str(error).splitlines()
        more = f" And {len(others)} more of the kind." if others else ""
        return f"With what is set the job contradicts itself: {first}{more}"
    return ""


def proven_text(
    study: Study,
    numbers: Mapping[str, float],
    shown: Reading | None,
    again: Callable[[Job], Reading],
) -> str:
    """Return the job file of a state, once it was solved and found to give what is shown.

    Parameters
    ----------
    study : Study
    numbers : mapping of str to float [base units]
        As for `job_text`.
    shown : Reading or None
        None when the screen shows nothing.
    again : callable
        Reads a job in the way in which `shown` was read.

    Returns
    -------
    str

    Raises
    ------
    CalcError
        When no such file can be, or its checks are not those shown.
    """
    if shown is None:
        raise CalcError(NOTHING_SHOWN)
    text = job_text(study, numbers)
    other = again(parse(text, study.solved.job.file))
    ours, theirs = ((*reading.checks, *reading.beside) for reading in (shown, other))
    if len(ours) != len(theirs) or not all(
        a.id == b.id and a.state == b.state and math.isclose(a.used, b.used, rel_tol=SAME)
        for a, b in zip(ours, theirs, strict=True)
    ):
        raise CalcError("job file: solved anew it would not give the numbers that are shown.")
    return text


def _written(study: Study, leaf: Value, number: float) -> dict[str, Any]:
    """Return what a leaf's new number changes in the file."""
    assert isinstance(leaf.origin, Leaf)
    told = {
        "value": exact_text(number, leaf.unit, study.si),
        "basis": "chosen" if leaf.id.startswith(f"{study.beam.section.path}.") else "assumed",
        "source": MADE_HERE,
    }
    if leaf.id in study.solved.inputs:
        return {leaf.id: told | {"note": before(leaf.origin.entered, leaf.origin)}}
    # The live load of a use: the use gives way to the number.
    changes: dict[str, Any] = {}
    for section in study.solved.job.of("surfaces").values():
        if (
            "use" in section.words
            and study.solved.surfaces[section.name].by_source["L"].id == leaf.id
        ):
            note = before(f'use = "{section.words["use"]}"', leaf.origin)
            changes |= {f"{section.path}.use": None, f"{section.path}.live": told | {"note": note}}
    return changes


def before(text: str, known: Any) -> str:
    """Return a note of what stood in a file before, and how it was known.

    Parameters
    ----------
    text : str
        As it was typed.
    known : Leaf or Known
        With `basis` and `source`.
    """
    said = ", ".join(filter(None, (text, known.basis, known.source)))
    return f"before: {said}"[:MOST_NOTE]


def exact_text(number: float, unit: str, si: bool) -> str:
    """Return a number as text with its unit that is read as the same number again.

    Parameters
    ----------
    number : float [base units]
    unit : str
        A declared unit.
    si : bool
        Whether SI units come first.

    Examples
    --------
    >>> exact_text(162.375, "ft", si=False), exact_text(163.1, "ft", si=False)
    ('13 ft 6 3/8 in', '163.1 in')
    """
    shown = units.si_unit(unit) if si else unit
    is_length = units.dimension(unit) == (0, 1)
    tries = [units.show_length(number, si)] if is_length else [units.show(number, shown)]
    scale = "mm" if is_length and si else "in" if is_length else shown
    tries += [f"{number / units.factor(scale):.{digits}g} {scale}" for digits in (6, 12, 17)]
    for text in tries:
        if abs(units.parse(text, unit) - number) <= NEAREST * abs(number):
            return text
    return tries[-1]
