"""Work away from the window: one lane that writes, two that read; results come back to it."""

from __future__ import annotations

import logging
import traceback
from collections.abc import Callable
from concurrent.futures import CancelledError, Future, ThreadPoolExecutor
from concurrent.futures import TimeoutError as NotYet
from functools import partial
from typing import Any, TypeVar

import shiboken6
from PySide6.QtCore import QEventLoop, QObject, Qt, QTimer, Signal

from farmdesk.errors import FarmdeskError
from farmdesk.store.stopping import StopSign

LOG = logging.getLogger("farmdesk.desk")
READERS = 2
SETTLE_LIMIT_MS = 30_000

ResultT = TypeVar("ResultT")


class Errand:
    """One piece of work that was handed over; its callbacks run in the window's thread."""

    def __init__(
        self,
        future: Future[Any],
        then: Callable[[Any], object] | None,
        failed: Callable[[FarmdeskError], object] | None,
        sign: StopSign | None = None,
    ) -> None:
        self._future = future
        self._sign = sign
        self.then = then
        self.failed = failed
        self.is_delivered = False
        self.is_dropped = False
        self.line: tuple[int, str] | None = None
        """Whose answers of one kind this is one of; see `Workplace.read_newest`."""

    def drop(self) -> None:
        """Forget the callbacks: the answer is no longer wanted.

        A read ends where it stands; what changes the farm is done whole.
        """
        self.is_dropped = True
        if self._sign is not None and not self._future.cancel():
            self._sign.stop()

    def wait(self, seconds: float) -> bool:
        """Wait a moment for the work; whether it is done. The callbacks still run later."""
        try:
            self._future.exception(seconds)
        except (NotYet, CancelledError):
            return False
        return True

    def drop_for_result(self) -> Any | None:
        """The result of work that is done, without its callbacks; None if it failed."""
        if self._future.cancelled() or self.fault() is not None:
            return None
        self.drop()
        return self._future.result()

    def fault(self) -> BaseException | None:
        """What the work raised, if it is done and did."""
        return None if self._future.cancelled() else self._future.exception()

    def outcome(self) -> Any:
        """The result of work that is done; raises what the work raised."""
        return self._future.result()


