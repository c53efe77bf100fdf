"""Credit notes: which lines of an invoice are taken off, and whether goods came back."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from functools import partial
from typing import Any

from PySide6.QtWidgets import QVBoxLayout, QWidget

from farmdesk.actions.base import Act
from farmdesk.actions.credit_notes import CreditWish, credit_invoice
from farmdesk.desk.context import DeskContext
from farmdesk.desk.dialogs import FormDialog
from farmdesk.desk.fields import ChoiceField, DayField, Field, NotesField, TextField
from farmdesk.desk.pages.order_lines import read_in_unit, widen
from farmdesk.domain.catalogue import Product
from farmdesk.domain.trade import CreditLine, CreditNote, DeliveryLine, Invoice
from farmdesk.reports.sales_lists import InvoiceRow, SalesThings, say_quantity
from farmdesk.store.farm_store import FarmStore
from farmdesk.wording.formats import Formats
from farmdesk.wording.language import tr

Billed = tuple[DeliveryLine, Product, Decimal]
"""A billed line, its product, and how much of it is not credited yet."""


class CreditField(Field):
    """How much of each billed line is taken off. `value()` is a list of CreditWish."""

    def __init__(self, key: str, label: str, formats: Formats) -> None:
        self._formats = formats
        self.rows: list[tuple[TextField, Billed]] = []
        editor = QWidget()
        self._column = QVBoxLayout(editor)
        self._column.setContentsMargins(0, 0, 0, 0)
        super().__init__(key, label, editor)

    def show_lines(self, lines: Sequence[Billed]) -> None:
        """A row for each line that something is left of."""
        for line, product, rest in lines:
            left = say_quantity(rest, line.unit, self._formats)
            text = tr("{product}: {rest} billed and not credited")
            field = TextField(
                f"line{line.id}", text.format(product=product.name, rest=left),
                placeholder=tr("nothing of it; “all”, or an amount"),
            )  # fmt: skip
            self.rows.append((field, (line, product, rest)))
            self._column.addWidget(field)
        if self.rows:
            self.rows[0][0].setFocus()

    def value(self) -> list[CreditWish]:
        """What is taken off."""
        found = []
        for field, (line, product, rest) in self.rows:
            text = field.text().strip()
            if not text:
                continue
            if text.casefold() in (tr("all").casefold(), "all"):
                found.append(CreditWish(line.id, rest))
                continue
            quantity = read_in_unit(text, product, line.unit, self._formats)
            found.append(CreditWish(line.id, quantity))
        return found


class CreditDialog(FormDialog):
    """Takes lines off an invoice again."""

    def __init__(self, context: DeskContext, things: SalesThings, row: InvoiceRow) -> None:
        super().__init__(
            tr("Credit note for {name}").format(name=row.name),
            sentence=tr("{customer}, {total}. An invoice that is out is never changed.").format(
                customer=row.customer, total=context.formats.money(row.total)
            ),
            save_title=tr("Issue the credit note"),
        )
        widen(self, 80)
        self._context = context
        self._invoice = row.id
        self.lines = self.form.add(CreditField("lines", tr("Take off"), context.formats))
        self.form.add(TextField("reason", tr("Why"), required=True))
        waste = [
            (one.id, one.name)
            for one in things.catalogue.all("reason", retired=False)
            if one.use == "waste"
        ]
        self.form.add(
            ChoiceField(
                "returned", tr("The goods came back"), waste,
                hint=tr("Leave empty when they did not. What came back is never sold again."),
            )
        )  # fmt: skip
        self.form.add(DayField("issued_on", tr("Date"), context.formats, value="today"))
        self.form.add(NotesField("note", tr("Note, on the credit note")))
        context.workplace.read(
            load_billed, context.farm, row.id, then=self.lines.show_lines,
            failed=self.form.show_error,
        )  # fmt: skip

    def save(self, values: dict[str, Any]) -> None:
        """Issue it."""
        self.run(self._context.act, partial(_credit, invoice=self._invoice, **values))


def load_billed(store: FarmStore, invoice: int) -> list[Billed]:
    """The lines of an invoice with what is not credited of each yet."""
    with store.reading() as reading:
        bill = reading.get(Invoice, invoice)
        lines = [] if bill is None else reading.all(DeliveryLine, delivery=bill.delivery)
        found = []
        for line in lines:
            gone = sum(
                (one.quantity for one in reading.all(CreditLine, delivery_line=line.id)),
                Decimal(0),
            )
            product = reading.get(Product, line.product)
            if product is not None and gone < line.quantity:
                found.append((line, product, line.quantity - gone))
        return found


def _credit(
    act: Act, *, invoice: int, lines: Sequence[CreditWish], reason: str, **values: Any
) -> CreditNote:
    bill = act.need(Invoice, invoice)
    return credit_invoice(act, bill, lines, reason=reason or "", **values)
