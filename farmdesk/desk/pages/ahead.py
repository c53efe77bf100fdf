"""The weeks ahead: what comes, how far that can be trusted, what is wanted, what to make."""

from __future__ import annotations

from typing import ClassVar

from PySide6.QtWidgets import QWidget

from farmdesk.desk.context import DeskContext
from farmdesk.desk.exporting import export_list
from farmdesk.desk.pages.ahead_batches import PlannedPart
from farmdesk.desk.pages.ahead_part import AheadPart, DemandPart, ForecastPart, ReplayPart
from farmdesk.desk.pages.ahead_plan import FitPart, PlanPart, open_setting
from farmdesk.desk.pages.ahead_standing import StandingPart
from farmdesk.desk.tabbed_page import TabbedPage
from farmdesk.wording.language import tr


class AheadPage(TabbedPage):
    """Forecast, back-test, demand, plan, rooms and planned batches, one on each tab."""

    title = tr("Weeks ahead")
    help_text = ForecastPart.help_text
    interest = frozenset({"bag", "batch", "pick", "pack", "link", "species", "strain", "room",
                          "spawn", "farm", "order", "order_line", "product", "customer",
                          "standing_order", "demand_event", "planned_batch", "plan_setting",
                          "delivery", "removal"})  # fmt: skip
    parts: ClassVar = (
        ("forecast", ForecastPart.title, ForecastPart),
        ("back_test", ReplayPart.title, ReplayPart),
        ("standing", StandingPart.title, StandingPart),
        ("demand", DemandPart.title, DemandPart),
        ("plan", PlanPart.title, PlanPart),
        ("fit", FitPart.title, FitPart),
        ("planned", PlannedPart.title, PlannedPart),
    )

    def __init__(self, context: DeskContext, parent: QWidget | None = None) -> None:
        super().__init__(context, parent)
        add = self.add_page_action
        add(tr("New standing order …"), self._new_standing, shortcut="Ctrl+N", icon="add",
            hint=tr("What a customer wants every week"))  # fmt: skip
        add(tr("Weeks that differ …"), self._new_event, shortcut="Ctrl+Shift+N",
            hint=tr("A holiday, a market day, or demand typed for some weeks"))  # fmt: skip
        add(tr("Figures of the plan …"), self._open_setting,
            hint=tr("Promise, steriliser, hours and lead days"))  # fmt: skip
        add(tr("Count again"), self._count_again, shortcut="F5",
            hint=tr("Read the farm again"))  # fmt: skip
        add(tr("Print …"), self.print_page, shortcut="Ctrl+B", icon="print",
            hint=tr("Print the table with its charts"))  # fmt: skip
        add(tr("Export …"), self._export, shortcut="Ctrl+S", icon="export",
            hint=tr("Write the table and its charts to a file"))  # fmt: skip

    def show_subject(self, subject: str) -> None:
        """A planned batch by its name, or 'part:thing'."""
        if subject.startswith("B-"):
            self.show_part("planned", subject)
        else:
            super().show_subject(subject)

    def _new_standing(self) -> None:
        part = self.show_part("standing")
        if isinstance(part, StandingPart):
            part.new_standing()

    def _new_event(self) -> None:
        part = self.show_part("standing")
        if isinstance(part, StandingPart):
            part.new_event()

    def _open_setting(self) -> None:
        part = self.part("plan")
        if isinstance(part, AheadPart):
            open_setting(part)

    def _count_again(self) -> None:
        self.part(self.part_key).refresh()

    def _export(self) -> None:
        part = self.part(self.part_key)
        if isinstance(part, AheadPart):
            part.export()
        elif isinstance(part, PlannedPart):
            export_list(part.list)
        elif isinstance(part, StandingPart):
            export_list(part.standing)
