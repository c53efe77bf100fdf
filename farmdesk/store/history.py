"""Questions to the day book."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from sqlalchemy import Select, bindparam, func, select

from farmdesk.domain.events import Entry
from farmdesk.store.schema import DAYBOOK
from farmdesk.store.transaction import Reading


@dataclass(frozen=True)
class ActHead:
    """One act in the day book: its entries counted, and whether it has been taken back."""

    act: str
    kind: str
    first_number: int
    entries: int
    happened_at: str
    written_at: str
    person: int | None
    station: str
    is_undone: bool
    is_undo: bool


def entries_after(reading: Reading, number: int) -> list[Entry]:
    """Entries with a higher number, in order."""
    return list(
        reading.entries(select(DAYBOOK).where(DAYBOOK.c.number > number).order_by(DAYBOOK.c.number))
    )


def undoings_after(reading: Reading, number: int) -> list[tuple[int, int]]:
    """Entries with a higher number that take another back: (its number, the other's), in order.

    Asked at each scan when several stations scan at once.
    """
    rows = reading.rows("undone", _undone_after, after=number)
    # Told apart here: what was written since is little, and the database reads no index for it.
    return [(row[0], row[1]) for row in rows if row[1] is not None]


def _undone_after() -> Select[Any]:
    newer = DAYBOOK.c.number > bindparam("after")
    return select(DAYBOOK.c.number, DAYBOOK.c.undoes).where(newer).order_by(DAYBOOK.c.number)


def entries_about(reading: Reading, subject: int, limit: int = 500) -> list[Entry]:
    """The newest entries about a thing, in order."""
    statement = (
        select(DAYBOOK)
        .where(DAYBOOK.c.subject == subject)
        .order_by(DAYBOOK.c.number.desc())
        .limit(limit)
    )
    return list(reading.entries(statement))[::-1]


def latest_acts(
    reading: Reading, *, limit: int = 200, before: int | None = None, station: str | None = None
) -> list[ActHead]:
    """The newest acts, newest first; `before` pages on from a day book number."""
    undo = DAYBOOK.alias("undo")
    undone = (
        select(func.count())
        .select_from(undo)
        .where(undo.c.undoes == func.min(DAYBOOK.c.number))
        .correlate(DAYBOOK)
    )
    statement = (
        select(
            DAYBOOK.c.act,
            func.min(DAYBOOK.c.kind),
            func.min(DAYBOOK.c.number).label("first"),
            func.count(),
            func.min(DAYBOOK.c.happened_at),
            func.min(DAYBOOK.c.written_at),
            func.min(DAYBOOK.c.person),
            func.min(DAYBOOK.c.station),
            func.min(DAYBOOK.c.undoes),
            undone.scalar_subquery().label("undone"),
        )
        .group_by(DAYBOOK.c.act)
        .order_by(func.min(DAYBOOK.c.number).desc())
        .limit(limit)
    )
    newest = reading.last_number() if before is None else before - 1
    statement = statement.where(DAYBOOK.c.number <= newest)
    if station is not None:
        statement = statement.where(DAYBOOK.c.station == station)
    statement = statement.where(DAYBOOK.c.number > _floor(reading, newest, limit))
    return [
        ActHead(
            act=row[0],
            kind=row[1],
            first_number=row[2],
            entries=row[3],
            happened_at=row[4],
            written_at=row[5],
            person=row[6],
            station=row[7],
            is_undone=row[9] > 0,
            is_undo=row[8] is not None,
        )
        for row in reading.run(statement)
    ]


def _floor(reading: Reading, newest: int, limit: int) -> int:
    """A number low enough that `limit` acts lie above it: first lines alone, newest first."""
    statement = (
        select(DAYBOOK.c.number)
        .where(DAYBOOK.c.number <= newest, DAYBOOK.c.line == 0)
        .order_by(DAYBOOK.c.number.desc())
        .limit(limit)
    )
    rows = reading.run(statement)
    return int(rows[-1][0]) - 1 if rows else 0


def is_undone(reading: Reading, number: int) -> bool:
    """Whether an entry has been taken back, and not been done again since."""
    statement = select(DAYBOOK.c.number).where(DAYBOOK.c.undoes == number)
    return any(not is_undone(reading, int(row[0])) for row in reading.run(statement))
