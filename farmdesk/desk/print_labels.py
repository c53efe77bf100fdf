"""Dialogs that print labels and wall cards to a PDF file and show it."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QUrl
from PySide6.QtGui import QDesktopServices
from PySide6.QtWidgets import QFileDialog, QPushButton

from farmdesk.actions.base import Who
from farmdesk.actions.labelling import PrintedLabels, print_cards, print_labels, stocks_of
from farmdesk.desk.dialogs import FormDialog
from farmdesk.desk.fields import CheckField, ChoiceField, NumberField, TextField
from farmdesk.store.farm_store import FarmStore

if TYPE_CHECKING:
    from farmdesk.desk.session import Session


class _PdfDialog(FormDialog):
    """A dialog whose form ends with the file to write."""

    def __init__(self, session: Session, title: str, sentence: str, file_name: str) -> None:
        super().__init__(title, sentence=sentence, save_title="Print")
        self.session = session
        self._file_name = file_name

    def add_file_fields(self) -> None:
        """The file, a button to choose it, and whether to show it afterwards."""
        home = str(Path.home() / self._file_name)
        self.file = TextField("out", "PDF file", required=True, value=home)
        self.form.add(self.file)
        browse = QPushButton("Choose the file …")
        browse.setAutoDefault(False)
        browse.clicked.connect(self._choose_file)
        self.form.add_widget(browse)
        self.form.add(CheckField("show", "Show it when it is written", value=True))

    def _choose_file(self) -> None:
        name, _ = QFileDialog.getSaveFileName(self, "PDF file", self.file.value(), "PDF (*.pdf)")
        if name:
            self.file.set_value(name if name.lower().endswith(".pdf") else f"{name}.pdf")

    def write(self, function: Any, values: dict[str, Any], **keywords: Any) -> None:
        """Do the printing on the writer lane."""
        self.session.desk.workplace.do(
            function,
            self.session.store,
            out=Path(values["out"]),
            then=partial(self._written, show=values["show"], path=values["out"]),
            failed=self.form.show_error,
            **keywords,
        )

    def _written(self, printed: PrintedLabels, *, show: bool, path: str) -> None:
        self.session.window.say(f"{printed.count} printed to {path}.")
        self.session.look_for_changes()
        if show:
            QDesktopServices.openUrl(QUrl.fromLocalFile(path))
        self.accept()


class PrintLabelsDialog(_PdfDialog):
    """Labels of bags, a batch, spawn, picks or packs, on any stock, from any place of a sheet."""

    def __init__(self, session: Session, words: str = "") -> None:
        super().__init__(
            session,
            "Print labels",
            "Print at 100 %, without fitting to the page. Stick labels after the heat run, not "
            "on the filter and not on a fold.",
            "labels.pdf",
        )
        self._start_field = NumberField(
            "start", "Start at label number", session.context.formats, value=1,
            hint="On a sheet that is partly used: the first free label, counted by rows.",
        )  # fmt: skip
        self.words = TextField(
            "words", "Codes, names or a batch", required=True, value=words,
            hint="For example OY02-0147, or OY02-0147-001..020; several with blanks between.",
        )  # fmt: skip
        self.form.add(self.words)
        self._stock = ChoiceField("stock", "Label stock", [], required=True)
        self.form.add(self._stock)
        self.form.add(self._start_field)
        self.add_file_fields()
        session.desk.workplace.read(_stock_names, session.store, then=self._show_stocks)

    def _show_stocks(self, names: list[str]) -> None:
        usual = self.session.desk.preferences.label_stock
        self._stock.set_choices([(one, one) for one in names])
        self._stock.set_value(usual if usual in names else names[0] if names else None)

    def take_scan(self, line: str) -> bool:
        """A scan while the dialog is open adds a code."""
        self.words.set_value(f"{self.words.value() or ''} {line}".strip())
        return True

    def save(self, values: dict[str, Any]) -> None:
        """Print what the form says."""
        self.write(
            print_labels,
            values,
            words=values["words"].split(),
            stock=values["stock"],
            start=values["start"] or 1,
            who=Who(self.session.station),
        )


class PrintCardsDialog(_PdfDialog):
    """All wall cards: rooms, acts and reasons for discard."""

    def __init__(self, session: Session) -> None:
        super().__init__(
            session,
            "Print wall cards",
            "Cards for doors and benches: scan one, and the scans after it mean what it says.",
            "wall-cards.pdf",
        )
        self.add_file_fields()

    def save(self, values: dict[str, Any]) -> None:
        """Print the cards."""
        self.write(print_cards, values)


def _stock_names(store: FarmStore) -> list[str]:
    with store.reading() as reading:
        return [one.name for one in stocks_of(reading)]
