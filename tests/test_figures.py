"""The figures of a sheet: what they say, where things stand, what they may not do to a page."""

import os
import re
import subprocess
import sys
from itertools import pairwise
from pathlib import Path
from xml.etree import ElementTree

import matplotlib as mpl
import numpy as np
import pytest
from figure_cases import (
    CASES,
    PLF,
    SVG,
    bars,
    basement,
    clipped,
    colliding,
    crowded,
    dropped_section,
    flush_section,
    many_spans,
    member,
    narrow_opening,
    opening,
    paper,
    paths,
    plain,
    solved,
    words_in,
)
from hypothesis import given, settings
from hypothesis import strategies as st

from calclib.errors import InputError
from calclib.sheet.figures import (
    BeamShape,
    Curve,
    LandingPoint,
    LineLoad,
    PointLoad,
    PostShape,
    SupportMark,
    UtilizationRow,
    beam_diagrams,
    opening_elevation,
    utilization_bars,
)
from calclib.sheet.figures_canvas import ACCENT, INK, PAPER, SOFT, TINT, Canvas

HOSTILE = "$\\frac{$ <script>alert(1)</script> & \"q\" 'a' ]]> \x00\x1b \u202e 漢字 {{ x }}"
NOTHING = Curve((0.0, 144.0), (0.0, 0.0))


@pytest.fixture(params=CASES, ids=list(CASES))
def figure(request):
    return CASES[request.param]()


def words_by_text(svg):
    return {words.text: words for words in words_in(svg)}


def uniform_beam(figure_id="uniform", **changes):
    """A 12 ft simple span under 400 plf, by the closed forms of design aid No. 6, figure 1."""
    w, length, EI = 400 * PLF, 144.0, 6e8
    x = np.linspace(0, length, 49)
    curves = {
        "shear": Curve(x, w * (length / 2 - x), [(0, w * length / 2), (length, -w * length / 2)]),
        "moment": Curve(x, w * x * (length - x) / 2, [(length / 2, w * length**2 / 8)], "D + L"),
        "deflection": Curve(
            x, w * x * (length**3 - 2 * length * x**2 + x**3) / (24 * EI),
            [(length / 2, 5 * w * length**4 / (384 * EI))],
        ),
    }  # fmt: skip
    given = {
        "title": "the beam", "length": length,
        "supports": [SupportMark(0, "left post"), SupportMark(length, "right post")],
        "line_loads": [LineLoad("D", 0, length, w, w, "floor")], "point_loads": [],
        "zero_name": "the left post",
    }  # fmt: skip
    return beam_diagrams(figure_id=figure_id, **{**given, **curves, **changes})


# The detectors


def test_the_detectors_find_clipped_and_colliding_words():
    canvas = Canvas()
    for x, y, text in ((10, 10, "one"), (12, 12, "two"), (480, 50, "off the right"), (50, 99, "p")):
        canvas.text(x, y, text)
    svg = canvas.figure("planted", 100, "t", "a", "c").svg

    assert clipped(svg) == ["off the right", "p"]
    assert colliding(svg) == [("two", "one")]


# On the paper


def test_no_word_is_clipped(figure):
    assert clipped(figure.svg) == []


def test_no_word_covers_another(figure):
    assert colliding(figure.svg) == []


def test_no_arrow_runs_through_a_word():
    """The shafts of point loads keep clear of the labels of the others."""
    svg = crowded().svg
    left, right = member(svg)
    shafts = [
        spots
        for spots in paths(svg, fill="none", stroke=INK, stroke_width="0.8")
        if len(spots) == 2 and spots[0][0] == spots[1][0] and left < spots[0][0] < right
    ]
    labels = [words for words in words_in(svg) if " lbf, " in words.text]
    crossed = [
        (words.text, spots)
        for spots in shafts
        for words in labels
        if words.left < spots[0][0] < words.right
        and spots[0][1] < words.bottom
        and words.top < spots[1][1]
    ]

    assert len(shafts) == len(labels) == 6
    assert crossed == []


