"""The load path as bands whose widths are the loads, from the roof to the ground."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from calclib.sheet.figures_canvas import (
    HAIR,
    HEAD,
    INK,
    LEADING,
    NOTE,
    PAGE_WIDTH,
    PAPER,
    SOFT,
    THIN,
    Canvas,
    Figure,
    Spot,
    glued,
    text_width,
    wrap,
)
from calclib.sheet.figures_marks import (
    SOURCE_HATCHES,
    SOURCE_NAMES,
    amount_text,
    require_system,
)

SOURCES = ("D", "L", "Lr", "S")
# A shade beside the hatch, so that what is always there stands out.
FILLS = {"D": "#dde1e5"}

BAR, LABEL_WIDTH, GAP = 8.0, 58.0, 7.0
LABEL_LINES = 3
DROP, LEAST_DROP = 46.0, 20.0
# Of the whole figure, so that it stands on a page with its caption.
MOST_HIGH = 500.0
# Beyond so many members a row keeps its largest ones, so that bands stay wide enough to read.
MOST_IN_A_ROW, MOST_OF_MANY, MANY = 7, 5, 30
STEPS = 12
SWEEPS = 8


@dataclass(frozen=True)
class PathNode:
    """A member of the load path.

    Attributes
    ----------
    id, name : str
    own : mapping of str to float [lbf]
        What enters the house at it, by source.
    """

    id: str
    name: str
    own: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True)
class PathLink:
    """What one member hands to another.

    Attributes
    ----------
    giver, taker : str
        Ids.
    amounts : mapping of str to float [lbf]
        By source; what lifts is not drawn, and said in the text alternative.
    """

    giver: str
    taker: str
    amounts: Mapping[str, float]

    @property
    def total(self) -> float:
        """All sources [lbf]."""
        return sum(self.amounts.values())

    @property
    def drawn(self) -> float:
        """Its width as a load [lbf]: what pushes down."""
        return sum(max(amount, 0.0) for amount in self.amounts.values())


@dataclass
class _Place:
    """A node, or a band on its way past a row, in a row of the figure."""

    id: str
    load: float
    is_node: bool = True
    x: float = 0.0
    left: float = 0.0


def ranks(nodes: Sequence[PathNode], links: Sequence[PathLink]) -> dict[str, int]:
    """Return for each node how many hand-overs it is above the ground, at most."""
    takers: dict[str, list[str]] = {node.id: [] for node in nodes}
    for link in links:
        takers.setdefault(link.giver, []).append(link.taker)
        takers.setdefault(link.taker, [])
    found: dict[str, int] = {}
    ahead = list(takers)
    while ahead:
        here = ahead[-1]
        waiting = [taker for taker in takers[here] if taker not in found]
        if here in found or not waiting:
            found.setdefault(here, 1 + max((found[t] for t in takers[here]), default=-1))
            ahead.pop()
        else:
            ahead += waiting
    return found


def gathered(
    nodes: Sequence[PathNode], links: Sequence[PathLink]
) -> tuple[list[PathNode], list[PathLink]]:
    """Return the path with the small members of crowded rows put together.

    Parameters
    ----------
    nodes : sequence of PathNode
    links : sequence of PathLink

    Returns
    -------
    nodes, links : list
        No row holds more than seven members, or five in a large house.
    """
    rank = ranks(nodes, links)
    most = MOST_OF_MANY if len(rank) > MANY else MOST_IN_A_ROW
    through = _through(nodes, links)
    into: dict[str, str] = {}
    named = {node.id: node for node in nodes}
    for row in set(rank.values()):
        here = sorted(
            (id for id in rank if rank[id] == row), key=lambda id: (-through.get(id, 0.0), id)
        )
        rest = here[most - 1 :]
        if len(here) > most:
            into |= dict.fromkeys(rest, f"rest-{row}")
            own: dict[str, float] = {}
            for id in rest:
                for source, amount in named[id].own.items() if id in named else ():
                    own[source] = own.get(source, 0.0) + amount
            named[f"rest-{row}"] = PathNode(f"rest-{row}", f"{len(rest)} more members", own)
    summed: dict[tuple[str, str], dict[str, float]] = {}
    for link in links:
        ends = into.get(link.giver, link.giver), into.get(link.taker, link.taker)
        amounts = summed.setdefault(ends, {})
        for source, amount in link.amounts.items():
            amounts[source] = amounts.get(source, 0.0) + amount
    kept = [node for id, node in named.items() if id not in into]
    return kept, [PathLink(*ends, amounts) for ends, amounts in summed.items()]


def _through(nodes: Sequence[PathNode], links: Sequence[PathLink]) -> dict[str, float]:
    found = {node.id: sum(max(a, 0.0) for a in node.own.values()) for node in nodes}
    for link in links:
        found[link.taker] = found.get(link.taker, 0.0) + link.drawn
    given: dict[str, float] = {}
    for link in links:
        given[link.giver] = given.get(link.giver, 0.0) + link.drawn
    return {id: max(load, given.get(id, 0.0)) for id, load in found.items()}


def load_path(
    figure_id: str,
    title: str,
    nodes: Sequence[PathNode],
    links: Sequence[PathLink],
    system: str = "US",
) -> Figure:
    """Draw a load path as bands from the roof to the ground.

    Parameters
    ----------
    figure_id, title : str
    nodes : sequence of PathNode
        From the top down; what is only named by a link is drawn too.
    links : sequence of PathLink
        Without a circle.
    system : str
        "US" or "SI", for the numbers.

    Returns
    -------
    Figure
    """
    require_system(system)
    few, bands = gathered(nodes, links)
    names = {node.id: node.name for node in few}
    rank = ranks(few, bands)
    through = _through(few, bands)
    rows, hops = _rows(rank, through, bands)
    _order(rows, hops)
    scale = _scale(rows)
    for row in rows:
        _set_out(row, scale)
    canvas = Canvas()
    top = HEAD * LEADING + 4.0
    canvas.text(0.0, HEAD, title, HEAD, bold=True)
    height = _label_room() + BAR
    spare = (MOST_HIGH - len(rows) * height) / max(len(rows) - 1, 1)
    drop = min(DROP, max(LEAST_DROP, spare))
    places = {(number, place.id): place for number, row in enumerate(rows) for place in row}
    _draw_bands(canvas, rows, hops, places, scale, top, height, drop)
    for number, row in enumerate(rows):
        y = top + number * (height + drop) + _label_room()
        for place in row:
            if place.is_node:
                _draw_node(canvas, place, names.get(place.id, place.id), scale, y, system)
    bottom = top + (len(rows) - 1) * (height + drop) + height + 10.0
    bottom = _key(canvas, bottom, {s for link in bands for s in link.amounts})
    return canvas.figure(
        figure_id,
        bottom,
        title,
        _alt(names, through, bands, system),
        f"{title}. The width of a band is its load; every span is loaded at once. "
        "The patterns and combinations of the checks are further cases.",
    )


def _force(pounds: float, system: str) -> str:
    return amount_text(pounds, "lbf", system)


def _label_room() -> float:
    return LABEL_LINES * NOTE * LEADING + 2.0


def _rows(
    rank: Mapping[str, int], through: Mapping[str, float], links: Sequence[PathLink]
) -> tuple[list[list[_Place]], list[tuple[int, str, str, Mapping[str, float]]]]:
    """Return the rows from the top, and the hops of each band from a row to the next."""
    most = max(rank.values(), default=0)
    rows: list[list[_Place]] = [[] for _ in range(most + 1)]
    for id, level in rank.items():
        rows[most - level].append(_Place(id, through.get(id, 0.0)))
    hops: list[tuple[int, str, str, Mapping[str, float]]] = []
    for link in links:
        first, last = most - rank[link.giver], most - rank[link.taker]
        here = link.giver
        for row in range(first, last):
            there = link.taker if row + 1 == last else f"{link.giver}>{link.taker}"
            if row + 1 != last:
                rows[row + 1].append(_Place(there, link.drawn, False))
            hops.append((row, here, there, link.amounts))
            here = there
    return rows, hops


def _order(
    rows: list[list[_Place]], hops: Sequence[tuple[int, str, str, Mapping[str, float]]]
) -> None:
    """Order each row so that few bands cross: each place near the middle of its neighbors."""
    for sweep in range(SWEEPS):
        down = sweep % 2 == 0
        for number in range(len(rows)) if down else reversed(range(len(rows))):
            other = number - 1 if down else number + 1
            if not 0 <= other < len(rows):
                continue
            at = {place.id: i / max(len(rows[other]) - 1, 1) for i, place in enumerate(rows[other])}
            row = rows[number]
            middle = {}
            for i, place in enumerate(row):
                near = [
                    at[giver if down else taker]
                    for start, giver, taker, _ in hops
                    if (start == other and taker == place.id and down)
                    or (start == number and giver == place.id and not down)
                ]
                own = i / max(len(row) - 1, 1)
                middle[place.id] = sum(near) / len(near) if near else own
            row.sort(key=lambda place: middle[place.id])


def _slot(place: _Place, scale: float) -> float:
    wide = place.load * scale
    return max(wide, LABEL_WIDTH) if place.is_node else wide


def _scale(rows: Sequence[Sequence[_Place]]) -> float:
    """Return points for each pound, so that the fullest row fits the page."""
    heaviest = max((sum(place.load for place in row) for row in rows), default=1.0)
    low, high = 0.0, PAGE_WIDTH / max(heaviest, 1.0)
    for _ in range(40):
        middle = (low + high) / 2
        fits = all(
            sum(_slot(place, middle) for place in row) + GAP * (len(row) - 1) <= PAGE_WIDTH
            for row in rows
        )
        low, high = (middle, high) if fits else (low, middle)
    return low


def _set_out(row: list[_Place], scale: float) -> None:
    slots = [_slot(place, scale) for place in row]
    spare = max(PAGE_WIDTH - sum(slots), 0.0)
    gap = spare / (len(row) + 1)
    x = gap
    for place, slot in zip(row, slots, strict=True):
        place.left = x
        place.x = x + (slot - place.load * scale) / 2
        x += slot + gap


def _draw_bands(
    canvas: Canvas,
    rows: Sequence[Sequence[_Place]],
    hops: Sequence[tuple[int, str, str, Mapping[str, float]]],
    places: Mapping[tuple[int, str], _Place],
    scale: float,
    top: float,
    height: float,
    drop: float,
) -> None:
    leaving: dict[tuple[int, str], float] = {}
    coming: dict[tuple[int, str], float] = {}

    def rank_of(hop: tuple[int, str, str, Mapping[str, float]]) -> tuple[int, float, float]:
        row, giver, taker, _ = hop
        return row, places[row, giver].x, places[row + 1, taker].x

    starts: dict[int, float] = {}
    for hop in sorted(hops, key=rank_of):
        row, giver, _, amounts = hop
        wide = scale * sum(max(a, 0.0) for a in amounts.values())
        key = row, giver
        starts[id(hop)] = places[key].x + leaving.get(key, 0.0)
        leaving[key] = leaving.get(key, 0.0) + wide
    outlines: dict[str, list[list[Spot]]] = {source: [] for source in SOURCES}
    for hop in sorted(hops, key=lambda h: (h[0], places[h[0] + 1, h[2]].x, places[h[0], h[1]].x)):
        row, giver, taker, amounts = hop
        key = row + 1, taker
        upper, lower = starts[id(hop)], places[key].x + coming.get(key, 0.0)
        y = top + row * (height + drop) + height
        passes = not places[row, giver].is_node
        start = y - (height if passes else 0.0)
        # A band that only passes a row goes on straight through the room of its labels.
        end = y + drop + (_label_room() if places[key].is_node else 0.0)
        for source in SOURCES:
            wide = scale * max(amounts.get(source, 0.0), 0.0)
            if wide > 0:
                outlines[source].append(_ribbon(upper, lower, wide, start, end))
                upper, lower = upper + wide, lower + wide
        coming[key] = coming.get(key, 0.0) + scale * sum(max(a, 0.0) for a in amounts.values())
    for source, shapes in outlines.items():
        canvas.areas(shapes, fill=FILLS.get(source, PAPER), hatch=SOURCE_HATCHES[source])
        sides = [side for shape in shapes for side in (shape[: STEPS + 1], shape[STEPS + 1 :])]
        canvas.lines(sides, HAIR, SOFT)


def _ribbon(upper: float, lower: float, wide: float, top: float, bottom: float) -> list[Spot]:
    left = []
    for step in range(STEPS + 1):
        t = step / STEPS
        s = t * t * (3 - 2 * t)
        left.append((upper + (lower - upper) * s, top + (bottom - top) * t))
    return [*left, *((x + wide, y) for x, y in reversed(left))]


def _draw_node(
    canvas: Canvas, place: _Place, name: str, scale: float, y: float, system: str
) -> None:
    wide = max(place.load * scale, 1.2)
    canvas.areas(
        [[(place.x, y), (place.x + wide, y), (place.x + wide, y + BAR), (place.x, y + BAR)]],
        fill=INK,
    )
    room = _slot(place, scale) + GAP
    force = glued(_force(place.load, system))
    lines = wrap(f"{name} {force}", NOTE, room, most=LABEL_LINES)
    if not lines[-1].endswith(force.split(" ")[-1].split("\u00a0")[-1]):
        lines = [*wrap(name, NOTE, room, most=LABEL_LINES - 1), force.replace("\u00a0", " ")]
    middle = place.x + wide / 2
    half = max(text_width(line, NOTE) for line in lines) / 2
    middle = min(max(middle, half), PAGE_WIDTH - half)
    top = y - 2.0 - len(lines) * NOTE * LEADING
    boxes = [(middle - half - 1, top - 1), (middle + half + 1, top - 1),
             (middle + half + 1, y - 1.5), (middle - half - 1, y - 1.5)]  # fmt: skip
    canvas.areas([boxes], fill=PAPER)
    canvas.block(middle, top, lines, NOTE, "center")


def _key(canvas: Canvas, top: float, sources: set[str]) -> float:
    x = 0.0
    for source in (source for source in SOURCES if source in sources):
        box = [(x, top), (x + 16, top), (x + 16, top + 8), (x, top + 8)]
        fill = FILLS.get(source, PAPER)
        canvas.areas([box], fill, THIN, SOFT, hatch=SOURCE_HATCHES[source])
        canvas.text(x + 20, top + 7, SOURCE_NAMES[source], NOTE)
        x += 20 + text_width(SOURCE_NAMES[source], NOTE) + 16
    return top + 14.0


def _alt(
    names: Mapping[str, str],
    through: Mapping[str, float],
    links: Sequence[PathLink],
    system: str,
) -> str:
    takers = {link.taker for link in links}
    ends = takers - {link.giver for link in links}
    reach = sum(link.total for link in links if link.taker in ends)
    inner = [id for id in through if id in takers - ends]
    most = max(inner, key=lambda id: through[id], default="")
    parts = [f"Load path from the roof to the ground: {_force(reach, system)} reach the ground."]
    if most:
        carried = _force(through[most], system)
        parts.append(f"Most goes through {names.get(most, most)}, {carried}.")
    for link in sorted(links, key=lambda link: -link.total)[:12]:
        giver, taker = names.get(link.giver, link.giver), names.get(link.taker, link.taker)
        parts.append(f"{giver} to {taker}: {_force(link.total, system)}.")
    lifts = [link for link in links if any(a < 0 for a in link.amounts.values())]
    parts += [
        f"{names.get(link.giver, link.giver)} lifts {names.get(link.taker, link.taker)} in part."
        for link in lifts
    ]
    return " ".join(parts)
