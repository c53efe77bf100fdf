"""A table's charts stand on its pages: seen in the preview, printed and kept as PDF alike."""

from __future__ import annotations

from pathlib import Path

import pytest
from pypdfium2 import PdfDocument
from PySide6.QtGui import QImage, QPainter

from farmdesk.desk.page_painting import draw_page
from farmdesk.paper.charts import Chart, Series
from farmdesk.paper.page_pdf import write_pages
from farmdesk.paper.pages import Page, Shape, TextRun, extent_of
from farmdesk.paper.table_pages import lay_out_table
from farmdesk.paper.tables import Column, Table
from farmdesk.wording.formats import Formats

WEEKS = [f"W{at:02d}" for at in range(1, 13)]
RISE = [float(at) for at in range(12)]
CHARTS = (
    Chart("stacked", "Picked by week", WEEKS, [Series("Oyster", RISE), Series("Shiitake", RISE)]),
    Chart("line", "Time to colonise", WEEKS, [
        Series("Grey", RISE, low=[one / 2 for one in RISE], high=[one * 2 for one in RISE])], "%"),
    Chart("dots", "Runs", WEEKS, [Series("run", RISE), Series("all", [4.0] * 12)]),
)  # fmt: skip


@pytest.fixture(scope="module")
def pages() -> tuple[Page, ...]:
    note = "A note that is far too long for one line of the paper and must not be cut. " * 4
    columns = (Column("week", "Week"), Column("picked", "Picked", "integer"))
    rows = list(zip(WEEKS, range(12), strict=True))
    return lay_out_table(Table("t", "Picked", columns, rows, [note], charts=CHARTS), Formats())


def test_charts_come_after_the_rows_with_titles_and_figures(pages: tuple[Page, ...]) -> None:
    assert len(pages) == 2
    texts = [mark.text for mark in pages[1].marks if isinstance(mark, TextRun)]
    assert {"Picked by week", "Time to colonise (%)", "Runs", "Oyster", "Shiitake"} <= set(texts)
    assert texts.count("W01") == 3
    assert texts[-1] == "Page 2 of 2"
    shapes = [mark for mark in pages[1].marks if isinstance(mark, Shape)]
    assert sum(shape.closed and bool(shape.fill) for shape in shapes) >= 24
    assert any(shape.opacity < 0.5 for shape in shapes), "the band is seen through"


def test_nothing_runs_over_the_paper(pages: tuple[Page, ...]) -> None:
    for page in pages:
        for mark in page.marks:
            left, top, right, bottom = extent_of(mark)
            assert left >= 10
            assert top >= 10
            assert right <= page.width_mm - 10
            assert bottom <= page.height_mm - 10


def test_a_long_note_is_wrapped_whole(pages: tuple[Page, ...]) -> None:
    texts = [mark.text for mark in pages[0].marks if isinstance(mark, TextRun)]
    assert " ".join(texts).count("must not be cut.") == 4
    assert not any("…" in text for text in texts)


def test_the_pdf_and_the_screen_show_the_same_inks(
    qapp, pages: tuple[Page, ...], tmp_path: Path
) -> None:
    path = tmp_path / "charts.pdf"
    write_pages(pages, path)
    with_pdf = PdfDocument(path)
    paper = with_pdf[1].render(scale=2).to_pil().convert("RGB")
    with_pdf.close()
    dots = paper.width / pages[1].width_mm
    image = QImage(paper.width, paper.height, QImage.Format.Format_RGB32)
    image.fill(0xFFFFFFFF)
    painter = QPainter(image)
    draw_page(painter, pages[1], dots_per_mm=dots)
    painter.end()
    shapes = [mark for mark in pages[1].marks if isinstance(mark, Shape)]
    bars = [one for one in shapes if one.closed and one.fill == "#2f4b3c" and one.opacity == 1]
    seen = 0
    for bar in bars:
        left, top, right, bottom = extent_of(bar)
        if min(right - left, bottom - top) < 2:
            continue
        x, y = round((left + right) / 2 * dots), round((top + bottom) / 2 * dots)
        drawn = image.pixelColor(x, y)
        assert (drawn.red(), drawn.green(), drawn.blue()) == (0x2F, 0x4B, 0x3C)
        assert (
            max(abs(a - b) for a, b in zip(paper.getpixel((x, y)), (47, 75, 60), strict=True)) < 4
        )
        seen += 1
    assert seen >= 8
