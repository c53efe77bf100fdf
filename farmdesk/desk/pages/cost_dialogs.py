"""Forms of the costs: goods that came, supplies, prices of the lab, work, overhead, settings."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from functools import partial
from typing import Any

from farmdesk.actions.costs import (
    begin_labour,
    keep_cost_setting,
    keep_overhead,
    keep_supply,
    note_labour,
    price_lab,
    receive_goods,
)
from farmdesk.desk.context import DeskContext
from farmdesk.desk.dialogs import FormDialog
from farmdesk.desk.fields import (
    ChoiceField,
    DayField,
    MassField,
    MoneyField,
    NotesField,
    NumberField,
    ReadField,
    TextField,
)
from farmdesk.desk.messages import sentence_of
from farmdesk.domain.costs import (
    AVERAGE,
    FIFO,
    FOR_BLOCKS,
    FOR_OTHER,
    FOR_PACKS,
    CostSetting,
    Labour,
    Overhead,
    Purchase,
    Supply,
)
from farmdesk.domain.supplier_labels import read_supplier_label
from farmdesk.errors import NotUnderstood, problem
from farmdesk.quantities.times import today_in
from farmdesk.reports.cost_lists import CostLists, LabPriceRow
from farmdesk.reports.cost_words import TASK_WORDS
from farmdesk.wording.language import tr

USE_WORDS = {
    FOR_BLOCKS: tr("with each block"),
    FOR_PACKS: tr("with each pack"),
    FOR_OTHER: tr("with neither"),
}
_METHODS = (
    (AVERAGE, tr("moving average of what is on hand")),
    (FIFO, tr("first in, first out")),
)
_HOUR = 60


def read_minutes(text: str) -> int:
    """Minutes typed as 90, 90 min, 1:30, 1.5 h or 1 h 30."""
    bare = text.strip().casefold().replace(",", ".")
    for word in ("minutes", "minute", "mins", "min", "m"):
        bare = bare.removesuffix(word).strip()
    try:
        if ":" in bare:
            hours, minutes = bare.split(":")
            return int(hours) * _HOUR + int(minutes)
        if "h" in bare:
            hours, _, minutes = bare.partition("h")
            return round(Decimal(hours.strip()) * _HOUR) + int(minutes.strip() or 0)
        return int(bare)
    except (ValueError, ArithmeticError):
        raise NotUnderstood(problem("minutes_not_understood", text=text[:20])) from None


class PurchaseDialog(FormDialog):
    """A lot of an ingredient or a supply has come."""

    def __init__(self, context: DeskContext, lists: CostLists, now: Purchase | None = None) -> None:
        title = tr("Goods received") if now is None else tr("Correct goods received")
        super().__init__(
            title,
            sentence=tr("Scan the supplier's GS1 label to fill in lot, date, weight and pieces."),
            save_title=tr("Save"),
        )
        self._context = context
        self._now = now or Purchase(0, received_on=today_in(context.formats.zone))
        formats, add, one = context.formats, self.form.add, self._now
        hint = tr("Weighed goods: substrate, grain, supplement.")
        add(ChoiceField("ingredient", tr("Ingredient"), lists.ingredients, hint=hint,
                        value=one.ingredient))  # fmt: skip
        supplies = [(row.id, row.name) for row in lists.supplies]
        hint = tr("Goods counted in pieces: bags, labels, punnets.")
        add(ChoiceField("supply", tr("or supply"), supplies, hint=hint, value=one.supply))
        add(MassField("amount_mg", tr("Weight of an ingredient"), formats,
                      value=one.amount_mg or ""))  # fmt: skip
        add(NumberField("pieces", tr("Pieces of a supply"), formats, value=one.pieces or ""))
        hint = tr("For all of it, with freight, without tax that you get back.")
        add(MoneyField("price", tr("Price"), formats, hint=hint, required=True,
                       value=one.price if one.id else ""))  # fmt: skip
        hint = tr("As it stands on the sack; name it in the heat run to find it again.")
        add(TextField("lot", tr("Lot"), hint=hint, value=one.lot))
        add(DayField("received_on", tr("Received"), formats, required=True, value=one.received_on))
        add(DayField("use_by", tr("Good until"), formats, value=one.use_by or ""))
        add(TextField("seller", tr("Bought from"), value=one.seller))
        add(NotesField("note", tr("Note"), value=one.note))

    def take_scan(self, line: str) -> bool:
        """A supplier's GS1 label fills lot, date, weight and pieces; nothing typed is lost."""
        try:
            label = read_supplier_label(line)
        except NotUnderstood as error:
            self.form.show_on_top(sentence_of(error))
            return True
        fields = self.form.fields
        filled = {
            "lot": label.lot, "use_by": label.use_by, "amount_mg": label.net_mg,
            "pieces": label.pieces,
        }  # fmt: skip
        for key, value in filled.items():
            if value:
                fields[key].set_value(value)
        self.form.show_on_top("")
        if label.gtin:
            fields["lot"].set_hint(tr("Article {gtin} of the supplier").format(gtin=label.gtin))
        return True

    def save(self, values: dict[str, Any]) -> None:
        """Keep it."""
        values["amount_mg"] = values["amount_mg"] or 0
        values["pieces"] = values["pieces"] or 0
        wanted = replace(self._now, **_texts(values, "lot", "seller"))
        self.run(self._context.act, partial(receive_goods, purchase=wanted))


