"""The mix sheet seen before it is printed or kept as PDF."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from pathlib import Path

from PySide6.QtWidgets import QFileDialog

from farmdesk.desk.context import DeskContext
from farmdesk.desk.preview import PreviewDialog
from farmdesk.paper.document_pages import lay_out_document
from farmdesk.paper.document_parts import paper_of
from farmdesk.paper.page_pdf import write_pages
from farmdesk.paper.pages import Page
from farmdesk.reports.mix_sheet import mix_sheet
from farmdesk.store.farm_store import FarmStore
from farmdesk.wording.formats import Formats
from farmdesk.wording.language import tr


def show_mix_sheet(context: DeskContext, recipe: int, blocks: int, *, run: str = "") -> None:
    """Open the preview of a mix sheet over the window."""
    context.workplace.read(
        _make_pages,
        context.farm,
        recipe,
        blocks,
        run,
        context.formats,
        then=partial(_show, context),
        failed=context.show_error,
    )


def _make_pages(
    store: FarmStore, recipe: int, blocks: int, run: str, formats: Formats
) -> tuple[Page, ...]:
    with store.reading() as reading:
        document = mix_sheet(reading, recipe, blocks, formats=formats, run=run)
    return lay_out_document(document, formats, page=paper_of(formats))


def _show(context: DeskContext, pages: Sequence[Page]) -> None:
    dialog = PreviewDialog(pages, title=tr("Mix sheet"))
    dialog.preview.on_save_pdf = partial(_save, context, dialog, pages)
    context.open_dialog(dialog)


def _save(context: DeskContext, parent: PreviewDialog, pages: Sequence[Page]) -> None:
    start = str(Path.home() / "mix-sheet.pdf")
    name, _ = QFileDialog.getSaveFileName(parent, tr("Save as PDF"), start, tr("PDF (*.pdf)"))
    if name:
        save_sheet(context, pages, Path(name).with_suffix(".pdf"))


def save_sheet(context: DeskContext, pages: Sequence[Page], path: Path) -> None:
    """Write the pages as PDF and say so."""

    def told(_count: int) -> None:
        context.say(tr("Written to {path}.").format(path=path))

    context.workplace.read(write_pages, pages, path, title=tr("Mix sheet"), then=told)
