"""Orders taken from standing orders for the days to come."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from farmdesk.actions.standing import standing_due, take_standing
from farmdesk.desk.context import DeskContext
from farmdesk.desk.dialogs import FormDialog
from farmdesk.desk.fields import DayField
from farmdesk.domain.catalogue import Customer, Farm, Product
from farmdesk.quantities.times import day_plus, today_in
from farmdesk.reports.sales_lists import say_quantity
from farmdesk.store.farm_store import FarmStore
from farmdesk.wording.formats import Formats
from farmdesk.wording.language import tr

_MOST_SHOWN = 6
DAYS_AHEAD = 6


class TakeStandingDialog(FormDialog):
    """Takes an order for each customer and day that standing orders are due on.

    `due` says what that is in the week to come.
    """

    def __init__(self, context: DeskContext, due: str) -> None:
        super().__init__(
            tr("Take standing orders"),
            sentence=due
            + "\n\n"
            + tr(
                "One order for each customer and day, at the prices of their lists. What was taken"
                " already is left out. Standing orders are kept in Weeks ahead."
            ),
            save_title=tr("Take the orders"),
        )
        today = today_in(context.formats.zone)
        formats = context.formats
        self.form.add(DayField("first_day", tr("From"), formats, required=True, value=today))
        self.form.add(
            DayField(
                "last_day", tr("To"), formats, required=True, value=day_plus(today, DAYS_AHEAD)
            )
        )
        self.on_save = lambda values: self.run(context.act, partial(take_standing, **values))


def read_due(context: DeskContext, then: Callable[[str], object]) -> None:
    """Read what is due in the week to come, and hand it over in words."""
    today = today_in(context.formats.zone)
    context.workplace.read(
        load_due, context.farm, today, day_plus(today, DAYS_AHEAD), context.formats, then=then,
        failed=context.show_error,
    )  # fmt: skip


def load_due(store: FarmStore, first_day: str, last_day: str, formats: Formats) -> str:
    """What standing orders ask for in these days, in words."""
    with store.reading() as reading:
        found = standing_due(reading, first_day, last_day)
        customers = {one.id: one.name for one in reading.all(Customer)}
        products = {one.id: one.name for one in reading.all(Product)}
        if reading.first(Farm) is None or not found:
            return tr("Nothing is due in these days that was not taken already.")
    lines = [
        tr("{day}: {quantity} {product} for {customer}").format(
            day=formats.day(one.day),
            quantity=say_quantity(one.standing.quantity, one.standing.unit, formats),
            product=products.get(one.standing.product, ""),
            customer=customers.get(one.standing.customer, ""),
        )
        for one in found[:_MOST_SHOWN]
    ]
    if len(found) > _MOST_SHOWN:
        lines.append(tr("and {count} more").format(count=len(found) - _MOST_SHOWN))
    return "\n".join(lines)
