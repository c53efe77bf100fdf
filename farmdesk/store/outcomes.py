"""What became of the bags of a span of time, counted for the grower's sums.

Every question is about batches inoculated from a day to another, so that numerators and
denominators are the same bags.
"""

from __future__ import annotations

from typing import Any, NamedTuple

from sqlalchemy import Select, and_, bindparam, case, func, literal, or_, select
from sqlalchemy.sql.expression import literal_column

from farmdesk.domain.codes import SERIALS, make_id
from farmdesk.domain.stages import ALIVE, DISCARDED, INCUBATING, VOID
from farmdesk.store.schema import TABLES
from farmdesk.store.transaction import Reading

_BAG = TABLES["bag"].c
_BATCH = TABLES["batch"].c
_LINK = TABLES["link"].c
_PICK = TABLES["pick"].c
_REASON = TABLES["reason"].c
_RUN = TABLES["run"].c
_STRAIN = TABLES["strain"].c

_ZERO: Any = literal_column("0")
_ONE: Any = literal_column("1")
FIRST_SPAWN = make_id("spawn", 0)
LAST_SPAWN = make_id("spawn", SERIALS - 1)


class BatchFacts(NamedTuple):
    """A batch and all that its bags have in common; `first_bag` is its lowest bag."""

    id: int
    name: str
    strain: int
    species: int
    run: int | None
    recipe: int | None
    person: int | None
    inoculated_on: str
    dry_mg: int
    spawn_dry_mg: int


class BagCount(NamedTuple):
    """Bags of a batch, and of one spawn lot and shelf if asked: by how they stand now.

    `grew_room` and `grew_shelf` say where they grew in; None and '' where that is not told.
    """

    batch: int
    spawn: int | None
    made: int
    opened: int
    contaminated: int
    running: int
    alive: int
    grew_room: int | None = None
    grew_shelf: str = ""


class FlushMass(NamedTuple):
    """What a batch (and spawn lot, if asked) gave in one flush, and from when to when."""

    batch: int
    spawn: int | None
    flush: int
    measured_mg: int
    picked_mg: int
    first_at: str
    last_at: str


class ShelfTime(NamedTuple):
    """Opened bags of a batch that were opened on one day and ended at one instant, if ended."""

    batch: int
    spawn: int | None
    opened_on: str
    ended_at: str | None
    bags: int


class DefectCount(NamedTuple):
    """Bags of a batch discarded for one reason of contamination."""

    batch: int
    reason: int
    bags: int


class NextFlush(NamedTuple):
    """Live opened bags of a batch that gave so many flushes."""

    batch: int
    flush: int
    bags: int


def batch_facts(reading: Reading, first: str, last: str) -> dict[int, BatchFacts]:
    """The batches inoculated from a day to another, both counted, in the order of inoculation."""
    rows = reading.rows("batch_facts", _batch_facts, first=first, last=last)
    return {row[0]: BatchFacts._make(row) for row in rows}


def bags_counted(
    reading: Reading, first: str, last: str, *, by_spawn: bool = False
) -> list[BagCount]:
    """Bags counted by batch, and by the spawn they got when asked; voided ones were never made."""
    rows = reading.rows(
        ("bags_counted", by_spawn), kept(_bags_counted, by_spawn), first=first, last=last
    )
    return [
        BagCount(batch, spawn, int(made), int(opened), int(bad), int(run), int(alive))
        for batch, spawn, made, opened, bad, run, alive in rows
    ]


def bags_by_cause(reading: Reading, first: str, last: str) -> list[BagCount]:
    """Bags counted by batch, by the spawn they got, and by the shelf they grew in on."""
    rows = reading.rows("bags_by_cause", kept(_bags_counted, True, True), first=first, last=last)
    found = []
    for batch, spawn, made, opened, bad, run, alive, room, shelf in rows:
        counts = (int(made), int(opened), int(bad), int(run), int(alive))
        found.append(BagCount(batch, spawn, *counts, grew_room=room, grew_shelf=shelf))
    return found


def flushes_weighed(
    reading: Reading, first: str, last: str, *, by_spawn: bool = False
) -> list[FlushMass]:
    """What was picked, by batch, spawn lot when asked, and flush."""
    rows = reading.rows(
        ("flushes_weighed", by_spawn), kept(_flushes_weighed, by_spawn), first=first, last=last
    )
    return [
        FlushMass(row[0], row[1], int(row[2]), int(row[3]), int(row[4]), row[5], row[6])
        for row in rows
    ]


