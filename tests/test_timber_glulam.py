"""Glulam: both axes, the volume factor, wet service and the worked numbers of a course."""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given as draw
from hypothesis import strategies as st
from timber_leaves import given, size

from calclib import published
from calclib.errors import InputError, LookupMiss, RangeError
from calclib.timber.bearing import end_seat
from calclib.timber.bending import adjusted_bending_value
from calclib.timber.checks import bearing_check, bending_check, shear_check
from calclib.timber.columns import adjusted_compression_value
from calclib.timber.deflection import adjusted_modulus
from calclib.timber.factors import Service, factors_for, load_duration_factor
from calclib.timber.glulam import (
    GLULAM_TABLE,
    glulam,
    glulam_flat_use_factor,
    glulam_piece,
    glulam_volume_factor,
    shear_reduction_factor,
)
from calclib.timber.materials import sawn
from calclib.timber.piece import modulus
from calclib.timber.shear import adjusted_shear_value
from calclib.timber.stability import braced_at, held_throughout
from calclib.trace import leaves, numbers, program, walk
from calclib.units import ft

DRY, WET = Service(), Service("wet")
SNOW = load_duration_factor(("D+S",))


def beam(name="24F-1.8E", b=5.125, d=18.0, L=240.0, **more):
    return glulam(name, *size(b, d), given(L, "in", "L"), **more)


def moment(number):
    return given(np.array([float(number)]), "lbf*in", "M")


def force(number, symbol="V"):
    return given(np.array([float(number)]), "lbf", symbol)


# ---- worked numbers


def test_volume_factor_of_the_published_beam():
    """Southern pine 5 by 19-1/4 in on 20 ft, root 20: 0.9802."""
    # Missouri S&T CE 5260, Problem 6.15; id MST-6.15a.
    assert round(glulam_volume_factor(20 * ft, 19.25, 5.0, 20.0), 4) == 0.9802


def test_values_about_the_y_axis_of_the_published_beam():
    """24F-1.8E, 5-1/8 in, snow: F_by' 1834, F_vy' 265 (264.5) and F_c' 1840 psi."""
    # Missouri S&T CE 5260, Problem 5.15; ids MST-5.15a, MST-5.15b, MST-5.15c.
    y = beam().y
    C_fu = published.find("nds-2018-5a-flat", d_y_in=5.125).number("C_fu")

    assert C_fu == round(glulam_flat_use_factor(5.125), 2)
    assert round(adjusted_bending_value(y.F_b.number, 1.15, C_fu)) == 1834
    # 230 x 1.15 is 264.5, printed as 265.
    assert adjusted_shear_value(y.F_v.number, 1.15) == pytest.approx(264.5, rel=1e-12)
    assert round(adjusted_compression_value(y.F_c.number, 1.15)) == 1840


def test_wet_modulus_of_the_published_beam():
    """1,700,000 psi x 0.833 = 1,416,000 psi; C_M for F_b is 0.80, where that page once has .87."""
    # Missouri S&T CE 5260, Problem 6.15; id MST-6.15c: a slip of its own page on F_b.
    wet = glulam_piece(beam("24F-1.7E").x, WET)

    assert round(adjusted_modulus(1.7e6, wet.factors["E"]["C_M"].number), -3) == 1416000
    assert round(modulus(wet).number, -3) == 1416000
    assert wet.factors["Fb"]["C_M"].number == 0.8


def test_wet_service_weakens_glulam_more_than_lumber():
    """F_b 0.8, F_t 0.8, F_v 0.875, F_c perpendicular 0.53, F_c 0.73, E 0.833."""
    # Missouri S&T CE 5260, Problem 5.13; Merritt, Building Design & Construction Handbook, 10.6.
    factors = glulam_piece(beam().x, WET).factors
    found = [factors[name]["C_M"].number for name in ("Fb", "Ft", "Fv", "Fc_perp", "Fc", "E")]

    assert found == [0.8, 0.8, 0.875, 0.53, 0.73, 0.833]


# ---- the two axes


def test_each_axis_has_its_own_values():
    """24F-1.8E: 2400, 1450 and 1450 psi; E 1.8 and 1.6 million psi."""
    # NDS Supplement 2018 Table 5A, as Missouri S&T CE 5260, Problem 5.15, prints it.
    made = numbers(beam())

    assert (made.x.F_b, made.x_negative.F_b, made.y.F_b) == (2400, 1450, 1450)
    assert (made.x.F_v, made.y.F_v) == (265, 230)
    assert (made.x.E, made.y.E) == (1.8e6, 1.6e6)
    assert (made.x.F_c_perp, made.y.F_c_perp) == (650, 560)


