"""Sales: orders, what went out, invoices and their papers."""

from __future__ import annotations

from functools import partial
from typing import Any

from PySide6.QtWidgets import QTabWidget, QWidget

from farmdesk.desk.context import DeskContext
from farmdesk.desk.exporting import offer_taking, print_table, table_of
from farmdesk.desk.life_dialog import open_life
from farmdesk.desk.list_view import ListView
from farmdesk.desk.page import Page
from farmdesk.desk.pages.sales_dialogs import (
    CancelDialog,
    DeliverDialog,
    OrderDialog,
    PaidDialog,
    SellDialog,
    Sent,
    bill_deliveries,
)
from farmdesk.desk.pages.sales_files import Paper, PapersDialog
from farmdesk.desk.tables import Column
from farmdesk.domain.trade import Invoice, Order
from farmdesk.paper.tables import Kind
from farmdesk.reports.sales_lists import (
    DeliveryRow,
    InvoiceRow,
    OrderRow,
    SalesThings,
    load_sales,
)
from farmdesk.wording.language import tr

_MONEY: dict[str, Kind] = {"total": "money"}
_SENT: dict[str, Kind] = {"total": "money", "mass_mg": "mass"}
_TITLES = (tr("Orders"), tr("Deliveries"), tr("Invoices"))
_ORDER_MARKS = {"late": tr("▲ late"), "today": tr("● today")}
_STATES = {"paid": "paid", "open": "open", "overdue": tr("▲ overdue")}
_SELL = "sell "


