"""Label sheets against text alone, and the week's workbook against CSV of the same rows."""

from __future__ import annotations

import csv
import tempfile
from pathlib import Path

from reportlab import rl_config
from reportlab.pdfgen import canvas
from timing import Figure, interleave, median

from farmdesk.domain.codes import code_of, make_id
from farmdesk.labels.fields import LabelItem
from farmdesk.labels.sheets import label_pages
from farmdesk.labels.stocks import shipped_stocks
from farmdesk.paper.fonts import face
from farmdesk.paper.page_pdf import write_pages
from farmdesk.paper.spreadsheet import Sheet, write_workbook
from farmdesk.paper.tables import Column, Table
from farmdesk.wording.formats import Formats

COUNT = 1000


def _items() -> list[LabelItem]:
    return [
        LabelItem(
            "bag",
            code_of(make_id("bag", 1000 + number)),
            {
                "farm": "Nine Alders",
                "species": "Oyster",
                "strain": "OY01",
                "batch": "OY01-0147",
                "number": f"{number % 40 + 1:03d} of 040",
                "inoculated": "5 Feb 2026",
                "spawn": "S-OY01-0033",
                "heat_run": "R-0045",
                "ready_window": "17 Feb to 26 Feb",
            },
        )
        for number in range(COUNT)
    ]


def _write_text_only(path: Path, items: list[LabelItem]) -> None:
    rl_config.useA85 = 0
    page = canvas.Canvas(str(path), pagesize=(612, 792), pageCompression=1)
    for at, item in enumerate(items):
        if at % 30 == 0:
            if at:
                page.showPage()
            page.setFont(face().name, 9)
        x, y = 20 + at % 3 * 200, 740 - at % 30 // 3 * 72
        for line, text in enumerate(
            (item.fields["batch"], item.fields["number"], item.fields["strain"], item.code)
        ):
            page.drawString(x, y - line * 11, text)
    page.save()


def measure_labels(*, rounds: int) -> Figure:
    """1,000 bag labels on a Letter sheet with symbols / four lines of text each, same font."""
    items = _items()
    stock = shipped_stocks()["letter-3x10"]
    with tempfile.TemporaryDirectory() as folder:
        ours_file, floor_file = Path(folder) / "ours.pdf", Path(folder) / "floor.pdf"
        mine, floor = interleave(
            lambda _turn: write_pages(label_pages(items, stock), ours_file),
            lambda _turn: _write_text_only(floor_file, items),
            rounds=rounds, block=1,
        )  # fmt: skip
    what = f"{COUNT} labels with symbols / text only by reportlab"
    return Figure("labels", what, median(mine) * 1e3, median(floor) * 1e3, "ms", len(mine), 2, 1.1)


def _table(rows: int) -> Table:
    columns = (
        Column("day", "Day", "day"), Column("lot", "Lot", "code"),
        Column("species", "Species", "text"), Column("batch", "Batch", "code"),
        Column("flush", "Flush", "integer"), Column("grade", "Grade", "text"),
        Column("net", "Net kg", "number"), Column("share", "Share", "percent"),
        Column("price", "Price", "money"), Column("customer", "Customer", "text"),
        Column("bags", "Bags", "integer"), Column("note", "Note", "text"),
    )  # fmt: skip
    return Table(
        "picked", "Picked", columns,
        [
            ("2026-11-20", f"P-OY-{n:04d}", "Oyster", "OY01-0147", n % 3 + 1, "A", n * 0.001, 60.5,
             None, "The Copper Pan", n % 40, "")
            for n in range(rows)
        ],
    )  # fmt: skip


def measure_workbook(*, rows: int, rounds: int) -> Figure:
    """A workbook of `rows` rows of 12 columns / csv.writer on the same rows."""
    table = _table(rows)

    def write_plain(path: Path) -> None:
        with path.open("w", encoding="utf-8", newline="") as file:
            csv.writer(file).writerows(table.rows)

    with tempfile.TemporaryDirectory() as folder:
        mine, floor = interleave(
            lambda _turn: write_workbook(
                [Sheet("Picked", (table,))], Path(folder) / "ours.xlsx", formats=Formats()
            ),
            lambda _turn: write_plain(Path(folder) / "floor.csv"),
            rounds=rounds, block=1,
        )  # fmt: skip
    what = f"workbook of {rows:,} rows x 12 / CSV of the same rows"
    return Figure(
        "week_xlsx", what, median(mine) * 1e3, median(floor) * 1e3, "ms", len(mine), 25, 6
    )
