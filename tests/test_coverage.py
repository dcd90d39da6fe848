"""The coverage tables of the standards say what the code does, no more and no less."""

import importlib
import inspect
import pkgutil
import re
from dataclasses import dataclass
from pathlib import Path

import pytest

from calclib.trace import REGISTRY
from calclib.trace.formula import Formula

DOCS = Path(__file__).parents[1] / "docs"
PAGE = DOCS / "nds-coverage.md"
# Where a name of a page may stand, nearest first.
PACKAGES = ("timber", "fasteners", "ground", "job")
STATES = ("done", "not applicable", "missing")

for package in PACKAGES:
    found = importlib.import_module(f"calclib.{package}")
    for module in pkgutil.walk_packages(found.__path__, f"calclib.{package}."):
        importlib.import_module(module.name)


@dataclass(frozen=True)
class Standard:
    """A page, how sources name its standard, whose formulas it must list, what must be done."""

    page: str
    name: str
    packages: tuple[str, ...]
    chapters: tuple[str, ...]


STANDARDS = (
    Standard("nds-coverage.md", "NDS 2018", ("timber", "fasteners"),
             ("2", "3", "4", "5", "8", "11", "12", "15")),
    Standard("aci-coverage.md", "ACI 318-14", ("ground", "job"), ("13", "14", "19", "21")),
    Standard("irc-coverage.md", "IRC 2018", ("ground",), ("R401", "R403", "R502", "R602")),
)  # fmt: skip
EACH = pytest.mark.parametrize("standard", STANDARDS, ids=lambda each: each.name)


@dataclass(frozen=True)
class Line:
    """One row of the page."""

    clause: str
    what: str
    state: str
    last: str

    @property
    def functions(self):
        return re.findall(r"`([\w.]+)`", self.last)


def lines_of(text):
    """Return the rows of the tables of a page."""
    found = []
    for line in text.splitlines():
        cells = [cell.strip() for cell in line.strip().strip("|").split("|")]
        if line.startswith("|") and len(cells) == 4 and re.match(r"R?\d|Appendix", cells[0]):
            found.append(Line(*cells))
    return found


def cited(source, name="NDS 2018"):
    """Return the clauses of the standard itself that a source names.

    >>> cited("NDS 2018 3.7.1.2 Eq. 3.7-1, Tables 4.3.1, 8.3.1, Appendix G")
    ['3.7.1.2', '4.3.1', '8.3.1', 'Appendix G']
    >>> cited("IRC 2018 R403.1, R401.4.1", "IRC 2018"), cited("IRC R403.1")
    (['R403.1', 'R401.4.1'], [])
    """
    if not source.startswith(name):
        return []
    return re.findall(
        r"(?<![\w.])(R?\d+(?:\.\d+)+(?![\w.]*-)(?![.\d])|Appendix [A-Z])",
        source.removeprefix(name),
    )


def formulas(standard=STANDARDS[0]):
    """Return the formulas of the packages that a page is about, by module and name."""
    return {
        name.partition(f"calclib.{package}.")[2]: made
        for name, made in REGISTRY.items()
        for package in standard.packages
        if name.startswith(f"calclib.{package}.")
    }


def found_in_code(name):
    """Return what a name of the page stands for, or None."""
    module, _, function = name.partition(".")
    for package in PACKAGES:
        try:
            made = importlib.import_module(f"calclib.{package}.{module}")
        except ModuleNotFoundError:
            continue
        if hasattr(made, function):
            return getattr(made, function)
    return None


