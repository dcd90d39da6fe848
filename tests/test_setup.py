"""The set-up: one list of packages, pins that fit it, a light core, and the two commands."""

import importlib.metadata
import os
import re
import runpy
import shutil
import subprocess
import sys
import tomllib
from itertools import chain
from pathlib import Path
from types import SimpleNamespace

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

import calclib

ROOT = Path(__file__).parents[1]
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
EXTRAS = PROJECT["optional-dependencies"]

# What conda-forge calls differently.
CONDA_NAMES = {"brotli-python": "brotli"}


def bounds(lines):
    """Return the bounds of each named package."""
    requirements = [Requirement(line) for line in lines]
    return {canonicalize_name(each.name): each.specifier for each in requirements}


def declared():
    """Return the bounds of each package in pyproject.toml, extras included."""
    return bounds([*PROJECT["dependencies"], *chain(*EXTRAS.values())])


def python(code):
    """Run a line of Python in a process of its own and return what it prints."""
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    return done.stdout


def test_environment_file_says_the_same_as_the_project_file():
    """Names and bounds agree both ways, Python's own too."""
    text = (ROOT / "environment.yml").read_text(encoding="utf-8").partition("dependencies:")[2]
    lines = re.findall(r"^\s*- ([\w-]+[<>=!~].*)$", text, flags=re.MULTILINE)

    conda = {CONDA_NAMES.get(name, name): bound for name, bound in bounds(lines).items()}

    assert conda == declared() | bounds([f"python{PROJECT['requires-python']}"])


def test_every_pin_is_a_name_and_a_version():
    """Constraints carry no address, no path and no option."""
    lines = (ROOT / "constraints.txt").read_text(encoding="utf-8").splitlines()

    strange = [line for line in lines if not re.fullmatch(r"#.*|[\w.-]+==[\w.+]+", line)]

    assert strange == []


def test_every_declared_package_is_pinned_within_its_bounds():
    """An upgrade of a bound without new pins is noticed."""
    text = (ROOT / "constraints.txt").read_text(encoding="utf-8")
    pins = {
        canonicalize_name(name): version
        for name, version in re.findall(r"^([\w.-]+)==(\S+)$", text, flags=re.MULTILINE)
    }

    outside = [name for name, bound in declared().items() if pins.get(name, "") not in bound]

    assert outside == []


def test_the_core_brings_no_notebook_program():
    """What the library needs does not lead to Jupyter or its widgets by any way."""
    found, queue = set(), list(bounds(PROJECT["dependencies"]))
    while queue:
        name = queue.pop()
        found.add(name)
        needs = [Requirement(line) for line in importlib.metadata.requires(name) or []]
        plain = [each for each in needs if each.marker is None or each.marker.evaluate()]
        queue += [name for each in plain if (name := canonicalize_name(each.name)) not in found]

    assert "contourpy" in found  # Matplotlib's own need: the walk goes deeper than one level
    assert not found & {"jupyterlab", "jupyter-server", "ipywidgets", "ipykernel", "nbconvert"}


def test_importing_the_package_costs_nothing():
    """`import calclib` loads no other module."""
    code = "import sys; old = set(sys.modules); import calclib; print(set(sys.modules) - old)"

    assert python(code).strip() == "{'calclib'}"


def test_help_loads_no_heavy_library():
    """A person who asks for help does not wait for a computer algebra system."""
    heavy = {"IPython", "jinja2", "matplotlib", "numpy", "pint", "scipy", "sympy"}
    code = (
        "import runpy, sys\n"
        "sys.argv = ['calclib', '--help']\n"
        "try: runpy.run_module('calclib', run_name='__main__')\n"
        "except SystemExit: pass\n"
        f"print(sorted({heavy} & set(sys.modules)))"
    )

    shown, loaded = python(code).rstrip().rsplit("\n", 1)

    assert "sheet" in shown
    assert loaded == "[]"


def test_the_version_is_the_same_everywhere():
    """The package, its metadata and the newest entry of the change log agree."""
    entries = re.findall(r"^## (\S+)", (ROOT / "CHANGELOG.md").read_text(encoding="utf-8"), re.M)

    assert importlib.metadata.version("calclib") == calclib.__version__
    assert entries[0] == calclib.__version__


@pytest.fixture
def run(tmp_path, monkeypatch):
    """run.py with an environment in a temporary folder; its commands are noted, not run."""
    module = SimpleNamespace(**runpy.run_path(str(ROOT / "run.py")))
    state = module.prepare.__globals__
    commands = []

    def note(*command):
        commands.append(" ".join(map(str, command)))
        (tmp_path / ".venv").mkdir(exist_ok=True)
        return 0

    changes = {
        "VENV": tmp_path / ".venv",
        "STAMP": tmp_path / ".venv" / "stamp",
        "PYTHON": tmp_path / ".venv" / "python",
        "call": note,
    }
    for name, value in changes.items():
        monkeypatch.setitem(state, name, value)
    module.state, module.commands = state, commands
    return module


@pytest.mark.parametrize("version", [(3, 10, 13), (3, 14, 0)])
def test_another_python_is_refused_in_one_sentence(monkeypatch, version):
    """Too old and too new alike: what is needed, what came, what to do."""
    monkeypatch.setattr(sys, "version_info", version)

    with pytest.raises(SystemExit, match=rf"needs Python 3\.11.*this is 3\.{version[1]}\. Start"):
        runpy.run_path(str(ROOT / "run.py"))


