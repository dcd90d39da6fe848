"""A reading as HTML: figure, results in words and the table of checks, on any page's colors."""

from __future__ import annotations

from base64 import b64encode
from html import escape

from calclib.job import rich
from calclib.lessons.drawing import Scales, alternative, figure
from calclib.lessons.reading import HEADS, Reading, check_rows, sentences, verdict

CAUTION = (
    "An explorer is for learning and for a first look. What is built follows the calc sheet, "
    "local code and a licensed engineer."
)

# The words keep room for the longest results, so that nothing below them jumps.
STYLE = f"""{rich.STYLE}<style>
.calc-explorer {{ container-type: inline-size; max-width: 720px; }}
.calc-explorer svg, .calc-explorer img {{ display: block; width: 100%; height: auto;
  min-width: 420px; max-width: 640px; color: inherit; }}
.calc-explorer .widget-html-content {{ width: 100%; min-width: 0; }}
.calc-explorer figure {{ margin: 0; }}
.calc-explorer figure, .calc-explorer .calc-drawn {{ overflow-x: auto; }}
.calc-rich .calc-refusal {{ margin: 0; font-weight: bold; }}
.calc-explorer .calc-said {{ margin: 0.5em 0; min-height: 10em; }}
.calc-explorer .calc-verdict {{ margin: 0.5em 0; min-height: 5.6em; }}
.calc-explorer .calc-verdict.calc-roomy {{ min-height: 11.2em; }}
.calc-explorer .calc-peaks {{ margin: 0.5em 0; min-height: 12.6em; }}
@container (max-width: 430px) {{ .calc-explorer .calc-verdict {{ min-height: 8.4em; }}
  .calc-explorer .calc-verdict.calc-roomy {{ min-height: 15.4em; }}
  .calc-explorer .calc-peaks {{ min-height: 19.6em; }} }}
@container (max-width: 600px) {{ .calc-explorer .calc-said {{ min-height: 14em; }} }}
@container (max-width: 430px) {{ .calc-explorer .calc-said {{ min-height: 20em; }} }}
</style>"""
CLASSES = ("calc-rich", "calc-explorer")


def as_html(reading: Reading) -> str:
    """Return a reading as a notebook shows it."""
    return f'{STYLE}<div class="{" ".join(CLASSES)}">{pictured(reading)}{results(reading)}</div>'


def pictured(reading: Reading) -> str:
    """Return the figure as an image with its caption, which stands on any page."""
    data = b64encode(figure(reading, on_paper=True).encode()).decode("ascii")
    caption = (
        f"The {reading.beam}: what lies on it, not yet multiplied by a factor of a combination; "
        "shear, moment and deflection, each in the combination that governs its check."
    )
    return (
        f'<figure><img alt="{escape(alternative(reading))}" '
        f'src="data:image/svg+xml;base64,{data}"><figcaption>{escape(caption)}</figcaption>'
        "</figure>"
    )


def drawn(reading: Reading, axes: Scales | None = None, before: Reading | None = None) -> str:
    """Return the figure as part of the page, in its colors; an image would flicker on its way."""
    return f'<div class="calc-drawn">{figure(reading, axes, before)}</div>'


def results(reading: Reading) -> str:
    """Return the results in words and as a table."""
    said = " ".join(map(escape, sentences(reading)))
    return f'<p role="status" class="calc-said">{said}</p>{_table(reading)}<p>{CAUTION}</p>'


def results_by_verdict(reading: Reading, objection: str = "") -> str:
    """Return the results with what governs first; what was set stands in the controls.

    Parameters
    ----------
    reading : Reading
    objection : str
        Why what is set cannot be as it is entered.
    """
    _, *others = sentences(reading)
    first = verdict(reading)
    told = " ".join(escape(sentence) for sentence in others if sentence not in first)
    return (
        f'<p role="status" class="calc-verdict"><strong>{escape(" ".join(first))}</strong></p>'
        f'<p class="calc-peaks">{objected(objection)}{told}</p>{_table(reading)}<p>{CAUTION}</p>'
    )


def objected(objection: str) -> str:
    """Return an objection as HTML that stands out."""
    return f"<strong>{escape(objection)}</strong> " if objection else ""


def _table(reading: Reading) -> str:
    more = " and what comes with it" if reading.beside else ""
    return rich.table_html(
        f"Checks of the {reading.beam}{more}",
        HEADS,
        check_rows(reading),
        numbers={2, 3, 4},
        by_state=True,
    )
