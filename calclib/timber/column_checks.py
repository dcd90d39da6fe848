"""The checks of posts, studs and packs: straight-line compositions, no numbers in them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from calclib.errors import InputError, message
from calclib.mechanics.section import area, section_modulus
from calclib.timber.bearing import (
    Surface,
    adjusted_bearing_value,
    adjusted_plate_value,
    bearing_stress,
    weaker_bearing_value,
)
from calclib.timber.bearing_other import end_bearing_stress, plate_threshold
from calclib.timber.bending import (
    adjusted_bending_value,
    bending_stress,
    bending_value_for_stability,
    stability_or_volume_factor,
    volume_factor_above_one,
)
from calclib.timber.built_up import (
    CLAUSES,
    Fastening,
    built_up_column_factor,
    built_up_slenderness,
    built_up_stability_factor,
    fastening_limits,
    fastening_note,
    lesser_built_up_factor,
    worst_fastening_ratio,
)
from calclib.timber.columns import (
    ColumnBracing,
    adjusted_compression_value,
    column_stability_factor,
    compression_stress,
    compression_value_for_stability,
    edgewise_buckling_value,
    edgewise_slenderness,
    effective_column_length,
    flatwise_buckling_value,
    flatwise_slenderness,
    governing_buckling_value,
)
from calclib.timber.combined import (
    bracket_side_load,
    compression_and_bending_ratio,
    compression_and_edgewise_bending_ratio,
    eccentric_bending_stress,
    eccentric_edgewise_ratio,
    eccentric_ratio,
    eccentric_stability_ratio,
    flatwise_stability_ratio,
    lowest_bracket_height,
)
from calclib.timber.factors import applicable, factors_for
from calclib.timber.lrfd import TIME_FACTOR
from calclib.timber.posts import Post
from calclib.timber.stability import (
    adjusted_stability_modulus,
    beam_stability_factor,
    critical_buckling_value,
    effective_length_of,
    slenderness_ratio,
)
from calclib.trace import (
    Check,
    Condition,
    Value,
    check,
    formula,
    leaf,
    utilization,
)
from calclib.units import inch


@dataclass(frozen=True, eq=False, repr=False)
class _Stability:
    """What buckling leaves of a post; None where it is held throughout."""

    F_cE1: Any
    F_cE2: Any
    conditions: tuple[Condition, ...]


def post_check(
    id: str,
    post: Post,
    P: Any,
    time: Any,
    bracing: ColumnBracing,
    cases: tuple[str, ...] = (),
    *,
    title: str = "compression along the grain",
) -> Check:
    """Check a solid post or a stud in compression, both axes.

    Parameters
    ----------
    id : str
    post : Post
    P : Value [lbf]
        Axial load, pressing positive, by case.
    time : Value
        C_D under ASD, lambda under LRFD, by case.
    bracing : ColumnBracing
    cases : tuple of str
    title : str

    Returns
    -------
    Check
        With the conditions on the slenderness of each axis that is not held throughout.

    Raises
    ------
    InputError
        For a pack of plies, whose fastening `built_up_post_check` asks for.
    """
    _require_solid(id, post)
    stability = _stability(post, bracing)
    material = post.piece.material
    return check(
        id,
        title,
        "NDS 2018 3.7",
        compression_stress(P, area(post.piece.b, post.piece.d)),
        _compression_value(post, time, bracing, stability),
        cases=cases,
        conditions=stability.conditions,
        questions=material.questions,
        notes=(*material.notes, f"The post is {bracing.text}."),
    )


def built_up_post_check(
    id: str,
    post: Post,
    P: Any,
    time: Any,
    bracing: ColumnBracing,
    fastening: Fastening,
    cases: tuple[str, ...] = (),
    *,
    title: str = "compression along the grain, built-up post",
) -> Check:
    """Check a pack of plies in compression, as a built-up column where its fastening allows it.

    Parameters
    ----------
    id : str
    post : Post
        With its number of plies.
    P : Value [lbf]
        Axial load, pressing positive, by case; the plies share it.
    time : Value
        C_D under ASD, lambda under LRFD, by case.
    bracing : ColumnBracing
    fastening : Fastening
    cases : tuple of str
    title : str

    Returns
    -------
    Check
        Its notes say whether the pack counts as a built-up column, and what its fastening lacks.

    Raises
    ------
    InputError
        For a post of one piece.

    Notes
    -----
    Valid for: plies of one size, full length, with faces in contact (15.3.1).
    Differs from the source: nothing.
    """
    if post.n is None:
        raise InputError(message(id, "the number of plies of a built-up post", "none"))
    material, section = post.piece.material, post.piece
    stability = _stability(post, bracing)
    notes = (*material.notes, f"The post is {bracing.text}.")
    conditions = stability.conditions
    if stability.F_cE2 is None:
        capacity = _compression_value(post, time, bracing, stability)
        notes += ("Held flatwise throughout, so the plies cannot slip (K_f is not needed).",)
    else:
        limits = fastening_limits(fastening, post.n, material.b, material.d)
        F_c_star = _compression_star(post, time)
        l_e2 = effective_column_length(bracing.K_e2, bracing.l_2)
        s_ply = flatwise_slenderness(l_e2, material.b)
        s_2 = flatwise_slenderness(l_e2, section.b)
        F_cE2_ply = flatwise_buckling_value(_flat_modulus(post), s_ply)
        F_cE_ply = (
            F_cE2_ply
            if stability.F_cE1 is None
            else governing_buckling_value(stability.F_cE1, F_cE2_ply)
        )
        C_P = column_stability_factor(F_cE_ply, F_c_star, post.c)
        s_governing = s_ply
        if not fastening.faults:
            q = worst_fastening_ratio(
                tuple(limit.text for limit in limits), *(limit.ratio for limit in limits)
            )
            C_Pf = built_up_stability_factor(stability.F_cE2, F_c_star, post.c, fastening.K_f)
            C_P1 = (
                bracing.C_P_held
                if stability.F_cE1 is None
                else column_stability_factor(stability.F_cE1, F_c_star, post.c)
            )
            C_Pb = lesser_built_up_factor(C_P1, C_Pf)
            C_P = built_up_column_factor(C_Pb, C_P, q, s_ply, bracing.s_max)
            s_governing = built_up_slenderness(s_2, s_ply, q)
        capacity = _compression_from(post, time, C_P)
        conditions = (
            *(each for each in conditions if each.text != FLATWISE_LIMIT),
            Condition(FLATWISE_LIMIT, utilization(s_governing, bracing.s_max), "NDS 2018 3.7.1.4"),
        )
        notes += (fastening_note(fastening, limits),)
    return check(
        id,
        title,
        f"NDS 2018 15.3, {CLAUSES[fastening.kind].removeprefix('NDS 2018 ')}",
        compression_stress(P, area(section.b, section.d)),
        capacity,
        cases=cases,
        conditions=conditions,
        questions=material.questions,
        notes=notes,
    )


def post_and_bending_check(
    id: str,
    post: Post,
    P: Any,
    M_1: Any,
    M_2: Any,
    time: Any,
    bracing: ColumnBracing,
    cases: tuple[str, ...] = (),
    *,
    title: str = "compression with bending",
) -> Check:
    """Check a solid post or stud in compression with bending.

    Parameters
    ----------
    id : str
    post : Post
    P : Value [lbf]
        Axial load, zero or more, by case.
    M_1 : Value [lbf in]
        Size of the moment edgewise, load on the narrow face, by case.
    M_2 : Value or None [lbf in]
        The same flatwise, load on the wide face; None, and only then, when the post is held
        flatwise throughout.
    time : Value
        C_D under ASD, lambda under LRFD, by case.
    bracing : ColumnBracing
    cases : tuple of str
    title : str

    Returns
    -------
    Check
        Its ratio is 2 or more where a stress reaches its critical buckling value, and the
        conditions say which.

    Raises
    ------
    InputError
        For a pack of plies, a post held edgewise throughout, or M_2 that does not fit the
        bracing.
    RangeError
        For a load that lifts in some case: NDS 2018 3.9.1 is for that.
    """
    _require_solid(id, post)
    bent = _bent(id, post, P, M_1, M_2, time, bracing)
    conditions = (
        *bent.stability.conditions,
        *bent.conditions,
        _below("f_c is less than F_cE1.", bent.f_c, bent.stability.F_cE1),
    )
    if M_2 is None:
        ratio = compression_and_edgewise_bending_ratio(
            bent.f_c, bent.F_c_prime, bent.f_b1, bent.F_b1_prime, bent.stability.F_cE1
        )
    else:
        ratio = compression_and_bending_ratio(
            bent.f_c,
            bent.F_c_prime,
            bent.f_b1,
            bent.F_b1_prime,
            bent.stability.F_cE1,
            bent.f_b2,
            bent.F_b2_prime,
            bent.stability.F_cE2,
            bent.F_bE,
        )
        conditions += (
            _below("f_c is less than F_cE2.", bent.f_c, bent.stability.F_cE2),
            _below("f_b1 is less than F_bE.", bent.f_b1, bent.F_bE),
            Condition(
                "f_c / F_cE2 + (f_b1 / F_bE)^2 is less than 1.",
                flatwise_stability_ratio(bent.f_c, bent.stability.F_cE2, bent.f_b1, bent.F_bE),
                "NDS 2018 3.9.2 Eq. 3.9-4",
            ),
        )
    return _ratio_check(id, title, "NDS 2018 3.9.2", post, ratio, bracing, cases, conditions)


def eccentric_post_check(
    id: str,
    post: Post,
    P: Any,
    e_1: Any,
    e_2: Any,
    M_1: Any,
    M_2: Any,
    time: Any,
    bracing: ColumnBracing,
    cases: tuple[str, ...] = (),
    *,
    title: str = "eccentric compression with bending",
) -> Check:
    """Check a solid post whose load stands beside its middle, perhaps with bending.

    Parameters
    ----------
    id : str
    post : Post
    P : Value [lbf]
        Axial load, zero or more, by case.
    e_1 : Value [in]
        Eccentricity edgewise, in the direction of the wide faces.
    e_2 : Value or None [in]
        Eccentricity flatwise; None, as M_2, when the post is held flatwise throughout.
    M_1 : Value [lbf in]
        Size of the moment of side loads edgewise, by case.
    M_2 : Value or None [lbf in]
        The same flatwise.
    time : Value
        C_D under ASD, lambda under LRFD, by case.
    bracing : ColumnBracing
    cases : tuple of str
    title : str

    Returns
    -------
    Check

    Raises
    ------
    InputError, RangeError
        As `post_and_bending_check` does.
    """
    _require_solid(id, post)
    if (e_2 is None) != (M_2 is None):
        raise InputError(message(id, "e_2 and M_2 together, or neither", "one of them"))
    bent = _bent(id, post, P, M_1, M_2, time, bracing)
    d_1, d_2 = post.piece.d, post.piece.b
    conditions = (
        *bent.stability.conditions,
        *bent.conditions,
        _below("f_c is less than F_cE1.", bent.f_c, bent.stability.F_cE1, "NDS 2018 15.4.1"),
    )
    if M_2 is None:
        ratio = eccentric_edgewise_ratio(
            bent.f_c, bent.F_c_prime, bent.f_b1, e_1, d_1, bent.F_b1_prime, bent.stability.F_cE1
        )
    else:
        ratio = eccentric_ratio(
            bent.f_c,
            bent.F_c_prime,
            bent.f_b1,
            e_1,
            d_1,
            bent.F_b1_prime,
            bent.stability.F_cE1,
            bent.f_b2,
            e_2,
            d_2,
            bent.F_b2_prime,
            bent.stability.F_cE2,
            bent.F_bE,
        )
        conditions += (
            _below("f_c is less than F_cE2.", bent.f_c, bent.stability.F_cE2, "NDS 2018 15.4.1"),
            _below(
                "The bending stress edgewise, eccentricity included, is less than F_bE.",
                eccentric_bending_stress(bent.f_c, bent.f_b1, e_1, d_1),
                bent.F_bE,
                "NDS 2018 15.4.1",
            ),
            Condition(
                "f_c / F_cE2 + ((f_b1 + f_c 6 e_1 / d_1) / F_bE)^2 is less than 1.",
                eccentric_stability_ratio(
                    bent.f_c, bent.stability.F_cE2, bent.f_b1, e_1, d_1, bent.F_bE
                ),
                "NDS 2018 15.4.1 Eq. 15.4-2",
            ),
        )
    return _ratio_check(id, title, "NDS 2018 15.4.1", post, ratio, bracing, cases, conditions)


@dataclass(frozen=True, eq=False, repr=False)
class Bracket:
    """The side load that stands for a bracket, and the condition of its rule.

    Attributes
    ----------
    P_s : Value [lbf]
        At mid-height; P acts in the middle of the column beside it.
    conditions : tuple of Condition
    """

    P_s: Any
    conditions: tuple[Condition, ...]


def bracket(P: Any, a: Any, l_p: Any, l: Any) -> Bracket:  # noqa: E741
    """Return the side load of a bracket in the upper quarter of a column.

    Parameters
    ----------
    P : Value [lbf]
    a : Value [in]
        From the load to the middle of the column.
    l_p : Value [in]
        Height of the bracket.
    l : Value [in]
        Length of the column.
    """
    return Bracket(
        bracket_side_load(P, a, l_p, l),
        (
            Condition(
                "The bracket is in the upper quarter of the column.",
                utilization(lowest_bracket_height(l), l_p),
                "NDS 2018 15.4.2",
            ),
            Condition("The bracket is on the column.", utilization(l_p, l), "NDS 2018 15.4.2"),
        ),
    )


def end_bearing_check(
    id: str,
    post: Post,
    P: Any,
    time: Any,
    cases: tuple[str, ...] = (),
    *,
    metal_plate: bool,
    title: str = "bearing along the grain",
    contact: tuple[Any, Any] | None = None,
) -> Check:
    """Check the end of a post that bears on its end grain.

    Parameters
    ----------
    id : str
    post : Post
    P : Value [lbf]
        By case.
    time : Value
        C_D under ASD, lambda under LRFD, by case.
    cases : tuple of str
    metal_plate : bool
        Whether a metal plate, or what is as strong and stiff, lies between the ends.
    title : str
    contact : (Value, Value), optional [in]
        Sides of the area in contact; the full section when it is not given.

    Returns
    -------
    Check
        Without a plate on the condition that the stress is at most three quarters of the value.

    Notes
    -----
    Valid for: ends cut square, the post held sideways at its end.
    Differs from the source: nothing.
    """
    material = post.piece.material
    F_c_star = _compression_star(post, time)
    f_c = end_bearing_stress(P, area(*(contact or (post.piece.b, post.piece.d))))
    conditions: tuple[Condition, ...] = ()
    note = "A metal plate spreads the load (NDS 2018 3.10.1.3)."
    if not metal_plate:
        note = "No metal plate is counted on."
        conditions = (
            Condition(
                "Without a metal plate the stress is at most 0.75 F_c*.",
                utilization(f_c, plate_threshold(F_c_star)),
                "NDS 2018 3.10.1.3",
            ),
        )
    return check(
        id,
        title,
        "NDS 2018 3.10.1",
        f_c,
        F_c_star,
        cases=cases,
        conditions=conditions,
        questions=material.questions,
        notes=(*material.notes, note),
    )


@formula("k", "", n="", source="mechanics, statics", valid={"n": (1.0, None)})
def share_of_a_ply(n):  # type: ignore[no-untyped-def]
    """Share of a pack's load that one of its plies carries.

    Parameters
    ----------
    n : float or array [dimensionless]
        Number of plies.

    Returns
    -------
    float or array [dimensionless]
        At most 1.

    Notes
    -----
    Valid for: plies of one size under a load that bears on all of them.
    Differs from the source: nothing.
    """
    return 1 / n


@formula("M", "lbf*in", P="lbf", source="statics", valid={"P": (None, None)})
def no_moment(P):  # type: ignore[no-untyped-def]
    """Moment of side loads on a post that has none.

    Parameters
    ----------
    P : float or array [lbf]
        Axial load, whose cases it shares.

    Returns
    -------
    float or array [lbf*in]
        Zero.

    Notes
    -----
    Valid for: posts without side loads.
    Differs from the source: nothing.
    """
    return P * (0 * inch)


def no_eccentricity() -> Value:
    """Return an eccentricity of zero flatwise, as a leaf."""
    return leaf(
        0.0, "in", "e_2", "practice/eccentricity flatwise", basis="chosen",
        title="eccentricity flatwise", note="the load is centered on the plies",
    )  # fmt: skip


def under_post_check(
    id: str,
    P: Any,
    width: Any,
    depth: Any,
    on: Surface,
    method: str,
    cases: tuple[str, ...] = (),
    *,
    title: str = "bearing on the wood below",
) -> Check:
    """Check the wood below the end of a post, which is pressed across its grain.

    Parameters
    ----------
    id : str
    P : Value [lbf]
        By case.
    width, depth : Value [in]
        Of the contact.
    on : Surface
    method : str
        "ASD" or "LRFD"; the factors of `on` are those of the method.
    cases : tuple of str
    title : str

    Returns
    -------
    Check

    Notes
    -----
    Valid for: ends cut square; the post stands within its support's length.
    Differs from the source: C_b is 1, which is less than the clause allows away from an end.
    """
    applied = factors_for(on.applies, "Fc_perp", on.factors, method=method)
    return check(
        id,
        title,
        "NDS 2018 3.10.2",
        bearing_stress(P, width, depth),
        adjusted_plate_value(on.F_c_perp, *applied),
        cases=cases,
        questions=on.questions,
        notes=(f"The wood below is {on.name}; C_b = 1.",),
    )


def pressed_woods_check(
    id: str,
    P: Any,
    width: Any,
    depth: Any,
    upper: Surface,
    lower: Surface,
    method: str,
    cases: tuple[str, ...] = (),
    *,
    title: str = "bearing between two woods",
    notes: tuple[str, ...] = (),
) -> Check:
    """Check two woods that lie on each other, both pressed across their grain.

    Parameters
    ----------
    id : str
    P : Value [lbf]
        By case.
    width, depth : Value [in]
        Of the contact.
    upper, lower : Surface
    method : str
        "ASD" or "LRFD"; the factors of both are those of the method.
    cases : tuple of str
    title : str
    notes : tuple of str

    Returns
    -------
    Check

    Notes
    -----
    Valid for: full contact; the lesser value governs, for one stress acts on both.
    Differs from the source: C_b is 1, which is less than the clause allows away from an end.
    """
    values = [
        value(on.F_c_perp, *factors_for(on.applies, "Fc_perp", on.factors, method=method))
        for value, on in ((adjusted_bearing_value, upper), (adjusted_plate_value, lower))
    ]
    questions = upper.questions + tuple(q for q in lower.questions if q not in upper.questions)
    note = f"The weaker of {upper.name} above and {lower.name} below governs; C_b = 1."
    return check(
        id,
        title,
        "NDS 2018 3.10.2",
        bearing_stress(P, width, depth),
        weaker_bearing_value(*values),
        cases=cases,
        questions=questions,
        notes=(note, *notes),
    )


EDGEWISE_LIMIT = "The slenderness ratio edgewise is within its limit."
FLATWISE_LIMIT = "The slenderness ratio flatwise is within its limit."


@dataclass(frozen=True, eq=False, repr=False)
class _Bent:
    """The stresses and values of a post that is pressed and bent."""

    f_c: Any
    F_c_prime: Any
    f_b1: Any
    F_b1_prime: Any
    F_bE: Any
    f_b2: Any
    F_b2_prime: Any
    stability: _Stability
    conditions: tuple[Condition, ...]


def _require_solid(id: str, post: Post) -> None:
    if post.n is not None:
        raise InputError(
            message(
                id,
                "a post of one piece",
                "a pack of plies",
                "Give its fastening to the check of built-up posts.",
            )
        )


def _modulus(post: Post, E_min: Any) -> Any:
    applies, factors = post.piece.material.applies, post.piece.factors["E_min"]
    return adjusted_stability_modulus(
        E_min, *factors_for(applies, "E_min", factors, method=post.method)
    )


def _flat_modulus(post: Post) -> Any:
    return _modulus(post, post.E_min_2)


def _stability(post: Post, bracing: ColumnBracing) -> _Stability:
    F_cE1 = F_cE2 = None
    conditions: tuple[Condition, ...] = ()
    if bracing.l_1 is not None:
        l_e1 = effective_column_length(bracing.K_e1, bracing.l_1)
        s_1 = edgewise_slenderness(l_e1, post.piece.d)
        F_cE1 = edgewise_buckling_value(_modulus(post, post.E_min_1), s_1)
        ratio = utilization(s_1, bracing.s_max)
        conditions += (Condition(EDGEWISE_LIMIT, ratio, "NDS 2018 3.7.1.4"),)
    if bracing.l_2 is not None:
        l_e2 = effective_column_length(bracing.K_e2, bracing.l_2)
        s_2 = flatwise_slenderness(l_e2, post.piece.b)
        F_cE2 = flatwise_buckling_value(_flat_modulus(post), s_2)
        ratio = utilization(s_2, bracing.s_max)
        conditions += (Condition(FLATWISE_LIMIT, ratio, "NDS 2018 3.7.1.4"),)
    return _Stability(F_cE1, F_cE2, conditions)


def _timed(post: Post, factors: dict[str, Any], time: Any) -> dict[str, Any]:
    return {**factors, TIME_FACTOR[post.method]: time}


def _compression_star(post: Post, time: Any) -> Any:
    material = post.piece.material
    given = _timed(post, post.piece.factors["Fc"], time)
    applied = factors_for(material.applies, "Fc", given, without=("C_P",), method=post.method)
    return compression_value_for_stability(material.F_c, *applied)


def _compression_from(post: Post, time: Any, C_P: Any) -> Any:
    material = post.piece.material
    given = _timed(post, {**post.piece.factors["Fc"], "C_P": C_P}, time)
    applied = factors_for(material.applies, "Fc", given, method=post.method)
    return adjusted_compression_value(material.F_c, *applied)


def _compression_value(post: Post, time: Any, bracing: ColumnBracing, stability: _Stability) -> Any:
    values = [F for F in (stability.F_cE1, stability.F_cE2) if F is not None]
    if not values:
        return _compression_from(post, time, bracing.C_P_held)
    F_cE = governing_buckling_value(*values) if len(values) > 1 else values[0]
    C_P = column_stability_factor(F_cE, _compression_star(post, time), post.c)
    return _compression_from(post, time, C_P)


def _bent(
    id: str,
    post: Post,
    P: Any,
    M_1: Any,
    M_2: Any,
    time: Any,
    bracing: ColumnBracing,
) -> _Bent:
    if bracing.l_1 is None:
        raise InputError(message(id, "the length over which the post can bend edgewise", "none"))
    if (M_2 is None) != (bracing.l_2 is None):
        raise InputError(
            message(
                id,
                "a moment flatwise where the post is not held flatwise throughout, and only there",
                "none" if M_2 is None else "a moment of a post that is held",
                "Write 0 for no moment.",
            )
        )
    section, stability = post.piece, _stability(post, bracing)
    material = section.material
    f_c = compression_stress(P, area(section.b, section.d))
    F_c_prime = _compression_value(post, time, bracing, stability)
    f_b1 = bending_stress(M_1, section_modulus(section.b, section.d))
    f_b2 = F_b2_prime = F_bE = None
    conditions: tuple[Condition, ...] = ()
    held = bracing.edge
    if held.C_L is not None:
        C_L = held.C_L
    else:
        R_B = slenderness_ratio(effective_length_of(held, section.d), section.d, section.b)
        # Sideways it buckles about its weak axis.
        F_bE = critical_buckling_value(_flat_modulus(post), R_B)
        C_L = beam_stability_factor(F_bE, _bending_star(post, time))
        conditions = (
            Condition(
                "The slenderness ratio R_B is at most 50.",
                utilization(R_B, held.R_B_max),
                "NDS 2018 3.3.3.7",
            ),
        )
    if M_2 is not None:
        f_b2 = bending_stress(M_2, section_modulus(section.d, section.b))
        given = _timed(post, post.flat, time)
        applied = factors_for(material.applies, "Fb", given, method=post.method)
        F_b2_prime = adjusted_bending_value(post.F_b2, *applied)
    return _Bent(
        f_c,
        F_c_prime,
        f_b1,
        _bending_value(post, time, C_L),
        F_bE,
        f_b2,
        F_b2_prime,
        stability,
        conditions,
    )


def _bending_factors(post: Post, time: Any) -> tuple[dict[str, Any], bool]:
    factors = _timed(post, post.piece.factors["Fb"], time)
    volume = "C_V" in applicable(post.piece.material.applies, "Fb")
    if volume:
        factors["C_V_star"] = volume_factor_above_one(factors["C_V"])
    return factors, volume


def _bending_star(post: Post, time: Any) -> Any:
    material = post.piece.material
    factors, volume = _bending_factors(post, time)
    without = ("C_L", "C_V", "C_fu")
    star = factors_for(material.applies, "Fb", factors, without=without, method=post.method)
    return bending_value_for_stability(
        material.F_b, *star, *((factors["C_V_star"],) if volume else ())
    )


def _bending_value(post: Post, time: Any, C_L: Any) -> Any:
    material = post.piece.material
    factors, volume = _bending_factors(post, time)
    without: tuple[str, ...] = ()
    if volume:
        C_L = stability_or_volume_factor(C_L, factors["C_V_star"], factors["C_V"])
        without = ("C_V",)
    factors["C_L"] = C_L
    applied = factors_for(material.applies, "Fb", factors, without=without, method=post.method)
    return adjusted_bending_value(material.F_b, *applied)


def _below(text: str, stress: Any, limit: Any, source: str = "NDS 2018 3.9.2") -> Condition:
    return Condition(text, utilization(stress, limit), source)


def _ratio_check(
    id: str,
    title: str,
    clause: str,
    post: Post,
    ratio: Any,
    bracing: ColumnBracing,
    cases: tuple[str, ...],
    conditions: tuple[Condition, ...],
) -> Check:
    material = post.piece.material
    return check(
        id,
        title,
        clause,
        ratio,
        bracing.u_max,
        cases=cases,
        conditions=conditions,
        questions=material.questions,
        notes=(*material.notes, f"The post is {bracing.text}."),
    )
