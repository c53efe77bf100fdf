"""Promises: what was said to be coming of an order, what instead, and why less came."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal

from farmdesk.actions.base import Act
from farmdesk.actions.catalogue_checks import check_text
from farmdesk.actions.orders import OPEN
from farmdesk.domain.catalogue import Product
from farmdesk.domain.trade import Order, OrderLine
from farmdesk.errors import Problem, Refused, problem


@dataclass(frozen=True)
class Promise:
    """What is said about one line: how much of what was asked, and what else is taken instead.

    `quantity` none: nothing is said yet. `swap_for` is a product that the customer agreed to
    take where there is too little; `reason` says why less comes.
    """

    line: int
    quantity: Decimal | None
    swap_for: int | None = None
    reason: str = ""


def promise_order(act: Act, order: Order, promises: Sequence[Promise]) -> Order:
    """Keep what was said about lines of an open order; what was asked stays as it is.

    Raises Refused for more than was asked, less than nothing, or a swap that cannot be; Asked
    when less is promised without a reason.
    """
    if order.status != OPEN:
        raise Refused(problem("order_not_open", order=order.name, status=order.status))
    known = {one.id: one for one in act.tx.all(OrderLine, order=order.id)}
    if any(one.line not in known for one in promises):
        raise Refused(problem("order_line_unknown", field="promises", order=order.name))
    found = [each for one in promises for each in _check(act, known[one.line], one)]
    if found:
        raise Refused(*found)
    is_said = False
    for one in promises:
        line = known[one.line]
        fields = {
            "promised": one.quantity,
            "swap_for": one.swap_for,
            "short_reason": one.reason.strip(),
        }
        act.change_fields("order_line_promised", line, fields)
        is_said = is_said or one.quantity is not None
    return act.change_fields("order_promised", order, {"promised_on": act.day if is_said else ""})


def say_why_short(act: Act, order: Order, lines: Sequence[int], why: str) -> None:
    """Keep why less came of lines than was asked; what is kept already stays."""
    for line in act.tx.all(OrderLine, order=order.id):
        if line.id in lines and why.strip() and not line.short_reason:
            act.change("order_line_short", line, short_reason=why.strip())


def can_swap(asked: Product, instead: Product) -> bool:
    """Whether one product may come for another: both by the pack or both by weight."""
    return asked.id != instead.id and (asked.unit == "pack") == (instead.unit == "pack")


def _check(act: Act, line: OrderLine, one: Promise) -> Iterator[Problem]:
    asked = act.need(Product, line.product)
    yield from check_text("reason", one.reason, needed=False)
    if one.quantity is not None:
        if not one.quantity.is_finite() or one.quantity < 0:
            yield problem("promise_wrong", field="promises", product=asked.name)
        elif one.quantity > line.quantity:
            facts = {"product": asked.name, "asked": f"{line.quantity.normalize():f} {line.unit}"}
            yield problem("promise_above_asked", field="promises", **facts)
        elif line.unit == "pack" and one.quantity != one.quantity.to_integral_value():
            yield problem("product_sold_by_pack", field="promises", product=asked.name)
    if one.swap_for is not None:
        instead = act.need(Product, one.swap_for)
        if not can_swap(asked, instead):
            facts = {"product": asked.name, "instead": instead.name}
            yield problem("swap_cannot_be", field="promises", **facts)
