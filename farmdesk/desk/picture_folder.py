"""Watches the folder that a phone copies its photos to, for pictures of codes."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QFileSystemWatcher, QObject, QTimer, Signal

from farmdesk.desk.picture_kinds import ENDINGS

SETTLE_MS = 700
"""A file whose size stays the same for so long is written."""


class PictureFolder(QObject):
    """Tells pictures that come into one folder; those that are there already are left alone."""

    arrived = Signal(str)

    def __init__(self, parent: QObject | None = None, *, settle_ms: int = SETTLE_MS) -> None:
        super().__init__(parent)
        self._folder = ""
        self._known: set[str] = set()
        self._sizes: dict[str, int] = {}
        self._watcher = QFileSystemWatcher(self)
        self._watcher.directoryChanged.connect(self._look)
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(settle_ms)
        self._timer.timeout.connect(self._settle)

    def use(self, folder: str) -> bool:
        """Watch this folder from now on, or none for ''; False when it cannot be watched."""
        if folder == self._folder:
            return True
        self.close()
        if not folder:
            return True
        if not Path(folder).is_dir() or not self._watcher.addPath(folder):
            return False
        self._folder = folder
        self._known = set(self._pictures())
        return True

    def close(self) -> None:
        """Watch no folder."""
        self._timer.stop()
        if self._folder:
            self._watcher.removePath(self._folder)
        self._folder = ""
        self._sizes.clear()

    def _pictures(self) -> dict[str, int]:
        """Pictures in the folder and their sizes."""
        found: dict[str, int] = {}
        try:
            for path in Path(self._folder).iterdir():
                if path.suffix.lower() in ENDINGS and not path.name.startswith("."):
                    found[str(path)] = path.stat().st_size
        except OSError:
            return found  # the folder is away for the moment: what was seen counts
        return found

    def _look(self, _folder: str = "") -> None:
        new = {path: size for path, size in self._pictures().items() if path not in self._known}
        if new and not self._timer.isActive():
            self._sizes = new
            self._timer.start()

    def _settle(self) -> None:
        now = self._pictures()
        ready = [path for path, size in self._sizes.items() if size and now.get(path) == size]
        self._known.update(ready)
        self._sizes.clear()
        for path in sorted(ready):
            self.arrived.emit(path)
        self._look()
