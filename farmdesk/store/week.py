"""Questions about a span of time: what was picked, sold, wasted, discarded, made and opened."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any, NamedTuple

from sqlalchemy import Select, and_, bindparam, case, func, literal, literal_column, or_, select

from farmdesk.domain.stages import ALIVE, DISCARDED, VOID
from farmdesk.store.schema import TABLES
from farmdesk.store.transaction import Reading

_BAG = TABLES["bag"].c
_BATCH = TABLES["batch"].c
_CUSTOMER = TABLES["customer"].c
_DELIVERY = TABLES["delivery"].c
_INVOICE = TABLES["invoice"].c
_LINE = TABLES["delivery_line"].c
_LINK = TABLES["link"].c
_PACK = TABLES["pack"].c
_PICK = TABLES["pick"].c
_PRODUCT = TABLES["product"].c
_REASON = TABLES["reason"].c
_REMOVAL = TABLES["removal"].c
_STRAIN = TABLES["strain"].c

_AT_ONCE = 400
# Written into the statement: PostgreSQL must see the same expression in SELECT and GROUP BY.
_ZERO: Any = literal_column("0")
_ONE: Any = literal_column("1")
_FLUSH = case((_LINK.flush > _ZERO, _LINK.flush), else_=_PICK.flush)


class SpeciesMass(NamedTuple):
    """What was picked of a species in one grade: weighed picks and their net mass."""

    species: int
    grade: str
    picks: int
    net_mg: int


class BatchMass(NamedTuple):
    """What a batch gave in one flush, measured or allocated."""

    species: int
    batch: int
    flush: int
    how: str
    amount_mg: int


class BatchPicked(NamedTuple):
    """What a batch gave in one flush before an instant, and what it gave after that."""

    batch: int
    flush: int
    how: str
    before_mg: int
    after_mg: int
    first_at: str | None
    last_at: str | None


class BatchBlocks(NamedTuple):
    """A batch's blocks: made, opened by a day, still alive now; dry matter in one, mg."""

    batch: int
    name: str
    species: int
    made: int
    dry_mg: int
    spawn_dry_mg: int
    opened: int
    alive: int


class Sold(NamedTuple):
    """One line of a delivery; decimals as the text they are kept in."""

    delivery: int
    delivered_on: str
    customer: str
    product: str
    unit: str
    quantity: str
    mass_mg: int
    packs: int
    total: str


class Removed(NamedTuple):
    """Stock that left unsold for one reason."""

    reason: str
    use: str
    species: int | None
    mass_mg: int
    packs: int


class Discarded(NamedTuple):
    """Bags discarded for one reason (None where none was named)."""

    reason: str | None
    is_contamination: bool
    species: int
    bags: int


class Standing(NamedTuple):
    """Live bags in one stage and room."""

    stage: str
    room: int | None
    bags: int


class Counted(NamedTuple):
    """Something counted for a species: batches and blocks."""

    species: int
    batches: int
    blocks: int


def picked_by_species(reading: Reading, start: str, end: str) -> list[SpeciesMass]:
    """Weighed picks from an instant up to another, by species and grade."""
    rows = reading.rows("picked_by_species", _picked_by_species, start=start, end=end)
    return [SpeciesMass(row[0], row[1], int(row[2]), int(row[3])) for row in rows]


def picked_by_batch(reading: Reading, start: str, end: str) -> list[BatchMass]:
    """What bags gave from an instant up to another, by batch, flush and how it is known."""
    rows = reading.rows("picked_by_batch", _picked_by_batch, start=start, end=end)
    return [BatchMass(row[0], row[1], int(row[2]), row[3], int(row[4])) for row in rows]


def picks_not_weighed(reading: Reading, start: str, end: str) -> int:
    """How many picks begun in this time still wait for the scale."""
    rows = reading.rows("picks_not_weighed", _picks_not_weighed, start=start, end=end)
    return int(rows[0][0])


def yields_of(reading: Reading, batches: Sequence[int], end: str) -> list[BatchPicked]:
    """All that these batches gave, by flush, parted at an instant."""
    found: list[BatchPicked] = []
    for part in _parts(batches):
        for row in reading.run(_yields_of(part), {"end": end}):
            amounts = (int(row[3]), int(row[4]))
            found.append(BatchPicked(row[0], int(row[1]), row[2], *amounts, row[5], row[6]))
    return found


def blocks_of(reading: Reading, batches: Sequence[int], day: str) -> list[BatchBlocks]:
    """The blocks of these batches; a bag that was picked without being opened counts as opened."""
    found: list[BatchBlocks] = []
    for part in _parts(batches):
        rows = reading.run(_blocks_of(part), {"day": day})
        found += [BatchBlocks._make((*row[:6], int(row[6]), int(row[7]))) for row in rows]
    return found