def test_a_load_too_small_to_matter_is_drawn_flat():
    supports = [SupportMark(0, "left post"), SupportMark(20, "right post")]
    load = [PointLoad(10, 9e-300)]
    drawn = uniform_beam(
        length=20.0, supports=supports, line_loads=[], point_loads=load,
        **solved(20.0, supports, [], load),
    )  # fmt: skip

    assert clipped(drawn.svg) == []
    assert "Moment has no extreme to mark" in drawn.alt


def test_no_letter_is_smaller_than_seven_points_at_print_width(figure):
    sizes = re.findall(r'font-size="([\d.]+)"', figure.svg)

    assert paper(figure.svg)[0] == pytest.approx(6.9 * 72)
    assert min(map(float, sizes)) >= 7


SPANS = st.lists(st.floats(20, 250), min_size=1, max_size=5)
NAMES = st.text("abcdefghij xyz", max_size=40)


@settings(max_examples=15)
@given(
    spans=SPANS,
    lines=st.lists(
        st.tuples(
            st.sampled_from(["D", "L", "Lr", "S", "H"]), st.floats(0, 0.9), st.floats(0.02, 1),
            st.floats(1, 60), st.floats(0, 60), NAMES,
        ), max_size=7,
    ),
    points=st.lists(st.tuples(st.floats(0, 1), st.floats(-500, 4000), NAMES), max_size=7),
    system=st.sampled_from(["US", "SI"]),
)  # fmt: skip
def test_no_loading_makes_words_collide(spans, lines, points, system):
    ends = np.concatenate([[0.0], np.cumsum(spans)])
    length = float(ends[-1])
    supports = [SupportMark(float(at), f"support {i}") for i, at in enumerate(ends)]
    line_loads = [
        LineLoad(source, start * length, (start + part * (1 - start)) * length, a, b, label)
        for source, start, part, a, b, label in lines
    ]
    point_loads = [PointLoad(at * length, P, label) for at, P, label in points]

    drawn = beam_diagrams(
        figure_id="any", title="the beam", length=length, supports=supports,
        line_loads=line_loads, point_loads=point_loads, system=system,
        **solved(length, supports, line_loads, point_loads),
    )  # fmt: skip

    assert clipped(drawn.svg) == []
    assert colliding(drawn.svg) == []


def test_extremes_close_to_each_other_keep_their_labels_apart():
    near = [(60.0, 80000.0), (61.0, 80500.0), (62.0, 80200.0), (63.0, -81000.0), (64.0, 79000.0)]
    x = [0.0, *(at for at, _ in near), 144.0]
    y = [0.0, *(value for _, value in near), 0.0]

    drawn = uniform_beam(moment=Curve(x, y, near))

    assert colliding(drawn.svg) == []
    assert {"at 5 ft 0 in", "at 5 ft 1 in", "at 5 ft 2 in", "at 5 ft 3 in", "at 5 ft 4 in"} <= set(
        words_by_text(drawn.svg)
    )


@settings(max_examples=15)
@given(
    clear=st.lists(st.floats(24, 200), min_size=1, max_size=4),
    points=st.lists(st.tuples(st.floats(0, 1), NAMES), max_size=6),
    label=NAMES,
)
def test_no_elevation_makes_words_collide(clear, points, label):
    posts, at = [PostShape(-3.5, 0, 0, "first post", label, 3.5)], 0.0
    for i, gap in enumerate(clear):
        at += gap
        posts.append(PostShape(at, at + 3.5, 0, f"post {i}", label, 3.5))
        at += 3.5

    drawn = opening_elevation(
        figure_id="any", title=label, posts=posts, beam=BeamShape(-3.5, at, 80, 11.25, label),
        points=[LandingPoint(share * at, name) for share, name in points],
    )  # fmt: skip

    assert clipped(drawn.svg) == []
    assert colliding(drawn.svg) == []


# What the diagrams say


