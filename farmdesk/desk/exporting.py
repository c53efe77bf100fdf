"""Lists taken along: a list on a page becomes a table, and that a file or paper.

Every list knows this file, so that it loads no writer and no preview before one is wanted.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtWidgets import QFileDialog, QWidget

from farmdesk.desk.context import DeskContext
from farmdesk.desk.grouping import sum_rows
from farmdesk.errors import Refused, problem
from farmdesk.paper.document_parts import paper_of
from farmdesk.paper.tables import Column as PaperColumn
from farmdesk.paper.tables import Kind, Table
from farmdesk.reports.farm_terms import read_terms
from farmdesk.store.farm_store import FarmStore
from farmdesk.store.transaction import Reading
from farmdesk.wording.formats import Formats
from farmdesk.wording.language import tr

if TYPE_CHECKING:
    from farmdesk.desk.columns import Column, RowSource
    from farmdesk.desk.list_view import ListView
    from farmdesk.paper.documents import Document
    from farmdesk.paper.pages import Page

FILES = tr("Spreadsheet (*.xlsx);;PDF (*.pdf);;Plain table (*.csv)")
PRINT_LIMIT = 5_000
"""A longer list is a file's business: paper takes so many of its rows."""
_AT_ONCE = 500


def offer_taking(
    view: ListView, page: QWidget, title: str, kinds: Mapping[str, Kind] | None = None
) -> None:
    """Say what a list is called when it is taken along, and which columns are real figures."""
    del page
    view.name = title
    view.set_kinds(kinds or {})


def export_list(view: ListView) -> None:
    """Export a list: its page's own way if it has one, else as it is shown."""
    if view.on_export is not None:
        view.on_export()
        return
    context = context_of(view)
    if context is not None:
        export_table(context, view, table_of(view, view.name, view.kinds))


def print_list(view: ListView) -> None:
    """Print a list, seen first: its page's own way if it has one, else as it is shown."""
    if view.on_print is not None:
        view.on_print()
        return
    context = context_of(view)
    if context is not None:
        print_table(context, table_of(view, view.name, view.kinds, for_paper=True))


def context_of(widget: QWidget) -> DeskContext | None:
    """The context of the page, dialog or window that a widget stands in."""
    above: QWidget | None = widget
    while above is not None:
        context = getattr(above, "context", None)
        if isinstance(context, DeskContext):
            return context
        above = above.parentWidget()
    return None


def table_of(
    view: ListView, title: str, kinds: Mapping[str, Kind], *, for_paper: bool = False
) -> Table:
    """A list as a table, in the columns and the order shown; a long list with all its rows.

    On paper groups have their headings and columns their totals; a file has rows alone.
    """
    by_key = {one.key: one for one in view.table.columns}
    wanted = [by_key[key] for key in view.shown_columns()]
    columns = [
        PaperColumn(one.key, one.title, kinds.get(one.key, one.kind or "text")) for one in wanted
    ]
    name = "".join(sign if sign.isalnum() else "_" for sign in title.lower())
    source = view.table.source
    if source is not None and not view.table.group:
        limit = PRINT_LIMIT if for_paper else None
        rows: Iterable[Sequence[object]] = _LongRows(view, wanted, limit)
        return Table(name, title, columns, rows)
    whole = view.table.shown_rows()
    if not for_paper:
        return Table(name, title, columns, [_cells(wanted, row) for row in whole])
    sums = sum_rows(whole, wanted)
    totals = [sums.get(one.key) for one in wanted] if whole and any(sums.values()) else None
    return Table(name, title, columns, list(_paper_rows(view, wanted)), totals=totals)


class _LongRows:
    """The rows of a long list, read in parts by whoever writes them down."""

    def __init__(self, view: ListView, columns: Sequence[Column], limit: int | None) -> None:
        source = view.table.source
        assert source is not None
        self._source: RowSource = source
        self._order, self._words = view.table.order(), view.table.words
        self._columns, self._limit = columns, limit

    def __iter__(self) -> Iterator[Sequence[object]]:
        ids = self._source.ids(self._order, self._words)[: self._limit]
        for at in range(0, len(ids), _AT_ONCE):
            for row in self._source.rows(list(ids[at : at + _AT_ONCE])):
                if row is not None:
                    yield _cells(self._columns, row)


def _cells(columns: Sequence[Column], row: object) -> tuple[object, ...]:
    return tuple(
        one.value_of(row) if one.kind is not None else one.text_of(row) or None for one in columns
    )


