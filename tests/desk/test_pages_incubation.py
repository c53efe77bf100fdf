"""The incubation page: counts by stage, walks by exception, acts on chosen bags, labels."""

from __future__ import annotations

from pathlib import Path

import pytest
import zxingcpp
from farm_window import FarmWindow
from pypdfium2 import PdfDocument
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from scipy.stats import binomtest

from farmdesk.actions.inoculation import SpawnUse, inoculate
from farmdesk.actions.lab import register_spawn
from farmdesk.actions.walks import walk
from farmdesk.desk.pages.incubation import IncubationPage
from farmdesk.domain.catalogue import Room
from farmdesk.domain.codes import code_of
from farmdesk.reports.incubation import number_of

CONTROL = Qt.KeyboardModifier.ControlModifier
KG = 1_000_000


def make_batch(window: FarmWindow, bags: int = 8):
    strain = window.all("strain")[0].id
    room = window.all("room", use="incubation")[0].id
    spawn = window.act(lambda act: register_spawn(act, strain=strain, bags=1, each_mg=3 * KG))[0]
    return window.act(
        lambda act: inoculate(
            act, strain=strain, spawn=[SpawnUse(spawn.id, KG)], bags=bags, block_mg=2 * KG,
            room=room,
        )
    )  # fmt: skip


def mould(window: FarmWindow) -> int:
    return window.all("reason", code="green_mould")[0].id


def stages(window: FarmWindow) -> dict[int, str]:
    return {bag.number: bag.stage for bag in window.all("bag")}


def test_an_empty_farm_says_where_to_begin(farm_window: FarmWindow) -> None:
    page: IncubationPage = farm_window.show("incubation")
    assert "Ctrl+I" in page.batches._empty.text()
    QTest.keyClick(page.batches.filter_line, Qt.Key.Key_W, CONTROL)
    assert not farm_window.has_dialog()


def test_a_batch_shows_its_counts_and_its_bags(farm_window: FarmWindow) -> None:
    batch = make_batch(farm_window, 40)
    bags = farm_window.all("bag")
    reason = mould(farm_window)
    bad = {bag.id: reason for bag in bags[:3]}
    farm_window.act(lambda act: walk(act, batch=batch.id, contaminated=bad, slow={bags[5].id}))
    page: IncubationPage = farm_window.show("incubation")
    line = page.batches.table.row_at(0)
    row = line.row
    assert (row.made, row.incubating, row.contaminated, row.slow) == (40, 37, 3, 1)
    # SciPy's own Wilson score interval (scipy.stats.binomtest), the reference for the range.
    wilson = binomtest(3, 40).proportion_ci(method="wilson")
    assert (line.rate.low, line.rate.high) == pytest.approx((wilson.low, wilson.high))
    shown = {one.key: one.text_of(line) for one in page.batches.table.columns}
    assert shown["contaminated"] == "3 of 40  (3–20 %)"
    assert page.bags_title.text().startswith(f"Bags of {batch.name}")
    assert page.bags.table.rowCount() == 40
    assert page.bags.table.row_at(0).reason == "Green mould"


def test_a_walk_by_exception_in_one_act(farm_window: FarmWindow) -> None:
    make_batch(farm_window)
    bags = farm_window.all("bag")
    page: IncubationPage = farm_window.show("incubation")
    page.batches.view.setFocus()
    QTest.keyClick(page.batches.view, Qt.Key.Key_W, CONTROL)
    dialog = farm_window.dialog()
    QTest.keyClicks(dialog.bag.line, "2")
    QTest.keyClick(dialog.bag.line, Qt.Key.Key_Return)
    dialog.reason.line.setText("Green mould")
    farm_window.window.take_scan(code_of(bags[4].id))
    QTest.keyClicks(dialog.bag.line, "99")
    QTest.keyClick(dialog.bag.line, Qt.Key.Key_Return)
    assert "99" in dialog.bag.problem_text()
    dialog.bag.set_value("")
    assert dialog.list.count() == 2
    assert "The other 6 are fine" in dialog.save_button.text()
    QTest.keyClick(dialog.bag.line, Qt.Key.Key_Return, CONTROL)
    farm_window.settle()
    after = {bag.number: bag for bag in farm_window.all("bag")}
    assert after[5].stage == "discarded"
    assert after[2].slow == 1
    assert all(after[number].looked_on for number in (1, 2, 3, 4, 6, 7, 8))
    with farm_window.store.reading() as reading:
        last = reading.entry(reading.last_number())
        assert last is not None
        acts = {entry.act for entry in reading.entries_of_act(last.act)}
    assert len(acts) == 1
    assert len(reading_entries(farm_window, last.act)) == 8


def reading_entries(window: FarmWindow, act: str) -> list:
    with window.store.reading() as reading:
        return reading.entries_of_act(act)


def test_a_bag_named_by_mistake_is_taken_off_the_list(farm_window: FarmWindow) -> None:
    make_batch(farm_window)
    page: IncubationPage = farm_window.show("incubation")
    page.walk_batch()
    dialog = farm_window.dialog()
    dialog.add_bag("3")
    dialog.list.setCurrentRow(0)
    dialog.list.setFocus()
    QTest.keyClick(dialog.list, Qt.Key.Key_Delete)
    assert dialog.exceptions == {}
    dialog.try_save()
    farm_window.settle()
    assert all(bag.looked_on and not bag.slow for bag in farm_window.all("bag"))


