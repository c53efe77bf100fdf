"""The preview and the printer draw what the PDF holds: bars decode, text keeps its place."""

from __future__ import annotations

from collections.abc import Iterator

import pypdfium2
import pytest
import zxingcpp
from PySide6.QtCore import QRect, Qt
from PySide6.QtGui import QImage, QPainter
from PySide6.QtPrintSupport import QPrinter

from farmdesk.desk.page_painting import draw_page, print_pages
from farmdesk.desk.preview import EDGE, Preview, PreviewDialog
from farmdesk.paper.fonts import text_width_mm
from farmdesk.paper.pages import Bars, Box, Line, Page, TextRun
from farmdesk.paper.symbols import modules

CODE = "1000004721"
LABEL = Page(
    100.0,
    50.0,
    (
        TextRun(5, 8, "PO-B047 12", 14, bold=True),
        Bars(8, 12, 18, 0.25, modules(CODE)),
        Line(5, 40, 95, 40, 0.3),
        Box(2, 2, 96, 46, 0.4),
        Box(90, 42, 4, 4),
    ),
)


def drawn(page: Page, dots: float, *, snap: bool = False) -> QImage:
    image = QImage(
        round(page.width_mm * dots), round(page.height_mm * dots), QImage.Format.Format_Grayscale8
    )
    image.fill(Qt.GlobalColor.white)
    painter = QPainter(image)
    draw_page(painter, page, dots_per_mm=dots, snap=snap)
    painter.end()
    return image


def decoded(image: QImage) -> list[str]:
    """Read by zxing-cpp, an independent decoder of ISO/IEC 15417 symbols."""
    import numpy as np

    gray = image.convertToFormat(QImage.Format.Format_Grayscale8)
    rows = np.frombuffer(gray.constBits(), np.uint8).reshape(gray.height(), gray.bytesPerLine())
    return [
        one.text for one in zxingcpp.read_barcodes(np.ascontiguousarray(rows[:, : gray.width()]))
    ]


@pytest.mark.parametrize("dots", [8.0, 300 / 25.4, 12.5])
def test_a_symbol_drawn_in_whole_dots_decodes(qapp, dots) -> None:
    assert decoded(drawn(LABEL, dots, snap=True)) == [CODE]


def test_text_is_as_wide_as_in_the_pdf(qapp) -> None:
    run = TextRun(10, 20, "Pearl oyster WWW iii 0123", 20)
    dots = 10.0
    image = drawn(Page(150, 40, (run,)), dots)
    dark = [
        x
        for x in range(image.width())
        if any(image.pixelColor(x, y).lightness() < 128 for y in range(0, image.height(), 2))
    ]
    width = (max(dark) - min(dark)) / dots
    assert width == pytest.approx(text_width_mm(run.text, 20), rel=0.02)
    assert min(dark) / dots == pytest.approx(10, abs=1.0)


def test_marks_are_where_their_millimetres_say(qapp) -> None:
    image = drawn(LABEL, 10.0)
    assert image.pixelColor(920, 440).lightness() < 10
    assert image.pixelColor(500, 400).lightness() < 10
    assert image.pixelColor(22, 250).lightness() < 10
    assert image.pixelColor(500, 440).lightness() > 250


def test_a_print_has_the_size_and_the_code_of_the_page(qapp, tmp_path) -> None:
    path = tmp_path / "labels.pdf"
    printer = QPrinter(QPrinter.PrinterMode.HighResolution)
    printer.setOutputFormat(QPrinter.OutputFormat.PdfFormat)
    printer.setOutputFileName(str(path))
    printer.setResolution(600)
    small = Page(57.0, 32.0, (Bars(4, 4, 12, 0.25, modules("2000000194")),))
    assert print_pages([LABEL, small], printer, title="Labels") == 2
    pdf = pypdfium2.PdfDocument(str(path))
    sizes = [tuple(side / 72 * 25.4 for side in page.get_size()) for page in pdf]
    assert sizes[0] == pytest.approx((100, 50), abs=0.4)
    assert sizes[1] == pytest.approx((57, 32), abs=0.4)
    codes = [
        [one.text for one in zxingcpp.read_barcodes(page.render(scale=300 / 72).to_pil())]
        for page in pdf
    ]
    pdf.close()
    assert codes == [[CODE], ["2000000194"]]


@pytest.fixture
def preview(qtbot, light) -> Iterator[Preview]:
    dialog = PreviewDialog([LABEL, Page(57, 32, ()), LABEL], title="Labels")
    qtbot.addWidget(dialog)
    dialog.show()
    yield dialog.preview
    dialog.close()


def test_pages_are_leafed_through_by_key(preview, qtbot) -> None:
    qtbot.waitUntil(preview.isVisible)
    preview.forward.setFocus()
    assert not preview.back.isEnabled()
    qtbot.keyClick(preview.forward, Qt.Key.Key_PageDown)
    assert preview.place == 1
    preview.go_to(99)
    assert preview.place == 2
    assert not preview.forward.isEnabled()


def test_the_preview_shows_the_page_at_real_size_and_larger(preview) -> None:
    before = preview.sheet.width() - EDGE * 2
    assert before == pytest.approx(100 / 25.4 * preview.logicalDpiX(), abs=2)
    preview.set_zoom(4.0)
    assert preview.sheet.width() - EDGE * 2 == pytest.approx(before * 4, abs=4)
    picture = preview.sheet.grab(QRect(EDGE, EDGE, 1600, 800)).toImage()
    assert decoded(picture) == [CODE]


def test_saving_and_printing_are_handed_on(preview, tmp_path) -> None:
    calls: list[object] = []
    preview.on_save_pdf = lambda: calls.append("saved")
    preview.on_printed = calls.append
    preview._save()
    printer = QPrinter()
    printer.setOutputFormat(QPrinter.OutputFormat.PdfFormat)
    printer.setOutputFileName(str(tmp_path / "out.pdf"))
    preview.print_on(printer)
    assert calls == ["saved", 3]


def test_nothing_to_print_says_so(preview) -> None:
    preview.set_pages([])
    assert preview._place.text() == "Nothing to print"
