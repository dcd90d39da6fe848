"""Load and resistance factor design: factors, the time effect, and where it agrees with ASD."""

from itertools import pairwise

import numpy as np
import pytest
from timber_leaves import given, size

from calclib import published
from calclib.errors import InputError, LookupMiss
from calclib.timber.bearing import adjusted_bearing_value
from calclib.timber.bending import adjusted_bending_value
from calclib.timber.column_checks import post_and_bending_check, post_check
from calclib.timber.columns import column_bracing, compression_value_for_stability
from calclib.timber.deflection import adjusted_modulus
from calclib.timber.factors import Service, factors_for, load_duration_factor
from calclib.timber.leaves import code_leaf
from calclib.timber.lrfd import (
    format_conversion_factor,
    resistance_factor,
    time_effect_factor,
    with_strength_factors,
)
from calclib.timber.materials import SAWN, sawn
from calclib.timber.notches import notch, notched_shear_check
from calclib.timber.piece import piece
from calclib.timber.posts import sawn_post, strength_post
from calclib.timber.shear import adjusted_shear_value
from calclib.timber.stability import adjusted_stability_modulus
from calclib.trace import leaves, numbers, walk

STRENGTHS = ("Fb", "Ft", "Fv", "Fc")
NAMES = tuple(row.text("combination") for row in published.rows("asce-7-16-2-3-1"))


def factor(number, symbol):
    return given(float(number), "", symbol)


def post(b=3.5, d=5.5):
    return sawn_post("DF-L", "No.2", *size(b, d), Service())


def held(l=96.0):  # noqa: E741
    return column_bracing(given(l, "in", "l_1"), given(l, "in", "l_2"))


def load(*sizes):
    return given(np.array(sizes, dtype=float), "lbf", "P")


def moment(*sizes, id="M_1"):
    return given(np.array(sizes, dtype=float), "lbf*in", id)


# ---- the factors


@pytest.mark.parametrize(
    ("property", "K_F", "phi"),
    # NDS 2018 Tables N1 and N2: K_F of F_b and F_v in solutions to a timber textbook, phi in
    # Missouri S&T CE 5260, Problem 4.17; the other K_F  # from memory
    [
        ("Fb", 2.54, 0.85),
        ("Ft", 2.70, 0.80),
        ("Fv", 2.88, 0.75),
        ("Fc", 2.40, 0.90),
        ("Fc_perp", 1.67, 0.90),
        ("E_min", 1.76, 0.85),
    ],
)
def test_format_conversion_and_resistance_factors(property, K_F, phi):
    """As printed."""
    assert format_conversion_factor(property).number == K_F
    assert resistance_factor(property).number == phi


def test_stiffness_has_no_strength_factors():
    """Deflection is the same in both methods."""
    with pytest.raises(LookupMiss, match='no property "E"'):
        format_conversion_factor("E")


@pytest.mark.parametrize(
    ("name", "expected"),
    list(zip(NAMES, [0.6, 0.8, 0.8, 0.8, 0.8], strict=True)),
)
def test_time_effect_of_each_combination(name, expected):
    """1.4D takes 0.6; those with live load, snow and roof live load take 0.8."""
    # NDS 2018 Table N3, extract of a timber text, section 4.16.
    assert time_effect_factor((name,)).number.tolist() == [expected]


@pytest.mark.parametrize(
    ("live_load", "expected"), [("occupancy", 0.8), ("storage", 0.7), ("impact", 1.25)]
)
def test_the_kind_of_live_load_counts_where_it_leads(live_load, expected):
    """0.7 for storage, 1.25 for impact; not where snow leads."""
    # NDS 2018 Table N3, extract of a timber text, section 4.16.
    lamda = time_effect_factor(
        ("1.2D + 1.6L + 0.5S", "1.2D + 1.6S + L"), live_load=live_load
    ).number

    assert lamda.tolist() == [expected, 0.8]


def test_the_pattern_of_live_load_does_not_change_the_time_effect():
    """And the edition of 2022 knows its own names."""
    lamda = time_effect_factor(("1.2D + 1.6L + 0.5S, live on main and 2", "1.4D"))
    newer = time_effect_factor(("1.2D + 1.0S + L", "1.2D + 1.6L + 0.3S"), edition="ASCE 7-22")

    assert lamda.number.tolist() == [0.8, 0.6]
    assert newer.number.tolist() == [0.8, 0.8]


def test_the_sentence_names_the_row():
    """A reader sees where lambda comes from."""
    lamda = time_effect_factor(("1.4D",))
    sentence = lamda.origin.function.say(lamda.origin, (lamda.number,), 0)

    assert sentence == "lambda of 1.4D is 0.6, by the row 1.4D, any."


