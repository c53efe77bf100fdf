"""A chart on the screen, from the same value that is drawn on paper and in workbooks.

Left and Right go from category to category and say its figures; Ctrl+C copies all figures.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from PySide6.QtCore import QPoint, QPointF, QRectF, QSize, Qt
from PySide6.QtGui import (
    QAccessible,
    QAccessibleEvent,
    QAction,
    QFocusEvent,
    QGuiApplication,
    QKeyEvent,
    QKeySequence,
    QMouseEvent,
    QPainter,
    QPaintEvent,
)
from PySide6.QtWidgets import QMenu, QToolTip, QWidget

from farmdesk.desk.chart_painting import ChartPainting
from farmdesk.paper.charts import Chart, known, spell_bounds
from farmdesk.wording.formats import Formats
from farmdesk.wording.language import tr

_LEAST_PX = 280
_LEAST_LINES = 12
_STEPS = {
    Qt.Key.Key_Left: -1,
    Qt.Key.Key_Right: 1,
    Qt.Key.Key_PageUp: -10,
    Qt.Key.Key_PageDown: 10,
}


class ChartView(QWidget):
    """Paints one chart as large as it is allowed to be; give `on_print` and `on_export`."""

    def __init__(self, formats: Formats, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._formats = formats
        self.chart: Chart | None = None
        self.empty_text = tr(
            "There is nothing to draw yet. Inoculate a batch in Lab (Ctrl+2) and pick from it in "
            "Fruiting (Ctrl+4)."
        )
        self.place: int | None = None
        """The category that the keyboard stands on."""
        self.on_print: Callable[[], object] | None = None
        self.on_export: Callable[[], object] | None = None
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName(tr("Chart"))
        self.setContextMenuPolicy(Qt.ContextMenuPolicy.CustomContextMenu)
        self.customContextMenuRequested.connect(self._offer)
        copy = QAction(tr("Copy figures"), self)
        copy.setShortcut(QKeySequence(QKeySequence.StandardKey.Copy))
        copy.setShortcutContext(Qt.ShortcutContext.WidgetShortcut)
        copy.triggered.connect(lambda _=False: self.copy_figures())
        self.addAction(copy)

    # ---- showing and telling

    def show_chart(self, chart: Chart | None) -> None:
        """Show a chart; its figures are told to screen readers as text."""
        self.chart = chart
        self.place = None
        self.setAccessibleName(chart.title if chart is not None else tr("Chart"))
        self.setAccessibleDescription(self.describe())
        self.updateGeometry()
        self.update()

    def is_empty(self) -> bool:
        """Whether there is no figure to draw."""
        return self.chart is None or not any(
            known(value) for one in self.chart.series for value in one.values
        )

    def describe(self) -> str:
        """The figures of the chart in words."""
        if self.chart is None:
            return ""
        whole = self._spelled()
        texts = []
        for one in whole.series:
            pairs = zip(whole.categories, one.values, strict=True)
            figures = [f"{name} {self._say(value)}" for name, value in pairs if known(value)]
            texts.append(f"{one.name}: {', '.join(figures)}")
        return "; ".join(texts)

    def describe_place(self, place: int) -> str:
        """The figures of one category in words."""
        if self.chart is None:
            return ""
        whole = self._spelled()
        figures = [
            f"{one.name} {self._say(value)}"
            for one in whole.series
            if known(value := one.values[place])
        ]
        return f"{whole.categories[place]}: {', '.join(figures) or '–'}"

    def copy_figures(self) -> None:
        """Copy the figures for a spreadsheet: one line for a category, parted by tabs."""
        if self.chart is None:
            return
        whole = self._spelled()
        lines = [["", *(one.name for one in whole.series)]]
        for at, name in enumerate(whole.categories):
            values = (one.values[at] for one in whole.series)
            lines.append([_safe(name), *(f"{v:g}" if known(v) else "" for v in values)])
        QGuiApplication.clipboard().setText("\n".join("\t".join(line) for line in lines))

    def copy_picture(self) -> None:
        """Copy the chart as a picture."""
        QGuiApplication.clipboard().setPixmap(self.grab())

    def plot_span(self) -> tuple[float, float] | None:
        """From where to where, in pixels, the categories are drawn; None without a chart."""
        if self.chart is None or self.is_empty():
            return None
        plot = self._painting(QPainter()).plot
        return plot.left(), plot.right()

    # ---- Qt's own

    def minimumSizeHint(self) -> QSize:  # noqa: N802 - Qt's own name
        """Room for a legend and a plot at any text size."""
        return QSize(_LEAST_PX, self.fontMetrics().height() * _LEAST_LINES)

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's own name
        """A little more than the least."""
        return QSize(2 * _LEAST_PX, self.fontMetrics().height() * (_LEAST_LINES + 4))

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: ARG002, N802 - Qt's own name
        """Paint the chart, from the back to the front."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if self.chart is None or self.is_empty():
            painter.setPen(self.palette().placeholderText().color())
            flags = Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextWordWrap
            painter.drawText(self.rect(), int(flags), self.empty_text)
        else:
            self._painting(painter).draw(self.place if self.hasFocus() else None)
        if self.hasFocus():
            painter.setPen(self.palette().highlight().color())
            painter.drawRect(QRectF(self.rect()).adjusted(1, 1, -1, -1))

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's own name
        """Go along the categories."""
        count = len(self.chart.categories) if self.chart is not None else 0
        key = Qt.Key(event.key())
        plain = event.modifiers() in (
            Qt.KeyboardModifier.NoModifier, Qt.KeyboardModifier.KeypadModifier,
        )  # fmt: skip
        if not count or not plain:
            super().keyPressEvent(event)
        elif key in _STEPS:
            start = -1 if self.place is None and _STEPS[key] > 0 else self.place or 0
            self._go_to(max(0, min(count - 1, start + _STEPS[key])))
        elif key in (Qt.Key.Key_Home, Qt.Key.Key_End):
            self._go_to(0 if key == Qt.Key.Key_Home else count - 1)
        else:
            super().keyPressEvent(event)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's own name
        """Say the figures under a pressed finger or mouse."""
        self._go_to_point(event.position())

    def mousePressEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's own name
        """Say the figures where it was pressed."""
        super().mousePressEvent(event)
        if event.button() == Qt.MouseButton.LeftButton:
            self._go_to_point(event.position())

    def focusInEvent(self, event: QFocusEvent) -> None:  # noqa: N802 - Qt's own name
        """Show the focus."""
        super().focusInEvent(event)
        self.update()

    def focusOutEvent(self, event: QFocusEvent) -> None:  # noqa: N802 - Qt's own name
        """Show that the focus is gone, and say all figures again."""
        super().focusOutEvent(event)
        self.setAccessibleDescription(self.describe())
        self.update()

    # ---- inner workings

    def _painting(self, painter: QPainter) -> ChartPainting:
        assert self.chart is not None
        return ChartPainting(painter, self.chart, QRectF(self.rect()), self, self._formats)

    def _go_to_point(self, at: QPointF) -> None:
        if self.chart is None or self.is_empty():
            return
        picture = QPainter()
        place = self._painting(picture).place_at(at)
        if place is not None:
            self._go_to(place)

    def _go_to(self, place: int) -> None:
        self.place = place
        text = self.describe_place(place)
        self.setAccessibleDescription(text)
        QAccessible.updateAccessibility(
            QAccessibleEvent(self, QAccessible.Event.DescriptionChanged)
        )
        QToolTip.showText(self.mapToGlobal(QPoint(16, self.fontMetrics().height())), text, self)
        self.update()

    def _spelled(self) -> Chart:
        assert self.chart is not None
        return spell_bounds(self.chart, low=tr("at least"), high=tr("at most"))

    def _say(self, value: float) -> str:
        digits = 0 if value == int(value) and abs(value) >= 10 else 1
        unit = self.chart.unit if self.chart is not None else ""
        return f"{self._formats.number(value, digits)} {unit}".strip()

    def _offers(self) -> Iterator[tuple[str, Callable[[], object]]]:
        yield tr("Copy figures"), self.copy_figures
        yield tr("Copy picture"), self.copy_picture
        if self.on_export is not None:
            yield tr("Export …"), self.on_export
        if self.on_print is not None:
            yield tr("Print …"), self.on_print

    def _offer(self, at: QPoint) -> None:
        menu = QMenu(self)
        menu.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        for title, function in self._offers():
            menu.addAction(title, function)
        menu.popup(self.mapToGlobal(at))


def _safe(text: str) -> str:
    flat = " ".join(text.split())
    return f"'{flat}" if flat.startswith(("=", "+", "-", "@")) else flat
