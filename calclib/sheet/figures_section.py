"""A beam cut across, with the joists that meet it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from calclib.sheet.figures_canvas import (
    ACCENT,
    BODY,
    CAPITAL,
    EDGE,
    FAINT,
    HAIR,
    HEAD,
    HEAVY,
    MEDIUM,
    NOTE,
    PAPER,
    SOFT,
    THIN,
    TINT,
    Canvas,
    Figure,
    Spot,
    block_height,
    wrap,
)
from calclib.sheet.figures_marks import (
    break_line,
    dimension_column,
    dimension_row,
    length_text,
    require_system,
    scale_bar,
    wrapped,
)

# In inches: how much of a joist is drawn.
REACH = 20.0
# And of a post.
STUB = 6.0
LARGEST_SCALE = 9.0
TALLEST = 150.0


@dataclass(frozen=True)
class SectionBeam:
    """A beam cut across; lengths in inches.

    Attributes
    ----------
    plies : int
    ply_width, depth : float [in]
    label : str
    """

    plies: int
    ply_width: float
    depth: float
    label: str

    @property
    def width(self) -> float:
        """Of all plies together."""
        return self.plies * self.ply_width


@dataclass(frozen=True)
class SectionJoist:
    """A joist that meets the beam; lengths in inches.

    Attributes
    ----------
    side : {"left", "right"}
    bottom : float [in]
        Of the joist, above the bottom of the beam; at the beam's depth or above it the joist
        lies on the beam, below it hangs on its face.
    depth : float [in]
    label : str
    """

    side: str
    bottom: float
    depth: float
    label: str


@dataclass(frozen=True)
class _Cut:
    beam: SectionBeam
    system: str
    scale: float
    middle: float
    base: float

    @property
    def half(self) -> float:
        return self.beam.width / 2

    def spot(self, x: float, height: float) -> Spot:
        """Return the place of a distance from the beam's middle and a height."""
        return self.middle + x * self.scale, self.base - height * self.scale

    def box(self, near: float, far: float, bottom: float, top: float) -> list[Spot]:
        corners = ((near, bottom), (far, bottom), (far, top), (near, top))
        return [self.spot(*corner) for corner in corners]

    def text(self, inches: float) -> str:
        return length_text(inches, self.system)

    def lies(self, joist: SectionJoist) -> bool:
        """Whether a joist lies on the beam."""
        return joist.bottom >= self.beam.depth


def section_through_beam(
    *,
    figure_id: str,
    title: str,
    beam: SectionBeam,
    joists: Sequence[SectionJoist] = (),
    post_width: float | None = None,
    system: str = "US",
) -> Figure:
    """Draw the beam cut across, to scale, with what meets it from both sides.

    Parameters
    ----------
    figure_id : str
        Unlike that of any other figure of the page.
    title : str
        Name of the beam.
    beam : SectionBeam
    joists : sequence of SectionJoist
        At most one for each side.
    post_width : float, optional [in]
        Of the post below, across the line of the beam.
    system : {"US", "SI"}

    Returns
    -------
    Figure

    Raises
    ------
    InputError
        For another system of units, or a figure id with odd characters.
    """
    require_system(system)
    canvas = Canvas()
    top = max([beam.depth, *(joist.bottom + joist.depth for joist in joists)])
    low = -STUB if post_width else 0.0
    scale = min(250.0 / (beam.width + 2 * REACH), TALLEST / (top - low), LARGEST_SCALE)
    cut = _Cut(beam, system, scale, canvas.width / 2 - 24.0, EDGE + 22.0 + top * scale)
    for joist in joists:
        _draw_joist(canvas, cut, joist)
    if post_width:
        _draw_post(canvas, cut, post_width)
    edges = [i * beam.ply_width - cut.half for i in range(beam.plies + 1)]
    plies = [cut.box(a, b, 0.0, beam.depth) for a, b in pairwise(edges)]
    canvas.areas(plies, TINT, HEAVY)
    canvas.lines([(ply[0], ply[2]) for ply in plies], weight=HAIR, color=SOFT)
    canvas.lines([(ply[1], ply[3]) for ply in plies], weight=HAIR, color=SOFT)
    _draw_hangers(canvas, cut, joists)
    _name_beam(canvas, cut, joists)
    _draw_heights(canvas, cut, joists)
    foot = _draw_widths(canvas, cut, edges, cut.spot(0.0, low)[1] + 16.0) + 12.0
    bar = scale_bar(canvas, canvas.width - EDGE, foot + 9.0, scale, system)
    heading = wrap(f"Section through {title}", HEAD, bar - EDGE - 12.0, 2, bold=True)
    below = canvas.block(EDGE, foot, heading, HEAD, bold=True)
    return canvas.figure(
        figure_id,
        max(below.bottom, foot + 13.0) + EDGE,
        f"Section through {title}",
        _section_alternative(cut, title, joists),
        "To scale. Crossed outlines are cut."
        + (" The thick lines are hangers." if any(not cut.lies(j) for j in joists) else ""),
    )


def _section_alternative(cut: _Cut, title: str, joists: Sequence[SectionJoist]) -> str:
    beam = cut.beam
    parts = [
        f"Section through {title}: {beam.label}, {beam.plies} "
        f"{'ply' if beam.plies == 1 else 'plies'} of {cut.text(beam.ply_width)}, together "
        f"{cut.text(beam.width)} wide and {cut.text(beam.depth)} deep."
    ]
    for joist in joists:
        how = "on top of the beam" if cut.lies(joist) else "hung on the face of the beam"
        parts.append(f"On the {joist.side} {joist.label}, {cut.text(joist.depth)} deep, {how}.")
    return " ".join(parts)


