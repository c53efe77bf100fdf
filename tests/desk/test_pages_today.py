"""The first page: what waits today, with its reason, and one key to go where it is done."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from farm_window import FarmWindow
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QFileDialog
from today_farm import old_batch

from farmdesk.desk.pages.today import _PLACES, TodayPage
from farmdesk.desk.preview import PreviewDialog
from farmdesk.desk.wedge import WedgeFilter
from farmdesk.paper.pages import TextRun
from farmdesk.paper.table_pages import SIZES_MM
from farmdesk.reports.today_rows import SECTIONS


def test_every_section_leads_to_a_place() -> None:
    assert set(_PLACES) == set(SECTIONS)


def test_a_new_farm_says_where_to_begin(farm_window: FarmWindow) -> None:
    page: TodayPage = farm_window.show("today")
    assert page.work.table.rowCount() == 0
    assert "Ctrl+9" in page.work._empty.text()


def test_what_waits_has_a_reason_and_enter_goes_there(farm_window: FarmWindow) -> None:
    batch = old_batch(farm_window)
    page: TodayPage = farm_window.show("today")
    wanted = {row.section: row for row in page.work.table.shown_rows()}
    assert "overdue" in wanted["Open"].reason
    assert "not walked" in wanted["Look at"].reason
    assert "Open: 1" in page.sum.text()
    page.work.choose(lambda row: row.section == "Look at")
    page.work.view.setFocus()
    QTest.keyClick(page.work.view, Qt.Key.Key_Return)
    farm_window.settle()
    assert farm_window.window.place == "incubation"
    shown = farm_window.window.page("incubation")
    assert shown.batches.current_row().name == batch.name


def test_the_first_line_is_chosen_when_the_list_has_the_keys(farm_window: FarmWindow) -> None:
    farm_window.show("lab")
    old_batch(farm_window)
    QTest.keyClick(farm_window.window, Qt.Key.Key_1, Qt.KeyboardModifier.ControlModifier)
    farm_window.settle()
    farm_window.settle()
    page = farm_window.window.page("today")
    assert page.work.view.hasFocus()
    assert page.work.chosen_rows() == page.work.table.shown_rows()[:1]


def test_a_digit_does_the_thing_itself(farm_window: FarmWindow) -> None:
    batch = old_batch(farm_window)
    page: TodayPage = farm_window.show("today")
    row = next(row for row in page.work.table.shown_rows() if row.section == "Look at")
    page.work.view.setFocus()
    QTest.keyClick(page.work.view, getattr(Qt.Key, f"Key_{row.number}"))
    dialog = farm_window.dialog()
    assert batch.name in dialog.windowTitle()
    assert farm_window.window.place == "incubation"
    dialog.reject()


def test_a_scan_on_the_page_is_a_scan_and_no_digit(
    farm_window: FarmWindow, qapp, press_keys
) -> None:
    old_batch(farm_window)
    page: TodayPage = farm_window.show("today")
    page.work.view.setFocus()
    lines: list[str] = []
    wedge = WedgeFilter()
    wedge.line_scanned.connect(lines.append)
    wedge.start(qapp)
    try:
        # Every code begins with the digit of its kind, 1 to 9.
        press_keys(page.work.view, "1000004721", every=4, end="enter")
        assert not farm_window.has_dialog()
        assert farm_window.window.place == "today"
        assert lines == ["1000004721"]
    finally:
        wedge.stop(qapp)


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_the_wall_sheet_is_seen_before_it_is_printed_or_kept(
    farm_window: FarmWindow, monkeypatch: pytest.MonkeyPatch, tmp_path: Path, paper: str
) -> None:
    batch = old_batch(farm_window)
    formats = replace(farm_window.context.formats, paper=paper)
    page = TodayPage(replace(farm_window.context, formats=formats), farm_window.window)
    page.show()
    farm_window.settle()
    page.work.view.setFocus()
    QTest.keyClick(page.work.view, Qt.Key.Key_W, Qt.KeyboardModifier.ControlModifier)
    dialog = farm_window.dialog()
    assert isinstance(dialog, PreviewDialog)
    (sheet, *_) = dialog.preview.pages
    assert (sheet.width_mm, sheet.height_mm) == SIZES_MM["letter" if paper == "letter" else "A4"]
    texts = [mark.text for mark in sheet.marks if isinstance(mark, TextRun)]
    assert f"Look at: {batch.name}" in texts
    chosen = tmp_path / "wall.pdf"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_, **__: (str(chosen), ""))
    QTest.keyClick(dialog.preview, Qt.Key.Key_S, Qt.KeyboardModifier.ControlModifier)
    farm_window.settle()
    assert chosen.read_bytes().startswith(b"%PDF")
    dialog.reject()
    farm_window.settle()
    page.hide()
    page.deleteLater()
