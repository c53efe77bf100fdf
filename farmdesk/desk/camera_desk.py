"""The camera at the desk: its window, and the way of its codes to the bench and back."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import shiboken6
from PySide6.QtCore import QObject, Qt, QTimer

from farmdesk.desk.answers import AnswerView
from farmdesk.desk.camera_dialog import CameraDialog
from farmdesk.desk.scanner_feed import LineFeed
from farmdesk.settings.preferences import find_problems

if TYPE_CHECKING:
    from farmdesk.desk.session import Session


class CameraDesk(QObject):
    """Opens the camera's window for a session; it stays beside the pages like a scanner.

    Its codes go where those of every scanner go: to a dialog that reads scans, to the bench, or
    they wait until the dialog in front is closed.
    """

    def __init__(self, session: Session) -> None:
        super().__init__(session)
        self._session = session
        self._dialog: CameraDialog | None = None
        self.feed = LineFeed(session, session.desk.router.take)
        session.answered.connect(self._answered)
        session.meaning_changed.connect(self._set_meaning)
        session.window.theme_changed.connect(self._set_theme)
        session.window.closing.connect(self.close)

    def show(self) -> CameraDialog:
        """Show the window, and start the camera."""
        dialog = self._open_dialog()
        if dialog is None:
            self.feed.stop()
            dialog = self._dialog = self._make()
            QTimer.singleShot(0, dialog, dialog.begin)
        dialog.show()
        dialog.raise_()
        dialog.activateWindow()
        return dialog

    def close(self) -> None:
        """Close the window and let the camera go."""
        dialog = self._open_dialog()
        if dialog is not None:
            dialog.close()

    def _open_dialog(self) -> CameraDialog | None:
        dialog = self._dialog
        return dialog if dialog is not None and shiboken6.isValid(dialog) else None

    def _make(self) -> CameraDialog:
        session = self._session
        window, wanted = session.window, session.desk.preferences.camera
        dialog = CameraDialog(session.desk.workplace, window.theme, wanted=wanted)
        dialog.setParent(window, dialog.windowFlags())
        dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        dialog.codes_seen.connect(self._hand_over)
        dialog.replied.connect(session.reply)
        dialog.camera_chosen.connect(self._keep_choice)
        dialog.set_meaning(window.strip.board.meaning)
        return dialog

    def _hand_over(self, codes: list[str]) -> None:
        """A card that answers the question of a code before is not made to wait for the answer."""
        for code in codes:
            if self._session.desk.router.read_reply(code) is None:
                self.feed.feed([code])
            else:
                self._session.desk.router.take(code)

    def _keep_choice(self, key: str) -> None:
        desk = self._session.desk
        chosen = replace(desk.preferences, camera=key)
        if not any(one.facts["field"] == "camera" for one in find_problems(chosen)):
            desk.preferences = chosen

    def _answered(self, view: AnswerView, _answer: object) -> None:
        if (dialog := self._open_dialog()) is not None:
            dialog.show_answer(view)

    def _set_meaning(self, meaning: str) -> None:
        if (dialog := self._open_dialog()) is not None:
            dialog.set_meaning(meaning)

    def _set_theme(self, theme: object) -> None:
        if (dialog := self._open_dialog()) is not None:
            dialog.set_theme(theme)  # type: ignore[arg-type]
