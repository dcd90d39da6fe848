"""Plans and load-path bands: what they say, where things stand, that widths are loads."""

import re
import sys
from pathlib import Path
from xml.etree import ElementTree

import pytest
from figure_cases import clipped, colliding, words_in
from houses import house

from calclib.job.file import parse, read
from calclib.job.solve import solve
from calclib.sheet import drawings_path
from calclib.sheet.display import Display
from calclib.sheet.figures_path import PathLink, PathNode, gathered, load_path, ranks
from calclib.sheet.figures_plan import PlanField, PlanLine, level_plan

EXAMPLES = Path(__file__).parent.parent / "examples"
SMALL = ("larkspur_house", "basement_beam", "foxglove_cottage")
US = Display(False)


@pytest.fixture(scope="module")
def flows():
    found = {name: solve(read(EXAMPLES / f"{name}.toml")).flow for name in SMALL}
    return found | {"large": solve(parse(house(7, storeys=3, lines=5, bays=3)[0])).flow}


@pytest.mark.parametrize("name", [*SMALL, "large"])
def test_no_word_of_the_bands_is_clipped_or_covered(flows, name):
    figure = drawings_path.load_path_figure(flows[name], US)

    assert clipped(figure.svg) == []
    assert colliding(figure.svg) == []


@pytest.mark.parametrize("name", SMALL)
def test_no_word_of_a_plan_is_clipped_or_covered(flows, name):
    for figure in drawings_path.plan_figures(flows[name], US):
        assert clipped(figure.svg) == []
        assert colliding(figure.svg) == []


@pytest.mark.parametrize("name", [*SMALL, "large"])
def test_figures_are_well_formed_and_have_ids_of_their_own(flows, name):
    figures = [
        drawings_path.load_path_figure(flows[name], US),
        *drawings_path.plan_figures(flows[name], US),
    ]
    ids = [id for f in figures for id in re.findall(r' id="([^"]+)"', f.svg)]

    for figure in figures:
        ElementTree.fromstring(figure.svg)
        assert figure.alt in "".join(ElementTree.fromstring(figure.svg).itertext())
    assert len(ids) == len(set(ids))


def test_the_alternative_says_what_goes_where(flows):
    figure = drawings_path.load_path_figure(flows["foxglove_cottage"], US)

    reach = sum(h.total for h in flows["foxglove_cottage"].handings if h.taker == "ground")
    assert f"{reach:,.0f} lbf reach the ground" in figure.alt
    assert "Most goes through girder beam, 44,920 lbf" in figure.alt
    texts = {word.text for word in words_in(figure.svg)}
    assert any("girder beam" in text for text in texts)


def test_in_si_the_bands_show_kilonewtons(flows):
    figure = drawings_path.load_path_figure(flows["larkspur_house"], Display(True))

    assert "kN reach the ground" in figure.alt
    assert "lbf" not in figure.alt


def test_a_node_stands_above_all_that_carries_it():
    links = [PathLink(a, b, {"D": 1.0}) for a, b in ("ab", "bc", "ac", "dc")]
    nodes = [PathNode(id, id) for id in "abcd"]

    assert ranks(nodes, links) == {"c": 0, "b": 1, "d": 1, "a": 2}


def test_gathering_small_members_keeps_the_loads():
    nodes = [PathNode(f"n{i}", f"n{i}", {"D": float(i + 1)}) for i in range(40)]
    links = [PathLink(node.id, "ground", node.own) for node in nodes]

    few, bands = gathered(nodes, links)

    assert len(few) < 10
    assert any("more members" in node.name for node in few)
    assert sum(band.total for band in bands) == pytest.approx(sum(range(1, 41)))


def test_a_band_twice_as_heavy_is_twice_as_wide():
    def width(load):
        nodes = [PathNode("a", "a", {"D": load}), PathNode("b", "b", {"D": 3000.0})]
        links = [PathLink("a", "g", {"D": load}), PathLink("b", "g", {"D": 3000.0})]
        figure = load_path("bands", "Bands", nodes, links)
        # Nodes are the only shapes filled in ink: each is as wide as its load.
        shapes = re.findall(r'd="(M[^"]+)"[^>]*fill="#1a1a1a"|fill="#1a1a1a"[^>]*d="(M[^"]+)"',
                            figure.svg)  # fmt: skip
        wide = []
        for pair in shapes:
            xs = [float(x) for x in re.findall(r"[ML] ?([\d.]+)", "".join(pair))]
            wide.append(max(xs) - min(xs))
        return sorted(wide)

    one, two = width(1000.0), width(2000.0)
    # Of a, b and the ground, in each figure's own scale.
    assert one[0] / one[1] == pytest.approx(1 / 3, rel=0.02)
    assert two[0] / two[1] == pytest.approx(2 / 3, rel=0.02)
    assert one[2] / one[1] == pytest.approx(4 / 3, rel=0.02)


def test_a_plan_is_to_scale_and_names_what_is_new_and_gone():
    lines = [
        PlanLine("north wall", "wall", "as found", True, 240.0, 0.0, 360.0),
        PlanLine("kitchen wall", "wall", "removed", True, 120.0, 0.0, 360.0),
        PlanLine("opening beam", "beam", "new", True, 120.0, 90.0, 270.0),
    ]
    fields = [
        PlanField("joists 2x10 at 16 in", True, 0.0, 360.0, (120.0, 240.0), (True, True),
                  ((120.0, 180.0),)),
    ]  # fmt: skip
    figure = level_plan("plan", "Plan of a floor", lines, fields)

    texts = " ".join(word.text for word in words_in(figure.svg))
    assert "kitchen wall (removed)" in figure.svg or "(removed)" in texts
    assert "10 ft 0 in" in texts
    assert "30 ft 0 in" in texts
    assert "tributary to the opening" in texts
    assert "opening beam, beam new, 15 ft 0 in." in figure.alt


def test_text_of_a_job_is_only_text():
    hostile = "<script>alert(1)</script> & $\\frac{$"
    nodes = [PathNode("a", hostile, {"D": 1.0})]
    figure = load_path("bands", hostile, nodes, [PathLink("a", "ground", {"D": 1.0})])

    assert "<script" not in figure.svg
    ElementTree.fromstring(figure.svg)


def test_the_same_house_gives_the_same_bytes(flows):
    one, two = (drawings_path.load_path_figure(flows["large"], US).svg for _ in range(2))

    assert one == two
    assert sys.getsizeof(one) < 2_000_000
