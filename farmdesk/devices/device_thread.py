"""One device, one thread: opens it, hands on its bytes, tells once when it is gone, opens again."""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol

from farmdesk.errors import DeviceTrouble, Problem, problem

RETRY_SECONDS = 1.0
_STOP_SECONDS = 5.0


class Source(Protocol):
    """An open device: bytes as they come."""

    def read(self) -> bytes:
        """What came, or nothing after a moment's wait; raises when the device is gone."""

    def close(self) -> None:
        """Let the device go."""


@dataclass(frozen=True)
class Connected:
    """The device answers (again)."""

    device: str


@dataclass(frozen=True)
class Lost:
    """The device does not answer; told once, until it is connected again."""

    problem: Problem


class DeviceThread:
    """Reads one device until stopped; `tell` and `take` are called on its own thread.

    `take` gets every chunk, also the empty one of a silent moment; `fresh` is called before the
    first chunk of each connection.
    """

    def __init__(
        self,
        device: str,
        open_source: Callable[[], Source],
        *,
        fresh: Callable[[], None],
        take: Callable[[bytes], None],
        tell: Callable[[Connected | Lost], None],
        retry_seconds: float = RETRY_SECONDS,
    ) -> None:
        self._device = device
        self._open = open_source
        self._fresh = fresh
        self._take = take
        self._tell = tell
        self._retry_seconds = retry_seconds
        self._stopping = threading.Event()
        self._told_lost = False
        self._thread = threading.Thread(target=self._run, name=f"farm-{device}", daemon=True)

    def start(self) -> None:
        """Begin; what cannot be opened is told and tried again."""
        self._thread.start()

    def stop(self) -> None:
        """End and let the device go; may be called twice, and before `start`."""
        self._stopping.set()
        if self._thread.is_alive() and self._thread is not threading.current_thread():
            self._thread.join(_STOP_SECONDS)

    def is_running(self) -> bool:
        """Whether the thread is alive."""
        return self._thread.is_alive()

    def _run(self) -> None:
        while not self._stopping.is_set():
            source = self._open_or_tell()
            if source is not None:
                self._read_until_gone(source)
            self._stopping.wait(self._retry_seconds)

    def _open_or_tell(self) -> Source | None:
        try:
            source = self._open()
        except DeviceTrouble as trouble:
            self._tell_lost(trouble.problems[0])
        except Exception as trouble:  # drivers raise far more than OSError (termios.error, ...)
            self._tell_lost(
                problem("device_not_opened", device=self._device, reason=_reason(trouble))
            )
        else:
            self._told_lost = False
            self._fresh()
            self._tell(Connected(self._device))
            return source
        return None

    def _read_until_gone(self, source: Source) -> None:
        try:
            while not self._stopping.is_set():
                try:
                    chunk = source.read()
                except Exception:  # what a driver raises when its device is pulled out differs
                    self._tell_lost(problem("device_unplugged", device=self._device))
                    return
                self._take(chunk)
        finally:
            _close_quietly(source)

    def _tell_lost(self, why: Problem) -> None:
        if not self._told_lost:
            self._told_lost = True
            self._tell(Lost(why))


def _close_quietly(source: Source) -> None:
    try:
        source.close()
    except Exception:  # a device that was pulled out cannot be closed properly, nor need it be
        return


def _reason(trouble: Exception) -> str:
    return str(getattr(trouble, "strerror", None) or trouble or type(trouble).__name__)
