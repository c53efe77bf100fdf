"""Documents as PDF, read back; and one table that says the same in every form."""

import csv
import re
import subprocess
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from decimal import Decimal
from pathlib import Path

import openpyxl
import pypdfium2
import pytest

from farmdesk.errors import NotWritten, Refused
from farmdesk.paper import table_drawing
from farmdesk.paper.charts import Chart, Series, pick_ticks
from farmdesk.paper.csv_tables import write_csv
from farmdesk.paper.documents import (
    Address,
    AddressPair,
    Block,
    Columns,
    Details,
    Document,
    Figure,
    Figures,
    Heading,
    Note,
    PageBreak,
    Paragraph,
    SignLines,
    TotalsBox,
    write_document,
)
from farmdesk.paper.spreadsheet import Sheet, write_workbook
from farmdesk.paper.tables import Column, Table, show_value
from farmdesk.wording.formats import Formats

US = Formats(locale="en_US", mass_unit="kg", zone="America/New_York", currency="USD")
PICKS = Table(
    "picks",
    "Picks",
    [
        Column("lot", "Lot", "code"),
        Column("species", "Species"),
        Column("bags", "Bags", "integer"),
        Column("picked_mg", "Picked", "mass"),
        Column("be", "BE", "percent"),
        Column("amount", "Amount", "money"),
        Column("day", "Day", "day"),
    ],
    [
        ("0000000017", "Blue oyster", 1200, 4_260_000, 62.5, Decimal("1234.50"), "2026-11-18"),
        ("0000000018", "Shiitake", 7, 12_000_000_000, None, Decimal("0.05"), "2026-01-02"),
        ("0000000019", "Lion's mane", 0, 540_000, 104.0, Decimal("-3.10"), "2026-12-31"),
    ],
)
LINE = Chart("line", "Yield", ["W1", "W2", "W3"], [Series("BE", [60, None, 66])], "%")
BARS = Chart("bar", "Sold", ["Cafe Alder", "Market"], [Series("Sold", [120.5, 43])], "kg")
STACK = Chart(
    "stacked", "By week", ["W1", "W2"], [Series("Oyster", [3, 4]), Series("Shiitake", [1, 2])]
)
EVERYTHING: list[Block] = [
    Figures([Figure("Picked", "182.75 kg", "more than last week"), Figure("Sold", "59.5 kg")]),
    Columns([[LINE], [BARS]]),
    Heading("Yields"),
    PICKS,
    STACK,
    AddressPair(Address("From", ["Hollow Oak", "Mill Lane"]), Address("To", ["Cafe Alder"])),
    Details([("Date", "Nov 23, 2026")]),
    TotalsBox([("Net", "$950.00"), ("To pay", "$997.50")]),
    Paragraph("Thank you & <b>goodbye</b>."),
    SignLines(["Received by", "Signed on"]),
    Note("Keep cold; follow local food rules.", is_caution=True),
    PageBreak(),
    Note("Small print."),
]


@contextmanager
def opened(path: Path) -> Iterator[pypdfium2.PdfDocument]:
    pdf = pypdfium2.PdfDocument(path)
    try:
        yield pdf
    finally:
        pdf.close()


def texts_of(path: Path) -> list[str]:
    """The text of each page, every run of white space as one space."""
    with opened(path) as pdf:
        return [" ".join(page.get_textpage().get_text_bounded().split()) for page in pdf]


def write(
    folder: Path, blocks: Sequence[Block], *, title: str = "Week 2026-W47", footer: str = "Farm"
) -> list[str]:
    path = folder / "d.pdf"
    pages = write_document(Document(title, blocks, footer=footer), path, formats=US)
    texts = texts_of(path)
    assert len(texts) == pages
    return texts


