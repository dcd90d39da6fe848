"""Set up the kit in a virtual environment of its own, then run it.

    python3 run.py example           write the calc sheet of the example into build/
    python3 run.py test [-- ARGS]    run every check of the project; ARGS go to pytest

Only Python is needed, 3.11 to 3.13.
"""

import sys

# Stands before everything else, so that an older Python meets this sentence and no syntax error.
if not (3, 11) <= tuple(sys.version_info[:2]) <= (3, 13):
    sys.exit(
        "run.py: needs Python 3.11, 3.12 or 3.13, and this is {}.{}. "
        "Start it with one of those, for example: python3.11 run.py example".format(
            *sys.version_info
        )
    )

import hashlib
import os
import subprocess
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parent
VENV = ROOT / ".venv"
STAMP = VENV / "calclib-stamp.txt"
SCRIPTS = VENV / ("Scripts" if os.name == "nt" else "bin")
PYTHON = SCRIPTS / ("python.exe" if os.name == "nt" else "python")
EXAMPLE = Path("examples/larkspur_house.toml")
SHEET = Path("build/larkspur_house.html")


def say(text: str) -> None:
    print(f"run.py: {text}", flush=True)


def call(*command: str | Path) -> int:
    return subprocess.run([*map(str, command)], cwd=ROOT, check=False).returncode


def fingerprint() -> str:
    """Return a hash of the files that say what belongs into .venv."""
    files = [ROOT / "pyproject.toml", ROOT / "constraints.txt"]
    return hashlib.sha256(b"\0".join(file.read_bytes() for file in files)).hexdigest()


def environment_works() -> bool:
    """Tell whether .venv runs this version of Python and, once complete, this folder's library."""
    found, expected = "sys.version", [sys.version]
    if STAMP.is_file():
        # An environment that was moved along with its folder still finds the library at the old
        # place, and one that lost a package still has a stamp.
        found += ", os.path.dirname(calclib.__file__)"
        expected += [str(ROOT / "calclib")]
        libraries = "calclib, jinja2, joblib, matplotlib, numpy, pint, scipy, sympy"
    else:
        libraries = "pip"
    probe = f"import os, sys, {libraries}; print({found}, sep=chr(10))"
    try:
        done = subprocess.run([PYTHON, "-I", "-c", probe], capture_output=True, text=True)
    except OSError:
        return False
    return done.returncode == 0 and done.stdout == "\n".join([*expected, ""])


def prepare(extras: set[str]) -> None:
    """Bring .venv to the pinned versions, and do nothing when it has them already."""
    works = environment_works()
    mark, *present = STAMP.read_text(encoding="utf-8").split() if STAMP.is_file() else [""]
    if works and mark == fingerprint() and extras <= set(present):
        say(f"{VENV.name} is ready")
        return
    if not works:
        present = []
        say(f"making {VENV.name} with Python {sys.version.split()[0]}")
        if call(sys.executable, "-m", "venv", "--clear", VENV) != 0:
            sys.exit(
                "run.py: Python could not make a virtual environment. "
                "On Debian and Ubuntu its other half comes with: apt-get install python3-venv"
            )
    # Gone while pip works, so that an install that is cut off is taken up again.
    STAMP.unlink(missing_ok=True)
    wanted = sorted(extras | set(present))
    say("installing the pinned packages, one to three minutes the first time")
    quiet = ("--quiet", "--disable-pip-version-check")
    target = f".[{','.join(wanted)}]" if wanted else "."
    if call(PYTHON, "-m", "pip", "install", *quiet, "-c", "constraints.txt", "-e", target) != 0:
        sys.exit("run.py: the packages could not be installed; the lines above say why.")
    # pip compiles what it copies, but not a folder that it only points to.
    call(PYTHON, "-m", "compileall", "-q", "calclib")
    STAMP.write_text("\n".join([fingerprint(), *wanted]) + "\n", encoding="utf-8")


def example(arguments: list[str]) -> int:
    if arguments:
        sys.exit(f'run.py: example takes no arguments, got "{" ".join(arguments)}".')
    prepare(set())
    (ROOT / SHEET).parent.mkdir(exist_ok=True)
    code = call(SCRIPTS / "calclib", "sheet", EXAMPLE, "-o", SHEET)
    # 3 says that questions are open, which is what a sheet is for.
    if code not in (0, 3):
        return code
    say(f"the calc sheet is {ROOT / SHEET}")
    say("open it in a browser; it needs no network")
    return 0


# A kernel serves all cells of a file, so one worker runs them.
NOTEBOOKS = ("-p", "nbval.plugin", "--nbval-lax", "-q", "-n", "2", "--dist", "loadfile")


def test(arguments: list[str]) -> int:
    prepare({"cluster", "lab", "notebook", "test"})
    steps = {
        "format": ("ruff", "format", "--check", "--output-format=concise", "."),
        "lint": ("ruff", "check", "."),
        "types": ("mypy",),
        "layers": ("lint-imports", "--no-logo"),
        "tests": ("pytest", "-n", "2", "--dist", "loadgroup", *arguments),
        "notebooks": ("pytest", *NOTEBOOKS, "notebooks"),
    }
    failed = []
    for name, (tool, *options) in steps.items():
        say(f"{name}: {' '.join([tool, *options])}")
        start = time.perf_counter()
        if call(SCRIPTS / tool, *options) != 0:
            failed.append(name)
        say(f"{name}: {time.perf_counter() - start:.0f} s")
    say(f"failed: {', '.join(failed)}" if failed else "all passed")
    return 1 if failed else 0


COMMANDS = {"example": example, "test": test}


def main(arguments: list[str]) -> int:
    name, *rest = arguments or [""]
    if rest[:1] == ["--"]:
        rest = rest[1:]
    if name not in COMMANDS:
        print(__doc__.strip())
        return 0 if name in ("-h", "--help") else 2
    return COMMANDS[name](rest)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
