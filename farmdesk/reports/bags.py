"""The list of bags, which may be a million long: read by id, a page at a time."""

from __future__ import annotations

from array import array
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Protocol

from farmdesk.domain.bags import Bag
from farmdesk.domain.catalogue import Reason
from farmdesk.domain.codes import bag_name, code_of
from farmdesk.domain.stages import ALIVE
from farmdesk.paper.tables import Column, Table
from farmdesk.quantities.times import age_days
from farmdesk.reports.farm_terms import FarmTerms, read_terms
from farmdesk.store.bag_list import BagScope, bag_ids, bags_by_id
from farmdesk.store.farm_store import FarmStore
from farmdesk.store.transaction import Reading
from farmdesk.wording.language import tr
from farmdesk.wording.states import say_state

_AT_ONCE = 500
COLUMNS = (
    Column("name", tr("Bag")),
    Column("code", tr("Code"), "code"),
    Column("species", tr("Species")),
    Column("stage", tr("Stage")),
    Column("stage_since", tr("Since"), "instant"),
    Column("days", tr("Days so"), "integer"),
    Column("room", tr("Room")),
    Column("shelf", tr("Shelf")),
    Column("looked_on", tr("Looked at"), "day"),
    Column("opened_on", tr("Opened"), "day"),
    Column("flush", tr("Flush"), "integer"),
    Column("picked_on", tr("Picked"), "day"),
    Column("slow", tr("Slow"), "flag"),
    Column("reason", tr("Reason")),
    Column("note", tr("Note")),
)


class Order(Protocol):
    """The order asked of a list: a column's key, or '' for its own, and whether backwards."""

    @property
    def column(self) -> str:
        """The column's key."""

    @property
    def descending(self) -> bool:
        """Whether the largest comes first."""


@dataclass(frozen=True)
class BagRow:
    """One bag as a row; `days` is how long it has been in its stage."""

    id: int
    code: str
    name: str
    batch: int
    species: str
    stage: str
    stage_since: str
    days: int | None
    room: str
    shelf: str
    looked_on: str | None
    opened_on: str | None
    flush: int
    picked_on: str | None
    slow: bool
    reason: str
    note: str


class BagSource:
    """Bags of a batch, a room or the farm for a list; every method reads for itself."""

    def __init__(self, store: FarmStore, scope: BagScope | None = None) -> None:
        self._store = store
        self._scope = BagScope(stages=ALIVE) if scope is None else scope

    def first_page(self, order: Order, words: str, limit: int) -> Sequence[BagRow]:
        """The first rows in this order that hold all words."""
        with self._store.reading() as reading:
            ids = bag_ids(
                reading,
                self._scope,
                words=words,
                column=order.column,
                descending=order.descending,
                limit=limit,
            )
            return [row for row in bag_rows(reading, ids) if row is not None]

    def ids(self, order: Order, words: str) -> array[int]:
        """The ids of all rows that hold all words, in this order."""
        with self._store.reading() as reading:
            return bag_ids(
                reading,
                self._scope,
                words=words,
                column=order.column,
                descending=order.descending,
            )

    def rows(self, ids: Sequence[int]) -> Sequence[BagRow | None]:
        """The rows with these ids, in their order; None for a bag that is gone."""
        with self._store.reading() as reading:
            return bag_rows(reading, ids)


def bag_rows(reading: Reading, ids: Sequence[int]) -> list[BagRow | None]:
    """Rows of bags in the order of their ids; None for one that is gone."""
    terms = read_terms(reading)
    reasons = {one.id: one.name for one in reading.all(Reason)}
    rows: list[BagRow | None] = []
    for at in range(0, len(ids), _AT_ONCE):
        part = ids[at : at + _AT_ONCE]
        found = bags_by_id(reading, part)
        rows += [_row(*found[one], terms, reasons) if one in found else None for one in part]
    return rows


def bags_table(reading: Reading, scope: BagScope | None = None) -> Table:
    """All bags of a scope (the live ones of the farm) as a table whose rows come in pages."""
    ids = bag_ids(reading, BagScope(stages=ALIVE) if scope is None else scope)
    return Table("bags", tr("Bags"), COLUMNS, _values(reading, ids))


def _values(reading: Reading, ids: Sequence[int]) -> Iterator[tuple[object, ...]]:
    for at in range(0, len(ids), _AT_ONCE):
        for row in bag_rows(reading, ids[at : at + _AT_ONCE]):
            if row is not None:
                told = replace(row, stage=say_state(row.stage))
                yield tuple(getattr(told, column.key) for column in COLUMNS)


def _row(bag: Bag, batch: str, species: int, terms: FarmTerms, reasons: dict[int, str]) -> BagRow:
    zone = terms.farm.zone
    days = age_days(bag.stage_since, terms.today, zone) if bag.stage_since else None
    return BagRow(
        id=bag.id,
        code=code_of(bag.id),
        name=bag_name(batch, bag.number),
        batch=bag.batch,
        species=terms.species_name(species),
        stage=bag.stage,
        stage_since=bag.stage_since,
        days=days,
        room=terms.room_name(bag.room),
        shelf=bag.shelf,
        looked_on=bag.looked_on,
        opened_on=bag.opened_on,
        flush=bag.flush,
        picked_on=bag.picked_on,
        slow=bool(bag.slow),
        reason=reasons.get(bag.reason or 0, ""),
        note=bag.note,
    )
