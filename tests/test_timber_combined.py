"""Compression, tension and eccentric load with bending; a negative amplifier is never a pass."""

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given as draw
from hypothesis import strategies as st
from timber_leaves import given, size

from calclib.errors import InputError, RangeError
from calclib.timber.column_checks import (
    bracket,
    eccentric_post_check,
    post_and_bending_check,
    post_check,
)
from calclib.timber.columns import column_bracing
from calclib.timber.combined import (
    bending_less_tension_ratio,
    bracket_side_load,
    compression_and_bending_ratio,
    compression_and_edgewise_bending_ratio,
    eccentric_bending_stress,
    eccentric_edgewise_ratio,
    eccentric_ratio,
    eccentric_stability_ratio,
    flatwise_stability_ratio,
    tension_and_bending_ratio,
)
from calclib.timber.factors import Service, load_duration_factor
from calclib.timber.posts import sawn_post
from calclib.timber.stability import braced_at, held_throughout
from calclib.trace import leaves, numbers

C_D = load_duration_factor(("D", "D+L"))
CASES = ("D", "D + L")
# Stresses and values of a plausible post [psi].
MILD = {
    "f_c": 200.0, "F_c_prime": 800.0, "f_b1": 300.0, "F_b1_prime": 1200.0, "F_cE1": 1500.0,
    "f_b2": 100.0, "F_b2_prime": 1300.0, "F_cE2": 900.0, "F_bE": 9000.0,
}  # fmt: skip


def load(*sizes):
    return given(np.array(sizes, dtype=float), "lbf", "P")


def moment(*sizes, id="M_1"):
    return given(np.array(sizes, dtype=float), "lbf*in", id)


def post(b=3.5, d=5.5, service=None):
    return sawn_post("DF-L", "No.2", *size(b, d), service or Service())


def held(l_1=96.0, l_2=96.0, **more):
    return column_bracing(
        given(l_1, "in", "l_1"), None if l_2 is None else given(l_2, "in", "l_2"), **more
    )


# ---- against the printed equations, written out by hand


def test_biaxial_ratio_is_the_printed_equation():
    """(f_c/F_c')^2 + f_b1/(F_b1'(1 - f_c/F_cE1)) + f_b2/(F_b2'(1 - f_c/F_cE2 - (f_b1/F_bE)^2))."""
    # NDS 2018 Eq. 3.9-3; no worked example was found whose numbers were all printed.
    axial = (200 / 800) ** 2
    edgewise = 300 / (1200 * (1 - 200 / 1500))
    flatwise = 100 / (1300 * (1 - 200 / 900 - (300 / 9000) ** 2))

    assert compression_and_bending_ratio(**MILD) == pytest.approx(
        axial + edgewise + flatwise, rel=1e-12
    )


def test_stability_ratio_is_the_printed_equation():
    """f_c/F_cE2 + (f_b1/F_bE)^2."""
    # NDS 2018 Eq. 3.9-4.
    assert flatwise_stability_ratio(200.0, 900.0, 300.0, 600.0) == pytest.approx(
        200 / 900 + 0.25, rel=1e-12
    )


def test_eccentric_ratio_is_the_printed_equation():
    """With 0.234 f_c/F_cE for the bow of the column."""
    # NDS 2018 Eq. 15.4-1, 15.4-2  # from memory
    more = {"e_1": 1.0, "d_1": 5.5, "e_2": 0.5, "d_2": 3.5}
    k_1, k_2 = 6 * 1.0 / 5.5, 6 * 0.5 / 3.5
    r = (300 + 200 * k_1) / 9000
    edgewise = (300 + 200 * k_1 * (1 + 0.234 * 200 / 1500)) / (1200 * (1 - 200 / 1500))
    flatwise = (100 + 200 * k_2 * (1 + 0.234 * 200 / 900 + 0.234 * r**2)) / (
        1300 * (1 - 200 / 900 - r**2)
    )

    assert eccentric_ratio(**MILD, **more) == pytest.approx(
        (200 / 800) ** 2 + edgewise + flatwise, rel=1e-12
    )
    assert eccentric_stability_ratio(200.0, 900.0, 300.0, 1.0, 5.5, 9000.0) == pytest.approx(
        200 / 900 + r**2, rel=1e-12
    )
    assert eccentric_bending_stress(200.0, 300.0, 1.0, 5.5) == pytest.approx(9000 * r, rel=1e-12)


