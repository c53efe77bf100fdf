"""Somebody at the desk without a mouse: keys, the Tab key, and a scanner that types."""

from __future__ import annotations

import itertools
from collections.abc import Callable
from typing import Any

from PySide6.QtCore import QCoreApplication, QEvent, QKeyCombination, Qt
from PySide6.QtGui import QKeyEvent, QKeySequence, QWindow
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLabel, QMenu, QPushButton, QTabWidget, QWidget

from farmdesk.desk.application import Desk

SCANNER_MS = 2
HANDS_MS = 180
MOST_TABS = 150
_now = itertools.count(1_000_000, 100_000)


class Hands:
    """Presses keys where the cursor is, as a person sees it; nothing else reaches the desk."""

    def __init__(self, desk: Desk, wait_until: Callable[..., None]) -> None:
        self.desk = desk
        self._wait_until = wait_until

    def settle(self) -> None:
        """Wait until all that was asked for is done and shown."""
        QApplication.processEvents()  # a key may still be on its way
        self.desk.workplace.settled()
        if QApplication.activeModalWidget() is None and QApplication.activePopupWidget() is None:
            # Without a window manager nobody gives the focus back after a dialog.
            self.top.activateWindow()
        QApplication.processEvents()

    def wait_for(self, fact: Callable[[], object]) -> None:
        """Let the desk work until something is so."""
        self._wait_until(lambda: bool(fact()))
        self.settle()

    @property
    def top(self) -> Any:
        """The dialog in front, the bench view over the screen, or the window."""
        session = self.desk.session
        bench = session.bench_acts.view if session is not None else None
        under = bench if bench is not None and bench.isVisible() else self.desk.window
        return QApplication.activeModalWidget() or under

    @property
    def keys(self) -> QWindow:
        """The native window that the platform sends keys to."""
        handle: QWindow = self.top.windowHandle()
        return handle

    @property
    def focus(self) -> QWidget:
        """Where the cursor is."""
        return QApplication.focusWidget() or self.top

    def press(self, *keys: str) -> None:
        """Keys such as 'Ctrl+Return', one after the other."""
        for name in keys:
            combination: QKeyCombination = QKeySequence(name)[0]
            key, modifiers = combination.key(), combination.keyboardModifiers()
            # A press may close its dialog: Qt's keyClick would release in a window that is gone.
            QTest.keyPress(self.keys, key, modifiers)
            self.settle()
            QTest.keyRelease(self.keys, key, modifiers)
            self.settle()

    def go(self, name: str) -> None:
        """Tab until the cursor is on what has this name."""
        seen = []
        for _ in range(MOST_TABS):
            told = self.heard()
            if told == name:
                return
            seen.append(told)
            self.press("Tab")
        told = self.problems(self.top)
        raise AssertionError(f"{told}. Tab does not come to {name!r}, but to {sorted(set(seen))}")

    def heard(self) -> str:
        """What a screen reader says of where the cursor is."""
        focus = self.focus
        if isinstance(focus, QPushButton) and not focus.accessibleName():
            return focus.text().replace("&", "")
        return focus.accessibleName()

    def write(self, text: str) -> None:
        """Type over what is there."""
        self.press("Ctrl+A")
        self._strokes(text, every=HANDS_MS)

    def fill(self, answers: dict[str, str]) -> None:
        """Go to each field by its name and type over what is there."""
        for name, text in answers.items():
            self.go(name)
            self.write(text)

    def save(self, answers: dict[str, str] | None = None) -> None:
        """Fill a form and keep it with Ctrl+Enter."""
        form = self.top
        self.fill(answers or {})
        self.press("Ctrl+Return")
        self.wait_for(lambda: self.top is not form or self.problems(form))
        assert self.top is not form, self.problems(form)

    def problems(self, widget: QWidget) -> list[str]:
        """The sentences about what is wrong that are in sight."""
        labels = widget.findChildren(QLabel)
        return [one.text() for one in labels if one.isVisible() and one.text().startswith("⚠")]

    def scan(self, code: str) -> None:
        """A scanner types a code, far faster than hands, and Enter."""
        self._strokes(f"{code}\r", every=SCANNER_MS)

    def burst(self, text: str) -> None:
        """Keys as fast as a scanner's, without the end that makes them a scan."""
        self._strokes(text, every=SCANNER_MS)

    def _strokes(self, text: str, *, every: int) -> None:
        at = next(_now)
        for sign in text:
            key = Qt.Key.Key_Return if sign == "\r" else ord(sign.upper())
            for kind in (QEvent.Type.KeyPress, QEvent.Type.KeyRelease):
                event = QKeyEvent(kind, key, Qt.KeyboardModifier.NoModifier, sign.strip("\r"))
                event.setTimestamp(at)
                QCoreApplication.sendEvent(self.keys, event)
            at += every
        self.settle()

    def choose_in_menu(self, name: str, *titles: str) -> None:
        """Open the menu with this name by Space, and go down to each of these titles in turn."""
        self.go(name)
        self.press("Space")
        self.wait_for(QApplication.activePopupWidget)  # a blank may be a scanner's, for a moment
        for title in titles:
            self._walk_to(title)
            self.press("Return")

    def _walk_to(self, title: str) -> None:
        seen = []
        for _ in range(MOST_TABS):
            popup = QApplication.activePopupWidget()
            assert isinstance(popup, QMenu), f"no menu is open for {title!r}"
            action = popup.activeAction()
            if action is not None and action.text() == title:
                return
            seen.append(action.text() if action is not None else "")
            self.press("Down")
        raise AssertionError(f"the menu has no {title!r}, but {sorted(set(seen))}")

    def choose_tab(self, title: str) -> None:
        """Ctrl+Tab until the part with this title is in sight."""
        found = self.desk.window.findChildren(QTabWidget)
        tabs = next(one for one in found if one.isVisible())
        for _ in range(20):
            if tabs.tabText(tabs.currentIndex()).startswith(title):
                return
            self.press("Ctrl+Tab")
        raise AssertionError(f"no part {title!r} where the cursor is on {self.heard()!r}")
