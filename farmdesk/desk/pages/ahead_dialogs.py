"""Forms about demand and plans: standing orders, weeks that differ, planned batches, figures."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import partial
from typing import Any

from farmdesk.actions.base import Act
from farmdesk.actions.demand import (
    pause_standing_order,
    save_demand_event,
    save_standing_order,
    tidy_weeks,
)
from farmdesk.actions.plans import change_planned, save_plan_setting, tick_off
from farmdesk.desk.context import DeskContext
from farmdesk.desk.dialogs import FormDialog
from farmdesk.desk.fields import (
    CheckField,
    ChoiceField,
    DayField,
    MassField,
    NotesField,
    NumberField,
    ReadField,
    TextField,
)
from farmdesk.desk.pages.order_lines import read_amount, read_back
from farmdesk.domain.demand import DemandEvent, StandingOrder
from farmdesk.domain.plans import PlanSetting
from farmdesk.errors import NotUnderstood, problem
from farmdesk.quantities.times import today_in
from farmdesk.quantities.weeks import IsoWeek
from farmdesk.reports.catalogue import Catalogue
from farmdesk.reports.demand_lists import WEEKDAYS, StandingRow, product_of
from farmdesk.reports.plan_batches import PlannedRow
from farmdesk.store.plans import MadeBatch
from farmdesk.wording.formats import Formats
from farmdesk.wording.language import tr


def read_week(text: str, today: str) -> str:
    """An ISO week as typed: '2026-W50', or 'W50' and '50' for the next week of that number."""
    this_week = IsoWeek.of(today)
    week = IsoWeek.parse(text, year=this_week.year)
    if week < this_week and text.strip().upper().removeprefix("W").isdigit():
        week = IsoWeek.parse(text, year=this_week.year + 1)
    return str(week)


class WeekField(ReadField):
    """One ISO week, with its days read back."""

    def __init__(self, key: str, label: str, formats: Formats, **options: Any) -> None:
        self._formats = formats
        self._given_hint = str(options.get("hint", ""))
        options.setdefault("placeholder", tr("2026-W50, W50"))
        super().__init__(key, label, self._read_week, **options)

    def _read_week(self, text: str) -> str:
        return read_week(text, today_in(self._formats.zone))

    def _edited(self, text: str) -> None:
        super()._edited(text)
        try:
            week = self.value() if self.text() else None
        except NotUnderstood:
            week = None
        said = self._formats.week_with_days(IsoWeek.parse(week)) if week else ""
        self.set_hint(f"= {said}" if said else self._given_hint)


class StandingDialog(FormDialog):
    """A new standing order, or one that is changed."""

    def __init__(
        self, context: DeskContext, catalogue: Catalogue, order: StandingOrder | None = None
    ) -> None:
        title = tr("New standing order") if order is None else tr("Change standing order")
        super().__init__(title, save_title=tr("Save"))
        self._context = context
        self._catalogue = catalogue
        self._order = order or StandingOrder(0)
        one, formats, add = self._order, context.formats, self.form.add
        none = "" if catalogue.all("customer") else tr("Add customers in the catalogue (Ctrl+9).")
        self.customer = add(
            ChoiceField("customer", tr("Customer"),
                        catalogue.choices("customer", also=one.customer),
                        required=True, value=one.customer or None, hint=none)
        )  # fmt: skip
        self.product = add(
            ChoiceField("product", tr("Product"), catalogue.choices("product", also=one.product),
                        required=True, value=one.product or None)
        )  # fmt: skip
        self.amount = add(
            TextField("quantity", tr("How much each time"), required=True, value=self._amount(one),
                      placeholder=tr("2.5 kg, 6 packs"))
        )  # fmt: skip
        add(ChoiceField("weekday", tr("On"), WEEKDAYS, required=True, value=one.weekday))
        add(NumberField("every_weeks", tr("Every so many weeks"), formats, required=True,
                        value=str(one.every_weeks)))  # fmt: skip
        add(DayField("runs_from", tr("From"), formats, required=True,
                     value=one.runs_from or "today"))  # fmt: skip
        add(DayField("runs_to", tr("Until"), formats, value=one.runs_to or "",
                     hint=tr("Empty: until it is ended.")))  # fmt: skip
        add(ReadField("pauses", tr("Weeks left out"), tidy_weeks, value=one.pauses,
                      placeholder=tr("2026-W52 2027-W01")))  # fmt: skip
        add(NotesField("note", tr("Note"), value=one.note))
        self.amount.changed.connect(self._read_back)
        self.product.changed.connect(self._read_back)

    def save(self, values: dict[str, Any]) -> None:
        """Keep it."""
        product = product_of(self._catalogue, values["product"])
        if product is None:
            return
        try:
            quantity, unit = read_amount(values["quantity"], product, self._context.formats)
        except NotUnderstood as error:
            self.form.show_error(
                NotUnderstood(*(problem(p.code, **{**p.facts, "field": "quantity"})
                                for p in error.problems))
            )  # fmt: skip
            return
        values |= {"quantity": quantity, "unit": unit, "pauses": values["pauses"] or ""}
        order = replace(self._order, **values)
        self.run(self._context.act, partial(save_standing_order, order=order))

    def _amount(self, one: StandingOrder) -> str:
        if not one.quantity:
            return ""
        return f"{one.quantity.normalize():f} {'' if one.unit == 'pack' else one.unit}".strip()

    def _read_back(self) -> None:
        product = product_of(self._catalogue, self.product.chosen() or 0)
        self.amount.set_hint(read_back(self.amount.text(), product, self._context.formats))


class PauseDialog(FormDialog):
    """Weeks in which some standing orders are left out."""

    def __init__(self, context: DeskContext, rows: Sequence[StandingRow]) -> None:
        names = "; ".join(
            tr("{customer}: {product}").format(customer=row.customer, product=row.product)
            for row in rows
        )
        super().__init__(tr("Leave out weeks"), sentence=names, save_title=tr("Save"))
        self._context = context
        self._ids = [row.id for row in rows]
        self.form.add(
            ReadField("pauses", tr("ISO weeks"), tidy_weeks, required=True,
                      placeholder=tr("2026-W52 2027-W01"))
        )  # fmt: skip
        self.form.add(CheckField("resume", tr("Take these weeks up again instead")))

    def save(self, values: dict[str, Any]) -> None:
        """Pause them, or take them up again."""
        self.run(
            self._context.act,
            partial(_pause, ids=self._ids, weeks=values["pauses"], resume=values["resume"]),
        )


class EventDialog(FormDialog):
    """A holiday, a market day, or demand typed for some weeks."""

    def __init__(
        self, context: DeskContext, catalogue: Catalogue, event: DemandEvent | None = None
    ) -> None:
        title = tr("Weeks that differ") if event is None else tr("Change weeks that differ")
        about = tr(
            "A factor changes the standing orders of these weeks (0.5 is half, 2 twice); an amount"
            " comes on top of them."
        )
        super().__init__(title, sentence=about, save_title=tr("Save"))
        self._context = context
        self._event = event or DemandEvent(0, "")
        one, formats, add = self._event, context.formats, self.form.add
        add(TextField("name", tr("What"), required=True, value=one.name,
                      placeholder=tr("Spring market, harvest holiday")))  # fmt: skip
        add(WeekField("from_week", tr("From week"), formats, required=True, value=one.from_week))
        last = "" if one.to_week == one.from_week else one.to_week
        add(WeekField("to_week", tr("To week"), formats, value=last,
                      hint=tr("Empty: this one week.")))  # fmt: skip
        add(DayField("held_on", tr("Day, to remember"), formats, value=one.held_on or ""))
        add(ChoiceField("species", tr("Species"), catalogue.choices("species", also=one.species),
                        value=one.species, hint=tr("Empty: all species.")))  # fmt: skip
        add(ChoiceField("product", tr("Product"), catalogue.choices("product", also=one.product),
                        value=one.product, hint=tr("Empty: all products.")))  # fmt: skip
        add(NumberField("factor", tr("Standing orders times"), formats, digits=3,
                        value=formats.number(one.factor.normalize(), 2)))  # fmt: skip
        add(MassField("amount_mg", tr("More in each week"), formats, value=one.amount_mg or ""))
        add(NotesField("note", tr("Note"), value=one.note))

    def save(self, values: dict[str, Any]) -> None:
        """Keep it."""
        values["to_week"] = values["to_week"] or ""
        values["amount_mg"] = values["amount_mg"] or 0
        if values["factor"] is None:
            values["factor"] = DemandEvent(0, "").factor
        event = replace(self._event, **values)
        self.run(self._context.act, partial(save_demand_event, event=event))


class PlannedDialog(FormDialog):
    """A planned batch that is changed."""

    def __init__(self, context: DeskContext, catalogue: Catalogue, row: PlannedRow) -> None:
        sentence = tr("{species} for {week}").format(species=row.species, week=row.week)
        title = tr("Change {name}").format(name=row.name)
        super().__init__(title, sentence=sentence, save_title=tr("Save"))
        self._context = context
        self._row = row
        one, formats, add = row.planned, context.formats, self.form.add
        strains = {s.id for s in catalogue.all("strain") if s.species == one.species}
        offered = [pair for pair in catalogue.choices("strain", also=one.strain)
                   if pair[0] in strains]  # fmt: skip
        add(NumberField("blocks", tr("Blocks"), formats, required=True, value=str(one.blocks)))
        add(DayField("inoculate_on", tr("Inoculate on"), formats, required=True,
                     value=one.inoculate_on))  # fmt: skip
        add(DayField("open_on", tr("Open on"), formats, required=True, value=one.open_on))
        add(ChoiceField("strain", tr("Strain"), offered, value=one.strain,
                        hint=tr("Empty: any of the species.")))  # fmt: skip
        add(ChoiceField("recipe", tr("Recipe"), catalogue.choices("recipe", also=one.recipe),
                        value=one.recipe))  # fmt: skip
        add(NotesField("note", tr("Note"), value=one.note))

    def save(self, values: dict[str, Any]) -> None:
        """Keep it."""
        self.run(self._context.act, partial(change_planned, planned=self._row.id, **values))


class TickDialog(FormDialog):
    """A planned batch that was made, and the batch that it became."""

    def __init__(self, context: DeskContext, row: PlannedRow, made: Sequence[MadeBatch]) -> None:
        title = tr("{name} was made").format(name=row.name)
        super().__init__(title, save_title=tr("Tick off"))
        self._context = context
        self._row = row
        formats = context.formats
        words = tr("{batch}, {blocks} bags, inoculated {day}")
        offered = [
            (one.id, words.format(batch=one.name, blocks=one.made,
                                  day=formats.day(one.inoculated_on)))
            for one in made
        ]  # fmt: skip
        suggested = row.suggested.id if row.suggested is not None else None
        self.form.add(
            ChoiceField("batch", tr("It became batch"), offered, value=suggested,
                        hint=tr("Empty: made, but no batch is named."))
        )  # fmt: skip

    def save(self, values: dict[str, Any]) -> None:
        """Tick it off."""
        self.run(self._context.act, partial(tick_off, planned=self._row.id, batch=values["batch"]))


class PlanSettingDialog(FormDialog):
    """The figures that plans are made with."""

    def __init__(self, context: DeskContext, setting: PlanSetting) -> None:
        super().__init__(tr("Figures of the plan"), save_title=tr("Save"))
        self._context = context
        self._setting = setting
        formats, add = context.formats, self.form.add
        for key, label, hint, digits in (
            ("promise_percent", tr("Promise kept, %"), tr("90 is nine weeks of ten."), 0),
            ("saleable_percent", tr("Saleable of what is picked, %"), "", 0),
            ("blocks_per_run", tr("Blocks in one steriliser run"),
             tr("0: what the vessels under Lab hold together."), 0),
            ("runs_per_day", tr("Runs in a day"), "", 0),
            ("hours_per_week", tr("Hours of work in a week"), tr("0: not checked."), 1),
            ("make_minutes", tr("Minutes to make a block"),
             tr("Mixing, heating, inoculating and labels."), 1),
            ("pick_minutes", tr("Minutes to pick a block once"), "", 1),
            ("plate_days", tr("Days a plate takes"), "", 0),
            ("spawn_days", tr("Days spawn takes"), "", 0),
        ):  # fmt: skip
            value = formats.number(getattr(setting, key), digits)
            add(NumberField(key, label, formats, digits=digits, hint=hint, required=True,
                            value=value))  # fmt: skip

    def save(self, values: dict[str, Any]) -> None:
        """Keep them."""
        setting = replace(self._setting, **values)
        self.run(self._context.act, partial(save_plan_setting, setting=setting))


def _pause(act: Act, *, ids: Sequence[int], weeks: str, resume: bool) -> int:
    for one in ids:
        pause_standing_order(act, one, weeks, resume=resume)
    return len(ids)
