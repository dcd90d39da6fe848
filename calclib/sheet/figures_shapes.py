"""What figures are drawn from: plain data, lengths in inches, forces in lbf."""

from __future__ import annotations

from dataclasses import dataclass

# In inches: a wall above is cut off with a break line past this height.
SHOWN_ABOVE = 42.0


@dataclass(frozen=True)
class SupportMark:
    """A support in a drawing.

    Attributes
    ----------
    at : float [in]
        From the left end of the member.
    name : str
    kind : {"pinned", "fixed"}
    """

    at: float
    name: str
    kind: str = "pinned"


@dataclass(frozen=True)
class LineLoad:
    """A load over a length, uniform or straight from one end to the other.

    Attributes
    ----------
    source : str
        D, L, Lr, S, W, E or another short word.
    start, end : float [in]
        From the left end of the member.
    w_start, w_end : float [lbf/in]
        Down positive.
    label : str
        Where it comes from.
    """

    source: str
    start: float
    end: float
    w_start: float
    w_end: float
    label: str = ""


@dataclass(frozen=True)
class PointLoad:
    """A load at one place.

    Attributes
    ----------
    at : float [in]
        From the left end of the member.
    P : float [lbf]
        Down positive.
    label : str
        Where it comes from; loads that follow each other with the same label and source are
        drawn as one row.
    source : str
    """

    at: float
    P: float
    label: str = ""
    source: str = ""


@dataclass(frozen=True)
class BeamShape:
    """A beam in elevation; lengths in inches, heights above any one level."""

    start: float
    end: float
    bottom: float
    depth: float
    label: str

    @property
    def top(self) -> float:
        """Height of its top."""
        return self.bottom + self.depth


@dataclass(frozen=True)
class PostShape:
    """A post or column below the beam.

    Attributes
    ----------
    start, end : float [in]
        Its faces along the wall line.
    bottom : float [in]
    name, label : str
        Its name, and what it is made of.
    bearing : float [in], optional
        Length on which the beam bears on it, from the face toward the beam's middle.
    kind : {"post", "masonry"}
    """

    start: float
    end: float
    bottom: float
    name: str
    label: str = ""
    bearing: float | None = None
    kind: str = "post"


@dataclass(frozen=True)
class JoistRow:
    """Joists that end on the line of the wall, from one side.

    Attributes
    ----------
    side : {"near", "far"}
        Before the wall as one looks at it (cut, drawn solid), or behind it (drawn dashed).
    start, end, spacing : float [in]
        Along the wall line, the first joist at the start.
    bottom, depth, thickness : float [in]
    label : str
    """

    side: str
    start: float
    end: float
    spacing: float
    bottom: float
    depth: float
    thickness: float
    label: str

    @property
    def top(self) -> float:
        """Height of their tops."""
        return self.bottom + self.depth

    @property
    def places(self) -> list[float]:
        """Their middles."""
        count = int((self.end - self.start) / self.spacing + 1e-9) + 1
        return [self.start + i * self.spacing for i in range(count)]


@dataclass(frozen=True)
class WallShape:
    """A piece of wall: what stays beside the opening, a foundation wall, a wall above.

    Attributes
    ----------
    start, end, bottom, top : float [in]
    label : str
    kind : {"stays", "above", "masonry"}
        Decides the hatch; a wall above also gets its extent written over the drawing, and is
        cut off where it is tall.
    """

    start: float
    end: float
    bottom: float
    top: float
    label: str
    kind: str = "stays"

    @property
    def shown_top(self) -> float:
        """Height up to which it is drawn."""
        return min(self.top, self.bottom + SHOWN_ABOVE) if self.kind == "above" else self.top


@dataclass(frozen=True)
class LandingLoad:
    """A load from above that is not drawn as a thing, such as the roof's; positions in inches."""

    start: float
    end: float
    label: str


@dataclass(frozen=True)
class LandingPoint:
    """A point load from above; position in inches."""

    at: float
    label: str


@dataclass(frozen=True)
class Level:
    """A floor, a ceiling: a height in inches, with its name."""

    height: float
    name: str
