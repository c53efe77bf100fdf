"""Today under headings; lines of it put off, shown and brought back, by keys."""

from __future__ import annotations

import pytest
from farm_window import FarmWindow
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from today_farm import late_order, old_batch

from farmdesk.actions.put_offs import put_off
from farmdesk.actions.undo import redo_last, undo_last
from farmdesk.desk.pages.today import TodayPage
from farmdesk.desk.pages.today_put_off import PutOffDialog, line_of
from farmdesk.domain.put_off import PutOff
from farmdesk.quantities.times import day_plus, today_in
from farmdesk.quantities.weeks import IsoWeek
from farmdesk.reports.check import check_farm
from farmdesk.settings.list_memory import ListMemory

CTRL = Qt.KeyboardModifier.ControlModifier
KEYS = Qt.Key


@pytest.fixture
def page(farm_window: FarmWindow) -> TodayPage:
    """Today with a batch to open and to look at; the first line is chosen."""
    old_batch(farm_window)
    shown: TodayPage = farm_window.show("today")
    shown.work.view.setFocus()
    return shown


def today() -> str:
    return today_in("UTC")


def press(page: TodayPage, window: FarmWindow, key: Qt.Key, *held: Qt.KeyboardModifier) -> None:
    modifiers = held[0] if held else Qt.KeyboardModifier.NoModifier
    QTest.keyClick(page.work.view, key, modifiers)
    window.settle()


def sections(page: TodayPage) -> list[str]:
    return [row.section for row in page.work.table.shown_rows()]


def headings(page: TodayPage) -> list[str]:
    table = page.work.table
    found = [table.heading_at(at) for at in range(table.rowCount())]
    return [one.title for one in found if one is not None]


def choose(page: TodayPage, section: str) -> None:
    assert page.work.choose(lambda row: row.section == section)


def kept(window: FarmWindow) -> list[PutOff]:
    return window.all("put_off")


def test_the_work_stands_under_headings_with_counts(page: TodayPage) -> None:
    assert headings(page)[:2] == ["Open (1)", "Look at (1)"]
    assert "section" not in page.work.shown_columns(), "the headings say it"
    assert page.work.current_row().section == "Open", "no heading is chosen at first"


def test_arrows_pass_over_headings_and_digits_do_the_first_nine(
    page: TodayPage, farm_window: FarmWindow
) -> None:
    press(page, farm_window, KEYS.Key_Down)
    assert page.work.current_row().section == "Look at"
    press(page, farm_window, KEYS.Key_Up)
    press(page, farm_window, KEYS.Key_Up)
    assert page.work.current_row().section == "Open"
    QTest.keyClick(page.work.view, KEYS.Key_2)
    dialog = farm_window.dialog()
    assert dialog.windowTitle().startswith("Walk")
    dialog.reject()


def test_groups_are_turned_off_and_stay_off(page: TodayPage, farm_window: FarmWindow) -> None:
    farm_window.window.list_memory = ListMemory()

    def another() -> TodayPage:
        made = TodayPage(farm_window.context, page.parentWidget())
        made.show()
        farm_window.settle()
        return made

    first = another()
    assert headings(first)
    first.work.table.group_by("")
    farm_window.settle()
    assert headings(first) == []
    assert first.work.shown_columns()[:2] == ["number", "section"]
    second = another()
    assert second.work.table.group == ""
    assert second.work.shown_columns()[:2] == ["number", "section"]
    second.work.look.reset()
    assert second.work.table.group == "section"
    assert "section" not in second.work.shown_columns()
    for one in (first, second):
        one.hide()
        one.deleteLater()


def test_a_line_is_put_off_until_tomorrow_and_taken_back(
    page: TodayPage, farm_window: FarmWindow
) -> None:
    before = sections(page)
    choose(page, "Look at")
    press(page, farm_window, KEYS.Key_T, CTRL)
    assert "Look at" not in sections(page)
    assert "Look at" not in page.sum.text()
    assert page.put_off.text() == "1 put off: show them"
    assert [one.until_on for one in kept(farm_window)] == [day_plus(today(), 1)]
    assert page.work.current_row() is not None, "the next line is chosen"
    assert page.work.view.hasFocus()
    farm_window.act(undo_last)
    assert sections(page) == before
    assert not page.put_off.isVisible()
    farm_window.act(redo_last)
    assert "Look at" not in sections(page)
    assert check_farm(farm_window.store).is_clean


def test_until_monday_is_the_first_day_of_the_next_week(
    page: TodayPage, farm_window: FarmWindow
) -> None:
    choose(page, "Open")
    press(page, farm_window, KEYS.Key_M, CTRL)
    (one,) = kept(farm_window)
    assert one.until_on == IsoWeek.of(today()).next().monday
    assert one.until_on > today()


