"""Codes come through other keyboard layouts and caps lock; nothing else is changed."""

from __future__ import annotations

import itertools
from collections.abc import Iterator

import pytest
from PySide6.QtCore import QCoreApplication, QEvent, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QComboBox, QDialog, QLineEdit, QMenu

from farmdesk.desk.scanner_keys import Frame, Stroke, has_fitting_check, place_of, read_strokes
from farmdesk.desk.wedge import WedgeFilter
from farmdesk.domain.codes import code_of, make_id

CODE = code_of(make_id("bag", 12345))
NO_FRAME = Frame()

# The key of the digit 1 to 0 as each system names it: X11 codes as recorded from an X server,
# Windows scan codes (set 1) and Apple's virtual key codes (ANSI keyboard) from memory.
X11 = dict(zip("1234567890", range(10, 20), strict=True))
WINDOWS = dict(zip("1234567890", range(2, 12), strict=True))
APPLE = dict(zip("1234567890", (18, 19, 20, 21, 23, 22, 26, 28, 25, 29), strict=True))
AZERTY = dict(zip("1234567890", "&é\"'(-è_çà", strict=True))
"""French layout, row of digits without shift (published drawing, from memory)."""
CZECH_QWERTZ = dict(zip("1234567890", "+ěščřžýáíé", strict=True))


def strokes(text: str) -> list[Stroke]:
    return [Stroke(sign) for sign in text]


def recorded(row: dict[str, str], platform: str, codes: dict[str, int]) -> list[Stroke]:
    """The code's keys on a layout: what they wrote, and their places as the system tells them."""
    return [
        Stroke(row.get(digit, digit), place_of(platform, codes[digit], codes[digit]))
        for digit in CODE
    ]


@pytest.mark.parametrize("row", [AZERTY, CZECH_QWERTZ, {}])
@pytest.mark.parametrize(
    ("platform", "codes"), [("xcb", X11), ("wayland", X11), ("windows", WINDOWS), ("cocoa", APPLE)]
)
def test_a_code_by_the_places_of_its_keys(row, platform, codes) -> None:
    assert read_strokes(recorded(row, platform, codes), NO_FRAME) == CODE


@pytest.mark.parametrize("row", [AZERTY, CZECH_QWERTZ])
def test_a_code_by_its_row_where_no_places_are_told(row) -> None:
    assert read_strokes(strokes("".join(row[sign] for sign in CODE)), NO_FRAME) == CODE


def test_a_damaged_code_and_words_stay_as_they_arrived() -> None:
    for text in ("".join(AZERTY[sign] for sign in "6000012346"), "quicktyper", "Pearl oyster"):
        assert read_strokes(strokes(text), NO_FRAME) == text


def test_a_right_code_is_never_read_another_way() -> None:
    """A scanner set to French presses shifted keys on a French computer: the text is right."""
    shifted = [Stroke(sign, sign, is_shifted=True) for sign in CODE]
    assert read_strokes(shifted, NO_FRAME) == CODE


def test_prefix_and_suffix_are_looked_for_in_every_reading() -> None:
    places = [Stroke("ù", "'"), *recorded(AZERTY, "xcb", X11), Stroke("=", "/")]
    assert read_strokes(places, Frame("'", "/")) == CODE
    assert read_strokes(places, Frame("~", "")) is None


def test_caps_lock_turned_letters_are_turned_back_where_a_check_tells() -> None:
    """GS1 General Specifications, example number 09506000134352 with a batch in mixed case."""
    text = "]C1010950600013435210Ab3"
    assert has_fitting_check(text)
    pressed = [
        Stroke(sign.swapcase(), {"]": "]"}.get(sign, sign.lower()), sign.isupper()) for sign in text
    ]
    assert read_strokes(pressed, NO_FRAME) == text
    assert read_strokes(strokes("oy02-0147-017"), NO_FRAME) == "oy02-0147-017"


# Recorded from an X server: caps lock on, a scanner's American keys O, Y (shifted), 0, 2, minus.
CAPS_LOCK = [("o", 32, True), ("y", 29, True), ("0", 19, False), ("2", 11, False), ("-", 20, False)]


def test_recorded_caps_lock_events_have_the_places_of_their_keys() -> None:
    places = "".join(
        place_of("xcb", code, 0).upper() if shifted else place_of("xcb", code, 0)
        for _, code, shifted in CAPS_LOCK
    )
    assert places == "OY02-"


# ---- the filter on native windows


@pytest.fixture
def wedge(qapp: QApplication) -> Iterator[WedgeFilter]:
    made = WedgeFilter()
    made.lines = []  # type: ignore[attr-defined]
    made.line_scanned.connect(made.lines.append)  # type: ignore[attr-defined]
    made.start(qapp)
    yield made
    made.stop(qapp)


def scan_by_keys(window, row: dict[str, str], codes: dict[str, int]) -> None:
    at = itertools.count(9_000_000, 4)
    for digit in (*CODE, "\r"):
        key = Qt.Key.Key_Return if digit == "\r" else ord(row.get(digit, digit))
        event = QKeyEvent(
            QEvent.Type.KeyPress,
            key,
            Qt.KeyboardModifier.NoModifier,
            codes.get(digit, 36),
            0,
            0,
            row.get(digit, digit),
        )
        event.setTimestamp(next(at))
        QCoreApplication.sendEvent(window, event)


def test_azerty_keys_leave_the_filter_as_a_code(wedge, qtbot) -> None:
    line = QLineEdit()
    qtbot.addWidget(line)
    line.show()
    QApplication.processEvents()
    scan_by_keys(line.windowHandle(), AZERTY, X11)
    assert wedge.lines == [CODE]
    assert line.text() == ""


def test_platform_keys_pass_the_window_that_has_them_popups_included(wedge, qtbot) -> None:
    """QTest sends a native window's keys in through the platform, with its timestamps."""
    line = QLineEdit()
    qtbot.addWidget(line)
    combo = QComboBox(line)
    combo.addItems(["one", "two"])
    line.show()
    seen: list[str] = []
    hold = wedge._press
    wedge._press = lambda receiver, event: (  # type: ignore[method-assign]
        seen.append(event.text()) or hold(receiver, event)
    )
    QApplication.processEvents()
    QTest.keyClick(line.windowHandle(), "a")
    QTest.keyClick(line.windowHandle(), "b")
    combo.showPopup()
    QApplication.processEvents()
    QTest.keyClick(QApplication.focusWindow(), "t")
    combo.hidePopup()
    menu = QMenu(line)
    menu.addAction("Twin")
    menu.popup(line.mapToGlobal(line.rect().center()))
    QApplication.processEvents()
    QTest.keyClick(QApplication.focusWindow(), "c")
    menu.close()
    dialog = QDialog(line)
    inner = QLineEdit(dialog)
    dialog.open()
    inner.setFocus()
    QApplication.processEvents()
    QTest.keyClick(QApplication.focusWindow(), "d")
    dialog.close()
    assert seen == ["a", "b", "t", "c", "d"]


def test_a_new_window_is_watched_and_an_old_one_is_let_go(wedge, qtbot, press_keys) -> None:
    first, second = QLineEdit(), QLineEdit()
    for line in (first, second):
        qtbot.addWidget(line)
        line.show()
        line.activateWindow()
        QApplication.processEvents()
    press_keys(second, CODE, every=4, end="enter")
    assert wedge.lines == [CODE]
    second.close()
    first.activateWindow()
    QApplication.processEvents()
    press_keys(first, CODE, every=4, end="enter")
    assert wedge.lines == [CODE, CODE]
