"""A sheet of paper to draw on: strokes, areas and words in points, printed as inline SVG.

Positions run in points from the left edge and, like a page, from the top down.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import cache

from calclib.errors import InputError, message, quoted
from calclib.sheet.figures_svg import HAIR, PAPER, Align, Shape, Spot, Words, font_file, svg_element

__all__ = ["HAIR", "PAPER", "Align", "Spot"]

# The text width of a Letter page, in points.
PAGE_WIDTH = 496.8
EDGE = 4.0

INK = "#1a1a1a"
SOFT = "#4a4a4a"
FAINT = "#9a9a9a"
ACCENT = "#1f4e79"
TINT = "#e4ebf2"

HEAVY, MEDIUM, THIN = 1.3, 0.8, 0.5
DOTTED = (0.8, 2.2)

NOTE, BODY, HEAD = 7.0, 7.5, 9.0
LEADING = 1.18
# Height of a capital and depth of a descender, as shares of the size; of the measuring font.
CAPITAL, DESCENT = 0.73, 0.24

_FIGURE_ID = re.compile(r"[A-Za-z][A-Za-z0-9_-]*")
NO_BREAK = "\u00a0"


@dataclass(frozen=True)
class Figure:
    """A drawing that is ready to stand in a page.

    Attributes
    ----------
    svg : str
        An ``<svg>`` element with its own title and description; harmless to any page.
    alt : str
        The text alternative: what the drawing shows, with the results as numbers. Plain text.
    caption : str
        One or two sentences to print below it. Plain text.
    """

    svg: str
    alt: str
    caption: str


@dataclass(frozen=True)
class Box:
    """A rectangle on the paper, in points."""

    left: float
    top: float
    right: float
    bottom: float

    def overlap(self, other: Box) -> float:
        """Return the area that both cover."""
        wide = min(self.right, other.right) - max(self.left, other.left)
        high = min(self.bottom, other.bottom) - max(self.top, other.top)
        return wide * high if wide > 0 and high > 0 else 0.0


@dataclass
class Canvas:
    """What has been drawn so far; later things cover earlier ones."""

    width: float = PAGE_WIDTH
    _marks: list[Shape | Words] = field(default_factory=list)

    def lines(
        self,
        lines: Iterable[Sequence[Spot]],
        weight: float = THIN,
        color: str = INK,
        dash: tuple[float, float] | None = None,
    ) -> None:
        """Draw open lines of one kind."""
        outlines = tuple(tuple(line) for line in lines)
        if outlines:
            self._marks.append(Shape(outlines, False, color, weight, "none", "", dash))

    def line(
        self,
        *spots: Spot,
        weight: float = THIN,
        color: str = INK,
        dash: tuple[float, float] | None = None,
    ) -> None:
        """Draw one open line."""
        self.lines([spots], weight, color, dash)

    def areas(
        self,
        outlines: Iterable[Sequence[Spot]],
        fill: str = "none",
        weight: float = 0.0,
        color: str = INK,
        hatch: str = "",
        hatch_color: str = FAINT,
        dash: tuple[float, float] | None = None,
    ) -> None:
        """Draw closed shapes of one kind; the hatch is lighter than the outline."""
        shapes = tuple(tuple(outline) for outline in outlines)
        if not shapes:
            return
        if fill != "none" or hatch:
            self._marks.append(Shape(shapes, True, hatch_color, 0.0, fill, hatch, None))
        if weight:
            self._marks.append(Shape(shapes, True, color, weight, "none", "", dash))

    def text(
        self,
        x: float,
        y: float,
        text: str,
        size: float = BODY,
        align: Align = "left",
        bold: bool = False,
        color: str = INK,
        halo: bool = True,
        upright: bool = False,
    ) -> None:
        """Write one line on a baseline, level or up the page; `align` says which end is at x."""
        clean = plain(text)
        if clean:
            self._marks.append(Words(x, y, clean, size, align, bold, color, halo, upright))

    def block(
        self,
        x: float,
        top: float,
        lines: Sequence[str],
        size: float = BODY,
        align: Align = "left",
        bold: bool = False,
        color: str = INK,
    ) -> Box:
        """Write lines below each other from a top edge, and return the room they take."""
        for i, line in enumerate(lines):
            y = top + (CAPITAL + i * LEADING) * size
            self.text(x, y, line, size, align, bold, color)
        return block_box(x, top, lines, size, align, bold)

    def figure(self, figure_id: str, height: float, title: str, alt: str, caption: str) -> Figure:
        """Print the paper, cut at a height, as a figure.

        Raises
        ------
        InputError
            For a figure id that does not begin with a letter or has other characters than
            letters, digits, hyphens and underscores.
        """
        if not _FIGURE_ID.fullmatch(figure_id):
            needs = "a letter, then letters, digits, hyphens or underscores"
            raise InputError(message("figure id", needs, quoted(figure_id)))
        title, alt, caption = plain(title), plain(alt), plain(caption)
        svg = svg_element(self._marks, self.width, height, figure_id, title, alt)
        return Figure(svg, alt, caption)


def plain(text: str) -> str:
    """Return text on one line without characters that no reader sees or XML forbids."""
    return "".join(c for c in " ".join(text.split()) if c.isprintable())


def glued(text: str) -> str:
    """Return text that `wrap` keeps on one line, such as a number with its unit."""
    return text.replace(" ", NO_BREAK)


@cache
def _advances(bold: bool) -> Callable[[str], float]:
    from matplotlib.ft2font import FT2Font, LoadFlags

    font = FT2Font(font_file(bold))
    font.set_size(100.0, 72.0)
    known = font.get_charmap()

    @cache
    def advance(letter: str) -> float:
        # A letter that the font lacks is taken to be as wide as the widest.
        code = ord(letter) if ord(letter) in known else ord("W")
        return font.load_char(code, flags=LoadFlags.NO_HINTING).linearHoriAdvance / 6553600

    return advance


def text_width(text: str, size: float, bold: bool = False) -> float:
    """Return the width of a line of text in points; fonts of readers run a little narrower."""
    return size * sum(map(_advances(bold), plain(text)))


def block_box(
    x: float,
    top: float,
    lines: Sequence[str],
    size: float,
    align: Align = "left",
    bold: bool = False,
) -> Box:
    """Return the room that `Canvas.block` takes."""
    wide = max((text_width(line, size, bold) for line in lines), default=0.0)
    left = x - {"left": 0.0, "center": wide / 2, "right": wide}[align]
    return Box(left, top, left + wide, top + block_height(len(lines), size))


def block_height(lines: int, size: float) -> float:
    """Return the height of lines below each other, from first capital to last descender."""
    return (CAPITAL + DESCENT + (lines - 1) * LEADING) * size if lines else 0.0


def wrap(text: str, size: float, limit: float, most: int = 3, bold: bool = False) -> list[str]:
    """Break text into lines no wider than a limit; what does not fit the last ends in an ellipsis.

    Parameters
    ----------
    text : str
        It is broken at spaces, but not where it is `glued`.
    size : float
        Of the letters, in points.
    limit : float
        Greatest width of a line, in points; one letter is always let stand.
    most : int
        Greatest number of lines.
    bold : bool

    Returns
    -------
    list of str
    """
    lines: list[str] = []
    for word in _pieces(text, size, limit, bold):
        joined = f"{lines[-1]} {word}" if lines else word
        if lines and text_width(joined, size, bold) <= limit:
            lines[-1] = joined
        else:
            lines.append(word)
    if len(lines) > most:
        lines = lines[:most]
        while lines[-1] and text_width(lines[-1] + "…", size, bold) > limit:
            lines[-1] = lines[-1][:-1].rstrip()
        lines[-1] += "…"
    return lines


def _pieces(text: str, size: float, limit: float, bold: bool) -> Iterator[str]:
    for part in text.split(" "):
        word = plain(part)
        while len(word) > 1 and text_width(word, size, bold) > limit:
            fits = len(word) - 1
            while fits > 1 and text_width(word[:fits], size, bold) > limit:
                fits -= 1
            yield word[:fits]
            word = word[fits:]
        if word:
            yield word
