"""Drawings of the lessons say in words what they show."""

import numpy as np
import pytest

from calclib.errors import InputError
from calclib.lessons.sketch import beam_drawing, graph
from calclib.mechanics import Beam, Line, Point, Support, solve


def test_a_beam_is_drawn_with_its_loads_by_source_and_its_peaks_in_words():
    """Uniform load and a strut in the middle of 10 ft: w l^2 / 8 + P l / 4."""
    # Handbook beam tables: 600 plf makes 7,500 lbf ft, 800 lbf in the middle 2,000 lbf ft.
    beam = Beam(length=120.0, supports=[Support(0.0), Support(120.0)], EI=4e8)
    loads = {"L floor": [Line(0.0, 120.0, 50.0, 50.0)], "S strut": [Point(60.0, 800.0)]}
    curves = solve(beam, {"all": [load for group in loads.values() for load in group]}).curves

    drawn = beam_drawing(curves, loads, "a girder", ["left post", "right post"])

    assert "Moment peaks at 9,500 lbf·ft" in drawn.alt
    assert "left post at 0 in" in drawn.alt
    assert drawn.caption.startswith("A girder: loading, shear, moment and deflection.")
    assert "600 plf, floor" in drawn.svg
    assert "S 800 lbf" in drawn.svg.replace("\u00a0", " ")


def test_curves_are_told_apart_by_their_dashes_and_have_words():
    """Not by color alone."""
    x = np.linspace(0.0, 1.0, 11)

    drawn = graph(x, {"one": x, "two": x**2}, ("a (ft)", "b (in)"), "It rises.", "Rising.")

    assert (drawn.alt, drawn.caption) == ("It rises.", "Rising.")
    assert drawn.svg.count("stroke-dasharray") >= 2


def test_a_curve_without_words_is_refused():
    """Someone may not see it."""
    with pytest.raises(InputError, match="figure: needs a text alternative, got none"):
        graph([0.0, 1.0], {"one": [0.0, 1.0]}, ("a", "b"), " ", "Rising.")
