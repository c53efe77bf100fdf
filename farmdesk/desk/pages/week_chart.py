"""A chart on the screen, from the same value that is drawn on paper and in workbooks."""

from __future__ import annotations

from collections.abc import Iterator

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QBrush, QColor, QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QWidget

from farmdesk.paper.charts import INKS, Chart, known, line_ink, pick_ticks
from farmdesk.wording.formats import Formats

_PATTERNS = (
    Qt.BrushStyle.SolidPattern,
    Qt.BrushStyle.SolidPattern,
    Qt.BrushStyle.BDiagPattern,
    Qt.BrushStyle.SolidPattern,
    Qt.BrushStyle.DiagCrossPattern,
    Qt.BrushStyle.FDiagPattern,
)
"""Neighbours part by hatching too, as colour alone says nothing to some."""
_DASHES = (Qt.PenStyle.SolidLine, Qt.PenStyle.DashLine, Qt.PenStyle.DotLine)


class ChartView(QWidget):
    """Paints one chart as large as it is allowed to be."""

    def __init__(self, formats: Formats) -> None:
        super().__init__()
        self._formats = formats
        self.chart: Chart | None = None
        self.setAccessibleName("Chart")

    def show_chart(self, chart: Chart) -> None:
        """Show a chart; its figures are told to screen readers as text."""
        self.chart = chart
        self.setAccessibleName(chart.title)
        self.setAccessibleDescription(self.describe())
        self.update()

    def minimumSizeHint(self) -> QSize:  # noqa: N802 - Qt's own name
        """Room for a legend and a plot at any text size."""
        return QSize(320, self.fontMetrics().height() * 12)

    def describe(self) -> str:
        """The figures of the chart in words."""
        if self.chart is None:
            return ""
        chart = self.chart
        return "; ".join(
            f"{one.name}: "
            + ", ".join(
                f"{category} {self._say(value)} {chart.unit}".strip()
                for category, value in zip(chart.categories, one.values, strict=True)
                if known(value)
            )
            for one in chart.series
        )

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: ARG002, N802 - Qt's own name
        """Paint the chart, from the back to the front."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if self.chart is None or not self.chart.series:
            painter.setPen(self.palette().placeholderText().color())
            text = "Nothing was picked in these weeks."
            painter.drawText(self.rect(), Qt.AlignmentFlag.AlignCenter, text)
            return
        _Drawing(painter, self.chart, QRectF(self.rect()), self, self._formats).draw()

    def _say(self, value: float) -> str:
        return self._formats.number(value, 1)


class _Drawing:
    """One painting of a chart in a box."""

    def __init__(
        self, painter: QPainter, chart: Chart, box: QRectF, view: QWidget, formats: Formats
    ) -> None:
        self._painter, self._chart, self._formats = painter, chart, formats
        self._metrics = view.fontMetrics()
        self._ink = view.palette().windowText().color()
        self._faint = view.palette().midlight().color()
        line = self._line = self._metrics.height() + 4
        self._legend = list(self._legend_places(box.width()))
        rows = self._legend[-1][1] + 1 if self._legend else 0
        room = box.height() - line * (rows + 2) - 14
        self._ticks = pick_ticks(*chart.extent, count=max(1, min(5, int(room / line / 1.4))))
        digits = 0 if all(tick == int(tick) for tick in self._ticks) else 1
        self._tick_texts = [formats.number(tick, digits) for tick in self._ticks]
        widest = max(self._metrics.horizontalAdvance(text) for text in self._tick_texts)
        top = line * (1 + rows) + 8
        self._plot = QRectF(
            box.left() + widest + 10, top, box.width() - widest - 16, box.height() - top - line - 6
        )

    def draw(self) -> None:
        """Draw all of it."""
        self._draw_title()
        self._draw_grid()
        if self._chart.kind == "line":
            self._draw_lines()
        else:
            self._draw_bars()
        self._draw_categories()

    def _legend_places(self, width: float) -> Iterator[tuple[int, int, float]]:
        x, row = 0.0, 0
        for at, one in enumerate(self._chart.series):
            room = self._metrics.horizontalAdvance(one.name) + self._line * 2.2
            if x and x + room > width:
                x, row = 0.0, row + 1
            yield at, row, x
            x += room

    def _draw_title(self) -> None:
        chart, line = self._chart, self._line
        title = f"{chart.title} ({chart.unit})" if chart.unit else chart.title
        self._write(title, QPointF(0, line - 6), bold=True)
        for at, row, x in self._legend:
            y = line * (1 + row)
            swatch = QRectF(x, y + 4, line * 1.1, line - 9)
            self._fill(swatch, at)
            self._write(chart.series[at].name, QPointF(x + line * 1.4, y + line - 6))

    def _draw_grid(self) -> None:
        for tick, text in zip(self._ticks, self._tick_texts, strict=True):
            y = self._height_of(tick)
            self._painter.setPen(QPen(self._faint, 1.0 if tick else 1.6))
            self._painter.drawLine(QPointF(self._plot.left(), y), QPointF(self._plot.right(), y))
            x = self._plot.left() - self._metrics.horizontalAdvance(text) - 6
            self._write(text, QPointF(x, y + self._metrics.ascent() / 2 - 1))

    def _draw_bars(self) -> None:
        chart = self._chart
        is_stacked = chart.kind == "stacked"
        groups = 1 if is_stacked else max(1, len(chart.series))
        wide = min(self._slot * 0.66, 60.0 * groups) / groups
        for number in range(len(chart.categories)):
            start = self._middle_of(number) - wide * groups / 2
            above = 0.0
            for at, one in enumerate(chart.series):
                value = one.values[number]
                if not known(value) or value == 0:
                    continue
                base = above if is_stacked else 0.0
                above += value
                x = start if is_stacked else start + at * wide
                top, bottom = self._height_of(base + value), self._height_of(base)
                self._fill(QRectF(x, top, wide, bottom - top), at)
            if is_stacked and above:
                text = self._formats.number(above, 1)
                x = self._middle_of(number) - self._metrics.horizontalAdvance(text) / 2
                self._write(text, QPointF(x, self._height_of(above) - 4))

    def _draw_lines(self) -> None:
        for at, one in enumerate(self._chart.series):
            points = [
                QPointF(self._middle_of(number), self._height_of(value))
                for number, value in enumerate(one.values)
                if known(value)
            ]
            pen = QPen(QColor(line_ink(at)), 2.2, _DASHES[at % len(_DASHES)])
            self._painter.setPen(pen)
            self._painter.drawPolyline(QPolygonF(points))
            for point in points:
                self._painter.drawEllipse(point, 3, 3)

    def _draw_categories(self) -> None:
        texts = self._chart.categories
        widest = max(self._metrics.horizontalAdvance(text) for text in texts) + 8
        every = max(1, -int(-widest // self._slot))
        for number, text in enumerate(texts):
            if (len(texts) - 1 - number) % every == 0:
                x = self._middle_of(number) - self._metrics.horizontalAdvance(text) / 2
                self._write(text, QPointF(x, self._plot.bottom() + self._line - 2))

    @property
    def _slot(self) -> float:
        return self._plot.width() / max(1, len(self._chart.categories))

    def _middle_of(self, number: int) -> float:
        return self._plot.left() + self._slot * (number + 0.5)

    def _height_of(self, value: float) -> float:
        low, high = self._ticks[0], self._ticks[-1]
        return self._plot.bottom() - (value - low) / (high - low) * self._plot.height()

    def _fill(self, box: QRectF, at: int) -> None:
        ink = QColor(INKS[at % len(INKS)])
        self._painter.setPen(QPen(self._ink, 0.8))
        self._painter.setBrush(QBrush(QColor("#ffffff")))
        self._painter.drawRect(box)
        self._painter.setBrush(QBrush(ink, _PATTERNS[at % len(_PATTERNS)]))
        self._painter.drawRect(box)
        self._painter.setBrush(Qt.BrushStyle.NoBrush)

    def _write(self, text: str, at: QPointF, *, bold: bool = False) -> None:
        font = self._painter.font()
        font.setBold(bold)
        self._painter.setFont(font)
        self._painter.setPen(self._ink)
        self._painter.drawText(at, text)
