"""Orders: taken, changed and cancelled; prices come from the customer's list."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import NamedTuple

from farmdesk.actions.base import Act
from farmdesk.actions.catalogue_checks import check_text
from farmdesk.arithmetic.list_prices import ListPrice, choose_price
from farmdesk.domain.catalogue import Customer, Price, Product
from farmdesk.domain.codes import name_for
from farmdesk.domain.trade import Order, OrderLine, wanted_mg
from farmdesk.errors import Problem, Refused, problem
from farmdesk.quantities.mass import HEAVIEST_MG
from farmdesk.quantities.money import format_money
from farmdesk.quantities.times import day_plus
from farmdesk.store.sales import delivered_of_order
from farmdesk.store.transaction import Reading

OPEN, DELIVERED, CLOSED, CANCELLED = "open", "delivered", "closed", "cancelled"
MOST_PACKS = 100_000
_HIGHEST_PRICE = Decimal(1_000_000)


class WantedLine(NamedTuple):
    """One line of an order; the price is the list's unless given."""

    product: int
    quantity: Decimal
    unit: str
    price: Decimal | None = None


@dataclass(frozen=True)
class _Priced:
    product: Product
    quantity: Decimal
    unit: str
    price: Decimal
    note: str


def take_order(
    act: Act,
    *,
    customer: int,
    due_on: str,
    lines: Iterable[WantedLine | tuple[int, Decimal, str, Decimal | None]],
    taken_on: str | None = None,
    note: str = "",
    standing: int | None = None,
) -> Order:
    """Take an order: (product, quantity, unit kg, lb or pack, price or None for the list's).

    `standing` is a standing order that it was made of.

    Raises Refused with everything that cannot be.
    """
    buyer = act.need(Customer, customer)
    taken = taken_on or act.day
    problems = [*check_text("note", note, needed=False, long=True)]
    if taken > act.day:
        problems.append(problem("day_in_future", field="taken_on", day=taken, today=act.day))
    problems += _check_due(due_on, taken)
    priced = _price_lines(act, buyer, lines, problems)
    order_id = act.next_id("order")
    order = act.make(
        "order_taken",
        Order(
            id=order_id,
            name=name_for("order", act.running("order", order_id)),
            customer=buyer.id,
            taken_on=taken,
            due_on=due_on,
            status=OPEN,
            note=note.strip(),
            standing=standing,
        ),
    )
    for one in priced:
        _make_line(act, order, one)
    return order


def change_order(
    act: Act,
    order: Order,
    *,
    due_on: str | None = None,
    lines: Iterable[WantedLine | tuple[int, Decimal, str, Decimal | None]] | None = None,
    note: str | None = None,
) -> Order:
    """Change an open order; `lines` replace the ones it has.

    Raises Refused when a line would fall below what has been delivered of it.
    """
    _need_open(order)
    due = order.due_on if due_on is None else due_on
    text = order.note if note is None else note.strip()
    problems = [
        *check_text("note", text, needed=False, long=True),
        *_check_due(due, order.taken_on),
    ]
    if lines is None:
        if problems:
            raise Refused(*problems)
    else:
        buyer = act.need(Customer, order.customer)
        _replace_lines(act, order, _price_lines(act, buyer, lines, problems))
    return act.change_fields("order_changed", order, {"due_on": due, "note": text})


def cancel_order(act: Act, order: Order, *, note: str = "") -> Order:
    """Cancel an open order; one that was delivered in part is closed, its rest will not come."""
    _need_open(order)
    found = tuple(check_text("note", note, needed=False, long=True))
    if found:
        raise Refused(*found)
    status = CLOSED if delivered_of_order(act.tx, order.id) else CANCELLED
    text = note.strip() or order.note
    return act.change_fields(f"order_{status}", order, {"status": status, "note": text})


def find_price(
    reading: Reading, *, customer: Customer, product: int, unit: str, currency: str
) -> ListPrice | None:
    """The price on the customer's list for one unit of a product, or None."""
    if customer.price_list is None:
        return None
    rows = reading.all(Price, price_list=customer.price_list, product=product)
    return choose_price({row.unit: row.price for row in rows}, unit, currency)


