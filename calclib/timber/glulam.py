"""Structural glued laminated timber: values about both axes, and the factors of its own."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass
from math import isclose
from typing import Any

from calclib import published
from calclib.errors import InputError, message, quoted
from calclib.published import Row
from calclib.timber.factors import Service, no_truss_factor, service_factors, single_member_factor
from calclib.timber.leaves import code_leaf, place, table_leaf
from calclib.timber.materials import Material, held_in_class
from calclib.timber.piece import Piece
from calclib.trace import Value, formula, leaf, minimum, positive, where
from calclib.units import ft, inch

GLULAM, GLULAM_TABLE = "glulam", "nds-2018-5-3-1"
AXIAL_TABLE = "nds-2012-5b"
# Table 5B prints F_bx without tension laminations up to this depth.
DEEPEST_5B = 15.0


@formula(
    "C_V",
    "",
    source="NDS 2018 5.3.6 Eq. 5.3-1",
    L="in",
    d="in",
    b="in",
    x="",
    valid={"L": positive, "d": positive, "b": positive, "x": (10.0, 20.0)},
)
def glulam_volume_factor(L, d, b, x):  # type: ignore[no-untyped-def]
    """Volume factor of glulam for bending about the x axis.

    Parameters
    ----------
    L : float or array [in]
        Length between points of zero moment.
    d : float or array [in]
        Depth.
    b : float or array [in]
        Breadth; of laminations in several pieces that of the widest piece.
    x : float or array [dimensionless]
        Root: 10, of southern pine 20.

    Returns
    -------
    float or array [dimensionless]
        Above 0, at most 1; the lesser of it and C_L acts, not both.

    Notes
    -----
    Valid for: L > 0, d > 0, b > 0, 10 <= x <= 20; loads on the edges of the laminations' faces.
    Differs from the source: nothing; a breadth over 10.75 in counts as 10.75 in, as printed.
    """
    volume = (21 * ft / L) * (12 * inch / d) * (5.125 * inch / minimum(b, 10.75 * inch))
    return minimum(volume ** (1 / x), 1)


@formula(
    "C_fu",
    "",
    source="NDS 2018 5.3.7, Supplement Table 5A flat use factor",
    d_y="in",
    valid={"d_y": positive},
)
def glulam_flat_use_factor(d_y):  # type: ignore[no-untyped-def]
    """Flat use factor of glulam for bending about the y axis.

    Parameters
    ----------
    d_y : float or array [in]
        Depth in the direction of the load, along the wide faces of the laminations.

    Returns
    -------
    float or array [dimensionless]
        1 or more.

    Notes
    -----
    Valid for: d_y > 0.
    Differs from the source: the supplement prints it to two decimals.
    From memory: compare with the printed clause.
    """
    return where(d_y < 12 * inch, (12 * inch / d_y) ** (1 / 9), 1)


@dataclass(frozen=True, eq=False, repr=False)
class Glulam:
    """A glulam member and its reference design values about both axes.

    Attributes
    ----------
    x, x_negative : Material
        Bent about the x axis, load across the wide faces of the laminations: with the tension
        zone in tension (sagging), and with the compression zone in tension (hogging). E_min is
        that about the y axis, about which it buckles sideways.
    y : Material
        Bent about the y axis, load along the wide faces.
    E_x_min, E_y_min : Value [psi]
        For column stability about each axis.
    """

    x: Material
    x_negative: Material
    y: Material
    E_x_min: Any
    E_y_min: Any


def glulam(
    name: str,
    b: Value,
    d: Value,
    L: Value,
    *,
    L_negative: Value | None = None,
    laminations: int | None = None,
) -> Glulam:
    """Return a glulam stress class or combination, softwood.

    Parameters
    ----------
    name : str
        Such as "24F-1.8E", "24F-V4" or, of table 5B, "combination 2".
    b, d : Value [in]
        Breadth and depth; the laminations lie across the breadth.
    L : Value [in]
        Length between points of zero moment where it sags: the span of a simple beam.
    L_negative : Value, optional [in]
        The same where it hogs; L when it is not given.
    laminations : int, optional
        Number of laminations, which table 5B asks for.

    Returns
    -------
    Glulam

    Raises
    ------
    LookupMiss
        When no such class or combination is listed; the message names what is near.
    RangeError
        When the depth is less than the breadth.
    InputError
        When table 5B prints no value for the number of laminations or the depth.

    Notes
    -----
    Valid for: NDS Supplement tables 5A, 5A Expanded and 5B, as far as `calclib.published` holds
    them; straight prismatic members.
    Differs from the source: F_c perpendicular is that of the tension face where it sags and that
    of the compression face where it hogs.
    """
    row = published.glulam(name)
    axial = row.table == AXIAL_TABLE
    b, d = held_in_class(b, d, GLULAM)
    columns = _columns_5b(row, d.at(), laminations) if axial else _COLUMNS_5A

    def value(symbol: str, title: str, unit: str = "psi") -> Value:
        return table_leaf(row, columns[symbol], symbol, f"{title}, glulam {row.key[0]}", unit)

    x = _root_5b(row) if axial else value("x", "root of the volume factor", "")
    E_x_min = value("E_x_min", "modulus of elasticity for stability about the x axis")
    E_y_min = value("E_y_min", "modulus of elasticity for stability about the y axis")
    F_t = value("F_t", "tension value")
    F_c = value("F_c", "compression value along the grain")
    G = value("G", "specific gravity", "")
    shared = (row.key[0], GLULAM, row.printed, GLULAM_TABLE)
    about_x = Material(
        *shared,
        b,
        d,
        value("F_bx_pos", "bending value about the x axis, tension zone in tension"),
        F_t,
        value("F_vx", "shear value about the x axis"),
        value("F_c_perp_tens", "compression value across the grain, tension face"),
        F_c,
        value("E_x", "modulus of elasticity about the x axis"),
        E_y_min,
        G,
        C_V=glulam_volume_factor(L, d, b, x),
    )
    hogging = dataclasses.replace(
        about_x,
        F_b=value("F_bx_neg", "bending value about the x axis, compression zone in tension"),
        F_c_perp=value("F_c_perp_comp", "compression value across the grain, compression face"),
        C_V=glulam_volume_factor(L if L_negative is None else L_negative, d, b, x),
    )
    about_y = Material(
        *shared,
        d,
        b,
        value("F_by", "bending value about the y axis"),
        F_t,
        value("F_vy", "shear value about the y axis"),
        value("F_c_perp_y", "compression value across the grain, side face"),
        F_c,
        value("E_y", "modulus of elasticity about the y axis"),
        E_x_min,
        G,
        C_V=code_leaf(
            1.0,
            "C_V",
            "NDS-2018/C_V/y axis",
            "volume factor, bending about the y axis",
            "NDS 2018 5.3.6",
        ),
    )
    return Glulam(about_x, hogging, about_y, E_x_min, E_y_min)


_COLUMNS_5A = {
    "F_bx_pos": "Fbx_pos_psi",
    "F_bx_neg": "Fbx_neg_psi",
    "F_by": "Fby_psi",
    "F_t": "Ft_psi",
    "F_vx": "Fvx_psi",
    "F_vy": "Fvy_psi",
    "F_c_perp_tens": "Fc_perp_x_tens_psi",
    "F_c_perp_comp": "Fc_perp_x_comp_psi",
    "F_c_perp_y": "Fc_perp_y_psi",
    "F_c": "Fc_psi",
    "E_x": "Ex_psi",
    "E_y": "Ey_psi",
    "E_x_min": "Ex_min_psi",
    "E_y_min": "Ey_min_psi",
    "G": "G",
    "x": "C_V_root",
}


def _columns_5b(row: Row, d: float, laminations: int | None) -> dict[str, str]:
    """Return the columns of table 5B for a number of laminations and a depth."""
    if laminations is None or laminations < 4:
        raise InputError(
            message(
                f"glulam {row.key[0]}",
                "4 laminations or more, whose shear value about the y axis is printed",
                "none" if laminations is None else str(laminations),
                "Say the number of laminations.",
            )
        )
    if d > DEEPEST_5B and not isclose(d, DEEPEST_5B):
        raise InputError(
            message(
                f"glulam {row.key[0]}",
                "a depth up to 15 in, for which F_bx is printed",
                f"{d:g} in",
                "Take a combination of table 5A.",
            )
        )
    return {
        "F_bx_pos": "Fbx_2_lams_to_15_in_psi",
        "F_bx_neg": "Fbx_2_lams_to_15_in_psi",
        "F_by": "Fby_4_or_more_psi",
        "F_t": "Ft_2_or_more_psi",
        "F_vx": "Fvx_psi",
        "F_vy": "Fvy_4_or_more_psi",
        "F_c_perp_tens": "Fc_perp_psi",
        "F_c_perp_comp": "Fc_perp_psi",
        "F_c_perp_y": "Fc_perp_psi",
        "F_c": "Fc_4_or_more_psi",
        "E_x": "E_psi",
        "E_y": "E_psi",
        "E_x_min": "E_min_psi",
        "E_y_min": "E_min_psi",
        "G": "G",
    }


def _root_5b(row: Row) -> Value:
    return leaf(
        20.0 if row.text("species") == "southern pine" else 10.0,
        "",
        "x",
        f"{place(row)}/x",
        title=f"root of the volume factor, glulam {row.key[0]}",
        basis="published",
        source="NDS 2018 5.3.6",
        verified=True,
        note="read in: Missouri S&T CE 5260, Problems 5.13 and 6.15",
    )


def shear_reduction_factor(weakened: bool = False) -> Value:
    """Return C_vr on F_vx of glulam.

    Parameters
    ----------
    weakened : bool
        Whether the member is notched, tapered, at a connection, or under impact or repeated load.
    """
    row = published.rows("nds-2018-5-3-10")[1 if weakened else 0]
    return table_leaf(row, "C_vr", "C_vr", f"shear reduction factor, {row.key[0]}")


def glulam_piece(
    material: Material,
    service: Service,
    *,
    weakened: bool = False,
) -> Piece:
    """Put a glulam member together, bent about one axis.

    Parameters
    ----------
    material : Material
        `Glulam.x` or `Glulam.x_negative`, load across the wide faces; or `Glulam.y`.
    service : Service
    weakened : bool
        As for `shear_reduction_factor`; about the y axis it does not count.

    Returns
    -------
    Piece
        About the y axis with breadth and depth exchanged, for the load comes from the side.

    Raises
    ------
    InputError
        When incising is asked for, which no table has for glulam, or another material is given.
    """
    if material.kind != GLULAM:
        raise InputError(message("glulam member", "glulam", quoted(material.kind)))
    flat = material.F_b.symbol == "F_by"
    factors: dict[str, dict[str, Any]] = {
        property: dict(given) for property, given in service_factors(GLULAM, service).items()
    }
    factors["Fb"] |= {
        "C_V": material.C_V,
        "C_fu": glulam_flat_use_factor(material.d) if flat else _edge_factor(),
        "C_c": _straight("C_c", "curvature factor", "NDS 2018 5.3.8"),
        "C_I": _straight("C_I", "stress interaction factor", "NDS 2018 5.3.9"),
        "C_r": single_member_factor("not for glulam"),
    }
    factors["Fv"] |= {"C_vr": shear_reduction_factor(weakened and not flat)}
    factors["E_min"] |= {"C_T": no_truss_factor()}
    return Piece(material.b, material.d, material, service, factors)


def _edge_factor() -> Value:
    return code_leaf(
        1.0,
        "C_fu",
        "NDS-2018/C_fu/glulam x",
        "flat use factor, bending about the x axis",
        "NDS 2018 5.3.7",
    )


def _straight(symbol: str, title: str, source: str) -> Value:
    id = f"NDS-2018/{symbol}/straight prismatic"
    return code_leaf(1.0, symbol, id, f"{title}, a straight prismatic member", source)