def test_uniform_load_shows_the_textbook_extremes():
    """V = wl/2, M = wl^2/8 at mid-span, D = 5wl^4/384EI."""
    # Closed forms of AWC Design Aid No. 6 (2007), figure 1: w = 400 plf, l = 12 ft, EI = 6e8.
    words = words_by_text(uniform_beam().svg)

    assert "2,400 lbf" in words
    assert "−2,400 lbf" in words
    assert "7,200 lbf·ft" in words
    assert f"{5 * (400 / 12) * 144**4 / (384 * 6e8):.3f} in" in words


def test_the_alternative_states_the_result():
    alt = uniform_beam().alt

    assert "Moment peaks at 7,200 lbf·ft, 6 ft 0 in from the left post under D + L." in alt
    assert "Shear peaks at 2,400 lbf, 0 in from the left post" in alt
    assert "it reaches −2,400 lbf, 12 ft 0 in from the left post." in alt
    assert "Deflection peaks at 0.311 in, 6 ft 0 in from the left post." in alt


def test_the_alternative_tells_hogging_from_sagging():
    """Two equal spans: -wl^2/8 over the middle support, 9wl^2/128 in the spans."""
    # Closed forms of AWC Design Aid No. 6 (2007), figure 29: w = 400 plf, l = 12 ft each.
    supports = [SupportMark(144.0 * i, f"post {i}") for i in range(3)]
    load = [LineLoad("D", 0, 288, 400 * PLF, 400 * PLF)]
    alt = uniform_beam(
        length=288.0, supports=supports, line_loads=load, **solved(288.0, supports, load, [])
    ).alt

    assert "Moment peaks at −7,200 lbf·ft (hogging), 12 ft 0 in from the left post" in alt
    assert "it reaches 4,050 lbf·ft, 4 ft 6 in from the left post" in alt


def test_si_shows_kilonewtons_and_millimeters():
    # 1 lbf = 4.4482216 N, 1 in = 25.4 mm (NIST SP 811, Appendix B).
    drawn = uniform_beam(system="SI")
    words = words_by_text(drawn.svg)

    assert f"{2400 * 4.4482216 / 1000:.2f} kN" in words
    assert f"{7200 * 4.4482216 * 0.3048 / 1000:.2f} kN·m" in words
    assert "at 1.829 m" in words
    assert not re.search(r"lbf| ft\b|plf", drawn.svg)


def test_a_label_stands_over_its_extreme():
    """The moment under a load at a quarter of the span peaks there."""
    # Closed form of AWC Design Aid No. 6 (2007), figure 8: Pab/l, P = 1,600 lbf, l = 12 ft.
    supports = [SupportMark(0, "left post"), SupportMark(144, "right post")]
    load = [PointLoad(36, 1600, "post")]
    svg = uniform_beam(
        supports=supports, line_loads=[], point_loads=load, **solved(144.0, supports, [], load)
    ).svg
    left, right = member(svg)
    label = words_by_text(svg)["3,600 lbf·ft"]

    assert label.anchor == pytest.approx(left + (right - left) / 4, abs=0.02)


def test_every_extreme_lies_within_the_width_of_its_label():
    supports = [SupportMark(96.0 * i, f"pier {i}") for i in range(9)]
    load = [LineLoad("D", 0, 768, 30.0, 30.0)]
    curves = solved(768.0, supports, load, [])
    svg = uniform_beam(length=768.0, supports=supports, line_loads=load, **curves).svg
    left, right = member(svg)
    places = {
        f"at {int(at // 12)} ft {at % 12:.0f} in": left + at / 768 * (right - left)
        for at, _ in curves["shear"].extremes
        if at >= 12
    }
    labels = [words for words in words_in(svg) if words.text in places]

    assert len(labels) >= len(places)
    assert all(w.left <= places[w.text] <= w.right for w in labels)


def test_a_curve_is_drawn_through_the_given_places_only():
    """A jump stays a jump: nothing is computed between what was given."""
    x, y = [0.0, 60.0, 60.0, 144.0], [700.0, 700.0, -500.0, -500.0]
    svg = uniform_beam(shear=Curve(x, y, [(60.0, 700.0), (60.0, -500.0)])).svg
    left, right = member(svg)
    heavy = paths(svg, stroke=ACCENT, fill="none")
    shear = next(spots for spots in heavy if len(spots) == len(x) + 2)

    assert [spot[0] for spot in shear[1:-1]] == pytest.approx(
        [left + at / 144 * (right - left) for at in x], abs=0.02
    )
    assert shear[2][1] < shear[0][1] < shear[3][1]
    assert shear[2][1] - shear[0][1] == pytest.approx(-7 / 5 * (shear[3][1] - shear[0][1]), abs=0.1)


