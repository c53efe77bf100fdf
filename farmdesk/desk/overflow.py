"""A row of buttons that is never wider than its place: what does not fit goes into a menu."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QPoint, QSize, Qt
from PySide6.QtGui import QAction, QResizeEvent
from PySide6.QtWidgets import QMenu, QSizePolicy, QToolButton, QWidget

from farmdesk.wording.language import tr

GAP_PX = 6


class OverflowBar(QWidget):
    """Buttons beside each other; the last one, More, holds those that find no room.

    With `fill_menu` the menu is always there and starts with what that puts into it.
    """

    def __init__(
        self,
        parent: QWidget | None = None,
        *,
        fill_menu: Callable[[QMenu], object] | None = None,
        menu_name: str = "",
    ) -> None:
        super().__init__(parent)
        self._fill_menu = fill_menu
        self._buttons: list[QToolButton] = []
        self._kept: list[QAction] = []
        """Qt's binding lets go of actions when a menu is cleared; without these they would die."""
        self.more = QToolButton(self)
        self.more.setText(tr("More ▾"))
        self.more.setAccessibleName(menu_name or tr("More"))
        self.more.setToolTip(menu_name or tr("More"))
        self.more.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.menu = QMenu(self.more)
        self.menu.aboutToShow.connect(self._make_menu)
        self.more.clicked.connect(lambda _=False: self.open_menu())
        self.more.setVisible(fill_menu is not None)
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)

    def add_action(self, action: QAction) -> QToolButton:
        """A button for an action, at the end; gives the button."""
        button = QToolButton(self)
        button.setDefaultAction(action)
        button.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        button.setAccessibleName(action.text())
        self._buttons.append(button)
        self._kept.append(action)
        QWidget.setTabOrder(button, self.more)
        action.changed.connect(self._arrange_again)
        self._arrange_again()
        return button

    def open_menu(self) -> None:
        """Open the menu below its button.

        A button with a menu of its own would wait in a loop until somebody chooses; when its
        dialog is closed meanwhile, by a scan or another station, the program breaks there.
        """
        self.menu.popup(self.more.mapToGlobal(QPoint(0, self.more.height())))

    def hidden_actions(self) -> list[QAction]:
        """The actions that are in the menu for want of room."""
        return [
            one.defaultAction()
            for one in self._buttons
            if one.isHidden() and one.defaultAction().isVisible()
        ]

    # ---- arranging

    def _arrange_again(self) -> None:
        self.updateGeometry()
        self._arrange()

    def _wanted(self) -> list[QToolButton]:
        return [one for one in self._buttons if one.defaultAction().isVisible()]

    def _arrange(self) -> None:
        wanted, room = self._wanted(), self.width()
        has_menu = self._fill_menu is not None
        menu_width = self.more.sizeHint().width()
        widths = [one.sizeHint().width() + GAP_PX for one in wanted]
        all_fit = sum(widths) - GAP_PX + (menu_width + GAP_PX if has_menu else 0) <= room
        left = room if all_fit and not has_menu else room - menu_width
        at, fitting = 0, 0
        for width in widths:
            if at + width - (GAP_PX if all_fit and not has_menu else 0) > left:
                break
            at, fitting = at + width, fitting + 1
        self.more.setVisible(has_menu or fitting < len(wanted))
        self._place(wanted, fitting)

    def _place(self, wanted: list[QToolButton], fitting: int) -> None:
        shown = wanted[:fitting]
        tall = self.height()
        right = self.width()
        if not self.more.isHidden():
            hint = self.more.sizeHint()
            right -= hint.width()
            self.more.setGeometry(right, (tall - hint.height()) // 2, hint.width(), hint.height())
            right -= GAP_PX
        for button in reversed(shown):
            hint = button.sizeHint()
            right -= hint.width()
            button.setGeometry(right, (tall - hint.height()) // 2, hint.width(), hint.height())
            right -= GAP_PX
        for button in self._buttons:
            button.setVisible(button in shown)

    def _make_menu(self) -> None:
        self.menu.clear()
        if self._fill_menu is not None:
            self._fill_menu(self.menu)
        hidden, others = self.hidden_actions(), self.menu.actions()
        if others and hidden:
            self.menu.insertActions(others[0], hidden)
            self.menu.insertSeparator(others[0])
        else:
            self.menu.addActions(hidden)

    # ---- Qt's own

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's own name
        """Wide enough for every button."""
        hints = [one.sizeHint() for one in self._wanted()]
        if self._fill_menu is not None:
            hints.append(self.more.sizeHint())
        wide = sum(one.width() + GAP_PX for one in hints) - GAP_PX
        return QSize(max(0, wide), max((one.height() for one in hints), default=0))

    def minimumSizeHint(self) -> QSize:  # noqa: N802 - Qt's own name
        """Wide enough for the menu's button."""
        hint = self.sizeHint()
        return QSize(min(hint.width(), self.more.sizeHint().width()), hint.height())

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's own name
        """Show what fits now."""
        super().resizeEvent(event)
        self._arrange()

    def changeEvent(self, event: object) -> None:  # noqa: N802 - Qt's own name
        """Larger text needs more room."""
        super().changeEvent(event)  # type: ignore[arg-type]
        self._arrange_again()
