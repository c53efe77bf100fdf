"""The scan strip: what scans mean now, the last answer in large letters, a field to type."""

from __future__ import annotations

from collections.abc import Callable

from PySide6 import QtCore
from PySide6.QtCore import Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import (
    QApplication,
    QFrame,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QPushButton,
    QVBoxLayout,
    QWidget,
)
from shiboken6 import isValid

from farmdesk.desk.answer_board import AnswerBoard
from farmdesk.desk.answers import AnswerView
from farmdesk.desk.theme import Theme
from farmdesk.wording.language import tr

LONGEST_LINE = 200


class ScanStrip(QWidget):
    """Always in sight. A scanned or typed line leaves as `line_entered`."""

    line_entered = Signal(str)
    yes_answered = Signal()
    no_answered = Signal()

    def __init__(self, theme: Theme | None = None, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("scan_strip")
        self.setAccessibleName(tr("Scan strip"))
        self._claim: Callable[[str], object] | None = None
        self.is_covered = False
        """Whether the bench view is over it: lines are scans then, whoever they were lent to."""
        self._meaning = tr("No wall card scanned yet: a scan looks things up.")
        self._since = ""
        self._answer: AnswerView | None = None
        self._before: QWidget | None = None
        self._build()
        self.set_theme(theme or Theme())
        self.set_meaning(self._meaning)

    def show_answer(self, answer: AnswerView) -> None:
        """Show what came of a scan; a question waits for Yes or No."""
        self._answer = answer
        self.board.show_answer(answer)
        if self._buttons.isVisibleTo(self) != answer.asks:
            self._buttons.setVisible(answer.asks)
        if answer.asks:
            self._take_keys()
        else:
            self._give_keys_back()

    def _take_keys(self) -> None:
        """Y and N answer the question; whoever had the keys gets them again afterwards."""
        now = QApplication.focusWidget()
        if now is not None and now is not self and not self.isAncestorOf(now):
            self._before = now
        self.setFocus()

    def _give_keys_back(self) -> None:
        before, self._before = self._before, None
        if before is not None and self.hasFocus() and isValid(before) and before.isVisible():
            before.setFocus()

    @property
    def answer(self) -> AnswerView | None:
        """The answer shown now."""
        return self._answer

    @property
    def is_asking(self) -> bool:
        """Whether a question waits for Yes or No."""
        return self._answer is not None and self._answer.asks

    def set_meaning(self, meaning: str, since: str = "") -> None:
        """Say what scans mean now (the wall card in force) and since when."""
        self._meaning, self._since = meaning, since
        if self._claim is None:
            self.board.set_meaning(
                tr("{meaning}  ·  since {since}").format(meaning=meaning, since=since)
                if since
                else meaning
            )

    def enter_line(self, line: str) -> None:
        """Take one line, scanned or typed, as if it had been entered here."""
        text = line.strip()
        if not text:
            return
        if self._claim is not None and not self.is_covered:
            self._claim(text)
        else:
            self.line_entered.emit(text)

    def lend(self, title: str, function: Callable[[str], object]) -> None:
        """Give the next lines to a page or dialog until `take_back`; the strip says so."""
        self._claim = function
        self.board.set_meaning(title)

    def take_back(self) -> None:
        """Lines are scans again."""
        self._claim = None
        self.set_meaning(self._meaning, self._since)

    def focus_field(self) -> None:
        """Put the cursor on the field for typing a code."""
        self.field.setFocus()
        self.field.selectAll()

    def set_theme(self, theme: Theme) -> None:
        """Take over colours and sizes."""
        self.board.set_theme(theme)
        self.field.setMinimumHeight(theme.target_px)
        self.field.setFixedWidth(round(230 * (0.5 + theme.scale / 2)))

    def finish(self) -> None:
        """What the first paint does not need: a click gives the strip the keys."""
        self.setFocusPolicy(QtCore.Qt.FocusPolicy.ClickFocus)

    def _build(self) -> None:
        self.board = AnswerBoard(self)
        self.field = QLineEdit(self)
        self.field.setMaxLength(LONGEST_LINE)
        self.field.setPlaceholderText(tr("Scan, or type a code"))
        self.field.setAccessibleName(tr("Code to look up or act on"))
        self.field.returnPressed.connect(self._enter_typed)
        hint = QLabel(tr("&Code (F2)"), self)
        hint.setBuddy(self.field)
        self._buttons = self._make_buttons()
        side = QFrame(self)
        side.setObjectName("scan_side")
        column = QVBoxLayout(side)
        column.setContentsMargins(12, 8, 12, 8)
        column.addStretch(1)
        column.addWidget(hint)
        column.addWidget(self.field)
        column.addWidget(self._buttons)
        column.addStretch(1)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(0)
        row.addWidget(self.board, 1)
        row.addWidget(side)

    def _make_buttons(self) -> QWidget:
        holder = QWidget(self)
        row = QHBoxLayout(holder)
        row.setContentsMargins(0, 0, 0, 0)
        self.yes_button = QPushButton(tr("Yes (Y)"), holder)
        self.no_button = QPushButton(tr("No (N)"), holder)
        self.yes_button.clicked.connect(lambda: self._reply(yes=True))
        self.no_button.clicked.connect(lambda: self._reply(yes=False))
        row.addWidget(self.yes_button)
        row.addWidget(self.no_button)
        holder.hide()
        return holder

    def _enter_typed(self) -> None:
        text = self.field.text()
        self.field.clear()
        if text.strip():
            self.enter_line(text)
        elif self.is_asking:
            self._reply(yes=True)

    def _reply(self, *, yes: bool) -> None:
        if not self.is_asking:
            return
        self._buttons.hide()
        self._answer = None
        self._give_keys_back()
        (self.yes_answered if yes else self.no_answered).emit()

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's own name
        """Y or Enter says yes, N or Esc says no, while a question waits."""
        key, keys = event.key(), QtCore.Qt.Key
        if self.is_asking and key in (keys.Key_Y, keys.Key_Return, keys.Key_Enter):
            self._reply(yes=True)
        elif self.is_asking and key in (keys.Key_N, keys.Key_Escape):
            self._reply(yes=False)
        else:
            super().keyPressEvent(event)
