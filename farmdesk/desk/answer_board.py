"""The large painted part of the scan strip; one paint, no layout, so that answers are quick."""

from __future__ import annotations

from PySide6 import QtCore, QtGui
from PySide6.QtCore import QPointF, QRectF, QSize
from PySide6.QtGui import QColor, QFont, QFontMetrics, QPainter, QPaintEvent, QPalette
from PySide6.QtWidgets import QWidget

from farmdesk.desk.answers import OUTCOME_WORDS, AnswerView
from farmdesk.desk.shapes import shape_picture
from farmdesk.desk.theme import Theme
from farmdesk.wording.language import tr

_TOP_LEFT, _TOP_RIGHT, _MIDDLE, _WRAP = 0x21, 0x22, 0x80, 0x1000
"""Qt's flags for text as numbers: the name `Qt` is too slow for the first paint (see window)."""
MARGIN = 10
LINES = 2
SMALLEST = 0.6
"""A sentence that does not fit two lines shrinks, but not below this share of its size."""


class AnswerBoard(QWidget):
    """Draws the meaning of scans, the outcome's shape and word, the sentence and the count."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = Theme()
        self._meaning = ""
        self._answer: AnswerView | None = None
        self._set_fonts()
        self.setAutoFillBackground(True)
        self.setBackgroundRole(QPalette.ColorRole.Base)
        self.setFixedHeight(self.sizeHint().height())
        self.setAccessibleName(tr("Last answer"))

    def show_answer(self, answer: AnswerView) -> None:
        """Paint another answer."""
        self._answer = answer
        word = OUTCOME_WORDS.get(answer.outcome, answer.outcome)
        self._announce(f"{word}. {answer.sentence} {answer.count_text}".strip())
        self.update()

    def set_meaning(self, meaning: str) -> None:
        """Paint another line of what scans mean."""
        self._meaning = meaning
        self.setAccessibleDescription(meaning)
        self.update()

    @property
    def meaning(self) -> str:
        """The line at the top, as painted."""
        return self._meaning

    def set_theme(self, theme: Theme) -> None:
        """Take over colours and sizes."""
        self._theme = theme
        self._set_fonts()
        self.setFixedHeight(self.sizeHint().height())
        self.update()

    def _announce(self, text: str) -> None:
        self.setAccessibleName(text)
        accessible = QtGui.QAccessible
        if accessible.isActive():
            event = QtGui.QAccessibleEvent(self, accessible.Event.NameChanged)
            accessible.updateAccessibility(event)

    def _set_fonts(self) -> None:
        self._small = QFont(self.font())
        self._small.setPointSizeF(self._theme.text_pt * max(0.95, 1.3 - 0.15 * self._theme.scale))
        self._small_bold = QFont(self._small)
        self._small_bold.setBold(True)
        self._large = QFont(self.font())
        self._large.setPointSizeF(self._theme.answer_pt)
        self._large.setBold(True)
        self._small_height = QFontMetrics(self._small_bold).height()
        self._large_height = QFontMetrics(self._large).lineSpacing()

    def _shorten(self, text: str, room: float) -> str:
        metrics = QFontMetrics(self._small_bold)
        if metrics.horizontalAdvance(text) <= room:
            return text
        return metrics.elidedText(text, QtCore.Qt.TextElideMode.ElideRight, int(room))

    def _fitting(self, text: str, width: float, height: float) -> QFont:
        font = QFont(self._large)
        size = self._theme.answer_pt
        while size > self._theme.answer_pt * SMALLEST:
            font.setPointSizeF(size)
            box = QFontMetrics(font).boundingRect(0, 0, int(width), 10_000, _WRAP, text)
            if box.height() <= height and box.width() <= width:
                break
            size *= 0.92
        return font

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's own name
        """Two lines of the answer below one small line."""
        height = self._large_height * LINES + self._small_height + MARGIN * 2 + 4
        return QSize(700, height)

    def minimumSizeHint(self) -> QSize:  # noqa: N802 - Qt's own name
        """As high as wished, but narrow."""
        return QSize(320, self.sizeHint().height())

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: ARG002, N802 - Qt's own name
        """Paint everything."""
        painter = QPainter(self)
        inner = QRectF(self.rect()).adjusted(10 + MARGIN, MARGIN, -MARGIN, -MARGIN)
        middle = inner.adjusted(0, self._small_height + 4, 0, 0)
        answer = self._answer
        if answer is None:
            self._paint_top(painter, inner)
            painter.setFont(self._large)
            painter.drawText(middle, _MIDDLE, tr("Ready to scan"))
            return
        outcomes = self._theme.colours.outcomes
        look = outcomes.get(answer.outcome, outcomes[""])
        painter.fillRect(self.rect(), QColor(look.ground))
        painter.fillRect(0, 0, 10, self.height(), QColor(look.shape))
        painter.setPen(QColor(look.text))
        self._paint_top(painter, inner)
        self._paint_answer(painter, middle, answer, look.shape)

    def _paint_top(self, painter: QPainter, inner: QRectF) -> None:
        painter.setFont(self._small_bold)
        room = inner.width()
        told = self._told()
        if told:
            painter.drawText(inner, _TOP_RIGHT, told)
            room -= QFontMetrics(self._small_bold).horizontalAdvance(told) + 2 * MARGIN
        text = self._shorten(self._meaning, room)
        painter.drawText(inner, _TOP_LEFT, text)

    def _told(self) -> str:
        """The outcome's word, where the bag stands now, and the count."""
        answer = self._answer
        if answer is None:
            return ""
        word = OUTCOME_WORDS.get(answer.outcome, answer.outcome)
        parts = (word, answer.stage, answer.room, answer.count_text)
        return "  ·  ".join(part for part in parts if part)

    def _paint_answer(
        self, painter: QPainter, middle: QRectF, answer: AnswerView, colour: str
    ) -> None:
        side = min(middle.height(), self._large_height * 1.5)
        top_left = QPointF(middle.left(), middle.center().y() - side / 2)
        shape = shape_picture(answer.outcome, side, colour, self.devicePixelRatioF())
        painter.drawImage(top_left, shape)
        place = middle.adjusted(side + MARGIN, 0, 0, 0)
        painter.setFont(self._fitting(answer.sentence, place.width(), place.height()))
        option = QtGui.QTextOption(
            QtCore.Qt.AlignmentFlag.AlignVCenter | QtCore.Qt.AlignmentFlag.AlignLeft
        )
        option.setWrapMode(QtGui.QTextOption.WrapMode.WrapAtWordBoundaryOrAnywhere)
        painter.drawText(place, answer.sentence, option)
