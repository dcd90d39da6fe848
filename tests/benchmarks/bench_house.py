"""Time the load path of houses that grow in plan, with their storeys fixed.

    python tests/benchmarks/bench_house.py [most members, 10000]

Each house has all sources, beams that land on beams, continuous joists and overhangs. Reading the
file is timed apart. The exponent is the slope of a line through the logarithms; growth in step
with the house is 1. The peer is one dense influence matrix, every member's share at every other,
which is what the rows save: it is only counted, not built.
"""

import math
import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from houses import house

from calclib.job import state as states
from calclib.job.carry import balance, carry, house_of
from calclib.job.errors import Errors
from calclib.job.file import Job
from calclib.job.reading import Reader
from calclib.job.solve import solve


def timed(work, least=0.3):
    """Return the best time of a call [s] and its result."""
    best, spent = math.inf, 0.0
    while spent < least:
        start = time.perf_counter()
        result = work()
        took = time.perf_counter() - start
        best, spent = min(best, took), spent + took
    return best, result


def job_of(text):
    """Read a house without the size limit of a file."""
    import tomllib

    data = tomllib.loads(text)
    errors = Errors("bench")
    reader = Reader(errors)
    job = Job("bench", text, reader.title_block(data), reader.sections(data))
    assert not errors.messages, errors.messages[:3]
    return job


def main():
    most = int(sys.argv[1]) if len(sys.argv) > 1 else 10_000
    points = []
    sizes = ((5, 1), (5, 3), (5, 9), (5, 27), (5, 60), (10, 60), (18, 60), (24, 60))
    print("members   rows on the ground   carry down    per member   balance")
    for lines, bays in sizes:
        job = job_of(house(5, storeys=3, lines=lines, bays=bays)[0])
        count = sum(len(named) for kind, named in job.sections.items() if kind != "surfaces")
        if count > 1.3 * most:
            break

        def work(job=job):
            return carry(house_of(job), states.finished(job.sections))

        best, flow = timed(work)
        gap = max(abs(a - b) / a for a, b in balance(flow).values())
        points.append((count, best))
        rows = len(flow.landed["ground"])
        print(
            f"{count:7d} {rows:12d} {best * 1e3:16.1f} ms {best / count * 1e6:9.0f} us   {gap:.0e}"
        )
    xs = [math.log(count) for count, _ in points]
    ys = [math.log(best) for _, best in points]
    n, mx, my = len(xs), sum(xs) / len(xs), sum(ys) / len(ys)
    slope = sum((x - mx) * (y - my) for x, y in zip(xs, ys, strict=True)) / sum(
        (x - mx) ** 2 for x in xs
    )
    print(f"exponent over {n} houses: {slope:.2f}")
    job = job_of(house(5, storeys=3, lines=5, bays=27)[0])
    best, solved = timed(lambda: solve(job))
    print(
        f"every check of the house of {points[3][0]} members, all combinations and patterns: "
        f"{len(solved.checks)} checks in {best:.2f} s"
    )


if __name__ == "__main__":
    main()
