"""Invoices: what is to be paid, by whom, since when."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import ClassVar

from farmdesk.desk.pages.sales_credit import CreditDialog
from farmdesk.desk.pages.sales_dialogs import PaidDialog
from farmdesk.desk.pages.sales_files import Paper
from farmdesk.desk.pages.sales_part import SalesPart
from farmdesk.desk.tables import Column
from farmdesk.domain.trade import CreditNote
from farmdesk.paper.tables import Kind
from farmdesk.reports.sales_lists import InvoiceRow, SalesThings
from farmdesk.wording.language import tr

_STATES = {
    "paid": tr("paid"),
    "part": tr("paid in part"),
    "open": tr("open"),
    "overdue": tr("▲ overdue"),
    "credit": tr("credit note"),
}


class InvoicesPart(SalesPart):
    """Invoices, what is to be paid first."""

    title = tr("Invoices")
    help_text = tr(
        "Invoices, those to be paid first, and credit notes below them. Ctrl+E marks them as paid,"
        " Ctrl+R takes lines off one again by a credit note, Ctrl+B writes them as PDF. Their"
        " numbers follow each other without a gap: only the last one can be taken back. Payments"
        " in part are recorded in Accounts."
    )
    kinds: ClassVar[dict[str, Kind]] = {"total": "money", "owed": "money"}
    empty_text = tr(
        "No invoices yet. They are issued with a delivery, or from the list of deliveries with"
        " Ctrl+R."
    )

    def columns(self) -> list[Column]:
        """The columns of invoices."""
        return [
            Column("name", tr("Invoice"), width=10),
            Column("customer", tr("Customer"), width=20),
            Column("issued_on", tr("Date"), text=self.day, width=13),
            Column("total", tr("Total"), text=self.money, width=12, right=True, sums=True),
            Column("owed", tr("To pay"), text=self._owed, width=12, right=True, sums=True),
            Column("state", tr("State"), text=lambda one: _STATES[one], width=11),
            Column("due_on", tr("Due"), text=self.day, width=13),
            Column("paid_on", tr("Paid on"), text=self.day, width=13),
            Column("delivery", tr("For"), width=10),
        ]

    def add_acts(self) -> None:
        """Paid, and the paper."""
        self.view.row_opened.connect(lambda row: self.papers([row]))
        self.view.add_row_action(tr("Paid …"), self.paid, shortcut="Ctrl+E")
        self.view.add_row_action(tr("Credit note …"), self.credit, shortcut="Ctrl+R", single=True)
        self.view.add_row_action(tr("PDF …"), self.papers, shortcut="Ctrl+B")

    def rows(self, things: SalesThings) -> Sequence[InvoiceRow]:
        """The invoices."""
        return things.invoices

    def papers(self, rows: list[InvoiceRow]) -> None:
        """Write invoices."""
        self.write_papers(
            [
                Paper("credit note" if one.state == "credit" else "invoice", one.id, one.name)
                for one in rows
            ]
        )

    def credit(self, rows: list[InvoiceRow]) -> None:
        """Take lines off an invoice again."""
        if self.things is None:
            return
        if rows[0].state == "credit":
            self.context.say(tr("That is a credit note. Choose an invoice."))
            return
        dialog = CreditDialog(self.context, self.things, rows[0])
        dialog.saved.connect(self._credited)
        self.context.open_dialog(dialog)

    def _credited(self, credit: CreditNote) -> None:
        self.show_subject(credit.name)
        self.write_papers([Paper("credit note", credit.id, credit.name)])

    def _owed(self, amount: Decimal) -> str:
        return self.money(amount) if amount else ""

    def paid(self, rows: list[InvoiceRow]) -> None:
        """Mark invoices as paid."""
        waiting = [one for one in rows if one.paid_on is None and one.state != "credit"]
        if not waiting:
            self.context.say(tr("They are paid already."))
            return
        self.context.open_dialog(PaidDialog(self.context, waiting))
