"""Names for people of scannable things, many at a time; and ids for names."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from sqlalchemy import select

from farmdesk.domain.codes import bag_name, kind_of
from farmdesk.store.schema import TABLES
from farmdesk.store.transaction import Reading

_AT_ONCE = 500


def names_of(reading: Reading, ids: Iterable[int]) -> dict[int, str]:
    """The names of things by id; ids of no known thing are left out."""
    by_kind: dict[str, list[int]] = {}
    for one in ids:
        by_kind.setdefault(kind_of(one), []).append(one)
    names: dict[int, str] = {}
    for kind, wanted in by_kind.items():
        for at in range(0, len(wanted), _AT_ONCE):
            part = wanted[at : at + _AT_ONCE]
            names |= _bag_names(reading, part) if kind == "bag" else _plain(reading, kind, part)
    return names


def _plain(reading: Reading, kind: str, ids: Sequence[int]) -> dict[int, str]:
    table = TABLES[kind]
    label = table.c.title if kind == "card" else table.c.name
    statement = select(table.c.id, label).where(table.c.id.in_(ids))
    return {row[0]: row[1] for row in reading.run(statement)}


def _bag_names(reading: Reading, ids: Sequence[int]) -> dict[int, str]:
    bag, batch = TABLES["bag"], TABLES["batch"]
    statement = (
        select(bag.c.id, batch.c.name, bag.c.number)
        .join(batch, batch.c.id == bag.c.batch)
        .where(bag.c.id.in_(ids))
    )
    return {row[0]: bag_name(row[1], row[2]) for row in reading.run(statement)}
