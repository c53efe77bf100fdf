"""Dialogs save through the lane, read questions back, and stay away when work is quick."""

from __future__ import annotations

import threading
from collections.abc import Callable

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QWidget

from farmdesk.desk.acting import perform
from farmdesk.desk.dialogs import (
    FormDialog,
    MessageDialog,
    ProgressDialog,
    QuestionDialog,
    ask,
    tell,
)
from farmdesk.desk.fields import TextField
from farmdesk.errors import Asked, Refused, problem


@pytest.fixture
def act(workplace):
    """As DeskContext.act, on a farm that only knows which codes were confirmed."""

    def act(action, *, then=None, failed=None, no=None, parent=None) -> None:
        def read_back(sentence, yes, on_no) -> None:
            ask(parent, sentence, yes=yes, no=on_no)

        perform(workplace, action, read_back, then=then, failed=failed, no=no)

    return act


@pytest.fixture
def dialog(qtbot, light) -> FormDialog:
    dialog = FormDialog("New room", sentence="A place with a climate.", save_title="Add")
    dialog.form.add(TextField("name", "Room name", required=True))
    dialog.results = []
    dialog.saved.connect(dialog.results.append)
    qtbot.addWidget(dialog)
    dialog.open()
    return dialog


def type_name(dialog: FormDialog, text: str) -> None:
    dialog.form.fields["name"].line.setText(text)


def save(qtbot, dialog: FormDialog) -> None:
    line = dialog.form.fields["name"].line
    qtbot.keyClick(line, Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)


def question() -> QuestionDialog:
    found = [one for one in QApplication.topLevelWidgets() if isinstance(one, QuestionDialog)]
    return next(one for one in found if one.isVisible())


def test_it_saves_and_closes(dialog, act, settled, qtbot) -> None:
    dialog.on_save = lambda values: dialog.run(act, lambda _codes: values["name"].upper())
    type_name(dialog, "tent 4")
    save(qtbot, dialog)
    settled()
    assert dialog.results == ["TENT 4"]
    assert not dialog.isVisible()


def test_what_can_not_be_read_is_not_saved(dialog, act, settled, qtbot) -> None:
    calls: list[object] = []
    dialog.on_save = calls.append
    save(qtbot, dialog)
    assert calls == []
    assert dialog.isVisible()


def test_a_refusal_stays_open_with_the_problem_at_its_field(dialog, act, settled, qtbot) -> None:
    def refuse(_codes) -> None:
        raise Refused(problem("field_empty", field="name", label="Room name"))

    dialog.on_save = lambda _: dialog.run(act, refuse)
    type_name(dialog, "x")
    save(qtbot, dialog)
    settled()
    assert dialog.isVisible()
    assert dialog.save_button.isEnabled()
    assert dialog.form.fields["name"].problem_text() == "Room name must be filled in."


@pytest.mark.parametrize(("key", "kept"), [(Qt.Key.Key_Y, ["kept"]), (Qt.Key.Key_N, [])])
def test_a_question_is_read_back(dialog, act, settled, qtbot, key, kept) -> None:
    def doubt(codes: frozenset[str]) -> str:
        if "pounds_point_ounces" not in codes:
            raise Asked(problem("pounds_point_ounces", text="9.6 lb", taken="A", other="B"))
        return "kept"

    dialog.on_save = lambda _: dialog.run(act, doubt)
    type_name(dialog, "x")
    save(qtbot, dialog)
    settled()
    asked = question()
    assert "9.6 lb" in asked.sentence.text()
    qtbot.keyClick(asked, key)
    settled()
    assert dialog.results == kept
    assert dialog.isVisible() == (not kept)
    dialog.close()


def test_a_second_save_while_saving_is_not_taken(dialog, act, settled, qtbot) -> None:
    gate = threading.Event()
    calls: list[int] = []

    def slow(_codes) -> None:
        calls.append(1)
        gate.wait()

    dialog.on_save = lambda _: dialog.run(act, slow)
    type_name(dialog, "x")
    save(qtbot, dialog)
    save(qtbot, dialog)
    gate.set()
    settled()
    assert calls == [1]


def test_escape_cancels(dialog, qtbot) -> None:
    qtbot.keyClick(dialog.form.fields["name"].line, Qt.Key.Key_Escape)
    assert not dialog.isVisible()
    assert dialog.results == []


@pytest.mark.parametrize(
    ("key", "answer"),
    [
        (Qt.Key.Key_Y, "yes"),
        (Qt.Key.Key_Return, "yes"),
        (Qt.Key.Key_N, "no"),
        (Qt.Key.Key_Escape, "no"),
    ],
)
def test_a_question_is_answered_by_key(qtbot, light, key, answer) -> None:
    parent = QWidget()
    qtbot.addWidget(parent)
    answers: list[str] = []
    asked = ask(parent, "Sure?", yes=lambda: answers.append("yes"), no=lambda: answers.append("no"))
    qtbot.keyClick(asked, key)
    assert answers == [answer]


def test_a_fault_can_be_copied(qtbot, light) -> None:
    parent = QWidget()
    qtbot.addWidget(parent)
    shown = tell(parent, "Something went wrong", "It did.", details="Traceback")
    copy = next(
        one for one in shown.findChildren(QWidget) if one.property("text") == "Copy details"
    )
    qtbot.mouseClick(copy, Qt.MouseButton.LeftButton)
    assert QApplication.clipboard().text() == "It did.\n\nTraceback"
    assert isinstance(shown, MessageDialog)
    qtbot.mouseClick(shown.close_button, Qt.MouseButton.LeftButton)


def _work(dialog: ProgressDialog) -> Callable[[], bool]:
    def work() -> bool:
        dialog.report(3, 10)
        return dialog.is_cancelled()

    return work


def test_quick_work_shows_no_progress(qtbot, light, workplace, settled) -> None:
    dialog = ProgressDialog("Printing 12 labels …")
    qtbot.addWidget(dialog)
    workplace.read(_work(dialog), then=lambda _: dialog.finish())
    settled()
    assert not dialog.isVisible()


def test_slow_work_shows_progress_and_can_be_stopped(qtbot, light, workplace, settled) -> None:
    dialog = ProgressDialog("Building the demo farm …", slow_ms=0)
    qtbot.addWidget(dialog)
    qtbot.waitUntil(dialog.isVisible)
    workplace.read(_work(dialog))
    settled()
    assert (dialog.bar.value(), dialog.bar.maximum()) == (3, 10)
    qtbot.keyClick(dialog, Qt.Key.Key_Escape)
    stopped: list[bool] = []
    workplace.read(_work(dialog), then=stopped.append)
    settled()
    assert stopped == [True]
    assert dialog.isVisible()
    dialog.finish()
