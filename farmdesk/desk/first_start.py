"""The first start: an empty farm, or the demo farm to look around in."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING, Any

from PySide6.QtWidgets import QDialog, QLabel, QPushButton, QVBoxLayout

from farmdesk.actions.base import perform
from farmdesk.actions.catalogue import begin_farm
from farmdesk.actions.demo import build_demo
from farmdesk.desk.farm_steps import FarmSteps
from farmdesk.desk.messages import sentence_of
from farmdesk.errors import NotWritten
from farmdesk.settings.preferences import Preferences, save_preferences
from farmdesk.store.faults import shown_place
from farmdesk.store.new_farm import farm_to_fill
from farmdesk.wording.language import tr

if TYPE_CHECKING:
    from farmdesk.desk.session import Session


class FirstStart:
    """Asks how to begin at a place where there is no farm yet, and begins."""

    def __init__(self, session: Session, where: str) -> None:
        self._session = session
        self._where = where

    def ask(self) -> None:
        """Ask: an empty farm, the demo farm, or another file."""
        dialog = FirstStartDialog(shown_place(self._where))
        dialog.empty_button.clicked.connect(partial(self._choose, dialog, self.ask_farm))
        dialog.demo_button.clicked.connect(partial(self._choose, dialog, self.build_demo))
        dialog.other_button.clicked.connect(
            partial(self._choose, dialog, partial(self._session.commands.do, "open_farm"))
        )
        self._session.window.open_dialog(dialog)

    def _choose(self, dialog: QDialog, way: Callable[[], object], _checked: bool = False) -> None:
        dialog.accept()
        way()

    def ask_farm(self) -> None:
        """Ask the five questions of an empty farm; who leaves them chooses a way again."""
        desk = self._session.desk
        dialog = FarmSteps(desk.preferences)
        dialog.on_begin = partial(self._begin, dialog)
        dialog.on_pause = desk.pause_wedge
        dialog.rejected.connect(self.ask)
        self._session.window.open_dialog(dialog)

    def _begin(self, dialog: FarmSteps, farm: dict[str, Any], own: Preferences) -> None:
        self._session.desk.workplace.do(
            _begin_farm, self._where, farm, then=partial(self._begun, dialog, own),
            failed=dialog.show_error,
        )  # fmt: skip

    def _begun(self, dialog: FarmSteps, own: Preferences, _result: object) -> None:
        dialog.accept()
        desk = self._session.desk
        desk.preferences = own
        desk.use_devices()
        try:
            save_preferences(own, desk.kept)
        except NotWritten as error:
            self._session.window.say(sentence_of(error))
        self._session.open(self._where)

    def build_demo(self) -> None:
        """Build the demo farm and open it; it takes a few seconds."""
        self._session.window.say(tr("Building the demo farm …"))
        self._session.desk.workplace.do(
            _build_demo, self._where, then=lambda _done: self._session.open(self._where)
        )


class FirstStartDialog(QDialog):
    """Three ways to begin, each a large button."""

    def __init__(self, place: str) -> None:
        super().__init__()
        self.setWindowTitle(tr("Welcome to Farmdesk"))
        self.setAccessibleName(tr("How to begin"))
        column = QVBoxLayout(self)
        column.setContentsMargins(24, 20, 24, 20)
        column.setSpacing(12)
        title = QLabel(tr("There is no farm here yet"))
        title.setObjectName("title")
        where = QLabel(place)
        where.setObjectName("muted")
        where.setWordWrap(True)
        column.addWidget(title)
        column.addWidget(where)
        self.empty_button = QPushButton(tr("&Begin an empty farm of my own"))
        self.demo_button = QPushButton(tr("&Look around in the demo farm (invented)"))
        self.other_button = QPushButton(tr("&Open a farm that is somewhere else …"))
        for button in (self.empty_button, self.demo_button, self.other_button):
            button.setAutoDefault(False)
            column.addWidget(button)
        self.empty_button.setDefault(True)
        self.empty_button.setFocus()


def _begin_farm(where: str, values: dict[str, Any]) -> None:
    with farm_to_fill(where) as store:
        perform(store, lambda act: begin_farm(act, **values))


def _build_demo(where: str) -> None:
    with farm_to_fill(where) as store:
        build_demo(store)
