"""Cut the math font of the calc sheet from STIX Math.

Usage: python build_font.py STIXMath-Regular.otf [OUT.woff2]

Needs fontTools and brotli, and the source font in version 1.1.1 (OpenType, with a MATH table).
The sheet never runs this: the built file stands beside it, with its license in OFL.txt.
"""

from __future__ import annotations

import argparse
import unicodedata
from pathlib import Path

from fontTools import subset  # type: ignore[import-untyped]
from fontTools.misc.transform import Identity, Transform  # type: ignore[import-untyped]
from fontTools.pens.t2CharStringPen import T2CharStringPen  # type: ignore[import-untyped]
from fontTools.pens.transformPen import TransformPen  # type: ignore[import-untyped]
from fontTools.ttLib import TTFont  # type: ignore[import-untyped]

from calclib.sheet.fonts import FAMILY, FILE
from calclib.trace.mathml import CHARACTERS

CHANGES = (
    "Modified version of STIX Math 1.1.1: cut to the characters of a calc sheet, "
    "renamed, layout features other than the MATH table dropped, prime enlarged, "
    "script l set closer, line height reduced."
)
COPYRIGHT, UNIQUE, VERSION, LICENSE, LICENSE_ADDRESS = 0, 3, 5, 13, 14
PLANCK = 0x210E  # stands in the place of a math italic h, which Unicode leaves out


def math_italics(characters: frozenset[str]) -> set[int]:
    """Return the code points by which browsers draw single letters in math italic.

    Parameters
    ----------
    characters : frozenset of str
        Letters, Latin or Greek, among other characters.

    Returns
    -------
    set of int
    """
    found = {PLANCK} if "h" in characters else set()
    for code in range(0x1D434, 0x1D7CA):
        if (
            unicodedata.name(chr(code), "").startswith("MATHEMATICAL ITALIC")
            and unicodedata.normalize("NFKC", chr(code)) in characters
        ):
            found.add(code)
    return found


def build(source: Path, target: Path) -> None:
    """Write the subset as WOFF2.

    Parameters
    ----------
    source : Path
        The full font, as OpenType.
    target : Path
        The file to write.

    Raises
    ------
    SystemExit
        When the source font lacks a character that the sheet prints.
    """
    font = TTFont(source, recalcTimestamp=False)
    wanted = {ord(c) for c in CHARACTERS} | math_italics(CHARACTERS)
    lacking = sorted(wanted - set(font.getBestCmap()))
    if lacking:
        raise SystemExit(f"{source.name} has no {', '.join(f'U+{code:04X}' for code in lacking)}")
    options = subset.Options()
    options.flavor = "woff2"
    options.layout_features = []
    options.drop_tables += ["FFTM", "GPOS", "GSUB"]
    options.name_IDs = [COPYRIGHT, VERSION, LICENSE, LICENSE_ADDRESS]
    options.hinting = False
    options.desubroutinize = True
    options.notdef_outline = True
    cutter = subset.Subsetter(options)
    cutter.populate(unicodes=wanted)
    cutter.subset(font)
    # The source's prime is drawn for running text; browsers set it as a superscript, where it
    # would shrink to a speck.
    _redraw(font, "′", Transform(1.7, 0, 0, 1.7, -95, -640), 290)
    # Its loop ends far from the baseline, so that a subscript seems to stand apart.
    _redraw(font, "ℓ", Identity, 500)
    # The source's line holds its tallest braces; a table of formulas would be set wide apart.
    lines, sizes = font["hhea"], font["OS/2"]
    lines.ascent = sizes.sTypoAscender = sizes.usWinAscent = 800
    lines.descent = sizes.sTypoDescender = -260
    sizes.usWinDescent = 260
    lines.lineGap = sizes.sTypoLineGap = 0
    # The source font's license asks that a changed version carries another name.
    _rename(font)
    subset.save_font(font, str(target), options)


def _redraw(font: TTFont, character: str, transform: Transform, width: int) -> None:
    name = font.getBestCmap()[ord(character)]
    top = font["CFF "].cff[0]
    pen = T2CharStringPen(width, font.getGlyphSet())
    font.getGlyphSet()[name].draw(TransformPen(pen, transform))
    old = top.CharStrings[name]
    top.CharStrings[name] = pen.getCharString(private=old.private, globalSubrs=old.globalSubrs)
    font["hmtx"][name] = (width, font["hmtx"][name][1])


def _rename(font: TTFont) -> None:
    names = font["name"]
    postscript = FAMILY.replace(" ", "") + "-Regular"
    version = f"{names.getDebugName(VERSION)}; {CHANGES}"
    texts = {1: FAMILY, 2: "Regular", UNIQUE: f"{FAMILY} Regular", 4: FAMILY, 6: postscript}
    for name_id, text in {**texts, VERSION: version}.items():
        names.setName(text, name_id, 3, 1, 0x409)
    names.names = [record for record in names.names if record.platformID == 3]
    outlines = font["CFF "].cff
    outlines.fontNames = [postscript]
    outlines[0].FullName = outlines[0].FamilyName = FAMILY


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description="Cut the math font of the calc sheet.")
    parser.add_argument("source", type=Path, help="STIX Math as an OpenType file")
    parser.add_argument("target", type=Path, nargs="?", default=FILE)
    arguments = parser.parse_args()
    build(arguments.source, arguments.target)
    print(f"{arguments.target}: {arguments.target.stat().st_size} bytes")
