"""The bench view: the whole screen for scans, to be read at two metres and pressed with gloves."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from PySide6.QtCore import QRectF, Qt, Signal
from PySide6.QtGui import (
    QCloseEvent,
    QColor,
    QFont,
    QFontMetrics,
    QKeyEvent,
    QPainter,
    QPaintEvent,
    QResizeEvent,
)
from PySide6.QtWidgets import QHBoxLayout, QLabel, QLineEdit, QPushButton, QVBoxLayout, QWidget

from farmdesk.desk.answers import ACTS, OUTCOME_WORDS, ActLine, AnswerView
from farmdesk.desk.shapes import draw_shape
from farmdesk.desk.theme import TARGET_PX, Theme
from farmdesk.wording.language import tr

GLOVE_PX = 64
"""The least height of what is pressed with gloves."""
FRAME_PX = 6
"""Padding and border above and below a button's text."""
LETTERS = 12
"""The answer's letters are a twelfth of the screen's height; a long sentence shrinks a little."""
SMALLEST = 0.55
SIDE_PX, GAP_PX = 16, 8
BOARD_LETTERS = 3.6
"""Least height of the answer, in its letters: the word, and the sentence or the count below."""
READY = tr("Ready to scan")
LONGEST_LINE = 200


class BenchAnswer(QWidget):
    """Paints the outcome's shape and word, the count and the sentence as large as fits."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.theme = Theme()
        self.letter_px = 60
        self.answer: AnswerView | None = None
        self.setAccessibleName(READY)
        self.setMinimumHeight(120)

    def show_answer(self, answer: AnswerView) -> None:
        """Paint another answer."""
        self.answer = answer
        word = OUTCOME_WORDS.get(answer.outcome, answer.outcome)
        self.setAccessibleName(f"{word}. {answer.sentence} {answer.count_text}".strip())
        self.update()

    def font_for(self, text: str, width: float, height: float) -> QFont:
        """The largest letters in which the text fits, never under the least share."""
        font = _bold(self.font(), self.letter_px)
        px = float(self.letter_px)
        while px > self.letter_px * SMALLEST:
            font.setPixelSize(round(px))
            wrap = int(Qt.TextFlag.TextWordWrap)
            box = QFontMetrics(font).boundingRect(0, 0, int(width), 10_000, wrap, text)
            if box.height() <= height and box.width() <= width:
                break
            px *= 0.93
        return font

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: ARG002, N802 - Qt's own name
        """Paint everything at once."""
        painter = QPainter(self)
        answer = self.answer
        outcomes = self.theme.colours.outcomes
        look = outcomes.get(answer.outcome if answer else "", outcomes[""])
        painter.fillRect(self.rect(), QColor(look.ground))
        painter.fillRect(0, 0, 16, self.height(), QColor(look.shape))
        painter.setPen(QColor(look.text))
        inner = QRectF(self.rect()).adjusted(36, 10, -20, -10)
        if answer is None:
            painter.setFont(_bold(self.font(), self.letter_px))
            painter.drawText(inner, int(Qt.AlignmentFlag.AlignVCenter), READY)
            return
        side = min(inner.height(), self.letter_px * 2.2)
        box = QRectF(inner.left(), inner.center().y() - side / 2, side, side)
        draw_shape(painter, answer.outcome, box, QColor(look.shape))
        painter.setPen(QColor(look.text))
        self._paint_words(painter, inner.adjusted(side + 28, 0, 0, 0), answer)

    def _paint_words(self, painter: QPainter, room: QRectF, answer: AnswerView) -> None:
        top = _bold(self.font(), self.letter_px)
        metrics = QFontMetrics(top)
        painter.setFont(top)
        word = OUTCOME_WORDS.get(answer.outcome, answer.outcome)
        left = int(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop)
        painter.drawText(room, left, word)
        place = room.adjusted(0, metrics.height(), 0, 0)
        free = room.width() - metrics.horizontalAdvance(word) - metrics.height()
        if answer.count_text and metrics.horizontalAdvance(answer.count_text) > free:
            painter.setFont(self.font_for(answer.count_text, place.width(), metrics.height()))
            painter.drawText(place, left, answer.count_text)
            place = place.adjusted(0, metrics.height(), 0, 0)
        elif answer.count_text:
            right = int(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignTop)
            painter.drawText(room, right, answer.count_text)
        painter.setFont(self.font_for(answer.sentence, place.width(), place.height()))
        flags = int(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop)
        painter.drawText(place, flags | int(Qt.TextFlag.TextWordWrap), answer.sentence)


class BenchView(QWidget):
    """A window of its own over the whole screen; lines, replies and undo leave as signals."""

    line_entered = Signal(str)
    replied = Signal(bool)
    undo_asked = Signal(str)
    """An act's id, to take back."""
    redo_asked = Signal()
    mute_asked = Signal()
    left = Signal()

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent, Qt.WindowType.Window)
        self.setWindowTitle(tr("Bench – Farmdesk"))
        self.setAccessibleName(tr("Bench view"))
        self.theme = theme
        self._acts: Sequence[ActLine] = ()
        self._build()
        self.set_theme(theme)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)

    @property
    def is_asking(self) -> bool:
        """Whether a question waits for Yes or No."""
        return not self.replies.isHidden()

    def show_answer(self, view: AnswerView) -> None:
        """Show what came of a scan; a question brings Yes and No."""
        self.board.show_answer(view)
        self.replies.setVisible(view.asks)
        if view.asks:
            self.setFocus()

    def set_meaning(self, meaning: str) -> None:
        """Say what scans mean now."""
        self.meaning.setText(meaning)
        self._fit_acts()

    def set_pick(self, text: str) -> None:
        """Say which crate is being filled, with how many bags, and the last weight."""
        self.pick.setText(text)
        self.pick.setVisible(bool(text))
        self._fit_acts()

    def set_scale(self, text: str) -> None:
        """Say what the scale shows now, and whether it is at rest."""
        self.scale.setText(text)
        self.scale.setVisible(bool(text))
        self._fit_acts()

    def set_acts(self, acts: Sequence[ActLine]) -> None:
        """Show the newest acts, each with its undo."""
        self._acts = tuple(acts[:ACTS])
        for number, (time, text, button) in enumerate(self._rows):
            act = self._acts[number] if number < len(self._acts) else None
            time.setText(act.time if act else "")
            text.setText(act.text if act else "")
            text.setToolTip(act.text if act else "")
            button.setAccessibleName(
                tr("Undo: {text}").format(text=act.text) if act else tr("Undo")
            )
        self._fit_acts()

    def set_muted(self, is_muted: bool) -> None:
        """Say on the button whether sounds are heard."""
        self.mute_button.setText(tr("Sound is off") if is_muted else tr("Sound is on"))

    def set_theme(self, theme: Theme) -> None:
        """Take over colours and sizes."""
        self.theme = self.board.theme = theme
        self._fit()
        self.board.update()

    # ---- building

    def _build(self) -> None:
        self.meaning = QLabel(self)
        self.meaning.setWordWrap(True)
        self.mute_button = self._button(tr("Sound is on"), self.mute_asked.emit)
        self.leave_button = self._button(tr("Leave (Esc)"), self.close)
        self.board = BenchAnswer(self)
        self.pick = QLabel(self)
        self.pick.setWordWrap(True)
        self.pick.hide()
        self.scale = QLabel(self)
        self.scale.setWordWrap(True)
        self.scale.setAccessibleName(tr("Scale"))
        self.scale.hide()
        self.field = QLineEdit(self)
        self.field.setMaxLength(LONGEST_LINE)
        self.field.setPlaceholderText(tr("Scan, or type a code or a weight"))
        self.field.setAccessibleName(tr("Code or weight"))
        self.field.returnPressed.connect(self._enter_typed)
        self.yes_button = self._button(tr("Yes (Y)"), lambda: self._reply(True))
        self.no_button = self._button(tr("No (N)"), lambda: self._reply(False))
        self.replies = QWidget(self)
        self.replies.setLayout(_row(self.yes_button, self.no_button))
        self.replies.hide()
        column = QVBoxLayout(self)
        column.setContentsMargins(SIDE_PX, 10, SIDE_PX, 10)
        column.addLayout(_row(self.meaning, self.mute_button, self.leave_button))
        column.addWidget(self.board, 1)
        column.addWidget(self.pick)
        column.addWidget(self.scale)
        column.addLayout(_row(self.field, self.replies))
        self._rows = [self._add_act(column, number) for number in range(ACTS)]

    def _add_act(self, column: QVBoxLayout, number: int) -> tuple[QLabel, QLabel, QPushButton]:
        time, text = QLabel(self), QLabel(self)
        text.setMinimumWidth(40)
        text.setTextFormat(Qt.TextFormat.PlainText)
        key = " (Ctrl+Z)" if number == 0 else ""
        button = self._button(tr("Undo{key}").format(key=key), lambda: self._undo(number))
        button.hide()
        row = QHBoxLayout()
        row.addWidget(time)
        row.addWidget(text, 1)
        row.addWidget(button)
        column.addLayout(row)
        return time, text, button

    def _button(self, title: str, then: Callable[[], object]) -> QPushButton:
        button = QPushButton(title, self)
        button.setAutoDefault(False)
        button.clicked.connect(lambda _=False: then())
        return button

    def _fit(self) -> None:
        """Letters by the screen's height; text that is read near by also by its own scale."""
        height = max(480, self.height())
        self.board.letter_px = -(-min(height, self.width()) // LETTERS)
        self.board.setMinimumHeight(round(self.board.letter_px * BOARD_LETTERS))
        near = 1 + (max(1.0, self.theme.scale) - 1) * 0.35
        near_px = min(height, self.width() * 0.7)
        self.meaning.setFont(_bold(self.font(), round(near_px / 24 * near)))
        for line in (self.pick, self.scale):
            line.setFont(_bold(self.font(), round(near_px / 30 * near)))
        small = QFont(self.font())
        small.setPixelSize(round(height / 40 * near))
        for time, text, button in self._rows:
            for part in (time, text, button):
                part.setFont(small)
            time.setFixedWidth(QFontMetrics(small).horizontalAdvance("00/00/0000 00:00 AM  "))
            tall = max(TARGET_PX, QFontMetrics(small).height() + 12) - FRAME_PX
            button.setStyleSheet(f"min-height: {tall}px;")
        large = f"font-size: {round(height / 32 * near)}px; min-height: {GLOVE_PX}px;"
        for pressed in (self.yes_button, self.no_button, self.field):
            pressed.setStyleSheet(large)
            pressed.setMinimumWidth(round(height / 5))
        self._fit_acts()

    def _fit_acts(self) -> None:
        """Show as many of the last acts as leave the answer its letters; the newest always."""
        wide = self.width() - 2 * SIDE_PX
        side = self.mute_button.sizeHint().width() + self.leave_button.sizeHint().width()
        lines = [line for line in (self.pick, self.scale) if not line.isHidden()]
        taken = self.board.minimumHeight() + max(GLOVE_PX, self.field.sizeHint().height())
        taken += self.meaning.heightForWidth(wide - side - 2 * GAP_PX)
        taken += sum(line.heightForWidth(wide) for line in lines) + GAP_PX * (len(lines) + 4)
        row = self._rows[0][2].sizeHint().height() + GAP_PX
        shown = max(1, min(ACTS, (self.height() - taken) // row))
        for number, (time, text, button) in enumerate(self._rows):
            act = self._acts[number] if number < len(self._acts) else None
            time.setVisible(number < shown)
            text.setVisible(number < shown)
            button.setVisible(number < shown and act is not None and act.can_undo)

    # ---- doing

    def _enter_typed(self) -> None:
        text = self.field.text().strip()
        self.field.clear()
        if text:
            self.line_entered.emit(text)
        elif self.is_asking:
            self._reply(True)

    def _reply(self, yes: bool) -> None:
        if self.is_asking:
            self.replies.hide()
            self.replied.emit(yes)

    def _undo(self, number: int) -> None:
        if number < len(self._acts) and self._acts[number].can_undo:
            self.undo_asked.emit(self._acts[number].act)

    def _undo_newest(self) -> None:
        for number, act in enumerate(self._acts):
            if act.can_undo:
                self._undo(number)
                return

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's own name
        """Y, N, Enter and Esc answer a question; Esc and F11 leave; Ctrl+Z takes back.

        Ctrl+Shift+Z does again what was taken back.
        """
        key, keys = event.key(), Qt.Key
        control, shift = Qt.KeyboardModifier.ControlModifier, Qt.KeyboardModifier.ShiftModifier
        is_control = event.modifiers() == control
        if self.is_asking and key in (keys.Key_Y, keys.Key_Return, keys.Key_Enter):
            self._reply(True)
        elif self.is_asking and key in (keys.Key_N, keys.Key_Escape):
            self._reply(False)
        elif is_control and key == keys.Key_F11:
            self.mute_asked.emit()
        elif key in (keys.Key_Escape, keys.Key_F11):
            self.close()
        elif is_control and key == keys.Key_Z:
            self._undo_newest()
        elif event.modifiers() == control | shift and key == keys.Key_Z:
            self.redo_asked.emit()
        else:
            super().keyPressEvent(event)

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's own name
        """Fit the letters to the screen."""
        super().resizeEvent(event)
        self._fit()

    def closeEvent(self, event: QCloseEvent) -> None:  # noqa: N802 - Qt's own name
        """Say that the bench view was left."""
        super().closeEvent(event)
        self.left.emit()


def _bold(base: QFont, px: int) -> QFont:
    font = QFont(base)
    font.setPixelSize(max(1, px))
    font.setBold(True)
    return font


def _row(*parts: QWidget) -> QHBoxLayout:
    row = QHBoxLayout()
    row.setContentsMargins(0, 0, 0, 0)
    for number, part in enumerate(parts):
        row.addWidget(part, 1 if number == 0 else 0)
    return row
