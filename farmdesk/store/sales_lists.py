"""Orders, deliveries and invoices as lists show them: what is open and the newest of the rest."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, TypeVar

from sqlalchemy import Select, func, or_, select

from farmdesk.domain.cells import Thing
from farmdesk.domain.things import KIND_OF
from farmdesk.domain.trade import Delivery, DeliveryLine, Invoice, Order, OrderLine
from farmdesk.quantities.weeks import IsoWeek
from farmdesk.store.sales import Delivered
from farmdesk.store.schema import TABLES
from farmdesk.store.transaction import Reading

T = TypeVar("T", bound=Thing)
_AT_ONCE = 500


def newest_orders(reading: Reading, most: int) -> list[Order]:
    """Open orders by the day they are due, then the newest of the others."""
    orders = TABLES["order"]
    is_open = orders.c.status == "open"
    found = reading.select(Order, select(orders).where(is_open).order_by(orders.c.due_on))
    rest = select(orders).where(~is_open).order_by(orders.c.id.desc()).limit(most)
    return [*found, *reading.select(Order, rest)]


def newest_deliveries(reading: Reading, most: int) -> list[Delivery]:
    """The newest deliveries, and any that an unpaid invoice is about."""
    deliveries, invoices = TABLES["delivery"], TABLES["invoice"]
    newest = select(deliveries.c.id).order_by(deliveries.c.id.desc()).limit(most)
    unpaid = select(invoices.c.delivery).where(invoices.c.paid_on.is_(None))
    wanted = or_(deliveries.c.id.in_(newest), deliveries.c.id.in_(unpaid))
    statement = select(deliveries).where(wanted).order_by(deliveries.c.id.desc())
    return reading.select(Delivery, statement)


def standing_taken(reading: Reading, first: str, last: str) -> set[tuple[int, int, str]]:
    """(customer, product, ISO week) of orders due in these days that standing orders made."""
    orders, lines = TABLES["order"], TABLES["order_line"]
    statement = (
        select(orders.c.customer, lines.c.product, orders.c.due_on)
        .join_from(orders, lines, lines.c.order == orders.c.id)
        .where(orders.c.standing.is_not(None), orders.c.due_on.between(first, last))
    )
    return {
        (customer, product, str(IsoWeek.of(due_on)))
        for customer, product, due_on in reading.run(statement)
    }


def open_orders(reading: Reading, until: str | None = None) -> list[Order]:
    """Open orders, those due until a day if one is given, by the day they are due."""
    orders = TABLES["order"]
    statement = select(orders).where(orders.c.status == "open")
    if until is not None:
        statement = statement.where(orders.c.due_on <= until)
    return reading.select(Order, statement.order_by(orders.c.due_on, orders.c.id))


def delivered_of_orders(reading: Reading, orders: Iterable[int]) -> dict[int, Delivered]:
    """What went out for each line of these orders; lines of which nothing did are left out."""
    sent, lines = TABLES["delivery_line"], TABLES["order_line"]
    found: dict[int, Delivered] = {}
    wanted = list(orders)
    for at in range(0, len(wanted), _AT_ONCE):
        statement = (
            select(lines.c.id, func.sum(sent.c.amount_mg), func.sum(sent.c["count"]))
            .join_from(sent, lines, lines.c.id == sent.c.order_line)
            .where(lines.c.order.in_(wanted[at : at + _AT_ONCE]))
            .group_by(lines.c.id)
        )
        found |= {row[0]: Delivered(int(row[1]), int(row[2])) for row in reading.run(statement)}
    return found


def invoices_for(reading: Reading, deliveries: Iterable[int]) -> list[Invoice]:
    """The invoices of these deliveries."""
    return _of_many(reading, Invoice, "delivery", deliveries)


def lines_of_orders(reading: Reading, orders: Iterable[int]) -> list[OrderLine]:
    """The lines of these orders, in the order they were entered."""
    return _of_many(reading, OrderLine, "order", orders)


def lines_of_deliveries(reading: Reading, deliveries: Iterable[int]) -> list[DeliveryLine]:
    """The lines of these deliveries, in the order they were entered."""
    return _of_many(reading, DeliveryLine, "delivery", deliveries)


def _of_many(reading: Reading, cls: type[T], field: str, ids: Iterable[int]) -> list[T]:
    table = TABLES[KIND_OF[cls]]
    wanted = list(dict.fromkeys(ids))
    found: list[T] = []
    for at in range(0, len(wanted), _AT_ONCE):
        part = wanted[at : at + _AT_ONCE]
        statement: Select[Any] = select(table).where(table.c[field].in_(part)).order_by(table.c.id)
        found += reading.select(cls, statement)
    return found
