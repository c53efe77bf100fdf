"""The strip: lines go out, answers and questions come in, and lending scans to a page."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLineEdit, QVBoxLayout, QWidget

from farmdesk.desk.answers import AnswerView
from farmdesk.desk.strip import ScanStrip
from farmdesk.desk.theme import Theme

MOVED = AnswerView("done", "PO-B047-12 moved to Fruiting 2.", count_text="23 of 40 moved")
ASKS = AnswerView("ask", "That bag is 3 days old. Open it?", asks=True)


@pytest.fixture
def strip(qtbot, light) -> ScanStrip:
    strip = ScanStrip(light)
    strip.lines = []
    strip.replies = []
    strip.line_entered.connect(strip.lines.append)
    strip.yes_answered.connect(lambda: strip.replies.append("yes"))
    strip.no_answered.connect(lambda: strip.replies.append("no"))
    qtbot.addWidget(strip)
    strip.resize(1100, 170)
    strip.show()
    return strip


def test_a_typed_code_leaves_and_the_field_is_empty_again(strip, qtbot) -> None:
    strip.focus_field()
    qtbot.keyClicks(strip.field, " 1000 0047 21 ")
    qtbot.keyClick(strip.field, Qt.Key.Key_Return)
    assert strip.lines == ["1000 0047 21"]
    assert strip.field.text() == ""


def test_an_empty_line_is_no_scan(strip, qtbot) -> None:
    qtbot.keyClick(strip.field, Qt.Key.Key_Return)
    strip.enter_line("   ")
    assert strip.lines == []


def test_a_very_long_line_is_cut_in_the_field(strip, qtbot) -> None:
    strip.field.setText("x" * 10_000)
    assert len(strip.field.text()) <= 200


@pytest.mark.parametrize(
    ("key", "reply"),
    [
        (Qt.Key.Key_Y, "yes"),
        (Qt.Key.Key_Return, "yes"),
        (Qt.Key.Key_N, "no"),
        (Qt.Key.Key_Escape, "no"),
    ],
)
def test_a_question_is_answered_by_key_once(strip, qtbot, key, reply) -> None:
    strip.show_answer(ASKS)
    assert strip.yes_button.isVisible()
    qtbot.keyClick(strip, key)
    qtbot.keyClick(strip, key)
    assert strip.replies == [reply]
    assert not strip.yes_button.isVisible()


def test_a_question_is_answered_by_button(strip, qtbot) -> None:
    strip.show_answer(ASKS)
    qtbot.mouseClick(strip.no_button, Qt.MouseButton.LeftButton)
    assert strip.replies == ["no"]


def test_without_a_question_letters_answer_nothing(strip, qtbot) -> None:
    strip.show_answer(MOVED)
    qtbot.keyClick(strip, Qt.Key.Key_Y)
    assert strip.replies == []
    assert not strip.yes_button.isVisible()


def test_a_screen_reader_hears_word_and_sentence(strip) -> None:
    strip.show_answer(MOVED)
    name = strip.board.accessibleName()
    assert name == "Done. PO-B047-12 moved to Fruiting 2. 23 of 40 moved"


def test_each_outcome_paints_differently_even_without_colour(strip) -> None:
    pictures = set()
    for outcome in ("done", "already", "ask", "refused", "unknown"):
        strip.show_answer(AnswerView(outcome, "PO-B047-12"))
        gray = (
            strip.board.grab()
            .toImage()
            .convertToFormat(strip.board.grab().toImage().Format.Format_Mono)
        )
        pictures.add(bytes(gray.constBits()))
    assert len(pictures) == 5


def test_scans_can_be_lent_and_are_taken_back(strip) -> None:
    strip.set_meaning("Move to Fruiting 2", "14:05")
    lent: list[str] = []
    strip.lend("Spawn bags for the new batch", lent.append)
    assert strip.board.meaning == "Spawn bags for the new batch"
    strip.enter_line("2000000194")
    strip.take_back()
    strip.enter_line("1000004721")
    assert lent == ["2000000194"]
    assert strip.lines == ["1000004721"]
    assert strip.board.meaning == "Move to Fruiting 2  ·  since 14:05"


def test_the_answer_grows_with_the_text_size(strip) -> None:
    before = strip.board.sizeHint().height()
    strip.set_theme(Theme("light", 2.0))
    assert strip.board.sizeHint().height() > before * 1.3


def test_after_a_question_the_keys_go_back_to_who_had_them(qtbot, light) -> None:
    window = QWidget()
    column = QVBoxLayout(window)
    strip, elsewhere = ScanStrip(light), QLineEdit()
    column.addWidget(strip)
    column.addWidget(elsewhere)
    qtbot.addWidget(window)
    with qtbot.waitActive(window):
        window.show()
        window.activateWindow()
    elsewhere.setFocus()
    strip.show_answer(ASKS)
    assert strip.hasFocus()
    qtbot.keyClick(strip, Qt.Key.Key_Y)
    assert elsewhere.hasFocus()
    strip.show_answer(ASKS)
    strip.show_answer(MOVED)
    assert elsewhere.hasFocus()
