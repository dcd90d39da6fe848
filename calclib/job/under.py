"""What carries the loads on below the beams: posts, walls, footings, the ground."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from calclib.ground.footing import (
    Pad,
    density_of_concrete,
    one_foot,
    pad_checks,
    presumptive_bearing,
    strip_checks,
    weight_of_stem,
)
from calclib.job.beam import below_of, contact_of
from calclib.job.bent import Design, design_of
from calclib.job.blocks import Blocking, below_blocking, blocking_checks, blocking_of
from calclib.job.carry import Flow
from calclib.job.contents import Section
from calclib.job.lines import Inputs
from calclib.job.member import LoadRow
from calclib.job.schema import GROUND, called
from calclib.job.studs import has_studs, plate_of, stud_of
from calclib.job.sums import is_line, line_over_cases, sum_over_cases
from calclib.job.wood import service_of, stock_size
from calclib.loads import CaseSet
from calclib.loads.takedown import load_over_length, part_of_load
from calclib.timber.bearing import contact_width, plate, strength_surface, surface
from calclib.timber.built_up import Fastening, nailing
from calclib.timber.column_checks import (
    built_up_post_check,
    eccentric_post_check,
    end_bearing_check,
    no_eccentricity,
    no_moment,
    post_check,
    share_of_a_ply,
    under_post_check,
)
from calclib.timber.columns import ColumnBracing, column_bracing
from calclib.timber.posts import Post, sawn_post, strength_post
from calclib.trace import Check, Value, check


def below_checks(flow: Flow, section: Section) -> Iterator[Check]:
    """Yield the checks of a post, wall or footing.

    Parameters
    ----------
    flow : Flow
    section : Section
    """
    if section.kind == "posts":
        yield from post_checks(flow, section)
    elif section.kind == "footings":
        yield from _footing_checks(flow, section)
    elif section.kind == "slabs":
        yield _slab_check(flow, section)


def post_checks(flow: Flow, section: Section) -> Iterator[Check]:
    """Yield the checks of a post: as a column, at its ends, and on what it stands.

    Parameters
    ----------
    flow : Flow
    section : Section
    """
    path, house = section.path, flow.house
    design = design_of(house.job)
    found = sum_over_cases(flow.landed[path], called(path), design)
    if found is None:
        return
    P, cases = found
    post, time = _post(section, house.inputs, design), design.time_factor(cases)
    title = called(path)

    def id_of(what: str) -> str:
        return f"{flow.state.key}/{path}/{what}"

    yield _column(id_of("axial"), section, post, P, time, cases, house.inputs, title)
    if "eccentricity" in section.numbers:
        yield _eccentric(id_of("eccentric"), section, post, P, time, cases, house.inputs, title)
    plated = section.words.get("cap_plate") == "yes"
    yield end_bearing_check(
        id_of("end"),
        post,
        P,
        time,
        cases.names,
        metal_plate=plated,
        title=f"End grain of {title}",
        contact=None if plated else _top(flow, section),
    )
    blocking = blocking_of(section, title, house.inputs, service_of(section), design)
    sides = post.piece.b, post.piece.d
    if blocking is not None:
        yield from blocking_checks(
            id_of("blocks"), blocking, P, sides, time, cases.names, house.inputs, design
        )
    below = flow.state.members.get(section.words["rests_on"])
    # On concrete that is known, the footing's own checks hold that of the bearing.
    known = below is not None and below.kind == "footings" and "concrete" in below.numbers
    if not known or blocking is not None:
        sides = below_blocking(blocking, sides)
        yield _base(id_of("base"), flow, section, sides, (P, cases), design, blocking)


def _top(flow: Flow, section: Section) -> tuple[Value, Value] | None:
    """Return the contact of the one beam on a post; None when there is none, or several."""
    house = flow.house
    found = [
        (axis, seat)
        for path, axis in house.axes.items()
        if path in flow.state.members
        for seat in axis.section.seats()
        if seat.words["on"] == section.path
    ]
    if len(found) != 1:
        return None
    ((axis, seat),) = found
    design = design_of(house.job)
    under = below_of(axis, seat, house.inputs, flow.state.members, house.axes, design)
    if under.blocking is not None or "metal_plate_length" in seat.numbers or "plate" in seat.words:
        return None
    return contact_of(axis.piece, under)


def _post(section: Section, inputs: Inputs, design: Design) -> Post:
    b, d = stock_size(section, inputs)
    plies = inputs.get(f"{section.path}.plies")
    several = plies is not None and plies.at() > 1
    made = sawn_post(
        section.words["species"],
        section.words["grade"],
        b,
        d,
        service_of(section),
        plies=plies if several else None,
    )
    return strength_post(made) if design.method == "LRFD" else made


def _bracing(section: Section, inputs: Inputs) -> ColumnBracing:
    path = section.path
    height = inputs[f"{path}.height"]
    flat = inputs.get(f"{path}.braced_flatwise", height)
    held = section.words.get("held_flatwise") == "yes"
    return column_bracing(inputs.get(f"{path}.braced_edgewise", height), None if held else flat)


def _column(
    id: str,
    section: Section,
    post: Post,
    P: Value,
    time: Value,
    cases: CaseSet,
    inputs: Inputs,
    title: str,
) -> Check:
    bracing = _bracing(section, inputs)
    named = f"{title.capitalize()} as a column"
    if post.n is not None:
        if "nail_length" not in section.numbers:
            return _plies_one_by_one(id, section, post, P, time, cases, bracing, named)
        return built_up_post_check(
            id, post, P, time, bracing, _nailing(section, inputs), cases.names, title=named
        )
    made = post_check(id, post, P, time, bracing, cases.names, title=named)
    if "eccentricity" in section.numbers:
        return made
    note = "The load is taken as centered; a beam that bears on a part of it brings a moment."
    return replace(made, notes=(*made.notes, note))


def _eccentric(
    id: str,
    section: Section,
    post: Post,
    P: Value,
    time: Value,
    cases: CaseSet,
    inputs: Inputs,
    title: str,
) -> Check:
    bracing = _bracing(section, inputs)
    e_2 = None if bracing.l_2 is None else no_eccentricity()
    none = no_moment(P)
    return eccentric_post_check(
        id,
        post,
        P,
        inputs[f"{section.path}.eccentricity"],
        e_2,
        none,
        None if e_2 is None else none,
        time,
        bracing,
        cases.names,
        title=f"{title.capitalize()}, load beside its middle",
    )


def _plies_one_by_one(
    id: str,
    section: Section,
    post: Post,
    P: Value,
    time: Value,
    cases: CaseSet,
    bracing: ColumnBracing,
    title: str,
) -> Check:
    """Check one ply of a pack whose nailing was not entered under its share of the load."""
    one = replace(post, n=None, piece=replace(post.piece, b=post.piece.material.b, built_up=False))
    share = part_of_load(P, share_of_a_ply(post.n))
    made = post_check(id, one, share, time, bracing, cases.names, title=title)
    note = (
        "The nailing of the pack was not entered, so it does not count as a built-up column "
        "(NDS 2018 15.3.3): each ply stands by itself and carries its share."
    )
    return replace(made, notes=(*made.notes, note))


def _nailing(section: Section, inputs: Inputs) -> Fastening:
    path, words = section.path, section.words

    def number(key: str) -> Value:
        return inputs[f"{path}.nail_{key}"]

    return nailing(
        number("diameter"),
        number("length"),
        end=number("end"),
        spacing=number("spacing"),
        edge=number("edge"),
        rows=number("rows"),
        rows_apart=inputs.get(f"{path}.nail_rows_apart"),
        opposite_faces=words["nail_faces"] == "opposite",
        staggered=words["nail_staggered"] == "yes",
    )


def _base(
    id: str,
    flow: Flow,
    section: Section,
    sides: tuple[Value, Value],
    load: tuple[Value, CaseSet],
    design: Design,
    blocking: Blocking | None,
) -> Check:
    """Return the check of what the post stands on, across its grain, or what is open there."""
    below = section.words["rests_on"]
    name, house, (P, cases) = called(section.path), flow.house, load
    on, width = None, sides[0]
    carrier = flow.state.members.get(below)
    if "plate" in section.words:
        on = plate(section.words["plate"], service_of(section), section.words["plate_grade"])
        on = strength_surface(on) if design.method == "LRFD" else on
    elif below in house.axes:
        axis = house.axes[below]
        on, width = surface(axis.piece), contact_width(sides[0], axis.piece.b)
        on = strength_surface(on) if design.method == "LRFD" else on
    elif carrier is not None and carrier.kind == "walls":
        on = plate_of(carrier, design)
    if on is None:
        place = "the ground" if below == GROUND else called(below)
        what = "what is" if blocking is not None else "the plate, blocking or concrete"
        return check(
            id,
            f"What {name} stands on",
            "NDS 2018 3.10; ACI 318; IRC R502.6",
            P,
            None,
            cases=cases.names,
            questions=(
                f"{name.capitalize()} stands on {place}: {what} right below it was not entered, "
                "and is to be checked for this load.",
            ),
        )
    made = under_post_check(
        id,
        P,
        width,
        sides[1],
        on,
        design.method,
        cases.names,
        title=f"Bearing of {name} on {'its plate' if 'plate' in section.words else called(below)}",
    )
    if blocking is not None:
        made = replace(made, notes=(*made.notes, "Pressed by the blocking below the post."))
    if "plate" in section.words or below not in house.axes:
        more = f"What lies below the plate under {name} is to be checked for the same load."
        return replace(made, questions=(*made.questions, more))
    return made


def _footing_checks(flow: Flow, section: Section) -> Iterator[Check]:
    """Yield the checks of a pad under posts, or of a footing under a wall."""
    path, house = section.path, flow.house
    edition = house.job.title_block["load_standard"]
    rows = flow.landed[path]
    on_it = [m for m in flow.state.members.values() if path in flow.state.carriers(m.path)]
    posts = [member for member in on_it if member.kind == "posts"]
    walls = [member for member in on_it if member.kind == "walls"]
    if walls and not posts and any(map(is_line, rows)):
        yield from _strip(flow, section, walls)
        return
    found = sum_over_cases(rows, called(path), Design(edition, "ASD"))
    factored = sum_over_cases(rows, called(path), Design(edition, "LRFD"))
    if found is None or factored is None or not posts or any(map(is_line, rows)):
        yield check(
            f"{flow.state.key}/{path}/soil",
            f"Load on {called(path)}",
            "IRC R401.4.1, R403.1",
            None,
            None,
            questions=(
                f"{called(path).capitalize()}: what stands on it is not posts alone, nor a wall "
                "alone; its size and the soil below are to be checked by the engineer.",
            ),
        )
        return
    post = _post(posts[0], house.inputs, Design(edition, "ASD"))
    (P, cases), (P_u, more) = found, factored
    pad = _pad(section, house.inputs, house.inputs[f"{path}.length"], post.piece.d, post.piece.b)
    yield from pad_checks(
        f"{flow.state.key}/{path}", pad, P, P_u, cases.names, more.names, name=called(path)
    )


def _pad(section: Section, inputs: Inputs, L: Value, c_1: Value, c_2: Value) -> Pad:
    path, words = section.path, section.words
    bearing = inputs.get(f"{path}.bearing_value")
    if "soil" in words:
        bearing = presumptive_bearing(words["soil"])
    return Pad(
        L=L,
        B=inputs[f"{path}.width"],
        h=inputs[f"{path}.thickness"],
        c_1=c_1,
        c_2=c_2,
        bearing=bearing,
        net=words.get("bearing_is") == "net",
        f_c_prime=inputs.get(f"{path}.concrete"),
    )


def _strip(flow: Flow, section: Section, walls: Sequence[Section]) -> Iterator[Check]:
    """Yield the checks of a footing under a wall, for one foot of it."""
    path, house, name = section.path, flow.house, called(section.path)
    inputs, edition = house.inputs, house.job.title_block["load_standard"]
    rows = list(flow.landed[path])
    stem = section.words.get("stem")
    thickness = None
    if stem is not None:
        thickness = inputs[f"{path}.stem_width"]
        w = weight_of_stem(density_of_concrete(), thickness, inputs[f"{path}.stem_height"])
        rows.append(LoadRow("D", path, f"foundation wall on {name}", w))
    elif has_studs(walls[0]):
        thickness = stud_of(walls[0], inputs, Design(edition, "ASD")).piece.d
    found, factored = (
        line_over_cases(rows, name, Design(edition, method)) for method in ("ASD", "LRFD")
    )
    assert found is not None
    assert factored is not None
    foot = one_foot()
    (P, cases), (P_u, more) = (
        (load_over_length(w, foot), of_method) for w, of_method in (found, factored)
    )
    points = [row for row in rows if not is_line(row)]
    if points:
        yield check(
            f"{flow.state.key}/{path}/points",
            f"Point loads on {name}",
            "IRC R403.1",
            None,
            None,
            questions=(
                f"Point loads come down on {name} through the wall on it: how far the wall "
                "spreads them is for the engineer; the checks of a foot leave them out.",
            ),
        )
    if thickness is None:
        yield check(
            f"{flow.state.key}/{path}/soil",
            f"Load on {name}",
            "IRC R401.4.1, R403.1",
            P,
            None,
            cases=cases.names,
            questions=(
                f"{name.capitalize()}: the thickness of the wall on it was not entered, nor "
                "whether a foundation wall stands between.",
            ),
        )
        return
    made = strip_checks(
        f"{flow.state.key}/{path}",
        _pad(section, inputs, foot, foot, thickness),
        P,
        P_u,
        cases.names,
        more.names,
        name=name,
        masonry=stem == "masonry",
    )
    note = "Of one foot of the footing, where the line load is largest."
    for each in made:
        yield replace(each, notes=(*each.notes, note))


def _slab_check(flow: Flow, section: Section) -> Check:
    """Return the open check of a slab, which is no footing."""
    path, name = section.path, called(section.path)
    rows = tuple(row for row in flow.landed[path] if row.end is None)
    found = sum_over_cases(rows, name, design_of(flow.house.job))
    return check(
        f"{flow.state.key}/{path}/footing",
        f"Load on {name}",
        "IRC R403.1, R506",
        found[0] if found else None,
        None,
        cases=found[1].names if found else (),
        questions=(
            f"{name.capitalize()}: a slab is not a footing. What is below it is to be opened and "
            "seen, and the engineer designs what carries this load.",
        ),
    )
