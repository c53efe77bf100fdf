"""Where a scanned line goes: to the dialog that reads scans, to the strip, or it waits.

A scan over a dialog that does not read scans is neither typed into it nor done behind its back:
it is held and offered when the dialog is closed.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QTimer
from PySide6.QtWidgets import QApplication, QDialog, QWidget

from farmdesk.desk.dialogs import ask
from farmdesk.domain.codes import shown
from farmdesk.wording.language import tr, tr_count

if TYPE_CHECKING:
    from farmdesk.desk.window import DeskWindow

MOST_HELD = 20
"""More scans than this over one dialog are nobody's plan; the oldest are let go."""
_NAMED = 3


class ScanRouter(QObject):
    """Takes lines of every scanner of this computer."""

    def __init__(self, window: DeskWindow, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._window = window
        self.held: list[str] = []
        self.read_reply: Callable[[str], bool | None] = _no_reply
        """Yes or no that a scanned line means, by word or by card; set by who knows the cards."""
        self.sound: Callable[[str], object] = lambda _outcome: None
        """Plays what an outcome sounds like: whoever scans does not look at the status line."""
        self._over: QWidget | None = None

    def take(self, line: str) -> None:
        """Give the line to whoever it belongs to, or hold it."""
        dialog = QApplication.activeModalWidget()
        if dialog is None:
            self._window.take_scan(line)
        elif not self._reply(dialog, line) and not _hand_to(dialog, line):
            self._hold(dialog, line)

    def _reply(self, dialog: QWidget, line: str) -> bool:
        """Answer the dialog in front by a scan, where yes and no mean something to it."""
        taker = getattr(dialog, "take_reply", None)
        reply = self.read_reply(line) if callable(taker) else None
        if reply is None or not callable(taker):
            return False
        taker(reply)
        return True

    def _hold(self, dialog: QWidget, line: str) -> None:
        self.held = [*self.held, line][-MOST_HELD:]
        sentence = tr("{code} was scanned; it waits until this window is closed.")
        self._window.say(sentence.format(code=shown(line)))
        self.sound("ask")
        if dialog is not self._over:
            self._over = dialog
            if isinstance(dialog, QDialog):
                dialog.finished.connect(self._dialog_closed)
            else:
                dialog.destroyed.connect(self._dialog_closed)

    def _dialog_closed(self, _result: object = None) -> None:
        self._over = None
        QTimer.singleShot(0, self, self._offer)

    def _offer(self) -> None:
        """What was held belongs to the dialog that is in front now, else it is offered."""
        if not self.held or self._over is not None:
            return
        dialog = QApplication.activeModalWidget()
        lines, self.held = self.held, []
        if dialog is not None:
            for line in lines:
                self.take(line)
            return
        codes = ", ".join(shown(line) for line in lines[:_NAMED])
        codes += " …" if len(lines) > _NAMED else ""
        sentence = tr_count(
            len(lines),
            "While the window was open you scanned {codes}. Act on it now?",
            "While the window was open you scanned {n} codes: {codes}. Act on them now?",
        )
        ask(
            self._window,
            sentence.format(n=len(lines), codes=codes),
            yes=lambda: self._enter(lines),
            yes_title=tr("Yes, act"),
        )

    def _enter(self, lines: list[str]) -> None:
        for line in lines:
            QTimer.singleShot(0, self, lambda line=line: self._window.take_scan(line))


def _no_reply(_line: str) -> bool | None:
    return None


def _hand_to(dialog: QWidget, line: str) -> bool:
    taker = getattr(dialog, "take_scan", None)
    return callable(taker) and bool(taker(line))
