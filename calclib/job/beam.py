"""A beam of the job: its axis, its wood, what it hands down, its checks."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from calclib.ground.footing import plain_concrete_bearing, plain_phi
from calclib.job.bent import (
    Bent,
    Design,
    Settings,
    deflection_checks,
    limit_clause,
    solved_bent,
    strength_checks,
    uplift_check,
)
from calclib.job.blocks import below_blocking, blocking_checks
from calclib.job.contents import Section
from calclib.job.field import OVERHANGS
from calclib.job.lines import Inputs, bearings_of, place_further_on, spans_of
from calclib.job.member import (
    LoadRow,
    Model,
    Share,
    by_layouts,
    groups,
    largest_deflection,
    reaction,
    shares_of,
)
from calclib.job.schema import called as words
from calclib.job.seats import Below, below
from calclib.job.wood import density_of, material_of, service_of, stock_size
from calclib.loads import case_set
from calclib.loads.reduction import element_factor, least_share, live_load_share
from calclib.loads.takedown import part_of_load, place_of_support, place_on_member
from calclib.mechanics.section import area, weight_per_length
from calclib.timber import checks as timber
from calclib.timber.bearing import contact_width, end_seat, inner_seat
from calclib.timber.column_checks import under_post_check
from calclib.timber.factors import repetitive_factor
from calclib.timber.glulam import glulam, glulam_piece
from calclib.timber.notches import notch, notched_shear_check
from calclib.timber.piece import Piece, piece, stiffness
from calclib.timber.shear_near_support import NearSupport, near_support
from calclib.timber.stability import braced_at
from calclib.trace import Check, Value, check, formula, positive


@dataclass(frozen=True, eq=False)
class Axis:
    """A beam without its loads.

    Attributes
    ----------
    section : Section
    piece : Piece
    bearings : tuple of Value [in]
    bays : tuple of Value [in]
        Spans center to center of bearings, overhangs among them.
    bay_names : tuple of str
    supports : tuple of Value or None [in]
        Centers of its supports from its left end, or from the first support when it ends there.
    length : Value or None [in]
        When it goes on past its last support.
    A, EI, weight : Value
        Area, stiffness, own weight per length.
    hogging : Piece or None
        The same member where it hogs, when that makes a difference, as for glulam.
    ahead : Value or None [in]
        Overhang past the center of its first support, by which its left end comes before.
    standing : tuple of int
        Which of its supports hold it.
    """

    section: Section
    piece: Piece
    bearings: tuple[Value, ...]
    bays: tuple[Value, ...]
    bay_names: tuple[str, ...]
    supports: tuple[Value | None, ...]
    length: Value | None
    A: Value
    EI: Value
    weight: Value
    hogging: Piece | None = None
    ahead: Value | None = None
    standing: tuple[int, ...] = ()


def axis_of(section: Section, inputs: Inputs) -> Axis:
    """Return a beam without its loads.

    Parameters
    ----------
    section : Section
    inputs : mapping of str to Value

    Returns
    -------
    Axis

    Raises
    ------
    CalcError
        When the tables hold no value for its wood or its service.
    """
    path = section.path
    bays, names = list(spans_of(section, inputs)), list(section.inside["spans"])
    member, hogging = _pieces(section, inputs, bays)
    supports: list[Value | None] = [
        None,
        *(place_of_support(*bays[: n + 1]) for n in range(len(bays))),
    ]
    ahead, beyond = (inputs.get(f"{path}.{key}") for key in ("overhang_start", "overhang_end"))
    length = None
    if ahead is not None:
        supports = [ahead, *(place_further_on(ahead, at) for at in supports[1:])]
        bays, names = [ahead, *bays], [OVERHANGS[0], *names]
    if beyond is not None:
        length = place_further_on(supports[-1], beyond)
        bays, names = [*bays, beyond], [*names, OVERHANGS[1]]
    A = area(member.b, member.d)
    return Axis(
        section,
        member,
        bearings_of(section, inputs),
        tuple(bays),
        tuple(names),
        tuple(supports),
        length,
        A,
        stiffness(member),
        weight_per_length(density_of(section, member.material, inputs), A),
        hogging,
        ahead,
        tuple(range(len(supports))),
    )


def _pieces(section: Section, inputs: Inputs, spans: Sequence[Value]) -> tuple[Piece, Piece | None]:
    """Return a beam as a piece of wood, and as one where it hogs when that is another."""
    path, service = section.path, service_of(section)
    b_ply, d = stock_size(section, inputs)
    if "glulam" in section.words:
        counted = section.numbers.get("laminations")
        # The longest span is the longest length between points of zero moment there can be.
        longest = max(spans, key=lambda span: span.at())
        made = glulam(
            section.words["glulam"],
            b_ply,
            d,
            longest,
            laminations=int(counted.number) if counted else None,
        )
        return glulam_piece(made.x, service), glulam_piece(made.x_negative, service)
    material = material_of(section, inputs, b_ply, d)
    plies = inputs[f"{path}.plies"]
    joined = section.words.get("repetitive") == "yes"
    C_r = repetitive_factor(material, plies, b_ply, joined=True) if joined else None
    return piece(material, service, plies=plies, C_r=C_r), None


def axis_without(axis: Axis, lost: Sequence[int]) -> Axis:
    """Return a beam that lost some of its supports, at least two of which still hold it.

    Parameters
    ----------
    axis : Axis
    lost : sequence of int

    Returns
    -------
    Axis
    """
    kept = tuple(place for place in axis.standing if place not in lost)
    marks = [axis.supports[place] for place in kept]
    end = axis.length if axis.length is not None else axis.supports[-1]
    bounds = sorted(
        {0.0, *(0.0 if at is None else at.at() for at in marks), end.at()}  # type: ignore[union-attr]
    )
    return replace(
        axis,
        bay_names=tuple(f"bay {number + 1}" for number in range(len(bounds) - 1)),
        supports=tuple(marks),
        length=None if marks[-1] is end else end,
        standing=kept,
    )


def model_of(axis: Axis, landed: Sequence[LoadRow], inputs: Inputs) -> Model:
    """Return a beam under what lands on it and its own weight.

    Parameters
    ----------
    axis : Axis
    landed : sequence of LoadRow
        Loads by their place along the house's line.
    inputs : mapping of str to Value

    Returns
    -------
    Model
    """
    path = axis.section.path
    rows = tuple(_on_axis(row, axis, inputs) for row in landed)
    own = LoadRow("D", path, f"own weight of {words(path)}", axis.weight, own=True)
    return Model(
        words(path),
        axis.bay_names,
        tuple(
            seat.name for place, seat in enumerate(axis.section.seats()) if place in axis.standing
        ),
        axis.supports,
        axis.EI,
        (*rows, own),
        axis.length,
    )


def _on_axis(row: LoadRow, axis: Axis, inputs: Inputs) -> LoadRow:
    start = inputs[f"{axis.section.path}.starts_at"]

    def placed(place: Value | None) -> Value | None:
        if place is None:
            return None
        found = place_on_member(place, start, axis.bearings[0])
        return found if axis.ahead is None else place_further_on(axis.ahead, found)

    return replace(row, start=placed(row.start), end=placed(row.end), first=placed(row.first))


def handed_down(shares: Sequence[Share], support: int) -> Iterator[LoadRow]:
    """Yield what a beam puts on one of its supports, load by load, without a place.

    Parameters
    ----------
    shares : sequence of Share
    support : int
    """
    for share in shares:
        row = share.row
        name = f"{row.name}, on span {share.span}" if share.span else row.name
        yield LoadRow(row.source, row.origin, name, share.on[support], way=row.way)


def shares_under(axis: Axis, landed: Sequence[LoadRow], inputs: Inputs) -> tuple[Share, ...]:
    """Return what each load of a beam puts on each of its supports."""
    return shares_of(model_of(axis, landed, inputs))


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


@formula(
    "l_end",
    "in",
    source="geometry",
    c="in",
    l_b="in",
    valid={"c": positive, "l_b": (0.0, None)},
)
def distance_to_free_end(c, l_b):  # type: ignore[no-untyped-def]
    """Distance from a bearing to the end of the overhang beside it.

    Parameters
    ----------
    c : float or array [in]
        Overhang past the center of the bearing.
    l_b : float or array [in]
        Length of the bearing.

    Returns
    -------
    float or array [in]
        From the nearer edge of the bearing.

    Notes
    -----
    Valid for: c > 0, l_b >= 0.
    Differs from the source: nothing.
    """
    return c - l_b / 2


def solve_beam(
    axis: Axis,
    landed: Sequence[LoadRow],
    inputs: Inputs,
    state: str,
    design: Design,
    members: Mapping[str, Section],
    axes: Mapping[str, Axis],
) -> Bent:
    """Solve and check one beam under what lands on it.

    Parameters
    ----------
    axis : Axis
    landed : sequence of LoadRow
        Loads by their place along the house's line.
    inputs : mapping of str to Value
        The leaves of the job.
    state : str
        Key of the state of the work.
    design : Design
    members : mapping of str to Section
        What it may bear on, by path.
    axes : mapping of str to Axis
        The beams among them.

    Returns
    -------
    Bent
    """
    section, path = axis.section, axis.section.path
    several = len(axis.bays) > 1
    settings = Settings(
        state,
        path,
        words(path),
        braced_at(inputs[f"{path}.unbraced_top"]),
        braced_at(inputs[f"{path}.unbraced_bottom"]) if several else None,
        inputs[f"{path}.live_limit"],
        inputs[f"{path}.total_limit"],
        section.words["dead_load_rule"],
        design,
    )
    known = [at for at in (*axis.supports, axis.length) if at is not None]
    beam = solved_bent(
        section,
        settings,
        design.piece(axis.piece),
        axis.bays,
        axis.bearings,
        model_of(axis, reduced_rows(section, landed, inputs), inputs),
        (axis.piece.b, *known, axis.A, axis.EI),
    )
    hogging = design.piece(axis.hogging) if axis.hogging is not None else None
    made = [*strength_checks(beam, hogging, _away(section)), *deflection_checks(beam)]
    made += [*_sag(beam, inputs), *_notches(beam, axis, inputs, design)]
    required: dict[str, Value] = {}
    for place, seat in enumerate(section.seats()):
        under = below_of(axis, seat, inputs, members, axes, design)
        bearing = _bearing(beam, axis, place, under)
        made.append(bearing.check)
        required[bearing.check.id] = bearing.required_length
        made += _below_checks(beam, place, under, inputs)
        if several:
            made.append(uplift_check(beam, place))
    return replace(beam, checks=tuple(made), required=required)


@formula(
    "T", "lbf*in", R="lbf", b="in", source="mechanics, statics",
    valid={"R": (None, None), "b": positive},
)  # fmt: skip
def twisting_moment(R, b):  # type: ignore[no-untyped-def]
    """Twisting moment at a beam's end when all of its load hangs at one side.

    Parameters
    ----------
    R : float or array [lbf]
        Reaction at the end.
    b : float or array [in]
        Breadth of the beam.

    Returns
    -------
    float or array [lbf*in]
        Of the sign of the reaction.

    Notes
    -----
    Valid for: joists hung at one face, the bearing centered under the beam.
    Differs from the source: loads that stand on top of the beam are counted as if they hung too.
    """
    return R * b / 2


def twist_check(beam: Bent) -> Check:
    """Return the open check of a beam that joists twist, for they hang on one side only.

    Parameters
    ----------
    beam : Bent
    """
    worst = max(beam.reactions, key=lambda R: float(R.number.max()))
    name = beam.settings.name
    return check(
        beam.settings.id_of("twist"),
        beam.settings.title("Twist"),
        "NDS 2018 3.3.3.4, 4.4.1: ends held from rotating",
        twisting_moment(worst, beam.piece.b),
        None,
        cases=beam.strength.names,
        questions=(
            f"Joists hang on one side only of {name}: what holds its ends from rotating against "
            "this twisting moment (blocking, a cap with sides, bolts through the post) is to be "
            "said and checked. The standard gives no design value for twist.",
        ),
    )


def _away(section: Section) -> NearSupport | None:
    """Say whether loads near its supports may be left out of a beam's shear; None if not asked."""
    if section.words.get("shear_near_supports") != "left out":
        return None
    return near_support(
        bears_on_face=True,
        load_on_opposite_face=section.words["setting"] == "dropped",
        notched=any("notch_depth" in seat.numbers for seat in section.seats()),
    )