@draw(st.floats(0, 800), st.floats(0, 1000), st.floats(0, 1000))
def test_without_eccentricity_both_clauses_agree(f_c, f_b1, f_b2):
    """Eq. 15.4-1 with e of zero is Eq. 3.9-3, everywhere, the guard included."""
    stresses = {**MILD, "f_c": f_c, "f_b1": f_b1, "f_b2": f_b2}
    straight = compression_and_bending_ratio(**stresses)
    none = {"e_1": 0.0, "d_1": 5.5, "e_2": 0.0, "d_2": 3.5}

    assert eccentric_ratio(**stresses, **none) == pytest.approx(straight, rel=1e-12)


@draw(st.floats(0, 2000), st.floats(0, 1000))
def test_the_edgewise_forms_are_the_full_ones_where_nothing_happens_flatwise(f_c, f_b1):
    """As F_cE2 and F_bE grow without bound."""
    values = {**MILD, "f_c": f_c, "f_b1": f_b1, "f_b2": 0.0, "F_cE2": 1e15, "F_bE": 1e15}
    short = {key: values[key] for key in ("f_c", "F_c_prime", "f_b1", "F_b1_prime", "F_cE1")}

    full = compression_and_bending_ratio(**values)
    assert compression_and_edgewise_bending_ratio(**short) == pytest.approx(full, rel=1e-9)
    eccentric = eccentric_ratio(**values, e_1=1.0, d_1=5.5, e_2=0.0, d_2=3.5)
    assert eccentric_edgewise_ratio(**short, e_1=1.0, d_1=5.5) == pytest.approx(eccentric, rel=1e-9)


def test_tension_with_bending_on_both_edges():
    """f_t/F_t' + f_b/F_b*, and (f_b - f_t)/F_b**."""
    # NDS 2018 Eq. 3.9-1, 3.9-2; the first as formula handbooks print it.
    assert tension_and_bending_ratio(200.0, 500.0, 300.0, 1000.0) == pytest.approx(0.7)
    assert bending_less_tension_ratio(900.0, 200.0, 1000.0) == pytest.approx(0.7)
    assert bending_less_tension_ratio(100.0, 200.0, 1000.0) < 0


def test_side_load_of_a_bracket():
    """3 P a l_p / l^2: 1000 lb at 6 in, 90 in up a post of 96 in."""
    # NDS 2018 15.4.2  # from memory
    assert bracket_side_load(1000.0, 6.0, 90.0, 96.0) == pytest.approx(3 * 1000 * 6 * 90 / 96**2)


def test_a_bracket_below_the_upper_quarter_fails_its_condition():
    """The rule holds from 72 in up a post of 96 in."""

    # NDS 2018 15.4.2  # from memory
    def conditions(l_p):
        made = bracket(given(1000.0, "lbf", "P"), given(6.0, "in", "a"), given(l_p, "in", "l_p"),
                       given(96.0, "in", "l"))  # fmt: skip
        return [condition.ratio.number <= 1 for condition in made.conditions]

    assert conditions(72.0) == [True, True]
    assert conditions(71.9) == [False, True]
    assert conditions(96.1) == [True, False]


# ---- a negative amplifier never reads as a pass

STRESS = st.one_of(st.floats(0, 1e4), st.sampled_from([0.0, 899.999999, 900.0, 1500.0, 1e9, 1e150]))


@draw(STRESS, STRESS, STRESS, st.floats(0, 1e4), st.floats(0, 1e4))
def test_beyond_a_critical_value_the_ratio_is_two_or_more(f_c, f_b1, f_b2, e_1, e_2):
    """Whichever of the three is reached, and whatever the rest."""
    stresses = {**MILD, "f_c": f_c, "f_b1": f_b1, "f_b2": f_b2}
    eccentric = {"e_1": e_1, "d_1": 5.5, "e_2": e_2, "d_2": 3.5}
    beyond = f_c >= 1500 or f_c / 900 + (f_b1 / 9000) ** 2 >= 1

    straight = compression_and_bending_ratio(**stresses)
    leaning = eccentric_ratio(**stresses, **eccentric)

    assert straight >= 0
    if beyond:
        assert straight >= 2
        assert leaning >= 2
    bent = (f_b1 + f_c * 6 * e_1 / 5.5) / 9000
    if f_c / 900 + bent**2 >= 1:
        assert leaning >= 2


@draw(STRESS, STRESS, STRESS)
def test_a_pass_means_that_every_critical_value_is_kept(f_c, f_b1, f_b2):
    """From the other side."""
    if compression_and_bending_ratio(**{**MILD, "f_c": f_c, "f_b1": f_b1, "f_b2": f_b2}) <= 1:
        assert f_c < 1500
        assert f_c < 900
        assert f_b1 < 9000
        assert f_c <= 800


