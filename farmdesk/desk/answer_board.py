"""The large painted part of the scan strip; one paint, no layout, so that answers are quick."""

from __future__ import annotations

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import (
    QAccessible,
    QAccessibleEvent,
    QColor,
    QFont,
    QFontMetrics,
    QPainter,
    QPaintEvent,
    QTextOption,
)
from PySide6.QtWidgets import QSizePolicy, QWidget

from farmdesk.desk.answers import AnswerView
from farmdesk.desk.messages import OUTCOME_WORDS
from farmdesk.desk.shapes import draw_shape
from farmdesk.desk.theme import Theme

MARGIN = 14
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
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setAccessibleName("Last answer")

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
        self.updateGeometry()
        self.update()

    def _announce(self, text: str) -> None:
        self.setAccessibleName(text)
        if QAccessible.isActive():
            QAccessible.updateAccessibility(QAccessibleEvent(self, QAccessible.Event.NameChanged))

    def _set_fonts(self) -> None:
        self._small = QFont(self.font())
        self._small.setPointSizeF(self._theme.text_pt * 1.15)
        self._small_bold = QFont(self._small)
        self._small_bold.setWeight(QFont.Weight.DemiBold)
        self._large = QFont(self.font())
        self._large.setPointSizeF(self._theme.answer_pt)
        self._large.setWeight(QFont.Weight.DemiBold)
        self._small_height = QFontMetrics(self._small_bold).height()
        self._large_height = QFontMetrics(self._large).lineSpacing()

    def _fitting(self, text: str, width: float, height: float) -> QFont:
        font = QFont(self._large)
        size = self._theme.answer_pt
        while size > self._theme.answer_pt * SMALLEST:
            font.setPointSizeF(size)
            box = QFontMetrics(font).boundingRect(
                0, 0, int(width), 10_000, int(Qt.TextFlag.TextWordWrap), text
            )
            if box.height() <= height and box.width() <= width:
                break
            size *= 0.92
        return font

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's own name
        """Two lines of the answer between two small lines."""
        height = self._large_height * LINES + self._small_height * 2 + MARGIN * 2 + 8
        return QSize(700, height)

    def minimumSizeHint(self) -> QSize:  # noqa: N802 - Qt's own name
        """As high as wished, but narrow."""
        return QSize(320, self.sizeHint().height())

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: ARG002, N802 - Qt's own name
        """Paint everything."""
        painter = QPainter(self)
        answer = self._answer
        outcome = answer.outcome if answer is not None else ""
        colours = self._theme.colours
        look = colours.outcomes.get(outcome, colours.outcomes[""])
        painter.fillRect(self.rect(), QColor(look.ground))
        painter.fillRect(0, 0, 10, self.height(), QColor(look.shape))
        inner = QRectF(self.rect()).adjusted(10 + MARGIN, MARGIN, -MARGIN, -MARGIN)
        painter.setPen(QColor(look.text))
        self._paint_top(painter, inner)
        middle = inner.adjusted(0, self._small_height + 4, 0, -self._small_height - 4)
        if answer is None:
            painter.setFont(self._large)
            painter.drawText(middle, int(Qt.AlignmentFlag.AlignVCenter), "Ready to scan")
            return
        self._paint_answer(painter, middle, answer, look.shape)
        painter.setPen(QColor(look.text))
        self._paint_bottom(painter, inner, answer)

    def _paint_top(self, painter: QPainter, inner: QRectF) -> None:
        painter.setFont(self._small_bold)
        room = inner.width()
        count = self._answer.count_text if self._answer is not None else ""
        if count:
            flags = int(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignTop)
            painter.drawText(inner, flags, count)
            room -= QFontMetrics(self._small_bold).horizontalAdvance(count) + MARGIN
        text = QFontMetrics(self._small_bold).elidedText(
            self._meaning, Qt.TextElideMode.ElideRight, int(room)
        )
        painter.drawText(inner, int(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop), text)

    def _paint_answer(
        self, painter: QPainter, middle: QRectF, answer: AnswerView, colour: str
    ) -> None:
        side = min(middle.height(), self._large_height * 1.5)
        box = QRectF(middle.left(), middle.center().y() - side / 2, side, side)
        draw_shape(painter, answer.outcome, box, QColor(colour))
        place = middle.adjusted(side + MARGIN, 0, 0, 0)
        painter.setFont(self._fitting(answer.sentence, place.width(), place.height()))
        option = QTextOption(Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft)
        option.setWrapMode(QTextOption.WrapMode.WrapAtWordBoundaryOrAnywhere)
        painter.drawText(place, answer.sentence, option)

    def _paint_bottom(self, painter: QPainter, inner: QRectF, answer: AnswerView) -> None:
        word = OUTCOME_WORDS.get(answer.outcome, answer.outcome)
        parts = [part for part in (word, answer.subject, answer.stage, answer.room) if part]
        painter.setFont(self._small_bold)
        flags = int(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignBottom)
        text = QFontMetrics(self._small_bold).elidedText(
            "  ·  ".join(parts), Qt.TextElideMode.ElideRight, int(inner.width())
        )
        painter.drawText(inner, flags, text)