def test_a_first_run_makes_the_environment_and_installs_the_pins(run):
    """Nothing is there: Python's venv, then pip with the constraints."""
    run.prepare({"notebook", "test"})

    make, install, compiled = run.commands
    assert "-m venv --clear" in make
    assert install.endswith("-c constraints.txt -e .[notebook,test]")
    assert compiled.endswith("-m compileall -q calclib")
    assert run.state["STAMP"].read_text().split() == [run.fingerprint(), "notebook", "test"]


def test_a_broken_environment_is_made_anew(run):
    """The folder is there, but its Python does not run."""
    run.state["VENV"].mkdir()
    run.state["STAMP"].write_text(run.fingerprint())

    run.prepare(set())

    assert "-m venv --clear" in run.commands[0]


def test_a_complete_environment_is_left_alone(run, monkeypatch):
    """The stamp agrees and the libraries can be imported from this folder."""
    monkeypatch.setitem(run.state, "PYTHON", sys.executable)
    run.state["VENV"].mkdir()
    run.state["STAMP"].write_text(f"{run.fingerprint()}\ntest\n")

    run.prepare({"test"})

    assert run.commands == []


def test_changed_pins_are_installed_into_the_environment_that_is_there(run, monkeypatch):
    """An older stamp asks for pip, not for a new environment, and keeps the extras."""
    monkeypatch.setitem(run.state, "PYTHON", sys.executable)
    run.state["VENV"].mkdir()
    run.state["STAMP"].write_text("of-older-pins\ntest\n")

    run.prepare(set())

    assert len(run.commands) == 2
    assert run.commands[0].endswith("-c constraints.txt -e .[test]")


def test_a_failed_install_leaves_no_stamp(run, monkeypatch):
    """The next run takes it up again."""
    monkeypatch.setitem(run.state, "PYTHON", sys.executable)
    monkeypatch.setitem(run.state, "call", lambda *command: 1)
    run.state["VENV"].mkdir()
    run.state["STAMP"].write_text("of-older-pins\n")

    with pytest.raises(SystemExit, match="could not be installed"):
        run.prepare(set())

    assert not run.state["STAMP"].exists()


def test_one_failed_step_fails_the_test_command(run, monkeypatch):
    """All steps run, and the worst of them counts."""
    tools = []

    def only_types_fail(tool, *options):
        tools.append(Path(tool).name)
        return int(tools[-1] == "mypy")

    monkeypatch.setitem(run.state, "prepare", lambda extras: None)
    monkeypatch.setitem(run.state, "call", only_types_fail)

    code = run.test([])

    assert code == 1
    assert tools == ["ruff", "ruff", "mypy", "lint-imports", "pytest", "pytest"]


def test_ci_runs_the_test_command_of_the_readme():
    """What CI calls is what a person copies, and a skipped test fails it."""
    script = ROOT / ".ci" / "run"
    lines = script.read_text(encoding="utf-8").splitlines()

    assert os.access(script, os.X_OK)
    assert "set -eu" in lines
    assert "export CALCLIB_NO_SKIP=1" in lines
    command = lines[-1].removeprefix("exec ")
    assert command in (ROOT / "README.md").read_text(encoding="utf-8").splitlines()


SKIPS = """
import pytest

@pytest.fixture
def tool():
    pytest.skip("no tool for the fixture")

def test_with_a_fixture(tool):
    pass

def test_in_its_body():
    pytest.skip("no tool for the body")

@pytest.mark.skipif(True, reason="no tool for the mark")
def test_with_a_mark():
    pass

@pytest.mark.xfail(reason="a known fault")
def test_with_a_known_fault():
    assert False
"""

SKIPPED_MODULE = """
import pytest

pytest.skip("no tool for the module", allow_module_level=True)
"""


def outcome_of_skips(folder, workers, **environment):
    """Run four skips and one known fault under the project's conftest; return code and output."""
    shutil.copy(ROOT / "tests" / "conftest.py", folder)
    (folder / "test_skips.py").write_text(SKIPS)
    (folder / "test_module.py").write_text(SKIPPED_MODULE)
    inherited = {name: text for name, text in os.environ.items() if name != "CALCLIB_NO_SKIP"}
    options = ("-pno:nbval", "--rootdir=.", "--continue-on-collection-errors")
    done = subprocess.run(
        [sys.executable, "-m", "pytest", "-ra", "-n", workers, *options],
        cwd=folder,
        env=inherited | environment,
        capture_output=True,
        text=True,
    )
    return done.returncode, done.stdout


def test_a_skip_passes_and_says_why(tmp_path):
    """At home a missing tool is no failure."""
    code, output = outcome_of_skips(tmp_path, "0")

    assert code == 0
    assert "4 skipped, 1 xfailed" in output
    assert "no tool for the fixture" in output


@pytest.mark.parametrize("workers", ["0", "1"])
def test_no_skip_slips_through_where_none_is_allowed(tmp_path, workers):
    """Under CALCLIB_NO_SKIP each of the four ways to skip fails with its reason."""
    code, output = outcome_of_skips(tmp_path, workers, CALCLIB_NO_SKIP="1")

    assert code != 0
    assert "skipped" not in output.splitlines()[-1]
    for place in ("fixture", "body", "mark", "module"):
        assert re.search(f"this was skipped.*no tool for the {place}", output), place


def test_the_browser_draws_a_page(browser):
    """Playwright drives the system's Chromium, which needs no browser of its own."""
    page = browser.new_page()
    page.set_content("<p style='width: 120px'>A beam</p>")

    box = page.locator("p").bounding_box()
    page.close()

    assert box["width"] == 120