class Workplace(QObject):
    """Runs functions off the window's thread and brings their results back to it, in order."""

    refused = Signal(object)
    """A FarmdeskError that nobody asked to have: the window says it calmly."""
    crashed = Signal(str, str)
    """A fault of the program: one line, then the details."""
    idle = Signal()
    _arrived = Signal(int)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._writer = ThreadPoolExecutor(1, thread_name_prefix="farm-writer")
        self._readers = ThreadPoolExecutor(READERS, thread_name_prefix="farm-reader")
        self._open = 0
        self._errands: dict[int, Errand] = {}
        self._last_number = 0
        self._newest: dict[tuple[int, str], int] = {}
        self._is_closed = False
        self._arrived.connect(self._deliver, Qt.ConnectionType.QueuedConnection)

    def do(
        self,
        function: Callable[..., ResultT],
        *args: object,
        then: Callable[[ResultT], object] | None = None,
        failed: Callable[[FarmdeskError], object] | None = None,
        **keywords: object,
    ) -> Errand:
        """Run a function that changes the farm: one at a time, in the order asked."""
        return self._hand_over(self._writer, function, args, keywords, then, failed)

    def read(
        self,
        function: Callable[..., ResultT],
        *args: object,
        then: Callable[[ResultT], object] | None = None,
        failed: Callable[[FarmdeskError], object] | None = None,
        **keywords: object,
    ) -> Errand:
        """Run a function that only reads; several may run at once, in no fixed order."""
        sign = StopSign()
        work: Callable[..., ResultT] = partial(sign.run, function)
        return self._hand_over(self._readers, work, args, keywords, then, failed, sign)

    def read_newest(
        self,
        function: Callable[..., ResultT],
        *args: object,
        then: Callable[[ResultT], object],
        failed: Callable[[FarmdeskError], object] | None = None,
        **keywords: object,
    ) -> Errand:
        """Read for a page that shows the answer by its method `then`.

        Reads end in no fixed order: an answer that was asked for earlier than the one this method
        was given last is thrown away, so that what is shown never grows older.
        """
        errand = self.read(function, *args, then=then, failed=failed, **keywords)
        errand.line = (id(getattr(then, "__self__", None)), getattr(then, "__name__", ""))
        return errand

    def report_fault(self, fault: Exception, line: str = "") -> None:
        """Log a fault of the program and send `crashed`; call it while handling the fault."""
        LOG.error("Work for the window failed", exc_info=fault)
        what = line or f"{type(fault).__name__}: {fault}"
        self.crashed.emit(what, "".join(traceback.format_exception(fault)))

    def is_idle(self) -> bool:
        """Whether nothing is under way and every answer was brought back."""
        return self._open == 0

    def settled(self, limit_ms: int = SETTLE_LIMIT_MS) -> None:
        """Process events until both lanes are empty; TimeoutError when they do not get empty."""
        if self.is_idle():
            return
        loop = QEventLoop()
        limit = QTimer()
        limit.setSingleShot(True)
        limit.timeout.connect(loop.quit)
        self.idle.connect(loop.quit)
        limit.start(limit_ms)
        while not self.is_idle() and limit.isActive():
            loop.exec()
        limit.stop()
        self.idle.disconnect(loop.quit)
        if not self.is_idle():
            raise TimeoutError(f"{self._open} pieces of work were not done in {limit_ms} ms")

    def close(self) -> None:
        """Finish the writes that were asked for, drop waiting reads, end every thread."""
        if self._is_closed:
            return
        self._is_closed = True
        self._readers.shutdown(wait=True, cancel_futures=True)
        self._writer.shutdown(wait=True)

    def _hand_over(
        self,
        lane: ThreadPoolExecutor,
        function: Callable[..., Any],
        args: tuple[object, ...],
        keywords: dict[str, object],
        then: Callable[[Any], object] | None,
        failed: Callable[[FarmdeskError], object] | None,
        sign: StopSign | None = None,
    ) -> Errand:
        future = lane.submit(function, *args, **keywords)
        self._open += 1
        errand = Errand(future, then, failed, sign)
        self._last_number += 1
        number = self._last_number
        self._errands[number] = errand
        future.add_done_callback(partial(self._report, number))
        return errand

    def _report(self, number: int, future: Future[Any]) -> None:
        """Called in the worker: the signal carries only the errand's number to the window's thread.

        The errand holds widgets; the worker must never be the last one to let go of them.
        """
        if not self._is_closed and shiboken6.isValid(self):
            self._arrived.emit(number)
        elif not future.cancelled() and future.exception() is not None:
            LOG.error("Work failed while the desk closed", exc_info=future.exception())

    def _deliver(self, number: int) -> None:
        errand = self._errands.pop(number)
        errand.is_delivered = True
        if errand.line is not None:
            errand.is_dropped |= number < self._newest.get(errand.line, 0)
            if not errand.is_dropped:
                self._newest[errand.line] = number
        try:
            self._call_back(errand)
        except Exception as fault:
            self.report_fault(fault)
        finally:
            self._open -= 1
            if self._open == 0:
                self.idle.emit()

    def _call_back(self, errand: Errand) -> None:
        try:
            result = errand.outcome()
        except CancelledError:
            return
        except FarmdeskError as error:
            if errand.is_dropped:
                return
            if errand.failed is None:
                self.refused.emit(error)
            else:
                tell_if_there(errand.failed, error)
            return
        if not errand.is_dropped:
            tell_if_there(errand.then, result)


def tell_if_there(callback: Callable[[Any], object] | None, value: Any) -> None:
    """Call back, unless the page or dialog that would hear it is gone."""
    bare: Any = callback
    while isinstance(bare, partial):
        bare = bare.func
    owner = getattr(bare, "__self__", None)
    if callback is not None and (not isinstance(owner, QObject) or shiboken6.isValid(owner)):
        callback(value)