def test_every_block_is_there_with_page_numbers(tmp_path: Path) -> None:
    texts = write(tmp_path, EVERYTHING)
    whole = " ".join(texts)
    for expected in (
        "Week 2026-W47",
        "182.75 kg",
        "more than last week",
        "Yield (%)",
        "120.5",
        "Oyster",
        "$1,234.50",
        "12,000.00",
        "Mill Lane",
        "$997.50",
        "Thank you & <b>goodbye</b>.",
        "Received by",
        "Caution",
        "Keep cold; follow local food rules.",
        "Small print.",
    ):
        assert expected in whole
    for number, text in enumerate(texts, start=1):
        assert f"{number} of {len(texts)}" in text
    assert "Week 2026-W47 · Farm" in texts[1]


def test_one_table_says_the_same_in_every_form(tmp_path: Path) -> None:
    write_csv(PICKS, tmp_path / "t.csv")
    write_workbook([Sheet("Picks", [PICKS])], tmp_path / "t.xlsx", formats=US)
    (text,) = write(tmp_path, [PICKS])
    with (tmp_path / "t.csv").open(encoding="utf-8", newline="") as stream:
        from_csv = list(csv.reader(stream))[1:]
    sheet = openpyxl.load_workbook(tmp_path / "t.xlsx")["Picks"]
    from_sheet = list(sheet.iter_rows(min_row=2, values_only=True))
    assert len(from_csv) == len(from_sheet) == len(list(PICKS.rows))
    for row, plain, cells in zip(PICKS.rows, from_csv, from_sheet, strict=True):
        lot, species, bags, kg, be, amount, day = cells
        assert plain[:2] == [lot, species]
        assert int(plain[2]) == bags
        assert float(plain[3]) == kg
        assert (float(plain[4]) if plain[4] else None) == (None if be is None else be * 100)
        assert Decimal(plain[5]) == Decimal(str(amount))
        assert plain[6] == day.date().isoformat()
        shown = [show_value(v, c, US) for v, c in zip(row, PICKS.columns, strict=True)]
        assert " ".join(shown) in text


def test_the_same_document_gives_the_same_bytes(tmp_path: Path) -> None:
    for name in ("a.pdf", "b.pdf"):
        write_document(Document("Week", EVERYTHING), tmp_path / name, formats=US)
    assert (tmp_path / "a.pdf").read_bytes() == (tmp_path / "b.pdf").read_bytes()


def test_headings_repeat_on_each_page_of_a_long_table(tmp_path: Path) -> None:
    rows = [(f"{n:010d}", "word " * (n % 9), n) for n in range(400)]
    columns = [Column("a", "Lot", "code"), Column("b", "Remark"), Column("n", "Number", "integer")]
    texts = write(tmp_path, [Table("t", "T", columns, iter(rows), totals=("Total", None, 79_800))])
    assert len(texts) > 5
    assert all("Lot Remark Number" in text for text in texts)
    codes = re.findall(r"\b\d{10}\b", " ".join(texts))
    assert codes == [row[0] for row in rows]
    assert "79,800" in texts[-1]


@pytest.mark.parametrize("page", ["A4", "letter"])
@pytest.mark.parametrize("is_wide", [False, True])
def test_nothing_runs_over_the_edge(tmp_path: Path, page: str, is_wide: bool) -> None:
    long = "Pleurotus" * 30
    columns = [Column(f"c{n}", f"{long} {n}") for n in range(4)]
    columns += [Column(f"n{n}", "Long heading of a figure", "number") for n in range(6)]
    table = Table("t", "T", columns, [(long,) * 4 + (123_456_789.125,) * 6], notes=(long,))
    blocks = [
        Paragraph(long),
        table,
        Figures([Figure(long, "1,234,567.89 kg", long)] * 5),
        AddressPair(Address(long, [long]), Address(long, [long])),
        Details([(long, long)]),
        TotalsBox([(long, "$1,000,000.00")]),
        Note(long, is_caution=True),
        Chart("bar", long, [long, long], [Series(long, [1, 2]), Series(long, [2, 1])], long),
    ]
    path = tmp_path / "d.pdf"
    document = Document(long, blocks, subtitle=long, footer=long, is_wide=is_wide)
    write_document(document, path, formats=US, page=page)
    with opened(path) as pdf:
        for sheet in pdf:
            width, height = sheet.get_size()
            assert (width > height) is is_wide
            text = sheet.get_textpage()
            for index in range(text.count_chars()):
                left, bottom, right, top = text.get_charbox(index)
                assert left >= -0.5
                assert right <= width - 30
                assert bottom >= 0
                assert top <= height


