"""Where members lie along the lines of the house, as traced values."""

from __future__ import annotations

from collections.abc import Mapping

from calclib.job.contents import Section
from calclib.loads.takedown import place_of_support
from calclib.timber.dimensions import design_span
from calclib.trace import Value, formula
from calclib.units import inch

Inputs = Mapping[str, Value]
Stretch = tuple[Value, Value]
LENGTH = (0.0, None)
ANY = (None, None)

# Two places nearer than this are one: less than any tape tells.
SAME_PLACE = 1e-6 * inch


@formula("a_c", "in", a_0="in", l_b="in", source="geometry", valid={"a_0": ANY, "l_b": LENGTH})
def center_of_first_bearing(a_0, l_b):  # type: ignore[no-untyped-def]
    """Center of a beam's first bearing along the house's line.

    Parameters
    ----------
    a_0 : float or array [in]
        Inner face of the first support.
    l_b : float or array [in]
        Its bearing length.

    Returns
    -------
    float or array [in]
        Of either sign.

    Notes
    -----
    Valid for: l_b >= 0.
    Differs from the source: nothing.
    """
    return a_0 - l_b / 2


@formula("a_c", "in", a="in", x="in", source="geometry", valid={"a": ANY, "x": LENGTH})
def place_further_on(a, x):  # type: ignore[no-untyped-def]
    """Place further on along the same line.

    Parameters
    ----------
    a : float or array [in]
        Where it is counted from.
    x : float or array [in]
        How much further.

    Returns
    -------
    float or array [in]
        Of either sign.

    Notes
    -----
    Valid for: x >= 0.
    Differs from the source: nothing.
    """
    return a + x


@formula("a_c", "in", a="in", x="in", source="geometry", valid={"a": ANY, "x": LENGTH})
def place_further_back(a, x):  # type: ignore[no-untyped-def]
    """Place further back along the same line.

    Parameters
    ----------
    a : float or array [in]
        Where it is counted from.
    x : float or array [in]
        How much further back.

    Returns
    -------
    float or array [in]
        Of either sign.

    Notes
    -----
    Valid for: x >= 0.
    Differs from the source: nothing.
    """
    return a - x


@formula("L", "in", a="in", c="in", source="geometry", valid={"a": ANY, "c": ANY})
def length_along(a, c):  # type: ignore[no-untyped-def]
    """Length of a stretch of the line.

    Parameters
    ----------
    a : float or array [in]
        Where it begins.
    c : float or array [in]
        Where it ends.

    Returns
    -------
    float or array [in]
        Above zero where it ends beyond its start.

    Notes
    -----
    Valid for: any places.
    Differs from the source: nothing.
    """
    return c - a


def bearings_of(beam: Section, inputs: Inputs) -> tuple[Value, ...]:
    """Return the bearing length of each support of a beam."""
    return tuple(inputs[f"{seat.path}.bearing"] for seat in beam.seats())


def spans_of(beam: Section, inputs: Inputs) -> tuple[Value, ...]:
    """Return a beam's spans, center to center of bearings."""
    bearings = bearings_of(beam, inputs)
    clear = [inputs[entry.path] for entry in beam.inside["spans"].values()]  # type: ignore[union-attr]
    return tuple(
        design_span(length, left, right)
        for length, left, right in zip(clear, bearings[:-1], bearings[1:], strict=True)
    )


def centers_of(beam: Section, inputs: Inputs) -> tuple[Value, ...]:
    """Return the centers of a beam's supports along the house's line."""
    first = center_of_first_bearing(inputs[f"{beam.path}.starts_at"], bearings_of(beam, inputs)[0])
    spans = spans_of(beam, inputs)
    return (
        first,
        *(place_further_on(first, place_of_support(*spans[: n + 1])) for n in range(len(spans))),
    )


def stretch_of(section: Section, inputs: Inputs) -> Stretch | None:
    """Return where a member begins and ends along its line; None when it does not say."""
    if section.kind == "beams":
        centers = centers_of(section, inputs)
        start, end = centers[0], centers[-1]
        if "overhang_start" in section.numbers:
            start = place_further_back(start, inputs[f"{section.path}.overhang_start"])
        if "overhang_end" in section.numbers:
            end = place_further_on(end, inputs[f"{section.path}.overhang_end"])
        return start, end
    if "from" in section.numbers:
        return inputs[f"{section.path}.from"], inputs[f"{section.path}.to"]
    return None


def later(a: Value, b: Value) -> Value:
    """Return the one of two places that lies further on; the first when they are the same."""
    return b if b.at() > a.at() + SAME_PLACE else a


def earlier(a: Value, b: Value) -> Value:
    """Return the one of two places that lies further back; the first when they are the same."""
    return b if b.at() < a.at() - SAME_PLACE else a
