"""Drawings of the lessons: a beam with its diagrams, and curves over a common axis."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

    from calclib.mechanics import Curves, Load
    from calclib.sheet.figures import Figure
    from calclib.sheet.notebook import NotebookFigure

# Told apart by their dashes where colors cannot be seen.
_DASHES = ("-", "--", ":", "-.")
_INK = ("#1f5f99", "#a8432c", "#3d3d3d", "#6b5a00")


def beam_drawing(
    curves: Curves, loads: Mapping[str, Sequence[Load]], title: str, names: Sequence[str] = ()
) -> NotebookFigure:
    """Return loading, shear, moment and deflection of a solved beam, as the sheet draws them.

    Parameters
    ----------
    curves : Curves
        Of the beam under these loads.
    loads : mapping of str to sequence of Load
        By their source and the words that stand beside them, as in "L floor".
    title : str
        Name of the member, with a small first letter.
    names : sequence of str
        Of the supports; numbered if left out.

    Returns
    -------
    NotebookFigure
    """
    from calclib.mechanics import Line, Point
    from calclib.sheet.drawings import curve
    from calclib.sheet.figures import LineLoad, PointLoad, SupportMark, beam_diagrams

    beam = curves.beam
    called = names or [str(number) for number in range(1, len(beam.supports) + 1)]
    each = [(*words.partition(" ")[::2], load) for words, group in loads.items() for load in group]
    figure = beam_diagrams(
        figure_id="lesson",
        title=title,
        length=beam.length,
        supports=[
            SupportMark(support.at, name, support.kind)
            for support, name in zip(beam.supports, called, strict=True)
        ],
        line_loads=[
            LineLoad(source, load.start, load.end, load.w_start, load.w_end, label)
            for source, label, load in each
            if isinstance(load, Line)
        ],
        point_loads=[
            PointLoad(load.at, load.P, label, source)
            for source, label, load in each
            if isinstance(load, Point)
        ],
        shear=curve(curves, "shear"),
        moment=curve(curves, "moment"),
        deflection=curve(curves, "deflection"),
        zero_name="the left end",
    )
    return shown(figure)


def shown(figure: Figure) -> NotebookFigure:
    """Return a figure of the sheet with its words, to be the last line of a cell.

    Parameters
    ----------
    figure : Figure
    """
    from calclib.sheet.notebook import NotebookFigure

    return NotebookFigure(figure.svg, figure.alt, figure.caption)


def graph(
    x: ArrayLike,
    lines: Mapping[str, ArrayLike],
    axes: tuple[str, str],
    alt: str,
    caption: str,
    *,
    marks: Mapping[str, tuple[float, float]] | None = None,
    down: bool = False,
) -> NotebookFigure:
    """Return curves over a common axis.

    Parameters
    ----------
    x : array
        In the unit that its axis names.
    lines : mapping of str to array
        Each curve by its name.
    axes : (str, str)
        What the axes show, with their units.
    alt, caption : str
        See `calclib.sheet.notebook.figure`.
    marks : mapping of str to (float, float), optional
        Places to point out, by what stands beside them.
    down : bool
        Draw what is positive downward, as for deflections.

    Returns
    -------
    NotebookFigure
    """
    import matplotlib
    from matplotlib import pyplot

    from calclib.sheet.notebook import figure

    with matplotlib.rc_context({"font.size": 11.0}):
        drawing, plot = pyplot.subplots(figsize=(5.4, 3.4), layout="constrained")
        for i, (name, y) in enumerate(lines.items()):
            plot.plot(x, y, _DASHES[i % 4], color=_INK[i % 4], linewidth=1.8, label=name)
        for name, (at, value) in (marks or {}).items():
            plot.plot(at, value, "o", color="#1a1a1a", markersize=5)
            plot.annotate(name, (at, value), (6, 6), textcoords="offset points", fontsize=10)
        plot.set_xlabel(axes[0])
        plot.set_ylabel(axes[1])
        plot.grid(color="#dddddd", linewidth=0.6)
        plot.spines[["top", "right"]].set_visible(False)
        if down:
            plot.invert_yaxis()
        if len(lines) > 1:
            plot.legend(frameon=False, fontsize=10)
        return figure(drawing, alt, caption)
