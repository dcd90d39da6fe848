"""Bending together with tension, compression or an eccentric load, guarded against buckling.

Each ratio of compression holds only while the stresses stay below the critical buckling values;
beyond them its denominators turn negative and the printed expression would read like a pass. There
the formulas return at least 2 instead.
"""

from __future__ import annotations

from calclib.trace import formula, minimum, positive, where


@formula(
    "u_tb",
    "",
    source="NDS 2018 3.9.1 Eq. 3.9-1",
    f_t="psi",
    F_t_prime="psi",
    f_b="psi",
    F_b_star="psi",
    valid={
        "f_t": (0.0, None),
        "F_t_prime": positive,
        "f_b": (0.0, None),
        "F_b_star": positive,
    },
)
def tension_and_bending_ratio(f_t, F_t_prime, f_b, F_b_star):  # type: ignore[no-untyped-def]
    """Ratio of tension with bending, on the edge in tension.

    Parameters
    ----------
    f_t : float or array [psi]
        Tension stress along the grain.
    F_t_prime : float or array [psi]
        Adjusted tension value.
    f_b : float or array [psi]
        Size of the bending stress.
    F_b_star : float or array [psi]
        Bending value with every factor but C_L.

    Returns
    -------
    float or array [dimensionless]
        At most 1 when it suffices.

    Notes
    -----
    Valid for: stresses >= 0, values > 0.
    Differs from the source: nothing.
    """
    return f_t / F_t_prime + f_b / F_b_star


@formula(
    "u_bt",
    "",
    source="NDS 2018 3.9.1 Eq. 3.9-2",
    f_b="psi",
    f_t="psi",
    F_b_star_star="psi",
    valid={
        "f_b": (0.0, None),
        "f_t": (0.0, None),
        "F_b_star_star": positive,
    },
)
def bending_less_tension_ratio(f_b, f_t, F_b_star_star):  # type: ignore[no-untyped-def]
    """Ratio of bending less tension, on the edge in compression.

    Parameters
    ----------
    f_b : float or array [psi]
        Size of the bending stress.
    f_t : float or array [psi]
        Tension stress along the grain.
    F_b_star_star : float or array [psi]
        Bending value with every factor but C_V.

    Returns
    -------
    float or array [dimensionless]
        At most 1 when it suffices; negative where tension exceeds bending, and no edge is
        compressed.

    Notes
    -----
    Valid for: stresses >= 0, F_b_star_star > 0.
    Differs from the source: nothing.
    From memory: compare with the printed clause.
    """
    return (f_b - f_t) / F_b_star_star


@formula(
    "u_cb",
    "",
    source="NDS 2018 3.9.2 Eq. 3.9-3",
    f_c="psi",
    F_c_prime="psi",
    f_b1="psi",
    F_b1_prime="psi",
    F_cE1="psi",
    valid={
        "f_c": (0.0, None),
        "F_c_prime": positive,
        "f_b1": (0.0, None),
        "F_b1_prime": positive,
        "F_cE1": positive,
    },
)
def compression_and_edgewise_bending_ratio(f_c, F_c_prime, f_b1, F_b1_prime, F_cE1):  # type: ignore[no-untyped-def]
    """Ratio of compression with bending edgewise, of a member held flatwise throughout.

    Parameters
    ----------
    f_c : float or array [psi]
        Compression stress along the grain, zero or more.
    F_c_prime : float or array [psi]
        Adjusted compression value, of the axis that governs.
    f_b1 : float or array [psi]
        Size of the bending stress edgewise, load on the narrow face.
    F_b1_prime : float or array [psi]
        Adjusted bending value edgewise.
    F_cE1 : float or array [psi]
        Critical buckling design value of the column edgewise.

    Returns
    -------
    float or array [dimensionless]
        At most 1 when it suffices; 2 or more where a stress reaches its critical buckling
        value.

    Notes
    -----
    Valid for: stresses >= 0, values > 0; no bending flatwise, as in a sheathed stud.
    Differs from the source: Eq. 3.9-3 without the terms that vanish. Where f_c reaches F_cE1, which
    the clause does not allow, the result is 2 or more instead of the printed ratio.
    """
    m_1 = 1 - f_c / F_cE1
    held = where(m_1 > 0, m_1, 1)
    ratio = (f_c / F_c_prime) ** 2 + f_b1 / (F_b1_prime * held)
    return where(m_1 > 0, ratio, 2 - m_1)


