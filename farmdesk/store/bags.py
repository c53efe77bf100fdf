"""Questions about bags: those of a batch or room, and how long their species incubates."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from sqlalchemy import Select, bindparam, func, select

from farmdesk.domain.bags import Bag
from farmdesk.domain.cells import maker_of
from farmdesk.domain.stages import ALIVE
from farmdesk.store.schema import TABLES
from farmdesk.store.transaction import Reading

_BAG = TABLES["bag"]
_BATCH = TABLES["batch"]


def bags_in(
    reading: Reading,
    *,
    batch: int | None = None,
    room: int | None = None,
    stages: Sequence[str] = ALIVE,
) -> list[Bag]:
    """The bags of a batch, a room or both, in these stages, by batch and number."""
    wanted = {
        name: value for name, value in (("batch", batch), ("room", room)) if value is not None
    }
    names, kept = tuple(wanted), tuple(stages)
    values = {f"w_{name}": value for name, value in wanted.items()}
    rows = reading.rows(("bags_in", names, kept), lambda: _select_bags(names, kept), **values)
    make = maker_of(Bag)
    return [make(row) for row in rows]


def count_stages(reading: Reading, batch: int) -> dict[str, int]:
    """How many bags of a batch are in each stage."""
    rows = reading.rows(("count_stages",), _count_stages, w_batch=batch)
    return {row[0]: int(row[1]) for row in rows}


def shortest_incubation(reading: Reading, batch: int) -> int:
    """The species' shortest incubation in days, for a batch."""
    rows = reading.rows(("shortest_incubation",), _select_shortest, w_batch=batch)
    return int(rows[0][0]) if rows else 0


def _select_bags(names: tuple[str, ...], stages: tuple[str, ...]) -> Select[Any]:
    statement = select(_BAG).where(_BAG.c.stage.in_([bindparam(None, one) for one in stages]))
    for name in names:
        statement = statement.where(_BAG.c[name] == bindparam(f"w_{name}"))
    return statement.order_by(_BAG.c.batch, _BAG.c.number)


def _count_stages() -> Select[Any]:
    return (
        select(_BAG.c.stage, func.count())
        .where(_BAG.c.batch == bindparam("w_batch"))
        .group_by(_BAG.c.stage)
    )


def _select_shortest() -> Select[Any]:
    strain, species = TABLES["strain"], TABLES["species"]
    return (
        select(species.c.incubation_days_low)
        .join(strain, strain.c.species == species.c.id)
        .join(_BATCH, _BATCH.c.strain == strain.c.id)
        .where(_BATCH.c.id == bindparam("w_batch"))
    )