def _sign(joist: SectionJoist) -> float:
    return -1.0 if joist.side == "left" else 1.0


def _draw_joist(canvas: Canvas, cut: _Cut, joist: SectionJoist) -> None:
    sign, low, high = _sign(joist), joist.bottom, joist.bottom + joist.depth
    near = 0.0 if cut.lies(joist) else sign * cut.half
    far = sign * (cut.half + REACH)
    outline = cut.box(near, far, low, high)
    canvas.areas([outline], PAPER)
    canvas.line(outline[1], outline[0], outline[3], outline[2], weight=MEDIUM)
    x, y_low, y_high = outline[1][0], outline[1][1], outline[2][1]
    middle = (y_low + y_high) / 2
    canvas.line(
        (x, y_low + 4.0),
        (x, middle + 4.0),
        (x - 4.0, middle + 2.0),
        (x + 4.0, middle - 2.0),
        (x, middle - 4.0),
        (x, y_high - 4.0),
        weight=THIN,
    )
    grain = [low + share * joist.depth for share in (0.12, 0.88)]
    canvas.lines(
        [(cut.spot(near + sign, h), cut.spot(far - sign, h)) for h in grain],
        weight=HAIR,
        color=FAINT,
    )
    lines = wrapped(joist.label, REACH * cut.scale - 12.0, BODY, 3)
    top = middle - block_height(len(lines), BODY) / 2
    canvas.block(cut.spot(sign * (cut.half + REACH / 2), 0.0)[0], top, lines, BODY, "center")


def _draw_post(canvas: Canvas, cut: _Cut, width: float) -> None:
    foot = cut.box(-width / 2, width / 2, -STUB, 0.0)
    canvas.areas([foot], PAPER)
    canvas.line(foot[0], foot[3], foot[2], foot[1], weight=MEDIUM)
    (left, y), (right, _) = foot[:2]
    canvas.line(*break_line(left - 4.0, right + 4.0, y), weight=THIN)


def _draw_hangers(canvas: Canvas, cut: _Cut, joists: Sequence[SectionJoist]) -> None:
    for joist in joists:
        if not cut.lies(joist):
            face = _sign(joist) * cut.half
            canvas.line(
                cut.spot(face + _sign(joist) * 2.5, joist.bottom),
                cut.spot(face, joist.bottom),
                cut.spot(face, joist.bottom + 0.8 * joist.depth),
                weight=2.2,
                color=ACCENT,
            )


def _name_beam(canvas: Canvas, cut: _Cut, joists: Sequence[SectionJoist]) -> None:
    beam = cut.beam
    if all(cut.lies(joist) for joist in joists):
        x, y = cut.spot(-cut.half, beam.depth / 2)
        lines = wrapped(beam.label, 130.0, BODY, 4)
        canvas.line((x, y), (x - 10.0, y), weight=HAIR)
        canvas.block(x - 12.0, y - block_height(len(lines), BODY) / 2, lines, BODY, "right")
        return
    x, y = cut.spot(0.0, beam.depth)
    canvas.line((x, y), (x, EDGE + BODY + 2.0), weight=HAIR)
    canvas.block(x, EDGE, wrap(beam.label, BODY, canvas.width - 2 * EDGE, 1), BODY, "center")


def _draw_widths(canvas: Canvas, cut: _Cut, edges: Sequence[float], y: float) -> float:
    """Draw the width of all plies with a tick at each, and return the y below it."""
    beam = cut.beam
    xs = [cut.spot(edge, 0.0)[0] for edge in edges]
    if beam.plies == 1:
        return dimension_row(canvas, xs, [cut.text(beam.width)], y, reach=5.0)
    dimension_row(canvas, xs, [""] * beam.plies, y, reach=5.0)
    text = f"{beam.plies} × {cut.text(beam.ply_width)} = {cut.text(beam.width)}"
    canvas.text(cut.middle, y + 5.0 + CAPITAL * NOTE, text, NOTE, "center")
    return y + 5.0 + block_height(1, NOTE)


def _draw_heights(canvas: Canvas, cut: _Cut, joists: Sequence[SectionJoist]) -> None:
    beam = cut.beam
    x = cut.spot(cut.half + REACH, 0.0)[0] + 14.0
    heights, texts = [beam.depth, 0.0], [f"{cut.text(beam.depth)}\nbeam"]
    for joist in joists:
        top, words = joist.bottom + joist.depth, f"{cut.text(joist.depth)}\njoist"
        ys = [cut.spot(0.0, height)[1] for height in (top, joist.bottom)]
        if joist.side == "left":
            left = cut.spot(-cut.half - REACH, 0.0)[0] - 14.0
            dimension_column(canvas, left, ys, [words], 6.0, mirrored=True)
        elif joist.bottom == beam.depth:
            heights, texts = [top, *heights], [words, *texts]
        elif (joist.bottom, top) == (0.0, beam.depth):
            texts = [f"{texts[0]} and joist"]
        else:
            dimension_column(canvas, x + 56.0, ys, [words], 6.0)
    dimension_column(canvas, x, [cut.spot(0.0, h)[1] for h in heights], texts, 6.0)
