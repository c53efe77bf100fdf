"""Today: what to look at, open, pick, ship and start, each with its reason."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence

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


class TodayPage(Page):
    """What the day asks for; Enter goes to the place where it is done."""

    title = "Today"
    help_text = (
        "What waits today, each with its reason. Enter goes to where it is done. Days on which "
        "bags are likely ready, and shelf dates, are estimates: a person looks and decides."
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
        self.add_page_action("Go there", self._go, hint="Where the chosen thing is done (Enter)")
        self.sum = QLabel()
        self.sum.setObjectName("muted")
        self.sum.setWordWrap(True)
        self.body.addWidget(self.sum)
        self.work = ListView(
            [
                Column("section", "Do", _order, self._section, width=13),
                Column("name", "What", width=18),
                Column("what", "Which", width=22),
                Column("reason", "Why", width=48),
                Column("due", "Since or until", text=self._day, width=16),
            ],
            name="Today's work",
            empty_text="Nothing waits today. A new farm begins in the catalogue (Ctrl+9) with its "
            "rooms and strains; then come cultures, spawn and the first batch in the lab (Ctrl+2).",
        )
        self.work.row_opened.connect(self._open)
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
        self.work.set_rows(rows)
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
            self.context.say("Choose what to do first.")
        else:
            self._open(row)

    def _open(self, row: TodayRow) -> None:
        self.context.go_to(row.place or _PLACES[row.section], row.subject)

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
