"""The fruiting page: bags opened, rested and moved, picks recorded, weighed and corrected."""

from __future__ import annotations

from pathlib import Path

import pytest
import zxingcpp
from farm_window import FarmWindow
from pypdfium2 import PdfDocument
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from working_farm import WorkingFarm, days_ago, fill_farm

from farmdesk.actions.picks import add_bag, record_pick, start_pick
from farmdesk.actions.undo import undo_last
from farmdesk.desk.pages.fruiting import FruitingPage
from farmdesk.domain.bags import Bag
from farmdesk.domain.codes import code_of
from farmdesk.reports.check import check_farm

CONTROL = Qt.KeyboardModifier.ControlModifier


@pytest.fixture
def farm(farm_window: FarmWindow) -> WorkingFarm:
    return fill_farm(farm_window.act)


def fill(dialog, **texts: str) -> None:
    for key, text in texts.items():
        dialog.form.fields[key].line.setText(text)


def select(view, at: int) -> None:
    """Choose a row and go there."""
    wanted = view.table.row_at(at)
    view.choose(lambda row: row is wanted)
    view.view.setFocus()


def name_of(farm: WorkingFarm, batch: int, number: int) -> str:
    return f"{farm.batches[batch].name}-{number:03d}"


def test_an_empty_farm_says_what_to_do_first(farm_window: FarmWindow) -> None:
    page: FruitingPage = farm_window.show("fruiting")
    page.tabs.setCurrentIndex(2)
    assert "Ctrl+N" in page.picks._empty.text()
    assert page.batches.table.rowCount() == 0


def test_bags_are_shown_by_batch_with_what_is_expected(
    farm_window: FarmWindow, farm: WorkingFarm
) -> None:
    page: FruitingPage = farm_window.show("fruiting")
    oyster = page.batches.table.row_at(0)
    assert (oyster.waiting, oyster.fruiting, oyster.days_open) == (3, 3, 11)
    page._open_batch(oyster)
    rows = [page.bags.table.row_at(at) for at in range(page.bags.table.rowCount())]
    assert [row.expected.what for row in rows] == ["pick"] * 3 + ["open"] * 3
    assert rows[0].expected.flush == 1


def test_two_bags_are_picked_by_keyboard_and_scanner(
    farm_window: FarmWindow, farm: WorkingFarm, tmp_path: Path
) -> None:
    page: FruitingPage = farm_window.show("fruiting")
    page.tabs.setFocus()
    QTest.keyClick(page.tabs, Qt.Key.Key_N, CONTROL)
    dialog = farm_window.dialog()
    dialog.bags.line.setFocus()
    QTest.keyClicks(dialog.bags.line, name_of(farm, 0, 1))
    QTest.keyClick(dialog.bags.line, Qt.Key.Key_Return)
    farm_window.settle()
    farm_window.window.take_scan(code_of(farm.bags[0][1].id))
    farm_window.window.take_scan(code_of(farm.crates[0].id))
    farm_window.settle()
    assert [bag.flush for bag in dialog.bags.bags()] == [1, 1]
    assert "first pick" in dialog.bags.list.item(0).text()
    fill(dialog, gross_mg="9 lb 6.5 oz")
    assert dialog.net.text() == "Net: 3.617 kg"
    QTest.keyClick(dialog.gross.line, Qt.Key.Key_Return, CONTROL)
    labels = farm_window.dialog()
    pick = farm_window.all("pick")[0]
    # 9 lb 6.5 oz = 150.5 oz; 1 oz = 28.349523125 g exactly (NIST Handbook 44, appendix C).
    assert pick.gross_mg == round(150.5 * 28_349.523125)
    assert pick.net_mg == pick.gross_mg - 650_000
    assert pick.typed == "9 lb 6.5 oz"
    out = tmp_path / "crate.pdf"
    labels.form.fields["show"].set_value(False)
    fill(labels, stock="roll-100x50", out=str(out))
    labels.try_save()
    farm_window.settle()
    sheet = PdfDocument(str(out))
    found = zxingcpp.read_barcodes(sheet[0].render(scale=4).to_pil())
    sheet.close()
    assert [one.text for one in found] == [code_of(pick.id)]
    assert page.picks.current_row().name == pick.name
    shares = [page.shares.table.row_at(at) for at in range(2)]
    assert sum(one.amount_mg for one in shares) == pick.net_mg
    assert {one.how for one in shares} == {"allocated"}


