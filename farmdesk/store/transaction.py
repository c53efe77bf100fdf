"""One transaction: things in and out, and the day book written with them in one commit."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator, Mapping, Sequence
from typing import Any, TypeVar

from sqlalchemy import Connection, Select, bindparam, delete, func, insert, select, update
from sqlalchemy.exc import IntegrityError
from sqlalchemy.sql import ClauseElement

from farmdesk.domain.cells import Cells, Thing, columns_of, maker_of, to_cells
from farmdesk.domain.events import Entry, read_cells, write_cells
from farmdesk.domain.things import KIND_OF, THINGS
from farmdesk.store.prepared import Prepared
from farmdesk.store.schema import COUNTER, DAYBOOK, TABLES
from farmdesk.store.stopping import StopSign
from farmdesk.wording.formats import Formats

T = TypeVar("T", bound=Thing)
_ENTRY_COLUMNS = tuple(column.name for column in DAYBOOK.columns)


class ActRepeated(Exception):
    """An act with this id is in the day book already: it counts once."""


class Statements:
    """The prepared statements of one database, made at first use and kept."""

    def __init__(self, dialect: Any) -> None:
        self.dialect = dialect
        self._kept: dict[Any, Prepared] = {}

    def get(self, key: Any, make: Any) -> Prepared:
        """The statement kept under a key, made by `make()` when it is first wanted."""
        found = self._kept.get(key)
        if found is None:
            found = self._kept[key] = Prepared(make(), self.dialect)
        return found


class Reading:
    """Questions to the farm inside one transaction; rows come back as things."""

    def __init__(
        self,
        connection: Connection,
        statements: Statements,
        sign: StopSign | None = None,
        formats: Formats | None = None,
    ) -> None:
        self.connection = connection
        self.statements = statements
        self.formats = formats
        self._sign = sign

    def go_on(self) -> None:
        """Raise Stopped when nobody waits for the answer any more; call it between long sums."""
        if self._sign is not None:
            self._sign.check()

    def get(self, cls: type[T], thing_id: int) -> T | None:
        """The thing with this id, or None."""
        kind = KIND_OF[cls]
        statement = self.statements.get(("get", kind), lambda: _select_by_id(kind))
        row = statement.run_one(self.connection, {"wanted": thing_id})
        return None if row is None else maker_of(cls)(row)

    def all(self, cls: type[T], **where: object) -> list[T]:
        """All things whose fields equal these values, in the order of their ids."""
        kind = KIND_OF[cls]
        names = tuple(where)
        statement = self.statements.get(("all", kind, names), lambda: _select_where(kind, names))
        make = maker_of(cls)
        values = {f"w_{name}": value for name, value in where.items()}
        return [make(row) for row in statement.run(self.connection, values).fetchall()]

    def first(self, cls: type[T], **where: object) -> T | None:
        """The first thing whose fields equal these values, or None."""
        found = self.all(cls, **where)
        return found[0] if found else None

    def select(self, cls: type[T], statement: Select[Any]) -> list[T]:
        """Things from a statement over all columns of their table."""
        make = maker_of(cls)
        return [make(tuple(row)) for row in self.connection.execute(statement)]

    def rows(self, key: Any, make: Any, **values: object) -> list[Any]:
        """Rows of a kept statement; `make` builds it the first time. Keys are a module's own."""
        self.go_on()
        statement = self.statements.get((make.__module__, key), make)
        return list(statement.run(self.connection, values).fetchall())

    def run(self, statement: ClauseElement, values: Mapping[str, Any] | None = None) -> list[Any]:
        """Rows of a statement that is asked for too rarely to be kept."""
        self.go_on()
        return list(self.connection.execute(statement, values or {}))  # type: ignore[call-overload]

    def stream(self, statement: Select[Any], *, at_once: int = 1_000) -> Iterator[Any]:
        """Rows of a statement, read as they are asked for; never all of them at the same time."""
        yield from self.connection.execute(statement, execution_options={"yield_per": at_once})

    def entries(self, statement: Select[Any] | None = None) -> Iterator[Entry]:
        """The whole day book in order, read as it is asked for; or entries of a statement."""
        if statement is not None:
            yield from [read_entry(row) for row in self.connection.execute(statement).fetchall()]
            return
        whole = select(DAYBOOK).order_by(DAYBOOK.c.number)
        for row in self.connection.execute(whole, execution_options={"yield_per": 2000}):
            yield read_entry(row)

    def entries_of_act(self, act: str) -> list[Entry]:
        """The entries one act wrote, in order."""
        return list(
            self.entries(select(DAYBOOK).where(DAYBOOK.c.act == act).order_by(DAYBOOK.c.line))
        )

    def entry(self, number: int) -> Entry | None:
        """The entry with this running number, or None."""
        return next(iter(self.entries(select(DAYBOOK).where(DAYBOOK.c.number == number))), None)

    def last_number(self) -> int:
        """The day book's highest number, 0 when it is empty."""
        return int(self.connection.execute(select(func.max(DAYBOOK.c.number))).scalar() or 0)


