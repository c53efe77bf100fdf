"""The plan: blocks and days for what is wanted; whether it fits; accepting it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import Any

from PySide6.QtWidgets import QComboBox, QGridLayout, QLabel, QPushButton, QWidget

from farmdesk.actions.base import Act
from farmdesk.actions.plans import PlanWish, accept_plan, usual_making
from farmdesk.desk.pages.ahead_dialogs import PlanSettingDialog
from farmdesk.desk.pages.ahead_part import AheadPart
from farmdesk.desk.pages.sums_part import MakeTables
from farmdesk.desk.questions import ask_farm
from farmdesk.desk.tabbed_page import TabbedPage
from farmdesk.domain.catalogue import Species
from farmdesk.domain.plans import PlannedBatch, PlanSetting
from farmdesk.paper.tables import Table
from farmdesk.reports.plan import make_plan_table, read_plan, read_setting
from farmdesk.reports.plan_batches import say_labels
from farmdesk.reports.plan_fit_tables import fit_plan_tables, fit_tables
from farmdesk.wording.language import tr, tr_count

PROMISES = (50, 80, 90, 95, 99)
LARGE_PX = 26
_DAYS = ("plates_on", "spawn_on", "inoculate_on", "open_on", "pick_on")


@dataclass(frozen=True)
class PlanChoice:
    """Weeks that were chosen on the page, by the species' name, week, blocks and days."""

    species: str
    week: str
    blocks: int
    days: tuple[str, ...]


class PlanPart(AheadPart):
    """What to make, and when, for what is wanted."""

    title = tr("Plan")
    help_text = tr(
        "Of what is wanted in a week, what stands, what is planned and what lies in the cold store"
        " is taken away; the rest is turned into blocks. A promise of 90 % takes more blocks than"
        " the average: with “Blocks for 1 in 2” the order falls short every other time. Dates go"
        " back from the first pick, on Monday, by the days that the species takes; inoculation"
        " moves to the farm's weekday before. Choose weeks and press “Accept” to plan their"
        " batches: they show on Today when they are due."
    )
    empty_text = tr(
        "Nothing is wanted yet. Enter standing orders on the tab “Standing orders”, or take an"
        " order in Sales (Ctrl+6)."
    )

    def __init__(self, page: TabbedPage) -> None:
        super().__init__(page)
        row = QWidget()
        grid = QGridLayout(row)
        grid.setContentsMargins(0, 0, 0, 0)
        label = QLabel(tr("Promise kept"))
        self.promise = QComboBox()
        self.promise.setAccessibleName(tr("Promise kept"))
        label.setBuddy(self.promise)
        self.promise.addItem(tr("As the farm says"), None)
        for percent in PROMISES:
            self.promise.addItem(self.context.formats.percent(percent, 0), percent)
        self.promise.activated.connect(lambda _: self.refresh())
        self.accept_button = QPushButton(tr("Accept the chosen weeks"))
        self.accept_button.clicked.connect(lambda _=False: self.accept())
        grid.addWidget(label, 0, 0)
        grid.addWidget(self.promise, 0, 1)
        is_large = self.fontMetrics().height() > LARGE_PX
        grid.addWidget(self.accept_button, *((1, 0, 1, 2) if is_large else (0, 2, 1, 1)))
        grid.setColumnStretch(3, 1)
        self.body.insertWidget(1, row)

    def make(self) -> MakeTables:
        """The plan, and below it whether it fits."""
        promise = self.promise.currentData()

        def tables(reading: Any, question: Any) -> Sequence[Table]:
            plan = read_plan(reading, species=question.species, promise_percent=promise)
            misfits = fit_plan_tables(reading, plan)[0].notes[0]
            return (_with_note(make_plan_table(plan), misfits),)

        return tables

    def accept(self) -> None:
        """Plan the batches of the chosen weeks, or of all that need some."""
        choices = [] if self.sheet.list is None else self._choices(self.sheet.list.chosen_rows())
        if not choices:
            self.context.say(tr("Choose weeks that need blocks and can still be kept first."))
            return
        self.context.act(partial(accept_choices, choices=choices), then=self._accepted, parent=self)

    def open_row(self, row: object) -> None:  # noqa: ARG002 - the row that was opened is chosen
        """Enter accepts the week."""
        self.accept()

    def _choices(self, rows: Sequence[Sequence[Any]]) -> list[PlanChoice]:
        if self.table is None:
            return []
        keys = [one.key for one in self.table.columns]
        found = []
        for row in rows:
            cells = dict(zip(keys, row, strict=True))
            if cells["blocks"] and cells["inoculate_on"]:
                days = tuple(str(cells[key] or "") for key in _DAYS)
                found.append(PlanChoice(cells["species"], cells["week"], cells["blocks"], days))
        return found

    def _accepted(self, made: Sequence[PlannedBatch]) -> None:
        formats = self.context.formats
        blocks = sum(one.blocks for one in made)
        words = tr_count(
            len(made),
            "{n} batch is planned: {labels} to print when it is made. Ctrl+Z takes it back.",
            "{n} batches are planned: {labels} to print when they are made. Ctrl+Z takes them"
            " back.",
        )
        self.context.say(
            words.format(n=formats.number(len(made)), labels=say_labels(blocks, formats))
        )


class FitPart(AheadPart):
    """Rooms day by day, steriliser, hours."""

    title = tr("Rooms and work")
    help_text = tr(
        "What stands now, the planned batches and the plan together, day by day for 16 weeks. A"
        " room's peak decides, not its average: four batches can overlap on three days a week."
        " Where something does not fit, the sentence above says where, when and what would fit."
        " Steriliser and hours are checked when “Figures of the plan” say what there is."
    )
    empty_text = tr(
        "There is no room for incubation or fruiting yet. Enter rooms in the catalogue (Ctrl+9)."
    )

    def make(self) -> MakeTables:
        """Rooms, steriliser, hours."""
        return lambda reading, question: fit_tables(reading, species=question.species)


def open_setting(part: AheadPart) -> None:
    """Ask for the figures of the plan."""
    context = part.context

    def show(setting: PlanSetting) -> None:
        context.open_dialog(PlanSettingDialog(context, setting))

    context.workplace.read(ask_farm, context.farm, read_setting, then=show)


def accept_choices(act: Act, *, choices: Sequence[PlanChoice]) -> list[PlannedBatch]:
    """Plan the batches that were chosen by name, of the strain and recipe that are usual."""
    species = {one.name: one.id for one in act.tx.all(Species)}
    return accept_plan(
        act,
        [
            _wish(one, species[one.species], usual_making(act, species[one.species]))
            for one in choices
            if one.species in species
        ],
    )


def _wish(one: PlanChoice, species: int, usual: tuple[int | None, int | None]) -> PlanWish:
    plates_on, spawn_on, inoculate_on, open_on, pick_on = one.days
    strain, recipe = usual
    return PlanWish(
        species, one.week, one.blocks, plates_on, spawn_on, inoculate_on, open_on, pick_on,
        strain, recipe,
    )  # fmt: skip


def _with_note(table: Table, note: str) -> Table:
    """The table with a sentence about how it fits after its first."""
    if not table.notes:
        return table
    first, *rest = table.notes
    head = tr("{first} {second}").format(first=first, second=note)
    return replace(table, notes=[head, *rest])
