"""What the forecast counts: live bags by how they stand, and what became of earlier ones.

Every question groups in the database, so that a farm of hundreds of thousands of bags answers
with some hundred rows.
"""

from __future__ import annotations

from typing import Any, NamedTuple

from sqlalchemy import Select, and_, bindparam, case, func, literal_column, or_, select

from farmdesk.domain.stages import ALIVE, COLONISED, INCUBATING, VOID
from farmdesk.store.outcomes import IS_BAD, in_days
from farmdesk.store.schema import TABLES
from farmdesk.store.transaction import Reading

_BAG = TABLES["bag"].c
_BATCH = TABLES["batch"].c
_LINK = TABLES["link"].c
_PICK = TABLES["pick"].c
_REASON = TABLES["reason"].c
_STRAIN = TABLES["strain"].c

_ZERO: Any = literal_column("0")
_ONE: Any = literal_column("1")
_DAY, _HOUR = 10, 13


class Standing(NamedTuple):
    """Live bags of a batch that stand alike: in one stage since one day, in one room."""

    batch: int
    species: int
    dry_mg: int
    room: int | None
    stage: str
    flush: int
    since: str
    bags: int


class Outcome(NamedTuple):
    """Bags of a batch that went the same way on the same days; `ended_on` is a UTC day."""

    batch: int
    species: int
    strain: int
    dry_mg: int
    inoculated_on: str
    is_alive: bool
    is_incubating: bool
    is_bad: bool
    colonised_on: str | None
    opened_on: str | None
    ended_on: str | None
    bags: int


class PickedHour(NamedTuple):
    """What a batch gave in one hour (UTC, 'YYYY-MM-DDTHH'), in one flush."""

    batch: int
    flush: int
    opened_on: str | None
    hour: str
    bags: int
    picked_mg: int


class BagDays(NamedTuple):
    """One bag's days; for replaying what stood on an earlier day."""

    id: int
    batch: int
    colonised_on: str | None
    opened_on: str | None
    ended_on: str | None


def bags_standing(reading: Reading) -> list[Standing]:
    """Live bags counted by batch, room, stage, flush and the day since which they stand so."""
    rows = reading.rows("bags_standing", _bags_standing)
    return [Standing._make(row) for row in rows]


def bag_outcomes(reading: Reading, first: str, last: str) -> list[Outcome]:
    """Bags of batches inoculated in these days, counted by what became of them and when."""
    rows = reading.rows("bag_outcomes", _bag_outcomes, first=first, last=last)
    return [
        Outcome._make((*row[:5], bool(row[5]), bool(row[6]), bool(row[7]), *row[8:]))
        for row in rows
    ]


def picked_hours(reading: Reading, first: str, last: str) -> list[PickedHour]:
    """What batches inoculated in these days gave, hour by hour and flush by flush."""
    rows = reading.rows("picked_hours", _picked_hours, first=first, last=last)
    return [PickedHour._make((*row[:4], int(row[4]), int(row[5]))) for row in rows]


def bags_in_flush(reading: Reading, first: str, last: str) -> dict[tuple[int, int], int]:
    """How many different bags of each batch gave each flush."""
    rows = reading.rows("bags_in_flush", _bags_in_flush, first=first, last=last)
    return {(row[0], row[1]): int(row[2]) for row in rows}


def bag_days(reading: Reading, first: str, last: str, *, since: str) -> list[BagDays]:
    """Bags of batches inoculated in these days that still lived on a day, one by one."""
    rows = reading.rows("bag_days", _bag_days, first=first, last=last, since=since)
    return [BagDays._make(row) for row in rows]


def picks_of_bags(reading: Reading, first: str, last: str) -> list[tuple[int, str]]:
    """(bag, hour) of every pick from bags of batches inoculated in these days."""
    rows = reading.rows("picks_of_bags", _picks_of_bags, first=first, last=last)
    return [(row[0], row[1]) for row in rows]


def _names(stages: tuple[str, ...]) -> list[Any]:
    return [literal_column(f"'{stage}'") for stage in stages]


def _ended_on() -> Any:
    day = func.substr(_BAG.stage_since, 1, _DAY)
    return case((_BAG.stage.not_in(_names(ALIVE)), day))


