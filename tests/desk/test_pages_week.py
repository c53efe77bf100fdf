"""The week's page: weeks leafed through, figures and tables, files, and all reports."""

from __future__ import annotations

import tempfile
from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest
from farm_window import FarmWindow
from openpyxl import load_workbook
from pypdfium2 import PdfDocument
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from working_farm import WorkingFarm, days_ago, fill_farm

from farmdesk.actions.picks import record_pick
from farmdesk.desk.chart_view import ChartView
from farmdesk.desk.exporting import PRINT_LIMIT
from farmdesk.desk.pages import week_reports
from farmdesk.desk.pages.week import WeekPage
from farmdesk.desk.preview import PreviewDialog
from farmdesk.paper.charts import Chart, Series
from farmdesk.paper.pages import TextRun
from farmdesk.reports.overview import REPORTS
from farmdesk.reports.week_files import week_pages
from farmdesk.wording.formats import Formats

CONTROL = Qt.KeyboardModifier.ControlModifier


def iso(day: str) -> str:
    """The ISO week of a day by Python's own calendar (ISO 8601)."""
    year, week, _ = date.fromisoformat(day[:10]).isocalendar()
    return f"{year}-W{week:02d}"


@pytest.fixture
def farm(farm_window: FarmWindow) -> WorkingFarm:
    """2 kg picked a week ago and 3 kg now."""
    made = fill_farm(farm_window.act)
    for at, days, gross in ((0, 7, 2_000_000), (1, 0, 3_000_000)):
        farm_window.act(
            lambda act, at=at, gross=gross: record_pick(
                act, bags=[made.bags[0][at].id], gross_mg=gross
            ),
            happened_at=days_ago(days),
        )
    return made


def test_this_week_is_shown_first_and_arrows_turn_the_leaves(
    farm_window: FarmWindow, farm: WorkingFarm
) -> None:
    page: WeekPage = farm_window.show("week")
    assert page.line.text() == iso(days_ago(0))
    assert page._figures[0][1].text() == "3.00 kg"
    page.tabs.setFocus()
    QTest.keyClick(page.tabs, Qt.Key.Key_Left, CONTROL)
    farm_window.settle()
    assert page.line.text() == iso(days_ago(7))
    assert page._figures[0][1].text() == "2.00 kg"
    assert "so far" not in page._days.text()
    QTest.keyClick(page.tabs, Qt.Key.Key_Right, CONTROL)
    QTest.keyClick(page.tabs, Qt.Key.Key_T, CONTROL)
    farm_window.settle()
    assert "this week" in page._days.text()


def test_a_week_can_be_typed_and_a_wrong_one_is_told(
    farm_window: FarmWindow, farm: WorkingFarm
) -> None:
    page: WeekPage = farm_window.show("week")
    page.line.setText("2026-W60")
    QTest.keyClick(page.line, Qt.Key.Key_Return)
    assert "2026" in page._problem.text()
    page.line.setText("2025-W10")
    QTest.keyClick(page.line, Qt.Key.Key_Return)
    farm_window.settle()
    assert page._problem.isHidden()
    assert page._figures[0][1].text() == "0.00 kg"
    page.show_subject(iso(days_ago(7)))
    farm_window.settle()
    assert page._figures[0][1].text() == "2.00 kg"


def test_tables_have_rows_totals_and_notes(farm_window: FarmWindow, farm: WorkingFarm) -> None:
    page: WeekPage = farm_window.show("week")
    picked = page.sheets["picked_species"]
    assert picked.list.table.row_at(0)[:3] == ("Oyster", 1, 3_000_000)
    assert picked.totals.text() == "All: Picks 1, Picked 3.00 kg, Week before 2.00 kg"
    assert "biological efficiency" in page.sheets["yields"].notes.text()
    assert all(sheet.table.name == name for name, sheet in page.sheets.items())


def test_the_chart_tells_its_figures_in_words(farm_window: FarmWindow, farm: WorkingFarm) -> None:
    page: WeekPage = farm_window.show("week")
    week = iso(days_ago(0)).partition("-")[2]
    assert f"{week} 3.0 kg" in page.chart.accessibleDescription()
    image = page.chart.grab().toImage()
    inks = {image.pixelColor(x, y).name() for x in range(0, image.width(), 3)
            for y in range(0, image.height(), 3)}  # fmt: skip
    assert "#2f4b3c" in inks


@pytest.mark.parametrize("kind", ["bar", "line", "stacked"])
def test_every_kind_of_chart_is_painted(qtbot, kind: str) -> None:
    view = ChartView(Formats())
    qtbot.addWidget(view)
    view.resize(500, 300)
    blank = view.grab().toImage()
    series = [Series("A", [1.0, None, 3.0]), Series("B", [2.0, 2.5, 0.0])]
    view.show_chart(Chart(kind, "Yields", ["W1", "W2", "W3"], series, unit="kg"))
    assert view.grab().toImage() != blank
    assert view.describe() == "A: W1 1.0 kg, W3 3.0 kg; B: W1 2.0 kg, W2 2.5 kg, W3 0.0 kg"


