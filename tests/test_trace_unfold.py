"""The chain behind a value, unfolded: whole, in order, each value once, as text and as HTML."""

import re
from html.parser import HTMLParser

import numpy as np
import pytest

from calclib.errors import CalcError
from calclib.trace import Call, formula, leaf, positive, step, trace, walk
from calclib.trace.unfold import unfolded


@formula("M", "lbf*in", w="pli", l="in", source="statics", valid={"w": (0, None), "l": (0, None)})
def moment(w, l):  # noqa: E741
    """Largest moment."""
    return w * l**2 / 8


@formula(
    "f_b",
    "psi",
    M="lbf*in",
    S="in^3",
    source="definition",
    valid={"M": (None, None), "S": positive},
)
def stress(M, S):
    """Bending stress."""
    return M / S


@step("the solution of a beam", ("solution", ""), sentence=lambda *_: "Solved <exactly>.")
def solution(M):
    return object()


@step("a look at the solution", ("x", "in"), sentence=lambda *_: "Looked at.")
def look(found, M):
    return 2.0


def chain(load=10.0):
    w = leaf(load, "pli", "w", "loads.w", title="load & more", basis="assumed", source="guess <1>")
    span = leaf(120.0, "in", "l", "beams.l", title="span", basis="measured")
    S = leaf(50.0, "in^3", "S", "beams.S", title="section modulus", basis="published")
    return stress(moment(w, span), S)


def test_every_value_behind_the_result_is_unfolded_once_and_named_after_that():
    f_b = chain()
    M = f_b.origin.inputs[0]
    x = look(solution(M), M)

    ids = [value.id for _, _, value, is_again in unfolded(x) if not is_again]

    assert sorted(ids) == sorted(value.id for value in walk(x))
    again = [value.id for _, _, value, is_again in unfolded(x) if is_again]
    assert again == [M.id]


def test_it_reads_as_an_indented_list():
    """w l^2 / 8 = 10 x 120^2 / 8 = 18,000 lbf in; over 50 in^3 is 360 psi, by hand."""
    lines = repr(trace(chain())).splitlines()

    assert lines[0].startswith("1  f_b = M / S = 18,000 lbf·in / 50 in³ = 360 psi")
    assert lines[1].startswith("  2  M = w ℓ² / 8" if "ℓ" in lines[1] else "  2  M = w l² / 8")
    assert lines[2] == "    3  w = 10 pli [load & more; assumed]"
    assert [len(line) - len(line.lstrip()) for line in lines] == [0, 2, 4, 4, 2]


class Tree(HTMLParser):
    """Takes down how deep each line stands, and that every tag is closed in its place."""

    def __init__(self):
        super().__init__()
        self.open = []
        self.depths = []

    def handle_starttag(self, tag, attrs):
        self.open.append(tag)
        if tag == "li":
            self.depths.append(self.open.count("li") - 1)

    def handle_endtag(self, tag):
        assert self.open.pop() == tag


def test_the_html_nests_as_the_text_does_and_holds_text_as_text():
    f_b = chain()
    M = f_b.origin.inputs[0]
    for value in (f_b, look(solution(M), M)):
        html = trace(value)._repr_html_()
        tree = Tree()
        tree.feed(html)

        assert tree.open == []
        assert tree.depths == [depth for depth, *_ in unfolded(value)]
        assert html.count("<details open>") == 1
        assert "Load &amp; more" in html
        assert "<1>" not in html
    assert "Solved &lt;exactly&gt;." in html


def test_a_chain_of_load_cases_is_shown_at_one_case_throughout():
    """The largest of the value that is asked for, or the one that is asked for."""
    f_b = chain(np.array([10.0, 30.0, 20.0]))

    assert "f_b = M / S = 54,000 lbf·in / 50 in³ = 1,080 psi" in repr(trace(f_b))
    assert "w = 20 pli [load & more; assumed; number 3 of 3 cases]" in repr(trace(f_b, 2))
    assert "f_b = M / S = 36,000 lbf·in / 50 in³ = 720 psi" in repr(trace(f_b, 2))


def test_a_deep_chain_needs_no_deep_stack():
    value = leaf(1.0, "in", "x", "x", title="x", basis="chosen")

    @formula("x", "in", x="in", source="definition", valid={"x": (None, None)})
    def onward(x):
        """One step further."""
        return x * 1

    for _ in range(2000):
        value = onward(value)

    assert len(list(unfolded(value))) == 2001
    assert isinstance(value.origin, Call)


def test_what_is_no_value_and_a_case_that_is_not_there_are_refused():
    with pytest.raises(CalcError, match=re.escape("trace: needs a traced value, got a float.")):
        trace(1.0)
    with pytest.raises(CalcError, match="needs a load case from 0 to 0, got 3"):
        trace(chain(), 3)
