"""Text that people write for a length, a load, a stress: a small strict grammar, no evaluator."""

from __future__ import annotations

import math
import re
from fractions import Fraction

from calclib.errors import CalcError, InputError, UnitError, described, did_you_mean, message
from calclib.units.table import UNITS, dimension, exact_factor, label, split_unit, terms

LONGEST_TEXT = 64
LARGEST = 10**12

# Beside the names of the table. Carpenters write lb for a force, and so it is read.
SPELLINGS = {name: name for name in UNITS} | {
    '"': "in",
    "in.": "in",
    "inch": "in",
    "inches": "in",
    "'": "ft",
    "ft.": "ft",
    "foot": "ft",
    "feet": "ft",
    "lb": "lbf",
    "lb.": "lbf",
    "lbs": "lbf",
    "kips": "kip",
    "°": "deg",
}

# Not near by their letters, and not read: a guess at a unit is a factor of 12 or 1000.
_MEANT = {
    "#": "lbf",
    "pound": "lbf",
    "pounds": "lbf",
    "k": "kip",
    "K": "kip",
    "yd": "ft",
    "sf": "ft^2",
    "sqft": "ft^2",
    "sq ft": "ft^2",
    "sqin": "in^2",
    "sq in": "in^2",
    "ft-lb": "lbf*ft",
    "ft-lbs": "lbf*ft",
    "lb-ft": "lbf*ft",
    "degrees": "deg",
    "percent": "%",
}
_COMPOUNDS = (
    "in^2", "ft^2", "mm^2", "m^2", "in^3", "ft^3", "mm^3", "m^3", "in^4", "mm^4",
    "lbf*in", "lbf*ft", "kip*in", "kip*ft", "N*m", "kN*m", "lbf*in^2", "kN*m^2",
    "lbf/in", "lbf/ft", "N/mm", "N/m", "kN/m",
    "lbf/in^2", "lbf/ft^2", "N/mm^2", "kN/m^2", "lbf/ft^3", "kN/m^3",
)  # fmt: skip

# What is needed, in words, with an example in US and in SI units.
_KINDS = {
    (0, 1): ("a length", "13 ft 2 in", "4,012 mm"),
    (0, 2): ("an area", "16.5 in^2", "10,600 mm^2"),
    (0, 3): ("a section modulus or a volume", "21.4 in^3", "351,000 mm^3"),
    (0, 4): ("a moment of inertia", "98.9 in^4", "41,200,000 mm^4"),
    (1, 0): ("a force", "1,200 lbf", "5.3 kN"),
    (1, -1): ("a load along a line", "120 plf", "1.75 kN/m"),
    (1, -3): ("a weight of a volume", "35 pcf", "5.5 kN/m^3"),
    (1, 1): ("a moment", "2,600 lbf*ft", "3.5 kN*m"),
}
_STRESS = ("a stress", "1,500 psi", "10.3 MPa")
_AREA_LOAD = ("a load on an area", "40 psf", "1.9 kPa")
_PLAIN_KINDS = {
    "": ("a number without a unit", "0.85"),
    "%": ("a percentage", "16%"),
    "deg": ("an angle", "30 deg"),
}
_SI = {"mm", "cm", "m", "N", "kN", "Pa", "kPa", "MPa", "GPa"}

_TYPOGRAPHY = str.maketrans(
    {
        "\N{NO-BREAK SPACE}": " ",
        "\N{THIN SPACE}": " ",
        "\N{NARROW NO-BREAK SPACE}": " ",
        "\N{PRIME}": "'",
        "\N{RIGHT SINGLE QUOTATION MARK}": "'",
        "\N{DOUBLE PRIME}": '"',
        "\N{RIGHT DOUBLE QUOTATION MARK}": '"',
        "\N{HYPHEN}": "-",
        "\N{NON-BREAKING HYPHEN}": "-",
        "\N{EN DASH}": "-",
        "\N{MINUS SIGN}": "-",
        "\N{FRACTION SLASH}": "/",
        "\N{MIDDLE DOT}": "*",
        "²": "^2",
        "³": "^3",
        "⁴": "^4",
        # With a space on both sides, or 6½ would become 61/2.
        "½": " 1/2 ",
        "⅓": " 1/3 ",
        "⅔": " 2/3 ",
        "¼": " 1/4 ",
        "¾": " 3/4 ",
        "⅛": " 1/8 ",
        "⅜": " 3/8 ",
        "⅝": " 5/8 ",
        "⅞": " 7/8 ",
    }
)

