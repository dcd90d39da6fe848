"""The lift: weights, hands, the way round a corner, and the beam before anything braces it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from calclib import published
from calclib.job.beam import twisting_moment
from calclib.timber.checks import bending_check
from calclib.timber.factors import load_duration_factor
from calclib.timber.leaves import table_leaf
from calclib.timber.piece import Piece
from calclib.timber.stability import braced_at
from calclib.trace import (
    Check,
    Value,
    band,
    check,
    formula,
    maximum,
    minimum,
    pick,
    positive,
    product,
    step,
    where,
)
from calclib.units import feet_inches, ft, inch, lbf, show

NIOSH = "NIOSH 94-110, revised lifting equation"
DURATIONS = ("short", "moderate", "long")
TEAM_CAVEAT = (
    "The equation is for one person, standing, with two hands and good footing. Its manual names "
    "sharing a load only as a last resort; the share of a team is guidance from memory."
)


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
        "load on the lift",
        f"rated capacity: {report}" if report else "rated capacity",
        W,
        capacity,
        questions=questions,
        notes=(
            "A rating holds at its own height and reach, on a level and firm floor. "
            "No one stands under the load.",
        ),
    )


# Lifting by hand


@formula("HM", "", H="in", source=NIOSH, valid={"H": (0.0, None)})
def horizontal_multiplier(H):  # type: ignore[no-untyped-def]
    """Horizontal multiplier.

    Parameters
    ----------
    H : float or array [in]
        From the middle between the ankles to the hands.

    Returns
    -------
    float or array [dimensionless]
        At most 1; 0 beyond 25 in.

    Notes
    -----
    Valid for: H >= 0.
    Differs from the source: nothing.
    """
    return where(H <= 25 * inch, 10 * inch / maximum(H, 10 * inch), 0)


@formula("VM", "", V="in", source=NIOSH, valid={"V": (0.0, None)})
def vertical_multiplier(V):  # type: ignore[no-untyped-def]
    """Vertical multiplier.

    Parameters
    ----------
    V : float or array [in]
        Height of the hands above the floor.

    Returns
    -------
    float or array [dimensionless]
        At most 1; 0 above 70 in.

    Notes
    -----
    Valid for: V >= 0.
    Differs from the source: nothing.
    """
    return where(V <= 70 * inch, 1 - 0.0075 * maximum(V - 30 * inch, 30 * inch - V) / inch, 0)


@formula("DM", "", D="in", source=NIOSH, valid={"D": (0.0, None)})
def distance_multiplier(D):  # type: ignore[no-untyped-def]
    """Distance multiplier.

    Parameters
    ----------
    D : float or array [in]
        Travel of the hands, up or down.

    Returns
    -------
    float or array [dimensionless]
        At most 1; 0 beyond 70 in.

    Notes
    -----
    Valid for: D >= 0.
    Differs from the source: nothing.
    From memory: that it is 0 beyond 70 in.
    """
    return where(D <= 70 * inch, minimum(1, 0.82 + 1.8 * inch / maximum(D, 10 * inch)), 0)


@formula("AM", "", A="", source=NIOSH, valid={"A": (0.0, None)})
def asymmetry_multiplier(A):  # type: ignore[no-untyped-def]
    """Asymmetric multiplier.

    Parameters
    ----------
    A : float or array [dimensionless]
        Degrees by which the trunk is turned.

    Returns
    -------
    float or array [dimensionless]
        At most 1; 0 beyond 135 degrees.

    Notes
    -----
    Valid for: A >= 0, in degrees.
    Differs from the source: nothing.
    """
    return where(A <= 135, 1 - 0.0032 * A, 0)


@formula(
    "FM", "", V="in", FM_low="", FM_high="", source=NIOSH,
    valid={"V": (0.0, None), "FM_low": (0.0, 1.0), "FM_high": (0.0, 1.0)},
)  # fmt: skip
def frequency_multiplier(V, FM_low, FM_high):  # type: ignore[no-untyped-def]
    """Frequency multiplier, by the height of the hands.

    Parameters
    ----------
    V : float or array [in]
        Height of the hands above the floor.
    FM_low : float or array [dimensionless]
        The table's value for hands below 30 in.
    FM_high : float or array [dimensionless]
        The table's value for hands at 30 in or more.

    Returns
    -------
    float or array [dimensionless]
        At most 1.

    Notes
    -----
    Valid for: V >= 0.
    Differs from the source: nothing.
    """
    return where(V < 30 * inch, FM_low, FM_high)


@formula(
    "CM", "", V="in", CM_low="", CM_high="", source=NIOSH,
    valid={"V": (0.0, None), "CM_low": (0.0, 1.0), "CM_high": (0.0, 1.0)},
)  # fmt: skip
def coupling_multiplier(V, CM_low, CM_high):  # type: ignore[no-untyped-def]
    """Coupling multiplier, by the height of the hands.

    Parameters
    ----------
    V : float or array [in]
        Height of the hands above the floor.
    CM_low : float or array [dimensionless]
        The table's value for hands below 30 in.
    CM_high : float or array [dimensionless]
        The table's value for hands at 30 in or more.

    Returns
    -------
    float or array [dimensionless]
        At most 1.

    Notes
    -----
    Valid for: V >= 0.
    Differs from the source: nothing.
    """
    return where(V < 30 * inch, CM_low, CM_high)


@formula("RWL", "lbf", LC="lbf", M="", source=NIOSH, valid={"LC": positive, "M": (0.0, 1.0)})
def recommended_weight_limit(LC, *M):  # type: ignore[no-untyped-def]
    """Recommended weight limit of one person.

    Parameters
    ----------
    LC : float or array [lbf]
        Load constant.
    *M : float or array [dimensionless]
        HM, VM, DM, AM, FM and CM.

    Returns
    -------
    float or array [lbf]
        At most the load constant; 0 where a multiplier is 0.

    Notes
    -----
    Valid for: two hands, standing, smooth, one person, good footing.
    Differs from the source: nothing.
    """
    return LC * product(M)


@formula("LI", "", L="lbf", RWL="lbf", source=NIOSH, valid={"L": (0.0, None), "RWL": (0.0, None)})
def lifting_index(L, RWL):  # type: ignore[no-untyped-def]
    """Lifting index.

    Parameters
    ----------
    L : float or array [lbf]
        What one person lifts.
    RWL : float or array [lbf]
        Recommended weight limit.

    Returns
    -------
    float or array [dimensionless]
        Above 1 the risk rises; from 3 it is high.

    Notes
    -----
    Valid for: L >= 0, RWL >= 0.
    Differs from the source: a limit of 0 counts as 0.01 lb, so that the index has a number.
    """
    return L / maximum(RWL, 0.01 * lbf)


@formula(
    "L", "lbf", W="lbf", n="", k_team="", source="memory of guidance on team handling",
    valid={"W": (0.0, None), "n": (1.0, None), "k_team": (0.1, 1.0)},
)  # fmt: skip
def share_of_a_person(W, n, k_team):  # type: ignore[no-untyped-def]
    """What one of a team lifts, by which it is compared with a limit for one person.

    Parameters
    ----------
    W : float or array [lbf]
        Weight that the team lifts.
    n : float or array [dimensionless]
        Number of people.
    k_team : float or array [dimensionless]
        Share of the sum of what each could lift alone.

    Returns
    -------
    float or array [lbf]
        Zero or more.

    Notes
    -----
    Valid for: W >= 0, n >= 1.
    Differs from the source: the lifting equation itself does not cover teams.
    """
    return W / (n * k_team)


@dataclass(frozen=True, eq=False, repr=False)
class Handling:
    """How a load is lifted by hand.

    Attributes
    ----------
    H : Value [in]
        From the middle between the ankles to the hands.
    V_1, V_2 : Value [in]
        Height of the hands at the start and at the end.
    D : Value [in]
        Travel of the hands.
    A : Value
        Degrees by which the trunk is turned.
    F : Value
        Lifts per minute.
    duration : str
        "short" (up to 1 h), "moderate" (to 2 h) or "long" (to 8 h).
    coupling : str
        "good", "fair" or "poor".
    n : Value
        Number of people.
    """

    H: Value
    V_1: Value
    V_2: Value
    D: Value
    A: Value
    F: Value
    duration: str
    coupling: str
    n: Value


def weight_limit(handling: Handling, V: Value) -> Value:
    """Return the recommended weight limit [lbf] of one person with the hands at a height.

    Parameters
    ----------
    handling : Handling
    V : Value [in]
        Its start or its end.

    Raises
    ------
    LookupMiss
        For a duration or a coupling that the tables do not hold.
    """
    table = published.rows("niosh-1994-frequency")
    bounds = [
        table_leaf(row, "per_min_max", "F_max", f"lifts per minute, {row.key[0]}")
        for row in table[:-1]
    ]
    row_of_F = band(handling.F, *bounds)

    def column(height: str) -> Value:
        name = f"FM_{handling.duration}_{height}"
        title = f"frequency multiplier, {handling.duration} duration, hands {height}"
        return pick(  # type: ignore[no-any-return]
            row_of_F, *(table_leaf(row, name, f"FM_{height}", title, of=name) for row in table)
        )

    grip = published.find("niosh-1994-coupling", coupling=handling.coupling)
    made: Value = recommended_weight_limit(
        table_leaf(_limit("load constant"), "value", "LC", "load constant", "lbf"),
        horizontal_multiplier(handling.H),
        vertical_multiplier(V),
        distance_multiplier(handling.D),
        asymmetry_multiplier(handling.A),
        frequency_multiplier(V, column("low"), column("high")),
        coupling_multiplier(
            V,
            table_leaf(grip, "CM_low", "CM_low", f"coupling multiplier, {grip.key[0]}, hands low"),
            table_leaf(
                grip, "CM_high", "CM_high", f"coupling multiplier, {grip.key[0]}, hands high"
            ),
        ),
    )
    return made


def _limit(item: str) -> published.Row:
    return published.find("niosh-1994-limits", item=item)


def _teams() -> list[Value]:
    return [
        table_leaf(_limit(item), "value", "k_team", f"share of the sum, {item}")
        for item in ("team of one", "team of two", "team of three or more")
    ]


def hands_checks(id: str, W: Any, handling: Handling) -> tuple[Check, Check]:
    """Check a lift by hand at its start and at its end.

    Parameters
    ----------
    id : str
    W : Value [lbf]
        What the people lift together.
    handling : Handling

    Returns
    -------
    tuple of Check
        Open for more than one person, whom the equation does not cover.
    """
    team = pick(band(handling.n, *_counts()), *_teams())
    share = share_of_a_person(W, handling.n, team)
    limit = table_leaf(_limit("lifting index"), "value", "LI_max", "lifting index of no added risk")
    questions: tuple[str, ...] = ()
    if handling.n.at() > 1:
        questions = (
            "A lift by several people lies outside the equation: a competent person is to plan it.",
        )
    made = [
        check(
            f"{id}/{name}",
            f"lifting index, {words}",
            NIOSH,
            lifting_index(share, weight_limit(handling, V)),
            limit,
            questions=questions,
            notes=(TEAM_CAVEAT, "From an index of 3 on the risk is high."),
        )
        for name, words, V in (
            ("start", "at the start of the lift", handling.V_1),
            ("end", "at the end of the lift", handling.V_2),
        )
    ]
    return made[0], made[1]


def _counts() -> list[Value]:
    from calclib.timber.leaves import code_leaf

    return [
        code_leaf(float(n), "n", f"NIOSH/team/{n}", f"a team of {word}", "definition")
        for n, word in ((1, "one"), (2, "two"))
    ]


def _hands_sentence(arguments: Any, results: Any, case: int | None) -> str:
    n = float(results[0])
    if math.isinf(n):
        return "No number of hands does it: the recommended weight limit is zero."
    return f"{n:.0f} of them lift no more than the recommended limit each. {TEAM_CAVEAT}"


@step("the hands needed", [("n", "")], sentence=_hands_sentence, source=NIOSH)
def _hands(W: Any, RWL: Any, *shares: Any) -> Any:
    if RWL <= 0:
        return (math.inf,)
    for people, share in enumerate(shares[:-1], start=1):
        if people * share * RWL >= W:
            return (float(people),)
    return (float(max(math.ceil(W / (shares[-1] * RWL)), len(shares))),)


def hands_needed(W: Value, RWL: Value) -> Value:
    """Return how many people a weight needs, infinite when the limit is zero.

    Parameters
    ----------
    W : Value [lbf]
    RWL : Value [lbf]
        Of one person, the lower of start and end.

    Returns
    -------
    Value [dimensionless]
        A whole number, with the caveat that the equation does not cover teams.
    """
    (n,) = _hands(W, RWL, *_teams())
    return n  # type: ignore[no-any-return]


# The way in


def _corner_sentence(arguments: Any, results: Any, case: int | None) -> str:
    a, b, w = arguments[:3]
    return (
        f"The longest thing {show(w.at(), 'in')} wide that turns from a way {feet_inches(a.at())} "
        f"wide into one {feet_inches(b.at())} wide, level: {feet_inches(float(results))}."
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
        f"{feet_inches(float(results))} long on plan."
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


def corner_check(id: str, L: Any, d: Any, b: Any, way: Value, next_way: Value, h: Value) -> Check:
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
        "beam round the corner",
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
    w_all : Value [plf]
        On the beam when the shores are out.
    R_hung : Value [lbf]
        At an end, from the side that hangs.
    L : Value [ft]
    l_u_hung, l_u_open : Value [in]
        Between the points that hold the top edge with one side hung, and with both hung while
        the slot of the subfloor is open.
    """

    ply: Piece
    beam: Piece
    w_ply: Any
    w_beam: Any
    w_hung: Any
    w_all: Any
    R_hung: Any
    L: Any
    l_u_hung: Value
    l_u_open: Value


