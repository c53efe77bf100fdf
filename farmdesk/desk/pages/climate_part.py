"""A room's climate: charts with the batches under them, hours outside the range, readings."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtGui import QAction, QKeySequence
from PySide6.QtWidgets import (
    QFileDialog,
    QHBoxLayout,
    QLabel,
    QScrollArea,
    QSplitter,
    QVBoxLayout,
    QWidget,
)

from farmdesk.actions.climate import remove_readings
from farmdesk.desk.chart_view import ChartView
from farmdesk.desk.choosers import make_chooser
from farmdesk.desk.exporting import export_table, print_table
from farmdesk.desk.overflow import OverflowBar
from farmdesk.desk.pages.climate_dialogs import Co2Dialog, ReadingDialog
from farmdesk.desk.pages.climate_import import FILES, ImportDialog, OpenedFile, open_and_guess
from farmdesk.desk.pages.climate_lanes import LanesView
from farmdesk.desk.pages.climate_range import LARGE_PX, ClimateRange
from farmdesk.desk.pages.week_lists import TableSheet
from farmdesk.desk.tabbed_page import Part, TabbedPage
from farmdesk.domain.climate import RoomReading
from farmdesk.errors import FarmdeskError
from farmdesk.paper.tables import Table
from farmdesk.reports.climate import CLIMATE_FIGURES, ClimateQuestion, RoomClimate, room_climate
from farmdesk.reports.climate_tables import (
    climate_chart,
    climate_table,
    faults_table,
    outside_table,
    say_climate,
    typed_table,
)
from farmdesk.store.farm_store import FarmStore
from farmdesk.wording.cautions import find_caution
from farmdesk.wording.language import tr

_TYPED = "climate_typed"
_LEAST_LINES = 19


@dataclass(frozen=True)
class ClimateView:
    """A room's climate with its tables, made in a worker."""

    climate: RoomClimate
    tables: tuple[Table, ...]


def load_climate(store: FarmStore, question: ClimateQuestion) -> ClimateView:
    """The climate that is asked for, read in a transaction of its own."""
    with store.reading() as reading:
        found = room_climate(reading, question)
        typed = typed_table(reading, found)
    return ClimateView(
        found, (outside_table(found), climate_table(found), faults_table(found), typed)
    )


