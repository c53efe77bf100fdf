"""Labels by keys: seen first, from a chosen place of a sheet, and moved by the test print.

The paper of the printer is a PDF file: printers are the system's, not the desk's.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pypdfium2
import pytest
from hands import Hands
from heron_lane import at_the_desk, things
from label_reading import read_codes
from PySide6.QtPrintSupport import QPrinter

from farmdesk.desk import offset_dialog, print_dialog
from farmdesk.desk.print_labels import LabelsDialog
from farmdesk.domain.codes import code_of
from farmdesk.paper.pages import Bars

DPI = 300
STOCK = "a4-3x8"


class Paper:
    """A printer called Bench laser; each print is a file."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.prints: list[Path] = []

    def open(self, name: str) -> QPrinter:
        """The printer with this name."""
        assert name == "Bench laser"
        self.prints.append(self.folder / f"print-{len(self.prints)}.pdf")
        printer = QPrinter(QPrinter.PrinterMode.HighResolution)
        printer.setOutputFormat(QPrinter.OutputFormat.PdfFormat)
        printer.setOutputFileName(str(self.prints[-1]))
        printer.setResolution(600)
        return printer


def ink_mm(path: Path) -> tuple[float, float]:
    """Left and top of what is printed on the first page."""
    pdf = pypdfium2.PdfDocument(str(path))
    picture = pdf[0].render(scale=DPI / 72).to_pil()
    pdf.close()
    dark = np.asarray(picture.convert("L")) < 128
    rows, columns = np.flatnonzero(dark.any(axis=1)), np.flatnonzero(dark.any(axis=0))
    return columns[0] * 25.4 / DPI, rows[0] * 25.4 / DPI


@pytest.fixture
def paper(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Paper:
    made = Paper(tmp_path)
    monkeypatch.setattr(print_dialog, "printer_names", lambda: ["Bench laser"])
    monkeypatch.setattr(print_dialog, "open_printer", made.open)
    monkeypatch.setattr(offset_dialog, "open_printer", made.open)
    return made


@pytest.fixture
def hands(qtbot, tmp_path: Path, paper: Paper) -> Iterator[Hands]:
    with at_the_desk(qtbot.waitUntil, tmp_path) as made:
        yield made


def open_labels(hands: Hands, words: str, **more: str) -> LabelsDialog:
    """The label dialog, filled by keys, with its pages made."""
    hands.press("Ctrl+Shift+L")
    dialog = hands.top
    assert isinstance(dialog, LabelsDialog)
    hands.fill({"Codes, names or a batch": words, "Label stock": STOCK, **more})
    hands.go("Printer")
    hands.write("Bench laser")
    hands.wait_for(lambda: dialog.job is not None)
    return dialog


def test_what_is_seen_is_printed_from_the_place_that_is_chosen(hands: Hands, paper: Paper) -> None:
    """Two labels from the fifth of the sheet on; the preview holds the codes that are printed."""
    bags = things(hands, "bag")[:2]
    names = "OY01-0001-001 OY01-0001-002"
    dialog = open_labels(hands, names, **{"Start at label number": "5"})
    hands.wait_for(lambda: dialog.start.value() == 5)
    hands.wait_for(lambda: dialog.job is not None and dialog.job.pages)
    pages = list(dialog.preview.pages)
    assert pages == list(dialog.job.pages)
    assert sum(isinstance(mark, Bars) for page in pages for mark in page.marks) == 2
    hands.save()
    assert read_codes(paper.prints[0]) == {code_of(one.id) for one in bags}
    left, top = ink_mm(paper.prints[0])
    # Three across: the fifth label is in the second row and the second column of 70 by 37 mm.
    assert 70 < left < 140
    assert 37 < top < 80
    assert len(things(hands, "printing")) == 2


def test_the_test_print_measures_and_moves_the_next_print_and_is_kept(
    hands: Hands, paper: Paper, qtbot, tmp_path: Path
) -> None:
    """This printer puts lines 2 mm too far right and 3 mm too high."""
    open_labels(hands, "OY01-0001-001")
    hands.save()
    open_labels(hands, "OY01-0001-001")
    hands.go("Test print and correction …")
    hands.press("Space")
    hands.wait_for(lambda: isinstance(hands.top, offset_dialog.OffsetDialog))
    hands.go("Print the ruler sheet")
    hands.press("Space")
    hands.wait_for(lambda: len(paper.prints) == 2)
    hands.save({
        "A, from the left edge to the upright line": "22 mm",
        "B, from the top edge to the level line": "17",
        "C, length of the bar": "100",
    })  # fmt: skip
    hands.save()
    before, after = ink_mm(paper.prints[0]), ink_mm(paper.prints[2])
    assert after[0] - before[0] == pytest.approx(-2, abs=0.15)
    assert after[1] - before[1] == pytest.approx(3, abs=0.15)
    hands.desk.end()
    with at_the_desk(qtbot.waitUntil, tmp_path) as later:
        dialog = open_labels(later, "OY01-0001-001")
        assert "Moved -2.0 mm" in dialog.stock.hint_text().replace("−", "-")
        later.press("Esc")
