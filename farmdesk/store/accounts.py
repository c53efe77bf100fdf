"""Questions about what customers owe: invoices, credits, payments and their shares."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal
from typing import Any, NamedTuple

from sqlalchemy import func, select

from farmdesk.domain.trade import CreditNote, Invoice, Payment
from farmdesk.store.schema import TABLES
from farmdesk.store.transaction import Reading

_INVOICE, _CREDIT, _PAYMENT, _SHARE = (
    TABLES[kind].c for kind in ("invoice", "credit_note", "payment", "payment_share")
)
_AT_ONCE = 500


def settled_of(reading: Reading, invoices: Iterable[int]) -> dict[int, tuple[Decimal, Decimal]]:
    """(credited, paid) of these invoices; those without either are left out."""
    found: dict[int, tuple[Decimal, Decimal]] = {}
    wanted = list(invoices)
    for at in range(0, len(wanted), _AT_ONCE):
        part = wanted[at : at + _AT_ONCE]
        for which, (column, amount) in enumerate(
            ((_CREDIT.invoice, _CREDIT.total), (_SHARE.invoice, _SHARE.amount))
        ):
            statement: Any = select(column, amount).where(column.in_(part))
            for invoice, text in reading.run(statement):
                before = list(found.get(invoice, (Decimal(0), Decimal(0))))
                before[which] += Decimal(text)
                found[invoice] = (before[0], before[1])
    return found


def open_of_invoice(reading: Reading, invoice: Invoice) -> Decimal:
    """What is still to be paid of an invoice; below nothing when it was credited after payment."""
    credited, paid = settled_of(reading, [invoice.id]).get(invoice.id, (Decimal(0), Decimal(0)))
    return invoice.total - credited - paid


def open_invoices(reading: Reading, customer: int) -> list[tuple[Invoice, Decimal]]:
    """A customer's invoices that are not settled, with what is open of each."""
    table = TABLES["invoice"]
    statement = select(table).where(_INVOICE.customer == customer, _INVOICE.paid_on.is_(None))
    bills = reading.select(Invoice, statement.order_by(_INVOICE.due_on, _INVOICE.id))
    settled = settled_of(reading, [one.id for one in bills])
    nothing = (Decimal(0), Decimal(0))
    return [(one, one.total - sum(settled.get(one.id, nothing))) for one in bills]


def unshared_payments(reading: Reading, customer: int) -> list[tuple[Payment, Decimal]]:
    """A customer's payments of which something settles no invoice yet, oldest first.

    What was paid back since (a payment below nothing) is taken off, the oldest first.
    """
    payments = reading.all(Payment, customer=customer)
    shared: dict[int, Decimal] = {}
    statement: Any = (
        select(_SHARE.payment, _SHARE.amount)
        .join_from(TABLES["payment_share"], TABLES["payment"])
        .where(_PAYMENT.customer == customer)
    )
    for payment, text in reading.run(statement):
        shared[payment] = shared.get(payment, Decimal(0)) + Decimal(text)
    back = -sum((one.amount for one in payments if one.amount < 0), Decimal(0))
    found = []
    for one in sorted(payments, key=lambda one: (one.paid_on, one.id)):
        rest = one.amount - shared.get(one.id, Decimal(0))
        if rest <= 0:
            continue
        gone = min(rest, back)
        back -= gone
        if rest > gone:
            found.append((one, rest - gone))
    return found


def papers_of_customer(
    reading: Reading, customer: int
) -> tuple[list[Invoice], list[CreditNote], list[Payment]]:
    """All invoices, credit notes and payments of a customer."""
    return (
        reading.all(Invoice, customer=customer),
        reading.all(CreditNote, customer=customer),
        reading.all(Payment, customer=customer),
    )


class AccountSum(NamedTuple):
    """A customer's papers and payments added up."""

    id: int
    name: str
    channel: str
    billed: Decimal
    credited: Decimal
    paid: Decimal
    open_invoices: int
    last_paid_on: str


def accounts_summed(reading: Reading) -> list[AccountSum]:
    """Every customer with an invoice or a payment; amounts are added as decimals, not floats."""
    customers = TABLES["customer"]
    sums: dict[int, list[Any]] = {}
    for at, (customer, amount) in enumerate(
        (
            (_INVOICE.customer, _INVOICE.total),
            (_CREDIT.customer, _CREDIT.total),
            (_PAYMENT.customer, _PAYMENT.amount),
        )
    ):
        statement: Any = select(customer, amount)
        for who, text in reading.run(statement):
            row = sums.setdefault(who, [Decimal(0), Decimal(0), Decimal(0)])
            row[at] += Decimal(text)
    unpaid: Any = (
        select(_INVOICE.customer, func.count())
        .where(_INVOICE.paid_on.is_(None))
        .group_by(_INVOICE.customer)
    )
    waiting = {row[0]: int(row[1]) for row in reading.run(unpaid)}
    latest: Any = select(_PAYMENT.customer, func.max(_PAYMENT.paid_on)).group_by(_PAYMENT.customer)
    last = {row[0]: row[1] for row in reading.run(latest)}
    named: Any = select(customers.c.id, customers.c.name, customers.c.channel)
    return [
        AccountSum._make((one, name, channel, *sums[one], waiting.get(one, 0), last.get(one, "")))
        for one, name, channel in reading.run(named)
        if one in sums
    ]


def credits_of(reading: Reading, invoices: Iterable[int]) -> list[CreditNote]:
    """The credit notes of these invoices."""
    table = TABLES["credit_note"]
    found: list[CreditNote] = []
    wanted = list(invoices)
    for at in range(0, len(wanted), _AT_ONCE):
        part = wanted[at : at + _AT_ONCE]
        statement = select(table).where(_CREDIT.invoice.in_(part)).order_by(_CREDIT.id)
        found += reading.select(CreditNote, statement)
    return found
