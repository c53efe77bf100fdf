"""Questions about what was asked and what came of it."""

from __future__ import annotations

from decimal import Decimal
from typing import Any, NamedTuple

from sqlalchemy import select

from farmdesk.domain.trade import wanted_mg
from farmdesk.store.schema import TABLES
from farmdesk.store.transaction import Reading

_ORDER, _LINE, _SENT, _CUSTOMER = (
    TABLES[kind].c for kind in ("order", "order_line", "delivery_line", "customer")
)


class AskedLine(NamedTuple):
    """One order line, mg or packs: what was asked, what came of it and what came instead."""

    customer: str
    asked: int
    as_asked: int
    swapped: int
    reason: str


def lines_asked(reading: Reading, first: str, last: str) -> list[AskedLine]:
    """The lines of orders due from a day to another, both counted; cancelled ones are left out."""
    due: Any = (
        select(
            _LINE.id, _CUSTOMER.name, _LINE.product, _LINE.quantity, _LINE.unit, _LINE.short_reason
        )
        .join_from(TABLES["order_line"], TABLES["order"], _ORDER.id == _LINE.order)
        .join(TABLES["customer"], _CUSTOMER.id == _ORDER.customer)
        .where(_ORDER.due_on.between(first, last), _ORDER.status != "cancelled")
        .order_by(_LINE.id)
    )
    gone: Any = (
        select(_SENT.order_line, _SENT.product, _SENT.amount_mg, _SENT["count"])
        .join_from(TABLES["delivery_line"], TABLES["order_line"], _LINE.id == _SENT.order_line)
        .join(TABLES["order"], _ORDER.id == _LINE.order)
        .where(_ORDER.due_on.between(first, last))
    )
    came: dict[int, list[tuple[int, int, int]]] = {}
    for line, product, amount_mg, count in reading.run(gone):
        came.setdefault(line, []).append((product, amount_mg, count))
    found = []
    for line, customer, product, quantity, unit, reason in reading.run(due):
        asked = Decimal(quantity)
        amount = int(asked) if unit == "pack" else wanted_mg(asked, unit)
        at = 2 if unit == "pack" else 1
        sent = came.get(line, [])
        same = sum(one[at] for one in sent if one[0] == product)
        other = sum(one[at] for one in sent if one[0] != product)
        # A weight that is printed as the whole is the whole: a gram is no shortage.
        slack = 0 if unit == "pack" else 5_000
        same = amount if amount - slack <= same < amount else same
        found.append(AskedLine(customer, amount, same, other, reason))
    return found
