"""A scale on the bench, serial or USB: live readings, a steady one taken once, calm troubles."""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol

from farmdesk.devices.device_thread import RETRY_SECONDS, Connected, DeviceThread, Lost, Source
from farmdesk.devices.hid_scale import HidScaleSource, load_hid, read_report
from farmdesk.devices.readings import Reading
from farmdesk.devices.scale_lines import read_scale_line
from farmdesk.devices.serial_lines import SerialLines, SerialSettings
from farmdesk.devices.steady import EQUAL_READINGS, SteadyWatch
from farmdesk.errors import FarmdeskError, Problem


@dataclass(frozen=True)
class ScaleSettings:
    """Which scale: a serial one when `serial` is given, else USB (`hid_path` or the first)."""

    serial: SerialSettings | None = None
    hid_path: bytes | None = None
    equal_readings: int = EQUAL_READINGS
    decimal_comma: bool = False


@dataclass(frozen=True)
class Live:
    """What the scale shows at the moment; not to be recorded."""

    reading: Reading


@dataclass(frozen=True)
class Taken:
    """A steady reading, frozen; the next comes only after `start_over`."""

    reading: Reading


@dataclass(frozen=True)
class NoWeight:
    """The scale speaks but gives no weight; told once until a reading comes or it changes."""

    problem: Problem


ScaleNews = Connected | Lost | Live | Taken | NoWeight


class Scale(Protocol):
    """A scale that tells its news on a thread of its own."""

    def start(self) -> None:
        """Begin to listen."""

    def stop(self) -> None:
        """End and let the scale go."""

    def start_over(self, *, same_load: bool = False) -> None:
        """Let go of the taken reading and wait for the next load, or take the same once more."""


class _News:
    """Turns readings into news: live ones, the one taken, and troubles without repetition."""

    def __init__(self, tell: Callable[[ScaleNews], None], equal: int) -> None:
        self._tell = tell
        self._watch = SteadyWatch(equal)
        self._lock = threading.Lock()
        self._last_trouble = ""

    def read(self, reads: Callable[[], Reading]) -> None:
        try:
            reading = reads()
        except FarmdeskError as trouble:
            self._tell_trouble(trouble.problems[0])
            return
        self._last_trouble = ""
        with self._lock:
            taken = self._watch.offer(reading)
        self._tell(Live(reading))
        if taken is not None:
            self._tell(Taken(taken))

    def begin(self) -> None:
        self._last_trouble = ""
        with self._lock:
            self._watch.interrupt()

    def start_over(self, *, same_load: bool) -> None:
        with self._lock:
            self._watch.start_over(same_load=same_load)

    def _tell_trouble(self, why: Problem) -> None:
        with self._lock:
            self._watch.interrupt(load_gone=why.code == "scale_under_zero")
        if why.code != self._last_trouble:
            self._last_trouble = why.code
            self._tell(NoWeight(why))


class SerialScale:
    """A scale that sends ASCII lines."""

    def __init__(
        self,
        settings: ScaleSettings,
        tell: Callable[[ScaleNews], None],
        *,
        serial: SerialSettings,
        open_source: Callable[[], Source] | None = None,
        retry_seconds: float = RETRY_SECONDS,
    ) -> None:
        self._news = _News(tell, settings.equal_readings)
        self._decimal_comma = settings.decimal_comma
        self._outer_tell = tell
        self._lines = SerialLines(
            serial,
            take_line=self._take,
            tell=self._pass_on,
            skip_first=True,
            open_source=open_source,
            retry_seconds=retry_seconds,
        )

    def start(self) -> None:
        """Begin to listen."""
        self._lines.start()

    def stop(self) -> None:
        """End and let the port go."""
        self._lines.stop()

    def start_over(self, *, same_load: bool = False) -> None:
        """Let go of the taken reading and wait for the next load."""
        self._news.start_over(same_load=same_load)

    def _take(self, line: str) -> None:
        self._news.read(lambda: read_scale_line(line, decimal_comma=self._decimal_comma))

    def _pass_on(self, news: Connected | Lost) -> None:
        self._news.begin()
        self._outer_tell(news)


class HidScale:
    """A USB scale that follows the HID scale usages."""

    def __init__(
        self,
        settings: ScaleSettings,
        tell: Callable[[ScaleNews], None],
        *,
        open_source: Callable[[], Source] | None = None,
        retry_seconds: float = RETRY_SECONDS,
    ) -> None:
        if open_source is None:
            load_hid()
        self._news = _News(tell, settings.equal_readings)
        self._thread = DeviceThread(
            "USB scale",
            open_source or (lambda: HidScaleSource(settings.hid_path)),
            fresh=self._news.begin,
            take=self._take,
            tell=tell,
            retry_seconds=retry_seconds,
        )

    def start(self) -> None:
        """Begin to listen."""
        self._thread.start()

    def stop(self) -> None:
        """End and let the scale go."""
        self._thread.stop()

    def start_over(self, *, same_load: bool = False) -> None:
        """Let go of the taken reading and wait for the next load."""
        self._news.start_over(same_load=same_load)

    def _take(self, report: bytes) -> None:
        if report:
            self._news.read(lambda: read_report(report))


def open_scale(settings: ScaleSettings, tell: Callable[[ScaleNews], None]) -> Scale:
    """A scale that is ready to start; `tell` is called on the scale's thread.

    Raises Refused for settings no port can have, DeviceTrouble when the library is missing; a
    scale that is not there is told as Lost and looked for until stopped.
    """
    if settings.serial is not None:
        return SerialScale(settings, tell, serial=settings.serial)
    return HidScale(settings, tell)
