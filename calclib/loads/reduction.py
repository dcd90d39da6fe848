"""Reductions of live load: of floors by ASCE 7 4.7, of roofs by 4.8.2."""

from __future__ import annotations

from calclib import published
from calclib.trace import Value, formula, leaf, maximum, minimum, positive, sqrt, where
from calclib.units import ft, psf

LOAD = (0.0, None)


@formula(
    "r_L",
    "",
    K_LL="",
    A_T="ft^2",
    r_min="",
    source="ASCE 7-16 Eq. 4.7-1",
    valid={"K_LL": positive, "A_T": LOAD, "r_min": positive},
)
def live_load_share(K_LL, A_T, r_min):  # type: ignore[no-untyped-def]
    """Share of the live load that stays on a member that carries a large area.

    Parameters
    ----------
    K_LL : float or array [dimensionless]
        Live load element factor.
    A_T : float or array [ft^2]
        Tributary area.
    r_min : float or array [dimensionless]
        Least share that stays: 0.5 for one floor, 0.4 for several.

    Returns
    -------
    float or array [dimensionless]
        0.4 to 1; 1 where K_LL A_T is below 400 ft^2.

    Notes
    -----
    Valid for: live loads of at most 100 psf; not garages, not assembly uses.
    Differs from the source: nothing.
    """
    area = maximum(K_LL * A_T, 400 * ft**2)
    share = 0.25 + 15 * ft / sqrt(area)
    return where(K_LL * A_T < 400 * ft**2, 1.0, maximum(minimum(share, 1.0), r_min))


@formula(
    "R_1", "", A_t="ft^2", source="ASCE 7-16 4.8.2", valid={"A_t": LOAD},
)  # fmt: skip
def roof_reduction_by_area(A_t):  # type: ignore[no-untyped-def]
    """Reduction of roof live load by tributary area.

    Parameters
    ----------
    A_t : float or array [ft^2]
        Tributary area.

    Returns
    -------
    float or array [dimensionless]
        0.6 to 1.

    Notes
    -----
    Valid for: ordinary flat, pitched and curved roofs.
    Differs from the source: nothing; typed from memory.
    """
    return minimum(maximum(1.2 - 0.001 / ft**2 * A_t, 0.6), 1.0)


@formula("R_2", "", m_r="", source="ASCE 7-16 4.8.2", valid={"m_r": LOAD})
def roof_reduction_by_slope(m_r):  # type: ignore[no-untyped-def]
    """Reduction of roof live load by slope.

    Parameters
    ----------
    m_r : float or array [dimensionless]
        Rise over run.

    Returns
    -------
    float or array [dimensionless]
        0.6 to 1.

    Notes
    -----
    Valid for: pitched roofs.
    Differs from the source: 0.05 times the rise in inches per foot is written as 0.6 times rise
    over run; typed from memory.
    """
    return minimum(maximum(1.2 - 0.6 * m_r, 0.6), 1.0)


@formula("L_r", "psf", L_o="psf", R_1="", R_2="", source="ASCE 7-16 Eq. 4.8-1",
         valid={"L_o": LOAD, "R_1": positive, "R_2": positive})  # fmt: skip
def roof_live_load(L_o, R_1, R_2):  # type: ignore[no-untyped-def]
    """Roof live load after its reductions.

    Parameters
    ----------
    L_o : float or array [psf]
        Roof live load of the code, 20 psf for ordinary roofs.
    R_1 : float or array [dimensionless]
        Reduction by area.
    R_2 : float or array [dimensionless]
        Reduction by slope.

    Returns
    -------
    float or array [psf]
        12 psf or more.

    Notes
    -----
    Valid for: ordinary roofs without occupancy; on the plan.
    Differs from the source: nothing; typed from memory.
    """
    return maximum(L_o * R_1 * R_2, 12 * psf)


def element_factor(element: str) -> Value:
    """Return K_LL of a kind of member, as a leaf.

    Parameters
    ----------
    element : str
        "interior beam", "edge beam", "interior column", "exterior column" or "other member".
    """
    row = published.find("nyc-1607-11", element=element)
    return leaf(
        row.number("K_LL"), "", "K_LL", f"ASCE-7/4.7/{element}",
        title=f"live load element factor, {element}", basis="required by code",
        source=row.printed, verified=row.status_of("K_LL") == "verified",
    )  # fmt: skip


def least_share(floors: int) -> Value:
    """Return the least share of the live load that stays, by the number of floors carried."""
    number = 0.5 if floors == 1 else 0.4
    return leaf(
        number, "", "r_min", f"ASCE-7/4.7/least share, {'one floor' if floors == 1 else 'more'}",
        title="least share of the live load", basis="required by code",
        source="NYC Building Code 1607.11.1, the same rule as ASCE 7 4.7.2",
    )  # fmt: skip