def test_a_day_is_typed_and_a_wrong_one_is_said_at_the_field(
    page: TodayPage, farm_window: FarmWindow
) -> None:
    choose(page, "Open")
    press(page, farm_window, KEYS.Key_D, CTRL)
    dialog = farm_window.dialog()
    assert isinstance(dialog, PutOffDialog)
    field = dialog.form.fields["until_on"]
    for typed, said in (
        ("", ""), ("31 Feb 2030", "calendar"), ("today", "Give a day after today"),
        (day_plus(today(), 400), "for 92 days at most"),
    ):  # fmt: skip
        field.set_value(typed)
        QTest.keyClick(field.editor, KEYS.Key_Return, CTRL)
        farm_window.settle()
        assert dialog.isVisible()
        assert said in field.problem_text()
        assert field.problem_text()
    field.set_value(day_plus(today(), 5))
    QTest.keyClick(field.editor, KEYS.Key_Return, CTRL)
    farm_window.settle()
    assert not farm_window.has_dialog()
    assert [one.until_on for one in kept(farm_window)] == [day_plus(today(), 5)]


def test_what_is_put_off_is_shown_and_one_is_brought_back(
    page: TodayPage, farm_window: FarmWindow
) -> None:
    page.work.view.selectAll()
    press(page, farm_window, KEYS.Key_T, CTRL)
    assert page.work.table.rowCount() == 0
    count = len(kept(farm_window))
    assert count >= 2
    page.put_off.setFocus()
    QTest.keyClick(page.put_off, KEYS.Key_H, CTRL)
    farm_window.settle()
    assert headings(page) == [f"Put off ({count})"]
    assert page.put_off.text() == f"{count} put off: hide them"
    page.work.view.setFocus()
    choose(page, "Look at")
    assert "back on" in page.work.table.index(page.work.view.currentIndex().row(), 4).data()
    press(page, farm_window, KEYS.Key_B, CTRL)
    assert headings(page) == ["Look at (1)", f"Put off ({count - 1})"]
    press(page, farm_window, KEYS.Key_H, CTRL)
    assert headings(page) == ["Look at (1)"]
    press(page, farm_window, KEYS.Key_B, CTRL)
    assert len(kept(farm_window)) == count - 1, "hidden lines cannot be brought back"


def test_bringing_back_what_waits_is_refused_in_words(
    page: TodayPage, farm_window: FarmWindow
) -> None:
    choose(page, "Open")
    press(page, farm_window, KEYS.Key_T, CTRL)
    press(page, farm_window, KEYS.Key_H, CTRL)
    choose(page, "Look at")
    QTest.keyClick(page.work.view, KEYS.Key_B, CTRL)
    dialog = farm_window.dialog()
    assert "Choose lines that are put off first." in dialog.sentence.text()
    dialog.accept()


def test_a_late_order_waits_until_tomorrow_at_most(
    page: TodayPage, farm_window: FarmWindow
) -> None:
    farm_window.act(late_order)
    choose(page, "Late")
    QTest.keyClick(page.work.view, KEYS.Key_D, CTRL)
    dialog = farm_window.dialog()
    field = dialog.form.fields["until_on"]
    field.set_value(day_plus(today(), 2))
    QTest.keyClick(field.editor, KEYS.Key_Return, CTRL)
    farm_window.settle()
    assert field.problem_text() == (
        "O-0001 is late for a customer, so it can be put off until tomorrow at most."
    )
    field.set_value("tomorrow")
    QTest.keyClick(field.editor, KEYS.Key_Return, CTRL)
    farm_window.settle()
    assert [one.section for one in kept(farm_window)] == ["Late"]


def test_another_station_puts_off_and_the_page_follows(
    page: TodayPage, farm_window: FarmWindow
) -> None:
    row = next(row for row in page.work.table.shown_rows() if row.section == "Open")
    farm_window.act(lambda act: put_off(act, [line_of(row)], day_plus(today(), 1)))
    assert "Open" not in sections(page)


def test_at_midnight_what_was_put_off_is_back(
    page: TodayPage, farm_window: FarmWindow, monkeypatch: pytest.MonkeyPatch
) -> None:
    choose(page, "Open")
    press(page, farm_window, KEYS.Key_T, CTRL)
    refreshed: list[str] = []
    monkeypatch.setattr(page, "refresh", lambda: refreshed.append("again"))
    page._look_at_day()
    assert not refreshed, "the same day"
    monkeypatch.setattr(page, "_today", lambda: day_plus(today(), 1))
    page._look_at_day()
    assert refreshed == ["again"]


def test_the_menu_of_the_list_offers_it(page: TodayPage) -> None:
    page.work._buttons.menu.aboutToShow.emit()
    titles = [one.text() for one in page.work.view.actions()]
    assert titles == [
        "Put off until tomorrow", "Put off until Monday", "Put off …", "Bring back",
    ]  # fmt: skip
    assert not page.work.view.actions()[-1].isVisible()
