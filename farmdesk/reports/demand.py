"""What is wanted by species and week: orders taken, standing orders, and weeks that differ."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from fractions import Fraction

from farmdesk.arithmetic.forecast import WEEKS
from farmdesk.domain.catalogue import Customer, Product, Species
from farmdesk.domain.demand import DemandEvent, StandingOrder, occurs_on
from farmdesk.domain.trade import Order, OrderLine
from farmdesk.paper.charts import Chart, Series
from farmdesk.paper.tables import Column, Table
from farmdesk.quantities.mass import mg_from
from farmdesk.quantities.weeks import IsoWeek
from farmdesk.reports.farm_terms import FarmTerms, read_terms
from farmdesk.reports.forecast import MG, in_unit, monday_of, short_week, unit_of
from farmdesk.store.transaction import Reading
from farmdesk.wording.language import tr, tr_count


@dataclass(frozen=True)
class Wanted:
    """What one source asks for of a product (or species) in an ISO week."""

    week: str
    species: int
    mg: int
    source: str
    who: str


@dataclass(frozen=True)
class FarmDemand:
    """Everything wanted in the weeks ahead; `unplanned` are products of no species."""

    terms: FarmTerms
    weeks: tuple[str, ...]
    wanted: tuple[Wanted, ...]
    unplanned: tuple[str, ...] = field(default=())

    def by_week(self) -> dict[tuple[int, str], int]:
        """Mg by (species, week)."""
        found: dict[tuple[int, str], int] = {}
        for one in self.wanted:
            found[one.species, one.week] = found.get((one.species, one.week), 0) + one.mg
        return found


def read_demand(
    reading: Reading, *, now: str | None = None, species: int | None = None, weeks: int = WEEKS
) -> FarmDemand:
    """The demand of this week and the weeks after it.

    An order that was taken for a week stands in the place of the customer's standing order for
    the same product in that week.
    """
    terms = read_terms(reading, now)
    first = IsoWeek.of(terms.today)
    names = tuple(str(first.plus(at)) for at in range(weeks))
    products = {one.id: one for one in reading.all(Product)}
    ordered = _ordered(reading, names)
    standing = _standing(reading, names, ordered)
    events = [one for one in reading.all(DemandEvent) if not one.retired]
    customers = {one.id: one.name for one in reading.all(Customer)}
    mixed: set[str] = set()
    found = [
        *_weigh(ordered, products, customers, tr("order"), mixed),
        *_weigh(_vary(standing, events, products), products, customers, tr("standing"), mixed),
        *_added(reading, events, names, products),
    ]
    kept = [one for one in found if one.mg and species in (None, one.species)]
    kept.sort(key=lambda one: (one.week, one.species))
    return FarmDemand(terms, names, tuple(kept), tuple(sorted(mixed)))


def demand_table(reading: Reading, *, now: str | None = None, species: int | None = None) -> Table:
    """Demand by species and week, with a chart of it."""
    return demand_tables(reading, now=now, species=species)[0]


def demand_tables(
    reading: Reading, *, now: str | None = None, species: int | None = None
) -> tuple[Table, Table]:
    """Demand by species and week, and what it is made of."""
    found = read_demand(reading, now=now, species=species)
    kinds = {one.id: one.name for one in reading.all(Species)}
    return _weeks_table(found, kinds), _sources_table(found, kinds)


_Key = tuple[str, int, int]
"""(week, customer, product)."""


def _ordered(reading: Reading, weeks: Sequence[str]) -> dict[_Key, list[tuple[Decimal, str]]]:
    orders = {one.id: one for one in reading.all(Order, status="open")}
    found: dict[_Key, list[tuple[Decimal, str]]] = {}
    for order in orders.values():
        week = max(str(IsoWeek.of(order.due_on)), weeks[0])
        if week in weeks:
            for line in reading.all(OrderLine, order=order.id):
                key = (week, order.customer, line.product)
                found.setdefault(key, []).append((line.quantity, line.unit))
    return found


def _standing(
    reading: Reading, weeks: Sequence[str], ordered: Mapping[_Key, object]
) -> dict[_Key, list[tuple[Decimal, str]]]:
    found: dict[_Key, list[tuple[Decimal, str]]] = {}
    for one in reading.all(StandingOrder):
        for week in weeks:
            key = (week, one.customer, one.product)
            if key not in ordered and occurs_on(one, week) is not None:
                found.setdefault(key, []).append((one.quantity, one.unit))
    return found


def _vary(
    standing: Mapping[_Key, Sequence[tuple[Decimal, str]]],
    events: Iterable[DemandEvent],
    products: Mapping[int, Product],
) -> dict[_Key, list[tuple[Decimal, str]]]:
    """Standing demand times the factors of the weeks that differ."""
    varied = [one for one in events if one.factor != 1]
    found: dict[_Key, list[tuple[Decimal, str]]] = {}
    for (week, customer, product), amounts in standing.items():
        factor = Decimal(1)
        for one in varied:
            about = one.product in (None, product) and one.species in (
                None, products[product].species,
            )  # fmt: skip
            if about and one.from_week <= week <= (one.to_week or one.from_week):
                factor *= one.factor
        found[week, customer, product] = [(amount * factor, unit) for amount, unit in amounts]
    return found


def _weigh(
    wanted: Mapping[_Key, Sequence[tuple[Decimal, str]]],
    products: Mapping[int, Product],
    customers: Mapping[int, str],
    source: str,
    mixed: set[str],
) -> Iterator[Wanted]:
    for (week, customer, number), amounts in wanted.items():
        product = products[number]
        if product.species is None:
            mixed.add(product.name)
            continue
        mg = sum(mass_of(amount, unit, product) for amount, unit in amounts)
        who = tr("{customer}: {product}").format(
            customer=customers.get(customer, ""), product=product.name
        )
        yield Wanted(week, product.species, mg, source, who)


def mass_of(amount: Decimal, unit: str, product: Product) -> int:
    """A quantity of a product in mg; a pack weighs what the product says."""
    if unit == "pack":
        return round(amount * (product.pack_mg or 0))
    return mg_from(Fraction(amount), unit)


def _added(
    reading: Reading,
    events: Iterable[DemandEvent],
    weeks: Sequence[str],
    products: Mapping[int, Product],
) -> Iterator[Wanted]:
    del reading
    for one in events:
        species = one.species
        if species is None and one.product is not None:
            species = products[one.product].species
        if species is None or not one.amount_mg:
            continue
        for week in weeks:
            if one.from_week <= week <= (one.to_week or one.from_week):
                yield Wanted(week, species, one.amount_mg, tr("week"), one.name)


def _weeks_table(found: FarmDemand, kinds: Mapping[int, str]) -> Table:
    columns = (
        Column("species", tr("Species")),
        Column("week", tr("Week")),
        Column("monday", tr("From"), "day"),
        Column("wanted", tr("Wanted"), "mass"),
        Column("ordered", tr("Of that ordered"), "mass"),
        Column("standing", tr("Of that standing"), "mass"),
        Column("added", tr("Of that for the week"), "mass"),
    )
    sums: dict[tuple[int, str], dict[str, int]] = {}
    for one in found.wanted:
        parts = sums.setdefault((one.species, one.week), {})
        parts[one.source] = parts.get(one.source, 0) + one.mg
    rows = [
        (
            kinds.get(species, ""), week, monday_of(week), sum(parts.values()),
            parts.get(tr("order"), 0), parts.get(tr("standing"), 0), parts.get(tr("week"), 0),
        )
        for (species, week), parts in sorted(sums.items(), key=lambda one: (one[0][1], one[0][0]))
    ]  # fmt: skip
    charts = (_chart(found, kinds),) if rows else ()
    return Table("demand", tr("Demand by week"), columns, rows, say_demand(found), charts=charts)


def _sources_table(found: FarmDemand, kinds: Mapping[int, str]) -> Table:
    columns = (
        Column("week", tr("Week")),
        Column("species", tr("Species")),
        Column("source", tr("From")),
        Column("who", tr("Who and what"), width=32),
        Column("wanted", tr("Wanted"), "mass"),
    )
    rows = [
        (one.week, kinds.get(one.species, ""), one.source, one.who, one.mg) for one in found.wanted
    ]
    return Table("demand_parts", tr("What it is made of"), columns, rows, say_demand(found))


def say_demand(found: FarmDemand) -> list[str]:
    """The whole demand in a sentence, and what was left out."""
    if not found.wanted and not found.unplanned:
        return []
    formats = found.terms.formats
    notes = [
        tr_count(
            len(found.weeks),
            "{mass} are wanted in the next {n} week.",
            "{mass} are wanted in the next {n} weeks.",
        ).format(mass=formats.mass(sum(one.mg for one in found.wanted)), n=len(found.weeks)),
        tr(
            "An order that was taken stands in the place of the customer's standing order for that"
            " week. Orders that are late count in this week."
        ),
    ]
    if found.unplanned:
        notes.append(
            tr("Products of no single species are left out: {names}.").format(
                names=", ".join(found.unplanned)
            )
        )
    return notes


def _chart(found: FarmDemand, kinds: Mapping[int, str]) -> Chart:
    unit, sums = unit_of(found.terms), found.by_week()
    series = [
        Series(
            kinds.get(species, ""),
            [in_unit(sums.get((species, week), 0) / MG, unit) for week in found.weeks],
        )
        for species in sorted({one.species for one in found.wanted})
    ]
    names = [short_week(week) for week in found.weeks]
    return Chart("stacked", tr("Demand by week"), names, series, unit)


def weekday_of(day: str) -> int:
    """1 Monday to 7 Sunday."""
    return date.fromisoformat(day).isoweekday()
