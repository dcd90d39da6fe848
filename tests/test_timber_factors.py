"""Adjustment factors: their conditions, and which of them apply to which value."""

import numpy as np
import pytest
from timber_leaves import given, size

from calclib import published
from calclib.errors import InputError, LookupMiss
from calclib.timber.factors import (
    Service,
    applicable,
    bending_wet_service_factor,
    factors_for,
    incising_factor,
    load_duration_factor,
    repetitive_factor,
    service_factors,
    temperature_factor,
    wet_service_factor,
)
from calclib.timber.materials import composite, sawn
from calclib.timber.piece import piece
from calclib.trace import program

WET = Service("wet")


def test_each_combination_takes_the_factor_of_its_shortest_load():
    """Dead 0.9, live 1.0, snow 1.15, roof live 1.25."""
    # NDS 2018 Table 2.3.2.
    cases = ("D", "D+L", "D+S", "D+Lr", "D+L+S", "D+L+Lr")
    C_D = load_duration_factor(cases)

    assert C_D.number.tolist() == [0.9, 1.0, 1.15, 1.25, 1.15, 1.25]


def test_the_sentence_names_the_load_that_sets_the_factor():
    """A reader sees why snow and not live load counts."""
    C_D = load_duration_factor(("D", "D+L+S"))
    sentence = C_D.origin.function.say(C_D.origin, (C_D.number,), 1)

    assert sentence == (
        "C_D of D + L + S is 1.15, that of snow load, the shortest in the combination."
    )


def test_a_load_without_a_duration_is_refused():
    """The table does not know every letter."""
    with pytest.raises(LookupMiss, match='no letter "Q"'):
        load_duration_factor(("D+Q",))


def test_factors_come_in_the_order_of_the_printed_table():
    """NDS Table 4.3.1 and Table 8.3.1, ASD."""
    # NDS 2018 Tables 4.3.1 and 8.3.1  # from memory
    sawn_bending = applicable("nds-2018-4-3-1", "Fb")
    composite_bending = applicable("nds-2018-8-3-1", "Fb")

    assert sawn_bending == ("C_D", "C_M", "C_t", "C_L", "C_F", "C_fu", "C_i", "C_r")
    assert composite_bending == ("C_D", "C_M", "C_t", "C_L", "C_V", "C_r")


@pytest.mark.parametrize("table", ["nds-2018-4-3-1", "nds-2018-8-3-1"])
def test_load_duration_is_not_on_stiffness_nor_on_bearing(table):
    """C_D does not act on E, E_min and F_c perpendicular."""
    # NDS 2018 2.3.2.
    assert all("C_D" not in applicable(table, name) for name in ("E", "E_min", "Fc_perp"))
    assert all("C_D" in applicable(table, name) for name in ("Fb", "Fv", "Fc", "Ft"))


def test_the_other_method_reads_the_other_columns():
    """LRFD leaves C_D out and takes K_F, phi and lambda; nothing else changes."""
    asd = applicable("nds-2018-4-3-1", "Fb")
    lrfd = applicable("nds-2018-4-3-1", "Fb", "LRFD")

    assert lrfd == (*asd[1:], "K_F", "phi", "lambda")


def test_a_missing_factor_is_named():
    """A factor that applies is never silently 1."""
    with pytest.raises(LookupMiss, match="Fv: needs the factor C_M, C_i, got none"):
        factors_for("nds-2018-4-3-1", "Fv", {"C_D": 1.0, "C_t": 1.0})


# ---- moisture


def test_wet_service_factors_of_dimension_lumber():
    """F_b 0.85, F_v 0.97, F_c perpendicular 0.67, E 0.9."""
    # Merritt, Building Design & Construction Handbook, Table 10.6 (NDS Tables 4A, 4B).
    found = [
        wet_service_factor("dimension lumber", name, WET).number
        for name in ("Fb", "Fv", "Fc_perp", "E", "E_min")
    ]

    assert found == [0.85, 0.97, 0.67, 0.9, 0.9]


@pytest.mark.parametrize(
    ("grade", "d", "expected"),
    [
        # No.2 2x10: 900 x 1.1 = 990 psi; No.2 2x6: 900 x 1.3 = 1170 psi; limit 1150 psi.
        ("No.2", 9.25, 1.0),
        ("No.2", 5.5, 0.85),
        ("Select Structural", 9.25, 0.85),
        ("No.3", 3.5, 1.0),
    ],
)
def test_moisture_does_not_count_where_the_bending_value_is_small(grade, d, expected):
    """C_M for F_b is 1 where F_b C_F is at most 1150 psi."""
    # NDS Supplement Tables 4A and 4B, wet service factor, footnote.
    material = sawn("DF-L", grade, *size(1.5, d))

    assert bending_wet_service_factor(material, WET).number == expected


def test_the_moisture_rule_stays_in_the_graph():
    """A break-point on the depth goes through the 1150 psi limit."""
    d = given(9.25, "in", "d")
    C_M = bending_wet_service_factor(sawn("DF-L", "No.2", given(1.5, "in", "b"), d), WET)
    run = program(d, [C_M])

    assert [run(depth)[0] for depth in (5.5, 7.25, 9.25)] == [0.85, 1.0, 1.0]


