"""The demo farm in a real window, built once for a test module; and every part of every page."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from farm_window import FORMATS, FarmWindow, show_farm
from PySide6.QtWidgets import QApplication, QTabWidget, QWidget

from farmdesk.actions.demo import build_demo
from farmdesk.desk.station_formats import formats_of
from farmdesk.desk.theme import Theme, apply_theme
from farmdesk.desk.window import FIRST_SIZE
from farmdesk.desk.workplace import Workplace
from farmdesk.domain.catalogue import Farm
from farmdesk.settings.preferences import Preferences
from farmdesk.store.farm_store import FarmStore, open_farm
from farmdesk.wording.formats import Formats

_ROUNDS = 3


@contextmanager
def open_demo(folder: Path, theme: Theme, *, in_own_units: bool = False) -> Iterator[FarmWindow]:
    """The demo farm, open in a window of 1280 x 720; closed at the end.

    `in_own_units`: in the farm's own units and land, as a person sees it who tries it.
    """
    path = folder / "demo.sqlite"
    is_new = not path.exists()
    store = open_farm(path, make=is_new)
    if is_new:
        build_demo(store)
    workplace = Workplace()
    try:
        with show_farm(store, workplace, theme, _own(store) if in_own_units else FORMATS) as opened:
            opened.window.resize(FIRST_SIZE)
            opened.settle()
            yield opened
    finally:
        workplace.close()
        workplace.deleteLater()
        app = QApplication.instance()
        assert isinstance(app, QApplication)
        apply_theme(app, Theme())


def _own(store: FarmStore) -> Formats:
    with store.reading() as reading:
        return formats_of(reading.all(Farm)[0], Preferences())


def each_part(page: QWidget, shown: FarmWindow) -> Iterator[str]:
    """Brings every tab of a page to the front, one after another; '' for a page without."""
    tabs = [one for one in page.findChildren(QTabWidget) if one.isVisible()]
    if not tabs:
        yield ""
        return
    outer = tabs[0]
    for at in range(outer.count()):
        outer.setCurrentIndex(at)
        shown.settle()
        inner = outer.currentWidget()
        for part in each_part(inner, shown) if inner is not None else ():
            yield f"{outer.tabText(at)} {part}".strip()


def lay_out(shown: FarmWindow) -> None:
    """All is read and shown, and what grew with its text or chart is laid out once more."""
    shown.settle()
    for _ in range(_ROUNDS):
        QApplication.processEvents()
