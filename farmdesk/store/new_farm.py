"""A farm that is made for one purpose: when that fails, no empty file stays behind."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from farmdesk.store.farm_store import FarmStore, is_server, open_farm


@contextmanager
def farm_to_fill(where: str | Path) -> Iterator[FarmStore]:
    """Open the farm there, made if it is missing; a file made for nothing is taken away again.

    Raises StoreUnavailable when it cannot be opened or made.
    """
    path = None if is_server(str(where)) or Path(where).exists() else Path(where)
    try:
        store = open_farm(where, make=True)
        try:
            yield store
        finally:
            store.close()
    except BaseException:
        if path is not None:
            for ending in ("", "-wal", "-shm"):
                path.with_name(path.name + ending).unlink(missing_ok=True)
        raise
