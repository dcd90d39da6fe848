"""Lessons and explorers: a solved job with a few of its numbers free to move.

ipywidgets is imported only where a widget is made; everything else here prints without it.
"""

from calclib.lessons.chart import size_chart
from calclib.lessons.course import workbook
from calclib.lessons.design import design_study, job_text
from calclib.lessons.designing import design_explorer
from calclib.lessons.live import explorer, opening_explorer
from calclib.lessons.opening import Study, opening_study
from calclib.lessons.reading import Reading
from calclib.lessons.shown import chart_of, state_of
from calclib.lessons.stages import stage_explorer

__all__ = [
    "Reading",
    "Study",
    "chart_of",
    "design_explorer",
    "design_study",
    "explorer",
    "job_text",
    "opening_explorer",
    "opening_study",
    "size_chart",
    "stage_explorer",
    "state_of",
    "workbook",
]
