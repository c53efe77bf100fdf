"""Some columns of a table, where paper is narrower than a sheet."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from farmdesk.paper.tables import Table


def choose_columns(
    table: Table, keys: Sequence[str], rows: Iterable[Sequence[object]] | None = None
) -> Table:
    """The table with just these columns, in this order; of other `rows` when they are given."""
    places = [[column.key for column in table.columns].index(key) for key in keys]
    totals = table.totals
    return replace(
        table,
        columns=[table.columns[at] for at in places],
        rows=(tuple(row[at] for at in places) for row in (table.rows if rows is None else rows)),
        totals=None if totals is None else [totals[at] for at in places],
    )