def test_moment_sags_upward_and_deflection_goes_down_and_the_caption_says_so():
    drawn = uniform_beam()
    curves = [spots for spots in paths(drawn.svg, stroke=ACCENT, fill="none") if len(spots) == 51]
    moment, deflection = curves[1:]

    assert moment[25][1] < moment[0][1]
    assert deflection[25][1] > deflection[0][1]
    assert "moment is drawn upward where the member sags" in drawn.caption


def test_extents_of_loads_and_spans_are_written():
    text = " ".join(words_by_text(plain().svg))

    assert "S 198 plf, roof on the bedroom wall, 5 ft 0 in to 13 ft 6 in" in text
    assert "560 lbf, chimney strut, at 3 ft 6 in" in text
    assert "west post" in text
    assert "13 ft 6 in" in words_by_text(plain().svg)


def test_a_row_of_like_loads_is_drawn_arrow_by_arrow_under_one_label():
    text = " ".join(words_by_text(many_spans().svg))

    assert "12 × 300 to 344 lbf, joists, 16 ft 8 in to 31 ft 4 in" in text
    assert text.count("joists") == 1


def test_a_member_without_load_is_drawn_flat():
    drawn = uniform_beam(line_loads=[], shear=NOTHING, moment=NOTHING, deflection=NOTHING)

    assert "carries no load" in drawn.alt
    assert "Moment has no extreme to mark." in drawn.alt


# What the elevation and the section say


def test_the_elevation_is_to_scale():
    """The beam on the paper has the proportions of the beam, and of the scale bar."""
    svg = opening().svg
    beam = max(paths(svg, fill=TINT), key=lambda spots: spots[1][0] - spots[0][0])
    wide, high = beam[1][0] - beam[0][0], beam[0][1] - beam[2][1]
    words = words_in(svg)
    zero, two = (next(w.anchor for w in words if w.text == text) for text in ("0", "2"))

    assert wide / high == pytest.approx(169 / 11.875, rel=0.002)
    assert (two - zero) / wide == pytest.approx(24 / 169, rel=0.002)


def test_joists_are_drawn_at_their_spacing():
    svg = opening().svg
    scale = (lambda s: (s[1][0] - s[0][0]) / 169)(
        max(paths(svg, fill=TINT), key=lambda spots: spots[1][0] - spots[0][0])
    )
    ends = max((s for s in paths(svg, fill=PAPER) if len(s) % 4 == 0), key=len)
    lefts = [spot[0] for spot in ends[::4]]

    # 162 in at 16 in: 10 whole spaces, 11 joists.
    assert len(lefts) == 11
    assert [b - a for a, b in pairwise(lefts)] == pytest.approx([16 * scale] * 10, abs=0.03)


def test_the_elevation_names_everything_with_its_dimensions():
    text = words_by_text(opening().svg)

    assert {"13 ft 6 in clear", "beam 14 ft 1 in", "7 ft 1 in", "bearing 3 1/2 in"} <= set(text)
    assert "bedroom wall, 8 ft 0 in high, 5 ft 0 in to 13 ft 6 in" in text
    assert "chimney strut, 560 lbf, at 3 ft 6 in" in text


def test_the_elevation_s_alternative_states_spans_and_loads():
    alt = basement().alt

    assert "clear between them 11 ft 2 1/4 in, 12 ft 4 1/2 in, 11 ft 2 1/4 in." in alt
    assert "stair wall from 10 ft 0 in to 20 ft 10 in" in alt
    assert "girder truss at 9 ft 4 in" in alt
    assert "measured from the south end" in alt


