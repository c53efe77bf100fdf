"""Actions with a key that works while their page or part has the cursor."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Qt
from PySide6.QtGui import QAction, QKeySequence
from PySide6.QtWidgets import QWidget


def add_keyed_action(
    owner: QWidget, title: str, keys: str, function: Callable[[], object]
) -> QAction:
    """An action of `owner`; its key works in the owner and what it holds, and the tip tells it."""
    action = QAction(title, owner)
    action.setShortcut(QKeySequence(keys))
    action.setShortcutContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
    action.setToolTip(f"{title} ({keys})")
    action.triggered.connect(lambda _=False: function())
    owner.addAction(action)
    return action
