"""Screen tables, workbook, page and CSV of a week say the same."""

from __future__ import annotations

import csv
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import openpyxl
import pypdfium2
import pytest
from pypdfium2 import PdfDocument
from trading_farm import NOW, TradingFarm, begin_trading

from farmdesk.actions.demo import build_demo
from farmdesk.paper.pages import TextRun, extent_of
from farmdesk.paper.tables import Table, show_value
from farmdesk.quantities.weeks import IsoWeek
from farmdesk.reports.week import WeekQuestion, WeekReport, week_now, week_report
from farmdesk.reports.week_files import week_pages, week_title, week_workbook, write_week
from farmdesk.reports.week_tables import week_tables
from farmdesk.store.farm_store import FarmStore, open_farm
from farmdesk.wording.formats import Formats


@pytest.fixture(scope="module")
def demo_weeks(tmp_path_factory: pytest.TempPathFactory) -> Iterator[list[WeekReport]]:
    """This week of the demo farm and some before it."""
    store = open_farm(tmp_path_factory.mktemp("demo") / "farm.sqlite", make=True)
    build_demo(store)
    with store.reading() as reading:
        now = week_now(reading)
        yield [week_report(reading, WeekQuestion(now.plus(-back))) for back in (0, 1, 2, 8)]
    store.close()


def _pdf_text(path: Path) -> tuple[int, str]:
    document = pypdfium2.PdfDocument(path)
    try:
        pages = []
        for page in document:
            text = page.get_textpage()
            pages.append(text.get_text_range())
            text.close()
            page.close()
        return len(document), "\n".join(pages)
    finally:
        document.close()


def test_two_pages_show_the_tables_figures(week_47: WeekReport, out: Path) -> None:
    path = out / "week.pdf"
    write_week(week_47, path)
    pages, text = _pdf_text(path)
    assert pages == 2
    formats = week_47.terms.formats
    shown = " ".join(text.split())
    for name in ("picked_species", "sales", "waste", "discarded"):
        table = next(one for one in week_tables(week_47) if one.name == name)
        for row in (*table.rows, table.totals or ()):
            for value, column in zip(row, table.columns, strict=True):
                if value is not None:
                    assert show_value(value, column, formats) in shown
    assert formats.mass(week_47.picked_mg) in shown
    assert "not weighed yet" in shown


def test_the_file_holds_the_pages_that_are_seen(week_47: WeekReport, out: Path) -> None:
    write_week(week_47, out / "week.pdf")
    number, text = _pdf_text(out / "week.pdf")
    pages = week_pages(week_47)
    assert number == len(pages)
    seen = [one.text for page in pages for one in page.marks if isinstance(one, TextRun)]
    assert "".join(sorted("".join(text.split()))) == "".join(sorted("".join("".join(seen).split())))
    assert PdfDocument(out / "week.pdf").get_metadata_value("Title") == week_title(week_47)


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_weeks_of_the_demo_farm_are_two_pages_with_the_tables_figures(
    demo_weeks: list[WeekReport], paper: str
) -> None:
    for week in demo_weeks:
        formats = replace(week.terms.formats, paper=paper)
        report = replace(week, terms=replace(week.terms, formats=formats))
        pages = week_pages(report)
        assert len(pages) == 2
        for page in pages:
            assert page.width_mm == (210 if paper == "a4" else 215.9)
            for mark in page.marks:
                left, top, right, bottom = extent_of(mark)
                assert 10 <= left <= right <= page.width_mm - 10
                assert 10 <= top <= bottom <= page.height_mm - 10
        seen = Counter(one.text for page in pages for one in page.marks if isinstance(one, TextRun))
        tables = {one.name: one for one in week_tables(report)}
        assert not _figures_of(tables["sales"].totals, tables["sales"], formats) - seen
        for name in ("picked_species", "sales", "discarded"):
            # Each table has two rows at the least; more where there is room.
            for row in list(tables[name].rows)[:2]:
                assert not _figures_of(row, tables[name], formats) - seen


