"""The week beside others, sell-through and channels, against sums made by hand."""

from __future__ import annotations

from decimal import Decimal

import pytest
from trading_farm import NOW, TradingFarm

from farmdesk.actions.base import Act, perform
from farmdesk.actions.markets import (
    LoadLine,
    SoldLine,
    close_market,
    load_market,
    open_market,
)
from farmdesk.domain.catalogue import Customer, Product, Reason, TaxRate
from farmdesk.domain.trade import CreditNote, Invoice
from farmdesk.paper.tables import Table
from farmdesk.quantities.weeks import IsoWeek
from farmdesk.reports.week import WeekQuestion, WeekReport, week_report
from farmdesk.reports.week_tables import week_tables
from farmdesk.reports.week_trade import same_week_before
from farmdesk.store.farm_store import FarmStore


def _table(report: WeekReport, name: str) -> Table:
    return next(one for one in week_tables(report) if one.name == name)


def _row(table: Table, first: str) -> dict[str, object]:
    keys = [column.key for column in table.columns]
    found = [dict(zip(keys, row, strict=True)) for row in table.rows if row[0] == first]
    assert len(found) == 1
    return found[0]


def test_masses_of_the_week_stand_beside_the_week_before(week_47: WeekReport) -> None:
    masses = _table(week_47, "compared_mass")
    sold = _row(masses, "Sold")
    # 250 g, 50 g and a punnet of 200 g in W47; 593 g on Saturday of W46
    assert (sold["now"], sold["before"]) == (500_000, 593_000)
    assert sold["change"] == Decimal(100) * (500_000 - 593_000) / 593_000
    assert sold["year"] == 500_000 + 593_000
    assert (sold["year_ago"], sold["last_year"]) == (None, None)
    wasted = _row(masses, "Wasted")
    # 7 g were thrown away on Tuesday of W46
    assert (wasted["now"], wasted["before"], wasted["year"]) == (80_000, 7_000, 87_000)
    assert _row(masses, "Given away")["now"] == 20_000


def test_money_is_before_tax_and_less_credits(store: FarmStore, trading: TradingFarm) -> None:
    def credit(act: Act) -> None:
        bill = act.tx.first(Invoice, name="I-0003")
        assert bill is not None
        note = CreditNote(
            act.next_id("credit_note"), "N-0001", bill.customer, bill.id, "2026-11-20",
            "bruised", Decimal("0.50"), Decimal("0.10"), Decimal("0.60"),
        )  # fmt: skip
        act.make("credit_note_made", note)

    perform(store, credit, now=NOW)
    with store.reading() as reading:
        report = week_report(reading, WeekQuestion(IsoWeek(2026, 47)), now=NOW)
    money = _table(report, "compared_money")
    assert _row(money, "Sold, before tax")["now"] == Decimal("5.33") + Decimal("1.07") + Decimal(
        "6.50"
    )
    assert _row(money, "Credited, before tax")["now"] == Decimal("0.50")
    assert _row(money, "Left after credits")["now"] == Decimal("12.40")
    assert _row(money, "Sold, before tax")["before"] == Decimal("11.86")


def test_sell_through_is_of_what_is_gone_and_over_what_was_picked(week_47: WeekReport) -> None:
    table = _table(week_47, "sold_through")
    oyster = _row(table, "Oyster")
    # sold 500 g, wasted 80 g, given away 20 g
    assert oyster["of_gone"] == Decimal(100) * 500_000 / 600_000
    picked = next(one.net_mg for one in week_47.picked if one.species == "Oyster")
    assert oyster["of_picked"] == Decimal(100) * 500_000 / picked
    mane = _row(table, "Lion's mane")
    assert (mane["sold_mg"], mane["of_gone"]) == (0, None)


def test_a_market_day_is_a_channel_and_its_prices_hold_the_tax(
    store: FarmStore, trading: TradingFarm
) -> None:
    def sell(act: Act) -> None:
        market = act.need(Customer, trading.ids["=Fern Market"])
        act.change("customer_changed", market, channel="market")
        rate = act.make("tax_rate_made", TaxRate(act.next_id("tax_rate"), "Food", Decimal(4)))
        act.change("product_changed", act.need(Product, trading.ids["punnet"]), tax_rate=rate.id)
        day = open_market(act, customer=market.id, held_on="2026-11-21")
        load = LoadLine(trading.ids["punnet"], trading.ids["K-0001"], Decimal(1), Decimal("13.00"))
        (line,) = load_market(act, day, [load])
        waste = next(one.id for one in act.tx.all(Reason) if one.use == "waste")
        close_market(act, day, [SoldLine(line.id)], waste=waste)

    perform(store, sell, now=NOW)
    with store.reading() as reading:
        report = week_report(reading, WeekQuestion(IsoWeek(2026, 47)), now=NOW)
    row = _row(_table(report, "channels"), "market")
    # the punnet delivered to the market (6.50) and one sold there, 13.00 with 4 % tax in it
    assert row["customers"] == 1
    assert row["mass_mg"] == 2 * 200_000
    assert round(Decimal(str(row["total"])), 2) == Decimal("6.50") + Decimal("12.50")
    assert report.trade.by_channel["market"][-1] == row["total"]


@pytest.mark.parametrize(
    ("week", "before"),
    [("2026-W47", "2025-W47"), ("2026-W53", "2025-W52"), ("2021-W01", "2020-W01")],
)
def test_the_same_week_a_year_ago(week: str, before: str) -> None:
    # ISO 8601: 2026 has 53 weeks, 2025 has 52
    assert str(same_week_before(IsoWeek.parse(week))) == before