# Digits are spelled out, since \d also takes those of other scripts.
# No group of thousands starts with 0, so that 0,125 with a decimal comma is refused.
_WHOLE = "(?:[1-9][0-9]{0,2}(?:,[0-9]{3})+|[0-9]{1,20})"
_DECIMAL = rf"(?:{_WHOLE}(?:\.[0-9]{{1,20}})?|\.[0-9]{{1,20}})"
_MIXED = rf"(?:(?P<whole>{_WHOLE})(?: +|-))?(?P<top>[0-9]{{1,3}})/(?P<bottom>[0-9]{{1,3}})"
_FEET = r"(?:'|ft\.?|foot|feet)"
_INCHES = r'(?:"|in\.?|inch|inches)'

_FEET_AND_INCHES = re.compile(
    rf"(?P<sign>[+-]?) *(?P<feet>{_WHOLE}) *{_FEET} *-? *"
    rf"(?:{_MIXED}|(?P<inches>{_DECIMAL})) *(?P<unit>{_INCHES}|)"
)
_WITH_FRACTION = re.compile(rf"(?P<sign>[+-]?) *{_MIXED} *(?P<unit>{_FEET}|{_INCHES}|)")
_NUMBER_AND_UNIT = re.compile(
    rf"(?P<sign>[+-]?) *(?P<number>{_DECIMAL}(?:[eE][+-]?[0-9]{{1,3}})?) *(?P<unit>.*)"
)


def parse(text: object, unit: str, *, where: str = "") -> float:
    """Read a number with its unit.

    Parameters
    ----------
    text : str
        Such as ``12 ft 6 3/8 in``, ``12'-6 3/8"``, ``1/2 in``, ``4,200 mm``, ``40 psf``,
        ``1.6e6 psi``, ``16%``, ``30 deg``.
        A float or int is taken where a number without a unit is asked for, and only there.
    unit : str
        A declared unit, see `calclib.units.terms`; it says the dimension that is required, and
        the text may be in any unit of that dimension.
    where : str
        File and place, for the message.

    Returns
    -------
    float [base units]
        The nearest float to what was written: 88.9 mm is exactly 3.5 in.

    Raises
    ------
    UnitError
        Without a unit, with one that is not known, or with one of another dimension.
    InputError
        If the text cannot be read, is longer than 64 characters, or is a number above 1e12 or
        below 1e-12 in base units and not zero.

    Notes
    -----
    ``lb`` and ``lbs`` are read as pounds of force, so ``lb/ft`` is plf: carpenters write them so.
    Thousands are set apart by commas, decimals by a point.
    After feet, inches are below 12; a fraction is below 1; feet before inches are whole.
    Primes, quotes, dashes, superscripts and fractions of a typesetter are read like those of a
    keyboard.

    Examples
    --------
    >>> parse("12'-6 3/8\\"", "ft"), parse("40 psf", "psf") * 144, parse("16 %", "")
    (150.375, 40.0, 0.16)
    >>> parse("40 psf", "ft", where="alder.toml, joists.east.span")
    Traceback (most recent call last):
    ...
    calclib.errors.UnitError: alder.toml, joists.east.span: needs a length, got "40 psf". \
Write it as "13 ft 2 in".
    """
    terms(unit)
    if not isinstance(text, str):
        return _read_number(text, unit, where)
    if len(text) > LONGEST_TEXT:
        raise _refusal(where, unit, text, f"in at most {LONGEST_TEXT} characters")
    plain = text.translate(_TYPOGRAPHY).strip(" ")
    try:
        value = _read_carpenters(plain) if dimension(unit) == (0, 1) else None
        if value is None:
            value = _read_quantity(plain, unit)
    except _Refused as refused:
        raise _refusal(where, unit, text, refused.needs, refused.error, refused.hint) from None
    return _sane(value, text, unit, where)


class _Refused(Exception):
    """What is the matter, before it is known where and what was asked for."""

    def __init__(self, needs: str, error: type[CalcError] = InputError, hint: str = "") -> None:
        super().__init__(needs)
        self.needs, self.error, self.hint = needs, error, hint


