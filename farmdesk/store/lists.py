"""Questions behind the lists: lots on hand, batches with their bags counted, work that waits."""

from __future__ import annotations

from typing import Any, NamedTuple

from sqlalchemy import Select, func, literal, literal_column, select

from farmdesk.store.schema import TABLES
from farmdesk.store.transaction import Reading

_BAG = TABLES["bag"].c
_BATCH = TABLES["batch"].c
_CUSTOMER = TABLES["customer"].c
_DELIVERY = TABLES["delivery"].c
_INVOICE = TABLES["invoice"].c
_LINE = TABLES["delivery_line"].c
_ORDER = TABLES["order"].c
_ORDER_LINE = TABLES["order_line"].c
_PACK = TABLES["pack"].c
_PICK = TABLES["pick"].c
_PRODUCT = TABLES["product"].c
_REASON = TABLES["reason"].c
_STRAIN = TABLES["strain"].c

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


class OrderSum(NamedTuple):
    """An order with its lines counted."""

    id: int
    name: str
    customer: str
    taken_on: str
    due_on: str
    status: str
    lines: int


class DeliverySum(NamedTuple):
    """A delivery's line totals one by one, with its invoice's name; sums are made of Decimals."""

    id: int
    name: str
    customer: str
    delivered_on: str
    order: str | None
    invoice: str | None
    total: str | None
    mass_mg: int


class InvoiceLine(NamedTuple):
    """An invoice as it stands in the list; amounts as the text they are kept in."""

    id: int
    name: str
    customer: str
    delivery: str
    issued_on: str
    due_on: str
    net: str
    tax: str
    total: str
    paid_on: str | None


def batches_counted(reading: Reading, *, alive_only: bool) -> list[BatchCount]:
    """Batches, newest first, with their bags counted; only those with live bags if asked."""
    rows = reading.rows(("batches_counted", alive_only), lambda: _batches_counted(alive_only))
    return [BatchCount._make(_whole(row)) for row in rows]


def bags_to_fruit(reading: Reading) -> list[Fruiting]:
    """Opened bags by batch, stage and flush, with their earliest opening and pick."""
    return [Fruiting._make(_whole(row)) for row in reading.rows("bags_to_fruit", _bags_to_fruit)]


def orders_summed(reading: Reading) -> list[OrderSum]:
    """Orders, the latest due first."""
    return [OrderSum._make(row) for row in reading.rows("orders_summed", _orders_summed)]


def deliveries_in_lines(reading: Reading) -> list[DeliverySum]:
    """Deliveries, newest first, a row for each line."""
    rows = reading.rows("deliveries_in_lines", _deliveries_in_lines)
    return [DeliverySum._make(row) for row in rows]


