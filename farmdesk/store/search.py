"""Looking for a name or a note in any kind of thing, within bounds that keep it quick."""

from __future__ import annotations

from typing import Any

from sqlalchemy import ColumnElement, and_, func, or_, select

from farmdesk.domain.things import CATALOGUE
from farmdesk.store.schema import DAYBOOK, TABLES
from farmdesk.store.transaction import Reading

NEWEST = 100_000
"""Notes, and names by their middle, are looked for in so many of the newest things of a kind."""


def names_like(reading: Reading, kind: str, text: str, limit: int) -> list[tuple[int, str]]:
    """(id, name) of things whose name begins with a text in capitals; then those that hold it."""
    table = TABLES[kind]
    name, thing = table.c.name, table.c.id
    columns = select(thing, name)
    begins = columns.where(_begins(reading, name, text)).order_by(name.desc()).limit(limit)
    found = {row[0]: row[1] for row in reading.run(begins)}
    if len(found) < limit:
        holds = columns.where(name.like(f"%{_escaped(text)}%", escape="\\"), _newest(reading, kind))
        holds = holds.order_by(thing.desc()).limit(limit)
        found |= {row[0]: row[1] for row in reading.run(holds) if row[0] not in found}
    return list(found.items())[:limit]


def bags_like(
    reading: Reading, batch: str, number: str, limit: int
) -> list[tuple[int, str, int, str]]:
    """(id, batch name, number, stage) of a batch's bags whose number begins so, as written."""
    bag, batches = TABLES["bag"].c, TABLES["batch"].c
    statement = (
        select(bag.id, batches.name, bag.number, bag.stage)
        .join(TABLES["batch"], batches.id == bag.batch)
        .where(batches.name == batch)
        .order_by(bag.number)
    )
    rows = [tuple(row) for row in reading.run(statement)]
    return [row for row in rows if f"{row[2]:03d}".startswith(number)][:limit]


def stages_of(reading: Reading, batches: list[int]) -> dict[int, set[str]]:
    """The stages that the bags of some batches are in."""
    bag = TABLES["bag"].c
    statement = select(bag.batch, bag.stage).where(bag.batch.in_(batches)).distinct()
    stages: dict[int, set[str]] = {}
    for batch, stage in reading.run(statement):
        stages.setdefault(batch, set()).add(stage)
    return stages


def kinds_with_notes() -> tuple[str, ...]:
    """Kinds of thing that happened and carry a note; the catalogue is short and read whole."""
    return tuple(kind for kind in TABLES if kind not in CATALOGUE and "note" in TABLES[kind].c)


def notes_like(reading: Reading, kind: str, words: list[str], limit: int) -> list[Any]:
    """Rows (id, note) of the newest things of a kind whose note holds all words."""
    table = TABLES[kind]
    statement = (
        select(table.c.id, table.c.note)
        .where(table.c.note != "", _newest(reading, kind))
        .where(*(_holds(reading, table.c.note, word) for word in words))
        .order_by(table.c.id.desc())
        .limit(limit)
    )
    return reading.run(statement)


def written_notes_like(reading: Reading, words: list[str], limit: int) -> list[Any]:
    """Rows (subject, text) of the newest notes about things that hold all words."""
    table = TABLES["note"]
    statement = (
        select(table.c.subject, table.c.text)
        .where(_newest(reading, "note"))
        .where(*(_holds(reading, table.c.text, word) for word in words))
        .order_by(table.c.id.desc())
        .limit(limit)
    )
    return reading.run(statement)


def act_notes_like(reading: Reading, words: list[str], limit: int) -> list[Any]:
    """Rows (number, note) of the newest acts of the day book whose note holds all words."""
    book = DAYBOOK.c
    statement = (
        select(func.min(book.number), book.note)
        .where(book.note != "", book.number > reading.last_number() - NEWEST)
        .where(*(_holds(reading, book.note, word) for word in words))
        .group_by(book.act, book.note)
        .order_by(func.min(book.number).desc())
        .limit(limit)
    )
    return reading.run(statement)


def _is_sqlite(reading: Reading) -> bool:
    return reading.connection.dialect.name == "sqlite"


def _begins(reading: Reading, column: Any, text: str) -> ColumnElement[bool]:
    if _is_sqlite(reading):
        # A range uses the index of unique names; LIKE, which minds no letter case, would not.
        return and_(column >= text, column < text + "\U0010ffff")
    begins: ColumnElement[bool] = column.like(f"{_escaped(text)}%", escape="\\")
    return begins


def _newest(reading: Reading, kind: str) -> ColumnElement[bool]:
    thing = TABLES[kind].c.id
    highest = reading.run(select(func.max(thing)))[0][0]
    newest: ColumnElement[bool] = thing > (highest or 0) - NEWEST
    return newest


def _holds(reading: Reading, column: Any, word: str) -> ColumnElement[bool]:
    """A word in any letter case; SQLite knows the case of a to z only, so some forms are tried."""
    if not _is_sqlite(reading):
        holds: ColumnElement[bool] = column.ilike(f"%{_escaped(word)}%", escape="\\")
        return holds
    forms = {word} if word.isascii() else {word, word.lower(), word.upper(), word.capitalize()}
    return or_(*(column.like(f"%{_escaped(one)}%", escape="\\") for one in sorted(forms)))


def _escaped(text: str) -> str:
    return "".join("\\" + sign if sign in "%_\\" else sign for sign in text)
