"""Invoices: issued for deliveries with numbers that follow each other, and paid."""

from __future__ import annotations

from decimal import Decimal

from farmdesk.actions.base import Act
from farmdesk.actions.catalogue_checks import check_text
from farmdesk.actions.paper_numbers import next_name
from farmdesk.actions.payments import pay_invoice, settle
from farmdesk.arithmetic.money_sums import InvoiceTotals, Taxed, total_invoice
from farmdesk.domain.catalogue import Customer
from farmdesk.domain.trade import Delivery, DeliveryLine, Invoice, InvoiceTax
from farmdesk.errors import Refused, problem
from farmdesk.quantities.times import day_plus
from farmdesk.store.sales import invoice_of, lines_of_delivery


def issue_invoice(
    act: Act, delivery: Delivery, *, issued_on: str | None = None, note: str = ""
) -> Invoice:
    """Issue the invoice for a delivery: its printed lines, and the tax of each.

    What the customer paid too much before goes into it.

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
    rates = [rate_of(act, one) for one in lines]
    sums = total_invoice(
        [Taxed(one.total, rate) for one, rate in zip(lines, rates, strict=True)],
        currency=act.farm.currency,
    )
    customer = act.need(Customer, delivery.customer)
    bill = act.make(
        "invoice_issued",
        Invoice(
            id=act.next_id("invoice"),
            name=next_name(act, "invoice"),
            customer=customer.id,
            delivery=delivery.id,
            issued_on=day,
            due_on=day_plus(day, customer.payment_days),
            net=sums.net,
            tax_percent=rates[0] if len(set(rates)) == 1 else Decimal(0),
            tax=sums.tax,
            total=sums.total,
            note=note.strip(),
        ),
    )
    make_taxes(act, sums, invoice=bill.id)
    settle(act, customer.id, on=day)
    return act.need(Invoice, bill.id)


def rate_of(act: Act, line: DeliveryLine) -> Decimal:
    """The rate of tax of a delivered line: as it was sent, else the farm's."""
    return act.farm.tax_percent if line.tax_percent is None else line.tax_percent


def make_taxes(
    act: Act,
    sums: InvoiceTotals,
    *,
    invoice: int | None = None,
    credit_note: int | None = None,
) -> None:
    """Keep what a paper holds of each rate of tax."""
    for one in sums.taxes:
        act.make(
            "tax_told",
            InvoiceTax(act.next_id("invoice_tax"), invoice, credit_note, one.tax_percent, one.net,
                       one.tax),
        )  # fmt: skip


def mark_paid(act: Act, invoice: Invoice, *, paid_on: str | None = None) -> Invoice:
    """Record that all that is open of an invoice was paid; Refused when it was already."""
    day = paid_on or act.day
    if invoice.paid_on is not None:
        facts = {"invoice": invoice.name, "paid_on": invoice.paid_on}
        raise Refused(problem("paid_already", **facts))
    if day > act.day:
        raise Refused(problem("day_in_future", field="paid_on", day=day, today=act.day))
    if day < invoice.issued_on:
        facts = {"day": day, "invoice": invoice.name, "issued_on": invoice.issued_on}
        raise Refused(problem("paid_before_invoice", field="paid_on", **facts))
    pay_invoice(act, invoice, paid_on=day)
    return act.change("invoice_paid", invoice, paid_on=day)
