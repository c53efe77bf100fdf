"""Packing an order by scan: which lots are proposed, and why another one is refused."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from farmdesk.actions.proposals import OrderProposal, propose_orders
from farmdesk.domain.catalogue import Customer, Farm, Product
from farmdesk.domain.harvest import Pack, Pick
from farmdesk.domain.trade import Order, OrderLine
from farmdesk.errors import NotFound, Problem, problem
from farmdesk.quantities.times import day_plus, today_in
from farmdesk.store.sales import delivered_of_order, lots_with_stock, still_wanted
from farmdesk.store.sales_lists import open_orders
from farmdesk.store.transaction import Reading

AHEAD_DAYS = 7
"""Orders due within so many days after one are thought of when lots are proposed for it."""


@dataclass(frozen=True)
class OrderPacking:
    """Lots proposed for an order, and for every other lot on hand why it must not be packed."""

    proposal: OrderProposal
    reasons: Mapping[int, Problem]
    swaps: Mapping[int, int]
    """The product that was agreed to come instead, by order line."""


def read_packing(reading: Reading, order_id: int, *, on: str | None = None) -> OrderPacking:
    """How an order can be packed on a day, together with all that are due by a week after it.

    What strict customers need is left to them, and what only lenient ones take goes first.
    Raises NotFound.
    """
    order = reading.get(Order, order_id)
    if order is None:
        raise NotFound(problem("not_found", kind="order", id=order_id))
    farm = reading.first(Farm)
    day = on or today_in("UTC" if farm is None else farm.zone)
    others = open_orders(reading, day_plus(max(order.due_on, day), AHEAD_DAYS))
    orders = [order, *(one for one in others if one.id != order.id)]
    proposals = propose_orders(reading, orders, on=day)
    lines = reading.all(OrderLine, order=order.id)
    asked = _Asked(reading, order, lines, day)
    taken = _taken_by_others(reading, orders[1:], proposals[1:])
    mine = {one.lot for one in proposals[0].lines}
    reasons: dict[int, Problem] = {}
    for lot in lots_with_stock(reading):
        found = next(asked.check(lot), None)
        if found is None and lot.id not in mine and mine:
            found = _for_others(lot, taken)
        if found is not None:
            reasons[lot.id] = found
    swaps = {one.id: one.swap_for for one in lines if one.swap_for is not None}
    return OrderPacking(proposals[0], reasons, swaps)


class _Asked:
    """What an order still asks for, and of what age."""

    def __init__(self, reading: Reading, order: Order, lines: list[OrderLine], day: str) -> None:
        gone = delivered_of_order(reading, order.id)
        short = [one for one in lines if still_wanted(one, gone)]
        wanted = {one.product for one in short} | {one.swap_for or 0 for one in short}
        self._products = {one.id: one for one in reading.all(Product)}
        self._wanted = [self._products[one] for one in wanted if one in self._products]
        self._order, self._day = order, day
        self._customer = reading.get(Customer, order.customer)

    def check(self, lot: Pick | Pack) -> Iterator[Problem]:
        """Why a lot must not go into this order, the weightiest reason first."""
        if lot.hold:
            yield problem("lot_on_hold", lot=lot.name, why=lot.hold)
        if not any(_is_of(lot, product) for product in self._wanted):
            what = self._products[lot.product].name if isinstance(lot, Pack) else lot.name
            yield problem("lot_other_product", lot=lot.name, what=what, order=self._order.name)
        if lot.shelf_on is None:
            return
        if lot.shelf_on < self._day:
            yield problem("lot_past_date", lot=lot.name, shelf_on=lot.shelf_on)
        days = 0 if self._customer is None else self._customer.minimum_life_days
        if self._customer and lot.shelf_on < day_plus(self._day, days):
            facts = {"customer": self._customer.name, "days": days}
            yield problem("lot_too_old_for", lot=lot.name, shelf_on=lot.shelf_on, **facts)


def _is_of(lot: Pick | Pack, product: Product) -> bool:
    if isinstance(lot, Pack):
        return lot.product == product.id
    is_loose = product.unit != "pack" and product.fill != "catch"
    return is_loose and product.species in (None, lot.species)


def _taken_by_others(
    reading: Reading, orders: list[Order], proposals: tuple[OrderProposal, ...]
) -> dict[int, tuple[int, list[str]]]:
    """By lot: how much of it the other orders need (mg or packs), and who."""
    found: dict[int, tuple[int, list[str]]] = {}
    for order, one in zip(orders, proposals, strict=True):
        customer = reading.get(Customer, order.customer)
        name = order.name if customer is None else customer.name
        for line in one.lines:
            amount, who = found.get(line.lot, (0, []))
            amount += line.count or line.amount_mg or 0
            found[line.lot] = (amount, [*who, name] if name not in who else who)
    return found


def _for_others(lot: Pick | Pack, taken: Mapping[int, tuple[int, list[str]]]) -> Problem | None:
    amount, who = taken.get(lot.id, (0, []))
    left = lot.left if isinstance(lot, Pack) else lot.left_mg
    if not who or amount < left:
        return None
    return problem("lot_for_others", lot=lot.name, others=", ".join(who))