def test_southern_pine_timbers_are_tabulated_for_wet_service():
    """C_M is 1 for them, wet or dry."""
    # NDS Supplement 2018 Table 4D  # from memory
    material = sawn("southern pine", "No.1", *size(5.5, 9.5))
    factors = service_factors(material.kind, WET)

    assert material.kind == "southern pine timbers"
    assert {factors[name]["C_M"].number for name in factors} == {1.0}


def test_composite_lumber_in_the_wet_is_refused():
    """Its reference values are for dry service."""
    with pytest.raises(InputError, match="structural composite lumber: needs dry service"):
        piece(composite("2.0E LVL", *size(1.75, 9.5)), WET)


# ---- temperature, incising, repetition


@pytest.mark.parametrize(
    ("moisture", "temperature", "expected"),
    [
        ("dry", "up to 100 F", (1.0, 1.0)),
        ("dry", "100 to 125 F", (0.8, 0.9)),
        ("dry", "over 125 to 150 F", (0.7, 0.9)),
        ("wet", "100 F or less", (1.0, 1.0)),
        ("wet", "over 100 to 125 F", (0.7, 0.9)),
        ("wet", "125 to 150 F", (0.5, 0.9)),
    ],
)
def test_temperature_factor_of_bending_and_of_stiffness(moisture, temperature, expected):
    """Strength falls more than stiffness, and more in the wet."""
    # NDS Table 2.3.3, as in the Forensic Structural Engineering Handbook, p. 14.14.
    service = Service(moisture, temperature)

    assert tuple(temperature_factor(name, service).number for name in ("Fb", "E")) == expected


def test_heat_beyond_the_table_is_refused():
    """Nothing is printed above 150 F."""
    with pytest.raises(InputError, match='temperature in service: needs one of "up to 100 F"'):
        temperature_factor("Fb", Service("dry", "up to 180 F"))


def test_moisture_is_dry_or_wet():
    """Another word is not guessed at."""
    with pytest.raises(InputError, match='needs "dry" or "wet", got "damp"'):
        Service("damp")


def test_incising_weakens_dimension_lumber():
    """F_b and F_v 0.8, E 0.95, F_c perpendicular not at all."""
    # NDS 2018 Table 4.3.8  # from memory
    service = Service(incised=True)
    found = [
        incising_factor("dimension lumber", name, service).number
        for name in ("Fb", "Fv", "Fc_perp", "E")
    ]

    assert found == [0.8, 0.8, 1.0, 0.95]


def test_incised_timbers_have_no_factor():
    """The table is for dimension lumber only."""
    with pytest.raises(InputError, match="timbers: needs no incising"):
        incising_factor("timbers", "Fb", Service(incised=True))


@pytest.mark.parametrize(
    ("n", "spacing", "joined", "expected"),
    [
        (3.0, 16.0, True, 1.15),
        (3.0, 24.0, True, 1.15),
        (3.0, 24.1, True, 1.0),
        (2.0, 16.0, True, 1.0),
        (5.0, 1.5, True, 1.15),
        (5.0, 16.0, False, 1.0),
    ],
)
def test_repetitive_factor_needs_three_members_near_each_other_and_joined(
    n, spacing, joined, expected
):
    """Three or more, 24 in or less, joined by an element that shares the load."""
    # NDS 2018 4.3.9; 1.15 in NELMA grading rules 2013, Section 8.
    material = sawn("DF-L", "No.2", *size(1.5, 9.25))
    C_r = repetitive_factor(material, given(n, "", "n"), given(spacing, "in", "s"), joined=joined)

    assert C_r.number == expected


def test_repetitive_factor_by_material():
    """Composite lumber has 1.04, timbers have none."""
    # NDS 2018 8.3.7 and a maker's guide; not for Table 4D.
    n, s = given(4.0, "", "n"), given(16.0, "in", "s")
    lvl = repetitive_factor(composite("2.0E LVL", *size(1.75, 9.5)), n, s, joined=True)
    timber = repetitive_factor(sawn("DF-L", "No.1", *size(5.5, 9.5)), n, s, joined=True)

    assert (lvl.number, timber.number) == (1.04, 1.0)


def test_the_number_of_plies_can_be_varied():
    """A break-point on the plies goes through the rule of three."""
    n = given(3.0, "", "n")
    C_r = repetitive_factor(
        sawn("DF-L", "No.2", *size(1.5, 9.25)), n, given(1.5, "in", "s"), joined=True
    )

    assert [program(n, [C_r])(count)[0] for count in (2.0, 3.0, 4.0)] == [1.0, 1.15, 1.15]


@pytest.mark.parametrize("kind", ["dimension lumber", "timbers", "southern pine timbers"])
def test_moisture_and_heat_never_strengthen(kind):
    """Every factor of wet or hot service is at most that of dry and cool service."""
    cool = service_factors(kind, Service())
    worse = [
        service_factors(kind, Service(moisture, temperature))
        for moisture in ("dry", "wet")
        for temperature in published.choices("nds-2018-2-3-3", "temperature")
    ]

    for factors in worse:
        for name, by_symbol in factors.items():
            both = [np.prod([v.number for v in f[name].values()]) for f in (factors, cool)]
            assert both[0] <= both[1], (name, list(by_symbol))
