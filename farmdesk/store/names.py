"""Names for people of scannable things, many at a time."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from sqlalchemy import Select, bindparam, select

from farmdesk.domain.codes import bag_name, kind_of
from farmdesk.store.schema import TABLES
from farmdesk.store.transaction import Reading

_SIZES = (1, 20, 100, 250, 500)
"""Lengths of the lists that are asked for at once; few, so that few statements are kept."""


def names_of(reading: Reading, ids: Iterable[int]) -> dict[int, str]:
    """The names of things by id; ids of no known thing are left out."""
    by_kind: dict[str, list[int]] = {}
    for one in ids:
        by_kind.setdefault(kind_of(one), []).append(one)
    names: dict[int, str] = {}
    for kind, wanted in by_kind.items():
        for at in range(0, len(wanted), _SIZES[-1]):
            rows = _rows(reading, kind, wanted[at : at + _SIZES[-1]])
            if kind == "bag":
                names |= {row[0]: bag_name(row[1], row[2]) for row in rows}
            else:
                names |= {row[0]: row[1] for row in rows}
    return names


def _rows(reading: Reading, kind: str, ids: Sequence[int]) -> list[Any]:
    size = next(one for one in _SIZES if len(ids) <= one)
    padded = [*ids, *[ids[-1]] * (size - len(ids))]
    values = {f"i{at}": one for at, one in enumerate(padded)}
    return reading.rows(("names", kind, size), lambda: _statement(kind, size), **values)


def _statement(kind: str, size: int) -> Select[Any]:
    wanted: list[Any] = [bindparam(f"i{at}") for at in range(size)]
    table = TABLES[kind]
    if kind != "bag":
        label = table.c.title if kind == "card" else table.c.name
        return select(table.c.id, label).where(table.c.id.in_(wanted))
    batch = TABLES["batch"]
    joined = table.join(batch, batch.c.id == table.c.batch)
    columns = (table.c.id, batch.c.name, table.c.number)
    return select(*columns).select_from(joined).where(table.c.id.in_(wanted))
