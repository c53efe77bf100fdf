"""What was sold in a span of days, line by line: to whom, by which channel, of which species."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from typing import Any, NamedTuple

from sqlalchemy import Select, and_, bindparam, case, func, literal_column, select

from farmdesk.quantities.mass import mg_from
from farmdesk.store.schema import TABLES
from farmdesk.store.transaction import Reading

_CREDIT = TABLES["credit_note"].c
_CUSTOMER = TABLES["customer"].c
_DAY = TABLES["market_day"].c
_DELIVERY = TABLES["delivery"].c
_LINE = TABLES["delivery_line"].c
_MARKET = TABLES["market_line"].c
_PICK = TABLES["pick"].c
_PRODUCT = TABLES["product"].c
_ZERO: Any = literal_column("0")


class TradeLine(NamedTuple):
    """One line delivered or sold at a market; `total` is before tax for deliveries."""

    day: str
    customer: str
    channel: str
    product: str
    species: int | None
    mass_mg: int
    total: Decimal


def lines_sold(reading: Reading, first: str, last: str) -> list[TradeLine]:
    """Delivered lines and market lines from a day to another, both counted."""
    delivered = [
        TradeLine._make((*row[:5], int(row[5]), Decimal(row[6])))
        for row in reading.rows("trade_delivered", _delivered, first=first, last=last)
    ]
    at_markets = [
        TradeLine._make((*row[:5], _mass(row[5], row[6], row[7]), _before_tax(row[8], row[9])))
        for row in reading.rows("trade_at_markets", _at_markets, first=first, last=last)
    ]
    return delivered + at_markets


def credited_between(reading: Reading, first: str, last: str) -> tuple[int, Decimal]:
    """(count, net amount) of the credit notes issued from a day to another, both counted."""
    rows = reading.rows("trade_credited", _credited, first=first, last=last)
    return len(rows), sum((Decimal(row[0]) for row in rows), Decimal(0))


def _mass(unit: str, sold: str, pack_mg: int) -> int:
    """The mass of what a market sold: `sold` kilograms, pounds or packs."""
    amount = Fraction(sold)
    return round(amount * pack_mg) if unit == "pack" else mg_from(amount, unit)


def _before_tax(total: str, tax_percent: str) -> Decimal:
    """A market's prices hold the tax; a delivery's do not."""
    return (Decimal(total) * 100 / (100 + Decimal(tax_percent))).quantize(Decimal("0.0001"))


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
        )
        .select_from(TABLES["delivery"])
        .join(TABLES["delivery_line"], _LINE.delivery == _DELIVERY.id)
        .join(TABLES["customer"], _CUSTOMER.id == _DELIVERY.customer)
        .join(TABLES["product"], _PRODUCT.id == _LINE.product)
        .outerjoin(TABLES["pick"], _PICK.id == _LINE.lot)
        .where(_in_days(_DELIVERY.delivered_on))
        .order_by(_DELIVERY.delivered_on, _LINE.id)
    )


def _at_markets() -> Select[Any]:
    return (
        select(
            _DAY.held_on,
            _CUSTOMER.name,
            _CUSTOMER.channel,
            _PRODUCT.name,
            func.coalesce(_PICK.species, _PRODUCT.species),
            _MARKET.unit,
            _MARKET.sold,
            func.coalesce(_PRODUCT.pack_mg, _ZERO),
            _MARKET.total,
            _MARKET.tax_percent,
        )
        .select_from(TABLES["market_day"])
        .join(TABLES["market_line"], _MARKET.market_day == _DAY.id)
        .join(TABLES["customer"], _CUSTOMER.id == _DAY.customer)
        .join(TABLES["product"], _PRODUCT.id == _MARKET.product)
        .outerjoin(TABLES["pick"], _PICK.id == _MARKET.lot)
        .where(_in_days(_DAY.held_on))
        .order_by(_DAY.held_on, _MARKET.id)
    )


def _credited() -> Select[Any]:
    return select(_CREDIT.net).where(_in_days(_CREDIT.issued_on)).order_by(_CREDIT.id)