def sold_between(reading: Reading, first: str, last: str) -> list[Sold]:
    """Delivered lines from a day to another, both counted."""
    rows = reading.rows("sold_between", _sold_between, first=first, last=last)
    return [Sold._make((*row[:6], int(row[6]), int(row[7]), row[8])) for row in rows]


def invoiced_between(reading: Reading, first: str, last: str) -> list[tuple[str, str, str]]:
    """(net, tax, total) of invoices issued from a day to another, as kept text."""
    rows = reading.rows("invoiced_between", _invoiced_between, first=first, last=last)
    return [(row[0], row[1], row[2]) for row in rows]


def removed_between(reading: Reading, start: str, end: str) -> list[Removed]:
    """Stock that left unsold, by reason and species; packs with the mass in them."""
    rows = reading.rows("removed_between", _removed_between, start=start, end=end)
    return [Removed(row[0], row[1], row[2], int(row[3]), int(row[4])) for row in rows]


def discarded_between(reading: Reading, start: str, end: str) -> list[Discarded]:
    """Bags discarded, by reason and species."""
    rows = reading.rows("discarded_between", _discarded_between, start=start, end=end)
    return [Discarded(row[0], bool(row[1]), row[2], int(row[3])) for row in rows]


def bags_standing(reading: Reading) -> list[Standing]:
    """Live bags now, by stage and room."""
    rows = reading.rows("bags_standing", _bags_standing)
    return [Standing(row[0], row[1], int(row[2])) for row in rows]


def inoculated_between(reading: Reading, first: str, last: str) -> list[Counted]:
    """Batches and blocks inoculated from a day to another, by species."""
    rows = reading.rows("inoculated_between", _inoculated_between, first=first, last=last)
    return [Counted(row[0], int(row[1]), int(row[2])) for row in rows]


def opened_between(reading: Reading, first: str, last: str) -> list[Counted]:
    """Blocks opened from a day to another, by species."""
    rows = reading.rows("opened_between", _opened_between, first=first, last=last)
    return [Counted(row[0], int(row[1]), int(row[2])) for row in rows]


def _parts(ids: Sequence[int]) -> Iterator[Sequence[int]]:
    for at in range(0, len(ids), _AT_ONCE):
        yield ids[at : at + _AT_ONCE]


def _in_time(column: Any) -> Any:
    return and_(column >= bindparam("start"), column < bindparam("end"))


def _in_days(column: Any) -> Any:
    return and_(column >= bindparam("first"), column <= bindparam("last"))


def _picked_by_species() -> Select[Any]:
    return (
        select(_PICK.species, _PICK.grade, func.count(), func.sum(_PICK.net_mg))
        .where(_in_time(_PICK.picked_at), _PICK.net_mg.is_not(None))
        .group_by(_PICK.species, _PICK.grade)
        .order_by(_PICK.species, _PICK.grade)
    )


def _picked_by_batch() -> Select[Any]:
    return (
        select(_PICK.species, _BAG.batch, _FLUSH, _LINK.how, func.sum(_LINK.amount_mg))
        .select_from(TABLES["pick"])
        .join(TABLES["link"], _LINK.child == _PICK.id)
        .join(TABLES["bag"], _BAG.id == _LINK.parent)
        .where(_in_time(_PICK.picked_at), _PICK.net_mg.is_not(None))
        .group_by(_PICK.species, _BAG.batch, _FLUSH, _LINK.how)
        .order_by(_PICK.species, _BAG.batch, _FLUSH, _LINK.how)
    )


def _picks_not_weighed() -> Select[Any]:
    return select(func.count()).where(_in_time(_PICK.picked_at), _PICK.net_mg.is_(None))


def _yields_of(batches: Sequence[int]) -> Select[Any]:
    is_before = _PICK.picked_at < bindparam("end")
    return (
        select(
            _BAG.batch,
            _FLUSH,
            _LINK.how,
            func.sum(case((is_before, _LINK.amount_mg), else_=_ZERO)),
            func.sum(case((is_before, _ZERO), else_=_LINK.amount_mg)),
            func.min(case((is_before, _PICK.picked_at))),
            func.max(case((is_before, _PICK.picked_at))),
        )
        .select_from(TABLES["bag"])
        .join(TABLES["link"], _LINK.parent == _BAG.id)
        .join(TABLES["pick"], _PICK.id == _LINK.child)
        .where(_BAG.batch.in_(batches), _PICK.net_mg.is_not(None))
        .group_by(_BAG.batch, _FLUSH, _LINK.how)
        .order_by(_BAG.batch, _FLUSH, _LINK.how)
    )