def test_the_week_is_written_in_three_forms(
    farm_window: FarmWindow, farm: WorkingFarm, tmp_path: Path
) -> None:
    page: WeekPage = farm_window.show("week")
    asked: list[str] = []

    def choose(title: str, start: str, filters: str) -> str:
        asked.append(Path(start).name)
        return str(tmp_path / Path(start).stem) + (".xlsx" if "xlsx" in filters else "")

    page.choose_file = choose
    page.tabs.setFocus()
    for key in (Qt.Key.Key_S, Qt.Key.Key_D, Qt.Key.Key_G):
        QTest.keyClick(page.tabs, key, CONTROL)
        farm_window.settle()
    week = page.line.text()
    assert asked == [f"week-{week}.xlsx", f"week-{week}.pdf", f"week-{week}.csv"]
    book = load_workbook(tmp_path / f"week-{week}.xlsx")
    cells = [cell.value for row in book["Picked"].iter_rows() for cell in row]
    assert any(Decimal(str(one)) == 3 for one in cells if isinstance(one, int | float))
    document = PdfDocument(str(tmp_path / f"week-{week}.pdf"))
    assert len(document) <= 2
    document.close()
    assert "Oyster" in (tmp_path / f"week-{week}.csv").read_text(encoding="utf-8-sig")


def test_leaving_the_file_dialog_writes_nothing(
    farm_window: FarmWindow, farm: WorkingFarm, tmp_path: Path
) -> None:
    page: WeekPage = farm_window.show("week")
    page.choose_file = lambda *_words: ""
    page.export(".pdf")
    farm_window.settle()
    assert list(tmp_path.glob("week*")) == []


def test_a_folder_that_is_not_there_is_told_calmly(
    farm_window: FarmWindow, farm: WorkingFarm, tmp_path: Path
) -> None:
    page: WeekPage = farm_window.show("week")
    page.choose_file = lambda *_words: str(tmp_path / "nowhere" / "week.pdf")
    page.export(".pdf")
    told = farm_window.dialog()
    assert "nowhere" in told.sentence.text()
    told.accept()


def test_every_report_is_shown(farm_window: FarmWindow, farm: WorkingFarm) -> None:
    page: WeekPage = farm_window.show("week", "reports")
    assert page.tabs.currentWidget() is page.reports
    for key in (one.key for one in REPORTS):
        assert page.reports.choose(lambda row, key=key: row.key == key)
        page.reports.view.setFocus()
        QTest.keyClick(page.reports.view, Qt.Key.Key_Return)
        dialog = farm_window.dialog()
        assert dialog.sheet.list is not None, key
        assert dialog.sheet.list.table.rowCount() == len(dialog.sheet.table.rows), key
        dialog.accept()


def test_a_report_is_exported_where_the_person_says(
    farm_window: FarmWindow, farm: WorkingFarm, tmp_path: Path
) -> None:
    page: WeekPage = farm_window.show("week", "reports")
    page.choose_file = lambda *_words: str(tmp_path / "picks.csv")
    assert page.reports.choose(lambda row: row.key == "picks")
    page.reports.view.setFocus()
    QTest.keyClick(page.reports.view, Qt.Key.Key_R, CONTROL)
    farm_window.settle()
    assert "P-OY-0002" in (tmp_path / "picks.csv").read_text(encoding="utf-8-sig")


@pytest.fixture
def temporary(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The system's temporary folder, empty; nothing may stay behind in it."""
    folder = tmp_path / "temporary"
    folder.mkdir()
    monkeypatch.setattr(tempfile, "tempdir", str(folder))
    return folder


def test_the_week_is_seen_before_it_is_printed(
    farm_window: FarmWindow, farm: WorkingFarm, temporary: Path
) -> None:
    page: WeekPage = farm_window.show("week")
    page.tabs.setFocus()
    QTest.keyClick(page.tabs, Qt.Key.Key_P, CONTROL)
    dialog = farm_window.dialog()
    assert isinstance(dialog, PreviewDialog)
    assert page.view is not None
    assert dialog.preview.pages == week_pages(page.view.report)
    texts = [one.text for one in dialog.preview.pages[0].marks if isinstance(one, TextRun)]
    assert page._figures[0][1].text() in texts
    dialog.accept()
    assert list(temporary.iterdir()) == []


def test_a_report_is_seen_before_it_is_printed(
    farm_window: FarmWindow,
    farm: WorkingFarm,
    temporary: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    page: WeekPage = farm_window.show("week", "reports")
    for most, is_cut in ((PRINT_LIMIT, False), (1, True)):
        monkeypatch.setattr(week_reports, "PRINT_LIMIT", most)
        assert page.reports.choose(lambda row: row.key == "picks")
        page.reports.view.setFocus()
        QTest.keyClick(page.reports.view, Qt.Key.Key_B, CONTROL)
        dialog = farm_window.dialog()
        assert isinstance(dialog, PreviewDialog)
        texts = [one.text for one in dialog.preview.pages[0].marks if isinstance(one, TextRun)]
        assert ("P-OY-0001" in texts) + ("P-OY-0002" in texts) == (1 if is_cut else 2)
        assert ("The first 1 rows are shown; a file has all." in texts) is is_cut
        dialog.accept()
        farm_window.settle()
    assert list(temporary.iterdir()) == []
