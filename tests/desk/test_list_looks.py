"""Columns chosen, moved and widened are remembered; every list prints and exports by itself."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from openpyxl import load_workbook
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QMenu, QVBoxLayout, QWidget
from test_list_groups import COLUMNS, LOTS

from farmdesk.desk.column_dialog import ColumnDialog
from farmdesk.desk.exporting import table_of, write_table
from farmdesk.desk.list_menu import fill_header_menu, fill_list_menu
from farmdesk.desk.list_view import ListView
from farmdesk.desk.preview import PreviewDialog
from farmdesk.errors import NotWritten
from farmdesk.paper.table_pages import lay_out_table
from farmdesk.settings.list_memory import ListMemory
from farmdesk.wording.formats import Formats


class Place(QWidget):
    """A place that remembers lists, as the window does."""

    def __init__(self, memory: ListMemory, group: str = "") -> None:
        super().__init__()
        self.list_memory = memory
        self.context = None
        self.list = ListView(COLUMNS, name="Harvest lots", group=group)
        QVBoxLayout(self).addWidget(self.list)
        self.resize(800, 400)


def show_place(qtbot, memory: ListMemory, group: str = "") -> ListView:
    place = Place(memory, group)
    qtbot.addWidget(place)
    place.show()
    place.list.set_rows(LOTS)
    place.list.place = place  # qtbot keeps no widget alive
    return place.list


def test_a_list_comes_back_as_it_was_left(qtbot, light, tmp_path: Path) -> None:
    path = tmp_path / "lists.json"
    memory = ListMemory(path)
    first = show_place(qtbot, memory)
    first.look.set_order(["net_mg", "id", "species"])
    first.turn_column("id", False)
    first.look.set_width("net_mg", 31)
    first.view.sortByColumn(2, Qt.SortOrder.DescendingOrder)
    first.table.group_by("species")
    memory.save()
    again = show_place(qtbot, ListMemory(path))
    assert again.shown_columns() == ["net_mg", "species"]
    assert again.look.width("net_mg") == pytest.approx(31, abs=0.5)
    assert again.table.group == "species"
    assert again.table.order().column == "net_mg"
    again.look.reset()
    assert again.shown_columns() == ["id", "species", "net_mg"]
    assert again.table.group == ""


def test_a_list_left_as_it_began_is_not_kept(qtbot, light, tmp_path: Path) -> None:
    memory = ListMemory(tmp_path / "lists.json")
    show_place(qtbot, memory)
    memory.save()
    assert not (tmp_path / "lists.json").exists()


def test_groups_of_the_list_itself_are_turned_off_for_good(qtbot, light, tmp_path: Path) -> None:
    path = tmp_path / "lists.json"
    memory = ListMemory(path)
    first = show_place(qtbot, memory, group="species")
    assert first.table.group == "species"
    first.table.group_by("")
    memory.save()
    again = show_place(qtbot, ListMemory(path), group="species")
    assert again.table.group == ""
    again.look.reset()
    assert again.table.group == "species", "as it began"


@pytest.mark.parametrize(
    "text", ["", "{", "[]", '{"Place: id species net_mg": {"order": 5, "widths": [1], "sort": 0}}']
)
def test_a_file_that_makes_no_sense_harms_nothing(qtbot, light, tmp_path: Path, text: str) -> None:
    path = tmp_path / "lists.json"
    path.write_text(text, encoding="utf-8")
    view = show_place(qtbot, ListMemory(path))
    assert view.shown_columns() == ["id", "species", "net_mg"]


def test_a_memory_that_cannot_be_written_is_told(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("", encoding="utf-8")
    memory = ListMemory(tmp_path / "file" / "lists.json")
    memory.keep("Lots", {"group": "species"})
    with pytest.raises(NotWritten):
        memory.save()


def test_looks_of_other_lists_stay_in_the_file(tmp_path: Path) -> None:
    path = tmp_path / "lists.json"
    path.write_text(json.dumps({"other": {"group": "a"}}), encoding="utf-8")
    memory = ListMemory(path)
    memory.keep("Lots", {"group": "species"})
    memory.save()
    assert json.loads(path.read_text(encoding="utf-8")) == {
        "other": {"group": "a"},
        "Lots": {"group": "species"},
    }


def test_the_dialog_hides_moves_and_widens_columns(qtbot, light) -> None:
    view = show_place(qtbot, ListMemory())
    dialog = ColumnDialog(view.look, view.table.columns, view)
    qtbot.addWidget(dialog)
    dialog.show()
    dialog.columns.setFocus()
    qtbot.keyClick(dialog.columns, Qt.Key.Key_Space)
    assert view.shown_columns() == ["species", "net_mg"]
    dialog.columns.setCurrentRow(2)
    dialog.shift(-1)
    assert view.shown_columns() == ["net_mg", "species"]
    dialog.width_box.setValue(40)
    assert view.look.width("net_mg") == pytest.approx(40, abs=0.5)
    dialog.columns.setCurrentRow(1)
    for row in range(3):
        dialog.columns.item(row).setCheckState(Qt.CheckState.Unchecked)
    assert len(view.shown_columns()) == 1, "the last column stays"
    dialog.reset()
    assert view.shown_columns() == ["id", "species", "net_mg"]
    dialog.close()


def test_every_list_offers_all_it_can(qtbot, light) -> None:
    view = show_place(qtbot, ListMemory())
    menu = QMenu()
    qtbot.addWidget(menu)
    fill_list_menu(view, menu)
    titles = [action.text() for action in menu.actions() if not action.isSeparator()]
    assert titles[:3] == ["Sort by", "Group by", "Columns …"]
    assert titles[3:] == ["Copy chosen rows (Ctrl+C)", "Export …", "Print …"]
    header = QMenu()
    qtbot.addWidget(header)
    fill_header_menu(view, header, 1)
    header.actions()[0].trigger()
    assert view.table.group == "species"


def test_a_long_row_of_buttons_leaves_the_filter_room(qtbot, light) -> None:
    view = show_place(qtbot, ListMemory())
    actions = [view.add_row_action(f"Put in room {at}", lambda _: None) for at in range(9)]
    view.window().resize(600, 300)
    hidden = view._buttons.hidden_actions()
    assert hidden
    assert hidden == actions[-len(hidden) :]
    letter = view.fontMetrics().averageCharWidth()
    assert view.filter_line.width() >= 12 * letter
    view._buttons.menu.aboutToShow.emit()
    assert view._buttons.menu.actions()[: len(hidden)] == hidden


def test_what_is_shown_is_what_is_taken_along(qtbot, light, tmp_path: Path) -> None:
    view = show_place(qtbot, ListMemory())
    view.set_filter("oyster")
    view.look.set_order(["net_mg", "species", "id"])
    view.turn_column("id", False)
    path = tmp_path / "lots.xlsx"
    write_table(table_of(view, "Lots", {}), path, Formats(mass_unit="g"))
    sheet = load_workbook(path).worksheets[0]
    cells = [[cell.value for cell in row] for row in sheet.iter_rows()]
    lots = [one[:2] for one in cells if "Oyster" in one]
    assert lots == [[0.5, "Oyster"], [0.3, "Oyster"]], "grams, as figures"


def test_paper_has_headings_sums_and_totals(qtbot, light) -> None:
    view = show_place(qtbot, ListMemory())
    view.table.group_by("species")
    table = table_of(view, "Lots", {}, for_paper=True)
    pages = lay_out_table(table, Formats(mass_unit="g"))
    texts = [mark.text for mark in pages[0].marks if hasattr(mark, "text")]
    assert {"Lots", "Oyster (2)", "Net (g)", "Page 1 of 1"} <= set(texts)
    assert table.totals == [None, None, 1000] or list(table.totals)[-1] == 1000


def test_a_list_on_a_page_is_previewed_before_it_is_printed(farm_window) -> None:
    page = farm_window.show("catalogue")
    view = page.findChild(ListView)
    menu = QMenu(page)
    fill_list_menu(view, menu)
    menu.actions()[-1].trigger()
    dialog = farm_window.dialog()
    assert isinstance(dialog, PreviewDialog)
    assert dialog.preview.sheet._page is not None
    dialog.reject()
