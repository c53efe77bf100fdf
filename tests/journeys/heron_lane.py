"""A farm at work under a whole desk, for journeys that do not begin with an empty one."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from databases import copy_of_filled
from hands import Hands
from PySide6.QtWidgets import QApplication
from working_farm import fill_farm

from farmdesk.actions.base import perform
from farmdesk.actions.catalogue import begin_farm
from farmdesk.desk.application import Desk
from farmdesk.domain.things import THINGS
from farmdesk.settings.preferences import Preferences
from farmdesk.store.farm_store import FarmStore

WANTS = Preferences(theme="light", language="en", station="Bench")


def fill_heron_lane(store: FarmStore) -> None:
    """A begun farm with two batches in a fruiting room, half of their bags opened."""
    perform(store, lambda act: begin_farm(act, name="Heron Lane", first_serial=5000))
    fill_farm(lambda action, **more: perform(store, action, **more).result)


def begin_empty(store: FarmStore) -> None:
    """A begun farm with nothing in it but the catalogue that every farm begins with."""
    perform(store, lambda act: begin_farm(act, name="Heron Lane", first_serial=5000))


@contextmanager
def at_the_desk(
    wait_until: Callable[..., None],
    folder: Path,
    *,
    fill: Callable[[FarmStore], Any] = fill_heron_lane,
    wants: Preferences = WANTS,
) -> Iterator[Hands]:
    """Somebody's hands at a desk that is open on a farm; the desk is closed at the end."""
    where = folder / "farm.sqlite"
    if not where.exists():
        copy_of_filled(fill, where).close()
    app = QApplication.instance()
    assert isinstance(app, QApplication)
    desk = Desk(app, str(where), wants, folder / "preferences.json")
    desk.window.show()
    wait_until(lambda: desk.session is not None and desk.session.store is not None)
    hands = Hands(desk, wait_until)
    hands.settle()
    try:
        yield hands
    finally:
        desk.end()
        desk.window.deleteLater()
        desk.deleteLater()


def things(hands: Hands, kind: str, **where: object) -> list[Any]:
    """Things of the farm that is open."""
    with hands.desk.session.store.reading() as reading:
        return reading.all(THINGS[kind], **where)
