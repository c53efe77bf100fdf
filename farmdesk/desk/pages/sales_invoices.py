"""Invoices: what is to be paid, by whom, since when."""

from __future__ import annotations

from collections.abc import Sequence

from farmdesk.desk.pages.sales_dialogs import PaidDialog
from farmdesk.desk.pages.sales_files import Paper
from farmdesk.desk.pages.sales_part import SalesPart
from farmdesk.desk.tables import Column
from farmdesk.reports.sales_lists import InvoiceRow, SalesThings
from farmdesk.wording.language import tr

_STATES = {"paid": tr("paid"), "open": tr("open"), "overdue": tr("▲ overdue")}


class InvoicesPart(SalesPart):
    """Invoices, what is to be paid first."""

    title = tr("Invoices")
    help_text = tr(
        "Invoices, those to be paid first. Ctrl+E marks them as paid, Ctrl+B writes them as PDF."
        " Their numbers follow each other without a gap."
    )
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
            Column("total", tr("To pay"), text=self.money, width=12, right=True, sums=True),
            Column("state", tr("State"), text=lambda one: _STATES[one], width=11),
            Column("due_on", tr("Due"), text=self.day, width=13),
            Column("paid_on", tr("Paid on"), text=self.day, width=13),
            Column("delivery", tr("Delivery"), width=10),
        ]

    def add_acts(self) -> None:
        """Paid, and the paper."""
        self.view.row_opened.connect(lambda row: self.papers([row]))
        self.view.add_row_action(tr("Paid …"), self.paid, shortcut="Ctrl+E")
        self.view.add_row_action(tr("Invoice as PDF …"), self.papers, shortcut="Ctrl+B")

    def rows(self, things: SalesThings) -> Sequence[InvoiceRow]:
        """The invoices."""
        return things.invoices

    def papers(self, rows: list[InvoiceRow]) -> None:
        """Write invoices."""
        self.write_papers([Paper("invoice", one.id, one.name) for one in rows])

    def paid(self, rows: list[InvoiceRow]) -> None:
        """Mark invoices as paid."""
        waiting = [one for one in rows if one.paid_on is None]
        if not waiting:
            self.context.say(tr("They are paid already."))
            return
        self.context.open_dialog(PaidDialog(self.context, waiting))
