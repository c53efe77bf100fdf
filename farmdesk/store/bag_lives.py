"""Bags one by one: their days from inoculation to the first pick, and who was not seen lately."""

from __future__ import annotations

from typing import Any, NamedTuple

from sqlalchemy import Select, String, and_, bindparam, case, func, literal, select
from sqlalchemy.sql.expression import literal_column

from farmdesk.domain.stages import ALIVE, VOID
from farmdesk.store.outcomes import FIRST_SPAWN, IS_BAD, LAST_SPAWN, in_days
from farmdesk.store.schema import DAYBOOK, TABLES
from farmdesk.store.transaction import Reading

_BAG = TABLES["bag"].c
_BATCH = TABLES["batch"].c
_LINK = TABLES["link"].c
_PICK = TABLES["pick"].c
_REASON = TABLES["reason"].c

_ZERO: Any = literal_column("0")
_ONE: Any = literal_column("1")
_LOOKED = '"looked_on":"'
_DAY_SIGNS = 10


class BagLife(NamedTuple):
    """One bag's days: `before_look` is the last look before the one that found it so.

    `outcome_on` is the day on which it was found colonised or contaminated, else the last look.
    """

    id: int
    batch: int
    number: int
    stage: str
    stage_since: str
    looked_on: str | None
    colonised_on: str | None
    opened_on: str | None
    is_bad: bool
    before_look: str | None
    first_pick_at: str | None
    pinned_on: str | None


class UnseenBag(NamedTuple):
    """A live bag that was not seen since a day, which is that of its inoculation at least."""

    id: int
    batch: int
    batch_name: str
    number: int
    stage: str
    room: int | None
    seen_on: str
    slow: int


def bag_lives(reading: Reading, first: str, last: str) -> list[BagLife]:
    """Every bag with its days; the last look before comes from the day book."""
    rows = reading.rows("bag_lives", _bag_lives, first=first, last=last)
    return [
        BagLife._make((*row[:8], bool(row[8]), _day_in(row[9], _LOOKED), *row[10:])) for row in rows
    ]


def spawn_of_bags(reading: Reading, first: str, last: str) -> dict[int, int]:
    """The spawn that each bag got; the first of several."""
    rows = reading.rows("spawn_of_bags", _spawn_of_bags, first=first, last=last)
    return {row[0]: row[1] for row in rows}


def bags_unseen(reading: Reading, day: str, *, most: int) -> list[UnseenBag]:
    """Live bags that nobody saw on a day or after it, longest unseen first."""
    rows = reading.rows("bags_unseen", _bags_unseen, day=day, most=most)
    return [UnseenBag._make(row) for row in rows]


def rooms_begun(reading: Reading, first: str, last: str) -> dict[int, int]:
    """The room in which each batch was put when it was inoculated, from the day book."""
    rows = reading.rows("rooms_begun", _rooms_begun, first=first, last=last)
    found = ((row[0], _number_in(row[1], '"room":')) for row in rows)
    return {batch: room for batch, room in found if room is not None}


def _bag_lives() -> Select[Any]:
    found_on = func.coalesce(_BAG.colonised_on, _BAG.looked_on, literal_column("'-'"))
    wanted = literal(f"%{_LOOKED}", String) + found_on + literal('"%', String)
    before = (
        select(DAYBOOK.c.before)
        .where(DAYBOOK.c.subject == _BAG.id, DAYBOOK.c.after.like(wanted))
        .order_by(DAYBOOK.c.number)
        .limit(1)
        .correlate(TABLES["bag"])
        .scalar_subquery()
    )
    first_pick = (
        select(func.min(_PICK.picked_at))
        .select_from(TABLES["link"])
        .join(TABLES["pick"], _PICK.id == _LINK.child)
        .where(_LINK.parent == _BAG.id)
        .correlate(TABLES["bag"])
        .scalar_subquery()
    )
    return (
        select(
            _BAG.id, _BAG.batch, _BAG.number, _BAG.stage, _BAG.stage_since, _BAG.looked_on,
            _BAG.colonised_on, _BAG.opened_on,
            case((IS_BAD, _ONE), else_=_ZERO),
            before,
            case((_BAG.picked_on.is_not(None), first_pick)),
            _BAG.pinned_on,
        )
        .select_from(TABLES["batch"])
        .join(TABLES["bag"], and_(_BAG.batch == _BATCH.id, _BAG.stage != VOID))
        .outerjoin(TABLES["reason"], _REASON.id == _BAG.reason)
        .where(in_days())
        .order_by(_BAG.id)
    )  # fmt: skip


def _spawn_of_bags() -> Select[Any]:
    return (
        select(_BAG.id, func.min(_LINK.parent))
        .select_from(TABLES["batch"])
        .join(TABLES["bag"], _BAG.batch == _BATCH.id)
        .join(TABLES["link"], _LINK.child == _BAG.id)
        .where(in_days(), _LINK.parent.between(FIRST_SPAWN, LAST_SPAWN))
        .group_by(_BAG.id)
    )


def _bags_unseen() -> Select[Any]:
    alive = [literal(stage) for stage in ALIVE]
    looked = func.coalesce(_BAG.looked_on, _BATCH.inoculated_on)
    # Who picks a bag sees it.
    seen = case((_BAG.picked_on > looked, _BAG.picked_on), else_=looked)
    return (
        select(
            _BAG.id, _BAG.batch, _BATCH.name, _BAG.number, _BAG.stage, _BAG.room, seen, _BAG.slow
        )
        .select_from(TABLES["bag"])
        .join(TABLES["batch"], _BATCH.id == _BAG.batch)
        .where(_BAG.stage.in_(alive), seen < bindparam("day"))
        .order_by(seen, _BAG.id)
        .limit(bindparam("most"))
    )  # fmt: skip


def _rooms_begun() -> Select[Any]:
    first_bag = (
        select(func.min(_BAG.id)).where(_BAG.batch == _BATCH.id).correlate(TABLES["batch"])
    ).scalar_subquery()
    return (
        select(_BATCH.id, DAYBOOK.c.after)
        .select_from(TABLES["batch"])
        .join(DAYBOOK, DAYBOOK.c.subject == first_bag)
        .where(in_days(), DAYBOOK.c.kind == literal("bag_made"))
    )


def _day_in(cells: str | None, mark: str) -> str | None:
    """The day that follows a mark in the text of some cells; None when it is not there."""
    if not cells:
        return None
    at = cells.find(mark)
    return None if at < 0 else cells[at + len(mark) : at + len(mark) + _DAY_SIGNS]


def _number_in(cells: str, mark: str) -> int | None:
    at = cells.find(mark)
    if at < 0:
        return None
    digits = cells[at + len(mark) :].split(",", maxsplit=1)[0].rstrip("}")
    return int(digits) if digits.isdigit() else None
