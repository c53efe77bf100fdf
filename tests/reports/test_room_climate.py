"""A room's climate from its readings: worked-out air, batches under it, hours outside, faults."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest
from trading_farm import TradingFarm

from farmdesk.actions.bags import move_bag
from farmdesk.actions.base import Act, perform
from farmdesk.actions.climate import import_readings, note_reading
from farmdesk.actions.undo import undo_last
from farmdesk.arithmetic.packed_readings import make_readings
from farmdesk.domain.bags import Bag
from farmdesk.domain.catalogue import Farm, Room, Species
from farmdesk.errors import Refused
from farmdesk.reports.climate import ClimateQuestion, RoomClimate, room_climate
from farmdesk.reports.climate_tables import (
    bags_chart,
    climate_chart,
    climate_table,
    faults_table,
    outside_table,
    say_climate,
    typed_table,
)
from farmdesk.store.climate import second_of
from farmdesk.store.farm_store import FarmStore
from farmdesk.store.room_stays import bag_stays

NOW = "2026-11-25T20:00:00Z"
FIRST, LAST = "2026-11-23", "2026-11-24"
Figures = tuple[float | None, float | None, float | None]


def do(store: FarmStore, action: Callable[[Act], Any], now: str = NOW) -> Any:
    return perform(store, action, now=now, happened_at=now).result


def read_in(store: FarmStore, room: int, figure_at: Callable[[int], Figures | None]) -> None:
    """A reading in the middle of each of 48 hours from the first day's midnight (UTC)."""
    start = second_of(f"{FIRST}T00:30:00Z")
    rows = []
    for hour in range(48):
        figures = figure_at(hour)
        if figures is not None:
            rows.append((start + 3_600 * hour, *figures))
    do(store, lambda act: import_readings(
        act, room=room, logger="L", readings=make_readings(rows)))  # fmt: skip


@pytest.fixture
def mist(store: FarmStore, trading: TradingFarm) -> int:
    """The fruiting room of a farm on UTC, whose oyster wants 14 to 18 C, 85 to 95 %, 1,000 ppm."""

    def want(act: Act) -> None:
        act.change("farm_changed", act.need(Farm, 1), zone="UTC")
        act.change(
            "species_changed", act.need(Species, trading.ids["OY"]),
            fruiting_c_low=Decimal(14), fruiting_c_high=Decimal(18), humidity_low=Decimal(85),
            humidity_high=Decimal(95), co2_max=1_000,
        )  # fmt: skip

    do(store, want)
    return trading.ids["Mist"]


def climate(store: FarmStore, room: int, first: str = FIRST, last: str = LAST) -> RoomClimate:
    with store.reading() as reading:
        return room_climate(reading, ClimateQuestion(room, first, last), now=NOW)


def row_of(table: Any, at: int = 0) -> dict[str, Any]:
    return dict(zip([one.key for one in table.columns], list(table.rows)[at], strict=True))


# psychrolib 2.5.0 (ASHRAE Handbook of Fundamentals): 65 F and 90 %: dew point 16.665 C, humidity
# ratio 0.011867, deficit 0.2108 kPa at 14.696 psia, library.
def test_air_is_worked_out_as_in_the_handbook(store: FarmStore, mist: int) -> None:
    read_in(store, mist, lambda _: (18.33, 90.0, 900.0))
    row = row_of(climate_table(climate(store, mist)))
    assert row["dew_point_c"] == pytest.approx(16.66, abs=0.02)
    assert row["water"] == pytest.approx(11.867, rel=0.002)
    assert row["vapour"] == pytest.approx(0.2108, rel=0.002)


# USP <1160>, seen; computed: 22 h at 2 C and 2 h at 20 C have the mean kinetic temperature 6.0441.
def test_mean_kinetic_temperature_of_a_room(store: FarmStore, mist: int) -> None:
    read_in(store, mist, lambda hour: (20.0 if hour in (5, 6, 29, 30) else 2.0, None, None))
    found = climate(store, mist)
    assert found.mean_kinetic_c == pytest.approx(6.0441, abs=0.0001)
    assert "mean kinetic temperature 6.0 °C" in say_climate(found)


def test_hours_outside_while_a_batch_was_opened(store: FarmStore, mist: int) -> None:
    def figures(hour: int) -> Figures | None:
        if hour in (40, 41, 42):
            return None
        warm = 20.0 if hour < 4 else 13.0 if hour < 6 else 16.0
        return warm, 80.0 if hour == 10 else 90.0, 1_200.0 if hour >= 45 else 800.0

    read_in(store, mist, figures)
    found = climate(store, mist)
    table = outside_table(found)
    rows = {row[0]: dict(zip([c.key for c in table.columns], row, strict=True))
            for row in table.rows}  # fmt: skip
    # Six oysters were opened on 20 October; nothing is known of what the other species wants.
    assert set(rows) == {"OY01-0001", "LM01-0003"}
    mine = rows["OY01-0001"]
    assert (mine["open"], mine["measured"]) == (48, 45)
    assert (mine["cold"], mine["warm"], mine["dry"], mine["damp"], mine["stale"]) == (2, 4, 1, 0, 3)
    assert mine["share"] == pytest.approx(100 * 6 / 45)
    assert rows["LM01-0003"]["cold"] is None
    assert "OY01-0001 was outside its range longest: 13.3%" in table.notes[0]


