"""The studs and plates of a wall as its section tells them."""

from __future__ import annotations

from calclib.job.bent import Design
from calclib.job.contents import Section
from calclib.job.lines import Inputs
from calclib.job.wood import service_of, stock_size
from calclib.timber.bearing import Surface, plate, strength_surface
from calclib.timber.posts import Post, sawn_post, strength_post


def has_studs(section: Section) -> bool:
    """Tell whether the studs of a wall are known."""
    return "species" in section.words


def plate_of(section: Section, design: Design) -> Surface | None:
    """Return the plates of a wall, or None when they are not known.

    Parameters
    ----------
    section : Section
    design : Design
    """
    if "plate" not in section.words:
        return None
    made = plate(section.words["plate"], service_of(section), section.words["plate_grade"])
    return strength_surface(made) if design.method == "LRFD" else made


def stud_of(section: Section, inputs: Inputs, design: Design) -> Post:
    """Return one stud of a wall.

    Parameters
    ----------
    section : Section
        Of a wall whose studs are known.
    inputs : mapping of str to Value
    design : Design
    """
    b, d = stock_size(section, inputs)
    made = sawn_post(section.words["species"], section.words["grade"], b, d, service_of(section))
    return strength_post(made) if design.method == "LRFD" else made
