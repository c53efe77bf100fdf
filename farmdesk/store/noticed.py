"""What nobody finished yet: bills without a day of payment, and clocks of work that run."""

from __future__ import annotations

from typing import Any

from sqlalchemy import Select, bindparam, select

from farmdesk.domain.cells import maker_of
from farmdesk.domain.costs import Labour
from farmdesk.domain.trade import Invoice
from farmdesk.store.schema import TABLES
from farmdesk.store.transaction import Reading

_INVOICE = TABLES["invoice"].c
_LABOUR = TABLES["labour"].c


def overdue_invoices(reading: Reading, today: str) -> list[Invoice]:
    """Invoices not paid that were due before a day, the longest due first."""
    rows = reading.rows("overdue_invoices", _overdue_invoices, today=today)
    return [maker_of(Invoice)(tuple(row)) for row in rows]


def forgotten_clocks(reading: Reading, today: str) -> list[Labour]:
    """Work whose clock was started before a day and still runs."""
    rows = reading.rows("forgotten_clocks", _forgotten_clocks, today=today)
    return [maker_of(Labour)(tuple(row)) for row in rows]


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
