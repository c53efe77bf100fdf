"""Forms of the lab: cultures, spawn, mixes and heat runs."""

from __future__ import annotations

from functools import partial
from typing import Any

from PySide6.QtWidgets import QLabel

from farmdesk.actions.heat_runs import OUTCOMES, RunPlan, plan_run, record_heat, record_run
from farmdesk.actions.lab import register_culture, register_spawn
from farmdesk.desk.context import DeskContext
from farmdesk.desk.dialogs import FormDialog
from farmdesk.desk.fields import (
    ChoiceField,
    DayField,
    MassField,
    NotesField,
    NumberField,
    ReadField,
    TextField,
)
from farmdesk.desk.messages import sentence_of
from farmdesk.desk.pages.lab_fields import ClockField, ReadingsField
from farmdesk.desk.workplace import Errand
from farmdesk.domain.lab import Culture, Spawn
from farmdesk.errors import FarmdeskError, NotUnderstood
from farmdesk.quantities.mass import MG_PER_KG
from farmdesk.quantities.percent import read_percent
from farmdesk.reports.lab_choices import LabThings, RunRow
from farmdesk.store.farm_store import FarmStore
from farmdesk.wording.language import tr
from farmdesk.wording.states import FORMS

FLAME = tr(
    "⚠ Alcohol and flame do not go together: let hands, gloves and bench dry before a flame is "
    "lit, and keep sprays away from hot elements."
)
PRESSURE = tr(
    "⚠ A pressure vessel can kill: follow its maker's instructions and local rules, keep its "
    "safety valve and gauge tested, never open it under pressure. This record shows what was "
    "entered; it proves nothing about the load."
)
_OUTCOME_WORDS = {
    "passed": tr("passed: may be inoculated"),
    "held": tr("held: to be looked at first"),
    "failed": tr("failed: not to be used"),
}


class CultureDialog(FormDialog):
    """A new culture, bought in or transferred from another."""

    def __init__(
        self, context: DeskContext, things: LabThings, parent: Culture | None = None
    ) -> None:
        super().__init__(tr("New culture"), sentence=FLAME, save_title=tr("Register"))
        self._context = context
        add = self.form.add
        add(
            ChoiceField(
                "strain", tr("Strain"), things.catalogue.choices("strain"), required=True,
                value=parent.strain if parent else None,
            )
        )  # fmt: skip
        add(
            ChoiceField(
                "form", tr("Form"), [(one, tr(word)) for one, word in FORMS.items()], required=True,
                value=parent.form if parent else "plate",
            )
        )  # fmt: skip
        cultures = [(one.id, _line_name(one, things)) for one in things.kept_cultures()]
        add(
            ChoiceField(
                "parent", tr("Made from"), cultures, value=parent.id if parent else None,
                hint=tr("Empty when it was bought in. Transfers are counted from it."),
            )
        )  # fmt: skip
        add(
            NumberField(
                "transfers", tr("Transfers known of a bought one"), context.formats, value=0
            )
        )
        add(DayField("made_on", tr("Made on"), context.formats, value="today"))
        add(
            TextField(
                "origin", tr("Where it came from"), hint=tr("Supplier and lot, or the place.")
            )
        )
        add(NotesField("note", tr("Note")))

    def save(self, values: dict[str, Any]) -> None:
        """Register it."""
        self.run(self._context.act, partial(register_culture, **_words(values)))


class SpawnDialog(FormDialog):
    """New grain spawn: so many bags or jars of one making."""

    def __init__(
        self, context: DeskContext, things: LabThings, parent: Culture | Spawn | None = None
    ) -> None:
        super().__init__(tr("New spawn"), sentence=FLAME, save_title=tr("Register"))
        self._context = context
        formats, add = context.formats, self.form.add
        add(
            ChoiceField(
                "strain", tr("Strain"), things.catalogue.choices("strain"), required=True,
                value=parent.strain if parent else None,
            )
        )  # fmt: skip
        lines: list[Culture | Spawn] = [*things.kept_cultures(), *things.usable_spawn()]
        add(
            ChoiceField(
                "parent", tr("Made from"), [(one.id, _line_name(one, things)) for one in lines],
                value=parent.id if parent else None,
                hint=tr("A culture or older spawn; empty when it was bought in."),
            )
        )  # fmt: skip
        add(MassField("parent_mg", tr("Spawn used of it, in all"), formats,
                      hint=tr("Only when it was made from older spawn.")))  # fmt: skip
        add(NumberField("bags", tr("Bags or jars"), formats, required=True, value=1))
        add(MassField("each_mg", tr("Weight of each"), formats, required=True))
        add(TextField("grain", tr("Grain")))
        add(DayField("made_on", tr("Made on"), formats, value="today"))
        add(DayField("use_by", tr("Use by"), formats))
        add(NumberField("generation", tr("Grain generation, when bought in"), formats, value=1))
        add(NumberField("transfers", tr("Transfers known, when bought in"), formats, value=0))
        add(TextField("origin", tr("Where it came from"), hint=tr("Supplier and lot.")))
        add(NotesField("note", tr("Note")))

    def save(self, values: dict[str, Any]) -> None:
        """Register the bags."""
        values["parent_mg"] = values["parent_mg"] or 0
        values["generation"] = 1 if values["generation"] is None else values["generation"]
        self.run(self._context.act, partial(register_spawn, **_words(values)))


