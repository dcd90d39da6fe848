"""Time what a user waits for before anything is computed: python tests/benchmarks/bench_start.py

Prints how many times longer than bare `python -c "import argparse, tomllib"` the help takes, a job
file with errors of every kind, and one with an error of syntax.
The commands take turns, so that a busy minute of the machine strikes them all alike.
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).parents[2]
ROUNDS = 40
MOST_RATIO = 3.0

# A number without a unit, an unknown key, a missing key, a wrong size, a support that is none.
MISTAKES = {
    'span = { value = "13 ft 2 in"': 'span = { value = "13"',
    'spacing = { value = "16 in"': 'spacin = { value = "16 in"',
    'size = "2x8"': 'size = "2x9"',
    '"walls.west"]': '"walls.wst"]',
}


def seconds(command: list[str], folder: str) -> float:
    """Return the time that a command takes from start to end, its modules compiled before."""
    environment = os.environ | {"PYTHONPYCACHEPREFIX": folder, "PYTHONDONTWRITEBYTECODE": ""}
    start = time.perf_counter()
    subprocess.run(command, cwd=ROOT, env=environment, capture_output=True, check=False)
    return time.perf_counter() - start


def main() -> int:
    """Print the ratios; return 1 when one of them is too large."""
    job = (ROOT / "examples" / "larkspur_house.toml").read_text(encoding="utf-8")
    for right, wrong in MISTAKES.items():
        assert right in job
        job = job.replace(right, wrong)
    with tempfile.TemporaryDirectory() as folder:
        bad, broken = Path(folder, "bad.toml"), Path(folder, "broken.toml")
        bad.write_text(job, encoding="utf-8")
        broken.write_text('[joists.east]\nspan = "13\' 2""\n', encoding="utf-8")
        calclib = [sys.executable, "-m", "calclib"]
        commands = {
            "bare Python": [sys.executable, "-c", "import argparse, tomllib"],
            "calclib --help": [*calclib, "--help"],
            "a job file with errors": [*calclib, "check", str(bad)],
            "a job file that is no TOML": [*calclib, "check", str(broken)],
        }
        for command in commands.values():
            seconds(command, folder)
        times: dict[str, list[float]] = {name: [] for name in commands}
        for _ in range(ROUNDS):
            for name, command in commands.items():
                times[name].append(seconds(command, folder))
    bare = times.pop("bare Python")
    worst = 0.0
    for name, taken in times.items():
        # Taken pair by pair, the noise of the machine falls out of the median.
        ratio = statistics.median(t / b for t, b in zip(taken, bare, strict=True))
        worst = max(worst, ratio)
        least = min(taken) / min(bare)
        print(f"{name}: {ratio:.2f} times bare Python (least {least:.2f}, limit {MOST_RATIO})")
    return int(worst > MOST_RATIO)


if __name__ == "__main__":
    sys.exit(main())
