"""Payments: shared over the oldest open invoices; what is too much waits or is paid back."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal

from farmdesk.actions.base import Act
from farmdesk.actions.catalogue_checks import check_text
from farmdesk.domain.catalogue import Customer
from farmdesk.domain.trade import Invoice, Payment, PaymentShare
from farmdesk.errors import Problem, Refused, problem
from farmdesk.quantities.money import round_money
from farmdesk.store.accounts import open_invoices, open_of_invoice, unshared_payments

_MOST = Decimal(100_000_000)


def record_payment(
    act: Act,
    *,
    customer: int,
    amount: Decimal,
    paid_on: str | None = None,
    method: str = "",
    note: str = "",
    invoices: Sequence[int] = (),
) -> Payment:
    """Record money that came, and settle invoices with it: these first, then the oldest.

    What was paid too much before is used as well; what is still too much waits for the next
    invoice. Raises Refused for an amount of nothing or less, or a day in the future.
    """
    payer = act.need(Customer, customer)
    day = paid_on or act.day
    problems = list(_check(act, amount, day, method, note))
    if problems:
        raise Refused(*problems)
    made = act.make(
        "payment_received",
        Payment(act.next_id("payment"), payer.id, day, amount, method.strip(), note.strip()),
    )
    settle(act, payer.id, first=invoices, on=day)
    return made


def pay_back(
    act: Act,
    *,
    customer: int,
    amount: Decimal,
    paid_on: str | None = None,
    method: str = "",
    note: str = "",
) -> Payment:
    """Give a customer money back that settles no invoice; kept as a payment below nothing.

    Raises Refused for more than waits for the next invoice.
    """
    payee = act.need(Customer, customer)
    day = paid_on or act.day
    problems = list(_check(act, amount, day, method, note))
    left = sum((rest for _, rest in unshared_payments(act.tx, payee.id)), Decimal(0))
    if not problems and amount > left:
        facts = {"left": f"{left:f} {act.farm.currency}", "customer": payee.name}
        problems.append(problem("payback_too_much", field="amount", **facts))
    if problems:
        raise Refused(*problems)
    return act.make(
        "payment_returned",
        Payment(act.next_id("payment"), payee.id, day, -amount, method.strip(), note.strip()),
    )


def free_surplus(act: Act, invoice: Invoice) -> None:
    """What was paid of an invoice above what is left of it, after a credit, is free again."""
    surplus = -open_of_invoice(act.tx, invoice)
    for share in reversed(act.tx.all(PaymentShare, invoice=invoice.id)):
        if surplus <= 0:
            return
        part = min(share.amount, surplus)
        if part == share.amount:
            act.take_away("payment_freed", share)
        else:
            act.change("payment_freed", share, amount=share.amount - part)
        surplus -= part


def settle(act: Act, customer: int, *, first: Sequence[int] = (), on: str) -> None:
    """Share what a customer paid and was not shared yet over open invoices, oldest first."""
    waiting = unshared_payments(act.tx, customer)
    bills = open_invoices(act.tx, customer)
    bills.sort(key=lambda one: (one[0].id not in first, one[0].due_on, one[0].id))
    for bill, owed in bills:
        left = owed
        while waiting and left > 0:
            payment, rest = waiting[0]
            part = min(rest, left)
            share = PaymentShare(act.next_id("payment_share"), payment.id, bill.id, part)
            act.make("payment_shared", share)
            left -= part
            if part == rest:
                waiting.pop(0)
            else:
                waiting[0] = (payment, rest - part)
        if left <= 0:
            act.change("invoice_paid", bill, paid_on=max(on, bill.issued_on))


def _check(act: Act, amount: Decimal, day: str, method: str, note: str) -> Iterator[Problem]:
    yield from check_text("note", note, needed=False, long=True)
    yield from check_text("method", method, needed=False)
    if not amount.is_finite() or not 0 < amount <= _MOST:
        yield problem("payment_wrong", field="amount")
    elif round_money(amount, act.farm.currency) != amount:
        yield problem("payment_finer", field="amount", currency=act.farm.currency)
    if day > act.day:
        yield problem("day_in_future", field="paid_on", day=day, today=act.day)


def pay_invoice(act: Act, invoice: Invoice, *, paid_on: str, method: str = "") -> Payment | None:
    """Record that all that is open of one invoice was paid; None when nothing was open."""
    owed = open_of_invoice(act.tx, invoice)
    made = None
    if owed > 0:
        made = act.make(
            "payment_received",
            Payment(act.next_id("payment"), invoice.customer, paid_on, owed, method),
        )
        share = PaymentShare(act.next_id("payment_share"), made.id, invoice.id, owed)
        act.make("payment_shared", share)
    return made
