"""The lab's page: what is registered, planned, heated and inoculated through its forms."""

from __future__ import annotations

from pathlib import Path

import pytest
import zxingcpp
from farm_window import FarmWindow
from pypdfium2 import PdfDocument
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from farmdesk.actions.heat_runs import record_run
from farmdesk.actions.lab import register_culture, register_spawn
from farmdesk.desk.pages.lab import LabPage
from farmdesk.desk.pages.lab_fields import read_clock
from farmdesk.domain.codes import code_of
from farmdesk.errors import NotUnderstood
from farmdesk.wording.formats import Formats

CONTROL = Qt.KeyboardModifier.ControlModifier
KG = 1_000_000


def fill(dialog, **texts: str) -> None:
    for key, text in texts.items():
        dialog.form.fields[key].line.setText(text)


def oyster(window: FarmWindow) -> int:
    return window.all("strain")[0].id


def make_spawn(window: FarmWindow, bags: int = 2) -> list:
    strain = oyster(window)
    return window.act(lambda act: register_spawn(act, strain=strain, bags=bags, each_mg=3 * KG))


def make_run(window: FarmWindow, blocks: int = 12):
    recipe = window.all("recipe")[0].id
    return window.act(lambda act: record_run(act, recipe=recipe, blocks=blocks))


def test_a_culture_and_its_spawn_are_registered(farm_window: FarmWindow) -> None:
    page: LabPage = farm_window.show("lab")
    page.tabs.setFocus()
    QTest.keyClick(page.tabs, Qt.Key.Key_N, CONTROL)
    dialog = farm_window.dialog()
    dialog.form.fields["strain"].set_value(oyster(farm_window))
    fill(dialog, origin="Bought in, lot 7")
    dialog.try_save()
    farm_window.settle()
    culture = farm_window.all("culture")[0]
    assert page.cultures.current_row().name == culture.name
    page._spawn_from([culture])
    dialog = farm_window.dialog()
    fill(dialog, bags="4", each_mg="2.5 kg", grain="Rye")
    dialog.try_save()
    farm_window.settle()
    spawn = farm_window.all("spawn")
    assert [one.left_mg for one in spawn] == [2_500_000] * 4
    assert page.tabs.tabText(page.tabs.currentIndex()) == "Spawn"


def test_the_mix_is_shown_in_the_farms_units_before_it_is_kept(farm_window: FarmWindow) -> None:
    page: LabPage = farm_window.show("lab")
    page.tabs.setCurrentIndex(2)
    page.add_one()
    dialog = farm_window.dialog()
    assert "pressure" in dialog.sentence.text()
    dialog.form.fields["recipe"].line.setText("Pellets and bran")
    fill(dialog, blocks="10")
    farm_window.settle()
    text = dialog.plan_text.text()
    assert "Oak pellets" in text
    assert "Total: 25.00 kg for 10 blocks of 2.50 kg" in text
    dialog.try_save()
    farm_window.settle()
    run = farm_window.all("run")[0]
    assert (run.blocks, run.status) == (10, "mixed")
    assert len(farm_window.all("run_ingredient", run=run.id)) == 3


def test_heat_is_recorded_with_probe_readings(farm_window: FarmWindow) -> None:
    run = make_run(farm_window)
    page: LabPage = farm_window.show("lab")
    page._record_heat([page.runs.table.row_at(0)])
    dialog = farm_window.dialog()
    fill(dialog, started_at="0:00", hot_at="0:00", ended_at="0:00", status="passed")
    dialog.form.fields["readings"].set_value("0:00 121 °C middle of the load\n0:00 119.5 bottom")
    dialog.try_save()
    farm_window.settle()
    readings = farm_window.all("probe_reading", run=run.id)
    assert [one.place for one in readings] == ["middle of the load", "bottom"]
    assert farm_window.all("run")[0].status == "passed"


def test_a_probe_line_that_cannot_be_read_is_named(farm_window: FarmWindow) -> None:
    make_run(farm_window)
    page: LabPage = farm_window.show("lab")
    page._record_heat([page.runs.table.row_at(0)])
    dialog = farm_window.dialog()
    fill(dialog, status="passed")
    dialog.form.fields["readings"].set_value("hot enough")
    dialog.try_save()
    assert "hot enough" in dialog.form.fields["readings"].problem_text()
    dialog.reject()


def test_inoculation_by_scans_prints_labels_that_decode(
    farm_window: FarmWindow, tmp_path: Path
) -> None:
    spawn = make_spawn(farm_window)
    run = make_run(farm_window, 6)
    page: LabPage = farm_window.show("lab")
    page._inoculate_run([page.runs.table.row_at(0)])
    dialog = farm_window.dialog()
    assert dialog.form.fields["bags"].value() == 6
    for one in spawn:
        farm_window.window.take_scan(code_of(one.id))
    assert dialog.strain.value() == spawn[0].strain
    dialog.uses.rows[0].amount.line.setText("500 g")
    dialog.uses.rows[1].amount.line.setText("250 g")
    out = tmp_path / "labels.pdf"
    dialog.try_save()
    labels = farm_window.dialog()
    batch = farm_window.all("batch", run=run.id)[0]
    assert batch.name in labels.windowTitle()
    assert labels.job.count == 6
    labels.form.fields["show"].set_value(False)
    fill(labels, stock="a4-3x8", out=str(out))
    farm_window.settle()
    labels.try_save()
    farm_window.settle()
    pages = PdfDocument(str(out))
    image = pages[0].render(scale=4).to_pil()
    codes = {one.text for one in zxingcpp.read_barcodes(image)}
    pages.close()
    assert codes == {code_of(bag.id) for bag in farm_window.all("bag", batch=batch.id)}
    assert [one.left_mg for one in farm_window.all("spawn")] == [2_500_000, 2_750_000]