def test_a_text_taller_than_a_page_goes_on_on_the_next(tmp_path: Path) -> None:
    endless = " ".join(f"word{n}" for n in range(3000))
    columns = [Column("a", "Lot", "code"), Column("b", "Remark"), Column("n", "N", "integer")]
    blocks = [
        Table("t", "T", columns, [("0000000017", endless, 1), ("0000000018", "short", 2)]),
        Note(endless, is_caution=True),
        Details([("Remark", endless)]),
        AddressPair(Address("From", [endless]), Address("To", ["Cafe Alder"])),
        Figures([Figure("Remark", "1", endless)]),
        Columns([[Paragraph(endless)], [Paragraph("right")]]),
    ]
    whole = " ".join(write(tmp_path, blocks))
    assert whole.count("word2999") == len(blocks)
    assert "0000000018 short 2" in whole


def test_columns_too_tall_for_a_page_stand_below_each_other(tmp_path: Path) -> None:
    tall = Table("t", "T", [Column("n", "Number", "integer")], [(n,) for n in range(90)])
    texts = write(tmp_path, [Columns([[tall], [Paragraph("after it all")]])])
    assert len(texts) > 1
    assert "after it all" in texts[-1]


def test_too_many_rows_for_paper_are_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(table_drawing, "MOST_ROWS", 2)
    (tmp_path / "d.pdf").write_bytes(b"old")
    with pytest.raises(Refused) as caught:
        write(tmp_path, [PICKS])
    assert caught.value.problems[0].code == "too_many_rows"
    assert (tmp_path / "d.pdf").read_bytes() == b"old"


def test_a_document_into_no_folder(tmp_path: Path) -> None:
    with pytest.raises(NotWritten):
        write_document(Document("Week", []), tmp_path / "none" / "d.pdf", formats=US)


def test_empty_things_are_drawn_all_the_same(tmp_path: Path) -> None:
    nothing: list[Block] = [
        Figures([]),
        Details([]),
        TotalsBox([]),
        SignLines([]),
        Columns([]),
        Table("t", "T", [Column("a", "Alone")], []),
        Chart("bar", "No bars", [], [], "kg"),
        Chart("line", "No line", ["W1"], [Series("a", [None])]),
        Chart("stacked", "Below", ["W1"], [Series("a", [-2.5]), Series("b", [float("nan")])]),
    ]
    text = " ".join(write(tmp_path, nothing))
    assert "Alone" in text
    assert "No bars (kg)" in text


@pytest.mark.parametrize(
    ("low", "high", "expected"),
    [
        (0, 10, [0, 2, 4, 6, 8, 10]),
        (0, 13, [0, 5, 10, 15]),
        (-3, 4, [-4, -2, 0, 2, 4]),
        (0, 0.07, [0, 0.02, 0.04, 0.06, 0.08]),
        (60, 72, [60, 62.5, 65, 67.5, 70, 72.5]),
        (5, 5, [5, 6]),
    ],
)
def test_axes_step_in_round_figures(low: float, high: float, expected: list[float]) -> None:
    assert pick_ticks(low, high) == pytest.approx(expected)


def test_bars_stand_on_zero_and_a_series_fits_its_categories() -> None:
    assert BARS.extent == (0, 120.5)
    assert STACK.extent == (0, 6)
    assert LINE.extent == (60, 66)
    with pytest.raises(ValueError, match="does not fit"):
        Chart("bar", "B", ["one"], [Series("s", [1, 2])])


def test_writers_load_their_libraries_late() -> None:
    """The window must not wait for them."""
    code = (
        "import sys, farmdesk.paper.documents, farmdesk.paper.spreadsheet, farmdesk.paper.charts\n"
        "print(sorted({'openpyxl', 'reportlab', 'numpy'} & set(sys.modules)))"
    )
    answer = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True
    )
    assert answer.stdout.strip() == "[]"