class SalesPage(Page):
    """Three lists in tabs; Ctrl+N takes an order, Ctrl+E delivers the chosen one."""

    title = tr("Sales")
    help_text = tr(
        "Orders, open ones first by the day they are due. Ctrl+N takes one, "
        "Ctrl+E delivers it: lots are proposed by earliest shelf date. Ctrl+T "
        "sells without an order. Prices come from the customer's list. Amounts "
        "are before tax until they are on the invoice."
    )
    interest = frozenset(
        {"order", "order_line", "delivery", "delivery_line", "invoice", "customer", "product",
         "price", "price_list", "pick", "pack"}
    )  # fmt: skip

    def __init__(self, context: DeskContext, parent: QWidget | None = None) -> None:
        super().__init__(context, parent)
        self.things: SalesThings | None = None
        self._wanted = ""
        self.add_page_action(
            tr("Sell without order"), self.sell, shortcut="Ctrl+T",
            hint=tr("At a market or the farm gate: what leaves now"),
        )  # fmt: skip
        self.add_page_action(tr("New order"), self.new_order, shortcut="Ctrl+N", icon="add")
        self.orders = self._make_orders()
        self.deliveries = self._make_deliveries()
        self.invoices = self._make_invoices()
        self.tabs = QTabWidget()
        self.tabs.setAccessibleName(tr("Lists of sales"))
        for view, title in zip(self._views(), _TITLES, strict=True):
            self.tabs.addTab(view, title)
        self.body.addWidget(self.tabs, 1)

    # ---- what pages do

    def refresh(self) -> None:
        """Read orders, deliveries and invoices again."""
        self.context.workplace.read(load_sales, self.context.farm, then=self._show)

    def show_subject(self, subject: str) -> None:
        """Show an order, delivery or invoice by its number; `sell P-OY-0312` sells a lot."""
        self._wanted = subject
        self._follow_wanted()

    def print_page(self) -> bool:
        """Print the list shown."""
        at = self.tabs.currentIndex()
        kinds = _SENT if at == 1 else _MONEY
        print_table(self.context, table_of(self._views()[at], _TITLES[at], kinds, for_paper=True))
        return True

    def _views(self) -> tuple[ListView, ListView, ListView]:
        return self.orders, self.deliveries, self.invoices

    def _show(self, things: SalesThings) -> None:
        self.things = things
        self.orders.set_rows(things.orders)
        self.deliveries.set_rows(things.deliveries)
        self.invoices.set_rows(things.invoices)
        self._follow_wanted()

    def _follow_wanted(self) -> None:
        if not self._wanted or self.things is None:
            return
        wanted = self._wanted.strip().casefold()
        if wanted.startswith(_SELL):
            self._wanted = ""
            names = wanted.removeprefix(_SELL).split()
            self._sell_lots([one.id for one in self.things.lots if one.lot.casefold() in names])
            return
        for at, view in enumerate(self._views()):
            if view.choose(lambda row: row.name.casefold() == wanted):
                self.tabs.setCurrentIndex(at)
                self._wanted = ""
                return

    # ---- the lists

    def _make_orders(self) -> ListView:
        view = ListView(
            [
                Column("name", tr("Order"), width=9),
                Column("customer", tr("Customer"), width=20),
                Column("due_on", tr("Due"), text=self._day, width=13),
                Column("mark", tr("When"), text=lambda one: _ORDER_MARKS.get(one, one), width=9),
                Column("status", tr("State"), width=10),
                Column("wanted", tr("Wanted"), width=38),
                Column("total", tr("Worth"), text=self._money, width=11, right=True, sums=True),
                Column("delivered", tr("Delivered"), width=22),
                Column("taken_on", tr("Taken"), text=self._day, width=13),
                Column("note", tr("Note"), width=22),
            ],
            name=tr("Orders"),
            empty_text=tr(
                "No orders yet. Add customers, products and prices in the catalogue "
                "(Ctrl+9), then press Ctrl+N to take the first."
            ),
        )
        view.row_opened.connect(self._open_order)
        view.add_row_action(tr("Deliver …"), self._deliver, shortcut="Ctrl+E", single=True)
        view.add_row_action(tr("Change …"), self._change, shortcut="Ctrl+R", single=True)
        view.add_row_action(tr("Cancel …"), self._cancel, shortcut="Del", single=True)
        offer_taking(view, self, tr("Orders"), _MONEY)
        return view

    def _make_deliveries(self) -> ListView:
        view = ListView(
            [
                Column("name", tr("Delivery"), width=10),
                Column("customer", tr("Customer"), width=20),
                Column("delivered_on", tr("On"), text=self._day, width=13),
                Column("order", tr("Order"), width=9),
                Column("sent", tr("What"), width=38),
                Column("mass_mg", tr("Weight"), text=self._mass, width=11, right=True),
                Column("total", tr("Worth"), text=self._money, width=11, right=True, sums=True),
                Column("invoice", tr("Invoice"), text=lambda one: one or tr("none yet"), width=10),
                Column("note", tr("Note"), width=22),
            ],
            name=tr("Deliveries"),
            empty_text=tr(
                "Nothing has gone out yet. Deliver an order with Ctrl+E in its list, or "
                "press Ctrl+T to sell without one."
            ),
        )
        view.row_opened.connect(lambda row: open_life(self.context, row.id))
        view.add_row_action(tr("Delivery note …"), self._notes, shortcut="Ctrl+B")
        view.add_row_action(tr("Invoice …"), self._bill, shortcut="Ctrl+R")
        offer_taking(view, self, tr("Deliveries"), _SENT)
        return view

    def _make_invoices(self) -> ListView:
        view = ListView(
            [
                Column("name", tr("Invoice"), width=10),
                Column("customer", tr("Customer"), width=20),
                Column("issued_on", tr("Date"), text=self._day, width=13),
                Column("total", tr("To pay"), text=self._money, width=12, right=True, sums=True),
                Column("state", tr("State"), text=lambda one: _STATES[one], width=11),
                Column("due_on", tr("Due"), text=self._day, width=13),
                Column("paid_on", tr("Paid on"), text=self._day, width=13),
                Column("delivery", tr("Delivery"), width=10),
            ],
            name=tr("Invoices"),
            empty_text=tr(
                "No invoices yet. They are issued with a delivery, or from the list of "
                "deliveries with Ctrl+R."
            ),
        )
        view.row_opened.connect(lambda row: self._invoice_papers([row]))
        view.add_row_action(tr("Paid …"), self._paid, shortcut="Ctrl+E")
        view.add_row_action(tr("Invoice as PDF …"), self._invoice_papers, shortcut="Ctrl+B")
        offer_taking(view, self, tr("Invoices"), _MONEY)
        return view

    def _day(self, day: str) -> str:
        return self.context.formats.day(day) if day else ""

    def _mass(self, mg: int) -> str:
        return self.context.formats.mass(mg) if mg else ""

    def _money(self, amount: Any) -> str:
        return self.context.formats.money(amount)

    # ---- orders

    def new_order(self) -> None:
        """Take an order."""
        if self.things is not None:
            dialog = OrderDialog(self.context, self.things)
            dialog.saved.connect(self._order_kept)
            self.context.open_dialog(dialog)

    def _open_order(self, row: OrderRow) -> None:
        if row.status == "open":
            self._deliver([row])
        else:
            self._say_not_open(row)

    def _change(self, rows: list[OrderRow]) -> None:
        if self.things is None or not self._is_open(rows[0]):
            return
        dialog = OrderDialog(self.context, self.things, rows[0])
        dialog.saved.connect(self._order_kept)
        self.context.open_dialog(dialog)

    def _cancel(self, rows: list[OrderRow]) -> None:
        if self._is_open(rows[0]):
            self.context.open_dialog(CancelDialog(self.context, rows[0]))

    def _order_kept(self, order: Order) -> None:
        self._wanted = order.name
        self.context.say(tr("{name} is kept. Ctrl+E delivers it.").format(name=order.name))

    def _is_open(self, row: OrderRow) -> bool:
        if row.status != "open":
            self._say_not_open(row)
        return row.status == "open"

    def _say_not_open(self, row: OrderRow) -> None:
        self.context.say(
            tr("{name} is {status}: nothing can be changed in it.").format(
                name=row.name, status=row.status
            )
        )

    # ---- what goes out

    def _deliver(self, rows: list[OrderRow]) -> None:
        if self.things is not None and self._is_open(rows[0]):
            dialog = DeliverDialog(self.context, self.things, rows[0], on_sent=self._sent)
            self.context.open_dialog(dialog)

    def sell(self) -> None:
        """Sell without an order."""
        self._sell_lots([])

    def _sell_lots(self, lots: list[int]) -> None:
        if self.things is not None:
            dialog = SellDialog(self.context, self.things, lots=lots, on_sent=self._sent)
            self.context.open_dialog(dialog)

    def _sent(self, sent: Sent) -> None:
        delivery, bill = sent
        papers = [Paper("delivery note", delivery.id, delivery.name)]
        if bill is not None:
            papers.append(Paper("invoice", bill.id, bill.name))
        self._wanted = delivery.name
        self.context.say(
            tr("{name} is kept. Now its papers; Esc leaves them out.").format(name=delivery.name)
        )
        self._write(papers)

    def _notes(self, rows: list[DeliveryRow]) -> None:
        self._write([Paper("delivery note", one.id, one.name) for one in rows])

    def _bill(self, rows: list[DeliveryRow]) -> None:
        """The invoices' papers; those that are not issued yet are issued first."""
        missing = [one.id for one in rows if one.invoice_id is None]
        known = [Paper("invoice", one.invoice_id, one.invoice) for one in rows if one.invoice_id]
        if not missing:
            self._write(known)
            return
        action = partial(bill_deliveries, ids=missing)
        self.context.act(action, then=partial(self._billed, known))

    def _billed(self, known: list[Paper], bills: list[Invoice]) -> None:
        self._write([*known, *[Paper("invoice", one.id, one.name) for one in bills]])

    def _invoice_papers(self, rows: list[InvoiceRow]) -> None:
        self._write([Paper("invoice", one.id, one.name) for one in rows])

    def _write(self, papers: list[Paper]) -> None:
        self.context.open_dialog(PapersDialog(self.context, papers))

    def _paid(self, rows: list[InvoiceRow]) -> None:
        waiting = [one for one in rows if one.paid_on is None]
        if not waiting:
            self.context.say(tr("They are paid already."))
            return
        self.context.open_dialog(PaidDialog(self.context, waiting))
