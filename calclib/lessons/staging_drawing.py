"""A house in one state as boxes and bands: each member keeps its place in every state."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from html import escape
from itertools import pairwise

from calclib.job.carry import Flow
from calclib.lessons.charting import GROUND as PAPER
from calclib.lessons.drawing import ACCENT, BOLD, MIDDLE, SIZE, SMALL, SOFT, polyline, text_at
from calclib.lessons.staging import Part, Snapshot, change_text, members_of, said
from calclib.sheet.figures_path import PathLink, PathNode, ranks

WIDTH, TOP = 640.0, 34.0
BOX_HIGH, ROW_HIGH, GAP = 50.0, 84.0, 6.0
MOST_IN_A_ROW, NARROWEST, WIDEST = 6, 84.0, 150.0
LETTER, FOOT = 5.9, 40.0
WIDEST_BAND, THINNEST_BAND = 16.0, 1.0
SWEEPS = 8
LANE = 10.0
HATCH = "calc-falls"

Link = tuple[str, str]
Spots = tuple[tuple[float, float], ...]

SHOWS = {
    "stands": "",
    "falls": "FALLS",
    "part falls": "PART FALLS",
    "taken out": "taken out",
    "not there": "not there",
}


@dataclass(frozen=True)
class Layout:
    """Where each member stands on the paper, in all states.

    Attributes
    ----------
    boxes : mapping of str to (float, float, float)
        Left, top and width by path.
    ways : mapping of (str, str) to tuple of (float, float)
        The places through which the band from one member to another runs.
    wide, ground : float
        Width of the paper, and height of the ground on it.
    most : float [lbf]
        The largest load that one member hands to another in any state.
    """

    boxes: Mapping[str, tuple[float, float, float]]
    ways: Mapping[Link, Spots]
    wide: float
    ground: float
    most: float

    @property
    def height(self) -> float:
        """Height of the paper."""
        return self.ground + FOOT

    def way(self, link: Link) -> Spots:
        """Return the places of a band; of one that no state has by itself, its two ends."""
        if link in self.ways:
            return self.ways[link]
        left, top, wide = self.boxes[link[0]]
        x = left + wide / 2
        left, end, wide = self.boxes.get(link[1], (x, self.ground, 0.0))
        return (x, top + BOX_HIGH), (left + wide / 2, end)


def laid_out(flows: Sequence[Flow]) -> Layout:
    """Lay out the members of a house in all of its states.

    Parameters
    ----------
    flows : sequence of Flow

    Returns
    -------
    Layout
        Rows from the roof to the ground, each member above what carries it in every state, and
        a lane beside the boxes for each band that runs past a row.
    """
    rank: dict[str, int] = {}
    links: dict[Link, None] = {}
    for flow in flows:
        nodes = [PathNode(path, path) for path in flow.order]
        bands = [PathLink(h.giver, h.taker, h.amounts) for h in flow.handings]
        for path, row in ranks(nodes, bands).items():
            rank[path] = max(row, rank.get(path, 0))
        links |= dict.fromkeys((band.giver, band.taker) for band in bands)
    rows: dict[int, list[str]] = {}
    for path in members_of(flows):
        rows.setdefault(rank.get(path, 1), []).append(path)
    ordered = _swept([rows[row] for row in sorted(rows, reverse=True)], list(links))
    # A crowded row is set in two.
    lines = [line for row in ordered for line in _halves(row)]
    lanes = _lanes(lines, list(links))
    chains = [pair for link, lane in lanes.items() for pair in pairwise((link[0], *lane, link[1]))]
    places: dict[str, tuple[float, float, float]] = {}
    swept = _swept(lines, chains)
    # A large house has a wider paper, on which its figure is moved sideways.
    room = max(WIDTH, *(sum(map(_least, line)) + GAP for line in swept))
    for number, line in enumerate(swept):
        places |= _placed(line, TOP + ROW_HIGH * number, room)
    ground = TOP + ROW_HIGH * len(lines)
    boxes = {path: place for path, place in places.items() if not _is_lane(path)}
    most = max((h.total for flow in flows for h in flow.handings), default=1.0)
    return Layout(boxes, _ways(lanes, places, ground), room, ground, max(most, 1.0))


def _halves(row: list[str]) -> list[list[str]]:
    count = math.ceil(len(row) / MOST_IN_A_ROW)
    size = math.ceil(len(row) / count)
    return [row[start : start + size] for start in range(0, len(row), size)]


def _is_lane(name: str) -> bool:
    return name.startswith("|")


def _lanes(lines: list[list[str]], links: Sequence[Link]) -> dict[Link, tuple[str, ...]]:
    """Add a lane to each line that a band runs past; return the lanes of each band."""
    at = {path: number for number, line in enumerate(lines) for path in line}
    found = {}
    for link in links:
        past = range(at[link[0]] + 1, at.get(link[1], len(lines)))
        lane = tuple(f"|{link[0]}|{link[1]}|{number}" for number in past)
        for name, number in zip(lane, past, strict=True):
            lines[number].append(name)
        found[link] = lane
    return found


def _least(name: str) -> float:
    """Return the least room that a box or a lane takes, with the gap beside it."""
    return (LANE if _is_lane(name) else NARROWEST) + GAP


def _placed(line: list[str], top: float, paper: float) -> dict[str, tuple[float, float, float]]:
    """Return left, top and width of boxes and lanes, spread over the paper."""
    boxes = sum(not _is_lane(name) for name in line)
    room = paper - LANE * (len(line) - boxes) - GAP * (len(line) + 1)
    wide = min(WIDEST, room / max(boxes, 1))
    widths = [LANE if _is_lane(name) else wide for name in line]
    gap = (paper - sum(widths)) / (len(line) + 1)
    found, left = {}, gap
    for name, width in zip(line, widths, strict=True):
        found[name] = left, top, width
        left += width + gap
    return found


def _ways(
    lanes: Mapping[Link, tuple[str, ...]],
    places: Mapping[str, tuple[float, float, float]],
    ground: float,
) -> dict[Link, Spots]:
    """Return the places of each band: bands of one box side by side, lanes straight down."""
    inner: dict[Link, list[tuple[float, float]]] = {}
    for link, lane in lanes.items():
        spots = []
        for name in lane:
            left, top, wide = places[name]
            spots += [(left + wide / 2, top), (left + wide / 2, top + BOX_HIGH)]
        inner[link] = spots

    def center(path: str) -> float:
        left, _, wide = places[path]
        return left + wide / 2

    def toward(link: Link) -> float:
        if inner[link]:
            return inner[link][0][0]
        return center(link[1] if link[1] in places else link[0])

    def whence(link: Link) -> float:
        return inner[link][-1][0] if inner[link] else center(link[0])

    starts: dict[Link, tuple[float, float]] = {}
    ends: dict[Link, tuple[float, float]] = {}
    for path, (left, top, wide) in places.items():
        out = sorted((link for link in lanes if link[0] == path), key=toward)
        for number, link in enumerate(out, start=1):
            starts[link] = left + wide * number / (len(out) + 1), top + BOX_HIGH
        into = sorted((link for link in lanes if link[1] == path), key=whence)
        for number, link in enumerate(into, start=1):
            ends[link] = left + wide * number / (len(into) + 1), top
    return {
        link: (
            starts[link],
            *spots,
            ends.get(link, ((spots or [starts[link]])[-1][0], ground)),
        )
        for link, spots in inner.items()
    }


def _swept(rows: list[list[str]], links: Sequence[Link]) -> list[list[str]]:
    """Order each row by what it hands to and takes from, so that few bands cross."""
    takers: dict[str, list[str]] = {}
    givers: dict[str, list[str]] = {}
    for giver, taker in links:
        takers.setdefault(giver, []).append(taker)
        givers.setdefault(taker, []).append(giver)
    for sweep in range(SWEEPS):
        at = {p: (i + 0.5) / len(row) for row in rows for i, p in enumerate(row)}
        beside = givers if sweep % 2 else takers
        for row in rows if sweep % 2 else reversed(rows):
            row.sort(key=partial(_middle, at=dict(at), beside=beside))
            at |= {path: (i + 0.5) / len(row) for i, path in enumerate(row)}
    return rows


def _middle(path: str, at: Mapping[str, float], beside: Mapping[str, list[str]]) -> float:
    """Return where the neighbors of a member stand, on average."""
    near = [at[other] for other in beside.get(path, ()) if other in at]
    return sum(near) / len(near) if near else at[path]


def figure(found: Snapshot, layout: Layout) -> str:
    """Draw a house in one state.

    Parameters
    ----------
    found : Snapshot
    layout : Layout
        Of all states, so that nothing but the loads moves.

    Returns
    -------
    str
        An ``<svg>`` element with its text alternative.
    """
    heading = f"The house {found.state}"
    if found.taken:
        heading += f", without {', '.join(found.taken)}"
    size = SIZE * min(1.0, 78 / len(heading))
    parts = [text_at(4.0, 18.0, heading, size, BOLD)]
    parts += [_band(link, layout) for link in found.links if link[0] in layout.boxes]
    parts += [_box(part, found, layout) for part in found.parts]
    wide, high = layout.wide, layout.height
    parts.append(polyline([(0, layout.ground), (wide, layout.ground)], ' stroke-width="2.5"'))
    down = f"ground: {found.amount(found.down)}, all loads without factors"
    parts.append(text_at(wide / 2, layout.ground + 17, down, SMALL, MIDDLE))
    key = "A band is as wide as its load; in brackets the change since the first state"
    parts.append(text_at(wide / 2, layout.ground + 33, key, SMALL, MIDDLE + SOFT))
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" role="img" class="calc-diagrams" '
        f'style="min-width:{0.8 * wide:.0f}px;max-width:{1.12 * wide:.0f}px" '
        f'aria-label="{escape(" ".join(said(found)))}" width="{wide:g}" height="{high:g}" '
        f'viewBox="0 0 {wide:g} {high:g}" font-size="{SIZE:g}" fill="none" '
        f'stroke="currentColor" stroke-linejoin="round">{_definitions()}{"".join(parts)}</svg>'
    )


def _definitions() -> str:
    return (
        f'<defs><pattern id="{HATCH}" width="6" height="6" patternUnits="userSpaceOnUse" '
        'patternTransform="rotate(45)"><path d="M0 0V6" stroke="currentColor" '
        'stroke-width="1" stroke-opacity="0.35"/></pattern></defs>'
    )


def _band(link: tuple[str, str, float], layout: Layout) -> str:
    """Draw what one member hands to another; what lifts is dashed."""
    giver, taker, load = link
    (x, y), *others = layout.way((giver, taker))
    path = f"M{x:.1f} {y:.1f}"
    for a, b in others:
        middle = (y + b) / 2
        path += f"C{x:.1f} {middle:.1f} {a:.1f} {middle:.1f} {a:.1f} {b:.1f}"
        x, y = a, b
    thick = max(THINNEST_BAND, WIDEST_BAND * abs(load) / layout.most)
    dash = ' stroke-dasharray="4 3"' if load < 0 else ""
    return (
        f'<path d="{path}" stroke="{ACCENT}" stroke-opacity="0.45" '
        f'stroke-width="{thick:.1f}"{dash}/>'
    )


def _box(part: Part, found: Snapshot, layout: Layout) -> str:
    left, top, wide = layout.boxes[part.path]
    stands = part.standing in ("stands", "part falls")
    dash = "" if stands else ' stroke-dasharray="4 3"'
    fill = f"url(#{HATCH})" if part.standing in ("falls", "part falls") else PAPER
    box = (
        f'<rect x="{left:.1f}" y="{top:.1f}" width="{wide:.1f}" height="{BOX_HIGH:g}" rx="3" '
        f'fill="{PAPER}" stroke="none"/>'
        f'<rect x="{left:.1f}" y="{top:.1f}" width="{wide:.1f}" height="{BOX_HIGH:g}" rx="3" '
        f'fill="{fill}" stroke-width="{1.4 if stands else 1:g}"{dash}/>'
    )
    lines = _wrapped(part.name, wide)
    texts = [(line, "" if stands else SOFT) for line in lines]
    if stands:
        change = change_text(part)
        texts.append((found.amount(part.load) + (f" ({change})" if change else ""), BOLD))
    if SHOWS[part.standing]:
        texts.append((SHOWS[part.standing], BOLD if "FALLS" in SHOWS[part.standing] else SOFT))
    first = top + BOX_HIGH / 2 - 6.5 * (len(texts) - 1) + 4
    middle = left + wide / 2
    halo = f' style="stroke:{PAPER};stroke-width:3;paint-order:stroke"'
    words = [
        text_at(middle, first + 13 * row, text, min(SMALL, SMALL * wide / (LETTER * len(text))),
                MIDDLE + more + halo)
        for row, (text, more) in enumerate(texts)
    ]  # fmt: skip
    return box + "".join(words)


def _wrapped(name: str, wide: float) -> list[str]:
    """Return a name in at most two lines."""
    if LETTER * len(name) <= wide or " " not in name:
        return [name]
    words = name.split()
    ways = [(" ".join(words[:i]), " ".join(words[i:])) for i in range(1, len(words))]
    return list(min(ways, key=lambda way: max(map(len, way))))
