"""Questions behind the lists: lots on hand, batches with their bags counted, work that waits."""

from __future__ import annotations

from typing import Any, NamedTuple

from sqlalchemy import (
    Select,
    Subquery,
    and_,
    bindparam,
    case,
    func,
    literal,
    literal_column,
    select,
)

from farmdesk.domain.codes import SERIALS, make_id
from farmdesk.domain.stages import (
    ALIVE,
    COLONISED,
    DISCARDED,
    FRUITING,
    INCUBATING,
    LOST,
    RESTING,
    SPENT,
    VOID,
)
from farmdesk.store.names import names_of
from farmdesk.store.schema import TABLES
from farmdesk.store.transaction import Reading

_BAG = TABLES["bag"].c
_BATCH = TABLES["batch"].c
_LINK = TABLES["link"].c
_PACK = TABLES["pack"].c
_PICK = TABLES["pick"].c
_PRODUCT = TABLES["product"].c
_REASON = TABLES["reason"].c
_STRAIN = TABLES["strain"].c
_WEIGHT = TABLES["pack_weight"].c

_ZERO: Any = literal_column("0")
_ONE: Any = literal_column("1")
_COUNTED = (INCUBATING, COLONISED, FRUITING, RESTING, SPENT, DISCARDED, LOST)


class Lot(NamedTuple):
    """A harvest lot or a pack lot with something left; `since` is an instant or a day."""

    id: int
    name: str
    kind: str
    species: int | None
    product: str
    grade: str
    since: str
    left_mg: int
    packs: int
    shelf_on: str | None
    sell_by: str | None
    room: int | None


class BatchCount(NamedTuple):
    """A batch with its bags counted by stage; days are those of its live bags."""

    id: int
    name: str
    strain: int
    species: int
    run: int | None
    inoculated_on: str
    made: int
    ready_from: str
    ready_to: str
    incubating: int
    colonised: int
    fruiting: int
    resting: int
    spent: int
    discarded: int
    lost: int
    contaminated: int
    slow: int
    first_room: int | None
    last_room: int | None
    never_looked: int
    looked_on: str | None
    colonised_on: str | None

    @property
    def alive(self) -> int:
        """Bags that still stand somewhere."""
        return self.incubating + self.colonised + self.fruiting + self.resting


class Fruiting(NamedTuple):
    """Bags of a batch that may be picked: those of one flush count and stage."""

    batch: int
    name: str
    species: int
    stage: str
    flush: int
    bags: int
    opened_on: str | None
    picked_on: str | None


class BatchPlace(NamedTuple):
    """A room in which live bags of a batch stand in a stage."""

    batch: int
    stage: str
    room: int


def batch_places(reading: Reading) -> list[BatchPlace]:
    """Where the live bags of each batch stand; those in no room are left out."""
    return [BatchPlace._make(row) for row in reading.rows("batch_places", _batch_places)]


def batches_counted(reading: Reading, *, alive_only: bool) -> list[BatchCount]:
    """Batches, newest first, with their bags counted; only those with live bags if asked."""
    rows = reading.rows(("batches_counted", alive_only), lambda: _batches_counted(alive_only))
    return [BatchCount._make(_whole(row)) for row in rows]


def bags_to_fruit(reading: Reading) -> list[Fruiting]:
    """Opened bags by batch, stage and flush, with their earliest opening and pick."""
    return [Fruiting._make(_whole(row)) for row in reading.rows("bags_to_fruit", _bags_to_fruit)]


def parents_named(reading: Reading, kind: str) -> dict[int, str]:
    """The name of what each thing of a kind was made from, by its id; the first of several."""
    first = make_id(kind, 0)
    pairs = reading.rows("parents_of_kind", _parents_of_kind, first=first, last=first + SERIALS - 1)
    names = names_of(reading, {row[1] for row in pairs})
    found: dict[int, str] = {}
    for child, parent in pairs:
        found.setdefault(child, names.get(parent, ""))
    return found


def blocks_used(reading: Reading) -> dict[int, int]:
    """How many blocks of each heat run were inoculated, by the run's id."""
    return {row[0]: int(row[1]) for row in reading.rows("blocks_used", _blocks_used)}


def lots_on_hand(reading: Reading) -> list[Lot]:
    """Everything in the cold store now, earliest shelf date first."""
    lots = [Lot._make(row) for row in reading.rows("picks_on_hand", _picks_on_hand)]
    lots += [Lot._make(row) for row in reading.rows("packs_on_hand", _packs_on_hand)]
    return sorted(lots, key=lambda lot: (lot.shelf_on is None, lot.shelf_on, lot.since, lot.id))


def _picks_on_hand() -> Select[Any]:
    return select(
        _PICK.id,
        _PICK.name,
        literal("pick"),
        _PICK.species,
        literal(""),
        _PICK.grade,
        _PICK.picked_at,
        _PICK.left_mg,
        _ZERO,
        _PICK.shelf_on,
        _PICK.sell_by,
        _PICK.room,
    ).where(_PICK.left_mg > _ZERO)


