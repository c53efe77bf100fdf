"""Forms of sales: orders taken, changed and cancelled, goods that go out, invoices paid."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import partial
from typing import Any

from farmdesk.actions.base import Act
from farmdesk.actions.deliveries import DeliverLine, deliver, sell_now
from farmdesk.actions.invoices import issue_invoice, mark_paid
from farmdesk.actions.orders import WantedLine, cancel_order, change_order, take_order
from farmdesk.actions.packing_checks import OrderPacking, read_packing
from farmdesk.actions.proposals import Short
from farmdesk.desk.context import DeskContext
from farmdesk.desk.dialogs import FormDialog
from farmdesk.desk.fields import CheckField, ChoiceField, DayField, NotesField, TextField
from farmdesk.desk.pages.order_lines import OrderLinesField, widen
from farmdesk.desk.pages.sales_goods import Goods, GoodsField
from farmdesk.domain.catalogue import Product
from farmdesk.domain.trade import Delivery, Invoice, Order, OrderLine
from farmdesk.reports.sales_lists import InvoiceRow, OrderRow, SalesThings, say_quantity
from farmdesk.store.farm_store import FarmStore
from farmdesk.wording.language import tr
from farmdesk.wording.sentences import say

Sent = tuple[Delivery, Invoice | None]


class OrderDialog(FormDialog):
    """A new order, or an open one that is changed."""

    def __init__(
        self, context: DeskContext, things: SalesThings, order: OrderRow | None = None
    ) -> None:
        title = (
            tr("New order") if order is None else tr("Change order {name}").format(name=order.name)
        )
        super().__init__(title, save_title=tr("Save") if order else tr("Take the order"))
        widen(self, 92)
        self._context = context
        self._order = order
        add = self.form.add
        self.customer = add(
            ChoiceField(
                "customer",
                tr("Customer"),
                things.catalogue.choices("customer"),
                required=True,
                value=order.customer_id if order else None,
                hint=""
                if things.catalogue.all("customer")
                else tr("Add customers in the catalogue (Ctrl+9) first."),
            )
        )
        self.customer.setEnabled(order is None)
        add(DayField("due_on", tr("To be delivered on"), context.formats, required=True,
                     value=order.due_on if order else ""))  # fmt: skip
        self.lines = add(OrderLinesField("lines", tr("What is wanted"), context, things))
        add(NotesField("note", tr("Note"), value=order.note if order else ""))
        self.customer.changed.connect(self._customer_chosen)
        self._customer_chosen()
        for one in order.lines if order else ():
            self.lines.add_row(WantedLine(one.product, one.quantity, one.unit, one.unit_price))
        if not self.lines.rows:
            self.lines.add_row()

    def save(self, values: dict[str, Any]) -> None:
        """Keep the order."""
        if self._order is None:
            self.run(self._context.act, partial(take_order, **values))
            return
        values.pop("customer")
        self.run(self._context.act, partial(_change, order=self._order.id, **values))

    def _customer_chosen(self) -> None:
        self.lines.set_customer(self.customer.chosen())


class CancelDialog(FormDialog):
    """An order that will not come; what was delivered of it stays delivered."""

    def __init__(self, context: DeskContext, order: OrderRow) -> None:
        super().__init__(
            tr("Cancel order {name}").format(name=order.name),
            sentence=f"{order.customer}: {order.wanted}",
            save_title=tr("Cancel the order"),
        )
        self.form.add(NotesField("note", tr("Why")))
        self.on_save = lambda values: self.run(
            context.act, partial(_cancel, order=order.id, **values)
        )


class GoodsDialog(FormDialog):
    """What goes out to a customer; `on_sent` is told afterwards."""

    def __init__(
        self,
        context: DeskContext,
        title: str,
        *,
        sentence: str,
        on_sent: Callable[[Sent], object],
    ) -> None:
        super().__init__(title, sentence=sentence, save_title=tr("Deliver"))
        widen(self, 140)
        self._context = context
        self._on_sent = on_sent

    def add_goods(self, goods: GoodsField) -> None:
        """The lots, then the day, the invoice and a note."""
        self.goods = self.form.add(goods)
        self.form.add(DayField("delivered_on", tr("On"), self._context.formats, value="today"))
        self.form.add(CheckField("bills", tr("Issue the invoice at once"), value=True))
        self.form.add(NotesField("note", tr("Note, on the delivery note")))

    def take_scan(self, line: str) -> bool:
        """A scanned lot is named on a line."""
        found = self.read_scan(line)
        if found is None:
            return True
        known = self.goods.take_lot(found)
        self.form.show_on_top("" if known else tr("That code is no lot on hand of these products."))
        return True

    def _finish(self, result: Any) -> None:
        super()._finish(result)
        self._on_sent(result)


class DeliverDialog(GoodsDialog):
    """Lots for an order: proposed by earliest shelf date, to be changed as they are weighed."""

    def __init__(
        self,
        context: DeskContext,
        things: SalesThings,
        order: OrderRow,
        *,
        on_sent: Callable[[Sent], object],
    ) -> None:
        super().__init__(
            context,
            tr("Deliver order {name}").format(name=order.name),
            sentence=tr("{customer}, due {due_on}: {wanted}").format(
                customer=order.customer,
                due_on=context.formats.day(order.due_on),
                wanted=order.wanted,
            ),
            on_sent=on_sent,
        )
        self._things = things
        self._order = order
        products = {one.id: one for one in things.catalogue.all("product")}
        self._packing: OrderPacking | None = None
        goods = [
            Goods(line.id, self._say_line(line, products), products[line.product], line.id)
            for line in order.lines
        ]
        # What was agreed to come instead of a line stands for the same line.
        goods += [
            Goods(
                -line.id,
                tr("{name}, instead of {asked}").format(
                    name=products[line.swap_for].name, asked=products[line.product].name
                ),
                products[line.swap_for],
                line.id,
            )
            for line in order.lines
            if line.swap_for is not None
        ]
        self.add_goods(
            GoodsField(
                "lines", tr("What goes out"), things, goods, formats=context.formats,
                hint=tr(
                    "Proposed by earliest shelf date, thinking of the other orders. Scan each lot"
                    " as it is packed: a wrong one is refused. Put in what was really weighed."
                ),
            )
        )  # fmt: skip
        self.form.add(CheckField("is_last", tr("That is all: the rest of the order will not come")))
        self.form.add(
            TextField("short_reason", tr("Why less comes"), placeholder=tr("picked too little"))
        )
        context.workplace.read(
            load_packing, context.farm, order.id, then=self._proposed, failed=self.form.show_error
        )

    def save(self, values: dict[str, Any]) -> None:
        """Deliver it."""
        self.run(self._context.act, partial(_deliver, order=self._order.id, **values))

    def take_scan(self, line: str) -> bool:
        """A scanned lot is ticked off, named on a line, or refused with the reason."""
        found = self.read_scan(line)
        if found is None:
            return True
        wrong = None if self._packing is None else self._packing.reasons.get(found)
        if wrong is not None:
            self.form.show_on_top(say(wrong))
            return True
        return super().take_scan(line)

    def _say_line(self, line: OrderLine, products: Mapping[int, Product]) -> str:
        formats = self._context.formats
        facts = {
            "name": products[line.product].name,
            "quantity": say_quantity(line.quantity, line.unit, formats),
        }
        if line.promised is None or line.promised == line.quantity:
            return tr("{name}, {quantity} ordered").format(**facts)
        promised = say_quantity(line.promised, line.unit, formats)
        return tr("{name}, {quantity} ordered, {promised} promised").format(
            promised=promised, **facts
        )

    def _proposed(self, packing: OrderPacking) -> None:
        self._packing = packing
        found = packing.proposal
        self.goods.set_value(found.lines)
        if not found.lines:
            self.goods.add_row()
        short = ", ".join(self._say_short(one) for one in found.short)
        if short:
            self.form.show_on_top(
                tr("Not enough on hand that is fresh enough. Short: {short}.").format(short=short)
            )
        if self.goods.rows:
            self.goods.rows[0].amount.setFocus()

    def _say_short(self, one: Short) -> str:
        formats = self._context.formats
        name = self._things.catalogue.name("product", one.product)
        if one.count:
            return f"{formats.count(one.count, 'pack', 'packs')} {name}"
        return f"{formats.mass(one.amount_mg)} {name}"


class SellDialog(GoodsDialog):
    """A sale without an order, such as at a market."""

    def __init__(
        self,
        context: DeskContext,
        things: SalesThings,
        *,
        lots: Sequence[int] = (),
        on_sent: Callable[[Sent], object],
    ) -> None:
        super().__init__(
            context,
            tr("Sell without an order"),
            sentence=tr("For a market or a farm gate: what leaves now, out of which lot."),
            on_sent=on_sent,
        )
        self.form.add(
            ChoiceField(
                "customer",
                tr("Customer"),
                things.catalogue.choices("customer"),
                required=True,
                hint=tr("A customer such as “Market” stands for all who buy there."),
            )
        )
        goods = [Goods(one.id, one.name, one) for one in things.products()]
        self.add_goods(
            GoodsField(
                "lines",
                tr("What goes out"),
                things,
                goods,
                formats=context.formats,
                with_price=True,
                hint=tr("Scan a crate or pack label, or choose. Empty price: the customer's list."),
            )
        )
        for one in lots:
            self.goods.take_lot(one)
        if not self.goods.rows:
            self.goods.add_row()

    def save(self, values: dict[str, Any]) -> None:
        """Sell it."""
        self.run(self._context.act, partial(_sell, **values))


class PaidDialog(FormDialog):
    """Invoices that were paid, on a day."""

    def __init__(self, context: DeskContext, rows: Sequence[InvoiceRow]) -> None:
        names = ", ".join(f"{one.name} {context.formats.money(one.total)}" for one in rows)
        super().__init__(tr("Mark as paid"), sentence=names, save_title=tr("Paid"))
        self.form.add(DayField("paid_on", tr("Paid on"), context.formats, value="today"))
        ids = [one.id for one in rows]
        self.on_save = lambda values: self.run(context.act, partial(_pay, ids=ids, **values))


def load_packing(store: FarmStore, order: int) -> OrderPacking:
    """The lots proposed for an order, and why others are not for it."""
    with store.reading() as reading:
        return read_packing(reading, order)


def bill_deliveries(act: Act, *, ids: Sequence[int]) -> list[Invoice]:
    """Issue the invoices of deliveries."""
    return [issue_invoice(act, act.need(Delivery, one)) for one in ids]


def _change(act: Act, *, order: int, **values: Any) -> Order:
    return change_order(act, act.need(Order, order), **values)


def _cancel(act: Act, *, order: int, note: str) -> Order:
    return cancel_order(act, act.need(Order, order), note=note)


def _deliver(
    act: Act, *, order: int, lines: Sequence[DeliverLine], bills: bool, **values: Any
) -> Sent:
    why = values.pop("short_reason") or ""
    delivery = deliver(act, act.need(Order, order), lines, short_reason=why, **values)
    return delivery, issue_invoice(act, delivery) if bills else None


def _sell(act: Act, *, bills: bool, **values: Any) -> Sent:
    delivery = sell_now(act, **values)
    return delivery, issue_invoice(act, delivery) if bills else None


def _pay(act: Act, *, ids: Sequence[int], paid_on: str | None) -> list[Invoice]:
    return [mark_paid(act, act.need(Invoice, one), paid_on=paid_on) for one in ids]
