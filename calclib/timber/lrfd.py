"""Load and resistance factor design: K_F, phi and lambda, in the same tables of factors."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from calclib import published
from calclib.errors import InputError, LookupMiss, message, quoted
from calclib.timber.leaves import table_leaf
from calclib.trace import Value, step

# The factor of each method that depends on the load case.
TIME_FACTOR = {"ASD": "C_D", "LRFD": "lambda"}
COMBINATIONS = {"ASCE 7-16": "asce-7-16-2-3-1", "ASCE 7-22": "asce-7-22-2-3-1"}
LIVE_LOADS = ("occupancy", "storage", "impact")


def format_conversion_factor(property: str) -> Value:
    """Return K_F of a property.

    Parameters
    ----------
    property : str
        "Fb", "Ft", "Fv", "Fc", "Fc_perp" or "E_min".

    Raises
    ------
    LookupMiss
        When the table has none, as for E.
    """
    row = published.find("nds-2018-n1", property=property)
    return table_leaf(row, "K_F", "K_F", f"format conversion factor for {property}")


def resistance_factor(property: str) -> Value:
    """Return phi of a property; see `format_conversion_factor`."""
    row = published.find("nds-2018-n2", property=property)
    return table_leaf(row, "phi", "phi", f"resistance factor for {property}")


def with_strength_factors(
    factors: Mapping[str, Mapping[str, Any]],
) -> dict[str, dict[str, Any]]:
    """Return factors by property and symbol, with K_F and phi for each property that has them.

    Parameters
    ----------
    factors : mapping
        As `Piece.factors`; "E" stays as it is, for deflection is the same in both methods.
    """
    known = published.choices("nds-2018-n1", "property")
    return {
        property: {
            **given,
            **(
                {
                    "K_F": format_conversion_factor(property),
                    "phi": resistance_factor(property),
                }
                if property in known
                else {}
            ),
        }
        for property, given in factors.items()
    }


def _time_sentence(arguments: Any, results: Any, case: int | None) -> str:
    cases, names, *_ = arguments
    if case is None:
        return "Time effect factor of each combination."
    return f"lambda of {cases[case]} is {float(results[0][case]):g}, by the row {names[case]}."


@step(
    "the time effect factor of each combination",
    [("lamda", "")],
    sentence=_time_sentence,
    source="NDS 2018 Appendix N Table N3",
)
def _time_effect(cases: Sequence[str], names: Sequence[str], *factors: Any) -> Any:
    import numpy as np

    return (np.array(factors),)


def time_effect_factor(
    cases: Sequence[str], *, edition: str = "ASCE 7-16", live_load: str = "occupancy"
) -> Value:
    """Return lambda of each load case, by the name of its combination.

    Parameters
    ----------
    cases : sequence of str
        Names of LRFD combinations as `calclib.published` has them, such as "1.2D + 1.6L + 0.5S";
        what follows a comma (the pattern of live load) is passed over.
    edition : str
        "ASCE 7-16" or "ASCE 7-22".
    live_load : str
        "occupancy", "storage" or "impact"; it counts where live load has the factor 1.6.

    Returns
    -------
    Value [dimensionless]
        An array over the cases.

    Raises
    ------
    InputError
        For another edition or live load, or when no case is given.
    LookupMiss
        For a combination that the edition does not hold; the message names what is near.

    Notes
    -----
    Valid for: LRFD; not on E, E_min or F_c perpendicular.
    Differs from the source: lambda 1.25 of impact is not for connections nor for treated members
    (1.0 there), which the caller must see to.
    """
    if not cases:
        raise InputError(message("load cases", "at least one", "none"))
    for what, given, known in (
        ("edition of the load standard", edition, tuple(COMBINATIONS)),
        ("live load", live_load, LIVE_LOADS),
    ):
        if given not in known:
            needs = f"one of {', '.join(quoted(name) for name in known)}"
            raise InputError(message(what, needs, quoted(given)))
    found = [_time_row(case.partition(",")[0], COMBINATIONS[edition], live_load) for case in cases]
    leaves = [
        table_leaf(row, "lambda", "lamda", f"time effect factor, {', '.join(row.key)}")
        for row in found
    ]
    names = tuple(", ".join(row.key) for row in found)
    (lamda,) = _time_effect(tuple(cases), names, *leaves)
    return lamda  # type: ignore[no-any-return]


def _time_row(combination: str, table: str, live_load: str) -> published.Row:
    """Return the row of Table N3 for a combination of a load standard.

    Both lists run in the order of the load standard: its combination of number n is the n-th
    that Table N3 names.
    """
    number = int(published.find(table, combination=combination).text("number"))
    name = published.choices("nds-2018-n3", "combination")[number - 1]
    for row in published.matching("nds-2018-n3", combination=name):
        if row.text("condition") in ("any", f"L is {live_load}"):
            return row
    raise LookupMiss(f"time effect factor: no row for {quoted(combination)}, {live_load}.")
