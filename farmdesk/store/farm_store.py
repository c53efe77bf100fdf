"""Opening a farm: a SQLite file, or a PostgreSQL server shared by several stations."""

from __future__ import annotations

import sqlite3
import threading
from collections.abc import Iterator
from contextlib import closing, contextmanager, nullcontext
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, event, insert, select, text
from sqlalchemy.exc import ArgumentError, DBAPIError
from sqlalchemy.pool import QueuePool

from farmdesk.errors import StoreUnavailable, problem
from farmdesk.store.faults import shown_place, sorted_faults
from farmdesk.store.schema import VERSION, VERSIONS, metadata
from farmdesk.store.stopping import sign_here
from farmdesk.store.transaction import Reading, Statements, Writing
from farmdesk.wording.formats import Formats

_APPLICATION = 0x4641524D
"""Marks a SQLite file as a Farmdesk farm ("FARM")."""
_LOCK = 4_641_524
_ONE_PAGE = 4096


class FarmStore:
    """One open farm. Writes go through one held connection, one at a time; reads are pooled."""

    def __init__(self, engine: Engine, where: str) -> None:
        self.engine = engine
        self.where = where
        self.is_sqlite = engine.dialect.name == "sqlite"
        self.statements = Statements(engine.dialect)
        self.formats: Formats | None = None
        """How this station writes quantities; None: as the farm does."""
        self._writer: Connection | None = None
        self._lane = threading.RLock()

    @contextmanager
    def writing(self) -> Iterator[Writing]:
        """A transaction that may change things; nothing is kept unless the block ends well.

        Waits for the writer lane of this process; other processes wait at the database.
        """
        with self._lane, sorted_faults(self.where):
            connection = self._writer
            if connection is None or connection.closed or connection.invalidated:
                connection = self._writer = self.engine.connect()
            with connection.begin():
                if not self.is_sqlite:
                    # One writer at a time keeps the day book's numbers free of gaps.
                    connection.exec_driver_sql(f"SELECT pg_advisory_xact_lock({_LOCK})")
                yield Writing(connection, self.statements)

    @contextmanager
    def reading(self) -> Iterator[Reading]:
        """A consistent view of the farm."""
        with sorted_faults(self.where), self.engine.connect() as connection:
            connection = connection.execution_options(reader=True)
            if not self.is_sqlite:
                connection = connection.execution_options(isolation_level="REPEATABLE READ")
            sign = sign_here()
            with connection.begin(), sign.over(connection) if sign else nullcontext():
                yield Reading(connection, self.statements, sign, self.formats)

    def checkpoint(self) -> None:
        """Move what is committed from the write-ahead log to the file; call between scans."""
        if self.is_sqlite:
            with sorted_faults(self.where), self._plain() as connection:
                connection.execute("PRAGMA wal_checkpoint(PASSIVE)").fetchall()

    @contextmanager
    def _plain(self) -> Iterator[sqlite3.Connection]:
        with closing(sqlite3.connect(self.where, timeout=5, isolation_level=None)) as connection:
            yield connection

    def close(self) -> None:
        """Leave the farm tidy: log emptied into the file, connections closed."""
        with self._lane:
            if self._writer is not None:
                self._writer.close()
                self._writer = None
            self.engine.dispose()


def is_server(where: str) -> bool:
    """Whether this names a PostgreSQL server, not a file."""
    return where.startswith(("postgresql:", "postgres:", "postgresql+psycopg:"))


def open_farm(where: str | Path, *, make: bool = False) -> FarmStore:
    """Open the farm at a file or postgresql URL; `make` builds an empty one where there is none.

    Raises StoreUnavailable with what is the matter: missing, not a farm, newer, read-only ...
    """
    place = str(where)
    store = _open_server(place) if is_server(place) else _open_file(Path(place), make=make)
    try:
        with sorted_faults(place):
            _match_version(store, make=make)
    except BaseException:
        store.close()
        raise
    return store