def _paper_rows(view: ListView, columns: Sequence[Column]) -> Iterator[Sequence[object]]:
    from farmdesk.paper.table_pages import StrongRow  # noqa: PLC0415 - see above

    groups = view.table.groups()
    if not groups:
        yield from (_cells(columns, row) for row in view.table.shown_rows())
    for group in groups:
        sums = [group.heading.sums.get(one.key) for one in columns]
        yield StrongRow([group.heading.title, *sums[1:]])
        yield from (_cells(columns, row) for row in group.rows)


def export_table(context: DeskContext, parent: QWidget, table: Table) -> None:
    """Ask for a file and write the table there, as its ending says."""
    start = str(Path.home() / f"{table.name}.xlsx")
    title = tr("Export {table}").format(table=table.title)
    name, chosen = QFileDialog.getSaveFileName(parent, title, start, FILES)
    if name:
        path = Path(name)
        if not path.suffix:
            path = path.with_suffix(chosen.split("*")[-1].strip(") ") or ".xlsx")
        write_file(context, table, path)


def write_file(context: DeskContext, table: Table, path: Path) -> None:
    """Write a table to a file in a worker and say so."""
    context.workplace.read(
        write_table,
        table,
        path,
        context.formats,
        then=partial(_say_written, context, path),
    )


def print_table(context: DeskContext, table: Table) -> None:
    """Show the table as it will be on paper; it is printed or kept as PDF from there."""
    from farmdesk.paper.table_pages import lay_out_table  # noqa: PLC0415 - see above

    context.workplace.read(
        lay_out_table,
        table,
        context.formats,
        page=paper_of(context.formats),
        then=partial(_show_preview, context, table),
    )


def print_document(
    context: DeskContext, document: Document, name: str, *, for_others: bool = False
) -> None:
    """Show a document as it will be on paper; `name` is what its file is called.

    What goes to others writes figures as the farm does, not as this computer does.
    """
    context.workplace.read(
        _lay_out,
        document,
        context.formats,
        context.farm if for_others else None,
        then=partial(show_pages, context, name, document.title),
    )


def formats_for_others(reading: Reading, formats: Formats) -> Formats:
    """The farm's own formats, on the paper that this computer prints on."""
    return replace(read_terms(reading, for_others=True).formats, paper=formats.paper)


def _lay_out(document: Document, formats: Formats, farm: FarmStore | None) -> Sequence[Page]:
    from farmdesk.paper.document_pages import lay_out_document  # noqa: PLC0415 - see above

    if farm is not None:
        with farm.reading() as reading:
            formats = formats_for_others(reading, formats)
    return lay_out_document(document, formats, page=paper_of(formats))


def _show_preview(context: DeskContext, table: Table, pages: Sequence[Page]) -> None:
    show_pages(context, table.name, table.title, pages)


def show_pages(context: DeskContext, name: str, title: str, pages: Sequence[Page]) -> None:
    """Show pages as they will be on paper; `name` is what a PDF of them is called."""
    from farmdesk.desk.preview import PreviewDialog  # noqa: PLC0415 - see above

    dialog = PreviewDialog(pages, title=title)
    dialog.preview.on_save_pdf = partial(_save_pages, context, dialog, name, title, pages)
    context.open_dialog(dialog)


def _save_pages(
    context: DeskContext, parent: QWidget, name: str, title: str, pages: Sequence[Page]
) -> None:
    from farmdesk.paper.page_pdf import write_pages  # noqa: PLC0415 - see above

    start = str(Path.home() / f"{name}.pdf")
    chosen, _ = QFileDialog.getSaveFileName(parent, tr("Save as PDF"), start, tr("PDF (*.pdf)"))
    if chosen:
        path = Path(chosen).with_suffix(".pdf")
        context.workplace.read(
            write_pages, pages, path, title=title, then=partial(_say_written, context, path)
        )


def write_table(table: Table, path: Path, formats: Formats) -> Path:
    """Write a table as .xlsx, .pdf or .csv; raises NotWritten, and Refused for other endings."""
    ending = path.suffix.lower()
    if ending == ".csv":
        from farmdesk.paper.csv_tables import write_csv  # noqa: PLC0415 - see above

        write_csv(table, path)
    elif ending == ".xlsx":
        from farmdesk.paper.spreadsheet import Sheet, write_workbook  # noqa: PLC0415 - see above

        write_workbook([Sheet(table.title, [table], table.charts)], path, formats=formats)
    elif ending == ".pdf":
        from farmdesk.paper.documents import Document, write_document  # noqa: PLC0415 - see above

        page = paper_of(formats)
        document = Document(table.title, [*table.charts, table], is_wide=len(table.columns) >= 8)
        write_document(document, path, formats=formats, page=page)
    else:
        raise Refused(problem("file_ending_unknown", ending=ending or "none"))
    return path


def _say_written(context: DeskContext, path: Path, _done: object) -> None:
    context.say(tr("Written to {path}.").format(path=path))
