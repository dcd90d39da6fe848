"""Numbers with units as people read them."""

from __future__ import annotations

import math
from decimal import ROUND_HALF_UP, Context, Decimal
from functools import cache

from calclib.errors import RangeError, message
from calclib.units.table import UNITS, dimension, factor, label, terms

SIGNIFICANT_DIGITS = 10
FRACTIONS = (1, 2, 4, 8, 16, 32, 64)

_LEAST_SIGNIFICANT = 3
_SMALLEST = 1e-9
_WIDE = Context(prec=400, rounding=ROUND_HALF_UP)


def show(number: float, unit: str, digits: int | None = None) -> str:
    """Return a number with its unit, as it is printed.

    Parameters
    ----------
    number : float [base units]
    unit : str
        A declared unit, see `calclib.units.terms`.
    digits : int, optional
        Decimals, all of them printed; see `show_number` for what happens without.

    Returns
    -------
    str

    Raises
    ------
    UnitError
        For a unit that is not known.

    Examples
    --------
    >>> show(1234.4, "psi"), show(150.375, "ft"), show(0.8661, ""), show(24000.0, "lbf*ft")
    ('1,234 psi', '12.53 ft', '0.866', '2,000 lbf·ft')
    >>> show(150.0, "ft", 2), show(0.16, "%")
    ('12.50 ft', '16%')
    """
    mark = label(unit)
    space = "" if mark in ("", "°", "%") else " "
    return f"{show_number(number, unit, digits)}{space}{mark}"


def show_number(number: float, unit: str, digits: int | None = None) -> str:
    """Return the number that `show` prints, without its unit.

    Parameters
    ----------
    number : float [base units]
    unit : str
        A declared unit, see `calclib.units.terms`.
    digits : int, optional
        Decimals, all of them printed.
        Without it, the unit's own decimals, or as many as three significant digits take, less
        the zeros at the end; and plain 0 for less than 1e-9 of the unit, which is rounding noise.

    Returns
    -------
    str
        Thousands are set apart by commas; zero has no sign.

    Raises
    ------
    UnitError
        For a unit that is not known.

    Notes
    -----
    The number is first rounded to 10 significant digits, so that noise in the last bits of a
    float never shows; a half is then rounded away from zero, as people do.

    Examples
    --------
    >>> show_number(1234567.0, "psi"), show_number(83.37, "psi"), show_number(-0.0, "psi", 1)
    ('1,234,567', '83.4', '0.0')
    """
    amount = float(number) / factor(unit)
    if not math.isfinite(amount):
        return "undefined" if math.isnan(amount) else "∞" if amount > 0 else "-∞"
    if digits is None and abs(amount) < _SMALLEST:
        return "0"
    value = Decimal(f"{amount:.{SIGNIFICANT_DIGITS - 1}e}")
    places = digits
    if places is None:
        places = max(_decimals(unit), _LEAST_SIGNIFICANT - 1 - value.adjusted())
    value = value.quantize(Decimal(1).scaleb(-places), context=_WIDE)
    text = f"{abs(value) if value.is_zero() else value:,f}"
    return text.rstrip("0").rstrip(".") if digits is None and "." in text else text


@cache
def _decimals(unit: str) -> int:
    parts = terms(unit)
    if not parts:
        return 3
    if len(parts) == 1 and parts[0][1] == 1:
        return UNITS[parts[0][0]].decimals
    # Areas and the like run small, moments and stiffnesses large.
    return 2 if dimension(unit)[0] == 0 or "k" in unit else 0


@cache
def si_unit(unit: str) -> str:
    """Return the SI unit shown in place of a unit.

    Parameters
    ----------
    unit : str
        A declared unit, see `calclib.units.terms`.

    Returns
    -------
    str
        A declared unit of the same dimension; an SI unit is returned as it is.

    Raises
    ------
    UnitError
        For a unit that is not known.

    Examples
    --------
    >>> [si_unit(unit) for unit in ("ft", "in", "psf", "plf", "psi", "lbf*ft", "in^3", "lbf*in^2")]
    ['m', 'mm', 'kPa', 'kN/m', 'MPa', 'kN*m', 'mm^3', 'kN*m^2']
    """
    parts = terms(unit)
    if all(UNITS[name].si == name for name, _ in parts):
        return unit
    if len(parts) == 1 and parts[0][1] == 1:
        return UNITS[parts[0][0]].si
    force, length = dimension(unit)
    names = [name for name, _ in parts]
    if (force, length) == (1, -2):
        return "MPa" if "in" in names else "kPa"
    # Sections are drawn in inches and millimeters; a moment is never in kN·mm.
    small = force == 0 and length > 0 and "ft" not in names
    return _joined("kN", force, "mm" if small else "m", length)


