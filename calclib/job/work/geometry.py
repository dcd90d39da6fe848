"""The fit: where a beam meets joists, wall, posts and ceiling, from what the tape measured.

Heights and lengths are in inches, up and along positive; shown in feet, inches and sixteenths.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from calclib import published
from calclib.job.work.practice import practice
from calclib.job.work.readings import Reading
from calclib.timber.bearing import net_bearing
from calclib.timber.leaves import table_leaf
from calclib.trace import (
    Check,
    Value,
    check,
    formula,
    maximum,
    positive,
    sqrt,
    total,
)
from calclib.units import inch

LENGTH = (0.0, None)
ANY = (None, None)


# A flush beam


@formula(
    "r", "in", d_beam="in", c_drop="in", d_joist="in", t_floor="in", source="geometry",
    valid={"d_beam": positive, "c_drop": ANY, "d_joist": positive, "t_floor": LENGTH},
)  # fmt: skip
def rise_above_subfloor(d_beam, c_drop, d_joist, t_floor):  # type: ignore[no-untyped-def]
    """Height by which a flush beam rises above the subfloor.

    Parameters
    ----------
    d_beam : float or array [in]
        Depth of the beam.
    c_drop : float or array [in]
        How far its bottom lies below the bottoms of the joists.
    d_joist : float or array [in]
        Depth of the joists, as measured.
    t_floor : float or array [in]
        Thickness of the subfloor.

    Returns
    -------
    float or array [in]
        Negative when its top stays below the top of the subfloor.

    Notes
    -----
    Valid for: d_beam > 0, d_joist > 0, t_floor >= 0.
    Differs from the source: nothing.
    """
    return d_beam - c_drop - d_joist - t_floor


@formula(
    "h_step", "in", d_beam="in", c_drop="in", d_joist="in", source="geometry",
    valid={"d_beam": positive, "c_drop": ANY, "d_joist": positive},
)  # fmt: skip
def top_above_joists(d_beam, c_drop, d_joist):  # type: ignore[no-untyped-def]
    """Height of a flush beam's top above the tops of the joists.

    Parameters
    ----------
    d_beam : float or array [in]
        Depth of the beam.
    c_drop : float or array [in]
        How far its bottom lies below the bottoms of the joists.
    d_joist : float or array [in]
        Depth of the joists, as measured.

    Returns
    -------
    float or array [in]
        Negative when the joists stand above the beam.

    Notes
    -----
    Valid for: d_beam > 0, d_joist > 0.
    Differs from the source: nothing.
    """
    return d_beam - c_drop - d_joist


@formula(
    "b_need", "in", b_beam="in", e="in", source="geometry",
    valid={"b_beam": positive, "e": ANY},
)  # fmt: skip
def width_to_hide(b_beam, e):  # type: ignore[no-untyped-def]
    """Width of wall that hides a beam whose middle lies beside the wall's.

    Parameters
    ----------
    b_beam : float or array [in]
        Breadth of the beam.
    e : float or array [in]
        From the middle of the wall to the middle of the beam.

    Returns
    -------
    float or array [in]
        At least b_beam.

    Notes
    -----
    Valid for: b_beam > 0.
    Differs from the source: nothing.
    """
    return b_beam + 2 * maximum(e, -e)


@formula(
    "b_slot", "in", b_beam="in", g="in", source="geometry",
    valid={"b_beam": positive, "g": LENGTH},
)  # fmt: skip
def slot_width(b_beam, g):  # type: ignore[no-untyped-def]
    """Width of the slot in the subfloor for a flush beam.

    Parameters
    ----------
    b_beam : float or array [in]
        Breadth of the beam.
    g : float or array [in]
        Room on each side.

    Returns
    -------
    float or array [in]
        Above zero.

    Notes
    -----
    Valid for: b_beam > 0, g >= 0.
    Differs from the source: nothing.
    """
    return b_beam + 2 * g


@formula(
    "c", "in", b_beam="in", e="in", g="in", source="geometry",
    valid={"b_beam": positive, "e": ANY, "g": LENGTH},
)  # fmt: skip
def cut_from_line(b_beam, e, g):  # type: ignore[no-untyped-def]
    """Distance from the wall's line to where joists and blocking are cut.

    Parameters
    ----------
    b_beam : float or array [in]
        Breadth of the beam.
    e : float or array [in]
        From the line to the middle of the beam, toward the joist positive.
    g : float or array [in]
        Room between beam and joist.

    Returns
    -------
    float or array [in]
        Toward the joist positive.

    Notes
    -----
    Valid for: b_beam > 0, g >= 0.
    Differs from the source: nothing.
    """
    return b_beam / 2 + e + g


@formula("l_off", "in", x_past="in", c="in", source="geometry", valid={"x_past": ANY, "c": ANY})
def length_cut_off(x_past, c):  # type: ignore[no-untyped-def]
    """Length that is cut off a joist or block.

    Parameters
    ----------
    x_past : float or array [in]
        How far its end reaches past the wall's line; negative when it ends short of it.
    c : float or array [in]
        From the line to the cut.

    Returns
    -------
    float or array [in]
        0 when it ends short of the cut.

    Notes
    -----
    Valid for: any lengths.
    Differs from the source: nothing.
    """
    return maximum(x_past + c, 0 * inch)


@formula(
    "l_stud", "in", l_old="in", t_old="in", r="in", t_new="in", source="geometry",
    valid={"l_old": positive, "t_old": LENGTH, "r": ANY, "t_new": LENGTH},
)  # fmt: skip
def shortened_stud(l_old, t_old, r, t_new):  # type: ignore[no-untyped-def]
    """Length of a stud of the wall above, over a beam that rises into it.

    Parameters
    ----------
    l_old : float or array [in]
        As it is.
    t_old : float or array [in]
        Thickness of the bottom plate that is cut out.
    r : float or array [in]
        Rise of the beam above the subfloor.
    t_new : float or array [in]
        Thickness of the plate laid on the beam.

    Returns
    -------
    float or array [in]
        Longer than it was when beam and new plate lie lower than the old plate's top.

    Notes
    -----
    Valid for: l_old > 0, plates >= 0.
    Differs from the source: a beam that stays below the subfloor is packed up to it.
    """
    return l_old + t_old - maximum(r, 0 * inch) - t_new


@formula(
    "l_nailer", "in", s="in", b_joist="in", source="geometry",
    valid={"s": positive, "b_joist": positive},
)  # fmt: skip
def nailer_length(s, b_joist):  # type: ignore[no-untyped-def]
    """Length of the nailer between two joists at the slot's edge.

    Parameters
    ----------
    s : float or array [in]
        Spacing of the joists there.
    b_joist : float or array [in]
        Their thickness.

    Returns
    -------
    float or array [in]
        Zero or less when the joists touch.

    Notes
    -----
    Valid for: s > 0, b_joist > 0.
    Differs from the source: nothing.
    """
    return s - b_joist


@dataclass(frozen=True, eq=False, repr=False)
class FlushBeam:
    """A beam in the plane of the joists, as measured.

    Attributes
    ----------
    b, d : Value [in]
        Breadth of all plies, and depth.
    d_joist, b_joist, t_floor : Value [in]
    drop : Value [in]
        How far its bottom lies below the joists' bottoms, the line of the soffit.
    e : Value [in]
        From the wall's middle to the beam's, toward the near side's joists positive.
    g : Value [in]
        Room beside the beam.
    b_wall : Value or None [in]
        Width of the studs of the wall above; None when none stands there.
    may_show : bool
        Whether it may rise above the floor without a wall that hides it, as in an attic.
    l_stud, t_old, t_new : Value or None [in]
        Studs of the wall above, its bottom plate, and the plate laid on the beam.
    """

    b: Value
    d: Value
    d_joist: Value
    b_joist: Value
    t_floor: Value
    drop: Value
    e: Value
    g: Value
    b_wall: Value | None = None
    may_show: bool = False
    l_stud: Value | None = None
    t_old: Value | None = None
    t_new: Value | None = None


@formula("e", "in", e="in", source="geometry", valid={"e": ANY})
def seen_from_other_side(e):  # type: ignore[no-untyped-def]
    """Offset of the beam as the other side's joists see it.

    Parameters
    ----------
    e : float or array [in]
        Toward the near side positive.

    Returns
    -------
    float or array [in]
        Toward the other side positive.

    Notes
    -----
    Valid for: any offset.
    Differs from the source: nothing.
    """
    return -e


@formula(
    "d_in", "in", d_beam="in", c_drop="in", source="geometry",
    valid={"d_beam": positive, "c_drop": ANY},
)  # fmt: skip
def face_for_hangers(d_beam, c_drop):  # type: ignore[no-untyped-def]
    """Height of the beam's face above the joists' bottoms, against which hangers are nailed.

    Parameters
    ----------
    d_beam : float or array [in]
        Depth of the beam.
    c_drop : float or array [in]
        How far its bottom lies below the bottoms of the joists.

    Returns
    -------
    float or array [in]
        A beam that ends below the joists shows a thousandth of an inch.

    Notes
    -----
    Valid for: d_beam > 0.
    Differs from the source: nothing.
    """
    return maximum(d_beam - c_drop, 0.001 * inch)


@dataclass(frozen=True, eq=False, repr=False)
class FlushFit:
    """What a flush beam asks of the floor and of the wall above.

    Attributes
    ----------
    rise, step : Value [in]
        Above the subfloor, and above the joists' tops.
    slot : Value [in]
        Width cut out of the subfloor.
    near, other : Value [in]
        From the wall's line to the cut, on each side.
    nailer : Value [in]
        Length between two joists; one in each bay, on each side.
    stud : Value or None [in]
        New length of the studs above.
    checks : tuple of Check
    """

    rise: Any
    step: Any
    slot: Any
    near: Any
    other: Any
    nailer: Any
    stud: Any
    checks: tuple[Check, ...]


def flush_fit(id: str, beam: FlushBeam, spacing: Value) -> FlushFit:
    """Lay a flush beam into the floor.

    Parameters
    ----------
    id : str
    beam : FlushBeam
    spacing : Value [in]
        Of the joists.

    Returns
    -------
    FlushFit
        Without a wall above, a beam that rises above the subfloor fails a check.
    """
    rise = rise_above_subfloor(beam.d, beam.drop, beam.d_joist, beam.t_floor)
    other_e = seen_from_other_side(beam.e)
    checks = [
        check(
            f"{id}/hanger_face",
            "Joists against the height of the beam's face",
            "geometry",
            beam.d_joist,
            face_for_hangers(beam.d, beam.drop),
            notes=("Joists deeper than the beam's face need a hanger whose report covers that.",),
        )
    ]
    stud = None
    if beam.b_wall is not None:
        checks.append(
            check(
                f"{id}/hidden",
                "Beam hidden within the wall above",
                "geometry",
                width_to_hide(beam.b, beam.e),
                beam.b_wall,
                notes=("Between the boards of the wall above; needed where the beam rises.",),
            )
        )
    elif not beam.may_show:
        checks.append(
            check(
                f"{id}/below_floor",
                "Beam below the top of the subfloor, for no wall above hides it",
                "geometry",
                top_above_joists(beam.d, beam.drop, beam.d_joist),
                beam.t_floor,
            )
        )
    if beam.l_stud is not None:
        stud = shortened_stud(beam.l_stud, beam.t_old, rise, beam.t_new)
    return FlushFit(
        rise,
        top_above_joists(beam.d, beam.drop, beam.d_joist),
        slot_width(beam.b, beam.g),
        cut_from_line(beam.b, beam.e, beam.g),
        cut_from_line(beam.b, other_e, beam.g),
        nailer_length(spacing, beam.b_joist),
        stud,
        tuple(checks),
    )


# A dropped beam


@formula(
    "h_clear", "in", h="in", d_beam="in", t_finish="in", source="geometry",
    valid={"h": positive, "d_beam": positive, "t_finish": LENGTH},
)  # fmt: skip
def headroom(h, d_beam, t_finish):  # type: ignore[no-untyped-def]
    """Headroom under a dropped beam.

    Parameters
    ----------
    h : float or array [in]
        From the finished floor to what the beam is set under.
    d_beam : float or array [in]
        Depth of the beam.
    t_finish : float or array [in]
        Thickness of what covers its bottom.

    Returns
    -------
    float or array [in]
        At least a thousandth of an inch.

    Notes
    -----
    Valid for: h > 0, d_beam > 0, t_finish >= 0.
    Differs from the source: the floor, so that a beam deeper than the room shows as a failure.
    """
    return maximum(h - d_beam - t_finish, 0.001 * inch)


def headroom_check(
    id: str, h: Any, d_beam: Any, t_finish: Any, place: str = "habitable room"
) -> Check:
    """Check the headroom under a dropped beam.

    Parameters
    ----------
    id : str
    h, d_beam, t_finish : Value [in]
        See `headroom`; h the least of the readings.
    place : str
        Row of the table "irc-2018-r305-1".

    Returns
    -------
    Check

    Raises
    ------
    LookupMiss
        When the table has no such place; the message names what is near.
    """
    row = published.find("irc-2018-r305-1", place=place)
    least = table_leaf(row, "height_in", "h_min", f"least headroom, {row.key[0]}", "in")
    return check(
        id,
        "Headroom under the beam",
        row.printed,
        least,
        headroom(h, d_beam, t_finish),
        notes=("The local code decides which height holds here.",),
    )


# Posts and bearings


def post_fit_checks(
    id: str, b_post: Any, b_beam: Any, b_plate: Any, where: str = ""
) -> tuple[Check, ...]:
    """Check a post against the beam on it and the plate that it stands in.

    Parameters
    ----------
    id : str
    b_post : Value [in]
        Across the beam.
    b_beam : Value [in]
        Breadth of the beam.
    b_plate : Value [in]
        Width of the wall's plate at the post.
    where : str
        Which post, for the titles.

    Returns
    -------
    tuple of Check
        That the post is as wide as the beam, and no wider than the plate.
    """
    return (
        check(
            f"{id}/as_wide_as_beam",
            f"Breadth of the beam against the post{where}",
            "common practice: full bearing",
            b_beam,
            b_post,
        ),
        check(
            f"{id}/within_plate",
            f"Post within the plate{where}",
            "IRC 2018 R602.3.4: studs bear fully on a plate",
            b_post,
            b_plate,
            notes=("From memory: compare with the printed clause.",),
        ),
    )


@formula(
    "L", "in", l_clear="in", g="in", source="geometry", valid={"l_clear": positive, "g": LENGTH}
)
def beam_length(l_clear, g):  # type: ignore[no-untyped-def]
    """Length to which a beam is cut.

    Parameters
    ----------
    l_clear : float or array [in]
        Clear length at the beam's place, the least of the readings.
    g : float or array [in]
        Fitting gap.

    Returns
    -------
    float or array [in]
        Less than l_clear.

    Notes
    -----
    Valid for: l_clear > 0, g >= 0.
    Differs from the source: nothing.
    """
    return l_clear - g


@formula(
    "g", "in", l_clear="in", L="in", source="geometry",
    valid={"l_clear": positive, "L": positive},
)  # fmt: skip
def fitting_gap(l_clear, L):  # type: ignore[no-untyped-def]
    """Play of a beam between what it is set between.

    Parameters
    ----------
    l_clear : float or array [in]
        Clear length at the beam's place, the least of the readings.
    L : float or array [in]
        Length of the beam.

    Returns
    -------
    float or array [in]
        Negative when the beam is too long.

    Notes
    -----
    Valid for: l_clear > 0, L > 0.
    Differs from the source: nothing.
    """
    return l_clear - L


def net_bearing_check(
    id: str, required: Any, l_b: Any, gap: Any, cases: tuple[str, ...] = (), where: str = ""
) -> Check:
    """Check the bearing with all of the fitting gap at one end.

    Parameters
    ----------
    id : str
    required : Value [in]
        By case, from the bearing check.
    l_b : Value [in]
        Length of the support along the beam.
    gap : Value [in]
        From `fitting_gap`.
    cases : tuple of str
    where : str
        Which bearing, for the title.

    Returns
    -------
    Check
    """
    return check(
        id,
        f"Bearing length with all of the gap at this end{where}",
        "geometry; required length by NDS 2018 3.10",
        required,
        net_bearing(l_b, gap),
        cases=cases,
    )


@formula(
    "g_swing", "in", L="in", d="in", source="geometry: diagonal less length",
    valid={"L": positive, "d": positive},
)  # fmt: skip
def swing_clearance(L, d):  # type: ignore[no-untyped-def]
    """Play that a beam needs to swing upright into its place, one end first.

    Parameters
    ----------
    L : float or array [in]
        Length.
    d : float or array [in]
        Depth.

    Returns
    -------
    float or array [in]
        Above zero, about d^2 / (2 L).

    Notes
    -----
    Valid for: L > 0, d > 0; square ends, and room above or below for the swing.
    Differs from the source: sqrt(L^2 + d^2) - L is written without the difference of near equals.
    """
    return d**2 / (sqrt(L**2 + d**2) + L)


def swing_check(id: str, L: Any, d: Any, gap: Any) -> Check:
    """Check that a beam can be swung into its place.

    Parameters
    ----------
    id : str
    L, d : Value [in]
        Length and depth.
    gap : Value [in]
        From `fitting_gap`.

    Returns
    -------
    Check
    """
    return check(
        id,
        "Play to swing the beam in",
        "geometry: the diagonal of its side",
        swing_clearance(L, d),
        usable_gap(gap),
        notes=("A beam lifted level from below, between open posts, needs no swing.",),
    )


@formula("g_use", "in", g="in", source="geometry", valid={"g": ANY})
def usable_gap(g):  # type: ignore[no-untyped-def]
    """Play that can be used.

    Parameters
    ----------
    g : float or array [in]
        Play of the beam; negative when it is too long.

    Returns
    -------
    float or array [in]
        At least a thousandth of an inch.

    Notes
    -----
    Valid for: any play.
    Differs from the source: the floor, so that a beam that is too long shows as a failure.
    """
    return maximum(g, 0.001 * inch)


# Lengths of studs and posts


@formula(
    "l_stud", "in", h="in", t="in", x="in", source="geometry",
    valid={"h": positive, "x": LENGTH, "t": LENGTH},
)  # fmt: skip
def length_between(h, x, *t):  # type: ignore[no-untyped-def]
    """Length of a stud or post between plates.

    Parameters
    ----------
    h : float or array [in]
        From the floor to what is carried, as taped at its place.
    x : float or array [in]
        Cut long, to be driven snug.
    *t : float or array [in]
        Thickness of each plate above and below it, and of what else lies between.

    Returns
    -------
    float or array [in]
        May come out negative for plates thicker than the height.

    Notes
    -----
    Valid for: h > 0, t >= 0, x >= 0.
    Differs from the source: nothing.
    """
    return h + x - total(t)


@formula(
    "c_drop", "in", h_soffit="in", h_beam="in", source="geometry",
    valid={"h_soffit": ANY, "h_beam": ANY},
)  # fmt: skip
def drop_below_joists(h_soffit, h_beam):  # type: ignore[no-untyped-def]
    """How far a level beam's bottom lies below the joists' bottoms at one place.

    Parameters
    ----------
    h_soffit : float or array [in]
        Height of the joists' bottoms there, from one level line.
    h_beam : float or array [in]
        Height of the beam's bottom, from the same line.

    Returns
    -------
    float or array [in]
        Negative where the joists hang below the beam.

    Notes
    -----
    Valid for: any heights.
    Differs from the source: nothing.
    """
    return h_soffit - h_beam


@formula(
    "h_beam", "in", h_soffit="in", c_drop="in", source="geometry",
    valid={"h_soffit": ANY, "c_drop": ANY},
)  # fmt: skip
def height_of_beam(h_soffit, c_drop):  # type: ignore[no-untyped-def]
    """Height of a level beam's bottom, from the joists' bottoms as most of them lie.

    Parameters
    ----------
    h_soffit : float or array [in]
        Height of the joists' bottoms: the median of the readings.
    c_drop : float or array [in]
        How far the beam's bottom lies below them.

    Returns
    -------
    float or array [in]
        From the same level line.

    Notes
    -----
    Valid for: any heights.
    Differs from the source: nothing.
    """
    return h_soffit - c_drop


@dataclass(frozen=True, eq=False)
class AlongRow:
    """How a flush beam lies at one place along the opening.

    Attributes
    ----------
    place : str
    drop : Value [in]
        Of its bottom below the joists' bottoms.
    rise : Value [in]
        Of its top above the subfloor.
    """

    place: str
    drop: Any
    rise: Any


def along(beam: FlushBeam, soffits: Sequence[Reading], h_beam: Value) -> tuple[AlongRow, ...]:
    """Return how a level flush beam lies against joists that do not lie level.

    Parameters
    ----------
    beam : FlushBeam
    soffits : sequence of Reading
        Height of the joists' bottoms at each place, from one level line.
    h_beam : Value [in]
        Height of the beam's bottom, from the same line.

    Returns
    -------
    tuple of AlongRow
    """
    rows = []
    for row in soffits:
        drop = drop_below_joists(row.x, h_beam)
        rows.append(
            AlongRow(
                row.place,
                drop,
                rise_above_subfloor(beam.d, drop, beam.d_joist, beam.t_floor),
            )
        )
    return tuple(rows)


def cut_offs(ends: Sequence[Reading], c: Value) -> tuple[Reading, ...]:
    """Return the length that is cut off each joist or block of one side.

    Parameters
    ----------
    ends : sequence of Reading
        How far each reaches past the wall's line, as taped.
    c : Value [in]
        From the line to the cut, see `FlushFit`.
    """
    return tuple(Reading(row.place, length_cut_off(row.x, c)) for row in ends)


def stud_lengths(
    heights: Sequence[Reading], plates: Sequence[Value]
) -> tuple[tuple[str, Value], ...]:
    """Return the length of a shoring stud at each place, cut long to be driven snug.

    Parameters
    ----------
    heights : sequence of Reading
        From the floor to the joist, as taped at each place.
    plates : sequence of Value [in]
        Thickness of each plate above and below.
    """
    long = practice("stud cut long", "x")
    return tuple((row.place, length_between(row.x, long, *plates)) for row in heights)


# Room between the shores


@formula(
    "l_room", "in", a_1="in", a_2="in", b_plate="in", source="geometry",
    valid={"a_1": positive, "a_2": positive, "b_plate": positive},
)  # fmt: skip
def room_between_shores(a_1, a_2, b_plate):  # type: ignore[no-untyped-def]
    """Clear width between two shores.

    Parameters
    ----------
    a_1 : float or array [in]
        From the wall's line to the middle of one.
    a_2 : float or array [in]
        From the line to the middle of the other.
    b_plate : float or array [in]
        Width of their plates.

    Returns
    -------
    float or array [in]
        At least a thousandth of an inch.

    Notes
    -----
    Valid for: lengths > 0.
    Differs from the source: the floor, so that shores that meet show as a failure.
    """
    return maximum(a_1 + a_2 - b_plate, 0.001 * inch)


@formula(
    "d_roll", "in", b="in", d="in", source="geometry: diagonal of the section",
    valid={"b": positive, "d": positive},
)  # fmt: skip
def rolled_width(b, d):  # type: ignore[no-untyped-def]
    """Width that a beam needs while it is turned from lying flat to standing on edge.

    Parameters
    ----------
    b : float or array [in]
        Breadth.
    d : float or array [in]
        Depth.

    Returns
    -------
    float or array [in]
        More than d.

    Notes
    -----
    Valid for: b > 0, d > 0; people and lifts beside it need more.
    Differs from the source: nothing.
    """
    return sqrt(b**2 + d**2)


def room_check(id: str, b: Any, d: Any, a_1: Any, a_2: Any, b_plate: Any) -> Check:
    """Check that the beam can be turned upright between the two shores.

    Parameters
    ----------
    id : str
    b, d : Value [in]
        Of the beam.
    a_1, a_2, b_plate : Value [in]
        See `room_between_shores`.

    Returns
    -------
    Check
    """
    return check(
        id,
        "Room to turn the beam between the shores",
        "geometry",
        rolled_width(b, d),
        room_between_shores(a_1, a_2, b_plate),
        notes=("For the beam alone: people, stands and a lift need their own room.",),
    )
