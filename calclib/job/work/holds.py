"""Hold points and cautions by stage of the work."""

from __future__ import annotations

from dataclasses import dataclass

from calclib import published
from calclib.errors import InputError, message

STAGES = (
    "before work",
    "shoring up",
    "wall out",
    "lift",
    "beam up",
    "posts in",
    "joists hung",
    "shoring out",
)


@dataclass(frozen=True)
class HoldPoint:
    """What must be true before a stage goes on, or what is to be watched in it.

    Attributes
    ----------
    id : str
    stage : str
    kind : str
        "hold point" or "caution".
    text : str
        Short and imperative.
    clause : str
        The clause that asks for it, or "common practice".
    source, status : str
        Where it was read, and how far that is verified.
    """

    id: str
    stage: str
    kind: str
    text: str
    clause: str
    source: str
    status: str


def hold_points(stage: str, year_built: int | None = None) -> tuple[HoldPoint, ...]:
    """Return the hold points and cautions of a stage.

    Parameters
    ----------
    stage : str
        One of `STAGES`.
    year_built : int, optional
        Of the house; when it is not known, what holds for old houses is listed too.

    Returns
    -------
    tuple of HoldPoint

    Raises
    ------
    InputError
        For another stage.

    Examples
    --------
    >>> [point.text for point in hold_points("lift") if point.kind == "caution"][0]
    'Let no one stand under the load.'
    """
    if stage not in STAGES:
        needs = "one of " + ", ".join(STAGES)
        raise InputError(message("stage of the work", needs, f'"{stage}"'))
    found = []
    for number, row in enumerate(published.rows("hold-points"), start=1):
        before = row.values["built_before"]
        old_only = isinstance(before, float)
        if row.text("stage") != stage:
            continue
        if old_only and year_built is not None and year_built >= row.number("built_before"):
            continue
        found.append(
            HoldPoint(
                f"hold-points/{number}",
                stage,
                row.text("kind"),
                row.text("text"),
                row.text("clause"),
                row.source,
                row.status,
            )
        )
    return tuple(found)
