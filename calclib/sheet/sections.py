"""The sections of the standard sheet, each from the solved job to HTML."""

from __future__ import annotations

import hashlib
import math
import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field

from markupsafe import Markup, escape

from calclib import __version__
from calclib.job import methods, report, settling
from calclib.job.bent import Bent
from calclib.job.connections import SCHEDULED
from calclib.job.contents import Known
from calclib.job.member import LoadRow
from calclib.job.schema import called as words
from calclib.job.solve import Solved
from calclib.job.state import FINISHED
from calclib.loads.combinations import SOURCE_NAMES
from calclib.sheet import drawings, drawings_path, review
from calclib.sheet.break_points import HOW, how_far, nearness, neighbors_table, what_matters
from calclib.sheet.closing import permit_set, revisions, to_verify
from calclib.sheet.display import Display
from calclib.sheet.index import Index, anchor, inputs_of
from calclib.sheet.load_path import load_path
from calclib.sheet.tables import table
from calclib.sheet.verification import verification
from calclib.trace import Call, Check, Condition, Leaf, Value, leaves
from calclib.trace.check import ratio_text
from calclib.trace.printing import derivation, has_a_line, print_value, with_numbers

_NOTHING = Markup("")
# Of each equation; a thousand times over it would be a tenth of the page.
_SAID_BY_STYLE = re.compile(r' xmlns="[^"]*MathML"| style="text-align:[^"]*;padding:0\.25em 0"')

CAUTIONS = (
    "Taking out a bearing wall can bring a house down on the people in it. "
    "Nothing is cut before temporary shoring carries the load to the ground.",
    "This sheet is a calculation to be read and checked by a licensed engineer. "
    "Local code, the building official and licensed practice decide; the sheet decides nothing.",
    "A check that passes says only that the numbers entered here meet the clause named. "
    "What was assumed, and what is open, is listed below and must be verified on site.",
    "Not covered by this sheet: wind and earthquake, bracing of the house, drifts from higher "
    "roofs, vibration.",
)


@dataclass(frozen=True)
class Assumption:
    """A number or a word that nobody calculated, and the checks that it can change.

    Attributes
    ----------
    id : str
        Its path in the job, or the name of a published value.
    what : Value or Known
    reached : tuple of Check
        Empty for a word.
    """

    id: str
    what: Value | Known
    reached: tuple[Check, ...]


@dataclass
class Printing:
    """What was printed already, so that each equation stands once; lives for one rendering."""

    display: Display
    questions: tuple[str, ...]
    register: tuple[Assumption, ...]
    index: Index
    record: review.Record | None = None
    known: set[str] = field(default_factory=set)
    later: list[tuple[Check, list[Value]]] = field(default_factory=list)
    draft: bool = False

    def digest(self, text: str) -> str:
        """Return the hash by which a file is named."""
        return digest_of(text)

    def question(self, text: str) -> Markup:
        """Return a link to an open question."""
        number = self.questions.index(text) + 1
        return Markup(f'<a href="#question-{number}">question {number}</a>')


def standard(
    solved: Solved, record: review.Record | None = None, draft: bool = False
) -> list[tuple[str, str]]:
    """Return the standard sheet's sections in order, as (name, HTML).

    Parameters
    ----------
    solved : Solved
    record : Record, optional
        What reviewers said of it.
    draft : bool
        Leave break-points out, and say so.
    """
    # A contradiction stops the sheet before anything takes long.
    _ = solved.opinion.largest
    register = ordered_register(solved, draft)
    numbers = {
        item.what.id: place
        for place, item in enumerate(register, start=1)
        if isinstance(item.what, Value)
    }
    printing = Printing(
        Display(solved.job.title_block["units"] == "SI"),
        tuple(report.open_questions(solved)),
        register,
        Index(solved.checks, numbers),
        record,
        draft=draft,
    )
    makers: Sequence[tuple[str, Callable[[Solved, Printing], Markup]]] = (
        ("title", title_block),
        ("cautions", cautions),
        ("open", open_items),
        ("matters", what_matters),
        ("summary", summary),
        ("drawings", drawing_figures),
        ("path", load_path),
        ("loads", loads),
        ("diagrams", diagrams),
        ("checks", checks),
        ("stages", stages),
        ("lists", lists),
        ("reactions", reactions),
        ("connections", schedule),
        ("verification", verification),
        ("assumptions", assumptions),
        ("verify", to_verify),
        ("permit", permit_set),
        ("sources", sources),
        ("review", review.section),
        ("derivations", derivations),
        ("inputs", inputs),
    )
    return [
        (name, f'<section id="{name}">{make(solved, printing)}</section>') for name, make in makers
    ]


