"""The cold store's page: lots with their dates in words, packs, what leaves unsold, balances."""

from __future__ import annotations

from pathlib import Path

import pytest
import zxingcpp
from farm_window import FarmWindow
from pypdfium2 import PdfDocument
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from working_farm import WorkingFarm, days_ago, fill_farm

from farmdesk.actions.picks import record_pick
from farmdesk.desk.pages.cold_store import ColdStorePage
from farmdesk.domain.codes import code_of
from farmdesk.reports.check import check_farm

CONTROL = Qt.KeyboardModifier.ControlModifier


@pytest.fixture
def farm(farm_window: FarmWindow) -> WorkingFarm:
    """Two lots of oyster, of which one is past its date."""
    made = fill_farm(farm_window.act)
    bags = made.bags[0]
    for at, days, gross in ((0, 9, 2_000_000), (1, 1, 3_000_000)):
        farm_window.act(
            lambda act, at=at, gross=gross: record_pick(act, bags=[bags[at].id], gross_mg=gross),
            happened_at=days_ago(days),
        )
    return made


def fill(dialog, **texts: str) -> None:
    for key, text in texts.items():
        dialog.form.fields[key].line.setText(text)


def select(page: ColdStorePage, lot: str) -> None:
    assert page.lots.choose(lambda row: row.lot == lot)
    page.lots.view.setFocus()


def test_an_empty_store_says_what_to_do_first_and_warns(farm_window: FarmWindow) -> None:
    page: ColdStorePage = farm_window.show("cold_store")
    assert "Record a pick" in page.lots._empty.text()


def test_lots_are_marked_in_words(farm_window: FarmWindow, farm: WorkingFarm) -> None:
    page: ColdStorePage = farm_window.show("cold_store")
    old, new = (page.lots.table.row_at(at) for at in (0, 1))
    assert (old.lot, old.mark, old.age) == ("P-OY-0001", "past its date", 9)
    assert (new.mark, new.days_left > 0) == ("", True)


def test_waste_and_gifts_leave_a_lot_that_never_goes_below_nothing(
    farm_window: FarmWindow, farm: WorkingFarm
) -> None:
    page: ColdStorePage = farm_window.show("cold_store")
    select(page, "P-OY-0002")
    QTest.keyClick(page.lots.view, Qt.Key.Key_Delete)
    dialog = farm_window.dialog()
    fill(dialog, reason="Waste: Trimmings", amount_mg="5 kg")
    dialog.try_save()
    farm_window.settle()
    assert "Only 3.00 kg" in dialog.form.fields["amount_mg"].problem_text()
    fill(dialog, amount_mg="400 g")
    dialog.try_save()
    farm_window.settle()
    assert page.lots.current_row().left_mg == 2_600_000
    select(page, "P-OY-0001")
    QTest.keyClick(page.lots.view, Qt.Key.Key_Delete)
    dialog = farm_window.dialog()
    fill(dialog, reason="Waste: Past its shelf date")
    dialog.try_save()
    farm_window.settle()
    assert [page.lots.table.row_at(0).lot, page.lots.table.rowCount()] == ["P-OY-0002", 1]
    page.tabs.setCurrentIndex(1)
    rows = {row[0]: row for row in page.balances.table.rows}
    keys = [one.key for one in page.balances.table.columns]
    assert rows["P-OY-0002"][keys.index("waste_mg")] == 400_000
    assert rows["P-OY-0001"][keys.index("on_hand_mg")] == 0
    assert check_farm(farm_window.store).is_clean


def test_packs_are_made_from_the_chosen_pick_and_their_labels_decode(
    farm_window: FarmWindow, farm: WorkingFarm, tmp_path: Path
) -> None:
    page: ColdStorePage = farm_window.show("cold_store")
    select(page, "P-OY-0002")
    QTest.keyClick(page.lots.view, Qt.Key.Key_N, CONTROL)
    dialog = farm_window.dialog()
    assert "airtight" in dialog.sentence.text()
    assert dialog.product.value() == farm.products["punnet"]
    fill(dialog, count="4")
    dialog.try_save()
    labels = farm_window.dialog()
    labels.form.fields["show"].set_value(False)
    out = tmp_path / "packs.pdf"
    fill(labels, stock="roll-100x50", out=str(out))
    labels.try_save()
    farm_window.settle()
    pack = farm_window.all("pack")[0]
    assert (pack.count, pack.net_mg) == (4, 800_000)
    sheets = PdfDocument(str(out))
    found = zxingcpp.read_barcodes(sheets[0].render(scale=4).to_pil())
    assert (len(sheets), found[0].text) == (4, code_of(pack.id))
    sheets.close()
    assert page.lots.current_row().lot == pack.name


def test_too_many_packs_are_refused_at_the_picks(
    farm_window: FarmWindow, farm: WorkingFarm
) -> None:
    page: ColdStorePage = farm_window.show("cold_store")
    page.make_packs()
    dialog = farm_window.dialog()
    dialog.product.set_value(farm.products["punnet"])
    fill(dialog, count="40")
    farm_window.window.take_scan(code_of(farm_window.all("pick")[1].id))
    assert dialog.sources.rows[0].lot.value() == farm_window.all("pick")[1].id
    farm_window.window.take_scan(code_of(farm.bags[0][0].id))
    assert "no pick" in dialog.form.problem_on_top()
    dialog.try_save()
    farm_window.settle()
    assert "40 packs need 8.00 kg" in dialog.sources.problem_text()
    dialog.reject()
    assert farm_window.all("pack") == []


def test_a_lot_is_put_into_a_room_and_its_relatives_are_shown(
    farm_window: FarmWindow, farm: WorkingFarm
) -> None:
    page: ColdStorePage = farm_window.show("cold_store")
    select(page, "P-OY-0002")
    QTest.keyClick(page.lots.view, Qt.Key.Key_M, CONTROL)
    farm_window.dialog().try_save()
    farm_window.settle()
    assert page.lots.current_row().room == "Cold store"
    page.lots.view.setFocus()
    QTest.keyClick(page.lots.view, Qt.Key.Key_Return)
    dialog = farm_window.dialog()
    assert dialog.name.text() == "P-OY-0002"
    dialog.accept()
