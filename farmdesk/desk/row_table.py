"""The table inside a list: keys move from row to row, and the first key chooses the first."""

from __future__ import annotations

from PySide6.QtCore import QItemSelectionModel, QModelIndex, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QTableView

from farmdesk.desk.tables import LongTable

_ONE_ROW = QItemSelectionModel.SelectionFlag.ClearAndSelect | QItemSelectionModel.SelectionFlag.Rows
_KEYS = Qt.Key
_STEPS = (_KEYS.Key_Up, _KEYS.Key_Down, _KEYS.Key_PageUp, _KEYS.Key_PageDown)
_PLAIN = (Qt.KeyboardModifier.NoModifier, Qt.KeyboardModifier.KeypadModifier)
_UP = (
    QTableView.CursorAction.MoveUp,
    QTableView.CursorAction.MovePageUp,
    QTableView.CursorAction.MovePrevious,
)
_ALONG = (
    QTableView.CursorAction.MoveLeft,
    QTableView.CursorAction.MoveRight,
)


class RowTable(QTableView):
    """Rows, not cells.

    Qt puts the cursor on the first row when the table gets the keys, and chooses nothing: a step
    would leave that row out, and a list of one row could not be chosen by arrows. Its Home and
    End go along the cells of a row.

    Steps pass over the headings of open groups; a closed one is stepped on, to be opened by
    Enter. Minus closes the group of the row under the cursor, plus opens it.
    """

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's own name
        """The first step chooses the row under the cursor; Home and End the first and last."""
        if event.text() in ("+", "-") and self._turn_group(opened=event.text() == "+"):
            return
        row = self._row_for(event.key()) if event.modifiers() in _PLAIN else -1
        if row < 0:
            super().keyPressEvent(event)
            return
        self._choose(self._past_headings(row, 1))

    def moveCursor(  # noqa: N802 - Qt's own name
        self, action: QTableView.CursorAction, modifiers: Qt.KeyboardModifier
    ) -> QModelIndex:
        """Where a key takes the cursor."""
        there: QModelIndex = super().moveCursor(action, modifiers)
        if action in _ALONG or not there.isValid():
            return there
        row = self._past_headings(there.row(), -1 if action in _UP else 1)
        if row == 1 and self._is_open_heading(0):
            self.scrollToTop()
        return there.siblingAtRow(row)

    def _row_for(self, key: int) -> int:
        """The row that a key chooses; -1 when Qt's own way is right."""
        rows = self.model().rowCount()
        if key == _KEYS.Key_Home:
            return min(0, rows - 1)
        if key == _KEYS.Key_End:
            return rows - 1
        is_first = key in _STEPS and not self.selectionModel().hasSelection()
        return self.currentIndex().row() if is_first else -1

    def _past_headings(self, row: int, step: int) -> int:
        """The nearest row that is no open heading, in one direction or else in the other."""
        for by in (step, -step):
            at = row
            while self._is_open_heading(at):
                at += by
            if 0 <= at < self.model().rowCount():
                return at
        return row

    def _is_open_heading(self, row: int) -> bool:
        heading = self._table().heading_at(row)
        return heading is not None and heading.is_open

    def _turn_group(self, *, opened: bool) -> bool:
        """Open or close the group of the cursor's row; whether it is another now."""
        table = self._table()
        at = self.currentIndex().row()
        while at > 0 and table.heading_at(at) is None:
            at -= 1
        heading = table.heading_at(at)
        if heading is None or heading.is_open == opened:
            return False
        table.toggle(at)
        self._choose(at + 1 if opened else at)
        return True

    def _choose(self, row: int) -> None:
        here = self.model().index(row, max(0, self.currentIndex().column()))
        self.selectionModel().setCurrentIndex(here, _ONE_ROW)

    def _table(self) -> LongTable:
        table = self.model()
        assert isinstance(table, LongTable)
        return table
