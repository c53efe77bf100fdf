"""The first steps of an inoculation day: the recipe and the scale."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Any

from farmdesk.actions.mixing import drop_mix, plan_mix_run, weigh_mix
from farmdesk.desk.caution_lines import make_caution
from farmdesk.desk.fields import ChoiceField, MassField, NumberField, TextField
from farmdesk.desk.messages import sentence_of
from farmdesk.desk.mix_preview import show_mix_sheet
from farmdesk.desk.pages.inoculation_day_step import DayStep
from farmdesk.desk.pages.lab_fields import offer_anew
from farmdesk.desk.workplace import Errand
from farmdesk.errors import FarmdeskError, NotUnderstood
from farmdesk.reports.lab_days import LabDay, LabDays
from farmdesk.reports.mix_sheet import MixPlan, load_mix, tell_loads, tell_supplements
from farmdesk.reports.mix_sums import tell_plan, tell_weighed
from farmdesk.wording.language import tr

if TYPE_CHECKING:
    from farmdesk.desk.pages.inoculation_day import InoculationDayPage


class RecipeStep(DayStep):
    """Which recipe, how many blocks, which strain."""

    key = "recipe"
    title = tr("Recipe and blocks")
    button = tr("Plan this mix")

    def __init__(self, page: InoculationDayPage) -> None:
        super().__init__(page)
        add = self.form.add
        self.recipe = add(ChoiceField("recipe", tr("Recipe"), required=True))
        self.blocks = add(NumberField("blocks", tr("Blocks"), self.context.formats, required=True))
        self.strain = add(ChoiceField("strain", tr("Strain meant for it"), required=True))
        self.form.add_widget(self.told)
        self.plan: MixPlan | None = None
        self._errand: Errand | None = None
        self.sheet = self.add_button(tr("Mix sheet …"), self.show_sheet)
        for field in (self.recipe, self.blocks):
            field.changed.connect(self.work_out)

    def show_day(self, days: LabDays, day: LabDay | None) -> None:
        """Offer recipes and strains; a planned day shows its own."""
        known = self.day.run.id if self.day else 0
        super().show_day(days, day)
        offer_anew(self.recipe, days.things.catalogue.choices("recipe"))
        offer_anew(self.strain, days.things.catalogue.choices("strain"))
        if day is not None and day.run.id != known:
            self.recipe.set_value(day.run.recipe)
            self.blocks.set_value(day.run.blocks)
            self.strain.set_value(day.strain)
        self.keep.setEnabled(day is None)
        self.work_out()

    def work_out(self) -> None:
        """Work the mix out again."""
        try:
            recipe, blocks = self.recipe.value(), self.blocks.value()
        except NotUnderstood:
            recipe = blocks = None
        self.plan = None
        self.sheet.setEnabled(False)
        if self._errand is not None:
            self._errand.drop()
        if not recipe or not blocks:
            self.told.setText(tr("Choose a recipe and the number of blocks to see the mix."))
            return
        self._errand = self.context.workplace.read(
            load_mix, self.context.farm, recipe, blocks, then=self._tell, failed=self._say_not
        )

    def why_not(self) -> str:
        """A day that is planned is not planned again."""
        return tr("This mix is planned already. Go on to the next step.") if self.day else ""

    def save(self, values: dict[str, Any]) -> None:
        """Plan the mix."""
        self.act(partial(plan_mix_run, **values))

    def show_sheet(self) -> None:
        """The mix sheet, to be looked at and printed."""
        if self.plan is not None:
            run = self.day.run.name if self.day else ""
            show_mix_sheet(self.context, self.plan.recipe.id, self.plan.blocks, run=run)

    def _tell(self, plan: MixPlan) -> None:
        self.plan = plan
        self.sheet.setEnabled(True)
        formats = self.context.formats
        vessels = self.days.vessels if self.days else ()
        lines = [
            *tell_plan(plan, formats),
            *tell_supplements(plan, formats),
            *tell_loads(plan.blocks, vessels, formats),
        ]
        self.told.setText("\n".join(lines))

    def _say_not(self, error: FarmdeskError) -> None:
        self.told.setText(f"⚠ {sentence_of(error)}")


class WeighStep(DayStep):
    """What was weighed in, with its lots, and the water."""

    key = "weigh"
    title = tr("Weigh")
    button = tr("Keep the weights")

    def __init__(self, page: InoculationDayPage) -> None:
        super().__init__(page)
        self.plan: MixPlan | None = None
        self._shown: tuple[int, ...] = ()
        self.weighed: dict[int, MassField] = {}
        self.lots: dict[int, TextField] = {}
        self.caution = make_caution("dust", "hot_water")
        self.form.add_widget(self.told)
        self.water = self.form.add(
            MassField("water", tr("Water weighed in"), self.context.formats,
                      hint=tr("Empty: as much as the sum above says."))
        )  # fmt: skip
        self.add_button(tr("Mix sheet …"), self.show_sheet)
        self.drop = self.add_button(tr("Drop this plan"), self.drop_plan)

    def drop_plan(self) -> None:
        """Take the plan away: the mix is not made after all."""
        if self.day is not None:
            self.act(partial(drop_mix, run=self.day.run.id))

    def show_day(self, days: LabDays, day: LabDay | None) -> None:
        """Read the day's mix, unless it is in sight already."""
        known = self.day.run.id if self.day else 0
        super().show_day(days, day)
        self.keep.setEnabled(day is not None)
        self.drop.setEnabled(day is not None and day.run.status == "planned")
        if day is None:
            self.told.setText(self.why_not())
        elif day.run.id != known:
            self.context.workplace.read(
                load_mix, self.context.farm, day.run.recipe, day.run.blocks,
                then=self._show_plan, failed=self._say_not,
            )  # fmt: skip

    def why_not(self) -> str:
        """A mix is planned before it is weighed."""
        return "" if self.day else tr("Plan the mix first: recipe and blocks.")

    def save(self, values: dict[str, Any]) -> None:
        """Keep what was weighed."""
        if self.day is None or self.plan is None:
            return
        planned = {one.ingredient: one.as_is_mg for one in self.plan.lines}
        weighed = {
            one: planned[one] if values[field.key] is None else values[field.key]
            for one, field in self.weighed.items()
        }
        lots = {one: values[field.key] for one, field in self.lots.items() if values[field.key]}
        self.act(
            partial(
                weigh_mix, run=self.day.run.id, weighed=weighed, lots=lots, water_mg=values["water"]
            )
        )

    def show_sheet(self) -> None:
        """The mix sheet of the day."""
        if self.day is not None:
            run = self.day.run
            show_mix_sheet(self.context, run.recipe, run.blocks, run=run.name)

    def _show_plan(self, plan: MixPlan) -> None:
        self.plan = plan
        self._make_fields(plan)
        day = self.day
        for one in day.weighed if day else ():
            if one.ingredient in self.weighed:
                self.weighed[one.ingredient].set_value(one.amount_mg)
                self.lots[one.ingredient].set_value(one.lot)
        self.water.set_value(day.water_mg if day and day.water_mg else None)
        self._tell()

    def _say_not(self, error: FarmdeskError) -> None:
        self.plan = None
        self.told.setText(f"⚠ {sentence_of(error)}")

    def _make_fields(self, plan: MixPlan) -> None:
        for field in (*self.weighed.values(), *self.lots.values()):
            self.form.fields.pop(field.key, None)
            field.hide()
            field.deleteLater()
        self.weighed, self.lots = {}, {}
        for one in plan.lines:
            amount = self.context.formats.mass(one.as_is_mg)
            weighed = MassField(
                f"weighed_{one.ingredient}", one.name, self.context.formats,
                hint=tr("Planned: {amount}. Empty: as planned.").format(amount=amount),
            )  # fmt: skip
            lot = TextField(f"lot_{one.ingredient}", tr("Lot of {name}").format(name=one.name))
            self.weighed[one.ingredient] = self.form.add(weighed)
            self.lots[one.ingredient] = self.form.add(lot)
            weighed.changed.connect(self._tell)
        for part in (self.told, self.water, self.caution):
            self.form.add_widget(part)

    def _tell(self) -> None:
        if self.plan is None:
            return
        weighed = {}
        for one in self.plan.lines:
            try:
                typed = self.weighed[one.ingredient].value()
            except NotUnderstood:
                typed = 0
            weighed[one.ingredient] = one.as_is_mg if typed is None else typed
        self.told.setText(tell_weighed(self.plan, weighed, self.context.formats))
