"""What a sheet is submitted with: its revisions, what to verify on site, the permit set."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from markupsafe import Markup

from calclib.job.contents import Known
from calclib.job.schema import PERMIT_SET
from calclib.job.schema import called as words
from calclib.job.sense import revision_mark
from calclib.sheet.tables import table
from calclib.trace import Leaf

if TYPE_CHECKING:
    from calclib.job.solve import Solved
    from calclib.sheet.sections import Printing

BY_OTHERS = "by others"
_BOX = Markup('<span class="box" aria-hidden="true"></span>')


def revisions(solved: Solved) -> Markup:
    """Return the table of revisions; nothing when the job lists none."""
    rows = [
        (revision_mark(section), section.words["date"], section.words["what"])
        for section in solved.job.of("revisions").values()
    ]
    if not rows:
        return Markup("")
    return table("Revisions", ("Revision", "Date", "What changed"), rows, kind="block revisions")


def to_verify(solved: Solved, printing: Printing) -> Markup:
    """Return what must be looked at on site or compared with the print, each with a box to tick."""
    index, display = printing.index, printing.display
    site, books = [], []
    for number, item in enumerate(printing.register, start=1):
        at = index.link(("A", number))
        if isinstance(item.what, Known):
            if item.what.basis == "assumed":
                site.append(Markup("{} {}: {}").format(at, item.what.title, item.what.text))
            continue
        origin = item.what.origin
        assert isinstance(origin, Leaf)
        line = Markup("{} {}: {}").format(at, origin.title, display.value(item.what))
        if origin.basis == "assumed":
            site.append(line)
        elif not origin.verified:
            books.append(line)
    questions = [
        Markup("{}: {}").format(printing.question(question), question)
        for question in printing.questions
    ]
    return Markup(
        "<h2>To verify</h2><p>Whoever looks ticks the box on paper, or marks it in the review "
        "record; the kit ticks none.</p>{}{}{}"
    ).format(
        _boxes("Questions that keep checks open", questions),
        _boxes("Assumed: to measure or to open on site", site),
        _boxes("From memory: to compare with the printed table", books),
    )


def _boxes(head: str, lines: list[Markup]) -> Markup:
    if not lines:
        return Markup("<h3>{}</h3><p>None.</p>").format(head)
    items = Markup("").join([Markup("<li>{} {}</li>").format(_BOX, line) for line in lines])
    return Markup('<h3>{}</h3><ul class="boxes">{}</ul>').format(head, items)


def permit_set(solved: Solved, printing: Printing) -> Markup:
    """Return what a permit office asks for, each with the section that holds it or by others."""
    given = solved.job.of("permit")
    own = dict(_own(solved))
    rows = []
    for name, title in PERMIT_SET.items():
        where = given[name].words["where"] if name in given else own.get(name, BY_OTHERS)
        rows.append((Markup("{} {}").format(_BOX, title), where))
    return Markup(
        "<h2>Permit set</h2><p>What a building office commonly asks for (common practice; the "
        "local office decides).</p>{}"
    ).format(table("Documents of the permit set", ("Document", "Where"), rows))


def _own(solved: Solved) -> Iterator[tuple[str, object]]:
    """Yield what this sheet holds itself."""
    drawn = Markup(
        'this sheet, <a href="#drawings">Drawings</a>, from the spans entered and not surveyed'
    )
    yield "plans_proposed", drawn
    yield "section", drawn
    block = solved.job.title_block
    yield (
        "design_criteria",
        Markup('this sheet, <a href="#loads">Loads</a>; {}, {}, {}').format(
            block["building_code"], block["load_standard"], block["method"]
        ),
    )
    named = [
        f"{words(section.path)}: {section.words[key]}"
        for kind in ("beams", "joists", "rafters")
        for section in solved.job.of(kind).values()
        for key in ("report", "hanger_report")
        if key in section.words
    ]
    reports = f"reports {', '.join(named)}" if named else "no evaluation report given"
    yield (
        "materials",
        Markup('this sheet, <a href="#assumptions">Register of assumptions</a>; {}').format(
            reports
        ),
    )
    if solved.works:
        yield (
            "shoring",
            Markup('this sheet, <a href="#stages">Stages of the work</a>, as entered'),
        )
    people = [
        f"{role} {block[key]}"
        for role, key in (("prepared by", "prepared_by"), ("checked by", "checked_by"))
        if block.get(key)
    ]
    if people:
        yield "responsible", f"{', '.join(people)}; engineer of record: {BY_OTHERS}"
