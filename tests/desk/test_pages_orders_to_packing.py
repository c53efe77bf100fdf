"""Sales: standing orders taken, promises, packing by scan, the packing list, the offer."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest
from farm_window import FarmWindow
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QLabel
from working_farm import WorkingFarm, days_ago, fill_farm

from farmdesk.actions.demand import save_standing_order
from farmdesk.actions.orders import take_order
from farmdesk.actions.packs import make_packs
from farmdesk.actions.picks import record_pick
from farmdesk.domain.codes import code_of
from farmdesk.domain.demand import StandingOrder
from farmdesk.quantities.times import day_plus, today_in

CONTROL = Qt.KeyboardModifier.ControlModifier
TODAY = today_in("UTC")


@pytest.fixture
def farm(farm_window: FarmWindow) -> WorkingFarm:
    made = fill_farm(farm_window.act)
    bag = made.bags[0][0].id
    for ago, gross in ((2, 2_000_000), (1, 3_000_000)):
        farm_window.act(
            lambda act, gross=gross: record_pick(act, bags=[bag], gross_mg=gross),
            happened_at=days_ago(ago),
        )
    return made


def order(window: FarmWindow, farm: WorkingFarm, quantity: str) -> None:
    line = (farm.products["oyster"], Decimal(quantity), "kg", None)
    window.act(
        lambda act: take_order(act, customer=farm.customers["inn"], due_on=TODAY, lines=[line])
    )


def orders(window: FarmWindow):
    part = window.show("sales").show_part("orders")
    window.settle()
    part.view.view.setFocus()
    part.view.choose(lambda _row: True)
    return part


def test_standing_orders_are_taken_by_keyboard(farm_window: FarmWindow, farm: WorkingFarm) -> None:
    weekday = 1 + (2 + date.fromisoformat(TODAY).weekday()) % 7
    farm_window.act(
        lambda act: save_standing_order(
            act,
            StandingOrder(0, farm.customers["inn"], farm.products["oyster"], Decimal(2), "kg",
                          weekday, "2026-01-01"),
        )
    )  # fmt: skip
    page = farm_window.show("sales")
    page.tabs.setFocus()
    QTest.keyClick(page.tabs, Qt.Key.Key_K, CONTROL)
    dialog = farm_window.dialog()
    text = " ".join(label.text() for label in dialog.findChildren(QLabel))
    assert "2 kg Oyster, loose" in text
    dialog.try_save()
    farm_window.settle()
    row = page.part("orders").view.current_row()
    assert (row.wanted, row.due_on) == ("2 kg Oyster, loose", day_plus(TODAY, 2))


def test_what_is_free_is_promised_and_delivered_with_the_reason_for_less(
    farm_window: FarmWindow, farm: WorkingFarm
) -> None:
    order(farm_window, farm, "9")
    part = orders(farm_window)
    QTest.keyClick(part.view.view, Qt.Key.Key_D, CONTROL)
    dialog = farm_window.dialog()
    (row,) = dialog.lines.rows
    # 5 kg on hand, and what the forecast counts on for today.
    assert "can be promised" in row.amount.hint_text()
    assert row.amount.text().startswith("5")
    row.amount.line.setText("5 kg")
    row.reason.line.setText("slow flush")
    dialog.try_save()
    farm_window.settle()
    assert orders(farm_window).view.current_row().promised == "5 kg Oyster, loose"
    part.deliver([part.view.current_row()])
    dialog = farm_window.dialog()
    assert [one.amount.text() for one in dialog.goods.rows] == ["2.00 kg", "3.00 kg"]
    assert not dialog.form.problem_on_top()
    dialog.form.fields["is_last"].set_value(True)
    dialog.try_save()
    farm_window.dialog().reject()
    (line,) = farm_window.all("order_line")
    assert (line.quantity, line.promised, line.short_reason) == (Decimal(9), 5, "slow flush")
    assert farm_window.all("order")[0].status == "delivered"


def test_packing_by_scan_ticks_the_right_lots_and_refuses_others(
    farm_window: FarmWindow, farm: WorkingFarm
) -> None:
    first, second = farm_window.all("pick")
    farm_window.act(
        lambda act: make_packs(
            act, product=farm.products["punnet"], count=1, from_picks={second.id: 1_000_000}
        )
    )
    order(farm_window, farm, "1")
    part = orders(farm_window)
    part.deliver([part.view.current_row()])
    dialog = farm_window.dialog()
    farm_window.window.take_scan(code_of(farm_window.all("pack")[0].id))
    assert "nothing left to pack of that" in dialog.form.problem_on_top()
    assert dialog.goods.scanned() == 0
    farm_window.window.take_scan(code_of(first.id))
    assert dialog.goods.scanned() == 1
    assert [row.lot.value() for row in dialog.goods.rows] == [first.id]
    assert not dialog.form.problem_on_top()
    dialog.reject()


def test_the_packing_list_names_lots_by_place(farm_window: FarmWindow, farm: WorkingFarm) -> None:
    order(farm_window, farm, "2.5")
    part = orders(farm_window)
    QTest.keyClick(part.view.view, Qt.Key.Key_B, CONTROL)
    dialog = farm_window.dialog()
    assert dialog.windowTitle() == "Packing list"
    dialog.reject()


def test_the_offer_is_copied_and_shown_as_a_sheet(
    farm_window: FarmWindow, farm: WorkingFarm
) -> None:
    order(farm_window, farm, "1")
    part = farm_window.show("sales").show_part("offer")
    farm_window.settle()
    assert part.view.choose(lambda row: row.name == "Oyster, loose")
    row = part.view.current_row()
    assert (row.on_hand, row.promised, row.free_now) == ("5.00 kg", "1.00 kg", "4.00 kg")
    part.view.view.setFocus()
    QTest.keyClick(part.view.view, Qt.Key.Key_D, CONTROL)
    text = QGuiApplication.clipboard().text()
    assert f"- Oyster, loose: {row.free}, " in text
    assert Decimal(row.free.partition(" ")[0]) >= 4
    assert "13.50 for 1 kg" in text
    part.print_page()
    assert "offer" in farm_window.dialog().windowTitle()
    farm_window.dialog().reject()
    part.until.line.setText("someday")
    part.until.line.editingFinished.emit()
    assert part.until.problem_text()
