"""The parts of a page as tabs, and where the cursor goes when one comes into sight."""

from __future__ import annotations

from functools import partial
from typing import Any

from PySide6.QtCore import QEvent, QPoint, Qt, QTimer
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QApplication, QScrollArea, QTabBar, QTableView, QTabWidget, QWidget

_NO_FOCUS = Qt.FocusPolicy.NoFocus
_TABS = (Qt.Key.Key_Tab, Qt.Key.Key_Backtab)


class PartTabs(QTabWidget):
    """Tabs that grow when a part does (Qt's own keep the size they were made with).

    Ctrl+Tab shows the next part and puts the cursor on its list, so that its keys work at once;
    arrows on the tabs themselves leave the cursor there.
    """

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.currentChanged.connect(lambda _: QTimer.singleShot(0, self, self._show_tabs))

    def _show_tabs(self) -> None:
        """Qt scrolls a page to where the cursor went, and the tabs out of sight."""
        above = self.parentWidget()
        while above is not None and not isinstance(above, QScrollArea):
            above = above.parentWidget()
        holder = above.widget() if isinstance(above, QScrollArea) else None
        if isinstance(above, QScrollArea) and holder is not None:
            above.ensureVisible(0, self.mapTo(holder, QPoint(0, 0)).y(), 0, 0)

    def show_part(self, at: int) -> None:
        """Turn to the part in which something was found; its list has the keys then."""
        self.setCurrentIndex(at)
        now, part = QApplication.focusWidget(), self.currentWidget()
        if part is not None and (now is None or self.isAncestorOf(now)):
            focus_list(part, self.tabBar())

    def event(self, event: QEvent) -> bool:
        """Ask for another size when what a tab holds does."""
        if event.type() == QEvent.Type.LayoutRequest:
            self.updateGeometry()
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's own name
        """Ctrl+Tab and Ctrl+Shift+Tab turn the parts; Qt sees to that."""
        before, key = self.currentIndex(), event.key()
        super().keyPressEvent(event)
        part = self.currentWidget()
        if key in _TABS and self.currentIndex() != before and part is not None:
            focus_list(part, self.focusProxy() or self.tabBar())


def focus_list(page: QWidget, otherwise: QWidget | None = None) -> None:
    """Put the cursor on the first list in sight, or a picture that is walked by keys.

    A list that is still read gets it when it comes; until then, and where there is none, it goes
    to the tabs, or where it is told.
    """
    if _focus_table(page):
        return
    tabs = _in_sight(page, QTabWidget)
    (otherwise or (tabs[0] if tabs else page)).setFocus()
    # What was made just now is only shown, and can only take the keys, in the next turn.
    QTimer.singleShot(0, page, partial(_focus_later, page))


def _focus_later(page: QWidget) -> None:
    """Nobody went elsewhere meanwhile: tabs, and what takes no keys itself, gladly give them."""
    now = QApplication.focusWidget()
    is_free = now is None or isinstance(now, QTabBar) or now.focusPolicy() == _NO_FOCUS
    if not is_free or _focus_table(page):
        return
    waiting = [one for one in _in_sight(page, QWidget) if hasattr(one, "expect_keys")]
    if waiting:
        waiting[0].expect_keys(now)


def _focus_table(page: QWidget) -> bool:
    views = _in_sight(page, QTableView)
    views = views or [one for one in _in_sight(page, QWidget) if getattr(one, "takes_keys", False)]
    if views:
        views[0].setFocus()
    return bool(views)


def _in_sight(page: QWidget, kind: type[QWidget]) -> list[Any]:
    """What of a kind is in sight on a page, from the top."""
    found = [one for one in page.findChildren(kind) if one.isVisibleTo(page)]
    return sorted(found, key=lambda one: one.mapTo(page, QPoint(0, 0)).y())
