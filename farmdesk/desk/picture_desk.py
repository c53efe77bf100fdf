"""Pictures of codes at the desk: the dialog, the watched folder, and the way to the bench."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

import shiboken6
from PySide6.QtCore import QObject
from PySide6.QtWidgets import QApplication

from farmdesk.desk.picture_folder import PictureFolder
from farmdesk.desk.scanner_feed import LineFeed
from farmdesk.wording.language import tr, tr_count

if TYPE_CHECKING:
    from farmdesk.desk.picture_dialog import PicturesDialog
    from farmdesk.desk.session import Session


class PictureDesk(QObject):
    """Opens the pictures' dialog for a session, also when a picture comes into the folder."""

    def __init__(self, session: Session) -> None:
        super().__init__(session)
        self._session = session
        self._dialog: PicturesDialog | None = None
        self._late: list[Path] = []
        self.feed = LineFeed(session)
        self.feed.finished.connect(self._handed_over)
        self.folder = PictureFolder(self)
        self.folder.arrived.connect(self._arrived)
        self.watch(session.desk.preferences.picture_folder)

    def watch(self, folder: str) -> None:
        """Watch another folder, or none for ''."""
        if not self.folder.use(folder):
            sentence = tr("The folder {folder} for pictures cannot be watched. Is it there?")
            self._session.window.say(sentence.format(folder=folder))

    def ask(self, paths: Sequence[Path] = ()) -> PicturesDialog:
        """Show the dialog, and read these pictures at once."""
        from farmdesk.desk.picture_dialog import PicturesDialog  # noqa: PLC0415 - seldom wanted

        dialog = PicturesDialog(self._session.desk.workplace)
        dialog.on_send = self.feed.feed
        dialog.finished.connect(partial(self._closed, dialog))
        self._dialog = dialog
        self._session.window.open_dialog(dialog)
        late, self._late = self._late, []
        if late or paths:
            dialog.read([*late, *paths])
        return dialog

    def close(self) -> None:
        """Watch no folder any more."""
        self.folder.close()
        self.feed.stop()

    def _arrived(self, name: str) -> None:
        """A new picture: into the dialog if it is open; over another dialog it waits."""
        dialog = self._dialog
        if dialog is not None and shiboken6.isValid(dialog):
            dialog.read([Path(name)])
        elif QApplication.activeModalWidget() is not None or self._session.store is None:
            self._late.append(Path(name))
            told = tr("A picture came in: “{name}”. Choose “Read codes from pictures” for it.")
            self._session.window.say(told.format(name=Path(name).name))
        else:
            self.ask([Path(name)])

    def _closed(self, dialog: PicturesDialog, _result: int) -> None:
        if self._dialog is dialog:
            self._dialog = None

    def _handed_over(self, count: int) -> None:
        told = tr_count(count, "{n} code went to the bench.", "{n} codes went to the bench.")
        self._session.window.say(told.format(n=count))
