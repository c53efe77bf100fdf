"""Deliveries: which lots are proposed for an order, and what really goes out of which lot."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from farmdesk.actions.base import Act
from farmdesk.actions.catalogue_checks import check_text
from farmdesk.actions.cold_store import (
    Lot,
    check_hold,
    first_day_of,
    need_lot,
    next_weights,
    take_from_lot,
)
from farmdesk.actions.orders import (
    DELIVERED,
    OPEN,
    check_unit,
    price_for,
)
from farmdesk.actions.promises import say_why_short
from farmdesk.arithmetic.money_sums import PriceUnit, Taxed, bill_line, find_quantity, total_invoice
from farmdesk.domain.catalogue import Customer, Product, TaxRate
from farmdesk.domain.codes import name_for
from farmdesk.domain.harvest import Pick
from farmdesk.domain.trade import Delivery, DeliveryLine, Order, OrderLine, wanted_mg
from farmdesk.errors import Problem, Refused, problem
from farmdesk.quantities.times import day_plus
from farmdesk.store.sales import Delivered, delivered_of_order, weights_left

# Weights are caught, not cut: a little more than asked is usual. Common practice, no source.
_MORE_ALLOWED_PERCENT = 5


@dataclass(frozen=True)
class DeliverLine:
    """What goes out of one lot: mg of a pick, or a count of packs.

    Of a line of an order the unit and price are the order's; without one the unit is the
    product's and the price the customer's list's, unless given.
    """

    product: int
    lot: int
    amount_mg: int | None = None
    count: int | None = None
    order_line: int | None = None
    unit: str | None = None
    price: Decimal | None = None
    includes_tax: bool = False
    """The price holds the tax, as at a market."""


@dataclass(frozen=True)
class _Going:
    line: DeliverLine
    product: Product
    lot: Lot
    unit: str
    price: Decimal
    note: str


def deliver(
    act: Act,
    order: Order,
    lines: Sequence[DeliverLine],
    *,
    delivered_on: str | None = None,
    is_last: bool = False,
    short_reason: str = "",
    note: str = "",
) -> Delivery:
    """Deliver for an order: lots get less, and know where they went.

    A product that the customer agreed to take instead may stand for a line. `short_reason` is
    kept at lines that stay short when this is the last of the order.

    The order is done when all of it went out, or when this is said to be the last of it. Raises
    Refused when a lot does not hold what is wanted or is of something else; Asked when a lot is
    past its shelf date, too old for the customer, or more goes out than was asked.
    """
    if order.status != OPEN:
        raise Refused(problem("order_not_open", order=order.name, status=order.status))
    known = {one.id: one for one in act.tx.all(OrderLine, order=order.id)}
    found = [
        problem("order_line_unknown", field="lines", order=order.name)
        for one in lines
        if one.order_line is not None and one.order_line not in known
    ]
    if found:
        raise Refused(*found)
    full = [_with_order(one, known) for one in lines]
    act.ask(*_over_order(act, order, full, known))
    delivery = _send(act, order.customer, full, delivered_on, note, order.id)
    gone = delivered_of_order(act.tx, order.id)
    short = [one.id for one in known.values() if not _is_filled(one, gone.get(one.id))]
    if is_last or not short:
        say_why_short(act, order, short, short_reason)
        act.change("order_delivered", order, status=DELIVERED)
    return delivery


def sell_now(
    act: Act,
    *,
    customer: int,
    lines: Sequence[DeliverLine],
    delivered_on: str | None = None,
    note: str = "",
) -> Delivery:
    """Sell without an order, such as at a market; checks as for an order's delivery."""
    bare = [replace(one, order_line=None) for one in lines]
    return _send(act, customer, bare, delivered_on, note, None)


def _with_order(line: DeliverLine, known: dict[int, OrderLine]) -> DeliverLine:
    if line.order_line is None:
        return line
    asked = known[line.order_line]
    if asked.swap_for is not None and line.product == asked.swap_for:
        # Agreed to come instead: it is billed as what it is, at its own price.
        return replace(line, unit=asked.unit)
    price = asked.unit_price if line.price is None else line.price
    return replace(line, product=asked.product, unit=asked.unit, price=price)


def _over_order(
    act: Act, order: Order, lines: Sequence[DeliverLine], known: dict[int, OrderLine]
) -> Iterator[Problem]:
    gone = delivered_of_order(act.tx, order.id)
    for asked in known.values():
        before = gone.get(asked.id, Delivered(0, 0))
        here = [one for one in lines if one.order_line == asked.id]
        if asked.unit == "pack":
            total = before.count + sum(one.count or 0 for one in here)
            wants = int(asked.quantity)
        else:
            total = before.amount_mg + sum(_mass_of(act, one) for one in here)
            wants = wanted_mg(asked.quantity, asked.unit)
        packs = before.count + sum(one.count or 0 for one in here)
        allowed = wants * (100 + _MORE_ALLOWED_PERCENT) // 100
        if asked.unit != "pack" and packs:
            allowed = max(allowed, wants + _half_a_pack(Delivered(total, packs)))
        if here and total > allowed:
            name = act.need(Product, asked.product).name
            quantity = f"{asked.quantity.normalize():f} {asked.unit}"
            yield problem("more_than_ordered", product=name, ordered=quantity, order=order.name)


def _mass_of(act: Act, line: DeliverLine) -> int:
    """What a line of loose goods or of weighed packs brings, mg."""
    if line.amount_mg is not None or line.count is None:
        return line.amount_mg or 0
    return sum(one.net_mg for one in weights_left(act.tx, line.lot)[: line.count])


