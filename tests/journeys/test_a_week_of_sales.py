"""An invented week: from what can be offered to invoices paid and the Sunday export.

Everything at the desk is done by keys and scans; every figure of the export is then worked out
anew from the farm's CSV files, by nothing but sums.
"""

from __future__ import annotations

import csv
from collections.abc import Iterator
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any

import openpyxl
from farm_window import FarmWindow
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtTest import QTest
from working_farm import KG, days_ago, fill_farm

from farmdesk.actions.demand import save_standing_order
from farmdesk.actions.exchange import export_farm
from farmdesk.actions.picks import record_pick
from farmdesk.domain.codes import code_of
from farmdesk.domain.demand import StandingOrder
from farmdesk.quantities.times import day_plus, today_in
from farmdesk.quantities.weeks import IsoWeek
from farmdesk.reports.check import check_farm
from farmdesk.reports.week import WeekQuestion, week_report
from farmdesk.reports.week_files import write_week

Key = Qt.Key
CONTROL = Qt.KeyboardModifier.ControlModifier
TODAY = today_in("UTC")
WHOLE = 1
"""A percent in a spreadsheet: shown as 100 %."""


def press(widget: Any, key: Key, modifier: Any = Qt.KeyboardModifier.NoModifier) -> None:
    QTest.keyClick(widget, key, modifier)


def type_into(field: Any, text: str) -> None:
    line = getattr(field, "line", field)
    line.setFocus()
    line.selectAll()
    QTest.keyClicks(line, text)


def listed(window: FarmWindow, key: str) -> Any:
    """A part of Sales in sight, its list with the focus and its first row chosen."""
    part = window.show("sales").show_part(key)
    window.settle()
    part.view.view.setFocus()
    if not part.view.chosen_rows():
        part.view.choose(lambda _row: True)
    return part


def save(dialog: Any) -> None:
    press(dialog.save_button, Key.Key_Return, CONTROL)


def skip_papers(window: FarmWindow) -> None:
    press(window.dialog(), Key.Key_Escape)
    window.settle()


def test_a_week_from_the_offer_to_the_sunday_export(
    farm_window: FarmWindow, tmp_path: Path
) -> None:
    window = farm_window
    farm = fill_farm(window.act)
    bags = [one.id for one in farm.bags[0][:3]]
    pick = window.act(
        lambda act: record_pick(act, bags=bags, gross_mg=6 * KG), happened_at=days_ago(0)
    )
    wish = StandingOrder(
        0, farm.customers["inn"], farm.products["oyster"], Decimal(2), "kg",
        date.fromisoformat(TODAY).isoweekday(), "2026-01-01",
    )  # fmt: skip
    window.act(lambda act: save_standing_order(act, wish))

    offer(window)
    take_orders(window)
    promise_and_pack(window, pick.id)
    pay_in_part_and_credit(window)
    market(window, pick.id)
    assert check_farm(window.store).is_clean
    export_and_recompute(window, tmp_path)


def offer(window: FarmWindow) -> None:
    part = listed(window, "offer")
    press(part.view.view, Key.Key_D, CONTROL)
    assert "Oyster, loose" in QGuiApplication.clipboard().text()


def take_orders(window: FarmWindow) -> None:
    """The standing order by one key, and another by telephone."""
    page = window.show("sales")
    page.tabs.setFocus()
    press(page.tabs, Key.Key_K, CONTROL)
    save(window.dialog())
    window.settle()
    press(page.tabs, Key.Key_N, CONTROL)
    dialog = window.dialog()
    type_into(dialog.customer, "Harbour Inn")
    type_into(dialog.form.fields["due_on"], TODAY)
    type_into(dialog.lines.rows[0].product, "Oyster, loose")
    type_into(dialog.lines.rows[0].amount, "1.5 kg")
    save(dialog)
    window.settle()
    assert [one.name for one in window.all("order")] == ["O-0001", "O-0002"]


def promise_and_pack(window: FarmWindow, pick: int) -> None:
    """Both orders are promised, packed by scan, delivered and billed."""
    for name in ("O-0001", "O-0002"):
        part = listed(window, "orders")
        assert part.view.choose(lambda row, name=name: row.name == name)
        press(part.view.view, Key.Key_D, CONTROL)
        save(window.dialog())
        window.settle()
        part = listed(window, "orders")
        assert part.view.choose(lambda row, name=name: row.name == name)
        assert part.view.current_row().promised.startswith("all")
        press(part.view.view, Key.Key_E, CONTROL)
        dialog = window.dialog()
        window.window.take_scan(code_of(pick))
        assert dialog.goods.scanned() == 1
        save(dialog)
        skip_papers(window)
    assert {one.status for one in window.all("order")} == {"delivered"}