class RunDialog(FormDialog):
    """A mix planned from its recipe, and recorded as it was weighed."""

    def __init__(self, context: DeskContext, things: LabThings) -> None:
        super().__init__(tr("New heat run"), sentence=PRESSURE, save_title=tr("Record the mix"))
        self._context = context
        self._things = things
        self._errand: Errand | None = None
        self.run_plan: RunPlan | None = None
        self._weighed: dict[int, MassField] = {}
        self._lots: dict[int, TextField] = {}
        formats, add = context.formats, self.form.add
        self._recipe = add(
            ChoiceField("recipe", tr("Recipe"), things.catalogue.choices("recipe"), required=True)
        )
        self._blocks = add(NumberField("blocks", tr("Blocks"), formats, required=True))
        self._strain = add(
            ChoiceField("strain", tr("Strain meant for it"), things.catalogue.choices("strain"),
                        hint=tr("For the spawn it will need."))
        )  # fmt: skip
        self.plan_text = QLabel(tr("Choose a recipe and the number of blocks to see the mix."))
        self.plan_text.setObjectName("plan")
        self.plan_text.setWordWrap(True)
        self.form.add_widget(self.plan_text)
        add(DayField("run_on", tr("Mixed on"), formats, value="today"))
        add(ChoiceField("person", tr("By"), things.catalogue.choices("person"),
                        value=context.person.id if context.person else None))  # fmt: skip
        add(NotesField("note", tr("Note")))
        self._heading = QLabel(tr("As weighed, where it differs"))
        self._heading.setObjectName("group")
        self._heading.hide()
        self.form.add_widget(self._heading)
        for field in (self._recipe, self._blocks, self._strain):
            field.changed.connect(self.plan)

    def plan(self) -> None:
        """Work the mix out again from recipe and blocks."""
        try:
            recipe, blocks, strain = (
                self._recipe.value(), self._blocks.value(), self._strain.value(),
            )  # fmt: skip
        except NotUnderstood:
            return
        if self._errand is not None:
            self._errand.drop()
        self._errand = self._context.workplace.read(
            _plan_in, self._context.farm, recipe, blocks, strain,
            then=self._show_plan, failed=self._show_no_plan,
        )  # fmt: skip

    def _show_plan(self, plan: RunPlan) -> None:
        self.run_plan = plan
        self.plan_text.setText(plan_lines(plan, self._context))
        wanted = [one.ingredient for one in plan.ingredients]
        if wanted == list(self._weighed):
            return
        for field in (*self._weighed.values(), *self._lots.values()):
            self.form.fields.pop(field.key, None)
            field.hide()
            field.deleteLater()
        self._weighed, self._lots = {}, {}
        self._heading.show()
        for one in plan.ingredients:
            weighed = MassField(
                f"weighed_{one.ingredient}",
                tr("{name}, as weighed").format(name=one.name),
                self._context.formats,
                hint=tr("Empty: as planned."),
            )  # fmt: skip
            self._weighed[one.ingredient] = self.form.add(weighed)
            lot = TextField(f"lot_{one.ingredient}", tr("{name}, lot").format(name=one.name))
            self._lots[one.ingredient] = self.form.add(lot)

    def _show_no_plan(self, error: FarmdeskError) -> None:
        self.run_plan = None
        self.plan_text.setText(f"⚠ {sentence_of(error)}")

    def save(self, values: dict[str, Any]) -> None:
        """Record the mix."""
        typed = {one: values[field.key] for one, field in self._weighed.items()}
        planned = self.run_plan.ingredients if self.run_plan else ()
        weighed = {
            one.ingredient: one.as_is_mg
            if typed.get(one.ingredient) is None
            else typed[one.ingredient]
            for one in planned
        }
        lots = {one: values[field.key] for one, field in self._lots.items() if values[field.key]}
        self.run(
            self._context.act,
            partial(
                record_run,
                recipe=values["recipe"],
                blocks=values["blocks"],
                run_on=values["run_on"],
                weighed=weighed if any(one is not None for one in typed.values()) else None,
                lots=lots,
                person=values["person"],
                note=values["note"],
            ),
        )


