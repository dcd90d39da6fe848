"""Wood by species and grade or by class: its reference design values as traced values."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from math import inf, isfinite
from typing import Any

from calclib import published
from calclib.errors import InputError, RangeError, message
from calclib.published import Row
from calclib.published.lumber import LEAST_THICKNESS, SLACK, TIMBER_THICKNESS, Candidates
from calclib.timber.leaves import FROM_MEMORY, code_leaf, place, table_leaf
from calclib.timber.size import composite_size_factor, post_limit, timber_size_factor
from calclib.trace import Value, band, formula, leaf, pick, positive, step, where
from calclib.units import feet_inches, inch, show

SAWN, COMPOSITE = "nds-2018-4-3-1", "nds-2018-8-3-1"
DIMENSION_LUMBER, TIMBERS = "dimension lumber", "timbers"
SOUTHERN_PINE_TIMBERS = "southern pine timbers"
COMPOSITE_LUMBER = "structural composite lumber"

# Symbol, column of the tables, words.
PROPERTIES = (
    ("F_b", "Fb_psi", "bending value"),
    ("F_t", "Ft_psi", "tension value"),
    ("F_v", "Fv_psi", "shear value"),
    ("F_c_perp", "Fc_perp_psi", "compression value across the grain"),
    ("F_c", "Fc_psi", "compression value along the grain"),
    ("E", "E_psi", "modulus of elasticity"),
    ("E_min", "E_min_psi", "modulus of elasticity for stability"),
)
THICKNESS = {
    DIMENSION_LUMBER: (LEAST_THICKNESS, TIMBER_THICKNESS),
    TIMBERS: (TIMBER_THICKNESS, inf),
}
FOUR_INCH = 3.5


@dataclass(frozen=True, eq=False, repr=False)
class Material:
    """A wood and its reference design values, for pieces of one size.

    Attributes
    ----------
    name : str
        As messages and sheets say it.
    kind : str
        "dimension lumber", "timbers", "southern pine timbers" or "structural composite lumber".
    table : str
        Where the values are published.
    applies : str
        Name of the table that says which factors apply.
    b, d : Value [in]
        Breadth and depth of one piece (one ply), held within the sizes for which the rows of the
        tables were chosen.
    F_b, F_t, F_v, F_c_perp, F_c, E, E_min : Value [psi]
        Reference design values; F_t and F_c may be None for composite lumber by user values.
    G : Value or None
        Specific gravity, for sawn lumber: of its weight.
    C_F, C_V : Value or None
        Factor for size: C_F of sawn lumber, C_V of composite lumber.
    questions : tuple of str
        What keeps each check of this material open.
    notes : tuple of str
    """

    name: str
    kind: str
    table: str
    applies: str
    b: Any
    d: Any
    F_b: Any
    F_t: Any
    F_v: Any
    F_c_perp: Any
    F_c: Any
    E: Any
    E_min: Any
    G: Any = None
    C_F: Any = None
    C_V: Any = None
    questions: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()


def _held_sentence(arguments: Any, results: Any, case: int | None) -> str:
    b, d = (feet_inches(float(number)) for number in results)
    return f"A piece {b} by {d}: {arguments[2]}, load on the narrow face."


@step(
    "the size within its class",
    lambda b, d, *rest: [(b.symbol, b.unit), (d.symbol, d.unit)],
    sentence=_held_sentence,
)
def held_in_class(
    b: Any, d: Any, kind: str, narrowest: Any = None, widest: Any = None
) -> tuple[Any, Any]:
    """Return breadth and depth of a piece, refused when its tables do not reach there.

    Parameters
    ----------
    b, d : float or array [in]
        Breadth and depth of one piece.
    kind : str
        Class for which the rows were chosen.
    narrowest, widest : float or None [in]
        Least and greatest depth that the tables hold.

    Raises
    ------
    RangeError
        When the thickness leaves its class, the piece lies flat or is deeper than the tables go.
    """
    import numpy as np

    low, high = THICKNESS.get(kind, (0.0, inf))
    thinnest, thickest = float(np.min(b)), float(np.max(b))
    if thinnest < low - SLACK or thickest >= high - SLACK:
        wrong = thinnest if thinnest < low - SLACK else thickest
        limits = f"from {low:g} in" + (f" to under {high:g} in" if isfinite(high) else "")
        raise RangeError(message(kind, f"a thickness {limits}", show(wrong, "in")))
    if not bool(np.all(d >= b - SLACK)):
        raise RangeError(
            f"{kind}: needs a depth not less than its breadth of {show(thickest, 'in')}, got "
            f"{show(float(np.min(d)), 'in')}. Turn the piece: bending on the flat is not covered."
        )
    if narrowest is not None and float(np.min(d)) < narrowest:
        got = show(float(np.min(d)), "in")
        raise RangeError(message(kind, f"a depth from {show(narrowest, 'in')} in its grade", got))
    if widest is not None and float(np.max(d)) > widest:
        got = show(float(np.max(d)), "in")
        raise RangeError(message(kind, f"a depth up to {show(widest, 'in')} in its grade", got))
    return b, d


@cache
def _bound(row: Row, column: str, bound: float) -> Value:
    # A size that came through millimeters must not fall out of its row by the last bit.
    return leaf(
        bound * inch + SLACK,
        "in",
        "d_max",
        f"{place(row)}/{column}",
        title=f"greatest depth of the row {row.key[-1]}",
        basis="published",
        source=row.printed,
        verified=row.status == "verified",
        note="a millionth of an inch over it counts as on it",
    )


def _bounds(candidates: Candidates, column: str) -> list[Value]:
    """Return the greatest depth of each row but the last."""
    pairs = zip(candidates.bounds[:-1], candidates.rows, strict=False)
    return [_bound(row, column, bound) for bound, row in pairs]


def _row_at(d: Value, candidates: Candidates, column: str) -> Any:
    """Return the index of the row for a depth, or None when there is but one."""
    bounds = _bounds(candidates, column)
    return band(d, *bounds) if bounds else None


def _chosen(index: Any, leaves: Sequence[Value]) -> Value:
    return leaves[0] if index is None else pick(index, *leaves)


def sawn(species: str, grade: str, b: Value, d: Value) -> Material:
    """Return sawn lumber by species, grade and size of one piece.

    The rows of the tables are chosen by the traced depth, so that a break-point on a measured
    size goes through the tables; a size need not be a stock size.

    Parameters
    ----------
    species, grade : str
        As people write them: "Douglas fir-larch" or "DF-L", "No.2" or "#2".
    b, d : Value [in]
        Breadth and depth of one piece (one ply), set on edge.

    Returns
    -------
    Material

    Raises
    ------
    LookupMiss
        When the tables hold no such species, grade or thickness; the message names what is near.
    RangeError
        When the depth is less than the breadth or more than the grade's tables hold.

    Notes
    -----
    Valid for: NDS Supplement 2018 tables 4A, 4B and 4D, as far as `calclib.published` holds them.
    Differs from the source: see `calclib.published.size_rows`.
    """
    thickness = b.at()
    candidates = published.size_rows(species, grade, thickness)
    timbers = thickness >= TIMBER_THICKNESS - SLACK
    first = candidates.rows[0]
    last = candidates.bounds[-1]
    widest = _bound(candidates.rows[-1], "widest", last) if isfinite(last) else None
    least = first.values.get("width_min_in")
    narrowest = _bound(first, "narrowest", least - 2 * SLACK) if isinstance(least, float) else None
    b, d = held_in_class(b, d, TIMBERS if timbers else DIMENSION_LUMBER, narrowest, widest)
    if timbers:
        index = band(d, post_limit(b)) if len(candidates.rows) > 1 else None
        C_F = timber_size_factor(d)
    else:
        index = _row_at(d, candidates, "width_max")
        C_F = _size_factor(species, grade, b, d)
    kind = _timber_kind(first) if timbers else DIMENSION_LUMBER
    name = f"{first.text('species')} {first.text('grade')}"

    def value(symbol: str, column: str, words: str, unit: str = "psi") -> Value:
        leaves = [
            table_leaf(row, column, symbol, f"{words}, {', '.join(row.key)}", unit)
            for row in candidates.rows
        ]
        return _chosen(index, leaves)

    G = value("G", "G", "specific gravity", "")
    values: dict[str, Any] = {
        symbol: value(symbol, column, words) for symbol, column, words in PROPERTIES
    }
    return Material(name, kind, first.printed, SAWN, b, d, **values, G=G, C_F=C_F)


def _timber_kind(row: Row) -> str:
    wet = published.rows("nds-2018-wet-service")
    own = f"{row.text('species')} timbers"
    return own if any(line.text("product") == own for line in wet) else TIMBERS


def _size_row_sentence(arguments: Any, results: Any, case: int | None) -> str:
    b, d = (feet_inches(float(size.at())) for size in arguments[:2])
    return f"The row of the size factor for a piece {b} by {d}."


@step(
    "the row of the size factor",
    ("i_row", ""),
    sentence=_size_row_sentence,
    relevant=lambda call: call.inputs[:2],
)
def size_factor_row(
    b: Any, d: Any, b_limit: Any, thin_bounds: Sequence[Any], thick_bounds: Sequence[Any]
) -> Any:
    """Return the index of the row by thickness and depth, thin rows first.

    Parameters
    ----------
    b, d : float or array [in]
        Breadth and depth of one piece.
    b_limit : float [in]
        Greatest thickness of the thin rows.
    thin_bounds, thick_bounds : sequence of float [in]
        Greatest depth of each row but the last, rising.
    """
    thin = band(d, *thin_bounds)
    thick = len(thin_bounds) + 1 + band(d, *thick_bounds)
    return where(b > b_limit, thick, thin)


def compression_size_factor(species: str, grade: str, b: Value, d: Value) -> Value:
    """Return C_F for F_c; 1 for timbers, whose size factor is on F_b only.

    Parameters
    ----------
    species, grade : str
        As for `sawn`.
    b, d : Value [in]
        Breadth and depth of one piece, the depth being the greater.

    Raises
    ------
    LookupMiss
        When the tables hold no such species, grade or thickness.
    """
    return _axial_size_factor(species, grade, b, d, "C_F_c", "F_c")


def tension_size_factor(species: str, grade: str, b: Value, d: Value) -> Value:
    """Return C_F for F_t; see `compression_size_factor`."""
    return _axial_size_factor(species, grade, b, d, "C_F_t", "F_t")


def _axial_size_factor(
    species: str, grade: str, b: Value, d: Value, column: str, words: str
) -> Value:
    if b.at() >= TIMBER_THICKNESS - SLACK:
        return code_leaf(
            1.0,
            "C_F",
            f"nds-2018-4d-size/{words}/C_F",
            f"size factor for {words}, timbers",
            "NDS Supplement 2018 Table 4D, size factor",
            "it is on F_b only",
        )
    return _size_factor(species, grade, b, d, column, words)


def _size_factor(
    species: str, grade: str, b: Value, d: Value, column: str = "C_F_b", words: str = "F_b"
) -> Value:
    """Return C_F by depth, and by thickness where the table tells 4 in apart."""
    thin = published.size_factor_rows(species, grade, LEAST_THICKNESS)
    thick = published.size_factor_rows(species, grade, FOUR_INCH)

    def leaves(candidates: Candidates) -> list[Value]:
        return [
            table_leaf(
                row,
                column,
                # One row holds several factors, and each leaf needs an id of its own.
                "C_F" if column == "C_F_b" else column,
                f"size factor for {words}, {row.text('thickness')} thick, "
                f"{row.text('width_class')}",
            )
            for row in candidates.rows
        ]

    if [id(row) for row in thin.rows] == [id(row) for row in thick.rows]:
        return _chosen(_row_at(d, thin, "d_max"), leaves(thin))
    limit = leaf(
        FOUR_INCH * inch - SLACK,
        "in",
        "b_max",
        f"{thin.rows[0].table}/4 in thick",
        title="thickness from which the rows of 4 in nominal hold",
        basis="published",
        source=thin.rows[0].printed,
    )
    bounds = [tuple(_bounds(candidates, "d_max")) for candidates in (thin, thick)]
    return pick(size_factor_row(b, d, limit, *bounds), *leaves(thin), *leaves(thick))  # type: ignore[no-any-return]


def composite(name: str, b: Value, d: Value) -> Material:
    """Return a generic class of structural composite lumber, load on the edge.

    Parameters
    ----------
    name : str
        Such as "2.0E-2900Fb LVL".
    b, d : Value [in]
        Breadth and depth of one ply.

    Returns
    -------
    Material
        Always with the question that its values be confirmed.

    Raises
    ------
    LookupMiss
        When no such class is listed; the message names what is near.
    RangeError
        When the depth is less than the breadth.

    Notes
    -----
    Valid for: dry service, load on the edge.
    Differs from the source: typical values of a class stand in place of those of a product.
    """
    row = published.composite(name)
    full = row.text("name")
    b, d = held_in_class(b, d, COMPOSITE_LUMBER)

    def value(symbol: str, column: str, words: str, unit: str = "psi") -> Value:
        return table_leaf(row, column, symbol, f"{words}, {full}", unit)

    exponent = value("e", "size_exponent", "exponent of the size rule", "")
    values: dict[str, Any] = {
        symbol: value(symbol, column, words) for symbol, column, words in PROPERTIES
    }
    return Material(
        full,
        COMPOSITE_LUMBER,
        row.printed,
        COMPOSITE,
        b,
        d,
        **values,
        C_V=composite_size_factor(d, exponent),
        questions=(
            f"{full[:1].upper()}{full[1:]}: typical values of a class. Confirm F_b, F_v, "
            "F_c perpendicular, E (true or apparent) and the size rule against the product's "
            "evaluation report.",
        ),
    )


@formula(
    "E_min",
    "psi",
    source="NDS 2018 Appendix D Eq. D-4",
    E="psi",
    COV_E="",
    k="",
    valid={"E": positive, "COV_E": (0.0, 0.5), "k": positive},
)
def stability_modulus(E, COV_E, k):  # type: ignore[no-untyped-def]
    """Modulus of elasticity for beam and column stability, from the mean one.

    Parameters
    ----------
    E : float or array [psi]
        Modulus of elasticity, the apparent one.
    COV_E : float or array [dimensionless]
        Its coefficient of variation: 0.25 for visually graded sawn lumber, 0.10 for composites.
    k : float or array [dimensionless]
        From apparent to pure bending: 1.03 for sawn lumber, 1.05 for composites and glulam.

    Returns
    -------
    float or array [psi]
        A value that all but one in twenty pieces exceed, over a factor of 1.66.

    Notes
    -----
    Valid for: E > 0, 0 <= COV_E <= 0.5, k > 0.
    Differs from the source: nothing.
    """
    return E * (1 - 1.645 * COV_E) * k / 1.66


def reported_composite(
    name: str,
    report: str,
    b: Value,
    d: Value,
    *,
    F_b: Value,
    F_v: Value,
    F_c_perp: Value,
    E: Value,
    size_exponent: Value,
    E_min: Value | None = None,
    F_t: Value | None = None,
    F_c: Value | None = None,
) -> Material:
    """Return composite lumber by the values of its product's evaluation report.

    Parameters
    ----------
    name : str
        What the job calls it.
    report : str
        Number of the evaluation report.
    b, d : Value [in]
        Breadth and depth of one ply.
    F_b, F_v, F_c_perp, E : Value [psi]
        Reference values for load on the edge.
    size_exponent : Value
        Exponent of the rule (12 in / d) to the power of it.
    E_min : Value, optional [psi]
        Computed from E by NDS Appendix D when the report does not give it.
    F_t, F_c : Value, optional [psi]

    Returns
    -------
    Material
        Without the question of `composite`, for the report is named.

    Raises
    ------
    InputError
        When no report is named.
    """
    if not report.strip():
        raise InputError(
            message(
                name,
                "the number of the evaluation report",
                "none",
                'Write it as report = "ER-0000".',
            )
        )
    b, d = held_in_class(b, d, COMPOSITE_LUMBER)
    if E_min is None:
        E_min = stability_modulus(E, *_composite_variation())
    return Material(
        name,
        COMPOSITE_LUMBER,
        f"evaluation report {report}",
        COMPOSITE,
        b,
        d,
        F_b,
        F_t,
        F_v,
        F_c_perp,
        F_c,
        E,
        E_min,
        C_V=composite_size_factor(d, size_exponent),
        notes=(
            f"Values by evaluation report {report}: see that it is in force and is the report "
            "of the product delivered.",
        ),
    )


@cache
def _composite_variation() -> tuple[Value, Value]:
    source = "NDS 2018 Appendix D, Appendix F"
    return (
        leaf(
            0.10,
            "",
            "COV_E",
            "NDS-D/COV_E/composite",
            verified=False,
            note=FROM_MEMORY,
            title="coefficient of variation of E, composite lumber",
            basis="published",
            source=source,
        ),
        leaf(
            1.05,
            "",
            "k",
            "NDS-D/k/composite",
            verified=False,
            note=FROM_MEMORY,
            title="from apparent E to that of pure bending, composite lumber",
            basis="published",
            source=source,
        ),
    )
