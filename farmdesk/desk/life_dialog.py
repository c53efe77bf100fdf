"""One thing's page: figures, its life as a picture and in words, its relatives, its notes."""

from __future__ import annotations

from functools import partial
from typing import Any

from PySide6.QtCore import Qt
from PySide6.QtGui import QAction, QKeySequence
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
from farmdesk.desk.exporting import export_table, show_pages
from farmdesk.desk.life_notes import LifeNotes
from farmdesk.desk.list_view import ListView
from farmdesk.desk.messages import sentence_of
from farmdesk.desk.overflow import OverflowBar
from farmdesk.desk.picture_card import PictureFrame
from farmdesk.desk.questions import ask_farm
from farmdesk.desk.tables import Column
from farmdesk.desk.wrapped_label import WrappedLabel
from farmdesk.domain.codes import group_code, kind_of
from farmdesk.errors import FarmdeskError
from farmdesk.paper.document_parts import paper_of
from farmdesk.paper.timelines import draw_timeline
from farmdesk.reports.life_page import MOST, LifePage, life_table_of, read_life_page
from farmdesk.reports.photo_pages import lay_out_life_with_photos
from farmdesk.reports.trace import Relative
from farmdesk.wording.language import tr

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
    """A thing's page; Enter on a relative goes there, Alt+Left goes back."""

    def __init__(self, context: DeskContext, thing: int) -> None:
        super().__init__()
        self._context = context
        self._way: list[int] = []
        self.thing = thing
        self.page: LifePage | None = None
        self.setMinimumWidth(1020)
        self.resize(1060, 640)
        self.name = QLabel()
        self.name.setObjectName("title")
        self.about = WrappedLabel()
        self.about.setAccessibleName(tr("Figures"))
        self.picture = PictureFrame(
            tr("Day by day"), tr("There is nothing to draw of it day by day.")
        )
        self.family = PictureFrame(tr("Relatives"), tr("Nothing is known of what it came from."))
        self.picture.widened.connect(self._draw)
        for frame in (self.picture, self.family):
            frame.card.opened.connect(self._open_target)
        self.back = self._make_list(
            tr("Came from"), tr("It was bought in, or nothing was recorded.")
        )
        self.forward = self._make_list(tr("Went into"), tr("Nothing was made from it yet."))
        self.life = self._make_life()
        self.notes = LifeNotes(context)
        self.notes.counted.connect(self._count_notes)
        self.tabs = QTabWidget()
        self.tabs.setDocumentMode(True)
        self.tabs.setAccessibleName(tr("Parts of the page"))
        self.lists = self._make_lists()
        for part, title in (
            (self.picture, tr("Day by day")), (self.family, tr("Relatives")),
            (self.lists, tr("Lists of relatives")), (self.life, tr("What happened")),
            (self.notes, tr("Notes")),
        ):  # fmt: skip
            self.tabs.addTab(part, title)
        column = QVBoxLayout(self)
        column.setContentsMargins(14, 8, 14, 8)
        column.addWidget(self.name)
        column.addWidget(self.about)
        column.addWidget(self.tabs, 1)
        column.addLayout(self._make_foot())
        self._is_new = True
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

    def print_page(self) -> None:
        """Show the page as it will be on paper."""
        if self.page is not None:
            size = paper_of(self._context.formats)
            self._context.workplace.read(
                ask_farm, self._context.farm, lay_out_life_with_photos, self.page,
                self._context.formats, size,
                then=partial(show_pages, self._context, "life", self.page.title),
            )  # fmt: skip

    def export(self) -> None:
        """Ask for a file and write what happened there, with the figures."""
        if self.page is not None:
            export_table(self._context, self, life_table_of(self.page))

    # ---- inner workings

    def _make_foot(self) -> QHBoxLayout:
        foot = QHBoxLayout()
        bar = OverflowBar(self)
        self.back_button = self._add(bar, tr("Back"), "Alt+Left", self.go_back)
        self._add(bar, tr("Write a note …"), "Ctrl+N", self.notes.write_one)
        self._add(bar, tr("Print …"), "Ctrl+P", self.print_page)
        self._add(bar, tr("Export …"), "Ctrl+S", self.export)
        close = QPushButton(tr("Close (Esc)"))
        close.setAutoDefault(False)
        close.clicked.connect(self.accept)
        foot.addWidget(bar, 1)
        foot.addWidget(close)
        return foot

    def _add(self, bar: OverflowBar, title: str, key: str, function: Any) -> QAction:
        action = QAction(title, self)
        action.setShortcut(QKeySequence(key))
        action.triggered.connect(lambda _=False: function())
        self.addAction(action)
        bar.add_action(action)
        return action

    def _make_lists(self) -> QSplitter:
        sides = QSplitter(Qt.Orientation.Horizontal)
        for title, view in ((tr("Came from"), self.back), (tr("Went into"), self.forward)):
            sides.addWidget(_titled(title, view))
        sides.setChildrenCollapsible(False)
        return sides

    def _read(self) -> None:
        self.back_button.setEnabled(bool(self._way))
        self._context.workplace.read(
            ask_farm, self._context.farm, read_life_page, self.thing,
            then=self._show, failed=self._show_error,
        )  # fmt: skip
        self.notes.show_thing(self.thing)

    def _count_notes(self, count: int) -> None:
        text = tr("Notes ({count})").format(count=count) if count else tr("Notes")
        self.tabs.setTabText(self.tabs.indexOf(self.notes), text)

    def _show(self, page: LifePage) -> None:
        if page.trace.id != self.thing:
            return
        self.page = page
        self.setWindowTitle(page.title)
        self.name.setText(page.title)
        parts = [tr("Code {code}").format(code=page.code)] if page.code != page.title else []
        parts += [page.say_figures()] if page.figures else []
        if not page.is_whole:
            parts.append(tr("the nearest {most} each way are shown").format(most=MOST))
        self.about.setText("  ·  ".join(parts))
        self._draw()
        if self._is_new:
            self._is_new = False
            self.tabs.currentWidget().setFocus()
        self.family.show_picture(page.family)
        self.back.set_rows(page.trace.back)
        self.forward.set_rows(page.trace.forward)
        self.life.set_rows(page.life.lines)

    def _draw(self) -> None:
        """The life as wide as the window shows it."""
        life = self.page.timeline if self.page is not None else None
        if life is None:
            self.picture.show_picture(None)
            return
        room = self.picture.room_mm()
        self.picture.show_picture(draw_timeline(life, self._context.formats, width_mm=room))

    def _show_error(self, error: FarmdeskError) -> None:
        self.about.setText(f"⚠ {sentence_of(error)}")

    def _open_target(self, target: object) -> None:
        """A thing is gone to; several of a kind are listed."""
        if isinstance(target, int):
            self.go_to(target)
        elif isinstance(target, tuple) and target:
            word = _KIND_WORDS.get(kind_of(target[0]), "")
            back = self.page.trace.back if self.page is not None else ()
            is_back = any(one.id == target[0] for one in back)
            view = self.back if is_back else self.forward
            view.set_filter(word)
            self.tabs.setCurrentWidget(self.lists)
            view.view.setFocus()

    def _make_list(self, name: str, empty: str) -> ListView:
        view = ListView(
            [
                Column("name", tr("Name"), width=17),
                Column("kind", tr("What"), text=lambda one: _KIND_WORDS.get(one, one), width=10),
                Column("amount_mg", tr("Amount"), text=self._mass, width=11, right=True),
                Column("returned_mg", tr("Came back"), text=self._mass, width=11, right=True),
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
                Column("happened_at", tr("When"), text=self._context.formats.instant, width=23),
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
    """Show a thing's page over the window."""
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
