"""What the explorer is held against: Matplotlib redraws the same axes in place."""

from collections.abc import Callable, Sequence
from io import BytesIO

from matplotlib import rc_context
from matplotlib.backends.backend_svg import FigureCanvasSVG
from matplotlib.figure import Figure

from calclib.lessons import Reading


def bare_redraw(readings: Sequence[Reading]) -> Callable[[int], bytes]:
    """Return what draws the loads and curves of one of some readings again, as SVG.

    SVG, with text as text, is the faster of Matplotlib's ways to a picture of lines.
    """
    figure = Figure(figsize=(6.7, 5.7))
    canvas = FigureCanvasSVG(figure)
    axes = figure.subplots(4, 1, sharex=True)
    lines = [(ax.plot([], [])[0], ax.plot([], [], "--")[0]) for ax in axes]
    prepared = [_curves(reading) for reading in readings]
    for i, ax in enumerate(axes):
        reach = 1.2 * max(max(map(abs, curves[i][1])) for curves in prepared)
        ax.set_xlim(0.0, 1.5 * max(curves[i][0][-1] for curves in prepared))
        ax.set_ylim(-reach, reach)

    def redraw(number: int) -> bytes:
        curves = prepared[number % len(prepared)]
        for ax, (curve, limit), (x, y) in zip(axes, lines, curves, strict=True):
            curve.set_data(x, y)
            limit.set_data([x[0], x[-1]], [max(y), max(y)])
            ax.set_title(f"peak {max(y):,.3g}")
        stream = BytesIO()
        with rc_context({"svg.fonttype": "none"}):
            canvas.print_svg(stream)
        return stream.getvalue()

    return redraw


def _curves(reading: Reading) -> list[tuple[Sequence[float], Sequence[float]]]:
    loads = [(x, band.size) for band in reading.bands for x in (band.start, band.end)]
    curves = [([x for x, _ in loads], [y for _, y in loads])]
    return curves + [(peak.x, peak.y) for peak in reading.peaks]
