"""The first start: an empty farm, the demo farm, or a calm sentence when neither can be."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication
from small_farm import begin_small

from farmdesk.actions.exchange import export_farm
from farmdesk.desk.application import Desk
from farmdesk.desk.dialogs import MessageDialog
from farmdesk.desk.farm_steps import SAMPLE, FarmSteps
from farmdesk.desk.first_start import FirstStartDialog
from farmdesk.domain.catalogue import Farm
from farmdesk.errors import Refused, problem
from farmdesk.settings.preferences import Preferences, load_preferences
from farmdesk.store.farm_store import open_farm

Opener = Callable[[Path], Desk]


@pytest.fixture
def open_at(qtbot, tmp_path: Path) -> Iterator[Opener]:
    desks: list[Desk] = []

    def make(path: Path) -> Desk:
        app = QApplication.instance()
        assert isinstance(app, QApplication)
        desk = Desk(app, str(path), Preferences(theme="light"), tmp_path / "settings.toml")
        desks.append(desk)
        desk.window.show()
        qtbot.waitUntil(lambda: desk.session is not None)
        settle(desk)
        return desk

    yield make
    for desk in desks:
        desk.end()
        desk.window.deleteLater()
        desk.deleteLater()


def settle(desk: Desk) -> None:
    desk.workplace.settled()
    QApplication.processEvents()


def dialog(kind: type) -> Any:
    found = QApplication.activeModalWidget()
    assert isinstance(found, kind)
    return found


def farm_of(desk: Desk) -> Farm:
    with desk.session.store.reading() as reading:
        farm = reading.first(Farm)
    assert farm is not None
    return farm


def test_five_questions_by_keyboard_begin_a_farm(
    open_at: Opener, tmp_path: Path, qtbot, press_keys
) -> None:
    desk = open_at(tmp_path / "new" / "farm.sqlite")
    first = dialog(FirstStartDialog)
    qtbot.keyClick(first.empty_button, Qt.Key.Key_Space)
    steps = dialog(FarmSteps)
    name = steps.focusWidget()
    assert name is steps.forms[0].fields["name"].line
    qtbot.keyClick(name, Qt.Key.Key_Return)
    assert steps.steps.currentIndex() == 0
    assert steps.forms[0].fields["name"].problem_text()
    qtbot.keyClicks(name, "Otter Lane")
    qtbot.keyClick(name, Qt.Key.Key_Return)
    steps.forms[1].set_values({"mass_unit": "lb_oz", "temperature_unit": "F", "paper": "letter"})
    for _ in range(3):
        qtbot.keyClick(steps.focusWidget(), Qt.Key.Key_Return)
    assert "5" in steps.count.text()
    press_keys(steps.trial.line, SAMPLE, every=50, end="enter")
    assert "✓ Known as code" in steps.trial.told.text()
    qtbot.keyClick(steps.trial.line, Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)
    qtbot.waitUntil(lambda: desk.session.store is not None)
    settle(desk)
    farm = farm_of(desk)
    assert (farm.name, farm.mass_unit, farm.temperature_unit) == ("Otter Lane", "lb_oz", "F")
    assert desk.preferences.paper == "letter"
    assert desk.wedge.settings.gap_ms == 75
    assert not desk.wedge.is_paused
    kept = load_preferences(tmp_path / "settings.toml").preferences
    assert (kept.paper, kept.scanner_gap_ms) == ("letter", 75)


def test_back_keeps_the_answers_and_cancel_asks_how_to_begin(
    open_at: Opener, tmp_path: Path
) -> None:
    open_at(tmp_path / "farm.sqlite")
    dialog(FirstStartDialog).empty_button.click()
    steps = dialog(FarmSteps)
    assert not steps.back_button.isEnabled()
    steps.forms[0].set_values({"name": "Otter Lane"})
    steps.next()
    steps.back()
    assert steps.forms[0].fields["name"].value() == "Otter Lane"
    steps.reject()
    QApplication.processEvents()
    again = dialog(FirstStartDialog)
    assert not (tmp_path / "farm.sqlite").exists()
    again.close()


def test_an_answer_that_is_refused_is_shown_at_its_question(
    open_at: Opener, tmp_path: Path
) -> None:
    open_at(tmp_path / "farm.sqlite")
    dialog(FirstStartDialog).empty_button.click()
    steps = dialog(FarmSteps)
    steps.forms[0].set_values({"name": "Otter Lane"})
    for _ in range(4):
        steps.next()
    steps.show_error(Refused(problem("preference_not_usable", field="zone", value="Nowhere")))
    assert steps.steps.currentIndex() == 0
    assert "Nowhere" in steps.forms[0].fields["zone"].problem_text()
    steps.rejected.disconnect()
    steps.close()


def test_the_demo_farm_is_built(open_at: Opener, tmp_path: Path, qtbot, monkeypatch) -> None:
    source = open_farm(tmp_path / "source.sqlite", make=True)
    begin_small(source)
    export_farm(source, tmp_path / "demo")
    source.close()
    monkeypatch.setattr("farmdesk.actions.demo.demo_path", lambda: tmp_path / "demo")
    desk = open_at(tmp_path / "farm.sqlite")
    dialog(FirstStartDialog).demo_button.click()
    qtbot.waitUntil(lambda: desk.session.store is not None)
    settle(desk)
    assert farm_of(desk).name == "Nine Alders"


def test_no_database_is_said_calmly_and_the_window_stays(open_at: Opener, tmp_path: Path) -> None:
    path = tmp_path / "letter.sqlite"
    path.write_text("This is a letter, and no database.", encoding="utf-8")
    desk = open_at(path)
    dialog(MessageDialog).close()
    desk.window.command_asked.emit("undo")
    assert "Open a farm first" in desk.window.statusBar().currentMessage()
    assert desk.window.isVisible()
    desk.window.take_scan("1234567890")
    settle(desk)
    assert path.read_text(encoding="utf-8").startswith("This is a letter")
