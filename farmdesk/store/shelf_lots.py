"""Lots of the cold store whose life is followed: on hand, or gone lately, and who got them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

from sqlalchemy import Select, bindparam, func, literal, or_, select

from farmdesk.store.schema import DAYBOOK, TABLES
from farmdesk.store.transaction import Reading

_PICK, _PACK, _LINK, _PRODUCT, _LINE, _DELIVERY, _CUSTOMER = (
    TABLES[kind].c
    for kind in ("pick", "pack", "link", "product", "delivery_line", "delivery", "customer")
)
_AT_ONCE = 500
_EMPTY = ('%"left_mg":0,%', '%"left_mg":0}%', '%"left":0,%', '%"left":0}%')


class LotFacts(NamedTuple):
    """A weighed pick or packs; `left` is mg of a pick and packs of packs."""

    id: int
    name: str
    is_pack: bool
    species: int | None
    what: str
    wrap: str
    since: str
    left: int
    shelf_on: str | None
    sell_by: str | None
    room: int | None


class Sent(NamedTuple):
    """What of a lot went to a customer with one delivery."""

    lot: int
    customer: str
    delivery: str
    delivered_on: str
    amount_mg: int
    packs: int


def lots_followed(reading: Reading, since: str) -> list[LotFacts]:
    """Picks and packs made since a day, and every one with something left."""
    picks = reading.rows("picks_followed", _picks, since=since)
    packs = reading.rows("packs_followed", _packs, since=since)
    return [
        *(LotFacts(row[0], row[1], False, row[2], "", "", *row[3:]) for row in picks),
        *(LotFacts(row[0], row[1], True, row[2], row[3], *row[4:]) for row in packs),
    ]


def sources_of(reading: Reading, packs: Sequence[int]) -> dict[int, list[tuple[int, int, str]]]:
    """Of packs, the picks they were filled from: (pick, species, instant of picking)."""
    found: dict[int, list[tuple[int, int, str]]] = {}
    for at in range(0, len(packs), _AT_ONCE):
        for pack, *pick in reading.run(_sources(packs[at : at + _AT_ONCE])):
            found.setdefault(pack, []).append((pick[0], pick[1], pick[2]))
    return found


def emptied_at(reading: Reading, lots: Sequence[int]) -> dict[int, str]:
    """The instant at which each lot was last found to have nothing left."""
    found: dict[int, str] = {}
    for at in range(0, len(lots), _AT_ONCE):
        rows = reading.run(_emptied(lots[at : at + _AT_ONCE]))
        found |= {row[0]: row[1] for row in rows}
    return found


def sent_of(reading: Reading, lots: Sequence[int]) -> dict[int, list[Sent]]:
    """What of each lot went to whom."""
    found: dict[int, list[Sent]] = {}
    for at in range(0, len(lots), _AT_ONCE):
        for row in reading.run(_sent(lots[at : at + _AT_ONCE])):
            found.setdefault(row[0], []).append(Sent._make(row))
    return found


def _picks() -> Select[Any]:
    return (
        select(
            _PICK.id, _PICK.name, _PICK.species, _PICK.picked_at, _PICK.left_mg, _PICK.shelf_on,
            _PICK.sell_by, _PICK.room,
        )
        .where(
            _PICK.net_mg.is_not(None),
            or_(_PICK.picked_at >= bindparam("since"), _PICK.left_mg > literal(0)),
        )
        .order_by(_PICK.picked_at, _PICK.id)
    )  # fmt: skip


def _packs() -> Select[Any]:
    return (
        select(
            _PACK.id, _PACK.name, _PRODUCT.species, _PRODUCT.name, _PRODUCT.wrap, _PACK.packed_on,
            _PACK.left, _PACK.shelf_on, _PACK.sell_by, _PACK.room,
        )
        .join_from(TABLES["pack"], TABLES["product"], _PRODUCT.id == _PACK.product)
        .where(or_(_PACK.packed_on >= bindparam("since"), _PACK.left > literal(0)))
        .order_by(_PACK.packed_on, _PACK.id)
    )  # fmt: skip


def _sources(packs: Sequence[int]) -> Select[Any]:
    return (
        select(_LINK.child, _PICK.id, _PICK.species, _PICK.picked_at)
        .join_from(TABLES["link"], TABLES["pick"], _PICK.id == _LINK.parent)
        .where(_LINK.child.in_(packs))
        .order_by(_LINK.child, _PICK.id)
    )


def _emptied(lots: Sequence[int]) -> Select[Any]:
    return (
        select(DAYBOOK.c.subject, func.max(DAYBOOK.c.happened_at))
        .where(
            DAYBOOK.c.subject.in_(lots),
            DAYBOOK.c.thing.in_(["pick", "pack"]),
            or_(*(DAYBOOK.c.after.like(word) for word in _EMPTY)),
        )
        .group_by(DAYBOOK.c.subject)
    )


def _sent(lots: Sequence[int]) -> Select[Any]:
    return (
        select(
            _LINE.lot, _CUSTOMER.name, _DELIVERY.name, _DELIVERY.delivered_on, _LINE.amount_mg,
            _LINE["count"],
        )
        .select_from(TABLES["delivery_line"])
        .join(TABLES["delivery"], _DELIVERY.id == _LINE.delivery)
        .join(TABLES["customer"], _CUSTOMER.id == _DELIVERY.customer)
        .where(_LINE.lot.in_(lots))
        .order_by(_DELIVERY.delivered_on, _LINE.id)
    )  # fmt: skip
