"""Costs: what blocks and kilograms cost, and the goods, work and overhead that this is made of."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from PySide6.QtWidgets import QLabel, QWidget

from farmdesk.desk.context import DeskContext
from farmdesk.desk.pages.cost_dialogs import CostSettingDialog
from farmdesk.desk.pages.cost_lines_dialog import CostLinesDialog
from farmdesk.desk.pages.cost_parts import (
    GoodsPart,
    LabourPart,
    LabPricesPart,
    ListPart,
    OverheadPart,
    SuppliesPart,
)
from farmdesk.desk.pages.sums_part import MakeTables, SumPart
from farmdesk.desk.tabbed_page import TabbedPage
from farmdesk.domain.costs import CostSetting
from farmdesk.reports.cost_prices import read_setting
from farmdesk.reports.costs import COST_GROUPINGS, costs_table
from farmdesk.reports.margins import MARGIN_GROUPINGS, margins_table
from farmdesk.store.farm_store import FarmStore
from farmdesk.wording.language import tr

_HELP = tr(
    "Each batch bears its materials, spawn, bags and labels, and the work that names it. Work"
    " that names no batch is shared: making over the blocks made in the month, growing over the"
    " days that blocks stood; so is overhead, and slow species bear more of it. A good block is"
    " one that was not lost before it gave anything. Normal loss is spread over the blocks"
    " expected; what is lost beyond it is told apart, as it is nobody's price. The cost of a"
    " kilogram is all of it over what was picked and not thrown away. Packing and selling are not"
    " in it: they belong to the margin. Enter on a batch shows each line."
)


class FiguresPart(SumPart):
    """Costs by batch, recipe, strain, species or month."""

    title = tr("Figures")
    help_text = _HELP
    groupings = COST_GROUPINGS

    def make(self) -> MakeTables:
        """The costs."""
        return lambda reading, question: (costs_table(reading, question),)

    def open_row(self, row: Sequence[object]) -> None:
        """Show each line of a batch's costs."""
        if self.filters.by == "batch":
            self.context.open_dialog(CostLinesDialog(self.context, str(row[0])))


class MarginsPart(SumPart):
    """What is left of what was sold, by channel, customer or product."""

    title = tr("Margins")
    help_text = tr(
        "What was sold in some days, before tax, less growing it, what was wasted of it, packs and"
        " labels, the work of packing and selling, and stand fees. Growing is what a saleable"
        " kilogram of the species cost in the year before. Channels stand in the catalogue of"
        " customers, stand fees on market days, work under Work."
    )
    groupings = MARGIN_GROUPINGS
    empty_text = tr(
        "Nothing was sold in these days. Choose a longer time, or deliver an order in Sales"
        " (Ctrl+6)."
    )

    def __init__(self, page: TabbedPage) -> None:
        super().__init__(page)
        for label in self.filters.findChildren(QLabel):
            if label.buddy() is self.filters.period_choice:
                label.setText(tr("Sold in"))

    def make(self) -> MakeTables:
        """The margins."""
        return lambda reading, question: (margins_table(reading, question),)

    def open_row(self, row: Sequence[object]) -> None:
        """A margin has no place of its own."""


class CostsPage(TabbedPage):
    """The costs, one part on each tab."""

    title = tr("Costs")
    help_text = _HELP
    interest = frozenset({"purchase", "supply", "lab_purchase", "labour", "overhead",
                          "cost_setting", "batch", "bag", "pick", "removal", "run_ingredient",
                          "ingredient", "spawn", "culture", "pack", "person", "delivery",
                          "delivery_line", "market_day", "customer", "product"})  # fmt: skip
    parts: ClassVar = (
        ("figures", FiguresPart.title, FiguresPart),
        ("margins", MarginsPart.title, MarginsPart),
        ("goods", GoodsPart.title, GoodsPart),
        ("supplies", SuppliesPart.title, SuppliesPart),
        ("labour", LabourPart.title, LabourPart),
        ("lab", LabPricesPart.title, LabPricesPart),
        ("overhead", OverheadPart.title, OverheadPart),
    )

    def __init__(self, context: DeskContext, parent: QWidget | None = None) -> None:
        super().__init__(context, parent)
        self.add_page_action(tr("Print …"), self.print_page, shortcut="Ctrl+B", icon="print",
                             hint=tr("Print the table with its charts"))  # fmt: skip
        self.add_page_action(tr("Export …"), self._export, shortcut="Ctrl+S", icon="export",
                             hint=tr("Write the table to a file"))  # fmt: skip
        self.add_page_action(
            tr("Settings …"), self.open_settings, shortcut="Ctrl+T",
            hint=tr("How goods are priced, what an hour costs, and which loss is normal"),
        )  # fmt: skip

    def open_settings(self) -> None:
        """Change how costs are counted."""
        self.context.workplace.read(load_setting, self.context.farm, then=self._open_settings)

    def _open_settings(self, setting: CostSetting) -> None:
        self.context.open_dialog(CostSettingDialog(self.context, setting))

    def _export(self) -> None:
        part = self.part(self.part_key)
        if isinstance(part, FiguresPart | ListPart):
            part.export()


def load_setting(store: FarmStore) -> CostSetting:
    """How costs are counted, read in a transaction of its own."""
    with store.reading() as reading:
        return read_setting(reading)
