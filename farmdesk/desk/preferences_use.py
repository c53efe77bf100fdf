"""Opens the preferences and puts new ones into use, at once where that can be."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from farmdesk.actions.labelling import stocks_of
from farmdesk.desk.dialogs import tell
from farmdesk.desk.messages import sentence_of
from farmdesk.desk.preferences_dialog import PreferencesDialog
from farmdesk.desk.theme import Theme
from farmdesk.errors import NotWritten
from farmdesk.settings.preferences import Preferences, save_preferences
from farmdesk.store.farm_store import FarmStore
from farmdesk.wording.formats import Formats
from farmdesk.wording.language import spoken_language, tr

if TYPE_CHECKING:
    from farmdesk.desk.session import Session

_OF_PAGES = ("locale", "mass_unit", "temperature_unit", "paper", "station", "label_stock",
             "printer", "scale")  # fmt: skip
"""What pages and bench are made with: they are made again when one of these is another."""


class PreferencesUse:
    """Keeps one computer's preferences for a session."""

    def __init__(self, session: Session) -> None:
        self._session = session
        self._desk = session.desk

    def ask(self) -> PreferencesDialog:
        """Show the preferences."""
        desk, session = self._desk, self._session
        theme = session.window.theme
        now = replace(
            desk.preferences,
            theme=desk.kept_theme(theme.scheme),
            text_scale=round(theme.scale * 100),
        )
        formats = session.context.formats if session.store is not None else Formats()
        dialog = PreferencesDialog(now, formats=formats, scale=desk.devices.scale)
        dialog.on_save = self.use
        dialog.on_try = desk.devices.use
        dialog.on_pause = desk.pause_wedge
        dialog.on_sound = self._sound
        dialog.rejected.connect(desk.use_devices)
        dialog.offer_ports(desk.workplace)
        if session.store is not None:
            desk.workplace.read(_stock_names, session.store, then=dialog.offer_stocks)
        session.window.open_dialog(dialog)
        return dialog

    def use(self, new: Preferences) -> None:
        """Keep these and live by them from now on."""
        desk, session = self._desk, self._session
        before, desk.preferences = desk.preferences, new
        try:
            save_preferences(new, desk.kept)
        except NotWritten as error:
            tell(session.window, tr("Not kept for the next start"), sentence_of(error))
        theme = Theme(desk.scheme_of(new.theme), new.text_scale / 100)
        if theme != session.window.theme:
            session.window.set_theme(theme)
        sounds = session.bench_acts.sounds
        sounds.volume, sounds.is_muted = new.sound_volume, new.is_muted
        desk.use_devices()
        session.pictures.watch(new.picture_folder)
        if any(getattr(before, one) != getattr(new, one) for one in _OF_PAGES):
            session.preferences_changed()
        if new.language != spoken_language() and new.language != before.language:
            session.window.say(tr("Kept. The language changes at the next start of Farmdesk."))
        else:
            session.window.say(tr("The preferences are kept."))

    def _sound(self, volume: int) -> None:
        sounds = self._session.bench_acts.sounds
        before = sounds.volume, sounds.is_muted
        sounds.volume, sounds.is_muted = volume, False
        sounds.play("done")
        sounds.volume, sounds.is_muted = before


def _stock_names(store: FarmStore) -> list[str]:
    with store.reading() as reading:
        return [one.name for one in stocks_of(reading)]
