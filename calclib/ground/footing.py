"""Pads and strips: pressure on the soil, plain concrete by ACI 318 chapter 14, IRC least sizes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from calclib import published
from calclib.trace import (
    Check,
    Condition,
    Value,
    check,
    formula,
    leaf,
    maximum,
    minimum,
    positive,
    sqrt,
    utilization,
)
from calclib.units import ft, inch, pcf, psf, psi

LOAD = (None, None)
LENGTH = (0.0, None)
FROM_MEMORY = "from memory, compare with the printed standard"


@formula("W", "lbf", gamma_c="pcf", L="ft", B="ft", h="ft", source="mechanics, statics",
         valid={"gamma_c": positive, "L": positive, "B": positive, "h": positive})  # fmt: skip
def weight_of_pad(gamma_c, L, B, h):  # type: ignore[no-untyped-def]
    """Weight of a pad.

    Parameters
    ----------
    gamma_c : float or array [pcf]
        Density of the concrete.
    L : float or array [ft]
        Length in plan.
    B : float or array [ft]
        Width in plan.
    h : float or array [ft]
        Thickness.

    Returns
    -------
    float or array [lbf]
        Above zero.

    Notes
    -----
    Valid for: a rectangular pad.
    Differs from the source: nothing.
    """
    return gamma_c * L * B * h


@formula("q_s", "psf", P="lbf", W="lbf", L="ft", B="ft", source="IRC 2018 R403.1, R401.4.1",
         valid={"P": LOAD, "W": LENGTH, "L": positive, "B": positive})  # fmt: skip
def gross_soil_pressure(P, W, L, B):  # type: ignore[no-untyped-def]
    """Pressure under a pad, its own weight counted.

    Parameters
    ----------
    P : float or array [lbf]
        Load on the pad, without factors.
    W : float or array [lbf]
        Its weight.
    L : float or array [ft]
        Length in plan.
    B : float or array [ft]
        Width in plan.

    Returns
    -------
    float or array [psf]
        Of the sign of the load.

    Notes
    -----
    Valid for: a load in the middle of the pad; soil above it is not counted.
    Differs from the source: nothing.
    """
    return (P + W) / (L * B)


@formula("q_s", "psf", P="lbf", L="ft", B="ft", source="IRC 2018 R403.1, R401.4.1",
         valid={"P": LOAD, "L": positive, "B": positive})  # fmt: skip
def net_soil_pressure(P, L, B):  # type: ignore[no-untyped-def]
    """Pressure under a pad beyond that of the soil whose place it took.

    Parameters
    ----------
    P : float or array [lbf]
        Load on the pad, without factors.
    L : float or array [ft]
        Length in plan.
    B : float or array [ft]
        Width in plan.

    Returns
    -------
    float or array [psf]
        Of the sign of the load.

    Notes
    -----
    Valid for: a load in the middle of the pad; bearing values stated as net.
    Differs from the source: concrete is taken to weigh no more than the soil that it replaced.
    """
    return P / (L * B)


@formula("h_e", "in", h="in", source="ACI 318-14 14.5.1.7", valid={"h": (2.000001, None)})
def thickness_on_soil(h):  # type: ignore[no-untyped-def]
    """Thickness that counts of plain concrete cast against soil.

    Parameters
    ----------
    h : float or array [in]
        Thickness as cast.

    Returns
    -------
    float or array [in]
        Two inches less.

    Notes
    -----
    Valid for: h > 2 in.
    Differs from the source: nothing; typed from memory.
    """
    return h - 2 * inch


@formula("c", "in", L="in", c_post="in", source="geometry",
         valid={"L": positive, "c_post": positive})  # fmt: skip
def projection(L, c_post):  # type: ignore[no-untyped-def]
    """How far a pad reaches past the face of what stands on it.

    Parameters
    ----------
    L : float or array [in]
        Size of the pad.
    c_post : float or array [in]
        Size of the post in the same direction.

    Returns
    -------
    float or array [in]
        Zero when the post is as wide as the pad.

    Notes
    -----
    Valid for: a post in the middle.
    Differs from the source: nothing.
    """
    return maximum((L - c_post) / 2, 0 * inch)


@formula("c_m", "in", L="in", c_wall="in", source="ACI 318-14 13.2.7.1",
         valid={"L": positive, "c_wall": positive})  # fmt: skip
def projection_under_masonry(L, c_wall):  # type: ignore[no-untyped-def]
    """How far a footing reaches past the section where it bends under a masonry wall.

    Parameters
    ----------
    L : float or array [in]
        Width of the footing.
    c_wall : float or array [in]
        Thickness of the wall.

    Returns
    -------
    float or array [in]
        From halfway between the middle and the face of the wall to the edge of the footing; zero
        or more.

    Notes
    -----
    Valid for: a wall of masonry units in the middle.
    Differs from the source: nothing; typed from memory.
    """
    return maximum((L - c_wall / 2) / 2, 0 * inch)


@formula("B_min", "in", c_wall="in", c_min="in", source="IRC 2018 R403.1.1",
         valid={"c_wall": positive, "c_min": LENGTH})  # fmt: skip
def least_width_under_wall(c_wall, c_min):  # type: ignore[no-untyped-def]
    """Least width of a footing under a wall.

    Parameters
    ----------
    c_wall : float or array [in]
        Thickness of the wall.
    c_min : float or array [in]
        Least projection at each face.

    Returns
    -------
    float or array [in]
        Above zero.

    Notes
    -----
    Valid for: a wall in the middle.
    Differs from the source: nothing.
    """
    return c_wall + 2 * c_min


@formula("w_stem", "plf", gamma_c="pcf", c_wall="ft", h_wall="ft", source="mechanics, statics",
         valid={"gamma_c": positive, "c_wall": positive, "h_wall": positive})  # fmt: skip
def weight_of_stem(gamma_c, c_wall, h_wall):  # type: ignore[no-untyped-def]
    """Weight of a foundation wall per length.

    Parameters
    ----------
    gamma_c : float or array [pcf]
        Density.
    c_wall : float or array [ft]
        Thickness.
    h_wall : float or array [ft]
        Height.

    Returns
    -------
    float or array [plf]
        Above zero.

    Notes
    -----
    Valid for: a solid wall.
    Differs from the source: nothing.
    """
    return gamma_c * c_wall * h_wall


@formula("M_u", "lbf*in", P_u="lbf", L="in", c="in", source="ACI 318-14 13.2.7.1, 14.5.2",
         valid={"P_u": LOAD, "L": positive, "c": LENGTH})  # fmt: skip
def moment_at_face(P_u, L, c):  # type: ignore[no-untyped-def]
    """Factored moment of a pad at the face of the post, over its whole width.

    Parameters
    ----------
    P_u : float or array [lbf]
        Factored load.
    L : float or array [in]
        Size of the pad in the direction of the projection.
    c : float or array [in]
        Projection.

    Returns
    -------
    float or array [lbf*in]
        Of the sign of the load.

    Notes
    -----
    Valid for: even pressure.
    Differs from the source: nothing; typed from memory.
    """
    return P_u / L * c**2 / 2


@formula("M_c", "lbf*in", phi="", lamda="", f_c_prime="psi", B="in", h_e="in",
         source="ACI 318-14 Eq. 14.5.2.1a",
         valid={"phi": positive, "lamda": positive, "f_c_prime": positive, "B": positive,
                "h_e": positive})  # fmt: skip
def plain_concrete_moment(phi, lamda, f_c_prime, B, h_e):  # type: ignore[no-untyped-def]
    """Design moment strength of plain concrete.

    Parameters
    ----------
    phi : float or array [dimensionless]
        Strength reduction factor.
    lamda : float or array [dimensionless]
        1 for concrete of normal weight.
    f_c_prime : float or array [psi]
        Compressive strength.
    B : float or array [in]
        Width across the moment.
    h_e : float or array [in]
        Thickness that counts.

    Returns
    -------
    float or array [lbf*in]
        Above zero.

    Notes
    -----
    Valid for: rectangles.
    Differs from the source: nothing; typed from memory.
    """
    f_r = 5 * lamda * sqrt(f_c_prime / (1 * psi)) * psi
    return phi * f_r * B * h_e**2 / 6


@formula("V_u", "lbf", P_u="lbf", L="in", c="in", h_e="in", source="ACI 318-14 14.4.3.2",
         valid={"P_u": LOAD, "L": positive, "c": LENGTH, "h_e": positive})  # fmt: skip
def one_way_shear(P_u, L, c, h_e):  # type: ignore[no-untyped-def]
    """Factored one-way shear of a pad, its thickness away from the face of the post.

    Parameters
    ----------
    P_u : float or array [lbf]
        Factored load.
    L : float or array [in]
        Size of the pad in the direction of the projection.
    c : float or array [in]
        Projection.
    h_e : float or array [in]
        Thickness that counts.

    Returns
    -------
    float or array [lbf]
        Zero where the pad ends before that place.

    Notes
    -----
    Valid for: even pressure.
    Differs from the source: nothing; typed from memory.
    """
    return P_u / L * maximum(c - h_e, 0 * inch)


@formula("V_c", "lbf", phi="", lamda="", f_c_prime="psi", B="in", h_e="in",
         source="ACI 318-14 Table 14.5.5.1",
         valid={"phi": positive, "lamda": positive, "f_c_prime": positive, "B": positive,
                "h_e": positive})  # fmt: skip
def plain_concrete_one_way(phi, lamda, f_c_prime, B, h_e):  # type: ignore[no-untyped-def]
    """Design one-way shear strength of plain concrete.

    Parameters
    ----------
    phi : float or array [dimensionless]
        Strength reduction factor.
    lamda : float or array [dimensionless]
        1 for concrete of normal weight.
    f_c_prime : float or array [psi]
        Compressive strength.
    B : float or array [in]
        Width across the shear.
    h_e : float or array [in]
        Thickness that counts.

    Returns
    -------
    float or array [lbf]
        Above zero.

    Notes
    -----
    Valid for: rectangles.
    Differs from the source: nothing; typed from memory.
    """
    v = 4 / 3 * lamda * sqrt(f_c_prime / (1 * psi)) * psi
    return phi * v * B * h_e


@formula("V_u2", "lbf", P_u="lbf", L="in", B="in", c_1="in", c_2="in", h_e="in",
         source="ACI 318-14 14.4.3.2",
         valid={"P_u": LOAD, "L": positive, "B": positive, "c_1": positive, "c_2": positive,
                "h_e": positive})  # fmt: skip
def punching_shear(P_u, L, B, c_1, c_2, h_e):  # type: ignore[no-untyped-def]
    """Factored shear around the post, half the thickness away from its faces.

    Parameters
    ----------
    P_u : float or array [lbf]
        Factored load.
    L : float or array [in]
        Length of the pad.
    B : float or array [in]
        Width of the pad.
    c_1 : float or array [in]
        Size of the post along the length.
    c_2 : float or array [in]
        Size of the post along the width.
    h_e : float or array [in]
        Thickness that counts.

    Returns
    -------
    float or array [lbf]
        Zero where the pad ends before that line.

    Notes
    -----
    Valid for: even pressure, the post in the middle.
    Differs from the source: nothing; typed from memory.
    """
    inside = minimum(c_1 + h_e, L) * minimum(c_2 + h_e, B)
    return P_u * (1 - inside / (L * B))


@formula("V_c2", "lbf", phi="", lamda="", f_c_prime="psi", c_1="in", c_2="in", h_e="in",
         source="ACI 318-14 Table 14.5.5.1",
         valid={"phi": positive, "lamda": positive, "f_c_prime": positive, "c_1": positive,
                "c_2": positive, "h_e": positive})  # fmt: skip
def plain_concrete_punching(phi, lamda, f_c_prime, c_1, c_2, h_e):  # type: ignore[no-untyped-def]
    """Design two-way shear strength of plain concrete around a post.

    Parameters
    ----------
    phi : float or array [dimensionless]
        Strength reduction factor.
    lamda : float or array [dimensionless]
        1 for concrete of normal weight.
    f_c_prime : float or array [psi]
        Compressive strength.
    c_1 : float or array [in]
        Size of the post along the length.
    c_2 : float or array [in]
        Size of the post along the width.
    h_e : float or array [in]
        Thickness that counts.

    Returns
    -------
    float or array [lbf]
        Above zero.

    Notes
    -----
    Valid for: rectangular posts.
    Differs from the source: nothing; typed from memory.
    """
    b_o = 2 * (c_1 + h_e) + 2 * (c_2 + h_e)
    beta = maximum(c_1, c_2) / minimum(c_1, c_2)
    k = minimum((1 + 2 / beta) * 4 / 3, 8 / 3)
    return phi * k * lamda * sqrt(f_c_prime / (1 * psi)) * psi * b_o * h_e


@formula("B_c", "lbf", phi="", f_c_prime="psi", A_1="in^2", source="ACI 318-14 14.5.6",
         valid={"phi": positive, "f_c_prime": positive, "A_1": positive})  # fmt: skip
def plain_concrete_bearing(phi, f_c_prime, A_1):  # type: ignore[no-untyped-def]
    """Design bearing strength of plain concrete under a post.

    Parameters
    ----------
    phi : float or array [dimensionless]
        Strength reduction factor.
    f_c_prime : float or array [psi]
        Compressive strength.
    A_1 : float or array [in^2]
        Area in contact.

    Returns
    -------
    float or array [lbf]
        Above zero.

    Notes
    -----
    Valid for: any area; the gain of a larger area below is not made use of.
    Differs from the source: sqrt(A_2/A_1) is taken as 1.
    """
    return phi * 0.85 * f_c_prime * A_1


@dataclass(frozen=True, eq=False, repr=False)
class Pad:
    """A pad footing and what stands on it.

    Attributes
    ----------
    L, B, h : Value [in]
        Length, width, thickness.
    c_1, c_2 : Value [in]
        Size of the post along length and width.
    bearing : Value or None [psf]
        Bearing value of the soil.
    net : bool
        Whether that value is net of the soil that the pad replaced.
    f_c_prime : Value or None [psi]
        Strength of the concrete.
    """

    L: Any
    B: Any
    h: Any
    c_1: Any
    c_2: Any
    bearing: Any
    net: bool
    f_c_prime: Any


def presumptive_bearing(material: str) -> Value:
    """Return the presumptive bearing value of a soil by the code's table, as a leaf.

    Parameters
    ----------
    material : str
        As IRC Table R401.4.1 names it.

    Raises
    ------
    LookupMiss
        When the table has no such soil.
    """
    row = published.find("irc-2018-r401-4-1", material=material)
    return leaf(
        row.number("bearing_psf") * psf, "psf", "q_a", f"IRC/R401.4.1/{material}",
        title=f"presumptive bearing value, {material}", basis="required by code",
        source=row.printed, verified=row.status_of("bearing_psf") == "verified",
        note="presumed; to be compared with the soil on site", low=100 * psf, high=20000 * psf,
    )  # fmt: skip


def one_foot() -> Value:
    """Return the length of a wall footing that is looked at, as a leaf."""
    return leaf(
        1 * ft, "ft", "l_1", "practice/one foot of a wall footing", basis="chosen",
        title="length of a wall footing that is looked at", low=1 * inch, high=10 * ft,
    )  # fmt: skip


def _code(number: float, unit: str, symbol: str, title: str, source: str) -> Value:
    return leaf(
        number, unit, symbol, f"{source}/{symbol}", title=title, basis="required by code",
        source=source, verified=False, note=FROM_MEMORY,
    )  # fmt: skip


def density_of_concrete() -> Value:
    """Return the density of concrete, as a leaf."""
    row = published.weight("concrete, stone, reinforced (normal weight)")
    return leaf(
        row.number("weight_pcf") * pcf, "pcf", "gamma_c", f"{row.table}/concrete/gamma_c",
        title="density of concrete", basis="published", source=row.printed,
        verified=row.status == "verified", note="" if row.status == "verified" else FROM_MEMORY,
    )  # fmt: skip


def pad_checks(
    id: str,
    pad: Pad,
    P: Any,
    P_u: Any,
    cases: tuple[str, ...] = (),
    factored: tuple[str, ...] = (),
    *,
    name: str = "footing",
) -> Iterator[Check]:
    """Yield the checks of a pad: soil, concrete in bending, shear and bearing, least sizes.

    Parameters
    ----------
    id : str
        What each check's id begins with.
    pad : Pad
    P : Value [lbf]
        Load without factors, by case.
    P_u : Value [lbf]
        Factored load, by case.
    cases, factored : tuple of str
        Names of the cases of the two.
    name : str

    Yields
    ------
    Check
        Open where the soil or the concrete is not known.
    """
    yield soil_check(f"{id}/soil", pad, P, cases, name)
    if pad.f_c_prime is None:
        yield _concrete_not_known(id, P_u, factored, name)
        return
    phi, lamda = _plain_concrete()
    h_e = thickness_on_soil(pad.h)
    for way, L, B, c_post in (("length", pad.L, pad.B, pad.c_1), ("width", pad.B, pad.L, pad.c_2)):
        c = projection(L, c_post)
        limits = _least_sizes(pad.h, B, c)
        yield from _across(id, way, name, P_u, pad.f_c_prime, (L, B, c, h_e), limits, factored)
    yield check(
        f"{id}/punching",
        f"Two-way shear of {name}",
        "ACI 318-14 14.5.5",
        punching_shear(P_u, pad.L, pad.B, pad.c_1, pad.c_2, h_e),
        plain_concrete_punching(phi, lamda, pad.f_c_prime, pad.c_1, pad.c_2, h_e),
        cases=factored,
    )
    yield check(
        f"{id}/bearing",
        f"Bearing of the post on {name}",
        "ACI 318-14 14.5.6",
        P_u,
        plain_concrete_bearing(phi, pad.f_c_prime, contact_area(pad.c_1, pad.c_2)),
        cases=factored,
        notes=("Wood on concrete is to be treated or durable (IRC R317.1).",),
    )


def plain_phi() -> Value:
    """Return the strength reduction factor of plain concrete, as a leaf."""
    return _code(0.60, "", "phi", "strength reduction factor, plain concrete", "ACI 318-14 21.2.1")


def _plain_concrete() -> tuple[Value, Value]:
    """Return phi and lambda of plain concrete of normal weight."""
    lamda = _code(1.0, "", "lamda", "normal weight of concrete", "ACI 318-14 19.2.4")
    return plain_phi(), lamda


def _concrete_not_known(id: str, P_u: Any, factored: tuple[str, ...], name: str) -> Check:
    return check(
        f"{id}/concrete",
        f"Concrete of {name}",
        "ACI 318-14 chapter 14",
        P_u,
        None,
        cases=factored,
        questions=(f"The strength of the concrete of {name} was not entered.",),
    )


def _across(
    id: str,
    way: str,
    name: str,
    P_u: Any,
    f_c_prime: Any,
    sizes: tuple[Any, Any, Any, Any],
    limits: tuple[Condition, ...],
    factored: tuple[str, ...],
) -> Iterator[Check]:
    """Yield bending and one-way shear in one direction; sizes are L, B, c, h_e."""
    L, B, c, h_e = sizes
    phi, lamda = _plain_concrete()
    yield check(
        f"{id}/bending.{way}",
        f"Bending of {name} along its {way}",
        "ACI 318-14 14.5.2",
        moment_at_face(P_u, L, c),
        plain_concrete_moment(phi, lamda, f_c_prime, B, h_e),
        cases=factored,
        conditions=limits,
        notes=("Plain concrete; cast on soil, two inches of its thickness do not count.",),
    )
    yield check(
        f"{id}/shear.{way}",
        f"One-way shear of {name} along its {way}",
        "ACI 318-14 14.5.5",
        one_way_shear(P_u, L, c, h_e),
        plain_concrete_one_way(phi, lamda, f_c_prime, B, h_e),
        cases=factored,
    )


def strip_checks(
    id: str,
    pad: Pad,
    P: Any,
    P_u: Any,
    cases: tuple[str, ...] = (),
    factored: tuple[str, ...] = (),
    *,
    name: str = "footing",
    masonry: bool = False,
) -> Iterator[Check]:
    """Yield the checks of a footing under a wall, of which one foot is looked at.

    Parameters
    ----------
    id : str
        What each check's id begins with.
    pad : Pad
        Its length and that of what stands on it are the foot that is looked at.
    P, P_u : Value [lbf]
        Load of that foot by case, without factors and factored.
    cases, factored : tuple of str
        Names of the cases of the two.
    name : str
    masonry : bool
        Whether a wall of masonry units stands on it, so that it bends further in.

    Yields
    ------
    Check
        Open where the soil or the concrete is not known.

    Notes
    -----
    Valid for: the wall in the middle of the strip, load even along it.
    Differs from the source: nothing; the provisions of pads, across the wall only.
    """
    yield soil_check(f"{id}/soil", pad, P, cases, name)
    if pad.f_c_prime is None:
        yield _concrete_not_known(id, P_u, factored, name)
        return
    free = projection(pad.B, pad.c_2)
    c = projection_under_masonry(pad.B, pad.c_2) if masonry else free
    limits = (
        *_least_sizes(pad.h, pad.B, free),
        Condition(
            "The footing reaches at least 2 in past the wall.",
            utilization(
                least_width_under_wall(
                    pad.c_2,
                    _code(2.0, "in", "c_min", "least projection of a footing", "IRC R403.1.1"),
                ),
                pad.B,
            ),
            "IRC R403.1.1",
        ),
    )
    sizes = pad.B, pad.L, c, thickness_on_soil(pad.h)
    yield from _across(id, "width", name, P_u, pad.f_c_prime, sizes, limits, factored)
    yield check(
        f"{id}/bearing",
        f"Bearing of the wall on {name}",
        "ACI 318-14 14.5.6",
        P_u,
        plain_concrete_bearing(plain_phi(), pad.f_c_prime, contact_area(pad.c_1, pad.c_2)),
        cases=factored,
        notes=("Wood on concrete is to be treated or durable (IRC R317.1).",),
    )


@formula("A_1", "in^2", c_1="in", c_2="in", source="geometry",
         valid={"c_1": positive, "c_2": positive})  # fmt: skip
def contact_area(c_1, c_2):  # type: ignore[no-untyped-def]
    """Area in which a post stands on a pad.

    Parameters
    ----------
    c_1 : float or array [in]
        Size of the post along the length.
    c_2 : float or array [in]
        Size of the post along the width.

    Returns
    -------
    float or array [in^2]
        Above zero.

    Notes
    -----
    Valid for: rectangular posts, standing in full.
    Differs from the source: nothing.
    """
    return c_1 * c_2


def soil_check(id: str, pad: Pad, P: Any, cases: tuple[str, ...], name: str) -> Check:
    """Return the check of the pressure on the soil; open when its bearing value is not known."""
    questions: tuple[str, ...] = ()
    if pad.net:
        q = net_soil_pressure(P, pad.L, pad.B)
    else:
        W = weight_of_pad(density_of_concrete(), pad.L, pad.B, pad.h)
        q = gross_soil_pressure(P, W, pad.L, pad.B)
    if pad.bearing is None:
        questions = (
            f"The bearing value of the soil under {name} was not entered: "
            "the building office or a soils engineer gives it.",
        )
    return check(
        id,
        f"Pressure of {name} on the soil",
        "IRC R403.1, R401.4.1",
        q,
        pad.bearing,
        cases=cases,
        questions=questions,
        notes=(f"The bearing value is taken as {'net' if pad.net else 'gross'}.",),
    )


def _least_sizes(h: Any, B: Any, c: Any) -> tuple[Condition, ...]:
    memory = "ACI 318-14 13.3.1.2, from memory"
    return (
        Condition(
            "Plain concrete on soil is at least 8 in thick.",
            utilization(_code(8.0, "in", "h_min", "least thickness, plain footing", memory), h),
            memory,
        ),
        Condition(
            "The footing is at least 6 in thick.",
            utilization(
                _code(6.0, "in", "h_irc", "least thickness of a footing", "IRC R403.1.1"), h
            ),
            "IRC R403.1.1",
        ),
        Condition(
            "The footing is at least 12 in wide.",
            utilization(_code(12.0, "in", "B_irc", "least width of a footing", "IRC R403.1.1"), B),
            "IRC R403.1.1",
        ),
        Condition(
            "The footing reaches no further past what stands on it than it is thick.",
            utilization(c, h),
            "IRC R403.1.1",
        ),
    )
