"""Orders, deliveries, invoices and picks as lists."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import partial
from itertools import groupby

from farmdesk.domain.catalogue import Crate
from farmdesk.domain.codes import code_of
from farmdesk.domain.harvest import Pick
from farmdesk.paper.tables import Column, Table
from farmdesk.quantities.times import age_days
from farmdesk.reports.farm_terms import read_terms
from farmdesk.store.trade_sums import (
    deliveries_in_lines,
    invoices_listed,
    orders_summed,
    picks_since,
)
from farmdesk.store.transaction import Reading
from farmdesk.wording.language import tr
from farmdesk.wording.states import say_state

OPEN = "open"


@dataclass(frozen=True)
class OrderRow:
    """One order; `days_late` counts from its day while it is open, else None."""

    id: int
    name: str
    customer: str
    taken_on: str
    due_on: str
    lines: int
    status: str
    days_late: int | None


@dataclass(frozen=True)
class DeliveryRow:
    """One delivery with its lines added up."""

    id: int
    name: str
    customer: str
    delivered_on: str
    order: str
    invoice: str
    lines: int
    mass_mg: int
    total: Decimal


@dataclass(frozen=True)
class InvoiceRow:
    """One invoice; `days_late` counts from its day while it is not paid, else None."""

    id: int
    name: str
    customer: str
    delivery: str
    issued_on: str
    due_on: str
    net: Decimal
    tax: Decimal
    total: Decimal
    paid_on: str | None
    days_late: int | None


@dataclass(frozen=True)
class PickRow:
    """One pick."""

    id: int
    code: str
    name: str
    species: str
    picked_at: str
    flush: int
    grade: str
    crate: str
    net_mg: int | None
    left_mg: int
    shelf_on: str | None
    status: str


def list_orders(reading: Reading, *, now: str | None = None) -> list[OrderRow]:
    """All orders, the latest due first."""
    today = read_terms(reading, now).today
    rows = []
    for one in orders_summed(reading):
        late = max(0, age_days(one.due_on, today)) if one.status == OPEN else None
        facts = (one.id, one.name, one.customer, one.taken_on, one.due_on)
        rows.append(OrderRow(*facts, lines=one.lines, status=one.status, days_late=late))
    return rows


def list_deliveries(reading: Reading) -> Iterator[DeliveryRow]:
    """All deliveries, newest first, read as they are asked for."""
    for _, group in groupby(deliveries_in_lines(reading), key=lambda one: one.id):
        own = list(group)
        first = own[0]
        yield DeliveryRow(
            first.id,
            first.name,
            first.customer,
            first.delivered_on,
            first.order or "",
            first.invoice or "",
            lines=sum(one.total is not None for one in own),
            mass_mg=sum(int(one.mass_mg) for one in own),
            total=sum((Decimal(one.total or 0) for one in own), Decimal(0)),
        )


def list_invoices(reading: Reading, *, now: str | None = None) -> Iterator[InvoiceRow]:
    """All invoices, newest first, read as they are asked for."""
    today = read_terms(reading, now).today
    return (
        InvoiceRow(
            id=one.id,
            name=one.name,
            customer=one.customer,
            delivery=one.delivery,
            issued_on=one.issued_on,
            due_on=one.due_on,
            net=Decimal(one.net),
            tax=Decimal(one.tax),
            total=Decimal(one.total),
            paid_on=one.paid_on,
            days_late=None if one.paid_on else max(0, age_days(one.due_on, today)),
        )
        for one in invoices_listed(reading)
    )


def list_picks(
    reading: Reading, *, since: str = "", limit: int = 2_000, now: str | None = None
) -> list[PickRow]:
    """Picks from an instant on, newest first, at most so many."""
    terms = read_terms(reading, now)
    crates = {one.id: one.name for one in reading.all(Crate)}

    def row(one: Pick) -> PickRow:
        return PickRow(
            id=one.id,
            code=code_of(one.id),
            name=one.name,
            species=terms.species_name(one.species),
            picked_at=one.picked_at,
            flush=one.flush,
            grade=one.grade,
            crate=crates.get(one.crate or 0, ""),
            net_mg=one.net_mg,
            left_mg=one.left_mg,
            shelf_on=one.shelf_on,
            status=one.status,
        )

    return [row(one) for one in picks_since(reading, since, limit)]


def orders_table(reading: Reading, *, now: str | None = None) -> Table:
    """All orders as a table."""
    columns = (
        Column("name", tr("Order")),
        Column("customer", tr("Customer")),
        Column("taken_on", tr("Taken"), "day"),
        Column("due_on", tr("Due"), "day"),
        Column("lines", tr("Lines"), "integer"),
        Column("status", tr("Status")),
        Column("days_late", tr("Late"), "integer", unit=tr("days")),
    )
    rows = [
        [say_state(row.status) if c.key == "status" else getattr(row, c.key) for c in columns]
        for row in list_orders(reading, now=now)
    ]
    return Table("orders", tr("Orders"), columns, rows)


def deliveries_table(reading: Reading, *, now: str | None = None) -> Table:  # noqa: ARG001
    """All deliveries as a table whose rows are read while they are written."""
    columns = (
        Column("name", tr("Delivery")),
        Column("customer", tr("Customer")),
        Column("delivered_on", tr("Day"), "day"),
        Column("order", tr("Order")),
        Column("invoice", tr("Invoice")),
        Column("lines", tr("Lines"), "integer"),
        Column("mass_mg", tr("Mass"), "mass"),
        Column("total", tr("Amount"), "money"),
    )
    lines, mass_mg, total = 0, 0, Decimal(0)
    for row in list_deliveries(reading):
        lines, mass_mg, total = lines + row.lines, mass_mg + row.mass_mg, total + row.total
    totals = (tr("All"), "", None, "", "", lines, mass_mg, total)
    rows = _Rows(partial(list_deliveries, reading), [one.key for one in columns])
    return Table("deliveries", tr("Deliveries"), columns, rows, totals=totals)


def invoices_table(reading: Reading, *, now: str | None = None) -> Table:
    """All invoices as a table whose rows are read while they are written."""
    columns = (
        Column("name", tr("Invoice")),
        Column("customer", tr("Customer")),
        Column("delivery", tr("Delivery")),
        Column("issued_on", tr("Issued"), "day"),
        Column("due_on", tr("Due"), "day"),
        Column("net", tr("Net"), "money"),
        Column("tax", tr("Tax"), "money"),
        Column("total", tr("Total"), "money"),
        Column("paid_on", tr("Paid"), "day"),
        Column("days_late", tr("Late"), "integer", unit=tr("days")),
    )
    net = tax = total = Decimal(0)
    for row in list_invoices(reading, now=now):
        net, tax, total = net + row.net, tax + row.tax, total + row.total
    totals = (tr("All"), "", "", None, None, net, tax, total, None, None)
    rows = _Rows(partial(list_invoices, reading, now=now), [one.key for one in columns])
    return Table("invoices", tr("Invoices"), columns, rows, totals=totals)


@dataclass(frozen=True)
class _Rows:
    """The rows of a list, read anew each time they are gone through."""

    read: Callable[[], Iterable[object]]
    keys: Sequence[str]

    def __iter__(self) -> Iterator[Sequence[object]]:
        for row in self.read():
            yield [getattr(row, key) for key in self.keys]


def picks_table(reading: Reading, *, now: str | None = None) -> Table:
    """The newest picks as a table."""
    columns = (
        Column("name", tr("Pick")),
        Column("code", tr("Code"), "code"),
        Column("species", tr("Species")),
        Column("picked_at", tr("Picked"), "instant"),
        Column("flush", tr("Flush"), "integer"),
        Column("grade", tr("Grade")),
        Column("crate", tr("Crate")),
        Column("net_mg", tr("Net"), "mass"),
        Column("left_mg", tr("Left"), "mass"),
        Column("shelf_on", tr("Shelf date"), "day"),
        Column("status", tr("Status")),
    )
    rows = [
        [say_state(row.status) if c.key == "status" else getattr(row, c.key) for c in columns]
        for row in list_picks(reading, now=now)
    ]
    return Table("picks", tr("Picks"), columns, rows)
