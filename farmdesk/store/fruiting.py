"""Bags that fruit, rest or may be opened, and the picks that were taken, as lists show them."""

from __future__ import annotations

from typing import Any, NamedTuple

from sqlalchemy import Select, bindparam, func, or_, select

from farmdesk.domain.stages import COLONISED, FRUITING, INCUBATING, RESTING
from farmdesk.store.schema import TABLES
from farmdesk.store.transaction import Reading

_BAG, _BATCH, _STRAIN, _LINK, _PICK = (
    TABLES[kind].c for kind in ("bag", "batch", "strain", "link", "pick")
)


class FruitingBag(NamedTuple):
    """A bag as it stands, with its batch's name and its species."""

    id: int
    batch: int
    batch_name: str
    number: int
    species: int
    stage: str
    stage_since: str
    room: int | None
    opened_on: str | None
    flush: int
    picked_on: str | None
    ready_from: str
    ready_to: str
    pinned_on: str | None
    shelf: str = ""


class PickLine(NamedTuple):
    """A pick as it stands, and how many bags it came from."""

    id: int
    name: str
    species: int
    crate: int | None
    flush: int
    grade: str
    picked_at: str
    gross_mg: int | None
    tare_mg: int | None
    net_mg: int | None
    typed: str
    left_mg: int
    shelf_on: str | None
    status: str
    note: str
    bags: int


class BagShare(NamedTuple):
    """What one bag gave to a pick, and whether it was measured or allocated."""

    bag: int
    batch_name: str
    number: int
    amount_mg: int
    how: str
    flush: int


def bags_to_fruit(reading: Reading, today: str) -> list[FruitingBag]:
    """Bags that are opened, colonised, or of a batch whose ready window has begun."""
    rows = reading.rows("fruiting_bags", _bags_to_fruit, today=today)
    return [FruitingBag._make(row) for row in rows]


def newest_picks(reading: Reading, most: int) -> list[PickLine]:
    """The picks begun last, newest first."""
    rows = reading.rows("fruiting_picks", _newest_picks, most=most)
    return [PickLine._make(row) for row in rows]


def shares_of_pick(reading: Reading, pick: int) -> list[BagShare]:
    """What each bag gave to a pick, by batch and number."""
    return [BagShare._make(row) for row in reading.rows("fruiting_shares", _shares, pick=pick)]


def _bags_to_fruit() -> Select[Any]:
    is_due = _BATCH.ready_from.between("0", bindparam("today"))
    return (
        select(
            _BAG.id,
            _BAG.batch,
            _BATCH.name,
            _BAG.number,
            _STRAIN.species,
            _BAG.stage,
            _BAG.stage_since,
            _BAG.room,
            _BAG.opened_on,
            _BAG.flush,
            _BAG.picked_on,
            _BATCH.ready_from,
            _BATCH.ready_to,
            _BAG.pinned_on,
            _BAG.shelf,
        )
        .join_from(TABLES["bag"], TABLES["batch"], _BATCH.id == _BAG.batch)
        .join(TABLES["strain"], _STRAIN.id == _BATCH.strain)
        .where(
            or_(
                _BAG.stage.in_([bindparam(None, one) for one in (COLONISED, FRUITING, RESTING)]),
                (_BAG.stage == INCUBATING) & is_due,
            )
        )
        .order_by(_BAG.batch, _BAG.number)
    )


def _newest_picks() -> Select[Any]:
    newest = (
        select(TABLES["pick"].c.id).order_by(_PICK.id.desc()).limit(bindparam("most")).subquery()
    )
    counted = (
        select(_LINK.child, func.count().label("bags"))
        .join(newest, newest.c.id == _LINK.child)
        .group_by(_LINK.child)
        .subquery()
    )
    return (
        select(
            _PICK.id,
            _PICK.name,
            _PICK.species,
            _PICK.crate,
            _PICK.flush,
            _PICK.grade,
            _PICK.picked_at,
            _PICK.gross_mg,
            _PICK.tare_mg,
            _PICK.net_mg,
            _PICK.typed,
            _PICK.left_mg,
            _PICK.shelf_on,
            _PICK.status,
            _PICK.note,
            func.coalesce(counted.c.bags, 0),
        )
        .join_from(TABLES["pick"], newest, newest.c.id == _PICK.id)
        .outerjoin(counted, counted.c.child == _PICK.id)
        .order_by(_PICK.id.desc())
    )


def _shares() -> Select[Any]:
    return (
        select(_LINK.parent, _BATCH.name, _BAG.number, _LINK.amount_mg, _LINK.how, _LINK.flush)
        .join_from(TABLES["link"], TABLES["bag"], _BAG.id == _LINK.parent)
        .join(TABLES["batch"], _BATCH.id == _BAG.batch)
        .where(_LINK.child == bindparam("pick"))
        .order_by(_LINK.parent)
    )
