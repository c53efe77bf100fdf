"""The window paints first, loads places when they are shown, and works without a mouse."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QDialog, QLineEdit

from farmdesk.desk.commands import COMMANDS, MENUS, PLACES, PageSpec, place_of
from farmdesk.desk.context import DeskContext
from farmdesk.desk.refresh import Refresher
from farmdesk.desk.theme import TARGET_PX, Theme
from farmdesk.desk.wedge import WedgeFilter
from farmdesk.desk.window import DeskWindow
from farmdesk.errors import FarmdeskError

sys.path.insert(0, str(Path(__file__).parent))

SAMPLES = (
    PageSpec("tents", "Tents", "sample_place", "TentPage", "Ctrl+1", "Tents."),
    PageSpec("sheds", "Sheds", "sample_place", "ShedPage", "Ctrl+2", "Sheds keep the rain off."),
    PageSpec("broken", "Broken", "no_such_module", "NoPage", "Ctrl+3", "Not there."),
)
HEAVY = (
    "sqlalchemy",
    "scipy",
    "numpy",
    "reportlab",
    "openpyxl",
    "alembic",
    "babel",
    "PySide6.QtSvg",
)


@pytest.fixture
def window(qtbot, light) -> DeskWindow:
    window = DeskWindow(light, SAMPLES)
    qtbot.addWidget(window)
    window.show()
    qtbot.waitUntil(window.isActiveWindow)
    return window


@pytest.fixture
def context(window, workplace) -> DeskContext:
    errors: list[FarmdeskError] = []
    return DeskContext(
        workplace=workplace,
        refresher=Refresher(window),
        strip=window.strip,
        farm=None,
        formats=None,
        station="bench",
        person=None,
        go_to=window.show_place,
        open_dialog=window.open_dialog,
        say=window.say,
        show_error=errors.append,
        act=None,
    )


def test_the_window_needs_nothing_heavy() -> None:
    code = (
        "import sys; import farmdesk.desk.window; "
        f"print([name for name in {HEAVY!r} if name in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_what_is_loaded_after_the_paint_is_not_read_as_source_too() -> None:
    code = (
        "import linecache; from farmdesk.desk.application import read_no_sources;"
        "read_no_sources(); import farmdesk.desk.session;"
        "print([name for name in linecache.cache if 'sqlalchemy' in name and name[-3:] == '.py'])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_it_says_once_that_it_was_painted(qtbot, light) -> None:
    window = DeskWindow(light, SAMPLES)
    qtbot.addWidget(window)
    times: list[int] = []
    window.painted.connect(lambda: times.append(1))
    with qtbot.waitSignal(window.painted):
        window.show()
    window.repaint()
    assert times == [1]


def test_before_a_farm_is_open_a_place_is_only_remembered(window, context) -> None:
    assert window.show_place("sheds") is None
    window.use_context(context)
    assert window.place == "sheds"
    assert window.page("sheds").isVisible()
    assert window.page("tents") is None


def test_a_place_is_made_once_and_refreshes_when_its_things_change(window, context) -> None:
    window.use_context(context)
    tents = window.page("tents")
    assert tents.reads == 1
    window.show_place("sheds")
    context.refresher.broadcast({"room"})
    assert tents.reads == 1
    assert window.page("sheds").reads == 2
    assert window.show_place("tents", "T-4") is tents
    assert (tents.reads, tents.subject) == (2, "T-4")
    context.refresher.broadcast({"pick"})
    assert tents.reads == 2


def test_keys_go_to_places_and_to_the_strip(window, context, qtbot) -> None:
    window.use_context(context)
    line = window.page("tents").name_line
    line.setFocus()
    qtbot.keyClick(line, Qt.Key.Key_2, Qt.KeyboardModifier.ControlModifier)
    assert window.place == "sheds"
    qtbot.keyClick(window, Qt.Key.Key_F2)
    assert window.strip.field.hasFocus()
    qtbot.keyClick(window, Qt.Key.Key_1, Qt.KeyboardModifier.ControlModifier)
    assert window.place == "tents"
    qtbot.keyClick(window, Qt.Key.Key_L, Qt.KeyboardModifier.ControlModifier)
    assert window.strip.field.hasFocus()


def test_a_page_key_works_only_on_its_page(window, context, qtbot) -> None:
    window.use_context(context)
    tents = window.page("tents")
    tents.name_line.setFocus()
    qtbot.keyClick(tents.name_line, Qt.Key.Key_N, Qt.KeyboardModifier.ControlModifier)
    assert tents.pressed == 1
    sheds = window.show_place("sheds")
    sheds.name_line.setFocus()
    qtbot.keyClick(sheds.name_line, Qt.Key.Key_N, Qt.KeyboardModifier.ControlModifier)
    assert (tents.pressed, sheds.pressed) == (1, 1)


def test_the_list_of_places_follows_and_leads(window, context, qtbot) -> None:
    window.use_context(context)
    window.show_place("sheds")
    assert window._list.currentRow() == 1
    window._list.setFocus()
    qtbot.keyClick(window._list, Qt.Key.Key_Up)
    assert window.place == "tents"


def test_a_place_that_can_not_be_made_is_reported_not_fatal(
    window, context, workplace, farm_log
) -> None:
    reports: list[str] = []
    workplace.crashed.connect(lambda line, _details: reports.append(line))
    window.use_context(context)
    assert window.show_place("broken") is None
    assert "Broken could not be shown" in reports[0]
    assert len(farm_log) == 1
    farm_log.clear()
    assert window.show_place("tents") is not None


def test_commands_that_are_not_the_windows_own_leave_by_key(window, qtbot) -> None:
    asked: list[str] = []
    window.command_asked.connect(asked.append)
    qtbot.keyClick(window, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    window.command("backup").trigger()
    assert asked == ["undo", "backup"]


def test_help_says_what_the_page_is_for_and_follows_to_others(window, context, qtbot) -> None:
    window.use_context(context)
    qtbot.keyClick(window, Qt.Key.Key_F1)
    text = window._help.view.toPlainText()
    assert "Tents are rooms with walls of foil." in text
    assert "Ctrl+N" in text
    assert "Biological efficiency" in text
    window.show_place("sheds")
    assert "Sheds keep the rain off." in window._help.view.toPlainText()
    qtbot.keyClick(window._help, Qt.Key.Key_Escape)
    assert not window._help.isVisible()


def test_a_scan_reaches_the_strip_from_a_field_of_a_page(window, context, qapp, press_keys) -> None:
    window.use_context(context)
    lines: list[str] = []
    window.strip.line_entered.connect(lines.append)
    wedge = WedgeFilter(parent=window)
    wedge.line_scanned.connect(window.take_scan)
    qapp.installEventFilter(wedge)
    line = window.page("tents").name_line
    line.setFocus()
    press_keys(line, "1000004721", every=4, end="enter")
    qapp.removeEventFilter(wedge)
    assert lines == ["1000004721"]
    assert line.text() == ""


class ScanDialog(QDialog):
    """A dialog that reads scans itself."""

    def __init__(self) -> None:
        super().__init__()
        self.line = QLineEdit(self)
        self.scans: list[str] = []

    def take_scan(self, line: str) -> bool:
        self.scans.append(line)
        return line.startswith("2")


def test_an_open_dialog_may_take_the_scan(window, context) -> None:
    window.use_context(context)
    lines: list[str] = []
    window.strip.line_entered.connect(lines.append)
    dialog = ScanDialog()
    window.open_dialog(dialog)
    window.take_scan("2000000194")
    window.take_scan("1000004721")
    assert dialog.scans == ["2000000194", "1000004721"]
    assert lines == ["1000004721"]
    dialog.close()


def test_colours_and_text_size_change_in_place(window, qapp) -> None:
    themes: list[Theme] = []
    window.theme_changed.connect(themes.append)
    window.command("scheme").trigger()
    window.command("text_larger").trigger()
    assert themes[-1] == Theme("dark", 1.25)
    for _ in range(9):
        window.command("text_larger").trigger()
    assert window.theme.scale == 2.0
    window.set_theme(Theme())


@pytest.mark.parametrize("scale", [1.0, 2.0])
def test_all_places_fit_and_are_large_enough_to_press(qtbot, qapp, light, scale) -> None:
    window = DeskWindow(light)
    qtbot.addWidget(window)
    window.show()
    window.set_theme(Theme("light", scale))
    assert window.width() <= 1280
    for row in range(window._list.count()):
        rect = window._list.visualItemRect(window._list.item(row))
        assert rect.height() >= TARGET_PX
        text = window._list.item(row).text()
        assert window._list.fontMetrics().horizontalAdvance(text) + 20 <= rect.width()
    window.set_theme(Theme())


def test_places_and_commands_have_one_key_each_and_a_menu(qapp) -> None:
    keys = [spec.shortcut for spec in PLACES]
    for command in COMMANDS:
        keys += [one for one in command.shortcut.split(", ") if one]
        assert command.menu in MENUS
        assert command.help.endswith(".")
    assert len(keys) == len(set(keys))
    numbered = [spec.shortcut for spec in PLACES if spec.shortcut.startswith("Ctrl+")]
    assert numbered == [f"Ctrl+{n}" for n in range(1, 10)]
    assert place_of("cold_store").title == "Cold store"


def test_another_farm_closes_the_pages_of_the_first(window, context, qtbot) -> None:
    window.use_context(context)
    first = window.page("tents")
    window.use_context(context)
    assert window.page("tents") is not first
    with qtbot.waitSignal(window.closing):
        window.close()