@formula(
    "u_cb",
    "",
    source="NDS 2018 3.9.2 Eq. 3.9-3",
    f_c="psi",
    F_c_prime="psi",
    f_b1="psi",
    F_b1_prime="psi",
    F_cE1="psi",
    f_b2="psi",
    F_b2_prime="psi",
    F_cE2="psi",
    F_bE="psi",
    valid={
        "f_c": (0.0, None),
        "F_c_prime": positive,
        "f_b1": (0.0, None),
        "F_b1_prime": positive,
        "F_cE1": positive,
        "f_b2": (0.0, None),
        "F_b2_prime": positive,
        "F_cE2": positive,
        "F_bE": positive,
    },
)
def compression_and_bending_ratio(  # type: ignore[no-untyped-def]
    f_c, F_c_prime, f_b1, F_b1_prime, F_cE1, f_b2, F_b2_prime, F_cE2, F_bE
):
    """Ratio of compression with bending about both axes.

    Parameters
    ----------
    f_c : float or array [psi]
        Compression stress along the grain, zero or more.
    F_c_prime : float or array [psi]
        Adjusted compression value, of the axis that governs.
    f_b1 : float or array [psi]
        Size of the bending stress edgewise, load on the narrow face.
    F_b1_prime : float or array [psi]
        Adjusted bending value edgewise.
    F_cE1 : float or array [psi]
        Critical buckling design value of the column edgewise.
    f_b2 : float or array [psi]
        Size of the bending stress flatwise, load on the wide face.
    F_b2_prime : float or array [psi]
        Adjusted bending value flatwise.
    F_cE2 : float or array [psi]
        Critical buckling design value of the column flatwise.
    F_bE : float or array [psi]
        Critical buckling design value for bending edgewise.

    Returns
    -------
    float or array [dimensionless]
        At most 1 when it suffices; 2 or more where a stress reaches its critical buckling
        value.

    Notes
    -----
    Valid for: stresses >= 0, values > 0; f_c < F_cE1, f_c < F_cE2, f_b1 < F_bE, conditions of the
    check.
    Differs from the source: where a denominator is zero or less, which the clause does not allow,
    the result is 2 or more instead of the printed ratio.
    """
    m_1 = 1 - f_c / F_cE1
    m_2 = 1 - f_c / F_cE2 - (f_b1 / F_bE) ** 2
    least = minimum(m_1, m_2)
    held_1 = where(least > 0, m_1, 1)
    held_2 = where(least > 0, m_2, 1)
    edgewise = f_b1 / (F_b1_prime * held_1)
    flatwise = f_b2 / (F_b2_prime * held_2)
    ratio = (f_c / F_c_prime) ** 2 + edgewise + flatwise
    return where(least > 0, ratio, 2 - least)


@formula(
    "u_s",
    "",
    source="NDS 2018 3.9.2 Eq. 3.9-4",
    f_c="psi",
    F_cE2="psi",
    f_b1="psi",
    F_bE="psi",
    valid={
        "f_c": (0.0, None),
        "F_cE2": positive,
        "f_b1": (0.0, None),
        "F_bE": positive,
    },
)
def flatwise_stability_ratio(f_c, F_cE2, f_b1, F_bE):  # type: ignore[no-untyped-def]
    """Ratio of stability flatwise, for compression with bending edgewise.

    Parameters
    ----------
    f_c : float or array [psi]
        Compression stress along the grain, zero or more.
    F_cE2 : float or array [psi]
        Critical buckling design value of the column flatwise.
    f_b1 : float or array [psi]
        Size of the bending stress edgewise, load on the narrow face.
    F_bE : float or array [psi]
        Critical buckling design value for bending edgewise.

    Returns
    -------
    float or array [dimensionless]
        Below 1 when the member is stable.

    Notes
    -----
    Valid for: stresses >= 0, values > 0.
    Differs from the source: the clause asks for less than 1; at 1 itself
    `compression_and_bending_ratio` is 2.
    From memory: compare with the printed clause.
    """
    return f_c / F_cE2 + (f_b1 / F_bE) ** 2


