"""Orders, deliveries and invoices."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from farmdesk.domain.cells import ref


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


@dataclass(frozen=True)
class OrderLine:
    """One product asked for; `quantity` in `unit` (kg, lb or pack) at `unit_price`."""

    id: int
    order: int = ref("order")
    product: int = ref("product")
    quantity: Decimal = Decimal(0)
    unit: str = "kg"
    unit_price: Decimal = Decimal(0)


@dataclass(frozen=True)
class Delivery:
    """What went out to a customer in one go."""

    id: int
    name: str
    customer: int = ref("customer")
    order: int | None = ref("order", none=True)
    delivered_on: str = ""
    person: int | None = ref("person", none=True)
    note: str = ""


@dataclass(frozen=True)
class DeliveryLine:
    """One lot in a delivery: mg by weight, or a count of packs; total to the cent."""

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


@dataclass(frozen=True)
class Invoice:
    """The bill for a delivery."""

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
