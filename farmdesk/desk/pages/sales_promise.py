"""What is said to be coming of an order: how much, what instead, and why less."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import partial
from typing import Any

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from farmdesk.actions.base import Act
from farmdesk.actions.promises import Promise, can_swap, promise_order
from farmdesk.desk.context import DeskContext
from farmdesk.desk.dialogs import FormDialog
from farmdesk.desk.fields import ChoiceField, Field, TextField
from farmdesk.desk.pages.order_lines import NARROW, read_in_unit, widen
from farmdesk.domain.catalogue import Product
from farmdesk.domain.trade import Order, OrderLine, wanted_mg
from farmdesk.errors import NotFound, problem
from farmdesk.quantities.mass import amount_in
from farmdesk.quantities.numbers import decimal_of
from farmdesk.reports.sales_lists import OrderRow, SalesThings, say_quantity
from farmdesk.reports.supply import free_for_lines
from farmdesk.store.farm_store import FarmStore
from farmdesk.wording.formats import Formats
from farmdesk.wording.language import tr


class _LineRow(QWidget):
    """One line of the order and what is said about it."""

    def __init__(
        self, line: OrderLine, product: Product, instead: Sequence[Product], formats: Formats
    ) -> None:
        super().__init__()
        self.line, self.product = line, product
        asked = say_quantity(line.quantity, line.unit, formats)
        self.amount = TextField(
            "amount", tr("{product}, {asked} asked").format(product=product.name, asked=asked),
            placeholder=tr("nothing said yet"),
        )  # fmt: skip
        self.instead = ChoiceField(
            "swap_for", tr("Agreed instead"), [(one.id, one.name) for one in instead],
            value=line.swap_for,
        )  # fmt: skip
        self.instead.combo.setSizeAdjustPolicy(NARROW)
        self.instead.combo.setMinimumContentsLength(12)
        self.reason = TextField("reason", tr("Why less"), value=line.short_reason)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        for field, stretch in ((self.amount, 3), (self.instead, 3), (self.reason, 3)):
            row.addWidget(field, stretch, Qt.AlignmentFlag.AlignTop)


class PromiseField(Field):
    """Every line of an order with what is said about it. `value()` is a list of Promise."""

    def __init__(
        self, key: str, label: str, order: OrderRow, things: SalesThings, formats: Formats
    ) -> None:
        self._formats = formats
        products = {one.id: one for one in things.catalogue.all("product")}
        editor = QWidget()
        column = QVBoxLayout(editor)
        column.setContentsMargins(0, 0, 0, 0)
        self.rows = []
        for line in order.lines:
            asked = products[line.product]
            instead = [one for one in things.products() if can_swap(asked, one)]
            row = _LineRow(line, asked, instead, formats)
            if line.promised is not None:
                row.amount.set_value(f"{line.promised.normalize():f} {line.unit}")
            self.rows.append(row)
            column.addWidget(row)
        super().__init__(key, label, editor)

    def show_free(self, free: Mapping[int, int]) -> None:
        """Say what can be promised of each line, and put it in where nothing was said."""
        for row in self.rows:
            line, amount = row.line, free.get(row.line.id, 0)
            if line.unit == "pack":
                shown = self._formats.count(amount, "pack", "packs")
                typed = str(min(amount, int(line.quantity)))
            else:
                # Rounded down: half a gram too much is a broken promise.
                exact = line.quantity
                if amount < wanted_mg(line.quantity, line.unit):
                    exact = decimal_of(amount_in(amount - amount % 10_000, line.unit), 2)
                shown = say_quantity(exact, line.unit, self._formats)
                typed = f"{min(exact, line.quantity).normalize():f} {line.unit}"
            row.amount.set_hint(tr("{free} can be promised").format(free=shown))
            if not row.amount.text().strip():
                row.amount.set_value(typed)

    def value(self) -> list[Promise]:
        """What is said about each line; an empty amount says nothing."""
        return [self._read(row) for row in self.rows]

    def _read(self, row: _LineRow) -> Promise:
        said = None
        if row.amount.text().strip():
            said = read_in_unit(row.amount.text(), row.product, row.line.unit, self._formats)
        return Promise(row.line.id, said, row.instead.value(), row.reason.text().strip())


class PromiseDialog(FormDialog):
    """An order's lines with what is free, to be promised."""

    def __init__(self, context: DeskContext, things: SalesThings, order: OrderRow) -> None:
        super().__init__(
            tr("Promise for order {name}").format(name=order.name),
            sentence=tr(
                "{customer}, due {due_on}. What is free counts stock and the low figure of what"
                " will be picked, less all that is promised to others. What was asked stays kept"
                " beside it."
            ).format(customer=order.customer, due_on=context.formats.day(order.due_on)),
            save_title=tr("Promise"),
        )
        widen(self, 110)
        self._context = context
        self._order = order.id
        self.lines = self.form.add(
            PromiseField("promises", tr("Lines"), order, things, context.formats)
        )
        context.workplace.read(
            load_free, context.farm, order.id, then=self.lines.show_free,
            failed=self.form.show_error,
        )  # fmt: skip

    def save(self, values: dict[str, Any]) -> None:
        """Keep what was said."""
        self.run(self._context.act, partial(_promise, order=self._order, **values))


def load_free(store: FarmStore, order: int) -> dict[int, int]:
    """How much of each line of an order can be promised, mg or packs."""
    with store.reading() as reading:
        found = reading.get(Order, order)
        if found is None:
            raise NotFound(problem("not_found", kind="order", id=order))
        return free_for_lines(reading, found)


def _promise(act: Act, *, order: int, promises: Sequence[Promise]) -> Order:
    return promise_order(act, act.need(Order, order), promises)
