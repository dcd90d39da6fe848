"""The sections of the standard sheet, each from the solved job to HTML."""

from __future__ import annotations

import hashlib
import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field

from markupsafe import Markup, escape

from calclib import __version__
from calclib.job import methods, report, settling
from calclib.job.bent import Bent
from calclib.job.contents import Known
from calclib.job.member import LoadRow
from calclib.job.schema import called as words
from calclib.job.solve import Solved
from calclib.loads.combinations import SOURCE_NAMES
from calclib.sheet import drawings, drawings_path
from calclib.sheet.break_points import HOW, how_far, nearness, neighbors_table, what_matters
from calclib.sheet.display import Display
from calclib.sheet.load_path import load_path
from calclib.sheet.tables import table
from calclib.sheet.verification import verification
from calclib.trace import Call, Check, Condition, Leaf, Value, leaves
from calclib.trace.check import ratio_text
from calclib.trace.printing import derivation, has_a_line, print_value

_NOTHING = Markup("")

CAUTIONS = (
    "Taking out a bearing wall can bring a house down on the people in it. "
    "Nothing is cut before temporary shoring carries the load to the ground.",
    "This sheet is a calculation to be read and checked by a licensed engineer. "
    "Local code, the building official and licensed practice decide; the sheet decides nothing.",
    "A check that passes says only that the numbers entered here meet the clause named. "
    "What was assumed, and what is open, is listed below and must be verified on site.",
    "Not covered by this sheet: shoring and the stages of the work, straps and ties, wind and "
    "earthquake, bracing of the house, drifts from higher roofs, vibration.",
)


@dataclass
class Printing:
    """What was printed already, so that each equation stands once; lives for one rendering."""

    display: Display
    questions: tuple[str, ...] = ()
    known: set[str] = field(default_factory=set)
    draft: bool = False

    def question(self, text: str) -> tuple[str, int]:
        """Return anchor and number of an open question."""
        number = self.questions.index(text) + 1
        return f"question-{number}", number


def standard(solved: Solved, draft: bool = False) -> list[tuple[str, str]]:
    """Return the standard sheet's sections as (name, HTML); a draft has no break-points."""
    printing = Printing(
        Display(solved.job.title_block["units"] == "SI"),
        tuple(report.open_questions(solved)),
        draft=draft,
    )
    # A result that is contradicted stops the sheet before anything is made of it.
    solved.opinion  # noqa: B018
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
        ("reactions", reactions),
        ("verification", verification),
        ("assumptions", assumptions),
        ("sources", sources),
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
        '<h1>{}</h1><table class="block"><caption>Title block</caption><tbody>{}</tbody></table>'
    ).format(block["title"], Markup("").join(rows))


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
        Markup('<li id="{}">{} <span class="note">Keeps open: {}.</span></li>').format(
            printing.question(question)[0], question, ", ".join(check.title for check in checks)
        )
        for question, checks in questions.items()
    )
    return Markup("<h2>What is open</h2><ol>{}</ol>").format(lines)


def _anchor(check: Check) -> str:
    return "check-" + "".join(c if c.isalnum() else "-" for c in check.id)


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
                Markup('<a href="#{}">{}</a>').format(_anchor(check), check.title),
                check.case_name or "-",
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
            ("Check", "Governing case", "Utilization", "State"),
            rows,
            numeric=(2,),
        ),
        _other_method(solved),
    )


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
    values: Iterable[Value],
    case: int | None,
    printing: Printing,
    caption: str,
    verdict: Markup = _NOTHING,
) -> Markup:
    rows = [
        _equation_row(value, case if getattr(value.number, "ndim", 0) else None, printing.display)
        for value in values
    ]
    if verdict:
        rows.append(verdict)
    if not rows:
        return _NOTHING
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


def _equation_row(value: Value, case: int | None, display: Display) -> Markup:
    printed = print_value(value, case)
    body = Markup(printed.markup)
    if printed.is_equation:
        where = Markup("").join(
            Markup('<div class="where">{}</div>').format(Markup(markup))
            for markup, _ in printed.where
        )
        body = Markup('<span class="what">{}</span>{}{}').format(_title_of(value), body, where)
        result = display.result(value, case)
    else:
        result = display.result(value, case) if _shown(value) else ""
    return Markup('<tr><td class="r">{}</td><td>{}</td><td class="v">{}</td></tr>').format(
        printed.source, body, result
    )


def _shown(value: Value) -> bool:
    return isinstance(value.number, float) or bool(getattr(value.number, "ndim", 0))


def _new(printing: Printing, case: int | None, *targets: Value | None) -> list[Value]:
    """Return what the targets came from and was not printed yet; a step counts once."""
    found = []
    for value in derivation(*[t for t in targets if t is not None]):
        origin = value.origin
        assert isinstance(origin, Call)
        several = bool(getattr(value.number, "ndim", 0))
        behind = ",".join(item.id for item in origin.inputs)
        key = f"{origin.function.name}({behind})@{case if several else None}"
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
        parts.append(_check(check, printing, required.get(check.id)))
    return Markup("").join(parts)


