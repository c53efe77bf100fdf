"""Today: what to look at, open, pick, ship and start, each with its reason."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import replace
from functools import partial

from PySide6.QtCore import QEvent, QObject, Qt, QTimer
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QHBoxLayout, QLabel, QWidget

from farmdesk.desk.context import DeskContext
from farmdesk.desk.exporting import export_table, print_table, show_pages
from farmdesk.desk.list_view import ListView
from farmdesk.desk.page import Page
from farmdesk.desk.pages.today_put_off import PutOffButton
from farmdesk.desk.questions import ask_farm
from farmdesk.desk.tables import Column
from farmdesk.paper.document_parts import paper_of
from farmdesk.paper.tables import Table
from farmdesk.quantities.times import today_in
from farmdesk.reports.today import read_days_work, today_table
from farmdesk.reports.today_rows import NOTICED, SECTIONS, DaysWork, TodayRow
from farmdesk.wording.language import tr

_PLACES: Mapping[str, str] = {
    "Late": "sales",
    "Ship": "sales",
    "Weigh": "fruiting",
    "Pick": "fruiting",
    "Open": "incubation",
    "Look at": "incubation",
    "Sell first": "cold_store",
    "Spawn": "lab",
    "Plan": "ahead",
    NOTICED: "week",
}
_MARKS: Mapping[str, str] = {"Late": "▲"}
_AWAY = tr("Put off")
_DAY_LOOK_MS = 60_000
_ACTS: Mapping[str, str] = {
    "Late": "deliver",
    "Ship": "deliver",
    "Weigh": "weigh",
    "Look at": "walk",
    "Sell first": "sell",
}
"""What a place does with a subject after this word; other sections are gone to."""
_BY_NAME = ("Sell first",)
_DIGITS = "123456789"
_FOREIGN = (
    Qt.KeyboardModifier.ControlModifier
    | Qt.KeyboardModifier.AltModifier
    | Qt.KeyboardModifier.MetaModifier
)


class TodayPage(Page):
    """What the day asks for; Enter goes to the place where it is done."""

    title = tr("Today")
    help_text = tr(
        "What waits today, each with its reason. The keys 1 to 9 do the first nine at once: deliver"
        " the order, weigh the pick, walk the batch, sell the lot. Enter goes to where it is done."
        " What cannot be done now can be put off: until tomorrow (Ctrl+T), until Monday (Ctrl+M) or"
        " until a day (Ctrl+D). It is back by itself on that day, and earlier when it becomes"
        " worse; late orders and what is near the end of its life wait until tomorrow at most."
        " Minus closes a group, plus opens it. The wall sheet (Ctrl+W) is the work of the day and"
        " the week on paper, room by room, with boxes to tick."
        " Days on which bags are likely ready, and shelf dates, are estimates: a person looks and"
        " decides."
    )
    interest = frozenset(
        {
            "batch",
            "bag",
            "pick",
            "pack",
            "spawn",
            "order",
            "delivery",
            "removal",
            "species",
            "planned_batch",
            "room",
            "invoice",
            "customer",
            "stocktake",
            "labour",
            "culture",
            "growth_look",
            "put_off",
        }
    )

    def __init__(self, context: DeskContext, parent: QWidget | None = None) -> None:
        super().__init__(context, parent)
        self.add_page_action(
            tr("Go there"), self._go, hint=tr("Where the chosen thing is done (Enter)")
        )
        self.add_page_action(
            tr("Do it"), self._do_chosen, shortcut="Ctrl+E",
            hint=tr("Opens what does the chosen thing; 1 to 9 do the first nine"),
        )  # fmt: skip
        self.add_page_action(
            tr("Wall sheet …"), self.show_wall_sheet, shortcut="Ctrl+W",
            hint=tr("The work of the day and the week in large letters, to hang by the door"),
        )  # fmt: skip
        self.sum = QLabel()
        self.sum.setObjectName("muted")
        self.sum.setWordWrap(True)
        self.head = QHBoxLayout()
        self.head.addWidget(self.sum, 1)
        self.body.addLayout(self.head)
        self.work = ListView(
            [
                Column("number", tr("Key"), text=lambda one: str(one) if one else "", width=5),
                Column("section", tr("Do"), _order, self._section, width=13),
                Column("name", tr("What"), width=18),
                Column("what", tr("Which"), width=20),
                Column("reason", tr("Why"), self._why, width=53),
                Column("due", tr("Since or until"), text=self._day, width=16),
            ],
            name=tr("Today's work"),
            empty_text=tr(
                "Nothing waits today. A new farm begins in the catalogue (Ctrl+9) with its rooms"
                " and strains; then come cultures, spawn and the first batch in the lab (Ctrl+2)."
            ),
            group="section",
        )
        self._group = ""
        self.work.table.modelReset.connect(self._group_shown)
        self._group_shown()
        self._found = DaysWork((), ())
        self._day_shown = ""
        self.work.row_opened.connect(self._open)
        # No shortcuts: those would take the first digit of every scan before a scanner is known
        # from a person. A key that comes to the list was a person's.
        self.work.view.installEventFilter(self)
        self.work.on_export = lambda: self._take(to_file=True)
        self.work.on_print = self.print_page
        self.put_off = PutOffButton(context, self.work, self._fill)
        self.head.addWidget(self.put_off)
        self.body.addWidget(self.work, 1)
        # At midnight another day's work waits, and what was put off until then is back.
        self._clock = QTimer(self)
        self._clock.setInterval(_DAY_LOOK_MS)
        self._clock.timeout.connect(self._look_at_day)
        self._clock.start()

    def refresh(self) -> None:
        """Read what waits."""
        self._day_shown = self._today()
        self.context.workplace.read_newest(
            ask_farm, self.context.farm, read_days_work, then=self._show
        )

    def print_page(self) -> bool:
        """Print the day's work."""
        self._take(to_file=False)
        return True

    def show_wall_sheet(self) -> None:
        """Show the sheet for the wall as it will be on paper."""
        from farmdesk.reports.wall_sheet import wall_pages  # noqa: PLC0415 - seldom wanted

        self.context.workplace.read(
            ask_farm,
            self.context.farm,
            wall_pages,
            paper_of(self.context.formats),
            then=partial(show_pages, self.context, "wall-sheet", tr("Wall sheet")),
        )

    def _show(self, found: DaysWork) -> None:
        self._found = found
        counts = Counter(row.section for row in found.waiting)
        parts = [
            f"{self._section((SECTIONS.index(one), one))}: {counts[one]}"
            for one in SECTIONS
            if counts[one]
        ]
        self.sum.setText("   ·   ".join([self._day(self._day_shown), *parts]))
        self.put_off.tell(len(found.put_off))
        self._fill()

    def _fill(self) -> None:
        """Put the rows on the list; where the chosen one is gone the next one is chosen."""
        at = self.work.view.currentIndex().row()
        rows = [
            replace(row, number=number if number <= len(_DIGITS) else 0)
            for number, row in enumerate(self._found.waiting, 1)
        ]
        self.work.set_rows([*rows, *(self._found.put_off if self.put_off.is_shown else ())])
        # Not current_row: a list that was given the keys has a cursor, and nothing chosen.
        if not self.work.chosen_rows():
            self._choose_near(at)

    def _choose_near(self, at: int) -> None:
        """Choose the row at a place, else the last one above it, else the first."""
        table = self.work.table
        places = [one for one in range(table.rowCount()) if table.row_at(one) is not None]
        later = [one for one in places if one >= at]
        wanted = [table.row_at(place) for place in (later or places[-1:])[:1]]
        self.work.choose(lambda row: row in wanted)

    def _group_shown(self) -> None:
        """Under headings that say what to do no column has to say it again."""
        if self.work.table.group != self._group:
            self._group = self.work.table.group
            self.work.turn_column("section", self._group != "section")

    def _look_at_day(self) -> None:
        if self.isVisible() and self._day_shown != self._today():
            self.refresh()

    def _today(self) -> str:
        return today_in(self.context.formats.zone)

    def _section(self, found: tuple[int, str]) -> str:
        at, section = found
        if at == len(SECTIONS):
            return section
        mark = _MARKS.get(section)
        return f"{mark} {tr(section)}" if mark else tr(section)

    def _why(self, row: TodayRow) -> str:
        if row.put_off is None:
            return row.reason
        until = tr("back on {day}").format(day=self._day(row.put_off.until_on))
        return f"{until} · {tr(row.section)}: {row.reason}"

    def _day(self, day: str) -> str:
        return self.context.formats.day(day)

    def _go(self) -> None:
        row = self.work.current_row()
        if row is None:
            self.context.say(tr("Choose what to do first."))
        else:
            self._open(row)

    def _open(self, row: TodayRow) -> None:
        self.context.go_to(row.place or _PLACES[row.section], row.subject)

    def _do_chosen(self) -> None:
        row = self.work.current_row()
        if row is None:
            self.context.say(tr("Choose what to do first."))
        else:
            self._do(row)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:  # noqa: N802 - Qt's own name
        """A digit that a person pressed on the list does that row."""
        if isinstance(event, QKeyEvent) and event.type() == QEvent.Type.KeyPress:
            text = event.text()
            if len(text) == 1 and text in _DIGITS and not event.modifiers() & _FOREIGN:
                self._do_number(int(text))
                return True
        return super().eventFilter(watched, event)

    def _do_number(self, digit: int) -> None:
        found = next((row for row in self.work.table.shown_rows() if row.number == digit), None)
        if found is not None:
            self._do(found)

    def _do(self, row: TodayRow) -> None:
        """Open what does it, where there is such a thing; else go to where it is done."""
        act = _ACTS.get(row.section, "")
        name = row.name if row.section in _BY_NAME else row.subject
        place = "sales" if act == "sell" else row.place or _PLACES[row.section]
        self.context.go_to(place, f"{act} {name}" if act else row.subject)

    def _take(self, *, to_file: bool) -> None:
        self.context.workplace.read(
            ask_farm,
            self.context.farm,
            today_table,
            then=self._export if to_file else self._print,
        )

    def _export(self, table: Table) -> None:
        export_table(self.context, self, table)

    def _print(self, table: Table) -> None:
        print_table(self.context, table)


def _order(row: TodayRow) -> tuple[int, str]:
    if row.put_off is not None:
        return (len(SECTIONS), _AWAY)
    return (SECTIONS.index(row.section), row.section)
