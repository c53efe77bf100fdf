"""Sales at a look: orders, deliveries and invoices in words, and what their forms choose from."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import TypeVar

from farmdesk.arithmetic.money_sums import MASS_DECIMALS, PriceUnit, bill_line
from farmdesk.domain.catalogue import Product
from farmdesk.domain.trade import CreditNote, Delivery, DeliveryLine, Invoice, Order, OrderLine
from farmdesk.reports.catalogue import Catalogue, read_catalogue
from farmdesk.reports.cold_store_lists import LotRow, read_lots
from farmdesk.reports.farm_terms import FarmTerms, read_terms
from farmdesk.store.accounts import credits_of, settled_of
from farmdesk.store.farm_store import FarmStore
from farmdesk.store.lab import things_by_id
from farmdesk.store.sales import delivered_of_order
from farmdesk.store.sales_lists import (
    invoices_for,
    lines_of_deliveries,
    lines_of_orders,
    newest_deliveries,
    newest_orders,
)
from farmdesk.store.transaction import Reading
from farmdesk.wording.formats import Formats
from farmdesk.wording.language import tr

T = TypeVar("T")
MOST = 500
"""So many closed orders and deliveries are shown, the newest."""
_KINDS = ("customer", "product", "price_list", "price", "species", "label_stock", "room",
          "reason")  # fmt: skip


@dataclass(frozen=True)
class OrderRow:
    """An order; `mark` says in words when it is due, '' for one that is not open."""

    id: int
    name: str
    customer: str
    customer_id: int
    taken_on: str
    due_on: str
    status: str
    mark: str
    lines: tuple[OrderLine, ...]
    wanted: str
    promised: str
    delivered: str
    total: Decimal
    note: str


@dataclass(frozen=True)
class DeliveryRow:
    """A delivery with what was in it and its invoice, if it has one."""

    id: int
    name: str
    customer: str
    order: str
    delivered_on: str
    sent: str
    mass_mg: int
    total: Decimal
    invoice_id: int | None
    invoice: str
    note: str


@dataclass(frozen=True)
class InvoiceRow:
    """An invoice; `state` is paid, part, open or overdue. A credit note is told by `credit` and
    a total below nothing."""

    id: int
    name: str
    customer: str
    delivery: str
    delivery_id: int
    issued_on: str
    due_on: str
    total: Decimal
    paid_on: str | None
    state: str
    owed: Decimal = Decimal(0)
    customer_id: int = 0


@dataclass(frozen=True)
class SalesThings:
    """The lists of the page, with the catalogue and the lots that can be sold."""

    terms: FarmTerms
    catalogue: Catalogue
    orders: tuple[OrderRow, ...]
    deliveries: tuple[DeliveryRow, ...]
    invoices: tuple[InvoiceRow, ...]
    lots: tuple[LotRow, ...]

    def products(self) -> list[Product]:
        """Products that are sold, by name."""
        found = self.catalogue.all("product", retired=False)
        return sorted(found, key=lambda one: one.name.casefold())

    def lots_of(self, product: Product | None) -> list[LotRow]:
        """Lots on hand that are of a product, earliest shelf date first."""
        return [one for one in self.lots if product is not None and is_of(one, product)]


def is_of(lot: LotRow, product: Product) -> bool:
    """Whether a lot may be sold as a product: its own packs, or loose of its species."""
    if product.unit == "pack" or product.fill == "catch":
        return lot.product == product.id
    return not lot.is_pack and product.species in (None, lot.species)


def load_sales(store: FarmStore) -> SalesThings:
    """Sales as they stand, read in a transaction of their own."""
    with store.reading() as reading:
        return read_sales(reading)


def read_sales(reading: Reading, *, now: str | None = None) -> SalesThings:
    """Sales as they stand."""
    terms = read_terms(reading, now)
    catalogue = read_catalogue(reading, _KINDS)
    orders = newest_orders(reading, MOST)
    deliveries = newest_deliveries(reading, MOST)
    invoices = {one.delivery: one for one in invoices_for(reading, (d.id for d in deliveries))}
    named = things_by_id(reading, Order, (d.order for d in deliveries if d.order is not None))
    writer = _Writer(terms, catalogue, {one.id: one.name for one in named.values()})
    sent = _grouped(
        (line.delivery, line) for line in lines_of_deliveries(reading, (d.id for d in deliveries))
    )
    rows = [writer.delivery(one, sent.get(one.id, []), invoices.get(one.id)) for one in deliveries]
    names = {one.id: one.name for one in deliveries}
    settled = settled_of(reading, [one.id for one in invoices.values()])
    bills_of = {one.id: one for one in invoices.values()}
    credits = [
        writer.credit(one, bills_of[one.invoice].name) for one in credits_of(reading, bills_of)
    ]
    bills = sorted(invoices.values(), key=lambda one: (one.paid_on is not None, -one.id))
    return SalesThings(
        terms=terms,
        catalogue=catalogue,
        orders=tuple(_orders(reading, writer, orders)),
        deliveries=tuple(rows),
        invoices=(
            *(
                writer.invoice(one, names.get(one.delivery, ""), settled.get(one.id))
                for one in bills
            ),
            *reversed(credits),
        ),
        lots=tuple(read_lots(reading, terms)),
    )


def say_quantity(quantity: Decimal, unit: str, formats: Formats) -> str:
    """A quantity with its unit: `2.5 kg`, `6 packs`."""
    if unit == "pack":
        return formats.count(int(quantity), "pack", "packs")
    digits = MASS_DECIMALS[unit]
    exact = quantity.normalize()
    least = min(digits, max(0, -int(exact.as_tuple().exponent)))
    return f"{formats.number(quantity, least)} {unit}"


class _Writer:
    """Turns things into rows, with names for ids."""

    def __init__(self, terms: FarmTerms, catalogue: Catalogue, orders: Mapping[int, str]) -> None:
        self._terms = terms
        self._catalogue = catalogue
        self._orders = orders

    def order(self, one: Order, lines: Sequence[OrderLine], delivered: str) -> OrderRow:
        """An order as a row."""
        return OrderRow(
            id=one.id,
            name=one.name,
            customer=self._catalogue.name("customer", one.customer),
            customer_id=one.customer,
            taken_on=one.taken_on,
            due_on=one.due_on,
            status=one.status,
            mark=self._due(one),
            lines=tuple(lines),
            wanted="; ".join(self.line(line) for line in lines),
            promised=self._promised(one, lines),
            delivered=delivered,
            total=sum((self._total(line) for line in lines), Decimal(0)),
            note=one.note,
        )

    def delivery(
        self, one: Delivery, lines: Sequence[DeliveryLine], bill: Invoice | None
    ) -> DeliveryRow:
        """A delivery as a row."""
        return DeliveryRow(
            id=one.id,
            name=one.name,
            customer=self._catalogue.name("customer", one.customer),
            order="" if one.order is None else self._orders.get(one.order, ""),
            delivered_on=one.delivered_on,
            sent="; ".join(self.line(line) for line in lines),
            mass_mg=sum(line.amount_mg for line in lines),
            total=sum((line.total for line in lines), Decimal(0)),
            invoice_id=None if bill is None else bill.id,
            invoice="" if bill is None else bill.name,
            note=one.note,
        )

    def invoice(
        self, one: Invoice, delivery: str, settled: tuple[Decimal, Decimal] | None
    ) -> InvoiceRow:
        """An invoice as a row; `settled` is what was credited and paid of it."""
        credited, paid = settled or (Decimal(0), Decimal(0))
        owed = Decimal(0) if one.paid_on is not None else one.total - credited - paid
        state = "paid" if one.paid_on else "part" if paid else "open"
        if not one.paid_on and one.due_on < self._terms.today:
            state = "overdue"
        return InvoiceRow(
            id=one.id,
            name=one.name,
            customer=self._catalogue.name("customer", one.customer),
            delivery=delivery,
            delivery_id=one.delivery,
            issued_on=one.issued_on,
            due_on=one.due_on,
            total=one.total,
            paid_on=one.paid_on,
            state=state,
            owed=owed,
            customer_id=one.customer,
        )

    def credit(self, one: CreditNote, invoice: str) -> InvoiceRow:
        """A credit note as a row among the invoices."""
        return InvoiceRow(
            id=one.id,
            name=one.name,
            customer=self._catalogue.name("customer", one.customer),
            delivery=invoice,
            delivery_id=0,
            issued_on=one.issued_on,
            due_on="",
            total=-one.total,
            paid_on=None,
            state="credit",
            customer_id=one.customer,
        )

    def line(self, line: OrderLine | DeliveryLine) -> str:
        """A line in words, such as `2.5 kg Oyster`."""
        name = self._catalogue.name("product", line.product)
        return f"{say_quantity(line.quantity, line.unit, self._terms.formats)} {name}"

    def _promised(self, one: Order, lines: Sequence[OrderLine]) -> str:
        """What was said to be coming: nothing yet, all of it, or what instead."""
        said = [line for line in lines if line.promised is not None]
        if not said:
            return ""
        if len(said) == len(lines) and all(line.promised == line.quantity for line in said):
            return tr("all, on {day}").format(day=self._terms.formats.day(one.promised_on))
        return "; ".join(
            self.line(replace(line, quantity=line.promised or Decimal(0))) for line in said
        )

    def _total(self, line: OrderLine) -> Decimal:
        unit: PriceUnit = line.unit  # type: ignore[assignment]
        price, currency = line.unit_price, self._terms.farm.currency
        return bill_line(line.quantity, unit=unit, unit_price=price, currency=currency).total

    def _due(self, one: Order) -> str:
        if one.status != "open":
            return ""
        today = self._terms.today
        if one.due_on < today:
            return "late"
        return "today" if one.due_on == today else ""


def _orders(reading: Reading, writer: _Writer, orders: Sequence[Order]) -> Iterable[OrderRow]:
    lines = _grouped((one.order, one) for one in lines_of_orders(reading, (o.id for o in orders)))
    for order in orders:
        gone = delivered_of_order(reading, order.id) if order.status == "open" else {}
        mine = lines.get(order.id, [])
        parts = [writer.line(line) for line in mine if line.id in gone]
        yield writer.order(
            order, mine, tr("part of {parts}").format(parts="; ".join(parts)) if parts else ""
        )


def _grouped(pairs: Iterable[tuple[int, T]]) -> dict[int, list[T]]:
    groups: dict[int, list[T]] = {}
    for key, value in pairs:
        groups.setdefault(key, []).append(value)
    return groups
