"""A list on a page: filter line, sorted and grouped columns, actions on rows, an empty state.

Every list exports, prints, copies and lets its columns be chosen, without its page's doing.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QEvent, QItemSelectionModel, QModelIndex, QPoint, Qt, Signal
from PySide6.QtGui import QAction, QGuiApplication, QKeySequence, QShowEvent
from PySide6.QtWidgets import (
    QApplication,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QMenu,
    QStackedLayout,
    QStyledItemDelegate,
    QTableView,
    QVBoxLayout,
    QWidget,
)

from farmdesk.desk.heading_delegate import HeadingDelegate
from farmdesk.desk.list_look import ListLook
from farmdesk.desk.list_menu import fill_header_menu, fill_list_menu
from farmdesk.desk.overflow import OverflowBar
from farmdesk.desk.row_table import RowTable
from farmdesk.desk.tables import Column, LongTable, RowSource
from farmdesk.desk.workplace import Workplace
from farmdesk.wording.language import tr, tr_count

if TYPE_CHECKING:
    from farmdesk.paper.tables import Kind

LEAST_ROWS = 3
"""So many rows are in sight at least; where the window is lower, the page scrolls."""
LEAST_PX = 150
FILTER_CHARACTERS = 12
ROW_PX = 34
_FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")
_CONTEXT = Qt.ShortcutContext.WidgetWithChildrenShortcut
_ONE_ROW = QItemSelectionModel.SelectionFlag.ClearAndSelect | QItemSelectionModel.SelectionFlag.Rows


class ListView(QWidget):
    """One list. Fill it by `set_rows` or `set_source`; act on rows by `add_row_action`.

    `group` is the column that its rows stand under headings by until the person says otherwise.
    """

    row_opened = Signal(object)
    """Enter or a double click on a row: the row object."""
    selection_changed = Signal()

    def __init__(
        self,
        columns: Sequence[Column],
        *,
        name: str,
        empty_text: str = "",
        group: str = "",
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.table = LongTable(columns, self)
        self.name = name
        self.kinds: dict[str, Kind] = {}
        self._empty_text = empty_text or tr("Nothing here yet.")
        self._refusal = ""
        self._holder: QWidget | None = None
        self._expects = False
        self._row_actions: list[tuple[QAction, bool]] = []
        self.on_export: Callable[[], object] | None = None
        self.on_print: Callable[[], object] | None = None
        self._build(name)
        self.table.group_by(group)
        self.table.about_to_reset.connect(self.view.scrollToTop)
        self.table.counted.connect(self._show_count)
        self.table.group_refused.connect(self._refuse_group)
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

    def expect_keys(self, holder: QWidget | None) -> None:
        """Take the keys from `holder` when rows come, unless they are somewhere else by then."""
        self._holder, self._expects = holder, True

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

    def sort_by(self, number: int, *, descending: bool = False) -> None:
        """Sort by a column, as a click on its title does; -1 for the order of the rows."""
        down, up = Qt.SortOrder.DescendingOrder, Qt.SortOrder.AscendingOrder
        self.view.horizontalHeader().setSortIndicator(number, down if descending else up)

    def show_columns(self, keys: Sequence[str]) -> None:
        """Show only the columns with these keys."""
        self.look.set_hidden([one.key for one in self.table.columns if one.key not in keys])

    def shown_columns(self) -> list[str]:
        """Keys of the columns that are shown, from left to right."""
        hidden = self.look.hidden()
        return [key for key in self.look.order() if key not in hidden]

    def turn_column(self, key: str, shown: bool) -> None:
        """Show a column or hide it; the last one stays."""
        hidden = [one for one in self.look.hidden() if one != key]
        self.look.set_hidden(hidden if shown else [*hidden, key])

    def fit_column(self, number: int, width_px: int) -> None:
        """Make a column as wide as its contents want, unless the person has chosen a width."""
        if not self.look.has_width_of_its_own(self.table.columns[number].key):
            self.view.setColumnWidth(number, width_px)

    def set_kinds(self, kinds: Mapping[str, Kind]) -> None:
        """Say which columns hold real figures: they are exported as such, and masses are summed."""
        self.kinds = dict(kinds)
        self.table.columns = tuple(
            replace(one, kind=kinds.get(one.key, one.kind)) for one in self.table.columns
        )

    def copy_chosen(self) -> None:
        """Copy the chosen rows with their titles, for a spreadsheet: columns parted by tabs."""
        columns = [self._column(key) for key in self.shown_columns()]
        lines = [[column.title for column in columns]]
        lines += [[_safe(column.text_of(row)) for column in columns] for row in self.chosen_rows()]
        QGuiApplication.clipboard().setText("\n".join("\t".join(line) for line in lines))

    # ---- building

    def _build(self, name: str) -> None:
        self.filter_line = QLineEdit(self)
        self.filter_line.setPlaceholderText(tr("Filter"))
        self.filter_line.setAccessibleName(tr("Filter {list}").format(list=name))
        self.filter_line.setClearButtonEnabled(True)
        self.filter_line.textChanged.connect(self.table.filter)
        self._count = QLabel(self)
        self._count.setObjectName("muted")
        self._buttons = OverflowBar(
            self,
            fill_menu=lambda menu: fill_list_menu(self, menu),
            menu_name=tr("What can be done with {list}").format(list=name),
        )
        top = QHBoxLayout()
        top.addWidget(self.filter_line, 1)
        top.addWidget(self._count)
        top.addStretch(1)
        top.addWidget(self._buttons)
        self.view = self._make_view(name)
        self.look = ListLook(self.view, self.table)
        self._fit_to_text()
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
        view = RowTable(self)
        view.setModel(self.table)
        view.setAccessibleName(name)
        view.setSelectionBehavior(QTableView.SelectionBehavior.SelectRows)
        view.setWordWrap(False)
        view.setShowGrid(False)
        view.setAlternatingRowColors(True)
        view.setTabKeyNavigation(False)
        view.setCornerButtonEnabled(False)
        view.verticalHeader().hide()
        header = view.horizontalHeader()
        header.setHighlightSections(False)
        header.setSortIndicatorClearable(True)
        header.setSortIndicator(-1, Qt.SortOrder.AscendingOrder)
        header.setStretchLastSection(True)
        header.setSectionsMovable(True)
        header.setContextMenuPolicy(Qt.ContextMenuPolicy.CustomContextMenu)
        header.customContextMenuRequested.connect(self._offer_columns)
        view.setSortingEnabled(True)
        view.setContextMenuPolicy(Qt.ContextMenuPolicy.CustomContextMenu)
        view.customContextMenuRequested.connect(self._offer_actions)
        view.activated.connect(self._open_current)
        view.clicked.connect(self._toggle)
        view.selectionModel().selectionChanged.connect(self._enable_actions)
        copy = QAction(tr("Copy"), view)
        copy.setShortcut(QKeySequence.StandardKey.Copy)
        copy.setShortcutContext(_CONTEXT)
        copy.triggered.connect(self.copy_chosen)
        self.addAction(copy)
        more = QAction(tr("What can be done with the list"), self)
        more.setShortcut(QKeySequence("Ctrl+."))
        more.setShortcutContext(_CONTEXT)
        more.triggered.connect(lambda _=False: self._buttons.open_menu())
        self.addAction(more)
        return view

    def _fit_to_text(self) -> None:
        """Rows, columns and the filter line are as large as the text asks."""
        metrics = self.view.fontMetrics()
        tall = max(ROW_PX, metrics.height() + 12)
        self.view.verticalHeader().setMinimumSectionSize(tall)
        self.view.verticalHeader().setDefaultSectionSize(tall)
        self.view.setMinimumHeight(min(tall * (LEAST_ROWS + 1), LEAST_PX))
        letter = metrics.averageCharWidth()
        self.filter_line.setMinimumWidth(letter * (FILTER_CHARACTERS + 5))
        self.filter_line.setMaximumWidth(max(340, letter * 34))
        for one in self.table.columns:
            self.look.set_width(one.key, self.look.usual_width(one.key))

    def _column(self, key: str) -> Column:
        return next(one for one in self.table.columns if one.key == key)

    def _show_count(self, count: int) -> None:
        words = self.filter_line.text().strip()
        self._count.setText(self._refusal or self._count_text(count, words))
        self._count.setObjectName("muted")
        self._refusal = ""
        self._empty.setText(tr("Nothing matches the filter.") if words else self._empty_text)
        if count == 0 and self.view.hasFocus():
            self.filter_line.setFocus()
        self._body.setCurrentWidget(self._empty if count == 0 else self.view)
        if count and self._expects:
            if self._holder is QApplication.focusWidget():
                self.view.setFocus()
            self._holder, self._expects = None, False
        has_headings = isinstance(self.view.itemDelegate(), HeadingDelegate)
        if bool(self.table.group) != has_headings:
            usual = QStyledItemDelegate(self.view)
            self.view.setItemDelegate(HeadingDelegate(self.view) if self.table.group else usual)
            self.look.keep()

    def _count_text(self, count: int, words: str) -> str:
        if self.table.group:
            groups = len(self.table.groups())
            text = tr_count(groups, "{count} in {n} group", "{count} in {n} groups")
            return text.format(count=f"{count:,}", n=groups)
        return tr("{count} shown").format(count=f"{count:,}") if words else f"{count:,}"

    def _refuse_group(self, count: int) -> None:
        self._refusal = tr("{count}: too many to group, filter first").format(count=f"{count:,}")

    def _enable_actions(self, *_: object) -> None:
        places = self.view.selectionModel().selectedRows()
        if self.table.group:
            places = [one for one in places if self.table.heading_at(one.row()) is None]
        for action, single in self._row_actions:
            action.setEnabled(len(places) == 1 if single else len(places) > 0)
        self.selection_changed.emit()

    def _toggle(self, index: QModelIndex) -> None:
        """Open or close the group of a heading, which stays where it is."""
        bar = self.view.verticalScrollBar()
        place = bar.value()
        if self.table.toggle(index.row()):
            self.view.selectionModel().setCurrentIndex(
                self.table.index(index.row(), index.column()), _ONE_ROW
            )
            bar.setValue(place)

    def _act(self, function: Callable[[list[Any]], object]) -> None:
        rows = self.chosen_rows()
        if rows:
            function(rows)

    def _open_current(self, *_: object) -> None:
        row, index = self.current_row(), self.view.currentIndex()
        if row is not None:
            self.row_opened.emit(row)
        elif QGuiApplication.mouseButtons() == Qt.MouseButton.NoButton:
            # The second click of a double click would undo what the first has done.
            self._toggle(index)

    def _offer_actions(self, at: QPoint) -> None:
        index = self.view.indexAt(at)
        if index.isValid() and not self.view.selectionModel().isSelected(index):
            self.view.selectionModel().setCurrentIndex(index, _ONE_ROW)
        menu = QMenu(self)
        menu.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        menu.addActions(self.view.actions())
        menu.addSeparator()
        fill_list_menu(self, menu)
        menu.popup(self.view.viewport().mapToGlobal(at))

    def _offer_columns(self, at: QPoint) -> None:
        menu = QMenu(self)
        menu.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        fill_header_menu(self, menu, self.view.columnAt(at.x()))
        menu.popup(self.view.horizontalHeader().mapToGlobal(at))

    # ---- Qt's own

    def showEvent(self, event: QShowEvent) -> None:  # noqa: N802 - Qt's own name
        """The list looks as it was left."""
        super().showEvent(event)
        self.look.recall()

    def changeEvent(self, event: QEvent) -> None:  # noqa: N802 - Qt's own name
        """Larger text needs larger rows."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.FontChange and hasattr(self, "look"):
            self._fit_to_text()


def _safe(text: str) -> str:
    """One cell of copied text: no tabs or line ends, and nothing that runs as a formula."""
    flat = " ".join(text.split("\t")).replace("\r", " ").replace("\n", " ")
    looks_like_number = flat.lstrip("+-").replace(".", "").replace(",", "").isdigit()
    return f"'{flat}" if flat.startswith(_FORMULA_STARTS) and not looks_like_number else flat