class SupplyDialog(FormDialog):
    """A good that is counted in pieces, and how many go with each block or pack."""

    def __init__(self, context: DeskContext, lists: CostLists, now: Supply | None = None) -> None:
        super().__init__(tr("Supply") if now is None else now.name, save_title=tr("Save"))
        self._context = context
        self._now = one = now or Supply(0, "")
        add = self.form.add
        add(TextField("name", tr("Name"), required=True, value=one.name,
                      hint=tr("Such as filter bag, label, punnet.")))  # fmt: skip
        add(ChoiceField("use", tr("Goes"), tuple(USE_WORDS.items()), required=True, value=one.use))
        add(NumberField("pieces", tr("How many"), context.formats, digits=3, required=True,
                        value=one.pieces))  # fmt: skip
        hint = tr("Packs of one product only; empty: of all.")
        add(ChoiceField("product", tr("Product"), lists.products, hint=hint, value=one.product))

    def save(self, values: dict[str, Any]) -> None:
        """Keep it."""
        self.run(self._context.act, partial(keep_supply, supply=replace(self._now, **values)))


class LabPriceDialog(FormDialog):
    """What a bought culture or bag of spawn cost."""

    def __init__(self, context: DeskContext, row: LabPriceRow) -> None:
        sentence = tr("{name}, from {origin}.").format(name=row.name, origin=row.origin or "–")
        super().__init__(tr("Price of {name}").format(name=row.name), sentence=sentence,
                         save_title=tr("Save"))  # fmt: skip
        self._context, self._row = context, row
        self.form.add(MoneyField("price", tr("Price"), context.formats, required=True,
                                 value="" if row.price is None else row.price))  # fmt: skip

    def save(self, values: dict[str, Any]) -> None:
        """Keep it."""
        self.run(self._context.act, partial(price_lab, subject=self._row.id, **values))


class LabourDialog(FormDialog):
    """Hours of work, typed."""

    def __init__(self, context: DeskContext, lists: CostLists, now: Labour | None = None) -> None:
        super().__init__(tr("Work") if now is None else tr("Correct work"), save_title=tr("Save"))
        self._context = context
        today = today_in(context.formats.zone)
        person = context.person.id if context.person is not None else None
        self._now = one = now or Labour(0, person, None, "picking", today)
        add = self.form.add
        add_labour_choices(self, lists, one)
        hint = tr("90, 1:30 or 1.5 h")
        add(ReadField("minutes", tr("How long"), read_minutes, hint=hint, required=True,
                      value=one.minutes or ""))  # fmt: skip
        add(DayField("day", tr("Day"), context.formats, required=True, value=one.day))
        add(NotesField("note", tr("Note"), value=one.note))

    def save(self, values: dict[str, Any]) -> None:
        """Keep them."""
        self.run(self._context.act, partial(note_labour, labour=replace(self._now, **values)))


