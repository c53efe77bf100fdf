"""Runs the desk: the window first, then, after its first paint, the farm and its pages."""

from __future__ import annotations

import builtins
import importlib
import sys
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QByteArray, QObject, QTimer
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QApplication

from farmdesk.desk.garbage import GarbageCollector
from farmdesk.desk.messages import sentence_for
from farmdesk.desk.refresh import Refresher
from farmdesk.desk.theme import SCHEMES, Theme, apply_theme
from farmdesk.desk.window import DeskWindow
from farmdesk.errors import Problem
from farmdesk.settings.preferences import Preferences
from farmdesk.wording.language import tr

if TYPE_CHECKING:
    from farmdesk.desk.interrupts import Interrupts
    from farmdesk.desk.scanner_router import ScanRouter
    from farmdesk.desk.station_devices import StationDevices
    from farmdesk.desk.wedge import WedgeFilter
    from farmdesk.desk.workplace import Workplace

_DARK = 2
"""Qt.ColorScheme.Dark."""


class Desk(QObject):
    """One running desk: its window, its lanes, and the session of the farm that is open."""

    def __init__(self, app: QApplication, where: str, preferences: Preferences, kept: Path) -> None:
        super().__init__()
        read_no_sources()
        self.where = where
        self.preferences = preferences
        self.kept = kept
        theme = Theme(self.scheme_of(preferences.theme), preferences.text_scale / 100)
        apply_theme(app, theme)
        self.window = DeskWindow(theme)
        if preferences.window:
            self.window.restoreGeometry(QByteArray.fromBase64(preferences.window.encode()))
        self.refresher = Refresher()
        self.session: Any = None
        self.is_closed = False
        # In a turn of its own: keys that came meanwhile go first.
        self.window.painted.connect(lambda: QTimer.singleShot(0, self, self._load))
        self.window.closing.connect(self.close)

    def scheme_of(self, theme: str) -> str:
        """The colours of a theme; 'system' is dark where the computer is."""
        if theme in SCHEMES:
            return theme
        # By its number: the name `Qt` brings ninety enumerations before the first paint.
        return "dark" if QGuiApplication.styleHints().colorScheme().value == _DARK else "light"

    def kept_theme(self, scheme: str) -> str:
        """The theme to remember: 'system' stays as long as the colours are the computer's."""
        is_system = self.preferences.theme not in SCHEMES
        return "system" if is_system and scheme == self.scheme_of("system") else scheme

    @cached_property
    def workplace(self) -> Workplace:
        """The lanes, made at their first use: their imports would delay the first paint."""
        place: Workplace = importlib.import_module("farmdesk.desk.workplace").Workplace()
        return place

    @cached_property
    def wedge(self) -> WedgeFilter:
        """The scanner's recognition, on the whole application, from its first use on."""
        wedge: WedgeFilter = importlib.import_module("farmdesk.desk.wedge").WedgeFilter()
        wedge.line_scanned.connect(self.router.take)
        return wedge

    @cached_property
    def router(self) -> ScanRouter:
        """Where scanned lines go."""
        module: Any = importlib.import_module("farmdesk.desk.scanner_router")
        router: ScanRouter = module.ScanRouter(self.window, self)
        return router

    @cached_property
    def devices(self) -> StationDevices:
        """Scale and serial scanner, opened as the preferences say when the session begins."""
        module: Any = importlib.import_module("farmdesk.desk.station_devices")
        devices: StationDevices = module.StationDevices(self)
        devices.scanner.scanned.connect(self.router.take)
        devices.scanner.troubled.connect(self._say_trouble)
        devices.scanner.recovered.connect(self._say_recovered)
        return devices

    def use_devices(self) -> None:
        """Scanner and scale as the preferences say now."""
        module: Any = importlib.import_module("farmdesk.desk.station_devices")
        self.wedge.set_settings(module.wedge_settings_of(self.preferences))
        self.devices.use(self.preferences)

    def pause_wedge(self, is_paused: bool) -> None:
        """Let all keys pass while a field looks at them itself."""
        self.wedge.give_back()
        self.wedge.is_paused = is_paused

    def _say_trouble(self, trouble: Problem) -> None:
        self.window.say(sentence_for(trouble))

    def _say_recovered(self) -> None:
        self.window.say(tr("The scanner answers again: scan on."))

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
        if isinstance(app, QApplication):
            self.wedge.start(app)
        _ = self.interrupts
        memory: Any = importlib.import_module("farmdesk.settings.list_memory")
        self.window.list_memory = memory.ListMemory(self.kept.with_name("lists.json"))
        self.workplace.read(
            importlib.import_module, "farmdesk.desk.session", then=self._begin_session
        )

    def _begin_session(self, module: Any) -> None:
        if self.is_closed:
            return
        self.session = module.Session(self)
        self.use_devices()
        self.session.open(self.where)

    def close(self) -> None:
        """Keep what this computer remembers, finish the lanes, close the farm."""
        if self.is_closed:
            return
        self.is_closed = True
        if self.session is not None:
            self.session.close()
            self.devices.close()
        self.workplace.close()
        app = QApplication.instance()
        if isinstance(app, QApplication) and "wedge" in vars(self):
            self.wedge.stop(app)
        if "interrupts" in vars(self):
            self.interrupts.let_go()


def read_no_sources() -> None:
    """Give Python its own import statement back.

    PySide's reads the source of every module loaded after it, to see whether that uses
    `__feature__`. Nothing here does, and with SQLAlchemy it takes some 30 ms of each start.
    """
    builtins.__import__ = getattr(builtins, "__orig_import__", builtins.__import__)


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
