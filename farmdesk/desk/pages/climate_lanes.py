"""The batches of a room under its climate: a bar for each, from when to when it stood there."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from PySide6.QtCore import QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QBrush,
    QColor,
    QFocusEvent,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPen,
)
from PySide6.QtWidgets import QWidget

from farmdesk.reports.room_batches import Bout, Lane
from farmdesk.wording.formats import Formats
from farmdesk.wording.language import tr

Span = Callable[[], tuple[float, float] | None]
_MARGIN = 6.0
_GAP = 3


class LanesView(QWidget):
    """Bars of batches over the same time as a chart above them.

    A full bar is a batch with opened bags, a hatched one a batch not opened yet. Up and Down go
    from batch to batch, Enter opens one.
    """

    opened = Signal(str)
    """The name of a batch that was opened."""

    def __init__(self, formats: Formats, span: Span, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._formats = formats
        self._span = span
        self.lanes: Sequence[Lane] = ()
        self.place: int | None = None
        self._start, self._end = 0, 1
        self.setAccessibleName(tr("Batches in the room"))
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMouseTracking(True)

    def show_lanes(self, lanes: Sequence[Lane], start: int, end: int) -> None:
        """Show these batches from a second to another."""
        self.lanes = lanes
        self.place = None
        self._start, self._end = start, max(end, start + 1)
        self.setAccessibleDescription(self.describe())
        self.updateGeometry()
        self.update()

    def describe(self) -> str:
        """All batches in words."""
        return "; ".join(self.describe_lane(one) for one in self.lanes)

    def describe_lane(self, lane: Lane) -> str:
        """One batch in words: its bags, and whether they are opened."""
        bags = self._formats.count(lane.bags, "bag", "bags")
        opened = tr("opened for {hours} h").format(hours=lane.open_hours)
        return f"{lane.name}, {lane.species}: {bags}, {opened}"

    # ---- Qt's own

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's own name
        """A row for each batch."""
        return QSize(300, max(1, len(self.lanes)) * self._row + 2 * _GAP)

    def minimumSizeHint(self) -> QSize:  # noqa: N802 - Qt's own name
        """As high as its batches need: it stands in an area that scrolls."""
        return QSize(120, self.sizeHint().height())

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: ARG002, N802 - Qt's own name
        """Paint the bars."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if not self.lanes:
            painter.setPen(self.palette().placeholderText().color())
            text = tr("No batch stood here in these days.")
            painter.drawText(self.rect(), int(Qt.AlignmentFlag.AlignCenter), text)
        for at, lane in enumerate(self.lanes):
            self._paint_lane(painter, at, lane)
        if self.hasFocus():
            painter.setPen(self.palette().highlight().color())
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRect(QRectF(self.rect()).adjusted(1, 1, -1, -1))

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's own name
        """Go along the batches."""
        key, count = event.key(), len(self.lanes)
        if key in (Qt.Key.Key_Up, Qt.Key.Key_Down) and count:
            step = -1 if key == Qt.Key.Key_Up else 1
            place = (0 if step > 0 else count - 1) if self.place is None else self.place + step
            self._go_to(min(count - 1, max(0, place)))
        elif key in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and self.place is not None:
            self.opened.emit(self.lanes[self.place].name)
        else:
            super().keyPressEvent(event)

    def mousePressEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's own name
        """Choose the batch under the mouse."""
        super().mousePressEvent(event)
        at = self._at(event.position().y())
        if at is not None:
            self._go_to(at)

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's own name
        """Open the batch under the mouse."""
        at = self._at(event.position().y())
        if at is not None:
            self.opened.emit(self.lanes[at].name)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's own name
        """Say which batch is under the mouse."""
        at = self._at(event.position().y())
        self.setToolTip("" if at is None else self.describe_lane(self.lanes[at]))

    def focusInEvent(self, event: QFocusEvent) -> None:  # noqa: N802 - Qt's own name
        """Show the focus."""
        super().focusInEvent(event)
        self.update()

    def focusOutEvent(self, event: QFocusEvent) -> None:  # noqa: N802 - Qt's own name
        """Show that the focus is gone."""
        super().focusOutEvent(event)
        self.update()

    # ---- inner workings

    @property
    def _row(self) -> int:
        return self.fontMetrics().height() + 2 * _GAP

    def _at(self, y: float) -> int | None:
        at = int((y - _GAP) // self._row)
        return at if 0 <= at < len(self.lanes) else None

    def _go_to(self, place: int) -> None:
        self.place = place
        self.setAccessibleDescription(self.describe_lane(self.lanes[place]))
        self.update()

    def _paint_lane(self, painter: QPainter, at: int, lane: Lane) -> None:
        left, right = self._span() or (_MARGIN, self.width() - _MARGIN)
        top = _GAP + at * self._row
        ink = self.palette().windowText().color()
        boxes = [self._box(one, left, right, top) for one in lane.bouts]
        for bout, box in zip(lane.bouts, boxes, strict=True):
            # Full against hatched, and the words on it, say the same as the shade.
            shade = QColor(self.palette().highlight().color())
            shade.setAlpha(150 if bout.is_open else 110)
            style = Qt.BrushStyle.SolidPattern if bout.is_open else Qt.BrushStyle.FDiagPattern
            painter.setBrush(QBrush(shade, style))
            painter.setPen(QPen(ink, 2.0 if at == self.place else 0.8))
            painter.drawRect(box)
        self._write(painter, lane, boxes, left, right)

    def _box(self, bout: Bout, left: float, right: float, top: float) -> QRectF:
        scale = (right - left) / (self._end - self._start)
        first = left + max(0, bout.start - self._start) * scale
        last = left + (min(bout.end, self._end) - self._start) * scale
        return QRectF(first, top + 1, max(3.0, last - first), self._row - 3)

    def _write(
        self, painter: QPainter, lane: Lane, boxes: Sequence[QRectF], left: float, right: float
    ) -> None:
        """The batch's name on a ground of its own, so that it can be read on any bar."""
        metrics = self.fontMetrics()
        text = f"{lane.name} · {self._formats.count(lane.bags, 'bag', 'bags')}"
        wide = metrics.horizontalAdvance(text) + 8
        x = max(left, min(boxes[0].left() + 4, right - wide))
        ground = QRectF(x, boxes[0].top() + 2, wide, boxes[0].height() - 4)
        painter.fillRect(ground, self.palette().base())
        painter.setPen(self.palette().text().color())
        painter.drawText(ground, int(Qt.AlignmentFlag.AlignCenter), text)
