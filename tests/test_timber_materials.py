"""Reference design values: the right row for a piece, its basis, and rows that depend on size."""

import re

import numpy as np
import pytest
from timber_leaves import given, size

from calclib import published
from calclib.errors import InputError, LookupMiss, RangeError
from calclib.timber.materials import (
    composite,
    reported_composite,
    sawn,
    stability_modulus,
)
from calclib.timber.size import composite_size_factor, timber_size_factor
from calclib.trace import leaves, numbers, program


def numbers_of(material):
    return {
        name: getattr(material, name).number
        for name in ("F_b", "F_t", "F_v", "F_c_perp", "F_c", "E", "E_min", "G", "C_F")
    }


def test_number_two_douglas_fir_has_its_printed_values():
    """The 2x10 of the commonest floor."""
    # NDS Supplement 2018 Table 4A  # from memory
    found = numbers_of(sawn("DF-L", "#2", *size(1.5, 9.25)))

    assert found == {
        "F_b": 900, "F_t": 575, "F_v": 180, "F_c_perp": 625, "F_c": 1350, "E": 1.6e6,
        "E_min": 580000, "G": 0.50, "C_F": 1.1,
    }  # fmt: skip


def test_southern_pine_takes_the_row_of_its_width():
    """Table 4B prints a row for each width; the size effect is in it."""
    # NDS Supplement 2018 Table 4B, No.2: F_b 1100, 1000, 925, 800, 750 psi  # from memory
    F_b = [
        sawn("southern pine", "No.2", *size(1.5, d)).F_b.number
        for d in (3.5, 5.5, 7.25, 9.25, 11.25)
    ]

    assert F_b == [1100, 1000, 925, 800, 750]


def test_a_four_inch_piece_has_its_own_size_factor():
    """Table 4A gives a 4x12 a factor of 1.1 where a 2x12 has 1.0."""
    # NDS Supplement Table 4A, as in NELMA grading rules 2013, Section 8.
    factors = [sawn("hem-fir", "No.1", *size(b, 11.25)).C_F.number for b in (1.5, 2.5, 3.5)]

    assert factors == [1.0, 1.0, 1.1]


def test_a_timber_is_a_post_up_to_two_inches_deeper_than_thick():
    """A 6x8 is a post, a 6x10 a beam, and table 4D gives them other values."""
    # NDS Supplement Table 4D, Douglas fir-larch No.1: posts 1200 psi, beams 1350 psi,
    # as in Missouri S&T CE 5260, Problem 4.17.
    post, beam = (sawn("Douglas fir-larch", "No.1", *size(5.5, d)) for d in (7.5, 9.5))

    assert (post.F_b.number, beam.F_b.number) == (1200, 1350)


def test_timber_size_factor_of_the_published_six_by_fourteen():
    """A 6x14 beam has C_F 0.987."""
    # Missouri S&T CE 5260, Problem 4.30 (id MST-4.30a).
    material = sawn("hem-fir", "No.2", *size(5.5, 13.5))

    assert round(material.C_F.number, 3) == 0.987
    assert material.F_b.number == 675


def test_the_rule_of_table_4d_is_the_formula():
    """The reference depth and the root in the table are those that the formula holds."""
    row = published.rows("nds-2018-4d-size")[1]
    expected = (row.number("d_ref_in") / 15.5) ** (1 / row.number("root"))

    assert timber_size_factor(15.5) == pytest.approx(expected, rel=1e-15)
    assert timber_size_factor(12.0) == 1.0


def test_stability_modulus_of_every_sawn_row_follows_from_its_modulus():
    """E_min = E (1 - 1.645 x 0.25) 1.03 / 1.66, printed to 10,000 psi."""
    # NDS 2018 Appendix D with COV_E 0.25 and 1.03 for sawn lumber  # from memory
    for table in ("nds-2018-4a", "nds-2018-4b", "nds-2018-4d"):
        for row in published.rows(table):
            E_min = stability_modulus(row.number("E_psi"), 0.25, 1.03)
            assert abs(E_min - row.number("E_min_psi")) <= 5000, row.key