def _sag(beam: Bent, inputs: Inputs) -> Iterator[Check]:
    """Yield the check of the greatest live-load deflection in inches, when the job sets one."""
    limit = inputs.get(f"{beam.section.path}.live_sag")
    if limit is None or beam.live is None:
        return
    for place, word in enumerate(beam.model.span_names):
        tail = f".{word.replace(' ', '_')}" if len(beam.spans) > 1 else ""
        Delta, _ = largest_deflection(beam.solution, place, beam.live.factors)
        yield check(
            beam.settings.id_of(f"live_sag{tail}"),
            beam.settings.title("Live-load deflection in inches", f", span {word}" if tail else ""),
            limit_clause(limit, "limit entered in the job"),
            Delta,
            limit,
            cases=beam.live.names,
        )


def _notches(beam: Bent, axis: Axis, inputs: Inputs, design: Design) -> Iterator[Check]:
    """Yield the check of shear at each notched support."""
    time = design.time_factor(beam.strength)
    for place, seat in enumerate(beam.section.seats()):
        if "notch_depth" not in seat.numbers:
            continue
        face = seat.words["notch_face"]
        material = beam.piece.material
        made = notch(
            material.applies,
            material.b,
            face,
            "end",
            inputs[f"{seat.path}.notch_depth"],
            e=inputs.get(f"{seat.path}.notch_length"),
        )
        where = seat.name.replace("_", " ")
        yield notched_shear_check(
            beam.settings.id_of(f"notch.{seat.name}"),
            beam.piece,
            beam.reactions[place],
            time,
            made,
            beam.strength.names,
            method=design.method,
            title=beam.settings.title("Shear", f" at the notch over {where}"),
        )