def state_mark(check: Check) -> Markup:
    """Return the state of a check as a word that also differs in print."""
    return Markup('<span class="state {}">{}</span>').format(
        check.state, report.STATE_WORDS[check.state]
    )


def utilization_text(check: Check) -> str:
    """Return the utilization as text; one above 1 never reads like 1."""
    return "none" if check.ratio is None else ratio_text(check.worst)


def title_block(solved: Solved, printing: Printing) -> Markup:
    """Return title and title block; what is missing is named as missing."""
    block = solved.job.title_block
    named = (
        ("Job", "number"),
        ("Revision", "revision"),
        ("Site", "site"),
        ("Date", "date"),
        ("Prepared by", "prepared_by"),
        ("Checked by", "checked_by"),
        ("Method", "method"),
        ("Loads", "load_standard"),
        ("Building code", "building_code"),
        ("Units", "units"),
    )
    units = {"US": "US customary", "SI": "SI; derivations in the units of their standard"}
    cells = []
    for label, key in named:
        text = block.get(key, "")
        shown = units.get(text, text) if key == "units" else text
        cells.append(
            Markup('<th scope="row">{}</th><td>{}</td>').format(label, shown or "not given")
        )
    rows = [Markup("<tr>{}{}</tr>").format(*cells[i : i + 2]) for i in range(0, len(cells), 2)]
    return Markup(
        '<h1>{}</h1><table class="block"><caption>Title block</caption><tbody>{}</tbody></table>{}'
    ).format(block["title"], Markup("").join(rows), revisions(solved))


def cautions(solved: Solved, printing: Printing) -> Markup:
    """Return scope and cautions."""
    lines = Markup("").join(Markup("<p>{}</p>").format(text) for text in CAUTIONS)
    return Markup('<h2>Scope and cautions</h2><div class="caution">{}</div>').format(lines)


def open_items(solved: Solved, printing: Printing) -> Markup:
    """Return what is open, with what would close it."""
    questions = report.open_questions(solved)
    if not questions:
        return Markup("<h2>What is open</h2><p>No check is open.</p>")
    lines = Markup("").join(
        Markup('<li id="question-{}">{} <span class="note">Keeps open: {}.</span></li>').format(
            place, question, _named(checks, printing)
        )
        for place, (question, checks) in enumerate(questions.items(), start=1)
    )
    return Markup("<h2>What is open</h2><ol>{}</ol>").format(lines)


def _named(checks: Iterable[Check], printing: Printing) -> Markup:
    """Return checks by number, title and utilization, in the order of the sheet."""
    index = printing.index
    return Markup(", ").join(
        [
            Markup("{} {}{}").format(
                index.link(index.check(check)),
                check.title,
                "" if check.ratio is None else f" ({utilization_text(check)})",
            )
            for check in checks
        ]
    )


def summary(solved: Solved, printing: Printing) -> Markup:
    """Return all checks, failures first, then by utilization."""
    rank = {"fails": 0, "open": 1, "passes": 2}
    ordered = sorted(
        solved.checks,
        key=lambda c: (rank[c.state], -(c.worst if math.isfinite(c.worst) else -1.0)),
    )
    counts = {state: sum(c.state == state for c in ordered) for state in rank}
    verdict = (
        f"{counts['fails']} of {len(ordered)} checks fail, {counts['open']} are open, "
        f"{counts['passes']} pass."
    )
    computed = [c for c in ordered if math.isfinite(c.worst)]
    if computed:
        worst = max(computed, key=lambda c: c.worst)
        case = f" under {worst.case_name}" if worst.case_name else ""
        verdict += f" {worst.title} governs{case}, utilization {utilization_text(worst)}."
    rows = []
    for check in ordered:
        share = min(check.worst, 1.0) if math.isfinite(check.worst) else 0.0
        bar = Markup('<span class="bar" aria-hidden="true"><i style="width:{}%"></i></span>')
        rows.append(
            (
                Markup('C{} <a href="#{}">{}</a>').format(
                    printing.index.numbers[check.id], anchor(check), check.title
                ),
                _or_not_given(check.demand, check, printing),
                _or_not_given(check.capacity, check, printing),
                Markup("{} {}").format(utilization_text(check), bar.format(f"{100 * share:.0f}"))
                if check.ratio is not None
                else "not calculated",
                state_mark(check),
            )
        )
    return Markup("<h2>Summary of checks</h2><p>{}</p>{}{}").format(
        verdict,
        table(
            "Checks, worst first",
            ("Check", "Demand", "Capacity", "Utilization", "State"),
            rows,
            numeric=(1, 2, 3),
            kind="checks",
        ),
        _other_method(solved),
    )


