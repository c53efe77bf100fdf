"""Planned batches: changed, ticked off when they were made, or dropped."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

from farmdesk.actions.plans import drop_planned
from farmdesk.desk.dialogs import ask
from farmdesk.desk.exporting import print_list
from farmdesk.desk.list_view import ListView
from farmdesk.desk.pages.ahead_dialogs import PlannedDialog, TickDialog
from farmdesk.desk.questions import ask_farm
from farmdesk.desk.tabbed_page import Part, TabbedPage
from farmdesk.desk.tables import Column
from farmdesk.reports.catalogue import Catalogue
from farmdesk.reports.demand_lists import read_choices
from farmdesk.reports.plan_batches import PlannedRow, list_candidates, list_planned
from farmdesk.store.plans import MadeBatch
from farmdesk.wording.language import tr


class PlannedPart(Part):
    """Batches to come, made and dropped."""

    title = tr("Planned batches")
    help_text = tr(
        "A planned batch shows on Today in the week in which its plates, its spawn or its"
        " inoculation are due. When a batch of its strain was inoculated in that week, the list"
        " says so: tick it off with that batch, or with none. What will not be made is dropped."
    )

    def __init__(self, page: TabbedPage) -> None:
        super().__init__(page)
        day, self._wanted = self._day, ""
        self.list = ListView(
            [
                Column("name", tr("Planned batch"), width=16),
                Column("species", tr("Species"), width=16),
                Column("blocks", tr("Blocks"), width=9, right=True),
                Column("week", tr("For week"), width=12),
                Column("inoculate_on", tr("Inoculate"), text=day, width=14),
                Column("state", tr("State"), width=30),
                Column("open_on", tr("Open"), text=day, width=14),
                Column("pick_on", tr("First pick"), text=day, width=14),
                Column("spawn_on", tr("Spawn"), text=day, width=14),
                Column("plates_on", tr("Plates"), text=day, width=14),
                Column("strain", tr("Strain"), width=14),
                Column("recipe", tr("Recipe"), width=16),
                Column("note", tr("Note"), width=18),
            ],
            name=tr("Planned batches"),
            empty_text=tr(
                "No batch is planned yet. Choose weeks on the tab “Plan” and accept them."
            ),
        )
        self.list.add_row_action(tr("Tick off …"), self._tick, single=True)
        self.list.add_row_action(tr("Change …"), self._change, single=True)
        self.list.add_row_action(tr("Drop …"), self._drop)
        self.list.row_opened.connect(lambda row: self._change([row]))
        self.body.addWidget(self.list, 1)

    def refresh(self) -> None:
        """Read the list again."""
        self.context.workplace.read_newest(
            ask_farm, self.context.farm, list_planned, then=self._show
        )

    def show_subject(self, subject: str) -> None:
        """A planned batch by its name, as soon as the list is read."""
        self._wanted = subject
        self._choose_wanted()

    def print_page(self) -> bool:
        """Print the list."""
        print_list(self.list)
        return True

    def _show(self, rows: Sequence[PlannedRow]) -> None:
        self.list.set_rows(rows)
        self._choose_wanted()

    def _choose_wanted(self) -> None:
        if self._wanted and self.list.choose(lambda row: row.name == self._wanted):
            self._wanted = ""

    def _tick(self, rows: Sequence[PlannedRow]) -> None:
        if self._is_open(rows[:1]):
            self.context.workplace.read(
                ask_farm, self.context.farm, list_candidates, rows[0].id,
                then=partial(self._offer, rows[0]),
            )  # fmt: skip

    def _offer(self, row: PlannedRow, made: Sequence[MadeBatch]) -> None:
        self.context.open_dialog(TickDialog(self.context, row, made))

    def _change(self, rows: Sequence[PlannedRow]) -> None:
        if self._is_open(rows[:1]):
            self.context.workplace.read(
                ask_farm, self.context.farm, read_choices, then=partial(self._edit, rows[0])
            )

    def _edit(self, row: PlannedRow, catalogue: Catalogue) -> None:
        self.context.open_dialog(PlannedDialog(self.context, catalogue, row))

    def _drop(self, rows: Sequence[PlannedRow]) -> None:
        waiting = [row for row in rows if row.is_open]
        if not self._is_open(waiting):
            return
        names = ", ".join(row.name for row in waiting)
        ids = [row.id for row in waiting]
        ask(
            self,
            tr("Drop {names}? They leave the plan and Today; Ctrl+Z brings them back.").format(
                names=names
            ),
            yes=lambda: self.context.act(partial(drop_planned, planned=ids)),
            yes_title=tr("Drop"),
        )

    def _is_open(self, rows: Sequence[PlannedRow]) -> bool:
        if rows and all(row.is_open for row in rows):
            return True
        self.context.say(tr("Choose a planned batch that still waits to be made."))
        return False

    def _day(self, day: str) -> str:
        return self.context.formats.day(day) if day else ""
