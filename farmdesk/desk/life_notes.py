"""The notes and photos on a thing's page: seen, written, corrected and taken away."""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QSplitter, QVBoxLayout, QWidget

from farmdesk.actions.base import Act
from farmdesk.actions.notes import remove_note
from farmdesk.desk.context import DeskContext
from farmdesk.desk.list_view import ListView
from farmdesk.desk.note_dialog import NoteDialog
from farmdesk.desk.photo_view import PhotoDialog, PhotoView
from farmdesk.desk.questions import ask_farm
from farmdesk.desk.tables import Column
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
        self._rows: list[NoteRow] = []
        self.list = ListView(
            [
                Column("noted_at", tr("When"), text=context.formats.instant, width=23),
                Column("text", tr("Note"), width=44),
                Column("photo", tr("Photo"), text=_say_photo, width=8),
                Column("who", tr("Who"), width=12),
            ],
            name=tr("Notes"),
            empty_text=tr("Nobody wrote anything down about it yet."),
        )
        self.list.row_opened.connect(lambda row: self._correct([row]))
        self.list.add_row_action(tr("Correct …"), self._correct, single=True)
        self.list.add_row_action(
            tr("Show the photo"), self._enlarge, shortcut="Ctrl+I", single=True
        )
        self.list.add_row_action(tr("Take away"), self._remove, shortcut="Del", single=True)
        self.photo = PhotoView(context)
        self.photo.asked_larger.connect(self._enlarge_current)
        self.photo.hide()
        self.list.selection_changed.connect(self._show_photo)
        self.sides = QSplitter(Qt.Orientation.Horizontal)
        self.sides.addWidget(self.list)
        self.sides.addWidget(self.photo)
        self.sides.setStretchFactor(0, 3)
        self.sides.setStretchFactor(1, 2)
        self.sides.setChildrenCollapsible(False)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.sides, 1)

    def show_thing(self, thing: int) -> None:
        """Read the notes about a thing."""
        self._thing = thing
        self._context.workplace.read(
            ask_farm, self._context.farm, notes_about, thing, then=partial(self._show, thing)
        )

    def write_one(self) -> None:
        """Write a note about the thing."""
        self._open(NoteDialog(self._context, self._thing))

    def _show(self, thing: int, rows: list[NoteRow]) -> None:
        if thing != self._thing:
            return  # reads come back in no fixed order
        self._rows = rows
        self.list.set_rows(rows)
        if not self.list.chosen_rows():
            self.list.choose(lambda _row: True)
        self._show_photo()
        self.counted.emit(len(rows))

    def _show_photo(self) -> None:
        row = self.list.current_row()
        self.photo.setVisible(row is not None and bool(row.photo))
        if row != self.photo.row:
            self.photo.show_note(row)

    def _enlarge_current(self) -> None:
        row = self.list.current_row()
        if row is not None:
            self._enlarge([row])

    def _enlarge(self, rows: list[NoteRow]) -> None:
        if not rows[0].photo:
            self._context.say(tr("That note has no photo."))
            return
        shown = [one for one in self._rows if one.photo]
        self._context.open_dialog(PhotoDialog(self._context, shown, rows[0]))

    def _correct(self, rows: list[NoteRow]) -> None:
        self._open(NoteDialog(self._context, self._thing, rows[0]))

    def _remove(self, rows: list[NoteRow]) -> None:
        self._context.act(
            partial(_remove, note=rows[0].id), then=lambda _: self.show_thing(self._thing)
        )

    def _open(self, dialog: NoteDialog) -> None:
        dialog.saved.connect(lambda _: self.show_thing(self._thing))
        self._context.open_dialog(dialog)


def _remove(act: Act, *, note: int) -> None:
    remove_note(act, note)


def _say_photo(name: str) -> str:
    return tr("photo") if name else ""
