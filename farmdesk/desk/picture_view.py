"""A picture with the codes that were found in it, each with its number or sign."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QImage, QPainter, QPaintEvent, QPen, QPixmap, QPolygonF
from PySide6.QtWidgets import QSizePolicy, QWidget

from farmdesk.devices.pictures import PictureCode
from farmdesk.wording.language import tr, tr_count

INK, PAPER = QColor("#003a70"), QColor("#ffffff")
"""Dark blue on white, and white round it: seen on light and on dark pictures."""
LEAST = QSize(280, 200)


class PictureView(QWidget):
    """Shows one picture as large as it fits, or what `empty` says while there is none."""

    def __init__(self, empty: str) -> None:
        super().__init__()
        self._empty = empty
        self._pixmap = QPixmap()
        self._codes: list[tuple[str, PictureCode]] = []
        self.setMinimumSize(LEAST)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.show_picture(QImage(), ())

    def show_picture(self, image: QImage, codes: Sequence[tuple[str, PictureCode]]) -> None:
        """Show this picture with these codes, each with its number or sign."""
        self._pixmap = QPixmap.fromImage(image)
        self._codes = list(codes)
        count = len(self._codes)
        told = tr_count(count, "A picture with {n} code", "A picture with {n} codes")
        self.setAccessibleName(told.format(n=count) if count else tr("No picture yet"))
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: ARG002, N802 - Qt's own name
        """Paint the picture, then a frame and its sign on each code."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
        if self._pixmap.isNull():
            flags = int(Qt.AlignmentFlag.AlignCenter) | int(Qt.TextFlag.TextWordWrap)
            painter.setPen(self.palette().windowText().color())
            painter.drawText(QRectF(self.rect()).adjusted(12, 12, -12, -12), flags, self._empty)
            return
        place = place_in(self._pixmap.size(), self.size())
        painter.drawPixmap(place, self._pixmap, QRectF(self._pixmap.rect()))
        for sign, code in self._codes:
            self._mark(painter, place, sign, code)

    def _mark(self, painter: QPainter, place: QRectF, sign: str, code: PictureCode) -> None:
        points = [
            QPointF(place.left() + x * place.width(), place.top() + y * place.height())
            for x, y in code.corners
        ]
        painter.setBrush(Qt.BrushStyle.NoBrush)
        for colour, width in ((PAPER, 5), (INK, 2.5)):
            painter.setPen(QPen(colour, width))
            painter.drawPolygon(QPolygonF(points))
        if points:
            self._write(painter, points[0], sign)

    def _write(self, painter: QPainter, at: QPointF, text: str) -> None:
        metrics = painter.fontMetrics()
        side = max(metrics.height(), metrics.horizontalAdvance(text)) + 8
        box = QRectF(at.x() - side / 2, at.y() - side / 2, side, side)
        painter.setPen(QPen(INK, 2))
        painter.setBrush(PAPER)
        painter.drawEllipse(box)
        painter.setPen(INK)
        painter.drawText(box, int(Qt.AlignmentFlag.AlignCenter), text)


def place_in(size: QSize, room: QSize) -> QRectF:
    """Where a picture of this size stands, whole and in the middle of this room."""
    fit = size.scaled(room, Qt.AspectRatioMode.KeepAspectRatio)
    left, top = (room.width() - fit.width()) / 2, (room.height() - fit.height()) / 2
    return QRectF(left, top, fit.width(), fit.height())
