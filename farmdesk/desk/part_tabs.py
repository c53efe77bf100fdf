"""The parts of a page as tabs, and where the cursor goes when one comes into sight."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QPoint, Qt, QTimer
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QApplication, QScrollArea, QTableView, QTabWidget, QWidget

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
    """Put the cursor on the first list in sight; a list that is still read gets it when it comes.

    Until then, and where there is none, it goes to the tabs, or where it is told.
    """
    views = [one for one in page.findChildren(QTableView) if one.isVisibleTo(page)]
    if views:
        views[0].setFocus()
        return
    tabs = [one for one in page.findChildren(QTabWidget) if one.isVisibleTo(page)]
    (otherwise or (tabs[0] if tabs else page)).setFocus()
    holder = QApplication.focusWidget()
    for one in page.findChildren(QWidget):
        if holder is not None and hasattr(one, "expect_keys") and one.isVisibleTo(page):
            one.expect_keys(holder)
            return