def reduced_rows(section: Section, landed: Sequence[LoadRow], inputs: Inputs) -> Sequence[LoadRow]:
    """Return what lands on a beam after the reduction of live load that the job asks for."""
    if "live_reduction" not in section.words:
        return landed
    floors = section.numbers["live_floors"].number
    share = live_load_share(
        element_factor(section.words["live_reduction"]),
        inputs[f"{section.path}.live_area"],
        least_share(int(floors)),
    )
    return [
        replace(row, size=part_of_load(row.size, share)) if row.source == "L" else row
        for row in landed
    ]


def _distance_to_end(axis: Axis, place: int) -> Value | None:
    """Return how far a bearing is from the beam's nearer end; None for one at an end."""
    first, last = place == 0, place == len(axis.bearings) - 1
    l_b = axis.bearings[place]
    if first and axis.bay_names[0] == OVERHANGS[0]:
        return distance_to_free_end(axis.bays[0], l_b)  # type: ignore[no-any-return]
    if last and axis.bay_names[-1] == OVERHANGS[1]:
        return distance_to_free_end(axis.bays[-1], l_b)  # type: ignore[no-any-return]
    if first or last:
        return None
    if axis.supports[0] is not None:
        return distance_to_free_end(axis.supports[place], l_b)  # type: ignore[no-any-return]
    return distance_to_end(axis.supports[place], axis.bearings[0], l_b)  # type: ignore[no-any-return]


