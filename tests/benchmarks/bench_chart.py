"""Time a size chart: python tests/benchmarks/bench_chart.py

Prints what 100 x 100 points with all checks take, in single-member solutions: of the library's own
(`solve_beam`, solution and checks of one beam) and of the flat program that a slider runs.
Processor time, so that a busy machine counts less.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np

from calclib.job.beam import solve_beam
from calclib.job.bent import design_of
from calclib.job.solve import STAGE
from calclib.lessons import Study, opening_study
from calclib.lessons.grid import over_grid

ROOT = Path(__file__).parents[2]
POINTS, MOST = 100, 200
SINGLES, ROUNDS = 20, 5


def taken(do: Callable[[], object], times: int = 1) -> float:
    """Return the processor time of one of several runs [s]."""
    before = time.process_time()
    for _ in range(times):
        do()
    return (time.process_time() - before) / times


def works(study: Study) -> dict[str, tuple[Callable[[], object], int]]:
    """Return what is timed, and how often it runs in a round."""
    solved, path = study.solved, study.beam.section.path
    x = study.settings[0].key
    xs, ys = (
        np.linspace(setting.low, setting.high, POINTS)
        for setting in (study.freedoms[key].setting for key in (x, "width"))
    )
    flow = solved.flow
    axis, landed = flow.house.axes[path], flow.landed[path]
    design = design_of(solved.job)
    return {
        "single": (
            lambda: solve_beam(
                axis, landed, solved.inputs, STAGE, design, flow.state.members, flow.house.axes
            ),
            SINGLES,
        ),
        "flat": (study.at, SINGLES),
        "chart": (lambda: over_grid(study, x, "width", xs, ys), 1),
    }


def main() -> int:
    """Print the ratios; return 1 when one is over 200."""
    is_slow = False
    for name in ("larkspur_house", "basement_beam", "foxglove_cottage"):
        study = opening_study(ROOT / "examples" / f"{name}.toml")
        # Other work on the machine only ever adds time, so the best round of each is compared.
        single, flat, chart = (
            min(taken(do, times) for _ in range(ROUNDS)) for do, times in works(study).values()
        )
        print(
            f"{name}: chart {chart:.2f} s = {chart / single:.0f} single solutions of "
            f"{1000 * single:.1f} ms, {chart / flat:.0f} flat runs of {1000 * flat:.1f} ms"
        )
        is_slow |= chart > MOST * single
    return int(is_slow)


if __name__ == "__main__":
    sys.exit(main())