def test_stability_modulus_of_every_composite_class_follows_from_its_modulus():
    """E_min = E (1 - 1.645 x 0.10) 1.05 / 1.66, printed to 1,000 psi."""
    # NDS 2018 Appendix D with COV_E 0.10 and 1.05  # from memory
    for row in published.rows("scl-generic"):
        E_min = stability_modulus(row.number("E_psi"), 0.10, 1.05)
        assert abs(E_min - row.number("E_min_psi")) <= 500, row.key


def test_two_members_of_one_grade_share_their_leaves():
    """The register lists a table value once, whatever the number of members."""
    first = sawn("DF-L", "No.2", *size(1.5, 9.25))
    second = sawn("Douglas fir-larch", "#2", *size(1.5, 7.25))

    assert first.F_b is second.F_b
    assert first.F_b.id == "nds-2018-4a/Douglas fir-larch/No.2/F_b"


def test_leaf_ids_are_one_for_each_number():
    """No two leaves of one southern pine size and its neighbors share an id."""
    found = {}
    for d in (3.5, 5.5, 7.25, 9.25, 11.25, 13.25):
        material = sawn("southern pine", "No.1", *size(1.5, d))
        for value in leaves(material.F_b, material.C_F, material.E):
            if not value.id.startswith("test/"):
                assert found.setdefault(value.id, value) is value


def test_a_number_from_memory_says_so():
    """A row typed from memory is not called verified, and its note asks for a comparison."""
    origin = sawn("DF-L", "No.2", *size(1.5, 9.25)).F_b.origin

    assert origin.basis == "published"
    assert not origin.verified
    assert origin.note == "from memory, compare with the printed table"


def test_a_number_that_was_read_names_where():
    """Douglas fir-larch No.1 stands in a published course page."""
    origin = sawn("DF-L", "No.1", *size(1.5, 9.25)).F_b.origin

    assert origin.verified
    assert "Missouri S&T" in origin.note


# ---- rows that are chosen by a traced size

DEPTHS = {
    ("southern pine", "No.2", 1.5): (2.0, 3.5, 3.51, 5.5, 7.0, 7.25, 7.3, 9.25, 11.25, 12.0),
    ("Douglas fir-larch", "No.2", 1.5): (2.4, 3.5, 4.6, 5.5, 7.25, 8.0, 9.25, 11.25, 13.25),
    ("Douglas fir-larch", "No.2", 3.5): (3.5, 5.5, 7.25, 9.25, 11.25, 13.25),
    ("southern pine", "No.1", 3.5): (3.5, 5.5, 7.25, 9.25, 11.25, 13.25),
    ("Douglas fir-larch", "Stud", 1.5): (3.5, 5.5, 7.25, 9.25),
    ("hem-fir", "No.1", 5.5): (5.5, 7.5, 7.51, 9.5, 11.5, 13.5),
}


@pytest.mark.parametrize("wood", DEPTHS, ids=str)
def test_a_changed_depth_goes_through_the_tables(wood):
    """Running the graph again with another depth gives what a fresh lookup gives."""
    species, grade, b = wood
    d = given(DEPTHS[wood][2], "in", "d")
    material = sawn(species, grade, given(b, "in", "b_ply"), d)
    run = program(d, [material.F_b, material.C_F, material.E_min, material.d])

    for depth in DEPTHS[wood]:
        fresh = sawn(species, grade, *size(b, depth))
        expected = (fresh.F_b.number, fresh.C_F.number, fresh.E_min.number, depth)
        assert run(depth) == pytest.approx(expected, rel=1e-12), depth


@pytest.mark.parametrize("thickness", [1.4, 1.5, 2.5, 3.4, 3.5, 4.4])
def test_a_changed_thickness_goes_through_the_size_factors(thickness):
    """The factor of 4 in nominal holds from 3-1/2 in on."""
    b = given(1.5, "in", "b_ply")
    material = sawn("DF-L", "No.2", b, given(11.25, "in", "d"))
    (C_F,) = program(b, [material.C_F])(thickness)

    assert C_F == sawn("DF-L", "No.2", *size(thickness, 11.25)).C_F.number


