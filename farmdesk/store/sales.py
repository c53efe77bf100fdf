"""Questions about orders, deliveries and invoices."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Select, bindparam, func, select

from farmdesk.domain.harvest import Pack, PackWeight, Pick
from farmdesk.domain.trade import DeliveryLine, Invoice, OrderLine, rest_of
from farmdesk.store.schema import TABLES
from farmdesk.store.transaction import Reading

_DELIVERY, _DELIVERY_LINE, _ORDER_LINE, _PICK, _PACK, _LINK, _WEIGHT = (
    TABLES[kind].c
    for kind in ("delivery", "delivery_line", "order_line", "pick", "pack", "link", "pack_weight")
)


@dataclass(frozen=True)
class Delivered:
    """What of an order line went out so far."""

    amount_mg: int
    count: int


@dataclass(frozen=True)
class PickedInto:
    """A pick that is in a delivered lot: its own name, day and shelf date."""

    pick: int
    name: str
    species: int
    picked_at: str
    shelf_on: str | None


def delivered_of_order(reading: Reading, order: int) -> dict[int, Delivered]:
    """What went out for each line of an order; lines of which nothing did are left out."""
    rows = reading.rows("delivered_of_order", _delivered_of_order, order=order)
    return {row[0]: Delivered(int(row[1]), int(row[2])) for row in rows}


def still_wanted(line: OrderLine, gone: Mapping[int, Delivered]) -> int:
    """What is still to come of a line, mg or packs, after what went out of its order."""
    sent = gone.get(line.id)
    if sent is None:
        return rest_of(line)
    return rest_of(line, sent_mg=sent.amount_mg, sent_packs=sent.count)


def picks_with_stock(reading: Reading, species: int | None) -> list[Pick]:
    """Weighed picks of a species (any when None) of which something is left."""
    statement = select(TABLES["pick"]).where(_PICK.left_mg > 0)
    if species is not None:
        statement = statement.where(_PICK.species == species)
    return reading.select(Pick, statement.order_by(_PICK.id))


def packs_with_stock(reading: Reading, product: int) -> list[Pack]:
    """Packs of a product of which some are left."""
    statement = select(TABLES["pack"]).where(_PACK.product == product, _PACK.left > 0)
    return reading.select(Pack, statement.order_by(_PACK.id))


def weights_left(reading: Reading, pack: int) -> list[PackWeight]:
    """Of packs that were weighed one by one those that are still there, the next first."""
    statement = select(TABLES["pack_weight"]).where(
        _WEIGHT.pack == pack, _WEIGHT.delivery_line.is_(None), _WEIGHT.removal.is_(None)
    )
    return reading.select(PackWeight, statement.order_by(_WEIGHT.number))


def lots_with_stock(reading: Reading) -> list[Pick | Pack]:
    """Every weighed pick and every lot of packs of which something is left."""
    packs = select(TABLES["pack"]).where(_PACK.left > 0).order_by(_PACK.id)
    return [*picks_with_stock(reading, None), *reading.select(Pack, packs)]


def lines_of_delivery(reading: Reading, delivery: int) -> list[DeliveryLine]:
    """The lines of a delivery in the order they were entered."""
    return reading.all(DeliveryLine, delivery=delivery)


def invoice_of(reading: Reading, delivery: int) -> Invoice | None:
    """The invoice of a delivery, or None."""
    return reading.first(Invoice, delivery=delivery)


def last_name(reading: Reading, kind: str) -> str | None:
    """The name of the invoice or credit note with the highest number, or None."""
    names = TABLES[kind].c.name
    statement = select(names).order_by(func.length(names).desc(), names.desc()).limit(1)
    rows = reading.run(statement)
    return rows[0][0] if rows else None


def picks_behind(reading: Reading, lot: int) -> list[PickedInto]:
    """The picks that a lot is, or that were filled into a pack lot."""
    rows = reading.rows("picks_behind", _picks_behind, lot=lot)
    return [PickedInto(*row) for row in rows]


def _delivered_of_order() -> Select[Any]:
    return (
        select(
            _DELIVERY_LINE.order_line,
            func.sum(_DELIVERY_LINE.amount_mg),
            func.sum(_DELIVERY_LINE["count"]),
        )
        .join_from(
            TABLES["delivery_line"],
            TABLES["order_line"],
            _ORDER_LINE.id == _DELIVERY_LINE.order_line,
        )
        .where(_ORDER_LINE.order == bindparam("order"))
        .group_by(_DELIVERY_LINE.order_line)
    )


def _picks_behind() -> Select[Any]:
    filled = select(_LINK.parent).where(_LINK.child == bindparam("lot"))
    return (
        select(_PICK.id, _PICK.name, _PICK.species, _PICK.picked_at, _PICK.shelf_on)
        .where((_PICK.id == bindparam("lot")) | _PICK.id.in_(filled))
        .order_by(_PICK.picked_at, _PICK.id)
    )