def test_a_weight_that_looks_like_a_slip_is_asked_about(
    farm_window: FarmWindow, farm: WorkingFarm
) -> None:
    page: FruitingPage = farm_window.show("fruiting")
    page._open_pick([name_of(farm, 0, 1)])
    dialog = farm_window.dialog()
    fill(dialog, gross_mg="9.65 lb")
    dialog.try_save()
    question = farm_window.dialog()
    assert "9 lb 6.5 oz" in question.sentence.text()
    QTest.keyClick(question, Qt.Key.Key_N)
    assert farm_window.dialog() is dialog
    assert farm_window.all("pick") == []
    fill(dialog, gross_mg="4 lb 18 oz")
    dialog.try_save()
    QTest.keyClick(farm_window.dialog(), Qt.Key.Key_Y)
    farm_window.dialog().reject()
    farm_window.settle()
    assert len(farm_window.all("pick")) == 1


def test_a_bag_that_is_not_known_is_told_at_the_field(
    farm_window: FarmWindow, farm: WorkingFarm
) -> None:
    page: FruitingPage = farm_window.show("fruiting")
    page.new_pick()
    dialog = farm_window.dialog()
    dialog.bags.add_words("OY09-9999-001")
    farm_window.settle()
    assert "OY09-9999" in dialog.bags.problem_text()
    farm_window.window.take_scan("6" * 10)
    assert dialog.form.problem_on_top()
    fill(dialog, gross_mg="2 kg")
    dialog.try_save()
    assert dialog.bags.problem_text()
    dialog.reject()


def test_a_batch_puts_its_opened_bags_on_the_list(
    farm_window: FarmWindow, farm: WorkingFarm
) -> None:
    page: FruitingPage = farm_window.show("fruiting")
    page._pick_rows([page.batches.table.row_at(0)])
    dialog = farm_window.dialog()
    assert [bag.name for bag in dialog.bags.bags()] == [name_of(farm, 0, n) for n in (1, 2, 3)]
    dialog.bags.list.setCurrentRow(0)
    dialog.bags.list.setFocus()
    QTest.keyClick(dialog.bags.list, Qt.Key.Key_Delete)
    assert len(dialog.bags.bags()) == 2
    dialog.reject()


def test_opening_many_bags_is_one_act(farm_window: FarmWindow, farm: WorkingFarm) -> None:
    page: FruitingPage = farm_window.show("fruiting")
    select(page.batches, 0)
    QTest.keyClick(page.batches.view, Qt.Key.Key_E, CONTROL)
    farm_window.settle()
    bags = farm_window.all("bag", batch=farm.batches[0].id)
    assert {bag.stage for bag in bags} == {"fruiting"}
    assert page.batches.table.row_at(0).fruiting == 6


def test_pins_are_noted_for_many_bags_and_taken_back(
    farm_window: FarmWindow, farm: WorkingFarm
) -> None:
    page: FruitingPage = farm_window.show("fruiting")
    select(page.batches, 0)
    QTest.keyClick(page.batches.view, Qt.Key.Key_J, CONTROL)
    farm_window.settle()
    pinned = {bag.pinned_on for bag in farm_window.all("bag", batch=farm.batches[0].id)}
    assert pinned == {days_ago(0)[:10]}
    farm_window.act(undo_last)
    assert {bag.pinned_on for bag in farm_window.all("bag", batch=farm.batches[0].id)} == {None}


def test_resting_what_was_never_opened_is_asked_once(
    farm_window: FarmWindow, farm: WorkingFarm
) -> None:
    page: FruitingPage = farm_window.show("fruiting")
    page._do("rest", [page.batches.table.row_at(0)])
    question = farm_window.dialog()
    assert "3 bags" in question.sentence.text()
    QTest.keyClick(question, Qt.Key.Key_Y)
    farm_window.settle()
    bags = farm_window.all("bag", batch=farm.batches[0].id)
    assert {bag.stage for bag in bags} == {"resting"}


def test_bags_are_moved_and_discarded(farm_window: FarmWindow, farm: WorkingFarm) -> None:
    page: FruitingPage = farm_window.show("fruiting")
    page.tabs.setCurrentIndex(1)
    select(page.bags, 0)
    QTest.keyClick(page.bags.view, Qt.Key.Key_M, CONTROL)
    dialog = farm_window.dialog()
    fill(dialog, room="Incubation")
    dialog.try_save()
    farm_window.settle()
    moved = farm_window.all("bag", id=farm.bags[0][0].id)[0]
    rooms = {one.id: one.name for one in farm_window.all("room")}
    assert rooms[moved.room] == "Incubation room"
    select(page.bags, 1)
    QTest.keyClick(page.bags.view, Qt.Key.Key_Delete)
    dialog = farm_window.dialog()
    fill(dialog, reason="Green mould")
    dialog.try_save()
    farm_window.settle()
    assert [bag.stage for bag in farm_window.all("bag")].count("discarded") == 1


