"""Undo and redo in the Edit menu say what they would take back or do again."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject

from farmdesk.actions.undo import find_redo, find_undo
from farmdesk.reports.day_book import day_book
from farmdesk.store.farm_store import FarmStore
from farmdesk.store.transaction import Reading
from farmdesk.wording.language import tr

if TYPE_CHECKING:
    from farmdesk.desk.session import Session

MOST_LETTERS = 60


class UndoTitles(QObject):
    """Looks when the Edit menu opens; the commands stay enabled, as they look for themselves."""

    def __init__(self, session: Session) -> None:
        super().__init__(session)
        self._session = session
        session.window.menu(tr("Edit")).aboutToShow.connect(self.look)

    def look(self) -> None:
        """Read what the two commands would do, and say it."""
        store = self._session.store
        if store is not None:
            self._session.desk.workplace.read(
                next_acts, store, self._session.station, then=self._show
            )

    def _show(self, sentences: tuple[str, str]) -> None:
        undo, redo = (_short(one) for one in sentences)
        command = self._session.window.command
        command("undo").setText(tr("Undo: {what}").format(what=undo) if undo else tr("Undo"))
        command("redo").setText(tr("Redo: {what}").format(what=redo) if redo else tr("Redo"))


def next_acts(store: FarmStore, station: str) -> tuple[str, str]:
    """The sentences of what undo would take back and redo do again; '' for nothing."""
    with store.reading() as reading:
        undo, redo = find_undo(reading, station=station), find_redo(reading, station=station)
        first = reading.entries_of_act(redo.act)[0] if redo is not None else None
        return (
            _sentence(reading, undo.first_number if undo is not None else None),
            _sentence(reading, first.undoes if first is not None else None),
        )


def _sentence(reading: Reading, number: int | None) -> str:
    """The sentence of the act that wrote an entry of the day book."""
    entry = reading.entry(number) if number is not None else None
    if entry is None:
        return ""
    first = reading.entries_of_act(entry.act)[0].number
    lines = day_book(reading, before=first + 1, limit=1).lines
    return lines[0].sentence if lines else ""


def _short(sentence: str) -> str:
    plain = sentence.rstrip(".").replace("&", "&&")
    return plain if len(plain) <= MOST_LETTERS else plain[: MOST_LETTERS - 1].rstrip() + "…"