def _figures_of(row: Sequence[object] | None, table: Table, formats: Formats) -> Counter[str]:
    cells = zip(row or (), table.columns, strict=True)
    return Counter(
        show_value(value, column, formats)
        for value, column in cells
        if value is not None and column.is_figure
    )


def test_the_workbook_holds_every_table_of_the_week(week_47: WeekReport) -> None:
    in_sheets = [table.name for sheet in week_workbook(week_47) for table in sheet.tables]
    assert sorted(in_sheets) == sorted(table.name for table in week_tables(week_47))


def test_the_tidy_table_has_each_figure_once_in_kilograms(week_47: WeekReport, out: Path) -> None:
    path = out / "week.csv"
    write_week(week_47, path)
    with path.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert list(rows[0]) == ["week", "section", "item", "measure", "value", "unit"]
    assert {row["week"] for row in rows} == {"2026-W47"}
    keys = [(row["section"], row["item"], row["measure"]) for row in rows]
    assert len(set(keys)) == len(keys)
    figures = dict(zip(keys, rows, strict=True))
    picked = figures["summary", "Picked", "mass"]
    assert (Decimal(picked["value"]), picked["unit"]) == (Decimal("1.461"), "kg")
    by_batch = [row for row in rows if (row["section"], row["measure"]) == ("picked_batch", "net")]
    assert sum(Decimal(row["value"]) for row in by_batch) == Decimal("1.461")
    market = figures["sales", "'=Fern Market / Oyster punnet / pack", "total"]
    assert (market["value"], market["unit"]) == ("6.50", "USD")


def test_a_long_week_still_fits_two_pages(store: FarmStore, out: Path) -> None:
    farm = begin_trading(store)
    _sell_much(store, farm)
    with store.reading() as reading:
        report = week_report(reading, WeekQuestion(IsoWeek(2026, 47)), now=NOW)
    path = out / "week.pdf"
    write_week(report, path)
    pages, text = _pdf_text(path)
    assert pages == 2
    assert "more rows are in the workbook" in text
    assert report.terms.formats.money(report.sold_total) in text


def _sell_much(store: FarmStore, farm: TradingFarm) -> None:
    from farmdesk.actions.base import Act, perform
    from farmdesk.domain.catalogue import Customer
    from farmdesk.domain.trade import Delivery, DeliveryLine

    def sell(act: Act) -> None:
        for number in range(30):
            customer = Customer(act.next_id("customer"), f"Stall {number} in the lower town")
            act.make("customer_made", customer)
            delivery = act.next_id("delivery")
            name = f"D-1{number:03d}"
            act.make("delivered", Delivery(delivery, name, customer.id, None, "2026-11-18"))
            line = DeliveryLine(
                act.next_id("delivery_line"), delivery, None, farm.ids["loose"],
                farm.ids["P-OY-0003"], 1_000, 0, Decimal("0.001"), "kg", Decimal(20),
                Decimal("0.02"),
            )  # fmt: skip
            act.make("line_delivered", line)

    perform(store, sell, now=NOW)


def test_an_ounce_farm_gets_pounds_in_the_sheet_and_kilograms_in_the_csv(
    store: FarmStore, out: Path
) -> None:
    begin_trading(store, mass_unit="lb_oz")
    with store.reading() as reading:
        report = week_report(reading, WeekQuestion(IsoWeek(2026, 47)), now=NOW)
    write_week(report, out / "week.xlsx")
    write_week(report, out / "week.csv")
    sheet = openpyxl.load_workbook(out / "week.xlsx")["Summary"]
    assert sheet["B1"].value == "Mass (lb)"
    # 1 lb is 0.45359237 kg (international yard and pound agreement, 1959)
    assert sheet["B2"].value == pytest.approx(1.461 / 0.45359237)
    assert "summary,Picked,mass,1.461,kg" in (out / "week.csv").read_text(encoding="utf-8")


def test_another_ending_is_refused_and_leaves_nothing(week_47: WeekReport, out: Path) -> None:
    with pytest.raises(ValueError, match="ends in none"):
        write_week(week_47, out / "week.doc")
    assert not (out / "week.doc").exists()