def pay_in_part_and_credit(window: FarmWindow) -> None:
    part = listed(window, "invoices")
    assert part.view.choose(lambda row: row.name == "I-0001")
    press(part.view.view, Key.Key_R, CONTROL)
    dialog = window.dialog()
    type_into(dialog.lines.rows[0][0], "0.5")
    type_into(dialog.form.fields["reason"], "bruised")
    save(dialog)
    skip_papers(window)
    part = listed(window, "accounts")
    press(part.view.view, Key.Key_E, CONTROL)
    dialog = window.dialog()
    type_into(dialog.form.fields["amount"], "40.50")
    save(dialog)
    window.settle()
    # 2 kg and 1.5 kg at 13.50, less 0.5 kg credited: 40.50, and all of it is paid.
    assert {one.paid_on is not None for one in window.all("invoice")} == {True}


def market(window: FarmWindow, pick: int) -> None:
    page = window.show("sales")
    page.tabs.setFocus()
    press(page.tabs, Key.Key_M, CONTROL)
    dialog = window.dialog()
    type_into(dialog.form.fields["customer"], "Market stall")
    save(dialog)
    window.settle()
    part = listed(window, "markets")
    press(part.view.view, Key.Key_R, CONTROL)
    loading = window.dialog()
    window.window.take_scan(code_of(pick))
    type_into(loading.goods.rows[0].amount, "2 kg")
    save(loading)
    window.settle()
    part = listed(window, "markets")
    press(part.view.view, Key.Key_E, CONTROL)
    closing = window.dialog()
    back, lost, _, _ = closing.counts.rows[0]
    type_into(back, "0.6 kg")
    type_into(lost, "0.1 kg")
    save(closing)
    window.settle()
    assert window.all("market_day")[0].status == "closed"


def read(folder: Path, name: str) -> Iterator[dict[str, str]]:
    with (folder / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        yield from csv.DictReader(file)


def export_and_recompute(window: FarmWindow, folder: Path) -> None:
    """The export's figures against sums over the CSV files."""
    with window.store.reading() as reading:
        report = week_report(reading, WeekQuestion(IsoWeek.of(TODAY)))
    write_week(report, folder / "week.xlsx")
    export_farm(window.store, folder / "csv")
    files = folder / "csv"
    monday = IsoWeek.of(TODAY).monday
    days = [day_plus(monday, at) for at in range(7)]

    def cell(sheet: str, first: str, column: str) -> Any:
        heading, *rows = book[sheet].iter_rows(values_only=True)
        at = next(at for at, name in enumerate(heading) if str(name).startswith(column))
        return next(row[at] for row in rows if row[0] == first)

    book = openpyxl.load_workbook(folder / "week.xlsx")
    sent = {row["id"] for row in read(files, "delivery") if row["delivered_on"] in days}
    lines = [row for row in read(files, "delivery_line") if row["delivery"] in sent]
    sold_mg = sum(int(row["amount_mg"]) for row in lines)
    assert sold_mg == 4_800_000
    assert round(cell("Summary", "Delivered", "Mass") * KG) == sold_mg
    total = sum(Decimal(row["total"]) for row in lines)
    assert Decimal(str(cell("Summary", "Delivered", "Amount"))) == total
    bills = [row for row in read(files, "invoice") if row["issued_on"] in days]
    billed = sum(Decimal(row["total"]) for row in bills)
    assert Decimal(str(cell("Summary", "Invoiced, tax included", "Amount"))) == billed
    picked = sum(int(row["net_mg"]) for row in read(files, "pick") if row["picked_at"][:10] in days)
    assert round(cell("Summary", "Picked", "Mass") * KG) == picked
    wasted = sum(int(row["amount_mg"]) for row in read(files, "removal"))
    left = sum(int(row["left_mg"]) for row in read(files, "pick"))
    # Every kilogram is somewhere: picked = sold + wasted + on hand.
    assert picked == sold_mg + wasted + left
    stall = [row for row in lines if row["delivery"] == max(sent, key=int)]
    assert [Decimal(row["total"]) for row in stall] == [Decimal("17.55")]
    credited = sum(Decimal(row["total"]) for row in read(files, "credit_note"))
    paid = sum(Decimal(row["amount"]) for row in read(files, "payment"))
    assert (billed, credited, paid) == (Decimal("47.25"), Decimal("6.75"), Decimal("40.50"))
    assert cell("Orders filled", "Harbour Inn", "Filled by line") == WHOLE