def _bags_standing() -> Select[Any]:
    moved = func.substr(_BAG.stage_since, 1, _DAY)
    since = case(
        (_BAG.stage == literal_column(f"'{INCUBATING}'"), _BATCH.inoculated_on),
        (
            _BAG.stage == literal_column(f"'{COLONISED}'"),
            func.coalesce(_BAG.colonised_on, moved),
        ),
        else_=func.coalesce(_BAG.picked_on, _BAG.opened_on, moved),
    ).label("since")
    keys = (_BAG.batch, _BAG.room, _BAG.stage, _BAG.flush, since)
    return (
        select(
            _BAG.batch, func.min(_STRAIN.species), func.min(_BATCH.dry_mg), _BAG.room, _BAG.stage,
            _BAG.flush, since, func.count(),
        )
        .select_from(TABLES["bag"])
        .join(TABLES["batch"], _BATCH.id == _BAG.batch)
        .join(TABLES["strain"], _STRAIN.id == _BATCH.strain)
        .where(_BAG.stage.in_(_names(ALIVE)))
        .group_by(*keys)
        .order_by(*keys)
    )  # fmt: skip


def _bag_outcomes() -> Select[Any]:
    inner = (
        select(
            _BAG.batch.label("batch"),
            _STRAIN.species.label("species"),
            _BATCH.strain.label("strain"),
            _BATCH.dry_mg.label("dry_mg"),
            _BATCH.inoculated_on.label("inoculated_on"),
            case((_BAG.stage.in_(_names(ALIVE)), _ONE), else_=_ZERO).label("alive"),
            case((_BAG.stage == literal_column(f"'{INCUBATING}'"), _ONE), else_=_ZERO).label("run"),
            case((IS_BAD, _ONE), else_=_ZERO).label("bad"),
            _BAG.colonised_on.label("colonised_on"),
            _BAG.opened_on.label("opened_on"),
            _ended_on().label("ended_on"),
        )
        .select_from(TABLES["batch"])
        .join(TABLES["strain"], _STRAIN.id == _BATCH.strain)
        .join(TABLES["bag"], and_(_BAG.batch == _BATCH.id, _BAG.stage != VOID))
        .outerjoin(TABLES["reason"], _REASON.id == _BAG.reason)
        .where(in_days())
        .subquery()
    )
    columns = list(inner.c)
    return select(*columns, func.count()).group_by(*columns).order_by(inner.c.batch)


def _of_picks(*columns: Any) -> Select[Any]:
    return (
        select(*columns)
        .select_from(TABLES["batch"])
        .join(TABLES["bag"], _BAG.batch == _BATCH.id)
        .join(TABLES["link"], _LINK.parent == _BAG.id)
        .join(TABLES["pick"], _PICK.id == _LINK.child)
        .where(in_days(), _PICK.net_mg.is_not(None))
    )


def _flush() -> Any:
    return case((_LINK.flush > _ZERO, _LINK.flush), else_=_PICK.flush)


def _picked_hours() -> Select[Any]:
    inner = _of_picks(
        _BAG.batch.label("batch"),
        _flush().label("flush"),
        _BAG.opened_on.label("opened_on"),
        func.substr(_PICK.picked_at, 1, _HOUR).label("hour"),
        _LINK.amount_mg.label("picked"),
    ).subquery()
    one = inner.c
    keys = (one.batch, one.flush, one.opened_on, one.hour)
    return select(*keys, func.count(), func.sum(one.picked)).group_by(*keys).order_by(*keys)


def _bags_in_flush() -> Select[Any]:
    inner = _of_picks(
        _BAG.batch.label("batch"), _flush().label("flush"), _BAG.id.label("bag")
    ).subquery()
    one = inner.c
    return (
        select(one.batch, one.flush, func.count(one.bag.distinct()))
        .group_by(one.batch, one.flush)
        .order_by(one.batch, one.flush)
    )


def _bag_days() -> Select[Any]:
    ended = _ended_on()
    return (
        select(_BAG.id, _BAG.batch, _BAG.colonised_on, _BAG.opened_on, ended)
        .select_from(TABLES["batch"])
        .join(TABLES["bag"], and_(_BAG.batch == _BATCH.id, _BAG.stage != VOID))
        .where(in_days(), or_(ended.is_(None), ended >= bindparam("since")))
        .order_by(_BAG.id)
    )


def _picks_of_bags() -> Select[Any]:
    return _of_picks(_BAG.id, func.substr(_PICK.picked_at, 1, _HOUR)).order_by(
        _BAG.id, _PICK.picked_at
    )
