"""The load path as text: a tree from the roof to the ground, the balance, what changes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from calclib import units
from calclib.job import audit
from calclib.job.carry import SOURCES, Flow, balance
from calclib.job.schema import GROUND, called
from calclib.loads.combinations import SOURCE_NAMES

if TYPE_CHECKING:
    from calclib.job.audit import Change, Trial
    from calclib.job.solve import Solved

# A member of a large house rests on many; what was shown once is not shown again.
AGAIN = "(its way down is shown above)"
SMALL = 1e-6


def force(pounds: float, si: bool) -> str:
    """Return a force in the units of the job."""
    return units.show(pounds, units.si_unit("lbf") if si else "lbf")


def as_tree(flow: Flow, si: bool = False) -> str:
    """Return the load path of a state as a tree, one line for each hand-over.

    Parameters
    ----------
    flow : Flow
    si : bool
        Forces in SI units.

    Returns
    -------
    str
    """
    below: dict[str, list[tuple[str, float]]] = {}
    for handing in flow.handings:
        below.setdefault(handing.giver, []).append((handing.taker, handing.total))
    lines: list[tuple[str, str]] = []
    shown: set[str] = set()

    def walk(path: str, load: float, head: str, tail: str) -> None:
        again = path in shown and path != GROUND and path in below
        lines.append((f"{head}{name(path)}{f' {AGAIN}' if again else ''}", force(load, si)))
        if again:
            return
        shown.add(path)
        takers = below.get(path, [])
        for number, (taker, share) in enumerate(takers):
            last = number == len(takers) - 1
            walk(taker, share, f"{tail}{'└ ' if last else '├ '}", f"{tail}{'  ' if last else '│ '}")

    for path in roots(flow):
        walk(path, sum(audit.landing(flow, path).values()), "", "")
    wide = max(len(text) for text, _ in lines) if lines else 0
    right = max(len(number) for _, number in lines) if lines else 0
    return "\n".join(f"{text.ljust(wide)}  {number.rjust(right)}" for text, number in lines)


def name(path: str) -> str:
    """Return what a member, or the ground, is called."""
    return path if path == GROUND else called(path)


def roots(flow: Flow) -> tuple[str, ...]:
    """Return the members on which nothing lands, from the top down."""
    taken = {handing.taker for handing in flow.handings}
    return tuple(path for path in flow.order if path not in taken)


def as_balance(flow: Flow, si: bool = False) -> str:
    """Return what enters and what leaves, source by source, as a table."""
    rows = [("source", "enters", "reaches the ground", "difference")]
    for source, (entered, left) in balance(flow).items():
        gap = abs(entered - left) / max(entered, SMALL)
        rows.append(
            (SOURCE_NAMES[source], force(entered, si), force(left, si), f"{gap:.0e}")  # type: ignore[index]
        )
    return table(rows)


def as_changes(changes: Sequence[Change], si: bool = False) -> str:
    """Return what each member carries before and after as a table."""
    rows = [("member", "before", "after", "change", "")]
    rows += [
        (
            change.name,
            force(change.before, si),
            force(change.after, si),
            percent(change.before, change.after),
            f"rises by {most(change)}: check required" if change.needs_check else "",
        )
        for change in changes
    ]
    return table(rows)


def percent(before: float, after: float) -> str:
    """Return a change in percent; words where there was nothing before."""
    if abs(before) <= SMALL:
        return "nothing before" if after > SMALL else "-"
    return f"{100 * (after - before) / before:+.1f} %"


def most(change: Change) -> str:
    """Return what rises most, and by how much."""
    found = [("load", change.before, change.after)]
    found += [
        (SOURCE_NAMES[source], before, after)  # type: ignore[index]
        for source, before, after in change.by_source
    ]
    if change.moment_before is not None and change.moment_after is not None:
        found.append(("moment", change.moment_before, change.moment_after))
    what, before, after = max(
        found, key=lambda f: (f[2] - f[1]) / f[1] if f[1] > SMALL else (f[2] > SMALL) * 1e9
    )
    return f"{percent(before, after).lstrip('+')} ({what})"


def as_trial(trial: Trial, si: bool = False) -> str:
    """Return what a trial removal does."""
    taken = " and ".join(called(path) for path in trial.taken)
    lines = [f"Without {taken}:", ""]
    if trial.falls:
        lines += [
            f"falls: {called(path)}, which carries {force(load, si)} "
            f"(lost: {', '.join(name(carrier) for carrier in lost)})"
            for path, lost, load in trial.falls
        ]
    else:
        lines.append("Nothing falls; what is left spans further.")
    return "\n".join([*lines, "", as_changes(trial.changes, si)])


def table(rows: Sequence[Sequence[str]]) -> str:
    """Return rows in columns, the first to the left, numbers to the right."""
    wide = [max(len(row[i]) for row in rows) for i in range(len(rows[0]))]
    last = len(rows[0]) - 1
    return "\n".join(
        "  ".join(
            cell.ljust(w) if i == 0 or (i == last and not cell[:1].isdigit()) else cell.rjust(w)
            for i, (cell, w) in enumerate(zip(row, wide, strict=True))
        ).rstrip()
        for row in rows
    )


def as_text(solved: Solved, taken: Sequence[str] = (), found: bool = False) -> str:
    """Return all of it for one job.

    Parameters
    ----------
    solved : Solved
    taken : sequence of str
        Members to take out by way of trial.
    found : bool
        The house as found in place of the finished one; it must be known.

    Returns
    -------
    str
    """
    return "\n".join(_parts(solved, taken, found)) + "\n"


def _parts(solved: Solved, taken: Sequence[str], found: bool) -> Iterator[str]:
    si = solved.job.title_block["units"] == "SI"
    flow = solved.found if found and solved.found is not None else solved.flow
    block = solved.job.title_block
    yield f"{block['number']} rev. {block['revision']}: {block['title']}"
    if taken:
        yield f"\nTrial on the house {flow.state.name}.\n"
        yield as_trial(audit.take_out(flow, taken), si)
        return
    yield f"\nLoad path, {flow.state.name}: all loads at once, every span loaded.\n"
    yield as_tree(flow, si)
    yield f"\nBalance ({', '.join(SOURCES)}; patterns of live load are further cases)\n"
    yield as_balance(flow, si)
    if solved.found is not None and not found:
        after = (*solved.beams, *solved.joists)
        yield "\nBefore and after\n"
        yield as_changes(audit.changes(solved.found, solved.flow, solved.before, after), si)
