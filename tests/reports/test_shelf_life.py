"""Shelf life from what lots went through: the worked history, warm hours, and printed dates."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from trading_farm import TradingFarm

from farmdesk.actions.base import Act, perform
from farmdesk.actions.climate import import_readings, set_shelf_rule, shorten_shelf_dates
from farmdesk.actions.cold_store import place_stock
from farmdesk.arithmetic.packed_readings import make_readings
from farmdesk.domain.bags import Link
from farmdesk.domain.catalogue import Farm, Room, StorageLife
from farmdesk.domain.harvest import Pack, Pick
from farmdesk.domain.trade import Delivery, DeliveryLine
from farmdesk.errors import Refused
from farmdesk.reports.shelf_life import (
    LONGER,
    TOO_LATE,
    UNKNOWN,
    LotLife,
    dates_to_shorten,
    lives_table,
    read_shelf,
)
from farmdesk.reports.warm_spells import find_warm_spells, spells_table, touched_table
from farmdesk.store.climate import second_of
from farmdesk.store.farm_store import FarmStore

PICKED, NOW = "2026-03-02T09:00:00Z", "2026-03-05T09:00:00Z"
NODES = (("0", "22"), ("5", "15"), ("10", "7"), ("20", "3.5"))


def do(store: FarmStore, action: Any, now: str = NOW) -> Any:
    return perform(store, action, now=now, happened_at=now).result


def settle(act: Act, trading: TradingFarm, *, percent: int = 70) -> None:
    """The lives of the worked case, a farm on UTC, and a room to stand in."""
    act.change("farm_changed", act.need(Farm, 1), zone="UTC", sell_by_percent=percent)
    for celsius, days in NODES:
        act.make(
            "storage_life_made",
            StorageLife(act.next_id("storage_life"), trading.ids["OY"], "loose", Decimal(celsius),
                        Decimal(days), "worked case", "common practice"),
        )  # fmt: skip
    trading.ids["Dock"] = act.make("room_made", Room(act.next_id("room"), "Dock", "lab", 9)).id


def pick(
    act: Act, trading: TradingFarm, *, shelf_on: str = "2026-03-19", sell_by: str = "2026-03-14"
) -> Pick:
    return act.make(
        "pick_weighed",
        Pick(act.next_id("pick"), "P-OY-0900", trading.ids["OY"], None, 1, "A", PICKED, 900_000,
             0, 900_000, "", 900_000, shelf_on, sell_by, trading.ids["Cold"], "weighed"),
    )  # fmt: skip


def read_in(act: Act, room: int, hours: list[float], since: str = PICKED) -> None:
    """One reading at the middle of each hour."""
    start = second_of(since) + 1_800
    rows = [(start + 3_600 * at, celsius, None, None) for at, celsius in enumerate(hours)]
    import_readings(act, room=room, logger="L", readings=make_readings(rows))


def life_of(store: FarmStore, name: str = "P-OY-0900") -> LotLife:
    with store.reading() as reading:
        book = read_shelf(reading, now=NOW)
    return next(one for one in book.on_hand() if one.lot.facts.name == name)


# Lives 22, 15, 7 and 3.5 days at 0, 5, 10 and 20 C; 3 h at 20, 60 h at 3, 9 h at 10: 0.2323 used,
# 13.42 days left at 3 C, end on 2026-03-18. Worked case, common practice, no source; recomputed.
def test_the_worked_history(store: FarmStore, trading: TradingFarm) -> None:
    do(store, lambda act: settle(act, trading), PICKED)
    do(store, lambda act: pick(act, trading), PICKED)
    warm = [20.0] * 3 + [3.0] * 60 + [10.0] * 9
    do(store, lambda act: read_in(act, trading.ids["Cold"], warm))
    found = life_of(store)
    assert found.used == pytest.approx(0.2323, abs=0.00005)
    assert found.left_days == pytest.approx(13.42, abs=0.01)
    assert found.ends_on == "2026-03-18"
    assert (found.history.hours_read, found.history.hours_set) == (72, 0)
    # Undisturbed at 3 C it would have been the 19th, which is what its label says.
    assert (found.state, found.days_late) == (TOO_LATE, 1)


# Packed after that history: 70 % of the remaining life is 2026-03-14, of the whole 2026-03-13.
@pytest.mark.parametrize(
    ("rule", "sell_by"), [("of_remaining", "2026-03-14"), ("of_total", "2026-03-13")]
)
def test_the_two_rules_of_the_sell_by_day(
    store: FarmStore, trading: TradingFarm, rule: str, sell_by: str
) -> None:
    do(store, lambda act: settle(act, trading), PICKED)
    made = do(store, lambda act: pick(act, trading), PICKED)
    warm = [20.0] * 3 + [3.0] * 60 + [10.0] * 9
    do(store, lambda act: read_in(act, trading.ids["Cold"], warm))
    do(store, lambda act: set_shelf_rule(act, rule))

    def pack(act: Act) -> None:
        packs = Pack(act.next_id("pack"), "K-0900", trading.ids["punnet"], "2026-03-05", 4,
                     800_000, 4, "2026-03-18", sell_by, trading.ids["Cold"])  # fmt: skip
        act.make("packs_made", packs)
        act.make("packs_filled", Link(packs.id, made.id, 800_000))

    do(store, pack)
    found = life_of(store, "K-0900")
    assert (found.ends_on, found.sell_by) == ("2026-03-18", sell_by)
    assert found.used == pytest.approx(0.2323, abs=0.00005)


def test_where_nothing_was_read_the_set_temperature_counts_and_says_so(
    store: FarmStore, trading: TradingFarm
) -> None:
    do(store, lambda act: settle(act, trading), PICKED)
    do(store, lambda act: pick(act, trading), PICKED)
    do(store, lambda act: read_in(act, trading.ids["Cold"], [3.0] * 24))
    found = life_of(store)
    assert (found.history.hours_read, found.history.hours_set) == (24, 48)
    assert found.ends_on == "2026-03-19"
    with store.reading() as reading:
        table = lives_table(read_shelf(reading, now=NOW), [found])
    assert "33.3% of the hours were read" in " ".join(table.notes)
    assert "Every printed date holds." in table.notes


def test_a_lot_is_followed_from_room_to_room(store: FarmStore, trading: TradingFarm) -> None:
    do(store, lambda act: settle(act, trading), PICKED)
    made = do(store, lambda act: pick(act, trading), PICKED)
    do(store, lambda act: read_in(act, trading.ids["Dock"], [10.0] * 72))
    do(store, lambda act: read_in(act, trading.ids["Cold"], [3.0] * 72))
    out, back = "2026-03-03T09:00:00Z", "2026-03-03T15:30:00Z"
    do(store, lambda act: place_stock(act, made.id, room=trading.ids["Dock"]), out)
    do(store, lambda act: place_stock(act, made.id, room=trading.ids["Cold"]), back)
    found = life_of(store)
    hours = {one.temperature_c: one.hours for one in found.history.stays}
    assert hours == {10.0: 6.5, 3.0: 65.5}


def test_a_longer_life_never_extends_a_printed_date(store: FarmStore, trading: TradingFarm) -> None:
    do(store, lambda act: settle(act, trading), PICKED)
    made = do(
        store, lambda act: pick(act, trading, shelf_on="2026-03-10", sell_by="2026-03-09"), PICKED
    )
    found = life_of(store)
    assert found.state == LONGER
    assert dates_to_shorten([found]) == {}
    with pytest.raises(Refused) as refused:
        do(store, lambda act: shorten_shelf_dates(act, {made.id: ("2026-03-11", None)}))
    assert refused.value.problems[0].code == "shelf_date_not_earlier"


def test_dates_are_brought_forward_and_can_be_taken_back(
    store: FarmStore, trading: TradingFarm
) -> None:
    do(store, lambda act: settle(act, trading), PICKED)
    made = do(store, lambda act: pick(act, trading), PICKED)
    do(store, lambda act: read_in(act, trading.ids["Cold"], [20.0] * 24 + [3.0] * 48))
    dates = dates_to_shorten([life_of(store)])
    do(store, lambda act: shorten_shelf_dates(act, dates))
    with store.reading() as reading:
        kept = reading.get(Pick, made.id)
    assert kept is not None
    assert (kept.shelf_on, kept.sell_by) == dates[made.id]
    assert kept.shelf_on is not None
    assert kept.shelf_on < "2026-03-19"
    assert life_of(store).state != TOO_LATE


def test_a_species_without_lives_has_no_date(store: FarmStore, trading: TradingFarm) -> None:
    with store.reading() as reading:
        book = read_shelf(reading, now="2026-11-22T20:00:00Z")
    states = {one.state for one in book.on_hand()}
    assert trading.ids
    assert states == {UNKNOWN}


def test_a_warm_night_names_lots_and_customers(store: FarmStore, trading: TradingFarm) -> None:
    do(store, lambda act: settle(act, trading), PICKED)
    made = do(store, lambda act: pick(act, trading), PICKED)
    night = [3.0] * 30 + [12.0] * 6 + [3.0] * 36
    do(store, lambda act: read_in(act, trading.ids["Cold"], night))

    def sell(act: Act) -> None:
        for day, customer in (("2026-03-03", "=Fern Market"), ("2026-03-04", "Bluebell Kitchen")):
            number = act.next_id("delivery")
            act.make("delivery_sent", Delivery(number, f"D-{number}", trading.ids[customer], None,
                                               day))  # fmt: skip
            line = DeliveryLine(act.next_id("delivery_line"), number, None, trading.ids["loose"],
                                made.id, 100_000)  # fmt: skip
            act.make("delivery_line_sent", line)

    do(store, sell)
    with store.reading() as reading:
        book = read_shelf(reading, now=NOW)
        spells = find_warm_spells(reading, book)
        rows = list(spells_table(book, spells).rows)
        lots = list(touched_table(book, spells).rows)
    # From the 31st hour on, six hours; 12 C lies above 3 C and the two degrees to spare.
    assert rows[0][:6] == ("Cold", "2026-03-03T15:00:00Z", "2026-03-03T21:00:00Z", 6, 12.0, 5.0)
    assert len(rows) == 1
    # 6 h x (L(3) / L(12) - 1) / 24: L(12) = 7 x (3.5/7)^0.2 = 6.094, L(3) = 17.481 days.
    assert lots[0][4] == pytest.approx(0.25 * (17.4815 / 6.0940 - 1), abs=0.001)
    # What went out on the day itself may have been gone before; it is named rather than missed.
    assert [row[6] for row in lots] == ["=Fern Market", "Bluebell Kitchen"]


def test_a_warm_hour_under_its_limit_is_none(store: FarmStore, trading: TradingFarm) -> None:
    do(store, lambda act: settle(act, trading), PICKED)
    do(store, lambda act: pick(act, trading), PICKED)
    do(store, lambda act: read_in(act, trading.ids["Cold"], [5.0] * 72))
    with store.reading() as reading:
        book = read_shelf(reading, now=NOW)
        assert find_warm_spells(reading, book) == []
