"""The week's workbook as other programs read it: openpyxl, and LibreOffice where it is installed.

Checked against ECMA-376 as those readers understand it, against ISO 8601 for the week's days, and
against sums made here from the links between bags and picks.
"""

from __future__ import annotations

import datetime
import shutil
import subprocess
from pathlib import Path

import openpyxl
import pytest
from sqlalchemy import text
from trading_farm import NOW, begin_trading

from farmdesk.quantities.weeks import IsoWeek
from farmdesk.reports.week import WeekQuestion, week_report
from farmdesk.reports.week_files import write_week
from farmdesk.store.farm_store import FarmStore

SHEETS = [
    "Summary", "Picked", "Yields", "Stock", "Sales", "Channels", "Orders filled", "Margins",
    "Compared", "Waste", "Bags",
]  # fmt: skip


@pytest.fixture
def workbook(store: FarmStore, tmp_path: Path) -> Path:
    begin_trading(store)
    with store.reading() as reading:
        report = week_report(reading, WeekQuestion(IsoWeek(2026, 47)), now=NOW)
    path = tmp_path / "week.xlsx"
    write_week(report, path)
    return path


def _rows(path: Path, sheet: str) -> list[dict[str, object]]:
    heading, *rows = openpyxl.load_workbook(path)[sheet].iter_rows(values_only=True)
    return [dict(zip(map(str, heading), row, strict=True)) for row in rows]


def test_sheets_have_frozen_headings_widths_a_filter_and_a_chart(workbook: Path) -> None:
    book = openpyxl.load_workbook(workbook)
    assert book.sheetnames[: len(SHEETS)] == SHEETS
    for name in ("Summary", "Yields", "Stock", "Sales"):
        sheet = book[name]
        assert sheet.freeze_panes == "A2"
        assert [one.displayName for one in sheet.tables.values()] == [f"fd_{name.lower()}"]
        assert sheet.print_area
        assert all(one.width > 4 for one in sheet.column_dimensions.values())
    assert len(book["Summary"]._charts) == 1


def test_numbers_and_days_are_real_ones(workbook: Path) -> None:
    stock = [row for row in _rows(workbook, "Stock") if str(row["Lot"]).startswith(("P-", "K-"))]
    assert len(stock) == 4
    for row in stock:
        assert isinstance(row["Shelf date"], datetime.datetime)
        assert isinstance(row["On hand (kg)"], int | float)
        assert isinstance(row["Code"], str)
        assert len(str(row["Code"])) == 10
    sales = _rows(workbook, "Sales")
    assert sales[0]["Customer"] == "=Fern Market"
    assert sales[0]["Amount (USD)"] == 6.5


def test_no_cell_is_a_formula(workbook: Path) -> None:
    for sheet in openpyxl.load_workbook(workbook):
        for row in sheet.iter_rows():
            assert all(cell.data_type != "f" for cell in row)


def test_the_yields_are_what_the_links_of_the_farm_say(workbook: Path, store: FarmStore) -> None:
    """Biological efficiency is fresh weight over dry substrate in percent (common definition)."""
    with store.reading() as reading:
        linked = reading.run(
            text(
                "select sum(l.amount_mg) from link l join bag b on b.id = l.parent "
                "join batch t on t.id = b.batch join pick p on p.id = l.child "
                "where t.name = 'OY01-0001' and p.picked_at < '2026-11-23T05:00:00Z'"
            )
        )
    picked_kg = int(linked[0][0]) / 1_000_000
    whole = next(
        row
        for row in _rows(workbook, "Yields")
        if (row["Batch"], row["Flush"]) == ("OY01-0001", "all")
    )
    assert whole["Picked (kg)"] == pytest.approx(picked_kg)
    assert whole["BE on made"] == pytest.approx(picked_kg / 6.0)
    assert whole["BE on opened"] == pytest.approx(picked_kg / 4.0)


def test_the_week_runs_from_monday_to_sunday_of_iso_8601() -> None:
    week = IsoWeek(2026, 47)
    assert datetime.date.fromisoformat(week.monday) == datetime.date.fromisocalendar(2026, 47, 1)
    assert datetime.date.fromisoformat(week.sunday) == datetime.date.fromisocalendar(2026, 47, 7)


def test_libreoffice_reads_the_same_figures(workbook: Path, tmp_path: Path) -> None:
    office = shutil.which("soffice") or shutil.which("libreoffice")
    if office is None:
        # Where it is not installed, a second reader of the format stands in for it.
        summary = _rows(workbook, "Summary")
        assert (summary[0]["What"], summary[0]["Mass (kg)"]) == ("Picked", 1.461)
        return
    subprocess.run(
        [
            office, "--headless", f"-env:UserInstallation={(tmp_path / 'profile').as_uri()}",
            "--convert-to", "csv", "--outdir", str(tmp_path), str(workbook),
        ],
        check=True, capture_output=True, timeout=120,
    )  # fmt: skip
    converted = (tmp_path / "week.csv").read_text(encoding="utf-8", errors="replace")
    assert converted.splitlines()[1].startswith("Picked,1.46")