def test_a_batch_is_followed_in_and_out_of_a_room(
    store: FarmStore, trading: TradingFarm, mist: int
) -> None:
    bag = trading.bags["OY01-0002"][0]
    do(store, lambda act: move_bag(act, act.need(Bag, bag), room=mist), "2026-11-23T06:00:00Z")
    back = trading.ids["Shelves"]
    do(store, lambda act: move_bag(act, act.need(Bag, bag), room=back), "2026-11-23T18:00:00Z")
    lane = next(one for one in climate(store, mist).lanes if one.name == "OY01-0002")
    start = second_of(f"{FIRST}T00:00:00Z")
    bouts = [((one.start - start) // 3_600, (one.end - start) // 3_600, one.is_open, one.bags)
             for one in lane.bouts]  # fmt: skip
    assert bouts == [(6, 18, False, 1)]
    assert lane.open_hours == 0


def test_what_was_taken_back_never_stood_there(
    store: FarmStore, trading: TradingFarm, mist: int
) -> None:
    bag = trading.bags["OY01-0002"][0]
    do(store, lambda act: move_bag(act, act.need(Bag, bag), room=mist), "2026-11-23T06:00:00Z")
    do(store, undo_last, "2026-11-23T09:00:00Z")
    with store.reading() as reading:
        stays = bag_stays(reading, "2026-11-23T00:00:00Z", "2026-11-25T00:00:00Z", room=mist)
    assert bag not in {one.thing for one in stays}


def test_gaps_and_stuck_sensors_are_flagged(store: FarmStore, mist: int) -> None:
    def figures(hour: int) -> Figures | None:
        wobble = 16 + (hour % 3) / 10
        return None if 10 <= hour < 15 else (wobble, 99.9 if hour >= 30 else 90 + wobble, None)

    read_in(store, mist, figures)
    table = faults_table(climate(store, mist))
    found = [(row[0], row[1], row[4], row[5]) for row in table.rows]
    assert found == [("no readings", "", 6.0, None), ("stuck, or very steady", "Humidity", 17.0,
                                                      99.9)]  # fmt: skip


def test_typed_readings_stand_beside_those_of_loggers(store: FarmStore, mist: int) -> None:
    read_in(store, mist, lambda _: (16.0, 90.0, None))
    do(store, lambda act: note_reading(
        act, room=mist, at="2026-11-23T00:45:00Z", celsius=Decimal(20), typed="68 F"))  # fmt: skip
    found = climate(store, mist)
    assert found.readings == 49
    assert float(found.hours["celsius"][0]) == 18.0
    with store.reading() as reading:
        row = row_of(typed_table(reading, found))
    assert (row["read_c"], row["humidity"], row["typed"]) == (20.0, None, "68 F")


def test_charts_show_what_is_wanted_and_how_many_bags(store: FarmStore, mist: int) -> None:
    read_in(store, mist, lambda hour: (16.0 + hour % 2, 90.0, 900.0))
    found = climate(store, mist)
    chart = climate_chart(found, "celsius")
    assert [one.name for one in chart.series] == ["Temperature", "wanted at least",
                                                  "wanted at most"]  # fmt: skip
    assert set(chart.series[1].values) == {14.0}
    assert set(chart.series[2].values) == {18.0}
    assert len(chart.categories) == found.count <= 200
    bags = bags_chart(found)
    # Four of the six oysters and the four of the other species are alive, and all are opened.
    assert bags.series[1].values[0] == 8.0


def test_the_room_s_own_range_comes_before_the_batches(store: FarmStore, mist: int) -> None:
    do(store, lambda act: act.change("room_changed", act.need(Room, mist),
                                     temperature_c_low=Decimal(12)))  # fmt: skip
    read_in(store, mist, lambda _: (16.0, 90.0, None))
    limits = climate(store, mist).limits("celsius")
    assert (limits.low, limits.high) == (12.0, None)


def test_a_farm_without_readings_says_so(store: FarmStore, mist: int) -> None:
    found = climate(store, mist)
    assert "no readings from" in say_climate(found)
    assert list(climate_table(found).rows) == []
    assert climate_table(found).charts[-1].unit == "bags"


def test_days_in_the_wrong_order_are_refused(store: FarmStore, mist: int) -> None:
    with pytest.raises(Refused) as refused:
        climate(store, mist, LAST, FIRST)
    assert refused.value.problems[0].code == "days_out_of_order"


def test_years_show_the_climate_without_the_batches(store: FarmStore, mist: int) -> None:
    read_in(store, mist, lambda _: (16.0, 90.0, 900.0))
    found = climate(store, mist, "2017-01-01", LAST)
    assert found.lanes == ()
    assert found.count <= 200
    assert "Batches are followed over 190 days" in outside_table(found).notes[0]
