"""A shift at the bench view with a scanner and the wall cards alone: no key is pressed."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from databases import copy_of_filled
from hands import Hands
from PySide6.QtWidgets import QApplication
from working_farm import fill_farm

from farmdesk.actions.base import perform
from farmdesk.actions.catalogue import begin_farm
from farmdesk.desk.application import Desk
from farmdesk.desk.bench_view import BenchView
from farmdesk.domain import cards
from farmdesk.domain.codes import code_of
from farmdesk.domain.things import THINGS
from farmdesk.settings.preferences import Preferences
from farmdesk.store.farm_store import FarmStore


def fill_heron_lane(store: FarmStore) -> None:
    """A begun farm with two batches in a fruiting room, half of their bags opened."""
    perform(store, lambda act: begin_farm(act, name="Heron Lane", first_serial=5000))
    fill_farm(lambda action, **more: perform(store, action, **more).result)


class Shift:
    """Somebody at the bench view with a scanner in a wet glove."""

    def __init__(self, hands: Hands) -> None:
        self.hands = hands
        self.heard: list[str] = []
        hands.desk.session.bench_acts.sounds.play = self.heard.append

    @property
    def view(self) -> BenchView:
        """The bench view over the screen."""
        found = self.hands.desk.session.bench_acts.view
        assert isinstance(found, BenchView)
        return found

    def all(self, kind: str, **where: object) -> list[Any]:
        """Things of the farm."""
        with self.hands.desk.session.store.reading() as reading:
            return reading.all(THINGS[kind], **where)

    def scan(self, code: str) -> str:
        """Scan a code; gives word and sentence in the large letters."""
        self.hands.scan(code)
        return self.view.board.accessibleName()

    def card(self, act: str, **where: object) -> str:
        """Scan a wall card."""
        return self.scan(code_of(self.all("card", act=act, retired=0, **where)[0].id))

    def thing(self, thing: Any) -> str:
        """Scan a thing's label."""
        return self.scan(code_of(thing.id))

    def acts(self) -> list[str]:
        """The last acts as they stand under the answer."""
        return [text.text() for _, text, _ in self.view._rows if text.text()]


@pytest.fixture
def shift(qtbot, tmp_path: Path) -> Iterator[Shift]:
    app = QApplication.instance()
    assert isinstance(app, QApplication)
    where = tmp_path / "farm.sqlite"
    copy_of_filled(fill_heron_lane, where).close()
    wants = Preferences(theme="light", language="en", station="Bench")
    desk = Desk(app, str(where), wants, tmp_path / "preferences.json")
    desk.window.show()
    qtbot.waitUntil(lambda: desk.session is not None and desk.session.store is not None)
    hands = Hands(desk, qtbot.waitUntil)
    hands.settle()
    hands.press("F11")
    yield Shift(hands)
    desk.end()
    desk.window.deleteLater()
    desk.deleteLater()


def test_try(shift: Shift) -> None:
    print(shift.view.isVisible(), shift.view.isFullScreen(), QApplication.focusWidget(), shift.hands.keys)
    room = shift.all("room", use="cold")
    print([ (c.act, c.title, c.key) for c in shift.all("card")])
    bags = shift.all("bag")
    print(shift.thing(bags[0]))
    room = shift.all("room", use="incubation")[0]
    print(shift.card(cards.MOVE, room=room.id, shelf=""), shift.view.meaning.text())
    print(shift.thing(bags[0]))
    print(shift.thing(bags[0]))
    print(shift.heard, shift.acts())
    print(shift.card(cards.UNDO), shift.acts())
    print(shift.card(cards.PICK))
    print(shift.thing(shift.all("crate")[0]))
    print(shift.thing(bags[0]))
    print(shift.view.is_asking)
    for k in "12":
        print(shift.card(cards.KEY, key=k))
    print(shift.card(cards.KEY, key="kg"))
    print(shift.card(cards.KEY, key="enter"))
    print(shift.card(cards.NO))
    print(shift.card(cards.LABEL))
    print(shift.acts(), shift.heard)
    assert 0