def test_a_narrow_wall_is_named_up_the_page():
    node = next(
        node
        for node in ElementTree.fromstring(narrow_opening().svg).iter(f"{SVG}text")
        if node.text == "wall stays as found"
    )

    assert node.get("transform").startswith("rotate(-90")


def test_the_section_states_plies_and_how_joists_meet_the_beam():
    dropped, flush = dropped_section(), flush_section()

    assert "3 × 1 3/4 in = 5 1/4 in" in words_by_text(dropped.svg)
    assert "on top of the beam" in dropped.alt
    assert "2 × 38 mm = 76 mm" in words_by_text(flush.svg)
    assert "hung on the face of the beam" in flush.alt


def test_a_bar_never_rounds_a_failing_check_onto_the_limit():
    alt = bars().alt

    assert "uplift: just over 1, FAILS." in alt
    assert "bearing on the east post: no number, OPEN." in alt
    assert "shear at the notch: no finite number, FAILS." in alt


def test_a_failing_bar_differs_from_a_passing_one_by_more_than_color():
    rows = [UtilizationRow("a", 0.9, "passes"), UtilizationRow("b", 1.2, "FAILS")]
    svg = utilization_bars(figure_id="two", title="two", rows=rows).svg

    assert [w.text for w in words_in(svg) if "," in w.text] == ["0.900, passes", "1.200, FAILS"]
    assert svg.count('fill="url(#two-hatch-1)"') == 1


# In a page


def test_the_same_data_give_the_same_bytes():
    assert crowded() == crowded()


def test_another_process_with_other_settings_gives_the_same_bytes():
    """Neither the hash seed nor a user's Matplotlib settings reach the figure."""
    code = (
        "import sys; sys.path.insert(0, sys.argv[1])\n"
        "import matplotlib\n"
        "matplotlib.rcParams.update({'font.size': 30, 'svg.fonttype': 'path', 'lines.linewidth': 9,"
        " 'hatch.linewidth': 5, 'savefig.dpi': 300, 'savefig.bbox': 'tight', 'text.usetex': True,"
        " 'axes.unicode_minus': False, 'figure.facecolor': 'red', 'figure.autolayout': True})\n"
        "from figure_cases import opening, plain\n"
        "sys.stdout.reconfigure(encoding='utf-8')\n"
        "print(plain().svg + opening().svg)\n"
    )
    here = str(Path(__file__).parent)
    environment = {**os.environ, "PYTHONHASHSEED": "7"}
    ran = subprocess.run(
        [sys.executable, "-c", code, here], env=environment, capture_output=True, check=True,
        encoding="utf-8", cwd=Path(here).parent,
    )  # fmt: skip

    assert ran.stdout == plain().svg + opening().svg + "\n"


def test_drawing_leaves_matplotlib_s_settings_alone():
    before = dict(mpl.rcParams)
    plain()

    assert dict(mpl.rcParams) == before


def test_no_two_figures_of_a_page_share_an_id():
    page = "".join(make().svg for make in CASES.values())
    ids = re.findall(r'\bid="([^"]+)"', page)

    assert len(ids) > 2 * len(CASES)
    assert len(ids) == len(set(ids))


def test_every_reference_stays_inside_its_figure(figure):
    ids = set(re.findall(r'\bid="([^"]+)"', figure.svg))
    references = re.findall(r"url\(#([^)]+)\)", figure.svg)

    assert set(references) <= ids


def test_a_figure_cannot_style_or_script_the_page(figure):
    root = ElementTree.fromstring(figure.svg)
    tags = {node.tag.removeprefix(SVG) for node in root.iter()}
    names = {name for node in root.iter() for name in node.attrib}

    assert figure.svg.startswith("<svg ")
    assert tags <= {"svg", "title", "desc", "g", "path", "text", "defs", "pattern", "rect"}
    assert not {name for name in names if name.startswith("on") or "href" in name}
    assert "style" not in names


def test_title_and_description_name_the_figure(figure):
    root = ElementTree.fromstring(figure.svg)
    by_id = {node.get("id"): node for node in root.iter() if node.get("id")}
    title, description = (by_id[name] for name in root.get("aria-labelledby").split())

    assert root.get("role") == "img"
    assert title.text
    assert description.text == figure.alt


