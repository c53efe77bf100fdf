"""Tells a keyboard-wedge scanner from a person by the time between keys, in any field.

Keys are held for a moment. A fast run that ends with the terminator leaves as `line_scanned`;
anything else is given back, in order, to the window that it was meant for.

The filter stands on the native window that has the keys, not on the application: every key of
the platform passes there before any widget, popups included, and no other object's events cost
a call into Python or reach it while they are being made.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import shiboken6
from PySide6.QtCore import QCoreApplication, QEvent, QObject, Qt, QTimer, Signal
from PySide6.QtGui import QGuiApplication, QKeyEvent, QWindow

from farmdesk.desk.scanner_keys import Frame, Stroke, place_of, read_strokes

_PRESS = QEvent.Type.KeyPress
_RELEASE = QEvent.Type.KeyRelease
_OVERRIDE = QEvent.Type.ShortcutOverride
_FLUSHERS = frozenset({QEvent.Type.MouseButtonPress, QEvent.Type.Close})
_WATCHED = frozenset({_PRESS, _RELEASE, _OVERRIDE}) | _FLUSHERS
_FOREIGN = (
    Qt.KeyboardModifier.ControlModifier
    | Qt.KeyboardModifier.AltModifier
    | Qt.KeyboardModifier.MetaModifier
)
_SHIFTS = frozenset({Qt.Key.Key_Shift, Qt.Key.Key_CapsLock})
_TERMINATORS = {
    "enter": frozenset({Qt.Key.Key_Return, Qt.Key.Key_Enter}),
    "tab": frozenset({Qt.Key.Key_Tab}),
    "either": frozenset({Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Tab}),
}
_MARGIN_MS = 15
"""Added to the gap before held keys are given back, for keys that wait in the queue."""


@dataclass(frozen=True)
class WedgeSettings:
    """How the scanner sends: the longest gap in milliseconds, its prefix, suffix, terminator."""

    gap_ms: int = 35
    least_characters: int = 6
    prefix: str = ""
    suffix: str = ""
    terminator: str = "either"
    """'enter', 'tab' or 'either'."""


@dataclass(frozen=True)
class _Held:
    """A key event that waits: a copy, and the window it was meant for."""

    receiver: QObject
    event: QKeyEvent


class WedgeFilter(QObject):
    """`start` lets it follow the window that has the keys. Events without a timestamp (made by
    programs, not by a keyboard) count by `clock` in milliseconds when one is given, else they
    pass as typing.
    """

    line_scanned = Signal(str)

    def __init__(
        self,
        settings: WedgeSettings | None = None,
        *,
        clock: Callable[[], int] | None = None,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._clock = clock
        self._held: list[_Held] = []
        self._strokes: list[Stroke] = []
        self._last_ms = 0
        self._is_replaying = False
        self._window: QWindow | None = None
        self._platform = QGuiApplication.platformName()
        self.is_paused = False
        """Whether keys pass untouched, for a field that looks at the keys itself."""
        self._swallow: set[int] = set()
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.timeout.connect(self._give_up_later)
        self.set_settings(settings or WedgeSettings())

    def start(self, app: QGuiApplication) -> None:
        """Look at the keys of whichever window of the program has them."""
        app.focusWindowChanged.connect(self.watch)
        self.watch(app.focusWindow())

    def stop(self, app: QGuiApplication) -> None:
        """Look at no keys any more."""
        app.focusWindowChanged.disconnect(self.watch)
        self.watch(None)

    def watch(self, window: QWindow | None) -> None:
        """Look at the keys of this window from now on; held ones go where they were meant."""
        if window is self._window:
            return
        self.give_back()
        if self._window is not None and shiboken6.isValid(self._window):
            self._window.removeEventFilter(self)
        self._window = window
        if window is not None:
            window.installEventFilter(self)

    def set_settings(self, settings: WedgeSettings) -> None:
        """Take over another scanner's ways."""
        self.give_back()
        self._settings = settings
        self._ends = _TERMINATORS[settings.terminator]
        self._timer.setInterval(settings.gap_ms + _MARGIN_MS)

    @property
    def settings(self) -> WedgeSettings:
        """The scanner's ways now."""
        return self._settings

    def give_back(self) -> None:
        """Hand held keys to the widgets that they were meant for, in order."""
        self._timer.stop()
        held, self._held, self._strokes = self._held, [], []
        self._is_replaying = True
        try:
            for one in held:
                if shiboken6.isValid(one.receiver):
                    QCoreApplication.sendEvent(one.receiver, one.event)
        finally:
            self._is_replaying = False

    def _give_up_later(self) -> None:
        """Let keys that already wait in the queue come first."""
        QTimer.singleShot(0, self, self._give_up)

    def _give_up(self) -> None:
        if not self._timer.isActive():
            self.give_back()

    def _press(self, receiver: QObject, event: QKeyEvent) -> bool:
        now = event.timestamp() or (self._clock() if self._clock is not None else 0)
        key = event.key()
        if not now or event.isAutoRepeat() or event.modifiers() & _FOREIGN:
            self.give_back()
            return False
        if self._held and now - self._last_ms > self._settings.gap_ms:
            self.give_back()
        if key in self._ends and self._held:
            return self._end(key)
        if key in _SHIFTS:
            return bool(self._held) and self._hold(receiver, event, now)
        text = event.text()
        if len(text) != 1 or not text.isprintable():
            self.give_back()
            return False
        place = place_of(self._platform, event.nativeScanCode(), event.nativeVirtualKey())
        is_shifted = bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier)
        self._strokes.append(Stroke(text, place, is_shifted))
        return self._hold(receiver, event, now)

    def _hold(self, receiver: QObject, event: QKeyEvent, now: int) -> bool:
        self._held.append(_Held(receiver, _copy(event)))
        self._last_ms = now
        self._timer.start()
        return True

    def _end(self, key: int) -> bool:
        line = self._line()
        if line is None:
            self.give_back()
            return False
        self._swallow = {one.event.key() for one in self._held if one.event.type() == _PRESS}
        self._swallow -= {one.event.key() for one in self._held if one.event.type() == _RELEASE}
        self._swallow.add(key)
        self._timer.stop()
        self._held, self._strokes = [], []
        self.line_scanned.emit(line)
        return True

    def _line(self) -> str | None:
        """The scanned text without prefix and suffix; None when it was typed by a person."""
        wants = self._settings
        if len(self._strokes) < wants.least_characters:
            return None
        return read_strokes(self._strokes, Frame(wants.prefix, wants.suffix))

    def _release(self, receiver: QObject, event: QKeyEvent) -> bool:
        key = event.key()
        if key in self._swallow:
            self._swallow.discard(key)
            return True
        if any(one.event.key() == key for one in self._held):
            self._held.append(_Held(receiver, _copy(event)))
            return True
        return False

    def _override(self, event: QKeyEvent) -> bool:
        """Keep a scanner's keys from setting off single-key shortcuts in mid-line."""
        if not self._held or event.modifiers() & _FOREIGN:
            return False
        now = event.timestamp() or (self._clock() if self._clock is not None else 0)
        if not now or now - self._last_ms > self._settings.gap_ms:
            return False
        event.accept()
        return True

    def eventFilter(self, receiver: QObject, event: QEvent) -> bool:  # noqa: N802 - Qt's own name
        """Look at keys only; True keeps an event from its widget."""
        kind = event.type()
        if kind not in _WATCHED or self._is_replaying or self.is_paused:
            return False
        if kind in _FLUSHERS:
            if self._held:
                self.give_back()
            return False
        if not isinstance(event, QKeyEvent):
            return False
        if kind == _PRESS:
            return self._press(receiver, event)
        if kind == _RELEASE:
            return self._release(receiver, event)
        return self._override(event)


def _copy(event: QKeyEvent) -> QKeyEvent:
    copy = QKeyEvent(
        event.type(),
        event.key(),
        event.modifiers(),
        event.nativeScanCode(),
        event.nativeVirtualKey(),
        event.nativeModifiers(),
        event.text(),
        event.isAutoRepeat(),
        event.count(),
    )
    copy.setTimestamp(event.timestamp())
    return copy
