"""What stands where now: live bags counted by room, shelf, batch and stage."""

from __future__ import annotations

from typing import Any, NamedTuple

from sqlalchemy import Select, func, select

from farmdesk.domain.stages import ALIVE
from farmdesk.store.schema import TABLES
from farmdesk.store.transaction import Reading

_BAG, _BATCH, _STRAIN = (TABLES[kind].c for kind in ("bag", "batch", "strain"))


class Standing(NamedTuple):
    """Bags of a batch that stand together in one stage; `room` none: nobody knows where."""

    room: int | None
    shelf: str
    batch: int
    name: str
    species: int
    inoculated_on: str
    stage: str
    bags: int


def bags_by_shelf(reading: Reading) -> list[Standing]:
    """Live bags by room, shelf, batch and stage, the oldest batch first."""
    return [Standing._make(row) for row in reading.run(_bags_by_shelf())]


def _bags_by_shelf() -> Select[Any]:
    parts = (
        _BAG.room, _BAG.shelf, _BATCH.id, _BATCH.name, _STRAIN.species, _BATCH.inoculated_on,
        _BAG.stage,
    )  # fmt: skip
    return (
        select(*parts, func.count())
        .join_from(TABLES["bag"], TABLES["batch"], _BATCH.id == _BAG.batch)
        .join(TABLES["strain"], _STRAIN.id == _BATCH.strain)
        .where(_BAG.stage.in_(ALIVE))
        .group_by(*parts)
        .order_by(_BATCH.inoculated_on, _BATCH.id, _BAG.stage)
    )


def bags_in_place(reading: Reading, *, room: int, shelf: str, batch: int, stage: str) -> list[int]:
    """Ids of the bags of a batch that stand on a shelf ('': on none) of a room, in one stage."""
    statement = (
        select(_BAG.id)
        .where(_BAG.room == room, _BAG.shelf == shelf, _BAG.batch == batch, _BAG.stage == stage)
        .order_by(_BAG.number)
    )
    return [row[0] for row in reading.run(statement)]
