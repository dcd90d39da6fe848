"""A beam of the job: its axis, its wood, its loads, its exact solution and its checks."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace

from calclib import published
from calclib.job.file import Job, Section
from calclib.job.house import Inputs
from calclib.job.member import (
    LoadRow,
    Model,
    Share,
    deflection_parts,
    groups,
    hogging_moment,
    largest_deflection,
    largest_shear,
    reaction,
    sagging_moment,
    shares_of,
    solution,
)
from calclib.job.schema import called as words
from calclib.job.sense_wood import REPORTED
from calclib.loads import CaseSet, case_set
from calclib.loads.takedown import place_of_support, place_on_member, sum_of_loads
from calclib.mechanics.section import area, weight_per_length
from calclib.timber import checks as timber
from calclib.timber.bearing import end_seat, inner_seat, plate
from calclib.timber.deflection import dead_load_share
from calclib.timber.dimensions import design_span, wood_density
from calclib.timber.factors import Service, load_duration_factor, repetitive_factor
from calclib.timber.materials import Material, composite, reported_composite, sawn
from calclib.timber.piece import Piece, piece, stiffness
from calclib.timber.stability import braced_at
from calclib.trace import Check, Leaf, Value, check, formula, leaf, maximum, positive
from calclib.units import inch, lbf

STAGE = "finished"


@dataclass(frozen=True, eq=False, repr=False)
class SolvedBeam:
    """A beam with everything that the sheet shows of it.

    Attributes
    ----------
    section : Section
        As it stands in the job file.
    piece : Piece
    spans : tuple of Value [in]
        Center to center of bearings.
    bearings : tuple of Value [in]
    model : Model
    solution : Value
        Holds the `Solution` of the solver.
    strength, live, total : CaseSet or None
        Load cases for strength, for live-load and for total deflection.
    shares : tuple of Share
        What each load puts on each support.
    reactions : tuple of Value [lbf]
        For each support its reaction in each case of `strength`.
    basics : tuple of Value
        What the member's own derivation is printed from.
    checks : tuple of Check
    required : mapping of str to Value [in]
        The required bearing length by the id of its check, by case.
    """

    section: Section
    piece: Piece
    spans: tuple[Value, ...]
    bearings: tuple[Value, ...]
    model: Model
    solution: Value
    strength: CaseSet
    live: CaseSet | None
    total: CaseSet
    shares: tuple[Share, ...]
    reactions: tuple[Value, ...]
    basics: tuple[Value, ...]
    checks: tuple[Check, ...]
    required: dict[str, Value] = field(default_factory=dict)

    def __repr__(self) -> str:
        spans = ", ".join(f"{span.at() / 12:.2f} ft" for span in self.spans)
        return f"<beam {self.section.path}: spans {spans}, {len(self.checks)} checks>"

    def _repr_html_(self) -> str:
        from calclib.job.rich import beam_html

        return beam_html(self)


def _stock_size(section: Section, inputs: Inputs) -> tuple[Value, Value]:
    """Return breadth and depth of one ply, as measured or else as the stock size gives them."""
    sawn_wood = "species" in section.words
    size = published.nominal_size(section.words["size"], "sawn" if sawn_wood else "composite")

    def side(key: str, number: float, symbol: str, what: str) -> Value:
        if key in section.numbers:
            return inputs[f"{section.path}.{key}"]
        return leaf(
            number * inch,
            "in",
            symbol,
            f"{section.path}.size/{symbol}",
            title=f"{what} of {section.words['size']}, {words(section.path)}",
            basis="published",
            source=size.row.printed,
            verified=size.row.status == "verified",
            low=0.5,
            high=60.0,
        )

    return (
        side("ply_width", size.b_in, "b_ply", "breadth of a ply"),
        side("depth", size.d_in, "d", "depth"),
    )


def _material(section: Section, inputs: Inputs, b: Value, d: Value) -> Material:
    if "report" in section.words:
        values = {key: inputs[f"{section.path}.{key}"] for key in REPORTED}
        return reported_composite(
            section.words["material"], section.words["report"], b, d, **values
        )
    if "material" in section.words:
        return composite(section.words["material"], b, d)
    return sawn(section.words["species"], section.words["grade"], b, d)


def _moisture_content() -> Value:
    return leaf(
        19.0,
        "",
        "m_c",
        "practice/moisture content for weight",
        basis="common practice",
        title="moisture content for weight, percent",
        note="top of the range called dry",
    )


def _density(section: Section, material: Material, inputs: Inputs) -> Value:
    if "density" in section.numbers:
        return inputs[f"{section.path}.density"]
    return wood_density(material.G, _moisture_content())  # type: ignore[no-any-return]


def _service(section: Section) -> Service:
    given = section.words
    degrees = {"100 F or less": "100", "100 to 125 F": "125", "125 to 150 F": "150"}
    return Service(
        given["moisture"],
        f"up to {degrees[given['temperature']]} F",
        given.get("incised") == "yes",
    )


def _axis(
    section: Section, inputs: Inputs
) -> tuple[tuple[Value, ...], tuple[Value, ...], tuple[Value, ...]]:
    """Return spans, bearings and support centers (the first of which is 0 by definition)."""
    bearings = tuple(
        inputs[f"{support.path}.bearing"] for support in section.inside["supports"].values()
    )
    clear = [inputs[entry.path] for entry in section.inside["spans"].values()]
    spans = tuple(
        design_span(length, left, right)
        for length, left, right in zip(clear, bearings[:-1], bearings[1:], strict=True)
    )
    centers = tuple(place_of_support(*spans[: n + 1]) for n in range(len(spans)))
    return spans, bearings, centers


def _on_axis(row: LoadRow, section: Section, first_bearing: Value, inputs: Inputs) -> LoadRow:
    start = inputs[f"{section.path}.starts_at"]
    places = [
        None if place is None else place_on_member(place, start, first_bearing)
        for place in (row.start, row.end)
    ]
    return replace(row, start=places[0], end=places[1])


@formula(
    "l_end",
    "in",
    source="geometry",
    x_s="in",
    l_b1="in",
    l_b="in",
    valid={"x_s": positive, "l_b1": (0.0, None), "l_b": (0.0, None)},
)
def distance_to_end(x_s, l_b1, l_b):  # type: ignore[no-untyped-def]
    """Distance from an inner bearing to the beam's left end.

    Parameters
    ----------
    x_s : float or array [in]
        Center of the bearing, from the center of the first.
    l_b1 : float or array [in]
        Length of the first bearing, at whose outer edge the beam ends.
    l_b : float or array [in]
        Length of this bearing.

    Returns
    -------
    float or array [in]
        To the nearer edge of the bearing.

    Notes
    -----
    Valid for: x_s > 0, bearings >= 0; the beam ends flush with its first bearing.
    Differs from the source: nothing.
    """
    return x_s + l_b1 / 2 - l_b / 2


def solve_beam(
    job: Job, section: Section, landed: tuple[LoadRow, ...], inputs: Inputs
) -> SolvedBeam:
    """Solve and check one beam under what lands on it.

    Parameters
    ----------
    job : Job
    section : Section
        The beam's entries.
    landed : tuple of LoadRow
        Loads by their place along the house's line.
    inputs : mapping of str to Value
        The leaves of the job.

    Returns
    -------
    SolvedBeam

    Raises
    ------
    CalcError
        When the tables hold no value for its wood or its service.
    """
    path, edition = section.path, job.title_block["load_standard"]
    b_ply, d = _stock_size(section, inputs)
    material = _material(section, inputs, b_ply, d)
    service = _service(section)
    plies = inputs[f"{path}.plies"]
    joined = section.words.get("repetitive") == "yes"
    member = piece(
        material,
        service,
        plies=plies,
        C_r=repetitive_factor(material, plies, b_ply, joined=True) if joined else None,
    )
    spans, bearings, centers = _axis(section, inputs)
    A = area(member.b, member.d)
    own_weight = weight_per_length(_density(section, material, inputs), A)
    rows = tuple(_on_axis(row, section, bearings[0], inputs) for row in landed)
    rows += (LoadRow("D", path, f"own weight of {words(path)}", own_weight, own=True),)
    EI = stiffness(member)
    model = Model(
        words(path),
        tuple(section.inside["spans"]),
        tuple(section.inside["supports"]),
        (None, *centers),
        EI,
        rows,
    )
    solved = solution(model)
    switched = groups(rows, len(spans))
    names = model.span_names
    strength = case_set(edition, switched, names)
    share = dead_load_share(section.words["dead_load_rule"], service.moisture)
    total = case_set(edition, switched, names, dead=share)
    varies = any(group.source != "D" for group in switched)
    live = case_set(edition, switched, names, variable_only=True) if varies else None
    reactions = tuple(reaction(solved, i, model, strength.factors)[0] for i in range(len(bearings)))
    beam = SolvedBeam(
        section,
        member,
        spans,
        bearings,
        model,
        solved,
        strength,
        live,
        total,
        shares_of(model),
        reactions,
        (member.b, *centers, A, EI),
        (),
        {},
    )
    checks, required = _checks(beam, inputs, service, share, centers)
    return replace(beam, checks=checks, required=required)


def _checks(
    beam: SolvedBeam,
    inputs: Inputs,
    service: Service,
    share: Value,
    centers: tuple[Value, ...],
) -> tuple[tuple[Check, ...], dict[str, Value]]:
    section, member, strength = beam.section, beam.piece, beam.strength
    path, name = section.path, words(section.path)
    cases = strength.names
    C_D = load_duration_factor(strength.loads_present)
    several = len(beam.spans) > 1

    def id_of(check: str) -> str:
        return f"{STAGE}/{path}/{check}"

    M, _ = sagging_moment(beam.solution, strength.factors)
    V, _ = largest_shear(beam.solution, strength.factors)
    made = [
        timber.bending_check(
            id_of("bending"),
            member,
            M,
            C_D,
            braced_at(inputs[f"{path}.unbraced_top"]),
            cases,
            title=f"Bending of {name}" + (", sagging" if several else ""),
        )
    ]
    if several:
        M_hog, _ = hogging_moment(beam.solution, strength.factors)
        bottom = braced_at(inputs[f"{path}.unbraced_bottom"])
        made.append(
            timber.bending_check(
                id_of("bending_hogging"),
                member,
                M_hog,
                C_D,
                bottom,
                cases,
                title=f"Bending of {name}, hogging over its inner supports",
            )
        )
    made.append(timber.shear_check(id_of("shear"), member, V, C_D, cases, title=f"Shear of {name}"))
    made += _deflection_checks(beam, inputs, share, id_of, name)
    required: dict[str, Value] = {}
    for place, support in enumerate(section.inside["supports"].values()):
        assert isinstance(support, Section)
        bearing = _bearing(beam, place, support, service, centers, id_of)
        made.append(bearing.check)
        required[bearing.check.id] = bearing.required_length
        if several:
            made.append(_uplift(beam, place, id_of))
    return tuple(made), required


def _deflection_checks(
    beam: SolvedBeam, inputs: Inputs, share: Value, id_of: Callable[[str], str], name: str
) -> list[Check]:
    path, member = beam.section.path, beam.piece
    made = []
    for place, (span, word) in enumerate(zip(beam.spans, beam.model.span_names, strict=True)):
        tail = f".{word}" if len(beam.spans) > 1 else ""
        where = f", span {word}" if tail else ""
        if beam.live is not None:
            limit = inputs[f"{path}.live_limit"]
            Delta, _ = largest_deflection(beam.solution, place, beam.live.factors)
            made.append(
                timber.live_deflection_check(
                    id_of(f"live_deflection{tail}"),
                    member,
                    Delta,
                    span,
                    limit,
                    beam.live.names,
                    clause=_limit_clause(limit),
                    title=f"Live-load deflection of {name}{where}",
                )
            )
        limit = inputs[f"{path}.total_limit"]
        Delta_D, Delta_st, _ = deflection_parts(
            beam.solution, place, beam.total.groups, beam.total.factors
        )
        made.append(
            timber.total_deflection_check(
                id_of(f"total_deflection{tail}"),
                member,
                Delta_D,
                Delta_st,
                share,
                span,
                limit,
                beam.section.words["dead_load_rule"],
                beam.total.names,
                clause=_limit_clause(limit),
                title=f"Total deflection of {name}{where}",
            )
        )
    return made


def _limit_clause(limit: Value) -> str:
    assert isinstance(limit.origin, Leaf)
    return limit.origin.source or f"limit L/{limit.at():g} entered in the job"


def _bearing(
    beam: SolvedBeam,
    place: int,
    support: Section,
    service: Service,
    centers: tuple[Value, ...],
    id_of: Callable[[str], str],
) -> timber.Bearing:
    l_b = beam.bearings[place]
    inner = 0 < place < len(beam.bearings) - 1
    spliced = beam.piece.built_up
    seat = (
        inner_seat(l_b, distance_to_end(centers[place - 1], beam.bearings[0], l_b))
        if inner and not spliced
        else end_seat(l_b)
    )
    surface = None
    support_text = ""
    if "plate" in support.words:
        surface = plate(support.words["plate"], service, support.words["plate_grade"])
    elif support.words["on"].startswith("posts."):
        support_text = "the post carries on its end grain, which must be as wide as the beam"
    bearing = timber.bearing_check(
        id_of(f"bearing.{support.name}"),
        beam.piece,
        beam.reactions[place],
        seat,
        surface,
        beam.strength.names,
        support_text=support_text,
        title=f"Bearing of {words(beam.section.path)} at {support.name.replace('_', ' ')}",
    )
    if inner and spliced:
        note = "The plies may be spliced over this support, so it counts as a member's end."
        return replace(bearing, check=replace(bearing.check, notes=(*bearing.check.notes, note)))
    return bearing


@formula("R_hold", "lbf", source="mechanics, statics", R_D="lbf", valid={"R_D": (None, None)})
def holding_down(R_D):  # type: ignore[no-untyped-def]
    """Dead load that holds a support down.

    Parameters
    ----------
    R_D : float or array [lbf]
        Reaction under dead load alone, down on the support positive.

    Returns
    -------
    float or array [lbf]
        At least 1 lbf, so that a support without dead load shows any uplift as a failure.

    Notes
    -----
    Valid for: any reaction.
    Differs from the source: the floor of 1 lbf.
    """
    return maximum(R_D, 1 * lbf)


@formula(
    "R_up",
    "lbf",
    source="mechanics, statics",
    R_hold="lbf",
    R="lbf",
    valid={"R_hold": (None, None), "R": (None, None)},
)
def uplift_of_variable_loads(R_hold, R):  # type: ignore[no-untyped-def]
    """Uplift that the loads other than dead load make at a support.

    Parameters
    ----------
    R_hold : float or array [lbf]
        Dead load that holds the support down.
    R : float or array [lbf]
        Reaction in the case, down on the support positive.

    Returns
    -------
    float or array [lbf]
        Zero or more; more than R_hold when the reaction pulls.

    Notes
    -----
    Valid for: cases in which dead load counts in full.
    Differs from the source: nothing.
    """
    return maximum(R_hold - R, 0 * lbf)


def _uplift(beam: SolvedBeam, place: int, id_of: Callable[[str], str]) -> Check:
    name = beam.model.support_names[place]
    dead = [share.on[place] for share in beam.shares if share.row.source == "D"]
    R_hold = holding_down(sum_of_loads(*dead))
    return check(
        id_of(f"uplift.{name}"),
        f"Uplift of {words(beam.section.path)} at {name.replace('_', ' ')}",
        "mechanics, statics: supports push and do not pull",
        uplift_of_variable_loads(R_hold, beam.reactions[place]),
        R_hold,
        cases=beam.strength.names,
        notes=("The dead-load reaction must outweigh the uplift of live load on other spans.",),
    )