def _or_not_given(value: Value | None, check: Check, printing: Printing) -> str:
    return "not given" if value is None else printing.display.value(value, check.case)


def _other_method(solved: Solved) -> Markup:
    """Return what the other design method gives, when the job asks for it."""
    if solved.job.title_block.get("other_method") != "yes":
        return _NOTHING
    own = solved.job.title_block["method"]
    rows = [
        (pair.title, pair.own, report.STATE_WORDS[pair.own_state], pair.other,
         report.STATE_WORDS[pair.other_state])
        for pair in methods.side_by_side(solved)
    ]  # fmt: skip
    return Markup("<h3>By the other method</h3><p>{}</p>{}").format(
        methods.WHY,
        table(
            f"Utilization by {own}, by which this sheet is made, and by {methods.OTHER[own]}",
            ("Check", own, "", methods.OTHER[own], ""),
            rows,
            numeric=(1, 3),
        ),
    )


def drawing_figures(solved: Solved, printing: Printing) -> Markup:
    """Return the plans, and the drawing of each beam's line."""
    figures = drawings_path.plan_figures(solved.flow, printing.display)
    for beam in solved.beams:
        figures.append(drawings.elevation(solved, beam, printing.display))
        figures.append(drawings.section_figure(beam, solved, printing.display))
    return Markup("<h2>Drawings</h2>{}").format(Markup("").join(_figure(f) for f in figures))


def _figure(figure: drawings.Figure) -> Markup:
    return Markup("<figure>{}<figcaption>{}</figcaption></figure>").format(
        Markup(figure.svg), figure.caption
    )


def _equations(
    values: Iterable[Value], case: int | None, printing: Printing, caption: str
) -> Markup:
    rows = [_equation_row(value, _case_for(value, case), printing) for value in values]
    return _lines(rows, caption) if rows else _NOTHING


def _case_for(value: Value, case: int | None) -> int | None:
    return case if getattr(value.number, "ndim", 0) else None


def _lines(rows: Iterable[Markup], caption: str) -> Markup:
    """Return lines of a calculation as a table."""
    return Markup(
        '<table class="calc"><caption>{}</caption><colgroup><col class="r"><col class="c">'
        '<col class="v"></colgroup><thead><tr><th scope="col">Reference</th>'
        '<th scope="col">Calculation</th><th scope="col" class="n">Result</th></tr></thead>'
        "<tbody>{}</tbody></table>"
    ).format(caption, Markup("\n").join(rows))


def _title_of(value: Value) -> str:
    origin = value.origin
    if isinstance(origin, Leaf):
        return origin.title
    title = str(origin.function.title)  # type: ignore[attr-defined]
    return title[:1].upper() + title[1:]


def _lean(markup: str) -> Markup:
    """Return an equation without what the sheet's own style says for all of them."""
    return Markup(_SAID_BY_STYLE.sub("", markup))


def _equation_row(value: Value, case: int | None, printing: Printing) -> Markup:
    """Return a line of a calculation: in full where its formula is new, else its numbers."""
    index, display = printing.index, printing.display
    number, first = index.line(value, case)
    came = index.links(index.came_from(case, *inputs_of(value)))
    came = Markup('<span class="from">from {}</span>').format(came) if came else _NOTHING
    if number != first:
        return _repeated_row(value, case, number, first, came, display)
    printed = print_value(value, case)
    body = _lean(printed.markup)
    if printed.is_equation:
        where = Markup("").join(
            Markup('<div class="where">{}</div>').format(_lean(markup))
            for markup, _ in printed.where
        )
        title = _title_of(value)
        body = Markup('<span class="what">{} {}</span>{}{}').format(title, came, body, where)
        result = display.result(value, case)
    else:
        body = Markup("{} {}").format(body, came)
        result = display.result(value, case) if _shown(value) else ""
    return Markup(
        '<tr id="n{}"><td class="r">{} {}</td><td>{}</td><td class="v">{}</td></tr>'
    ).format(number, number, printed.source, body, result)


