"""The section of the sheet on the load path: bands, balance, what changes, estimates."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from markupsafe import Markup

from calclib.job import audit
from calclib.job.carry import balance
from calclib.job.schema import called
from calclib.job.tree import most, percent
from calclib.loads.combinations import SOURCE_NAMES
from calclib.sheet import drawings_path
from calclib.sheet.display import Display
from calclib.sheet.tables import table
from calclib.trace.printing import closure_text

if TYPE_CHECKING:
    from calclib.job.solve import Solved
    from calclib.sheet.sections import Printing

NOTHING = Markup("")
CLAUSE = "IEBC 503.3, from memory"


def load_path(solved: Solved, printing: Printing) -> Markup:
    """Return the load path as bands, its balance, and what each member carries before and after."""
    display = printing.display
    figure = drawings_path.load_path_figure(solved.flow, display)
    return Markup("<h2>Load path</h2>{}").format(
        Markup("").join(
            (
                Markup("<figure>{}<figcaption>{}</figcaption></figure>").format(
                    Markup(figure.svg), figure.caption
                ),
                _balance(solved, display),
                _changes(solved, display),
                *_cautions(solved),
                _estimates(solved, display),
            )
        )
    )


def _balance(solved: Solved, display: Display) -> Markup:
    rows = []
    flows = [flow for flow in (solved.found, solved.flow) if flow is not None]
    for flow in flows:
        for source, (entered, left) in balance(flow).items():
            rows.append(
                (
                    f"{SOURCE_NAMES[source]}, {flow.state.name}",  # type: ignore[index]
                    display.number(entered, "lbf"),
                    display.number(left, "lbf"),
                    closure_text(abs(entered - left) / max(entered, 1e-9)),
                )
            )
    return table(
        "Balance: what enters the house and what reaches the ground, every span loaded",
        ("Source", "Enters", "Reaches the ground", "Relative difference"),
        rows,
        numeric=(1, 2, 3),
    )


def _changes(solved: Solved, display: Display) -> Markup:
    if solved.found is None:
        return Markup(
            "<p>What stood before the work was not entered, so no load before and after can be "
            "compared. Every existing member that carries more than before is to be checked.</p>"
        )
    after = (*solved.beams, *solved.joists)
    rows = []
    for change in audit.changes(solved.found, solved.flow, solved.before, after):
        rows.append(
            (
                change.name,
                display.number(change.before, "lbf"),
                display.number(change.after, "lbf"),
                percent(change.before, change.after),
                f"rises by {most(change)}: check required"
                if change.needs_check
                else "no rise above 5 %",
            )
        )
    note = Markup(
        "<p>An existing member whose load rises by more than 5 % in any source, in all, or in its "
        "largest moment must be checked or strengthened ({}). A load that only moves counts by its "
        "moment.</p>"
    ).format(CLAUSE)
    return note + table(
        "What each existing member carries before and after, all sources",
        ("Member", "Before", "After", "Change", "Existing-building rule"),
        rows,
        numeric=(1, 2, 3),
    )


def _cautions(solved: Solved) -> Iterator[Markup]:
    for path in audit.bracing_walls(solved.flow):
        yield Markup(
            '<div class="caution"><p>{} may be part of the bracing of the house against wind and '
            "earthquake. Taking out a stretch of it is a matter for the engineer; this sheet does "
            "not cover it.</p></div>"
        ).format(called(path).capitalize())


def _estimates(solved: Solved, display: Display) -> Markup:
    rows = [
        (
            called(each.field),
            called(each.carrier),
            display.number(each.estimate, "lbf"),
            display.number(each.exact, "lbf"),
            percent(each.estimate, each.exact),
            each.why,
        )
        for each in audit.estimates(solved.flow)
    ]
    return table(
        "Half the spans times the load, beside the exact reaction",
        ("Joists or rafters", "On", "By tributary width", "Exact", "Difference", "Why"),
        rows,
        numeric=(2, 3, 4),
    )
