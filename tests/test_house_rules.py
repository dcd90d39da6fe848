"""Rules of the house that no formatter and no type checker knows.

Each rule is shown slips that it must catch and look-alikes that it must let pass, then the
project's own files.
"""

import json
import os
import re
import runpy
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]


def project_files():
    """Return the project's text files by their path from the top.

    This file, full of planted slips, is left out, and so is what .gitignore leaves out.
    """
    found = {}
    for folder, folders, names in os.walk(ROOT):
        folders[:] = [
            name
            for name in folders
            if name not in ("build", "dist", "node_modules", "__pycache__")
            and (name == ".ci" or not name.startswith("."))
        ]
        for name in names:
            path = Path(folder, name)
            content = path.read_bytes()
            if path != Path(__file__) and b"\0" not in content:
                found[path.relative_to(ROOT).as_posix()] = content.decode("utf-8")
    return found


FILES = project_files()


@dataclass(frozen=True)
class Rule:
    """What no line of the files at `where` may hold, but for those at `free`."""

    name: str
    pattern: str
    slips: tuple[str, ...]
    passes: tuple[str, ...]
    where: str = ""
    free: str = "(?!)"

    def broken_by(self, line):
        return re.search(self.pattern, line) is not None


# Split, so that no search for such words finds this file.
PACKAGE_INDEX = "py" + "pi.org"
MACHINE_PATH = "/" + "tmp/job.toml"
INDEX_OPTION = "--index" + "-url"

RULES = [
    Rule(
        "one unit registry",
        r"UnitRegistry\(|application_registry\(",
        slips=("ureg = pint.UnitRegistry()", "pint.get_application_registry()"),
        passes=("units.registry()",),
        where=r"\.(py|ipynb)$",
        free=r"^calclib/units|^tests/test_units",
    ),
    Rule(
        "no test helper that drops units",
        r"\b(np|numpy)\.testing|from numpy import testing",
        slips=("np.testing.assert_allclose(a, b)", "from numpy.testing import assert_allclose"),
        passes=("from pint.testing import assert_allclose",),
        where=r"^tests/",
    ),
    Rule(
        # A ratio of feet to inches keeps its units, and rounding it gives a wrong count.
        "no rounding of quantities",
        r"\b(round|ceil|floor|rint)\((?!.*\.(m_as|magnitude|m)\b).*([Qq]uantity\(|\.to\()",
        slips=("round(quantity(9, 'ft') / spacing)", "np.ceil(length.to('in') / 16)"),
        passes=("math.ceil(length.m_as('in') / 16)", "round(width / 16)"),
        where=r"\.(py|ipynb)$",
    ),
    Rule(
        "no address but that of a standard or a license",
        r"https?://(?!(www\.w3\.org|scripts\.sil\.org|openfontlicense\.org)/)\w",
        slips=(f"https://{PACKAGE_INDEX}/simple", "https://example.com/x"),
        passes=('xmlns="http://www.w3.org/2000/svg"',),
    ),
    Rule(
        "no package registry",
        r"(?i)\b(py" + r"pi|pythonhosted|npmjs|anaconda)\.(org|com)\b|--(extra-)?index"
        r"-url|find" + r"-links",
        slips=(PACKAGE_INDEX, f"pip install {INDEX_OPTION} x"),
        passes=("pip install -c constraints.txt -e .", "conda-forge"),
    ),
    Rule(
        "no path of one machine",
        r"(?<![\w.:/<-])/(home|Users|root|tmp|mnt|opt|srv|work|farm)/\w",
        slips=(f'open("{MACHINE_PATH}")',),
        passes=("lbf/in", "docs/works/x", "https://www.w3.org/works/x"),
    ),
    Rule(
        "no verdict that is not ours to give",
        r"(?i)(?<!\|)(?<!\| )\b(safe|safely|approved)\b",
        slips=("This beam is safe.", "Approved for construction"),
        passes=("safety glasses", "{{ page|safe }}", "{{ page | safe }}", "'unsafe-inline'"),
        where=r"^(calclib|docs|examples|notebooks)/|^README\.md$",
    ),
    Rule(
        "nothing is left for later in the code",
        r"\b(TODO|FIXME|XXX)\b",
        slips=("# TODO: the other half",),
        passes=("to do",),
    ),
]
BY_NAME = pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.name)


@BY_NAME
def test_the_rule_tells_a_slip_from_its_look_alike(rule):
    """A rule that catches nothing, or everything, guards nothing."""
    assert all(rule.broken_by(line) for line in rule.slips)
    assert not any(rule.broken_by(line) for line in rule.passes)


