"""Tension along the grain: stress and adjusted value."""

from __future__ import annotations

from calclib.trace import formula, positive, product


@formula(
    "f_t",
    "psi",
    source="NDS 2018 3.8.1",
    T="lbf",
    A_n="in^2",
    valid={"T": (0.0, None), "A_n": positive},
)
def tension_stress(T, A_n):  # type: ignore[no-untyped-def]
    """Tension stress along the grain.

    Parameters
    ----------
    T : float or array [lbf]
        Size of the tension force.
    A_n : float or array [in^2]
        Net area, without holes and notches.

    Returns
    -------
    float or array [psi]
        Zero or more.

    Notes
    -----
    Valid for: T >= 0, A_n > 0; along the grain, for tension across it is to be avoided (3.8.2).
    Differs from the source: nothing.
    """
    return T / A_n


@formula(
    "F_t_prime",
    "psi",
    source="NDS 2018 3.8.1, Tables 4.3.1, 5.3.1, 8.3.1",
    F_t="psi",
    C="",
    valid={"F_t": positive, "C": (0.0, None)},
)
def adjusted_tension_value(F_t, *C):  # type: ignore[no-untyped-def]
    """Adjusted tension design value along the grain.

    Parameters
    ----------
    F_t : float or array [psi]
        Reference tension value along the grain.
    *C : float or array [dimensionless]
        The factors that apply.

    Returns
    -------
    float or array [psi]
        Zero or more.

    Notes
    -----
    Valid for: F_t > 0, factors >= 0.
    Differs from the source: nothing.
    """
    return F_t * product(C)
