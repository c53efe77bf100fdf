"""The week: its figures, tables and chart, as files to take along, and all other reports."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QFileDialog,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QScrollArea,
    QSplitter,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from farmdesk.desk.chart_view import ChartView
from farmdesk.desk.context import DeskContext
from farmdesk.desk.exporting import show_pages
from farmdesk.desk.keyed_actions import add_keyed_action
from farmdesk.desk.messages import sentence_of
from farmdesk.desk.page import Page
from farmdesk.desk.pages.week_lists import TableSheet
from farmdesk.desk.pages.week_reports import ChooseFile, ReportsList
from farmdesk.desk.part_tabs import PartTabs
from farmdesk.errors import FarmdeskError, NotUnderstood
from farmdesk.paper.charts import Chart
from farmdesk.paper.documents import Figure, Figures
from farmdesk.paper.pages import Page as PaperPage
from farmdesk.paper.tables import Table
from farmdesk.quantities.weeks import IsoWeek
from farmdesk.reports.week import WeekQuestion, WeekReport, week_now, week_report
from farmdesk.reports.week_files import (
    trend_chart,
    week_document,
    week_pages,
    week_title,
    write_week,
)
from farmdesk.reports.week_tables import week_tables
from farmdesk.store.farm_store import FarmStore
from farmdesk.wording.formats import Formats
from farmdesk.wording.language import tr

_TABS: tuple[tuple[str, tuple[str, ...]], ...] = (
    (tr("Picked"), ("picked_species", "picked_batch")),
    (tr("Yields"), ("yields",)),
    (tr("Stock"), ("stock",)),
    (tr("Sales"), ("sales",)),
    (tr("Channels"), ("channels", "sold_through")),
    (tr("Compared"), ("compared_mass", "compared_money", "compared_count")),
    (tr("Waste"), ("waste", "discarded")),
    (tr("Bags"), ("standing", "made")),
)
_STACKED = {
    "channels": tr("Sales by channel"),
    "sold_through": tr("Sell-through"),
    "compared_mass": tr("Masses compared"),
    "compared_money": tr("Money compared"),
    "compared_count": tr("Blocks compared"),
}
"""Tables too wide to stand side by side, with the titles above them."""
_LARGE_PX = 26
_FILTERS = {
    ".xlsx": tr("Spreadsheet (*.xlsx)"),
    ".pdf": tr("PDF (*.pdf)"),
    ".csv": tr("Plain table (*.csv)"),
}


@dataclass(frozen=True)
class WeekView:
    """A week as it is shown: its report and what was made of it in the worker."""

    report: WeekReport
    figures: tuple[Figure, ...]
    chart: Chart
    tables: dict[str, Table]
    is_now: bool


def load_week(store: FarmStore, week: IsoWeek | None, formats: Formats) -> WeekView:
    """A week's report, this week's when none is named, with its figures, chart and tables.

    Its texts are written in `formats`, as this computer prefers them.
    """
    with store.reading() as reading:
        now = week_now(reading)
        report = week_report(reading, WeekQuestion(week or now))
    report = replace(report, terms=replace(report.terms, formats=formats))
    figures = next(one for one in week_document(report).blocks if isinstance(one, Figures))
    tables = {one.name: one for one in week_tables(report)}
    return WeekView(report, tuple(figures.items), trend_chart(report), tables, report.week == now)


class WeekPage(Page):
    """One ISO week at a time; Ctrl+Left and Ctrl+Right turn the leaves."""

    title = tr("Week")
    help_text = tr(
        "An ISO week runs from Monday to Sunday. Ctrl+Left goes back, Ctrl+Right "
        "forth, Ctrl+T to this week. Biological efficiency is fresh weight "
        "picked over dry substrate; “on opened” counts the blocks that were "
        "opened, “on made” all that were inoculated."
    )
    interest = frozenset({"*"})

    def __init__(self, context: DeskContext, parent: QWidget | None = None) -> None:
        super().__init__(context, parent)
        self.week: IsoWeek | None = None
        """The week that was asked for; None for the one that runs now."""
        self.view: WeekView | None = None
        self.choose_file: ChooseFile = self._ask_file
        self._add_actions()
        self.body.addLayout(self._make_top())
        self.body.addWidget(self._make_strip())
        self.sheets: dict[str, TableSheet] = {}
        self.chart = ChartView(context.formats)
        self.chart.empty_text = tr(
            "Nothing was picked in these weeks. Record a pick in Fruiting (Ctrl+4, then Ctrl+N)."
        )
        self.reports = ReportsList(self, self._choose)
        self.tabs = PartTabs()
        self.tabs.setAccessibleName(tr("Tables of the week"))
        self.tabs.addTab(self._make_overview(), tr("Summary"))
        for title, names in _TABS:
            self.tabs.addTab(self._make_tab(names), title)
        self.tabs.addTab(self.reports, tr("All reports"))
        self.body.addWidget(self.tabs, 1)

    # ---- what pages do

    def refresh(self) -> None:
        """Read the week again."""
        self.set_busy(tr("Reading …"))
        self.context.workplace.read_newest(
            *(load_week, self.context.farm, self.week, self.context.formats),
            then=self._show,
            failed=self._not_read,
        )

    def show_subject(self, subject: str) -> None:
        """Show a week such as `2026-W47`, or all reports for `reports`."""
        if subject.strip().casefold() == "reports":
            self.tabs.setCurrentWidget(self.reports)
            return
        self.line.setText(subject)
        self._typed()

    def print_page(self) -> bool:
        """Show the pages that are handed to somebody as they will be on paper."""
        if self.view is None:
            return False
        self.set_busy(tr("Reading …"))
        report = self.view.report
        self.context.workplace.read(
            week_pages, report, then=partial(self._preview, report), failed=self._not_read
        )
        return True

    def _preview(self, report: WeekReport, pages: Sequence[PaperPage]) -> None:
        self.set_busy("")
        show_pages(self.context, f"week-{report.week}", week_title(report), pages)

    # ---- choosing the week

    def step(self, weeks: int) -> None:
        """Go so many weeks forth, or back when negative."""
        if self.view is not None:
            self._go_to((self.week or self.view.report.week).plus(weeks))

    def show_now(self) -> None:
        """Go to the week that runs now."""
        self._go_to(None)

    def _go_to(self, week: IsoWeek | None) -> None:
        self.week = week
        self._problem.hide()
        self.refresh()

    def _typed(self) -> None:
        year = self.view.report.week.year if self.view is not None else None
        try:
            self._go_to(IsoWeek.parse(self.line.text(), year=year))
        except NotUnderstood as error:
            self._problem.setText(f"⚠ {sentence_of(error)}")
            self._problem.show()

    # ---- showing

    def _show(self, view: WeekView) -> None:
        self.set_busy("")
        self.view = view
        week, formats = view.report.week, self.context.formats
        self.line.setText(str(week))
        state = (
            tr("this week, so far") if view.is_now else "" if view.report.is_over else tr("to come")
        )
        days = f"{formats.day(week.monday)} – {formats.day(week.sunday)}"
        self._days.setText(f"{days}  ·  {state}" if state else days)
        self._show_figures(view.figures)
        for name, sheet in self.sheets.items():
            sheet.show_table(view.tables[name])
        self.chart.show_chart(view.chart)

    def _not_read(self, error: FarmdeskError) -> None:
        self.set_busy("")
        self.context.show_error(error)

    def _show_figures(self, figures: Sequence[Figure]) -> None:
        for (label, value, detail), figure in zip(self._figures, figures, strict=False):
            label.setText(figure.label)
            value.setText(figure.value)
            detail.setText(figure.detail)
            value.setToolTip(figure.detail)

    # ---- files

    def export(self, ending: str) -> None:
        """Ask for a file and write the week there as .xlsx, .pdf or .csv."""
        if self.view is None:
            return
        week = self.view.report.week
        start = str(Path.home() / f"week-{week}{ending}")
        name = self.choose_file(
            tr("Week {week} as {upper}").format(week=week, upper=ending[1:].upper()),
            start,
            _FILTERS[ending],
        )
        if name:
            path = Path(name)
            right = path if path.suffix.lower() == ending else path.with_name(path.name + ending)
            self._write(right)

    def _write(self, path: Path) -> None:
        if self.view is None:
            return
        self.set_busy(tr("Writing …"))
        self.context.workplace.read(
            write_week, self.view.report, path,
            then=partial(self._written, path), failed=self._not_read,
        )  # fmt: skip

    def _written(self, path: Path, _done: None) -> None:
        self.set_busy("")
        self.context.say(tr("Written to {path}.").format(path=path))

    def _choose(self, title: str, start: str, filters: str) -> str:
        return self.choose_file(title, start, filters)

    def _ask_file(self, title: str, start: str, filters: str) -> str:
        return QFileDialog.getSaveFileName(self, title, start, filters)[0]

    # ---- building

    def _add_actions(self) -> None:
        add = self.add_page_action
        add(tr("Spreadsheet"), partial(self.export, ".xlsx"), shortcut="Ctrl+S", icon="export",
            hint=tr("Write the week as a spreadsheet"))  # fmt: skip
        add("PDF", partial(self.export, ".pdf"), shortcut="Ctrl+D", icon="export",
            hint=tr("Write the week as one page"))  # fmt: skip
        add("CSV", partial(self.export, ".csv"), shortcut="Ctrl+G", icon="export",
            hint=tr("Write the week as one plain table"))  # fmt: skip

    def _make_top(self) -> QVBoxLayout:
        self.line = QLineEdit()
        self.line.setMaxLength(20)
        self.line.setMaximumWidth(self.fontMetrics().averageCharWidth() * 16)
        self.line.setAccessibleName(tr("Week, such as 2026-W47"))
        self.line.returnPressed.connect(self._typed)
        label = QLabel(tr("&Week"))
        label.setBuddy(self.line)
        self._days = QLabel()
        self._problem = QLabel()
        self._problem.setObjectName("problem")
        self._problem.hide()
        row = QHBoxLayout()
        turns = (
            self._make_turn(tr("◀ Back"), "Ctrl+Left", partial(self.step, -1)),
            self._make_turn(tr("Forth ▶"), "Ctrl+Right", partial(self.step, 1)),
            self._make_turn(tr("This week"), "Ctrl+T", self.show_now),
        )
        widgets: list[QWidget] = [label, self.line, *turns]
        for widget in widgets:
            row.addWidget(widget)
        below = QHBoxLayout()
        place = below if self._is_large() else row
        place.addWidget(self._days)
        place.addWidget(self._problem)
        for one in (row, below):
            one.addStretch(1)
        column = QVBoxLayout()
        column.addLayout(row)
        column.addLayout(below)
        return column

    def _is_large(self) -> bool:
        """Whether letters are so large that there is room for less."""
        return self.fontMetrics().height() > _LARGE_PX

    def _make_turn(self, title: str, shortcut: str, function: Callable[[], None]) -> QToolButton:
        action = add_keyed_action(self, title, shortcut, function)
        button = QToolButton()
        button.setDefaultAction(action)
        button.setAccessibleName(title.strip("◀▶ "))
        button.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        return button

    def _make_strip(self) -> QWidget:
        strip = QWidget()
        strip.setAccessibleName(tr("Figures of the week"))
        grid = QGridLayout(strip)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setHorizontalSpacing(18)
        beside = 3 if self._is_large() else 5
        self._figures: list[tuple[QLabel, QLabel, QLabel]] = []
        for at in range(5):
            parts = (QLabel(), QLabel(), QLabel())
            parts[2].setHidden(self._is_large())
            for part, name in zip(parts, ("muted", "title", "muted"), strict=True):
                part.setObjectName(name)
            column = QVBoxLayout()
            column.setSpacing(0)
            for part in parts:
                column.addWidget(part)
            column.addStretch(1)
            grid.addLayout(column, at // beside, at % beside)
            grid.setColumnStretch(at % beside, 1)
            self._figures.append(parts)
        return strip

    def _make_overview(self) -> QWidget:
        split = QSplitter(Qt.Orientation.Horizontal)
        summary = self._make_sheet("summary")
        summary.setMinimumHeight(self.fontMetrics().height() * 15)
        split.addWidget(summary)
        split.addWidget(self.chart)
        split.setChildrenCollapsible(False)
        split.setSizes([520, 500])
        area = QScrollArea()
        area.setWidgetResizable(True)
        area.setFrameShape(QScrollArea.Shape.NoFrame)
        area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        area.setWidget(split)
        return area

    def _make_tab(self, names: Sequence[str]) -> QWidget:
        if len(names) == 1:
            return self._make_sheet(names[0])
        if names[0] in _STACKED:
            return self._make_stack(names)
        way = Qt.Orientation.Vertical if self._is_large() else Qt.Orientation.Horizontal
        split = QSplitter(way)
        for name in names:
            split.addWidget(self._make_sheet(name))
        split.setChildrenCollapsible(False)
        split.setSizes([460, 560])
        return split

    def _make_stack(self, names: Sequence[str]) -> QScrollArea:
        """Wide tables one below the other, to be scrolled."""
        holder = QWidget()
        column = QVBoxLayout(holder)
        column.setContentsMargins(0, 0, 0, 0)
        for name in names:
            title = QLabel(_STACKED[name])
            title.setObjectName("group")
            column.addWidget(title)
            sheet = self._make_sheet(name)
            sheet.setMinimumHeight(self.fontMetrics().height() * 17)
            column.addWidget(sheet)
        area = QScrollArea()
        area.setWidgetResizable(True)
        area.setFrameShape(QScrollArea.Shape.NoFrame)
        area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        area.setWidget(holder)
        return area

    def _make_sheet(self, name: str) -> TableSheet:
        sheet = TableSheet(
            self,
            empty_text=tr(
                "Nothing in this week. What is done on the other pages comes here by itself; "
                "Ctrl+Left shows the week before."
            ),
        )
        self.sheets[name] = sheet
        return sheet
