"""Lifting by hand: the revised lifting equation, and the hands that a weight needs."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from calclib import published
from calclib.timber.leaves import code_leaf, table_leaf
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
from calclib.units import inch, lbf

NIOSH = "NIOSH 94-110, revised lifting equation"
DURATIONS = ("short", "moderate", "long")
TEAM_CAVEAT = (
    "The equation is for one person, standing, with two hands and good footing. Its manual names "
    "sharing a load only as a last resort; the share of a team is guidance from memory."
)


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


def hands_checks(id: str, W: Any, handling: Handling, what: str = "") -> tuple[Check, Check]:
    """Check a lift by hand at its start and at its end.

    Parameters
    ----------
    id : str
    W : Value [lbf]
        What the people lift together.
    handling : Handling
    what : str
        What is lifted, for the titles.

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
            f"Lifting index{what}, {words}",
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
