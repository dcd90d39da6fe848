"""What is below an end of a beam: its true contact, the wood or concrete it presses, the gap."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from calclib.job.bent import Design
from calclib.job.blocks import FLAT, VERTICAL, Blocking, blocking_of
from calclib.job.contents import Section
from calclib.job.lines import Inputs
from calclib.job.schema import GROUND, called
from calclib.job.studs import plate_of
from calclib.job.wood import service_of, stock_size
from calclib.mechanics.section import total_width
from calclib.timber.bearing import (
    MASONRY,
    WOOD,
    Surface,
    least_bearing,
    net_bearing,
    plate,
    side_across_beam,
    strength_surface,
    surface,
)
from calclib.timber.piece import Piece
from calclib.trace import Condition, Value

Sections = Mapping[str, Section]


@dataclass(frozen=True, eq=False)
class Below:
    """What is below one support of a beam.

    Attributes
    ----------
    section : Section
        The support.
    l_b : Value [in]
        Bearing length that is left.
    width : Value or None [in]
        Of what is below, across the beam; None when it does not limit the contact.
    on : Surface or None
        Wood that is pressed across its grain.
    text : str
        What it bears on that is no such wood.
    blocking : Blocking or None
    plate : Surface or None
        The plate below the blocking.
    condition : Condition
        The least bearing of the code.
    notes, questions : tuple of str
    """

    section: Section
    l_b: Any
    width: Any
    on: Surface | None
    text: str
    blocking: Blocking | None
    plate: Surface | None
    condition: Condition
    notes: tuple[str, ...]
    questions: tuple[str, ...]

    @property
    def is_concrete(self) -> bool:
        """Whether the strength of concrete below it is known."""
        return "concrete" in self.section.numbers


def below(
    seat: Section,
    beam: Section,
    inputs: Inputs,
    members: Sections,
    pieces: Mapping[str, Piece],
    design: Design,
) -> Below:
    """Return what is below one support of a beam.

    Parameters
    ----------
    seat : Section
        The support.
    beam : Section
    inputs : mapping of str to Value
    members : mapping of str to Section
        What the beam may bear on, by path.
    pieces : mapping of str to Piece
        The beams as pieces of wood, by path.
    design : Design
    """
    path, words = seat.path, seat.words
    carrier = members.get(words["on"])
    width, how = _width(seat, beam, carrier, inputs)
    l_b, gap_note = _length(seat, inputs)
    service = service_of(beam)
    blocking = blocking_of(seat, f"{called(beam.path)} at {_called(seat)}", inputs, service, design)
    own = None
    if "plate" in words:
        own = plate(words["plate"], service, words["plate_grade"])
        own = strength_surface(own) if design.method == "LRFD" else own
    elif carrier is not None and carrier.kind == "walls":
        own = plate_of(carrier, design)
    elif words["on"] in pieces:
        own = surface(pieces[words["on"]])
        own = strength_surface(own) if design.method == "LRFD" else own
    on, text = own, ""
    if blocking is not None and words["blocking"] == FLAT:
        on = blocking.wood
    elif blocking is not None:
        on, text = None, "squash blocks carry on their end grain"
    elif own is None and carrier is not None and carrier.kind == "posts":
        text = "the post carries on its end grain"
    elif own is None and "seat" in words:
        text = f"{words['seat']} carries it, which has its own check"
    questions: tuple[str, ...] = ()
    if "metal_plate_length" in seat.numbers:
        l_b, width = inputs[f"{path}.metal_plate_length"], inputs[f"{path}.metal_plate_width"]
        how = "The contact is that of the metal plate."
        questions = (
            f"The metal plate below {called(beam.path)} at {_called(seat)}: its thickness, where "
            "it reaches past what is below, is for the engineer.",
        )
    stony = words["on"] == GROUND or (carrier is not None and carrier.kind == "footings")
    return Below(
        seat,
        l_b,
        width,
        on,
        text,
        blocking,
        own if blocking is not None else None,
        least_bearing(l_b, MASONRY if stony and own is None else WOOD),
        tuple(note for note in (how, gap_note) if note),
        questions,
    )


def _called(seat: Section) -> str:
    return seat.name.replace("_", " ")


def _length(seat: Section, inputs: Inputs) -> tuple[Value, str]:
    """Return the bearing length that is left when all of the gap is at this end."""
    l_b = inputs[f"{seat.path}.bearing"]
    if "gap" not in seat.numbers:
        return l_b, "No fitting gap was entered: the whole bearing length is counted."
    return net_bearing(l_b, inputs[f"{seat.path}.gap"]), "All of the fitting gap is at this end."


def _width(
    seat: Section, beam: Section, carrier: Section | None, inputs: Inputs
) -> tuple[Value | None, str]:
    """Return the width of what is below, across the beam, and how it is known."""
    if "width" in seat.numbers:
        return inputs[f"{seat.path}.width"], ""
    if carrier is not None and carrier.kind == "posts":
        b, d = stock_size(carrier, inputs)
        plies = inputs.get(f"{carrier.path}.plies")
        thick = b if plies is None else total_width(plies, b)
        narrow, wide = (thick, d) if thick.at() <= d.at() else (d, thick)
        return side_across_beam(inputs[f"{seat.path}.bearing"], narrow, wide), (
            "The side of the post across the beam is read off the bearing length."
        )
    if carrier is not None and carrier.kind == "walls" and "size" in carrier.words:
        if carrier.words.get("direction", "along") == beam.words.get("direction", "along"):
            return stock_size(carrier, inputs)[1], "The plate is as wide as the wall's studs."
        return None, ""
    if carrier is not None and carrier.kind == "beams":
        return None, ""
    return None, "What it bears on is taken as wide as the beam."


__all__ = ["VERTICAL", "Below", "below"]
