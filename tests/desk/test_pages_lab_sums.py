"""Growth and substrate sums on the lab's page."""

from __future__ import annotations

from decimal import Decimal

import pytest
from farm_window import FarmWindow
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from farmdesk.actions.growth import measure_culture
from farmdesk.actions.lab import register_culture
from farmdesk.desk.pages.lab import LabPage
from farmdesk.desk.preview import PreviewDialog
from farmdesk.domain.codes import code_of

CONTROL = Qt.KeyboardModifier.ControlModifier
GROWTH, SUMS = 3, 4


def culture(window: FarmWindow, made_on: str):
    strain = window.all("strain")[0].id
    return window.act(
        lambda act: register_culture(act, strain=strain, form="plate", made_on=made_on)
    )


def grow(window: FarmWindow, one, *sizes: tuple[str, int]) -> None:
    for day, um in sizes:
        window.act(
            lambda act, um=um, day=day: measure_culture(act, one.id, radius_um=um, looked_on=day)
        )


def open_tab(window: FarmWindow, at: int) -> LabPage:
    page = window.show("lab")
    page.tabs.setCurrentIndex(at)
    window.settle()
    return page


def test_a_measure_is_entered_by_key_and_scan(farm_window: FarmWindow) -> None:
    one = culture(farm_window, "2026-01-01")
    page = open_tab(farm_window, GROWTH)
    page.tabs.setFocus()
    QTest.keyClick(page.tabs, Qt.Key.Key_N, CONTROL)
    dialog = farm_window.dialog()
    farm_window.window.take_scan(code_of(one.id))
    dialog.form.fields["way"].set_value("diameter")
    dialog.form.fields["radius"].set_value("4.6 cm")
    dialog.form.fields["looked_on"].set_value("2026-01-05")
    dialog.try_save()
    farm_window.settle()
    look = farm_window.all("growth_look")[0]
    assert (look.culture, look.radius_um, look.looked_on) == (one.id, 23_000, "2026-01-05")
    assert page.growth.view.table.row_at(0).id == one.id


def test_a_code_that_is_no_culture_is_told(farm_window: FarmWindow) -> None:
    culture(farm_window, "2026-01-01")
    page = open_tab(farm_window, GROWTH)
    page.add_one()
    dialog = farm_window.dialog()
    dialog.take_scan("9" * 10)
    assert dialog.form.problem_on_top()
    dialog.take_scan(code_of(farm_window.all("card")[0].id))
    assert "no culture" in dialog.form.problem_on_top()
    dialog.reject()


def test_a_culture_that_lags_is_named_in_both_lists(farm_window: FarmWindow) -> None:
    first, slow = culture(farm_window, "2026-01-01"), culture(farm_window, "2026-02-01")
    grow(farm_window, first, ("2026-01-05", 10_000), ("2026-01-07", 20_000))
    grow(farm_window, slow, ("2026-02-05", 10_000), ("2026-02-07", 17_000))
    page = open_tab(farm_window, GROWTH)
    assert page.growth.alarm.isVisible()
    assert slow.name in page.growth.alarm.text()
    assert first.name not in page.growth.alarm.text()
    assert page._growth(slow) == "⚠ slow, 3.5 mm a day"
    assert page._growth(first) == "5.0 mm a day"
    page.growth._take_away([page.growth.view.table.row_at(0)])
    farm_window.settle()
    assert not page.growth.alarm.isVisible()


def test_the_mix_is_worked_out_both_ways(farm_window: FarmWindow) -> None:
    page = open_tab(farm_window, SUMS)
    sums = page.sums
    assert "Choose a recipe" in sums.mix_told.text()
    sums.recipe.line.setText("Pellets and bran")
    sums.blocks.line.setText("40")
    farm_window.settle()
    assert "Total: 100.00 kg for 40 blocks" in sums.mix_told.text()
    sums.stock.line.setText("Oak pellets")
    sums.stock_mass.line.setText("20 kg")
    assert "enough for 24 blocks" in sums.stock_told.text()
    sums.total.line.setText("50 kg")
    sums.moisture.line.setText("70")
    sums.dry_stock.line.setText("Oak pellets")
    assert "7.41 kg of Oak pellets" in sums.off_told.text()
    assert page.print_page()
    dialog = farm_window.dialog()
    assert isinstance(dialog, PreviewDialog)
    dialog.close()


def test_a_measured_moisture_is_kept_for_the_ingredient(farm_window: FarmWindow) -> None:
    sums = open_tab(farm_window, SUMS).sums
    sums.wet.line.setText("100 g")
    sums.dry.line.setText("58 g")
    assert "42.0% of the wet weight" in sums.dry_told.text()
    assert not sums.keep.isEnabled()
    sums.ingredient.line.setText("Hardwood sawdust")
    assert sums.keep.isEnabled()
    sums.keep.click()
    farm_window.settle()
    kept = {one.name: one.moisture_percent for one in farm_window.all("ingredient")}
    assert kept["Hardwood sawdust"] == Decimal(42)


@pytest.mark.parametrize(("wet", "dry"), [("58 g", "100 g"), ("much", "100 g")])
def test_a_dry_down_that_cannot_be_is_not_kept(farm_window: FarmWindow, wet: str, dry: str) -> None:
    sums = open_tab(farm_window, SUMS).sums
    sums.ingredient.line.setText("Hardwood sawdust")
    sums.wet.line.setText(wet)
    sums.dry.line.setText(dry)
    assert not sums.keep.isEnabled()


def test_a_vessel_is_added_changed_and_retired(farm_window: FarmWindow) -> None:
    page = open_tab(farm_window, SUMS)
    page.tabs.setFocus()
    QTest.keyClick(page.tabs, Qt.Key.Key_N, CONTROL)
    dialog = farm_window.dialog()
    for key, text in (("name", "Drum"), ("blocks", "48"), ("hours", "5.5")):
        dialog.form.fields[key].line.setText(text)
    dialog.try_save()
    farm_window.settle()
    sums = page.sums
    sums.recipe.line.setText("Pellets and bran")
    sums.blocks.line.setText("60")
    farm_window.settle()
    assert "Drum: 2 loads, 12 of 48 in the last; 11.0 h in all." in sums.mix_told.text()
    sums._change_vessel([sums.vessels[0]])
    dialog = farm_window.dialog()
    dialog.form.fields["blocks"].line.setText("0")
    dialog.try_save()
    farm_window.settle()
    assert "from 1 to" in dialog.form.fields["blocks"].problem_text()
    dialog.form.fields["blocks"].line.setText("60")
    dialog.try_save()
    farm_window.settle()
    assert "all full" in sums.mix_told.text()
    sums._retire_vessel([sums.vessels[0]])
    farm_window.settle()
    assert sums.vessels == ()
