"""The math font of the calc sheet: a small cut of STIX Math, embedded in every sheet.

The font stands under the SIL Open Font License, see OFL.txt; `build_font.py` makes it again.
"""

from __future__ import annotations

from base64 import b64encode
from pathlib import Path

FAMILY = "Calc Sheet Math"
FILE = Path(__file__).with_name("calc-sheet-math.woff2")


def font_css() -> str:
    """Return the CSS rules that embed the font and set every formula in it.

    Returns
    -------
    str
        About 33 KB; a Content-Security-Policy needs ``font-src data:`` for it.
    """
    data = b64encode(FILE.read_bytes()).decode("ascii")
    return (
        f'@font-face {{ font-family: "{FAMILY}"; '
        f'src: url("data:font/woff2;base64,{data}") format("woff2"); }}\n'
        f'math {{ font-family: "{FAMILY}", math; }}\n'
        'math[display="block"] { width: fit-content; break-inside: avoid; }\n'
    )
