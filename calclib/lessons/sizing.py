"""Over spans and tributary widths: how much of a section is used, which section carries what."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from calclib import published, units
from calclib.errors import CalcError
from calclib.job.beam import axis_of, solve_beam
from calclib.job.bent import design_of
from calclib.job.file import Job
from calclib.job.house import inputs_of
from calclib.job.solve import STAGE
from calclib.job.wood import product_of
from calclib.lessons import choices
from calclib.lessons.gathering import watched
from calclib.lessons.grid import Grid, over_grid
from calclib.lessons.opening import WIDTH, Study
from calclib.lessons.setting import Setting
from calclib.lessons.variation import variation
from calclib.trace import values_in

SPAN_STEP, SPAN_STEP_SI = 3 * units.inch, 50 * units.mm
WIDTHS, FEW_WIDTHS = 41, 9


@dataclass(frozen=True, eq=False)
class Carried:
    """How far a section spans, by tributary width.

    Attributes
    ----------
    size : str
        As the trade writes it.
    plies : int
    widths : array [in]
    shortest, longest : array [in]
        The longest span at which no check fails, and the shortest from which it holds without a
        break up to there; NaN where every span fails.
    low, high : float [in]
        The spans that were looked at.
    refused : str
        Why nothing was found, when the tables or the calculation refuse the section.
    """

    size: str
    plies: int
    widths: Any
    shortest: Any
    longest: Any
    low: float
    high: float
    refused: str = ""


def steps_of(setting: Setting) -> Any:
    """Return the spans of a chart, from one end of a setting to the other [in]."""
    step = SPAN_STEP_SI if setting.si else SPAN_STEP
    count = int((setting.high - setting.low) / step + 1e-9)
    return setting.low + step * np.arange(count + 1)


def utilization_chart(
    study: Study, x: str, fixed: Mapping[str, float] | None = None, widths: int = WIDTHS
) -> Grid:
    """Return all checks of a beam over one of its spans and its tributary width.

    Parameters
    ----------
    study : Study
        With "width".
    x : str
        Key of the span.
    fixed : mapping of str to float [base units], optional
        Other numbers, by key.
    widths : int

    Returns
    -------
    Grid

    Raises
    ------
    CalcError
        See `over_grid`.
    """
    across, up = study.freedoms[x].setting, study.freedoms[WIDTH].setting
    others = {k: v for k, v in (fixed or {}).items() if k not in (x, WIDTH)}
    ys = np.linspace(up.low, up.high, widths)
    return over_grid(study, x, WIDTH, steps_of(across).tolist(), ys.tolist(), **others)


def carried_by(grid: Grid, size: str, plies: int, every: int = 1) -> Carried:
    """Return how far a section spans, of a grid of its checks.

    Parameters
    ----------
    grid : Grid
    size : str
    plies : int
    every : int
        Only every so many widths are taken.
    """
    fits = grid.fits[:, ::every]
    count = len(grid.xs)
    last = count - 1 - fits[::-1].argmax(axis=0)
    # Of the spans below it, the last that fails.
    breaks = np.where(~fits & (np.arange(count)[:, None] < last), np.arange(count)[:, None], -1)
    first = breaks.max(axis=0) + 1
    none = ~fits.any(axis=0)
    shortest, longest = (np.where(none, np.nan, grid.xs[place]) for place in (first, last))
    ends = float(grid.xs[0]), float(grid.xs[-1])
    return Carried(size, plies, grid.ys[::every], shortest, longest, *ends)


def what_carries(
    study: Study, job: Job, x: str, fixed: Mapping[str, float] | None = None
) -> Iterator[Carried]:
    """Yield for each stock depth of a beam's wood and breadth how far it spans.

    Parameters
    ----------
    study : Study
        With "width".
    job : Job
        Its job.
    x : str
        Key of the span.
    fixed : mapping of str to float [base units], optional
        Other numbers, by key.

    Yields
    ------
    Carried
        From the shallowest to the deepest.

    Notes
    -----
    What lands on the beam and what it stands on stay as they are.
    """
    section = study.beam.section
    plies = int(section.numbers["plies"].number)
    for size in depths_of(section):
        try:
            grid = utilization_chart(in_size(study, job, size), x, fixed, FEW_WIDTHS)
        except CalcError as error:
            # The tables hold no value for this wood in that size, or a span of it is refused.
            setting = study.freedoms[WIDTH].setting
            widths = np.linspace(setting.low, setting.high, FEW_WIDTHS)
            none = np.full(FEW_WIDTHS, np.nan)
            yield Carried(size, plies, widths, none, none, 0.0, 0.0, str(error))
        else:
            yield carried_by(grid, size, plies)


def depths_of(section: Any) -> list[str]:
    """Return the stock sizes of a beam's wood that are as broad as its plies, by depth."""
    product = product_of(section)
    b = published.nominal_size(section.words["size"], product).b_in
    sizes = next(c.options for c in choices.choices(section) if c.key == choices.SIZE)
    known = {size: published.nominal_size(size, product) for size in sizes}
    alike = [size for size in sizes if abs(known[size].b_in - b) < 1e-6]
    return sorted(alike, key=lambda size: known[size].d_in)


def in_size(study: Study, job: Job, size: str) -> Study:
    """Return a study of the same beam under the same loads, in another size."""
    section = study.beam.section
    other = choices.with_choices(job, section.name, {choices.SIZE: size})
    changed, inputs, flow = other.of("beams")[section.name], inputs_of(other), study.solved.flow
    beam = solve_beam(
        axis_of(changed, inputs), flow.landed[section.path], inputs, STAGE, design_of(other),
        flow.state.members, flow.house.axes,
    )  # fmt: skip
    moved = [leaf for freedom in study.freedoms.values() for leaf in freedom.leaves]
    again = variation(moved, list(values_in(watched(beam))))
    return replace(study, beam=beam, variation=again, beside=())


def span_text(carried: Carried, place: int, si: bool) -> str:
    """Return the longest span at one of the widths, as a table has it."""
    if carried.refused:
        return "refused"
    longest, shortest = float(carried.longest[place]), float(carried.shortest[place])
    if np.isnan(longest):
        return "none"
    least = "≥ " if longest >= carried.high else ""
    text = f"{least}{units.show_length(longest, si)}"
    # A short span beside a long one may lift off its support.
    return text if shortest <= carried.low else f"{units.show_length(shortest, si)} to {text}"


def span_rows(found: Sequence[Carried], si: bool, every: int = 2) -> list[tuple[str, ...]]:
    """Return a table of longest spans: heads first, then a row for each section.

    Parameters
    ----------
    found : sequence of Carried
        With the same widths.
    si : bool
    every : int
        Only every so many widths make a column.
    """
    widths = [units.show_length(float(width), si) for width in found[0].widths[::every]]
    rows = [("section", *widths)]
    for each in found:
        spans = [span_text(each, place, si) for place in range(0, len(each.widths), every)]
        rows.append((in_words(each.size, each.plies), *spans))
    return rows


def caption_of(span: Setting) -> str:
    """Return the caption of that table, by the span that it is for."""
    return f"Longest {span.name} at which no check fails, by tributary width"


def in_words(size: str, plies: int) -> str:
    """Return a section as it is called: "2 x 2x10", or "4x10" for one ply."""
    return f"{plies} x {size}" if plies > 1 else size