def test_a_thickness_beyond_its_class_stops_the_rerun():
    """From 4-1/2 in on other tables hold, so the chosen rows are refused, not stretched."""
    b = given(3.5, "in", "b_ply")
    run = program(b, [sawn("DF-L", "No.2", b, given(11.25, "in", "d")).b])

    with pytest.raises(RangeError, match=r"dimension lumber: needs a thickness .* got 4.5 in"):
        run(4.5)


def test_a_grade_that_ends_at_four_inches_is_refused_beyond():
    """Construction, Standard and Utility are graded up to 4 in wide only."""
    with pytest.raises(RangeError, match=r"needs a depth up to 3.5 in in its grade, got 5.5"):
        sawn("DF-L", "Construction", *size(1.5, 5.5))


def test_a_grade_that_begins_at_four_inches_is_refused_below():
    """Southern pine Construction is printed for 4 in wide only."""
    with pytest.raises(RangeError, match=r"needs a depth from 3.5 in in its grade, got 2.5"):
        sawn("southern pine", "Construction", *size(1.5, 2.5))


def test_a_piece_on_the_flat_is_refused():
    """A 2x6 laid flat is not covered, and the message says what to do."""
    with pytest.raises(RangeError, match="Turn the piece: bending on the flat is not covered"):
        sawn("DF-L", "No.2", *size(5.5, 1.5))


def test_a_size_in_millimeters_stays_in_its_row():
    """285.75 mm is 11-1/4 in, and the last bit of the conversion does not change the row."""
    exact = sawn("southern pine", "No.2", *size(1.5, 11.25))
    converted = sawn("southern pine", "No.2", *size(1.5, 11.25 * (1 + 4e-16)))

    assert converted.C_F.number == exact.C_F.number == 1.0


def test_a_strange_grade_names_the_near_one():
    """The message helps."""
    with pytest.raises(LookupMiss, match=re.escape('Did you mean "No.2"?')):
        sawn("DF-L", "No.22", *size(1.5, 9.25))


# ---- composite lumber


def test_composite_lumber_always_asks_to_be_confirmed():
    """A class is not a product, so every check of it stays open."""
    material = composite("2.0E-2900Fb LVL", *size(1.75, 11.875))

    assert "evaluation report" in material.questions[0]
    assert not material.F_b.origin.verified


def test_composite_size_rule_at_its_depths():
    """(12 / d)^0.136: 1.0 at 12 in, below for a 16 in depth, above for 9-1/2 in."""
    # The rule as generic classes print it  # from memory
    assert composite_size_factor(12.0, 0.136) == 1.0
    assert composite_size_factor(16.0, 0.136) == pytest.approx((12 / 16) ** 0.136, rel=1e-15)
    assert composite_size_factor(9.5, 0.136) > 1


def test_values_of_an_evaluation_report_take_the_place_of_the_class():
    """With the report named nothing is open, and E_min follows from E."""
    values = {
        "F_b": given(2800.0, "psi", "F_b"), "F_v": given(290.0, "psi", "F_v"),
        "F_c_perp": given(720.0, "psi", "F_c_perp"), "E": given(2.0e6, "psi", "E"),
        "size_exponent": given(0.125, "", "e"),
    }  # fmt: skip
    material = reported_composite("beam stock", "ER-0000", *size(1.75, 11.875), **values)

    assert material.questions == ()
    assert "ER-0000" in material.notes[0]
    # generic 2.0E class prints 1,057,000 psi  # from memory
    assert material.E_min.number == pytest.approx(1057000, abs=500)


def test_values_without_a_report_number_are_refused():
    """A number that nobody can look up is no value."""
    values = {key: given(1.0, "psi", key) for key in ("F_b", "F_v", "F_c_perp", "E")}

    with pytest.raises(InputError, match="needs the number of the evaluation report"):
        reported_composite(
            "stock", " ", *size(1.75, 9.5), **values, size_exponent=given(0.1, "", "e")
        )


def test_a_material_of_plain_numbers_holds_no_value():
    """`numbers` strips the graph, for arrays of candidates."""
    plain = numbers(sawn("DF-L", "No.2", *size(1.5, 9.25)))

    assert (plain.F_b, plain.C_F, plain.d) == (900, 1.1, 9.25)
    assert np.isscalar(plain.E)
