"""What every test shares: no screen, no silent warnings, and nothing left behind."""

from __future__ import annotations

import gc
import logging
import os
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

if TYPE_CHECKING:
    from farmdesk.store.farm_store import FarmStore

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")


@pytest.hookimpl(optionalhook=True)
def pytest_testnodedown(node: object, error: object) -> None:
    """Leave a mark for tests/run_all.py when a worker process died."""
    mark = os.environ.get("FARMDESK_WORKER_DIED")
    if error and mark:
        Path(mark).write_text(f"{getattr(node, 'gateway', node)}: {error}\n", encoding="utf-8")


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Of a test with many cases the first alone is run on the server too: its farms cost most."""
    seen: set[str] = set()
    kept, left = [], []
    for item in items:
        function = item.nodeid.partition("[")[0]
        is_first = function not in seen
        on_server = "postgres" in getattr(getattr(item, "callspec", None), "id", "").split("-")
        if on_server:
            seen.add(function)
        (left if on_server and not is_first else kept).append(item)
    if left:
        config.hook.pytest_deselected(items=left)
        items[:] = kept


class _Listener(logging.Handler):
    """Keeps every warning and error that the program logs."""

    def __init__(self) -> None:
        super().__init__(logging.WARNING)
        self.records: list[logging.LogRecord] = []

    def emit(self, record: logging.LogRecord) -> None:
        self.records.append(record)


@pytest.fixture(autouse=True)
def farm_log() -> Iterator[list[logging.LogRecord]]:
    """Warnings of the program fail the test, unless the test asks for this list and empties it."""
    listener = _Listener()
    logger = logging.getLogger("farmdesk")
    logger.addHandler(listener)
    yield listener.records
    logger.removeHandler(listener)
    left = [record.getMessage() for record in listener.records]
    assert not left, f"unexpected warnings in the log: {left}"


@pytest.fixture(autouse=True)
def nothing_left(request: pytest.FixtureRequest) -> Iterator[None]:
    """No window, no running timer and no worker thread outlives its test.

    Tests without Qt are let through: to look for timers among all objects takes its time.
    """
    if "qapp" not in request.fixturenames:
        yield
        return
    _drop_deleted()
    before = _alive()
    # As in the desk: cycles with Qt objects are never collected by a lane's thread.
    gc.disable()
    yield
    gc.enable()
    _drop_deleted()
    left = _alive() - before
    assert not left, f"left behind: {sorted(left)}"


def _drop_deleted() -> None:
    from PySide6.QtCore import QCoreApplication, QEvent

    if QCoreApplication.instance() is not None:
        QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete.value)
        QCoreApplication.processEvents()


def _alive() -> set[str]:
    """Names of windows in sight, of running timers and of lane threads."""
    import threading

    names = {one.name for one in threading.enumerate() if one.name.startswith("farm-")}
    if "PySide6.QtWidgets" not in sys.modules:
        return names
    from PySide6.QtWidgets import QApplication

    if QApplication.instance() is None:
        return names
    for window in QApplication.topLevelWidgets():
        if window.isVisible():
            names.add(f"window {type(window).__name__} {window.windowTitle()!r} {id(window)}")
    return names | _timers()


def _timers() -> set[str]:
    import shiboken6
    from PySide6.QtCore import QTimer

    return {
        f"timer of {type(one.parent()).__name__} {id(one)}"
        for one in gc.get_objects()
        if type(one) is QTimer and shiboken6.isValid(one) and one.isActive()
    }


@pytest.fixture(scope="session", autouse=True)
def database_server() -> Iterator[None]:
    """Stops the PostgreSQL server of this process after its last test."""
    yield
    if "databases" in sys.modules:
        sys.modules["databases"].stop_server()


@pytest.fixture
def filling() -> Callable[[FarmStore], Any]:
    """What fills the farm of a test; folders with farms of their own say it anew."""
    from databases import nothing

    return nothing


@pytest.fixture(params=("sqlite",) if sys.platform == "win32" else ("sqlite", "postgres"))
def filled(
    request: pytest.FixtureRequest, tmp_path: Path, filling: Callable[[FarmStore], Any]
) -> Iterator[tuple[FarmStore, Any]]:
    """A farm and what filling it gave, once on SQLite and once on PostgreSQL."""
    from databases import filled_farm

    with filled_farm(request.param, tmp_path, filling) as made:
        yield made


@pytest.fixture
def store(filled: tuple[FarmStore, Any]) -> FarmStore:
    """A farm, once on SQLite and once on PostgreSQL; empty unless the folder fills it."""
    return filled[0]
