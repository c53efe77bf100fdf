"""A scanner is told from a person by time, and no key is ever lost or doubled."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
import shiboken6
from PySide6.QtCore import QCoreApplication, QEvent, Qt
from PySide6.QtGui import QKeyEvent, QKeySequence, QShortcut
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QDialog, QFormLayout, QLineEdit, QPushButton, QWidget

from farmdesk.desk.wedge import WedgeFilter, WedgeSettings

CODE = "1000004721"
SCANNER, PERSON = 4, 130


@pytest.fixture
def wedge(qapp: QApplication) -> Iterator[WedgeFilter]:
    wedge = WedgeFilter()
    wedge.lines = []  # type: ignore[attr-defined]
    wedge.line_scanned.connect(wedge.lines.append)  # type: ignore[attr-defined]
    wedge.start(qapp)
    yield wedge
    wedge.stop(qapp)


@pytest.fixture
def line(qtbot) -> QLineEdit:
    line = QLineEdit()
    qtbot.addWidget(line)
    line.show()
    line.setFocus()
    return line


def test_a_scan_leaves_as_a_line_and_not_in_the_field(wedge, line, press_keys) -> None:
    press_keys(line, CODE, every=SCANNER, end="enter")
    assert wedge.lines == [CODE]
    assert line.text() == ""


@pytest.mark.parametrize("end", ["enter", "tab"])
def test_both_ends_count(wedge, line, press_keys, end) -> None:
    press_keys(line, CODE, every=SCANNER, end=end)
    assert wedge.lines == [CODE]


def test_slow_typing_passes_unchanged(wedge, line, press_keys, qtbot) -> None:
    entered: list[str] = []
    line.returnPressed.connect(lambda: entered.append(line.text()))
    press_keys(line, "Pearl oyster 7", every=PERSON, end="enter")
    assert wedge.lines == []
    assert line.text() == "Pearl oyster 7"
    assert entered == ["Pearl oyster 7"]


def test_the_last_key_held_is_given_back_when_nothing_follows(
    wedge, line, press_keys, qtbot
) -> None:
    press_keys(line, "ab", every=PERSON)
    qtbot.waitUntil(lambda: line.text() == "ab")
    assert wedge.lines == []


def test_a_short_fast_run_is_typing(wedge, line, press_keys) -> None:
    press_keys(line, "12kg", every=10, end="enter")
    assert line.text() == "12kg"
    assert wedge.lines == []


def test_a_fast_run_without_an_end_is_given_back(wedge, line, press_keys, qtbot) -> None:
    press_keys(line, CODE, every=SCANNER)
    qtbot.waitUntil(lambda: line.text() == CODE)
    assert wedge.lines == []


def test_typing_then_a_scan_then_typing(wedge, line, press_keys, qtbot) -> None:
    last = press_keys(line, "abc", every=PERSON)
    last = press_keys(line, CODE, every=SCANNER, end="enter", start=last + 90)
    press_keys(line, "de", every=PERSON, start=last + 300)
    qtbot.waitUntil(lambda: line.text() == "abcde")
    assert wedge.lines == [CODE]


def test_a_scan_over_a_name_field_of_a_dialog(wedge, qtbot, press_keys) -> None:
    dialog = QDialog()
    qtbot.addWidget(dialog)
    form = QFormLayout(dialog)
    name, save = QLineEdit(), QPushButton("Save")
    save.setDefault(True)
    form.addRow("Name", name)
    form.addRow(save)
    dialog.open()
    name.setFocus()
    saved: list[bool] = []
    save.clicked.connect(saved.append)
    name.setText("North tent")
    press_keys(name, CODE, every=SCANNER, end="enter")
    assert wedge.lines == [CODE]
    assert name.text() == "North tent"
    assert saved == []
    dialog.close()


def test_two_scans_in_a_row(wedge, line, press_keys) -> None:
    for code in (CODE, "1000004818", "2000000194"):
        press_keys(line, code, every=SCANNER, end="enter")
    assert wedge.lines == [CODE, "1000004818", "2000000194"]
    assert line.text() == ""


def test_prefix_and_suffix_are_cut_off_and_must_be_there(wedge, line, press_keys, qtbot) -> None:
    wedge.set_settings(WedgeSettings(prefix="~", suffix="#"))
    press_keys(line, f"~{CODE}#", every=SCANNER, end="enter")
    assert wedge.lines == [CODE]
    press_keys(line, "quicktyper", every=SCANNER, end="enter")
    assert wedge.lines == [CODE]
    assert line.text() == "quicktyper"


def test_shortcuts_and_keys_with_control_are_untouched(wedge, line, qtbot) -> None:
    used: list[str] = []
    shortcut = QShortcut(QKeySequence("Ctrl+S"), line)
    shortcut.activated.connect(lambda: used.append("save"))
    line.activateWindow()
    qtbot.waitUntil(line.hasFocus)
    QTest.keyClick(line, Qt.Key.Key_S, Qt.KeyboardModifier.ControlModifier)
    assert used == ["save"]
    line.setText("abc")
    line.selectAll()
    QTest.keyClick(line, Qt.Key.Key_Backspace)
    assert line.text() == ""


def test_a_key_held_down_repeats_as_typing(wedge, line, qtbot) -> None:
    at = 50_000
    for turn in range(12):
        event = QKeyEvent(
            QEvent.Type.KeyPress,
            Qt.Key.Key_X,
            Qt.KeyboardModifier.NoModifier,
            "x",
            autorep=turn > 0,
        )
        event.setTimestamp(at + turn * 30)
        QCoreApplication.sendEvent(line.windowHandle(), event)
    qtbot.waitUntil(lambda: line.text() == "x" * 12)
    assert wedge.lines == []


def test_capitals_keep_their_shift(wedge, line, press_keys) -> None:
    press_keys(line, "PO-B047-12", every=SCANNER, end="enter")
    assert wedge.lines == ["PO-B047-12"]


def test_events_without_time_are_typing_unless_a_clock_is_given(wedge, line, qapp) -> None:
    QTest.keyClicks(line, CODE)
    assert line.text() == CODE
    assert wedge.lines == []
    line.clear()
    ticks = iter(range(100, 10_000, 5))
    timed = WedgeFilter(clock=lambda: next(ticks))
    lines: list[str] = []
    timed.line_scanned.connect(lines.append)
    wedge.watch(None)
    timed.watch(line.windowHandle())
    for key in (*CODE, "\r"):
        for kind in (QEvent.Type.KeyPress, QEvent.Type.KeyRelease):
            code = Qt.Key.Key_Return if key == "\r" else ord(key)
            event = QKeyEvent(kind, code, Qt.KeyboardModifier.NoModifier, key)
            QCoreApplication.sendEvent(line.windowHandle(), event)
    timed.watch(None)
    assert lines == [CODE]
    assert line.text() == ""


def test_held_keys_reach_their_field_before_a_click_moves_on(wedge, qtbot, press_keys) -> None:
    holder = QWidget()
    qtbot.addWidget(holder)
    form = QFormLayout(holder)
    first, second = QLineEdit(), QLineEdit()
    form.addRow("One", first)
    form.addRow("Two", second)
    holder.show()
    first.setFocus()
    press_keys(first, "abc", every=10)
    at = second.mapTo(holder, second.rect().center())
    none = Qt.KeyboardModifier.NoModifier
    QTest.mouseClick(holder.windowHandle(), Qt.MouseButton.LeftButton, none, at)
    assert (first.text(), second.text()) == ("abc", "")


def test_a_window_that_is_gone_gets_no_keys(wedge, qtbot, press_keys) -> None:
    line = QLineEdit()
    line.show()
    press_keys(line, "abc", every=10)
    shiboken6.delete(line)
    wedge.give_back()
    assert wedge.lines == []
