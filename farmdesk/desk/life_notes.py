"""The notes on a thing's page: read, written, corrected and taken away."""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QVBoxLayout, QWidget

from farmdesk.actions.base import Act
from farmdesk.actions.notes import correct_note, remove_note, write_note
from farmdesk.desk.context import DeskContext
from farmdesk.desk.dialogs import FormDialog
from farmdesk.desk.fields import NotesField
from farmdesk.desk.list_view import ListView
from farmdesk.desk.questions import ask_farm
from farmdesk.desk.tables import Column
from farmdesk.domain.notes import Note
from farmdesk.reports.notes import NoteRow, notes_about
from farmdesk.wording.language import tr


class LifeNotes(QWidget):
    """Notes about one thing; `counted` tells how many there are.

    The window that holds them calls `write_one`: at large letters a row more would not fit.
    """

    counted = Signal(int)

    def __init__(self, context: DeskContext) -> None:
        super().__init__()
        self._context = context
        self._thing = 0
        self.list = ListView(
            [
                Column("noted_at", tr("When"), text=context.formats.instant, width=19),
                Column("text", tr("Note"), width=70),
                Column("who", tr("Who"), width=12),
            ],
            name=tr("Notes"),
            empty_text=tr("Nobody wrote anything down about it yet."),
        )
        self.list.row_opened.connect(lambda row: self._correct([row]))
        self.list.add_row_action(tr("Correct …"), self._correct, single=True)
        self.list.add_row_action(tr("Take away"), self._remove, shortcut="Del", single=True)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.list, 1)

    def show_thing(self, thing: int) -> None:
        """Read the notes about a thing."""
        self._thing = thing
        self._context.workplace.read(
            ask_farm, self._context.farm, notes_about, thing, then=self._show
        )

    def write_one(self) -> None:
        """Write a note about the thing."""
        self._open(NoteDialog(self._context, self._thing))

    def _show(self, rows: list[NoteRow]) -> None:
        self.list.set_rows(rows)
        self.counted.emit(len(rows))

    def _correct(self, rows: list[NoteRow]) -> None:
        self._open(NoteDialog(self._context, self._thing, rows[0]))

    def _remove(self, rows: list[NoteRow]) -> None:
        self._context.act(
            partial(_remove, note=rows[0].id), then=lambda _: self.show_thing(self._thing)
        )

    def _open(self, dialog: NoteDialog) -> None:
        dialog.saved.connect(lambda _: self.show_thing(self._thing))
        self._context.open_dialog(dialog)


class NoteDialog(FormDialog):
    """A note, new or corrected."""

    def __init__(self, context: DeskContext, thing: int, row: NoteRow | None = None) -> None:
        super().__init__(tr("Note") if row is None else tr("Correct the note"))
        self.form.add(NotesField("text", tr("What is to be remembered"),
                                 value=row.text if row else ""))  # fmt: skip
        action = partial(_write, thing=thing) if row is None else partial(_correct, note=row.id)
        self.on_save = lambda values: self.run(context.act, partial(action, **values))


def _write(act: Act, *, thing: int, text: str) -> Note:
    return write_note(act, thing, text)


def _correct(act: Act, *, note: int, text: str) -> Note:
    return correct_note(act, note, text)


def _remove(act: Act, *, note: int) -> None:
    remove_note(act, note)
