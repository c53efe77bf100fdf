"""Which lots to take for open orders: earliest shelf date first, lenient customers first."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import accumulate

from farmdesk.actions.deliveries import DeliverLine
from farmdesk.arithmetic.allocation import LotOffer, LotTake, Wanted, propose_lots
from farmdesk.domain.catalogue import Customer, Farm, Product
from farmdesk.domain.trade import Order, OrderLine
from farmdesk.quantities.times import today_in
from farmdesk.store.sales import (
    delivered_of_order,
    packs_with_stock,
    picks_with_stock,
    still_wanted,
    weights_left,
)
from farmdesk.store.transaction import Reading


@dataclass(frozen=True)
class Short:
    """What no lot is there for: mg, or packs."""

    order_line: int
    product: int
    amount_mg: int = 0
    count: int = 0


@dataclass(frozen=True)
class OrderProposal:
    """Lines ready to be delivered for one order, and what is short."""

    order: int
    lines: tuple[DeliverLine, ...]
    short: tuple[Short, ...]


@dataclass(frozen=True)
class _Open:
    order: int
    line: OrderLine
    products: tuple[Product, ...]
    """What was asked, and what the customer agreed to take instead."""
    wanted: Wanted


def propose(reading: Reading, order: Order, *, on: str | None = None) -> OrderProposal:
    """Propose lots for what is still open of an order, delivered `on` a day.

    That day is the order's, or today when it has passed. Lots that end before the customer's
    minimum life are left out; a lot whose end nobody knows is only for customers without one.
    """
    return propose_orders(reading, [order], on=on)[0]


def propose_orders(
    reading: Reading, orders: Sequence[Order], *, on: str | None = None
) -> tuple[OrderProposal, ...]:
    """Propose lots for several orders together, so that no lot is promised twice."""
    day = on or _today(reading)
    lines = [line for order in orders for line in _open_lines(reading, order, day)]
    offers = _offers(reading, [each for one in lines for each in one.products])
    kinds = {one.id: one.kind for one in offers}
    proposed = propose_lots(offers, [one.wanted for one in lines])
    whole = _WholePacks(reading)
    made = []
    for order in orders:
        mine = [
            (one, got) for one, got in zip(lines, proposed, strict=True) if one.order == order.id
        ]
        taken = tuple(
            line
            for one, got in mine
            for take in got.takes
            if (line := _deliver_line(one, take, kinds[take.lot], whole)) is not None
        )
        short = tuple(_short(one, got.short) for one, got in mine if got.short)
        made.append(OrderProposal(order.id, taken, short))
    return tuple(made)


def _today(reading: Reading) -> str:
    farm = reading.first(Farm)
    return today_in("UTC" if farm is None else farm.zone)


def _open_lines(reading: Reading, order: Order, day: str) -> Iterator[_Open]:
    customer = reading.get(Customer, order.customer)
    minimum = 0 if customer is None else customer.minimum_life_days
    gone = delivered_of_order(reading, order.id)
    for line in reading.all(OrderLine, order=order.id):
        product = reading.get(Product, line.product)
        if product is None:
            continue
        instead = None if line.swap_for is None else reading.get(Product, line.swap_for)
        products = (product,) if instead is None else (product, instead)
        kind, *others = [_kind(one) for one in products]
        rest = still_wanted(line, gone)
        wanted = Wanted(line.id, kind, rest, max(order.due_on, day), minimum, tuple(others))
        yield _Open(order.id, line, products, wanted)


def _kind(product: Product) -> str:
    """What a lot must be of; loose mushrooms of any species are chosen by hand."""
    if product.fill == "catch":
        return f"weighed {product.id}"
    return f"packs {product.id}" if product.unit == "pack" else f"species {product.species}"


def _offers(reading: Reading, products: Iterable[Product]) -> list[LotOffer]:
    lots: dict[int, LotOffer] = {}
    for product in {one.id: one for one in products}.values():
        kind = _kind(product)
        if product.unit == "pack" or product.fill == "catch":
            for pack in packs_with_stock(reading, product.id):
                shelf_on = pack.shelf_on
                free = pack.left
                if product.fill == "catch":
                    free = sum(one.net_mg for one in weights_left(reading, pack.id))
                lots[pack.id] = LotOffer(
                    pack.id, kind, shelf_on, free, pack.packed_on, bool(pack.hold)
                )
        elif product.species is not None:
            for pick in picks_with_stock(reading, product.species):
                shelf_on = pick.shelf_on
                lots[pick.id] = LotOffer(
                    pick.id, kind, shelf_on, pick.left_mg, pick.picked_at, bool(pick.hold)
                )
    return list(lots.values())


class _WholePacks:
    """Packs that were weighed one by one, handed out from the first on, none of them twice."""

    def __init__(self, reading: Reading) -> None:
        self._reading = reading
        self._left: dict[int, list[int]] = {}

    def take(self, lot: int, amount_mg: int) -> int:
        """How many packs of a lot come nearest to an amount; fewer when two are as near."""
        if lot not in self._left:
            self._left[lot] = [one.net_mg for one in weights_left(self._reading, lot)]
        sums = [0, *accumulate(self._left[lot])]
        packs = min(range(len(sums)), key=lambda at: abs(sums[at] - amount_mg))
        del self._left[lot][:packs]
        return packs


def _deliver_line(one: _Open, take: LotTake, kind: str, whole: _WholePacks) -> DeliverLine | None:
    is_pack = one.line.unit == "pack"
    product = next(each for each in one.products if _kind(each) == kind)
    if product.fill == "catch":
        packs = whole.take(take.lot, take.amount)
        line = DeliverLine(
            product.id, take.lot, count=packs, order_line=one.line.id, unit=one.line.unit
        )
        return line if packs else None
    return DeliverLine(
        product=product.id,
        lot=take.lot,
        amount_mg=None if is_pack else take.amount,
        count=take.amount if is_pack else None,
        order_line=one.line.id,
        unit=one.line.unit,
    )


def _short(one: _Open, amount: int) -> Short:
    if one.line.unit == "pack":
        return Short(one.line.id, one.line.product, count=amount)
    return Short(one.line.id, one.line.product, amount_mg=amount)
