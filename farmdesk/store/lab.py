"""Questions of the lab: what became of a heat run, and which labels were printed before."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any, TypeVar

from sqlalchemy import Select, bindparam, func, select

from farmdesk.domain.cells import Thing
from farmdesk.domain.things import KIND_OF
from farmdesk.store.schema import TABLES
from farmdesk.store.transaction import Reading

T = TypeVar("T", bound=Thing)
_AT_ONCE = 500
_BATCH = TABLES["batch"].c
_LINK = TABLES["link"].c
_PRINTING = TABLES["printing"].c


def blocks_taken_from(reading: Reading, run: int) -> int:
    """How many blocks of a heat run have been inoculated."""
    rows = reading.rows("blocks_taken_from", _blocks_taken_from, run=run)
    return int(rows[0][0])


def parents_of(reading: Reading, child: int) -> list[int]:
    """The ids that a thing was made from, in order."""
    return [row[0] for row in reading.rows("parents_of", _parents_of, child=child)]


def printed_before(reading: Reading, ids: Iterable[int]) -> set[int]:
    """Those of these things that have had a label before."""
    wanted: Sequence[int] = list(ids)
    found: set[int] = set()
    for at in range(0, len(wanted), _AT_ONCE):
        part = wanted[at : at + _AT_ONCE]
        statement = select(_PRINTING.subject).where(_PRINTING.subject.in_(part)).distinct()
        found.update(row[0] for row in reading.run(statement))
    return found


def things_by_id(reading: Reading, cls: type[T], ids: Iterable[int]) -> dict[int, T]:
    """The things of a kind with these ids; ids of no such thing are left out."""
    table = TABLES[KIND_OF[cls]]
    wanted = list(dict.fromkeys(ids))
    found: dict[int, T] = {}
    for at in range(0, len(wanted), _AT_ONCE):
        statement = select(table).where(table.c.id.in_(wanted[at : at + _AT_ONCE]))
        for one in reading.select(cls, statement):
            known: Any = one
            found[known.id] = one
    return found


def parents_of_many(reading: Reading, children: Iterable[int]) -> dict[int, list[int]]:
    """The ids that each of many things was made from, in order."""
    wanted = list(children)
    found: dict[int, list[int]] = {}
    for at in range(0, len(wanted), _AT_ONCE):
        statement = (
            select(_LINK.child, _LINK.parent)
            .where(_LINK.child.in_(wanted[at : at + _AT_ONCE]))
            .order_by(_LINK.child, _LINK.parent)
        )
        for child, parent in reading.run(statement):
            found.setdefault(child, []).append(parent)
    return found


def _blocks_taken_from() -> Select[Any]:
    return select(func.coalesce(func.sum(_BATCH.made), 0)).where(_BATCH.run == bindparam("run"))


def _parents_of() -> Select[Any]:
    return select(_LINK.parent).where(_LINK.child == bindparam("child")).order_by(_LINK.parent)