def shelf_times(
    reading: Reading, first: str, last: str, *, by_spawn: bool = False
) -> list[ShelfTime]:
    """How long opened bags stood, in groups that were opened and ended together."""
    rows = reading.rows(
        ("shelf_times", by_spawn), kept(_shelf_times, by_spawn), first=first, last=last
    )
    return [ShelfTime(row[0], row[1], row[2], row[3], int(row[4])) for row in rows]


def defects_counted(reading: Reading, first: str, last: str) -> list[DefectCount]:
    """Contaminated bags by batch and what was found on them."""
    rows = reading.rows("defects_counted", _defects_counted, first=first, last=last)
    return [DefectCount(row[0], row[1], int(row[2])) for row in rows]


def bags_by_flush(reading: Reading) -> list[NextFlush]:
    """Live opened bags that were picked, by batch and flushes given."""
    rows = reading.rows("bags_by_flush", _bags_by_flush)
    return [NextFlush(row[0], int(row[1]), int(row[2])) for row in rows]


def picked_by_day(reading: Reading, start: str, end: str) -> list[tuple[int, str, int]]:
    """(species, instant, net mg) of weighed picks from an instant up to another."""
    rows = reading.rows("picked_by_day", _picked_by_day, start=start, end=end)
    return [(row[0], row[1], int(row[2])) for row in rows]


def kept(make: Any, *facts: Any) -> Any:
    """A maker of a statement that takes facts, as one that `Reading.rows` can keep."""

    def build() -> Select[Any]:
        statement: Select[Any] = make(*facts)
        return statement

    build.__module__ = make.__module__
    return build


def in_days() -> Any:
    """Batches inoculated from the day `first` to the day `last`."""
    day = _BATCH.inoculated_on
    return and_(day >= bindparam("first"), day <= bindparam("last"))


def _batch_facts() -> Select[Any]:
    return (
        select(
            _BATCH.id, _BATCH.name, _BATCH.strain, _STRAIN.species, _BATCH.run, _RUN.recipe,
            _BATCH.person, _BATCH.inoculated_on, _BATCH.dry_mg, _BATCH.spawn_dry_mg,
        )
        .select_from(TABLES["batch"])
        .join(TABLES["strain"], _STRAIN.id == _BATCH.strain)
        .outerjoin(TABLES["run"], _RUN.id == _BATCH.run)
        .where(in_days())
        .order_by(_BATCH.inoculated_on, _BATCH.id)
    )  # fmt: skip


def _spawn_of_bag() -> Any:
    return (
        select(func.min(_LINK.parent))
        .where(_LINK.child == _BAG.id, _LINK.parent.between(FIRST_SPAWN, LAST_SPAWN))
        .correlate(TABLES["bag"])
        .scalar_subquery()
    )


def spawn_column(by_spawn: bool) -> Any:
    """The spawn that a bag got, the first of several; nothing when it is not asked for."""
    return (_spawn_of_bag() if by_spawn else literal_column("NULL")).label("spawn")


_IS_OPENED = or_(
    _BAG.opened_on.is_not(None), and_(_BAG.opened_on.is_(None), _BAG.picked_on.is_not(None))
)
IS_BAD = and_(_BAG.stage == literal_column(f"'{DISCARDED}'"), _REASON.contamination == _ONE)
"""A bag that was discarded for contamination; join its reason."""


def _count_if(condition: Any) -> Any:
    return func.sum(case((condition, _ONE), else_=_ZERO))


