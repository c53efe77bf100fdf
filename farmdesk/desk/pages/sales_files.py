"""Delivery notes, invoices and credit notes written as PDF files into a folder, and shown."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

from PySide6.QtCore import QUrl
from PySide6.QtGui import QDesktopServices
from PySide6.QtWidgets import QFileDialog, QPushButton

from farmdesk.desk.context import DeskContext
from farmdesk.desk.dialogs import FormDialog
from farmdesk.desk.exporting import paper_of
from farmdesk.desk.fields import CheckField, TextField
from farmdesk.paper.documents import write_document
from farmdesk.reports.credit_papers import credit_note
from farmdesk.reports.sales_papers import delivery_note, invoice
from farmdesk.store.farm_store import FarmStore
from farmdesk.wording.formats import Formats
from farmdesk.wording.language import tr


@dataclass(frozen=True)
class Paper:
    """A paper of a sale: which, of what, and its number."""

    what: Literal["delivery note", "invoice", "credit note"]
    id: int
    name: str


_WRITERS = {"delivery note": delivery_note, "invoice": invoice, "credit note": credit_note}
_WORDS = {
    "delivery note": tr("delivery note"),
    "invoice": tr("invoice"),
    "credit note": tr("credit note"),
}


def write_papers(
    store: FarmStore, papers: Sequence[Paper], folder: Path, formats: Formats
) -> list[Path]:
    """Write each paper as `<number>.pdf` into a folder; raises NotWritten, NotFound."""
    page = paper_of(formats)
    with store.reading() as reading:
        made = [_WRITERS[one.what](reading, one.id) for one in papers]
    paths = []
    for one, document in zip(papers, made, strict=True):
        path = folder / f"{one.name}.pdf"
        write_document(document, path, formats=formats, page=page)
        paths.append(path)
    return paths


class PapersDialog(FormDialog):
    """Asks for a folder and writes papers there; `choose_folder` may be replaced."""

    def __init__(self, context: DeskContext, papers: Sequence[Paper]) -> None:
        names = ", ".join(f"{_WORDS[one.what]} {one.name}" for one in papers)
        super().__init__(
            tr("Write papers"),
            sentence=tr("{upper}{names} as PDF.").format(upper=names[:1].upper(), names=names[1:]),
            save_title=tr("Write"),
        )
        self._context = context
        self._papers = list(papers)
        self._shows = True
        self.choose_folder: Callable[[str], str] = self._ask_folder
        self.folder = self.form.add(
            TextField("folder", tr("Into folder"), value=str(Path.home()), required=True)
        )
        browse = QPushButton(tr("Choose the folder …"))
        browse.setAutoDefault(False)
        browse.clicked.connect(self._browse)
        self.form.add_widget(browse)
        self.form.add(CheckField("show", tr("Show them, to print them"), value=True))

    def save(self, values: dict[str, Any]) -> None:
        """Write the papers."""
        self._shows = bool(values["show"])
        self._set_busy(busy=True)
        self._context.workplace.read(
            write_papers,
            self._context.farm,
            self._papers,
            Path(values["folder"]).expanduser(),
            self._context.formats,
            then=self._written,
            failed=self._show_failure,
        )

    def _written(self, paths: list[Path]) -> None:
        self._context.say(
            tr("Written: {join}.").format(join=", ".join(str(path) for path in paths))
        )
        if self._shows:
            for path in paths:
                QDesktopServices.openUrl(QUrl.fromLocalFile(str(path)))
        self._finish(paths)

    def _browse(self) -> None:
        found = self.choose_folder(self.folder.text())
        if found:
            self.folder.set_value(found)

    def _ask_folder(self, start: str) -> str:
        return QFileDialog.getExistingDirectory(self, tr("Folder for the papers"), start)
