"""A small picture of a label sheet, on which the first free label is pointed at."""

from __future__ import annotations

from PySide6.QtCore import QRectF, QSize, Qt, Signal
from PySide6.QtGui import QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from farmdesk.labels.sheets import label_corner_mm
from farmdesk.labels.stocks import Stock
from farmdesk.wording.language import tr

_EDGE = 6
_HIGH = 170


class SheetPicture(QWidget):
    """Arrow keys, Home, End or a click choose the label to start at, counted by rows from 1."""

    start_chosen = Signal(int)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.stock: Stock | None = None
        self._start = 1
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setFixedHeight(_HIGH)
        self._describe()

    @property
    def start(self) -> int:
        """The label to start at."""
        return self._start

    def show_stock(self, stock: Stock | None, start: int) -> None:
        """Show a stock's sheet; a place that it has not is brought within it."""
        self.stock = stock
        self._start = max(1, min(start, stock.labels if stock else 1))
        self._describe()
        self.update()

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's own name
        """Wide enough for an upright sheet."""
        return QSize(_HIGH, _HIGH)

    def label_rect(self, place: int) -> QRectF:
        """Where a label (from 1) is on the picture, pixels."""
        if self.stock is None:
            return QRectF()
        scale, left, top = self._scale()
        x, y = label_corner_mm(self.stock, place - 1)
        wide, tall = self.stock.label_width_um / 1000, self.stock.label_height_um / 1000
        return QRectF(left + x * scale, top + y * scale, wide * scale, tall * scale)

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: ARG002, N802 - Qt's own name
        """Used labels are crossed out, the first free one is filled, the others are outlined."""
        if self.stock is None:
            return
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        colours = self.palette()
        scale, left, top = self._scale()
        page = QRectF(
            left, top, self.stock.page_width_um / 1000 * scale,
            self.stock.page_height_um / 1000 * scale,
        )  # fmt: skip
        painter.fillRect(page, colours.base())
        outline = QPen(colours.text().color(), 1)
        painter.setPen(QPen(colours.highlight().color(), 3) if self.hasFocus() else outline)
        painter.drawRect(page)
        painter.setPen(outline)
        for place in range(1, self.stock.labels + 1):
            rect = self.label_rect(place)
            if place == self._start:
                painter.fillRect(rect, colours.highlight())
            painter.drawRect(rect)
            if place < self._start:
                painter.drawLine(rect.topLeft(), rect.bottomRight())

    def mousePressEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's own name
        """Start at the label that was clicked."""
        count = self.stock.labels if self.stock else 0
        at = event.position()
        hit = [place for place in range(1, count + 1) if self.label_rect(place).contains(at)]
        if hit:
            self._choose(hit[0])

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's own name
        """Move by label and row."""
        if self.stock is None:
            return
        steps = {
            Qt.Key.Key_Left: -1,
            Qt.Key.Key_Right: 1,
            Qt.Key.Key_Up: -self.stock.columns,
            Qt.Key.Key_Down: self.stock.columns,
            Qt.Key.Key_Home: -self.stock.labels,
            Qt.Key.Key_End: self.stock.labels,
        }
        step = steps.get(Qt.Key(event.key()))
        if step is None:
            super().keyPressEvent(event)
        else:
            self._choose(max(1, min(self._start + step, self.stock.labels)))

    def _choose(self, place: int) -> None:
        self.show_stock(self.stock, place)
        self.start_chosen.emit(self._start)

    def _scale(self) -> tuple[float, float, float]:
        """Pixels for a millimetre, and the page's corner: in the middle of the picture."""
        assert self.stock is not None
        wide, tall = self.stock.page_width_um / 1000, self.stock.page_height_um / 1000
        scale = min((self.width() - 2 * _EDGE) / wide, (self.height() - 2 * _EDGE) / tall)
        return scale, (self.width() - wide * scale) / 2, (self.height() - tall * scale) / 2

    def _describe(self) -> None:
        columns = self.stock.columns if self.stock else 1
        row, column = divmod(self._start - 1, columns)
        self.setAccessibleName(tr("First free label on the sheet"))
        told = tr("Label {place} of {count}: row {row}, column {column}").format(
            place=self._start,
            count=self.stock.labels if self.stock else 0,
            row=row + 1,
            column=column + 1,
        )
        self.setAccessibleDescription(told)
        self.setToolTip(told)
