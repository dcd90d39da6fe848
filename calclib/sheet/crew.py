"""The crew sheet: one page to hang on the wall, and the lists as CSV."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING

from markupsafe import Markup

from calclib.errors import InputError, message
from calclib.job.state import BEAM_UP, NAMES
from calclib.job.work.cutting import csv_text
from calclib.job.work.holds import HoldPoint, hold_points
from calclib.job.work.stages import Worked
from calclib.sheet import page
from calclib.sheet.display import Display
from calclib.sheet.tables import table
from calclib.sheet.work import grouped, holds_of, strip_figure, year_of

if TYPE_CHECKING:
    from calclib.job.solve import Solved

DEFER = (
    "The engineer's review, the permit and local code go before this page. Stop and ask when the "
    "house is not as it says."
)


def render_crew(solved: Solved) -> str:
    """Return the crew sheet of a job as one HTML page.

    Parameters
    ----------
    solved : Solved

    Raises
    ------
    InputError
        When the job has no work section.
    """
    _require_work(solved)
    display = Display(solved.job.title_block["units"] == "SI")
    body = Markup("").join(_crew(solved, worked, display) for worked in solved.works)
    title = f"Crew sheet: {solved.job.title_block['title']}"
    return page.wrap(title, page.footer(solved), body)


def _require_work(solved: Solved) -> None:
    if not solved.works:
        raise InputError(
            message(f"{solved.job.file}, work", "the work in stages", "nothing",
                    'Write [work.opening], and below it beam = "beams.opening".')
        )  # fmt: skip


def _crew(solved: Solved, worked: Worked, display: Display) -> Markup:
    failing = [c for c in solved.checks if c.state == "fails"]
    opened = [c for c in solved.checks if c.state == "open"]
    stop = (
        Markup(
            '<p class="stop"><strong>Do not start: {} checks fail and {} are open on the '
            "calc sheet.</strong></p>"
        ).format(len(failing), len(opened))
        if failing or opened
        else Markup("")
    )
    return Markup(
        '<section class="crew"><h1>{}</h1><p>{} rev. {}. {}</p>{}'
        "<figure>{}</figure>"
        '<div class="crew-order">{}</div>{}<div class="crew-lists">{}</div></section>'
    ).format(
        solved.job.title_block["title"], solved.job.title_block["number"],
        solved.job.title_block["revision"], DEFER, stop,
        Markup(strip_figure(worked, in_a_row=True).svg), Markup("").join(_order(worked)),
        _careful(worked), Markup("").join(_tables(worked, display)),
    )  # fmt: skip


def _groups(worked: Worked) -> list[tuple[str, str, tuple[HoldPoint, ...]]]:
    groups = [("Before the work", "", hold_points("before work", year_of(worked)))]
    for number, stage in enumerate(worked.stages, start=1):
        name = f"{number}. {NAMES[stage.key].capitalize()}"
        groups.append((name, stage.says[0], holds_of(worked, stage.key)))
    return groups


def _order(worked: Worked) -> Iterator[Markup]:
    for name, says, points in _groups(worked):
        lines = Markup("").join(
            Markup('<li><span aria-hidden="true">&#9744; </span>{}</li>').format(point.text)
            for point in points
            if point.kind == "hold point"
        )
        said = Markup("<p>{}</p>").format(says) if says else Markup("")
        yield Markup("<div><h2>{}</h2>{}<ul>{}</ul></div>").format(name, said, lines)


def _careful(worked: Worked) -> Markup:
    found = [p.text for *_, points in _groups(worked) for p in points if p.kind == "caution"]
    return Markup('<p class="careful"><strong>Careful.</strong> {}</p>').format(" ".join(found))


def _tables(worked: Worked, display: Display) -> Iterator[Markup]:
    yield table(
        "Cut list",
        ("Piece", "Section", "Count", "Length", "Where"),
        [
            (what[:1].upper() + what[1:], section, count, display.length(length.at()), where)
            for what, section, count, length, where in grouped(worked)
        ],
        numeric=(2, 3),
    )
    yield table("Weights and hands", ("What", "Weight", "Hands"), list(_weights(worked, display)),
                numeric=(1,))  # fmt: skip


def _weights(worked: Worked, display: Display) -> Iterator[tuple[object, ...]]:
    for weight in worked.weights:
        hands = "not entered"
        if weight.hands is not None:
            n = weight.hands.at()
            hands = "no number of hands" if math.isinf(n) else f"{n:.0f} at least; plan the lift"
        yield weight.what, display.value(weight.W), hands
    for each in worked.checks:
        if each.id == f"{BEAM_UP}/{worked.section.path}/lift":
            rated = "not given" if each.capacity is None else display.value(each.capacity)
            yield "Lift, rated at", rated, "-"


def csv_lists(solved: Solved) -> dict[str, str]:
    """Return the lists of a job as CSV texts, by file name.

    Parameters
    ----------
    solved : Solved

    Raises
    ------
    InputError
        When the job has no work section.
    """
    _require_work(solved)
    found = {}
    for worked in solved.works:
        for name, rows in (
            ("cuts", worked.lists.cuts),
            ("materials", worked.lists.materials),
            ("connectors", worked.lists.connectors),
        ):
            if rows:
                found[f"{worked.section.name}_{name}.csv"] = csv_text(rows)
    return found
