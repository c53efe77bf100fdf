"""The card that asks for the label of the last pick: printed at once, or offered as a dialog."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from pypdfium2 import PdfDocument
from PySide6.QtPrintSupport import QPrinter
from PySide6.QtWidgets import QApplication
from small_farm import begin_small
from zxingcpp import read_barcodes

from farmdesk.actions.base import perform
from farmdesk.actions.scanning import Bench
from farmdesk.desk.application import Desk
from farmdesk.desk.print_labels import LabelsDialog
from farmdesk.domain import cards
from farmdesk.domain.codes import code_of
from farmdesk.domain.harvest import Pick
from farmdesk.domain.stations import Card, Printing
from farmdesk.settings.preferences import Preferences
from farmdesk.store.farm_store import open_farm


@pytest.fixture
def printer(request) -> str:
    return request.param


@pytest.fixture
def desk(qtbot, tmp_path: Path, printer: str) -> Iterator[Desk]:
    path = tmp_path / "farm.sqlite"
    store = open_farm(path, make=True)
    farm = begin_small(store)
    codes = {}
    for act in (cards.PICK, cards.LABEL):
        made = perform(
            store,
            lambda one, act=act: one.make(
                "card_made", Card(one.next_id("card"), act, title=cards.ACTS[act])
            ),
        ).result
        assert made is not None
        codes[act] = code_of(made.id)
    bench = Bench(store, station="desk")
    for line in (codes[cards.PICK], code_of(farm.bags[0]), "450 g"):
        answer = bench.scan(line)
        if answer.outcome == "ask":
            bench.answer(True)
    store.close()
    app = QApplication.instance()
    assert isinstance(app, QApplication)
    preferences = Preferences(theme="light", printer=printer, station="desk")
    desk = Desk(app, str(path), preferences, tmp_path / "settings.toml")
    desk.label_code = codes[cards.LABEL]  # type: ignore[attr-defined]
    desk.window.show()
    qtbot.waitUntil(lambda: desk.session is not None and desk.session.store is not None)
    desk.workplace.settled()
    yield desk
    desk.window.close()
    desk.window.deleteLater()
    desk.deleteLater()


@pytest.mark.parametrize("printer", ["", "Label printer"], indirect=True)
def test_the_label_is_printed_at_once_or_the_dialog_opens(desk, tmp_path, printer, qtbot) -> None:
    out = tmp_path / "printed.pdf"

    def open_pdf(name: str) -> QPrinter:
        assert name == "Label printer"
        made = QPrinter(QPrinter.PrinterMode.HighResolution)
        made.setOutputFormat(QPrinter.OutputFormat.PdfFormat)
        made.setOutputFileName(str(out))
        return made

    session = desk.session
    session.label_desk.open_printer = open_pdf
    with session.store.reading() as reading:
        pick = reading.all(Pick)[0]
    desk.window.take_scan(desk.label_code)
    desk.workplace.settled()
    QApplication.processEvents()
    if not printer:
        dialog = QApplication.activeModalWidget()
        assert isinstance(dialog, LabelsDialog)
        assert dialog.words.value() == pick.name
        dialog.reject()
        return

    def printings() -> list[Printing]:
        with session.store.reading() as reading:
            return reading.all(Printing, subject=pick.id)

    qtbot.waitUntil(lambda: len(printings()) == 1)
    image = PdfDocument(str(out))[0].render(scale=300 / 72).to_pil()
    assert [one.text for one in read_barcodes(image)] == [code_of(pick.id)]


@pytest.mark.parametrize("printer", ["Label printer"], indirect=True)
def test_a_printer_that_is_gone_is_told_on_the_strip(desk) -> None:
    desk.window.take_scan(desk.label_code)
    desk.workplace.settled()
    QApplication.processEvents()
    answer = desk.window.strip.answer
    assert answer is not None
    assert answer.outcome == "refused"
    assert "Label printer is not there" in answer.sentence
