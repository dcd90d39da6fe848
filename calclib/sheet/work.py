"""The sections of the sheet on the work: its stages, and the lists for the site."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from markupsafe import Markup

from calclib.job.schema import called
from calclib.job.state import (
    AS_FOUND,
    BEAM_UP,
    FINISHED,
    JOISTS_HUNG,
    NAMES,
    POSTS_IN,
    SHORING_OUT,
    SHORING_UP,
    WALL_OUT,
)
from calclib.job.work.holds import HoldPoint, hold_points
from calclib.job.work.shores import Shore
from calclib.job.work.stages import Worked, by_stage
from calclib.loads.combinations import SOURCE_NAMES
from calclib.sheet.display import Display
from calclib.sheet.figures_canvas import PAGE_WIDTH, Figure
from calclib.sheet.figures_stages import COLUMNS, Panel, Strip, stage_strip
from calclib.sheet.tables import table
from calclib.trace.check import ratio_text
from calclib.units import dimension

if TYPE_CHECKING:
    from calclib.job.solve import Solved
    from calclib.sheet.sections import Printing
    from calclib.trace import Check, Value

HOLDS = {
    SHORING_UP: ("shoring up",),
    WALL_OUT: ("wall out",),
    POSTS_IN: ("posts in",),
    BEAM_UP: ("lift", "beam up"),
    JOISTS_HUNG: ("joists hung",),
    SHORING_OUT: ("shoring out",),
}
# Text width of a Letter page on its side, in points.
LANDSCAPE = 727.0


def stages(solved: Solved, printing: Printing) -> Markup:
    """Return the stages of each work: what carries, how hard, and what must be true first."""
    parts = [Markup("<h2>Stages of the work</h2>")]
    for worked in solved.works:
        parts += list(_work(solved, worked, printing.display))
    return Markup("").join(parts)


def _work(solved: Solved, worked: Worked, display: Display) -> Iterator[Markup]:
    if len(solved.works) > 1:
        yield Markup("<h3>{}</h3>").format(worked.name.capitalize())
    needed = "1 shore is" if worked.needed == 1 else f"{worked.needed} shores are"
    yield Markup("<p>{} needed. {}</p>").format(needed, worked.reason)
    if worked.fallen:
        yield Markup(
            '<div class="caution"><p>With the wall out nothing holds these: {}.</p></div>'
        ).format(", ".join(worked.fallen))
    figure = strip_figure(worked)
    yield Markup("<figure>{}<figcaption>{}</figcaption></figure>").format(
        Markup(figure.svg), figure.caption
    )
    yield table(
        "Stages in order",
        ("Stage", "What is done, and what carries"),
        [
            (f"{number}. {NAMES[stage.key].capitalize()}", " ".join(stage.says))
            for number, stage in enumerate(worked.stages, start=1)
        ],
    )
    yield _through(solved, worked)
    yield _distances(worked, display)
    yield from _studs(worked, display)
    yield _fit(worked, display)
    yield _along(worked, display)
    yield from _balance(worked, display)
    yield _holds(worked)


def strip_figure(worked: Worked, *, in_a_row: bool = False) -> Figure:
    """Return the strip of small elevations of a work, for a page on its side when in a row."""
    flush = worked.beam.words["setting"] == "flush"
    by_toward = {side.toward: side for side in worked.sides}
    towards = list(by_toward)[:2]
    while len(towards) < 2:
        towards.append("")
    names = tuple(
        (by_toward[t].shore.name.replace("_", " ") if t and by_toward[t].shore else "")  # type: ignore[union-attr]
        for t in towards
    )
    strip = Strip(
        called(towards[0]) if towards[0] else "",
        called(towards[1]) if towards[1] else "",
        names,  # type: ignore[arg-type]
        flush,
        "wall_above" in worked.section.words,
        (bool(towards[0]), bool(towards[1])),
    )
    posts_first = worked.section.words["order"] == "posts first"
    panels = []
    for stage in worked.stages:
        key = stage.key
        early = key in (SHORING_UP, WALL_OUT)
        shored = "out" if key == SHORING_OUT else "stands"
        wall = {SHORING_UP: "stands", WALL_OUT: "out"}.get(key, "")
        hung = key in (JOISTS_HUNG, SHORING_OUT)
        beam = "" if early else ("stands" if hung else "idle")
        posts = beam
        if key == POSTS_IN and posts_first:
            beam = ""
        if key == BEAM_UP and not posts_first:
            posts = ""
        joists = "whole" if not flush or key == SHORING_UP else ("hung" if hung else "cut")
        panels.append(
            Panel(
                NAMES[key].capitalize(), wall, beam, posts,
                tuple(shored if name else "" for name in names),  # type: ignore[arg-type]
                joists,
            )
        )  # fmt: skip
    title = f"Stages of the {worked.name}"
    columns, width = (len(panels), LANDSCAPE) if in_a_row else (COLUMNS, PAGE_WIDTH)
    figure_id = f"stages-{worked.section.name}"
    return stage_strip(strip, panels, figure_id, title, columns=columns, width=width)


def _label(member: str) -> str:
    """Return a member of the work, or of the house, in words."""
    kind, _, rest = member.partition(".")
    if kind != "work":
        return called(member)
    _, *inner = rest.split(".")
    if not inner:
        return "beam on its way"
    name = inner[0].replace("_", " ")
    what = inner[1] if len(inner) > 1 else ""
    words = {
        "joists": f"joists on the {name} shore",
        "sill": f"sill of the {name} shore",
        "below": f"floor under the {name} shore",
        "carried_down": f"posts below the {name} shore",
    }
    return words.get(what, "needles" if name == "needles" else f"{name} shore")


def _member_of(each: Check) -> str:
    member = each.id.split("/")[1]
    parts = member.split(".")
    return ".".join(parts[:4] if parts[0] == "work" else parts[:2])


def _is_strength(each: Check) -> bool:
    """Tell whether a check is about force or stress, and not about lengths or counts."""
    kind = dimension(each.demand.unit) if each.demand is not None else None
    return kind is None or kind not in (dimension("in"), dimension(""))


def _through(solved: Solved, worked: Worked) -> Markup:
    """Return the table of utilization through the stages, one line for each member."""
    keys = [stage.key for stage in worked.stages]
    columns = [AS_FOUND, *keys, FINISHED]
    stressed = [each for each in solved.checks if _is_strength(each)]
    found = by_stage(worked, stressed, _member_of)
    computed = [
        each
        for row in found.values()
        for here in row.values()
        for each in here
        if each.ratio is not None
    ]
    worst = max(computed, key=lambda each: each.worst) if computed else None
    rows = []
    for member in sorted(found, key=lambda m: (not m.startswith("work"), m)):
        cells = [_cell(found[member].get(key, ()), worst) for key in columns]
        rows.append((_label(member).capitalize(), *cells))
    note = Markup(
        "<p>The largest utilization of each member in each stage; a dash where nothing is checked "
        "anew. Shores, and what they stand on, work from the day they are set until they leave."
        "{}</p>"
    ).format(f" The worst moment: {worst.title}, {ratio_text(worst.worst)}." if worst else "")
    return note + table(
        "Utilization through the stages",
        ("Member", *(NAMES[key].capitalize() for key in columns)),
        rows,
        numeric=range(1, len(columns) + 1),
        kind="stages",
    )


def _cell(here: tuple[Check, ...], worst: Check | None) -> object:
    if not here:
        return "-"
    computed = [each for each in here if each.ratio is not None]
    text = f"{ratio_text(max(each.worst for each in computed))} " if computed else ""
    states = {each.state for each in here}
    mark = "FAILS" if "fails" in states else "OPEN" if "open" in states else ""
    kind = Markup("<strong>{}{}</strong>") if worst in here else Markup("{}{}")
    return kind.format(text, mark)


def _distances(worked: Worked, display: Display) -> Markup:
    rows = []
    for name, found in worked.distances.items():
        for each in found[:3]:
            rows.append(
                (
                    f"{name.replace('_', ' ')} shore",
                    each.title,
                    f"no limit up to {display.length(each.looked)}"
                    if each.greatest is None
                    else display.length(each.greatest),
                )
            )
    if not rows:
        return Markup("")
    return table(
        "How far from the wall's line a shore may stand, by the checks that limit it first",
        ("Shore", "Check", "Greatest distance"),
        rows,
        numeric=(2,),
    )


def _studs(worked: Worked, display: Display) -> Iterator[Markup]:
    for shore in worked.shores:
        if shore.shored is None:
            continue
        sources = list(shore.shored.studs[0].loads)
        rows = [
            (
                stud.name,
                display.length(stud.x.at()),
                *(display.value(stud.loads[source]) for source in sources),
                display.value(stud.P),
            )
            for stud in shore.shored.studs
        ]
        name = shore.section.name.replace("_", " ")
        yield Markup("<p>{}</p>").format(_rows_of_braces(shore, name))
        yield table(
            f"Studs of the {name} shore, with every load in place, and the most in any case",
            ("Stud", "From its left end",
             *(SOURCE_NAMES[source].capitalize() for source in sources),  # type: ignore[index]
             "Most"),
            rows,
            numeric=range(1, len(sources) + 3),
        )  # fmt: skip


def _rows_of_braces(shore: Shore, name: str) -> str:
    given = int(shore.section.numbers["brace_rows"].number)
    slender = int(shore.rows_by_slenderness.at())
    for_load = shore.rows_for_load
    asks = "no number of rows does it" if for_load is None else f"its load for {for_load}"
    return (
        f"Rows of braces in the {name} shore: {given}. The slenderness of its studs asks for "
        f"{slender}, {asks}."
    )


def _fit(worked: Worked, display: Display) -> Markup:
    """Return the lengths that the beam asks for, as a carpenter reads them."""
    fit = worked.fit
    rows: list[tuple[str, Value | None]] = [("Length of the beam", fit.length)]
    if fit.clear is not None:
        rows.insert(0, ("Clear length at its place, the least", fit.clear))
    if fit.flush is not None:
        towards = list(dict.fromkeys(side.toward for side in worked.sides))
        cuts = zip(towards, (fit.flush.near, fit.flush.other), strict=False)
        rows += [
            ("Rise above the subfloor", fit.flush.rise),
            ("Rise above the tops of the joists", fit.flush.step),
            ("Slot in the subfloor", fit.flush.slot),
            *((f"Joists and blocking cut back from the line, toward {called(t)}", c)
              for t, c in cuts),
            ("Nailer at the slot's edge, in each bay", fit.flush.nailer),
            ("Studs of the wall above, new length", fit.flush.stud),
        ]  # fmt: skip
    kind = "as entered" if fit.is_cut else "center to center of its bearings, not entered"
    return table(
        f"Fit of the beam; its length is {kind}",
        ("What", "Length"),
        [(what, display.length(value.at())) for what, value in rows if value is not None],
        numeric=(1,),
    )


def _along(worked: Worked, display: Display) -> Markup:
    if not worked.fit.rows:
        return Markup("")
    return table(
        "The level beam against the joists where they were taped",
        ("Place", "Below the joists' bottoms", "Above the subfloor"),
        [
            (row.place, display.length(row.drop.at()), display.length(row.rise.at()))
            for row in worked.fit.rows
        ],
        numeric=(1, 2),
    )


def _balance(worked: Worked, display: Display) -> Iterator[Markup]:
    if worked.flow is None:
        yield Markup(
            "<p>The loads of the whole house with the wall out could not be followed to the "
            "ground: see what is open.</p>"
        )
        return
    from calclib.job.carry import balance

    yield table(
        "Balance with the wall out: what enters the house and what reaches the ground",
        ("Source", "Enters", "Reaches the ground", "Relative difference"),
        [
            (
                SOURCE_NAMES[source],  # type: ignore[index]
                display.number(entered, "lbf"),
                display.number(left, "lbf"),
                f"{abs(entered - left) / max(entered, 1e-9):.0e}",
            )
            for source, (entered, left) in balance(worked.flow).items()
        ],
        numeric=(1, 2, 3),
    )


def year_of(worked: Worked) -> int | None:
    """Return the year in which the house was built, when the job says it."""
    year = worked.section.numbers.get("year_built")
    return None if year is None else int(year.number)


def holds_of(worked: Worked, key: str) -> tuple[HoldPoint, ...]:
    """Return the hold points and cautions of a stage of a work."""
    return tuple(p for name in HOLDS[key] for p in hold_points(name, year_of(worked)))


def _holds(worked: Worked) -> Markup:
    groups = [("Before the work", hold_points("before work", year_of(worked)))]
    groups += [(NAMES[s.key].capitalize(), holds_of(worked, s.key)) for s in worked.stages]
    rows = []
    for name, points in groups:
        for point in points:
            memory = ", from memory" if point.status == "memory" else ""
            rows.append(
                (
                    name,
                    Markup('<span aria-hidden="true">&#9744;</span> {}').format(point.text)
                    if point.kind == "hold point"
                    else f"Caution: {point.text}",
                    f"{point.clause}{memory}",
                )
            )
    return table(
        "Hold points: what must be true before each stage goes on",
        ("Stage", "Hold point or caution", "Source"),
        rows,
    )


def lists(solved: Solved, printing: Printing) -> Markup:
    """Return cut list, materials and connectors of each work."""
    parts = [Markup("<h2>Lists for the site</h2>")]
    for worked in solved.works:
        parts += list(list_tables(worked, printing.display))
    return Markup("").join(parts)


def grouped(worked: Worked) -> list[tuple[str, str, int, Value, str]]:
    """Return the cuts, alike ones together: what, section, count, length, where."""
    rows: dict[tuple[str, str, int], list[Any]] = {}
    for row in worked.lists.cuts:
        key = (row.what, row.section, round(row.length.at() * 16))
        found = rows.setdefault(key, [row.what, row.section, 0, row.length, []])
        found[2] += row.count
        found[4] += list(row.places)
    return [(w, s, n, length, _places(places)) for w, s, n, length, places in rows.values()]


def _places(places: list[str]) -> str:
    names = list(dict.fromkeys(place.partition(", ")[0] for place in places))
    return ", ".join(names) if len(names) <= 3 else f"{names[0]} to {names[-1]}"


def list_tables(worked: Worked, display: Display) -> Iterator[Markup]:
    """Yield the lists of a work as tables."""
    lists = worked.lists
    yield table(
        f"Cut list, {worked.name}; the CSV lists tie each piece to its measurement",
        ("Piece", "Section", "Count", "Length", "Where"),
        [
            (what[:1].upper() + what[1:], section, count, display.length(length.at()), where)
            for what, section, count, length, where in grouped(worked)
        ],
        numeric=(2, 3),
    )
    yield table(
        "Materials to buy, without waste beyond the saw's",
        ("Section", "Stock length", "Count", "Board feet"),
        [
            (
                row.section,
                "to length" if row.stock_ft is None else f"{row.stock_ft:g} ft",
                row.count,
                "-" if row.board_feet is None else f"{row.board_feet.at():.0f}",
            )
            for row in lists.materials
        ],
        numeric=(1, 2, 3),
    )
    if lists.connectors:
        yield table(
            "Hangers, caps, bases and straps",
            ("Kind", "Where", "Count", "Required", "Listed", "Report", "State"),
            [
                (
                    row.kind.capitalize(), row.where, row.count, display.value(row.demand),
                    "not given" if row.capacity is None else display.value(row.capacity),
                    row.report, row.state,
                )
                for row in lists.connectors
            ],
            numeric=(2, 3, 4),
        )  # fmt: skip
