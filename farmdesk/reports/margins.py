"""What customers, channels and products leave over once growing and selling are paid."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal

from farmdesk.arithmetic.margins import Margin, Selling, find_margin
from farmdesk.domain.catalogue import Customer, Product, Species
from farmdesk.domain.costs import FOR_PACKS, SELLING, CostSetting, Labour, Purchase, Supply
from farmdesk.domain.trade import MarketDay
from farmdesk.paper.tables import Column, Table
from farmdesk.quantities.mass import amount_in
from farmdesk.quantities.times import day_plus, day_start
from farmdesk.reports.costs import cost_per_kg
from farmdesk.reports.farm_terms import FarmTerms, read_terms
from farmdesk.reports.sum_question import SumQuestion
from farmdesk.store import week as asked
from farmdesk.store.transaction import Reading
from farmdesk.store.week_trade import TradeLine, lines_sold
from farmdesk.wording.language import tr

MARGIN_GROUPINGS = ("channel", "customer", "product")
_TITLES = {"channel": tr("Channel"), "customer": tr("Customer"), "product": tr("Product")}
_POUNDS = ("lb", "oz", "lb_oz")
_MG = Decimal(1_000_000)
_HOUR = Decimal(60)
_CENT, _FINE = Decimal("0.01"), Decimal("0.0001")


@dataclass
class _Group:
    """What one customer, channel or product took, with its shares of what selling cost."""

    mass_mg: int = 0
    revenue: Decimal = Decimal(0)
    grown: Decimal = Decimal(0)
    unsold: Decimal = Decimal(0)
    packaging: Decimal = Decimal(0)
    labour: Decimal = Decimal(0)
    fees: Decimal = Decimal(0)


@dataclass
class _Prices:
    """What selling cost in the days, and what a kilogram cost to grow."""

    per_kg: Mapping[int, Decimal]
    per_pack: Mapping[str, Decimal]
    labour: Decimal
    fees: Mapping[str, Decimal]
    wasted: Mapping[int, int]
    unknown: set[str] = field(default_factory=set)


def margins_table(
    reading: Reading, question: SumQuestion | None = None, *, now: str | None = None
) -> Table:
    """Margins of what was sold in some days (a year unless told), by channel, customer, product.

    Revenue is before tax. Growing is what a saleable kilogram of the species cost in the year up
    to the last day. Waste of a species is borne by who bought that species, by mass; work at
    packing and selling by revenue; stand fees by the market itself.
    """
    terms = read_terms(reading, now)
    asked_for = (question or SumQuestion("channel")).settled(terms.today)
    by = asked_for.by if asked_for.by in MARGIN_GROUPINGS else "channel"
    lines = [
        one for one in lines_sold(reading, asked_for.first, asked_for.last)
        if asked_for.species in (None, one.species)
    ]  # fmt: skip
    prices = _read_prices(reading, asked_for.first, asked_for.last, terms, now)
    groups = _share(lines, by, prices, reading)
    rows = [_row(name, one, terms) for name, one in _by_margin(groups)]
    whole = _sum(groups.values())
    notes = list(_notes(prices, terms, asked_for))
    return Table(
        "margins", tr("Margins"), _columns(by, _unit(terms)), rows, notes,
        totals=_row(tr("All"), whole, terms) if rows else None,
    )  # fmt: skip


def _read_prices(
    reading: Reading, first: str, last: str, terms: FarmTerms, now: str | None
) -> _Prices:
    setting = reading.first(CostSetting)
    wage = Decimal(0) if setting is None else setting.wage_per_hour
    minutes = sum(
        one.minutes for one in reading.all(Labour)
        if one.task in SELLING and first <= one.day <= last
    )  # fmt: skip
    names = {one.id: one.name for one in reading.all(Customer)}
    fees: dict[str, Decimal] = {}
    for day in reading.all(MarketDay):
        if first <= day.held_on <= last and day.fee:
            name = names.get(day.customer, "")
            fees[name] = fees.get(name, Decimal(0)) + day.fee
    zone = terms.farm.zone
    start, end = day_start(first, zone), day_start(day_plus(last, 1), zone)
    wasted: dict[int, int] = {}
    for gone in asked.removed_between(reading, start, end):
        if gone.use == "waste" and gone.species is not None:
            wasted[gone.species] = wasted.get(gone.species, 0) + gone.mass_mg
    year = SumQuestion("batch", None, day_plus(last, -365), last)
    return _Prices(
        per_kg=cost_per_kg(reading, year, now=now),
        per_pack=_pack_prices(reading),
        labour=Decimal(minutes) / _HOUR * wage,
        fees=fees,
        wasted=wasted,
    )


def _pack_prices(reading: Reading) -> dict[str, Decimal]:
    """What the goods of one pack cost by product, at the average of all that was bought."""
    bought: dict[int, tuple[Decimal, int]] = {}
    for one in reading.all(Purchase):
        if one.supply is not None and one.pieces:
            price, pieces = bought.get(one.supply, (Decimal(0), 0))
            bought[one.supply] = (price + one.price, pieces + one.pieces)
    found: dict[str, Decimal] = {}
    supplies = [one for one in reading.all(Supply) if one.use == FOR_PACKS]
    for product in reading.all(Product):
        for supply in supplies:
            if supply.product in (None, product.id) and supply.id in bought:
                price, pieces = bought[supply.id]
                each = price / pieces * supply.pieces
                found[product.name] = found.get(product.name, Decimal(0)) + each
    return found


def _share(
    lines: Iterable[TradeLine], by: str, prices: _Prices, reading: Reading
) -> dict[str, _Group]:
    known = list(lines)
    sold: dict[int, int] = {}
    for one in known:
        if one.species is not None:
            sold[one.species] = sold.get(one.species, 0) + one.mass_mg
    revenue = sum((one.total for one in known), Decimal(0))
    at_market: dict[str, Decimal] = {}
    for one in known:
        at_market[one.customer] = at_market.get(one.customer, Decimal(0)) + one.total
    species = {one.id: one.name for one in reading.all(Species)}
    groups: dict[str, _Group] = {}
    for one in known:
        group = groups.setdefault(str(getattr(one, by)) or tr("not told"), _Group())
        group.mass_mg += one.mass_mg
        group.revenue += one.total
        per_kg = prices.per_kg.get(one.species or 0)
        if per_kg is None:
            prices.unknown.add(species.get(one.species or 0, one.product))
            per_kg = Decimal(0)
        group.grown += one.mass_mg / _MG * per_kg
        if one.species is not None and sold[one.species]:
            share = Decimal(one.mass_mg) / sold[one.species]
            group.unsold += prices.wasted.get(one.species, 0) / _MG * share * per_kg
        group.packaging += prices.per_pack.get(one.product, Decimal(0)) * one.packs
        if revenue:
            group.labour += prices.labour * one.total / revenue
        if at_market[one.customer]:
            fee = prices.fees.get(one.customer, Decimal(0))
            group.fees += fee * one.total / at_market[one.customer]
    return groups


def _margin(one: _Group, terms: FarmTerms) -> Margin:
    # The growing cost is given whole: kilograms at a price would be rounded once more.
    return find_margin(
        Selling(
            revenue=one.revenue, sold_kg=Decimal(1), cost_per_kg=one.grown,
            packaging=one.packaging.quantize(_CENT), labour=one.labour.quantize(_CENT),
            fees=one.fees.quantize(_CENT), delivery=one.unsold.quantize(_CENT),
        ),
        currency=terms.farm.currency,
    )  # fmt: skip


def _by_margin(groups: Mapping[str, _Group]) -> list[tuple[str, _Group]]:
    return sorted(groups.items(), key=lambda pair: (-pair[1].revenue, pair[0]))


def _sum(groups: Iterable[_Group]) -> _Group:
    whole = _Group()
    for one in groups:
        for name, amount in vars(one).items():
            setattr(whole, name, getattr(whole, name) + amount)
    return whole


def _unit(terms: FarmTerms) -> str:
    return "lb" if terms.farm.mass_unit in _POUNDS else "kg"


def _columns(by: str, unit: str) -> tuple[Column, ...]:
    return (
        Column("group", _TITLES[by]),
        Column("mass_mg", tr("Mass"), "mass"),
        Column("revenue", tr("Sold, before tax"), "money"),
        Column("price", tr("Price of 1 {unit}").format(unit=unit), "money"),
        Column("grown", tr("Growing"), "money"),
        Column("unsold", tr("Wasted"), "money"),
        Column("packaging", tr("Packs and labels"), "money"),
        Column("labour", tr("Work of selling"), "money"),
        Column("fees", tr("Fees"), "money"),
        Column("margin", tr("Margin"), "money"),
        Column("percent", tr("of what was sold"), "percent"),
    )


def _row(name: str, one: _Group, terms: FarmTerms) -> tuple[object, ...]:
    found = _margin(one, terms)
    amount = amount_in(one.mass_mg, _unit(terms))
    price = None
    if amount:
        price = (one.revenue * amount.denominator / amount.numerator).quantize(_FINE)
    return (
        name, one.mass_mg, one.revenue, price, found.grown, one.unsold.quantize(_CENT),
        one.packaging.quantize(_CENT), one.labour.quantize(_CENT), one.fees.quantize(_CENT),
        found.margin, found.percent,
    )  # fmt: skip


def _notes(prices: _Prices, terms: FarmTerms, question: SumQuestion) -> Iterable[str]:
    day = terms.formats.day
    yield tr(
        "Sold from {first} to {last}. Growing is what a saleable kilogram cost in the year up to"
        " the last day. What was wasted of a species is borne by those who bought it, by mass;"
        " work at packing, selling, delivery and office by what was sold; stand fees by the market."
    ).format(first=day(question.first), last=day(question.last))
    if prices.unknown:
        yield tr("No cost is known yet for {names}: growing counts as nothing there.").format(
            names=", ".join(sorted(prices.unknown))
        )
    if not prices.labour:
        yield tr("No work at selling is recorded with a wage, so none is counted.")
