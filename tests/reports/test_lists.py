"""Lists of the farm: every report of the catalogue, and what single rows say."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path

import openpyxl
import pytest
from trading_farm import NOW, TradingFarm

from farmdesk.domain.stages import ALIVE
from farmdesk.paper.tables import show_value
from farmdesk.reports.bags import BagSource, bags_table
from farmdesk.reports.batches import contamination_of, list_batches
from farmdesk.reports.farm_terms import read_terms
from farmdesk.reports.lab_lists import list_cultures, list_runs, list_spawn
from farmdesk.reports.overview import REPORTS, export_report, find_report
from farmdesk.reports.trade_lists import list_deliveries, list_invoices, list_orders, list_picks
from farmdesk.store.bag_list import BagScope
from farmdesk.store.farm_store import FarmStore


@dataclass(frozen=True)
class Order:
    column: str = ""
    descending: bool = False


@pytest.mark.parametrize("key", [one.key for one in REPORTS])
def test_every_report_is_the_same_in_each_form(
    store: FarmStore, trading: TradingFarm, out: Path, key: str
) -> None:
    with store.reading() as reading:
        table = find_report(key).make(reading, now=NOW)
        rows = [tuple(row) for row in table.rows]
        terms = read_terms(reading, NOW)
        for ending in ("csv", "xlsx", "pdf"):
            export_report(reading, key, out / f"list.{ending}", now=NOW)
    with (out / "list.csv").open(encoding="utf-8", newline="") as file:
        in_csv = list(csv.reader(file))[1:]
    assert len(in_csv) == len(rows)
    sheet = openpyxl.load_workbook(out / "list.xlsx").worksheets[0]
    in_sheet = list(sheet.iter_rows(min_row=2, max_row=1 + len(rows), values_only=True))
    assert len(rows) == 0 or len(in_sheet) == len(rows)
    for at, column in enumerate(table.columns):
        for row, written, cells in zip(rows, in_csv, in_sheet, strict=False):
            value = row[at]
            assert isinstance(show_value(value, column, terms.formats), str)
            if value is None:
                assert written[at] == ""
                assert cells[at] is None
            elif column.kind == "mass" and isinstance(value, int):
                assert Decimal(written[at]) * 1_000_000 == value
                assert cells[at] == pytest.approx(value / 1_000_000)
            elif column.kind in ("integer", "money"):
                assert Decimal(written[at]) == value
                assert Decimal(str(cells[at])) == Decimal(str(value))
    assert (out / "list.pdf").stat().st_size > 1000


def test_batches_count_their_bags_and_rate_their_contamination(
    store: FarmStore, trading: TradingFarm
) -> None:
    with store.reading() as reading:
        rows = {row.name: row for row in list_batches(reading, now=NOW)}
    first = rows["OY01-0001"]
    assert (first.fruiting, first.discarded, first.contaminated, first.alive) == (4, 2, 1, 4)
    # All of its bags fruit: none is left that a walk would look for.
    assert (first.room, first.looked_on, first.age) == ("Mist", None, 52)
    assert rows["OY01-0002"].looked_on == "2026-11-01"
    assert rows["OY01-0002"].window == "overdue"
    # Wilson 1927: 1 of 6 is 3.0 to 56.4 % at 95 %
    rate = contamination_of(first)
    assert (rate.low, rate.high) == (
        pytest.approx(0.0301, abs=2e-4),
        pytest.approx(0.5635, abs=2e-4),
    )


def test_a_batch_that_has_ended_is_only_in_the_whole_list(
    store: FarmStore, trading: TradingFarm
) -> None:
    from farmdesk.actions.base import perform
    from farmdesk.domain.bags import Bag

    def end(act):  # type: ignore[no-untyped-def]
        for one in trading.bags["LM01-0003"]:
            act.change("bag_spent", act.need(Bag, one), stage="spent", stage_since=NOW)

    perform(store, end, now=NOW)
    with store.reading() as reading:
        alive = [row.name for row in list_batches(reading, now=NOW)]
        whole = [row.name for row in list_batches(reading, alive_only=False, now=NOW)]
    assert "LM01-0003" not in alive
    assert len(whole) == len(alive) + 1


def test_the_lab_says_what_was_used_and_what_is_over(
    store: FarmStore, trading: TradingFarm
) -> None:
    with store.reading() as reading:
        (spawn,) = list_spawn(reading, now=NOW)
        (culture,) = list_cultures(reading, now=NOW)
        (run,) = list_runs(reading)
    assert (spawn.used_mg, spawn.left_mg, spawn.parent) == (1_900_000, 100_000, "C-OY01-0001")
    assert (culture.strain, culture.age, culture.over) == ("OY01 Oyster 01", 113, False)
    assert (run.inoculated, run.left) == (15, 25)


def test_trade_lists_add_up_their_lines(store: FarmStore, trading: TradingFarm) -> None:
    with store.reading() as reading:
        (order,) = list_orders(reading, now=NOW)
        deliveries = list(list_deliveries(reading))
        invoices = list(list_invoices(reading, now=NOW))
        picks = list_picks(reading, limit=3, now=NOW)
    assert (order.name, order.lines, order.days_late) == ("O-0001", 1, 1)
    assert [one.name for one in deliveries] == ["D-0004", "D-0003", "D-0002", "D-0001"]
    assert deliveries[0].mass_mg == 200_000
    assert sum(one.total for one in deliveries) == sum(one.total for one in invoices)
    assert [one.name for one in picks] == ["P-OY-0005", "P-OY-0006", "P-LM-0004"]


class TestBagSource:
    def test_first_page_ids_and_rows_agree(self, store: FarmStore, trading: TradingFarm) -> None:
        source = BagSource(store)
        for column in (
            "name", "species", "stage", "room", "looked_on", "flush", "picked_on", "reason", "",
        ):  # fmt: skip
            for descending in (False, True):
                order = Order(column, descending)
                ids = source.ids(order, "")
                assert ids.typecode == "q"
                assert len(ids) == 13
                page = source.first_page(order, "", 5)
                assert [row.id for row in page] == list(ids[:5])
                shown = [getattr(row, column or "id") for row in source.rows(ids)]
                known = [value for value in shown if value is not None and value != ""]
                if column != "stage":
                    assert known == sorted(known, reverse=descending)

    def test_words_are_looked_for_in_names_codes_stages_rooms_and_species(
        self, store: FarmStore, trading: TradingFarm
    ) -> None:
        everything = BagSource(store, BagScope())
        (third,) = everything.rows([trading.bags["OY01-0001"][2]])
        assert third is not None

        def found(words: str) -> int:
            return len(everything.ids(Order(), words))

        assert found("oy01-0001") == 6
        assert found("OY01-0001-003") == 1
        assert found("fruiting mist") == 8
        assert found("mane") == 4
        assert found("green") == 1
        assert found(third.code) == 1
        assert found(third.code[:6]) == 15
        assert found("%") == 0
        assert found("nothing of this") == 0

    def test_a_bag_that_is_gone_is_none(self, store: FarmStore, trading: TradingFarm) -> None:
        bag = trading.bags["OY01-0001"][0]
        rows = BagSource(store).rows([bag + 5_000, bag])
        assert rows[0] is None
        assert rows[1] is not None
        assert rows[1].name == "OY01-0001-001"

    def test_a_scope_holds_one_batch_or_room(self, store: FarmStore, trading: TradingFarm) -> None:
        in_batch = BagSource(store, BagScope(batch=trading.ids["OY01-0001"], stages=ALIVE))
        in_room = BagSource(store, BagScope(room=trading.ids["Shelves"]))
        assert len(in_batch.ids(Order(), "")) == 4
        assert len(in_room.ids(Order(), "")) == 5

    def test_the_table_of_all_bags_is_read_in_pages(
        self, store: FarmStore, trading: TradingFarm
    ) -> None:
        with store.reading() as reading:
            table = bags_table(reading, BagScope())
            assert len(list(table.rows)) == 15
