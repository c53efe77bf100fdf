"""The test print: a ruler sheet, what is measured on it, and the correction that follows."""

from __future__ import annotations

from typing import Any

from PySide6.QtWidgets import QPushButton

from farmdesk.desk.context import DeskContext
from farmdesk.desk.dialogs import FormDialog
from farmdesk.desk.fields import ReadField
from farmdesk.desk.printers import open_printer, print_on
from farmdesk.errors import FarmdeskError
from farmdesk.labels.ruler_sheets import find_correction, ruler_of, ruler_page
from farmdesk.labels.stocks import Stock
from farmdesk.quantities.lengths import read_length
from farmdesk.settings.print_offsets import Offset
from farmdesk.wording.language import tr


class OffsetDialog(FormDialog):
    """Prints a ruler sheet on one printer and stock, and keeps what its measures say."""

    def __init__(self, context: DeskContext, printer: str, stock: Stock) -> None:
        super().__init__(
            tr("Test print on {printer}").format(printer=printer),
            sentence=tr(
                "Print the ruler sheet on an empty sheet of {stock} or plain paper of its size."
                " Measure A, B and C with a ruler, and type what you read. Every label print on"
                " this printer and stock is then moved by the difference; PDF files are not."
            ).format(stock=stock.name),
            save_title=tr("Keep the correction"),
        )
        self.context = context
        self.open_printer = open_printer
        self._printer, self._stock = printer, stock
        self.print_button = QPushButton(tr("Print the ruler sheet"))
        self.print_button.setAutoDefault(False)
        self.print_button.clicked.connect(self.print_sheet)
        self.form.add_widget(self.print_button)
        ruler, number = ruler_of(stock), context.formats.number
        self._add("right", tr("A, from the left edge to the upright line"), required=True)
        self._add("down", tr("B, from the top edge to the level line"), required=True)
        self._add("bar", tr("C, length of the bar"), required=False)
        wanted = {"right": ruler.right_um, "down": ruler.down_um, "bar": ruler.bar_um}
        for key, um in wanted.items():
            told = tr("{mm} mm wanted. Such as 19.5 mm or 0.77 in; without a unit it is mm.")
            self.form.fields[key].set_hint(told.format(mm=number(um / 1000)))

    def print_sheet(self) -> None:
        """Print the ruler sheet, without any correction."""
        try:
            printer = self.open_printer(self._printer)
            print_on(printer, [ruler_page(self._stock)], title=self.windowTitle())
        except FarmdeskError as error:
            self.form.show_error(error)
            return
        self.form.show_on_top("")
        self.form.fields["right"].setFocus()

    def save(self, values: dict[str, Any]) -> None:
        """Keep the correction for this printer and stock."""
        try:
            found = find_correction(
                self._stock,
                right_um=values["right"],
                down_um=values["down"],
                bar_um=values["bar"],
            )
            offset = Offset(found.right_um, found.down_um)
            self.context.print_offsets.keep(self._printer, self._stock.name, offset)
        except FarmdeskError as error:
            self.form.show_error(error)
            return
        self.context.say(tr("The correction is kept for this printer and stock."))
        self._finish(offset)

    def _add(self, key: str, label: str, *, required: bool) -> None:
        comma = self.context.formats.decimal_comma

        def read(text: str) -> int:
            return read_length(text, decimal_comma=comma)

        self.form.add(ReadField(key, label, read, required=required))
