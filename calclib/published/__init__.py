"""Published numbers, each with its source and how far it is verified.

One CSV file holds one printed table and edition, its rows in printed order; ``README.md`` beside
them says what is left out and where the tables differ from print.
"""

from __future__ import annotations

from calclib.published.lookup import (
    STATUSES,
    Cell,
    Row,
    Table,
    choices,
    describe,
    find,
    matching,
    rows,
    tables,
)
from calclib.published.lumber import (
    Candidates,
    SawnLumber,
    row_index,
    sawn_lumber,
    size_factor_rows,
    size_rows,
)
from calclib.published.stock import Size, composite, glulam, live_load, nominal_size, weight

__all__ = [
    "STATUSES",
    "Candidates",
    "Cell",
    "Row",
    "SawnLumber",
    "Size",
    "Table",
    "choices",
    "composite",
    "describe",
    "find",
    "glulam",
    "live_load",
    "matching",
    "nominal_size",
    "row_index",
    "rows",
    "sawn_lumber",
    "size_factor_rows",
    "size_rows",
    "tables",
    "weight",
]