@formula(
    "u_ec",
    "",
    source="NDS 2018 15.4.1 Eq. 15.4-1",
    f_c="psi",
    F_c_prime="psi",
    f_b1="psi",
    e_1="in",
    d_1="in",
    F_b1_prime="psi",
    F_cE1="psi",
    valid={
        "f_c": (0.0, None),
        "F_c_prime": positive,
        "f_b1": (0.0, None),
        "e_1": (0.0, None),
        "d_1": positive,
        "F_b1_prime": positive,
        "F_cE1": positive,
    },
)
def eccentric_edgewise_ratio(f_c, F_c_prime, f_b1, e_1, d_1, F_b1_prime, F_cE1):  # type: ignore[no-untyped-def]
    """Ratio of an edgewise eccentric load with bending, of a member held flatwise throughout.

    Parameters
    ----------
    f_c : float or array [psi]
        Compression stress along the grain, zero or more.
    F_c_prime : float or array [psi]
        Adjusted compression value, of the axis that governs.
    f_b1 : float or array [psi]
        Size of the bending stress edgewise, load on the narrow face.
    e_1 : float or array [in]
        Eccentricity edgewise, in the direction of the wide faces.
    d_1 : float or array [in]
        Width of the wide face.
    F_b1_prime : float or array [psi]
        Adjusted bending value edgewise.
    F_cE1 : float or array [psi]
        Critical buckling design value of the column edgewise.

    Returns
    -------
    float or array [dimensionless]
        At most 1 when it suffices; 2 or more where a stress reaches its critical buckling
        value.

    Notes
    -----
    Valid for: stresses >= 0, e_1 >= 0, d_1 > 0, values > 0; bending stress and eccentricity on one
    side.
    Differs from the source: Eq. 15.4-1 without the terms that vanish. Where f_c reaches F_cE1,
    which the clause does not allow, the result is 2 or more instead of the printed ratio.
    From memory: compare with the printed clause.
    """
    m_1 = 1 - f_c / F_cE1
    held = where(m_1 > 0, m_1, 1)
    f_e1 = f_c * (6 * e_1 / d_1) * (1 + 0.234 * f_c / F_cE1)
    ratio = (f_c / F_c_prime) ** 2 + (f_b1 + f_e1) / (F_b1_prime * held)
    return where(m_1 > 0, ratio, 2 - m_1)


@formula(
    "u_ec",
    "",
    source="NDS 2018 15.4.1 Eq. 15.4-1",
    f_c="psi",
    F_c_prime="psi",
    f_b1="psi",
    e_1="in",
    d_1="in",
    F_b1_prime="psi",
    F_cE1="psi",
    f_b2="psi",
    e_2="in",
    d_2="in",
    F_b2_prime="psi",
    F_cE2="psi",
    F_bE="psi",
    valid={
        "f_c": (0.0, None),
        "F_c_prime": positive,
        "f_b1": (0.0, None),
        "e_1": (0.0, None),
        "d_1": positive,
        "F_b1_prime": positive,
        "F_cE1": positive,
        "f_b2": (0.0, None),
        "e_2": (0.0, None),
        "d_2": positive,
        "F_b2_prime": positive,
        "F_cE2": positive,
        "F_bE": positive,
    },
)
def eccentric_ratio(  # type: ignore[no-untyped-def]
    f_c, F_c_prime, f_b1, e_1, d_1, F_b1_prime, F_cE1, f_b2, e_2, d_2, F_b2_prime, F_cE2, F_bE
):
    """Ratio of an eccentric load with bending about both axes.

    Parameters
    ----------
    f_c : float or array [psi]
        Compression stress along the grain, zero or more.
    F_c_prime : float or array [psi]
        Adjusted compression value, of the axis that governs.
    f_b1 : float or array [psi]
        Size of the bending stress edgewise, load on the narrow face.
    e_1 : float or array [in]
        Eccentricity edgewise, in the direction of the wide faces.
    d_1 : float or array [in]
        Width of the wide face.
    F_b1_prime : float or array [psi]
        Adjusted bending value edgewise.
    F_cE1 : float or array [psi]
        Critical buckling design value of the column edgewise.
    f_b2 : float or array [psi]
        Size of the bending stress flatwise, load on the wide face.
    e_2 : float or array [in]
        Eccentricity flatwise, in the direction of the narrow faces.
    d_2 : float or array [in]
        Width of the narrow face.
    F_b2_prime : float or array [psi]
        Adjusted bending value flatwise.
    F_cE2 : float or array [psi]
        Critical buckling design value of the column flatwise.
    F_bE : float or array [psi]
        Critical buckling design value for bending edgewise.

    Returns
    -------
    float or array [dimensionless]
        At most 1 when it suffices; 2 or more where a stress reaches its critical buckling
        value.

    Notes
    -----
    Valid for: stresses and eccentricities >= 0, widths and values > 0; bending stresses and
    eccentricities on one side.
    Differs from the source: where a denominator is zero or less, which the clause does not allow,
    the result is 2 or more instead of the printed ratio.
    From memory: compare with the printed clause.
    """
    r = (f_b1 + f_c * (6 * e_1 / d_1)) / F_bE
    m_1 = 1 - f_c / F_cE1
    m_2 = 1 - f_c / F_cE2 - r**2
    least = minimum(m_1, m_2)
    held_1 = where(least > 0, m_1, 1)
    held_2 = where(least > 0, m_2, 1)
    f_e1 = f_c * (6 * e_1 / d_1) * (1 + 0.234 * f_c / F_cE1)
    f_e2 = f_c * (6 * e_2 / d_2) * (1 + 0.234 * f_c / F_cE2 + 0.234 * r**2)
    edgewise = (f_b1 + f_e1) / (F_b1_prime * held_1)
    flatwise = (f_b2 + f_e2) / (F_b2_prime * held_2)
    ratio = (f_c / F_c_prime) ** 2 + edgewise + flatwise
    return where(least > 0, ratio, 2 - least)


