"""Every floor- and ceiling-joist span of the building code, from our formulas."""

import csv
from functools import cache
from pathlib import Path

import numpy as np
from timber_leaves import size

from calclib import published
from calclib.mechanics.section import (
    deflection_at_stiffness,
    flexural_stiffness,
    moment_of_inertia,
    section_modulus,
)
from calclib.timber.bending import adjusted_bending_value, bending_stress
from calclib.timber.deflection import adjusted_modulus, deflection_limit
from calclib.timber.materials import sawn
from calclib.trace import numbers
from calclib.units import ft, psf

DATA = Path(__file__).parent / "data" / "irc_joist_spans.csv"
# Each row of the file names its source, IRC Tables R502.3.1(1), (2) and R802.5.1(2).
ROWS = list(csv.DictReader(DATA.read_text(encoding="utf-8").splitlines()))

# The tables are for repetitive members, C_r 1.15, under live load of ten years, C_D 1.0;
# the rule is in tests/data/README.md.
C_r, C_D = 1.15, 1.0


@cache
def wood(species, grade, nominal):
    """Return F_b, C_F, E, b and d of a joist."""
    b, d, _ = published.nominal_size(nominal, "sawn")
    found = numbers(sawn(species, grade, *size(b, d)))
    return found.F_b, found.C_F, found.E, b, d


def column(name):
    return np.array([float(row[name]) for row in ROWS])


def spans():
    """Return the span of each row at which bending or live-load deflection is used up [in]."""
    each = np.array([wood(row["species"], row["grade"], row["size"]) for row in ROWS])
    F_b, C_F, E, b, d = each.T
    spacing = column("spacing_in")
    live = column("live_psf") * psf * spacing
    total = live + column("dead_psf") * psf * spacing
    divisor = column("deflection_divisor")
    F_b_prime = adjusted_bending_value(F_b, np.full_like(F_b, C_D), C_F, np.full_like(F_b, C_r))
    EI = flexural_stiffness(adjusted_modulus(E), moment_of_inertia(b, d))
    S = section_modulus(b, d)

    def used(L):
        bending = bending_stress(total * L**2 / 8, S) / F_b_prime
        Delta = deflection_at_stiffness(5 * live * L**4 / 384, EI)
        return np.maximum(bending, Delta / deflection_limit(L, divisor))

    low, high = np.full_like(d, 1.0), np.full_like(d, 60 * ft)
    for _ in range(60):
        middle = (low + high) / 2
        short = used(middle) <= 1
        low, high = np.where(short, middle, low), np.where(short, high, middle)
    return low


def test_every_joist_span_is_within_an_inch_of_the_printed_one():
    """597 rows of three tables, by the smaller of bending and live-load deflection."""
    difference = np.abs(spans() - column("span_in"))

    worst = [
        (row["table"], row["species"], row["grade"], row["size"], row["span"])
        for row, off in zip(ROWS, difference, strict=True)
        if off > 1.0
    ]
    assert len(ROWS) == 597
    assert worst == []


def test_both_limits_govern_some_rows():
    """Neither bending nor deflection is idle in the test above."""
    L = spans()
    spacing, d = column("spacing_in"), np.array([wood(*key(row))[4] for row in ROWS])
    E = np.array([wood(*key(row))[2] for row in ROWS])
    stiff = (384 * E * 1.5 * d**3 / 12 / 5 / (column("live_psf") * psf * spacing)
             / column("deflection_divisor")) ** (1 / 3)
    by_deflection = np.isclose(L, stiff, rtol=1e-9)

    assert 0.1 < by_deflection.mean() < 0.9


def key(row):
    return row["species"], row["grade"], row["size"]
