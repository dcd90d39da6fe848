"""Blocking below the end of a beam or post: vertical squash blocks, or lumber laid flat."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

from calclib import published
from calclib.job.bent import Design
from calclib.job.contents import Section
from calclib.job.lines import Inputs
from calclib.job.wood import stock_side
from calclib.loads.takedown import part_of_load
from calclib.mechanics.section import area
from calclib.timber.bearing import Surface, plate, strength_surface
from calclib.timber.column_checks import (
    end_bearing_check,
    post_check,
    share_of_a_ply,
    under_post_check,
)
from calclib.timber.columns import column_bracing
from calclib.timber.factors import Service
from calclib.timber.posts import Post, sawn_post, strength_post
from calclib.trace import Check, Condition, Value, utilization

VERTICAL, FLAT = "vertical", "flat"


@dataclass(frozen=True, eq=False)
class Blocking:
    """Blocking below an end.

    Attributes
    ----------
    section : Section
        Of the support or the post that tells it.
    name : str
        Of what it lies below, in words.
    post : Post
        Its blocks, as a pack; only vertical ones are used as such.
    wood : Surface
        Its lumber, pressed across the grain; only flat blocking is used as such.
    """

    section: Section
    name: str
    post: Post
    wood: Surface

    @property
    def is_vertical(self) -> bool:
        """Whether its blocks stand on end."""
        return self.section.words["blocking"] == VERTICAL


def blocking_of(
    section: Section, name: str, inputs: Inputs, service: Service, design: Design
) -> Blocking | None:
    """Return the blocking that a support or a post tells of; None without.

    Parameters
    ----------
    section : Section
    name : str
        Of what it lies below, in words.
    inputs : mapping of str to Value
    service : Service
    design : Design
    """
    path, words = section.path, section.words
    if "blocking" not in words:
        return None
    species, grade, of = words["blocking_species"], words["blocking_grade"], words["blocking_size"]
    size = published.nominal_size(of, "sawn")
    b, d = (
        stock_side(size, symbol, f"{what} of a {of} block", f"{path}.blocking_size", name)
        for symbol, what in (("b_ply", "breadth"), ("d", "depth"))
    )
    count = inputs[f"{path}.blocking_count"]
    post = sawn_post(species, grade, b, d, service, plies=count if count.at() > 1 else None)
    wood = plate(species, service, grade)
    if design.method == "LRFD":
        post, wood = strength_post(post), strength_surface(wood)
    return Blocking(section, name, post, wood)


def blocking_checks(
    id: str,
    blocking: Blocking,
    P: Value,
    contact: tuple[Value, Value],
    time: Value,
    cases: tuple[str, ...],
    inputs: Inputs,
    design: Design,
) -> Iterator[Check]:
    """Yield the checks of the blocking below an end.

    Parameters
    ----------
    id : str
        What each check's id ends with is put behind it.
    blocking : Blocking
    P : Value [lbf]
        By case.
    contact : (Value, Value) [in]
        Sides of the area in which what is above bears.
    time : Value
        C_D under ASD, lambda under LRFD, by case.
    cases : tuple of str
    inputs : mapping of str to Value
    design : Design
    """
    name = blocking.name
    if not blocking.is_vertical:
        yield under_post_check(
            f"{id}.flat", P, *contact, blocking.wood, design.method, cases,
            title=f"Flat blocking below {name}, across its grain",
        )  # fmt: skip
        return
    post = blocking.post
    sides = post.piece.b, post.piece.d
    made = end_bearing_check(
        f"{id}.end", post, P, time, cases, metal_plate=False,
        title=f"End grain of the squash blocks below {name}",
    )  # fmt: skip
    large = Condition(
        "The squash blocks are as large as the bearing that is counted above them.",
        utilization(area(*contact), area(*sides)),
        "geometry",
    )
    yield replace(made, conditions=(*made.conditions, large))
    height = inputs[f"{blocking.section.path}.blocking_height"]
    one, share = post, P
    if post.n is not None:
        alone = replace(post.piece, b=post.piece.material.b, built_up=False)
        one, share = replace(post, n=None, piece=alone), part_of_load(P, share_of_a_ply(post.n))
    column = post_check(
        f"{id}.column", one, share, time, column_bracing(height, height), cases,
        title=f"Squash blocks below {name} as columns",
    )  # fmt: skip
    yield replace(column, notes=(*column.notes, "Each block stands by itself."))


def below_blocking(blocking: Blocking | None, contact: tuple[Any, Any]) -> tuple[Any, Any]:
    """Return the sides of the area that presses what is below an end.

    Parameters
    ----------
    blocking : Blocking or None
    contact : (Value, Value) [in]
        Sides of the area in which what is above bears.

    Returns
    -------
    (Value, Value) [in]
        Those of the squash blocks; flat blocking spreads nothing.
    """
    if blocking is None or not blocking.is_vertical:
        return contact
    return blocking.post.piece.b, blocking.post.piece.d
