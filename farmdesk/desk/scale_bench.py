"""The scale at the bench: its reading on the status line, and a steady one as the weight line.

A steady weight is entered by itself only where a pick waits for it and the load came onto an
empty scale after the last scan: a crate that is being filled on the scale is not weighed early.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QApplication, QLabel

from farmdesk.desk.scale_field import scale_sentence
from farmdesk.desk.scale_link import ScaleLink, reading_text
from farmdesk.domain import cards
from farmdesk.domain.harvest import Pick
from farmdesk.domain.stations import Card, Station
from farmdesk.quantities.numbers import has_decimal_comma
from farmdesk.store.farm_store import FarmStore
from farmdesk.store.picks import bags_in_pick
from farmdesk.wording.language import tr
from farmdesk.wording.sentences import say

if TYPE_CHECKING:
    from farmdesk.desk.session import Session


class ScaleBench(QObject):
    """Listens to a scale for a session, as long as the session lives."""

    def __init__(self, session: Session, scale: ScaleLink) -> None:
        super().__init__(session)
        self._session = session
        self._scale = scale
        self.label = QLabel()
        self.label.setAccessibleName(tr("Scale"))
        self.label.hide()
        session.window.statusBar().addPermanentWidget(self.label)
        self._told = ""
        scale.changed.connect(self._show)
        scale.steadied.connect(self._steadied)
        session.answered.connect(self._answered)

    def _answered(self, _view: object, _answer: object) -> None:
        self._scale.note_scan()

    def _show(self) -> None:
        scale, session = self._scale, self._session
        self.label.setVisible(scale.is_in_use)
        if not scale.is_in_use or session.store is None:
            return
        trouble = say(scale.trouble) if scale.trouble is not None else ""
        session.bench_acts.show_scale(trouble or scale_sentence(scale, session.context.formats))
        if trouble:
            self.label.setText(tr("⚠ Scale"))
            self.label.setToolTip(trouble)
            if trouble != self._told:
                session.window.say(trouble)
        else:
            self.label.setText(scale_sentence(scale, session.context.formats))
            self.label.setToolTip("")
        self._told = trouble

    def _steadied(self) -> None:
        session = self._session
        is_free = QApplication.activeModalWidget() is None and self._scale.was_empty
        if is_free and session.store is not None:
            session.desk.workplace.read(
                waits_for_weight, session.store, session.station, then=self._weigh
            )

    def _weigh(self, is_waiting: bool) -> None:
        if not is_waiting or QApplication.activeModalWidget() is not None:
            return
        reading = self._scale.take()
        if reading is not None:
            comma = has_decimal_comma(self._session.farm_locale)
            self._session.window.strip.enter_line(reading_text(reading, decimal_comma=comma))


def waits_for_weight(store: FarmStore, station: str) -> bool:
    """Whether this station has the pick card, and a pick with bags that is not weighed yet."""
    with store.reading() as reading:
        here = reading.first(Station, name=station)
        if here is None or here.card is None or here.pick is None:
            return False
        card, pick = reading.get(Card, here.card), reading.get(Pick, here.pick)
        if card is None or card.act != cards.PICK or pick is None or pick.status != "open":
            return False
        return bool(bags_in_pick(reading, pick.id))
