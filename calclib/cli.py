"""The commands of a terminal: each reads a job or a sheet, and prints or writes."""

from __future__ import annotations

import argparse
import atexit
import contextlib
import gc
import sys
import time
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from calclib.job.solve import Solved
    from calclib.sheet.archive import Run

PASSED, FAILED, BAD_INPUT, OPEN = 0, 1, 2, 3

ABOUT = """\
Work out what rests on a wall that is to be opened, and put it on paper.

The job is described in a text file (see examples/). The kit finds how the weight runs down,
checks the members that it covers, and writes a calc sheet for an engineer to review.
It decides nothing: local code and licensed practice do."""

CODES = """\
exit code: 0 every check passes and none is open; 1 a check fails; 2 the job file
cannot be used; 3 none fails but some are open."""


def parser() -> argparse.ArgumentParser:
    """Return the parser of the command line."""
    made = argparse.ArgumentParser(
        prog="calclib", description=ABOUT, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    made.add_argument("--version", action="store_true", help="print the version and stop")
    commands = made.add_subparsers(dest="command", metavar="COMMAND")
    sheet = commands.add_parser(
        "sheet",
        help="write the calc sheet of a job or a notebook as one HTML file",
        description="Write the calc sheet of a job: one HTML file to read, print and submit "
        "beside an engineer's review. A notebook is run first, in a fresh kernel.",
        epilog=CODES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    sheet.add_argument("job", metavar="JOB.toml", help="the job file, or a notebook (.ipynb)")
    sheet.add_argument(
        "-o",
        "--output",
        metavar="OUT.html",
        help="where to write (the job's name with .html, in this folder, if not given)",
    )
    sheet.add_argument(
        "--review",
        metavar="REVIEW.toml",
        help="the review record to carry (JOB.review.toml beside the job, if there is one)",
    )
    sheet.add_argument(
        "--draft",
        action="store_true",
        help="leave out how far each number may go, which takes longest; the sheet says so",
    )
    check = commands.add_parser(
        "check",
        help="list every check of a job with its result",
        description="List every check of a job: demand, capacity, utilization, and whether it "
        "passes, fails or is open.",
        epilog=CODES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    check.add_argument("job", metavar="JOB.toml", help="the job file")
    check.add_argument(
        "--json", action="store_true", help="write JSON for machines (docs/check-json.md)"
    )
    path = commands.add_parser(
        "path",
        help="print the load path of a job as a tree, from the roof to the ground",
        description="Print how the weight runs down, what enters and what reaches the ground, "
        "and what each member carries before and after the work.",
    )
    path.add_argument("job", metavar="JOB.toml", help="the job file")
    path.add_argument(
        "--as-found", action="store_true", help="the house before the work, not after it"
    )
    path.add_argument(
        "--without",
        metavar="MEMBER",
        action="append",
        default=[],
        help="take a member out by way of trial, such as posts.west; may be given again",
    )
    sizes = commands.add_parser(
        "sizes",
        help="list the stock sizes of its wood that carry a beam of the job",
        description="Try every stock size of a beam's own kind of wood under the loads of the job, "
        "by the same checks, and list those that carry them.",
    )
    sizes.add_argument("job", metavar="JOB.toml", help="the job file")
    sizes.add_argument("beam", metavar="BEAM", help="a beam of it, such as beams.opening")
    sizes.add_argument(
        "--by", metavar="ORDER", default="depth", help="depth (if not given), weight or plies"
    )
    sizes.add_argument("--all", action="store_true", help="also those that do not carry them")
    crew = commands.add_parser(
        "crew",
        help="write the one-page sheet for the crew, and the lists as CSV",
        description="Write the order of work, hold points, cut list and weights on one page to "
        "hang on the wall. The calc sheet, its engineer's review and the permit go before it.",
        epilog=CODES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    crew.add_argument("job", metavar="JOB.toml", help="the job file, with a [work.NAME] section")
    crew.add_argument(
        "-o", "--output", metavar="OUT.html",
        help="where to write (the job's name with _crew.html, in this folder, if not given)",
    )  # fmt: skip
    crew.add_argument(
        "--csv", metavar="FOLDER", help="also write the cut, material and connector lists there"
    )
    again = commands.add_parser(
        "recheck",
        help="recompute a sheet from the job in it and compare all of its text",
        description="Recompute submitted sheets from the jobs that they carry, and list whatever "
        "reads otherwise than it was recomputed. Nothing in a sheet is run.",
        epilog="exit code: 0 all read the same; 1 something differs; 2 a file is no sheet.",
    )
    again.add_argument(
        "sheets", metavar="SHEET.html", nargs="+", help="a sheet, or a folder of them"
    )
    again.add_argument(
        "--workers",
        metavar="N",
        type=int,
        default=0,
        help="how many processes share the work (one for each core, if not given)",
    )
    again.add_argument(
        "--dask",
        metavar="ADDRESS",
        nargs="?",
        const="",
        help="share the work on a Dask cluster, by the address of its scheduler; without an "
        "address on one of this machine's own",
    )
    two = commands.add_parser(
        "compare",
        help="list what changed between two jobs or sheets",
        description="List the inputs that differ between two jobs or sheets, and the results and "
        "verdicts that differ because of them.",
        epilog="exit code: 0 nothing changed; 1 something did; 2 a file cannot be used.",
    )
    two.add_argument("one", metavar="A", help="a job file or a sheet")
    two.add_argument("other", metavar="B", help="another")
    two.add_argument("-o", "--output", metavar="OUT.html", help="also write it as HTML")
    learn = commands.add_parser(
        "lessons",
        help="list the lessons and their exercises, or write them as pages",
        description="List the lessons and their exercises, with a learner's progress if there is "
        "a file of it. With -o, run them and write pages to read without a kernel.",
    )
    learn.add_argument("-o", "--output", metavar="FOLDER", help="where to write the pages")
    learn.add_argument(
        "--from",
        metavar="FOLDER",
        dest="folder",
        default="",
        help="where the lessons are (notebooks, if not given)",
    )
    learn.add_argument("--progress", metavar="FILE", help="the file of answers of a learner")
    return made


@contextlib.contextmanager
def _patience(words: str) -> Iterator[None]:
    """Say what is going on when it takes longer than a second."""
    import threading

    timer = threading.Timer(1.0, lambda: print(f"{words} ...", file=sys.stderr, flush=True))
    timer.daemon = True
    timer.start()
    try:
        yield
    finally:
        timer.cancel()


def _solved(path: str) -> Solved:
    from calclib.job.file import read

    job = read(path)
    from calclib.job.solve import solve

    with _patience(f"calclib: working out {Path(path).name}"):
        return solve(job)


def exit_code(solved: Solved) -> int:
    """Return the exit code that the checks of a job ask for."""
    states = {check.state for check in solved.checks}
    return FAILED if "fails" in states else OPEN if "open" in states else PASSED


def _check(arguments: argparse.Namespace) -> int:
    solved = _solved(arguments.job)
    from calclib.job import report

    print(report.as_json(solved) if arguments.json else report.as_table(solved))
    return exit_code(solved)


def _path(arguments: argparse.Namespace) -> int:
    solved = _solved(arguments.job)
    from calclib.errors import InputError, did_you_mean, message, quoted
    from calclib.job import tree

    flow = solved.found if arguments.as_found else solved.flow
    if flow is None:
        do = 'Write replaces = "walls.kitchen" in the new beam, and the wall as it stood.'
        what = "what stood there before the work"
        raise InputError(message(arguments.job, what, "none", do))
    for path in arguments.without:
        if path not in flow.state.members:
            near = did_you_mean(path, flow.state.members) or (
                f"Write one of: {', '.join(list(flow.state.members)[:8])}."
            )
            what = f"a member of the house {flow.state.name}"
            raise InputError(message("--without", what, quoted(path), near))
    print(tree.as_text(solved, arguments.without, arguments.as_found), end="")
    return PASSED


def _sizes(arguments: argparse.Namespace) -> int:
    solved = _solved(arguments.job)
    from calclib.job import sizes

    found = sizes.choose(solved.flow, arguments.beam, arguments.by)
    si = solved.job.title_block["units"] == "SI"
    print(sizes.as_table(found, si, arguments.all), end="")
    return PASSED


def _crew(arguments: argparse.Namespace) -> int:
    job = Path(arguments.job)
    output = Path(arguments.output or f"{job.stem}_crew.html")
    solved = _solved(arguments.job)
    from calclib.job import report
    from calclib.sheet.crew import csv_lists, render_crew
    from calclib.sheet.page import write

    sheet, lists = render_crew(solved), csv_lists(solved)
    write(sheet, output)
    if arguments.csv:
        for name, text in lists.items():
            write(text, Path(arguments.csv) / name)
            print(f"{Path(arguments.csv) / name}: written")
    print(f"{output}: {report.verdict(solved)}")
    return exit_code(solved)


def _recheck(arguments: argparse.Namespace) -> int:
    import os

    files, code = _sheets_at(arguments.sheets)
    workers = arguments.workers if arguments.workers > 0 else os.cpu_count() or 1
    from calclib.sheet import archive

    if arguments.dask is None:
        if arguments.workers <= 0:
            # A process takes longer to start than a few sheets take.
            workers = max(1, min(workers, len(files) // archive.WORTH_A_PROCESS))
        run = archive.here if workers < 2 else archive.locally(workers)
        return max(code, _rechecked(files, run, workers), key=_WORSE.index)
    try:
        with archive.cluster(arguments.dask, workers) as (run, found):
            return max(code, _rechecked(files, run, found), key=_WORSE.index)
    except ModuleNotFoundError as error:
        print(
            f"--dask: needs the packages for a cluster, and {error.name} is missing. "
            'Install them with: pip install "calclib[cluster]"',
            file=sys.stderr,
        )
        return BAD_INPUT


# What a run of many sheets ends with: the worst of what came of each.
_WORSE = (PASSED, FAILED, BAD_INPUT)


def _sheets_at(given: Sequence[str]) -> tuple[list[Path], int]:
    """Return the sheets at places, and the exit code so far: a folder may hold none."""
    files, code = [], PASSED
    for place in map(Path, given):
        found = sorted(place.glob("*.html")) if place.is_dir() else [place]
        if not found:
            print(f"{place}: holds no sheet (no .html file).", file=sys.stderr)
            code = BAD_INPUT
        files += found
    return files, code


def _rechecked(files: Sequence[Path], run: Run, workers: int) -> int:
    from calclib.sheet.archive import Progress, in_order
    from calclib.sheet.recheck import as_text

    progress, code = Progress(len(files)), PASSED
    with _patience(f"calclib: recomputing {len(files)} sheet{'s' * (len(files) != 1)}"):
        for outcome in in_order(files, run, workers):
            progress.clear()
            if outcome.result is None:
                print(outcome.error, file=sys.stderr)
                code = BAD_INPUT
            else:
                print(as_text(outcome.result), flush=True)
                code = code or (PASSED if outcome.result.is_same else FAILED)
            progress.add(outcome)
    progress.clear()
    if len(files) > 1:
        print(f"{len(files)} sheets: {progress.words()}.")
    return code


def _compare(arguments: argparse.Namespace) -> int:
    from calclib.sheet.compare import as_page, as_text, compare

    found = compare(Path(arguments.one), Path(arguments.other))
    print(as_text(found))
    if arguments.output:
        from calclib.sheet.page import write

        write(as_page(found), Path(arguments.output))
    return PASSED if found.is_same else FAILED


def _sheet(arguments: argparse.Namespace) -> int:
    output = Path(arguments.output or Path(arguments.job).with_suffix(".html").name)
    if arguments.job.endswith(".ipynb"):
        if arguments.review:
            from calclib.errors import InputError, message, quoted

            do = 'Name it in the notebook: section(solved, "review", read(REVIEW)).'
            raise InputError(message("--review", "a job file beside it", quoted(arguments.job), do))
        return _notebook_sheet(arguments.job, output)
    # A sheet is written once and ends: the collector walks its graph in vain.
    gc.set_threshold(1_000_000, 50, 50)
    solved = _solved(arguments.job)
    from calclib.sheet import review
    from calclib.sheet.page import render, write

    record = review.read(arguments.review) if arguments.review else review.beside(arguments.job)
    start = time.perf_counter()
    with _patience("calclib: finding the results another way"):
        differs = solved.opinion.largest
    # The page itself depends on no clock.
    took = time.perf_counter() - start
    start = time.perf_counter()
    if not arguments.draft:
        with _patience("calclib: finding how far each number may go"):
            count = len(solved.break_points.ranges)
    taken = time.perf_counter() - start
    # The libraries that the second opinion loaded would be walked again and again.
    gc.freeze()
    with _patience(f"calclib: setting the sheet {output.name}"):
        page = render(solved, record, arguments.draft)
    gc.unfreeze()
    write(page, output)
    if record is not None:
        print(f"{output}: carries the review record {record.file}, {len(record.marks)} marks.")
    from calclib.job import report

    print(f"{output}: {report.verdict(solved)}")
    print(
        f"Results found another way in {took:.2f} s; the largest difference is {differs:.0e} of "
        "the largest magnitude of its quantity."
    )
    if not arguments.draft:
        print(f"Break-points of {count} numbers found in {taken:.2f} s.")
    return exit_code(solved)


def _without_packages(what: str, error: ModuleNotFoundError) -> int:
    print(
        f"{what}: needs the packages for notebooks, and {error.name} is missing. "
        'Install them with: pip install "calclib[notebook]"',
        file=sys.stderr,
    )
    return BAD_INPUT


def _lessons(arguments: argparse.Namespace) -> int:
    from calclib.lessons import progress, shelf

    folder = shelf.folder_of_lessons(arguments.folder)
    kept = None
    if arguments.progress:
        kept = progress.read(progress.existing(arguments.progress))
    if not arguments.output:
        print(shelf.as_text(shelf.lessons_in(folder), kept))
        return PASSED
    try:
        from calclib.lessons.export import export
    except ModuleNotFoundError as error:
        return _without_packages("lessons", error)
    with _patience("calclib: running the lessons"):
        for written in export(folder, Path(arguments.output), kept):
            print(f"{arguments.output}: {written}")
    return PASSED


def _notebook_sheet(notebook: str, output: Path) -> int:
    try:
        from calclib.sheet.exporter import export
    except ModuleNotFoundError as error:
        return _without_packages(notebook, error)
    with _patience(f"calclib: running {Path(notebook).name}"):
        sheet = export(notebook)
    from calclib.sheet.page import write

    write(sheet.html, output)
    for note in sheet.notes:
        print(f"note: {note}", file=sys.stderr)
    if sheet.solved is None:
        print(f"{output}: written; the notebook shows no job.")
        return PASSED
    from calclib.job import report

    print(f"{output}: {report.verdict(sheet.solved)}")
    return exit_code(sheet.solved)


COMMANDS = {
    "check": _check,
    "sheet": _sheet,
    "path": _path,
    "sizes": _sizes,
    "crew": _crew,
    "recheck": _recheck,
    "compare": _compare,
    "lessons": _lessons,
}


def main(argv: Sequence[str] | None = None) -> int:
    """Run a command and return its exit code; a user's mistake gives a message, no traceback."""
    arguments = parser().parse_args(argv)
    if arguments.version:
        from calclib import __version__

        print(f"calclib {__version__}")
        return PASSED
    if arguments.command is None:
        parser().print_help()
        return BAD_INPUT
    # What is there at the end goes with the process; the collector would walk all of it first.
    atexit.register(gc.freeze)
    from calclib.errors import CalcError

    try:
        return COMMANDS[arguments.command](arguments)
    except CalcError as error:
        print(str(error), file=sys.stderr)
        return BAD_INPUT
    except BrokenPipeError:
        return BAD_INPUT
    except OSError as error:
        name = error.filename or "the output"
        print(f"{name}: cannot be written: {error.strerror}.", file=sys.stderr)
        return BAD_INPUT
