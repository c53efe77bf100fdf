"""Questions of the lab: what became of a heat run, and which labels were printed before."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from sqlalchemy import Select, bindparam, func, select

from farmdesk.store.schema import TABLES
from farmdesk.store.transaction import Reading

_AT_ONCE = 500
_BATCH = TABLES["batch"].c
_LINK = TABLES["link"].c
_PRINTING = TABLES["printing"].c


def blocks_taken_from(reading: Reading, run: int) -> int:
    """How many blocks of a heat run have been inoculated."""
    rows = reading.rows("blocks_taken_from", _blocks_taken_from, run=run)
    return int(rows[0][0])


def parents_of(reading: Reading, child: int) -> list[int]:
    """The ids that a thing was made from, in order."""
    return [row[0] for row in reading.rows("parents_of", _parents_of, child=child)]


def printed_before(reading: Reading, ids: Iterable[int]) -> set[int]:
    """Those of these things that have had a label before."""
    wanted: Sequence[int] = list(ids)
    found: set[int] = set()
    for at in range(0, len(wanted), _AT_ONCE):
        part = wanted[at : at + _AT_ONCE]
        statement = select(_PRINTING.subject).where(_PRINTING.subject.in_(part)).distinct()
        found.update(row[0] for row in reading.run(statement))
    return found


def _blocks_taken_from() -> Select[Any]:
    return select(func.coalesce(func.sum(_BATCH.made), 0)).where(_BATCH.run == bindparam("run"))


def _parents_of() -> Select[Any]:
    return select(_LINK.parent).where(_LINK.child == bindparam("child")).order_by(_LINK.parent)