def price_for(
    act: Act, customer: Customer, product: Product, unit: str, price: Decimal | None
) -> tuple[Decimal, str]:
    """The price of one unit and a word on where it is from; raises Refused where there is none."""
    if price is not None:
        if not price.is_finite() or not 0 <= price <= _HIGHEST_PRICE:
            raise Refused(problem("price_wrong", field="lines", product=product.name))
        return price, ""
    currency, locale = act.farm.currency, act.farm.locale
    found = find_price(act.tx, customer=customer, product=product.id, unit=unit, currency=currency)
    if found is None:
        facts = {"product": product.name, "customer": customer.name, "unit": unit}
        raise Refused(problem("price_missing", field="lines", **facts))
    if not found.is_converted:
        return found.price, ""
    listed = format_money(found.list_price, currency, locale)
    return found.price, f"Price worked out from {listed} for 1 {found.list_unit}"


def check_unit(product: Product, unit: str) -> Iterator[Problem]:
    """Packs are counted, everything else is weighed in kg or lb."""
    is_pack = product.unit == "pack"
    if unit not in ("kg", "lb", "pack"):
        yield problem("price_unit_unknown", field="lines", unit=unit)
    elif is_pack != (unit == "pack"):
        code = "product_sold_by_pack" if is_pack else "product_sold_by_weight"
        yield problem(code, field="lines", product=product.name)


def _price_lines(
    act: Act,
    customer: Customer,
    lines: Iterable[WantedLine | tuple[int, Decimal, str, Decimal | None]],
    problems: list[Problem],
) -> list[_Priced]:
    """The lines with their prices; raises Refused with these problems and all that are found."""
    found = list(problems)
    priced = []
    for line in (WantedLine(*one) for one in lines):
        product = act.need(Product, line.product)
        wrong = [*check_unit(product, line.unit)] or [*_check_quantity(product, line)]
        found += wrong
        if wrong:
            continue
        try:
            price, note = price_for(act, customer, product, line.unit, line.price)
        except Refused as refused:
            found += refused.problems
            continue
        priced.append(_Priced(product, line.quantity, line.unit, price, note))
    if not priced and not found:
        found.append(problem("order_empty", field="lines"))
    if found:
        raise Refused(*found)
    return priced


def _check_quantity(product: Product, line: WantedLine) -> Iterator[Problem]:
    quantity = line.quantity
    if not quantity.is_finite() or quantity <= 0:
        yield problem("quantity_wrong", field="lines", product=product.name)
    elif line.unit == "pack":
        if quantity != quantity.to_integral_value() or quantity > MOST_PACKS:
            facts = {"product": product.name, "most": f"{MOST_PACKS:,}"}
            yield problem("packs_not_whole", field="lines", **facts)
    elif quantity > HEAVIEST_MG or not 0 < wanted_mg(quantity, line.unit) <= HEAVIEST_MG:
        yield problem("quantity_wrong", field="lines", product=product.name)


def _check_due(due_on: str, taken_on: str) -> Iterator[Problem]:
    if day_plus(due_on, 0) < taken_on:
        yield problem("due_before_taken", field="due_on", due_on=due_on, taken_on=taken_on)


def _make_line(act: Act, order: Order, one: _Priced) -> OrderLine:
    return act.make(
        "order_line_taken",
        OrderLine(
            id=act.next_id("order_line"),
            order=order.id,
            product=one.product.id,
            quantity=one.quantity,
            unit=one.unit,
            unit_price=one.price,
        ),
        note=one.note,
    )


def _replace_lines(act: Act, order: Order, wanted: Sequence[_Priced]) -> None:
    """Keep lines of the same product and unit, so that what went out for them stays known."""
    gone = delivered_of_order(act.tx, order.id)
    before = act.tx.all(OrderLine, order=order.id)
    for one in wanted:
        same = next((x for x in before if (x.product, x.unit) == (one.product.id, one.unit)), None)
        if same is None:
            _make_line(act, order, one)
            continue
        before.remove(same)
        out = gone.get(same.id)
        has = 0 if out is None else (out.count if one.unit == "pack" else out.amount_mg)
        wants = int(one.quantity) if one.unit == "pack" else wanted_mg(one.quantity, one.unit)
        if wants < has:
            raise Refused(problem("line_below_delivered", field="lines", product=one.product.name))
        changes = {"quantity": one.quantity, "unit_price": one.price}
        act.change("order_line_changed", same, note=one.note, **changes)
    for line in before:
        if line.id in gone:
            name = act.need(Product, line.product).name
            raise Refused(problem("line_below_delivered", field="lines", product=name))
        act.take_away("order_line_removed", line)


def _need_open(order: Order) -> None:
    if order.status != OPEN:
        raise Refused(problem("order_not_open", order=order.name, status=order.status))