def test_a_pick_that_waits_is_weighed_and_a_wrong_weight_corrected(
    farm_window: FarmWindow, farm: WorkingFarm
) -> None:
    first = farm.bags[0][0].id
    species = farm_window.all("species", code="OY")[0].id

    def begin(act):
        pick = start_pick(act, species=species, crate=farm.crates[0].id)
        add_bag(act, pick, act.need(Bag, first))

    farm_window.act(begin)
    page: FruitingPage = farm_window.show("fruiting")
    page.tabs.setCurrentIndex(2)
    assert page.picks.table.row_at(0).is_weighed is False
    select(page.picks, 0)
    QTest.keyClick(page.picks.view, Qt.Key.Key_E, CONTROL)
    dialog = farm_window.dialog()
    fill(dialog, gross_mg="2.65 kg")
    assert dialog.net.text() == "Net: 2.00 kg"
    dialog.try_save()
    farm_window.dialog().reject()
    farm_window.settle()
    select(page.picks, 0)
    QTest.keyClick(page.picks.view, Qt.Key.Key_R, CONTROL)
    dialog = farm_window.dialog()
    assert dialog.gross.line.text() == "2.65 kg"
    fill(dialog, gross_mg="2.56 kg", why="digits swapped")
    dialog.try_save()
    farm_window.settle()
    pick = farm_window.all("pick")[0]
    assert (pick.net_mg, pick.left_mg) == (1_910_000, 1_910_000)
    assert check_farm(farm_window.store).is_clean


def test_an_older_pick_proposes_the_next_flush(farm_window: FarmWindow, farm: WorkingFarm) -> None:
    bag = farm.bags[0][0].id
    farm_window.act(
        lambda act: record_pick(act, bags=[bag], gross_mg=900_000), happened_at=days_ago(10)
    )
    page: FruitingPage = farm_window.show("fruiting")
    page._open_pick([name_of(farm, 0, 1)])
    dialog = farm_window.dialog()
    assert dialog.bags.bags()[0].flush == 2
    assert "rested" in dialog.bags.list.item(0).text()
    dialog.reject()
    page.show_subject(name_of(farm, 0, 1))
    assert page.bags.current_row().id == bag


def test_correcting_a_grade_leaves_the_weight_alone(
    farm_window: FarmWindow, farm: WorkingFarm
) -> None:
    bag = farm.bags[0][0].id
    farm_window.act(lambda act: record_pick(act, bags=[bag], gross_mg=2_345_678, tare_mg=345_678))
    page: FruitingPage = farm_window.show("fruiting")
    page._correct([page.picks.table.row_at(0)])
    dialog = farm_window.dialog()
    fill(dialog, grade="B", why="small caps")
    dialog.try_save()
    farm_window.settle()
    pick = farm_window.all("pick")[0]
    assert (pick.grade, pick.gross_mg, pick.tare_mg) == ("B", 2_345_678, 345_678)


def test_forms_start_at_their_first_field_and_save_from_the_buttons_too(
    farm_window: FarmWindow, farm: WorkingFarm
) -> None:
    page: FruitingPage = farm_window.show("fruiting")
    page.new_pick()
    dialog = farm_window.dialog()
    assert dialog.focusWidget() is dialog.bags.line
    dialog.bags.set_value([name_of(farm, 0, 1)])
    farm_window.settle()
    fill(dialog, gross_mg="2 kg")
    dialog.cancel_button.setFocus()
    QTest.keyClick(dialog.cancel_button, Qt.Key.Key_Return, CONTROL)
    farm_window.dialog().reject()
    farm_window.settle()
    assert len(farm_window.all("pick")) == 1


def test_a_pages_keys_work_as_soon_as_it_is_shown(farm_window, qtbot) -> None:
    """Ctrl+4 from the scan strip, then Ctrl+N: no Tab is needed in between."""
    farm_window.show("fruiting")
    focused = farm_window.window.focusWidget()
    page = farm_window.window.page("fruiting")
    assert focused is not None
    assert page is not None
    assert page.isAncestorOf(focused)
