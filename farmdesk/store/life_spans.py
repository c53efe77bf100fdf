"""What a picture of a life is drawn from: stages by day, what was picked, where a lot went."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any, NamedTuple

from sqlalchemy import func, select

from farmdesk.domain.events import Entry
from farmdesk.store.schema import DAYBOOK, TABLES
from farmdesk.store.transaction import Reading

_AT_ONCE = 400
_BAG = TABLES["bag"].c
_LINK = TABLES["link"].c
_PICK = TABLES["pick"].c


class PickOf(NamedTuple):
    """A pick and what it took of the bags that were asked about."""

    id: int
    name: str
    picked_at: str
    amount_mg: int
    flush: int


class LotGoing(NamedTuple):
    """Something that left a lot: to a customer, or out of stock for a reason."""

    at: str
    what: str
    amount_mg: int
    packs: int
    is_delivery: bool


def bags_of_batch(reading: Reading, batch: int) -> list[int]:
    """The ids of a batch's bags, voided ones too."""
    rows = reading.run(select(_BAG.id).where(_BAG.batch == batch).order_by(_BAG.id))
    return [row[0] for row in rows]


def entries_about(reading: Reading, thing: str, ids: Sequence[int]) -> list[Entry]:
    """The day book's entries about some things of one kind, in order."""
    found: list[Entry] = []
    for part in _parts(ids):
        statement = select(DAYBOOK).where(DAYBOOK.c.thing == thing, DAYBOOK.c.subject.in_(part))
        found += reading.entries(statement)
    return sorted(found, key=lambda one: one.number)


def picks_of_bags(reading: Reading, bags: Sequence[int]) -> list[PickOf]:
    """What was picked of some bags, pick by pick."""
    sums: dict[int, PickOf] = {}
    for part in _parts(bags):
        rows = reading.run(
            select(_PICK.id, _PICK.name, _PICK.picked_at, func.sum(_LINK.amount_mg),
                   func.max(_LINK.flush))
            .select_from(TABLES["link"])
            .join(TABLES["pick"], _PICK.id == _LINK.child)
            .where(_LINK.parent.in_(part))
            .group_by(_PICK.id, _PICK.name, _PICK.picked_at)
        )  # fmt: skip
        for row in rows:
            old = sums.get(row[0])
            amount = int(row[3]) + (old.amount_mg if old else 0)
            sums[row[0]] = PickOf(row[0], row[1], row[2], amount, int(row[4] or 0))
    return sorted(sums.values(), key=lambda one: (one.picked_at, one.id))


def goings_of_lot(reading: Reading, lot: int) -> list[LotGoing]:
    """Where a lot went, in the order of days."""
    line, delivery = TABLES["delivery_line"].c, TABLES["delivery"].c
    customer, removal, reason = TABLES["customer"].c, TABLES["removal"].c, TABLES["reason"].c
    sold = reading.run(
        select(delivery.delivered_on, customer.name, line.amount_mg, line.count)
        .select_from(TABLES["delivery_line"])
        .join(TABLES["delivery"], delivery.id == line.delivery)
        .join(TABLES["customer"], customer.id == delivery.customer)
        .where(line.lot == lot)
    )
    gone = reading.run(
        select(removal.removed_at, reason.name, removal.amount_mg, removal.count)
        .select_from(TABLES["removal"])
        .join(TABLES["reason"], reason.id == removal.reason)
        .where(removal.lot == lot)
    )
    found = [
        LotGoing(row[0], row[1], int(row[2]), int(row[3]), is_delivery)
        for rows, is_delivery in ((sold, True), (gone, False))
        for row in rows
    ]
    return sorted(found)


def links_among(reading: Reading, ids: Iterable[int]) -> list[tuple[int, int, int]]:
    """(parent, child, mg) of every link between some things."""
    wanted = sorted(set(ids))
    known, found = set(wanted), list[tuple[int, int, int]]()
    for part in _parts(wanted):
        rows = reading.run(
            select(_LINK.parent, _LINK.child, _LINK.amount_mg).where(_LINK.child.in_(part))
        )
        found += [(row[0], row[1], int(row[2])) for row in rows if row[0] in known]
    return found


def parents_of(reading: Reading, ids: Iterable[int]) -> dict[int, int]:
    """What some things were made of at the first hand: the parent, and mg of it in all of them."""
    found: dict[int, int] = {}
    for part in _parts(sorted(set(ids))):
        rows = reading.run(
            select(_LINK.parent, func.sum(_LINK.amount_mg))
            .where(_LINK.child.in_(part))
            .group_by(_LINK.parent)
        )
        for parent, mg in rows:
            found[parent] = found.get(parent, 0) + int(mg or 0)
    return found


def _parts(items: Sequence[Any]) -> Iterable[Sequence[Any]]:
    for at in range(0, len(items), _AT_ONCE):
        yield items[at : at + _AT_ONCE]