class ClockDialog(FormDialog):
    """Work begins now; its clock is stopped in the list."""

    def __init__(self, context: DeskContext, lists: CostLists) -> None:
        super().__init__(
            tr("Start a clock"),
            sentence=tr("Stop it in the list when the work is done; it goes on while the desk is"
                        " closed."),
            save_title=tr("Start"),
        )  # fmt: skip
        self._context = context
        person = context.person.id if context.person is not None else None
        add_labour_choices(self, lists, Labour(0, person))
        self.form.add(NotesField("note", tr("Note")))

    def save(self, values: dict[str, Any]) -> None:
        """Start it."""
        self.run(self._context.act, partial(begin_labour, **values))


class OverheadDialog(FormDialog):
    """What is paid week by week, whatever is grown."""

    def __init__(self, context: DeskContext, now: Overhead | None = None) -> None:
        super().__init__(tr("Overhead") if now is None else now.name, save_title=tr("Save"))
        self._context = context
        self._now = one = now or Overhead(0, "", from_on=today_in(context.formats.zone))
        formats, add = context.formats, self.form.add
        add(TextField("name", tr("Name"), required=True, value=one.name,
                      hint=tr("Such as rent, power, insurance.")))  # fmt: skip
        hint = tr("A month's bill times 12, over 52.")
        add(MoneyField("per_week", tr("Each week"), formats, hint=hint, required=True,
                       value=one.per_week if one.id else ""))  # fmt: skip
        add(DayField("from_on", tr("From"), formats, required=True, value=one.from_on))
        hint = tr("Empty: still paid. When the amount changes, end this one and begin another.")
        add(DayField("to_on", tr("To"), formats, hint=hint, value=one.to_on or ""))
        add(NotesField("note", tr("Note"), value=one.note))

    def save(self, values: dict[str, Any]) -> None:
        """Keep it."""
        self.run(self._context.act, partial(keep_overhead, overhead=replace(self._now, **values)))


class CostSettingDialog(FormDialog):
    """How costs are counted on this farm."""

    def __init__(self, context: DeskContext, now: CostSetting) -> None:
        super().__init__(tr("How costs are counted"), save_title=tr("Save"))
        self._context, self._now = context, now
        formats, add = context.formats, self.form.add
        add(ChoiceField("method", tr("Goods are priced by"), _METHODS, required=True,
                        value=now.method))  # fmt: skip
        hint = tr("Your own hours too: what you would pay somebody else.")
        add(MoneyField("wage_per_hour", tr("An hour of work"), formats, hint=hint, required=True,
                       value=now.wage_per_hour))  # fmt: skip
        hint = tr("Blocks lost as usual; what is lost beyond is told apart.")
        add(NumberField("normal_loss_percent", tr("Normal loss, %"), formats, digits=1, hint=hint,
                        required=True, value=now.normal_loss_percent))  # fmt: skip
        hint = tr("Grain, jars, heat and hours; bought spawn has its own price.")
        add(MoneyField("home_spawn_per_kg", tr("A kilogram of spawn made at home"), formats,
                       hint=hint, required=True, value=now.home_spawn_per_kg))  # fmt: skip

    def save(self, values: dict[str, Any]) -> None:
        """Keep them."""
        setting = replace(self._now, **values)
        self.run(self._context.act, partial(keep_cost_setting, setting=setting))


def add_labour_choices(dialog: FormDialog, lists: CostLists, one: Labour) -> None:
    """Task, person and batch of a work."""
    add = dialog.form.add
    add(ChoiceField("task", tr("Task"), tuple(TASK_WORDS.items()), required=True, value=one.task))
    add(ChoiceField("person", tr("Who"), lists.people, value=one.person))
    hint = tr("Empty: it is shared over the batches of the month.")
    add(ChoiceField("batch", tr("For one batch only"), lists.batches, hint=hint, value=one.batch))


def _texts(values: dict[str, Any], *keys: str) -> dict[str, Any]:
    """The values with '' where a text was left empty."""
    return {**values, **{key: values[key] or "" for key in keys}}
