"""Standing orders and weeks that differ: two lists with their forms."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from typing import Any

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLabel, QSplitter, QVBoxLayout, QWidget

from farmdesk.actions.base import Act
from farmdesk.actions.demand import remove_demand_event, remove_standing_order
from farmdesk.desk.dialogs import ask
from farmdesk.desk.exporting import print_list
from farmdesk.desk.list_view import ListView
from farmdesk.desk.pages.ahead_dialogs import EventDialog, PauseDialog, StandingDialog
from farmdesk.desk.questions import ask_farm
from farmdesk.desk.tabbed_page import Part, TabbedPage
from farmdesk.desk.tables import Column
from farmdesk.reports.demand_lists import DemandThings, EventRow, StandingRow, list_demand
from farmdesk.wording.language import tr

_LEAST_LINES = 10


class StandingPart(Part):
    """What customers want each week, and the weeks in which that differs."""

    title = tr("Standing orders")
    help_text = tr(
        "A standing order is what a customer wants every week (or every so many weeks) on a"
        " weekday, until it is ended; single weeks can be left out. Weeks that differ are holidays,"
        " market days and anything else that makes demand more or less: a factor for the standing"
        " orders of these weeks, or an amount on top. Both count in “Demand” and “Plan”."
    )

    def __init__(self, page: TabbedPage) -> None:
        super().__init__(page)
        self.things: DemandThings | None = None
        day = self._day
        self.standing = ListView(
            [
                Column("customer", tr("Customer"), width=22),
                Column("product", tr("Product"), width=22),
                Column("amount", tr("Amount"), width=12, right=True),
                Column("weekday", tr("On"), width=12),
                Column("every", tr("Every"), width=10),
                Column("next_on", tr("Next"), text=day, width=13),
                Column("runs_from", tr("From"), text=day, width=13),
                Column("runs_to", tr("Until"), text=day, width=13),
                Column("pauses", tr("Weeks left out"), width=20),
                Column("note", tr("Note"), width=20),
            ],
            name=tr("Standing orders"),
            empty_text=tr("No standing orders yet. Press “New standing order” for the first."),
        )
        self.events = ListView(
            [
                Column("name", tr("What"), width=24),
                Column("weeks", tr("Weeks"), width=22),
                Column("about", tr("Of"), width=18),
                Column("effect", tr("Effect"), width=34),
                Column("day", tr("Day"), text=day, width=13),
                Column("note", tr("Note"), width=20),
            ],
            name=tr("Weeks that differ"),
            empty_text=tr("No week differs yet. Enter holidays, market days and typed demand."),
        )
        self._add_acts()
        split = QSplitter(Qt.Orientation.Vertical)
        for heading, view in (
            (tr("Standing orders"), self.standing),
            (tr("Weeks that differ"), self.events),
        ):
            holder = QWidget()
            column = QVBoxLayout(holder)
            column.setContentsMargins(0, 0, 0, 0)
            label = QLabel(heading)
            label.setObjectName("group")
            column.addWidget(label)
            column.addWidget(view, 1)
            holder.setMinimumHeight(self.fontMetrics().height() * _LEAST_LINES)
            split.addWidget(holder)
        split.setChildrenCollapsible(False)
        self.body.addWidget(split, 1)

    def refresh(self) -> None:
        """Read both lists again."""
        self.context.workplace.read_newest(
            ask_farm, self.context.farm, list_demand, then=self._show
        )

    def print_page(self) -> bool:
        """Print the standing orders."""
        print_list(self.standing)
        return True

    def new_standing(self) -> None:
        """Ask for a new standing order."""
        self._read(lambda things: StandingDialog(self.context, things.catalogue))

    def new_event(self) -> None:
        """Ask for weeks that differ."""
        self._read(lambda things: EventDialog(self.context, things.catalogue))

    def _add_acts(self) -> None:
        change, remove = tr("Change …"), tr("Remove …")
        self.standing.add_row_action(change, self._change_standing, single=True)
        self.standing.add_row_action(tr("Leave out weeks …"), self._pause)
        self.standing.add_row_action(remove, self._remove_standing)
        self.standing.row_opened.connect(lambda row: self._change_standing([row]))
        self.events.add_row_action(change, self._change_event, single=True)
        self.events.add_row_action(remove, self._remove_events)
        self.events.row_opened.connect(lambda row: self._change_event([row]))

    def _show(self, things: DemandThings) -> None:
        self.things = things
        self.standing.set_rows(things.standing)
        self.events.set_rows(things.events)

    def _read(self, make: Callable[[DemandThings], Any]) -> None:
        """Open a dialog on what can be chosen now."""
        self.context.workplace.read(
            ask_farm, self.context.farm, list_demand,
            then=lambda things: self.context.open_dialog(make(things)),
        )  # fmt: skip

    def _open(self, make: Callable[[DemandThings], Any]) -> None:
        if self.things is not None:
            self.context.open_dialog(make(self.things))

    def _change_standing(self, rows: Sequence[StandingRow]) -> None:
        self._open(lambda things: StandingDialog(self.context, things.catalogue, rows[0].order))

    def _change_event(self, rows: Sequence[EventRow]) -> None:
        self._open(lambda things: EventDialog(self.context, things.catalogue, rows[0].event))

    def _pause(self, rows: Sequence[StandingRow]) -> None:
        self.context.open_dialog(PauseDialog(self.context, rows))

    def _remove_standing(self, rows: Sequence[StandingRow]) -> None:
        ids = [row.id for row in rows]
        count = self.context.formats.count(len(ids), "standing order", "standing orders")
        self._ask_removal(count, partial(_remove, ids=ids, each=remove_standing_order))

    def _remove_events(self, rows: Sequence[EventRow]) -> None:
        ids = [row.id for row in rows]
        names = ", ".join(row.name for row in rows)
        self._ask_removal(names, partial(_remove, ids=ids, each=remove_demand_event))

    def _ask_removal(self, what: str, action: Callable[[Act], object]) -> None:
        ask(
            self,
            tr("Remove {what}? Ctrl+Z brings it back.").format(what=what),
            yes=lambda: self.context.act(action),
            yes_title=tr("Remove"),
        )

    def _day(self, day: str | None) -> str:
        return self.context.formats.day(day) if day else ""


def _remove(act: Act, *, ids: Sequence[int], each: Callable[[Act, int], None]) -> int:
    for one in ids:
        each(act, one)
    return len(ids)
