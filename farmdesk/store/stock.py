"""Questions about where harvest lots went: packed, sold, given, used, wasted, dried, on hand."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, NamedTuple

from sqlalchemy import Select, bindparam, func, literal_column, select

from farmdesk.store.schema import TABLES
from farmdesk.store.transaction import Reading

_PICK, _PACK, _LINE, _REMOVAL, _REASON, _LINK, _SPECIES = (
    TABLES[kind].c
    for kind in ("pick", "pack", "delivery_line", "removal", "reason", "link", "species")
)
_ZERO: Any = literal_column("0")


class PickedLot(NamedTuple):
    """A weighed pick and what is left of it."""

    id: int
    name: str
    species: str
    picked_at: str
    net_mg: int
    left_mg: int
    shelf_on: str | None
    tare_mg: int | None = None


@dataclass(frozen=True)
class Gone:
    """Milligrams that left a lot one way: 'sold', 'packed', or the use of a reason."""

    lot: int
    way: str
    amount_mg: int


def picks_between(reading: Reading, start: str, end: str) -> list[PickedLot]:
    """Weighed picks from an instant to before another, and every one with something left."""
    rows = reading.rows("picks_between", _picks_between, start=start, end=end)
    return [PickedLot._make(row) for row in rows]


def gone_from_lots(reading: Reading, start: str, end: str) -> list[Gone]:
    """What left the picks of that time, and those with something left, summed by way."""
    values = {"start": start, "end": end}
    found = [
        Gone(row[0], "sold", int(row[1])) for row in reading.rows("lots_sold", _lots_sold, **values)
    ]
    found += [
        Gone(row[0], "packed", int(row[1]))
        for row in reading.rows("lots_packed", _lots_packed, **values)
    ]
    found += [
        Gone(row[0], row[1], int(row[2]))
        for row in reading.rows("lots_removed", _lots_removed, **values)
    ]
    return found


def _wanted() -> Any:
    of_time = (_PICK.picked_at >= bindparam("start")) & (_PICK.picked_at < bindparam("end"))
    return _PICK.net_mg.is_not(None) & (of_time | (_PICK.left_mg > _ZERO))


def _picks_between() -> Select[Any]:
    return (
        select(
            _PICK.id,
            _PICK.name,
            _SPECIES.name,
            _PICK.picked_at,
            _PICK.net_mg,
            _PICK.left_mg,
            _PICK.shelf_on,
            _PICK.tare_mg,
        )
        .join_from(TABLES["pick"], TABLES["species"], _SPECIES.id == _PICK.species)
        .where(_wanted())
        .order_by(_PICK.picked_at, _PICK.id)
    )


def _lots_sold() -> Select[Any]:
    return (
        select(_PICK.id, func.sum(_LINE.amount_mg))
        .join_from(TABLES["pick"], TABLES["delivery_line"], _LINE.lot == _PICK.id)
        .where(_wanted())
        .group_by(_PICK.id)
        .order_by(_PICK.id)
    )


def _lots_packed() -> Select[Any]:
    return (
        select(_PICK.id, func.sum(_LINK.amount_mg))
        .join_from(TABLES["pick"], TABLES["link"], _LINK.parent == _PICK.id)
        .join(TABLES["pack"], _PACK.id == _LINK.child)
        .where(_wanted())
        .group_by(_PICK.id)
        .order_by(_PICK.id)
    )


def _lots_removed() -> Select[Any]:
    return (
        select(_PICK.id, _REASON.use, func.sum(_REMOVAL.amount_mg))
        .join_from(TABLES["pick"], TABLES["removal"], _REMOVAL.lot == _PICK.id)
        .join(TABLES["reason"], _REASON.id == _REMOVAL.reason)
        .where(_wanted())
        .group_by(_PICK.id, _REASON.use)
        .order_by(_PICK.id, _REASON.use)
    )
