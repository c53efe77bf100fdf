"""Labels and cards are seen before they are printed, and lie on paper where the stock says."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pypdfium2
import pytest
import zxingcpp
from farm_window import FarmWindow
from PIL.Image import Image
from PySide6.QtCore import QPointF, Qt
from PySide6.QtPrintSupport import QPrinter
from PySide6.QtTest import QTest

from farmdesk.actions.lab import register_spawn
from farmdesk.desk.offset_dialog import OffsetDialog
from farmdesk.desk.print_labels import LabelsDialog, PrintCardsDialog
from farmdesk.desk.printers import open_printer, print_on
from farmdesk.domain.codes import code_of
from farmdesk.errors import DeviceTrouble
from farmdesk.labels.layout import free_area_mm
from farmdesk.labels.ruler_sheets import ruler_of, ruler_page
from farmdesk.labels.sheets import label_corner_mm
from farmdesk.labels.stocks import shipped_stocks
from farmdesk.paper.pages import Box
from farmdesk.settings.print_offsets import Offset

DPI = 300


def file_printer(path: Path) -> Callable[[str], QPrinter]:
    """A printer whose paper is a PDF file."""

    def make(name: str) -> QPrinter:
        printer = QPrinter(QPrinter.PrinterMode.HighResolution)
        printer.setOutputFormat(QPrinter.OutputFormat.PdfFormat)
        printer.setOutputFileName(str(path))
        printer.setDocName(name)
        printer.setResolution(600)
        return printer

    return make


def pictures(path: Path) -> list[Image]:
    pdf = pypdfium2.PdfDocument(str(path))
    found = [page.render(scale=DPI / 72).to_pil() for page in pdf]
    pdf.close()
    return found


def make_spawn(window: FarmWindow, bags: int) -> list:
    strain = window.all("strain")[0].id
    return window.act(lambda act: register_spawn(act, strain=strain, bags=bags, each_mg=10**6))


def open_labels(window: FarmWindow, words: str, stock: str, printer: str = "") -> LabelsDialog:
    dialog = LabelsDialog(window.context, words)
    window.context.open_dialog(dialog)
    window.settle()
    dialog.printer.set_choices([("", "A PDF file"), ("Bench laser", "Bench laser")])
    dialog.printer.set_value(printer)
    dialog.stock.set_value(stock)
    window.settle()
    return dialog


def ink_box_mm(picture: Image) -> tuple[float, float, float, float]:
    dark = np.asarray(picture.convert("L")) < 128
    rows, columns = np.flatnonzero(dark.any(axis=1)), np.flatnonzero(dark.any(axis=0))
    return tuple(one * 25.4 / DPI for one in (columns[0], rows[0], columns[-1] + 1, rows[-1] + 1))  # type: ignore[return-value]


def test_the_preview_shows_what_is_printed_and_printing_is_recorded(
    farm_window: FarmWindow, tmp_path: Path
) -> None:
    spawn = make_spawn(farm_window, 3)
    words = " ".join(one.name for one in spawn)
    dialog = open_labels(farm_window, words, "a4-3x8", "Bench laser")
    assert dialog.job is not None
    assert dialog.job.count == 3
    out = tmp_path / "printed.pdf"
    dialog.open_printer = file_printer(out)
    dialog.try_save()
    farm_window.settle()
    codes = {one.text for one in zxingcpp.read_barcodes(pictures(out)[0])}
    assert codes == {code_of(one.id) for one in spawn}
    assert {one.subject for one in farm_window.all("printing")} == {one.id for one in spawn}
    assert not farm_window.has_dialog()


@pytest.mark.parametrize("offset", [Offset(), Offset(3_000, -2_000)])
@pytest.mark.parametrize(("stock", "start"), [("a4-3x8-margins", 8), ("letter-3x10", 30)])
def test_a_label_lies_where_the_stock_says_moved_by_the_correction(
    farm_window: FarmWindow, tmp_path: Path, stock: str, start: int, offset: Offset
) -> None:
    spawn = make_spawn(farm_window, 1)
    farm_window.context.print_offsets.keep("Bench laser", stock, offset)
    dialog = open_labels(farm_window, spawn[0].name, stock, "Bench laser")
    dialog.start.set_value(start)
    farm_window.settle()
    out = tmp_path / "printed.pdf"
    dialog.open_printer = file_printer(out)
    dialog.try_save()
    farm_window.settle()
    known = shipped_stocks()[stock]
    x, y = label_corner_mm(known, start - 1)
    left, top, wide, tall = free_area_mm(known)
    x, y = x + left + offset.right_um / 1000, y + top + offset.down_um / 1000
    found = ink_box_mm(pictures(out)[0])
    assert x - 0.2 <= found[0] <= x + wide / 3
    assert y - 0.2 <= found[1] <= y + tall / 3
    assert found[2] <= x + wide + 0.2
    assert found[3] <= y + tall + 0.2


def test_a_correction_moves_the_print_by_just_so_much(tmp_path: Path, qapp) -> None:
    page = ruler_page(shipped_stocks()["a4-3x8"])._replace(marks=())
    page = page._replace(marks=(Box(50, 60, 30, 20),))
    boxes = []
    for offset in (Offset(), Offset(4_000, 2_500)):
        out = tmp_path / f"{offset.right_um}.pdf"
        print_on(file_printer(out)("x"), [page], title="Box", offset=offset)
        boxes.append(ink_box_mm(pictures(out)[0]))
    assert boxes[0] == pytest.approx((50, 60, 80, 80), abs=0.15)
    assert boxes[1] == pytest.approx((54, 62.5, 84, 82.5), abs=0.15)


def test_a_pdf_is_never_moved(farm_window: FarmWindow, tmp_path: Path) -> None:
    spawn = make_spawn(farm_window, 1)
    farm_window.context.print_offsets.keep("Bench laser", "a4-3x8-margins", Offset(5_000, 5_000))
    boxes = []
    for printer in ("", "Bench laser"):
        dialog = open_labels(farm_window, spawn[0].name, "a4-3x8-margins", printer)
        out = tmp_path / f"{printer or 'file'}.pdf"
        dialog.shows.set_value(False)
        dialog.choose_file = lambda _, out=out: str(out)
        dialog.save_pdf()
        farm_window.settle()
        boxes.append(ink_box_mm(pictures(out)[0]))
    assert boxes[0] == boxes[1]


def test_the_start_is_chosen_on_the_picture_by_key_and_click(farm_window: FarmWindow) -> None:
    spawn = make_spawn(farm_window, 1)
    dialog = open_labels(farm_window, spawn[0].name, "a4-3x8")
    dialog.picture.setFocus()
    QTest.keyClick(dialog.picture, Qt.Key.Key_Down)
    QTest.keyClick(dialog.picture, Qt.Key.Key_Right)
    assert dialog.start.value() == 5
    assert "row 2, column 2" in dialog.picture.accessibleDescription()
    centre: QPointF = dialog.picture.label_rect(21).center()
    QTest.mouseClick(dialog.picture, Qt.MouseButton.LeftButton, pos=centre.toPoint())
    assert dialog.start.value() == 21
    QTest.keyClick(dialog.picture, Qt.Key.Key_End)
    assert dialog.start.value() == 24
    QTest.keyClick(dialog.picture, Qt.Key.Key_Down)
    assert dialog.start.value() == 24
    dialog.reject()


def test_copies_fill_more_labels(farm_window: FarmWindow) -> None:
    spawn = make_spawn(farm_window, 2)
    dialog = open_labels(farm_window, f"{spawn[0].name} {spawn[1].name}", "a4-3x8")
    dialog.copies.set_value(13)
    farm_window.settle()
    assert dialog.job is not None
    assert (dialog.job.count, len(dialog.job.pages)) == (26, 2)
    assert dialog.preview._place.text() == "Page 1 of 2"
    dialog.reject()


def test_words_that_name_nothing_are_told_and_nothing_is_printed(farm_window: FarmWindow) -> None:
    dialog = open_labels(farm_window, "OY99-9999", "a4-3x8")
    assert "OY99-9999" in dialog.form.problem_on_top()
    assert dialog.preview._place.text() == "Nothing to print"
    dialog.try_save()
    farm_window.settle()
    assert farm_window.all("printing") == []
    dialog.reject()


def test_a_scan_adds_its_label(farm_window: FarmWindow) -> None:
    spawn = make_spawn(farm_window, 2)
    dialog = open_labels(farm_window, spawn[0].name, "a4-3x8")
    farm_window.window.take_scan(code_of(spawn[1].id))
    farm_window.settle()
    assert dialog.job is not None
    assert dialog.job.ids == tuple(one.id for one in spawn)
    dialog.reject()


def test_a_printer_that_is_gone_is_told_and_nothing_is_recorded(farm_window: FarmWindow) -> None:
    spawn = make_spawn(farm_window, 1)
    dialog = open_labels(farm_window, spawn[0].name, "a4-3x8", "Bench laser")
    dialog.try_save()
    farm_window.settle()
    assert "Bench laser" in dialog.form.problem_on_top()
    assert farm_window.all("printing") == []
    dialog.reject()


def test_a_printer_nobody_has_is_refused(qapp) -> None:
    with pytest.raises(DeviceTrouble):
        open_printer("No such printer")


def test_wall_cards_are_seen_and_written(farm_window: FarmWindow, tmp_path: Path) -> None:
    class Holder:
        context = farm_window.context

    dialog = PrintCardsDialog(Holder())  # type: ignore[arg-type]
    farm_window.context.open_dialog(dialog)
    farm_window.settle()
    assert dialog.job is not None
    out = tmp_path / "cards.pdf"
    dialog.shows.set_value(False)
    dialog.file.set_value(str(out))
    dialog.try_save()
    farm_window.settle()
    seen = {one.text for image in pictures(out) for one in zxingcpp.read_barcodes(image)}
    assert {code_of(one.id) for one in farm_window.all("card")} <= seen


# ---- the test print


def open_offset(window: FarmWindow) -> OffsetDialog:
    dialog = OffsetDialog(window.context, "Bench laser", shipped_stocks()["a4-3x8"])
    window.context.open_dialog(dialog)
    window.settle()
    return dialog


def fill(dialog: OffsetDialog, **texts: str) -> None:
    for key, text in texts.items():
        dialog.form.fields[key].set_value(text)


def test_the_ruler_sheet_is_printed_at_real_size(farm_window: FarmWindow, tmp_path: Path) -> None:
    dialog = open_offset(farm_window)
    out = tmp_path / "ruler.pdf"
    dialog.open_printer = file_printer(out)
    dialog.print_sheet()
    ruler = ruler_of(shipped_stocks()["a4-3x8"])
    dark = np.asarray(pictures(out)[0].convert("L")) < 128
    upright = np.argmax(dark.sum(axis=0)) * 25.4 / DPI
    level = np.argmax(dark.sum(axis=1)) * 25.4 / DPI
    assert upright == pytest.approx(ruler.right_um / 1000, abs=0.3)
    assert level == pytest.approx(ruler.down_um / 1000, abs=0.3)
    dialog.reject()


def test_measures_are_kept_for_the_printer_and_stock(farm_window: FarmWindow) -> None:
    dialog = open_offset(farm_window)
    fill(dialog, right="18.5 mm", down="0.82 in", bar="100")
    dialog.try_save()
    farm_window.settle()
    kept = farm_window.context.print_offsets.find("Bench laser", "a4-3x8")
    assert kept == Offset(1_500, -828)
    assert not farm_window.has_dialog()


@pytest.mark.parametrize(
    ("texts", "field", "part"),
    [
        ({"right": "0.79", "down": "20"}, "right", "too far"),
        ({"right": "20", "down": "20", "bar": "96"}, "bar", "100 %"),
        ({"right": "left", "down": "20"}, "right", "is no length"),
    ],
)
def test_measures_that_cannot_be_are_told_and_not_kept(
    farm_window: FarmWindow, texts: dict[str, str], field: str, part: str
) -> None:
    dialog = open_offset(farm_window)
    fill(dialog, **texts)
    dialog.try_save()
    assert part in dialog.form.fields[field].problem_text()
    assert farm_window.context.print_offsets.find("Bench laser", "a4-3x8") == Offset()
    dialog.reject()