def test_ranges_keep_spawn_apart_and_an_overdraw_is_refused(farm_window: FarmWindow) -> None:
    spawn = make_spawn(farm_window)
    make_run(farm_window, 4)
    page: LabPage = farm_window.show("lab")
    page._inoculate_run([page.runs.table.row_at(0)])
    dialog = farm_window.dialog()
    dialog.form.fields["prints"].set_value(False)
    for one in spawn:
        dialog.take_scan(code_of(one.id))
    dialog.uses.rows[0].amount.line.setText("5 kg")
    dialog.uses.rows[0].bags.line.setText("1-2")
    dialog.uses.rows[1].amount.line.setText("200 g")
    dialog.uses.rows[1].bags.line.setText("3-4")
    dialog.try_save()
    farm_window.settle()
    assert spawn[0].name in dialog.uses.problem_text()
    dialog.uses.rows[0].amount.line.setText("200 g")
    dialog.try_save()
    farm_window.dialog().accept()
    bags = farm_window.all("bag")
    links = farm_window.all("link", parent=spawn[1].id)
    assert [one.child for one in links] == [bag.id for bag in bags if bag.number > 2]


def test_a_code_that_is_no_spawn_is_told_calmly(farm_window: FarmWindow) -> None:
    run = make_run(farm_window)
    page: LabPage = farm_window.show("lab")
    page.inoculate()
    dialog = farm_window.dialog()
    dialog.take_scan(code_of(run.id))
    assert "no bag of spawn" in dialog.form.problem_on_top()
    dialog.take_scan("9" * 10)
    assert dialog.form.problem_on_top()
    dialog.reject()


def test_labels_that_cannot_be_written_do_not_lose_the_batch(
    farm_window: FarmWindow, tmp_path: Path
) -> None:
    spawn = make_spawn(farm_window)
    make_run(farm_window, 2)
    page: LabPage = farm_window.show("lab")
    page._inoculate_run([page.runs.table.row_at(0)])
    dialog = farm_window.dialog()
    dialog.take_scan(code_of(spawn[0].id))
    dialog.uses.rows[0].amount.line.setText("200 g")
    dialog.try_save()
    labels = farm_window.dialog()
    fill(labels, out=str(tmp_path / "nowhere" / "labels.pdf"))
    labels.try_save()
    farm_window.settle()
    assert "nowhere" in labels.form.problem_on_top()
    assert farm_window.all("printing") == []
    labels.reject()
    assert len(farm_window.all("batch")) == 1


def test_what_is_thrown_away_says_so(farm_window: FarmWindow) -> None:
    strain = oyster(farm_window)
    farm_window.act(lambda act: register_culture(act, strain=strain, form="plate"))
    page: LabPage = farm_window.show("lab")
    page.cultures.choose(lambda _row: True)
    page.cultures.view.setFocus()
    QTest.keyClick(page.cultures.view, Qt.Key.Key_Delete)
    farm_window.dialog().try_save()
    farm_window.settle()
    assert farm_window.all("culture")[0].status == "discarded"


def test_relatives_are_walked_by_enter(farm_window: FarmWindow) -> None:
    strain = oyster(farm_window)
    culture = farm_window.act(lambda act: register_culture(act, strain=strain, form="plate"))
    farm_window.act(
        lambda act: register_spawn(act, strain=strain, bags=1, each_mg=KG, parent=culture.id)
    )
    page: LabPage = farm_window.show("lab")
    page._open(culture)
    dialog = farm_window.dialog()
    assert dialog.name.text() == culture.name
    dialog.forward.choose(lambda _row: True)
    QTest.keyClick(dialog.forward.view, Qt.Key.Key_Return)
    farm_window.settle()
    assert dialog.back.table.row_at(0).name == culture.name
    dialog.go_back()
    farm_window.settle()
    assert dialog.name.text() == culture.name
    dialog.accept()


@pytest.mark.parametrize(
    ("typed", "wanted"),
    [
        ("14:05", "2026-02-05T13:05:00Z"),
        ("2:05 pm", "2026-02-05T13:05:00Z"),
        ("12:00 am", "2026-02-04T23:00:00Z"),
        ("2026-07-01 14:05", "2026-07-01T12:05:00Z"),
    ],
)
def test_clock_times_are_read_on_the_farms_clock(typed: str, wanted: str) -> None:
    assert read_clock(typed, Formats(zone="Europe/Berlin"), day="2026-02-05") == wanted


@pytest.mark.parametrize("typed", ["25:00", "14:75", "13:00 pm", "noon", ""])
def test_times_that_are_none_are_refused(typed: str) -> None:
    with pytest.raises(NotUnderstood):
        read_clock(typed, Formats(zone="UTC"), day="2026-02-05")
