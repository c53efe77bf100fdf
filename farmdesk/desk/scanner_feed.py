"""Hands several codes to the bench, one after the other, each after the answer to the last."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal

if TYPE_CHECKING:
    from farmdesk.desk.answers import AnswerView
    from farmdesk.desk.session import Session


class LineFeed(QObject):
    """A question in between waits for its answer; the rest follows then."""

    finished = Signal(int)
    """So many lines were handed over."""

    def __init__(self, session: Session, take: Callable[[str], object] | None = None) -> None:
        super().__init__(session)
        self._session = session
        self._take = take or session.window.take_scan
        self._waiting: deque[str] = deque()
        self._is_out = False
        self._count = 0
        self._was_entered = False
        session.answered.connect(self._answered)
        session.window.strip.line_entered.connect(self._entered)

    @property
    def waiting(self) -> int:
        """So many lines have not been handed over yet."""
        return len(self._waiting)

    def feed(self, lines: list[str]) -> None:
        """Hand these over, after those that wait already."""
        self._waiting.extend(lines)
        if not self._is_out:
            self._next()

    def stop(self) -> None:
        """Forget what was not handed over, and an answer that never came."""
        self._waiting.clear()
        self._is_out = False
        self._count = 0

    def _next(self) -> None:
        while self._waiting:
            self._count += 1
            self._was_entered = False
            self._is_out = True
            self._take(self._waiting.popleft())
            if self._was_entered and self._session.bench is not None:
                return  # the bench has it; its answer calls for the next
        self._is_out = False
        count, self._count = self._count, 0
        if count:
            self.finished.emit(count)

    def _entered(self, _line: str) -> None:
        self._was_entered = True

    def _answered(self, view: AnswerView, _answer: object) -> None:
        if self._is_out and not view.asks:
            self._next()
