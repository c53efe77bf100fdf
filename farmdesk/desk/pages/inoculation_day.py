"""Inoculation day as one guided page: from the recipe to labelled bags, step by step."""

from __future__ import annotations

from typing import Any

from PySide6.QtCore import Qt
from PySide6.QtGui import QHideEvent, QResizeEvent, QShowEvent
from PySide6.QtWidgets import (
    QComboBox,
    QHBoxLayout,
    QLabel,
    QListWidget,
    QListWidgetItem,
    QStackedWidget,
    QWidget,
)

from farmdesk.desk.context import DeskContext
from farmdesk.desk.page import Page
from farmdesk.desk.pages.inoculation_day_heat import HeatStep
from farmdesk.desk.pages.inoculation_day_spawn import BagsStep, DoneStep, LabelsStep, SpawnStep
from farmdesk.desk.pages.inoculation_day_step import DayStep
from farmdesk.desk.pages.inoculation_day_steps import RecipeStep, WeighStep
from farmdesk.domain.codes import kind_of, read_code
from farmdesk.domain.lab import HeatRun
from farmdesk.errors import NotUnderstood
from farmdesk.reports.lab_days import LabDay, LabDays, load_days
from farmdesk.wording.language import tr

_LIST_CHARACTERS = 24
_NARROW_CHARACTERS = 85