class Writing(Reading):
    """A transaction that changes things; entries are collected and written before the commit."""

    def __init__(self, connection: Connection, statements: Statements) -> None:
        super().__init__(connection, statements)
        self._next: int | None = None

    def insert(self, thing: Thing) -> None:
        """Put a new thing into its table."""
        kind = KIND_OF[type(thing)]
        statement = self.statements.get(("insert", kind), lambda: insert(TABLES[kind]))
        statement.run_one(self.connection, to_cells(thing))

    def insert_cells(self, kind: str, rows: Sequence[Cells]) -> None:
        """Put many new things of one kind into their table."""
        statement = self.statements.get(("insert", kind), lambda: insert(TABLES[kind]))
        statement.run_many(self.connection, rows)

    def update_cells(self, kind: str, subject: int, other: int, cells: Cells) -> None:
        """Set some fields of a thing."""
        names = tuple(cells)
        statement = self.statements.get(("update", kind, names), lambda: _update(kind, names))
        values: dict[str, Any] = {f"v_{name}": value for name, value in cells.items()}
        values["k_subject"] = subject
        if kind == "link":
            values["k_other"] = other
        statement.run_one(self.connection, values)

    def update_many(self, kind: str, rows: Sequence[tuple[int, Cells]]) -> None:
        """Set the same fields of many things of one kind, given by id, in one go."""
        if not rows:
            return
        names = tuple(rows[0][1])
        statement = self.statements.get(("update", kind, names), lambda: _update(kind, names))
        statement.run_many(
            self.connection,
            [
                {"k_subject": subject, **{f"v_{name}": cells[name] for name in names}}
                for subject, cells in rows
            ],
        )

    def delete_thing(self, kind: str, subject: int, other: int) -> None:
        """Take a thing out of its table."""
        statement = self.statements.get(("delete", kind), lambda: _delete(kind))
        values = {"k_subject": subject}
        if kind == "link":
            values["k_other"] = other
        statement.run(self.connection, values)

    def next_id(self, kind: str, first: int) -> int:
        """The next free id of a kind, counted up; `first` is where the kind begins."""
        row = self.connection.execute(
            select(COUNTER.c.next).where(COUNTER.c.kind == kind)
        ).fetchone()
        found = first if row is None else int(row[0])
        self.set_counter(kind, found + 1, is_new=row is None)
        return found

    def set_counter(self, kind: str, value: int, *, is_new: bool) -> None:
        """Set a kind's next free id."""
        if is_new:
            self.connection.execute(insert(COUNTER).values(kind=kind, next=value))
        else:
            self.connection.execute(
                update(COUNTER).where(COUNTER.c.kind == kind).values(next=value)
            )

    def append(self, entries: Sequence[Entry]) -> list[Entry]:
        """Write entries with the next running numbers; raises ActRepeated for a known act."""
        statement = self.statements.get("append", lambda: insert(DAYBOOK))
        number = self.next_number()
        numbered = [_numbered(entry, number + at) for at, entry in enumerate(entries)]
        try:
            if len(numbered) == 1:
                statement.run_one(self.connection, _entry_row(numbered[0]))
            else:
                statement.run_many(self.connection, [_entry_row(one) for one in numbered])
        except (IntegrityError, sqlite3.IntegrityError) as error:
            raise ActRepeated(entries[0].act) from error
        self._next = number + len(numbered)
        return numbered

    def restore_entries(self, entries: Sequence[Entry]) -> None:
        """Write entries with the numbers they have; for building a farm from its day book."""
        statement = self.statements.get("append", lambda: insert(DAYBOOK))
        statement.run_many(self.connection, [_entry_row(entry) for entry in entries])

    def next_number(self) -> int:
        """The running number that the next entry will have; asked once in a transaction."""
        if self._next is None:
            statement = self.statements.get(
                "last_number", lambda: select(func.coalesce(func.max(DAYBOOK.c.number), 0))
            )
            row = statement.run_one(self.connection, {})
            self._next = int(row[0]) + 1 if row else 1
        return self._next


