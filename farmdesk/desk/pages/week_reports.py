"""All other reports of the farm: a list to show, print and export them from."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from itertools import islice
from pathlib import Path

from PySide6.QtWidgets import QDialog, QHBoxLayout, QPushButton, QVBoxLayout

from farmdesk.desk.exporting import PRINT_LIMIT, print_table
from farmdesk.desk.list_view import ListView
from farmdesk.desk.page import Page
from farmdesk.desk.pages.week_lists import TableSheet
from farmdesk.desk.tables import Column
from farmdesk.errors import FarmdeskError, Refused, problem
from farmdesk.paper.tables import Table
from farmdesk.reports.overview import ENDINGS, REPORTS, Report, export_report, find_report
from farmdesk.reports.table_choice import choose_columns
from farmdesk.store.farm_store import FarmStore
from farmdesk.wording.language import tr

MOST_SHOWN = 20_000
"""So many rows of a report are shown; files have all of them."""
FILES = tr("Spreadsheet (*.xlsx);;PDF (*.pdf);;Plain table (*.csv)")

ChooseFile = Callable[[str, str, str], str]
"""`choose_file(title, start, filters)` gives the chosen file, or '' for none."""


class ReportsList(ListView):
    """The catalogue of reports; `choose_file` asks where an export goes."""

    def __init__(self, page: Page, choose_file: ChooseFile) -> None:
        super().__init__(
            [Column("title", tr("Report"), width=40)],
            name=tr("Reports"),
            empty_text=tr("No report fits the filter."),
        )
        self._page = page
        self._choose_file = choose_file
        self.row_opened.connect(lambda row: self.show_report(row.key))
        self.add_row_action(
            tr("Show"), lambda rows: self.show_report(rows[0].key), shortcut="Ctrl+E", single=True
        )
        self.add_row_action(tr("Print …"), self._print, shortcut="Ctrl+B", single=True)
        self.add_row_action(tr("Export …"), self._export, shortcut="Ctrl+R", single=True)
        self.set_rows(REPORTS)

    def show_report(self, key: str) -> None:
        """Read a report and show it over the window."""
        context = self._page.context
        self._page.set_busy(tr("Reading …"))
        context.workplace.read(
            load_report, context.farm, key, then=self._show, failed=self._not_done
        )

    def _show(self, table: Table) -> None:
        self._page.set_busy("")
        self._page.context.open_dialog(ReportDialog(self._page, table))

    def _print(self, rows: list[Report]) -> None:
        context = self._page.context
        self._page.set_busy(tr("Reading …"))
        context.workplace.read(
            load_for_paper, context.farm, rows[0].key, then=self._preview, failed=self._not_done
        )

    def _preview(self, table: Table) -> None:
        self._page.set_busy("")
        print_table(self._page.context, table)

    def _export(self, rows: list[Report]) -> None:
        start = str(Path.home() / f"{rows[0].key}.xlsx")
        name = self._choose_file(tr("Export {title}").format(title=rows[0].title), start, FILES)
        if name:
            path = Path(name)
            self._write(rows[0], path if path.suffix else path.with_suffix(".xlsx"))

    def _write(self, report: Report, path: Path) -> None:
        context = self._page.context
        self._page.set_busy(tr("Writing …"))
        context.workplace.read(
            _write_report, context.farm, report.key, path,
            then=self._written, failed=self._not_done,
        )  # fmt: skip

    def _written(self, path: Path) -> None:
        self._page.set_busy("")
        self._page.context.say(tr("Written to {path}.").format(path=path))

    def _not_done(self, error: FarmdeskError) -> None:
        self._page.set_busy("")
        self._page.context.show_error(error)


class ReportDialog(QDialog):
    """A report over the window, to look through, filter, print and export."""

    def __init__(self, page: Page, table: Table) -> None:
        super().__init__()
        self.setWindowTitle(table.title)
        self.setMinimumSize(900, 520)
        self.sheet = TableSheet(page, empty_text=tr("There is nothing in this report yet."))
        self.sheet.show_table(table)
        column = QVBoxLayout(self)
        column.setContentsMargins(18, 16, 18, 14)
        column.addWidget(self.sheet, 1)
        foot = QHBoxLayout()
        foot.addStretch(1)
        for title, function in (
            (tr("Print …"), self.sheet.print),
            (tr("Export …"), self.sheet.export),
            (tr("Close (Esc)"), self.accept),
        ):
            button = QPushButton(title)
            button.setAutoDefault(False)
            button.clicked.connect(lambda _=False, do=function: do())
            foot.addWidget(button)
        column.addLayout(foot)


def load_report(store: FarmStore, key: str, most: int = MOST_SHOWN) -> Table:
    """A report's table with its first rows, read in a transaction of its own."""
    with store.reading() as reading:
        table = find_report(key).make(reading)
        rows = list(islice(iter(table.rows), most + 1))
    if len(rows) > most:
        notes = [
            *table.notes,
            tr("The first {most_shown:,} rows are shown; a file has all.").format(most_shown=most),
        ]
        return replace(table, rows=rows[:most], notes=notes)
    return replace(table, rows=rows)


def load_for_paper(store: FarmStore, key: str) -> Table:
    """A report's table with the rows and the columns that it has on paper."""
    table, on_paper = load_report(store, key, PRINT_LIMIT), find_report(key).on_paper
    return choose_columns(table, on_paper) if on_paper else table


def _write_report(store: FarmStore, key: str, path: Path) -> Path:
    if path.suffix.lower() not in ENDINGS:
        raise Refused(problem("file_ending_unknown", ending=path.suffix or "none"))
    with store.reading() as reading:
        export_report(reading, key, path)
    return path
