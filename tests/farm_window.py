"""A begun farm in a real window, for tests of the places."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from databases import copy_of_filled
from PySide6.QtWidgets import QApplication, QDialog

from farmdesk.actions.base import perform
from farmdesk.actions.catalogue import begin_farm
from farmdesk.desk.context import DeskContext
from farmdesk.desk.opening import open_desk, show_faults
from farmdesk.desk.preview import PreviewDialog
from farmdesk.desk.refresh import Refresher
from farmdesk.desk.theme import Theme, apply_theme
from farmdesk.desk.window import DeskWindow
from farmdesk.desk.workplace import Workplace
from farmdesk.domain.things import THINGS
from farmdesk.paper.pages import Shape
from farmdesk.store.farm_store import FarmStore
from farmdesk.wording.formats import Formats

FORMATS = Formats(locale="en_GB", mass_unit="kg", temperature_unit="C", paper="a4")


@dataclass
class FarmWindow:
    """The window, its context, and short ways to look into the farm."""

    window: DeskWindow
    workplace: Workplace
    context: DeskContext
    store: FarmStore

    def settle(self) -> None:
        """All work is done and shown."""
        self.workplace.settled()
        if QApplication.activeModalWidget() is None:
            # Without a window manager nobody gives the focus back after a dialog.
            self.window.activateWindow()
        QApplication.processEvents()

    def show(self, place: str, subject: str = "") -> Any:
        """A place of the desk, refreshed."""
        page = self.window.show_place(place, subject)
        self.settle()
        return page

    def dialog(self) -> Any:
        """The dialog over the window."""
        self.settle()
        found = QApplication.activeModalWidget()
        assert isinstance(found, QDialog), "no dialog is open"
        return found

    def has_dialog(self) -> bool:
        """Whether a dialog is open over the window."""
        self.settle()
        return QApplication.activeModalWidget() is not None

    def act(self, action: Callable[[Any], Any], **more: Any) -> Any:
        """Do something to the farm behind the window's back, and tell the pages."""
        done = perform(self.store, action, **more)
        self.context.refresher.broadcast(done.changes.kinds)
        self.settle()
        return done.result

    def all(self, kind: str, **where: object) -> list[Any]:
        """The things of a kind."""
        with self.store.reading() as reading:
            return reading.all(THINGS[kind], **where)


def _begin_heron_lane(store: FarmStore) -> None:
    perform(store, lambda act: begin_farm(act, name="Heron Lane", first_serial=5000))


@contextmanager
def open_window(folder: Path, workplace: Workplace) -> Iterator[FarmWindow]:
    """A farm with the shipped catalogue, open in a window; closed at the end."""
    store = copy_of_filled(_begin_heron_lane, folder / "farm.sqlite")
    with show_farm(store, workplace, Theme()) as opened:
        yield opened


def has_charts(shown: FarmWindow) -> bool:
    """Whether the preview in sight draws a chart; it is closed."""
    dialog = shown.dialog()
    assert isinstance(dialog, PreviewDialog)
    marks = [mark for page in dialog.preview.pages for mark in page.marks]
    dialog.reject()
    shown.settle()
    return any(isinstance(mark, Shape) for mark in marks)


@contextmanager
def show_farm(
    store: FarmStore, workplace: Workplace, theme: Theme, formats: Formats = FORMATS
) -> Iterator[FarmWindow]:
    """A farm in a window; both are closed at the end."""
    app = QApplication.instance()
    assert isinstance(app, QApplication)
    apply_theme(app, theme)
    window = DeskWindow(theme)
    store.formats = formats
    show_faults(window, workplace)
    context = open_desk(
        window,
        store,
        workplace=workplace,
        refresher=Refresher(),
        formats=formats,
        station="Bench",
        person=None,
    )
    window.show()
    try:
        yield FarmWindow(window, workplace, context, store)
    finally:
        workplace.settled()
        window.close()
        window.deleteLater()
        QApplication.processEvents()
        store.close()
