"""Time the calc sheet against an empty notebook: python tests/benchmarks/bench_sheet.py

Prints how long `calclib sheet` takes for the example, whole process, as a share of what
`nbconvert --execute` takes to run and write a notebook of one empty cell, and the same for the
standard notebook, which has to run too.
What the command says that it took to find its results another way and the break-points, each
with a target of its own, is taken off.
The commands take turns, so that a busy minute of the machine strikes them all alike.
"""

from __future__ import annotations

import os
import re
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import nbformat
from nbformat.v4 import new_code_cell, new_notebook

ROOT = Path(__file__).parents[2]
ROUNDS = 7
# Python keeps what it has compiled, as it does for a user, unless this says otherwise.
KEEPING = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}
APART = re.compile(r"(?:another way|found) in ([0-9.]+) s")
MOST_SHARE = 0.5

# JupyterLab brings a reader of addresses that makes every notebook slow to open; without it the
# empty notebook is as fast as it can be.
START = "import runpy, sys; sys.modules['rfc3987_syntax'] = None; sys.argv = sys.argv[1:]; "
RUN = START + "runpy.run_module(sys.argv[0], run_name='__main__')"


def seconds(*command: str | Path) -> float:
    """Return the time that a module of Python takes from start to end."""
    start = time.perf_counter()
    done = subprocess.run(
        [sys.executable, "-c", RUN, *map(str, command)],
        cwd=ROOT, env=KEEPING, capture_output=True, check=False,
    )  # fmt: skip
    # A sheet with open questions ends with 3.
    taken = time.perf_counter() - start
    assert done.returncode in (0, 3), done.stderr.decode()
    return taken - sum(map(float, APART.findall(done.stdout.decode())))


def main() -> int:
    """Print the shares; return 1 when the sheet takes more than half of an empty notebook."""
    with tempfile.TemporaryDirectory() as folder:
        empty, out = Path(folder, "empty.ipynb"), Path(folder, "out.html")
        nbformat.write(new_notebook(cells=[new_code_cell("")]), empty)
        commands = {
            "empty notebook": ("nbconvert", "--to", "html", "--execute", empty),
            "calclib sheet JOB": ("calclib", "sheet", "examples/larkspur_house.toml", "-o", out),
            "calclib sheet NOTEBOOK": ("calclib", "sheet", "notebooks/calc_sheet.ipynb", "-o", out),
        }
        for command in commands.values():
            seconds(*command)
        times: dict[str, list[float]] = {name: [] for name in commands}
        for _ in range(ROUNDS):
            for name, command in commands.items():
                times[name].append(seconds(*command))
    base = times.pop("empty notebook")
    shares = {}
    for name, taken in times.items():
        shares[name] = statistics.median(t / b for t, b in zip(taken, base, strict=True))
        least = min(taken) / min(base)
        print(f"{name}: {shares[name]:.2f} of an empty notebook (least {least:.2f})")
    print(f"limit for the job: {MOST_SHARE}")
    return int(shares["calclib sheet JOB"] > MOST_SHARE)


if __name__ == "__main__":
    sys.exit(main())
