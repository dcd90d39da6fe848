"""The checks of a bent member: straight-line compositions of formulas, no numbers in them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from calclib.mechanics.section import section_modulus
from calclib.timber.bearing import (
    Seat,
    Surface,
    adjusted_bearing_value,
    adjusted_plate_value,
    area_factor_note,
    bearing_area_factor,
    bearing_stress,
    governing_note,
    longer_required_length,
    required_bearing_length,
    required_length_with_area_factor,
    required_plate_length,
    weaker_bearing_value,
)
from calclib.timber.bending import (
    adjusted_bending_value,
    bending_stress,
    bending_value_for_stability,
    stability_or_volume_factor,
    volume_factor_above_one,
)
from calclib.timber.deflection import deflection_limit, share_note, total_deflection
from calclib.timber.factors import applicable, factors_for
from calclib.timber.lrfd import TIME_FACTOR
from calclib.timber.piece import Piece
from calclib.timber.shear import adjusted_shear_value, shear_stress
from calclib.timber.stability import (
    Bracing,
    adjusted_stability_modulus,
    beam_stability_factor,
    critical_buckling_value,
    effective_length_of,
    slenderness_ratio,
)
from calclib.trace import Check, Condition, Value, check, utilization

TIME_WORDS = {"ASD": "C_D", "LRFD": "The time effect factor"}


def bending_check(
    id: str,
    piece: Piece,
    M: Any,
    time: Any,
    bracing: Bracing,
    cases: tuple[str, ...] = (),
    *,
    title: str = "bending",
) -> Check:
    """Check bending with one edge in compression.

    Sagging, with the bracing of the top edge, and hogging, with that of the bottom edge, are two
    checks.

    Parameters
    ----------
    id : str
    piece : Piece
    M : Value [lbf in]
        Size of the largest moment that presses the braced edge, by case.
    time : Value
        C_D under ASD, lambda under LRFD, by case.
    bracing : Bracing
        Of the edge in compression.
    cases : tuple of str
    title : str

    Returns
    -------
    Check
        With the condition R_B <= 50 unless the edge is held throughout.
    """
    material, method = piece.material, piece.method
    factors = {**piece.factors["Fb"], TIME_FACTOR[method]: time}
    volume = "C_V" in applicable(material.applies, "Fb")
    conditions: tuple[Condition, ...] = ()
    notes = (*material.notes, f"Compression edge: {bracing.text}.")
    f_b = bending_stress(M, section_modulus(piece.b, piece.d))
    if volume:
        factors["C_V_star"] = volume_factor_above_one(factors["C_V"])
    if bracing.C_L is not None:
        C_L = bracing.C_L
    else:
        without = ("C_L", "C_V", "C_fu")
        star = factors_for(material.applies, "Fb", factors, without=without, method=method)
        star += (factors["C_V_star"],) if volume else ()
        F_b_star = bending_value_for_stability(material.F_b, *star)
        R_B = slenderness_ratio(effective_length_of(bracing, piece.d), piece.d, piece.b)
        E_min_prime = adjusted_stability_modulus(
            material.E_min,
            *factors_for(material.applies, "E_min", piece.factors["E_min"], method=method),
        )
        C_L = beam_stability_factor(critical_buckling_value(E_min_prime, R_B), F_b_star)
        conditions = (
            Condition(
                "The slenderness ratio R_B is at most 50.",
                utilization(R_B, bracing.R_B_max),
                "NDS 2018 3.3.3.7",
            ),
        )
        if piece.built_up:
            notes += (
                "R_B takes the breadth of all plies: they must be fastened together so "
                "that they bend sideways as one.",
            )
    if volume:
        factors["C_L"] = stability_or_volume_factor(C_L, factors["C_V_star"], factors["C_V"])
        applied = factors_for(material.applies, "Fb", factors, without=("C_V",), method=method)
    else:
        factors["C_L"] = C_L
        applied = factors_for(material.applies, "Fb", factors, method=method)
    F_b_prime = adjusted_bending_value(material.F_b, *applied)
    return check(
        id,
        title,
        "NDS 2018 3.3",
        f_b,
        F_b_prime,
        cases=cases,
        conditions=conditions,
        questions=material.questions,
        notes=notes,
    )


def shear_check(
    id: str,
    piece: Piece,
    V: Any,
    time: Any,
    cases: tuple[str, ...] = (),
    *,
    title: str = "shear",
    near: str = "",
) -> Check:
    """Check shear along the grain.

    Parameters
    ----------
    id : str
    piece : Piece
    V : Value [lbf]
        Size of the largest shear, by case.
    time : Value
        C_D under ASD, lambda under LRFD, by case.
    cases : tuple of str
    title : str
    near : str
        What was done about loads near the supports; without it they are counted in full.

    Returns
    -------
    Check
    """
    material = piece.material
    given = {**piece.factors["Fv"], TIME_FACTOR[piece.method]: time}
    applied = factors_for(material.applies, "Fv", given, method=piece.method)
    full = "Loads within a depth of a support are counted in full; no notch."
    notes = (*material.notes, near or full)
    return check(
        id,
        title,
        "NDS 2018 3.4",
        shear_stress(V, piece.b, piece.d),
        adjusted_shear_value(material.F_v, *applied),
        cases=cases,
        questions=material.questions,
        notes=notes,
    )


def live_deflection_check(
    id: str,
    piece: Piece,
    Delta: Any,
    span: Any,
    n: Any,
    cases: tuple[str, ...] = (),
    *,
    clause: str = "IBC Table 1604.3",
    title: str = "deflection under live load",
) -> Check:
    """Check the deflection without dead load.

    Parameters
    ----------
    id : str
    piece : Piece
    Delta : Value [in]
        Size of the largest deflection in the span, by case.
    span : Value [in]
    n : Value
        Divisor of the limit: 360 for l/360.
    cases : tuple of str
    clause, title : str

    Returns
    -------
    Check
    """
    return check(
        id,
        title,
        clause,
        Delta,
        deflection_limit(span, n),
        cases=cases,
        questions=piece.material.questions,
        notes=(*piece.material.notes, "Dead load is not in it."),
    )


def total_deflection_check(
    id: str,
    piece: Piece,
    Delta_D: Any,
    Delta_st: Any,
    K: Any,
    span: Any,
    n: Any,
    rule: str,
    cases: tuple[str, ...] = (),
    *,
    clause: str = "IBC Table 1604.3",
    title: str = "deflection under total load",
) -> Check:
    """Check the deflection with dead load counted by a rule.

    Parameters
    ----------
    id : str
    piece : Piece
    Delta_D, Delta_st : Value [in]
        Deflection of dead load and of the other loads at one place, by case.
    K : Value
        Share of dead load, from `dead_load_share`.
    span : Value [in]
    n : Value
        Divisor of the limit: 240 for l/240.
    rule : str
        The rule from which K is, one of `DEAD_LOAD_RULES`; the check's note names it.
    cases : tuple of str
    clause, title : str

    Returns
    -------
    Check
    """
    share = K.at() if isinstance(K, Value) else None
    return check(
        id,
        title,
        clause,
        total_deflection(K, Delta_D, Delta_st),
        deflection_limit(span, n),
        cases=cases,
        questions=piece.material.questions,
        notes=(*piece.material.notes, share_note(share, rule)),
    )


@dataclass(frozen=True, eq=False, repr=False)
class Bearing:
    """A bearing check and the length that it asks for.

    Attributes
    ----------
    check : Check
    required_length : Value [in]
        By case, with C_b where it applies.
    required_without : Value [in]
        By case, with C_b = 1.
    """

    check: Check
    required_length: Any
    required_without: Any


def bearing_check(
    id: str,
    piece: Piece,
    R: Any,
    seat: Seat,
    support: Surface | None,
    cases: tuple[str, ...] = (),
    *,
    support_text: str = "",
    title: str = "bearing across the grain",
    width: Any = None,
) -> Bearing:
    """Check the bearing of a member, and of the wood that it bears on.

    Parameters
    ----------
    id : str
    piece : Piece
    R : Value [lbf]
        Reaction, by case, down positive.
    seat : Seat
    support : Surface or None
        Wood loaded across its grain; None when the support is stronger than the member's grain
        (end grain, steel), which `support_text` then says.
    cases : tuple of str
    support_text : str
        Why the support is not checked here; without it the check stays open.
    title : str
    width : Value, optional [in]
        In which the two touch; the member's full breadth when it is not given.

    Returns
    -------
    Bearing
    """
    material = piece.material
    own = piece.factors["Fc_perp"]
    questions = material.questions
    b = piece.b if width is None else width
    f_c_perp = bearing_stress(R, b, seat.l_b)
    C_b = seat.C_b if seat.l_end is None else bearing_area_factor(seat.l_b, seat.l_end)
    notes = (
        *material.notes,
        area_factor_note(seat, C_b),
        f"{TIME_WORDS[piece.method]} does not act across the grain.",
    )
    capacity = member_value = _own_value(piece, {**own, "C_b": C_b})
    if seat.l_end is None:
        required = without = required_bearing_length(R, b, member_value)
    else:
        plain = adjusted_bearing_value(
            material.F_c_perp,
            *factors_for(material.applies, "Fc_perp", own, without=("C_b",), method=piece.method),
        )
        without = required_bearing_length(R, b, plain)
        required = required_length_with_area_factor(without, seat.l_end)
    if support is not None:
        other = adjusted_plate_value(
            support.F_c_perp,
            *factors_for(support.applies, "Fc_perp", support.factors, method=piece.method),
        )
        capacity = weaker_bearing_value(member_value, other)
        for_support = required_plate_length(R, b, other)
        longer = longer_required_length(required, for_support)
        same = without is required
        without = longer if same else longer_required_length(without, for_support)
        required = longer
        questions += tuple(q for q in support.questions if q not in questions)
        notes += (
            governing_note(material.name, support.name, member_value, other),
            f"C_b of the support ({support.name}) is 1.0: it may end right beside the bearing.",
        )
    elif support_text:
        notes += (f"The member ({material.name}) governs: {support_text}.",)
    else:
        questions += ("What the member bears on was not said: its own capacity is not checked.",)
    made = check(
        id,
        title,
        "NDS 2018 3.10",
        f_c_perp,
        capacity,
        cases=cases,
        questions=questions,
        notes=notes,
    )
    return Bearing(made, required, without)


def _own_value(piece: Piece, factors: dict[str, Any]) -> Any:
    material = piece.material
    return adjusted_bearing_value(
        material.F_c_perp,
        *factors_for(material.applies, "Fc_perp", factors, method=piece.method),
    )
