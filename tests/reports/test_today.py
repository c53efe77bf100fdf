"""What the day asks for on the trading farm, each with its reason."""

from __future__ import annotations

from trading_farm import NOW, TradingFarm

from farmdesk.domain.codes import code_of
from farmdesk.reports.today import list_today
from farmdesk.reports.today_rows import SECTIONS, TodayRow
from farmdesk.store.farm_store import FarmStore


def _today(store: FarmStore, now: str = NOW) -> dict[str, list[TodayRow]]:
    found: dict[str, list[TodayRow]] = {}
    with store.reading() as reading:
        for row in list_today(reading, now=now):
            found.setdefault(row.section, []).append(row)
    return found


def test_each_section_says_why(store: FarmStore, trading: TradingFarm) -> None:
    today = _today(store)
    (late,) = today["Late"]
    assert (late.subject, late.what, late.reason) == (
        "O-0001", "Bluebell Kitchen", "1 day late, 1 line",
    )  # fmt: skip
    (weigh,) = today["Weigh"]
    assert weigh.subject == code_of(trading.ids["P-OY-0006"])
    (opened,) = today["Open"]
    assert (opened.name, opened.reason) == (
        "OY01-0002", "5 bags, overdue: expected ready by Oct 22, 2026",
    )  # fmt: skip
    (seen,) = today["Look at"]
    assert (seen.name, seen.reason) == ("OY01-0002", "not walked for 21 days")
    (spawn,) = today["Spawn"]
    assert spawn.reason == "0.10 kg left of 2.00 kg"


def test_bags_are_due_when_the_species_shortest_wait_is_over(
    store: FarmStore, trading: TradingFarm
) -> None:
    # one bag picked on Nov 17 with 7 days of rest, three opened on Nov 18 with 7 days to go
    assert "Pick" not in _today(store)
    later = _today(store, "2026-11-25T20:00:00Z")["Pick"]
    lions = next(row for row in later if row.name == "LM01-0003")
    assert (lions.reason, lions.due) == (
        "1 bag after flush 1, picked Nov 17, 2026; 3 bags opened Nov 18, 2026", "2026-11-24",
    )  # fmt: skip
    oyster = next(row for row in later if row.name == "OY01-0001")
    assert oyster.due == "2026-11-24"


def test_stock_is_to_be_sold_before_its_days(store: FarmStore, trading: TradingFarm) -> None:
    assert "Sell first" not in _today(store)
    near = {row.name: row.reason for row in _today(store, "2026-11-25T20:00:00Z")["Sell first"]}
    assert near == {"K-0001": "0.20 kg, past its sell-by day of Nov 24, 2026"}
    past = {row.name: row.reason for row in _today(store, "2026-11-27T20:00:00Z")["Sell first"]}
    assert past["K-0001"] == "0.20 kg, past its shelf date of Nov 26, 2026: check it"


def test_sections_come_in_the_order_of_the_days_work(
    store: FarmStore, trading: TradingFarm
) -> None:
    with store.reading() as reading:
        sections = [row.section for row in list_today(reading, now=NOW)]
    assert sections == sorted(sections, key=SECTIONS.index)
