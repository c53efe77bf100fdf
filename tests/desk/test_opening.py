"""What a page gets: acts that are kept, asked back, told to the pages, and said when refused."""

from __future__ import annotations

import pytest
from farm_window import FarmWindow
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QWidget

from farmdesk.desk.dialogs import MessageDialog, QuestionDialog
from farmdesk.domain.catalogue import Farm
from farmdesk.errors import Asked, Refused, problem


class Sheet(QWidget):
    """A thing in sight that counts what it is told."""

    def __init__(self) -> None:
        super().__init__()
        self.count = 0

    def refresh(self) -> None:
        self.count += 1


@pytest.fixture
def sheet(qtbot, farm_window: FarmWindow) -> Sheet:
    sheet = Sheet()
    qtbot.addWidget(sheet)
    farm_window.context.refresher.register(sheet, {"farm"})
    sheet.show()
    return sheet


def rename(act) -> str:
    farm = act.need(Farm, 1)
    return act.change("farm_changed", farm, name="Otter Lane").name


def test_an_act_is_kept_and_told_to_the_pages_that_show_it(farm_window, sheet) -> None:
    names: list[str] = []
    before = sheet.count
    farm_window.context.act(rename, then=names.append)
    farm_window.settle()
    assert names == ["Otter Lane"]
    assert farm_window.all("farm")[0].name == "Otter Lane"
    assert sheet.count == before + 1


@pytest.mark.parametrize(("key", "name"), [(Qt.Key.Key_Y, "Otter Lane"), (Qt.Key.Key_N, None)])
def test_an_act_that_looks_like_a_mistake_is_asked_back(farm_window, qtbot, key, name) -> None:
    def doubtful(act) -> str:
        act.ask(problem("choice_not_known", text="Otter"))
        return rename(act)

    names: list[str] = []
    farm_window.context.act(doubtful, then=names.append)
    dialog = farm_window.dialog()
    assert isinstance(dialog, QuestionDialog)
    qtbot.keyClick(dialog, key)
    farm_window.settle()
    assert names == ([name] if name else [])
    assert farm_window.all("farm")[0].name == (name or "Heron Lane")


def test_a_refusal_that_nobody_takes_is_said_calmly(farm_window, sheet, qtbot) -> None:
    def refuse(act) -> None:
        rename(act)
        raise Refused(problem("field_empty", label="Room name"))

    before = sheet.count
    farm_window.context.act(refuse)
    dialog = farm_window.dialog()
    assert isinstance(dialog, MessageDialog)
    assert dialog.sentence.text() == "Room name must be filled in."
    assert not dialog.details.isVisible()
    dialog.accept()
    farm_window.settle()
    assert farm_window.all("farm")[0].name == "Heron Lane"
    assert sheet.count == before


def test_a_fault_shows_its_details_and_changes_nothing(farm_window, farm_log) -> None:
    def break_down(act) -> None:
        rename(act)
        raise ZeroDivisionError("a fault of ours")

    farm_window.context.act(break_down)
    dialog = farm_window.dialog()
    assert "a fault of ours" in dialog.sentence.text()
    assert "Traceback" in dialog.details.toPlainText()
    dialog.accept()
    farm_window.settle()
    assert farm_window.all("farm")[0].name == "Heron Lane"
    assert len(farm_log) == 1
    farm_log.clear()


def test_an_answer_no_is_told_to_who_asked(farm_window, qtbot) -> None:
    def doubtful(act) -> None:
        raise Asked(problem("choice_not_known", text="Otter"))

    said: list[str] = []
    farm_window.context.act(doubtful, no=lambda: said.append("no"))
    qtbot.keyClick(farm_window.dialog(), Qt.Key.Key_Escape)
    farm_window.settle()
    assert said == ["no"]
