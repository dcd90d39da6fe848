"""Which stock sizes carry a beam of the job: every candidate at once, by the beam's own checks."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, fields, is_dataclass, replace
from typing import Any

from calclib import published
from calclib.errors import CalcError, InputError, message, quoted
from calclib.job.beam import (
    Axis,
    axis_of,
    below_of,
    distance_to_end,
    model_of,
    reduced_rows,
)
from calclib.job.bent import Design, design_of, limit_clause
from calclib.job.carry import Flow
from calclib.job.contents import Section
from calclib.job.lines import Inputs
from calclib.job.member import by_layouts, groups, solution
from calclib.job.seats import Below
from calclib.job.wood import product_of
from calclib.loads import case_set
from calclib.timber import checks as timber
from calclib.timber.beam import utilizations
from calclib.timber.bearing import contact_width, end_seat, inner_seat
from calclib.timber.deflection import dead_load_share
from calclib.timber.piece import stiffness
from calclib.timber.stability import braced_at
from calclib.trace import Check, Condition, Value, leaf, numbers

ORDERS = ("depth", "weight", "plies")
MOST_PLIES = 4
# Rows of the combinations' table that are solved at once: cases times candidates.
BLOCK = 4096


@dataclass(frozen=True)
class Candidate:
    """A stock section for a beam, and how it fares.

    Attributes
    ----------
    size : str
        As the trade writes it.
    plies : int
    breadth, depth : float [in]
    weight : float [lbf/in]
    utilization : float
        The largest of all checks, conditions included.
    governs : str
        Title of the check that it is of.
    """

    size: str
    plies: int
    breadth: float
    depth: float
    weight: float
    utilization: float
    governs: str

    @property
    def is_adequate(self) -> bool:
        """Whether no check of it fails; questions may still be open."""
        return self.utilization <= 1


def stock(section: Section) -> Iterator[tuple[str, int]]:
    """Yield the stock sizes of a beam's kind of wood, with numbers of plies.

    Parameters
    ----------
    section : Section
        A beam.
    """
    product = product_of(section)
    if product == "sawn":
        for row in published.rows("sawn-sizes"):
            nominal = row.text("nominal")
            if row.text("product") == "dimension lumber" and nominal.startswith(("2x", "4x")):
                for plies in range(1, MOST_PLIES + 1 if nominal.startswith("2x") else 2):
                    yield nominal, plies
            elif row.text("product") != "dimension lumber":
                yield nominal, 1
        return
    if product == "composite":
        widths = [row.number("width_in") for row in published.rows("composite-widths")]
        for row in published.rows("composite-depths"):
            for width in widths:
                for plies in range(1, MOST_PLIES + 1 if width < 2 else 2):
                    yield f"{_inches(width)} x {_inches(row.number('depth_in'))}", plies
        return
    for row in published.rows("glulam-widths"):
        for laminations in range(4, 21):
            depth = laminations * row.number("lamination_in")
            yield f"{_inches(row.number('width_in'))} x {_inches(depth)}", 1


def _inches(number: float) -> str:
    """Return inches as the trade writes a size: 1-3/4, 11-7/8, 12."""
    whole, part = divmod(round(number * 16), 16)
    if not part:
        return str(whole)
    base = 16
    while part % 2 == 0:
        part, base = part // 2, base // 2
    return f"{whole}-{part}/{base}" if whole else f"{part}/{base}"


def choose(flow: Flow, path: str, order: str = "depth") -> tuple[Candidate, ...]:
    """Return every stock size of a beam's wood with how it fares, the smallest first.

    Parameters
    ----------
    flow : Flow
        The house in one state.
    path : str
        A beam of it.
    order : str
        "depth", "weight" or "plies".

    Returns
    -------
    tuple of Candidate
        Those that do not carry it are among them.

    Raises
    ------
    InputError
        For a member that is no beam of the house, or another order.

    Notes
    -----
    Loads and supports stay as they are; own weight is each candidate's own. What the beam stands
    on is not checked again, nor whether the size fits the house.
    """
    section = flow.state.members.get(path)
    if section is None or section.kind != "beams":
        known = [p for p in flow.state.members if p.startswith("beams.")]
        do = f"Write one of: {', '.join(known)}."
        raise InputError(message("stock sizes", "a beam of the house", quoted(path), do))
    if order not in ORDERS:
        do = f"Write one of: {', '.join(ORDERS)}."
        raise InputError(message("stock sizes", "an order", quoted(order), do))
    axes = list(_axes(section, flow.house.inputs))
    alike: dict[tuple[Any, ...], list[tuple[str, int, Axis]]] = {}
    for size, plies, axis in axes:
        key = (plies > 1, _shape(numbers(axis.piece)))
        alike.setdefault(key, []).append((size, plies, axis))
    found = [candidate for group in alike.values() for candidate in _fared(flow, section, group)]
    first = {"depth": lambda c: c.depth, "weight": lambda c: c.weight, "plies": lambda c: c.plies}
    return tuple(sorted(found, key=lambda c: (first[order](c), c.weight, c.depth, c.plies, c.size)))


def _axes(section: Section, inputs: Inputs) -> Iterator[tuple[str, int, Axis]]:
    """Yield the beam in each stock size that the tables hold values for."""
    for size, plies in dict.fromkeys(stock(section)):
        words = {**section.words, "size": size}
        measured = {k: v for k, v in section.numbers.items() if k not in ("ply_width", "depth")}
        count = leaf(
            float(plies), "", "n", f"{section.path}.plies/{plies}", basis="chosen",
            title="number of plies",
        )  # fmt: skip
        given = {**inputs, f"{section.path}.plies": count}
        if plies < 3:
            words["repetitive"] = "no"
        try:
            yield size, plies, axis_of(replace(section, words=words, numbers=measured), given)
        except CalcError:
            # The tables hold no value for this wood in that size.
            continue


def _shape(x: Any) -> Any:
    """Return what must be the same for two members to go through one call as arrays."""
    if is_dataclass(x) and not isinstance(x, type):
        return tuple(_shape(getattr(x, f.name)) for f in fields(x) if f.name != "name")
    if isinstance(x, Mapping):
        return tuple((key, _shape(value)) for key, value in x.items())
    if isinstance(x, tuple):
        return tuple(map(_shape, x))
    return None if isinstance(x, float | int | str) and not isinstance(x, bool) else repr(x)


def stacked(items: Sequence[Any]) -> Any:
    """Return structures of one shape as one structure of arrays.

    Parameters
    ----------
    items : sequence
        Plain numbers in dataclasses, mappings and tuples; what is no number is taken of the
        first.

    Returns
    -------
    Any
        The same structure; each number an array of shape [1, item].
    """
    import numpy as np

    first = items[0]
    if is_dataclass(first) and not isinstance(first, type):
        parts = {f.name: stacked([getattr(item, f.name) for item in items]) for f in fields(first)}
        return replace(first, **parts)
    if isinstance(first, Mapping):
        return {key: stacked([item[key] for item in items]) for key in first}
    if isinstance(first, tuple):
        return tuple(stacked(list(group)) for group in zip(*items, strict=True))
    if isinstance(first, bool) or not isinstance(first, float | int | np.number):
        return first
    # Cases come first, so that what depends on none of them is told apart from them.
    return np.array(items, dtype=float)[None]


def _fared(
    flow: Flow, section: Section, group: Sequence[tuple[str, int, Axis]]
) -> Iterator[Candidate]:
    import numpy as np

    house, design = flow.house, design_of(flow.house.job)
    axis = group[0][2]
    rows = reduced_rows(section, flow.landed[section.path], house.inputs)
    model = model_of(axis, rows, house.inputs)
    plain = numbers(model)
    own = [row.own for row in plain.rows]
    unit = replace(
        plain,
        EI=1.0,
        rows=tuple(
            replace(row, size=1.0) if is_own else row
            for row, is_own in zip(plain.rows, own, strict=True)
        ),
    )
    solved = solution.run(unit)
    weights = np.array([each.weight.at() for _, _, each in group])
    switched = groups(model.rows, len(axis.bays))
    share = dead_load_share(section.words["dead_load_rule"], axis.piece.service.moisture)

    def table(**given: Any) -> tuple[Any, Any]:
        cases = by_layouts(model, case_set(design.edition, switched, model.span_names, **given))
        # [case, candidate, group]: own weight by each candidate's, all else as it is.
        factors = np.stack([factor.number for factor in cases.factors], axis=-1)
        scale = np.stack(
            [weights if g.name == "self" else np.ones_like(weights) for g in cases.groups], axis=-1
        )
        return cases, factors[:, None, :] * scale

    piece = stacked([numbers(design.piece(each.piece)) for _, _, each in group])
    hogging = (
        stacked([numbers(design.piece(each.hogging or each.piece)) for _, _, each in group])
        if axis.hogging is not None
        else piece
    )
    effects = _Effects(solved, table, section, axis, model.span_names)
    under = [
        below_of(axis, seat, house.inputs, flow.state.members, house.axes, design)
        for seat in section.seats()
    ]
    made = list(_checks(section, axis, piece, hogging, effects, design, house.inputs, share, under))
    by_check = utilizations(made)
    every = np.stack([np.broadcast_to(u, weights.shape) for u in by_check])
    worst = every.argmax(axis=0)
    for place, (size, plies, each) in enumerate(group):
        number = worst[place]
        yield Candidate(
            size,
            plies,
            each.piece.b.at(),
            each.piece.d.at(),
            float(weights[place]),
            float(every[number, place]),
            made[number].title,
        )


@dataclass(frozen=True, eq=False)
class _Effects:
    """The effects of the loads on all candidates, solved in blocks."""

    solved: Any
    table: Any
    section: Section
    axis: Axis
    span_names: Sequence[str]

    def of(self, read: Any, **given: Any) -> tuple[Any, Any]:
        """Return the cases, and what is read of the curves as an array [..., case, candidate]."""
        import numpy as np

        cases, factors = self.table(**given)
        rows = factors.reshape(-1, factors.shape[-1])
        parts = [
            read(self.solved.combine(rows[start : start + BLOCK]))
            for start in range(0, len(rows), BLOCK)
        ]
        whole = np.concatenate(parts, axis=-1)
        return cases, whole.reshape(*whole.shape[:-1], *factors.shape[:2])


def _checks(
    section: Section,
    axis: Axis,
    piece: Any,
    hogging: Any,
    effects: _Effects,
    design: Design,
    inputs: Inputs,
    share: Value,
    under: Sequence[Below],
) -> Iterator[Check]:
    import numpy as np

    path = section.path

    def strength(curves: Any) -> Any:
        moment, shear = curves.moment_extremes.of_member, curves.shear_extremes.of_member
        up = curves.reactions.T
        V = np.maximum(shear.highest, -shear.lowest)
        return np.stack([moment.highest, np.maximum(-moment.lowest, 0.0), V, *up])

    def sag(curves: Any) -> Any:
        found = curves.deflection_extremes
        return np.maximum(found.highest, -found.lowest).T

    cases, found = effects.of(strength, method=design.method)
    M, M_hog, V, *reactions = found
    time = design.time_factor(cases).number[:, None]
    names = cases.names
    top = numbers(braced_at(inputs[f"{path}.unbraced_top"]))
    yield timber.bending_check("bending", piece, M, time, top, names, title="bending")
    if len(axis.bays) > 1:
        bottom = numbers(braced_at(inputs[f"{path}.unbraced_bottom"]))
        yield timber.bending_check(
            "hogging", hogging, M_hog, time, bottom, names, title="bending, hogging"
        )
    yield timber.shear_check("shear", piece, V, time, names, title="shear")
    EI = stiffness(piece)
    live_limit, total_limit = (inputs[f"{path}.{key}_limit"] for key in ("live", "total"))
    variable = any(group.source != "D" for group in cases.groups)
    tables: list[tuple[str, dict[str, Any]]]
    tables = [("live", {"variable_only": True}), ("total", {"dead": share})]
    for kind, given in tables if variable else tables[1:]:
        sets, sags = effects.of(sag, **given)
        for place, span in enumerate(axis.bays):
            length = span.at() * (2 if "overhang" in axis.bay_names[place] else 1)
            Delta = sags[place] / EI
            if kind == "live":
                yield timber.live_deflection_check(
                    "live", piece, Delta, length, live_limit.at(), sets.names,
                    clause=limit_clause(live_limit), title="live-load deflection",
                )  # fmt: skip
            else:
                # The share of dead load is in the factors, so the whole is one part.
                yield timber.total_deflection_check(
                    "total", piece, np.zeros_like(Delta), Delta, share.at(), length,
                    total_limit.at(), section.words["dead_load_rule"], sets.names,
                    clause=limit_clause(total_limit), title="total deflection",
                )  # fmt: skip
    for place, R in enumerate(reactions):
        made = timber.bearing_check(
            "bearing",
            piece,
            R,
            _seat(axis, place, bool(piece.built_up), under[place].l_b),
            None,
            names,
            support_text="the support is not checked here",
            title=f"bearing {place + 1}",
            width=_contact(piece, under[place].width),
        ).check
        least = under[place].condition
        limit = Condition(least.text, least.ratio.at(), least.source)
        yield replace(made, conditions=(*made.conditions, limit))


def _contact(piece: Any, width: Value | None) -> Any:
    return piece.b if width is None else contact_width(piece.b, numbers(width))


def _seat(axis: Axis, place: int, spliced: bool, l_b: Value) -> Any:
    inner = 0 < place < len(axis.bearings) - 1
    if inner and not spliced and axis.supports[0] is None:
        return numbers(
            inner_seat(l_b, distance_to_end(axis.supports[place], axis.bearings[0], l_b))
        )
    return numbers(end_seat(l_b))


def as_table(candidates: Sequence[Candidate], si: bool, everything: bool = False) -> str:
    """Return candidates as a table for the terminal: those that carry the loads, or all."""
    from calclib import units
    from calclib.job.tree import table
    from calclib.trace.check import ratio_text

    shown = [c for c in candidates if everything or c.is_adequate]
    rows = [("size", "plies", "depth", "weight", "utilization", "governs")]
    unit = units.si_unit("plf") if si else "plf"
    rows += [
        (
            c.size,
            str(c.plies),
            units.show(c.depth, "mm" if si else "in"),
            units.show(c.weight, unit),
            ratio_text(c.utilization),
            c.governs + ("" if c.is_adequate else ": FAILS"),
        )
        for c in shown
    ]
    count = f"{sum(c.is_adequate for c in candidates)} of {len(candidates)} stock sizes carry it."
    caution = (
        "By the numbers of the job alone: headroom, delivery, bearing of what it stands on and "
        "open questions are not in it, and an engineer reviews the choice."
    )
    return f"{table(rows)}\n\n{count} {caution}\n" if shown else f"{count} {caution}\n"
