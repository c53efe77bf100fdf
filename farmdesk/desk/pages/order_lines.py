"""The lines of an order as a field: product, amount with its unit, price from the list."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from decimal import Decimal
from functools import partial
from typing import Any

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QComboBox, QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from farmdesk.actions.orders import WantedLine, find_price
from farmdesk.arithmetic.list_prices import ListPrice
from farmdesk.desk.context import DeskContext
from farmdesk.desk.dialogs import FormDialog
from farmdesk.desk.fields import ChoiceField, Field, MoneyField, TextField
from farmdesk.domain.catalogue import Customer, Farm, Product
from farmdesk.domain.trade import wanted_mg
from farmdesk.errors import NotUnderstood, problem
from farmdesk.quantities.mass import amount_in, read_mass
from farmdesk.quantities.numbers import decimal_of
from farmdesk.reports.sales_lists import SalesThings
from farmdesk.store.farm_store import FarmStore
from farmdesk.wording.formats import Formats
from farmdesk.wording.language import tr
from farmdesk.wording.sentences import say

NARROW = QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon
_POUNDS = frozenset({"lb", "oz", "lb_oz"})
_PACK_WORDS = ("packs", "pack", "pk")


def read_amount(text: str, product: Product, formats: Formats) -> tuple[Decimal, str]:
    """Read `2.5 kg`, `3 lb 8 oz` or `6 packs` as a quantity and its unit kg, lb or pack.

    Raises NotUnderstood, also for a weight of what is sold by the pack.
    """
    if product.unit == "pack":
        return Decimal(read_packs(text, product)), "pack"
    reading = read_mass(text, decimal_comma=formats.decimal_comma)
    unit = "lb" if reading.unit in _POUNDS else "kg"
    return decimal_of(amount_in(reading.mg, unit), 4).normalize(), unit


def read_in_unit(text: str, product: Product, unit: str, formats: Formats) -> Decimal:
    """Read an amount as a quantity in a given unit; a bare number is in that unit.

    Raises NotUnderstood.
    """
    bare = text.strip()
    if unit != "pack" and bare.replace(",", ".").replace(".", "", 1).isdigit():
        bare = f"{bare} {unit}"
    quantity, typed = read_amount(bare, product, formats)
    if typed == unit:
        return quantity
    return decimal_of(amount_in(wanted_mg(quantity, typed), unit), 4).normalize()


def read_packs(text: str, product: Product) -> int:
    """Read `6` or `6 packs`; raises NotUnderstood."""
    bare = text.strip().casefold()
    for word in _PACK_WORDS:
        bare = bare.removesuffix(word).strip()
    if not (bare.isascii() and bare.isdigit()):
        raise NotUnderstood(problem("product_sold_by_pack", field="lines", product=product.name))
    return int(bare)


def read_back(text: str, product: Product | None, formats: Formats) -> str:
    """What an amount is read as, with what looks like a slip; '' while it cannot be read."""
    if product is None or not text.strip():
        return ""
    try:
        if product.unit == "pack":
            return f"= {formats.count(read_packs(text, product), 'pack', 'packs')}"
        reading = read_mass(text, decimal_comma=formats.decimal_comma)
    except NotUnderstood:
        return ""
    doubts = " ".join(say(doubt) for doubt in reading.doubts)
    return f"= {formats.mass(reading.mg)}" + (f"  ⚠ {doubts}" if doubts else "")


def load_price(store: FarmStore, customer: int, product: int, unit: str) -> ListPrice | None:
    """The price on the customer's list for one unit of a product, or None."""
    with store.reading() as reading:
        buyer, farm = reading.get(Customer, customer), reading.first(Farm)
        if buyer is None or farm is None:
            return None
        return find_price(
            reading, customer=buyer, product=product, unit=unit, currency=farm.currency
        )


def lay_row(owner: QWidget, parts: Iterable[tuple[Field, int]], button: QPushButton) -> None:
    """Fields side by side, level at their tops whatever is said below them, and a button."""
    row = QHBoxLayout(owner)
    row.setContentsMargins(0, 0, 0, 0)
    for part, stretch in parts:
        row.addWidget(part, stretch, Qt.AlignmentFlag.AlignTop)
    beside = QVBoxLayout()
    beside.setSpacing(0)
    beside.addSpacing(owner.fontMetrics().height() + 2)
    beside.addWidget(button)
    beside.addStretch(1)
    row.addLayout(beside)


def widen(dialog: FormDialog, letters: int) -> None:
    """Room for so many letters in a row, as far as the screen has it."""
    wanted = dialog.fontMetrics().averageCharWidth() * letters
    dialog.form.widen(min(wanted, round(dialog.screen().availableGeometry().width() * 0.9)))


