"""The sales page: orders with list prices, proposals, deliveries, papers, invoices paid."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest
from farm_window import FarmWindow
from pypdfium2 import PdfDocument
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from working_farm import WorkingFarm, days_ago, fill_farm

from farmdesk.actions.orders import WantedLine, take_order
from farmdesk.actions.packs import make_packs
from farmdesk.actions.picks import record_pick
from farmdesk.desk.list_view import ListView
from farmdesk.desk.pages.order_lines import read_amount
from farmdesk.desk.pages.sales import SalesPage
from farmdesk.desk.preview import PreviewDialog
from farmdesk.domain.catalogue import Product
from farmdesk.domain.codes import code_of
from farmdesk.errors import NotUnderstood
from farmdesk.paper.pages import TextRun
from farmdesk.quantities.times import day_plus, today_in
from farmdesk.reports.check import check_farm
from farmdesk.wording.formats import Formats

CONTROL = Qt.KeyboardModifier.ControlModifier
TODAY = today_in("UTC")


@pytest.fixture
def farm(farm_window: FarmWindow) -> WorkingFarm:
    """Two fresh lots of oyster: 2 kg picked two days ago, 3 kg yesterday; 4 punnets of it."""
    made = fill_farm(farm_window.act)
    bags = made.bags[0]
    for at, days, gross in ((0, 2, 2_000_000), (1, 1, 3_000_000)):
        farm_window.act(
            lambda act, at=at, gross=gross: record_pick(act, bags=[bags[at].id], gross_mg=gross),
            happened_at=days_ago(days),
        )
    second = farm_window.all("pick")[1].id
    farm_window.act(
        lambda act: make_packs(
            act, product=made.products["punnet"], count=4, from_picks={second: 1_000_000}
        )
    )
    return made


def fill(dialog, **texts: str) -> None:
    for key, text in texts.items():
        dialog.form.fields[key].line.setText(text)


def order_kilos(window: FarmWindow, farm: WorkingFarm, kilos: str):
    lines = [(farm.products["oyster"], Decimal(kilos), "kg", None)]
    inn = farm.customers["inn"]
    return window.act(lambda act: take_order(act, customer=inn, due_on=TODAY, lines=lines))


def listed(window: FarmWindow, key: str) -> ListView:
    """The list of a part of Sales, in sight and read."""
    part = window.show("sales").show_part(key)
    window.settle()
    return part.view


def text_of(path: Path) -> str:
    document = PdfDocument(str(path))
    text = "\n".join(page.get_textpage().get_text_range() for page in document)
    document.close()
    return text


def test_an_empty_list_says_what_to_do_first(farm_window: FarmWindow) -> None:
    farm_window.show("sales")
    assert "Ctrl+N" in listed(farm_window, "orders")._empty.text()


def test_an_order_is_taken_by_keyboard_at_the_lists_price(
    farm_window: FarmWindow, farm: WorkingFarm
) -> None:
    page: SalesPage = farm_window.show("sales")
    page.tabs.setFocus()
    QTest.keyClick(page.tabs, Qt.Key.Key_N, CONTROL)
    dialog = farm_window.dialog()
    fill(dialog, customer="Harbour", due_on=day_plus(TODAY, 2))
    row = dialog.lines.rows[0]
    row.product.line.setText("Oyster, loose")
    QTest.keyClicks(row.amount.line, "2.5 kg")
    farm_window.settle()
    assert "13.50" in row.price.hint_text()
    row = dialog.lines.add_row()
    row.product.line.setText("Oyster punnet")
    row.amount.line.setText("3 packs")
    row.price.line.setText("4.00")
    QTest.keyClick(row.price.line, Qt.Key.Key_Return, CONTROL)
    farm_window.settle()
    order = listed(farm_window, "orders").current_row()
    assert [(one.quantity, one.unit, one.unit_price) for one in order.lines] == [
        (Decimal("2.5"), "kg", Decimal("13.50")),
        (Decimal(3), "pack", Decimal("4.00")),
    ]
    assert order.total == Decimal("45.75")


def test_an_order_in_pounds_shows_the_price_that_is_worked_out(
    farm_window: FarmWindow, farm: WorkingFarm
) -> None:
    page: SalesPage = farm_window.show("sales")
    page.new_order()
    dialog = farm_window.dialog()
    dialog.customer.set_value(farm.customers["inn"])
    dialog.lines.rows[0].product.set_value(farm.products["oyster"])
    dialog.lines.rows[0].amount.line.setText("3 lb")
    farm_window.settle()
    # 13.50 for 1 kg is 6.12 for 1 lb of 0.45359237 kg (NIST Handbook 44, appendix C).
    assert "6.12" in dialog.lines.rows[0].price.hint_text()
    dialog.reject()


def test_what_cannot_be_is_told_at_the_lines(farm_window: FarmWindow, farm: WorkingFarm) -> None:
    page: SalesPage = farm_window.show("sales")
    page.new_order()
    dialog = farm_window.dialog()
    fill(dialog, customer="Harbour", due_on="today")
    dialog.try_save()
    assert "no lines" in dialog.lines.problem_text()
    dialog.lines.rows[0].product.set_value(farm.products["punnet"])
    dialog.lines.rows[0].amount.line.setText("2 kg")
    dialog.try_save()
    assert "by the pack" in dialog.lines.problem_text()
    dialog.reject()


def test_an_order_is_changed_and_another_cancelled(
    farm_window: FarmWindow, farm: WorkingFarm
) -> None:
    order_kilos(farm_window, farm, "1")
    order_kilos(farm_window, farm, "2")
    farm_window.show("sales")
    assert listed(farm_window, "orders").choose(lambda row: row.name == "O-0001")
    listed(farm_window, "orders").view.setFocus()
    QTest.keyClick(listed(farm_window, "orders").view, Qt.Key.Key_R, CONTROL)
    dialog = farm_window.dialog()
    assert dialog.lines.rows[0].amount.text() == "1 kg"
    dialog.lines.rows[0].amount.line.setText("1.25 kg")
    dialog.try_save()
    farm_window.settle()
    assert listed(farm_window, "orders").current_row().lines[0].quantity == Decimal("1.25")
    assert listed(farm_window, "orders").choose(lambda row: row.name == "O-0002")
    listed(farm_window, "orders").view.setFocus()
    QTest.keyClick(listed(farm_window, "orders").view, Qt.Key.Key_Delete)
    farm_window.dialog().try_save()
    farm_window.settle()
    rows = [listed(farm_window, "orders").table.row_at(at) for at in range(2)]
    assert [(row.name, row.status) for row in rows] == [("O-0001", "open"), ("O-0002", "cancelled")]


def test_the_proposal_takes_the_earliest_shelf_date_and_papers_follow(
    farm_window: FarmWindow, farm: WorkingFarm, tmp_path: Path
) -> None:
    order_kilos(farm_window, farm, "2.5")
    farm_window.show("sales")
    assert listed(farm_window, "orders").choose(lambda row: row.name == "O-0001")
    listed(farm_window, "orders").view.setFocus()
    QTest.keyClick(listed(farm_window, "orders").view, Qt.Key.Key_E, CONTROL)
    dialog = farm_window.dialog()
    picks = {one.name: one.id for one in farm_window.all("pick")}
    assert [(row.lot.value(), row.amount.text()) for row in dialog.goods.rows] == [
        (picks["P-OY-0001"], "2.00 kg"),
        (picks["P-OY-0002"], "0.50 kg"),
    ]
    dialog.goods.rows[1].amount.line.setText("0.54 kg")
    QTest.keyClick(dialog.goods.rows[1].amount.line, Qt.Key.Key_Return, CONTROL)
    papers = farm_window.dialog()
    papers.form.fields["show"].set_value(False)
    papers.choose_folder = lambda _start: str(tmp_path)
    papers._browse()
    papers.try_save()
    farm_window.settle()
    note, bill = (text_of(tmp_path / name) for name in ("D-0001.pdf", "I-0001.pdf"))
    assert "P-OY-0001" in note
    assert "2.54 kg" in note
    # 2.000 kg and 0.540 kg at 13.50, each line to the cent.
    assert "34.29" in bill
    assert listed(farm_window, "orders").table.row_at(0).status == "delivered"
    assert listed(farm_window, "sent").current_row().invoice == "I-0001"
    assert check_farm(farm_window.store).is_clean


def test_papers_are_seen_before_they_are_printed(
    farm_window: FarmWindow, farm: WorkingFarm, qtbot
) -> None:
    """Delivery note and invoice on screen, with what their PDF files say, by one key."""
    order_kilos(farm_window, farm, "2.5")
    page: SalesPage = farm_window.show("sales")
    page.part("orders").deliver([listed(farm_window, "orders").table.row_at(0)])
    farm_window.dialog().try_save()
    papers = farm_window.dialog()
    QTest.keyClick(papers, Qt.Key.Key_P, CONTROL)
    qtbot.waitUntil(lambda: isinstance(QApplication.activeModalWidget(), PreviewDialog))
    preview = farm_window.dialog()
    texts = [
        " ".join(mark.text for mark in one.marks if isinstance(mark, TextRun))
        for one in preview.preview.pages
    ]
    assert len(texts) == 2
    assert "D-0001" in texts[0]
    assert "P-OY-0001" in texts[0]
    assert "I-0001" in texts[1]
    # 2.500 kg at 13.50, to the cent.
    assert "33.75" in texts[1]
    assert "US$" not in " ".join(texts), "the farm's own money, though this desk is British"
    preview.reject()
    papers.reject()


def test_a_proposal_that_falls_short_says_so(farm_window: FarmWindow, farm: WorkingFarm) -> None:
    order_kilos(farm_window, farm, "9")
    page: SalesPage = farm_window.show("sales")
    page.part("orders").open_order(listed(farm_window, "orders").table.row_at(0))
    dialog = farm_window.dialog()
    assert "Short: 4.80 kg Oyster, loose" in dialog.form.problem_on_top()
    dialog.reject()


def test_papers_into_a_missing_folder_are_refused_calmly(
    farm_window: FarmWindow, farm: WorkingFarm, tmp_path: Path
) -> None:
    order_kilos(farm_window, farm, "1")
    page: SalesPage = farm_window.show("sales")
    page.part("orders").deliver([listed(farm_window, "orders").table.row_at(0)])
    farm_window.dialog().try_save()
    papers = farm_window.dialog()
    papers.form.fields["show"].set_value(False)
    papers.folder.set_value(str(tmp_path / "nowhere"))
    papers.try_save()
    farm_window.settle()
    assert papers.form.problem_on_top()
    papers.reject()
    assert len(farm_window.all("delivery")) == 1


def test_a_market_sale_by_scan_and_its_invoice_paid(
    farm_window: FarmWindow, farm: WorkingFarm
) -> None:
    page: SalesPage = farm_window.show("sales")
    page.tabs.setFocus()
    QTest.keyClick(page.tabs, Qt.Key.Key_T, CONTROL)
    dialog = farm_window.dialog()
    fill(dialog, customer="Market stall")
    pack = farm_window.all("pack")[0]
    farm_window.window.take_scan(code_of(pack.id))
    assert dialog.goods.rows[0].lot.value() == pack.id
    dialog.goods.rows[0].amount.line.setText("3")
    farm_window.window.take_scan(code_of(farm.crates[0].id))
    assert "no lot" in dialog.form.problem_on_top()
    dialog.try_save()
    farm_window.dialog().reject()
    farm_window.settle()
    assert farm_window.all("pack")[0].left == 1
    page.tabs.setCurrentIndex(2)
    assert listed(farm_window, "invoices").choose(lambda row: row.total == Decimal("12.60"))
    listed(farm_window, "invoices").view.setFocus()
    QTest.keyClick(listed(farm_window, "invoices").view, Qt.Key.Key_E, CONTROL)
    farm_window.dialog().try_save()
    farm_window.settle()
    assert listed(farm_window, "invoices").table.row_at(0).state == "paid"


def test_a_delivery_without_invoice_gets_one_later(
    farm_window: FarmWindow, farm: WorkingFarm
) -> None:
    order_kilos(farm_window, farm, "1")
    page: SalesPage = farm_window.show("sales")
    page.part("orders").deliver([listed(farm_window, "orders").table.row_at(0)])
    dialog = farm_window.dialog()
    dialog.form.fields["bills"].set_value(False)
    dialog.try_save()
    farm_window.dialog().reject()
    farm_window.settle()
    assert farm_window.all("invoice") == []
    page.part("sent").bill([listed(farm_window, "sent").table.row_at(0)])
    farm_window.dialog().reject()
    farm_window.settle()
    assert listed(farm_window, "sent").table.row_at(0).invoice == "I-0001"


def test_the_cold_store_hands_a_lot_over_to_be_sold(
    farm_window: FarmWindow, farm: WorkingFarm
) -> None:
    store = farm_window.show("cold_store")
    assert store.lots.choose(lambda row: row.lot == "P-OY-0002")
    store.lots.view.setFocus()
    QTest.keyClick(store.lots.view, Qt.Key.Key_E, CONTROL)
    dialog = farm_window.dialog()
    assert farm_window.window.place == "sales"
    assert dialog.goods.rows[0].lot.line.text().startswith("P-OY-0002")
    dialog.reject()


@pytest.mark.parametrize(
    ("typed", "wanted"),
    [
        ("2.5 kg", (Decimal("2.5"), "kg")),
        ("750 g", (Decimal("0.75"), "kg")),
        ("3 lb 8 oz", (Decimal("3.5"), "lb")),
        ("12 oz", (Decimal("0.75"), "lb")),
    ],
)
def test_amounts_are_read_in_the_unit_that_was_typed(
    typed: str, wanted: tuple[Decimal, str]
) -> None:
    assert read_amount(typed, Product(1, "Oyster", 1, "kg"), Formats()) == wanted


@pytest.mark.parametrize("typed", ["2.5 kg", "a few", "", "-3", "2.5"])
def test_packs_are_counted_whole(typed: str) -> None:
    with pytest.raises(NotUnderstood):
        read_amount(typed, Product(1, "Punnet", 1, "pack", 200_000), Formats())


def test_a_proposed_weight_is_kept_to_the_milligram_though_it_is_shown_rounded(
    farm_window: FarmWindow, farm: WorkingFarm
) -> None:
    bag = farm.bags[0][2].id
    farm_window.act(
        lambda act: record_pick(act, bags=[bag], gross_mg=999_996), happened_at=days_ago(3)
    )
    order_kilos(farm_window, farm, "1")
    page: SalesPage = farm_window.show("sales")
    page.part("orders").deliver([listed(farm_window, "orders").table.row_at(0)])
    dialog = farm_window.dialog()
    first = dialog.goods.rows[0]
    assert first.amount.text() == "1.00 kg"
    assert dialog.goods.value()[0].amount_mg == 999_996
    first.amount.line.setText("1 kg")
    assert dialog.goods.value()[0].amount_mg == 999_996
    first.amount.line.setText("0.9 kg")
    assert dialog.goods.value()[0].amount_mg == 900_000
    dialog.reject()


def test_ctrl_tab_turns_the_parts_and_puts_the_cursor_on_their_lists(
    farm_window: FarmWindow, farm: WorkingFarm
) -> None:
    lines = [WantedLine(farm.products["oyster"], Decimal(2), "kg")]
    order = farm_window.act(
        lambda act: take_order(act, customer=farm.customers["inn"], due_on=TODAY, lines=lines)
    )
    page = farm_window.show("sales")
    for part in ("orders", "sent", "invoices", "accounts", "offer"):
        farm_window.settle()
        assert page.part_key == part
        view = page.part(part).view
        if view.table.rowCount():
            assert QApplication.focusWidget() is view.view
            QTest.keyClick(view.view, Qt.Key.Key_Down)
            assert len(view.chosen_rows()) == 1
        QTest.keyClick(QApplication.focusWidget(), Qt.Key.Key_Tab, CONTROL)
    assert [row.name for row in page.part("orders").view.chosen_rows()] == [order.name]
    assert page.part("offer").view.chosen_rows()
