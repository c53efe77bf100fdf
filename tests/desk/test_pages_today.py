"""The first page: what waits today, with its reason, and one key to go where it is done."""

from __future__ import annotations

from farm_window import FarmWindow
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from today_farm import old_batch

from farmdesk.desk.pages.today import _PLACES, TodayPage
from farmdesk.desk.wedge import WedgeFilter
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
