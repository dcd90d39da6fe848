"""The table of units, and the grammar of a declared unit."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from fractions import Fraction
from functools import cache

from calclib.errors import UnitError, did_you_mean, message, quoted


@dataclass(frozen=True)
class Unit:
    """One row of the table.

    Attributes
    ----------
    exact : Fraction
        Number of base units (lbf, in) in one of this unit.
    force, length : int
        Exponents of its dimension.
    decimals : int
        Decimals that it is shown with, unless more are needed for three significant digits.
    si : str
        The SI unit shown in its place.
    """

    exact: Fraction
    force: int
    length: int
    decimals: int
    si: str


# 1 in = 25.4 mm exactly, by the international agreement of 1959 (NIST SP 811, Appendix B).
_MM = 10 / Fraction(254)
# 1 lbf = 0.45359237 kg x 9.80665 m/s2, both exact (NIST SP 811, Appendix B).
_N = 1 / (Fraction("0.45359237") * Fraction("9.80665"))
_M = 1000 * _MM
_PA = _N / _M**2

UNITS: dict[str, Unit] = {
    "in": Unit(Fraction(1), 0, 1, 3, "mm"),
    "ft": Unit(Fraction(12), 0, 1, 2, "m"),
    "mm": Unit(_MM, 0, 1, 1, "mm"),
    "cm": Unit(10 * _MM, 0, 1, 1, "cm"),
    "m": Unit(_M, 0, 1, 3, "m"),
    "lbf": Unit(Fraction(1), 1, 0, 0, "kN"),
    "kip": Unit(Fraction(1000), 1, 0, 2, "kN"),
    "N": Unit(_N, 1, 0, 0, "N"),
    "kN": Unit(1000 * _N, 1, 0, 2, "kN"),
    "plf": Unit(Fraction(1, 12), 1, -1, 1, "kN/m"),
    "klf": Unit(Fraction(1000, 12), 1, -1, 2, "kN/m"),
    "pli": Unit(Fraction(1), 1, -1, 1, "kN/m"),
    "psi": Unit(Fraction(1), 1, -2, 0, "MPa"),
    "ksi": Unit(Fraction(1000), 1, -2, 2, "MPa"),
    "psf": Unit(Fraction(1, 144), 1, -2, 1, "kPa"),
    "ksf": Unit(Fraction(1000, 144), 1, -2, 2, "kPa"),
    "Pa": Unit(_PA, 1, -2, 0, "Pa"),
    "kPa": Unit(1000 * _PA, 1, -2, 2, "kPa"),
    "MPa": Unit(10**6 * _PA, 1, -2, 2, "MPa"),
    "GPa": Unit(10**9 * _PA, 1, -2, 2, "GPa"),
    "pcf": Unit(Fraction(1, 1728), 1, -3, 1, "kN/m^3"),
    "deg": Unit(Fraction(math.pi) / 180, 0, 0, 1, "deg"),
    "%": Unit(Fraction(1, 100), 0, 0, 1, "%"),
}

_TERM = re.compile(r"""([A-Za-z]+\.?|['"°%#])(?:\^([1-9]))?""")
_POWERS = str.maketrans("123456789", "¹²³⁴⁵⁶⁷⁸⁹")


def split_unit(text: str) -> tuple[tuple[str, int], ...] | None:
    """Take a unit's text apart, whatever its names are.

    Parameters
    ----------
    text : str
        Names joined by ``*``, at most one ``/`` with one name after it, powers as ``^2``.

    Returns
    -------
    tuple of (str, int), or None
        Names with their exponents, or None if the text is not so made.

    Examples
    --------
    >>> split_unit("lbf*in^2/furlong")
    (('lbf', 1), ('in', 2), ('furlong', -1))
    """
    if not text:
        return ()
    top, slash, bottom = text.partition("/")
    pieces = [] if slash and top.strip() == "1" else [(piece, 1) for piece in top.split("*")]
    if slash:
        pieces.append((bottom, -1))
    found = []
    for piece, sign in pieces:
        match = _TERM.fullmatch(piece.strip(" "))
        if not match:
            return None
        found.append((match[1], sign * int(match[2] or 1)))
    return tuple(found)


@cache
def terms(unit: str) -> tuple[tuple[str, int], ...]:
    """Return the names in a declared unit with their exponents.

    Parameters
    ----------
    unit : str
        Names of the table joined by ``*``, at most one ``/`` with one name after it, whole
        powers; empty for a plain number.

    Returns
    -------
    tuple of (str, int)

    Raises
    ------
    UnitError
        For a name that is not in the table, or a text that is not so made.

    Examples
    --------
    >>> terms("lbf/in^2")
    (('lbf', 1), ('in', -2))
    """
    parts = split_unit(unit)
    unknown = [name for name, _ in parts if name not in UNITS] if parts is not None else [unit]
    if parts is None or unknown:
        hint = did_you_mean(unknown[0], UNITS)
        raise UnitError(
            message(
                f"unit {quoted(unit)}",
                "names of known units joined by * and one /",
                quoted(unknown[0]),
                f'{hint} Write it as "lbf*in^2" or "1/in".'.strip(),
            )
        )
    return parts


@cache
def exact_factor(unit: str) -> Fraction:
    """Return the number of base units in one unit, without rounding."""
    return math.prod((UNITS[name].exact ** power for name, power in terms(unit)), start=Fraction(1))


@cache
def factor(unit: str) -> float:
    """Return the number of base units (lbf, in) in one unit.

    Parameters
    ----------
    unit : str
        A declared unit, see `terms`.

    Returns
    -------
    float
        An angle is in radians and a percentage in hundredths.

    Raises
    ------
    UnitError
        For a unit that is not known.

    Examples
    --------
    >>> factor("lbf*ft"), factor("in^3"), factor(""), factor("%")
    (12.0, 1.0, 1.0, 0.01)
    """
    return float(exact_factor(unit))


@cache
def dimension(unit: str) -> tuple[int, int]:
    """Return the exponents of force and of length in a unit.

    Parameters
    ----------
    unit : str
        A declared unit, see `terms`.

    Returns
    -------
    tuple of (int, int)
        (0, 0) for plain numbers, percentages and angles.

    Raises
    ------
    UnitError
        For a unit that is not known.

    Examples
    --------
    >>> dimension("psf*ft"), dimension("1/in")
    ((1, -1), (0, -1))
    """
    parts = terms(unit)
    return (
        sum(UNITS[name].force * power for name, power in parts),
        sum(UNITS[name].length * power for name, power in parts),
    )


@cache
def label(unit: str) -> str:
    """Return a unit as it is printed after a number.

    Parameters
    ----------
    unit : str
        A declared unit, see `terms`.

    Returns
    -------
    str

    Raises
    ------
    UnitError
        For a unit that is not known.

    Examples
    --------
    >>> label("lbf*in^2"), label("lbf/in^2"), label("1/in"), label("")
    ('lbf·in²', 'lbf/in²', '1/in', '')
    """
    top, bottom = "", ""
    for name, power in terms(unit):
        text = "°" if name == "deg" else name
        if abs(power) > 1:
            text += str(abs(power)).translate(_POWERS)
        if power > 0:
            top += f"·{text}" if top else text
        else:
            bottom = f"/{text}"
    return (top or "1") + bottom if bottom else top
