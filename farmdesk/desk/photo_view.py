"""A photo as large as it fits, over the window too, and a copy of it as a file."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path

from PySide6.QtCore import QRectF, QSize, Qt, Signal
from PySide6.QtGui import QImage, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPixmap
from PySide6.QtWidgets import (
    QDialog,
    QFileDialog,
    QHBoxLayout,
    QPushButton,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from farmdesk.desk.context import DeskContext
from farmdesk.desk.messages import sentence_of
from farmdesk.desk.picture_view import place_in
from farmdesk.desk.questions import ask_farm
from farmdesk.desk.wrapped_label import WrappedLabel
from farmdesk.errors import FarmdeskError, NotFound, problem
from farmdesk.paper.safe_files import write_safely
from farmdesk.reports.notes import NoteRow, photo_data
from farmdesk.store.farm_store import FarmStore
from farmdesk.wording.language import tr
from farmdesk.wording.sentences import say

_LEAST, _USUAL = QSize(160, 120), QSize(440, 330)


class PhotoView(QWidget):
    """Shows one photo of a note; what it shows is said by its name."""

    asked_larger = Signal()

    def __init__(self, context: DeskContext) -> None:
        super().__init__()
        self._context = context
        self._pixmap = QPixmap()
        self.told = ""
        """What stands in the photo's place when it cannot be shown."""
        self.row: NoteRow | None = None
        self.setMinimumSize(_LEAST)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)

    def show_note(self, row: NoteRow | None) -> None:
        """Fetch and show the photo of a note, or nothing."""
        self.row = row
        self._pixmap, self.told = QPixmap(), ""
        if row is not None and row.photo:
            self.setAccessibleName(photo_title(self._context, row))
            self._context.workplace.read(
                ask_farm, self._context.farm, photo_data, row.photo,
                then=partial(self._show, row.photo), failed=partial(self._show_error, row.photo),
            )  # fmt: skip
        self.update()

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's own name
        """Large enough to see what it shows, beside a list."""
        return _USUAL

    @property
    def has_photo(self) -> bool:
        """Whether a photo is in sight."""
        return not self._pixmap.isNull()

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: ARG002, N802 - Qt's own name
        """Paint the photo in the middle, whole."""
        painter = QPainter(self)
        if self._pixmap.isNull():
            flags = int(Qt.AlignmentFlag.AlignCenter) | int(Qt.TextFlag.TextWordWrap)
            painter.setPen(self.palette().windowText().color())
            painter.drawText(QRectF(self.rect()).adjusted(8, 8, -8, -8), flags, self.told)
            return
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
        painter.drawPixmap(
            place_in(self._pixmap.size(), self.size()), self._pixmap, QRectF(self._pixmap.rect())
        )

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:  # noqa: ARG002, N802 - Qt's own
        """Show it larger."""
        self.asked_larger.emit()

    def _show(self, name: str, data: bytes | None) -> None:
        if self.row is None or self.row.photo != name:
            return
        self._pixmap = QPixmap.fromImage(QImage.fromData(data or b""))
        if self._pixmap.isNull():
            self.told = f"⚠ {say(problem('photo_missing'))}"
        self.update()

    def _show_error(self, name: str, error: FarmdeskError) -> None:
        if self.row is not None and self.row.photo == name:
            self.told = f"⚠ {sentence_of(error)}"
            self.update()


class PhotoDialog(QDialog):
    """The photos of a thing, one at a time, as large as the window; arrows go on."""

    def __init__(self, context: DeskContext, rows: Sequence[NoteRow], first: NoteRow) -> None:
        super().__init__()
        self._context = context
        self._rows = list(rows)
        self.place = self._rows.index(first)
        self.setWindowTitle(tr("Photo"))
        self.resize(1000, 640)
        self.words = WrappedLabel()
        self.view = PhotoView(context)
        self.view.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.before = self._button(tr("◀ Newer"), lambda: self.turn(-1))
        self.after = self._button(tr("Older ▶"), lambda: self.turn(1))
        self.keep = self._button(tr("Save a copy … (Ctrl+S)"), self.save_copy)
        close = self._button(tr("Close (Esc)"), self.accept)
        foot = QHBoxLayout()
        for one in (self.before, self.after, self.keep):
            foot.addWidget(one)
        foot.addStretch(1)
        foot.addWidget(close)
        column = QVBoxLayout(self)
        column.addWidget(self.view, 1)
        column.addWidget(self.words)
        column.addLayout(foot)
        self.turn(0)
        self.view.setFocus()

    def turn(self, by: int) -> None:
        """Show the next photo, or the one before."""
        self.place = max(0, min(self.place + by, len(self._rows) - 1))
        row = self._rows[self.place]
        self.before.setEnabled(self.place > 0)
        self.after.setEnabled(self.place < len(self._rows) - 1)
        self.words.setText(photo_title(self._context, row))
        self.view.show_note(row)

    def save_copy(self) -> None:
        """Ask for a file and write the photo into it."""
        name, _ = QFileDialog.getSaveFileName(
            self, tr("Save a copy of the photo"), str(Path.home() / "photo.jpg"),
            tr("Picture (*.jpg)"),
        )  # fmt: skip
        if name:
            path = Path(name)
            target = path if path.suffix else path.with_suffix(".jpg")
            photo = self._rows[self.place].photo
            self._context.workplace.read(
                _write_copy, self._context.farm, photo, target,
                then=self._tell_saved, failed=self._tell_error,
            )  # fmt: skip

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's own name
        """Arrows turn, Ctrl+S saves."""
        is_control = bool(event.modifiers() & Qt.KeyboardModifier.ControlModifier)
        match event.key():
            case Qt.Key.Key_Left | Qt.Key.Key_Up | Qt.Key.Key_PageUp:
                self.turn(-1)
            case Qt.Key.Key_Right | Qt.Key.Key_Down | Qt.Key.Key_PageDown:
                self.turn(1)
            case Qt.Key.Key_S if is_control:
                self.save_copy()
            case _:
                super().keyPressEvent(event)

    def _tell_saved(self, path: Path) -> None:
        self.words.setText(tr("Saved in {path}.").format(path=path))

    def _tell_error(self, error: FarmdeskError) -> None:
        self.words.setText(f"⚠ {sentence_of(error)}")

    def _button(self, title: str, then: Callable[[], object]) -> QPushButton:
        button = QPushButton(title)
        button.setAutoDefault(False)
        button.clicked.connect(lambda _=False: then())
        return button


def photo_title(context: DeskContext, row: NoteRow) -> str:
    """What a photo shows, in a line."""
    parts = [context.formats.instant(row.noted_at), row.who, row.text.replace("\n", " ")]
    return "  ·  ".join(one for one in parts if one)


def _write_copy(farm: FarmStore, name: str, target: Path) -> Path:
    data = ask_farm(farm, photo_data, name)
    if data is None:
        raise NotFound(problem("photo_missing"))
    with write_safely(target) as draft:
        draft.write_bytes(data)
    return target
