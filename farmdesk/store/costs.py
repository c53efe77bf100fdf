"""What costs are made of: bags and how long they stood, what runs took, spawn, work, picks."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, NamedTuple

from sqlalchemy import Select, and_, bindparam, case, func, literal, select
from sqlalchemy.sql.expression import literal_column

from farmdesk.domain.stages import ALIVE, DISCARDED, LOST, VOID
from farmdesk.store.outcomes import FIRST_SPAWN, LAST_SPAWN, in_days
from farmdesk.store.schema import TABLES
from farmdesk.store.transaction import Reading

_BAG, _BATCH, _LINK, _PICK, _PACK, _REASON, _REMOVAL, _RUN, _PART = (
    TABLES[kind].c
    for kind in (
        "bag", "batch", "link", "pick", "pack", "reason", "removal", "run", "run_ingredient"
    )
)  # fmt: skip
_ZERO: Any = literal_column("0")
_ONE: Any = literal_column("1")
_DAY = 10


class BagEnds(NamedTuple):
    """Bags of a batch that ended on one UTC day (None: still alive); lost ones gave nothing."""

    batch: int
    ended_on: str | None
    is_lost: bool
    bags: int


class RunUse(NamedTuple):
    """What one heat run took of one ingredient."""

    run: int
    run_on: str
    ingredient: int
    amount_mg: int
    lot: str


class SpawnUse(NamedTuple):
    """How much of one bag of spawn went into a batch, and how much that bag was made with."""

    batch: int
    spawn: int
    amount_mg: int
    made_mg: int


class PickedShare(NamedTuple):
    """What a batch gave to a pick, and how much of the whole pick that pick weighed."""

    batch: int
    pick: int
    amount_mg: int
    net_mg: int
    species: int


def bag_ends(reading: Reading, first: str, last: str) -> list[BagEnds]:
    """Bags of batches inoculated in these days, by when they ended and whether they were lost."""
    rows = reading.rows("bag_ends", _bag_ends, first=first, last=last)
    return [BagEnds(row[0], row[1], bool(row[2]), int(row[3])) for row in rows]


def run_uses(reading: Reading) -> list[RunUse]:
    """What every heat run took, in the order of days."""
    return [RunUse._make(row) for row in reading.rows("run_uses", _run_uses)]


def spawn_uses(reading: Reading, first: str, last: str) -> list[SpawnUse]:
    """The spawn in batches inoculated in these days."""
    rows = reading.rows("spawn_uses", _spawn_uses, first=first, last=last)
    return [SpawnUse(row[0], row[1], int(row[2]), int(row[3])) for row in rows]


def picked_shares(reading: Reading, first: str, last: str) -> list[PickedShare]:
    """What batches inoculated in these days gave, pick by pick."""
    rows = reading.rows("picked_shares", _picked_shares, first=first, last=last)
    return [PickedShare(row[0], row[1], int(row[2]), int(row[3]), row[4]) for row in rows]


def minutes_by_day(reading: Reading, first: str, last: str) -> list[tuple[str, str, int]]:
    """(day, task, minutes) of the work noted from a day to another, both counted."""
    rows = reading.rows("minutes_by_day", _minutes_by_day, first=first, last=last)
    return [(row[0], row[1], int(row[2])) for row in rows]


def wasted_of_picks(reading: Reading) -> dict[int, int]:
    """Milligrams thrown away of each pick, loose and in the packs made from it."""
    wasted: dict[int, int] = {}
    for lot, amount in reading.rows("wasted", _wasted):
        wasted[lot] = int(amount)
    for pick, share_mg, net_mg, pack in reading.rows("packed_shares", _packed_shares):
        if pack in wasted and net_mg:
            wasted[pick] = wasted.get(pick, 0) + round(wasted[pack] * share_mg / net_mg)
    return wasted


def packs_made(reading: Reading) -> Iterator[tuple[int, str, int]]:
    """(product, day, packs) of all packs, in the order of days."""
    for product, day, count in reading.rows("packs_made", _packs_made):
        yield product, day, int(count)


def _bag_ends() -> Select[Any]:
    lives = [literal(stage) for stage in ALIVE]
    gone = [literal(stage) for stage in (DISCARDED, LOST)]
    inner = (
        select(
            _BAG.batch.label("batch"),
            case((_BAG.stage.not_in(lives), func.substr(_BAG.stage_since, 1, _DAY))).label("ended"),
            case((and_(_BAG.stage.in_(gone), _BAG.picked_on.is_(None)), _ONE), else_=_ZERO).label(
                "lost"
            ),
        )
        .select_from(TABLES["batch"])
        .join(TABLES["bag"], and_(_BAG.batch == _BATCH.id, _BAG.stage != literal(VOID)))
        .where(in_days())
        .subquery()
    )
    keys = (inner.c.batch, inner.c.ended, inner.c.lost)
    return select(*keys, func.count()).group_by(*keys).order_by(inner.c.batch)


def _run_uses() -> Select[Any]:
    return (
        select(_RUN.id, _RUN.run_on, _PART.ingredient, _PART.amount_mg, _PART.lot)
        .select_from(TABLES["run_ingredient"])
        .join(TABLES["run"], _RUN.id == _PART.run)
        .where(_PART.amount_mg > _ZERO)
        .order_by(_RUN.run_on, _RUN.id, _PART.id)
    )


def _spawn_uses() -> Select[Any]:
    spawn = TABLES["spawn"].c
    return (
        select(_BAG.batch, _LINK.parent, func.sum(_LINK.amount_mg), func.max(spawn.made_mg))
        .select_from(TABLES["batch"])
        .join(TABLES["bag"], _BAG.batch == _BATCH.id)
        .join(TABLES["link"], _LINK.child == _BAG.id)
        .join(TABLES["spawn"], spawn.id == _LINK.parent)
        .where(
            in_days(),
            _LINK.parent.between(FIRST_SPAWN, LAST_SPAWN),
            _BAG.stage != literal(VOID),
        )
        .group_by(_BAG.batch, _LINK.parent)
        .order_by(_BAG.batch, _LINK.parent)
    )


def _picked_shares() -> Select[Any]:
    return (
        select(
            _BAG.batch, _LINK.child, func.sum(_LINK.amount_mg), func.max(_PICK.net_mg),
            func.max(_PICK.species),
        )
        .select_from(TABLES["batch"])
        .join(TABLES["bag"], _BAG.batch == _BATCH.id)
        .join(TABLES["link"], _LINK.parent == _BAG.id)
        .join(TABLES["pick"], _PICK.id == _LINK.child)
        .where(in_days(), _PICK.net_mg.is_not(None))
        .group_by(_BAG.batch, _LINK.child)
        .order_by(_BAG.batch, _LINK.child)
    )  # fmt: skip


def _minutes_by_day() -> Select[Any]:
    work = TABLES["labour"].c
    return (
        select(work.day, work.task, func.sum(work.minutes))
        .where(work.day >= bindparam("first"), work.day <= bindparam("last"))
        .group_by(work.day, work.task)
        .order_by(work.day, work.task)
    )


def _wasted() -> Select[Any]:
    return (
        select(_REMOVAL.lot, func.sum(_REMOVAL.amount_mg))
        .select_from(TABLES["removal"])
        .join(TABLES["reason"], _REASON.id == _REMOVAL.reason)
        .where(_REASON.use == literal("waste"))
        .group_by(_REMOVAL.lot)
    )


def _packed_shares() -> Select[Any]:
    return (
        select(_LINK.parent, _LINK.amount_mg, _PACK.net_mg, _PACK.id)
        .select_from(TABLES["removal"])
        .join(TABLES["reason"], _REASON.id == _REMOVAL.reason)
        .join(TABLES["pack"], _PACK.id == _REMOVAL.lot)
        .join(TABLES["link"], _LINK.child == _PACK.id)
        .where(_REASON.use == literal("waste"))
        .distinct()
        .order_by(_PACK.id, _LINK.parent)
    )


def _packs_made() -> Select[Any]:
    return (
        select(_PACK.product, _PACK.packed_on, func.sum(_PACK["count"]))
        .group_by(_PACK.product, _PACK.packed_on)
        .order_by(_PACK.packed_on, _PACK.product)
    )
