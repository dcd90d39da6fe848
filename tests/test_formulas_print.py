"""Every formula of the library: its printed lines recompute from their printed numbers."""

from __future__ import annotations

from printed import assert_recomputes
from test_formulas_walk import EVERY, names_of, samples, unit_of

from calclib.trace import Value, leaf

LINES = 6


def traced(formula, arguments: list[float]) -> Value:
    """Return a formula's result from leaves that are shown in its declared units."""
    leaves = [
        leaf(
            number,
            unit_of(formula.units[name]),
            name,
            f"{name}.{place}",
            title="drawn",
            basis="assumed",
        )
        for place, (name, number) in enumerate(zip(names_of(formula), arguments, strict=True))
    ]
    return formula(*leaves)


@EVERY
def test_printed_lines_recompute_from_their_printed_numbers(formula):
    """What stands on the sheet can be followed with a pocket calculator."""
    for arguments, _ in samples(formula)[:LINES]:
        assert_recomputes(traced(formula, arguments))
