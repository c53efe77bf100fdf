"""The costs' page: figures with their lines, goods, work by the clock, settings, undo."""

from __future__ import annotations

from decimal import Decimal

import pytest
from farm_window import FarmWindow
from PySide6.QtWidgets import QApplication
from working_farm import WorkingFarm, days_ago, fill_farm

from farmdesk.actions.costs import keep_cost_setting, keep_overhead, keep_supply, note_labour
from farmdesk.actions.undo import undo_last
from farmdesk.desk.pages.cost_dialogs import PurchaseDialog, read_minutes
from farmdesk.desk.pages.costs import CostsPage
from farmdesk.domain.costs import CostSetting, Labour, Overhead, Supply
from farmdesk.errors import NotUnderstood
from farmdesk.reports.cost_lists import load_cost_lists

KEYS = [key for key, _, _ in CostsPage.parts]


@pytest.fixture
def farm(farm_window: FarmWindow) -> WorkingFarm:
    return fill_farm(farm_window.act)


def part_of(shown: FarmWindow, key: str):
    part = shown.show("costs", key).part(key)
    shown.settle()
    return part


@pytest.mark.parametrize("key", KEYS)
def test_an_empty_farm_says_what_to_do(farm_window: FarmWindow, key: str) -> None:
    part = part_of(farm_window, key)
    assert len(part.help_text) > 60
    if key == "figures":
        assert part.sheet.list is not None
        return
    assert "Ctrl+" in part.empty_text


def test_figures_show_each_line_of_a_batch(farm_window: FarmWindow, farm: WorkingFarm) -> None:
    day = days_ago(30)[:10]
    batch = farm.batches[0]
    farm_window.act(lambda act: keep_cost_setting(act, CostSetting(0, wage_per_hour=Decimal(18))))
    farm_window.act(lambda act: note_labour(act, Labour(0, None, batch.id, "inoculation", day, 60)))
    farm_window.act(lambda act: keep_overhead(act, Overhead(0, "Rent", Decimal(70), day)))
    part = part_of(farm_window, "figures")
    assert part.table is not None
    rows = {row[0]: row for row in part.table.rows}
    assert set(rows) == {one.name for one in farm.batches}
    assert "so far for 12 blocks" in part.sentence.text()
    assert "spawn" in rows[batch.name][-1]
    part.open_row(rows[batch.name])
    dialog = farm_window.dialog()
    assert "US$18.00 ÷ 6 = US$3.00" in dialog.about.text()
    assert dialog.sheet.table is not None
    total = sum(row[3] for row in dialog.sheet.table.rows)
    assert total == rows[batch.name][3]
    dialog.accept()
    farm_window.settle()
    QApplication.processEvents()


@pytest.mark.parametrize("by", ["recipe", "strain", "species", "month"])
def test_figures_are_grouped(farm_window: FarmWindow, farm: WorkingFarm, by: str) -> None:
    part = part_of(farm_window, "figures")
    part.filters.choose_by(by)
    farm_window.settle()
    assert part.table is not None
    assert sum(row[1] for row in part.table.rows) == sum(one.made for one in farm.batches)
    part.open_row(next(iter(part.table.rows)))
    assert not farm_window.has_dialog()


def test_goods_come_are_corrected_and_brought_back(farm_window: FarmWindow) -> None:
    part = part_of(farm_window, "goods")
    part.add()
    dialog = farm_window.dialog()
    dialog.try_save()
    assert dialog.form.fields["price"].problem_text()
    fields = dialog.form.fields
    fields["ingredient"].set_value(part.lists.ingredients[0][0])
    fields["amount_mg"].line.setText("250 kg")
    fields["price"].line.setText("105")
    fields["lot"].line.setText("OA1")
    dialog.try_save()
    farm_window.settle()
    (row,) = part.lists.purchases
    assert (row.left_mg, row.per_unit, row.lot) == (250_000_000, Decimal("0.42"), "OA1")
    part.open_row(row)
    dialog = farm_window.dialog()
    dialog.form.fields["price"].line.setText("110")
    dialog.try_save()
    farm_window.settle()
    assert part.lists.purchases[0].price == Decimal(110)
    part.list.choose(lambda _row: True)
    part._remove("purchase", [part.lists.purchases[0]])
    farm_window.settle()
    assert part.lists.purchases == ()
    farm_window.act(undo_last)
    assert part.lists.purchases[0].price == Decimal(110)


