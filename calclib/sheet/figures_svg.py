"""Matplotlib's SVG of a drawing, made fit to stand in a page with others."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from io import StringIO
from typing import TYPE_CHECKING, Any, Literal
from xml.etree import ElementTree
from xml.sax.saxutils import escape, quoteattr

import numpy as np

if TYPE_CHECKING:
    from matplotlib.backend_bases import GraphicsContextBase
    from matplotlib.backends.backend_svg import RendererSVG
    from matplotlib.font_manager import FontProperties
    from matplotlib.path import Path

PAPER = "#ffffff"
HAIR = 0.35
FONTS = "Arial, Helvetica, 'Liberation Sans', 'DejaVu Sans', sans-serif"
HALO = 'stroke="#ffffff" stroke-width="2.4" stroke-linejoin="round" paint-order="stroke"'

_NUMBER = re.compile(r"-?\d+\.\d+(?:e-?\d+)?")
_PLACE = re.compile(r"translate\(([-\d.]+) ([-\d.]+)\)")
_ANCHORS = {"left": "start", "center": "middle", "right": "end"}
_REFERENCE = re.compile(r"url\(#([^)]+)\)")
_SVG_SETTINGS = {
    "svg.fonttype": "none",
    "path.simplify": False,
}

Spot = tuple[float, float]
Align = Literal["left", "center", "right"]


@dataclass(frozen=True)
class Shape:
    """Lines or areas of one kind, in points from the top left corner of the paper."""

    outlines: tuple[tuple[Spot, ...], ...]
    closed: bool
    stroke: str
    weight: float
    fill: str
    hatch: str
    dash: tuple[float, float] | None


@dataclass(frozen=True)
class Words:
    """A line of text on its baseline."""

    x: float
    y: float
    text: str
    size: float
    align: Align
    bold: bool
    color: str
    halo: bool
    upright: bool


@cache
def font_file(bold: bool) -> str:
    """Return the file of the font in which text is measured."""
    # Measured in the font that comes with Matplotlib, so that a figure has the same bytes on
    # every machine. It runs wider than the fonts that pages are read in.
    from matplotlib import get_data_path

    return f"{get_data_path()}/fonts/ttf/{'DejaVuSans-Bold' if bold else 'DejaVuSans'}.ttf"


def svg_element(
    marks: Sequence[Shape | Words],
    width: float,
    height: float,
    figure_id: str,
    title: str,
    alt: str,
) -> str:
    """Return an ``<svg>`` element with title and description.

    Parameters
    ----------
    marks : sequence of Shape or Words
        From the bottom of the pile to its top.
    width, height : float [points]
    figure_id : str
        What all ids in the element begin with.
    title, alt : str
        Plain text.
    """
    size = f'width="{_short(width)}pt" height="{_short(height)}pt"'
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" role="img" '
        f'aria-labelledby="{figure_id}-title {figure_id}-desc" {size} '
        f'viewBox="0 0 {_short(width)} {_short(height)}" '
        f'font-family="{FONTS}" stroke-linejoin="round">'
        f'<title id="{figure_id}-title">{escape(title)}</title>'
        f'<desc id="{figure_id}-desc">{escape(alt)}</desc>'
    )
    return f"{head}{_Rewriter(figure_id).inside(_printed(marks, width, height, figure_id))}</svg>"


def _draw(renderer: RendererSVG, marks: Sequence[Shape | Words], height: float) -> None:
    """Draw all marks: an artist for each, with its own layout, takes far longer."""
    from matplotlib.colors import to_rgb
    from matplotlib.transforms import Affine2D

    down = Affine2D().scale(1.0, -1.0).translate(0.0, height)
    for mark in marks:
        context = renderer.new_gc()
        if isinstance(mark, Words):
            context.set_foreground(mark.color)
            renderer.open_group("text", f"{mark.align} {'halo' if mark.halo else ''}")
            turn = 90.0 if mark.upright else 0.0
            renderer.draw_text(context, mark.x, mark.y, mark.text, _style(mark), turn)
            renderer.close_group("text")
        else:
            _set_stroke(context, mark)
            fill = None if mark.fill == "none" else to_rgb(mark.fill)
            renderer.draw_path(context, _path(mark), down, fill)
        context.restore()


def _style(words: Words) -> FontProperties:
    from matplotlib.font_manager import FontProperties

    return FontProperties(
        fname=font_file(words.bold),
        size=words.size,
        weight="bold" if words.bold else "normal",
    )


def _set_stroke(context: GraphicsContextBase, shape: Shape) -> None:
    context.set_linewidth(shape.weight)
    context.set_foreground(shape.stroke)
    context.set_joinstyle("round")
    if shape.dash:
        context.set_dashes(0.0, list(shape.dash))
    if shape.hatch:
        context.set_hatch(shape.hatch)
        context.set_hatch_color(shape.stroke)
        context.set_hatch_linewidth(HAIR)


def _path(shape: Shape) -> Path:
    from matplotlib.path import Path

    spots: list[Spot] = []
    codes: list[int] = []
    for outline in shape.outlines:
        spots += outline
        codes += [int(Path.MOVETO)] + [int(Path.LINETO)] * (len(outline) - 1)
        if shape.closed:
            spots.append(outline[0])
            codes.append(int(Path.CLOSEPOLY))
    return Path(np.array(spots, dtype=float), codes)


def _printed(marks: Sequence[Shape | Words], width: float, height: float, salt: str) -> bytes:
    # The writer alone: a figure of Matplotlib would load its axes, which no sheet has.
    from matplotlib import rc_context
    from matplotlib.backends.backend_svg import RendererSVG

    settings: dict[Any, Any] = {**_SVG_SETTINGS, "svg.hashsalt": salt}
    stream = StringIO()
    nothing = dict.fromkeys(("Date", "Creator", "Format", "Type"))
    sheet = ((0.0, height), (width, height), (width, 0.0), (0.0, 0.0))
    paper = Shape((sheet,), True, PAPER, 0.0, PAPER, "", None)
    with rc_context(settings):
        renderer = RendererSVG(width, height, stream, image_dpi=72, metadata=nothing)
        _draw(renderer, [paper, *marks], height)
        renderer.finalize()
    return stream.getvalue().encode("utf-8")


def _short(number: float) -> str:
    text = f"{number:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _shortened(text: str) -> str:
    return " ".join(_NUMBER.sub(lambda found: _short(float(found[0])), text).split())


class _Rewriter:
    """Writes Matplotlib's SVG again so that it can stand in a page with others.

    No style sheet and no style attribute, which would reach the whole page or offend its policy;
    only the ids that are referred to, numbered under the figure's own; short numbers.
    """

    def __init__(self, figure_id: str) -> None:
        self._figure_id = figure_id
        self._names: dict[str, str] = {}

    def inside(self, svg: bytes) -> str:
        """Return the content of the outer element."""
        root = ElementTree.fromstring(svg)
        return "".join(self._element(child, "") for child in root)

    def _element(self, node: ElementTree.Element, group: str) -> str:
        tag = node.tag.rpartition("}")[2]
        if tag in ("metadata", "style"):
            return ""
        if tag == "text":
            return self._text(node, group)
        content = "".join(self._element(child, node.get("id", group)) for child in node)
        attributes = self._attributes(tag, node)
        if tag in ("g", "defs") and not (content and attributes):
            return content if tag == "g" else f"<defs>{content}</defs>" if content else ""
        end = f">{content}</{tag}>" if content else "/>"
        return f"<{tag} {attributes}".rstrip() + end

    def _text(self, node: ElementTree.Element, group: str) -> str:
        place = node.get("transform", "")
        x, y = _PLACE.findall(place)[0]
        align, _, halo = group.partition(" ")
        turn = f"rotate(-90 {x} {y})" if "rotate" in place else ""
        node.attrib.update({"transform": turn, "x": x, "y": y, "text-anchor": _ANCHORS[align]})
        attributes = f"{self._attributes('text', node)} {HALO if halo else ''}".rstrip()
        return f"<text {attributes}>{escape(node.text or '')}</text>"

    def _attributes(self, tag: str, node: ElementTree.Element) -> str:
        found: dict[str, str] = {}
        for name, value in node.attrib.items():
            if name == "style":
                for part in value.split(";"):
                    key, _, setting = part.partition(":")
                    found[key.strip()] = setting.strip()
            elif "}" not in name:
                found[name] = value
        for name in ("font-family", "stroke-linejoin", "stroke-miterlimit"):
            found.pop(name, None)
        if tag != "pattern":
            found.pop("id", None)
        return " ".join(
            f"{name}={quoteattr(self._value(name, value))}"
            for name, value in found.items()
            if value
        )

    def _value(self, name: str, value: str) -> str:
        if name == "id":
            return self._name(value)
        value = _REFERENCE.sub(lambda found: f"url(#{self._name(found[1])})", value)
        return _shortened(value.removesuffix("px") if name == "font-size" else value)

    def _name(self, hashed: str) -> str:
        number = len(self._names) + 1
        return self._names.setdefault(hashed, f"{self._figure_id}-hatch-{number}")