def test_a_room_is_walked(farm_window: FarmWindow) -> None:
    make_batch(farm_window, 2)
    make_batch(farm_window, 3)
    page: IncubationPage = farm_window.show("incubation")
    page.walk_room()
    farm_window.dialog().try_save()
    dialog = farm_window.dialog()
    assert "5 bags" in dialog.sentence.text()
    dialog.try_save()
    farm_window.settle()
    assert all(bag.looked_on for bag in farm_window.all("bag"))


def test_chosen_bags_are_moved_opened_and_discarded_by_keys(farm_window: FarmWindow) -> None:
    make_batch(farm_window, 4)
    fruiting = farm_window.all("room", use="fruiting")[0]
    page: IncubationPage = farm_window.show("incubation")
    view = page.bags.view
    view.setFocus()
    view.selectRow(0)
    QTest.keyClick(view, Qt.Key.Key_G, CONTROL)
    farm_window.settle()
    assert stages(farm_window)[1] == "colonised"
    page.bags.choose(lambda row: number_of(row) == 2)
    QTest.keyClick(view, Qt.Key.Key_M, CONTROL)
    dialog = farm_window.dialog()
    dialog.form.fields["room"].line.setText(fruiting.name)
    dialog.try_save()
    farm_window.settle()
    assert farm_window.all("bag", room=fruiting.id)[0].number == 2
    page.bags.choose(lambda row: number_of(row) == 3)
    view.setFocus()
    QTest.keyClick(view, Qt.Key.Key_Delete)
    dialog = farm_window.dialog()
    dialog.try_save()
    assert dialog.form.fields["reason"].problem_text()
    dialog.form.fields["reason"].line.setText("Green mould")
    dialog.try_save()
    farm_window.settle()
    assert stages(farm_window)[3] == "discarded"


def test_bags_move_onto_a_shelf_where_the_room_has_some(farm_window: FarmWindow) -> None:
    make_batch(farm_window, 2)
    room = farm_window.all("room", use="incubation")[0]
    farm_window.act(
        lambda act: act.change("room_changed", act.need(Room, room.id), shelves="A1 A2 B1")
    )
    page: IncubationPage = farm_window.show("incubation")
    page.bags.choose(lambda row: number_of(row) == 2)
    page.bags.view.setFocus()
    QTest.keyClick(page.bags.view, Qt.Key.Key_M, CONTROL)
    dialog = farm_window.dialog()
    shelf = dialog.form.fields["shelf"]
    assert shelf.isHidden(), "no room is chosen yet"
    dialog.form.fields["room"].line.setText(room.name)
    assert not shelf.isHidden()
    shelf.line.setText("A2")
    dialog.form.fields["room"].line.setText("Fruiting room")
    assert shelf.isHidden()
    dialog.form.fields["room"].line.setText(room.name)
    assert shelf.line.text() == "", "a shelf of another room is not kept"
    shelf.line.setText("A2")
    dialog.try_save()
    farm_window.settle()
    assert [one.shelf for one in farm_window.all("bag")] == ["", "A2"]
    assert [row.shelf for row in page.bags.table.shown_rows()] == ["", "A2"]


def test_opening_too_early_is_asked_before_it_is_done(farm_window: FarmWindow) -> None:
    make_batch(farm_window, 1)
    page: IncubationPage = farm_window.show("incubation")
    page.bags.choose(lambda _row: True)
    page._do("opened", page.bags.chosen_rows())
    question = farm_window.dialog()
    question.reject()
    farm_window.settle()
    assert stages(farm_window)[1] == "incubating"
    page._do("opened", page.bags.chosen_rows())
    farm_window.dialog().accept()
    farm_window.settle()
    assert stages(farm_window)[1] == "fruiting"


def test_a_bag_of_another_place_is_found_with_its_batch(farm_window: FarmWindow) -> None:
    make_batch(farm_window, 2)
    other = make_batch(farm_window, 2)
    bag = farm_window.all("bag", batch=other.id)[1]
    page: IncubationPage = farm_window.show("incubation", code_of(bag.id))
    assert page.batches.current_row().name == other.name
    assert page.bags.current_row().id == bag.id


def test_labels_of_chosen_bags_are_printed(farm_window: FarmWindow, tmp_path: Path) -> None:
    make_batch(farm_window, 3)
    page: IncubationPage = farm_window.show("incubation")
    page._labels([page.bags.table.row_at(1)])
    dialog = farm_window.dialog()
    out = tmp_path / "one.pdf"
    dialog.form.fields["out"].set_value(str(out))
    dialog.form.fields["show"].set_value(False)
    dialog.form.fields["stock"].set_value("roll-57x32")
    dialog.try_save()
    farm_window.settle()
    pages = PdfDocument(str(out))
    found = zxingcpp.read_barcodes(pages[0].render(scale=8).to_pil())
    pages.close()
    assert [one.text for one in found] == [code_of(farm_window.all("bag")[1].id)]