def _blocks_of(batches: Sequence[int]) -> Select[Any]:
    is_opened = or_(
        _BAG.opened_on <= bindparam("day"),
        and_(_BAG.opened_on.is_(None), _BAG.picked_on.is_not(None)),
    )
    columns = (_BATCH.id, _BATCH.name, _STRAIN.species, _BATCH.made, _BATCH.dry_mg)
    return (
        select(
            *columns,
            _BATCH.spawn_dry_mg,
            func.sum(case((is_opened, _ONE), else_=_ZERO)),
            func.sum(case((_BAG.stage.in_(ALIVE), _ONE), else_=_ZERO)),
        )
        .select_from(TABLES["batch"])
        .join(TABLES["strain"], _STRAIN.id == _BATCH.strain)
        .join(TABLES["bag"], and_(_BAG.batch == _BATCH.id, _BAG.stage != VOID))
        .where(_BATCH.id.in_(batches))
        .group_by(*columns, _BATCH.spawn_dry_mg)
        .order_by(_STRAIN.species, _BATCH.id)
    )


def _sold_between() -> Select[Any]:
    packed_mg = _LINE["count"] * func.coalesce(_PRODUCT.pack_mg, _ZERO)
    return (
        select(
            _DELIVERY.id,
            _DELIVERY.delivered_on,
            _CUSTOMER.name,
            _PRODUCT.name,
            _LINE.unit,
            _LINE.quantity,
            case((_LINE.amount_mg > _ZERO, _LINE.amount_mg), else_=packed_mg),
            _LINE["count"],
            _LINE.total,
        )
        .select_from(TABLES["delivery"])
        .join(TABLES["delivery_line"], _LINE.delivery == _DELIVERY.id)
        .join(TABLES["customer"], _CUSTOMER.id == _DELIVERY.customer)
        .join(TABLES["product"], _PRODUCT.id == _LINE.product)
        .where(_in_days(_DELIVERY.delivered_on))
        .order_by(_CUSTOMER.name, _PRODUCT.name, _LINE.unit, _LINE.id)
    )


def _invoiced_between() -> Select[Any]:
    return (
        select(_INVOICE.net, _INVOICE.tax, _INVOICE.total)
        .where(_in_days(_INVOICE.issued_on))
        .order_by(_INVOICE.id)
    )


def _removed_between() -> Select[Any]:
    packs = _REMOVAL["count"]
    packed_mg = packs * func.coalesce(_PRODUCT.pack_mg, _ZERO)
    mass_mg = case((_REMOVAL.amount_mg > _ZERO, _REMOVAL.amount_mg), else_=packed_mg)
    species = func.coalesce(_PICK.species, _PRODUCT.species)
    return (
        select(_REASON.name, _REASON.use, species, func.sum(mass_mg), func.sum(packs))
        .select_from(TABLES["removal"])
        .join(TABLES["reason"], _REASON.id == _REMOVAL.reason)
        .outerjoin(TABLES["pick"], _PICK.id == _REMOVAL.lot)
        .outerjoin(TABLES["pack"], _PACK.id == _REMOVAL.lot)
        .outerjoin(TABLES["product"], _PRODUCT.id == _PACK.product)
        .where(_in_time(_REMOVAL.removed_at))
        .group_by(_REASON.name, _REASON.use, species)
        .order_by(_REASON.use, _REASON.name, species)
    )


def _discarded_between() -> Select[Any]:
    is_bad = func.coalesce(_REASON.contamination, _ZERO)
    return (
        select(_REASON.name, is_bad, _STRAIN.species, func.count())
        .select_from(TABLES["bag"])
        .join(TABLES["batch"], _BATCH.id == _BAG.batch)
        .join(TABLES["strain"], _STRAIN.id == _BATCH.strain)
        .outerjoin(TABLES["reason"], _REASON.id == _BAG.reason)
        .where(_BAG.stage == literal(DISCARDED), _in_time(_BAG.stage_since))
        .group_by(_REASON.name, is_bad, _STRAIN.species)
        .order_by(_REASON.name, _STRAIN.species)
    )


def _bags_standing() -> Select[Any]:
    return (
        select(_BAG.stage, _BAG.room, func.count())
        .where(_BAG.stage.in_([literal(stage) for stage in ALIVE]))
        .group_by(_BAG.stage, _BAG.room)
        .order_by(_BAG.stage, _BAG.room)
    )


def _inoculated_between() -> Select[Any]:
    return (
        select(_STRAIN.species, func.count(), func.sum(_BATCH.made))
        .select_from(TABLES["batch"])
        .join(TABLES["strain"], _STRAIN.id == _BATCH.strain)
        .where(_in_days(_BATCH.inoculated_on))
        .group_by(_STRAIN.species)
        .order_by(_STRAIN.species)
    )


def _opened_between() -> Select[Any]:
    return (
        select(_STRAIN.species, func.count(_BATCH.id.distinct()), func.count())
        .select_from(TABLES["bag"])
        .join(TABLES["batch"], _BATCH.id == _BAG.batch)
        .join(TABLES["strain"], _STRAIN.id == _BATCH.strain)
        .where(_in_days(_BAG.opened_on))
        .group_by(_STRAIN.species)
        .order_by(_STRAIN.species)
    )
