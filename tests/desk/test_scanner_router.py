"""A scan goes where it belongs, and over a dialog that reads none it waits and is offered."""

from __future__ import annotations

import pytest
from PySide6.QtWidgets import QApplication, QDialog, QLineEdit, QVBoxLayout

from farmdesk.desk.dialogs import QuestionDialog
from farmdesk.desk.scanner_router import MOST_HELD, ScanRouter
from farmdesk.desk.window import DeskWindow

CODE = "6000123402"


@pytest.fixture
def window(qtbot, light) -> DeskWindow:
    made = DeskWindow(light)
    qtbot.addWidget(made)
    made.show()
    made.lines = []  # type: ignore[attr-defined]
    made.strip.line_entered.connect(made.lines.append)  # type: ignore[attr-defined]
    return made


class Named(QDialog):
    """A dialog with a name field that reads no scans."""

    def __init__(self) -> None:
        super().__init__()
        self.name = QLineEdit()
        QVBoxLayout(self).addWidget(self.name)


class Reading(Named):
    """A dialog that reads scans itself."""

    def take_scan(self, line: str) -> bool:
        self.name.setText(line)
        return True


def test_without_a_dialog_the_strip_gets_it(window) -> None:
    ScanRouter(window, window).take(CODE)
    assert window.lines == [CODE]


def test_a_dialog_that_reads_scans_gets_it(window) -> None:
    dialog = Reading()
    window.open_dialog(dialog)
    ScanRouter(window, window).take(CODE)
    assert dialog.name.text() == CODE
    assert window.lines == []
    dialog.close()


def offered(window: DeskWindow) -> QuestionDialog:
    QApplication.processEvents()
    found = QApplication.activeModalWidget()
    assert isinstance(found, QuestionDialog)
    return found


def test_over_another_dialog_it_waits_and_is_offered(window) -> None:
    router = ScanRouter(window, window)
    dialog = Named()
    window.open_dialog(dialog)
    router.take(CODE)
    router.take("6000123499")
    assert (dialog.name.text(), window.lines) == ("", [])
    assert "waits until this window is closed" in window.statusBar().currentMessage()
    dialog.reject()
    question = offered(window)
    assert CODE in question.sentence.text()
    question.accept()
    QApplication.processEvents()
    assert window.lines == [CODE, "6000123499"]
    assert router.held == []


def test_a_scan_that_waits_is_heard(window) -> None:
    heard: list[str] = []
    router = ScanRouter(window)
    router.sound = heard.append
    router.take(CODE)
    assert heard == []
    window.open_dialog(QDialog())
    router.take(CODE)
    assert heard == ["ask"]
    router.held.clear()
    window.findChild(QDialog).reject()


def test_what_was_offered_and_refused_is_forgotten(window) -> None:
    router = ScanRouter(window, window)
    dialog = Named()
    window.open_dialog(dialog)
    router.take(CODE)
    dialog.accept()
    offered(window).reject()
    QApplication.processEvents()
    assert window.lines == []


def test_a_dialog_beneath_that_reads_scans_gets_what_waited(window) -> None:
    router = ScanRouter(window, window)
    below = Reading()
    window.open_dialog(below)
    above = QDialog(below)
    above.open()
    router.take(CODE)
    assert below.name.text() == ""
    above.accept()
    QApplication.processEvents()
    assert below.name.text() == CODE
    below.close()


def test_the_oldest_of_very_many_are_let_go(window) -> None:
    router = ScanRouter(window, window)
    dialog = Named()
    window.open_dialog(dialog)
    for number in range(MOST_HELD + 5):
        router.take(f"code {number}")
    assert len(router.held) == MOST_HELD
    assert router.held[-1] == f"code {MOST_HELD + 4}"
    dialog.close()
    offered(window).reject()


@pytest.mark.parametrize("reply", [True, False])
def test_a_card_answers_the_question_in_front(window, reply) -> None:
    router = ScanRouter(window, window)
    router.read_reply = {"1000000001": True, "1000000002": False}.get
    dialog = QuestionDialog("Is the weight right?")
    answers: list[bool] = []
    dialog.accepted.connect(lambda: answers.append(True))
    dialog.rejected.connect(lambda: answers.append(False))
    window.open_dialog(dialog)
    router.take(CODE)
    assert answers == []
    assert router.held == [CODE]
    router.held.clear()
    router.take("1000000001" if reply else "1000000002")
    assert answers == [reply]
    assert router.held == []
