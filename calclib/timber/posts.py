"""A post or stud: its section, its wood and the factors of its service, ready for any check."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass
from typing import Any

from calclib import published
from calclib.errors import InputError, message
from calclib.timber.columns import column_coefficient, compression_wet_service_factor
from calclib.timber.factors import Service
from calclib.timber.glulam import Glulam, glulam_flat_use_factor, glulam_piece
from calclib.timber.leaves import code_leaf, table_leaf
from calclib.timber.lrfd import with_strength_factors
from calclib.timber.materials import (
    DIMENSION_LUMBER,
    Material,
    compression_size_factor,
    sawn,
)
from calclib.timber.piece import Piece, piece
from calclib.timber.size import post_limit
from calclib.trace import Value, formula, positive, where


@dataclass(frozen=True, eq=False, repr=False)
class Post:
    """A rectangular member loaded along its grain, and perhaps bent about either axis.

    Attributes
    ----------
    piece : Piece
        The member bent edgewise, about its strong axis, with the factors on F_c.
    E_min_1, E_min_2 : Value [psi]
        Reference moduli for buckling edgewise and flatwise; they differ for glulam.
    F_b2 : Value [psi]
        Reference bending value flatwise.
    flat : mapping of str to Value
        Factors on it by symbol; C_D or lambda comes with each check.
    c : Value
        Coefficient of the column stability factor.
    n : Value or None
        Number of plies of a built-up post.
    method : str
        "ASD" or "LRFD".
    """

    piece: Piece
    E_min_1: Any
    E_min_2: Any
    F_b2: Any
    flat: dict[str, Any]
    c: Any
    n: Any = None
    method: str = "ASD"


@formula(
    "C_fu",
    "",
    source="NDS 2018 4.3.7, Supplement Table 4D flat use factor",
    d="in",
    d_post="in",
    C_fu_beam="",
    valid={"d": positive, "d_post": positive, "C_fu_beam": (0.5, 1.0)},
)
def timber_flat_use_factor(d, d_post, C_fu_beam):  # type: ignore[no-untyped-def]
    """Flat use factor on F_b of timbers, which is below 1 for beams and stringers.

    Parameters
    ----------
    d : float or array [in]
        Width of the wide face.
    d_post : float or array [in]
        Greatest width at which the piece is graded as a post.
    C_fu_beam : float or array [dimensionless]
        The factor of beams and stringers of the grade.

    Returns
    -------
    float or array [dimensionless]
        C_fu_beam, or 1 for posts and timbers.

    Notes
    -----
    Valid for: d > 0, d_post > 0, 0.5 <= C_fu_beam <= 1.
    Differs from the source: nothing.
    From memory: compare with the printed clause.
    """
    return where(d > d_post, C_fu_beam, 1)


@formula(
    "E_min2",
    "psi",
    source="NDS 2018 4.3.7, Supplement Table 4D flat use factor",
    E_min="psi",
    d="in",
    d_post="in",
    C_fu_E="",
    valid={"E_min": positive, "d": positive, "d_post": positive, "C_fu_E": (0.5, 1.0)},
)
def flat_stability_modulus(E_min, d, d_post, C_fu_E):  # type: ignore[no-untyped-def]
    """Modulus for stability of timbers flatwise, which is less for some beams and stringers.

    Parameters
    ----------
    E_min : float or array [psi]
        Reference modulus for stability.
    d : float or array [in]
        Width of the wide face.
    d_post : float or array [in]
        Greatest width at which the piece is graded as a post.
    C_fu_E : float or array [dimensionless]
        The factor on E and E_min of beams and stringers of the grade.

    Returns
    -------
    float or array [psi]
        At most E_min.

    Notes
    -----
    Valid for: E_min > 0, d > 0, d_post > 0, 0.5 <= C_fu_E <= 1.
    Differs from the source: nothing; from memory, compare with the print.
    """
    return where(d > d_post, C_fu_E * E_min, E_min)


def sawn_post(
    species: str,
    grade: str,
    b: Value,
    d: Value,
    service: Service,
    *,
    plies: Value | None = None,
    C_r: Value | None = None,
) -> Post:
    """Return a post, stud or pack of sawn lumber.

    Parameters
    ----------
    species, grade : str
        As for `calclib.timber.materials.sawn`.
    b, d : Value [in]
        Thickness and width of one ply, the width being the greater.
    service : Service
    plies : Value, optional
        Number of plies of a pack.
    C_r : Value, optional
        Repetitive member factor, on bending only; 1 when it is not given.

    Raises
    ------
    LookupMiss, RangeError, InputError
        As `sawn` and `piece` do.

    Notes
    -----
    Valid for: NDS Supplement 2018 tables 4A, 4B and 4D.
    Differs from the source: C_fu above 1 of dimension lumber is not made use of.
    """
    material = sawn(species, grade, b, d)
    C_F = compression_size_factor(species, grade, material.b, material.d)
    made = piece(material, service, plies=plies, C_r=C_r)
    made.factors["Fc"] |= {
        "C_F": C_F,
        "C_M": compression_wet_service_factor(material, C_F, service),
    }
    flat = {**made.factors["Fb"], "C_fu": _flat_use(grade, material), "C_L": flat_beam_factor()}
    return Post(
        made,
        material.E_min,
        _flat_stability_modulus(grade, material),
        material.F_b,
        flat,
        column_coefficient(material),
        plies,
    )


def composite_post(material: Material, service: Service, *, plies: Value | None = None) -> Post:
    """Return a post of structural composite lumber.

    Parameters
    ----------
    material : Material
        Of `composite` or `reported_composite`, with a value F_c.
    service : Service
    plies : Value, optional
        Number of plies of a pack.

    Raises
    ------
    InputError
        When the material has no F_c.

    Notes
    -----
    Valid for: dry service.
    Differs from the source: F_b of load on the edge also stands for load on the flat, which is
    to be confirmed against the product's evaluation report.
    """
    if material.F_c is None:
        needs = "a compression value along the grain, F_c"
        raise InputError(message(material.name, needs, "none", "Read it in the report."))
    made = piece(material, service, plies=plies)
    flat = {**made.factors["Fb"], "C_L": flat_beam_factor()}
    c = column_coefficient(material)
    return Post(made, material.E_min, material.E_min, material.F_b, flat, c, plies)


def glulam_post(glulam: Glulam, service: Service) -> Post:
    """Return a post of glulam, each axis with its own values.

    Parameters
    ----------
    glulam : Glulam
    service : Service

    Raises
    ------
    InputError
        When incising is asked for.
    """
    made = glulam_piece(glulam.x, service)
    flat = {
        **made.factors["Fb"],
        "C_V": glulam.y.C_V,
        "C_fu": glulam_flat_use_factor(glulam.y.d),
        "C_L": flat_beam_factor(),
    }
    c = column_coefficient(glulam.x)
    return Post(made, glulam.E_x_min, glulam.E_y_min, glulam.y.F_b, flat, c)


def strength_post(post: Post) -> Post:
    """Return the same post for LRFD, with K_F and phi among its factors."""
    factors = with_strength_factors(post.piece.factors)
    flat = with_strength_factors({"Fb": post.flat})["Fb"]
    strong = dataclasses.replace(post.piece, factors=factors)
    return dataclasses.replace(post, piece=strong, flat=flat, method="LRFD")


def flat_beam_factor() -> Value:
    """Return C_L = 1 for bending flatwise: the depth is not more than the breadth."""
    return code_leaf(
        1.0,
        "C_L",
        "NDS-2018/C_L = 1/flatwise",
        "beam stability factor, bending flatwise",
        "NDS 2018 3.3.3.1",
    )


def _flat_use(grade: str, material: Material) -> Any:
    if material.kind == DIMENSION_LUMBER:
        return code_leaf(
            1.0,
            "C_fu",
            "NDS-2018/C_fu/flat, not made use of",
            "flat use factor, above 1 and not made use of",
            "NDS 2018 4.3.7",
        )
    row = published.find("nds-2018-4d-flat", grade=grade)
    beam = table_leaf(row, "C_fu_b", "C_fu_beam", f"flat use factor, beams, {row.key[0]}")
    return timber_flat_use_factor(material.d, post_limit(material.b), beam)


def _flat_stability_modulus(grade: str, material: Material) -> Any:
    if material.kind == DIMENSION_LUMBER:
        return material.E_min
    row = published.find("nds-2018-4d-flat", grade=grade)
    beam = table_leaf(row, "C_fu_E", "C_fu_E", f"flat use factor for E, beams, {row.key[0]}")
    return flat_stability_modulus(material.E_min, material.d, post_limit(material.b), beam)
