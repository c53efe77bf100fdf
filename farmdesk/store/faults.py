"""Driver errors sorted at the door: the world's fault gets a calm sentence, ours a report."""

from __future__ import annotations

import re
import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from sqlalchemy.exc import DBAPIError

from farmdesk.errors import Problem, StoreUnavailable, problem

_SQLITE = {
    sqlite3.SQLITE_FULL: "disk_full",
    sqlite3.SQLITE_BUSY: "farm_in_use",
    sqlite3.SQLITE_LOCKED: "farm_in_use",
    sqlite3.SQLITE_READONLY: "farm_read_only",
    sqlite3.SQLITE_CANTOPEN: "farm_missing",
    sqlite3.SQLITE_PERM: "farm_read_only",
    sqlite3.SQLITE_NOTADB: "farm_not_database",
    sqlite3.SQLITE_CORRUPT: "farm_damaged",
    sqlite3.SQLITE_IOERR: "farm_disk_trouble",
}
_PASSWORD = re.compile(r"(://[^:/@]*):.*@")
_LEAST_FREE = 65_536
"""Bytes; with less, SQLite cannot even lay out the index of its log."""
_POSTGRES = {
    "08": "farm_server_gone",
    "28": "farm_server_refuses",
    "3D": "farm_server_no_database",
    "53": "disk_full",
    "57": "farm_server_gone",
}


def world_fault(error: BaseException, where: str) -> Problem | None:
    """The problem behind a driver error that is the world's fault, or None when it is ours."""
    cause: BaseException = error
    if isinstance(error, DBAPIError) and error.orig is not None:
        cause = error.orig
    number = getattr(cause, "sqlite_errorcode", None)
    if isinstance(number, int) and number & 0xFF in _SQLITE:
        return problem(_matter_with(number & 0xFF, Path(where)), path=where)
    state = getattr(cause, "sqlstate", None)
    if isinstance(state, str) and state[:2] in _POSTGRES:
        return problem(_POSTGRES[state[:2]], path=where)
    if isinstance(error, DBAPIError) and error.connection_invalidated:
        return problem("farm_server_gone", path=where)
    if type(cause).__module__.startswith("psycopg") and type(cause).__name__ in (
        "OperationalError",
        "ConnectionTimeout",
    ):
        return problem("farm_server_gone", path=where)
    return None


def _matter_with(number: int, path: Path) -> str:
    """The matter behind a SQLite result; two of them are told apart by looking at the disk."""
    code = _SQLITE[number]
    if code in ("farm_disk_trouble", "farm_missing") and path.exists():
        if shutil.disk_usage(path.parent).free < _LEAST_FREE:
            return "disk_full"
        if code == "farm_missing":
            # The file is there, but no log can be made beside it.
            return "farm_read_only"
    return code


def shown_place(where: str) -> str:
    """A farm's place as it may be shown: a server's address without its password."""
    return _PASSWORD.sub(r"\1:***@", where)


@contextmanager
def sorted_faults(where: str) -> Iterator[None]:
    """Turn the world's faults inside the block into StoreUnavailable; let ours pass."""
    try:
        yield
    except (DBAPIError, sqlite3.Error) as error:
        found = world_fault(error, shown_place(where))
        if found is None:
            raise
        raise StoreUnavailable(found) from error
