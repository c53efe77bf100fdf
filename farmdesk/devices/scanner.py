"""A scanner on a serial or USB-serial port: one scan, one line."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from farmdesk.devices.device_thread import RETRY_SECONDS, Connected, Lost, Source
from farmdesk.devices.serial_lines import SerialLines, SerialSettings

SILENT_MOMENTS = 4
"""Not quite a second: a scanner that is set to send no end of line has sent all of its code."""


@dataclass(frozen=True)
class ScannerSettings:
    """Which port, and what the scanner is set to put before and after each code."""

    serial: SerialSettings
    prefix: str = ""
    suffix: str = ""


@dataclass(frozen=True)
class Scanned:
    """The text of one scan, without prefix, suffix and control characters."""

    text: str


ScannerNews = Connected | Lost | Scanned


class Scanner:
    """Tells each scan on a thread of its own, until stopped."""

    def __init__(
        self,
        settings: ScannerSettings,
        tell: Callable[[ScannerNews], None],
        *,
        open_source: Callable[[], Source] | None = None,
        retry_seconds: float = RETRY_SECONDS,
    ) -> None:
        self._settings = settings
        self._tell = tell
        self._lines = SerialLines(
            settings.serial,
            take_line=self._take,
            tell=tell,
            silence_ends=SILENT_MOMENTS,
            open_source=open_source,
            retry_seconds=retry_seconds,
        )

    def start(self) -> None:
        """Begin to listen."""
        self._lines.start()

    def stop(self) -> None:
        """End and let the port go."""
        self._lines.stop()

    def _take(self, line: str) -> None:
        text = trim_scan(line, self._settings)
        if text:
            self._tell(Scanned(text))


def trim_scan(line: str, settings: ScannerSettings) -> str:
    """A line as the scanner sent it, less what it is set to add."""
    text = "".join(sign for sign in line if sign.isprintable())
    return text.removeprefix(settings.prefix).removesuffix(settings.suffix).strip()
