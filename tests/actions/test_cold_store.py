"""The cold store: what leaves unsold, and that no lot goes below nothing."""

from __future__ import annotations

import pytest
from harvest_farm import KG

from farmdesk.actions.cold_store import place_stock, remove_stock
from farmdesk.actions.picks import start_pick
from farmdesk.actions.undo import undo_last
from farmdesk.domain.catalogue import Room
from farmdesk.domain.harvest import Pack, Pick, Removal
from farmdesk.errors import NotFound
from farmdesk.reports.stock import balance_table, lot_balances, on_hand_table, stock_on_hand

NOW = "2026-03-02T12:00:00Z"


@pytest.mark.parametrize("use", ["waste", "gift", "own", "drying"])
def test_an_amount_of_a_pick_leaves_for_a_reason(harvest, pick, use):
    reason = harvest.reasons[use]
    removal = harvest.do(
        lambda act: remove_stock(act, pick.id, reason=reason, amount_mg=300_000, note="Soft")
    )
    assert (removal.lot, removal.amount_mg, removal.count) == (pick.id, 300_000, 0)
    assert harvest.get(Pick, pick.id).left_mg == 1_700_000
    harvest.clean()
    harvest.do(undo_last)
    assert harvest.get(Pick, pick.id) == pick
    assert harvest.get(Removal, removal.id) is None


def test_packs_leave_by_count_and_all_of_a_lot_leaves_when_nothing_is_said(harvest, packs):
    waste = harvest.reasons["waste"]
    some = harvest.do(lambda act: remove_stock(act, packs.id, reason=waste, count=1))
    assert (some.count, some.amount_mg) == (1, 250_000)
    rest = harvest.do(lambda act: remove_stock(act, packs.id, reason=waste))
    assert (rest.count, rest.amount_mg) == (3, 750_000)
    assert harvest.get(Pack, packs.id).left == 0
    assert harvest.refusal(lambda act: remove_stock(act, packs.id, reason=waste)) == ["lot_empty"]
    harvest.clean()


@pytest.mark.parametrize(
    ("lot", "options", "code"),
    [
        ("pick", {"amount_mg": 1_000_001}, "lot_overdrawn"),
        ("pick", {"amount_mg": 0}, "amount_missing"),
        ("pick", {"amount_mg": -1}, "amount_missing"),
        ("pick", {"count": 1}, "pick_has_no_packs"),
        ("packs", {"count": 5}, "lot_overdrawn"),
        ("packs", {"count": -1}, "amount_missing"),
        ("packs", {"amount_mg": 250_000}, "packs_are_counted"),
        ("pick", {"use": "discard"}, "reason_not_for_stock"),
        ("pick", {"note": "\x07"}, "text_not_printable"),
    ],
)
def test_what_is_not_there_cannot_leave(harvest, pick, packs, lot, options, code):
    lot_id = {"pick": pick.id, "packs": packs.id}[lot]
    options = dict(options)
    reason = harvest.reasons[options.pop("use", "waste")]
    before = (harvest.get(Pick, pick.id), harvest.get(Pack, packs.id))
    codes = harvest.refusal(lambda act: remove_stock(act, lot_id, reason=reason, **options))
    assert codes == [code]
    assert (harvest.get(Pick, pick.id), harvest.get(Pack, packs.id)) == before


def test_only_weighed_lots_can_leave(harvest):
    waste = harvest.reasons["waste"]
    empty = harvest.do(lambda act: start_pick(act, species=harvest.species["OY"]))
    codes = harvest.refusal(lambda act: remove_stock(act, empty.id, reason=waste))
    assert codes == ["pick_not_weighed"]
    with pytest.raises(NotFound):
        harvest.do(lambda act: remove_stock(act, harvest.bags["OY"][0], reason=waste))


def test_a_lot_is_put_into_a_room(harvest, pick):
    room = harvest.do(
        lambda act: act.make("room_made", Room(act.next_id("room"), "Walk-in", "cold store", 50))
    )
    assert harvest.do(lambda act: place_stock(act, pick.id, room=room.id)).room == room.id


def test_stock_is_listed_by_shelf_date_and_says_how_it_stands(harvest):
    fresh = harvest.pick("OY", 1 * KG)
    ageing = harvest.pick("OY", 1 * KG, on="2026-02-24")
    past = harvest.pick("OY", 1 * KG, on="2026-02-10")
    shiitake = harvest.pick("SH", 1 * KG)
    with harvest.store.reading() as reading:
        found = stock_on_hand(reading, now=NOW)
        table = on_hand_table(reading, now=NOW)
    assert [(one.row.lot, one.state) for one in found] == [
        (past.name, "past its date"),
        (ageing.name, "past sell-by"),
        (fresh.name, "good"),
        (shiitake.name, "good"),
    ]
    assert [row[0] for row in table.rows] == [one.row.lot for one in found]
    assert table.totals[5] == 4 * KG


def test_the_balance_of_a_lot_says_where_all_of_it_went(harvest, pick, packs):
    for use, amount in (("waste", 100_000), ("gift", 50_000), ("own", 25_000), ("drying", 5_000)):
        reason = harvest.reasons[use]
        harvest.do(
            lambda act, r=reason, mg=amount: remove_stock(act, pick.id, reason=r, amount_mg=mg)
        )
    harvest.do(lambda act: remove_stock(act, packs.id, reason=harvest.reasons["waste"], count=2))
    with harvest.store.reading() as reading:
        (row,) = lot_balances(reading, now=NOW)
        table = balance_table(reading, now=NOW)
    amounts = row.balance.amounts
    assert row.packed_mg == 1 * KG
    assert (amounts.waste_mg, amounts.gifts_mg) == (100_000, 50_000)
    assert (amounts.own_use_mg, amounts.drying_mg) == (25_000, 5_000)
    assert amounts.on_hand_mg == 820_000
    assert (row.balance.unexplained_mg, row.balance.flag) == (0, "balanced")
    (shown,) = table.rows
    assert shown[4] == sum(shown[5:12]) + shown[12] == 2 * KG


def test_an_old_empty_lot_is_left_out_of_the_balance(harvest):
    old = harvest.pick("OY", 1 * KG, on="2026-01-20")
    kept = harvest.pick("OY", 1 * KG, on="2026-01-21")
    waste = harvest.reasons["waste"]
    harvest.do(lambda act: remove_stock(act, old.id, reason=waste))
    with harvest.store.reading() as reading:
        assert [one.lot.id for one in lot_balances(reading, now=NOW)] == [kept.id]
        since = lot_balances(reading, since="2026-01-01", now=NOW)
    assert [one.lot.id for one in since] == [old.id, kept.id]
