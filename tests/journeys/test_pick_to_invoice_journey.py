"""From two picked bags to a paid invoice and the week's figures, through the window alone."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path
from typing import Any

import zxingcpp
from farm_window import FarmWindow
from pypdfium2 import PdfDocument
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QWidget
from working_farm import WorkingFarm, fill_farm

from farmdesk.domain.codes import code_of
from farmdesk.quantities.times import today_in
from farmdesk.reports.check import check_farm

CONTROL = Qt.KeyboardModifier.ControlModifier
Key = Qt.Key
# 9 lb 6.5 oz = 150.5 oz; 1 oz = 28.349523125 g exactly (NIST Handbook 44, appendix C).
GROSS_MG = round(150.5 * 28_349.523125)
TARE_MG = 650_000


def press(widget: QWidget, key: Qt.Key, modifier: Any = Qt.KeyboardModifier.NoModifier) -> None:
    QTest.keyClick(widget, key, modifier)


def type_into(field: Any, text: str) -> None:
    """Go to a field and type over what is there."""
    field.line.setFocus()
    field.line.selectAll()
    QTest.keyClicks(field.line, text)


def save(dialog: Any) -> None:
    """Ctrl+Enter from wherever the cursor is."""
    press(dialog.focusWidget() or dialog.form, Key.Key_Return, CONTROL)


def text_of(path: Path) -> str:
    document = PdfDocument(str(path))
    text = "\n".join(page.get_textpage().get_text_range() for page in document)
    document.close()
    return text


def pick_two_bags(window: FarmWindow, farm: WorkingFarm, out: Path) -> Any:
    """Record the pick by typing and scanning, and print its crate label; gives the pick."""
    page = window.show("fruiting")
    page.tabs.setFocus()
    press(page.tabs, Key.Key_N, CONTROL)
    dialog = window.dialog()
    type_into(dialog.bags, f"{farm.batches[0].name}-001")
    press(dialog.bags.line, Key.Key_Return)
    window.settle()
    window.window.take_scan(code_of(farm.bags[0][1].id))
    window.window.take_scan(code_of(farm.crates[0].id))
    window.settle()
    type_into(dialog.gross, "9 lb 6.5 oz")
    save(dialog)
    labels = window.dialog()
    press(labels.form.fields["show"].box, Key.Key_Space)
    type_into(labels.form.fields["stock"], "roll-100x50-300dpi")
    type_into(labels.form.fields["out"], str(out))
    save(labels)
    window.settle()
    return window.all("pick")[0]


def listed(window: FarmWindow, key: str) -> Any:
    """The list of a part of Sales, in sight and read."""
    part = window.show("sales").show_part(key)
    window.settle()
    return part.view


def take_order(window: FarmWindow) -> None:
    """Order 2.5 kg for today."""
    page = window.show("sales")
    page.tabs.setFocus()
    press(page.tabs, Key.Key_N, CONTROL)
    dialog = window.dialog()
    type_into(dialog.customer, "Harbour Inn")
    type_into(dialog.form.fields["due_on"], "today")
    type_into(dialog.lines.rows[0].product, "Oyster, loose")
    type_into(dialog.lines.rows[0].amount, "2.5 kg")
    window.settle()
    save(dialog)
    window.settle()


def deliver(window: FarmWindow, folder: Path) -> None:
    """Deliver what is proposed, and write the papers into a folder."""
    listed(window, "orders").view.setFocus()
    press(listed(window, "orders").view, Key.Key_E, CONTROL)
    dialog = window.dialog()
    assert [row.amount.text() for row in dialog.goods.rows] == ["2.50 kg"]
    save(dialog)
    papers = window.dialog()
    press(papers.form.fields["show"].box, Key.Key_Space)
    type_into(papers.folder, str(folder))
    save(papers)
    window.settle()


def test_two_bags_become_a_paid_invoice(farm_window: FarmWindow, tmp_path: Path) -> None:
    farm = fill_farm(farm_window.act)
    pick = pick_two_bags(farm_window, farm, tmp_path / "crate.pdf")
    assert (pick.gross_mg, pick.net_mg) == (GROSS_MG, GROSS_MG - TARE_MG)
    sheet = PdfDocument(str(tmp_path / "crate.pdf"))
    found = zxingcpp.read_barcodes(sheet[0].render(scale=300 / 72).to_pil())
    sheet.close()
    assert [one.text for one in found] == [code_of(pick.id)]

    take_order(farm_window)
    deliver(farm_window, tmp_path)
    note, bill = (text_of(tmp_path / name) for name in ("D-0001.pdf", "I-0001.pdf"))
    assert pick.name in note
    assert "Harbour Inn" in note
    # 2.500 kg at 13.50 for 1 kg.
    assert "33.75" in bill
    assert today_in("UTC")[:4] in bill

    pay_invoice(farm_window)
    see_week(farm_window, tmp_path)
    assert check_farm(farm_window.store).is_clean


def pay_invoice(window: FarmWindow) -> None:
    """Mark the invoice as paid."""
    assert listed(window, "invoices").choose(lambda row: row.total == Decimal("33.75"))
    listed(window, "invoices").view.setFocus()
    press(listed(window, "invoices").view, Key.Key_E, CONTROL)
    save(window.dialog())
    window.settle()
    assert listed(window, "invoices").current_row().state == "paid"


def see_week(window: FarmWindow, folder: Path) -> None:
    """The week shows what was picked and sold, and its page says the same."""
    page = window.show("week")
    picked, delivered, on_hand = (page._figures[at] for at in range(3))
    assert picked[1].text() == "3.617 kg"
    assert delivered[1].text() == window.context.formats.money(Decimal("33.75"))
    assert on_hand[1].text() == "1.117 kg"
    page.choose_file = lambda *_words: str(folder / "week.pdf")
    page.tabs.setFocus()
    press(page.tabs, Key.Key_D, CONTROL)
    window.settle()
    assert "33.75" in text_of(folder / "week.pdf")
