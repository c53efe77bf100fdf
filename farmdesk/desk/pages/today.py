"""Today: what to look at, open, pick, ship and start, each with its reason."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import replace

from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QLabel, QWidget

from farmdesk.desk.context import DeskContext
from farmdesk.desk.exporting import export_table, print_table
from farmdesk.desk.list_view import ListView
from farmdesk.desk.page import Page
from farmdesk.desk.questions import ask_farm
from farmdesk.desk.tables import Column
from farmdesk.paper.tables import Table
from farmdesk.quantities.times import today_in
from farmdesk.reports.today import list_today, today_table
from farmdesk.reports.today_rows import NOTICED, SECTIONS, TodayRow
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
        self.sum = QLabel()
        self.sum.setObjectName("muted")
        self.sum.setWordWrap(True)
        self.body.addWidget(self.sum)
        self.work = ListView(
            [
                Column("number", tr("Key"), text=lambda one: str(one) if one else "", width=5),
                Column("section", tr("Do"), _order, self._section, width=13),
                Column("name", tr("What"), width=18),
                Column("what", tr("Which"), width=22),
                Column("reason", tr("Why"), width=48),
                Column("due", tr("Since or until"), text=self._day, width=16),
            ],
            name=tr("Today's work"),
            empty_text=tr(
                "Nothing waits today. A new farm begins in the catalogue (Ctrl+9) with its rooms"
                " and strains; then come cultures, spawn and the first batch in the lab (Ctrl+2)."
            ),
        )
        self.work.row_opened.connect(self._open)
        # No shortcuts: those would take the first digit of every scan before a scanner is known
        # from a person. A key that comes to the list was a person's.
        self.work.view.installEventFilter(self)
        self.work.on_export = lambda: self._take(to_file=True)
        self.work.on_print = self.print_page
        self.body.addWidget(self.work, 1)

    def refresh(self) -> None:
        """Read what waits."""
        self.context.workplace.read(ask_farm, self.context.farm, list_today, then=self._show)

    def print_page(self) -> bool:
        """Print the day's work."""
        self._take(to_file=False)
        return True

    def _show(self, rows: Sequence[TodayRow]) -> None:
        counts = Counter(row.section for row in rows)
        day = self.context.formats.day(today_in(self.context.formats.zone))
        parts = [
            f"{self._section((SECTIONS.index(one), one))}: {counts[one]}"
            for one in SECTIONS
            if counts[one]
        ]
        self.sum.setText("   ·   ".join([day, *parts]))
        self.work.set_rows(
            [replace(row, number=at if at <= len(_DIGITS) else 0) for at, row in enumerate(rows, 1)]
        )
        if self.work.current_row() is None and rows:
            self.work.choose(lambda _row: True)

    def _section(self, found: tuple[int, str]) -> str:
        mark = _MARKS.get(found[1])
        return f"{mark} {tr(found[1])}" if mark else tr(found[1])

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
    return (SECTIONS.index(row.section), row.section)
