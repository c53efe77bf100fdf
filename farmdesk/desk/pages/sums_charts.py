"""Charts for those who would rather look than read."""

from __future__ import annotations

from PySide6.QtWidgets import QGridLayout, QWidget

from farmdesk.desk.chart_view import ChartView
from farmdesk.desk.exporting import export_table, print_table
from farmdesk.desk.pages.sums_filters import SumFilters
from farmdesk.desk.questions import ask_farm
from farmdesk.desk.tabbed_page import Part, TabbedPage
from farmdesk.paper.charts import Chart
from farmdesk.paper.tables import Column, Table
from farmdesk.reports.stock_chart import read_charts
from farmdesk.wording.language import tr

_LARGE_PX = 26


class ChartsPart(Part):
    """Yield by week, flush shares, time to colonise, contamination by week, stock."""

    title = tr("Charts")
    help_text = tr(
        "Left and Right go along a chart and say its figures; Ctrl+C copies them. Bands and"
        " whiskers show between which values the true one lies."
    )

    def __init__(self, page: TabbedPage) -> None:
        super().__init__(page)
        self.filters = SumFilters(("strain", "species", "recipe"), self.context.formats)
        self.filters.changed.connect(self.refresh)
        self.body.addWidget(self.filters)
        holder = QWidget()
        self._grid = QGridLayout(holder)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self.views: list[ChartView] = []
        self.body.addWidget(holder, 1)

    def refresh(self) -> None:
        """Draw again."""
        question = self.filters.question()
        if question is not None:
            self.page.set_busy(tr("Counting …"))
            self.context.workplace.read_newest(
                ask_farm, self.context.farm, read_charts, question, then=self._show
            )

    def print_page(self) -> bool:
        """Show all charts with their figures as they will be on paper."""
        if not self.views:
            return False
        print_table(self.context, self._table())
        return True

    def export(self) -> None:
        """Ask for a file and write the charts with their figures there."""
        if self.views:
            export_table(self.context, self, self._table())

    def _show(self, charts: tuple[Chart, ...]) -> None:
        self.page.set_busy("")
        columns = 1 if self.fontMetrics().height() > _LARGE_PX else 2
        for at, chart in enumerate(charts):
            if at == len(self.views):
                view = ChartView(self.context.formats)
                view.on_print = self.print_page
                view.on_export = self.export
                view.setMinimumHeight(self.fontMetrics().height() * 15)
                self.views.append(view)
                self._grid.addWidget(view, at // columns, at % columns)
            self.views[at].show_chart(chart)

    def _table(self) -> Table:
        charts = [one.chart for one in self.views if one.chart is not None]
        columns = (
            Column("chart", tr("Chart")),
            Column("what", tr("What")),
            Column("series", tr("Series")),
            Column("value", tr("Value"), "number", digits=2),
            Column("unit", tr("Unit")),
        )
        rows = [
            (chart.title, category, one.name, value, chart.unit)
            for chart in charts
            for one in chart.series
            for category, value in zip(chart.categories, one.values, strict=True)
            if value
        ]
        return Table("charts", tr("Charts"), columns, rows, charts=charts)
