"""The edge to Pint: the one registry, made when it is first asked for."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache
from typing import TYPE_CHECKING, Any

from calclib.errors import UnitError, described, message
from calclib.units.table import UNITS, dimension, factor, label, terms

if TYPE_CHECKING:
    import pint

# Pint splits a name that it does not know into prefix and unit: pli would be a picolink.
UNKNOWN_TO_PINT = ("plf", "klf", "pli", "psf", "ksf", "pcf")


def registry() -> pint.registry.ApplicationRegistry:
    """Return the one Pint registry, Pint's application registry with the trade's units added.

    Returns
    -------
    pint.registry.ApplicationRegistry

    Notes
    -----
    It is made at the first call, which takes a few tenths of a second.
    In it, as everywhere in Pint, ``lb`` is a mass; only `calclib.units.parse` reads it as lbf.
    Text from outside never goes to Pint, which evaluates what it is given.

    Examples
    --------
    >>> registry().Quantity(1.0, "klf").m_as("plf")
    1000.0
    """
    import pint

    application: pint.registry.ApplicationRegistry
    application = pint.get_application_registry()  # type: ignore[no-untyped-call]
    # The user may have set another registry in its place since the last call.
    _teach(application.get())  # type: ignore[no-untyped-call]
    return application


@cache
def _teach(plain: pint.UnitRegistry[Any]) -> None:
    for name in UNKNOWN_TO_PINT:
        unit = UNITS[name]
        plain.define(
            f"{name} = {factor(name)!r} * force_pound ** {unit.force} * inch ** {unit.length}"
        )
    # Otherwise a notebook shows pound_force_per_square_inch, and a moment as ft·lbf.
    plain.formatter.default_format = "~P"
    plain.formatter.default_sort_func = _forces_first


def _forces_first(
    units: Iterable[tuple[str, Any, str]], _registry: Any
) -> Iterable[tuple[str, Any, str]]:
    def place(unit: tuple[str, Any, str]) -> tuple[bool, str]:
        symbol, _, name = unit
        return symbol not in UNITS or UNITS[symbol].force == 0, name

    return sorted(units, key=place)


@cache
def pint_name(unit: str) -> str:
    """Return a declared unit as Pint spells it.

    Parameters
    ----------
    unit : str
        A declared unit, see `calclib.units.terms`.

    Returns
    -------
    str

    Raises
    ------
    UnitError
        For a unit that is not known.

    Examples
    --------
    >>> pint_name("lbf/in^2")
    'lbf ** 1 * inch ** -2'
    """
    spelled = {"in": "inch", "%": "percent", "deg": "degree"}
    return " * ".join(f"{spelled.get(name, name)} ** {power}" for name, power in terms(unit))


def quantity(number: Any, unit: str) -> pint.Quantity[Any]:
    """Return a Pint quantity, in the unit, of a number in base units.

    Parameters
    ----------
    number : float or array [base units]
    unit : str
        A declared unit, see `calclib.units.terms`.

    Returns
    -------
    pint.Quantity

    Raises
    ------
    UnitError
        For a unit that is not known.

    Examples
    --------
    >>> print(quantity(24000.0, "lbf*ft"))
    2000.0 lbf·ft
    """
    made: pint.Quantity[Any] = registry().Quantity(number / factor(unit), pint_name(unit))
    return made


def from_quantity(given: Any, unit: str, *, where: str = "") -> Any:
    """Return the number in base units of a Pint quantity.

    Parameters
    ----------
    given : pint.Quantity
    unit : str
        A declared unit, see `calclib.units.terms`; its dimension is required.
    where : str
        What the message names if it is refused.

    Returns
    -------
    float or array [base units]

    Raises
    ------
    UnitError
        For a plain number, or a quantity of another dimension, a mass for a force included.

    Examples
    --------
    >>> from_quantity(registry().Quantity(2.0, "ft"), "in")
    24.0
    """
    import pint

    try:
        return given.m_as(pint_name(unit)) * factor(unit)
    except (AttributeError, pint.DimensionalityError):
        # A mass is the slip to expect.
        hint = "Pint's lb is a mass: take lbf." if dimension(unit)[0] else ""
        came = described(given)
        needs = f"a quantity that can be shown in {label(unit) or 'plain numbers'}"
        raise UnitError(message(where, needs, came, hint)) from None
