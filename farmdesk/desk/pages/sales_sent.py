"""Deliveries: what went out, and its papers."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from typing import ClassVar

from farmdesk.desk.life_dialog import open_life
from farmdesk.desk.pages.sales_dialogs import bill_deliveries
from farmdesk.desk.pages.sales_files import Paper
from farmdesk.desk.pages.sales_part import SalesPart
from farmdesk.desk.tables import Column
from farmdesk.domain.trade import Invoice
from farmdesk.paper.tables import Kind
from farmdesk.reports.sales_lists import DeliveryRow, SalesThings
from farmdesk.wording.language import tr


class SentPart(SalesPart):
    """What went out, newest first."""

    title = tr("Deliveries")
    help_text = tr(
        "What went out, newest first. Ctrl+B writes the delivery note, Ctrl+R the invoice, which"
        " is issued first where there is none yet. Ctrl+T sells without an order. Enter shows"
        " where the lots came from."
    )
    kinds: ClassVar[dict[str, Kind]] = {"total": "money", "mass_mg": "mass"}
    empty_text = tr(
        "Nothing has gone out yet. Deliver an order with Ctrl+E in its list, or press Ctrl+T to"
        " sell without one."
    )

    def columns(self) -> list[Column]:
        """The columns of deliveries."""
        return [
            Column("name", tr("Delivery"), width=10),
            Column("customer", tr("Customer"), width=20),
            Column("delivered_on", tr("On"), text=self.day, width=13),
            Column("order", tr("Order"), width=9),
            Column("sent", tr("What"), width=38),
            Column("mass_mg", tr("Weight"), text=self.mass, width=11, right=True),
            Column("total", tr("Worth"), text=self.money, width=11, right=True, sums=True),
            Column("invoice", tr("Invoice"), text=lambda one: one or tr("none yet"), width=10),
            Column("note", tr("Note"), width=22),
        ]

    def add_acts(self) -> None:
        """The life of a delivery, its note and its invoice."""
        self.view.row_opened.connect(lambda row: open_life(self.context, row.id))
        self.view.add_row_action(tr("Delivery note …"), self.notes, shortcut="Ctrl+B")
        self.view.add_row_action(tr("Invoice …"), self.bill, shortcut="Ctrl+R")

    def rows(self, things: SalesThings) -> Sequence[DeliveryRow]:
        """The deliveries."""
        return things.deliveries

    def notes(self, rows: list[DeliveryRow]) -> None:
        """Write delivery notes."""
        self.write_papers([Paper("delivery note", one.id, one.name) for one in rows])

    def bill(self, rows: list[DeliveryRow]) -> None:
        """The invoices' papers; those that are not issued yet are issued first."""
        missing = [one.id for one in rows if one.invoice_id is None]
        known = [Paper("invoice", one.invoice_id, one.invoice) for one in rows if one.invoice_id]
        if not missing:
            self.write_papers(known)
            return
        action = partial(bill_deliveries, ids=missing)
        self.context.act(action, then=partial(self._billed, known))

    def _billed(self, known: list[Paper], bills: list[Invoice]) -> None:
        self.write_papers([*known, *[Paper("invoice", one.id, one.name) for one in bills]])
