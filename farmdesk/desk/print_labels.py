"""Dialogs that print labels and wall cards, seen before they are printed."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtWidgets import QPushButton

from farmdesk.actions.labelling import prepare_cards, prepare_labels, stocks_of
from farmdesk.desk.context import DeskContext
from farmdesk.desk.fields import ChoiceField, NumberField, TextField
from farmdesk.desk.offset_dialog import OffsetDialog
from farmdesk.desk.print_dialog import Prepare, PrintDialog
from farmdesk.desk.printers import PDF
from farmdesk.desk.sheet_picture import SheetPicture
from farmdesk.desk.station_formats import usual_stock
from farmdesk.labels.stocks import Stock
from farmdesk.settings.print_offsets import Offset
from farmdesk.store.farm_store import FarmStore
from farmdesk.wording.language import tr

if TYPE_CHECKING:
    from farmdesk.desk.session import Session

_ADVICE = tr(
    "Stick labels after the heat run, not on the filter and not on a fold. Print a PDF at 100 %,"
    " without fitting to the page."
)


class LabelsDialog(PrintDialog):
    """Labels of bags, a batch, spawn, picks or packs, on any stock, from any place of a sheet."""

    def __init__(self, context: DeskContext, words: str = "", *, title: str = "") -> None:
        super().__init__(context, title or tr("Print labels"), _ADVICE, "labels.pdf")
        self.stocks: dict[str, Stock] = {}
        formats, add = context.formats, self.form.add
        self.words = add(
            TextField(
                "words", tr("Codes, names or a batch"), required=True, value=words,
                hint=tr("For example OY02-0147, or OY02-0147-001..020; several with blanks."),
            )
        )  # fmt: skip
        self.words.line.setMaxLength(100_000)
        self.words.set_value(words)
        self.stock = add(ChoiceField("stock", tr("Label stock"), required=True))
        self.copies = add(
            NumberField("copies", tr("Copies of each"), formats,
                        hint=tr("Empty: one, and of packs as many as there are."))
        )  # fmt: skip
        self.start = add(NumberField("start", tr("Start at label number"), formats, value=1))
        self.picture = SheetPicture()
        self.form.add_widget(self.picture)
        self.add_printer_fields()
        self.test = QPushButton(tr("Test print and correction …"))
        self.test.setAutoDefault(False)
        self.test.clicked.connect(self._test_print)
        self.form.add_widget(self.test)
        self.picture.start_chosen.connect(self.start.set_value)
        for field in (self.words, self.stock, self.copies, self.start):
            field.changed.connect(self.look)
        self.printer.changed.connect(self._say_offset)
        self.stock.changed.connect(self._say_offset)
        context.workplace.read(_read_stocks, context.farm, then=self._show_stocks)

    def take_scan(self, line: str) -> bool:
        """A scan while the dialog is open adds a code."""
        self.words.set_value(f"{self.words.text()} {line}".strip())
        return True

    def prepare(self) -> Prepare:
        """The labels of what the words name."""
        stock = self.stock.value()
        start = self.start.value() or 1
        self.picture.show_stock(self.stocks.get(stock), start)
        return partial(
            prepare_labels,
            self.context.farm,
            (self.words.value() or "").split(),
            stock=stock or "",
            start=start,
            copies=self.copies.value(),
        )

    def offset(self) -> Offset:
        """The correction kept for this printer and stock."""
        return self.context.print_offsets.find(self.printer.chosen() or "", self.job_stock())

    def job_stock(self) -> str:
        """The stock that is chosen, or ''."""
        return str(self.stock.chosen() or "")

    def _show_stocks(self, stocks: list[Stock]) -> None:
        self.stocks = {one.name: one for one in stocks}
        names = [(one.name, one.name) for one in stocks]
        self.stock.set_choices(names)
        if self.stock.chosen() is None:
            self.stock.set_value(usual_stock(names, self.context.preferences))
        self.look()
        self._say_offset()

    def _say_offset(self) -> None:
        printer = self.printer.chosen()
        self.test.setEnabled(bool(printer) and self.job_stock() in self.stocks)
        if printer == PDF:
            self.stock.set_hint("")
            return
        offset, number = self.offset(), self.context.formats.number
        told = tr("No correction is kept for this printer.")
        if offset != Offset():
            told = tr("Moved {right} mm to the right and {down} mm down.").format(
                right=number(offset.right_um / 1000, 1), down=number(offset.down_um / 1000, 1)
            )
        self.stock.set_hint(told)

    def _test_print(self) -> None:
        dialog = OffsetDialog(self.context, self.printer.value(), self.stocks[self.job_stock()])
        dialog.open_printer = self.open_printer
        dialog.saved.connect(lambda _: self._say_offset())
        self.context.open_dialog(dialog)


class PrintLabelsDialog(LabelsDialog):
    """Labels of whatever is named, from the menu."""

    def __init__(self, session: Session, words: str = "") -> None:
        super().__init__(session.context, words)


class PrintCardsDialog(PrintDialog):
    """All wall cards: rooms, acts and reasons for discard."""

    def __init__(self, session: Session) -> None:
        super().__init__(
            session.context,
            tr("Print wall cards"),
            tr("Cards for doors and benches: scan one, and the scans after it mean what it says."),
            "wall-cards.pdf",
        )
        papers = [("a4", "A4"), ("letter", tr("Letter"))]
        usual = "letter" if self.context.formats.paper == "letter" else "a4"
        self.paper = self.form.add(
            ChoiceField("paper", tr("Paper"), papers, required=True, value=usual)
        )
        self.add_printer_fields()
        self.paper.changed.connect(self.look)
        self.look()

    def count_text(self, count: int) -> str:
        """So many cards."""
        return self.context.formats.count(count, "card", "cards")

    def prepare(self) -> Prepare:
        """All cards in use."""
        return partial(prepare_cards, self.context.farm, paper=self.paper.value())


def _read_stocks(store: FarmStore) -> list[Stock]:
    with store.reading() as reading:
        return stocks_of(reading)
