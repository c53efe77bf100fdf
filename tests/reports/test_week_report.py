"""The week's figures against sums made here from the picks, deliveries and removals put in."""

from __future__ import annotations

from decimal import Decimal

import pytest
from trading_farm import NOW, PICKS, TradingFarm, begin_trading

from farmdesk.quantities.weeks import IsoWeek
from farmdesk.reports.week import WeekQuestion, WeekReport, week_report
from farmdesk.reports.week_tables import week_tables
from farmdesk.store.farm_store import FarmStore

IN_WEEK = ("P-OY-0003", "P-LM-0004", "P-OY-0005")
"""By the farm's days; by UTC days P-OY-0002 would be in and P-OY-0005 out."""


def _net(*names: str) -> int:
    return sum(mg for one in PICKS if one[0] in names for mg, _ in one[5].values())


def test_the_week_is_the_farms_and_not_utcs(week_47: WeekReport) -> None:
    assert week_47.picked_mg == _net(*IN_WEEK)
    assert week_47.picked_before_mg == _net("P-OY-0002")
    assert [(one.species, one.picks) for one in week_47.picked] == [
        ("Oyster", 2),
        ("Lion's mane", 1),
    ]
    assert week_47.not_weighed == 1


def test_batches_and_flushes_add_up_to_what_was_weighed(week_47: WeekReport) -> None:
    expected: dict[tuple[str, int], int] = {}
    for one in PICKS:
        if one[0] in IN_WEEK:
            for (batch, _), (mg, flush) in one[5].items():
                expected[batch, flush] = expected.get((batch, flush), 0) + mg
    assert {(one.batch, one.flush): one.net_mg for one in week_47.batches} == expected
    measured = sum(one.measured_mg for one in week_47.batches)
    assert measured == _net("P-LM-0004", "P-OY-0005")
    assert sum(one.net_mg for one in week_47.batches) == week_47.picked_mg


def test_yields_count_all_picks_up_to_the_end_on_opened_and_on_made_blocks(
    week_47: WeekReport,
) -> None:
    rows = {(one.batch, one.flush): one for one in week_47.yields}
    whole = rows["OY01-0001", None]
    assert whole.picked_mg == _net("P-OY-0001", "P-OY-0002", "P-OY-0003", "P-OY-0005")
    # six blocks of 1 kg dry matter made, two discarded before they were opened
    assert (whole.made, whole.opened) == (6, 4)
    assert whole.efficiency_made_percent == Decimal(100) * whole.picked_mg / 6_000_000
    assert whole.efficiency_opened_percent == Decimal(100) * whole.picked_mg / 4_000_000
    assert whole.per_opened_mg == round(whole.picked_mg / 4)
    assert whole.is_to_date
    assert (whole.first_day, whole.last_day) == ("2026-11-01", "2026-11-22")
    second = rows["OY01-0001", 2]
    assert second.picked_mg == 250_000 + 50_000
    assert second.measured_mg == 250_000
    assert second.so_far_made_percent == whole.efficiency_made_percent
    first = rows["OY01-0001", 1]
    assert first.picked_mg + second.picked_mg == whole.picked_mg
    assert first.share_percent + second.share_percent == 100


def test_a_past_week_leaves_later_picks_out_and_says_to_date(
    store: FarmStore, trading: TradingFarm
) -> None:
    with store.reading() as reading:
        report = week_report(reading, WeekQuestion(IsoWeek(2026, 46)), now=NOW)
    whole = next(one for one in report.yields if one.flush is None)
    assert whole.picked_mg == _net("P-OY-0001", "P-OY-0002")
    assert whole.is_to_date
    assert report.is_over


def test_the_spawns_dry_matter_is_counted_when_the_farm_says_so(store: FarmStore) -> None:
    begin_trading(store, with_spawn_dry=1)
    with store.reading() as reading:
        report = week_report(reading, WeekQuestion(IsoWeek(2026, 47)), now=NOW)
    whole = next(one for one in report.yields if (one.batch, one.flush) == ("OY01-0001", None))
    assert whole.dry_made_mg == 6 * 1_070_000
    notes = next(one for one in week_tables(report) if one.name == "yields").notes
    assert "the dry matter of the spawn is counted" in notes[1]


def test_sales_are_summed_by_customer_product_and_unit(week_47: WeekReport) -> None:
    rows = {(one.customer, one.product): one for one in week_47.sales}
    kitchen = rows["Bluebell Kitchen", "Oyster, loose"]
    assert (kitchen.quantity, kitchen.total) == (Decimal("0.300"), Decimal("6.40"))
    market = rows["=Fern Market", "Oyster punnet"]
    assert (market.quantity, market.mass_mg, market.total) == (1, 200_000, Decimal("6.50"))
    assert week_47.sold_total == Decimal("12.90")
    assert (week_47.deliveries, week_47.invoiced.count) == (3, 3)
    assert week_47.invoiced.total == Decimal("12.90")


def test_waste_gifts_and_discarded_bags_stand_apart(week_47: WeekReport) -> None:
    assert week_47.removed_mg("waste") == 80_000
    assert week_47.removed_mg("gift") == 20_000
    assert [(one.reason, one.bags) for one in week_47.discarded] == [("Green mould", 1)]


def test_stock_has_what_is_left_with_the_earliest_shelf_date_first(week_47: WeekReport) -> None:
    assert [one.lot for one in week_47.stock] == [
        "K-0001", "P-OY-0003", "P-LM-0004", "P-OY-0005",
    ]  # fmt: skip
    pack = week_47.stock[0]
    assert (pack.left_mg, pack.packs, pack.days_left) == (200_000, 1, 4)
    assert week_47.stock_mg == 200_000 + 300_000 + 500_000 + 111_000


def test_live_bags_stand_by_stage_and_room(week_47: WeekReport) -> None:
    assert [(one.stage, one.room, one.bags) for one in week_47.standing] == [
        ("incubating", "Shelves", 5),
        ("fruiting", "Mist", 8),
    ]
    made = {one.species: one for one in week_47.made}
    assert (made["Oyster"].blocks, made["Lion's mane"].opened) == (5, 4)


def test_the_trend_ends_with_this_week(week_47: WeekReport) -> None:
    assert week_47.trend.weeks[-2:] == ("2026-W46", "2026-W47")
    assert week_47.trend.species["Oyster"][-2:] == (
        _net("P-OY-0002"),
        _net("P-OY-0003", "P-OY-0005"),
    )


def test_a_week_without_anything_is_all_zeros(store: FarmStore, trading: TradingFarm) -> None:
    with store.reading() as reading:
        report = week_report(reading, WeekQuestion(IsoWeek(2025, 1)), now=NOW)
    assert report.picked_mg == 0
    assert report.sold_total == 0
    assert report.yields == ()


@pytest.mark.parametrize("name", ["summary", "picked_species", "picked_batch", "sales", "waste"])
def test_totals_are_the_sum_of_their_column(week_47: WeekReport, name: str) -> None:
    table = next(one for one in week_tables(week_47) if one.name == name)
    if table.totals is None:
        assert name == "summary"
        return
    for at, column in enumerate(table.columns):
        if column.kind in ("mass", "money"):
            assert table.totals[at] == sum(row[at] for row in table.rows)  # type: ignore[misc]
