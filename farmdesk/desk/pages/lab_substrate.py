"""Substrate sums on screen: the mix both ways, a mix that is off, dry-down, vessels' loads."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from functools import partial
from typing import Any

from PySide6.QtWidgets import QHBoxLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from farmdesk.actions.catalogue import save
from farmdesk.actions.mixing import retire_vessel, save_vessel
from farmdesk.desk.caution_lines import make_caution
from farmdesk.desk.context import DeskContext
from farmdesk.desk.dialogs import FormDialog
from farmdesk.desk.fields import (
    ChoiceField,
    Field,
    MassField,
    NotesField,
    NumberField,
    ReadField,
    TextField,
)
from farmdesk.desk.list_view import ListView
from farmdesk.desk.messages import sentence_of
from farmdesk.desk.mix_preview import show_mix_sheet
from farmdesk.desk.pages.lab_fields import offer_anew
from farmdesk.desk.tables import Column
from farmdesk.desk.workplace import Errand
from farmdesk.domain.catalogue import Ingredient
from farmdesk.domain.mixing import Vessel
from farmdesk.errors import FarmdeskError, NotUnderstood
from farmdesk.quantities.percent import read_percent
from farmdesk.reports.lab_choices import LabThings
from farmdesk.reports.mix_sheet import MixLine, MixPlan, load_mix, tell_loads, tell_supplements
from farmdesk.reports.mix_sums import tell_blocks_from, tell_dry_down, tell_plan, tell_wet_mix
from farmdesk.wording.language import tr

_MASSES = tr("4.26 kg, 540 g")
"""What may be typed where three fields stand side by side."""


class SubstrateSums(QWidget):
    """Nothing here is kept, except a measured moisture and the vessels."""

    def __init__(self, context: Callable[[], DeskContext]) -> None:
        super().__init__()
        self._context = context
        self.things: LabThings | None = None
        self.plan: MixPlan | None = None
        self.vessels: tuple[Vessel, ...] = ()
        self._measured: Decimal | None = None
        self._errand: Errand | None = None
        self.setAccessibleName(tr("Substrate sums"))
        self.column = QVBoxLayout(self)
        self.column.setContentsMargins(10, 10, 10, 8)
        self.column.setSpacing(8)
        self._add_mix()
        self._add_off_mix()
        self._add_dry_down()
        self._add_vessels()
        self.column.addWidget(make_caution("dust", "hot_water", "pressure"))
        self.column.addStretch(1)

    @property
    def context(self) -> DeskContext:
        """The farm and the ways to it."""
        return self._context()

    def show_things(self, things: LabThings, vessels: tuple[Vessel, ...]) -> None:
        """Offer recipes, ingredients and vessels as they are now."""
        self.things, self.vessels = things, vessels
        offer_anew(self.recipe, things.catalogue.choices("recipe"))
        offer_anew(self.ingredient, things.catalogue.choices("ingredient"))
        self.vessel_list.set_rows(vessels)
        self.work_out()

    def work_out(self) -> None:
        """Work the mix out again from recipe and blocks."""
        recipe, blocks = _value(self.recipe), _value(self.blocks)
        if self._errand is not None:
            self._errand.drop()
        if not recipe or not blocks:
            self._show_no_plan(tr("Choose a recipe and the number of blocks to see the mix."))
            return
        self._errand = self.context.workplace.read(
            load_mix, self.context.farm, recipe, blocks,
            then=self._show_plan, failed=self._show_error,
        )  # fmt: skip

    # ---- the mix, both ways

    def _add_mix(self) -> None:
        formats = self.context.formats
        self.recipe = ChoiceField("recipe", tr("Recipe"))
        self.blocks = NumberField("blocks", tr("Blocks"), formats)
        self.mix_told = self._add_group(
            tr("What a batch needs"), self.recipe, self.blocks, name=tr("What a batch needs")
        )
        self.sheet = QPushButton(tr("Mix sheet …"))
        self.sheet.clicked.connect(lambda _=False: self.show_sheet())
        self._add_row(self.sheet)
        self.stock = ChoiceField("stock", tr("What there is of"))
        self.stock_mass = MassField("stock_mass", tr("Amount"), formats, placeholder=_MASSES)
        self.stock_told = self._add_group(
            tr("How many blocks a stock is enough for"), self.stock, self.stock_mass,
            name=tr("Blocks from stock"),
        )  # fmt: skip
        for field in (self.recipe, self.blocks):
            field.changed.connect(self.work_out)
        for other in (self.stock, self.stock_mass):
            other.changed.connect(self._tell_stock)

    def show_sheet(self) -> None:
        """The mix sheet, to be looked at and printed."""
        if self.plan is not None:
            show_mix_sheet(self.context, self.plan.recipe.id, self.plan.blocks)

    def _show_plan(self, plan: MixPlan) -> None:
        self.plan = plan
        formats = self.context.formats
        lines = [
            *tell_plan(plan, formats),
            *tell_supplements(plan, formats),
            *tell_loads(plan.blocks, self.vessels, formats),
        ]
        self.mix_told.setText("\n".join(lines))
        self.sheet.setEnabled(True)
        choices = [(one.ingredient, one.name) for one in plan.lines]
        offer_anew(self.stock, choices)
        offer_anew(self.dry_stock, choices)
        self._tell_stock()
        self._tell_off()

    def _show_no_plan(self, told: str) -> None:
        self.plan = None
        self.mix_told.setText(told)
        self.sheet.setEnabled(False)
        self._tell_stock()
        self._tell_off()

    def _show_error(self, error: FarmdeskError) -> None:
        self._show_no_plan(f"⚠ {sentence_of(error)}")

    def _line(self, field: ChoiceField) -> MixLine | None:
        chosen = field.chosen()
        lines = self.plan.lines if self.plan else ()
        return next((one for one in lines if one.ingredient == chosen), None)

    def _tell_stock(self) -> None:
        line, amount = self._line(self.stock), _value(self.stock_mass)
        told = tr("Choose a recipe above, an ingredient and how much of it there is.")
        if self.plan is not None and line is not None and amount:
            told = tell_blocks_from(self.plan, line, amount, self.context.formats)
        self.stock_told.setText(told)

    # ---- a mix that is off

    def _add_off_mix(self) -> None:
        formats = self.context.formats
        self.total = MassField("total", tr("Weight of the mix"), formats, placeholder=_MASSES)
        self.moisture = ReadField("moisture", tr("Its moisture, %"), self._read_percent)
        self.dry_stock = ChoiceField("dry_stock", tr("Dry stock at hand"))
        self.off_told = self._add_group(
            tr("A mix that is too wet or too dry"), self.total, self.moisture, self.dry_stock,
            name=tr("What to add"),
        )  # fmt: skip
        for field in (self.total, self.moisture, self.dry_stock):
            field.changed.connect(self._tell_off)

    def _tell_off(self) -> None:
        total, moisture, line = (
            _value(self.total),
            _value(self.moisture),
            self._line(self.dry_stock),
        )
        told = tr("Choose a recipe above, then enter weight, measured moisture and dry stock.")
        if self.plan is not None and total and moisture is not None and line is not None:
            told = tell_wet_mix(total, moisture, self.plan, line, self.context.formats)
        self.off_told.setText(told)

    # ---- dry-down

    def _add_dry_down(self) -> None:
        formats = self.context.formats
        self.wet = MassField("wet", tr("Sample, wet"), formats, placeholder=_MASSES)
        self.dry = MassField("dry", tr("The same, dried"), formats, placeholder=_MASSES)
        self.ingredient = ChoiceField("ingredient", tr("Sample of"))
        self.dry_told = self._add_group(
            tr("Moisture by drying a sample"), self.wet, self.dry, self.ingredient,
            name=tr("Moisture measured"),
        )  # fmt: skip
        self.keep = QPushButton(tr("Keep as the ingredient's moisture"))
        self.keep.clicked.connect(lambda _=False: self.keep_moisture())
        self._add_row(self.keep)
        for field in (self.wet, self.dry, self.ingredient):
            field.changed.connect(self._tell_dry_down)
        self._tell_dry_down()

    def keep_moisture(self) -> None:
        """Keep the measured moisture in the catalogue; every later mix uses it."""
        found = self._chosen_ingredient()
        if found is not None and self._measured is not None:
            changed = replace(found, moisture_percent=round(self._measured, 1))
            self.context.act(partial(save, thing=changed), then=self._say_kept)

    def _say_kept(self, kept: Ingredient) -> None:
        told = tr("{name}: {moisture} moisture is kept. Ctrl+Z takes it back.")
        moisture = self.context.formats.percent(kept.moisture_percent)
        self.context.say(told.format(name=kept.name, moisture=moisture))

    def _chosen_ingredient(self) -> Ingredient | None:
        chosen = self.ingredient.chosen()
        found = self.things.catalogue.get("ingredient", chosen) if self.things else None
        return found if isinstance(found, Ingredient) else None

    def _tell_dry_down(self) -> None:
        wet, dry = _value(self.wet), _value(self.dry)
        self._measured = None
        told = tr("Weigh a sample, dry it until its weight stays the same, and weigh it again.")
        if wet is not None and dry is not None:
            self._measured, told = tell_dry_down(wet, dry, self.context.formats)
        self.dry_told.setText(told)
        self.keep.setEnabled(self._measured is not None and self._chosen_ingredient() is not None)

    def _read_percent(self, text: str) -> Decimal:
        comma = self.context.formats.decimal_comma
        return read_percent(text, decimal_comma=comma).percent

    # ---- vessels

    def _add_vessels(self) -> None:
        heading = QLabel(tr("Vessels, and how many loads a batch is"))
        heading.setObjectName("group")
        self.column.addWidget(heading)
        self.vessel_list = ListView(
            [
                Column("name", tr("Vessel"), width=22),
                Column("blocks", tr("Blocks in a run"), width=16, right=True),
                Column("hours", tr("Hours of a run"), width=15, right=True,
                       text=lambda hours: self.context.formats.number(hours, 1)),
                Column("note", tr("Note"), width=30),
            ],
            name=tr("Vessels"),
            empty_text=tr("No vessel yet. Add your steriliser, drum or pasteuriser."),
        )  # fmt: skip
        self.vessel_list.add_row_action(tr("Change …"), self._change_vessel, single=True)
        self.vessel_list.add_row_action(tr("Retire"), self._retire_vessel, single=True)
        self.vessel_list.row_opened.connect(lambda row: self._change_vessel([row]))
        self.column.addWidget(self.vessel_list)
        add = QPushButton(tr("Add a vessel …"))
        add.clicked.connect(lambda _=False: self.edit_vessel(Vessel(0, "")))
        self._add_row(add)

    def edit_vessel(self, vessel: Vessel) -> None:
        """The form of a new or a known vessel."""
        self.context.open_dialog(VesselDialog(self.context, vessel))

    def _change_vessel(self, rows: list[Vessel]) -> None:
        self.edit_vessel(rows[0])

    def _retire_vessel(self, rows: list[Vessel]) -> None:
        self.context.act(partial(retire_vessel, vessel=rows[0].id))

    # ---- building

    def _add_group(self, title: str, *fields: Field, name: str) -> QLabel:
        """A heading, fields side by side, and the line that says what comes of them."""
        heading = QLabel(title)
        heading.setObjectName("group")
        self.column.addWidget(heading)
        row = QHBoxLayout()
        for field in fields:
            row.addWidget(field, 1)
        self.column.addLayout(row)
        told = QLabel()
        told.setWordWrap(True)
        told.setAccessibleName(name)
        self.column.addWidget(told)
        return told

    def _add_row(self, button: QPushButton) -> None:
        row = QHBoxLayout()
        row.addWidget(button)
        row.addStretch(1)
        self.column.addLayout(row)


class VesselDialog(FormDialog):
    """A steriliser, drum or pasteuriser: how much it takes and how long it needs."""

    def __init__(self, context: DeskContext, vessel: Vessel) -> None:
        super().__init__(
            tr("Vessel"),
            sentence=tr("What its maker allows counts, not what could be squeezed in."),
            save_title=tr("Keep"),
        )
        self._context, self._vessel = context, vessel
        add, formats = self.form.add, context.formats
        add(TextField("name", tr("Name"), required=True, value=vessel.name))
        add(NumberField("blocks", tr("Blocks in a run"), formats, required=True,
                        value=vessel.blocks if vessel.id else ""))  # fmt: skip
        hours = formats.number(vessel.hours, 1) if vessel.id else ""
        add(
            NumberField("hours", tr("Hours of a whole run"), formats, digits=1, required=True,
                        value=hours, hint=tr("From filling to taking out."))
        )  # fmt: skip
        add(NotesField("note", tr("Note"), value=vessel.note))

    def save(self, values: dict[str, Any]) -> None:
        """Keep the vessel."""
        vessel = replace(self._vessel, **values)
        self.run(self._context.act, partial(save_vessel, vessel=vessel))


def _value(field: Field) -> Any:
    """A field's value so far; None while it cannot be read."""
    try:
        return field.value()
    except NotUnderstood:
        return None
