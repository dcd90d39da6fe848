"""A member of the work, solved and checked as in the finished house."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from calclib import published
from calclib.job.bent import Bent, Design, Settings, strength_checks
from calclib.job.contents import Section
from calclib.job.field import OVERHANGS
from calclib.job.member import (
    LoadRow,
    Model,
    groups,
    reaction,
    solution,
)
from calclib.job.wood import service_of
from calclib.loads import case_set
from calclib.loads.combinations import SOURCE_NAMES, SOURCES
from calclib.mechanics import Beam, Line, Point, Support, solve
from calclib.timber.bearing import Surface, plate, strength_surface
from calclib.timber.piece import Piece, stiffness
from calclib.timber.posts import Post, strength_post
from calclib.timber.stability import Bracing, held_throughout
from calclib.trace import Value, leaf, step
from calclib.units import inch, show

STATICS = "mechanics, statics"
Loads = dict[str, Value]


@dataclass(frozen=True)
class Place:
    """Where a member of the work belongs.

    Attributes
    ----------
    state : str
        Key of the state of the work, first in the ids of its checks.
    path, name : str
        The member, as an id and in words.
    design : Design
    """

    state: str
    path: str
    name: str
    design: Design

    def id(self, what: str) -> str:
        """Return the id of a check."""
        return f"{self.state}/{self.path}/{what}"

    def surface(self, wood: Surface) -> Surface:
        """Return what is borne on with the factors of the method."""
        return strength_surface(wood) if self.design.method == "LRFD" else wood

    def post(self, post: Post) -> Post:
        """Return a post with the factors of the method."""
        return strength_post(post) if self.design.method == "LRFD" else post


def plate_size(shore: Section) -> tuple[Value, Value]:
    """Return thickness and width of a shore's plates."""
    size = published.nominal_size(shore.words["plate_size"], "sawn")
    return tuple(  # type: ignore[return-value]
        leaf(
            number * inch, "in", symbol, f"{shore.path}.plate_size/{symbol}",
            title=f"{what} of the plates of the {shore.name} shore", basis="published",
            source=size.row.printed, verified=size.row.status == "verified",
        )
        for number, symbol, what in (
            (size.b_in, "t_plate", "thickness"), (size.d_in, "b_plate", "width")
        )
    )  # fmt: skip


def plates_of(shore: Section) -> Surface:
    """Return the wood of a shore's plates, across the grain."""
    return plate(shore.words["plate"], service_of(shore), shore.words["plate_grade"])


def member(
    place: Place,
    piece: Piece,
    supports: Sequence[Value | None],
    rows: Sequence[LoadRow],
    *,
    support_names: Sequence[str],
    length: Value | None = None,
    top: Bracing | None = None,
    bottom: Bracing | None = None,
) -> Bent:
    """Solve a member of the work and check it in bending and shear.

    Parameters
    ----------
    place : Place
    piece : Piece
    supports : sequence of Value or None [in]
        From its left end; None for one at that end.
    rows : sequence of LoadRow
        Places from its left end.
    support_names : sequence of str
    length : Value, optional [in]
        When it goes on past its last support.
    top, bottom : Bracing, optional
        Of its edges; the top held throughout, the bottom not looked at, when not given.

    Returns
    -------
    Bent
        With its strength cases; deflections are not checked, for the work is short.
    """
    end = supports[-1] if length is None else length
    assert end is not None
    marks = sorted({0.0, *(0.0 if at is None else at.at() for at in supports), end.at()})
    names = [f"bay {number + 1}" for number in range(len(marks) - 1)]
    if supports[0] is not None and supports[0].at() > 0:
        names[0] = OVERHANGS[0]
    if length is not None and length.at() > (0.0 if supports[-1] is None else supports[-1].at()):
        names[-1] = OVERHANGS[1]
    piece = place.design.piece(piece)
    model = Model(
        place.name,
        tuple(names),
        tuple(support_names),
        tuple(supports),
        stiffness(piece),
        tuple(rows),
        length,
    )
    settings = Settings(
        place.state, place.path, place.name, top or held_throughout(), bottom,
        None, None, "", place.design,
    )  # fmt: skip
    solved = solution(model)
    switched = groups(model.rows, len(names))
    strength = case_set(place.design.edition, switched, tuple(names), method=place.design.method)
    spans = tuple(at for at in (*supports, length) if at is not None)
    made = Bent(
        Section(place.path, {}, {}),
        settings,
        piece,
        spans if len(names) > 1 else spans[:1],
        (),
        model,
        solved,
        strength,
        None,
        strength,
        (),
        tuple(reaction(solved, i, model, strength.factors)[0] for i in range(len(support_names))),
        (piece.b, piece.d, model.EI, *spans),
    )
    return replace(made, checks=tuple(strength_checks(made)))


def _sources(model: Model) -> tuple[str, ...]:
    return tuple(source for source in SOURCES if any(row.source == source for row in model.rows))


def _own_sentence(arguments: Any, results: Any, case: int | None) -> str:
    model = arguments[0]
    sources = _sources(model)
    parts = []
    for place, name in enumerate(model.support_names):
        here = results[place * len(sources) : (place + 1) * len(sources)]
        loads = " and ".join(
            f"{show(float(load), 'lbf')} {SOURCE_NAMES[source]}"
            for source, load in zip(sources, here, strict=True)
        )
        parts.append(f"{name} {loads}")
    return f"On each support, with every load in place: {'; '.join(parts)}."


@step(
    "the load on each support by source",
    lambda model: [(f"R_{source}", "lbf") for _ in model.supports for source in _sources(model)],
    sentence=_own_sentence,
    source=STATICS,
)
def _by_source(model: Model) -> Any:
    supports = [Support(0.0 if at is None else at) for at in model.supports]
    length = supports[-1].at if model.length is None else model.length
    beam = Beam(length=length, supports=supports, EI=model.EI)
    cases: dict[str, list[Line | Point]] = {source: [] for source in _sources(model)}
    for row in model.rows:
        start = 0.0 if row.start is None else row.start
        if row.is_point:
            cases[row.source].append(Point(start, row.size))
        else:
            end = length if row.end is None else row.end
            cases[row.source].append(Line(start, end, row.size, row.size))
    table = solve(beam, cases).curves.reactions
    return tuple(float(load) for at_support in table.T for load in at_support)


def loads_on_supports(bent: Bent) -> tuple[Loads, ...]:
    """Return the load on each support by its source (D, L, Lr, S), every load in place.

    Parameters
    ----------
    bent : Bent
        Without ways of drifted snow.
    """
    sources, flat = _sources(bent.model), _by_source(bent.model)
    return tuple(
        dict(zip(sources, flat[i : i + len(sources)], strict=True))
        for i in range(0, len(flat), len(sources))
    )
