"""Every check of one beam in one call: on traced values, or on arrays of candidates."""

from __future__ import annotations

import functools
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

from calclib.mechanics.section import deflection_at_stiffness
from calclib.timber.bearing import Seat, Surface
from calclib.timber.checks import (
    bearing_check,
    bending_check,
    live_deflection_check,
    shear_check,
    total_deflection_check,
)
from calclib.timber.piece import Piece, stiffness
from calclib.timber.stability import Bracing
from calclib.trace import Check, worst_of


@dataclass(frozen=True, eq=False, repr=False)
class Effects:
    """What the loads do to a beam of one stiffness throughout, whatever that stiffness is.

    Attributes
    ----------
    M_sagging, M_hogging : Value [lbf in]
        Sizes of the largest moments, by case; M_hogging may be None.
    V : Value [lbf]
        Size of the largest shear, by case.
    D_live, D_dead, D_short : Value [lbf in^3]
        EI times the deflections: of the live-load check, and the two parts of the total.
    reactions : tuple of Value [lbf]
        One for each support, by case.
    """

    M_sagging: Any
    M_hogging: Any
    V: Any
    D_live: Any
    D_dead: Any
    D_short: Any
    reactions: tuple[Any, ...]


@dataclass(frozen=True, eq=False, repr=False)
class Demands:
    """What a beam is asked for beside carrying its loads.

    Attributes
    ----------
    span : Value [in]
        For the deflection limits.
    n_live, n_total : Value
        Divisors of the limits.
    K : Value
        Share of dead load in the total deflection.
    rule : str
        The rule of K.
    top, bottom : Bracing
        Of the edge in compression under sagging and under hogging.
    seats : tuple of Seat
    supports : tuple of Surface or None
    """

    span: Any
    n_live: Any
    n_total: Any
    K: Any
    rule: str
    top: Bracing
    bottom: Bracing
    seats: tuple[Seat, ...]
    supports: tuple[Surface | None, ...]


def each_check(
    id: str,
    piece: Piece,
    effects: Effects,
    demands: Demands,
    C_D: Any,
    cases: tuple[str, ...] = (),
) -> Iterator[Check]:
    """Yield every check of a beam: bending, shear, deflection and bearing.

    Parameters
    ----------
    id : str
        Stage and member, before the name of each check.
    piece : Piece
    effects : Effects
    demands : Demands
    C_D : Value
        Load duration factor, by case.
    cases : tuple of str

    Yields
    ------
    Check
        Sagging, hogging unless its moment is None, shear, live-load and total deflection, then
        the bearings in the order of the seats.

    Notes
    -----
    Valid for: one section and one material throughout.
    Differs from the source: nothing.
    """
    yield bending_check(
        f"{id}/sagging", piece, effects.M_sagging, C_D, demands.top, cases, title="bending, sagging"
    )
    if effects.M_hogging is not None:
        yield bending_check(
            f"{id}/hogging",
            piece,
            effects.M_hogging,
            C_D,
            demands.bottom,
            cases,
            title="bending, hogging",
        )
    yield shear_check(f"{id}/shear", piece, effects.V, C_D, cases)
    EI = stiffness(piece)
    live = deflection_at_stiffness(effects.D_live, EI)
    yield live_deflection_check(f"{id}/live", piece, live, demands.span, demands.n_live, cases)
    dead = deflection_at_stiffness(effects.D_dead, EI)
    short = deflection_at_stiffness(effects.D_short, EI)
    yield total_deflection_check(
        f"{id}/total",
        piece,
        dead,
        short,
        demands.K,
        demands.span,
        demands.n_total,
        demands.rule,
        cases,
    )
    for place, (R, seat, support) in enumerate(
        zip(effects.reactions, demands.seats, demands.supports, strict=True), start=1
    ):
        yield bearing_check(f"{id}/bearing_{place}", piece, R, seat, support, cases).check


def utilizations(checks: Iterable[Check]) -> list[Any]:
    """Return what decides each check, the largest over its cases, as `sweep` wants it.

    Parameters
    ----------
    checks : iterable of Check
        Of plain numbers, cases x candidates; from `each_check` one at a time, so that its arrays
        are free again before the next.

    Returns
    -------
    list of array
        For each check, by candidate: at most 1 where it passes, its conditions included.
    """
    import numpy as np

    return [
        functools.reduce(np.maximum, [np.max(ratio, axis=0) for ratio in worst_of(check)])
        for check in checks
    ]
