"""Footings: soil, plain concrete, least sizes, from the formulas to the job."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given as draw
from hypothesis import settings
from hypothesis import strategies as st
from timber_leaves import given

from calclib.errors import LookupMiss
from calclib.ground.footing import (
    Pad,
    gross_soil_pressure,
    moment_at_face,
    net_soil_pressure,
    one_way_shear,
    pad_checks,
    plain_concrete_bearing,
    plain_concrete_moment,
    plain_concrete_one_way,
    plain_concrete_punching,
    presumptive_bearing,
    projection,
    punching_shear,
    strip_checks,
    thickness_on_soil,
    weight_of_pad,
)
from calclib.job.file import JobError, parse
from calclib.job.solve import solve
from calclib.units import ft, inch, lbf, pcf, psf, psi

FOXGLOVE = (Path(__file__).parent.parent / "examples" / "foxglove_cottage.toml").read_text("utf-8")
PAD = 'thickness = { value = "8 in", basis = "assumed" }\n'


def test_a_wall_footing_spreads_its_load_to_what_the_soil_bears():
    # An exam problem, wall footing: 15,000 lb/ft on 3,000 psf asks for 5 ft, own weight ignored.
    assert net_soil_pressure(15_000 * lbf, 1 * ft, 5 * ft) == pytest.approx(3000 * psf)


def test_a_post_of_twenty_kips_needs_a_square_of_26_inches():
    # A mechanics exercise: 20 kip on soil of 30 psi, a square of 25.8 in.
    b = 25.8 * inch
    assert net_soil_pressure(20_000 * lbf, b, b) == pytest.approx(30 * psi, rel=2e-3)


def test_the_pad_s_own_weight_counts_in_gross_pressure():
    W = weight_of_pad(150 * pcf, 2 * ft, 2 * ft, 1 * ft)

    assert W == pytest.approx(600 * lbf)
    assert gross_soil_pressure(8000 * lbf, W, 2 * ft, 2 * ft) == pytest.approx(2150 * psf)


def test_presumptive_values_are_those_of_the_code():
    # IRC Table R401.4.1.
    names = ("sandy gravel and gravel", "clay, sandy clay, silty clay and silt")
    assert [presumptive_bearing(name).at() / psf for name in names] == pytest.approx([3000, 1500])
    with pytest.raises(LookupMiss):
        presumptive_bearing("quicksand")


def test_plain_concrete_by_hand():
    """24 x 24 x 12 in, 2,500 psi, a post of 5-1/2 in square, P_u = 12 kip."""
    h_e = thickness_on_soil(12 * inch)
    c = projection(24 * inch, 5.5 * inch)
    assert (h_e, c) == pytest.approx((10.0, 9.25))
    # ACI 318-14 14.5.2, 14.5.5, 14.5.6, phi 0.60 (from memory); the arithmetic by hand.
    P_u = 12_000 * lbf
    assert moment_at_face(P_u, 24 * inch, c) == pytest.approx(12_000 / 24 * 9.25**2 / 2)
    assert plain_concrete_moment(0.6, 1.0, 2500 * psi, 24 * inch, h_e) == pytest.approx(
        0.6 * 5 * 50 * 24 * 100 / 6
    )
    # The pad ends before the section of one-way shear.
    assert one_way_shear(P_u, 24 * inch, c, h_e) == 0.0
    assert one_way_shear(P_u, 24 * inch, 12 * inch, h_e) == pytest.approx(500 * 2)
    assert plain_concrete_one_way(0.6, 1.0, 2500 * psi, 24 * inch, h_e) == pytest.approx(
        0.6 * 4 / 3 * 50 * 24 * 10
    )
    inside = 15.5**2
    assert punching_shear(P_u, 24, 24, 5.5, 5.5, h_e) == pytest.approx(12_000 * (1 - inside / 576))
    # A square post: (1 + 2) 4/3 is more than 8/3, which counts; b_o = 4 x 15.5 in.
    assert plain_concrete_punching(0.6, 1.0, 2500 * psi, 5.5, 5.5, h_e) == pytest.approx(
        0.6 * 8 / 3 * 50 * 62 * 10
    )
    assert plain_concrete_bearing(0.6, 2500 * psi, 30.25) == pytest.approx(
        0.6 * 0.85 * 2500 * 30.25
    )


@pytest.mark.parametrize("h", [8.0, 10.0, 12.0, 16.0])
def test_a_thicker_pad_never_carries_less(h):
    thin, thick = (thickness_on_soil(x) for x in (h, h + 1))

    for strength in (
        lambda h_e: plain_concrete_moment(0.6, 1.0, 2500, 24, h_e),
        lambda h_e: plain_concrete_one_way(0.6, 1.0, 2500, 24, h_e),
        lambda h_e: plain_concrete_punching(0.6, 1.0, 2500, 5.5, 5.5, h_e),
    ):
        assert strength(thick) > strength(thin)
    assert punching_shear(1e4, 24, 24, 5.5, 5.5, thick) < punching_shear(
        1e4, 24, 24, 5.5, 5.5, thin
    )


@draw(
    L=st.floats(12, 60),
    B=st.floats(12, 60),
    h=st.floats(6, 24),
    more=st.floats(0.1, 12),
    P_u=st.floats(1e3, 6e4),
    c=st.floats(3.5, 11.5),
)
@settings(max_examples=60, deadline=None)
def test_a_thicker_footing_never_uses_its_concrete_more(L, B, h, more, P_u, c):
    """Pad and strip, check by check: less demand, more capacity."""

    def checks(h, make):
        pad = Pad(
            given(L, "in", "L"), given(B, "in", "B"), given(h, "in", "h"), given(c, "in", "c_1"),
            given(c, "in", "c_2"), None, True, given(2500.0, "psi", "f_c_prime"),
        )  # fmt: skip
        P = given(P_u, "lbf", "P_u")
        return {
            check.id: check.worst for check in make("f", pad, P, P) if not check.id.endswith("soil")
        }

    for make in (pad_checks, strip_checks):
        thin, thick = checks(h, make), checks(h + more, make)
        assert thin.keys() == thick.keys()
        assert all(thick[id] <= thin[id] * (1 + 1e-12) for id in thin)


def footing(more: str, size: str = ""):
    text = FOXGLOVE.replace(PAD, PAD + more, 1)
    if size:
        text = text.replace('length = { value = "20 in"', f'length = {{ value = "{size}"', 1)
        text = text.replace('width = { value = "20 in"', f'width = {{ value = "{size}"', 1)
    found = solve(parse(text)).checks
    return {c.id.rpartition("footings.column_1/")[2]: c for c in found if "column_1/" in c.id
            and c.id.startswith("finished/footings")}  # fmt: skip


def test_a_footing_without_soil_and_concrete_is_open():
    found = footing("")

    assert {key: check.state for key, check in found.items()} == {
        "soil": "open",
        "concrete": "open",
    }


def test_a_footing_is_checked_down_to_the_soil():
    known = 'soil = "sandy gravel and gravel"\nconcrete = "2500 psi"\n'
    small, large = footing(known), footing(known, "42 in")

    assert small["soil"].state == "fails"
    assert large["soil"].state == "passes"
    # 42 in of plain concrete, 8 in thick, reach further past the post than they are thick.
    bending = large["bending.length"]
    assert bending.state == "fails"
    assert [c.text for c in bending.conditions if c.ratio.at() > 1] == [
        "The footing reaches no further past what stands on it than it is thick."
    ]
    assert {"bending.length", "bending.width", "shear.length", "punching", "bearing"} < set(large)
    ids = {c.id for c in solve(parse(FOXGLOVE.replace(PAD, PAD + known))).checks}
    assert "finished/posts.column_1/base" not in ids


def test_a_net_bearing_value_leaves_the_pad_s_weight_out():
    gross = footing('bearing_value = "4000 psf"\nbearing_is = "gross"\n')["soil"]
    net = footing('bearing_value = "4000 psf"\nbearing_is = "net"\n')["soil"]

    # 150 pcf x 8 in.
    assert gross.demand.at(0) - net.demand.at(0) == pytest.approx(100 * psf)


def test_a_slab_is_never_a_footing():
    text = FOXGLOVE.replace('rests_on = "footings.column_1"', 'rests_on = "slabs.cellar"')
    i, j = text.index("[footings.column_1]"), text.index("[footings.column_2]")
    text = text[:i] + '[slabs.cellar]\nthickness = "3 1/2 in"\nrests_on = "ground"\n' + text[j:]
    found = {c.id: c for c in solve(parse(text)).checks}

    slab = found["finished/slabs.cellar/footing"]
    assert slab.state == "open"
    assert "a slab is not a footing" in slab.questions[0]


@pytest.mark.parametrize(
    ("more", "message"),
    [
        ('soil = "gravle"\n', "footings.column_1.soil: needs a soil of the code's table"),
        ('bearing_value = "2000 psf"\n', "footings.column_1.bearing_is: needs whether the bearing"),
        (
            'soil = "sandy gravel and gravel"\nbearing_value = "2000 psf"\nbearing_is = "net"\n',
            "footings.column_1.soil: needs either soil or bearing_value",
        ),
    ],
)
def test_a_slip_about_a_footing_is_answered(more, message):
    with pytest.raises(JobError) as refusal:
        parse(FOXGLOVE.replace(PAD, PAD + more, 1))
    assert any(message in line for line in refusal.value.messages), refusal.value.messages


def test_a_hanger_is_open_without_a_capacity_and_checked_with_one():
    id = "finished/joists.attic.kitchen/hanger.opening"

    def hanger(more):
        text = FOXGLOVE.replace("first_joist", f"{more}first_joist", 1)
        return next(c for c in solve(parse(text)).checks if c.id == id)

    assert hanger("").state == "open"
    report = 'hanger_report = "ER-0000"\n'
    assert hanger(f'hanger_capacity = "600 lbf"\n{report}').state == "passes"
    assert hanger(f'hanger_capacity = "200 lbf"\n{report}').state == "fails"
    with pytest.raises(JobError, match=r"joists\.attic\.hanger_report: needs the listed capacity"):
        hanger('hanger_capacity = "600 lbf"\n')