def test_a_supply_is_used_up_by_blocks(farm_window: FarmWindow, farm: WorkingFarm) -> None:
    assert farm.batches
    part = part_of(farm_window, "supplies")
    part.add()
    dialog = farm_window.dialog()
    dialog.form.fields["name"].line.setText("Filter bag")
    dialog.try_save()
    farm_window.settle()
    goods = part_of(farm_window, "goods")
    goods.add()
    dialog = farm_window.dialog()
    dialog.form.fields["supply"].set_value(goods.lists.supplies[0].id)
    dialog.form.fields["pieces"].line.setText("100")
    dialog.form.fields["price"].line.setText("62")
    # Bags must be there before the blocks were made in them.
    dialog.form.fields["received_on"].line.setText(days_ago(40)[:10])
    dialog.try_save()
    farm_window.settle()
    part = part_of(farm_window, "supplies")
    (row,) = part.lists.supplies
    assert (row.left, row.left_cost) == (Decimal(88), Decimal("54.56"))
    part.open_row(row)
    farm_window.dialog().reject()
    part._retire([row])
    farm_window.settle()
    assert part.lists.supplies == ()


def test_work_is_typed_and_timed(farm_window: FarmWindow) -> None:
    part = part_of(farm_window, "labour")
    part.add()
    dialog = farm_window.dialog()
    dialog.form.fields["minutes"].line.setText("1:30")
    dialog.try_save()
    farm_window.settle()
    assert [one.minutes for one in part.lists.labour] == [90]
    part._start()
    farm_window.dialog().try_save()
    farm_window.settle()
    running = part.lists.labour[0]
    assert running.is_running
    part.open_row(running)
    farm_window.settle()
    assert not any(one.is_running for one in part.lists.labour)
    done = next(one for one in part.lists.labour if one.id == running.id)
    assert done.minutes == 1
    part.open_row(done)
    farm_window.dialog().reject()


def test_overhead_and_settings(farm_window: FarmWindow) -> None:
    part = part_of(farm_window, "overhead")
    part.add()
    dialog = farm_window.dialog()
    dialog.form.fields["name"].line.setText("Rent")
    dialog.form.fields["per_week"].line.setText("95")
    dialog.try_save()
    farm_window.settle()
    assert part.lists.overheads[0].per_week == Decimal(95)
    part.open_row(part.lists.overheads[0])
    farm_window.dialog().reject()
    page = farm_window.show("costs")
    page.open_settings()
    dialog = farm_window.dialog()
    dialog.form.fields["wage_per_hour"].line.setText("21.50")
    dialog.form.fields["method"].set_value("fifo")
    dialog.try_save()
    farm_window.settle()
    (setting,) = farm_window.all("cost_setting")
    assert (setting.method, setting.wage_per_hour) == ("fifo", Decimal("21.50"))


def test_bought_spawn_gets_its_price(farm_window: FarmWindow, farm: WorkingFarm) -> None:
    assert farm.batches
    part = part_of(farm_window, "lab")
    row = part.lists.lab_prices[0]
    assert row.price is None
    part.open_row(row)
    dialog = farm_window.dialog()
    dialog.form.fields["price"].line.setText("36")
    dialog.try_save()
    farm_window.settle()
    assert {one.id: one.price for one in part.lists.lab_prices}[row.id] == Decimal(36)


def test_lists_are_printed(farm_window: FarmWindow) -> None:
    farm_window.act(lambda act: keep_supply(act, Supply(0, "Punnet", "pack")))
    part = part_of(farm_window, "supplies")
    assert part.print_page()
    preview = farm_window.dialog()
    assert preview.preview is not None
    preview.reject()


@pytest.mark.parametrize(
    ("text", "minutes"),
    [("90", 90), ("90 min", 90), ("1:30", 90), ("1.5 h", 90), ("1,5 h", 90), ("1h30", 90),
     ("2 h", 120)],
)  # fmt: skip
def test_times_worked_as_typed(text: str, minutes: int) -> None:
    assert read_minutes(text) == minutes


@pytest.mark.parametrize("text", ["", "long", "1:2:3", "h"])
def test_what_is_no_time_worked(text: str) -> None:
    with pytest.raises(NotUnderstood):
        read_minutes(text)


def test_a_suppliers_label_fills_goods_received(farm_window: FarmWindow) -> None:
    dialog = PurchaseDialog(farm_window.context, load_cost_lists(farm_window.store))
    farm_window.window.open_dialog(dialog)
    farm_window.settle()
    dialog.form.fields["seller"].set_value("Mill by the weir")
    farm_window.window.take_scan("(01)09521234000013(17)270131(3103)020000(10)LOT42")
    values = dialog.form.fields
    assert (values["lot"].value(), values["use_by"].value()) == ("LOT42", "2027-01-31")
    assert values["amount_mg"].value() == 20_000_000
    farm_window.window.take_scan("6000012345")
    assert "no GS1 label" in dialog.form.problem_on_top()
    assert values["seller"].value() == "Mill by the weir"
    dialog.reject()
