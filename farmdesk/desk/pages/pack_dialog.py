"""Packing: packs of one product from named picks, each with an amount set aside."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from typing import Any

from PySide6.QtWidgets import QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from farmdesk.actions.packs import make_packs
from farmdesk.desk.context import DeskContext
from farmdesk.desk.dialogs import FormDialog
from farmdesk.desk.fields import (
    ChoiceField,
    DayField,
    Field,
    MassField,
    NotesField,
    NumberField,
)
from farmdesk.desk.pages.net_check_dialog import WeightsField
from farmdesk.desk.pages.order_lines import NARROW, lay_row, widen
from farmdesk.desk.scale_field import WeighField
from farmdesk.domain.harvest import Pack
from farmdesk.errors import NotUnderstood, problem
from farmdesk.reports.cold_store_lists import ColdStore, LotRow, settle_amount
from farmdesk.wording.formats import Formats
from farmdesk.wording.language import tr
from farmdesk.wording.states import WRAPS, say_code

AIR = tr(
    "⚠ Fresh mushrooms must breathe: never airtight, never under vacuum, as "
    "poisonous bacteria grow there without a smell. Use perforated wrap and "
    "keep packs cold."
)


_FORM_HINTS = {
    "dried": tr(
        "Dried: all that is set aside goes in, and the ratio of dry to fresh is kept. Packs must"
        " be dry throughout and kept dry; they get no shelf date from the fresh mushrooms."
    ),
    "preserve": tr(
        "⚠ Pickles, oil preserves and extracts: poisonous bacteria grow in them without a smell"
        " (botulism). Only a licensed, tested process decides whether they may be sold and how"
        " long they keep; no shelf date is given here. Which lots went in is recorded."
    ),
}


class _SourceRow(QWidget):
    """One pick and how much of it is set aside for the packs."""

    def __init__(self, choices: Sequence[tuple[int, str]], formats: Formats) -> None:
        super().__init__()
        self.lot = ChoiceField("lot", tr("Pick"), choices)
        self.amount = MassField("amount", tr("Set aside"), formats, placeholder=tr("all of it"))
        self.remove = QPushButton(tr("Remove"))
        self.remove.setAutoDefault(False)
        self.lot.combo.setSizeAdjustPolicy(NARROW)
        self.lot.combo.setMinimumContentsLength(16)
        lay_row(self, ((self.lot, 3), (self.amount, 2)), self.remove)


class SourcesField(Field):
    """The picks that packs are filled from, row by row. `value()` is pick id to milligrams."""

    def __init__(self, key: str, label: str, lots: Sequence[LotRow], formats: Formats) -> None:
        self._formats = formats
        self._left = {one.id: one.left_mg for one in lots}
        self._choices = [(one.id, _lot_text(one, formats)) for one in lots]
        self.rows: list[_SourceRow] = []
        editor = QWidget()
        self._column = QVBoxLayout(editor)
        self._column.setContentsMargins(0, 0, 0, 0)
        self.add_button = QPushButton(tr("Add a pick"))
        self.add_button.setAutoDefault(False)
        self.add_button.clicked.connect(lambda _=False: self.add_row().lot.setFocus())
        foot = QHBoxLayout()
        foot.addWidget(self.add_button)
        foot.addStretch(1)
        self._column.addLayout(foot)
        super().__init__(
            key,
            label,
            editor,
            required=True,
            hint=tr(
                "Only what the packs hold is drawn, from each in proportion; the rest "
                "stays in its pick."
            ),
        )

    def offer(self, lots: Sequence[LotRow]) -> None:
        """Offer these picks; what was chosen stays if it is among them."""
        self._choices = [(one.id, _lot_text(one, self._formats)) for one in lots]
        for row in self.rows:
            row.lot.set_choices(self._choices)

    def add_row(self, lot: int | None = None) -> _SourceRow:
        """One more line; `lot` fills in its pick."""
        row = _SourceRow(self._choices, self._formats)
        row.lot.set_value(lot)
        row.remove.clicked.connect(lambda _=False: self._remove(row))
        for field in (row.lot, row.amount):
            field.changed.connect(self._edited)
        self._column.insertWidget(len(self.rows), row)
        self.rows.append(row)
        return row

    def take_lot(self, lot: int) -> bool:
        """A scanned pick goes on the first free line; False when it cannot be packed."""
        if lot not in self._left:
            return False
        free = [row for row in self.rows if not row.lot.line.text().strip()]
        row = free[0] if free else self.add_row()
        row.lot.set_value(lot)
        row.amount.setFocus()
        return True

    def value(self) -> dict[int, int]:
        """How much is set aside of each pick."""
        found: dict[int, int] = {}
        for row in self.rows:
            lot = row.lot.value()
            if lot is not None:
                amount = row.amount.value()
                left = self._left[lot]
                found[lot] = left if amount is None else settle_amount(amount, left, self._formats)
        if not found:
            raise NotUnderstood(problem("packs_from_nothing", field=self.key))
        return found

    def set_value(self, value: Any) -> None:
        """Fill in picks by their ids."""
        for row in list(self.rows):
            self._remove(row)
        for one in value or ():
            self.add_row(one)

    def _remove(self, row: _SourceRow) -> None:
        self.rows.remove(row)
        self._column.removeWidget(row)
        row.hide()
        row.deleteLater()
        self.add_button.setFocus()
        self._edited()

    def _edited(self) -> None:
        self.show_problem("")
        self.changed.emit()


class PacksDialog(FormDialog):
    """Packs are filled; `on_packed` is told afterwards."""

    def __init__(
        self,
        context: DeskContext,
        store: ColdStore,
        *,
        lots: Sequence[int] = (),
        on_packed: Callable[[Pack], object],
    ) -> None:
        super().__init__(tr("Make packs"), sentence=AIR, save_title=tr("Pack"))
        widen(self, 84)
        self._context = context
        self._store = store
        self._on_packed = on_packed
        formats, add = context.formats, self.form.add
        self._products = {
            one.id: one
            for one in store.catalogue.all("product", retired=False)
            if one.pack_mg or one.fill == "catch"
        }
        texts = [
            (one.id, f"{one.name}, {formats.mass(one.pack_mg)}" if one.pack_mg else one.name)
            for one in self._products.values()
        ]
        self.product = add(ChoiceField("product", tr("Product"), texts, required=True))
        self.count = add(NumberField("count", tr("Packs"), formats))
        self.sources = add(SourcesField("from_picks", tr("From picks"), store.loose(), formats))
        self.weights = add(
            WeightsField(
                "weights", tr("Each pack weighed whole, one on each line"), formats,
                required=False,
                hint=tr("They are sold by their own weight, less the empty package."),
            )
        )  # fmt: skip
        self.weights.hide()
        self.tare = add(MassField("tare_mg", tr("One empty package"), formats))
        add(
            WeighField(
                "filled_mg", tr("Weight of all packs together, net"), formats, scale=context.scale,
                hint=tr("Empty: what their labels say. Fill in when they were weighed and hold "
"more."),
            )
        )  # fmt: skip
        add(DayField("packed_on", tr("Packed on"), formats, value="today"))
        room = next(
            (one.id for one in store.catalogue.all("room", retired=False)
             if one.use == "cold store"), None,
        )  # fmt: skip
        add(ChoiceField("room", tr("Into room"), store.catalogue.choices("room"), value=room))
        add(NotesField("note", tr("Note")))
        for one in lots:
            self.sources.add_row(one)
        if not lots:
            self.sources.add_row()
        self._choose_product_of(lots)
        self.product.changed.connect(self._product_chosen)
        self._product_chosen()

    def take_scan(self, line: str) -> bool:
        """A scanned pick is named as a source."""
        found = self.read_scan(line)
        if found is None:
            return True
        known = self.sources.take_lot(found)
        self.form.show_on_top(
            "" if known else tr("That code is no pick with something left to pack.")
        )
        return True

    def save(self, values: dict[str, Any]) -> None:
        """Make the packs."""
        values["weights"] = values["weights"] or ()
        self.run(self._context.act, partial(make_packs, **values))

    def _finish(self, result: Any) -> None:
        super()._finish(result)
        self._on_packed(result)

    def _choose_product_of(self, lots: Sequence[int]) -> None:
        """Where one product alone fits the chosen picks, it is meant."""
        species = {one.species for one in self._store.lots if one.id in lots}
        fits = [one.id for one in self._products.values() if one.species in species]
        if len(fits) == 1:
            self.product.set_value(fits[0])

    def _product_chosen(self) -> None:
        product = self._products.get(self.product.chosen() or 0)
        if product is None:
            return
        words = [
            tr("Wrap: {wrap}.").format(wrap=say_code(WRAPS, product.wrap)) if product.wrap else "",
            _FORM_HINTS.get(product.form, ""),
            product.caution,
        ]
        self.weights.setVisible(product.fill == "catch")
        if product.tare_mg and not self.tare.text():
            self.tare.set_value(product.tare_mg)
        self.product.set_hint(" ".join(word for word in words if word))
        fits = [one for one in self._store.loose() if product.species in (None, one.species)]
        self.sources.offer(fits)


def _lot_text(one: LotRow, formats: Formats) -> str:
    shelf = (
        tr(", until {shelf_on}").format(shelf_on=formats.day(one.shelf_on)) if one.shelf_on else ""
    )
    mark = f"  ⚠ {one.mark}" if one.mark else ""
    return tr("{lot}  ·  {left_mg} left{shelf}{mark}").format(
        lot=one.lot, left_mg=formats.mass(one.left_mg), shelf=shelf, mark=mark
    )
