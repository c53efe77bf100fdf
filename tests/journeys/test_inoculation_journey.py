"""A farm's first weeks through its windows: from an empty lab to a walk with a contaminated bag."""

from __future__ import annotations

from pathlib import Path

from farm_window import FarmWindow
from label_reading import read_codes
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QWidget

from farmdesk.domain.codes import code_of, read_code
from farmdesk.reports.check import check_farm

CONTROL = Qt.KeyboardModifier.ControlModifier
ENTER = Qt.Key.Key_Return


def press(widget: QWidget, key: Qt.Key) -> None:
    QTest.keyClick(widget, key, CONTROL)


def fill(window: FarmWindow, **texts: str) -> None:
    """Type into the fields of the open form and keep it with Ctrl+Enter."""
    dialog = window.dialog()
    for key, text in texts.items():
        line = dialog.form.fields[key].line
        line.setFocus()
        line.selectAll()
        QTest.keyClicks(line, text)
    press(dialog.form, ENTER)
    window.settle()


def test_from_an_empty_lab_to_a_walk(farm_window: FarmWindow, tmp_path: Path) -> None:
    out = tmp_path / "labels.pdf"
    add_room_and_strain(farm_window)
    register_culture_and_spawn(farm_window)
    mix_and_heat(farm_window)
    inoculate(farm_window, out)
    bags = farm_window.all("bag")
    assert read_codes(out) == {code_of(bag.id) for bag in bags}
    walk(farm_window, bags[6].id)
    after = {bag.number: bag for bag in farm_window.all("bag")}
    assert after[7].stage == "discarded"
    assert all(after[number].looked_on for number in after)
    page = farm_window.show("today")
    assert page.isVisible()
    assert check_farm(farm_window.store).is_clean


def add_room_and_strain(window: FarmWindow) -> None:
    page = window.show("catalogue", "room")
    page.view.filter_line.setFocus()
    press(page.view.filter_line, Qt.Key.Key_N)
    fill(window, name="Warm shelves", use="incubation", capacity="180")
    window.show("catalogue", "strain")
    press(page.view.filter_line, Qt.Key.Key_N)
    fill(window, species="Oyster", code="07", name="Grey winter")
    assert window.all("room", name="Warm shelves")
    assert window.all("strain", name="Grey winter")


def register_culture_and_spawn(window: FarmWindow) -> None:
    page = window.show("lab")
    press(page.tabs.currentWidget(), Qt.Key.Key_N)
    fill(window, strain="OY07 Grey winter", origin="Own tissue")
    culture = window.all("culture")[0]
    assert culture.name.startswith("C-OY07")
    page.tabs.setCurrentIndex(1)
    press(page.spawn.filter_line, Qt.Key.Key_N)
    dialog = window.dialog()
    dialog.form.fields["parent"].set_value(culture.id)
    fill(window, strain="OY07 Grey winter", bags="2", each_mg="1.5 kg", grain="Rye")
    assert [one.generation for one in window.all("spawn")] == [1, 1]


def mix_and_heat(window: FarmWindow) -> None:
    page = window.show("lab")
    page.tabs.setCurrentIndex(2)
    press(page.runs.filter_line, Qt.Key.Key_N)
    fill(window, recipe="Pellets and bran", blocks="12")
    page.runs.view.setFocus()
    press(page.runs.view, Qt.Key.Key_E)
    dialog = window.dialog()
    dialog.form.fields["readings"].set_value("0:00 121 °C middle of the load")
    fill(window, started_at="0:00", hot_at="0:00", ended_at="0:00", status="passed")
    assert window.all("run")[0].status == "passed"


def inoculate(window: FarmWindow, out: Path) -> None:
    page = window.show("lab")
    page.runs.view.setFocus()
    press(page.runs.view, Qt.Key.Key_I)
    dialog = window.dialog()
    dialog.run_field.set_value(window.all("run")[0].id)
    fields = dialog.form.fields
    fields["bags"].set_value("12")
    for one in window.all("spawn"):
        window.window.take_scan(code_of(one.id))
        dialog.uses.rows[-1].amount.set_value("750 g")
    dialog.uses.rows[0].bags.set_value("1-6")
    dialog.uses.rows[1].bags.set_value("7-12")
    fill(window, room="Warm shelves")
    labels = window.dialog()
    batch = window.all("batch")[0]
    assert batch.name.startswith("OY07-")
    assert batch.name in labels.windowTitle()
    labels.form.fields["show"].set_value(False)
    labels.stock.set_value("letter-3x10")
    window.settle()
    assert labels.job.count == 12
    fill(window, out=str(out))
    assert [one.left_mg for one in window.all("spawn")] == [750_000, 750_000]


def walk(window: FarmWindow, bad: int) -> None:
    page = window.show("incubation")
    page.batches.view.setFocus()
    press(page.batches.view, Qt.Key.Key_W)
    dialog = window.dialog()
    dialog.reason.line.setFocus()
    dialog.reason.line.selectAll()
    QTest.keyClicks(dialog.reason.line, "Green mould")
    window.window.take_scan(code_of(bad))
    assert read_code(code_of(bad)) in dialog.exceptions
    press(dialog.bag.line, ENTER)
    window.settle()
    assert not window.has_dialog()