def _repeated_row(
    value: Value, case: int | None, number: int, first: int, came: Markup, display: Display
) -> Markup:
    result = display.result(value, case) if _shown(value) else ""
    return Markup(
        '<tr id="n{}" class="again"><td class="r">{} as <a href="#n{}">{}</a></td>'
        '<td>{} {}</td><td class="v">{}</td></tr>'
    ).format(number, number, first, first, with_numbers(value, case), came, result)


def _shown(value: Value) -> bool:
    return isinstance(value.number, float) or bool(getattr(value.number, "ndim", 0))


def _new(printing: Printing, case: int | None, *targets: Value | None) -> list[Value]:
    """Return what the targets came from and was not printed yet; a step counts once."""
    found = []
    for value in derivation(*[t for t in targets if t is not None]):
        key = printing.index.key(value, case)
        if key not in printing.known and has_a_line(value) and value.symbol != "u":
            found.append(value)
        printing.known.add(key)
    return found


def loads(solved: Solved, printing: Printing) -> Markup:
    """Return the area loads by layer, and what lands on each beam with its origin."""
    display = printing.display
    parts = [Markup("<h2>Loads</h2>")]
    rows = []
    for key, surface in solved.surfaces.items():
        section = solved.job.of("surfaces")[key]
        name = words(section.path)
        for layer in section.inside["layers"].values():
            value = solved.inputs[layer.path]
            rows.append(_load_line(name, layer.path.rpartition(".")[2], "dead", value, display))
        for source, value in surface.by_source.items():
            if source == "D":
                rows.append((name, "dead load, all layers", "dead", display.value(value), "sum"))
            else:
                rows.append(
                    _load_line(name, SOURCE_NAMES[source], SOURCE_NAMES[source], value, display)
                )
        for slope, drifted in (("leeward", surface.leeward), ("windward", surface.windward)):
            if drifted is not None:
                row = (name, f"drifted, {slope} slope", "snow", display.value(drifted))
                rows.append((*row, basis_text(drifted)))
    parts.append(
        table(
            "Area loads of the surfaces",
            ("Surface", "Layer or load", "Source", "Load", "Basis"),
            rows,
            numeric=(3,),
            kind="plain",
        )
    )
    for beam in solved.beams:
        parts.append(_landed(beam, display))
        targets = [v for row in beam.model.rows for v in (row.size, row.start, row.end)]
        parts.append(
            _equations(
                _new(printing, None, *targets),
                None,
                printing,
                f"How the loads on {words(beam.section.path)} are found",
            )
        )
    return Markup("").join(parts)


def _load_line(
    surface: str, name: str, source: str, value: Value, display: Display
) -> tuple[object, ...]:
    return (surface, name.replace("_", " "), source, display.value(value), basis_text(value))


def basis_text(value: Value) -> str:
    """Return the basis of a leaf with its source; "calculated" for anything else."""
    origin = value.origin
    if not isinstance(origin, Leaf):
        return "calculated"
    memory = "" if origin.verified else ", from memory"
    return f"{origin.basis}{memory}" + (f": {origin.source}" if origin.source else "")


def _landed(beam: Bent, display: Display) -> Markup:
    rows = [
        (
            f"{row.name}{f', {row.way}' if row.way else ''}",
            SOURCE_NAMES[row.source],
            display.value(row.size),
            place_text(row, display),
        )
        for row in beam.model.rows
    ]
    return table(
        f"What lands on {words(beam.section.path)} (places from {beam.model.zero})",
        ("From", "Source", "Load", "Where"),
        rows,
        numeric=(2,),
        kind="plain",
    )


def place_text(row: LoadRow, display: Display) -> str:
    """Return where a load lies on its member."""
    if row.start is None:
        return "whole length"
    if row.end is None:
        return f"at {display.length(row.start.at())}"
    return f"{display.length(row.start.at())} to {display.length(row.end.at())}"


def diagrams(solved: Solved, printing: Printing) -> Markup:
    """Return loading, shear, moment and deflection of each beam."""
    figures = [drawings.diagrams(beam, printing.display) for beam in solved.beams]
    return Markup(
        "<h2>Shear, moment and deflection</h2><p>Supports are taken as unyielding.</p>{}{}"
    ).format(Markup("").join(_figure(f) for f in figures), _settling(solved, printing.display))


