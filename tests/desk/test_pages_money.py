"""Sales: credit notes, payments, statements and market days, at the desk."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest
from farm_window import FarmWindow
from pypdfium2 import PdfDocument
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from working_farm import WorkingFarm, days_ago, fill_farm

from farmdesk.actions.deliveries import DeliverLine, sell_now
from farmdesk.actions.invoices import issue_invoice
from farmdesk.actions.picks import record_pick
from farmdesk.domain.codes import code_of
from farmdesk.reports.check import check_farm

CONTROL = Qt.KeyboardModifier.ControlModifier
KG = 1_000_000


@pytest.fixture
def farm(farm_window: FarmWindow) -> WorkingFarm:
    made = fill_farm(farm_window.act)
    bag = made.bags[0][0].id
    pick = farm_window.act(
        lambda act: record_pick(act, bags=[bag], gross_mg=5 * KG), happened_at=days_ago(1)
    )
    line = DeliverLine(made.products["oyster"], pick.id, 2 * KG)
    sent = farm_window.act(lambda act: sell_now(act, customer=made.customers["inn"], lines=[line]))
    farm_window.act(lambda act: issue_invoice(act, sent))
    return made


def part(window: FarmWindow, key: str):
    found = window.show("sales").show_part(key)
    window.settle()
    found.view.view.setFocus()
    found.view.choose(lambda row: row.name == found.view.table.row_at(0).name)
    return found


def test_a_credit_note_is_written_and_the_account_follows(
    farm_window: FarmWindow, farm: WorkingFarm, tmp_path: Path
) -> None:
    invoices = part(farm_window, "invoices")
    QTest.keyClick(invoices.view.view, Qt.Key.Key_R, CONTROL)
    dialog = farm_window.dialog()
    ((amount, _),) = dialog.lines.rows
    amount.line.setText("3 kg")
    dialog.form.fields["reason"].line.setText("soft stems")
    dialog.try_save()
    farm_window.settle()
    assert "Only 2" in dialog.lines.problem_text()
    amount.line.setText("500 g")
    dialog.form.fields["returned"].set_value(
        next(one.id for one in farm_window.all("reason") if one.use == "waste")
    )
    dialog.try_save()
    papers = farm_window.dialog()
    papers.form.fields["show"].set_value(False)
    papers.folder.set_value(str(tmp_path))
    papers.try_save()
    farm_window.settle()
    document = PdfDocument(str(tmp_path / "N-0001.pdf"))
    text = document[0].get_textpage().get_text_range()
    document.close()
    assert "6.75" in text
    assert "not sold again" in text
    accounts = part(farm_window, "accounts")
    row = accounts.view.current_row()
    assert (row.billed, row.credited, row.owed) == (
        Decimal("27.00"), Decimal("6.75"), Decimal("20.25"),
    )  # fmt: skip
    QTest.keyClick(accounts.view.view, Qt.Key.Key_E, CONTROL)
    paying = farm_window.dialog()
    paying.form.fields["amount"].line.setText("25")
    paying.try_save()
    farm_window.settle()
    assert part(farm_window, "accounts").view.current_row().owed == Decimal("-4.75")
    assert farm_window.all("invoice")[0].paid_on
    pay_back(farm_window)
    QTest.keyClick(accounts.view.view, Qt.Key.Key_B, CONTROL)
    farm_window.dialog().try_save()
    assert farm_window.dialog().windowTitle() == "Statement of account"
    farm_window.dialog().reject()
    assert check_farm(farm_window.store).is_clean


def pay_back(window: FarmWindow) -> None:
    """What was paid too much, and no more, goes back by Ctrl+Shift+E."""
    accounts = part(window, "accounts")
    keys = CONTROL | Qt.KeyboardModifier.ShiftModifier
    QTest.keyClick(accounts.view.view, Qt.Key.Key_E, keys)
    dialog = window.dialog()
    amount = dialog.form.fields["amount"]
    amount.line.setText("5.00")
    dialog.try_save()
    window.settle()
    assert "4.75" in amount.problem_text()
    amount.line.setText("4.75")
    dialog.try_save()
    window.settle()
    assert part(window, "accounts").view.current_row().owed == 0


def test_a_market_day_from_the_load_to_the_till(farm_window: FarmWindow, farm: WorkingFarm) -> None:
    page = farm_window.show("sales")
    page.tabs.setFocus()
    QTest.keyClick(page.tabs, Qt.Key.Key_M, CONTROL)
    dialog = farm_window.dialog()
    dialog.form.fields["customer"].set_value(farm.customers["market"])
    dialog.form.fields["change_money"].line.setText("20")
    dialog.try_save()
    farm_window.settle()
    markets = part(farm_window, "markets")
    QTest.keyClick(markets.view.view, Qt.Key.Key_R, CONTROL)
    loading = farm_window.dialog()
    farm_window.window.take_scan(code_of(farm_window.all("pick")[0].id))
    (row,) = loading.goods.rows
    row.amount.line.setText("2.5 kg")
    row.price.line.setText("18")
    loading.try_save()
    farm_window.settle()
    assert farm_window.all("pick")[0].left_mg == KG // 2
    markets = part(farm_window, "markets")
    QTest.keyClick(markets.view.view, Qt.Key.Key_E, CONTROL)
    closing = farm_window.dialog()
    back, lost, _, _ = closing.counts.rows[0]
    back.line.setText("0.5")
    lost.line.setText("9 kg")
    closing.try_save()
    farm_window.settle()
    assert "2.5 kg" in closing.counts.problem_text()
    lost.line.setText("")
    closing.form.fields["was_warm"].set_value(True)
    closing.form.fields["cash"].line.setText("55")
    closing.try_save()
    farm_window.settle()
    day = part(farm_window, "markets").view.current_row()
    # 2 kg at 18.00 and 20.00 of change money against 55.00 counted.
    assert (day.takings, day.difference) == (Decimal("36.00"), Decimal("-1.00"))
    (pick,) = farm_window.all("pick")
    assert (pick.left_mg, pick.hold) == (KG, "stood warm at M-0001")
    QTest.keyClick(markets.view.view, Qt.Key.Key_B, CONTROL)
    assert farm_window.dialog().windowTitle() == "Load sheet M-0001"
    farm_window.dialog().reject()
    assert check_farm(farm_window.store).is_clean