def below_of(
    axis: Axis,
    seat: Section,
    inputs: Inputs,
    members: Mapping[str, Section],
    axes: Mapping[str, Axis],
    design: Design,
) -> Below:
    """Return what is below one support of a beam; see `calclib.job.seats.below`."""
    pieces = {path: each.piece for path, each in axes.items()}
    return below(seat, axis.section, inputs, members, pieces, design)


def contact_of(piece: Piece, under: Below) -> tuple[Value, Value]:
    """Return width and length in which a beam and what is below it touch."""
    width = piece.b if under.width is None else contact_width(piece.b, under.width)
    return width, under.l_b


def _bearing(beam: Bent, axis: Axis, place: int, under: Below) -> timber.Bearing:
    width, l_b = contact_of(beam.piece, under)
    to_end = _distance_to_end(axis, place)
    spliced = beam.piece.built_up
    seat = end_seat(l_b) if to_end is None or spliced else inner_seat(l_b, to_end)
    name = under.section.name
    bearing = timber.bearing_check(
        beam.settings.id_of(f"bearing.{name}"),
        beam.piece,
        beam.reactions[place],
        seat,
        under.on,
        beam.strength.names,
        support_text=under.text,
        title=beam.settings.title("Bearing", f" at {name.replace('_', ' ')}"),
        width=width,
    )
    notes = under.notes
    if to_end is not None and spliced:
        notes += ("The plies may be spliced over this support, so it counts as a member's end.",)
    made = bearing.check
    made = replace(
        made,
        conditions=(*made.conditions, under.condition),
        questions=(*made.questions, *under.questions),
        notes=(*made.notes, *notes),
    )
    return replace(bearing, check=made)