def _settling(solved: Solved, display: Display) -> Markup:
    """Return how far things go down under dead load, and as they dry."""
    rows = []
    for drop in settling.drops(solved):
        joists = "-" if drop.of_joists is None else display.value(drop.of_joists)
        rows.append((drop.what, display.value(drop.of_beam), joists, display.value(drop.together)))
    drying = [
        (f"{each.joists} beside {each.beam}", display.value(each.of_joists),
         display.value(each.of_beam), display.value(each.more))
        for each in settling.dryings(solved)
    ]  # fmt: skip
    found = table(
        "Dead-load deflection when the shores leave, before any creep; joist and beam in series",
        ("Member", "Beam", "Joist by itself", "Together"),
        rows,
        numeric=(1, 2, 3),
    )
    if drying:
        found += table(
            "Shrinkage across the grain down to a heated house (common practice)",
            ("Where", "Joists", "Beam", "Joists go down more by"),
            drying,
            numeric=(1, 2, 3),
        )
    blocks = [(where, display.value(value)) for where, value in settling.blockings(solved)]
    if blocks:
        found += table(
            "Shrinkage of flat blocking down to a heated house (common practice)",
            ("Where", "Goes down by"),
            blocks,
            numeric=(1,),
        )
    return found


def checks(solved: Solved, printing: Printing) -> Markup:
    """Return every check with formula, substitution, result and clause."""
    parts = [Markup("<h2>Checks</h2>")]
    for beam in solved.beams:
        parts.append(
            Markup("<h3>{}: spans, section and material</h3>").format(
                words(beam.section.path).capitalize()
            )
        )
        parts.append(
            _equations(
                _new(printing, None, *beam.basics),
                None,
                printing,
                f"{words(beam.section.path).capitalize()}: spans and stiffness",
            )
        )
    required = {id: value for beam in solved.beams for id, value in beam.required.items()}
    for check in solved.checks:
        values = _behind(check, printing, required.get(check.id))
        if any(printing.index.is_new(value) for value in values):
            parts.append(_check(check, values, printing))
        else:
            printing.later.append((check, values))
    if printing.later:
        parts.append(
            Markup(
                "<h3>The same checks of further members</h3><p>{} more checks rest on formulas "
                'that stand above. Their demands and capacities stand in the <a href="#summary">'
                "Summary of checks</a>; their numbers, line by line, in "
                '<a href="#derivations">Derivations of repeated checks</a>.</p>'
            ).format(len(printing.later))
        )
    return Markup("").join(parts)


def _behind(check: Check, printing: Printing, also: Value | None) -> list[Value]:
    """Return the values behind a check that were not printed yet."""
    targets = [v for v in (check.demand, check.capacity) if v is not None]
    targets += [condition.ratio for condition in check.conditions]
    targets += [also] if also is not None else []
    new = _new(printing, check.case, *targets)
    return [v for v in new if _shown(v) or v.symbol == "solution"]


def derivations(solved: Solved, printing: Printing) -> Markup:
    """Return the numbers behind the checks that stand in the table of repeated checks."""
    if not printing.later:
        return Markup(
            "<h2>Derivations of repeated checks</h2><p>No check is repeated: each stands in full "
            "above.</p>"
        )
    rows = [row for item in printing.later for row in _derived(*item, printing)]
    return Markup(
        "<h2>Derivations of repeated checks</h2><details><summary>The numbers of {} repeated "
        "checks, line by line: open to read them, and to print them with the sheet</summary>"
        '<p>"as 12" names the line above that has the formula in full, with its source.</p>{}'
        "</details>"
    ).format(len(printing.later), _lines(rows, "The numbers of each repeated check"))


def _derived(check: Check, values: Sequence[Value], printing: Printing) -> Iterator[Markup]:
    """Yield the lines of a repeated check: its name, its numbers, its verdict, what else holds."""
    mark = printing.index.mark(check)
    under = f" {check.case_name}." if check.case_name else ""
    yield Markup(
        '<tr class="name"><th scope="row" colspan="2" id="{}">{} {}.{} <code>{}</code></th>'
        '<td class="v">{}</td></tr>'
    ).format(anchor(check), mark, check.title, under, check.id, state_mark(check))
    for value in values:
        yield _equation_row(value, _case_for(value, check.case), printing)
    also = _beside(check, printing)
    if check.ratio is not None:
        also.insert(0, _compared(check, printing))
    if also:
        yield Markup(
            '<tr class="again last"><td class="r">{}</td><td>{}</td><td class="v">{}</td></tr>'
        ).format(check.clause, Markup(" ").join(also), utilization_text(check))


