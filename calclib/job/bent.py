"""A bent member of the job, beam or joist: its exact solution and the checks that both share."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from calclib.job.contents import Job, Section
from calclib.job.field import OVERHANGS
from calclib.job.member import (
    Model,
    Share,
    by_layouts,
    deflection_parts,
    groups,
    hogging_moment,
    largest_deflection,
    largest_shear,
    reaction,
    sagging_moment,
    shares_of,
    solution,
    solution_away_from_supports,
)
from calclib.job.state import FINISHED, NAMES
from calclib.loads import CaseSet, case_set
from calclib.loads.combinations import Group
from calclib.timber import checks as timber
from calclib.timber.deflection import dead_load_share
from calclib.timber.factors import load_duration_factor
from calclib.timber.lrfd import time_effect_factor
from calclib.timber.piece import Piece, strength_piece
from calclib.timber.shear_near_support import NearSupport
from calclib.timber.stability import Bracing
from calclib.trace import Check, Leaf, Value, check, formula, maximum, step
from calclib.units import lbf


@dataclass(frozen=True)
class Design:
    """By which standard of loads and which method a job is designed.

    Attributes
    ----------
    edition : str
        "ASCE 7-16" or "ASCE 7-22".
    method : str
        "ASD" or "LRFD".
    live_lasts_as : str
        Letter of the load whose duration counts for the live load.
    """

    edition: str
    method: str
    live_lasts_as: str = "L"

    def time_factor(self, cases: CaseSet) -> Value:
        """Return C_D, or the time effect factor, of each case."""
        if self.method == "ASD":
            return load_duration_factor(
                tuple(
                    "+".join(self.live_lasts_as if x == "L" else x for x in case.split("+"))
                    for case in cases.loads_present
                )
            )
        return time_effect_factor(cases.combinations, edition=self.edition)

    def piece(self, piece: Piece) -> Piece:
        """Return a member with the factors of the method."""
        return strength_piece(piece) if self.method == "LRFD" else piece


def design_of(job: Job) -> Design:
    """Return the load standard and the method of a job."""
    return Design(job.title_block["load_standard"], job.title_block["method"])


@dataclass(frozen=True, eq=False)
class Settings:
    """What the checks of a bent member are made with, beside its loads.

    Attributes
    ----------
    state : str
        Key of the state of the work.
    path : str
        The member, and after a slash which part of it.
    name : str
        The same in words.
    bracing_top, bracing_bottom : Bracing or None
        Of its edges; the bottom counts where it hogs.
    live_limit, total_limit : Value
    dead_load_rule : str
    design : Design
        Load standard and method.
    """

    state: str
    path: str
    name: str
    bracing_top: Bracing
    bracing_bottom: Bracing | None
    live_limit: Value | None
    total_limit: Value | None
    dead_load_rule: str
    design: Design

    def id_of(self, check: str) -> str:
        """Return the id of a check."""
        return f"{self.state}/{self.path}/{check}"

    def title(self, what: str, where: str = "") -> str:
        """Return the title of a check; the finished house needs no word."""
        stage = "" if self.state == FINISHED else f", {NAMES.get(self.state, self.state)}"
        return f"{what} of {self.name}{where}{stage}"


@dataclass(frozen=True, eq=False, repr=False)
class Bent:
    """A bent member with everything that the sheet shows of it.

    Attributes
    ----------
    section : Section
        As it stands in the job file.
    settings : Settings
    piece : Piece
    spans : tuple of Value [in]
        Center to center of bearings, overhangs among them.
    bearings : tuple of Value [in]
        Empty when they are not known.
    model : Model
    solution : Value
        Holds the `Solution` of the solver.
    strength, live, total : CaseSet or None
        Load cases for strength, for live-load and for total deflection.
    shares : tuple of Share
        What each load puts on each support.
    reactions : tuple of Value [lbf]
        For each support its reaction in each case of `strength`.
    basics : tuple of Value
        What the member's own derivation is printed from.
    checks : tuple of Check
    required : mapping of str to Value [in]
        The required bearing length by the id of its check, by case.
    """

    section: Section
    settings: Settings
    piece: Piece
    spans: tuple[Value, ...]
    bearings: tuple[Value, ...]
    model: Model
    solution: Value
    strength: CaseSet
    live: CaseSet | None
    total: CaseSet
    shares: tuple[Share, ...]
    reactions: tuple[Value, ...]
    basics: tuple[Value, ...]
    checks: tuple[Check, ...] = ()
    required: dict[str, Value] = field(default_factory=dict)

    def __repr__(self) -> str:
        spans = ", ".join(f"{span.at() / 12:.2f} ft" for span in self.spans)
        return f"<{self.settings.path}: spans {spans}, {len(self.checks)} checks>"

    def _repr_html_(self) -> str:
        from calclib.job.rich import beam_html

        return beam_html(self)


def solved_bent(
    section: Section,
    settings: Settings,
    piece: Piece,
    spans: tuple[Value, ...],
    bearings: tuple[Value, ...],
    model: Model,
    basics: tuple[Value, ...],
) -> Bent:
    """Solve a bent member; its checks are still to be made.

    Parameters
    ----------
    section : Section
    settings : Settings
    piece : Piece
    spans, bearings : tuple of Value [in]
    model : Model
        With all its loads.
    basics : tuple of Value

    Returns
    -------
    Bent
    """
    solved = solution(model)
    switched = groups(model.rows, len(spans))
    names = model.span_names
    share = dead_load_share(settings.dead_load_rule, piece.service.moisture)

    def cases(**given: Any) -> CaseSet:
        return by_layouts(model, case_set(settings.design.edition, switched, names, **given))

    strength = cases(method=settings.design.method)
    varies = any(group.source != "D" for group in switched)
    return Bent(
        section,
        settings,
        piece,
        spans,
        bearings,
        model,
        solved,
        strength,
        cases(variable_only=True) if varies else None,
        cases(dead=share),
        shares_of(model),
        tuple(
            reaction(solved, i, model, strength.factors)[0] for i in range(len(model.support_names))
        ),
        basics,
    )


def strength_checks(
    bent: Bent, hogging: Piece | None = None, away: NearSupport | None = None
) -> list[Check]:
    """Return the checks of bending and shear.

    Parameters
    ----------
    bent : Bent
    hogging : Piece, optional
        The member where it hogs, when that makes a difference.
    away : NearSupport, optional
        Whether loads within a depth of its supports may be left out of the shear, when the job
        asks for that.
    """
    settings, piece, strength = bent.settings, bent.piece, bent.strength
    time = settings.design.time_factor(strength)
    several = len(bent.spans) > 1
    M, _ = sagging_moment(bent.solution, strength.factors)
    for_shear = bent.solution
    if away is not None and away.allowed:
        for_shear = solution_away_from_supports(bent.model, piece.d, bent.bearings)
    V, _ = largest_shear(for_shear, strength.factors)
    made = [
        timber.bending_check(
            settings.id_of("bending"),
            piece,
            M,
            time,
            settings.bracing_top,
            strength.names,
            title=settings.title("Bending", ", sagging" if several else ""),
        )
    ]
    if settings.bracing_bottom is not None:
        M_hog, _ = hogging_moment(bent.solution, strength.factors)
        made.append(
            timber.bending_check(
                settings.id_of("bending_hogging"),
                hogging or piece,
                M_hog,
                time,
                settings.bracing_bottom,
                strength.names,
                title=settings.title("Bending", ", hogging over its supports"),
            )
        )
    made.append(
        timber.shear_check(
            settings.id_of("shear"),
            piece,
            V,
            time,
            strength.names,
            title=settings.title("Shear"),
            near="" if away is None else away.note,
        )
    )
    return made


@formula("l", "in", c="in", source="IRC Table R301.7, footnote", valid={"c": (0.0, None)})
def cantilever_span(c):  # type: ignore[no-untyped-def]
    """Span by which the deflection of an overhang is limited.

    Parameters
    ----------
    c : float or array [in]
        Length of the overhang.

    Returns
    -------
    float or array [in]
        Twice the overhang.

    Notes
    -----
    Valid for: c >= 0.
    Differs from the source: nothing.
    """
    return 2 * c


def deflection_checks(bent: Bent) -> list[Check]:
    """Return the checks of live-load and total deflection, span by span."""
    settings, piece = bent.settings, bent.piece
    share = dead_load_share(settings.dead_load_rule, piece.service.moisture)
    made = []
    for place, (span, word) in enumerate(zip(bent.spans, bent.model.span_names, strict=True)):
        tail = f".{word.replace(' ', '_')}" if len(bent.spans) > 1 else ""
        where = (f", {word}" if word in OVERHANGS else f", span {word}") if tail else ""
        if word in OVERHANGS:
            span = cantilever_span(span)
        limit = settings.live_limit
        if bent.live is not None and limit is not None:
            Delta, _ = largest_deflection(bent.solution, place, bent.live.factors)
            made.append(
                timber.live_deflection_check(
                    settings.id_of(f"live_deflection{tail}"),
                    piece,
                    Delta,
                    span,
                    limit,
                    bent.live.names,
                    clause=limit_clause(limit),
                    title=settings.title("Live-load deflection", where),
                )
            )
        limit = settings.total_limit
        if limit is None:
            continue
        Delta_D, Delta_st, _ = deflection_parts(
            bent.solution, place, bent.total.groups, bent.total.factors
        )
        made.append(
            timber.total_deflection_check(
                settings.id_of(f"total_deflection{tail}"),
                piece,
                Delta_D,
                Delta_st,
                share,
                span,
                limit,
                settings.dead_load_rule,
                bent.total.names,
                clause=limit_clause(limit),
                title=settings.title("Total deflection", where),
            )
        )
    return made


def limit_clause(limit: Value, otherwise: str = "") -> str:
    """Return the clause of a deflection limit."""
    assert isinstance(limit.origin, Leaf)
    return limit.origin.source or otherwise or f"limit L/{limit.at():g} entered in the job"


@formula("R_hold", "lbf", source="mechanics, statics", R_D="lbf", valid={"R_D": (None, None)})
def holding_down(R_D):  # type: ignore[no-untyped-def]
    """Dead load that holds a support down.

    Parameters
    ----------
    R_D : float or array [lbf]
        Reaction under dead load alone, down on the support positive.

    Returns
    -------
    float or array [lbf]
        At least 1 lbf, so that a support without dead load shows any uplift as a failure.

    Notes
    -----
    Valid for: any reaction.
    Differs from the source: the floor of 1 lbf.
    """
    return maximum(R_D, 1 * lbf)


@formula(
    "R_up",
    "lbf",
    source="mechanics, statics",
    R_hold="lbf",
    R="lbf",
    valid={"R_hold": (None, None), "R": (None, None)},
)
def uplift_of_variable_loads(R_hold, R):  # type: ignore[no-untyped-def]
    """Uplift that the loads other than dead load make at a support.

    Parameters
    ----------
    R_hold : float or array [lbf]
        Dead load that holds the support down.
    R : float or array [lbf]
        Reaction in the case, down on the support positive.

    Returns
    -------
    float or array [lbf]
        Zero or more; more than R_hold when the reaction pulls.

    Notes
    -----
    Valid for: cases in which dead load counts in full.
    Differs from the source: nothing.
    """
    return maximum(R_hold - R, 0 * lbf)


@step(
    "the factors of dead load alone",
    lambda groups, factors: [(f"k_{place}", "") for place in range(len(factors))],
)
def _dead_alone(groups: tuple[Group, ...], factors: tuple[Any, ...]) -> tuple[Any, ...]:
    return tuple(
        factor * float(group.source == "D") for group, factor in zip(groups, factors, strict=True)
    )


def uplift_check(bent: Bent, place: int, held_down: bool = False) -> Check:
    """Return the check that no combination lifts a member off one of its supports.

    Parameters
    ----------
    bent : Bent
    place : int
        Which support.
    held_down : bool
        Whether something is said to hold it down: its capacity is then what stands open.
    """
    name = bent.model.support_names[place]
    dead = _dead_alone(bent.strength.groups, bent.strength.factors)
    R_D, *_ = reaction(bent.solution, place, bent.model, dead)
    R_hold = holding_down(R_D)
    where = name.replace("_", " ")
    return check(
        bent.settings.id_of(f"uplift.{name.replace(' ', '_')}"),
        bent.settings.title("Uplift", f" at {where}"),
        "mechanics, statics: supports push and do not pull",
        uplift_of_variable_loads(R_hold, bent.reactions[place]),
        R_hold,
        cases=bent.strength.names,
        notes=("The dead-load reaction must outweigh the uplift of live load on other spans.",),
        questions=(
            (
                f"{bent.settings.name.capitalize()} is said to be held down at {where}: what "
                "holds it, and its capacity, are to be verified.",
            )
            if held_down
            else ()
        ),
    )
