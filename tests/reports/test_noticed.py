"""Each kind of line that the program notices by itself: there for its cause, gone after the act.

The figures are those of `trading_farm`, added up by hand.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from typing import Any

from trading_farm import NOW, TradingFarm

from farmdesk.actions.base import Act, perform
from farmdesk.actions.costs import begin_labour, end_labour
from farmdesk.actions.growth import measure_culture
from farmdesk.actions.invoices import mark_paid
from farmdesk.actions.stocktakes import begin_stocktake, drop_stocktake
from farmdesk.domain.bags import Bag, Batch
from farmdesk.domain.catalogue import Ingredient, Room
from farmdesk.domain.costs import Purchase
from farmdesk.domain.lab import Culture, HeatRun, RunIngredient
from farmdesk.domain.trade import Invoice
from farmdesk.reports.today import list_today
from farmdesk.reports.today_rows import NOTICED, TodayRow
from farmdesk.store.farm_store import FarmStore

NEXT_DAY = "2026-11-23T20:00:00Z"
DECEMBER = "2026-12-04T20:00:00Z"


def _do(store: FarmStore, action: Callable[[Act], Any], now: str = NOW) -> Any:
    return perform(store, action, now=now, happened_at=now).result


_OF_BAGS = ("incubation", "sums")
"""The bags of `trading_farm` are neither walked nor colonised: told in the tests of just that."""


def _noticed(store: FarmStore, now: str = NOW, place: str = "") -> list[TodayRow]:
    """What is noticed: of one place, or of all places but those about bags."""
    with store.reading() as reading:
        rows = [row for row in list_today(reading, now=now) if row.section == NOTICED]
    if place:
        return [row for row in rows if row.place == place]
    return [row for row in rows if row.place not in _OF_BAGS]


def test_nothing_is_noticed_on_a_farm_in_order(store: FarmStore, trading: TradingFarm) -> None:
    assert _noticed(store) == []


def test_a_room_is_full_until_it_holds_enough(store: FarmStore, trading: TradingFarm) -> None:
    # five bags of OY01-0002 stand on the shelves
    room = trading.ids["Shelves"]

    def hold(act: Act, capacity: int) -> None:
        act.change("room_changed", act.need(Room, room), capacity=capacity)

    _do(store, lambda act: hold(act, 4))
    (row,) = _noticed(store)
    assert (row.name, row.reason) == ("Shelves", "5 bags stand in a room for 4")
    assert (row.place, row.subject) == ("rooms", "climate:Shelves")
    _do(store, lambda act: hold(act, 5))
    assert _noticed(store) == []


def test_unpaid_invoices_are_one_line_for_each_customer(
    store: FarmStore, trading: TradingFarm
) -> None:
    # all are due on December 1: 11.86 + 5.33 + 1.07 = 18.26 and 6.50
    assert _noticed(store, "2026-12-01T20:00:00Z") == []
    reasons = {row.name: row.reason for row in _noticed(store, DECEMBER)}
    assert reasons == {
        "Bluebell Kitchen": "3 invoices unpaid, $18.26, the oldest due 3 days ago",
        "=Fern Market": "1 invoice unpaid, $6.50, the oldest due 3 days ago",
    }

    with store.reading() as reading:
        bills = reading.all(Invoice)

    def pay_all(act: Act) -> None:
        for bill in bills:
            mark_paid(act, bill)

    _do(store, pay_all, DECEMBER)
    assert _noticed(store, DECEMBER) == []


def test_a_stocktake_left_open_is_told_from_the_next_day(
    store: FarmStore, trading: TradingFarm
) -> None:
    count = _do(store, begin_stocktake)
    assert _noticed(store) == []
    (row,) = _noticed(store, NEXT_DAY)
    assert (row.name, row.place, row.due) == (count.name, "cold_store", "2026-11-22")
    _do(store, lambda act: drop_stocktake(act, count.id), NEXT_DAY)
    assert _noticed(store, NEXT_DAY) == []


def test_a_clock_left_running_is_told_from_the_next_day(
    store: FarmStore, trading: TradingFarm
) -> None:
    work = _do(store, lambda act: begin_labour(act, task="picking"))
    assert _noticed(store) == []
    (row,) = _noticed(store, NEXT_DAY)
    assert (row.what, row.place, row.subject) == ("picking", "costs", "labour")
    stop = perform(
        store, lambda act: end_labour(act, work.id), now="2026-11-22T22:00:00Z",
        happened_at="2026-11-22T22:00:00Z",
    )  # fmt: skip
    assert stop.result.minutes == 120
    assert _noticed(store, NEXT_DAY) == []


def test_a_slow_culture_is_told_while_it_is_kept(store: FarmStore, trading: TradingFarm) -> None:
    # 3 mm a day before, 2 mm a day now: a third slower, and 15 % is the alarm
    def grow(act: Act) -> Culture:
        first = act.need(Culture, trading.ids["culture"])
        later = replace(first, id=act.next_id("culture"), name="C-OY01-0002", made_on="2026-11-01")
        slow: Culture = act.make("culture_registered", later)
        for culture, mm in ((first, 3), (slow, 2)):
            for day in (10, 14, 18):
                measure_culture(
                    act, culture.id, radius_um=mm * day * 1000, looked_on=f"2026-11-{day}"
                )
        return slow

    slow = _do(store, grow)
    (row,) = _noticed(store)
    assert (row.name, row.reason) == ("C-OY01-0002", "grows 2.0 mm a day, its strain did 3.0")
    assert (row.place, row.due) == ("lab", "2026-11-18")
    _do(
        store,
        lambda act: act.change("culture_discarded", act.need(Culture, slow.id), status="discarded"),
    )
    assert _noticed(store) == []


def test_a_batch_that_is_not_colonised_in_its_days_lags(
    store: FarmStore, trading: TradingFarm
) -> None:
    with store.reading() as reading:
        growing = [one for one in reading.all(Batch) if one.name == "OY01-0002"]

    def expect(act: Act, day: str) -> None:
        act.change("batch_changed", act.need(Batch, growing[0].id), ready_from=day, ready_to=day)

    _do(store, lambda act: expect(act, "2026-11-20"))
    assert _noticed(store, place="incubation") == [], "two days: the next walk's business"
    _do(store, lambda act: expect(act, "2026-11-18"))
    (row,) = _noticed(store, place="incubation")
    assert (row.name, row.due) == ("OY01-0002", "2026-11-18")
    assert row.reason.endswith("not colonised, 4 days after the last day expected")


def test_bags_that_nobody_saw_for_two_walks_are_told(
    store: FarmStore, trading: TradingFarm
) -> None:
    (row,) = _noticed(store, place="sums")
    assert (row.subject, row.due) == ("slow", "2026-11-01")
    assert row.reason.startswith("8 bags not seen for more than 14 days")

    def look(act: Act) -> None:
        for bag in act.tx.all(Bag):
            act.change("bag_looked_at", bag, looked_on="2026-11-08")

    _do(store, look)
    assert _noticed(store, place="sums") == [], "seen fourteen days ago is not longer"


def test_goods_are_low_when_less_is_left_than_went_lately(
    store: FarmStore, trading: TradingFarm
) -> None:
    kilogram = 1_000_000

    def weigh(act: Act, run_on: str, amount: int) -> None:
        run = act.tx.all(HeatRun)[0]
        used = act.make(
            "run_noted", replace(run, id=act.next_id("run"), name=f"R-{run_on}", run_on=run_on)
        )
        bran = act.tx.first(Ingredient, name="Wheat bran") or act.make(
            "ingredient_made", Ingredient(act.next_id("ingredient"), "Wheat bran", Decimal(12))
        )
        act.make(
            "ingredient_weighed",
            RunIngredient(act.next_id("run_ingredient"), used.id, bran.id, amount),
        )

    def buy(act: Act, amount: int) -> None:
        bran = act.tx.first(Ingredient, name="Wheat bran")
        assert bran is not None
        act.make(
            "goods_received",
            Purchase(act.next_id("purchase"), bran.id, amount_mg=amount, received_on="2026-08-01"),
        )

    _do(store, lambda act: weigh(act, "2026-11-10", 30 * kilogram))
    assert _noticed(store) == [], "what was never bought by the books is not counted"
    _do(store, lambda act: weigh(act, "2026-09-01", 15 * kilogram))
    _do(store, lambda act: buy(act, 70 * kilogram))
    (row,) = _noticed(store)
    assert (row.place, row.name) == ("costs", "Wheat bran")
    # 70 kg came, 45 kg went, 30 kg of them within four weeks of 22 November.
    assert row.reason == "25.00 kg left by the books, 30.00 kg went in 4 weeks"
    _do(store, lambda act: buy(act, 10 * kilogram))
    assert _noticed(store) == []


def test_where_very_many_lag_one_line_tells_of_the_rest(
    store: FarmStore, trading: TradingFarm
) -> None:
    with store.reading() as reading:
        (late,) = [one for one in reading.all(Batch) if one.name == "OY01-0002"]
        (bag, *_) = [one for one in reading.all(Bag, batch=late.id) if one.stage == "incubating"]

    def more(act: Act) -> None:
        for number in range(1, 12):
            batch = act.make(
                "batch_made",
                replace(late, id=act.next_id("batch"), name=f"OY01-09{number:02d}",
                        ready_to=f"2026-09-{number:02d}"),
            )  # fmt: skip
            act.make("bag_made", replace(bag, id=act.next_id("bag"), batch=batch.id, number=1))

    _do(store, more)
    found = _noticed(store, place="incubation")
    assert [row.name for row in found] == [f"OY01-09{number:02d}" for number in range(1, 9)]
    rest = [row.reason for row in _noticed(store, place="sums")]
    # Eleven made here and the farm's own one, less the eight that are told.
    assert "4 batches more not colonised in their days" in rest
