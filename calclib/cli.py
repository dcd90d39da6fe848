"""The commands of a terminal: each reads a job or a sheet, and prints or writes."""

from __future__ import annotations

import argparse
import contextlib
import gc
import sys
import time
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from calclib.job.solve import Solved

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


def _recheck(arguments: argparse.Namespace) -> int:
    from calclib.errors import InputError
    from calclib.sheet.recheck import as_text, recheck

    code = PASSED
    for given in map(Path, arguments.sheets):
        files = sorted(given.glob("*.html")) if given.is_dir() else [given]
        if not files:
            print(f"{given}: holds no sheet (no .html file).", file=sys.stderr)
            code = BAD_INPUT
        for file in files:
            try:
                with _patience(f"calclib: recomputing {file.name}"):
                    result = recheck(file)
            except InputError as error:
                print(str(error), file=sys.stderr)
                code = BAD_INPUT
                continue
            print(as_text(result))
            code = code or (PASSED if result.is_same else FAILED)
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
        return _notebook_sheet(arguments.job, output)
    solved = _solved(arguments.job)
    from calclib.sheet.page import render, write

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
        page = render(solved, arguments.draft)
    gc.unfreeze()
    write(page, output)
    from calclib.job import report

    print(f"{output}: {report.verdict(solved)}")
    print(
        f"Results found another way in {took:.2f} s; the largest difference is {differs:.0e} of "
        "the largest magnitude of its quantity."
    )
    if not arguments.draft:
        print(f"Break-points of {count} numbers found in {taken:.2f} s.")
    return exit_code(solved)


def _notebook_sheet(notebook: str, output: Path) -> int:
    try:
        from calclib.sheet.exporter import export
    except ModuleNotFoundError as error:
        print(
            f"{notebook}: needs the packages for notebooks, and {error.name} is missing. "
            'Install them with: pip install "calclib[notebook]"',
            file=sys.stderr,
        )
        return BAD_INPUT
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
    "recheck": _recheck,
    "compare": _compare,
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
