"""Time what follows a moved slider: python tests/benchmarks/bench_explorer.py

Prints the calculation, the figure and the words as shares of what Matplotlib takes to redraw the
same axes in place with prepared numbers, for the lesson's explorer and the designer's.
Processor time, so that a busy machine counts less.
"""

from __future__ import annotations

import statistics
import sys
import time
from collections.abc import Callable
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT / "tests"))

from bare_redraw import bare_redraw  # noqa: E402

from calclib.lessons import Study, design_study, opening_study  # noqa: E402
from calclib.lessons.drawing import scales  # noqa: E402
from calclib.lessons.page import drawn, results, results_by_verdict  # noqa: E402

ROUNDS = 60
MOST_CALCULATION, MOST_OF_ALL = 0.1, 1.5


def shares(study: Study, told: Callable[[Study, float], str]) -> dict[str, float]:
    """Return what each part of a move takes, in redraws."""
    start = study.at()
    readings = [start, study.at(span="15 ft")]
    axes = scales([start, study.at(span="21 ft")])
    work: dict[str, Callable[[int], object]] = {
        "redraw": bare_redraw(readings),
        "calculation": lambda i: study.at(span=162.0 + i),
        "figure": lambda i: drawn(readings[i % 2], axes, start),
        "words": lambda i: told(study, 162.0 + i),
    }
    times: dict[str, list[float]] = {name: [] for name in work}
    for i in range(ROUNDS):
        for name, do in work.items():
            before = time.process_time()
            do(i)
            times[name].append(time.process_time() - before)
    medians = {name: statistics.median(spent) for name, spent in times.items()}
    bare = medians.pop("redraw")
    print(f"bare redraw {1000 * bare:.1f} ms")
    for name, median in medians.items():
        print(f"{name} {1000 * median:.2f} ms, {median / bare:.3f} of it")
    return {name: median / bare for name, median in medians.items()}


def main() -> int:
    """Print the shares; return 1 when one of them is too large."""
    job = ROOT / "examples" / "larkspur_house.toml"
    is_slow = False
    explorers: dict[str, tuple[Study, Callable[[Study, float], str]]] = {
        "opening of the lesson": (opening_study(job), lambda s, span: results(s.at(span=span))),
        "opening of the designer": (
            design_study(job),
            # With the checks of what carries the beam.
            lambda s, span: results_by_verdict(s.with_beside(span=span)),
        ),
    }
    for name, (study, told) in explorers.items():
        print(f"{name}:")
        found = shares(study, told)
        is_slow |= found["calculation"] > MOST_CALCULATION or sum(found.values()) > MOST_OF_ALL
    return int(is_slow)


if __name__ == "__main__":
    sys.exit(main())