@formula(
    "u_s",
    "",
    source="NDS 2018 15.4.1 Eq. 15.4-2",
    f_c="psi",
    F_cE2="psi",
    f_b1="psi",
    e_1="in",
    d_1="in",
    F_bE="psi",
    valid={
        "f_c": (0.0, None),
        "F_cE2": positive,
        "f_b1": (0.0, None),
        "e_1": (0.0, None),
        "d_1": positive,
        "F_bE": positive,
    },
)
def eccentric_stability_ratio(f_c, F_cE2, f_b1, e_1, d_1, F_bE):  # type: ignore[no-untyped-def]
    """Ratio of stability flatwise, for an eccentric load with bending edgewise.

    Parameters
    ----------
    f_c : float or array [psi]
        Compression stress along the grain, zero or more.
    F_cE2 : float or array [psi]
        Critical buckling design value of the column flatwise.
    f_b1 : float or array [psi]
        Size of the bending stress edgewise, load on the narrow face.
    e_1 : float or array [in]
        Eccentricity edgewise, in the direction of the wide faces.
    d_1 : float or array [in]
        Width of the wide face.
    F_bE : float or array [psi]
        Critical buckling design value for bending edgewise.

    Returns
    -------
    float or array [dimensionless]
        Below 1 when the member is stable.

    Notes
    -----
    Valid for: stresses >= 0, e_1 >= 0, d_1 > 0, values > 0.
    Differs from the source: the clause asks for less than 1; at 1 itself `eccentric_ratio` is 2.
    From memory: compare with the printed clause.
    """
    return f_c / F_cE2 + ((f_b1 + f_c * (6 * e_1 / d_1)) / F_bE) ** 2


@formula(
    "f_be",
    "psi",
    source="NDS 2018 15.4.1",
    f_c="psi",
    f_b1="psi",
    e_1="in",
    d_1="in",
    valid={
        "f_c": (0.0, None),
        "f_b1": (0.0, None),
        "e_1": (0.0, None),
        "d_1": positive,
    },
)
def eccentric_bending_stress(f_c, f_b1, e_1, d_1):  # type: ignore[no-untyped-def]
    """Bending stress edgewise with that of the eccentric load, for the comparison with F_bE.

    Parameters
    ----------
    f_c : float or array [psi]
        Compression stress along the grain, zero or more.
    f_b1 : float or array [psi]
        Size of the bending stress edgewise, load on the narrow face.
    e_1 : float or array [in]
        Eccentricity edgewise, in the direction of the wide faces.
    d_1 : float or array [in]
        Width of the wide face.

    Returns
    -------
    float or array [psi]
        Zero or more.

    Notes
    -----
    Valid for: stresses >= 0, e_1 >= 0, d_1 > 0.
    Differs from the source: nothing; the standard has it inside Eq. 15.4-1.
    From memory: compare with the printed clause.
    """
    return f_b1 + f_c * (6 * e_1 / d_1)


@formula(
    "P_s",
    "lbf",
    source="NDS 2018 15.4.2",
    P="lbf",
    a="in",
    l_p="in",
    l="in",
    valid={
        "P": (0.0, None),
        "a": (0.0, None),
        "l_p": (0.0, None),
        "l": positive,
    },
)
def bracket_side_load(P, a, l_p, l):  # type: ignore[no-untyped-def]  # noqa: E741
    """Side load at mid-height that stands for the eccentricity of a bracket.

    Parameters
    ----------
    P : float or array [lbf]
        Load on the bracket.
    a : float or array [in]
        Distance from the load to the middle of the column.
    l_p : float or array [in]
        Height of the bracket above the foot of the column.
    l : float or array [in]
        Length of the column.

    Returns
    -------
    float or array [lbf]
        Zero or more; it acts together with the load moved to the middle of the column.

    Notes
    -----
    Valid for: P >= 0, a >= 0, l > 0; a bracket in the upper quarter of the column, so that 0.75 l
    <= l_p <= l, a condition of the check.
    Differs from the source: nothing; from memory, compare with the print.
    """
    return 3 * P * a * l_p / l**2


@formula(
    "l_pmin",
    "in",
    source="NDS 2018 15.4.2",
    l="in",
    valid={
        "l": positive,
    },
)
def lowest_bracket_height(l):  # type: ignore[no-untyped-def]  # noqa: E741
    """Least height of a bracket for the rule of the side load.

    Parameters
    ----------
    l : float or array [in]
        Length of the column.

    Returns
    -------
    float or array [in]
        Above zero.

    Notes
    -----
    Valid for: l > 0.
    Differs from the source: the clause says in words that the bracket is in the upper quarter.
    From memory: compare with the printed clause.
    """
    return 0.75 * l