def invoices_listed(reading: Reading) -> list[InvoiceLine]:
    """Invoices, newest first."""
    return [InvoiceLine._make(row) for row in reading.rows("invoices_listed", _invoices_listed)]


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
    mass_mg = _PACK.left * func.coalesce(_PRODUCT.pack_mg, _ZERO)
    return (
        select(
            _PACK.id,
            _PACK.name,
            literal("pack"),
            _PRODUCT.species,
            _PRODUCT.name,
            literal(""),
            _PACK.packed_on,
            mass_mg,
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
    alive = _is_alive()
    columns = (
        _BATCH.id,
        _BATCH.name,
        _BATCH.strain,
        _STRAIN.species,
        _BATCH.run,
        _BATCH.inoculated_on,
        _BATCH.made,
        _BATCH.ready_from,
        _BATCH.ready_to,
    )
    counts = [
        func.sum(case((_BAG.stage == literal(stage), _ONE), else_=_ZERO)) for stage in _COUNTED
    ]
    statement = (
        select(
            *columns,
            *counts,
            func.sum(
                case(
                    (
                        and_(_BAG.stage == literal(DISCARDED), _REASON.contamination > _ZERO),
                        _ONE,
                    ),
                    else_=_ZERO,
                )
            ),
            func.sum(case((alive, _BAG.slow), else_=_ZERO)),
            func.min(case((alive, _BAG.room))),
            func.max(case((alive, _BAG.room))),
            func.sum(case((and_(alive, _BAG.looked_on.is_(None)), _ONE), else_=_ZERO)),
            func.min(case((alive, _BAG.looked_on))),
            func.min(case((_BAG.stage == literal(COLONISED), _BAG.colonised_on))),
        )
        .select_from(TABLES["batch"])
        .join(TABLES["strain"], _STRAIN.id == _BATCH.strain)
        .join(TABLES["bag"], and_(_BAG.batch == _BATCH.id, _BAG.stage != literal(VOID)))
        .outerjoin(TABLES["reason"], _REASON.id == _BAG.reason)
        .group_by(*columns)
        .order_by(_BATCH.inoculated_on.desc(), _BATCH.id.desc())
    )
    if alive_only:
        own = TABLES["bag"].alias("own")
        standing = select(own.c.batch).where(own.c.stage.in_([literal(one) for one in ALIVE]))
        statement = statement.where(_BATCH.id.in_(standing))
    return statement


def _bags_to_fruit() -> Select[Any]:
    keys = (_BATCH.id, _BATCH.name, _STRAIN.species, _BAG.stage, _BAG.flush)
    return (
        select(*keys, func.count(), func.min(_BAG.opened_on), func.min(_BAG.picked_on))
        .select_from(TABLES["bag"])
        .join(TABLES["batch"], _BATCH.id == _BAG.batch)
        .join(TABLES["strain"], _STRAIN.id == _BATCH.strain)
        .where(_BAG.stage.in_([literal(FRUITING), literal(RESTING)]))
        .group_by(*keys)
        .order_by(_BATCH.id, _BAG.stage, _BAG.flush)
    )


def _orders_summed() -> Select[Any]:
    lines = (
        select(func.count())
        .select_from(TABLES["order_line"])
        .where(_ORDER_LINE.order == _ORDER.id)
        .scalar_subquery()
    )
    return (
        select(
            _ORDER.id,
            _ORDER.name,
            _CUSTOMER.name,
            _ORDER.taken_on,
            _ORDER.due_on,
            _ORDER.status,
            lines,
        )
        .select_from(TABLES["order"])
        .join(TABLES["customer"], _CUSTOMER.id == _ORDER.customer)
        .order_by(_ORDER.due_on.desc(), _ORDER.id.desc())
    )


def _deliveries_in_lines() -> Select[Any]:
    packed_mg = _LINE["count"] * func.coalesce(_PRODUCT.pack_mg, _ZERO)
    mass_mg = case((_LINE.amount_mg > _ZERO, _LINE.amount_mg), else_=packed_mg)
    return (
        select(
            _DELIVERY.id,
            _DELIVERY.name,
            _CUSTOMER.name,
            _DELIVERY.delivered_on,
            _ORDER.name,
            _INVOICE.name,
            _LINE.total,
            func.coalesce(mass_mg, _ZERO),
        )
        .select_from(TABLES["delivery"])
        .join(TABLES["customer"], _CUSTOMER.id == _DELIVERY.customer)
        .outerjoin(TABLES["order"], _ORDER.id == _DELIVERY.order)
        .outerjoin(TABLES["invoice"], _INVOICE.delivery == _DELIVERY.id)
        .outerjoin(TABLES["delivery_line"], _LINE.delivery == _DELIVERY.id)
        .outerjoin(TABLES["product"], _PRODUCT.id == _LINE.product)
        .order_by(_DELIVERY.delivered_on.desc(), _DELIVERY.id.desc(), _LINE.id)
    )


def _invoices_listed() -> Select[Any]:
    return (
        select(
            _INVOICE.id,
            _INVOICE.name,
            _CUSTOMER.name,
            _DELIVERY.name,
            _INVOICE.issued_on,
            _INVOICE.due_on,
            _INVOICE.net,
            _INVOICE.tax,
            _INVOICE.total,
            _INVOICE.paid_on,
        )
        .select_from(TABLES["invoice"])
        .join(TABLES["customer"], _CUSTOMER.id == _INVOICE.customer)
        .join(TABLES["delivery"], _DELIVERY.id == _INVOICE.delivery)
        .order_by(_INVOICE.issued_on.desc(), _INVOICE.id.desc())
    )
