"""A shore wall stud by stud: plates, columns, crushing, bracing; walls that are kept."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from calclib.job.bent import Bent
from calclib.job.member import (
    LoadRow,
)
from calclib.job.work.members import STATICS, Loads, Place, loads_on_supports, member
from calclib.job.work.practice import practice
from calclib.mechanics.section import total_width
from calclib.timber.bearing import Surface
from calclib.timber.column_checks import post_check, under_post_check
from calclib.timber.columns import column_bracing, slenderness_limit
from calclib.timber.piece import Piece
from calclib.timber.posts import Post
from calclib.timber.stability import held_throughout
from calclib.trace import (
    Check,
    Value,
    check,
    formula,
    leaf,
    maximum,
    positive,
    sqrt,
    step,
)
from calclib.units import inch, show

LOAD = (0.0, None)


def flat_piece(post: Post, n: Value) -> Piece:
    """Return plates laid flat, one on the other, which bend side by side and not as one.

    Parameters
    ----------
    post : Post
        One plate, as `sawn_post` makes it.
    n : Value
        Number of plates.
    """
    one = post.piece
    return replace(
        one,
        b=total_width(n, one.d),
        d=one.b,
        factors={**one.factors, "Fb": {**post.flat}},
        built_up=False,
    )


@dataclass(frozen=True, eq=False, repr=False)
class ShoreWall:
    """A wall of studs between plates.

    Attributes
    ----------
    plate : Piece
        Its top plates, from `flat_piece`, or a beam on edge over posts.
    stud : Post
    wood : Surface
        Of the plates, across the grain.
    length : Value [in]
        Of the top plate.
    studs, joists : tuple of Value [in]
        Places from its left end.
    l : Value [in]
        Length of a stud.
    n : Value
        Rows of braces between floor and top plate.
    """

    plate: Piece
    stud: Post
    wood: Surface
    length: Value
    studs: tuple[Value, ...]
    joists: tuple[Value, ...]
    l: Value  # noqa: E741
    n: Value


@dataclass(frozen=True, eq=False, repr=False)
class StudRow:
    """One stud of a shore.

    Attributes
    ----------
    name : str
    x : Value [in]
        From the left end of the top plate.
    loads : mapping of str to Value [lbf]
        By source, every load in place.
    P : Value [lbf]
        The most that any load case puts on it.
    check : str
        Id of the check of the heaviest stud.
    """

    name: str
    x: Value
    loads: Loads
    P: Value
    check: str


@dataclass(frozen=True, eq=False, repr=False)
class Shored:
    """A shore wall under its joists.

    Attributes
    ----------
    plate : Bent
    studs : tuple of StudRow
    P : Value [lbf]
        On the heaviest stud, by case.
    total : Value [lbf]
        On all studs, by case.
    checks : tuple of Check
    """

    plate: Bent
    studs: tuple[StudRow, ...]
    P: Value
    total: Value
    checks: tuple[Check, ...]


@step(
    "the most on one stud",
    [("P", "lbf")],
    sentence=lambda arguments, results, case: (
        f"Of {len(arguments)} studs the one with the most carries "
        f"{show(float(results[0] if case is None else results[0][case]), 'lbf')}."
    ),
)
def heaviest(*P: Any) -> Any:
    """Return, case by case, the load of the stud that carries the most."""
    import numpy as np

    return (np.maximum.reduce([np.asarray(each) for each in P]),)


@step(
    "the load on all studs",
    [("P_sum", "lbf")],
    sentence=lambda arguments, results, case: (
        f"{len(arguments)} studs carry "
        f"{show(float(results[0] if case is None else results[0][case]), 'lbf')} together."
    ),
)
def on_all_studs(*P: Any) -> Any:
    """Return, case by case, what all studs carry together."""
    return (sum(P),)


@step(
    "the most in any load case",
    [("P_max", "lbf")],
    sentence=lambda arguments, results, case: f"At most {show(float(results[0]), 'lbf')}.",
)
def most_of_cases(P: Any) -> Any:
    """Return the largest number over the load cases."""
    return (float(P.max()),)


@formula("l_2", "in", l="in", n="", source="geometry", valid={"l": positive, "n": LOAD})
def braced_length(l, n):  # type: ignore[no-untyped-def]  # noqa: E741
    """Length of a stud between its rows of braces.

    Parameters
    ----------
    l : float or array [in]
        Length of the stud.
    n : float or array [dimensionless]
        Rows of braces, evenly spaced.

    Returns
    -------
    float or array [in]
        At most l.

    Notes
    -----
    Valid for: l > 0, n >= 0.
    Differs from the source: nothing.
    """
    return l / (n + 1)


@formula("h_br", "in", l="in", l_2="in", source="geometry", valid={"l": positive, "l_2": LOAD})
def highest_row(l, l_2):  # type: ignore[no-untyped-def]  # noqa: E741
    """Height of the highest row of braces, where the diagonal takes hold.

    Parameters
    ----------
    l : float or array [in]
        Length of the stud.
    l_2 : float or array [in]
        Length between its rows.

    Returns
    -------
    float or array [in]
        Less than l; a thousandth of an inch without a row.

    Notes
    -----
    Valid for: l > 0, 0 <= l_2 <= l.
    Differs from the source: the floor.
    """
    return maximum(l - l_2, 0.001 * inch)


def stud_check(
    id: str,
    stud: Post,
    P: Any,
    time: Any,
    l: Any,  # noqa: E741
    n: Any,
    cases: tuple[str, ...] = (),
    *,
    title: str = "Shoring stud as a column",
) -> Check:
    """Check a shoring stud as a column about both axes, with the slenderness of construction.

    Parameters
    ----------
    id : str
    stud : Post
    P : Value [lbf]
        By case.
    time : Value
        C_D or lambda, by case.
    l : Value [in]
        Its length.
    n : Value
        Rows of braces that hold it flatwise.
    cases : tuple of str
    title : str

    Returns
    -------
    Check
        Fails when either slenderness is over 75, whatever the load.
    """
    bracing = column_bracing(l, braced_length(l, n), during_construction=True)
    return post_check(id, stud, P, time, bracing, cases, title=title)


def _rows_sentence(arguments: Any, results: Any, case: int | None) -> str:
    n = int(results[0])
    rows = "1 row of braces keeps" if n == 1 else f"{n or 'No'} rows of braces keep"
    return f"{rows} the flatwise slenderness at {arguments[2].at():g} or less."


@step(
    "the rows of braces that slenderness asks for",
    [("n", "")],
    sentence=_rows_sentence,
    source="NDS 2018 3.7.1.4",
)
def _rows_needed(l: Any, b: Any, s_max: Any) -> Any:  # noqa: E741
    rows = 0
    while l / (rows + 1) / b > s_max:
        rows += 1
    return (float(rows),)


def brace_rows_needed(l: Value, b: Value) -> Value:  # noqa: E741
    """Return how many rows of braces the slenderness of construction asks for.

    Parameters
    ----------
    l, b : Value [in]
        Length and thickness of a stud.

    Returns
    -------
    Value [dimensionless]
        A whole number; the column check may ask for more.
    """
    (n,) = _rows_needed(l, b, slenderness_limit(during_construction=True))
    return n  # type: ignore[no-any-return]


# More rows than that are no longer a stud wall.
MOST_ROWS = 4


def brace_rows_for_load(
    stud: Post,
    P: Any,
    time: Any,
    l: Value,  # noqa: E741
    cases: tuple[str, ...] = (),
) -> int | None:
    """Return the fewest rows of braces with which a stud passes its column check.

    Parameters
    ----------
    stud : Post
    P : Value [lbf]
        By case.
    time : Value
    l : Value [in]
    cases : tuple of str

    Returns
    -------
    int or None
        None when no number up to four does it: then the stud is too slender the other way, or
        too small.
    """
    for rows in range(MOST_ROWS + 1):
        n = leaf(
            float(rows), "", "n", f"shoring/brace rows tried/{rows}",
            title="rows of braces tried", basis="chosen",
        )  # fmt: skip
        if stud_check("stud", stud, P, time, l, n, cases).fits:
            return rows
    return None


def shore_wall(
    place: Place, wall: ShoreWall, one_joist: Loads, extra: Sequence[LoadRow] = ()
) -> Shored:
    """Check a shore wall: plate between studs, studs, and the crushing of plates.

    Parameters
    ----------
    place : Place
    wall : ShoreWall
    one_joist : mapping of str to Value [lbf]
        What one joist puts on the shore, by source.
    extra : sequence of LoadRow
        What else stands on its top plate: needles, with places from its left end.

    Returns
    -------
    Shored
        With its studs one by one.

    Notes
    -----
    Valid for: joists all alike; live load is also left off the bays of the plate by turns.
    Differs from the source: nothing.
    """
    rows = tuple(
        LoadRow(source, f"joist {number}", f"joist {number}", size, start=at)
        for number, at in enumerate(wall.joists, start=1)
        for source, size in one_joist.items()
    )
    names = tuple(f"stud {number + 1}" for number in range(len(wall.studs)))
    first, last = wall.studs[0], wall.studs[-1]
    flat = held_throughout("bent flatwise, it cannot buckle sideways")
    plates = replace(place, name=f"top plates of {place.name}")
    plate = member(
        plates, wall.plate, (None if first.at() == 0 else first, *wall.studs[1:]),
        (*rows, *extra), support_names=names,
        length=wall.length if wall.length.at() > last.at() else None, top=flat, bottom=flat,
    )  # fmt: skip
    (P,) = heaviest(*plate.reactions)
    (total,) = on_all_studs(*plate.reactions)
    post = place.post(wall.stud)
    time, cases = place.design.time_factor(plate.strength), plate.strength.names
    stud = stud_check(
        place.id("stud"), post, P, time, wall.l, wall.n, cases,
        title=f"Heaviest stud of {place.name} as a column, wall out",
    )  # fmt: skip
    crushed = under_post_check(
        place.id("plate_under_stud"), P, post.piece.d, post.piece.b, place.surface(wall.wood),
        post.method, cases, title=f"Crushing of the plates of {place.name}, wall out",
    )  # fmt: skip
    table = tuple(
        StudRow(name, at, loads, most_of_cases(R)[0], stud.id)
        for name, at, loads, R in zip(
            names, wall.studs, loads_on_supports(plate), plate.reactions, strict=True
        )
    )
    return Shored(plate, table, P, total, (*plate.checks, stud, crushed))


# Bracing of the shore


@formula(
    "F_br", "lbf", P_sum="lbf", k="", source="common practice: a share of what is held in line",
    valid={"P_sum": (None, None), "k": (0.0, 1.0)},
)  # fmt: skip
def brace_force(P_sum, k):  # type: ignore[no-untyped-def]
    """Force along a row of braces that holds studs in line.

    Parameters
    ----------
    P_sum : float or array [lbf]
        Load of all studs that the row holds.
    k : float or array [dimensionless]
        Share of it.

    Returns
    -------
    float or array [lbf]
        Of the sign of the load.

    Notes
    -----
    Valid for: studs plumb and straight within the habits of the trade.
    Differs from the source: nothing.
    """
    return P_sum * k


@formula(
    "T", "lbf", F_br="lbf", h="in", r="in", source=STATICS,
    valid={"F_br": (None, None), "h": positive, "r": positive},
)  # fmt: skip
def diagonal_force(F_br, h, r):  # type: ignore[no-untyped-def]
    """Force along the diagonal that anchors a row of braces.

    Parameters
    ----------
    F_br : float or array [lbf]
        Force along the row.
    h : float or array [in]
        Rise of the diagonal.
    r : float or array [in]
        Its run.

    Returns
    -------
    float or array [lbf]
        More than F_br.

    Notes
    -----
    Valid for: h > 0, r > 0; one diagonal takes it, in tension or in compression.
    Differs from the source: nothing.
    """
    return F_br * sqrt(h**2 + r**2) / r


@formula(
    "Z_all", "lbf", n="", Z="lbf", source="NDS 2018 11.2.2: equal fasteners",
    valid={"n": (1.0, None), "Z": positive},
)  # fmt: skip
def nails_together(n, Z):  # type: ignore[no-untyped-def]
    """Lateral value of several equal nails.

    Parameters
    ----------
    n : float or array [dimensionless]
        Number of nails.
    Z : float or array [lbf]
        Adjusted value of one.

    Returns
    -------
    float or array [lbf]
        Above zero.

    Notes
    -----
    Valid for: n >= 1, Z > 0; nails do not lose by standing in a row.
    Differs from the source: nothing.
    From memory: compare with the printed clause.
    """
    return n * Z


def diagonal_check(
    id: str,
    total: Value,
    h: Value,
    r: Value | None,
    nails: tuple[Value, Value] | None,
    cases: tuple[str, ...] = (),
    where: str = "",
) -> Check:
    """Check the nails of the diagonal that anchors the brace row of a shore.

    Parameters
    ----------
    id : str
    total : Value [lbf]
        On all studs of the row, by case.
    h : Value [in]
        Height of the brace row.
    r : Value or None [in]
        Run of the diagonal; None when there is none.
    nails : tuple of Value or None
        Number at each end, and the adjusted lateral value of one [lbf].
    cases : tuple of str
    where : str
        Of which shore, for the title.

    Returns
    -------
    Check
        Open without a diagonal or its nails: a brace row by itself lets all studs lean together.
    """
    force = brace_force(total, practice("brace force", "k"))
    missing = "A brace row without a diagonal lets all studs buckle together: say what anchors it."
    if r is None or nails is None:
        return check(
            id, f"Anchor of the braces{where}", "common practice", force, None,
            cases=cases, questions=(missing,),
        )  # fmt: skip
    return check(
        id,
        f"Nails of the diagonal that anchors the braces{where}",
        "common practice; nails by NDS 2018 chapter 12",
        diagonal_force(force, h, r),
        nails_together(*nails),
        cases=cases,
        notes=(
            "The share of the load is a habit of the trade. The diagonal runs to the floor or to "
            "a wall that stands.",
        ),
    )


def stripped_wall_checks(
    id: str,
    stud: Post,
    P: Any,
    time: Any,
    l: Value,  # noqa: E741
    cases: tuple[str, ...] = (),
    *,
    n: Value | None = None,
) -> tuple[Check, ...]:
    """Check the studs of a kept wall before and after its board is stripped.

    Parameters
    ----------
    id : str
    stud : Post
    P : Value [lbf]
        On one stud, by case.
    time : Value
    l : Value [in]
        Length of a stud.
    cases : tuple of str
    n : Value, optional
        Rows of blocking put in before the board comes off; none when not given.

    Returns
    -------
    tuple of Check
        Board on; board off.
    """
    bare = l if n is None else braced_length(l, n)
    return (
        post_check(
            f"{id}/board_on", stud, P, time, column_bracing(l, None, during_construction=True),
            cases, title="Stud of the kept wall, held flatwise by its board",
        ),
        post_check(
            f"{id}/board_off", stud, P, time, column_bracing(l, bare, during_construction=True),
            cases, title="Stud of the kept wall, board stripped",
        ),
    )  # fmt: skip
