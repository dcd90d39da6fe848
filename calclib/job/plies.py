"""The nails that make the plies of a flush beam carry together what hangs on their outer faces."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from calclib import published
from calclib.fasteners.nails import (
    adjusted_nail_value,
    bearing_length_in_main,
    dowel_bearing_strength,
    lateral_value,
    nail_penetration,
    nail_size,
    nail_yield_strength,
    nails_used_up,
    passed_on_by_first_ply,
    reduction_term,
    six_diameters,
)
from calclib.job.bent import Bent, Design
from calclib.job.carry import Flow
from calclib.job.contents import Section
from calclib.job.lines import Inputs
from calclib.job.member import LoadRow, groups
from calclib.job.plan import orientations
from calclib.job.schema import called
from calclib.loads import case_set
from calclib.loads.combinations import SOURCE_NAMES
from calclib.timber.lrfd import format_conversion_factor, resistance_factor
from calclib.timber.materials import Material
from calclib.trace import Check, Condition, Value, check, leaf, step, utilization
from calclib.units import show


def _sentence(arguments: Any, results: Any, case: int | None) -> str:
    name, sources, sizes, factors = arguments
    parts = [
        f"{float(factor.at(case)):g} x {show(sum(w.at() for w in loads), 'plf')} "
        f"{SOURCE_NAMES[source]}"
        for source, loads, factor in zip(sources, sizes, factors, strict=True)
        if float(factor.at(case))
    ]
    total = show(float(results[0][case]), "plf")
    return f"Hung on one face of {name}: {' + '.join(parts)} = {total}."


@step("the line load hung on one face of a beam", [("w", "plf")], sentence=_sentence)
def _hung(
    name: str, sources: Sequence[str], sizes: Sequence[Sequence[Any]], factors: Sequence[Any]
) -> Any:
    """Return the sum of line loads in each load case."""
    return (sum(sum(loads) * factor for loads, factor in zip(sizes, factors, strict=True)),)


def rows_by_side(flow: Flow, path: str) -> dict[str, list[LoadRow]]:
    """Return what joists hang on each face of a beam; the fullest stretch stands for all."""
    ways = orientations(flow.house)
    sides: dict[str, list[LoadRow]] = {"below": [], "above": []}
    for row in flow.landed[path]:
        on = [s for s in flow.strips.get(row.origin, ()) if path in s.carriers]
        # Of a field with several spans, the row says which of them it comes from.
        own = [s for s in on if any(f"span {bay}" in row.name for bay in s.bay_names)] or on
        if own and row.size.unit == "plf" and not row.way:
            first = own[0].marks[:: ways[row.origin]].index(path) == 0
            sides["above" if first else "below"].append(row)
    return sides


def gravity_of(section: Section, material: Material, inputs: Inputs) -> Value | None:
    """Return the specific gravity for nails; None when it is not known."""
    given = inputs.get(f"{section.path}.specific_gravity")
    if given is not None:
        return given
    if material.G is not None:
        return material.G  # type: ignore[no-any-return]
    if "material" not in section.words or "report" in section.words:
        return None
    row = published.composite(section.words["material"])
    return leaf(
        row.number("G"), "", "G", f"{row.table}/{row.key[0]}/G",
        title=f"equivalent specific gravity for nails, {row.key[0]}", basis="published",
        source=row.printed, verified=False,
        note="typical of the class; confirm against the product's evaluation report",
    )  # fmt: skip


def ply_check(beam: Bent, flow: Flow, design: Design) -> Check | None:
    """Return the check of the nails between the plies of a flush beam; None for other beams.

    Parameters
    ----------
    beam : Bent
    flow : Flow
    design : Design

    Notes
    -----
    Valid for: plies nailed from one face through to the next, joists hung on one face or both.
    Differs from the source: each face is taken by itself, with the larger of the two.
    """
    section, inputs = beam.section, flow.house.inputs
    path, name = section.path, called(section.path)
    if not beam.piece.built_up or section.words["setting"] != "flush":
        return None
    sides = rows_by_side(flow, path)
    rows = max(sides.values(), key=lambda side: sum(row.size.at() for row in side))
    if not rows:
        return None
    id, title = beam.settings.id_of("ply_nails"), beam.settings.title("Nailing of the plies")
    clause = "NDS 2018 12.3, common practice of sharing"
    G = gravity_of(section, beam.piece.material, inputs)
    if "ply_nail" not in section.words or G is None:
        what = "the nails between its plies were" if "ply_nail" not in section.words else (
            "the specific gravity for nails was"
        )  # fmt: skip
        return check(
            id, title, clause, None, None,
            questions=(
                f"{name.capitalize()} has several plies and joists hung at their faces: {what} not "
                "entered, so it is open whether the plies carry together.",
            ),
        )  # fmt: skip
    switched = groups(tuple(rows), 1)
    cases = case_set(design.edition, switched, ("",), method=design.method)
    sources = tuple(group.source for group in cases.groups)
    sizes = tuple(tuple(row.size for row in rows if row.source == s) for s in sources)
    (w,) = _hung(name, sources, sizes, cases.factors)
    plies = inputs[f"{path}.plies"]
    b = beam.piece.material.b
    D, L = nail_size(section.words["ply_nail"])
    p = nail_penetration(L, b)
    F_e = dowel_bearing_strength(G)
    Z, _ = lateral_value(
        D, bearing_length_in_main(p, D), b, F_e, F_e, nail_yield_strength(D), reduction_term(D)
    )
    time = design.time_factor(cases)
    factors: tuple[Value, ...] = (time,)
    if design.method == "LRFD":
        factors = (
            format_conversion_factor("connections"),
            resistance_factor("connections"),
            time,
        )
    Z_prime = adjusted_nail_value(Z, *factors)
    passed = passed_on_by_first_ply(w, plies)
    used = nails_used_up(passed, Z_prime, inputs[f"{path}.ply_nail_spacing"])
    return check(
        id,
        title,
        clause,
        used,
        inputs[f"{path}.ply_nail_rows"],
        cases=cases.names,
        conditions=(
            Condition(
                "The nails reach at least six diameters into the next ply.",
                utilization(six_diameters(D), p),
                "NDS 2018 12.1.6.4",
            ),
        ),
        notes=(
            f"Demand is the number of nails needed at each station; capacity the rows of "
            f"{section.words['ply_nail']} nails. Each nail joins two plies: with three or more, "
            "nail from both faces.",
        ),
    )
