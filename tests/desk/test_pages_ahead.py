"""The weeks ahead: tabs, standing orders typed, a plan accepted and ticked off, empty states."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from farm_window import FarmWindow, has_charts
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QComboBox
from working_farm import WorkingFarm, fill_farm

from farmdesk.actions.demand import save_standing_order
from farmdesk.desk.pages.ahead import AheadPage
from farmdesk.desk.pages.ahead_dialogs import read_week
from farmdesk.domain.demand import StandingOrder
from farmdesk.quantities.times import day_plus, today_in
from farmdesk.quantities.weeks import IsoWeek

KEYS = [key for key, _, _ in AheadPage.parts]
SUMS = ("forecast", "back_test", "demand", "plan", "fit")


@pytest.fixture
def farm(farm_window: FarmWindow) -> WorkingFarm:
    return fill_farm(farm_window.act)


def press(view: Any, title: str) -> None:
    action = next(a for a in view.view.actions() if a.text() == title)
    action.trigger()


def add_standing(window: FarmWindow, farm: WorkingFarm, *, runs_from: str = "2026-01-05") -> None:
    wanted = StandingOrder(0, farm.customers["inn"], farm.products["oyster"], Decimal(12), "kg", 4,
                           runs_from)  # fmt: skip
    window.act(lambda act: save_standing_order(act, wanted))


@pytest.mark.parametrize("key", KEYS)
def test_every_part_explains_itself_on_a_farm_at_work(
    farm_window: FarmWindow, farm: WorkingFarm, key: str
) -> None:
    add_standing(farm_window, farm)
    page: AheadPage = farm_window.show("ahead", key)
    farm_window.settle()
    assert page.part_key == key
    assert len(page.help()) > 60
    if key in SUMS:
        part = page.part(key)
        assert part.answer is not None
        assert part.stop.isHidden()
        for at in range(part.tables.count()):
            part.tables.setCurrentIndex(at)
            part.tables.activated.emit(at)
            assert part.table is part.answer.tables[at]


@pytest.mark.parametrize("key", KEYS)
def test_an_empty_farm_says_what_to_do(farm_window: FarmWindow, key: str) -> None:
    page: AheadPage = farm_window.show("ahead", key)
    farm_window.settle()
    part = page.part(key)
    if key in SUMS:
        assert part.empty_text.endswith(".")
        if key != "fit":
            assert part.sheet.list.table.rowCount() == 0
    elif key == "standing":
        assert "New standing order" in part.standing._empty.text()
    else:
        assert "Plan" in part.list._empty.text()


def test_the_forecast_is_of_one_species_on_choice(
    farm_window: FarmWindow, farm: WorkingFarm
) -> None:
    page: AheadPage = farm_window.show("ahead", "forecast:Oyster")
    farm_window.settle()
    page.show_subject("forecast:Oyster")
    farm_window.settle()
    part = page.part("forecast")
    assert {row[0] for row in part.table.rows} == {"Oyster"}
    assert part.chart.chart.series[0].is_bounded
    assert part.filters.period_choice.isHidden()


def test_a_standing_order_is_typed_changed_paused_and_removed(
    farm_window: FarmWindow, farm: WorkingFarm
) -> None:
    page: AheadPage = farm_window.show("ahead", "standing")
    page._new_standing()
    dialog = farm_window.dialog()
    dialog.form.fields["customer"].line.setText("Harbour Inn")
    dialog.form.fields["product"].line.setText("Oyster, loose")
    dialog.form.fields["quantity"].line.setText("lots")
    dialog.form.fields["weekday"].set_value(5)
    dialog.try_save()
    farm_window.settle()
    assert dialog.form.fields["quantity"].problem_text()
    dialog.form.fields["quantity"].line.setText("4.5 kg")
    dialog.try_save()
    farm_window.settle()
    part = page.part("standing")
    assert [row.amount for row in part.standing.table.shown_rows()] == ["4.5 kg"]
    part.standing.choose(lambda _row: True)
    press(part.standing, "Leave out weeks …")
    dialog = farm_window.dialog()
    dialog.form.fields["pauses"].line.setText("2027-W01")
    dialog.try_save()
    farm_window.settle()
    assert part.standing.table.shown_rows()[0].pauses == "2027-W01"
    part.standing.choose(lambda _row: True)
    press(part.standing, "Change …")
    dialog = farm_window.dialog()
    assert dialog.form.fields["quantity"].text() == "4.5 kg"
    dialog.form.fields["quantity"].line.setText("6 kg")
    dialog.try_save()
    farm_window.settle()
    assert part.standing.table.shown_rows()[0].amount == "6 kg"
    part.standing.choose(lambda _row: True)
    press(part.standing, "Remove …")
    QTest.keyClick(farm_window.dialog(), Qt.Key.Key_Y)
    farm_window.settle()
    assert part.standing.table.rowCount() == 0


def test_weeks_that_differ_are_typed(farm_window: FarmWindow, farm: WorkingFarm) -> None:
    page: AheadPage = farm_window.show("ahead", "standing")
    page._new_event()
    dialog = farm_window.dialog()
    dialog.form.fields["name"].line.setText("Spring fair")
    dialog.form.fields["from_week"].line.setText("2027-W10")
    dialog.form.fields["species"].line.setText("Oyster")
    dialog.form.fields["amount_mg"].line.setText("5 kg")
    dialog.try_save()
    farm_window.settle()
    (row,) = page.part("standing").events.table.shown_rows()
    assert (row.name, row.weeks, row.about) == ("Spring fair", "2027-W10", "Oyster")
    (kept,) = farm_window.all("demand_event")
    assert (kept.factor, kept.amount_mg, kept.to_week) == (1, 5_000_000, "2027-W10")


def test_a_plan_is_accepted_shown_today_changed_and_dropped(
    farm_window: FarmWindow, farm: WorkingFarm
) -> None:
    today = today_in("UTC")
    add_standing(farm_window, farm, runs_from=day_plus(today, 80))
    page: AheadPage = farm_window.show("ahead", "plan")
    part = page.part("plan")
    part.accept()
    assert not farm_window.all("planned_batch")
    part.sheet.list.choose(lambda row: bool(row[4]) and bool(row[6]))
    part.accept_button.click()
    farm_window.settle()
    (planned,) = farm_window.all("planned_batch")
    assert planned.blocks > 0
    # Made as the newest batch of the species was.
    assert planned.strain == farm.batches[0].strain
    page.show_part("planned")
    farm_window.settle()
    planned_part = page.part("planned")
    planned_part.list.choose(lambda _row: True)
    press(planned_part.list, "Change …")
    dialog = farm_window.dialog()
    dialog.form.fields["inoculate_on"].line.setText("today")
    dialog.form.fields["blocks"].line.setText("40")
    dialog.try_save()
    farm_window.settle()
    today_page = farm_window.show("today")
    (row,) = [one for one in today_page.work.table.shown_rows() if one.section == "Plan"]
    assert "40 labels" in row.reason
    today_page.work.choose(lambda one: one.section == "Plan")
    today_page._go()
    farm_window.settle()
    assert farm_window.window.place == "ahead"
    assert page.part_key == "planned"
    assert planned_part.list.current_row().name == planned.name
    press(planned_part.list, "Drop …")
    QTest.keyClick(farm_window.dialog(), Qt.Key.Key_Y)
    farm_window.settle()
    assert farm_window.all("planned_batch")[0].status == "dropped"


def test_a_planned_batch_is_ticked_off(farm_window: FarmWindow, farm: WorkingFarm) -> None:
    today = today_in("UTC")
    add_standing(farm_window, farm, runs_from=day_plus(today, 80))
    page: AheadPage = farm_window.show("ahead", "plan")
    part = page.part("plan")
    part.sheet.list.choose(lambda row: bool(row[4]) and bool(row[6]))
    part.accept()
    farm_window.settle()
    page.show_part("planned")
    farm_window.settle()
    planned = page.part("planned")
    planned.list.choose(lambda _row: True)
    press(planned.list, "Tick off …")
    dialog = farm_window.dialog()
    offered = dialog.form.fields["batch"].combo
    assert any(farm.batches[0].name in offered.itemText(at) for at in range(offered.count()))
    dialog.try_save()
    farm_window.settle()
    assert farm_window.all("planned_batch")[0].status == "made"


def test_the_figures_of_the_plan_are_kept(farm_window: FarmWindow, farm: WorkingFarm) -> None:
    page: AheadPage = farm_window.show("ahead", "fit")
    page._open_setting()
    dialog = farm_window.dialog()
    dialog.form.fields["blocks_per_run"].line.setText("120")
    dialog.form.fields["promise_percent"].line.setText("100")
    dialog.try_save()
    farm_window.settle()
    assert dialog.form.fields["promise_percent"].problem_text()
    dialog.form.fields["promise_percent"].line.setText("95")
    dialog.try_save()
    farm_window.settle()
    (kept,) = farm_window.all("plan_setting")
    assert (kept.blocks_per_run, kept.promise_percent) == (120, 95)


def test_the_promise_can_be_tried_out(farm_window: FarmWindow, farm: WorkingFarm) -> None:
    add_standing(farm_window, farm, runs_from=day_plus(today_in("UTC"), 80))
    page: AheadPage = farm_window.show("ahead", "plan")
    part = page.part("plan")
    counts = []
    for percent in (50, 99):
        choice: QComboBox = part.promise
        choice.setCurrentIndex(choice.findData(percent))
        choice.activated.emit(choice.currentIndex())
        farm_window.settle()
        counts.append(sum(row[4] or 0 for row in part.table.rows))
    assert counts[0] < counts[1]


def test_tables_are_printed_with_their_charts(farm_window: FarmWindow, farm: WorkingFarm) -> None:
    page: AheadPage = farm_window.show("ahead", "forecast")
    assert page.print_page()
    farm_window.settle()
    assert has_charts(farm_window)


def test_a_week_is_typed_short() -> None:
    assert read_week("2027-W05", "2026-11-25") == "2027-W05"
    assert read_week("W50", "2026-11-25") == "2026-W50"
    assert read_week("5", "2026-11-25") == "2027-W05"
    assert IsoWeek.parse(read_week("w48", "2026-11-25")) == IsoWeek.of("2026-11-25")
