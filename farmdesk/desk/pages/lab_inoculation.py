"""Inoculation in one form: spawn, blocks, bags, and their labels printed with it."""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal
from functools import partial
from typing import Any

from farmdesk.actions.inoculation import inoculate
from farmdesk.desk.batch_labels import BatchLabelsDialog
from farmdesk.desk.context import DeskContext
from farmdesk.desk.dialogs import FormDialog, MessageDialog
from farmdesk.desk.fields import (
    CheckField,
    ChoiceField,
    DayField,
    MassField,
    NotesField,
    NumberField,
)
from farmdesk.desk.pages.lab_dialogs import FLAME
from farmdesk.desk.pages.lab_fields import SpawnUsesField
from farmdesk.domain.bags import Batch
from farmdesk.domain.codes import kind_of
from farmdesk.domain.lab import Spawn
from farmdesk.errors import NotUnderstood
from farmdesk.reports.lab_choices import LabThings, RunRow
from farmdesk.wording.language import tr

_USUAL_PERCENT = Decimal(5)


class InoculationDialog(FormDialog):
    """Makes a batch and its bags from named spawn, and prints their labels."""

    def __init__(self, context: DeskContext, things: LabThings, run: int | None = None) -> None:
        super().__init__(tr("Inoculate"), sentence=FLAME, save_title=tr("Inoculate"))
        self._context = context
        self._things = things
        self._prints = False
        self._add_growing_fields()
        self._add_paper_fields()
        self.run_field.changed.connect(self._run_chosen)
        self.strain.changed.connect(self._strain_chosen)
        if run is not None:
            self.run_field.set_value(run)
            self._run_chosen()
        self._strain_chosen()

    def _add_growing_fields(self) -> None:
        formats, things, add = self._context.formats, self._things, self.form.add
        runs = [
            one for one in things.runs if one.left and one.run.status not in ("failed", "planned")
        ]
        self.run_field = add(
            ChoiceField(
                "run", tr("Heat run"), [(one.id, _run_text(one)) for one in runs],
                hint=tr("Empty when the blocks were bought in: then give their weight below."),
            )
        )  # fmt: skip
        self.strain = add(
            ChoiceField("strain", tr("Strain"), things.catalogue.choices("strain"), required=True)
        )
        self.bags = add(NumberField("bags", tr("Bags made"), formats, required=True))
        self.uses = add(SpawnUsesField("spawn", tr("Spawn"), formats, suggest=self._suggest))
        rooms = things.catalogue.choices("room")
        self.room = add(ChoiceField("room", tr("Into room"), rooms, value=self._first_room()))
        add(DayField("inoculated_on", tr("On"), formats, value="today"))
        self.block = add(
            MassField(
                "block_mg", tr("Weight of a wet block"), formats, hint=tr("Empty: the run's.")
            )
        )
        add(
            NumberField(
                "printed", tr("Labels printed before"), formats,
                hint=tr("When labels lie ready already: how many. Spare ones become void."),
            )
        )  # fmt: skip
        add(
            ChoiceField(
                "person", tr("By"), things.catalogue.choices("person"),
                value=self._context.person.id if self._context.person else None,
            )
        )  # fmt: skip
        add(NotesField("note", tr("Note")))

    def _add_paper_fields(self) -> None:
        self.prints = self.form.add(
            CheckField(
                "prints", tr("Print the labels next"), value=True,
                hint=tr("Stock, first free label and printer are chosen there."),
            )
        )  # fmt: skip

    # ---- choices that follow from each other

    def _first_room(self) -> int | None:
        rooms = self._things.catalogue.all("room", retired=False)
        return next((one.id for one in rooms if one.use == "incubation"), None)

    def _run_chosen(self) -> None:
        run = self._things.find_run(self.run_field.combo.currentData())
        if run is not None and not self.bags.text():
            self.bags.set_value(run.left)
        self.block.setVisible(run is None)

    def _strain_chosen(self) -> None:
        chosen = self.strain.combo.currentData()
        spawn = self._things.usable_spawn()
        own = [one for one in spawn if one.strain == chosen]
        self.uses.offer([*own, *[one for one in spawn if one.strain != chosen]])

    def _suggest(self, _spawn: Spawn) -> int:
        """Spawn for all bags at the species' usual rate, less what is named already, mg."""
        run = self._things.find_run(self.run_field.combo.currentData())
        try:
            bags = self.bags.value() or 0
            named = sum(row.amount.value() or 0 for row in self.uses.rows)
        except NotUnderstood:
            return 0
        strain = self._things.strain(self.strain.combo.currentData())
        species = self._things.catalogue.get("species", strain.species) if strain else None
        rate = species.spawn_percent if species is not None else _USUAL_PERCENT
        block = run.run.block_mg if run is not None else 0
        need = (Decimal(block) * bags * rate / 100).quantize(Decimal(1000), ROUND_HALF_UP)
        return max(int(need) - named, 0)

    # ---- scans

    def take_scan(self, line: str) -> bool:
        """A bag of spawn scanned while the form is open is named in it."""
        found = self.read_scan(line)
        if found is None:
            return True
        spawn = self._things.find_spawn(found) if kind_of(found) == "spawn" else None
        if spawn is None or not self.uses.take_spawn(spawn.id):
            self.form.show_on_top(tr("That code is no bag of spawn with something left."))
            return True
        if self.strain.combo.currentData() is None:
            self.strain.set_value(spawn.strain)
            self._strain_chosen()
        self.form.show_on_top("")
        return True

    # ---- doing it

    def save(self, values: dict[str, Any]) -> None:
        """Inoculate; the labels are printed when that is kept."""
        self._prints = bool(values.pop("prints"))
        self.run(self._context.act, partial(inoculate, **values))

    def _finish(self, result: Any) -> None:
        super()._finish(result)
        if not isinstance(result, Batch):
            return
        context = self._context
        sentence = _tell_batch(context, result)
        if self._prints:
            context.say(sentence)
            context.open_dialog(BatchLabelsDialog(context, self._things.catalogue, [result.name]))
        else:
            context.open_dialog(MessageDialog(result.name, sentence))


def _tell_batch(context: DeskContext, batch: Batch) -> str:
    formats = context.formats
    return tr("{batch} is inoculated: {bags}, likely grown in from {first} to {last}.").format(
        batch=batch.name,
        bags=formats.count(batch.made, "bag", "bags"),
        first=formats.day(batch.ready_from),
        last=formats.day(batch.ready_to),
    )


def _run_text(row: RunRow) -> str:
    return tr("{run}  ·  {recipe}, {left} blocks left").format(
        run=row.run.name, recipe=row.recipe, left=row.left
    )
