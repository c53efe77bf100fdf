"""Delivery notes, invoices and credit notes: seen and printed, or written as PDF files."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Any, Literal

from PySide6.QtCore import QUrl
from PySide6.QtGui import QDesktopServices, QKeySequence
from PySide6.QtWidgets import QFileDialog, QPushButton

from farmdesk.desk.context import DeskContext
from farmdesk.desk.dialogs import FormDialog
from farmdesk.desk.exporting import formats_for_others, show_pages
from farmdesk.desk.fields import CheckField, TextField
from farmdesk.paper.document_pages import lay_out_document
from farmdesk.paper.document_parts import paper_of
from farmdesk.paper.documents import Document, write_document
from farmdesk.paper.pages import Page
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
    made, written = _documents(store, papers, formats)
    paths = []
    for one, document in zip(papers, made, strict=True):
        path = folder / f"{one.name}.pdf"
        write_document(document, path, formats=written, page=paper_of(written))
        paths.append(path)
    return paths


def lay_out_papers(store: FarmStore, papers: Sequence[Paper], formats: Formats) -> list[Page]:
    """The pages of all papers, one after the other, to be seen and printed; raises NotFound."""
    made, written = _documents(store, papers, formats)
    size = paper_of(written)
    return [one for paper in made for one in lay_out_document(paper, written, page=size)]


def _documents(
    store: FarmStore, papers: Sequence[Paper], formats: Formats
) -> tuple[list[Document], Formats]:
    """The papers, and how the farm writes their figures."""
    with store.reading() as reading:
        made = [_WRITERS[one.what](reading, one.id) for one in papers]
        return made, formats_for_others(reading, formats)


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
        look = QPushButton(tr("See and print … (Ctrl+P)"))
        look.setAutoDefault(False)
        look.setShortcut(QKeySequence("Ctrl+P"))
        look.clicked.connect(self.look)
        self.form.add_widget(look)

    def look(self) -> None:
        """Show the papers as they will be on paper; they are printed from there."""
        context, first = self._context, self._papers[0].name
        context.workplace.read(
            lay_out_papers,
            context.farm,
            self._papers,
            context.formats,
            then=partial(show_pages, context, first, self.windowTitle()),
            failed=self._show_failure,
        )

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
