"""What is offered under a line while somebody types in it."""

from __future__ import annotations

from PySide6.QtCore import QAbstractItemModel, QCoreApplication, QEvent, QObject, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QCompleter, QWidget

_ENTERS = (Qt.Key.Key_Return, Qt.Key.Key_Enter)


class PartCompleter(QCompleter):
    """Offers what holds the typed part anywhere; Ctrl+Enter goes to the form at once."""

    def __init__(self, model: QAbstractItemModel, parent: QObject) -> None:
        super().__init__(model, parent)
        self.setFilterMode(Qt.MatchFlag.MatchContains)
        self.setCaseSensitivity(Qt.CaseSensitivity.CaseInsensitive)
        self.setCompletionMode(QCompleter.CompletionMode.PopupCompletion)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:  # noqa: N802 - Qt's own name
        """Qt's own takes any Enter to close the offer: the form would have to be kept twice."""
        if event.type() == QEvent.Type.KeyPress and self._keeps(watched, event):
            self.popup().hide()
            line: QWidget = self.widget()
            assert isinstance(event, QKeyEvent)
            again = QKeyEvent(event.type(), event.key(), event.modifiers(), event.text())
            QCoreApplication.postEvent(line, again)
            return True
        return super().eventFilter(watched, event)

    def _keeps(self, watched: QObject, event: QEvent) -> bool:
        if not isinstance(event, QKeyEvent) or event.key() not in _ENTERS:
            return False
        is_control = bool(event.modifiers() & Qt.KeyboardModifier.ControlModifier)
        return is_control and watched is self.popup()
