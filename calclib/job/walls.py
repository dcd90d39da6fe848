"""A wall whose studs are known: as columns, on its plates, and on what the wall stands on."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from calclib.ground.footing import contact_area, one_foot, plain_concrete_bearing, plain_phi
from calclib.job.bent import Design, design_of
from calclib.job.carry import Flow, through_wall
from calclib.job.contents import Section
from calclib.job.lines import Inputs
from calclib.job.member import LoadRow
from calclib.job.schema import GROUND, called
from calclib.job.studs import plate_of, stud_of
from calclib.job.sums import is_line, line_over_cases, sum_over_cases
from calclib.job.wood import material_of, service_of, stock_size
from calclib.loads import CaseSet
from calclib.loads.takedown import load_over_length
from calclib.timber.bearing import Surface, contact_width, strength_surface, surface
from calclib.timber.column_checks import (
    post_check,
    pressed_woods_check,
    under_post_check,
)
from calclib.timber.columns import column_bracing
from calclib.timber.piece import piece
from calclib.timber.posts import Post
from calclib.trace import Check, Value, check
from calclib.units import feet_inches

BEARING = "NDS 2018 3.10.2; IRC R602.3"


def wall_checks(flow: Flow, section: Section, takers: Sequence[str]) -> Iterator[Check]:
    """Yield the checks of a wall whose studs are known.

    Parameters
    ----------
    flow : Flow
    section : Section
    takers : sequence of str
        What it stands on, or the ground.

    Yields
    ------
    Check
        Open where its plates, what is below it, or the studs right under a load are not known.

    Notes
    -----
    Valid for: line loads, shared by studs at an even spacing.
    Differs from the source: wind on the wall is not counted.
    """
    path, house, name = section.path, flow.house, called(section.path)
    design = design_of(house.job)
    rows = through_wall(flow, section)
    yield from _points(flow, section, [row for row in rows if not is_line(row)], design)
    found = line_over_cases(rows, name, design)
    if found is None:
        return
    w, cases = found
    stud = stud_of(section, house.inputs, design)
    P = load_over_length(w, house.inputs[f"{path}.spacing"])
    yield post_check(
        f"{flow.state.key}/{path}/studs",
        stud,
        P,
        design.time_factor(cases),
        _bracing(section, house.inputs),
        cases.names,
        title=f"Studs of {name} as columns",
    )
    on = plate_of(section, design)
    if on is None:
        yield check(
            f"{flow.state.key}/{path}/bearing",
            f"Bearing of the studs of {name} on its plates",
            BEARING,
            P,
            None,
            cases=cases.names,
            questions=(f"The plates of {name} were not entered: the studs press them.",),
        )
    else:
        yield under_post_check(
            f"{flow.state.key}/{path}/bearing",
            P,
            stud.piece.b,
            stud.piece.d,
            on,
            design.method,
            cases.names,
            title=f"Bearing of the studs of {name} on its plates",
        )
    for taker in takers:
        made = _on(flow, section, taker, (P, w), (stud, on), cases, design)
        if made is not None:
            yield made


def _bracing(section: Section, inputs: Inputs):  # type: ignore[no-untyped-def]
    height = inputs[f"{section.path}.height"]
    flat = inputs.get(f"{section.path}.braced_flatwise", height)
    return column_bracing(height, None if section.words.get("held_flatwise") == "yes" else flat)


def _points(
    flow: Flow, section: Section, rows: Sequence[LoadRow], design: Design
) -> Iterator[Check]:
    """Yield an open check for each place where a point load comes down on a wall."""
    name = called(section.path)
    places: dict[float | None, list[LoadRow]] = {}
    for row in rows:
        places.setdefault(None if row.start is None else round(row.start.at(), 3), []).append(row)
    for number, (at, here) in enumerate(places.items(), start=1):
        where = "a place that is not said" if at is None else feet_inches(at)
        found = sum_over_cases(here, f"{name} at {where}", design)
        assert found is not None
        yield check(
            f"{flow.state.key}/{section.path}/point.{number}",
            f"Studs of {name} under the load at {where}",
            "NDS 2018 3.7, 3.10",
            found[0],
            None,
            cases=found[1].names,
            questions=(
                f"A load comes down on {name} at {where}: the studs, blocking and plates right "
                "under it were not entered, and are to be checked for it.",
            ),
        )


def _on(
    flow: Flow,
    section: Section,
    taker: str,
    loads: tuple[Value, Value],
    wall: tuple[Post, Surface | None],
    cases: CaseSet,
    design: Design,
) -> Check | None:
    """Return the check of what a wall stands on; None where a footing's own checks hold it."""
    house, (P, w), (stud, on) = flow.house, loads, wall
    id = f"{flow.state.key}/{section.path}/base.{taker.rpartition('.')[2]}"
    title = f"Bearing of {called(section.path)} on {below_text(taker)}"
    below = flow.state.members.get(taker)
    kind = "" if below is None else below.kind
    if kind == "footings" and below is not None and "concrete" in below.numbers:
        if "stem" not in below.words:
            return None
        if below.words["stem"] == "concrete":
            return _on_stem(id, title, flow, section, stud, house.inputs[f"{taker}.concrete"])
    if on is None or below is None:
        return _open(id, title, section, taker, P, cases)
    if kind == "beams":
        axis = house.axes[taker]
        return pressed_woods_check(
            id, P, stud.piece.b, contact_width(stud.piece.d, axis.piece.b), on,
            _by_method(surface(axis.piece), design), design.method, cases.names, title=title,
            notes=("Each stud presses through the plate in its own section.",),
        )  # fmt: skip
    if kind == "joists" and "species" in below.words:
        b, d = stock_size(below, house.inputs)
        lower = surface(piece(material_of(below, house.inputs, b, d), service_of(below)))
        on_one = load_over_length(w, house.inputs[f"{taker}.spacing"])
        return pressed_woods_check(
            id, on_one, b, stud.piece.d, on, _by_method(lower, design), design.method,
            cases.names, title=title,
            notes=("One joist takes what stands over its spacing.",),
        )  # fmt: skip
    lower_plate = plate_of(below, design) if kind == "walls" else None
    if lower_plate is not None:
        return pressed_woods_check(
            id, P, stud.piece.b, stud.piece.d, on, lower_plate, design.method, cases.names,
            title=title,
            notes=(
                "Each stud presses through its plate in its own section. Where studs stand beside "
                "those below, the plates between bend (IRC R602.3.3).",
            ),
        )  # fmt: skip
    return _open(id, title, section, taker, P, cases)


