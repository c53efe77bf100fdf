"""Paints a chart value in a box of the screen: bars, lines with bands, dots with whiskers."""

from __future__ import annotations

import math
from collections.abc import Iterator

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QColor, QPainter, QPen, QPolygonF
from PySide6.QtWidgets import QWidget

from farmdesk.paper.charts import INKS, Chart, Series, find_runs, known, line_ink, pick_ticks
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
_FOOT = 4.0
_DARK_BELOW = 128
_FIGURES_UP_TO, _LEAST_LETTERS = 14, 7


class ChartPainting:
    """One painting of a chart in a box."""

    def __init__(
        self, painter: QPainter, chart: Chart, box: QRectF, view: QWidget, formats: Formats
    ) -> None:
        self._painter, self._chart, self._formats = painter, chart, formats
        self._metrics = view.fontMetrics()
        self._ink = view.palette().windowText().color()
        self._faint = view.palette().midlight().color()
        self._is_dark = view.palette().window().color().lightness() < _DARK_BELOW
        self._box = box.adjusted(6, 2, -6, -2)
        line = self._line = self._metrics.height() + 4
        self._legend = list(self._legend_places(self._box.width()))
        rows = self._legend[-1][1] + 1 if self._legend else 0
        room = self._box.height() - line * (rows + 2) - 14
        self._ticks = pick_ticks(*chart.extent, count=max(1, min(5, int(room / line / 1.4))))
        step = self._ticks[1] - self._ticks[0]
        digits = max(0, -math.floor(math.log10(step) + 1e-9)) if step < 1 else 0
        digits += 0 if round(step, digits) == round(step, 9) else 1
        self._tick_texts = [formats.number(tick, digits) for tick in self._ticks]
        widest = max(self._metrics.horizontalAdvance(text) for text in self._tick_texts)
        top = self._box.top() + line * (1 + rows) + 8
        left = self._box.left() + widest + 10
        self._plot = QRectF(
            left, top, self._box.right() - left, max(10.0, self._box.bottom() - top - line - 6)
        )

    @property
    def plot(self) -> QRectF:
        """The box that the figures are drawn in, inside the axes."""
        return self._plot

    def draw(self, place: int | None = None) -> None:
        """Draw all of it; a category that the keyboard stands on is marked."""
        self._draw_title()
        self._draw_grid()
        if place is not None:
            pen = QPen(self._ink, 1.2, Qt.PenStyle.DashLine)
            self._painter.setPen(pen)
            x = self._middle_of(place)
            self._painter.drawLine(QPointF(x, self._plot.top()), QPointF(x, self._plot.bottom()))
        if self._chart.kind == "line":
            self._draw_bands()
            self._draw_lines()
        elif self._chart.kind == "dots":
            self._draw_dots()
        else:
            self._draw_bars()
        self._draw_categories()

    def place_at(self, point: QPointF) -> int | None:
        """The category under a point, or None beside the plot."""
        if not self._plot.left() <= point.x() <= self._plot.right():
            return None
        last = len(self._chart.categories) - 1
        return min(last, int((point.x() - self._plot.left()) / self._slot))

    # ---- around the figures

    def _legend_places(self, width: float) -> Iterator[tuple[int, int, float]]:
        if len(self._chart.series) < 2:
            return
        x, row = 0.0, 0
        for at, one in enumerate(self._chart.series):
            room = self._metrics.horizontalAdvance(one.name) + self._line * 2.2
            if x and x + room > width:
                x, row = 0.0, row + 1
            yield at, row, x
            x += room

    def _draw_title(self) -> None:
        chart, line, left = self._chart, self._line, self._box.left()
        title = f"{chart.title} ({chart.unit})" if chart.unit else chart.title
        title = self._metrics.elidedText(
            title, Qt.TextElideMode.ElideRight, int(self._box.width() * 0.92)
        )
        self._write(title, QPointF(left, self._box.top() + line - 6), bold=True)
        for at, row, x in self._legend:
            y = self._box.top() + line * (1 + row)
            swatch = QRectF(left + x, y + 4, line * 1.1, line - 9)
            self._draw_swatch(at, swatch)
            name = self._metrics.elidedText(
                chart.series[at].name,
                Qt.TextElideMode.ElideRight,
                int(self._box.width() - x - line * 1.4),
            )
            self._write(name, QPointF(left + x + line * 1.4, y + line - 6))

    def _draw_swatch(self, at: int, box: QRectF) -> None:
        if self._chart.kind in ("bar", "stacked"):
            self._fill(box, at)
            return
        if self._chart.kind == "dots" and at == 0:
            self._draw_dot(box.center(), at)
            return
        self._painter.setPen(self._pen_of(at))
        y = box.center().y()
        self._painter.drawLine(QPointF(box.left(), y), QPointF(box.right(), y))

    def _draw_grid(self) -> None:
        for tick, text in zip(self._ticks, self._tick_texts, strict=True):
            y = self._height_of(tick)
            self._painter.setPen(QPen(self._faint, 1.0 if tick else 1.6))
            self._painter.drawLine(QPointF(self._plot.left(), y), QPointF(self._plot.right(), y))
            x = self._plot.left() - self._metrics.horizontalAdvance(text) - 6
            self._write(text, QPointF(x, y + self._metrics.ascent() / 2 - 1))

    def _draw_categories(self) -> None:
        texts = self._chart.categories
        widest = max(self._metrics.horizontalAdvance(text) for text in texts) + 10
        is_named = self._chart.kind in ("bar", "stacked") and len(texts) <= _FIGURES_UP_TO
        # Names cut to a letter or two say nothing: some whole ones say more.
        is_named = is_named and self._slot >= self._metrics.averageCharWidth() * _LEAST_LETTERS
        every = 1 if is_named else max(1, -int(-widest // self._slot))
        most = int(self._slot * every - 6)
        free = self._box.right() + 1
        # From the right: the last label is pushed in, and must not lie on the one before it.
        for number in range(len(texts) - 1, -1, -every):
            text = self._metrics.elidedText(
                texts[number], Qt.TextElideMode.ElideRight, max(most, 24)
            )
            wide = self._metrics.horizontalAdvance(text)
            x = self._middle_of(number) - wide / 2
            x = min(max(x, self._box.left()), self._box.right() - wide)
            if x + wide < free:
                self._write(text, QPointF(x, self._plot.bottom() + self._line - 2))
                free = x

    # ---- the figures

    def _draw_bars(self) -> None:
        chart = self._chart
        is_stacked = chart.kind == "stacked"
        groups = 1 if is_stacked else max(1, len(chart.series))
        wide = min(self._slot * 0.66, 60.0 * groups) / groups
        for number in range(len(chart.categories)):
            start = self._middle_of(number) - wide * groups / 2
            above = top = 0.0
            for at, one in enumerate(chart.series):
                value = one.values[number]
                if not known(value):
                    continue
                base = above if is_stacked else 0.0
                above = base + value
                x = start if is_stacked else start + at * wide
                high, low = self._height_of(above), self._height_of(base)
                if value:
                    self._fill(QRectF(x, high, wide, low - high), at)
                top = max(top, above, self._draw_whisker(at, number, x + wide / 2))
            self._say_top(number, above, top)

    def _say_top(self, number: int, total: float, top: float) -> None:
        is_single = self._chart.kind == "stacked" or len(self._chart.series) == 1
        is_single = is_single and not (self._chart.kind == "stacked" and self._chart.unit == "%")
        if total and is_single and len(self._chart.categories) <= _FIGURES_UP_TO:
            text = self._formats.number(total, 0 if total == round(total) else 1)
            wide = self._metrics.horizontalAdvance(text)
            x = self._middle_of(number) - wide / 2
            if wide <= self._slot:
                self._write(text, QPointF(x, self._height_of(top) - 4))

    def _draw_whisker(self, at: int, number: int, x: float) -> float:
        """The bounds of a figure as a line with feet; gives the upper bound, or 0."""
        one = self._chart.series[at]
        if not one.is_bounded or self._chart.kind == "stacked":
            return 0.0
        low, high = one.low[number], one.high[number]
        if not known(low) or not known(high):
            return 0.0
        self._painter.setPen(QPen(self._ink, 1.2))
        bottom, top = self._height_of(low), self._height_of(high)
        self._painter.drawLine(QPointF(x, bottom), QPointF(x, top))
        for y in (bottom, top):
            self._painter.drawLine(QPointF(x - _FOOT, y), QPointF(x + _FOOT, y))
        return high

    def _draw_dots(self) -> None:
        for at, one in enumerate(self._chart.series):
            points = []
            for number, value in enumerate(one.values):
                if not known(value):
                    continue
                point = QPointF(self._middle_of(number), self._height_of(value))
                points.append(point)
                if at == 0:
                    self._draw_whisker(at, number, point.x())
                    self._draw_dot(point, at)
            if at and points:
                left = QPointF(self._plot.left(), points[0].y())
                right = QPointF(self._plot.right(), points[-1].y())
                self._painter.setPen(self._pen_of(at))
                self._painter.drawPolyline(QPolygonF([left, *points, right]))

    def _draw_dot(self, point: QPointF, at: int) -> None:
        self._painter.setPen(QPen(self._ink, 1.0))
        self._painter.setBrush(QBrush(self._line_colour(at)))
        self._painter.drawEllipse(point, 4.5, 4.5)
        self._painter.setBrush(Qt.BrushStyle.NoBrush)

    def _draw_bands(self) -> None:
        for at, one in enumerate(self._chart.series):
            colour = QColor(self._line_colour(at))
            colour.setAlpha(56)
            for run in find_runs(one) if one.is_bounded else ():
                upper = [QPointF(self._middle_of(n), self._height_of(v)) for n, _, v in run]
                lower = [QPointF(self._middle_of(n), self._height_of(v)) for n, v, _ in run]
                self._painter.setPen(QPen(self._line_colour(at), 0.6))
                self._painter.setBrush(QBrush(colour))
                self._painter.drawPolygon(QPolygonF([*upper, *reversed(lower)]))
        self._painter.setBrush(Qt.BrushStyle.NoBrush)

    def _draw_lines(self) -> None:
        for at, one in enumerate(self._chart.series):
            self._painter.setPen(self._pen_of(at))
            shown = 0
            for points in self._stretches(one):
                shown += len(points)
                self._painter.drawPolyline(QPolygonF(points))
                if len(points) == 1:
                    self._painter.drawEllipse(points[0], 2, 2)
            if shown <= _FIGURES_UP_TO:
                for points in self._stretches(one):
                    for point in points:
                        self._painter.drawEllipse(point, 3, 3)

    def _stretches(self, one: Series) -> list[list[QPointF]]:
        """Points that follow each other; where a figure is missing the line is broken."""
        found: list[list[QPointF]] = [[]]
        for number, value in enumerate(one.values):
            if known(value):
                found[-1].append(QPointF(self._middle_of(number), self._height_of(value)))
            elif found[-1]:
                found.append([])
        return [points for points in found if points]

    # ---- measures and inks

    @property
    def _slot(self) -> float:
        return self._plot.width() / max(1, len(self._chart.categories))

    def _middle_of(self, number: int) -> float:
        return self._plot.left() + self._slot * (number + 0.5)

    def _height_of(self, value: float) -> float:
        low, high = self._ticks[0], self._ticks[-1]
        return self._plot.bottom() - (value - low) / (high - low) * self._plot.height()

    def _line_colour(self, at: int) -> QColor:
        colour = QColor(line_ink(at))
        if not self._is_dark:
            return colour
        # The same hue, light enough to be seen on a dark ground.
        return QColor.fromHsl(max(0, colour.hslHue()), colour.hslSaturation(), 185)

    def _pen_of(self, at: int) -> QPen:
        return QPen(self._line_colour(at), 2.2, _DASHES[at % len(_DASHES)])

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