def _open_file(path: Path, *, make: bool) -> FarmStore:
    if path.is_dir():
        raise StoreUnavailable(problem("farm_is_folder", path=str(path)))
    if not path.exists():
        if not make:
            raise StoreUnavailable(problem("farm_missing", path=str(path)))
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise StoreUnavailable(
                problem("farm_not_made", path=str(path), reason=error.strerror or str(error))
            ) from error
    else:
        _refuse_foreign(path, make=make)
    engine = create_engine(
        "sqlite://",
        creator=lambda: _connect_sqlite(path),
        poolclass=QueuePool,
        pool_size=4,
        max_overflow=8,
    )
    event.listen(engine, "begin", _begin_immediate)
    return FarmStore(engine, str(path))


def _refuse_foreign(path: Path, *, make: bool) -> None:
    try:
        with path.open("rb") as file:
            head = file.read(100)
    except OSError as error:
        raise StoreUnavailable(
            problem("farm_unreadable", path=str(path), reason=error.strerror or str(error))
        ) from error
    if head == b"" and make:
        return
    if not head.startswith(b"SQLite format 3\0"):
        raise StoreUnavailable(problem("farm_not_database", path=str(path)))
    mark = int.from_bytes(head[68:72], "big")
    if mark != _APPLICATION and not (mark == 0 and _may_be_begun(path)):
        raise StoreUnavailable(problem("farm_not_ours", path=str(path)))


def _may_be_begun(path: Path) -> bool:
    """Whether a farm's making was cut off here: its mark is still in the log, or not yet set."""
    return path.with_name(path.name + "-wal").exists() or path.stat().st_size <= _ONE_PAGE


def _connect_sqlite(path: Path) -> sqlite3.Connection:
    connection = sqlite3.connect(path, timeout=5, isolation_level=None, check_same_thread=False)
    connection.execute("PRAGMA busy_timeout=5000")
    connection.execute("PRAGMA journal_mode=WAL")
    connection.execute("PRAGMA synchronous=FULL")
    connection.execute("PRAGMA foreign_keys=ON")
    connection.execute("PRAGMA wal_autocheckpoint=10000")
    return connection


def _begin_immediate(connection: Connection) -> None:
    is_reader = connection.get_execution_options().get("reader", False)
    connection.exec_driver_sql("BEGIN" if is_reader else "BEGIN IMMEDIATE")


def _open_server(url: str) -> FarmStore:
    address = "postgresql+psycopg:" + url.split(":", 1)[1]
    try:
        engine = create_engine(address, pool_size=4, max_overflow=8, pool_pre_ping=False)
    except (ArgumentError, ValueError) as error:
        raise StoreUnavailable(problem("farm_address_wrong", path=shown_place(url))) from error
    return FarmStore(engine, shown_place(url))


def _match_version(store: FarmStore, *, make: bool) -> None:
    with store.engine.connect() as connection:
        found = _version_of(connection)
    if found == VERSION:
        return
    if found is None:
        if not make:
            raise StoreUnavailable(problem("farm_not_ours", path=store.where))
        _build(store)
    elif found > VERSION:
        raise StoreUnavailable(problem("farm_newer", path=store.where, found=found, known=VERSION))
    else:
        from farmdesk.store.migrations.upgrade import (  # noqa: PLC0415 - Alembic is slow to load
            bring_up_to_date,
        )

        bring_up_to_date(store.engine)


def _version_of(connection: Connection) -> str | None:
    try:
        row: Any = connection.execution_options(reader=True).execute(select(VERSIONS)).fetchone()
    except DBAPIError as error:
        if getattr(error.orig, "sqlite_errorcode", 1) == 1 and "alembic_version" in str(error):
            return None
        raise
    return None if row is None else str(row[0])


def _build(store: FarmStore) -> None:
    if store.is_sqlite:
        with store.engine.connect() as plain:
            plain.connection.driver_connection.execute(  # type: ignore[union-attr]
                f"PRAGMA application_id={_APPLICATION}"
            )
    with store.engine.begin() as connection:
        if not store.is_sqlite:
            connection.execute(text(f"SELECT pg_advisory_xact_lock({_LOCK})"))
        metadata.create_all(connection)
        if connection.execute(select(VERSIONS)).fetchone() is None:
            connection.execute(insert(VERSIONS).values(version_num=VERSION))