@BY_NAME
def test_the_project_keeps_the_rule(rule):
    """No line of the files that the rule is for breaks it."""
    files = {
        path: text
        for path, text in FILES.items()
        if re.search(rule.where, path) and not re.search(rule.free, path)
    }

    broken = [
        f"{path}:{number}: {line.strip()[:100]}"
        for path, text in files.items()
        for number, line in enumerate(text.splitlines(), start=1)
        if rule.broken_by(line)
    ]

    assert files
    assert broken == []


# Where a tag leads: the one cell with the inputs, what papermill puts after it, cells that live
# only on screen, and cells of which a sheet shows the result alone.
KNOWN_TAGS = {"parameters", "injected-parameters", "widget", "screen-only", "remove-input"}


def notebook_faults(text):
    """Return what is wrong with a notebook that goes into git."""
    cells = json.loads(text)["cells"]
    code = [cell for cell in cells if cell["cell_type"] == "code"]
    tags = [tag for cell in cells for tag in cell["metadata"].get("tags", [])]
    faults = [f"unknown tag {tag}" for tag in tags if tag not in KNOWN_TAGS]
    if any(cell["outputs"] or cell["execution_count"] for cell in code):
        faults.append("stored output")
    if tags.count("parameters") > 1:
        faults.append("more than one cell of parameters")
    return faults


def notebook(outputs=(), tags=()):
    """Return the text of a notebook with one cell of code."""
    cell = {
        "cell_type": "code",
        "execution_count": None,
        "metadata": {"tags": list(tags)},
        "outputs": list(outputs),
        "source": "1 + 1",
    }
    return json.dumps({"cells": [cell]})


def test_notebooks_hold_no_output_and_only_known_tags():
    """Outputs go stale, and an unknown tag does nothing without a word."""
    faults = {
        path: found
        for path, text in FILES.items()
        if path.endswith(".ipynb") and (found := notebook_faults(text))
    }

    assert notebook_faults(notebook(tags=["parameters"])) == []
    assert notebook_faults(notebook(outputs=[{"text": "2"}])) == ["stored output"]
    assert notebook_faults(notebook(tags=["hide_input"])) == ["unknown tag hide_input"]
    assert faults == {}


def dead_links(text, folder):
    """Return the links of a Markdown text that lead to no file or to no heading."""
    dead = []
    for target in re.findall(r"\]\(([^)\s]+)\)", text):
        path, _, heading = target.partition("#")
        if path and not (folder / path).exists():
            dead.append(target)
            continue
        page = (folder / path).read_text(encoding="utf-8") if path.endswith(".md") else text
        headings = {
            re.sub(r"[^\w\- ]", "", line.lower()).replace(" ", "-")
            for line in re.findall(r"^#+ (.+)$", page, flags=re.MULTILINE)
        }
        if heading and heading not in headings:
            dead.append(target)
    return dead


@pytest.mark.parametrize("path", sorted(path for path in FILES if path.endswith(".md")))
def test_every_link_leads_somewhere(path):
    """Files and headings that a page points to exist."""
    assert dead_links("[a](no-such.md) [b](#here) [c](#there)\n# Here", ROOT) == [
        "no-such.md",
        "#there",
    ]
    assert dead_links(FILES[path], (ROOT / path).parent) == []


GUIDES = ("README.md", "DEVELOPERS.md")


@pytest.mark.parametrize("guide", GUIDES)
def test_every_file_that_a_guide_names_exists(guide):
    """Paths in running text and in commands too."""
    names = re.findall(r"\b(?:examples|docs|tests|calclib|notebooks)/[\w./-]*\w", FILES[guide])

    assert [name for name in names if not (ROOT / name).exists()] == []
    assert names


@pytest.mark.parametrize("guide", GUIDES)
def test_every_run_py_command_of_a_guide_exists(guide):
    """What a person copies, run.py knows."""
    known = runpy.run_path(str(ROOT / "run.py"))["COMMANDS"]

    used = set(re.findall(r"python3 run\.py ([\w-]+)", FILES[guide]))

    assert used
    assert used <= set(known)


def test_every_calclib_command_of_the_readme_exists():
    """Each command with each of its options stands in the help of the command."""
    lines = re.findall(
        r"(?:^ *|`)calclib ([a-z]+)([^`\n]*)", FILES["README.md"], flags=re.MULTILINE
    )
    asked = {command: set() for command, _ in lines}
    for command, rest in lines:
        asked[command] |= set(re.findall(r"(?<!\w)--?[a-z]+", rest))

    for command, options in asked.items():
        done = subprocess.run(
            [sys.executable, "-m", "calclib", command, "--help"],
            cwd=ROOT,
            capture_output=True,
            text=True,
        )
        missing = [option for option in options if option not in done.stdout]
        assert (command, done.returncode, missing) == (command, 0, [])
    assert {"sheet", "check"} <= set(asked)
