"""The last steps of an inoculation day: spawn, bags, labels, and what came of it."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Any

from farmdesk.actions.inoculation import SpawnUse, inoculate, name_spawn
from farmdesk.arithmetic.substrate import find_dry_mass
from farmdesk.desk.batch_labels import BatchLabelsDialog
from farmdesk.desk.caution_lines import make_caution
from farmdesk.desk.fields import ChoiceField, DayField, NotesField, NumberField
from farmdesk.desk.messages import sentence_of
from farmdesk.desk.pages.inoculation_day_step import DayStep
from farmdesk.desk.pages.lab_fields import SpawnUsesField, offer_anew
from farmdesk.domain.codes import kind_of, read_code
from farmdesk.domain.lab import Spawn
from farmdesk.errors import FarmdeskError, NotUnderstood
from farmdesk.reports.lab_days import LabDay, LabDays
from farmdesk.reports.spawn_sums import BlockTerms, SpawnSums, sum_spawn, tell_spawn
from farmdesk.wording.language import tr
from farmdesk.wording.sentences import say

if TYPE_CHECKING:
    from farmdesk.desk.pages.inoculation_day import InoculationDayPage


class SpawnStep(DayStep):
    """Bags of spawn are scanned one after another, each with the amount taken from it."""

    key = "spawn"
    title = tr("Spawn")
    button = tr("Go on to the bags")

    def __init__(self, page: InoculationDayPage) -> None:
        super().__init__(page)
        add = self.form.add
        self.strain = add(ChoiceField("strain", tr("Strain"), required=True))
        self.blocks = add(
            NumberField("blocks", tr("Blocks to inoculate"), self.context.formats, required=True)
        )
        self.uses = add(
            SpawnUsesField("spawn", tr("Spawn"), self.context.formats, suggest=self._suggest)
        )
        self.form.add_widget(self.told)
        self.form.add_widget(make_caution("alcohol"))
        self.strain.changed.connect(self._strain_chosen)
        for field in (self.blocks, self.uses):
            field.changed.connect(self._tell)

    def show_day(self, days: LabDays, day: LabDay | None) -> None:
        """Offer the spawn that there is; what was scanned is noted with the day."""
        known = self.day.run.id if self.day else 0
        noted = self.day.named if self.day else ()
        super().show_day(days, day)
        offer_anew(self.strain, days.things.catalogue.choices("strain"))
        self.keep.setEnabled(not self.why_not())
        if day is not None and day.run.id != known:
            self.strain.set_value(day.strain)
            self.blocks.set_value(day.left)
        self._strain_chosen()
        if day is not None and (day.run.id != known or day.named != noted):
            self._show_named(day)

    def why_not(self) -> str:
        """Blocks are heated before they are inoculated, and there must be some."""
        if self.day is None or self.day.run.status in ("planned", "mixed"):
            return tr("Heat the blocks first, and say what came of the run.")
        if self.day.run.status == "failed":
            return tr("This run failed: its blocks are not to be used. Begin a new day.")
        return "" if self.day.left else tr("All blocks of this run are inoculated.")

    def save(self, values: dict[str, Any]) -> None:  # noqa: ARG002 - as every step
        """Nothing is taken yet; the bags are counted next."""
        self._note_named()
        self.page.show_step("bags")

    def take_scan(self, line: str) -> None:
        """A bag of spawn was scanned."""
        try:
            found = read_code(line)
        except NotUnderstood as error:
            self.form.show_on_top(sentence_of(error))
            return
        spawn = None
        if self.days is not None and kind_of(found) == "spawn":
            spawn = self.days.things.find_spawn(found)
        if spawn is None or not self.uses.take_spawn(spawn.id):
            self.form.show_on_top(tr("That code is no bag of spawn with something left."))
            return
        if self.strain.chosen() is None:
            self.strain.set_value(spawn.strain)
        self.form.show_on_top("")
        self._tell()
        self._note_named()

    def _note_named(self) -> None:
        """Note what is laid out so far; a line that is half typed waits for the next time."""
        try:
            uses = self.named()
        except NotUnderstood:
            return
        if self.day is not None:
            self.context.act(
                partial(name_spawn, run=self.day.run.id, uses=uses),
                failed=self.form.show_error, parent=self,
            )  # fmt: skip

    def _show_named(self, day: LabDay) -> None:
        """Show what was laid out here or elsewhere, unless that is what stands here."""
        noted = [SpawnUse(one.spawn, one.amount_mg, one.first, one.last) for one in day.named]
        try:
            if self.named() == noted:
                return
        except NotUnderstood:
            pass
        self.uses.set_value(noted)
        if not noted:
            self.uses.add_row()
        elif self.strain.chosen() is None and self.days is not None:
            first = self.days.things.find_spawn(noted[0].spawn)
            self.strain.set_value(first.strain if first else None)
        self._tell()

    def named(self) -> list[SpawnUse]:
        """The spawn that is named; raises NotUnderstood while an amount is wrong."""
        return self.uses.value()

    def terms(self) -> BlockTerms | None:
        """The blocks it is for; None while that is not known."""
        try:
            blocks = self.blocks.value()
        except NotUnderstood:
            return None
        if self.day is None or not blocks or blocks < 0:
            return None
        run = self.day.run
        moisture = run.moisture_percent if run.measured_percent is None else run.measured_percent
        return BlockTerms(blocks, run.block_mg, find_dry_mass(run.block_mg, moisture))

    def sums(self) -> SpawnSums | None:
        """Need, rates and warnings of what is named."""
        terms = self.terms()
        if terms is None or self.days is None:
            return None
        things = self.days.things
        strain = things.strain(self.strain.chosen())
        named = []
        for row in self.uses.rows:
            spawn = things.find_spawn(row.spawn.chosen() or 0)
            try:
                amount = row.amount.value() or 0
            except NotUnderstood:
                amount = 0
            if spawn is not None:
                named.append((spawn, amount))
        return sum_spawn(
            terms,
            named,
            strain=strain,
            species=things.catalogue.get("species", strain.species) if strain else None,
            formats=self.context.formats,
            today=things.terms.today,
        )

    def _strain_chosen(self) -> None:
        if self.days is None:
            return
        spawn, chosen = self.days.things.usable_spawn(), self.strain.chosen()
        own = [one for one in spawn if one.strain == chosen]
        self.uses.offer([*own, *(one for one in spawn if one.strain != chosen)])
        self._tell()

    def _suggest(self, _spawn: Spawn) -> int:
        sums = self.sums()
        return sums.missing_mg if sums is not None else 0

    def _tell(self) -> None:
        why = self.why_not()
        terms, sums = self.terms(), self.sums()
        if why or terms is None or sums is None:
            self.told.setText(why or tr("Say how many blocks are to be inoculated."))
            return
        formats = self.context.formats
        lines = tell_spawn(sums, terms, formats)
        if sums.named_mg and sums.missing_mg:
            missing = formats.mass(sums.missing_mg)
            lines.append(tr("{missing} is still missing for all blocks.").format(missing=missing))
        lines += [f"⚠ {say(one)}" for one in sums.warnings]
        self.told.setText("\n".join(lines))


class BagsStep(DayStep):
    """The bags are counted; keeping them makes the batch."""

    key = "bags"
    title = tr("Bags")
    button = tr("Inoculate")

    def __init__(self, page: InoculationDayPage, spawn: SpawnStep) -> None:
        super().__init__(page)
        self._spawn = spawn
        formats, add = self.context.formats, self.form.add
        self.form.add_widget(self.told)
        self.bags = add(NumberField("bags", tr("Bags made"), formats, required=True))
        self.room = add(ChoiceField("room", tr("Into room")))
        add(DayField("inoculated_on", tr("On"), formats, value="today"))
        add(
            NumberField(
                "printed", tr("Labels printed before"), formats,
                hint=tr("When labels lie ready already: how many. Spare ones become void."),
            )
        )  # fmt: skip
        add(NotesField("note", tr("Note")))
        self.form.add_widget(make_caution("lifting"))

    def show_day(self, days: LabDays, day: LabDay | None) -> None:
        """Offer the rooms; the count begins with the blocks of the spawn step."""
        known = self.day.run.id if self.day else 0
        super().show_day(days, day)
        offer_anew(self.room, days.things.catalogue.choices("room"))
        if day is not None and day.run.id != known:
            rooms = days.things.catalogue.all("room", retired=False)
            usual = next((one.id for one in rooms if one.use == "incubation"), None)
            self.room.set_value(usual)
            self.bags.set_value(None)
        self.keep.setEnabled(not self.why_not())
        self.tell()

    def tell(self) -> None:
        """Say which spawn goes into how many bags."""
        why, terms = self.why_not(), self._spawn.terms()
        if why or terms is None:
            self.told.setText(why)
            return
        if not self.bags.text():
            self.bags.set_value(terms.blocks)
        sums = self._spawn.sums()
        if sums is not None:
            formats = self.context.formats
            told = tr("{spawn} of spawn from {bags} goes into them.").format(
                spawn=formats.mass(sums.named_mg),
                bags=formats.count(len(sums.serves), "bag of spawn", "bags of spawn"),
            )
            self.told.setText(told)

    def why_not(self) -> str:
        """Spawn is named before bags are counted."""
        why = self._spawn.why_not()
        if why:
            return why
        try:
            self._spawn.named()
        except NotUnderstood:
            return tr("Scan the spawn first, with an amount for each bag of it.")
        return ""

    def save(self, values: dict[str, Any]) -> None:
        """Make the batch."""
        if self.day is None:
            return
        person = self.context.person.id if self.context.person else None
        self.act(
            partial(
                inoculate, strain=self._spawn.strain.value(), run=self.day.run.id,
                spawn=self._spawn.named(), person=person, **values,
            )
        )  # fmt: skip

    def _kept(self, result: Any) -> None:
        for key in ("bags", "printed", "note"):
            self.form.fields[key].set_value(None)
        self._spawn.uses.set_value(())
        self._spawn.uses.add_row()
        super()._kept(result)

    def _failed(self, error: FarmdeskError) -> None:
        super()._failed(error)
        if any(one.facts.get("field") == "spawn" for one in error.problems):
            self._spawn.form.show_on_top(sentence_of(error))
            self.page.show_step("spawn")


class LabelsStep(DayStep):
    """The labels of the batch are printed."""

    key = "labels"
    title = tr("Labels")
    button = tr("Print the labels …")

    def __init__(self, page: InoculationDayPage) -> None:
        super().__init__(page)
        self.form.add_widget(self.told)

    def show_day(self, days: LabDays, day: LabDay | None) -> None:
        """Say which batches have their labels."""
        super().show_day(days, day)
        self.keep.setEnabled(not self.why_not())
        formats = self.context.formats
        lines = [
            tr("{batch}: {printed} of {bags} have a label.").format(
                batch=one.name,
                printed=formats.number(one.printed),
                bags=formats.count(one.made, "bag", "bags"),
            )
            for one in (day.batches if day else ())
        ]
        self.told.setText(self.why_not() or "\n".join(lines))

    def why_not(self) -> str:
        """Bags are made before they are labelled."""
        return "" if self.day and self.day.batches else tr("Inoculate first: scan the spawn.")

    def save(self, values: dict[str, Any]) -> None:  # noqa: ARG002 - as every step
        """Open the print dialog for what has no label yet; else for all of it."""
        if self.day is None or self.days is None:
            return
        names = [one.name for one in self.day.batches if not one.is_labelled]
        names = names or [one.name for one in self.day.batches]
        dialog = BatchLabelsDialog(self.context, self.days.things.catalogue, names)
        dialog.saved.connect(self.page.go_on)
        self.context.open_dialog(dialog)


class DoneStep(DayStep):
    """What came of the day, and where it goes on."""

    key = "done"
    title = tr("Done")
    button = tr("Begin a new day")

    def __init__(self, page: InoculationDayPage) -> None:
        super().__init__(page)
        self.form.add_widget(self.told)
        self.add_button(tr("Show the batch"), self.show_batch)

    def show_day(self, days: LabDays, day: LabDay | None) -> None:
        """Sum the day up."""
        super().show_day(days, day)
        if day is None:
            self.told.setText(tr("Nothing is done yet. Plan the mix first."))
            return
        formats = self.context.formats
        lines = [
            tr("{run}: {blocks} of {recipe}, {left} left.").format(
                run=day.run.name,
                blocks=formats.count(day.run.blocks, "block", "blocks"),
                recipe=day.recipe,
                left=formats.number(day.left),
            )
        ]
        for one in day.batches:
            bags = formats.count(one.made, "bag", "bags")
            lines.append(tr("{batch}: {bags} inoculated.").format(batch=one.name, bags=bags))
        if day.run.status == "failed":
            lines.append(tr("⚠ The run failed: its blocks are not to be used."))
        elif day.step == "done":
            lines.append(tr("Everything is done. The bags are on the incubation page."))
        else:
            lines.append(tr("Some of it is still to be done: see the steps without a tick."))
        self.told.setText("\n".join(lines))

    def show_batch(self) -> None:
        """Go to the batch on the incubation page."""
        batches = self.day.batches if self.day else ()
        if batches:
            self.context.go_to("incubation", batches[-1].name)

    def save(self, values: dict[str, Any]) -> None:  # noqa: ARG002 - as every step
        """A new day."""
        self.page.begin_day()
