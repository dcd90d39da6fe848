"""Snow, roof live load and the reduction of live load."""

from __future__ import annotations

import math

import pytest

from calclib.errors import InputError
from calclib.loads import case_set
from calclib.loads.combinations import Group
from calclib.loads.reduction import (
    element_factor,
    live_load_share,
    roof_live_load,
    roof_reduction_by_area,
    roof_reduction_by_slope,
)
from calclib.loads.snow import drift_height, flat_roof_snow, roof_snow, snow_density
from calclib.trace import leaf
from calclib.units import ft, pcf, psf


def snow(edition="ASCE 7-16", p_g=40.0, rise=6.0, W=14.0, **words):
    def number(value, unit, symbol):
        return leaf(value, unit, symbol, symbol, title=symbol, basis="assumed")

    given = {"terrain": "B", "exposure": "partially exposed", "thermal": "heated",
             "risk_category": "II", "slippery": False} | words  # fmt: skip
    return roof_snow(
        edition, number(p_g * psf, "psf", "p_g"), number(rise / 12, "", "m_r"),
        number(W * ft, "ft", "W"), **given,
    )  # fmt: skip


def test_a_flat_roof_of_an_ordinary_house_keeps_seven_tenths():
    # ASCE 7-16 Eq. 7.3-1 with all factors 1: 0.7 x 40 psf.
    assert flat_roof_snow(1.0, 1.0, 1.0, 40 * psf) == pytest.approx(28 * psf)
    assert snow().balanced.at() == pytest.approx(28 * psf)


def test_a_low_slope_has_a_minimum():
    # ASCE 7-16 7.3.4, from memory: I_s p_g up to 20 psf, 20 I_s beyond it.
    assert snow(p_g=20.0, rise=1.0).balanced.at() == pytest.approx(20 * psf)
    assert snow(p_g=25.0, rise=1.0).balanced.at() == pytest.approx(20 * psf)
    assert snow(p_g=50.0, rise=1.0).balanced.at() == pytest.approx(35 * psf)
    # Above 15 degrees there is none.
    assert snow(p_g=20.0, rise=4.0).balanced.at() == pytest.approx(14 * psf)


def test_a_steep_slope_keeps_less_and_a_slippery_one_less_again():
    # ASCE 7-16 Fig. 7.4-1a, from memory: 1 up to 30 degrees, none at 70, straight between.
    rise = 12 * math.tan(math.radians(50))
    assert snow(rise=rise).balanced.at() == pytest.approx(28 * psf * 0.5)
    # 5 to 70 degrees on a slippery warm roof.
    steep = 12 * math.tan(math.radians(37.5))
    assert snow(rise=steep, slippery=True).balanced.at() == pytest.approx(28 * psf * 0.5)


def test_a_narrow_gable_has_all_the_ground_snow_on_its_leeward_slope():
    found = snow()

    # ASCE 7-16 7.6.1, from memory: W <= 20 ft, I_s p_g leeward, none windward.
    assert found.leeward.at() == pytest.approx(40 * psf)
    assert found.windward is None


def test_a_wide_gable_has_a_drift_behind_its_ridge():
    found = snow(W=30.0)

    # By hand: h_d = 0.43 x 30^(1/3) x 50^(1/4) - 1.5 = 2.053 ft; gamma = 19.2 pcf.
    assert drift_height(30 * ft, 40 * psf, 1.0) == pytest.approx(2.053 * ft, rel=5e-4)
    assert snow_density(40 * psf) == pytest.approx(19.2 * pcf)
    assert found.windward.at() == pytest.approx(0.3 * 28 * psf)
    assert found.leeward.at() == pytest.approx((28 + 2.053 * 19.2 * 0.5**0.5) * psf, rel=5e-4)


@pytest.mark.parametrize("rise", [0.4, 7.5])
def test_outside_its_slopes_snow_is_not_unbalanced(rise):
    # ASCE 7-16 7.6.1, from memory: from 1/2 on 12 to 7 on 12.
    assert snow(rise=rise).leeward is None


def test_the_later_maps_hold_the_importance():
    found = snow("ASCE 7-22", risk_category="IV")

    # ASCE 7-22 7.3, from memory: no importance factor; the minimum grows to 40 psf.
    assert found.balanced.at() == pytest.approx(28 * psf)
    assert snow("ASCE 7-22", p_g=80.0, rise=1.0).balanced.at() == pytest.approx(56 * psf)
    assert snow("ASCE 7-22", p_g=28.0, rise=1.0).balanced.at() == pytest.approx(28 * psf)
    with pytest.raises(InputError, match="at most 20 ft from eave to ridge"):
        snow("ASCE 7-22", W=25.0)


def test_maps_and_load_factors_go_together():
    """Snow of the 2022 maps is a strength-level load: 0.7 in ASD, 1.0 in LRFD."""
    groups = [Group("D"), Group("S")]

    def most(edition, method):
        cases = case_set(edition, groups, ["a"], method=method)
        return float(cases.factors[1].number.max())

    # ASCE 7-16 and 7-22, 2.3.1 and 2.4.1; from memory.
    assert [most(e, m) for e in ("ASCE 7-16", "ASCE 7-22") for m in ("ASD", "LRFD")] == [
        1.0, 1.6, 0.7, 1.0,
    ]  # fmt: skip


def test_snow_lies_in_one_way_at_a_time():
    groups = [Group("D"), Group("S"), Group("S", "drifted north"), Group("S", "drifted south")]

    cases = case_set("ASCE 7-16", groups, ["a"])

    assert cases.names == ("D", "D + S", "D + S, drifted north", "D + S, drifted south")
    for case in range(1, 4):
        assert sum(factor.at(case) for factor in cases.factors[1:]) == 1.0


def test_live_load_falls_with_the_area_carried():
    # ASCE 7-16 Eq. 4.7-1: 0.25 + 15/sqrt(K_LL A_T); nothing below 400 ft2; 0.5 at least.
    assert live_load_share(2.0, 199 * ft**2, 0.5) == 1.0
    assert live_load_share(2.0, 200 * ft**2, 0.5) == pytest.approx(1.0)
    assert live_load_share(2.0, 450 * ft**2, 0.5) == pytest.approx(0.25 + 15 / 30)
    assert live_load_share(4.0, 5000 * ft**2, 0.4) == pytest.approx(0.4)
    # NYC Building Code Table 1607.11.1: interior beams 2, columns 4.
    assert [element_factor(e).at() for e in ("interior beam", "interior column")] == [2, 4]


def test_roof_live_load_falls_to_twelve_psf():
    # ASCE 7-16 4.8.2, from memory: R_1 = 1.2 - 0.001 A_t from 200 to 600 ft2; R_2 = 1.2 - 0.05 F.
    assert roof_reduction_by_area(150 * ft**2) == 1.0
    assert roof_reduction_by_area(400 * ft**2) == pytest.approx(0.8)
    assert roof_reduction_by_area(900 * ft**2) == 0.6
    assert roof_reduction_by_slope(8 / 12) == pytest.approx(0.8)
    assert roof_live_load(20 * psf, 0.8, 1.0) == pytest.approx(16 * psf)
    assert roof_live_load(20 * psf, 0.6, 0.6) == pytest.approx(12 * psf)


@pytest.mark.parametrize("rise", [1.0, 4.0, 6.0, 9.0, 14.0])
def test_more_snow_on_the_ground_is_more_on_the_roof(rise):
    loads = [snow(p_g=p_g, rise=rise).balanced.at() for p_g in (10, 20, 21, 40, 80)]

    assert loads == sorted(loads)
