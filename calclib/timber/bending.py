"""Bending about the strong axis: stress, reference value for stability, adjusted value."""

from __future__ import annotations

from calclib.trace import formula, maximum, minimum, positive, product


@formula(
    "f_b",
    "psi",
    source="NDS 2018 3.3.2 Eq. 3.3-1",
    M="lbf*in",
    S="in^3",
    valid={"M": (None, None), "S": positive},
)
def bending_stress(M, S):  # type: ignore[no-untyped-def]
    """Bending stress at the edge.

    Parameters
    ----------
    M : float or array [lbf*in]
        Size of the moment.
    S : float or array [in^3]
        Section modulus.

    Returns
    -------
    float or array [psi]
        With the sign of M.

    Notes
    -----
    Valid for: S > 0.
    Differs from the source: nothing.
    """
    return M / S


@formula(
    "F_b_star",
    "psi",
    source="NDS 2018 3.3.3.8",
    F_b="psi",
    C="",
    valid={"F_b": positive, "C": (0.0, None)},
)
def bending_value_for_stability(F_b, *C):  # type: ignore[no-untyped-def]
    """Reference bending value with every factor but those of flat use, volume and stability.

    Parameters
    ----------
    F_b : float or array [psi]
        Reference bending value.
    *C : float or array [dimensionless]
        The factors that apply; of C_V its part above 1 only.

    Returns
    -------
    float or array [psi]
        Zero or more.

    Notes
    -----
    Valid for: F_b > 0, factors >= 0.
    Differs from the source: nothing.
    """
    return F_b * product(C)


@formula("C_V_star", "", source="NDS 2018 8.3.6", C_V="", valid={"C_V": positive})
def volume_factor_above_one(C_V):  # type: ignore[no-untyped-def]
    """Part of the size factor of composite lumber that stands in F_b*.

    Parameters
    ----------
    C_V : float or array [dimensionless]
        Size factor.

    Returns
    -------
    float or array [dimensionless]
        1 or more.

    Notes
    -----
    Valid for: C_V > 0.
    Differs from the source: the clause says in words that C_V above 1 acts together with C_L.
    """
    return maximum(C_V, 1)


@formula(
    "C_LV",
    "",
    source="NDS 2018 5.3.6, 8.3.6",
    C_L="",
    C_V_star="",
    C_V="",
    valid={"C_L": (0.0, None), "C_V_star": (1.0, None), "C_V": positive},
)
def stability_or_volume_factor(C_L, C_V_star, C_V):  # type: ignore[no-untyped-def]
    """The factor that stands for both stability and volume.

    Parameters
    ----------
    C_L : float or array [dimensionless]
        Beam stability factor.
    C_V_star : float or array [dimensionless]
        The greater of C_V and 1.
    C_V : float or array [dimensionless]
        Volume or size factor.

    Returns
    -------
    float or array [dimensionless]
        The lesser of C_L and C_V where C_V is at most 1, else their product.

    Notes
    -----
    Valid for: C_L >= 0, C_V > 0, C_V_star >= 1.
    Differs from the source: two rules in words, for C_V up to 1 and above 1, in one expression.
    """
    return minimum(C_L * C_V_star, C_V)


@formula(
    "F_b_prime",
    "psi",
    source="NDS 2018 Tables 4.3.1, 8.3.1",
    F_b="psi",
    C="",
    valid={"F_b": positive, "C": (0.0, None)},
)
def adjusted_bending_value(F_b, *C):  # type: ignore[no-untyped-def]
    """Adjusted bending design value.

    Parameters
    ----------
    F_b : float or array [psi]
        Reference bending value.
    *C : float or array [dimensionless]
        The factors that apply.

    Returns
    -------
    float or array [psi]
        Zero or more.

    Notes
    -----
    Valid for: F_b > 0, factors >= 0.
    Differs from the source: nothing.
    """
    return F_b * product(C)