def _half_a_pack(gone: Delivered) -> int:
    """Half of what the packs that went out weighed in the middle, mg."""
    return gone.amount_mg // (2 * gone.count)


def _is_filled(asked: OrderLine, gone: Delivered | None) -> bool:
    if gone is None:
        return False
    if asked.unit == "pack":
        return gone.count >= int(asked.quantity)
    if gone.count and gone.amount_mg:
        # Packs of their own weight come as near as half a pack.
        return wanted_mg(asked.quantity, asked.unit) - gone.amount_mg < _half_a_pack(gone)
    # What a bill shows as the whole quantity is the whole quantity.
    unit: PriceUnit = "lb" if asked.unit == "lb" else "kg"
    return find_quantity(unit, mass_mg=gone.amount_mg) >= asked.quantity


def _send(
    act: Act,
    customer: int,
    lines: Sequence[DeliverLine],
    delivered_on: str | None,
    note: str,
    order: int | None,
) -> Delivery:
    buyer = act.need(Customer, customer)
    day = delivered_on or act.day
    problems = [*check_text("note", note, needed=False, long=True)]
    if day > act.day:
        problems.append(problem("day_in_future", field="delivered_on", day=day, today=act.day))
    if not lines:
        problems.append(problem("delivery_empty", field="lines"))
    if problems:
        raise Refused(*problems)
    going = [_look_up(act, buyer, one) for one in lines]
    problems = [one for each in going for one in _check_line(act, each, day)]
    if problems:
        raise Refused(*problems)
    act.ask(*_questions(buyer, going, day))
    delivery_id = act.next_id("delivery")
    delivery = act.make(
        "delivery_sent",
        Delivery(
            id=delivery_id,
            name=name_for("delivery", act.running("delivery", delivery_id)),
            customer=buyer.id,
            order=order,
            delivered_on=day,
            person=act.who.person,
            note=note.strip(),
        ),
    )
    for each in going:
        _send_line(act, delivery, each)
    return delivery


def _look_up(act: Act, buyer: Customer, line: DeliverLine) -> _Going:
    product = act.need(Product, line.product)
    lot = need_lot(act, line.lot)
    unit = line.unit or product.unit
    wrong = tuple(check_unit(product, unit))
    if wrong:
        raise Refused(*wrong)
    price, note = price_for(act, buyer, product, unit, line.price)
    return _Going(line, product, lot, unit, price, note)


def _check_line(act: Act, going: _Going, day: str) -> Iterator[Problem]:
    product, lot = going.product, going.lot
    if isinstance(lot, Pick):
        fits = product.unit != "pack" and product.species in (None, lot.species)
        amount = going.line.amount_mg
    else:
        fits = lot.product == product.id
        amount = going.line.count
    if not fits:
        yield problem("lot_is_not_product", field="lines", lot=lot.name, product=product.name)
    elif amount is None or amount <= 0:
        yield problem("amount_missing", field="lines", lot=lot.name)
    yield from check_hold(lot, "lines")
    first = first_day_of(act, lot)
    if day < first:
        facts = {"day": day, "lot": lot.name, "first": first}
        yield problem("delivered_before_lot", field="delivered_on", **facts)


def _questions(buyer: Customer, going: Sequence[_Going], day: str) -> Iterator[Problem]:
    until = day_plus(day, buyer.minimum_life_days)
    for lot in {each.lot.id: each.lot for each in going}.values():
        if lot.shelf_on is None:
            continue
        if lot.shelf_on < day:
            yield problem("lot_expired", lot=lot.name, shelf_on=lot.shelf_on)
        elif lot.shelf_on < until:
            yield problem(
                "lot_life_short",
                lot=lot.name,
                shelf_on=lot.shelf_on,
                customer=buyer.name,
                days=buyer.minimum_life_days,
            )


def tax_of(act: Act, product: Product) -> Decimal:
    """The rate of tax that a product is sold under: its own, else the farm's."""
    if product.tax_rate is None:
        return act.farm.tax_percent
    return act.need(TaxRate, product.tax_rate).percent


def _send_line(act: Act, delivery: Delivery, going: _Going) -> None:
    line = going.line
    # Read anew: an earlier line may have taken from the same lot.
    lot = need_lot(act, line.lot)
    weighed = next_weights(act, lot, line.count)
    mass, packs = take_from_lot(
        act, lot, amount_mg=line.amount_mg, count=line.count, happening="stock_delivered"
    )
    unit: PriceUnit = going.unit  # type: ignore[assignment]
    quantity = find_quantity(unit, mass_mg=mass, packs=packs)
    bill = bill_line(quantity, unit=unit, unit_price=going.price, currency=act.farm.currency)
    rate = tax_of(act, going.product)
    net = bill.total
    if line.includes_tax:
        whole = [Taxed(bill.total, rate)]
        net = total_invoice(whole, currency=act.farm.currency, prices_include_tax=True).net
    sent = act.make(
        "delivery_line_sent",
        DeliveryLine(
            id=act.next_id("delivery_line"),
            delivery=delivery.id,
            order_line=line.order_line,
            product=going.product.id,
            lot=lot.id,
            amount_mg=mass,
            count=packs,
            quantity=quantity,
            unit=unit,
            unit_price=bill.unit_price,
            total=net,
            tax_percent=rate,
        ),
        note=going.note,
    )
    for each in weighed:
        act.change("pack_weight_sold", each, delivery_line=sent.id)
    act.link("lot_delivered", parent=lot.id, child=delivery.id, amount_mg=mass, how="measured")