def _joined(force_name: str, force: int, length_name: str, length: int) -> str:
    def powered(name: str, power: int) -> str:
        return name if power == 1 else f"{name}^{power}"

    powers = [(force_name, force), (length_name, length)]
    top = "*".join(powered(name, power) for name, power in powers if power > 0)
    bottom = "*".join(powered(name, -power) for name, power in powers if power < 0)
    return f"{top or 1}/{bottom}" if bottom else top


def feet_inches(inches: float, fraction: int = 16) -> str:
    """Return a length as a carpenter's dimension, to the nearest fraction of an inch.

    Parameters
    ----------
    inches : float [in]
    fraction : int
        1, 2, 4, 8, 16, 32 or 64; a half of it is rounded away from zero.

    Returns
    -------
    str
        Feet are left out below one foot; a sign stands before the whole.

    Raises
    ------
    RangeError
        For another fraction, or a length that is not finite.

    Examples
    --------
    >>> feet_inches(150.375), feet_inches(11 + 31 / 32), feet_inches(0.5), feet_inches(-18)
    ('12 ft 6 3/8 in', '1 ft 0 in', '1/2 in', '-1 ft 6 in')
    """
    sign, count = _counted(inches, fraction)
    feet, rest = divmod(count, 12 * fraction)
    if not feet:
        return f"{sign}{_mixed(rest, fraction)} in"
    return f"{sign}{feet:,} ft {_mixed(rest, fraction, keep_zero=True)} in"


def in_inches(inches: float, fraction: int = 16) -> str:
    """Return a length in inches and a fraction only, as sizes and depths are given.

    Parameters
    ----------
    inches : float [in]
    fraction : int
        1, 2, 4, 8, 16, 32 or 64; a half of it is rounded away from zero.

    Returns
    -------
    str

    Raises
    ------
    RangeError
        For another fraction, or a length that is not finite.

    Examples
    --------
    >>> in_inches(150.375), in_inches(11.875), in_inches(14)
    ('150 3/8 in', '11 7/8 in', '14 in')
    """
    sign, count = _counted(inches, fraction)
    return f"{sign}{_mixed(count, fraction)} in"


def _counted(inches: float, fraction: int) -> tuple[str, int]:
    if fraction not in FRACTIONS:
        raise RangeError(
            message(
                "fraction of an inch",
                "one of " + ", ".join(str(known) for known in FRACTIONS),
                str(fraction),
                "Write 16 for the nearest 1/16 in.",
            )
        )
    if not math.isfinite(inches):
        raise RangeError(
            message(
                "carpenter's dimension",
                "a finite length",
                show(inches, "in"),
                "Look for the step that made it.",
            )
        )
    # Six decimals of a fraction: noise in the last bits must not decide a half.
    count = math.floor(round(abs(float(inches)) * fraction, 6) + 0.5)
    return "-" if inches < 0 and count else "", count


def _mixed(count: int, fraction: int, keep_zero: bool = False) -> str:
    whole, rest = divmod(count, fraction)
    if not rest:
        return f"{whole:,}"
    shared = math.gcd(rest, fraction)
    text = f"{rest // shared}/{fraction // shared}"
    return f"{whole:,} {text}" if whole or keep_zero else text


def metric_length(inches: float) -> str:
    """Return a length in millimeters below one meter, in meters to the millimeter from there.

    Parameters
    ----------
    inches : float [in]

    Returns
    -------
    str

    Examples
    --------
    >>> metric_length(3.5), metric_length(150.375), metric_length(1000 / 25.4)
    ('89 mm', '3.82 m', '1 m')
    """
    # As in `_counted`, noise must not decide what rounds up to a meter.
    if round(abs(float(inches)) / factor("mm"), 6) < 999.5:
        return show(inches, "mm", 0)
    return show(inches, "m")


def show_length(inches: float, si: bool = False, fraction: int = 16) -> str:
    """Return a length as the job's setting has it.

    Parameters
    ----------
    inches : float [in]
    si : bool
        True for `metric_length`, False for `feet_inches`.
    fraction : int
        See `feet_inches`.

    Returns
    -------
    str

    Raises
    ------
    RangeError
        See `feet_inches`.

    Examples
    --------
    >>> show_length(158), show_length(158, si=True)
    ('13 ft 2 in', '4.013 m')
    """
    return metric_length(inches) if si else feet_inches(inches, fraction)