def test_text_of_a_job_is_only_text():
    """Math signs, markup, letters that the measuring font lacks: shown as they stand."""
    drawn = plain(text=HOSTILE), opening(text=HOSTILE)

    for figure in drawn:
        root = ElementTree.fromstring(figure.svg)
        texts = " ".join(node.text for node in root.iter(f"{SVG}text"))
        assert "$\\frac{$ <script>alert(1)</script> & \"q\" 'a' ]]> 漢字 {{ x }}" in texts
        assert clipped(figure.svg.replace("漢字", "WW")) == []
        assert not list(root.iter(f"{SVG}script"))


def test_a_label_without_end_is_cut_with_an_ellipsis():
    drawn = plain(text="endless " * 400)

    assert clipped(drawn.svg) == []
    assert any(words.text.endswith("…") for words in words_in(drawn.svg))


def luminance(color):
    parts = [int(color[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.03928 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return float(np.dot([0.2126, 0.7152, 0.0722], linear))


@pytest.mark.parametrize("ink", [INK, SOFT, ACCENT])
@pytest.mark.parametrize("ground", [PAPER, TINT])
def test_words_and_curves_stand_out_in_gray(ink, ground):
    # WCAG 2.1, success criterion 1.4.3: a contrast of at least 4.5 to 1.
    assert (luminance(ground) + 0.05) / (luminance(ink) + 0.05) >= 4.5


def test_a_figure_id_that_cannot_stand_in_html_is_refused():
    with pytest.raises(InputError, match=r'^figure id: needs a letter, then .*, got "1 beam"\.$'):
        uniform_beam("1 beam")


def test_another_system_of_units_is_refused():
    with pytest.raises(InputError, match=r'needs "US" or "SI", got "metric"'):
        uniform_beam(system="metric")


def test_importing_the_figures_does_not_import_matplotlib():
    code = "import sys, calclib.sheet.figures; print('matplotlib' in sys.modules)"
    ran = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, check=True, text=True,
        cwd=Path(__file__).parents[1],
    )  # fmt: skip

    assert ran.stdout == "False\n"


def test_chromium_shows_every_word_inside_its_figure(browser):
    """In the reader's fonts too, and without a message on the console."""
    page = browser.new_page()
    messages = []
    page.on("console", lambda message: messages.append(message.text))
    figures = "".join(f"<figure>{make().svg}</figure>" for make in CASES.values())
    page.set_content(
        f'<!DOCTYPE html><html lang="en"><title>t</title><body>{figures}</body></html>'
    )
    off = page.evaluate(
        """() => [...document.querySelectorAll('svg text')].filter(text => {
            const word = text.getBoundingClientRect()
            const sheet = text.ownerSVGElement.getBoundingClientRect()
            return word.left < sheet.left || word.right > sheet.right
                || word.top < sheet.top - 1 || word.bottom > sheet.bottom + 1
        }).map(text => text.textContent)"""
    )
    count = page.evaluate("() => document.querySelectorAll('svg text').length")
    page.close()

    assert count > 300
    assert off == []
    assert messages == []


def test_a_curve_jumps_straight_up_at_a_support():
    """From the limit on the left to that on the right, with no step back between them."""
    from calclib.mechanics import Beam, Line, Support, solve
    from calclib.sheet.drawings import curve

    # Handbook beam table, uniform load on span and overhang a: w a on the side of the overhang,
    # w (span^2 + a^2) / 2 span on the other.
    span, a, w = 180.0, 60.0, 50.0
    beam = Beam(length=span + a, supports=[Support(0.0), Support(span)], EI=1e8)
    shear = curve(solve(beam, {"D": [Line(0.0, span + a, w, w)]}).curves, "shear")
    there = [y for x, y in zip(shear.x, shear.y, strict=True) if x == span]

    assert there == pytest.approx([-w * (span * span + a * a) / (2 * span), w * a])
    assert list(shear.x) == sorted(shear.x)
