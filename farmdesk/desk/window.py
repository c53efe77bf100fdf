"""The main window: places at the left, the page, the scan strip above, menus and status line.

It imports nothing heavy and paints before a farm is open; pages are loaded when first shown.
The name `Qt` is not imported here, nor in what is painted first: it brings ninety enumerations,
a tenth of the time to the first paint. `_finish` adds what needs them afterwards.
"""

from __future__ import annotations

import importlib
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from PySide6 import QtCore
from PySide6.QtCore import QSize, QTimer, Signal
from PySide6.QtGui import QAction, QCloseEvent, QKeySequence, QPaintEvent
from PySide6.QtWidgets import (
    QApplication,
    QDialog,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QListWidget,
    QListWidgetItem,
    QMainWindow,
    QMenu,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from farmdesk.desk.commands import COMMANDS, MENUS, PLACES, PageSpec
from farmdesk.desk.strip import ScanStrip
from farmdesk.desk.theme import SCHEMES, TARGET_PX, Theme, apply_theme
from farmdesk.wording.language import tr

if TYPE_CHECKING:
    from farmdesk.desk.context import DeskContext
    from farmdesk.desk.help_dialog import HelpDialog
    from farmdesk.desk.page import Page
    from farmdesk.desk.search_box import SearchBox
    from farmdesk.settings.list_memory import ListMemory

FIRST_SIZE = QSize(1280, 720)
SAY_MS = 12_000


class DeskWindow(QMainWindow):
    """The desk. `use_context` opens it for a farm; until then it shows a waiting line."""

    painted = Signal()
    """Sent once, after the first paint: the moment to load the rest."""
    command_asked = Signal(str)
    """A command of the menus that the window does not do itself, by its key."""
    theme_changed = Signal(object)
    place_shown = Signal(str)
    closing = Signal()

    def __init__(self, theme: Theme | None = None, places: tuple[PageSpec, ...] = PLACES) -> None:
        super().__init__()
        self.theme = theme or Theme()
        self.context: DeskContext | None = None
        self.list_memory: ListMemory | None = None
        self._search_box: SearchBox | None = None
        self._help: HelpDialog | None = None
        self._specs = {spec.key: spec for spec in places}
        self._pages: dict[str, Page] = {}
        self._commands: dict[str, QAction] = {}
        self._place = ""
        self._is_painted = False
        self._own: dict[str, Callable[[], object]] = {
            "quit": self.close,
            "scan_field": self.focus_strip,
            "find": self.focus_find,
            "text_larger": lambda: self._step_scale(1.25),
            "text_smaller": lambda: self._step_scale(0.8),
            "scheme": self._next_scheme,
            "help_page": self._show_help,
            "print_page": self._print_page,
        }
        self._build()
        self.setWindowTitle("Farmdesk")
        self.resize(FIRST_SIZE)

    # ---- opening and going about

    def use_context(self, context: DeskContext) -> None:
        """Open the desk for a farm; pages of a farm that was open before are closed."""
        for page in self._pages.values():
            if self.context is not None:
                self.context.refresher.forget(page)
            self._stack.removeWidget(page)
            page.deleteLater()
        self._pages.clear()
        self._finish()
        self.context = context
        self.show_place(self._place or next(iter(self._specs)))

    def show_place(self, key: str, subject: str = "") -> Page | None:
        """Show a place, made now if this is the first time; None while no farm is open."""
        spec = self._specs[key]
        self._place = key
        self._mark_place(key)
        if self.context is None:
            return None
        page = self._pages.get(key) or self._make_page(spec, self.context)
        if page is None:
            return None
        self._stack.setCurrentWidget(page)
        if not self.strip.is_asking:
            _focus_list(page)
        if subject:
            page.show_subject(subject)
        self.setWindowTitle(tr("{title} – Farmdesk").format(title=spec.title))
        self.place_shown.emit(key)
        return page

    @property
    def place(self) -> str:
        """The key of the place shown."""
        return self._place

    def page(self, key: str) -> Page | None:
        """The page of a place, if it was made already."""
        return self._pages.get(key)

    def command(self, key: str) -> QAction:
        """A menu command's action, to enable, tick or rename it."""
        self._finish()
        return self._commands[key]

    def menu(self, title: str) -> QMenu:
        """One of the menus, to add to."""
        return self._menus[title]

    def say(self, sentence: str) -> None:
        """Put a sentence on the status line for a while."""
        self.statusBar().showMessage(sentence, SAY_MS)

    def set_station_text(self, text: str) -> None:
        """Say farm, station and person at the right of the status line."""
        self._station.setText(text)

    def open_dialog(self, dialog: QDialog) -> None:
        """Show a dialog over the window without waiting; it is deleted when closed."""
        dialog.setParent(self, dialog.windowFlags())
        dialog.setAttribute(QtCore.Qt.WidgetAttribute.WA_DeleteOnClose)
        dialog.open()

    def take_scan(self, line: str) -> None:
        """A line from the scanner: an open dialog that reads scans gets it, else the strip."""
        dialog = QApplication.activeModalWidget()
        taker = getattr(dialog, "take_scan", None)
        if not (callable(taker) and taker(line)):
            self.strip.enter_line(line)

    def focus_strip(self) -> None:
        """Put the cursor on the scan strip: on its question if one waits, else on its field."""
        if self.strip.is_asking:
            self.strip.setFocus()
        else:
            self.strip.focus_field()

    def focus_find(self) -> None:
        """Put the cursor into the search box."""
        self._finish()
        self.find_line.setFocus()
        self.find_line.selectAll()

    def focus_page(self) -> None:
        """Give the page in sight the keys."""
        page = self._current()
        if page is not None:
            _focus_list(page)

    def title_of(self, key: str) -> str:
        """The title of a place; '' for none."""
        return self._specs[key].title if key in self._specs else ""

    def set_theme(self, theme: Theme) -> None:
        """Change colours or text size of the whole program."""
        self.theme = theme
        app = QApplication.instance()
        if isinstance(app, QApplication):
            apply_theme(app, theme)
        self.strip.set_theme(theme)
        self._fit_places()
        self.theme_changed.emit(theme)

    # ---- building

    def _build(self) -> None:
        self._list = QListWidget()
        self._list.setObjectName("places")
        self._list.setAccessibleName(tr("Places"))
        self._list.currentRowChanged.connect(self._place_chosen)
        for spec in self._specs.values():
            head, _, digit = spec.shortcut.rpartition("Ctrl+")
            # Two blanks of a digit's width keep the titles in one line.
            number = digit if digit and not head and len(digit) == 1 else "\u2007"
            item = QListWidgetItem(f"{number}  {spec.title}")
            item.setToolTip(f"{spec.help} ({spec.shortcut})")
            self._list.addItem(item)
        self._stack = QStackedWidget()
        self._stack.addWidget(_waiting(tr("Opening the farm …")))
        self.strip = ScanStrip(self.theme)
        self.find_line = QLineEdit()
        self.find_line.setObjectName("find")
        self.find_line.setPlaceholderText(tr("Find (Ctrl+F)"))
        self.find_line.setAccessibleName(tr("Find anything by code, name or note"))
        left = QVBoxLayout()
        left.setSpacing(0)
        left.addWidget(self.find_line)
        left.addWidget(self._list, 1)
        middle = QHBoxLayout()
        middle.setSpacing(0)
        middle.addLayout(left)
        middle.addWidget(self._stack, 1)
        holder = QWidget()
        column = QVBoxLayout(holder)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addWidget(self.strip)
        column.addLayout(middle, 1)
        self.setCentralWidget(holder)
        self._menus = {title: self.menuBar().addMenu(f"&{tr(title)}") for title in MENUS}
        self._station = QLabel()
        self.statusBar().addPermanentWidget(self._station)
        self._fit_places()

    def _finish(self) -> None:
        """Fill the menus and do what the first paint does not need; once."""
        if self._commands:
            return
        self._list.setHorizontalScrollBarPolicy(QtCore.Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.strip.finish()
        self.find_line.textEdited.connect(self._search)
        for spec in self._specs.values():
            action = self._menus["Go"].addAction(spec.title)
            action.setShortcut(QKeySequence(spec.shortcut))
            action.triggered.connect(lambda _=False, key=spec.key: self.show_place(key))
        for command in COMMANDS:
            action = self._menus[command.menu].addAction(command.title)
            action.setShortcuts([QKeySequence(one) for one in command.shortcut.split(", ") if one])
            action.setStatusTip(command.help)
            action.triggered.connect(lambda _=False, key=command.key: self._do_command(key))
            self._commands[command.key] = action

    def _do_command(self, key: str) -> None:
        own = self._own.get(key)
        if own is not None:
            own()
        else:
            self.command_asked.emit(key)

    def _after_paint(self) -> None:
        self.painted.emit()
        self._finish()

    def _search(self, text: str) -> None:
        """At the first letter the search is loaded; it listens for itself from then on."""
        if self._search_box is None:
            module = importlib.import_module("farmdesk.desk.search_box")
            self._search_box = module.SearchBox(self, self.find_line)
            self._search_box.search(text)

    # ---- own commands

    def _make_page(self, spec: PageSpec, context: DeskContext) -> Page | None:
        try:
            page: Page = _load_page(spec)(context)
        except Exception as fault:
            context.workplace.report_fault(
                fault,
                tr("{title} could not be shown: {fault}").format(title=spec.title, fault=fault),
            )
            return None
        self._pages[spec.key] = page
        self._stack.addWidget(page)
        return page

    def _place_chosen(self, row: int) -> None:
        keys = list(self._specs)
        if 0 <= row < len(keys) and keys[row] != self._place:
            self.show_place(keys[row])

    def _mark_place(self, key: str) -> None:
        self._list.setCurrentRow(list(self._specs).index(key))

    def _fit_places(self) -> None:
        metrics = self._list.fontMetrics()
        widest = max(metrics.horizontalAdvance(f"9  {s.title}") for s in self._specs.values())
        self._list.setFixedWidth(round(widest * 1.15) + 56)
        self.find_line.setFixedWidth(self._list.width())
        tall = max(TARGET_PX, metrics.height() + 10)
        for row in range(self._list.count()):
            self._list.item(row).setSizeHint(QSize(0, tall))

    def _step_scale(self, factor: float) -> None:
        scale = min(2.0, max(0.8, round(self.theme.scale * factor, 2)))
        self.set_theme(Theme(self.theme.scheme, scale))

    def _next_scheme(self) -> None:
        names = list(SCHEMES)
        name = names[(names.index(self.theme.scheme) + 1) % len(names)]
        self.set_theme(Theme(name, self.theme.scale))

    def _current(self) -> Page | None:
        return self._pages.get(self._place)

    def _show_help(self) -> None:
        self.command_asked.emit("help_page")
        if self._help is None:
            module = importlib.import_module("farmdesk.desk.help_dialog")
            self._help = module.HelpDialog(self)
            self.place_shown.connect(lambda _: self._fill_help())
        self._fill_help()
        self._help.show()
        self._help.raise_()
        self._help.activateWindow()

    def _fill_help(self) -> None:
        """The help of the page in sight, with the keys that work there."""
        if self._help is None:
            return
        page, spec = self._current(), self._specs[self._place]
        text = (page.help() if page is not None else "") or spec.help
        module = importlib.import_module("farmdesk.desk.help_dialog")
        inside = [page, *page.findChildren(QWidget)] if page is not None else []
        keys = module.keys_of([*inside, *self._menus.values()])
        self._help.show_page(spec.title, text, keys)

    def _print_page(self) -> None:
        printer = getattr(self._current(), "print_page", None)
        if printer is None or not printer():
            self.say(tr("This page has nothing to print."))

    # ---- Qt's own

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802 - Qt's own name
        """Say once that the window was painted."""
        super().paintEvent(event)
        if not self._is_painted:
            self._is_painted = True
            QTimer.singleShot(0, self, self._after_paint)

    def closeEvent(self, event: QCloseEvent) -> None:  # noqa: N802 - Qt's own name
        """Say that the desk closes."""
        if self._help is not None:
            self._help.close()
        self.closing.emit()
        super().closeEvent(event)


def _waiting(sentence: str) -> QWidget:
    label = QLabel(sentence)
    label.setObjectName("muted")
    holder = QWidget()
    row = QHBoxLayout(holder)
    row.addStretch(1)
    row.addWidget(label)
    row.addStretch(1)
    return holder


def _focus_list(page: QWidget) -> None:
    """Put the cursor on the page's first list: its keys work at once."""
    parts: Any = importlib.import_module("farmdesk.desk.part_tabs")
    parts.focus_list(page)


def _load_page(spec: PageSpec) -> Any:
    return getattr(importlib.import_module(spec.module), spec.class_name)