def _by_method(on: Surface, design: Design) -> Surface:
    return strength_surface(on) if design.method == "LRFD" else on


def _on_stem(
    id: str, title: str, flow: Flow, section: Section, stud: Post, f_c_prime: Value
) -> Check | None:
    """Return the check of a sill on a concrete foundation wall, for one foot of it."""
    edition = flow.house.job.title_block["load_standard"]
    found = line_over_cases(
        through_wall(flow, section), called(section.path), Design(edition, "LRFD")
    )
    if found is None:
        return None
    w_u, cases = found
    foot = one_foot()
    return check(
        id,
        title,
        "ACI 318-14 14.5.6; IRC R404.3",
        load_over_length(w_u, foot),
        plain_concrete_bearing(plain_phi(), f_c_prime, contact_area(foot, stud.piece.d)),
        cases=cases.names,
        notes=(
            "Of one foot of the wall. The foundation wall is taken as of the footing's concrete.",
            "Wood on concrete is to be treated or durable (IRC R317.1).",
        ),
    )


def _open(id: str, title: str, section: Section, taker: str, P: Value, cases: CaseSet) -> Check:
    name = called(section.path)
    return check(
        id,
        title,
        BEARING,
        P,
        None,
        cases=cases.names,
        questions=(
            f"{name.capitalize()} stands on {below_text(taker)}: its plates, or what is right "
            "below them, were not entered and are to be checked for its load.",
        ),
    )


def below_text(path: str) -> str:
    """Return what a member, or the ground, is called."""
    return f"the {path}" if path == GROUND else called(path)