@pytest.mark.parametrize(
    ("arguments", "more", "error", "words"),
    [
        ((), {}, InputError, "load cases: needs at least one"),
        (("1.4D",), {"edition": "ASCE 7-05"}, InputError, 'needs one of "ASCE 7-16", "ASCE 7-22"'),
        (("1.4D",), {"live_load": "crowd"}, InputError, 'needs one of "occupancy"'),
        (("D + L",), {}, LookupMiss, "no combination"),
        (("1.2D + 1.0S + L",), {}, LookupMiss, "no combination"),
    ],
)
def test_what_is_no_strength_combination_is_refused(arguments, more, error, words):
    """An ASD combination above all."""
    with pytest.raises(error, match=words):
        time_effect_factor(arguments, **more)


# ---- end to end


@pytest.mark.parametrize(
    ("property", "formula", "column", "expected"),
    [
        # 2x10 No.2 Douglas fir-larch, C_F 1.1 on F_b, lambda 0.8; values of Table 4A.
        ("Fb", adjusted_bending_value, "F_b", 900 * 1.1 * 2.54 * 0.85 * 0.8),
        ("Fv", adjusted_shear_value, "F_v", 180 * 2.88 * 0.75 * 0.8),
        ("Fc_perp", adjusted_bearing_value, "F_c_perp", 625 * 1.67 * 0.90),
        ("E", adjusted_modulus, "E", 1.6e6),
        ("E_min", adjusted_stability_modulus, "E_min", 580000 * 1.76 * 0.85),
    ],
)
def test_the_same_formula_serves_both_methods(property, formula, column, expected):
    """Only the list of factors differs, and it is data."""
    # NDS 2018 Tables 4.3.1, N1, N2, N3.
    member = piece(sawn("DF-L", "No.2", *size(1.5, 9.25)), Service())
    one = {symbol: code_leaf(1.0, symbol, f"test/{symbol}", symbol, "test")
           for symbol in ("C_L", "C_b", "C_P")}  # fmt: skip
    time = {"C_D": factor(1.15, "C_D"), "lambda": factor(0.8, "lamda")}
    known = {**with_strength_factors(member.factors)[property], **one, **time}
    reference = getattr(member.material, column)

    strength = formula(reference, *factors_for(SAWN, property, known, method="LRFD"))
    allowable = formula(reference, *factors_for(SAWN, property, known))

    assert strength.number == pytest.approx(expected, rel=1e-12)
    asd_only = {"Fb": 1.1 * 1.15, "Fv": 1.15, "Fc_perp": 1.0, "E": 1.0, "E_min": 1.0}[property]
    assert allowable.number == pytest.approx(reference.number * asd_only, rel=1e-12)


def test_strength_values_of_a_textbook():
    """F_b x 2.54 x 0.85 x 0.8 is 1.727 F_b, F_v x 2.88 x 0.75 x 0.8 is 1.728 F_v."""
    # K_F as solutions to a timber textbook print them.
    assert adjusted_bending_value(1.0, 2.54, 0.85, 0.8) == pytest.approx(1.72720)
    assert adjusted_shear_value(1.0, 2.88, 0.75, 0.8) == pytest.approx(1.728)


def test_a_factor_of_the_method_that_is_missing_is_named():
    """Without lambda there is no strength value."""
    member = piece(sawn("DF-L", "No.2", *size(1.5, 9.25)), Service())

    with pytest.raises(LookupMiss, match="Fv: needs the factor K_F, phi, lambda, got none"):
        factors_for(SAWN, "Fv", member.factors["Fv"], method="LRFD")


# ---- where the two agree


@pytest.mark.parametrize("property", STRENGTHS)
def test_both_methods_agree_at_the_load_that_they_are_calibrated_at(property):
    """Snow three times the dead load: 1.2D + 1.6S with lambda 0.8, D + S with C_D 1.15."""
    # ASTM D5457: K_F is set for that ratio of loads and two months  # from memory
    # 0.8 x 2.16 / 1.15 = 1.5026 against 1.2/4 + 1.6 x 3/4 = 1.5.
    K_F, phi = format_conversion_factor(property).number, resistance_factor(property).number
    strength = (1.2 * 1 + 1.6 * 3) / (0.8 * K_F * phi)
    allowable = (1 + 3) / 1.15

    # K_F is printed to three digits.
    assert strength == pytest.approx(allowable, rel=3e-3)


@pytest.mark.parametrize("property", ["Fc_perp", "E_min"])
def test_values_without_duration_agree_at_the_same_ratio(property):
    """1.5 on the load, 1.67 x 0.90 = 1.503 and 1.76 x 0.85 = 1.496 on the value."""
    # ASTM D5457: 1.5/phi  # from memory
    K_F, phi = format_conversion_factor(property).number, resistance_factor(property).number

    assert (1.2 * 1 + 1.6 * 3) / (K_F * phi) == pytest.approx(1 + 3, rel=3e-3)


