"""Orders, deliveries and invoices."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from farmdesk.domain.cells import ref
from farmdesk.quantities.mass import mg_from


@dataclass(frozen=True)
class Order:
    """What a customer asked for, to be delivered on a day."""

    id: int
    name: str
    customer: int = ref("customer")
    taken_on: str = ""
    due_on: str = ""
    status: str = "open"
    note: str = ""
    standing: int | None = ref("standing_order", none=True)
    promised_on: str = ""


@dataclass(frozen=True)
class OrderLine:
    """One product asked for; `quantity` in `unit` (kg, lb or pack) at `unit_price`.

    `quantity` stays what was asked; `promised` is what was said to be coming (none: nothing said
    yet), `swap_for` a product the customer agreed to take instead, `short_reason` why less came.
    """

    id: int
    order: int = ref("order")
    product: int = ref("product")
    quantity: Decimal = Decimal(0)
    unit: str = "kg"
    unit_price: Decimal = Decimal(0)
    promised: Decimal | None = None
    swap_for: int | None = ref("product", none=True)
    short_reason: str = ""


def wanted_mg(quantity: Decimal, unit: str) -> int:
    """A quantity in kg or lb as milligrams."""
    return mg_from(Fraction(quantity), unit)


def rest_of(line: OrderLine, *, sent_mg: int = 0, sent_packs: int = 0) -> int:
    """What is still to come of a line, mg or packs: what was promised, else what was asked."""
    quantity = line.quantity if line.promised is None else line.promised
    if line.unit == "pack":
        return max(0, int(quantity) - sent_packs)
    return max(0, wanted_mg(quantity, line.unit) - sent_mg)


@dataclass(frozen=True)
class Delivery:
    """What went out to a customer in one go; `temperature_c` was read when it was handed over."""

    id: int
    name: str
    customer: int = ref("customer")
    order: int | None = ref("order", none=True)
    delivered_on: str = ""
    person: int | None = ref("person", none=True)
    note: str = ""
    temperature_c: Decimal | None = None


@dataclass(frozen=True)
class DeliveryLine:
    """One lot in a delivery: mg by weight, or a count of packs; total to the cent, before tax.

    `tax_percent` none: the tax of its invoice.
    """

    id: int
    delivery: int = ref("delivery")
    order_line: int | None = ref("order_line", none=True)
    product: int = ref("product")
    lot: int = 0
    amount_mg: int = 0
    count: int = 0
    quantity: Decimal = Decimal(0)
    unit: str = "kg"
    unit_price: Decimal = Decimal(0)
    total: Decimal = Decimal(0)
    tax_percent: Decimal | None = None


@dataclass(frozen=True)
class Invoice:
    """The bill for a delivery; what it holds of each rate of tax stands in `InvoiceTax`."""

    id: int
    name: str
    customer: int = ref("customer")
    delivery: int = ref("delivery")
    issued_on: str = ""
    due_on: str = ""
    net: Decimal = Decimal(0)
    tax_percent: Decimal = Decimal(0)
    tax: Decimal = Decimal(0)
    total: Decimal = Decimal(0)
    paid_on: str | None = None
    note: str = ""


@dataclass(frozen=True)
class InvoiceTax:
    """The part of an invoice or credit note that falls under one rate of tax."""

    id: int
    invoice: int | None = ref("invoice", none=True)
    credit_note: int | None = ref("credit_note", none=True)
    percent: Decimal = Decimal(0)
    net: Decimal = Decimal(0)
    tax: Decimal = Decimal(0)


@dataclass(frozen=True)
class CreditNote:
    """What is taken off an invoice again, and why; money only: goods come back as `GoodsReturn`."""

    id: int
    name: str
    customer: int = ref("customer")
    invoice: int = ref("invoice")
    issued_on: str = ""
    reason: str = ""
    net: Decimal = Decimal(0)
    tax: Decimal = Decimal(0)
    total: Decimal = Decimal(0)
    note: str = ""


@dataclass(frozen=True)
class CreditLine:
    """One delivered line that a credit note takes off, whole or in part, before tax."""

    id: int
    credit_note: int = ref("credit_note")
    delivery_line: int = ref("delivery_line")
    quantity: Decimal = Decimal(0)
    unit: str = "kg"
    unit_price: Decimal = Decimal(0)
    total: Decimal = Decimal(0)
    tax_percent: Decimal = Decimal(0)


@dataclass(frozen=True)
class GoodsReturn:
    """Goods that a customer gave back: a record of a lot; they never become sellable again."""

    id: int
    name: str
    delivery_line: int = ref("delivery_line")
    reason: int = ref("reason")
    amount_mg: int = 0
    count: int = 0
    returned_on: str = ""
    person: int | None = ref("person", none=True)
    note: str = ""


@dataclass(frozen=True)
class Payment:
    """Money that a customer paid, in one go."""

    id: int
    customer: int = ref("customer")
    paid_on: str = ""
    amount: Decimal = Decimal(0)
    method: str = ""
    note: str = ""


@dataclass(frozen=True)
class PaymentShare:
    """The part of a payment that settles one invoice."""

    id: int
    payment: int = ref("payment")
    invoice: int = ref("invoice")
    amount: Decimal = Decimal(0)


@dataclass(frozen=True)
class MarketDay:
    """A day at a market: `customer` is the market, `fee` what the stand costs.

    `change_money` was in the till at the start, `cash` and `card` is what was counted at the end;
    `status` is open or closed.
    """

    id: int
    name: str
    customer: int = ref("customer")
    held_on: str = ""
    fee: Decimal = Decimal(0)
    change_money: Decimal = Decimal(0)
    cash: Decimal | None = None
    card: Decimal | None = None
    status: str = "open"
    person: int | None = ref("person", none=True)
    note: str = ""


@dataclass(frozen=True)
class MarketLine:
    """One lot at a market in its product's unit: taken out, sold, brought back, lost there.

    `total` is what was sold at `unit_price`, to the cent, tax included.
    """

    id: int
    market_day: int = ref("market_day")
    product: int = ref("product")
    lot: int = 0
    unit: str = "kg"
    taken: Decimal = Decimal(0)
    sold: Decimal = Decimal(0)
    returned: Decimal = Decimal(0)
    lost: Decimal = Decimal(0)
    unit_price: Decimal = Decimal(0)
    total: Decimal = Decimal(0)
    tax_percent: Decimal = Decimal(0)


@dataclass(frozen=True)
class TradeSetting:
    """How packs are marked for trade; one row.

    `company_prefix` was licensed by GS1; without one packs carry plain Code 128 only. `symbol` is
    code128, gs1_128, datamatrix or link; `link_domain` the start of the farm's Digital Links;
    `second_unit` is oz for ounces beside grams, g for grams alone, empty for ounces first where
    the farm weighs in pounds; `handling` is
    printed on every pack of fresh mushrooms; `net_rule` is hb133 or eu.
    """

    id: int
    company_prefix: str = ""
    symbol: str = "code128"
    link_domain: str = ""
    second_unit: str = ""
    handling: str = ""
    net_rule: str = "hb133"
