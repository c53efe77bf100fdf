"""A week lived through the acts that people do, and the week's report of it."""

from __future__ import annotations

from decimal import Decimal
from functools import partial
from typing import Any

from farmdesk.actions.bags import open_bag
from farmdesk.actions.base import Act, Who, perform
from farmdesk.actions.catalogue import begin_farm, save
from farmdesk.actions.cold_store import remove_stock
from farmdesk.actions.deliveries import DeliverLine, deliver
from farmdesk.actions.inoculation import SpawnUse, inoculate
from farmdesk.actions.invoices import issue_invoice
from farmdesk.actions.lab import register_spawn
from farmdesk.actions.orders import take_order
from farmdesk.actions.packs import make_packs
from farmdesk.actions.picks import record_pick
from farmdesk.actions.undo import undo_last
from farmdesk.domain.bags import Bag
from farmdesk.domain.catalogue import Customer, Product, Reason, Strain
from farmdesk.domain.trade import Order, OrderLine
from farmdesk.quantities.weeks import IsoWeek
from farmdesk.reports.check import check_farm
from farmdesk.reports.stock import on_hand_table
from farmdesk.reports.week import WeekQuestion, WeekReport, week_report
from farmdesk.store.farm_store import FarmStore

WEEK = IsoWeek(2026, 45)
SURE = (
    "weight_unusual", "pick_heavy", "opened_early", "lot_past_shelf_date", "lot_too_old",
    "more_than_ordered",
)  # fmt: skip


def _do(store: FarmStore, action: Any, day: str) -> Any:
    now = f"{day}T12:00:00Z"
    return perform(store, action, who=Who("bench"), now=now, confirmed=SURE).result


def _report(store: FarmStore) -> WeekReport:
    with store.reading() as reading:
        return week_report(reading, WeekQuestion(WEEK), now="2026-11-08T20:00:00Z")


def _grow(store: FarmStore) -> tuple[int, list[int]]:
    """A batch of four blocks of 2.5 kg at 62 % moisture, two of them opened."""
    _do(store, partial(begin_farm, name="Nine Alders"), "2026-10-01")
    with store.reading() as reading:
        strain = reading.all(Strain)[0]
    spawn = _do(store, partial(register_spawn, strain=strain.id, bags=1, each_mg=1_000_000),
                "2026-10-02")[0]  # fmt: skip
    plan = partial(inoculate, strain=strain.id, bags=4, block_mg=2_500_000)
    batch = _do(store, partial(plan, spawn=[SpawnUse(spawn.id, 500_000)]), "2026-10-03")
    with store.reading() as reading:
        bags = [one.id for one in reading.all(Bag, batch=batch.id)]
    for one in bags[:2]:
        _do(store, lambda act, one=one: open_bag(act, act.need(Bag, one)), "2026-10-25")
    return strain.species, bags


def test_what_was_done_is_in_the_weeks_report(store: FarmStore) -> None:
    species, bags = _grow(store)
    pick = _do(store, partial(record_pick, bags=bags[:2], gross_mg=900_000), "2026-11-03")
    assert pick.net_mg == 900_000
    loose = _do(store, lambda act: save(act, Product(0, "Oyster", species, "kg")), "2026-11-03")
    punnet = Product(0, "Punnet", species, "pack", 200_000)
    packed = _do(store, lambda act: save(act, punnet), "2026-11-03")
    buyer = _do(store, lambda act: save(act, Customer(0, "Bluebell Kitchen")), "2026-11-03")
    fill = partial(make_packs, product=packed.id, count=2, from_picks={pick.id: 400_000})
    pack = _do(store, fill, "2026-11-04")
    lines = [
        (loose.id, Decimal("0.3"), "kg", Decimal(20)),
        (packed.id, Decimal(1), "pack", Decimal(6)),
    ]
    order = _do(
        store,
        partial(take_order, customer=buyer.id, due_on="2026-11-05", lines=lines),
        "2026-11-04",
    )
    sent = _do(store, lambda act: _deliver(act, order.id, pick.id, pack.id), "2026-11-05")
    _do(store, lambda act: issue_invoice(act, act.need(type(sent), sent.id)), "2026-11-05")
    with store.reading() as reading:
        waste = next(one for one in reading.all(Reason) if one.use == "waste")
    throw = partial(remove_stock, reason=waste.id, amount_mg=50_000)
    _do(store, lambda act: throw(act, pick.id), "2026-11-06")

    report = _report(store)
    assert report.picked_mg == 900_000
    assert [(one.measured_mg, one.allocated_mg) for one in report.batches] == [(0, 900_000)]
    whole = report.yields[-1]
    # two opened and four made blocks of 2.5 kg with 38 % dry matter: 0.95 kg each
    assert whole.efficiency_opened_percent == Decimal(90) / Decimal("1.9")
    assert whole.efficiency_made_percent == Decimal(90) / Decimal("3.8")
    assert report.sold_mg == 300_000 + 200_000
    assert report.sold_total == Decimal("12.00")
    assert report.invoiced.total == report.invoiced.net == Decimal("12.00")
    assert report.removed_mg("waste") == 50_000
    assert report.stock_mg == 900_000 - report.sold_mg - report.removed_mg("waste")
    with store.reading() as reading:
        in_stock = on_hand_table(reading, now="2026-11-08T20:00:00Z").totals
    assert in_stock is not None
    assert report.stock_mg in in_stock
    assert check_farm(store).is_clean


def _deliver(act: Act, order: int, pick: int, pack: int) -> Any:
    asked = act.tx.all(OrderLine, order=order)
    lines = [
        DeliverLine(asked[0].product, pick, amount_mg=300_000, order_line=asked[0].id),
        DeliverLine(asked[1].product, pack, count=1, order_line=asked[1].id),
    ]
    return deliver(act, act.need(Order, order), lines)


def test_what_was_taken_back_is_not_in_it(store: FarmStore) -> None:
    _, bags = _grow(store)
    _do(store, partial(record_pick, bags=bags[:1], gross_mg=500_000), "2026-11-03")
    assert _report(store).picked_mg == 500_000
    _do(store, undo_last, "2026-11-03")
    report = _report(store)
    assert report.picked_mg == 0
    assert report.yields == ()
    assert report.stock == ()
