"""Recheck many sheets at once: an office's archive, a permit office's year.

Sheets are handed out in chunks, to processes of this machine or to the workers of a Dask cluster.
What a worker gets is the sheet itself and not its place, so that a cluster needs no shared disk.
"""

from __future__ import annotations

import contextlib
import math
import sys
import threading
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TextIO

from calclib import __version__
from calclib.errors import CalcError, InputError, message
from calclib.sheet.recheck import Recheck, read_sheet, recheck_bytes

# A chunk takes seconds: less, and handing it out costs as much as the work.
LARGEST_CHUNK = 8
# So many sheets for each process that is started.
WORTH_A_PROCESS = 6
BAR = 30

# Figures are drawn by a library whose settings belong to the whole process.
_ONE_AT_A_TIME = threading.Lock()


@dataclass(frozen=True)
class Outcome:
    """What came of one sheet.

    Attributes
    ----------
    file : str
    result : Recheck or None
        None when it is no sheet, or could not be recomputed.
    error : str
        Why, if so.
    """

    file: str
    result: Recheck | None
    error: str = ""


# Name and content of a sheet; in place of the content the message why it cannot be read.
Sheet = tuple[str, bytes | str]
Work = Callable[[Sequence[Sheet]], list[Outcome]]
Run = Callable[[Iterator[list[Sheet]]], Iterator[list[Outcome]]]


def in_order(files: Sequence[Path], run: Run, workers: int) -> Iterator[Outcome]:
    """Recheck sheets, and yield what came of each in the order given.

    Parameters
    ----------
    files : sequence of Path
    run : callable
        From chunks of sheets to chunks of outcomes, in order: `locally`, `on_cluster`.
    workers : int
        Among how many the work is divided.

    Yields
    ------
    Outcome
        A sheet at which a worker dies is tried once more by itself, and then given up.
    """
    done = 0
    size = max(1, min(LARGEST_CHUNK, math.ceil(len(files) / (4 * max(1, workers)))))
    while done < len(files):
        left = files[done:]
        try:
            for outcomes in run(_chunks(left, size)):
                yield from outcomes
                done += len(outcomes)
        except Exception as error:
            if not _worker_died(error):
                raise
            if size > 1 or workers > 1:
                # Which of them it was shows when each stands alone.
                size, workers, run = 1, 1, _one_by_one(run)
                continue
            yield Outcome(files[done].name, None, _died(files[done].name))
            done += 1


def _one_by_one(run: Run) -> Run:
    """Hand out a chunk only when the one before it is done."""

    def alone(chunks: Iterator[list[Sheet]]) -> Iterator[list[Outcome]]:
        for chunk in chunks:
            yield from run(iter([chunk]))

    return alone


def _worker_died(error: Exception) -> bool:
    names = {kind.__name__ for kind in type(error).__mro__}
    return bool(names & {"BrokenExecutor", "BrokenProcessPool", "TerminatedWorkerError",
                         "KilledWorker"})  # fmt: skip


def _died(name: str) -> str:
    do = "Recheck it by itself; it may need more memory than there is."
    return message(name, "a sheet that can be recomputed", "the end of the process", do)


def _chunks(files: Sequence[Path], size: int) -> Iterator[list[Sheet]]:
    """Yield sheets in chunks, each read only when it is asked for."""
    for start in range(0, len(files), size):
        yield [_sheet(file) for file in files[start : start + size]]


def _sheet(file: Path) -> Sheet:
    try:
        return file.name, read_sheet(file)
    except CalcError as error:
        return file.name, str(error)


def recheck_chunk(chunk: Sequence[Sheet]) -> list[Outcome]:
    """Recheck the sheets of a chunk; runs in a worker."""
    return [_outcome(name, content) for name, content in chunk]


def _outcome(name: str, content: bytes | str) -> Outcome:
    if isinstance(content, str):
        return Outcome(name, None, content)
    try:
        with _ONE_AT_A_TIME:
            return Outcome(name, recheck_bytes(content, name))
    except CalcError as error:
        return Outcome(name, None, str(error))
    except Exception as error:
        # Whatever is the matter with one sheet, the others are to be rechecked.
        got = f"{type(error).__name__} ({error})"[:200]
        return Outcome(name, None, message(name, "a sheet that can be recomputed", got))


