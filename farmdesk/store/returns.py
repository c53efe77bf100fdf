"""Questions about goods that customers gave back: by lot and by delivery."""

from __future__ import annotations

from collections.abc import Collection
from typing import Any, NamedTuple

from sqlalchemy import select

from farmdesk.domain.codes import kind_of
from farmdesk.store.schema import DAYBOOK, TABLES
from farmdesk.store.transaction import Reading

_RETURN, _LINE, _LINK = (TABLES[kind].c for kind in ("goods_return", "delivery_line", "link"))


class Returned(NamedTuple):
    """What came back of one lot of one delivery, mg."""

    delivery: int
    lot: int
    amount_mg: int


def goods_returned(reading: Reading) -> list[Returned]:
    """Everything that ever came back; returns are rare, so they are read whole."""
    statement: Any = (
        select(_LINE.delivery, _LINE.lot, _RETURN.amount_mg)
        .join_from(TABLES["goods_return"], TABLES["delivery_line"])
        .order_by(_RETURN.id)
    )
    return [Returned(row[0], row[1], int(row[2])) for row in reading.run(statement)]


def returned_of_picks(reading: Reading) -> dict[int, int]:
    """What came back of each pick, mg: loose, or in packs by the share it has in them."""
    found: dict[int, int] = {}
    packed: dict[int, int] = {}
    for one in goods_returned(reading):
        into = packed if kind_of(one.lot) == "pack" else found
        into[one.lot] = into.get(one.lot, 0) + one.amount_mg
    for pack, amount_mg in packed.items():
        rows = reading.run(select(_LINK.parent, _LINK.amount_mg).where(_LINK.child == pack))
        parts = [(row[0], int(row[1])) for row in rows]
        whole = sum(mg for _, mg in parts)
        for pick, mg in parts:
            if kind_of(pick) == "pick" and whole:
                found[pick] = found.get(pick, 0) + amount_mg * mg // whole
    return found


def returned_of_deliveries(reading: Reading, lots: Collection[int]) -> dict[int, int]:
    """What came back of each delivery, mg, counting these lots alone."""
    found: dict[int, int] = {}
    for one in goods_returned(reading):
        if one.lot in lots:
            found[one.delivery] = found.get(one.delivery, 0) + one.amount_mg
    return found


def entries_of_returns(reading: Reading, thing: int) -> list[tuple[str, str, int]]:
    """(act, kind, number) of the entries about goods that came back of a lot or a delivery."""
    column = _LINE.delivery if kind_of(thing) == "delivery" else _LINE.lot
    returns = (
        select(_RETURN.id)
        .join_from(TABLES["goods_return"], TABLES["delivery_line"])
        .where(column == thing)
    )
    statement: Any = select(DAYBOOK.c.act, DAYBOOK.c.kind, DAYBOOK.c.number).where(
        DAYBOOK.c.subject.in_(returns), DAYBOOK.c.thing == "goods_return"
    )
    return [(row[0], row[1], int(row[2])) for row in reading.run(statement)]
