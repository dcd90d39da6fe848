"""What may stand in a job file: every section, key, unit and example, as data."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from calclib.units import ft, inch, pcf, psf

Kind = Literal["quantity", "count", "ratio", "pitch", "text", "choice", "names", "date"]

# No house is longer; a position or an extent beyond it is a slip of the keyboard.
STRETCH = 1000 * ft


@dataclass(frozen=True)
class Key:
    """One key of a section.

    Attributes
    ----------
    name, title : str
        The key, and what it is in words.
    kind : Kind
        What it holds.
    unit : str
        Display unit of a quantity; it also sets the dimension that is needed.
    symbol : str
        Symbol of the leaf.
    example : str
        A right way to write it, shown in messages; `line` puts it in quotes where TOML needs them.
    required : bool
    low, high : float or None [base units]
        Limits of sense for a number.
    choices : tuple of str
        The words of a choice.
    may_be_empty : bool
        Whether an empty text says something (a calculation that nobody has checked).
    has_basis : bool
        Whether a text may say how it is known: `{ value = "No.2", basis = "assumed" }`.
    """

    name: str
    title: str
    kind: Kind
    unit: str = ""
    symbol: str = ""
    example: str = ""
    required: bool = False
    low: float | None = None
    high: float | None = None
    choices: tuple[str, ...] = ()
    may_be_empty: bool = False
    has_basis: bool = False

    @property
    def is_number(self) -> bool:
        """Whether it holds a number, which carries a basis."""
        return self.kind in ("quantity", "count", "ratio", "pitch")

    @property
    def written(self) -> str:
        """Its example as TOML."""
        return self.example if self.kind in ("names", "count", "date") else f'"{self.example}"'

    @property
    def line(self) -> str:
        """Its example as a line of a job file."""
        return f"{self.name} = {self.written}"


Content = Key | tuple[Key, ...]


def _length(
    name: str,
    title: str,
    symbol: str,
    example: str,
    unit: str = "ft",
    *,
    required: bool = False,
    low: float = 0.0,
    high: float = STRETCH,
) -> Key:
    return Key(name, title, "quantity", unit, symbol, example, required, low, high)


def _stress(name: str, title: str, example: str) -> Key:
    return Key(name, title, "quantity", "psi", name, example, low=10, high=1e8)


def _pressure(name: str, title: str, symbol: str, example: str, required: bool = False) -> Key:
    return Key(name, title, "quantity", "psf", symbol, example, required, 0.0, 2000 * psf)


def _force(name: str, title: str, symbol: str, example: str) -> Key:
    return Key(name, title, "quantity", "lbf", symbol, example, False, 0.0, 1e6)


def _choice(
    name: str, title: str, choices: tuple[str, ...], example: str, required: bool = False
) -> Key:
    return Key(name, title, "choice", example=example, required=required, choices=choices)


def _text(
    name: str, title: str, example: str, required: bool = False, may_be_empty: bool = False
) -> Key:
    return Key(name, title, "text", example=example, required=required, may_be_empty=may_be_empty)


SIZE = _text("size", "size", "2x10", required=True)
SPECIES = Key("species", "species", "text", example="Douglas fir-larch", has_basis=True)
GRADE = Key("grade", "grade", "text", example="No.2", has_basis=True)
TEMPERATURES = ("100 F or less", "100 to 125 F", "125 to 150 F")
DEAD_LOAD_RULES = ("NDS 3.5.2", "IBC 1604.3 footnote", "plain sum")
EDITIONS = ("ASCE 7-16", "ASCE 7-22")
YES_NO = ("yes", "no")
THERMAL = (
    "heated", "kept just above freezing or with a ventilated roof", "unheated",
)  # fmt: skip
ELEMENTS = ("interior beam", "edge beam", "other member")
SHORTEST, LONGEST = 1 * inch, 50 * ft
OVER_SUPPORTS = ("simple", "lapped", "butted", "continuous")

JOB = (
    _text("title", "title", "Kitchen opening", required=True),
    _text("number", "job number", "LH-01", required=True),
    _text("site", "site", "14 Mill Lane", required=True),
    Key("date", "date", "date", example="2026-10-12", required=True),
    _text("revision", "revision", "A", required=True),
    _text("prepared_by", "preparer", "R. Alder", required=True, may_be_empty=True),
    _text("checked_by", "checker", "M. Rowan", required=True, may_be_empty=True),
    _choice("units", "units", ("US", "SI"), "US", required=True),
    _choice("method", "design method", ("ASD", "LRFD"), "ASD", required=True),
    _choice("load_standard", "load standard", EDITIONS, "ASCE 7-16", required=True),
    _text("building_code", "building code", "IRC 2018", required=True),
    _choice("other_method", "whether the sheet shows what the other method gives", YES_NO, "yes"),
)

SURFACE = (
    _text("use", "use", "sleeping rooms"),
    _pressure("live", "floor live load", "q_L", "40 psf"),
    _pressure("snow", "snow load", "q_S", "30 psf"),
    _pressure("roof_live", "roof live load", "q_Lr", "20 psf"),
    Key("roof_area", "area of roof that one member carries", "quantity", "ft^2", "A_t", "320 ft^2",
        low=0.0, high=1e7),
    _pressure("ground_snow", "ground snow load of the map", "p_g", "40 psf"),
    Key("pitch", "rise over run of the roof", "pitch", symbol="m_r", example="6/12",
        low=0.0, high=3.0),
    _length("eave_to_ridge", "distance from eave to ridge on the level", "W", "14 ft",
            low=SHORTEST, high=LONGEST),
    _choice("terrain", "surface roughness", ("B", "C", "D"), "B"),
    _choice("exposure", "exposure of the roof",
            ("fully exposed", "partially exposed", "sheltered"), "partially exposed"),
    _choice("thermal", "warmth of the roof", THERMAL, "heated"),
    _choice("risk_category", "risk category", ("I", "II", "III", "IV"), "II"),
    _choice("slippery", "smooth roofing without obstacles", YES_NO, "no"),
)  # fmt: skip

LAYER = _pressure("layer", "dead load", "q_D", "4 psf", required=True)

DIRECTION = _choice("direction", "direction in plan", ("along", "across"), "along")
STANDS = _choice("stands", "part in the work", ("as found", "new", "removed"), "as found")
ACROSS = _length("across", "distance along the joists from their first support", "s", "4 ft 2 in",
                 low=-STRETCH)  # fmt: skip
AT = _length("at", "place along its support", "a", "7 ft 3 in", low=-STRETCH)
LIMITS = (
    Key("live_limit", "live-load deflection limit", "ratio", symbol="n_live", example="L/360",
        low=60, high=5000),
    Key("total_limit", "total-load deflection limit", "ratio", symbol="n_total",
        example="L/240", low=60, high=5000),
)  # fmt: skip
OVERHANGS = (
    _length("overhang_start", "overhang past the first support", "c_1", "2 ft",
            low=1 * inch, high=LONGEST),
    _length("overhang_end", "overhang past the last support", "c_2", "2 ft",
            low=1 * inch, high=LONGEST),
)  # fmt: skip
PITCH = Key("pitch", "rise over run of the roof", "pitch", symbol="m_r", example="6/12",
            low=0.0, high=3.0)  # fmt: skip

EXTENT = (
    _choice("along", "extent along the line", ("whole",), "whole"),
    _length("from", "start along the line", "a", "5 ft", low=-STRETCH),
    _length("to", "end along the line", "c", "13 ft 6 in", low=-STRETCH),
)

FIELD = (
    _text("surface", "surface that it carries", "bedroom_floor", required=True),
    Key("rests_on", "supports in order", "names", example='["beams.opening", "walls.east"]',
        required=True),
    _length("span", "span", "l", "13 ft 2 in", low=SHORTEST, high=LONGEST),
    _choice("over_supports", "joists over the inner supports", OVER_SUPPORTS, "simple"),
    *OVERHANGS,
    *EXTENT,
    SIZE,
    _length("width", "measured width", "b", "1 3/4 in", "in", low=0.5 * inch, high=60 * inch),
    _length("depth", "measured depth", "d", "9 1/2 in", "in", low=1 * inch, high=10 * ft),
    _length("spacing", "spacing", "s", "16 in", "in", required=True, low=1 * inch, high=10 * ft),
    _length("first_joist", "place of the first joist along the line", "a_1", "9 1/2 in",
            low=-STRETCH),
    SPECIES,
    GRADE,
    _choice("repetitive", "repetitive member", YES_NO, "yes"),
    _choice("moisture", "moisture in service", ("dry", "wet"), "dry"),
    _choice("temperature", "temperature in service", TEMPERATURES, "100 F or less"),
    _choice("built_in", "moisture when it was built in", ("green", "surfaced dry", "kiln dried"),
            "green"),
    *LIMITS,
    Key("held_down", "supports that hold it down", "names", example='["walls.east"]'),
    Key("does_not_bear_on", "walls beside which it runs without bearing", "names",
        example='["walls.kitchen"]'),
    _length("bearing", "bearing length of its ends", "l_b", "3 1/2 in", "in",
            low=0.25 * inch, high=10 * ft),
    _force("hanger_capacity", "listed capacity of its hangers", "P_h", "1200 lbf"),
    _text("hanger_report", "number of the evaluation report of its hangers", "ER-0000"),
)  # fmt: skip

JOISTS = (
    *FIELD,
    _text("ties", "rafters that it ties", "rafters.north"),
    _text("tie", "what ties the rafters where it is cut", "strap across the beam at each joist"),
)
RAFTERS = (*FIELD, PITCH)
TRUSSES = (
    *FIELD[:3],
    *OVERHANGS,
    *EXTENT,
    _length("spacing", "spacing", "s", "24 in", "in", required=True, low=1 * inch, high=10 * ft),
    Key("does_not_bear_on", "walls beside which it runs without bearing", "names",
        example='["walls.kitchen"]'),
)  # fmt: skip

SPAN = _length("span", "span", "l", "13 ft 2 in", low=SHORTEST, high=LONGEST)
CLEAR = _length("span", "clear span", "l_clear", "13 ft 6 in", required=True, low=SHORTEST,
                high=LONGEST)  # fmt: skip

WALL = (
    _pressure("weight", "weight of its face", "q_wall", "8 psf"),
    _length("height", "height", "h", "8 ft", high=LONGEST),
    _text("rests_on", "support", "beams.opening", required=True),
    ACROSS,
    *EXTENT,
    DIRECTION,
    STANDS,
    _choice("bracing", "part of the bracing of the house", ("yes", "no", "unknown"), "unknown"),
    _text("plate", "species of its top and bottom plates", "spruce-pine-fir"),
    _text("plate_grade", "grade of the plates", "No.1/No.2"),
    _text("size", "size of its studs", "2x4"),
    _length("width", "measured width of a stud", "b", "1 1/2 in", "in", low=0.5 * inch,
            high=60 * inch),
    _length("depth", "measured depth of a stud", "d", "3 1/2 in", "in", low=0.5 * inch,
            high=60 * inch),
    _length("spacing", "spacing of its studs", "s", "16 in", "in", low=1 * inch, high=10 * ft),
    SPECIES,
    replace(GRADE, example="Stud"),
    _choice("moisture", "moisture in service", ("dry", "wet"), "dry"),
    _length("braced_flatwise", "length between points that hold its studs flatwise", "l_2",
            "4 ft", low=1 * inch, high=LONGEST),
    _choice("held_flatwise", "its studs held flatwise throughout by sheathing", YES_NO, "no"),
    _length("plate_notch", "width cut out of its top plate for a pipe", "b_notch", "2 in", "in",
            low=0.1 * inch, high=24 * inch),
    _length("plate_width", "width of its top plate", "b_plate", "3 1/2 in", "in", low=1 * inch,
            high=24 * inch),
)  # fmt: skip

POINT = (
    _text("rests_on", "support", "beams.opening", required=True),
    _length("at", "position along the line", "a", "3 ft 6 in", low=-STRETCH, required=True),
    ACROSS,
    _force("dead", "dead load", "P_D", "250 lbf"),
    _force("live", "floor live load", "P_L", "400 lbf"),
    _force("snow", "snow load", "P_S", "310 lbf"),
    _force("roof_live", "roof live load", "P_Lr", "200 lbf"),
)

BEAM = (
    STANDS,
    _text("replaces", "wall whose place it takes", "walls.kitchen"),
    DIRECTION,
    _text("material", "material", "generic 2.0E-2900Fb LVL"),
    _text("glulam", "stress class or combination of glulam", "24F-1.8E"),
    Key("laminations", "number of laminations", "count", symbol="n_lam", example="8",
        low=2, high=60),
    SPECIES,
    GRADE,
    _text("report", "number of the evaluation report of a composite product", "ER-0000"),
    _stress("F_b", "reference bending value by the report", "2900 psi"),
    _stress("F_v", "reference shear value by the report", "285 psi"),
    _stress("F_c_perp", "reference value across the grain by the report", "750 psi"),
    _stress("E", "modulus of elasticity by the report", "2.0e6 psi"),
    Key("size_exponent", "exponent of the size rule by the report", "quantity", "", "e", "0.136",
        low=0, high=0.5),
    Key("plies", "number of plies", "count", symbol="n", example="3", required=True,
        low=1, high=8),
    SIZE,
    _length("ply_width", "measured width of a ply", "b_ply", "1 3/4 in", "in",
            low=0.5 * inch, high=60 * inch),
    _length("depth", "measured depth", "d", "9 1/2 in", "in", low=1 * inch, high=10 * ft),
    Key("density", "density", "quantity", "pcf", "gamma", "42 pcf", low=2 * pcf, high=100 * pcf),
    _length("starts_at", "place of the inner face of its first support", "a_0", "0 ft",
            required=True, low=-STRETCH),
    *OVERHANGS,
    _choice("setting", "setting to the joists",
            ("dropped", "flush"), "dropped", required=True),
    _text("ply_nail", "nails between its plies, by their trade name", "16d common"),
    _length("ply_nail_spacing", "spacing of the nails between its plies along a row", "s_nail",
            "12 in", "in", low=0.5 * inch, high=10 * ft),
    Key("ply_nail_rows", "rows of nails between its plies", "count", symbol="n_rows", example="2",
        low=1, high=12),
    Key("specific_gravity", "specific gravity for nails", "quantity", "", "G", "0.50",
        low=0.3, high=0.75),
    _choice("shear_near_supports", "loads within a depth of its supports, in shear",
            ("counted", "left out"), "counted"),
    _choice("plates", "top plates of the wall in its line", ("cut", "run through"), "cut"),
    _force("plate_tie_force", "force that ties the cut plates, by design", "T_tie", "1500 lbf"),
    _length("live_sag", "greatest deflection under live load", "Delta_max", "1/4 in", "in",
            low=0.01 * inch, high=12 * inch),
    _choice("live_reduction", "kind of member for the reduction of live load", ELEMENTS,
            "interior beam"),
    Key("live_area", "floor area that it carries, for the reduction of live load", "quantity",
        "ft^2", "A_T", "320 ft^2", low=0.0, high=1e7),
    Key("live_floors", "number of floors of that area", "count", symbol="n_floors", example="1",
        low=1, high=10),
    _choice("moisture", "moisture in service", ("dry", "wet"), "dry", required=True),
    _choice("temperature", "temperature in service", TEMPERATURES, "100 F or less",
            required=True),
    _choice("incised", "incised for treatment", YES_NO, "no"),
    _choice("repetitive", "repetitive member", YES_NO, "no"),
    _length("unbraced_top", "unbraced length of the top edge", "l_u", "16 in", required=True),
    _length("unbraced_bottom", "unbraced length of the bottom edge", "l_u", "13 ft 6 in"),
    Key("live_limit", "live-load deflection limit", "ratio", symbol="n_live", example="L/360",
        required=True, low=60, high=5000),
    Key("total_limit", "total-load deflection limit", "ratio", symbol="n_total",
        example="L/240", required=True, low=60, high=5000),
    _choice("dead_load_rule", "dead load in the total deflection", DEAD_LOAD_RULES, "NDS 3.5.2",
            required=True),
)  # fmt: skip

# What lies between the end of a member and what carries it.
BLOCKING = (
    _choice("blocking", "blocking below it: vertical squash blocks, or lumber laid flat",
            ("vertical", "flat"), "vertical"),
    _text("blocking_size", "size of a block", "2x4"),
    Key("blocking_count", "number of blocks side by side", "count", symbol="n_blk", example="2",
        low=1, high=12),
    _length("blocking_height", "height of the blocking", "h_blk", "9 1/4 in", "in",
            low=0.5 * inch, high=10 * ft),
    _text("blocking_species", "species of the blocking", "Douglas fir-larch"),
    _text("blocking_grade", "grade of the blocking", "No.2"),
    _choice("blocking_built_in", "moisture of flat blocking when it was built in",
            ("green", "surfaced dry", "kiln dried"), "surfaced dry"),
)  # fmt: skip

SUPPORT = (
    _text("on", "what it bears on", "posts.west", required=True),
    AT,
    _length("bearing", "bearing length", "l_b", "3 1/2 in", "in", required=True,
            low=0.25 * inch, high=10 * ft),
    _length("width", "width of what it bears on, across the beam", "b_s", "3 1/2 in", "in",
            low=0.5 * inch, high=10 * ft),
    _length("gap", "fitting gap that may all be at this end", "g", "1/2 in", "in", high=24 * inch),
    _text("plate", "species of the plate or cap it bears on", "spruce-pine-fir"),
    _text("plate_grade", "grade of the plate", "No.1/No.2"),
    *BLOCKING,
    _length("metal_plate_length", "length of a metal bearing plate along the beam", "l_mp",
            "6 in", "in", low=0.5 * inch, high=10 * ft),
    _length("metal_plate_width", "width of a metal bearing plate across the beam", "b_mp",
            "5 1/4 in", "in", low=0.5 * inch, high=10 * ft),
    _choice("seat", "concrete or masonry of its pocket", ("concrete", "masonry"), "concrete"),
    Key("concrete", "compressive strength of that concrete", "quantity", "psi", "f_c_prime",
        "2500 psi", low=500, high=20000),
    _length("notch_depth", "depth of the notch over it", "a", "1 1/2 in", "in", high=24 * inch),
    _length("notch_length", "length of the notch past its inner face", "e", "1 in", "in",
            high=10 * ft),
    _choice("notch_face", "face that is notched", ("tension", "compression"), "tension"),
)  # fmt: skip

POST = (
    STANDS,
    SIZE,
    _length("width", "measured width", "b", "3 1/2 in", "in", low=0.5 * inch, high=60 * inch),
    _length("depth", "measured depth", "d", "5 1/2 in", "in", low=0.5 * inch, high=60 * inch),
    replace(SPECIES, required=True),
    replace(GRADE, required=True, example="No.1"),
    _length("height", "height", "h", "7 ft 1 in", required=True, low=SHORTEST, high=LONGEST),
    _text("rests_on", "support", "ground", required=True),
    AT,
    ACROSS,
    _choice("moisture", "moisture in service", ("dry", "wet"), "dry"),
    _choice("temperature", "temperature in service", TEMPERATURES, "100 F or less"),
    _choice("incised", "incised for treatment", YES_NO, "no"),
    _length("braced_edgewise", "length between points held edgewise", "l_1", "7 ft 1 in",
            low=1 * inch, high=LONGEST),
    _length("braced_flatwise", "length between points held flatwise", "l_2", "3 ft 6 in",
            low=1 * inch, high=LONGEST),
    _choice("held_flatwise", "held flatwise throughout by sheathing", YES_NO, "no"),
    _length("eccentricity", "eccentricity of its load along its depth", "e_1", "7/8 in", "in",
            high=24 * inch),
    _choice("cap_plate", "metal plate between its ends and what they meet", YES_NO, "no"),
    _text("plate", "species of the plate that it stands on", "spruce-pine-fir"),
    _text("plate_grade", "grade of the plate", "No.1/No.2"),
    *BLOCKING,
    Key("plies", "number of plies of a pack", "count", symbol="n", example="3", low=1, high=6),
    _length("nail_diameter", "diameter of the nails", "D", "0.162 in", "in",
            low=0.05 * inch, high=1 * inch),
    _length("nail_length", "length of the nails", "L_nail", "4 1/2 in", "in",
            low=0.5 * inch, high=12 * inch),
    _length("nail_end", "distance of nails to the end", "a_end", "2 1/2 in", "in", high=LONGEST),
    _length("nail_spacing", "spacing of nails along a row", "s_nail", "8 in", "in", high=LONGEST),
    _length("nail_edge", "distance of nails to the edge", "a_edge", "1 1/2 in", "in",
            high=24 * inch),
    Key("nail_rows", "number of rows of nails", "count", symbol="n_rows", example="2",
        low=1, high=6),
    _length("nail_rows_apart", "distance between rows of nails", "a_rows", "2 1/2 in", "in",
            high=24 * inch),
    _choice("nail_faces", "faces from which adjacent nails are driven", ("opposite", "one"),
            "opposite"),
    _choice("nail_staggered", "whether nails are staggered", YES_NO, "yes"),
)  # fmt: skip

FOOTING = (
    STANDS,
    _length("length", "length in plan", "L", "24 in", "in", required=True,
            low=1 * inch, high=STRETCH),
    _length("width", "width in plan", "B", "24 in", "in", required=True,
            low=1 * inch, high=50 * ft),
    _length("thickness", "thickness", "h", "10 in", "in", required=True,
            low=1 * inch, high=10 * ft),
    _text("rests_on", "support", "ground", required=True),
    _text("soil", "soil below, as the code's table names it", "sandy gravel and gravel"),
    Key("bearing_value", "bearing value of the soil", "quantity", "psf", "q_a", "2000 psf",
        low=100 * psf, high=50000 * psf),
    _choice("bearing_is", "whether the bearing value is gross or net", ("gross", "net"), "gross"),
    Key("concrete", "compressive strength of the concrete", "quantity", "psi", "f_c_prime",
        "2500 psi", low=500, high=20000),
    _choice("stem", "foundation wall on it", ("concrete", "masonry"), "concrete"),
    _length("stem_width", "thickness of that wall", "c_wall", "8 in", "in", low=1 * inch,
            high=10 * ft),
    _length("stem_height", "height of that wall", "h_wall", "7 ft", low=1 * inch, high=LONGEST),
)  # fmt: skip

SLAB = (
    STANDS,
    _length("thickness", "thickness", "h", "3 1/2 in", "in", required=True,
            low=1 * inch, high=10 * ft),
    _text("rests_on", "support", "ground", required=True),
)  # fmt: skip

WORK = (
    _text("beam", "beam that the work puts in", "beams.opening", required=True),
    _choice("order", "what is set first", ("posts first", "beam first"), "posts first",
            required=True),
    _choice("duty", "people and material on the floors during the work",
            ("very light duty", "light duty", "medium duty"), "light duty", required=True),
    Key("days", "days for which the shores stand", "count", symbol="n_days", example="10",
        low=1, high=3650),
    Key("year_built", "year in which the house was built", "count", symbol="n_year",
        example="1955", low=1600, high=2200),
    _choice("wall_above", "what carries what stands over the wall while it is out",
            ("joist tips", "joists", "needles"), "needles"),
    _text("needle_size", "size of the needles", "4x8"),
    Key("needle_species", "species of the needles", "text", example="Douglas fir-larch"),
    Key("needle_grade", "grade of the needles", "text", example="No.2"),
    _length("needle_spacing", "spacing of the needles along the wall", "s_needle", "4 ft", "in",
            low=1 * inch, high=20 * ft),
    _length("subfloor", "thickness of the subfloor", "t_floor", "3/4 in", "in", high=12 * inch),
    _length("drop", "how far the beam's bottom lies below the joists'", "c_drop", "0 in", "in",
            low=-24 * inch, high=24 * inch),
    _length("offset", "from the middle of the wall to that of the beam", "e", "0 in", "in",
            low=-24 * inch, high=24 * inch),
    _length("room_beside", "room on each side of the beam", "g_side", "1/8 in", "in",
            high=6 * inch),
    _length("studs_above_width", "width of the studs of the wall above", "b_wall", "3 1/2 in",
            "in", low=0.5 * inch, high=24 * inch),
    _length("studs_above", "length of the studs of the wall above", "l_stud", "7 ft 8 5/8 in",
            low=1 * inch, high=40 * ft),
    _length("plate_above", "thickness of the bottom plate of the wall above", "t_old",
            "1 1/2 in", "in", high=6 * inch),
    _length("plate_on_beam", "thickness of the plate laid on the beam", "t_new", "1 1/2 in", "in",
            high=6 * inch),
    _choice("space_above", "what lies above the beam", ("a room", "an attic"), "a room"),
    _length("room_height", "from the finished floor to what the beam is set under", "h",
            "8 ft 1 in", low=3 * ft, high=40 * ft),
    _length("finish_below", "finish under the beam", "t_finish", "5/8 in", "in", high=12 * inch),
    _length("beam_length", "length to which the beam is cut", "L", "13 ft 11 1/2 in",
            low=1 * ft, high=LONGEST),
    _length("plate_width", "width of the wall's plate where the posts stand", "b_plate",
            "3 1/2 in", "in", low=0.5 * inch, high=24 * inch),
    _choice("swung_in", "beam swung in, one end first", YES_NO, "no"),
    _force("lift_capacity", "rated capacity of the lift", "P_lift", "800 lbf"),
    _text("lift_report", "where the rated capacity of the lift stands", "plate on the lift"),
)  # fmt: skip

SHORE = (
    _text("toward", "bearing of the joists toward which it stands", "walls.south", required=True),
    _length("distance", "from the wall's line to the middle of the shore", "a", "2 ft",
            required=True, low=1 * inch, high=40 * ft),
    SIZE,
    replace(SPECIES, required=True),
    replace(GRADE, required=True, example="Stud"),
    _length("height", "length of its studs", "l", "7 ft 8 in", required=True,
            low=1 * ft, high=40 * ft),
    _length("stud_spacing", "spacing of its studs, when not one under every joist", "s_stud",
            "24 in", "in", low=1 * inch, high=10 * ft),
    _text("plate_size", "size of its plates", "2x4", required=True),
    _text("plate", "species of its plates", "spruce-pine-fir", required=True),
    _text("plate_grade", "grade of its plates", "No.1/No.2", required=True),
    Key("top_plates", "number of its top plates", "count", symbol="n_top", example="2",
        required=True, low=1, high=4),
    Key("sills", "number of its sill plates", "count", symbol="n_sill", example="1",
        required=True, low=1, high=4),
    Key("brace_rows", "rows of braces between its studs", "count", symbol="n_br", example="1",
        required=True, low=0, high=6),
    _length("diagonal_run", "run of the diagonal that anchors its braces", "r_diag", "7 ft",
            low=1 * inch, high=100 * ft),
    _text("diagonal_nail", "nails of the diagonal, by their trade name", "16d common"),
    Key("diagonal_nails", "nails at each end of the diagonal", "count", symbol="n_diag",
        example="4", low=1, high=60),
    _text("stands_on", "what it stands on", "joists.main_floor", required=True),
    _choice("below", "how it lies on the joists below",
            ("across the joists", "along a joist"), "across the joists"),
    _length("across", "distance along the joists below from their first support", "s",
            "9 ft 9 in", low=-STRETCH),
)  # fmt: skip

CARRIED_DOWN = (
    SIZE,
    replace(SPECIES, required=True),
    replace(GRADE, required=True, example="No.2"),
    Key("count", "number of posts below the shore", "count", symbol="n_posts", example="3",
        required=True, low=1, high=40),
    _length("height", "length of the posts", "l", "6 ft 6 in", required=True, low=1 * ft,
            high=40 * ft),
    _length("pad_width", "width of the pad under each", "b_pad", "16 in", "in", required=True,
            low=1 * inch, high=20 * ft),
    _length("pad_length", "length of the pad under each", "l_pad", "16 in", "in", required=True,
            low=1 * inch, high=20 * ft),
    _text("soil", "soil below, as the code's table names it", "sandy gravel and gravel"),
)  # fmt: skip

HAND_LIFT = (
    Key("people", "people who lift together", "count", symbol="n", example="4", required=True,
        low=1, high=40),
    _length("reach", "from the ankles to the hands on the level", "H", "12 in", "in",
            required=True, low=1 * inch, high=6 * ft),
    _length("from_height", "height of the hands at the start", "V_1", "2 ft 6 in", "in",
            required=True, high=10 * ft),
    _length("to_height", "height of the hands at the end", "V_2", "4 ft", "in", required=True,
            high=12 * ft),
    Key("turn", "degrees by which the trunk is turned", "count", symbol="A", example="0",
        required=True, low=0, high=180),
    Key("lifts_an_hour", "lifts in an hour", "count", symbol="n_hour", example="6",
        required=True, low=1, high=900),
    _choice("grip", "grip of the hands", ("good", "fair", "poor"), "poor", required=True),
    _choice("lasts", "for how long they lift", ("short", "moderate", "long"), "short",
            required=True),
    _choice("what", "what they lift", ("a ply", "the whole beam"), "a ply", required=True),
)  # fmt: skip

CORNER = (
    _length("way", "clear width of the way before the corner", "a", "3 ft 2 in", required=True,
            low=1 * ft, high=100 * ft),
    _length("next_way", "clear width of the way after the corner", "b", "3 ft", required=True,
            low=1 * ft, high=100 * ft),
    _length("headroom", "headroom at the corner", "h", "7 ft 8 in", required=True, low=3 * ft,
            high=40 * ft),
)  # fmt: skip
CLEAR_LENGTH = _length("clear", "clear length at the beam's place", "l_clear", "13 ft 11 in",
                       low=1 * ft, high=LONGEST)  # fmt: skip
SOFFIT = _length("soffits", "floor to joist bottom", "h_soffit", "8 ft 1 in", low=1 * ft,
                 high=40 * ft)  # fmt: skip

STUD_HEIGHT = _length("heights", "floor to joist bottom at a stud", "h_stud", "8 ft 1 in",
                      low=1 * ft, high=40 * ft)  # fmt: skip

CONNECTIONS = ("post cap", "post base", "end brace", "plate tie", "notch tie")

CONNECTION = (
    _choice("kind", "kind of connection", CONNECTIONS, "post cap", required=True),
    Key("joins", "members that it joins", "names", example='["beams.opening", "posts.west"]',
        required=True),
    _text("detail", "what it is, in words", "cap with sides on both faces of the beam"),
    Key("capacity", "listed capacity", "quantity", "lbf", "P_list", "9000 lbf", low=1, high=1e6),
    Key("uplift", "listed capacity against uplift", "quantity", "lbf", "P_up", "900 lbf",
        low=1, high=1e6),
    _text("report", "number of the evaluation report", "ER-0000"),
    _length("thickness", "thickness of a tie at a notch", "t_tie", "0.054 in", "in",
            low=0.01 * inch, high=1 * inch),
    _length("width", "width of a tie at a notch", "b_tie", "1 1/2 in", "in", low=0.25 * inch,
            high=24 * inch),
    Key("nails", "number of nails of a tie at each side", "count", symbol="n_nails", example="8",
        low=1, high=100),
)  # fmt: skip
REVISION = (
    Key("date", "date", "date", example="2026-10-12", required=True),
    _text("what", "what changed", "first issue", required=True),
    _text("mark", "revision as the title block has it", "A"),
)
PERMIT = (_text("where", "place of the document", "drawing A-1 of the designer", required=True),)
# What a permit office asks for, by the names that a job file gives.
PERMIT_SET = {
    "plans_as_found": "Plans as found",
    "plans_proposed": "Plans as proposed",
    "section": "Section through the opening",
    "details": "Details of bearings, hangers and connections",
    "shoring_plan": "Shoring plan",
    "design_criteria": "Design criteria",
    "materials": "Materials, with their evaluation reports",
    "inspections": "Inspections",
    "responsible": "Who is responsible",
}

SECTIONS: dict[str, tuple[Key, ...]] = {
    "surfaces": SURFACE,
    "joists": JOISTS,
    "rafters": RAFTERS,
    "trusses": TRUSSES,
    "walls": WALL,
    "points": POINT,
    "beams": BEAM,
    "posts": POST,
    "footings": FOOTING,
    "slabs": SLAB,
    "work": WORK,
    "connections": CONNECTION,
    "revisions": REVISION,
    "permit": PERMIT,
}
# They say nothing of the house: no basis, no source.
RECORDS = (JOB, REVISION, PERMIT)

# The tables inside a section: one number for each name, or a section for each name.
INSIDE: dict[str, dict[str, Content]] = {
    "surfaces": {"layers": LAYER},
    "joists": {"spans": SPAN},
    "rafters": {"spans": SPAN},
    "trusses": {"spans": SPAN},
    "beams": {"spans": CLEAR, "supports": SUPPORT},
    "work": {
        "shores": SHORE,
        "carried_down": CARRIED_DOWN,
        "hand_lifts": HAND_LIFT,
        "corners": CORNER,
        "clear": CLEAR_LENGTH,
        "soffits": SOFFIT,
        "heights": STUD_HEIGHT,
    },
}
# Tables of sections that a section may do without.
MAY_BE_MISSING = ("shores", "carried_down", "hand_lifts", "corners")

COMMON = ("basis", "source", "note")
GROUND = "ground"

_NOUNS = {
    "walls": "wall", "points": "load", "beams": "beam", "posts": "post", "surfaces": "",
    "footings": "footing", "slabs": "slab", "work": "work", "connections": "connection",
}  # fmt: skip


def called(path: str) -> str:
    """Return what people call a section.

    Parameters
    ----------
    path : str
        Kind and name.

    Returns
    -------
    str

    Examples
    --------
    >>> called("joists.east"), called("beams.opening"), called("surfaces.bedroom_floor")
    ('east joists', 'opening beam', 'bedroom floor')
    >>> called("beams.main_beam")
    'main beam'
    """
    kind, _, name = path.partition(".")
    noun, name = _NOUNS.get(kind, kind), name.replace("_", " ")
    return name if name.endswith(noun) else f"{name} {noun}"
