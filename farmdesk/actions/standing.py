"""Orders taken from standing orders: one for each customer and day, each occurrence once."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from farmdesk.actions.base import Act
from farmdesk.actions.orders import WantedLine, take_order
from farmdesk.domain.catalogue import Customer, Product
from farmdesk.domain.demand import StandingOrder, occurs_on
from farmdesk.domain.trade import Order
from farmdesk.errors import Problem, Refused, problem
from farmdesk.quantities.weeks import IsoWeek
from farmdesk.store.sales_lists import standing_taken
from farmdesk.store.transaction import Reading

MOST_WEEKS = 8
"""So many weeks ahead at once; who knows what a customer wants later?"""


@dataclass(frozen=True)
class Due:
    """One standing order on the day that it is due."""

    standing: StandingOrder
    day: str


def standing_due(reading: Reading, first_day: str, last_day: str) -> list[Due]:
    """What standing orders ask for from a day to a day and no order was taken of yet.

    An occurrence counts as taken when the customer has an order of its ISO week that was made
    of standing orders and has a line of the product, whatever became of it.
    """
    weeks = list(_weeks(first_day, last_day))
    taken = standing_taken(reading, weeks[0].days[0], weeks[-1].days[-1])
    found = []
    for one in reading.all(StandingOrder):
        for week in weeks:
            day = occurs_on(one, str(week))
            if day is None or not first_day <= day <= last_day:
                continue
            if (one.customer, one.product, str(week)) not in taken:
                found.append(Due(one, day))
    return sorted(found, key=lambda due: (due.day, due.standing.customer, due.standing.id))


def take_standing(act: Act, *, first_day: str, last_day: str) -> list[Order]:
    """Take an order for each customer and day of what standing orders ask for.

    Raises Refused when nothing is due, when the span is too long, or with every customer and
    product that has no price: nothing is taken then.
    """
    if last_day < first_day:
        raise Refused(problem("demand_ends_before", field="last_day"))
    if len(list(_weeks(first_day, last_day))) > MOST_WEEKS + 1:
        raise Refused(problem("standing_too_far", field="last_day", most=MOST_WEEKS))
    groups: dict[tuple[str, int], list[StandingOrder]] = {}
    for due in standing_due(act.tx, first_day, last_day):
        customer = act.need(Customer, due.standing.customer)
        product = act.need(Product, due.standing.product)
        if not customer.retired and not product.retired:
            groups.setdefault((due.day, customer.id), []).append(due.standing)
    if not groups:
        raise Refused(problem("standing_nothing_due", field="last_day"))
    found: list[Problem] = []
    orders: list[Order] = []
    for (day, customer_id), standing in groups.items():
        try:
            orders.append(_take(act, day, customer_id, standing))
        except Refused as refused:
            found += refused.problems
    if found:
        raise Refused(*found)
    return orders


def _take(act: Act, day: str, customer: int, standing: list[StandingOrder]) -> Order:
    # The same product twice on a day, such as two kitchens of one house, is one line.
    lines: dict[tuple[int, str], WantedLine] = {}
    for one in standing:
        before = lines.get((one.product, one.unit))
        quantity = one.quantity if before is None else before.quantity + one.quantity
        lines[one.product, one.unit] = WantedLine(one.product, quantity, one.unit)
    notes = dict.fromkeys(one.note for one in standing if one.note)
    return take_order(
        act,
        customer=customer,
        due_on=day,
        taken_on=min(act.day, day),
        lines=list(lines.values()),
        note="; ".join(notes),
        standing=standing[0].id,
    )


def _weeks(first_day: str, last_day: str) -> Iterator[IsoWeek]:
    week, last = IsoWeek.of(first_day), IsoWeek.of(last_day)
    for at in range(week.weeks_until(last) + 1):
        yield week.plus(at)