def here(chunks: Iterator[list[Sheet]]) -> Iterator[list[Outcome]]:
    """Recheck in this process, one sheet after the other."""
    yield from map(recheck_chunk, chunks)


def locally(workers: int, work: Work = recheck_chunk) -> Run:
    """Return what rechecks in so many processes of this machine."""

    def run(chunks: Iterator[list[Sheet]]) -> Iterator[list[Outcome]]:
        from joblib import Parallel, delayed

        pool = Parallel(n_jobs=workers, return_as="generator", batch_size=1)
        yield from pool(delayed(work)(chunk) for chunk in chunks)

    return run


@contextlib.contextmanager
def cluster(address: str, workers: int) -> Iterator[tuple[Run, int]]:
    """Connect to a Dask cluster, and yield what rechecks on it with the count of its workers.

    Parameters
    ----------
    address : str
        Of its scheduler ("tcp://10.0.0.5:8786"); empty for workers of its own on this machine.
    workers : int
        How many of these.

    Raises
    ------
    InputError
        When no scheduler answers, or a worker has another version of the kit.
    ModuleNotFoundError
        Without the packages of the extra "cluster".
    """
    import dask
    from distributed import Client, LocalCluster

    with contextlib.ExitStack() as stack:
        # It makes NumPy slow in the workers.
        calm = dict(dask.config.get("distributed.nanny.pre-spawn-environ", {}))
        calm.pop("MALLOC_TRIM_THRESHOLD_", None)
        stack.enter_context(dask.config.set({"distributed.nanny.pre-spawn-environ": calm}))
        try:
            where: Any = address or stack.enter_context(
                LocalCluster(n_workers=workers, threads_per_worker=1, dashboard_address=None)
            )
            client = stack.enter_context(Client(where, timeout="20s"))
        except (OSError, ValueError) as error:
            do = "Start one with dask scheduler, or leave the address out."
            got = str(error).splitlines()[0][:200] if str(error) else "no answer"
            raise InputError(message(f"--dask {address}", "a scheduler", got, do)) from None
        versions = client.run(_version)
        others = sorted({version for version in versions.values() if version != __version__})
        if others or not versions:
            got = ", ".join(others) if versions else "no worker"
            do = "Install the same version of calclib for each worker."
            raise InputError(message(f"--dask {address}", f"calclib {__version__}", got, do))
        yield _on(client), len(versions)


def _on(client: Any) -> Run:
    def run(chunks: Iterator[list[Sheet]]) -> Iterator[list[Outcome]]:
        from joblib import Parallel, delayed, parallel_config

        with parallel_config(backend="dask", client=client):
            pool = Parallel(return_as="generator", batch_size=1)
            yield from pool(delayed(recheck_chunk)(chunk) for chunk in chunks)

    return run


def _version() -> str:
    try:
        from calclib import __version__ as found
    except ImportError:
        return "none"
    return found


class Progress:
    """A bar on a terminal; silent anywhere else."""

    def __init__(self, count: int, stream: TextIO | None = None) -> None:
        self.count = count
        self.stream = stream or sys.stderr
        self.counts = {"the same": 0, "differ": 0, "no sheet": 0}

    def add(self, outcome: Outcome) -> None:
        """Count one sheet, and draw the bar anew."""
        result = outcome.result
        kind = "no sheet" if result is None else "the same" if result.is_same else "differ"
        self.counts[kind] += 1
        if self.stream.isatty():
            done = sum(self.counts.values())
            full = BAR * done // self.count
            bar = "#" * full + "." * (BAR - full)
            self.stream.write(f"\r[{bar}] {done} of {self.count}: {self.words()} ")
            self.stream.flush()

    def clear(self) -> None:
        """Take the bar off the line, so that something else can be printed."""
        if self.stream.isatty():
            self.stream.write("\r\x1b[K")
            self.stream.flush()

    def words(self) -> str:
        """Return the counts in words."""
        same, differ, none = self.counts.values()
        return f"{same} the same, {differ} differ, {none} cannot be rechecked"
