"""Forms of picking: a new pick from bags to weight, weighing an open one, correcting one."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

from PySide6.QtWidgets import QLabel

from farmdesk.actions.base import Act
from farmdesk.actions.picks import correct_pick, record_pick, weigh_pick
from farmdesk.desk.context import DeskContext
from farmdesk.desk.dialogs import FormDialog, ask
from farmdesk.desk.fields import (
    ChoiceField,
    DayField,
    MassField,
    NotesField,
    NumberField,
    TextField,
)
from farmdesk.desk.messages import sentence_of
from farmdesk.desk.pages.pick_bags import BagsField, read_bag_scan
from farmdesk.desk.scale_field import WeighField
from farmdesk.devices.readings import Reading
from farmdesk.domain.codes import kind_of, read_code
from farmdesk.domain.harvest import Pick
from farmdesk.errors import NotUnderstood
from farmdesk.reports.fruiting_lists import FruitingThings, PickRow, find_net
from farmdesk.wording.language import tr
from farmdesk.wording.sentences import say

SPORES = tr(
    "⚠ Spores: wear a mask that fits when you pick, above all open oysters, and air the room."
)


class WeightForm(FormDialog):
    """A form with gross and tare, what is net read back, and doubts asked before it is kept."""

    def __init__(self, title: str, context: DeskContext, *, sentence: str, save_title: str) -> None:
        super().__init__(title, sentence=sentence, save_title=save_title)
        self._context = context

    def add_weight_fields(self, *, tare_mg: int | None = None) -> None:
        """Gross, tare and the net that follows."""
        formats, add = self._context.formats, self.form.add
        scale = self._context.scale
        self.gross = add(
            WeighField("gross_mg", tr("Gross weight"), formats, scale=scale, required=True)
        )
        self.gross.taken.connect(self._taken)
        self.tare = add(
            MassField(
                "tare_mg", tr("Tare"), formats, value=tare_mg, hint=tr("The crate's, when empty.")
            )
        )
        self.net = QLabel()
        self.net.setObjectName("group")
        self.net.setAccessibleName(tr("Net weight"))
        self.form.add_widget(self.net)
        for field in (self.gross, self.tare):
            field.changed.connect(self.show_net)
        self.show_net()

    def usual_tare(self) -> int:
        """The tare that counts when none is typed, mg."""
        return 0

    def _taken(self, reading: Reading) -> None:
        """A scale that was tared with the crate has taken the tare off already."""
        if reading.net and not self.tare.text():
            self.tare.set_value(f"0 {reading.unit}")
            self.tare.set_hint(tr("The scale shows net weight: the tare is off already."))

    def show_net(self) -> None:
        """Read back what will be kept as net."""
        net = find_net(_mass_of(self.gross), _mass_of(self.tare, self.usual_tare()))
        if net is None:
            self.net.setText(tr("Net: type the gross weight, such as 9 lb 6.5 oz"))
        elif net <= 0:
            self.net.setText(tr("Net: ⚠ the tare is not below the gross weight"))
        else:
            self.net.setText(tr("Net: {net}").format(net=self._context.formats.mass(net)))

    def save(self, values: dict[str, Any]) -> None:
        """Ask about a weight that looks like a slip, then keep it."""
        readings = [field.reading() for field in (self.gross, self.tare)]
        doubts = [say(doubt) for one in readings if one is not None for doubt in one.doubts]
        if doubts:
            ask(
                self,
                " ".join(doubts),
                yes=lambda: self.keep(values),
                no=self.gross.setFocus,
                yes_title=tr("Yes, as typed"),
            )
        else:
            self.keep(values)

    def keep(self, values: dict[str, Any]) -> None:
        """Do the act with values that are meant."""
        raise TypeError(f"{type(self).__name__} does not say how {len(values)} values are kept")


class PickDialog(WeightForm):
    """A pick in one go: bags into a crate, weighed, graded; `on_picked` is told afterwards."""

    def __init__(
        self,
        context: DeskContext,
        things: FruitingThings,
        *,
        on_picked: Callable[[Pick], object],
        names: list[str] | None = None,
    ) -> None:
        super().__init__(tr("New pick"), context, sentence=SPORES, save_title=tr("Record"))
        self._things = things
        self._on_picked = on_picked
        add = self.form.add
        self.bags = add(BagsField(context, things))
        crates = things.catalogue.all("crate", retired=False)
        mass = context.formats.mass
        self._tares: dict[int, int] = {one.id: one.tare_mg for one in crates}
        self.crate = add(
            ChoiceField(
                "crate",
                tr("Crate"),
                [
                    (
                        one.id,
                        tr("{name}, tare {tare_mg}").format(
                            name=one.name, tare_mg=mass(one.tare_mg)
                        ),
                    )
                    for one in crates
                ],
                hint=tr("Scan its label, or choose it. Its tare is taken off."),
            )
        )
        self.add_weight_fields()
        add(TextField("grade", tr("Grade"), value="A", required=True))
        add(
            NumberField(
                "flush", tr("Flush"), context.formats,
                hint=tr("Empty: as proposed for each bag above. A number counts for all of them."),
            )
        )  # fmt: skip
        self.day = add(DayField("picked_at", tr("Picked on"), context.formats, value="today"))
        add(NotesField("note", tr("Note")))
        self.crate.changed.connect(self.show_net)
        self.day.changed.connect(self._day_typed)
        if names:
            self.bags.set_value(names)
            self.crate.setFocus()

    def usual_tare(self) -> int:
        """The chosen crate's tare, mg."""
        return self._tares.get(self.crate.chosen() or 0, 0)

    def take_scan(self, line: str) -> bool:
        """A bag or batch goes on the list, a crate is chosen."""
        try:
            word = read_bag_scan(line)
            crate = word.isdigit() and kind_of(read_code(word)) == "crate"
        except NotUnderstood as error:
            self.form.show_on_top(sentence_of(error))
            return True
        self.form.show_on_top("")
        if crate:
            self.crate.set_value(read_code(word))
        else:
            self.bags.add_words(word)
        return True

    def try_save(self) -> None:
        """A bag left in the line is put on the list first, and shown there."""
        if self.bags.waiting:
            self.bags.add_words(self.bags.waiting)
            self.form.show_on_top(
                tr("The bag you typed is put on the list. Look, then save again.")
            )
            return
        super().try_save()

    def keep(self, values: dict[str, Any]) -> None:
        """Record the pick."""
        values["typed"] = self.gross.text()
        self.run(self._context.act, partial(record_pick, **values))

    def _finish(self, result: Any) -> None:
        super()._finish(result)
        self._on_picked(result)

    def _day_typed(self) -> None:
        try:
            day = self.day.value()
        except NotUnderstood:
            return
        if day:
            self.bags.set_day(day)