def test_the_printed_expression_alone_would_pass_what_buckles():
    """Beyond F_cE1 its second term is negative: the trap that the guard is for."""
    f_c, f_b1 = 790.0, 600.0
    naked = (f_c / 800) ** 2 + f_b1 / (1200 * (1 - f_c / 400))
    guarded = compression_and_edgewise_bending_ratio(f_c, 800.0, f_b1, 1200.0, 400.0)

    assert naked < 1
    assert guarded >= 2


def test_arrays_take_the_guard_element_by_element():
    """One candidate buckles, one stands at the limit, one is sound; nothing warns."""
    f_c = np.array([950.0, 900.0, 200.0])
    found = compression_and_bending_ratio(**{**MILD, "f_c": f_c})

    assert (found[:2] >= 2).all()
    assert found[2] == pytest.approx(compression_and_bending_ratio(**MILD), rel=1e-12)


def test_the_ratio_grows_with_every_stress():
    """And never falls where it crosses into buckling."""
    for name in ("f_c", "f_b1", "f_b2"):
        ratios = [
            compression_and_bending_ratio(**{**MILD, name: x}) for x in np.linspace(0, 700, 50)
        ]
        assert all(a < b for a, b in pairwise(ratios)), name


@pytest.mark.parametrize("name", ["f_c", "f_b1", "f_b2"])
@pytest.mark.parametrize("number", [-1.0, math.nan, -math.inf])
def test_tension_and_no_number_are_refused(name, number):
    """NDS 2018 3.9.1 is for tension."""
    with pytest.raises(RangeError, match=f"{name} needs to be at least 0 psi"):
        compression_and_bending_ratio(**{**MILD, name: number})


@pytest.mark.parametrize(
    "name", ["F_c_prime", "F_b1_prime", "F_cE1", "F_b2_prime", "F_cE2", "F_bE"]
)
def test_a_value_of_nothing_is_refused(name):
    """A capacity of zero passes nothing."""
    with pytest.raises(RangeError, match=f"{name} needs to be above 0 psi"):
        compression_and_bending_ratio(**{**MILD, name: 0.0})


# ---- the checks


def test_a_sheathed_stud_in_compression_and_wind():
    """Against the numbers by hand: 2x6 No.2, 96 in, 1000 lb and 2000 lb in."""
    # NDS 2018 Eq. 3.7-1, 3.9-3; values of Table 4A  # from memory
    check = post_and_bending_check(
        "x", post(1.5), load(500, 1000), moment(1000, 2000), None, C_D, held(96, None), CASES
    )
    F_cE1 = 0.822 * 580000 / (96 / 5.5) ** 2
    star = 1350 * 1.1
    b = (1 + F_cE1 / star) / 1.6
    F_c = star * (b - math.sqrt(b**2 - F_cE1 / star / 0.8))
    f_c, f_b = 1000 / 8.25, 2000 / (1.5 * 5.5**2 / 6)

    expected = (f_c / F_c) ** 2 + f_b / (900 * 1.3 * (1 - f_c / F_cE1))
    assert check.ratio.at(1) == pytest.approx(expected, rel=1e-12)
    assert check.state == "passes"


def test_a_post_that_buckles_fails_with_the_condition_that_says_why():
    """A slender 4x6 whose stress passes F_cE2 is at 2 or more."""
    check = post_and_bending_check(
        "x", post(), load(100, 20000), moment(100, 100), moment(0, 0, id="M_2"), C_D,
        held(160, 160), CASES,
    )  # fmt: skip
    failed = [c.text for c in check.conditions if np.max(c.ratio.number) > 1]

    assert check.ratio.at(1) >= 2
    assert check.state == "fails"
    assert "f_c is less than F_cE2." in failed


def test_bending_never_helps_a_post():
    """The ratio with moments is not less than the square of that without."""
    axial = post_check("x", post(), load(2000, 6000), C_D, held(), CASES)
    for M_1, M_2 in ((0, 0), (3000, 0), (0, 3000), (3000, 3000)):
        bent = post_and_bending_check(
            "x", post(), load(2000, 6000), moment(M_1, M_1), moment(M_2, M_2, id="M_2"), C_D,
            held(), CASES,
        )  # fmt: skip
        squares = axial.ratio.number**2

        assert (bent.ratio.number >= squares - 1e-15).all()
        if not (M_1 or M_2):
            assert bent.ratio.number.tolist() == pytest.approx(squares.tolist(), rel=1e-12)


