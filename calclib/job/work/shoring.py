"""Shoring: one wall or two, joists held while a wall is out, and the wall that stands above.

Every member here is solved and checked as in the finished house: exact beam, all load cases,
the same formulas. Supports are taken as unyielding and studs as snug, not jacked.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from calclib import published
from calclib.errors import InputError, message
from calclib.job.bent import Bent, uplift_check
from calclib.job.contents import Section
from calclib.job.joist import wall_on_one_joist
from calclib.job.lines import Inputs, place_further_on
from calclib.job.member import (
    LoadRow,
    groups,
    largest_deflection,
)
from calclib.job.wood import moisture_for_weight
from calclib.job.work.members import STATICS, Loads, Place, loads_on_supports, member
from calclib.loads import case_set
from calclib.loads.takedown import part_of_load
from calclib.mechanics.section import area, weight_per_length
from calclib.timber.bearing import Surface, end_seat
from calclib.timber.checks import bearing_check
from calclib.timber.dimensions import wood_density
from calclib.timber.factors import Service
from calclib.timber.leaves import table_leaf
from calclib.timber.materials import sawn
from calclib.timber.piece import Piece, piece
from calclib.timber.stability import braced_at
from calclib.trace import (
    Check,
    Value,
    break_point,
    check,
    formula,
    leaf,
    positive,
    total,
)
from calclib.units import feet_inches, inch

LOAD = (0.0, None)


# One wall or two


@dataclass(frozen=True)
class Sides:
    """How many shore walls the work needs.

    Attributes
    ----------
    count : int
    reason : str
        What the joists will be once they are cut, in words.
    """

    count: int
    reason: str


JOISTS = ("through", "lapped", "butted")


def sides_needed(setting: str, joists: str) -> Sides:
    """Say how many shore walls the work needs, from what the joists will be once cut.

    Parameters
    ----------
    setting : str
        "flush" for a beam in the plane of the joists, "dropped" for one under them.
    joists : str
        Over the wall as found: "through", "lapped" or "butted".

    Returns
    -------
    Sides

    Raises
    ------
    InputError
        For other words.

    Examples
    --------
    >>> sides_needed("flush", "through").count, sides_needed("dropped", "through").count
    (2, 1)
    """
    for what, word, known in (
        ("setting of the beam", setting, ("flush", "dropped")),
        ("joists over the wall", joists, JOISTS),
    ):
        if word not in known:
            needs = " or ".join(f'"{each}"' for each in known)
            raise InputError(message(what, needs, f'"{word}"'))
    if setting == "flush":
        return Sides(
            2,
            "A flush beam cuts every joist, whether it ran through or not: each side then stands "
            "on its far bearing and its own shore.",
        )
    if joists == "through":
        return Sides(
            1,
            "The joists run through and are not cut: one shore may do, if the longer span that "
            "it leaves on the far side passes its checks.",
        )
    return Sides(
        2,
        f"The joists are {joists} over the wall and end there: without it each side needs a "
        "shore of its own.",
    )


# Joists on a shore


@formula("x_s", "ft", l="ft", a="ft", source="geometry", valid={"l": positive, "a": (None, None)})
def place_before_line(l, a):  # type: ignore[no-untyped-def]  # noqa: E741
    """Place of a shore, from the joists' far bearing.

    Parameters
    ----------
    l : float or array [ft]
        From the far bearing to the wall's line.
    a : float or array [ft]
        From the line back to the middle of the shore.

    Returns
    -------
    float or array [ft]
        Zero or less when the shore would stand at the far bearing or past it.

    Notes
    -----
    Valid for: l > 0.
    Differs from the source: nothing.
    """
    return l - a


@formula("c_s", "ft", a="ft", c="ft", source="geometry", valid={"a": positive, "c": (None, None)})
def overhang_past_shore(a, c):  # type: ignore[no-untyped-def]
    """How far a joist reaches past its shore.

    Parameters
    ----------
    a : float or array [ft]
        From the line back to the middle of the shore.
    c : float or array [ft]
        From the line back to the end of the joist.

    Returns
    -------
    float or array [ft]
        Zero or less when the shore would stand in the cut.

    Notes
    -----
    Valid for: a > 0.
    Differs from the source: nothing.
    """
    return a - c


@formula("x_t", "ft", l="ft", c="ft", source="geometry", valid={"l": positive, "c": (None, None)})
def place_of_tip(l, c):  # type: ignore[no-untyped-def]  # noqa: E741
    """Place of a joist's cut end, from its far bearing.

    Parameters
    ----------
    l : float or array [ft]
        From the far bearing to the wall's line.
    c : float or array [ft]
        From the line back to the cut.

    Returns
    -------
    float or array [ft]
        More than the place of the shore, or nothing would hold it.

    Notes
    -----
    Valid for: l > 0.
    Differs from the source: nothing.
    """
    return l - c


@dataclass(frozen=True, eq=False, repr=False)
class WallAbove:
    """A wall that stands over the one to be taken out.

    Attributes
    ----------
    w : mapping of str to Value [plf]
        Its line loads by source (D, L, Lr, S), with all that it carries.
    """

    w: Loads


EQUAL, ALL, NONE = "with half of the wall above", "with all of the wall above", "without it"
WAYS = {EQUAL: "equal", ALL: "all", NONE: "none"}


def share_of_tips(way: str) -> Value:
    """Return the share of a wall above that stands on one side's joist tips.

    Parameters
    ----------
    way : str
        `EQUAL`, `ALL` or `NONE`.
    """
    return leaf(
        {EQUAL: 0.5, ALL: 1.0, NONE: 0.0}[way], "", "k", f"shoring/share of a wall on tips/{way}",
        title=f"share of the wall above on the joist tips, joists {way}", basis="assumed",
        note="all ways are checked, for how a wall shares its weight out cannot be known",
    )  # fmt: skip


@dataclass(frozen=True, eq=False, repr=False)
class Joists:
    """The joists of one side.

    Attributes
    ----------
    name : str
    piece : Piece
    l : Value [in]
        From the far bearing to the wall's line.
    spacing : Value [in]
    w_D, w_L : Value [plf]
        On one joist: dead load with its own weight, and live load during the work.
    more : tuple of LoadRow
        What else stands on the joist, with places from the left end of the member checked.
    """

    name: str
    piece: Piece
    l: Value  # noqa: E741
    spacing: Value
    w_D: Value
    w_L: Value
    more: tuple[LoadRow, ...] = ()


@dataclass(frozen=True, eq=False, repr=False)
class Held:
    """A joist on its shore.

    Attributes
    ----------
    bent : Bent
    tip : Value or None [in]
        Deflection of its tip, the size, by case.
    at_shores : tuple of mapping of str to Value [lbf]
        What one joist puts on each shore, by source.
    checks : tuple of Check
        Bending, shear, uplift at far ends, bearing on the shores.
    """

    bent: Bent
    tip: Any
    at_shores: tuple[Loads, ...]
    checks: tuple[Check, ...]


def cut_joists(
    place: Place,
    joists: Joists,
    a: Value,
    c: Value,
    b_plate: Value,
    plate: Surface,
    *,
    above: WallAbove | None = None,
    way: str = ALL,
) -> Held:
    """Check joists that were cut back for a flush beam: far bearing, shore, and a free tip.

    Parameters
    ----------
    place : Place
    joists : Joists
    a : Value [in]
        From the wall's line to the middle of the shore.
    c : Value [in]
        From the wall's line to the cut.
    b_plate : Value [in]
        Width of the shore's top plate, the joist's bearing.
    plate : Surface
        Its wood.
    above : WallAbove, optional
        A wall that stands on the tips.
    way : str
        `EQUAL`, `ALL` or `NONE`: its share on this side.

    Returns
    -------
    Held

    Raises
    ------
    InputError
        For a shore that stands in the cut, or at the far bearing.
    """
    _require_between(place, joists, a, c)
    x_s, tip = place_before_line(joists.l, a), place_of_tip(joists.l, c)
    rows = floor_rows(joists, None, None)
    if above is not None:
        k = share_of_tips(way)
        rows += tuple(
            LoadRow(
                source,
                "wall above",
                f"wall above, {way}",
                part_of_load(wall_on_one_joist(w, joists.spacing), k),
                start=tip,
            )
            for source, w in above.w.items()
        )
    bent = member(
        place, joists.piece, (None, x_s), rows,
        support_names=("far bearing", "shore"), length=tip, bottom=braced_at(x_s),
    )  # fmt: skip
    # Deflections go by loads that are not factored, whatever the method.
    names = bent.model.span_names
    unfactored = case_set(place.design.edition, groups(bent.model.rows, len(names)), names)
    sag, _ = largest_deflection(bent.solution, 1, unfactored.factors)
    return _held(place, bent, sag, (1,), (0,), b_plate, plate)


def cut_joists_each_way(
    place: Place,
    joists: Joists,
    a: Value,
    c: Value,
    b_plate: Value,
    plate: Surface,
    above: WallAbove | None = None,
) -> tuple[Held, ...]:
    """Check cut joists with a wall above on their tips at equal share, all of it, and none.

    Parameters
    ----------
    place, joists, a, c, b_plate, plate
        As for `cut_joists`.
    above : WallAbove, optional
        A wall that stands on the tips of both sides.

    Returns
    -------
    tuple of Held
        One when there is no such wall; the second puts the most on the shore.
    """
    if above is None:
        return (cut_joists(place, joists, a, c, b_plate, plate),)
    return tuple(
        cut_joists(
            replace(place, path=f"{place.path}.{key}", name=f"{place.name} {way}"),
            joists, a, c, b_plate, plate, above=above, way=way,
        )
        for way, key in WAYS.items()
    )  # fmt: skip


def _require_between(place: Place, joists: Joists, a: Value, c: Value) -> None:
    if not c.at() < a.at() < joists.l.at():
        needs = (
            f"a shore farther from the line than the cut, {feet_inches(c.at())}, and nearer than "
            f"the far bearing, {feet_inches(joists.l.at())}"
        )
        raise InputError(message(place.name, needs, feet_inches(a.at())))


def floor_rows(joists: Joists, start: Value | None, end: Value | None) -> tuple[LoadRow, ...]:
    """Return what lies on a joist between two places, None for its ends."""
    return (
        LoadRow("D", joists.name, f"floor on {joists.name}", joists.w_D, start, end),
        LoadRow("L", joists.name, f"live load on {joists.name}", joists.w_L, start, end),
        *joists.more,
    )


def _held(
    place: Place,
    bent: Bent,
    tip: Any,
    shores: Sequence[int],
    far: Sequence[int],
    b_plate: Value,
    plate: Surface,
) -> Held:
    loads = loads_on_supports(bent)
    seats = [
        bearing_check(
            place.id(f"bearing.{bent.model.support_names[i].replace(' ', '_')}"),
            bent.piece,
            bent.reactions[i],
            end_seat(b_plate),
            place.surface(plate),
            bent.strength.names,
            title=f"Bearing of {place.name} on the {bent.model.support_names[i]}",
        ).check
        for i in shores
    ]
    lifted = [uplift_check(bent, i) for i in far]
    return Held(bent, tip, tuple(loads[i] for i in shores), (*bent.checks, *lifted, *seats))


def through_joists(
    place: Place,
    near: Joists,
    far: Joists,
    shores: tuple[Value | None, Value | None],
    b_plate: Value,
    plate: Surface,
    *,
    above: WallAbove | None = None,
) -> Held:
    """Check joists that run through over a wall that is out, on one shore or on two.

    Parameters
    ----------
    place : Place
    near, far : Joists
        The two sides of one run; the wood of `near` is that of the joist.
    shores : tuple of Value or None [in]
        From the wall's line to the shore on each side; None where none stands, which leaves a
        longer span.
    b_plate : Value [in]
    plate : Surface
    above : WallAbove, optional
        A wall that stands on the joists over the line.

    Returns
    -------
    Held

    Raises
    ------
    InputError
        Without any shore.
    """
    if shores == (None, None):
        raise InputError(message(place.name, "a shore on one side at least", "none"))
    line, end = near.l, place_further_on(near.l, far.l)
    supports: list[Value | None] = [None]
    names = ["far bearing"]
    if shores[0] is not None:
        supports.append(place_before_line(near.l, shores[0]))
        names.append("shore")
    if shores[1] is not None:
        supports.append(place_further_on(near.l, shores[1]))
        names.append("other shore" if shores[0] is not None else "shore")
    supports.append(end)
    names.append("other far bearing")
    rows = (*floor_rows(near, None, line), *floor_rows(far, line, end))
    if above is not None:
        rows += tuple(
            LoadRow(source, "wall above", "wall above", wall_on_one_joist(w, near.spacing), line)
            for source, w in above.w.items()
        )
    # Where it hogs, its bottom edge is taken as free over the longer of its two sides.
    free = max((near.l, far.l), key=lambda length: length.at())
    bent = member(place, near.piece, supports, rows, support_names=names, bottom=braced_at(free))
    inner = range(1, len(supports) - 1)
    return _held(place, bent, None, inner, (0, len(supports) - 1), b_plate, plate)


@dataclass(frozen=True)
class Distance:
    """How far from the wall's line a shore may stand, by one check.

    Attributes
    ----------
    check : str
        Id of the check.
    title : str
    greatest : float or None [in]
        None when the check does not turn over as far as was looked.
    looked : float [in]
        How far was looked.
    """

    check: str
    title: str
    greatest: float | None
    looked: float


def greatest_distances(a: Value, checks: Sequence[Check]) -> tuple[Distance, ...]:
    """Return how far from the wall's line a shore may stand, check by check.

    Parameters
    ----------
    a : Value [in]
        The distance, a leaf on which the checks depend.
    checks : sequence of Check
        Of joists on that shore, traced.

    Returns
    -------
    tuple of Distance
        The least first: it governs. Where a check fails at the present distance, the place is
        looked for nearer to the line.

    Notes
    -----
    Valid for: checks that get no easier with the distance; beyond where a check turns over
    nothing is said.
    Differs from the source: nothing.
    """
    found = []
    for each in checks:
        if each.ratio is None:
            continue
        point = break_point(a, each, 1 if each.fits else -1)
        found.append(Distance(each.id, each.title, point.value, point.reached))
    return tuple(
        sorted(found, key=lambda row: float("inf") if row.greatest is None else row.greatest)
    )


# What carries the wall above


@formula("w", "plf", w="plf", source=STATICS, valid={"w": LOAD})
def line_load(*w):  # type: ignore[no-untyped-def]
    """Line load of a wall, all sources together.

    Parameters
    ----------
    *w : float or array [plf]
        Of each source.

    Returns
    -------
    float or array [plf]
        Zero or more.

    Notes
    -----
    Valid for: w >= 0.
    Differs from the source: nothing.
    """
    return total(w)


CARRIERS = ("joist tips", "joists", "needles")


def wall_above_checks(id: str, above: WallAbove, carried_by: str) -> tuple[Check, ...]:
    """Ask what carries a wall above while the wall below it is out.

    Parameters
    ----------
    id : str
    above : WallAbove
    carried_by : str
        "joist tips", "joists" that run through, or "needles"; empty when nothing was said.

    Returns
    -------
    tuple of Check
        None when something was named, whose own checks then count; else one that is open.

    Raises
    ------
    InputError
        For other words.
    """
    if carried_by in CARRIERS:
        return ()
    if carried_by:
        needs = " or ".join(f'"{word}"' for word in CARRIERS)
        raise InputError(message(id, needs, f'"{carried_by}"'))
    return (
        check(
            id,
            "What carries the wall above while the wall below is out",
            "mechanics, statics: every load has a way to the ground",
            line_load(*above.w.values()),
            None,
            questions=(
                "Nothing was said to carry the wall above: joist tips with their cantilever "
                "checks, joists that run through, or needles.",
            ),
        ),
    )


def needle(
    place: Place,
    piece: Piece,
    l: Value,  # noqa: E741
    x: Value,
    spacing: Value,
    above: WallAbove,
    w_self: Value,
    b_plate: Value,
    plate: Surface,
) -> Held:
    """Check a needle: a beam through the wall above that carries it from shore to shore.

    Parameters
    ----------
    place : Place
    piece : Piece
    l : Value [in]
        Between its two shores.
    x : Value [in]
        From the first shore to the wall.
    spacing : Value [in]
        Of the needles along the wall.
    above : WallAbove
    w_self : Value [plf]
    b_plate : Value [in]
        Width of the shores' plates.
    plate : Surface

    Returns
    -------
    Held
        `at_shores` holds what one needle puts on each of its shores.
    """
    rows = (
        LoadRow("D", place.path, "own weight", w_self, own=True),
        *(
            LoadRow(source, "wall above", "wall above", wall_on_one_joist(w, spacing), x)
            for source, w in above.w.items()
        ),
    )
    bent = member(
        place, piece, (None, l), rows,
        support_names=("first shore", "second shore"), top=braced_at(l),
    )  # fmt: skip
    return _held(place, bent, None, (0, 1), (), b_plate, plate)


def needles_of(
    place: Place, work: Section, inputs: Inputs, above: WallAbove, near: Value, far: Value | None,
    b_plate: Value, plate: Surface,
) -> Held | None:  # fmt: skip
    """Return the needles of a job; None without a second shore to carry their other end.

    Parameters
    ----------
    place : Place
    work : Section
    inputs : mapping of str to Value
    above : WallAbove
    near, far : Value [in]
        From the line to the two shores; the first takes what `at_shores` says first.
    b_plate : Value [in]
    plate : Surface
    """
    if far is None:
        return None
    size = published.nominal_size(work.words["needle_size"], "sawn")
    b, d = (
        leaf(
            number * inch, "in", symbol, f"{work.path}.needle_size/{symbol}",
            title=f"{what} of a needle", basis="published", source=size.row.printed,
            verified=size.row.status == "verified",
        )
        for number, symbol, what in ((size.b_in, "b", "breadth"), (size.d_in, "d", "depth"))
    )  # fmt: skip
    wood = sawn(work.words["needle_species"], work.words["needle_grade"], b, d)
    made = piece(wood, Service())
    own = weight_per_length(wood_density(wood.G, moisture_for_weight()), area(b, d))
    return needle(
        place, made, place_further_on(near, far), near, inputs[f"{work.path}.needle_spacing"],
        above, own, b_plate, plate,
    )  # fmt: skip


# Loads of the work


def construction_live(duty: str = "light duty") -> Value:
    """Return the live load [psf] of people and tools during the work.

    Parameters
    ----------
    duty : str
        Row of the table "asce-37-live".

    Raises
    ------
    LookupMiss
        When there is no such row; the message names what is near.
    """
    row = published.find("asce-37-live", duty=duty)
    return table_leaf(row, "load_psf", "q_L", f"live load of the work, {row.key[0]}", "psf")
