"""Draws a paper page with Qt, on the screen or on a printer, from the values the PDF is made of."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

from PySide6.QtCore import QMarginsF, QPointF, QRectF, QSizeF, Qt
from PySide6.QtGui import (
    QColor,
    QFont,
    QFontDatabase,
    QImage,
    QPageLayout,
    QPageSize,
    QPainter,
    QPen,
    QPolygonF,
)
from PySide6.QtPrintSupport import QPrinter

from farmdesk.errors import DeviceTrouble, problem
from farmdesk.paper.fonts import PT_MM
from farmdesk.paper.pages import Bars, Box, Line, Mark, Page, Photograph, Shape, TextRun
from farmdesk.settings.places import resource_path
from farmdesk.settings.print_offsets import Offset

NO_OFFSET = Offset()
_INK = Qt.GlobalColor.black
_EM = 200
"""Text is drawn at this many pixels and scaled, so that its widths are those of the PDF."""


def draw_page(painter: QPainter, page: Page, *, dots_per_mm: float, snap: bool = False) -> None:
    """Draw a page with its top left corner at the painter's origin.

    With `snap`, for printers, every module of a bar symbol is a whole number of dots.
    """
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, not snap)
    painter.setPen(Qt.PenStyle.NoPen)
    for mark in page.marks:
        _draw_mark(painter, mark, dots_per_mm, snap=snap)
    painter.restore()


def print_pages(
    pages: Sequence[Page], printer: QPrinter, *, title: str = "", offset: Offset = NO_OFFSET
) -> int:
    """Print every page at its own size, unscaled; the number of pages printed.

    `offset` moves everything, by whole dots, to where this printer puts it on this stock.
    Raises DeviceTrouble when the printer does not take them.
    """
    printer.setDocName(title or "Farmdesk")
    printer.setFullPage(True)
    painter = QPainter()
    for number, page in enumerate(pages):
        set_page_size(printer, page)
        started = printer.newPage() if number else painter.begin(printer)
        if not started:
            raise DeviceTrouble(problem("printer_not_ready", printer=printer.printerName()))
        dots = printer.resolution() / 25.4
        painter.save()
        painter.translate(round(offset.right_um / 1000 * dots), round(offset.down_um / 1000 * dots))
        draw_page(painter, page, dots_per_mm=dots, snap=True)
        painter.restore()
    if pages and not painter.end():
        raise DeviceTrouble(problem("printer_not_ready", printer=printer.printerName()))
    return len(pages)


def set_page_size(printer: QPrinter, page: Page) -> None:
    """Ask the printer for paper of the page's size, without margins."""
    upright = page.height_mm >= page.width_mm
    sides = sorted((page.width_mm, page.height_mm))
    size = QPageSize(
        QSizeF(*sides), QPageSize.Unit.Millimeter, "", QPageSize.SizeMatchPolicy.FuzzyMatch
    )
    turn = QPageLayout.Orientation.Portrait if upright else QPageLayout.Orientation.Landscape
    printer.setPageLayout(QPageLayout(size, turn, QMarginsF(0, 0, 0, 0)))


def _draw_mark(painter: QPainter, mark: Mark, dots: float, *, snap: bool) -> None:
    if isinstance(mark, TextRun):
        _draw_text(painter, mark, dots)
    elif isinstance(mark, Bars):
        _draw_bars(painter, mark, dots, snap=snap)
    elif isinstance(mark, Line):
        painter.setPen(QPen(_INK, mark.line_mm * dots, c=Qt.PenCapStyle.FlatCap))
        painter.drawLine(
            QPointF(mark.x1_mm * dots, mark.y1_mm * dots),
            QPointF(mark.x2_mm * dots, mark.y2_mm * dots),
        )
        painter.setPen(Qt.PenStyle.NoPen)
    elif isinstance(mark, Shape):
        _draw_shape(painter, mark, dots)
    elif isinstance(mark, Photograph):
        place = QRectF(mark.x_mm * dots, mark.y_mm * dots, mark.width_mm * dots,
                       mark.height_mm * dots)  # fmt: skip
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
        painter.drawImage(place, QImage.fromData(mark.data))
    else:
        _draw_box(painter, mark, dots)


def _draw_text(painter: QPainter, run: TextRun, dots: float) -> None:
    painter.save()
    painter.translate(run.x_mm * dots, run.y_mm * dots)
    scale = run.size_pt * PT_MM * dots / _EM
    painter.scale(scale, scale)
    painter.setFont(_font(run.bold))
    painter.setPen(_INK)
    painter.drawText(QPointF(0, 0), run.text)
    painter.restore()


def _draw_bars(painter: QPainter, bars: Bars, dots: float, *, snap: bool) -> None:
    module, left = bars.module_mm * dots, bars.x_mm * dots
    if snap:
        module, left = float(max(1, round(module))), float(round(left))
    top, height = bars.y_mm * dots, bars.height_mm * dots
    at = bars.pattern.find("1")
    while at >= 0:
        end = bars.pattern.find("0", at)
        end = len(bars.pattern) if end < 0 else end
        painter.fillRect(QRectF(left + at * module, top, (end - at) * module, height), _INK)
        at = bars.pattern.find("1", end)


def _draw_shape(painter: QPainter, shape: Shape, dots: float) -> None:
    points = QPolygonF([QPointF(x * dots, y * dots) for x, y in shape.points])
    painter.save()
    if shape.fill:
        fill = QColor(shape.fill)
        fill.setAlphaF(shape.opacity)
        painter.setBrush(fill)
    if shape.ink and shape.line_mm:
        pen = QPen(QColor(shape.ink), shape.line_mm * dots, c=Qt.PenCapStyle.FlatCap)
        if shape.dash_mm:
            dashes = [part / shape.line_mm for part in shape.dash_mm]
            pen.setDashPattern(dashes * (1 + len(dashes) % 2))
        painter.setPen(pen)
    if shape.closed:
        painter.drawPolygon(points)
    else:
        painter.drawPolyline(points)
    painter.restore()


def _draw_box(painter: QPainter, box: Box, dots: float) -> None:
    rect = QRectF(box.x_mm * dots, box.y_mm * dots, box.width_mm * dots, box.height_mm * dots)
    if not box.line_mm:
        painter.fillRect(rect, _INK)
        return
    pen = QPen(_INK, box.line_mm * dots)
    pen.setJoinStyle(Qt.PenJoinStyle.MiterJoin)
    half = pen.widthF() / 2
    painter.setPen(pen)
    painter.drawRect(rect.adjusted(half, half, -half, -half))
    painter.setPen(Qt.PenStyle.NoPen)


@lru_cache(maxsize=2)
def _font(bold: bool) -> QFont:
    name = "DejaVuSans-Bold.ttf" if bold else "DejaVuSans.ttf"
    number = QFontDatabase.addApplicationFont(str(resource_path("fonts", name)))
    families = QFontDatabase.applicationFontFamilies(number)
    font = QFont(families[0] if families else "Sans Serif")
    font.setBold(bold)
    font.setPixelSize(_EM)
    font.setKerning(False)
    font.setHintingPreference(QFont.HintingPreference.PreferNoHinting)
    return font
