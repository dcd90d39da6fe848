"""Stock sizes and everyday names: what a job file says, turned into rows."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import NamedTuple

from calclib.errors import LookupMiss, did_you_mean, quoted
from calclib.published.lookup import Row, rows, search

_NUMBER = r"(?:(?:\d+[- ])?\d+/[1-9]\d*|\d+(?:\.\d+)?)"
_SIZE = re.compile(rf"\s*({_NUMBER})\s*(?:in\.?|\")?\s*[x×]\s*({_NUMBER})\s*(?:in\.?|\")?\s*", re.I)
_SIXTY_FOURTH = 1 / 64


class Size(NamedTuple):
    """A cross-section by its trade name.

    Attributes
    ----------
    b_in, d_in : float
        Real breadth and depth [in].
    row : Row
        The row that says so: of the sawn sizes, or of the width for composite lumber and glulam.
    """

    b_in: float
    d_in: float
    row: Row


def _inches(text: str) -> float:
    whole, _, fraction = text.replace("-", " ").rpartition(" ")
    top, _, bottom = fraction.partition("/")
    return (float(whole) if whole else 0.0) + float(top) / (float(bottom) if bottom else 1.0)


def nominal_size(size: str, product: str | None = None) -> Size:
    """Return the real breadth and depth of a size as the trade writes it.

    Parameters
    ----------
    size : str
        Sawn lumber by its nominal size ("2x10"), composite lumber and glulam by their real one
        ("1-3/4 x 11-7/8", "5-1/8 x 12").
    product : {"sawn", "composite", "glulam"}, optional
        Which stock to look in; all three, in this order, if it is not said.

    Returns
    -------
    Size

    Raises
    ------
    LookupMiss
        If the text is not a size or no such stock is listed; the message names what is near.

    Notes
    -----
    Glulam depth is any whole number of laminations of 1-1/2 in (western species) or 1-3/8 in
    (southern pine). A house may hold other sizes: measure, and give the measure.
    Differs from the source: nothing.

    Examples
    --------
    >>> nominal_size("2x10")[:2], nominal_size("1-3/4 x 11-7/8")[:2]
    ((1.5, 9.25), (1.75, 11.875))
    """
    match = _SIZE.fullmatch(size)
    if not match:
        raise LookupMiss(
            f"lumber sizes: {quoted(size)} is not a size."
            ' Write it as "2x10" or as "1-3/4 x 11-7/8".'
        )
    stocks: dict[str, Callable[[float, float], Size | None]] = {
        "sawn": _sawn,
        "composite": _composite,
        "glulam": _glulam,
    }
    if product is not None and product not in stocks:
        raise LookupMiss(
            f"lumber sizes: no product {quoted(product)}. Write one of {', '.join(stocks)}."
        )
    b, d = _inches(match[1]), _inches(match[2])
    for name, look in stocks.items():
        found = look(b, d) if product in (None, name) else None
        if found:
            return found
    raise LookupMiss(f"lumber sizes: no {quoted(size)}. {_near(b, d, product)}")


def _same(a: float, b: float) -> bool:
    # 1/64 in is less than half the finest step of any printed size.
    return abs(a - b) < _SIXTY_FOURTH


def _sawn(b: float, d: float) -> Size | None:
    name = f"{b:g}x{d:g}"
    for row in rows("sawn-sizes"):
        if row.text("nominal") == name:
            return Size(row.number("b_in"), row.number("d_in"), row)
    return None


def _composite(b: float, d: float) -> Size | None:
    for row in rows("composite-widths"):
        for depth in rows("composite-depths"):
            if _same(b, row.number("width_in")) and _same(d, depth.number("depth_in")):
                return Size(row.number("width_in"), depth.number("depth_in"), row)
    return None


def _glulam(b: float, d: float) -> Size | None:
    for row in rows("glulam-widths"):
        layers = d / row.number("lamination_in")
        whole = round(layers)
        if whole >= 2 and _same(b, row.number("width_in")) and abs(layers - whole) < 0.01:
            return Size(row.number("width_in"), whole * row.number("lamination_in"), row)
    return None


def _near(b: float, d: float, product: str | None) -> str:
    sawn = "" if product not in (None, "sawn") else _near_sawn(b, d)
    if sawn:
        return sawn
    said = []
    if product in (None, "composite"):
        widths = _listed("composite-widths", "width_in")
        depths = _listed("composite-depths", "depth_in")
        said.append(f"Composite lumber comes in widths of {widths} in and depths of {depths} in.")
    if product in (None, "glulam"):
        widths = _listed("glulam-widths", "width_in")
        said.append(f"Glulam comes in widths of {widths} in and depths of whole laminations.")
    return " ".join(said)


def _near_sawn(b: float, d: float) -> str:
    names = [row.text("nominal") for row in rows("sawn-sizes")]
    beside = [name for name in names if name.startswith(f"{b:g}x")]
    if beside:
        # Among sizes of one thickness the nearest depth is meant, not the nearest spelling.
        near = min(beside, key=lambda name: (abs(float(name.split("x")[1]) - d), name))
        return f"Did you mean {quoted(near)}?"
    return did_you_mean(f"{b:g}x{d:g}", names) if b == int(b) and d == int(d) else ""


def _listed(table: str, column: str) -> str:
    return ", ".join(f"{each:g}" for each in sorted({row.number(column) for row in rows(table)}))


def composite(name: str) -> Row:
    """Return the values of a generic class of structural composite lumber.

    Parameters
    ----------
    name : str
        Such as "2.0E-2900Fb LVL" or "2.0E LVL"; the word "generic" may stand before it.

    Returns
    -------
    Row
        Of "scl-generic": typical values, to be confirmed against the product's evaluation report.

    Raises
    ------
    LookupMiss
        If no such class is listed.

    Examples
    --------
    >>> composite("2.0E-2900Fb LVL").number("Fb_psi")
    2900.0
    """
    bare = name.strip().removeprefix("generic").strip()
    if any(row.text("name") == f"generic {bare}" for row in rows("scl-generic")):
        bare = f"generic {bare}"
    return search("composite lumber", ("scl-generic",), "name", bare)


def glulam(name: str) -> Row:
    """Return the values of a glulam stress class or combination.

    Parameters
    ----------
    name : str
        A stress class ("24F-1.8E") or combination ("24F-V4") of table 5A, or a combination of
        table 5B ("combination 2"), whose columns are others.

    Returns
    -------
    Row

    Raises
    ------
    LookupMiss
        If no such class or combination is listed.

    Examples
    --------
    >>> glulam("24F-1.8E").number("Fbx_pos_psi")
    2400.0
    """
    tables = ("nds-2018-5a", "nds-2018-5a-expanded", "nds-2012-5b")
    return search("glulam", tables, "designation", name)


def live_load(use: str) -> Row:
    """Return the least live load for a use.

    Parameters
    ----------
    use : str
        As IRC Table R301.5 names it or as people do ("bedroom", "kitchen"); else a use of ASCE 7
        Table 4.3-1.

    Returns
    -------
    Row
        With `uniform_psf` and `concentrated_lbf`, of which one may be None.
        A local amendment always wins.

    Raises
    ------
    LookupMiss
        If no such use is listed.

    Examples
    --------
    >>> live_load("bedroom").key, live_load("bedroom").number("uniform_psf")
    (('sleeping rooms',), 30.0)
    """
    return search("live loads", ("irc-2018-r301-5", "asce-7-16-4-3-1"), "use", use)


def weight(item: str) -> Row:
    """Return the weight of a material, layer or assembly.

    Parameters
    ----------
    item : str
        As the tables name it, or in the order of the trade ("5/8 in gypsum board").

    Returns
    -------
    Row
        With `weight_psf`; for the thickness in `per_thickness_in` where that is printed.
        Concrete has `weight_pcf` and a footing `weight_plf` in its place.

    Raises
    ------
    LookupMiss
        If no such item is listed.

    Examples
    --------
    >>> weight("5/8 in gypsum board").number("weight_psf")
    2.75
    """
    return search("weights", ("asce-7-c3-1", "hud-3-2", "handbook-weights"), "item", item)
