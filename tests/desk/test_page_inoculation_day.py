"""Inoculation day: every step by keyboard and scanner, left half-done, gone on with, taken back."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import pytest
import zxingcpp
from farm_window import FarmWindow
from pypdfium2 import PdfDocument
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from farmdesk.actions.catalogue import save
from farmdesk.actions.heat_runs import Probe, note_heat, record_heat
from farmdesk.actions.inoculation import SpawnUse, inoculate
from farmdesk.actions.lab import register_spawn
from farmdesk.actions.mixing import plan_mix_run, save_vessel, weigh_mix
from farmdesk.actions.undo import undo_last
from farmdesk.desk.pages.inoculation_day import InoculationDayPage
from farmdesk.desk.preview import PreviewDialog
from farmdesk.domain.codes import code_of
from farmdesk.domain.mixing import Vessel
from farmdesk.quantities.times import now_utc, to_iso
from farmdesk.reports.mix_sheet import load_mix

CONTROL = Qt.KeyboardModifier.ControlModifier
ALT = Qt.KeyboardModifier.AltModifier
KG = 1_000_000


def make_spawn(window: FarmWindow, bags: int = 2, **more: int) -> list:
    strain = window.all("strain")[0].id
    return window.act(
        lambda act: register_spawn(act, strain=strain, bags=bags, each_mg=3 * KG, **more)
    )


def plan_day(window: FarmWindow, blocks: int = 10):
    recipe, strain = window.all("recipe")[0].id, window.all("strain")[0].id
    return window.act(lambda act: plan_mix_run(act, recipe=recipe, blocks=blocks, strain=strain))


def weigh_day(window: FarmWindow, blocks: int = 10):
    run = plan_day(window, blocks)
    weighed = {
        one.ingredient: one.as_is_mg for one in load_mix(window.store, run.recipe, blocks).lines
    }
    return window.act(lambda act: weigh_mix(act, run.id, weighed=weighed))


def heat_day(window: FarmWindow, blocks: int = 10, status: str = "passed"):
    run = weigh_day(window, blocks)
    return window.act(
        lambda act: record_heat(act, run.id, status=status), confirmed=["run_passed_unread"]
    )


def open_page(window: FarmWindow) -> InoculationDayPage:
    return window.show("inoculation")


def fill(page: InoculationDayPage, **texts: str) -> None:
    for key, text in texts.items():
        page.step.form.fields[key].line.setText(text)


def keep(window: FarmWindow, page: InoculationDayPage) -> None:
    """Ctrl+Enter in the first field of the step."""
    first = next(iter(page.step.form.fields.values()))
    first.setFocus()
    QTest.keyClick(first.focusProxy(), Qt.Key.Key_Return, CONTROL)
    window.settle()


def test_a_whole_day_by_keyboard_and_scanner(  # noqa: PLR0915 - a day has many steps
    farm_window: FarmWindow, tmp_path: Path
) -> None:
    spawn = make_spawn(farm_window)
    page = open_page(farm_window)
    assert page.step.key == "recipe"
    fill(page, recipe="Pellets and bran", blocks="6", strain=page.step.strain.combo.itemText(0))
    farm_window.settle()
    page.step.strain.set_value(spawn[0].strain)
    assert "Total: 15.00 kg for 6 blocks" in page.step.told.text()
    assert "of all dry matter" in page.step.told.text()
    keep(farm_window, page)

    assert page.step.key == "weigh"
    assert "fills 6 blocks" in page.step.told.text()
    first = next(iter(page.step.lots.values()))
    first.set_value("Lot 12")
    keep(farm_window, page)
    assert [one.lot for one in farm_window.all("run_ingredient") if one.lot] == ["Lot 12"]
    assert farm_window.all("mixing_note")[0].water_mg > 8 * KG

    assert page.step.key == "heat"
    QTest.keyClick(page.step.now["started_at"], Qt.Key.Key_Space)
    farm_window.settle()
    assert farm_window.all("run")[0].started_at is not None
    assert not page.step.now["started_at"].isEnabled()
    QTest.keyClick(page.step.now["hot_at"], Qt.Key.Key_Space)
    farm_window.settle()
    page.step.form.fields["readings"].set_value("0:00 121 °C middle")
    page.step.note.click()
    farm_window.settle()
    QTest.keyClick(page.step.now["ended_at"], Qt.Key.Key_Space)
    farm_window.settle()
    fill(page, status="passed")
    keep(farm_window, page)
    assert farm_window.all("run")[0].status == "passed"
    assert len(farm_window.all("probe_reading")) == 1

    assert page.step.key == "spawn"
    for one in spawn:
        farm_window.window.take_scan(code_of(one.id))
    assert [row.spawn.value() for row in page.step.uses.rows] == [one.id for one in spawn]
    page.step.uses.rows[0].amount.line.setText("500 g")
    page.step.uses.rows[1].amount.line.setText("250 g")
    told = page.step.told.text()
    # 5 % of 6 x 2.5 kg is 750 g; on the 950 g of dry substrate of each block it is 13.2 %.
    assert "Need: 0.75 kg" in told
    assert "5.0% of wet and 13.2% of dry" in told
    assert "serves 24 blocks" in told
    keep(farm_window, page)

    assert page.step.key == "bags"
    assert page.step.bags.value() == 6
    keep(farm_window, page)
    batch = farm_window.all("batch")[0]
    assert batch.made == 6
    assert [one.left_mg for one in farm_window.all("spawn")] == [2_500_000, 2_750_000]

    assert page.step.key == "labels"
    QTest.keyClick(page.step.keep, Qt.Key.Key_Space)
    dialog = farm_window.dialog()
    out = tmp_path / "labels.pdf"
    dialog.shows.set_value(False)
    dialog.file.set_value(str(out))
    farm_window.settle()
    dialog.try_save()
    farm_window.settle()
    pages = PdfDocument(str(out))
    codes = {one.text for one in zxingcpp.read_barcodes(pages[0].render(scale=4).to_pil())}
    pages.close()
    assert codes == {code_of(one.id) for one in farm_window.all("bag")}
    assert page.step.key == "done"
    assert "Everything is done" in page.step.told.text()


@pytest.mark.parametrize(
    ("make", "key"),
    [(plan_day, "weigh"), (weigh_day, "heat"), (heat_day, "spawn")],
)
def test_a_half_done_day_is_gone_on_with(farm_window: FarmWindow, make, key: str) -> None:
    run = make(farm_window)
    page = open_page(farm_window)
    assert page.day is not None
    assert page.day.run.id == run.id
    assert page.step.key == key
    marks = [page.rail.item(at).text()[3] for at in range(page.rail.count())]
    at = [one.key for one in page.steps].index(key)
    assert marks[:at] == ["✓"] * at
    assert marks[at] == "➤"


def test_bags_without_labels_are_gone_on_with_at_the_labels(farm_window: FarmWindow) -> None:
    spawn = make_spawn(farm_window)[0]
    run = heat_day(farm_window)
    farm_window.act(
        lambda act: inoculate(
            act, strain=spawn.strain, run=run.id, bags=10, spawn=[SpawnUse(spawn.id, KG)]
        )
    )
    page = open_page(farm_window)
    assert page.step.key == "labels"
    assert "0 of 10 bags" in page.step.told.text()


def test_a_failed_run_is_not_inoculated(farm_window: FarmWindow) -> None:
    run = heat_day(farm_window, status="failed")
    page = open_page(farm_window)
    page.show_subject(code_of(run.id))
    farm_window.settle()
    page.show_step("spawn")
    assert "failed" in page.step.told.text()
    assert not page.step.keep.isEnabled()
    page.show_step("done")
    assert "failed" in page.step.told.text()


def test_steps_are_walked_by_key_and_say_what_is_missing(farm_window: FarmWindow) -> None:
    page = open_page(farm_window)
    page.rail.setFocus()
    seen = [page.step.key]
    for _ in range(6):
        QTest.keyClick(page.rail, Qt.Key.Key_Right, ALT)
        seen.append(page.step.key)
        page.rail.setFocus()
        assert page.step.why_not() or page.step.key == "done"
    assert seen == ["recipe", "weigh", "heat", "spawn", "bags", "labels", "done"]
    QTest.keyClick(page.rail, Qt.Key.Key_Left, ALT)
    assert page.step.key == "labels"


def test_undo_takes_the_last_step_back_on_the_page(farm_window: FarmWindow) -> None:
    heat_day(farm_window)
    page = open_page(farm_window)
    assert page.day.step == "spawn"
    farm_window.act(undo_last)
    assert page.day.step == "heat"
    farm_window.act(undo_last)
    assert page.day.step == "weigh"
    farm_window.act(undo_last)
    assert page.day is None
    assert page.step.key == "recipe"


def test_a_plan_is_dropped(farm_window: FarmWindow) -> None:
    plan_day(farm_window)
    page = open_page(farm_window)
    page.step.drop.click()
    farm_window.settle()
    assert farm_window.all("run") == []
    assert page.step.key == "recipe"


def test_the_scanner_is_lent_on_the_spawn_step_alone(farm_window: FarmWindow) -> None:
    make_spawn(farm_window)
    heat_day(farm_window)
    page = open_page(farm_window)
    strip = farm_window.window.strip
    assert strip._claim is not None
    page.show_step("bags")
    assert strip._claim is None
    page.show_step("spawn")
    assert strip._claim is not None
    farm_window.show("today")
    assert strip._claim is None


def test_a_code_that_is_no_spawn_is_told(farm_window: FarmWindow) -> None:
    run = heat_day(farm_window)
    page = open_page(farm_window)
    farm_window.window.take_scan(code_of(run.id))
    assert "no bag of spawn" in page.step.form.problem_on_top()
    farm_window.window.take_scan("9" * 10)
    assert page.step.form.problem_on_top()


def test_the_last_generation_is_warned_of_before_the_limit(farm_window: FarmWindow) -> None:
    spawn = [make_spawn(farm_window, 1, generation=one)[0] for one in (1, 2, 3)]
    heat_day(farm_window)
    page = open_page(farm_window)
    for one, part in zip(spawn, ("", "one more is left", "the last that"), strict=True):
        page.step.uses.set_value([SpawnUse(one.id, KG)])
        page.step._tell()
        told = page.step.told.text()
        assert (part in told) if part else ("generation" not in told)


def test_too_much_spawn_is_refused_on_the_spawn_step(farm_window: FarmWindow) -> None:
    spawn = make_spawn(farm_window, 1)[0]
    heat_day(farm_window)
    page = open_page(farm_window)
    page.step.take_scan(code_of(spawn.id))
    page.step.uses.rows[0].amount.line.setText("5 kg")
    keep(farm_window, page)
    keep(farm_window, page)
    assert farm_window.all("batch") == []
    assert page.step.key == "spawn"
    assert spawn.name in page.step.form.problem_on_top()


def test_a_mix_that_is_too_wet_says_what_to_add(farm_window: FarmWindow) -> None:
    pellets = next(one for one in farm_window.all("ingredient") if one.name == "Oak pellets")
    farm_window.act(lambda act: save(act, replace(pellets, moisture_percent=Decimal(75))))
    page = open_page(farm_window)
    fill(page, recipe="Pellets and bran", blocks="10")
    farm_window.settle()
    assert "Add no water; add" in page.step.told.text()
    assert "of Gypsum" in page.step.told.text()
    assert not page.step.sheet.isEnabled()


def test_heat_noted_elsewhere_is_shown(farm_window: FarmWindow) -> None:
    run = weigh_day(farm_window)
    page = open_page(farm_window)
    at = to_iso(now_utc())
    farm_window.act(lambda act: note_heat(act, run.id, readings=[Probe(at, Decimal(118), "door")]))
    assert "door" in page.step.told.text()


def test_the_mix_sheet_is_seen_with_its_loads(farm_window: FarmWindow) -> None:
    farm_window.act(lambda act: save_vessel(act, Vessel(0, "Drum", 4)))
    plan_day(farm_window)
    page = open_page(farm_window)
    page.show_step("recipe")
    farm_window.settle()
    assert "Drum: 3 loads, 2 of 4 in the last" in page.step.told.text()
    assert page.print_page()
    dialog = farm_window.dialog()
    assert isinstance(dialog, PreviewDialog)
    assert dialog.preview._place.text() == "Page 1 of 1"
    dialog.close()


def test_spawn_that_was_scanned_is_there_when_the_desk_comes_back(farm_window: FarmWindow) -> None:
    spawn = make_spawn(farm_window)
    run = heat_day(farm_window)
    page = open_page(farm_window)
    page.show_subject(run.name)
    farm_window.settle()
    for one in spawn:
        farm_window.window.take_scan(code_of(one.id))
        farm_window.settle()
    uses = page.steps[3].named()
    assert [use.spawn for use in uses] == [one.id for one in spawn]
    assert [one.amount_mg for one in farm_window.all("named_spawn")] == [u.amount_mg for u in uses]

    farm_window.window.use_context(farm_window.context)  # as a desk that was closed and opened
    farm_window.settle()
    again = open_page(farm_window)
    again.show_subject(run.name)
    farm_window.settle()
    assert again is not page
    assert again.steps[3].named() == uses

    farm_window.act(undo_last)
    farm_window.settle()
    assert again.steps[3].named() == uses[:1]
    strain = farm_window.all("strain")[0].id
    farm_window.act(lambda act: inoculate(act, strain=strain, run=run.id, spawn=uses[:1], bags=4))
    assert farm_window.all("named_spawn") == []
