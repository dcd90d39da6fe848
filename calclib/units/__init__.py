"""Units of the trade: one table, the text that people write, and the text that they read.

Inside the kit a number is a plain float in base units, lbf and in; a unit name says what it
measures and how it is shown.
A unit is declared as names from the table joined by ``*``, one ``/`` and whole powers: ``"psi"``,
``"lbf*ft"``, ``"in^3"``, ``"1/in"``; the empty text is a plain number.

Each constant below is the number of base units in one unit, so ``21 * ft`` is 252.0 (in).

Examples
--------
>>> parse("12'-6 3/8\\"", "in")
150.375
>>> feet_inches(150.375)
'12 ft 6 3/8 in'
>>> show(parse("40 psf", "psf") * 13 * ft, "plf")
'520 plf'
"""

from calclib.units.quantities import from_quantity, pint_name, quantity, registry
from calclib.units.reading import parse
from calclib.units.table import UNITS, Unit, dimension, factor, label, terms
from calclib.units.writing import (
    feet_inches,
    in_inches,
    metric_length,
    show,
    show_length,
    show_number,
    si_unit,
)

# `in` is a word of Python's own.
inch = factor("in")
ft = factor("ft")
mm = factor("mm")
cm = factor("cm")
m = factor("m")
lbf = factor("lbf")
kip = factor("kip")
N = factor("N")
kN = factor("kN")
psi = factor("psi")
ksi = factor("ksi")
psf = factor("psf")
ksf = factor("ksf")
Pa = factor("Pa")
kPa = factor("kPa")
MPa = factor("MPa")
GPa = factor("GPa")
plf = factor("plf")
klf = factor("klf")
pli = factor("pli")
pcf = factor("pcf")
deg = factor("deg")

__all__ = [
    "UNITS",
    "GPa",
    "MPa",
    "N",
    "Pa",
    "Unit",
    "cm",
    "deg",
    "dimension",
    "factor",
    "feet_inches",
    "from_quantity",
    "ft",
    "in_inches",
    "inch",
    "kN",
    "kPa",
    "kip",
    "klf",
    "ksf",
    "ksi",
    "label",
    "lbf",
    "m",
    "metric_length",
    "mm",
    "parse",
    "pcf",
    "pint_name",
    "plf",
    "pli",
    "psf",
    "psi",
    "quantity",
    "registry",
    "show",
    "show_length",
    "show_number",
    "si_unit",
    "terms",
]
