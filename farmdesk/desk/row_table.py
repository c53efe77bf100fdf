"""The table inside a list: keys move from row to row, and the first key chooses the first."""

from __future__ import annotations

from PySide6.QtCore import QItemSelectionModel, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QTableView

_ONE_ROW = QItemSelectionModel.SelectionFlag.ClearAndSelect | QItemSelectionModel.SelectionFlag.Rows
_KEYS = Qt.Key
_STEPS = (_KEYS.Key_Up, _KEYS.Key_Down, _KEYS.Key_PageUp, _KEYS.Key_PageDown)
_PLAIN = (Qt.KeyboardModifier.NoModifier, Qt.KeyboardModifier.KeypadModifier)


class RowTable(QTableView):
    """Rows, not cells.

    Qt puts the cursor on the first row when the table gets the keys, and chooses nothing: a step
    would leave that row out, and a list of one row could not be chosen by arrows. Its Home and
    End go along the cells of a row.
    """

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's own name
        """The first step chooses the row under the cursor; Home and End the first and last."""
        row = self._row_for(event.key()) if event.modifiers() in _PLAIN else -1
        if row < 0:
            super().keyPressEvent(event)
            return
        here = self.model().index(row, max(0, self.currentIndex().column()))
        self.selectionModel().setCurrentIndex(here, _ONE_ROW)

    def _row_for(self, key: int) -> int:
        """The row that a key chooses; -1 when Qt's own way is right."""
        rows = self.model().rowCount()
        if key == _KEYS.Key_Home:
            return min(0, rows - 1)
        if key == _KEYS.Key_End:
            return rows - 1
        is_first = key in _STEPS and not self.selectionModel().hasSelection()
        return self.currentIndex().row() if is_first else -1
