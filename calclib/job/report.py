"""The checks of a solved job as a table for the terminal and as JSON for machines."""

from __future__ import annotations

import json
import math
from typing import TYPE_CHECKING, Any

from calclib import units
from calclib.trace.check import ratio_text

if TYPE_CHECKING:
    from calclib.job.solve import Solved
    from calclib.trace import Check, Condition, Value

STATE_WORDS = {"passes": "passes", "fails": "FAILS", "open": "OPEN"}


def shown(value: Value | None, case: int | None, si: bool) -> str:
    """Return a demand or capacity with its unit, in the units of the job."""
    if value is None:
        return "not given"
    unit = units.si_unit(value.unit) if si else value.unit
    return units.show(value.at(case), unit)


def as_table(solved: Solved) -> str:
    """Return the checks as a readable table, worst first, and the verdict below."""
    si = solved.job.title_block["units"] == "SI"
    head = ("member", "check", "case", "demand", "capacity", "utilization", "state")
    rows = [head]
    for check in solved.checks:
        worst = "-" if check.ratio is None else ratio_text(check.worst)
        rows.append(
            (
                check.id.split("/")[1],
                check.title,
                check.case_name or "-",
                shown(check.demand, check.case, si),
                shown(check.capacity, check.case, si),
                worst,
                STATE_WORDS[check.state],
            )
        )
    wide = [max(len(row[i]) for row in rows) for i in range(len(head))]
    right = {3, 4, 5}
    lines = [
        "  ".join(
            cell.rjust(w) if i in right else cell.ljust(w)
            for i, (cell, w) in enumerate(zip(row, wide, strict=True))
        ).rstrip()
        for row in rows
    ]
    lines.insert(1, "  ".join("-" * w for w in wide))
    block = solved.job.title_block
    lines.insert(0, f"{block['number']} rev. {block['revision']}: {block['title']}\n")
    open_lines = [
        f"open: {question}\n      ({', '.join(check.title for check in checks)})"
        for question, checks in open_questions(solved).items()
    ]
    return "\n".join([*lines, "", *open_lines, "", verdict(solved)])


def open_questions(solved: Solved) -> dict[str, list[Check]]:
    """Return each open question once, with the checks that it keeps open."""
    found: dict[str, list[Check]] = {}
    for check in solved.checks:
        for question in check.questions:
            found.setdefault(question, []).append(check)
    return found


def verdict(solved: Solved) -> str:
    """Return the count of checks by state in one sentence."""
    states = [check.state for check in solved.checks]
    return (
        f"{len(states)} checks: {states.count('fails')} fail, {states.count('open')} open, "
        f"{states.count('passes')} pass. An engineer reviews the sheet before any work."
    )


def as_json(solved: Solved) -> str:
    """Return the checks as JSON; docs/check-json.md holds the schema."""
    block = solved.job.title_block
    return json.dumps(
        {
            "format": 1,
            "job": block["number"],
            "revision": block["revision"],
            "checks": [_record(check) for check in solved.checks],
        },
        indent=2,
        ensure_ascii=False,
        allow_nan=False,
    )


def _record(check: Check) -> dict[str, Any]:
    stage, member, _ = check.id.split("/", 2)
    return {
        "id": check.id,
        "stage": stage,
        "member": member,
        "title": check.title,
        "clause": check.clause,
        "combination": check.case_name or None,
        "demand": _number(check.demand, check),
        "capacity": _number(check.capacity, check),
        "unit": check.demand.unit if check.demand is not None else "",
        "utilization": _finite(check.worst),
        "state": check.state,
        "passes": {"passes": True, "fails": False, "open": None}[check.state],
        "conditions": [
            {
                "text": condition.text,
                "source": condition.source,
                "ratio": _finite(condition.ratio.at(_case_of(condition, check))),
                "met": condition.ratio.at(_case_of(condition, check)) <= 1,
            }
            for condition in check.conditions
        ],
        "open_questions": list(check.questions),
    }


def _case_of(condition: Condition, check: Check) -> int | None:
    return check.case if getattr(condition.ratio.number, "ndim", 0) else None


def _finite(number: float) -> float | None:
    return float(f"{number:.9e}") if math.isfinite(number) else None


def _number(value: Value | None, check: Check) -> float | None:
    if value is None:
        return None
    return _finite(value.at(check.case) / units.factor(value.unit))
