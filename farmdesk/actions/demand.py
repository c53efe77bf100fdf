"""Standing orders and weeks that differ: kept, changed, paused and removed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal

from farmdesk.actions.base import Act
from farmdesk.actions.catalogue_checks import check_text
from farmdesk.actions.orders import check_unit
from farmdesk.domain.catalogue import Customer, Product
from farmdesk.domain.demand import DemandEvent, StandingOrder
from farmdesk.errors import NotUnderstood, Problem, Refused, problem
from farmdesk.quantities.mass import HEAVIEST_MG
from farmdesk.quantities.weeks import IsoWeek

_MOST_WEEKS, _MOST_FACTOR, _MOST_QUANTITY = 52, Decimal(20), Decimal(100_000)


def save_standing_order(act: Act, order: StandingOrder) -> StandingOrder:
    """Keep a new standing order (id 0) or a changed one; Refused with all that cannot be."""
    act.need(Customer, order.customer)
    product = act.need(Product, order.product)
    try:
        order = replace(order, pauses=tidy_weeks(order.pauses), note=order.note.strip())
    except NotUnderstood as error:
        raise Refused(*(_at("pauses", one) for one in error.problems)) from error
    found = list(_check_standing(order, product))
    if found:
        raise Refused(*found)
    if order.id == 0:
        return act.make("standing_order_made", replace(order, id=act.next_id("standing_order")))
    now = act.need(StandingOrder, order.id)
    return act.change_fields("standing_order_changed", now, _fields(order))


def pause_standing_order(
    act: Act, order: int, weeks: str, *, resume: bool = False
) -> StandingOrder:
    """Leave out these ISO weeks, or take them up again."""
    now = act.need(StandingOrder, order)
    try:
        wanted = set(tidy_weeks(weeks).split())
    except NotUnderstood as error:
        raise Refused(*(_at("pauses", one) for one in error.problems)) from error
    paused = set(now.pauses.split())
    after = paused - wanted if resume else paused | wanted
    return act.change("standing_order_changed", now, pauses=" ".join(sorted(after)))


def remove_standing_order(act: Act, order: int) -> None:
    """Take a standing order away; the day book keeps what it was."""
    act.take_away("standing_order_removed", act.need(StandingOrder, order))


def save_demand_event(act: Act, event: DemandEvent) -> DemandEvent:
    """Keep a new week that differs (id 0) or a changed one; Refused with all that cannot be."""
    event = replace(event, name=event.name.strip(), note=event.note.strip())
    found = list(_check_event(act, event))
    if found:
        raise Refused(*found)
    first = str(IsoWeek.parse(event.from_week))
    last = str(IsoWeek.parse(event.to_week)) if event.to_week else first
    event = replace(event, from_week=first, to_week=last)
    if event.id == 0:
        return act.make("demand_event_made", replace(event, id=act.next_id("demand_event")))
    now = act.need(DemandEvent, event.id)
    return act.change_fields("demand_event_changed", now, _fields(event))


def remove_demand_event(act: Act, event: int) -> None:
    """Take a week that differs away."""
    act.take_away("demand_event_removed", act.need(DemandEvent, event))


def tidy_weeks(text: str) -> str:
    """ISO weeks in order, each once, parted by spaces; NotUnderstood for anything else."""
    words = text.replace(",", " ").replace(";", " ").split()
    return " ".join(sorted({str(IsoWeek.parse(word)) for word in words}))


def _check_standing(order: StandingOrder, product: Product) -> Iterator[Problem]:
    for one in check_unit(product, order.unit):
        yield _at("quantity", one)
    if not order.quantity.is_finite() or not 0 < order.quantity <= _MOST_QUANTITY:
        yield problem("quantity_wrong", field="quantity", product=product.name)
    elif order.unit == "pack" and order.quantity != order.quantity.to_integral_value():
        most = f"{_MOST_QUANTITY:,}"
        yield problem("packs_not_whole", field="quantity", product=product.name, most=most)
    if not 1 <= order.weekday <= 7:
        yield problem("weekday_wrong", field="weekday", weekday=order.weekday)
    if not 1 <= order.every_weeks <= _MOST_WEEKS:
        yield problem("every_weeks_wrong", field="every_weeks", most=_MOST_WEEKS)
    if not order.runs_from:
        yield problem("demand_day_missing", field="runs_from")
    elif order.runs_to is not None and order.runs_to < order.runs_from:
        yield problem("demand_ends_before", field="runs_to")
    yield from check_text("note", order.note, needed=False, long=True)


def _check_event(act: Act, event: DemandEvent) -> Iterator[Problem]:
    yield from check_text("name", event.name, needed=True)
    yield from check_text("note", event.note, needed=False, long=True)
    weeks = []
    for field in ("from_week", "to_week"):
        text = getattr(event, field)
        if not text and field == "to_week":
            continue
        try:
            weeks.append(str(IsoWeek.parse(text)))
        except NotUnderstood as error:
            yield from (_at(field, one) for one in error.problems)
    if len(weeks) == 2 and weeks[1] < weeks[0]:
        yield problem("demand_ends_before", field="to_week")
    if event.product is not None:
        product = act.need(Product, event.product)
        if event.amount_mg and product.species is None and event.species is None:
            yield problem("demand_without_species", field="product", product=product.name)
    elif event.amount_mg and event.species is None:
        yield problem("demand_species_missing", field="species")
    if not event.factor.is_finite() or not 0 <= event.factor <= _MOST_FACTOR:
        yield problem("demand_factor_wrong", field="factor", most=_MOST_FACTOR)
    if not 0 <= event.amount_mg <= HEAVIEST_MG:
        yield problem("quantity_wrong", field="amount_mg", product=event.name)
    if event.factor == 1 and not event.amount_mg:
        yield problem("demand_changes_nothing", field="amount_mg")


def _at(field: str, one: Problem) -> Problem:
    return Problem(one.code, {**one.facts, "field": field})


def _fields(thing: StandingOrder | DemandEvent) -> dict[str, object]:
    return {name: value for name, value in vars(thing).items() if name != "id"}
