"""The whole process of `calclib sheet` beside `jupyter nbconvert --execute` of an empty notebook.

    python tests/benchmarks/bench_sheet.py

Prints the ratio of the least times of one run, which is to be at most one half.
Needs the notebook extra.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
import time
from pathlib import Path

import nbformat

JOB = Path(__file__).parents[2] / "examples" / "larkspur_house.toml"
ROUNDS = 5


def seconds(*command: str) -> float:
    """Return how long a command takes, from start to end."""
    start = time.perf_counter()
    done = subprocess.run(command, capture_output=True, check=False)
    # 3 says that checks are open.
    if done.returncode not in (0, 3):
        sys.exit(done.stderr.decode())
    return time.perf_counter() - start


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        empty = Path(folder) / "empty.ipynb"
        nbformat.write(nbformat.v4.new_notebook(), empty)
        sheet = [sys.executable, "-m", "calclib", "sheet", str(JOB), "-o", f"{folder}/sheet.html"]
        convert = [sys.executable, "-m", "jupyter", "nbconvert", "--execute", "--to", "html"]
        seconds(*sheet)
        ours, theirs = [], []
        for _ in range(ROUNDS):
            ours.append(seconds(*sheet))
            theirs.append(seconds(*convert, str(empty)))
    print(f"calclib sheet {min(ours):.2f} s, nbconvert --execute {min(theirs):.2f} s")
    print(f"ratio {min(ours) / min(theirs):.2f} (at most 0.5 asked for)")


if __name__ == "__main__":
    main()
