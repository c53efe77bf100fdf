"""Accounts: what each customer owes, payments that came, statements to send."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from typing import Any, ClassVar

from farmdesk.actions.payments import pay_back, record_payment
from farmdesk.desk.context import DeskContext
from farmdesk.desk.dialogs import FormDialog
from farmdesk.desk.exporting import print_document
from farmdesk.desk.fields import ChoiceField, DayField, MoneyField, NotesField, TextField
from farmdesk.desk.pages.sales_part import SalesPart
from farmdesk.desk.tables import Column
from farmdesk.domain.catalogue import Customer
from farmdesk.domain.trade import Payment
from farmdesk.paper.documents import Document
from farmdesk.paper.tables import Kind
from farmdesk.quantities.times import day_plus, today_in
from farmdesk.reports.accounts import AccountRow, list_accounts, statement
from farmdesk.store.farm_store import FarmStore
from farmdesk.wording.language import tr

Accounts = tuple[list[AccountRow], list[tuple[int, str]]]


def load_all(store: FarmStore) -> Accounts:
    """The accounts, and the customers a payment can come from."""
    with store.reading() as reading:
        names = [(one.id, one.name) for one in reading.all(Customer)]
        return list_accounts(reading), sorted(names, key=lambda one: one[1].casefold())


class AccountsPart(SalesPart):
    """Customers by what they owe."""

    title = tr("Accounts")
    help_text = tr(
        "What each customer owes, taxes included: invoices less credit notes and payments. Ctrl+E"
        " records a payment: it settles the oldest invoices first, and what is too much waits for"
        " the next one, or is paid back with Ctrl+Shift+E. A credit on a paid invoice settles the"
        " next one too. Ctrl+B shows a statement to send. Enter shows it too."
    )
    kinds: ClassVar[dict[str, Kind]] = {
        "billed": "money", "credited": "money", "paid": "money", "owed": "money",
        "overdue": "money",
    }  # fmt: skip
    empty_text = tr("Nobody owes anything yet: accounts begin with the first invoice.")
    load: ClassVar[Callable[[FarmStore], Any]] = staticmethod(load_all)
    things: Accounts | None

    def columns(self) -> list[Column]:
        """The columns of accounts."""
        money: dict[str, Any] = {"text": self.money, "right": True, "sums": True, "width": 14}
        return [
            Column("name", tr("Customer"), width=24),
            Column("owed", tr("Owed"), **money),
            Column("overdue", tr("Overdue"), **money),
            Column("invoices", tr("Open invoices"), width=13, right=True),
            Column("last_paid_on", tr("Last paid on"), text=self.day, width=13),
            Column("billed", tr("Billed"), **money),
            Column("credited", tr("Credited"), **money),
            Column("paid", tr("Paid"), **money),
            Column("channel", tr("Channel"), width=14),
        ]

    def add_acts(self) -> None:
        """Payments and statements."""
        self.view.row_opened.connect(lambda row: self.statement([row]))
        self.view.add_row_action(tr("Payment …"), self.payment, shortcut="Ctrl+E", single=True)
        self.view.add_row_action(
            tr("Pay back …"), self.pay_back, shortcut="Ctrl+Shift+E", single=True
        )
        self.view.add_row_action(tr("Statement …"), self.statement, shortcut="Ctrl+B", single=True)

    def rows(self, things: Accounts) -> Sequence[AccountRow]:
        """The accounts."""
        return things[0]

    def payment(self, rows: list[AccountRow]) -> None:
        """Record a payment of the chosen customer."""
        if self.things is not None:
            dialog = PaymentDialog(self.context, self.things[1], rows[0])
            dialog.saved.connect(self._paid)
            self.context.open_dialog(dialog)

    def pay_back(self, rows: list[AccountRow]) -> None:
        """Give the chosen customer back what was paid too much."""
        dialog = PayBackDialog(self.context, rows[0])
        dialog.saved.connect(self._paid)
        self.context.open_dialog(dialog)

    def statement(self, rows: list[AccountRow]) -> None:
        """Ask for the days of a statement, and show it."""
        self.context.open_dialog(StatementDialog(self.context, rows[0]))

    def _paid(self, payment: Payment) -> None:
        amount = self.context.formats.money(payment.amount)
        self.context.say(tr("{amount} recorded. Ctrl+Z takes it back.").format(amount=amount))


class PaymentDialog(FormDialog):
    """Money that came."""

    def __init__(
        self,
        context: DeskContext,
        customers: Sequence[tuple[int, str]],
        row: AccountRow | None = None,
    ) -> None:
        owed = "" if row is None else context.formats.money(row.owed)
        super().__init__(
            tr("Payment received"),
            sentence=tr("{name} owes {owed}.").format(name=row.name, owed=owed) if row else "",
            save_title=tr("Record it"),
        )
        add = self.form.add
        add(ChoiceField("customer", tr("From"), customers, required=True,
                        value=None if row is None else row.id))  # fmt: skip
        add(
            MoneyField(
                "amount", tr("Amount"), context.formats, required=True,
                hint=tr("It settles the oldest invoices first; too much waits for the next."),
            )
        )  # fmt: skip
        add(DayField("paid_on", tr("On"), context.formats, value="today"))
        add(TextField("method", tr("How"), placeholder=tr("bank, cash, card")))
        add(NotesField("note", tr("Note")))
        self.on_save = lambda values: self.run(
            context.act, partial(record_payment, **{**values, "method": values["method"] or ""})
        )


class PayBackDialog(FormDialog):
    """Money that a customer gets back."""

    def __init__(self, context: DeskContext, row: AccountRow) -> None:
        super().__init__(
            tr("Pay back to {name}").format(name=row.name),
            sentence=tr("{amount} waits for the next invoice of {name}.").format(
                amount=context.formats.money(row.waiting), name=row.name
            ),
            save_title=tr("Record it"),
        )
        add = self.form.add
        value = row.waiting or None
        add(MoneyField("amount", tr("Amount"), context.formats, required=True, value=value))
        add(DayField("paid_on", tr("On"), context.formats, value="today"))
        add(TextField("method", tr("How"), placeholder=tr("bank, cash, card")))
        add(NotesField("note", tr("Note")))
        given = {"customer": row.id}
        self.on_save = lambda values: self.run(
            context.act,
            partial(pay_back, **{**values, **given, "method": values["method"] or ""}),
        )


class StatementDialog(FormDialog):
    """The days that a statement is about."""

    def __init__(self, context: DeskContext, row: AccountRow) -> None:
        super().__init__(tr("Statement for {name}").format(name=row.name), save_title=tr("Show it"))
        today = today_in(context.formats.zone)
        self._context, self._row = context, row
        add = self.form.add
        add(DayField("first", tr("From"), context.formats, required=True,
                     value=day_plus(today, -90)))  # fmt: skip
        add(DayField("last", tr("To"), context.formats, required=True, value=today))

    def save(self, values: dict[str, Any]) -> None:
        """Show it, to be printed or kept as PDF."""
        self._context.workplace.read(
            load_statement, self._context.farm, self._row.id, values["first"], values["last"],
            then=self._show, failed=self.form.show_error,
        )  # fmt: skip

    def _show(self, document: Document) -> None:
        self.accept()
        print_document(self._context, document, "statement", for_others=True)


def load_statement(store: FarmStore, customer: int, first: str, last: str) -> Document:
    """A customer's statement."""
    with store.reading() as reading:
        return statement(reading, customer, first, last)
