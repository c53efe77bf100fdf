"""What can be offered to those who buy: on screen, on paper, as a file, as a message."""

from __future__ import annotations

from functools import partial

from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QGridLayout, QLabel

from farmdesk.desk.choosers import make_chooser
from farmdesk.desk.exporting import export_table, offer_taking, print_document
from farmdesk.desk.fields import DayField
from farmdesk.desk.keyed_actions import add_keyed_action
from farmdesk.desk.list_view import ListView
from farmdesk.desk.overflow import OverflowBar
from farmdesk.desk.tabbed_page import Part, TabbedPage
from farmdesk.desk.tables import Column
from farmdesk.domain.catalogue import PriceList
from farmdesk.errors import NotUnderstood
from farmdesk.reports.offer import (
    Offer,
    OfferRow,
    offer_document,
    offer_notes,
    offer_table,
    offer_text,
    read_offer,
    say_amount,
)
from farmdesk.store.farm_store import FarmStore
from farmdesk.wording.language import tr
from farmdesk.wording.sentences import say_error
from farmdesk.wording.states import say_unit

_LARGE_PX = 26


class OfferPart(Part):
    """Every product with what is free of it until a day, at the prices of a list."""

    title = tr("Offer")
    help_text = tr(
        "What can be promised until a day: stock that lasts that long and the low figure of what"
        " will be picked by then, less all that is promised, for that day and for later ones. A"
        " kilogram that can be sold loose or in packs stands at both, and is one kilogram. Ctrl+B"
        " shows the sheet for those who buy, Ctrl+D copies it as a message."
    )

    def __init__(self, page: TabbedPage) -> None:
        super().__init__(page)
        self.offer: Offer | None = None
        self.list_choice = make_chooser(tr("Price list"), self.refresh)
        self.until = DayField(
            "until", tr("For delivery by"), self.context.formats,
            placeholder=tr("three days from today"),
        )  # fmt: skip
        self.until.line.editingFinished.connect(self._day_typed)
        self.notes = QLabel()
        self.notes.setWordWrap(True)
        self.notes.setObjectName("muted")
        self.view = ListView(
            [
                Column("name", tr("Product"), width=24),
                Column("free", tr("Available"), text=str, width=13, right=True),
                Column("price", tr("Price"), text=self._price, width=11, right=True),
                Column("unit", tr("for one"), text=say_unit, width=8),
                Column("shelf_on", tr("Keeps until at least"), text=self._day, width=17),
                Column("on_hand", tr("On hand"), text=str, width=13, right=True),
                Column("promised", tr("Promised"), text=str, width=13, right=True),
                Column("free_now", tr("Free now"), text=str, width=13, right=True),
            ],
            name=self.title,
            empty_text=tr("No products yet. Add them in the catalogue (Ctrl+9)."),
        )
        offer_taking(self.view, page, self.title)
        self.view.on_print = self.print_page
        self.view.on_export = self._export
        self._lay_out()

    def _lay_out(self) -> None:
        name = QLabel(tr("Price list"))
        name.setBuddy(self.list_choice)
        acts = OverflowBar(self)
        for title, keys, function in (
            (tr("Copy as message"), "Ctrl+D", self.copy),
            (tr("Sheet for buyers …"), "Ctrl+B", self.print_page),
        ):
            acts.add_action(add_keyed_action(self, title, keys, function))
        head = QGridLayout()
        head.addWidget(name, 0, 0)
        head.addWidget(self.list_choice, 0, 1)
        head.addWidget(acts, 0, 3)
        is_large = self.fontMetrics().height() > _LARGE_PX
        head.addWidget(self.until, *((1, 0, 1, 4) if is_large else (0, 2)))
        head.setColumnStretch(2, 1)
        head.setColumnStretch(3, 1)
        self.body.addLayout(head)
        self.body.addWidget(self.view, 1)
        self.body.addWidget(self.notes)

    def refresh(self) -> None:
        """Count again what is free."""
        try:
            until = self.until.value()
        except NotUnderstood as error:
            self.until.show_problem(say_error(error))
            return
        self.context.workplace.read_newest(
            load_offer, self.context.farm, self.list_choice.currentData(), until, then=self._show
        )

    def print_page(self) -> bool:
        """Show the sheet for those who buy."""
        if self.offer is not None:
            print_document(self.context, offer_document(self.offer), "offer", for_others=True)
        return True

    def copy(self) -> None:
        """Put the offer on the clipboard as plain text."""
        if self.offer is not None:
            QGuiApplication.clipboard().setText(offer_text(self.offer))
            self.context.say(tr("Copied. Paste it into a message."))

    def _export(self) -> None:
        if self.offer is not None:
            export_table(self.context, self, offer_table(self.offer))

    def _day_typed(self) -> None:
        shown = None if self.offer is None else self.offer.until
        try:
            if self.until.value() not in (None, shown):
                self.refresh()
        except NotUnderstood as error:
            self.until.show_problem(say_error(error))

    def _show(self, found: tuple[Offer, list[tuple[int, str]]]) -> None:
        self.offer, lists = found
        if [self.list_choice.itemData(at) for at in range(self.list_choice.count())] != [
            one for one, _ in lists
        ]:
            chosen = self.list_choice.currentData()
            self.list_choice.clear()
            for key, name in lists:
                self.list_choice.addItem(name, key)
            self.list_choice.setCurrentIndex(max(0, self.list_choice.findData(chosen)))
            if lists and chosen is None:
                self.refresh()
        self.until.set_hint(self.context.formats.day(self.offer.until))
        say = partial(_say_row, self.offer)
        self.view.set_rows([say(one) for one in self.offer.rows])
        self.notes.setText(" ".join(offer_notes(self.offer, self.context.formats)))

    def _price(self, amount: object) -> str:
        return "" if amount is None else self.context.formats.money(amount)  # type: ignore[arg-type]

    def _day(self, day: str | None) -> str:
        return self.context.formats.day(day) if day else ""


def load_offer(
    store: FarmStore, price_list: int | None, until: str | None
) -> tuple[Offer, list[tuple[int, str]]]:
    """The offer, and the price lists there are to choose from."""
    with store.reading() as reading:
        lists = [(one.id, one.name) for one in reading.all(PriceList) if not one.retired]
        return read_offer(reading, price_list=price_list, until=until), lists


class _Said:
    """A row in words, as the list shows it."""

    def __init__(self, offer: Offer, row: OfferRow) -> None:
        self.name, self.unit, self.price, self.shelf_on = (
            row.name,
            row.unit,
            row.price,
            row.shelf_on,
        )
        for key in ("free", "on_hand", "promised", "free_now"):
            setattr(self, key, say_amount(getattr(row, key), row, offer.terms))


def _say_row(offer: Offer, row: OfferRow) -> _Said:
    return _Said(offer, row)
