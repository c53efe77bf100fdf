"""Standing orders and weeks that differ, as lists with everything that is chosen from."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from farmdesk.domain.catalogue import Product
from farmdesk.domain.demand import DemandEvent, StandingOrder, occurs_on
from farmdesk.paper.tables import Column, Table
from farmdesk.quantities.weeks import IsoWeek
from farmdesk.reports.catalogue import Catalogue, read_catalogue
from farmdesk.reports.farm_terms import FarmTerms, read_terms
from farmdesk.store.transaction import Reading
from farmdesk.wording.language import tr

_KINDS = ("customer", "product", "species", "strain", "recipe")
_LOOKED_AHEAD = 104

WEEKDAYS: tuple[tuple[int, str], ...] = (
    (1, tr("Monday")),
    (2, tr("Tuesday")),
    (3, tr("Wednesday")),
    (4, tr("Thursday")),
    (5, tr("Friday")),
    (6, tr("Saturday")),
    (7, tr("Sunday")),
)


@dataclass(frozen=True)
class StandingRow:
    """A standing order as it is shown; `next_on` is the next day on which it is due."""

    id: int
    customer: str
    product: str
    amount: str
    weekday: str
    every: str
    runs_from: str
    runs_to: str | None
    next_on: str | None
    pauses: str
    note: str
    order: StandingOrder


@dataclass(frozen=True)
class EventRow:
    """A week that differs as it is shown."""

    id: int
    name: str
    weeks: str
    day: str | None
    about: str
    effect: str
    note: str
    event: DemandEvent


@dataclass(frozen=True)
class DemandThings:
    """Both lists, and the names that are chosen from."""

    catalogue: Catalogue
    standing: tuple[StandingRow, ...]
    events: tuple[EventRow, ...]


def list_demand(reading: Reading, *, now: str | None = None) -> DemandThings:
    """Standing orders by customer, and weeks that differ by week."""
    terms = read_terms(reading, now)
    catalogue = read_catalogue(reading, _KINDS)
    standing = [_standing(one, catalogue, terms) for one in reading.all(StandingOrder)]
    events = [_event(one, catalogue, terms) for one in reading.all(DemandEvent)]
    standing.sort(key=lambda row: (row.customer.casefold(), row.product.casefold(), row.id))
    events.sort(key=lambda row: (row.weeks, row.id))
    return DemandThings(catalogue, tuple(standing), tuple(events))


def read_choices(reading: Reading) -> Catalogue:
    """What dialogs about demand and plans choose from."""
    return read_catalogue(reading, _KINDS)


def standing_table(reading: Reading, *, now: str | None = None) -> Table:
    """Standing orders as a table."""
    columns = (
        Column("customer", tr("Customer")),
        Column("product", tr("Product")),
        Column("amount", tr("Amount")),
        Column("weekday", tr("On")),
        Column("every", tr("Every")),
        Column("runs_from", tr("From"), "day"),
        Column("runs_to", tr("Until"), "day"),
        Column("next_on", tr("Next"), "day"),
        Column("pauses", tr("Weeks left out")),
        Column("note", tr("Note")),
    )
    rows = [
        tuple(getattr(row, one.key) for one in columns)
        for row in list_demand(reading, now=now).standing
    ]
    return Table("standing_orders", tr("Standing orders"), columns, rows)


def say_amount(quantity: Decimal, unit: str, terms: FarmTerms) -> str:
    """A quantity with its unit as people say it."""
    formats = terms.formats
    if unit == "pack":
        return formats.count(int(quantity), "pack", "packs")
    digits = max(0, -int(quantity.normalize().as_tuple().exponent))
    return tr("{amount} {unit}").format(amount=formats.number(quantity, digits), unit=unit)


def product_of(catalogue: Catalogue, number: int) -> Product | None:
    """A product of the catalogue."""
    found = catalogue.get("product", number)
    return found if isinstance(found, Product) else None


def _standing(one: StandingOrder, catalogue: Catalogue, terms: FarmTerms) -> StandingRow:
    number = terms.formats.number
    every = (
        tr("week") if one.every_weeks == 1 else tr("{n} weeks").format(n=number(one.every_weeks))
    )
    return StandingRow(
        id=one.id,
        customer=catalogue.name("customer", one.customer),
        product=catalogue.name("product", one.product),
        amount=say_amount(one.quantity, one.unit, terms),
        weekday=dict(WEEKDAYS)[one.weekday],
        every=every,
        runs_from=one.runs_from,
        runs_to=one.runs_to,
        next_on=_next_day(one, terms.today),
        pauses=one.pauses,
        note=one.note,
        order=one,
    )


def _next_day(one: StandingOrder, today: str) -> str | None:
    first = IsoWeek.of(max(today, one.runs_from))
    for ahead in range(_LOOKED_AHEAD):
        day = occurs_on(one, str(first.plus(ahead)))
        if day is not None and day >= today:
            return day
    return None


def _event(one: DemandEvent, catalogue: Catalogue, terms: FarmTerms) -> EventRow:
    last = one.to_week or one.from_week
    weeks = (
        one.from_week
        if last == one.from_week
        else tr("{first} to {last}").format(first=one.from_week, last=last)
    )
    about = catalogue.name("product", one.product) or catalogue.name("species", one.species)
    parts = []
    if one.factor != 1:
        times = terms.formats.number(one.factor, 2)
        parts.append(tr("standing orders times {factor}").format(factor=times))
    if one.amount_mg:
        parts.append(tr("{mass} more a week").format(mass=terms.formats.mass(one.amount_mg)))
    return EventRow(
        id=one.id,
        name=one.name,
        weeks=weeks,
        day=one.held_on,
        about=about or tr("everything"),
        effect=", ".join(parts),
        note=one.note,
        event=one,
    )
