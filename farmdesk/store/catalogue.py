"""Questions about what refers to a thing of the catalogue."""

from __future__ import annotations

from sqlalchemy import literal, select

from farmdesk.domain.cells import columns_of
from farmdesk.domain.things import THINGS
from farmdesk.store.schema import TABLES
from farmdesk.store.transaction import Reading


def kinds_using(reading: Reading, kind: str, thing_id: int) -> list[str]:
    """The kinds of things of which at least one refers to this one, or is about it."""
    found = []
    for other, cls in THINGS.items():
        columns = [column.name for column in columns_of(cls) if column.ref == kind]
        for name in columns:
            table = TABLES[other]
            statement = select(literal(1)).where(table.c[name] == thing_id).limit(1)
            if reading.run(statement):
                found.append(other)
                break
    return found