def _check(check: Check, values: Sequence[Value], printing: Printing) -> Markup:
    head = Markup('<h3 id="{}">{} {} {}</h3>').format(
        anchor(check), printing.index.mark(check), check.title, state_mark(check)
    )
    case_name = f"; governing case {check.case_name}" if check.case_name else ""
    caption = Markup("{}{}. <code>{}</code>").format(check.clause, case_name, check.id)
    rows = [_equation_row(value, _case_for(value, check.case), printing) for value in values]
    if check.ratio is not None:
        rows.append(_verdict(check, printing))
    lines = _lines(rows, caption) if rows else Markup('<p class="note">{}</p>').format(caption)
    also = _beside(check, printing)
    if also:
        items = Markup("").join([Markup("<li>{}</li>").format(item) for item in also])
        lines += Markup('<ul class="also">{}</ul>').format(items)
    return Markup('<div class="check">{}{}</div>').format(head, lines)


def _beside(check: Check, printing: Printing) -> list[Markup]:
    """Return what else a check rests on: its conditions, its questions, its notes."""
    found = [_condition(each, check.case, printing.display) for each in check.conditions]
    if check.questions:
        waits = Markup(", ").join([printing.question(question) for question in check.questions])
        found.append(Markup("<strong>Open:</strong> see {}.").format(waits))
    number = printing.index.numbers[check.id]
    return found + [_note(note, number, printing.index) for note in check.notes]


def _verdict(check: Check, printing: Printing) -> Markup:
    return Markup(
        '<tr class="verdict"><td class="r"></td><td>{}</td><td class="v">{}</td></tr>'
    ).format(_compared(check, printing), state_mark(check))


def _compared(check: Check, printing: Printing) -> Markup:
    """Return demand, capacity and utilization, and the lines where they were found."""
    display, index, case = printing.display, printing.index, check.case
    return Markup(
        'demand {}, capacity {}, utilization {} <span class="from">from {}</span>.'
    ).format(
        display.value(check.demand, case),
        display.value(check.capacity, case),
        utilization_text(check),
        index.links(index.came_from(case, check.demand, check.capacity)),
    )


def _note(note: str, number: int, index: Index) -> Markup:
    """Return a note of a check, or where it stands already."""
    first = index.said.setdefault(note, number)
    if first == number:
        return escape(note)
    beginning = note.rstrip(".") if len(note) <= 40 else note[:37].rstrip() + "..."
    return Markup("{} (as at {}).").format(beginning, index.link(("C", first)))


def _condition(condition: Condition, case: int | None, display: Display) -> Markup:
    here = case if getattr(condition.ratio.number, "ndim", 0) else None
    came = ""
    if isinstance(condition.ratio.origin, Call):
        value, limit = condition.ratio.origin.inputs
        came = f": {display.value(value, here)}, limit {display.value(limit, here)}"
    met = "met" if condition.ratio.at(here) <= 1 else "NOT MET"
    return Markup("{} ({}){}; {}.").format(condition.text.rstrip("."), condition.source, came, met)


NO_WORK = (
    "The work was not entered ([work.NAME] of the job file): shoring, the order of the work, "
    "lifting and cutting are not covered by this sheet. Nothing is cut before they are."
)


def stages(solved: Solved, printing: Printing) -> Markup:
    """Return the stages of each work, or that none was entered."""
    if not solved.works:
        return Markup("<h2>Stages of the work</h2><p>{}</p>").format(NO_WORK)
    from calclib.sheet import work

    return work.stages(solved, printing)


def lists(solved: Solved, printing: Printing) -> Markup:
    """Return cut list, materials and connectors of each work, or that none was entered."""
    if not solved.works:
        return Markup("<h2>Lists for the site</h2><p>{}</p>").format(NO_WORK)
    from calclib.sheet import work

    return work.lists(solved, printing)


