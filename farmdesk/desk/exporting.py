"""Lists taken along: a list on a page becomes a table, and that a file or paper."""

from __future__ import annotations

import tempfile
from collections.abc import Mapping
from functools import partial
from pathlib import Path

from PySide6.QtCore import QUrl
from PySide6.QtGui import QDesktopServices
from PySide6.QtWidgets import QFileDialog, QWidget

from farmdesk.desk.context import DeskContext
from farmdesk.desk.list_view import ListView
from farmdesk.errors import Refused, problem
from farmdesk.paper.csv_tables import write_csv
from farmdesk.paper.documents import Document, PageSize, write_document
from farmdesk.paper.spreadsheet import Sheet, write_workbook
from farmdesk.paper.tables import Column, Kind, Table
from farmdesk.wording.formats import Formats

FILES = "Spreadsheet (*.xlsx);;PDF (*.pdf);;Plain table (*.csv)"


def offer_taking(
    view: ListView, page: QWidget, title: str, kinds: Mapping[str, Kind] | None = None
) -> None:
    """Give a list its Export and Print; `kinds` names columns whose values are real figures."""

    def make() -> Table:
        return table_of(view, title, kinds or {})

    view.on_export = lambda: export_table(page.context, page, make())  # type: ignore[attr-defined]
    view.on_print = lambda: print_table(page.context, make())  # type: ignore[attr-defined]


def table_of(view: ListView, title: str, kinds: Mapping[str, Kind]) -> Table:
    """The rows and columns of a list as they are shown now."""
    keys = view.shown_columns()
    wanted = [one for one in view.table.columns if one.key in keys]
    columns = [Column(one.key, one.title, kinds.get(one.key, "text")) for one in wanted]
    rows = [
        tuple(one.value_of(row) if one.key in kinds else one.text_of(row) or None for one in wanted)
        for row in view.table.shown_rows()
    ]
    name = "".join(sign if sign.isalnum() else "_" for sign in title.lower())
    return Table(name, title, columns, rows)


def export_table(context: DeskContext, parent: QWidget, table: Table) -> None:
    """Ask for a file and write the table there, as its ending says."""
    start = str(Path.home() / f"{table.name}.xlsx")
    name, chosen = QFileDialog.getSaveFileName(parent, f"Export {table.title}", start, FILES)
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
    """Make a PDF of the table and open it with the system's viewer, from which it is printed."""
    path = Path(tempfile.mkdtemp(prefix="farmdesk-")) / f"{table.name}.pdf"
    context.workplace.read(
        write_table, table, path, context.formats, then=lambda _done: _open(context, path)
    )


def write_table(table: Table, path: Path, formats: Formats) -> Path:
    """Write a table as .xlsx, .pdf or .csv; raises NotWritten, and Refused for other endings."""
    ending = path.suffix.lower()
    if ending == ".csv":
        write_csv(table, path)
    elif ending == ".xlsx":
        write_workbook([Sheet(table.title, [table])], path, formats=formats)
    elif ending == ".pdf":
        page: PageSize = "letter" if formats.paper == "letter" else "A4"
        write_document(Document(table.title, [table]), path, formats=formats, page=page)
    else:
        raise Refused(problem("file_ending_unknown", ending=ending or "none"))
    return path


def _say_written(context: DeskContext, path: Path, _done: object) -> None:
    context.say(f"Written to {path}.")


def _open(context: DeskContext, path: Path) -> None:
    if not QDesktopServices.openUrl(QUrl.fromLocalFile(str(path))):
        context.say(f"No PDF viewer was found. The file is {path}.")
