"""What a shore stands on: its sill, the floor below, and the way down to the ground."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from calclib import published
from calclib.job.bent import Bent
from calclib.job.lines import place_further_on
from calclib.job.member import (
    LoadRow,
)
from calclib.job.work.members import STATICS, Loads, Place, member
from calclib.job.work.shore_wall import StudRow, heaviest
from calclib.job.work.shoring import Joists, floor_rows
from calclib.loads.combinations import SOURCE_NAMES
from calclib.timber.bearing import Surface
from calclib.timber.column_checks import post_check, under_post_check
from calclib.timber.columns import column_bracing
from calclib.timber.leaves import table_leaf
from calclib.timber.piece import Piece
from calclib.timber.posts import Post
from calclib.timber.stability import held_throughout
from calclib.trace import (
    Check,
    Value,
    check,
    formula,
    positive,
    step,
)
from calclib.units import show


def sill(
    place: Place,
    piece: Piece,
    length: Value,
    joists_below: Sequence[Value],
    studs: Sequence[StudRow],
    b_joist: Value,
    b_sill: Value,
    wood: Surface,
) -> tuple[Bent, tuple[Check, ...]]:
    """Check a sill across the joists of the floor below, between which studs may stand.

    Parameters
    ----------
    place : Place
    piece : Piece
        From `flat_piece`.
    length : Value [in]
    joists_below : sequence of Value [in]
        Places from the sill's left end, which is above that of the top plate.
    studs : sequence of StudRow
    b_joist, b_sill : Value [in]
        Width of a joist below, and of the sill.
    wood : Surface
        The weaker of sill and joist, across the grain.

    Returns
    -------
    Bent
        Its reactions are what each joist below gets.
    tuple of Check
        Bending, shear, and bearing on the joists below.
    """
    first, last = joists_below[0], joists_below[-1]
    flat = held_throughout("bent flatwise, it cannot buckle sideways")
    bent = member(
        place, piece, (None if first.at() == 0 else first, *joists_below[1:]), _stud_rows(studs),
        support_names=tuple(f"joist below {i + 1}" for i in range(len(joists_below))),
        length=length if length.at() > last.at() else None, top=flat, bottom=flat,
    )  # fmt: skip
    (P,) = heaviest(*bent.reactions)
    bearing = under_post_check(
        place.id("bearing"), P, b_sill, b_joist, place.surface(wood), place.design.method,
        bent.strength.names, title=f"Bearing of {place.name} on the joists below",
    )  # fmt: skip
    return bent, (*bent.checks, bearing)


def _stud_rows(studs: Sequence[StudRow], start: Value | None = None) -> tuple[LoadRow, ...]:
    return tuple(
        LoadRow(source, stud.name, stud.name, size, start=at)
        for stud in studs
        for at in (stud.x if start is None else place_further_on(start, stud.x),)
        for source, size in stud.loads.items()
    )


def floor_below_parallel(
    place: Place, joist: Joists, studs: Sequence[StudRow], start: Value
) -> Bent:
    """Check the one joist below on which a shore stands that runs along it.

    Parameters
    ----------
    place : Place
    joist : Joists
        `l` is its span; `piece` may be of several joists that blocking makes share.
    studs : sequence of StudRow
    start : Value [in]
        From the joist's bearing to the left end of the shore.

    Returns
    -------
    Bent
        One joist takes the whole shore.
    """
    rows = (*floor_rows(joist, None, None), *_stud_rows(studs, start))
    names = ("bearing below", "other bearing below")
    return member(place, joist.piece, (None, joist.l), rows, support_names=names)


def floor_below_across(place: Place, joist: Joists, at: Value, load: Loads) -> Bent:
    """Check a joist below that a shore crosses.

    Parameters
    ----------
    place : Place
    joist : Joists
        `l` is its span.
    at : Value [in]
        From its bearing to the shore.
    load : mapping of str to Value [lbf]
        What it gets, by source, the most of any; see `most_on_one`.

    Returns
    -------
    Bent
    """
    rows = (
        *floor_rows(joist, None, None),
        *(LoadRow(source, "shore", "shore", size, start=at) for source, size in load.items()),
    )
    names = ("bearing below", "other bearing below")
    return member(place, joist.piece, (None, joist.l), rows, support_names=names)


def _most_sentence(arguments: Any, results: Any, case: int | None) -> str:
    parts = [
        f"{show(float(load), 'lbf')} {SOURCE_NAMES[source]}"
        for source, load in zip(arguments[0][0], results, strict=True)
    ]
    return f"Of {len(arguments[0])} supports the one with the most: {' and '.join(parts)}."


@step(
    "the support with the most on it",
    lambda loads: [(f"P_{source}", "lbf") for source in loads[0]],
    sentence=_most_sentence,
)
def _most(loads: Sequence[dict[str, Any]]) -> Any:
    return tuple(max(loads, key=lambda each: sum(each.values())).values())


def most_on_one(loads: Sequence[Loads]) -> Loads:
    """Return, by source, the load of the support on which all together are the most.

    Parameters
    ----------
    loads : sequence of mapping of str to Value [lbf]
        One for each support, of the same sources.
    """
    return dict(zip(loads[0], _most(tuple(loads)), strict=True))


@formula(
    "q", "psf", P="lbf", b="ft", l="ft", source=STATICS,
    valid={"P": (None, None), "b": positive, "l": positive},
)  # fmt: skip
def ground_pressure(P, b, l):  # type: ignore[no-untyped-def]  # noqa: E741
    """Pressure of a pad on the ground.

    Parameters
    ----------
    P : float or array [lbf]
        Load on it.
    b : float or array [ft]
        Its width.
    l : float or array [ft]
        Its length.

    Returns
    -------
    float or array [psf]
        Of the sign of P.

    Notes
    -----
    Valid for: b > 0, l > 0; loaded in its middle, stiff enough to spread the load.
    Differs from the source: the pad's own weight is left out.
    """
    return P / (b * l)


@formula(
    "P", "lbf", P_sum="lbf", n="", source=STATICS,
    valid={"P_sum": (None, None), "n": (1.0, None)},
)  # fmt: skip
def share_of_posts(P_sum, n):  # type: ignore[no-untyped-def]
    """Load on one of several posts under a shore.

    Parameters
    ----------
    P_sum : float or array [lbf]
        Load of the shore.
    n : float or array [dimensionless]
        Number of posts.

    Returns
    -------
    float or array [lbf]
        Of the sign of the load.

    Notes
    -----
    Valid for: n >= 1, posts evenly spaced under a stiff header that spreads the load.
    Differs from the source: nothing.
    """
    return P_sum / n


def carried_down_checks(
    id: str,
    post: Post,
    P: Any,
    time: Any,
    l: Value,  # noqa: E741
    pad: tuple[Value, Value],
    soil: str | None,
    cases: tuple[str, ...] = (),
    place: str = "the shore",
) -> tuple[Check, ...]:
    """Check a post that carries a shore through the story below, and the ground under its pad.

    Parameters
    ----------
    id : str
    post : Post
    P : Value [lbf]
        By case.
    time : Value
    l : Value [in]
        Length of the post.
    pad : tuple of Value [in]
        Width and length of the pad.
    soil : str or None
        Material of the ground, as IRC Table R401.4.1 names it; None when it is not known.
    cases : tuple of str
    place : str
        What it carries, for the titles.

    Returns
    -------
    tuple of Check
        The ground stays open when its material is not known.
    """
    q = None
    if soil is not None:
        row = published.find("irc-2018-r401-4-1", material=soil)
        q = table_leaf(row, "bearing_psf", "q_a", f"presumptive bearing, {row.key[0]}", "psf")
    column = post_check(
        f"{id}/post", post, P, time, column_bracing(l, l, during_construction=True), cases,
        title=f"Post below {place}",
    )  # fmt: skip
    ground = check(
        f"{id}/ground",
        f"Ground under the pad of the post below {place}",
        "IRC 2018 R401.4.1",
        ground_pressure(P, *pad),
        q,
        cases=cases,
        questions=() if q is not None else ("What the pad stands on is not known.",),
        notes=("A basement slab is no footing: look at it, or spread the load on a stiff pad.",),
    )
    return column, ground
