"""Time the break-points of the examples: python tests/benchmarks/bench_break_points.py

Prints, for each example, the time for all of its break-points as a number of whole-job
calculations (read and solve) for each leaf that has any: numbers that vary by degrees, and what
is solved again with its neighbors. Processor time, the whole jobs calculated before, between and
after, so that a busy machine strikes both alike.
"""

from __future__ import annotations

import statistics
import sys
import time
from pathlib import Path

from calclib.job.break_points import break_points
from calclib.job.file import parse
from calclib.job.solve import Solved, solve

EXAMPLES = sorted((Path(__file__).parents[2] / "examples").glob("*.toml"))
MOST = 3.0
ROUNDS = 2
WHOLE = 5


def whole(text: str) -> tuple[float, Solved]:
    """Return the processor time of a whole job, and the job."""
    start = time.process_time()
    solved = solve(parse(text))
    return time.process_time() - start, solved


def main() -> int:
    """Print the ratios; return 1 when one is above the limit."""
    worst = 0.0
    for path in EXAMPLES:
        text = path.read_text("utf-8")
        whole(text)
        times, taken = [], []
        for _ in range(ROUNDS):
            times += [whole(text)[0] for _ in range(WHOLE)]
            _, solved = whole(text)
            start = time.process_time()
            found = break_points(solved)
            taken.append(time.process_time() - start)
        times += [whole(text)[0] for _ in range(WHOLE)]
        leaves = len(found.ranges) + len({each.change.what for each in found.neighbors})
        one = statistics.median(times)
        ratio = min(taken) / one / leaves
        worst = max(worst, ratio)
        print(
            f"{path.stem}: {leaves} leaves in {min(taken):.1f} s, whole job {one * 1000:.0f} ms: "
            f"{ratio:.2f} whole jobs for each leaf"
        )
    print(f"limit: {MOST}")
    return int(worst > MOST)


if __name__ == "__main__":
    sys.exit(main())