def _bags_counted(by_spawn: bool, by_shelf: bool = False) -> Select[Any]:
    alive: list[Any] = [literal_column(f"'{stage}'") for stage in ALIVE]
    inner = (
        select(
            _BAG.batch.label("batch"),
            spawn_column(by_spawn),
            case((_IS_OPENED, _ONE), else_=_ZERO).label("opened"),
            case((IS_BAD, _ONE), else_=_ZERO).label("bad"),
            case((_BAG.stage == literal_column(f"'{INCUBATING}'"), _ONE), else_=_ZERO).label("run"),
            case((_BAG.stage.in_(alive), _ONE), else_=_ZERO).label("alive"),
            *((_BAG.grew_room, _BAG.grew_shelf) if by_shelf else ()),
        )
        .select_from(TABLES["batch"])
        .join(TABLES["bag"], and_(_BAG.batch == _BATCH.id, _BAG.stage != VOID))
        .outerjoin(TABLES["reason"], _REASON.id == _BAG.reason)
        .where(in_days())
        .subquery()
    )
    one = inner.c
    sums = [func.sum(column) for column in (one.opened, one.bad, one.run, one.alive)]
    places = (one.grew_room, one.grew_shelf) if by_shelf else ()
    keys = (one.batch, *((one.spawn,) if by_spawn else ()), *places)
    spawn = one.spawn if by_spawn else literal_column("NULL")
    return select(one.batch, spawn, func.count(), *sums, *places).group_by(*keys).order_by(*keys)


def _flushes_weighed(by_spawn: bool) -> Select[Any]:
    flush = case((_LINK.flush > _ZERO, _LINK.flush), else_=_PICK.flush)
    inner = (
        select(
            _BAG.batch.label("batch"),
            spawn_column(by_spawn),
            flush.label("flush"),
            case((_LINK.how == literal_column("'measured'"), _LINK.amount_mg), else_=_ZERO).label(
                "measured"
            ),
            _LINK.amount_mg.label("picked"),
            _PICK.picked_at.label("at"),
        )
        .select_from(TABLES["batch"])
        .join(TABLES["bag"], _BAG.batch == _BATCH.id)
        .join(TABLES["link"], _LINK.parent == _BAG.id)
        .join(TABLES["pick"], _PICK.id == _LINK.child)
        .where(in_days(), _PICK.net_mg.is_not(None))
        .subquery()
    )
    one = inner.c
    spawn = one.spawn if by_spawn else literal_column("NULL")
    keys = (one.batch, one.spawn, one.flush) if by_spawn else (one.batch, one.flush)
    sums = (func.sum(one.measured), func.sum(one.picked), func.min(one.at), func.max(one.at))
    return select(one.batch, spawn, one.flush, *sums).group_by(*keys).order_by(*keys)


def _shelf_times(by_spawn: bool) -> Select[Any]:
    alive: list[Any] = [literal_column(f"'{stage}'") for stage in ALIVE]
    inner = (
        select(
            _BAG.batch.label("batch"),
            spawn_column(by_spawn),
            _BAG.opened_on.label("opened_on"),
            case((_BAG.stage.not_in(alive), _BAG.stage_since)).label("ended_at"),
        )
        .select_from(TABLES["batch"])
        .join(TABLES["bag"], and_(_BAG.batch == _BATCH.id, _BAG.stage != VOID))
        .where(in_days(), _BAG.opened_on.is_not(None))
        .subquery()
    )
    one = inner.c
    spawn = one.spawn if by_spawn else literal_column("NULL")
    keys = [one.batch, one.opened_on, one.ended_at, *([one.spawn] if by_spawn else [])]
    return select(one.batch, spawn, one.opened_on, one.ended_at, func.count()).group_by(*keys)


def _defects_counted() -> Select[Any]:
    return (
        select(_BAG.batch, _BAG.reason, func.count())
        .select_from(TABLES["batch"])
        .join(TABLES["bag"], _BAG.batch == _BATCH.id)
        .join(TABLES["reason"], _REASON.id == _BAG.reason)
        .where(in_days(), IS_BAD)
        .group_by(_BAG.batch, _BAG.reason)
        .order_by(_BAG.batch, _BAG.reason)
    )


def _bags_by_flush() -> Select[Any]:
    opened = [literal(stage) for stage in ("fruiting", "resting")]
    return (
        select(_BAG.batch, _BAG.flush, func.count())
        .where(_BAG.stage.in_(opened), _BAG.flush > _ZERO)
        .group_by(_BAG.batch, _BAG.flush)
        .order_by(_BAG.batch, _BAG.flush)
    )


def _picked_by_day() -> Select[Any]:
    return (
        select(_PICK.species, _PICK.picked_at, _PICK.net_mg)
        .where(
            _PICK.picked_at >= bindparam("start"),
            _PICK.picked_at < bindparam("end"),
            _PICK.net_mg.is_not(None),
        )
        .order_by(_PICK.picked_at)
    )
