"""What nobody finished yet: bills unpaid, clocks of work that run, goods that run out."""

from __future__ import annotations

from typing import Any, NamedTuple

from sqlalchemy import Select, bindparam, case, func, literal, select

from farmdesk.domain.cells import maker_of
from farmdesk.domain.costs import Labour
from farmdesk.domain.trade import Invoice
from farmdesk.store.schema import TABLES
from farmdesk.store.transaction import Reading

_INVOICE = TABLES["invoice"].c
_LABOUR = TABLES["labour"].c
_PURCHASE = TABLES["purchase"].c
_RUN = TABLES["run"].c
_WEIGHED = TABLES["run_ingredient"].c
_GOODS = TABLES["ingredient"].c


def overdue_invoices(reading: Reading, today: str) -> list[Invoice]:
    """Invoices not paid that were due before a day, the longest due first."""
    rows = reading.rows("overdue_invoices", _overdue_invoices, today=today)
    return [maker_of(Invoice)(tuple(row)) for row in rows]


def forgotten_clocks(reading: Reading, today: str) -> list[Labour]:
    """Work whose clock was started before a day and still runs."""
    rows = reading.rows("forgotten_clocks", _forgotten_clocks, today=today)
    return [maker_of(Labour)(tuple(row)) for row in rows]


class GoodsUse(NamedTuple):
    """An ingredient that was bought: all that came, all that went, and what went lately, mg."""

    ingredient: int
    name: str
    bought_mg: int
    used_mg: int
    lately_mg: int


def goods_used(reading: Reading, since: str) -> list[GoodsUse]:
    """The ingredients in use of which purchases are noted; `lately` counts from a day on."""
    rows = reading.rows("goods_used", _goods_used, since=since)
    return [GoodsUse(row[0], row[1], *(int(one or 0) for one in row[2:])) for row in rows]


def _goods_used() -> Select[Any]:
    bought = (
        select(_PURCHASE.ingredient, func.sum(_PURCHASE.amount_mg).label("mg"))
        .where(_PURCHASE.ingredient.is_not(None))
        .group_by(_PURCHASE.ingredient)
        .subquery()
    )
    lately = case((_RUN.run_on >= bindparam("since"), _WEIGHED.amount_mg), else_=literal(0))
    used = (
        select(
            _WEIGHED.ingredient,
            func.sum(_WEIGHED.amount_mg).label("mg"),
            func.sum(lately).label("lately"),
        )
        .select_from(TABLES["run_ingredient"])
        .join(TABLES["run"], _RUN.id == _WEIGHED.run)
        .group_by(_WEIGHED.ingredient)
        .subquery()
    )
    return (
        select(_GOODS.id, _GOODS.name, bought.c.mg, used.c.mg, used.c.lately)
        .select_from(TABLES["ingredient"])
        .join(bought, bought.c.ingredient == _GOODS.id)
        .join(used, used.c.ingredient == _GOODS.id)
        .where(_GOODS.retired == literal(0))
        .order_by(_GOODS.name)
    )


def _overdue_invoices() -> Select[Any]:
    return (
        select(TABLES["invoice"])
        .where(
            _INVOICE.paid_on.is_(None), _INVOICE.due_on != "", _INVOICE.due_on < bindparam("today")
        )
        .order_by(_INVOICE.due_on, _INVOICE.id)
    )


def _forgotten_clocks() -> Select[Any]:
    return (
        select(TABLES["labour"])
        .where(
            _LABOUR.started_at.is_not(None),
            _LABOUR.ended_at.is_(None),
            _LABOUR.day < bindparam("today"),
        )
        .order_by(_LABOUR.day, _LABOUR.id)
    )
