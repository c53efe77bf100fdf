"""Runs the desk: the window first, then, after its first paint, the farm and its pages."""

from __future__ import annotations

import importlib
import sys
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QByteArray, QObject
from PySide6.QtWidgets import QApplication

from farmdesk.desk.garbage import GarbageCollector
from farmdesk.desk.refresh import Refresher
from farmdesk.desk.theme import SCHEMES, Theme, apply_theme
from farmdesk.desk.window import DeskWindow
from farmdesk.settings.preferences import Preferences

if TYPE_CHECKING:
    from farmdesk.desk.interrupts import Interrupts
    from farmdesk.desk.wedge import WedgeFilter
    from farmdesk.desk.workplace import Workplace


class Desk(QObject):
    """One running desk: its window, its lanes, and the session of the farm that is open."""

    def __init__(self, app: QApplication, where: str, preferences: Preferences, kept: Path) -> None:
        super().__init__()
        self.where = where
        self.preferences = preferences
        self.kept = kept
        scheme = preferences.theme if preferences.theme in SCHEMES else "light"
        theme = Theme(scheme, preferences.text_scale / 100)
        apply_theme(app, theme)
        self.window = DeskWindow(theme)
        if preferences.window:
            self.window.restoreGeometry(QByteArray.fromBase64(preferences.window.encode()))
        self.refresher = Refresher()
        self.session: Any = None
        self.is_closed = False
        self.window.painted.connect(self._load)
        self.window.closing.connect(self.close)

    @cached_property
    def workplace(self) -> Workplace:
        """The lanes, made at their first use: their imports would delay the first paint."""
        place: Workplace = importlib.import_module("farmdesk.desk.workplace").Workplace()
        return place

    @cached_property
    def wedge(self) -> WedgeFilter:
        """The scanner's recognition, on the whole application, from its first use on."""
        wedge: WedgeFilter = importlib.import_module("farmdesk.desk.wedge").WedgeFilter()
        wedge.line_scanned.connect(self.window.take_scan)
        return wedge

    @cached_property
    def interrupts(self) -> Interrupts:
        """What closes the desk at Ctrl+C or when the system ends it, from its first use on."""
        module: Any = importlib.import_module("farmdesk.desk.interrupts")
        interrupts: Interrupts = module.Interrupts(self.end)
        return interrupts

    def end(self) -> None:
        """Close every window, dialogs first, and leave the event loop."""
        QApplication.closeAllWindows()
        self.window.close()
        QApplication.quit()

    def _load(self) -> None:
        app = QApplication.instance()
        if app is not None:
            app.installEventFilter(self.wedge)
        _ = self.interrupts
        self.workplace.read(
            importlib.import_module, "farmdesk.desk.session", then=self._begin_session
        )

    def _begin_session(self, module: Any) -> None:
        if self.is_closed:
            return
        self.session = module.Session(self)
        self.session.open(self.where)

    def close(self) -> None:
        """Keep what this computer remembers, finish the lanes, close the farm."""
        if self.is_closed:
            return
        self.is_closed = True
        if self.session is not None:
            self.session.close()
        self.workplace.close()
        app = QApplication.instance()
        if app is not None:
            app.removeEventFilter(self.wedge)
        if "interrupts" in vars(self):
            self.interrupts.let_go()


def run_desk(where: str, preferences: Preferences, kept: Path) -> int:
    """Show the desk until it is closed; returns the exit status."""
    app = QApplication.instance()
    if not isinstance(app, QApplication):
        app = QApplication(sys.argv[:1])
    app.setApplicationName("Farmdesk")
    desk = Desk(app, where, preferences, kept)
    desk.window.show()
    collector = GarbageCollector()
    try:
        return app.exec()
    finally:
        collector.close()
