"""One of the grower's sums on a tab: what is asked, the answer in a sentence, table and charts."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import ClassVar

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QComboBox,
    QHBoxLayout,
    QPushButton,
    QSplitter,
    QVBoxLayout,
    QWidget,
)

from farmdesk.desk.chart_view import ChartView
from farmdesk.desk.choosers import make_chooser
from farmdesk.desk.exporting import export_table, print_table
from farmdesk.desk.pages.sums_filters import SumFilters
from farmdesk.desk.pages.week_lists import TableSheet
from farmdesk.desk.tabbed_page import Part, TabbedPage
from farmdesk.desk.workplace import Errand
from farmdesk.desk.wrapped_label import WrappedLabel
from farmdesk.domain.catalogue import Species
from farmdesk.errors import FarmdeskError
from farmdesk.paper.charts import Chart
from farmdesk.paper.tables import Column, Table
from farmdesk.reports.sum_question import SumQuestion
from farmdesk.store.farm_store import FarmStore
from farmdesk.store.transaction import Reading
from farmdesk.wording.language import tr

_LEAST_LINES = 19
MakeTables = Callable[[Reading, SumQuestion], Sequence[Table]]


@dataclass(frozen=True)
class SumAnswer:
    """The tables of a sum, and the species that can be chosen."""

    tables: tuple[Table, ...]
    species: tuple[tuple[int, str], ...]


def load_sum(store: FarmStore, make: MakeTables, question: SumQuestion) -> SumAnswer:
    """The answer to a question, read in a transaction of its own."""
    with store.reading() as reading:
        species = tuple((one.id, one.name) for one in reading.all(Species) if not one.retired)
        return SumAnswer(tuple(make(reading, question)), species)


class SumPart(Part):
    """Subclasses name their groupings and write `make`."""

    groupings: ClassVar[tuple[str, ...]] = ()
    empty_text: ClassVar[str] = tr(
        "There are no batches in these days. Choose a longer time, or inoculate the first batch"
        " in Lab."
    )
    with_charts: ClassVar[bool] = True

    def __init__(self, page: TabbedPage) -> None:
        super().__init__(page)
        self.answer: SumAnswer | None = None
        self._errand: Errand | None = None
        self.filters = SumFilters(self.groupings, self.context.formats)
        self.filters.changed.connect(self.refresh)
        self.body.addWidget(self.filters)
        self.body.addWidget(self._make_answer())
        self.sheet = TableSheet(page, empty_text=self.empty_text, on_opened=self.open_row)
        self.chart = ChartView(self.context.formats)
        self.chart.on_print = self.print_chart
        self.chart.on_export = self.export_chart
        self.body.addWidget(self._make_body(), 1)
        self.about = WrappedLabel()
        self.about.setObjectName("muted")
        self.about.setAccessibleName(tr("How it is counted"))
        self.body.addWidget(self.about)

    # ---- what subclasses say

    def make(self) -> MakeTables:
        """What makes the tables; called in the window's thread, the result in a worker."""
        raise TypeError(f"{type(self).__name__} does not say what it counts")

    def open_row(self, row: Sequence[object]) -> None:
        """Go where a row belongs; only batches have a place."""
        table = self.table
        is_batch = table is not None and table.columns[0].key in ("batch", "bag")
        if is_batch or self.filters.by == "batch":
            self.context.go_to("incubation", str(row[0]))

    # ---- what parts do

    @property
    def table(self) -> Table | None:
        """The table in sight."""
        if self.answer is None or not self.answer.tables:
            return None
        return self.answer.tables[max(0, self.tables.currentIndex())]

    def refresh(self) -> None:
        """Count again; an answer that is still being counted is no longer wanted."""
        question = self.filters.question()
        if question is None:
            return
        if self._errand is not None:
            self._errand.drop()
        self.page.set_busy(tr("Counting …"))
        self.stop.show()
        self._errand = self.context.workplace.read(
            load_sum, self.context.farm, self.make(), question,
            then=self._show, failed=self._not_counted,
        )  # fmt: skip

    def show_subject(self, subject: str) -> None:
        """A grouping by its key, such as `run`."""
        self.filters.choose_by(subject)

    def print_page(self) -> bool:
        """Show the table with its charts as they will be on paper."""
        if self.table is None:
            return False
        print_table(self.context, self.table)
        return True

    def export(self) -> None:
        """Ask for a file and write the table and its charts there."""
        if self.table is not None:
            export_table(self.context, self, self.table)

    def print_chart(self) -> None:
        """Print the chart in sight with its figures."""
        if self.chart.chart is not None:
            print_table(self.context, _figures(self.chart.chart))

    def export_chart(self) -> None:
        """Ask for a file and write the chart in sight with its figures."""
        if self.chart.chart is not None:
            export_table(self.context, self, _figures(self.chart.chart))

    # ---- inner workings

    def _show(self, answer: SumAnswer) -> None:
        self._settle()
        self.answer = answer
        self.filters.offer_species(answer.species)
        _fill(self.tables, [one.title for one in answer.tables])
        self.tables.setVisible(len(answer.tables) > 1)
        self._show_table()

    def _show_table(self) -> None:
        table = self.table
        if table is None:
            return
        self.sentence.setText(table.notes[0] if table.notes else "")
        self.sentence.setVisible(bool(table.notes))
        self.about.setText("  ".join(table.notes[1:]))
        self.about.setVisible(len(table.notes) > 1)
        self.sheet.show_table(replace(table, notes=(), totals=None))
        if self.sheet.list is not None:
            self.sheet.list.on_export = self.export
            self.sheet.list.on_print = self.print_page
        _fill(self.charts, [one.title for one in table.charts])
        self._pane.setVisible(bool(table.charts))
        self._show_chart()

    def _show_chart(self) -> None:
        table, at = self.table, self.charts.currentIndex()
        charts = table.charts if table is not None else ()
        self.chart.show_chart(charts[at] if 0 <= at < len(charts) else None)

    def _not_counted(self, error: FarmdeskError) -> None:
        self._settle()
        self.context.show_error(error)

    def _stop(self) -> None:
        if self._errand is not None:
            self._errand.drop()
        self._settle()
        self.context.say(tr("Stopped. Choose fewer days, or count again with F5."))

    def _settle(self) -> None:
        self._errand = None
        self.page.set_busy("")
        self.stop.hide()

    def _make_answer(self) -> QWidget:
        holder = QWidget()
        row = QHBoxLayout(holder)
        row.setContentsMargins(0, 0, 0, 0)
        self.sentence = WrappedLabel()
        self.sentence.setObjectName("group")
        self.sentence.setTextInteractionFlags(
            Qt.TextInteractionFlag.TextSelectableByMouse
            | Qt.TextInteractionFlag.TextSelectableByKeyboard
        )
        self.sentence.setAccessibleName(tr("Answer"))
        self.stop = QPushButton(tr("Stop"))
        self.stop.setAccessibleName(tr("Stop counting"))
        self.stop.clicked.connect(lambda _=False: self._stop())
        self.stop.hide()
        row.addWidget(self.sentence, 1)
        row.addWidget(self.stop)
        return holder

    def _make_body(self) -> QWidget:
        self.tables = make_chooser(tr("Table"), self._show_table)
        self.charts = make_chooser(tr("Chart"), self._show_chart)
        left, self._pane = QWidget(), QWidget()
        for holder, chooser, below in (
            (left, self.tables, self.sheet),
            (self._pane, self.charts, self.chart),
        ):
            column = QVBoxLayout(holder)
            column.setContentsMargins(0, 0, 0, 0)
            column.addWidget(chooser)
            column.addWidget(below, 1)
        self._pane.setVisible(self.with_charts)
        split = QSplitter(Qt.Orientation.Horizontal)
        split.addWidget(left)
        split.addWidget(self._pane)
        split.setChildrenCollapsible(False)
        split.setSizes([620, 560])
        split.setMinimumHeight(self.fontMetrics().height() * _LEAST_LINES)
        return split


def _fill(chooser: QComboBox, titles: Sequence[str]) -> None:
    """Offer these titles; the place chosen before stays when it is still there."""
    at = max(0, chooser.currentIndex())
    chooser.clear()
    chooser.addItems(list(titles))
    if titles:
        chooser.setCurrentIndex(at if at < len(titles) else 0)


def _figures(chart: Chart) -> Table:
    columns = [Column("category", ""), *(
        Column(f"series_{at}", one.name, "number", digits=2) for at, one in enumerate(chart.series)
    )]  # fmt: skip
    rows = list(zip(chart.categories, *(one.values for one in chart.series), strict=True))
    name = "".join(sign if sign.isalnum() else "_" for sign in chart.title.lower())[:40]
    return Table(name, chart.title, columns, rows, charts=(chart,))
