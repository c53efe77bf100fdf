"""Copying a farm while it is in use, and putting a copy back."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

from farmdesk.errors import NotWritten, Refused, StoreUnavailable, problem
from farmdesk.store.farm_store import FarmStore, open_farm
from farmdesk.store.faults import sorted_faults


def backup_farm(store: FarmStore, target: Path) -> int:
    """Copy the farm as it is at this moment into a file, checked; returns its size in bytes.

    One step on a connection of its own: scans go on, and the copy is never restarted by them.
    """
    _refuse_server(store)
    if target.resolve() == Path(store.where).resolve():
        raise Refused(problem("backup_onto_itself", path=str(target)))
    part = target.with_name(target.name + ".part")
    try:
        part.unlink(missing_ok=True)
        with (
            closing(sqlite3.connect(store.where, timeout=5)) as source,
            closing(sqlite3.connect(part)) as copy,
        ):
            source.backup(copy, pages=-1)
            copy.execute("PRAGMA journal_mode=DELETE")
            verdict = copy.execute("PRAGMA quick_check").fetchone()[0]
        if verdict != "ok":
            raise NotWritten(problem("backup_failed", path=str(target), reason=str(verdict)))
        part.replace(target)
    except (OSError, sqlite3.Error) as error:
        for ending in ("", "-journal", "-wal", "-shm"):
            part.with_name(part.name + ending).unlink(missing_ok=True)
        reason = getattr(error, "strerror", None) or str(error)
        raise NotWritten(problem("backup_failed", path=str(target), reason=reason)) from error
    return target.stat().st_size


def restore_farm(store: FarmStore, source: Path) -> None:
    """Make the open farm what it was when the backup was taken, in one transaction.

    The backup is opened and checked first; other stations see the change when it is complete.
    """
    _refuse_server(store)
    if source.resolve() == Path(store.where).resolve():
        raise Refused(problem("restore_from_itself", path=str(source)))
    open_farm(source).close()
    with sorted_faults(str(source)), closing(sqlite3.connect(source)) as copy:
        verdict = copy.execute("PRAGMA quick_check").fetchone()[0]
        if verdict != "ok":
            raise StoreUnavailable(problem("farm_damaged", path=str(source)))
        with (
            sorted_faults(store.where),
            closing(sqlite3.connect(store.where, timeout=5)) as target,
        ):
            copy.backup(target, pages=-1)


def _refuse_server(store: FarmStore) -> None:
    if not store.is_sqlite:
        raise Refused(problem("backup_by_server", path=store.where))
