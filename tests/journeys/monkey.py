"""Somebody who does anything at all: random keys, clicks and scans, from a fixed seed."""

from __future__ import annotations

import random
from collections.abc import Callable, Sequence

import shiboken6
from PySide6.QtCore import QPoint, QRect, Qt, QTimer
from PySide6.QtTest import QTest
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractItemView,
    QApplication,
    QComboBox,
    QLineEdit,
    QListView,
    QPlainTextEdit,
    QTabBar,
    QWidget,
)

NONE, SHIFT = Qt.KeyboardModifier.NoModifier, Qt.KeyboardModifier.ShiftModifier
CONTROL, ALT = Qt.KeyboardModifier.ControlModifier, Qt.KeyboardModifier.AltModifier
PLAIN = [
    *(getattr(Qt.Key, f"Key_{name}") for name in
      ("Tab", "Backtab", "Return", "Escape", "Up", "Down", "Left", "Right", "Home", "End",
       "PageUp", "PageDown", "Space", "Backspace", "Delete", "F1", "F2", "F6")),
]  # fmt: skip
TEXTS = (
    "4", "17", "2 lb 5.5 oz", "540 g", "1,5 kg", "9 lb 18 oz", "-3", "0", "Ñandú", "=1+1", "'; --",
    "2026-03-01", "today", "x" * 300, "P-OY-0001", "OY01-0001", "%", "1e9", "שלום", "\u200f", "½",
)  # fmt: skip
CLOSING = {Qt.Key.Key_Q, Qt.Key.Key_W}


class Monkey:
    """Does `steps` things to the window; `codes` are what it scans."""

    def __init__(
        self,
        window: QWidget,
        scan: Callable[[str], object],
        settle: Callable[[], object],
        codes: Sequence[str],
        seed: int,
    ) -> None:
        self.window = window
        self.scan = scan
        self.settle = settle
        self.codes = codes
        self.dice = random.Random(seed)
        self.done: list[str] = []
        self._popup: QWidget | None = None
        self._watch = QTimer(window)
        self._watch.setInterval(150)
        self._watch.timeout.connect(self._close_waiting_menu)

    def play(self, steps: int) -> None:
        """Do so many things; `done` tells the last ones, for whoever looks for a fault."""
        self._watch.start()
        doings = (
            self._key,
            self._key,
            self._text,
            self._click,
            self._click,
            self._scan,
            self._combo,
        )
        for step in range(steps):
            self.dice.choice(doings)()
            QApplication.processEvents()
            if step % 10 == 9:
                self.settle()
            if step % 50 == 49:
                self._leave_dialogs()
        self._leave_dialogs()
        self._watch.stop()

    def _close_waiting_menu(self) -> None:
        """A menu's button waits in a loop of its own until somebody chooses; nobody may."""
        popup = QApplication.activePopupWidget()
        if popup is not None and popup is self._popup:
            popup.close()
        self._popup = popup

    def _note(self, what: str) -> None:
        self.done.append(what)
        del self.done[:-40]

    def _top(self) -> QWidget:
        popup = QApplication.activePopupWidget()
        if popup is not None:
            return popup
        return QApplication.activeModalWidget() or QApplication.activeWindow() or self.window

    def _target(self) -> QWidget:
        return QApplication.focusWidget() or self._top()

    def _key(self) -> None:
        key = self.dice.choice(PLAIN)
        self._note(f"key {key.name}")
        QTest.keyClick(self._target(), key)

    def _combo(self) -> None:
        key = Qt.Key(self.dice.choice([*range(0x30, 0x3A), *range(0x41, 0x5B)]))
        if key in CLOSING:
            return
        modifier = self.dice.choice((CONTROL, CONTROL, ALT, CONTROL | SHIFT))
        self._note(f"key {modifier} {key.name}")
        QTest.keyClick(self._target(), key, modifier)

    def _text(self) -> None:
        target = QApplication.focusWidget()
        text = self.dice.choice(TEXTS)
        if isinstance(target, QLineEdit | QPlainTextEdit) and not target.isReadOnly():
            self._note(f"text {text[:20]!r}")
            if isinstance(target, QLineEdit):
                target.setText(text)
            else:
                target.setPlainText(text)

    def _scan(self) -> None:
        line = self.dice.choice((*self.codes, *TEXTS))
        self._note(f"scan {line[:20]!r}")
        self.scan(line)

    def _click(self) -> None:
        top = self._top()
        found = [
            one
            for one in top.findChildren(QWidget)
            if one.isVisible()
            and one.isEnabled()
            and isinstance(
                one, QAbstractButton | QAbstractItemView | QComboBox | QTabBar | QLineEdit
            )
        ]
        if not found:
            return
        target = self.dice.choice(found)
        self._note(f"click {type(target).__name__} {target.accessibleName()!r}")
        at = self._point_in(target)
        where = target.viewport() if isinstance(target, QAbstractItemView) else target
        if self.dice.random() < 0.1:
            QTest.mouseDClick(where, Qt.MouseButton.LeftButton, pos=at)
        else:
            QTest.mouseClick(where, Qt.MouseButton.LeftButton, pos=at)

    def _point_in(self, target: QWidget) -> QPoint:
        if isinstance(target, QAbstractItemView) and not isinstance(target, QListView):
            model = target.model()
            if model is not None and model.rowCount():
                row = self.dice.randrange(min(model.rowCount(), 30))
                rect: QRect = target.visualRect(model.index(row, 0))
                return rect.center()
        size = target.size()
        return QPoint(
            self.dice.randrange(max(size.width(), 1)), self.dice.randrange(max(size.height(), 1))
        )

    def _leave_dialogs(self) -> None:
        """Close what is open on top, as somebody would who lost the way."""
        for _ in range(12):
            top = QApplication.activePopupWidget() or QApplication.activeModalWidget()
            if top is None:
                return
            QTest.keyClick(top, Qt.Key.Key_Escape)
            self.settle()
            if shiboken6.isValid(top) and top.isVisible():
                top.close()
                self.settle()
