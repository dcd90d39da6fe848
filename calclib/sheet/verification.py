"""The section that says how a sheet's main results were found another way."""

from __future__ import annotations

from typing import TYPE_CHECKING

from markupsafe import Markup

from calclib.job.opinion import LIMIT, bound_text
from calclib.job.solve import Solved
from calclib.sheet.tables import table

if TYPE_CHECKING:
    from calclib.sheet.sections import Printing

LIMIT_TEXT = f"{LIMIT:.0e}".replace("e-0", "e-")


def verification(solved: Solved, printing: Printing) -> Markup:
    """Return what was found another way, by which way, and the largest difference.

    Raises
    ------
    Contradiction
        When a result is not confirmed: then there is no sheet.
    """
    opinion = solved.opinion
    rows = [
        (finding.what, finding.how, f"{finding.compared:,}", bound_text(finding.largest))
        for finding in opinion.findings
    ]
    why = Markup("").join(Markup("<p>{}</p>").format(text) for text in opinion.not_asked)
    return Markup(
        "<h2>Results found another way</h2>"
        "<p>Before a sheet is written, its results are found again and compared. A difference of "
        "more than {} of the largest magnitude of a quantity in its member stops the sheet. The "
        "largest difference found here is {} of it. This finds slips of arithmetic and of units; "
        "it finds no wrong input, no load that was forgotten and no clause that does not apply."
        "</p>{}{}"
    ).format(
        LIMIT_TEXT,
        bound_text(opinion.largest),
        table(
            "A second way for each kind of result",
            ("Result", "Found again by", "Numbers compared", "Largest difference"),
            rows,
            numeric=(2, 3),
        ),
        why,
    )