def test_a_beam_buckles_sideways_with_the_modulus_of_the_other_axis():
    """C_L of bending about x takes E_y,min."""
    # Missouri S&T CE 5260, Problem 6.16: the rule.
    made = beam()

    assert made.x.E_min is made.E_y_min
    assert made.y.E_min is made.E_x_min


def test_the_row_of_table_5b_gives_both_axes():
    """Combination 2: F_bx 1700, F_by 1800, F_c 1950 psi, E 1.6 million psi."""
    # Textbook appendix reproducing NDS Supplement Table 5B (2012 or later).
    made = numbers(beam("combination 2", d=12.0, laminations=8))

    assert (made.x.F_b, made.y.F_b, made.x.F_c, made.x.E) == (1700, 1800, 1950, 1.6e6)


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ({"d": 12.0}, "4 laminations or more"),
        ({"d": 12.0, "laminations": 3}, "4 laminations or more"),
        ({"d": 16.5, "laminations": 11}, "a depth up to 15 in"),
    ],
)
def test_what_table_5b_does_not_print_is_refused(more, words):
    """Fewer than four laminations, and F_bx over 15 in."""
    with pytest.raises(InputError, match=words):
        beam("combination 2", **more)


def test_a_strange_class_names_what_is_near():
    """And a beam on its side is refused."""
    with pytest.raises(LookupMiss, match=r'Did you mean "24F-1\.8E"'):
        beam("24F-2.0E")
    with pytest.raises(RangeError, match="Turn the piece"):
        beam(b=18.0, d=5.125)


# ---- the volume factor


@draw(st.floats(12, 1000), st.floats(3, 60), st.floats(2, 12), st.sampled_from([10.0, 20.0]))
def test_volume_factor_is_at_most_one_and_falls_with_each_size(L, d, b, x):
    """Longer, deeper and wider beams are not stronger per volume."""
    C_V = glulam_volume_factor(L, d, b, x)

    assert 0 < C_V <= 1
    assert glulam_volume_factor(1.1 * L, d, b, x) <= C_V
    assert glulam_volume_factor(L, 1.1 * d, b, x) <= C_V
    assert glulam_volume_factor(L, d, 1.1 * b, x) <= C_V


def test_a_beam_of_the_standard_volume_has_a_factor_of_one():
    """21 ft, 12 in, 5-1/8 in; wider than 10-3/4 in counts as that."""
    # NDS 2018 5.3.6.
    assert glulam_volume_factor(21 * ft, 12.0, 5.125, 10.0) == 1
    assert glulam_volume_factor(400.0, 24.0, 12.25, 10.0) == glulam_volume_factor(
        400.0, 24.0, 10.75, 10.0
    )


@pytest.mark.parametrize(("l_u", "governs"), [(12.0, "C_V"), (238.0, "C_L")])
def test_the_lesser_of_stability_and_volume_acts(l_u, governs):
    """Never both."""
    # NDS 2018 5.3.6.
    made = beam(b=3.125, d=24.0)
    piece = glulam_piece(made.x, DRY)
    free = bending_check("x", piece, moment(1), SNOW, held_throughout(), ("D + S",))
    braced = bending_check("x", piece, moment(1), SNOW, braced_at(given(l_u, "in", "l_u")), ("s",))
    C_V = made.x.C_V.number

    assert free.capacity.at(0) == pytest.approx(2400 * 1.15 * C_V, rel=1e-12)
    same = braced.capacity.at(0) == pytest.approx(free.capacity.at(0), rel=1e-12)
    assert same == (governs == "C_V")
    assert braced.capacity.at(0) <= free.capacity.at(0)


def test_the_bending_value_of_a_braced_beam_by_hand():
    """F_b* leaves C_V out; C_L from E_y,min."""
    # NDS 2018 3.3.3.8, 5.3.6; values of Table 5A.
    piece = glulam_piece(beam(b=3.125, d=24.0).x, DRY)
    check = bending_check("x", piece, moment(1), SNOW, braced_at(given(238.0, "in", "l_u")), ("s",))
    l_e = 1.63 * 238 + 3 * 24
    R_B2 = l_e * 24 / 3.125**2
    ratio = 1.2 * 850000 / R_B2 / (2400 * 1.15)
    beta = (1 + ratio) / 1.9
    C_L = beta - (beta**2 - ratio / 0.95) ** 0.5

    assert 238 / 24 < 14.3
    assert check.capacity.at(0) == pytest.approx(2400 * 1.15 * C_L, rel=1e-12)


