"""What carries the loads on below the beams: posts, walls, footings, the ground."""

from __future__ import annotations

from collections.abc import Iterator

from calclib import published
from calclib.job.carry import Flow
from calclib.job.contents import Section
from calclib.job.member import LoadRow, groups, load_on_post
from calclib.job.schema import called
from calclib.loads import case_set
from calclib.trace import Check, Value, check


def below_checks(flow: Flow, section: Section) -> Iterator[Check]:
    """Yield the checks of a post, wall or footing.

    Parameters
    ----------
    flow : Flow
    section : Section
    """
    if section.kind == "posts":
        yield _post_check(flow, section)
    elif section.kind == "footings":
        yield _footing_check(flow, section)


def sum_over_cases(
    landed: tuple[LoadRow, ...], name: str, edition: str
) -> tuple[Value | None, tuple[str, ...]]:
    """Return the sum of point loads in each load case, and the cases' names."""
    if not landed:
        return None, ()
    combined = case_set(edition, groups(landed, 1), ("",))
    sources = tuple(group.source for group in combined.groups)
    sizes = tuple(
        tuple(
            row.size
            for row in landed
            if row.source == group.source and (group.source == "D" or row.way == group.name)
        )
        for group in combined.groups
    )
    (load,) = load_on_post(name, sources, sizes, combined.factors)
    return load, combined.names


def _post_check(flow: Flow, section: Section) -> Check:
    path, words = section.path, section.words
    size = published.nominal_size(words["size"])
    edition = flow.house.job.title_block["load_standard"]
    demand, cases = sum_over_cases(flow.landed[path], called(path), edition)
    return check(
        f"{flow.state.key}/{path}/axial",
        f"Load on {called(path)}",
        "NDS 2018 3.6, 3.7",
        demand,
        None,
        cases=cases,
        questions=(
            f"{called(path).capitalize()} ({words['size']}, {size.b_in:g} in by "
            f"{size.d_in:g} in): its capacity as a column, what it stands on and the ground below "
            "are not calculated here; the engineer is to check them for this load.",
        ),
    )


def _footing_check(flow: Flow, section: Section) -> Check:
    path = section.path
    edition = flow.house.job.title_block["load_standard"]
    rows = tuple(row for row in flow.landed[path] if row.end is None)
    demand, cases = sum_over_cases(rows, called(path), edition)
    return check(
        f"{flow.state.key}/{path}/soil",
        f"Load on {called(path)}",
        "IRC R401.4.1, R403.1",
        demand,
        None,
        cases=cases,
        questions=(
            f"{called(path).capitalize()}: its size, its concrete and the soil below are not "
            "checked here; the engineer is to check them for this load.",
        ),
    )
