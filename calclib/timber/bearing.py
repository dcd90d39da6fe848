"""Bearing across the grain: stress, bearing area factor, required length, the weaker wood."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from calclib import published
from calclib.published.lumber import LEAST_THICKNESS
from calclib.timber.factors import (
    Service,
    incising_factor,
    temperature_factor,
    wet_service_factor,
)
from calclib.timber.leaves import code_leaf, table_leaf
from calclib.timber.lrfd import with_strength_factors
from calclib.timber.materials import DIMENSION_LUMBER, SAWN
from calclib.timber.piece import Piece
from calclib.trace import (
    Condition,
    Value,
    formula,
    maximum,
    minimum,
    positive,
    product,
    utilization,
    where,
)
from calclib.units import inch, show


@formula(
    "f_c_perp",
    "psi",
    source="NDS 2018 3.10.2",
    R="lbf",
    b="in",
    l_b="in",
    valid={"R": (None, None), "b": positive, "l_b": positive},
)
def bearing_stress(R, b, l_b):  # type: ignore[no-untyped-def]
    """Compression stress across the grain at a bearing.

    Parameters
    ----------
    R : float or array [lbf]
        Reaction, down on the support positive.
    b : float or array [in]
        Breadth of the bearing.
    l_b : float or array [in]
        Length of the bearing along the grain of the member.

    Returns
    -------
    float or array [psi]
        With the sign of R: negative in a case that lifts, which is for another check.

    Notes
    -----
    Valid for: b > 0, l_b > 0; full contact, the load spread evenly.
    Differs from the source: nothing.
    """
    return R / (b * l_b)


@formula(
    "C_b",
    "",
    source="NDS 2018 3.10.4 Eq. 3.10-2",
    l_b="in",
    l_end="in",
    valid={"l_b": positive, "l_end": (0.0, None)},
)
def bearing_area_factor(l_b, l_end):  # type: ignore[no-untyped-def]
    """Bearing area factor of a bearing that may lie away from the member's end.

    Parameters
    ----------
    l_b : float or array [in]
        Length of the bearing along the grain.
    l_end : float or array [in]
        Distance from the bearing to the end of the member.

    Returns
    -------
    float or array [dimensionless]
        Above 1 for a bearing under 6 in long that lies 3 in or more from the end, else 1.

    Notes
    -----
    Valid for: l_b > 0, l_end >= 0.
    Differs from the source: nothing; Table 3.10.4 prints it to two decimals.
    """
    return where(l_b < 6 * inch, where(l_end >= 3 * inch, (l_b + 0.375 * inch) / l_b, 1), 1)


@formula(
    "F_c_perp_prime",
    "psi",
    source="NDS 2018 Tables 4.3.1, 8.3.1",
    F_c_perp="psi",
    C="",
    valid={"F_c_perp": positive, "C": (0.0, None)},
)
def adjusted_bearing_value(F_c_perp, *C):  # type: ignore[no-untyped-def]
    """Adjusted compression design value across the grain of the member.

    Parameters
    ----------
    F_c_perp : float or array [psi]
        Reference value, at a deformation of 0.04 in.
    *C : float or array [dimensionless]
        The factors that apply; C_D does not.

    Returns
    -------
    float or array [psi]
        Zero or more.

    Notes
    -----
    Valid for: F_c_perp > 0, factors >= 0.
    Differs from the source: nothing.
    """
    return F_c_perp * product(C)


@formula(
    "F_c_perp_plate_prime",
    "psi",
    source="NDS 2018 Table 4.3.1",
    F_c_perp="psi",
    C="",
    valid={"F_c_perp": positive, "C": (0.0, None)},
)
def adjusted_plate_value(F_c_perp, *C):  # type: ignore[no-untyped-def]
    """Adjusted compression design value across the grain of what the member bears on.

    Parameters
    ----------
    F_c_perp : float or array [psi]
        Reference value of the support.
    *C : float or array [dimensionless]
        The factors that apply; C_D does not.

    Returns
    -------
    float or array [psi]
        Zero or more.

    Notes
    -----
    Valid for: F_c_perp > 0, factors >= 0.
    Differs from the source: nothing.
    """
    return F_c_perp * product(C)


@formula(
    "F_c_perp_least",
    "psi",
    source="NDS 2018 3.10.2",
    F_c_perp_prime="psi",
    F_c_perp_plate_prime="psi",
    valid={"F_c_perp_prime": positive, "F_c_perp_plate_prime": positive},
)
def weaker_bearing_value(F_c_perp_prime, F_c_perp_plate_prime):  # type: ignore[no-untyped-def]
    """The lesser value across the grain, of the member and of what it bears on.

    Parameters
    ----------
    F_c_perp_prime : float or array [psi]
        Adjusted value of the member.
    F_c_perp_plate_prime : float or array [psi]
        Adjusted value of the support.

    Returns
    -------
    float or array [psi]
        Above zero.

    Notes
    -----
    Valid for: both above zero.
    Differs from the source: nothing; one stress acts on both woods.
    """
    return minimum(F_c_perp_prime, F_c_perp_plate_prime)


@formula(
    "l_b_beam",
    "in",
    source="NDS 2018 3.10.2",
    R="lbf",
    b="in",
    F_c_perp_prime="psi",
    valid={"R": (None, None), "b": positive, "F_c_perp_prime": positive},
)
def required_bearing_length(R, b, F_c_perp_prime):  # type: ignore[no-untyped-def]
    """Bearing length that the member requires with C_b = 1.

    Parameters
    ----------
    R : float or array [lbf]
        Reaction, down on the support positive.
    b : float or array [in]
        Breadth of the bearing.
    F_c_perp_prime : float or array [psi]
        Adjusted value of the member across the grain, with C_b = 1.

    Returns
    -------
    float or array [in]
        With the sign of R.

    Notes
    -----
    Valid for: b > 0, F_c_perp_prime > 0.
    Differs from the source: solved for the length.
    """
    return R / (b * F_c_perp_prime)


@formula(
    "l_b_beam_star",
    "in",
    source="NDS 2018 3.10.2, 3.10.4",
    l_b_beam="in",
    l_end="in",
    valid={"l_b_beam": (None, None), "l_end": (0.0, None)},
)
def required_length_with_area_factor(l_b_beam, l_end):  # type: ignore[no-untyped-def]
    """Bearing length that the member requires where C_b may apply.

    Parameters
    ----------
    l_b_beam : float or array [in]
        Length that is required with C_b = 1.
    l_end : float or array [in]
        Distance from the bearing to the end of the member.

    Returns
    -------
    float or array [in]
        3/8 in less where the bearing comes out under 6 in long and lies 3 in or more from the
        end.

    Notes
    -----
    Valid for: l_end >= 0; for reactions that need more than 3/8 in with C_b = 1.
    Differs from the source: solved for the length.
    """
    return where(
        l_end >= 3 * inch,
        where(l_b_beam < 6.375 * inch, l_b_beam - 0.375 * inch, l_b_beam),
        l_b_beam,
    )


@formula(
    "l_b_plate",
    "in",
    source="NDS 2018 3.10.2",
    R="lbf",
    b="in",
    F_c_perp_plate_prime="psi",
    valid={"R": (None, None), "b": positive, "F_c_perp_plate_prime": positive},
)
def required_plate_length(R, b, F_c_perp_plate_prime):  # type: ignore[no-untyped-def]
    """Bearing length that the support requires.

    Parameters
    ----------
    R : float or array [lbf]
        Reaction, down on the support positive.
    b : float or array [in]
        Breadth of the bearing.
    F_c_perp_plate_prime : float or array [psi]
        Adjusted value of the support across its grain.

    Returns
    -------
    float or array [in]
        With the sign of R.

    Notes
    -----
    Valid for: b > 0, F_c_perp_plate_prime > 0.
    Differs from the source: solved for the length.
    """
    return R / (b * F_c_perp_plate_prime)


@formula(
    "l_b_req",
    "in",
    source="NDS 2018 3.10.2",
    l_b_beam="in",
    l_b_plate="in",
    valid={"l_b_beam": (None, None), "l_b_plate": (None, None)},
)
def longer_required_length(l_b_beam, l_b_plate):  # type: ignore[no-untyped-def]
    """Bearing length that is required for both woods.

    Parameters
    ----------
    l_b_beam : float or array [in]
        Length that the member requires.
    l_b_plate : float or array [in]
        Length that the support requires.

    Returns
    -------
    float or array [in]
        The longer of the two.

    Notes
    -----
    Valid for: any two lengths.
    Differs from the source: nothing.
    """
    return maximum(l_b_beam, l_b_plate)


@formula(
    "l_net", "in", l_b="in", g="in", source="geometry", valid={"l_b": positive, "g": (None, None)}
)
def net_bearing(l_b, g):  # type: ignore[no-untyped-def]
    """Bearing length that is left when all of the play is at one end.

    Parameters
    ----------
    l_b : float or array [in]
        Length of the support along the beam.
    g : float or array [in]
        Play of the beam.

    Returns
    -------
    float or array [in]
        At least a thousandth of an inch, at most l_b.

    Notes
    -----
    Valid for: l_b > 0.
    Differs from the source: the floor, so that a beam that falls off shows as a failure.
    """
    return minimum(l_b, maximum(l_b - g, 0.001 * inch))


@formula("b_s", "in", l_b="in", b_post="in", d_post="in", source="geometry",
         valid={"l_b": positive, "b_post": positive, "d_post": positive})  # fmt: skip
def side_across_beam(l_b, b_post, d_post):  # type: ignore[no-untyped-def]
    """Side of a post that lies across the beam on it, when nobody said which.

    Parameters
    ----------
    l_b : float or array [in]
        Length of the bearing along the beam, as entered.
    b_post : float or array [in]
        Narrow side of the post.
    d_post : float or array [in]
        Wide side of the post.

    Returns
    -------
    float or array [in]
        The wide side where the bearing is as long as the narrow one, else the narrow side.

    Notes
    -----
    Valid for: b_post <= d_post; a bearing within 1/8 in of the narrow side is as long as it.
    Differs from the source: the narrow side where the bearing fits neither, for it gives less.
    """
    off = l_b - b_post
    return where(off * off < (0.125 * inch) ** 2, d_post, b_post)


@formula("b_c", "in", b="in", b_below="in", source="geometry",
         valid={"b": positive, "b_below": positive})  # fmt: skip
def contact_width(b, b_below):  # type: ignore[no-untyped-def]
    """Width in which a member and what it bears on touch.

    Parameters
    ----------
    b : float or array [in]
        Breadth of the member.
    b_below : float or array [in]
        Width of what is below, in the same direction.

    Returns
    -------
    float or array [in]
        The lesser of the two.

    Notes
    -----
    Valid for: one centered on the other.
    Differs from the source: nothing.
    """
    return minimum(b, b_below)


WOOD, MASONRY = "wood or metal", "masonry or concrete"


def least_bearing(l_b: Any, material: str) -> Condition:
    """Return the condition that a bearing is as long as the code asks for.

    Parameters
    ----------
    l_b : Value [in]
        The bearing that is left.
    material : str
        What it is on: `WOOD` or `MASONRY`.
    """
    row = published.find("irc-2018-r502-6", material=material)
    least = table_leaf(row, "bearing_in", "l_b_min", f"least bearing on {material}", "in")
    text = f"The bearing on {material} is at least {show(least.at(), 'in')}."
    return Condition(text, utilization(least, l_b), row.printed)


@dataclass(frozen=True, eq=False, repr=False)
class Surface:
    """A wood that a member bears on across its grain.

    Attributes
    ----------
    name : str
    F_c_perp : Value [psi]
    factors : mapping of str to Value
        Its own factors by symbol, C_b among them.
    applies : str
        Name of the table that says which of them apply.
    questions : tuple of str
    """

    name: str
    F_c_perp: Any
    factors: dict[str, Any]
    applies: str
    questions: tuple[str, ...] = ()


def plate(species: str, service: Service, grade: str | None = None) -> Surface:
    """Return a plate or cap of dimension lumber, of any size.

    Parameters
    ----------
    species : str
    service : Service
    grade : str, optional
        The least value of the species when it is not given.

    Returns
    -------
    Surface
        With C_b = 1, for a plate may end near the bearing.

    Raises
    ------
    LookupMiss
        When the tables hold no such species or grade.
    """
    named = {"species": species} if grade is None else {"species": species, "grade": grade}
    # Every species of the two tables has this grade, so that a miss is about the species.
    table = published.size_rows(species, "Select Structural", LEAST_THICKNESS).rows[0].table
    found = published.matching(table, **named)
    row = min(found, key=lambda each: each.number("Fc_perp_psi"))
    name = row.text("species") + (f" {row.text('grade')}" if grade else ", any grade")
    title = f"compression value across the grain, {', '.join(row.key)}"
    factors = {
        "C_M": wet_service_factor(DIMENSION_LUMBER, "Fc_perp", service),
        "C_t": temperature_factor("Fc_perp", service),
        "C_i": incising_factor(DIMENSION_LUMBER, "Fc_perp", service),
        "C_b": code_leaf(
            1.0,
            "C_b",
            "NDS-2018/C_b/plate",
            "bearing area factor of a plate",
            "NDS 2018 3.10.4",
            "it may end right beside the bearing, as at an opening",
        ),
    }
    F_c_perp = table_leaf(row, "Fc_perp_psi", "F_c_perp", title, "psi")
    return Surface(name, F_c_perp, factors, SAWN)


def strength_surface(surface: Surface) -> Surface:
    """Return the same wood for LRFD, with K_F and phi among its factors."""
    factors = with_strength_factors({"Fc_perp": surface.factors})["Fc_perp"]
    return replace(surface, factors=factors)


def surface(piece: Piece) -> Surface:
    """Return a member as what another one bears on, with C_b = 1."""
    C_b = code_leaf(
        1.0,
        "C_b",
        "NDS-2018/C_b/support",
        "bearing area factor of the support",
        "NDS 2018 3.10.4",
        "not made use of for what carries",
    )
    return Surface(
        piece.material.name,
        piece.material.F_c_perp,
        {**piece.factors["Fc_perp"], "C_b": C_b},
        piece.material.applies,
        piece.material.questions,
    )


@dataclass(frozen=True, eq=False, repr=False)
class Seat:
    """A bearing of a member.

    Attributes
    ----------
    l_b : Value [in]
        Length along the grain that is provided.
    l_end : Value or None [in]
        Distance to the member's end; None for a bearing at its end.
    C_b : Value or None
        1 for a bearing at the member's end.
    """

    l_b: Any
    l_end: Any = None
    C_b: Any = None


def end_seat(l_b: Value) -> Seat:
    """Return a bearing at the end of a member, where C_b is 1."""
    return Seat(
        l_b,
        C_b=code_leaf(
            1.0,
            "C_b",
            "NDS-2018/C_b/end",
            "bearing area factor at a member's end",
            "NDS 2018 3.10.4",
        ),
    )


def inner_seat(l_b: Value, l_end: Value) -> Seat:
    """Return a bearing at a distance from the end of a member."""
    return Seat(l_b, l_end)


def area_factor_note(seat: Seat, C_b: Any) -> str:
    """Return the sentence that says why C_b is or is not 1."""
    if seat.l_end is None:
        return "C_b is 1.0: the bearing is at the member's end (NDS 2018 3.10.4)."
    rule = "NDS 2018 3.10.4 gives C_b to bearings under 6 in long, 3 in or more from the end"
    if not isinstance(C_b, Value):
        return f"{rule}."
    return (
        f"C_b is {C_b.at():.3g}: {rule}; this one is {show(seat.l_b.at(), 'in')} long, "
        f"{show(seat.l_end.at(), 'in')} from the end."
    )


def governing_note(name: str, support: str, own: Any, other: Any) -> str:
    """Return the sentence that says which wood governs a bearing, and why.

    Parameters
    ----------
    name, support : str
        The member's material and the support's.
    own, other : Value [psi]
        Their adjusted values across the grain.
    """
    if not isinstance(own, Value):
        return f"The weaker of {name} and {support} governs."
    weak, strong = sorted(
        ((own, f"the member ({name})"), (other, f"the support ({support})")),
        key=lambda pair: pair[0].at(),
    )
    if weak[0].at() == strong[0].at():
        return f"Member ({name}) and support ({support}) are equal, {show(own.at(), 'psi')}."
    return (
        f"{weak[1][:1].upper()}{weak[1][1:]} governs: {show(weak[0].at(), 'psi')} across the "
        f"grain, less than {show(strong[0].at(), 'psi')} of {strong[1]}."
    )
