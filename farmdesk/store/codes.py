"""From a name or code to the thing: which id a name has, and what a missing id may be."""

from __future__ import annotations

from typing import Any

from sqlalchemy import Select, bindparam, literal_column, select

from farmdesk.domain.codes import DELIVERY_IDS, DIGITS, make_id
from farmdesk.store.schema import COUNTER, DAYBOOK, TABLES
from farmdesk.store.transaction import Reading

_KINDS = {
    "C": "culture",
    "S": "spawn",
    "R": "run",
    "P": "pick",
    "K": "pack",
    "O": "order",
    "D": "delivery",
    "I": "invoice",
}


def find_named(reading: Reading, name: str, number: int | None = None) -> tuple[str, int] | None:
    """(kind, id) of the thing with a name in capitals; with `number`, that bag of the batch."""
    if number is not None:
        rows = reading.rows(("bag_named",), _select_bag, w_name=name, w_number=number)
        return ("bag", int(rows[0][0])) if rows else None
    kind = _KINDS.get(name[0], "batch") if name[1:2] == "-" else "batch"
    rows = reading.rows(("named", kind), lambda: _select_named(kind), w_name=name)
    return (kind, int(rows[0][0])) if rows else None


def next_ids(reading: Reading) -> dict[str, int]:
    """The next free id of each kind that has had one."""
    return {row[0]: int(row[1]) for row in reading.run(select(COUNTER.c.kind, COUNTER.c.next))}


def has_changed(reading: Reading, number: int, kinds: tuple[str, ...]) -> bool:
    """Whether the day book tells of one of these kinds of thing from this number on."""
    statement = reading.statements.get(("has_changed", kinds), lambda: _select_change(kinds))
    return statement.run_one(reading.connection, {"w_number": number}) is not None


def why_missing(reading: Reading, kind: str, thing_id: int, first_serial: int) -> str:
    """Why a valid code names nothing here: the code of the sentence that says so."""
    first = make_id(kind, first_serial) if kind in DIGITS else DELIVERY_IDS
    if thing_id < first:
        return "code_of_other_farm"
    if thing_id >= next_ids(reading).get(kind, first):
        return "code_never_printed"
    return "code_taken_back"


def _select_change(kinds: tuple[str, ...]) -> Select[Any]:
    return (
        select(literal_column("1"))
        .where(
            DAYBOOK.c.number >= bindparam("w_number"),
            DAYBOOK.c.thing.in_([bindparam(None, kind) for kind in kinds]),
        )
        .limit(literal_column("1"))
    )


def _select_named(kind: str) -> Select[Any]:
    table = TABLES[kind]
    return select(table.c.id).where(table.c.name == bindparam("w_name"))


def _select_bag() -> Select[Any]:
    bag, batch = TABLES["bag"], TABLES["batch"]
    return (
        select(bag.c.id)
        .join(batch, batch.c.id == bag.c.batch)
        .where(batch.c.name == bindparam("w_name"), bag.c.number == bindparam("w_number"))
    )
