"""Market days: what goes along, what comes back, and the money."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from typing import Any, ClassVar

from farmdesk.actions.base import Act
from farmdesk.actions.markets import drop_market
from farmdesk.desk.exporting import print_document
from farmdesk.desk.pages.market_dialogs import CloseDialog, LoadDialog, OpenDialog
from farmdesk.desk.pages.sales_part import SalesPart
from farmdesk.desk.tables import Column
from farmdesk.domain.trade import MarketDay
from farmdesk.paper.documents import Document
from farmdesk.paper.tables import Kind
from farmdesk.reports.markets import MarketRow, MarketThings, load_markets, load_sheet
from farmdesk.store.farm_store import FarmStore
from farmdesk.wording.language import tr

_STATES = {"open": tr("● going on"), "closed": tr("closed")}


class MarketsPart(SalesPart):
    """Days at a market, the newest first."""

    title = tr("Market days")
    help_text = tr(
        "A day at a market: Ctrl+M begins one, Ctrl+R takes lots along (they leave the cold"
        " store), Ctrl+B shows the load sheet, Ctrl+E closes the day: what came back goes into"
        " its lots again, what was lost leaves as waste, the rest counts as sold and is delivered"
        " to the market, so that every lot can be followed there. Prices hold the tax. Cash and"
        " cards counted are set against what was sold."
    )
    kinds: ClassVar[dict[str, Kind]] = {
        "takings": "money", "difference": "money", "fee": "money", "cash": "money",
        "card": "money",
    }  # fmt: skip
    empty_text = tr("No market day yet. Add the market as a customer, then press Ctrl+M.")
    load: ClassVar[Callable[[FarmStore], Any]] = staticmethod(load_markets)
    things: MarketThings | None

    def columns(self) -> list[Column]:
        """The columns of market days."""
        money: dict[str, Any] = {"text": self._amount, "right": True, "width": 14}
        return [
            Column("name", tr("Market day"), width=11),
            Column("customer", tr("Market"), width=20),
            Column("held_on", tr("Day"), text=self.day, width=13),
            Column("status", tr("State"), text=lambda one: _STATES.get(one, one), width=11),
            Column("loaded", tr("Taken along"), width=34),
            Column("takings", tr("Sold"), sums=True, **money),
            Column("difference", tr("Money difference"), **money),
            Column("fee", tr("Stand fee"), **money),
            Column("cash", tr("Cash"), **money),
            Column("card", tr("By card"), **money),
            Column("note", tr("Note"), width=20),
        ]

    def add_acts(self) -> None:
        """Begin, take along, close."""
        self.view.row_opened.connect(self._open_row)
        self.view.add_row_action(tr("Take along …"), self.take_along, shortcut="Ctrl+R",
                                 single=True)  # fmt: skip
        self.view.add_row_action(tr("Close the day …"), self.close_day, shortcut="Ctrl+E",
                                 single=True)  # fmt: skip
        self.view.add_row_action(tr("Load sheet …"), self.sheet, shortcut="Ctrl+B", single=True)
        self.view.add_row_action(tr("Drop"), self.drop, shortcut="Del", single=True)

    def rows(self, things: MarketThings) -> Sequence[MarketRow]:
        """The market days."""
        return things.days

    def begin(self) -> None:
        """Begin a market day."""
        self.context.workplace.read(load_markets, self.context.farm, then=self._ask_begin)

    def take_along(self, rows: list[MarketRow]) -> None:
        """Take lots along."""
        if self.things is not None and self._is_open(rows[0]):
            self.context.open_dialog(LoadDialog(self.context, self.things, rows[0]))

    def close_day(self, rows: list[MarketRow]) -> None:
        """Count what came back and the money."""
        if self.things is None or not self._is_open(rows[0]):
            return
        dialog = CloseDialog(self.context, self.things, rows[0])
        dialog.saved.connect(lambda _: self.show_subject(rows[0].name))
        self.context.open_dialog(dialog)

    def sheet(self, rows: list[MarketRow]) -> None:
        """Show the load sheet."""
        self.context.workplace.read(
            load_the_sheet, self.context.farm, rows[0].id,
            then=partial(_print, self), failed=self.context.show_error,
        )  # fmt: skip

    def drop(self, rows: list[MarketRow]) -> None:
        """Take a day away that does not happen; everything goes back."""
        if self._is_open(rows[0]):
            self.context.act(partial(_drop, day=rows[0].id))

    def _ask_begin(self, things: MarketThings) -> None:
        dialog = OpenDialog(self.context, things)
        dialog.saved.connect(lambda day: self.show_subject(day.name))
        self.context.open_dialog(dialog)

    def _open_row(self, row: MarketRow) -> None:
        if row.status == "open":
            self.take_along([row]) if not row.lines else self.close_day([row])
        else:
            self.sheet([row])

    def _is_open(self, row: MarketRow) -> bool:
        if row.status != "open":
            self.context.say(tr("{name} is closed: Ctrl+Z takes that back.").format(name=row.name))
        return row.status == "open"

    def _amount(self, amount: Any) -> str:
        return "" if amount is None else self.money(amount)


def load_the_sheet(store: FarmStore, day: int) -> Document:
    """The load sheet of a market day."""
    with store.reading() as reading:
        return load_sheet(reading, day)


def _print(part: MarketsPart, document: Document) -> None:
    print_document(part.context, document, "load-sheet")


def _drop(act: Act, *, day: int) -> None:
    drop_market(act, act.need(MarketDay, day))
