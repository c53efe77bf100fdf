"""What the lists of sales have in common: read together, one list on a tab."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from decimal import Decimal
from typing import Any, ClassVar

from farmdesk.desk.exporting import offer_taking, print_table, table_of
from farmdesk.desk.list_view import ListView
from farmdesk.desk.pages.sales_files import Paper, PapersDialog
from farmdesk.desk.tabbed_page import Part, TabbedPage
from farmdesk.desk.tables import Column
from farmdesk.paper.tables import Kind
from farmdesk.reports.sales_lists import load_sales
from farmdesk.store.farm_store import FarmStore


class SalesPart(Part):
    """One list of sales. Subclasses name its columns and acts, and give the rows to show."""

    kinds: ClassVar[dict[str, Kind]] = {"total": "money"}
    empty_text: ClassVar[str] = ""
    load: ClassVar[Callable[[FarmStore], Any]] = staticmethod(load_sales)

    def __init__(self, page: TabbedPage) -> None:
        super().__init__(page)
        self.things: Any = None
        self._wanted = ""
        self.view = ListView(self.columns(), name=self.title, empty_text=self.empty_text)
        self.body.addWidget(self.view, 1)
        self.add_acts()
        offer_taking(self.view, page, self.title, self.kinds)

    def columns(self) -> list[Column]:
        """The columns of the list."""
        raise TypeError(f"{type(self).__name__} does not name its columns")

    def add_acts(self) -> None:
        """The acts on chosen rows."""

    def rows(self, things: Any) -> Sequence[Any]:
        """The rows of the list."""
        raise TypeError(f"{type(self).__name__} does not say which of {things!r} it lists")

    def refresh(self) -> None:
        """Read the list again."""
        self.context.workplace.read_newest(type(self).load, self.context.farm, then=self._show)

    def show_subject(self, subject: str) -> None:
        """Choose the row with this number, at once or when it has been read."""
        self._wanted = subject.strip().casefold()
        self._follow_wanted()

    def print_page(self) -> bool:
        """Print the list."""
        print_table(self.context, table_of(self.view, self.title, self.kinds, for_paper=True))
        return True

    def write_papers(self, papers: Sequence[Paper]) -> None:
        """Ask for a folder and write papers there."""
        self.context.open_dialog(PapersDialog(self.context, papers))

    def _show(self, things: Any) -> None:
        self.things = things
        self.view.set_rows(self.rows(things))
        self._follow_wanted()

    def _follow_wanted(self) -> None:
        if self._wanted and self.things is not None:
            wanted = self._wanted
            if self.view.choose(lambda row: row.name.casefold() == wanted):
                self._wanted = ""

    def day(self, day: str) -> str:
        """A day as people write it."""
        return self.context.formats.day(day) if day else ""

    def mass(self, mg: int) -> str:
        """A mass, nothing for none."""
        return self.context.formats.mass(mg) if mg else ""

    def money(self, amount: Decimal) -> str:
        """An amount of money."""
        return self.context.formats.money(amount)
