"""A list on a page: filter, sort, choose, act, copy, and what it says when it is empty."""

from __future__ import annotations

from dataclasses import dataclass

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication

from farmdesk.desk.list_view import ListView
from farmdesk.desk.tables import Column


@dataclass(frozen=True)
class Lot:
    id: int
    code: str
    note: str


LOTS = [Lot(1, "H-0003", "grade A"), Lot(2, "H-0001", "=1+1"), Lot(3, "H-0002", "two\tparts")]


@pytest.fixture
def lots(qtbot, light) -> ListView:
    view = ListView(
        (Column("code", "Lot"), Column("note", "Note")),
        name="Harvest lots",
        empty_text="No picks yet. Record the first pick on the Fruiting page.",
    )
    qtbot.addWidget(view)
    view.resize(700, 400)
    view.show()
    view.set_rows(LOTS)
    return view


def test_an_empty_list_says_what_to_do_first(lots) -> None:
    lots.set_rows([])
    assert lots._empty.isVisible()
    assert "Record the first pick" in lots._empty.text()
    lots.set_rows(LOTS)
    assert lots.view.isVisible()
    lots.set_filter("nothing such")
    assert lots._empty.text() == "Nothing matches the filter."


def test_a_click_on_a_title_sorts(lots, qtbot) -> None:
    header = lots.view.horizontalHeader()
    x = header.sectionViewportPosition(0) + 10
    qtbot.mouseClick(
        header.viewport(), Qt.MouseButton.LeftButton, pos=header.rect().center().__class__(x, 10)
    )
    assert [lot.id for lot in lots.table.shown_rows()] == [2, 3, 1]


def test_acts_are_offered_only_when_they_can_be_done(lots) -> None:
    done: list[list[int]] = []
    many = lots.add_row_action("Waste", lambda rows: done.append([row.id for row in rows]))
    one = lots.add_row_action("Open", lambda _: None, single=True, shortcut="Ctrl+Return")
    assert not many.isEnabled()
    lots.view.selectRow(0)
    assert many.isEnabled()
    assert one.isEnabled()
    lots.view.selectAll()
    assert not one.isEnabled()
    many.trigger()
    assert done == [[1, 2, 3]]


def test_the_chosen_row_stays_chosen_over_a_refresh(lots) -> None:
    assert lots.choose(lambda row: row.code == "H-0002")
    lots.set_rows(list(reversed(LOTS)))
    assert lots.current_row().code == "H-0002"
    lots.set_rows([])
    assert lots.current_row() is None


def test_enter_opens_the_row(lots, qtbot) -> None:
    opened: list[Lot] = []
    lots.row_opened.connect(opened.append)
    lots.view.selectRow(1)
    qtbot.keyClick(lots.view, Qt.Key.Key_Return)
    assert opened == [LOTS[1]]


def test_copied_rows_are_tidy_and_run_no_formula(lots) -> None:
    lots.view.selectAll()
    lots.copy_chosen()
    lines = QGuiApplication.clipboard().text().split("\n")
    assert lines == ["Lot\tNote", "H-0003\tgrade A", "H-0001\t'=1+1", "H-0002\ttwo parts"]


def test_columns_can_be_chosen_but_not_all_taken_away(lots) -> None:
    lots.show_columns(["note"])
    assert lots.shown_columns() == ["note"]
    lots.turn_column("note", False)
    assert lots.shown_columns() == ["note"]
    lots.turn_column("code", True)
    assert lots.shown_columns() == ["code", "note"]


def test_rows_are_of_one_height_and_large_enough(lots) -> None:
    heights = {lots.view.rowHeight(row) for row in range(3)}
    assert len(heights) == 1
    assert heights.pop() >= 34


def test_a_screen_reader_has_names(lots) -> None:
    assert lots.view.accessibleName() == "Harvest lots"
    assert lots.filter_line.accessibleName() == "Filter Harvest lots"


def test_the_first_step_of_the_keys_chooses_the_first_row(lots, qtbot) -> None:
    with qtbot.waitActive(lots):
        lots.activateWindow()
    lots.view.setFocus()
    assert lots.chosen_rows() == []
    for key, chosen in (
        (Qt.Key.Key_Down, 1),
        (Qt.Key.Key_Down, 2),
        (Qt.Key.Key_End, 3),
        (Qt.Key.Key_Home, 1),
    ):
        qtbot.keyClick(lots.view, key)
        assert [row.id for row in lots.chosen_rows()] == [chosen]
    lots.set_rows(LOTS[:1])
    lots.view.clearSelection()
    qtbot.keyClick(lots.view, Qt.Key.Key_Home)
    assert [row.id for row in lots.chosen_rows()] == [1]


def test_a_list_that_was_empty_takes_the_keys_when_its_rows_come(lots, qtbot) -> None:
    lots.set_rows([])
    lots.filter_line.setFocus()
    lots.expect_keys(lots.filter_line)
    lots.set_rows(LOTS)
    assert lots.view.hasFocus()
    lots.set_rows([])
    lots.filter_line.setFocus()
    lots.set_rows(LOTS)
    assert lots.filter_line.hasFocus(), "it was asked for once"
