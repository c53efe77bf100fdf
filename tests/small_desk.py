"""The whole desk on the small farm, with a wall card that moves bags; for tests of scanning."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from PySide6.QtWidgets import QApplication, QDialog
from small_farm import SmallFarm, begin_small

from farmdesk.actions.base import perform
from farmdesk.desk.application import Desk
from farmdesk.domain.bags import Bag
from farmdesk.domain.codes import code_of
from farmdesk.domain.stations import Card
from farmdesk.settings.preferences import Preferences
from farmdesk.store.farm_store import open_farm


@dataclass
class SmallDesk:
    """The desk, its farm, and the codes of the wall card and of three bags."""

    desk: Desk
    farm: SmallFarm
    codes: list[str]
    folder: Path

    def settle(self) -> None:
        """All work is done and shown."""
        for _ in range(3):
            self.desk.workplace.settled()
            QApplication.processEvents()

    def dialog(self) -> Any:
        """The dialog in front."""
        self.settle()
        found = QApplication.activeModalWidget()
        assert isinstance(found, QDialog), "no dialog is open"
        return found

    def room(self, at: int) -> int | None:
        """Where a bag stands."""
        with self.desk.session.store.reading() as reading:
            bag = reading.get(Bag, self.farm.bags[at])
        assert bag is not None
        return bag.room

    def moved(self) -> list[bool]:
        """Of each of the three bags whether it stands where the wall card puts it."""
        return [self.room(at) == self.farm.rooms[1] for at in range(3)]


@contextmanager
def open_small_desk(
    folder: Path, wait_until: Callable[..., None], preferences: Preferences
) -> Iterator[SmallDesk]:
    """The desk with its farm open; closed at the end."""
    path = folder / "farm.sqlite"
    store = open_farm(path, make=True)
    farm = begin_small(store)

    def make_card(act: Any) -> Any:
        card = Card(act.next_id("card"), "move", farm.rooms[1], title="Move to Mist")
        return act.make("card_made", card)

    card = perform(store, make_card).result
    store.close()
    app = QApplication.instance()
    assert isinstance(app, QApplication)
    desk = Desk(app, str(path), preferences, folder / "preferences.json")
    desk.window.show()
    wait_until(lambda: desk.session is not None and desk.session.store is not None)
    codes = [code_of(card.id), *(code_of(bag) for bag in farm.bags[:3])]
    made = SmallDesk(desk, farm, codes, folder)
    made.settle()
    try:
        yield made
    finally:
        desk.end()
        desk.window.deleteLater()
        desk.deleteLater()
