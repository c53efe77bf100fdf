"""The mill's stall: what is taken along on Saturday, what comes back, and the money counted."""

from __future__ import annotations

from decimal import Decimal
from random import Random

from mill_catalogue import Mill
from mill_diary import Diary

from farmdesk.actions.base import Act
from farmdesk.actions.markets import LoadLine, SoldLine, close_market, load_market, open_market
from farmdesk.domain.catalogue import Product
from farmdesk.domain.harvest import Pack, Pick
from farmdesk.domain.trade import MarketDay, MarketLine

_FEE, _CHANGE = Decimal("22.00"), Decimal("60.00")
_MG_PER_LB = Decimal("453592.37")
_MOST_LOOSE = 8


def stand_at_market(
    diary: Diary,
    mill: Mill,
    lots: list[Pick | Pack],
    loose: dict[int | None, Product],
    *,
    chance: Random,
    waste: int,
) -> None:
    """Load the van, sell, bring back what is left, and count the cash."""
    loads = _loads(diary, lots, loose, chance)
    if not loads:
        return
    customer = mill.customers["market"]
    day = diary.do(
        lambda act: open_market(act, customer=customer, fee=_FEE, change_money=_CHANGE),
        person="wren",
    )
    lines = diary.do(lambda act: load_market(act, day, loads), person="wren")
    counts = [_count(one, chance) for one in lines]
    diary.do(lambda act: _close(act, day, counts, waste, chance), person="wren")


def note_next(diary: Diary, mill: Mill, held_on: str) -> None:
    """The next stall stands in the book before anything is loaded."""
    customer = mill.customers["market"]
    diary.do(
        lambda act: open_market(
            act, customer=customer, held_on=held_on, fee=_FEE, change_money=_CHANGE
        ),
        person="wren",
    )


def _loads(
    diary: Diary, lots: list[Pick | Pack], loose: dict[int | None, Product], chance: Random
) -> list[LoadLine]:
    """All packs that are fresh, and some of the fuller crates."""
    today = diary.day.isoformat()
    loads: list[LoadLine] = []
    for lot in lots:
        if (lot.shelf_on or "") < today:
            continue
        if isinstance(lot, Pack):
            loads.append(LoadLine(lot.product, lot.id, Decimal(lot.left)))
        elif lot.left_mg > 900_000 and len(loads) < _MOST_LOOSE:
            share = Decimal(chance.randint(30, 70)) / 100
            pounds = (lot.left_mg * share / _MG_PER_LB).quantize(Decimal("0.1"))
            loads.append(LoadLine(loose[lot.species].id, lot.id, pounds))
    return loads


def _count(line: MarketLine, chance: Random) -> SoldLine:
    """Most is sold; what comes back of loose goods is weighed to a tenth of a pound."""
    back = line.taken * Decimal(chance.choice((0, 0, 5, 10, 20, 30))) / 100
    step = Decimal(1) if line.unit == "pack" else Decimal("0.1")
    lost = step if line.taken > 4 * step and chance.random() < 0.15 else Decimal(0)
    return SoldLine(line.id, min(back.quantize(step), line.taken - lost), lost)


def _close(
    act: Act, day: MarketDay, counts: list[SoldLine], waste: int, chance: Random
) -> MarketDay:
    """The cash box agrees with the sums, or nearly so."""
    closed, _ = close_market(act, act.need(MarketDay, day.id), counts, waste=waste)
    taken = sum((one.total for one in act.tx.all(MarketLine, market_day=day.id)), Decimal(0))
    card = (taken * Decimal(chance.choice((30, 40, 50))) / 100).quantize(Decimal("0.01"))
    slip = Decimal(chance.choice(("0", "0", "0", "-1.00", "0.50")))
    cash = max(Decimal(0), _CHANGE + taken - card + slip)
    return act.change("market_closed", closed, cash=cash, card=card)
