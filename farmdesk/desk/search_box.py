"""The search box at the head of the window: type, and what is found stands under it by kind."""

from __future__ import annotations

from collections.abc import Sequence
from threading import Event
from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, QObject, QPoint, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QFrame, QLabel, QLineEdit, QListWidget, QListWidgetItem, QVBoxLayout

from farmdesk.desk.life_dialog import open_life
from farmdesk.reports.search import KIND_TITLES, LOTS, Finding, search_farm
from farmdesk.wording.language import tr

if TYPE_CHECKING:
    from farmdesk.desk.window import DeskWindow
    from farmdesk.desk.workplace import Errand

LEAST_LETTERS = 2
_FINDING = Qt.ItemDataRole.UserRole
_ROWS_IN_SIGHT = 14
_KEYS = (Qt.Key.Key_Down, Qt.Key.Key_Up, Qt.Key.Key_PageDown, Qt.Key.Key_PageUp)


class SearchBox(QObject):
    """Listens to the window's find line and shows what is found in a frame over the page."""

    def __init__(self, window: DeskWindow, line: QLineEdit) -> None:
        super().__init__(window)
        self._window, self._line = window, line
        self._errand: Errand | None = None
        self._give_up = Event()
        self.frame = QFrame(window)
        self.frame.setObjectName("search")
        self.frame.setProperty("floats", True)
        self.frame.setFrameShape(QFrame.Shape.StyledPanel)
        self.frame.setAutoFillBackground(True)
        self.frame.hide()
        self.results = QListWidget(self.frame)
        self.results.setAccessibleName(tr("What was found"))
        self.results.setUniformItemSizes(True)
        self.results.setTextElideMode(Qt.TextElideMode.ElideRight)
        self.results.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.results.itemClicked.connect(self._open)
        self.results.itemActivated.connect(self._open)
        self.sentence = QLabel(self.frame)
        self.sentence.setObjectName("muted")
        self.sentence.setWordWrap(True)
        column = QVBoxLayout(self.frame)
        column.setContentsMargins(6, 6, 6, 6)
        column.addWidget(self.results, 1)
        column.addWidget(self.sentence)
        line.textEdited.connect(self.search)
        line.returnPressed.connect(self.open_current)
        line.installEventFilter(self)
        self.results.installEventFilter(self)

    def search(self, text: str) -> None:
        """Look for a text; what was looked for before is given up."""
        self._drop()
        context = self._window.context
        if context is None or len(text.strip()) < LEAST_LETTERS:
            self.frame.hide()
            return
        self._give_up = Event()
        self._errand = context.workplace.read(
            search_farm, context.farm, text, self._give_up.is_set, then=self._show
        )

    def open_current(self) -> None:
        """Open the chosen finding, which is the first unless another was chosen."""
        item = self.results.currentItem()
        if self.frame.isVisible() and item is not None:
            self._open(item)
        else:
            self.search(self._line.text())

    def close(self) -> None:
        """Take the findings away; the page has the keys again."""
        self._drop()
        self.frame.hide()

    # ---- showing

    def _drop(self) -> None:
        self._give_up.set()
        if self._errand is not None:
            self._errand.drop()
            self._errand = None

    def _show(self, findings: Sequence[Finding]) -> None:
        self.results.clear()
        kind = ""
        for one in findings:
            if one.kind != kind:
                kind = one.kind
                self._add_title(KIND_TITLES.get(kind, kind.replace("_", " ").capitalize()))
            self._add(one)
        self._choose_first()
        self.results.setVisible(bool(findings))
        self.sentence.setText(
            tr("Enter opens, the arrows choose, Esc closes.")
            if findings
            else tr("Nothing has this in its name, code or note. Try fewer letters.")
        )
        self._put_in_place()

    def _add_title(self, title: str) -> None:
        item = QListWidgetItem(title)
        font = self.results.font()
        font.setBold(True)
        item.setFont(font)
        item.setFlags(Qt.ItemFlag.NoItemFlags)
        item.setForeground(self._window.palette().windowText())
        self.results.addItem(item)

    def _add(self, one: Finding) -> None:
        where = self._place_text(one)
        context = self._window.context
        day = context.formats.day(one.day) if context is not None and one.day else ""
        text = "    " + "  ·  ".join(part for part in (one.name, one.detail, day) if part)
        item = QListWidgetItem(f"{text}  →  {where}" if where else text)
        item.setData(_FINDING, one)
        item.setToolTip(item.text().strip())
        self.results.addItem(item)

    def _place_text(self, one: Finding) -> str:
        if not one.place:
            return tr("its life") if one.kind in LOTS else ""
        return self._window.title_of(one.place)

    def _choose_first(self) -> None:
        rows = (at for at in range(self.results.count()) if self._finding(at) is not None)
        self.results.setCurrentRow(next(rows, -1))

    def _finding(self, row: int) -> Finding | None:
        item = self.results.item(row)
        found = item.data(_FINDING) if item is not None else None
        return found if isinstance(found, Finding) else None

    def _put_in_place(self) -> None:
        metrics = self._line.fontMetrics()
        tall = metrics.height() + 8
        corner = self._line.mapTo(self._window, QPoint(0, self._line.height() + 2))
        room = self._window.rect()
        wide = min(metrics.averageCharWidth() * 70, room.width() - corner.x() - 8)
        rows = min(self.results.count(), _ROWS_IN_SIGHT)
        wanted = rows * tall + self.sentence.heightForWidth(wide) + 36
        self.frame.setGeometry(
            corner.x(), corner.y(), wide, min(wanted, room.height() - corner.y())
        )
        self.frame.show()
        self.frame.raise_()

    # ---- opening

    def _open(self, item: QListWidgetItem) -> None:
        found = item.data(_FINDING)
        context = self._window.context
        if not isinstance(found, Finding) or context is None:
            return
        self.close()
        self._line.clear()
        if found.place:
            context.go_to(found.place, found.subject)
        else:
            open_life(context, found.id)

    # ---- keys

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:  # noqa: N802 - Qt's own name
        """Arrows in the line walk the findings; Esc closes; a click elsewhere closes too."""
        if event.type() == QEvent.Type.KeyPress and isinstance(event, QKeyEvent):
            if event.key() == Qt.Key.Key_Escape:
                self._leave()
                return True
            if watched is self._line and event.key() in _KEYS and self.frame.isVisible():
                self.results.event(event)
                return True
        if event.type() == QEvent.Type.FocusOut and not self._has_keys():
            self.close()
        return False

    def _has_keys(self) -> bool:
        now = self._window.focusWidget()
        return now in (self._line, self.results) and self._window.isActiveWindow()

    def _leave(self) -> None:
        was_open = self.frame.isVisible()
        self.close()
        if not was_open:
            self._line.clear()
            self._window.focus_page()