def faults(text, made, standard=STANDARDS[0]):
    """Return what is wrong with a page for a set of formulas."""
    lines = lines_of(text)
    wrong = [f"{line.clause}: {line.state}" for line in lines if line.state not in STATES]
    clauses = [line.clause for line in lines]
    wrong += [f"{clause}: twice" for clause in set(clauses) if clauses.count(clause) > 1]
    done = {line.clause: line.functions for line in lines if line.state == "done"}
    for line in lines:
        if line.state == "done" and not line.functions:
            wrong.append(f"{line.clause}: done by nothing")
        if line.state != "done" and (line.functions or not line.last):
            wrong.append(f"{line.clause}: {line.state} needs a reason and no function")
        wrong += [
            f"{line.clause}: no {name}"
            for name in line.functions
            if not callable(found_in_code(name))
        ]
    for name, formula in made.items():
        for clause in cited(formula.source, standard.name):
            # The clause of a printed table stands under another number.
            clause = {"3.3.3": "3.3.3.5"}.get(clause, clause)
            if clause not in done:
                wrong.append(f"{clause}: cited by {name}, not done")
            elif name not in done[clause]:
                wrong.append(f"{clause}: {name} is not named")
    for clause, names in done.items():
        for name in names:
            thing = found_in_code(name)
            if not isinstance(thing, Formula) or not cited(thing.source, standard.name):
                continue
            # A clause may pass on to another, but not from another chapter's subject.
            own = {c.split(".")[0] for c in cited(thing.source, standard.name)} | {"4", "5", "8"}
            own |= {"11"} if own & {"2", "12"} else set()
            if not clause.startswith("Appendix") and clause.split(".")[0] not in own:
                wrong.append(f"{clause}: {name} cites {thing.source}")
    return sorted(wrong)


@EACH
def test_the_page_says_what_the_code_does(standard):
    """Every cited clause is done, every done clause names functions that exist."""
    text = (DOCS / standard.page).read_text(encoding="utf-8")

    assert faults(text, formulas(standard), standard) == []


@pytest.mark.parametrize(
    ("standard", "chapter"),
    [(each, chapter) for each in STANDARDS for chapter in each.chapters],
    ids=lambda part: part if isinstance(part, str) else part.name,
)
def test_every_chapter_that_touches_the_job_is_there(standard, chapter):
    """With some clause done in each."""
    text = (DOCS / standard.page).read_text(encoding="utf-8")
    states = [line.state for line in lines_of(text) if line.clause.split(".")[0] == chapter]

    assert "done" in states


def test_every_check_of_ground_and_nails_is_named():
    """A function of these floors that returns or yields checks and is on no page is a gap."""
    named = {
        name
        for standard in STANDARDS
        for line in lines_of((DOCS / standard.page).read_text(encoding="utf-8"))
        for name in line.functions
    }
    checks = {
        f"{module}.{name}"
        for package, module in (("ground", "footing"), ("job", "plies"), ("job", "walls"))
        for name, thing in vars(importlib.import_module(f"calclib.{package}.{module}")).items()
        if inspect.isfunction(thing)
        and name.endswith(("_check", "_checks"))
        and not name.startswith("_")
        and thing.__module__ == f"calclib.{package}.{module}"
    }

    assert checks - named == set()
    assert len(checks) > 4


def test_every_check_of_the_timber_floor_is_named():
    """A function that returns a check and is not on the page is a gap."""
    named = {name for line in lines_of(PAGE.read_text(encoding="utf-8")) for name in line.functions}
    checks = {
        f"{module}.{name}"
        for module in ("checks", "column_checks", "notches")
        for name, thing in vars(importlib.import_module(f"calclib.timber.{module}")).items()
        if inspect.isfunction(thing)
        and name.endswith("_check")
        and not name.startswith("_")
        and thing.__module__ == f"calclib.timber.{module}"
    }

    assert checks - named == set()
    assert len(checks) > 8


SOUND = "| 3.6.3 | stress | done | `columns.compression_stress` |"


@pytest.mark.parametrize(
    ("text", "fault"),
    [
        (SOUND.replace("done", "nearly done"), "3.6.3: nearly done"),
        (SOUND.replace("done", "missing"), "3.6.3: missing needs a reason and no function"),
        (SOUND.replace("stress` |", "strain` |"), "3.6.3: no columns.compression_strain"),
        (SOUND.replace("`columns.compression_stress`", ""), "3.6.3: done by nothing"),
        (SOUND.replace("3.6.3", "3.6.9"), "3.6.3: cited by columns.compression_stress, not done"),
        (f"{SOUND}\n{SOUND}", "3.6.3: twice"),
        (
            SOUND.replace("columns.compression_stress", "shear.shear_stress"),
            "3.6.3: columns.compression_stress is not named",
        ),
        (
            SOUND.replace("3.6.3", "15.3.3"),
            "15.3.3: columns.compression_stress cites NDS 2018 3.6.3",
        ),
    ],
)
def test_a_page_that_does_not_fit_the_code_is_caught(text, fault):
    """Each kind of slip, planted."""
    one = {"columns.compression_stress": formulas()["columns.compression_stress"]}

    assert faults(SOUND, one) == []
    assert fault in faults(text, one)