def reactions(solved: Solved, printing: Printing) -> Markup:
    """Return what each beam puts on its supports, by origin and source."""
    display = printing.display
    parts = [Markup("<h2>Loads handed down</h2>")]
    for beam in solved.beams:
        rows = [
            (
                share.name,
                SOURCE_NAMES[share.row.source],
                *[display.value(value) for value in share.on],
            )
            for share in beam.shares
        ]
        names = [name.replace("_", " ") for name in beam.model.support_names]
        for source in ("D", "L", "Lr", "S"):
            balanced = [s for s in beam.shares if s.row.source == source and not s.row.way]
            here = [share.on for share in balanced]
            if here:
                sums = [sum(on[i].at() for on in here) for i in range(len(names))]
                rows.append(
                    (
                        f"all {SOURCE_NAMES[source]} load",
                        SOURCE_NAMES[source],
                        *[display.number(number, "lbf") for number in sums],
                    )
                )
        parts.append(
            table(
                f"What {words(beam.section.path)} puts on its supports, all spans loaded",
                ("Origin", "Source", *names),
                rows,
                numeric=range(2, 2 + len(names)),
                kind="plain",
            )
        )
    return Markup("").join(parts)


def schedule(solved: Solved, printing: Printing) -> Markup:
    """Return the connections, each with what it must carry and what it is listed for."""
    display = printing.display
    rows = []
    for check in solved.checks:
        stage, _, what = check.id.split("/", 2)
        if stage != FINISHED or what.split(".")[0] not in SCHEDULED:
            continue
        required, given = (
            "not known" if value is None else display.value(value, _case_in(value, check))
            for value in (check.demand, check.capacity)
        )
        title = Markup('<a href="#{}">{}</a>').format(anchor(check), check.title)
        given = given if check.capacity is not None else "not given"
        rows.append((title, check.clause, required, given, state_mark(check)))
    if not rows:
        return Markup("<h2>Schedule of connections</h2><p>The job has none.</p>")
    return Markup("<h2>Schedule of connections</h2><p>{}</p>{}").format(
        "What each must carry, in the case that governs, and what the job gives for it. "
        "Wind and earthquake are not in it.",
        table(
            "Connections of the finished house",
            ("Connection", "By", "Required", "Given", "State"),
            rows,
            numeric=(2, 3),
        ),
    )


def _case_in(value: Value, check: Check) -> int | None:
    return check.case if getattr(value.number, "ndim", 0) else None


def _register(solved: Solved) -> list[tuple[Value, list[Check]]]:
    reached: dict[str, tuple[Value, list[Check]]] = {}
    for check in solved.checks:
        targets = [v for v in (check.demand, check.capacity) if v is not None]
        targets += [condition.ratio for condition in check.conditions]
        for value in leaves(*targets):
            reached.setdefault(value.id, (value, []))[1].append(check)
    return list(reached.values())


def _known_words(solved: Solved) -> list[tuple[str, Known]]:
    """Return the words of the job that say how they are known, such as a grade that is assumed."""
    return [
        (f"{section.path}.{key}", known)
        for named in solved.job.sections.values()
        for section in named.values()
        for key, known in section.known.items()
    ]


# Links that take more than a line; what reaches the same checks then names the first that does.
LONG_REACH = 200

_ORDER = {
    "assumed": 0,
    "common practice": 1,
    "chosen": 2,
    "measured": 3,
    "from drawings": 4,
    "required by code": 5,
    "published": 6,
}


def ordered_register(solved: Solved, draft: bool = False) -> tuple[Assumption, ...]:
    """Return every number and word that was not calculated, the nearest to a crossing first."""
    items = [Assumption(value.id, value, tuple(reached)) for value, reached in _register(solved)]
    items += [Assumption(path, known, ()) for path, known in _known_words(solved)]

    def rank(item: Assumption) -> tuple[float, int, bool, str]:
        if isinstance(item.what, Known):
            return math.inf, _ORDER[item.what.basis], False, item.what.title
        origin = item.what.origin
        assert isinstance(origin, Leaf)
        near = nearness(solved, item.what, draft)
        return near, _ORDER[origin.basis], origin.verified, item.what.id

    return tuple(sorted(items, key=rank))


def _what(item: Assumption) -> Markup:
    if isinstance(item.what, Known):
        return escape(item.what.title)
    assert isinstance(item.what.origin, Leaf)
    return Markup("{} <code>{}</code>").format(item.what.origin.title, item.what.id)


