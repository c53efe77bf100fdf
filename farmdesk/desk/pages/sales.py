"""Sales: orders, what went out, invoices and their papers, one part on each tab."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from typing import ClassVar

from PySide6.QtWidgets import QWidget

from farmdesk.desk.context import DeskContext
from farmdesk.desk.pages.sales_accounts import AccountsPart
from farmdesk.desk.pages.sales_dialogs import OrderDialog, SellDialog, Sent
from farmdesk.desk.pages.sales_files import Paper, PapersDialog
from farmdesk.desk.pages.sales_invoices import InvoicesPart
from farmdesk.desk.pages.sales_markets import MarketsPart
from farmdesk.desk.pages.sales_offer import OfferPart
from farmdesk.desk.pages.sales_orders import OrdersPart
from farmdesk.desk.pages.sales_sent import SentPart
from farmdesk.desk.pages.sales_standing import TakeStandingDialog, read_due
from farmdesk.desk.tabbed_page import TabbedPage
from farmdesk.reports.sales_lists import SalesThings, load_sales
from farmdesk.wording.language import tr

_SELL = "sell "
_PART_OF = {"O": "orders", "D": "sent", "I": "invoices", "N": "invoices", "M": "markets"}
"""Which part shows a paper, by the letter that its number starts with."""


class SalesPage(TabbedPage):
    """Ctrl+N takes an order, Ctrl+T sells without one, wherever on the page."""

    title = tr("Sales")
    help_text = tr("Orders, deliveries and money, a part on each tab.")
    interest = frozenset(
        {"order", "order_line", "delivery", "delivery_line", "invoice", "customer", "product",
         "price", "price_list", "pick", "pack", "standing_order", "bag", "credit_note", "payment",
         "payment_share", "market_day", "market_line", "tax_rate"}
    )  # fmt: skip
    parts: ClassVar = (
        ("orders", OrdersPart.title, OrdersPart),
        ("sent", SentPart.title, SentPart),
        ("invoices", InvoicesPart.title, InvoicesPart),
        ("accounts", AccountsPart.title, AccountsPart),
        ("offer", OfferPart.title, OfferPart),
        ("markets", MarketsPart.title, MarketsPart),
    )

    def __init__(self, context: DeskContext, parent: QWidget | None = None) -> None:
        super().__init__(context, parent)
        self.add_page_action(
            tr("Standing orders"), self.take_standing, shortcut="Ctrl+K",
            hint=tr("Take orders of what customers want every week"),
        )  # fmt: skip
        self.add_page_action(
            tr("Sell without order"), self.sell, shortcut="Ctrl+T",
            hint=tr("At the farm gate: what leaves now"),
        )  # fmt: skip
        self.add_page_action(
            tr("New market day"), self.new_market, shortcut="Ctrl+M",
            hint=tr("What goes along to a market, and what comes back"),
        )  # fmt: skip
        self.add_page_action(tr("New order"), self.new_order, shortcut="Ctrl+N", icon="add")

    def show_subject(self, subject: str) -> None:
        """Show a paper by its number; `sell P-OY-0312` sells a lot, `deliver O-0012` an order."""
        words = subject.strip()
        if words.casefold().startswith(_SELL):
            self.sell(words[len(_SELL) :].split())
            return
        number = words.rpartition(" ")[2]
        key = _PART_OF.get(number.partition("-")[0].upper()) if "-" in number else None
        if key is None:
            super().show_subject(subject)
        else:
            self.show_part(key, words)

    def new_order(self) -> None:
        """Take an order."""
        self._with_things(self._ask_order)

    def take_standing(self) -> None:
        """Take the orders of the days to come from standing orders."""
        read_due(self.context, self._ask_standing)

    def _ask_standing(self, due: str) -> None:
        dialog = TakeStandingDialog(self.context, due)
        dialog.saved.connect(lambda orders: self._orders().taken(orders))
        self.context.open_dialog(dialog)

    def new_market(self) -> None:
        """Begin a market day."""
        part = self.show_part("markets")
        assert isinstance(part, MarketsPart)
        part.begin()

    def sell(self, names: Sequence[str] = ()) -> None:
        """Sell without an order, these lots first."""
        self._with_things(partial(self._ask_sale, names))

    def sent(self, sent: Sent) -> None:
        """Go to what went out, and write its papers."""
        delivery, bill = sent
        papers = [Paper("delivery note", delivery.id, delivery.name)]
        if bill is not None:
            papers.append(Paper("invoice", bill.id, bill.name))
        self.show_part("sent", delivery.name)
        self.context.say(
            tr("{name} is kept. Now its papers; Esc leaves them out.").format(name=delivery.name)
        )
        self.context.open_dialog(PapersDialog(self.context, papers))

    def _with_things(self, then: Callable[[SalesThings], object]) -> None:
        self.context.workplace.read(load_sales, self.context.farm, then=then)

    def _ask_order(self, things: SalesThings) -> None:
        dialog = OrderDialog(self.context, things)
        dialog.saved.connect(lambda order: self._orders().order_kept(order))
        self.context.open_dialog(dialog)

    def _orders(self) -> OrdersPart:
        part = self.show_part("orders")
        assert isinstance(part, OrdersPart)
        return part

    def _ask_sale(self, names: Sequence[str], things: SalesThings) -> None:
        wanted = {name.casefold() for name in names}
        lots = [one.id for one in things.lots if one.lot.casefold() in wanted]
        self.context.open_dialog(SellDialog(self.context, things, lots=lots, on_sent=self.sent))
