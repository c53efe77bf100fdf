"""The scale at the bench: a steady weight after the bags closes the pick, and never too early."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from device_streams import MemoryPort
from PySide6.QtWidgets import QApplication
from small_farm import SmallFarm, begin_small

from farmdesk.actions.base import perform
from farmdesk.desk.application import Desk
from farmdesk.desk.pages.pick_dialogs import PickDialog
from farmdesk.devices.scale import ScaleSettings, SerialScale
from farmdesk.devices.serial_lines import SerialSettings
from farmdesk.domain.codes import code_of
from farmdesk.domain.harvest import Pick
from farmdesk.domain.stations import Card
from farmdesk.settings.preferences import Preferences
from farmdesk.store.farm_store import open_farm

EMPTY = b"ST,GS,+  0.000kg\r\n"


class Place:
    """A desk on a small farm with a scale in memory."""

    def __init__(self, desk: Desk, farm: SmallFarm, card: str) -> None:
        self.desk = desk
        self.card = card
        self.bags = [code_of(bag) for bag in farm.bags]
        self.port = MemoryPort()
        self.scale = desk.devices.scale
        self.scale._open = lambda settings, tell: SerialScale(
            settings,
            tell,
            serial=SerialSettings("bench"),
            open_source=self.port.open_source,
            retry_seconds=0.02,
        )
        self.device = self.port.plug_in()
        self.device.send(b"")
        self.scale.use(ScaleSettings(serial=SerialSettings("bench")))

    def settle(self) -> None:
        for _ in range(3):
            self.desk.workplace.settled()
            QApplication.processEvents()

    def scan(self, *lines: str) -> None:
        for line in lines:
            self.desk.router.take(line)
            self.settle()
            if self.desk.window.strip.is_asking:
                self.desk.session.reply(True)
                self.settle()

    def picks(self) -> list[Pick]:
        with self.desk.session.store.reading() as reading:
            return list(reading.all(Pick))


@pytest.fixture
def place(qtbot, tmp_path: Path) -> Iterator[Place]:
    path = tmp_path / "farm.sqlite"
    store = open_farm(path, make=True)
    farm = begin_small(store)

    def make_card(act: Any) -> Any:
        return act.make("card_made", Card(act.next_id("card"), "pick", None, title="Pick"))

    card = perform(store, make_card).result
    store.close()
    app = QApplication.instance()
    assert isinstance(app, QApplication)
    desk = Desk(app, str(path), Preferences(theme="light"), tmp_path / "preferences.json")
    desk.window.show()
    qtbot.waitUntil(lambda: desk.session is not None and desk.session.store is not None)
    made = Place(desk, farm, code_of(card.id))
    made.settle()
    yield made
    desk.end()
    desk.window.deleteLater()
    desk.deleteLater()


def put_on(place: Place, qtbot, data: bytes) -> None:
    before = place.scale.live
    place.device.send(data)
    qtbot.waitUntil(lambda: place.scale.live is not before and place.scale.live is not None)


def test_a_crate_put_on_after_its_bags_is_the_weight_of_the_pick(place: Place, qtbot) -> None:
    put_on(place, qtbot, EMPTY)
    place.scan(place.card, *place.bags[:2])
    place.device.send(b"US,GS,+  3.100kg\r\nST,GS,+  4.260kg\r\n")
    qtbot.waitUntil(lambda: place.picks()[0].gross_mg is not None)
    place.settle()
    (pick,) = place.picks()
    assert pick.gross_mg == 4_260_000
    assert "4.26 kg net from 2 bags" in place.desk.window.strip.answer.sentence
    assert place.scale.steady is None


def test_a_crate_that_is_filled_on_the_scale_is_not_weighed_early(place: Place, qtbot) -> None:
    put_on(place, qtbot, EMPTY + b"US,GS,+  0.850kg\r\n")
    qtbot.waitUntil(lambda: place.scale.live.mg > 0)
    place.scan(place.card, *place.bags[:2])
    place.device.send(b"ST,GS,+  2.000kg\r\n")
    qtbot.waitUntil(lambda: place.scale.steady is not None)
    place.settle()
    assert place.picks()[0].gross_mg is None


def test_without_a_pick_nothing_is_entered(place: Place, qtbot) -> None:
    put_on(place, qtbot, EMPTY)
    place.device.send(b"ST,GS,+  4.260kg\r\n")
    qtbot.waitUntil(lambda: place.scale.steady is not None)
    place.settle()
    assert place.desk.window.strip.answer is None
    assert "4.260 kg, at rest" in place.desk.session.scale_bench.label.text()


def test_unplugged_is_said_once_and_the_scans_go_on(place: Place, qtbot) -> None:
    put_on(place, qtbot, EMPTY)
    place.device.pull_out()
    qtbot.waitUntil(lambda: "Scale" in place.desk.session.scale_bench.label.text())
    assert "does not answer" in place.desk.session.scale_bench.label.toolTip()
    place.scan(place.card, place.bags[0], "4.26 kg")
    assert place.picks()[0].gross_mg == 4_260_000


def test_an_open_pick_dialog_takes_the_weight_by_its_key(place: Place, qtbot) -> None:
    put_on(place, qtbot, EMPTY)
    page = place.desk.window.show_place("fruiting")
    place.settle()
    next(one for one in page.actions() if one.text().startswith("New pick")).trigger()
    place.settle()
    dialog = QApplication.activeModalWidget()
    assert isinstance(dialog, PickDialog)
    place.device.send(b"ST,NT,+  3.460kg\r\n")
    qtbot.waitUntil(lambda: place.scale.steady is not None)
    dialog.gross.take_button.click()
    assert dialog.gross.value() == 3_460_000
    assert dialog.tare.value() == 0
    assert "tare is off already" in dialog.tare.hint_text()
    dialog.reject()
