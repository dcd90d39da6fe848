"""Snow on roofs by ASCE 7 chapter 7: flat, sloped, minimum and unbalanced."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache
from typing import Any

from calclib import published
from calclib.errors import InputError, message
from calclib.trace import Value, formula, leaf, maximum, minimum, positive, sqrt, step
from calclib.units import ft, pcf, psf

LOAD = (0.0, None)
# ASCE 7 7.6.1 bounds unbalanced snow by slope: 1/2 on 12 and 7 on 12; 7.3.4 by 15 degrees.
LEAST_UNBALANCED, MOST_UNBALANCED = 0.5 / 12, 7 / 12
LOW_SLOPE = math.tan(math.radians(15))
NARROW = 20 * ft
FROM_MEMORY = "from memory, compare with the printed standard"


@formula(
    "p_f", "psf", C_e="", C_t="", I_s="", p_g="psf",
    source="ASCE 7-16 Eq. 7.3-1",
    valid={"C_e": positive, "C_t": positive, "I_s": positive, "p_g": LOAD},
)  # fmt: skip
def flat_roof_snow(C_e, C_t, I_s, p_g):  # type: ignore[no-untyped-def]
    """Snow load of a flat roof.

    Parameters
    ----------
    C_e : float or array [dimensionless]
        Exposure factor.
    C_t : float or array [dimensionless]
        Thermal factor.
    I_s : float or array [dimensionless]
        Importance factor; 1 with the 2022 maps.
    p_g : float or array [psf]
        Ground snow load.

    Returns
    -------
    float or array [psf]
        Zero or more, on the plan.

    Notes
    -----
    Valid for: p_g >= 0.
    Differs from the source: nothing; typed from memory.
    """
    return 0.7 * C_e * C_t * I_s * p_g


@formula(
    "C_s", "", theta="", theta_1="", theta_0="",
    source="ASCE 7-16 7.4, Fig. 7.4-1",
    valid={"theta": (0.0, 90.0), "theta_1": (0.0, 45.0), "theta_0": (60.0, 90.0)},
)  # fmt: skip
def slope_factor(theta, theta_1, theta_0):  # type: ignore[no-untyped-def]
    """Factor by which snow slides off a slope.

    Parameters
    ----------
    theta : float or array [dimensionless]
        Slope of the roof in degrees.
    theta_1 : float or array [dimensionless]
        The steepest slope that keeps all snow, in degrees.
    theta_0 : float or array [dimensionless]
        The slope that keeps no snow, in degrees.

    Returns
    -------
    float or array [dimensionless]
        Between 0 and 1.

    Notes
    -----
    Valid for: 0 <= theta <= 90.
    Differs from the source: nothing; typed from memory.
    """
    return minimum(maximum((theta_0 - theta) / (theta_0 - theta_1), 0), 1)


@formula("p_s", "psf", C_s="", p_f="psf", source="ASCE 7-16 Eq. 7.4-1",
         valid={"C_s": LOAD, "p_f": LOAD})  # fmt: skip
def sloped_roof_snow(C_s, p_f):  # type: ignore[no-untyped-def]
    """Balanced snow load of a sloped roof.

    Parameters
    ----------
    C_s : float or array [dimensionless]
        Slope factor.
    p_f : float or array [psf]
        Snow load of a flat roof.

    Returns
    -------
    float or array [psf]
        Zero or more, on the plan.

    Notes
    -----
    Valid for: p_f >= 0.
    Differs from the source: nothing; typed from memory.
    """
    return C_s * p_f


@formula("p_m", "psf", I_s="", p_g="psf", p_most="psf", source="ASCE 7-16 7.3.4",
         valid={"I_s": positive, "p_g": LOAD, "p_most": positive})  # fmt: skip
def minimum_snow(I_s, p_g, p_most):  # type: ignore[no-untyped-def]
    """Minimum snow load of a roof of low slope.

    Parameters
    ----------
    I_s : float or array [dimensionless]
        Importance factor; 1 with the 2022 maps.
    p_g : float or array [psf]
        Ground snow load.
    p_most : float or array [psf]
        Ground snow load beyond which the minimum does not grow.

    Returns
    -------
    float or array [psf]
        Zero or more.

    Notes
    -----
    Valid for: slopes below 15 degrees.
    Differs from the source: nothing; typed from memory.
    """
    return I_s * minimum(p_g, p_most)


@formula("p_s", "psf", p_s="psf", p_m="psf", source="ASCE 7-16 7.3.4",
         valid={"p_s": LOAD, "p_m": LOAD})  # fmt: skip
def snow_not_below_minimum(p_s, p_m):  # type: ignore[no-untyped-def]
    """Larger of balanced and minimum snow load.

    Parameters
    ----------
    p_s : float or array [psf]
        Balanced load.
    p_m : float or array [psf]
        Minimum load of low slopes.

    Returns
    -------
    float or array [psf]
        Zero or more.

    Notes
    -----
    Valid for: uniform loads on the whole roof.
    Differs from the source: nothing; typed from memory.
    """
    return maximum(p_s, p_m)


@formula("p_lee", "psf", I_s="", p_g="psf", source="ASCE 7-16 7.6.1",
         valid={"I_s": positive, "p_g": LOAD})  # fmt: skip
def leeward_snow_of_narrow_roof(I_s, p_g):  # type: ignore[no-untyped-def]
    """Unbalanced snow on the leeward slope of a narrow roof; the windward slope has none.

    Parameters
    ----------
    I_s : float or array [dimensionless]
        Importance factor; 1 with the 2022 maps.
    p_g : float or array [psf]
        Ground snow load.

    Returns
    -------
    float or array [psf]
        Zero or more.

    Notes
    -----
    Valid for: at most 20 ft from eave to ridge, rafters that span from ridge to eave.
    Differs from the source: nothing; typed from memory.
    """
    return I_s * p_g


@formula("p_wind", "psf", p_s="psf", source="ASCE 7-16 7.6.1", valid={"p_s": LOAD})
def windward_snow_of_wide_roof(p_s):  # type: ignore[no-untyped-def]
    """Unbalanced snow on the windward slope of a wide roof.

    Parameters
    ----------
    p_s : float or array [psf]
        Balanced load.

    Returns
    -------
    float or array [psf]
        Zero or more.

    Notes
    -----
    Valid for: more than 20 ft from eave to ridge.
    Differs from the source: nothing; typed from memory.
    """
    return 0.3 * p_s


@formula("gamma", "pcf", p_g="psf", source="ASCE 7-16 Eq. 7.7-1", valid={"p_g": LOAD})
def snow_density(p_g):  # type: ignore[no-untyped-def]
    """Density of snow.

    Parameters
    ----------
    p_g : float or array [psf]
        Ground snow load.

    Returns
    -------
    float or array [pcf]
        14 to 30.

    Notes
    -----
    Valid for: p_g >= 0.
    Differs from the source: nothing; typed from memory.
    """
    return minimum(0.13 / ft * p_g + 14 * pcf, 30 * pcf)


@formula("h_d", "ft", W="ft", p_g="psf", I_s="", source="ASCE 7-16 Fig. 7.6-1",
         valid={"W": (240.0, None), "p_g": LOAD, "I_s": positive})  # fmt: skip
def drift_height(W, p_g, I_s):  # type: ignore[no-untyped-def]
    """Height of the drift behind a ridge.

    Parameters
    ----------
    W : float or array [ft]
        From eave to ridge, on the plan.
    p_g : float or array [psf]
        Ground snow load.
    I_s : float or array [dimensionless]
        Importance factor.

    Returns
    -------
    float or array [ft]
        Zero or more.

    Notes
    -----
    Valid for: W >= 20 ft.
    Differs from the source: nothing; typed from memory.
    """
    rise = 0.43 * (W / (1 * ft)) ** (1 / 3) * (p_g / (1 * psf) + 10) ** (1 / 4) - 1.5
    return sqrt(I_s) * maximum(rise, 0.0) * ft


@formula("p_lee", "psf", p_s="psf", h_d="ft", gamma="pcf", m_r="", source="ASCE 7-16 7.6.1",
         valid={"p_s": LOAD, "h_d": LOAD, "gamma": positive, "m_r": positive})  # fmt: skip
def leeward_snow_of_wide_roof(p_s, h_d, gamma, m_r):  # type: ignore[no-untyped-def]
    """Unbalanced snow on the leeward slope of a wide roof.

    Parameters
    ----------
    p_s : float or array [psf]
        Balanced load.
    h_d : float or array [ft]
        Height of the drift.
    gamma : float or array [pcf]
        Density of snow.
    m_r : float or array [dimensionless]
        Rise over run.

    Returns
    -------
    float or array [psf]
        Not less than the balanced load.

    Notes
    -----
    Valid for: more than 20 ft from eave to ridge.
    Differs from the source: the drift's surcharge is taken over the whole slope and not only over
    8 h_d / (3 sqrt(m_r)) from the ridge, which is more.
    """
    return p_s + h_d * gamma * sqrt(m_r)


@dataclass(frozen=True)
class Snow:
    """The snow loads of a roof on its plan.

    Attributes
    ----------
    balanced : Value [psf]
    leeward, windward : Value or None [psf]
        Unbalanced loads; None for a slope without unbalanced load, or without any snow then.
    """

    balanced: Any
    leeward: Any = None
    windward: Any = None


def _leaf(number: float, unit: str, symbol: str, id: str, title: str, source: str) -> Value:
    return leaf(number, unit, symbol, id, title=title, basis="required by code", source=source,
                verified=False, note=FROM_MEMORY)  # fmt: skip


@cache
def _table(table: str, column: str, symbol: str, title: str, *keys: str) -> Value:
    names = published.describe(table).keys
    row = published.find(table, **dict(zip(names, keys, strict=True)))
    unit = "psf" if column.endswith("_psf") else ""
    return leaf(
        row.number(column) * (psf if unit else 1.0),
        unit,
        symbol,
        f"{table}/{'/'.join(keys)}/{symbol}",
        title=title,
        basis="required by code",
        source=row.printed,
        verified=row.status_of(column) == "verified",
        note=FROM_MEMORY,
    )


def roof_snow(
    edition: str,
    p_g: Value,
    pitch: Value,
    eave_to_ridge: Value,
    *,
    terrain: str,
    exposure: str,
    thermal: str,
    risk_category: str,
    slippery: bool,
    where_: str = "roof",
) -> Snow:
    """Return the snow loads of one slope of a gable roof.

    Parameters
    ----------
    edition : str
        "ASCE 7-16" or "ASCE 7-22": the maps from which p_g was read.
    p_g : Value [psf]
        Ground snow load of that edition's map.
    pitch : Value
        Rise over run.
    eave_to_ridge : Value [ft]
        Horizontal.
    terrain, exposure, thermal, risk_category : str
        As the tables name them.
    slippery : bool
        Whether snow can slide off a smooth, unobstructed surface.
    where_ : str
        Name of the roof, for messages.

    Returns
    -------
    Snow

    Raises
    ------
    InputError
        For unbalanced snow of a wide roof by the 2022 edition, whose drifts are not covered.
    LookupMiss
        For words that the tables do not hold.
    """
    maps_hold_importance = edition == "ASCE 7-22"
    C_e = _table("asce-7-exposure", "C_e", "C_e", f"exposure factor, {terrain}, {exposure}",
                 terrain, exposure)  # fmt: skip
    C_t = _table("asce-7-16-7-3-2", "C_t", "C_t", f"thermal factor, {thermal}", thermal)
    if maps_hold_importance:
        I_s = _leaf(1.0, "", "I_s", "ASCE-7-22/I_s", "importance factor: the maps hold it",
                    "ASCE 7-22 7.3")  # fmt: skip
        p_most = _table("asce-7-16-1-5-2", "p_m_max_psf", "p_most", "greatest minimum snow load",
                        risk_category)  # fmt: skip
    else:
        I_s = _table("asce-7-16-1-5-2", "I_s", "I_s", f"importance factor, {risk_category}",
                     risk_category)  # fmt: skip
        p_most = _leaf(20 * psf, "psf", "p_most", "ASCE-7-16/p_m", "ground snow of the minimum",
                       "ASCE 7-16 7.3.4")  # fmt: skip
    p_f = flat_roof_snow(C_e, C_t, I_s, p_g)
    p_s = sloped_roof_snow(_slope_factor(pitch, thermal, slippery), p_f)
    m = float(pitch.at())
    if m < LOW_SLOPE:
        p_s = snow_not_below_minimum(p_s, minimum_snow(I_s, p_g, p_most))
    if not LEAST_UNBALANCED <= m <= MOST_UNBALANCED:
        return Snow(p_s)
    if eave_to_ridge.at() <= NARROW:
        return Snow(p_s, leeward_snow_of_narrow_roof(I_s, p_g))
    if maps_hold_importance:
        raise InputError(
            message(where_, "at most 20 ft from eave to ridge for unbalanced snow by ASCE 7-22",
                    "more", "Let the engineer give it, as snow = ...")
        )  # fmt: skip
    drift = drift_height(eave_to_ridge, p_g, I_s)
    return Snow(
        p_s,
        leeward_snow_of_wide_roof(p_s, drift, snow_density(p_g), pitch),
        windward_snow_of_wide_roof(p_s),
    )


def _angle_sentence(arguments: Any, results: Any, case: int | None) -> str:
    return f"Slope of the roof: {12 * float(arguments[0].at()):g}/12, {float(results[0]):.1f} deg."


@step("the slope of a roof in degrees", ("theta", ""), sentence=_angle_sentence, source="geometry")
def slope_angle(pitch: float) -> float:
    """Return the angle of a slope in degrees, from its rise over run."""
    return math.degrees(math.atan(pitch))


def _slope_factor(pitch: Value, thermal: str, slippery: bool) -> Value:
    column = "slope_full_slippery_deg" if slippery else "slope_full_deg"
    row = published.find("asce-7-16-7-3-2", thermal=thermal)

    def degrees(column: str, symbol: str, title: str) -> Value:
        id = f"asce-7-16-7-3-2/{thermal}/{column}"
        return _leaf(row.number(column), "", symbol, id, f"{title}, degrees", row.printed)

    return slope_factor(  # type: ignore[no-any-return]
        slope_angle(pitch),
        degrees(column, "theta_1", "steepest slope that keeps all snow"),
        degrees("slope_zero_deg", "theta_0", "slope that keeps no snow"),
    )
