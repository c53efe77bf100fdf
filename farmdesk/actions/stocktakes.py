"""Counting the cold store: lots are seen one by one, then the records are put right as entries."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

from farmdesk.actions.base import Act
from farmdesk.actions.catalogue_checks import check_text
from farmdesk.actions.cold_store import mass_of_packs, need_lot, next_weights, place_stock
from farmdesk.actions.pick_shares import shown_mass
from farmdesk.domain.catalogue import Reason, Room
from farmdesk.domain.harvest import Pack, PackWeight, Pick, Removal
from farmdesk.domain.stocktake import CountedLot, StockCount, Stocktake
from farmdesk.errors import Refused, problem
from farmdesk.store.stocktakes import counted_lots, open_stocktake

COUNT_USE = "count"
"""The use of the reason under which differences of a count are written."""


@dataclass(frozen=True)
class StocktakeResult:
    """What finishing did: lots whose records were put right, moved, and left as they were."""

    stocktake: Stocktake
    corrected: tuple[CountedLot, ...]
    moved: tuple[CountedLot, ...]
    left: tuple[CountedLot, ...]


def begin_stocktake(act: Act, *, room: int | None = None, note: str = "") -> Stocktake:
    """Begin to count a room, or everything; refused while another count is open."""
    found = list(check_text("note", note, needed=False, long=True))
    under_way = open_stocktake(act.tx)
    if under_way is not None:
        found.append(problem("stocktake_open", stocktake=under_way.name))
    if found:
        raise Refused(*found)
    if room is not None:
        act.need(Room, room)
    number = act.next_id("stocktake")
    return act.make(
        "stocktake_begun",
        Stocktake(
            id=number,
            name=f"T-{number:04d}",
            started_at=act.happened_at,
            room=room,
            person=act.who.person,
            note=note.strip(),
        ),
    )


def count_lot(
    act: Act, stocktake: int, lot_id: int, *, packs: int = 1, amount_mg: int | None = None
) -> StockCount:
    """A lot was seen: packs are added to those counted, a mass replaces the one before.

    Raises Refused when the count is closed, more packs are counted than were made, or more is
    weighed than was picked.
    """
    count = _need_open(act, stocktake)
    lot = need_lot(act, lot_id)
    before = act.tx.first(StockCount, stocktake=count.id, lot=lot.id)
    if isinstance(lot, Pack):
        seen = packs + (before.packs if before is not None else 0)
        _check_packs(lot, seen)
        wanted: dict[str, object] = {"packs": seen}
    else:
        _check_mass(act, lot, amount_mg)
        wanted = {} if amount_mg is None else {"amount_mg": amount_mg}
    if before is not None:
        seen_now = {"counted_at": act.happened_at, **wanted}
        return act.change_fields("lot_counted", before, seen_now)
    made = StockCount(act.next_id("stock_count"), count.id, lot.id, counted_at=act.happened_at)
    return act.make("lot_counted", _with(made, wanted))


def finish_stocktake(act: Act, stocktake: int, *, leave: Collection[int] = ()) -> StocktakeResult:
    """Put the records right by the count, but for the lots to `leave`, and close it.

    A lot that nobody saw is written off; packs and weighed crates get what was counted; a lot
    seen in this room is placed here. All differences are entries that can be undone.
    """
    count = _need_open(act, stocktake)
    corrected, moved, left = [], [], []
    for lot in counted_lots(act.tx, count):
        if lot.lot in leave or lot.state == "weigh it":
            if lot.difference or lot.is_misplaced or lot.state == "weigh it":
                left.append(lot)
            continue
        if lot.difference:
            _correct(act, count, lot)
            corrected.append(lot)
        if lot.is_misplaced:
            place_stock(act, lot.lot, room=count.room)
            moved.append(lot)
    done = act.change("stocktake_finished", count, status="finished", finished_at=act.happened_at)
    return StocktakeResult(done, tuple(corrected), tuple(moved), tuple(left))


def drop_stocktake(act: Act, stocktake: int) -> Stocktake:
    """Close a count without putting anything right."""
    count = _need_open(act, stocktake)
    return act.change("stocktake_dropped", count, status="dropped", finished_at=act.happened_at)


def _need_open(act: Act, stocktake: int) -> Stocktake:
    count = act.need(Stocktake, stocktake)
    if count.status != "open":
        raise Refused(problem("stocktake_closed", stocktake=count.name))
    return count


def _check_packs(lot: Pack, seen: int) -> None:
    if seen < 0:
        raise Refused(problem("amount_missing", field="count", lot=lot.name))
    if seen > lot.count:
        raise Refused(problem("counted_above_made", field="count", lot=lot.name, made=lot.count))


def _check_mass(act: Act, lot: Pick, amount_mg: int | None) -> None:
    if amount_mg is None:
        return
    if amount_mg < 0:
        raise Refused(problem("amount_missing", field="amount_mg", lot=lot.name))
    if amount_mg > (lot.net_mg or 0):
        picked = shown_mass(act, lot.net_mg or 0)
        raise Refused(
            problem("weighed_above_picked", field="amount_mg", lot=lot.name, picked=picked)
        )


def _with(made: StockCount, wanted: dict[str, object]) -> StockCount:
    values = {name: getattr(made, name) for name in StockCount.__dataclass_fields__}
    return StockCount(**{**values, **wanted})


def _correct(act: Act, count: Stocktake, counted: CountedLot) -> None:
    """Write the difference as a removal; one below nothing puts stock back into the record."""
    lot = need_lot(act, counted.lot)
    weights: list[PackWeight] = []
    if isinstance(lot, Pack):
        packs = -counted.difference
        weights = _weights_counted(act, lot, packs)
        sign = 1 if packs > 0 else -1
        alone = sign * sum(one.net_mg for one in weights)
        mass = alone if weights else mass_of_packs(act, lot, packs)
        act.change("stock_taken", lot, left=lot.left - packs)
    else:
        packs, mass = 0, -counted.difference
        act.change("stock_taken", lot, left_mg=lot.left_mg - mass)
    removal = act.make(
        "stock_removed",
        Removal(
            id=act.next_id("removal"),
            lot=lot.id,
            reason=_reason(act).id,
            amount_mg=mass,
            count=packs,
            removed_at=act.happened_at,
            person=act.who.person,
            note=count.name,
        ),
    )
    for one in weights:
        into = removal.id if packs > 0 else None
        act.change("pack_weight_counted", one, removal=into, delivery_line=None)


def _weights_counted(act: Act, lot: Pack, packs: int) -> list[PackWeight]:
    """Of packs weighed one by one: the next are missing, or the last that left are there."""
    if packs > 0:
        return next_weights(act, lot, packs)
    gone = [one for one in act.tx.all(PackWeight, pack=lot.id) if not one.is_there]
    # What was sold is in a customer's hands: what is found was thrown away on paper alone.
    gone.sort(key=lambda one: (one.delivery_line is None, one.number))
    return gone[packs:]


def _reason(act: Act) -> Reason:
    found = act.tx.first(Reason, use=COUNT_USE)
    if found is not None:
        return found
    made = Reason(act.next_id("reason"), "counted", "Counted at a stocktake", COUNT_USE, 0)
    return act.make("reason_made", made)
