"""Properties of a rectangular section, of one piece or of several side by side."""

from __future__ import annotations

from calclib.trace import formula, positive


@formula("A", "in^2", source="mechanics", valid={"b": positive, "d": positive}, b="in", d="in")
def area(b, d):  # type: ignore[no-untyped-def]
    """Area of a rectangular section.

    Parameters
    ----------
    b : float or array [in]
        Breadth.
    d : float or array [in]
        Depth.

    Returns
    -------
    float or array [in^2]
        Above zero.

    Notes
    -----
    Valid for: b > 0, d > 0; a full rectangle without holes or notches.
    Differs from the source: nothing.
    """
    return b * d


@formula("S", "in^3", source="mechanics", valid={"b": positive, "d": positive}, b="in", d="in")
def section_modulus(b, d):  # type: ignore[no-untyped-def]
    """Section modulus of a rectangle about the axis across its depth.

    Parameters
    ----------
    b : float or array [in]
        Breadth.
    d : float or array [in]
        Depth, in the direction of the load.

    Returns
    -------
    float or array [in^3]
        Above zero.

    Notes
    -----
    Valid for: b > 0, d > 0; a full rectangle without holes or notches.
    Differs from the source: nothing.
    """
    return b * d**2 / 6


@formula("I", "in^4", source="mechanics", valid={"b": positive, "d": positive}, b="in", d="in")
def moment_of_inertia(b, d):  # type: ignore[no-untyped-def]
    """Moment of inertia of a rectangle about the axis across its depth.

    Parameters
    ----------
    b : float or array [in]
        Breadth.
    d : float or array [in]
        Depth, in the direction of the load.

    Returns
    -------
    float or array [in^4]
        Above zero.

    Notes
    -----
    Valid for: b > 0, d > 0; a full rectangle without holes or notches.
    Differs from the source: nothing.
    """
    return b * d**3 / 12


@formula(
    "b", "in", source="mechanics", valid={"n": (1.0, None), "b_ply": positive}, n="", b_ply="in"
)
def total_width(n, b_ply):  # type: ignore[no-untyped-def]
    """Breadth of several equal plies side by side.

    Parameters
    ----------
    n : float or array [dimensionless]
        Number of plies.
    b_ply : float or array [in]
        Breadth of one ply.

    Returns
    -------
    float or array [in]
        At least the breadth of one ply.

    Notes
    -----
    Valid for: n >= 1, b_ply > 0; plies of one depth that share the load, which their fastening
    must see to.
    Differs from the source: nothing.
    """
    return n * b_ply


@formula(
    "EI",
    "lbf*in^2",
    source="mechanics",
    valid={"E_prime": positive, "I": positive},
    E_prime="psi",
    I="in^4",
)
def flexural_stiffness(E_prime, I):  # type: ignore[no-untyped-def]  # noqa: E741
    """Bending stiffness of a section.

    Parameters
    ----------
    E_prime : float or array [psi]
        Modulus of elasticity.
    I : float or array [in^4]
        Moment of inertia.

    Returns
    -------
    float or array [lbf*in^2]
        Above zero.

    Notes
    -----
    Valid for: E_prime > 0, I > 0.
    Differs from the source: nothing.
    """
    return E_prime * I


@formula(
    "w_self",
    "plf",
    source="mechanics",
    valid={"gamma": positive, "A": positive},
    gamma="pcf",
    A="ft^2",
)
def weight_per_length(gamma, A):  # type: ignore[no-untyped-def]
    """Weight of a member per unit of its length.

    Parameters
    ----------
    gamma : float or array [pcf]
        Density, as a weight.
    A : float or array [ft^2]
        Area of the section.

    Returns
    -------
    float or array [plf]
        Above zero.

    Notes
    -----
    Valid for: gamma > 0, A > 0.
    Differs from the source: nothing.
    """
    return gamma * A


@formula(
    "Delta",
    "in",
    source="mechanics",
    valid={"D": (0.0, None), "EI": positive},
    D="lbf*in^3",
    EI="lbf*in^2",
)
def deflection_at_stiffness(D, EI):  # type: ignore[no-untyped-def]
    """Deflection of a member of one stiffness throughout, from that at unit stiffness.

    Parameters
    ----------
    D : float or array [lbf*in^3]
        Size of EI times the deflection, which depends on spans and loads only.
    EI : float or array [lbf*in^2]
        Bending stiffness.

    Returns
    -------
    float or array [in]
        Zero or more.

    Notes
    -----
    Valid for: D >= 0, EI > 0; the same stiffness in all spans, shear deflection left out.
    Differs from the source: nothing.
    """
    return D / EI