class ClimatePart(Part):
    """One room over some days; the figure drawn is chosen above the chart."""

    title = tr("Climate")
    help_text = tr(
        "Readings are typed by hand (Ctrl+N) or read in from the file of any logger (Ctrl+I);"
        " a file that was read in already adds nothing. The line is the mean of each span, the band"
        " its lowest and highest, the dashed lines what the room or its batches want. Below stand"
        " the batches: full bars are opened bags, hatched ones not opened yet. Vapour-pressure"
        " deficit says how hard air dries mushrooms: below about 0.1 kPa nothing dries, above 0.4"
        " caps may crack (common practice, no source). Dew point is where walls begin to drip. The"
        " humidity ratio is grams of water in a kilogram of dry air. Mean kinetic temperature is"
        " the one temperature that ages as much as the warm and cold hours did."
    )

    def __init__(self, page: TabbedPage) -> None:
        super().__init__(page)
        self.view: ClimateView | None = None
        self.choose_file: Callable[[], str] = self._ask_file
        self.range = ClimateRange(self.context.formats)
        self.range.changed.connect(self.refresh)
        self.body.addLayout(self._make_head())
        self.sentence = QLabel()
        self.sentence.setObjectName("group")
        self.sentence.setWordWrap(True)
        self.sentence.setAccessibleName(tr("The climate in words"))
        self.body.addWidget(self.sentence)
        self.body.addWidget(self._make_split(), 1)
        self.about = QLabel()
        self.about.setObjectName("muted")
        self.caution = QLabel(f"⚠ {find_caution('co2').line}")
        self.caution.setObjectName("problem")
        for one in (self.about, self.caution):
            one.setWordWrap(True)
            self.body.addWidget(one)

    # ---- what parts do

    def refresh(self) -> None:
        """Read the room again."""
        question = self.range.question()
        if question is None:
            return
        self.page.set_busy(tr("Reading …"))
        self.context.workplace.read_newest(
            load_climate, self.context.farm, question, then=self._show, failed=self._not_read
        )

    def show_subject(self, subject: str) -> None:
        """Show a room by its name."""
        self.range.choose_room(subject)

    def print_page(self) -> bool:
        """Show the climate with its charts as it will be on paper."""
        if self.view is None:
            return False
        print_table(self.context, self.paper_table())
        return True

    def export(self) -> None:
        """Ask for a file and write the table in sight there, the spans with all charts."""
        table = self.table
        if table is not None:
            export_table(self.context, self, table)

    # ---- acts

    def type_reading(self) -> None:
        """Type a reading of the room shown."""
        if self.view is not None:
            found = self.view.climate
            room = found.room.id if found.room is not None else None
            self.context.open_dialog(ReadingDialog(self.context, found.rooms, room))

    def read_file(self) -> None:
        """Choose a logger's file and read it in."""
        name = self.choose_file()
        if name:
            self.page.set_busy(tr("Looking at the file …"))
            self.context.workplace.read(
                open_and_guess, self.context.farm, Path(name),
                self.context.formats.locale in ("en_US", "en_PH", "en_FM"),
                then=self._opened, failed=self._not_read,
            )  # fmt: skip

    def work_out_co2(self) -> None:
        """Work out where CO₂ comes to."""
        self.context.open_dialog(Co2Dialog(self.context))

    # ---- showing

    @property
    def table(self) -> Table | None:
        """The table in sight."""
        return None if self.view is None else self.view.tables[max(0, self.tables.currentIndex())]

    def paper_table(self) -> Table:
        """The spans with their charts and the hours outside as notes, for paper."""
        assert self.view is not None
        outside, spans = self.view.tables[0], self.view.tables[1]
        charts = [one for one in spans.charts if _is_basic(one.title)]
        return replace(spans, charts=charts, notes=[*spans.notes, *outside.notes])

    def _show(self, view: ClimateView) -> None:
        self.page.set_busy("")
        self.view = view
        found = view.climate
        self.range.offer(found)
        self.sentence.setText(say_climate(found))
        at = max(0, self.tables.currentIndex())
        self.tables.clear()
        self.tables.addItems([one.title for one in view.tables])
        self.tables.setCurrentIndex(at)
        self._show_table()
        self._show_chart()
        self.lanes.show_lanes(found.lanes, found.start, found.end)

    def _show_table(self) -> None:
        table = self.table
        if table is None:
            return
        notes = [one for one in table.notes if one != self.sentence.text()]
        self.about.setText("  ".join(notes))
        self.about.setVisible(bool(notes))
        self.sheet.show_table(replace(table, notes=()))
        if self.sheet.list is not None:
            self.sheet.list.on_export = self.export
        for action in self._typed_actions:
            action.setVisible(table.name == _TYPED)

    def _show_chart(self) -> None:
        if self.view is None:
            return
        found = self.view.climate
        key = self.figure.currentData() or "celsius"
        is_empty = not found.readings
        self.chart.show_chart(None if is_empty else climate_chart(found, key))
        self.lanes.update()

    def _opened(self, opened: OpenedFile) -> None:
        self.page.set_busy("")
        if self.view is not None:
            found = self.view.climate
            room = found.room.id if found.room is not None else None
            self.context.open_dialog(ImportDialog(self.context, opened, found.rooms, room))

    def _not_read(self, error: FarmdeskError) -> None:
        self.page.set_busy("")
        self.context.show_error(error)

    def _chosen_ids(self) -> list[int]:
        if self.sheet.list is None or self.table is None or self.table.name != _TYPED:
            return []
        return [int(row[0]) for row in self.sheet.list.chosen_rows()]

    def _remove(self) -> None:
        ids = self._chosen_ids()
        if ids:
            self.context.act(partial(remove_readings, readings=ids))

    def _correct(self) -> None:
        ids = self._chosen_ids()
        if len(ids) == 1:
            self.context.workplace.read(_find_reading, self.context.farm, ids[0], then=self._edit)

    def _edit(self, now: RoomReading | None) -> None:
        if now is not None and self.view is not None:
            rooms = self.view.climate.rooms
            self.context.open_dialog(ReadingDialog(self.context, rooms, now.room, now))

    def _open_row(self, row: Sequence[object]) -> None:
        table = self.table
        if table is not None and table.name == _TYPED:
            self._correct()
        elif table is not None and table.name == "climate_outside":
            self._open_batch(str(row[0]))

    def _open_batch(self, name: str) -> None:
        self.context.go_to("incubation", name)

    # ---- building

    def _make_head(self) -> QHBoxLayout:
        bar = OverflowBar(self)
        self._typed_actions: list[QAction] = []
        for title, function, key in (
            (tr("Type a reading …"), self.type_reading, "Ctrl+N"),
            (tr("Read in a file …"), self.read_file, "Ctrl+I"),
            (tr("CO₂ …"), self.work_out_co2, "Ctrl+U"),
            (tr("Correct …"), self._correct, ""),
            (tr("Take away"), self._remove, ""),
            (tr("Print …"), self.print_page, "Ctrl+B"),
            (tr("Export …"), self.export, "Ctrl+S"),
        ):
            action = QAction(title, self)
            action.triggered.connect(lambda _=False, function=function: function())
            if key:
                action.setShortcut(QKeySequence(key))
                action.setShortcutContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
                action.setToolTip(f"{title.rstrip(' …')} ({key})")
                self.addAction(action)
            else:
                self._typed_actions.append(action)
                action.setVisible(False)
            bar.add_action(action)
        row = QHBoxLayout()
        row.addWidget(self.range)
        row.addWidget(bar, 1)
        return row

    def _make_split(self) -> QSplitter:
        left, right = QWidget(), QWidget()
        self.figure = make_chooser(tr("Figure"), self._show_chart)
        for key, title in CLIMATE_FIGURES.items():
            self.figure.addItem(title, key)
        self.chart = ChartView(self.context.formats)
        self.chart.empty_text = tr(
            "No readings in these days. Type one (Ctrl+N), or read in a logger's file (Ctrl+I)."
        )
        self.chart.on_print = self.print_page
        self.chart.on_export = self.export
        self.lanes = LanesView(self.context.formats, self.chart.plot_span)
        self.lanes.opened.connect(self._open_batch)
        area = QScrollArea()
        area.setWidgetResizable(True)
        area.setFrameShape(QScrollArea.Shape.NoFrame)
        area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        area.setWidget(self.lanes)
        self.tables = make_chooser(tr("Table"), self._show_table)
        self.sheet = TableSheet(
            self.page,
            empty_text=tr(
                "Nothing to list in these days. Choose a longer time, or type a reading (Ctrl+N)."
            ),
            on_opened=self._open_row,
        )
        marks = QLabel(tr("█ opened   ▨ not opened yet"))
        marks.setObjectName("muted")
        head = QHBoxLayout()
        head.addWidget(self.figure)
        head.addStretch(1)
        head.addWidget(marks)
        column = QVBoxLayout(left)
        column.addLayout(head)
        column.addWidget(self.chart, 3)
        column.addWidget(area, 2)
        beside = QVBoxLayout(right)
        beside.addWidget(self.tables)
        beside.addWidget(self.sheet, 1)
        is_large = self.fontMetrics().height() > LARGE_PX
        split = QSplitter(Qt.Orientation.Vertical if is_large else Qt.Orientation.Horizontal)
        for half, layout in ((left, column), (right, beside)):
            layout.setContentsMargins(0, 0, 0, 0)
            split.addWidget(half)
        split.setChildrenCollapsible(False)
        if not is_large:
            split.setSizes([720, 470])
        lines = _LEAST_LINES * (2 if is_large else 1)
        split.setMinimumHeight(self.fontMetrics().height() * lines)
        return split

    def _ask_file(self) -> str:
        return QFileDialog.getOpenFileName(self, tr("A logger's file"), str(Path.home()), FILES)[0]


def _is_basic(title: str) -> bool:
    """Whether a chart shows a figure as read, or the bags: what fits a sheet or two."""
    worked_out = (CLIMATE_FIGURES["dew_point"], CLIMATE_FIGURES["water"])
    return not title.startswith(worked_out)


def _find_reading(store: FarmStore, reading: int) -> RoomReading | None:
    with store.reading() as found:
        return found.get(RoomReading, reading)
