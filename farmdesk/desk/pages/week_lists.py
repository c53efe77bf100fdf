"""A report's table on a page: its rows as a list, its totals and notes below."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import partial
from operator import itemgetter
from typing import Any

from PySide6.QtWidgets import QLabel, QVBoxLayout, QWidget

from farmdesk.desk.exporting import export_table, print_table
from farmdesk.desk.list_view import ListView
from farmdesk.desk.page import Page
from farmdesk.desk.tables import Column
from farmdesk.paper.tables import Column as PaperColumn
from farmdesk.paper.tables import Table, show_heading, show_value
from farmdesk.wording.formats import Formats
from farmdesk.wording.language import tr

_LOOKED_AT, _WIDEST = 60, 44
_WIDTHS = {"text": 18, "code": 13, "day": 14, "instant": 20, "mass": 13, "money": 12}


class TableSheet(QWidget):
    """Shows tables of one report one after the other; Enter on a row calls `on_opened(row)`."""

    def __init__(
        self,
        page: Page,
        *,
        empty_text: str,
        on_opened: Callable[[Sequence[Any]], object] | None = None,
    ) -> None:
        super().__init__()
        self._page = page
        self._empty_text = empty_text
        self._on_opened = on_opened
        self._keys: list[str] = []
        self._is_fitted = False
        self.list: ListView | None = None
        self.table: Table | None = None
        self.totals = QLabel()
        self.totals.setObjectName("group")
        self.notes = QLabel()
        self.notes.setObjectName("muted")
        for label in (self.totals, self.notes):
            label.setWordWrap(True)
            label.hide()
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 6, 0, 0)
        self._column.addWidget(self.totals)
        self._column.addWidget(self.notes)

    def show_table(self, table: Table) -> None:
        """Show a table; the columns are made anew only when they differ from the ones shown."""
        rows = list(table.rows)
        self.table = replace(table, rows=rows)
        formats = self._page.context.formats
        keys = [one.key for one in table.columns]
        if self.list is None or keys != self._keys:
            self._make_list(table, formats)
            self._keys, self._is_fitted = keys, False
        assert self.list is not None
        self.list.set_rows(rows)
        if rows and not self._is_fitted:
            self._fit_columns(table, rows, formats)
        self.totals.setText(say_totals(table, formats) if rows else "")
        self.totals.setVisible(bool(self.totals.text()))
        self.notes.setText("  ".join(table.notes))
        self.notes.setVisible(bool(table.notes))

    def export(self) -> None:
        """Ask for a file and write the table there."""
        if self.table is not None:
            export_table(self._page.context, self._page, self.table)

    def print(self) -> None:
        """Print the table."""
        if self.table is not None:
            print_table(self._page.context, self.table)

    def _fit_columns(self, table: Table, rows: Sequence[Sequence[Any]], formats: Formats) -> None:
        """Make columns as wide as their first texts need, once; the person may change them."""
        assert self.list is not None
        self._is_fitted = True
        metrics = self.fontMetrics()
        for at, one in enumerate(table.columns):
            texts = [show_value(row[at], one, formats) for row in rows[:_LOOKED_AT]]
            wide = max(map(metrics.horizontalAdvance, texts), default=0)
            title = metrics.horizontalAdvance(show_heading(one, formats)) + metrics.height()
            most = metrics.averageCharWidth() * _WIDEST
            self.list.fit_column(at, min(max(wide, title), most) + 20)

    def _make_list(self, table: Table, formats: Formats) -> None:
        if self.list is not None:
            self._column.removeWidget(self.list)
            self.list.hide()
            self.list.deleteLater()
        columns = [_column(at, one, formats) for at, one in enumerate(table.columns)]
        self.list = ListView(columns, name=table.title, empty_text=self._empty_text)
        self.list.on_export = self.export
        self.list.on_print = self.print
        if self._on_opened is not None:
            self.list.row_opened.connect(self._on_opened)
        self._column.insertWidget(0, self.list, 1)


def say_totals(table: Table, formats: Formats) -> str:
    """A table's totals in one line, such as `All: Picked 3.20 kg, Packs 12`."""
    if table.totals is None:
        return ""
    known = [
        f"{column.title} {_with_unit(value, column, formats)}"
        for column, value in zip(table.columns, table.totals, strict=True)
        if value and column.is_figure
    ]
    return tr("All: {known}").format(known=", ".join(known)) if known else ""


def _with_unit(value: object, column: PaperColumn, formats: Formats) -> str:
    if column.kind == "mass" and isinstance(value, int):
        return formats.mass(value)
    return show_value(value, column, formats)


def _column(at: int, column: PaperColumn, formats: Formats) -> Column:
    width = _WIDTHS.get(column.kind, 10)
    return Column(
        column.key,
        show_heading(column, formats),
        itemgetter(at),
        partial(_shown, column, formats),
        width=round(column.width) if column.width else width,
        right=column.is_figure,
        kind=column.kind if column.is_figure else None,
    )


def _shown(column: PaperColumn, formats: Formats, value: Any) -> str:
    return show_value(value, column, formats)
