"""Lists under headings: counts, sums, opening and closing, and what long lists say."""

from __future__ import annotations

from array import array
from collections.abc import Sequence
from dataclasses import dataclass

import pytest
from PySide6.QtCore import QPoint, Qt

from farmdesk.desk.list_view import ListView
from farmdesk.desk.tables import GROUP_LIMIT, Column, Order


@dataclass(frozen=True)
class Lot:
    id: int
    species: str
    net_mg: int | None


LOTS = [Lot(1, "Oyster", 500), Lot(2, "Enoki", 200), Lot(3, "Oyster", 300), Lot(4, "", None)]
COLUMNS = (
    Column("id", "Lot"),
    Column("species", "Species"),
    Column("net_mg", "Net", text=lambda mg: f"{mg} mg", right=True, kind="mass"),
)


@pytest.fixture
def lots(qtbot, light) -> ListView:
    view = ListView(COLUMNS, name="Harvest lots")
    qtbot.addWidget(view)
    view.resize(700, 400)
    view.show()
    view.set_rows(LOTS)
    return view


def headings(view: ListView) -> list[str]:
    rows = range(view.table.rowCount())
    return [one.title for at in rows if (one := view.table.heading_at(at)) is not None]


def test_a_group_has_a_heading_with_its_count_and_its_sum(lots) -> None:
    lots.table.group_by("species")
    assert headings(lots) == ["(nothing) (1)", "Enoki (1)", "Oyster (2)"]
    assert [lots.table.index(at, 2).data() for at in (0, 2, 4)] == ["", "200 mg", "800 mg"]
    assert lots._count.text() == "4 in 3 groups"
    assert lots.table.row_at(4) is None
    assert lots.table.row_at(5) == LOTS[0]


def test_a_group_is_closed_and_opened_by_its_heading(lots, qtbot) -> None:
    lots.table.group_by("species")
    place = lots.view.visualRect(lots.table.index(4, 0)).center()
    qtbot.mouseClick(lots.view.viewport(), Qt.MouseButton.LeftButton, pos=QPoint(place))
    assert lots.table.rowCount() == 5
    assert [row.id for row in lots.table.shown_rows()] == [4, 2, 1, 3], "closed rows belong to it"
    qtbot.keyClick(lots.view, Qt.Key.Key_Return)
    assert lots.table.rowCount() == 7
    lots.table.open_all(opened=False)
    assert lots.table.rowCount() == 3


def test_headings_are_no_rows_to_act_on(lots) -> None:
    action = lots.add_row_action("Waste", lambda _: None)
    lots.table.group_by("species")
    lots.view.selectRow(0)
    assert not action.isEnabled()
    assert lots.chosen_rows() == []
    assert lots.current_row() is None
    lots.view.selectAll()
    assert [row.id for row in lots.chosen_rows()] == [4, 2, 1, 3]
    assert lots.choose(lambda row: row.id == 3)


def test_sorting_orders_the_rows_within_groups(lots) -> None:
    lots.table.group_by("species")
    lots.view.sortByColumn(2, Qt.SortOrder.AscendingOrder)
    assert [row.id for row in lots.table.shown_rows()] == [4, 2, 3, 1]
    lots.view.sortByColumn(1, Qt.SortOrder.DescendingOrder)
    assert headings(lots)[0] == "Oyster (2)"


class _Source:
    """So many lots in a store."""

    def __init__(self, count: int) -> None:
        self.count = count

    def first_page(self, order: Order, words: str, limit: int) -> Sequence[Lot]:
        return self.rows(list(self.ids(order, words)[:limit]))

    def ids(self, order: Order, words: str) -> array[int]:
        del order
        return array("q", range(3 if words else self.count))

    def rows(self, ids: Sequence[int]) -> Sequence[Lot]:
        return [Lot(one, "Oyster" if one % 2 else "Enoki", one) for one in ids]


def test_a_long_list_is_grouped_when_it_is_not_too_long(lots, workplace, settled) -> None:
    lots.table.set_source(_Source(1_000), workplace)
    settled()
    lots.table.group_by("species")
    settled()
    assert headings(lots) == ["Enoki (500)", "Oyster (500)"]
    lots.table.group_by("")
    settled()
    assert lots.table.rowCount() == 1_000


def test_a_list_too_long_to_group_says_so_and_groups_what_is_filtered(
    lots, workplace, settled
) -> None:
    lots.table.set_source(_Source(GROUP_LIMIT + 1), workplace)
    settled()
    lots.table.group_by("species")
    settled()
    assert lots.table.group == ""
    assert "too many to group" in lots._count.text()
    assert lots.table.rowCount() == GROUP_LIMIT + 1
    lots.set_filter("oyster")
    settled()
    lots.table.group_by("species")
    settled()
    assert headings(lots) == ["Enoki (2)", "Oyster (1)"]


def chosen(view: ListView) -> list[int]:
    return [row.id for row in view.chosen_rows()]


def test_keys_pass_over_the_headings_of_open_groups(lots, qtbot) -> None:
    # Headings stand in rows 0, 2 and 4, before the lots 4, 2 and 1, 3.
    lots.table.group_by("species")
    lots.view.setFocus()
    steps = []
    for key in (Qt.Key.Key_Down,) * 5 + (Qt.Key.Key_Up,) * 5:
        qtbot.keyClick(lots.view, key)
        steps += chosen(lots)
    assert steps == [4, 2, 1, 3, 3, 1, 2, 4, 4, 4]
    for key, lot in (
        (Qt.Key.Key_End, 3), (Qt.Key.Key_Home, 4), (Qt.Key.Key_PageDown, 3),
        (Qt.Key.Key_PageUp, 4),
    ):  # fmt: skip
        qtbot.keyClick(lots.view, key)
        assert chosen(lots) == [lot]
    qtbot.keyClick(lots.view, Qt.Key.Key_Down, Qt.KeyboardModifier.ShiftModifier)
    assert chosen(lots) == [4, 2], "a range over a heading holds rows alone"


def test_minus_closes_the_group_and_plus_opens_it(lots, qtbot) -> None:
    lots.table.group_by("species")
    lots.choose(lambda row: row.id == 2)
    qtbot.keyClick(lots.view, Qt.Key.Key_Minus)
    assert lots.table.rowCount() == 6
    assert lots.table.heading_at(lots.view.currentIndex().row()).text == "Enoki"
    qtbot.keyClick(lots.view, Qt.Key.Key_Down)
    assert chosen(lots) == [1]
    qtbot.keyClick(lots.view, Qt.Key.Key_Up)
    assert lots.table.heading_at(lots.view.currentIndex().row()).text == "Enoki", "to be opened"
    qtbot.keyClick(lots.view, Qt.Key.Key_Plus)
    assert chosen(lots) == [2]
    assert lots.table.rowCount() == 7


def test_where_all_groups_are_closed_keys_go_from_heading_to_heading(lots, qtbot) -> None:
    lots.table.group_by("species")
    lots.table.open_all(opened=False)
    lots.view.setFocus()
    for at in (0, 1, 2, 2):
        qtbot.keyClick(lots.view, Qt.Key.Key_Down)
        assert lots.view.currentIndex().row() == at
    qtbot.keyClick(lots.view, Qt.Key.Key_Return)
    assert lots.table.rowCount() == 5


def test_without_groups_minus_and_plus_do_nothing(lots, qtbot) -> None:
    lots.choose(lambda row: row.id == 2)
    qtbot.keyClick(lots.view, Qt.Key.Key_Minus)
    qtbot.keyClick(lots.view, Qt.Key.Key_Plus)
    assert lots.table.rowCount() == 4
