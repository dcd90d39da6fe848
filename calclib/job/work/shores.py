"""The shores of a job: the joists on them, their studs, and what they stand on."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from calclib.fasteners.nails import (
    bearing_length_in_main,
    dowel_bearing_strength,
    lateral_value,
    nail_penetration,
    nail_size,
    nail_yield_strength,
    reduction_term,
)
from calclib.job.bent import Design
from calclib.job.carry import House
from calclib.job.contents import Section
from calclib.job.field import Strip, field_stretch, strip_reactions, strip_shares
from calclib.job.house import on_plan
from calclib.job.joist import joist_piece, load_on_one_joist, wall_on_one_joist
from calclib.job.lines import SAME_PLACE, length_along
from calclib.job.member import LoadRow
from calclib.job.schema import GROUND, called
from calclib.job.state import WALL_OUT
from calclib.job.wood import service_of, stock_size
from calclib.job.work.fitting import Fit
from calclib.job.work.held import Side
from calclib.job.work.members import (
    Loads,
    Place,
    loads_on_supports,
    plate_size,
    plates_of,
)
from calclib.job.work.shore_below import (
    carried_down_checks,
    floor_below_across,
    floor_below_parallel,
    most_on_one,
    share_of_posts,
    sill,
)
from calclib.job.work.shore_wall import (
    Shored,
    ShoreWall,
    brace_rows_for_load,
    brace_rows_needed,
    braced_length,
    diagonal_check,
    flat_piece,
    highest_row,
    shore_wall,
)
from calclib.job.work.shoring import (
    Held,
    Joists,
    WallAbove,
    cut_joists_each_way,
    overhang_past_shore,
    place_before_line,
    place_of_tip,
    through_joists,
)
from calclib.loads.takedown import sum_of_lengths, sum_of_loads
from calclib.timber.bearing import Surface
from calclib.timber.posts import Post, sawn_post
from calclib.trace import Check, Value, check, leaf, step
from calclib.units import feet_inches, inch

CLEAR = 1e-6 * inch


@dataclass(frozen=True, eq=False)
class OnShore:
    """The joists of one side on their shore.

    Attributes
    ----------
    held : tuple of Held
        Empty when their wood is not known.
    loads : mapping of str to Value [lbf]
        The most that one joist puts on the shore, by source.
    most : float [lbf]
        All of it together.
    """

    held: tuple[Held, ...]
    loads: Loads
    most: float


@dataclass(frozen=True, eq=False)
class Shore:
    """A shore of the job with everything that was worked out for it.

    Attributes
    ----------
    section : Section
    held : tuple of Held
        Joists on it.
    needles : Held or None
    shored : Shored or None
        Its studs; None when what lies on it is not known.
    joists : tuple of Value [in]
        Their places from its left end.
    length : Value [in]
    distance : Value [in]
        From the wall's line to its middle.
    wood : Surface
        Of its plates.
    checks : tuple of Check
    rows_by_slenderness : Value
        Of braces that the slenderness of construction asks for.
    rows_for_load : int or None
        With which its heaviest stud passes; None when no number up to four does it.
    """

    section: Section
    held: tuple[Held, ...]
    needles: Held | None
    shored: Shored | None
    joists: tuple[Value, ...]
    length: Value
    distance: Value
    wood: Surface
    checks: tuple[Check, ...]
    rows_by_slenderness: Value
    rows_for_load: int | None


def _count(first: float, spacing: float, length: float) -> int:
    return math.floor((length - first) / spacing + CLEAR) + 1


def _first(first: float, start: float, spacing: float) -> float:
    """Return the place of the first member of a row past a start, from that start."""
    return (first - start) % spacing


def _places_sentence(arguments: Any, results: Any, case: int | None) -> str:
    spacing = arguments[2]
    return (
        f"{len(results)} at {feet_inches(spacing.at())}, the first {feet_inches(float(results[0]))}"
        " from the left end."
    )


@step(
    "the places of a row along a shore",
    lambda first, start, spacing, length: (
        [("x", "in")]
        * _count(_first(first.at(), start.at(), spacing.at()), spacing.at(), length.at())
    ),
    sentence=_places_sentence,
    source="geometry",
)
def places_along(first: Any, start: Any, spacing: Any, length: Any) -> Any:
    """Return the places of a row of joists or needles from the left end of a shore.

    Parameters
    ----------
    first : float [in]
        Of one of them, along the house's line.
    start : float [in]
        Left end of the shore, along the same line.
    spacing, length : float [in]
    """
    x = _first(first, start, spacing)
    return tuple(x + spacing * k for k in range(_count(x, spacing, length)))


@step(
    "the places of studs at a spacing",
    lambda joists, spacing: (
        [("x", "in")] * len(_at_spacing([x.at() for x in joists], spacing.at()))
    ),
    sentence=lambda arguments, results, case: (
        f"{len(results)} studs from the first joist to the last, at most "
        f"{feet_inches(arguments[1].at())} apart."
    ),
    source="geometry",
)
def studs_at_spacing(joists: Sequence[Any], spacing: Any) -> Any:
    """Return the places of studs from the first joist to the last, which have one each."""
    return tuple(_at_spacing(joists, spacing))


def _at_spacing(joists: Sequence[float], spacing: float) -> list[float]:
    low, high = joists[0], joists[-1]
    found = [low + spacing * k for k in range(math.ceil((high - low) / spacing - CLEAR))]
    return [*found, high] if high - low > CLEAR else [low]


# Joists on a shore


def cut_or_through(
    house: House, work: Section, shore: Section, side: Side, sides: Sequence[Side], fit: Fit,
    live: Value, design: Design, above: WallAbove | None,
) -> OnShore:  # fmt: skip
    """Return the joists of one side on their shore: cut before the line, or running on over it.

    Parameters
    ----------
    house : House
    work, shore : Section
    side : Side
    sides : sequence of Side
    fit : Fit
    live : Value [psf]
    design : Design
    above : WallAbove, optional
        What stands on their tips, or on them over the line.
    """
    other = next((s for s in sides if s.field is side.field and s is not side), None)
    through = side.runs_on and other is not None
    path = f"{work.path}.{shore.name}.joists"
    name = f"{called(side.field.path)} on the {shore.name.replace('_', ' ')} shore"
    c = fit.cut[list(sides).index(side)]
    bays, pattern, mine, at = _bays(house, side, other if through else None, c)
    if not {"species", "grade"} <= set(side.field.words):
        loads = _by_strips(house, side.field, bays, pattern, mine, at, live, above)
        return OnShore((), loads, sum(P.at() for P in loads.values()))
    place = Place(WALL_OUT, path, name, design)
    wood = plates_of(shore)
    width = plate_size(shore)[1]
    a = house.inputs[f"{shore.path}.distance"]
    if through:
        assert other is not None
        near, far = (side, other) if side.comes_first else (other, side)
        at_near, at_far = (
            None if s.shore is None else house.inputs[f"{s.shore.path}.distance"]
            for s in (near, far)
        )
        held: tuple[Held, ...] = (
            through_joists(
                place, _joists(house, near, live), _joists(house, far, live),
                (at_near, at_far), width, wood, above=above,
            ),
        )  # fmt: skip
        number = 1 if side is far and near.shore is not None else 0
        loads = held[0].at_shores[number]
    else:
        held = cut_joists_each_way(place, _joists(house, side, live), a, c, width, wood, above)
        loads = max(
            (h.at_shores[0] for h in held), key=lambda each: sum(P.at() for P in each.values())
        )
    return OnShore(held, loads, sum(P.at() for P in loads.values()))


def _joists(house: House, side: Side, live: Value) -> Joists:
    field, inputs = side.field, house.inputs
    low, high = field_stretch(field, house.stretches)
    strip = Strip(field, low, high, side.bays, side.names, ())
    q = on_plan(field, house.surfaces[field.words["surface"]], inputs)
    spacing = inputs[f"{field.path}.spacing"]
    return Joists(
        called(field.path), joist_piece(field, strip, inputs), side.near_bay, spacing,
        load_on_one_joist(q["D"], spacing), load_on_one_joist(live, spacing),
    )  # fmt: skip


def _bays(
    house: House, side: Side, other: Side | None, c: Value
) -> tuple[tuple[Value, ...], tuple[int, ...], int, Value]:
    """Return bays, which of their ends are supports, which is this shore, and where the line is."""
    assert side.shore is not None
    a = house.inputs[f"{side.shore.path}.distance"]
    first = place_before_line(side.near_bay, a)
    if other is None:
        return (first, overhang_past_shore(a, c)), (0, 1), 1, place_of_tip(side.near_bay, c)
    if other.shore is None:
        return (first, sum_of_lengths(a, other.near_bay)), (0, 1, 2), 1, side.near_bay
    b = house.inputs[f"{other.shore.path}.distance"]
    bays = (first, sum_of_lengths(a, b), place_before_line(other.near_bay, b))
    return bays, (0, 1, 2, 3), 1, side.near_bay


def _by_strips(
    house: House, field: Section, bays: Sequence[Value], pattern: Sequence[int], mine: int,
    at: Value, live: Value, above: WallAbove | None,
) -> Loads:  # fmt: skip
    """Return what one joist puts on its shore, whatever its wood."""
    inputs = house.inputs
    q = on_plan(field, house.surfaces[field.words["surface"]], inputs)
    spacing = inputs[f"{field.path}.spacing"]
    found: dict[str, list[Value]] = {}
    for source, size in (("D", q["D"]), ("L", live)):
        w = strip_reactions(tuple(bays), tuple(pattern), tuple(size for _ in bays))[mine]
        found.setdefault(source, []).append(wall_on_one_joist(w, spacing))
    for source, size in above.w.items() if above is not None else ():
        w = strip_shares(tuple(bays), tuple(pattern), at, size)[mine]
        found.setdefault(source, []).append(wall_on_one_joist(w, spacing))
    return {source: sum_of_loads(*sizes) for source, sizes in found.items()}


# The shore itself


def _plate_post(shore: Section) -> Post:
    t, b = plate_size(shore)
    return sawn_post(shore.words["plate"], shore.words["plate_grade"], t, b, service_of(shore))


def shore_of(
    house: House, work: Section, beam: Section, section: Section, held: tuple[Held, ...],
    one: OnShore | None, needles: Held | None, questions: tuple[str, ...], design: Design,
    field: Section, is_first: bool,
) -> Shore:  # fmt: skip
    """Return a shore with its checks.

    Parameters
    ----------
    house : House
    work, beam, section : Section
        Of the shore is `section`.
    held : tuple of Held
    one : OnShore or None
        The joists that put the most on it.
    needles : Held or None
    questions : tuple of str
        What keeps its joists open.
    design : Design
    field : Section
        The joists on it.
    is_first : bool
        Whether it is the first shore, on whose account the needles are listed.
    """
    inputs = house.inputs
    name = f"{section.name.replace('_', ' ')} shore"
    path = f"{work.path}.{section.name}"
    place = Place(WALL_OUT, path, name, design)
    stretch = house.stretches[beam.path]
    assert stretch is not None
    start = stretch[0]
    length = length_along(*stretch)
    joists = places_along(
        _first_joist(inputs, field, start), start, inputs[f"{field.path}.spacing"], length
    )
    checks = [c for each in held for c in each.checks]
    if needles is not None and is_first:
        checks += list(needles.checks)
    if questions:
        checks.append(
            check(
                place.id("joists"), f"Joists on the {name}", "NDS 2018 chapter 3", None, None,
                questions=questions,
            )
        )  # fmt: skip
    wood, distance = plates_of(section), inputs[f"{section.path}.distance"]
    b, d = stock_size(section, inputs)
    height = inputs[f"{section.path}.height"]
    rows = brace_rows_needed(height, b)
    if one is None:
        return Shore(
            section, held, needles, None, joists, length, distance, wood, tuple(checks), rows, None
        )
    stud = sawn_post(section.words["species"], section.words["grade"], b, d, service_of(section))
    spaced = f"{section.path}.stud_spacing"
    studs = studs_at_spacing(joists, inputs[spaced]) if spaced in inputs else joists
    n = inputs[f"{section.path}.brace_rows"]
    wall = ShoreWall(
        flat_piece(_plate_post(section), inputs[f"{section.path}.top_plates"]), stud, wood, length,
        tuple(studs), tuple(joists), height, n,
    )  # fmt: skip
    extra: list[LoadRow] = []
    if needles is not None:
        spots = places_along(start, start, inputs[f"{work.path}.needle_spacing"], length)
        extra = [
            LoadRow(source, f"needle {k}", f"needle {k}", size, start=at)
            for k, at in enumerate(spots, start=1)
            for source, size in needles.at_shores[0].items()
        ]
    shored = shore_wall(place, wall, one.loads, extra)
    checks += shored.checks
    checks.append(_diagonal(place, section, inputs, shored, stud, height, n))
    strength = shored.plate.strength
    for_load = brace_rows_for_load(
        place.post(stud), shored.P, design.time_factor(strength), height, strength.names
    )
    return Shore(
        section, held, needles, shored, joists, length, distance, wood, tuple(checks), rows,
        for_load,
    )  # fmt: skip


def _first_joist(inputs: Any, field: Section, start: Value) -> Value:
    known = inputs.get(f"{field.path}.first_joist")
    if known is not None:
        return known  # type: ignore[no-any-return]
    return leaf(
        start.at(), "in", "a_1", f"{field.path}.first_joist",
        title=f"place of the first joist along the line, {called(field.path)}", basis="assumed",
        note="not entered: taken at the left end of the beam", low=start.at() - 240.0,
        high=start.at() + 240.0,
    )  # fmt: skip


def _diagonal(
    place: Place, section: Section, inputs: Any, shored: Shored, stud: Post, height: Value,
    n: Value,
) -> Check:  # fmt: skip
    run = inputs.get(f"{section.path}.diagonal_run")
    nails = None
    if "diagonal_nail" in section.words and stud.piece.material.G is not None:
        D, L = nail_size(section.words["diagonal_nail"])
        side = _brace_thickness()
        F_e = dowel_bearing_strength(stud.piece.material.G)
        p = nail_penetration(L, side)
        Z, _ = lateral_value(
            D, bearing_length_in_main(p, D), side, F_e, F_e, nail_yield_strength(D),
            reduction_term(D),
        )  # fmt: skip
        nails = (inputs[f"{section.path}.diagonal_nails"], Z)
    row = highest_row(height, braced_length(height, n))
    return diagonal_check(
        place.id("diagonal"),
        shored.total,
        row,
        run,
        nails,
        shored.plate.strength.names,
        f" of the {place.name}",
    )


def _brace_thickness() -> Value:
    return leaf(
        1.5 * inch, "in", "l_s", "shoring/thickness of a brace", title="thickness of a brace",
        basis="common practice", source="2x lumber", note="the diagonal is a 2x board",
    )  # fmt: skip


# What it stands on


def stood_on(
    shore: Shore, house: House, work: Section, live: Value, design: Design
) -> Iterator[Check]:
    """Yield the checks of what a shore stands on.

    Parameters
    ----------
    shore : Shore
    house : House
    work : Section
    live : Value [psf]
    design : Design
    """
    section, inputs = shore.section, house.inputs
    name = f"{section.name.replace('_', ' ')} shore"
    on = str(section.words["stands_on"])
    id = f"{WALL_OUT}/{work.path}.{section.name}/below"
    if shore.shored is None:
        return
    total, cases = shore.shored.total, shore.shored.plate.strength.names
    down = work.inside.get("carried_down", {}).get(section.name)
    if isinstance(down, Section):
        yield from _carried_down(
            shore, down, inputs, design, f"{WALL_OUT}/{work.path}.{section.name}"
        )
        return
    if not on.startswith("joists."):
        what = "the ground" if on == GROUND else called(on)
        ask = (
            "a slab is not a footing: spread the load, and let the engineer say what is below it"
            if on.startswith("slabs.")
            else "soil, sill width and what lies below were not entered and are to be checked"
        )
        yield check(
            id, f"What the {name} stands on", "IRC R401.4.1, R403.1", total, None, cases=cases,
            questions=(f"The {name} stands on {what}: {ask}.",),
        )  # fmt: skip
        return
    field = house.section(on)
    if not {"species", "grade"} <= set(field.words):
        yield check(
            id, f"{called(on).capitalize()} under the {name}", "NDS 2018 chapter 3", total, None,
            cases=cases,
            questions=(
                f"The {name} stands on {called(on)}, whose species and grade were not entered: "
                "whether that floor carries it is not known.",
            ),
        )  # fmt: skip
        return
    if section.words["below"] == "along a joist":
        yield from _along(shore, house, work, field, live, design)
    else:
        yield from _across(shore, house, work, field, live, design)


def _below(house: House, field: Section, live: Value, at: Value) -> tuple[Joists, Value]:
    """Return the joist of a floor in whose span a place lies, and the place from its bearing."""
    inputs = house.inputs
    if "span" in field.numbers:
        bays, names = [inputs[f"{field.path}.span"]], ["span"]
    else:
        names = list(field.inside["spans"])
        bays = [inputs[f"{field.path}.spans.{name}"] for name in names]
    before: list[Value] = []
    for bay, name in zip(bays, names, strict=True):
        reach = sum(b.at() for b in before) + bay.at()
        if at.at() <= reach + SAME_PLACE or bay is bays[-1]:
            side = Side(field, "", True, (bay,), (name,), (), False, None)
            here = at if not before else place_before_line(at, sum_of_lengths(*before))
            return _joists(house, side, live), here
        before.append(bay)
    raise AssertionError("a field has a span")


def _across(
    shore: Shore, house: House, work: Section, field: Section, live: Value, design: Design
) -> Iterator[Check]:
    section, inputs = shore.section, house.inputs
    assert shore.shored is not None
    name = f"{section.name.replace('_', ' ')} shore"
    joist, at = _below(house, field, live, inputs[f"{section.path}.across"])
    start = house.stretches[str(work.words["beam"])]
    assert start is not None
    spacing = inputs[f"{field.path}.spacing"]
    first = inputs.get(f"{field.path}.first_joist")
    if first is None:
        first = _worst_first(shore, field, start[0], spacing)
    below = places_along(first, start[0], spacing, shore.length)
    place = Place(WALL_OUT, f"{work.path}.{section.name}.sill", f"sill of the {name}", design)
    piece = flat_piece(_plate_post(section), inputs[f"{section.path}.sills"])
    bent, checks = sill(
        place, piece, shore.length, below, shore.shored.studs, joist.piece.b,
        plate_size(section)[1], shore.wood,
    )  # fmt: skip
    yield from checks
    place = Place(
        WALL_OUT, f"{work.path}.{section.name}.below",
        f"{called(field.path)} under the {name}", design,
    )  # fmt: skip
    heaviest = most_on_one(loads_on_supports(bent))
    yield from floor_below_across(place, joist, at, heaviest).checks


def _worst_first(shore: Shore, field: Section, start: Value, spacing: Value) -> Value:
    """Return a place for the first joist below, half a spacing from the first stud."""
    at = start.at() + shore.joists[0].at() + spacing.at() / 2
    return leaf(
        at, "in", "a_1", f"{field.path}.first_joist",
        title=f"place of a joist along the line, {called(field.path)}", basis="assumed",
        note="not entered: taken in the middle between two studs of the shore, where the sill "
        "bends most", low=at - 240.0, high=at + 240.0,
    )  # fmt: skip


def _along(
    shore: Shore, house: House, work: Section, field: Section, live: Value, design: Design
) -> Iterator[Check]:
    section, inputs = shore.section, house.inputs
    assert shore.shored is not None
    name = f"{section.name.replace('_', ' ')} shore"
    joist, at = _below(house, field, live, inputs[f"{section.path}.across"])
    place = Place(
        WALL_OUT, f"{work.path}.{section.name}.below",
        f"one of the {called(field.path)}, which takes all of the {name}", design,
    )  # fmt: skip
    made = floor_below_parallel(place, joist, shore.shored.studs, at)
    yield from made.checks
    yield check(
        place.id("way_down"), f"What carries that joist under the {name}",
        "mechanics, statics: every load has a way to the ground", shore.shored.total, None,
        cases=shore.shored.plate.strength.names,
        questions=(
            f"The {name} stands along one of the {called(field.path)}: what carries that joist's "
            "ends is not followed here and is to be checked for it.",
        ),
    )  # fmt: skip


def _carried_down(
    shore: Shore, down: Section, inputs: Any, design: Design, id: str
) -> Iterator[Check]:
    assert shore.shored is not None
    b, d = stock_size(down, inputs)
    post = sawn_post(down.words["species"], down.words["grade"], b, d, service_of(down))
    place = Place(WALL_OUT, id.partition("/")[2], "posts below", design)
    strength = shore.shored.plate.strength
    P = share_of_posts(shore.shored.total, inputs[f"{down.path}.count"])
    yield from carried_down_checks(
        f"{id}.carried_down", place.post(post), P, design.time_factor(strength),
        inputs[f"{down.path}.height"],
        (inputs[f"{down.path}.pad_width"], inputs[f"{down.path}.pad_length"]),
        down.words.get("soil"), strength.names,
        f"the {shore.section.name.replace('_', ' ')} shore",
    )  # fmt: skip