def _check(check: Check, printing: Printing, also: Value | None) -> Markup:
    targets = [v for v in (check.demand, check.capacity) if v is not None]
    targets += [condition.ratio for condition in check.conditions]
    targets += [also] if also is not None else []
    case = check.case
    values = [v for v in _new(printing, case, *targets) if _shown(v) or v.symbol == "solution"]
    under = f"under {check.case_name}" if check.case_name else ""
    head = Markup('<h3 id="{}">{} {}</h3><p class="note">{}{}. <code>{}</code></p>').format(
        _anchor(check),
        check.title,
        state_mark(check),
        check.clause,
        f"; governing case {check.case_name}" if check.case_name else "",
        check.id,
    )
    display = printing.display
    verdict = _NOTHING
    if check.ratio is not None:
        verdict = Markup(
            '<tr class="verdict"><td class="r">{}</td>'
            "<td>demand {}, capacity {}, utilization {}</td>"
            '<td class="v">{}</td></tr>'
        ).format(
            check.clause,
            display.value(check.demand, case),
            display.value(check.capacity, case),
            utilization_text(check),
            state_mark(check),
        )
    lines = [_equations(values, case, printing, f"{check.title} {under}".strip(), verdict)]
    lines += [_condition(condition, case, display) for condition in check.conditions]
    lines += [
        Markup('<p><strong>Open:</strong> see <a href="#{}">question {}</a> above.</p>').format(
            *printing.question(question)
        )
        for question in check.questions
    ]
    if check.notes:
        notes = Markup("").join(Markup("<li>{}</li>").format(note) for note in check.notes)
        lines.append(Markup("<ul>{}</ul>").format(notes))
    return Markup("<div>{}{}</div>").format(head, Markup("").join(lines))


def _condition(condition: Condition, case: int | None, display: Display) -> Markup:
    here = case if getattr(condition.ratio.number, "ndim", 0) else None
    came = ""
    if isinstance(condition.ratio.origin, Call):
        value, limit = condition.ratio.origin.inputs
        came = f": {display.value(value, here)}, limit {display.value(limit, here)}"
    met = "met" if condition.ratio.at(here) <= 1 else "NOT MET"
    return Markup("<p>{} ({}){}; {}.</p>").format(
        condition.text.rstrip("."), condition.source, came, met
    )


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
            )
        )
    return Markup("").join(parts)


def _register(solved: Solved) -> list[tuple[Value, list[Check]]]:
    reached: dict[str, tuple[Value, list[Check]]] = {}
    for check in solved.checks:
        targets = [v for v in (check.demand, check.capacity) if v is not None]
        targets += [condition.ratio for condition in check.conditions]
        for value in leaves(*targets):
            reached.setdefault(value.id, (value, []))[1].append(check)
    return list(reached.values())


def _known_words(solved: Solved) -> list[Known]:
    """Return the words of the job that say how they are known, such as a grade that is assumed."""
    return [
        known
        for named in solved.job.sections.values()
        for section in named.values()
        for known in section.known.values()
    ]


def assumptions(solved: Solved, printing: Printing) -> Markup:
    """Return the register: every number that was not calculated, with basis and reach."""
    order = {
        "assumed": 0,
        "common practice": 1,
        "chosen": 2,
        "measured": 3,
        "from drawings": 4,
        "required by code": 5,
        "published": 6,
    }
    display = printing.display

    def rank(item: tuple[Value, list[Check]]) -> tuple[float, int, bool, str]:
        origin = item[0].origin
        assert isinstance(origin, Leaf)
        near = nearness(solved, item[0], printing)
        return near, order[origin.basis], origin.verified, item[0].id

    entries: list[tuple[tuple[float, int, bool, str], tuple[object, ...]]] = []
    for item in _register(solved):
        value, reached = item
        origin = value.origin
        assert isinstance(origin, Leaf)
        note = " ".join(part for part in (basis_text(value) + ".", origin.note) if part)
        what = Markup("{}<br><code>{}</code>").format(origin.title, value.id)
        count = f"{len(reached)} of {len(solved.checks)}"
        far = how_far(solved, value, printing)
        entries.append((rank(item), (what, display.value(value), note, count, far)))
    for known in _known_words(solved):
        note = f"{known.basis}: {known.source}." if known.source else f"{known.basis}."
        note = f"{note} {known.note}".strip()
        entries.append(
            (
                (math.inf, order[known.basis], False, known.title),
                (known.title, known.text, note, "-", None),
            )
        )
    rows = [row for _, row in sorted(entries, key=lambda entry: entry[0])]
    varying = [row for row in rows if row[-1] is not None]
    fixed = [row[:-1] for row in rows if row[-1] is None]
    return Markup(
        "<h2>Register of assumptions</h2><p>Every number that was not calculated. The column of "
        "checks counts those that it can change. {}</p>{}{}{}"
    ).format(
        HOW,
        table(
            "Numbers that vary by degrees, nearest to turning a check over first, then guesses",
            ("What", "Value", "Basis", "Checks", "How far it may go"),
            varying,
            numeric=(1, 3),
            kind="register",
        )
        if varying
        else _NOTHING,
        neighbors_table(solved, printing),
        table(
            "Other numbers and words entered, chosen, published or assumed, guesses first",
            ("What", "Value", "Basis", "Checks"),
            fixed,
            numeric=(1, 3),
            kind="fixed",
        ),
    )


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
    return Markup("<h2>Sources</h2><ul>{}</ul>").format(lines)


def inputs(solved: Solved, printing: Printing) -> Markup:
    """Return the job file itself and what made the sheet."""
    digest = hashlib.sha256(solved.job.text.encode()).hexdigest()
    return Markup(
        "<h2>Job file and versions</h2><p>Made by calclib {} from {}, SHA-256 <code>{}</code>.</p>"
        '<pre id="job-file">{}</pre>'
    ).format(__version__, solved.job.file, digest, escape(solved.job.text))
