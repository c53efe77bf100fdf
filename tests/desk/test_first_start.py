"""The first start: an empty farm, the demo farm, or a calm sentence when neither can be."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from PySide6.QtWidgets import QApplication
from small_farm import begin_small

from farmdesk.actions.exchange import export_farm
from farmdesk.desk.application import Desk
from farmdesk.desk.dialogs import MessageDialog
from farmdesk.desk.first_start import FirstStartDialog, NewFarmDialog
from farmdesk.domain.catalogue import Farm
from farmdesk.settings.preferences import Preferences
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


def test_an_empty_farm_is_begun(open_at: Opener, tmp_path: Path, qtbot) -> None:
    desk = open_at(tmp_path / "new" / "farm.sqlite")
    dialog(FirstStartDialog).empty_button.click()
    form = dialog(NewFarmDialog)
    form.form.set_values({"name": "Otter Lane"})
    form.try_save()
    qtbot.waitUntil(lambda: desk.session.store is not None)
    settle(desk)
    assert farm_of(desk).name == "Otter Lane"


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
