"""Questions behind the lists: lots on hand, batches with their bags counted, work that waits."""

from __future__ import annotations

from typing import Any, NamedTuple

from sqlalchemy import Select, func, literal, literal_column, select

from farmdesk.store.schema import TABLES
from farmdesk.store.transaction import Reading

_PACK = TABLES["pack"].c
_PICK = TABLES["pick"].c
_PRODUCT = TABLES["product"].c

_ZERO: Any = literal_column("0")


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
