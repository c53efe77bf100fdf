"""Ctrl+C and the system's request to end: the desk closes as if by its own button."""

from __future__ import annotations

import signal
import socket
from collections.abc import Callable

from PySide6.QtCore import QObject, QSocketNotifier

_NUMBERS = tuple(
    getattr(signal, name)
    for name in ("SIGINT", "SIGTERM", "SIGHUP", "SIGBREAK")
    if hasattr(signal, name)
)


class Interrupts(QObject):
    """Calls `close` in the window's thread soon after a signal came; made in the main thread.

    Qt's loop runs no Python while nothing happens, so a signal wakes it through a socket.
    """

    def __init__(self, close: Callable[[], object]) -> None:
        super().__init__()
        self._close = close
        self._near, self._far = socket.socketpair()
        self._near.setblocking(False)
        self._far.setblocking(False)
        self._notifier = QSocketNotifier(self._near.fileno(), QSocketNotifier.Type.Read, self)
        self._notifier.activated.connect(self._take)
        self._former_fd = signal.set_wakeup_fd(self._far.fileno(), warn_on_full_buffer=False)
        self._former = {
            number: signal.signal(number, _wait_for_the_loop)
            for number in _NUMBERS
            if signal.getsignal(number) is not signal.SIG_IGN
        }

    def _take(self) -> None:
        self._near.recv(64)
        self._close()

    def let_go(self) -> None:
        """Give the signals back to whom they belonged."""
        if self._notifier.isEnabled():
            self._notifier.setEnabled(False)
            signal.set_wakeup_fd(self._former_fd)
            for number, handler in self._former.items():
                signal.signal(number, handler)
            self._near.close()
            self._far.close()


def _wait_for_the_loop(_number: int, _frame: object) -> None:
    return
