"""The scale of an elevation: from inches along and above to points on the paper."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from calclib.sheet.figures_canvas import Spot, glued
from calclib.sheet.figures_marks import length_text
from calclib.sheet.figures_shapes import BeamShape, JoistRow, Level, PostShape, WallShape


@dataclass(frozen=True)
class Scene:
    """The things of an elevation, and where they come to stand on the paper."""

    beam: BeamShape
    posts: Sequence[PostShape]
    joists: Sequence[JoistRow]
    walls: Sequence[WallShape]
    levels: Sequence[Level]
    system: str
    points_per_inch: float
    left: float
    base: float

    @property
    def start(self) -> float:
        things: list[BeamShape | PostShape | WallShape] = [self.beam, *self.posts, *self.walls]
        return min(thing.start for thing in things)

    @property
    def end(self) -> float:
        things: list[BeamShape | PostShape | WallShape] = [self.beam, *self.posts, *self.walls]
        return max(thing.end for thing in things)

    @property
    def low(self) -> float:
        things: list[BeamShape | PostShape | WallShape] = [self.beam, *self.posts, *self.walls]
        return min([thing.bottom for thing in things] + [level.height for level in self.levels])

    @property
    def high(self) -> float:
        tops = [self.beam.top, *(wall.shown_top for wall in self.walls)]
        tops += [row.top for row in self.joists]
        return max(tops + [level.height for level in self.levels])

    def x(self, at: float) -> float:
        return self.left + (at - self.start) * self.points_per_inch

    def y(self, height: float) -> float:
        return self.base - (height - self.low) * self.points_per_inch

    def box(self, start: float, end: float, bottom: float, top: float) -> list[Spot]:
        left, right, low, high = self.x(start), self.x(end), self.y(bottom), self.y(top)
        return [(left, low), (right, low), (right, high), (left, high)]

    def surface(self, at: float) -> float:
        """Height of the top of what stands at a place."""
        tops = [self.beam.top]
        tops += [row.top for row in self.joists if row.start <= at <= row.end]
        tops += [wall.shown_top for wall in self.walls if wall.start <= at <= wall.end]
        return max(tops)

    def text(self, inches: float) -> str:
        return length_text(inches, self.system)

    def extent(self, start: float, end: float) -> str:
        return f"{glued(self.text(start))} to {glued(self.text(end))}"
