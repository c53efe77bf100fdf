"""The base of every page: a title, its actions, help, and refreshing when it is seen."""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar

from PySide6.QtCore import QPoint, QSize, Qt, QTimer
from PySide6.QtGui import QAction, QGuiApplication, QKeySequence, QShowEvent
from PySide6.QtWidgets import QApplication, QHBoxLayout, QLabel, QScrollArea, QVBoxLayout, QWidget

from farmdesk.desk.context import DeskContext
from farmdesk.desk.icons import find_icon
from farmdesk.desk.overflow import OverflowBar

_ENOUGH_LINES = 8
_MARGIN_PX = 20


class Page(QWidget):
    """A place of the desk. Subclasses fill `self.body` and write `refresh`."""

    title: ClassVar[str] = ""
    help_text: ClassVar[str] = ""
    interest: ClassVar[frozenset[str]] = frozenset()
    """Kinds of thing that the page shows; a change of one of them refreshes it."""

    def __init__(self, context: DeskContext, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.context = context
        self.setAccessibleName(self.title)
        outer = QVBoxLayout(self)
        outer.setContentsMargins(16, 10, 16, 10)
        outer.setSpacing(8)
        outer.addLayout(self._make_head())
        outer.addWidget(self._make_body(), 1)
        context.refresher.register(self, self.interest)

    def refresh(self) -> None:
        """Read again what the page shows; called when it is first shown and after changes."""

    def help(self) -> str:
        """What F1 says of the page."""
        return self.help_text

    def show_subject(self, subject: str) -> None:
        """Show one thing of the page, named by its code or name; other places link here."""

    def add_page_action(
        self,
        title: str,
        function: Callable[[], object],
        *,
        shortcut: str = "",
        hint: str = "",
        icon: str = "",
    ) -> QAction:
        """Put a button at the head of the page; its key works while the page is shown."""
        action = QAction(title, self)
        action.triggered.connect(lambda _=False: function())
        action.setToolTip(f"{hint or title} ({shortcut})" if shortcut else hint or title)
        if shortcut:
            action.setShortcut(QKeySequence(shortcut))
            action.setShortcutContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
        size = self.fontMetrics().height() + 4
        if icon:
            action.setIcon(find_icon(icon, self.palette().windowText().color()))
        self.addAction(action)
        button = self._actions_row.add_action(action)
        button.setToolButtonStyle(Qt.ToolButtonStyle.ToolButtonTextBesideIcon)
        button.setIconSize(QSize(size, size))
        button.setAccessibleName(title)
        return action

    def page_actions(self) -> list[QAction]:
        """The actions of the page's head, in order."""
        return self.actions()

    def set_busy(self, text: str = "") -> None:
        """Say that the page is reading or printing; '' says it is not."""
        self._busy.setText(text)
        self._busy.setVisible(bool(text))

    def print_page(self) -> bool:
        """Print what the page shows; False when it has nothing to print."""
        return False

    def _make_head(self) -> QHBoxLayout:
        head = QHBoxLayout()
        name = QLabel(self.title, self)
        name.setObjectName("title")
        self._busy = QLabel(self)
        self._busy.setObjectName("muted")
        self._busy.hide()
        head.addWidget(name)
        head.addSpacing(12)
        head.addWidget(self._busy)
        head.addStretch(1)
        self._actions_row = OverflowBar(self)
        head.addWidget(self._actions_row)
        return head

    def _make_body(self) -> QScrollArea:
        # Where the screen is small or the text large the page scrolls, and nothing is cut off.
        holder = QWidget()
        self.body = QVBoxLayout(holder)
        self.body.setContentsMargins(0, 0, 0, 0)
        self.body.setSpacing(8)
        area = QScrollArea(self)
        area.setObjectName("page")
        area.setWidgetResizable(True)
        area.setFrameShape(QScrollArea.Shape.NoFrame)
        area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        area.setWidget(holder)
        self._area = area
        app = QApplication.instance()
        if isinstance(app, QApplication):
            app.focusChanged.connect(self._bring_in_sight)
        return area

    def _bring_in_sight(self, _before: QWidget | None, now: QWidget | None) -> None:
        """Scroll to what the keyboard has come to; a click must not move what is clicked."""
        is_by_key = QGuiApplication.mouseButtons() == Qt.MouseButton.NoButton
        if now is not None and is_by_key and self._area.isAncestorOf(now):
            # What has just come into sight has no place yet.
            QTimer.singleShot(0, self, self._scroll_to_keys)

    def _scroll_to_keys(self) -> None:
        """Of a list its first lines are enough: all of it would push the tabs out of sight."""
        now, holder = QApplication.focusWidget(), self._area.widget()
        if now is None or holder is None or not holder.isAncestorOf(now):
            return
        enough = min(now.height(), now.fontMetrics().height() * _ENOUGH_LINES)
        if now.visibleRegion().boundingRect().height() < enough:
            top = now.mapTo(holder, QPoint(0, 0))
            self._area.ensureVisible(top.x(), top.y() + enough // 2, 0, enough // 2 + _MARGIN_PX)

    def showEvent(self, event: QShowEvent) -> None:  # noqa: N802 - Qt's own name
        """Refresh when stale."""
        super().showEvent(event)
        self.context.refresher.shown(self)
