"""Reads that nobody waits for any more are ended in the database, not only forgotten."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any, ParamSpec, TypeVar

from farmdesk.errors import Stopped, problem

if TYPE_CHECKING:
    # The desk loads this before its first paint, and SQLAlchemy takes longer than all the rest.
    from sqlalchemy import Connection

P = ParamSpec("P")
R = TypeVar("R")
_STEPS = 20_000
"""SQLite asks after so many steps of its machine whether to go on: some hundreds a second."""
_here = threading.local()


class StopSign:
    """Stands over the reads of one function; `stop` may be called from any thread."""

    def __init__(self) -> None:
        self.is_stopped = False
        self._lock = threading.Lock()
        self._server: Any = None

    def run(self, function: Callable[P, R], *args: P.args, **keywords: P.kwargs) -> R:
        """Call the function; reads of this thread inside it end when `stop` is called."""
        _here.sign = self
        try:
            self.check()
            return function(*args, **keywords)
        finally:
            _here.sign = None

    def stop(self) -> None:
        """End the statement that runs, and let no other begin."""
        with self._lock:
            self.is_stopped = True
            if self._server is not None:
                self._server.cancel_safe(timeout=5)

    def check(self) -> None:
        """Raise Stopped when it was stopped."""
        if self.is_stopped:
            raise Stopped(problem("stopped"))

    @contextmanager
    def over(self, connection: Connection) -> Iterator[None]:
        """Statements of this connection end with the sign; whatever it raises then is Stopped."""
        driver: Any = connection.connection.driver_connection
        is_file = connection.dialect.name == "sqlite"
        if is_file:
            driver.set_progress_handler(lambda: self.is_stopped, _STEPS)
        else:
            with self._lock:
                self._server = driver
        try:
            yield
        except Exception:
            self.check()
            raise
        finally:
            if is_file:
                driver.set_progress_handler(None, 0)
            else:
                with self._lock:  # from here on the connection may be another reader's
                    self._server = None


def sign_here() -> StopSign | None:
    """The sign over what this thread does now."""
    return getattr(_here, "sign", None)
