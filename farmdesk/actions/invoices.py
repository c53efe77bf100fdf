"""Invoices: issued for deliveries with numbers that follow each other, and paid."""

from __future__ import annotations

from farmdesk.actions.base import Act
from farmdesk.actions.catalogue_checks import check_text
from farmdesk.arithmetic.money_sums import Taxed, total_invoice
from farmdesk.domain.catalogue import Customer
from farmdesk.domain.codes import name_for
from farmdesk.domain.trade import Delivery, Invoice
from farmdesk.errors import Refused, problem
from farmdesk.quantities.times import day_plus
from farmdesk.store.sales import invoice_of, last_invoice_name, lines_of_delivery


def issue_invoice(
    act: Act, delivery: Delivery, *, issued_on: str | None = None, note: str = ""
) -> Invoice:
    """Issue the invoice for a delivery: its printed lines, and tax at the farm's rate.

    Raises Refused when it has one already, or the day cannot be.
    """
    day = issued_on or act.day
    problems = [*check_text("note", note, needed=False, long=True)]
    before = invoice_of(act.tx, delivery.id)
    if before is not None:
        facts = {"delivery": delivery.name, "invoice": before.name}
        problems.append(problem("invoiced_already", **facts))
    if day > act.day:
        problems.append(problem("day_in_future", field="issued_on", day=day, today=act.day))
    if day < delivery.delivered_on:
        facts = {"day": day, "delivered_on": delivery.delivered_on}
        problems.append(problem("invoice_before_delivery", field="issued_on", **facts))
    lines = lines_of_delivery(act.tx, delivery.id)
    if not lines:
        problems.append(problem("delivery_empty", field="delivery"))
    if problems:
        raise Refused(*problems)
    rate = act.farm.tax_percent
    sums = total_invoice([Taxed(one.total, rate) for one in lines], currency=act.farm.currency)
    customer = act.need(Customer, delivery.customer)
    return act.make(
        "invoice_issued",
        Invoice(
            id=act.next_id("invoice"),
            name=_next_name(act),
            customer=customer.id,
            delivery=delivery.id,
            issued_on=day,
            due_on=day_plus(day, customer.payment_days),
            net=sums.net,
            tax_percent=rate,
            tax=sums.tax,
            total=sums.total,
            note=note.strip(),
        ),
    )


def mark_paid(act: Act, invoice: Invoice, *, paid_on: str | None = None) -> Invoice:
    """Record that an invoice was paid; raises Refused when it was already."""
    day = paid_on or act.day
    if invoice.paid_on is not None:
        facts = {"invoice": invoice.name, "paid_on": invoice.paid_on}
        raise Refused(problem("paid_already", **facts))
    if day > act.day:
        raise Refused(problem("day_in_future", field="paid_on", day=day, today=act.day))
    if day < invoice.issued_on:
        facts = {"day": day, "invoice": invoice.name, "issued_on": invoice.issued_on}
        raise Refused(problem("paid_before_invoice", field="paid_on", **facts))
    return act.change("invoice_paid", invoice, paid_on=day)


def _next_name(act: Act) -> str:
    """The number after the highest: an invoice taken back leaves no gap behind it."""
    last = last_invoice_name(act.tx)
    number = 0 if last is None else int(last.rpartition("-")[2])
    return name_for("invoice", number + 1)
