"""How bags lived: their days from inoculation to the first pick, and who was not seen lately."""

from __future__ import annotations

from collections import Counter
from typing import Any, NamedTuple

from sqlalchemy import Select, String, and_, bindparam, case, func, literal, select
from sqlalchemy.sql.expression import literal_column

from farmdesk.domain.stages import ALIVE, INCUBATING, VOID
from farmdesk.store.outcomes import IS_BAD, in_days, kept, spawn_column
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
    """The days of bags that are alike in all of them; `spawn` is None unless it was asked for.

    `before_look` is the last look before the one that found them colonised or contaminated.
    """

    batch: int
    stage: str
    stage_since: str
    looked_on: str | None
    colonised_on: str | None
    opened_on: str | None
    is_bad: bool
    before_look: str | None
    first_pick_at: str | None
    pinned_on: str | None
    spawn: int | None = None


class GrowingBag(NamedTuple):
    """A bag that still grows in."""

    batch: int
    number: int
    looked_on: str | None


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


def count_lives(
    reading: Reading, first: str, last: str, *, by_spawn: bool = False
) -> Counter[BagLife]:
    """Bags of these days counted by how they lived; the look before comes from the day book.

    What is done to many bags at once makes them alike, so that these are far fewer than bags.
    """
    rows = reading.rows(("bag_lives", by_spawn), kept(_bag_lives, by_spawn), first=first, last=last)
    found: Counter[BagLife] = Counter()
    for row, bags in Counter(map(tuple, rows)).items():
        life = BagLife._make((*row[:6], bool(row[6]), _day_in(row[7], _LOOKED), *row[8:]))
        found[life] += bags
    return found


def growing_bags(reading: Reading, first: str, last: str) -> list[GrowingBag]:
    """The bags of these days that still grow in."""
    rows = reading.rows("growing_bags", _growing_bags, first=first, last=last)
    return [GrowingBag._make(row) for row in rows]


def bags_unseen(reading: Reading, day: str, *, most: int) -> list[UnseenBag]:
    """Live bags that nobody saw on a day or after it, longest unseen first."""
    rows = reading.rows("bags_unseen", _bags_unseen, day=day, most=most)
    return [UnseenBag._make(row) for row in rows]


def rooms_begun(reading: Reading, first: str, last: str) -> dict[int, int]:
    """The room in which each batch was put when it was inoculated, from the day book."""
    rows = reading.rows("rooms_begun", _rooms_begun, first=first, last=last)
    found = ((row[0], _number_in(row[1], '"room":')) for row in rows)
    return {batch: room for batch, room in found if room is not None}


def _bag_lives(by_spawn: bool) -> Select[Any]:
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
            _BAG.batch, _BAG.stage, _BAG.stage_since, _BAG.looked_on, _BAG.colonised_on,
            _BAG.opened_on,
            case((IS_BAD, _ONE), else_=_ZERO),
            before,
            case((_BAG.picked_on.is_not(None), first_pick)),
            _BAG.pinned_on,
            spawn_column(by_spawn),
        )
        .select_from(TABLES["batch"])
        .join(TABLES["bag"], and_(_BAG.batch == _BATCH.id, _BAG.stage != VOID))
        .outerjoin(TABLES["reason"], _REASON.id == _BAG.reason)
        .where(in_days())
        .order_by(_BAG.id)
    )  # fmt: skip


def _growing_bags() -> Select[Any]:
    return (
        select(_BAG.batch, _BAG.number, _BAG.looked_on)
        .select_from(TABLES["batch"])
        .join(TABLES["bag"], _BAG.batch == _BATCH.id)
        .where(in_days(), _BAG.stage == literal_column(f"'{INCUBATING}'"))
        .order_by(_BAG.batch, _BAG.number)
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
