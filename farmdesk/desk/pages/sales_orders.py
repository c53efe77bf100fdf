"""Orders: taken, changed, delivered, cancelled."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

from farmdesk.desk.exporting import print_table
from farmdesk.desk.pages.sales_dialogs import CancelDialog, DeliverDialog, OrderDialog
from farmdesk.desk.pages.sales_packing import load_packing_list
from farmdesk.desk.pages.sales_part import SalesPart
from farmdesk.desk.pages.sales_promise import PromiseDialog
from farmdesk.desk.tables import Column
from farmdesk.domain.trade import Order
from farmdesk.reports.sales_lists import OrderRow, SalesThings
from farmdesk.wording.language import tr, tr_count
from farmdesk.wording.states import say_state

_MARKS = {"late": tr("▲ late"), "today": tr("● today")}


class OrdersPart(SalesPart):
    """Open orders by the day they are due, then the newest of the others."""

    title = tr("Orders")
    help_text = tr(
        "Orders, open ones first by the day they are due. Ctrl+N takes one, Ctrl+K takes those of"
        " standing orders. Ctrl+D promises what is free. Ctrl+B prints the packing list of the"
        " chosen orders by place, Ctrl+E delivers one: lots are proposed by earliest shelf date,"
        " thinking of the orders of the week after. Prices come from the customer's list. Amounts"
        " are before tax until they are on the invoice."
    )
    empty_text = tr(
        "No orders yet. Add customers, products and prices in the catalogue (Ctrl+9), then press"
        " Ctrl+N to take the first."
    )
    things: SalesThings | None

    def columns(self) -> list[Column]:
        """The columns of orders."""
        return [
            Column("name", tr("Order"), width=9),
            Column("customer", tr("Customer"), width=20),
            Column("due_on", tr("Due"), text=self.day, width=13),
            Column("mark", tr("When"), text=lambda one: _MARKS.get(one, one), width=9),
            Column("status", tr("State"), text=say_state, width=10),
            Column("wanted", tr("Wanted"), width=38),
            Column("total", tr("Worth"), text=self.money, width=11, right=True, sums=True),
            Column("promised", tr("Promised"), width=22),
            Column("delivered", tr("Delivered"), width=22),
            Column("taken_on", tr("Taken"), text=self.day, width=13),
            Column("note", tr("Note"), width=22),
        ]

    def add_acts(self) -> None:
        """Deliver, change, cancel."""
        self.view.row_opened.connect(self.open_order)
        self.view.add_row_action(tr("Deliver …"), self.deliver, shortcut="Ctrl+E", single=True)
        self.view.add_row_action(tr("Change …"), self.change, shortcut="Ctrl+R", single=True)
        self.view.add_row_action(tr("Promise …"), self.promise, shortcut="Ctrl+D", single=True)
        self.view.add_row_action(tr("Packing list …"), self.packing_list, shortcut="Ctrl+B")
        self.view.add_row_action(tr("Cancel …"), self.cancel, shortcut="Del", single=True)

    def rows(self, things: SalesThings) -> Sequence[OrderRow]:
        """The orders."""
        return things.orders

    def open_order(self, row: OrderRow) -> None:
        """What Enter does: deliver it while it is open."""
        self.deliver([row])

    def deliver(self, rows: list[OrderRow]) -> None:
        """Deliver an order."""
        if self.things is not None and self._is_open(rows[0]):
            dialog = DeliverDialog(
                self.context, self.things, rows[0],
                on_sent=self.page.sent,  # type: ignore[attr-defined]
            )  # fmt: skip
            self.context.open_dialog(dialog)

    def change(self, rows: list[OrderRow]) -> None:
        """Change an open order."""
        if self.things is None or not self._is_open(rows[0]):
            return
        dialog = OrderDialog(self.context, self.things, rows[0])
        dialog.saved.connect(self.order_kept)
        self.context.open_dialog(dialog)

    def promise(self, rows: list[OrderRow]) -> None:
        """Say what is coming of an open order."""
        if self.things is not None and self._is_open(rows[0]):
            self.context.open_dialog(PromiseDialog(self.context, self.things, rows[0]))

    def packing_list(self, rows: list[OrderRow]) -> None:
        """Show the packing list of the chosen orders, to be printed."""
        self.context.workplace.read(
            load_packing_list, self.context.farm, [one.id for one in rows],
            then=partial(print_table, self.context), failed=self.context.show_error,
        )  # fmt: skip

    def cancel(self, rows: list[OrderRow]) -> None:
        """Cancel an open order."""
        if self._is_open(rows[0]):
            self.context.open_dialog(CancelDialog(self.context, rows[0]))

    def order_kept(self, order: Order) -> None:
        """Go to an order that was taken or changed."""
        self.show_subject(order.name)
        self.context.say(tr("{name} is kept. Ctrl+E delivers it.").format(name=order.name))

    def taken(self, orders: list[Order]) -> None:
        """Go to the first of several orders that were taken."""
        self.show_subject(orders[0].name)
        count = len(orders)
        self.context.say(tr_count(count, "{n} order taken.", "{n} orders taken.").format(n=count))

    def _follow_wanted(self) -> None:
        """`deliver O-0012` delivers the order at once."""
        act, _, name = self._wanted.rpartition(" ")
        self._wanted = name
        super()._follow_wanted()
        if act != "deliver":
            return
        row = self.view.current_row()
        if self.things is None or row is None or row.name.casefold() != name:
            self._wanted = f"{act} {name}" if self.things is None else name
            return
        self.deliver([row])

    def _is_open(self, row: OrderRow) -> bool:
        if row.status != "open":
            self.context.say(
                tr("{name} is {status}: nothing can be changed in it.").format(
                    name=row.name, status=say_state(row.status)
                )
            )
        return row.status == "open"
