"""The first start: an empty farm, or the demo farm to look around in."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING, Any
from zoneinfo import available_timezones

from babel import Locale
from PySide6.QtWidgets import QDialog, QLabel, QPushButton, QVBoxLayout, QWidget
from tzlocal import get_localzone_name

from farmdesk.actions.base import perform
from farmdesk.actions.catalogue import begin_farm
from farmdesk.actions.demo import build_demo
from farmdesk.desk.dialogs import FormDialog
from farmdesk.desk.fields import ChoiceField, TextField
from farmdesk.settings.preferences import usual_preferences
from farmdesk.store.faults import shown_place
from farmdesk.store.new_farm import farm_to_fill

if TYPE_CHECKING:
    from farmdesk.desk.session import Session

_CURRENCIES = ("USD", "EUR", "GBP", "CAD", "AUD", "NZD", "CHF", "SEK", "NOK", "DKK", "JPY", "MXN")


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
        """Ask for name, place, units and money of an empty farm."""
        dialog = NewFarmDialog()
        dialog.on_save = partial(self._begin, dialog)
        self._session.window.open_dialog(dialog)

    def _begin(self, dialog: NewFarmDialog, values: dict[str, Any]) -> None:
        self._session.desk.workplace.do(
            _begin_farm, self._where, values, then=partial(self._begun, dialog),
            failed=dialog.form.show_error,
        )  # fmt: skip

    def _begun(self, dialog: QWidget, _result: object) -> None:
        dialog.close()
        self._session.open(self._where)

    def build_demo(self) -> None:
        """Build the demo farm and open it; it takes a few seconds."""
        self._session.window.say("Building the demo farm …")
        self._session.desk.workplace.do(
            _build_demo, self._where, then=lambda _done: self._session.open(self._where)
        )


class FirstStartDialog(QDialog):
    """Three ways to begin, each a large button."""

    def __init__(self, place: str) -> None:
        super().__init__()
        self.setWindowTitle("Welcome to Farmdesk")
        self.setAccessibleName("How to begin")
        column = QVBoxLayout(self)
        column.setContentsMargins(24, 20, 24, 20)
        column.setSpacing(12)
        title = QLabel("There is no farm here yet")
        title.setObjectName("title")
        where = QLabel(place)
        where.setObjectName("muted")
        where.setWordWrap(True)
        column.addWidget(title)
        column.addWidget(where)
        self.empty_button = QPushButton("&Begin an empty farm of my own")
        self.demo_button = QPushButton("&Look around in the demo farm (invented)")
        self.other_button = QPushButton("&Open a farm that is somewhere else …")
        for button in (self.empty_button, self.demo_button, self.other_button):
            button.setAutoDefault(False)
            column.addWidget(button)
        self.empty_button.setDefault(True)
        self.empty_button.setFocus()


class NewFarmDialog(FormDialog):
    """Five questions: name, time zone, language of numbers, units, money."""

    def __init__(self) -> None:
        super().__init__(
            "A new farm",
            sentence="All of this can be changed later in the catalogue.",
            save_title="Begin",
        )
        usual = usual_preferences()
        zones = sorted(available_timezones())
        zone = get_localzone_name() or "UTC"
        self.form.add(TextField("name", "Name of the farm", required=True))
        self.form.add(
            ChoiceField(
                "zone", "Time zone", [(one, one.replace("_", " ")) for one in zones],
                value=zone if zone in zones else "UTC",
            )
        )  # fmt: skip
        self.form.add(
            ChoiceField("locale", "Dates and numbers as in", _locales(), value=usual.locale)
        )
        self.form.add(
            ChoiceField(
                "mass_unit", "Weights in",
                [("kg", "kilograms"), ("g", "grams"), ("lb", "pounds"), ("lb_oz", "lb and oz")],
                value=usual.mass_unit,
            )
        )  # fmt: skip
        self.form.add(
            ChoiceField(
                "temperature_unit", "Temperatures in", [("C", "°C"), ("F", "°F")],
                value=usual.temperature_unit,
            )
        )  # fmt: skip
        self.form.add(
            ChoiceField("currency", "Money in", [(one, one) for one in _CURRENCIES], value="USD")
        )


def _locales() -> list[tuple[str, str]]:
    names = ("en_US", "en_GB", "en_CA", "en_AU", "de_DE", "es_ES", "es_MX", "fr_FR", "fr_CA",
             "it_IT", "nl_NL", "pt_BR", "pl_PL", "sv_SE", "da_DK", "ja_JP")  # fmt: skip
    return [(one, Locale.parse(one).get_display_name("en") or one) for one in names]


def _begin_farm(where: str, values: dict[str, Any]) -> None:
    with farm_to_fill(where) as store:
        perform(store, lambda act: begin_farm(act, **values))


def _build_demo(where: str) -> None:
    with farm_to_fill(where) as store:
        build_demo(store)
