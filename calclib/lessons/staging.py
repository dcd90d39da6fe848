"""States of a house one after the other, with members taken out by way of trial."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from calclib import units
from calclib.job.audit import landing, take_out
from calclib.job.carry import SOURCES, Flow, balance
from calclib.job.schema import GROUND, called
from calclib.job.solve import Solved
from calclib.loads.combinations import SOURCE_NAMES

Standing = Literal["stands", "falls", "part falls", "taken out", "not there"]
# Of a load: less is rounding.
SAME = 1e-6
NO_STRENGTH = "Whether what stands is strong enough is not looked at here."
HEADS = ("member", "state", "carries", "change", *(SOURCE_NAMES[source] for source in SOURCES))


@dataclass(frozen=True)
class Part:
    """A member in one state.

    Attributes
    ----------
    path, name : str
    standing : Standing
    by_source : mapping of str to float [lbf]
        What lands on it and what it weighs itself.
    before : float or None [lbf]
        What it carried in the first state; None when it was not there.
    lost : tuple of str
        What it lost, when it falls.
    """

    path: str
    name: str
    standing: Standing
    by_source: Mapping[str, float]
    before: float | None
    lost: tuple[str, ...] = ()

    @property
    def load(self) -> float:
        """All sources [lbf]."""
        return sum(self.by_source.values())

    @property
    def change(self) -> float | None:
        """Relative change since the first state; None when there is nothing to compare."""
        if self.standing not in ("stands", "part falls") or not self.before:
            return None
        found = (self.load - self.before) / self.before
        return 0.0 if abs(found) <= SAME else found


@dataclass(frozen=True)
class Snapshot:
    """A house in one state, with some members taken out.

    Attributes
    ----------
    state : str
        Its name, in words.
    taken : tuple of str
        Names of the members that were taken out and stand in this state otherwise.
    parts : tuple of Part
        Every member of any state, in one order for all.
    links : tuple of (str, str, float)
        Giver, taker (a path, or the ground) and load [lbf].
    down : float [lbf]
        What reaches the ground.
    si : bool
    """

    state: str
    taken: tuple[str, ...]
    parts: tuple[Part, ...]
    links: tuple[tuple[str, str, float], ...]
    down: float
    si: bool

    def amount(self, pounds: float) -> str:
        """Return a load in the units of the job."""
        return units.show(pounds, "kN" if self.si else "lbf").replace("-", "−")


def flows_of(solved: Solved) -> tuple[Flow, ...]:
    """Return the states of a solved job in order: as found and with walls out, where it tells."""
    during = [worked.flow for worked in solved.works]
    return tuple(flow for flow in (solved.found, *during, solved.flow) if flow is not None)


def members_of(flows: Sequence[Flow]) -> tuple[str, ...]:
    """Return every member that stands in one of some states, from the top down."""
    found: dict[str, None] = {}
    for flow in flows:
        found |= dict.fromkeys((*flow.order, *flow.state.members))
    return tuple(found)


def snapshot(flows: Sequence[Flow], step: int, taken: frozenset[str] = frozenset()) -> Snapshot:
    """Return a house in one of some states, with members taken out.

    Parameters
    ----------
    flows : sequence of Flow
        Of one house; changes count from the first.
    step : int
        Which of them.
    taken : frozenset of str
        Members to take out; those that do not stand in that state make no difference.

    Returns
    -------
    Snapshot
    """
    flow = flows[step]
    here = tuple(path for path in members_of(flows) if path in taken and path in flow.order)
    trial = take_out(flow, here)
    whole = {path: lost for path, lost, _ in trial.falls if path not in trial.after.order}
    partly = {path: lost for path, lost, _ in trial.falls if path in trial.after.order}
    parts = []
    for path in members_of(flows):
        standing: Standing = "stands"
        if path not in flow.state.members:
            standing = "not there"
        elif path in here:
            standing = "taken out"
        elif path in whole or path not in trial.after.order:
            standing = "falls"
        elif path in partly:
            standing = "part falls"
        was = sum(landing(flows[0], path).values()) if path in flows[0].order else None
        is_loaded = standing in ("stands", "part falls")
        load = landing(trial.after, path) if is_loaded else {}
        lost = whole.get(path) or partly.get(path) or trial.after.lost.get(path, ())
        parts.append(Part(path, called(path), standing, load, was, tuple(map(_words, lost))))
    return Snapshot(
        flow.state.name,
        tuple(map(called, here)),
        tuple(parts),
        tuple((h.giver, h.taker, h.total) for h in trial.after.handings),
        sum(left for _, left in balance(trial.after).values()),
        flow.house.job.title_block["units"] == "SI",
    )


def _words(path: str) -> str:
    return "the ground" if path == GROUND else called(path)


def said(found: Snapshot) -> list[str]:
    """Return a snapshot as sentences: what stands, what falls and why, what carries more."""
    count = sum(part.standing in ("stands", "part falls") for part in found.parts)
    sentences = [
        f"The house, {found.state}: {count} members stand and bring {found.amount(found.down)} to "
        "the ground, all loads at once and without factors."
    ]
    if found.taken:
        sentences.append(f"Taken out by way of trial: {', '.join(found.taken)}.")
    for standing, words in (("falls", "What falls"), ("part falls", "What falls in part")):
        falls = [part for part in found.parts if part.standing == standing]
        if falls:
            named = "; ".join(f"{part.name}{_why(part)}" for part in falls)
            sentences.append(f"{words}: {named}.")
    if found.taken and all(part.standing not in ("falls", "part falls") for part in found.parts):
        sentences.append("Nothing falls for want of a support: what is left spans further.")
    more = [part for part in found.parts if (part.change or 0.0) > 0]
    more.sort(key=lambda part: -(part.change or 0.0))
    if more:
        named = ", ".join(f"{part.name} {change_text(part)}" for part in more[:4])
        others = f" and {len(more) - 4} others" if len(more) > 4 else ""
        sentences.append(f"More than in the first state is on {named}{others}.")
    sentences.append(NO_STRENGTH)
    return sentences


def _why(part: Part) -> str:
    return f" (lost {' and '.join(part.lost)})" if part.lost else ""


def change_text(part: Part) -> str:
    """Return by how much a member's load changed since the first state; empty if by nothing."""
    change = part.change
    if change is None or change == 0.0:
        return ""
    text = f"{100 * change:+.0f}%".replace("-", "−")
    return text if text[1:] != "0%" else f"{text[0]}<1%"


def rows_of(found: Snapshot) -> Iterator[tuple[str, ...]]:
    """Yield a row of text for each member that stands or stood, by `HEADS`."""
    for part in found.parts:
        stands = part.standing in ("stands", "part falls")
        loads = [part.by_source.get(source, 0.0) for source in SOURCES]
        yield (
            part.name,
            part.standing,
            found.amount(part.load) if stands else "-",
            change_text(part) or "-",
            *(found.amount(load) if stands and load else "-" for load in loads),
        )