class HeatDialog(FormDialog):
    """How a run was heated, and what came of it."""

    def __init__(self, context: DeskContext, row: RunRow) -> None:
        super().__init__(
            tr("Heat of {name}").format(name=row.run.name),
            sentence=PRESSURE,
            save_title=tr("Record"),
        )
        self._context = context
        self._row = row
        formats, day, add = context.formats, row.run.run_on, self.form.add
        treatment = QLabel(
            tr("{recipe}, {blocks} blocks. {treatment}").format(
                recipe=row.recipe, blocks=row.run.blocks, treatment=row.run.treatment
            )
        )
        treatment.setWordWrap(True)
        self.form.add_widget(treatment)
        hint = tr("A time on {day}; put another day before it.").format(day=formats.day(day))
        add(ClockField("started_at", tr("Started"), formats, day=day, hint=hint))
        add(ClockField("hot_at", tr("At temperature"), formats, day=day))
        add(ClockField("ended_at", tr("Ended"), formats, day=day))
        add(
            ReadingsField(
                "readings", tr("Probe readings, one a line"), formats, day=day,
                hint=tr("Time, temperature, place in the load."),
            )
        )  # fmt: skip

        def read(text: str) -> Any:
            return read_percent(text, decimal_comma=formats.decimal_comma).percent

        add(ReadField("measured_percent", tr("Moisture measured, %"), read))
        add(
            ChoiceField(
                "status", tr("Outcome"), [(one, _OUTCOME_WORDS[one]) for one in OUTCOMES],
                required=True,
            )
        )  # fmt: skip

    def save(self, values: dict[str, Any]) -> None:
        """Record it."""
        self.run(self._context.act, partial(record_heat, run=self._row.id, **values))


def plan_lines(plan: RunPlan, context: DeskContext) -> str:
    """A mix in words: what to weigh, the water, the spawn."""
    formats = context.formats
    lines = [
        tr("{name}: {amount}").format(name=one.name, amount=_weighable(one.as_is_mg, context))
        for one in plan.ingredients
    ]
    litres = formats.number(plan.water_litres, 1)
    lines.append(
        tr("Water: {amount} ({litres} L)").format(
            amount=_weighable(plan.water_mg, context), litres=litres
        )
    )
    lines.append(
        tr("Total: {total} for {blocks} blocks of {block}, {percent} moisture").format(
            total=formats.mass(plan.total_mg),
            blocks=plan.blocks,
            block=formats.mass(plan.block_mg),
            percent=formats.percent(plan.moisture_percent),
        )
    )
    lines.append(
        tr("Spawn: {amount}").format(amount=_weighable(plan.spawn.with_reserve_mg, context))
    )
    if plan.treatment:
        lines.append(plan.treatment)
    return "\n".join(lines)


def _weighable(mg: int, context: DeskContext) -> str:
    """A mass to be weighed in: from a kilogram on, to the nearest 10 g."""
    return context.formats.mass(round(mg, -4) if mg >= MG_PER_KG else mg)


def _plan_in(store: FarmStore, recipe: int, blocks: int, strain: int | None) -> RunPlan:
    with store.reading() as reading:
        return plan_run(reading, recipe, blocks, strain=strain)


def _line_name(one: Culture | Spawn, things: LabThings) -> str:
    return f"{one.name}  ·  {things.strain_name(one.strain)}"


def _words(values: dict[str, Any]) -> dict[str, Any]:
    """Empty text fields as empty texts, empty counts as 0."""
    texts = ("origin", "note", "grain")
    found = {key: (value or "" if key in texts else value) for key, value in values.items()}
    found["transfers"] = found.get("transfers") or 0
    return found
