"""Shear along the grain."""

from __future__ import annotations

from calclib.trace import formula, positive, product


@formula(
    "f_v",
    "psi",
    source="NDS 2018 3.4.2 Eq. 3.4-2",
    V="lbf",
    b="in",
    d="in",
    valid={"V": (None, None), "b": positive, "d": positive},
)
def shear_stress(V, b, d):  # type: ignore[no-untyped-def]
    """Shear stress of a rectangular member.

    Parameters
    ----------
    V : float or array [lbf]
        Size of the shear force.
    b : float or array [in]
        Breadth.
    d : float or array [in]
        Depth.

    Returns
    -------
    float or array [psi]
        The largest in the section, with the sign of V.

    Notes
    -----
    Valid for: b > 0, d > 0; a full rectangle without notches or connections near the support.
    Differs from the source: loads within a depth of the support are not left out (3.4.3.1 allows
    it under conditions), so the stress is not less.
    """
    return 3 * V / (2 * b * d)


@formula(
    "F_v_prime",
    "psi",
    source="NDS 2018 Tables 4.3.1, 8.3.1",
    F_v="psi",
    C="",
    valid={"F_v": positive, "C": (0.0, None)},
)
def adjusted_shear_value(F_v, *C):  # type: ignore[no-untyped-def]
    """Adjusted shear design value.

    Parameters
    ----------
    F_v : float or array [psi]
        Reference shear value.
    *C : float or array [dimensionless]
        The factors that apply.

    Returns
    -------
    float or array [psi]
        Zero or more.

    Notes
    -----
    Valid for: F_v > 0, factors >= 0.
    Differs from the source: nothing.
    """
    return F_v * product(C)
