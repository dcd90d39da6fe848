"""HTML from outside, cut down to what cannot script a page or change its look."""

from __future__ import annotations

import base64
import re
from collections.abc import Callable
from html import escape, unescape
from xml.etree import ElementTree

import nh3

# What a data: address may hold. A browser runs no script in an image, not even in an SVG.
IMAGE_TYPES = ("image/png", "image/jpeg", "image/gif", "image/webp", "image/svg+xml")
NO_ALTERNATIVE = "Figure without a text alternative"

_TEXT = (
    "a abbr b blockquote br caption code col colgroup dd del details div dl dt em figcaption "
    "figure h1 h2 h3 h4 h5 h6 hr i img kbd li mark ol p pre q s samp small span strong sub "
    "summary sup table tbody td tfoot th thead tr u ul var"
)
# Without maction, semantics and mglyph, which can hold links or other markup.
_MATH = (
    "math menclose mfrac mi mmultiscripts mn mo mover mpadded mphantom mprescripts mroot mrow ms "
    "mspace msqrt mstyle msub msubsup msup mtable mtd mtext mtr munder munderover"
)
_ATTRIBUTES = {
    "a": "href",
    "img": "src alt width height",
    "ol": "start type",
    "li": "value",
    "col": "span",
    "colgroup": "span",
    "th": "scope colspan rowspan",
    "td": "colspan rowspan",
    "details": "open",
    "math": "display alttext",
    "mfrac": "linethickness",
    "mi": "mathvariant",
    "mo": "accent fence form largeop lspace maxsize minsize movablelimits rspace separator "
    "stretchy symmetric",
    "mover": "accent",
    "mpadded": "width height depth lspace voffset",
    "mspace": "width height depth",
    "mstyle": "displaystyle scriptlevel",
    "mtable": "columnalign columnspacing displaystyle rowspacing",
    "mtd": "columnalign columnspan rowspan style",
    "munder": "accentunder",
    "munderover": "accent accentunder",
}
# What values and checks mark their own parts with.
_CLASSES = {
    "div": {"calc-check", "calc-value", "where", "wide"},
    "span": {"note", "state", "passes", "fails", "open", "what"},
    "p": {"note"},
    "table": {"calc", "keep", "verdict"},
    "col": {"r", "c", "v"},
    "td": {"calc-number", "n", "r", "v"},
    "th": {"calc-number", "n"},
}  # fmt: skip
_CELL_STYLE = re.compile(r"(text-align:(left|right|-webkit-right);?|padding:[\d.]{1,5}em 0;?|\s)*")
_DATA = re.compile(rf"data:(?:{'|'.join(map(re.escape, IMAGE_TYPES))});base64,[\w+/=\s]*")
_DRAWING = re.compile(r"<svg\b.*?</svg\s*>", re.DOTALL | re.IGNORECASE)
_IMAGE = re.compile(r'<img((?:\s+[\w-]+="[^"]*")*)\s*/?>')

Embed = Callable[[str], str | None]
Say = Callable[[str], None]


def clean(html: str, embed: Embed, say: Say) -> str:
    """Return HTML without anything that runs, loads, or reaches out of its own place.

    Parameters
    ----------
    html : str
        HTML of any kind, hostile too.
    embed : callable
        From the address of an image to a `data:` address that holds it, or None to leave it out.
    say : callable
        Gets a sentence for each thing that a reader of the page would miss.

    Returns
    -------
    str
        Well-formed HTML and MathML of an allow-list: no script, no style but the alignment of a
        formula's cells, no id, no class but those of the kit, no address but that of a web page,
        of a person's mail or of a place on the page, images only as data, drawings as images. An
        image that gives no text alternative says so in its place.
    """

    def attribute(tag: str, name: str, value: str) -> str | None:
        if tag == "img" and name == "src":
            return value if _DATA.fullmatch(value) else embed(value)
        if name == "style":
            return value if _CELL_STYLE.fullmatch(value) else None
        # A link to a file of the author's machine leads nowhere for the reader.
        if name == "href" and not value.startswith(("#", "https://", "http://", "mailto:")):
            return None
        return value

    drawn = _DRAWING.sub(lambda match: _as_image(match[0]), html)
    if "<svg" in drawn.lower():
        say("a drawing that does not end was left out")
    cleaned = nh3.clean(
        drawn,
        tags=set(f"{_TEXT} {_MATH}".split()),
        attributes={tag: set(names.split()) for tag, names in _ATTRIBUTES.items()},
        allowed_classes=_CLASSES,
        attribute_filter=attribute,
        url_schemes={"http", "https", "mailto", "data"},
        clean_content_tags={"script", "style", "svg", "title"},
    )

    def image(match: re.Match[str]) -> str:
        given = dict(re.findall(r'([\w-]+)="([^"]*)"', match[1]))
        if "src" not in given:
            alternative = unescape(given.get("alt", "")) or "no text alternative"
            say(f"an image was left out ({alternative})")
            return f"<em>[image left out: {escape(alternative)}]</em>"
        if not given.get("alt", "").strip():
            say("an image has no text alternative")
            given["alt"] = NO_ALTERNATIVE
        return "<img{}>".format("".join(f' {name}="{text}"' for name, text in given.items()))

    return _IMAGE.sub(image, cleaned)


def _as_image(svg: str) -> str:
    """Return a drawing as an image, in which nothing runs; one that cannot be read as no image."""
    if "xmlns=" not in svg:
        svg = svg.replace("<svg", '<svg xmlns="http://www.w3.org/2000/svg"', 1)
    if "font-family" not in svg:
        # On the page it had the page's font.
        svg = svg.replace("<svg", '<svg font-family="Arial, Liberation Sans, sans-serif"', 1)
    try:
        drawing = ElementTree.fromstring(svg)
    except ElementTree.ParseError:
        return '<img alt="drawing">'
    named = [part.text or "" for part in drawing if part.tag.endswith(("}title", "}desc"))]
    alternative = drawing.get("aria-label") or ". ".join(text.rstrip(". ") for text in named)
    data = base64.b64encode(svg.encode()).decode("ascii")
    return f'<img alt="{escape(alternative)}" src="data:image/svg+xml;base64,{data}">'


def plain(text: str) -> str:
    """Return text for a `pre`: escaped, without the colors of a terminal and control characters.

    Examples
    --------
    >>> plain("\\x1b[31mred\\x1b[0m <b>\\x00")
    'red &lt;b&gt;'
    """
    without = re.sub(r"\x1b\[[0-9;?]*[ -/]*[@-~]", "", text)
    return escape("".join(c for c in without if c in "\n\t" or c.isprintable()), quote=False)
