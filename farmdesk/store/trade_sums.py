"""Orders, deliveries, invoices and picks as single rows for whole lists and exports."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, NamedTuple

from sqlalchemy import Select, bindparam, case, func, literal_column, select

from farmdesk.domain.cells import maker_of
from farmdesk.domain.harvest import Pick
from farmdesk.store.schema import TABLES
from farmdesk.store.transaction import Reading

_CUSTOMER = TABLES["customer"].c
_DELIVERY = TABLES["delivery"].c
_INVOICE = TABLES["invoice"].c
_LINE = TABLES["delivery_line"].c
_ORDER = TABLES["order"].c
_ORDER_LINE = TABLES["order_line"].c
_PICK = TABLES["pick"].c
_PRODUCT = TABLES["product"].c

_ZERO: Any = literal_column("0")


class OrderSum(NamedTuple):
    """An order with its lines counted."""

    id: int
    name: str
    customer: str
    taken_on: str
    due_on: str
    status: str
    lines: int


class DeliverySum(NamedTuple):
    """A delivery's line totals one by one, with its invoice's name; sums are made of Decimals."""

    id: int
    name: str
    customer: str
    delivered_on: str
    order: str | None
    invoice: str | None
    total: str | None
    mass_mg: int


class InvoiceLine(NamedTuple):
    """An invoice as it stands in the list; amounts as the text they are kept in."""

    id: int
    name: str
    customer: str
    delivery: str
    issued_on: str
    due_on: str
    net: str
    tax: str
    total: str
    paid_on: str | None


def orders_summed(reading: Reading) -> list[OrderSum]:
    """Orders, the latest due first."""
    return [OrderSum._make(row) for row in reading.rows("orders_summed", _orders_summed)]


def deliveries_in_lines(reading: Reading) -> Iterator[DeliverySum]:
    """Deliveries, newest first, a row for each line, read as they are asked for."""
    return (DeliverySum._make(row) for row in reading.stream(_deliveries_in_lines()))


def invoices_listed(reading: Reading) -> Iterator[InvoiceLine]:
    """Invoices, newest first, read as they are asked for: ten years of them are many."""
    return (InvoiceLine._make(row) for row in reading.stream(_invoices_listed()))


def picks_since(reading: Reading, since: str, limit: int) -> list[Pick]:
    """Picks from an instant on, newest first, at most so many."""
    make = maker_of(Pick)
    rows = reading.rows("picks_since", _picks_since, since=since, most=limit)
    return [make(tuple(row)) for row in rows]


def _orders_summed() -> Select[Any]:
    lines = (
        select(func.count())
        .select_from(TABLES["order_line"])
        .where(_ORDER_LINE.order == _ORDER.id)
        .scalar_subquery()
    )
    return (
        select(
            _ORDER.id,
            _ORDER.name,
            _CUSTOMER.name,
            _ORDER.taken_on,
            _ORDER.due_on,
            _ORDER.status,
            lines,
        )
        .select_from(TABLES["order"])
        .join(TABLES["customer"], _CUSTOMER.id == _ORDER.customer)
        .order_by(_ORDER.due_on.desc(), _ORDER.id.desc())
    )


def _deliveries_in_lines() -> Select[Any]:
    packed_mg = _LINE["count"] * func.coalesce(_PRODUCT.pack_mg, _ZERO)
    mass_mg = case((_LINE.amount_mg > _ZERO, _LINE.amount_mg), else_=packed_mg)
    return (
        select(
            _DELIVERY.id,
            _DELIVERY.name,
            _CUSTOMER.name,
            _DELIVERY.delivered_on,
            _ORDER.name,
            _INVOICE.name,
            _LINE.total,
            func.coalesce(mass_mg, _ZERO),
        )
        .select_from(TABLES["delivery"])
        .join(TABLES["customer"], _CUSTOMER.id == _DELIVERY.customer)
        .outerjoin(TABLES["order"], _ORDER.id == _DELIVERY.order)
        .outerjoin(TABLES["invoice"], _INVOICE.delivery == _DELIVERY.id)
        .outerjoin(TABLES["delivery_line"], _LINE.delivery == _DELIVERY.id)
        .outerjoin(TABLES["product"], _PRODUCT.id == _LINE.product)
        .order_by(_DELIVERY.delivered_on.desc(), _DELIVERY.id.desc(), _LINE.id)
    )


def _invoices_listed() -> Select[Any]:
    return (
        select(
            _INVOICE.id,
            _INVOICE.name,
            _CUSTOMER.name,
            _DELIVERY.name,
            _INVOICE.issued_on,
            _INVOICE.due_on,
            _INVOICE.net,
            _INVOICE.tax,
            _INVOICE.total,
            _INVOICE.paid_on,
        )
        .select_from(TABLES["invoice"])
        .join(TABLES["customer"], _CUSTOMER.id == _INVOICE.customer)
        .join(TABLES["delivery"], _DELIVERY.id == _INVOICE.delivery)
        .order_by(_INVOICE.issued_on.desc(), _INVOICE.id.desc())
    )


def _picks_since() -> Select[Any]:
    return (
        select(TABLES["pick"])
        .where(_PICK.picked_at >= bindparam("since"))
        .order_by(_PICK.picked_at.desc(), _PICK.id.desc())
        .limit(bindparam("most"))
    )
