"""What customers owe: a line for each, and the statement of one."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal

from farmdesk.domain.catalogue import Customer
from farmdesk.domain.trade import Invoice
from farmdesk.errors import NotFound, Refused, problem
from farmdesk.paper.documents import Address, AddressPair, Block, Details, Document, Note, TotalsBox
from farmdesk.paper.tables import Column, Table
from farmdesk.quantities.times import age_days
from farmdesk.reports.farm_terms import FarmTerms, read_terms
from farmdesk.store.accounts import (
    accounts_summed,
    open_invoices,
    papers_of_customer,
    unshared_payments,
)
from farmdesk.store.farm_store import FarmStore
from farmdesk.store.transaction import Reading
from farmdesk.wording.language import tr

AGES = (0, 30, 60)
"""Days past due at which an open amount counts as older; common practice, no source."""


@dataclass(frozen=True)
class AccountRow:
    """A customer's account: `owed` is what is open less what was paid too much."""

    id: int
    name: str
    channel: str
    billed: Decimal
    credited: Decimal
    paid: Decimal
    owed: Decimal
    overdue: Decimal
    invoices: int
    last_paid_on: str
    waiting: Decimal = Decimal(0)
    """What was paid too much and waits for the next invoice."""


@dataclass(frozen=True)
class Entry:
    """One line of a statement; `amount` is above nothing when it is owed."""

    day: str
    paper: str
    what: str
    amount: Decimal


def list_accounts(reading: Reading, *, now: str | None = None) -> list[AccountRow]:
    """Customers with an account, who owes most first."""
    terms = read_terms(reading, now)
    rows = []
    for one in accounts_summed(reading):
        late = Decimal(0)
        count = 0
        if one.billed > one.credited + one.paid or one.open_invoices:
            bills = open_invoices(reading, one.id)
            count = len(bills)
            late = sum((owed for bill, owed in bills if bill.due_on < terms.today), Decimal(0))
        waiting = sum((rest for _, rest in unshared_payments(reading, one.id)), Decimal(0))
        rows.append(
            AccountRow(
                id=one.id, name=one.name, channel=one.channel, billed=one.billed,
                credited=one.credited, paid=one.paid,
                owed=one.billed - one.credited - one.paid, overdue=late, invoices=count,
                last_paid_on=one.last_paid_on, waiting=waiting,
            )
        )  # fmt: skip
    return sorted(rows, key=lambda row: (-row.owed, row.name.casefold()))


def load_accounts(store: FarmStore) -> list[AccountRow]:
    """The accounts, read in a transaction of their own."""
    with store.reading() as reading:
        return list_accounts(reading)


def accounts_table(reading: Reading, *, now: str | None = None) -> Table:
    """The accounts as a table."""
    columns = (
        Column("name", tr("Customer")),
        Column("channel", tr("Channel")),
        Column("billed", tr("Billed"), "money"),
        Column("credited", tr("Credited"), "money"),
        Column("paid", tr("Paid"), "money"),
        Column("owed", tr("Owed"), "money"),
        Column("overdue", tr("Overdue"), "money"),
        Column("invoices", tr("Open invoices"), "integer"),
        Column("last_paid_on", tr("Last paid on"), "day"),
    )
    found = list_accounts(reading, now=now)
    rows = [
        [getattr(row, one.key) or (None if one.kind == "day" else getattr(row, one.key))
         for one in columns]
        for row in found
    ]  # fmt: skip
    sums = [
        sum((getattr(row, key) for row in found), Decimal(0))
        for key in ("billed", "credited", "paid", "owed", "overdue")
    ]
    totals = (tr("All"), "", *sums, sum(row.invoices for row in found), None)
    notes = [tr("Taxes included. What was paid too much lowers what is owed.")]
    return Table("accounts", tr("Accounts"), columns, rows, notes, totals=totals)


