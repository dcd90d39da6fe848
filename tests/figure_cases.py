"""Figures to look at, and what can be read from their SVG; all names and sizes are invented."""

import re
from dataclasses import dataclass
from xml.etree import ElementTree

import numpy as np
from matplotlib import get_data_path
from matplotlib.font_manager import FontProperties
from matplotlib.textpath import text_to_path

from calclib.mechanics import Beam, Line, Point, Support, solve
from calclib.sheet.figures import (
    BeamShape,
    Curve,
    JoistRow,
    LandingLoad,
    LandingPoint,
    Level,
    LineLoad,
    PointLoad,
    PostShape,
    SectionBeam,
    SectionJoist,
    SupportMark,
    UtilizationRow,
    WallShape,
    beam_diagrams,
    opening_elevation,
    section_through_beam,
    utilization_bars,
)

SVG = "{http://www.w3.org/2000/svg}"
PLF = 1 / 12


@dataclass(frozen=True)
class Words:
    """A text in a drawing and the room it takes, in points."""

    text: str
    anchor: float
    left: float
    top: float
    right: float
    bottom: float


def words_in(svg):
    """Return all texts of an SVG, measured by Matplotlib in the font that ships with it."""
    found = []
    for node in ElementTree.fromstring(svg).iter(f"{SVG}text"):
        size, bold = float(node.get("font-size")), node.get("font-weight") == "700"
        name = "DejaVuSans-Bold.ttf" if bold else "DejaVuSans.ttf"
        font = FontProperties(fname=f"{get_data_path()}/fonts/ttf/{name}", size=size)
        wide, high, deep = text_to_path.get_text_width_height_descent(node.text, font, False)
        x, y = float(node.get("x")), float(node.get("y"))
        before = {"start": 0.0, "middle": wide / 2, "end": wide}[node.get("text-anchor")]
        up = high - deep
        if node.get("transform"):
            box = (x - up, y - wide + before, x + deep, y + before)
        else:
            box = (x - before, y - up, x - before + wide, y + deep)
        found.append(Words(node.text, x, *box))
    return found


def clipped(svg):
    """Return the texts that run off the paper."""
    wide, high = paper(svg)
    return [
        w.text
        for w in words_in(svg)
        if w.left < 0 or w.top < 0 or w.right > wide or w.bottom > high
    ]


def colliding(svg):
    """Return the pairs of texts that overlap by more than a hair."""
    words = words_in(svg)
    return [
        (a.text, b.text)
        for i, a in enumerate(words)
        for b in words[:i]
        if min(a.right, b.right) - max(a.left, b.left) > 0.5
        and min(a.bottom, b.bottom) - max(a.top, b.top) > 0.5
    ]


def paper(svg):
    """Return width and height of the drawing, in points."""
    root = ElementTree.fromstring(svg)
    left, top, wide, high = map(float, root.get("viewBox").split())
    assert (left, top) == (0, 0)
    return wide, high


def paths(svg, **attributes):
    """Return the corners of each path with certain attributes, in points."""
    wanted = {name.replace("_", "-"): value for name, value in attributes.items()}
    found = []
    for node in ElementTree.fromstring(svg).findall(f".//{SVG}path"):
        if all(node.get(name) == value for name, value in wanted.items()):
            numbers = [float(number) for number in re.findall(r"-?[\d.]+", node.get("d"))]
            found.append(list(zip(numbers[::2], numbers[1::2], strict=True)))
    return found


def member(svg):
    """Return the left and right end of the member in beam diagrams: the widest black bar."""
    bars = [spots for spots in paths(svg, fill="#1a1a1a") if len(spots) == 4]
    widest = max(bars, key=lambda spots: spots[1][0] - spots[0][0])
    return widest[0][0], widest[1][0]


def solved(length, supports, lines, points, EI=1.5e9):
    """Return the three curves of one case with their extremes, span by span."""
    beam = Beam(length=length, supports=[Support(s.at) for s in supports], EI=EI)
    loads = [Line(w.start, w.end, w.w_start, w.w_end) for w in lines]
    loads += [Point(p.at, p.P) for p in points]
    curves = solve(beam, {"all": loads}).combine([[1.0]])

    def curve(read, extremes, case, jumps):
        marked = []
        for span in range(extremes.highest.shape[1]):
            marked.append((extremes.highest_at[0, span], extremes.highest[0, span]))
            marked.append((extremes.lowest_at[0, span], extremes.lowest[0, span]))
        xs, ys = [], []
        for low, high in zip(curves.breaks[:-1], curves.breaks[1:], strict=True):
            inside = [at for at, _ in marked if low <= at <= high]
            x = np.unique([*np.linspace(low, high, 21), *inside])
            y = np.array(read(x)[0])
            if jumps:
                y[-1] = read(high, left=True)[0]
            xs += list(x)
            ys += list(y)
        return Curve(xs, ys, marked, case)

    return {
        "shear": curve(curves.shear, curves.shear_extremes, "D + L", True),
        "moment": curve(curves.moment, curves.moment_extremes, "D + 0.75L + 0.75S", True),
        "deflection": curve(curves.deflection, curves.deflection_extremes, "1.5D + L", False),
    }