class InoculationDayPage(Page):
    """Steps on the left, the one in hand on the right; what is kept comes from the records."""

    title = tr("Inoculation day")
    help_text = tr(
        "One day's work from the recipe to labelled bags. Each step is kept when it is done, so a"
        " half-done day can be left and gone on with from any station; choose it above. Alt+Left"
        " and Alt+Right go back and on, Ctrl+Enter keeps a step, Ctrl+Z takes the last one back."
        " On the spawn step the scanner names bags of spawn. Moisture is water over the whole"
        " weight; the spawn rate is spawn over wet substrate, and beside it over dry substrate."
        " Grain generations count from the culture: the last one is for blocks, not for more"
        " spawn. The record of a heat run shows what was typed; it proves nothing."
    )
    interest = frozenset(
        {"run", "run_ingredient", "mixing_note", "named_spawn", "vessel", "probe_reading",
         "batch", "bag", "spawn", "printing", "recipe", "recipe_part", "ingredient", "strain",
         "species", "room"}
    )  # fmt: skip

    def __init__(self, context: DeskContext, parent: QWidget | None = None) -> None:
        super().__init__(context, parent)
        self.days: LabDays | None = None
        self.run: int | None = None
        self._follows = True
        self._lent = False
        self.add_page_action(
            tr("New day"), self.begin_day, shortcut="Ctrl+N", hint=tr("Plan another mix")
        )
        self.add_page_action(tr("Back"), lambda: self._step_by(-1), shortcut="Alt+Left")
        self.add_page_action(tr("Next step"), lambda: self._step_by(1), shortcut="Alt+Right")
        self.choice = QComboBox()
        self.choice.setSizeAdjustPolicy(
            QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon
        )
        self.choice.setMinimumContentsLength(_LIST_CHARACTERS)
        self.choice.setAccessibleName(tr("Day under way"))
        self.choice.activated.connect(self._day_chosen)
        self.rail = QListWidget()
        self.rail.setAccessibleName(tr("Steps of the day"))
        self.rail.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.rail.currentRowChanged.connect(self._row_chosen)
        self.stack = QStackedWidget()
        self.steps = self._make_steps()
        self._build()

    # ---- what pages do

    def refresh(self) -> None:
        """Read the days again."""
        self.context.workplace.read_newest(
            load_days, self.context.farm, also=self.run, then=self._show
        )

    def show_subject(self, subject: str) -> None:
        """Show the day of a heat run, by its code or name."""
        found = self._find_run(subject)
        if found is not None:
            self.run, self._follows = found, True
            self.refresh()

    def print_page(self) -> bool:
        """Print the mix sheet of the mix in sight."""
        recipe = self.steps[0]
        assert isinstance(recipe, RecipeStep)
        recipe.show_sheet()
        return recipe.plan is not None

    # ---- steps

    @property
    def day(self) -> LabDay | None:
        """The day in sight; None for one that is not planned yet."""
        return self.days.find(self.run) if self.days else None

    @property
    def step(self) -> DayStep:
        """The step in sight."""
        return self.steps[self.stack.currentIndex()]

    def show_step(self, key: str) -> None:
        """Bring a step into sight."""
        self.rail.setCurrentRow([one.key for one in self.steps].index(key))

    def go_on(self, result: Any) -> None:
        """Something was kept: read again, and show what comes next."""
        if isinstance(result, HeatRun):
            self.run = result.id
            self.context.say(tr("{run}: kept. Ctrl+Z takes it back.").format(run=result.name))
        self._follows = True
        self.refresh()

    def begin_day(self) -> None:
        """A day that is not planned yet."""
        self.run, self._follows = None, True
        self._show_day()

    def _make_steps(self) -> tuple[DayStep, ...]:
        spawn = SpawnStep(self)
        steps = (
            RecipeStep(self), WeighStep(self), HeatStep(self), spawn, BagsStep(self, spawn),
            LabelsStep(self), DoneStep(self),
        )  # fmt: skip
        for step in steps:
            self.stack.addWidget(step)
            self.rail.addItem(QListWidgetItem(step.title))
        return steps

    def _build(self) -> None:
        head = QHBoxLayout()
        label = QLabel(tr("&Day"))
        label.setBuddy(self.choice)
        head.addWidget(label)
        head.addWidget(self.choice, 1)
        self.body.addLayout(head)
        self.where = QLabel()
        self.where.setObjectName("group")
        self.where.hide()
        self.body.addWidget(self.where)
        row = QHBoxLayout()
        letter = self.fontMetrics().averageCharWidth()
        self.rail.setFixedWidth(letter * _LIST_CHARACTERS + 24)
        self.rail.setMinimumHeight(self.fontMetrics().height() * 3)
        row.addWidget(self.rail)
        row.addWidget(self.stack, 1)
        self.body.addLayout(row, 1)

    def _show(self, days: LabDays) -> None:
        self.days = days
        if self.run is None and self._follows and days.days:
            self.run = days.days[0].run.id
        self._show_day()

    def _show_day(self) -> None:
        if self.days is None:
            return
        day = self.day
        if day is None and self.run is not None:
            self.run, self._follows = None, True
        self._fill_choice()
        for step in self.steps:
            step.show_day(self.days, day)
        self._mark_steps(day)
        if self._follows:
            self._follows = False
            self.show_step(day.step if day else "recipe")

    def _fill_choice(self) -> None:
        self.choice.clear()
        for one in self.days.days if self.days else ():
            text = tr("{run}  ·  {recipe}, {blocks}, {day}").format(
                run=one.run.name,
                recipe=one.recipe,
                blocks=self.context.formats.count(one.run.blocks, "block", "blocks"),
                day=self.context.formats.day(one.run.run_on),
            )
            self.choice.addItem(text, one.run.id)
        self.choice.addItem(tr("A new day"), None)
        at = self.choice.findData(self.run) if self.run is not None else -1
        self.choice.setCurrentIndex(at if at >= 0 else self.choice.count() - 1)

    def _mark_steps(self, day: LabDay | None) -> None:
        """A tick for what is done, an arrow for what comes next; said in words too."""
        order = [one.key for one in self.steps]
        upcoming = order.index(day.step) if day else 0
        for at, step in enumerate(self.steps):
            done = at < upcoming or (day is not None and day.step == "done")
            mark = "✓" if done else "➤" if at == upcoming else "   "
            item = self.rail.item(at)
            number = at + 1
            item.setText(f"{number}  {mark}  {step.title}")
            state = tr("done") if done else tr("next") if at == upcoming else tr("later")
            told = tr("Step {n}, {title}: {state}").format(n=number, title=step.title, state=state)
            item.setData(Qt.ItemDataRole.AccessibleTextRole, told)

    def _day_chosen(self, _at: int) -> None:
        self.run, self._follows = self.choice.currentData(), True
        self._show_day()

    def _row_chosen(self, at: int) -> None:
        if at < 0:
            return
        self.stack.setCurrentIndex(at)
        step = self.steps[at]
        self.where.setText(
            tr("Step {n} of {count}: {title}").format(
                n=at + 1, count=len(self.steps), title=step.title
            )
        )
        if isinstance(step, BagsStep):
            step.keep.setEnabled(not step.why_not())
            step.tell()
        self._lend()
        if not self.rail.hasFocus():
            self._focus(step)

    def _focus(self, step: DayStep) -> None:
        first = next((one for one in step.form.fields.values() if one.isEnabled()), None)
        if self.isVisible():
            (first or step.keep).setFocus()

    def _step_by(self, by: int) -> None:
        at = max(0, min(self.stack.currentIndex() + by, len(self.steps) - 1))
        self.rail.setCurrentRow(at)

    # ---- scans

    def _lend(self) -> None:
        """The spawn step in sight has the scanner; any other step leaves it to the strip."""
        step = self.step
        wanted = self.isVisible() and isinstance(step, SpawnStep)
        if wanted and isinstance(step, SpawnStep):
            self.context.strip.lend(tr("Scan the bags of spawn"), step.take_scan)
        elif self._lent:
            self.context.strip.take_back()
        self._lent = wanted

    def showEvent(self, event: QShowEvent) -> None:  # noqa: N802 - Qt's own name
        """The scanner is lent again when the spawn step comes into sight."""
        super().showEvent(event)
        self._lend()

    def hideEvent(self, event: QHideEvent) -> None:  # noqa: N802 - Qt's own name
        """The scanner goes back to the strip."""
        super().hideEvent(event)
        if self._lent:
            self.context.strip.take_back()
            self._lent = False

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's own name
        """Where the page is narrow or the text large, the step in hand has all the room."""
        super().resizeEvent(event)
        is_narrow = self.width() < self.fontMetrics().averageCharWidth() * _NARROW_CHARACTERS
        self.rail.setVisible(not is_narrow)
        self.where.setVisible(is_narrow)

    def _find_run(self, subject: str) -> int | None:
        try:
            found = read_code(subject)
        except NotUnderstood:
            wanted = subject.strip().casefold()
            days = self.days.days if self.days else ()
            return next((one.run.id for one in days if one.run.name.casefold() == wanted), None)
        return found if kind_of(found) == "run" else None
