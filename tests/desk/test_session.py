"""The whole desk on a farm: opening, scans, undo, other stations, backup, and the end."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from PySide6.QtWidgets import QApplication, QFileDialog
from small_farm import SmallFarm, begin_small

from farmdesk.actions.base import perform
from farmdesk.actions.scanning import Bench
from farmdesk.desk.application import Desk
from farmdesk.desk.who_works import PersonDialog
from farmdesk.domain.bags import Bag
from farmdesk.domain.catalogue import Person
from farmdesk.domain.codes import code_of
from farmdesk.domain.stations import Card
from farmdesk.reports.check import check_farm
from farmdesk.settings.list_memory import ListMemory
from farmdesk.settings.preferences import Preferences
from farmdesk.store.farm_store import FarmStore, open_farm


class Place:
    """A desk on a farm in a file."""

    def __init__(self, desk: Desk, farm: SmallFarm, card: str) -> None:
        self.desk = desk
        self.farm = farm
        self.card = card
        self.bags = [code_of(bag) for bag in farm.bags]

    @property
    def store(self) -> FarmStore:
        store: FarmStore = self.desk.session.store
        return store

    def settle(self) -> None:
        self.desk.workplace.settled()
        QApplication.processEvents()

    def scan(self, line: str) -> Any:
        self.desk.window.take_scan(line)
        self.settle()
        answer = self.desk.window.strip.answer
        assert answer is not None
        return answer

    def room(self, at: int) -> int | None:
        with self.store.reading() as reading:
            bag = reading.get(Bag, self.farm.bags[at])
        assert bag is not None
        return bag.room


@pytest.fixture
def place(qtbot, tmp_path: Path) -> Iterator[Place]:
    path = tmp_path / "farm.sqlite"
    store = open_farm(path, make=True)
    farm = begin_small(store)
    card = perform(
        store,
        lambda act: act.make(
            "card_made", Card(act.next_id("card"), "move", farm.rooms[1], title="Move to Mist")
        ),
    ).result
    store.close()
    assert card is not None
    app = QApplication.instance()
    assert isinstance(app, QApplication)
    desk = Desk(app, str(path), Preferences(theme="light"), tmp_path / "settings.toml")
    desk.window.show()
    qtbot.waitUntil(lambda: desk.session is not None and desk.session.store is not None)
    made = Place(desk, farm, code_of(card.id))
    made.settle()
    yield made
    desk.window.close()
    desk.window.deleteLater()
    desk.deleteLater()


def test_scans_move_a_bag_and_undo_takes_it_back(place: Place) -> None:
    place.scan(place.card)
    answer = place.scan(place.bags[0])
    assert (answer.outcome, answer.sentence) == ("done", "OY01-0001-001 moved to Mist.")
    assert place.room(0) == place.farm.rooms[1]
    place.desk.window.command_asked.emit("undo")
    place.settle()
    assert place.room(0) == place.farm.rooms[0]
    place.desk.window.command_asked.emit("redo")
    place.settle()
    assert place.room(0) == place.farm.rooms[1]
    assert check_farm(place.store).is_clean


def test_a_code_while_no_farm_is_open_is_not_lost_without_a_word(place: Place) -> None:
    place.desk.session.bench = None
    place.desk.window.take_scan(place.bags[0])
    assert "Open a farm first" in place.desk.window.statusBar().currentMessage()


def test_the_edit_menu_says_what_undo_and_redo_would_do(place: Place) -> None:
    window = place.desk.window

    def titles() -> list[str]:
        window.menu("Edit").aboutToShow.emit()
        place.settle()
        return [window.command(key).text() for key in ("undo", "redo")]

    place.scan(place.card)
    place.scan(place.bags[0])
    undo, redo = titles()
    assert undo.startswith("Undo: ")
    assert "moved" in undo
    assert redo == "Redo"
    window.command_asked.emit("undo")
    place.settle()
    undo_after, redo_after = titles()
    assert redo_after == undo.replace("Undo: ", "Redo: ")
    assert "moved" not in undo_after


def test_a_typed_code_and_a_wedge_reach_the_bench(place: Place, qtbot, press_keys) -> None:
    field = place.desk.window.strip.field
    qtbot.keyClicks(field, place.card)
    qtbot.keyClick(field, "\r")
    place.settle()
    press_keys(place.desk.window, place.bags[1], every=4, end="enter")
    place.settle()
    assert place.room(1) == place.farm.rooms[1]


def test_what_another_station_scans_is_told_to_the_pages(place: Place, monkeypatch) -> None:
    told: list[set[str]] = []
    monkeypatch.setattr(place.desk.refresher, "broadcast", lambda kinds: told.append(set(kinds)))
    other = open_farm(place.store.where)
    bench = Bench(other, station="door")
    bench.scan(place.card)
    assert bench.scan(place.bags[2]).outcome == "done"
    other.close()
    place.desk.session.look_for_changes()
    place.settle()
    assert "bag" in set().union(*told)


def test_a_backup_is_made_where_it_is_asked(place: Place, tmp_path, monkeypatch) -> None:
    target = tmp_path / "friday.sqlite"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_words: (str(target), ""))
    place.desk.window.command_asked.emit("backup")
    place.settle()
    copy = open_farm(target)
    assert check_farm(copy).is_clean
    copy.close()
    assert "Backed up" in place.desk.window.statusBar().currentMessage()


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGINT])
def test_a_signal_closes_the_desk_without_a_trace(tmp_path: Path, number: int) -> None:
    """The child sends itself the signal once the farm is open."""
    path = tmp_path / "farm.sqlite"
    store = open_farm(path, make=True)
    begin_small(store)
    store.close()
    text = (
        "import signal, farmdesk.desk.session as s\n"
        "from farmdesk.startup import open_desk\n"
        "begin = s.Session._show_meaning\n"
        "def then(self, meaning):\n"
        "    begin(self, meaning)\n"
        f"    signal.raise_signal({int(number)})\n"
        "s.Session._show_meaning = then\n"
        # Tests that a shell runs in the background inherit that Ctrl+C is ignored.
        "signal.signal(signal.SIGINT, signal.default_int_handler)\n"
        f"raise SystemExit(open_desk({str(path)!r}))\n"
    )
    env = os.environ | {"HOME": str(tmp_path), "XDG_DATA_HOME": str(tmp_path / "data"),
                        "XDG_CONFIG_HOME": str(tmp_path / "config")}  # fmt: skip
    done = subprocess.run(
        [sys.executable, "-c", text], env=env, capture_output=True, text=True, timeout=60,
        check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert "Traceback" not in done.stderr
    assert not path.with_name("farm.sqlite-wal").exists()


def test_acts_carry_who_works_here(place: Place) -> None:
    perform(
        place.store,
        lambda act: [
            act.make("person_made", Person(act.next_id("person"), name, initials))
            for name, initials in (("Ada Birch", "AB"), ("Cy Dunne", "CD"))
        ],
    )
    place.desk.window.command("person").trigger()
    place.settle()
    dialog = QApplication.activeModalWidget()
    assert isinstance(dialog, PersonDialog)
    dialog.form.fields["person"].set_value(2)
    dialog.try_save()
    place.settle()
    assert "Cy Dunne" in place.desk.window._station.text()
    place.scan(place.card)
    assert place.scan(place.bags[0]).outcome == "done"
    with place.store.reading() as reading:
        assert list(reading.entries())[-1].person == 2
    assert place.desk.preferences.initials == "CD"


def test_how_lists_look_is_written_while_the_desk_runs(place: Place, monkeypatch) -> None:
    memory = place.desk.window.list_memory
    written = place.desk.kept.with_name("lists.json")
    memory.keep("a list", {"group": "room"})
    place.desk.session._watch.timeout.emit()
    assert ListMemory(written).look("a list") == {"group": "room"}
    said: list[str] = []
    monkeypatch.setattr(place.desk.window, "say", said.append)
    written.unlink()
    written.mkdir()
    memory.keep("a list", {"group": "shelf"})
    for _ in range(3):
        place.desk.session._watch.timeout.emit()
    assert len(said) == 1
    assert "lists.json" in said[0]
    written.rmdir()
    place.desk.session._watch.timeout.emit()
    assert ListMemory(written).look("a list") == {"group": "shelf"}
