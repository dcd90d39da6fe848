"""Adjustment factors as traced values, and which of them apply to which property."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

from calclib import published
from calclib.errors import InputError, LookupMiss, message, quoted
from calclib.published import Row
from calclib.timber.leaves import code_leaf, table_leaf
from calclib.timber.materials import (
    COMPOSITE_LUMBER,
    DIMENSION_LUMBER,
    SOUTHERN_PINE_TIMBERS,
    Material,
)
from calclib.trace import Value, formula, positive, step, where

# End of the column names of the factor tables, by property of the applicability tables.
ENDINGS = {
    "Fb": "b", "Ft": "t", "Fv": "v", "Fc_perp": "c_perp", "Fc": "c", "E": "E", "E_min": "E",
}  # fmt: skip
METHODS = {"ASD": ("asd", "both"), "LRFD": ("both", "lrfd")}


@cache
def applicable(table: str, property: str, method: str = "ASD") -> tuple[str, ...]:
    """Return the symbols of the factors that apply to a reference value, in printed order.

    Parameters
    ----------
    table : str
        "nds-2018-4-3-1" for sawn lumber, "nds-2018-8-3-1" for composite lumber.
    property : str
        "Fb", "Ft", "Fv", "Fc_perp", "Fc", "E" or "E_min".
    method : str
        "ASD" or "LRFD".

    Returns
    -------
    tuple of str

    Raises
    ------
    LookupMiss
        When the table has no such property.

    Examples
    --------
    >>> applicable("nds-2018-8-3-1", "Fv")
    ('C_D', 'C_M', 'C_t')
    """
    row = published.find(table, property=property)
    return tuple(name for column in METHODS[method] for name in row.text(column).split())


def factors_for(
    table: str,
    property: str,
    given: Mapping[str, Any],
    *,
    without: Sequence[str] = (),
    method: str = "ASD",
) -> tuple[Any, ...]:
    """Return the factors on a reference value in printed order, as a formula takes them.

    Parameters
    ----------
    table, property, method : str
        As for `applicable`.
    given : mapping of str to Value or number
        Factors by symbol.
    without : sequence of str
        Symbols to leave out.

    Raises
    ------
    LookupMiss
        When a factor that applies was not given.
    """
    names = [name for name in applicable(table, property, method) if name not in without]
    missing = [name for name in names if name not in given]
    if missing:
        raise LookupMiss(message(property, f"the factor {', '.join(missing)}", "none"))
    return tuple(given[name] for name in names)


@dataclass(frozen=True)
class Service:
    """The conditions under which a member serves.

    Attributes
    ----------
    moisture : str
        "dry" or "wet".
    temperature : str
        The range of sustained temperature, such as "up to 100 F"; its last number counts.
    incised : bool
        Incised for pressure treatment.
    """

    moisture: str = "dry"
    temperature: str = "up to 100 F"
    incised: bool = False

    def __post_init__(self) -> None:
        if self.moisture not in ("dry", "wet"):
            needs, got = '"dry" or "wet"', quoted(self.moisture)
            raise InputError(message("moisture in service", needs, got))


def service_factors(kind: str, service: Service) -> dict[str, dict[str, Value]]:
    """Return the factors of moisture, temperature and incising, by property and symbol.

    Parameters
    ----------
    kind : str
        Kind of material, see `Material`.
    service : Service

    Raises
    ------
    InputError
        When the tables hold no factor for the material in this service.
    """
    return {
        property: {
            "C_M": wet_service_factor(kind, property, service),
            "C_t": temperature_factor(property, service),
            "C_i": incising_factor(kind, property, service),
        }
        for property in ENDINGS
    }


def wet_service_factor(kind: str, property: str, service: Service) -> Value:
    """Return C_M of the table for a property; see also `bending_wet_service_factor`.

    Raises
    ------
    InputError
        For composite lumber in wet service.
    """
    if service.moisture == "dry" and kind != SOUTHERN_PINE_TIMBERS:
        clause = "NDS 2018 4.3.3, 8.3.3"
        return code_leaf(1.0, "C_M", "NDS-2018/C_M/dry", "wet service factor, dry service", clause)
    if kind == COMPOSITE_LUMBER:
        raise InputError(
            message(
                kind,
                "dry service",
                '"wet"',
                "It is outside the reference values: ask the maker, or take another material.",
            )
        )
    row = published.find("nds-2018-wet-service", product=kind)
    title = f"wet service factor for {property}, {kind}"
    return table_leaf(row, f"C_M_{ENDINGS[property]}", "C_M", title, of=property)


def bending_wet_service_factor(material: Material, service: Service) -> Value:
    """Return C_M for F_b, which stays 1 where F_b C_F of dimension lumber is small."""
    if material.kind != DIMENSION_LUMBER or service.moisture == "dry":
        return wet_service_factor(material.kind, "Fb", service)
    row = published.find("nds-2018-wet-service", product=material.kind)
    wet = table_leaf(row, "C_M_b", "C_M_wet", f"wet service factor for Fb, {material.kind}")
    low = table_leaf(row, "Fb_C_F_max_psi", "F_low", "limit of F_b C_F for C_M = 1", "psi")
    return wet_service_factor_for_bending(material.F_b, material.C_F, low, wet)


@formula(
    "C_M",
    "",
    source="NDS Supplement 2018 Tables 4A and 4B, wet service factor",
    F_b="psi",
    C_F="",
    F_low="psi",
    C_M_wet="",
    valid={"F_b": positive, "C_F": positive, "F_low": positive, "C_M_wet": (0.0, 1.0)},
)
def wet_service_factor_for_bending(F_b, C_F, F_low, C_M_wet):  # type: ignore[no-untyped-def]
    """Wet service factor on F_b of dimension lumber.

    Parameters
    ----------
    F_b : float or array [psi]
        Reference bending value.
    C_F : float or array [dimensionless]
        Size factor.
    F_low : float or array [psi]
        Product of the two up to which moisture does not count.
    C_M_wet : float or array [dimensionless]
        The factor above it.

    Returns
    -------
    float or array [dimensionless]
        C_M_wet or 1.

    Notes
    -----
    Valid for: F_b > 0, C_F > 0, 0 <= C_M_wet <= 1; moisture content in service over 19 %.
    Differs from the source: nothing.
    """
    return where(F_b * C_F <= F_low, 1, C_M_wet)


def temperature_factor(property: str, service: Service) -> Value:
    """Return C_t for a property.

    Raises
    ------
    InputError
        When the temperature is none of the table's; it ends at 150 F.
    """
    found = re.findall(r"\d+", service.temperature)
    for row in published.rows("nds-2018-2-3-3"):
        properties = row.text("properties").split("; ")
        wetness = row.text("moisture").split(" or ")
        if property in properties and service.moisture in wetness and found:
            if row.number("T_max_F") == float(found[-1]):
                title = f"temperature factor for {property}, {service.moisture}, {row.key[-1]}"
                return table_leaf(row, "C_t", "C_t", title)
    needs = ", ".join(quoted(name) for name in published.choices("nds-2018-2-3-3", "temperature"))
    raise InputError(
        message("temperature in service", f"one of {needs}", quoted(service.temperature))
    )


def incising_factor(kind: str, property: str, service: Service) -> Value:
    """Return C_i for a property.

    Raises
    ------
    InputError
        When another material than dimension lumber is said to be incised.
    """
    if not service.incised:
        return code_leaf(
            1.0, "C_i", "NDS-2018/C_i/not incised", "incising factor, not incised", "NDS 2018 4.3.8"
        )
    if kind != DIMENSION_LUMBER:
        raise InputError(
            message(
                kind,
                "no incising",
                "incised",
                "NDS 2018 4.3.8 gives factors for dimension lumber only: ask the treater.",
            )
        )
    row = published.find("nds-2018-4-3-8", product=DIMENSION_LUMBER)
    title = f"incising factor for {property}"
    return table_leaf(row, f"C_i_{ENDINGS[property]}", "C_i", title, of=property)


@formula(
    "C_r",
    "",
    source="NDS 2018 4.3.9, 8.3.7",
    n="",
    s="in",
    n_min="",
    s_max="in",
    C_r_table="",
    valid={
        "n": (1.0, None),
        "s": (0.0, None),
        "n_min": (1.0, None),
        "s_max": positive,
        "C_r_table": (1.0, 2.0),
    },
)
def repetitive_member_factor(n, s, n_min, s_max, C_r_table):  # type: ignore[no-untyped-def]
    """Repetitive member factor on F_b.

    Parameters
    ----------
    n : float or array [dimensionless]
        Number of members side by side.
    s : float or array [in]
        Their spacing on center; the breadth of a ply where they touch.
    n_min : float or array [dimensionless]
        Least number of members.
    s_max : float or array [in]
        Greatest spacing.
    C_r_table : float or array [dimensionless]
        The factor of the table.

    Returns
    -------
    float or array [dimensionless]
        C_r_table or 1.

    Notes
    -----
    Valid for: n >= 1, s >= 0, 1 <= C_r_table <= 2; members joined by a floor, roof or other
    element that shares the load, which the caller has made sure of.
    Differs from the source: nothing.
    """
    return where(n >= n_min, where(s <= s_max, C_r_table, 1), 1)


def repetitive_factor(material: Material, n: Value, spacing: Value, *, joined: bool) -> Value:
    """Return C_r for members side by side.

    Parameters
    ----------
    material : Material
    n : Value
        Number of members.
    spacing : Value [in]
        On center; the breadth of a ply where they touch.
    joined : bool
        Whether an element joins them that shares the load.
    """
    if not joined:
        return single_member_factor("not joined by an element that shares the load")
    known = published.choices("nds-2018-repetitive", "product")
    if material.kind not in known:
        return single_member_factor(f"not for {material.kind}")
    row = published.find("nds-2018-repetitive", product=material.kind)
    title = f"repetitive member factor, {material.kind}"
    return repetitive_member_factor(
        n,
        spacing,
        table_leaf(row, "members_min", "n_min", "least number of repetitive members"),
        table_leaf(row, "spacing_max_in", "s_max", "greatest spacing of repetitive members", "in"),
        table_leaf(row, "C_r", "C_r_table", title),
    )


def single_member_factor(why: str = "a single member") -> Value:
    """Return C_r = 1, with the reason."""
    return code_leaf(
        1.0,
        "C_r",
        f"NDS-2018/C_r/{why}",
        f"repetitive member factor, {why}",
        "NDS 2018 4.3.9, 8.3.7",
    )


def strong_axis_factor() -> Value:
    """Return C_fu = 1: the load is on the narrow face."""
    return code_leaf(
        1.0,
        "C_fu",
        "NDS-2018/C_fu/edge",
        "flat use factor, load on the narrow face",
        "NDS 2018 4.3.7",
    )


def no_truss_factor() -> Value:
    """Return C_T = 1: the member is no chord of a truss."""
    return code_leaf(
        1.0,
        "C_T",
        "NDS-2018/C_T/no truss",
        "buckling stiffness factor, not the chord of a truss",
        "NDS 2018 4.4.2",
    )


@cache
def duration_row(letter: str) -> Row:
    """Return the row of load duration of a source: D, L, S, Lr or W."""
    return published.find("nds-2018-2-3-2", letter=letter)


def _duration_sentence(arguments: Any, results: Any, case: int | None) -> str:
    cases, letters, names, *_ = arguments
    if case is None:
        return "Load duration factor of each combination, that of its shortest load."
    number = float(results[0][case])
    numbers = [float(value.number) for value in arguments[3:]]
    present = cases[case].split("+")
    name = next(
        n for x, n, f in zip(letters, names, numbers, strict=True) if x in present and f == number
    )
    return (
        f"C_D of {' + '.join(present)} is {number:g}, that of {name} load, "
        "the shortest in the combination."
    )


@step(
    "the load duration factor of each combination",
    [("C_D", "")],
    sentence=_duration_sentence,
    source="NDS 2018 2.3.2",
)
def _shortest(
    cases: Sequence[str], letters: Sequence[str], names: Sequence[str], *factors: Any
) -> Any:
    import numpy as np

    known = dict(zip(letters, factors, strict=True))
    # The shorter a load lasts, the higher its factor.
    return (np.array([max(known[letter] for letter in case.split("+")) for case in cases]),)


def load_duration_factor(cases: Sequence[str]) -> Value:
    """Return C_D of each load case, that of the shortest load present in it.

    Parameters
    ----------
    cases : sequence of str
        For each case the letters of its loads, joined: "D+L+S".

    Returns
    -------
    Value [dimensionless]
        An array over the cases.

    Raises
    ------
    InputError
        When no case is given.
    LookupMiss
        For a letter that the table does not hold.

    Notes
    -----
    Valid for: ASD; not on E, E_min or F_c perpendicular.
    Differs from the source: nothing.
    """
    if not cases:
        raise InputError(message("load cases", "at least one", "none"))
    letters = tuple(dict.fromkeys(letter for case in cases for letter in case.split("+")))
    found = [duration_row(letter) for letter in letters]
    leaves = [
        table_leaf(row, "C_D", "C_D", f"load duration factor, {row.text('load')} load")
        for row in found
    ]
    names = tuple(row.text("load") for row in found)
    (C_D,) = _shortest(tuple(cases), letters, names, *leaves)
    return C_D  # type: ignore[no-any-return]