def _below_checks(beam: Bent, place: int, under: Below, inputs: Inputs) -> Iterator[Check]:
    """Yield the checks of blocking, plate and concrete below a support."""
    settings, design, name = beam.settings, beam.settings.design, under.section.name
    contact, R = contact_of(beam.piece, under), beam.reactions[place]
    where = f" at {name.replace('_', ' ')}"
    if under.blocking is not None:
        time = design.time_factor(beam.strength)
        yield from blocking_checks(
            settings.id_of(f"blocks.{name}"), under.blocking, R, contact, time,
            beam.strength.names, inputs, design,
        )  # fmt: skip
        title = settings.title("What is below the blocking", where)
        id = settings.id_of(f"seat.{name}")
        if under.plate is None:
            yield check(
                id, title, "NDS 2018 3.10.2", R, None, cases=beam.strength.names,
                questions=(
                    f"What the blocking below {settings.name}{where} stands on was not entered, "
                    "and is to be checked for this load.",
                ),
            )  # fmt: skip
        else:
            yield under_post_check(
                id, R, *below_blocking(under.blocking, contact), under.plate, design.method,
                beam.strength.names, title=title,
            )  # fmt: skip
    elif "seat" in under.section.words:
        yield _on_concrete(beam, place, under, contact, where, inputs)


def _on_concrete(
    beam: Bent,
    place: int,
    under: Below,
    contact: tuple[Value, Value],
    where: str,
    inputs: Inputs,
) -> Check:
    """Return the check of the concrete or masonry that a beam bears on."""
    settings, seat = beam.settings, under.section
    stuff = seat.words["seat"]
    id = settings.id_of(f"seat.{seat.name}")
    title = f"{stuff.capitalize()} below {settings.name}{where}"
    dry = "Untreated wood in a pocket keeps half an inch of air at its sides and end (IRC R317.1)."
    if not under.is_concrete:
        return check(
            id, title, "ACI 318-14 14.5.6; TMS 402", beam.reactions[place], None,
            cases=beam.strength.names, notes=(dry,),
            questions=(
                f"The strength of the {stuff} below {settings.name}{where} was not entered: "
                "its bearing is for the engineer.",
            ),
        )  # fmt: skip
    model = beam.model
    cases = by_layouts(
        model,
        case_set(
            settings.design.edition, groups(model.rows, len(model.span_names)), model.span_names,
            method="LRFD",
        ),
    )  # fmt: skip
    R_u, *_ = reaction(beam.solution, place, model, cases.factors)
    return check(
        id,
        title,
        "ACI 318-14 14.5.6",
        R_u,
        plain_concrete_bearing(plain_phi(), inputs[f"{seat.path}.concrete"], area(*contact)),
        cases=cases.names,
        notes=("Plain concrete under factored loads.", dry),
    )