def _how_known(item: Assumption) -> str:
    if isinstance(item.what, Known):
        known = item.what
        text = f"{known.basis}: {known.source}." if known.source else f"{known.basis}."
        return f"{text} {known.note}".strip()
    assert isinstance(item.what.origin, Leaf)
    note = item.what.origin.note
    return " ".join(part for part in (basis_text(item.what) + ".", note) if part)


def assumptions(solved: Solved, printing: Printing) -> Markup:
    """Return the register: every number that was not calculated, with basis and reach."""
    display, index = printing.display, printing.index
    varying: list[tuple[tuple[object, ...], object]] = []
    fixed: list[tuple[tuple[object, ...], object]] = []
    first_with: dict[str, int] = {}
    first_to: dict[Markup, int] = {}
    for number, item in enumerate(printing.register, start=1):
        name = Markup('<span id="a{}">A{}</span> {}').format(number, number, _what(item))
        note = _how_known(item)
        first = first_with.setdefault(note, number)
        # What ten rows of one table would all say stands at the first of them.
        known = note if first == number or len(note) < 24 else index.link(("A", first))
        basis = Markup("as {}").format(known) if isinstance(known, Markup) else known
        if isinstance(item.what, Known):
            fixed.append(((name, item.what.text, basis), None))
            continue
        links = index.links([index.check(check) for check in item.reached])
        first = first_to.setdefault(links, number)
        if first != number and len(links) > LONG_REACH:
            links = Markup("as {}").format(index.link(("A", first)))
        reached = Markup("can change {}").format(links)
        row = (name, display.value(item.what), basis)
        far = how_far(solved, item.what, printing)
        if far is None:
            fixed.append((row, reached))
        else:
            varying.append(((*row, far), reached))
    return Markup(
        "<h2>Register of assumptions</h2><p>Every number that was not calculated. The line below "
        "each names the checks that it can change. {}</p>{}{}{}"
    ).format(
        "" if printing.draft else HOW,
        _reaching(
            "Numbers that vary by degrees, nearest to turning a check over first, then guesses",
            (*_REGISTER, "How far it may go"),
            varying,
            "register",
        ),
        neighbors_table(solved, printing),
        _reaching(
            "Numbers and words entered, chosen, published or assumed, guesses first"
            if printing.draft
            else "Other numbers and words entered, chosen, published or assumed, guesses first",
            _REGISTER,
            fixed,
            "fixed",
        ),
    )


_REGISTER = ("What", "Value", "Basis")


def _reaching(
    caption: str,
    head: Sequence[str],
    entries: Sequence[tuple[tuple[object, ...], object]],
    kind: str,
) -> Markup:
    """Return a table of the register with what each row can change below it."""
    if not entries:
        return _NOTHING
    below = {place: reached for place, (_, reached) in enumerate(entries) if reached is not None}
    rows = [row for row, _ in entries]
    return table(caption, head, rows, numeric=(1,), kind=kind, below=below)


def sources(solved: Solved, printing: Printing) -> Markup:
    """Return every clause and publication that the sheet rests on."""
    found: dict[str, None] = {}
    for check in solved.checks:
        found.setdefault(check.clause)
        targets = [v for v in (check.demand, check.capacity) if v is not None]
        for value in derivation(*targets):
            assert isinstance(value.origin, Call)
            source = str(value.origin.function.source)  # type: ignore[attr-defined]
            found.setdefault(source)
        for value in leaves(*targets):
            if isinstance(value.origin, Leaf) and value.origin.basis in (
                "published",
                "required by code",
            ):
                found.setdefault(value.origin.source)
    lines = Markup("").join(
        Markup("<li>{}</li>").format(source) for source in sorted(filter(None, found))
    )
    return Markup('<h2>Sources</h2><ul class="sources">{}</ul>').format(lines)


def digest_of(text: str) -> str:
    """Return the hash by which a sheet names the inputs that it was made from."""
    return hashlib.sha256(text.encode()).hexdigest()


def inputs(solved: Solved, printing: Printing) -> Markup:
    """Return the job file itself and what made the sheet."""
    digest = digest_of(solved.job.text)
    return Markup(
        "<h2>Job file and versions</h2><p>Made by calclib {} from {}, SHA-256 <code>{}</code>.</p>"
        '<pre id="job-file">{}</pre>'
    ).format(__version__, solved.job.file, digest, escape(solved.job.text))
