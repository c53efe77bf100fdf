"""The catalogue page: every kind is added, changed, retired and deleted by the keyboard."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest
from farm_window import FarmWindow
from openpyxl import load_workbook
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from farmdesk.desk.exporting import table_of, write_table
from farmdesk.desk.pages.catalogue_kinds import BY_KIND, KINDS
from farmdesk.domain.cells import columns_of
from farmdesk.domain.things import CATALOGUE, THINGS
from farmdesk.wording.states import WRAPS

CONTROL = Qt.KeyboardModifier.ControlModifier
_MADE_ALONE = {"card", "recipe_part"}
_FIXED = {"id", "retired", "first_serial"}


def fill(dialog: object, **texts: str) -> None:
    for key, text in texts.items():
        dialog.form.fields[key].line.setText(text)  # type: ignore[attr-defined]


def test_every_kind_of_the_catalogue_has_a_list() -> None:
    assert set(BY_KIND) == set(CATALOGUE) - _MADE_ALONE


@pytest.mark.parametrize("spec", KINDS, ids=lambda spec: spec.kind)
def test_every_field_of_a_kind_is_in_its_form(spec) -> None:
    wanted = {column.name for column in columns_of(THINGS[spec.kind])} - _FIXED
    assert {one.name for one in spec.fields} - {"parts"} == wanted


@pytest.mark.parametrize("spec", KINDS, ids=lambda spec: spec.kind)
def test_a_thing_kept_untouched_stays_as_it_was(farm_window: FarmWindow, spec) -> None:
    page = farm_window.show("catalogue", spec.kind)
    before = farm_window.all(spec.kind)
    if not before:
        return
    page.edit_thing(before[0])
    farm_window.dialog().try_save()
    farm_window.settle()
    assert not farm_window.has_dialog()
    assert farm_window.all(spec.kind) == before


def test_a_room_is_added_with_keys_alone(farm_window: FarmWindow) -> None:
    page = farm_window.show("catalogue", "room")
    page.kinds.setFocus()
    QTest.keyClick(page.kinds, Qt.Key.Key_N, CONTROL)
    dialog = farm_window.dialog()
    QTest.keyClicks(dialog.form.fields["name"].line, "Cave")
    fill(dialog, use="incubation", capacity="240", temperature_c_low="68 F")
    QTest.keyClick(dialog.form.fields["name"].line, Qt.Key.Key_Return, CONTROL)
    farm_window.settle()
    room = farm_window.all("room", name="Cave")[0]
    assert (room.use, room.capacity, room.temperature_c_low) == ("incubation", 240, Decimal(20))
    assert page.view.current_row().name == "Cave"


def test_what_cannot_be_is_said_beside_its_field(farm_window: FarmWindow) -> None:
    page = farm_window.show("catalogue", "crate")
    page.add_thing()
    dialog = farm_window.dialog()
    fill(dialog, name="C1", tare_mg="12")
    dialog.try_save()
    assert "unit" in dialog.form.fields["tare_mg"].problem_text()
    fill(dialog, tare_mg="450 g")
    dialog.try_save()
    assert not farm_window.has_dialog()
    page.add_thing()
    twin = farm_window.dialog()
    fill(twin, name="c1", tare_mg="450 g")
    twin.try_save()
    farm_window.settle()
    assert twin.isVisible()
    assert twin.form.fields["name"].problem_text()
    twin.reject()
    assert len(farm_window.all("crate")) == 1


def test_a_recipe_needs_shares_of_a_hundred(farm_window: FarmWindow) -> None:
    page = farm_window.show("catalogue", "recipe")
    page.add_thing()
    dialog = farm_window.dialog()
    fill(dialog, name="Half and half", moisture_percent="60", block_mg="3 kg")
    parts = dialog.form.fields["parts"]
    parts.rows[0].ingredient.line.setText("Oak pellets")
    parts.rows[0].share.line.setText("60")
    parts.add_button.click()
    parts.rows[1].ingredient.line.setText("Wheat bran")
    parts.rows[1].share.line.setText("30")
    dialog.try_save()
    farm_window.settle()
    assert parts.problem_text()
    parts.rows[1].share.line.setText("40")
    dialog.try_save()
    farm_window.settle()
    recipe = farm_window.all("recipe", name="Half and half")[0]
    shares = [one.share_percent for one in farm_window.all("recipe_part", recipe=recipe.id)]
    assert shares == [Decimal(60), Decimal(40)]


def test_every_column_has_a_title(farm_window: FarmWindow) -> None:
    page = farm_window.show("catalogue")
    for row in range(page.kinds.count()):
        page.kinds.setCurrentRow(row)
        assert all(column.title for column in page.view.table.columns), page.spec.kind


def test_wraps_are_shown_in_words_and_kept_as_codes(farm_window: FarmWindow, monkeypatch) -> None:
    monkeypatch.setitem(WRAPS, "wrapped", "in film")
    page = farm_window.show("catalogue", "storage_life")
    assert page.view.choose(lambda row: row.wrap == "wrapped")
    page.edit_thing(page.view.current_row())
    dialog = farm_window.dialog()
    fields = dialog.form.fields
    assert fields["wrap"].text() == "in film"
    fields["wrap"].set_value("In Film")
    assert fields["wrap"].value() == "wrapped"
    dialog.reject()


def test_retired_things_hide_and_come_back(farm_window: FarmWindow) -> None:
    page = farm_window.show("catalogue", "room")
    page.view.choose(lambda room: room.name == "Cold store")
    page._turn_retired(page.view.chosen_rows())
    farm_window.settle()
    assert not page.view.choose(lambda room: room.name == "Cold store")
    page._retired_shown.trigger()
    assert page.view.choose(lambda room: room.name == "Cold store")
    page._turn_retired(page.view.chosen_rows())
    farm_window.settle()
    assert farm_window.all("room", name="Cold store")[0].retired == 0


def test_delete_takes_away_what_nothing_uses_and_keeps_the_rest(farm_window: FarmWindow) -> None:
    page = farm_window.show("catalogue", "ingredient")
    page.add_thing()
    dialog = farm_window.dialog()
    fill(dialog, name="Chaff")
    dialog.try_save()
    farm_window.settle()
    QTest.keyClick(page.view.view, Qt.Key.Key_Delete)
    farm_window.settle()
    assert not farm_window.all("ingredient", name="Chaff")
    page.view.choose(lambda one: one.name == "Wheat bran")
    page.view.view.setFocus()
    QTest.keyClick(page.view.view, Qt.Key.Key_Delete)
    told = farm_window.dialog()
    assert "Wheat bran" in told.sentence.text()
    told.accept()
    assert farm_window.all("ingredient", name="Wheat bran")


def test_a_list_is_exported_as_it_is_shown(farm_window: FarmWindow, tmp_path: Path) -> None:
    page = farm_window.show("catalogue", "room")
    table = table_of(page.view, "Rooms", {"capacity": "integer"})
    path = write_table(table, tmp_path / "rooms.xlsx", farm_window.context.formats)
    sheet = load_workbook(path).active
    rows = [row for row in sheet.iter_rows(values_only=True) if row[0] == "Cold store"]
    assert rows[0][2] == 200
