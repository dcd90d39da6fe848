"""The figures of a calc sheet, each a pure function from plain data to inline SVG.

Lengths are in, forces lbf, positions from the left end of the member or of the wall line.
"""

from calclib.sheet.figures_bars import UtilizationRow, utilization_bars
from calclib.sheet.figures_canvas import Figure
from calclib.sheet.figures_diagrams import Curve, beam_diagrams
from calclib.sheet.figures_elevation import opening_elevation
from calclib.sheet.figures_section import SectionBeam, SectionJoist, section_through_beam
from calclib.sheet.figures_shapes import (
    BeamShape,
    JoistRow,
    LandingLoad,
    LandingPoint,
    Level,
    LineLoad,
    PointLoad,
    PostShape,
    SupportMark,
    WallShape,
)

__all__ = [
    "BeamShape",
    "Curve",
    "Figure",
    "JoistRow",
    "LandingLoad",
    "LandingPoint",
    "Level",
    "LineLoad",
    "PointLoad",
    "PostShape",
    "SectionBeam",
    "SectionJoist",
    "SupportMark",
    "UtilizationRow",
    "WallShape",
    "beam_diagrams",
    "opening_elevation",
    "section_through_beam",
    "utilization_bars",
]
