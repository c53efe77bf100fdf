"""A note about a thing, new or corrected, with photos."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from pathlib import Path
from typing import Any

from PySide6.QtGui import QDragEnterEvent, QDropEvent
from PySide6.QtWidgets import QFileDialog, QHBoxLayout, QLabel, QPushButton, QWidget

from farmdesk.actions.base import Act
from farmdesk.actions.notes import correct_note, write_note, write_photos
from farmdesk.desk.context import DeskContext
from farmdesk.desk.dialogs import FormDialog
from farmdesk.desk.fields import CheckField, Field, NotesField
from farmdesk.desk.picture_kinds import picture_filter
from farmdesk.devices.photos import read_photo
from farmdesk.domain.notes import Note, Photo
from farmdesk.reports.notes import NoteRow
from farmdesk.wording.language import tr, tr_count


class PhotosField(Field):
    """Picture files, chosen or dropped. `value()` is a tuple of their paths."""

    def __init__(self, key: str, label: str, *, folder: str, several: bool) -> None:
        self._folder = folder
        self._several = several
        self.paths: tuple[Path, ...] = ()
        self._told = QLabel()
        self.button = QPushButton(tr("&Choose …"))
        self.button.setAutoDefault(False)
        self.button.clicked.connect(lambda _=False: self.choose())
        holder = QWidget()
        row = QHBoxLayout(holder)
        row.setContentsMargins(0, 0, 0, 0)
        row.addWidget(self._told, 1)
        row.addWidget(self.button)
        holder.setFocusProxy(self.button)
        hint = tr("Or drop them here. The place where a photo was taken is not kept.")
        super().__init__(key, label, holder, hint=hint)
        self.button.setAccessibleName(label)
        self.set_value(())

    def choose(self) -> None:
        """Choose picture files."""
        ask = QFileDialog.getOpenFileNames if self._several else _one_file
        names, _ = ask(self, self.label_text, self._folder, picture_filter())
        if names:
            self.set_value([Path(one) for one in names])

    def value(self) -> tuple[Path, ...]:
        """The files chosen."""
        return self.paths

    def set_value(self, value: Any) -> None:
        """Take these files, each once; of several the last, where one alone is asked for."""
        paths = tuple(dict.fromkeys(value or ()))
        self.paths = paths if self._several else paths[-1:]
        count = len(self.paths)
        several = tr_count(count, "{n} photo", "{n} photos").format(n=count)
        one = self.paths[0].name if count == 1 else several
        self._told.setText(one if count else tr("none"))
        self.show_problem("")
        self.changed.emit()


class NoteDialog(FormDialog):
    """What is to be remembered about a thing; several photos become as many notes."""

    def __init__(self, context: DeskContext, thing: int, row: NoteRow | None = None) -> None:
        super().__init__(tr("Note") if row is None else tr("Correct the note"))
        self._context = context
        self._thing = thing
        self._row = row
        self.setAcceptDrops(True)
        text = self.form.add(NotesField("text", tr("What is to be remembered"),
                                        value=row.text if row else ""))  # fmt: skip
        # Else a photo dropped on the text would be written into it as the path of its file.
        text.editor.setAcceptDrops(False)
        had = row is not None and bool(row.photo)
        self.photos = self.form.add(
            PhotosField("photos", tr("Another photo instead") if had else tr("Photos"),
                        folder=context.preferences.picture_folder, several=row is None)
        )  # fmt: skip
        if had:
            self.form.add(CheckField("without", tr("Take the photo away")))

    def save(self, values: dict[str, Any]) -> None:
        """Read the photos, then write it all at once, or nothing."""
        self._set_busy(busy=True)
        self._context.workplace.read(
            _read_photos, values.pop("photos"),
            then=partial(self._write, values), failed=self._show_failure,
        )  # fmt: skip

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:  # noqa: N802 - Qt's own name
        """Picture files may be dropped here."""
        if event.mimeData().hasUrls():
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent) -> None:  # noqa: N802 - Qt's own name
        """Take the files that were dropped, beside those that are there."""
        urls = event.mimeData().urls()
        paths = [Path(one.toLocalFile()) for one in urls if one.isLocalFile()]
        if paths:
            self.photos.set_value([*self.photos.paths, *paths])
            event.acceptProposedAction()

    def _write(self, values: dict[str, Any], photos: tuple[Photo, ...]) -> None:
        if self._row is None:
            action = partial(_write, thing=self._thing, photos=photos, **values)
            self.run(self._context.act, action)
        else:
            photo = photos[0] if photos else None
            correct = partial(_correct, note=self._row.id, photo=photo, **values)
            self.run(self._context.act, correct)


def _one_file(parent: QWidget, title: str, folder: str, kinds: str) -> tuple[list[str], str]:
    name, kind = QFileDialog.getOpenFileName(parent, title, folder, kinds)
    return ([name] if name else []), kind


def _read_photos(paths: Sequence[Path]) -> tuple[Photo, ...]:
    return tuple(read_photo(one) for one in paths)


def _write(act: Act, *, thing: int, text: str, photos: Sequence[Photo]) -> list[Note]:
    return write_photos(act, thing, text, photos) if photos else [write_note(act, thing, text)]


def _correct(act: Act, *, note: int, text: str, photo: Photo | None, without: bool = False) -> Note:
    return correct_note(act, note, text, photo, without=without and photo is None)