class _LineRow(QWidget):
    """One product, how much of it, and at what price."""

    def __init__(self, products: Sequence[Product], formats: Formats) -> None:
        super().__init__()
        self.product = ChoiceField(
            "product", tr("Product"), [(one.id, one.name) for one in products]
        )
        self.product.combo.setSizeAdjustPolicy(NARROW)
        self.product.combo.setMinimumContentsLength(14)
        self.amount = TextField("amount", tr("Amount"), placeholder=tr("2.5 kg, 6 packs"))
        self.price = MoneyField(
            "price", tr("Price of one"), formats, placeholder=tr("from the list")
        )
        self.remove = QPushButton(tr("Remove"))
        self.remove.setAutoDefault(False)
        self.asked: tuple[int | None, int, str] | None = None
        lay_row(self, ((self.product, 3), (self.amount, 2), (self.price, 2)), self.remove)

    @property
    def is_empty(self) -> bool:
        """Whether nothing was typed here."""
        return not self.product.line.text().strip() and not self.amount.text()


class OrderLinesField(Field):
    """The lines of an order, row by row. `value()` is a list of WantedLine."""

    def __init__(self, key: str, label: str, context: DeskContext, things: SalesThings) -> None:
        self._context = context
        self._products = {one.id: one for one in things.products()}
        self._customer: int | None = None
        self.rows: list[_LineRow] = []
        editor = QWidget()
        self._column = QVBoxLayout(editor)
        self._column.setContentsMargins(0, 0, 0, 0)
        self.add_button = QPushButton(tr("Add a line"))
        self.add_button.setAutoDefault(False)
        self.add_button.clicked.connect(lambda _=False: self.add_row().product.setFocus())
        foot = QHBoxLayout()
        foot.addWidget(self.add_button)
        foot.addStretch(1)
        self._column.addLayout(foot)
        super().__init__(key, label, editor, required=True)

    def set_customer(self, customer: int | None) -> None:
        """Prices come from this customer's list."""
        self._customer = customer
        for row in self.rows:
            self._look_up(row)

    def add_row(self, wanted: WantedLine | None = None) -> _LineRow:
        """One more line, filled in with what is wanted."""
        formats = self._context.formats
        row = _LineRow(list(self._products.values()), formats)
        if wanted is not None:
            row.product.set_value(wanted.product)
            row.amount.set_value(f"{wanted.quantity.normalize():f} {wanted.unit}")
            if wanted.price is not None:
                row.price.set_value(wanted.price)
        row.remove.clicked.connect(lambda _=False: self._remove(row))
        for field in (row.product, row.amount):
            field.changed.connect(partial(self._look_up, row))
        row.price.changed.connect(self._edited)
        self._column.insertWidget(len(self.rows), row)
        self.rows.append(row)
        self._look_up(row)
        return row

    def value(self) -> list[WantedLine]:
        """What is wanted."""
        found = []
        for row in self.rows:
            if row.is_empty:
                continue
            row.product.required = row.amount.required = True
            product = self._products[row.product.value()]
            row.amount.value()
            quantity, unit = read_amount(row.amount.text(), product, self._context.formats)
            found.append(WantedLine(product.id, quantity, unit, row.price.value()))
        if not found:
            raise NotUnderstood(problem("order_empty", field=self.key))
        return found

    def set_value(self, value: Any) -> None:
        """Fill in wanted lines."""
        for row in list(self.rows):
            self._remove(row)
        for one in value or ():
            self.add_row(one)

    def _look_up(self, row: _LineRow) -> None:
        """Read back the amount, and find the list's price for its unit."""
        self._edited()
        product = self._products.get(row.product.chosen() or 0)
        formats = self._context.formats
        row.amount.set_hint(read_back(row.amount.text(), product, formats))
        if product is None or self._customer is None:
            return
        try:
            unit = read_amount(row.amount.text(), product, formats)[1]
        except NotUnderstood:
            unit = product.unit
        row.asked = (self._customer, product.id, unit)
        self._context.workplace.read(
            load_price, self._context.farm, self._customer, product.id, unit,
            then=partial(self._show_price, row, row.asked),
        )  # fmt: skip

    def _show_price(
        self, row: _LineRow, asked: tuple[int | None, int, str], found: ListPrice | None
    ) -> None:
        # Two readers answer in any order: only the answer to the last question counts.
        if row not in self.rows or row.asked != asked:
            return
        unit = asked[2]
        if found is None:
            row.price.set_hint(
                tr("No price for 1 {unit} on the list: enter one.").format(unit=unit)
            )
        else:
            row.price.set_hint(
                tr("List: {price} for 1 {unit}").format(
                    price=self._context.formats.money(found.price), unit=unit
                )
            )

    def _remove(self, row: _LineRow) -> None:
        self.rows.remove(row)
        self._column.removeWidget(row)
        row.hide()
        row.deleteLater()
        self.add_button.setFocus()
        self._edited()

    def _edited(self) -> None:
        self.show_problem("")
        self.changed.emit()
