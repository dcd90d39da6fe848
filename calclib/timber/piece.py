"""A member: its section, its wood and the factors of its service, ready for any check."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from calclib.mechanics.section import flexural_stiffness, moment_of_inertia, total_width
from calclib.timber.deflection import adjusted_modulus
from calclib.timber.factors import (
    Service,
    bending_wet_service_factor,
    factors_for,
    no_truss_factor,
    service_factors,
    single_member_factor,
    strong_axis_factor,
)
from calclib.timber.lrfd import with_strength_factors
from calclib.timber.materials import Material
from calclib.trace import Value


@dataclass(frozen=True, eq=False, repr=False)
class Piece:
    """A rectangular member of one material in its service, bent about its strong axis.

    Attributes
    ----------
    b, d : Value [in]
        Breadth of all plies together, and depth.
    material : Material
    service : Service
    factors : mapping
        Factors by property ("Fb", "Fv", "Fc_perp", "E", "E_min" ...) and symbol; C_D, C_L and
        C_b come with each check.
    built_up : bool
        Made of several plies.
    method : str
        "ASD" or "LRFD".
    """

    b: Any
    d: Any
    material: Material
    service: Service
    factors: dict[str, dict[str, Any]]
    built_up: bool = False
    method: str = "ASD"


def piece(
    material: Material,
    service: Service,
    *,
    plies: Value | None = None,
    C_r: Value | None = None,
) -> Piece:
    """Put a member together from its material, its service and its plies.

    Parameters
    ----------
    material : Material
        With the size of one ply.
    service : Service
    plies : Value, optional
        Number of plies; one when it is not given.
    C_r : Value, optional
        From `repetitive_factor`; 1 for a single member when it is not given.

    Returns
    -------
    Piece

    Raises
    ------
    InputError
        When the tables hold no factor for the material in this service.
    """
    factors = service_factors(material.kind, service)
    factors["Fb"] |= {
        "C_M": bending_wet_service_factor(material, service),
        "C_F": material.C_F,
        "C_V": material.C_V,
        "C_fu": strong_axis_factor(),
        "C_r": single_member_factor() if C_r is None else C_r,
    }
    factors["E_min"] |= {"C_T": no_truss_factor()}
    b = material.b if plies is None else total_width(plies, material.b)
    return Piece(b, material.d, material, service, factors, plies is not None and plies.at() > 1)


def strength_piece(piece: Piece) -> Piece:
    """Return the same member for LRFD, with K_F and phi among its factors."""
    return replace(piece, factors=with_strength_factors(piece.factors), method="LRFD")


def modulus(piece: Piece) -> Any:
    """Return the adjusted modulus of elasticity E' [psi]."""
    material = piece.material
    return adjusted_modulus(material.E, *factors_for(material.applies, "E", piece.factors["E"]))


def stiffness(piece: Piece) -> Any:
    """Return the bending stiffness E' I [lbf in^2] that the beam solver takes."""
    return flexural_stiffness(modulus(piece), moment_of_inertia(piece.b, piece.d))
