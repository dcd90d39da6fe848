"""Lessons and explorers: a solved job with a few of its numbers free to move.

ipywidgets is imported only where a widget is made; everything else here prints without it.
"""

from calclib.lessons.course import workbook
from calclib.lessons.live import explorer, opening_explorer
from calclib.lessons.opening import Study, opening_study
from calclib.lessons.reading import Reading

__all__ = ["Reading", "Study", "explorer", "opening_explorer", "opening_study", "workbook"]