def raising_checks(id: str, raising: Raising) -> tuple[Check, ...]:
    """Check a beam sideways from the lift until the subfloor is closed over it.

    Parameters
    ----------
    id : str
    raising : Raising

    Returns
    -------
    tuple of Check
        Of a single ply in the air, the beam on its posts, the beam with one side hung (also its
        twist, which stays open), and the beam with the shores out and the slot open.
    """
    r = raising
    return (
        unbraced_check(f"{id}/ply", r.ply, r.w_ply, r.L, r.L, title="bending, one ply in the air"),
        unbraced_check(
            f"{id}/on_posts", r.beam, r.w_beam, r.L, r.L,
            title="bending, beam on its posts before anything braces it",
        ),
        unbraced_check(
            f"{id}/one_side", r.beam, r.w_hung, r.L, r.l_u_hung,
            title="bending, one side hung", loads=("D", "L"),
        ),
        check(
            f"{id}/one_side_twist",
            "twist, one side hung",
            "NDS 2018 3.3.3.4: ends held from rotating",
            twisting_moment(r.R_hung, r.beam.b),
            None,
            questions=(
                "What holds the beam's ends from rolling while one side hangs is to be said and "
                "checked; hanging the sides in turn keeps this small.",
            ),
        ),
        unbraced_check(
            f"{id}/slot_open", r.beam, r.w_all, r.L, r.l_u_open,
            title="bending, shores out while the slot is open", loads=("D", "L"),
        ),
    )  # fmt: skip
