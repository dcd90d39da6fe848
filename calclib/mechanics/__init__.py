"""Beams: supports, loads, and their exact solution. Knows no wood and no code."""

from calclib.errors import BeamError
from calclib.mechanics.beam import Beam, Segment, Support
from calclib.mechanics.curves import Curves, Extremes
from calclib.mechanics.influence_lines import influence, reactions_by_load
from calclib.mechanics.loads import Couple, Line, Load, Point
from calclib.mechanics.solution import Solution, solve

__all__ = [
    "Beam",
    "BeamError",
    "Couple",
    "Curves",
    "Extremes",
    "Line",
    "Load",
    "Point",
    "Segment",
    "Solution",
    "Support",
    "influence",
    "reactions_by_load",
    "solve",
]
