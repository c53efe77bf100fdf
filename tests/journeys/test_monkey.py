"""Ten thousand random keys, clicks and scans leave a clean farm and an empty log."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest
from monkey import Monkey
from PySide6.QtGui import QDesktopServices
from PySide6.QtPrintSupport import QPrintDialog
from PySide6.QtWidgets import QApplication, QFileDialog
from working_farm import fill_farm

from farmdesk.actions.base import perform
from farmdesk.actions.catalogue import begin_farm
from farmdesk.desk.application import Desk
from farmdesk.domain.codes import code_of
from farmdesk.reports.check import check_farm
from farmdesk.settings.preferences import Preferences
from farmdesk.store.farm_store import FarmStore, open_farm

STEPS = 10_000
SEED = 20261125


@pytest.fixture
def no_windows_of_the_system(monkeypatch, tmp_path: Path) -> None:
    """File and print dialogs of the system answer by themselves: a new file, or nothing."""
    names = tempfile.mkdtemp(dir=tmp_path)
    turn = iter(range(1_000_000))

    def new_file(*words: object, **_: object) -> tuple[str, str]:
        ending = next((one for one in (".xlsx", ".csv", ".pdf") if one in str(words)), ".pdf")
        return (f"{names}/{next(turn)}{ending}", "") if next(turn) % 3 else ("", "")

    monkeypatch.setattr(QFileDialog, "getSaveFileName", new_file)
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_, **__: ("", ""))
    monkeypatch.setattr(QFileDialog, "getOpenFileNames", lambda *_, **__: ([], ""))
    monkeypatch.setattr(QFileDialog, "getExistingDirectory", lambda *_, **__: "")
    monkeypatch.setattr(QPrintDialog, "show", lambda *_, **__: None)
    monkeypatch.setattr(QDesktopServices, "openUrl", lambda *_: True)


@pytest.fixture
def desk(qapp, tmp_path: Path) -> Iterator[Desk]:
    path = tmp_path / "farm.sqlite"
    store = open_farm(path, make=True)
    perform(store, lambda act: begin_farm(act, name="Heron Lane", first_serial=5000))
    fill_farm(lambda action, **more: perform(store, action, **more).result)
    store.close()
    made = Desk(qapp, str(path), Preferences(theme="light"), tmp_path / "preferences.json")
    made.window.resize(1280, 720)
    made.window.show()
    yield made
    made.window.close()
    made.window.deleteLater()
    made.deleteLater()
    QApplication.processEvents()


def codes_of(store: FarmStore) -> list[str]:
    with store.reading() as reading:
        ids = [
            one.id
            for kind in ("card", "bag", "pick", "crate", "batch", "spawn")
            for one in reading.all(_class(kind))
        ]
    codes = [code_of(one) for one in ids]
    return [*codes, *(code[:-1] + str((int(code[-1]) + 1) % 10) for code in codes[:3])]


def _class(kind: str) -> type:
    from farmdesk.domain.things import THINGS

    return THINGS[kind]


@pytest.mark.timeout(900)
def test_a_monkey_leaves_a_clean_farm(qtbot, desk: Desk, no_windows_of_the_system) -> None:
    qtbot.waitUntil(lambda: desk.session is not None and desk.session.store is not None)
    desk.workplace.settled()
    store = desk.session.store
    monkey = Monkey(
        desk.window, desk.window.take_scan, desk.workplace.settled, codes_of(store), SEED
    )
    try:
        monkey.play(STEPS)
    except BaseException:
        print(*monkey.done, sep="\n")
        raise
    assert desk.session.store is store
    assert check_farm(store).is_clean
    with store.reading() as reading:
        assert reading.last_number() > 0
