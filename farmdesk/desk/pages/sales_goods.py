"""What goes out as a field: of which product, out of which lot, how much, at what price."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any, Protocol

from PySide6.QtWidgets import QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from farmdesk.actions.deliveries import DeliverLine
from farmdesk.desk.fields import ChoiceField, Field, MoneyField, TextField
from farmdesk.desk.pages.order_lines import NARROW, lay_row, read_back, read_packs
from farmdesk.domain.catalogue import Product
from farmdesk.errors import NotUnderstood, problem
from farmdesk.quantities.mass import read_mass
from farmdesk.reports.cold_store_lists import LotRow, settle_amount
from farmdesk.reports.sales_lists import is_of
from farmdesk.wording.formats import Formats
from farmdesk.wording.language import tr


class LotsOnHand(Protocol):
    """Who knows the lots on hand: the lists of sales, or of market days."""

    @property
    def lots(self) -> Sequence[LotRow]:
        """All of them, earliest shelf date first."""

    def lots_of(self, product: Product | None) -> list[LotRow]:
        """Those of a product."""


@dataclass(frozen=True)
class Goods:
    """Something that can go out: a line of an order, or a product sold without one."""

    key: int
    text: str
    product: Product
    order_line: int | None = None


class _GoodsRow(QWidget):
    """One lot that goes out."""

    def __init__(self, goods: Sequence[Goods], formats: Formats, *, with_price: bool) -> None:
        super().__init__()
        self.goods = ChoiceField("goods", tr("What"), [(one.key, one.text) for one in goods])
        self.lot = ChoiceField("lot", tr("Out of lot"))
        for choice in (self.goods, self.lot):
            choice.combo.setSizeAdjustPolicy(NARROW)
            choice.combo.setMinimumContentsLength(12)
        self.amount = TextField("amount", tr("Amount"))
        self.price = MoneyField("price", tr("Price of one"), formats)
        self.price.set_placeholder(tr("from the list"))
        self.price.setVisible(with_price)
        self.proposed: tuple[str, int | None] = ("", None)
        self.is_scanned = False
        self.remove = QPushButton(tr("Remove"))
        self.remove.setAutoDefault(False)
        parts = ((self.goods, 3), (self.lot, 4), (self.amount, 2), (self.price, 2))
        lay_row(self, parts, self.remove)

    @property
    def is_empty(self) -> bool:
        """Whether nothing was chosen or typed here."""
        return not self.lot.line.text().strip() and not self.amount.text()


class GoodsField(Field):
    """Lots that go out, row by row. `value()` is a list of DeliverLine."""

    def __init__(
        self,
        key: str,
        label: str,
        things: LotsOnHand,
        goods: Sequence[Goods],
        *,
        formats: Formats,
        with_price: bool = False,
        hint: str = "",
    ) -> None:
        self._formats = formats
        self._goods = {one.key: one for one in goods}
        self._things = things
        self._with_price = with_price
        self.rows: list[_GoodsRow] = []
        editor = QWidget()
        self._column = QVBoxLayout(editor)
        self._column.setContentsMargins(0, 0, 0, 0)
        self.add_button = QPushButton(tr("Add a lot"))
        self.add_button.setAutoDefault(False)
        self.add_button.clicked.connect(lambda _=False: self.add_row().goods.setFocus())
        foot = QHBoxLayout()
        foot.addWidget(self.add_button)
        foot.addStretch(1)
        self._column.addLayout(foot)
        super().__init__(key, label, editor, required=True, hint=hint)

    def add_row(self, line: DeliverLine | None = None) -> _GoodsRow:
        """One more line, filled in with what is proposed."""
        row = _GoodsRow(list(self._goods.values()), self._formats, with_price=self._with_price)
        row.goods.changed.connect(partial(self._offer_lots, row))
        row.amount.changed.connect(partial(self._amount_typed, row))
        for field in (row.lot, row.price):
            field.changed.connect(self._edited)
        row.remove.clicked.connect(lambda _=False: self._remove(row))
        self._column.insertWidget(len(self.rows), row)
        self.rows.append(row)
        if line is not None:
            self._fill(row, line)
        elif len(self._goods) == 1:
            row.goods.set_value(next(iter(self._goods)))
        self._offer_lots(row)
        return row

    def take_lot(self, lot: int) -> bool:
        """A scanned lot goes on the first free line; False when it is none of the goods."""
        known = next((one for one in self._things.lots if one.id == lot), None)
        if known is None:
            return False
        there = next((row for row in self.rows if row.lot.chosen() == lot), None)
        if there is not None:
            self._tick(there)
            return True
        fits = [one for one in self._goods.values() if is_of(known, one.product)]
        if not fits:
            return False
        free = [row for row in self.rows if row.is_empty]
        row = free[0] if free else self.add_row()
        row.goods.set_value(fits[0].key)
        row.lot.set_value(lot)
        self._tick(row)
        return True

    def scanned(self) -> int:
        """How many of the lots named here were scanned."""
        return sum(row.is_scanned for row in self.rows)

    def _tick(self, row: _GoodsRow) -> None:
        row.is_scanned = True
        row.lot.set_hint(tr("✓ scanned"))
        row.amount.setFocus()
        row.amount.line.selectAll()

    def value(self) -> list[DeliverLine]:
        """What goes out."""
        found = []
        for row in self.rows:
            if row.is_empty:
                continue
            row.goods.required = row.lot.required = row.amount.required = True
            goods, lot = self._goods[row.goods.value()], row.lot.value()
            row.amount.value()
            mass, packs = self._amount(row, goods.product, lot)
            found.append(
                DeliverLine(
                    goods.product.id,
                    lot,
                    amount_mg=mass,
                    count=packs,
                    order_line=goods.order_line,
                    price=row.price.value() if self._with_price else None,
                )
            )
        if not found:
            raise NotUnderstood(problem("delivery_empty", field=self.key))
        return found

    def set_value(self, value: Any) -> None:
        """Fill in lines that are proposed."""
        for row in list(self.rows):
            self._remove(row)
        for one in value or ():
            self.add_row(one)

    def _amount(self, row: _GoodsRow, product: Product, lot: int) -> tuple[int | None, int | None]:
        """Milligrams or packs; a weight that still stands as proposed is just that weight."""
        text = row.amount.text()
        if product.unit == "pack" or product.fill == "catch":
            return None, read_packs(text, product)
        if text == row.proposed[0]:
            return row.proposed[1], None
        typed = read_mass(text, decimal_comma=self._formats.decimal_comma).mg
        left = next(one.left_mg for one in self._things.lots if one.id == lot)
        return settle_amount(typed, left, self._formats), None

    def _fill(self, row: _GoodsRow, line: DeliverLine) -> None:
        wanted = next(
            (
                one
                for one in self._goods.values()
                if one.order_line == line.order_line and one.product.id == line.product
            ),
            None,
        )
        row.goods.set_value(None if wanted is None else wanted.key)
        self._offer_lots(row)
        row.lot.set_value(line.lot)
        if line.count is not None:
            row.amount.set_value(self._formats.count(line.count, "pack", "packs"))
        elif line.amount_mg is not None:
            row.amount.set_value(self._formats.mass(line.amount_mg))
            row.proposed = (row.amount.text(), line.amount_mg)

    def _offer_lots(self, row: _GoodsRow) -> None:
        goods = self._goods.get(row.goods.chosen() or 0)
        lots = self._things.lots_of(None if goods is None else goods.product)
        is_packed = goods is not None and goods.product.unit == "pack"
        row.amount.set_placeholder(tr("6 packs") if is_packed else tr("1.25 kg"))
        row.lot.set_choices([(one.id, _lot_text(one, self._formats)) for one in lots])
        self._amount_typed(row)

    def _amount_typed(self, row: _GoodsRow) -> None:
        goods = self._goods.get(row.goods.chosen() or 0)
        product = None if goods is None else goods.product
        row.amount.set_hint(read_back(row.amount.text(), product, self._formats))
        self._edited()

    def _remove(self, row: _GoodsRow) -> None:
        self.rows.remove(row)
        self._column.removeWidget(row)
        row.hide()
        row.deleteLater()
        self.add_button.setFocus()
        self._edited()

    def _edited(self) -> None:
        self.show_problem("")
        self.changed.emit()


def _lot_text(one: LotRow, formats: Formats) -> str:
    left = formats.count(one.packs, "pack", "packs") if one.is_pack else formats.mass(one.left_mg)
    shelf = (
        tr(", until {shelf_on}").format(shelf_on=formats.day(one.shelf_on)) if one.shelf_on else ""
    )
    mark = f"  ⚠ {one.mark}" if one.mark else ""
    return f"{one.lot}  ·  {left}{shelf}{mark}"
