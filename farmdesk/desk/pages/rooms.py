"""The rooms, a part on each tab: what stands in them, and the air it stands in."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from farmdesk.desk.pages.ahead_part import AheadPart
from farmdesk.desk.pages.climate_part import ClimatePart
from farmdesk.desk.pages.rooms_plan import PlanPart
from farmdesk.desk.pages.sums_part import MakeTables
from farmdesk.desk.tabbed_page import TabbedPage
from farmdesk.domain.codes import read_name
from farmdesk.paper.tables import Table
from farmdesk.reports.plan_fit_tables import fit_table
from farmdesk.reports.room_plan import shelves_table
from farmdesk.reports.sum_question import SumQuestion
from farmdesk.store.transaction import Reading
from farmdesk.wording.language import tr


class ShelvesPart(AheadPart):
    """What stands where, and how full each room becomes in the weeks ahead."""

    title = tr("Shelves")
    help_text = tr(
        "Each room with its shelves: which batches stand there, how many bags and how old. Shelves"
        " are named at the room in the catalogue; scanning a shelf's card puts bags there. “Rooms"
        " of the plan” shows how full each room becomes with what stands and what is planned: the"
        " fullest day counts, not the average. Enter on a batch shows it."
    )
    empty_text = tr(
        "No bag is growing yet. Inoculate the first batch in Lab (Ctrl+2), and it stands here."
    )

    def make(self) -> MakeTables:
        """What stands where, and the rooms of the plan."""

        def tables(reading: Reading, question: SumQuestion) -> tuple[Table, ...]:
            return (
                shelves_table(reading, species=question.species),
                fit_table(reading, species=question.species),
            )

        return tables

    def open_row(self, row: Sequence[object]) -> None:
        """Show the batch of a row."""
        if len(row) > 2 and read_name(str(row[2])) is not None:
            self.context.go_to("incubation", str(row[2]))


class RoomsPage(TabbedPage):
    """The rooms of the farm."""

    title = tr("Rooms")
    help_text = tr("The rooms of the farm, a part on each tab.")
    interest = frozenset({"room", "bag", "batch", "room_reading", "climate_day", "species",
                          "strain", "farm", "planned_batch", "plan_setting"})  # fmt: skip
    parts: ClassVar = (
        ("plan", PlanPart.title, PlanPart),
        ("climate", ClimatePart.title, ClimatePart),
        ("shelves", ShelvesPart.title, ShelvesPart),
    )
