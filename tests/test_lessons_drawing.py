"""The explorer's figure: a picture in words too, on axes that keep still."""

import re
from dataclasses import replace
from pathlib import Path
from xml.etree import ElementTree

import pytest

from calclib.lessons import opening_study
from calclib.lessons.drawing import ACCENT, HEIGHT, LIMIT, WIDTH, figure, scales, ticks
from calclib.lessons.reading import Knock
from calclib.units import ft

EXAMPLES = Path(__file__).parents[1] / "examples"
SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture(scope="module")
def study():
    return opening_study(EXAMPLES / "larkspur_house.toml")


def elements(svg, name):
    return list(ElementTree.fromstring(svg).iter(f"{SVG}{name}"))


def points(element):
    return [tuple(map(float, spot.split(","))) for spot in element.get("points").split()]


def curve(svg, number):
    """Return the drawn line of shear (0), moment (1) or deflection (2)."""
    bold = [line for line in elements(svg, "polyline") if line.get("stroke-width") == "2.2"]
    return points(bold[number])


@pytest.mark.parametrize("path", sorted(EXAMPLES.glob("*.toml")), ids=lambda path: path.stem)
def test_all_of_it_lies_on_the_paper(path):
    """For the numbers of the job and for both ends of every range."""
    study = opening_study(path)
    start = study.at()
    ends = [
        study.at(**{setting.key: getattr(setting, end) for setting in study.settings})
        for end in ("low", "high")
    ]
    axes = scales([start])

    for reading in (start, *ends):
        svg = figure(reading, axes, start)
        spots = [spot for line in elements(svg, "polyline") for spot in points(line)]
        spots += [(float(t.get("x")), float(t.get("y"))) for t in elements(svg, "text")]
        assert all(0 <= x <= WIDTH and 0 <= y <= HEIGHT for x, y in spots)


def test_the_text_alternative_states_the_results(study):
    """Peak, place, case and how much of the limit is used."""
    reading = study.at()
    (alternative,) = [e.get("aria-label") for e in elements(figure(reading), "svg")]

    assert reading.amount(reading.moment.value, "lbf*ft") in alternative
    assert reading.length(reading.moment.at) in alternative
    assert f"under {reading.moment.case}" in alternative
    assert "west at 0 in" in alternative


def test_axes_keep_still_while_the_curves_have_room(study):
    """A tenth more span moves the curve, not the scale."""
    start = study.at()
    axes = scales([start, study.at(span="21 ft", width="19 ft")])
    scale = [
        [text.text for text in elements(figure(study.at(span=span), axes), "text")
         if re.fullmatch(r"−?[\d,.]+", text.text)][1:]
        for span in ("13 ft 6 in", "14 ft 10 in")
    ]  # fmt: skip

    assert scale[0] == scale[1]


def test_a_scale_doubles_when_a_curve_would_leave_it(study):
    """So a curve of the same size then stands half as high, and never beyond the axes."""
    start = study.at()
    axes = scales([start])
    large = study.at(span="21 ft")

    svg, alone = figure(large, axes), figure(start, axes)

    def tall(drawing, peak):
        ys = [y for _, y in curve(drawing, 2)]
        return (max(ys) - min(ys)) / peak.value

    ratio = tall(alone, start.deflection) / tall(svg, large.deflection)
    assert ratio == pytest.approx(8.0, rel=0.05) or ratio == pytest.approx(4.0, rel=0.05)


def test_peaks_lie_where_the_heading_says(study):
    """The dot stands on the curve, at its share of the length."""
    reading = study.at()
    svg = figure(reading)
    line = curve(svg, 1)
    left, right = line[0][0], line[-1][0]
    dot = elements(svg, "circle")[1]

    share = (float(dot.get("cx")) - left) / (right - left)

    assert share == pytest.approx(reading.moment.at / reading.supports[-1][1], abs=1e-3)
    assert float(dot.get("cy")) == pytest.approx(min(y for _, y in line), abs=0.2)


def test_loads_are_drawn_to_scale(study):
    """Twice the width of floor is twice the live load: heights on the paper, from the base."""
    heights = []
    for width in ("7 ft", "14 ft"):
        reading = study.at(width=width)
        live = replace(
            reading,
            bands=tuple(band for band in reading.bands if band.source == "L"),
            knocks=(),
        )
        ys = [y for _, y in points(elements(figure(live, scales([study.at()])), "polyline")[0])]
        heights.append(max(ys) - min(ys))

    assert heights[1] / heights[0] == pytest.approx(2.0, abs=0.02)


def test_names_of_a_job_are_text(study):
    """Whatever a job calls its bearings, the page reads it as words."""
    name = '<script>alert(1)</script>" onload="alert(2)'
    reading = study.at()
    hostile = replace(reading, beam=name, supports=tuple((name, at) for _, at in reading.supports))

    html = hostile._repr_html_()

    assert "<script" not in html
    assert 'onload="' not in html
    ElementTree.fromstring(figure(hostile))


def test_a_figure_of_its_own_brings_paper_and_ink(study):
    """An image takes nothing from the page around it."""
    svg = ElementTree.fromstring(figure(study.at(), on_paper=True))

    assert svg[0].get("fill") == "#ffffff"
    assert svg.get("color") == "#1a1a1a"
    assert "sans-serif" in svg.get("font-family")


def test_loads_of_one_place_stand_in_one_line(study):
    """Two arrows on one spot would read as one anyway."""
    reading = replace(study.at(), knocks=(Knock("D", 40.0, 250.0), Knock("S", 40.0, 310.0)))

    texts = [text.text for text in elements(figure(reading), "text")]

    assert "dead 250 lbf + snow 310 lbf" in texts


@pytest.mark.parametrize(
    ("low", "high", "unit", "texts"),
    [
        (0.0, 21 * ft, "ft", ["0", "10", "20"]),
        (-9000.0, 11_000.0, "lbf", ["−5,000", "0", "5,000", "10,000"]),
        (0.0, 1.1, "in", ["0", "0.5", "1.0"]),
        (0.0, 0.0, "in", ["0"]),
    ],
)
def test_a_scale_has_round_numbers(low, high, unit, texts):
    """With as many decimals as their step needs."""
    assert [text for _, text in ticks(low, high, unit)] == texts


@pytest.mark.parametrize("color", [ACCENT, LIMIT])
@pytest.mark.parametrize("paper", ["#ffffff", "#111111", "#212121"])
def test_lines_stand_out_from_light_and_dark_paper(color, paper):
    """At least 3 to 1, as WCAG 2 asks of graphics (1.4.11)."""

    def light(text):
        parts = [int(text[i : i + 2], 16) / 255 for i in (1, 3, 5)]
        red, green, blue = (
            part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts
        )
        return 0.2126 * red + 0.7152 * green + 0.0722 * blue + 0.05

    ratio = light(color) / light(paper)

    assert max(ratio, 1 / ratio) >= 3.0
