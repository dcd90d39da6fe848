"""What ties members to each other: caps, bases, braces of beam ends, ties of cut plates."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from calclib import published
from calclib.job.bent import Bent, design_of
from calclib.job.carry import Flow
from calclib.job.contents import Section
from calclib.job.house import on_plan, unbalanced_on
from calclib.job.member import LoadRow, hogging_moment, sagging_moment
from calclib.job.schema import called
from calclib.job.sums import line_over_cases, sum_over_cases
from calclib.job.work.practice import practice
from calclib.loads.takedown import load_over_length
from calclib.trace import (
    Check,
    Condition,
    Value,
    check,
    formula,
    leaf,
    maximum,
    positive,
    utilization,
)
from calclib.units import factor, lbf

POSITIVE = "IRC R502.9: posts and beams are tied against uplift and sliding"
TIE = "irc-2018-r602-6-1"
# The last parts of the ids of what stands in the schedule of connections.
SCHEDULED = (
    "hanger",
    "cap",
    "foot",
    "ends",
    "twist",
    "ply_nails",
    "plate_tie",
    "notch_tie",
    "rafter_tie",
)


@formula("T_up", "lbf", R="lbf", source="mechanics, statics", valid={"R": (None, None)})
def net_uplift(R):  # type: ignore[no-untyped-def]
    """Force that lifts a member off what carries it.

    Parameters
    ----------
    R : float or array [lbf]
        Load on what carries it, down positive.

    Returns
    -------
    float or array [lbf]
        Zero where it presses.

    Notes
    -----
    Valid for: any load; wind is not among the loads of the job.
    Differs from the source: nothing.
    """
    return maximum(0 * lbf - R, 0 * lbf)


@formula("F_br", "lbf", k_br="", M_sag="lbf*in", M_hog="lbf*in", d="in",
         source="common practice: a share of the compression in the edge",
         valid={"k_br": positive, "M_sag": (None, None), "M_hog": (None, None),
                "d": positive})  # fmt: skip
def end_brace_force(k_br, M_sag, M_hog, d):  # type: ignore[no-untyped-def]
    """Force across a beam that holds its end from turning over.

    Parameters
    ----------
    k_br : float or array [dimensionless]
        Share of the compression that a brace is made for.
    M_sag : float or array [lbf*in]
        Size of the largest sagging moment.
    M_hog : float or array [lbf*in]
        Size of the largest hogging moment.
    d : float or array [in]
        Depth of the beam.

    Returns
    -------
    float or array [lbf]
        Zero or more.

    Notes
    -----
    Valid for: rectangles, in which the compression acts two thirds of the depth from the tension.
    Differs from the source: no clause gives a number; NDS 2018 3.3.3.4 asks that ends be held.
    """
    return k_br * maximum(M_sag, M_hog) / (2 * d / 3)


@formula("s_cut", "", b_notch="in", b_plate="in", source="geometry",
         valid={"b_notch": positive, "b_plate": positive})  # fmt: skip
def share_cut(b_notch, b_plate):  # type: ignore[no-untyped-def]
    """Share of a plate's width that a notch takes.

    Parameters
    ----------
    b_notch : float or array [in]
        Width that is cut out.
    b_plate : float or array [in]
        Width of the plate.

    Returns
    -------
    float or array [dimensionless]
        1 for a plate that is cut through.

    Notes
    -----
    Valid for: both above zero.
    Differs from the source: nothing.
    """
    return b_notch / b_plate


@formula("h", "plf", q="psf", l="ft", m_r="", source="mechanics, statics of a pair of rafters",
         valid={"q": (None, None), "l": positive, "m_r": positive})  # fmt: skip
def rafter_thrust(q, l, m_r):  # type: ignore[no-untyped-def]  # noqa: E741
    """Thrust of rafters at their feet when nothing holds up the ridge.

    Parameters
    ----------
    q : float or array [psf]
        Load on the plan.
    l : float or array [ft]
        From the foot to the ridge, on the level.
    m_r : float or array [dimensionless]
        Rise over run.

    Returns
    -------
    float or array [plf]
        For each foot along the wall; of the sign of the load.

    Notes
    -----
    Valid for: two equal slopes, load even over them, ties at the feet.
    Differs from the source: nothing; a ridge that is carried takes some or all of it away.
    """
    return q * l / (2 * m_r)


def connection_checks(flow: Flow, bents: Sequence[Bent]) -> Iterator[Check]:
    """Yield a check for each connection that the finished house needs.

    Parameters
    ----------
    flow : Flow
        Of the finished house.
    bents : sequence of Bent
        Its beams and joists.

    Yields
    ------
    Check
        Open where no capacity, or no connection, was told.
    """
    for bent in bents:
        if bent.section.kind != "beams":
            continue
        for place, seat in enumerate(bent.section.seats()):
            if seat.words["on"].startswith("posts."):
                yield _cap(flow, bent, place, seat)
            elif _is_hung(flow, seat):
                yield _hanger(flow, bent, place, seat)
        yield _ends(flow, bent)
        if _cuts_plates(bent.section):
            yield _plate_tie(flow, bent)
    for section in flow.state.members.values():
        if section.kind == "posts" and flow.landed[section.path]:
            yield _foot(flow, section)
        if "plate_notch" in section.numbers:
            yield _notch(flow, section)
        cut = [strip for strip in flow.strips.get(section.path, ()) if strip.cut_at]
        if cut and "ties" in section.words:
            yield _rafter_tie(flow, section)


def _told(flow: Flow, kind: str, *joins: str) -> Section | None:
    """Return the connection of a kind that joins given members; None when none was told."""
    for section in flow.house.job.of("connections").values():
        if section.words["kind"] == kind and set(section.words["joins"]) == set(joins):
            return section
    return None


def _tied(
    id: str,
    title: str,
    flow: Flow,
    told: Section | None,
    load: tuple[Value, tuple[str, ...]],
    missing: str,
    *,
    clause: str = POSITIVE,
) -> Check:
    """Return the check of a cap, base or hanger, by what it is listed for."""
    R, cases = load
    lifts = net_uplift(R)
    inputs = flow.house.inputs
    path = "" if told is None else told.path
    capacity, uplift = inputs.get(f"{path}.capacity"), inputs.get(f"{path}.uplift")
    if told is None or (capacity is None and uplift is None):
        return check(id, title, clause, R, None, cases=cases, questions=(missing,))
    clause = f"listed capacity by {told.words['report']}; {clause}"
    notes = (*_detail(told), LISTED)
    if capacity is None:
        return check(
            id, title, clause, lifts, uplift, cases=cases,
            notes=(*notes, "Pressing load goes by wood on wood, which has its own check."),
        )  # fmt: skip
    conditions: tuple[Condition, ...] = ()
    questions: tuple[str, ...] = ()
    if uplift is not None:
        conditions = (
            Condition(
                "The listed capacity against uplift is enough.",
                utilization(lifts, uplift),
                told.words["report"],
            ),
        )
    elif float(lifts.number.max()) > 0:
        questions = (f"{title}: some load case lifts, and no capacity against it was told.",)
    return check(
        id, title, clause, R, capacity, cases=cases, conditions=conditions, questions=questions,
        notes=notes,
    )  # fmt: skip


LISTED = (
    "The listed capacity is for the load duration, the wood and the fasteners that the report "
    "names: see that they are those of this job. Wind and earthquake are not in the demand."
)


def _detail(told: Section | None) -> tuple[str, ...]:
    if told is None or "detail" not in told.words:
        return ()
    return (f"Told as: {told.words['detail']}.",)


def _cap(flow: Flow, bent: Bent, place: int, seat: Section) -> Check:
    post = seat.words["on"]
    return _tied(
        bent.settings.id_of(f"cap.{seat.name}"),
        f"Cap of {called(post)} under {bent.settings.name}",
        flow,
        _told(flow, "post cap", bent.section.path, post),
        (bent.reactions[place], bent.strength.names),
        "What ties beams to the tops of their posts was not told with its listed capacity.",
    )


def _is_hung(flow: Flow, seat: Section) -> bool:
    """Tell whether a beam hangs at the side of another: one that lies between the joists."""
    below = flow.state.members.get(seat.words["on"])
    return below is not None and below.words.get("setting") == "flush"


def _hanger(flow: Flow, bent: Bent, place: int, seat: Section) -> Check:
    below = seat.words["on"]
    return _tied(
        bent.settings.id_of(f"hanger.{seat.name}"),
        f"Hanger of {bent.settings.name} at {called(below)}",
        flow,
        _told(flow, "beam hanger", bent.section.path, below),
        (bent.reactions[place], bent.strength.names),
        f"{bent.settings.name.capitalize()} hangs at the side of {called(below)}, which lies "
        "between the joists: its hanger was not told with its listed capacity.",
        clause="IRC R502.6.2, hangers by their report",
    )


def _foot(flow: Flow, section: Section) -> Check:
    path, below = section.path, section.words["rests_on"]
    found = sum_over_cases(flow.landed[path], called(path), design_of(flow.house.job))
    assert found is not None
    P, cases = found
    return _tied(
        f"{flow.state.key}/{path}/foot",
        f"Base of {called(path)}",
        flow,
        _told(flow, "post base", path, below) or _told(flow, "post base", path),
        (P, cases.names),
        "What ties the feet of posts to what they stand on was not told with its listed capacity.",
    )


def _ends(flow: Flow, bent: Bent) -> Check:
    told = _told(flow, "end brace", bent.section.path)
    sagging, *_ = sagging_moment(bent.solution, bent.strength.factors)
    hogging, *_ = hogging_moment(bent.solution, bent.strength.factors)
    force = end_brace_force(practice("end brace of a beam", "k_br"), sagging, hogging, bent.piece.d)
    capacity = None if told is None else flow.house.inputs.get(f"{told.path}.capacity")
    by = f" by {told.words['report']}" if told is not None and "report" in told.words else ""
    return check(
        bent.settings.id_of("ends"),
        f"Bracing of the ends of {bent.settings.name}",
        f"NDS 2018 3.3.3.4, 4.4.1: ends held from turning{by}",
        force,
        capacity,
        cases=bent.strength.names,
        questions=(
            ()
            if capacity is not None
            else (
                "What holds the ends of beams from turning over (blocking, a cap with sides, "
                "joists nailed to them) was not told with its capacity.",
            )
        ),
        notes=(
            *_detail(told),
            "At each bearing, across the beam at its top; the share is a habit of the trade.",
        ),
    )


def _cuts_plates(beam: Section) -> bool:
    said = beam.words.get("plates")
    return said == "cut" or (said is None and "replaces" in beam.words)


def _plate_tie(flow: Flow, bent: Bent) -> Check:
    """Return the check of what ties the top plates that a beam cuts."""
    path, inputs = bent.section.path, flow.house.inputs
    told = _told(flow, "plate tie", path)
    force = inputs.get(f"{path}.plate_tie_force")
    capacity = None if told is None else inputs.get(f"{told.path}.capacity")
    name = bent.settings.name
    questions = []
    if "plates" not in bent.section.words:
        questions.append(
            f"Whether the top plates of the wall run through above {name} was not told; if they "
            "are cut, the code asks for their continuity."
        )
    if force is None:
        questions.append(
            f"The force that ties the top plates where {name} cuts them is for the engineer."
        )
    if capacity is None:
        questions.append(f"No tie of the top plates past {name} was told with its capacity.")
    return check(
        bent.settings.id_of("plate_tie"),
        f"Tie of the top plates that {name} cuts",
        f"IRC R602.3.2; listed capacity by {told.words['report']}" if told else "IRC R602.3.2",
        force,
        None if force is None else capacity,
        questions=tuple(questions),
        notes=_detail(told),
    )


def _rafter_tie(flow: Flow, joists: Section) -> Check:
    """Return the check of what ties the rafters where their ties are cut."""
    house, path = flow.house, joists.path
    rafters = house.section(joists.words["ties"])
    told = _told(flow, "rafter tie", path)
    capacity = None if told is None else house.inputs.get(f"{told.path}.capacity")
    force, cases = _thrust(flow, joists, rafters)
    name, of = called(path), called(rafters.path)
    questions = []
    if force is None:
        questions.append(f"The thrust of {of} is for the engineer: pitch and one span say it.")
    if capacity is None:
        questions.append(
            f"{name.capitalize()} tied {of} and are cut: what ties them now was not told with its "
            "capacity."
        )
    return check(
        f"{flow.state.key}/{path}/rafter_tie",
        f"Tie of {of} across the cut in {name}",
        f"IRC R802.5.2; listed capacity by {told.words['report']}" if told else "IRC R802.5.2",
        force,
        None if force is None else capacity,
        cases=cases,
        questions=tuple(questions),
        notes=(
            f"Told as: {joists.words['tie']}.",
            "At each joist, as if nothing held up the ridge; wind is not in it.",
        ),
    )


def _thrust(flow: Flow, joists: Section, rafters: Section) -> tuple[Value | None, tuple[str, ...]]:
    """Return the thrust of rafters that one joist ties, by case; None when it is not known."""
    house, path = flow.house, rafters.path
    if not {"pitch", "span"} <= set(rafters.numbers):
        return None, ()
    run, slope = house.inputs[f"{path}.span"], house.inputs[f"{path}.pitch"]
    loads = [
        ("", source, q)
        for source, q in on_plan(
            rafters, house.surfaces[rafters.words["surface"]], house.inputs
        ).items()
    ]
    loads += [
        (way, "S", q) for way, q in unbalanced_on(rafters, house.surfaces, flow.state.members)
    ]
    rows = [
        LoadRow(source, path, called(path), rafter_thrust(q, run, slope), way=way)
        for way, source, q in loads
    ]
    found = line_over_cases(rows, called(path), design_of(house.job))
    if found is None:
        return None, ()
    h, cases = found
    return load_over_length(h, house.inputs[f"{joists.path}.spacing"]), cases.names


def _code(item: str, symbol: str) -> Value:
    row = published.find(TIE, item=item)
    unit = row.text("unit")
    return leaf(
        row.number("value") * factor(unit), unit, symbol, f"{TIE}/{item}", title=item,
        basis="required by code", source=row.printed, note=f"read in: {row.source}",
    )  # fmt: skip


def _notch(flow: Flow, wall: Section) -> Check:
    """Return the check of a top plate that is cut for a pipe, by its tie when that is told."""
    path, inputs = wall.path, flow.house.inputs
    id, name = f"{flow.state.key}/{path}/notch_tie", called(path)
    told = _told(flow, "notch tie", path)
    if told is None:
        return check(
            id,
            f"Top plate of {name} at a pipe, without a tie",
            "IRC 2018 R602.6.1",
            share_cut(inputs[f"{path}.plate_notch"], inputs[f"{path}.plate_width"]),
            _code("share of the plate that may be cut without a tie", "s_max"),
            notes=("A plate that is cut further is tied across the cut.",),
        )

    def ratio(item: str, symbol: str, key: str) -> Any:
        return utilization(_code(item, symbol), inputs[f"{told.path}.{key}"])

    return check(
        id,
        f"Tie of the top plate of {name} at a pipe",
        "IRC 2018 R602.6.1",
        _code("nails at each side", "n_min"),
        inputs[f"{told.path}.nails"],
        conditions=(
            Condition(
                "The tie is at least 0.054 in thick.",
                ratio("thickness of the tie", "t_min", "thickness"),
                "IRC 2018 R602.6.1",
            ),
            Condition(
                "The tie is at least 1-1/2 in wide.",
                ratio("width of the tie", "b_min", "width"),
                "IRC 2018 R602.6.1",
            ),
        ),
        notes=(
            *_detail(told),
            "Galvanized steel across the cut, 6 in past it at each side; nails 0.148 in by "
            "1-1/2 in.",
        ),
    )
