"""What a stocktake compares: lots on hand in its rooms, and lots that were seen."""

from __future__ import annotations

from typing import Any

from sqlalchemy import Select, bindparam, literal, select, union_all

from farmdesk.domain.stocktake import CountedLot, StockCount, Stocktake
from farmdesk.store.schema import TABLES
from farmdesk.store.transaction import Reading

_PICK, _PACK, _COUNT, _SPECIES, _PRODUCT = (
    TABLES[kind].c for kind in ("pick", "pack", "stock_count", "species", "product")
)


def counted_lots(reading: Reading, stocktake: Stocktake) -> list[CountedLot]:
    """Every lot that should lie where was counted, and every lot that was seen, by name."""
    counts = {one.lot: one for one in reading.all(StockCount, stocktake=stocktake.id)}
    rows = reading.rows("lots_to_count", _lots_to_count, stocktake=stocktake.id)
    found = []
    for lot, name, what, is_pack, made, left, room in rows:
        seen = counts.get(lot)
        if seen is None and (not left or (stocktake.room is not None and room != stocktake.room)):
            continue
        found.append(
            CountedLot(
                lot=lot,
                name=name,
                what=what,
                is_pack=bool(is_pack),
                made=made,
                left=left,
                room=room,
                is_seen=seen is not None,
                counted=_counted(seen, is_pack=bool(is_pack)),
                is_misplaced=seen is not None
                and stocktake.room is not None
                and room != stocktake.room,
            )
        )
    return sorted(found, key=lambda one: (one.name, one.lot))


def open_stocktake(reading: Reading) -> Stocktake | None:
    """The stocktake that is under way, or None."""
    return reading.first(Stocktake, status="open")


def _counted(seen: StockCount | None, *, is_pack: bool) -> int | None:
    if seen is None:
        return None
    if is_pack:
        return seen.packs
    return seen.amount_mg if seen.amount_mg >= 0 else None


def _lots_to_count() -> Select[Any]:
    seen = select(_COUNT.lot).where(_COUNT.stocktake == bindparam("stocktake"))
    picks = (
        select(
            _PICK.id,
            _PICK.name,
            _SPECIES.name.label("what"),
            literal(0).label("is_pack"),
            _PICK.net_mg,
            _PICK.left_mg,
            _PICK.room,
        )
        .join_from(TABLES["pick"], TABLES["species"], _SPECIES.id == _PICK.species)
        .where(_PICK.net_mg.is_not(None), (_PICK.left_mg > 0) | _PICK.id.in_(seen))
    )
    packs = (
        select(
            _PACK.id,
            _PACK.name,
            _PRODUCT.name,
            literal(1),
            _PACK["count"],
            _PACK.left,
            _PACK.room,
        )
        .join_from(TABLES["pack"], TABLES["product"], _PRODUCT.id == _PACK.product)
        .where((_PACK.left > 0) | _PACK.id.in_(seen))
    )
    return select(union_all(picks, packs).subquery())
