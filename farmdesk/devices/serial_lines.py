"""Lines from a serial port or a USB-serial device: scales and scanners use the same ones."""

from __future__ import annotations

import importlib
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from farmdesk.devices.device_thread import RETRY_SECONDS, Connected, DeviceThread, Lost, Source
from farmdesk.errors import DeviceTrouble, Refused, problem

LONGEST_LINE_BYTES = 512
TERMINATORS = {
    "any": b"", "any_or_tab": b"", "cr": b"\r", "lf": b"\n", "crlf": b"\r\n", "etx": b"\x03",
    "tab": b"\t",
}  # fmt: skip
"""What ends a line; 'any' takes CR, LF or both, 'any_or_tab' a tab as well."""
_READ_SECONDS = 0.2
_BITS = (5, 6, 7, 8)
_PARITIES = ("N", "E", "O")
_STOPS = (1, 2)


@dataclass(frozen=True)
class SerialSettings:
    """How one serial port is spoken to; `parity` is N, E or O, `terminator` of TERMINATORS."""

    port: str
    speed: int = 9600
    data_bits: int = 8
    parity: str = "N"
    stop_bits: int = 1
    terminator: str = "any"


@dataclass(frozen=True)
class PortFound:
    """A serial port of this computer: the name to open it by and what is plugged in."""

    port: str
    description: str


def check_serial_settings(settings: SerialSettings) -> None:
    """Raises Refused for each setting that no port can have."""
    wrong = [
        problem("serial_setting_not_usable", name=name, value=value)
        for name, value, good in (
            ("port", settings.port, bool(settings.port.strip())),
            ("speed", settings.speed, 50 <= settings.speed <= 4_000_000),
            ("data bits", settings.data_bits, settings.data_bits in _BITS),
            ("parity", settings.parity, settings.parity in _PARITIES),
            ("stop bits", settings.stop_bits, settings.stop_bits in _STOPS),
            ("end of line", settings.terminator, settings.terminator in TERMINATORS),
        )
        if not good
    ]
    if wrong:
        raise Refused(*wrong)


def list_ports() -> tuple[PortFound, ...]:
    """The serial ports of this computer by name; raises DeviceTrouble without the library."""
    load_serial()
    found = importlib.import_module("serial.tools.list_ports").comports()
    ports = [PortFound(one.device, one.description or one.device) for one in found]
    return tuple(sorted(ports, key=lambda one: one.port))


def load_serial() -> Any:
    """The serial library; raises DeviceTrouble when it is not installed."""
    try:
        return importlib.import_module("serial")
    except ImportError as missing:
        told = problem("device_library_missing", library="pyserial", what="serial devices")
        raise DeviceTrouble(told) from missing


class SerialSource:
    """An open serial port."""

    def __init__(self, settings: SerialSettings) -> None:
        # A URL such as loop:// or socket:// opens as well as a port's name.
        self._port = load_serial().serial_for_url(
            settings.port,
            baudrate=settings.speed,
            bytesize=settings.data_bits,
            parity=settings.parity,
            stopbits=settings.stop_bits,
            timeout=_READ_SECONDS,
        )

    def read(self) -> bytes:
        """What has come, or nothing after a moment; raises OSError once the port is gone."""
        first: bytes = self._port.read(1)
        waiting = self._port.in_waiting if first else 0
        return first + self._port.read(min(waiting, LONGEST_LINE_BYTES)) if waiting else first

    def close(self) -> None:
        """Let the port go."""
        self._port.close()


class LineCutter:
    """Cuts bytes into lines; of one that is far too long the beginning is handed on with '…'.

    With `skip_first` what comes before the first end of line is dropped as the rest of a line
    whose beginning nobody heard, unless the line was silent before it. With `silence_ends` a line
    whose end does not come is whole after so many silent moments (empty chunks).
    """

    def __init__(
        self, terminator: str = "any", *, skip_first: bool = False, silence_ends: int = 0
    ) -> None:
        self._end = TERMINATORS[terminator]
        self._signs = b"\r\n\t" if terminator == "any_or_tab" else b"\r\n"
        self._silence_ends = silence_ends
        self._silent = 0
        self._buffer = b""
        self._skipping = skip_first
        self._heard = False

    def cut(self, chunk: bytes) -> list[str]:
        """The lines that are whole now, without their ends and without empty ones."""
        if not chunk:
            self._skipping = self._skipping and self._heard
            self._silent += 1
            return self._cut_in_silence() if self._silent == self._silence_ends else []
        self._heard = True
        self._silent = 0
        *whole, self._buffer = self._split(self._buffer + chunk)
        if self._skipping and whole:
            whole = whole[1:]
            self._skipping = False
        if len(self._buffer) > LONGEST_LINE_BYTES:
            if not self._skipping:
                whole.append(self._buffer)
            self._buffer = b""
            self._skipping = True
        return [_decode(one) for one in whole if one]

    def _cut_in_silence(self) -> list[str]:
        rest, self._buffer = self._buffer, b""
        was_skipping, self._skipping = self._skipping, False
        return [_decode(rest)] if rest and not was_skipping else []

    def _split(self, data: bytes) -> list[bytes]:
        if self._end:
            return data.split(self._end)
        for sign in self._signs:
            data = data.replace(bytes([sign]), b"\n")
        return data.split(b"\n")


def _decode(line: bytes) -> str:
    text = line[:LONGEST_LINE_BYTES].decode("utf-8", errors="replace")
    return text if len(line) <= LONGEST_LINE_BYTES else text + "…"


class SerialLines:
    """Hands on each line of a port on a thread of its own, until stopped."""

    def __init__(
        self,
        settings: SerialSettings,
        *,
        take_line: Callable[[str], None],
        tell: Callable[[Connected | Lost], None],
        skip_first: bool = False,
        silence_ends: int = 0,
        open_source: Callable[[], Source] | None = None,
        retry_seconds: float = RETRY_SECONDS,
    ) -> None:
        check_serial_settings(settings)
        if open_source is None:
            load_serial()
        self._settings = settings
        self._skip_first = skip_first
        self._silence_ends = silence_ends
        self._take_line = take_line
        self._cutter = self._new_cutter()
        self._thread = DeviceThread(
            settings.port,
            open_source or (lambda: SerialSource(settings)),
            fresh=self._begin,
            take=self._take,
            tell=tell,
            retry_seconds=retry_seconds,
        )

    def start(self) -> None:
        """Begin to listen."""
        self._thread.start()

    def stop(self) -> None:
        """End and let the port go."""
        self._thread.stop()

    def is_running(self) -> bool:
        """Whether it listens."""
        return self._thread.is_running()

    def _new_cutter(self) -> LineCutter:
        return LineCutter(
            self._settings.terminator,
            skip_first=self._skip_first,
            silence_ends=self._silence_ends,
        )

    def _begin(self) -> None:
        self._cutter = self._new_cutter()

    def _take(self, chunk: bytes) -> None:
        for line in self._cutter.cut(chunk):
            self._take_line(line)
