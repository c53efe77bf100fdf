"""Counting the cold store through the dialog: scans, a weight, a lot left, and the end."""

from __future__ import annotations

import pytest
from farm_window import FarmWindow
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from working_farm import days_ago, fill_farm

from farmdesk.actions.picks import record_pick
from farmdesk.domain.codes import code_of
from farmdesk.domain.harvest import Pick
from farmdesk.reports.check import check_farm


@pytest.fixture
def picks(farm_window: FarmWindow) -> list[Pick]:
    made = fill_farm(farm_window.act)
    for at, gross in ((0, 2_000_000), (1, 3_000_000)):
        farm_window.act(
            lambda act, at=at, gross=gross: record_pick(
                act, bags=[made.bags[0][at].id], gross_mg=gross
            ),
            happened_at=days_ago(1),
        )
    return farm_window.all("pick")


def begin(farm_window: FarmWindow):
    page = farm_window.show("cold_store")
    page.count_stock()
    dialog = farm_window.dialog()
    dialog.try_save()
    farm_window.settle()
    return farm_window.dialog()


def test_what_was_not_scanned_is_written_off_and_undo_brings_it_back(farm_window, picks) -> None:
    dialog = begin(farm_window)
    assert dialog.progress.text() == "0 of 2 lots seen"
    assert dialog.take_scan(code_of(picks[0].id))
    farm_window.settle()
    assert dialog.progress.text() == "1 of 2 lots seen"
    dialog.try_save()
    farm_window.settle()
    assert [one.left_mg > 0 for one in farm_window.all("pick")] == [True, False]
    assert check_farm(farm_window.store).is_clean


def test_a_count_can_be_left_and_gone_on_with(farm_window, picks) -> None:
    dialog = begin(farm_window)
    dialog.take_scan(code_of(picks[0].id))
    farm_window.settle()
    dialog.reject()
    farm_window.settle()
    farm_window.show("cold_store").count_stock()
    dialog = farm_window.dialog()
    assert dialog.progress.text() == "1 of 2 lots seen"
    dialog.drop_button.click()
    farm_window.settle()
    assert not farm_window.has_dialog()
    assert all(one.left_mg for one in farm_window.all("pick"))


def test_a_weight_typed_lowers_a_crate_and_a_lot_can_be_left(farm_window, picks) -> None:
    dialog = begin(farm_window)
    dialog.lot.line.setText(picks[0].name)
    dialog.weight.line.setText("1.5 kg")
    QTest.keyClick(dialog.lot.line, Qt.Key.Key_Return)
    farm_window.settle()
    assert dialog.lots.choose(lambda row: row.lot == picks[1].name)
    dialog._leave(dialog.lots.chosen_rows())
    dialog.try_save()
    farm_window.settle()
    first, second = farm_window.all("pick")
    assert (first.left_mg, second.left_mg) == (1_500_000, picks[1].left_mg)


@pytest.mark.parametrize("text", ["nonsense", "12", "P-OY-9999"])
def test_what_is_no_lot_is_said_at_the_field(farm_window, picks, text) -> None:
    dialog = begin(farm_window)
    dialog.lot.line.setText(text)
    QTest.keyClick(dialog.lot.line, Qt.Key.Key_Return)
    farm_window.settle()
    assert dialog.lot.problem_text()
    dialog.reject()