@pytest.mark.parametrize("l", [24.0, 60.0, 96.0, 144.0])
def test_a_post_has_the_same_utilization_in_both_methods_there(l):  # noqa: E741
    """Stocky and slender, C_P with phi K_F on both of its parts."""
    D, S = 1000.0, 3000.0
    asd = post_check("x", post(), load(D + S), load_duration_factor(("D+S",)), held(l), ("D + S",))
    name = "1.2D + 1.6S + L"
    lrfd = post_check(
        "x", strength_post(post()), load(1.2 * D + 1.6 * S), time_effect_factor((name,)), held(l),
        (name,),
    )  # fmt: skip

    assert lrfd.worst == pytest.approx(asd.worst, rel=5e-3)


def test_a_bent_post_agrees_there_too():
    """Combined stresses, stress over value and stress over buckling value."""
    D, S = 800.0, 2400.0
    asd = post_and_bending_check(
        "x", post(), load(D + S), moment(D + S), moment(0, id="M_2"),
        load_duration_factor(("D+S",)), held(),
    )  # fmt: skip
    U = 1.2 * D + 1.6 * S
    lrfd = post_and_bending_check(
        "x", strength_post(post()), load(U), moment(U), moment(0, id="M_2"),
        time_effect_factor(("1.2D + 1.6S + L",)), held(),
    )  # fmt: skip

    assert lrfd.worst == pytest.approx(asd.worst, rel=5e-3)


def test_dead_load_alone_asks_for_more_in_lrfd_than_the_calibration():
    """1.4D with 0.6 against D with 0.9: 3 % apart, and the reason is in the two factors."""
    # 1.4 / (0.6 x 2.16) = 1.0802; 1 / 0.9 = 1.1111.
    K_F, phi = format_conversion_factor("Fc").number, resistance_factor("Fc").number

    assert 1.4 / (0.6 * K_F * phi) == pytest.approx(1.0802, abs=5e-4)
    assert 1 / 0.9 == pytest.approx(1.1111, abs=5e-5)


# ---- members


def test_a_strength_post_keeps_its_wood_and_its_stiffness():
    """K_F and phi come in; E and the reference values stay."""
    plain, strong = post(), strength_post(post())

    assert strong.method == "LRFD"
    assert "K_F" in strong.piece.factors["Fc"]
    assert "K_F" in strong.flat
    assert strong.piece.factors["E"].keys() == plain.piece.factors["E"].keys()
    assert "K_F" not in plain.piece.factors["Fc"]


def test_an_asd_factor_is_not_taken_for_a_time_effect():
    """C_D under LRFD would be named lambda only by mistake; F_c* shows which was used."""
    check = post_check(
        "x", strength_post(post()), load(1.0), time_effect_factor(("1.4D",)),
        column_bracing(None, None), ("1.4D",),
    )  # fmt: skip
    expected = compression_value_for_stability(1350.0, 1.1, 2.4, 0.9, 0.6)

    assert check.capacity.at(0) == pytest.approx(expected, rel=1e-12)


def test_a_notch_is_checked_by_lrfd():
    """The shear value with its three factors."""
    member = piece(sawn("DF-L", "No.2", *size(1.5, 9.25)), Service())
    strong = type(member)(
        member.b, member.d, member.material, member.service, with_strength_factors(member.factors)
    )
    made = notch(SAWN, given(1.5, "in", "b"), "tension", "end", given(1.0, "in", "a"))
    check = notched_shear_check(
        "x", strong, load(1.0), time_effect_factor(("1.4D",)), made, method="LRFD"
    )

    V_r = 2 / 3 * 180 * 2.88 * 0.75 * 0.6 * 1.5 * 8.25 * (8.25 / 9.25) ** 2
    assert check.capacity.at(0) == pytest.approx(V_r, rel=1e-12)


def test_strength_falls_with_slenderness_and_runs_on_plain_numbers():
    """The law holds in both methods."""
    lamda = time_effect_factor(("1.4D", "1.2D + 1.6L + 0.5S"))
    checks = [
        post_check("x", strength_post(post()), load(1.0, 1.0), lamda, held(l), ("a", "b"))
        for l in (24.0, 60.0, 96.0, 144.0)  # noqa: E741
    ]
    arguments = (strength_post(post()), load(1.0, 1.0), lamda, held(60.0))
    plain = post_check("x", *numbers(arguments))

    assert all(a > b for a, b in pairwise(check.capacity.at(1) for check in checks))
    assert plain.capacity.tolist() == pytest.approx(checks[1].capacity.number.tolist(), rel=1e-12)


def test_every_factor_of_a_bent_strength_post_has_an_id_of_its_own():
    """K_F and phi of bending, compression and stability stand beside each other."""
    check = post_and_bending_check(
        "x", strength_post(post()), load(1.0), moment(1.0), moment(0.0, id="M_2"),
        time_effect_factor(("1.4D",)), held(),
    )  # fmt: skip
    ratios = [check.ratio, *(condition.ratio for condition in check.conditions)]
    ids = {value.id for value in leaves(*ratios)}

    assert len(list(walk(*ratios))) > 40
    assert {f"nds-2018-n1/{name}/K_F" for name in ("Fb", "Fc", "E_min")} <= ids