class WeighDialog(WeightForm):
    """The weight of a pick whose bags were scanned before."""

    def __init__(
        self, context: DeskContext, row: PickRow, *, on_picked: Callable[[Pick], object]
    ) -> None:
        self._row = row
        bags = context.formats.count(row.bags, "bag", "bags")
        super().__init__(
            tr("Weigh {name}").format(name=row.name),
            context,
            sentence=tr("{species} from {bags}. {crate}").format(
                species=row.species, bags=bags, crate=row.crate
            ),
            save_title=tr("Weigh"),
        )
        self._on_picked = on_picked
        self.add_weight_fields()
        self.form.add(TextField("grade", tr("Grade"), value="A", required=True))

    def usual_tare(self) -> int:
        """The crate's tare, mg."""
        return self._row.crate_tare_mg

    def keep(self, values: dict[str, Any]) -> None:
        """Weigh it."""
        values["typed"] = self.gross.text()
        self.run(self._context.act, partial(_weigh, pick=self._row.id, **values))

    def _finish(self, result: Any) -> None:
        super()._finish(result)
        self._on_picked(result)


class CorrectDialog(WeightForm):
    """A wrong weight or grade put right, with the reason; the day book keeps both."""

    def __init__(self, context: DeskContext, row: PickRow) -> None:
        self._row = row
        super().__init__(
            tr("Correct {name}").format(name=row.name),
            context,
            sentence=tr("The old weight stays in the day book, with the reason that you give."),
            save_title=tr("Correct"),
        )
        self.add_weight_fields(tare_mg=row.tare_mg)
        self.gross.set_value(row.typed or row.gross_mg)
        self._before = (self.gross.text(), self.tare.text())
        self.form.add(TextField("grade", tr("Grade"), value=row.grade, required=True))
        self.form.add(TextField("why", tr("Why"), required=True))

    def usual_tare(self) -> int:
        """The tare it was weighed with, mg."""
        return self._row.tare_mg or 0

    def keep(self, values: dict[str, Any]) -> None:
        """Correct it; a weight whose text was left alone stays as it is to the milligram."""
        if self.gross.text() == self._before[0]:
            values["gross_mg"] = None
        else:
            values["typed"] = self.gross.text()
        if self.tare.text() == self._before[1]:
            values["tare_mg"] = None
        self.run(self._context.act, partial(_correct, pick=self._row.id, **values))


def _weigh(act: Act, *, pick: int, **values: Any) -> Pick:
    return weigh_pick(act, act.need(Pick, pick), **values)


def _correct(act: Act, *, pick: int, **values: Any) -> Pick:
    return correct_pick(act, act.need(Pick, pick), **values)


def _mass_of(field: MassField, otherwise: int | None = None) -> int | None:
    try:
        reading = field.reading()
    except NotUnderstood:
        return None
    return otherwise if reading is None else reading.mg
