"""What is offered under a line while somebody types in it."""

from __future__ import annotations

from PySide6.QtCore import QAbstractItemModel, QCoreApplication, QEvent, QObject, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QCompleter

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
        offer = self.popup()
        if offer is None or watched is not offer or not _keeps(event):
            return super().eventFilter(watched, event)
        offer.hide()
        QCoreApplication.postEvent(self.widget(), event.clone())
        return True


def _keeps(event: QEvent) -> bool:
    """Whether this is Ctrl+Enter."""
    return (
        isinstance(event, QKeyEvent)
        and event.type() == QEvent.Type.KeyPress
        and event.key() in _ENTERS
        and bool(event.modifiers() & Qt.KeyboardModifier.ControlModifier)
    )
