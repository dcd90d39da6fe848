"""Time the beam solver: python tests/benchmarks/bench_beam.py

Prints two figures, both ratios taken in this run.
How many times faster a simple beam with two point loads is solved, exact extremes included, than
SymPy's beam module gets to its deflection expression; each beam is another one, since SymPy caches.
And the exponent of the cost in the number of loads, from 10 to 10,000.
"""

from __future__ import annotations

import math
import statistics
import sys
import time
from collections.abc import Callable
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from sympy.physics.continuum_mechanics.beam import Beam as SymPyBeam

from calclib.mechanics import Beam, Line, Point, Support, solve

LEAST_RATIO = 80
STRETCH_RATIO = 200
MOST_EXPONENT = 1.1


def seconds(work: Callable[[], object]) -> float:
    """Return the time that one call takes."""
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def solve_ours(i: int) -> None:
    """Solve the i-th beam and find its extremes."""
    length = 120.0 + i
    beam = Beam(length=length, supports=[Support(0.0), Support(length)], EI=1.5e8)
    curves = solve(beam, {"D": [Point(40.0, 500.0), Point(70.0, 300.0 + i)]}).curves
    for extremes in (curves.shear_extremes, curves.moment_extremes, curves.deflection_extremes):
        assert extremes.highest.shape == (1, 1)


def solve_sympy(i: int) -> None:
    """Take SymPy's module to the deflection expression of the i-th beam."""
    length = 120 + i
    beam = SymPyBeam(length, 150_000_000, 1)
    reactions = [beam.apply_support(0, "pin"), beam.apply_support(length, "roller")]
    beam.apply_load(500, 40, -1)
    beam.apply_load(300 + i, 70, -1)
    beam.solve_for_reaction_loads(*reactions)
    beam.deflection()


def solve_many(loads: int) -> None:
    """Solve a member of five spans with so many loads of two kinds, extremes included."""
    supports = [Support(144.0 * i) for i in range(6)]
    beam = Beam(length=720.0, supports=supports, EI=1.5e8)
    step = 720.0 / loads
    group = [
        Point((i + 0.5) * step, 10.0) if i % 2 else Line(i * step, (i + 1) * step, 1.0, 2.0)
        for i in range(loads)
    ]
    curves = solve(beam, {"D": group}).curves
    for extremes in (curves.shear_extremes, curves.moment_extremes, curves.deflection_extremes):
        assert extremes.highest.shape == (1, 5)


def main() -> int:
    """Print the figures; return 1 if one of them misses its mark."""
    solve_ours(-1)
    solve_sympy(-1)
    # In turn, so that other work on the machine slows both alike.
    ours, sympys = [], []
    for i in range(20):
        sympys.append(seconds(lambda i=i: solve_sympy(i)))
        ours += [seconds(lambda i=i, k=k: solve_ours(20 * i + k)) for k in range(20)]
    mine, theirs = statistics.median(ours), statistics.median(sympys)
    ratio = theirs / mine
    print(f"simple beam, two point loads, extremes: {mine * 1e3:.3f} ms")
    print(f"SymPy's module to its deflection:       {theirs * 1e3:.1f} ms")
    print(f"ratio: {ratio:.0f} (at least {LEAST_RATIO}, stretch {STRETCH_RATIO})")

    counts = [10, 100, 1_000, 10_000]
    costs = [min(seconds(lambda n=n: solve_many(n)) for _ in range(7)) for n in counts]
    for count, cost in zip(counts, costs, strict=True):
        print(f"{count:>6} loads: {cost * 1e3:.2f} ms")
    overall = math.log(costs[-1] / costs[0]) / math.log(counts[-1] / counts[0])
    last = math.log(costs[-1] / costs[-2]) / math.log(counts[-1] / counts[-2])
    print(f"exponent: {overall:.2f} from 10 to 10,000 loads, {last:.2f} in the last decade")
    print(f"(at most {MOST_EXPONENT})")
    return int(ratio < LEAST_RATIO or overall > MOST_EXPONENT)


if __name__ == "__main__":
    sys.exit(main())