def statement(
    reading: Reading, customer_id: int, first: str, last: str, *, now: str | None = None
) -> Document:
    """A customer's statement: balance before, every paper and payment, balance after.

    Raises NotFound, and Refused when the days are the wrong way round.
    """
    terms = read_terms(reading, now, for_others=True)
    customer = reading.get(Customer, customer_id)
    if customer is None:
        raise NotFound(problem("not_found", kind="customer", id=customer_id))
    if last < first:
        raise Refused(problem("demand_ends_before", field="last"))
    found = _entries(reading, customer_id)
    entries = sorted(found, key=lambda one: (one.day, not one.paper, one.paper))
    before = sum((one.amount for one in entries if one.day < first), Decimal(0))
    within = [one for one in entries if first <= one.day <= last]
    formats = terms.formats
    ours = Address(tr("From"), (terms.farm.name, *_lines(terms.farm.address)))
    theirs = Address(tr("Statement for"), (customer.name, *_lines(customer.address)))
    balance = before + sum((one.amount for one in within), Decimal(0))
    blocks: list[Block] = [
        AddressPair(ours, theirs),
        Details([
            (tr("From"), formats.day(first)), (tr("To"), formats.day(last)),
            (tr("Written on"), formats.day(terms.today)),
        ]),
        _table(within, before),
        TotalsBox([(tr("Balance on {day}").format(day=formats.day(last)),
                    formats.money(balance))]),
    ]  # fmt: skip
    if last >= terms.today:
        blocks.append(_ages(open_invoices(reading, customer_id), terms))
        waiting = sum((rest for _, rest in unshared_payments(reading, customer_id)), Decimal(0))
        if waiting:
            text = tr("{amount} was paid too much and waits for the next invoice.")
            blocks.append(Note(text.format(amount=formats.money(waiting))))
    title = tr("Statement of account")
    footer = f"{terms.farm.name} · {title} · {customer.name}"
    return Document(title=title, blocks=blocks, footer=footer, author=terms.farm.name)


def _entries(reading: Reading, customer: int) -> Iterator[Entry]:
    bills, credits, payments = papers_of_customer(reading, customer)
    names = {one.id: one.name for one in bills}
    for bill in bills:
        due = tr("invoice, to be paid by {day}")
        yield Entry(bill.issued_on, bill.name, due.format(day=bill.due_on), bill.total)
    for credit in credits:
        why = tr("credit for {invoice}: {reason}").format(
            invoice=names.get(credit.invoice, ""), reason=credit.reason
        )
        yield Entry(credit.issued_on, credit.name, why, -credit.total)
    for payment in payments:
        what = tr("paid back") if payment.amount < 0 else tr("payment")
        if payment.method:
            what = f"{what} ({payment.method})"
        yield Entry(payment.paid_on, "", what, -payment.amount)


def _table(entries: Sequence[Entry], before: Decimal) -> Table:
    columns = (
        Column("day", tr("Day"), "day"),
        Column("paper", tr("Number")),
        Column("what", tr("What")),
        Column("amount", tr("Amount"), "money"),
        Column("balance", tr("Balance"), "money"),
    )
    rows: list[tuple[object, ...]] = [(None, "", tr("Balance before"), None, before)]
    balance = before
    for one in entries:
        balance += one.amount
        rows.append((one.day, one.paper, one.what, one.amount, balance))
    return Table("statement", tr("What was billed and paid"), columns, rows)


def _ages(bills: Sequence[tuple[Invoice, Decimal]], terms: FarmTerms) -> Table:
    """What is open by how long it is overdue."""
    sums = [Decimal(0)] * (len(AGES) + 1)
    for bill, owed in bills:
        late = age_days(bill.due_on, terms.today)
        sums[sum(late > age for age in AGES)] += owed
    titles = (
        tr("Not due yet"), tr("1 to 30 days overdue"), tr("31 to 60 days overdue"),
        tr("More than 60 days overdue"),
    )  # fmt: skip
    columns = [Column(f"age_{at}", title, "money") for at, title in enumerate(titles)]
    return Table("ages", tr("What is open"), columns, [tuple(sums)])


def _lines(text: str) -> Iterator[str]:
    return (line.strip() for line in text.splitlines() if line.strip())
