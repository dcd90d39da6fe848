"""The wood of a member as a job file enters it: size, material, service."""

from __future__ import annotations

from calclib import published
from calclib.job.contents import Section
from calclib.job.lines import Inputs
from calclib.job.schema import called as words
from calclib.job.sense_wood import REPORTED
from calclib.timber.dimensions import wood_density
from calclib.timber.factors import Service
from calclib.timber.materials import Material, composite, reported_composite, sawn
from calclib.trace import Value, leaf
from calclib.units import inch


def product_of(section: Section) -> str:
    """Return in which stock the size of a member is to be found."""
    if "glulam" in section.words:
        return "glulam"
    return "sawn" if "species" in section.words else "composite"


def stock_side(size: published.Size, symbol: str, what: str, path: str, whose: str) -> Value:
    """Return breadth ("b_ply") or depth ("d") of a stock size as a leaf.

    Parameters
    ----------
    size : Size
    symbol, what : str
        Symbol of the leaf, and what it is.
    path : str
        Of the key that names the size.
    whose : str
        Of what it is the size, in words.
    """
    number = size.d_in if symbol == "d" else size.b_in
    return leaf(
        number * inch,
        "in",
        symbol,
        f"{path}/{symbol}",
        title=f"{what}, {whose}",
        basis="published",
        source=size.row.printed,
        verified=size.row.status == "verified",
        low=0.5,
        high=60.0,
    )


def stock_size(section: Section, inputs: Inputs) -> tuple[Value, Value]:
    """Return breadth and depth of one ply, as measured or else as the stock size gives them."""
    size = published.nominal_size(section.words["size"], product_of(section))

    def side(keys: tuple[str, ...], symbol: str, what: str) -> Value:
        for key in keys:
            if key in section.numbers:
                return inputs[f"{section.path}.{key}"]
        what = f"{what} of {section.words['size']}"
        return stock_side(size, symbol, what, f"{section.path}.size", words(section.path))

    return side(("ply_width", "width"), "b_ply", "breadth of a ply"), side(("depth",), "d", "depth")


def material_of(section: Section, inputs: Inputs, b: Value, d: Value) -> Material:
    """Return the material of a member with its reference values."""
    if "report" in section.words:
        values = {key: inputs[f"{section.path}.{key}"] for key in REPORTED}
        return reported_composite(
            section.words["material"], section.words["report"], b, d, **values
        )
    if "material" in section.words:
        return composite(section.words["material"], b, d)
    return sawn(section.words["species"], section.words["grade"], b, d)


def moisture_for_weight() -> Value:
    """Return the moisture content by which lumber weighs, as a leaf."""
    return leaf(
        19.0,
        "",
        "m_c",
        "practice/moisture content for weight",
        basis="common practice",
        title="moisture content for weight, percent",
        note="top of the range called dry",
    )


def density_of(section: Section, material: Material, inputs: Inputs) -> Value:
    """Return the density by which a member weighs."""
    if "density" in section.numbers:
        return inputs[f"{section.path}.density"]
    return wood_density(material.G, moisture_for_weight())  # type: ignore[no-any-return]


def service_of(section: Section) -> Service:
    """Return the service of a member; indoors and dry when it does not say."""
    given = section.words
    degrees = {"100 F or less": "100", "100 to 125 F": "125", "125 to 150 F": "150"}
    return Service(
        given.get("moisture", "dry"),
        f"up to {degrees[given.get('temperature', '100 F or less')]} F",
        given.get("incised") == "yes",
    )
