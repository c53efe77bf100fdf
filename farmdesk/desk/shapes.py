"""The shapes of scan outcomes, drawn by hand so that they are there at the first paint."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from functools import lru_cache

from PySide6 import QtCore
from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QColor, QImage, QPainter, QPainterPath, QPen, QPolygonF


def draw_shape(painter: QPainter, outcome: str, box: QRectF, colour: QColor) -> None:
    """Draw the shape of an outcome into a square: each has an outline of its own."""
    draw = _SHAPES.get(outcome)
    if draw is None:
        return
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    pen = QPen(colour, max(2.0, box.width() * 0.1))
    pen.setCapStyle(QtCore.Qt.PenCapStyle.RoundCap)
    pen.setJoinStyle(QtCore.Qt.PenJoinStyle.RoundJoin)
    painter.setPen(pen)
    painter.setBrush(QtCore.Qt.BrushStyle.NoBrush)
    half = pen.widthF() / 2
    draw(painter, box.adjusted(half, half, -half, -half))
    painter.restore()


@lru_cache(maxsize=32)
def shape_picture(outcome: str, side: float, colour: str, pixel_ratio: float) -> QImage:
    """The shape of an outcome in a square of so many points, for a screen of this pixel ratio.

    Drawn once and kept: drawing takes as long as all the rest of an answer.
    """
    pixels = math.ceil(side * pixel_ratio)
    # An image, not a pixmap: one that is kept until the end outlives the screen.
    picture = QImage(pixels, pixels, QImage.Format.Format_ARGB32_Premultiplied)
    picture.setDevicePixelRatio(pixel_ratio)
    picture.fill(QtCore.Qt.GlobalColor.transparent)
    painter = QPainter(picture)
    draw_shape(painter, outcome, QRectF(0, 0, side, side), QColor(colour))
    painter.end()
    return picture


def _tick(painter: QPainter, box: QRectF, *, at: float = 0.0, size: float = 1.0) -> None:
    w, x, y = box.width() * size, box.left() + box.width() * at, box.top()
    path = QPainterPath(QPointF(x + w * 0.26, y + box.height() * 0.52))
    path.lineTo(x + w * 0.44, y + box.height() * 0.70)
    path.lineTo(x + w * 0.76, y + box.height() * 0.32)
    painter.drawPath(path)


def _done(painter: QPainter, box: QRectF) -> None:
    painter.drawEllipse(box)
    _tick(painter, box)


def _already(painter: QPainter, box: QRectF) -> None:
    third = box.height() / 6
    painter.drawRoundedRect(box.adjusted(0, third, 0, -third), third, third)
    _tick(painter, box, at=-0.1, size=0.95)
    _tick(painter, box, at=0.16, size=0.95)


def _ask(painter: QPainter, box: QRectF) -> None:
    centre = box.center()
    painter.drawPolygon(
        QPolygonF(
            [
                QPointF(centre.x(), box.top()),
                QPointF(box.right(), centre.y()),
                QPointF(centre.x(), box.bottom()),
                QPointF(box.left(), centre.y()),
            ]
        )
    )
    w = box.width()
    path = QPainterPath(QPointF(centre.x() - w * 0.11, centre.y() - w * 0.08))
    path.cubicTo(
        QPointF(centre.x() - w * 0.11, centre.y() - w * 0.27),
        QPointF(centre.x() + w * 0.15, centre.y() - w * 0.25),
        QPointF(centre.x() + w * 0.11, centre.y() - w * 0.08),
    )
    path.quadTo(
        QPointF(centre.x() + w * 0.08, centre.y()), QPointF(centre.x(), centre.y() + w * 0.08)
    )
    painter.drawPath(path)
    painter.drawPoint(QPointF(centre.x(), centre.y() + w * 0.25))


def _refused(painter: QPainter, box: QRectF) -> None:
    centre, radius = box.center(), box.width() / 2
    corners = [
        QPointF(
            centre.x() + radius * math.cos(math.pi / 8 + turn * math.pi / 4),
            centre.y() + radius * math.sin(math.pi / 8 + turn * math.pi / 4),
        )
        for turn in range(8)
    ]
    painter.drawPolygon(QPolygonF(corners))
    a = box.width() * 0.19
    painter.drawLine(centre + QPointF(-a, -a), centre + QPointF(a, a))
    painter.drawLine(centre + QPointF(-a, a), centre + QPointF(a, -a))


def _unknown(painter: QPainter, box: QRectF) -> None:
    pen = painter.pen()
    pen.setDashPattern([1.2, 1.6])
    painter.setPen(pen)
    painter.drawRect(box)
    pen.setStyle(QtCore.Qt.PenStyle.SolidLine)
    painter.setPen(pen)
    a = box.width() * 0.26
    for x in (-a, 0.0, a):
        painter.drawPoint(box.center() + QPointF(x, 0))


_SHAPES: Mapping[str, Callable[[QPainter, QRectF], None]] = {
    "done": _done,
    "already": _already,
    "ask": _ask,
    "refused": _refused,
    "unknown": _unknown,
}
