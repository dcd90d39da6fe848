"""The lift: weights, hands, the way round a corner, and the beam before anything braces it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from calclib.job.beam import twisting_moment
from calclib.job.state import BEAM_UP, JOISTS_HUNG, SHORING_OUT
from calclib.timber.checks import bending_check
from calclib.timber.factors import load_duration_factor
from calclib.timber.piece import Piece
from calclib.timber.stability import braced_at
from calclib.trace import (
    Check,
    Value,
    check,
    formula,
    maximum,
    positive,
    step,
)
from calclib.units import feet_inches, show

# Weight and where it acts


@formula(
    "W", "lbf", w_self="plf", L="ft", source="mechanics, statics",
    valid={"w_self": positive, "L": positive},
)  # fmt: skip
def weight_of_length(w_self, L):  # type: ignore[no-untyped-def]
    """Weight of a beam or ply.

    Parameters
    ----------
    w_self : float or array [plf]
        Its weight per length.
    L : float or array [ft]
        Its length.

    Returns
    -------
    float or array [lbf]
        Above zero.

    Notes
    -----
    Valid for: w_self > 0, L > 0; one section throughout.
    Differs from the source: nothing.
    """
    return w_self * L


@dataclass(frozen=True)
class Part:
    """A part of what is lifted.

    Attributes
    ----------
    name : str
    W : Value [lbf]
        Its weight.
    x : Value [in]
        Its middle, from the left end of what is lifted.
    """

    name: str
    W: Any
    x: Any


def _center_sentence(arguments: Any, results: Any, case: int | None) -> str:
    W, x = results
    return (
        f"{len(arguments[0])} parts weigh {show(float(W), 'lbf')} together; their center of "
        f"gravity lies {feet_inches(float(x))} from the left end."
    )


@step(
    "the weight and center of gravity of what is lifted",
    [("W", "lbf"), ("x_G", "ft")],
    sentence=_center_sentence,
    source="mechanics, statics",
)
def center_of_gravity(parts: Sequence[Part]) -> Any:
    """Return the weight of all parts and the place of its center.

    Parameters
    ----------
    parts : sequence of Part
        At least one.
    """
    W = sum(part.W for part in parts)
    return W, sum(part.W * part.x for part in parts) / W


@formula(
    "W_1", "lbf", W="lbf", x_G="ft", x_2="ft", l="ft", source="mechanics, statics",
    valid={"W": positive, "x_G": (0.0, None), "x_2": (0.0, None), "l": positive},
)  # fmt: skip
def load_on_lift(W, x_G, x_2, l):  # type: ignore[no-untyped-def]  # noqa: E741
    """Load on one of two lifts, or of two groups of people.

    Parameters
    ----------
    W : float or array [lbf]
        Weight of what is lifted.
    x_G : float or array [ft]
        Its center of gravity.
    x_2 : float or array [ft]
        Where the other lift holds it, from the same end.
    l : float or array [ft]
        Distance between the two lifts.

    Returns
    -------
    float or array [lbf]
        The size; more than W when the center of gravity lies outside the two.

    Notes
    -----
    Valid for: W > 0, l > 0; level, lifted without a jerk.
    Differs from the source: the sign is dropped, so that a lift that is pulled up shows its load.
    """
    return W * maximum(x_2 - x_G, x_G - x_2) / l


def lift_check(id: str, W: Any, capacity: Value | None, report: str = "") -> Check:
    """Check a lift against the capacity on its plate.

    Parameters
    ----------
    id : str
    W : Value [lbf]
        What it holds, slings and cradle included.
    capacity : Value or None [lbf]
        Rated, at the height and reach of the lift; from the user.
    report : str
        Where the rating stands: plate, manual, report.

    Returns
    -------
    Check
        Open until capacity and its origin are given.
    """
    questions = (
        () if report else ("Where the rated capacity stands (plate or manual) is not said.",)
    )
    return check(
        id,
        "Load on the lift",
        f"rated capacity: {report}" if report else "rated capacity",
        W,
        capacity,
        questions=questions,
        notes=(
            "A rating holds at its own height and reach, on a level and firm floor. "
            "No one stands under the load.",
        ),
    )


# The way in


def _corner_sentence(arguments: Any, results: Any, case: int | None) -> str:
    a, b, w = arguments[:3]
    return (
        f"The longest thing {show(w.at(), 'in')} wide that turns from a way {feet_inches(a.at())} "
        f"wide into one {feet_inches(b.at())} wide, level: {feet_inches(float(results[0]))}."
    )


@step(
    "the longest beam round a corner",
    ("L_max", "ft"),
    sentence=_corner_sentence,
    source="calculus: least of (a sin t + b cos t - w) / (sin t cos t)",
)
def longest_round_corner(a: Any, b: Any, w: Any) -> Any:
    """Return the length of the longest thing of a width that turns a right-angled corner, level.

    Parameters
    ----------
    a, b : float [in]
        Clear widths of the two ways.
    w : float [in]
        Width of the thing on plan.

    Returns
    -------
    float [in]
        Zero when it is too wide for one of the ways. Without width (a^(2/3) + b^(2/3))^(3/2).
    """
    import numpy as np
    from scipy.optimize import minimize_scalar

    if w >= min(a, b):
        return 0.0

    def fits(t: Any) -> Any:
        return (a * np.sin(t) + b * np.cos(t) - w) / (np.sin(t) * np.cos(t))

    tried = np.linspace(0.0, np.pi / 2, 2001)[1:-1]
    place = int(fits(tried).argmin())
    low, high = (tried[np.clip(place + side, 0, len(tried) - 1)] for side in (-1, 1))
    found = minimize_scalar(fits, bounds=(low, high), method="bounded", options={"xatol": 1e-10})
    return max(float(found.fun), 0.0)


def _shadow_sentence(arguments: Any, results: Any, case: int | None) -> str:
    return (
        f"Tilted as far as {feet_inches(arguments[2].at())} of headroom lets it, the beam is "
        f"{feet_inches(float(results[0]))} long on plan."
    )


@step("the length on plan of a tilted beam", ("L_plan", "ft"), sentence=_shadow_sentence,
      source="geometry")  # fmt: skip
def length_on_plan(L: Any, d: Any, h: Any) -> Any:
    """Return the shortest length on plan of a beam that is tilted under a ceiling.

    Parameters
    ----------
    L, d : float [in]
        Length, and depth in the plane in which it tilts.
    h : float [in]
        Headroom.

    Returns
    -------
    float [in]
        The length itself when tilting does not shorten it.
    """
    diagonal = math.hypot(L, d)
    if h < d:
        return L
    # The height L sin t + d cos t grows until the diagonal stands upright.
    tilt = math.pi / 2 if h >= diagonal else math.asin(h / diagonal) - math.atan2(d, L)
    return min(L, L * math.cos(tilt) + d * math.sin(tilt))


def corner_check(
    id: str, L: Any, d: Any, b: Any, way: Value, next_way: Value, h: Value, where: str = ""
) -> Check:
    """Check whether a beam turns a corner, or the landing of a stair.

    Parameters
    ----------
    id : str
    L, d, b : Value [in]
        Length, depth and breadth of the beam, carried on edge.
    way, next_way : Value [in]
        Clear widths before and after the corner.
    h : Value [in]
        Headroom at the corner.
    where : str
        Which corner, for the title.

    Returns
    -------
    Check

    Notes
    -----
    Valid for: two straight ways at a right angle, clear of rails, trim and doors; measure the
    clear widths between what sticks out most.
    Differs from the source: tilting shortens the beam on plan and leaves its breadth.
    """
    return check(
        id,
        f"Beam round the corner{where}",
        "geometry: a ladder round a corner",
        length_on_plan(L, d, h),
        longest_round_corner(way, next_way, b),
        notes=("Carried on edge. Hands, gloves and padding take room too.",),
    )


# Before anything braces it


@formula(
    "M", "lbf*ft", w="plf", L="ft", source="mechanics, statics",
    valid={"w": (0.0, None), "L": positive},
)  # fmt: skip
def moment_of_line_load(w, L):  # type: ignore[no-untyped-def]
    """Largest moment of a uniform load on a simple span.

    Parameters
    ----------
    w : float or array [plf]
        Line load.
    L : float or array [ft]
        Span.

    Returns
    -------
    float or array [lbf*ft]
        Zero or more, sagging.

    Notes
    -----
    Valid for: w >= 0, L > 0; held at both ends only.
    Differs from the source: nothing.
    """
    return w * L**2 / 8


@formula(
    "R", "lbf", w="plf", L="ft", source="mechanics, statics",
    valid={"w": (0.0, None), "L": positive},
)  # fmt: skip
def end_reaction(w, L):  # type: ignore[no-untyped-def]
    """Reaction of a uniform load at an end of a simple span.

    Parameters
    ----------
    w : float or array [plf]
        Line load.
    L : float or array [ft]
        Span.

    Returns
    -------
    float or array [lbf]
        Zero or more.

    Notes
    -----
    Valid for: w >= 0, L > 0.
    Differs from the source: nothing.
    """
    return w * L / 2


@formula(
    "D", "in", V_1="in", V_2="in", source="NIOSH 94-110: vertical travel of the hands",
    valid={"V_1": (0.0, None), "V_2": (0.0, None)},
)  # fmt: skip
def travel_of_hands(V_1, V_2):  # type: ignore[no-untyped-def]
    """Vertical travel of the hands.

    Parameters
    ----------
    V_1 : float or array [in]
        Their height at the start.
    V_2 : float or array [in]
        Their height at the end.

    Returns
    -------
    float or array [in]
        Zero or more.

    Notes
    -----
    Valid for: heights >= 0.
    Differs from the source: nothing.
    """
    return maximum(V_1 - V_2, V_2 - V_1)


@formula("F", "", n_hour="", source="definition", valid={"n_hour": (0.0, None)})
def lifts_per_minute(n_hour):  # type: ignore[no-untyped-def]
    """Lifts per minute.

    Parameters
    ----------
    n_hour : float or array [dimensionless]
        Lifts in an hour.

    Returns
    -------
    float or array [dimensionless]
        Zero or more.

    Notes
    -----
    Valid for: n_hour >= 0.
    Differs from the source: nothing.
    """
    return n_hour / 60


UNIFORM = "single span, uniform load"


def unbraced_check(
    id: str,
    piece: Piece,
    w: Any,
    L: Any,
    l_u: Value,
    *,
    title: str,
    loads: tuple[str, ...] = ("D",),
) -> Check:
    """Check a beam or a ply whose top edge is not held as it will be in the finished house.

    Parameters
    ----------
    id : str
    piece : Piece
        One ply, or all of them fastened together.
    w : Value [plf]
        All that it carries at this stage.
    L : Value [ft]
        Between the points that hold it up.
    l_u : Value [in]
        Between the points that hold its top edge sideways; all of its length when nothing does.
    title : str
    loads : tuple of str
        Letters of the loads present, for C_D.

    Returns
    -------
    Check
        With the condition R_B <= 50.

    Notes
    -----
    Valid for: ends held from rolling over, which the stage must see to.
    Differs from the source: nothing.
    """
    return bending_check(
        id,
        piece,
        moment_of_line_load(w, L),
        load_duration_factor(("+".join(loads),)),
        braced_at(l_u, UNIFORM),
        ("+".join(loads),),
        title=title,
    )


@dataclass(frozen=True, eq=False, repr=False)
class Raising:
    """A beam on its way from the floor into the house.

    Attributes
    ----------
    ply, beam : Piece
        One ply by itself, and all fastened together.
    w_ply, w_beam : Value [plf]
        Their weights.
    w_hung : Value [plf]
        On the beam when one side's joists hang on it.
    R_hung : Value [lbf]
        At an end, from the side that hangs.
    L : Value [ft]
    l_u_hung : Value [in]
        Between the points that hold the top edge with one side hung.
    """

    ply: Piece
    beam: Piece
    w_ply: Any
    w_beam: Any
    w_hung: Any
    R_hung: Any
    L: Any
    l_u_hung: Value


def raising_checks(path: str, raising: Raising, *, flush: bool = True) -> tuple[Check, ...]:
    """Check a beam sideways from the lift until both of its sides are loaded.

    Parameters
    ----------
    path : str
        Of the work; each check stands in the stage to which it belongs.
    raising : Raising
    flush : bool
        Whether joists hang on its sides in turn.

    Returns
    -------
    tuple of Check
        Of a single ply in the air, the beam on its posts, and the beam with one side hung (also
        its twist, which stays open).
    """
    r = raising
    alone = (
        unbraced_check(
            f"{BEAM_UP}/{path}/ply", r.ply, r.w_ply, r.L, r.L,
            title="Bending of one ply in the air, held at its ends",
        ),
        unbraced_check(
            f"{BEAM_UP}/{path}/on_posts", r.beam, r.w_beam, r.L, r.L,
            title="Bending of the beam on its posts before anything braces it",
        ),
    )  # fmt: skip
    if not flush:
        return alone
    return (
        *alone,
        unbraced_check(
            f"{JOISTS_HUNG}/{path}/one_side", r.beam, r.w_hung, r.L, r.l_u_hung,
            title="Bending of the beam, one side hung", loads=("D", "L"),
        ),
        check(
            f"{JOISTS_HUNG}/{path}/one_side_twist",
            "Twist of the beam, one side hung",
            "NDS 2018 3.3.3.4: ends held from rotating",
            twisting_moment(r.R_hung, r.beam.b),
            None,
            questions=(
                "What holds the beam's ends from rolling while one side hangs is to be said and "
                "checked; hanging the sides in turn keeps this small.",
            ),
        ),
    )  # fmt: skip


def open_slot_checks(
    path: str, piece: Piece, M: Any, time: Any, l_u: Value, cases: tuple[str, ...]
) -> tuple[Check, ...]:
    """Check the loaded beam with the shores out, while nothing holds its top edge yet.

    Parameters
    ----------
    path : str
        Of the work.
    piece : Piece
    M, time : Value
        Moment [lbf in] of the finished beam, and C_D or lambda, by case.
    l_u : Value [in]
        Between the points that hold its top edge while the slot of the subfloor is open.
    cases : tuple of str
    """
    return (
        bending_check(
            f"{SHORING_OUT}/{path}/slot_open", piece, M, time, braced_at(l_u), cases,
            title="Bending of the beam, shores out and the slot open",
        ),
    )  # fmt: skip
