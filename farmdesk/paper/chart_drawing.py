"""A chart drawn for paper: hairlines, direct figures, series that part without colour."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from reportlab.graphics.shapes import Circle, Drawing, Line, Polygon, PolyLine, Rect, String
from reportlab.lib.colors import HexColor, white
from reportlab.pdfbase.pdfmetrics import stringWidth

from farmdesk.paper.charts import INKS, Chart, find_runs, known, line_ink, pick_ticks
from farmdesk.paper.document_styles import HAIR, INK, MUTED, Look, settable
from farmdesk.paper.fonts import face
from farmdesk.wording.formats import Formats

_DASHES = (None, (4, 2), (1.2, 1.8), (6, 2, 1.2, 2), (8, 3), (2.5, 2.5))
_LABELLED_BARS = 12


def draw_chart(
    chart: Chart, width: float, height: float, *, look: Look, formats: Formats
) -> Drawing:
    """Draw a chart in a box of so many points."""
    return _ChartDrawing(chart, width, height, look, formats).draw()


class _ChartDrawing:
    def __init__(
        self, chart: Chart, width: float, height: float, look: Look, formats: Formats
    ) -> None:
        self._chart = chart
        self._size = look.size("small")
        self._plain, self._bold = face(False).name, face(True).name
        self._formats = formats
        self._drawing = Drawing(width, height)
        self._ticks = pick_ticks(*chart.extent)
        self._tick_texts = self._texts_of(self._ticks)
        size = self._size
        legend_lines = len(list(self._legend_rows(width))) if len(chart.series) > 1 else 0
        self._left = max(map(self._width, self._tick_texts), default=0) + 6
        self._right = width - 2
        self._bottom = size * 3.0
        self._top = height - size * (2.6 + 1.6 * legend_lines) - 4
        self._low, self._high = self._ticks[0], self._ticks[-1]

    def draw(self) -> Drawing:
        """Draw everything, from the back to the front."""
        self._draw_title()
        self._draw_grid()
        if self._chart.kind == "line":
            self._draw_bands()
            self._draw_lines()
        elif self._chart.kind == "dots":
            self._draw_dots()
        else:
            self._draw_bars()
        self._draw_categories()
        return self._drawing

    def _draw_title(self) -> None:
        chart, size = self._chart, self._size
        title = f"{chart.title} ({chart.unit})" if chart.unit else chart.title
        top = self._drawing.height - size * 1.2
        fitted = self._fit(title, self._drawing.width, face_name=self._bold)
        self._write(fitted, 0, top, face_name=self._bold)
        if len(chart.series) < 2:
            return
        for row, items in enumerate(self._legend_rows(self._drawing.width)):
            y = top - size * 1.6 * (row + 1)
            for index, x in items:
                self._draw_swatch(index, x, y)
                name = self._fit(chart.series[index].name, self._drawing.width * 0.45)
                self._write(name, x + size * 2.4, y, colour=MUTED)

    def _legend_rows(self, width: float) -> Iterator[list[tuple[int, float]]]:
        row: list[tuple[int, float]] = []
        x = 0.0
        for index, one in enumerate(self._chart.series):
            room = min(self._width(one.name), width * 0.45) + self._size * 4
            if row and x + room > width:
                yield row
                row, x = [], 0.0
            row.append((index, x))
            x += room
        if row:
            yield row

    def _draw_swatch(self, index: int, x: float, y: float) -> None:
        size = self._size
        if self._chart.kind == "dots" and index == 0:
            self._draw_marker(index, x + size, y + size * 0.35)
        elif self._chart.kind in ("line", "dots"):
            self._stroke([x, y + size * 0.35, x + size * 2, y + size * 0.35], index)
            self._draw_marker(index, x + size, y + size * 0.35)
        else:
            self._draw_bar(index, x, y - size * 0.1, size * 2, size * 0.9)

    def _draw_grid(self) -> None:
        for tick, text in zip(self._ticks, self._tick_texts, strict=True):
            y = self._height_of(tick)
            is_base = tick == 0 or (tick == self._low and self._low > 0)
            colour = MUTED if is_base else HAIR
            self._drawing.add(
                Line(self._left, y, self._right, y, strokeColor=colour, strokeWidth=0.5)
            )
            x = self._left - 4
            self._write(text, x, y - self._size * 0.35, colour=MUTED, anchor="end")

    def _draw_bars(self) -> None:
        chart = self._chart
        groups = 1 if chart.kind == "stacked" else max(1, len(chart.series))
        wide = min(self._slot * 0.72, 46.0 * groups) / groups
        for number in range(len(chart.categories)):
            start = self._left + self._slot * (number + 0.5) - wide * groups / 2
            above = below = 0.0
            for index, one in enumerate(chart.series):
                value = one.values[number]
                if not known(value):
                    continue
                base = 0.0
                if chart.kind == "stacked":
                    base = above if value >= 0 else below
                    above, below = above + max(value, 0), below + min(value, 0)
                x = start if chart.kind == "stacked" else start + index * wide
                low, high = sorted((self._height_of(base), self._height_of(base + value)))
                self._draw_bar(index, x, low, wide, high - low)
                top = self._draw_whisker(index, number, x + wide / 2)
                self._label_bar(value, x + wide / 2, max(high, top))

    def _label_bar(self, value: float, x: float, y: float) -> None:
        chart = self._chart
        if chart.kind != "bar" or len(chart.series) > 1:
            return
        if len(chart.categories) <= _LABELLED_BARS:
            digits = 0 if self._high >= 1000 or value == round(value) else 1
            text = self._formats.number(value, digits)
            self._write(text, x, y + 2.5, anchor="middle")

    def _draw_bar(self, index: int, x: float, y: float, width: float, height: float) -> None:
        fill = HexColor(INKS[index % len(INKS)])
        self._drawing.add(
            Rect(x, y, width, height, fillColor=fill, strokeColor=INK, strokeWidth=0.35)
        )
        if index % len(INKS) in (2, 4):
            for step in range(1, math.ceil(height / 2.6)):
                self._hatch(x, y + step * 2.6, x + width, y + step * 2.6)
        if index % len(INKS) in (3, 4):
            for step in range(1, math.ceil(width / 2.6)):
                self._hatch(x + step * 2.6, y, x + step * 2.6, y + height)

    def _draw_whisker(self, index: int, number: int, x: float) -> float:
        """The bounds of a figure as a line with feet; gives its upper end, or 0."""
        one = self._chart.series[index]
        if not one.is_bounded or self._chart.kind == "stacked":
            return 0.0
        low, high = one.low[number], one.high[number]
        if not known(low) or not known(high):
            return 0.0
        bottom, top = self._height_of(low), self._height_of(high)
        for x1, y1, x2, y2 in (
            (x, bottom, x, top), (x - 2.5, bottom, x + 2.5, bottom), (x - 2.5, top, x + 2.5, top),
        ):  # fmt: skip
            self._drawing.add(Line(x1, y1, x2, y2, strokeColor=INK, strokeWidth=0.8))
        return top

    def _draw_dots(self) -> None:
        for index, one in enumerate(self._chart.series):
            points: list[float] = []
            for number, value in enumerate(one.values):
                if not known(value):
                    continue
                x, y = self._left + self._slot * (number + 0.5), self._height_of(value)
                points += [x, y]
                if index == 0:
                    self._draw_whisker(index, number, x)
                    self._draw_marker(index, x, y)
            if index and points:
                self._stroke([self._left, points[1], *points, self._right, points[-1]], index)

    def _draw_bands(self) -> None:
        for index, one in enumerate(self._chart.series):
            if not one.is_bounded:
                continue
            ink = HexColor(line_ink(index))
            for run in find_runs(one):
                xs = [self._left + self._slot * (number + 0.5) for number, _, _ in run]
                upper = [at for x, (_, _, v) in zip(xs, run, strict=True)
                         for at in (x, self._height_of(v))]  # fmt: skip
                lower = [at for x, (_, v, _) in zip(xs[::-1], run[::-1], strict=True)
                         for at in (x, self._height_of(v))]  # fmt: skip
                if len(run) > 1:
                    self._drawing.add(
                        Polygon([*upper, *lower], fillColor=ink, fillOpacity=0.16,
                                strokeColor=ink, strokeWidth=0.3)
                    )  # fmt: skip

    def _hatch(self, x1: float, y1: float, x2: float, y2: float) -> None:
        self._drawing.add(Line(x1, y1, x2, y2, strokeColor=white, strokeWidth=0.5))

    def _draw_lines(self) -> None:
        for index, one in enumerate(self._chart.series):
            run: list[float] = []
            for number, value in enumerate([*one.values, None]):
                if known(value):
                    run += [self._left + self._slot * (number + 0.5), self._height_of(value)]
                    continue
                self._stroke(run, index)
                run = []
            if len(self._chart.categories) <= 60:
                for number, value in enumerate(one.values):
                    if known(value):
                        x = self._left + self._slot * (number + 0.5)
                        self._draw_marker(index, x, self._height_of(value))

    def _stroke(self, points: list[float], index: int) -> None:
        if len(points) >= 4:
            ink, dash = HexColor(line_ink(index)), _DASHES[index % len(_DASHES)]
            self._drawing.add(
                PolyLine(points, strokeColor=ink, strokeWidth=1.3, strokeDashArray=dash)
            )

    def _draw_marker(self, index: int, x: float, y: float) -> None:
        ink = HexColor(line_ink(index))
        if index % 2:
            self._drawing.add(
                Rect(x - 1.9, y - 1.9, 3.8, 3.8, fillColor=white, strokeColor=ink, strokeWidth=1)
            )
        else:
            self._drawing.add(Circle(x, y, 2, fillColor=ink, strokeColor=None))

    def _draw_categories(self) -> None:
        names = self._chart.categories
        widest = max(map(self._width, names), default=0) + 4
        is_sparse = self._chart.kind == "line" or len(names) > _LABELLED_BARS
        every = max(1, math.ceil(widest / self._slot)) if is_sparse else 1
        for number in range(0, len(names), every):
            x = self._left + self._slot * (number + 0.5)
            lines = self._wrap(names[number], self._slot * every - 2)
            for row, line in enumerate(lines):
                y = self._bottom - self._size * 1.25 * (row + 1)
                self._write(line, x, y, colour=MUTED, anchor="middle")

    def _wrap(self, text: str, width: float) -> list[str]:
        """One line, or two where a space allows it; what is still too long is cut with '…'."""
        if self._width(text) <= width or " " not in text:
            return [self._fit(text, width)]
        words = text.split(" ")
        cuts = [(" ".join(words[:n]), " ".join(words[n:])) for n in range(1, len(words))]
        first, second = min(cuts, key=lambda cut: max(self._width(line) for line in cut))
        return [self._fit(first, width), self._fit(second, width)]

    def _fit(self, text: str, width: float, *, face_name: str | None = None) -> str:
        text = " ".join(text.split())
        if self._width(text, face_name) <= width:
            return text
        while text and self._width(text + "…", face_name) > width:
            text = text[:-1]
        return text.rstrip() + "…"

    @property
    def _slot(self) -> float:
        return (self._right - self._left) / max(1, len(self._chart.categories))

    def _height_of(self, value: float) -> float:
        share = (value - self._low) / (self._high - self._low)
        return self._bottom + share * (self._top - self._bottom)

    def _texts_of(self, ticks: Sequence[float]) -> list[str]:
        step = ticks[1] - ticks[0]
        digits = max(0, -math.floor(math.log10(step) + 1e-9))
        digits += 0 if round(step, digits) == round(step, 12) else 1
        return [self._formats.number(tick, digits) for tick in ticks]

    def _width(self, text: str, face_name: str | None = None) -> float:
        return float(stringWidth(settable(text), face_name or self._plain, self._size))

    def _write(
        self,
        text: str,
        x: float,
        y: float,
        *,
        face_name: str | None = None,
        colour: object = INK,
        anchor: str = "start",
    ) -> None:
        self._drawing.add(
            String(
                x,
                y,
                settable(text),
                fontName=face_name or self._plain,
                fontSize=self._size,
                fillColor=colour,
                textAnchor=anchor,
            )
        )
