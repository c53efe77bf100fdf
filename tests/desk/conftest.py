"""A workplace, a theme and a scanner for tests of the desk, all real."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from farm_window import FarmWindow, open_window
from PySide6.QtCore import QCoreApplication, QEvent, Qt
from PySide6.QtGui import QKeyEvent, QWindow
from PySide6.QtWidgets import QApplication, QWidget

from farmdesk.desk.theme import Theme, apply_theme
from farmdesk.desk.workplace import Workplace


@pytest.fixture
def workplace(qapp: QApplication) -> Iterator[Workplace]:
    place = Workplace()
    yield place
    place.settled()
    place.close()
    place.deleteLater()


@pytest.fixture
def settled(workplace: Workplace) -> Callable[[], None]:
    """Waits for the fact that all work is done and its answers are shown."""

    def wait() -> None:
        workplace.settled()
        QCoreApplication.processEvents()

    return wait


@pytest.fixture
def light(qapp: QApplication) -> Theme:
    theme = Theme()
    apply_theme(qapp, theme)
    return theme


Typist = Callable[..., None]
_now = itertools.count(1_000_000, 10_000)


@pytest.fixture
def press_keys(qapp: QApplication) -> Typist:
    """Sends key events with timestamps, as a keyboard or a scanner would, `every` ms."""

    def press(receiver: QWidget, text: str, *, every: int, end: str = "", start: int = 0) -> int:
        at = start or next(_now)
        keys = native_window(receiver)
        for sign in text:
            _stroke(keys, _key_of(sign), sign, at)
            at += every
        if end:
            _stroke(keys, {"enter": Qt.Key.Key_Return, "tab": Qt.Key.Key_Tab}[end], "", at)
        return at

    return press


def native_window(receiver: QWidget) -> QWindow:
    """The native window that the platform sends a widget's keys to; the widget gets the focus."""
    window = receiver.window()
    if receiver is not window:
        receiver.setFocus()
    QApplication.processEvents()
    handle = window.windowHandle()
    assert handle is not None, "keys come to windows in sight only"
    return handle


def _key_of(sign: str) -> int:
    return ord(sign.upper()) if ord(sign) < 128 else 0


def _stroke(receiver: QWindow, key: int, text: str, at: int) -> None:
    for kind in (QEvent.Type.KeyPress, QEvent.Type.KeyRelease):
        event = QKeyEvent(kind, key, Qt.KeyboardModifier.NoModifier, text)
        event.setTimestamp(at + (1 if kind == QEvent.Type.KeyRelease else 0))
        QCoreApplication.sendEvent(receiver, event)


@pytest.fixture
def farm_window(qapp: QApplication, workplace: Workplace, tmp_path: Path) -> Iterator[FarmWindow]:
    """A begun farm in a real window."""
    with open_window(tmp_path, workplace) as opened:
        yield opened
