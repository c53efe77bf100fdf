"""Documents on pages that are seen before they are printed: figures, columns, charts, tables."""

from __future__ import annotations

from itertools import combinations

import pytest
from test_documents import EVERYTHING, PICKS

from farmdesk.paper.charts import Chart, Series
from farmdesk.paper.document_pages import lay_out_document
from farmdesk.paper.documents import (
    Block,
    Columns,
    Document,
    Figure,
    Figures,
    Heading,
    Note,
    PageBreak,
    PageSize,
    Paragraph,
)
from farmdesk.paper.pages import Page, Shape, TextRun, extent_of
from farmdesk.paper.tables import Column, Table
from farmdesk.wording.formats import Formats

US = Formats(locale="en_US", mass_unit="kg", currency="USD")
CHART = Chart("bar", "Sold", ["Kitchens", "Market"], [Series("Sold", [120.5, 43])], "kg")
LONG = "Pleurotus" * 30


def laid(blocks: list[Block], *, is_dense: bool = True, page: PageSize = "A4") -> tuple[Page, ...]:
    document = Document("Week", blocks, footer="Farm", is_dense=is_dense)
    return lay_out_document(document, US, page=page)


def numbers(rows: int, *, totals: bool = False) -> Table:
    columns = [Column("name", "Name"), Column("n", "Number", "integer")]
    made = iter([(f"row {n}", n) for n in range(rows)])
    return Table("t", "T", columns, made, totals=("All", 4_711) if totals else None)


def texts_of(page: Page) -> list[str]:
    return [mark.text for mark in page.marks if isinstance(mark, TextRun)]


def run_of(page: Page, text: str) -> TextRun:
    return next(one for one in page.marks if isinstance(one, TextRun) and one.text == text)


def check_pages(pages: tuple[Page, ...]) -> None:
    """Nothing runs over the paper's edge, and no text over another."""
    for page in pages:
        for mark in page.marks:
            left, top, right, bottom = extent_of(mark)
            assert left >= 10, mark
            assert top >= 10, mark
            assert right <= page.width_mm - 10, mark
            assert bottom <= page.height_mm - 10, mark
        runs = [(one, extent_of(one)) for one in page.marks if isinstance(one, TextRun)]
        for (one, a), (other, b) in combinations(runs, 2):
            across = min(a[2], b[2]) - max(a[0], b[0])
            # Faces leave a fifth of their height free above and below the letters.
            down = min(a[3], b[3]) - max(a[1], b[1])
            assert across <= 0.1 or down <= 0.2 * (a[3] - a[1]), (one, other)


@pytest.mark.parametrize("page", ["A4", "letter"])
@pytest.mark.parametrize("is_dense", [False, True])
def test_every_block_stands_on_the_paper_and_over_no_other(page: PageSize, is_dense: bool) -> None:
    pages = laid(EVERYTHING, is_dense=is_dense, page=page)
    check_pages(pages)
    whole = " ".join(text for one in pages for text in texts_of(one))
    for expected in ("182.75 kg", "more than last week", "Yield (%)", "Oyster", "$1,234.50"):
        assert expected in whole
    assert texts_of(pages[-1])[0] == "Small print."
    assert texts_of(pages[-1])[-1] == f"Page {len(pages)} of {len(pages)}"


def test_texts_that_are_too_long_are_wrapped_or_cut() -> None:
    columns = [Column(f"c{n}", f"{LONG} {n}") for n in range(3)]
    columns += [Column(f"n{n}", "Long heading of a figure", "number") for n in range(5)]
    table = Table("t", "T", columns, [(LONG,) * 3 + (123_456_789.125,) * 5], notes=(LONG,))
    figures = Figures([Figure(LONG, "1,234,567.89 kg", LONG)] * 5)
    blocks: list[Block] = [Heading(LONG), Paragraph(LONG), table, figures, Note(LONG)]
    document = Document(LONG, blocks, subtitle=LONG, footer=LONG, is_dense=True)
    check_pages(lay_out_document(document, US))


def test_wide_documents_lie() -> None:
    (page,) = lay_out_document(Document("Week", [PICKS], is_wide=True, is_dense=True), US)
    assert (page.width_mm, page.height_mm) == (297, 210)
    assert max(extent_of(mark)[2] for mark in page.marks) > 270


def test_figures_stand_side_by_side_and_large() -> None:
    (page,) = laid([Figures([Figure("Picked", "46 kg", "a word"), Figure("Sold", "59.5 kg")])])
    first, second = run_of(page, "46 kg"), run_of(page, "59.5 kg")
    assert first.y_mm == second.y_mm
    assert first.x_mm < second.x_mm
    assert first.size_pt > run_of(page, "a word").size_pt * 1.8
    wide = [Figure("Picked", "1,234,567.89 kg of mushrooms") for _ in range(5)]
    (page,) = laid([Figures(wide)])
    check_pages((page,))
    assert len({run.y_mm for run in page.marks
                if isinstance(run, TextRun) and run.text == wide[0].value}) > 1  # fmt: skip


def test_columns_stand_side_by_side() -> None:
    (page,) = laid([Columns([[Heading("Left"), numbers(3)], [CHART]]), Paragraph("after")])
    check_pages((page,))
    assert run_of(page, "Sold (kg)").x_mm > page.width_mm / 2 > run_of(page, "Left").x_mm
    bars = [one for one in page.marks if isinstance(one, Shape) and one.closed and one.fill]
    assert len(bars) >= 2
    below = max(extent_of(one)[3] for one in (*bars, run_of(page, "row 2")))
    assert extent_of(run_of(page, "after"))[1] > below


def test_columns_too_tall_for_a_page_stand_below_each_other() -> None:
    pages = laid([Columns([[numbers(90)], [Paragraph("after it all")]])])
    check_pages(pages)
    assert len(pages) == 2
    assert "after it all" in texts_of(pages[-1])
    shown = [text for page in pages for text in texts_of(page) if text.startswith("row ")]
    assert shown == [f"row {n}" for n in range(90)]


def test_headings_of_tables_come_again_and_totals_are_bold_and_never_alone() -> None:
    for rows in range(45, 60):
        pages = laid([numbers(rows, totals=True)])
        assert all("Number" in texts_of(page) for page in pages)
        assert run_of(pages[-1], "4,711").bold
        assert f"row {rows - 1}" in texts_of(pages[-1])
    (page,) = laid([numbers(2, totals=True)], is_dense=False)
    assert run_of(page, "4,711").bold
    assert not run_of(page, "row 1").bold


def test_a_heading_is_never_the_last_on_its_page() -> None:
    for rows in range(30, 56):
        for after in (numbers(5, totals=True), CHART, Columns([[CHART]]), Note("a word")):
            pages = laid([numbers(rows), Heading("Alone"), after])
            check_pages(pages)
            page = next(one for one in pages if "Alone" in texts_of(one))
            texts = texts_of(page)
            # The two last are the foot.
            assert texts.index("Alone") < len(texts) - 3, rows


def test_nothing_in_a_document_is_one_page() -> None:
    for blocks in ([], [PageBreak()], [Figures([])], [Columns([])], [PageBreak(), PageBreak()]):
        pages = laid(list(blocks))
        assert len(pages) == 1
        check_pages(pages)
