"""The parts of the weeks ahead: what a sum has, for a species and without days to choose."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from PySide6.QtWidgets import QLabel

from farmdesk.desk.pages.sums_part import MakeTables, SumPart
from farmdesk.desk.tabbed_page import TabbedPage
from farmdesk.reports.demand import demand_tables
from farmdesk.reports.forecast import forecast_tables
from farmdesk.reports.forecast_replay import replay_tables
from farmdesk.wording.language import tr


class AheadPart(SumPart):
    """A sum about the weeks to come: only the species is chosen."""

    empty_text: ClassVar[str] = tr(
        "No bag is growing yet. Inoculate the first batch in Lab (Ctrl+2), and its weeks stand"
        " here."
    )

    def __init__(self, page: TabbedPage) -> None:
        super().__init__(page)
        self.filters.period_choice.hide()
        for label in self.filters.findChildren(QLabel):
            if label.buddy() is self.filters.period_choice:
                label.hide()

    def show_subject(self, subject: str) -> None:
        """A species by its name."""
        at = self.filters.species_choice.findText(subject)
        if at >= 0:
            self.filters.species_choice.setCurrentIndex(at)
            self.refresh()

    def open_row(self, row: Sequence[object]) -> None:
        """A week has no place of its own."""

    def _stop(self) -> None:
        super()._stop()
        self.context.say(tr("Stopped. Choose one species, or count again with F5."))


class ForecastPart(AheadPart):
    """Kg by species and week with a band, and what it rests on."""

    title = tr("Forecast")
    help_text = tr(
        "From every live bag, by how long it has stood in its stage: how likely it is to get"
        " there, when, and how much it gives, flush by flush. The band is where eight weeks of ten"
        " should fall: in one of ten it is less than low, in one of ten more than high. Whole"
        " batches are early or late, rich or poor, and that decides a week more than single bags"
        " do. “What it rests on” shows each figure, the default of the species beside it, and how"
        " many of the farm's own batches it is drawn from."
    )

    def make(self) -> MakeTables:
        """The forecast and its basis."""
        return lambda reading, question: forecast_tables(reading, species=question.species)


class ReplayPart(AheadPart):
    """What would have been said then, against what was picked."""

    title = tr("Back-test")
    help_text = tr(
        "The forecast is made again for the last Mondays, from the bags as they stood then and"
        " with what the farm knew then, and compared with what these bags gave. An honest band"
        " holds about eight times in ten. Fewer means that it is too narrow and promises too"
        " much; more, that it could be narrower."
    )
    empty_text = tr(
        "Nothing can be compared yet. When bags have been picked for some weeks, this page says"
        " how well the forecast would have done."
    )

    def make(self) -> MakeTables:
        """Weeks one by one, and how often the band held."""
        return lambda reading, question: replay_tables(reading, species=question.species)


class DemandPart(AheadPart):
    """What is wanted by species and week."""

    title = tr("Demand")
    help_text = tr(
        "Orders that were taken, standing orders, and weeks that differ, in kg by species and ISO"
        " week. An order stands in the place of the same customer's standing order for that"
        " product and week. Enter standing orders, holidays and market days on the tab beside."
    )
    empty_text = tr(
        "Nothing is wanted yet. Enter standing orders on the tab “Standing orders”, or take an"
        " order in Sales (Ctrl+6)."
    )

    def make(self) -> MakeTables:
        """Demand by week, and what it is made of."""
        return lambda reading, question: demand_tables(reading, species=question.species)
