"""The day book: everything that was done, newest first, and the way to take an act back."""

from __future__ import annotations

from functools import partial

from PySide6.QtWidgets import QWidget

from farmdesk.actions.undo import undo_act
from farmdesk.desk.context import DeskContext
from farmdesk.desk.exporting import export_table, print_table
from farmdesk.desk.list_view import ListView
from farmdesk.desk.page import Page
from farmdesk.desk.questions import ask_farm
from farmdesk.desk.refresh import ANY_KIND
from farmdesk.desk.tables import Column
from farmdesk.reports.day_book import DayBookLine, day_book, day_book_table
from farmdesk.reports.day_book import DayBookPage as Acts
from farmdesk.wording.language import tr


class DayBookPage(Page):
    """Who did what, when and where."""

    title = tr("Day book")
    help_text = tr(
        "Everything that was done, newest first. Nothing is ever overwritten: "
        "taking an act back writes a new entry. Ctrl+Z takes back this station's "
        "last act; here any act can be."
    )
    interest = frozenset({ANY_KIND})

    def __init__(self, context: DeskContext, parent: QWidget | None = None) -> None:
        super().__init__(context, parent)
        self._rows: list[DayBookLine] = []
        self._older: int | None = None
        self._read_older = self.add_page_action(
            tr("Older acts"), self.read_older, shortcut="Ctrl+Down", hint=tr("Read further back")
        )
        self.acts = ListView(
            [
                Column("number", tr("No."), text=self._number, width=6, right=True),
                Column("happened_at", tr("When"), text=self._instant, width=23),
                Column("sentence", tr("What"), width=56),
                Column("who", tr("Who"), width=11),
                Column("station", tr("Station"), width=9),
                Column("state", tr("State"), width=12),
                Column("written_at", tr("Written"), text=self._instant, width=23),
            ],
            name=tr("Acts"),
            empty_text=tr("Nothing was done yet. Every act and every scan will stand here."),
        )
        self.acts.add_row_action(tr("Take back"), self.take_back, shortcut="Ctrl+Backspace",
                                 single=True)  # fmt: skip
        self.acts.on_export = lambda: export_table(
            self.context, self, day_book_table(Acts(tuple(self._rows), None))
        )
        self.acts.on_print = self.print_page
        self.body.addWidget(self.acts, 1)

    def refresh(self) -> None:
        """Read the newest acts again, as many as are shown."""
        limit = max(len(self._rows), 200)
        self.context.workplace.read_newest(
            ask_farm, self.context.farm, day_book, limit=limit, then=self._show_newest
        )

    def read_older(self) -> None:
        """Read the acts before those that are shown."""
        if self._older is not None:
            self.context.workplace.read(
                ask_farm, self.context.farm, day_book, before=self._older, then=self._show_older
            )

    def show_subject(self, subject: str) -> None:
        """Filter by a name."""
        self.acts.set_filter(subject)

    def print_page(self) -> bool:
        """Print the acts that are shown."""
        shown = Acts(tuple(self.acts.table.shown_rows()), None)
        print_table(self.context, day_book_table(shown))
        return True

    def take_back(self, rows: list[DayBookLine]) -> None:
        """Take one act back, as a new entry."""
        row = rows[0]
        self.context.act(
            partial(undo_act, wanted=row.act),
            then=lambda _entries: self.context.say(f"Taken back: {row.sentence}."),
        )

    def _show_newest(self, page: Acts) -> None:
        self._rows = list(page.lines)
        self._show(page)

    def _show_older(self, page: Acts) -> None:
        self._rows += page.lines
        self._show(page)

    def _show(self, page: Acts) -> None:
        self._older = page.older
        self._read_older.setEnabled(page.older is not None)
        self.acts.set_rows(self._rows)

    def _number(self, number: int) -> str:
        return self.context.formats.number(number)

    def _instant(self, iso: str) -> str:
        return self.context.formats.instant(iso)
