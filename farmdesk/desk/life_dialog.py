"""One thing's page: its life, what it came from and went into, and a walk along its relatives."""

from __future__ import annotations

from typing import Any

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QDialog,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QSplitter,
    QTabWidget,
    QVBoxLayout,
    QWidget,
)

from farmdesk.desk.context import DeskContext
from farmdesk.desk.life_notes import LifeNotes
from farmdesk.desk.list_view import ListView
from farmdesk.desk.messages import sentence_of
from farmdesk.desk.questions import ask_farm
from farmdesk.desk.tables import Column
from farmdesk.domain.codes import group_code
from farmdesk.errors import FarmdeskError
from farmdesk.reports.life import Life, life_of
from farmdesk.reports.trace import Relative, Trace, trace
from farmdesk.wording.language import tr

MOST = 400
"""So many relatives each way are shown; `farmdesk trace` writes them all."""
_KIND_WORDS = {
    "culture": tr("culture"),
    "spawn": tr("spawn"),
    "run": tr("heat run"),
    "batch": tr("batch"),
    "bag": tr("bag"),
    "pick": tr("pick"),
    "pack": tr("pack"),
    "delivery": tr("delivery"),
}


class LifeDialog(QDialog):
    """Relatives of one thing; Enter on one of them goes there, Alt+Left goes back."""

    def __init__(self, context: DeskContext, thing: int) -> None:
        super().__init__()
        self._context = context
        self._way: list[int] = []
        self.thing = thing
        self.setMinimumWidth(1020)
        self.resize(1020, 640)
        self.name = QLabel()
        self.name.setObjectName("title")
        self.about = QLabel()
        self.about.setObjectName("muted")
        self.about.setWordWrap(True)
        self.back = self._make_list(
            tr("Came from"), tr("It was bought in, or nothing was recorded.")
        )
        self.forward = self._make_list(tr("Went into"), tr("Nothing was made from it yet."))
        self.life = self._make_life()
        sides = QSplitter(Qt.Orientation.Horizontal)
        for title, view in ((tr("Came from"), self.back), (tr("Went into"), self.forward)):
            sides.addWidget(_titled(title, view))
        self.back_button = QPushButton(tr("Back (Alt+Left)"))
        self.back_button.setShortcut("Alt+Left")
        self.back_button.setAutoDefault(False)
        self.back_button.clicked.connect(self.go_back)
        close = QPushButton(tr("Close (Esc)"))
        close.setAutoDefault(False)
        close.clicked.connect(self.accept)
        foot = QHBoxLayout()
        foot.addWidget(self.back_button)
        foot.addStretch(1)
        foot.addWidget(close)
        column = QVBoxLayout(self)
        column.setContentsMargins(14, 8, 14, 8)
        for part in (self.name, self.about):
            column.addWidget(part)
        self.notes = LifeNotes(context)
        self.notes.counted.connect(self._count_notes)
        self.tabs = QTabWidget()
        self.tabs.setDocumentMode(True)
        self.tabs.setAccessibleName(tr("What happened, and notes"))
        self.tabs.addTab(self.life, tr("What happened"))
        self.tabs.addTab(self.notes, tr("Notes"))
        column.addWidget(self.tabs, 1)
        column.addWidget(sides, 1)
        foot.insertWidget(1, self.notes.write)
        column.addLayout(foot)
        self.forward.view.setFocus()
        self._read()

    def go_to(self, thing: int) -> None:
        """Show another thing; `go_back` comes back here."""
        self._way.append(self.thing)
        self.thing = thing
        self._read()

    def go_back(self) -> None:
        """Show the thing from which this one was reached."""
        if self._way:
            self.thing = self._way.pop()
            self._read()

    def _read(self) -> None:
        self.back_button.setEnabled(bool(self._way))
        for question, show, more in (
            (trace, self._show, {"most": MOST}), (life_of, self._show_life, {}),
        ):  # fmt: skip
            self._context.workplace.read(
                ask_farm, self._context.farm, question, self.thing, **more,
                then=show, failed=self._show_error,
            )  # fmt: skip

        self.notes.show_thing(self.thing)

    def _count_notes(self, count: int) -> None:
        text = tr("Notes ({count})").format(count=count) if count else tr("Notes")
        self.tabs.setTabText(1, text)

    def _show(self, found: Trace) -> None:
        code = group_code(found.code) if found.code.isdigit() else found.code
        self.setWindowTitle(found.name or code)
        self.name.setText(found.name or code)
        parts = [tr("Code {code}").format(code=code)] if code != found.name else []
        if not (found.back_is_whole and found.forward_is_whole):
            parts.append(tr("the nearest {most} each way are shown").format(most=MOST))
        self.about.setText("  ·  ".join(parts))
        self.back.set_rows(found.back)
        self.forward.set_rows(found.forward)

    def _show_life(self, life: Life) -> None:
        if life.id == self.thing:
            self.life.set_rows(life.lines)

    def _show_error(self, error: FarmdeskError) -> None:
        self.about.setText(f"⚠ {sentence_of(error)}")

    def _make_list(self, name: str, empty: str) -> ListView:
        view = ListView(
            [
                Column("name", tr("Name"), width=17),
                Column("kind", tr("What"), text=lambda one: _KIND_WORDS.get(one, one), width=10),
                Column("amount_mg", tr("Amount"), text=self._mass, width=11, right=True),
                Column("code", tr("Code"), text=_grouped, width=14),
            ],
            name=name,
            empty_text=empty,
        )
        view.row_opened.connect(self._opened)
        return view

    def _make_life(self) -> ListView:
        return ListView(
            [
                Column("happened_at", tr("When"), text=self._context.formats.instant, width=19),
                Column("sentence", tr("What"), width=52),
                Column("who", tr("Who"), width=12),
                Column("station", tr("Station"), width=10),
                Column("state", tr("State"), width=12),
            ],
            name=tr("What happened"),
            empty_text=tr("Nothing is written about it yet."),
        )

    def _mass(self, mg: int) -> str:
        return self._context.formats.mass(mg) if mg else ""

    def _opened(self, row: Relative) -> None:
        self.go_to(row.id)


def open_life(context: DeskContext, thing: int) -> None:
    """Show a thing's relatives over the window."""
    context.open_dialog(LifeDialog(context, thing))


def _titled(title: str, view: QWidget) -> QWidget:
    holder = QWidget()
    label = QLabel(title)
    label.setObjectName("group")
    column = QVBoxLayout(holder)
    column.setContentsMargins(0, 0, 0, 0)
    column.addWidget(label)
    column.addWidget(view, 1)
    return holder


def _grouped(code: Any) -> str:
    return group_code(code) if str(code).isdigit() else str(code)