def plain(figure_id="plain", system="US", text="floor joists, both sides"):
    """Draw an ordinary opening."""
    n = 162.0
    supports = [SupportMark(0, "west post"), SupportMark(n, "east post")]
    lines = [
        LineLoad("D", 0, n, 185 * PLF, 185 * PLF, text),
        LineLoad("L", 0, n, 372 * PLF, 372 * PLF, "bedroom floor"),
        LineLoad("S", 60, n, 198 * PLF, 198 * PLF, "roof on the bedroom wall"),
    ]
    points = [PointLoad(42, 560, "chimney strut")]
    return beam_diagrams(
        figure_id=figure_id, title="the opening beam", length=n, supports=supports,
        line_loads=lines, point_loads=points, system=system, zero_name="the west post",
        loading_note="unfactored", **solved(n, supports, lines, points),
    )  # fmt: skip


def crowded(figure_id="crowded", system="US"):
    """Draw three spans with eight line loads, and point loads close to each other and the ends."""
    n = 432.0
    supports = [
        SupportMark(0, "south wall pocket"), SupportMark(140, "steel column B"),
        SupportMark(292, "column C"), SupportMark(n, "north wall pocket"),
    ]  # fmt: skip
    lines = [
        LineLoad("D", 0, n, 210 * PLF, 210 * PLF, "first floor joists, with partitions"),
        LineLoad("L", 0, 140, 480 * PLF, 480 * PLF, "first floor, span 1"),
        LineLoad("L", 140, 292, 480 * PLF, 480 * PLF, "first floor, span 2"),
        LineLoad("L", 292, n, 480 * PLF, 480 * PLF, "first floor, span 3"),
        LineLoad("D", 30, 70, 90 * PLF, 220 * PLF, "stair wall, sloping"),
        LineLoad("Lr", 292, n, 160 * PLF, 160 * PLF, "porch roof"),
        LineLoad("S", 380, n, 0, 330 * PLF, "drift"),
        LineLoad("D", 0, n, 12 * PLF, 12 * PLF, "own weight"),
    ]
    points = [
        PointLoad(100, 1900, "post from above"), PointLoad(112, -600, "uplift of the canopy"),
        PointLoad(133, 2400, "girder truss"), PointLoad(300, 900, "stair header"),
        PointLoad(410, 1500, "chimney"), PointLoad(425, 800, "dormer post"),
    ]  # fmt: skip
    return beam_diagrams(
        figure_id=figure_id, title="the basement beam", length=n, supports=supports,
        line_loads=lines, point_loads=points, system=system,
        **solved(n, supports, lines, points),
    )  # fmt: skip


def many_spans():
    """Draw eight short spans, each with its live load, and joists as a row of arrows."""
    n, count = 96.0, 8
    supports = [SupportMark(i * n, f"pier {i + 1}") for i in range(count + 1)]
    lines = [
        LineLoad("L", i * n, (i + 1) * n, (300 + i) * PLF, (300 + i) * PLF, "live")
        for i in range(count)
    ]
    points = [PointLoad(200 + 16 * i, 300 + 4 * i, "joists") for i in range(12)]
    return beam_diagrams(
        figure_id="many", title="the girder", length=count * n, supports=supports,
        line_loads=lines, point_loads=points, **solved(count * n, supports, lines, points, 3e8),
    )  # fmt: skip


def overhang():
    """Draw a long beam with an overhang at both ends, one of 4 inches."""
    n = 720.0
    supports = [SupportMark(48, "wall at the terrace"), SupportMark(n - 4, "chimney pier")]
    lines = [LineLoad("D", 0, n, 85 * PLF, 85 * PLF)]
    points = [PointLoad(0, 400, "railing post")]
    return beam_diagrams(
        figure_id="overhang", title="the long beam", length=n, supports=supports,
        line_loads=lines, point_loads=points, **solved(n, supports, lines, points, 4e10),
    )  # fmt: skip


def opening(figure_id="opening", system="US", text="roof, rafters from the north"):
    """Draw the elevation of an opening with a dropped beam."""
    floor = "4x6 Douglas fir-larch No.1"
    return opening_elevation(
        figure_id=figure_id, title="the opening between kitchen and dining room",
        beam=BeamShape(-3.5, 165.5, 85, 11.875, "beam, 3 plies 1-3/4 x 11-7/8, dropped"),
        posts=[PostShape(-3.5, 0, 0, "west post", floor, 3.5),
               PostShape(162, 165.5, 0, "east post", floor, 3.5)],
        joists=[JoistRow("near", 0, 162, 16, 96.875, 9.25, 1.5, "east joists 2x10 at 16 in"),
                JoistRow("far", 0, 162, 16, 96.875, 9.25, 1.5, "west joists 2x10 at 16 in")],
        walls=[WallShape(-32, -3.5, 0, 96.875, "wall stays"),
               WallShape(165.5, 200, 0, 96.875, "wall stays"),
               WallShape(60, 162, 106.9, 202.9, "bedroom wall, 8 ft 0 in high", "above")],
        levels=[Level(0, "floor"), Level(96.875, "ceiling"), Level(106.9, "bedroom floor")],
        loads=[LandingLoad(60, 162, text)],
        points=[LandingPoint(42, "chimney strut, 560 lbf")],
        system=system, zero_name="the west post's inner face",
    )  # fmt: skip