def read_entry(row: Any) -> Entry:
    """A day book row as an entry."""
    values = list(row)
    values[7] = read_cells(values[7])
    values[8] = read_cells(values[8])
    return Entry(*values)


def _numbered(entry: Entry, number: int) -> Entry:
    return Entry(**{**vars(entry), "number": number})


def _entry_row(entry: Entry) -> dict[str, Any]:
    row = dict(entry.__dict__)
    row["before"] = write_cells(entry.before)
    row["after"] = write_cells(entry.after)
    return row


def _select_by_id(kind: str) -> Select[Any]:
    table = TABLES[kind]
    return select(table).where(table.c.id == bindparam("wanted"))


def _select_where(kind: str, names: tuple[str, ...]) -> Select[Any]:
    table = TABLES[kind]
    statement = select(table)
    for name in names:
        statement = statement.where(table.c[name] == bindparam(f"w_{name}"))
    if kind == "link":
        return statement.order_by(table.c.child, table.c.parent)
    return statement.order_by(table.c.id)


def _key_clause(kind: str) -> list[Any]:
    table = TABLES[kind]
    if kind == "link":
        return [
            table.c.child == bindparam("k_subject"),
            table.c.parent == bindparam("k_other"),
        ]
    return [table.c.id == bindparam("k_subject")]


def _update(kind: str, names: tuple[str, ...]) -> Any:
    table = TABLES[kind]
    values: dict[str, Any] = {name: bindparam(f"v_{name}") for name in names}
    return update(table).where(*_key_clause(kind)).values(values)


def _delete(kind: str) -> Any:
    return delete(TABLES[kind]).where(*_key_clause(kind))


def key_of(thing: Thing) -> tuple[str, int, int]:
    """(kind, id, parent id for links) of a thing."""
    kind = KIND_OF[type(thing)]
    cells: Any = thing
    if kind == "link":
        return kind, cells.child, cells.parent
    return kind, cells.id, 0


def key_of_cells(kind: str, cells: Cells) -> tuple[str, int, int]:
    """(kind, id, parent id for links) of a row of cells."""
    if kind == "link":
        return kind, int(str(cells["child"])), int(str(cells["parent"]))
    return kind, int(str(cells["id"])), 0


def all_cells(reading: Reading, kind: str) -> Iterator[Cells]:
    """Every row of a kind's table as cells, in the order of the key."""
    table = TABLES[kind]
    names = [column.name for column in columns_of(THINGS[kind])]
    order = [table.c.child, table.c.parent] if kind == "link" else [table.c.id]
    statement = select(*[table.c[name] for name in names]).order_by(*order)
    for row in reading.connection.execute(statement, execution_options={"yield_per": 2000}):
        yield dict(zip(names, row, strict=True))
