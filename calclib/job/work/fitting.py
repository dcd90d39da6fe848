"""What the tape says of a job: the beam between its bearings, in the floor, and in the air."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from calclib.job.bent import Bent
from calclib.job.carry import Flow, House
from calclib.job.contents import Section
from calclib.job.lines import length_along
from calclib.job.member import sagging_moment
from calclib.job.plies import rows_by_side
from calclib.job.schema import called
from calclib.job.state import BEAM_UP, POSTS_IN, SHORING_UP
from calclib.job.wood import density_of, stock_size
from calclib.job.work.geometry import (
    AlongRow,
    FlushBeam,
    FlushFit,
    along,
    cut_from_line,
    fitting_gap,
    flush_fit,
    headroom_check,
    height_of_beam,
    net_bearing_check,
    post_fit_checks,
    room_check,
    seen_from_other_side,
    swing_check,
)
from calclib.job.work.handling import Handling, hands_checks, hands_needed, weight_limit
from calclib.job.work.held import Side
from calclib.job.work.lifting import (
    Raising,
    corner_check,
    end_reaction,
    lift_check,
    lifts_per_minute,
    open_slot_checks,
    raising_checks,
    travel_of_hands,
    weight_of_length,
)
from calclib.job.work.members import plate_size
from calclib.job.work.readings import Reading, Readings, readings
from calclib.job.work.shoring import line_load
from calclib.mechanics.section import area, weight_per_length
from calclib.timber.piece import Piece, piece
from calclib.trace import Check, Value, check, leaf, step
from calclib.units import feet_inches

LEAST_READINGS = 3


@dataclass(frozen=True, eq=False)
class Fit:
    """A beam between its bearings and in its floor, as taped.

    Attributes
    ----------
    cut : tuple of Value [in]
        For each side of the line, from the line to where its joists end.
    flush : FlushFit or None
    length : Value [in]
        To which the beam is cut, or from center to center of its bearings when not entered.
    is_cut : bool
        Whether that length was entered.
    clear : Value or None [in]
        The least clear length at its place.
    readings : tuple of Readings
    rows : tuple of AlongRow
        How a level flush beam lies at each place where the joists' bottoms were taped.
    checks : tuple of Check
    """

    cut: tuple[Value, ...]
    flush: FlushFit | None
    length: Value
    is_cut: bool
    clear: Value | None
    readings: tuple[Readings, ...]
    rows: tuple[AlongRow, ...]
    checks: tuple[Check, ...]


@step(
    "the least of the readings",
    [("x_min", "in")],
    sentence=lambda arguments, results, case: (
        f"The least of {len(arguments[0])} readings is {feet_inches(float(results[0]))}."
    ),
    source="geometry",
)
def least_of(readings: Sequence[Any]) -> Any:
    """Return the least of some lengths [in]."""
    return (min(readings),)


def _taped(work: Section, table: str, inputs: Mapping[str, Value]) -> tuple[Reading, ...]:
    return tuple(
        Reading(name.replace("_", " "), inputs[f"{work.path}.{table}.{name}"])
        for name in work.inside.get(table, {})
    )


def _assumed(work: Section, key: str, number: float, symbol: str, title: str) -> Value:
    return leaf(
        number, "in", symbol, f"{work.path}.{key}", title=title, basis="assumed",
        note="not entered in the job file", low=number - 12.0, high=number + 12.0,
    )  # fmt: skip


def fit_of(
    house: House, work: Section, beam: Section, sides: Sequence[Side], bents: Sequence[Bent]
) -> Fit:
    """Return how a beam fits between its bearings and into its floor.

    Parameters
    ----------
    house : House
    work, beam : Section
    sides : sequence of Side
    bents : sequence of Bent
        Of the finished house, for the bearing lengths that the beam requires.
    """
    inputs, path = house.inputs, work.path
    axis = house.axes[beam.path]
    flush = beam.words["setting"] == "flush"
    e, g = _beside(work, inputs)
    cut: list[Value] = []
    ways: dict[str, Value] = {}
    for side in sides:
        if not flush:
            cut.append(_ends_at_line())
            continue
        own = ways.setdefault(side.toward, e if not ways else seen_from_other_side(e))
        cut.append(cut_from_line(axis.piece.b, own, g))
    stretch = house.stretches[beam.path]
    assert stretch is not None
    given = inputs.get(f"{path}.beam_length")
    length = given if given is not None else length_along(*stretch)
    clear_rows = _taped(work, "clear", inputs)
    clear = least_of(tuple(row.x for row in clear_rows))[0] if clear_rows else None
    checks: list[Check] = []
    compared = []
    for table, what in (("clear", "Clear length"), ("soffits", "Floor to joist bottom")):
        rows = _taped(work, table, inputs)
        if len(rows) >= LEAST_READINGS:
            compared.append(readings(f"{SHORING_UP}/{path}/{table}", what, rows))
            checks += compared[-1].checks
    fit = _flush(house, work, beam, sides) if flush else None
    if fit is not None:
        checks += fit.checks
    elif flush:
        checks.append(_not_taped(work, beam, "the thickness of the subfloor", "fit"))
    else:
        checks += _headroom(house, work, beam)
    checks += _posts(house, work, beam)
    checks += _bearings(house, work, beam, bents, clear, given)
    checks += _room(house, work, beam, sides)
    lies = _rows(house, work, beam, sides, compared)
    return Fit(
        tuple(cut), fit, length, given is not None, clear, tuple(compared), lies, tuple(checks)
    )


def _rows(
    house: House, work: Section, beam: Section, sides: Sequence[Side], compared: Sequence[Readings]
) -> tuple[AlongRow, ...]:
    """Return how a level flush beam lies along joists that do not lie level."""
    made = _flush_beam(house, work, beam, sides)
    soffits = _taped(work, "soffits", house.inputs)
    median = next((r.median for r in compared if r.rows == soffits), None)
    if made is None or median is None:
        return ()
    return along(made, soffits, height_of_beam(median, made.drop))


def _beside(work: Section, inputs: Mapping[str, Value]) -> tuple[Value, Value]:
    """Return the beam's offset from the wall's middle, and the room on each side of it."""
    e, g = inputs.get(f"{work.path}.offset"), inputs.get(f"{work.path}.room_beside")
    if e is None:
        e = _assumed(work, "offset", 0.0, "e", "from the middle of the wall to that of the beam")
    if g is None:
        g = _assumed(work, "room_beside", 0.125, "g_side", "room on each side of the beam")
    return e, g


def _ends_at_line() -> Value:
    return leaf(
        0.0, "in", "c", "work/joists end at the line", title="from the line to the joists' ends",
        basis="common practice", source="joists that are not cut end over the wall's line",
    )  # fmt: skip


def _not_taped(work: Section, beam: Section, what: str, id: str) -> Check:
    return check(
        f"{BEAM_UP}/{work.path}/{id}",
        f"Fit of {called(beam.path)}",
        "geometry",
        None,
        None,
        questions=(f"{called(beam.path).capitalize()}: {what} was not entered.",),
    )


def _flush(house: House, work: Section, beam: Section, sides: Sequence[Side]) -> FlushFit | None:
    made = _flush_beam(house, work, beam, sides)
    if made is None:
        return None
    spacing = house.inputs[f"{sides[0].field.path}.spacing"]
    return flush_fit(f"{BEAM_UP}/{work.path}", made, spacing)


def _flush_beam(
    house: House, work: Section, beam: Section, sides: Sequence[Side]
) -> FlushBeam | None:
    """Return a flush beam as measured; None when the floor was not."""
    inputs, path = house.inputs, work.path
    if beam.words["setting"] != "flush":
        return None
    e, g = _beside(work, inputs)
    t_floor = inputs.get(f"{path}.subfloor")
    if t_floor is None or not sides:
        return None
    drop = inputs.get(f"{path}.drop")
    if drop is None:
        drop = _assumed(work, "drop", 0.0, "c_drop", "how far the beam lies below the joists")
    field = max((side.field for side in sides), key=lambda f: stock_size(f, inputs)[1].at())
    b_joist, d_joist = stock_size(field, inputs)
    piece_ = house.axes[beam.path].piece
    return FlushBeam(
        piece_.b, piece_.d, d_joist, b_joist, t_floor, drop, e, g,
        inputs.get(f"{path}.studs_above_width"), work.words.get("space_above") == "an attic",
        inputs.get(f"{path}.studs_above"),
        inputs.get(f"{path}.plate_above"), inputs.get(f"{path}.plate_on_beam"),
    )  # fmt: skip


def _headroom(house: House, work: Section, beam: Section) -> Iterator[Check]:
    inputs, path = house.inputs, work.path
    h, finish = inputs.get(f"{path}.room_height"), inputs.get(f"{path}.finish_below")
    if h is None or finish is None:
        yield _not_taped(work, beam, "the height of the room, or the finish below it,", "headroom")
        return
    yield headroom_check(f"{BEAM_UP}/{path}/headroom", h, house.axes[beam.path].piece.d, finish)


def _posts(house: House, work: Section, beam: Section) -> Iterator[Check]:
    width = house.inputs.get(f"{work.path}.plate_width")
    if width is None:
        return
    for seat in beam.seats():
        on = str(seat.words["on"])
        if on.startswith("posts."):
            across = _across_the_beam(
                *stock_size(house.section(on), house.inputs), house.inputs[f"{seat.path}.bearing"]
            )
            yield from post_fit_checks(
                f"{POSTS_IN}/{work.path}.{seat.name}", across, house.axes[beam.path].piece.b,
                width, f" at {seat.name.replace('_', ' ')}",
            )  # fmt: skip


def _across_the_beam(b: Value, d: Value, l_b: Value) -> Value:
    """Return the side of a post that lies across the beam, the other one being its bearing."""
    return b if abs(l_b.at() - d.at()) < abs(l_b.at() - b.at()) else d


def _bearings(
    house: House, work: Section, beam: Section, bents: Sequence[Bent], clear: Value | None,
    length: Value | None,
) -> Iterator[Check]:  # fmt: skip
    bent = next((b for b in bents if b.section is beam), None)
    if clear is None or length is None or bent is None:
        yield _not_taped(work, beam, "its clear length, or the length to which it is cut,", "gap")
        return
    gap = fitting_gap(clear, length)
    for seat, l_b in zip(beam.seats(), house.axes[beam.path].bearings, strict=True):
        required = bent.required.get(f"finished/{beam.path}/bearing.{seat.name}")
        if required is not None:
            yield net_bearing_check(
                f"{BEAM_UP}/{work.path}/net_bearing_{seat.name}", required, l_b, gap,
                bent.strength.names, f", {seat.name.replace('_', ' ')}",
            )  # fmt: skip
    if work.words.get("swung_in") == "yes":
        d = house.axes[beam.path].piece.d
        yield swing_check(f"{BEAM_UP}/{work.path}/swing", length, d, gap)


def _room(house: House, work: Section, beam: Section, sides: Sequence[Side]) -> Iterator[Check]:
    shores = {side.shore.path: side.shore for side in sides if side.shore is not None}
    if len(shores) < 2:
        return
    one, other = list(shores.values())[:2]
    member = house.axes[beam.path].piece
    a_1, a_2 = (house.inputs[f"{shore.path}.distance"] for shore in (one, other))
    id = f"{BEAM_UP}/{work.path}/room"
    yield room_check(id, member.b, member.d, a_1, a_2, plate_size(one)[1])


# The beam in the air


def beam_in_the_air(
    house: House, work: Section, beam: Section, bent: Bent, finished: Flow, sides: Sequence[Side]
) -> Iterator[Check]:
    """Yield the checks of the lift, the hands, the way in, and the beam before it is braced.

    Parameters
    ----------
    house : House
    work, beam : Section
    bent : Bent
        The finished beam.
    finished : Flow
    sides : sequence of Side
    """
    inputs, path = house.inputs, work.path
    axis = house.axes[beam.path]
    stretch = house.stretches[beam.path]
    assert stretch is not None
    L = inputs.get(f"{path}.beam_length", length_along(*stretch))
    W = weight_of_length(axis.weight, L)
    yield lift_check(
        f"{BEAM_UP}/{path}/lift", W, inputs.get(f"{path}.lift_capacity"),
        str(work.words.get("lift_report", "")),
    )  # fmt: skip
    ply, w_ply = one_ply(house, beam)
    W_ply = weight_of_length(w_ply, L)
    for lift in work.inside.get("hand_lifts", {}).values():
        if isinstance(lift, Section):
            load = W_ply if lift.words["what"] == "a ply" else W
            yield from hands_checks(
                f"{BEAM_UP}/{path}.{lift.name}",
                load,
                handling_of(lift, inputs),
                f" of {lift.words['what']}",
            )
    for corner in work.inside.get("corners", {}).values():
        if isinstance(corner, Section):
            way, next_way, h = (
                inputs[f"{corner.path}.{key}"] for key in ("way", "next_way", "headroom")
            )
            yield corner_check(
                f"{BEAM_UP}/{path}.{corner.name}/corner",
                L,
                axis.piece.d,
                ply.b,
                way,
                next_way,
                h,
                f", {corner.name.replace('_', ' ')}",
            )
    flush = beam.words["setting"] == "flush"
    span = max(bent.spans, key=lambda each: each.at())
    if len(bent.spans) > 1:
        yield check(
            f"{BEAM_UP}/{path}/alone", f"{called(beam.path).capitalize()} before it is braced",
            "NDS 2018 3.3.3", None, None,
            questions=(
                f"{called(beam.path).capitalize()} has several spans or overhangs: how it is held "
                "while nothing braces it is to be said by the engineer.",
            ),
        )  # fmt: skip
        return
    hung = _hung(finished, beam)
    w_hung = axis.weight if hung is None else hung
    yield from raising_checks(
        path,
        Raising(
            ply, axis.piece, w_ply, axis.weight, w_hung, end_reaction(w_hung, span), span, span
        ),
        flush=flush,
    )
    if flush:
        M, _ = sagging_moment(bent.solution, bent.strength.factors)
        time = bent.settings.design.time_factor(bent.strength)
        yield from open_slot_checks(path, bent.piece, M, time, span, bent.strength.names)


def _hung(finished: Flow, beam: Section) -> Value | None:
    """Return the dead and live line load of the joists on the fuller side of a beam."""
    sides = [
        [row.size for row in rows if row.source in ("D", "L")]
        for rows in rows_by_side(finished, beam.path).values()
    ]
    fullest = max(sides, key=lambda sizes: sum(size.at() for size in sizes))
    return line_load(*fullest) if fullest else None


def one_ply(house: House, beam: Section) -> tuple[Piece, Value]:
    """Return one ply of a beam, and its weight per length."""
    axis = house.axes[beam.path]
    whole = axis.piece
    if not whole.built_up:
        return whole, axis.weight
    ply = piece(whole.material, whole.service)
    density = density_of(beam, whole.material, house.inputs)
    return ply, weight_per_length(density, area(ply.b, ply.d))


@dataclass(frozen=True, eq=False)
class Weight:
    """Something that is lifted.

    Attributes
    ----------
    what : str
    W : Value [lbf]
    hands : Value or None
        People who keep to the recommended limit, when the job says how they lift.
    """

    what: str
    W: Value
    hands: Value | None


def weights_of(house: House, work: Section, beam: Section) -> tuple[Weight, ...]:
    """Return what is lifted, and how many hands it needs.

    Parameters
    ----------
    house : House
    work, beam : Section
    """
    inputs, axis = house.inputs, house.axes[beam.path]
    stretch = house.stretches[beam.path]
    assert stretch is not None
    L = inputs.get(f"{work.path}.beam_length", length_along(*stretch))
    loads = {"the whole beam": weight_of_length(axis.weight, L)}
    if axis.piece.built_up:
        loads["a ply"] = weight_of_length(one_ply(house, beam)[1], L)
    hands: dict[str, Value] = {}
    for lift in work.inside.get("hand_lifts", {}).values():
        if isinstance(lift, Section) and lift.words["what"] in loads:
            handling = handling_of(lift, inputs)
            limits = [weight_limit(handling, V) for V in (handling.V_1, handling.V_2)]
            limit = min(limits, key=lambda each: each.at())
            hands[lift.words["what"]] = hands_needed(loads[lift.words["what"]], limit)
    return tuple(
        Weight(f"{what[:1].upper()}{what[1:]}", W, hands.get(what)) for what, W in loads.items()
    )


def handling_of(lift: Section, inputs: Mapping[str, Value]) -> Handling:
    """Return how a load is lifted by hand."""

    def number(key: str) -> Value:
        return inputs[f"{lift.path}.{key}"]

    V_1, V_2 = number("from_height"), number("to_height")
    return Handling(
        number("reach"), V_1, V_2, travel_of_hands(V_1, V_2), number("turn"),
        lifts_per_minute(number("lifts_an_hour")), str(lift.words["lasts"]),
        str(lift.words["grip"]), number("people"),
    )  # fmt: skip
