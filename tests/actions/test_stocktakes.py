"""Counting the cold store: what was seen, and records put right that can be taken back."""

from __future__ import annotations

import pytest
from harvest_farm import KG

from farmdesk.actions.cold_store import place_stock, remove_stock
from farmdesk.actions.stocktakes import (
    begin_stocktake,
    count_lot,
    drop_stocktake,
    finish_stocktake,
)
from farmdesk.actions.undo import undo_last
from farmdesk.domain.catalogue import Room
from farmdesk.domain.harvest import Pack, Pick
from farmdesk.domain.stocktake import Stocktake
from farmdesk.reports.stock import lot_balances
from farmdesk.store.stocktakes import counted_lots


@pytest.fixture
def count(harvest, pick, packs):
    return harvest.do(begin_stocktake)


def states(harvest, count) -> dict[str, str]:
    with harvest.store.reading() as reading:
        return {one.name: one.state for one in counted_lots(reading, count)}


def see(harvest, count, lot, **how):
    return harvest.do(lambda act: count_lot(act, count.id, lot.id, **how))


def test_lots_are_missing_until_they_are_seen(harvest, count, pick, packs):
    assert states(harvest, count) == {pick.name: "missing", packs.name: "missing"}
    see(harvest, count, pick)
    for _ in range(4):
        see(harvest, count, packs)
    assert states(harvest, count) == {pick.name: "as recorded", packs.name: "as recorded"}
    done = harvest.do(lambda act: finish_stocktake(act, count.id))
    assert (done.corrected, done.moved, done.left) == ((), (), ())
    assert harvest.get(Pick, pick.id).left_mg == 1 * KG
    harvest.clean()


def test_what_is_missing_or_less_is_written_off_and_can_be_taken_back(harvest, count, pick, packs):
    see(harvest, count, packs, packs=3)
    done = harvest.do(lambda act: finish_stocktake(act, count.id))
    assert {one.name: one.difference for one in done.corrected} == {
        pick.name: -1 * KG, packs.name: -1,
    }  # fmt: skip
    assert (harvest.get(Pick, pick.id).left_mg, harvest.get(Pack, packs.id).left) == (0, 3)
    harvest.clean()
    with harvest.store.reading() as reading:
        balance = {one.lot.name: one.balance for one in lot_balances(reading, since="2026-01-01")}
    assert balance[pick.name].unexplained_mg == 1 * KG
    harvest.do(undo_last)
    assert (harvest.get(Pick, pick.id).left_mg, harvest.get(Pack, packs.id).left) == (1 * KG, 4)
    assert harvest.get(Stocktake, count.id).status == "open"
    harvest.clean()


def test_more_than_recorded_comes_back_into_the_records(harvest, pick, packs):
    waste = harvest.reasons["waste"]
    harvest.do(lambda act: remove_stock(act, packs.id, reason=waste, count=2))
    harvest.do(lambda act: remove_stock(act, pick.id, reason=waste))
    count = harvest.do(begin_stocktake)
    see(harvest, count, packs, packs=3)
    see(harvest, count, pick)
    assert states(harvest, count) == {pick.name: "weigh it", packs.name: "more"}
    see(harvest, count, pick, amount_mg=400_000)
    harvest.do(lambda act: finish_stocktake(act, count.id))
    assert harvest.get(Pack, packs.id).left == 3
    assert harvest.get(Pick, pick.id).left_mg == 400_000
    harvest.clean()


def test_a_lot_that_must_be_weighed_or_is_left_out_stays_as_it_is(harvest, pick, packs):
    waste = harvest.reasons["waste"]
    harvest.do(lambda act: remove_stock(act, pick.id, reason=waste))
    count = harvest.do(begin_stocktake)
    see(harvest, count, pick)
    done = harvest.do(lambda act: finish_stocktake(act, count.id, leave={packs.id}))
    assert {one.name for one in done.left} == {pick.name, packs.name}
    assert (harvest.get(Pick, pick.id).left_mg, harvest.get(Pack, packs.id).left) == (0, 4)


def test_only_the_room_counted_is_looked_at_and_strays_are_placed(harvest, pick, packs):
    cold, porch = (
        harvest.do(
            lambda act, name=name: act.make(
                "room_made", Room(act.next_id("room"), name, "cold store", 50)
            )
        )
        for name in ("Walk-in", "Porch")
    )
    harvest.do(lambda act: place_stock(act, pick.id, room=porch.id))
    harvest.do(lambda act: place_stock(act, packs.id, room=porch.id))
    count = harvest.do(lambda act: begin_stocktake(act, room=cold.id))
    assert states(harvest, count) == {}
    see(harvest, count, pick)
    done = harvest.do(lambda act: finish_stocktake(act, count.id))
    assert [one.name for one in done.moved] == [pick.name]
    assert harvest.get(Pick, pick.id).room == cold.id
    assert harvest.get(Pack, packs.id).left == 4


def test_what_cannot_be_is_refused(harvest, count, pick, packs):
    def codes(action):
        return harvest.refusal(action)

    assert codes(begin_stocktake) == ["stocktake_open"]
    assert codes(lambda act: count_lot(act, count.id, packs.id, packs=5)) == ["counted_above_made"]
    assert codes(lambda act: count_lot(act, count.id, packs.id, packs=-1)) == ["amount_missing"]
    assert codes(lambda act: count_lot(act, count.id, pick.id, amount_mg=3 * KG)) == [
        "weighed_above_picked"
    ]
    assert codes(lambda act: count_lot(act, count.id, pick.id, amount_mg=-1)) == ["amount_missing"]
    harvest.do(lambda act: drop_stocktake(act, count.id))
    assert codes(lambda act: count_lot(act, count.id, pick.id)) == ["stocktake_closed"]
    assert codes(lambda act: finish_stocktake(act, count.id)) == ["stocktake_closed"]
    assert harvest.get(Pick, pick.id).left_mg == 1 * KG
