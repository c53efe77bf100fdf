"""Runs the desk: the window first, then, after its first paint, the farm and its pages."""

from __future__ import annotations

import importlib
import sys
from pathlib import Path
from typing import Any

from PySide6.QtCore import QByteArray, QObject
from PySide6.QtWidgets import QApplication

from farmdesk.desk.refresh import Refresher
from farmdesk.desk.theme import SCHEMES, Theme, apply_theme
from farmdesk.desk.wedge import WedgeFilter
from farmdesk.desk.window import DeskWindow
from farmdesk.desk.workplace import Workplace
from farmdesk.settings.preferences import Preferences


class Desk(QObject):
    """One running desk: its window, its lanes, and the session of the farm that is open."""

    def __init__(self, app: QApplication, where: str, preferences: Preferences, kept: Path) -> None:
        super().__init__()
        self.where = where
        self.preferences = preferences
        self.kept = kept
        scheme = (
            preferences.theme if preferences.theme in ("light", "dark", "contrast") else "light"
        )
        theme = Theme(scheme, preferences.text_scale / 100)
        apply_theme(app, theme)
        self.window = DeskWindow(theme)
        if preferences.window:
            self.window.restoreGeometry(QByteArray.fromBase64(preferences.window.encode()))
        self.workplace = Workplace()
        self.refresher = Refresher()
        self.session: Any = None
        self.wedge = WedgeFilter()
        app.installEventFilter(self.wedge)
        self.wedge.line_scanned.connect(self.window.take_scan)
        self.window.painted.connect(self._load)
        self.window.closing.connect(self.close)

    def _load(self) -> None:
        self.workplace.read(
            importlib.import_module, "farmdesk.desk.session", then=self._begin_session
        )

    def _begin_session(self, module: Any) -> None:
        self.session = module.Session(self)
        self.session.open(self.where)

    def close(self) -> None:
        """Keep what this computer remembers, finish the lanes, close the farm."""
        if self.session is not None:
            self.session.close()
        self.workplace.close()
        app = QApplication.instance()
        if app is not None:
            app.removeEventFilter(self.wedge)


def run_desk(where: str, preferences: Preferences, kept: Path) -> int:
    """Show the desk until it is closed; returns the exit status."""
    app = QApplication.instance()
    if not isinstance(app, QApplication):
        app = QApplication(sys.argv[:1])
    app.setApplicationName("Farmdesk")
    desk = Desk(app, where, preferences, kept)
    desk.window.show()
    return app.exec()