def test_a_square_post_does_not_care_which_way_it_is_bent():
    """But for C_L and the factor of stability, which the first axis has alone."""

    def ratio(M_1, M_2):
        return post_and_bending_check(
            "x", post(3.5, 3.5), load(0, 0), moment(0, M_1), moment(0, M_2, id="M_2"), C_D,
            held(24, 24), CASES,
        ).ratio.at(1)  # fmt: skip

    assert ratio(0, 2000) == pytest.approx(ratio(2000, 0), rel=5e-3)
    assert ratio(0, 2000) <= ratio(2000, 0)


def test_eccentricity_costs_and_none_costs_nothing():
    """One inch off the middle of a 4x6 under 6000 lb."""

    def ratio(e_1, e_2):
        return eccentric_post_check(
            "x", post(), load(2000, 6000), given(e_1, "in", "e_1"), given(e_2, "in", "e_2"),
            moment(0, 0), moment(0, 0, id="M_2"), C_D, held(), CASES,
        ).ratio.at(1)  # fmt: skip

    straight = post_and_bending_check(
        "x", post(), load(2000, 6000), moment(0, 0), moment(0, 0, id="M_2"), C_D, held(), CASES
    ).ratio.at(1)
    assert ratio(0.0, 0.0) == pytest.approx(straight, rel=1e-12)
    assert ratio(1.0, 0.0) > straight
    assert ratio(0.0, 1.0) > ratio(1.0, 0.0)


def test_a_sheathed_post_takes_eccentricity_edgewise_only():
    """A hanger on the narrow face of a stud pack."""
    check = eccentric_post_check(
        "x", post(), load(1000, 3000), given(2.75, "in", "e_1"), None, moment(0, 0), None, C_D,
        held(96, None), CASES,
    )  # fmt: skip

    assert check.clause == "NDS 2018 15.4.1"
    assert 0 < check.worst < 1
    with pytest.raises(InputError, match="e_2 and M_2 together, or neither"):
        eccentric_post_check(
            "x", post(), load(1, 1), given(1.0, "in", "e_1"), given(1.0, "in", "e_2"),
            moment(0, 0), None, C_D, held(96, None), CASES,
        )  # fmt: skip


def test_moisture_and_heat_raise_the_ratio():
    """Wet, then hot."""
    ratios = [
        post_and_bending_check(
            "x", post(service=s), load(1000, 4000), moment(500, 1000), moment(0, 500, id="M_2"),
            C_D, held(), CASES,
        ).ratio.at(1)
        for s in (Service(), Service("wet"), Service("wet", "125 to 150 F"))
    ]  # fmt: skip

    assert all(a < b for a, b in pairwise(ratios))


def test_a_lifting_load_is_refused_with_its_limit():
    """It would lessen the bending by an amplifier above 1."""
    with pytest.raises(RangeError, match="f_c needs to be at least 0 psi"):
        post_and_bending_check(
            "x", post(), load(-100, 1000), moment(1, 1), moment(0, 0, id="M_2"), C_D, held(), CASES
        )


def test_moment_and_bracing_must_fit():
    """A post held flatwise takes no moment flatwise, another one says that it has none."""
    for M_2, l_2 in ((None, 96.0), (moment(0, 0, id="M_2"), None)):
        with pytest.raises(InputError, match="Write 0 for no moment"):
            post_and_bending_check(
                "x", post(), load(1, 1), moment(1, 1), M_2, C_D, held(96, l_2), CASES
            )


def test_an_edge_cannot_be_held_where_the_column_is_not():
    """The two say opposite things of one face."""
    with pytest.raises(InputError, match="is held flatwise too"):
        held(96, 96, edge=held_throughout())


def test_the_edge_may_be_held_at_other_points_than_the_column():
    """A longer unbraced edge lowers C_L."""
    near, far = (
        post_and_bending_check(
            "x", post(1.5), load(10, 10), moment(1000, 1000), moment(0, 0, id="M_2"), C_D,
            held(96, 48, edge=braced_at(given(l_u, "in", "l_u"))), CASES,
        )
        for l_u in (48.0, 96.0)
    )  # fmt: skip

    assert near.ratio.at(1) < far.ratio.at(1)


def test_the_check_runs_on_arrays_as_on_values_and_can_be_walked():
    """Three kinds of evidence in one."""
    arguments = (post(), load(2000, 6000), moment(500, 1000), moment(0, 500, id="M_2"), C_D, held())
    traced = post_and_bending_check("x", *arguments, CASES)
    plain = post_and_bending_check("x", *numbers(arguments))
    ids = {value.id for value in leaves(traced.ratio)}

    assert plain.ratio.tolist() == pytest.approx(traced.ratio.number.tolist(), rel=1e-12)
    assert {"test/P", "test/M_1", "test/M_2", "nds-2018-3-7-1/sawn lumber/c"} <= ids
