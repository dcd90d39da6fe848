"""Joists and rafters: each strip of a field as a bent member, one joist with what it carries."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from calclib import published
from calclib.job.bent import (
    Bent,
    Design,
    Settings,
    deflection_checks,
    solved_bent,
    strength_checks,
    uplift_check,
)
from calclib.job.contents import Section
from calclib.job.field import Strip, clipped, covers, place_in_strip
from calclib.job.lines import SAME_PLACE, Inputs
from calclib.job.member import LoadRow, Model
from calclib.job.schema import called
from calclib.job.state import AS_FOUND, NAMES
from calclib.job.wood import material_of, service_of, stock_size
from calclib.loads.takedown import place_of_support
from calclib.timber.factors import repetitive_factor
from calclib.timber.leaves import table_leaf
from calclib.timber.piece import Piece, piece, stiffness
from calclib.timber.stability import braced_at, held_throughout
from calclib.trace import Check, Value, check, formula, positive

FLOOR_LIMITS = "floor members"


@formula(
    "w",
    "plf",
    q="psf",
    s="ft",
    source="mechanics, statics",
    valid={"q": (0.0, None), "s": positive},
)
def load_on_one_joist(q, s):  # type: ignore[no-untyped-def]
    """Line load on one joist of a row.

    Parameters
    ----------
    q : float or array [psf]
        Load on the area.
    s : float or array [ft]
        Spacing of the joists.

    Returns
    -------
    float or array [plf]
        Zero or more, down.

    Notes
    -----
    Valid for: q >= 0, s > 0; an inner joist of the row.
    Differs from the source: nothing.
    """
    return q * s


@formula(
    "P",
    "lbf",
    w="plf",
    s="ft",
    source="mechanics, statics",
    valid={"w": (None, None), "s": positive},
)
def wall_on_one_joist(w, s):  # type: ignore[no-untyped-def]
    """What a wall that crosses a row of joists puts on one of them.

    Parameters
    ----------
    w : float or array [plf]
        Line load of the wall.
    s : float or array [ft]
        Spacing of the joists.

    Returns
    -------
    float or array [lbf]
        Down positive.

    Notes
    -----
    Valid for: s > 0; an inner joist of the row.
    Differs from the source: nothing.
    """
    return w * s


@formula(
    "n", "", a="in", c="in", s="in", source="geometry",
    valid={"a": (None, None), "c": (None, None), "s": positive},
)  # fmt: skip
def members_in_row(a, c, s):  # type: ignore[no-untyped-def]
    """Number of members of a row, as its length over their spacing.

    Parameters
    ----------
    a : float or array [in]
        Where the row begins.
    c : float or array [in]
        Where it ends.
    s : float or array [in]
        Spacing.

    Returns
    -------
    float or array [dimensionless]
        Not a whole number as a rule.

    Notes
    -----
    Valid for: s > 0, a < c.
    Differs from the source: nothing.
    """
    return (c - a) / s


@dataclass(frozen=True, eq=False)
class Part:
    """A stretch of a strip in which each joist carries the same.

    Attributes
    ----------
    start, end : float [in]
        Along the line; equal for the joist under a point load.
    landed : tuple of LoadRow
        What stands on its joists.
    """

    start: float
    end: float
    landed: tuple[LoadRow, ...]


def parts_of(strip: Strip, landed: Sequence[LoadRow]) -> tuple[Part, ...]:
    """Return the stretches of a strip whose joists differ in what stands on them.

    Parameters
    ----------
    strip : Strip
    landed : sequence of LoadRow
        What stands on the field.

    Returns
    -------
    tuple of Part
        Of stretches that carry the same, only the longest; one for each place of a point load.
    """
    here = [
        part
        for load in landed
        if covers(strip, load.across)
        for part in [clipped(load, strip)]
        if part is not None
    ]
    lines = [load for load in here if not load.is_point]
    edges = sorted(
        {strip.start.at(), strip.end.at()}
        | {place.at() for load in lines for place in (load.start, load.end)}
    )
    found: dict[tuple[int, ...], Part] = {}
    for low, high in itertools.pairwise(edges):
        if high - low <= SAME_PLACE:
            continue
        on = tuple(i for i, load in enumerate(lines) if _over(load, (low + high) / 2))
        known = found.get(on)
        if known is None or high - low > known.end - known.start:
            found[on] = Part(low, high, tuple(lines[i] for i in on))
    points: dict[float, list[LoadRow]] = {}
    for load in here:
        if load.is_point:
            points.setdefault(load.start.at(), []).append(load)
    return (
        *found.values(),
        *(
            Part(at, at, (*(load for load in lines if _over(load, at)), *loads))
            for at, loads in points.items()
        ),
    )


def _over(load: LoadRow, place: float) -> bool:
    return bool(load.start.at() <= place <= load.end.at())


def joist_piece(section: Section, strip: Strip, inputs: Inputs) -> Piece:
    """Return one joist of a strip, its species and grade being known."""
    b, d = stock_size(section, inputs)
    material = material_of(section, inputs, b, d)
    C_r = None
    if section.words.get("repetitive") == "yes":
        spacing = inputs[f"{section.path}.spacing"]
        count = members_in_row(strip.start, strip.end, spacing)
        C_r = repetitive_factor(material, count, spacing, joined=True)
    return piece(material, service_of(section), C_r=C_r)


def _limits(section: Section, inputs: Inputs) -> tuple[Value | None, Value | None]:
    found: list[Value | None] = []
    row = published.find("ibc-1604-3", member=FLOOR_LIMITS)
    for key, column, symbol in (
        ("live_limit", "L_divisor", "n_live"),
        ("total_limit", "D_plus_L_divisor", "n_total"),
    ):
        given = inputs.get(f"{section.path}.{key}")
        if given is None and section.kind == "joists":
            given = table_leaf(row, column, symbol, f"{key.replace('_', '-')} of floor members")
        found.append(given)
    return found[0], found[1]


def _tail(strip: Strip, part: Part) -> str:
    """Return what tells a part of a field from its other parts, in the id of a check."""
    bays = "-".join(name.replace(" ", "_") for name in strip.bay_names)
    under = [load.origin.rpartition(".")[2] for load in part.landed]
    return ".".join(("", bays, *(["under", *dict.fromkeys(under)] if under else ())))


def _words(strip: Strip, part: Part, some_cut: bool) -> str:
    """Return the same in words."""
    found = []
    if "spans" in strip.section.inside:
        found.append(" and ".join(strip.bay_names))
    if strip.cut_at:
        found.append("cut at " + " and ".join(called(beam) for beam in strip.cut_at))
    elif some_cut:
        found.append("not cut")
    if part.landed:
        under = dict.fromkeys(called(load.origin) for load in part.landed)
        found.append("under " + " and ".join(under))
    return "".join(f", {word}" for word in found)


def _same(strip: Strip, part: Part) -> tuple[object, ...]:
    """Return what two parts have in common whose joists are alike."""
    loads = tuple((load.source, id(load.size), id(load.across)) for load in part.landed)
    return (tuple(map(id, strip.bays)), strip.marks, loads)


def solve_joists(
    section: Section,
    strips: Sequence[Strip],
    area_loads: Mapping[str, Value],
    unbalanced: Sequence[tuple[str, Value]],
    landed: Sequence[LoadRow],
    inputs: Inputs,
    state: str,
    design: Design,
) -> Iterator[Bent]:
    """Yield one joist for each part of a field in which joists are alike, with its checks.

    Parameters
    ----------
    section : Section
        Of joists or rafters whose species and grade are given.
    strips : sequence of Strip
        That stand.
    area_loads : mapping of str to Value [lbf/in^2]
        By source, on the plan.
    unbalanced : sequence of (str, Value) [lbf/in^2]
        Ways in which snow lies on it when it is not balanced.
    landed : sequence of LoadRow
        What stands on the field.
    inputs : mapping of str to Value
    state : str
        Key of the state of the work.
    design : Design
    """
    parts: dict[tuple[object, ...], tuple[Strip, Part]] = {}
    for strip in strips:
        for part in parts_of(strip, landed):
            parts.setdefault(_same(strip, part), (strip, part))
    on_area = [("", source, q) for source, q in area_loads.items()]
    on_area += [(way, "S", q) for way, q in unbalanced]
    some_cut = any(strip.cut_at for strip in strips)
    taken: dict[str, int] = {}
    for strip, part in parts.values():
        tail = _tail(strip, part) if len(parts) > 1 else ""
        taken[tail] = taken.get(tail, 0) + 1
        if taken[tail] > 1:
            tail += f"_{taken[tail]}"
        where = _words(strip, part, some_cut) if len(parts) > 1 else ""
        yield _solved(section, strip, part, on_area, inputs, state, design, tail, where)


def _solved(
    section: Section,
    strip: Strip,
    part: Part,
    on_area: Sequence[tuple[str, str, Value]],
    inputs: Inputs,
    state: str,
    design: Design,
    tail: str,
    where: str,
) -> Bent:
    member = joist_piece(section, strip, inputs)
    several = len(strip.bays) > 1
    live_limit, total_limit = _limits(section, inputs)
    longest = max(strip.bays, key=lambda bay: bay.at())
    settings = Settings(
        state,
        f"{section.path}{tail}",
        f"{called(section.path)}{where}",
        held_throughout("top edge nailed to the floor or roof sheathing throughout"),
        braced_at(longest) if several else None,
        live_limit,
        total_limit,
        "NDS 3.5.2",
        design,
    )
    bent = solved_bent(
        section,
        settings,
        design.piece(member),
        strip.bays,
        (),
        _model(strip, part, on_area, inputs, settings.name, stiffness(member)),
        (member.b, member.d),
    )
    made = [*strength_checks(bent), *deflection_checks(bent)]
    held = section.words.get("held_down", ())
    if several:
        made += [
            uplift_check(bent, place, carrier in held)
            for place, carrier in enumerate(strip.carriers)
        ]
    made += _ends(bent, strip, inputs)
    return replace(bent, checks=tuple(made))


def _model(
    strip: Strip,
    part: Part,
    on_area: Sequence[tuple[str, str, Value]],
    inputs: Inputs,
    name: str,
    EI: Value,
) -> Model:
    path = strip.section.path
    spacing = inputs[f"{path}.spacing"]
    surface = called(f"surfaces.{strip.section.words['surface']}")
    rows = [
        LoadRow(source, path, surface, load_on_one_joist(q, spacing), way=way)
        for way, source, q in on_area
    ]
    for load in part.landed:
        size = load.size if load.is_point else wall_on_one_joist(load.size, spacing)
        place = place_in_strip(strip, load.across)
        rows.append(replace(load, size=size, start=place, end=None, across=None))
    marks = [None, *(place_of_support(*strip.bays[: n + 1]) for n in range(len(strip.bays)))]
    supports = tuple(marks[place] for place in strip.pattern)
    return Model(
        name,
        strip.bay_names,
        tuple(called(carrier) for carrier in strip.carriers),
        supports,
        EI,
        tuple(rows),
        None if strip.marks[-1] else marks[-1],
    )


def _ends(bent: Bent, strip: Strip, inputs: Inputs) -> Iterator[Check]:
    """Yield the checks of the hangers where joists were cut, or what is open about them."""
    section = strip.section
    what = called(section.path)
    capacity = inputs.get(f"{section.path}.hanger_capacity")
    for place, carrier in enumerate(strip.carriers):
        if carrier not in strip.cut_at:
            continue
        report = section.words.get("hanger_report")
        yield check(
            bent.settings.id_of(f"hanger.{carrier.partition('.')[2]}"),
            bent.settings.title(f"Hanger at {called(carrier)}"),
            f"listed capacity by {report}" if report else "listed capacity by its report",
            bent.reactions[place],
            capacity,
            cases=bent.strength.names,
            questions=(
                ()
                if capacity is not None
                else (f"Hangers of {what} at {called(carrier)}: no listed capacity was given.",)
            ),
            notes=(
                "The listed capacity is for the load duration, the seat and the nails that the "
                "report names: see that they are those of this job.",
            ),
        )


def open_joists(section: Section, state: str) -> Check:
    """Return the open check of a field whose wood is not known."""
    what = called(section.path)
    found = f", {NAMES[AS_FOUND]}" if state == AS_FOUND else ""
    return check(
        f"{state}/{section.path}/wood",
        f"Strength of {what}{found}",
        "NDS 2018 chapter 3",
        None,
        None,
        questions=(
            f"{what.capitalize()} ({section.words['size']}): species and grade were not entered. "
            "Read the stamp or have the lumber graded; their bending, shear and deflection are "
            "not checked.",
        ),
    )


def open_trusses(section: Section, state: str) -> Check:
    """Return the open check of trusses, which nobody but their designer may judge."""
    what = called(section.path)
    found = f", {NAMES[AS_FOUND]}" if state == AS_FOUND else ""
    return check(
        f"{state}/{section.path}/design",
        f"Design of {what}{found}",
        "IRC R802.10.4, alterations to trusses",
        None,
        None,
        questions=(
            f"{what.capitalize()}: no truss may be cut, notched, moved off its bearings or loaded "
            "otherwise without its designer's written consent; which bearings it needs is to be "
            "read from its design.",
        ),
    )
