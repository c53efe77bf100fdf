"""Batches with their bags counted: by stage, contaminated and slow ones, rooms and last looks."""

from __future__ import annotations

from typing import Any, NamedTuple

from sqlalchemy import Select, and_, case, func, or_, select

from farmdesk.domain.bags import Batch
from farmdesk.domain.cells import maker_of
from farmdesk.domain.stages import ALIVE, COLONISED, DISCARDED, INCUBATING
from farmdesk.store.schema import TABLES
from farmdesk.store.transaction import Reading

_BAG = TABLES["bag"].c
_BATCH = TABLES["batch"]
_REASON = TABLES["reason"].c
_GROWING_IN = (INCUBATING, COLONISED)


class BagGroup(NamedTuple):
    """Bags of one batch in one stage and room; `looked_on` is the oldest look, '' for never."""

    batch: int
    stage: str
    room: int | None
    bags: int
    contaminated: int
    slow: int
    looked_on: str


def batches_growing_in(reading: Reading) -> list[Batch]:
    """Batches of which at least one bag still incubates or waits to be opened, oldest first."""
    make = maker_of(Batch)
    return [make(row) for row in reading.rows("batches_growing_in", _select_growing)]


def groups_of_batches(reading: Reading, *, growing_in: bool) -> list[BagGroup]:
    """The bags of those batches, or of all batches, in groups."""
    rows = reading.rows(("bag_groups", growing_in), lambda: _select_groups(growing_in))
    return [BagGroup._make(row) for row in rows]


def _growing() -> Select[Any]:
    return select(_BAG.batch).where(or_(*[_BAG.stage == one for one in _GROWING_IN])).distinct()


def _select_growing() -> Select[Any]:
    return select(_BATCH).where(_BATCH.c.id.in_(_growing())).order_by(_BATCH.c.id)


def _select_groups(growing_in: bool) -> Select[Any]:
    bad = and_(_BAG.stage == DISCARDED, _REASON.contamination == 1)
    slow = and_(_BAG.slow == 1, or_(*[_BAG.stage == one for one in ALIVE]))
    statement = (
        select(
            _BAG.batch,
            _BAG.stage,
            _BAG.room,
            func.count(),
            func.sum(case((bad, 1), else_=0)),
            func.sum(case((slow, 1), else_=0)),
            func.min(func.coalesce(_BAG.looked_on, "")),
        )
        .select_from(TABLES["bag"].outerjoin(TABLES["reason"], _REASON.id == _BAG.reason))
        .group_by(_BAG.batch, _BAG.stage, _BAG.room)
        .order_by(_BAG.batch)
    )
    return statement.where(_BAG.batch.in_(_growing())) if growing_in else statement
