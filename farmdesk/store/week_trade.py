"""What was sold in a span of days, line by line: to whom, by which channel, of which species."""

from __future__ import annotations

from decimal import Decimal
from typing import Any, NamedTuple

from sqlalchemy import Select, and_, bindparam, case, func, literal_column, select

from farmdesk.store.schema import TABLES
from farmdesk.store.transaction import Reading

_CREDIT = TABLES["credit_note"].c
_CUSTOMER = TABLES["customer"].c
_DELIVERY = TABLES["delivery"].c
_LINE = TABLES["delivery_line"].c
_PICK = TABLES["pick"].c
_PRODUCT = TABLES["product"].c
_ZERO: Any = literal_column("0")


class TradeLine(NamedTuple):
    """One line delivered, at a market too; `total` is before tax."""

    day: str
    customer: str
    channel: str
    product: str
    species: int | None
    mass_mg: int
    total: Decimal
    packs: int = 0


def lines_sold(reading: Reading, first: str, last: str) -> list[TradeLine]:
    """Delivered lines from a day to another, both counted."""
    return [
        TradeLine._make((*row[:5], int(row[5]), Decimal(row[6]), int(row[7])))
        for row in reading.rows("trade_delivered", _delivered, first=first, last=last)
    ]


def credited_between(reading: Reading, first: str, last: str) -> tuple[int, Decimal]:
    """(count, net amount) of the credit notes issued from a day to another, both counted."""
    rows = reading.rows("trade_credited", _credited, first=first, last=last)
    return len(rows), sum((Decimal(row[0]) for row in rows), Decimal(0))


def _in_days(column: Any) -> Any:
    return and_(column >= bindparam("first"), column <= bindparam("last"))


def _delivered() -> Select[Any]:
    packed_mg = _LINE["count"] * func.coalesce(_PRODUCT.pack_mg, _ZERO)
    return (
        select(
            _DELIVERY.delivered_on,
            _CUSTOMER.name,
            _CUSTOMER.channel,
            _PRODUCT.name,
            func.coalesce(_PICK.species, _PRODUCT.species),
            case((_LINE.amount_mg > _ZERO, _LINE.amount_mg), else_=packed_mg),
            _LINE.total,
            _LINE["count"],
        )
        .select_from(TABLES["delivery"])
        .join(TABLES["delivery_line"], _LINE.delivery == _DELIVERY.id)
        .join(TABLES["customer"], _CUSTOMER.id == _DELIVERY.customer)
        .join(TABLES["product"], _PRODUCT.id == _LINE.product)
        .outerjoin(TABLES["pick"], _PICK.id == _LINE.lot)
        .where(_in_days(_DELIVERY.delivered_on))
        .order_by(_DELIVERY.delivered_on, _LINE.id)
    )


def _credited() -> Select[Any]:
    return select(_CREDIT.net).where(_in_days(_CREDIT.issued_on)).order_by(_CREDIT.id)