# ---- checks


def test_bending_about_the_y_axis_takes_the_other_depth():
    """5-1/8 in deep, 18 in broad, C_fu 1.10, no volume factor."""
    piece = glulam_piece(beam().y, DRY)
    check = bending_check("x", piece, moment(1000), SNOW, held_throughout(), ("s",))

    assert check.demand.at(0) == pytest.approx(1000 / (18 * 5.125**2 / 6), rel=1e-12)
    assert check.capacity.at(0) == pytest.approx(1450 * 1.15 * (12 / 5.125) ** (1 / 9), rel=1e-12)


def test_shear_is_reduced_where_the_member_is_weakened():
    """C_vr 0.72 on F_vx, and not on F_vy."""
    # NDS 2018 5.3.10  # from memory
    plain, weak = (
        shear_check("x", glulam_piece(beam().x, DRY, weakened=w), force(1), SNOW).capacity.at(0)
        for w in (False, True)
    )
    side = shear_check("x", glulam_piece(beam().y, DRY, weakened=True), force(1), SNOW)

    assert weak == pytest.approx(0.72 * plain, rel=1e-12)
    assert side.capacity.at(0) == pytest.approx(230 * 1.15, rel=1e-12)
    assert shear_reduction_factor().number == 1


def test_bearing_of_glulam():
    """650 psi dry, 0.53 of it wet; no C_D."""
    # NDS Supplement Table 5A.
    seat = end_seat(given(3.0, "in", "l_b"))
    values = [
        bearing_check(
            "x", glulam_piece(beam().x, service), force(1, "R"), seat, None, support_text="steel"
        ).check.capacity.number
        for service in (DRY, WET)
    ]

    assert values == [650, pytest.approx(0.53 * 650)]


def test_capacity_falls_with_moisture_and_heat():
    """And a wet beam's every factor can be walked to its own leaf."""
    services = [DRY, WET, Service("wet", "100 to 125 F"), Service("wet", "125 to 150 F")]
    bracing = braced_at(given(100.0, "in", "l_u"))
    checks = [bending_check("x", glulam_piece(beam().x, s), moment(1), SNOW, bracing, ("s",))
              for s in services]  # fmt: skip

    assert all(a > b for a, b in pairwise(check.capacity.at(0) for check in checks))
    assert len(list(walk(*(check.ratio for check in checks[1:2])))) > 20


def test_no_factor_for_size_and_repetition():
    """Table 5.3.1 holds neither C_F nor C_r."""
    # NDS 2018 Table 5.3.1  # from memory
    given_ = {**glulam_piece(beam().x, DRY).factors["Fb"], "C_D": 1.0, "C_L": 1.0}

    assert len(factors_for(GLULAM_TABLE, "Fb", given_)) == 8


def test_incised_glulam_and_other_woods_are_refused():
    """No table has a factor; sawn lumber has its own way."""
    with pytest.raises(InputError, match="glulam: needs no incising"):
        glulam_piece(beam().x, Service(incised=True))
    with pytest.raises(InputError, match='needs glulam, got "dimension lumber"'):
        glulam_piece(sawn("DF-L", "No.2", *size(1.5, 9.25)), DRY)


def test_a_break_point_on_the_depth_goes_through_the_volume_factor():
    """The traced depth runs through C_V and stress as a fresh beam does."""

    def ratio(d):
        made = glulam("24F-1.8E", given(5.125, "in", "b"), d, given(240.0, "in", "L"))
        check = bending_check("x", glulam_piece(made.x, DRY), moment(5e5), SNOW, held_throughout())
        return check.ratio

    d = given(18.0, "in", "d")
    run = program(d, [ratio(d)])

    for depth in (9.0, 12.0, 15.0, 24.0, 36.0):
        assert run(depth)[0] == pytest.approx(ratio(given(depth, "in", "d")).number, rel=1e-12)


def test_a_value_from_memory_says_so():
    """F_bx of 24F-1.8E was read in print, its E_min was not."""
    check = bending_check(
        "x",
        glulam_piece(beam().x, DRY),
        moment(1),
        SNOW,
        braced_at(given(200.0, "in", "l_u")),
        ("s",),
    )
    known = {value.id: value.origin.verified for value in leaves(check.ratio)}

    assert known["nds-2018-5a/24F-1.8E/F_bx_pos"]
    assert not known["nds-2018-5a/24F-1.8E/E_y_min"]
