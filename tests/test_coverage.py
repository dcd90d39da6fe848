"""The coverage table of the standard says what the code does, no more and no less."""

import importlib
import inspect
import pkgutil
import re
from dataclasses import dataclass
from pathlib import Path

import pytest

import calclib.timber
from calclib.trace import REGISTRY
from calclib.trace.formula import Formula

PAGE = Path(__file__).parents[1] / "docs" / "nds-coverage.md"
CHAPTERS = ("2", "3", "4", "5", "8", "15")
STATES = ("done", "not applicable", "missing")

for module in pkgutil.walk_packages(calclib.timber.__path__, "calclib.timber."):
    importlib.import_module(module.name)


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
        if line.startswith("|") and len(cells) == 4 and re.match(r"\d|Appendix", cells[0]):
            found.append(Line(*cells))
    return found


def cited(source):
    """Return the clauses of the standard itself that a source names.

    >>> cited("NDS 2018 3.7.1.2 Eq. 3.7-1, Tables 4.3.1, 8.3.1, Appendix G")
    ['3.7.1.2', '4.3.1', '8.3.1', 'Appendix G']
    """
    if not source.startswith("NDS 2018"):
        return []
    return re.findall(r"(?<![\w.])(\d+(?:\.\d+)+(?![\w.]*-)(?![.\d])|Appendix [A-Z])", source)


def formulas():
    return {
        name.removeprefix("calclib.timber."): made
        for name, made in REGISTRY.items()
        if name.startswith("calclib.timber.")
    }


def found_in_code(name):
    """Return what a name of the page stands for, or None."""
    module, _, function = name.partition(".")
    try:
        return getattr(importlib.import_module(f"calclib.timber.{module}"), function, None)
    except ModuleNotFoundError:
        return None


def faults(text, made):
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
        for clause in cited(formula.source):
            # The clause of a printed table stands under another number.
            clause = {"3.3.3": "3.3.3.5"}.get(clause, clause)
            if clause not in done:
                wrong.append(f"{clause}: cited by {name}, not done")
            elif name not in done[clause]:
                wrong.append(f"{clause}: {name} is not named")
    for clause, names in done.items():
        for name in names:
            thing = found_in_code(name)
            if not isinstance(thing, Formula) or not cited(thing.source):
                continue
            # A clause may pass on to another, but not from another chapter's subject.
            own = {c.split(".")[0] for c in cited(thing.source)} | {"4", "5", "8"}
            if clause[0].isdigit() and clause.split(".")[0] not in own:
                wrong.append(f"{clause}: {name} cites {thing.source}")
    return sorted(wrong)


def test_the_page_says_what_the_code_does():
    """Every cited clause is done, every done clause names functions that exist."""
    assert faults(PAGE.read_text(encoding="utf-8"), formulas()) == []


@pytest.mark.parametrize("chapter", CHAPTERS)
def test_every_chapter_that_touches_the_job_is_there(chapter):
    """With some clause done in each."""
    states = [
        line.state
        for line in lines_of(PAGE.read_text(encoding="utf-8"))
        if line.clause.split(".")[0] == chapter
    ]

    assert "done" in states


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