def _packs_on_hand() -> Select[Any]:
    # Packs weighed one by one hold what each of them weighs; all others the same.
    weighed = (
        select(func.sum(_WEIGHT.net_mg))
        .where(_WEIGHT.pack == _PACK.id, _WEIGHT.delivery_line.is_(None))
        .where(_WEIGHT.removal.is_(None))
        .correlate(TABLES["pack"])
        .scalar_subquery()
    )
    alike = _PACK.net_mg * _PACK.left // func.nullif(_PACK["count"], _ZERO)
    mass_mg = func.coalesce(weighed, alike)
    return (
        select(
            _PACK.id,
            _PACK.name,
            literal("pack"),
            _PRODUCT.species,
            _PRODUCT.name,
            literal(""),
            _PACK.packed_on,
            func.coalesce(mass_mg, _ZERO),
            _PACK.left,
            _PACK.shelf_on,
            _PACK.sell_by,
            _PACK.room,
        )
        .select_from(TABLES["pack"])
        .join(TABLES["product"], _PRODUCT.id == _PACK.product)
        .where(_PACK.left > _ZERO)
    )


def _whole(row: Any) -> list[Any]:
    """PostgreSQL sums are of a decimal type."""
    return [value if value is None or isinstance(value, str) else int(value) for value in row]


def _is_alive() -> Any:
    return _BAG.stage.in_([literal(stage) for stage in ALIVE])


def _batches_counted(alive_only: bool) -> Select[Any]:
    bags = _bags_counted(alive_only)
    return (
        select(
            _BATCH.id,
            _BATCH.name,
            _BATCH.strain,
            _STRAIN.species,
            _BATCH.run,
            _BATCH.inoculated_on,
            _BATCH.made,
            _BATCH.ready_from,
            _BATCH.ready_to,
            *list(bags.c)[1:],
        )
        .select_from(bags)
        .join(TABLES["batch"], _BATCH.id == bags.c.batch)
        .join(TABLES["strain"], _STRAIN.id == _BATCH.strain)
        .order_by(_BATCH.inoculated_on.desc(), _BATCH.id.desc())
    )


def _bags_counted(alive_only: bool) -> Subquery:
    """What is counted of each batch's bags, by its id alone: names in the key cost double."""
    alive = _is_alive()
    # Bags in fruiting are seen at every pick; a walk is for those that still grow.
    walked = _BAG.stage.in_([literal(INCUBATING), literal(COLONISED)])
    is_contaminated = and_(_BAG.stage == literal(DISCARDED), _REASON.contamination > _ZERO)
    counts = [
        func.sum(case((_BAG.stage == literal(stage), _ONE), else_=_ZERO)) for stage in _COUNTED
    ]
    statement = (
        select(
            _BAG.batch,
            *counts,
            func.sum(case((is_contaminated, _ONE), else_=_ZERO)),
            func.sum(case((alive, _BAG.slow), else_=_ZERO)),
            func.min(case((alive, _BAG.room))),
            func.max(case((alive, _BAG.room))),
            func.sum(case((and_(walked, _BAG.looked_on.is_(None)), _ONE), else_=_ZERO)),
            func.min(case((walked, _BAG.looked_on))),
            func.min(case((_BAG.stage == literal(COLONISED), _BAG.colonised_on))),
        )
        .select_from(TABLES["bag"])
        .outerjoin(TABLES["reason"], _REASON.id == _BAG.reason)
        .where(_BAG.stage != literal(VOID))
        .group_by(_BAG.batch)
    )
    if alive_only:
        own = TABLES["bag"].alias("own")
        standing = select(own.c.batch).where(own.c.stage.in_([literal(one) for one in ALIVE]))
        statement = statement.where(_BAG.batch.in_(standing))
    return statement.subquery("counted")


def _batch_places() -> Select[Any]:
    return (
        select(_BAG.batch, _BAG.stage, _BAG.room)
        .where(_is_alive(), _BAG.room.is_not(None))
        .distinct()
        .order_by(_BAG.batch, _BAG.stage, _BAG.room)
    )


def _bags_to_fruit() -> Select[Any]:
    keys = (_BAG.batch, _BAG.stage, _BAG.flush)
    bags = (
        select(
            *keys,
            func.count().label("bags"),
            func.min(_BAG.opened_on).label("opened_on"),
            func.min(_BAG.picked_on).label("picked_on"),
        )
        .where(_BAG.stage.in_([literal(FRUITING), literal(RESTING)]))
        .group_by(*keys)
        .subquery("opened")
    ).c
    return (
        select(
            _BATCH.id, _BATCH.name, _STRAIN.species,
            bags.stage, bags.flush, bags.bags, bags.opened_on, bags.picked_on,
        )
        .join(TABLES["batch"], _BATCH.id == bags.batch)
        .join(TABLES["strain"], _STRAIN.id == _BATCH.strain)
        .order_by(_BATCH.id, bags.stage, bags.flush)
    )  # fmt: skip


def _parents_of_kind() -> Select[Any]:
    return (
        select(_LINK.child, _LINK.parent)
        .where(_LINK.child.between(bindparam("first"), bindparam("last")))
        .order_by(_LINK.child, _LINK.parent)
    )


def _blocks_used() -> Select[Any]:
    return (
        select(_BATCH.run, func.sum(_BATCH.made))
        .where(_BATCH.run.is_not(None))
        .group_by(_BATCH.run)
    )
