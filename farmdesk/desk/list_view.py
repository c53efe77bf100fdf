"""A list on a page: filter line, sortable columns, copying, actions on rows, an empty state."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from typing import Any

from PySide6.QtCore import QItemSelectionModel, QPoint, Qt, Signal
from PySide6.QtGui import QAction, QGuiApplication, QKeySequence
from PySide6.QtWidgets import (
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QMenu,
    QStackedLayout,
    QTableView,
    QVBoxLayout,
    QWidget,
)

from farmdesk.desk.overflow import OverflowBar
from farmdesk.desk.tables import Column, LongTable, RowSource
from farmdesk.desk.workplace import Workplace

ROW_PX = 34
_FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")
_THIS_ROW = (
    QItemSelectionModel.SelectionFlag.ClearAndSelect | QItemSelectionModel.SelectionFlag.Rows
)
_CONTEXT = Qt.ShortcutContext.WidgetWithChildrenShortcut
_ONE_ROW = QItemSelectionModel.SelectionFlag.ClearAndSelect | QItemSelectionModel.SelectionFlag.Rows


class ListView(QWidget):
    """One list. Fill it by `set_rows` or `set_source`; act on rows by `add_row_action`."""

    row_opened = Signal(object)
    """Enter or a double click on a row: the row object."""
    selection_changed = Signal()

    def __init__(
        self,
        columns: Sequence[Column],
        *,
        name: str,
        empty_text: str = "Nothing here yet.",
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.table = LongTable(columns, self)
        self._empty_text = empty_text
        self._row_actions: list[tuple[QAction, bool]] = []
        self.on_export: Callable[[], object] | None = None
        self.on_print: Callable[[], object] | None = None
        self._build(name)
        self.table.about_to_reset.connect(self.view.scrollToTop)
        self.table.counted.connect(self._show_count)
        self.table.modelReset.connect(self._enable_actions)
        self.set_rows([])

    # ---- filling and asking

    def set_rows(self, rows: Sequence[Any]) -> None:
        """Show a short list; the row chosen before stays chosen if an equal `id` is there."""
        chosen = getattr(self.current_row(), "id", None)
        self.table.set_rows(rows)
        if chosen is not None:
            self.choose(lambda row: getattr(row, "id", None) == chosen)

    def set_source(self, source: RowSource, workplace: Workplace) -> None:
        """Show a long list, read in pages."""
        self.table.set_source(source, workplace)

    def current_row(self) -> Any | None:
        """The row object under the cursor."""
        index = self.view.currentIndex()
        return self.table.row_at(index.row()) if index.isValid() else None

    def chosen_rows(self) -> list[Any]:
        """The chosen row objects, from the top; rows of a long list not read yet are left out."""
        rows = sorted(index.row() for index in self.view.selectionModel().selectedRows())
        return [row for at in rows if (row := self.table.row_at(at)) is not None]

    def choose(self, wanted: Callable[[Any], bool]) -> bool:
        """Choose the first row of a short list for which this holds; whether there is one."""
        at = self.table.row_for(wanted)
        if at is not None:
            # Not selectRow: with Ctrl still held it would add to what is chosen.
            wanted_index = self.table.index(at, 0)
            self.view.selectionModel().setCurrentIndex(wanted_index, _ONE_ROW)
            self.view.scrollTo(wanted_index)
        return at is not None

    def set_filter(self, words: str) -> None:
        """Type into the filter line."""
        self.filter_line.setText(words)

    def add_row_action(
        self,
        title: str,
        function: Callable[[list[Any]], object],
        *,
        shortcut: str = "",
        single: bool = False,
    ) -> QAction:
        """An act on the chosen rows, as a button and in the context menu."""
        action = QAction(title, self)
        action.triggered.connect(lambda _=False: self._act(function))
        if shortcut:
            action.setShortcut(QKeySequence(shortcut))
            action.setShortcutContext(_CONTEXT)
            action.setToolTip(f"{title} ({shortcut})")
        self.view.addAction(action)
        self._row_actions.append((action, single))
        self._buttons.add_action(action)
        self._enable_actions()
        return action

    def show_columns(self, keys: Sequence[str]) -> None:
        """Show only the columns with these keys."""
        for at, column in enumerate(self.table.columns):
            self.view.setColumnHidden(at, column.key not in keys)

    def shown_columns(self) -> list[str]:
        """Keys of the columns that are shown."""
        hidden = self.view.isColumnHidden
        return [one.key for at, one in enumerate(self.table.columns) if not hidden(at)]

    def copy_chosen(self) -> None:
        """Copy the chosen rows with their titles, for a spreadsheet: columns parted by tabs."""
        columns = [self._column(key) for key in self.shown_columns()]
        lines = [[column.title for column in columns]]
        lines += [[_safe(column.text_of(row)) for column in columns] for row in self.chosen_rows()]
        QGuiApplication.clipboard().setText("\n".join("\t".join(line) for line in lines))

    # ---- building

    def _build(self, name: str) -> None:
        self.filter_line = QLineEdit(self)
        self.filter_line.setPlaceholderText("Filter")
        self.filter_line.setAccessibleName(f"Filter {name}")
        self.filter_line.setClearButtonEnabled(True)
        self.filter_line.setMaximumWidth(340)
        self.filter_line.textChanged.connect(self.table.filter)
        self._count = QLabel(self)
        self._count.setObjectName("muted")
        self._buttons = OverflowBar(self)
        top = QHBoxLayout()
        top.addWidget(self.filter_line, 1)
        top.addWidget(self._count)
        top.addStretch(1)
        top.addWidget(self._buttons)
        self.view = self._make_view(name)
        self._empty = QLabel(self._empty_text, self)
        self._empty.setObjectName("muted")
        self._empty.setWordWrap(True)
        self._empty.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self._body = QStackedLayout()
        self._body.addWidget(self.view)
        self._body.addWidget(self._empty)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addLayout(top)
        column.addLayout(self._body, 1)

    def _make_view(self, name: str) -> QTableView:
        view = QTableView(self)
        view.setModel(self.table)
        view.setAccessibleName(name)
        view.setSelectionBehavior(QTableView.SelectionBehavior.SelectRows)
        view.setWordWrap(False)
        view.setShowGrid(False)
        view.setAlternatingRowColors(True)
        view.setTabKeyNavigation(False)
        view.setCornerButtonEnabled(False)
        view.verticalHeader().hide()
        tall = max(ROW_PX, view.fontMetrics().height() + 12)
        view.verticalHeader().setMinimumSectionSize(tall)
        view.verticalHeader().setDefaultSectionSize(tall)
        header = view.horizontalHeader()
        header.setHighlightSections(False)
        header.setSortIndicatorClearable(True)
        header.setSortIndicator(-1, Qt.SortOrder.AscendingOrder)
        header.setStretchLastSection(True)
        header.setContextMenuPolicy(Qt.ContextMenuPolicy.CustomContextMenu)
        header.customContextMenuRequested.connect(self._offer_columns)
        view.setSortingEnabled(True)
        letter = view.fontMetrics().averageCharWidth()
        for at, one in enumerate(self.table.columns):
            view.setColumnWidth(at, letter * max(one.width, len(one.title) + 4) + 16)
        view.setContextMenuPolicy(Qt.ContextMenuPolicy.CustomContextMenu)
        view.customContextMenuRequested.connect(self._offer_actions)
        view.activated.connect(self._open_current)
        view.selectionModel().selectionChanged.connect(self._enable_actions)
        copy = QAction("Copy", view)
        copy.setShortcut(QKeySequence.StandardKey.Copy)
        copy.setShortcutContext(_CONTEXT)
        copy.triggered.connect(self.copy_chosen)
        view.addAction(copy)
        return view

    def _column(self, key: str) -> Column:
        return next(one for one in self.table.columns if one.key == key)

    def _show_count(self, count: int) -> None:
        words = self.filter_line.text().strip()
        self._count.setText(f"{count:,} shown" if words else f"{count:,}")
        self._empty.setText("Nothing matches the filter." if words else self._empty_text)
        if count == 0 and self.view.hasFocus():
            self.filter_line.setFocus()
        self._body.setCurrentWidget(self._empty if count == 0 else self.view)

    def _enable_actions(self, *_: object) -> None:
        chosen = len(self.view.selectionModel().selectedRows())
        for action, single in self._row_actions:
            action.setEnabled(chosen == 1 if single else chosen > 0)
        self.selection_changed.emit()

    def _act(self, function: Callable[[list[Any]], object]) -> None:
        rows = self.chosen_rows()
        if rows:
            function(rows)

    def _open_current(self, *_: object) -> None:
        row = self.current_row()
        if row is not None:
            self.row_opened.emit(row)

    def _offer_actions(self, at: QPoint) -> None:
        index = self.view.indexAt(at)
        if index.isValid() and not self.view.selectionModel().isSelected(index):
            self.view.selectionModel().setCurrentIndex(index, _THIS_ROW)
        menu = QMenu(self)
        menu.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        menu.addActions(self.view.actions())
        for title, function in (("Export …", self.on_export), ("Print …", self.on_print)):
            if function is not None:
                menu.addAction(title, function)
        menu.popup(self.view.viewport().mapToGlobal(at))

    def _offer_columns(self, at: QPoint) -> None:
        menu = QMenu(self)
        menu.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        for number, column in enumerate(self.table.columns):
            action = menu.addAction(column.title)
            action.setCheckable(True)
            action.setChecked(not self.view.isColumnHidden(number))
            action.toggled.connect(partial(self._turn_column, number))
        menu.popup(self.view.horizontalHeader().mapToGlobal(at))

    def _turn_column(self, number: int, shown: bool) -> None:
        if shown or len(self.shown_columns()) > 1:
            self.view.setColumnHidden(number, not shown)


def _safe(text: str) -> str:
    """One cell of copied text: no tabs or line ends, and nothing that runs as a formula."""
    flat = " ".join(text.split("\t")).replace("\r", " ").replace("\n", " ")
    looks_like_number = flat.lstrip("+-").replace(".", "").replace(",", "").isdigit()
    return f"'{flat}" if flat.startswith(_FORMULA_STARTS) and not looks_like_number else flat