def narrow_opening():
    """Draw a short flush header with narrow pieces of wall."""
    return opening_elevation(
        figure_id="narrow", title="the small opening",
        beam=BeamShape(-3, 39, 82, 9.25, "flush header, 2 plies 2x10"),
        posts=[PostShape(-3, 0, 0, "left jack studs", "two 2x4", 3),
               PostShape(36, 39, 0, "right jack studs", "two 2x4", 3)],
        joists=[JoistRow("near", 0, 36, 16, 82, 9.25, 1.5, "hall joists 2x10 at 16 in, hung"),
                JoistRow("far", 20, 36, 12, 82, 9.25, 1.5, "bath joists")],
        walls=[WallShape(-20, -3, 0, 92, "wall stays"),
               WallShape(39, 48, 0, 92, "wall stays as found"),
               WallShape(0, 12, 92, 180, "closet wall", "above")],
        levels=[Level(0, "floor"), Level(82, "ceiling"), Level(92, "floor above")],
        points=[LandingPoint(34, "post from above, 2,200 lbf"), LandingPoint(30, "strut")],
    )  # fmt: skip


def basement():
    """Draw the elevation of a girder with three spans on columns."""
    return opening_elevation(
        figure_id="basement", title="the basement girder",
        beam=BeamShape(0, 432, 78, 11.25, "girder, 4 plies 2x12"),
        posts=[PostShape(-8, 4, 0, "south pocket", "8 in concrete wall", 4, "masonry"),
               PostShape(138.25, 141.75, 0, "column B", "steel pipe, 3-1/2 in", 3.5),
               PostShape(290.25, 293.75, 0, "column C", "steel pipe, 3-1/2 in", 3.5),
               PostShape(428, 440, 0, "north pocket", "8 in concrete wall", 4, "masonry")],
        joists=[JoistRow("near", 4, 428, 16, 89.25, 9.25, 1.5, "east joists 2x10 at 16 in"),
                JoistRow("far", 4, 428, 24, 89.25, 9.25, 1.5, "west joists 2x10 at 24 in")],
        walls=[WallShape(120, 250, 99.25, 195, "stair wall", "above"),
               WallShape(300, 428, 99.25, 195, "kitchen wall", "above")],
        levels=[Level(0, "slab"), Level(99.25, "first floor")],
        loads=[LandingLoad(120, 250, "second floor on the stair wall"),
               LandingLoad(300, 428, "second floor and roof on the kitchen wall")],
        points=[LandingPoint(425, "stair header"), LandingPoint(100, "post from above"),
                LandingPoint(112, "girder truss"), LandingPoint(292, "chimney"),
                LandingPoint(410, "dormer post")],
        zero_name="the south end",
    )  # fmt: skip


def dropped_section():
    """Draw a section with joists on top."""
    return section_through_beam(
        figure_id="section-dropped", title="the opening beam",
        beam=SectionBeam(3, 1.75, 11.875, "3 plies 1-3/4 x 11-7/8"),
        joists=[SectionJoist("left", 11.875, 9.25, "west joists 2x10 at 16 in"),
                SectionJoist("right", 11.875, 9.25, "east joists 2x10 at 16 in")],
        post_width=5.5,
    )  # fmt: skip


def flush_section():
    """Draw a section with joists of two depths in hangers."""
    return section_through_beam(
        figure_id="section-flush", title="the flush header", system="SI",
        beam=SectionBeam(2, 1.5, 9.25, "2 plies 2x10"),
        joists=[SectionJoist("left", 0, 9.25, "hall joists 2x10 at 16 in, in hangers"),
                SectionJoist("right", 2, 7.25, "bath joists 2x8 at 12 in, in hangers")],
    )  # fmt: skip


def bars():
    """Draw utilizations of all states."""
    return utilization_bars(
        figure_id="bars", title="all checks",
        rows=[UtilizationRow("opening beam, bending", 0.783, "passes"),
              UtilizationRow("total deflection with long-term load", 1.062, "FAILS"),
              UtilizationRow("bearing on the west post", 0.98, "passes"),
              UtilizationRow("bearing on the east post", None, "OPEN"),
              UtilizationRow("shear", 3.4, "FAILS"),
              UtilizationRow("shear at the notch", float("inf"), "FAILS"),
              UtilizationRow("uplift", 1.0002, "FAILS")],
    )  # fmt: skip


CASES = {
    "plain": plain,
    "plain SI": lambda: plain("plain-si", "SI"),
    "crowded": crowded,
    "crowded SI": lambda: crowded("crowded-si", "SI"),
    "many spans": many_spans,
    "overhang": overhang,
    "opening": opening,
    "opening SI": lambda: opening("opening-si", "SI"),
    "narrow opening": narrow_opening,
    "basement": basement,
    "section, dropped": dropped_section,
    "section, flush": flush_section,
    "bars": bars,
}
