"""Bearing along the grain and at an angle to it, and the value for small deformation."""

from __future__ import annotations

from calclib.trace import formula, positive, sqrt


@formula(
    "f_c",
    "psi",
    source="NDS 2018 3.10.1.1",
    P="lbf",
    A_n="in^2",
    valid={"P": (None, None), "A_n": positive},
)
def end_bearing_stress(P, A_n):  # type: ignore[no-untyped-def]
    """Compression stress along the grain at an end that bears.

    Parameters
    ----------
    P : float or array [lbf]
        Load, pressing positive.
    A_n : float or array [in^2]
        Net area in contact.

    Returns
    -------
    float or array [psi]
        With the sign of P: negative in a case that lifts, which is for another check.

    Notes
    -----
    Valid for: A_n > 0; the end cut square, full contact.
    Differs from the source: nothing.
    """
    return P / A_n


@formula(
    "F_c_plate",
    "psi",
    source="NDS 2018 3.10.1.3",
    F_c_star="psi",
    valid={"F_c_star": positive},
)
def plate_threshold(F_c_star):  # type: ignore[no-untyped-def]
    """Stress along the grain above which ends must bear on a metal plate.

    Parameters
    ----------
    F_c_star : float or array [psi]
        Compression value along the grain with every factor but C_P.

    Returns
    -------
    float or array [psi]
        Above zero.

    Notes
    -----
    Valid for: F_c_star > 0; a plate, or what is as strong and stiff.
    Differs from the source: nothing.
    """
    return 0.75 * F_c_star


@formula(
    "s_theta",
    "",
    source="geometry",
    rise="in",
    run="in",
    valid={"rise": (0.0, None), "run": positive},
)
def sine_of_slope(rise, run):  # type: ignore[no-untyped-def]
    """Sine of an angle, from its rise and run.

    Parameters
    ----------
    rise : float or array [in]
        Across the direction from which the angle is measured.
    run : float or array [in]
        Along it.

    Returns
    -------
    float or array [dimensionless]
        From 0 to below 1.

    Notes
    -----
    Valid for: rise >= 0, run > 0.
    Differs from the source: nothing.
    """
    return rise / sqrt(rise**2 + run**2)


@formula(
    "F_theta_prime",
    "psi",
    source="NDS 2018 3.10.3 Eq. 3.10-1",
    F_c_star="psi",
    F_c_perp_prime="psi",
    s_theta="",
    valid={"F_c_star": positive, "F_c_perp_prime": positive, "s_theta": (0.0, 1.0)},
)
def bearing_value_at_angle(F_c_star, F_c_perp_prime, s_theta):  # type: ignore[no-untyped-def]
    """Adjusted bearing design value at an angle to the grain.

    Parameters
    ----------
    F_c_star : float or array [psi]
        Compression value along the grain with every factor but C_P.
    F_c_perp_prime : float or array [psi]
        Adjusted compression value across the grain.
    s_theta : float or array [dimensionless]
        Sine of the angle between the load and the grain: 0 along it, 1 across.

    Returns
    -------
    float or array [psi]
        Between the two values.

    Notes
    -----
    Valid for: F_c_star > 0, F_c_perp_prime > 0, 0 <= s_theta <= 1.
    Differs from the source: the squared cosine is written as 1 less the squared sine.
    """
    across = s_theta**2
    return F_c_star * F_c_perp_prime / (F_c_star * across + F_c_perp_prime * (1 - across))


@formula(
    "F_c_perp_low",
    "psi",
    source="NDS 2018 4.2.6",
    F_c_perp="psi",
    valid={"F_c_perp": positive},
)
def small_deformation_value(F_c_perp):  # type: ignore[no-untyped-def]
    """Compression value across the grain for a deformation of 0.02 in instead of 0.04 in.

    Parameters
    ----------
    F_c_perp : float or array [psi]
        Reference value of the tables, at 0.04 in.

    Returns
    -------
    float or array [psi]
        Above zero.

    Notes
    -----
    Valid for: F_c_perp > 0; where a critical assembly must not settle more.
    Differs from the source: nothing.
    """
    return 0.73 * F_c_perp
