"""Dialogs: a form to fill, a question that reads back, a message, a fault, slow work."""

from __future__ import annotations

from collections.abc import Callable
from threading import Event
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import Qt, QTimer, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import (
    QApplication,
    QDialog,
    QHBoxLayout,
    QLabel,
    QPlainTextEdit,
    QProgressBar,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from farmdesk.desk.context import ActOnFarm
from farmdesk.desk.forms import Form
from farmdesk.desk.messages import sentence_of
from farmdesk.domain.codes import read_code
from farmdesk.errors import FarmdeskError, NotUnderstood
from farmdesk.wording.language import tr

if TYPE_CHECKING:
    from farmdesk.actions.base import Act

LEAST_WIDTH = 424
"""Pixels that the inside of a dialog has at least."""
SLOW_MS = 1_000
"""Work shorter than this shows no progress."""
_TEXT = (
    Qt.TextInteractionFlag.TextSelectableByMouse | Qt.TextInteractionFlag.TextSelectableByKeyboard
)


class _Plain(QDialog):
    """A title line, a body and a row of buttons."""

    def __init__(self, title: str, sentence: str, parent: QWidget | None) -> None:
        super().__init__(parent)
        self.setWindowTitle(title)
        self.sentence = QLabel(sentence, self)
        self.sentence.setWordWrap(True)
        self.sentence.setVisible(bool(sentence))
        self.setAccessibleName(title)
        self.setAccessibleDescription(sentence)
        self.column = QVBoxLayout(self)
        self.column.setContentsMargins(18, 16, 18, 14)
        self.column.setSpacing(12)
        # Not a minimum of the dialog, which would hide that its fields ask for more.
        self.column.addStrut(LEAST_WIDTH)
        self.column.addWidget(self.sentence)
        self._buttons = QHBoxLayout()
        self._buttons.addStretch(1)

    def _add_button(self, title: str, function: Callable[[], object]) -> QPushButton:
        button = QPushButton(title, self)
        button.setAutoDefault(False)
        button.clicked.connect(lambda _=False: function())
        self._buttons.addWidget(button)
        return button


class FormDialog(_Plain):
    """A form with Save and Cancel. Add fields to `form`, then give `on_save` or override `save`."""

    saved = Signal(object)
    """What the action gave back, after it was kept; the dialog is closed then."""

    def __init__(
        self,
        title: str,
        *,
        sentence: str = "",
        save_title: str = tr("Save"),
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(title, sentence, parent)
        self.form = Form(self)
        self.on_save: Callable[[dict[str, Any]], object] | None = None
        self._is_busy = False
        self.column.addWidget(self.form, 1)
        self.cancel_button = self._add_button(tr("Cancel (Esc)"), self.reject)
        self.save_button = self._add_button(
            tr("{save_title} (Ctrl+Enter)").format(save_title=save_title), self.try_save
        )
        self.save_button.setDefault(True)
        self.column.addLayout(self._buttons)
        self.form.save_asked.connect(self.try_save)
        self.form.cancel_asked.connect(self.reject)

    def try_save(self) -> None:
        """Read the fields and save, or show what can't be read."""
        if self._is_busy:
            return
        values = self.form.values()
        if values is not None:
            self.save(values)

    def read_scan(self, line: str) -> int | None:
        """The id that a scanned code names; None, and a sentence on top, when it names none."""
        try:
            return read_code(line)
        except NotUnderstood as error:
            self.form.show_on_top(sentence_of(error))
            return None

    def save(self, values: dict[str, Any]) -> None:
        """What is done with the values; calls `on_save` unless overridden."""
        if self.on_save is not None:
            self.on_save(values)

    def run(self, act: ActOnFarm, action: Callable[[Act], Any]) -> None:
        """Do an action by `context.act`; close on success.

        Refused is shown at the fields, Asked is read back and done again with its codes.
        """
        self._set_busy(busy=True)
        act(
            action,
            then=self._finish,
            failed=self._show_failure,
            no=self._stop_asking,
            parent=self,
        )

    def _finish(self, result: Any) -> None:
        self._set_busy(busy=False)
        self.saved.emit(result)
        self.accept()

    def _show_failure(self, error: FarmdeskError) -> None:
        self._set_busy(busy=False)
        self.form.show_error(error)

    def _stop_asking(self) -> None:
        self._set_busy(busy=False)

    def _set_busy(self, *, busy: bool) -> None:
        self._is_busy = busy
        self.save_button.setEnabled(not busy)

    def open(self) -> None:
        """Show the dialog as high as its fields need and the screen allows."""
        screen = self.screen().availableGeometry().height()
        around = self.sizeHint().height() - self.form.sizeHint().height()
        wanted = self.form.content_height() + around + 24
        wide = max(520, self.fontMetrics().averageCharWidth() * 56, self.sizeHint().width())
        self.resize(wide, min(max(wanted, 260), int(screen * 0.9)))
        self._start_at_fields()
        super().open()

    def _start_at_fields(self) -> None:
        """The first field has the cursor, and Tab comes to the buttons after all fields."""
        last = self.previousInFocusChain()
        if last is not None and last is not self.save_button:
            QWidget.setTabOrder(last, self.cancel_button)
            QWidget.setTabOrder(self.cancel_button, self.save_button)
        now, first = self.focusWidget(), next(iter(self.form.fields.values()), None)
        if first is not None and (now is None or not self.form.isAncestorOf(now)):
            first.setFocus()

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's own name
        """Ctrl+Enter saves from the buttons too."""
        is_enter = event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter)
        if is_enter and event.modifiers() & Qt.KeyboardModifier.ControlModifier:
            self.try_save()
        else:
            super().keyPressEvent(event)


class QuestionDialog(_Plain):
    """Reads back what looks like a mistake. Y or Enter is Yes, N or Esc is No."""

    def __init__(
        self,
        sentence: str,
        *,
        yes_title: str = tr("Yes"),
        no_title: str = tr("No"),
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(tr("Is that meant?"), sentence, parent)
        self.no_button = self._add_button(f"{no_title} (N)", self.reject)
        self.yes_button = self._add_button(f"{yes_title} (Y)", self.accept)
        self.yes_button.setDefault(True)
        self.column.addLayout(self._buttons)
        self.yes_button.setFocus()

    def take_reply(self, yes: bool) -> None:
        """The card Yes or No was scanned."""
        (self.accept if yes else self.reject)()

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's own name
        """Answer by letter."""
        if event.key() == Qt.Key.Key_Y:
            self.accept()
        elif event.key() == Qt.Key.Key_N:
            self.reject()
        else:
            super().keyPressEvent(event)


class MessageDialog(_Plain):
    """One calm sentence, and details to copy when there are some."""

    def __init__(
        self, title: str, sentence: str, *, details: str = "", parent: QWidget | None = None
    ) -> None:
        super().__init__(title, sentence, parent)
        self.sentence.setTextInteractionFlags(_TEXT)
        self.details = QPlainTextEdit(details, self)
        self.details.setReadOnly(True)
        self.details.setTabChangesFocus(True)
        self.details.setAccessibleName(tr("Details"))
        self.details.setVisible(bool(details))
        self.column.addWidget(self.details)
        if details:
            self._add_button(tr("Copy details"), self._copy)
        self.close_button = self._add_button(tr("Close"), self.accept)
        self.close_button.setDefault(True)
        self.column.addLayout(self._buttons)

    def take_reply(self, _yes: bool) -> None:
        """The card Yes or No was scanned: it was read."""
        self.accept()

    def _copy(self) -> None:
        QApplication.clipboard().setText(f"{self.sentence.text()}\n\n{self.details.toPlainText()}")


class ProgressDialog(_Plain):
    """Slow work with a way out; shows itself only when the work takes longer than a second.

    `report(done, total)` may be called from a worker; `is_cancelled` may be asked there.
    """

    _reported = Signal(int, int)

    def __init__(
        self, sentence: str, *, parent: QWidget | None = None, slow_ms: int = SLOW_MS
    ) -> None:
        super().__init__(tr("Working"), sentence, parent)
        self._cancelled = Event()
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose, parent is not None)
        self.bar = QProgressBar(self)
        self.bar.setRange(0, 0)
        self.bar.setAccessibleName(sentence)
        self.column.addWidget(self.bar)
        self.cancel_button = self._add_button(tr("Cancel"), self.reject)
        self.column.addLayout(self._buttons)
        self._reported.connect(self._show_progress, Qt.ConnectionType.QueuedConnection)
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.timeout.connect(self.open)
        self._timer.start(slow_ms)

    def report(self, done: int, total: int) -> None:
        """Say how far the work is; from any thread."""
        self._reported.emit(done, total)

    def is_cancelled(self) -> bool:
        """Whether the person wants out; from any thread."""
        return self._cancelled.is_set()

    def finish(self) -> None:
        """The work is over: close."""
        self._timer.stop()
        self.accept()

    def _show_progress(self, done: int, total: int) -> None:
        self.bar.setRange(0, total)
        self.bar.setValue(done)

    def reject(self) -> None:
        """Ask the work to stop; it says `finish` when it did."""
        self._cancelled.set()
        self.sentence.setText(tr("Stopping …"))
        self.cancel_button.setEnabled(False)


def ask(
    parent: QWidget | None,
    sentence: str,
    *,
    yes: Callable[[], object],
    no: Callable[[], object] | None = None,
    yes_title: str = tr("Yes"),
) -> QuestionDialog:
    """Show a question without waiting; one of the two is called, once."""
    dialog = QuestionDialog(sentence, yes_title=yes_title, parent=parent)
    dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
    dialog.accepted.connect(yes)
    if no is not None:
        dialog.rejected.connect(no)
    dialog.open()
    return dialog


def tell(parent: QWidget | None, title: str, sentence: str, *, details: str = "") -> MessageDialog:
    """Show a message without waiting."""
    dialog = MessageDialog(title, sentence, details=details, parent=parent)
    dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
    dialog.open()
    return dialog
