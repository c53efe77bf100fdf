"""Charts of a workbook by openpyxl, drawn from figures on a sheet of their own."""

from __future__ import annotations

from collections.abc import Sequence

from openpyxl.chart import BarChart, LineChart, Reference
from openpyxl.chart.axis import ChartLines
from openpyxl.chart.data_source import StrRef
from openpyxl.chart.legend import Legend
from openpyxl.chart.series import SeriesLabel
from openpyxl.chart.series_factory import SeriesFactory
from openpyxl.chart.shapes import GraphicalProperties
from openpyxl.drawing.line import LineProperties
from openpyxl.utils import get_column_letter, quote_sheetname
from openpyxl.worksheet.worksheet import Worksheet

from farmdesk.paper.charts import INKS, Chart, line_ink
from farmdesk.paper.sheets import Sheet
from farmdesk.paper.tables import Column, Table

FIGURES_TITLE = "Chart figures"
CHART_ROWS = 18
"""Rows of ordinary height that a chart covers, with some air below it."""

_WIDTH_CM, _HEIGHT_CM = 18, 9
_DASHES = ("solid", "dash", "sysDot", "dashDot", "lgDash", "sysDash")
_MARKERS = ("circle", "square", "triangle", "diamond", "x", "plus")


def figures_sheet(charts: Sequence[Chart]) -> Sheet:
    """The sheet that holds the charts' figures, a table for each."""
    return Sheet(FIGURES_TITLE, [_figures_table(number, c) for number, c in enumerate(charts)])


def build_charts(charts: Sequence[Chart], figures: Worksheet) -> list[BarChart | LineChart]:
    """A workbook's chart for each chart, pointing at the rows that `figures_sheet` gives it."""
    built, title_row = [], 1
    for chart in charts:
        built.append(_build(chart, figures, title_row))
        title_row += len(chart.categories) + 3
    return built


def _figures_table(number: int, chart: Chart) -> Table:
    columns = [Column("category", "")]
    columns += [
        Column(f"series_{index}", one.name, "number", digits=2)
        for index, one in enumerate(chart.series)
    ]
    rows = list(zip(chart.categories, *(one.values for one in chart.series), strict=True))
    title = f"{chart.title} ({chart.unit})" if chart.unit else chart.title
    return Table(f"chart_{number}", title, columns, rows)


def _build(chart: Chart, figures: Worksheet, title_row: int) -> BarChart | LineChart:
    built = LineChart() if chart.kind == "line" else BarChart()
    built.title = chart.title
    built.width, built.height = _WIDTH_CM, _HEIGHT_CM
    built.x_axis.delete = built.y_axis.delete = False
    built.y_axis.title = chart.unit or None
    built.y_axis.number_format = "General"
    built.y_axis.majorGridlines = ChartLines(spPr=_line("D9D9D9"))
    if isinstance(built, BarChart):
        built.gapWidth = 60
        built.grouping = "stacked" if chart.kind == "stacked" else "clustered"
        built.overlap = 100 if chart.kind == "stacked" else 0
    built.legend = Legend(legendPos="b") if len(chart.series) > 1 else None
    _add_series(built, chart, figures, title_row)
    return built


def _add_series(
    built: BarChart | LineChart, chart: Chart, figures: Worksheet, title_row: int
) -> None:
    heading, first = title_row + 1, title_row + 2
    last = first + max(1, len(chart.categories)) - 1
    for index in range(len(chart.series)):
        column = index + 2
        values = Reference(figures, min_col=column, min_row=first, max_row=last)
        series = SeriesFactory(values)
        sheet, letter = quote_sheetname(figures.title), get_column_letter(column)
        series.tx = SeriesLabel(strRef=StrRef(f"{sheet}!${letter}${heading}"))
        if isinstance(built, LineChart):
            ink = line_ink(index).lstrip("#")
            series.graphicalProperties.line.solidFill = ink
            series.graphicalProperties.line.dashStyle = _DASHES[index % len(_DASHES)]
            series.graphicalProperties.line.width = 22_000
            series.marker.symbol = _MARKERS[index % len(_MARKERS)]
            series.marker.size = 6
            series.marker.graphicalProperties.solidFill = ink
            series.marker.graphicalProperties.line.solidFill = ink
            series.smooth = False
        else:
            series.graphicalProperties.solidFill = INKS[index % len(INKS)].lstrip("#")
            series.graphicalProperties.line.solidFill = "404040"
        built.series.append(series)
    built.set_categories(Reference(figures, min_col=1, min_row=first, max_row=last))


def _line(colour: str) -> GraphicalProperties:
    return GraphicalProperties(ln=LineProperties(solidFill=colour, w=6_350))