def _read_carpenters(plain: str) -> Fraction | None:
    if match := _FEET_AND_INCHES.fullmatch(plain):
        if not match["unit"]:
            raise _Refused("with a unit after its inches", UnitError)
        inches = _decimal(match["inches"]) if match["inches"] else _mixed(match)
        if inches >= 12:
            raise _Refused("with inches below 12 after the feet")
        return _signed(match, 12 * _decimal(match["feet"]) + inches)
    match = _WITH_FRACTION.fullmatch(plain)
    if match and match["unit"]:
        return _signed(match, _mixed(match) * exact_factor(SPELLINGS[match["unit"]]))
    return None


def _read_quantity(plain: str, unit: str) -> Fraction:
    match = _NUMBER_AND_UNIT.fullmatch(plain)
    if not match:
        raise _Refused("")
    written = match["unit"]
    parts = split_unit(written)
    if parts is None and written[0] in "0123456789.,/^*+-":
        fraction = _WITH_FRACTION.fullmatch(plain)
        raise _Refused("with its unit", UnitError) if fraction else _Refused("")
    if parts == () and unit:
        raise _Refused("with its unit", UnitError)
    if parts is None or any(name not in SPELLINGS for name, _ in parts):
        raise _Refused("", UnitError, _near(written, unit))
    scale = Fraction(1)
    for name, power in parts:
        scale *= exact_factor(SPELLINGS[name]) ** power
    if not _fits(tuple((SPELLINGS[name], power) for name, power in parts), unit):
        raise _Refused("", UnitError)
    return _signed(match, _decimal(match["number"]) * scale)


def _read_number(given: object, unit: str, where: str) -> float:
    if isinstance(given, bool) or not isinstance(given, int | float):
        raise _refusal(where, unit, given)
    if unit:
        raise _refusal(where, unit, given, "with its unit", UnitError)
    return _sane(given, given, unit, where)


def _decimal(text: str) -> Fraction:
    return Fraction(text.replace(",", ""))


def _mixed(match: re.Match[str]) -> Fraction:
    top, bottom = int(match["top"]), int(match["bottom"])
    if top >= bottom:
        raise _Refused("with a fraction below 1")
    return int((match["whole"] or "0").replace(",", "")) + Fraction(top, bottom)


def _signed(match: re.Match[str], value: Fraction) -> Fraction:
    return -value if match["sign"] == "-" else value


def _sane(value: Fraction | float, given: object, unit: str, where: str) -> float:
    if not isinstance(value, float) or math.isfinite(value):
        exact = Fraction(value)
        if exact == 0 or 1 <= abs(exact) * LARGEST <= LARGEST**2:
            return float(exact)
    raise _refusal(where, unit, given, "of ordinary size")


def _fits(given: tuple[tuple[str, int], ...], unit: str) -> bool:
    """Tell whether a unit written as these terms may stand where `unit` is asked for."""
    wanted = terms(unit)
    if dimension(unit) != (0, 0):
        force = sum(UNITS[name].force * power for name, power in given)
        length = sum(UNITS[name].length * power for name, power in given)
        return (force, length) == dimension(unit)
    return given == wanted or (unit == "" and given == (("%", 1),))


def _near(written: str, unit: str) -> str:
    fitting = [name for name in (unit, *UNITS, *_COMPOUNDS) if _fits(terms(name), unit)]
    if written in _MEANT:
        fitting = [name for name in fitting if name == _MEANT[written]]
    return did_you_mean(_MEANT.get(written, written), fitting)


def _kind(unit: str) -> tuple[str, str]:
    if unit in _PLAIN_KINDS:
        return _PLAIN_KINDS[unit]
    names = {name for name, _ in terms(unit)}
    kind = _KINDS.get(dimension(unit))
    if dimension(unit) == (1, -2):
        kind = _AREA_LOAD if names & {"psf", "ksf", "kPa", "ft", "m"} else _STRESS
    if kind is None:
        return f"a quantity in {label(unit)}", f"100 {unit}"
    needs, us, si = kind
    return needs, si if names <= _SI else us


def _refusal(
    where: str,
    unit: str,
    given: object,
    needs: str = "",
    error: type[CalcError] = InputError,
    hint: str = "",
) -> CalcError:
    kind, example = _kind(unit)
    advice = f'{hint} Write it as "{example}".'
    return error(message(where, f"{kind} {needs}".strip(), described(given), advice.strip()))
