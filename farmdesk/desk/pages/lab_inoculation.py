"""Inoculation in one form: spawn, blocks, bags, and their labels printed with it."""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal
from functools import partial
from pathlib import Path
from typing import Any

from PySide6.QtCore import QUrl
from PySide6.QtGui import QDesktopServices
from PySide6.QtWidgets import QFileDialog, QPushButton

from farmdesk.actions.base import Who
from farmdesk.actions.inoculation import inoculate
from farmdesk.actions.labelling import PrintedLabels, print_labels
from farmdesk.desk.context import DeskContext
from farmdesk.desk.dialogs import FormDialog, MessageDialog
from farmdesk.desk.fields import (
    CheckField,
    ChoiceField,
    DayField,
    MassField,
    NotesField,
    NumberField,
    TextField,
)
from farmdesk.desk.messages import sentence_of
from farmdesk.desk.pages.lab_dialogs import FLAME
from farmdesk.desk.pages.lab_fields import SpawnUsesField
from farmdesk.desk.station_formats import usual_stock
from farmdesk.domain.bags import Batch
from farmdesk.domain.codes import kind_of, read_code
from farmdesk.domain.lab import Spawn
from farmdesk.errors import FarmdeskError, NotUnderstood
from farmdesk.reports.lab_choices import LabThings, RunRow, label_stock_names

_USUAL_PERCENT = Decimal(5)


class InoculationDialog(FormDialog):
    """Makes a batch and its bags from named spawn, and prints their labels."""

    def __init__(self, context: DeskContext, things: LabThings, run: int | None = None) -> None:
        super().__init__("Inoculate", sentence=FLAME, save_title="Inoculate")
        self._context = context
        self._things = things
        self._paper: dict[str, Any] = {}
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
                "run", "Heat run", [(one.id, _run_text(one)) for one in runs],
                hint="Empty when the blocks were bought in: then give their weight below.",
            )
        )  # fmt: skip
        self.strain = add(
            ChoiceField("strain", "Strain", things.catalogue.choices("strain"), required=True)
        )
        self.bags = add(NumberField("bags", "Bags made", formats, required=True))
        self.uses = add(SpawnUsesField("spawn", "Spawn", formats, suggest=self._suggest))
        rooms = things.catalogue.choices("room")
        self.room = add(ChoiceField("room", "Into room", rooms, value=self._first_room()))
        add(DayField("inoculated_on", "On", formats, value="today"))
        self.block = add(
            MassField("block_mg", "Weight of a wet block", formats, hint="Empty: the run's.")
        )
        add(
            NumberField(
                "printed", "Labels printed before", formats,
                hint="When labels lie ready already: how many. Spare ones become void.",
            )
        )  # fmt: skip
        add(
            ChoiceField(
                "person", "By", things.catalogue.choices("person"),
                value=self._context.person.id if self._context.person else None,
            )
        )  # fmt: skip
        add(NotesField("note", "Note"))

    def _add_paper_fields(self) -> None:
        stocks = label_stock_names(self._things.catalogue)
        usual = usual_stock(stocks, self._context.preferences)
        add = self.form.add
        self.prints = add(CheckField("prints", "Print the labels now", value=True))
        add(ChoiceField("stock", "Label stock", stocks, value=usual))
        add(
            NumberField(
                "start", "Start at label number", self._context.formats, value=1,
                hint="On a sheet that is partly used: the first free label, counted by rows.",
            )
        )  # fmt: skip
        self.file = add(
            TextField("out", "PDF file", value=str(Path.home() / "labels.pdf"), required=True)
        )
        choose = QPushButton("Choose the file …")
        choose.setAutoDefault(False)
        choose.clicked.connect(self._choose_file)
        self.form.add_widget(choose)
        add(CheckField("show", "Show it, to print it", value=True))

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
        try:
            found = read_code(line)
        except NotUnderstood as error:
            self.form.show_on_top(sentence_of(error))
            return True
        spawn = self._things.find_spawn(found) if kind_of(found) == "spawn" else None
        if spawn is None or not self.uses.take_spawn(spawn.id):
            self.form.show_on_top("That code is no bag of spawn with something left.")
            return True
        if self.strain.combo.currentData() is None:
            self.strain.set_value(spawn.strain)
            self._strain_chosen()
        self.form.show_on_top("")
        return True

    # ---- doing it

    def save(self, values: dict[str, Any]) -> None:
        """Inoculate; the labels are printed when that is kept."""
        self._paper = {key: values.pop(key) for key in ("prints", "stock", "start", "out", "show")}
        self.run(self._context.act, partial(inoculate, **values))

    def _finish(self, result: Any) -> None:
        super()._finish(result)
        if isinstance(result, Batch) and self._paper["prints"]:
            self._print(result)
        elif isinstance(result, Batch):
            _tell_batch(self._context, result, "")

    def _print(self, batch: Batch) -> None:
        context, paper = self._context, self._paper
        teller = PrintedTeller(context, batch, show=paper["show"])
        context.workplace.do(
            print_labels,
            context.farm,
            [batch.name],
            stock=paper["stock"] or "",
            out=Path(paper["out"]),
            start=paper["start"] or 1,
            who=Who(context.station, context.person.id if context.person else None),
            then=teller.printed,
            failed=teller.not_printed,
        )

    def _choose_file(self) -> None:
        name, _ = QFileDialog.getSaveFileName(self, "PDF file", self.file.text(), "PDF (*.pdf)")
        if name:
            self.file.set_value(name if name.lower().endswith(".pdf") else f"{name}.pdf")


class PrintedTeller:
    """Says what came of a batch's labels, after its form is closed."""

    def __init__(self, context: DeskContext, batch: Batch, *, show: bool) -> None:
        self._context = context
        self._batch = batch
        self._show = show

    def printed(self, labels: PrintedLabels) -> None:
        """The labels are on paper, or in a file to be printed."""
        self._context.refresher.broadcast({"printing"})
        if self._show:
            QDesktopServices.openUrl(QUrl.fromLocalFile(str(labels.path)))
        more = f"{self._context.formats.count(labels.count, 'label', 'labels')} in {labels.path}."
        _tell_batch(self._context, self._batch, more)

    def not_printed(self, error: FarmdeskError) -> None:
        """The batch is kept, but there are no labels."""
        more = f"Its labels were not printed: {sentence_of(error)} Print them with Ctrl+Shift+L."
        _tell_batch(self._context, self._batch, more)


def _tell_batch(context: DeskContext, batch: Batch, more: str) -> None:
    formats = context.formats
    made = formats.count(batch.made, "bag", "bags")
    window = f"{formats.day(batch.ready_from)} to {formats.day(batch.ready_to)}"
    sentence = f"{batch.name} is inoculated: {made}, likely grown in from {window}. {more}"
    context.open_dialog(MessageDialog(batch.name, sentence.strip()))


def _run_text(row: RunRow) -> str:
    return f"{row.run.name}  ·  {row.recipe}, {row.left} blocks left"
