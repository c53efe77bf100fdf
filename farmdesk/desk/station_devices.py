"""Scanner and scale of this computer, as its preferences say."""

from __future__ import annotations

from collections import deque

import shiboken6
from PySide6.QtCore import QObject, Qt, Signal

from farmdesk.desk.scale_link import ScaleLink
from farmdesk.desk.wedge import WedgeSettings
from farmdesk.devices.device_thread import Connected, Lost
from farmdesk.devices.scale import ScaleSettings
from farmdesk.devices.scanner import Scanned, Scanner, ScannerNews, ScannerSettings
from farmdesk.devices.serial_lines import SerialSettings
from farmdesk.errors import FarmdeskError, Problem
from farmdesk.settings.preferences import Preferences

_SCAN_ENDS = {"either": "any_or_tab", "enter": "any", "tab": "tab"}
"""What a scanner on a port sends for the keys Enter and Tab: CR, LF or both, and a tab."""


def wedge_settings_of(preferences: Preferences) -> WedgeSettings:
    """How the keyboard scanner sends."""
    return WedgeSettings(
        gap_ms=preferences.scanner_gap_ms,
        prefix=preferences.scanner_prefix,
        suffix=preferences.scanner_suffix,
        terminator=preferences.scanner_terminator,
    )


def scanner_settings_of(preferences: Preferences) -> ScannerSettings | None:
    """The scanner on a serial port, if there is one."""
    if not preferences.scanner_port:
        return None
    port = SerialSettings(
        preferences.scanner_port,
        speed=preferences.scanner_speed,
        terminator=_SCAN_ENDS[preferences.scanner_terminator],
    )
    return ScannerSettings(
        port, prefix=preferences.scanner_prefix, suffix=preferences.scanner_suffix
    )


def scale_settings_of(preferences: Preferences) -> ScaleSettings | None:
    """The scale, if there is one."""
    if preferences.scale == "usb":
        return ScaleSettings()
    if preferences.scale != "serial" or not preferences.scale_port:
        return None
    bits, parity, stops = tuple(preferences.scale_format)
    port = SerialSettings(
        preferences.scale_port,
        speed=preferences.scale_speed,
        data_bits=int(bits),
        parity=parity,
        stop_bits=int(stops),
        terminator=preferences.scale_terminator,
    )
    return ScaleSettings(serial=port, decimal_comma=preferences.scale_comma)


class ScannerLink(QObject):
    """The scanner on a serial port, brought into the window's thread."""

    scanned = Signal(str)
    troubled = Signal(object)
    """A Problem: it was pulled out, or cannot be opened."""
    recovered = Signal()
    """After a trouble it answers again."""
    _nudged = Signal()

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._scanner: Scanner | None = None
        self._news: deque[ScannerNews] = deque()
        self.trouble: Problem | None = None
        self.is_connected = False
        self._nudged.connect(self._read_news, Qt.ConnectionType.QueuedConnection)

    def use(self, settings: ScannerSettings | None) -> None:
        """Listen to this scanner from now on, or to none."""
        self.close()
        if settings is None:
            return
        try:
            self._scanner = Scanner(settings, self._hear)
        except FarmdeskError as error:
            self._say(error.problems[0])
            return
        self._scanner.start()

    def close(self) -> None:
        """Let the scanner go."""
        scanner, self._scanner = self._scanner, None
        if scanner is not None:
            scanner.stop()
        self._news.clear()
        self.trouble = None
        self.is_connected = False

    def _hear(self, news: ScannerNews) -> None:
        """On the scanner's thread: queue the news and nudge."""
        self._news.append(news)
        if shiboken6.isValid(self):
            self._nudged.emit()

    def _read_news(self) -> None:
        while self._news:
            news = self._news.popleft()
            if isinstance(news, Scanned):
                self.scanned.emit(news.text)
            elif isinstance(news, Connected):
                self._connected()
            elif isinstance(news, Lost):
                self._say(news.problem)

    def _connected(self) -> None:
        before, self.trouble = self.trouble, None
        self.is_connected = True
        if before is not None:
            self.recovered.emit()

    def _say(self, why: Problem) -> None:
        self.trouble = why
        self.is_connected = False
        self.troubled.emit(why)


class StationDevices(QObject):
    """Both devices that speak through ports; `use` opens them as the preferences say."""

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.scale = ScaleLink(self)
        self.scanner = ScannerLink(self)
        self._scale_now: ScaleSettings | None = None
        self._scanner_now: ScannerSettings | None = None

    def use(self, preferences: Preferences) -> None:
        """Open what these preferences name, unless it is open already."""
        scale, scanner = scale_settings_of(preferences), scanner_settings_of(preferences)
        if scale != self._scale_now:
            self._scale_now = scale
            self.scale.use(scale)
        if scanner != self._scanner_now:
            self._scanner_now = scanner
            self.scanner.use(scanner)

    def close(self) -> None:
        """Let both go."""
        self._scale_now = self._scanner_now = None
        self.scale.close()
        self.scanner.close()
